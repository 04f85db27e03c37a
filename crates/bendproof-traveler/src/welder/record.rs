//! A record file answered: what the passed test covers on a day, what renews it,
//! and whether the joints asked about are covered.
//!
//! Puts the file's words into the code engine's; decides nothing itself.

use bendproof_codes::catalogue::Code;
use bendproof_codes::held::{
    Advice, Coverage, Joint, JointDetails, PassedTest, Standing, TestDetails, covers, designation, renewal,
    standing, standing_on,
};
use bendproof_codes::words::{JointBacking, JointKind, JointPosition, TestShape};
use bendproof_files::{
    Document, Finding, RECORD, Reader, Severity, SharedJoint, backing_agrees, backing_gas_agrees,
    deposit_fits, figure_agrees, filler_fits, pipe_sizes_fit, plate_has_no_diameter, shared_joint_agrees,
    wall_fits, waveform_agrees,
};
use bendproof_measure::say;
use bendproof_weld::{Backing, Polarity, Position, Process, Progression, Transfer};
use jiff::civil::Date;

use crate::context::{AssessmentContext, Today, known};
use crate::joint::{Filler, JobJoint, both_sizes, is_yes, metal_said, p_number};

/// A record that cannot be used.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("the record cannot be used")]
pub struct RecordError {
    /// What is wrong, each with its place.
    pub findings: Vec<Finding>,
}

/// Everything a record file answers.
#[derive(Debug, Clone, PartialEq)]
pub struct RecordAnswer {
    /// What is worth a look in the file.
    pub findings: Vec<Finding>,
    /// What is covered.
    pub standing: Standing,
    /// What renews it, what a lapse costs and when it may be welded again.
    pub renewal: Vec<Advice>,
    /// The code's line for the test, or why there is none; `None` where the
    /// code has no such line.
    pub designation: Option<Result<String, String>>,
    /// The joints asked about, in the order of the file.
    pub asked: Vec<Asked>,
    /// What was put in here and not written there.
    pub remarks: Vec<String>,
}

/// One joint asked about.
#[derive(Debug, Clone, PartialEq)]
pub struct Asked {
    /// The question in words.
    pub question: String,
    /// The answer.
    pub coverage: Coverage,
}

/// Reads a record file and says what it covers, as far as it is known.
///
/// # Errors
/// [`RecordError`] lists every fault of the text.
pub fn read_record(text: &str, context: impl Into<AssessmentContext>) -> Result<Standing, RecordError> {
    answer_record(text, context, None).map(|answer| answer.standing)
}

/// Reads a record file and answers it for the day `on`: uses and renewals after
/// that day do not count.
///
/// # Errors
/// [`RecordError`] lists every fault of the text.
pub fn answer_record(
    text: &str,
    context: impl Into<AssessmentContext>,
    on: Option<Date>,
) -> Result<RecordAnswer, RecordError> {
    let read = read_whole(text, context.into())?;
    let metal = read.document.get("base_metal").and_then(metal_said);
    answer(read.code, &read.test, read.joints.into_iter(), on)
        .map(|answer| RecordAnswer {
            findings: read.findings,
            remarks: metal.into_iter().collect(),
            ..answer
        })
        .map_err(|why| RecordError { findings: vec![Finding::error("", why)] })
}

/// What is wrong with a record file, or worth a look.
pub fn record_findings(text: &str, context: impl Into<AssessmentContext>) -> Vec<Finding> {
    match answer_record(text, context, None) {
        Ok(answer) => answer.findings,
        Err(error) => error.findings,
    }
}

/// A record file without a fault.
pub(crate) struct ReadRecord {
    /// What is worth a look.
    pub(crate) findings: Vec<Finding>,
    pub(crate) document: Document,
    pub(crate) code: &'static Code,
    pub(crate) test: PassedTest,
    pub(crate) joints: Vec<JobJoint>,
}

