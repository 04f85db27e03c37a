//! Code rules as data, and the small engine that applies them.
//!
//! Every limit, count, position and period stands in `codes/*.toml` with its
//! clause, edition, source, basis and worked cases; this crate only compares.
//! It reads no disk and no clock, and it never turns "not known" into "yes".
//!
//! - [`judge`] bent straps, [`examine`] everything else that is read after
//!   welding, [`examine_together`] under several codes;
//! - [`specimens`] and [`jig`]: what to cut, where, and how to bend it;
//! - [`standing`] and [`covers`]: what a passed test covers;
//! - [`codes`], [`code`] and [`explain`]: the data itself, edition by edition;
//! - [`tighten`]: a code with a shop's own stricter limits.

mod bend;
mod borrow;
mod boundary;
mod catalogue;
mod covers;
mod describe;
mod edition;
mod examine;
mod extent;
mod fact;
mod finding;
mod load;
mod load_demand;
mod readings;
mod rule;
mod shop;
mod spans;
mod specimens;
mod standing;
mod visual;
mod words;

pub use bend::{BendError, BendReport, BendTest, Opening, Strap, StrapReport, judge};
pub use catalogue::{CatalogueError, Code, Explained, Held, code, codes, explain};
pub use covers::{CoverAnswer, CoverReason, Coverage, Joint, covers};
pub use edition::LeftOut;
pub use examine::{ExamReport, JointReport, Readings, examine, examine_together};
pub use extent::{Extent, LENGTH_ROUNDING_M, Pair};
pub use fact::{Fact, Facts, Known};
pub use finding::Finding;
pub use load::{LoadError, load, load_edition};
pub use readings::{
    FilletBreakReadings, HardnessReadings, Indication, MacroReadings, NickBreakReadings, RadiographReadings,
    ReadingError, Slag, TensionPiece,
};
pub use rule::{Answer, Case, Condition, Counts, Demand, PipeRow, Rule, Test};
pub use shop::{SHOP_PREFIX, ShopRuleError, tighten};
pub use spans::{Most, Span, Stretch};
pub use specimens::{
    Both, Cited, Coupon, Jig, Layout, STRAP_LEAST_PART, STRAP_READING_M, SpecimenPlan, StrapPlace, StrapSize,
    jig, specimens,
};
pub use standing::{Covered, CoveredPositions, Doubt, PassedTest, Standing, StandingError, standing};
pub use visual::{VisualReadings, VisualReport, judge_visual};
pub use words::{
    Basis, Cause, Claim, Facet, Flaw, FluidService, JointBacking, JointKind, JointPosition, Place, Purpose,
    QualityLevel, RuleKind, Status, StrapKind, TestShape, Verdict, WeldKind, Zone,
};
