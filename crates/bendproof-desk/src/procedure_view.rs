//! What the traveler says of a procedure, laid out for its page.

use bendproof_bench::desk::{AllowanceView, FinderBox, JointInside, ReportView, VariableView};
use bendproof_codes::catalogue::Code;
use bendproof_codes::procedure::{Allowance, DraftLine, VariableReason, Within};
use bendproof_codes::rule::{Cited, VariableClass};
use bendproof_codes::words::Basis;
use bendproof_files::{Spec, What};
use bendproof_traveler::procedure::{JointReport, ProcedureReport};
use bendproof_traveler::sheet::Mark;
use bendproof_traveler::sheet::{AheadLine, RuleWay};
use bendproof_weld::words::spoken;

/// Fields of a joint that are asked most; the rest are folded.
pub(super) const ASKED_MOST: [&str; 12] = [
    "name",
    "kind",
    "process",
    "transfer",
    "position",
    "progression",
    "thickness",
    "diameter",
    "backing",
    "base_metal",
    "filler_class",
    "preheat",
];

/// A box for a field.
pub(super) fn one_box(spec: &Spec, path: &str, text: &str) -> FinderBox {
    let words = match spec.what {
        What::Words(words) => words,
        _ => &[],
    };
    FinderBox {
        path: path.to_owned(),
        label: spec.label.to_owned(),
        hint: spec.doc.to_owned(),
        options: words.iter().map(|word| ((*word).to_owned(), spoken(word))).collect(),
        text: text.to_owned(),
    }
}

/// An answer as a sign and a word; not sure is never shown as a yes.
pub(super) fn answered(answer: Within) -> (Mark, String) {
    let (mark, word) = match answer {
        Within::Inside => (Mark::Holds, "inside"),
        Within::NotSure => (Mark::NotKnown, "undetermined"),
        Within::Outside => (Mark::Fails, "outside"),
    };
    (mark, word.to_owned())
}

pub(super) fn report_view(report: &ProcedureReport) -> ReportView {
    ReportView {
        supported: report.supported.as_ref().map(|a| allowance(report.code, a)),
        prequalified: report.prequalified.as_ref().map(|a| allowance(report.code, a)),
        draft: report.draft.iter().map(|line| variable(report.code, line)).collect(),
        remarks: report.remarks.clone(),
        joints: report.joints.iter().map(|joint| inside(report.code, joint)).collect(),
    }
}

fn allowance(code: &Code, allowance: &Allowance) -> AllowanceView {
    let (mark, words) = answered(allowance.answer);
    let mut reasons: Vec<&VariableReason> = allowance.reasons.iter().collect();
    reasons.sort_by_key(|r| std::cmp::Reverse(r.answer));
    AllowanceView { mark, words, reasons: reasons.into_iter().map(|r| reason(code, r)).collect() }
}

fn reason(code: &Code, reason: &VariableReason) -> (Mark, String, AheadLine) {
    let (mark, word) = match (reason.answer, reason.class) {
        (Within::Outside, VariableClass::Nonessential) => {
            (Mark::Marginal, "revise the WPS, no test".to_owned())
        }
        (answer, _) => answered(answer),
    };
    let rules = reason.because.iter().map(|c| &c.rule);
    (mark, word, AheadLine::under(code, reason.message.clone(), rules))
}

fn variable(code: &Code, line: &DraftLine) -> VariableView {
    let only = line.only_where.as_ref().map(|w| format!("; where {w}")).unwrap_or_default();
    let unsure = if line.unsure { "; undetermined outside" } else { "" };
    VariableView {
        name: line.variable.word().replace('_', " "),
        value: line.value.as_deref().map_or_else(|| "not entered".to_owned(), spoken),
        allowed: format!("{}{only}{unsure}", spoken(&line.allowed)),
        class: line.class.word().replace('_', " "),
        basis: basis(line.because.basis),
        rule: RuleWay::of(code, &line.because.rule),
    }
}

fn basis(basis: Basis) -> String {
    match basis {
        Basis::Memory => "from memory: check against your code book".to_owned(),
        basis => basis.word().to_owned(),
    }
}

/// Whether one joint lies inside.
pub(super) fn inside(code: &Code, joint: &JointReport) -> JointInside {
    let (mark, words) = answered(joint.answer());
    let by = [("by the procedure", &joint.procedure), ("by the record", &joint.record)];
    let by = by
        .into_iter()
        .filter_map(|(title, printed)| Some((title.to_owned(), allowance(code, printed.as_ref()?))));
    let line = |what: &str, answer, message: &str, cited: &Cited| {
        let (mark, word) = answered(answer);
        let words = format!("{what}: {message}");
        (mark, word, AheadLine::under(code, words, [&cited.rule]))
    };
    let fit = joint.fit.iter().map(|f| line("fit", f.answer, &f.message, &f.because));
    let heat = joint.preheat.iter().map(|f| line("preheat", f.answer, &f.message, &f.because));
    JointInside { name: joint.name.clone(), mark, words, by: by.collect(), more: fit.chain(heat).collect() }
}
