//! Judges what was read after welding by the rules of its kind: visual, tension,
//! macro, nick-break, fillet break, hardness and radiography alike.
//!
//! Holds no limit. A reading that was not taken is reported as not taken and
//! never accepts; bends have a judge of their own, because openings are judged
//! one by one.

use super::finding::{Finding, find, unknown};
use super::readings::{
    FilletBreakReadings, HardnessReadings, MacroReadings, NickBreakReadings, RadiographReadings,
    ReadingError, TensionPiece,
};
use super::visual::VisualReadings;
use crate::catalogue::Code;
use crate::rule::{Answer, Demand, FactAnswer, Facts, Most, Rule, is_shops};
use crate::words::{RuleKind, Verdict};

/// What was read in one examination, of one weld or one piece.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Readings<'a> {
    /// What the eye sees on the weld.
    Visual(&'a VisualReadings),
    /// One pulled piece.
    Tension(&'a TensionPiece),
    /// One etched section.
    Macro(&'a MacroReadings),
    /// One broken nick-break piece.
    NickBreak(&'a NickBreakReadings),
    /// One fillet weld broken open.
    FilletBreak(&'a FilletBreakReadings),
    /// One hardness traverse.
    Hardness(&'a HardnessReadings),
    /// The film or films of one weld.
    Radiograph(&'a RadiographReadings),
}

/// Verdict on what was read.
#[derive(Debug, Clone, PartialEq)]
pub struct ExamReport {
    /// The code.
    pub code: String,
    /// What was examined.
    pub kind: RuleKind,
    /// Worst of the findings; never accept while a reading is missing.
    pub verdict: Verdict,
    /// What each rule said.
    pub findings: Vec<Finding>,
    /// Facts that rules asked for and nobody measured.
    pub not_measured: Vec<&'static str>,
    /// Readings given that the code has no rule for; another document governs.
    pub not_judged: Vec<&'static str>,
}

/// Verdict of several codes on the same readings.
#[derive(Debug, Clone, PartialEq)]
pub struct JointReport {
    /// Worst of the codes' verdicts; not covered when none was named.
    pub verdict: Verdict,
    /// What each code said, in the order they were named.
    pub reports: Vec<ExamReport>,
    /// Readings that none of the codes judges.
    pub not_judged: Vec<&'static str>,
}

/// Facts that describe what was examined; they are not judged themselves.
const CONTEXT: &[&str] = &[
    "level",
    "weld_kind",
    "shape",
    "backing",
    "thickness",
    "wall",
    "butt_throat",
    "throat",
    "weld_length",
    "cap_width",
    "root_width",
    "outside_diameter",
    "fluid_service",
    "design_temperature",
    "full_penetration",
    "layers",
    "specified_tensile",
    "broke_in",
    "designated_size",
    "steel_group",
    "heat_treated",
    "slag_count",
];

/// Whether a fact describes what was examined.
pub(crate) fn is_context(fact: &str) -> bool {
    CONTEXT.contains(&fact)
}

/// Judges the readings of one examination under a code.
///
/// Inch readings are compared with the code's inch limits and metric ones with
/// its metric limits; where a code prints millimetres alone a reading in inches
/// is compared with the same length and the finding says so. A code without a
/// rule for this kind of examination covers nothing.
///
/// # Errors
/// [`ReadingError`] when a reading cannot be one: negative, not finite, or of
/// the wrong kind. Visual readings of that sort count as not measured instead.
///
/// # Examples
/// ```
/// use bendproof_codes::catalogue::code;
/// use bendproof_codes::judged::{Readings, VisualReadings, examine};
/// use bendproof_codes::words::Verdict;
///
/// let cracked = VisualReadings { crack: Some(true), ..Default::default() };
/// let report = examine(code("aws-d1.1").unwrap(), Readings::Visual(&cracked)).unwrap();
/// assert_eq!(report.verdict, Verdict::Reject);
/// ```
pub fn examine(code: &Code, readings: Readings<'_>) -> Result<ExamReport, ReadingError> {
    let (kind, facts) = match readings {
        Readings::Visual(visual) => (RuleKind::Visual, visual.facts()),
        Readings::Tension(piece) => (RuleKind::Tension, piece.facts()?),
        Readings::Macro(section) => (RuleKind::Macro, section.facts()?),
        Readings::NickBreak(piece) => (RuleKind::NickBreak, piece.facts()?),
        Readings::FilletBreak(piece) => (RuleKind::FilletBreak, piece.facts()?),
        Readings::Hardness(traverse) => (RuleKind::Hardness, traverse.facts()?),
        Readings::Radiograph(film) => (RuleKind::Radiography, film.facts()?),
    };
    Ok(judged(code, kind, &facts))
}

/// Judges the same readings under several codes, as a qualification code and
/// the construction code that it leaves the cap to. The worst verdict holds.
///
/// # Errors
/// [`ReadingError`], as [`examine`].
///
/// # Examples
/// ```
/// use bendproof_codes::catalogue::code;
/// use bendproof_codes::judged::{Readings, VisualReadings, examine_together};
///
/// let codes = [code("asme-ix").unwrap(), code("asme-b31.3").unwrap()];
/// let seen = VisualReadings { crack: Some(false), ..Default::default() };
/// assert_eq!(examine_together(&codes, Readings::Visual(&seen)).unwrap().reports.len(), 2);
/// ```
pub fn examine_together(codes: &[&Code], readings: Readings<'_>) -> Result<JointReport, ReadingError> {
    let reports: Vec<ExamReport> =
        codes.iter().map(|code| examine(code, readings)).collect::<Result<_, _>>()?;
    let verdict = reports.iter().map(|r| r.verdict).max().unwrap_or(Verdict::NotCovered);
    let in_all = |name: &&'static str| reports.iter().all(|r| r.not_judged.contains(name));
    let not_judged = reports.iter().flat_map(|r| &r.not_judged).copied();
    let mut not_judged: Vec<&'static str> = not_judged.filter(in_all).collect();
    not_judged.sort_unstable();
    not_judged.dedup();
    Ok(JointReport { verdict, reports, not_judged })
}

/// Readings against the rules of one kind.
pub(crate) fn judged(code: &Code, kind: RuleKind, facts: &Facts) -> ExamReport {
    let mut findings = Vec::new();
    let mut not_measured: Vec<&'static str> = Vec::new();
    for rule in code.of_kind(kind) {
        let missing = match (rule.applies(facts), rule.ask(facts)) {
            (FactAnswer::No, _) => continue,
            (FactAnswer::Missing(fact), _) | (_, Answer::Missing(fact)) => Some(fact),
            _ => None,
        };
        match missing {
            Some(fact) => {
                if !not_measured.contains(&fact) {
                    not_measured.push(fact);
                }
                findings.push(unknown(rule, fact));
            }
            None => findings.extend(find(rule, facts)),
        }
    }
    // A shop's own rule that is content does not make the code speak.
    let codes = findings.iter().filter(|f| !is_shops(&f.rule)).map(|f| f.verdict).max();
    let shops = findings.iter().filter(|f| is_shops(&f.rule)).map(|f| f.verdict).max();
    let verdict = codes.unwrap_or(Verdict::NotCovered).max(shops.unwrap_or(Verdict::Accept));
    let is_left =
        |name: &&'static str| !is_context(name) && !code.of_kind(kind).any(|rule| asks_about(rule, name));
    let not_judged = facts.iter().map(|(name, _)| name).filter(is_left).collect();
    ExamReport { code: code.id.clone(), kind, verdict, findings, not_measured, not_judged }
}

/// Whether a rule asks about this fact, or leans on it.
fn asks_about(rule: &Rule, name: &str) -> bool {
    let demanded = match &rule.demand {
        Demand::AtMost { fact, limit, .. } | Demand::AtLeast { fact, limit, .. } => {
            *fact == name || limit.leans_on(name)
        }
        Demand::Within { fact, most, .. } => {
            *fact == name || matches!(most, Most::Sum(limit) if limit.leans_on(name))
        }
        Demand::Flag { fact, .. } => *fact == name,
        _ => false,
    };
    demanded || rule.when.iter().any(|c| c.fact == name)
}
