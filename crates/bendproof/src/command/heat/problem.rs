//! A heat file's numbers as the solver's problem and parameters.

use bendproof_files::{HeatFile, HeatMetal, HeatSteel};
use bendproof_heat::moving::MovingHeat;
use bendproof_heat::solve::{ArcPath, CarbonSteel, Losses, Metal, PlateParams, PlateProblem};
use bendproof_measure::{celsius_from_kelvin, kelvin_from_celsius};

/// Edge of fusion of a metal with constant properties, C, where the file names
/// none: that of the carbon steel the solver knows (choice).
const FUSION_CONSTANT_C: f64 = 1495.0;
/// Half width of the strip of fine cells, in half widths of the source: beyond
/// three of them no heat is brought (derived from the Gaussian).
const STRIP_HALF_WIDTHS: f64 = 3.0;

/// What is to be solved.
pub fn problem(file: &HeatFile) -> PlateProblem {
    let metal = metal(&file.metal);
    let fusion_k = file.fusion_k.unwrap_or(match metal {
        Metal::Constant { .. } => kelvin_from_celsius(FUSION_CONSTANT_C),
        Metal::CarbonSteel(steel) => steel.fusion_k(),
    });
    let middle_m = 0.5 * file.length_m;
    let path = match &file.source {
        Some(s) => ArcPath { from_x_m: s.from_x_m, to_x_m: s.to_x_m, y_m: s.y_m },
        // Without an arc the middle is as good as any place, and half the plate is enough.
        None => ArcPath { from_x_m: middle_m, to_x_m: middle_m, y_m: 0.5 * file.width_m },
    };
    PlateProblem {
        length_m: file.length_m,
        width_m: file.width_m,
        thickness_m: file.thickness_m,
        metal,
        source: file.source.map(|s| MovingHeat {
            power_w: s.power_w,
            travel_m_s: s.travel_m_s,
            half_width_m: s.half_width_m,
            depth_m: s.depth_m,
            front_m: s.front_m,
            rear_m: s.rear_m,
        }),
        path,
        losses: Losses {
            convection_w_m2_k: file.losses.convection_w_m2_k,
            emissivity: file.losses.emissivity,
            ambient_k: file.losses.ambient_k,
        },
        start_temperature_k: file.start_temperature_k,
        cool_for_s: file.cool_for_s,
        fusion_k,
        probes: file.probes.iter().map(|p| p.at_m).collect(),
    }
}

/// How it is solved at one level of refinement: cells and steps halve together,
/// so that the error falls to a quarter.
pub fn params(file: &HeatFile, threads: u32, level: u32, cell_m: f64) -> PlateParams<'static> {
    let usual = PlateParams::with_cell(cell_m);
    let strip_m = file.source.map_or(0.0, |s| STRIP_HALF_WIDTHS * s.half_width_m);
    PlateParams {
        fine_half_width_m: usual.fine_half_width_m.max(strip_m),
        cells_per_step: file.cells_per_step,
        step_max_s: file.step_max_s / f64::from(1_u32 << level),
        threads: threads as usize,
        cells_max: file.cells_max.map_or(usual.cells_max, |n| n as usize),
        ..usual
    }
}

fn metal(metal: &HeatMetal) -> Metal {
    match *metal {
        HeatMetal::Constant { conductivity_w_m_k, volumetric_heat_j_m3_k } => {
            Metal::Constant { conductivity_w_m_k, volumetric_heat_j_m3_k }
        }
        HeatMetal::CarbonSteel(steel) => Metal::CarbonSteel(carbon_steel(&steel)),
    }
}

fn carbon_steel(steel: &HeatSteel) -> CarbonSteel {
    CarbonSteel {
        density_kg_m3: steel.density_kg_m3,
        solidus_c: celsius_from_kelvin(steel.solidus_k),
        liquidus_c: celsius_from_kelvin(steel.liquidus_k),
        latent_heat_j_kg: steel.latent_heat_j_kg,
        conductivity_hot_w_m_k: steel.conductivity_hot_w_m_k,
        conductivity_liquid_w_m_k: steel.conductivity_liquid_w_m_k,
        specific_heat_hot_j_kg_k: steel.specific_heat_hot_j_kg_k,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The defaults the field catalogue prints are those of the solver.
    #[test]
    fn a_steel_without_a_word_more_is_the_solvers_own() {
        let text = "[plate]\nlength = \"50 mm\"\nwidth = \"50 mm\"\nthickness = \"10 mm\"\n\
                    [material]\nmodel = \"carbon-steel-en1993\"\n\
                    [run]\ncool_for = \"1 s\"\ncell = \"2 mm\"\n\
                    [probes]\ns0 = [\"5 mm\", \"5 mm\", \"0 mm\"]\n";
        let (file, findings) = bendproof_files::read_heat(text);
        assert_eq!(findings, []);
        let problem = problem(&file.unwrap());
        let Metal::CarbonSteel(steel) = problem.metal else { panic!("{:?}", problem.metal) };
        let reference = CarbonSteel::REFERENCE;
        // A temperature goes through kelvin and back.
        const ROUNDED_C: f64 = 1e-9;
        assert!((steel.solidus_c - reference.solidus_c).abs() < ROUNDED_C);
        assert!((steel.liquidus_c - reference.liquidus_c).abs() < ROUNDED_C);
        assert!((problem.fusion_k - reference.fusion_k()).abs() < ROUNDED_C);
        let same = CarbonSteel { solidus_c: reference.solidus_c, liquidus_c: reference.liquidus_c, ..steel };
        assert_eq!(same, reference);
        assert!((problem.losses.ambient_k - 293.15).abs() < ROUNDED_C && problem.source.is_none());
    }
}
