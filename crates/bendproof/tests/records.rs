//! `bendproof record` on the real program: every kind as PDF, workbook and record
//! file, the next issue of a record, and what is refused.
#![allow(clippy::unwrap_used)]

mod support;

use serde_json::Value;
use support::contract::{Holds::*, has, list};
use support::{Folder, Ran, read, run};

const PIPE: &str = "crates/bendproof-desk/demo/coupons/0308.toml";
const REJECTED: &str = "crates/bendproof-desk/demo/coupons/0304.toml";
const TESTED: &str = "examples/procedure-record.toml";

/// A coupon of the demonstration, whose dates are days before the day it is
/// filled, with a day of its own.
fn dated(folder: &Folder, path: &str) -> String {
    let day = |line: &str| match line.starts_with("finished") {
        true => "finished = \"2026-10-01\"".to_owned(),
        false => line.to_owned(),
    };
    let lines: Vec<String> = read(path).lines().map(day).collect();
    folder.write("coupon.toml", lines.join("\n"))
}

fn issue(kind: &str, file: &str, out: &str, more: &[&str]) -> Ran {
    let mut arguments = vec!["record", kind, file, "-o", out, "--who", "Ida Voss"];
    arguments.extend(more);
    run(&arguments)
}

fn issued(path: &str) -> Value {
    serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap()
}

#[test]
fn every_kind_comes_as_pdf_workbook_and_file() {
    let folder = Folder::new();
    let pipe = dated(&folder, PIPE);
    let kinds = [
        ("welder", pipe.as_str(), 0, "accept"),
        ("bends", &pipe, 0, "accept"),
        ("continuity", "examples/record.toml", 1, "not complete"),
        ("procedure", "examples/procedure.toml", 1, "no record given"),
        ("procedure-test", TESTED, 0, "accepted"),
    ];
    for (kind, file, ends, state) in kinds {
        for (ending, start) in [("pdf", &b"%PDF"[..]), ("xlsx", b"PK"), ("json", b"{")] {
            let out = folder.path(&format!("{kind}.{ending}"));
            issue(kind, file, &out, &[]).ends(ends);
            assert!(std::fs::read(&out).unwrap().starts_with(start), "{out}");
        }
        let record = issued(&folder.path(&format!("{kind}.json")));
        has(
            &record,
            &[("kind", Text), ("code", Text), ("blocks", List), ("open_points", List), ("hash", Text)],
        );
        assert!(record["state"].as_str().unwrap().contains(state), "{kind}: {}", record["state"]);
    }
}

#[test]
fn one_coupon_is_issued_under_two_codes() {
    let folder = Folder::new();
    let pipe = dated(&folder, PIPE);
    let codes = [("asme-ix-2023", vec![]), ("aws-d1.1-2020", vec!["--code", "aws-d1.1"])];
    for (code, more) in codes {
        let out = folder.path(&format!("{code}.json"));
        let ran = issue("welder", &pipe, &out, &more);
        assert!(matches!(ran.code, 0 | 1), "{ran:?}");
        let record = issued(&out);
        assert_eq!(record["code"], code);
        // What may not be signed says so on its face.
        assert_eq!(ran.code == 0, !list(&record, "signatures").is_empty());
    }
}

#[test]
fn a_new_issue_needs_the_last_one_as_it_was_and_a_reason() {
    let folder = Folder::new();
    let pipe = dated(&folder, PIPE);
    let [one, two, three] = ["1.json", "2.json", "3.json"].map(|name| folder.path(name));
    issue("welder", &pipe, &one, &[]).ends(0);
    let again = ["--revises", one.as_str(), "--why", "welder ID (stamp) added"];
    issue("welder", &pipe, &two, &again).ends(0);
    let second = issued(&two);
    assert_eq!(second["issue"]["revision"], 2);
    assert_eq!(second["issue"]["earlier"][0]["hash"], issued(&one)["hash"]);

    let ran = issue("welder", &pipe, &three, &["--revises", &two]).ends(2);
    assert!(ran.err.contains("the reason why it is issued again"), "{}", ran.err);
    let altered = std::fs::read_to_string(&two).unwrap().replace("accept", "reject");
    let altered = folder.write("altered.json", altered);
    let ran = issue("welder", &pipe, &three, &["--revises", &altered, "--why", "x"]).ends(2);
    assert!(ran.err.contains("was altered after it was issued"), "{}", ran.err);
    let ran = issue("bends", &pipe, &three, &["--revises", &two, "--why", "x"]).ends(2);
    assert!(ran.err.contains("the kind is welder in the earlier issue"), "{}", ran.err);
    assert!(!std::path::Path::new(&three).exists());
}

#[test]
fn what_is_not_accepted_or_cannot_be_read_gives_no_record() {
    let folder = Folder::new();
    let rejected = dated(&folder, REJECTED);
    let out = folder.path("none.pdf");
    let ran = issue("welder", &rejected, &out, &[]).ends(2);
    assert!(ran.err.contains("no welder record under"), "{}", ran.err);
    assert!(!std::path::Path::new(&out).exists());
    issue("bends", &rejected, &out, &[]).ends(0);
    let kept = folder.path("kept.json");
    issue("bends", &rejected, &kept, &[]).ends(0);
    let ran = issue("bends", &rejected, &kept, &[]).ends(2);
    assert!(ran.err.contains("never written over"), "{}", ran.err);
    issue("welder", "examples/bends.toml", &folder.path("b.pdf"), &[]).ends(2);
    let ran = issue("procedure", "examples/procedure.toml", &folder.path("p.doc"), &[]).ends(2);
    assert!(ran.err.contains("end the name in .pdf, .xlsx, .json"), "{}", ran.err);
    let ran = issue("passport", &rejected, &out, &[]);
    assert!(ran.code == 2 && ran.err.contains("choose one of welder, bends"), "{}", ran.err);
    let ran = issue("continuity", "examples/record.toml", &out, &["--code", "asme-ix"]).ends(2);
    assert!(ran.err.contains("keeps the code of its record file"), "{}", ran.err);
}
