//! Any numbers at all as a plate: an answer with sound temperatures, or an error
//! that says what is wrong, never a panic and never a wrong field.

use bendproof_heat::moving::MovingHeat;
use bendproof_heat::solve::{
    ArcPath, CarbonSteel, HeatError, Losses, Metal, PlateParams, PlateProblem, solve_plate,
};
use proptest::prelude::*;

/// Hottest a start or an ambient may be here, K.
const WARM_K: f64 = 900.0;

/// A number in its range, now and then one that no problem may hold.
fn number(low: f64, high: f64) -> impl Strategy<Value = f64> {
    prop_oneof![
        40 => low..high,
        1 => prop_oneof![Just(0.0), Just(-1.0), Just(f64::NAN), Just(f64::INFINITY), Just(1e300), Just(1e-300)],
    ]
}

fn metal() -> impl Strategy<Value = Metal> {
    let constant = (15.0..400.0_f64, number(1e6, 6e6))
        .prop_map(|(k, c)| Metal::Constant { conductivity_w_m_k: k, volumetric_heat_j_m3_k: c });
    let steel = (1400.0..1500.0_f64, 0.0..3e5_f64, 30.0..150.0_f64).prop_map(|(t, l, k)| {
        Metal::CarbonSteel(CarbonSteel {
            solidus_c: t,
            latent_heat_j_kg: l,
            conductivity_liquid_w_m_k: k,
            ..CarbonSteel::REFERENCE
        })
    });
    prop_oneof![constant, steel]
}

fn source() -> impl Strategy<Value = MovingHeat> {
    // No smaller than the largest cell below: what falls between the cells is
    // not there to be read.
    let size = || number(1.5e-3, 8e-3);
    (number(100.0, 6e3), number(1e-3, 30e-3), size(), size(), size(), size()).prop_map(
        |(power_w, travel_m_s, half_width_m, depth_m, front_m, rear_m)| MovingHeat {
            power_w,
            travel_m_s,
            half_width_m,
            depth_m,
            front_m,
            rear_m,
        },
    )
}

prop_compose! {
    fn problem()(
        size in (number(10e-3, 60e-3), number(6e-3, 40e-3), number(1e-3, 12e-3)),
        metal in metal(),
        source in prop::option::weighted(0.9, source()),
        // Still air to a spray of water.
        losses in (number(0.0, 1e3), number(0.0, 1.0), number(250.0, 400.0)),
        run in (number(0.0, 0.5), number(0.0, 1.0), number(0.0, 1.0)),
        start_temperature_k in number(250.0, WARM_K),
        cool_for_s in number(0.0, 5.0),
        probe in (number(0.0, 1.0), number(0.0, 1.0), number(0.0, 1.0)),
    ) -> PlateProblem {
        let (length_m, width_m, thickness_m) = size;
        let (convection_w_m2_k, emissivity, ambient_k) = losses;
        PlateProblem {
            length_m, width_m, thickness_m, metal, source, start_temperature_k, cool_for_s,
            path: ArcPath {
                from_x_m: run.0 * length_m,
                to_x_m: run.0 * length_m + run.1 * 0.5 * length_m,
                y_m: run.2 * width_m,
            },
            losses: Losses { convection_w_m2_k, emissivity, ambient_k },
            fusion_k: 1768.15,
            // Anywhere, and under the middle of the arc's run.
            probes: vec![
                [probe.0 * length_m, probe.1 * width_m, probe.2 * thickness_m],
                [run.0 * length_m + run.1 * 0.25 * length_m, run.2 * width_m, 0.0],
            ],
        }
    }
}

/// An undershoot of a step of second order ahead of a field steeper than the
/// cells, as a share of the hottest rise; the inner rungs bound it at 5 % for the
/// roughest field.
const UNDER: f64 = 0.05;
/// Of a length that ends at a face.
const ROUNDING: f64 = 1e-12;

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(300) })]

    #[test]
    fn any_numbers_give_sound_temperatures_or_an_error(
        problem in problem(), cell_m in number(0.7e-3, 1.5e-3), cells_per_step in number(0.1, 2.0),
    ) {
        let params = PlateParams {
            cells_per_step,
            cells_max: 20_000,
            steps_max: 400,
            ..PlateParams::with_cell(cell_m)
        };
        match solve_plate(&problem, &params) {
            Ok((solution, info)) => {
                let floor_k = problem.start_temperature_k.min(problem.losses.ambient_k);
                let trace = &solution.probes[0];
                let all = solution.probes.iter().flat_map(|t| &t.temperature_k);
                let hottest_k = all.copied().fold(floor_k, f64::max);
                for kelvin in &trace.temperature_k {
                    prop_assert!(kelvin.is_finite(), "{kelvin} K");
                    prop_assert!(*kelvin > floor_k - 1.0 - UNDER * (hottest_k - floor_k), "{kelvin} K");
                }
                prop_assert!(trace.time_s.windows(2).all(|pair| pair[1] > pair[0]));
                let end = [solution.half_width_m, solution.depth_m];
                prop_assert!(end.iter().all(|m| m.is_finite() && *m >= 0.0), "{end:?}");
                prop_assert!(solution.depth_m <= problem.thickness_m * (1.0 + ROUNDING));
                // Without an arc and without time nothing is stepped and no cell counted.
                prop_assert!(info.cells > 0 || info.steps == 0);
                prop_assert!(info.cells <= params.cells_max);
                prop_assert!(problem.source.is_none() || info.energy_error <= params.energy_error_max);
            }
            Err(HeatError::Cancelled(_)) => prop_assert!(false, "nobody asked to stop"),
            Err(error) => {
                let text = error.to_string();
                prop_assert!(text.len() > 20 && !text.contains("NaN"), "{text}");
            }
        }
    }
}
