//! One coupon across the codes: what each will ask of it, give for it and
//! leave out, and where they differ.
//!
//! Decides nothing; it puts the coupon to the engine once for each code and
//! sets the answers side by side.

use std::cell::OnceCell;
use std::collections::BTreeMap;

use bendproof_codes::ahead::{Neighbour, Outlook, PlannedTest, Reach, joint_like, outlook, thickness_reach};
use bendproof_codes::catalogue::Code;
use bendproof_codes::held::{CoverAnswer, Joint, PassedTest, lasting_words};
use bendproof_codes::judged::Finding as CodeFinding;
use bendproof_codes::rule::Cited;
use bendproof_codes::words::{Facet, JointKind, JointPosition};
use bendproof_files::{COUPON, Document, EXAMS, Finding, Reader, StatedCoupon, read_coupon};

use crate::context::{AssessmentContext, known};
use crate::judged::{Judged, exam_words, specimen_coupon, visual};
use crate::stated::not_sure;
use crate::welder::test_of_coupon;

/// A coupon under one code.
#[derive(Debug, Clone)]
pub struct UnderCode {
    /// The code.
    pub code: &'static Code,
    /// The coupon names this code itself.
    pub is_own: bool,
    /// The coupon as a test.
    pub test: PassedTest,
    /// What the code asks and gives.
    pub outlook: Outlook,
    /// The finish date is written, so that the last day covered is known.
    pub is_dated: bool,
    verdicts: Vec<Verdict>,
    /// Asked mark by mark, so asked once.
    reach: OnceCell<Vec<ReachRow>>,
}

/// How far one kind of joint is covered in one position.
#[derive(Debug, Clone, PartialEq)]
pub struct ReachRow {
    /// `plate groove`, `pipe groove`, `fillet`.
    pub kind: String,
    /// As the engine asks: F, H, V, OH.
    pub position: String,
    /// Answers along the thickness.
    pub stretches: Vec<Reach>,
}

/// What was examined already.
#[derive(Debug, Clone)]
struct Verdict {
    about: &'static str,
    text: String,
    rules: Vec<Cited>,
    why: Option<String>,
}

/// The table of one coupon across codes.
#[derive(Debug, Clone, PartialEq)]
pub struct Across {
    /// One for each code, in order.
    pub columns: Vec<AcrossColumn>,
    /// One for each thing compared.
    pub rows: Vec<AcrossRow>,
}

/// A code of the table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AcrossColumn {
    /// Id, as `aws-d1.1-2020`.
    pub code: String,
    /// As the trade says it, as `AWS D1.1:2020`.
    pub short: String,
    /// Full title.
    pub title: String,
    /// The coupon names this code; the others are compared with it.
    pub is_own: bool,
}

/// One thing compared.
#[derive(Debug, Clone, PartialEq)]
pub struct AcrossRow {
    /// What: `backing`.
    pub about: String,
    /// One for each code.
    pub cells: Vec<AcrossCell>,
}

/// What one code says of one thing.
#[derive(Debug, Clone, PartialEq)]
pub struct AcrossCell {
    /// In words.
    pub text: String,
    /// The rules behind it.
    pub rules: Vec<Cited>,
    /// It differs from the coupon's own code, or from most codes where the
    /// coupon's own is not among them.
    pub differs: bool,
    /// Why, where a rule has a sentence for it.
    pub why: Option<String>,
}

