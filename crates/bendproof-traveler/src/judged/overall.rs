//! The code's word on a whole coupon: by eye, bent, and every other piece
//! together. Everything that asks whether a coupon passed asks here.

use bendproof_codes::catalogue::Code;
use bendproof_codes::judged::{BendReport, Finding, JointReport, OtherExams, is_of_film, not_examined};
use bendproof_codes::rule::{Counts, Demand, Rule};
use bendproof_codes::words::{RuleKind, StrapKind, Verdict};
use bendproof_files::{COUPON, Document, ExamList, Reader, StatedCoupon};
use bendproof_measure::Quantity;

use super::bends::{Bends, bends, specimen_coupon};
use super::exams::{Piece, pieces};
use super::visual::visual;
use crate::context::{AssessmentContext, known};

/// Everything examined on a coupon, judged.
#[derive(Debug, Clone)]
pub struct Judged {
    /// What the eye saw; `None` while nothing is written.
    pub visual: Option<JointReport>,
    /// The straps.
    pub bends: Bends,
    /// The other pieces.
    pub pieces: Vec<Piece>,
    /// What the code asks for and nobody examined; `None` where nothing is
    /// lacking or not known.
    pub missing: Option<Counts>,
    /// What the code leaves without a limit where no construction code is named;
    /// `None` where one is, or nothing is left so.
    pub unlimited: Option<Unlimited>,
}

/// What no code held a coupon to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unlimited {
    /// Short name of the code that judged.
    code: String,
    /// `no construction code named, cap and undercut not held to any limit`.
    words: String,
}

