//! A sentence with the rules behind it.

use bendproof_codes::catalogue::Code;

use super::rule_ref::rule_ref;

/// One sentence with the rules behind it.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct AheadLine {
    /// The sentence.
    pub words: String,
    /// The rules behind it.
    pub rules: Vec<RuleWay>,
}

impl AheadLine {
    /// A sentence said under a code, with its rules as that code has them.
    pub fn under<'a>(code: &Code, words: String, rules: impl IntoIterator<Item = &'a String>) -> Self {
        Self { words, rules: rules.into_iter().map(|rule| RuleWay::of(code, rule)).collect() }
    }
}

/// The way to a rule: what a page asks for, and the clause a reader knows it by.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct RuleWay {
    /// Rule id, with `?code=` and the edition where that has it otherwise.
    pub to: String,
    /// Its clause there; the id where a rule has none.
    pub clause: String,
}

impl RuleWay {
    /// The way to a rule as a code has it.
    pub fn of(code: &Code, rule: &str) -> Self {
        let clause = code.rule(rule).map(|found| found.clause.as_str()).filter(|clause| !clause.is_empty());
        Self { to: rule_ref(&code.id, rule), clause: clause.unwrap_or(rule).to_owned() }
    }
}
