//! `bendproof judge`: verdicts on bent straps.

use std::path::Path;

use bendproof_traveler::{json, read_bends};

use crate::arguments::ShopOption;
use crate::exit::{Exit, Outcome};
use crate::{output, source};

pub fn run(file: &Path, shop: &ShopOption, as_json: bool) -> Outcome {
    let told = source::told(shop.shop_rules.as_deref())?;
    let read = read_bends(&source::read(file)?, told);
    output::findings(file, &read.findings);
    let Some(report) = read.report else {
        if as_json {
            output::json(&serde_json::json!({ "findings": output::findings_json(&read.findings) }));
        }
        return Ok(Exit::CouldNot);
    };
    source::tell_rules(told, &report.code);
    if as_json {
        output::json(&json::bends(&report));
    } else {
        let word = |v: bendproof_codes::Verdict| v.word().replace('_', " ");
        output::line(format!("{}: {}", report.code, word(report.verdict)));
        for strap in &report.straps {
            let seen = if strap.inspected { "" } else { ", not inspected" };
            output::line(format!("\n{}: {}{seen}", strap.id, word(strap.verdict)));
            findings(&strap.findings);
        }
        findings(&report.set);
        eprintln!(
            "note: only the straps listed were judged; whether the set is complete shows on a coupon's sheet"
        );
    }
    Ok(if json::is_clean(report.verdict) { Exit::Fine } else { Exit::Findings })
}

fn findings(list: &[bendproof_codes::Finding]) {
    for f in list {
        output::line(format!("  {}: {}", f.verdict, f.message));
        output::line(format!("    {} · {} · {}", f.clause, f.basis, f.rule));
    }
}
