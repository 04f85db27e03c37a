//! `bendproof compare`: two coupons, number by number, and why they differ.

use std::path::{Path, PathBuf};

use bendproof_drawing::{Frame, Theme, Words};
use bendproof_traveler::compare::{
    Compared, compare_reasons, compare_rows, compare_sources, compare_summary, compare_svg, read_compare,
};

use crate::arguments::{ShopOption, SourcesOption};
use crate::exit::{Exit, Outcome, failure};
use crate::{output, result_file, source};
use bendproof_contract as contract;

pub fn run(
    files: [&PathBuf; 2],
    out: Option<&Path>,
    shown: SourcesOption,
    shop: &ShopOption,
    as_json: bool,
) -> Outcome {
    if let Some(out) = out {
        let endings = ["svg", "png"];
        if !endings.contains(&result_file::ending(out).as_str()) {
            return Err(result_file::unknown_ending(out, &endings, "a comparison"));
        }
    }
    let [a, b] = [source::read(files[0])?, source::read(files[1])?];
    let read = read_compare([&a, &b], source::context(shop.shop_rules.as_deref())?);
    for (file, findings) in files.iter().zip(&read.findings) {
        output::findings(file, findings);
    }
    let Some(compared) = read.compared else {
        if as_json {
            let findings: Vec<_> = read.findings.iter().map(|f| contract::findings_json(f)).collect();
            output::json(&serde_json::json!({ "findings": findings }));
        }
        return Ok(Exit::CouldNot);
    };
    match out {
        Some(out) => write(&compared, out, as_json)?,
        None if as_json => output::json(&contract::compare(&compared)),
        None => print(&compared, shown),
    }
    let differs = compared.answers.iter().any(|p| p.words_differ());
    Ok(if differs { Exit::Findings } else { Exit::Fine })
}

fn print(compared: &Compared, shown: SourcesOption) {
    let rows: Vec<Vec<String>> = compare_rows(compared).into_iter().map(Vec::from).collect();
    output::table(&rows);
    output::line("");
    output::line("why the words differ");
    compare_reasons(compared).iter().for_each(output::line);
    if shown.sources {
        output::sources(compare_sources(compared));
    }
}

fn write(compared: &Compared, out: &Path, as_json: bool) -> Result<(), crate::exit::Failure> {
    let (theme, words) = (Theme::paper(), Words::english());
    let title = format!("Coupons {} and {}", compared.sides[0].number, compared.sides[1].number);
    let desc = compare_summary(compared);
    let frame = Frame { id: "compare", title: &title, desc: &desc, theme: &theme, words: &words };
    let svg = compare_svg(compared, &frame);
    let bytes = if result_file::ending(out) == "png" {
        bendproof_paper::png(&svg).map_err(failure)?
    } else {
        svg.into_bytes()
    };
    let written = result_file::write(out, &bytes)?;
    if as_json {
        output::json(&serde_json::json!({ "file": out.display().to_string(), "bytes": bytes.len() }));
    } else {
        output::line(format!("{}: {} bytes{}", out.display(), bytes.len(), written.words()));
        output::line(desc);
    }
    Ok(())
}
