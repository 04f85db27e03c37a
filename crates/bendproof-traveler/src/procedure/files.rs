//! Procedures from their files: the record of a test, a written procedure,
//! joints to ask about, and a record drafted from a coupon.
//!
//! A field bears the name of the variable the rules ask for, so that reading is
//! one walk over the field catalogue. Judges nothing; `bendproof-codes` does.

use std::collections::{BTreeMap, BTreeSet};

use bendproof_codes::catalogue::Code;
use bendproof_codes::procedure::{Procedure, Stated};
use bendproof_codes::rule::{Fact, Facts, Variable};
use bendproof_codes::words::TestShape;
use bendproof_files::{
    COUPON, Document, FileKind, Finding, PROCEDURE, PROCEDURE_JOINTS, PROCEDURE_RECORD, Reader, Severity,
    StatedCoupon, What, filler_fits, has_field, plate_has_no_diameter, read_coupon,
};
use bendproof_measure::{Kind, Quantity, System, Toward, say_computed};
use bendproof_weld::{LoggedPass, Process};

use crate::context::{AssessmentContext, Today, known};
use crate::joint::Filler;
use crate::judged::{Judged, shape_word};
use crate::welder::RecordError;

/// A procedure record as read.
#[derive(Debug, Clone, PartialEq)]
pub struct ProcedureRecord {
    /// The shop's number; of a coupon its own.
    pub number: String,
    /// The code of the test.
    pub code: &'static Code,
    /// What was welded, by the facts of the variables.
    pub facts: Facts,
    /// The same as it was written, by the names of the facts; what was computed
    /// here is not among it.
    pub written: BTreeMap<String, String>,
    /// How the examinations came out, as written: `bends`, `accept`.
    pub results: Vec<(String, String)>,
    /// The code a coupon's examinations were judged under; `None` where somebody
    /// wrote the results down.
    pub judged_under: Option<&'static Code>,
    /// What was put in here and not written there.
    pub remarks: Vec<String>,
}

/// A written procedure as read.
#[derive(Debug, Clone, PartialEq)]
pub struct WrittenProcedure {
    /// The shop's number.
    pub number: String,
    /// The code it is written under.
    pub code: &'static Code,
    /// Whether it claims to need no test.
    pub claims_prequalified: bool,
    /// What it states.
    pub procedure: Procedure,
    /// The design it is for, by the facts of a record, to judge a fit by.
    pub design: Facts,
    /// Joints written into the file.
    pub joints: Vec<AskedJoint>,
    /// What was put in here and not written there.
    pub remarks: Vec<String>,
}

/// A joint to ask about.
#[derive(Debug, Clone, PartialEq)]
pub struct AskedJoint {
    /// What it is called.
    pub name: String,
    /// What is asked, by the facts asked about.
    pub facts: Facts,
    /// Its steel, where given.
    pub steel: Option<String>,
}

/// Reads a procedure record, or a coupon file as one.
///
/// A coupon gives what was logged where it was logged, and the plan where not.
///
/// # Errors
/// [`RecordError`] lists every fault of the text.
pub fn read_procedure_record(
    text: &str,
    context: impl Into<AssessmentContext>,
) -> Result<ProcedureRecord, RecordError> {
    let context = context.into();
    let (as_coupon, coupon_faults) = Document::from_toml(&COUPON, text);
    if as_coupon.get("fit.thickness").is_some() {
        return of_coupon(&as_coupon, coupon_faults, context);
    }
    let (document, findings) = Document::from_toml(&PROCEDURE_RECORD, text);
    let mut r = Reader::new(&PROCEDURE_RECORD, &document, known(context.day));
    let facts = facts_of(&mut r, &PROCEDURE_RECORD);
    written_values_read(&mut r);
    filler_serves(&mut r);
    let is_plate = facts.word_of("shape") == Some(TestShape::Plate.word());
    plate_has_no_diameter(&mut r, is_plate.then_some(false), &["outside_diameter"]);
    let number = r.text("number").unwrap_or_default().to_owned();
    let code = r.text("code").and_then(|name| context.code(name));
    let mut results = Vec::new();
    for path in PROCEDURE_RECORD.specs.iter().map(|s| s.path).filter(|p| p.starts_with("results.")) {
        let word = r.text(path).map(str::to_owned);
        results.extend(word.map(|word| (path.trim_start_matches("results.").to_owned(), word)));
    }
    let code = whole(code, findings, r)?;
    let (facts, remarks) = completed(facts);
    let written = written_of(&document, facts.iter().map(|(name, _)| (name, name)));
    Ok(ProcedureRecord { number, code, facts, written, results, judged_under: None, remarks })
}

