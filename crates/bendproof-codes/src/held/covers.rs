//! Whether a standing covers a joint: covered, not covered, or not sure, with
//! the rules that say so.
//!
//! A joint property that matters and was not given makes the answer not sure.

use bendproof_measure::{Quantity, System};
use bendproof_weld::{Polarity, Process, Progression, Transfer};
use jiff::civil::Date;

use super::passed::gas_word;
use super::standing::{Covered, Doubt, Gives, Grant, Standing};
use crate::rule::{
    ANY, Both, Cited, FactAnswer, Facts, NO_FILLER, filler_facts, group, is_over, is_under, spaced,
};
use crate::words::{Facet, JointBacking, JointKind, JointPosition};

/// A production joint; `None` is not given.
///
#[derive(Debug, Clone, PartialEq)]
pub struct Joint {
    /// Groove in plate, groove in pipe, or fillet.
    pub kind: JointKind,
    /// Position of the weld.
    pub position: JointPosition,
    /// Process.
    pub process: Process,
    /// Metal transfer; matters for GMAW.
    pub transfer: Option<Transfer>,
    /// Thickness of the base metal.
    pub thickness: Option<Quantity>,
    /// Pipe diameter; a fillet with one is a fillet on pipe.
    pub diameter: Option<Quantity>,
    /// Backing of a groove.
    pub backing: Option<JointBacking>,
    /// Progression where the weld is vertical.
    pub progression: Option<Progression>,
    /// F-number of the filler; `none` where it is welded without.
    pub filler: Option<String>,
    /// Day of the work.
    pub day: Option<Date>,
    /// What only some codes ask.
    pub details: JointDetails,
}

/// What only some codes ask of a joint; all of it may be left out.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct JointDetails {
    /// Filler group, as `FM1`.
    pub fm_group: Option<String>,
    /// Filler type: `S` solid, `M` metal core, `B` basic and so on.
    pub filler_type: Option<String>,
    /// Layers of a fillet.
    pub layers: Option<u32>,
    /// The pipe is turned while it is welded.
    pub rotated: Option<bool>,
    /// P-number of the base metal, as `P1`.
    pub base_metal: Option<String>,
    /// Weld metal this process puts into a groove, no more than its thickness.
    pub deposit: Option<Quantity>,
    /// Current type and polarity.
    pub polarity: Option<Polarity>,
    /// Whether gas shields the root from behind.
    pub backing_gas: Option<bool>,
}

/// An answer about a joint, best first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum CoverAnswer {
    /// Every side of the joint is within the standing.
    Covered,
    /// Something is disputed, unknown or not given.
    NotSure,
    /// At least one side is outside.
    NotCovered,
}

impl CoverAnswer {
    /// `covered`, `not_sure` or `not_covered`.
    pub fn word(self) -> &'static str {
        match self {
            CoverAnswer::Covered => "covered",
            CoverAnswer::NotSure => "not_sure",
            CoverAnswer::NotCovered => "not_covered",
        }
    }
}

/// The answer about one side of a joint.
#[derive(Debug, Clone, PartialEq)]
pub struct CoverReason {
    /// Which side; `None` is the whole.
    pub facet: Option<Facet>,
    /// The answer.
    pub answer: CoverAnswer,
    /// Ids of the rules behind it.
    pub rules: Vec<String>,
    /// Their clauses as the code of the standing numbers them, each once.
    pub clauses: Vec<String>,
    /// The reason as a sentence.
    pub message: String,
}

/// The answer about a joint.
#[derive(Debug, Clone, PartialEq)]
pub struct Coverage {
    /// Worst of the reasons.
    pub answer: CoverAnswer,
    /// One reason for each side that matters.
    pub reasons: Vec<CoverReason>,
}

/// How a side that no rule grants is reported.
const OUTSIDE: &str = "is outside the qualified range";

impl CoverReason {
    /// Not refused, only open: what it says is no more than its answer.
    fn leave_open(&mut self, why: &str) {
        if self.answer != CoverAnswer::NotCovered {
            return;
        }
        self.answer = CoverAnswer::NotSure;
        if let Some(side) = self.message.strip_suffix(OUTSIDE) {
            self.message = format!("whether {}is qualified is an open question{why}", side);
        }
    }
}

