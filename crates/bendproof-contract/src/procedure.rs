//! Procedures in the JSON contract: drafts, answers, fit-up and preheat.

use bendproof_codes::procedure::{Allowance, DraftLine, FitFinding, PreheatFinding, VariableReason};
use bendproof_codes::rule::Cited;
use bendproof_measure::say;
use serde_json::{Value, json};

use bendproof_traveler::procedure::{JointReport, ProcedureReport};

/// Everything said of a procedure or of its record.
pub fn procedure(report: &ProcedureReport) -> Value {
    json!({
        "number": report.number,
        "code": report.code.id,
        "clear": report.is_clear(),
        "draft": report.draft.iter().map(draft_line).collect::<Vec<_>>(),
        "remarks": report.remarks,
        "untested": report.untested.as_ref().map(|reason| &reason.message),
        "supported": report.supported.as_ref().map(allowance),
        "prequalified": report.prequalified.as_ref().map(allowance),
        "iso_names": report.iso_names,
        "joints": report.joints.iter().map(joint).collect::<Vec<_>>(),
    })
}

fn joint(joint: &JointReport) -> Value {
    json!({
        "name": joint.name,
        "answer": joint.answer().word(),
        "procedure": joint.procedure.as_ref().map(allowance),
        "record": joint.record.as_ref().map(allowance),
        "fit": joint.fit.iter().map(fit_finding).collect::<Vec<_>>(),
        "preheat": joint.preheat.iter().map(preheat_finding).collect::<Vec<_>>(),
        "en_1011": joint.en_1011,
    })
}

/// One line of a draft.
fn draft_line(line: &DraftLine) -> Value {
    json!({
        "variable": line.variable.word(),
        "class": line.class.word(),
        "value": line.value,
        "allowed": line.allowed,
        "min": line.min.as_ref().map(say),
        "max": line.max.as_ref().map(say),
        "unsure": line.unsure,
        "only_where": line.only_where,
        "because": cited(&line.because),
        "note": line.note,
    })
}

/// An answer with its reasons.
fn allowance(allowance: &Allowance) -> Value {
    json!({
        "answer": allowance.answer.word(),
        "new_test_for": allowance.breached().filter_map(name).collect::<Vec<_>>(),
        "amend_for": allowance.amended().filter_map(name).collect::<Vec<_>>(),
        "reasons": allowance.reasons.iter().map(|r| json!({
            "variable": name(r),
            "class": r.class.word(),
            "answer": r.answer.word(),
            "because": r.because.iter().map(cited).collect::<Vec<_>>(),
            "message": r.message,
        })).collect::<Vec<_>>(),
    })
}

fn name(reason: &VariableReason) -> Option<&'static str> {
    reason.variable.map(|v| v.word())
}

/// What is said of one dimension of a fit.
fn fit_finding(finding: &FitFinding) -> Value {
    json!({
        "dimension": finding.dimension.trim_start_matches("ask_"),
        "is_design": !finding.dimension.starts_with("ask_"),
        "value": finding.value.as_ref().map(say),
        "min": finding.min.as_ref().map(say),
        "max": finding.max.as_ref().map(say),
        "answer": finding.answer.word(),
        "because": cited(&finding.because),
        "message": finding.message,
    })
}

/// What one row says of preheat.
fn preheat_finding(finding: &PreheatFinding) -> Value {
    json!({
        "least": finding.least.map(|pair| pair.text()),
        "answer": finding.answer.word(),
        "because": cited(&finding.because),
        "message": finding.message,
        "note": finding.note,
    })
}

fn cited(cited: &Cited) -> Value {
    json!({ "rule": cited.rule, "clause": cited.clause, "basis": cited.basis.word() })
}
