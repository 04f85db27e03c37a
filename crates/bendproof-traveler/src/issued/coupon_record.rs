//! The welder record and the bend report of one coupon, under its own code or
//! another one: the coupon is judged and its standing computed again under it.

use bendproof_codes::held::{PassedTest, designation};
use bendproof_codes::rule::{Demand, Rule};
use bendproof_codes::words::{Basis, Facet};
use bendproof_files::{Document, Severity, StatedCoupon, has_field, read_coupon};
use jiff::civil::Date;

use super::blocks::{
    Block, FieldRow, Issue, NOT_COMPLETE, NOT_STATED, Record, RecordKind, TableRow, derived, distinct,
    drawing, field, fields, filled, not_stated, not_to_be_signed, stated, table, to_sign,
};
use super::iso_names;
use super::rule_list::rules_named;
use crate::context::{AssessmentContext, known};
use crate::drawn::Look;
use crate::joint::metal_said;
use crate::sheet::{
    ExamView, Field, KIND_NOT_STATED, LogRow, Mark, PieceView, PrintedFinding, Sheet, StandingLine,
    StrapView, basis_said, found_in, rule_of_ref, text_of,
};
use crate::stated::{Drawn, is_drawn_as_stated};
use crate::welder::REFUSED;

/// Why no record is issued.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum RecordRefused {
    /// The code is not in the catalogue, or asks for no test.
    #[error("{0}")]
    Code(String),
    /// The coupon has faults.
    #[error("the coupon has errors; correct the fields first")]
    Faults(Vec<String>),
    /// The code does not accept the coupon.
    #[error("no welder record under {code}: {verdict}")]
    NotAccepted {
        /// Code and edition.
        code: String,
        /// Its word.
        verdict: String,
        /// Why, with clauses.
        reasons: Vec<String>,
    },
}

impl RecordRefused {
    /// Every reason, one sentence each; the refusal itself first.
    pub fn sentences(&self) -> Vec<String> {
        let mut out = vec![self.to_string()];
        if let Self::Faults(reasons) | Self::NotAccepted { reasons, .. } = self {
            out.extend(reasons.iter().cloned());
        }
        out
    }
}

/// The welder record of a coupon under its own code, or under `code`.
///
/// # Errors
/// [`RecordRefused`] when the coupon cannot be read or the code rejects it. A
/// coupon with a reading missing gives a record that is not complete.
pub fn welder(
    document: &Document,
    code: Option<&str>,
    context: impl Into<AssessmentContext>,
    issue: Issue,
) -> Result<Record, RecordRefused> {
    let context = context.into();
    let under = under(document, code, context)?;
    let Read { sheet, stated } = built(&under, context)?;
    if sheet.verdict_mark == Mark::Fails {
        return Err(not_accepted(&sheet));
    }
    let is_accepted = sheet.verdict_mark == Mark::Holds;
    let open = missing(&sheet, &stated);
    let is_complete = is_accepted && open.is_none();
    let mut who = who(&sheet);
    who.extend(line_of_code(&under, &stated, context).map(|line| derived("designation", &line)));
    let mut blocks = vec![fields("welder and coupon", who)];
    blocks.extend(names_by_iso(&under, &stated, context));
    if is_accepted {
        blocks.push(fields("covers", ranges(&sheet, context)));
    }
    blocks.extend(pictures(&under, &sheet));
    blocks.push(log(&sheet));
    blocks.extend(judgements(&sheet));
    let open = open.filter(|_| is_accepted);
    Ok(record(RecordKind::Welder, &sheet, blocks, Complete { is_complete, open }, issue, context))
}

/// The bend report of a coupon under its own code, or under `code`. A rejected
/// set is reported as rejected: a report says what was seen.
///
/// # Errors
/// [`RecordRefused`] when the coupon cannot be read.
pub fn bends(
    document: &Document,
    code: Option<&str>,
    context: impl Into<AssessmentContext>,
    issue: Issue,
) -> Result<Record, RecordRefused> {
    let context = context.into();
    let Read { sheet, stated } = built(&under(document, code, context)?, context)?;
    // A set that is not whole, or not looked at, is no report to sign.
    let is_decided = matches!(sheet.verdict_mark, Mark::Holds | Mark::Fails);
    let is_looked_at = |s: &StrapView| s.is_inspected && s.kind != KIND_NOT_STATED;
    let is_bent = !sheet.straps.is_empty() && sheet.straps.iter().all(is_looked_at);
    let open = not_stated_of(&sheet, &stated, &BENDS_IDENTIFY);
    let is_complete = is_decided && is_bent && open.is_none();
    let mut blocks = vec![fields("welder and coupon", who(&sheet))];
    blocks.push(table(
        "specimens asked for",
        &["what", "size and jig", "clause"],
        sheet.specimens.iter().map(|line| asked_for(&sheet, line)).collect(),
    ));
    blocks.push(drawing("where the specimens are cut", &sheet.drawings.straps));
    blocks.extend(judgements(&sheet));
    let open = open.filter(|_| is_decided && is_bent);
    Ok(record(RecordKind::Bends, &sheet, blocks, Complete { is_complete, open }, issue, context))
}