/// The texts of a document under the names of the facts they became.
fn written_of<'a>(
    document: &Document,
    paths: impl Iterator<Item = (&'a str, &'a str)>,
) -> BTreeMap<String, String> {
    paths.filter_map(|(path, name)| Some((name.to_owned(), document.get(path)?.trim().to_owned()))).collect()
}

/// Reads a written procedure.
///
/// # Errors
/// [`RecordError`] lists every fault of the text.
pub fn read_procedure(
    text: &str,
    context: impl Into<AssessmentContext>,
) -> Result<WrittenProcedure, RecordError> {
    let context = context.into();
    let (document, findings) = Document::from_toml(&PROCEDURE, text);
    let mut r = Reader::new(&PROCEDURE, &document, known(context.day));
    let number = r.text("number").unwrap_or_default().to_owned();
    let code = r.text("code").and_then(|name| context.code(name));
    written_values_read(&mut r);
    ends_agree(&mut r);
    filler_serves(&mut r);
    let claims_prequalified = r.text("claim").is_some_and(|word| word.eq_ignore_ascii_case("prequalified"));
    let mut procedure = Procedure::default();
    let mut design = Facts::default();
    for variable in Variable::ALL {
        let Some(stated) = stated(&mut r, *variable) else { continue };
        if let Stated::Value(fact) = &stated {
            design = put(design, variable.of_record(), Some(fact.clone()));
        }
        procedure.stated.insert(*variable, stated);
    }
    for (path, as_work) in [("joint_kind", Some("ask_joint")), ("toughness", None), ("hardness_asked", None)]
    {
        let fact = fact(&mut r, path);
        procedure.work = put(procedure.work, as_work.unwrap_or(path), fact);
    }
    let further = ["steel", "shape", "detail", "groove_radius", "groove_depth"];
    for path in further.into_iter().chain(["filler_iso", "hydrogen_class", "hydrogen"]) {
        let fact = fact(&mut r, path);
        design = put(design, path, fact);
    }
    for variable in [Variable::Backing, Variable::Groove] {
        if let Some(Stated::Words(words)) = procedure.stated.get(&variable)
            && let [only] = words.as_slice()
        {
            design = put(design, variable.of_record(), Some(Fact::Word(only.clone())));
        }
    }
    let joints = joints(&mut r);
    let code = whole(code, findings, r)?;
    let remarks = Vec::new();
    Ok(WrittenProcedure { number, code, claims_prequalified, procedure, design, joints, remarks })
}

/// Reads a file of joints.
///
/// # Errors
/// [`RecordError`] lists every fault of the text.
pub fn read_joints(text: &str, today: Today) -> Result<Vec<AskedJoint>, RecordError> {
    let (document, mut findings) = Document::from_toml(&PROCEDURE_JOINTS, text);
    let mut r = Reader::new(&PROCEDURE_JOINTS, &document, known(today));
    let joints = joints(&mut r);
    findings.extend(r.into_findings());
    if findings.iter().any(|f| f.severity == Severity::Error) {
        return Err(RecordError { findings });
    }
    Ok(joints)
}

/// Every value written is one its field can hold, also those no rule asks for:
/// the day a procedure was written is not ahead.
fn written_values_read(r: &mut Reader<'_>) {
    let kind = r.kind();
    for path in r.document().values().keys().filter(|path| kind.spec(path).is_some()) {
        r.text(path);
    }
}

/// The filler belongs to the process, where both are written.
fn filler_serves(r: &mut Reader<'_>) {
    let process = if r.has("process") { r.word("process", Process::from_word) } else { None };
    let rows = r.document().rows("filler_class");
    let listed = rows.into_iter().map(|row| format!("filler_class.{row}"));
    let paths: Vec<String> = listed.chain(["filler_class".to_owned()]).collect();
    let kind = r.kind();
    for path in paths.iter().filter(|path| kind.spec(path).is_some()) {
        filler_fits(r, path, process);
    }
}

