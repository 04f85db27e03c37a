//! One edition of one code, with its rules.

use serde::Deserialize;

use super::error::LoadError;
use super::names::Names;
use crate::rule::{Rule, nearest};
use crate::words::RuleKind;

/// The codes a file may build on.
pub(crate) trait Earlier<'a> {
    /// The code with this id, if it stands before.
    fn named(&self, id: &str) -> Result<Option<&'a Code>, LoadError>;

    /// The id of theirs most like this one.
    fn nearest(&self, id: &str) -> Option<String>;
}

impl<'a> Earlier<'a> for [&'a Code] {
    fn named(&self, id: &str) -> Result<Option<&'a Code>, LoadError> {
        Ok(self.iter().copied().find(|known| known.id == id))
    }

    fn nearest(&self, id: &str) -> Option<String> {
        nearest(id, self.iter().map(|known| known.id.as_str()))
    }
}

/// One edition of one code.
#[derive(Debug, Clone, PartialEq)]
pub struct Code {
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
    /// What of it was seen and what was not.
    pub note: String,
    /// Said of an edition whose text nobody here has seen; every clause of it
    /// carries the same words.
    pub unverified: Option<String>,
    /// The edition this one is written as the differences from.
    pub based_on: Option<String>,
    /// Rules of that edition which this one does not have.
    pub without: Vec<LeftOut>,
    /// What it calls positions, processes and weld details.
    pub names: &'static Names,
    /// How it writes a passed test in one line, with its parts in braces;
    /// absent where it has no such line.
    pub designation: Option<String>,
    /// The shop whose stricter limits and own rules stand in it.
    pub shop: Option<String>,
    /// Rules it takes from another code, with what it fixes of their conditions
    /// left out; they keep that code's ids.
    pub borrowed: Vec<Rule>,
    /// Its rules, in the order of the file.
    pub rules: Vec<Rule>,
}

impl Code {
    /// Title and edition, and whose stricter limits stand in it.
    pub fn full_title(&self) -> String {
        let ours = self.shop.as_ref().map(|shop| format!(", with the stricter limits of {shop}"));
        format!("{}, {}{}", self.title, self.edition, ours.unwrap_or_default())
    }

    /// Whether it says what a passed welder's test covers; others judge welds
    /// only.
    pub fn qualifies_welders(&self) -> bool {
        self.of_kind(RuleKind::Standing).next().is_some()
    }

    /// The rule of this id, spelled exactly.
    pub fn rule(&self, id: &str) -> Option<&Rule> {
        self.rules.iter().chain(&self.borrowed).find(|rule| rule.id == id)
    }

    /// Whether it has tests of its own. A code without them judges welds that
    /// another code asks for, and no coupon is welded to it.
    pub fn has_tests(&self) -> bool {
        self.rules.iter().any(|rule| matches!(rule.kind, RuleKind::Specimens | RuleKind::Standing))
    }

    /// Whether any rule here, its own or borrowed, is of this kind.
    pub fn judges(&self, kind: RuleKind) -> bool {
        self.of_kind(kind).next().is_some()
    }

    /// The edition that stands whole: itself, or what it is based on.
    pub(super) fn root(&self) -> &str {
        self.based_on.as_deref().unwrap_or(&self.id)
    }

    pub(crate) fn of_kind(&self, kind: RuleKind) -> impl Iterator<Item = &Rule> {
        self.rules.iter().chain(&self.borrowed).filter(move |r| r.kind == kind)
    }
}

/// Rules of another edition that this one does not have, and why.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LeftOut {
    /// Rule ids.
    pub rules: Vec<String>,
    /// The reason.
    pub why: String,
}
