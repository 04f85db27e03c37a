//! Records: refused where the code does not accept, never signed while a reading
//! is missing, and never altered between two issues.

#![allow(clippy::unwrap_used)]

use bendproof_files::{COUPON, Document};
use bendproof_traveler::issued::{
    Block, FieldRow, Issue, NOT_STATED, Record, RecordRefused, ReviseError, TableRow, bends, continuity,
    file, log_of_record, procedure_record, procedure_sheet, read_file, welder,
};
use bendproof_traveler::procedure::read_procedure_record;
use serde_json::{Value, json};

const ACCEPTED: &str = include_str!("../../bendproof-desk/demo/coupons/0303.toml");
const REJECTED: &str = include_str!("../../bendproof-desk/demo/coupons/0304.toml");
const PIPE: &str = include_str!("../../bendproof-desk/demo/coupons/0308.toml");
const ISO_PLATE: &str = include_str!("../../../examples/plate-iso-9606.toml");
const RECORD: &str = include_str!("../../../examples/record.toml");
const PROCEDURE: &str = include_str!("../../../examples/procedure.toml");
const TESTED: &str = include_str!("../../../examples/procedure-record.toml");

/// The demonstration's dates are days before the day it is filled.
fn dated(text: &str) -> Document {
    let day = |line: &str| match line.starts_with("finished") {
        true => "finished = \"2026-10-01\"".to_owned(),
        false => line.to_owned(),
    };
    let lines: Vec<String> = text.lines().map(day).collect();
    Document::from_toml(&COUPON, &lines.join("\n")).0
}

fn first() -> Issue {
    Issue::first("2026-11-25 14:03:09 UTC".to_owned(), "Ida Voss")
}

fn record() -> Record {
    welder(&dated(ACCEPTED), None, None, first()).unwrap()
}

fn log() -> Record {
    continuity(&log_of_record(RECORD, "7", None).unwrap(), first())
}

fn rows<'a>(record: &'a Record, title: &str) -> &'a [FieldRow] {
    match record.blocks.iter().find(|b| b.title() == title) {
        Some(Block::Fields { rows, .. }) => rows,
        other => panic!("{title} is {other:?}"),
    }
}

fn table<'a>(record: &'a Record, title: &str) -> &'a [TableRow] {
    match record.blocks.iter().find(|b| b.title() == title) {
        Some(Block::Table { rows, .. }) => rows,
        other => panic!("{title} is {other:?}"),
    }
}

fn row<'a>(rows: &'a [FieldRow], label: &str) -> &'a FieldRow {
    rows.iter().find(|r| r.label == label).unwrap_or_else(|| panic!("no {label} in {rows:?}"))
}

#[test]
fn an_accepted_coupon_covers_ranges_and_shows_what_was_tested() {
    let record = welder(&dated(PIPE), None, None, first()).unwrap();
    assert!(record.is_complete, "{:?}", record.open_points);
    assert_eq!(record.signatures.len(), 3);
    let thickness = row(rows(&record, "covers"), "thickness");
    // As written: a record converts nothing.
    assert_eq!(thickness.value, "0.432 in");
    assert!(!thickness.range.is_empty() && !thickness.clause.is_empty(), "{thickness:?}");
    let open = record.open_points.iter().find(|p| p.starts_with("Not stated")).unwrap();
    assert!(open.contains("laboratory") && !open.contains("WPS followed"), "{open}");
    assert_eq!(row(rows(&record, "welder and coupon"), "WPS followed").value, "WP-14");
}

/// The open-root plate under D1.1: passed, and worth nothing as a welder's test.
#[test]
fn a_passed_test_that_covers_nothing_is_not_signed() {
    let record = record();
    assert_eq!((record.is_complete, record.state.as_str()), (false, "no qualification"));
    assert!(record.signatures.is_empty());
    let covered = row(rows(&record, "covers"), "no qualification");
    assert!(covered.range.contains("open root") && !covered.clause.is_empty(), "{covered:?}");
    let elsewhere = welder(&dated(ACCEPTED), Some("asme-ix-2023"), None, first()).unwrap();
    assert_ne!(elsewhere.state, "no qualification");
}

