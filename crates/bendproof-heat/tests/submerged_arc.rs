//! The published thick-plate run: submerged arc, 1170 A, 32.9 V, 5 mm/s on
//! 100 mm of steel, surface temperatures 11.5 s after the arc.
//!
//! Verification only. The measured points stand in a figure that could not be
//! read, so the solver is held to the exact formula, and the formula to values
//! of other code; nothing here is compared with a measured weld.
#![allow(clippy::unwrap_used)]

use bendproof_heat::Conductor;
use bendproof_heat::moving::{Body, MovingHeat, rise_until_k};
use bendproof_heat::point::Place;
use bendproof_heat::solve::{ArcPath, Losses, Metal, PlateParams, PlateProblem, solve_plate};

const COMPUTED: &str = include_str!("../../../checks/heat/submerged_arc_computed.csv");

const START_C: f64 = 20.0;
const THICKNESS_M: f64 = 0.1;
/// When the surface is read, s after the arc passed.
const AFTER_S: f64 = 11.5;
/// How long the arc has burnt then, s: long enough that more changes nothing.
const BURNT_S: f64 = 60.0;

const ARC: MovingHeat = MovingHeat {
    power_w: 0.95 * 32.9 * 1170.0,
    travel_m_s: 5e-3,
    half_width_m: 20e-3,
    depth_m: 20e-3,
    front_m: 15e-3,
    rear_m: 30e-3,
};

/// Rows of numbers.
fn rows(text: &str) -> Vec<Vec<f64>> {
    let body = text.lines().filter(|line| !line.starts_with('#')).skip(1);
    body.map(|line| line.split(',').map(|cell| cell.parse().unwrap()).collect()).collect()
}

fn metal(row: &[f64]) -> Conductor {
    Conductor::new(row[0], 7800.0, row[1])
}

fn exact_c(metal: Conductor, distance_m: f64) -> f64 {
    let at = Place { xi_m: -AFTER_S * ARC.travel_m_s, y_m: distance_m, z_m: 0.0 };
    START_C + rise_until_k(&ARC, metal, Body::Slab(THICKNESS_M), at, BURNT_S)
}

/// Surface temperatures of the solver, C.
fn solved_c(metal: Conductor, distances_m: &[f64]) -> Vec<f64> {
    const CELL_M: f64 = 2.5e-3;
    const AROUND_M: f64 = 0.12;
    let end_m = AROUND_M + ARC.travel_m_s * BURNT_S;
    let problem = PlateProblem {
        length_m: end_m + AROUND_M,
        width_m: 2.0 * AROUND_M,
        thickness_m: THICKNESS_M,
        metal: Metal::Constant {
            conductivity_w_m_k: metal.conductivity_w_m_k,
            volumetric_heat_j_m3_k: metal.heat_per_volume_j_m3_k(),
        },
        source: Some(ARC),
        path: ArcPath { from_x_m: AROUND_M, to_x_m: end_m, y_m: AROUND_M },
        losses: Losses::NONE,
        start_temperature_k: START_C + 273.15,
        cool_for_s: 0.0,
        fusion_k: 1773.15,
        probes: distances_m.iter().map(|y| [end_m - AFTER_S * ARC.travel_m_s, AROUND_M + y, 0.0]).collect(),
    };
    let params = PlateParams { fine_half_width_m: 50e-3, ..PlateParams::with_cell(CELL_M) };
    let (solution, _) = solve_plate(&problem, &params).unwrap();
    solution.probes.iter().map(|t| t.temperature_k.last().unwrap() - 273.15).collect()
}

#[test]
fn the_exact_formula_is_that_of_other_code() {
    /// Printed to whole degrees.
    const PRINTED_K: f64 = 0.6;
    for row in rows(COMPUTED) {
        let got_c = exact_c(metal(&row), row[2] * 1e-3);
        assert!((got_c - row[3]).abs() < PRINTED_K, "{row:?}: {got_c}");
    }
}

#[test]
fn the_solver_meets_the_exact_formula() {
    /// Of the highest rise; eight cells to the half width of the source.
    const WITHIN: f64 = 5e-3;
    for of_metal in rows(COMPUTED).chunks(9) {
        let metal = metal(&of_metal[0]);
        let distances: Vec<f64> = of_metal.iter().map(|row| row[2] * 1e-3).collect();
        let highest_k = exact_c(metal, 0.0) - START_C;
        for (distance_m, got_c) in distances.iter().zip(solved_c(metal, &distances)) {
            let exact_c = exact_c(metal, *distance_m);
            println!("{:>4} mm: solved {got_c:.1} C, exact {exact_c:.1} C", distance_m * 1e3);
            assert!((got_c - exact_c).abs() < WITHIN * highest_k, "{distance_m}: {got_c} {exact_c}");
        }
    }
}
