//! Verdicts as the sheet shows them: each finding with its rule, the
//! examinations other than bends, and the word on the whole coupon.

use bendproof_codes::catalogue::Code;
use bendproof_codes::judged::{Finding, JointReport, StrapReport};
use bendproof_codes::words::{Open, Verdict};
use bendproof_files::{
    COUPON, Document, EXAMS, ExamList, Finding as TextFinding, Severity, StatedCoupon, read_coupon,
};

use super::fields::{FieldContext, fields};
use crate::context::{AssessmentContext, known};
use crate::judged::{Judged, Overall, Piece, exam_words};
use crate::sheet::{
    ExamView, FindingLine, FlawView, Mark, PieceView, Provenance, VISUAL, code_mark, code_name, code_words,
    rule_ref,
};

/// A coupon file, read and judged.
#[derive(Debug, Clone)]
pub struct VerdictRead {
    /// What is wrong with the text, or worth a look.
    pub findings: Vec<TextFinding>,
    /// What the code says; `None` when the text cannot be used.
    pub verdict: Option<CouponVerdict>,
}

/// The code's word on everything examined on a coupon.
#[derive(Debug, Clone)]
pub struct CouponVerdict {
    /// The code.
    pub code: String,
    /// The code that also judged the weld by eye.
    pub construction_code: Option<String>,
    /// Everything examined, each with its findings.
    pub judged: Judged,
}

impl CouponVerdict {
    fn of(
        document: &Document,
        coupon: &StatedCoupon,
        code: &'static Code,
        context: AssessmentContext,
    ) -> Self {
        let construction = document.get("construction_code").map(|name| name.trim().to_lowercase());
        let judged = Judged::of(document, Some(coupon), Some(code), context);
        Self { code: code.id.clone(), construction_code: construction, judged }
    }

    /// One word for all of it; anything open is not covered.
    pub fn verdict(&self) -> Verdict {
        self.judged.verdict()
    }

    /// Whether it says accept, reject or void.
    pub fn is_given(&self) -> bool {
        self.verdict() != Verdict::NotCovered
    }

    /// Whether it is given and nothing the code asks for is left to examine. What
    /// the eye has refused needs no more.
    pub fn is_final(&self) -> bool {
        match self.judged.overall() {
            Overall::Accept | Overall::RejectVisual => true,
            Overall::Reject | Overall::RejectExam(_) | Overall::Void => self.judged.missing.is_none(),
            Overall::VisualOpen | Overall::BendsOpen | Overall::ExamOpen(_) => false,
        }
    }

    /// The same in words.
    pub fn words(&self) -> String {
        self.judged.words()
    }

    /// Why, with clauses.
    pub fn lines(&self) -> Vec<FindingLine> {
        overall(&self.judged).2
    }

    /// What the code asks for and nobody examined: `2 tension`.
    pub fn not_examined(&self) -> Vec<String> {
        not_examined(&self.judged)
    }
}

/// The verdict of a coupon document; `None` while it is no whole coupon.
pub fn coupon_verdict(document: &Document, context: impl Into<AssessmentContext>) -> Option<CouponVerdict> {
    let context = context.into();
    let coupon = read_coupon(document, known(context.day)).stated?;
    Some(CouponVerdict::of(document, &coupon, context.code_of(document)?, context))
}

/// Whether a text is a coupon rather than a bare list of bends: only a coupon
/// has a fit.
pub fn is_coupon(text: &str) -> bool {
    let (document, _) = Document::from_toml(&COUPON, text);
    document.values().keys().any(|path| path.starts_with("fit."))
}

/// Reads the text of a coupon file and judges everything examined on it.
pub fn read_coupon_verdict(text: &str, context: impl Into<AssessmentContext>) -> VerdictRead {
    let context = context.into();
    let (document, mut findings) = Document::from_toml(&COUPON, text);
    let read = read_coupon(&document, known(context.day));
    findings.extend(read.findings);
    let is_sound = findings.iter().all(|f| f.severity < Severity::Error);
    let verdict = read.stated.zip(context.code_of(&document)).filter(|_| is_sound);
    let verdict = verdict.map(|(coupon, code)| CouponVerdict::of(&document, &coupon, code, context));
    VerdictRead { findings, verdict }
}

/// One finding with its provenance.
pub(crate) fn finding_line(code: &str, place: &str, finding: &Finding) -> FindingLine {
    FindingLine {
        place: place.to_owned(),
        text: finding.message.clone(),
        verdict: finding.open.map_or(code_words(finding.verdict), Open::text).to_owned(),
        provenance: Provenance {
            source: format!("{}, {}", code_name(code), finding.clause),
            basis: finding.basis.word().to_owned(),
            rule: Some(rule_ref(code, &finding.rule)),
        },
    }
}

