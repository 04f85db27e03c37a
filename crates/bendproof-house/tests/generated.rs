//! Documents written from the data they describe: schemas, field tables, the
//! list of formulas, the catalogue of rules. Committed, and compared here.
//!
//! `UPDATE=1 cargo test -p bendproof-house --test generated` rewrites them.
#![allow(clippy::unwrap_used)]

mod support;

use std::fmt::Write;

use bendproof_codes::catalogue::Code;
use bendproof_codes::rule::Rule;
use bendproof_codes::words::{Basis, Status};
use bendproof_files::{
    BENDS, COUPON, FileKind, HEAT, JOINTS, Need, PROCEDURE, PROCEDURE_JOINTS, PROCEDURE_RECORD, RECORD,
    SHOP_RULES, Spec, What, schema_json,
};
use bendproof_forecast::Verdict;
use bendproof_measure::{Quantity, System, say};
use bendproof_traveler::context::known;
use bendproof_traveler::forecast::read_forecast;
use bendproof_traveler::judged::is_out_of_reach;

const KINDS: [&FileKind; 9] =
    [&COUPON, &BENDS, &RECORD, &HEAT, &JOINTS, &PROCEDURE_RECORD, &PROCEDURE, &PROCEDURE_JOINTS, &SHOP_RULES];

/// Holds a committed file to its text, or writes it when asked to.
fn hold(path: &str, text: &str) {
    let file = support::root().join(path);
    if std::env::var_os("UPDATE").is_some() {
        std::fs::create_dir_all(file.parent().unwrap()).unwrap();
        std::fs::write(&file, text).unwrap();
    }
    let there = std::fs::read_to_string(&file).unwrap_or_default();
    assert!(there == text, "{path} is stale; run: UPDATE=1 cargo test -p bendproof-house --test generated");
}

#[test]
fn schemas() {
    for kind in KINDS {
        hold(&format!("docs/schema/{}.json", kind.name), &schema_json(kind, &known(None)));
    }
}

/// One sentence to a line, as all our documents.
fn sentences(text: &str) -> String {
    let mut text = text.to_owned();
    for end in support::sentence_ends(&text).into_iter().rev() {
        text.replace_range(end..=end, "\n");
    }
    text
}

fn cell(text: &str) -> String {
    text.replace('|', "\\|")
}

/// What may be written, with its range: in inches and in millimetres for a length.
fn accepts(spec: &Spec) -> String {
    match spec.what {
        What::Text(max) => format!("text, up to {max} characters"),
        What::Words(words) => words.iter().map(|w| format!("`{w}`")).collect::<Vec<_>>().join(", "),
        What::Steel => known(None).steels.iter().map(|w| format!("`{w}`")).collect::<Vec<_>>().join(", "),
        What::Code => known(None).codes.iter().map(|w| format!("`{w}`")).collect::<Vec<_>>().join(", "),
        What::Construction => {
            known(None).construction.iter().map(|w| format!("`{w}`")).collect::<Vec<_>>().join(", ")
        }
        What::Count(min, max) => format!("whole number, {min} to {max}"),
        What::Date => "date, like `2026-11-02`, not in the future".to_owned(),
        What::Day => "date, like `2026-11-02`".to_owned(),
        What::Table => "a table".to_owned(),
        What::PipeSize(_) => "pipe size as ordered, like `6`, `NPS 6` or `DN 150`".to_owned(),
        What::Quantity(bound) => {
            let range = |system| {
                let print = |si| say(&Quantity { si, kind: bound.kind, system });
                format!("{} to {}", print(bound.min_si), print(bound.max_si))
            };
            let (inch, metric) = (range(System::Inch), range(System::Metric));
            let both = if inch == metric { inch } else { format!("{inch} · {metric}") };
            let (word, _) = bound.kind.described();
            format!("{word}, like {}; {both}", bound.example)
        }
    }
}

fn needed(need: Need) -> String {
    match need {
        Need::Required => "required".to_owned(),
        Need::Default(text) => format!("`{text}`"),
        Need::Optional => "may be left out".to_owned(),
    }
}

