//! Judges bent straps: every opening, every strap, the set.
//!
//! Holds no limit and no code's habits; which openings count, which limit meets
//! which and what a breach means all come from the rules.

use std::collections::BTreeSet;

use bendproof_measure::{Kind, Quantity, Toward};

use super::finding::{Finding, find, ignored, unknown};
use super::readings::flags;
use super::specimens::{Coupon, OtherExams, set_finding, thickness_finding};
use crate::catalogue::Code;
use crate::rule::{Demand, Fact, FactAnswer, Facts, Rule, is_shops};
use crate::words::{Basis, Cause, Open, Place, RuleKind, StrapKind, Verdict, Zone};

/// One opening on a bent strap.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Opening {
    /// Longest dimension in any direction, in the system it was read in.
    pub length: Quantity,
    /// Where it starts.
    pub place: Place,
    /// What it visibly comes from.
    pub cause: Cause,
    /// The metal it lies in.
    pub zone: Zone,
}

/// One bent strap.
#[derive(Debug, Clone, PartialEq)]
pub struct Strap {
    /// Its mark.
    pub id: String,
    /// The side that was stretched.
    pub kind: StrapKind,
    /// Thickness as bent; `None` where nobody measured it, and then it is not
    /// judged.
    pub thickness: Option<Quantity>,
    /// Pipe wall, where known.
    pub wall: Option<Quantity>,
    /// Weld and heat-affected zone lie wholly within the bent part; `None` where
    /// nobody said.
    pub weld_in_bend: Option<bool>,
    /// `None`: not looked at yet. Empty: looked at, nothing found.
    pub openings: Option<Vec<Opening>>,
}

/// A set of bent straps from one coupon.
#[derive(Debug, Clone, PartialEq)]
pub struct BendTest {
    /// The straps.
    pub straps: Vec<Strap>,
    /// The coupon, where the set's completeness is to be judged too.
    pub coupon: Option<Coupon>,
    /// What else was examined, where the set asks for it.
    pub others: OtherExams,
}

/// Verdict on one strap.
#[derive(Debug, Clone, PartialEq)]
pub struct StrapReport {
    /// The strap's mark.
    pub id: String,
    /// Worst of its findings.
    pub verdict: Verdict,
    /// Whether it was looked at.
    pub inspected: bool,
    /// What each rule said.
    pub findings: Vec<Finding>,
}

/// Verdict on a set of straps.
#[derive(Debug, Clone, PartialEq)]
pub struct BendReport {
    /// The code.
    pub code: String,
    /// Worst of the straps and of the set. Reject before void before not
    /// covered before accept.
    pub verdict: Verdict,
    /// Every strap, in the order given.
    pub straps: Vec<StrapReport>,
    /// What is said of the set: completeness, where the coupon was given.
    pub set: Vec<Finding>,
}

/// Input that cannot be a set of bent straps.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum BendError {
    /// No strap at all.
    #[error("no bend specimen is listed; list each one, with `openings = []` where none was found")]
    NoStraps,
    /// Two straps of one mark.
    #[error("specimen `{0}` is listed twice; give each specimen its own mark")]
    StrapTwice(String),
    /// A size that is not above zero, or not a length.
    #[error("specimen `{strap}`: {what} is {value}; enter a length above zero")]
    Size {
        /// The strap.
        strap: String,
        /// Which size.
        what: &'static str,
        /// Its value.
        value: String,
    },
}

/// Judges a set of bent straps under a code.
///
/// Inch readings are compared with the code's inch limits and millimetre
/// readings with its millimetre limits. A strap that was not looked at is never
/// accepted, and neither is one too thick or too thin for the code's former.
/// Without the coupon only straps whose thickness the code fixes by itself are
/// compared.
///
/// # Errors
/// [`BendError`] when the input is empty and there is no film, names a strap twice or holds a size
/// that is not a positive length.
pub fn judge(code: &Code, test: &BendTest) -> Result<BendReport, BendError> {
    check(test)?;
    let straps: Vec<StrapReport> =
        test.straps.iter().map(|s| judge_strap(code, s, test.coupon.as_ref())).collect();
    let mut set: Vec<Finding> =
        test.coupon.iter().flat_map(|c| set_finding(code, c, &test.straps, &test.others)).collect();
    set.extend(judge_set(code, test));
    let worst = straps.iter().map(|s| s.verdict).chain(set.iter().map(|f| f.verdict)).max();
    Ok(BendReport { code: code.id.clone(), verdict: worst.unwrap_or(Verdict::NotCovered), straps, set })
}

