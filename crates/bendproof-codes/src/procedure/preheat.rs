//! The least metal temperature that a code's table asks for before the arc.
//!
//! Reads rows only; formulas of preheat are not a code's table and stand elsewhere.

use super::compare::{Within, said};
use crate::catalogue::Code;
use crate::rule::{Answer, Cited, Demand, Extent, FactAnswer, Facts, Pair};
use crate::words::RuleKind;

/// What one row of a table says.
#[derive(Debug, Clone, PartialEq)]
pub struct PreheatFinding {
    /// The least temperature, both values as the code prints them.
    pub least: Option<Pair>,
    /// Whether the temperature given is enough; not sure when none is given.
    pub answer: Within,
    /// The rule.
    pub because: Cited,
    /// The finding as a sentence.
    pub message: String,
    /// What the rule says of itself besides.
    pub note: Option<String>,
}

/// Says the least temperature for a steel, a thickness and a process.
///
/// `joint` holds `steel`, `thickness` of the thickest part, `process`,
/// `low_hydrogen` for stick electrodes, and `preheat` where it is to be judged.
/// An empty answer means that no row here speaks of the joint.
pub fn preheat(code: &Code, joint: &Facts) -> Vec<PreheatFinding> {
    let (mut sure, mut open) = (Vec::new(), Vec::new());
    for rule in code.of_kind(RuleKind::Preheat) {
        let least = match &rule.demand {
            Demand::AtLeast { limit: Extent::Pair(pair), .. } => Some(*pair),
            _ => None,
        };
        let needs = least.map_or_else(|| rule.finding.clone(), |pair| format!("minimum {}", pair.text()));
        let applies = rule.applies(joint);
        let (answer, message) = match (applies, rule.ask(joint)) {
            (FactAnswer::No, _) => continue,
            (FactAnswer::Missing(fact), _) => (
                Within::NotSure,
                format!("{}: {needs}, if {} matches this row; enter it", rule.title, said(fact)),
            ),
            (FactAnswer::Yes, Answer::Pass) => (Within::Inside, format!("{}: {needs}; met", rule.title)),
            (FactAnswer::Yes, Answer::Fail) if least.is_some() => {
                (Within::Outside, format!("{}: {needs}; the base metal is colder", rule.title))
            }
            _ => (Within::NotSure, format!("{}: {needs}", rule.title)),
        };
        let because = Cited::of(rule);
        let finding = PreheatFinding { least, answer, because, message, note: rule.note.clone() };
        if applies == FactAnswer::Yes { sure.push(finding) } else { open.push(finding) }
    }
    // Rows that may apply say nothing once another row is known to.
    if sure.is_empty() { open } else { sure }
}