/// One word for all of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Overall {
    /// Everything that is asked for is accepted.
    Accept,
    /// Refused by eye; bends no longer matter.
    RejectVisual,
    /// Refused by its bends.
    Reject,
    /// Refused by another examination.
    RejectExam(&'static ExamList),
    /// A specimen must be replaced.
    Void,
    /// All else accepted, the visual examination not complete.
    VisualOpen,
    /// Bends not complete, or not judged, and no film stands for them; or another
    /// piece the code asks for not examined.
    BendsOpen,
    /// A piece is noted and could not be judged.
    ExamOpen(&'static ExamList),
}

/// Weld on the longest film. Several may show the same stretch, so they are not
/// added up.
fn filmed(document: &Document) -> Option<Quantity> {
    let mut reader = Reader::new(&COUPON, document, known(None));
    let rows = document.rows("radiograph").into_iter();
    let each = rows.filter_map(|row| reader.quantity(&format!("radiograph.{row}.weld_length")));
    each.max_by(|a, b| a.si.total_cmp(&b.si))
}

impl Judged {
    /// Judges everything examined on a coupon under a code.
    pub(crate) fn of(
        document: &Document,
        coupon: Option<&StatedCoupon>,
        code: Option<&'static Code>,
        context: AssessmentContext,
    ) -> Self {
        let pieces = code.map(|code| pieces(document, code)).unwrap_or_default();
        let of_list = |list: &str| pieces.iter().filter(|p| p.exam.list == list).count() as u32;
        let others = OtherExams {
            tension: of_list("tension"),
            nick_break: of_list("nick_break"),
            is_radiographed: of_list("radiograph") > 0,
            filmed: filmed(document),
        };
        let bends = bends(document, coupon, code, others);
        let missing = coupon.zip(code).and_then(|(coupon, code)| {
            let piece = specimen_coupon(document, coupon)?;
            not_examined(code, &piece, &made(&bends, &others), &others)
        });
        let unlimited = code.and_then(|code| unlimited(document, code));
        Self { visual: visual(document, coupon, code, context), bends, pieces, missing, unlimited }
    }

    /// How each examination of the coupon came out, as a record of a procedure's
    /// test states it: `accept`, `reject`, or `not_done` where it is not settled.
    pub(crate) fn results(&self, code: &Code) -> Vec<(String, String)> {
        let mut worst: Vec<(&str, Verdict)> = Vec::new();
        worst.extend(self.visual.iter().map(|report| ("visual", report.verdict)));
        // A film that stands for the bends is a film all the same.
        let bent = self.bends.report.iter().filter(|_| !self.bends.straps.is_empty());
        worst.extend(bent.map(|report| ("bends", self.bent_alone(report, code))));
        for piece in &self.pieces {
            let name = if piece.exam.list == "radiograph" { "radiography" } else { piece.exam.list };
            match worst.iter_mut().find(|(known, _)| *known == name) {
                Some((_, verdict)) => *verdict = piece.verdict.max(*verdict),
                None => worst.push((name, piece.verdict)),
            }
        }
        let lacks = |name: &str| {
            let is_open = name == "bends" && self.bends.not_stated().is_some();
            is_open
                || self.missing.as_ref().is_some_and(|missing| match name {
                    "bends" => bends_of(missing) > 0,
                    "tension" => missing.tension > 0,
                    "nick_break" => missing.nick_break > 0,
                    _ => false,
                })
        };
        let word = |name: &str, verdict| match verdict {
            Verdict::Reject => "reject",
            Verdict::Accept if !lacks(name) => "accept",
            _ => "not_done",
        };
        worst.iter().map(|(name, verdict)| ((*name).to_owned(), word(name, *verdict).to_owned())).collect()
    }

    /// The verdict on the bends alone: where other pieces are lacking, or a film,
    /// what keeps the whole set open is not theirs.
    fn bent_alone(&self, report: &BendReport, code: &Code) -> Verdict {
        let lacks_others = self.missing.as_ref().is_some_and(|missing| bends_of(missing) == 0);
        let is_theirs = |finding: &&Finding| match finding.verdict {
            Verdict::Reject => true,
            _ => !lacks_others && !code.rule(&finding.rule).is_some_and(is_of_film),
        };
        let of_set = report.set.iter().filter(is_theirs).map(|f| f.verdict);
        report.straps.iter().map(|s| s.verdict).chain(of_set).max().unwrap_or(Verdict::NotCovered)
    }

    /// Joins them; the harder word wins, and nothing open accepts.
    pub(crate) fn overall(&self) -> Overall {
        let visual = self.visual.as_ref().map(|r| r.verdict);
        let bent = self.bends.report.as_ref().map(|r| r.verdict);
        let piece = |verdict| self.pieces.iter().find(|p| p.verdict == verdict).map(|p| p.exam);
        if visual == Some(Verdict::Reject) {
            return Overall::RejectVisual;
        }
        if bent == Some(Verdict::Reject) {
            return Overall::Reject;
        }
        if let Some(exam) = piece(Verdict::Reject) {
            return Overall::RejectExam(exam);
        }
        if bent == Some(Verdict::Void) || piece(Verdict::Void).is_some() {
            return Overall::Void;
        }
        if bent != Some(Verdict::Accept) || self.missing.is_some() || self.bends.not_stated().is_some() {
            return Overall::BendsOpen;
        }
        match (piece(Verdict::NotCovered), visual) {
            (Some(exam), _) => Overall::ExamOpen(exam),
            (None, Some(Verdict::Accept)) => Overall::Accept,
            (None, _) => Overall::VisualOpen,
        }
    }

    /// The same as a code's verdict: anything open is not covered.
    pub(crate) fn verdict(&self) -> Verdict {
        match self.overall() {
            Overall::Accept => Verdict::Accept,
            Overall::RejectVisual | Overall::Reject | Overall::RejectExam(_) => Verdict::Reject,
            Overall::Void => Verdict::Void,
            Overall::VisualOpen | Overall::BendsOpen | Overall::ExamOpen(_) => Verdict::NotCovered,
        }
    }

    /// Whether anything was cut from the coupon and examined.
    pub(crate) fn is_begun(&self) -> bool {
        self.bends.report.is_some() || !self.pieces.is_empty()
    }

    /// In words.
    pub(crate) fn words(&self) -> String {
        match self.overall() {
            Overall::Accept => match &self.unlimited {
                None => "accept".to_owned(),
                Some(free) => format!("accept under {}; {}", free.code, free.words),
            },
            Overall::RejectVisual => "reject on visual".to_owned(),
            Overall::Reject => "reject".to_owned(),
            Overall::RejectExam(exam) => format!("reject on {}", exam_words(exam)),
            Overall::Void => "void, replace specimen".to_owned(),
            Overall::VisualOpen => {
                let cut = if self.bends.straps.is_empty() {
                    "film accepted for the bends"
                } else {
                    "bends accepted"
                };
                let seen = if self.visual.is_none() { "recorded" } else { "complete" };
                format!("{cut}; visual not {seen}")
            }
            Overall::BendsOpen => self.open_words(),
            Overall::ExamOpen(exam) => format!("not complete; {} not judged", exam_words(exam)),
        }
    }

    /// The verdict in the few words of a stamp, and what they leave out.
    pub(crate) fn brief(&self) -> [String; 2] {
        let note = match self.overall() {
            Overall::Accept => self.unlimited.as_ref().map(|free| free.words.clone()).unwrap_or_default(),
            Overall::RejectVisual | Overall::Reject | Overall::RejectExam(_) | Overall::Void => String::new(),
            Overall::VisualOpen | Overall::BendsOpen | Overall::ExamOpen(_) => {
                let words = self.words();
                words.strip_prefix("not complete; ").unwrap_or(&words).to_owned()
            }
        };
        let word = match self.overall() {
            Overall::Accept => "accept".to_owned(),
            Overall::VisualOpen | Overall::BendsOpen | Overall::ExamOpen(_) => "not complete".to_owned(),
            _ => self.words(),
        };
        [word, note]
    }

    /// Why a set is not complete: plainly what was not examined, once anything
    /// else than a strap is asked for or noted.
    fn open_words(&self) -> String {
        if let Some(open) = self.bends.not_stated() {
            return format!("not complete; {open}");
        }
        let others = |c: &&Counts| !self.pieces.is_empty() || c.tension + c.nick_break > 0;
        match self.missing.as_ref().filter(others) {
            Some(missing) if self.is_begun() => format!("not complete; not examined: {}", missing.text()),
            _ => self.bends.why_not.clone().unwrap_or_else(|| self.set_words()),
        }
    }

    /// What the set lacks other than pieces, as a film of a procedure test.
    fn set_words(&self) -> String {
        let mut set = self.bends.report.iter().flat_map(|report| &report.set);
        let lacking = set.find(|finding| finding.verdict == Verdict::NotCovered);
        match lacking.filter(|_| self.missing.is_none()) {
            Some(finding) => format!("not complete; {}", finding.message),
            None => "bends not complete".to_owned(),
        }
    }
}

/// What a welder's eye sees first and a code of tests may leave to the code the
/// weld is built to.
const LEFT_TO_CONSTRUCTION: [(&str, &str); 2] = [("cap_height", "cap"), ("undercut", "undercut")];

/// What a code of tests leaves to a construction code, where none is named.
fn unlimited(document: &Document, code: &Code) -> Option<Unlimited> {
    let is_named = document.get("construction_code").is_some_and(|name| !name.trim().is_empty());
    let limits = |wanted: &str| {
        let is_of = |rule: &&Rule| {
            rule.kind == RuleKind::Visual
                && matches!(&rule.demand, Demand::AtMost { fact, .. } if *fact == wanted)
        };
        code.rules.iter().any(|rule| is_of(&rule))
    };
    let free: Vec<&str> =
        LEFT_TO_CONSTRUCTION.into_iter().filter(|(fact, _)| !limits(fact)).map(|(_, word)| word).collect();
    (!is_named && !free.is_empty()).then(|| Unlimited {
        code: code.short.clone(),
        words: format!("no construction code named, {} not held to any limit", free.join(" and ")),
    })
}

/// The trade's word for an examination.
pub fn exam_words(exam: &ExamList) -> &'static str {
    match exam.list {
        "nick_break" => "nick-break",
        "fillet_break" => "fillet break",
        "radiograph" => "radiography",
        list => list,
    }
}

/// How many bends a count holds.
fn bends_of(counts: &Counts) -> u32 {
    counts.face + counts.root + counts.side
}

/// The pieces that were made and looked at.
fn made(bends: &Bends, others: &OtherExams) -> Counts {
    let bent = |kind: StrapKind| {
        let is_it =
            |s: &&bendproof_files::StrapText| s.kind.as_deref() == Some(kind.word()) && s.is_measured();
        bends.straps.iter().filter(is_it).count() as u32
    };
    Counts {
        face: bent(StrapKind::Face),
        root: bent(StrapKind::Root),
        side: bent(StrapKind::Side),
        tension: others.tension,
        nick_break: others.nick_break,
    }
}