/// The coupon, under another code where one is named.
///
/// # Errors
/// [`RecordRefused::Code`] for a code that is not known or asks for no test.
pub fn under(
    document: &Document,
    code: Option<&str>,
    context: impl Into<AssessmentContext>,
) -> Result<Document, RecordRefused> {
    let mut document = document.clone();
    if let Some(name) = code {
        let code = context.into().named(name).map_err(|why| RecordRefused::Code(why.to_string()))?;
        if !code.has_tests() {
            let message =
                format!("{} judges welds and has no test of its own; name the code of the test", code.short);
            return Err(RecordRefused::Code(message));
        }
        document.set("code", Some(&code.id));
    }
    Ok(document)
}

/// A coupon behind a record: its sheet and what it states.
struct Read {
    sheet: Sheet,
    stated: StatedCoupon,
}

fn built(document: &Document, context: AssessmentContext) -> Result<Read, RecordRefused> {
    let number = document.get("number").unwrap_or(NOT_STATED);
    let sheet = crate::build::build(number, document, &[], context, Look::Paper);
    let read = read_coupon(document, known(context.day));
    let is_sound = read.findings.iter().all(|f| f.severity < Severity::Error);
    match read.stated.filter(|_| is_sound) {
        Some(stated) => Ok(Read { sheet, stated }),
        None => Err(RecordRefused::Faults(sheet.findings)),
    }
}

/// Pictures of the joint and its beads, where they show stated values only; the
/// beads are computed from the plan, and their head says so.
pub(super) fn pictures(document: &Document, sheet: &Sheet) -> Vec<Block> {
    let shown = [
        (Drawn::Fit, "joint", &sheet.drawings.fit),
        (Drawn::Beads, "bead sequence, derived from the plan", &sheet.drawings.section),
    ];
    let stated = shown.into_iter().filter(|(what, ..)| is_drawn_as_stated(document, *what));
    stated.map(|(_, title, svg)| drawing(title, svg)).collect()
}

/// Whether a record is whole, and what it still lacks where that is to be said.
struct Complete {
    is_complete: bool,
    open: Option<String>,
}

fn not_accepted(sheet: &Sheet) -> RecordRefused {
    let open = sheet.verdict_lines.iter().filter(|line| line.verdict != "accept");
    RecordRefused::NotAccepted {
        code: sheet.code().to_owned(),
        verdict: sheet.verdict.clone(),
        reasons: open.map(|line| format!("{} ({})", line.text, line.provenance.source)).collect(),
    }
}

fn record(
    kind: RecordKind,
    sheet: &Sheet,
    blocks: Vec<Block>,
    Complete { is_complete, open }: Complete,
    issue: Issue,
    context: AssessmentContext,
) -> Record {
    let mut blocks = filled(blocks);
    blocks.extend(rules_named(&blocks, context));
    let mut open_points = Vec::new();
    if !is_complete {
        let why = open.unwrap_or_else(|| sheet.verdict.clone());
        open_points.push(not_to_be_signed(sheet.code(), &why));
    }
    open_points.extend(not_stated(&blocks));
    // A record says what was read while welding, never what was planned or forecast.
    if !sheet.log.iter().any(holds_a_reading) {
        open_points.push("No reading was logged while welding; the settings are as planned.".to_owned());
    }
    open_points.extend(sheet.doubts.iter().cloned());
    let (statement, signatures) = to_sign(kind, is_complete);
    Record {
        kind,
        title: kind.title().to_owned(),
        number: sheet.number.clone(),
        code: stated(sheet.code()),
        subtitle: sheet.subtitle.clone(),
        state: match (is_complete, kind == RecordKind::Welder && covers_nothing(sheet)) {
            (true, _) => sheet.verdict.clone(),
            (false, true) => "no qualification".to_owned(),
            (false, false) => NOT_COMPLETE.to_owned(),
        },
        is_complete,
        blocks,
        open_points,
        statement,
        signatures,
        issue,
    }
}

