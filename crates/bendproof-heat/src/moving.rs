//! Temperature around a moving heat source with size: the double ellipsoid and
//! the travelling Gaussian, on a thick plate or a slab, steady or started.
//!
//! The exact field of the double ellipsoid, with the error functions that a
//! front and a rear of different length require; without them a published form
//! is wrong by a factor of two ahead of the arc. Constant properties, no
//! melting heat, faces that lose none.

use crate::Conductor;
use crate::point::Place;
use crate::quadrature::panel;
use std::f64::consts::PI;

/// A travelling source: heat spread as a Gaussian sideways and down, and along
/// the travel with one length ahead and another behind.
///
/// Lengths are those at which the heat has fallen to 5 % (Goldak, Chakravarti
/// and Bibby, Metall. Trans. B 15 (1984) 299-305).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MovingHeat {
    /// Net power into the metal, W.
    pub power_w: f64,
    /// Travel, m/s, above zero.
    pub travel_m_s: f64,
    /// Half width b, m, above zero.
    pub half_width_m: f64,
    /// Depth d, m; zero puts all heat on the surface.
    pub depth_m: f64,
    /// Length ahead c_f, m, above zero.
    pub front_m: f64,
    /// Length behind c_r, m, above zero.
    pub rear_m: f64,
}

impl MovingHeat {
    /// A round Gaussian on the surface with standard deviation `sigma_m`
    /// (Eagar and Tsai, Welding J. 62 (1983) 346s-355s).
    pub fn gaussian(power_w: f64, travel_m_s: f64, sigma_m: f64) -> Self {
        // 5 % lengths against the standard deviation: 3u²/c² = u²/2σ².
        let length_m = 6.0_f64.sqrt() * sigma_m;
        Self {
            power_w,
            travel_m_s,
            half_width_m: length_m,
            depth_m: 0.0,
            front_m: length_m,
            rear_m: length_m,
        }
    }

    /// Share of the power ahead of the centre, out of 2. The only share for
    /// which the heat is continuous at the centre: 2c_f/(c_f + c_r).
    pub fn front_share(&self) -> f64 {
        2.0 * self.front_m / (self.front_m + self.rear_m)
    }
}

/// The body under the source.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Body {
    /// Thick plate: nothing comes back from below.
    Thick,
    /// Plate of a thickness in m whose faces lose no heat.
    Slab(f64),
}

/// Exponent beyond which a Gaussian no longer counts.
const NEGLIGIBLE_EXPONENT: f64 = 40.0;

/// Rise above the start temperature, K, in steady travel.
pub fn steady_rise_k(source: &MovingHeat, metal: Conductor, body: Body, at: Place) -> f64 {
    rise_until_k(source, metal, body, at, f64::INFINITY)
}

/// Rise above the start temperature, K, `time_s` after the source was switched
/// on; the place is measured from where the source is now.
pub fn rise_until_k(source: &MovingHeat, metal: Conductor, body: Body, at: Place, time_s: f64) -> f64 {
    let end_s = time_s.min(longest_memory_s(source, metal, at.xi_m));
    // In the square root of time the surface singularity is gone. Panels halve
    // toward zero, where the field near the source varies fastest.
    const PANELS: i32 = 14;
    let end = end_s.sqrt();
    let edge = |n: i32| if n == 0 { 0.0 } else { end * 2.0_f64.powi(n - PANELS) };
    let integral: f64 = (0..PANELS)
        .flat_map(|n| panel(edge(n), edge(n + 1)))
        .map(|(root_s, weight)| {
            let age = Age::new(source, metal, root_s * root_s);
            let along = along(source, metal, &age, at.xi_m);
            let across = normal(at.y_m, age.y_variance);
            2.0 * root_s * weight * along * across * depth_spread(body, at.z_m, age.z_variance)
        })
        .sum();
    source.power_w / metal.heat_per_volume_j_m3_k() * integral
}

/// Time after which heat left behind no longer reaches a place, s: the root of
/// (vτ - |ξ|)² = 160·a·τ + 14c², where its exponent is 40.
pub(crate) fn longest_memory_s(source: &MovingHeat, metal: Conductor, xi_m: f64) -> f64 {
    let v = source.travel_m_s;
    let behind = (-xi_m).max(0.0);
    let spread = 4.0 * NEGLIGIBLE_EXPONENT * metal.diffusivity_m2_s / v;
    let length = source.front_m.max(source.rear_m);
    let size = NEGLIGIBLE_EXPONENT / 3.0 * length * length;
    let beyond = 0.5 * (spread + (spread * spread + 4.0 * (spread * behind + size)).sqrt());
    (behind + beyond) / v
}

