//! The draft of a procedure: every variable a code names, the value of the
//! record, and how far it may go, with the arithmetic.

use bendproof_measure::Quantity;

use super::compare::rules_about;
use super::stated::{Procedure, Stated};
use crate::catalogue::Code;
use crate::rule::{Change, Cited, Fact, FactAnswer, Facts, Variable, VariableClass, say_recorded};
use crate::words::RuleKind;

/// One line of a draft.
#[derive(Debug, Clone, PartialEq)]
pub struct DraftLine {
    /// The variable.
    pub variable: Variable,
    /// What leaving the range means.
    pub class: VariableClass,
    /// The value of the record, printed; `None` where it is not given.
    pub value: Option<String>,
    /// What is allowed, with the arithmetic.
    pub allowed: String,
    /// Least allowed, where it is a size.
    pub min: Option<Quantity>,
    /// Greatest allowed, where it is a size.
    pub max: Option<Quantity>,
    /// Outside of it nothing is decided.
    pub unsure: bool,
    /// Conditions that the joint decides, in words; `None` where there are none.
    pub only_where: Option<String>,
    /// The rule.
    pub because: Cited,
    /// What the rule says of itself besides.
    pub note: Option<String>,
}

/// Drafts the procedure that a record supports: one line for each rule that
/// speaks of it, in the order of the variables.
///
/// A variable that the record does not give has its line all the same, so that
/// nobody takes its absence for a freedom.
pub fn draft(code: &Code, record: &Facts) -> Vec<DraftLine> {
    draft_from(code, record, &Procedure::default())
}

/// The same where a procedure is written already: an end is printed so that it
/// says of the procedure's values what the rule decides.
pub fn draft_from(code: &Code, record: &Facts, procedure: &Procedure) -> Vec<DraftLine> {
    let stated = |variable: Variable| {
        let claimed = procedure.stated.get(&variable).and_then(Stated::claimed);
        claimed.and_then(|fact| record.with(variable.asked(), fact)).unwrap_or_else(|| record.clone())
    };
    let rules = Variable::ALL.iter().flat_map(|v| rules_about(code, RuleKind::Variable, *v));
    rules
        .filter_map(|(rule, allowed)| {
            // What is not given yet shows as a condition; what is given otherwise leaves the rule out.
            let open: Vec<String> = match rule.applies(record) {
                FactAnswer::No => return None,
                FactAnswer::Yes => Vec::new(),
                FactAnswer::Missing(_) => {
                    let open = rule.when.iter().filter(|c| record.get(c.fact).is_none());
                    open.map(|c| c.text().trim_start_matches("ask ").to_owned()).collect()
                }
            };
            let (min, max) = allowed.span(record);
            let sentence = match allowed.change {
                Change::Never | Change::Doubt => rule.finding.clone(),
                _ => allowed.sentence(&stated(allowed.variable)),
            };
            Some(DraftLine {
                variable: allowed.variable,
                class: allowed.class,
                value: record.get(allowed.variable.of_record()).map(recorded),
                allowed: sentence,
                min,
                max,
                unsure: allowed.unsure || allowed.change == Change::Doubt,
                only_where: (!open.is_empty()).then(|| open.join(", ")),
                because: Cited::of(rule),
                note: rule.note.clone(),
            })
        })
        .collect()
}

/// A value of the record, printed.
fn recorded(fact: &Fact) -> String {
    match fact {
        Fact::Measure(value) => say_recorded(value),
        other => other.text(),
    }
}
