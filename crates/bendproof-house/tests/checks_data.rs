//! The outside checks as a body of data: how many there are, and that each says
//! where it comes from. The crates they concern run them.
#![allow(clippy::unwrap_used)]

mod support;

use std::collections::BTreeSet;

use bendproof_weld::Basis;

/// Fewest cases that must stand in `checks/`; the work order of the first release.
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
