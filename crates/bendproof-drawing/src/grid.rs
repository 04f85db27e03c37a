//! A field of temperatures on a section: one value per cell of a tensor grid
//! whose cells need not be equal, and no value where there is no metal. Holds
//! the data and its checks; it draws nothing and computes no heat.

use crate::Point;

/// Most cells in one field: a megabyte of single-precision values, finer than
/// any drawing shows. Basis: choice.
pub const GRID_CELLS_MAX: usize = 250_000;

/// Edges of the cells of a section, millimetres, both ascending.
///
/// Values that belong to it stand row by row from the lowest y up, each row
/// from the lowest x, degrees Celsius, NaN where there is no metal.
#[derive(Debug, Clone, PartialEq)]
pub struct SectionGrid {
    /// Edges across the section (or along travel), mm.
    pub x_edges_mm: Vec<f64>,
    /// Edges upwards from the underside, mm.
    pub y_edges_mm: Vec<f64>,
}

impl SectionGrid {
    /// Cells in a row.
    pub fn columns(&self) -> usize {
        self.x_edges_mm.len().saturating_sub(1)
    }

    /// Rows of cells.
    pub fn rows(&self) -> usize {
        self.y_edges_mm.len().saturating_sub(1)
    }

    /// Middle of the cell in a column and a row, mm; both must exist.
    pub fn centre(&self, column: usize, row: usize) -> Point {
        let middle = |edges: &[f64], k: usize| (edges[k] + edges[k + 1]) / 2.0;
        [middle(&self.x_edges_mm, column), middle(&self.y_edges_mm, row)]
    }

    /// Whether `values` can be read on this grid.
    ///
    /// # Errors
    /// Names what is wrong: no cell or too many, edges not ascending, a count of
    /// values that differs from the count of cells, an infinite value.
    pub fn check(&self, values: &[f32]) -> Result<(), GridError> {
        let cells = self.columns() * self.rows();
        if cells == 0 || cells > GRID_CELLS_MAX {
            return Err(GridError::Cells { found: cells });
        }
        let rises = |edges: &[f64]| {
            edges.iter().all(|v| v.is_finite()) && edges.windows(2).all(|pair| pair[0] < pair[1])
        };
        if !rises(&self.x_edges_mm) || !rises(&self.y_edges_mm) {
            return Err(GridError::Order);
        }
        if values.len() != cells {
            return Err(GridError::Count { expected: cells, found: values.len() });
        }
        match values.iter().any(|v| v.is_infinite()) {
            true => Err(GridError::Infinite),
            false => Ok(()),
        }
    }
}

/// Why a field cannot be read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum GridError {
    /// The grid has no cell, or more than [`GRID_CELLS_MAX`].
    Cells {
        /// Cells the edges make.
        found: usize,
    },
    /// Edges are not finite and strictly ascending.
    Order,
    /// The count of values is not the count of cells.
    Count {
        /// Cells of the grid.
        expected: usize,
        /// Values given.
        found: usize,
    },
    /// A value is infinite.
    Infinite,
}

impl std::fmt::Display for GridError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Cells { found } => {
                write!(f, "the grid has {found} cells; from 1 to {GRID_CELLS_MAX} can be drawn")
            }
            Self::Order => f.write_str("the edges of the grid are not numbers in ascending order"),
            Self::Count { expected, found } => {
                write!(f, "the field has {found} values for {expected} cells; give one value a cell")
            }
            Self::Infinite => f.write_str("the field holds an infinite value; use NaN outside the metal"),
        }
    }
}

impl std::error::Error for GridError {}

/// Values at the crossings of a tensor lattice, between which they are bilinear.
/// A mesh exists where its four corners have values.
#[derive(Debug, Clone)]
pub(crate) struct Lattice {
    pub x: Vec<f64>,
    pub y: Vec<f64>,
    pub v: Vec<f64>,
    /// The highest value of each row, to pass rows by that a level never meets.
    row_high: Vec<f64>,
    /// Whether the mesh above and right of each node exists.
    is_mesh: Vec<bool>,
}

