//! A procedure of the shop's library: the written procedure and the record
//! behind it as one flat document, under `procedure.` and `record.`.
//!
//! A new one is drafted from an accepted coupon or taken from two files. It
//! states what was tested and nothing wider; whoever widens it is shown with
//! the boxes what the code allows.

use std::collections::BTreeMap;

use bendproof_codes::catalogue::Code;
use bendproof_codes::rule::{Fact, Facts, Variable};
use bendproof_files::{
    Document, FileKind, Finding, PROCEDURE, PROCEDURE_JOINTS, PROCEDURE_RECORD, check_field, has_field,
    stated_process,
};
use bendproof_measure::say;

use crate::context::{AssessmentContext, Today, known};
use crate::drawn::Look;
use crate::issued::{Issue, Record, RecordKind, drawn, procedure_record, procedure_sheet};
use crate::procedure::{
    AskedJoint, FROM_COUPON, ProcedureRecord, ProcedureReport, read_joints, read_procedure,
    read_procedure_record, report_procedure,
};
use crate::welder::RecordError;

/// Texts by path, as the shop keeps them.
pub type Texts = BTreeMap<String, String>;

/// The two parts of a procedure of the library, each a file of its own.
pub const LIBRARY_PARTS: [(&str, &FileKind); 2] = [("procedure", &PROCEDURE), ("record", &PROCEDURE_RECORD)];

/// Facts of a record that follow from others and are computed again.
const DERIVED: [&str; 2] = ["heat_input", "heat_input_low"];

/// The part a path belongs to, and its path in that file.
pub fn library_field(path: &str) -> Option<(&'static FileKind, &str)> {
    LIBRARY_PARTS.iter().find_map(|(part, kind)| Some((*kind, path.strip_prefix(part)?.strip_prefix('.')?)))
}

/// One part as a document of its own file.
pub fn library_part(texts: &Texts, part: &str) -> Document {
    let own = |(path, text): (&String, &String)| {
        Some((path.strip_prefix(part)?.strip_prefix('.')?.to_owned(), text.clone()))
    };
    Document::from_values(texts.iter().filter_map(own).collect())
}

/// Two files as one procedure of the library.
pub fn library_of_files(procedure: &str, record: &str) -> Texts {
    let mut texts = Texts::new();
    for ((part, kind), text) in LIBRARY_PARTS.into_iter().zip([procedure, record]) {
        let (document, _) = Document::from_toml(kind, text);
        texts.extend(document.values().iter().map(|(path, text)| (format!("{part}.{path}"), text.clone())));
    }
    texts
}

/// What is said of a procedure of the library under a code, its own where none
/// is named, and of the joints asked about besides those written into it.
///
/// # Errors
/// Every fault of the texts, with the path as the library keeps it.
pub fn library_report(
    texts: &Texts,
    code: Option<&'static Code>,
    joints: &[AskedJoint],
    context: impl Into<AssessmentContext>,
) -> Result<ProcedureReport, Vec<Finding>> {
    let context = context.into();
    let (procedure, record) = files(texts);
    let written = read_procedure(&procedure, context).map_err(|why| placed(why, "procedure"))?;
    let record = record.map(|text| tested(&text, context)).transpose()?;
    Ok(report_procedure(&written, record.as_ref(), code.unwrap_or(written.code), joints))
}

/// A procedure of the library as its sheet, or its record as the record of its
/// test, under its own code or another one.
///
/// # Errors
/// Every fault of the texts, with the path as the library keeps it; and that
/// there is no record where one is asked for.
pub fn library_issued(
    texts: &Texts,
    kind: RecordKind,
    code: Option<&'static Code>,
    context: impl Into<AssessmentContext>,
    issue: Issue,
) -> Result<Record, Vec<Finding>> {
    let context = context.into();
    let (procedure, record) = files(texts);
    if kind == RecordKind::ProcedureTest {
        let record = record.ok_or_else(|| vec![Finding::error("record", NO_RECORD)])?;
        return procedure_record(&record, code, context, issue).map_err(|why| placed(why, "record"));
    }
    let record = record.map(|text| tested(&text, context)).transpose()?;
    procedure_sheet(&procedure, record.as_ref(), code, context, issue).map_err(|why| placed(why, "procedure"))
}

/// The joint a procedure is for, to scale for the page: its own kind of groove
/// and sizes, and those of its record where it states none.
///
/// # Errors
/// The sentence that says why it is not drawn.
pub fn library_joint(texts: &Texts, context: impl Into<AssessmentContext>) -> Result<String, String> {
    let context = context.into();
    let (procedure, record) = files(texts);
    let unread = |_| "Not drawn: the procedure cannot be read as it stands.".to_owned();
    let written = read_procedure(&procedure, context).map_err(unread)?;
    let record = record.map(|text| read_procedure_record(&text, context)).transpose().map_err(unread)?;
    let sizes = record.map(|record| record.facts).unwrap_or_default().and(&written.design);
    let is_fillet = texts.get("procedure.joint_kind").is_some_and(|kind| kind == "fillet");
    drawn(&sizes, is_fillet, Look::Screen)
}

