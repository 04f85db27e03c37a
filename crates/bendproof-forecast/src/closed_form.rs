//! The heat model of closed forms: a double-ellipsoid source on a flat plate.
//!
//! It cannot see a groove, a land or the bead below; the stated scatter covers
//! that and is an estimate, not a measurement.

use bendproof_heat::Conductor;
use bendproof_heat::cooling::{ShapeFactors, en1011_s};
use bendproof_heat::fusion::{FUSION_TEMPERATURE_K, Slab, fusion_section, outside_fit};
use bendproof_heat::moving::MovingHeat;
use bendproof_measure::celsius_from_kelvin;
use bendproof_weld::basis::Basis;

use crate::heat_model::{BeadHeat, BeadMelt, HeatModel};

/// Source lengths for which the conductor pair was fitted, m: half width,
/// depth, front and rear. Other shapes would need their own fit.
const SOURCE_LENGTHS_M: [f64; 4] = [4e-3, 3e-3, 4e-3, 8e-3];
/// One standard deviation of melted width and depth in a groove, m, inside the
/// power and travel of the fit. Choice: four times the fit's own error on a
/// flat plate, because the groove is not one.
const SCATTER_INSIDE_M: f64 = 0.5e-3;
/// The same outside the fit (choice).
const SCATTER_OUTSIDE_M: f64 = 0.8e-3;
/// Least and greatest power for which any answer is given, W.
const POWER_RANGE_W: (f64, f64) = (500.0, 4500.0);
/// Slowest and fastest travel for which any answer is given, m/s (2.4 to 35
/// in/min; choice: a third of the fit's slowest and half again its fastest).
const TRAVEL_RANGE_M_S: (f64, f64) = (1e-3, 15e-3);
/// Factor between arc efficiency and the factor k of EN 1011-1 for GMAW: the
/// cooling-time formula wants arc energy times 0.8, and gets power times 0.85.
const K_OVER_EFFICIENCY: f64 = 0.8 / 0.85;

/// Closed forms on a flat plate.
#[derive(Debug, Clone, Copy, Default)]
pub struct ClosedForm;

impl HeatModel for ClosedForm {
    fn melt(&self, bead: &BeadHeat) -> Option<BeadMelt> {
        let power_w = bead.net_power_w - bead.deposit_power_w;
        let within = |value: f64, range: (f64, f64)| value > range.0 && value < range.1;
        let in_range = within(power_w, POWER_RANGE_W) && within(bead.travel_m_s, TRAVEL_RANGE_M_S);
        if !in_range || bead.start_temperature_k >= FUSION_TEMPERATURE_K {
            return None;
        }
        let [half_width_m, depth_m, front_m, rear_m] = SOURCE_LENGTHS_M;
        let source =
            MovingHeat { power_w, travel_m_s: bead.travel_m_s, half_width_m, depth_m, front_m, rear_m };
        let slab = Slab {
            metal: Conductor::FITTED_FUSION,
            thickness_m: bead.thickness_m,
            start_temperature_k: bead.start_temperature_k,
        };
        let fused = fusion_section(&source, &slab, FUSION_TEMPERATURE_K);
        let inside = outside_fit(&source, &slab).is_empty();
        Some(BeadMelt {
            half_width_m: fused.half_width_m,
            depth_m: fused.depth_m,
            scatter_m: if inside { SCATTER_INSIDE_M } else { SCATTER_OUTSIDE_M },
            t85_s: cooling_time_s(bead),
        })
    }

    fn source(&self) -> &'static str {
        "closed form: double ellipsoid on a flat plate, conductor pair fitted to our own nonlinear solver"
    }

    fn basis(&self) -> Basis {
        Basis::Derived
    }
}

/// EN 1011-2 for a run in a butt groove, s.
fn cooling_time_s(bead: &BeadHeat) -> f64 {
    let heat_input_kj_mm = bead.net_power_w / bead.travel_m_s * K_OVER_EFFICIENCY * 1e-6;
    en1011_s(
        heat_input_kj_mm,
        celsius_from_kelvin(bead.start_temperature_k),
        bead.thickness_m * 1e3,
        ShapeFactors::BUTT_GROOVE,
    )
}
