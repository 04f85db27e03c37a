//! An edition written as its differences from another that stands whole:
//! clauses that moved, rules replaced, added or left out, and which rules were
//! read in this very edition.
//!
//! A rule that was only carried over is never called better known than the file
//! allows, and its source says that this edition's text was not seen.

use std::collections::BTreeMap;

use serde::Deserialize;

use super::code::{Code, LeftOut};
use super::error::LoadError;
use crate::rule::{Rule, nearest, word};
use crate::words::Basis;

/// Rules that were read, or read about, in this edition.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Read {
    rules: Vec<String>,
    source: String,
    basis: String,
}

/// What an edition says of itself besides its own rules.
pub(crate) struct Differences<'a> {
    pub(crate) base: &'a Code,
    pub(crate) edition: &'a str,
    pub(crate) carried_basis: &'a str,
    pub(crate) clauses: &'a BTreeMap<String, String>,
    pub(crate) read: &'a [Read],
    pub(crate) without: &'a [LeftOut],
}

impl Differences<'_> {
    /// The base's rules as this edition has them, with `own` rules in the place
    /// of those whose id they bear and the rest of them at the end.
    pub(crate) fn carry(&self, mut own: Vec<Rule>) -> Result<Vec<Rule>, LoadError> {
        let carried = word(self.carried_basis, carried_basis, CARRIED)
            .map_err(|why| self.wrong(&self.base.id, "carried_basis", why))?;
        let named = self.read.iter().flat_map(|r| &r.rules).chain(self.without.iter().flat_map(|l| &l.rules));
        for id in named {
            self.is_in_base(id)?;
        }
        let mut rules = Vec::new();
        for rule in &self.base.rules {
            if self.without.iter().any(|left| left.rules.contains(&rule.id)) {
                continue;
            }
            match own.iter().position(|mine| mine.id == rule.id) {
                Some(at) => rules.push(own.remove(at)),
                None => rules.push(self.carried(rule, carried)?),
            }
        }
        rules.extend(own);
        Ok(rules)
    }

    fn carried(&self, rule: &Rule, carried: Basis) -> Result<Rule, LoadError> {
        let clause = moved(&rule.clause, self.clauses).map_err(|why| self.wrong(&rule.id, "clauses", why))?;
        let (source, basis) = match self.read.iter().find(|read| read.rules.contains(&rule.id)) {
            Some(read) => {
                let basis = word(&read.basis, Basis::from_word, Basis::WORDS);
                (read.source.clone(), basis.map_err(|why| self.wrong(&rule.id, "read", why))?)
            }
            None => (
                format!(
                    "{}; taken over from {}, the {} text not seen",
                    rule.source, self.base.edition, self.edition
                ),
                no_better(rule.basis, carried),
            ),
        };
        Ok(Rule { clause, source, basis, edition: self.edition.to_owned(), ..rule.clone() })
    }

    fn is_in_base(&self, id: &str) -> Result<(), LoadError> {
        let mut ids = self.base.rules.iter().map(|r| r.id.as_str());
        if ids.any(|known| known == id) {
            return Ok(());
        }
        let near = nearest(id, self.base.rules.iter().map(|r| r.id.as_str())).unwrap_or_default();
        let why = format!("{} has no such rule; the nearest is `{near}`", self.base.id);
        Err(self.wrong(id, "edition", why))
    }

    fn wrong(&self, rule: &str, part: &'static str, why: String) -> LoadError {
        LoadError::Part { rule: rule.to_owned(), part, why }
    }
}

/// What a rule may be called that nobody read in this edition.
const CARRIED: &[&str] = &["secondary", "memory"];

fn carried_basis(word: &str) -> Option<Basis> {
    Basis::from_word(word).filter(|b| matches!(b, Basis::Secondary | Basis::Memory))
}

/// Practice and choices of our own claim nothing of the code's text and stay.
pub(crate) fn no_better(basis: Basis, carried: Basis) -> Basis {
    match (basis, carried) {
        (Basis::Seen, carried) => carried,
        (Basis::Secondary | Basis::Derived | Basis::Measured, Basis::Memory) => Basis::Memory,
        (basis, _) => basis,
    }
}

/// A clause as another edition numbers it. Each part of `6.10.3.3 (2), (3)` or
/// `Table 6.12 (6); Table 10.12 notes` is led by the longest prefix of the map;
/// an empty map means that nothing moved.
fn moved(clause: &str, map: &BTreeMap<String, String>) -> Result<String, String> {
    if map.is_empty() {
        return Ok(clause.to_owned());
    }
    let parts: Result<Vec<String>, String> = clause
        .split("; ")
        .map(|part| {
            let items: Result<Vec<String>, String> =
                part.split(", ").map(|item| moved_item(item, map)).collect();
            items.map(|items| items.join(", "))
        })
        .collect();
    parts.map(|parts| parts.join("; "))
}

fn moved_item(item: &str, map: &BTreeMap<String, String>) -> Result<String, String> {
    // An item or note number, as `(3)`, belongs to the clause before it.
    if item.starts_with('(') {
        return Ok(item.to_owned());
    }
    let rest_after =
        |from: &str| item.strip_prefix(from).filter(|rest| !rest.starts_with(char::is_alphanumeric));
    let matches = map.iter().filter_map(|(from, to)| Some((from.len(), to, rest_after(from)?)));
    match matches.max_by_key(|(len, ..)| *len) {
        Some((_, to, rest)) => Ok(format!("{to}{rest}")),
        None => Err(format!("no prefix of the map leads `{item}`; add one, or replace the rule")),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn the_longest_prefix_that_ends_at_a_word_leads_each_part() {
        let pairs =
            [("6", "4"), ("6.10.3.3", "4.9.3.3"), ("Table 6.1", "Table 4.1"), ("Table 6.12", "Table 4.12")];
        let map = pairs.iter().map(|(a, b)| ((*a).to_owned(), (*b).to_owned())).collect();
        let moved = |clause| moved(clause, &map);
        assert_eq!(moved("6.10.3.3 (2), (3)").unwrap(), "4.9.3.3 (2), (3)");
        assert_eq!(moved("6.2.3").unwrap(), "4.2.3");
        assert_eq!(moved("Table 6.12 (6); Table 6.1 notes").unwrap(), "Table 4.12 (6); Table 4.1 notes");
        assert!(moved("Table 6.11").unwrap_err().contains("`Table 6.11`"));
        assert!(moved("Table 6.12, Table 10.12").is_err());
        assert_eq!(super::moved("QW-163", &BTreeMap::new()).unwrap(), "QW-163");
    }

    #[test]
    fn nothing_carried_over_is_called_better_known_than_the_file_allows() {
        assert_eq!(no_better(Basis::Seen, Basis::Secondary), Basis::Secondary);
        assert_eq!(no_better(Basis::Seen, Basis::Memory), Basis::Memory);
        assert_eq!(no_better(Basis::Derived, Basis::Memory), Basis::Memory);
        assert_eq!(no_better(Basis::Memory, Basis::Secondary), Basis::Memory);
        assert_eq!(no_better(Basis::Choice, Basis::Memory), Basis::Choice);
        assert_eq!(carried_basis("seen"), None);
    }
}