/// Said where the record of a procedure without one is asked for.
const NO_RECORD: &str = "record: nothing of a test is written; allowed is a test as it was welded; write it into the fields of \
                         the record first";

/// The texts of both files; no record where nothing of one is written.
fn files(texts: &Texts) -> (String, Option<String>) {
    let [procedure, record] = LIBRARY_PARTS.map(|(part, kind)| {
        let document = library_part(texts, part);
        (!document.values().is_empty()).then(|| document.to_toml(kind))
    });
    (procedure.unwrap_or_default(), record)
}

fn tested(text: &str, context: AssessmentContext) -> Result<ProcedureRecord, Vec<Finding>> {
    read_procedure_record(text, context).map_err(|why| placed(why, "record"))
}

fn placed(error: RecordError, part: &str) -> Vec<Finding> {
    let placed = |f: Finding| Finding { path: format!("{part}.{}", f.path), line: None, ..f };
    error.findings.into_iter().map(placed).collect()
}

/// A joint as typed, by the fields of a file of joints.
///
/// # Errors
/// Every fault of the texts, each with its path.
pub fn library_joints(mut texts: Texts, today: Today) -> Result<Vec<AskedJoint>, Vec<Finding>> {
    texts.entry("joint.1.name".to_owned()).or_insert_with(|| "joint asked about".to_owned());
    let text = Document::from_values(texts).to_toml(&PROCEDURE_JOINTS);
    read_joints(&text, today).map_err(|why| why.findings)
}

/// A procedure drafted from a coupon: the record as it was welded, and a
/// procedure that states the same values.
///
/// # Errors
/// What keeps the coupon from being a record.
pub fn library_of_coupon(
    coupon: &Document,
    number: &str,
    context: impl Into<AssessmentContext>,
) -> Result<Texts, Vec<Finding>> {
    let context = context.into();
    let read = read_procedure_record(&coupon.to_toml(&bendproof_files::COUPON), context);
    let tested = read.map_err(|why| why.findings)?;
    let mut record = record_texts(coupon, &tested.facts);
    record.insert("number".to_owned(), tested.number.clone());
    record.insert("code".to_owned(), tested.code.id.clone());
    for (path, name) in [("welder", "welder"), ("finished", "tested")] {
        record.extend(coupon.get(path).map(|text| (name.to_owned(), text.to_owned())));
    }
    let results = tested.results.iter();
    record.extend(results.map(|(name, word)| (format!("results.{name}"), word.clone())));
    let mut procedure = procedure_texts(&tested.facts);
    for (name, text) in [("number", number), ("code", &tested.code.id), ("records.1", &tested.number)] {
        procedure.insert(name.to_owned(), text.to_owned());
    }
    for name in ["steel", "shape", "detail"] {
        procedure.extend(record.get(name).map(|text| (name.to_owned(), text.clone())));
    }
    let is_pipe = record.get("shape").is_some_and(|shape| shape == "pipe");
    let kind = if is_pipe { "pipe_groove" } else { "plate_groove" };
    procedure.insert("joint_kind".to_owned(), kind.to_owned());
    let mut texts = Texts::new();
    for ((part, kind), own) in LIBRARY_PARTS.into_iter().zip([procedure, record]) {
        // What its field cannot hold is left for a person to write.
        let holds =
            |(path, text): &(String, String)| check_field(kind, path, text, &known(context.day)).is_ok();
        texts.extend(own.into_iter().filter(holds).map(|(path, text)| (format!("{part}.{path}"), text)));
    }
    Ok(texts)
}

/// The facts of a coupon as texts of a record; what the coupon itself holds as a
/// text keeps that text.
fn record_texts(coupon: &Document, facts: &Facts) -> Texts {
    let mut texts = Texts::new();
    for (name, fact) in facts.iter().filter(|(name, _)| !DERIVED.contains(name)) {
        texts.extend(fact_texts(name, fact));
    }
    let process = stated_process(coupon);
    for (path, name) in FROM_COUPON.into_iter().filter(|(path, _)| has_field(process, path)) {
        texts.extend(coupon.get(path).map(|text| (name.to_owned(), text.to_owned())));
    }
    texts
}

/// What was tested, as a procedure states it.
fn procedure_texts(facts: &Facts) -> Texts {
    let mut texts = Texts::new();
    for variable in Variable::ALL {
        let Some(fact) = facts.get(variable.of_record()) else { continue };
        let name = variable.word();
        let is_list = PROCEDURE.spec(&format!("{name}.1")).is_some();
        match fact {
            Fact::Word(word) if is_list => {
                texts.insert(format!("{name}.1"), word.clone());
            }
            Fact::Measure(_) if DERIVED.contains(&variable.of_record()) => {}
            fact => texts.extend(fact_texts(name, fact)),
        }
    }
    texts
}

