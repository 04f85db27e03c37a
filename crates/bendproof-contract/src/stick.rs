//! A joint with stick, as JSON.

use bendproof_files::Finding;
use bendproof_forecast::stick::{StickForecast, StickPassForecast};
use bendproof_measure::celsius_from_kelvin;
use bendproof_traveler::origin;
use serde_json::{Value, json};

use crate::{findings_json, sources_json};

/// What a stick plan takes, and what is worth a look in its file.
pub fn stick_read(made: &StickForecast, findings: &[Finding]) -> Value {
    json!({
        "findings": findings_json(findings),
        "stick": {
            "electrode": made.electrode.name,
            "groove_area_mm2": made.groove_area_m2 * 1e6,
            "face_width_mm": made.face_width_m * 1e3,
            "passes": made.passes.iter().map(|p| pass(made, p)).collect::<Vec<_>>(),
            "totals": {
                "beads": made.beads,
                "filled_percent": made.filled_share * 100.0,
                "filled_doubt_percent": made.filled_share * made.filled_doubt_share * 100.0,
                "beads_missing": made.beads_missing,
                "rods": made.rods,
                "rods_doubt_percent": made.rods_doubt_share * 100.0,
                "laid_kg": made.laid_kg,
                "arc_time_s": made.arc_time_s,
                "clock_time_s": made.clock_time_s,
                "sources": sources_json(&origin::of_stick_totals(made.electrode)),
            },
        },
    })
}

fn pass(made: &StickForecast, p: &StickPassForecast) -> Value {
    let heat = p.heat.as_ref();
    json!({
        "beads": [p.beads.0, p.beads.1],
        "kind": p.kind.word(),
        "progression": p.progression.word(),
        "current_A": p.current_a,
        "handbook_A": p.currents.map(|amps| json!({ "low": amps.low, "high": amps.high })),
        "travel": p.travel_m_s * 1e3,
        "travel_unit": "mm/s",
        "bead_area_mm2": p.bead_area_m2 * 1e6,
        "run_out_mm": p.run_out_m * 1e3,
        "rod_time_s": p.rod_time_s,
        "rods": p.rods,
        "arc_time_s": p.arc_time_s,
        "level_mm": p.level_m * 1e3,
        "crown_mm": p.crown_m * 1e3,
        "volts": heat.map(|h| h.volts),
        "volts_are_stated": heat.map(|h| h.volts_are_stated),
        "arc_energy_kJ_mm": heat.map(|h| h.arc_energy_j_m * 1e-6),
        "heat_input_kJ_mm": heat.map(|h| h.heat_input_j_m * 1e-6),
        "interpass_C": heat.and_then(|h| h.interpass_k).map(celsius_from_kelvin),
        "t85_s": heat.and_then(|h| h.t85_s),
        "sources": sources_json(&origin::of_stick_pass(made.electrode, p)),
    })
}
