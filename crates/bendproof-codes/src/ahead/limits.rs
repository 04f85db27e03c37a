//! The limits a weld will be held to, before anybody has looked at it.
//!
//! Forecast, coverage and verdict ask the same rules under the same codes with
//! the same facts; what differs is only how much is known. A limit that waits for
//! a fact is handed on with what it waits for, and decides nothing.

use bendproof_measure::System;
use bendproof_weld::SizeLimit;

use crate::catalogue::Code;
use crate::judged::VisualReadings;
use crate::rule::{Cited, Condition, Demand, Extent, FactAnswer, Facts, Rule};
use crate::words::RuleKind;

/// One limit the coupon will be held to.
#[derive(Debug, Clone, PartialEq)]
pub struct LimitAhead {
    /// The code whose limit it is.
    pub code: String,
    /// The same as the trade says it, as `AWS D1.1:2020`.
    pub short: String,
    /// Looked at, or bent.
    pub kind: RuleKind,
    /// What is measured, where one size is: `cap_height`.
    pub fact: Option<&'static str>,
    /// Title of the rule.
    pub title: String,
    /// The limit in words, inch and metric.
    pub words: Vec<String>,
    /// Where it holds, if not everywhere on this coupon.
    pub only_where: Option<String>,
    /// Facts it waits for.
    pub open: Vec<&'static str>,
    /// The greatest size in the coupon's own units; `None` while it waits for a
    /// fact, or where the rule sets no greatest size.
    pub greatest: Option<SizeLimit>,
    /// The rule.
    pub because: Cited,
}

/// The limits a weld will be held to by eye under these codes together, in the
/// units its thickness was read in.
///
/// `known` is what is known of the weld so far: thickness, backing, level,
/// service. It may hold readings already, and need not.
///
/// # Examples
/// ```
/// use bendproof_codes::ahead::visual_limits;
/// use bendproof_codes::catalogue::code;
/// use bendproof_codes::judged::VisualReadings;
/// use bendproof_codes::words::FluidService;
/// use bendproof_measure::{Kind, Quantity};
///
/// let codes = [code("asme-ix").unwrap(), code("asme-b31.3").unwrap()];
/// let known = VisualReadings {
///     thickness: Quantity::parse(Kind::Length, "9.5 mm").ok(),
///     fluid_service: Some(FluidService::Normal),
///     ..VisualReadings::default()
/// };
/// let limits = visual_limits(&codes, &known);
/// let cap = limits.iter().find(|l| l.fact == Some("cap_height")).unwrap();
/// assert_eq!((cap.code.as_str(), cap.greatest.unwrap().most_m), ("asme-b31.3-undated", 3e-3));
/// ```
pub fn visual_limits(codes: &[&Code], known: &VisualReadings) -> Vec<LimitAhead> {
    let facts = known.facts();
    let system = known.thickness.map_or(System::Inch, |thickness| thickness.system);
    codes.iter().flat_map(|code| limits_of_kind(code, RuleKind::Visual, &facts, system)).collect()
}

/// The limits of one kind under one code that hold for these facts, or may.
pub(crate) fn limits_of_kind(code: &Code, kind: RuleKind, facts: &Facts, system: System) -> Vec<LimitAhead> {
    code.of_kind(kind).filter_map(|rule| limit(code, rule, facts, system)).collect()
}

fn limit(code: &Code, rule: &Rule, facts: &Facts, system: System) -> Option<LimitAhead> {
    let is_limit = matches!(
        rule.demand,
        Demand::AtMost { .. } | Demand::AtLeast { .. } | Demand::Sum { .. } | Demand::Flag { .. }
    );
    if !is_limit || rule.applies(facts) == FactAnswer::No {
        return None;
    }
    let waiting = || rule.when.iter().filter(|condition| facts.get(condition.fact).is_none());
    let only: Vec<String> = waiting().map(Condition::text).collect();
    let (fact, greatest) = match &rule.demand {
        Demand::AtMost { fact, limit, .. } => (Some(*fact), greatest(limit, own_width(fact), system, facts)),
        Demand::AtLeast { fact, .. } | Demand::Flag { fact, .. } => (Some(*fact), None),
        _ => (None, None),
    };
    Some(LimitAhead {
        code: code.id.clone(),
        short: code.short.clone(),
        kind: rule.kind,
        fact,
        title: rule.title.clone(),
        words: rule.limits_text(),
        only_where: (!only.is_empty()).then(|| only.join(" and ")),
        open: waiting().map(|condition| condition.fact).collect(),
        greatest: greatest.filter(|_| only.is_empty()),
        because: Cited::of(rule),
    })
}

/// The width of the bead that a height is compared with.
fn own_width(fact: &str) -> &'static str {
    if fact == "melt_through" { "root_width" } else { "cap_width" }
}

/// A limit as far as it is known while the bead's own width is not.
fn greatest(limit: &Extent, width: &str, system: System, facts: &Facts) -> Option<SizeLimit> {
    match limit {
        Extent::Times { of, times, plus } if *of == width && facts.get(of).is_none() => {
            Some(SizeLimit::growing(*times, plus.map_or(0.0, |pair| pair.in_system(system).si)))
        }
        Extent::Smaller(parts) => {
            let parts: Option<Vec<SizeLimit>> =
                parts.iter().map(|part| greatest(part, width, system, facts)).collect();
            parts?.into_iter().reduce(SizeLimit::and)
        }
        other => other.value(system, facts).map(SizeLimit::plain),
    }
}
