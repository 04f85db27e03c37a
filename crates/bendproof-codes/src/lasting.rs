//! How long a qualification lasts, whether it is held on a day, and what renews
//! it or gives the right to weld it again.
//!
//! Reads no clock: the day asked about comes in as an argument.

use jiff::civil::Date;

use crate::catalogue::Code;
use crate::fact::{Facts, Known};
use crate::passed::{PassedTest, StandingError, check};
use crate::rule::{Demand, Rule};
use crate::specimens::Cited;
use crate::standing::{Standing, doubt, not_given, standing};
use crate::words::{Event, Facet, Hold, RuleKind};

/// What a passed test covers as it was known on a day: uses and renewals after
/// that day do not count, and nothing is covered before the test was finished.
///
/// # Errors
/// [`StandingError`] when the input is not a passed test.
pub fn standing_on(code: &Code, test: &PassedTest, day: Date) -> Result<Standing, StandingError> {
    check(test)?;
    let mut known = test.clone();
    known.uses.retain(|used| *used <= day);
    known.details.renewals.retain(|renewed| *renewed <= day);
    let mut out = standing(code, &known)?;
    out.on = Some(day);
    out.hold = Some(held(&out, day));
    Ok(out)
}

fn held(standing: &Standing, day: Date) -> Hold {
    match standing.until {
        _ if day < standing.finished => Hold::NotYet,
        _ if standing.refused.is_some() || standing.not_prolonged.is_some() => Hold::Nothing,
        Some(until) if day > until => Hold::Lapsed,
        Some(_) if standing.knows_its_end() => Hold::Held,
        _ => Hold::NotKnown,
    }
}

impl Standing {
    /// Whether nothing is left open about how long it lasts.
    pub fn knows_its_end(&self) -> bool {
        !self.doubts.iter().any(|d| d.facet == Some(Facet::Continuity) && !self.is_gap(&d.rule))
    }

    /// Whether a doubt about time tells of a gap, which the last day settles.
    pub(crate) fn is_gap(&self, rule: &str) -> bool {
        self.gaps.iter().any(|gap| gap == rule)
    }
}

/// The last day covered: the earliest end of all periods that run.
pub(crate) fn time(code: &Code, test: &PassedTest, facts: &Facts, out: &mut Standing) {
    for rule in code.of_kind(RuleKind::Continuity) {
        match (&rule.demand, rule.applies(facts)) {
            (_, Known::No) => {}
            (Demand::Months(_) | Demand::MonthsShort(_), Known::Yes) => run(rule, test, &test.uses, out),
            (Demand::Ends { renewable, .. }, Known::Yes) => {
                run(rule, test, if *renewable { &test.details.renewals } else { &[] }, out);
            }
            (Demand::Doubt { facet, .. }, Known::Yes) => out.doubts.push(doubt(rule, *facet)),
            (Demand::Refuse, Known::Yes) => {
                let refusal = doubt(rule, Some(Facet::Continuity));
                out.doubts.push(refusal.clone());
                out.not_prolonged.get_or_insert(refusal);
            }
            (Demand::Months(_) | Demand::MonthsShort(_) | Demand::Ends { .. }, Known::Missing(fact)) => {
                not_given(rule, fact, Some(Facet::Continuity), out);
            }
            // A refusal that waits for more than one fact is far from sure to come.
            (Demand::Refuse, Known::Missing(fact)) if rule.waits_for(facts) == 1 => {
                not_given(rule, fact, Some(Facet::Continuity), out);
            }
            _ => {}
        }
    }
}

/// The period runs from each day to the next, and a day after it ended revives
/// nothing.
fn run(rule: &Rule, test: &PassedTest, days: &[Date], out: &mut Standing) {
    if out.refused.is_some() {
        return;
    }
    let mut days = days.to_vec();
    days.sort_unstable();
    let mut until = rule.demand.last_day(test.finished);
    let mut has_gap = false;
    for day in days {
        if until.is_some_and(|last| day > last) {
            has_gap = true;
            out.gaps.push(rule.id.clone());
            out.doubts.push(doubt(rule, Some(Facet::Continuity)));
            break;
        }
        until = rule.demand.last_day(day);
    }
    out.because.push(Cited::of(rule));
    if until.is_some() && out.until.is_none_or(|so_far| until.is_some_and(|u| u < so_far)) {
        out.until = until;
        out.ended = until.filter(|_| has_gap);
        out.until_note = rule.note.clone();
        out.continuity = Some(Cited::of(rule));
    }
}

/// A sentence about the life of a qualification.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Advice {
    /// What it is for.
    pub event: Event,
    /// The sentence.
    pub sentence: String,
    /// The rule.
    pub because: Cited,
}

/// What renews a qualification, what a lapse costs and when a failed test may
/// be welded again, in the order of its life. A sentence that depends on
/// something not given is told too; it says what it depends on.
pub fn renewal(code: &Code, test: &PassedTest) -> Vec<Advice> {
    let mut facts = test.facts(code.names);
    let mut out = Vec::new();
    for event in Event::ALL {
        facts.word("event", event.word());
        let rules = code.of_kind(RuleKind::Renewal).chain(code.of_kind(RuleKind::Retest));
        for rule in rules.filter(|r| r.applies(&facts) != Known::No) {
            out.push(Advice { event: *event, sentence: rule.finding.clone(), because: Cited::of(rule) });
        }
    }
    out
}
