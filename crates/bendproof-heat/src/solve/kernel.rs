//! The inner loops: conduction potential of a slab, and one stage of the time
//! step on it.
//!
//! Plain loops over equal slices; nothing is allocated and nothing branches per
//! cell, so that the compiler can use the widest registers of the machine.

use super::material::Table;
use super::state::State;

/// Factors of one stage of the stabilised explicit step (RKL2: Meyer, Balsara
/// and Aslam, J. Comput. Phys. 257 (2014) 594, eqs 16-18).
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Stage {
    /// Of the stage before.
    pub before: f64,
    /// Of the stage before that.
    pub earlier: f64,
    /// Of the start of the step.
    pub start: f64,
    /// Of the rate at the stage before, s.
    pub rate_s: f64,
    /// Of the rate at the start of the step, s.
    pub start_rate_s: f64,
}

/// The factors of stage `j` (2 or more) of `stages`, for a step of `dt_s`.
pub(crate) fn stage(j: usize, stages: usize, dt_s: f64) -> Stage {
    let b = |j: usize| {
        let j = j.max(2) as f64;
        (j * j + j - 2.0) / (2.0 * j * (j + 1.0))
    };
    let n = j as f64;
    let before = (2.0 * n - 1.0) / n * b(j) / b(j - 1);
    let earlier = -(n - 1.0) / n * b(j) / b(j - 2);
    let rate_s = before * first_rate_s(stages, dt_s) / b(1);
    Stage { before, earlier, start: 1.0 - before - earlier, rate_s, start_rate_s: -(1.0 - b(j - 1)) * rate_s }
}

/// Factor of the rate in the first stage, s.
pub(crate) fn first_rate_s(stages: usize, dt_s: f64) -> f64 {
    let s = stages as f64;
    4.0 / (3.0 * (s * s + s - 2.0)) * dt_s
}

/// Stages that keep a step stable, `ratio` times as long as the longest stable
/// explicit one; odd, because odd counts damp the shortest waves.
pub(crate) fn stages(ratio: f64) -> usize {
    let least = 0.5 * ((9.0 + 16.0 * ratio).sqrt() - 1.0);
    ((least.ceil() as usize) | 1).max(3)
}

/// A slab between its neighbours, as slices of equal size.
#[derive(Clone, Copy)]
pub(crate) struct Near<'a> {
    pub state: &'a State,
    /// Conduction potential of the slab, padded by one row before and after.
    pub here: &'a [f64],
    /// That of the slab before and after; the slab's own where there is none.
    pub before: &'a [f64],
    pub after: &'a [f64],
    /// Metal shares of the neighbours where their make differs.
    pub before_fraction: Option<&'a [f64]>,
    pub after_fraction: Option<&'a [f64]>,
    /// 1 / (distance x own thickness), 1/m²; zero where there is no neighbour.
    pub over_before: f64,
    pub over_after: f64,
}

impl Near<'_> {
    /// Heat that flows into each cell, W/m³, handed to `give` cell by cell.
    #[inline(always)]
    fn rates(&self, row: usize, mut give: impl FnMut(usize, f64)) {
        let cells = self.state.per_area.len();
        let State { per_area, over_y, over_z, fraction, .. } = self.state;
        let (here, before, after) =
            (&self.here[..cells + 2 * row], &self.before[..cells + 2 * row], &self.after[..cells + 2 * row]);
        let (mid, left, right) =
            (&here[row..row + cells], &here[row - 1..row - 1 + cells], &here[row + 1..row + 1 + cells]);
        let (up, down) = (&here[..cells], &here[2 * row..2 * row + cells]);
        let (wl, wr) = (&over_y[row - 1..row - 1 + cells], &over_y[row..row + cells]);
        let (wu, wd) = (&over_z[..cells], &over_z[row..row + cells]);
        let (before, after) = (&before[row..row + cells], &after[row..row + cells]);
        let per_area = &per_area[..cells];
        let in_section = |c: usize| {
            let t = mid[c];
            (wr[c] * (right[c] - t) - wl[c] * (t - left[c]) + wd[c] * (down[c] - t) - wu[c] * (t - up[c]))
                * per_area[c]
        };
        if self.before_fraction.is_none() && self.after_fraction.is_none() {
            for c in 0..cells {
                let along = self.over_before * (before[c] - mid[c]) + self.over_after * (after[c] - mid[c]);
                give(c, in_section(c) + along);
            }
        } else {
            // Heat passes where metal stands on both sides.
            let own = &fraction[..cells];
            let (f, g) =
                (&self.before_fraction.unwrap_or(own)[..cells], &self.after_fraction.unwrap_or(own)[..cells]);
            for c in 0..cells {
                let share = 1.0 / own[c].max(f64::MIN_POSITIVE);
                let along = self.over_before * own[c].min(f[c]) * share * (before[c] - mid[c])
                    + self.over_after * own[c].min(g[c]) * share * (after[c] - mid[c]);
                give(c, in_section(c) + along);
            }
        }
    }

    /// Heat flow into every cell, W/m³.
    #[inline(always)]
    pub fn flow(&self, row: usize, out: &mut [f64]) {
        let out = &mut out[..self.state.per_area.len()];
        self.rates(row, |c, flow| out[c] = flow);
    }

    /// A later stage: `out` holds the stage before last and gets the new one.
    #[inline(always)]
    pub fn later(&self, row: usize, k: &Stage, start: &[f64], rate: &[f64], last: &[f64], out: &mut [f64]) {
        let cells = self.state.per_area.len();
        let (start, rate, last, out) = (&start[..cells], &rate[..cells], &last[..cells], &mut out[..cells]);
        self.rates(row, |c, flow| {
            out[c] = k.before * last[c]
                + k.earlier * out[c]
                + k.start * start[c]
                + k.rate_s * flow
                + k.start_rate_s * rate[c];
        });
    }
}

/// Fills the padded potential of a slab.
#[inline(always)]
pub(crate) fn potential(table: &Table, row: usize, enthalpy: &[f64], potential: &mut [f64]) {
    let cells = enthalpy.len();
    table.fill_potential(enthalpy, &mut potential[row..row + cells]);
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The stability polynomial of the whole step at `z` = rate x step.
    fn grown(z: f64, count: usize) -> f64 {
        let (start, mut earlier) = (1.0, 1.0);
        let mut last = start + first_rate_s(count, 1.0) * z * start;
        for j in 2..=count {
            let k = stage(j, count, 1.0);
            let next = k.before * last
                + k.earlier * earlier
                + k.start * start
                + k.rate_s * z * last
                + k.start_rate_s * z * start;
            (earlier, last) = (last, next);
        }
        last
    }

    #[test]
    fn a_step_is_of_second_order() {
        for count in [3, 7, 15] {
            let error = |z: f64| (grown(z, count) - z.exp()).abs();
            let order = (error(-0.02) / error(-0.01)).log2();
            // The local error of a second-order step falls with the cube.
            assert!((order - 3.0).abs() < 0.1, "{count} stages: order {order}");
        }
    }

    #[test]
    fn the_stages_asked_for_are_stable_and_no_more_than_needed() {
        for ratio in [0.4, 1.0, 5.0, 37.0, 500.0] {
            let count = stages(ratio);
            // The longest wave an explicit step of ratio 1 carries has z = -2.
            assert!(
                (1..=200).all(|i| grown(-2.0 * ratio * f64::from(i) / 200.0, count).abs() <= 1.0 + 1e-12)
            );
            if count > 5 {
                let fewer = count - 4;
                assert!(grown(-2.0 * ratio, fewer).abs() > 1.0, "{count} stages for {ratio}");
            }
        }
    }
}
