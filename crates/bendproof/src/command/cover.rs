//! `bendproof cover`: what a coupon will cover and what not, under one code or
//! side by side; or the smallest tests for the joints of a job.

mod job;

use std::path::Path;

use bendproof_codes::ahead::{LimitAhead, Neighbour};
use bendproof_codes::catalogue::Code;
use bendproof_codes::held::CoverAnswer;
use bendproof_codes::judged::{Jig, SpecimenPlan};
use bendproof_codes::rule::Cited;
use bendproof_codes::words::{Facet, RuleKind};
use bendproof_drawing::{Frame, Theme, Words};
use bendproof_files::{COUPON, Document, Severity};
use bendproof_measure::{inches, round_to};
use bendproof_traveler::context::AssessmentContext;
use bendproof_traveler::cover::{
    UnderCode, across, codes_across, coverage_description, coverage_svg, under_codes,
};
use bendproof_traveler::origin::{cover_origins, source_rows};
use bendproof_traveler::welder;

use crate::arguments::{CoverOptions, SourcesOption};
use crate::exit::{Exit, Failure, Outcome, failure};
use crate::{output, result_file, source};
use bendproof_contract as contract;

pub fn run(options: &CoverOptions, as_json: bool) -> Outcome {
    match (&options.joints, &options.file) {
        (Some(joints), _) => job::run(joints, options, as_json),
        (None, Some(file)) => coupon(file, options, as_json),
        (None, None) => Err(failure("give a coupon file, or a joints file with --joints")),
    }
}

/// The codes asked for; `own` where none is.
fn codes(
    options: &CoverOptions,
    own: Option<&'static Code>,
    context: AssessmentContext,
) -> Result<Vec<&'static Code>, Failure> {
    if options.all || (options.code.is_empty() && own.is_none()) {
        return codes_across(context).map_err(failure);
    }
    if options.code.is_empty() {
        return Ok(own.into_iter().collect());
    }
    options.code.iter().map(|name| context.named(name).map_err(failure)).collect()
}

fn coupon(file: &Path, options: &CoverOptions, as_json: bool) -> Outcome {
    let text = source::read(file)?;
    let (document, mut findings) = Document::from_toml(&COUPON, &text);
    let context = source::context(options.shop.shop_rules.as_deref())?;
    let codes = codes(options, context.code_of(&document), context)?;
    let is_sound = findings.iter().all(|f| f.severity < Severity::Error);
    let all = match under_codes(&document, &codes, context) {
        Ok(all) if is_sound => all,
        read => {
            findings.extend(read.err().unwrap_or_default());
            if as_json {
                output::json(&serde_json::json!({ "findings": contract::findings_json(&findings) }));
            }
            output::findings(file, &findings);
            return Ok(Exit::CouldNot);
        }
    };
    codes.iter().for_each(|code| source::tell_rules(context, &code.id));
    if let Some(out) = &options.out {
        write_chart(out, &all)?;
    } else if as_json {
        output::json(&serde_json::json!({
            "codes": all.iter().map(contract::under_code).collect::<Vec<_>>(),
            "side_by_side": contract::across(&across(&all)),
            "sources": contract::sources_json(&cover_origins()),
        }));
    } else if let [one] = all.as_slice() {
        print_one(one);
        if options.show.sources {
            output::sources(source_rows(&cover_origins()));
        }
    } else {
        print_across(&all, options.show);
    }
    // Side by side the coupon's own code decides how the command ends.
    let deciding = |u: &&UnderCode| u.is_own || all.len() == 1;
    let refused = all.iter().filter(deciding).any(|u| u.outlook.standing.refused.is_some());
    Ok(if refused { Exit::Findings } else { Exit::Fine })
}

fn write_chart(out: &Path, all: &[UnderCode]) -> Result<(), Failure> {
    let [one] = all else {
        return Err(failure("a chart shows one code; name it with --code"));
    };
    let (theme, words) = (Theme::paper(), Words::english());
    let title = format!("What the coupon will qualify for under {}", one.code.id);
    let desc = coverage_description(one);
    let svg = coverage_svg(
        one,
        &Frame { id: "coverage", title: &title, desc: &desc, theme: &theme, words: &words },
    );
    let bytes = match result_file::ending(out).as_str() {
        "svg" => svg.into_bytes(),
        "png" => bendproof_paper::png(&svg).map_err(failure)?,
        _ => return Err(result_file::unknown_ending(out, &["svg", "png"], "a chart")),
    };
    let written = result_file::write(out, &bytes)?;
    output::line(format!("{}: {} bytes{}", out.display(), bytes.len(), written.words()));
    Ok(())
}

/// A rule id in brackets at the end of a line.
fn cited(rules: &[String]) -> String {
    if rules.is_empty() { String::new() } else { format!("  [{}]", rules.join(", ")) }
}

