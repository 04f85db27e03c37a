//! A rule of a code as data: the facts it asks about, its conditions, its
//! demand, its sizes and how each is said. Knows no code file.

mod allowed;
mod cited;
mod demand;
mod describe;
mod extent;
mod fact;
mod nearest;
mod phrase;
mod spans;
mod table;
mod variable;

pub use allowed::{Allowed, Change};
pub use cited::{Both, Cited};
pub use demand::{Answer, Case, Condition, Counts, Demand, PipeRow, Rule, SHOP_PREFIX, Test};
pub use extent::{Extent, LENGTH_ROUNDING_M, Pair};
pub use fact::{Fact, FactAnswer, Facts, filler_group, filler_type};
pub use spans::{Most, Span, Stretch};
pub use variable::{Variable, VariableClass};

pub(crate) use allowed::{is_same, read_allowed, say_recorded};
pub(crate) use cited::{both, positive};
pub(crate) use demand::{breach_of, counted_sum, is_shops};
pub(crate) use extent::{is_over, is_under};
pub(crate) use fact::{NO_FILLER, Sort, filler_facts, group, number};
pub(crate) use nearest::{nearest, shortened};
pub(crate) use phrase::{ANY, spaced};
pub(crate) use table::{allow_keys, extent, fact_named, pair, strings, word};