/// Whether a line of the log holds more than the name of its pass and a note.
fn holds_a_reading(row: &LogRow) -> bool {
    let is_reading = |f: &&Field| !f.path.ends_with(".note") && !f.path.ends_with(".kind");
    row.fields.iter().filter(is_reading).any(|f| !f.text.trim().is_empty())
}

/// Head fields without which nobody can tell what test a record speaks of.
const IDENTIFY: [&str; 5] = ["welder", "code", "finished", "procedure", "tested_by"];
/// The same of a report of bends, which may go by the coupon's number alone.
const BENDS_IDENTIFY: [&str; 1] = ["code"];
/// Values without which a record says too little of the test; they stand as not
/// stated where nobody wrote them.
pub const NEEDED: [&str; 4] = ["settings.process", "settings.transfer", "settings.wire", "fit.backing"];

/// What an accepted coupon still lacks before its record can be signed.
fn missing(sheet: &Sheet, stated: &StatedCoupon) -> Option<String> {
    if covers_nothing(sheet) {
        return Some("the test was passed but gives no qualification under this code".to_owned());
    }
    not_stated_of(sheet, stated, &IDENTIFY)
}

/// What nobody stated of the head fields named and of the weld, by name.
fn not_stated_of(sheet: &Sheet, stated: &StatedCoupon, head: &[&str]) -> Option<String> {
    let lacks = |f: &&Field| head.contains(&f.path.as_str()) && f.text.trim().is_empty();
    let mut labels: Vec<&str> = sheet.head.iter().filter(lacks).map(|f| f.label.as_str()).collect();
    labels.extend(stated.not_stated());
    labels.extend(stated.filler.is_none().then_some("filler"));
    (!labels.is_empty()).then(|| format!("not stated: {}", labels.join(", ")))
}

fn covers_nothing(sheet: &Sheet) -> bool {
    sheet.verdict_mark == Mark::Holds && sheet.standing.iter().any(|line| line.label == REFUSED)
}

/// Values of the sheet that are the shop's own affair.
const NOT_OF_A_RECORD: [&str; 2] = ["scatter.", "price."];

/// Who welded what, by which procedure; the fields a welder record asks for.
fn who(sheet: &Sheet) -> Vec<FieldRow> {
    let head = ["company", "welder", "welder_mark", "procedure", "finished", "tested_by", "laboratory"];
    let of_head = |path: &str| sheet.head.iter().find(|f| f.path == path);
    let mut out: Vec<FieldRow> =
        head.iter().filter_map(|p| of_head(p)).map(|f| field(&f.label, &f.spoken())).collect();
    out.insert(1, field("coupon", &sheet.number));
    let is_shown = |f: &&Field| !f.text.is_empty() || NEEDED.contains(&f.path.as_str());
    let is_own = |f: &&Field| NOT_OF_A_RECORD.iter().all(|start| !f.path.starts_with(start));
    // As written: nothing a person wrote is converted in a record.
    let shown = sheet.fit.iter().chain(&sheet.settings).filter(is_shown);
    out.extend(shown.filter(is_own).map(|f| field(&f.label, &f.spoken())));
    out
}

/// The coupon as the test it is, where everything it hangs on is stated.
fn test_of(document: &Document, stated: &StatedCoupon, context: AssessmentContext) -> Option<PassedTest> {
    let day = context.day.unwrap_or(Date::MIN);
    crate::welder::test_of_coupon(document, stated, day).ok()
}

/// What ISO calls its process, position, filler and gas, where the code does too.
fn names_by_iso(document: &Document, stated: &StatedCoupon, context: AssessmentContext) -> Option<Block> {
    let test = test_of(document, stated, context)?;
    let gas = document.get("settings.gas").filter(|_| has_field(stated.process, "settings.gas"));
    let filler = stated.filler.as_deref().unwrap_or_default();
    iso_names::of_test(context.code_of(document)?, &test, filler, gas.unwrap_or_default())
}

/// The line by which the code names such a test, or what is missing for it.
fn line_of_code(document: &Document, stated: &StatedCoupon, context: AssessmentContext) -> Option<String> {
    let code = context.code_of(document)?;
    code.designation.as_ref()?;
    let test = test_of(document, stated, context)?;
    Some(designation(code, &test).unwrap_or_else(|why| why.to_string()))
}