impl Lattice {
    fn new(x: Vec<f64>, y: Vec<f64>, v: Vec<f64>) -> Self {
        let high = |row: &[f64]| row.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let row_high = v.chunks_exact(x.len()).map(high).collect();
        let wide = x.len();
        // A sum is a number only when all its terms are.
        let whole = |k: usize| !(v[k] + v[k + 1] + v[k + wide] + v[k + wide + 1]).is_nan();
        let is_mesh = (0..v.len()).map(|k| k % wide + 1 < wide && k + wide < v.len() && whole(k)).collect();
        Self { x, y, v, row_high, is_mesh }
    }

    /// Whether the mesh above and right of a node exists.
    pub fn is_mesh(&self, i: usize, j: usize) -> bool {
        self.is_mesh[j * self.x.len() + i]
    }

    /// Whether any mesh between a row and the next reaches a level.
    pub fn reaches(&self, row: usize, level: f64) -> bool {
        self.row_high[row] >= level || self.row_high[row + 1] >= level
    }

    /// The field between cell centres, continued to the edges of its metal:
    /// nodes at the centres, the sides and the corners of the cells.
    ///
    /// Where metal lies on both sides a node gets the bilinear value between the
    /// centres, so the finer lattice changes nothing inside. At the metal's edge
    /// the value of the cell goes on unchanged: little heat crosses a free face.
    pub fn refined(grid: &SectionGrid, values: &[f32]) -> Self {
        let (columns, rows) = (grid.columns(), grid.rows());
        let nodes = |edges: &[f64]| {
            let mut out = Vec::with_capacity(2 * edges.len());
            for pair in edges.windows(2) {
                out.extend([pair[0], (pair[0] + pair[1]) / 2.0]);
            }
            out.extend(edges.last());
            out
        };
        let (x, y) = (nodes(&grid.x_edges_mm), nodes(&grid.y_edges_mm));
        let mut v = Vec::with_capacity(x.len() * y.len());
        let value = |row: usize, column: usize| f64::from(values[row * columns + column]);
        for j in 0..y.len() {
            let (low, high, up) = neighbours(j, rows, &y);
            for i in 0..x.len() {
                let (left, right, across) = neighbours(i, columns, &x);
                let row = |row: usize| mix(value(row, left), value(row, right), across);
                v.push(mix(row(low), row(high), up));
            }
        }
        Self::new(x, y, v)
    }

