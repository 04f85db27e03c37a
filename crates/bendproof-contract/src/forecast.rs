//! The forecast of a coupon as JSON. Fields are only ever added.

use bendproof_forecast::{Forecast, Item, Limits, NextReading, PassForecast, Unit};
use bendproof_measure::celsius_from_kelvin;
use bendproof_traveler::forecast::ForecastRead;
use bendproof_traveler::{origin, sheet};
use bendproof_weld::Coupon;
use serde_json::{Value, json};

use super::solved::solved_json;
use super::sources::sources_json;

/// A coupon file as forecast, with where its heat comes from and the solved
/// beads if there are any; `None` when the text could not be used.
pub fn forecast_read(read: &ForecastRead) -> Option<Value> {
    let (coupon, f, limits) = read.forecast.as_ref()?;
    let mut value = forecast(coupon, f, limits);
    value["next_reading"] =
        read.next_reading.as_ref().map_or(Value::Null, |next| next_reading(next.as_ref()));
    add_sources(&mut value["fit"], read.written.of_fit());
    for (n, row) in read.pass_rows.iter().enumerate().take(f.passes.len()) {
        add_sources(&mut value["passes"][n], read.written.of_pass(*row));
    }
    value["heat"] = json!(if read.solved.is_some() { "solved" } else { "fast model" });
    if let Some(solved) = &read.solved {
        value["solved"] = solved_json(solved);
    }
    Some(value)
}

/// The reading that would settle most; its name is null where nothing is left to read.
fn next_reading(next: Option<&NextReading>) -> Value {
    json!({
        "reading": next.map(|next| next.reading.key()),
        "range": next.map(|next| json!({ "low": next.range[0], "high": next.range[1] })),
        "clear_share": next.map(|next| next.clear_share),
    })
}

/// Puts the values somebody wrote, or did not, next to those computed.
fn add_sources(part: &mut Value, origins: Vec<origin::Origin>) {
    if let (Some(sources), Value::Object(more)) = (part["sources"].as_object_mut(), sources_json(&origins)) {
        sources.extend(more);
    }
}

/// The forecast of a coupon.
fn forecast(coupon: &Coupon, f: &Forecast, limits: &Limits) -> Value {
    json!({
        "number": coupon.id,
        "verdict": f.verdict.word(),
        "verdict_above_root": f.above_root.map(bendproof_forecast::Verdict::word),
        "probability_root_holds": f.chance.as_ref().ok().map(|chance| chance.along),
        "chance": f.chance.as_ref().ok().map(crate::window::chance),
        "fit": {
            "groove_area_mm2": f.groove_area_m2 * 1e6,
            "face_width_mm": f.face_width_m * 1e3,
            "root_opening_mm": coupon.fit.joint.root_opening_m * 1e3,
            "root_face_left_mm": coupon.fit.joint.root_face_left_m * 1e3,
            "root_face_right_mm": coupon.fit.joint.root_face_right_m * 1e3,
            "mismatch_mm": coupon.fit.joint.mismatch_m * 1e3,
            "joint_length_mm": coupon.fit.joint_length_m() * 1e3,
            "sources": sources_json(&origin::of_fit()),
        },
        "passes": f.passes.iter().map(pass).collect::<Vec<_>>(),
        "root": {
            "left_edge": item(&f.root.left_edge),
            "right_edge": item(&f.root.right_edge),
            "profile": item(&f.root.profile),
            "burn_through": item(&f.root.burn_through),
            "outrun": item(&f.root.outrun),
            "hot_pass": f.root.hot_pass.as_ref().map(item),
            "height_mm": f.root.height_m.map(|m| m * 1e3),
            "width_mm": f.root.width_m.map(|m| m * 1e3),
            "sources": sources_json(&origin::of_root(f)),
        },
        "walls": f.passes.iter().map(|p| {
            let mut wall = item(&p.tie_in);
            wall["pass"] = json!(p.number);
            wall
        }).collect::<Vec<_>>(),
        "crown": item(&f.crown),
        "totals": {
            "beads": f.totals.beads,
            "arc_time_s": f.totals.arc_time_s,
            "clock_time_s": f.totals.clock_time_s,
            "wire_kg": f.totals.wire_kg,
            "gas_L": f.totals.gas_m3 * 1e3,
            "cost": f.totals.cost,
            "sources": sources_json(&origin::of_totals()),
        },
        "limits": {
            "crown_mm": limits.crown_m(coupon).map(|m| m * 1e3),
            "melt_through_mm": limits.melt_through_m(f.root.width_m.unwrap_or(0.0)).map(|m| m * 1e3),
            "concavity_mm": limits.concavity_m.map(|m| m * 1e3),
            "sources": sources_json(&origin::of_limits()),
        },
        "sources": sources_json(&[origin::of_chance()]),
        "voices": voices(coupon),
        "notes": f.notes,
    })
}

