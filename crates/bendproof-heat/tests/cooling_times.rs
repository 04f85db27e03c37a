//! Cooling times of the solver next to those of EN 1011-2, a cross-check only:
//! the formulas carry fitted coefficients, not the solver's properties.
#![allow(clippy::unwrap_used)]

use bendproof_heat::cooling::{ShapeFactors, en1011_s};
use bendproof_heat::moving::MovingHeat;
use bendproof_heat::solve::{ArcPath, CarbonSteel, Losses, Metal, PlateParams, PlateProblem, solve_plate};

/// Scatter that the formulas are used with. The solver releases the heat of
/// transformation on cooling where steel takes it up on heating, near 735 C, so
/// that it is expected on the quick side.
const WITHIN: f64 = 0.25;

/// Peaks between which a place is in the heat-affected zone, C.
const ZONE_C: (f64, f64) = (900.0, 1400.0);

struct Case {
    /// Net heat input, kJ/mm.
    heat_kj_mm: f64,
    travel_mm_s: f64,
    thickness_mm: f64,
    start_c: f64,
}

impl Case {
    /// Times from 800 to 500 C at the places of the zone on the face, s.
    fn solved_s(&self) -> Vec<f64> {
        let travel_m_s = self.travel_mm_s * 1e-3;
        let (length_m, width_m) = (0.2, 0.16);
        let problem = PlateProblem {
            length_m,
            width_m,
            thickness_m: self.thickness_mm * 1e-3,
            metal: Metal::CarbonSteel(CarbonSteel::REFERENCE),
            source: Some(MovingHeat {
                power_w: self.heat_kj_mm * 1e6 * travel_m_s,
                travel_m_s,
                half_width_m: 4e-3,
                depth_m: 3e-3,
                front_m: 4e-3,
                rear_m: 8e-3,
            }),
            path: ArcPath { from_x_m: 0.04, to_x_m: 0.16, y_m: 0.5 * width_m },
            losses: Losses { convection_w_m2_k: 15.0, emissivity: 0.7, ambient_k: 293.15 },
            start_temperature_k: self.start_c + 273.15,
            cool_for_s: 30.0,
            fusion_k: CarbonSteel::REFERENCE.fusion_k(),
            probes: (4..40).map(|n| [0.1, 0.5 * width_m + f64::from(n) * 0.25e-3, 0.0]).collect(),
        };
        let (solution, _) = solve_plate(&problem, &PlateParams::with_cell(1e-3)).unwrap();
        let in_zone = |peak_k: f64| peak_k > ZONE_C.0 + 273.15 && peak_k < ZONE_C.1 + 273.15;
        solution.probes.iter().filter(|t| in_zone(t.peak_k)).map(|t| t.t85_s.unwrap()).collect()
    }
}

const fn case(heat_kj_mm: f64, travel_mm_s: f64, thickness_mm: f64, start_c: f64) -> Case {
    Case { heat_kj_mm, travel_mm_s, thickness_mm, start_c }
}

const CASES: [Case; 8] = [
    case(0.5, 3.0, 12.7, 20.0),
    case(0.5, 4.0, 12.7, 20.0),
    case(0.5, 5.0, 12.7, 20.0),
    case(0.3125, 8.0, 12.7, 20.0),
    case(0.8, 4.0, 12.7, 100.0),
    case(1.0, 4.0, 12.7, 100.0),
    case(1.0, 4.0, 25.0, 100.0),
    case(0.5, 4.0, 6.35, 20.0),
];

/// A formula gives one time for the whole zone, so the zone's mean is compared.
#[test]
fn cooling_times_are_near_those_of_en_1011() {
    let mut off = Vec::new();
    for case in &CASES {
        let zone = case.solved_s();
        assert!(zone.len() >= 3, "the zone was seen");
        let mean_s = zone.iter().sum::<f64>() / zone.len() as f64;
        let en_s = en1011_s(case.heat_kj_mm, case.start_c, case.thickness_mm, ShapeFactors::BEAD_ON_PLATE);
        let error = mean_s / en_s - 1.0;
        let Case { heat_kj_mm, travel_mm_s, thickness_mm, start_c } = case;
        println!(
            "{heat_kj_mm} kJ/mm at {travel_mm_s} mm/s on {thickness_mm} mm from {start_c} C: {mean_s:.2} s, EN 1011-2 {en_s:.2} s, {:+.0} %",
            error * 1e2
        );
        off.push(error.abs());
    }
    assert!(off.iter().all(|error| *error <= WITHIN), "{off:?}");
}
