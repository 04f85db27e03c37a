//! Whether a standing covers a joint: covered, not covered, or not sure, with
//! the rules that say so.
//!
//! A joint property that matters and was not given makes the answer not sure.

use bendproof_measure::{Quantity, System};
use bendproof_weld::{Process, Progression, Transfer};
use jiff::civil::Date;

use crate::extent::{is_over, is_under};
use crate::fact::{Fact, Known};
use crate::specimens::Cited;
use crate::standing::{Covered, Doubt, Gives, Grant, Standing};
use crate::words::{Facet, JointBacking, JointKind, JointPosition};

/// A production joint; `None` is not given.
///
/// It names no base metal: no answer about a joint says anything of base metal
/// groups, which the doubts of the standing speak of.
#[derive(Debug, Clone, PartialEq)]
pub struct Joint {
    /// Groove in plate, groove in pipe, or fillet.
    pub kind: JointKind,
    /// Position of the weld.
    pub position: JointPosition,
    /// Process.
    pub process: Process,
    /// Metal transfer; matters for GMAW.
    pub transfer: Option<Transfer>,
    /// Thickness of the base metal.
    pub thickness: Option<Quantity>,
    /// Pipe diameter.
    pub diameter: Option<Quantity>,
    /// Backing of a groove.
    pub backing: Option<JointBacking>,
    /// Progression where the weld is vertical.
    pub progression: Option<Progression>,
    /// F-number of the filler.
    pub filler: Option<String>,
    /// Day of the work.
    pub day: Option<Date>,
}

/// An answer about a joint, best first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum CoverAnswer {
    /// Every side of the joint is within the standing.
    Covered,
    /// Something is disputed, unknown or not given.
    NotSure,
    /// At least one side is outside.
    NotCovered,
}

impl CoverAnswer {
    /// `covered`, `not_sure` or `not_covered`.
    pub fn word(self) -> &'static str {
        match self {
            CoverAnswer::Covered => "covered",
            CoverAnswer::NotSure => "not_sure",
            CoverAnswer::NotCovered => "not_covered",
        }
    }
}

/// The answer about one side of a joint.
#[derive(Debug, Clone, PartialEq)]
pub struct CoverReason {
    /// Which side; `None` is the whole.
    pub facet: Option<Facet>,
    /// The answer.
    pub answer: CoverAnswer,
    /// Ids of the rules behind it.
    pub rules: Vec<String>,
    /// The reason as a sentence.
    pub message: String,
}

/// The answer about a joint.
#[derive(Debug, Clone, PartialEq)]
pub struct Coverage {
    /// Worst of the reasons.
    pub answer: CoverAnswer,
    /// One reason for each side that matters.
    pub reasons: Vec<CoverReason>,
}

/// Says whether a standing covers a joint.
pub fn covers(standing: &Standing, joint: &Joint) -> Coverage {
    if let Some(refused) = &standing.refused {
        let reason = CoverReason {
            facet: None,
            answer: CoverAnswer::NotCovered,
            rules: vec![refused.rule.clone()],
            message: refused.message.clone(),
        };
        return Coverage { answer: CoverAnswer::NotCovered, reasons: vec![reason] };
    }
    let mut reasons = word_reasons(standing, joint);
    reasons.push(position(standing, joint));
    reasons.push(size(standing, joint, Facet::Thickness, joint.thickness));
    if joint.kind == JointKind::PipeGroove && standing.grants_of(Facet::Diameter, joint.kind).next().is_some()
    {
        reasons.push(size(standing, joint, Facet::Diameter, joint.diameter));
    }
    reasons.extend(in_time(standing, joint));
    for doubt in standing.doubts.iter().filter(|d| is_about(d, standing, joint)) {
        // Where a side is doubted, what the other rules leave out is not refused.
        for reason in reasons.iter_mut().filter(|r| doubt.facet.is_some() && r.facet == doubt.facet) {
            reason.answer = reason.answer.min(CoverAnswer::NotSure);
        }
        reasons.push(CoverReason {
            facet: doubt.facet,
            answer: CoverAnswer::NotSure,
            rules: vec![doubt.rule.clone()],
            message: doubt.message.clone(),
        });
    }
    let answer = reasons.iter().map(|r| r.answer).max().unwrap_or(CoverAnswer::NotSure);
    Coverage { answer, reasons }
}

