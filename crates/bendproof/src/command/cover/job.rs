//! The smallest tests for the joints of a job, printed.

use std::path::Path;

use bendproof_codes::ahead::CouponSet;
use bendproof_codes::held::CoverAnswer;
use bendproof_traveler::cover::{Job, JobFound, find_for_job, read_job};

use super::{cited, codes};
use crate::arguments::CoverOptions;
use crate::exit::{Exit, Outcome, failure};
use crate::{output, source};
use bendproof_contract as contract;

pub fn run(file: &Path, options: &CoverOptions, as_json: bool) -> Outcome {
    let context = source::context(options.shop.shop_rules.as_deref())?;
    let read = read_job(&source::read(file)?, context);
    if as_json && read.job.is_none() {
        output::json(&serde_json::json!({ "findings": contract::findings_json(&read.findings) }));
    }
    output::findings(file, &read.findings);
    let Some(job) = read.job else { return Ok(Exit::CouldNot) };
    let asked = codes(options, job.code, context)?;
    asked.iter().for_each(|code| source::tell_rules(context, &code.id));
    let found: Vec<JobFound> =
        asked.iter().map(|code| find_for_job(&job, code)).collect::<Result<_, _>>().map_err(failure)?;
    if as_json {
        let all: Vec<_> = found.iter().map(contract::job_found).collect();
        output::json(&serde_json::json!({ "welder": job.welder, "codes": all }));
    } else {
        found.iter().for_each(|f| print(&job, f));
    }
    let is_whole = |f: &JobFound| f.found.joints.iter().all(|j| j.answer == CoverAnswer::Covered);
    Ok(if found.iter().all(is_whole) { Exit::Fine } else { Exit::Findings })
}

fn print(job: &Job, f: &JobFound) {
    let who = job.welder.as_ref().map(|w| format!(", for {w}")).unwrap_or_default();
    output::line(format!("{} ({}){who}\n", f.title, f.found.code));
    if f.found.sets.is_empty() {
        output::line("no coupon of the stock surely covers any of these joints");
    }
    for set in &f.found.sets {
        print_set(f, set, "");
    }
    for set in &f.found.if_settled {
        print_set(f, set, "would do if settled: ");
        let mut doubts: Vec<String> =
            set.doubts.iter().map(|d| format!("    doubt: {}{}", d.message, cited(&d.rules))).collect();
        doubts.sort();
        doubts.dedup();
        doubts.iter().for_each(output::line);
    }
    print_open(f);
    if !f.found.complete {
        output::line("the search was cut short; a smaller set may exist");
    }
    output::line("");
}

fn print_set(f: &JobFound, set: &CouponSet, head: &str) {
    let word = if set.coupons == 1 { "coupon" } else { "coupons" };
    output::line(format!("{head}{} {word}, {} of metal", set.coupons, f.metal_words(set)));
    for member in &set.members {
        let name = f.candidates.get(member.candidate).map_or("", String::as_str);
        let joints: Vec<&str> =
            member.joints.iter().filter_map(|n| f.joints.get(*n)).map(String::as_str).collect();
        let joints =
            if joints.is_empty() { String::new() } else { format!("  covers {}", joints.join("; ")) };
        output::line(format!("  {name}{joints}"));
    }
}

/// The joints that no coupon surely covers, with what stands in the way.
fn print_open(f: &JobFound) {
    for (name, joint) in f.joints.iter().zip(&f.found.joints) {
        if joint.answer == CoverAnswer::Covered {
            continue;
        }
        let word = joint.answer.word().replace('_', " ");
        let nearest = joint.nearest.and_then(|n| f.candidates.get(n));
        let nearest = nearest.map(|n| format!("; nearest is {n}")).unwrap_or_default();
        output::line(format!("{name}: {word}{nearest}"));
        for reason in &joint.reasons {
            output::line(format!("    {}{}", reason.message, cited(&reason.rules)));
        }
    }
}