fn print_one(u: &UnderCode) {
    let refused = u.outlook.standing.refused.as_ref();
    if let Some(refused) = refused {
        output::line(format!(
            "no qualification under {}: {}  [{}]\n",
            u.code.short, refused.message, refused.rule
        ));
    }
    output::line(format!("{}, edition {}\n", u.code.title, u.code.edition));
    for (position, plan) in &u.outlook.specimens {
        print_specimens(position.word(), plan);
    }
    for (kind, head) in [(RuleKind::Visual, "visual inspection"), (RuleKind::Bend, "bend specimens")] {
        print_limits(head, u.code, u.outlook.limits.iter().filter(|l| l.kind == kind).collect());
    }
    if refused.is_some() {
        return;
    }
    print_answers("will qualify for, if it passes", u, CoverAnswer::Covered);
    print_answers("will not qualify for", u, CoverAnswer::NotCovered);
    print_answers("undetermined", u, CoverAnswer::NotSure);
    let standing = &u.outlook.standing;
    output::line(format!("\npipe grooves: {}", welder::pipe_words(standing)));
    output::line(format!("thickness: {}", welder::size_words(standing, Facet::Thickness)));
    for doubt in &standing.doubts {
        output::line(format!("open question: {}  [{}]", doubt.message, doubt.rule));
    }
}

fn print_specimens(position: &str, plan: &SpecimenPlan) {
    let sets: Vec<String> = plan.sets.iter().map(|s| s.text()).collect();
    let sets = if sets.is_empty() { "unknown".to_owned() } else { sets.join(", or ") };
    let rules: Vec<String> = plan.because.iter().map(|c| c.rule.clone()).collect();
    output::line(format!("specimens of {position}: {sets}{}", cited(&rules)));
    let mut jigs: Vec<&Jig> = Vec::new();
    for (_, jig) in &plan.jigs {
        if !jigs.contains(&jig) {
            jigs.push(jig);
        }
    }
    for jig in jigs {
        let bent = plan.jigs.iter().filter(|(_, j)| j == jig).map(|(kind, _)| kind.word());
        let (inch, mm) = (inches(jig.a.inch_m), round_to(jig.a.metric_m * 1e3, 1));
        let rule = cited(std::slice::from_ref(&jig.because.rule));
        let bent = bent.collect::<Vec<_>>().join(", ");
        output::line(format!("jig for {bent}: former {inch} in [{mm} mm]{rule}"));
    }
    plan.says.iter().for_each(|said| output::line(format!("note: {said}")));
    for doubt in &plan.doubts {
        let rules: Vec<String> = doubt.because.iter().map(|c| c.rule.clone()).collect();
        output::line(format!("open question: {}{}", doubt.message, cited(&rules)));
    }
}

fn print_limits(head: &str, code: &Code, limits: Vec<&LimitAhead>) {
    if limits.is_empty() {
        return;
    }
    output::line(format!("\n{head}"));
    let row = |l: &&LimitAhead| {
        let only = l.only_where.as_ref().map(|w| format!(", where {w}")).unwrap_or_default();
        let of = if l.code == code.id { String::new() } else { format!("{}, ", l.short) };
        vec![format!("  {of}{}", l.title), format!("{}{only}", l.words.join("; ")), basis(&l.because)]
    };
    output::table(&limits.iter().map(row).collect::<Vec<_>>());
}

fn basis(because: &Cited) -> String {
    format!("{} ({}, {})", because.clause, because.basis, because.rule)
}

fn print_answers(head: &str, u: &UnderCode, answer: CoverAnswer) {
    let lines: Vec<&Neighbour> = u.outlook.answered(answer).collect();
    if lines.is_empty() {
        return;
    }
    output::line(format!("\n{head}"));
    for n in lines {
        let why = if answer == CoverAnswer::Covered { String::new() } else { format!(": {}", n.why) };
        output::line(format!("  {} {}{why}{}", n.about, n.words.join(", "), cited(&n.rules)));
    }
}

/// One block for each thing compared, one line for each code; a star where a
/// code differs from the coupon's own, or from most.
fn print_across(all: &[UnderCode], show: SourcesOption) {
    let table = across(all);
    for row in &table.rows {
        output::line(&row.about);
        let lines: Vec<Vec<String>> = row
            .cells
            .iter()
            .zip(&table.columns)
            .map(|(cell, column)| {
                let mark = if cell.differs { "*" } else { " " };
                let own = if column.is_own { " (own)" } else { "" };
                vec![format!("  {mark} {}{own}", column.code), cell.text.clone()]
            })
            .collect();
        output::table(&lines);
        for (cell, column) in row.cells.iter().zip(&table.columns).filter(|_| show.sources) {
            let rules: Vec<String> = cell.rules.iter().map(basis).collect();
            let rules =
                if rules.is_empty() { "no rule here speaks of it".to_owned() } else { rules.join("; ") };
            output::line(format!("      {}, by {rules}", column.code));
        }
        for (cell, column) in row.cells.iter().zip(&table.columns) {
            let Some(why) = &cell.why else { continue };
            let rules: Vec<String> = cell.rules.iter().map(|c| c.rule.clone()).collect();
            output::line(format!("      {}: {why}{}", column.code, cited(&rules)));
        }
    }
}
