//! What a code calls positions, processes and weld details, read from
//! `codes/names.toml`.
//!
//! One table turns the trade's test position and progression into the symbol of
//! a code, another a production weld. Decides nothing about coverage.

use std::sync::OnceLock;

use bendproof_weld::{Position, Process, Progression};
use serde::Deserialize;

use crate::words::{Basis, JointKind, JointPosition};

/// How one family of codes names things.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Names {
    /// Word by which a code file asks for these names.
    pub id: String,
    /// What they are.
    pub title: String,
    /// Symbols in the order in which positions are listed.
    pub order: Vec<String>,
    /// The symbol of a rising weld says whether it goes up or down.
    pub holds_progression: bool,
    /// Fillers are counted in groups FM1 to FM6, not by F-number.
    pub fm_groups: bool,
    /// The codes print millimetres alone.
    pub metric_only: bool,
    /// Symbols of test positions.
    #[serde(default)]
    pub test: Vec<TestName>,
    /// Symbols of production welds.
    pub joint: Vec<JointName>,
    /// Numbers of processes.
    #[serde(default)]
    pub process: Vec<ProcessName>,
    /// Symbols of weld details.
    #[serde(default)]
    pub detail: Vec<DetailName>,
}

/// The symbol of some test positions.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TestName {
    /// The trade's test positions.
    pub positions: Vec<String>,
    /// The progression, where the symbol says it.
    pub progression: Option<String>,
    /// The symbol.
    pub symbol: String,
    /// Where it was read.
    pub source: String,
    /// How well it is known.
    pub basis: String,
}

/// The symbols a production weld takes; all of them are welded.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct JointName {
    /// Kinds of joint.
    pub joints: Vec<String>,
    /// The trade's position.
    pub position: String,
    /// The progression, where the symbol says it.
    pub progression: Option<String>,
    /// The symbols.
    pub symbols: Vec<String>,
    /// Where it was read.
    pub source: String,
    /// How well it is known.
    pub basis: String,
}

/// The number of a process.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ProcessName {
    /// The trade's abbreviation.
    pub process: String,
    /// Filler types that make it this one.
    pub filler_types: Vec<String>,
    /// The number.
    pub number: String,
    /// Where it was read.
    pub source: String,
    /// How well it is known.
    pub basis: String,
}

/// The symbol of a weld detail.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DetailName {
    /// The word used here.
    pub word: String,
    /// The symbol.
    pub symbol: String,
    /// Where it was read.
    pub source: String,
    /// How well it is known.
    pub basis: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    names: Vec<Names>,
}

/// Every set of names.
///
/// # Errors
/// A sentence that says why the committed file does not read.
pub fn names() -> Result<&'static [Names], String> {
    static NAMES: OnceLock<Result<Vec<Names>, String>> = OnceLock::new();
    let text = include_str!("../../../../codes/names.toml");
    let read = || toml::from_str(text).map(|f: File| f.names).map_err(|e| format!("names.toml: {e}"));
    NAMES.get_or_init(|| read().and_then(sound)).as_deref().map_err(Clone::clone)
}

/// The names with this id.
pub(crate) fn named(id: &str) -> Result<&'static Names, String> {
    let known = || names().map(|all| all.iter().map(|n| n.id.as_str()).collect::<Vec<_>>().join(", "));
    match names()?.iter().find(|n| n.id == id) {
        Some(found) => Ok(found),
        None => Err(format!("`{id}` is not a set of names; there are {}", known()?)),
    }
}

/// Refuses words that nobody knows, which would never match.
fn sound(all: Vec<Names>) -> Result<Vec<Names>, String> {
    let unknown = |what: &str, word: &str| Err(format!("names.toml: `{word}` is not a {what}"));
    for names in &all {
        let tests = names.test.iter().flat_map(|t| &t.positions);
        if let Some(word) = tests.into_iter().find(|p| Position::from_word(p).is_none()) {
            return unknown("test position", word);
        }
        if let Some(row) = names.joint.iter().find(|j| JointPosition::from_word(&j.position).is_none()) {
            return unknown("position of a weld", &row.position);
        }
        if let Some(row) = names.process.iter().find(|p| Process::from_word(&p.process).is_none()) {
            return unknown("process", &row.process);
        }
        let bases = names.test.iter().map(|t| &t.basis).chain(names.joint.iter().map(|j| &j.basis));
        let bases = bases.chain(names.process.iter().map(|p| &p.basis));
        let mut bases = bases.chain(names.detail.iter().map(|d| &d.basis));
        if let Some(word) = bases.find(|b| Basis::from_word(b).is_none()) {
            return unknown("basis", word);
        }
    }
    Ok(all)
}

impl Names {
    /// The symbol of a test position, or `None` where the progressions used do
    /// not settle it.
    pub fn of_test(&self, position: Position, progressions: &[Progression]) -> Option<&str> {
        let mut rising = progressions.iter().filter(|p| **p != Progression::Level);
        let only = rising.next().filter(|first| rising.all(|p| p == *first)).map(|p| p.word());
        let row = self.test.iter().find(|row| {
            row.positions.iter().any(|p| p == position.word())
                && row.progression.as_deref().is_none_or(|wanted| Some(wanted) == only)
        });
        row.map(|row| row.symbol.as_str())
    }

