//! Temperature around a moving point or line source: Rosenthal's solutions and
//! the fast-source limits.
//!
//! All results are the rise above the start temperature, K. The frame moves
//! with the source: `xi_m` ahead of it, `y_m` sideways, `z_m` down from the
//! surface. A point source is infinitely hot at its own place; use
//! [`crate::moving`] near the arc.

use crate::Conductor;
use crate::bessel::k0_scaled;
use std::f64::consts::{E, PI, TAU};

/// A moving source of heat without size.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PointSource {
    /// Net power into the metal, W.
    pub power_w: f64,
    /// Travel, m/s, above zero.
    pub travel_m_s: f64,
}

/// A place in the frame of the source, m.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// Ahead of the source; behind it is negative.
    pub xi_m: f64,
    /// Sideways.
    pub y_m: f64,
    /// Below the surface, zero or more.
    pub z_m: f64,
}

/// Exponent at which an image or a series term no longer counts.
const NEGLIGIBLE_EXPONENT: f64 = 40.0;

/// Point source on a thick plate, K (Rosenthal, Welding J. 20 (1941) 220s):
/// Q/(2πkR)·exp(-v(ξ + R)/2a).
pub fn rosenthal_thick_k(source: PointSource, metal: Conductor, at: Place) -> f64 {
    image_k(source, metal, at, at.z_m)
}

fn image_k(source: PointSource, metal: Conductor, at: Place, z_m: f64) -> f64 {
    let r = (at.xi_m * at.xi_m + at.y_m * at.y_m + z_m * z_m).sqrt();
    let decay = source.travel_m_s * (at.xi_m + r) / (2.0 * metal.diffusivity_m2_s);
    source.power_w / (TAU * metal.conductivity_w_m_k * r) * (-decay).exp()
}

/// Line source through a thin plate, K (Rosenthal):
/// Q/(2πkd)·exp(-vξ/2a)·K0(r·√((v/2a)² + h/(kd))).
///
/// `loss_w_m2_k` is the surface coefficient of both faces together, zero for
/// none.
pub fn rosenthal_thin_k(
    source: PointSource,
    metal: Conductor,
    thickness_m: f64,
    loss_w_m2_k: f64,
    xi_m: f64,
    y_m: f64,
) -> f64 {
    let k = metal.conductivity_w_m_k;
    let b = source.travel_m_s / (2.0 * metal.diffusivity_m2_s);
    let r = xi_m.hypot(y_m);
    let decay = (b * b + loss_w_m2_k / (k * thickness_m)).sqrt();
    source.power_w / (TAU * k * thickness_m) * (-b * xi_m - decay * r).exp() * k0_scaled(decay * r)
}

/// Point source on a plate of finite thickness with faces that lose no heat, K.
///
/// Images near the source, the cosine series away from it; both are exact and
/// agree to 1e-9 (tested).
pub fn rosenthal_plate_k(source: PointSource, metal: Conductor, thickness_m: f64, at: Place) -> f64 {
    // In the plane nearer than half a thickness the series needs many terms.
    if at.xi_m.hypot(at.y_m) < 0.5 * thickness_m {
        plate_by_images_k(source, metal, thickness_m, at)
    } else {
        plate_by_series_k(source, metal, thickness_m, at)
    }
}

/// Mirror sources at depths 2nd. Terms fall like exp(-v·2nd/2a)/n, so the count
/// grows as travel falls; it is bounded at a million for a source nearly at rest.
fn plate_by_images_k(source: PointSource, metal: Conductor, thickness_m: f64, at: Place) -> f64 {
    let reach_m = NEGLIGIBLE_EXPONENT * 2.0 * metal.diffusivity_m2_s / source.travel_m_s;
    let count = (reach_m / (2.0 * thickness_m)).ceil().clamp(1.0, 1e6) as i64 + 1;
    let mirrored = |n: i64| image_k(source, metal, at, at.z_m - 2.0 * n as f64 * thickness_m);
    mirrored(0) + (1..=count).map(|n| mirrored(n) + mirrored(-n)).sum::<f64>()
}

fn plate_by_series_k(source: PointSource, metal: Conductor, thickness_m: f64, at: Place) -> f64 {
    let b = source.travel_m_s / (2.0 * metal.diffusivity_m2_s);
    let r = at.xi_m.hypot(at.y_m);
    let mode = |m: f64| {
        let decay = b.hypot(m * PI / thickness_m);
        (-b * at.xi_m - decay * r).exp() * k0_scaled(decay * r)
    };
    let count = (NEGLIGIBLE_EXPONENT * thickness_m / (PI * r)).ceil().min(1e4) as u32 + 1;
    let waves: f64 =
        (1..=count).map(f64::from).map(|m| 2.0 * (m * PI * at.z_m / thickness_m).cos() * mode(m)).sum();
    source.power_w / (TAU * metal.conductivity_w_m_k * thickness_m) * (mode(0.0) + waves)
}

