//! A written procedure: the values and ranges it states, whether its record
//! supports them, and whether a joint lies within them.

use std::collections::BTreeMap;

use bendproof_measure::{Quantity, say};

use super::compare::{Allowance, VariableReason, Wanted, Within, rules_about, variable_reasons};
use crate::catalogue::Code;
use crate::rule::{Fact, FactAnswer, Facts, Variable, VariableClass, is_over, is_same, is_under, spaced};
use crate::words::RuleKind;

/// What a procedure states of one variable.
#[derive(Debug, Clone, PartialEq)]
pub enum Stated {
    /// One value.
    Value(Fact),
    /// A range; a missing end is not stated.
    Range {
        /// Least.
        min: Option<Quantity>,
        /// Greatest.
        max: Option<Quantity>,
    },
    /// Any of several words.
    Words(Vec<String>),
}

/// A written procedure.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Procedure {
    /// What it states, variable by variable.
    pub stated: BTreeMap<Variable, Stated>,
    /// What else is known of the work it is for: `ask_joint`, `toughness`, `hardness_asked`.
    pub work: Facts,
}

impl Stated {
    /// The values that stand for it when a record is asked: the ends of a range,
    /// every word.
    fn asked(&self) -> Vec<Fact> {
        match self {
            Stated::Value(fact) => vec![fact.clone()],
            Stated::Range { min, max } => {
                [min, max].into_iter().flatten().map(|q| Fact::Measure(*q)).collect()
            }
            Stated::Words(words) => words.iter().map(|w| Fact::Word(w.clone())).collect(),
        }
    }

    /// All of it as one fact; nothing where no end of a range is stated.
    pub(super) fn claimed(&self) -> Option<Fact> {
        match self {
            Stated::Value(fact) => Some(fact.clone()),
            Stated::Range { min, max } => {
                let ends: Vec<Quantity> = [min, max].into_iter().flatten().copied().collect();
                (!ends.is_empty()).then_some(Fact::Measures(ends))
            }
            Stated::Words(words) => match words.as_slice() {
                [] => None,
                [only] => Some(Fact::Word(only.clone())),
                several => Some(Fact::Words(several.to_vec())),
            },
        }
    }

    /// What is stated, printed.
    pub fn text(&self) -> String {
        match self {
            Stated::Value(fact) => fact.text(),
            Stated::Words(words) => spaced(&words.join(", ")),
            Stated::Range { min, max } => match (min, max) {
                (Some(min), Some(max)) => format!("{} to {}", say(min), say(max)),
                (Some(min), None) => format!("{} or more", say(min)),
                (None, Some(max)) => format!("{} or less", say(max)),
                (None, None) => "not entered".to_owned(),
            },
        }
    }
}

impl Procedure {
    /// The single values it states, as facts asked about, with the work.
    fn facts(&self) -> Facts {
        let mut facts = self.work.clone();
        for (variable, stated) in &self.stated {
            if let [only] = stated.asked().as_slice() {
                facts.set(variable.asked(), only.clone());
            }
        }
        facts
    }

    /// The facts a claim to be prequalified is judged by: of a range the ends
    /// stated, of several words all.
    pub fn claim(&self) -> Facts {
        let mut facts = self.work.clone();
        for (variable, stated) in &self.stated {
            if let Some(claimed) = stated.claimed() {
                facts.set(variable.asked(), claimed);
            }
        }
        facts
    }
}

/// Says whether a record supports what a procedure states: both ends of every
/// range, every word, and nothing essential left out.
pub fn supported(code: &Code, record: &Facts, procedure: &Procedure) -> Allowance {
    let facts = record.and(&procedure.facts());
    let reasons = Variable::ALL.iter().flat_map(|variable| match procedure.stated.get(variable) {
        Some(stated) => stated_reasons(code, *variable, stated, &facts),
        None => {
            let left_out = variable_reasons(code, RuleKind::Variable, *variable, &facts, Wanted::All);
            left_out.into_iter().filter(|r| r.class == VariableClass::Essential).collect()
        }
    });
    Allowance::of(reasons.collect())
}

