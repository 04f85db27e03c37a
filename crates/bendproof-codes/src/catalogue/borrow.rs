//! Rules that one code takes from another, with some facts fixed: a
//! qualification standard that asks for level B of a quality standard takes the
//! rows of level B and no others.
//!
//! A borrowed rule keeps its id and is never called better known than the
//! borrowing itself.

use serde::Deserialize;
use toml::Table;

use super::code::{Code, Earlier};
use super::edition::no_better;
use super::error::LoadError;
use crate::rule::{Demand, FactAnswer, Facts, Rule, nearest, word};
use crate::words::{Basis, Verdict};

/// One `[[borrow]]` table.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Borrow {
    from: String,
    facts: Table,
    /// Only these rules; all of them when absent.
    only: Option<Vec<String>>,
    /// All but these.
    #[serde(default)]
    except: Vec<String>,
    /// Where the borrowing code says so.
    clause: String,
    source: String,
    basis: String,
    /// Why it is not sure that these rules are meant; what breaks them is then
    /// left open instead of rejected.
    doubt: Option<String>,
}

impl Borrow {
    /// The lender's rules as they stand once the facts are fixed.
    pub(crate) fn take<'a, E>(&self, code: &str, earlier: &E) -> Result<Vec<Rule>, LoadError>
    where
        E: Earlier<'a> + ?Sized,
    {
        let lender = earlier.named(&self.from)?.ok_or_else(|| LoadError::LenderMissing {
            code: code.to_owned(),
            from: self.from.clone(),
            nearest: earlier.nearest(&self.from).unwrap_or_default(),
        })?;
        for id in self.only.iter().flatten().chain(&self.except) {
            self.is_in(lender, id)?;
        }
        let facts = Facts::from_table(&self.facts).map_err(|why| wrong(&self.from, why))?;
        let basis =
            word(&self.basis, Basis::from_word, Basis::WORDS).map_err(|why| wrong(&self.from, why))?;
        let wanted = |rule: &&Rule| {
            self.only.as_ref().is_none_or(|only| only.contains(&rule.id)) && !self.except.contains(&rule.id)
        };
        let taken = lender.rules.iter().filter(wanted).filter_map(|rule| narrowed(rule, &facts));
        Ok(taken.map(|rule| self.as_ours(lender, rule, basis)).collect())
    }

    fn as_ours(&self, lender: &Code, rule: Rule, basis: Basis) -> Rule {
        let (finding, demand) = match &self.doubt {
            None => (rule.finding, rule.demand),
            Some(doubt) => (format!("{}; {doubt}", rule.finding), left_open(rule.demand)),
        };
        Rule {
            finding,
            demand,
            clause: format!("{}, by {} {}", self.clause, lender.id, rule.clause),
            source: format!("{}; {}", self.source, rule.source),
            basis: no_better(rule.basis, basis),
            ..rule
        }
    }

    fn is_in(&self, lender: &Code, id: &str) -> Result<(), LoadError> {
        if lender.rules.iter().any(|rule| rule.id == id) {
            return Ok(());
        }
        let near = nearest(id, lender.rules.iter().map(|r| r.id.as_str())).unwrap_or_default();
        Err(wrong(id, format!("{} has no such rule; the nearest is `{near}`", lender.id)))
    }
}

fn wrong(rule: &str, why: String) -> LoadError {
    LoadError::Part { rule: rule.to_owned(), part: "borrow", why }
}

/// The rule without the conditions that the facts meet; `None` when they do not.
fn narrowed(rule: &Rule, facts: &Facts) -> Option<Rule> {
    let (fixed, open): (Vec<_>, Vec<_>) =
        rule.when.iter().cloned().partition(|condition| facts.get(condition.fact).is_some());
    let holds = fixed.iter().all(|condition| condition.holds(facts) == FactAnswer::Yes);
    holds.then(|| Rule { when: open, ..rule.clone() })
}

fn left_open(mut demand: Demand) -> Demand {
    if let Demand::AtMost { breach, .. }
    | Demand::AtLeast { breach, .. }
    | Demand::Sum { breach, .. }
    | Demand::Within { breach, .. }
    | Demand::Flag { breach, .. } = &mut demand
    {
        *breach = Verdict::NotCovered;
    }
    demand
}
