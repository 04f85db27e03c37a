//! Procedures from their example files, and one drafted from a coupon.
#![allow(clippy::unwrap_used)]

use bendproof_codes::catalogue::code;
use bendproof_codes::procedure::Within;
use bendproof_codes::rule::Variable;
use bendproof_traveler::procedure::{
    ProcedureReport, read_joints, read_procedure, read_procedure_record, report_procedure, report_record,
};

const RECORD: &str = include_str!("../../../examples/procedure-record.toml");
const PROCEDURE: &str = include_str!("../../../examples/procedure.toml");
const COUPON: &str = include_str!("../../../examples/plate-3g-uphill.toml");

fn report(procedure: &str, record: &str) -> ProcedureReport {
    let record = read_procedure_record(record, None).unwrap();
    let written = read_procedure(procedure, None).unwrap();
    report_procedure(&written, Some(&record), written.code, &[])
}

fn against(allowance: &bendproof_codes::procedure::Allowance) -> Vec<String> {
    let reasons = allowance.reasons.iter().filter(|r| r.answer != Within::Inside);
    reasons.map(|r| format!("{}: {}", r.answer, r.message)).collect()
}

#[test]
fn a_voltage_range_wider_than_the_record_allows_is_the_one_thing_unsupported() {
    let got = report(PROCEDURE, RECORD);
    let supported = got.supported.unwrap();
    // 18.5 V and 7 % more is 19.795 V; the procedure claims 20 V.
    let said = against(&supported);
    assert_eq!(said.len(), 1, "{said:#?}");
    assert!(said[0].starts_with("outside: volts 20 V is outside 18.5 V - 7 %"), "{said:#?}");
}

/// 18.5 V less 7 % is 17.205 V: 17.25 V is inside, and the end printed next to it
/// must say so too, in the answer and in the record.
#[test]
fn no_printed_end_of_a_range_contradicts_what_was_decided_of_it() {
    let written = PROCEDURE.lines().map(|line| match line.split_once(" = ") {
        Some(("volts_min", _)) => "volts_min = \"17.25 V\"",
        Some(("volts_max", _)) => "volts_max = \"19.5 V\"",
        _ => line,
    });
    let got = report(&written.collect::<Vec<_>>().join("\n"), RECORD);
    let volts =
        |reason: &&bendproof_codes::procedure::VariableReason| reason.variable == Some(Variable::Volts);
    let supported = got.supported.unwrap();
    let said = supported.reasons.iter().find(volts).unwrap();
    assert_eq!(said.answer, Within::Inside);
    assert!(said.message.contains("18.5 V - 7 % = 17.21 V to"), "{}", said.message);
    let line = got.draft.iter().find(|line| line.variable == Variable::Volts).unwrap();
    assert!(line.allowed.contains("= 17.21 V to 18.5 V + 7 % = 19.7 V"), "{}", line.allowed);
}

#[test]
fn the_upright_joint_is_inside_and_the_overhead_one_is_not() {
    let got = report(PROCEDURE, RECORD);
    let [upright, overhead] = got.joints.as_slice() else { panic!("{:#?}", got.joints) };
    assert_eq!(upright.answer(), Within::Inside, "{upright:#?}");
    assert!(upright.fit.iter().any(|f| f.dimension == "ask_hi_lo"));
    assert_eq!(upright.preheat.len(), 1, "{:#?}", upright.preheat);
    assert_eq!(overhead.answer(), Within::Outside);
    let said = against(overhead.record.as_ref().unwrap());
    assert!(said.iter().any(|s| s.starts_with("outside: position OH is outside")), "{said:#?}");
}

#[test]
fn a_short_circuit_procedure_never_claims_to_need_no_test() {
    let claim = PROCEDURE.replace("records = [\"PR-7\"]", "claim = \"prequalified\"");
    let written = read_procedure(&claim, None).unwrap();
    let got = report_procedure(&written, None, written.code, &[]);
    let refused = got.prequalified.unwrap();
    assert_eq!(refused.answer, Within::Outside);
    let variables: Vec<Variable> = refused.breached().filter_map(|r| r.variable).collect();
    // The transfer, and the open root: either alone would do.
    assert_eq!(variables, [Variable::Transfer, Variable::Backing]);
}

