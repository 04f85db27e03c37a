//! Reads the parts of a rule from TOML: words, facts, sizes and pairs.

use bendproof_measure::{Kind, Quantity, parse_number};
use toml::{Table, Value};

use super::extent::{Extent, Pair};
use super::fact::{Sort, VOCABULARY, number, vocabulary};
use super::nearest::nearest;

/// Reads a word of a closed list.
pub(crate) fn word<T>(text: &str, read: fn(&str) -> Option<T>, known: &[&str]) -> Result<T, String> {
    read(text).ok_or_else(|| format!("`{text}` is not one of {}", known.join(", ")))
}

pub(crate) fn fact_named(name: &str) -> Result<(&'static str, Sort), String> {
    vocabulary(name).ok_or_else(|| {
        let near = nearest(name, VOCABULARY.iter().map(|(known, ..)| *known)).unwrap_or_default();
        format!("`{name}` is not a fact rules know; the nearest is `{near}`")
    })
}

/// Reads a size: a pair, a multiple, the smaller or larger of several, or
/// `"unlimited"`.
pub(crate) fn extent(value: &Value) -> Result<Extent, String> {
    if value.as_str() == Some("unlimited") {
        return Ok(Extent::Unlimited);
    }
    let table = value.as_table().ok_or("a size is a table or \"unlimited\"")?;
    let parts = |value: &Value| -> Result<Vec<Extent>, String> {
        value.as_array().ok_or("a list of sizes is wanted")?.iter().map(extent).collect()
    };
    if let Some(list) = table.get("smaller") {
        return parts(list).map(Extent::Smaller);
    }
    if let Some(list) = table.get("larger") {
        return parts(list).map(Extent::Larger);
    }
    if let Some(of) = table.get("of") {
        allow_keys(table, &["of", "times", "plus"])?;
        let (of, _) = fact_named(of.as_str().ok_or("`of` names a fact")?)?;
        let times = match table.get("times") {
            Some(times) => number(times).ok_or("`times` is a number")?,
            None => 1.0,
        };
        let plus = table.get("plus").map(pair).transpose()?;
        return Ok(Extent::Times { of, times, plus });
    }
    pair(value).map(Extent::Pair)
}

/// The keys a pair may have, with the unit of each and what they measure.
type PairKeys = ([(&'static str, &'static str); 2], Kind);

const PAIRS: [PairKeys; 4] = [
    ([("inch", "in"), ("mm", "mm")], Kind::Length),
    ([("ksi", "ksi"), ("mpa", "MPa")], Kind::Pressure),
    ([("f", "F"), ("c", "C")], Kind::Temperature),
    ([("f_step", "F"), ("c_step", "C")], Kind::TemperatureStep),
];

/// Keys of a value that a code prints once, whatever the reading is made in.
const SINGLES: [(&str, &str, Kind); 5] = [
    ("mm_only", "mm", Kind::Length),
    ("c_step_only", "C", Kind::TemperatureStep),
    ("deg", "deg", Kind::Angle),
    ("percent", "%", Kind::Share),
    ("hv", "", Kind::Number),
];

/// Reads `{ inch = "1/8", mm = 3 }`, `{ ksi = 50, mpa = 345 }`, `{ f = 50, c = 10 }`,
/// or a single value as `{ mm_only = 3 }` and `{ deg = 5 }`.
pub(crate) fn pair(value: &Value) -> Result<Pair, String> {
    let table = value.as_table().ok_or("a pair is a table")?;
    if let Some((key, unit, kind)) = SINGLES.iter().find(|(key, ..)| table.contains_key(*key)) {
        allow_keys(table, &[key])?;
        let text = table.get(*key).and_then(number).ok_or_else(|| format!("`{key}` is not a number"))?;
        let si = Quantity::parse(*kind, &format!("{text} {unit}")).map_err(|e| e.to_string())?.si;
        return Ok(Pair { inch_si: si, metric_si: si, kind: *kind });
    }
    let is_meant = |keys: &&PairKeys| keys.0.iter().any(|(key, _)| table.contains_key(*key));
    let (names, kind) = *PAIRS.iter().find(is_meant).unwrap_or(&PAIRS[0]);
    allow_keys(table, &[names[0].0, names[1].0])?;
    let read = |(key, unit): (&str, &str)| -> Result<f64, String> {
        let value = table.get(key).ok_or_else(|| format!("`{key}` is missing; a pair has both systems"))?;
        let number = match value {
            Value::String(text) => parse_number(text).map_err(|e| e.to_string())?,
            other => number(other).ok_or_else(|| format!("`{key}` is not a number"))?,
        };
        // Through its text, so that degrees become a temperature or a step as meant.
        Quantity::parse(kind, &format!("{number} {unit}")).map(|q| q.si).map_err(|e| e.to_string())
    };
    Ok(Pair { inch_si: read(names[0])?, metric_si: read(names[1])?, kind })
}

pub(crate) fn strings(value: &Value) -> Result<Vec<String>, String> {
    let list = value.as_array().ok_or("a list of words is wanted")?;
    list.iter().map(|v| v.as_str().map(str::to_owned).ok_or_else(|| "a word is wanted".to_owned())).collect()
}

pub(crate) fn allow_keys(table: &Table, known: &[&str]) -> Result<(), String> {
    match table.keys().find(|k| !known.contains(&k.as_str())) {
        Some(key) => Err(format!("`{key}` is not one of {}", known.join(", "))),
        None => Ok(()),
    }
}