fn check(test: &BendTest) -> Result<(), BendError> {
    // A film may stand for every strap; whether it does is the set's to say.
    if test.straps.is_empty() && !(test.others.is_radiographed && test.coupon.is_some()) {
        return Err(BendError::NoStraps);
    }
    let mut seen = BTreeSet::new();
    for strap in &test.straps {
        if !seen.insert(strap.id.as_str()) {
            return Err(BendError::StrapTwice(strap.id.clone()));
        }
        let openings = strap.openings.iter().flatten().map(|o| ("a discontinuity", o.length));
        let sizes = [("the thickness", strap.thickness), ("the wall", strap.wall)];
        let sizes = sizes.into_iter().filter_map(|(what, q)| q.map(|q| (what, q))).chain(openings);
        for (what, size) in sizes {
            if size.kind != Kind::Length || !size.si.is_finite() || size.si <= 0.0 {
                let value = bendproof_measure::say(&size);
                return Err(BendError::Size { strap: strap.id.clone(), what, value });
            }
        }
    }
    Ok(())
}

fn judge_strap(code: &Code, strap: &Strap, coupon: Option<&Coupon>) -> StrapReport {
    let facts = strap_facts(strap, coupon);
    let rules: Vec<&Rule> = code.of_kind(RuleKind::Bend).collect();
    let mut findings: Vec<Finding> = rules
        .iter()
        .filter(|r| matches!(r.demand, Demand::Flag { .. } | Demand::Doubt { .. }))
        .filter_map(|r| find(r, &facts))
        .collect();
    if strap.weld_in_bend == Some(false) && !asks_weld_in_bend(code) {
        let message = "weld and heat-affected zone do not lie wholly within the bent part, and no rule here \
                       says what that means; ask the inspector";
        findings.push(no_rule(code, None, message));
    }
    let measured = strap.thickness.as_ref();
    findings.extend(measured.and_then(|thickness| thickness_finding(code, coupon, strap.kind, thickness)));
    let mut counted = Vec::new();
    for opening in strap.openings.iter().flatten() {
        findings.extend(judge_opening(code, &rules, &facts, opening, &mut counted));
    }
    if !counted.is_empty() {
        let mut whole = facts.clone();
        whole.set("openings", Fact::Measures(counted));
        let sums = rules.iter().filter(|r| matches!(r.demand, Demand::Sum { .. }));
        // A reading of our own speaks only when it objects; where it is content
        // the code's own rule has already said everything.
        let objects = |f: &Finding| f.basis != Basis::Choice || f.verdict != Verdict::Accept;
        findings.extend(sums.filter_map(|r| find(r, &whole)).filter(objects));
    }
    let verdict = findings.iter().map(|f| f.verdict).max().unwrap_or(Verdict::NotCovered);
    StrapReport { id: strap.id.clone(), verdict, inspected: strap.openings.is_some(), findings }
}

/// The wall is that of the coupon; where none is stated, a strap of full thickness
/// is as thick as the wall it was cut from.
fn strap_facts(strap: &Strap, coupon: Option<&Coupon>) -> Facts {
    let full_thickness = strap.thickness.filter(|_| strap.kind != StrapKind::Side);
    let wall = strap.wall.or(coupon.map(|coupon| coupon.thickness)).or(full_thickness);
    let mut facts = Facts::default();
    facts
        .word("strap_kind", strap.kind.word())
        .flag("inspected", strap.openings.is_some())
        .measure("strap_thickness", strap.thickness)
        .measure("wall", wall);
    flags(&mut facts, &[("weld_in_bend", strap.weld_in_bend)]);
    facts
}

/// What the code says of the straps together, by the worst counted opening of
/// each one looked at.
fn judge_set(code: &Code, test: &BendTest) -> Vec<Finding> {
    let rules: Vec<&Rule> = code.of_kind(RuleKind::Bend).collect();
    let of_set = |rule: &&Rule| {
        let Demand::StrapsOver { limit, .. } = &rule.demand else { return None };
        let past = |o: &Quantity| o.si - limit.in_system(o.system).si;
        let worst = |strap: &Strap| {
            let mut counted = vec![Quantity::from_si(Kind::Length, 0.0)];
            let facts = strap_facts(strap, test.coupon.as_ref());
            for opening in strap.openings.as_ref()? {
                judge_opening(code, &rules, &facts, opening, &mut counted);
            }
            counted.into_iter().max_by(|a, b| past(a).total_cmp(&past(b)))
        };
        let mut facts = Facts::default();
        facts.set("longest_openings", Fact::Measures(test.straps.iter().filter_map(worst).collect()));
        find(rule, &facts)
    };
    rules.iter().filter_map(of_set).collect()
}

fn judge_opening(
    code: &Code,
    rules: &[&Rule],
    strap: &Facts,
    opening: &Opening,
    counted: &mut Vec<Quantity>,
) -> Vec<Finding> {
    if opening.place == Place::NotStated || opening.cause == Cause::NotStated {
        return whatever_is_not_stated(code, rules, strap, opening, counted);
    }
    let mut facts = strap.clone();
    facts
        .measure("length", Some(opening.length))
        .word("place", opening.place.word())
        .word("cause", opening.cause.word())
        .word("zone", opening.zone.word());
    for rule in rules.iter().filter(|r| r.demand == Demand::Ignore) {
        match rule.applies(&facts) {
            FactAnswer::Yes => return vec![ignored(rule, Some(opening.length))],
            FactAnswer::Missing(fact) => return vec![unknown(rule, fact)],
            FactAnswer::No => {}
        }
    }
    counted.push(opening.length);
    let limits = rules.iter().filter(|r| matches!(r.demand, Demand::AtMost { fact: "length", .. }));
    let mut findings: Vec<Finding> = limits.filter_map(|r| find(r, &facts)).collect();
    // A shop's own rule that is content does not make the code speak.
    if findings.iter().all(|f| is_shops(&f.rule)) {
        findings.push(no_rule(
            code,
            Some(opening.length),
            "no rule in this program judges such a discontinuity",
        ));
    }
    findings
}

