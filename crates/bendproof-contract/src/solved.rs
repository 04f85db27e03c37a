//! A solved coupon as JSON. Fields are only ever added.

use bendproof_forecast::solved::SolvedBead;
use bendproof_measure::celsius_from_kelvin;
use bendproof_traveler::solved::{
    COMPUTED, SolvedCoupon, answers, hardness, heated_zone_m, notes, solved_origins, t85_s,
};
use serde_json::{Value, json};

use super::sources::sources_json;

/// The solved coupon for other programs. Fields are only ever added.
pub fn solved_json(solved: &SolvedCoupon) -> Value {
    let c = |k: f64| rounded(celsius_from_kelvin(k), 1);
    json!({
        "number": solved.number,
        "title": solved.title,
        "status": COMPUTED,
        "cell_mm": rounded(1e3 * solved.cell_m, 3),
        "fusion_C": rounded(solved.fusion_c(), 1),
        "zones_C": {
            "partly_changed": c(solved.zones.ac1.value_k),
            "fine_grain": c(solved.zones.ac3.value_k),
            "coarse_grain": c(solved.zones.coarse_grain.value_k),
        },
        "beads": solved.solved.beads.iter().map(|b| bead_json(solved, b)).collect::<Vec<_>>(),
        "answers": answers(solved),
        "notes": notes(solved),
        "sources": sources_json(&solved_origins()),
    })
}

fn rounded(value: f64, decimals: i32) -> Option<f64> {
    let scale = 10_f64.powi(decimals);
    value.is_finite().then(|| (value * scale).round() / scale)
}

fn bead_json(solved: &SolvedCoupon, bead: &SolvedBead) -> Value {
    let mm = |m: f64| rounded(1e3 * m, 2);
    let contact = &bead.contact;
    let pool = &bead.field.pool;
    let hardness = match hardness(solved, bead) {
        Ok(band) => json!({
            "low_HV": rounded(band.low_hv, 0),
            "high_HV": rounded(band.high_hv, 0),
            "widened": band.is_widened,
            "formulas": band.models.iter().map(|m| json!({
                "name": m.model.name(), "HV": rounded(m.hardness_hv, 0),
                "source": m.model.source(), "basis": m.model.basis().word(),
            })).collect::<Vec<_>>(),
        }),
        Err(why) => json!({ "not_known": why }),
    };
    json!({
        "bead": bead.number,
        "pass": bead.pass,
        "kind": solved.coupon.passes.get(bead.pass - 1).map(|p| p.kind.word()),
        "before_C": rounded(celsius_from_kelvin(bead.before_k), 1),
        "melted_mm": {
            "left": contact.left_m.and_then(mm),
            "right": contact.right_m.and_then(mm),
            "below": contact.below_m.and_then(mm),
            "deepest": mm(contact.deepest_m),
            "thinnest_at": contact.least_m().map(|_| contact.thinnest_mm.map(|v| rounded(v, 2))),
        },
        "land_mm": bead.land.map(|l| json!({ "left": mm(l.left_m), "right": mm(l.right_m) })),
        "ligament_mm": mm(bead.ligament_m),
        "remelted_share": bead.remelted_share.and_then(|s| rounded(s, 3)),
        "pool": {
            "length_mm": mm(pool.length_m),
            "width_mm": mm(pool.width_m),
            "volume_mm3": rounded(1e9 * pool.volume_m3, 1),
            "hottest_C": rounded(celsius_from_kelvin(pool.hottest_k), 0),
        },
        "t85_s": t85_s(solved, bead).and_then(|t| rounded(t, 2)),
        "heated_zone_mm": heated_zone_m(bead).and_then(mm),
        "hardness": hardness,
        "cells": bead.info.cells,
        "steps": bead.info.steps,
        "energy_error": bead.info.energy_error,
    })
}
