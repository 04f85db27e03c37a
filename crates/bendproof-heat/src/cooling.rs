//! Cooling time from 800 to 500 °C.
//!
//! Two families: heat flow from a moving source with stated properties, and the
//! formulas of EN 1011-2 with their own fitted coefficients. Never mix the
//! coefficients of one with the properties of the other. Temperatures here are
//! degrees Celsius because the formulas are written in them.

use std::f64::consts::PI;

/// Upper end of the cooling interval, °C.
const FROM_C: f64 = 800.0;
/// Lower end of the cooling interval, °C.
const TO_C: f64 = 500.0;

/// 1/(500-T0) - 1/(800-T0), 1/K.
fn first_power(start_c: f64) -> f64 {
    1.0 / (TO_C - start_c) - 1.0 / (FROM_C - start_c)
}

/// 1/(500-T0)² - 1/(800-T0)², 1/K².
fn second_power(start_c: f64) -> f64 {
    (TO_C - start_c).powi(-2) - (FROM_C - start_c).powi(-2)
}

/// Thick plate, fast source, s (Rykalin): (q/v)/(2πk)·[1/(500-T0) - 1/(800-T0)].
/// Exact on the axis of a point source at any travel. Start below 500 °C.
pub fn thick_s(energy_j_m: f64, conductivity_w_m_k: f64, start_c: f64) -> f64 {
    energy_j_m / (2.0 * PI * conductivity_w_m_k) * first_power(start_c)
}

/// Thin plate, fast source, s (Rykalin): (q/vd)²/(4πkρc)·[1/(500-T0)² - 1/(800-T0)²].
pub fn thin_s(
    energy_j_m: f64,
    conductivity_w_m_k: f64,
    heat_per_volume_j_m3_k: f64,
    thickness_m: f64,
    start_c: f64,
) -> f64 {
    (energy_j_m / thickness_m).powi(2) / (4.0 * PI * conductivity_w_m_k * heat_per_volume_j_m3_k)
        * second_power(start_c)
}

/// Thickness at which [`thick_s`] and [`thin_s`] agree, m.
pub fn crossover_thickness_m(energy_j_m: f64, heat_per_volume_j_m3_k: f64, start_c: f64) -> f64 {
    let sum = 1.0 / (TO_C - start_c) + 1.0 / (FROM_C - start_c);
    (energy_j_m / (2.0 * heat_per_volume_j_m3_k) * sum).sqrt()
}

/// Shape factors of EN 1011-2 for heat flow in three and in two dimensions.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShapeFactors {
    /// F3, thick plate.
    pub f3: f64,
    /// F2, thin plate.
    pub f2: f64,
}

impl ShapeFactors {
    /// Bead on plate (EN 1011-2 table D.1, from memory).
    pub const BEAD_ON_PLATE: Self = Self { f3: 1.0, f2: 1.0 };
    /// Runs in a butt groove (from memory).
    pub const BUTT_GROOVE: Self = Self { f3: 0.9, f2: 0.9 };
    /// Single-run fillet on a corner joint (from memory; F2 is listed 0.67 to 0.9).
    pub const CORNER_FILLET: Self = Self { f3: 0.67, f2: 0.9 };
    /// Single-run fillet on a T joint (from memory; F2 is listed 0.45 to 0.67).
    pub const T_FILLET: Self = Self { f3: 0.67, f2: 0.67 };
}

/// EN 1011-2, heat flow in three dimensions, s. Heat input in kJ/mm (arc
/// energy times the factor k), start in °C below 500.
pub fn en1011_3d_s(heat_input_kj_mm: f64, start_c: f64, f3: f64) -> f64 {
    (6700.0 - 5.0 * start_c) * heat_input_kj_mm * first_power(start_c) * f3
}

/// EN 1011-2, heat flow in two dimensions, s. Thickness in mm.
pub fn en1011_2d_s(heat_input_kj_mm: f64, start_c: f64, thickness_mm: f64, f2: f64) -> f64 {
    (4300.0 - 4.3 * start_c) * 1e5 * (heat_input_kj_mm / thickness_mm).powi(2) * second_power(start_c) * f2
}

/// Thickness in mm at which the two EN 1011-2 formulas agree (derived by
/// equating them).
pub fn en1011_transition_mm(heat_input_kj_mm: f64, start_c: f64, factors: ShapeFactors) -> f64 {
    let sum = 1.0 / (TO_C - start_c) + 1.0 / (FROM_C - start_c);
    let ratio = (4300.0 - 4.3 * start_c) * 1e5 / (6700.0 - 5.0 * start_c);
    (ratio * heat_input_kj_mm * sum * factors.f2 / factors.f3).sqrt()
}

/// EN 1011-2 cooling time, s: two dimensions below the transition thickness,
/// three from there on.
pub fn en1011_s(heat_input_kj_mm: f64, start_c: f64, thickness_mm: f64, factors: ShapeFactors) -> f64 {
    if thickness_mm < en1011_transition_mm(heat_input_kj_mm, start_c, factors) {
        en1011_2d_s(heat_input_kj_mm, start_c, thickness_mm, factors.f2)
    } else {
        en1011_3d_s(heat_input_kj_mm, start_c, factors.f3)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn worked_values() {
        assert!((thick_s(600_000.0, 41.0, 100.0) - 2.49546).abs() < 1e-5);
        assert!((thin_s(600_000.0, 41.0, 4.68e6, 6e-3, 100.0) - 17.4565).abs() < 1e-4);
        assert!((en1011_3d_s(1.0, 100.0, 1.0) - 6.64286).abs() < 1e-5);
        assert!((en1011_transition_mm(1.0, 100.0, ShapeFactors::BEAD_ON_PLATE) - 15.659).abs() < 1e-3);
    }

    proptest! {
        #[test]
        fn choice_is_continuous_at_the_transition(q in 0.2..4.0_f64, t0 in -20.0..300.0_f64) {
            let f = ShapeFactors::T_FILLET;
            let d = en1011_transition_mm(q, t0, f);
            let (thin, thick) = (en1011_2d_s(q, t0, d, f.f2), en1011_3d_s(q, t0, f.f3));
            prop_assert!((thin / thick - 1.0).abs() < 1e-12);
        }

        #[test]
        fn crossover_equals_both(q in 2e5..4e6_f64, t0 in -20.0..300.0_f64) {
            let d = crossover_thickness_m(q, 4.68e6, t0);
            let (thin, thick) = (thin_s(q, 41.0, 4.68e6, d, t0), thick_s(q, 41.0, t0));
            prop_assert!((thin / thick - 1.0).abs() < 1e-12);
        }

        #[test]
        fn warmer_and_richer_cools_slower(q in 0.2..3.0_f64, t0 in 0.0..250.0_f64, d in 3.0..40.0_f64) {
            let f = ShapeFactors::BEAD_ON_PLATE;
            prop_assert!(en1011_s(q * 1.01, t0, d, f) > en1011_s(q, t0, d, f));
            prop_assert!(en1011_s(q, t0 + 1.0, d, f) > en1011_s(q, t0, d, f));
        }
    }
}