/// The least of each range is not over its greatest, and metal that must be
/// preheated may be as warm between passes.
fn ends_agree(r: &mut Reader<'_>) {
    let names = r.kind().specs.iter().filter_map(|spec| spec.path.strip_suffix("_min"));
    for name in names.filter(|name| !name.contains('.')) {
        let (least, greatest) = (format!("{name}_min"), format!("{name}_max"));
        not_over(r, &least, &greatest);
    }
    for interpass in ["interpass_max", "interpass"] {
        for preheat in ["preheat_min", "preheat"] {
            not_over(r, preheat, interpass);
        }
    }
}

fn not_over(r: &mut Reader<'_>, least: &str, greatest: &str) {
    if r.kind().spec(least).is_none() || r.kind().spec(greatest).is_none() {
        return;
    }
    let (Some(low), Some(high)) = (r.quantity(least), r.quantity(greatest)) else { return };
    if low.si > high.si {
        let label = |path: &str| r.kind().spec(path).map_or("", |spec| spec.label);
        let message = format!(
            "{} {} must not exceed the {}, {}; correct one of them",
            label(least),
            bendproof_measure::say(&low),
            label(greatest),
            bendproof_measure::say(&high)
        );
        r.note(Finding::error(least, message));
    }
}

fn whole(
    code: Option<&'static Code>,
    mut findings: Vec<Finding>,
    r: Reader<'_>,
) -> Result<&'static Code, RecordError> {
    findings.extend(r.into_findings());
    match code {
        Some(code) if findings.iter().all(|f| f.severity != Severity::Error) => Ok(code),
        _ => Err(RecordError { findings }),
    }
}

/// Every field of a kind whose name is a fact that rules may ask for.
fn facts_of(r: &mut Reader<'_>, kind: &FileKind) -> Facts {
    let mut facts = Facts::default();
    for spec in kind.specs.iter().filter(|s| !s.path.contains('.') || s.path.ends_with(".#")) {
        match spec.path.strip_suffix(".#") {
            Some(list) => {
                let words = words(r, list);
                facts = put(facts, list, words.map(Fact::Words));
            }
            None => {
                let fact = fact(r, spec.path);
                facts = put(facts, spec.path, fact);
            }
        }
    }
    facts
}

/// These facts with one more; a name no rule could ask for is left out.
pub(crate) fn put(facts: Facts, name: &str, fact: Option<Fact>) -> Facts {
    match fact {
        Some(fact) => facts.with(name, fact).unwrap_or(facts),
        None => facts,
    }
}

/// The fact one field holds: yes and no are flags, counts numbers.
fn fact(r: &mut Reader<'_>, path: &str) -> Option<Fact> {
    match r.kind().spec(path)?.what {
        What::Quantity(_) | What::PipeSize(_) => r.quantity(path).map(Fact::Measure),
        What::Count(..) => r.count(path).map(|n| Fact::Number(f64::from(n))),
        What::Words(list) => {
            let text = r.text(path)?.trim();
            let word = list.iter().find(|word| word.eq_ignore_ascii_case(text))?;
            Some(match *word {
                "yes" => Fact::Flag(true),
                "no" => Fact::Flag(false),
                word => Fact::Word(word.to_owned()),
            })
        }
        _ => r.text(path).map(|text| Fact::Word(text.trim().to_owned())),
    }
}

fn words(r: &mut Reader<'_>, list: &str) -> Option<Vec<String>> {
    let rows = r.document().rows(list);
    let read = rows.into_iter().filter_map(|row| match fact(r, &format!("{list}.{row}")) {
        Some(Fact::Word(word)) => Some(word),
        _ => None,
    });
    let words: Vec<String> = read.collect();
    (!words.is_empty()).then_some(words)
}

/// What a procedure states of a variable: a list, one value, or two ends.
fn stated(r: &mut Reader<'_>, variable: Variable) -> Option<Stated> {
    let name = variable.word();
    let known = |path: &str| r.kind().spec(path).is_some();
    if known(&format!("{name}.1")) {
        return words(r, name).map(Stated::Words);
    }
    let has_ends = known(&format!("{name}_min"));
    if let Some(fact) = known(name).then(|| fact(r, name)).flatten() {
        return Some(Stated::Value(fact));
    }
    if !has_ends {
        return None;
    }
    let (min, max) = (r.quantity(&format!("{name}_min")), r.quantity(&format!("{name}_max")));
    (min.is_some() || max.is_some()).then_some(Stated::Range { min, max })
}

