//! What a code says of a procedure or of its record, and of each joint asked
//! about: the draft, the support, the claim, the fit and the heat.
//!
//! Puts the code engine's answers side by side; decides nothing itself.

use bendproof_codes::catalogue::Code;
use bendproof_codes::judged::asks_for_film;
use bendproof_codes::procedure::{
    Allowance, DraftLine, FitFinding, PreheatFinding, Procedure, Stated, VariableReason, Within, draft,
    draft_from, fit_up, inside, preheat, prequalified, supported, within,
};
use bendproof_codes::rule::{Fact, Facts, Variable, VariableClass};
use bendproof_codes::words::RuleKind;
use bendproof_measure::{Kind, Quantity};

use super::files::{AskedJoint, ProcedureRecord, WrittenProcedure, put};
use super::iso_preheat::{IsoName, en_1011_preheat, iso_names};
use super::named_gas;

/// Everything said of one procedure or record.
#[derive(Debug, Clone, PartialEq)]
pub struct ProcedureReport {
    /// Number of the procedure or of the record.
    pub number: String,
    /// The code it is asked under.
    pub code: &'static Code,
    /// Every variable with the range the record allows; empty without a record.
    pub draft: Vec<DraftLine>,
    /// What was put in and not written.
    pub remarks: Vec<String>,
    /// Why the record's own test does not stand yet; `None` where every result
    /// written is accepted.
    pub untested: Option<VariableReason>,
    /// Whether the record supports the procedure; `None` where one is missing.
    pub supported: Option<Allowance>,
    /// Whether it may claim to need no test; `None` where it does not claim it.
    pub prequalified: Option<Allowance>,
    /// Each joint.
    pub joints: Vec<JointReport>,
    /// What ISO calls the gas and the wire, one line each.
    pub iso_names: Vec<String>,
}

/// What is said of one joint.
#[derive(Debug, Clone, PartialEq)]
pub struct JointReport {
    /// What it is called.
    pub name: String,
    /// Whether it lies within what the procedure states.
    pub procedure: Option<Allowance>,
    /// Whether it lies within what the record covers.
    pub record: Option<Allowance>,
    /// The fit, where the code has rules for it and something was measured.
    pub fit: Vec<FitFinding>,
    /// Preheat by the code's table, where the steel is known.
    pub preheat: Vec<PreheatFinding>,
    /// Preheat by the methods of EN 1011-2 as well, where they can be asked.
    pub en_1011: Vec<String>,
}

impl JointReport {
    /// The worst of what is said of it. A fit or a heat that was not measured
    /// does not count.
    pub fn answer(&self) -> Within {
        let held = [&self.procedure, &self.record].into_iter().flatten().map(|a| a.answer);
        let fit = self.fit.iter().filter(|f| f.value.is_some()).map(|f| f.answer);
        let heat = self.preheat.iter().map(|f| f.answer).filter(|a| *a == Within::Outside);
        held.chain(fit).chain(heat).max().unwrap_or(Within::NotSure)
    }
}

impl ProcedureReport {
    /// Whether nothing needs a look.
    pub fn is_clear(&self) -> bool {
        if self.untested.is_some() {
            return false;
        }
        let whole = [&self.supported, &self.prequalified].into_iter().flatten().map(|a| a.answer);
        whole.chain(self.joints.iter().map(JointReport::answer)).all(|answer| answer == Within::Inside)
    }
}

/// The draft of a record, and whether the joints lie within what it covers.
pub fn report_record(
    record: &ProcedureRecord,
    code: &'static Code,
    joints: &[AskedJoint],
) -> ProcedureReport {
    let record = &*named_gas::of_record(code, record);
    let untested = untested(record, code);
    let asked = |joint: &AskedJoint| named_gas::nameless(code, &named_gas::of_joint(code, joint));
    let of = |joint: &AskedJoint| JointReport {
        name: joint.name.clone(),
        procedure: None,
        record: Some(tested(within(code, &record.facts, &asked(joint)), untested.as_ref())),
        fit: fit(code, &record.facts, joint),
        preheat: heat(code, &record.facts, joint),
        en_1011: en_1011(&record.facts, joint, None),
    };
    let words = |name: &str| match record.facts.get(name) {
        Some(Fact::Word(word)) => vec![word.clone()],
        _ => Vec::new(),
    };
    ProcedureReport {
        iso_names: words_of(iso_names(
            &words("filler_class"),
            &words("gas"),
            record.facts.word_of("filler_iso"),
        )),
        number: record.number.clone(),
        code,
        draft: draft(code, &record.facts),
        remarks: record.remarks.clone(),
        supported: None,
        prequalified: None,
        joints: joints.iter().map(of).collect(),
        untested,
    }
}