/// Reads a record file whole.
pub(crate) fn read_whole(text: &str, context: AssessmentContext) -> Result<ReadRecord, RecordError> {
    let (document, mut findings) = Document::from_toml(&RECORD, text);
    let mut r = Reader::new(&RECORD, &document, known(context.day));
    let code = r.text("code").and_then(|name| context.code(name));
    let test = passed_test(&mut r);
    for row in r.document().rows("use") {
        r.text(&format!("use.{row}.evidence"));
    }
    let rows = r.document().rows("ask");
    let joints: Vec<JobJoint> =
        rows.into_iter().filter_map(|row| joint(&mut r, row, test.as_ref())).collect();
    findings.extend(r.into_findings());
    if findings.iter().any(|f| f.severity == Severity::Error) {
        return Err(RecordError { findings });
    }
    let (Some(code), Some(test)) = (code, test) else {
        findings.push(Finding::error("", "the record is not complete; run `bendproof check` on it"));
        return Err(RecordError { findings });
    };
    Ok(ReadRecord { findings, document, code, test, joints })
}

fn answer(
    code: &Code,
    test: &PassedTest,
    joints: impl Iterator<Item = JobJoint>,
    on: Option<Date>,
) -> Result<RecordAnswer, String> {
    let standing = match on {
        Some(day) => standing_on(code, test, day),
        None => standing(code, test),
    };
    let standing = standing.map_err(|why| why.to_string())?;
    let asked = joints
        .map(|asked| Asked {
            question: question(&asked.with_size()),
            coverage: covers(&standing, &asked.under(code)),
        })
        .collect();
    let line = code.designation.as_ref().map(|_| designation(code, test).map_err(|why| why.to_string()));
    let (findings, renewal, remarks) = (Vec::new(), renewal(code, test), Vec::new());
    Ok(RecordAnswer { findings, standing, renewal, designation: line, asked, remarks })
}

/// The joint of the first `ask` of a document that need hold nothing else. Its
/// process has no test to come from and must be written.
pub(crate) fn asked_joint(document: &Document, today: Today) -> Result<JobJoint, Vec<Finding>> {
    let mut r = Reader::new(&RECORD, document, known(today));
    if !r.has("ask.1.process") {
        let words = Process::WORDS.join(", ");
        let message = format!("process asked about is missing; write one of {words}");
        r.note(Finding::error("ask.1.process", message));
    }
    let joint = joint(&mut r, 1, None);
    let findings = r.into_findings();
    match joint {
        Some(joint) if findings.iter().all(|f| f.severity != Severity::Error) => Ok(joint),
        _ => Err(findings),
    }
}

fn list<T>(r: &mut Reader<'_>, name: &str, read: impl Fn(&str) -> Option<T> + Copy) -> Vec<T> {
    let rows = r.document().rows(name);
    rows.into_iter().filter_map(|row| r.word(&format!("{name}.{row}"), read)).collect()
}

fn days(r: &mut Reader<'_>, name: &str) -> Vec<Date> {
    let rows = r.document().rows(name);
    rows.into_iter().filter_map(|row| r.date(&format!("{name}.{row}"))).collect()
}

fn passed_test(r: &mut Reader<'_>) -> Option<PassedTest> {
    let welder = r.text("welder");
    let process = r.word("process", Process::from_word);
    let transfer = r.word("transfer", Transfer::from_word);
    let positions = list(r, "positions", Position::from_word);
    if positions.is_empty() {
        r.note(Finding::error(
            "positions",
            "positions is missing; enter it, for example positions = [\"3G\"]",
        ));
    }
    if process == Some(Process::Gmaw) && transfer.is_none() {
        let message = "transfer is missing for GMAW; write one of short-circuit, globular, spray, pulsed";
        r.note(Finding::error("transfer", message));
    }
    let shape = r.word("shape", TestShape::from_word);
    let thickness = r.quantity("thickness");
    pipe_sizes_fit(r, "outside_diameter", "nominal_size");
    let (outside_diameter, nominal_size) =
        both_sizes(r.quantity("outside_diameter"), r.quantity("nominal_size"));
    if shape == Some(TestShape::Pipe) && outside_diameter.is_none() {
        r.note(Finding::error(
            "outside_diameter",
            "outside diameter is missing for a pipe; enter it, for example 6.625 in",
        ));
    }
    if shape == Some(TestShape::Pipe) {
        wall_fits(r, "thickness", "outside_diameter");
    }
    facts_agree(r, shape, &positions);
    let deposit = r.quantity("deposit_thickness");
    // A joint that does not rise has no progression, whatever is written of it.
    let mut progressions = list(r, "progressions", Progression::from_word);
    progressions.retain(|_| positions.iter().any(|position| position.rises()));
    let layers = r.count("layers");
    let backing = r.word("backing", Backing::from_word);
    filler_fits(r, "filler", process);
    let (filler, fm_group, filler_type) = Filler::read(r, "");
    let worked = worked(r, process, transfer);
    let Worked { confirmed, other_transfer, .. } = worked.clone();
    let details = TestDetails { fm_group, filler_type, confirmed, other_transfer, ..details(r) };
    let purpose = r.text("purpose");
    let finished = r.date("finished");
    Some(PassedTest {
        welder: welder?.to_owned(),
        process: process?,
        transfer,
        positions,
        shape: shape?,
        thickness: thickness?,
        deposit,
        layers,
        outside_diameter,
        nominal_size,
        progressions,
        backing: backing?,
        filler,
        details,
        procedure_test: purpose == Some("procedure"),
        finished: finished?,
        uses: worked.uses,
    })
}

