//! Ranges of a standing in words: sizes in both systems, and pipe positions.

use bendproof_codes::held::{Covered, Standing};
use bendproof_measure::{round_to, say, unit_named};

/// A length in inches.
pub fn inches(m: f64) -> f64 {
    m / unit_named("in").map_or(1.0, |u| u.si_per_unit)
}

/// A range in words: `1/8 in to 3/4 in · 3 mm to 20 mm`. An end that is not part
/// of it says so: `over`, `under`.
pub fn range_words(covered: Option<&Covered>) -> String {
    let Some(c) = covered else { return "not known".to_owned() };
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
        return if s.positions.pipe_groove.is_empty() {
            "none".to_owned()
        } else {
            s.positions.pipe_groove.join(", ")
        };
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