fn is_about(doubt: &Doubt, standing: &Standing, joint: &Joint) -> bool {
    // A lapse is settled by the last day covered.
    let settled = doubt.facet == Some(Facet::Continuity) && standing.until.is_some();
    let this_joint = doubt.joints.is_empty() || doubt.joints.iter().any(|j| j == joint.kind.word());
    !settled && this_joint && matters(doubt.facet, joint)
}

fn matters(facet: Option<Facet>, joint: &Joint) -> bool {
    match facet {
        Some(Facet::Progression) => joint.position == JointPosition::Vertical,
        Some(Facet::Diameter) => joint.kind == JointKind::PipeGroove,
        Some(Facet::Backing) => joint.kind != JointKind::Fillet,
        Some(Facet::Transfer) => joint.process == Process::Gmaw,
        Some(Facet::Continuity) => joint.day.is_some(),
        // A joint names no base metal, so the answer is not about it; the
        // standing's own doubts say that its group is not judged.
        Some(Facet::BaseMetal) => false,
        _ => true,
    }
}

fn word_reasons(standing: &Standing, joint: &Joint) -> Vec<CoverReason> {
    let asked = [
        (Facet::Process, Some(joint.process.word())),
        (Facet::Transfer, joint.transfer.map(Transfer::word)),
        (Facet::Progression, joint.progression.map(Progression::word)),
        (Facet::Backing, joint.backing.map(JointBacking::word)),
        (Facet::Filler, joint.filler.as_deref()),
    ];
    let wanted = asked.into_iter().filter(|(facet, _)| matters(Some(*facet), joint));
    wanted.map(|(facet, word)| word_reason(standing, joint, facet, word)).collect()
}

fn word_reason(standing: &Standing, joint: &Joint, facet: Facet, word: Option<&str>) -> CoverReason {
    let grants: Vec<&Grant> = standing.grants_of(facet, joint.kind).collect();
    let gives = |grant: &&&Grant, word: &str| match &grant.gives {
        Gives::Words(_, words) => words.iter().any(|w| w == word || w == ANY),
        _ => false,
    };
    if grants.is_empty() {
        let message = format!("no rule here says which {facet} the test covers");
        return reason(facet, CoverAnswer::NotSure, &[], message);
    }
    let Some(word) = word else {
        // A grant of anything needs no answer.
        let any: Vec<&Cited> = grants.iter().filter(|g| gives(g, ANY)).map(|g| &g.cited).collect();
        if !any.is_empty() {
            return reason(facet, CoverAnswer::Covered, &any, format!("any {facet} is covered"));
        }
        return reason(
            facet,
            CoverAnswer::NotSure,
            &all(&grants),
            format!("the joint's {facet} is not given"),
        );
    };
    let granting: Vec<&Cited> = grants.iter().filter(|g| gives(g, word)).map(|g| &g.cited).collect();
    if granting.is_empty() {
        let message = format!("{facet} {word} is not among what the test covers");
        return reason(facet, CoverAnswer::NotCovered, &all(&grants), message);
    }
    reason(facet, CoverAnswer::Covered, &granting, format!("{facet} {word} is covered"))
}

/// The word by which rule data grant every value of a facet.
pub(crate) const ANY: &str = "any";

