//! Reads the committed data tables. Nothing outside this crate sees TOML.

use crate::basis::Basis;
use bendproof_measure::{Kind, Quantity};
use toml::Table;

/// A committed table that does not read as it should.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{entry}: {what}")]
pub struct DataError {
    /// The entry at fault.
    pub entry: String,
    /// What is wrong with it.
    pub what: String,
}

impl DataError {
    pub(crate) fn new(entry: &str, what: impl Into<String>) -> Self {
        Self { entry: entry.to_owned(), what: what.into() }
    }
}

/// A value with its source and what that is worth.
#[derive(Debug, Clone, PartialEq)]
pub struct Sourced<T> {
    /// The value.
    pub value: T,
    /// Where it comes from.
    pub source: String,
    /// What the source is worth.
    pub basis: Basis,
}

/// The entries of `[[list]]` in a data text.
pub(crate) fn entries(text: &str, list: &str) -> Result<Vec<Table>, DataError> {
    let table: Table = text.parse().map_err(|e: toml::de::Error| DataError::new(list, e.message()))?;
    tables(&table, list)
}

/// The tables under a key of one entry.
pub(crate) fn tables(entry: &Table, key: &str) -> Result<Vec<Table>, DataError> {
    let list = entry.get(key).and_then(toml::Value::as_array);
    let list = list.ok_or_else(|| DataError::new(key, "is not a list of tables"))?;
    list.iter()
        .map(|v| v.as_table().cloned().ok_or_else(|| DataError::new(key, "holds something else than tables")))
        .collect()
}

/// A whole number under a key.
pub(crate) fn whole(entry: &Table, key: &str) -> Result<u32, DataError> {
    let number = entry.get(key).and_then(toml::Value::as_integer);
    number.and_then(|n| n.try_into().ok()).ok_or_else(|| DataError::new(key, "is not a whole number"))
}

/// A text under a key.
pub(crate) fn text<'a>(entry: &'a Table, key: &str) -> Result<&'a str, DataError> {
    entry.get(key).and_then(toml::Value::as_str).ok_or_else(|| DataError::new(key, "is not a text"))
}

/// A list of texts under a key; empty when the key is absent.
pub(crate) fn texts(entry: &Table, key: &str) -> Result<Vec<String>, DataError> {
    let Some(value) = entry.get(key) else { return Ok(Vec::new()) };
    let list = value.as_array().ok_or_else(|| DataError::new(key, "is not a list"))?;
    list.iter()
        .map(|v| {
            v.as_str()
                .map(str::to_owned)
                .ok_or_else(|| DataError::new(key, "holds something else than texts"))
        })
        .collect()
}

/// A plain number under a key.
pub(crate) fn number(entry: &Table, key: &str) -> Result<f64, DataError> {
    entry
        .get(key)
        .and_then(toml::Value::as_float)
        .ok_or_else(|| DataError::new(key, "is not a number with a point"))
}

/// A plain number under a key that may be absent.
pub(crate) fn number_if_any(entry: &Table, key: &str) -> Result<Option<f64>, DataError> {
    entry.contains_key(key).then(|| number(entry, key)).transpose()
}

/// A quantity in SI under a key, written with its unit.
pub(crate) fn quantity_si(entry: &Table, key: &str, kind: Kind) -> Result<f64, DataError> {
    read_si(text(entry, key)?, key, kind)
}

/// A written quantity in SI.
pub(crate) fn read_si(written: &str, key: &str, kind: Kind) -> Result<f64, DataError> {
    Quantity::parse(kind, written).map(|q| q.si).map_err(|e| DataError::new(key, e.to_string()))
}

/// Source and basis of an entry around a value already read.
pub(crate) fn sourced<T>(entry: &Table, value: T) -> Result<Sourced<T>, DataError> {
    let word = text(entry, "basis")?;
    let basis =
        Basis::from_word(word).ok_or_else(|| DataError::new("basis", format!("`{word}` is no basis")))?;
    Ok(Sourced { value, source: text(entry, "source")?.to_owned(), basis })
}
