//! One rule applied to one thing, said in a sentence.
//!
//! Composes nothing into an overall verdict; the bend and visual judges do.

use bendproof_measure::{Quantity, System, say};

use crate::fact::{Fact, Facts, Known};
use crate::rule::{Demand, Rule, counted_sum};
use crate::words::{Basis, Verdict};

/// What one rule said about one thing.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// Rule id; `explain` gives the rest.
    pub rule: String,
    /// Clause.
    pub clause: String,
    /// What was measured, where it is a size.
    pub measured: Option<Quantity>,
    /// The limit for the system the measurement was made in.
    pub limit: Option<Quantity>,
    /// What the rule says.
    pub verdict: Verdict,
    /// How well the rule is known.
    pub basis: Basis,
    /// The finding as a sentence.
    pub message: String,
}

impl Finding {
    /// What was measured, printed: `3/16 in`, `3 mm`.
    pub fn measured_text(&self) -> Option<String> {
        self.measured.as_ref().map(say)
    }

    /// The limit, printed.
    pub fn limit_text(&self) -> Option<String> {
        self.limit.as_ref().map(say)
    }
}

/// The finding of a rule that applies, or `None` when the rule has nothing to
/// say about these facts.
pub(crate) fn find(rule: &Rule, facts: &Facts) -> Option<Finding> {
    let breach = breach_of(&rule.demand)?;
    match rule.applies(facts) {
        Known::No => return None,
        Known::Missing(fact) => return Some(unknown(rule, fact)),
        Known::Yes => {}
    }
    let (measured, limit) = sizes(&rule.demand, facts);
    let verdict = match rule.ask(facts) {
        crate::rule::Answer::Pass => Verdict::Accept,
        crate::rule::Answer::Fail => breach,
        crate::rule::Answer::Missing(fact) => return Some(unknown(rule, fact)),
        crate::rule::Answer::NotApplicable => return None,
    };
    let message = message(rule, verdict, measured.as_ref(), limit.as_ref());
    Some(Finding { measured, limit, verdict, message, ..bare(rule) })
}

/// A thing that the rule leaves uncounted.
pub(crate) fn ignored(rule: &Rule, measured: Option<Quantity>) -> Finding {
    Finding { measured, message: fill(&rule.finding, measured.as_ref(), None), ..bare(rule) }
}

/// The rule cannot answer because something was not given.
pub(crate) fn unknown(rule: &Rule, fact: &str) -> Finding {
    let message = format!("{}: not judged, {} is not given", rule.title, fact.replace('_', " "));
    Finding { verdict: Verdict::NotCovered, message, ..bare(rule) }
}

fn bare(rule: &Rule) -> Finding {
    Finding {
        rule: rule.id.clone(),
        clause: rule.clause.clone(),
        measured: None,
        limit: None,
        verdict: Verdict::Accept,
        basis: rule.basis,
        message: String::new(),
    }
}

pub(crate) fn breach_of(demand: &Demand) -> Option<Verdict> {
    match demand {
        Demand::AtMost { breach, .. }
        | Demand::AtLeast { breach, .. }
        | Demand::Sum { breach, .. }
        | Demand::StrapsOver { breach, .. }
        | Demand::Flag { breach, .. } => Some(*breach),
        _ => None,
    }
}

fn sizes(demand: &Demand, facts: &Facts) -> (Option<Quantity>, Option<Quantity>) {
    match demand {
        Demand::AtMost { fact, limit, .. } | Demand::AtLeast { fact, limit, .. } => {
            let measured = facts.quantity(fact);
            let system = measured.map_or(System::Inch, |m| m.system);
            let si = limit.value(system, facts);
            (measured, measured.zip(si).map(|(m, si)| Quantity { si, kind: m.kind, system }))
        }
        Demand::Sum { over, up_to, at_most, .. } => match facts.get("openings") {
            Some(Fact::Measures(openings)) => {
                let (sum, limit) = counted_sum(openings, over, up_to, at_most);
                (Some(sum), Some(limit))
            }
            _ => (None, None),
        },
        _ => (None, None),
    }
}

fn message(rule: &Rule, verdict: Verdict, measured: Option<&Quantity>, limit: Option<&Quantity>) -> String {
    if verdict != Verdict::Accept {
        return fill(&rule.finding, measured, limit);
    }
    match (measured, limit) {
        (Some(m), Some(l)) => {
            let side = if matches!(rule.demand, Demand::AtLeast { .. }) { "least" } else { "most" };
            format!("{}: {} measured, at {side} {} allowed", rule.title, say(m), say(l))
        }
        _ => format!("{}: met", rule.title),
    }
}

fn fill(template: &str, measured: Option<&Quantity>, limit: Option<&Quantity>) -> String {
    let text = |q: Option<&Quantity>| q.map_or_else(|| "not given".to_owned(), say);
    template.replace("{measured}", &text(measured)).replace("{limit}", &text(limit))
}
