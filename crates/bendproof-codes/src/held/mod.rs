//! What a passed test covers, until when, and whether a joint is covered.

mod behind;
mod covers;
mod designation;
mod gap;
mod lasting;
mod passed;
mod standing;

pub use covers::{CoverAnswer, CoverReason, Coverage, Joint, JointDetails, covers};
pub use designation::{DesignationError, designation};
pub use gap::Gap;
pub use lasting::{Advice, lasting_words, renewal, standing_on};
pub use passed::{PassedTest, StandingError, TestDetails};
pub use standing::{Covered, CoveredPositions, Doubt, Standing, standing};

pub(crate) use covers::reasons;