#[test]
fn the_same_procedure_under_two_codes() {
    let record = read_procedure_record(RECORD, None).unwrap();
    let asme = report_record(&record, code("asme-ix").unwrap(), &[]);
    let d11 = report_record(&record, record.code, &[]);
    let top = |r: &ProcedureReport| {
        let lines = r.draft.iter().filter(|l| l.variable == Variable::Thickness);
        lines.filter_map(|l| l.max.map(|q| q.si)).fold(f64::INFINITY, f64::min)
    };
    // Short-circuit transfer under 1/2 in: 1.1 times 3/8 in; D1.1 gives twice it.
    assert!((top(&asme) - 0.4125 * 0.0254).abs() < 1e-9);
    assert!((top(&d11) - 0.75 * 0.0254).abs() < 1e-9);
}

#[test]
fn a_coupon_makes_a_record_and_says_what_it_took() {
    let record = read_procedure_record(COUPON, None).unwrap();
    assert!(record.remarks[0].contains("root pass"), "{:?}", record.remarks);
    let lines = bendproof_codes::procedure::draft(record.code, &record.facts);
    let volts = lines.iter().find(|l| l.variable == Variable::Volts).unwrap();
    assert!(volts.allowed.contains("- 7 %"), "{volts:?}");
}

#[test]
fn faults_are_reported_with_their_lines() {
    let wrong = RECORD.replace("volts = \"18.5 V\"", "volts = \"18.5 A\"");
    let error = read_procedure_record(&wrong, None).unwrap_err();
    assert_eq!(error.findings.len(), 1, "{error:#?}");
    assert!(error.findings[0].line.is_some() && error.findings[0].message.contains("not a voltage"));
}

/// A record supports nothing until its own test is accepted.
#[test]
fn a_record_whose_test_failed_or_was_never_made_supports_nothing() {
    let narrow = PROCEDURE.replace("volts_max = \"20 V\"", "volts_max = \"19.5 V\"");
    let written = read_procedure(&narrow, None).unwrap();
    let answer = |text: &str| {
        let record = read_procedure_record(text, None).unwrap();
        let report = report_procedure(&written, Some(&record), written.code, &[]);
        (report.supported.unwrap().answer, report.untested.map(|r| r.message))
    };
    assert_eq!(answer(RECORD), (Within::Inside, None));
    let (failed, why) = answer(&RECORD.replace("bends = \"accept\"", "bends = \"reject\""));
    assert_eq!(failed, Within::Outside);
    assert!(why.unwrap().contains("refused: bends"));
    let (open, why) = answer(&RECORD.replace("tension = \"accept\"", ""));
    assert_eq!(open, Within::NotSure);
    assert!(why.unwrap().contains("no result for tension"));
}

/// ISO 15614-1 goes by the gas group and the carbon dioxide, which the shares in
/// the gas's name tell; D1.1 goes by the name, and takes nothing more.
#[test]
fn a_gas_named_by_its_shares_tells_its_group_and_carbon_dioxide_and_says_so() {
    let record = read_procedure_record(RECORD, None).unwrap();
    let joints = "[[joint]]\nname = \"less\"\nkind = \"plate_groove\"\ngas = \"77Ar/23CO2\"\n[[joint]]\nname = \"other\"\nkind = \"plate_groove\"\ngas = \"90Ar/10CO2\"\n";
    let joints = read_joints(joints, None).unwrap();
    let iso = report_record(&record, code("iso-15614-1").unwrap(), &joints);
    let value = |variable| iso.draft.iter().find(|l| l.variable == variable).unwrap().value.clone();
    assert_eq!(value(Variable::GasGroup).as_deref(), Some("M21"));
    assert_eq!(value(Variable::CarbonDioxide).as_deref(), Some("25 %"));
    let printed = iso.remarks.iter().find(|r| r.contains("derived from the gas named, 75Ar/25CO2"));
    assert!(printed.is_some_and(|r| r.contains("from memory")), "{:?}", iso.remarks);
    let answer = |n: usize, variable: Variable| {
        let reasons = &iso.joints[n].record.as_ref().unwrap().reasons;
        reasons.iter().find(|r| r.variable == Some(variable)).map(|r| r.answer)
    };
    assert_eq!(answer(0, Variable::GasGroup), Some(Within::Inside));
    assert_eq!(answer(0, Variable::CarbonDioxide), Some(Within::Inside));
    assert_eq!(answer(0, Variable::Gas), None, "another name of a gas inside is no change");
    assert_eq!(answer(1, Variable::GasGroup), Some(Within::Outside));
    let d11 = report_record(&record, record.code, &joints);
    assert!(d11.remarks.iter().all(|r| !r.contains("derived")), "{:?}", d11.remarks);
    // What somebody stated stands.
    let stated = RECORD.replace("gas = \"75Ar/25CO2\"", "gas = \"75Ar/25CO2\"\ngas_group = \"M20\"");
    let stated = report_record(&read_procedure_record(&stated, None).unwrap(), iso.code, &[]);
    let group = stated.draft.iter().find(|l| l.variable == Variable::GasGroup).unwrap();
    assert_eq!(group.value.as_deref(), Some("M20"));
}

