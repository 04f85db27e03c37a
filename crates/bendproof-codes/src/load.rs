//! Reads one code file into rules and refuses what is not whole: a rule without
//! a passing and a failing case, an id used twice, a reference to a rule that
//! does not exist, a fact or word nobody knows.
//!
//! Reads text only; where the text lies is the caller's affair.

use std::collections::BTreeSet;

use bendproof_measure::{Kind, parse_number};
use serde::Deserialize;
use toml::{Table, Value};

use crate::catalogue::{Code, nearest};
use crate::extent::{Extent, Pair};
use crate::fact::{Facts, Sort, VOCABULARY, number, vocabulary};
use crate::rule::{Case, Condition, Rule, Test};
use crate::words::{Basis, Claim, RuleKind, Status};

/// Why a code file does not load.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum LoadError {
    /// Not TOML, or keys missing or unknown.
    #[error("the code file cannot be read: {0}")]
    Text(String),
    /// A rule has no case of the named claim.
    #[error("rule `{rule}` has no {claim} case; add one, a rule without both does not load")]
    CaseMissing {
        /// The rule.
        rule: String,
        /// `pass` or `fail`.
        claim: &'static str,
    },
    /// Two rules have one id.
    #[error("rule id `{0}` is used twice; ids are never reused")]
    IdTwice(String),
    /// A rule names another that is not there.
    #[error("rule `{rule}` refers to `{to}`, which does not exist; the nearest is `{nearest}`")]
    DeadReference {
        /// The rule.
        rule: String,
        /// What it names.
        to: String,
        /// The nearest id.
        nearest: String,
    },
    /// Part of a rule makes no sense.
    #[error("rule `{rule}`, {part}: {why}")]
    Part {
        /// The rule.
        rule: String,
        /// `when`, `demand`, `case` and the like.
        part: &'static str,
        /// What is wrong.
        why: String,
    },
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawCode {
    id: String,
    title: String,
    edition: String,
    aliases: Vec<String>,
    note: String,
    #[serde(default = "trade_names")]
    names: String,
    designation: Option<String>,
    rule: Vec<RawRule>,
}

