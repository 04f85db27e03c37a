//! The settings window in the JSON contract. Fields are only ever added.

use bendproof_forecast::{
    Answer, Axis, Cell, Chance, Change, DRAWS, Effect, Failure, STRETCH_M, Scope, Slope, Unit,
};
use serde_json::{Value, json};

use bendproof_traveler::origin::{self, MODEL_ERROR_OF};
use bendproof_traveler::window::{Mapped, Side, TradeSide, Window, label_of, model_error_mm, path_of};

use super::sources::sources_json;

/// A settings window: sides, frames, cells row by row, knobs and chance.
pub fn window(w: &Window) -> Value {
    let Mapped { number, request, map, trade, plates, .. } = &w.mapped;
    let pair = |r: Option<(f64, f64)>| r.map(|(low, high)| json!({ "low_si": low, "high_si": high }));
    let voice = |t: &Option<TradeSide>| {
        t.as_ref().map(|t| {
            json!({
                "low_si": t.range_si[0],
                "high_si": t.range_si[1],
                "source": t.provenance.source,
                "basis": t.provenance.basis,
            })
        })
    };
    let grid = |of: &dyn Fn(&Cell) -> Value| -> Value {
        map.rows.iter().map(|row| row.iter().map(of).collect::<Value>()).collect()
    };
    json!({
        "number": number,
        "scope": if request.scope == Scope::Root { "root" } else { "whole" },
        "x": side(&request.x, &map.x),
        "y": side(&request.y, &map.y),
        "checked": { "x": pair(map.checked[0]), "y": pair(map.checked[1]) },
        "trade": { "x": voice(&trade[0]), "y": voice(&trade[1]) },
        "value_si": map.value,
        "scatter_si": map.scatter,
        "here": cell(&map.here),
        "cells": {
            "verdict": grid(&|c| json!(c.verdict.word())),
            "first": grid(&|c| json!(c.first.map(|(f, _)| f.key()))),
            "pass": grid(&|c| json!(c.first.map(|(_, p)| p))),
            "clearance": grid(&|c| json!(c.clearance)),
            "margin": grid(&|c| json!(scaled(c.margin, c.unit))),
            "model_error_mm": grid(&|c| json!(model_error_mm(c))),
        },
        "model_error_mm": Failure::ALL.iter().map(|f| {
            (f.key().to_owned(), json!(f.model_error_m().map(|m| m * 1e3)))
        }).collect::<serde_json::Map<_, _>>(),
        "model_error_of": MODEL_ERROR_OF,
        "not_known": map.not_known.iter().map(|(why, n)| json!({ "why": why, "cells": n })).collect::<Value>(),
        "plates": plates.iter().map(|p| json!({
            "number": p.number, "at_si": p.at_si, "held": p.held, "count": p.plates,
        })).collect::<Value>(),
        "answers": w.advice.answers.list.iter().map(answer).collect::<Value>(),
        "first": w.advice.answers.first().map(answer),
        "knobs": w.advice.slopes.iter().map(|s| slope(s, w.advice.answers.first())).collect::<Value>(),
        "change": w.advice.change.as_ref().map(change),
        // Kept for readers of older releases; a change that is not enough is none.
        "nearest": Value::Null,
        "chance": match &w.chance {
            Ok(c) => chance(c),
            Err(why) => json!({ "not_known": why }),
        },
        "sources": sources_json(&origin::of_window()),
    })
}

fn side(side: &Side, axis: &Axis) -> Value {
    json!({
        "field": side.path(),
        "label": label_of(side.knob),
        "low_si": axis.low_si,
        "high_si": axis.high_si,
        "cells": axis.cells,
    })
}

fn scaled(margin: Option<f64>, unit: Unit) -> Option<f64> {
    margin.map(|m| if unit == Unit::Metre { m * 1e3 } else { m })
}

fn unit(unit: Unit) -> &'static str {
    if unit == Unit::Metre { "mm" } else { "share of limit left" }
}

fn cell(c: &Cell) -> Value {
    json!({
        "verdict": c.verdict.word(),
        "first": c.first.map(|(f, _)| f.key()),
        "pass": c.first.map(|(_, p)| p),
        "margin": scaled(c.margin, c.unit),
        "unit": unit(c.unit),
        "clearance": c.clearance,
        "model_error_mm": model_error_mm(c),
    })
}

fn answer(a: &Answer) -> Value {
    json!({
        "about": a.failure.key(),
        "pass": a.pass,
        "verdict": a.verdict.word(),
        "margin": scaled(a.margin, a.unit),
        "unit": unit(a.unit),
        "clearance": a.clearance,
        "why": if a.why.is_empty() { None } else { Some(&a.why) },
        "source": a.source,
        "basis": a.basis.word(),
    })
}

fn slope(s: &Slope, first: Option<&Answer>) -> Value {
    let (step_si, step) = s.knob.hand_step();
    let of = first.map_or(Unit::Metre, |a| a.unit);
    json!({
        "field": path_of(s.knob),
        "label": label_of(s.knob),
        "value_si": s.value_si,
        "step": step,
        "step_si": step_si,
        "margin_per_step": scaled(s.margin_per_step, of),
        "unit": unit(of),
        "clearance_per_step": s.clearance_per_step,
    })
}

fn change(c: &Change) -> Value {
    let effects = |list: &[Effect]| -> Value {
        let one = |e: &Effect| json!({ "before": answer(&e.before), "after": e.after.as_ref().map(answer) });
        list.iter().map(one).collect()
    };
    json!({
        "field": path_of(c.knob),
        "label": label_of(c.knob),
        "from_si": c.from_si,
        "to_si": c.to_si,
        "step": c.knob.hand_step().1,
        "steps": c.steps,
        "verdict": c.verdict.word(),
        "better": effects(&c.better),
        "worse": effects(&c.worse),
    })
}

pub(crate) fn chance(c: &Chance) -> Value {
    json!({
        "along": c.along,
        "verdict": c.verdict.word(),
        "range": { "low": c.range[0], "high": c.range[1] },
        "is_solved": c.is_solved,
        "place": c.place,
        "each": c.each.iter().map(|(f, share)| json!({ "about": f.key(), "holds": share })).collect::<Value>(),
        "standard_error": c.standard_error,
        "lost_by": c.first.iter().map(|(f, share)| json!({ "about": f.key(), "share": share })).collect::<Value>(),
        "draws": DRAWS,
        "stretches": c.stretches,
        "stretch_mm": STRETCH_M * 1e3,
    })
}