/// Says whether a standing covers a joint.
pub fn covers(standing: &Standing, joint: &Joint) -> Coverage {
    if let Some(refused) = &standing.refused {
        let reason = CoverReason {
            facet: None,
            answer: CoverAnswer::NotCovered,
            rules: vec![refused.rule.clone()],
            clauses: refused.clause.iter().cloned().collect(),
            message: refused.message.clone(),
        };
        return Coverage { answer: CoverAnswer::NotCovered, reasons: vec![reason] };
    }
    let reasons = reasons(standing, joint, &|_| true);
    let answer = reasons.iter().map(|r| r.answer).max().unwrap_or(CoverAnswer::NotSure);
    Coverage { answer, reasons }
}

/// The reasons on the sides wanted, in the order of the sides; the doubts that
/// belong to no side are stated whenever any is.
///
/// Asking about one side of many joints need not word the others.
pub(crate) fn reasons(
    standing: &Standing,
    joint: &Joint,
    is_wanted: &dyn Fn(Facet) -> bool,
) -> Vec<CoverReason> {
    let mut reasons = word_reasons(standing, joint, is_wanted);
    if is_wanted(Facet::Position) {
        reasons.push(position(standing, joint));
    }
    if is_wanted(Facet::Thickness) {
        reasons.push(size(standing, joint, Facet::Thickness, joint.thickness));
    }
    let has_range = || standing.grants_of(Facet::Diameter, joint.kind).next().is_some();
    if is_wanted(Facet::Diameter) && matters(Facet::Diameter, standing, joint) && has_range() {
        reasons.push(size(standing, joint, Facet::Diameter, joint.diameter));
    }
    if is_wanted(Facet::Continuity) {
        reasons.extend(in_time(standing, joint));
    }
    // What sources dispute is no ground for a flat no.
    for reason in &mut reasons {
        if reason.facet.is_some_and(|facet| standing.is_disputed(facet, joint.kind)) {
            reason.leave_open(": the rule for it is disputed");
        }
    }
    let is_stated = |d: &&Doubt| d.facet.is_none_or(is_wanted) && is_about(d, standing, joint);
    for doubt in standing.doubts.iter().chain(&standing.asked_doubts).filter(is_stated) {
        // Where a side is doubted, what the other rules leave out is not refused.
        // Time is no such side: no doubt gives back what ran out.
        let weakens = doubt.facet.is_some_and(|facet| facet != Facet::Continuity);
        reasons.iter_mut().filter(|r| weakens && r.facet == doubt.facet).for_each(|r| r.leave_open(""));
        reasons.push(CoverReason {
            facet: doubt.facet,
            answer: CoverAnswer::NotSure,
            rules: vec![doubt.rule.clone()],
            clauses: doubt.clause.iter().cloned().collect(),
            message: doubt.message.clone(),
        });
    }
    reasons
}

fn is_about(doubt: &Doubt, standing: &Standing, joint: &Joint) -> bool {
    // A gap is settled by the last day covered.
    let settled = doubt.facet == Some(Facet::Continuity) && standing.is_gap(&doubt.rule);
    let this_joint = doubt.joints.is_empty() || doubt.joints.iter().any(|j| j == joint.kind.word());
    let is_one = |given: JointBacking| doubt.backing.iter().any(|b| b == given.word());
    let this_backing = doubt.backing.is_empty() || joint.backing.is_none_or(is_one);
    let this_side = doubt.facet.is_none_or(|facet| {
        matters(facet, standing, joint)
            && is_among(doubt, facet, standing, joint)
            && is_over_it(doubt, facet, joint)
    });
    !settled && this_joint && this_backing && this_side
}

/// Whether a doubt about some words may be about what the joint asks for.
fn is_among(doubt: &Doubt, facet: Facet, standing: &Standing, joint: &Joint) -> bool {
    let asked = || asked_words(standing, joint).into_iter().find(|(side, _)| *side == facet);
    let is_one = |words: Vec<String>| words.is_empty() || words.iter().any(|w| doubt.words.contains(w));
    doubt.words.is_empty() || asked().is_none_or(|(_, words)| is_one(words))
}