/// The code's word on the coupon as a whole, with its lines: what rejects first,
/// and what is said alike of several straps said once.
pub(crate) fn overall(judged: &Judged) -> (String, Mark, Vec<FindingLine>) {
    let mut lines = judged.visual.as_ref().map(visual_lines).unwrap_or_default();
    if let Some(report) = &judged.bends.report {
        let of_strap = |s: &StrapReport| -> Vec<FindingLine> {
            s.findings.iter().map(|f| finding_line(&report.code, &s.id, f)).collect()
        };
        lines.extend(report.straps.iter().flat_map(of_strap));
        lines.extend(report.set.iter().map(|f| finding_line(&report.code, "", f)));
    }
    for piece in &judged.pieces {
        let name = format!("{} {}", exam_words(piece.exam), piece.id);
        lines.extend(
            piece_lines(piece)
                .into_iter()
                .map(|line| FindingLine { text: format!("{name}: {}", line.text), ..line }),
        );
    }
    let mark = match judged.overall() {
        // Bends are accepted and only the eye is open: near the line, not unknown.
        Overall::VisualOpen => Mark::Marginal,
        _ => code_mark(judged.verdict()),
    };
    let mut lines = folded(lines);
    lines.sort_by_key(|line| gravity(&line.verdict));
    (judged.words(), mark, lines)
}

/// Straps of which the same is said under the same rule, in one line.
fn folded(lines: Vec<FindingLine>) -> Vec<FindingLine> {
    let is_strap = |line: &FindingLine| !line.place.is_empty() && line.place != VISUAL;
    let mut out: Vec<FindingLine> = Vec::new();
    for line in lines {
        let same = |earlier: &&mut FindingLine| {
            is_strap(earlier)
                && (&earlier.text, &earlier.verdict, &earlier.provenance)
                    == (&line.text, &line.verdict, &line.provenance)
        };
        match out.iter_mut().find(same).filter(|_| is_strap(&line)) {
            // One strap may have two openings of one length.
            Some(earlier) if earlier.place.split(", ").any(|place| place == line.place) => out.push(line),
            Some(earlier) => earlier.place = format!("{}, {}", earlier.place, line.place),
            None => out.push(line),
        }
    }
    out
}

/// What rejects stands first, then what voids a specimen, then what is open.
fn gravity(verdict: &str) -> u8 {
    let known = |of: Verdict| verdict == code_words(of);
    match () {
        () if known(Verdict::Reject) => 0,
        () if known(Verdict::Void) => 1,
        () if known(Verdict::Accept) => 3,
        () => 2,
    }
}

fn piece_lines(piece: &Piece) -> Vec<FindingLine> {
    piece.findings.iter().map(|f| finding_line(&piece.code, "", f)).collect()
}

/// Findings of the visual examination, with what was not measured and what the
/// codes leave to another document.
pub(crate) fn visual_lines(report: &JointReport) -> Vec<FindingLine> {
    let codes: Vec<String> = report.reports.iter().map(|r| code_name(&r.code)).collect();
    let said = |what: &str| FindingLine {
        place: VISUAL.to_owned(),
        text: format!("{}: see the construction code", what.replace('_', " ")),
        verdict: Open::NoLimit.text().to_owned(),
        provenance: Provenance { source: codes.join(", "), basis: "choice".to_owned(), rule: None },
    };
    let findings =
        report.reports.iter().flat_map(|r| r.findings.iter().map(|f| finding_line(&r.code, VISUAL, f)));
    findings.chain(report.not_judged.iter().map(|what| said(what))).collect()
}

/// Every examination other than bends, those without a piece too, so that one can
/// be added.
pub(crate) fn exam_views(context: &FieldContext<'_>, judged: &Judged) -> Vec<ExamView> {
    let view = |exam: &'static ExamList| ExamView {
        list: exam.list.to_owned(),
        title: exam_words(exam).to_owned(),
        inner: exam.inner.map(str::to_owned),
        pieces: judged.pieces.iter().filter(|p| p.exam == exam).map(|p| piece_view(context, p)).collect(),
    };
    EXAMS.iter().map(view).collect()
}

fn piece_view(context: &FieldContext<'_>, piece: &Piece) -> PieceView {
    let at = format!("{}.{}.", piece.exam.list, piece.row);
    let own = format!("{}.#.", piece.exam.list);
    let names = |start: &str| -> Vec<&'static str> {
        let names = COUPON.specs.iter().filter_map(|spec| spec.path.strip_prefix(start));
        names.filter(|name| !name.contains('.')).collect()
    };
    let list = piece.exam.inner_path(piece.row);
    let found = list.as_ref().and_then(|list| context.document.found(list));
    let inner = piece.exam.inner.unwrap_or_default();
    let flaws = found.iter().flatten().map(|row| FlawView {
        flaw: *row,
        fields: fields(context, &format!("{at}{inner}.{row}."), &names(&format!("{own}{inner}.#."))),
    });
    PieceView {
        piece: piece.row,
        id: piece.id.clone(),
        fields: fields(context, &at, &names(&own)),
        is_inspected: found.is_some(),
        flaws: flaws.collect(),
        verdict: code_words(piece.verdict).to_owned(),
        mark: code_mark(piece.verdict),
        findings: piece_lines(piece),
    }
}

/// What is asked for and was not examined, each with its count: `2 tension`.
pub(crate) fn not_examined(judged: &Judged) -> Vec<String> {
    judged
        .missing
        .iter()
        .flat_map(|missing| missing.text().split(", ").map(str::to_owned).collect::<Vec<_>>())
        .collect()
}