fn joints(r: &mut Reader<'_>) -> Vec<AskedJoint> {
    let rows = r.document().rows("joint");
    let fields: Vec<&str> = r.kind().specs.iter().filter_map(|s| s.path.strip_prefix("joint.#.")).collect();
    let mut joints = Vec::new();
    for row in rows {
        let mut facts = Facts::default();
        for field in &fields {
            let name = if *field == "kind" { "ask_joint".to_owned() } else { format!("ask_{field}") };
            let fact = fact(r, &format!("joint.{row}.{field}"));
            facts = put(facts, &name, fact);
        }
        let text =
            |r: &mut Reader<'_>, field: &str| r.text(&format!("joint.{row}.{field}")).map(str::to_owned);
        let name = text(r, "name").unwrap_or_else(|| format!("joint {row}"));
        joints.push(AskedJoint { name, facts, steel: text(r, "steel") });
    }
    joints
}

/// A record with its heat input, where volts, amps and travel give it, and the
/// one test's heat input as the lowest too.
fn completed(mut facts: Facts) -> (Facts, Vec<String>) {
    let mut remarks = Vec::new();
    let si = |facts: &Facts, name: &str| match facts.get(name) {
        Some(Fact::Measure(quantity)) => Some(*quantity),
        _ => None,
    };
    if let (None, Some(volts), Some(amps), Some(travel)) = (
        si(&facts, "heat_input"),
        si(&facts, "volts"),
        si(&facts, "amps"),
        si(&facts, "travel").filter(|t| t.si > 0.0),
    ) {
        let heat = volts.si * amps.si / travel.si;
        let heat = Quantity { si: heat, kind: Kind::EnergyPerLength, system: travel.system };
        facts = put(facts, "heat_input", Some(Fact::Measure(heat)));
        remarks.push(format!(
            "heat input is volts times amps over travel, {}, without an efficiency",
            say_computed(&heat, Toward::Nearest)
        ));
    }
    if let (None, Some(heat)) = (si(&facts, "heat_input_low"), si(&facts, "heat_input")) {
        facts = put(facts, "heat_input_low", Some(Fact::Measure(heat)));
    }
    (facts, remarks)
}

/// Fields of a coupon that a record takes over as they are written.
pub(crate) const FROM_COUPON: [(&str, &str); 17] = [
    ("fit.shape", "shape"),
    ("fit.thickness", "thickness"),
    ("fit.outside_diameter", "outside_diameter"),
    ("fit.groove_angle", "groove_angle"),
    ("fit.root_opening", "root_opening"),
    ("fit.root_face", "root_face"),
    ("fit.backing", "backing"),
    ("fit.steel", "steel"),
    ("fit.start_temperature", "preheat"),
    ("settings.process", "process"),
    ("settings.transfer", "transfer"),
    ("settings.wire", "filler_class"),
    ("settings.wire_diameter", "wire_diameter"),
    ("settings.gas", "gas"),
    ("settings.gas_flow", "gas_flow"),
    ("settings.polarity", "polarity"),
    ("fit.backing_gas", "backing_gas"),
];

/// Settings of the root pass that a record takes from the log, or from the plan
/// where nothing was logged.
const LOGGED: [&str; 4] = ["volts", "amps", "wire_feed", "travel"];

