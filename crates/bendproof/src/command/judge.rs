//! `bendproof judge`: verdicts on bent straps, or on everything examined on a
//! coupon.

use std::path::Path;

use bendproof_traveler::build::{CouponVerdict, is_coupon, read_coupon_verdict};
use bendproof_traveler::context::AssessmentContext;
use bendproof_traveler::judged::read_bends;
use bendproof_traveler::sheet::Provenance;

use crate::arguments::ShopOption;
use crate::exit::{Exit, Outcome};
use crate::{output, source};
use bendproof_contract as contract;

pub fn run(file: &Path, shop: &ShopOption, as_json: bool) -> Outcome {
    let context = source::context(shop.shop_rules.as_deref())?;
    let text = source::read(file)?;
    if is_coupon(&text) {
        return coupon(file, &text, context, as_json);
    }
    let read = read_bends(&text, context);
    output::findings(file, &read.findings);
    let Some(report) = read.report else {
        if as_json {
            output::json(&serde_json::json!({ "findings": contract::findings_json(&read.findings) }));
        }
        return Ok(Exit::CouldNot);
    };
    source::tell_rules(context, &report.code);
    if as_json {
        output::json(&contract::bends(&report));
    } else {
        let word = |v: bendproof_codes::words::Verdict| v.word().replace('_', " ");
        output::line(format!("{}: {}", report.code, word(report.verdict)));
        for strap in &report.straps {
            let seen = if strap.inspected { "" } else { ", not inspected" };
            output::line(format!("\n{}: {}{seen}", strap.id, word(strap.verdict)));
            findings(&format!("specimen {}: ", strap.id), &strap.findings);
        }
        findings("", &report.set);
        output::say!(
            "note: only the specimens listed were judged; a coupon file shows whether the set is complete"
        );
    }
    Ok(if contract::is_clean(report.verdict) { Exit::Fine } else { Exit::Findings })
}

fn coupon(file: &Path, text: &str, context: AssessmentContext, as_json: bool) -> Outcome {
    let read = read_coupon_verdict(text, context);
    output::findings(file, &read.findings);
    let Some(verdict) = read.verdict else {
        if as_json {
            output::json(&serde_json::json!({ "findings": contract::findings_json(&read.findings) }));
        }
        return Ok(Exit::CouldNot);
    };
    for code in std::iter::once(&verdict.code).chain(&verdict.construction_code) {
        source::tell_rules(context, code);
    }
    if as_json {
        output::json(&contract::coupon(&verdict));
    } else {
        print(&verdict);
    }
    Ok(if contract::is_clean(verdict.verdict()) { Exit::Fine } else { Exit::Findings })
}

fn print(verdict: &CouponVerdict) {
    let by_eye = verdict.construction_code.as_ref().map(|code| format!(", by eye also {code}"));
    output::line(format!("{}{}: {}", verdict.code, by_eye.unwrap_or_default(), verdict.words()));
    for line in verdict.lines() {
        let rule = line.provenance.rule.clone().unwrap_or_default();
        let Provenance { source, basis, .. } = &line.provenance;
        output::line(format!("  {}: {} ({source} · {basis} · {rule})", line.verdict, line.placed()));
    }
    for what in verdict.not_examined() {
        output::line(format!("  not examined: {what}"));
    }
}

/// What rejects first, each with its clause.
fn findings(place: &str, list: &[bendproof_codes::judged::Finding]) {
    let mut ordered: Vec<&bendproof_codes::judged::Finding> = list.iter().collect();
    ordered.sort_by_key(|f| std::cmp::Reverse(f.verdict));
    for f in ordered {
        let word = f.open.map_or_else(|| f.verdict.word().replace('_', " "), |open| open.text().to_owned());
        output::line(format!("  {word}: {place}{} ({} · {} · {})", f.message, f.clause, f.basis, f.rule));
    }
}
