//! A test before it is welded: which straps will be cut, what will be measured
//! and to which limit, what the test will cover if it passes, and what not.
//!
//! Reads no reading and gives no verdict; it says what will be asked.

use bendproof_measure::Quantity;
use bendproof_weld::Position;

use super::limits::{LimitAhead, limits_of_kind, visual_limits};
use super::neighbours::{Neighbour, neighbours};
use crate::catalogue::Code;
use crate::held::{CoverAnswer, PassedTest, Standing, StandingError, standing};
use crate::judged::{Coupon, SpecimenPlan, VisualReadings, Welded, specimens};
use crate::words::{Purpose, RuleKind, WeldKind};

/// A test as planned.
#[derive(Debug, Clone, PartialEq)]
pub struct PlannedTest {
    /// The test as it will be once passed.
    pub test: PassedTest,
    /// Least specified yield strength of the base metal, which picks the jig.
    pub yield_strength: Option<Quantity>,
    /// Elongation in per cent.
    pub elongation_percent: Option<f64>,
    /// What is known already of the weld that will be looked at: level, service
    /// and what else its limits follow. What the test itself tells need not be
    /// repeated.
    pub known: VisualReadings,
    /// The construction code that judges the weld by eye, with the test's own.
    pub construction: Option<&'static Code>,
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

/// What is looked at, under the test's code and the construction code as well,
/// and what the bent straps are held to.
fn limits(code: &Code, planned: &PlannedTest) -> Vec<LimitAhead> {
    let test = &planned.test;
    let known = VisualReadings {
        thickness: planned.known.thickness.or(Some(test.thickness)),
        backing: planned.known.backing.or(Some(test.backing)),
        shape: planned.known.shape.or(Some(test.shape)),
        // Every test here is a groove.
        weld_kind: planned.known.weld_kind.or(Some(WeldKind::Groove)),
        ..planned.known
    };
    let by_eye: Vec<&Code> = std::iter::once(code).chain(planned.construction).collect();
    let mut facts = test.facts(code.names);
    facts.word("purpose", purpose(planned).word()).measure("wall", Some(test.thickness));
    let mut out = visual_limits(&by_eye, &known);
    out.extend(limits_of_kind(code, RuleKind::Bend, &facts, test.thickness.system));
    out
}