/// A written procedure against its record, if there is one, and the joints
/// against both.
pub fn report_procedure(
    written: &WrittenProcedure,
    record: Option<&ProcedureRecord>,
    code: &'static Code,
    joints: &[AskedJoint],
) -> ProcedureReport {
    let written = &*named_gas::of_procedure(code, written);
    let record = record.map(|record| named_gas::of_record(code, record));
    let record = record.as_deref();
    let procedure = &written.procedure;
    let mut remarks = record.map(|r| r.remarks.clone()).unwrap_or_default();
    remarks.extend(written.remarks.iter().filter(|r| !remarks.contains(r)).cloned().collect::<Vec<_>>());
    if record.is_none() && !written.claims_prequalified {
        remarks
            .push("no record is given, so nothing here says whether the procedure is supported".to_owned());
    }
    let untested = record.and_then(|record| untested(record, code));
    let facts = record.map(|r| r.facts.clone()).unwrap_or_default();
    let of = |joint: &AskedJoint| {
        let fit = fit(code, &facts.and(&written.design), joint);
        let asked = named_gas::of_joint(code, joint);
        JointReport {
            name: joint.name.clone(),
            procedure: Some(inside(procedure, &without_fitted(&asked, &fit))),
            record: record
                .map(|r| within(code, &r.facts.and(&procedure.work), &named_gas::nameless(code, &asked)))
                .map(|allowance| tested(allowance, untested.as_ref())),
            fit,
            preheat: heat(code, &written.design, joint),
            en_1011: en_1011(&facts.and(&written.design), joint, least_heat(procedure)),
        }
    };
    let words = |variable| match procedure.stated.get(&variable) {
        Some(Stated::Words(words)) => words.as_slice(),
        _ => &[],
    };
    ProcedureReport {
        iso_names: words_of(iso_names(
            words(Variable::FillerClass),
            words(Variable::Gas),
            written.design.word_of("filler_iso"),
        )),
        number: written.number.clone(),
        code,
        draft: record.map(|r| draft_from(code, &r.facts.and(&procedure.work), procedure)).unwrap_or_default(),
        remarks,
        supported: record
            .map(|r| supported(code, &r.facts, &named_gas::nameless_procedure(code, procedure)))
            .map(|allowance| tested(allowance, untested.as_ref())),
        prequalified: written.claims_prequalified.then(|| prequalified(code, &procedure.claim())),
        joints: written.joints.iter().chain(joints).map(of).collect(),
        untested,
    }
}

/// Results without which no groove test of any code here is complete; some codes
/// ask for a film as well, and what else one asks for is not judged.
const ALWAYS_ASKED: [&str; 2] = ["bends", "tension"];

/// Why the test behind a record does not stand: refused, not made, or nowhere
/// written. A record supports nothing until its test is accepted.
pub(crate) fn untested(record: &ProcedureRecord, code: &Code) -> Option<VariableReason> {
    if let Some(own) = record.judged_under.filter(|own| own.id != code.id && !record.results.is_empty()) {
        let message = format!(
            "the coupon's examinations are judged under {}; have them judged under {}",
            own.short, code.short
        );
        return Some(untested_for(Within::NotSure, message));
    }
    let named = |word: &str| -> Vec<&str> {
        let of = record.results.iter().filter(|(_, result)| result == word);
        of.map(|(name, _)| name.as_str()).collect()
    };
    let (refused, undone) = (named("reject"), named("not_done"));
    let lacks = |name: &&str| record.results.iter().all(|(written, _)| written != *name);
    let is_fillet = record.facts.get("groove_type").is_none() && record.facts.get("throat").is_some();
    let positions = match record.facts.get("positions") {
        Some(Fact::Words(positions)) => positions.as_slice(),
        _ => &[],
    };
    let film = asks_for_film(record.code, positions).then_some("radiography");
    let asked = ALWAYS_ASKED.into_iter().chain(film).filter(|_| !is_fillet);
    let missing: Vec<&str> = asked.filter(|name| lacks(name)).collect();
    let (answer, message) = if !refused.is_empty() {
        (Within::Outside, format!("the record's own test was refused: {}", refused.join(", ")))
    } else if !undone.is_empty() {
        (Within::NotSure, format!("the record's own test is not complete: {} not done", undone.join(", ")))
    } else if !missing.is_empty() {
        let names = missing.join(", ");
        // A coupon's results come from its own pieces and are written nowhere else.
        let message = match record.judged_under {
            Some(_) => {
                format!(
                    "the record's own test is not complete: {names} not done; enter the results on the coupon"
                )
            }
            None => format!("the record names no result for {names}; write it under results"),
        };
        (Within::NotSure, message)
    } else {
        return None;
    };
    Some(untested_for(answer, message))
}

