//! The same bits on any number of threads and on repeat, and the same answer
//! for a plate seen in a mirror.
#![allow(clippy::unwrap_used)]

use bendproof_heat::moving::MovingHeat;
use bendproof_heat::solve::{
    ArcPath, CarbonSteel, Losses, Metal, PlateParams, PlateProblem, PlateSolution, solve_plate,
};

const WIDTH_M: f64 = 0.07;

/// A short melted run off the middle of a small plate, all physics on.
fn problem(y_m: f64) -> PlateProblem {
    let inward = if y_m < 0.5 * WIDTH_M { 1.0 } else { -1.0 };
    PlateProblem {
        length_m: 0.08,
        width_m: WIDTH_M,
        thickness_m: 8e-3,
        metal: Metal::CarbonSteel(CarbonSteel::REFERENCE),
        source: Some(MovingHeat {
            power_w: 1800.0,
            travel_m_s: 5e-3,
            half_width_m: 4e-3,
            depth_m: 3e-3,
            front_m: 4e-3,
            rear_m: 8e-3,
        }),
        path: ArcPath { from_x_m: 0.02, to_x_m: 0.06, y_m },
        losses: Losses { convection_w_m2_k: 15.0, emissivity: 0.7, ambient_k: 293.15 },
        start_temperature_k: 320.0,
        cool_for_s: 20.0,
        fusion_k: CarbonSteel::REFERENCE.fusion_k(),
        probes: [0.0, 2e-3, 7e-3].map(|off| [0.04, y_m + inward * off, 1e-3]).to_vec(),
    }
}

fn solve(y_m: f64, threads: usize) -> PlateSolution {
    let params = PlateParams { threads, ..PlateParams::with_cell(1e-3) };
    solve_plate(&problem(y_m), &params).unwrap().0
}

fn bits(solution: &PlateSolution) -> Vec<u64> {
    let traces = solution.probes.iter().flat_map(|t| t.time_s.iter().chain(&t.temperature_k));
    traces.chain([&solution.half_width_m, &solution.depth_m]).map(|x| x.to_bits()).collect()
}

#[test]
fn any_number_of_threads_gives_the_same_bits() {
    let first = bits(&solve(0.03, 1));
    assert!(first.len() > 600, "the histories are there");
    for threads in [1, 2, 3, 5] {
        assert!(bits(&solve(0.03, threads)) == first, "{threads} threads");
    }
}

#[test]
fn a_plate_in_the_mirror_has_the_same_answer() {
    /// Coordinates measured from the other edge round otherwise: 1e-17 m on
    /// cells of 1e-3 m, carried through some thousand stages.
    const ROUND_OFF_K: f64 = 1e-7;
    let (one, other) = (solve(0.03, 1), solve(WIDTH_M - 0.03, 1));
    for (a, b) in one.probes.iter().zip(&other.probes) {
        for (a, b) in a.temperature_k.iter().zip(&b.temperature_k) {
            assert!((a - b).abs() < ROUND_OFF_K, "{a} {b}");
        }
    }
    assert!(one.depth_m > 1e-3 && (one.depth_m - other.depth_m).abs() < 1e-9);
}
