//! Code rules as data, and the small engine that applies them.
//!
//! Every limit, count, position and period stands in `codes/*.toml` with its
//! clause, edition, source, basis and worked cases; this crate only compares.
//! It reads no disk and no clock, and it never turns "not known" into "yes".
//!
//! - [`judge`] bent straps, [`examine`] everything else that is read after
//!   welding, [`examine_together`] under several codes;
//! - [`specimens`] and [`jig`]: what to cut, where, and how to bend it;
//! - [`standing`], [`standing_on`] and [`covers`]: what a passed test covers,
//!   today or on a day; [`renewal`]: what keeps it; [`designation`]: its line;
//! - [`outlook`], [`visual_limits`], [`neighbours()`] and [`find_coupons`]: the
//!   same before welding;
//! - [`draft`], [`within`], [`retest`], [`supported`], [`inside`] and
//!   [`prequalified`]: procedures; [`fit_up`] and [`preheat`]: before the arc;
//! - [`heads`], [`code`], [`codes`] and [`explain`]: the data itself, edition by
//!   edition ([`explain_under`]), each code loaded when it is asked for;
//! - [`tighten`] and [`ShopRules`]: codes with a shop's own stricter limits.

mod behind;
mod bend;
mod borrow;
mod boundary;
mod catalogue;
mod covers;
mod describe;
mod designation;
mod edition;
mod examine;
mod extent;
mod fact;
mod fewest;
mod finder;
mod finding;
mod lasting;
mod limits;
mod load;
mod load_demand;
mod names;
mod neighbours;
mod outlook;
mod passed;
mod procedure;
mod readings;
mod rule;
mod shelf;
mod shop;
mod shop_rules;
mod shop_shape;
mod spans;
mod specimens;
mod standing;
mod visual;
mod words;

pub use bend::{BendError, BendReport, BendTest, Opening, Strap, StrapReport, asks_weld_in_bend, judge};
pub use catalogue::{CatalogueError, Code, Explained, Held, code, codes, explain, explain_under, heads};
pub use covers::{CoverAnswer, CoverReason, Coverage, Joint, JointDetails, covers};
pub use designation::{DesignationError, designation};
pub use edition::LeftOut;
pub use examine::{ExamReport, JointReport, Readings, examine, examine_together};
pub use extent::{Extent, LENGTH_ROUNDING_M, Pair};
pub use fact::{Fact, Facts, Known, filler_group};
pub use finder::{
    Candidate, CouponSet, FINDER_CANDIDATES_MAX, FINDER_JOINTS_MAX, FinderError, Found, JointDoubt,
    JointFound, find_coupons,
};
pub use finding::{Finding, Open};
pub use lasting::{Advice, lasting_words, renewal, standing_on};
pub use limits::{LimitAhead, visual_limits};
pub use load::{Head, LoadError, load, load_edition};
pub use names::{DetailName, JointName, Names, ProcessName, TestName, names};
pub use neighbours::{
    Neighbour, Reach, THICKNESS_STEPS, asks_confirmation, asks_figure, counts_nominal_pipe, joint_like,
    neighbours, thickness_reach, thickness_step_m,
};
pub use outlook::{Outlook, PlannedTest, outlook};
pub use passed::{PassedTest, StandingError, TestDetails};
pub use procedure::{
    Allowance, Allowed, Change, DraftLine, FitFinding, PreheatFinding, Procedure, Stated, Variable,
    VariableClass, VariableReason, Within, draft, fit_up, inside, preheat, prequalified, retest, supported,
    within,
};
pub use readings::{
    FilletBreakReadings, HardnessReadings, Indication, MacroReadings, NickBreakReadings, RadiographReadings,
    ReadingError, Slag, TensionPiece,
};
pub use rule::{Answer, Case, Condition, Counts, Demand, PipeRow, Rule, Test};
pub use shop::{SHOP_PREFIX, ShopRuleError, tighten};
pub use shop_rules::ShopRules;
pub use spans::{Most, Span, Stretch};
pub use specimens::{
    Beside, Both, Cited, Coupon, Jig, Layout, STRAP_LEAST_PART, STRAP_READING_M, SpecimenPlan, StrapPlace,
    StrapSize, Welded, asks_for_film, jig, not_examined, specimens,
};
pub use standing::{Covered, CoveredPositions, Doubt, Standing, standing};
pub use visual::{VisualReadings, VisualReport, judge_visual};
pub use words::{
    Basis, Cause, Claim, Counted, Event, Facet, Flaw, FluidService, Hold, JointBacking, JointKind,
    JointPosition, Place, Purpose, QualityLevel, RuleKind, Status, StrapKind, TestShape, Verdict, WeldKind,
    Zone,
};
