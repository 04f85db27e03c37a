//! How much of each cell is metal: rings cut by the cells of a section.
//!
//! Exact for straight-sided rings. Rings may touch but not overlap; where two
//! touch, metal passes from one to the other.

use super::axis::Axis;

/// A point of the section, m: y across, z down.
pub type Point = [f64; 2];

/// A closed ring of metal, either way round; rings hold no holes.
pub type Ring = Vec<Point>;

/// Metal on the cells of a section, cells row by row from the lowest z.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Cut {
    /// Share of each cell that is metal, 0 to 1.
    pub fraction: Vec<f64>,
    /// Length of metal just inside each cell along its face of lowest y, m.
    pub low_y_m: Vec<f64>,
    /// The same along its face of highest y.
    pub high_y_m: Vec<f64>,
    /// The same along its face of lowest z.
    pub low_z_m: Vec<f64>,
    /// The same along its face of highest z.
    pub high_z_m: Vec<f64>,
}

/// A cell with less metal than this counts as empty: it would cost more small
/// steps than its heat is worth (choice; 0.1 to 0.35 moves a melt-back by 0.1 mm).
pub(crate) const SLIVER: f64 = 0.2;
/// Distance to either side of a face at which metal is looked for, m: far below
/// any cell, far above the rounding of a coordinate.
const INSIDE_EDGE_M: f64 = 1e-9;

/// Cuts the rings by the cells.
pub(crate) fn cut(rings: &[Ring], y: &Axis, z: &Axis) -> Cut {
    let (ny, nz) = (y.cells(), z.cells());
    let empty = || vec![0.0; ny * nz];
    let mut cut =
        Cut { fraction: empty(), low_y_m: empty(), high_y_m: empty(), low_z_m: empty(), high_z_m: empty() };
    for ring in rings {
        add_area(ring, y, z, &mut cut.fraction);
    }
    for (cell, share) in cut.fraction.iter_mut().enumerate() {
        let area_m2 = y.width_m(cell % ny) * z.width_m(cell / ny);
        let metal = (*share / area_m2).clamp(0.0, 1.0);
        *share = if metal < SLIVER { 0.0 } else { metal };
    }
    for i in 0..ny {
        let low = metal_lengths(rings, y.edges_m()[i] + INSIDE_EDGE_M, 0, z);
        let high = metal_lengths(rings, y.edges_m()[i + 1] - INSIDE_EDGE_M, 0, z);
        for k in 0..nz {
            cut.low_y_m[k * ny + i] = low[k];
            cut.high_y_m[k * ny + i] = high[k];
        }
    }
    for k in 0..nz {
        let row = k * ny..(k + 1) * ny;
        let low = metal_lengths(rings, z.edges_m()[k] + INSIDE_EDGE_M, 1, y);
        let high = metal_lengths(rings, z.edges_m()[k + 1] - INSIDE_EDGE_M, 1, y);
        cut.low_z_m[row.clone()].copy_from_slice(&low);
        cut.high_z_m[row].copy_from_slice(&high);
    }
    cut
}

/// The half of a ring at y above zero, for a section with a mirror there; empty
/// when nothing of the ring lies on that side.
pub fn right_half(ring: &[Point]) -> Ring {
    clip(ring, 0, 0.0, 1.0)
}

/// The part of a ring below a level: z at least `z_m`.
pub(crate) fn below(ring: &[Point], z_m: f64) -> Ring {
    clip(ring, 1, z_m, 1.0)
}

/// Adds a ring's signed area to the cells it covers.
fn add_area(ring: &[Point], y: &Axis, z: &Axis, area_m2: &mut [f64]) {
    let sign = if signed_area(ring) < 0.0 { -1.0 } else { 1.0 };
    let ny = y.cells();
    let (y_low, y_high) = reach(ring, 0);
    let (z_low, z_high) = reach(ring, 1);
    for k in z.cell_at(z_low)..=z.cell_at(z_high) {
        let (top, bottom) = (z.edges_m()[k], z.edges_m()[k + 1]);
        let band = clip(&clip(ring, 1, top, 1.0), 1, bottom, -1.0);
        if band.len() < 3 {
            continue;
        }
        for i in y.cell_at(y_low)..=y.cell_at(y_high) {
            let (left, right) = (y.edges_m()[i], y.edges_m()[i + 1]);
            let piece = clip(&clip(&band, 0, left, 1.0), 0, right, -1.0);
            area_m2[k * ny + i] += sign * signed_area(&piece);
        }
    }
}