fn pass(p: &PassForecast) -> Value {
    json!({
        "n": p.number,
        "kind": p.kind.word(),
        "beads": [p.beads.0, p.beads.1],
        "progression": p.progression.word(),
        "current_A": p.current_a,
        "current_is_read": p.current_is_read,
        "expected_transfer": p.expected_transfer.map(|t| t.word()),
        "volts": p.volts,
        "wire_feed": p.wire_feed_m_s * 1e3,
        "wire_feed_unit": "mm/s",
        "travel": p.travel_m_s * 1e3,
        "travel_unit": "mm/s",
        "arc_energy_kJ_mm": p.arc_energy_j_m * 1e-6,
        "heat_input_kJ_mm": p.heat_input_j_m * 1e-6,
        "bead_area_mm2": p.bead_area_m2 * 1e6,
        "arc_time_s": p.arc_time_s,
        "interpass_C": celsius_from_kelvin(p.interpass_k),
        "t85_s": p.t85_s,
        "depth_mm": p.depth_m.map(|m| m * 1e3),
        "level_mm": p.level_m * 1e3,
        "crown_mm": p.crown_m * 1e3,
        "tie_in": item(&p.tie_in),
        "sources": sources_json(&origin::of_pass(p)),
    })
}

fn item(i: &Item) -> Value {
    let scale = if i.unit == Unit::Metre { 1e3 } else { 1.0 };
    json!({
        "verdict": i.verdict.word(),
        "margin": i.margin.map(|m| m * scale),
        "unit": if i.unit == Unit::Metre { "mm" } else { "share of limit left" },
        "driver": i.driver,
        "uncertainty": i.uncertainty.map(|u| u * scale),
        "source": i.source,
        "basis": i.basis.word(),
    })
}

/// The trade's range next to each setting; the physics is the forecast itself,
/// and the shop's own plates are known only to the bench.
fn voices(coupon: &Coupon) -> Vec<Value> {
    let joint = &coupon.fit.joint;
    let root = coupon.passes.first();
    let mut settings = vec![
        ("fit.root_opening".to_owned(), joint.root_opening_m, root),
        ("fit.root_face".to_owned(), joint.root_face_max_m(), root),
        ("fit.mismatch".to_owned(), joint.mismatch_m, root),
        ("fit.groove_angle".to_owned(), joint.groove_angle_rad, root),
    ];
    for (index, pass) in coupon.passes.iter().enumerate() {
        settings.push((format!("pass.{}.volts", index + 1), pass.volts, Some(pass)));
        settings.push((format!("pass.{}.wire_feed", index + 1), pass.wire_feed_m_s, Some(pass)));
        if let bendproof_weld::Travel::Speed(v) = pass.travel {
            settings.push((format!("pass.{}.travel", index + 1), v, Some(pass)));
        }
    }
    settings
        .into_iter()
        .map(|(field, value_si, pass)| {
            let range = sheet::range(&field, pass.map(|p| p.kind), pass.map(|p| p.progression));
            json!({
                "field": field,
                "value_si": value_si,
                "trade": range.map(|r| json!({
                    "low_si": r.low_si,
                    "high_si": r.high_si,
                    "inside": value_si >= r.low_si && value_si <= r.high_si,
                    "source": r.provenance.source,
                    "basis": r.provenance.basis,
                })),
            })
        })
        .collect()
}