/// The record a coupon would make.
fn of_coupon(
    document: &Document,
    faults: Vec<Finding>,
    context: AssessmentContext,
) -> Result<ProcedureRecord, RecordError> {
    let read = read_coupon(document, known(context.day));
    let mut findings = read.findings;
    findings.extend(faults);
    let unusable = |findings: Vec<Finding>| RecordError { findings };
    let is_sound = findings.iter().all(|f| f.severity != Severity::Error);
    let Some(coupon) = read.stated.filter(|_| is_sound) else {
        return Err(unusable(findings));
    };
    let Some(code) = context.code_of(document) else {
        let message = "code is not stated, and no record is drafted without it; enter the code of the test";
        return Err(unusable(vec![Finding::error("code", message)]));
    };
    let mut r = Reader::new(&COUPON, document, known(context.day));
    let mut facts = Facts::default();
    // What the coupon states and its process has; a proposal is no fact.
    for (path, name) in FROM_COUPON.into_iter().filter(|(path, _)| has_field(coupon.process, path)) {
        let fact = if r.has(path) { fact(&mut r, path) } else { None };
        facts = put(facts, name, fact);
    }
    let shape = shape_word(&coupon).map(|shape| Fact::Word(shape.word().to_owned()));
    facts = put(facts, "shape", shape);
    facts = put(facts, "positions", Some(Fact::Words(vec![coupon.position.word().to_owned()])));
    let filler = coupon.filler.as_deref().and_then(|filler| Filler::of(filler).f_number);
    facts = put(facts, "filler", filler.map(Fact::Word));
    // The sheet of a coupon knows one groove, and a stated angle makes it that one.
    let groove = r.has("fit.groove_angle").then(|| Fact::Word("single_v".to_owned()));
    facts = put(facts, "groove_type", groove.clone());
    facts = welded(facts, &coupon, &mut r);
    let number = r.text("number").unwrap_or("coupon").to_owned();
    let (facts, mut remarks) = completed(facts);
    let what = if coupon.log.passes.is_empty() { "planned, not yet logged" } else { "logged" };
    if groove.is_some() {
        let said = "groove type single V is derived from the groove angle: the sheet of a coupon knows no other groove";
        remarks.push(said.to_owned());
    }
    remarks
        .insert(0, format!("settings are those of the root pass as {what}; each further pass needs its own"));
    let results = results_of(document, &coupon, code, context);
    if !results.is_empty() {
        let said = "results are the verdicts on the coupon's own examinations, held against what a procedure's test asks";
        remarks.push(said.to_owned());
    }
    let logged = LOGGED.map(|name| (format!("log.1.{name}"), format!("pass.1.{name}"), name));
    let mut written = written_of(document, FROM_COUPON.into_iter());
    for (log, pass, name) in &logged {
        written.extend(written_of(document, [(pass.as_str(), *name), (log.as_str(), *name)].into_iter()));
    }
    Ok(ProcedureRecord { number, code, facts, written, results, judged_under: Some(code), remarks })
}

/// How the coupon's own examinations came out, as those of a procedure's test.
fn results_of(
    document: &Document,
    coupon: &StatedCoupon,
    code: &'static Code,
    context: AssessmentContext,
) -> Vec<(String, String)> {
    let mut as_procedure = document.clone();
    as_procedure.set("purpose", Some("procedure"));
    Judged::of(&as_procedure, Some(coupon), Some(code), context).results(code)
}

/// Settings of the root pass: what was logged beats what was planned.
fn welded(mut facts: Facts, coupon: &StatedCoupon, r: &mut Reader<'_>) -> Facts {
    let log: Option<&LoggedPass> = coupon.log.passes.first();
    let first = r.document().rows("pass").first().copied().unwrap_or(1);
    let values = [
        ("volts", Kind::Voltage, log.and_then(|l| l.volts), "volts"),
        ("amps", Kind::Current, log.and_then(|l| l.amps), "amps"),
        ("wire_feed", Kind::Speed, log.and_then(|l| l.wire_feed_m_s), "wire_feed"),
        ("travel", Kind::Speed, log.and_then(|l| l.travel_m_s), "travel"),
    ];
    // The sheet's own numbers are kept in SI; they are shown in the trade's inches.
    for (name, kind, logged, planned) in values {
        let system = if kind == Kind::Speed { System::Inch } else { System::Neither };
        let logged = logged.map(|si| Quantity { si, kind, system });
        let path = format!("pass.{first}.{planned}");
        let planned = || r.quantity(&path).filter(|_| has_field(coupon.process, &path));
        let value = logged.or_else(planned);
        facts = put(facts, name, value.map(Fact::Measure));
    }
    let interpass = || coupon.log.passes.iter().filter_map(|l| l.interpass_k);
    let ends =
        [("interpass", interpass().reduce(f64::max)), ("least_interpass", interpass().reduce(f64::min))];
    for (name, si) in ends {
        let size = si.map(|si| Quantity { si, kind: Kind::Temperature, system: System::Inch });
        facts = put(facts, name, size.map(Fact::Measure));
    }
    let logged: BTreeSet<_> = coupon.log.passes.iter().filter_map(|l| l.progression).collect();
    let used = if logged.is_empty() { coupon.planned.iter().copied().collect() } else { logged };
    let words: Vec<String> = used.into_iter().map(|p| p.word().to_owned()).collect();
    put(facts, "progressions", (!words.is_empty()).then_some(Fact::Words(words)))
}
