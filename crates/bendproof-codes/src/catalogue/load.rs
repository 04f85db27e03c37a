//! Reads one code file into rules and refuses what is not whole: a rule without
//! a passing and a failing case, or without a case on its limit, an id used
//! twice, a reference to a rule that does not exist, a fact or word nobody knows.
//!
//! Reads text only; where the text lies is the caller's affair.

use std::collections::{BTreeMap, BTreeSet};

use serde::Deserialize;
use toml::{Table, Value};

use super::borrow::Borrow;
use super::boundary;
use super::code::{Code, Earlier, LeftOut};
use super::edition::{Differences, Read};
use super::error::LoadError;
use super::head::{Head, split};
use super::names::Names;
use crate::rule::{
    Case, Condition, Facts, Rule, Sort, Test, allow_keys, extent, fact_named, nearest, number, strings, word,
};
use crate::words::{Basis, Claim, RuleKind, Status};

/// The head of a further file: the code it belongs to.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PartHead {
    part_of: String,
}

/// The tables of a code file or of a further file.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Body {
    #[serde(default)]
    clauses: BTreeMap<String, String>,
    #[serde(default)]
    read: Vec<Read>,
    #[serde(default)]
    without: Vec<LeftOut>,
    #[serde(default)]
    borrow: Vec<Borrow>,
    #[serde(default)]
    rule: Vec<RawRule>,
}

impl Body {
    fn read(text: &str) -> Result<Body, LoadError> {
        toml::from_str(text).map_err(|e| LoadError::Text(e.to_string()))
    }

    fn join(&mut self, part: Body) {
        self.clauses.extend(part.clauses);
        self.read.extend(part.read);
        self.without.extend(part.without);
        self.borrow.extend(part.borrow);
        self.rule.extend(part.rule);
    }
}

/// The names of positions, processes and details a file has that asks for none.
const TRADE_NAMES: &str = "trade";

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawRule {
    id: String,
    title: String,
    finding: String,
    status: Option<String>,
    since: Option<String>,
    until: Option<String>,
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

/// Reads one code file that stands by itself.
///
/// # Errors
/// [`LoadError`] names the rule and the part that is wrong.
pub fn load(text: &str) -> Result<Code, LoadError> {
    load_edition(text, &[])
}

/// Reads one code file that may be `based_on` one of the codes already read.
///
/// # Errors
/// [`LoadError`] names the rule and the part that is wrong.
pub fn load_edition(text: &str, earlier: &[&Code]) -> Result<Code, LoadError> {
    load_whole(text, &[], earlier)
}

/// Reads one code file with its further files.
pub(crate) fn load_whole<'a, E>(text: &str, parts: &[&str], earlier: &E) -> Result<Code, LoadError>
where
    E: Earlier<'a> + ?Sized,
{
    let (head, tables) = split(text);
    let head = Head::read(head)?;
    let mut body = Body::read(tables)?;
    for part in parts {
        let (of, tables) = split(part);
        let of: PartHead = toml::from_str(of).map_err(|e| LoadError::Text(e.to_string()))?;
        if of.part_of != head.id {
            return Err(LoadError::PartOfAnother { part_of: of.part_of, code: head.id });
        }
        body.join(Body::read(tables)?);
    }
    whole_code(head, body, earlier)
}

fn whole_code<'a, E>(head: Head, body: Body, earlier: &E) -> Result<Code, LoadError>
where
    E: Earlier<'a> + ?Sized,
{
    let base = head.based_on.as_ref().map(|base| base_named(&head.id, base, earlier)).transpose()?;
    let mut rules: Vec<Rule> =
        body.rule.into_iter().map(|raw| whole(raw, &head.edition)).collect::<Result<_, _>>()?;
    if let Some(base) = base {
        ids_are_unique(&rules)?;
        let differences = Differences {
            base,
            edition: &head.edition,
            carried_basis: &head.carried_basis,
            clauses: &body.clauses,
            read: &body.read,
            without: &body.without,
        };
        rules = differences.carry(rules)?;
    }
    ids_are_unique(&rules)?;
    references_live(&rules)?;
    let mut borrowed = base.map(|base| base.borrowed.clone()).unwrap_or_default();
    for borrow in &body.borrow {
        borrowed.extend(borrow.take(&head.id, earlier)?);
    }
    ids_are_unique(rules.iter().chain(&borrowed))?;
    // What is not verified is said wherever a clause is cited, in every finding.
    if let Some(why) = &head.unverified {
        rules.iter_mut().chain(&mut borrowed).for_each(|rule| {
            rule.clause = format!("{}, {why}", rule.clause);
            rule.stated.get_or_insert(Status::Unverified);
        });
    }
    Ok(Code {
        names: names(head.names.as_deref(), base)?,
        designation: head.designation.or_else(|| base.and_then(|b| b.designation.clone())),
        id: head.id,
        short: head.short,
        title: head.title,
        edition: head.edition,
        aliases: head.aliases,
        note: head.note,
        unverified: head.unverified,
        based_on: head.based_on,
        without: body.without,
        shop: None,
        borrowed,
        rules,
    })
}

/// The names a file asks for, those of its base, or the trade's.
fn names(asked: Option<&str>, base: Option<&Code>) -> Result<&'static Names, LoadError> {
    match (asked, base) {
        (None, Some(base)) => Ok(base.names),
        _ => super::names::named(asked.unwrap_or(TRADE_NAMES)).map_err(LoadError::Text),
    }
}

