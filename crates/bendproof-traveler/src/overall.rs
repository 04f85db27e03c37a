//! The code's word on a whole coupon: by eye, bent, and every other piece
//! together. Everything that asks whether a coupon passed asks here.

use bendproof_codes::{Beside, Code, Counts, JointReport, StrapKind, Verdict, not_examined};
use bendproof_files::{COUPON, Document, ExamList, Reader};
use bendproof_measure::Quantity;
use bendproof_weld::Coupon;

use crate::exams::{Piece, pieces};
use crate::judge::{Bends, bends, specimen_coupon};
use crate::known::{Told, known};
use crate::visual::visual;

/// Everything examined on a coupon, judged.
#[derive(Debug, Clone)]
pub(crate) struct Judged {
    /// What the eye saw; `None` while nothing is written.
    pub visual: Option<JointReport>,
    /// The straps.
    pub bends: Bends,
    /// The other pieces.
    pub pieces: Vec<Piece>,
    /// What the code asks for and nobody examined; `None` where nothing is
    /// lacking or not known.
    pub missing: Option<Counts>,
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
        coupon: Option<&Coupon>,
        code: Option<&'static Code>,
        told: Told,
    ) -> Self {
        let pieces = code.map(|code| pieces(document, code)).unwrap_or_default();
        let of_list = |list: &str| pieces.iter().filter(|p| p.exam.list == list).count() as u32;
        let beside = Beside {
            tension: of_list("tension"),
            nick_break: of_list("nick_break"),
            is_radiographed: of_list("radiograph") > 0,
            filmed: filmed(document),
        };
        let bends = bends(document, coupon, code, beside);
        let missing = coupon.zip(code).and_then(|(coupon, code)| {
            let piece = specimen_coupon(document, coupon)?;
            not_examined(code, &piece, &made(&bends, &beside), &beside)
        });
        Self { visual: visual(document, coupon, code, told), bends, pieces, missing }
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
        if bent != Some(Verdict::Accept) || self.missing.is_some() {
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
            Overall::Accept => "accept".to_owned(),
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

    /// Why a set is not complete: plainly what was not examined, once anything
    /// else than a strap is asked for or noted.
    fn open_words(&self) -> String {
        let others = |c: &&Counts| !self.pieces.is_empty() || c.tension + c.nick_break > 0;
        match self.missing.as_ref().filter(others) {
            Some(missing) if self.is_begun() => format!("not complete; not examined: {}", missing.text()),
            _ => self.bends.why_not.clone().unwrap_or_else(|| "bends not complete".to_owned()),
        }
    }
}

/// The trade's word for an examination.
pub(crate) fn exam_words(exam: &ExamList) -> &'static str {
    match exam.list {
        "nick_break" => "nick-break",
        "fillet_break" => "fillet break",
        "radiograph" => "radiography",
        list => list,
    }
}

/// The pieces that were made and looked at.
fn made(bends: &Bends, beside: &Beside) -> Counts {
    let bent = |kind: StrapKind| {
        let is_it = |s: &&bendproof_files::StrapText| s.kind == kind.word() && s.openings.is_some();
        bends.straps.iter().filter(is_it).count() as u32
    };
    Counts {
        face: bent(StrapKind::Face),
        root: bent(StrapKind::Root),
        side: bent(StrapKind::Side),
        tension: beside.tension,
        nick_break: beside.nick_break,
    }
}
