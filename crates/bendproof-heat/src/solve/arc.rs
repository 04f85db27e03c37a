//! An arc above a section: where its heat lands, and the metal it brings.
//!
//! The heat falls straight down, or at the gun's angle, as a Gaussian, and lands
//! on the topmost metal of each column. What falls into an open gap is partly
//! lost and partly lands on the two faces of the gap.

use super::HeatError;
use super::axis::Axis;
use super::state::State;

/// An arc with the metal it adds, SI units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Arc {
    /// Power that enters the work, droplets included, W.
    pub power_w: f64,
    /// Heat in the metal it brings, above 0 C, J/m³.
    pub drop_heat_j_m3: f64,
    /// Travel, m/s.
    pub travel_m_s: f64,
    /// Standard deviation of the heat on the surface, m.
    pub sigma_m: f64,
    /// How far the arc burns behind the leading edge of the metal, m; negative ahead.
    pub behind_edge_m: f64,
    /// Length over which the metal rises to its full height, m.
    pub ramp_m: f64,
    /// Place across the joint, m.
    pub y_m: f64,
    /// Tangent of the gun's angle to the side: positive points to higher y.
    pub side_tangent: f64,
    /// Level at which the gun is aimed, m; only read with a side angle.
    pub aim_z_m: f64,
    /// Side to side, if woven.
    pub weave: Weave,
    /// Share of the heat falling into an open gap that is lost, 0 to 1; the rest
    /// lands on the faces of the gap.
    pub gap_lost_share: f64,
}

/// A weave: from toe to toe and back, pausing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weave {
    /// Full width of the arc's path, m; zero for a stringer.
    pub width_m: f64,
    /// Time of one side-to-side-and-back, s.
    pub period_s: f64,
    /// Share of the period spent standing at the toes, both together, 0 to 1.
    pub toe_share: f64,
    /// Share of the period spent standing in the middle, 0 to 1.
    pub middle_share: f64,
}

impl Weave {
    /// No weave.
    pub const STRINGER: Self = Self { width_m: 0.0, period_s: 1.0, toe_share: 0.0, middle_share: 0.0 };

    /// Place next to the middle of the weave at a time, m: a pause in the middle
    /// at each crossing, a pause at each toe, even travel between.
    pub fn offset_m(&self, time_s: f64) -> f64 {
        if self.width_m <= 0.0 {
            return 0.0;
        }
        let phase = (time_s / self.period_s).rem_euclid(1.0);
        // Two halves mirror each other: to the right toe and back, then left.
        let (side, half) = if phase < 0.5 { (1.0, 2.0 * phase) } else { (-1.0, 2.0 * phase - 1.0) };
        let (toe, middle) = (self.toe_share, self.middle_share);
        let travel = 0.5 * (1.0 - toe - middle);
        // Half the middle pause, out, toe pause, back, half the middle pause.
        let out = ((half - 0.5 * middle) / travel).clamp(0.0, 1.0);
        let back = ((half - 0.5 * middle - travel - toe) / travel).clamp(0.0, 1.0);
        side * 0.5 * self.width_m * (out - back)
    }
}

impl Arc {
    pub(crate) fn check(&self) -> Result<(), HeatError> {
        HeatError::check("power", self.power_w, 1.0, 1e6, "W")?;
        HeatError::check("travel", self.travel_m_s, 1e-5, 1.0, "m/s")?;
        HeatError::check("heat of the drops", self.drop_heat_j_m3, 0.0, 1e12, "J/m³")?;
        HeatError::check("width of the arc", self.sigma_m, 1e-4, 0.05, "m")?;
        HeatError::check("distance behind the leading edge", self.behind_edge_m, -0.05, 0.05, "m")?;
        HeatError::check("length of the rising metal", self.ramp_m, 1e-5, 0.1, "m")?;
        HeatError::check("tangent of the gun's side angle", self.side_tangent, -2.0, 2.0, "")?;
        HeatError::check("share lost in the gap", self.gap_lost_share, 0.0, 1.0, "")?;
        HeatError::check("weave width", self.weave.width_m, 0.0, 0.1, "m")?;
        HeatError::check("weave period", self.weave.period_s, 1e-2, 1e3, "s")?;
        let standing = self.weave.toe_share + self.weave.middle_share;
        HeatError::check("share of the weave spent standing", standing, 0.0, 0.95, "")
    }

    /// Share of the heat between two places along the travel, from the arc.
    pub(crate) fn along(&self, from_m: f64, to_m: f64) -> f64 {
        normal_share(from_m, to_m, self.sigma_m)
    }

    /// Share of the heat on each column of a section with this make, the weave
    /// as `offsets_m` say (their mean counts).
    pub(crate) fn across(
        &self,
        state: &State,
        y: &Axis,
        z: &Axis,
        mirror: bool,
        offsets_m: &[f64],
    ) -> Vec<f64> {
        let ny = y.cells();
        let mut shares = vec![0.0; ny];
        for offset_m in offsets_m {
            let mut images = vec![self.y_m + offset_m];
            if mirror {
                images.push(-(self.y_m + offset_m));
            }
            for middle_m in images {
                for (i, share) in shares.iter_mut().enumerate() {
                    let top_m = state.top[i].map_or(self.aim_z_m, |cell| z.edges_m()[cell / ny]);
                    let at_m = middle_m + self.side_tangent * (top_m - self.aim_z_m);
                    *share += normal_share(y.edges_m()[i] - at_m, y.edges_m()[i + 1] - at_m, self.sigma_m);
                }
            }
        }
        // A tilted arc meets neighbouring columns at different heights, so its
        // shares no longer sum to one by themselves. With a mirror, both images
        // together put half their heat on this side.
        let sum: f64 = shares.iter().sum();
        let whole = if mirror { 0.5 } else { 1.0 };
        shares.iter_mut().for_each(|share| *share *= whole / sum.max(f64::MIN_POSITIVE));
        shares
    }

