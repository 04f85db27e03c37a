//! Exact areas and widths of a single-V groove with lands, by closed form.
//!
//! The plane section only: no bead, no mismatch (the members are measured from
//! their own undersides) and no pipe curvature.

use crate::coupon::Joint;

/// A single-V section. Lands may differ; the bevels share one angle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Groove {
    /// Plate or wall thickness, m, above zero.
    pub thickness_m: f64,
    /// Gap between the lands, m, zero or more.
    pub root_opening_m: f64,
    /// Left land, m, from zero to the thickness.
    pub root_face_left_m: f64,
    /// Right land, m, from zero to the thickness.
    pub root_face_right_m: f64,
    /// Tangent of half the included angle.
    pub bevel_tangent: f64,
}

impl Groove {
    /// A groove with equal lands; `groove_angle_rad` is the included angle,
    /// below π.
    pub fn symmetric(root_opening_m: f64, root_face_m: f64, thickness_m: f64, groove_angle_rad: f64) -> Self {
        Self {
            thickness_m,
            root_opening_m,
            root_face_left_m: root_face_m,
            root_face_right_m: root_face_m,
            bevel_tangent: (groove_angle_rad / 2.0).tan(),
        }
    }

    /// The groove of a joint as fitted; its mismatch is not counted.
    pub fn of_joint(joint: &Joint) -> Self {
        Self {
            root_face_left_m: joint.root_face_left_m,
            root_face_right_m: joint.root_face_right_m,
            ..Self::symmetric(joint.root_opening_m, 0.0, joint.thickness_m, joint.groove_angle_rad)
        }
    }

    /// Area between the members up to a height above the underside, m². The
    /// two bevels open separately, so uneven lands are the mean of two
    /// symmetric grooves.
    pub fn area_up_to_m2(&self, height_m: f64) -> f64 {
        let height_m = height_m.clamp(0.0, self.thickness_m);
        let half = |land_m: f64| 0.5 * self.bevel_tangent * (height_m - land_m).max(0.0).powi(2);
        self.root_opening_m * height_m + half(self.root_face_left_m) + half(self.root_face_right_m)
    }

    /// Area of the whole groove to the plate surface, m².
    pub fn area_m2(&self) -> f64 {
        self.area_up_to_m2(self.thickness_m)
    }

    /// Width between the walls at a height above the underside, m.
    pub fn width_at_m(&self, height_m: f64) -> f64 {
        let opened = |land_m: f64| self.bevel_tangent * (height_m - land_m).max(0.0);
        self.root_opening_m + opened(self.root_face_left_m) + opened(self.root_face_right_m)
    }

    /// Width of the groove at the plate surface, m.
    pub fn face_width_m(&self) -> f64 {
        self.width_at_m(self.thickness_m)
    }

    /// Height to which `area_m2` of metal fills the groove level, m; `None` when
    /// it does not fit below the surface, is negative, or no gap holds it.
    pub fn fill_height_m(&self, area_m2: f64) -> Option<f64> {
        if !(area_m2 >= 0.0 && area_m2 <= self.area_m2()) {
            return None;
        }
        let (low, high) = ordered(self.root_face_left_m, self.root_face_right_m);
        let height = if area_m2 <= self.area_up_to_m2(low) {
            // A closed gap holds nothing below the first bevel.
            if self.root_opening_m > 0.0 { area_m2 / self.root_opening_m } else { low }
        } else if area_m2 <= self.area_up_to_m2(high) {
            let width = self.root_opening_m;
            low + rise(0.5 * self.bevel_tangent, width, area_m2 - self.area_up_to_m2(low))
        } else {
            let width = self.width_at_m(high);
            high + rise(self.bevel_tangent, width, area_m2 - self.area_up_to_m2(high))
        };
        Some(height.min(self.thickness_m))
    }
}

fn ordered(a: f64, b: f64) -> (f64, f64) {
    if a <= b { (a, b) } else { (b, a) }
}

/// Root of `spread·x² + width·x = area` in the form that keeps its digits for
/// a small spread.
fn rise(spread: f64, width: f64, area: f64) -> f64 {
    let denominator = width + (width * width + 4.0 * spread * area).sqrt();
    if denominator > 0.0 { 2.0 * area / denominator } else { 0.0 }
}

/// How far a cap is taken to lie beyond the groove edges, both sides together,
/// m (choice).
pub const CAP_OVERLAP_M: f64 = 3.0e-3;
/// How far root reinforcement is taken to spread beyond the opening, both sides
/// together, m (choice).
pub const ROOT_OVERLAP_M: f64 = 2.0e-3;

/// Area of a cap of a given height over a face width, m²: a parabola over the
/// face and [`CAP_OVERLAP_M`].
pub fn cap_area_m2(face_width_m: f64, cap_height_m: f64) -> f64 {
    2.0 / 3.0 * (face_width_m + CAP_OVERLAP_M) * cap_height_m
}

/// Area of root reinforcement of a given height, m²: a parabola over the
/// opening and [`ROOT_OVERLAP_M`].
pub fn root_area_m2(root_opening_m: f64, root_height_m: f64) -> f64 {
    2.0 / 3.0 * (root_opening_m + ROOT_OVERLAP_M) * root_height_m
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn deg(angle: f64) -> f64 {
        angle.to_radians()
    }

    #[test]
    fn worked_grooves() {
        for (gap, land, t, angle, area, width) in [
            (3.2, 1.6, 12.7, 60.0, 111.78, 16.017),
            (2.4, 1.6, 12.7, 60.0, 101.62, 15.217),
            (2.4, 1.6, 9.5, 75.0, 70.689, 14.524),
            (2.0, 2.0, 12.0, 60.0, 81.735, 13.547),
        ] {
            let g = Groove::symmetric(gap * 1e-3, land * 1e-3, t * 1e-3, deg(angle));
            assert!((g.area_m2() * 1e6 / area - 1.0).abs() < 1e-4);
            assert!((g.face_width_m() * 1e3 / width - 1.0).abs() < 1e-4);
        }
    }

    #[test]
    fn a_closed_gap_fills_from_the_bevel() {
        let g = Groove::symmetric(0.0, 2e-3, 10e-3, deg(60.0));
        assert_eq!(g.fill_height_m(0.0), Some(2e-3));
        assert_eq!(g.fill_height_m(1.0), None);
        assert_eq!(g.fill_height_m(f64::NAN), None);
    }

    proptest! {
        #[test]
        fn fill_height_is_the_inverse_of_area(
            gap in 0.1e-3..6e-3_f64, left in 0.0..4e-3_f64, right in 0.0..4e-3_f64,
            t in 5e-3..25e-3_f64, angle in 0.0..100.0_f64, share in 0.0..1.0_f64,
        ) {
            let g = Groove { root_face_left_m: left, root_face_right_m: right, ..Groove::symmetric(gap, 0.0, t, deg(angle)) };
            let area = share * g.area_m2();
            let y = g.fill_height_m(area).unwrap();
            prop_assert!((g.area_up_to_m2(y) - area).abs() <= 1e-12 * g.area_m2());
        }

        #[test]
        fn uneven_lands_are_the_mean_of_two_grooves(left in 0.0..4e-3_f64, right in 0.0..4e-3_f64) {
            let of = |land| Groove::symmetric(2.4e-3, land, 10e-3, deg(60.0)).area_m2();
            let uneven = Groove { root_face_right_m: right, ..Groove::symmetric(2.4e-3, left, 10e-3, deg(60.0)) };
            prop_assert!((uneven.area_m2() - 0.5 * (of(left) + of(right))).abs() < 1e-16);
        }
    }
}
