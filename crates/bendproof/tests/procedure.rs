//! `bendproof procedure` on the real program: the draft, the support, joints,
//! and files that cannot be used.
#![allow(clippy::unwrap_used)]

mod support;

use support::contract::{Holds::*, has, is_one_of, list};
use support::{Folder, read, run};

const RECORD: &str = "examples/procedure-record.toml";
const PROCEDURE: &str = "examples/procedure.toml";

#[test]
fn a_record_drafts_its_procedure_with_the_arithmetic_and_the_clauses() {
    let ran = run(&["procedure", RECORD]).ends(0);
    assert!(ran.out.starts_with("PR-7 under aws-d1.1-2020\n"), "{}", ran.out);
    let volts = ran.out.lines().find(|l| l.trim_start().starts_with("volts")).unwrap();
    assert!(volts.contains("18.5 V - 7 % = 17.3 V to 18.5 V + 7 % = 19.7 V"), "{volts}");
    assert!(volts.contains("Table 6.5 (16), d11-var-volts, secondary"), "{volts}");
    let travel = ran.out.lines().find(|l| l.trim_start().starts_with("travel")).unwrap();
    assert!(travel.contains("from memory, check against your code book"), "{travel}");
}

#[test]
fn a_procedure_against_its_record_names_what_is_outside() {
    let report = run(&["procedure", PROCEDURE, "--from", RECORD, "--json"]).ends(1).json();
    has(
        &report,
        &[("number", Text), ("code", Text), ("draft", List), ("supported", Object), ("joints", List)],
    );
    assert_eq!(report["supported"]["new_test_for"], serde_json::json!(["volts"]));
    for line in list(&report, "draft") {
        has(line, &[("variable", Text), ("allowed", Text), ("value", TextOrNull), ("because", Object)]);
        is_one_of(&line["class"], &["essential", "supplementary", "nonessential"]);
    }
    let answers: Vec<&str> = list(&report, "joints").iter().map(|j| j["answer"].as_str().unwrap()).collect();
    assert_eq!(answers, ["inside", "outside"]);
}

#[test]
fn the_same_record_is_asked_under_another_code() {
    let report = run(&["procedure", RECORD, "--code", "asme-ix", "--json"]).ends(0).json();
    let thickness = |line: &&serde_json::Value| line["because"]["rule"] == "asme-var-thickness-short-circuit";
    let line = list(&report, "draft").iter().find(thickness).unwrap();
    assert_eq!(line["max"], "0.4125 in");
    assert_eq!(line["because"]["basis"], "memory");
}

#[test]
fn joints_of_a_file_of_their_own_are_asked() {
    let folder = Folder::new();
    let joint = "[[joint]]\nname = \"thin\"\nkind = \"plate_groove\"\nthickness = \"7/64 in\"\n";
    let file = folder.write("joints.toml", joint);
    let ran = run(&["procedure", RECORD, "--ask", &file]).ends(1);
    assert!(ran.out.contains("joint thin: outside"), "{}", ran.out);
    assert!(ran.out.contains("thickness 7/64 in is outside 1/8 in to 2 x 3/8 in = 3/4 in"), "{}", ran.out);
    run(&["check", &file]).ends(0);
}

#[test]
fn a_coupon_file_drafts_a_procedure_too() {
    // A coupon without straps has no results of a procedure's test, which wants a look.
    let ran = run(&["procedure", "examples/plate-3g-uphill.toml"]).ends(1);
    assert!(
        ran.out.contains("warning: the record's own test is not complete: bends, tension"),
        "{}",
        ran.out
    );
    assert!(ran.out.contains("warning: settings are those of the root pass"), "{}", ran.out);
}

/// Six pieces and the eye are accepted; what D1.1 asks besides is a film.
#[test]
fn a_record_that_lacks_only_its_film_says_so_and_not_that_the_bends_are_open() {
    let strap =
        |id: &str, kind: &str| format!("[[strap]]\nid = \"{id}\"\nkind = \"{kind}\"\nopenings = []\n");
    let piece =
        |id: &str| format!("[[tension]]\nid = \"{id}\"\nstrength = \"70 ksi\"\nbroke_in = \"base\"\n");
    let text = [
        read("examples/plate-3g-uphill.toml").split("\n[[strap]]").next().unwrap().to_owned(),
        strap("F1", "face"),
        strap("F2", "face"),
        strap("R1", "root"),
        strap("R2", "root"),
        piece("T1"),
        piece("T2"),
    ];
    let text = text.join("\n").replacen("number = ", "purpose = \"procedure\"\nnumber = ", 1);
    let text = text.replacen("steel = ", "tensile_min = \"58 ksi\"\nsteel = ", 1);
    let folder = Folder::new();
    let path = folder.write("pqr.toml", text);
    let out = folder.path("pqr.json");
    run(&["record", "procedure-test", &path, "-o", &out, "--who", "R. Keel"]);
    let record = std::fs::read_to_string(&out).unwrap();
    assert!(record.contains("not complete: radiography not done"), "{record}");
    assert!(!record.contains("bends not done") && !record.contains("d11-procedure-film:"), "{record}");
}

#[test]
fn files_that_cannot_be_used_are_refused_with_the_next_step() {
    let folder = Folder::new();
    let wrong =
        folder.write("wrong.toml", read(PROCEDURE).replace("volts_min = \"17.5 V\"", "volts_min = \"17.5\""));
    let ran = run(&["procedure", &wrong]).ends(2);
    assert!(ran.err.contains("has no unit"), "{}", ran.err);
    let ran = run(&["procedure", RECORD, "--from", RECORD]).ends(2);
    assert!(ran.err.contains("is no procedure file"), "{}", ran.err);
    let ran = run(&["procedure", RECORD, "--code", "d1.9"]).ends(2);
    assert!(ran.err.contains("is not a code this program has"), "{}", ran.err);
}
