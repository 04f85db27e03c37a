//! Fewer cells over a section, each of them whole cells of a finest lattice:
//! fine about the bead being laid, coarse while the plate cools.
//!
//! Metal, faces and free surfaces are summed, so a merged section holds the same
//! heat and loses it through the same length of surface; carrying a field from
//! one lattice to another keeps its heat to round-off. A merged cell that bridges
//! a narrow gap conducts across it.

use super::HeatError;
use super::axis::Axis;
use super::state::{Exposed, State};

/// How wide merged cells may be along one direction.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Width {
    /// Stretch in which they are narrowest, m.
    pub core_m: (f64, f64),
    /// Width there, m.
    pub least_m: f64,
    /// Growth of the width with the distance from the core, m per m.
    pub slope: f64,
}

impl Width {
    /// The same width everywhere.
    pub fn even(least_m: f64) -> Self {
        Self { core_m: (f64::NEG_INFINITY, f64::INFINITY), least_m, slope: 0.0 }
    }

    fn allows(&self, from_m: f64, to_m: f64) -> bool {
        let away_m = (self.core_m.0 - to_m).max(from_m - self.core_m.1).max(0.0);
        to_m - from_m <= (self.least_m + self.slope * away_m) * (1.0 + ROUNDING)
    }
}

/// Slack of a width, as a share; far above the rounding of an edge.
const ROUNDING: f64 = 1e-6;
/// A last cell narrower than this share of its neighbour joins it (choice: it
/// would bound the step).
const REMNANT: f64 = 0.6;

/// One direction: the merged cells, and which of them each fine cell is in.
#[derive(Debug, Clone)]
struct Side {
    axis: Axis,
    of: Vec<usize>,
}

impl Side {
    fn new(fine: &Axis, width: &Width) -> Result<Self, HeatError> {
        let edges = fine.edges_m();
        let mut kept = vec![0];
        for end in 1..edges.len() {
            let start = kept[kept.len() - 1];
            if end - start > 1 && !width.allows(edges[start], edges[end]) {
                kept.push(end - 1);
            }
        }
        kept.push(edges.len() - 1);
        if let [.., a, b, c] = kept[..]
            && edges[c] - edges[b] < REMNANT * (edges[b] - edges[a])
        {
            kept.remove(kept.len() - 2);
        }
        let axis = Axis::new(kept.iter().map(|i| edges[*i]).collect())?;
        let of = (0..fine.cells()).map(|i| kept.partition_point(|k| *k <= i) - 1).collect();
        Ok(Self { axis, of })
    }
}

/// Both directions of a section.
#[derive(Debug, Clone)]
pub(crate) struct Merge {
    y: Side,
    z: Side,
}

impl Merge {
    pub fn new((y, z): (&Axis, &Axis), (across, down): (Width, Width)) -> Result<Self, HeatError> {
        Ok(Self { y: Side::new(y, &across)?, z: Side::new(z, &down)? })
    }

    pub fn axes(&self) -> (Axis, Axis) {
        (self.y.axis.clone(), self.z.axis.clone())
    }

    pub fn cells(&self) -> usize {
        self.y.axis.cells() * self.z.axis.cells()
    }

    fn of(&self, fine: usize) -> usize {
        let ny = self.y.of.len();
        self.z.of[fine / ny] * self.y.axis.cells() + self.y.of[fine % ny]
    }

    /// A make of the section on the merged cells; `y` and `z` are the fine ones.
    pub fn state(&self, fine: &State, y: &Axis, z: &Axis) -> State {
        let (fine_ny, ny) = (y.cells(), self.y.axis.cells());
        let cells = self.cells();
        let mut area_m2 = vec![0.0; cells];
        let mut free_m = vec![0.0; cells];
        let (mut over_y, mut over_z) = (vec![0.0; cells + 2 * ny], vec![0.0; cells + 2 * ny]);
        for (c, per_area) in fine.per_area.iter().enumerate().filter(|(_, p)| **p > 0.0) {
            let own = self.of(c);
            let (i, k) = (c % fine_ny, c / fine_ny);
            area_m2[own] += 1.0 / per_area;
            if i + 1 < fine_ny && self.y.of[i + 1] != self.y.of[i] {
                over_y[ny + own] += fine.over_y[fine_ny + c] * (y.centre_m(i + 1) - y.centre_m(i))
                    / distance_m(&self.y.axis, self.y.of[i]);
            }
            if k + 1 < z.cells() && self.z.of[k + 1] != self.z.of[k] {
                over_z[ny + own] += fine.over_z[fine_ny + c] * (z.centre_m(k + 1) - z.centre_m(k))
                    / distance_m(&self.z.axis, self.z.of[k]);
            }
        }
        for exposed in &fine.exposed {
            free_m[self.of(exposed.cell)] += exposed.length_m;
        }
        self.assemble(&area_m2, &free_m, over_y, over_z)
    }

