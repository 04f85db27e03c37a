//! Cells along one direction: edges, widths and centres.

use super::HeatError;

/// Cells along one direction, by their ascending edges, m.
#[derive(Debug, Clone, PartialEq)]
pub struct Axis {
    edges_m: Vec<f64>,
}

/// Slack when whole cells are fitted into a length: a millionth of a cell.
const SLACK: f64 = 1e-6;

impl Axis {
    /// From ascending edges, m.
    ///
    /// # Errors
    /// When there are fewer than two, or they do not ascend.
    pub fn new(edges_m: Vec<f64>) -> Result<Self, HeatError> {
        let ascending = edges_m.windows(2).all(|pair| pair[1] > pair[0]);
        if edges_m.len() < 2 || !ascending || edges_m.iter().any(|e| !e.is_finite()) {
            return Err(HeatError::Geometry("the edges of the cells do not ascend".to_owned()));
        }
        Ok(Self { edges_m })
    }

    /// Equal cells of at most `cell_m` from one end to the other.
    pub fn even(from_m: f64, to_m: f64, cell_m: f64) -> Result<Self, HeatError> {
        let count = ((to_m - from_m) / cell_m - SLACK).ceil().max(1.0);
        Self::new((0..=count as usize).map(|i| from_m + (to_m - from_m) * i as f64 / count).collect())
    }

    /// Cells of `cell_m` over the core, growing by `growth` outside it up to
    /// `cell_max_m`. The core lies on a lattice of whole cells through zero;
    /// the last cells meet the ends exactly.
    pub fn graded(
        (from_m, to_m): (f64, f64),
        core_m: (f64, f64),
        cell_m: f64,
        growth: f64,
        cell_max_m: f64,
    ) -> Result<Self, HeatError> {
        let first = (core_m.0.max(from_m) / cell_m - SLACK).ceil() as i64;
        let last = (core_m.1.min(to_m) / cell_m + SLACK).floor() as i64;
        let mut edges: Vec<f64> = (first..=last.max(first)).map(|i| i as f64 * cell_m).collect();
        let (low, high) = (edges[0], edges[edges.len() - 1]);
        edges.extend(tail(to_m - high, cell_m, growth, cell_max_m).into_iter().map(|d| high + d));
        let mut below = tail(low - from_m, cell_m, growth, cell_max_m);
        below.reverse();
        let below = below.into_iter().map(|d| low - d);
        Self::new(below.chain(edges).collect())
    }

    /// Cells of about `cell_m` between ascending marks, an edge on every mark,
    /// growing outside the first and the last by `growth` up to `cell_max_m`.
    /// Marks closer to each other than a third of a cell become one.
    pub fn fitted(
        (from_m, to_m): (f64, f64),
        marks_m: &[f64],
        cell_m: f64,
        growth: f64,
        cell_max_m: f64,
    ) -> Result<Self, HeatError> {
        let inside = marks_m.iter().copied().filter(|m| *m >= from_m && *m <= to_m);
        let mut marks: Vec<f64> = inside.collect();
        marks.sort_by(f64::total_cmp);
        marks.dedup_by(|b, a| *b - *a < cell_m / 3.0);
        let (Some(low), Some(high)) = (marks.first().copied(), marks.last().copied()) else {
            return Err(HeatError::Geometry("no mark lies inside the section".to_owned()));
        };
        let mut edges = vec![low];
        for pair in marks.windows(2) {
            let count = ((pair[1] - pair[0]) / cell_m).round().max(1.0);
            edges.extend((1..=count as usize).map(|i| pair[0] + (pair[1] - pair[0]) * i as f64 / count));
        }
        edges.extend(tail(to_m - high, cell_m, growth, cell_max_m).into_iter().map(|d| high + d));
        let mut below = tail(low - from_m, cell_m, growth, cell_max_m);
        below.reverse();
        Self::new(below.into_iter().map(|d| low - d).chain(edges).collect())
    }

    /// Edges, m.
    pub fn edges_m(&self) -> &[f64] {
        &self.edges_m
    }

    /// Number of cells.
    pub fn cells(&self) -> usize {
        self.edges_m.len() - 1
    }

    /// Width of a cell, m.
    pub fn width_m(&self, cell: usize) -> f64 {
        self.edges_m[cell + 1] - self.edges_m[cell]
    }

    /// Centre of a cell, m.
    pub fn centre_m(&self, cell: usize) -> f64 {
        0.5 * (self.edges_m[cell + 1] + self.edges_m[cell])
    }

    /// The two cells whose centres stand around a place, with linear weights;
    /// beyond the outermost centres the outermost cell alone.
    pub(crate) fn around(&self, place_m: f64) -> [(usize, f64); 2] {
        let cell = self.cell_at(place_m);
        let other = if place_m < self.centre_m(cell) {
            cell.saturating_sub(1)
        } else {
            (cell + 1).min(self.cells() - 1)
        };
        let gap_m = (self.centre_m(other) - self.centre_m(cell)).abs();
        let share = if gap_m > 0.0 { (place_m - self.centre_m(cell)).abs() / gap_m } else { 0.0 };
        [(cell, 1.0 - share), (other, share)]
    }

    /// The cell that holds a place, the nearest one outside.
    pub fn cell_at(&self, place_m: f64) -> usize {
        self.edges_m.partition_point(|edge| *edge <= place_m).clamp(1, self.cells()) - 1
    }
}

/// Distances of the edges of growing cells that fill `length_m` exactly.
fn tail(length_m: f64, cell_m: f64, growth: f64, cell_max_m: f64) -> Vec<f64> {
    if length_m <= SLACK * cell_m {
        return Vec::new();
    }
    let mut widths = Vec::new();
    let (mut sum, mut width) = (0.0, cell_m);
    while sum < length_m {
        widths.push(width);
        sum += width;
        width = (width * growth).min(cell_max_m);
    }
    // Shrinking every cell a little meets the end without a sliver there.
    let shrink = length_m / sum;
    let mut edge = 0.0;
    let last = widths.len() - 1;
    widths
        .iter()
        .enumerate()
        .map(|(i, w)| {
            edge += w * shrink;
            if i == last { length_m } else { edge }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_graded_axis_meets_its_ends_and_keeps_its_core() {
        let axis = Axis::graded((-75e-3, 75e-3), (-12e-3, 12e-3), 1e-3, 1.2, 10e-3).unwrap();
        assert_eq!(axis.edges_m()[0], -75e-3);
        assert_eq!(*axis.edges_m().last().unwrap(), 75e-3);
        let core: Vec<f64> = axis.edges_m().iter().copied().filter(|e| e.abs() < 12.1e-3).collect();
        assert_eq!(core.len(), 25);
        assert!((core[3] + 9e-3).abs() < 1e-12);
        assert!((0..axis.cells()).all(|i| axis.width_m(i) < 10.1e-3));
    }

    #[test]
    fn a_place_is_found_in_its_cell() {
        let axis = Axis::even(0.0, 10e-3, 1e-3).unwrap();
        assert_eq!(axis.cells(), 10);
        assert_eq!(axis.cell_at(3.5e-3), 3);
        assert_eq!(axis.cell_at(-1.0), 0);
        assert_eq!(axis.cell_at(1.0), 9);
    }

    #[test]
    fn edges_that_do_not_ascend_are_refused() {
        assert!(Axis::new(vec![0.0, 1.0, 1.0]).is_err());
        assert!(Axis::new(vec![0.0, f64::NAN]).is_err());
        assert!(Axis::new(vec![0.0]).is_err());
    }
}
