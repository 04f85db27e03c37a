//! What was done and is judged: bent straps, everything else examined on a
//! weld, and which specimens a coupon needs.

mod bend;
mod examine;
mod finding;
mod readings;
mod specimens;
mod visual;

pub use bend::{BendError, BendReport, BendTest, Opening, Strap, StrapReport, asks_weld_in_bend, judge};
pub use examine::{ExamReport, JointReport, Readings, examine, examine_together};
pub use finding::Finding;
pub use readings::{
    FilletBreakReadings, HardnessReadings, Indication, MacroReadings, NickBreakReadings, RadiographReadings,
    ReadingError, Slag, TensionPiece,
};
pub use specimens::{
    Coupon, Jig, Layout, OtherExams, STRAP_LEAST_PART, STRAP_READING_M, SpecimenDoubt, SpecimenPlan,
    StrapPlace, StrapSize, Welded, asks_for_film, is_of_film, jig, not_examined, specimens,
};
pub use visual::{VisualReadings, VisualReport, judge_visual};
