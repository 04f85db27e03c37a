//! `bendproof forecast`: passes, margins, totals.

use std::path::Path;

use bendproof_files::Document;
use bendproof_traveler::sheet::{Figure, Mark};
use bendproof_traveler::{Look, build, json, read_forecast};

use crate::exit::{Exit, Outcome};
use crate::{output, source};

pub fn run(file: &Path, as_json: bool) -> Outcome {
    let text = source::read(file)?;
    let read = read_forecast(&text, Some(source::today()));
    let Some((coupon, forecast, limits)) = read.forecast else {
        if as_json {
            output::json(&serde_json::json!({ "findings": output::findings_json(&read.findings) }));
        }
        output::findings(file, &read.findings);
        return Ok(Exit::CouldNot);
    };
    output::findings(file, &read.findings);
    if as_json {
        output::json(&json::forecast(&coupon, &forecast, &limits));
    } else {
        print(&text);
    }
    Ok(if forecast.verdict.word() == "holds" { Exit::Fine } else { Exit::Findings })
}

fn print(text: &str) {
    let (document, _) = Document::from_toml(&bendproof_files::COUPON, text);
    let number = document.get("number").unwrap_or("").to_owned();
    let sheet = build(&number, &document, &[], Some(source::today()), Look::Screen);
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
