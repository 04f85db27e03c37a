//! How far a butt weld draws the plates together and how far they fold.
//!
//! Rules of thumb and upper estimates with their sources; they differ by a
//! factor of two among themselves. Restraint, the order of passes and the
//! stiffness of the part are not modelled.

use crate::basis::{Basis, Known};

/// Share of weld area over thickness in the rule of Spraragen and Ettinger.
const SPRARAGEN_AREA_SHARE: f64 = 0.2;
/// Share of the root opening in the rule of Spraragen and Ettinger.
const SPRARAGEN_GAP_SHARE: f64 = 0.05;
/// Share of the mean groove width in the handbook rule.
const MEAN_WIDTH_SHARE: f64 = 0.10;

/// Allowance for the shrinkage of one butt weld with a 60° V, m.
pub const SHRINKAGE_ALLOWANCE_M: Known = Known {
    value: 2.25e-3,
    low: 1.5e-3,
    high: 3.0e-3,
    source: "The Welding Institute, frequent question on how much to allow for shrinkage: 1.5 to 3 mm",
    basis: Basis::Seen,
};
/// Thermal expansion of carbon steel in [`shrinkage_thermal_bound_m`], 1/K.
pub const EXPANSION_1_K: Known = Known {
    value: 12e-6,
    low: 11e-6,
    high: 15e-6,
    source: "carbon steel from room temperature to some hundred degrees",
    basis: Basis::Memory,
};
/// Heat to warm a volume of steel in [`shrinkage_thermal_bound_m`], J/(m³·K).
pub const VOLUMETRIC_HEAT_J_M3_K: Known = Known {
    value: 4.9e6,
    low: 4.0e6,
    high: 5.5e6,
    source: "mean over the heating of a weld, as taken in the worked cases",
    basis: Basis::Choice,
};

/// Transverse shrinkage of a free butt weld, m: 0.2·A/t + 0.05·g, after
/// Spraragen and Ettinger. Basis: memory.
///
/// Weld area A in m², thickness t in m above zero, root opening g in m. The
/// form holds in any one unit of length; copies with 5.08 and 1.27 take inches
/// and give millimetres, though some print them as if in millimetres.
pub fn shrinkage_spraragen_m(area_m2: f64, thickness_m: f64, root_opening_m: f64) -> f64 {
    SPRARAGEN_AREA_SHARE * area_m2 / thickness_m + SPRARAGEN_GAP_SHARE * root_opening_m
}

/// Transverse shrinkage of a free butt weld, m: a tenth of the mean groove
/// width, 0.10·A/t. Basis: secondary; a method statement that cites two
/// handbooks, whose own table does not follow from its formula.
///
/// Weld area A in m², thickness t in m above zero.
pub fn shrinkage_mean_width_m(area_m2: f64, thickness_m: f64) -> f64 {
    MEAN_WIDTH_SHARE * area_m2 / thickness_m
}

/// Most a free butt weld shrinks by its heat alone, m: α·Σ(q/v)/(ρc·t), all
/// heat of all passes contracting across the joint. Basis: derived.
///
/// `heat_input_j_m` is the sum over the passes, J/m, thickness in m above zero;
/// with [`EXPANSION_1_K`] and [`VOLUMETRIC_HEAT_J_M3_K`].
pub fn shrinkage_thermal_bound_m(heat_input_j_m: f64, thickness_m: f64) -> f64 {
    EXPANSION_1_K.value * heat_input_j_m / (VOLUMETRIC_HEAT_J_M3_K.value * thickness_m)
}

/// Most a free single-V butt folds, rad, both plates together: a tenth of the
/// difference between face and root width over the thickness, as if each
/// height shrank on its own. Basis: derived. Real plates fold less, since the
/// root passes hinge and stiffen.
///
/// Widths and thickness in m, thickness above zero.
pub fn angular_bound_rad(face_width_m: f64, root_width_m: f64, thickness_m: f64) -> f64 {
    MEAN_WIDTH_SHARE * (face_width_m - root_width_m) / thickness_m
}

/// How far the far edge of each plate is raised to preset a joint against a
/// fold of `fold_rad` in all, m: L·tan(fold/2). Plane geometry.
///
/// `plate_width_m` is the distance from the joint to the edge, m; the fold is
/// below π.
pub fn preset_rise_m(plate_width_m: f64, fold_rad: f64) -> f64 {
    plate_width_m * (fold_rad / 2.0).tan()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::groove::Groove;
    use proptest::prelude::*;

    /// The rule as the inch copies write it, mm out of inches.
    fn spraragen_inch_copy_mm(area_in2: f64, thickness_in: f64, root_opening_in: f64) -> f64 {
        5.08 * area_in2 / thickness_in + 1.27 * root_opening_in
    }

    proptest! {
        #[test]
        fn the_inch_copy_is_the_same_rule(
            area in 1e-6..3e-4_f64, thickness in 3e-3..50e-3_f64, gap in 0.0..6e-3_f64,
        ) {
            let inch = 0.0254;
            let copy = spraragen_inch_copy_mm(area / (inch * inch), thickness / inch, gap / inch);
            let own = shrinkage_spraragen_m(area, thickness, gap) * 1e3;
            prop_assert!((copy - own).abs() <= 1e-12 * own);
        }

        #[test]
        fn a_tenth_of_the_mean_width_is_the_mean_of_a_tenth_of_the_ends(
            gap in 0.0..5e-3_f64, t in 5e-3..30e-3_f64, angle in 0.3..1.4_f64,
        ) {
            // Without a land the groove is a trapezium, where both views meet.
            let groove = Groove::symmetric(gap, 0.0, t, angle);
            let mean = 0.05 * (groove.face_width_m() + gap);
            prop_assert!((shrinkage_mean_width_m(groove.area_m2(), t) - mean).abs() <= 1e-12 * mean);
        }
    }

    #[test]
    fn worked_bounds() {
        assert!((shrinkage_thermal_bound_m(6e6, 12.7e-3) * 1e3 - 1.157).abs() < 6e-4);
        assert!((shrinkage_thermal_bound_m(5.0 * 0.8e6, 12.7e-3) * 1e3 - 0.771).abs() < 6e-4);
        // 9.5 mm, gap 2.4 mm, land 1.6 mm, 75 degrees: 7.312 degrees.
        let groove = Groove::symmetric(2.4e-3, 1.6e-3, 9.5e-3, 75f64.to_radians());
        let fold = angular_bound_rad(groove.face_width_m(), groove.root_opening_m, groove.thickness_m);
        assert!((fold.to_degrees() - 7.31201).abs() < 6e-5);
        assert!((preset_rise_m(0.15, 2f64.to_radians()) * 1e3 - 2.61826).abs() < 6e-6);
    }
}