/// Spread of the heat laid down `age_s` ago, as variances in m².
pub(crate) struct Age {
    pub(crate) age_s: f64,
    pub(crate) y_variance: f64,
    pub(crate) z_variance: f64,
}

impl Age {
    pub(crate) fn new(source: &MovingHeat, metal: Conductor, age_s: f64) -> Self {
        let grown = 2.0 * metal.diffusivity_m2_s * age_s;
        let of = |length_m: f64| grown + length_m * length_m / 6.0;
        Self { age_s, y_variance: of(source.half_width_m), z_variance: of(source.depth_m) }
    }
}

/// Density along the travel of heat laid `age_s` ago, 1/m.
fn along(source: &MovingHeat, metal: Conductor, age: &Age, xi_m: f64) -> f64 {
    let u = xi_m + source.travel_m_s * age.age_s;
    let share = source.front_share();
    half_along(metal, age, u, source.front_m, share) + half_along(metal, age, -u, source.rear_m, 2.0 - share)
}

/// One half's density: u counts positive on its own side of the centre.
fn half_along(metal: Conductor, age: &Age, u: f64, length_m: f64, share: f64) -> f64 {
    let spread = 4.0 * metal.diffusivity_m2_s * age.age_s;
    let c = 3.0 * spread + length_m * length_m;
    let own_side = 1.0 + libm::erf(u * length_m / (spread * c).sqrt());
    0.5 * share * (3.0 / (PI * c)).sqrt() * (-3.0 * u * u / c).exp() * own_side
}

/// Normal density, 1/m.
pub(crate) fn normal(x: f64, variance: f64) -> f64 {
    (-x * x / (2.0 * variance)).exp() / (2.0 * PI * variance).sqrt()
}

/// Density over depth, 1/m, of heat spread with a variance below an insulated
/// surface: twice the normal, and on a slab the sum over mirror images or,
/// once the heat has spread, the cosine series of the same sum.
pub(crate) fn depth_spread(body: Body, z_m: f64, variance: f64) -> f64 {
    depth_spread_and_slope(body, z_m, variance).0
}

