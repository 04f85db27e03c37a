//! The inner loops: conduction potential of a slab, and one stage of the time
//! step on it.
//!
//! Plain loops over equal slices; nothing is allocated and nothing branches per
//! cell, so that the compiler can use the widest registers of the machine.

use pulp::{Simd, WithSimd};

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

/// What the loop over a slab's cells writes.
pub(crate) struct Work<'a> {
    pub near: Near<'a>,
    /// Cells across one row of the section.
    pub row: usize,
    /// `None` writes the bare heat flow, W/m³; else the next stage.
    pub stage: Option<(&'a Stage, Old<'a>)>,
    /// Gets the result; before a stage it holds the stage before last.
    pub out: &'a mut [f64],
}

/// What a stage builds on, by cell.
#[derive(Clone, Copy)]
pub(crate) struct Old<'a> {
    pub start: &'a [f64],
    pub start_rate: &'a [f64],
    pub last: &'a [f64],
}

impl WithSimd for Work<'_> {
    type Output = ();

    // Inlined whole, or the loops would not be compiled for the wide registers.
    #[inline(always)]
    fn with_simd<S: Simd>(self, _: S) {
        let mixed = self.near.before_fraction.is_some() || self.near.after_fraction.is_some();
        match (self.stage, mixed) {
            (None, false) => flow::<false>(&self.near, self.row, self.out),
            (None, true) => flow::<true>(&self.near, self.row, self.out),
            (Some((k, old)), false) => later::<false>(&self.near, self.row, k, &old, self.out),
            (Some((k, old)), true) => later::<true>(&self.near, self.row, k, &old, self.out),
        }
    }
}

/// The loop body: heat that flows into cell `$c`, W/m³, handed on as `$flow`.
/// A macro, because a closure is not sure to be inlined into the loop.
macro_rules! each_cell {
    ($near:expr, $row:expr, $mixed:expr, |$c:ident, $flow:ident| $body:block) => {{
        let (near, row) = ($near, $row);
        let cells = near.state.per_area.len();
        let (here, before, after) = (near.here, near.before, near.after);
        let (mid, left) = (&here[row..row + cells], &here[row - 1..row - 1 + cells]);
        let (right, up) = (&here[row + 1..row + 1 + cells], &here[..cells]);
        let down = &here[2 * row..2 * row + cells];
        let (over_y, over_z) = (&near.state.over_y, &near.state.over_z);
        let (wl, wr) = (&over_y[row - 1..row - 1 + cells], &over_y[row..row + cells]);
        let (wu, wd) = (&over_z[..cells], &over_z[row..row + cells]);
        let (before, after) = (&before[row..row + cells], &after[row..row + cells]);
        let (per_area, own) = (&near.state.per_area[..cells], &near.state.fraction[..cells]);
        let first = &near.before_fraction.unwrap_or(own)[..cells];
        let second = &near.after_fraction.unwrap_or(own)[..cells];
        for $c in 0..cells {
            let c = $c;
            let t = mid[c];
            let section = (wr[c] * (right[c] - t) - wl[c] * (t - left[c]) + wd[c] * (down[c] - t)
                - wu[c] * (t - up[c]))
                * per_area[c];
            let (mut a, mut b) = (near.over_before, near.over_after);
            if $mixed {
                // Heat passes where metal stands on both sides.
                let share = 1.0 / own[c].max(f64::MIN_POSITIVE);
                a *= own[c].min(first[c]) * share;
                b *= own[c].min(second[c]) * share;
            }
            let $flow = section + a * (before[c] - t) + b * (after[c] - t);
            $body
        }
    }};
}

#[inline(always)]
fn flow<const MIXED: bool>(near: &Near<'_>, row: usize, out: &mut [f64]) {
    let out = &mut out[..near.state.per_area.len()];
    each_cell!(near, row, MIXED, |c, flow| {
        out[c] = flow;
    });
}

#[inline(always)]
fn later<const MIXED: bool>(near: &Near<'_>, row: usize, k: &Stage, old: &Old<'_>, out: &mut [f64]) {
    let cells = near.state.per_area.len();
    let (start, start_rate, last) = (&old.start[..cells], &old.start_rate[..cells], &old.last[..cells]);
    let out = &mut out[..cells];
    each_cell!(near, row, MIXED, |c, flow| {
        out[c] = k.before * last[c]
            + k.earlier * out[c]
            + k.start * start[c]
            + k.rate_s * flow
            + k.start_rate_s * start_rate[c];
    });
}

/// Fills the padded potential of a slab.
pub(crate) struct Potential<'a> {
    pub table: &'a Table,
    pub row: usize,
    pub enthalpy: &'a [f64],
    pub out: &'a mut [f64],
}

impl WithSimd for Potential<'_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: Simd>(self, _: S) {
        let cells = self.enthalpy.len();
        self.table.fill_potential(self.enthalpy, &mut self.out[self.row..self.row + cells]);
    }
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
