//! The sheet as values: its fields, marks, figures and sentences, with the
//! source of each. Reads no document.

mod cited;
pub(crate) mod figures;
mod marks;
mod parts;
mod printed_finding;
mod rule_ref;
pub(crate) mod stick_figures;
pub(crate) mod trade;

pub use crate::context::code_name;
pub use bendproof_weld::words::spoken;
pub use cited::{AheadLine, RuleWay};
pub use marks::basis_said;
pub use parts::{
    BECAUSE, Control, Dot, Drawings, ExamView, Field, Figure, FindingLine, FlawView, Item, KIND_NOT_STATED,
    LogRow, Mark, OpeningView, PassRow, PieceView, Provenance, Rule, Sheet, Span, StandingLine, StrapView,
    TradeRange, text_of, with_degree,
};
pub use printed_finding::{PrintedFinding, found_in};
pub use trade::{Range, range};

pub(crate) use figures::{both_systems, title};
pub(crate) use marks::{code_mark, code_words, mark};
pub(crate) use parts::VISUAL;
pub(crate) use rule_ref::{rule_of_ref, rule_ref};
