//! The JSON contract that outside scripts rely on, as tests ask it: which fields
//! must be there and what each holds. More fields are always allowed.

use serde_json::Value;

/// What the contract says a field holds.
#[derive(Clone, Copy)]
pub enum Holds {
    Number,
    NumberOrNull,
    Whole,
    Text,
    TextOrNull,
    Object,
    List,
    Texts,
    Range,
}

/// Holds `value` to the fields of the contract; more fields are allowed.
pub fn has(value: &Value, fields: &[(&str, Holds)]) {
    for (name, holds) in fields {
        let field = value.get(name).unwrap_or_else(|| panic!("no `{name}` in {value}"));
        let fits = match holds {
            Holds::Number => field.is_number(),
            Holds::NumberOrNull => field.is_number() || field.is_null(),
            Holds::Whole => field.is_u64(),
            Holds::Text => field.as_str().is_some_and(|t| !t.is_empty()),
            Holds::TextOrNull => field.is_string() || field.is_null(),
            Holds::Object => field.is_object(),
            Holds::List => field.is_array(),
            Holds::Texts => field.as_array().is_some_and(|l| l.iter().all(Value::is_string)),
            Holds::Range => field.is_null() || field.is_object(),
        };
        assert!(fits, "`{name}` is {field}");
    }
}

/// Holds that a value is one of some words.
pub fn is_one_of(value: &Value, words: &[&str]) {
    assert!(value.as_str().is_some_and(|w| words.contains(&w)), "{value} is none of {words:?}");
}

/// A list inside a value.
pub fn list<'a>(value: &'a Value, name: &str) -> &'a [Value] {
    value[name].as_array().unwrap_or_else(|| panic!("`{name}` is no list in {value}"))
}

/// Fields of a finding in a file.
pub const FINDING_FIELDS: &[(&str, Holds)] = &[
    ("severity", Holds::Text),
    ("path", Holds::TextOrNull),
    ("line", Holds::NumberOrNull),
    ("message", Holds::Text),
];

/// Holds one answer of a forecast to the contract.
pub fn is_item(item: &Value) {
    use Holds::*;
    has(
        item,
        &[
            ("verdict", Text),
            ("margin", NumberOrNull),
            ("driver", Text),
            ("uncertainty", NumberOrNull),
            ("source", Text),
        ],
    );
    is_one_of(&item["verdict"], &["holds", "marginal", "fails", "not_known"]);
    assert!(
        item["verdict"] == "not_known" || item["margin"].is_number(),
        "a verdict without its margin: {item}"
    );
}

/// Holds a bend report to the contract.
pub fn is_report(report: &Value) {
    use Holds::*;
    const VERDICTS: &[&str] = &["accept", "reject", "void", "not_covered"];
    has(report, &[("code", Text), ("verdict", Text), ("straps", List)]);
    is_one_of(&report["verdict"], VERDICTS);
    for strap in list(report, "straps") {
        has(strap, &[("id", Text), ("verdict", Text), ("findings", List)]);
        is_one_of(&strap["verdict"], VERDICTS);
        for finding in list(strap, "findings") {
            has(
                finding,
                &[
                    ("rule", Text),
                    ("clause", Text),
                    ("measured", TextOrNull),
                    ("limit", TextOrNull),
                    ("verdict", Text),
                    ("basis", Text),
                ],
            );
            is_one_of(&finding["verdict"], VERDICTS);
        }
    }
}
