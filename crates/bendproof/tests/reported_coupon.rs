//! Published procedures end to end: each is written as a coupon with the settings
//! its report tells, forecast by the real program, and printed with the report.
//!
//! What a report supports is held; where the forecast contradicts it, that is
//! recorded in the data and held too, so that the record cannot grow stale.
#![allow(clippy::unwrap_used)]

mod support;

use bendproof_files::{COUPON, Document, FileKind, Need, Spec, What};
use serde_json::Value;
use support::{Folder, read, root, run};

/// Fewest reports that must stand in `checks/coupons`.
const REPORTS_MIN: usize = 3;

const fn field(path: &'static str) -> Spec {
    Spec { path, label: "text", what: What::Text(4096), need: Need::Optional, doc: "As written." }
}

const REPORT: FileKind = FileKind {
    name: "reported coupon",
    doc: "A coupon with the settings a published text tells, and what the text says came of them.",
    specs: &[
        field("title"),
        field("coupon"),
        field("case.#.name"),
        field("case.#.set"),
        field("case.#.to"),
        field("case.#.formula"),
        field("case.#.arguments.#"),
        field("case.#.ask"),
        field("case.#.reported"),
        field("case.#.claim"),
        field("case.#.low"),
        field("case.#.high"),
        field("case.#.word"),
        field("case.#.source"),
        field("case.#.basis"),
        field("case.#.note"),
    ],
};

/// One quantity of a report.
struct Case<'a> {
    report: &'a Document,
    row: usize,
}

impl<'a> Case<'a> {
    fn get(&self, name: &str) -> Option<&'a str> {
        self.report.get(&format!("case.{}.{name}", self.row))
    }

    fn text(&self, name: &str) -> &'a str {
        self.get(name).unwrap_or_else(|| panic!("case {} has no `{name}`", self.row))
    }

    fn number(&self, name: &str) -> f64 {
        self.text(name).parse().unwrap()
    }

    /// What the program answers, as JSON.
    fn answer(&self) -> Value {
        let answer = match self.get("formula") {
            Some(formula) => self.worked(formula),
            None => self.forecast(),
        };
        let asked = answer.pointer(self.text("ask"));
        asked.unwrap_or_else(|| panic!("nothing at {} in {answer}", self.text("ask"))).clone()
    }

    fn worked(&self, formula: &str) -> Value {
        let list = format!("case.{}.arguments", self.row);
        let rows = self.report.rows(&list);
        let arguments = rows.iter().filter_map(|row| self.report.get(&format!("{list}.{row}")));
        let asked: Vec<&str> = ["calc", formula, "--json"].into_iter().chain(arguments).collect();
        run(&asked).ends(0).json()
    }

    fn forecast(&self) -> Value {
        let (mut coupon, findings) = Document::from_toml(&COUPON, self.report.get("coupon").unwrap());
        assert_eq!(findings, []);
        if let Some(path) = self.get("set") {
            coupon.set(path, Some(self.text("to")));
        }
        let folder = Folder::new();
        let ran = run(&["forecast", &folder.write("coupon.toml", coupon.to_toml(&COUPON)), "--json"]);
        assert!(matches!(ran.code, 0 | 1), "{}", ran.err);
        assert!(!ran.err.contains("warning: "), "a published setting is warned of: {}", ran.err);
        ran.json()
    }

    /// Whether the answer bears the claim out.
    fn holds(&self, answer: &Value) -> bool {
        match self.text("claim") {
            "within" => {
                answer.as_f64().is_some_and(|v| (self.number("low")..=self.number("high")).contains(&v))
            }
            "is" => words(answer) == self.text("word"),
            "differs" => words(answer) != self.text("word") && self.get("note").is_some(),
            other => panic!("`{other}` is no claim"),
        }
    }

    /// What the report supports, in words.
    fn claim(&self) -> String {
        match self.text("claim") {
            "within" => format!("{} to {}", self.text("low"), self.text("high")),
            "is" => self.text("word").to_owned(),
            _ => format!("{}: differs", self.text("word")),
        }
    }
}

/// A value as a table shows it.
fn words(value: &Value) -> String {
    match value {
        Value::String(text) => text.clone(),
        Value::Number(number) => number.as_f64().map_or_else(|| number.to_string(), |n| format!("{n:.3}")),
        other => other.to_string(),
    }
}

fn reports() -> Vec<(String, Document)> {
    let folder = std::fs::read_dir(root().join("checks/coupons")).unwrap();
    let mut names: Vec<String> =
        folder.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    let read_one = |name: String| {
        let (report, findings) = Document::from_toml(&REPORT, &read(&format!("checks/coupons/{name}")));
        assert_eq!(findings, [], "{name}");
        (name, report)
    };
    names.into_iter().map(read_one).collect()
}

#[test]
fn forecasts_stand_next_to_their_reports() {
    let reports = reports();
    assert!(reports.len() >= REPORTS_MIN);
    let mut wrong = Vec::new();
    for (name, report) in &reports {
        println!("\n{} (checks/coupons/{name})", report.get("title").unwrap());
        println!("  {:<48}{:<28}{:<24}forecast", "quantity", "reported", "supports");
        for row in report.rows("case") {
            let case = Case { report, row };
            let answer = case.answer();
            let holds = case.holds(&answer);
            println!(
                "  {:<48}{:<28}{:<24}{}{}",
                case.text("name"),
                case.text("reported"),
                case.claim(),
                words(&answer),
                if holds { "" } else { "  <- not borne out" }
            );
            println!("      {} ({})", case.text("source"), case.text("basis"));
            if let Some(note) = case.get("note") {
                println!("      {note}");
            }
            if !holds {
                wrong.push(format!("{name}: {}: {}", case.text("name"), words(&answer)));
            }
        }
    }
    assert_eq!(wrong, [""; 0], "move the row of the data to what is now so, and say why");
}

/// A forecast that never contradicts would not have been compared.
#[test]
fn reports_hold_agreement_and_difference() {
    let mut claims: Vec<String> = Vec::new();
    for (_, report) in &reports() {
        claims
            .extend(report.rows("case").into_iter().map(|row| Case { report, row }.text("claim").to_owned()));
    }
    for claim in ["within", "is", "differs"] {
        assert!(claims.iter().any(|c| c == claim), "{claim}");
    }
}
