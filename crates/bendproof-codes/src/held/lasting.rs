//! How long a qualification lasts, whether it is held on a day, and what renews
//! it or gives the right to weld it again.
//!
//! Reads no clock: the day asked about comes in as an argument.

use jiff::civil::Date;

use super::passed::{PassedTest, StandingError, check};
use super::standing::{Doubt, Standing, doubt, not_given, standing};
use crate::catalogue::Code;
use crate::rule::{Cited, Demand, FactAnswer, Facts, Rule};
use crate::words::{Counted, Event, Facet, Hold, RuleKind};

/// What a passed test covers as it was known on a day: uses and renewals after
/// that day do not count, and nothing is covered before the test was finished.
///
/// # Errors
/// [`StandingError`] when the input is not a passed test.
pub fn standing_on(code: &Code, test: &PassedTest, day: Date) -> Result<Standing, StandingError> {
    check(test)?;
    let mut known = test.clone();
    let details = &mut known.details;
    let dated = [&mut details.confirmed, &mut details.other_transfer, &mut details.renewals];
    for days in dated.into_iter().chain([&mut known.uses]) {
        days.retain(|d| *d <= day);
    }
    let mut out = standing(code, &known)?;
    out.on = Some(day);
    out.hold = Some(out.hold_on(day));
    Ok(out)
}

/// The last day a standing is good, in the words of the page, the record and the
/// command line alike: `valid through` that day, the day itself included, and
/// `expired after` it from the next day on. What is not held for another reason
/// says so.
pub fn lasting_words(hold: Option<Hold>, last: Option<Date>) -> String {
    match (hold, last) {
        (Some(Hold::NotYet), _) => "not yet welded on that date".to_owned(),
        (Some(Hold::Nothing), _) => "no qualification".to_owned(),
        (Some(Hold::NotKnown), _) => "expiration undetermined; see open questions".to_owned(),
        (Some(Hold::Lapsed), Some(last)) => format!("expired after {last}"),
        (Some(Hold::Held) | None, Some(last)) => format!("valid through {last}"),
        (Some(Hold::Held | Hold::Lapsed) | None, None) => "unknown".to_owned(),
    }
}

impl Standing {
    /// Whether it is held on a day, by every use that is known here.
    pub fn hold_on(&self, day: Date) -> Hold {
        match self.until {
            _ if day < self.finished => Hold::NotYet,
            _ if self.refused.is_some() || self.not_prolonged.is_some() => Hold::Nothing,
            Some(until) if day > until && self.may_hold(day) => Hold::NotKnown,
            Some(until) if day > until => Hold::Lapsed,
            Some(_) if self.knows_its_end() => Hold::Held,
            _ => Hold::NotKnown,
        }
    }

    /// Whether nothing is left open about how long it lasts.
    pub fn knows_its_end(&self) -> bool {
        !self.doubts.iter().any(|d| d.facet == Some(Facet::Continuity) && !self.is_gap(&d.rule))
    }

    /// Whether uses that may not count would still hold it on a day.
    pub(crate) fn may_hold(&self, day: Date) -> bool {
        self.until_perhaps.is_some_and(|last| day <= last)
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
            (_, FactAnswer::No) => {}
            (Demand::Months(_, counted), FactAnswer::Yes) => used(rule, *counted, test, out),
            (Demand::Ends { renewable, .. }, FactAnswer::Yes) => {
                let days = if *renewable { test.details.renewals.as_slice() } else { &[] };
                run(rule, test, days, days, out);
            }
            (Demand::Doubt { facet, .. }, FactAnswer::Yes) => out.doubts.push(doubt(rule, *facet)),
            (Demand::Refuse, FactAnswer::Yes) => {
                let refusal = doubt(rule, Some(Facet::Continuity));
                out.doubts.push(refusal.clone());
                out.not_prolonged.get_or_insert(refusal);
            }
            (Demand::Months(..) | Demand::Ends { .. }, FactAnswer::Missing(fact)) => {
                not_given(rule, fact, Some(Facet::Continuity), out);
            }
            // A refusal that waits for more than one fact is far from sure to come.
            (Demand::Refuse, FactAnswer::Missing(fact)) if rule.waits_for(facts) == 1 => {
                not_given(rule, fact, Some(Facet::Continuity), out);
            }
            _ => {}
        }
    }
}

/// A period kept by use: by the days that count for certain, and perhaps by all.
fn used(rule: &Rule, counted: Counted, test: &PassedTest, out: &mut Standing) {
    let details = &test.details;
    let all = [test.uses.as_slice(), &details.other_transfer].concat();
    let sure = match counted {
        Counted::Process => all.clone(),
        Counted::ShortCircuitApart => test.uses.clone(),
        Counted::Confirmed => test.uses.iter().copied().filter(|d| details.confirmed.contains(d)).collect(),
    };
    if run(rule, test, &sure, &all, out) {
        let facet = Some(Facet::Continuity);
        // The last days say for which days it matters.
        out.gaps.push(rule.id.clone());
        out.doubts.push(Doubt { message: counted.doubt().to_owned(), ..doubt(rule, facet) });
    }
}

/// Runs a period from each day to the next and tells whether the days that may
/// not count would hold it longer than those that do for certain.
fn run(rule: &Rule, test: &PassedTest, sure: &[Date], all: &[Date], out: &mut Standing) -> bool {
    if out.refused.is_some() {
        return false;
    }
    let (until, _) = last_of(rule, test.finished, sure);
    let (perhaps, has_gap) = last_of(rule, test.finished, all);
    if has_gap {
        out.gaps.push(rule.id.clone());
        out.doubts.push(doubt(rule, Some(Facet::Continuity)));
    }
    out.because.push(Cited::of(rule));
    let Some((until, perhaps)) = until.zip(perhaps) else { return false };
    if out.until.is_none_or(|so_far| until < so_far) {
        out.until = Some(until);
        out.ended = Some(until).filter(|day| has_gap && *day == perhaps);
        out.until_note = rule.note.clone();
        out.continuity = Some(Cited::of(rule));
    }
    out.until_perhaps = Some(out.until_perhaps.map_or(perhaps, |so_far| so_far.min(perhaps)));
    perhaps > until
}

/// The last day covered, and whether a day came after it; such a day revives
/// nothing.
fn last_of(rule: &Rule, finished: Date, days: &[Date]) -> (Option<Date>, bool) {
    let mut days = days.to_vec();
    days.sort_unstable();
    let mut until = rule.demand.last_day(finished);
    for day in days {
        if until.is_some_and(|last| day > last) {
            return (until, true);
        }
        until = rule.demand.last_day(day);
    }
    (until, false)
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
/// something not given is stated too; it says what it depends on.
pub fn renewal(code: &Code, test: &PassedTest) -> Vec<Advice> {
    let mut facts = test.facts(code.names);
    let mut out = Vec::new();
    for event in Event::ALL {
        facts.word("event", event.word());
        let rules = code.of_kind(RuleKind::Renewal).chain(code.of_kind(RuleKind::Retest));
        for rule in rules.filter(|r| r.applies(&facts) != FactAnswer::No) {
            out.push(Advice { event: *event, sentence: rule.finding.clone(), because: Cited::of(rule) });
        }
    }
    out
}
