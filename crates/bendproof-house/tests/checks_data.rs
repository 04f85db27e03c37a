//! The outside checks as a body of data: how many there are, and that each says
//! where it comes from. The crates they concern run them.
#![allow(clippy::unwrap_used)]

mod support;

use std::collections::BTreeSet;

use bendproof_weld::Basis;

/// Fewest cases that must stand in `checks/`; a lost file must not pass for a green run (choice).
const CASES_MIN: usize = 120;

/// File, case and its name.
fn cases() -> Vec<(String, String, toml::Table)> {
    let mut all = Vec::new();
    for path in support::files("checks", ".toml") {
        let table: toml::Table = support::read(&path).parse().unwrap_or_else(|e| panic!("{path}: {e}"));
        let list = table.get("case").and_then(toml::Value::as_array);
        for case in list.unwrap_or_else(|| panic!("{path} holds no case")) {
            let case = case.as_table().unwrap().clone();
            let name = case.get("id").or(case.get("name")).and_then(toml::Value::as_str);
            let name = name.unwrap_or_else(|| panic!("{path}: a case has no name")).to_owned();
            all.push((path.clone(), name, case));
        }
    }
    all
}

#[test]
fn there_are_enough_cases_and_no_two_of_one_name() {
    let cases = cases();
    assert!(cases.len() >= CASES_MIN, "{} cases", cases.len());
    let names: BTreeSet<(&str, &str)> = cases.iter().map(|(p, n, _)| (p.as_str(), n.as_str())).collect();
    assert_eq!(names.len(), cases.len(), "a name is used twice in one file");
}

#[test]
fn every_case_names_its_source_and_basis() {
    for (path, name, case) in cases() {
        let text = |key: &str| case.get(key).and_then(toml::Value::as_str).unwrap_or("");
        assert!(text("source").len() > 3, "{path}: {name} has no source");
        assert!(Basis::from_word(text("basis")).is_some(), "{path}: {name}: basis `{}`", text("basis"));
    }
}

/// Words by which a source names a standard, a paper, a manual or a page.
const DOCUMENTS: &[&str] = &[
    "AWS",
    "D1.1",
    "ASME",
    "IX",
    "QW-",
    "API 1104",
    "CFR",
    "ISO",
    "EN ",
    "IEC",
    "B31",
    "J.",
    "manuals OM-",
    "manual YD-",
    "handbook page",
    "Filler Metal Technology, lesson",
    "Cigweld deposition data",
    "Ito",
    "Yurioka",
];

/// A publication's year, 1900 to 2099.
fn has_year(source: &str) -> bool {
    let is_year = |word: &str| word.len() == 4 && (word.starts_with("19") || word.starts_with("20"));
    source.split(|c: char| !c.is_ascii_digit()).any(is_year)
}

/// A reading that nobody can turn to is no reading: it says "no source".
#[test]
fn a_case_that_claims_a_reading_names_its_document() {
    let mut unnamed = Vec::new();
    for (path, name, case) in cases() {
        let text = |key: &str| case.get(key).and_then(toml::Value::as_str).unwrap_or("");
        let (source, basis) = (text("source"), text("basis"));
        let is_named = has_year(source) || DOCUMENTS.iter().any(|word| source.contains(word));
        if ["seen", "secondary"].contains(&basis) && !is_named {
            unnamed.push(format!("{path}: {name}: {source}"));
        }
        let is_open = source.ends_with("; no source") && ["seen", "secondary"].contains(&basis);
        assert!(!is_open, "{path}: {name} has no source and is {basis}");
    }
    assert!(unnamed.is_empty(), "{unnamed:#?}");
}

/// A clause read in one edition is seen there; taken over to the next it is not.
#[test]
fn one_reading_of_a_clause_has_one_mark() {
    for (path, name, case) in cases() {
        let text = |key: &str| case.get(key).and_then(toml::Value::as_str).unwrap_or("");
        let (code, source, basis) = (text("code"), text("source"), text("basis"));
        if !source.contains("D1.1:2015 4.9.3.3") {
            continue;
        }
        if code == "aws-d1.1-2015" {
            assert_eq!(basis, "seen", "{path}: {name}");
        } else {
            assert!(
                basis != "seen" && source.contains("taken to stand"),
                "{path}: {name}: {basis}, {source}"
            );
        }
    }
}

/// A reader finds no list that only its writer has.
#[test]
fn no_source_names_what_only_its_writer_has() {
    let words: Vec<String> = [["collected", " facts"], ["the work", " order"], ["the notes", " are"]]
        .map(|halves| halves.concat())
        .into();
    let folders =
        [("checks", ".toml"), ("checks", ".csv"), ("crates", ".rs"), ("docs", ".md"), ("codes", ".toml")];
    let paths = folders.iter().flat_map(|(folder, ending)| support::files(folder, ending));
    let mut found = Vec::new();
    for path in paths {
        for (number, line) in support::read(&path).lines().enumerate() {
            if words.iter().any(|word| line.contains(word.as_str())) {
                found.push(format!("{path}:{}: {line}", number + 1));
            }
        }
    }
    assert!(found.is_empty(), "{found:#?}");
}

/// Values worked out from a formula are derived, whatever the formula is worth;
/// values on coefficients from memory are memory.
#[test]
fn computed_rows_do_not_borrow_the_rank_of_a_standard() {
    for (path, name, case) in cases() {
        let text = |key: &str| case.get(key).and_then(toml::Value::as_str).unwrap_or("");
        let (source, basis) = (text("source"), text("basis"));
        if source.contains("computed with other code") {
            assert_eq!(basis, "derived", "{path}: {name}");
        }
        if source.contains("from memory") && path.starts_with("checks/physics") {
            assert_eq!(basis, "memory", "{path}: {name}");
        }
        assert!(!source.contains("worked table"), "{path}: {name}: {source}");
        if source.contains("found by trying") {
            assert_eq!(basis, "choice", "{path}: {name}");
        }
    }
}
