//! Eight beads in a 60 degree V of a 9.5 mm plate, 178 mm long: a coupon with
//! its pauses, for the transient solver. Bare numbers, no forecast behind them.

use bendproof_heat::solve::{
    Arc, Bead, CarbonSteel, Cooling, CouponProblem, Lattice, Losses, Metal, Ring, Weave,
};

const THICK_M: f64 = 9.5e-3;
const HALF_GAP_M: f64 = 1.6e-3;
const ROOT_FACE_M: f64 = 1.6e-3;
const FAR_M: f64 = 75e-3;
const LENGTH_M: f64 = 177.8e-3;
const CROWN_M: f64 = 1.5e-3;
const AIR_K: f64 = 293.15;
/// The plate is at 150 C or below before the next bead.
const INTERPASS_K: f64 = 423.15;

/// The eight beads: top and underside, share of the half width from left to
/// right, place of the arc across, m.
const BEADS: [(f64, f64, f64, f64, f64); 8] = [
    (6.5e-3, THICK_M, -1.0, 1.0, 0.0),
    (4.5e-3, 6.5e-3, -1.0, 1.0, 0.0),
    (2.5e-3, 4.5e-3, -1.0, 0.0, -1.6e-3),
    (2.5e-3, 4.5e-3, 0.0, 1.0, 1.6e-3),
    (0.8e-3, 2.5e-3, -1.0, 0.0, -2.2e-3),
    (0.8e-3, 2.5e-3, 0.0, 1.0, 2.2e-3),
    (-CROWN_M, 0.8e-3, -1.0, 0.0, -2.8e-3),
    (-CROWN_M, 0.8e-3, 0.0, 1.0, 2.8e-3),
];

/// Half width of the V, m; z down from the top face, above which it stays.
fn half_width_m(z_m: f64) -> f64 {
    HALF_GAP_M + 30f64.to_radians().tan() * (THICK_M - ROOT_FACE_M - z_m.max(0.0)).max(0.0)
}

fn plate(side: f64) -> Ring {
    let root = side * HALF_GAP_M;
    vec![
        [root, THICK_M],
        [side * FAR_M, THICK_M],
        [side * FAR_M, 0.0],
        [side * half_width_m(0.0), 0.0],
        [root, THICK_M - ROOT_FACE_M],
    ]
}

/// Metal between two levels, with corners where the wall bends.
fn layer(top_m: f64, under_m: f64, from: f64, to: f64) -> Ring {
    let bends = [0.0, THICK_M - ROOT_FACE_M].into_iter().filter(|z| top_m < *z && *z < under_m);
    let mut levels = vec![top_m];
    levels.extend(bends);
    levels.push(under_m);
    let right = levels.iter().map(|z| [to * half_width_m(*z), *z]);
    let left = levels.iter().rev().map(|z| [from * half_width_m(*z), *z]);
    right.chain(left).collect()
}

fn bead(index: usize) -> Bead {
    let (top_m, under_m, from, to, y_m) = BEADS[index];
    let arc = Arc {
        power_w: if index == 0 { 1900.0 } else { 2700.0 },
        drop_heat_j_m3: 7850.0 * 1.9e6,
        travel_m_s: 4e-3,
        sigma_m: 1.75e-3,
        behind_edge_m: 1.5e-3,
        ramp_m: 3e-3,
        y_m,
        side_tangent: 0.0,
        aim_z_m: top_m,
        weave: Weave::STRINGER,
        gap_lost_share: 0.5,
    };
    // Every second bead runs back.
    let run_m = if index % 2 == 1 { Some((LENGTH_M, 0.0)) } else { None };
    let then = Cooling::Until { temperature_k: INTERPASS_K, at_least_s: 15.0, at_most_s: 900.0 };
    Bead { rings: vec![layer(top_m, under_m, from, to)], arc, run_m, then }
}

/// The coupon with its first beads, 1 to 8, and the pause after the last.
pub fn with_beads(count: usize) -> CouponProblem {
    let across = vec![-12e-3, -HALF_GAP_M, 0.0, HALF_GAP_M, 12e-3];
    CouponProblem {
        base: vec![plate(-1.0), plate(1.0)],
        length_m: LENGTH_M,
        tacks: Vec::new(),
        beads: (0..count.min(BEADS.len())).map(bead).collect(),
        across: Lattice { ends_m: (-FAR_M, FAR_M), marks_m: across, growth: 1.25, cell_max_m: 8e-3 },
        down: Lattice {
            ends_m: (-CROWN_M, THICK_M),
            marks_m: vec![-CROWN_M, 0.0, THICK_M],
            growth: 1.2,
            cell_max_m: 2e-3,
        },
        mirror: false,
        metal: Metal::CarbonSteel(CarbonSteel::STIRRED),
        fusion_k: CarbonSteel::STIRRED.fusion_k(),
        losses: Losses { convection_w_m2_k: 15.0, emissivity: 0.7, ambient_k: AIR_K },
        start_temperature_k: AIR_K,
        interpass_at: None,
        station_m: None,
        probes: Vec::new(),
    }
}
