//! Strain of a bent strap and the former that gives a wanted strain.
//!
//! Pure geometry of bending round a former; which former a code asks for is
//! the code's matter.

/// Strain of the outer fibre as a share, t/(A + t): thickness over former
/// diameter plus thickness, the neutral line held at mid thickness. Both in m.
pub fn outer_fibre_strain(thickness_m: f64, former_diameter_m: f64) -> f64 {
    thickness_m / (former_diameter_m + thickness_m)
}

/// Diameter of the former that strains the outer fibre by `strain` (a share
/// above 0, at most 1), m; the inverse of [`outer_fibre_strain`]. With the
/// steel's least elongation as strain it is the smallest fair former.
pub fn former_diameter_m(thickness_m: f64, strain: f64) -> f64 {
    thickness_m * (1.0 - strain) / strain
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn known_jigs() {
        assert!((outer_fibre_strain(9.525e-3, 38.1e-3) - 0.20).abs() < 1e-12);
        assert!((outer_fibre_strain(9.525e-3, 50.8e-3) - 0.157_894_7).abs() < 1e-6);
        assert!((former_diameter_m(10e-3, 0.15) - 56.67e-3).abs() < 5e-6);
    }

    proptest! {
        #[test]
        fn former_and_strain_are_inverse(t in 1e-3..40e-3_f64, a in 1e-3..0.3_f64) {
            prop_assert!((former_diameter_m(t, outer_fibre_strain(t, a)) / a - 1.0).abs() < 1e-10);
        }
    }
}