#[test]
fn a_rejected_coupon_gives_no_record_but_a_bend_report() {
    let refused = welder(&dated(REJECTED), None, None, first()).unwrap_err();
    let RecordRefused::NotAccepted { reasons, .. } = &refused else { panic!("{refused:?}") };
    assert!(!reasons.is_empty() && refused.sentences().len() == reasons.len() + 1);
    let report = bends(&dated(REJECTED), None, None, first()).unwrap();
    assert_eq!(report.state, "reject");
    assert_eq!(report.signatures, ["Bent by", "Examined by"]);
    // A set another code finds short is not signed.
    let short = bends(&dated(PIPE), Some("api-1104"), None, first()).unwrap();
    assert!(!short.is_complete && short.signatures.is_empty(), "{}", short.state);
    let unknown = welder(&dated(ACCEPTED), Some("no-such-code"), None, first());
    assert!(matches!(unknown, Err(RecordRefused::Code(_))));
    let no_test = welder(&dated(ACCEPTED), Some("iso-5817-2023"), None, first()).unwrap_err();
    assert!(no_test.to_string().contains("has no test of its own"), "{no_test}");
}

#[test]
fn a_missing_reading_or_day_leaves_the_record_unsigned() {
    for missing in ["visual.penetration", "finished", "procedure", "tested_by"] {
        let mut document = dated(PIPE);
        document.set(missing, None);
        let record = welder(&document, None, None, first()).unwrap();
        assert!(!record.is_complete && record.signatures.is_empty(), "{missing}: {}", record.state);
        assert!(record.open_points[0].starts_with("Not to be signed under"), "{:?}", record.open_points);
    }
}

/// The same coupon, two codes: each record names its own code and clauses.
#[test]
fn one_coupon_gives_records_under_two_codes() {
    let pipe = dated(PIPE);
    let own = welder(&pipe, None, None, first()).unwrap();
    let other = bends(&pipe, Some("iso-9606-1"), None, first()).unwrap();
    assert_eq!(own.code, "asme-ix-2023");
    assert_eq!(other.code, "iso-9606-1-2017");
    assert_ne!(table(&own, "findings"), table(&other, "findings"));
}

/// An edition that differs from the one its rules are cited by keeps its clauses.
#[test]
fn a_record_under_another_edition_still_names_its_clauses() {
    let record = welder(&dated(PIPE), Some("asme-ix-2017"), None, first()).unwrap();
    for label in ["thickness", "backing", "lasts"] {
        assert!(!row(rows(&record, "covers"), label).clause.is_empty(), "{label}");
    }
}

#[test]
fn a_continuity_log_lists_every_use_with_what_shows_it() {
    let log = log();
    let [used, bare] = table(&log, "used") else { panic!("{log:?}") };
    assert_eq!(used.cells[..2], ["GMAW short-circuit", "2026-09-21"]);
    assert!(!used.cells[2].is_empty() && used.cells[2] != NOT_STATED);
    assert_eq!(bare.cells[1..], ["2026-10-03", NOT_STATED, NOT_STATED]);
    assert!(!log.is_complete && log.signatures.is_empty());
    let whole =
        continuity(&log_of_record(&RECORD.replace("uses = [2026-10-03]", ""), "7", None).unwrap(), first());
    assert!(whole.is_complete, "{:?}", whole.open_points);
    assert!(!table(&whole, "continuity rules").is_empty());
    let late = jiff::civil::date(2027, 6, 1);
    let late = continuity(&log_of_record(RECORD, "7", late).unwrap(), first());
    assert!(late.state.starts_with("expired after 2027-"), "{}", late.state);
}

