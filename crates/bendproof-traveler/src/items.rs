//! Forecast answers in the words of the shop.

use bendproof_forecast::{Forecast, HOLLOW, Item as Answer, NO_FALL, PassForecast, Unit, Verdict};
use bendproof_measure::round_to;

use crate::sheet::{Item, Mark, Provenance};

/// The sheet's mark for a forecast word.
pub(crate) fn mark(verdict: Verdict) -> Mark {
    match verdict {
        Verdict::Holds => Mark::Holds,
        Verdict::Marginal => Mark::Marginal,
        Verdict::Fails => Mark::Fails,
        Verdict::NotKnown => Mark::NotKnown,
    }
}

/// The sheet's mark for a code verdict.
pub(crate) fn code_mark(verdict: bendproof_codes::Verdict) -> Mark {
    match verdict {
        bendproof_codes::Verdict::Accept => Mark::Holds,
        bendproof_codes::Verdict::Void => Mark::Marginal,
        bendproof_codes::Verdict::Reject => Mark::Fails,
        bendproof_codes::Verdict::NotCovered => Mark::NotKnown,
    }
}

/// The words of a code verdict.
pub(crate) fn code_words(verdict: bendproof_codes::Verdict) -> &'static str {
    match verdict {
        bendproof_codes::Verdict::Accept => "accept",
        bendproof_codes::Verdict::Void => "void, replace specimen",
        bendproof_codes::Verdict::Reject => "reject",
        bendproof_codes::Verdict::NotCovered => "not covered",
    }
}

/// How a margin reads.
struct Wording {
    key: &'static str,
    label: &'static str,
    /// Behind a positive margin in metres: `past`, `left`.
    good: &'static str,
    /// Behind a negative one.
    bad: &'static str,
}

/// All answers of the forecast, root first.
pub(crate) fn items(forecast: &Forecast) -> Vec<Item> {
    let word = |key, label, good, bad| Wording { key, label, good, bad };
    let root = &forecast.root;
    let mut out = vec![
        item(&root.left_edge, &word("root.left_edge", "left root edge", "melted past", "short of melting")),
        item(
            &root.right_edge,
            &word("root.right_edge", "right root edge", "melted past", "short of melting"),
        ),
        item(&root.profile, &word("root.profile", "root profile", "inside convex", "hollow or too much")),
        item(&root.burn_through, &word("root.burn_through", "drop-out", "", "")),
        item(&root.outrun, &word("root.outrun", "puddle ahead of arc", "", "")),
    ];
    if let (Some(height_m), true) = (root.height_m, root.profile.driver != HOLLOW) {
        let side = if height_m >= 0.0 { "convex" } else { "hollow" };
        out[2].value = format!("{} mm {side}", round_to(height_m.abs() * 1e3, 1));
    }
    if root.outrun.driver == NO_FALL {
        out[4].value = "does not apply".to_owned();
        out[4].uncertainty = String::new();
    }
    if let Some(hot) = &root.hot_pass {
        out.push(item(
            hot,
            &word("root.hot_pass", "root under hot pass", "left solid", "to each side melted through"),
        ));
    }
    if let Some(thinnest) = thinnest_wall(&forecast.passes) {
        let label = format!("walls, thinnest at pass {}", thinnest.number);
        let mut wall =
            item(&thinnest.tie_in, &word("walls.thinnest", "walls", "past the wall", "short of the wall"));
        wall.label = label;
        out.push(wall);
    }
    let crown_m = forecast.passes.last().map(|last| last.crown_m);
    let bad = if crown_m.is_some_and(|m| m < 0.0) { "below flush" } else { "over the limit" };
    let mut crown = item(&forecast.crown, &word("crown", "crown", "inside the limit", bad));
    if let Some(crown_m) = crown_m.filter(|m| *m >= 0.0) {
        let high = format!("{} mm high", round_to(crown_m * 1e3, 1));
        crown.value = match forecast.crown.verdict {
            Verdict::NotKnown if forecast.crown.margin.is_some() => format!("{high}, no limit in this code"),
            Verdict::NotKnown => crown.value,
            _ => format!("{high}, {}", crown.value),
        };
    }
    out.push(crown);
    out
}

/// The worst wall after the root.
fn thinnest_wall(passes: &[PassForecast]) -> Option<&PassForecast> {
    let margin = |p: &&PassForecast| p.tie_in.margin.unwrap_or(f64::NEG_INFINITY);
    passes.iter().skip(1).min_by(|a, b| margin(a).total_cmp(&margin(b)))
}

/// The tie-in of one pass.
pub(crate) fn tie_in(pass: &PassForecast) -> Item {
    let (good, bad) = if pass.number == 1 {
        ("melted past", "short of melting")
    } else {
        ("past the wall", "short of the wall")
    };
    let mut tie = item(&pass.tie_in, &Wording { key: "tie_in", label: "tie-in", good, bad });
    tie.key = format!("pass.{}.tie_in", pass.number);
    tie
}

fn item(answer: &Answer, words: &Wording) -> Item {
    Item {
        key: words.key.to_owned(),
        label: words.label.to_owned(),
        mark: mark(answer.verdict),
        value: value(answer, words),
        uncertainty: uncertainty(answer),
        driver: answer.driver.clone(),
        provenance: Provenance {
            source: answer.source.to_owned(),
            basis: answer.basis.word().to_owned(),
            rule: None,
        },
    }
}

fn value(answer: &Answer, words: &Wording) -> String {
    let Some(margin) = answer.margin else { return "not known".to_owned() };
    match answer.unit {
        Unit::ShareOfLimit => format!("{:.0} % of limit", (1.0 - margin) * 100.0),
        Unit::Metre => {
            let side = if margin >= 0.0 { words.good } else { words.bad };
            format!("{} mm {side}", round_to(margin.abs() * 1e3, 1))
        }
    }
}

fn uncertainty(answer: &Answer) -> String {
    match (answer.uncertainty, answer.unit) {
        (Some(sigma), Unit::Metre) => format!("± {} mm", round_to(sigma * 1e3, 1)),
        (Some(sigma), Unit::ShareOfLimit) => format!("± {:.0} %", sigma * 100.0),
        (None, _) => String::new(),
    }
}
