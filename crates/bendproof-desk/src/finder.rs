//! The smallest tests for a job behind the page: the boxes are the fields of a
//! joints file, read by the same reader.

use std::collections::BTreeMap;

use bendproof_bench::desk::*;
use bendproof_codes::ahead::{CouponSet, JointFound};
use bendproof_codes::catalogue::Code;
use bendproof_codes::held::CoverAnswer;
use bendproof_files::{Document, JOINTS, Severity, Spec, What};
use bendproof_traveler::context::AssessmentContext;
use bendproof_traveler::cover::{Job, JobFound, codes_across, find_for_job, read_job_document};
use bendproof_traveler::sheet::AheadLine;

use bendproof_contract as contract;

/// The branch of a joints file that the form fills.
const JOINT: &str = "joint.#.";

pub(super) fn view(ask: &FinderAsk, context: AssessmentContext) -> Result<FinderView, String> {
    let codes = codes_across(context).map_err(|why| why.to_string())?;
    let texts: BTreeMap<String, String> = ask.boxes.iter().cloned().collect();
    let boxes = |n: usize| JOINTS.specs.iter().filter_map(|spec| one_box(spec, n, &texts)).collect();
    let mut view = FinderView {
        joints: (1..=ask.joints).map(boxes).collect(),
        codes: codes.iter().map(|code| (code.id.clone(), code.full_title())).collect(),
        findings: Vec::new(),
        found: Vec::new(),
        data: serde_json::json!({ "findings": [] }),
    };
    if ask.is_asked {
        answer(ask, texts, &codes, context, &mut view)?;
    }
    Ok(view)
}

/// A box of the form. The outside diameter stays in the file: the size as
/// ordered tells it, and one of the two is enough.
fn one_box(spec: &Spec, n: usize, texts: &BTreeMap<String, String>) -> Option<FinderBox> {
    let name = spec.path.strip_prefix(JOINT).filter(|name| *name != "outside_diameter")?;
    let path = format!("joint.{n}.{name}");
    let options = match spec.what {
        What::Words(words) => words.iter().map(|word| ((*word).to_owned(), word.replace('_', " "))).collect(),
        _ => Vec::new(),
    };
    Some(FinderBox {
        text: texts.get(&path).cloned().unwrap_or_default(),
        path,
        label: spec.label.to_owned(),
        hint: spec.doc.to_owned(),
        options,
    })
}

fn answer(
    ask: &FinderAsk,
    mut texts: BTreeMap<String, String>,
    codes: &[&'static Code],
    context: AssessmentContext,
    view: &mut FinderView,
) -> Result<(), String> {
    // A joint whose boxes are all empty is still a joint that was asked for.
    for n in 1..=ask.joints {
        texts.entry(format!("joint.{n}.name")).or_insert_with(|| format!("joint {n}"));
    }
    let read = read_job_document(&Document::from_values(texts), Vec::new(), context);
    let asked: Vec<&&Code> = codes.iter().filter(|c| ask.code.is_empty() || c.id == ask.code).collect();
    let Some(job) = read.job.filter(|_| !asked.is_empty()) else {
        let errors = read.findings.iter().filter(|f| f.severity == Severity::Error);
        view.findings = errors.map(finding).collect();
        if asked.is_empty() {
            let message = format!("code: {:?} is not in this program; pick one from the list", ask.code);
            view.findings.push(Finding { path: None, message });
        }
        view.data = serde_json::json!({ "findings": view.findings });
        return Ok(());
    };
    let found: Result<Vec<JobFound>, _> = asked.iter().map(|code| find_for_job(&job, code)).collect();
    let found = found.map_err(|why| why.to_string())?;
    let all: Vec<serde_json::Value> = found.iter().map(contract::job_found).collect();
    view.data = serde_json::json!({ "codes": all });
    view.found = found.iter().zip(asked).map(|(one, code)| found_view(&job, one, code)).collect();
    Ok(())
}

fn finding(f: &bendproof_files::Finding) -> Finding {
    Finding { path: (!f.path.is_empty()).then(|| f.path.clone()), message: f.message.clone() }
}

fn found_view(job: &Job, found: &JobFound, code: &Code) -> FoundView {
    let sets = |list: &[CouponSet]| list.iter().map(|one| set(found, one, code)).collect();
    let is_open = |(_, one): &(_, &JointFound)| one.answer != CoverAnswer::Covered;
    let open = job.joints.iter().zip(&found.found.joints).filter(is_open);
    FoundView {
        code: code.id.clone(),
        title: found.title.clone(),
        sets: sets(&found.found.sets),
        if_settled: sets(&found.found.if_settled),
        open: open.map(|(named, one)| open_joint(&named.name, found, one, code)).collect(),
        is_complete: found.found.complete,
    }
}

fn set(found: &JobFound, set: &CouponSet, code: &Code) -> FoundSet {
    let name = |list: &[String], n: usize| list.get(n).cloned().unwrap_or_default();
    let tests = set.members.iter().map(|m| FoundTest {
        name: name(&found.candidates, m.candidate),
        joints: m.joints.iter().map(|n| name(&found.joints, *n)).collect(),
    });
    let mut doubts: Vec<AheadLine> =
        set.doubts.iter().map(|d| AheadLine::under(code, d.message.clone(), &d.rules)).collect();
    doubts.sort_by(|a, b| a.words.cmp(&b.words));
    doubts.dedup_by(|a, b| a.words == b.words);
    FoundSet { coupons: set.coupons, metal: found.metal_words(set), tests: tests.collect(), doubts }
}

fn open_joint(name: &str, found: &JobFound, one: &JointFound, code: &Code) -> FoundJoint {
    FoundJoint {
        name: name.to_owned(),
        answer: one.answer.word().replace('_', " "),
        nearest: one.nearest.and_then(|n| found.candidates.get(n)).cloned(),
        reasons: one.reasons.iter().map(|r| AheadLine::under(code, r.message.clone(), &r.rules)).collect(),
    }
}
