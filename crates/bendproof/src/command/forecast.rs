//! `bendproof forecast`: passes, margins, totals.

use std::path::Path;

use bendproof_files::Document;
use bendproof_traveler::sheet::{Figure, Mark};
use bendproof_traveler::{Look, SolvedCoupon, Told, build_with, json, read_forecast, read_forecast_solved};
use serde_json::json;

use crate::arguments::ShopOption;
use crate::exit::{Exit, Outcome};
use crate::{output, source};

pub fn run(file: &Path, is_fast: bool, shop: &ShopOption, as_json: bool) -> Outcome {
    let told = source::told(shop.shop_rules.as_deref())?;
    let text = source::read(file)?;
    let read = if is_fast { read_forecast(&text, told) } else { read_forecast_solved(&text, told) };
    output::findings(file, &read.findings);
    let Some((_, forecast, _)) = &read.forecast else {
        if as_json {
            output::json(&json!({ "findings": output::findings_json(&read.findings) }));
        }
        return Ok(Exit::CouldNot);
    };
    match json::forecast_read(&read) {
        Some(value) if as_json => output::json(&value),
        _ => print(&text, told, read.solved.as_ref()),
    }
    if let Some(why) = &read.unsolved {
        eprintln!("note: heat not solved: {why}");
    }
    Ok(if forecast.verdict.word() == "holds" { Exit::Fine } else { Exit::Findings })
}

fn print(text: &str, told: Told, solved: Option<&SolvedCoupon>) {
    let (document, _) = Document::from_toml(&bendproof_files::COUPON, text);
    if let Some(code) = told.code_of(&document) {
        source::tell_rules(told, &code.id);
    }
    let number = document.get("number").unwrap_or("").to_owned();
    let sheet = build_with(&number, &document, &[], told, Look::Screen, solved);
    output::line(format!("{} {}", sheet.number, sheet.title));
    output::line(format!("{}\n", sheet.subtitle));
    let figures =
        |list: &[Figure]| list.iter().map(|f| vec![f.label.clone(), f.text.clone()]).collect::<Vec<_>>();
    output::table(&figures(&sheet.fit_computed));
    output::line("");
    let mut rows = Vec::new();
    for pass in &sheet.passes {
        let kind = pass.fields.first().map(|f| f.text.clone()).unwrap_or_default();
        if rows.is_empty() {
            let mut head = vec!["bead".to_owned(), "pass".to_owned()];
            head.extend(pass.computed.iter().map(|f| f.label.clone()));
            head.push("tie-in".to_owned());
            rows.push(head);
        }
        let mut row = vec![pass.beads.clone(), kind];
        row.extend(pass.computed.iter().map(|f| f.text.clone()));
        row.push(format!("{}, {}", word(pass.tie_in.mark), pass.tie_in.value));
        rows.push(row);
    }
    output::table(&rows);
    output::line("");
    let items: Vec<Vec<String>> = sheet
        .forecast
        .iter()
        .map(|i| {
            let spread = [i.value.as_str(), i.uncertainty.as_str()].join(" ");
            vec![word(i.mark).to_owned(), i.label.clone(), spread, format!("driven by {}", i.driver)]
        })
        .collect();
    output::table(&items);
    output::line("");
    output::table(&figures(&sheet.totals));
    output::line(format!("\n{}", sheet.stamp));
    let heat = if solved.is_some() { "solved on this section" } else { "by the fast model" };
    eprintln!("note: heat {heat}; computed, not measured");
    for note in &sheet.forecast_notes {
        eprintln!("note: {note}");
    }
}

fn word(mark: Mark) -> &'static str {
    match mark {
        Mark::Holds => "holds",
        Mark::Marginal => "marginal",
        Mark::Fails => "fails",
        Mark::NotKnown => "not known",
    }
}