/// [`depth_spread`] with its derivative over depth, 1/m².
pub(crate) fn depth_spread_and_slope(body: Body, z_m: f64, variance: f64) -> (f64, f64) {
    let image = |z: f64| {
        let value = 2.0 * normal(z, variance);
        (value, -z / variance * value)
    };
    let Body::Slab(h) = body else {
        return image(z_m);
    };
    // Terms fall as exp(-2h²n²/var) and as exp(-π²m²var/2h²), equal where the
    // two forms meet, so neither needs more than a few.
    let add = |a: (f64, f64), b: (f64, f64)| (a.0 + b.0, a.1 + b.1);
    if variance < 2.0 * h * h / PI {
        let reach_m = (2.0 * NEGLIGIBLE_EXPONENT * variance).sqrt();
        let pairs = (1..).map(|n| 2.0 * f64::from(n) * h).take_while(|shift| shift - h < reach_m);
        pairs.fold(image(z_m), |sum, shift| add(add(sum, image(z_m - shift)), image(z_m + shift)))
    } else {
        let last = (2.0 * NEGLIGIBLE_EXPONENT / variance).sqrt() * h / PI;
        let waves = (1..).map(f64::from).take_while(|m| *m < last).map(|m| {
            let number = m * PI / h;
            let size = 2.0 / h * (-0.5 * variance * number * number).exp();
            let (sin, cos) = (number * z_m).sin_cos();
            (size * cos, -size * number * sin)
        });
        waves.fold((1.0 / h, 0.0), add)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::point::{PointSource, rosenthal_plate_k, rosenthal_thick_k};

    const STEEL: Conductor = Conductor::REFERENCE;
    const SAMPLE: MovingHeat = MovingHeat {
        power_w: 2500.0,
        travel_m_s: 5e-3,
        half_width_m: 4e-3,
        depth_m: 3e-3,
        front_m: 4e-3,
        rear_m: 8e-3,
    };

    fn place(xi: f64, y: f64, z: f64) -> Place {
        Place { xi_m: xi * 1e-3, y_m: y * 1e-3, z_m: z * 1e-3 }
    }

    /// Printed to six digits.
    const SIX_DIGITS: f64 = 6e-6;

    #[test]
    fn double_ellipsoid_sample() {
        for (xi, y, z, expected) in [
            (0.0, 0.0, 0.0, 2375.26),
            (-5.0, 0.0, 0.0, 2249.34),
            (-10.0, 3.0, 2.0, 820.468),
            (-4.0, 0.0, 4.0, 929.522),
            (-4.0, 5.0, 0.0, 731.987),
            (-30.0, 6.0, 5.0, 239.563),
            (4.0, 0.0, 0.0, 315.330),
        ] {
            let got = steady_rise_k(&SAMPLE, STEEL, Body::Thick, place(xi, y, z));
            assert!((got / expected - 1.0).abs() < SIX_DIGITS, "{xi} {y} {z}: {got} {expected}");
        }
    }

    #[test]
    fn double_ellipsoid_start_and_slab() {
        for (time_s, expected) in [(0.2, 1329.27), (1.0, 2179.75), (5.0, 2373.25)] {
            let got = rise_until_k(&SAMPLE, STEEL, Body::Thick, place(0.0, 0.0, 0.0), time_s);
            assert!((got / expected - 1.0).abs() < SIX_DIGITS, "{time_s}: {got}");
        }
        for (xi, y, z, expected) in [
            (0.0, 0.0, 0.0, 2375.75),
            (-10.0, 0.0, 12.7, 188.584),
            (-30.0, 6.0, 12.7, 240.362),
            (-60.0, 20.0, 0.0, 88.7766),
        ] {
            let got = steady_rise_k(&SAMPLE, STEEL, Body::Slab(12.7e-3), place(xi, y, z));
            assert!((got / expected - 1.0).abs() < SIX_DIGITS, "{xi} {y} {z}: {got}");
        }
    }

    #[test]
    fn travelling_gaussian() {
        for (sigma_mm, xi, y, z, expected) in [
            (2.0, 0.0, 0.0, 0.0, 4290.07),
            (2.0, -10.0, 3.0, 2.0, 745.464),
            (4.0, 0.0, 0.0, 2.0, 851.566),
            (1.0, -2.0, 1.0, 1.0, 3309.88),
        ] {
            let source = MovingHeat::gaussian(2500.0, 5e-3, sigma_mm * 1e-3);
            let got = steady_rise_k(&source, STEEL, Body::Thick, place(xi, y, z));
            assert!((got / expected - 1.0).abs() < SIX_DIGITS, "{sigma_mm} {xi}: {got}");
        }
        let source = MovingHeat::gaussian(2500.0, 5e-3, 2e-3);
        let got = rise_until_k(&source, STEEL, Body::Thick, place(0.0, 0.0, 0.0), 1.0);
        assert!((got / 4026.82 - 1.0).abs() < SIX_DIGITS, "{got}");
    }

    #[test]
    fn a_vanishing_spot_is_rosenthal() {
        let point = PointSource { power_w: 2500.0, travel_m_s: 5e-3 };
        let spot = MovingHeat::gaussian(2500.0, 5e-3, 1e-6);
        for at in [place(-10.0, 0.0, 0.0), place(-10.0, 4.0, 3.0), place(2.0, 3.0, 1.0)] {
            let (a, b) = (steady_rise_k(&spot, STEEL, Body::Thick, at), rosenthal_thick_k(point, STEEL, at));
            assert!((a / b - 1.0).abs() < 1e-6, "{a} {b}");
            let slab = steady_rise_k(&spot, STEEL, Body::Slab(12.7e-3), at);
            let plate = rosenthal_plate_k(point, STEEL, 12.7e-3, at);
            assert!((slab / plate - 1.0).abs() < 1e-6, "{slab} {plate}");
        }
    }

    #[test]
    fn images_equal_the_cosine_series() {
        let h = 10e-3_f64;
        let switch = 2.0 * h * h / PI;
        for z in [0.0, 3e-3, 10e-3] {
            let before = depth_spread(Body::Slab(h), z, switch * (1.0 - 1e-13));
            let after = depth_spread(Body::Slab(h), z, switch * (1.0 + 1e-13));
            assert!((before / after - 1.0).abs() < 1e-9, "{z}");
        }
    }
}