/// Each variable of the test with what it now covers.
fn ranges(sheet: &Sheet, context: AssessmentContext) -> Vec<FieldRow> {
    let fit = |path: &str| text_of(&sheet.fit, path).to_owned();
    let set = |path: &str| text_of(&sheet.settings, path).to_owned();
    let progressions = || {
        let logged = sheet.log.iter().map(|l| text_of(&l.fields, &format!("log.{}.progression", l.log)));
        let logged: Vec<&str> = logged.filter(|text| !text.is_empty()).collect();
        let planned =
            sheet.passes.iter().map(|p| text_of(&p.fields, &format!("pass.{}.progression", p.pass)));
        // What was welded goes before what was planned, as it does in the standing.
        if logged.is_empty() { distinct(planned) } else { distinct(logged.into_iter()) }
    };
    let actual = |label: &str| match label {
        "processes" => (set("settings.process"), Some(Facet::Process)),
        "plate groove" | "pipe groove" | "fillet" => (fit("fit.position"), Some(Facet::Position)),
        "transfer" => (set("settings.transfer"), Some(Facet::Transfer)),
        "progression" => (progressions(), Some(Facet::Progression)),
        "thickness" => (fit("fit.thickness"), Some(Facet::Thickness)),
        "outside diameter" => (fit("fit.outside_diameter"), Some(Facet::Diameter)),
        "backing" => (fit("fit.backing"), Some(Facet::Backing)),
        "backing gas" => (set("fit.backing_gas"), Some(Facet::BackingGas)),
        "fillers" => (set("settings.wire"), Some(Facet::Filler)),
        "filler types" => (set("settings.filler_type"), Some(Facet::FillerType)),
        "polarity" => (set("settings.polarity"), Some(Facet::Polarity)),
        "base metals" => {
            let steel = fit("fit.steel");
            (metal_said(&steel).unwrap_or(steel), Some(Facet::BaseMetal))
        }
        "lasts" => (text_of(&sheet.head, "finished").to_owned(), Some(Facet::Continuity)),
        _ => (String::new(), None),
    };
    let said = sheet.standing.iter().filter(|line| line.label != "because");
    said.map(|line| {
        let (value, facet) = actual(&line.label);
        let behind = match line.label.as_str() {
            REFUSED => rule_of(line, context).into_iter().collect(),
            _ => cited_for(sheet, facet, context),
        };
        FieldRow {
            label: line.label.clone(),
            value: if value.is_empty() { String::new() } else { stated(&value) },
            range: line.value.clone(),
            clause: distinct(behind.iter().map(|(_, rule)| rule.clause.as_str())),
            basis: distinct(behind.iter().map(|(_, rule)| rule.basis.word())),
            is_from_memory: behind.iter().any(|(_, rule)| rule.basis == Basis::Memory),
            rules: behind.into_iter().map(|(reference, _)| reference).collect(),
        }
    })
    .collect()
}

/// The rule a line names, with the reference it is named by.
fn rule_of(line: &StandingLine, context: AssessmentContext) -> Option<(String, &'static Rule)> {
    let reference = line.provenance.rule.clone()?;
    let rule = rule_of_ref(&reference, context)?;
    Some((reference, rule))
}

/// The cited rules that grant or limit one side of the standing.
fn cited_for(
    sheet: &Sheet,
    facet: Option<Facet>,
    context: AssessmentContext,
) -> Vec<(String, &'static Rule)> {
    let because = sheet.standing.iter().filter(|line| line.label == "because");
    let cited = because.filter_map(|line| rule_of(line, context));
    cited.filter(|(_, rule)| facet.is_some_and(|facet| is_about(rule, facet))).collect()
}

fn is_about(rule: &Rule, facet: Facet) -> bool {
    match &rule.demand {
        Demand::Words { facet: of, .. } | Demand::Same { facet: of } | Demand::Range { facet: of, .. } => {
            *of == facet
        }
        Demand::Positions { .. } => facet == Facet::Position,
        Demand::Months(..) => facet == Facet::Continuity,
        _ => false,
    }
}