fn position(standing: &Standing, joint: &Joint) -> CoverReason {
    let word = joint.position.word();
    let backing = joint.backing.map(|b| Fact::Word(b.word().to_owned()));
    let grants: Vec<&Grant> = standing.grants_of(Facet::Position, joint.kind).collect();
    let known = |grant: &Grant| match &grant.gives {
        Gives::Positions { plate_groove, fillet, pipe_groove } => match joint.kind {
            JointKind::PlateGroove => plate_groove.iter().any(|p| p == word).into(),
            JointKind::Fillet => fillet.iter().any(|p| p == word).into(),
            JointKind::PipeGroove => {
                Known::any(pipe_groove.iter().map(|row| row.covers(word, joint.diameter, backing.as_ref())))
            }
        },
        _ => Known::No,
    };
    let granting: Vec<&Cited> = grants.iter().filter(|g| known(g) == Known::Yes).map(|g| &g.cited).collect();
    let place = joint.kind.word().replace('_', " ");
    if !granting.is_empty() {
        let message = format!("position {word} in {place} is covered");
        return reason(Facet::Position, CoverAnswer::Covered, &granting, message);
    }
    match Known::any(grants.iter().map(|g| known(g))) {
        Known::Missing(fact) => {
            let what = fact.trim_start_matches("ask_");
            let message = format!("position {word} in {place} depends on the {what}, which is not given");
            reason(Facet::Position, CoverAnswer::NotSure, &all(&grants), message)
        }
        _ => {
            let message = format!("position {word} in {place} is not among what the test covers");
            reason(Facet::Position, CoverAnswer::NotCovered, &all(&grants), message)
        }
    }
}

fn size(standing: &Standing, joint: &Joint, facet: Facet, size: Option<Quantity>) -> CoverReason {
    let ranges: Vec<(&Cited, Covered)> = standing
        .grants_of(facet, joint.kind)
        .filter_map(|g| match &g.gives {
            Gives::Range { covered, .. } => Some((&g.cited, *covered)),
            _ => None,
        })
        .collect();
    let rules: Vec<&Cited> = ranges.iter().map(|(cited, _)| *cited).collect();
    if ranges.is_empty() {
        let message = format!("no rule here says which {facet} the test covers");
        return reason(facet, CoverAnswer::NotSure, &rules, message);
    }
    if ranges.iter().all(|(_, covered)| covered.max.is_none() && covered.min.inch_m <= 0.0) {
        return reason(facet, CoverAnswer::Covered, &rules, format!("any {facet} is covered"));
    }
    let Some(size) = size else {
        return reason(facet, CoverAnswer::NotSure, &rules, format!("the joint's {facet} is not given"));
    };
    let outside = ranges.iter().find(|(_, covered)| !contains(covered, &size));
    match outside {
        Some((cited, _)) => {
            let message =
                format!("{facet} {} is outside what the test covers", bendproof_measure::say(&size));
            reason(facet, CoverAnswer::NotCovered, &[*cited], message)
        }
        None => {
            let message = format!("{facet} {} is covered", bendproof_measure::say(&size));
            reason(facet, CoverAnswer::Covered, &rules, message)
        }
    }
}

fn contains(covered: &Covered, size: &Quantity) -> bool {
    // Written so that a NaN, which is neither over nor under, is outside.
    if !size.si.is_finite() {
        return false;
    }
    let inch = size.system == System::Inch;
    let pick = |both: crate::specimens::Both| if inch { both.inch_m } else { both.metric_m };
    let min = pick(covered.min);
    let low = if covered.min_excluded { is_over(size, min) } else { !is_under(size, min) };
    let high = covered
        .max
        .map(pick)
        .is_none_or(|max| if covered.max_excluded { is_under(size, max) } else { !is_over(size, max) });
    low && high
}

fn in_time(standing: &Standing, joint: &Joint) -> Option<CoverReason> {
    let (day, until, cited) = (joint.day?, standing.until?, standing.continuity.as_ref()?);
    let (answer, verb) = if day <= until {
        (CoverAnswer::Covered, "is within")
    } else {
        (CoverAnswer::NotCovered, "is after")
    };
    Some(reason(Facet::Continuity, answer, &[cited], format!("{day} {verb} the period that ends {until}")))
}

fn all<'a>(grants: &[&'a Grant]) -> Vec<&'a Cited> {
    grants.iter().map(|g| &g.cited).collect()
}

fn reason(facet: Facet, answer: CoverAnswer, rules: &[&Cited], message: String) -> CoverReason {
    let rules = rules.iter().map(|c| c.rule.clone()).collect();
    CoverReason { facet: Some(facet), answer, rules, message }
}
