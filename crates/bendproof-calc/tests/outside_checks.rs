//! Every formula against values that others published or computed: reads
//! `checks/physics/*.toml`, evaluates each case as a person would write it and
//! reports all failures by name.

#![allow(clippy::unwrap_used, reason = "a check that cannot be read must fail loudly")]

use bendproof_calc::evaluate;
use bendproof_weld::arc;
use std::path::PathBuf;
use toml::{Table, Value};

/// Fewest cases that may be there; a lost file must not pass for a green run.
const CASES_MIN: usize = 120;

fn text<'a>(case: &'a Table, key: &str) -> &'a str {
    case.get(key).and_then(Value::as_str).unwrap_or_else(|| panic!("`{key}` is missing in {case}"))
}

fn number(table: &Table, key: &str) -> Option<f64> {
    table.get(key).and_then(Value::as_float)
}

/// `None` when the case holds, else what is wrong with it.
fn failure(case: &Table) -> Option<String> {
    let inputs = case["inputs"].as_table().unwrap();
    let inputs: Vec<(&str, &str)> = inputs.iter().map(|(k, v)| (k.as_str(), v.as_str().unwrap())).collect();
    let answer = match evaluate(text(case, "formula"), &inputs) {
        Ok(answer) => answer,
        Err(error) => return Some(error.to_string()),
    };
    let (value, unit) = match case.get("result").and_then(Value::as_str) {
        None => (answer.value, answer.unit),
        Some(wanted) => match answer.also.iter().find(|a| a.name == wanted) {
            Some(also) => (also.value, also.unit),
            None => return Some(format!("there is no result `{wanted}`")),
        },
    };
    if unit != text(case, "unit") {
        return Some(format!("unit is {unit}"));
    }
    let expected = number(case, "expected").unwrap();
    let tolerance = case["tolerance"].as_table().unwrap();
    let allowed = match (number(tolerance, "relative"), number(tolerance, "absolute")) {
        (Some(share), None) => share * expected.abs(),
        (None, Some(absolute)) => absolute,
        _ => return Some("needs one tolerance, relative or absolute".to_owned()),
    };
    // What a row says this program answers otherwise, and why in its note.
    let deviation = number(case, "deviation").unwrap_or(0.0);
    let inside = (value - deviation - expected).abs() <= allowed;
    let outlier = case.get("outlier").and_then(Value::as_bool).unwrap_or(false);
    (inside == outlier)
        .then(|| format!("got {value}, expected {expected} within {allowed}, outlier {outlier}"))
}

/// Every case of every file, with the file's name.
fn cases() -> Vec<(String, Table)> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../checks/physics");
    let mut files: Vec<PathBuf> = std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
    files.sort();
    let mut cases = Vec::new();
    for file in files.iter().filter(|f| f.extension().is_some_and(|e| e == "toml")) {
        let table: Table = std::fs::read_to_string(file).unwrap().parse().unwrap();
        let name = file.file_name().unwrap().to_string_lossy().into_owned();
        for case in table["case"].as_array().unwrap() {
            cases.push((name.clone(), case.as_table().unwrap().clone()));
        }
    }
    cases
}

#[test]
fn published_values_are_met() {
    let cases = cases();
    let mut failures = Vec::new();
    for (file, case) in &cases {
        let basis = text(case, "basis");
        assert!(bendproof_weld::Basis::from_word(basis).is_some(), "{basis}");
        assert!(!text(case, "source").is_empty());
        if let Some(what) = failure(case) {
            failures.push(format!("{file}: {}: {what}", text(case, "name")));
        }
    }
    assert!(failures.is_empty(), "{} of {} fail:\n{}", failures.len(), cases.len(), failures.join("\n"));
    assert!(cases.len() >= CASES_MIN, "only {} cases were found", cases.len());
}

/// How far the law's current lies from that of each published setting, as a
/// share of it: the rows H and M of `arc.toml`, the outlier among them.
fn melting_law_errors() -> Vec<(String, f64)> {
    let of_setting = |case: &Table| {
        let inputs = case["inputs"].as_table().unwrap();
        let written: Vec<(&str, &str)> =
            inputs.iter().map(|(key, value)| (key.as_str(), value.as_str().unwrap())).collect();
        let amps = evaluate("current_from_wire_feed", &written).unwrap().value;
        (text(case, "name").to_owned(), amps / number(case, "expected").unwrap() - 1.0)
    };
    let is_setting = |case: &Table| ["H ", "M "].iter().any(|key| text(case, "name").starts_with(key));
    cases().iter().filter(|(_, case)| is_setting(case)).map(|(_, case)| of_setting(case)).collect()
}

#[test]
fn the_melting_law_is_as_far_off_its_eighteen_settings_as_it_says() {
    const STATED: f64 = arc::CURRENT_UNCERTAINTY_SHARE;
    let errors = melting_law_errors();
    for (name, error) in &errors {
        println!("{name}: {:+.1} %", error * 100.0);
    }
    let mean = |value: fn(f64) -> f64| {
        errors.iter().map(|(_, error)| value(*error)).sum::<f64>() / errors.len() as f64
    };
    let (bias, rms) = (mean(|e| e), mean(|e| e * e).sqrt());
    println!("bias {:+.1} %, root mean square {:.1} %", bias * 100.0, rms * 100.0);
    let mut beyond: Vec<f64> = errors.iter().map(|(_, error)| *error).filter(|e| e.abs() > STATED).collect();
    beyond.sort_by(|a, b| b.total_cmp(a));
    let low: Vec<String> = beyond.iter().map(|error| format!("{:.1}", -error * 100.0)).collect();
    let shown = format!(
        "against {} published settings {:.1} % root mean square, {} within {:.0} %, the other two {} % low",
        errors.len(),
        rms * 100.0,
        errors.len() - beyond.len(),
        STATED * 100.0,
        low.join(" and ")
    );
    assert_eq!(shown, arc::MELTING_LAW_SHOWN);
    assert_eq!(beyond.len(), 2);
    let formula = bendproof_calc::find("current_from_wire_feed").unwrap();
    assert!(formula.validity.contains(&shown), "{}", formula.validity);
    assert!((bias + 0.016).abs() < 5e-4, "{bias}");
    assert!(rms < STATED, "one standard deviation is at least what the settings show");
}