    /// The field at cell centres, spread `cells` cells past its metal on every
    /// side, so that a drawing can cut it along the true outline instead of the
    /// steps of the grid. The first cell past an edge goes on in a straight line,
    /// so that isotherms meet the edge at their own angle; farther ones repeat it.
    /// No value leaves the range of the field.
    pub fn spread(grid: &SectionGrid, values: &[f32], cells: usize) -> Self {
        let centres = |edges: &[f64]| {
            let n = edges.len();
            let (first, last) = (edges[1] - edges[0], edges[n - 1] - edges[n - 2]);
            let before = (1..=cells).rev().map(|k| edges[0] - (k as f64 - 0.5) * first);
            let inside = edges.windows(2).map(|pair| (pair[0] + pair[1]) / 2.0);
            let after = (1..=cells).map(|k| edges[n - 1] + (k as f64 - 0.5) * last);
            before.chain(inside).chain(after).collect::<Vec<f64>>()
        };
        let (x, y) = (centres(&grid.x_edges_mm), centres(&grid.y_edges_mm));
        let (columns, wide) = (grid.columns(), x.len());
        let mut v = vec![f64::NAN; x.len() * y.len()];
        for (row, line) in values.chunks_exact(columns).enumerate() {
            let start = (row + cells) * wide + cells;
            for (into, from) in v[start..start + columns].iter_mut().zip(line) {
                *into = f64::from(*from);
            }
        }
        let mut empty: Vec<usize> = (0..v.len()).filter(|k| v[*k].is_nan()).collect();
        for ring in 0..cells {
            let slope = if ring == 0 { 1.0 } else { 0.0 };
            grow(&mut v, &mut empty, wide, slope);
        }
        let known = values.iter().filter(|v| !v.is_nan()).map(|v| f64::from(*v));
        let (low, high) = known.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| (l.min(v), h.max(v)));
        v.iter_mut().filter(|v| !v.is_nan()).for_each(|v| *v = v.clamp(low, high));
        Self::new(x, y, v)
    }

    /// The bilinear value at a point; NaN where no mesh exists.
    pub fn at(&self, p: Point) -> f64 {
        let (Some(i), Some(j)) = (mesh(&self.x, p[0]), mesh(&self.y, p[1])) else { return f64::NAN };
        let (u, w) = (
            (p[0] - self.x[i]) / (self.x[i + 1] - self.x[i]),
            (p[1] - self.y[j]) / (self.y[j + 1] - self.y[j]),
        );
        let k = j * self.x.len() + i;
        let (low, high) = (&self.v[k..k + 2], &self.v[k + self.x.len()..k + self.x.len() + 2]);
        let along = |pair: &[f64]| pair[0] + (pair[1] - pair[0]) * u;
        along(low) + (along(high) - along(low)) * w
    }

    /// The gradient at a point by differences over `step_mm` either way.
    pub fn gradient(&self, p: Point, step_mm: f64) -> Point {
        let d = |a: Point, b: Point| (self.at(b) - self.at(a)) / (2.0 * step_mm);
        [d([p[0] - step_mm, p[1]], [p[0] + step_mm, p[1]]), d([p[0], p[1] - step_mm], [p[0], p[1] + step_mm])]
    }

    /// The highest value; negative infinity when there is none.
    pub fn highest(&self) -> f64 {
        self.row_high.iter().copied().fold(f64::NEG_INFINITY, f64::max)
    }
}

/// The mesh of an axis that holds a coordinate.
fn mesh(axis: &[f64], at: f64) -> Option<usize> {
    let after = axis.partition_point(|edge| *edge <= at);
    match axis.last() {
        Some(last) if *last == at => Some(axis.len() - 2),
        _ => (after > 0 && after < axis.len()).then(|| after - 1),
    }
}

/// The two cells a node of the refined axis lies between, and how far towards the
/// second; a node at a centre or at the end of the axis has one cell twice.
fn neighbours(node: usize, cells: usize, axis: &[f64]) -> (usize, usize, f64) {
    let cell = node / 2;
    if node % 2 == 1 || node == 0 {
        return (cell, cell, 0.0);
    }
    if cell == cells {
        return (cell - 1, cell - 1, 0.0);
    }
    // Linear between the centres, which are the nodes before and after.
    let share = (axis[node] - axis[node - 1]) / (axis[node + 1] - axis[node - 1]);
    (cell - 1, cell, share)
}

/// The value between two, or the one that is there. Written as a step from the
/// first so that two equal values give that value to the last bit.
fn mix(a: f64, b: f64, share: f64) -> f64 {
    match (a.is_nan(), b.is_nan()) {
        (true, _) => b,
        (_, true) => a,
        _ => a + (b - a) * share,
    }
}

