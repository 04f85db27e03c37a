//! What a shop rule file may hold, said in our own words before it is read: the
//! reader's library would speak of its types.

use toml::{Table, Value};

use super::shop::ShopRuleError;
use crate::rule::nearest;

/// A key, what it holds, and whether a value is of that form.
type Key = (&'static str, &'static str, fn(&Value) -> bool);

const TEXT: fn(&Value) -> bool = Value::is_str;
const PAIR: &str = "a limit in both systems, like { inch = \"3/64\", mm = 1 }";

const FILE: &[Key] = &[
    ("shop", "the shop's name, like \"Harbor test bay\"", TEXT),
    ("codes", "a list of codes, like [\"aws-d1.1-2020\"]", texts),
    ("tighten", "entries, each under [[tighten]]", tables),
    ("rule", "rules of the shop's own, each under [[rule]]", tables),
];
const ENTRY: &[Key] = &[
    ("rule", "the id of a rule, like \"d11-bend-single-opening\"", TEXT),
    ("reason", "why, in words", TEXT),
    ("decided_by", "who decided it and when, in words", TEXT),
    ("at_most", PAIR, Value::is_table),
    ("at_least", PAIR, Value::is_table),
    ("months", "a whole number of months, like 5", Value::is_integer),
];
/// Keys without which the file, or an entry, says nothing.
const FILE_NEEDS: &[&str] = &["shop"];
const ENTRY_NEEDS: &[&str] = &["rule", "reason", "decided_by"];

fn texts(value: &Value) -> bool {
    value.as_array().is_some_and(|list| list.iter().all(Value::is_str))
}

fn tables(value: &Value) -> bool {
    value.as_array().is_some_and(|list| list.iter().all(Value::is_table))
}

/// Holds the file's keys and the form of their values.
pub(crate) fn check(file: &Table) -> Result<(), ShopRuleError> {
    keys(file, "the file", FILE, FILE_NEEDS)?;
    let entries = file.get("tighten").and_then(Value::as_array);
    for (index, entry) in entries.into_iter().flatten().enumerate() {
        if let Some(entry) = entry.as_table() {
            keys(entry, &format!("[[tighten]] number {}", index + 1), ENTRY, ENTRY_NEEDS)?;
        }
    }
    Ok(())
}

fn keys(table: &Table, place: &str, known: &[Key], needed: &[&str]) -> Result<(), ShopRuleError> {
    let wrong = |said: String| ShopRuleError::Shape { place: place.to_owned(), said };
    for (name, value) in table {
        let Some((_, wanted, is_so)) = known.iter().find(|(key, ..)| key == name) else {
            let like = nearest(name, known.iter().map(|(key, ..)| *key)).unwrap_or_default();
            return Err(wrong(format!("`{name}` is not one of its keys; did you mean `{like}`?")));
        };
        if !is_so(value) {
            return Err(wrong(format!("`{name}` is {value}; write {wanted}")));
        }
    }
    let missing = needed.iter().find(|name| !table.contains_key(**name));
    match missing.and_then(|name| known.iter().find(|(key, ..)| key == name)) {
        Some((name, wanted, _)) => Err(wrong(format!("`{name}` is missing; write {wanted}"))),
        None => Ok(()),
    }
}
