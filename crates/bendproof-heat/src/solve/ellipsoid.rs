//! The double ellipsoid as a heat source on cells: every cell gets its exact
//! integral, so no sampling error is left.

use super::axis::Axis;
use crate::moving::MovingHeat;

/// Share of a Gaussian with 5 % length `length_m` between two places, of the
/// whole line.
fn share(from_m: f64, to_m: f64, length_m: f64) -> f64 {
    let scaled = |x: f64| 3.0_f64.sqrt() * x / length_m;
    0.5 * (libm::erf(scaled(to_m)) - libm::erf(scaled(from_m)))
}

/// Share of the heat between two places along the travel, measured from the arc.
pub(crate) fn along(source: &MovingHeat, from_m: f64, to_m: f64) -> f64 {
    let front = source.front_share();
    front * share(from_m.max(0.0), to_m.max(0.0), source.front_m)
        + (2.0 - front) * share(from_m.min(0.0), to_m.min(0.0), source.rear_m)
}

/// Share of the heat in each cell of a section, the arc above `y_m` on the top
/// face: the half of the ellipsoid below the face holds it all.
pub(crate) fn across(source: &MovingHeat, y_m: f64, y: &Axis, z: &Axis) -> Vec<f64> {
    let (ye, ze) = (y.edges_m(), z.edges_m());
    let wide: Vec<f64> = ye.windows(2).map(|e| share(e[0] - y_m, e[1] - y_m, source.half_width_m)).collect();
    let deep: Vec<f64> = ze.windows(2).map(|e| 2.0 * share(e[0], e[1], source.depth_m)).collect();
    deep.iter().flat_map(|d| wide.iter().map(move |w| w * d)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_shares_sum_to_one() {
        let source = MovingHeat {
            power_w: 1.0,
            travel_m_s: 1.0,
            half_width_m: 4e-3,
            depth_m: 3e-3,
            front_m: 4e-3,
            rear_m: 8e-3,
        };
        assert!((along(&source, -1.0, 1.0) - 1.0).abs() < 1e-12);
        assert!((along(&source, -1.0, 0.0) - 2.0 / 3.0).abs() < 1e-12);
        let y = Axis::even(-30e-3, 30e-3, 1e-3).unwrap();
        let z = Axis::even(0.0, 12e-3, 1e-3).unwrap();
        let sum: f64 = across(&source, 0.0, &y, &z).iter().sum();
        assert!((sum - 1.0).abs() < 1e-9);
    }
}