/// Fills every empty node next to a full one with the mean of what its neighbours
/// suggest: their value, moved on by `slope` times the step that led to it.
fn grow(v: &mut [f64], empty: &mut Vec<usize>, wide: usize, slope: f64) {
    let high = v.len() / wide;
    let on = |near: usize, far: Option<usize>| {
        let step = far.map_or(0.0, |far| v[near] - v[far]);
        v[near] + if step.is_nan() { 0.0 } else { slope * step }
    };
    let suggested = |k: usize| {
        let (i, j) = (k % wide, k / wide);
        let neighbors = [
            (i > 0).then(|| on(k - 1, (i > 1).then(|| k - 2))),
            (i + 1 < wide).then(|| on(k + 1, (i + 2 < wide).then(|| k + 2))),
            (j > 0).then(|| on(k - wide, (j > 1).then(|| k - 2 * wide))),
            (j + 1 < high).then(|| on(k + wide, (j + 2 < high).then(|| k + 2 * wide))),
        ];
        let full = neighbors.into_iter().flatten().filter(|n| !n.is_nan());
        let (sum, count) = full.fold((0.0, 0.0), |(s, c), n| (s + n, c + 1.0));
        (count > 0.0).then(|| (k, sum / count))
    };
    // All are found before any is filled, so that the order does not matter.
    let found: Vec<(usize, f64)> = empty.iter().filter_map(|k| suggested(*k)).collect();
    found.into_iter().for_each(|(k, value)| v[k] = value);
    empty.retain(|k| v[*k].is_nan());
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Room for rounding in values of order ten.
    const ROUNDING: f64 = 1e-12;

    fn grid() -> SectionGrid {
        SectionGrid { x_edges_mm: vec![0.0, 1.0, 3.0, 4.0], y_edges_mm: vec![0.0, 2.0, 3.0] }
    }

    #[test]
    fn a_grid_says_what_is_wrong_with_a_field() {
        assert_eq!(grid().check(&[0.0; 6]), Ok(()));
        assert_eq!(grid().check(&[0.0; 5]), Err(GridError::Count { expected: 6, found: 5 }));
        let back = SectionGrid { x_edges_mm: vec![1.0, 0.0], ..grid() };
        assert_eq!(back.check(&[0.0; 2]), Err(GridError::Order));
        assert_eq!(grid().check(&[f32::INFINITY; 6]), Err(GridError::Infinite));
        let none = SectionGrid { x_edges_mm: Vec::new(), y_edges_mm: Vec::new() };
        assert!(none.check(&[]).is_err_and(|e| e.to_string().contains("0 cells")));
    }

    #[test]
    fn both_lattices_are_exact_on_a_linear_field_between_centres() {
        let g = grid();
        let value = |p: Point| 2.0 * p[0] - 3.0 * p[1] + 1.0;
        let cells: Vec<f32> = (0..6).map(|k| value(g.centre(k % 3, k / 3)) as f32).collect();
        for lattice in [Lattice::refined(&g, &cells), Lattice::spread(&g, &cells, 2)] {
            for p in [[0.5, 1.0], [1.0, 2.0], [2.2, 1.7], [3.5, 2.5]] {
                assert!((lattice.at(p) - value(p)).abs() < ROUNDING, "{p:?}");
            }
            let [gx, gy] = lattice.gradient([2.0, 1.8], 0.1);
            assert!((gx - 2.0).abs() < ROUNDING * 10.0 && (gy + 3.0).abs() < ROUNDING * 10.0);
        }
    }

    #[test]
    fn a_spread_field_stays_within_its_values_and_covers_the_metal() {
        let g = grid();
        let cells = [1.0, f32::NAN, 5.0, 2.0, 3.0, f32::NAN];
        let lattice = Lattice::spread(&g, &cells, 4);
        let full: Vec<f64> = lattice.v.iter().copied().filter(|v| !v.is_nan()).collect();
        assert!(full.iter().all(|v| (1.0..=5.0).contains(v)), "{full:?}");
        // The whole of the metal and half a cell around it, corners included.
        for p in [[-0.9, -1.9], [4.4, 3.4], [2.0, 0.5], [3.9, 2.9]] {
            assert!(lattice.at(p).is_finite(), "{p:?}");
        }
        assert!(Lattice::refined(&g, &cells).at([2.0, 0.5]).is_nan());
    }
}