/// Least and greatest coordinate of a ring.
pub(crate) fn reach(ring: &[Point], direction: usize) -> (f64, f64) {
    ring.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), p| {
        (low.min(p[direction]), high.max(p[direction]))
    })
}

fn signed_area(ring: &[Point]) -> f64 {
    let next = ring.iter().cycle().skip(1);
    0.5 * ring.iter().zip(next).map(|(a, b)| a[0] * b[1] - b[0] * a[1]).sum::<f64>()
}

/// Keeps the part of a ring on one side of a line across `direction` (after
/// Sutherland and Hodgman, Commun. ACM 17 (1974) 32). A ring that is not convex
/// may come back with doubled edges, which hold no area.
fn clip(ring: &[Point], direction: usize, at: f64, side: f64) -> Ring {
    let mut out = Vec::with_capacity(ring.len() + 4);
    let next = ring.iter().cycle().skip(1);
    for (a, b) in ring.iter().zip(next) {
        let (da, db) = (side * (a[direction] - at), side * (b[direction] - at));
        if da >= 0.0 {
            out.push(*a);
        }
        if (da >= 0.0) != (db >= 0.0) {
            let share = da / (da - db);
            out.push([a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])]);
        }
    }
    out
}

/// Length of metal on a line across `direction`, per cell of the other axis.
fn metal_lengths(rings: &[Ring], at: f64, direction: usize, cells: &Axis) -> Vec<f64> {
    let other = 1 - direction;
    let mut lengths = vec![0.0; cells.cells()];
    for ring in rings {
        let mut crossings: Vec<f64> = ring
            .iter()
            .zip(ring.iter().cycle().skip(1))
            .filter(|(a, b)| (a[direction] > at) != (b[direction] > at))
            .map(|(a, b)| {
                a[other] + (at - a[direction]) / (b[direction] - a[direction]) * (b[other] - a[other])
            })
            .collect();
        crossings.sort_by(f64::total_cmp);
        for pair in crossings.chunks_exact(2) {
            for (cell, length) in lengths.iter_mut().enumerate() {
                let edges = &cells.edges_m()[cell..cell + 2];
                *length += (pair[1].min(edges[1]) - pair[0].max(edges[0])).max(0.0);
            }
        }
    }
    for (cell, length) in lengths.iter_mut().enumerate() {
        *length = length.min(cells.width_m(cell));
    }
    lengths
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_cells_hold_the_area_of_the_ring() {
        let axis = Axis::even(-2.0, 2.0, 0.25).unwrap();
        // A ring that is not convex, and whose corners lie off the lattice.
        let ring = vec![[-1.1, -0.93], [1.27, -1.01], [0.1, 0.07], [1.3, 1.41], [-1.2, 1.13]];
        let cut = cut(std::slice::from_ref(&ring), &axis, &axis);
        let slivers = 0.2 * 0.0625 * 60.0;
        let area: f64 = cut.fraction.iter().sum::<f64>() * 0.0625;
        assert!((area - signed_area(&ring).abs()).abs() < slivers, "{area}");
    }

    #[test]
    fn a_slanted_wall_shortens_the_faces() {
        let axis = Axis::even(0.0, 2.0, 1.0).unwrap();
        // Metal right of a line from (0.5, 0) to (1.5, 2).
        let ring = vec![[0.5, 0.0], [2.0, 0.0], [2.0, 2.0], [1.5, 2.0]];
        let cut = cut(&[ring], &axis, &axis);
        assert!((cut.fraction[0] - 0.25).abs() < 1e-12);
        assert!((cut.high_y_m[0] - 1.0).abs() < 1e-8, "the line y = 1 is metal down to z = 1");
        assert!(cut.high_y_m[2] < 1e-8, "and empty below");
        assert!((cut.low_z_m[0] - 0.5).abs() < 1e-8);
    }
}
