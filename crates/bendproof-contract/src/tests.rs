//! What the contract says of the example files.
#![allow(clippy::unwrap_used)]

use bendproof_files::{COUPON, Document};
use bendproof_forecast::solved::SolveParams;
use bendproof_traveler::build::read_coupon_verdict;
use bendproof_traveler::drawn::Look;
use bendproof_traveler::procedure::{read_procedure, read_procedure_record, report_procedure};
use bendproof_traveler::solved::{COMPUTED, solve_coupon, solved_sheet};
use bendproof_traveler::welder::answer_record;

use super::{coupon, procedure, record, solved_json};

const DOWNHILL: &str = include_str!("../../../examples/plate-3g-downhill.toml");
const API: &str = include_str!("../../../examples/pipe-api-1104.toml");
const RECORD: &str = include_str!("../../../examples/record.toml");
const PROCEDURE: &str = include_str!("../../../examples/procedure.toml");
const PROCEDURE_RECORD: &str = include_str!("../../../examples/procedure-record.toml");

#[test]
fn an_answer_about_a_joint_names_its_clauses() {
    let printed = record(&answer_record(RECORD, None, Some("2026-11-02".parse().unwrap())).unwrap());
    let reasons = printed["asked"][0]["reasons"].as_array().unwrap();
    let position = reasons.iter().find(|r| r["about"] == "position").unwrap();
    assert_eq!(position["clauses"], serde_json::json!(["QW-461.9"]));
    assert_eq!(printed["asked"][0]["answer"], "covered");
    assert!(printed["renewal"].as_array().unwrap().iter().any(|a| a["clause"] == "QW-322.2"));
    assert!(printed["remarks"][0].as_str().unwrap().contains("derived"));
}

#[test]
fn a_coupon_with_something_open_is_not_complete() {
    let value = |text: &str| coupon(&read_coupon_verdict(text, None).verdict.unwrap());
    let whole = value(API);
    assert_eq!((&whole["verdict"], &whole["bends"]["verdict"]), (&"accept".into(), &"accept".into()));
    assert_eq!(value(DOWNHILL)["verdict"], "not_complete");
}

#[test]
fn a_procedure_holds_its_joints_and_what_asks_for_a_new_test() {
    let written = read_procedure(PROCEDURE, None).unwrap();
    let tested = read_procedure_record(PROCEDURE_RECORD, None).unwrap();
    let value = procedure(&report_procedure(&written, Some(&tested), written.code, &[]));
    assert_eq!(value["code"], "aws-d1.1-2020");
    assert_eq!(value["clear"], false);
    assert_eq!(value["joints"].as_array().unwrap().len(), 2);
    assert_eq!(value["supported"]["new_test_for"], serde_json::json!(["volts"]));
}

#[test]
fn a_solved_coupon_agrees_with_the_table_of_its_sheet() {
    let document = Document::from_toml(&COUPON, DOWNHILL).0;
    let solve = || solve_coupon(&document, None, &SolveParams::COARSE).unwrap();
    let solved = solve();
    assert_eq!(solved_json(&solved), solved_json(&solve()));
    let json = solved_json(&solved);
    let sheet = solved_sheet(&solved, Look::Paper);
    assert_eq!(json["status"], COMPUTED);
    let beads = json["beads"].as_array().unwrap();
    assert_eq!(beads.len(), sheet.rows.len());
    for (bead, row) in beads.iter().zip(&sheet.rows) {
        assert_eq!(bead["bead"], row.bead);
        assert_eq!(bead["kind"], row.kind.as_str());
        let left = bead["melted_mm"]["left"].as_f64();
        match row.cells[1].as_str() {
            "–" => assert!(left.is_none()),
            "stays solid" => assert!(left.unwrap() < 0.0),
            text => assert!(text.ends_with(&format!(" · {:.1}", left.unwrap())), "{text} {left:?}"),
        }
        // A hardness is a band or a reason, never one number.
        let hardness = &bead["hardness"];
        let is_band = hardness["low_HV"].as_f64() < hardness["high_HV"].as_f64();
        assert!(is_band || hardness["not_known"].is_string(), "{hardness}");
    }
    assert!(beads[0]["land_mm"]["left"].is_number() && beads[1]["land_mm"].is_null());
    assert!(beads[0]["ligament_mm"].as_f64().unwrap() < 0.1, "an open root melts through here");
}

#[test]
fn each_value_of_the_fit_says_whether_it_was_written_or_proposed() {
    let json_of = |text: &str| {
        let read = bendproof_traveler::forecast::read_forecast(text, None);
        super::forecast_read(&read).unwrap()
    };
    let written = json_of(DOWNHILL);
    let source = |value: &serde_json::Value, part: &str, field: &str| {
        value.pointer(&format!("{part}/sources/{field}")).unwrap().clone()
    };
    assert_eq!(source(&written, "/fit", "root_opening_mm")["source"], "as written in the file");
    assert_eq!(source(&written, "/passes/0", "volts")["source"], "as written in the file");
    let mismatch =
        DOWNHILL.lines().filter(|line| !line.starts_with("mismatch")).collect::<Vec<_>>().join("\n");
    let proposed = source(&json_of(&mismatch), "/fit", "mismatch_mm");
    assert!(proposed["source"].as_str().unwrap().starts_with("not written"), "{proposed}");
    assert_eq!(
        (&proposed["basis"], written["fit"]["sources"].to_string().contains("or the default")),
        (&"choice".into(), false)
    );
}