fn trade_names() -> String {
    "trade".to_owned()
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawRule {
    id: String,
    title: String,
    finding: String,
    status: String,
    since: String,
    clause: String,
    kind: String,
    #[serde(default)]
    when: Table,
    demand: Table,
    source: String,
    basis: String,
    note: Option<String>,
    #[serde(default)]
    see: Vec<String>,
    #[serde(default)]
    pass: Vec<Table>,
    #[serde(default)]
    fail: Vec<Table>,
    #[serde(default)]
    not_applicable: Vec<Table>,
}

/// Reads one code file.
///
/// # Errors
/// [`LoadError`] names the rule and the part that is wrong.
pub fn load(text: &str) -> Result<Code, LoadError> {
    let raw: RawCode = toml::from_str(text).map_err(|e| LoadError::Text(e.to_string()))?;
    let edition = raw.edition;
    let rules: Result<Vec<Rule>, LoadError> = raw.rule.into_iter().map(|r| rule(r, &edition)).collect();
    let rules = rules?;
    ids_are_sound(&rules)?;
    Ok(Code {
        id: raw.id,
        title: raw.title,
        edition,
        aliases: raw.aliases,
        note: raw.note,
        names: crate::names::named(&raw.names).map_err(LoadError::Text)?,
        designation: raw.designation,
        rules,
    })
}

fn ids_are_sound(rules: &[Rule]) -> Result<(), LoadError> {
    let mut ids = BTreeSet::new();
    for rule in rules {
        if !ids.insert(rule.id.as_str()) {
            return Err(LoadError::IdTwice(rule.id.clone()));
        }
    }
    for rule in rules {
        if let Some(dead) = rule.see.iter().find(|to| !ids.contains(to.as_str())) {
            let nearest = nearest(dead, ids.iter().copied()).unwrap_or_default();
            return Err(LoadError::DeadReference { rule: rule.id.clone(), to: dead.clone(), nearest });
        }
    }
    Ok(())
}

fn rule(raw: RawRule, edition: &str) -> Result<Rule, LoadError> {
    let id = raw.id.clone();
    let part = |part, why| LoadError::Part { rule: id.clone(), part, why };
    for (name, text) in [("source", &raw.source), ("clause", &raw.clause), ("finding", &raw.finding)] {
        if text.trim().is_empty() {
            return Err(part(name, "is empty".to_owned()));
        }
    }
    let mut cases = Vec::new();
    for (claim, tables) in
        [(Claim::Pass, raw.pass), (Claim::Fail, raw.fail), (Claim::NotApplicable, raw.not_applicable)]
    {
        if tables.is_empty() && claim != Claim::NotApplicable {
            return Err(LoadError::CaseMissing { rule: raw.id, claim: claim.word() });
        }
        for table in tables {
            cases.push(case(claim, table).map_err(|why| part("case", why))?);
        }
    }
    let mut when = Vec::new();
    for (key, value) in &raw.when {
        when.extend(conditions(key, value).map_err(|why| part("when", why))?);
    }
    Ok(Rule {
        status: word(&raw.status, Status::from_word, Status::WORDS).map_err(|why| part("status", why))?,
        kind: word(&raw.kind, RuleKind::from_word, RuleKind::WORDS).map_err(|why| part("kind", why))?,
        basis: word(&raw.basis, Basis::from_word, Basis::WORDS).map_err(|why| part("basis", why))?,
        when,
        demand: crate::load_demand::demand(&raw.demand).map_err(|why| part("demand", why))?,
        id: raw.id,
        title: raw.title,
        finding: raw.finding,
        since: raw.since,
        clause: raw.clause,
        edition: edition.to_owned(),
        source: raw.source,
        note: raw.note,
        see: raw.see,
        cases,
    })
}

fn case(claim: Claim, mut table: Table) -> Result<Case, String> {
    let name = match table.remove("case") {
        Some(Value::String(name)) => name,
        _ => return Err("each case needs `case`, a sentence that says what it is".to_owned()),
    };
    Ok(Case { claim, name, facts: Facts::from_table(&table)? })
}

/// Reads a word of a closed list.
pub(crate) fn word<T>(text: &str, read: fn(&str) -> Option<T>, known: &[&str]) -> Result<T, String> {
    read(text).ok_or_else(|| format!("`{text}` is not one of {}", known.join(", ")))
}

/// A list may have several conditions, as `{ any = […], none = […] }`; a single
/// word may be none of several, as `{ none = […] }`.
fn conditions(key: &str, value: &Value) -> Result<Vec<Condition>, String> {
    let (fact, sort) = fact_named(key)?;
    if let (Sort::Words, Value::Table(table)) = (sort, value) {
        let list = |(how, list): (&String, &Value)| {
            let test = match how.as_str() {
                "any" => Test::AnyOf(strings(list)?),
                "all" => Test::AllOf(strings(list)?),
                "none" => Test::NoneOf(strings(list)?),
                other => return Err(format!("`{other}` is not one of any, all, none")),
            };
            Ok(Condition { fact, test })
        };
        return table.iter().map(list).collect();
    }
    let test = match (sort, value) {
        (Sort::Word, Value::String(word)) => Test::OneOf(vec![word.clone()]),
        (Sort::Word, Value::Array(_)) => Test::OneOf(strings(value)?),
        (Sort::Word, Value::Table(table)) => {
            allow_keys(table, &["none"])?;
            Test::NotOneOf(strings(table.get("none").ok_or("`none` lists the words it is not")?)?)
        }
        (Sort::Flag, Value::Boolean(flag)) => Test::Flag(*flag),
        (Sort::Length | Sort::Stress, Value::Table(table)) => {
            allow_keys(table, &["over", "at_least", "at_most", "under"])?;
            let end = |name: &str| table.get(name).map(extent).transpose();
            Test::Size {
                over: end("over")?,
                at_least: end("at_least")?,
                at_most: end("at_most")?,
                under: end("under")?,
            }
        }
        (Sort::Number, Value::Table(table)) => {
            allow_keys(table, &["at_least", "under"])?;
            let end = |name: &str| table.get(name).and_then(number);
            Test::Number { at_least: end("at_least"), under: end("under") }
        }
        _ => return Err(format!("the condition on `{key}` does not suit what it holds")),
    };
    Ok(vec![Condition { fact, test }])
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
        let times = table.get("times").and_then(number).ok_or("`times` is a number")?;
        let plus = table.get("plus").map(pair).transpose()?;
        return Ok(Extent::Times { of, times, plus });
    }
    pair(value).map(Extent::Pair)
}

/// Reads `{ inch = "1/8", mm = 3 }` or `{ ksi = 50, mpa = 345 }`, and
/// `{ mm_only = 3 }` where the code prints millimetres alone.
pub(crate) fn pair(value: &Value) -> Result<Pair, String> {
    let table = value.as_table().ok_or("a pair is a table")?;
    if let Some(mm) = table.get("mm_only") {
        allow_keys(table, &["mm_only"])?;
        let si = number(mm).ok_or("`mm_only` is not a number")? * 1e-3;
        return Ok(Pair { inch_si: si, metric_si: si, kind: Kind::Length });
    }
    let length = [("inch", "in"), ("mm", "mm")];
    let stress = [("ksi", "ksi"), ("mpa", "MPa")];
    let (names, kind) =
        if table.contains_key("inch") { (length, Kind::Length) } else { (stress, Kind::Pressure) };
    allow_keys(table, &[names[0].0, names[1].0])?;
    let read = |(key, unit): (&str, &str)| -> Result<f64, String> {
        let value = table.get(key).ok_or_else(|| format!("`{key}` is missing; a pair has both systems"))?;
        let number = match value {
            Value::String(text) => parse_number(text).map_err(|e| e.to_string())?,
            other => number(other).ok_or_else(|| format!("`{key}` is not a number"))?,
        };
        let unit = bendproof_measure::unit_named(unit).ok_or("the unit is not known")?;
        Ok(number * unit.si_per_unit)
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
