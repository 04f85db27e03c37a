//! One rule applied to one thing, said in a sentence.
//!
//! Composes nothing into an overall verdict; the judges of bends and of other examinations do.

use bendproof_measure::{Quantity, System, Toward, say, say_limit};

use super::examine::is_context;
use crate::rule::{Demand, Extent, Fact, FactAnswer, Facts, Most, Rule, Span, breach_of, counted_sum};
use crate::words::{Basis, Open, Verdict};

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
    /// Which way the limit is rounded where it is stated: to its safe side.
    pub limit_side: Toward,
    /// What the rule says.
    pub verdict: Verdict,
    /// Why it decides nothing, where that is known.
    pub open: Option<Open>,
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
        self.limit.as_ref().map(|limit| say_limit(limit, self.limit_side))
    }
}

/// The finding of a rule that applies, or `None` when the rule has nothing to
/// say about these facts.
pub(crate) fn find(rule: &Rule, facts: &Facts) -> Option<Finding> {
    let breach = breach_of(&rule.demand)?;
    match rule.applies(facts) {
        FactAnswer::No => return None,
        FactAnswer::Missing(fact) => return Some(unknown(rule, fact)),
        FactAnswer::Yes => {}
    }
    let (measured, limit) = sizes(&rule.demand, facts);
    let verdict = match rule.ask(facts) {
        crate::rule::Answer::Pass => Verdict::Accept,
        crate::rule::Answer::Fail => breach,
        crate::rule::Answer::Missing(fact) => return Some(unknown(rule, fact)),
        crate::rule::Answer::NotApplicable => return None,
    };
    let mut message = message(rule, verdict, measured.as_ref(), limit.as_ref());
    if let (Some(m), Some(System::Metric)) = (&measured, limit.map(|l| l.system))
        && m.system == System::Inch
    {
        let metric = say_limit(&Quantity { system: System::Metric, ..*m }, Toward::Nearest);
        message = format!("{message}; the code has no inch limit, {} is taken as {metric}", say(m));
    }
    let open = (verdict == Verdict::NotCovered).then_some(match &rule.demand {
        Demand::Flag { fact: "inspected", .. } => Open::NotInspected,
        _ => Open::OutsideTest,
    });
    Some(Finding { measured, limit, verdict, open, message, ..bare(rule) })
}

/// A thing that the rule leaves uncounted.
pub(crate) fn ignored(rule: &Rule, measured: Option<Quantity>) -> Finding {
    Finding { measured, message: fill(&rule.finding, measured.as_ref(), None), ..bare(rule) }
}

/// The rule cannot answer because something was not given.
pub(crate) fn unknown(rule: &Rule, fact: &str) -> Finding {
    let message = format!("{}: not judged; enter {}", rule.title, fact.replace('_', " "));
    let open = if is_context(fact) { Open::NotEntered } else { Open::NotInspected };
    Finding { verdict: Verdict::NotCovered, open: Some(open), message, ..bare(rule) }
}

fn bare(rule: &Rule) -> Finding {
    Finding {
        rule: rule.id.clone(),
        clause: rule.clause.clone(),
        measured: None,
        limit: None,
        limit_side: side_of(&rule.demand),
        verdict: Verdict::Accept,
        open: None,
        basis: rule.basis,
        message: String::new(),
    }
}

/// A least value is rounded up, a greatest one down.
fn side_of(demand: &Demand) -> Toward {
    if matches!(demand, Demand::AtLeast { .. }) { Toward::Greater } else { Toward::Less }
}

fn sizes(demand: &Demand, facts: &Facts) -> (Option<Quantity>, Option<Quantity>) {
    match demand {
        Demand::AtMost { fact, limit, .. } | Demand::AtLeast { fact, limit, .. } => {
            let measured = match facts.get(fact) {
                Some(Fact::Spans(list)) => worst_of(list, limit, facts),
                _ => facts.quantity(fact),
            };
            (measured, measured.and_then(|m| limit_for(&m, limit, facts)))
        }
        Demand::Within { fact, stretch, most: Most::Sum(most), .. } => match facts.get(fact) {
            Some(Fact::Spans(list)) => {
                let sum = stretch.sum(list, facts);
                (sum, sum.and_then(|sum| limit_for(&sum, most, facts)))
            }
            _ => (None, None),
        },
        Demand::Sum { over, up_to, at_most, .. } => match facts.get("openings") {
            Some(Fact::Measures(openings)) => {
                let (sum, limit) = counted_sum(openings, over, up_to, at_most);
                let system = if at_most.is_metric_only() { System::Metric } else { limit.system };
                (Some(sum), Some(Quantity { system, ..limit }))
            }
            _ => (None, None),
        },
        _ => (None, None),
    }
}

/// The limit a reading is compared with. A code that prints millimetres alone
/// has no other limit to show to a reading in inches.
fn limit_for(measured: &Quantity, limit: &Extent, facts: &Facts) -> Option<Quantity> {
    let system = if limit.is_metric_only() { System::Metric } else { measured.system };
    let si = limit.value(measured.system, facts).filter(|si| si.is_finite())?;
    Some(Quantity { si, kind: measured.kind, system })
}

/// The one of a list that comes nearest its limit or exceeds it most.
fn worst_of(list: &[Span], limit: &Extent, facts: &Facts) -> Option<Quantity> {
    let past = |q: &Quantity| q.si - limit.value(q.system, facts).unwrap_or(f64::INFINITY);
    list.iter().map(|span| span.length).max_by(|a, b| past(a).total_cmp(&past(b)))
}

fn message(rule: &Rule, verdict: Verdict, measured: Option<&Quantity>, limit: Option<&Quantity>) -> String {
    let is_none = limit.is_some_and(|limit| limit.si == 0.0);
    let limit = limit.map(|limit| say_limit(limit, side_of(&rule.demand)));
    if verdict != Verdict::Accept {
        return fill(&rule.finding, measured, limit);
    }
    match (measured, limit) {
        (Some(m), Some(limit)) => {
            let limit = match rule.demand {
                Demand::AtLeast { .. } => format!("at least {limit} required"),
                _ if is_none => "none allowed".to_owned(),
                _ => format!("at most {limit} allowed"),
            };
            format!("{}: {} measured, {limit}", rule.title, say(m))
        }
        _ => format!("{}: met", rule.title),
    }
}

fn fill(template: &str, measured: Option<&Quantity>, limit: Option<String>) -> String {
    let or_not_given = |text: Option<String>| text.unwrap_or_else(|| "not given".to_owned());
    let template = template.replace("{measured}", &or_not_given(measured.map(say)));
    template.replace("{limit}", &or_not_given(limit))
}
