//! What stands behind an answer: a rule with its clause, and a dimension in
//! both systems.

use bendproof_measure::{Kind, Quantity, System};

use super::demand::Rule;
use super::extent::Extent;
use super::fact::Facts;
use crate::words::Basis;

/// A rule that stands behind an answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cited {
    /// Rule id.
    pub rule: String,
    /// Clause.
    pub clause: String,
    /// How well it is known.
    pub basis: Basis,
}

impl Cited {
    pub(crate) fn of(rule: &Rule) -> Self {
        Self { rule: rule.id.clone(), clause: rule.clause.clone(), basis: rule.basis }
    }
}

/// One dimension in both systems, in metres; they are not conversions.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Both {
    /// For work in inches.
    pub inch_m: f64,
    /// For work in millimetres.
    pub metric_m: f64,
}

pub(crate) fn both(extent: &Extent, facts: &Facts) -> Option<Both> {
    Some(Both { inch_m: extent.value(System::Inch, facts)?, metric_m: extent.value(System::Metric, facts)? })
}

pub(crate) fn positive(size: Option<Quantity>) -> Option<Quantity> {
    size.filter(|q| q.kind == Kind::Length && q.si.is_finite() && q.si > 0.0)
}
