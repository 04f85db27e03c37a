//! Forecast answers in the words of the shop.

use std::collections::BTreeSet;

use bendproof_codes::ahead::LimitAhead;
use bendproof_forecast::{Forecast, HOLLOW, Item as Answer, NO_FALL, PassForecast, Unit, Verdict};
use bendproof_measure::{Kind, Quantity, System, Toward, computed_length, say_computed};

use crate::sheet::{Item, Provenance, mark, rule_ref};

/// The chance of a coupon's root in words: `82 %`, and while its beads are not
/// solved what it may still turn out to be.
pub(crate) fn chance_words(chance: &bendproof_forecast::Chance) -> String {
    let [share, note] = chance_brief(chance);
    if note.is_empty() { share } else { format!("{share}, {note}") }
}

/// The chance along the whole root, and what it will be once the beads are solved,
/// where they are not yet.
pub(crate) fn chance_brief(chance: &bendproof_forecast::Chance) -> [String; 2] {
    let percent = |share: f64| format!("{:.0}", share * 100.0);
    let note = match (chance.is_solved, chance.range) {
        (true, _) => String::new(),
        (false, [low, high]) => format!("provisional: {} to {} % once solved", percent(low), percent(high)),
    };
    [format!("{} %", percent(chance.along)), note]
}

/// How a margin reads.
struct Wording {
    key: &'static str,
    label: &'static str,
    /// Behind a positive margin in metres: `past`, `left`.
    good: &'static str,
    /// Behind a negative one.
    bad: &'static str,
    /// The coupon's own units.
    system: System,
}

/// All answers of the forecast, root first, in the coupon's own units.
pub(crate) fn items(forecast: &Forecast, cap: &CapLimit, system: System) -> Vec<Item> {
    let word = |key, label, good, bad| Wording { key, label, good, bad, system };
    let edge = |key, label| {
        word(key, label, "melted past at the leading edge", "short of melting at the leading edge")
    };
    let root = &forecast.root;
    let mut out = vec![
        item(&root.left_edge, &edge("root.left_edge", "left root face")),
        item(&root.right_edge, &edge("root.right_edge", "right root face")),
        item(&root.profile, &word("root.profile", "root profile", "inside convex", "concave or too high")),
        item(&root.burn_through, &word("root.burn_through", "burn-through", "", "")),
        item(&root.outrun, &word("root.outrun", "puddle ahead of arc", "", "")),
    ];
    if root.profile.driver == HOLLOW {
        out[2].value = "root not melted through".to_owned();
        out[2].uncertainty = String::new();
    } else if let Some(height_m) = root.height_m {
        let side = if height_m >= 0.0 { "convex" } else { "hollow" };
        out[2].value = format!("{} {side}", computed_length(height_m.abs(), system));
    }
    if root.outrun.driver == NO_FALL {
        out[4].value = "does not apply".to_owned();
        out[4].uncertainty = String::new();
    }
    if let Some(hot) = &root.hot_pass {
        out.push(item(
            hot,
            &word(
                "root.hot_pass",
                "root bead under hot pass",
                "solid metal left",
                "to each side melted through",
            ),
        ));
    }
    if let Some(thinnest) = thinnest_wall(&forecast.passes) {
        let mut least = tie_in(thinnest, system);
        least.key = "walls.thinnest".to_owned();
        least.label = format!("{FUSION}, least at pass {}", thinnest.number);
        out.push(least);
    }
    out.push(crown(forecast, cap, system));
    out
}

/// The cap: how high, and how that stands to the limit that governs.
fn crown(forecast: &Forecast, cap: &CapLimit, system: System) -> Item {
    let crown_m = forecast.passes.last().map(|last| last.crown_m);
    let bad = if crown_m.is_some_and(|m| m < 0.0) { "below flush" } else { "over" };
    let mut crown =
        item(&forecast.crown, &Wording { key: "crown", label: "cap height", good: "inside", bad, system });
    if let Some(crown_m) = crown_m.filter(|m| *m >= 0.0) {
        let high = format!("{} high", computed_length(crown_m, system));
        crown.value = match forecast.crown.verdict {
            Verdict::NotKnown if forecast.crown.margin.is_some() => format!("{high}, {}", cap.words),
            Verdict::NotKnown => crown.value,
            _ => format!("{high}, {} {}", crown.value, cap.words),
        };
        if cap.rule.is_some() {
            crown.provenance.rule = cap.rule.clone();
        }
    }
    crown
}