fn untested_for(answer: Within, message: String) -> VariableReason {
    let class = VariableClass::Essential;
    VariableReason { variable: None, class, answer, because: Vec::new(), message }
}

/// An answer that rests on a record whose test may not stand.
fn tested(mut allowance: Allowance, untested: Option<&VariableReason>) -> Allowance {
    if let Some(reason) = untested {
        allowance.answer = allowance.answer.max(reason.answer);
        allowance.reasons.insert(0, reason.clone());
    }
    allowance
}

/// The fit of a joint around its design: its own thickness and shape, the rest
/// as designed. Empty where nothing was measured.
fn fit(code: &'static Code, design: &Facts, joint: &AskedJoint) -> Vec<FitFinding> {
    let mut findings = fit_up(code, &as_designed(design, joint).and(&joint.facts));
    findings.retain(|f| f.value.is_some());
    if findings.iter().any(|f| f.dimension.starts_with("ask_")) { findings } else { Vec::new() }
}

/// A joint without what was measured of its fit, which is held to the design by
/// its tolerance and not to the letter.
fn without_fitted(joint: &Facts, fit: &[FitFinding]) -> Facts {
    let kept = joint.iter().filter(|(name, _)| fit.iter().all(|f| f.dimension != *name));
    kept.fold(Facts::default(), |facts, (name, fact)| put(facts, name, Some(fact.clone())))
}

/// Preheat of a joint by its own steel, or by the design's.
fn heat(code: &'static Code, design: &Facts, joint: &AskedJoint) -> Vec<PreheatFinding> {
    let steel = joint.steel.clone().map(Fact::Word).or_else(|| design.get("steel").cloned());
    let has_table = code.rules.iter().any(|r| r.kind == RuleKind::Preheat);
    let (Some(steel), true) = (steel, has_table) else { return Vec::new() };
    let mut facts = Facts::default();
    let own = as_designed(design, joint);
    for name in ["thickness", "process", "low_hydrogen"] {
        facts = put(facts, name, own.get(name).cloned());
    }
    // The preheat of a record is no preheat of this joint.
    facts = put(facts, "preheat", joint.facts.get(Variable::Preheat.asked()).cloned());
    preheat(code, &put(facts, "steel", Some(steel)))
}

/// Preheat of a joint by EN 1011-2, at the heat input asked about, else at the
/// least the procedure allows, as less heat wants more preheat, else the record's.
fn en_1011(design: &Facts, joint: &AskedJoint, least: Option<Quantity>) -> Vec<String> {
    let steel = match (&joint.steel, design.get("steel")) {
        (Some(steel), _) | (None, Some(Fact::Word(steel))) => steel,
        _ => return Vec::new(),
    };
    let tested = || design.get("heat_input_low").or(design.get("heat_input")).cloned();
    let (heat, whose) = match (joint.facts.get(Variable::HeatInput.asked()), least) {
        (Some(asked), _) => (Some(asked.clone()), "at the heat asked about"),
        (None, Some(least)) => (Some(Fact::Measure(least)), "at the least heat the procedure allows"),
        (None, None) => (tested(), "at the heat of the record's test; less heat wants more preheat"),
    };
    let facts = put(as_designed(design, joint), "heat_input", heat);
    let kind = joint.facts.get("ask_joint").cloned();
    en_1011_preheat(steel, &put(facts, "ask_joint", kind), whose)
}