#[test]
fn a_procedure_of_several_gases_states_all_their_groups_and_the_range_of_their_shares() {
    let both = PROCEDURE.replace("gas = [\"75Ar/25CO2\"]", "gas = [\"75Ar/25CO2\", \"90Ar/10CO2\"]");
    let record = read_procedure_record(RECORD, None).unwrap();
    let written = read_procedure(&both, None).unwrap();
    let got = report_procedure(&written, Some(&record), code("iso-15614-1").unwrap(), &[]);
    let answer =
        got.remarks.iter().find(|r| r.ends_with("derived from the gas named, 75Ar/25CO2, 90Ar/10CO2"));
    assert!(
        answer.is_some_and(|r| r.contains("M20") && r.contains("M21") && r.contains("10 % to 25 %")),
        "{:?}",
        got.remarks
    );
    let outside: Vec<Variable> = got.supported.unwrap().breached().filter_map(|r| r.variable).collect();
    assert!(outside.contains(&Variable::GasGroup), "{outside:?}");
}

/// A 3/8 in plate of a procedure's test under ASME IX: two face, two root and two
/// tension pieces, QW-451.1.
#[test]
fn a_coupon_s_own_examinations_are_the_results_of_its_record() {
    let strap = |id: &str, kind: &str| {
        format!("[[strap]]\nid = \"{id}\"\nkind = \"{kind}\"\nweld_in_bend = \"yes\"\nopenings = []\n")
    };
    let pulled =
        |id: &str| format!("[[tension]]\nid = \"{id}\"\nstrength = \"62 ksi\"\nbroke_in = \"base\"\n");
    let coupon = |tension: &[&str]| {
        let pieces: String = [("F1", "face"), ("F2", "face"), ("R1", "root"), ("R2", "root")]
            .iter()
            .map(|(id, kind)| strap(id, kind))
            .chain(tension.iter().map(|id| pulled(id)))
            .collect();
        let text = COUPON.replace("code = \"aws-d1.1-2020\"", "code = \"asme-ix-2023\"");
        let text = text.replace("[fit]", "[fit]\ntensile_min = \"60 ksi\"");
        format!("{text}\n{pieces}")
    };
    let results = |tension: &[&str]| read_procedure_record(&coupon(tension), None).unwrap().results;
    let named = |name: &str, word: &str| (name.to_owned(), word.to_owned());
    assert_eq!(results(&["T1", "T2"]), [named("bends", "accept"), named("tension", "accept")]);
    assert_eq!(results(&["T1"]), [named("bends", "accept"), named("tension", "not_done")]);
    let whole = read_procedure_record(&coupon(&["T1", "T2"]), None).unwrap();
    let report = report_record(&whole, whole.code, &[]);
    assert!(report.untested.is_none(), "{:?}", report.untested);
    assert!(report.remarks.iter().any(|r| r.contains("coupon's own examinations")), "{:?}", report.remarks);
    let elsewhere = report_record(&whole, code("aws-d1.1-2020").unwrap(), &[]);
    let why = elsewhere.untested.unwrap().message;
    assert!(why.contains("judged under ASME IX:2023; have them judged under"), "{why}");
}
