//! One make of the section: which cells are metal, how they conduct to each
//! other, and where they face the air.
//!
//! A weld is a row of such makes: the bare groove, the groove with its first
//! bead half risen, and so on. A slab of the plate points at the one it has.

use super::axis::Axis;
use super::region::{Cut, Ring, cut};

/// A cell's free surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Exposed {
    pub cell: usize,
    /// Length of free surface in the section, m.
    pub length_m: f64,
}

/// One make of the section.
#[derive(Debug, Clone)]
pub(crate) struct State {
    /// Share of each cell that is metal.
    pub fraction: Vec<f64>,
    /// 1 / (metal area of the cell), 1/m²; zero in empty cells.
    pub per_area: Vec<f64>,
    /// Metal face over distance between a cell and the next in y; one row of
    /// zeros before and after, so that neighbours are a plain offset away.
    pub over_y: Vec<f64>,
    /// The same between a cell and the next in z.
    pub over_z: Vec<f64>,
    /// Free surfaces.
    pub exposed: Vec<Exposed>,
    /// Topmost metal cell of each column.
    pub top: Vec<Option<usize>>,
    /// Greatest sum of a cell's section conductances over its area, 1/m²; it
    /// bounds the step.
    pub stiffness: f64,
    /// Greatest free surface of a cell over its area, 1/m; losses bound the step
    /// by it.
    pub exposure: f64,
}

impl State {
    /// `mirror` says that the lowest y is a plane of symmetry, through which no
    /// heat passes and which faces no air.
    pub fn new(rings: &[Ring], y: &Axis, z: &Axis, mirror: bool) -> Self {
        let cut = cut(rings, y, z);
        let ny = y.cells();
        let cells = cut.fraction.len();
        let mut state = Self {
            per_area: vec![0.0; cells],
            over_y: vec![0.0; cells + 2 * ny],
            over_z: vec![0.0; cells + 2 * ny],
            exposed: Vec::new(),
            top: (0..ny).map(|i| (i..cells).step_by(ny).find(|c| cut.fraction[*c] > 0.0)).collect(),
            stiffness: 0.0,
            exposure: 0.0,
            fraction: cut.fraction.clone(),
        };
        for cell in 0..cells {
            state.join(&cut, cell, y, z);
        }
        for cell in 0..cells {
            if cut.fraction[cell] > 0.0 {
                state.measure(&cut, cell, y, z, mirror);
            }
        }
        state
    }

    /// Joins a cell to the next in y and in z.
    fn join(&mut self, cut: &Cut, cell: usize, y: &Axis, z: &Axis) {
        let ny = y.cells();
        let (i, k) = (cell % ny, cell / ny);
        let metal = |other: usize| cut.fraction[cell] > 0.0 && cut.fraction[other] > 0.0;
        if i + 1 < ny && metal(cell + 1) {
            let face_m = cut.high_y_m[cell].min(cut.low_y_m[cell + 1]);
            self.over_y[ny + cell] = face_m / (y.centre_m(i + 1) - y.centre_m(i));
        }
        if k + 1 < z.cells() && metal(cell + ny) {
            let face_m = cut.high_z_m[cell].min(cut.low_z_m[cell + ny]);
            self.over_z[ny + cell] = face_m / (z.centre_m(k + 1) - z.centre_m(k));
        }
    }

    /// Area, free surface and stiffness of a metal cell.
    fn measure(&mut self, cut: &Cut, cell: usize, y: &Axis, z: &Axis, mirror: bool) {
        let ny = y.cells();
        let (i, k) = (cell % ny, cell / ny);
        let per_area = 1.0 / (cut.fraction[cell] * y.width_m(i) * z.width_m(k));
        self.per_area[cell] = per_area;
        let sides = [
            (self.over_y[ny + cell], i + 1 < ny, cut.high_y_m[cell], i + 1),
            (self.over_y[ny + cell - 1], i > 0, cut.low_y_m[cell], i),
        ];
        let mut free_m = 0.0;
        let mut sum = 0.0;
        for (over, inside, metal_m, edge) in sides {
            let joined_m = if inside { over * (y.centre_m(edge) - y.centre_m(edge - 1)) } else { 0.0 };
            let symmetric = mirror && edge == 0;
            free_m += if symmetric { 0.0 } else { metal_m - joined_m };
            sum += over;
        }
        let ends = [
            (self.over_z[ny + cell], k + 1 < z.cells(), cut.high_z_m[cell], k + 1),
            (self.over_z[cell], k > 0, cut.low_z_m[cell], k),
        ];
        for (over, inside, metal_m, edge) in ends {
            let joined_m = if inside { over * (z.centre_m(edge) - z.centre_m(edge - 1)) } else { 0.0 };
            free_m += metal_m - joined_m;
            sum += over;
        }
        // What a wall that crosses the cell is long: the faces it shortens tell.
        let across = cut.high_y_m[cell] - cut.low_y_m[cell];
        let down = cut.high_z_m[cell] - cut.low_z_m[cell];
        free_m += across.hypot(down);
        if free_m > FREE_LEAST * y.width_m(i).min(z.width_m(k)) {
            self.exposed.push(Exposed { cell, length_m: free_m });
            self.exposure = self.exposure.max(free_m * per_area);
        }
        self.stiffness = self.stiffness.max(sum * per_area);
    }
}

/// Free surface below this share of a cell's side is rounding.
const FREE_LEAST: f64 = 1e-6;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_block_is_exposed_on_its_outline() {
        let y = Axis::even(0.0, 10e-3, 1e-3).unwrap();
        let z = Axis::even(0.0, 5e-3, 1e-3).unwrap();
        let block = vec![vec![[0.0, 0.0], [10e-3, 0.0], [10e-3, 5e-3], [0.0, 5e-3]]];
        let length =
            |mirror| State::new(&block, &y, &z, mirror).exposed.iter().map(|e| e.length_m).sum::<f64>();
        assert!((length(false) - 30e-3).abs() < 1e-7);
        assert!((length(true) - 25e-3).abs() < 1e-7);
    }

    #[test]
    fn a_slanted_wall_is_as_long_as_it_is() {
        let y = Axis::even(0.0, 10e-3, 0.5e-3).unwrap();
        let wedge = vec![vec![[0.0, 0.0], [10e-3, 0.0], [10e-3, 10e-3]]];
        let state = State::new(&wedge, &y, &y, false);
        let length: f64 = state.exposed.iter().map(|e| e.length_m).sum();
        let exact = 20e-3 + 10e-3 * 2f64.sqrt();
        // Along the wall every other cell is a sliver and drops out.
        assert!((length / exact - 1.0).abs() < 0.1, "{length} against {exact}");
    }

    #[test]
    fn touching_rings_conduct_and_a_gap_does_not() {
        let axis = Axis::even(0.0, 4.0, 1.0).unwrap();
        let square = |y: f64, size: f64| vec![[y, 0.0], [y + size, 0.0], [y + size, size], [y, size]];
        let touching = State::new(&[square(0.0, 2.0), square(2.0, 2.0)], &axis, &axis, false);
        assert!((touching.over_y[4 + 1] - 1.0).abs() < 1e-8);
        let apart = State::new(&[square(0.0, 2.0), square(3.0, 1.0)], &axis, &axis, false);
        assert_eq!(apart.over_y[4 + 1], 0.0);
        assert_eq!(apart.fraction[2], 0.0);
    }
}
