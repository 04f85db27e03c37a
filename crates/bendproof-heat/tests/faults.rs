//! Faults once found by trying: each must stay an answer or a reason.
#![allow(clippy::unwrap_used)]

use bendproof_heat::moving::MovingHeat;
use bendproof_heat::solve::*;

fn plate(convection_w_m2_k: f64, cool_for_s: f64) -> PlateProblem {
    PlateProblem {
        length_m: 0.02,
        width_m: 0.02,
        thickness_m: 0.006,
        metal: Metal::Constant { conductivity_w_m_k: 41.0, volumetric_heat_j_m3_k: 4.68e6 },
        source: None,
        path: ArcPath { from_x_m: 0.0, to_x_m: 0.0, y_m: 0.01 },
        losses: Losses { convection_w_m2_k, emissivity: 0.0, ambient_k: 293.15 },
        start_temperature_k: 1300.0,
        cool_for_s,
        fusion_k: 1768.15,
        probes: vec![[0.0, 0.01, 0.0]],
    }
}

#[test]
fn strong_losses_stay_between_start_and_ambient() {
    // The mirrored cubic of a probe reads a steep face with an overshoot; cells
    // themselves stay between, and so must the probe within this share.
    const OVERSHOOT_K: f64 = 60.0;
    for h in [1e4, 1e5, 2e5, 1e6] {
        let (solution, _) = solve_plate(&plate(h, 5.0), &PlateParams::with_cell(1e-3)).unwrap();
        for t in &solution.probes[0].temperature_k {
            assert!(*t > 293.15 - OVERSHOOT_K && *t < 1300.0 + OVERSHOOT_K, "{t} K at {h} W/m²K");
        }
    }
}

#[test]
fn a_run_of_no_time_is_refused() {
    let error = solve_plate(&plate(0.0, 0.0), &PlateParams::with_cell(1e-3)).unwrap_err().to_string();
    assert!(error.starts_with("cooling time is 0 s"), "{error}");
}

#[test]
fn a_source_smaller_than_a_cell_is_refused() {
    let mut problem = plate(0.0, 0.0);
    problem.path = ArcPath { from_x_m: 4e-3, to_x_m: 12e-3, y_m: 4.45e-3 };
    problem.source = Some(MovingHeat {
        power_w: 4460.0,
        travel_m_s: 4.1e-3,
        half_width_m: 5e-4,
        depth_m: 5e-4,
        front_m: 7e-4,
        rear_m: 5e-4,
    });
    let error = solve_plate(&problem, &PlateParams::with_cell(1.6e-3)).unwrap_err().to_string();
    assert!(error.contains("half width of the source is 0.0005 m"), "{error}");
}

#[test]
fn a_property_beyond_any_metal_is_refused() {
    let steel = CarbonSteel { conductivity_liquid_w_m_k: 1e300, ..CarbonSteel::REFERENCE };
    let problem = PlateProblem { metal: Metal::CarbonSteel(steel), ..plate(0.0, 1.0) };
    let error = solve_plate(&problem, &PlateParams::with_cell(1e-3)).unwrap_err().to_string();
    assert!(error.contains("conductivity of the liquid"), "{error}");
}
