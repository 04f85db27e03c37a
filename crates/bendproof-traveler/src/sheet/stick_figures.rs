//! Computed numbers of a joint welded with stick, with their sources.

use bendproof_forecast::stick::{StickForecast, StickHeat, StickPassForecast};
use bendproof_measure::{System, computed_area, computed_energy, round_to};

use super::figures::{both_systems, mass_lb, seconds, speed, temperature, with_origins};
use super::parts::Figure;
use crate::origin;

const INCH_M: f64 = 0.0254;

/// Computed columns of one pass.
pub(crate) fn of_pass(made: &StickForecast, pass: &StickPassForecast, system: System) -> Vec<Figure> {
    let is_inch = system == System::Inch;
    let handbook = pass.currents.map(|amps| format!("{:.0} to {:.0} A", amps.low, amps.high));
    let run_out = both_systems(
        is_inch,
        format!("{} in", round_to(pass.run_out_m / INCH_M, 1)),
        format!("{:.0} mm", pass.run_out_m * 1e3),
    );
    // The first of them stand in the table of a page.
    let mut texts = vec![
        ("handbook_A", handbook.unwrap_or_else(|| "not listed for this size".to_owned())),
        ("run_out_mm", run_out),
        ("rods", round_to(pass.rods, 1)),
    ];
    match &pass.heat {
        Some(heat) => texts.extend(of_heat(heat, system)),
        None => texts.push(("heat_input_kJ_mm", "not known: enter volts".to_owned())),
    }
    texts.extend([
        ("bead_area_mm2", computed_area(pass.bead_area_m2, system)),
        ("arc_time_s", seconds(pass.arc_time_s)),
        ("travel", speed(pass.travel_m_s, system, 1)),
    ]);
    with_origins(&origin::of_stick_pass(made.electrode, pass), texts)
}

fn of_heat(heat: &StickHeat, system: System) -> Vec<(&'static str, String)> {
    let mut texts = vec![("heat_input_kJ_mm", computed_energy(heat.heat_input_j_m, system))];
    texts.extend(heat.interpass_k.map(|k| ("interpass_C", temperature(k, system))));
    texts.extend(heat.t85_s.map(|t85_s| ("t85_s", format!("{} s", round_to(t85_s, 1)))));
    texts.push(("volts", format!("{} V", round_to(heat.volts, 1))));
    texts.push(("arc_energy_kJ_mm", computed_energy(heat.arc_energy_j_m, system)));
    texts
}

/// Totals of the coupon.
pub(crate) fn of_totals(made: &StickForecast, system: System) -> Vec<Figure> {
    let laid = both_systems(
        system == System::Inch,
        mass_lb(made.laid_kg),
        format!("{} kg", round_to(made.laid_kg, 3)),
    );
    let doubt = (made.rods as f64 * made.rods_doubt_share).ceil();
    let mut texts = vec![
        ("beads", made.beads.to_string()),
        ("filled_percent", filled(made)),
        ("rods", format!("{} ± {doubt}", made.rods)),
        ("laid_kg", laid),
        ("arc_time_s", seconds(made.arc_time_s)),
    ];
    texts.extend(made.clock_time_s.map(|s| ("clock_time_s", seconds(s))));
    with_origins(&origin::of_stick_totals(made.electrode), texts)
}

fn filled(made: &StickForecast) -> String {
    let percent = made.filled_share * 100.0;
    let percent = format!("{percent:.0} ± {:.0} %", (percent * made.filled_doubt_share).ceil());
    match made.beads_missing {
        0 => percent,
        1 => format!("{percent}; 1 more bead like the last fills it"),
        n => format!("{percent}; {n} more beads like the last fill it"),
    }
}
