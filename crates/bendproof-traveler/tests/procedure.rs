//! Procedures from their example files, and one drafted from a coupon.
#![allow(clippy::unwrap_used)]

use bendproof_codes::{Variable, Within, code};
use bendproof_traveler::*;

const RECORD: &str = include_str!("../../../examples/procedure-record.toml");
const PROCEDURE: &str = include_str!("../../../examples/procedure.toml");
const COUPON: &str = include_str!("../../../examples/plate-3g-uphill.toml");

fn report(procedure: &str, record: &str) -> ProcedureReport {
    let record = read_procedure_record(record, None).unwrap();
    let written = read_procedure(procedure, None).unwrap();
    report_procedure(&written, Some(&record), written.code, &[])
}

fn against(allowance: &bendproof_codes::Allowance) -> Vec<String> {
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

#[test]
fn the_upright_joint_is_inside_and_the_overhead_one_is_not() {
    let got = report(PROCEDURE, RECORD);
    let [upright, overhead] = got.joints.as_slice() else { panic!("{:#?}", got.joints) };
    assert_eq!(upright.answer(), Within::Inside, "{upright:#?}");
    assert!(upright.fit.iter().any(|f| f.dimension == "ask_hi_lo"));
    assert_eq!(upright.preheat.len(), 1, "{:#?}", upright.preheat);
    assert_eq!(overhead.answer(), Within::Outside);
    let said = against(overhead.record.as_ref().unwrap());
    assert!(said.iter().any(|s| s.starts_with("outside: position OH is not among")), "{said:#?}");
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
    let lines = bendproof_codes::draft(record.code, &record.facts);
    let volts = lines.iter().find(|l| l.variable == Variable::Volts).unwrap();
    assert!(volts.allowed.contains("- 7 %"), "{volts:?}");
}

#[test]
fn faults_are_told_with_their_lines_and_json_holds_the_whole() {
    let wrong = RECORD.replace("volts = \"18.5 V\"", "volts = \"18.5 A\"");
    let error = read_procedure_record(&wrong, None).unwrap_err();
    assert_eq!(error.findings.len(), 1, "{error:#?}");
    assert!(error.findings[0].line.is_some() && error.findings[0].message.contains("not a voltage"));
    let value = json::procedure(&report(PROCEDURE, RECORD));
    assert_eq!(value["code"], "aws-d1.1-2020");
    assert_eq!(value["clear"], false);
    assert_eq!(value["joints"].as_array().unwrap().len(), 2);
    assert_eq!(value["supported"]["new_test_for"], serde_json::json!(["volts"]));
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