/// Facts of a test that are each possible and the two together not.
fn facts_agree(r: &mut Reader<'_>, shape: Option<TestShape>, positions: &[Position]) {
    let is_pipe = shape.map(|shape| shape == TestShape::Pipe);
    plate_has_no_diameter(r, is_pipe, &["outside_diameter", "nominal_size"]);
    backing_agrees(r, "backing", "backing_detail");
    backing_gas_agrees(r, "backing_detail", "backing_gas");
    figure_agrees(r, "figure", "backing");
    shared_joint_agrees(
        r,
        SharedJoint {
            process: "process",
            other: "other_process",
            deposit: "deposit_thickness",
            thickness: "thickness",
        },
    );
    waveform_agrees(r, "short_arc", "transfer");
    if positions.iter().any(|position| position.rises()) {
        return;
    }
    for row in r.document().rows("progressions") {
        let path = format!("progressions.{row}");
        let rises = r.word(&path, Progression::from_word).filter(|word| *word != Progression::Level);
        if let Some(word) = rises {
            let message = format!(
                "progression is {word}, and no position of this test rises, so it counts for nothing; remove it, \
                 or enter the position it was welded in"
            );
            r.note(Finding::warning(path, message));
        }
    }
}

/// Days of later work, as the engine counts them.
#[derive(Debug, Clone, Default)]
pub(crate) struct Worked {
    pub(crate) uses: Vec<Date>,
    pub(crate) confirmed: Vec<Date>,
    pub(crate) other_transfer: Vec<Date>,
}

impl Worked {
    /// One more day on which the process of the test was used.
    pub(crate) fn add(&mut self, day: Date, is_as_tested: bool, is_confirmed: bool) {
        if !is_as_tested {
            self.other_transfer.push(day);
            return;
        }
        self.uses.push(day);
        if is_confirmed {
            self.confirmed.push(day);
        }
    }
}

/// Whether two uses of a process count as one: both with short-circuit
/// transfer, or both without it.
pub(crate) fn is_same_way(process: Process, one: Option<Transfer>, other: Option<Transfer>) -> bool {
    let is_short = |transfer: Transfer| transfer == Transfer::ShortCircuit;
    match (one, other) {
        (Some(one), Some(other)) => is_short(one) == is_short(other),
        // A transfer that was not stated may be either.
        _ => process != Process::Gmaw,
    }
}

/// Whether somebody named confirmed the work of a welder. The responsible
/// person or the examiner does, never the welder; capitals and outer blanks
/// make no other person.
pub(crate) fn confirms(checked_by: &str, welder: &str) -> bool {
    let name = |text: &str| text.trim().to_lowercase();
    !name(checked_by).is_empty() && name(checked_by) != name(welder)
}

fn worked(r: &mut Reader<'_>, process: Option<Process>, transfer: Option<Transfer>) -> Worked {
    let mut out = Worked { uses: days(r, "uses"), ..Worked::default() };
    let welder = r.text("welder").unwrap_or_default().to_owned();
    for row in r.document().rows("use") {
        let at = |name: &str| format!("use.{row}.{name}");
        let used = r.word(&at("transfer"), Transfer::from_word).or(transfer);
        let is_confirmed = r.text(&at("checked_by")).is_some_and(|who| confirms(who, &welder));
        if let (Some(day), Some(process)) = (r.date(&at("date")), process) {
            out.add(day, is_same_way(process, used, transfer), is_confirmed);
        }
    }
    out
}