/// The worst that is said of any value stated, class by class.
fn stated_reasons(code: &Code, variable: Variable, stated: &Stated, facts: &Facts) -> Vec<VariableReason> {
    let mut worst: BTreeMap<VariableClass, VariableReason> = BTreeMap::new();
    for value in stated.asked() {
        let facts = facts.with(variable.asked(), value).unwrap_or_else(|| facts.clone());
        for reason in variable_reasons(code, RuleKind::Variable, variable, &facts, Wanted::All) {
            let is_worse = worst.get(&reason.class).is_none_or(|known| reason.answer > known.answer);
            if is_worse {
                worst.insert(reason.class, reason);
            }
        }
    }
    let mut reasons: Vec<VariableReason> = worst.into_values().collect();
    reasons.extend(open_end(code, variable, stated, facts));
    reasons
}

/// A range with an open end where the code closes it.
fn open_end(code: &Code, variable: Variable, stated: &Stated, facts: &Facts) -> Option<VariableReason> {
    let Stated::Range { min, max } = stated else { return None };
    let closed = |(rule, allowed): &(&crate::rule::Rule, &crate::rule::Allowed)| {
        let (low, high) = allowed.span(facts);
        let is_open = (min.is_none() && low.is_some()) || (max.is_none() && high.is_some());
        is_open && rule.applies(facts) == FactAnswer::Yes && allowed.class == VariableClass::Essential
    };
    let (rule, allowed) = rules_about(code, RuleKind::Variable, variable).find(closed)?;
    Some(VariableReason {
        variable: Some(variable),
        class: allowed.class,
        answer: Within::NotSure,
        because: vec![crate::rule::Cited::of(rule)],
        message: format!(
            "{} is {} in the WPS; the PQR qualifies {}. Enter both ends",
            spaced(variable.word()),
            stated.text(),
            allowed.sentence(facts)
        ),
    })
}

/// Says whether a joint lies within what a procedure states. No code is asked:
/// the procedure is held to its own words.
pub fn inside(procedure: &Procedure, joint: &Facts) -> Allowance {
    let reasons = Variable::ALL.iter().filter_map(|variable| {
        let asked = joint.get(variable.asked())?;
        let (answer, message) = match procedure.stated.get(variable) {
            Some(stated) => held_to(*variable, stated, asked),
            None => {
                let message =
                    format!("{} is {}; the WPS gives no value", spaced(variable.word()), asked.text());
                (Within::NotSure, message)
            }
        };
        let because = Vec::new();
        Some(VariableReason {
            variable: Some(*variable),
            class: VariableClass::Essential,
            answer,
            because,
            message,
        })
    });
    Allowance::of(reasons.collect())
}

fn held_to(variable: Variable, stated: &Stated, asked: &Fact) -> (Within, String) {
    let answer = match (stated, asked) {
        (Stated::Range { min, max }, Fact::Measure(size)) => {
            let low = min.is_none_or(|min| !is_under(size, min.si));
            let high = max.is_none_or(|max| !is_over(size, max.si));
            if low && high { Within::Inside } else { Within::Outside }
        }
        (Stated::Words(words), Fact::Word(word)) => {
            if words.contains(word) {
                Within::Inside
            } else {
                Within::Outside
            }
        }
        (Stated::Value(value), asked) if is_same(value, asked) => Within::Inside,
        // One size without a range says nothing of the sizes next to it.
        (Stated::Value(Fact::Measure(_)), Fact::Measure(_)) => Within::NotSure,
        (Stated::Value(_), _) => Within::Outside,
        _ => Within::NotSure,
    };
    let verb = match answer {
        Within::Inside => "is within",
        Within::NotSure => "cannot be compared with",
        Within::Outside => "is outside",
    };
    let about = spaced(variable.word());
    (answer, format!("{about} {} {verb} {} of the WPS", asked.text(), stated.text()))
}