    /// Puts one watt of the arc on the cells of a section: what lands on each
    /// cell, W, summed over the columns' shares.
    pub(crate) fn land(&self, shares: &[f64], state: &State, landed: &mut [f64]) {
        landed.iter_mut().for_each(|w| *w = 0.0);
        let ny = shares.len();
        let mut into_gap = 0.0;
        for (i, share) in shares.iter().enumerate() {
            match state.top[i] {
                Some(cell) => landed[cell] += share,
                None => into_gap += share,
            }
        }
        if into_gap <= 0.0 {
            return;
        }
        let open = |i: usize| state.top[i].is_none();
        let faces: Vec<usize> = (0..ny)
            .filter(|i| !open(*i) && ((*i > 0 && open(i - 1)) || (i + 1 < ny && open(i + 1))))
            .flat_map(|i| (i..state.fraction.len()).step_by(ny))
            .filter(|cell| state.fraction[*cell] > 0.0)
            .collect();
        let each = (1.0 - self.gap_lost_share) * into_gap / faces.len().max(1) as f64;
        faces.into_iter().for_each(|cell| landed[cell] += each);
    }
}

/// Share of a normal distribution between two places.
fn normal_share(from_m: f64, to_m: f64, sigma_m: f64) -> f64 {
    let scaled = |x: f64| x / (std::f64::consts::SQRT_2 * sigma_m);
    0.5 * (libm::erf(scaled(to_m)) - libm::erf(scaled(from_m)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn arc() -> Arc {
        Arc {
            power_w: 1600.0,
            drop_heat_j_m3: 1.5e10,
            travel_m_s: 4e-3,
            sigma_m: 1.75e-3,
            behind_edge_m: 1.5e-3,
            ramp_m: 3e-3,
            y_m: 0.0,
            side_tangent: 0.0,
            aim_z_m: 0.0,
            weave: Weave::STRINGER,
            gap_lost_share: 0.5,
        }
    }

    fn plates(gap: f64) -> (State, Axis, Axis) {
        let y = Axis::fitted((-20e-3, 20e-3), &[-10e-3, -0.5 * gap, 0.5 * gap, 10e-3], 0.5e-3, 1.2, 3e-3)
            .unwrap();
        let z = Axis::even(-5e-3, 0.0, 0.5e-3).unwrap();
        let ring = |a: f64, b: f64| vec![[a, -5e-3], [b, -5e-3], [b, 0.0], [a, 0.0]];
        let rings = [ring(-20e-3, -0.5 * gap), ring(0.5 * gap, 20e-3)];
        (State::new(&rings, &y, &z, false), y, z)
    }

    #[test]
    fn the_heat_lands_whole_but_for_what_the_gap_lets_through() {
        let (state, y, z) = plates(3e-3);
        let arc = arc();
        let shares = arc.across(&state, &y, &z, false, &[0.0]);
        assert!((shares.iter().sum::<f64>() - 1.0).abs() < 1e-12);
        let mut landed = vec![0.0; state.fraction.len()];
        arc.land(&shares, &state, &mut landed);
        let through = 0.5 * normal_share(-1.5e-3, 1.5e-3, arc.sigma_m);
        assert!((landed.iter().sum::<f64>() - (1.0 - through)).abs() < 1e-6);
    }

    #[test]
    fn a_weave_spends_its_time_where_it_says() {
        let weave = Weave { width_m: 6e-3, period_s: 1.0, toe_share: 0.4, middle_share: 0.2 };
        let at: Vec<f64> = (0..10_000).map(|i| weave.offset_m(f64::from(i) * 1e-4)).collect();
        let share = |f: &dyn Fn(f64) -> bool| at.iter().filter(|o| f(**o)).count() as f64 / at.len() as f64;
        assert!((share(&|o| o.abs() > 2.9999e-3) - 0.4).abs() < 1e-2);
        assert!((share(&|o| o.abs() < 1e-7) - 0.2).abs() < 1e-2);
        assert!(at.iter().sum::<f64>().abs() < 1e-9 * at.len() as f64);
    }

    #[test]
    fn a_half_gets_half_the_heat() {
        let y = Axis::even(0.0, 20e-3, 0.5e-3).unwrap();
        let z = Axis::even(-5e-3, 0.0, 0.5e-3).unwrap();
        let ring = vec![[0.0, -5e-3], [20e-3, -5e-3], [20e-3, 0.0], [0.0, 0.0]];
        let state = State::new(&[ring], &y, &z, true);
        let shares = arc().across(&state, &y, &z, true, &[0.0, 2e-3, -2e-3]);
        assert!((shares.iter().sum::<f64>() - 0.5).abs() < 1e-12);
    }
}
