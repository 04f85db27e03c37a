//! The codes this program carries, found by name, and their rules, found by id.
//!
//! A code is loaded when it is asked for, once; its names are known before.

use super::code::Code;
use super::error::LoadError;
use super::head::Head;
use super::shelf;
use crate::rule::{Rule, nearest, shortened};

/// Why a code or rule is not found.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum CatalogueError {
    /// No code has this name.
    #[error("`{asked}` is not a code this program has; the nearest is `{nearest}`; it has {known}")]
    UnknownCode {
        /// The name asked for.
        asked: String,
        /// The nearest known name.
        nearest: String,
        /// All known names.
        known: String,
    },
    /// No rule has this id.
    #[error("`{asked}` is not a rule id; the nearest is `{nearest}`")]
    UnknownRule {
        /// The id asked for.
        asked: String,
        /// The nearest known id.
        nearest: String,
    },
    /// The data does not load; a bug, which the tests catch.
    #[error(transparent)]
    Load(#[from] LoadError),
}

/// Every code, in the order of the list. Loads them all; who knows the name
/// asks for [`code`].
///
/// # Errors
/// [`CatalogueError::Load`] when the data carried does not load.
pub fn codes() -> Result<&'static [&'static Code], CatalogueError> {
    Ok(shelf::all()?)
}

/// What the codes say of themselves, in the order of the list, without loading
/// their rules.
///
/// # Errors
/// [`CatalogueError::Load`] when the data carried does not load.
pub fn heads() -> Result<&'static [Head], CatalogueError> {
    Ok(shelf::heads()?)
}

/// The code of this name or alias; case does not matter. Loads it with what it
/// is based on and borrows, the first time.
///
/// # Errors
/// [`CatalogueError::UnknownCode`] with the nearest name and all known ones.
///
/// # Examples
/// ```
/// assert_eq!(bendproof_codes::catalogue::code("aws-d1.1").unwrap().id, "aws-d1.1-2020");
/// assert!(bendproof_codes::catalogue::code("aws-d1.1-1972").is_err());
/// ```
pub fn code(name: &str) -> Result<&'static Code, CatalogueError> {
    let heads = shelf::heads()?;
    let wanted = name.trim();
    let is_named = |head: &Head| {
        std::iter::once(&head.id).chain(&head.aliases).any(|known| known.eq_ignore_ascii_case(wanted))
    };
    let found = heads.iter().position(is_named).and_then(shelf::at).transpose()?;
    found.ok_or_else(|| CatalogueError::UnknownCode {
        asked: shortened(wanted),
        nearest: nearest(&wanted.to_lowercase(), heads.iter().map(|h| h.id.as_str())).unwrap_or_default(),
        known: heads.iter().map(|h| h.id.as_str()).collect::<Vec<_>>().join(", "),
    })
}

/// One rule with its code; where several editions have the rule, the edition
/// that stands whole.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Explained {
    /// The code it belongs to.
    pub code: &'static Code,
    /// The rule.
    pub rule: &'static Rule,
}

/// How one edition has a rule.
#[derive(Debug, Clone, PartialEq)]
pub struct EditionRule {
    /// The edition.
    pub code: &'static Code,
    /// The rule as it stands there; absent where the edition leaves it out.
    pub rule: Option<&'static Rule>,
    /// What is otherwise than in the rule explained, one line each: title,
    /// finding, clause, conditions, limits, basis, status, or why it was left out.
    pub differs: Vec<String>,
}

impl Explained {
    /// Every edition of this code that has or leaves out the rule, itself first.
    ///
    /// # Errors
    /// [`CatalogueError::Load`] when the data carried does not load.
    pub fn editions(&self) -> Result<Vec<EditionRule>, CatalogueError> {
        let mut held = vec![EditionRule { code: self.code, rule: Some(self.rule), differs: Vec::new() }];
        for (n, head) in shelf::heads()?.iter().enumerate() {
            if head.id == self.code.id || head.root() != self.code.root() {
                continue;
            }
            let Some(code) = shelf::at(n).transpose()? else { continue };
            let rule = code.rule(&self.rule.id);
            let left_out = || code.without.iter().find(|left| left.rules.contains(&self.rule.id));
            let differs = match (rule, left_out()) {
                (Some(rule), _) => differences(self.rule, rule),
                (None, Some(left)) => vec![format!("omitted: {}", left.why)],
                (None, None) => continue,
            };
            held.push(EditionRule { code, rule, differs });
        }
        Ok(held)
    }
}

/// What `other` has otherwise than `rule`, one line each.
fn differences(rule: &Rule, other: &Rule) -> Vec<String> {
    let conditions = |rule: &Rule| {
        let all: Vec<String> = rule.when.iter().map(|c| c.text()).collect();
        if all.is_empty() { "always".to_owned() } else { all.join(" and ") }
    };
    let sides = [
        ("title", rule.title.clone(), other.title.clone()),
        ("says", rule.finding.clone(), other.finding.clone()),
        ("clause", rule.clause.clone(), other.clause.clone()),
        ("when", conditions(rule), conditions(other)),
        ("limit", rule.limits_text().join("; "), other.limits_text().join("; ")),
        ("basis", rule.basis.to_string(), other.basis.to_string()),
        ("status", rule.status().to_string(), other.status().to_string()),
    ];
    let differ = sides.into_iter().filter(|(_, here, there)| here != there);
    differ.map(|(what, _, there)| format!("{what}: {there}")).collect()
}

/// Everything known about the rule with this id. Editions of one code share
/// ids; [`Explained::editions`] tells how each has the rule.
///
/// # Errors
/// [`CatalogueError::UnknownRule`] with the nearest id.
pub fn explain(rule_id: &str) -> Result<Explained, CatalogueError> {
    let ids = shelf::rule_ids();
    let wanted = rule_id.trim().to_lowercase();
    let code = ids.get(wanted.as_str()).copied().and_then(shelf::at).transpose()?;
    let found = code.and_then(|code| Some(Explained { code, rule: code.rule(&wanted)? }));
    found.ok_or_else(|| CatalogueError::UnknownRule {
        asked: shortened(rule_id.trim()),
        nearest: nearest(&wanted, ids.keys().copied()).unwrap_or_default(),
    })
}

/// The rule with this id as one code has it: its own, an edition's, or borrowed.
///
/// # Errors
/// [`CatalogueError::UnknownCode`], or [`CatalogueError::UnknownRule`] with the
/// nearest id of that code.
pub fn explain_under(rule_id: &str, code_name: &str) -> Result<Explained, CatalogueError> {
    let code = code(code_name)?;
    let wanted = rule_id.trim().to_lowercase();
    let rule = code.rule(&wanted).ok_or_else(|| CatalogueError::UnknownRule {
        asked: shortened(rule_id.trim()),
        nearest: nearest(&wanted, code.rules.iter().map(|r| r.id.as_str())).unwrap_or_default(),
    })?;
    Ok(Explained { code, rule })
}
