//! The procedure sheet of a written procedure, and the record of a procedure's
//! test, from their files or from a coupon.

use bendproof_codes::catalogue::Code;
use bendproof_codes::judged::{Coupon, specimens};
use bendproof_codes::procedure::{Allowance, DraftLine, Stated, VariableReason, Within, draft};
use bendproof_codes::rule::{Cited, Fact, Facts, Variable};
use bendproof_codes::words::{Basis, Purpose, RuleKind, TestShape};
use bendproof_files::{COUPON, Document, Finding, PROCEDURE, PROCEDURE_RECORD};
use bendproof_measure::{Toward, say_computed};
use bendproof_weld::words::spoken;
use bendproof_weld::{Position, Process};

use super::blocks::{
    Block, FieldRow, Issue, NOT_STATED, Record, RecordKind, TableRow, derived, distinct, field, fields,
    filled, not_stated, stated, table, to_sign,
};
use super::iso_names;
use super::sketch::{joint, prepared};
use crate::context::AssessmentContext;
use crate::drawn::Look;
use crate::procedure::{
    ProcedureRecord, ProcedureReport, WrittenProcedure, named_gas, read_procedure, read_procedure_record,
    report_procedure, untested,
};
use crate::sheet::basis_said;
use crate::welder::RecordError;

/// The variables of a sheet under the heads they stand under, in print order.
const GROUPS: [(&str, &[Variable]); 6] = {
    use Variable::*;
    [
        ("joint", &[Groove, GrooveAngle, RootOpening, RootFace, Backing, Diameter, Throat]),
        ("base metal", &[BaseMetal, GroupPair, Yield, Thickness, Deposit, PassThickness]),
        ("position", &[Position, Progression, Runs]),
        (
            "filler and gas",
            &[
                Filler,
                FillerClass,
                Analysis,
                FillerForm,
                LowHydrogen,
                WireDiameter,
                Electrodes,
                Gas,
                GasGroup,
                CarbonDioxide,
                GasFlow,
                BackingGas,
            ],
        ),
        ("arc", &[Level, Process, Transfer, Polarity, Output, Amps, Volts, WireFeed, Travel, HeatInput]),
        ("heat", &[Preheat, LeastInterpass, Interpass, PostHeat, Pwht, PwhtTemperature, TimeBetween]),
    ]
};

/// The procedure sheet of a procedure file, with the record behind it where one
/// is given, under its own code or another one. It is complete, and may be
/// signed, when the record supports it or its claim to need no test holds.
///
/// # Errors
/// [`RecordError`] lists every fault of the text.
pub fn procedure_sheet(
    text: &str,
    record: Option<&ProcedureRecord>,
    code: Option<&'static Code>,
    context: impl Into<AssessmentContext>,
    issue: Issue,
) -> Result<Record, RecordError> {
    let written = read_procedure(text, context)?;
    let (document, _) = Document::from_toml(&PROCEDURE, text);
    let code = of_procedures(code.unwrap_or(written.code))?;
    let written = named_gas::of_procedure(code, &written);
    let report = report_procedure(&written, record, code, &[]);
    let head = [
        ("procedure", "number"),
        ("revision", "revision"),
        ("company", "company"),
        ("written by", "author"),
        ("written", "written"),
        ("steel", "steel"),
        ("kind of joint", "joint_kind"),
        ("prequalified detail", "detail"),
    ];
    let mut who = named(&document, &head);
    who.push(field("PQR", &stands_on(&document, &written)));
    let mut blocks = vec![fields("procedure", who)];
    let design = record.map(|r| r.facts.clone()).unwrap_or_default().and(&written.design);
    blocks.push(joint(&design, said(&document, "joint_kind") == "fillet"));
    let stated =
        |v: Variable| written.procedure.stated.get(&v).map(|stated| as_written(&document, v, stated));
    blocks.extend(groups(&report.draft, prepared(&written.design), stated));
    blocks.extend(iso_names::of_procedure(report.code, &written));
    blocks.extend(reasons("compliance with PQR", report.supported.as_ref()));
    blocks.extend(reasons("prequalified", report.prequalified.as_ref()));
    let (is_supported, state) = standing_of(&report);
    let is_fillet = said(&document, "joint_kind") == "fillet";
    let open = not_stated_of_weld(|name| written_word(&written, name), is_fillet);
    let is_complete = is_supported && open.is_none();
    let mut made =
        made(RecordKind::Procedure, &written.number, report.code, blocks, report.remarks, is_complete, issue);
    let of = distinct([said(&document, "process"), said(&document, "steel")].iter().map(String::as_str));
    made.subtitle = format!("{of} · {}", made.subtitle);
    made.state = if is_supported && !is_complete { "not complete".to_owned() } else { state };
    made.open_points.extend(open.map(|open| format!("Not to be signed: {open}.")));
    (made.statement, made.signatures) = to_sign(RecordKind::Procedure, is_complete);
    Ok(made)
}

