//! What a passed test covers, and whether it covers a joint, as JSON. Fields are only ever added.

use bendproof_codes::held::{CoverAnswer, Coverage, Covered, Standing, lasting_words};
use bendproof_codes::words::{Facet, JointKind};
use bendproof_measure::round_to;
use bendproof_traveler::welder::{HeldAnswer, RecordAnswer, inches};
use serde_json::{Value, json};

use super::cover::reason;

/// The answer of every code under which something is held.
pub fn held(answer: &HeldAnswer) -> Value {
    let test = |(coupon, coverage): &(String, Coverage)| json!({ "coupon": coupon, "coverage": self::coverage(coverage) });
    json!({
        "question": answer.question,
        "answer": answer.overall().map(CoverAnswer::word),
        "under": answer.under.iter().map(|u| json!({
            "code": u.code.id,
            "answer": u.answer.word(),
            "tests": u.tests.iter().map(test).collect::<Vec<_>>(),
        })).collect::<Vec<_>>(),
    })
}

/// What a passed test covers.
pub fn standing(s: &Standing) -> Value {
    json!({
        "code": s.code,
        "welder": s.welder,
        "covers": {
            "processes": s.processes,
            "transfer_modes": s.transfer_modes,
            "positions": {
                "plate_groove": s.positions.plate_groove,
                "pipe_groove": s.positions.pipe_groove,
                "fillet": s.positions.fillet,
            },
            "pipe_rows": s.pipe_rows.iter().map(|row| json!({
                "positions": row.words,
                "from": row.from.map(|p| both_json(p.inch_si, p.metric_si)),
                "from_excluded": row.from_excluded,
                "backing": row.backing,
                "turned_only": row.rotated,
            })).collect::<Vec<_>>(),
            "progressions": s.progressions,
            "thickness": range(s.thickness.as_ref()),
            "diameter": range(s.diameter.as_ref()),
            "backing": s.backing,
            "fillers": s.fillers,
            "base_metals": s.base_metals,
            "filler_types": s.filler_types,
            "welds": s.welds,
            "products": s.products,
            "runs": s.runs,
            "polarities": s.polarities,
            "backing_gases": s.backing_gases,
            "why_empty": why_empty(s),
        },
        "finished": s.finished.to_string(),
        "until": s.until.map(|d| d.to_string()),
        "ended": s.ended.map(|d| d.to_string()),
        "on": s.on.map(|d| d.to_string()),
        "hold": s.hold.map(|h| h.word()),
        "lasts": lasting_words(s.hold, s.until),
        "because": s.because.iter().map(|c| json!({
            "rule": c.rule, "clause": c.clause, "basis": c.basis.word(),
        })).collect::<Vec<_>>(),
        "doubts": s.doubts.iter().map(|d| json!({
            "about": d.facet.map(|f| f.word()), "rule": d.rule, "message": d.message,
        })).collect::<Vec<_>>(),
        "refused": s.refused.as_ref().map(|d| json!({ "rule": d.rule, "message": d.message })),
    })
}

/// Why each empty list and each range that is null names nothing.
fn why_empty(s: &Standing) -> Value {
    use JointKind::{Fillet, PipeGroove, PlateGroove};
    let p = &s.positions;
    let sides = [
        ("processes", s.processes.is_empty(), Facet::Process, None),
        ("transfer_modes", s.transfer_modes.is_empty(), Facet::Transfer, None),
        ("plate_groove", p.plate_groove.is_empty(), Facet::Position, Some(PlateGroove)),
        ("pipe_groove", p.pipe_groove.is_empty(), Facet::Position, Some(PipeGroove)),
        ("fillet", p.fillet.is_empty(), Facet::Position, Some(Fillet)),
        ("progressions", s.progressions.is_empty(), Facet::Progression, None),
        ("thickness", s.thickness.is_none(), Facet::Thickness, None),
        ("diameter", s.diameter.is_none(), Facet::Diameter, None),
        ("backing", s.backing.is_empty(), Facet::Backing, None),
        ("fillers", s.fillers.is_empty(), Facet::Filler, None),
        ("base_metals", s.base_metals.is_empty(), Facet::BaseMetal, None),
        ("filler_types", s.filler_types.is_empty(), Facet::FillerType, None),
        ("welds", s.welds.is_empty(), Facet::Weld, None),
        ("products", s.products.is_empty(), Facet::Product, None),
        ("runs", s.runs.is_empty(), Facet::Runs, None),
        ("polarities", s.polarities.is_empty(), Facet::Polarity, None),
        ("backing_gases", s.backing_gases.is_empty(), Facet::BackingGas, None),
    ];
    let empty = sides.into_iter().filter(|(_, is_empty, ..)| *is_empty);
    empty.map(|(name, _, facet, joint)| (name.to_owned(), json!(s.gap(facet, joint).word()))).collect()
}

fn both_json(inch_m: f64, metric_m: f64) -> Value {
    json!({ "in": rounded(inches(inch_m), 6), "mm": rounded(metric_m * 1e3, 6) })
}

/// Rounded for reading; floats carry no more than a script can use.
fn rounded(value: f64, decimals: usize) -> Value {
    round_to(value, decimals).parse::<f64>().map_or(Value::Null, |v| json!(v))
}

/// A range in inches with its independent millimetre pair; `max` null is unlimited.
fn range(covered: Option<&Covered>) -> Value {
    let Some(c) = covered else { return Value::Null };
    json!({
        "min": rounded(inches(c.min.inch_m), 6),
        "max": c.max.map(|m| rounded(inches(m.inch_m), 6)),
        "unit": "in",
        "min_mm": rounded(c.min.metric_m * 1e3, 6),
        "max_mm": c.max.map(|m| rounded(m.metric_m * 1e3, 6)),
        "min_excluded": c.min_excluded,
        "max_excluded": c.max_excluded,
    })
}

/// A record answered: its standing, what renews it, and the joints asked about.
pub fn record(answer: &RecordAnswer) -> Value {
    let mut value = standing(&answer.standing);
    value["designation"] = json!(answer.designation.as_ref().and_then(|line| line.as_ref().ok()));
    value["designation_missing"] = json!(answer.designation.as_ref().and_then(|line| line.as_ref().err()));
    value["renewal"] = answer
        .renewal
        .iter()
        .map(|a| {
            json!({
                "event": a.event.word(),
                "sentence": a.sentence,
                "rule": a.because.rule,
                "clause": a.because.clause,
                "basis": a.because.basis.word(),
            })
        })
        .collect();
    value["remarks"] = json!(answer.remarks);
    value["asked"] = answer
        .asked
        .iter()
        .map(|asked| {
            let mut printed = coverage(&asked.coverage);
            printed["question"] = json!(asked.question);
            printed
        })
        .collect();
    value
}

/// Whether a joint is covered, with reasons.
pub fn coverage(c: &Coverage) -> Value {
    json!({
        "answer": c.answer.word(),
        "reasons": c.reasons.iter().map(reason).collect::<Vec<_>>(),
    })
}