/// Whether a doubt about sizes over one may be about the joint's size.
fn is_over_it(doubt: &Doubt, facet: Facet, joint: &Joint) -> bool {
    let size =
        if facet == Facet::Diameter { joint.diameter } else { joint.details.deposit.or(joint.thickness) };
    let asked = doubt.over.zip(size);
    asked.is_none_or(|(least, size)| !size.si.is_finite() || is_over(&size, in_system_of(&size, least)))
}

fn matters(facet: Facet, standing: &Standing, joint: &Joint) -> bool {
    let rises =
        matches!(joint.position, JointPosition::Vertical | JointPosition::Fixed | JointPosition::Inclined);
    let spoken = standing.speaks_of(facet);
    match facet {
        Facet::Progression => rises && !standing.names.holds_progression,
        // Codes that tell plate from pipe have a diameter for fillets too.
        Facet::Diameter => {
            joint.kind == JointKind::PipeGroove
                || (is_on_pipe(joint) && standing.spoken.contains(&Facet::Product))
        }
        Facet::Backing => joint.kind != JointKind::Fillet,
        Facet::Transfer => joint.process == Process::Gmaw,
        Facet::Continuity => asked_day(standing, joint).is_some(),
        Facet::Runs => joint.kind == JointKind::Fillet && spoken,
        Facet::Weld | Facet::Product | Facet::BaseMetal => spoken,
        Facet::FillerType | Facet::Polarity | Facet::BackingGas => spoken,
        _ => true,
    }
}

fn is_on_pipe(joint: &Joint) -> bool {
    joint.kind == JointKind::PipeGroove || (joint.kind == JointKind::Fillet && joint.diameter.is_some())
}

/// Every side of a joint that is a word, as the code names it; several words
/// where the joint does not settle which.
fn asked_words(standing: &Standing, joint: &Joint) -> Vec<(Facet, Vec<String>)> {
    let one = |word: Option<&str>| word.map(str::to_owned).into_iter().collect::<Vec<String>>();
    let (names, details) = (standing.names, &joint.details);
    let (f_number, filler_type) = filler_facts(joint.filler.as_deref(), details.filler_type.as_deref());
    let filler = if names.fm_groups { details.fm_group.as_deref().map(group) } else { f_number };
    let metal = details.base_metal.as_deref().map(group);
    let weld = if joint.kind == JointKind::Fillet { "fillet" } else { "groove" };
    let product = if is_on_pipe(joint) { "pipe" } else { "plate" };
    let runs = details.layers.map(|layers| if layers > 1 { "multi" } else { "single" });
    let processes = names.of_process(joint.process, filler_type.as_deref());
    let is_called_so = (joint.backing == Some(JointBacking::Gas)).then_some(true);
    // One of the two it is, and either may be granted.
    let gas = details.backing_gas.or(is_called_so).map_or(vec![true, false], |is_used| vec![is_used]);
    vec![
        (Facet::Weld, one(Some(weld))),
        (Facet::Product, one(Some(product))),
        (Facet::Process, processes.into_iter().map(str::to_owned).collect()),
        (Facet::Transfer, one(joint.transfer.map(Transfer::word))),
        (Facet::Progression, one(joint.progression.map(Progression::word))),
        (Facet::Backing, one(joint.backing.map(JointBacking::word))),
        (Facet::Filler, one(filler.as_deref())),
        (Facet::FillerType, one(filler_type.as_deref())),
        (Facet::Runs, one(runs)),
        (Facet::BaseMetal, one(metal.as_deref())),
        (Facet::Polarity, one(details.polarity.map(Polarity::word))),
        (Facet::BackingGas, gas.into_iter().map(|is_used| gas_word(is_used).to_owned()).collect()),
    ]
}

fn word_reasons(standing: &Standing, joint: &Joint, is_wanted: &dyn Fn(Facet) -> bool) -> Vec<CoverReason> {
    let asked = asked_words(standing, joint);
    let wanted = asked.into_iter().filter(|(facet, _)| is_wanted(*facet) && matters(*facet, standing, joint));
    wanted.map(|(facet, words)| word_reason(standing, joint, facet, &words)).collect()
}