/// A fact as its field writes it.
fn fact_texts(name: &str, fact: &Fact) -> Vec<(String, String)> {
    let one = |text: String| vec![(name.to_owned(), text)];
    match fact {
        Fact::Word(word) => one(word.clone()),
        Fact::Words(words) => {
            words.iter().zip(1..).map(|(word, n)| (format!("{name}.{n}"), word.clone())).collect()
        }
        Fact::Flag(flag) => one(if *flag { "yes" } else { "no" }.to_owned()),
        Fact::Number(number) => one(number.to_string()),
        Fact::Measure(quantity) => one(say(quantity)),
        _ => Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    use bendproof_codes::procedure::Within;

    use super::*;

    fn file(name: &str) -> String {
        std::fs::read_to_string(format!("{}/../../examples/{name}", env!("CARGO_MANIFEST_DIR"))).unwrap()
    }

    #[test]
    fn two_files_make_one_procedure_and_come_out_again() {
        let texts = library_of_files(&file("procedure.toml"), &file("procedure-record.toml"));
        let report = library_report(&texts, None, &[], None).unwrap();
        assert_eq!((report.number.as_str(), report.joints.len()), ("WP-7", 2));
        assert!(report.supported.is_some() && !report.draft.is_empty());
        let (direct, _) = Document::from_toml(&PROCEDURE, &file("procedure.toml"));
        assert_eq!(library_part(&texts, "procedure").values(), direct.values());
    }

    #[test]
    fn a_coupon_drafts_a_procedure_that_its_record_supports_or_leaves_open() {
        let (coupon, faults) = Document::from_toml(&bendproof_files::COUPON, &file("plate-3g-uphill.toml"));
        assert!(faults.is_empty(), "{faults:?}");
        let texts = library_of_coupon(&coupon, "WP-1", None).unwrap();
        assert_eq!(texts["procedure.number"], "WP-1");
        assert_eq!(texts["record.root_opening"], coupon.get("fit.root_opening").unwrap());
        let report = library_report(&texts, None, &[], None).unwrap();
        let supported = report.supported.unwrap();
        assert_ne!(supported.answer, Within::Outside, "{:#?}", supported.breached().collect::<Vec<_>>());
    }

    #[test]
    fn a_sheet_stands_on_its_record_and_a_test_needs_one() {
        let texts = library_of_files(&file("procedure.toml"), &file("procedure-record.toml"));
        let first = || Issue::first("2026-11-25 14:03:09 UTC".to_owned(), "Ida Voss");
        let sheet = library_issued(&texts, RecordKind::Procedure, None, None, first()).unwrap();
        let tested = read_procedure_record(&file("procedure-record.toml"), None).unwrap();
        let direct = procedure_sheet(&file("procedure.toml"), Some(&tested), None, None, first()).unwrap();
        assert_eq!((sheet.number, sheet.state), (direct.number, direct.state));
        let test = library_issued(&texts, RecordKind::ProcedureTest, None, None, first()).unwrap();
        assert_eq!(test.kind, RecordKind::ProcedureTest);
        let untested: Texts = texts.into_iter().filter(|(path, _)| path.starts_with("procedure.")).collect();
        let why = library_issued(&untested, RecordKind::ProcedureTest, None, None, first()).unwrap_err();
        assert!(why[0].message.contains("nothing of a test"), "{why:?}");
        let sheet = library_issued(&untested, RecordKind::Procedure, None, None, first()).unwrap();
        assert!(!sheet.is_complete && sheet.signatures.is_empty(), "{}", sheet.state);
    }

    #[test]
    fn the_joint_is_drawn_from_the_sizes_of_the_record_or_says_what_is_missing() {
        let mut texts = library_of_files(&file("procedure.toml"), &file("procedure-record.toml"));
        assert!(library_joint(&texts, None).unwrap().starts_with("<svg"));
        texts.insert("procedure.groove_type.1".to_owned(), "double_u".to_owned());
        let why = library_joint(&texts, None).unwrap_err();
        assert!(why.contains("the groove radius and the depth from the far side"), "{why}");
        for (path, text) in [("record.groove_radius", "1/16 in"), ("procedure.groove_depth", "1/8 in")] {
            texts.insert(path.to_owned(), text.to_owned());
        }
        assert!(library_joint(&texts, None).unwrap().contains("radius"));
        texts.insert("record.volts".to_owned(), "many".to_owned());
        assert!(library_joint(&texts, None).unwrap_err().contains("cannot be read"));
    }

    #[test]
    fn a_fault_names_the_part_it_lies_in() {
        let mut texts = library_of_files(&file("procedure.toml"), &file("procedure-record.toml"));
        texts.insert("record.volts".to_owned(), "many".to_owned());
        let faults = library_report(&texts, None, &[], None).unwrap_err();
        assert!(faults.iter().any(|f| f.path == "record.volts"), "{faults:?}");
        assert_eq!(library_field("record.volts").unwrap().1, "volts");
        assert!(library_field("recorded.volts").is_none() && library_field("title").is_none());
    }
}
