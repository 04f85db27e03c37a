//! Ranges of a standing in words: sizes in both systems, and pipe positions.

use bendproof_codes::held::{Covered, Standing};
use bendproof_codes::words::{Facet, JointKind};
use bendproof_measure::{round_to, say, unit_named};

/// A length in inches.
pub fn inches(m: f64) -> f64 {
    m / unit_named("in").map_or(1.0, |u| u.si_per_unit)
}

/// Words in a list, or why there are none; of positions, for one kind of joint.
pub fn list_words(s: &Standing, list: &[String], facet: Facet, joint: Option<JointKind>) -> String {
    if list.is_empty() { s.gap(facet, joint).text().to_owned() } else { list.join(", ") }
}

/// The thickness or the diameter in words, or why there is none.
pub fn size_words(s: &Standing, facet: Facet) -> String {
    let covered = if facet == Facet::Diameter { &s.diameter } else { &s.thickness };
    covered.as_ref().map_or_else(|| s.gap(facet, None).text().to_owned(), range_words)
}

/// A range in words: `1/8 in to 3/4 in · 3 mm to 20 mm`. An end that is not part
/// of it says so: `over`, `under`.
pub fn range_words(c: &Covered) -> String {
    let inch = |m: f64| {
        say(&bendproof_measure::Quantity {
            si: m,
            kind: bendproof_measure::Kind::Length,
            system: bendproof_measure::System::Inch,
        })
    };
    let mm = |m: f64, decimals: usize| format!("{} mm", round_to(m * 1e3, decimals));
    if c.metric_only {
        return span(c, Some(mm(c.min.metric_m, 2)), c.max.map(|m| mm(m.metric_m, 2)));
    }
    // A least thickness of nothing is no limit worth saying.
    let has_least = c.min.inch_m > 0.0 || c.max.is_none();
    let least = |words: String| has_least.then_some(words);
    let inches = span(c, least(inch(c.min.inch_m)), c.max.map(|m| inch(m.inch_m)));
    let metric = span(c, least(mm(c.min.metric_m, 1)), c.max.map(|m| mm(m.metric_m, 1)));
    format!("{inches} · {metric}")
}

fn span(c: &Covered, least: Option<String>, most: Option<String>) -> String {
    let over = if c.min_excluded { "over " } else { "" };
    match (least, most) {
        (Some(least), Some(most)) if c.max_excluded => format!("{over}{least} to under {most}"),
        (Some(least), Some(most)) => format!("{over}{least} to {most}"),
        (Some(least), None) if c.min_excluded => format!("over {least}, unlimited"),
        (Some(least), None) => format!("{least} and up, unlimited"),
        (None, Some(most)) if c.max_excluded => format!("under {most}"),
        (None, Some(most)) => format!("up to {most}"),
        (None, None) => "unlimited".to_owned(),
    }
}

/// Positions for pipe grooves with the sizes they hold for: `F, V from 24 in · F from 2-7/8 in`.
pub fn pipe_words(s: &Standing) -> String {
    if s.pipe_rows.is_empty() {
        return list_words(s, &s.positions.pipe_groove, Facet::Position, Some(JointKind::PipeGroove));
    }
    let row = |row: &bendproof_codes::rule::PipeRow| {
        let from = row.from.map(|pair| {
            let over = if row.from_excluded { "over" } else { "from" };
            if pair.is_metric_only() {
                return format!(" {over} {} mm", round_to(pair.metric_si * 1e3, 1));
            }
            format!(" {over} {} in", round_to(inches(pair.inch_si), 3))
        });
        let backing =
            if row.backing.is_empty() { String::new() } else { format!(" ({})", row.backing.join(", ")) };
        let turned = if row.rotated { " (turned)" } else { "" };
        format!("{}{}{backing}{turned}", row.words.join(", "), from.unwrap_or_default())
    };
    s.pipe_rows.iter().map(row).collect::<Vec<_>>().join(" · ")
}