fn word_reason(standing: &Standing, joint: &Joint, facet: Facet, words: &[String]) -> CoverReason {
    let grants: Vec<&Grant> = standing.grants_of(facet, joint.kind).collect();
    let about = spaced(facet.word());
    let not_sure = |message: String| reason(facet, CoverAnswer::NotSure, &all(&grants), message);
    if grants.is_empty() {
        return not_sure(format!("no rule in this program says which {about} the test qualifies"));
    }
    let known = |grant: &Grant, word: &str| gives(grant, word, joint);
    let granting = |word: &str| -> Vec<&Cited> {
        grants.iter().filter(|g| known(g, word) == FactAnswer::Yes).map(|g| &g.cited).collect()
    };
    if words.is_empty() {
        // A grant of anything needs no answer.
        let any = granting(ANY);
        if !any.is_empty() {
            return reason(facet, CoverAnswer::Covered, &any, format!("any {about} is qualified"));
        }
        return not_sure(format!("enter the joint's {about}"));
    }
    let text = words.join(" or ");
    let answers: Vec<FactAnswer> =
        words.iter().map(|w| FactAnswer::any(grants.iter().map(|g| known(g, w)))).collect();
    if let Some(FactAnswer::Missing(fact)) = answers.iter().find(|a| matches!(a, FactAnswer::Missing(_))) {
        return not_sure(format!("enter the {}: it decides {about} {text}", asked_name(fact)));
    }
    let covered = answers.iter().filter(|a| **a == FactAnswer::Yes).count();
    if covered == words.len() {
        let rules: Vec<&Cited> = words.iter().flat_map(|w| granting(w)).collect();
        return reason(facet, CoverAnswer::Covered, &rules, format!("{about} {text} is qualified"));
    }
    if covered > 0 && facet == Facet::BackingGas {
        return not_sure("enter whether the joint has backing gas; the test had it".to_owned());
    }
    if covered > 0 {
        return not_sure(format!("enter the joint's filler type: it decides {about} {text}"));
    }
    let no_rule_has = |known: &[String]| !words.iter().any(|w| known.contains(w));
    if facet == Facet::Backing && no_rule_has(&standing.backings_known) {
        return not_sure(format!("no rule in this program applies to {about} {text}"));
    }
    let groups = match facet {
        Facet::Filler => &standing.fillers_known,
        Facet::BaseMetal => &standing.metals_known,
        _ => &Vec::new(),
    };
    if !groups.is_empty() && no_rule_has(groups) && text == NO_FILLER {
        return not_sure(
            "no rule in this program says what qualifies welding without filler metal".to_owned(),
        );
    }
    if !groups.is_empty() && no_rule_has(groups) {
        let groups = groups.join(", ");
        return not_sure(format!(
            "{about} {text}: its group is not in this rule data; look it up and enter one of {groups}"
        ));
    }
    let message = format!("{about} {text} {OUTSIDE}");
    reason(facet, CoverAnswer::NotCovered, &all(&grants), message)
}

/// Whether a grant of words gives this one for this joint.
fn gives(grant: &Grant, word: &str, joint: &Joint) -> FactAnswer {
    let Gives::Words { words, backing, .. } = &grant.gives else { return FactAnswer::No };
    let has = words.iter().any(|w| w == word || w == ANY);
    // A fillet has no root that a backing could support.
    let backed = match joint.backing {
        _ if backing.is_empty() || joint.kind == JointKind::Fillet => FactAnswer::Yes,
        Some(given) => backing.iter().any(|b| b == given.word()).into(),
        None => FactAnswer::Missing("ask_backing"),
    };
    FactAnswer::all([has.into(), backed].into_iter())
}

/// A fact asked about, as a reader calls it.
fn asked_name(fact: &str) -> String {
    match fact {
        "ask_rotated" => "pipe rotation".to_owned(),
        _ => spaced(fact.trim_start_matches("ask_")),
    }
}

