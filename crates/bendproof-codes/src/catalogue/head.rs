//! The head of a code file: what it says of itself before its first table.

use serde::Deserialize;

use super::error::LoadError;

/// What a code file says of itself, before its first table; known without
/// loading the code.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Head {
    /// Name in files, as `aws-d1.1-2020`.
    pub id: String,
    /// As the trade says it, as `AWS D1.1:2020`.
    pub short: String,
    /// Full title.
    pub title: String,
    /// Edition.
    pub edition: String,
    /// Other names it answers to.
    pub aliases: Vec<String>,
    pub(super) note: String,
    pub(super) unverified: Option<String>,
    /// The edition it is written as the differences from.
    pub based_on: Option<String>,
    /// Basis of rules carried over unread; used with `based_on` only.
    #[serde(default)]
    pub(super) carried_basis: String,
    /// No coupon is welded to it; see [`Code::has_tests`](super::Code::has_tests).
    #[serde(default)]
    pub only_judges: bool,
    /// Absent: those of the edition it is based on, else the trade's.
    pub(super) names: Option<String>,
    pub(super) designation: Option<String>,
}

impl Head {
    pub(crate) fn read(text: &str) -> Result<Head, LoadError> {
        toml::from_str(text).map_err(|e| LoadError::Text(e.to_string()))
    }

    /// The edition that stands whole: itself, or what it is based on.
    pub(crate) fn root(&self) -> &str {
        self.based_on.as_deref().unwrap_or(&self.id)
    }
}

/// A code file in two: its head, and its tables from the first on.
pub(crate) fn split(text: &str) -> (&str, &str) {
    let head = text.split_inclusive('\n').take_while(|line| !line.starts_with('['));
    text.split_at(head.map(str::len).sum())
}
