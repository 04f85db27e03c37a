//! Code rules as data, and the small engine that applies them.
//!
//! Every limit, count, position and period stands in `codes/*.toml` with its
//! clause, edition, source, basis and worked cases; this crate only compares.
//! It reads no disk and no clock, and it never turns "not known" into "yes".
//!
//! - [`judge`] bent straps, [`judge_visual`] what the eye sees;
//! - [`specimens`] and [`jig`]: what to cut, where, and how to bend it;
//! - [`standing`] and [`covers`]: what a passed test covers;
//! - [`draft`], [`within`], [`retest`], [`supported`], [`inside`] and
//!   [`prequalified`]: procedures; [`fit_up`] and [`preheat`]: before the arc;
//! - [`codes`], [`code`] and [`explain`]: the data itself, edition by edition;
//! - [`tighten`]: a code with a shop's own stricter limits.

mod bend;
mod boundary;
mod catalogue;
mod covers;
mod describe;
mod edition;
mod extent;
mod fact;
mod finding;
mod load;
mod load_demand;
mod procedure;
mod rule;
mod shop;
mod specimens;
mod standing;
mod visual;
mod words;

pub use bend::{BendError, BendReport, BendTest, Opening, Strap, StrapReport, judge};
pub use catalogue::{CatalogueError, Code, Explained, Held, code, codes, explain};
pub use covers::{CoverAnswer, CoverReason, Coverage, Joint, covers};
pub use edition::LeftOut;
pub use extent::{Extent, LENGTH_ROUNDING_M, Pair};
pub use fact::{Fact, Facts, Known};
pub use finding::Finding;
pub use load::{LoadError, load, load_edition};
pub use procedure::{
    Allowance, Allowed, Change, DraftLine, FitFinding, PreheatFinding, Procedure, Stated, Variable,
    VariableClass, VariableReason, Within, draft, fit_up, inside, preheat, prequalified, retest, supported,
    within,
};
pub use rule::{Answer, Case, Condition, Counts, Demand, PipeRow, Rule, Test};
pub use shop::{SHOP_PREFIX, ShopRuleError, tighten};
pub use specimens::{
    Both, Cited, Coupon, Jig, Layout, STRAP_LEAST_PART, STRAP_READING_M, SpecimenPlan, StrapPlace, StrapSize,
    jig, specimens,
};
pub use standing::{Covered, CoveredPositions, Doubt, PassedTest, Standing, StandingError, standing};
pub use visual::{VisualReadings, VisualReport, judge_visual};
pub use words::{
    Basis, Cause, Claim, Facet, JointBacking, JointKind, JointPosition, Place, Purpose, RuleKind, Status,
    StrapKind, TestShape, Verdict, Zone,
};