fn position(standing: &Standing, joint: &Joint) -> CoverReason {
    let grants: Vec<&Grant> = standing.grants_of(Facet::Position, joint.kind).collect();
    let place = spaced(joint.kind.word());
    let said = match (joint.position, joint.progression) {
        (position, Some(progression)) => format!("{position} {progression}"),
        (position, None) => position.to_string(),
    };
    let Some(symbols) = standing.names.of_joint(joint.kind, joint.position, joint.progression) else {
        let message = format!("enter the progression: it decides position {said} in {place}");
        return reason(Facet::Position, CoverAnswer::NotSure, &all(&grants), message);
    };
    let mut word = symbols.join(", ");
    if word != joint.position.word() {
        word = format!("{word} ({said})");
    }
    let known = |grant: &Grant, symbol: &str| at_position(grant, symbol, joint);
    let answers = symbols.iter().map(|s| FactAnswer::any(grants.iter().map(|g| known(g, s))));
    match FactAnswer::all(answers) {
        FactAnswer::Yes => {
            let gives = |g: &&&Grant| symbols.iter().any(|s| known(g, s) == FactAnswer::Yes);
            let granting: Vec<&Cited> = grants.iter().filter(gives).map(|g| &g.cited).collect();
            let message = format!("position {word} in {place} is qualified");
            reason(Facet::Position, CoverAnswer::Covered, &granting, message)
        }
        FactAnswer::Missing(fact) => {
            let what = asked_name(fact);
            let message = format!("enter the {what}: it decides position {word} in {place}");
            reason(Facet::Position, CoverAnswer::NotSure, &all(&grants), message)
        }
        FactAnswer::No => {
            let message = format!("position {word} in {place} {OUTSIDE}");
            reason(Facet::Position, CoverAnswer::NotCovered, &all(&grants), message)
        }
    }
}

/// Whether a grant of positions gives this symbol to this joint.
fn at_position(grant: &Grant, symbol: &str, joint: &Joint) -> FactAnswer {
    let Gives::Positions(demand) = &grant.gives else { return FactAnswer::No };
    let mut facts = Facts::default();
    facts
        .word("ask_joint", joint.kind.word())
        .word("ask_position", symbol)
        .measure("ask_diameter", joint.diameter);
    if let Some(backing) = joint.backing {
        facts.word("ask_backing", backing.word());
    }
    if let Some(rotated) = joint.details.rotated {
        facts.flag("ask_rotated", rotated);
    }
    demand.position_met(&facts)
}

fn size(standing: &Standing, joint: &Joint, facet: Facet, size: Option<Quantity>) -> CoverReason {
    let ranges: Vec<Ranged<'_>> = standing
        .grants_of(facet, joint.kind)
        .filter_map(|g| match &g.gives {
            Gives::Range { covered, of_deposit, .. } => {
                // The base metal may be thicker than the weld metal of one process.
                let deposit = joint.details.deposit.filter(|_| *of_deposit);
                let is_thicker = *of_deposit && deposit.is_none();
                Some(Ranged { cited: &g.cited, covered, size: deposit.or(size), deposit, is_thicker })
            }
            _ => None,
        })
        .collect();
    let rules: Vec<&Cited> = ranges.iter().map(|r| r.cited).collect();
    if ranges.is_empty() {
        let message = format!("no rule in this program says which {facet} the test qualifies");
        return reason(facet, CoverAnswer::NotSure, &rules, message);
    }
    if ranges.iter().all(|r| r.covered.max.is_none() && r.covered.min.inch_m <= 0.0) {
        return reason(facet, CoverAnswer::Covered, &rules, format!("any {facet} is qualified"));
    }
    if ranges.iter().any(|r| r.size.is_none()) {
        return reason(facet, CoverAnswer::NotSure, &rules, format!("enter the joint's {facet}"));
    }
    let outside = || ranges.iter().filter(|r| !r.holds());
    if let Some(refusing) = outside().find(|r| !r.is_thicker || !r.is_exceeded()) {
        let message = format!("{} {OUTSIDE}", refusing.said(facet));
        return reason(facet, CoverAnswer::NotCovered, &[refusing.cited], message);
    }
    if let Some(open) = outside().next() {
        let most = open
            .most()
            .map_or_else(|| "the qualified maximum".to_owned(), |most| bendproof_measure::say(&most));
        let message = format!(
            "the code limits deposited weld metal; {} is base metal thickness. Qualified only if this process \
             deposits {most} or less: enter the deposit",
            open.said(facet)
        );
        return reason(facet, CoverAnswer::NotSure, &[open.cited], message);
    }
    let said: Vec<String> = ranges.iter().map(|r| r.said(facet)).collect();
    let message = format!("{} is qualified", said.first().cloned().unwrap_or_default());
    reason(facet, CoverAnswer::Covered, &rules, message)
}

