//! Fit-up: the joint as designed within what its detail allows, and as measured
//! within what fitting allows around the design; both tolerances stack.

use bendproof_measure::Quantity;

use super::compare::{Within, said};
use crate::catalogue::Code;
use crate::rule::{Change, Cited, Demand, FactAnswer, Facts, spaced};
use crate::words::RuleKind;

/// What one rule says of one dimension.
#[derive(Debug, Clone, PartialEq)]
pub struct FitFinding {
    /// The fact judged: `root_opening` as designed, `ask_root_opening` as measured.
    pub dimension: &'static str,
    /// Its value, where given.
    pub value: Option<Quantity>,
    /// Least allowed; absent where open or not known.
    pub min: Option<Quantity>,
    /// Greatest allowed; absent where open or not known.
    pub max: Option<Quantity>,
    /// The answer.
    pub answer: Within,
    /// The rule.
    pub because: Cited,
    /// The finding as a sentence, with the arithmetic.
    pub message: String,
}

/// Judges a fit.
///
/// `fit` holds the design under the facts of the record (`root_opening`,
/// `root_face`, `groove_angle`, `backing`, `shape`, `process`, `detail`) and what
/// was measured under the facts asked about. A dimension that was not measured
/// still shows what it may be.
pub fn fit_up(code: &Code, fit: &Facts) -> Vec<FitFinding> {
    let mut findings = Vec::new();
    for rule in code.of_kind(RuleKind::FitUp) {
        let Demand::Variable(allowed) = &rule.demand else { continue };
        let missing = match rule.applies(fit) {
            FactAnswer::No => continue,
            FactAnswer::Missing(fact) => Some(fact),
            FactAnswer::Yes => None,
        };
        let (min, max) = allowed.span(fit);
        // What was measured is asked about; the rest is the design.
        let what = match allowed.subject.strip_prefix("ask_") {
            Some(measured) => format!("{} measured", spaced(measured)),
            None => format!("{} on the WPS", spaced(allowed.subject)),
        };
        let value = fit.quantity(allowed.subject);
        let range = match allowed.change {
            Change::Never | Change::Doubt => rule.finding.clone(),
            _ => allowed.sentence(fit),
        };
        let text = fit.get(allowed.subject).map(crate::rule::Fact::text);
        let (answer, message) = match (missing, text, allowed.met(fit)) {
            (Some(_), None, _) => continue,
            (Some(fact), ..) => {
                (Within::NotSure, format!("{what}: enter {1}: {0} depends on it", rule.title, said(fact)))
            }
            (None, None, _) => (Within::NotSure, format!("enter {what}; allowed: {range}")),
            (None, Some(text), FactAnswer::Yes) => {
                (Within::Inside, format!("{what} {text} is within {range}"))
            }
            (None, Some(text), FactAnswer::No) => {
                let answer = if allowed.unsure { Within::NotSure } else { Within::Outside };
                (answer, format!("{what} {text} is outside {range}; {}", rule.finding))
            }
            (None, Some(text), FactAnswer::Missing(fact)) => {
                (Within::NotSure, format!("{what} {text}: enter {}", said(fact)))
            }
        };
        let (dimension, because) = (allowed.subject, Cited::of(rule));
        findings.push(FitFinding { dimension, value, min, max, answer, because, message });
    }
    findings
}