/// An opening whose place or cause nobody stated is judged as if it had each in
/// turn. Where all of them agree it does not matter; where they differ nothing
/// is decided, and least of all in the strap's favour.
fn whatever_is_not_stated(
    code: &Code,
    rules: &[&Rule],
    strap: &Facts,
    opening: &Opening,
    counted: &mut Vec<Quantity>,
) -> Vec<Finding> {
    let (mut verdicts, mut rules_speaking) = (BTreeSet::new(), BTreeSet::new());
    let (mut strictest, mut is_counted) = (Vec::new(), false);
    let worst = |findings: &[Finding]| findings.iter().map(|f| f.verdict).max();
    for possible in each_possible(*opening) {
        let mut here = Vec::new();
        let found = judge_opening(code, rules, strap, &possible, &mut here);
        is_counted |= !here.is_empty();
        verdicts.extend(worst(&found));
        rules_speaking.insert(found.iter().map(|f| f.rule.clone()).collect::<Vec<_>>());
        // Of equals the last: its cause is a flaw, and flaws have the stricter limits.
        if worst(&found) >= worst(&strictest) {
            strictest = found;
        }
    }
    counted.extend(is_counted.then_some(opening.length));
    if verdicts.len() > 1
        && let Some(worst) = strictest.iter().max_by_key(|f| f.verdict)
    {
        return vec![undecided(opening, worst)];
    }
    // Rules that are about one place or cause must not say that it was seen.
    if rules_speaking.len() > 1 {
        return strictest.into_iter().map(|finding| whatever_it_is(opening, finding)).collect();
    }
    strictest
}

/// What is said where the place or cause decides and nobody stated it.
fn undecided(opening: &Opening, worst: &Finding) -> Finding {
    let (what, say) = match opening.place {
        Place::NotStated => ("place", "on the convex surface or at a corner of the specimen"),
        _ => ("cause", "whether slag or lack of fusion is visible in it"),
    };
    let length = bendproof_measure::say(&opening.length);
    let message = format!("the {what} of an opening of {length} is not stated and decides; say {say}");
    let open = Some(Open::NotEntered);
    Finding { verdict: Verdict::NotCovered, open, message, ..worst.clone() }
}

/// What is said where the place or cause is not stated and does not decide.
fn whatever_it_is(opening: &Opening, finding: Finding) -> Finding {
    let what = match (opening.place, opening.cause) {
        (Place::NotStated, Cause::NotStated) => "place and cause",
        (Place::NotStated, _) => "place",
        _ => "cause",
    };
    let length = bendproof_measure::say(&opening.length);
    let message = match (finding.verdict, finding.limit_text()) {
        (Verdict::Accept, Some(limit)) => {
            format!("Discontinuity, {what} not stated: {length} measured, at most {limit} allowed")
        }
        (_, Some(limit)) => {
            format!("discontinuity of {length} exceeds {limit} whatever its {what}, not stated")
        }
        (_, None) => format!("discontinuity of {length}: the same whatever its {what}, not stated"),
    };
    Finding { message, ..finding }
}

/// The opening with every place and cause that it may have, by what is stated.
fn each_possible(opening: Opening) -> impl Iterator<Item = Opening> {
    let places = Place::ALL.iter().copied().filter(move |place| match opening.place {
        Place::NotStated => *place != Place::NotStated,
        stated => *place == stated,
    });
    places.flat_map(move |place| {
        let causes = Cause::ALL.iter().copied().filter(move |cause| match opening.cause {
            Cause::NotStated => *cause != Cause::NotStated,
            stated => *cause == stated,
        });
        causes.map(move |cause| Opening { place, cause, ..opening })
    })
}

/// Whether a code asks that weld and heat-affected zone lie wholly within the
/// bent part of a strap.
pub fn asks_weld_in_bend(code: &Code) -> bool {
    let is_it = |rule: &Rule| matches!(rule.demand, Demand::Flag { fact: "weld_in_bend", .. });
    code.of_kind(RuleKind::Bend).any(is_it)
}

/// No rule of the code speaks of it; that is said, never passed.
fn no_rule(code: &Code, measured: Option<Quantity>, message: &str) -> Finding {
    Finding {
        rule: "no-bend-rule".to_owned(),
        clause: code.short.clone(),
        measured,
        limit: None,
        limit_side: Toward::Less,
        verdict: Verdict::NotCovered,
        open: Some(Open::NoLimit),
        basis: Basis::Choice,
        message: message.to_owned(),
    }
}