/// The record of a procedure's test, from its own file or from a coupon file,
/// under its own code or another one. It may be signed when results are written
/// and none of them is a reject or left undone.
///
/// # Errors
/// [`RecordError`] lists every fault of the text.
pub fn procedure_record(
    text: &str,
    code: Option<&'static Code>,
    context: impl Into<AssessmentContext>,
    issue: Issue,
) -> Result<Record, RecordError> {
    let context = context.into();
    let read = read_procedure_record(text, context)?;
    let code = of_procedures(code.unwrap_or(read.code))?;
    let read = named_gas::of_record(code, &read);
    let (coupon, _) = Document::from_toml(&COUPON, text);
    let is_coupon = coupon.get("fit.thickness").is_some();
    let (document, _) = Document::from_toml(&PROCEDURE_RECORD, text);
    let head = head_of(&document, &coupon, is_coupon, &read);
    let mut blocks = vec![fields("test", head.clone())];
    if is_coupon {
        let sheet = crate::build::build(&read.number, &coupon, &[], context, Look::Paper);
        blocks.extend(super::coupon_record::pictures(&coupon, &sheet));
        blocks.push(super::coupon_record::log(&sheet));
    } else {
        blocks.push(joint(&read.facts, false));
    }
    let lines = draft(code, &read.facts);
    // A record says what was written; only what was computed is printed here.
    let stated = |v: Variable| match v {
        // The level a code supposes is its rule and no statement of this record.
        Variable::Level if document.get(v.of_record()).is_none() => None,
        v => {
            let fact = read.facts.get(v.of_record())?;
            if let Some(from) = derived_of_coupon(v).filter(|_| is_coupon) {
                return Some(format!("{}, derived from the {from}", fact.text()));
            }
            Some(read.written.get(v.of_record()).cloned().unwrap_or_else(|| computed(fact)))
        }
    };
    blocks.extend(groups(&lines, prepared(&read.facts), stated));
    blocks.extend(iso_names::of_record(code, &read));
    blocks.push(asked_for(code, &read.facts));
    let result =
        |(name, word): &(String, String)| TableRow::of(vec![name.replace('_', " "), word.replace('_', " ")]);
    blocks.push(table("results", &["examination", "result"], read.results.iter().map(result).collect()));
    let untested = untested(&read, code);
    let is_stated = |label: &str| head.iter().any(|row| row.label == label && row.value != NOT_STATED);
    let open =
        not_stated_of_weld(|name| read.facts.get(name).map(Fact::text), read.facts.get("throat").is_some());
    let is_complete = untested.is_none() && is_stated("welder") && is_stated("welded") && open.is_none();
    let state = match &untested {
        None if is_complete => "accepted",
        None => "not complete",
        Some(reason) if reason.answer == Within::Outside => "rejected",
        Some(_) if read.results.is_empty() => "no result written",
        Some(_) => "not complete",
    };
    let mut made =
        made(RecordKind::ProcedureTest, &read.number, code, blocks, read.remarks.clone(), is_complete, issue);
    made.state = state.to_owned();
    made.open_points.extend(untested.map(|reason| format!("Not to be signed: {}.", reason.message)));
    made.open_points.extend(open.map(|open| format!("Not to be signed: {open}.")));
    made.open_points.push(
        "Whether every examination the code asks for is listed is not judged here; compare with the specimens asked for."
            .to_owned(),
    );
    (made.statement, made.signatures) = to_sign(RecordKind::ProcedureTest, is_complete);
    Ok(made)
}

