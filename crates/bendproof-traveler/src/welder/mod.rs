//! What an accepted coupon is worth to its welder: the standing, the days it
//! lasts, and the joints it covers.

mod ask;
mod ranges;
mod record;
pub(crate) mod standing;
mod timeline;

pub use ask::{HeldAnswer, HeldUnder, ask_held};
pub use ranges::{inches, list_words, pipe_words, range_words, size_words};
pub use record::{Asked, RecordAnswer, RecordError, answer_record, read_record, record_findings};
pub use standing::{Qualification, Use, held};
pub use timeline::{Lane, LifeAdvice, Stretch, lanes, life_advice, timeline_svg, timeline_words};

pub(crate) use record::read_whole;
pub(crate) use standing::{REFUSED, Unsettled, of_coupon, state_line, test_of_coupon};
