//! The verdict on a coupon as JSON: the eye, the bends, every other piece, and
//! what was asked for and not examined. Fields are only ever added.

use bendproof_codes::judged::{BendReport, ExamReport, Finding, JointReport};
use bendproof_codes::rule::Counts;
use bendproof_codes::words::{Open, Verdict};
use serde_json::{Value, json};

use bendproof_traveler::build::CouponVerdict;
use bendproof_traveler::judged::{Piece, exam_words};

/// Verdict on everything examined on a coupon.
pub fn coupon(verdict: &CouponVerdict) -> Value {
    let judged = &verdict.judged;
    json!({
        "code": verdict.code,
        "construction_code": verdict.construction_code,
        "verdict": word(verdict.verdict()),
        "words": verdict.words(),
        "visual": judged.visual.as_ref().map(visual),
        "bends": judged.bends.report.as_ref().map(bends),
        "examinations": judged.pieces.iter().map(piece).collect::<Vec<_>>(),
        "not_examined": judged.missing.as_ref().map(counts),
    })
}

/// A whole coupon is never merely not covered: something of it is open.
fn word(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::NotCovered => "not_complete",
        other => other.word(),
    }
}

fn visual(report: &JointReport) -> Value {
    let one = |r: &ExamReport| {
        json!({
            "code": r.code,
            "verdict": r.verdict.word(),
            "findings": r.findings.iter().map(finding).collect::<Vec<_>>(),
            "not_measured": r.not_measured,
        })
    };
    json!({
        "verdict": report.verdict.word(),
        "reports": report.reports.iter().map(one).collect::<Vec<_>>(),
        "not_judged": report.not_judged,
    })
}

fn piece(piece: &Piece) -> Value {
    json!({
        "examination": exam_words(piece.exam),
        "id": piece.id,
        "verdict": piece.verdict.word(),
        "findings": piece.findings.iter().map(finding).collect::<Vec<_>>(),
    })
}

fn counts(missing: &Counts) -> Value {
    json!({
        "face": missing.face,
        "root": missing.root,
        "side": missing.side,
        "tension": missing.tension,
        "nick_break": missing.nick_break,
    })
}

/// Verdicts of a set of bends: `{"code","verdict","straps":[…],"set":[…]}`.
pub fn bends(report: &BendReport) -> Value {
    json!({
        "code": report.code,
        "verdict": report.verdict.word(),
        "straps": report.straps.iter().map(|s| json!({
            "id": s.id,
            "verdict": s.verdict.word(),
            "inspected": s.inspected,
            "findings": s.findings.iter().map(finding).collect::<Vec<_>>(),
        })).collect::<Vec<_>>(),
        "set": report.set.iter().map(finding).collect::<Vec<_>>(),
    })
}

fn finding(f: &Finding) -> Value {
    json!({
        "rule": f.rule,
        "clause": f.clause,
        "measured": f.measured_text(),
        "limit": f.limit_text(),
        "verdict": f.verdict.word(),
        "open": f.open.map(Open::word),
        "basis": f.basis.word(),
        "message": f.message,
    })
}

/// Whether a report's verdict counts as a finding for the exit code.
pub fn is_clean(verdict: Verdict) -> bool {
    verdict == Verdict::Accept
}