fn field_table(kind: &FileKind) -> String {
    let mut text = format!("# The {} file\n\n{}\n\n", kind.name, kind.doc);
    text.push_str("Generated from the field catalogue in `crates/bendproof-files`; do not edit.\n");
    let _ = writeln!(text, "The same as a JSON Schema: [{0}.json](../schema/{0}.json).", kind.name);
    if kind.specs.iter().any(|s| s.path.contains('*')) {
        text.push_str("`#` stands for each value of a list, `*` for a name of your own: `probes.*.#` is `s6 = [\"…\", \"…\", \"…\"]` under `[probes]`.\n");
    } else {
        text.push_str("`#` stands for the number of a row: `pass.#.volts` is `volts` in each `[[pass]]`.\n");
    }
    text.push_str("Quantities are texts with their unit; a missing unit is an error, never a guess.\n\n");
    text.push_str("| field | name | what it holds | default | meaning |\n|---|---|---|---|---|\n");
    for spec in kind.specs {
        let (accepts, needed) = (accepts(spec), needed(spec.need));
        let cells = [&format!("`{}`", spec.path), spec.label, &accepts, &needed, spec.doc].map(cell);
        let _ = writeln!(text, "| {} |", cells.join(" | "));
    }
    text
}

#[test]
fn field_tables() {
    for kind in KINDS {
        hold(&format!("docs/reference/{}-file.md", kind.name), &field_table(kind));
    }
}

fn formula_text(formula: &bendproof_calc::Formula) -> String {
    let mut text = format!("\n## {}\n\n{}; in {}.\n", formula.name, formula.title, formula.unit);
    let _ = writeln!(text, "Holds for: {}.", sentences(formula.validity));
    let _ = writeln!(text, "Source: {}.\nBasis: {}.\n", sentences(formula.source), formula.basis.word());
    text.push_str("| argument | accepts | default |\n|---|---|---|\n");
    for argument in formula.arguments {
        let default = match argument.need {
            bendproof_calc::Need::Required => "required".to_owned(),
            bendproof_calc::Need::Optional => "may be left out".to_owned(),
            bendproof_calc::Need::Default(text) => format!("`{text}`"),
        };
        let _ = writeln!(text, "| `{}` | {} | {default} |", argument.name, cell(&argument.accepts()));
    }
    text
}

#[test]
fn list_of_formulas() {
    let mut text = String::from("# Formulas of `bendproof calc`\n\n");
    text.push_str("Generated from the register in `crates/bendproof-calc`; do not edit.\n");
    text.push_str("Every dimensional argument carries its unit.\n");
    for formula in bendproof_calc::list() {
        text.push_str(&formula_text(formula));
    }
    hold("docs/reference/formulas.md", &text);
}

#[test]
fn catalogue_of_rules() {
    let mut text = String::from("# Rules of the codes\n\n");
    text.push_str("Generated from `codes/*.toml`; do not edit.\n");
    text.push_str("`bendproof explain RULE` prints one rule with its conditions and test cases.\n");
    text.push_str("Where the basis is memory or secondary, check against your own copy of the code.\n");
    text.push_str("\nA rule is stable where it was read, quoted by somebody who read it, worked out or chosen here, and the number of its clause is known; unverified where it is from memory or practice, where that number is not known or nobody read the edition; disputed where sources disagree.\n");
    text.push_str("\n| code | edition | rules |\n|---|---|---|\n");
    let codes = bendproof_codes::catalogue::codes().unwrap();
    for code in codes {
        let _ = writeln!(
            text,
            "| [{}](rules/{}.md) | {}, {} | {} |",
            code.id,
            code.id,
            code.title,
            code.edition,
            code.rules.len()
        );
        rules_of(code);
    }
    text.push_str("\n## What stands behind them\n\n");
    text.push_str(&counted("basis", codes, Basis::WORDS, |rule| rule.basis.word()));
    text.push_str(&counted("status", codes, Status::WORDS, |rule| rule.status().word()));
    hold("docs/reference/rules.md", &text);
}