    fn assemble(&self, area_m2: &[f64], free_m: &[f64], over_y: Vec<f64>, over_z: Vec<f64>) -> State {
        let (ny, cells) = (self.y.axis.cells(), area_m2.len());
        let whole_m2 = |c: usize| self.y.axis.width_m(c % ny) * self.z.axis.width_m(c / ny);
        let metal = |c: &usize| area_m2[*c] > 0.0;
        let stiffness =
            |c: usize| (over_y[ny + c] + over_y[ny + c - 1] + over_z[ny + c] + over_z[c]) / area_m2[c];
        State {
            fraction: (0..cells).map(|c| (area_m2[c] / whole_m2(c)).min(1.0)).collect(),
            per_area: area_m2.iter().map(|a| if *a > 0.0 { 1.0 / a } else { 0.0 }).collect(),
            exposed: (0..cells)
                .filter(|c| free_m[*c] > 0.0)
                .map(|cell| Exposed { cell, length_m: free_m[cell] })
                .collect(),
            exposure: (0..cells).filter(metal).map(|c| free_m[c] / area_m2[c]).fold(0.0, f64::max),
            top: (0..ny).map(|i| (i..cells).step_by(ny).find(metal)).collect(),
            stiffness: (0..cells).filter(metal).map(stiffness).fold(0.0, f64::max),
            over_y,
            over_z,
        }
    }

    /// Means over merged cells, weighted with the metal; zero without metal.
    pub fn gather(&self, fine: &[f64], state: &State, merged: &State, out: &mut [f64]) {
        out.iter_mut().for_each(|o| *o = 0.0);
        for (c, per_area) in state.per_area.iter().enumerate().filter(|(_, p)| **p > 0.0) {
            out[self.of(c)] += fine[c] / per_area;
        }
        out.iter_mut().zip(&merged.per_area).for_each(|(o, p)| *o *= p);
    }

    /// Values on the fine cells: each merged cell's own plus its slope, which
    /// its neighbours limit; the mean over each merged cell stays what it was.
    pub fn spread(
        &self,
        merged: &[f64],
        merged_state: &State,
        (state, y, z): (&State, &Axis, &Axis),
        out: &mut [f64],
    ) {
        let (ny, fine_ny) = (self.y.axis.cells(), y.cells());
        for (rows, k) in runs(&self.z.of) {
            for (columns, i) in runs(&self.y.of) {
                let c = k * ny + i;
                let fine = || rows.clone().flat_map(|r| columns.clone().map(move |q| r * fine_ny + q));
                let slope_y = slope(&self.y.axis, i, |j| value(merged, merged_state, k * ny + j));
                let slope_z = slope(&self.z.axis, k, |j| value(merged, merged_state, j * ny + i));
                let rise = |f: usize| {
                    slope_y * (y.centre_m(f % fine_ny) - self.y.axis.centre_m(i))
                        + slope_z * (z.centre_m(f / fine_ny) - self.z.axis.centre_m(k))
                };
                let metal = |f: &usize| state.per_area[*f] > 0.0;
                let mean: f64 = fine().filter(metal).map(|f| rise(f) / state.per_area[f]).sum::<f64>()
                    * merged_state.per_area[c];
                // Scaled back where both slopes together would leave the range of
                // the cell and its neighbours.
                let (least, most) = self.range(merged, merged_state, c);
                let scale = fine().filter(metal).map(|f| rise(f) - mean).fold(1.0, |scale: f64, rise| {
                    let room = if rise > 0.0 { most - merged[c] } else { least - merged[c] };
                    if scale * rise.abs() > room.abs() { room / rise } else { scale }
                });
                for f in fine() {
                    out[f] = if metal(&f) { merged[c] + scale * (rise(f) - mean) } else { 0.0 };
                }
            }
        }
    }

    /// Least and greatest of a cell and its metal neighbours.
    fn range(&self, merged: &[f64], state: &State, c: usize) -> (f64, f64) {
        let (ny, nz) = (self.y.axis.cells(), self.z.axis.cells());
        let (i, k) = (c % ny, c / ny);
        let neighbors =
            [(i > 0, 1, false), (i + 1 < ny, 1, true), (k > 0, ny, false), (k + 1 < nz, ny, true)];
        let near = neighbors.into_iter().filter(|(inside, _, _)| *inside);
        near.map(|(_, step, up)| if up { c + step } else { c - step })
            .filter_map(|other| value(merged, state, other))
            .fold((merged[c], merged[c]), |(least, most), v| (least.min(v), most.max(v)))
    }
}

/// Runs of equal numbers, as the range of places and the number.
fn runs(of: &[usize]) -> impl Iterator<Item = (std::ops::Range<usize>, usize)> {
    let mut start = 0;
    of.chunk_by(|a, b| a == b).map(move |run| {
        let range = start..start + run.len();
        start = range.end;
        (range, run[0])
    })
}

fn distance_m(axis: &Axis, cell: usize) -> f64 {
    axis.centre_m(cell + 1) - axis.centre_m(cell)
}

fn value(values: &[f64], state: &State, cell: usize) -> Option<f64> {
    (state.per_area[cell] > 0.0).then(|| values[cell])
}

