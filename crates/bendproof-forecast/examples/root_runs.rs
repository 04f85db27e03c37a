//! Makes `data/root_runs.csv`: root beads solved at points spread over the
//! checked box, from which the fast model of the root is fitted.
//!
//! ```sh
//! cargo run --release -p bendproof-forecast --example root_runs -- 5000 > data/root_runs.csv
//! ```
#![allow(clippy::unwrap_used)]

mod spread;

use bendproof_forecast::solved::{RootBead, land_melt, root_problem, root_runs_params};
use bendproof_heat::solve::solve_pass;
use bendproof_weld::arc::{bead_area_m2, current_from_wire_feed_a};
use bendproof_weld::groove::Groove;
use rayon::prelude::*;
use spread::{IPM, between, joint, spread};

/// Arc efficiency and deposition efficiency of short-circuit transfer, as the
/// forecast takes them; power and area are what the runs are spread over.
const ARC_EFFICIENCY: f64 = 0.85;
const DEPOSITION_EFFICIENCY: f64 = 0.93;

/// One run as a line; `None` when the bead does not fit the groove.
fn run(index: usize) -> Option<String> {
    let u: [f64; 12] = spread(index);
    let between = |i: usize, low: f64, high: f64| between(u[i], low, high);
    let joint = joint(
        between(0, 6e-3, 19.5e-3),
        between(1, 50.0, 75.0),
        between(2, 1.6e-3, 6.4e-3),
        between(3, 0.0, 3.2e-3),
    );
    // Slow travel matters as much as fast: spread evenly in its logarithm.
    let travel_m_s = 3.0 * 4f64.powf(u[4]) * IPM;
    let (wire_m, feed_m_s) = (between(5, 0.8e-3, 1.0e-3), between(6, 140.0, 260.0) * IPM);
    let amps = current_from_wire_feed_a(wire_m, 8e-3, feed_m_s) * between(7, 0.8, 1.25);
    let power_w = ARC_EFFICIENCY * amps * between(8, 16.0, 19.0);
    let start_k = between(9, 280.0, 425.0);
    let hollow_m = between(10, -0.5e-3, 1.2e-3).max(0.0);
    let behind_edge_m = between(11, 0.5e-3, 3.5e-3);
    let area_m2 = bead_area_m2(wire_m, feed_m_s, travel_m_s, DEPOSITION_EFFICIENCY);
    let bead =
        RootBead { net_power_w: power_w, travel_m_s, area_m2, hollow_m, behind_edge_m, weave_width_m: 0.0 };
    let level_m = Groove::of_joint(&joint).fill_height_m(area_m2)?;
    let problem = root_problem(&joint, &bead, start_k, 0.5e-3)?;
    let (field, _) = solve_pass(&problem, &root_runs_params(travel_m_s)).ok()?;
    let mm = |m: f64| 1e3 * m;
    Some(format!(
        "{:.4},{:.4},{:.3},{:.4},{:.2},{:.1},{:.4},{:.4},{:.4},{:.4},{:.3},{:.2},{:.2}",
        mm(joint.root_opening_m),
        mm(joint.root_face_left_m),
        joint.groove_angle_rad.to_degrees(),
        mm(joint.thickness_m),
        power_w,
        start_k,
        mm(travel_m_s),
        mm(level_m),
        mm(hollow_m),
        mm(behind_edge_m),
        mm(land_melt(&joint, &field).right_m),
        mm(field.pool.length_m),
        field.pool.volume_m3 * 1e9,
    ))
}

fn main() {
    let count: usize = std::env::args().nth(1).map_or(100, |n| n.parse().unwrap());
    println!(
        "# Root beads solved by this program's own conduction solver, 0.5 mm cells: computed, never measured (basis derived)."
    );
    println!(
        "# Made by crates/bendproof-forecast/examples/root_runs.rs; every fifth row is held back from the fit and only tests it."
    );
    println!(
        "root_opening_mm,root_face_mm,groove_angle_deg,thickness_mm,net_power_W,start_K,travel_mm_s,level_mm,hollow_mm,behind_edge_mm,melt_back_mm,pool_length_mm,pool_mm3"
    );
    let lines: Vec<String> = (0..count).into_par_iter().filter_map(run).collect();
    lines.iter().for_each(|line| println!("{line}"));
}