/// A table of how many rules of each code have each word; words that none has
/// are left out.
fn counted(what: &str, codes: &[&Code], words: &[&str], of: impl Fn(&Rule) -> &'static str) -> String {
    let number = |code: &Code, word: &str| code.rules.iter().filter(|rule| of(rule) == word).count();
    let used: Vec<&str> =
        words.iter().copied().filter(|word| codes.iter().any(|code| number(code, word) > 0)).collect();
    let mut text = format!("| {what} | {} |\n|---|{}\n", used.join(" | "), "---|".repeat(used.len()));
    for code in codes {
        let cells: Vec<String> = used.iter().map(|word| number(code, word).to_string()).collect();
        let _ = writeln!(text, "| {} | {} |", code.id, cells.join(" | "));
    }
    let sum = |word: &&str| codes.iter().map(|code| number(code, word)).sum::<usize>().to_string();
    let cells: Vec<String> = used.iter().map(sum).collect();
    let _ = writeln!(text, "| all | {} |\n", cells.join(" | "));
    text
}

/// The page of one code.
fn rules_of(code: &bendproof_codes::catalogue::Code) {
    let mut text = format!(
        "# {}\n\nGenerated from `codes/*.toml`; do not edit.\n\n{}, edition {}.\n{}\n\n",
        code.id,
        code.title,
        code.edition,
        sentences(&code.note)
    );
    let unreached = code.rules.iter().filter(|rule| is_out_of_reach(rule)).count();
    if unreached > 0 {
        let _ = writeln!(
            text,
            "{unreached} of these rules judge fillets by eye; a coupon here is a groove, so no file reaches them yet.\n"
        );
    }
    text.push_str("| rule | title | clause | says | basis | status |\n|---|---|---|---|---|---|\n");
    for rule in &code.rules {
        let mut limits = rule.limits_text().join("; ");
        if is_out_of_reach(rule) {
            limits.push_str("; no file reaches it yet");
        }
        let cells = [&format!("`{}`", rule.id), &rule.title, &rule.clause, &limits].map(|t| cell(t));
        let _ = writeln!(text, "| {} | {} | {} |", cells.join(" | "), rule.basis, rule.status());
    }
    hold(&format!("docs/reference/rules/{}.md", code.id), &text);
}

/// An example coupon with another land, forecast: one row of the table.
fn land_row(name: &str, text: &str, land: &str) -> String {
    let old = text.lines().find(|l| l.starts_with("root_face = ")).unwrap();
    let text = text.replace(old, &format!("root_face = \"{land}\""));
    let (_, forecast, _) = read_forecast(&text, None).forecast.unwrap();
    let (root, edge) = (&forecast.root, &forecast.root.left_edge);
    let mm = |m: Option<f64>| m.map_or("not known".to_owned(), |m| format!("{:.1}", m * 1e3));
    let word = |verdict: Verdict| verdict.word().replace('_', " ");
    format!(
        "| {name} | {land} | {} | {} ± {} mm | {} | {} | {} |\n",
        word(edge.verdict),
        mm(edge.margin),
        mm(edge.uncertainty),
        word(root.profile.verdict),
        word(root.burn_through.verdict),
        word(root.outrun.verdict)
    )
}

#[test]
fn table_of_lands() {
    let mut text = String::from("# The land, downhill and uphill\n\n");
    text.push_str("Generated by forecasting `examples/plate-3g-downhill.toml` and `examples/plate-3g-uphill.toml` with other lands; do not edit.\n");
    text.push_str("Melt-back is past the underside; below zero the land stays.\n");
    text.push_str("What stands behind the numbers: [the root model, and its honesty](../explanation/root-model.md).\n\n");
    text.push_str(
        "| example | land | left edge | melt-back | root profile | burn-through | puddle ahead of arc |\n",
    );
    text.push_str("|---|---|---|---|---|---|---|\n");
    for name in ["plate-3g-downhill", "plate-3g-uphill"] {
        let example = support::read(&format!("examples/{name}.toml"));
        for land in ["1/32 in", "1/16 in", "5/64 in", "3/32 in", "1/8 in"] {
            text.push_str(&land_row(name, &example, land));
        }
    }
    hold("docs/reference/lands.md", &text);
}