/// The limit of a cap before it is welded, in words.
#[derive(Debug, Clone, Default)]
pub(crate) struct CapLimit {
    /// `3 mm, ASME B31.3, undated Table 341.3.2(A) L`, or why there is none.
    words: String,
    /// The rule that sets it.
    rule: Option<String>,
}

impl CapLimit {
    /// The limit that governs a cap this wide, m; and what another one waits for.
    pub(crate) fn of(ahead: &[LimitAhead], width_m: f64, system: System) -> Self {
        let caps = || ahead.iter().filter(|l| l.fact == Some("cap_height"));
        let at = |l: &LimitAhead| l.greatest.map(|limit| limit.at(width_m));
        let known = caps().filter_map(|l| Some((l, at(l)?))).min_by(|a, b| a.1.total_cmp(&b.1));
        let waits: BTreeSet<String> =
            caps().flat_map(|l| &l.open).map(|fact| fact.replace('_', " ")).collect();
        let waits = waits.into_iter().collect::<Vec<_>>().join(" and ");
        match known {
            Some((limit, most_m)) => {
                let most = Quantity { si: most_m, kind: Kind::Length, system };
                let most = say_computed(&most, Toward::Less);
                let more =
                    if waits.is_empty() { waits } else { format!("; another limit depends on {waits}") };
                Self {
                    words: format!("{most}, {} {}{more}", limit.short, limit.because.clause),
                    rule: Some(rule_ref(&limit.code, &limit.because.rule)),
                }
            }
            None if !waits.is_empty() => {
                Self { words: format!("the limit depends on {waits}, not entered"), rule: None }
            }
            None => Self { words: "no limit in this code".to_owned(), rule: None },
        }
    }
}

/// The worst wall after the root.
fn thinnest_wall(passes: &[PassForecast]) -> Option<&PassForecast> {
    let margin = |p: &&PassForecast| p.tie_in.margin.unwrap_or(f64::NEG_INFINITY);
    passes.iter().skip(1).min_by(|a, b| margin(a).total_cmp(&margin(b)))
}

/// Label of the least fusion of a pass, to walls or to the metal below.
pub(crate) const FUSION: &str = "fusion";

/// The fusion of one pass where it is least.
pub(crate) fn tie_in(pass: &PassForecast, system: System) -> Item {
    let (good, bad) = match (pass.number, pass.is_least_below) {
        (1, _) => ("melted past", "short of melting"),
        (_, false) => ("into the wall", "short of the wall"),
        (2, true) => ("into the root bead", "short of the root bead"),
        (_, true) => ("into the bead below", "short of the bead below"),
    };
    let mut tie = item(&pass.tie_in, &Wording { key: "tie_in", label: FUSION, good, bad, system });
    tie.key = format!("pass.{}.tie_in", pass.number);
    tie
}

fn item(answer: &Answer, words: &Wording) -> Item {
    Item {
        key: words.key.to_owned(),
        label: words.label.to_owned(),
        mark: mark(answer.verdict),
        value: value(answer, words),
        uncertainty: uncertainty(answer, words.system),
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
            format!("{} {side}", computed_length(margin.abs(), words.system))
        }
    }
}

fn uncertainty(answer: &Answer, system: System) -> String {
    match (answer.uncertainty, answer.unit) {
        (Some(sigma), Unit::Metre) => format!("± {}", computed_length(sigma, system)),
        (Some(sigma), Unit::ShareOfLimit) => format!("± {:.0} %", sigma * 100.0),
        (None, _) => String::new(),
    }
}