fn base_named<'a, E>(code: &str, base: &str, earlier: &E) -> Result<&'a Code, LoadError>
where
    E: Earlier<'a> + ?Sized,
{
    let whole = earlier.named(base)?.filter(|known| known.based_on.is_none());
    whole.ok_or_else(|| LoadError::BaseMissing {
        code: code.to_owned(),
        base: base.to_owned(),
        nearest: earlier.nearest(base).unwrap_or_default(),
    })
}

/// Reads one `[[rule]]` table that stands outside a code file.
pub(crate) fn own_rule(value: Value, edition: &str) -> Result<Rule, LoadError> {
    whole(value.try_into().map_err(|e| LoadError::Text(e.to_string()))?, edition)
}

/// A rule with cases of both kinds and on its limit.
fn whole(raw: RawRule, edition: &str) -> Result<Rule, LoadError> {
    let rule = rule(raw, edition)?;
    match boundary::missing(&rule) {
        Some(wanted) => Err(LoadError::BoundaryMissing { rule: rule.id, wanted }),
        None => Ok(rule),
    }
}

fn ids_are_unique<'a>(rules: impl IntoIterator<Item = &'a Rule>) -> Result<(), LoadError> {
    let mut ids = BTreeSet::new();
    match rules.into_iter().find(|rule| !ids.insert(rule.id.as_str())) {
        Some(rule) => Err(LoadError::IdTwice(rule.id.clone())),
        None => Ok(()),
    }
}

fn references_live(rules: &[Rule]) -> Result<(), LoadError> {
    let ids: BTreeSet<&str> = rules.iter().map(|rule| rule.id.as_str()).collect();
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
        stated: stated(raw.status.as_deref()).map_err(|why| part("status", why))?,
        kind: word(&raw.kind, RuleKind::from_word, RuleKind::WORDS).map_err(|why| part("kind", why))?,
        basis: word(&raw.basis, Basis::from_word, Basis::WORDS).map_err(|why| part("basis", why))?,
        when,
        demand: super::load_demand::demand(&raw.demand).map_err(|why| part("demand", why))?,
        id: raw.id,
        title: raw.title,
        finding: raw.finding,
        since: raw.since,
        until: raw.until,
        clause: raw.clause,
        edition: edition.to_owned(),
        source: raw.source,
        note: raw.note,
        see: raw.see,
        tightened_from: None,
        cases,
    })
}

/// A status other than the one a rule earns; that it is stable cannot be claimed.
fn stated(text: Option<&str>) -> Result<Option<Status>, String> {
    let status = text.map(|text| word(text, Status::from_word, Status::WORDS)).transpose()?;
    Ok(status.filter(|status| *status != Status::Stable))
}

fn case(claim: Claim, mut table: Table) -> Result<Case, String> {
    let name = match table.remove("case") {
        Some(Value::String(name)) => name,
        _ => return Err("each case needs `case`, a sentence that describes it".to_owned()),
    };
    Ok(Case { claim, name, facts: Facts::from_table(&table)? })
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
        (Sort::Length | Sort::Stress | Sort::Measure(_), Value::Table(table)) => {
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

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn a_further_file_of_another_code_is_refused() {
        let text =
            "id = \"shop-1\"\nshort = \"S 1\"\ntitle = \"t\"\nedition = \"1\"\naliases = []\nnote = \"n\"";
        let with = |part: &str| load_whole(text, &[part], [].as_slice());
        with("part_of = \"shop-1\"").unwrap();
        let wrong = LoadError::PartOfAnother { part_of: "shop-2".to_owned(), code: "shop-1".to_owned() };
        assert_eq!(with("part_of = \"shop-2\""), Err(wrong));
    }

    #[test]
    fn the_head_ends_where_the_first_table_begins() {
        assert_eq!(split("a = [1]\n\n[[rule]]\nb = 2"), ("a = [1]\n\n", "[[rule]]\nb = 2"));
        assert_eq!(split("a = 1\n"), ("a = 1\n", ""));
    }
}