/// A range with the size of the joint it speaks of.
struct Ranged<'a> {
    cited: &'a Cited,
    covered: &'a Covered,
    /// The size held against it.
    size: Option<Quantity>,
    /// That size, where it is the weld metal of the process.
    deposit: Option<Quantity>,
    /// The range is of weld metal, and only the base metal is known: its weld
    /// metal may be less.
    is_thicker: bool,
}

impl Ranged<'_> {
    fn holds(&self) -> bool {
        self.size.is_some_and(|size| contains(self.covered, &size))
    }

    fn is_exceeded(&self) -> bool {
        self.size.is_some_and(|size| exceeds(self.covered, &size))
    }

    /// The greatest covered, as the joint was measured.
    fn most(&self) -> Option<Quantity> {
        let (max, size) = self.covered.max.zip(self.size)?;
        Some(Quantity { si: in_system_of(&size, max), ..size })
    }

    fn said(&self, facet: Facet) -> String {
        let said = self.size.map(|size| bendproof_measure::say(&size)).unwrap_or_default();
        match self.deposit {
            Some(_) => format!("a deposit of {said}"),
            None => format!("{facet} {said}"),
        }
    }
}

/// An end of a range for sizes measured as this one is.
fn in_system_of(size: &Quantity, end: Both) -> f64 {
    if size.system == System::Inch { end.inch_m } else { end.metric_m }
}

/// Whether a size lies over the greatest covered.
fn exceeds(covered: &Covered, size: &Quantity) -> bool {
    let over = |max: f64| is_over(size, max) || (covered.max_excluded && !is_under(size, max));
    size.si.is_finite() && covered.max.is_some_and(|max| over(in_system_of(size, max)))
}

fn contains(covered: &Covered, size: &Quantity) -> bool {
    // Written so that a NaN, which is neither over nor under, is outside.
    if !size.si.is_finite() {
        return false;
    }
    let min = in_system_of(size, covered.min);
    let low = if covered.min_excluded { is_over(size, min) } else { !is_under(size, min) };
    low && !exceeds(covered, size)
}

/// The day of the work, or else the day the standing is stated for.
fn asked_day(standing: &Standing, joint: &Joint) -> Option<Date> {
    joint.day.or(standing.on)
}

fn in_time(standing: &Standing, joint: &Joint) -> Option<CoverReason> {
    let day = asked_day(standing, joint)?;
    let cited: Vec<&Cited> = standing.continuity.iter().collect();
    let (answer, message) = match (standing.until, &standing.not_prolonged) {
        _ if day < standing.finished => {
            let message = format!("{day} is before the test was finished on {}", standing.finished);
            (CoverAnswer::NotCovered, message)
        }
        (_, Some(refusal)) => {
            return Some(CoverReason {
                facet: Some(Facet::Continuity),
                answer: CoverAnswer::NotCovered,
                rules: vec![refusal.rule.clone()],
                clauses: refusal.clause.iter().cloned().collect(),
                message: refusal.message.clone(),
            });
        }
        (Some(until), None) if day > until && standing.may_hold(day) => {
            let message = format!("{day} is after {until}, and process use since then may not count");
            (CoverAnswer::NotSure, message)
        }
        (Some(until), None) if day > until => {
            (CoverAnswer::NotCovered, format!("{day} is after {until}, the last day of the period"))
        }
        (Some(until), None) => {
            (CoverAnswer::Covered, format!("{day} is within the period valid through {until}"))
        }
        (None, None) => return None,
    };
    Some(reason(Facet::Continuity, answer, &cited, message))
}

fn all<'a>(grants: &[&'a Grant]) -> Vec<&'a Cited> {
    grants.iter().map(|g| &g.cited).collect()
}

fn reason(facet: Facet, answer: CoverAnswer, rules: &[&Cited], message: String) -> CoverReason {
    let mut clauses: Vec<String> = Vec::new();
    for cited in rules {
        if !clauses.contains(&cited.clause) {
            clauses.push(cited.clause.clone());
        }
    }
    let rules = rules.iter().map(|c| c.rule.clone()).collect();
    CoverReason { facet: Some(facet), answer, rules, clauses, message }
}