#[test]
fn a_procedure_sheet_is_signed_only_when_its_record_supports_it() {
    let behind = read_procedure_record(TESTED, None).unwrap();
    let narrow = PROCEDURE.replace("volts_max = \"20 V\"", "volts_max = \"19.5 V\"");
    let sheet = procedure_sheet(&narrow, Some(&behind), None, None, first()).unwrap();
    assert!(sheet.is_complete, "{}: {:?}", sheet.state, sheet.blocks);
    let volts = row(rows(&sheet, "arc"), "volts");
    assert_eq!(volts.value, "17.5 V to 19.5 V");
    assert!(volts.range.contains("18.5 V - 7 %") && volts.clause.contains("Table"), "{volts:?}");
    let alone = procedure_sheet(PROCEDURE, None, None, None, first()).unwrap();
    assert_eq!((alone.is_complete, alone.state.as_str()), (false, "no record given"));
    let wide = procedure_sheet(PROCEDURE, Some(&behind), None, None, first()).unwrap();
    assert!(!wide.is_complete && wide.signatures.is_empty());
    let open = table(&wide, "compliance with PQR");
    assert!(open.iter().any(|r| r.cells[0].starts_with("volts 20 V is outside")), "{open:?}");
}

#[test]
fn a_procedure_s_test_is_signed_only_with_results_and_none_of_them_bad() {
    let whole = procedure_record(TESTED, None, None, first()).unwrap();
    assert!(whole.is_complete);
    assert_eq!(table(&whole, "results").len(), 4);
    assert!(!table(&whole, "specimens asked for").is_empty());
    for (from, to, state) in [
        ("bends = \"accept\"", "bends = \"reject\"", "rejected"),
        ("bends = \"accept\"", "bends = \"not_done\"", "not complete"),
        ("bends = \"accept\"", "", "not complete"),
    ] {
        let bad = procedure_record(&TESTED.replace(from, to), None, None, first()).unwrap();
        assert_eq!((bad.is_complete, bad.state.as_str()), (false, state));
    }
    let unnamed =
        procedure_record(&TESTED.replace("welder = ", "laboratory = "), None, None, first()).unwrap();
    assert!(!unnamed.is_complete && unnamed.signatures.is_empty());
    let judging = bendproof_codes::catalogue::code("iso-5817-2023").unwrap();
    let refused = procedure_record(TESTED, Some(judging), None, first()).unwrap_err();
    assert!(refused.findings[0].message.contains("has no rules for procedures"));
    let of_coupon = include_str!("../../../examples/plate-3g-uphill.toml");
    let of_coupon = procedure_record(of_coupon, None, None, first()).unwrap();
    assert_eq!(of_coupon.state, "no result written");
    let drawn = of_coupon.blocks.iter().filter(|b| matches!(b, Block::Drawing { .. })).count();
    assert_eq!(drawn, 2);
}

#[test]
fn a_new_issue_names_the_hash_of_the_one_before() {
    let old = file(&record());
    let next = record().after(&old.to_string(), "Ida Voss", "welder's name corrected").unwrap();
    assert_eq!(next.issue.revision, 2);
    assert_eq!(json!(next.issue.earlier[0].hash), old["hash"]);
    let third = record().after(&format!("{:#}", file(&next)), "Ida Voss", "again").unwrap();
    assert_eq!((third.issue.revision, third.issue.earlier.len()), (3, 2));
    for (who, why) in [("Ida Voss", " "), ("", "again")] {
        let missing = record().after(&old.to_string(), who, why);
        assert!(matches!(missing, Err(ReviseError::Missing(_))), "{missing:?}");
    }
}

#[test]
fn what_a_new_issue_says_otherwise_is_reported() {
    let old = file(&record());
    let mut document = dated(ACCEPTED);
    document.set("welder", Some("Somebody Else"));
    let next = welder(&document, None, None, first()).unwrap();
    let next = next.after(&old.to_string(), "Ida Voss", "another welder").unwrap();
    let answer = |p: &&String| p.starts_with("Since issue 1: welder was") && p.ends_with("is Somebody Else.");
    assert_eq!(next.open_points.iter().filter(answer).count(), 1, "{:?}", next.open_points);
    let same = record().after(&old.to_string(), "Ida Voss", "again").unwrap();
    assert!(same.open_points.iter().all(|p| !p.starts_with("Since issue")));
}