/// Readings made while welding.
pub(super) fn log(sheet: &Sheet) -> Block {
    let columns = [
        ("kind", "pass"),
        ("progression", "progression"),
        ("volts", "volts"),
        ("amps", "amps"),
        ("wire_feed", "wire feed speed"),
        ("travel", "travel speed"),
        ("interpass", "temp before pass"),
        ("note", "note"),
    ];
    // A column that the process has no field for is not printed.
    let path = |row: &LogRow, name: &str| format!("log.{}.{name}", row.log);
    let has = |name: &str| sheet.log.iter().any(|row| row.fields.iter().any(|f| f.path == path(row, name)));
    let columns: Vec<(&str, &str)> = columns.into_iter().filter(|(name, _)| has(name)).collect();
    let head: Vec<&str> = columns.iter().map(|(_, head)| *head).collect();
    let row = |row: &LogRow| {
        let cell = |(name, _): &(&str, &str)| text_of(&row.fields, &path(row, name)).to_owned();
        TableRow::of(columns.iter().map(cell).collect())
    };
    table("read while welding", &head, sheet.log.iter().map(row).collect())
}

/// Bends, the other examinations, then every finding with its clause.
fn judgements(sheet: &Sheet) -> Vec<Block> {
    let strap = |s: &StrapView| TableRow {
        mark: Some(s.mark),
        ..TableRow::of(vec![
            s.id.clone(),
            s.kind.clone(),
            stated(text_of(&s.fields, &format!("strap.{}.thickness", s.strap))),
            openings(s),
            s.verdict.clone(),
        ])
    };
    let bends = ["specimen", "bend", "thickness", "discontinuities", "verdict"];
    let findings = ["what", "measured", "limit", "clause", "verdict"];
    let mut out = vec![table("bends", &bends, sheet.straps.iter().map(strap).collect())];
    out.extend(sheet.exams.iter().map(examination));
    out.push(table("findings", &findings, found_in(sheet).iter().map(finding).collect()));
    out
}

/// The pieces of one examination with what was read off them.
fn examination(exam: &ExamView) -> Block {
    let read = |fields: &[Field]| {
        let filled = fields.iter().filter(|f| !f.text.is_empty());
        filled.map(|f| format!("{} {}", f.label, f.spoken())).collect::<Vec<_>>().join(", ")
    };
    let row = |piece: &PieceView| {
        let flaws: Vec<String> = piece.flaws.iter().map(|flaw| read(&flaw.fields)).collect();
        let found = match (exam.inner.is_some(), piece.is_inspected, flaws.is_empty()) {
            (false, ..) => String::new(),
            (true, false, _) => "not looked at".to_owned(),
            (true, true, true) => "none found".to_owned(),
            (true, true, false) => flaws.join("; "),
        };
        let cells = vec![piece.id.clone(), read(&piece.fields), found, piece.verdict.clone()];
        TableRow { mark: Some(piece.mark), ..TableRow::of(cells) }
    };
    table(&exam.title, &["piece", "read", "found", "verdict"], exam.pieces.iter().map(row).collect())
}

fn finding(found: &PrintedFinding) -> TableRow {
    let what = match (found.measured.is_empty(), found.place.is_empty()) {
        (true, false) => format!("{}: {}", found.place, found.text),
        (true, true) => found.text.clone(),
        (false, _) => found.named(),
    };
    TableRow {
        cells: vec![
            what,
            found.measured.clone(),
            found.limit.clone(),
            format!("{} · {}", found.clause, basis_said(&found.basis)),
            found.verdict.clone(),
        ],
        mark: Some(found.mark),
        is_from_memory: found.check_own_copy,
        rules: found.rules.clone(),
    }
}

fn openings(strap: &StrapView) -> String {
    // The place is said where somebody wrote it.
    let each: Vec<String> = strap
        .openings
        .iter()
        .map(|o| {
            let path = format!("strap.{}.openings.{}.place", strap.strap, o.opening);
            format!("{} {}", o.text, text_of(&o.fields, &path)).trim().to_owned()
        })
        .collect();
    match (strap.is_inspected, each.is_empty()) {
        (false, _) => "not inspected".to_owned(),
        (true, true) => "none found".to_owned(),
        (true, false) => each.join(", "),
    }
}

fn asked_for(sheet: &Sheet, line: &StandingLine) -> TableRow {
    let clause = format!("{} · {}", sheet.clause(&line.provenance), basis_said(&line.provenance.basis));
    TableRow {
        is_from_memory: line.provenance.is_from_memory(),
        rules: line.provenance.rule.iter().cloned().collect(),
        ..TableRow::of(vec![line.label.clone(), line.value.clone(), clause])
    }
}
