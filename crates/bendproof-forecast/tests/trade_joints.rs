//! The thirty joints behind the healing hollow: which of them welders call
//! through is common practice, no source. The hollow was chosen with these in
//! sight, on the chance over the whole joint, so this proves no model; it holds
//! what the choice is based on.
#![allow(clippy::unwrap_used)]

mod support;

use bendproof_forecast::HEALING_HOLLOW_M;
use bendproof_forecast::solved::{ARC_BEHIND_EDGE_M, RootBead, land_melt, root_problem, root_runs_params};
use bendproof_heat::solve::solve_pass;
use bendproof_weld::arc::bead_area_m2;
use bendproof_weld::{Backing, Joint};
use rayon::prelude::*;
use support::IPM;

/// Opening and land in mm, travel in in/min, and whether the root is through:
/// downhill the open joint is and the two uphill fits are not, uphill both are.
const JOINTS: [(f64, f64, f64, bool); 15] = [
    (4.0, 1.6, 8.0, true),
    (4.0, 1.6, 9.0, true),
    (4.0, 1.6, 10.0, true),
    (3.0, 2.4, 8.0, false),
    (3.0, 2.4, 9.0, false),
    (3.0, 2.4, 10.0, false),
    (2.4, 2.4, 8.0, false),
    (2.4, 2.4, 9.0, false),
    (2.4, 2.4, 10.0, false),
    (2.4, 2.4, 3.0, true),
    (2.4, 2.4, 3.75, true),
    (2.4, 2.4, 4.5, true),
    (3.1, 2.4, 3.0, true),
    (3.1, 2.4, 3.75, true),
    (3.1, 2.4, 4.5, true),
];

/// Melt-back over the hollow, mm: 0.035 in wire at 180 in/min and 17.5 V.
fn melt_back_mm(opening_mm: f64, land_mm: f64, travel_ipm: f64, amps: f64) -> f64 {
    let joint = Joint {
        thickness_m: 12.7e-3,
        groove_angle_rad: 60f64.to_radians(),
        root_opening_m: 1e-3 * opening_mm,
        root_face_left_m: 1e-3 * land_mm,
        root_face_right_m: 1e-3 * land_mm,
        mismatch_m: 0.0,
        backing: Backing::Open,
    };
    let travel_m_s = travel_ipm * IPM;
    let bead = RootBead {
        net_power_w: 0.85 * 17.5 * amps,
        travel_m_s,
        area_m2: bead_area_m2(0.889e-3, 180.0 * IPM, travel_m_s, 0.93),
        hollow_m: HEALING_HOLLOW_M,
        behind_edge_m: ARC_BEHIND_EDGE_M,
        weave_width_m: 0.0,
    };
    let problem = root_problem(&joint, &bead, 293.15, 0.5e-3).unwrap();
    let (field, _) = solve_pass(&problem, &root_runs_params(travel_m_s)).unwrap();
    1e3 * land_melt(&joint, &field).left_m
}

#[test]
fn the_sign_of_the_melt_back_is_the_trades_in_28_of_30() {
    let asked: Vec<_> = JOINTS.iter().flat_map(|joint| [(joint, 110.0), (joint, 122.0)]).collect();
    let found: Vec<_> = asked
        .into_par_iter()
        .map(|((opening, land, travel, through), amps)| {
            (*opening, *land, *travel, amps, *through, melt_back_mm(*opening, *land, *travel, amps))
        })
        .collect();
    let wrong: Vec<_> = found.iter().filter(|j| (j.5 > 0.0) != j.4).collect();
    // Known wrong: the uphill fit welded downhill at 122 A and no faster than 9
    // in/min melts through as planned, by less than the scatter of hand, current
    // and model together (0.44 mm, one deviation), so over a whole joint it is
    // called open; all others are right.
    const SCATTER_MM: f64 = 0.44;
    assert_eq!(wrong.len(), 2, "{found:#?}");
    assert!(wrong.iter().all(|j| j.2 > 5.0 && j.3 == 122.0 && j.5.abs() < SCATTER_MM), "{wrong:#?}");
}
