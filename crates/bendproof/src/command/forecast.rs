//! `bendproof forecast`: passes, margins, totals.

use std::path::Path;

use bendproof_files::Document;
use bendproof_traveler::build::build_with;
use bendproof_traveler::context::AssessmentContext;
use bendproof_traveler::drawn::Look;
use bendproof_traveler::forecast::{read_forecast, read_forecast_solved};
use bendproof_traveler::sheet::{Figure, Mark, Provenance, Sheet};
use bendproof_traveler::solved::SolvedCoupon;
use serde_json::json;

use crate::arguments::{ShopOption, SourcesOption};
use crate::exit::{Exit, Outcome};
use crate::{output, source};
use bendproof_contract as contract;

pub fn run(file: &Path, is_fast: bool, shown: SourcesOption, shop: &ShopOption, as_json: bool) -> Outcome {
    let context = source::context(shop.shop_rules.as_deref())?;
    let text = source::read(file)?;
    if !is_fast {
        super::solving::announce(&text, context.day);
    }
    let read = if is_fast { read_forecast(&text, context) } else { read_forecast_solved(&text, context) };
    output::findings(file, &read.findings);
    if let Some(stick) = &read.stick {
        match as_json {
            true => output::json(&contract::stick_read(stick, &read.findings)),
            false => print_stick(&text, context, shown),
        }
        // Whether it will hold is not known.
        return Ok(Exit::Findings);
    }
    let Some((_, forecast, _)) = &read.forecast else {
        if as_json {
            output::json(&json!({ "findings": contract::findings_json(&read.findings) }));
        }
        return Ok(Exit::CouldNot);
    };
    match contract::forecast_read(&read) {
        Some(value) if as_json => output::json(&value),
        _ => print(&text, context, read.solved.as_ref(), shown),
    }
    if let Some(why) = &read.unsolved {
        output::say!("note: heat not solved: {why}");
    }
    let above_fails = forecast.above_root.is_some_and(|word| word.word() == "fails");
    let is_fine = forecast.verdict.word() == "holds" && !above_fails;
    Ok(if is_fine { Exit::Fine } else { Exit::Findings })
}

/// The head of the sheet, what follows from the fit, and the passes.
fn print_plan(
    text: &str,
    context: AssessmentContext,
    solved: Option<&SolvedCoupon>,
    has_fusion: bool,
) -> Sheet {
    let (document, _) = Document::from_toml(&bendproof_files::COUPON, text);
    if let Some(code) = context.code_ahead(&document) {
        source::tell_rules(context, &code.id);
    }
    let number = document.get("number").unwrap_or("").to_owned();
    let sheet = build_with(&number, &document, &[], context, Look::Screen, solved);
    output::line(format!("{} {}", sheet.number, sheet.title));
    output::line(format!("{}\n", sheet.subtitle));
    output::table(&figures(&sheet.fit_computed));
    output::line("");
    let mut rows = Vec::new();
    for pass in &sheet.passes {
        let kind = pass.fields.first().map(|f| f.text.clone()).unwrap_or_default();
        if rows.is_empty() {
            let mut head = vec!["bead".to_owned(), "pass".to_owned()];
            head.extend(pass.computed.iter().map(|f| f.label.clone()));
            head.extend(has_fusion.then(|| "fusion".to_owned()));
            rows.push(head);
        }
        let mut row = vec![pass.beads.clone(), kind];
        row.extend(pass.computed.iter().map(|f| f.text.clone()));
        row.extend(has_fusion.then(|| format!("{}, {}", word(pass.tie_in.mark), pass.tie_in.value)));
        rows.push(row);
    }
    output::table(&rows);
    output::line("");
    sheet
}

fn figures(list: &[Figure]) -> Vec<Vec<String>> {
    list.iter().map(|f| vec![f.label.clone(), f.text.clone()]).collect()
}

/// A joint with stick: rods, heat and time; root and fusion are not answered.
fn print_stick(text: &str, context: AssessmentContext, shown: SourcesOption) {
    let sheet = print_plan(text, context, None, false);
    output::table(&figures(&sheet.totals));
    if shown.sources {
        output::sources(figure_sources(&sheet));
    }
    output::say!("note: computed, not measured; root and fusion are not computed for stick");
}

fn print(text: &str, context: AssessmentContext, solved: Option<&SolvedCoupon>, shown: SourcesOption) {
    let sheet = print_plan(text, context, solved, true);
    let items: Vec<Vec<String>> = sheet
        .forecast
        .iter()
        .map(|i| {
            let spread = [i.value.as_str(), i.uncertainty.as_str()].join(" ");
            // Where nothing is known the driver says why.
            let why = match i.mark {
                Mark::NotKnown => i.driver.clone(),
                _ => format!("driven by {}", i.driver),
            };
            vec![word(i.mark).to_owned(), i.label.clone(), spread, why]
        })
        .collect();
    output::table(&items);
    output::line("");
    output::table(&figures(&sheet.totals));
    output::line(format!("\n{}", sheet.stamp));
    if !sheet.stamp_note.is_empty() {
        output::line(&sheet.stamp_note);
    }
    if !sheet.next_reading.is_empty() {
        output::line(&sheet.next_reading);
    }
    if shown.sources {
        output::sources(sources(&sheet));
    }
    let heat = if solved.is_some() { "solved on this section" } else { "by the fast model" };
    output::say!("note: heat {heat}; computed, not measured");
    for note in &sheet.forecast_notes {
        output::say!("note: {note}");
    }
}

/// Where each kind of number of the sheet comes from, each kind once.
fn sources(sheet: &Sheet) -> Vec<[String; 3]> {
    let items = sheet.passes.iter().map(|p| &p.tie_in).chain(&sheet.forecast);
    let mut out = figure_sources(sheet);
    add_each_once(&mut out, items.map(|i| (&i.label, &i.provenance)));
    let stamp = &sheet.stamp_provenance;
    out.push(["verdict and chance".to_owned(), stamp.basis.clone(), stamp.source.clone()]);
    out
}

/// The same of what is computed and not judged.
fn figure_sources(sheet: &Sheet) -> Vec<[String; 3]> {
    let figures = sheet.fit_computed.iter().chain(sheet.passes.iter().flat_map(|p| &p.computed));
    let mut out = Vec::new();
    add_each_once(&mut out, figures.chain(&sheet.totals).map(|f| (&f.label, &f.provenance)));
    out
}

fn add_each_once<'a>(
    out: &mut Vec<[String; 3]>,
    numbers: impl Iterator<Item = (&'a String, &'a Provenance)>,
) {
    for (label, from) in numbers {
        let row = [label.clone(), from.basis.clone(), from.source.clone()];
        if !out.contains(&row) {
            out.push(row);
        }
    }
}

fn word(mark: Mark) -> &'static str {
    match mark {
        Mark::Holds => "OK",
        Mark::Marginal => "marginal",
        Mark::Fails => "fails",
        Mark::NotKnown => "unknown",
    }
}