/// What only some codes ask, the filler aside.
fn details(r: &mut Reader<'_>) -> TestDetails {
    TestDetails {
        base_metal: r.text("base_metal").map(p_number),
        polarity: r.word("polarity", Polarity::from_word),
        backing_gas: is_yes(r, "backing_gas"),
        backing: r.word("backing_detail", JointBacking::from_word),
        other_process: r.word("other_process", Process::from_word),
        figure: r.text("figure").map(str::to_owned),
        fillet_piece: r.text("fillet_piece").map(|word| word == "yes"),
        waveform: r.text("short_arc") == Some("waveform"),
        route: r.text("renewal_route").map(str::to_owned),
        renewals: days(r, "renewals"),
        quality_system: r.text("quality_system").map(str::to_owned),
        ped_category: r.text("ped_category").map(str::to_owned),
        ..TestDetails::default()
    }
}

/// One row of `ask`; the process is that of the test where none is written.
fn joint(r: &mut Reader<'_>, row: usize, test: Option<&PassedTest>) -> Option<JobJoint> {
    let at = |name: &str| format!("ask.{row}.{name}");
    let kind = r.word(&at("joint"), JointKind::from_word);
    let position = r.word(&at("position"), JointPosition::from_word);
    let process = r.word(&at("process"), Process::from_word).or(test.map(|t| t.process));
    filler_fits(r, &at("filler"), process);
    let (filler, fm_group, filler_type) = Filler::read(r, &at(""));
    let details = JointDetails {
        fm_group,
        filler_type,
        base_metal: r.text(&at("base_metal")).map(p_number),
        layers: r.count(&at("layers")),
        deposit: r.quantity(&at("deposit")),
        rotated: is_yes(r, &at("turned")),
        polarity: r.word(&at("polarity"), Polarity::from_word),
        backing_gas: is_yes(r, &at("backing_gas")),
    };
    backing_gas_agrees(r, &at("backing"), &at("backing_gas"));
    let (transfer, backing) =
        (r.word(&at("transfer"), Transfer::from_word), r.word(&at("backing"), JointBacking::from_word));
    let thickness = r.quantity(&at("thickness"));
    deposit_fits(r, &at("deposit"), &at("thickness"));
    pipe_sizes_fit(r, &at("diameter"), &at("nominal_size"));
    let is_plate = kind == Some(JointKind::PlateGroove);
    plate_has_no_diameter(r, is_plate.then_some(false), &[&at("diameter"), &at("nominal_size")]);
    let (outside_diameter, nominal_size) =
        both_sizes(r.quantity(&at("diameter")), r.quantity(&at("nominal_size")));
    let progression = r.word(&at("progression"), Progression::from_word);
    let day = r.date(&at("day"));
    let joint = Joint {
        kind: kind?,
        position: position?,
        process: process?,
        transfer,
        thickness,
        diameter: None,
        backing,
        progression,
        filler,
        day,
        details,
    };
    Some(JobJoint { name: format!("joint {row}"), joint, outside_diameter, nominal_size })
}

/// The question in words: `pipe groove OH, open, 0.280 in thick, diameter 6 in`.
pub(crate) fn question(joint: &Joint) -> String {
    let mut said = vec![format!("{} {}", joint.kind.word().replace('_', " "), joint.position)];
    said.extend(joint.progression.map(|p| p.to_string()));
    said.push(joint.process.to_string());
    said.extend(joint.transfer.map(|t| t.to_string()));
    said.extend(joint.backing.map(|b| format!("backing {b}")));
    said.extend(
        joint.details.backing_gas.map(|gas| format!("backing gas {}", if gas { "yes" } else { "no" })),
    );
    said.extend(joint.thickness.map(|t| format!("{} thick", say(&t))));
    said.extend(joint.details.deposit.map(|d| format!("deposit {}", say(&d))));
    said.extend(joint.diameter.map(|d| format!("diameter {}", say(&d))));
    said.extend(joint.details.rotated.map(|turned| if turned { "turned" } else { "fixed" }.to_owned()));
    said.extend(joint.filler.iter().map(|f| format!("filler {f}")));
    said.extend(joint.details.fm_group.iter().cloned());
    said.extend(joint.details.base_metal.iter().map(|metal| format!("base metal {metal}")));
    said.extend(joint.details.filler_type.iter().map(|t| format!("type {t}")));
    said.extend(joint.details.polarity.map(|p| p.to_string()));
    said.extend(
        joint.details.layers.map(|n| if n == 1 { "1 layer".to_owned() } else { format!("{n} layers") }),
    );
    said.extend(joint.day.map(|d| format!("on {d}")));
    said.join(", ")
}
