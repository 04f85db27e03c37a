//! Whether a rule's worked cases reach its limits: a rule that holds a size
//! needs a case that sits exactly on one, because that is where rules are
//! written wrong.
//!
//! Works it out from the facts of the cases; no case says so of itself.

use bendproof_measure::Quantity;

use crate::rule::{Demand, Extent, Fact, Facts, Most, Rule, Test, counted_sum, is_over, is_under};

/// The size a case of this rule should sit on, in words, when none sits on any.
pub(crate) fn missing(rule: &Rule) -> Option<String> {
    let limits = limits(rule);
    let (fact, limit) = limits.first()?;
    let reached =
        |facts: &Facts| limits.iter().any(|(fact, limit)| sits_on(facts, fact, limit, &rule.demand));
    if rule.cases.iter().any(|case| reached(&case.facts)) {
        return None;
    }
    Some(format!("{} exactly {}", fact.replace('_', " "), limit.text()))
}

/// Every size the rule compares a fact with; nothing and no end are none.
fn limits(rule: &Rule) -> Vec<(&'static str, Extent)> {
    let mut found = Vec::new();
    for condition in &rule.when {
        if let Test::Size { over, at_least, at_most, under } = &condition.test {
            let ends = [over, at_least, at_most, under].into_iter().flatten();
            found.extend(ends.map(|end| (condition.fact, end.clone())));
        }
    }
    let pair = |pair: &crate::rule::Pair| Extent::Pair(*pair);
    match &rule.demand {
        Demand::AtMost { fact, limit, .. } | Demand::AtLeast { fact, limit, .. } => {
            found.push((*fact, limit.clone()));
        }
        Demand::Sum { over, up_to, at_most, .. } => {
            found.extend([at_most, over, up_to].map(|p| ("openings", pair(p))));
        }
        Demand::Within { fact, stretch, most, .. } => {
            let sum = match most {
                Most::Sum(limit) => Some(limit.clone()),
                Most::Count(_) => None,
            };
            found.extend(sum.into_iter().chain(stretch.over.clone()).map(|size| (*fact, size)));
        }
        Demand::Variable(allowed) => {
            found.extend(allowed.ends().map(|end| (allowed.subject, end.clone())));
        }
        Demand::StrapsOver { limit, .. } => found.push(("longest_openings", pair(limit))),
        Demand::Range { facet, min, max, .. } => {
            found.extend([min, max].map(|end| (facet.asked(), end.clone())));
        }
        Demand::Positions { pipe_groove, pipe_fillet, .. } => {
            let rows = pipe_groove.iter().chain(pipe_fillet.iter().flatten());
            found.extend(rows.filter_map(|row| row.from.as_ref()).map(|p| ("ask_diameter", pair(p))));
        }
        Demand::Strap { length, thickness, edge_radius, .. } => {
            let sizes =
                [("strap_length", length), ("strap_thickness", thickness), ("edge_radius", edge_radius)];
            found.extend(sizes.map(|(fact, size)| (fact, size.clone())));
        }
        Demand::Jig { a, .. } => found.push(("former", a.clone())),
        _ => {}
    }
    found.retain(|(_, limit)| !is_open(limit));
    found
}

fn is_open(limit: &Extent) -> bool {
    match limit {
        Extent::Unlimited => true,
        Extent::Pair(pair) => pair.inch_si <= 0.0 && pair.metric_si <= 0.0,
        _ => false,
    }
}

fn sits_on(facts: &Facts, fact: &str, limit: &Extent, demand: &Demand) -> bool {
    let on = |size: &Quantity| {
        let value = limit.value(size.system, facts);
        value.is_some_and(|si| !is_over(size, si) && !is_under(size, si))
    };
    match (facts.get(fact), demand) {
        (Some(Fact::Measure(size)), _) => on(size),
        (Some(Fact::Measures(list)), Demand::Sum { over, up_to, at_most, .. }) => {
            list.iter().any(on) || on(&counted_sum(list, over, up_to, at_most).0)
        }
        (Some(Fact::Measures(list)), _) => list.iter().any(on),
        (Some(Fact::Spans(list)), Demand::Within { stretch, .. }) => {
            list.iter().any(|span| on(&span.length)) || stretch.sum(list, facts).is_some_and(|sum| on(&sum))
        }
        (Some(Fact::Spans(list)), _) => list.iter().any(|span| on(&span.length)),
        _ => false,
    }
}