/// Slope at a cell: central, at most twice the lesser of both sides; half the
/// one side's at a free surface, where the field is flat.
fn slope(axis: &Axis, cell: usize, value: impl Fn(usize) -> Option<f64>) -> f64 {
    let Some(own) = value(cell) else { return 0.0 };
    let low = cell.checked_sub(1).and_then(|j| value(j).map(|v| (own - v) / distance_m(axis, j)));
    let high = Some(cell + 1)
        .filter(|j| *j < axis.cells())
        .and_then(|j| value(j).map(|v| (v - own) / distance_m(axis, cell)));
    match (low, high) {
        (Some(a), Some(b)) if a * b > 0.0 => {
            let (da, db) = (distance_m(axis, cell - 1), distance_m(axis, cell));
            let central = (a * da + b * db) / (da + db);
            central.abs().min(2.0 * a.abs().min(b.abs())).copysign(a)
        }
        (Some(_), Some(_)) | (None, None) => 0.0,
        (Some(a), None) | (None, Some(a)) => 0.5 * a,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A V of two plates on 0.5 mm cells, and the same merged.
    fn sections(width: impl Fn(f64) -> Width) -> (Axis, Axis, State, Merge, State) {
        let y = Axis::even(-20e-3, 20e-3, 0.5e-3).unwrap();
        let z = Axis::even(0.0, 10e-3, 0.5e-3).unwrap();
        let plate = |s: f64| vec![[s * 1e-3, 10e-3], [s * 20e-3, 10e-3], [s * 20e-3, 0.0], [s * 6e-3, 0.0]];
        let fine = State::new(&[plate(-1.0), plate(1.0)], &y, &z, false);
        let merge = Merge::new((&y, &z), (width(0.0), width(2e-3))).unwrap();
        let merged = merge.state(&fine, &y, &z);
        (y, z, fine, merge, merged)
    }

    fn about(at_m: f64) -> Width {
        Width { core_m: (at_m - 2e-3, at_m + 2e-3), least_m: 0.5e-3, slope: 0.5 }
    }

    fn sum_over(per_area: &[f64], values: &[f64]) -> f64 {
        per_area.iter().zip(values).filter(|(p, _)| **p > 0.0).map(|(p, v)| v / p).sum()
    }

    #[test]
    fn a_merged_section_has_the_same_metal_and_the_same_skin() {
        for width in [about as fn(f64) -> Width, |_| Width::even(2e-3)] {
            let (_, _, fine, merge, merged) = sections(width);
            assert!(merge.cells() < fine.fraction.len() / 2);
            let ones = vec![1.0; fine.fraction.len()];
            let (a, b) = (sum_over(&fine.per_area, &ones), sum_over(&merged.per_area, &ones));
            assert!((a / b - 1.0).abs() < 1e-12, "{a} {b}");
            let skin = |state: &State| state.exposed.iter().map(|e| e.length_m).sum::<f64>();
            assert!((skin(&fine) / skin(&merged) - 1.0).abs() < 1e-12);
        }
    }

    #[test]
    fn carrying_keeps_the_heat_a_flat_field_and_an_even_slope() {
        let (y, z, fine, merge, merged) = sections(|_| Width::even(2e-3));
        let there_and_back = |f: &dyn Fn(f64, f64) -> f64| {
            let field: Vec<f64> = (0..fine.fraction.len())
                .map(|c| f(y.centre_m(c % y.cells()), z.centre_m(c / y.cells())))
                .collect();
            let (mut coarse, mut back) = (vec![0.0; merge.cells()], vec![0.0; field.len()]);
            merge.gather(&field, &fine, &merged, &mut coarse);
            merge.spread(&coarse, &merged, (&fine, &y, &z), &mut back);
            let (before, after) = (sum_over(&fine.per_area, &field), sum_over(&fine.per_area, &back));
            assert!((after / before - 1.0).abs() < 1e-12, "{before} {after}");
            (field, back)
        };
        let metal = |c: &usize| fine.fraction[*c] > 0.0;
        let (flat, back) = there_and_back(&|_, _| 7.0);
        assert!((0..flat.len()).filter(metal).all(|c| (flat[c] - back[c]).abs() < 1e-12));
        let (slope, back) = there_and_back(&|y_m, z_m| 3.0 + 200.0 * y_m - 100.0 * z_m);
        // Inside the plate; at a free surface the slope is halved.
        let inside = |c: &usize| {
            let (y_m, z_m) = (y.centre_m(c % y.cells()), z.centre_m(c / y.cells()));
            (10e-3..17e-3).contains(&y_m) && (2.5e-3..7.5e-3).contains(&z_m)
        };
        let seen: Vec<usize> = (0..slope.len()).filter(metal).filter(inside).collect();
        assert!(seen.len() > 100 && seen.iter().all(|c| (slope[*c] - back[*c]).abs() < 1e-12));
        let least = slope.iter().copied().fold(f64::INFINITY, f64::min);
        assert!((0..slope.len()).filter(metal).all(|c| back[c] > least - 1e-12));
    }
}