    /// The symbols a production weld takes, or `None` where its progression is
    /// wanted and not given. A weld that has no symbol is named by the trade's
    /// word, which no rule grants.
    pub fn of_joint(
        &self,
        kind: JointKind,
        position: JointPosition,
        progression: Option<Progression>,
    ) -> Option<Vec<String>> {
        let here: Vec<&JointName> = self
            .joint
            .iter()
            .filter(|row| row.position == position.word() && row.joints.iter().any(|j| j == kind.word()))
            .collect();
        let given = progression.map(|p| p.word());
        match here.iter().find(|row| row.progression.is_none() || row.progression.as_deref() == given) {
            Some(row) => Some(row.symbols.clone()),
            None if here.is_empty() || given.is_some() => Some(vec![position.word().to_owned()]),
            None => None,
        }
    }

    /// What a process may be called: one name where the filler type settles it,
    /// every one it may be where not, and the trade's own where it has no other.
    pub fn of_process(&self, process: Process, filler_type: Option<&str>) -> Vec<&str> {
        let rows = || self.process.iter().filter(|row| row.process == process.word());
        let fits = |row: &&ProcessName| filler_type.is_some_and(|t| row.filler_types.iter().any(|f| f == t));
        let settled: Vec<&str> = rows().filter(fits).map(|row| row.number.as_str()).collect();
        match (settled.is_empty(), rows().next()) {
            (false, _) => settled,
            (true, Some(_)) => rows().map(|row| row.number.as_str()).collect(),
            (true, None) => vec![process.word()],
        }
    }

    /// The symbol of a weld detail, as a backing or a number of layers.
    pub fn of_detail(&self, word: &str) -> Option<&str> {
        self.detail.iter().find(|row| row.word == word).map(|row| row.symbol.as_str())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn iso() -> &'static Names {
        named("iso-6947").unwrap()
    }

    #[test]
    fn test_positions_have_their_symbols() {
        use Position as P;
        let (up, down) = ([Progression::Uphill], [Progression::Downhill, Progression::Level]);
        for (position, rising, falling) in [
            (P::G1, "PA", "PA"),
            (P::G2, "PC", "PC"),
            (P::G3, "PF", "PG"),
            (P::G4, "PE", "PE"),
            (P::G5, "PH", "PJ"),
            (P::G6, "H-L045", "J-L045"),
            (P::F1, "PA", "PA"),
            (P::F2, "PB", "PB"),
            (P::F3, "PF", "PG"),
            (P::F4, "PD", "PD"),
            (P::F5, "PH", "PJ"),
        ] {
            assert_eq!(iso().of_test(position, &up), Some(rising), "{position}");
            assert_eq!(iso().of_test(position, &down), Some(falling), "{position}");
        }
    }

    #[test]
    fn a_progression_that_is_mixed_or_not_stated_leaves_a_rising_test_open() {
        let mixed = [Progression::Uphill, Progression::Downhill];
        for progressions in [&mixed[..], &[], &[Progression::Level]] {
            assert_eq!(iso().of_test(Position::G3, progressions), None);
            assert_eq!(iso().of_test(Position::G6, progressions), None);
            assert_eq!(iso().of_test(Position::G2, progressions), Some("PC"));
        }
        assert_eq!(iso().of_test(Position::G6R, &[Progression::Uphill]), None);
    }

    #[test]
    fn production_welds_have_theirs() {
        use JointKind as K;
        use JointPosition as J;
        let of = |k, j, p| iso().of_joint(k, j, p).map(|s| s.join("+"));
        let said = |s: &str| Some(s.to_owned());
        assert_eq!(of(K::PlateGroove, J::Horizontal, None), said("PC"));
        assert_eq!(of(K::Fillet, J::Horizontal, None), said("PB"));
        assert_eq!(of(K::Fillet, J::Overhead, None), said("PD"));
        assert_eq!(of(K::PipeGroove, J::Overhead, None), said("PE"));
        assert_eq!(of(K::PipeGroove, J::Fixed, None), None);
        assert_eq!(of(K::PipeGroove, J::Fixed, Some(Progression::Downhill)), said("PJ"));
        assert_eq!(of(K::PipeGroove, J::Inclined, Some(Progression::Uphill)), said("H-L045"));
        assert_eq!(of(K::PlateGroove, J::Vertical, Some(Progression::Level)), said("V"));
        let trade = named("trade").unwrap();
        assert_eq!(trade.of_joint(K::PipeGroove, J::Fixed, None).unwrap(), ["F", "V", "OH"]);
        assert_eq!(trade.of_joint(K::PipeGroove, J::Inclined, None).unwrap(), ["F", "H", "V", "OH"]);
        assert!(named("none").unwrap_err().contains("trade, iso-6947"));
    }
}
