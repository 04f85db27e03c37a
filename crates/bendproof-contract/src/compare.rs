//! A comparison of two coupons as JSON. Fields are only ever added.

use bendproof_forecast::{Item, Unit};
use bendproof_traveler::compare::{Compared, of_shares, scale};
use serde_json::{Value, json};

use super::sources::sources_json;

/// The comparison: inputs, answers with their shares, numbers.
pub fn compare(c: &Compared) -> Value {
    let item = |i: Option<&Item>| {
        i.map(|i| {
            let scale = scale(i.unit);
            json!({
                "verdict": i.verdict.word(),
                "margin": i.margin.map(|m| m * scale),
                "uncertainty": i.uncertainty.map(|u| u * scale),
                "driver": i.driver,
                "source": i.source,
                "basis": i.basis.word(),
            })
        })
    };
    json!({
        "numbers": [c.sides[0].number, c.sides[1].number],
        "titles": [c.sides[0].title, c.sides[1].title],
        "verdicts": [c.sides[0].forecast.verdict.word(), c.sides[1].forecast.verdict.word()],
        "inputs": c.inputs.iter().map(|d| json!({
            "field": d.path, "label": d.label, "texts": d.texts,
        })).collect::<Value>(),
        "answers": c.answers.iter().map(|p| json!({
            "about": p.failure.key(),
            "pass": if p.pass == 0 { None } else { Some(p.pass) },
            "name": p.name,
            "unit": if p.unit() == Unit::Metre { "mm" } else { "share of limit left" },
            "items": [item(p.items[0].as_ref()), item(p.items[1].as_ref())],
            "words_differ": p.words_differ(),
            "difference": p.difference().map(|d| d * scale(p.unit())),
            "shares": p.shares.iter().map(|s| json!({
                "field": s.path, "label": s.label, "margin": s.margin * scale(p.unit()),
            })).collect::<Value>(),
            "together": p.together.map(|t| t * scale(p.unit())),
        })).collect::<Value>(),
        "figures": c.figures.iter().map(|f| json!({
            "label": f.label,
            "texts": f.texts,
            "sources": f.provenance.each_ref().map(|p| p.as_ref().map(|p| json!({
                "source": p.source, "basis": p.basis,
            }))),
        })).collect::<Value>(),
        "sources": sources_json(&[of_shares()]),
    })
}
