//! A test before it is welded: which straps will be cut, what will be measured
//! and to which limit, what the test will cover if it passes, and what not.
//!
//! Reads no reading and gives no verdict; it says what will be asked.

use bendproof_measure::Quantity;
use bendproof_weld::Position;

use crate::catalogue::Code;
use crate::covers::CoverAnswer;
use crate::fact::{Facts, Known};
use crate::neighbours::{Neighbour, neighbours};
use crate::passed::{PassedTest, StandingError};
use crate::rule::{Condition, Demand, Rule};
use crate::specimens::{Cited, Coupon, SpecimenPlan, Welded, specimens};
use crate::standing::{Standing, standing};
use crate::words::{Purpose, RuleKind};

/// A test as planned.
#[derive(Debug, Clone, PartialEq)]
pub struct PlannedTest {
    /// The test as it will be once passed.
    pub test: PassedTest,
    /// Least specified yield strength of the base metal, which picks the jig.
    pub yield_strength: Option<Quantity>,
    /// Elongation in per cent.
    pub elongation_percent: Option<f64>,
}

/// One limit the coupon will be held to.
#[derive(Debug, Clone, PartialEq)]
pub struct LimitAhead {
    /// Looked at, or bent.
    pub kind: RuleKind,
    /// Title of the rule.
    pub title: String,
    /// The limit in words, inch and metric.
    pub words: Vec<String>,
    /// Where it holds, if not everywhere on this coupon.
    pub only_where: Option<String>,
    /// The rule.
    pub because: Cited,
}

/// A planned test under one code.
#[derive(Debug, Clone, PartialEq)]
pub struct Outlook {
    /// The code.
    pub code: String,
    /// What is cut from the coupon of each position.
    pub specimens: Vec<(Position, SpecimenPlan)>,
    /// What is measured, and the limits.
    pub limits: Vec<LimitAhead>,
    /// What passing gives.
    pub standing: Standing,
    /// The joints next to the test, each with the code's answer.
    pub neighbours: Vec<Neighbour>,
}

impl Outlook {
    /// The neighbours with one answer, in order.
    pub fn answered(&self, answer: CoverAnswer) -> impl Iterator<Item = &Neighbour> {
        self.neighbours.iter().filter(move |n| n.answer == answer)
    }
}

/// Says what a code asks of a planned test, and gives for it.
///
/// # Errors
/// [`StandingError`] when no such test piece can exist.
pub fn outlook(code: &Code, planned: &PlannedTest) -> Result<Outlook, StandingError> {
    let test = &planned.test;
    let standing = standing(code, test)?;
    let plan = |position: &Position| (*position, specimens(code, &coupon(planned, *position)));
    Ok(Outlook {
        code: code.id.clone(),
        specimens: test.positions.iter().map(plan).collect(),
        limits: limits(code, planned),
        neighbours: neighbours(code, test, &standing),
        standing,
    })
}

fn purpose(planned: &PlannedTest) -> Purpose {
    if planned.test.procedure_test { Purpose::Procedure } else { Purpose::Welder }
}

fn coupon(planned: &PlannedTest, position: Position) -> Coupon {
    Coupon {
        purpose: purpose(planned),
        shape: planned.test.shape,
        position,
        thickness: planned.test.thickness,
        deposit: planned.test.deposit,
        outside_diameter: planned.test.outside_diameter,
        nominal_size: planned.test.nominal_size,
        yield_strength: planned.yield_strength,
        elongation_percent: planned.elongation_percent,
        welded: Some(Welded {
            process: planned.test.process,
            transfer: planned.test.transfer,
            filler_type: planned.test.details.filler_type.clone(),
            is_shared: planned.test.details.other_process.is_some(),
        }),
    }
}

fn limits(code: &Code, planned: &PlannedTest) -> Vec<LimitAhead> {
    let mut facts = planned.test.facts(code.names);
    facts.word("purpose", purpose(planned).word()).measure("wall", Some(planned.test.thickness));
    let kinds = [RuleKind::Visual, RuleKind::Bend];
    kinds.iter().flat_map(|kind| code.of_kind(*kind)).filter_map(|rule| limit(rule, &facts)).collect()
}

fn limit(rule: &Rule, facts: &Facts) -> Option<LimitAhead> {
    let is_limit = matches!(
        rule.demand,
        Demand::AtMost { .. } | Demand::AtLeast { .. } | Demand::Sum { .. } | Demand::Flag { .. }
    );
    if !is_limit || rule.applies(facts) == Known::No {
        return None;
    }
    let open = |condition: &&Condition| facts.get(condition.fact).is_none();
    let open: Vec<String> = rule.when.iter().filter(open).map(Condition::text).collect();
    Some(LimitAhead {
        kind: rule.kind,
        title: rule.title.clone(),
        words: rule.limits_text(),
        only_where: (!open.is_empty()).then(|| open.join(" and ")),
        because: Cited::of(rule),
    })
}