/// Reads a coupon and puts it to each code.
///
/// # Errors
/// What is wrong with the coupon, each fault with its place.
pub fn under_codes(
    document: &Document,
    codes: &[&'static Code],
    context: impl Into<AssessmentContext>,
) -> Result<Vec<UnderCode>, Vec<Finding>> {
    let context = context.into();
    let read = read_coupon(document, known(context.day));
    let Some(coupon) = read.stated else { return Err(read.findings) };
    if let Some(why) = not_sure(&coupon) {
        return Err(vec![Finding::error("", why)]);
    }
    let own = context.code_of(document).map(|c| c.id.as_str());
    let one = |code: &&'static Code| under_code(document, &coupon, code, own == Some(&code.id), context);
    codes.iter().map(one).collect::<Result<_, _>>().map_err(|why| vec![Finding::error("", why)])
}

fn under_code(
    document: &Document,
    coupon: &StatedCoupon,
    code: &'static Code,
    is_own: bool,
    context: AssessmentContext,
) -> Result<UnderCode, String> {
    let mut reader = Reader::new(&COUPON, document, known(context.day));
    let finished = reader.date("finished");
    // Before welding no day matters; the standing needs one to count from.
    let day = finished.or(context.day).unwrap_or(jiff::civil::date(2000, 1, 1));
    let test = test_of_coupon(document, coupon, day)?;
    let piece = specimen_coupon(document, coupon);
    let by_eye = visual::codes(document, code, context);
    let planned = PlannedTest {
        yield_strength: piece.as_ref().and_then(|p| p.yield_strength),
        elongation_percent: piece.as_ref().and_then(|p| p.elongation_percent),
        test,
        known: visual::readings(&mut reader, Some(coupon)),
        construction: by_eye.into_iter().find(|judging| judging.id != code.id),
    };
    let outlook = outlook(code, &planned).map_err(|why| why.to_string())?;
    Ok(UnderCode {
        test: planned.test,
        code,
        is_own,
        outlook,
        is_dated: finished.is_some(),
        verdicts: verdicts(document, coupon, code, context),
        reach: OnceCell::new(),
    })
}

/// The coupon judged as if it named this code.
fn verdicts(
    document: &Document,
    coupon: &StatedCoupon,
    code: &'static Code,
    context: AssessmentContext,
) -> Vec<Verdict> {
    let judged = Judged::of(document, Some(coupon), Some(code), context);
    let mut out = Vec::new();
    if let Some(report) = &judged.visual {
        let findings = report.reports.iter().flat_map(|r| &r.findings).collect();
        out.push(Verdict::of("looked at", report.verdict, findings));
    }
    if let Some(report) = &judged.bends.report {
        let straps = report.straps.iter().flat_map(|s| &s.findings);
        let how = if report.straps.is_empty() { "film for the bends" } else { "bent" };
        out.push(Verdict::of(how, report.verdict, straps.chain(&report.set).collect()));
    }
    for exam in &EXAMS {
        let pieces = || judged.pieces.iter().filter(|p| p.exam == exam);
        if let Some(worst) = pieces().map(|p| p.verdict).max() {
            out.push(Verdict::of(exam_words(exam), worst, pieces().flat_map(|p| &p.findings).collect()));
        }
    }
    out
}

impl Verdict {
    /// The rules that decided, and the first of their sentences.
    fn of(
        about: &'static str,
        verdict: bendproof_codes::words::Verdict,
        findings: Vec<&CodeFinding>,
    ) -> Self {
        let worst = findings.iter().map(|f| f.verdict).max();
        let deciding: Vec<&&CodeFinding> = findings.iter().filter(|f| Some(f.verdict) == worst).collect();
        let mut rules: Vec<Cited> = Vec::new();
        for f in &deciding {
            let cited = Cited { rule: f.rule.clone(), clause: f.clause.clone(), basis: f.basis };
            if !rules.contains(&cited) {
                rules.push(cited);
            }
        }
        let why = deciding.first().map(|f| f.message.clone());
        Self { about, text: verdict.word().replace('_', " "), rules, why }
    }
}

/// How far a coupon reaches in thickness, for each kind of joint and position.
pub fn reach(u: &UnderCode) -> &[ReachRow] {
    u.reach.get_or_init(|| reach_rows(u))
}

fn reach_rows(u: &UnderCode) -> Vec<ReachRow> {
    let home = joint_like(u.code, &u.test);
    // A plate names no pipe; what it gives in pipe is said in words.
    let is_asked = |kind: &&JointKind| **kind != JointKind::PipeGroove || home.diameter.is_some();
    let mut out = Vec::new();
    for kind in JointKind::ALL.iter().filter(is_asked) {
        let on_pipe = *kind == JointKind::PipeGroove;
        for position in JointPosition::ALL.iter().filter(|p| on_pipe || !p.is_all_around()) {
            let joint = Joint { kind: *kind, position: *position, ..home.clone() };
            out.push(ReachRow {
                kind: kind.word().replace('_', " "),
                position: position.word().to_owned(),
                stretches: thickness_reach(&u.outlook.standing, &joint, u.test.thickness.system),
            });
        }
    }
    out
}

/// What is compared of a row besides its text.
type Answers = BTreeMap<String, CoverAnswer>;

struct Cell {
    text: String,
    answers: Answers,
    rules: Vec<Cited>,
    why: Option<String>,
    neighbours: Vec<Neighbour>,
}

/// Sets the codes side by side.
pub fn across(all: &[UnderCode]) -> Across {
    let columns = all.iter().map(|u| AcrossColumn {
        code: u.code.id.clone(),
        short: u.code.short.clone(),
        title: u.code.full_title(),
        is_own: u.is_own,
    });
    let reference = all.iter().position(|u| u.is_own);
    let about = ["looked at", "bent"].into_iter().chain(EXAMS.iter().map(exam_words));
    let about = about.filter(|name| all.iter().any(|u| u.verdicts.iter().any(|v| v.about == *name)));
    let mut rows: Vec<AcrossRow> =
        about.map(|name| row(name, all.iter().map(|u| verdict_cell(u, name)).collect(), reference)).collect();
    for (name, cell) in ROWS {
        rows.push(row(name, all.iter().map(cell).collect(), reference));
    }
    // A row that says nothing under any code is no row.
    rows.retain(|r| r.cells.iter().any(|c| c.text != NOTHING));
    Across { columns: columns.collect(), rows }
}

const NOTHING: &str = "does not apply";

/// How a code fills a row.
type Fill = fn(&UnderCode) -> Cell;

/// The rows of every table.
const ROWS: [(&str, Fill); 12] = [
    ("counts as a test", is_test),
    ("straps", straps),
    ("plate groove", |u| position(u, "plate groove", u.outlook.standing.positions.plate_groove.join(", "))),
    ("pipe groove", |u| position(u, "pipe groove", crate::welder::pipe_words(&u.outlook.standing))),
    ("fillet", |u| position(u, "fillet", u.outlook.standing.positions.fillet.join(", "))),
    ("transfer", |u| facet(u, Facet::Transfer, u.outlook.standing.transfer_modes.join(", "))),
    ("progression", |u| facet(u, Facet::Progression, u.outlook.standing.progressions.join(", "))),
    ("backing", |u| facet(u, Facet::Backing, u.outlook.standing.backing.join(", "))),
    ("thickness", |u| range(u, Facet::Thickness, u.outlook.standing.thickness.as_ref())),
    ("pipe diameter", |u| range(u, Facet::Diameter, u.outlook.standing.diameter.as_ref())),
    ("filler", |u| by_text(u, Facet::Filler, u.outlook.standing.fillers.join(", "))),
    ("lasts", lasts),
];

impl Cell {
    fn saying(self, text: &str) -> Self {
        Self { text: text.to_owned(), ..self }
    }
}

/// Whether the code counts such a piece as a test at all.
fn is_test(u: &UnderCode) -> Cell {
    let refused = u.outlook.standing.refused.as_ref();
    let rule = refused.and_then(|r| u.code.rules.iter().find(|rule| rule.id == r.rule));
    let cited = |r: &bendproof_codes::rule::Rule| Cited {
        rule: r.id.clone(),
        clause: r.clause.clone(),
        basis: r.basis,
    };
    Cell {
        text: if refused.is_some() { "no: no qualification" } else { "yes, for what is below" }.to_owned(),
        answers: Answers::new(),
        rules: rule.map(cited).into_iter().collect(),
        why: refused.map(|r| r.message.clone()),
        neighbours: Vec::new(),
    }
}

fn verdict_cell(u: &UnderCode, about: &str) -> Cell {
    let found = u.verdicts.iter().find(|v| v.about == about);
    Cell {
        text: found.map_or_else(|| NOTHING.to_owned(), |v| v.text.clone()),
        answers: Answers::new(),
        rules: found.map(|v| v.rules.clone()).unwrap_or_default(),
        why: found.and_then(|v| v.why.clone()),
        neighbours: Vec::new(),
    }
}

fn straps(u: &UnderCode) -> Cell {
    let plans = || u.outlook.specimens.iter().map(|(_, plan)| plan);
    let mut sets: Vec<String> = plans().flat_map(|p| &p.sets).map(|s| s.text()).collect();
    // Alternatives stand in no order.
    sets.sort();
    Cell {
        text: if sets.is_empty() { "not known".to_owned() } else { sets.join(", or ") },
        answers: Answers::new(),
        rules: plans().flat_map(|p| p.because.clone()).collect(),
        why: plans().flat_map(|p| &p.doubts).next().map(|doubt| doubt.message.clone()),
        neighbours: Vec::new(),
    }
}

fn position(u: &UnderCode, about: &str, text: String) -> Cell {
    let is_it = |n: &&Neighbour| n.facet == Facet::Position && n.about.ends_with(about);
    // Pipe is asked in the coupon's own size and in large pipe.
    let key = |n: &Neighbour, word: &str| format!("{word} {}", n.about);
    covered(u, Facet::Position, text, u.outlook.neighbours.iter().filter(is_it).cloned().collect(), &key)
}

fn facet(u: &UnderCode, facet: Facet, text: String) -> Cell {
    let neighbours = u.outlook.neighbours.iter().filter(|n| n.facet == facet).cloned().collect();
    covered(u, facet, text, neighbours, &|_, word| word.to_owned())
}

fn range(u: &UnderCode, facet: Facet, covered_range: Option<&bendproof_codes::held::Covered>) -> Cell {
    let neighbours: Vec<Neighbour> =
        u.outlook.neighbours.iter().filter(|n| n.facet == facet).cloned().collect();
    let text = covered_range.map(crate::welder::range_words).unwrap_or_default();
    covered(u, facet, text, neighbours, &|_, word| word.to_owned())
}

/// A side whose words differ from code to code for reasons of their own.
fn by_text(u: &UnderCode, facet: Facet, text: String) -> Cell {
    let neighbours = u.outlook.neighbours.iter().filter(|n| n.facet == facet).cloned().collect();
    Cell { answers: Answers::new(), ..covered(u, facet, text, neighbours, &|_, word| word.to_owned()) }
}

fn covered(
    u: &UnderCode,
    facet: Facet,
    text: String,
    neighbours: Vec<Neighbour>,
    key: &dyn Fn(&Neighbour, &str) -> String,
) -> Cell {
    if u.outlook.standing.refused.is_some() {
        // Why stands in the row that says so.
        return Cell { why: None, ..is_test(u) }.saying("nothing");
    }
    let unsure = neighbours.iter().find(|n| n.answer == CoverAnswer::NotSure);
    let text = match (text.is_empty(), unsure, neighbours.is_empty()) {
        (true, Some(_), _) => "undetermined".to_owned(),
        (true, None, true) => NOTHING.to_owned(),
        (true, None, false) => "none".to_owned(),
        (false, Some(_), _) => format!("{text} (partly undetermined)"),
        (false, None, _) => text,
    };
    let why = unsure.map(Neighbour::text);
    let words = neighbours.iter().flat_map(|n| n.words.iter().map(|w| (key(n, w), n.answer)));
    Cell {
        text,
        answers: words.collect(),
        rules: u.outlook.standing.cited(facet).into_iter().cloned().collect(),
        why,
        neighbours,
    }
}

fn lasts(u: &UnderCode) -> Cell {
    let standing = &u.outlook.standing;
    let text = match (standing.until, u.is_dated) {
        (Some(_), true) => lasting_words(None, standing.until),
        (Some(_), false) => format!("{} if welded today", lasting_words(None, standing.until)),
        (None, _) => "no period known".to_owned(),
    };
    let cell = by_text(u, Facet::Continuity, text);
    let doubt = standing.doubts.iter().find(|d| d.facet == Some(Facet::Continuity));
    Cell { why: cell.why.or(doubt.map(|d| d.message.clone())), neighbours: Vec::new(), ..cell }
}

fn row(about: &str, cells: Vec<Cell>, own: Option<usize>) -> AcrossRow {
    let same = |a: &Cell, b: &Cell| match a.answers.is_empty() || b.answers.is_empty() {
        true => a.text == b.text,
        false => a.answers == b.answers,
    };
    let most = || {
        let alike =
            |n: &usize| cells.iter().filter(|c| cells.get(*n).is_some_and(|this| same(this, c))).count();
        // The first of equals.
        (0..cells.len()).rev().max_by_key(alike)
    };
    let reference = own.or_else(most).and_then(|n| cells.get(n));
    let cell = |cell: &Cell| {
        let differs = reference.is_some_and(|r| !same(r, cell));
        let why = cell.why.clone().or_else(|| reference.filter(|_| differs).and_then(|r| reason(cell, r)));
        AcrossCell { text: cell.text.clone(), rules: cell.rules.clone(), differs, why }
    };
    AcrossRow { about: about.to_owned(), cells: cells.iter().map(cell).collect() }
}

/// The code's sentence about the first thing it answers differently.
fn reason(cell: &Cell, reference: &Cell) -> Option<String> {
    if reference.neighbours.is_empty() {
        return None;
    }
    let differs = |n: &&Neighbour| {
        let other =
            |word: &String| reference.neighbours.iter().find(|r| r.words.contains(word)).map(|r| r.answer);
        n.words.iter().any(|word| other(word) != Some(n.answer))
    };
    let mut outside = cell.neighbours.iter().filter(|n| n.answer != CoverAnswer::Covered);
    outside.find(differs).map(Neighbour::text)
}
