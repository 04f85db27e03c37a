//! Makes `data/fill_runs.csv`: beads solved in grooves filled part way, at
//! points spread over what hot, fill and cap passes are, from which the fast
//! model of walls is fitted.
//!
//! ```sh
//! cargo run --release -p bendproof-forecast --example fill_runs -- 9500 > data/fill_runs.csv
//! ```
#![allow(clippy::unwrap_used)]

mod spread;

use bendproof_forecast::solved::{FillBead, SolveParams, fill_problem, pass_params, read_fill};
use bendproof_heat::solve::solve_pass;
use bendproof_weld::Dwell;
use bendproof_weld::groove::Groove;
use rayon::prelude::*;
use spread::{IPM, between, joint, spread};

/// One run as a line; `None` when the bead does not fit or its drops carry more
/// than the arc brings.
fn run(index: usize) -> Option<String> {
    let u: [f64; 11] = spread(index);
    let joint =
        joint(between(u[0], 6e-3, 19.5e-3), between(u[1], 50.0, 75.0), between(u[2], 1.6e-3, 5e-3), 1.6e-3);
    let from_m = between(u[3], 2.0e-3, joint.thickness_m);
    let travel_m_s = 2.5 * (16.0 / 2.5_f64).powf(u[4]) * IPM;
    // Settings of a shop keep the heat per length in a band, so power follows travel.
    let power_w = 0.2e6 * (1.6 / 0.2_f64).powf(u[5]) * travel_m_s;
    if !(1000.0..4500.0).contains(&power_w) {
        return None;
    }
    // Metal per joule as short-circuit and spray settings give it.
    let area_m2 = power_w / travel_m_s * between(u[6], 2.2e-11, 5.0e-11);
    let start_k = between(u[7], 280.0, 560.0);
    let groove = Groove::of_joint(&joint);
    let weave_width_m = between(u[8], -4e-3, 0.9 * groove.width_at_m(from_m).min(16e-3)).max(0.0);
    let dwell = [Dwell::Even, Dwell::Toes, Dwell::Middle][(3.0 * u[9]) as usize];
    let bead = FillBead { net_power_w: power_w, travel_m_s, area_m2, from_m, weave_width_m, dwell };
    let (problem, section) = fill_problem(&joint, &bead, start_k, SolveParams::STANDARD.cell_m)?;
    let (field, _) = solve_pass(&problem, &pass_params(&SolveParams::STANDARD, travel_m_s)).ok()?;
    let reading = read_fill(&joint, &section, &field);
    let mm = |m: f64| 1e3 * m;
    let lingers = match dwell {
        Dwell::Even => 0,
        Dwell::Toes => 1,
        Dwell::Middle => -1,
    };
    Some(format!(
        "{:.3},{:.2},{:.3},{:.3},{:.4},{:.1},{:.1},{:.3},{:.3},{lingers},{:.3},{:.3},{:.3},{:.3},{:.2},{:.2}",
        mm(joint.thickness_m),
        joint.groove_angle_rad.to_degrees(),
        mm(groove.width_at_m(from_m)),
        mm(from_m),
        mm(travel_m_s),
        power_w,
        start_k,
        area_m2 * 1e6,
        mm(weave_width_m),
        mm(reading.wall_m),
        mm(reading.below_m),
        mm(reading.deepest_m),
        reading.t85_s,
        mm(field.pool.length_m),
        field.pool.volume_m3 * 1e9,
    ))
}

fn main() {
    let count: usize = std::env::args().nth(1).map_or(100, |n| n.parse().unwrap());
    println!(
        "# Fill and cap beads solved by this program's own conduction solver, 0.5 mm cells: computed, never measured (basis derived)."
    );
    println!(
        "# Made by crates/bendproof-forecast/examples/fill_runs.rs; every fifth row is held back from the fit and only tests it. NaN: not reached."
    );
    println!(
        "thickness_mm,groove_angle_deg,width_mm,from_mm,travel_mm_s,net_power_W,start_K,area_mm2,weave_mm,lingers,wall_mm,below_mm,deepest_mm,t85_s,pool_length_mm,pool_mm3"
    );
    let lines: Vec<String> = (0..count).into_par_iter().filter_map(run).collect();
    lines.iter().for_each(|line| println!("{line}"));
}