/// The least heat input a procedure allows: as it states it, else its least volts
/// and amps at its fastest travel.
fn least_heat(procedure: &Procedure) -> Option<Quantity> {
    let ends = |variable| match procedure.stated.get(&variable) {
        Some(Stated::Range { min, max }) => (*min, *max),
        Some(Stated::Value(Fact::Measure(value))) => (Some(*value), Some(*value)),
        _ => (None, None),
    };
    if let (Some(least), _) = ends(Variable::HeatInput) {
        return Some(least);
    }
    let (volts, amps) = (ends(Variable::Volts).0?, ends(Variable::Amps).0?);
    let travel = ends(Variable::Travel).1.filter(|travel| travel.si > 0.0)?;
    let si = volts.si * amps.si / travel.si;
    Some(Quantity { si, kind: Kind::EnergyPerLength, system: travel.system })
}

/// The design with what the joint itself gives of it.
fn as_designed(design: &Facts, joint: &AskedJoint) -> Facts {
    let own = [Variable::Thickness, Variable::Process, Variable::Backing, Variable::LowHydrogen];
    let mut facts = own
        .iter()
        .fold(design.clone(), |facts, v| put(facts, v.of_record(), joint.facts.get(v.asked()).cloned()));
    if let Some(Fact::Word(kind)) = joint.facts.get("ask_joint") {
        let shape = if kind == "pipe_groove" { "pipe" } else { "plate" };
        facts = put(facts, "shape", Some(Fact::Word(shape.to_owned())));
    }
    facts
}

/// What is said of names of ISO, line by line.
fn words_of(names: Vec<IsoName>) -> Vec<String> {
    names.into_iter().map(|name| name.words).collect()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn range(kind: Kind, min: f64, max: f64) -> Stated {
        let size = |si| Some(Quantity::from_si(kind, si));
        Stated::Range { min: size(min), max: size(max) }
    }

    #[test]
    fn the_least_heat_is_least_volts_and_amps_at_the_fastest_travel() {
        let mut procedure = Procedure::default();
        assert_eq!(least_heat(&procedure), None);
        procedure.stated.insert(Variable::Volts, range(Kind::Voltage, 20.0, 25.0));
        procedure.stated.insert(Variable::Amps, range(Kind::Current, 200.0, 250.0));
        assert_eq!(least_heat(&procedure), None);
        procedure.stated.insert(Variable::Travel, range(Kind::Speed, 0.002, 0.004));
        assert!((least_heat(&procedure).unwrap().si - 1e6).abs() < 1e-3);
        procedure.stated.insert(Variable::HeatInput, range(Kind::EnergyPerLength, 1.5e6, 2e6));
        assert!((least_heat(&procedure).unwrap().si - 1.5e6).abs() < 1e-3);
    }

    #[test]
    fn preheat_says_whose_heat_it_is_reckoned_at() {
        let size = |kind, si| Fact::Measure(Quantity::from_si(kind, si));
        let heat = |si| size(Kind::EnergyPerLength, si);
        let facts = |list: &[(&str, Fact)]| {
            list.iter().fold(Facts::default(), |all, (name, fact)| put(all, name, Some(fact.clone())))
        };
        let design = facts(&[
            ("process", Fact::Word("GMAW".to_owned())),
            ("thickness", size(Kind::Length, 0.025)),
            ("heat_input", heat(2e6)),
        ]);
        let joint = |own: &[(&str, Fact)]| AskedJoint {
            name: "seam".to_owned(),
            facts: put(facts(own), "ask_joint", Some(Fact::Word("plate_groove".to_owned()))),
            steel: Some("A36".to_owned()),
        };
        let says = |lines: Vec<String>, words: &str| {
            assert!(!lines.is_empty() && lines.iter().all(|l| l.contains(words)), "{lines:?}");
        };
        let least = Some(Quantity::from_si(Kind::EnergyPerLength, 1.25e6));
        let test = "1.60 kJ/mm, arc energy times 0.8 for GMAW, at the heat of the record's test; less heat wants more preheat";
        says(en_1011(&design, &joint(&[]), None), test);
        let procedures = "1.00 kJ/mm, arc energy times 0.8 for GMAW, at the least heat the procedure allows";
        says(en_1011(&design, &joint(&[]), least), procedures);
        let own = joint(&[("ask_heat_input", heat(3e6))]);
        says(
            en_1011(&design, &own, least),
            "2.40 kJ/mm, arc energy times 0.8 for GMAW, at the heat asked about",
        );
    }
}