/// Every copy of `value` with one text changed.
fn altered(value: &Value) -> Vec<Value> {
    match value {
        Value::String(text) => vec![json!(format!("{text}."))],
        Value::Bool(flag) => vec![json!(!flag)],
        Value::Number(_) => vec![json!(99)],
        Value::Null => vec![json!(0)],
        Value::Array(items) => {
            let with = |index: usize, item: Value| {
                let mut copy = items.clone();
                copy[index] = item;
                Value::Array(copy)
            };
            let each = items.iter().enumerate();
            each.flat_map(|(i, v)| altered(v).into_iter().map(move |a| with(i, a))).collect()
        }
        Value::Object(fields) => {
            let with = |name: &String, item: Value| {
                let mut copy = fields.clone();
                copy[name] = item;
                Value::Object(copy)
            };
            fields.iter().flat_map(|(n, v)| altered(v).into_iter().map(move |a| with(n, a))).collect()
        }
    }
}

#[test]
fn any_one_change_in_a_record_file_is_found() {
    let next = log();
    let whole = file(&next);
    assert!(read_file(&whole.to_string()).is_ok());
    let copies = altered(&whole);
    assert!(copies.len() > 50);
    for copy in copies {
        let error = next.clone().after(&copy.to_string(), "Ida Voss", "again").unwrap_err();
        assert!(matches!(error, ReviseError::Altered { .. }), "{error} in {copy}");
    }
}

#[test]
fn what_is_no_record_or_another_record_is_refused() {
    let after = |text: &str| record().after(text, "Ida Voss", "again").unwrap_err();
    for text in ["", "[]", "{}", "{\"hash\": 3}"] {
        assert!(matches!(after(text), ReviseError::NotARecord(_)), "{text}");
    }
    assert!(matches!(after(&file(&log()).to_string()), ReviseError::Another { .. }));
}

/// Names of ISO 4063, 6947 and 14175 on records under an ISO code, and on no other.
#[test]
fn records_under_iso_codes_bear_the_names_of_iso() {
    let iso = |record: &Record, label: &str| row(rows(record, "names by ISO"), label).value.clone();
    let welders = welder(&dated(ISO_PLATE), None, None, first()).unwrap();
    assert_eq!(iso(&welders, "process, ISO 4063"), "135");
    assert_eq!(iso(&welders, "position, ISO 6947"), "PF");
    let line = row(rows(&welders, "welder and coupon"), "designation");
    assert_eq!(line.value, "ISO 9606-1 135 P BW FM1 S s10 PF ss nb");
    let iso_rows: Vec<&FieldRow> =
        rows(&welders, "names by ISO").iter().filter(|r| r.label == "filler and gas").collect();
    assert!(iso_rows[0].value.starts_with("gas 75Ar/25CO2: ISO 14175 M21") && iso_rows[0].is_from_memory);
    assert!(iso_rows[1].value.contains("G3Si1 or G4Si1; its certificate says which"), "{iso_rows:?}");

    let code = bendproof_codes::catalogue::code("iso-15614-1-2017").unwrap();
    let test = procedure_record(TESTED, Some(code), None, first()).unwrap();
    // The record does not say whether the wire was solid or metal-cored.
    assert_eq!(iso(&test, "process, ISO 4063"), "135 or 138, by the form of the filler");
    assert_eq!(iso(&test, "position, ISO 6947"), "PF");
    let certified = TESTED.replacen(
        "filler_class",
        "filler_form = \"solid\"\nfiller_iso = \"G 42 4 M21 3Si1\"\nfiller_class",
        1,
    );
    let test = procedure_record(&certified, Some(code), None, first()).unwrap();
    assert_eq!(iso(&test, "process, ISO 4063"), "135");
    let last = rows(&test, "names by ISO").last().unwrap();
    assert!(last.value.starts_with("ISO 14341-A - G 42 4 M21 G3Si1 by its certificate"), "{last:?}");

    let sheet = procedure_sheet(PROCEDURE, None, Some(code), None, first()).unwrap();
    assert_eq!(iso(&sheet, "position, ISO 6947"), "PF");
    let open = PROCEDURE.replacen("progression = [\"uphill\"]\n", "", 1);
    let sheet = procedure_sheet(&open, None, Some(code), None, first()).unwrap();
    assert!(iso(&sheet, "position, ISO 6947").starts_with("V: the symbol is open"));
    let own = procedure_sheet(PROCEDURE, None, None, None, first()).unwrap();
    assert!(own.blocks.iter().all(|b| b.title() != "names by ISO"));
}
