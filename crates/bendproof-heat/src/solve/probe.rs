//! Temperature at a point, from the cells around it.
//!
//! Cubic through the four nearest centres in each direction; beyond a free face
//! the cells are mirrored, because a face loses far less than the metal conducts.
//! Between slabs of different thickness the true centres are used.

use super::axis::Axis;
use super::engine::Engine;

/// Four cells and their weights along one direction; a cell may appear twice.
type Four = [(usize, f64); 4];

/// Weights of the cubic through four ascending centres.
fn lagrange(centres: [f64; 4], at: f64) -> [f64; 4] {
    std::array::from_fn(|i| {
        let others = (0..4).filter(|j| *j != i);
        others.map(|j| (at - centres[j]) / (centres[i] - centres[j])).product()
    })
}

/// The cells around a place among `count` cells whose centres `centre` gives;
/// `low` and `high` are the end faces.
fn around(count: usize, at: f64, (low, high): (f64, f64), centre: impl Fn(usize) -> f64) -> Four {
    let at = at.clamp(low, high);
    let after = (0..count).find(|i| centre(*i) > at).unwrap_or(count) as i64;
    // Mirrored cells stand beyond the ends.
    let real = |i: i64| -> usize {
        let n = count as i64;
        let i = if i < 0 { -1 - i } else { i };
        let i = if i >= n { 2 * n - 1 - i } else { i };
        i.clamp(0, n - 1) as usize
    };
    let place = |i: i64| {
        let c = centre(real(i));
        if i < 0 {
            2.0 * low - c
        } else if i >= count as i64 {
            2.0 * high - c
        } else {
            c
        }
    };
    let cells: [i64; 4] = std::array::from_fn(|k| after - 2 + k as i64);
    if count < 2 {
        return [(0, 1.0), (0, 0.0), (0, 0.0), (0, 0.0)];
    }
    let weights = lagrange(cells.map(place), at);
    std::array::from_fn(|k| (real(cells[k]), weights[k]))
}

fn around_axis(axis: &Axis, at: f64) -> Four {
    let edges = axis.edges_m();
    around(axis.cells(), at, (edges[0], edges[edges.len() - 1]), |i| axis.centre_m(i))
}

/// A fixed point of the section and its cells there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Probe {
    pub x_m: f64,
    y: Four,
    z: Four,
}

impl Probe {
    pub fn new(engine: &Engine, [x_m, y_m, z_m]: [f64; 3]) -> Self {
        Self { x_m, y: around_axis(&engine.y, y_m), z: around_axis(&engine.z, z_m) }
    }

    /// Temperature there now, K.
    pub fn temperature_k(&self, engine: &Engine) -> f64 {
        self.value(engine, &engine.enthalpy)
    }

    /// Greatest temperature there so far, K.
    pub fn peak_k(&self, engine: &Engine) -> f64 {
        self.value(engine, &engine.peak)
    }

    fn value(&self, engine: &Engine, enthalpy: &[f64]) -> f64 {
        let row = &engine.row;
        let edge = |fine: i64| fine as f64 * engine.fine_m;
        let centre = |i: usize| 0.5 * (edge(row[i].start) + edge(row[i].end()));
        let ends = (edge(row[0].start), edge(row[row.len() - 1].end()));
        let (ny, cells) = (engine.y.cells(), engine.cells_per_slab());
        let mut sum = 0.0;
        for (i, wx) in around(row.len(), self.x_m, ends, centre) {
            for (k, wz) in self.z {
                for (j, wy) in self.y {
                    let h = enthalpy[row[i].slot * cells + k * ny + j];
                    sum += wx * wz * wy * engine.table.temperature_k(h);
                }
            }
        }
        sum
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cubic_is_read_exactly_and_a_face_is_flat() {
        let axis = Axis::graded((0.0, 40.0), (0.0, 10.0), 1.0, 1.3, 5.0).unwrap();
        let read = |at: f64, f: &dyn Fn(f64) -> f64| {
            around_axis(&axis, at).iter().map(|(i, w)| w * f(axis.centre_m(*i))).sum::<f64>()
        };
        let cubic = |x: f64| 3.0 - x + 0.2 * x * x - 0.01 * x.powi(3);
        for at in [3.0, 7.3, 11.9, 20.0] {
            assert!((read(at, &cubic) - cubic(at)).abs() < 1e-9, "{at}");
        }
        // An even function of the distance from the face is read exactly at it.
        let even = |x: f64| 5.0 - 0.3 * x * x;
        assert!((read(0.0, &even) - 5.0).abs() < 1e-12);
    }
}