/// What a variable follows from that a coupon never states itself.
fn derived_of_coupon(variable: Variable) -> Option<&'static str> {
    match variable {
        Variable::Groove => Some("groove angle"),
        Variable::Filler => Some("filler metal"),
        _ => None,
    }
}

fn made(
    kind: RecordKind,
    number: &str,
    code: &Code,
    blocks: Vec<Block>,
    remarks: Vec<String>,
    is_complete: bool,
    issue: Issue,
) -> Record {
    let blocks = filled(blocks);
    let mut open_points: Vec<String> = not_stated(&blocks).into_iter().collect();
    open_points.extend(code.unverified.clone());
    open_points.extend(remarks);
    Record {
        kind,
        title: kind.title().to_owned(),
        number: number.to_owned(),
        code: code.id.clone(),
        subtitle: titled(code),
        state: String::new(),
        is_complete,
        blocks,
        open_points,
        statement: String::new(),
        signatures: Vec::new(),
        issue,
    }
}

/// A code with rules for procedures.
///
/// # Errors
/// [`RecordError`] for a code that has none.
fn of_procedures(code: &'static Code) -> Result<&'static Code, RecordError> {
    if code.rules.iter().any(|rule| rule.kind == RuleKind::Variable) {
        return Ok(code);
    }
    let why = format!("{} has no rules for procedures; name the code of the procedure", code.short);
    Err(RecordError { findings: vec![Finding::error("code", why)] })
}

/// The code in full.
fn titled(code: &Code) -> String {
    format!("to {}", code.full_title())
}

fn said(document: &Document, path: &str) -> String {
    document.get(path).unwrap_or("").trim().to_owned()
}

fn named(document: &Document, of: &[(&str, &str)]) -> Vec<FieldRow> {
    of.iter().map(|(label, path)| field(label, &spoken(&said(document, path)))).collect()
}

fn head_of(own: &Document, coupon: &Document, is_coupon: bool, read: &ProcedureRecord) -> Vec<FieldRow> {
    let (document, day) = if is_coupon { (coupon, "finished") } else { (own, "tested") };
    let mut out = vec![field("record", &read.number)];
    out.extend(named(
        document,
        &[
            ("company", "company"),
            ("welder", "welder"),
            ("welder's mark", "welder_mark"),
            ("welded", day),
            ("laboratory", "laboratory"),
            ("laboratory's report", "report"),
        ],
    ));
    for (label, name) in [("plate or pipe", "shape"), ("steel", "steel")] {
        let text = read.facts.get(name).map(Fact::text).unwrap_or_default();
        // A position of plate or pipe alone says which it was.
        let is_written = text.is_empty() || read.written.contains_key(name);
        out.push(if is_written { field(label, &text) } else { derived(label, &text) });
    }
    out
}

/// What a written procedure states of a variable, by its fact's name.
fn written_word(written: &WrittenProcedure, name: &str) -> Option<String> {
    let variable = Variable::ALL.iter().find(|v| v.of_record() == name)?;
    match written.procedure.stated.get(variable)? {
        Stated::Value(fact) => Some(fact.text()),
        Stated::Words(words) => Some(words.join(", ")),
        // No word that is asked for here is a range.
        Stated::Range { .. } => None,
    }
}

/// What nobody stated of the weld, without which no record is whole; a fillet
/// has no backing.
fn not_stated_of_weld(said: impl Fn(&str) -> Option<String>, is_fillet: bool) -> Option<String> {
    let process = said("process");
    let has_modes = process.as_deref().is_none_or(|word| word.eq_ignore_ascii_case(Process::Gmaw.word()));
    let open = [
        ("process", process.is_none()),
        ("transfer", has_modes && said("transfer").is_none()),
        ("filler", said("filler").is_none() && said("filler_class").is_none()),
        ("backing", !is_fillet && said("backing").is_none()),
    ];
    let open: Vec<&str> = open.into_iter().filter(|(_, is_open)| *is_open).map(|(name, _)| name).collect();
    (!open.is_empty()).then(|| format!("not stated: {}", open.join(", ")))
}

/// The records behind a procedure, or its claim to need none.
fn stands_on(document: &Document, written: &WrittenProcedure) -> String {
    if written.claims_prequalified {
        return "the code's own details, without a test".to_owned();
    }
    let rows = document.rows("records").into_iter();
    let numbers: Vec<String> = rows.map(|row| said(document, &format!("records.{row}"))).collect();
    distinct(numbers.iter().map(String::as_str))
}

/// Whether the sheet may be signed, and its state in words.
fn standing_of(report: &ProcedureReport) -> (bool, String) {
    let held = [(&report.supported, "supported by its record"), (&report.prequalified, "needs no test")];
    let asked: Vec<(Within, &str)> =
        held.iter().filter_map(|(a, words)| a.as_ref().map(|a| (a.answer, *words))).collect();
    let worst = asked.iter().map(|(answer, _)| *answer).max();
    let what = asked.first().map_or("", |(_, words)| *words);
    match worst {
        None => (false, "no record given".to_owned()),
        Some(Within::Inside) => (true, what.to_owned()),
        Some(Within::NotSure) => (false, format!("not sure: {what}")),
        Some(Within::Outside) => (false, format!("not {what}")),
    }
}

/// What a procedure states of a variable, in the words of its file.
fn as_written(document: &Document, variable: Variable, stated: &Stated) -> String {
    let name = variable.word();
    let text = |path: String| document.get(&path).map(|text| text.trim().to_owned());
    match stated {
        Stated::Value(fact) => text(name.to_owned()).unwrap_or_else(|| fact.text()),
        Stated::Words(words) => words.join(", "),
        Stated::Range { .. } => match (text(format!("{name}_min")), text(format!("{name}_max"))) {
            (Some(min), Some(max)) => format!("{min} to {max}"),
            (Some(min), None) => format!("{min} or more"),
            (None, Some(max)) => format!("{max} or less"),
            (None, None) => NOT_STATED.to_owned(),
        },
    }
}

/// A value that nobody wrote.
fn computed(fact: &Fact) -> String {
    match fact {
        Fact::Measure(value) => say_computed(value, Toward::Nearest),
        other => other.text(),
    }
}

/// One block a group: each variable that is stated or that the code names, with
/// what the record allows; the sizes of the joint no rule asks for behind the first.
fn groups(
    lines: &[DraftLine],
    mut unruled: Vec<FieldRow>,
    value: impl Fn(Variable) -> Option<String>,
) -> Vec<Block> {
    let mut of_group = |variables: &[Variable]| {
        let rows = variables.iter().flat_map(|v| variable_rows(*v, lines, value(*v)));
        let rows = rows.map(|row| FieldRow { value: spoken(&row.value), ..row });
        rows.chain(unruled.drain(..)).collect()
    };
    GROUPS.iter().map(|(title, variables)| fields(title, of_group(variables))).collect()
}

fn variable_rows(variable: Variable, lines: &[DraftLine], value: Option<String>) -> Vec<FieldRow> {
    let label = variable.word().replace('_', " ");
    // What is not stated and counts only under a condition is not asked of this joint.
    let counts = |line: &&DraftLine| value.is_some() || line.only_where.is_none();
    let ruled: Vec<&DraftLine> =
        lines.iter().filter(|line| line.variable == variable).filter(counts).collect();
    if ruled.is_empty() {
        return value.iter().map(|value| field(&label, value)).collect();
    }
    let row = |line: &&DraftLine| {
        let only = line.only_where.as_ref().map(|w| format!("; where {w}")).unwrap_or_default();
        let unsure = if line.unsure { "; not sure outside" } else { "" };
        FieldRow {
            label: label.clone(),
            value: stated(value.as_deref().unwrap_or("")),
            range: format!("{}{only}{unsure} ({})", line.allowed, line.class.word()),
            clause: line.because.clause.clone(),
            basis: line.because.basis.word().to_owned(),
            is_from_memory: line.because.basis == Basis::Memory,
            rules: Vec::new(),
        }
    };
    ruled.iter().map(row).collect()
}

/// What is not inside, with its clause.
fn reasons(title: &str, allowance: Option<&Allowance>) -> Option<Block> {
    let open = allowance?.reasons.iter().filter(|r| r.answer != Within::Inside);
    let row = |r: &VariableReason| TableRow {
        cells: vec![r.message.clone(), cited(&r.because), r.answer.word().to_owned()],
        mark: Some(match r.answer {
            Within::Inside => crate::sheet::Mark::Holds,
            Within::NotSure => crate::sheet::Mark::NotKnown,
            Within::Outside => crate::sheet::Mark::Fails,
        }),
        is_from_memory: r.because.iter().any(|c| c.basis == Basis::Memory),
        rules: Vec::new(),
    };
    Some(table(title, &["what", "clause", "answer"], open.map(row).collect()))
}

/// Clauses with their basis, each once.
fn cited(because: &[Cited]) -> String {
    let each: Vec<String> =
        because.iter().map(|c| format!("{} · {}", c.clause, basis_said(c.basis.word()))).collect();
    distinct(each.iter().map(String::as_str))
}

/// The specimens the code asks of a procedure's test of this size.
fn asked_for(code: &Code, facts: &Facts) -> Block {
    let shape = facts.word_of("shape").and_then(TestShape::from_word);
    let position = match facts.get("positions") {
        Some(Fact::Words(words)) => words.first().and_then(|w| Position::from_word(w)),
        _ => None,
    };
    let (Some(shape), Some(position), Some(thickness)) = (shape, position, facts.measure_of("thickness"))
    else {
        return table("specimens asked for", &["what", "clause"], Vec::new());
    };
    let plan = specimens(
        code,
        &Coupon {
            purpose: Purpose::Procedure,
            shape,
            position,
            thickness,
            outside_diameter: facts.measure_of("outside_diameter"),
            nominal_size: None,
            yield_strength: facts.measure_of("yield_strength"),
            elongation_percent: None,
            deposit: facts.measure_of("deposit"),
            welded: None,
        },
    );
    let clauses = distinct(plan.because.iter().map(|c| c.clause.as_str()));
    let sets: Vec<String> = plan.sets.iter().map(|s| s.text()).collect();
    let of_memory = plan.because.iter().any(|c| c.basis == Basis::Memory);
    let sets = (!sets.is_empty()).then(|| TableRow {
        is_from_memory: of_memory,
        ..TableRow::of(vec![sets.join(", or "), clauses.clone()])
    });
    let remarks = plan.says.iter().map(|said| TableRow::of(vec![said.clone(), String::new()]));
    let open = plan.doubts.iter().map(|doubt| TableRow {
        is_from_memory: doubt.because.as_ref().is_some_and(|c| c.basis == Basis::Memory),
        ..TableRow::of(vec![doubt.message.clone(), doubt.because.iter().map(|c| c.clause.clone()).collect()])
    });
    table("specimens asked for", &["what", "clause"], sets.into_iter().chain(remarks).chain(open).collect())
}
