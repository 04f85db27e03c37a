//! Procedures: what a procedure test covers, variable by variable, whether a
//! written procedure is supported by its record, whether a joint lies within
//! it, how a joint may be fitted and how warm it must be.
//!
//! - [`draft`]: every variable with the range it may move in;
//! - [`within`] and [`retest`]: a joint, or a change, against a record;
//! - [`supported`] and [`inside`]: a written procedure against its record, and
//!   a joint against the written procedure;
//! - [`prequalified`]: whether no test is needed at all;
//! - [`fit_up`] and [`preheat`]: the fit and the heat before the arc.

mod compare;
mod draft;
mod fit_up;
mod preheat;
mod stated;

pub use compare::{Allowance, VariableReason, Within, prequalified, retest, within};
pub use draft::{DraftLine, draft, draft_from};
pub use fit_up::{FitFinding, fit_up};
pub use preheat::{PreheatFinding, preheat};
pub use stated::{Procedure, Stated, inside, supported};
