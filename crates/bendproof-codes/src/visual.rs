//! Judges what the eye sees on a test weld before any strap is cut.
//!
//! A reading that was not taken is reported as not taken; it never accepts.

use bendproof_measure::Quantity;
use bendproof_weld::Backing;

use crate::catalogue::Code;
use crate::extent::Extent;
use crate::fact::{Fact, Facts, Known};
use crate::finding::{Finding, find, unknown};
use crate::rule::Demand;
use crate::shop::is_shops;
use crate::words::{RuleKind, Verdict};

/// Readings of one test weld; `None` is not measured.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct VisualReadings {
    /// A crack is visible.
    pub crack: Option<bool>,
    /// Craters are filled to the full section.
    pub crater_filled: Option<bool>,
    /// Weld and base metal are fused, layer to layer too.
    pub fusion_complete: Option<bool>,
    /// The root is penetrated.
    pub penetration_complete: Option<bool>,
    /// Height of the cap above the plate.
    pub cap_height: Option<Quantity>,
    /// Depth of undercut.
    pub undercut: Option<Quantity>,
    /// Depth of a sucked-back root; zero when convex.
    pub root_concavity: Option<Quantity>,
    /// Height of the root bead inside; zero when concave.
    pub melt_through: Option<Quantity>,
    /// Whole weld thickness, needed where the root is concave.
    pub weld_thickness: Option<Quantity>,
    /// Base metal thickness.
    pub thickness: Option<Quantity>,
    /// Backing of the test joint.
    pub backing: Option<Backing>,
}

/// Verdict on what was seen.
#[derive(Debug, Clone, PartialEq)]
pub struct VisualReport {
    /// The code.
    pub code: String,
    /// Worst of the findings; never accept while a reading is missing.
    pub verdict: Verdict,
    /// What each rule said.
    pub findings: Vec<Finding>,
    /// Facts that rules asked for and nobody measured.
    pub not_measured: Vec<&'static str>,
    /// Readings given that the code has no rule for; another document governs.
    pub not_judged: Vec<&'static str>,
}

/// Judges the readings under a code.
///
/// A negative or NaN reading counts as not measured.
pub fn judge_visual(code: &Code, readings: &VisualReadings) -> VisualReport {
    let facts = readings.facts();
    let mut findings = Vec::new();
    let mut not_measured: Vec<&'static str> = Vec::new();
    for rule in code.of_kind(RuleKind::Visual) {
        let missing = match (rule.applies(&facts), rule.ask(&facts)) {
            (Known::No, _) => continue,
            (Known::Missing(fact), _) | (_, crate::rule::Answer::Missing(fact)) => Some(fact),
            _ => None,
        };
        match missing {
            Some(fact) => {
                if !not_measured.contains(&fact) {
                    not_measured.push(fact);
                }
                findings.push(unknown(rule, fact));
            }
            None => findings.extend(find(rule, &facts)),
        }
    }
    // A shop's own rule that is content does not make the code speak.
    let codes = findings.iter().filter(|f| !is_shops(&f.rule)).map(|f| f.verdict).max();
    let shops = findings.iter().filter(|f| is_shops(&f.rule)).map(|f| f.verdict).max();
    let verdict = codes.unwrap_or(Verdict::NotCovered).max(shops.unwrap_or(Verdict::Accept));
    let not_judged = facts.iter().map(|(name, _)| name).filter(|name| !is_asked(code, name)).collect();
    VisualReport { code: code.id.clone(), verdict, findings, not_measured, not_judged }
}

/// Whether a visual rule of the code asks about this fact, or leans on it.
fn is_asked(code: &Code, name: &str) -> bool {
    code.of_kind(RuleKind::Visual).any(|rule| {
        let demanded = match &rule.demand {
            Demand::AtMost { fact, limit, .. } | Demand::AtLeast { fact, limit, .. } => {
                *fact == name || matches!(limit, Extent::Times { of, .. } if *of == name)
            }
            Demand::Flag { fact, .. } => *fact == name,
            _ => false,
        };
        demanded || rule.when.iter().any(|c| c.fact == name)
    })
}

impl VisualReadings {
    fn facts(&self) -> Facts {
        let mut facts = Facts::default();
        let flags = [
            ("crack", self.crack),
            ("crater_filled", self.crater_filled),
            ("fusion_complete", self.fusion_complete),
            ("penetration_complete", self.penetration_complete),
        ];
        for (name, flag) in flags {
            if let Some(flag) = flag {
                facts.set(name, Fact::Flag(flag));
            }
        }
        let sizes = [
            ("cap_height", self.cap_height),
            ("undercut", self.undercut),
            ("root_concavity", self.root_concavity),
            ("melt_through", self.melt_through),
            ("weld_thickness", self.weld_thickness),
            ("thickness", self.thickness),
        ];
        for (name, size) in sizes {
            facts.measure(name, size.filter(|q| q.si.is_finite() && q.si >= 0.0));
        }
        if let Some(backing) = self.backing {
            facts.word("backing", backing.word());
        }
        facts
    }
}
