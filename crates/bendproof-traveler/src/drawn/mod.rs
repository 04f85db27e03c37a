//! What several pages draw alike: the groove, the section, and the look of
//! screen and paper.

mod look;
mod section;

pub use look::Look;

pub(crate) use look::sign;
pub(crate) use section::{SHOULDER_MM, drawn_fit, groove, section};