/// Fast source on a thick plate, K, `time_s` after it passed at distance
/// `radius_m` (Rykalin): (q/v)/(2πkt)·exp(-r²/4at).
pub fn fast_thick_k(energy_j_m: f64, metal: Conductor, time_s: f64, radius_m: f64) -> f64 {
    let spread = 4.0 * metal.diffusivity_m2_s * time_s;
    energy_j_m / (TAU * metal.conductivity_w_m_k * time_s) * (-radius_m * radius_m / spread).exp()
}

/// Fast source through a thin plate, K (Rykalin):
/// (q/vd)/√(4πkρct)·exp(-y²/4at).
pub fn fast_thin_k(energy_j_m: f64, metal: Conductor, thickness_m: f64, time_s: f64, y_m: f64) -> f64 {
    let krc = metal.conductivity_w_m_k * metal.heat_per_volume_j_m3_k();
    let spread = 4.0 * metal.diffusivity_m2_s * time_s;
    energy_j_m / thickness_m / (4.0 * PI * krc * time_s).sqrt() * (-y_m * y_m / spread).exp()
}

/// Highest rise at distance `radius_m` from a fast source on a thick plate, K:
/// 2(q/v)/(π·e·ρc·r²).
pub fn peak_thick_k(energy_j_m: f64, heat_per_volume_j_m3_k: f64, radius_m: f64) -> f64 {
    2.0 * energy_j_m / (PI * E * heat_per_volume_j_m3_k * radius_m * radius_m)
}

/// Highest rise at distance `y_m` from a fast source through a thin plate, K:
/// (q/vd)/(2ρc·y)·√(2/(πe)).
pub fn peak_thin_k(energy_j_m: f64, heat_per_volume_j_m3_k: f64, thickness_m: f64, y_m: f64) -> f64 {
    energy_j_m / thickness_m / (2.0 * heat_per_volume_j_m3_k * y_m) * (2.0 / (PI * E)).sqrt()
}

/// Length of the pool behind a point source on a thick plate, m: q/(2πk·ΔT),
/// the same at every travel (Rosenthal). `melting_rise_k` is from start to
/// melting.
pub fn pool_length_m(power_w: f64, conductivity_w_m_k: f64, melting_rise_k: f64) -> f64 {
    power_w / (TAU * conductivity_w_m_k * melting_rise_k)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const STEEL: Conductor = Conductor::REFERENCE;
    const SOURCE: PointSource = PointSource { power_w: 2500.0, travel_m_s: 5e-3 };

    #[test]
    fn thin_plate_is_the_limit_of_a_plate() {
        let at = Place { xi_m: -0.02, y_m: 5e-3, z_m: 0.5e-3 };
        let plate = rosenthal_plate_k(SOURCE, STEEL, 1e-3, at);
        let thin = rosenthal_thin_k(SOURCE, STEEL, 1e-3, 0.0, at.xi_m, at.y_m);
        assert!((plate / thin - 1.0).abs() < 1e-9);
    }

    #[test]
    fn thick_plate_is_the_limit_of_a_plate() {
        let at = Place { xi_m: -2e-3, y_m: 1e-3, z_m: 1e-3 };
        let plate = rosenthal_plate_k(SOURCE, STEEL, 0.5, at);
        assert!((plate / rosenthal_thick_k(SOURCE, STEEL, at) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn peak_is_the_maximum_of_the_fast_source() {
        let energy = 5e5;
        let rho_c = STEEL.heat_per_volume_j_m3_k();
        let times = (1..20_000).map(|n| f64::from(n) * 1e-3);
        let thick = times.clone().map(|t| fast_thick_k(energy, STEEL, t, 5e-3)).fold(0.0, f64::max);
        assert!((thick / peak_thick_k(energy, rho_c, 5e-3) - 1.0).abs() < 1e-5);
        let thin = times.map(|t| fast_thin_k(energy, STEEL, 6e-3, t, 5e-3)).fold(0.0, f64::max);
        assert!((thin / peak_thin_k(energy, rho_c, 6e-3, 5e-3) - 1.0).abs() < 1e-5);
    }

    proptest! {
        #[test]
        fn images_equal_series(
            xi in -0.05..0.01_f64, y in 1e-3..0.02_f64, share in 0.0..1.0_f64,
            d in 3e-3..20e-3_f64, v in 2e-3..12e-3_f64,
        ) {
            // Where the field has fallen below a millionth of its scale both
            // ways only carry round-off of their largest term.
            let source = PointSource { power_w: 2500.0, travel_m_s: v };
            let at = Place { xi_m: xi, y_m: y, z_m: share * d };
            let (a, b) = (plate_by_images_k(source, STEEL, d, at), plate_by_series_k(source, STEEL, d, at));
            let scale = rosenthal_thin_k(source, STEEL, d, 0.0, xi, y);
            prop_assert!((a - b).abs() <= 1e-9 * scale.max(a), "{a} {b}");
        }
    }
}
