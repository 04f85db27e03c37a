//! Temperature at a point of a welded section, from metal cells only.
//!
//! A parabola through three cells in each direction; where there is no metal, or
//! the plate ends, the cell is mirrored, because a face loses far less than the
//! metal conducts.

use super::axis::Axis;
use super::engine::Engine;

/// The slab that holds a place along the plate, by its place in the row.
pub(crate) fn slab_at(engine: &Engine, x_m: f64) -> usize {
    let fine = x_m / engine.fine_m;
    engine.row.partition_point(|s| s.end() as f64 <= fine).min(engine.row.len() - 1)
}

/// Temperature at a point, K; `None` where there is no metal.
pub(crate) fn temperature_k(engine: &Engine, [x_m, y_m, z_m]: [f64; 3]) -> Option<f64> {
    let row = &engine.row;
    let slab = slab_at(engine, x_m);
    let fraction = &engine.states[row[slab].state].fraction;
    let cell = metal_cell((&engine.y, &engine.z), fraction, [y_m, z_m])?;
    let (ny, nz) = (engine.y.cells(), engine.z.cells());
    let (i, k) = (cell % ny, cell / ny);
    let own = value(engine, slab, cell)?;
    let next = |at: usize, count: usize| Some(at + 1).filter(|j| *j < count);
    let of_axis = |axis: &Axis, c: usize| (axis.edges_m()[c], axis.edges_m()[c + 1]);
    let of_row = |s: usize| (row[s].start as f64 * engine.fine_m, row[s].end() as f64 * engine.fine_m);
    let along = |j: Option<usize>| j.and_then(|j| Some((of_row(j), value(engine, j, cell)?)));
    let across =
        |j: Option<usize>| j.and_then(|j| Some((of_axis(&engine.y, j), value(engine, slab, k * ny + j)?)));
    let down =
        |j: Option<usize>| j.and_then(|j| Some((of_axis(&engine.z, j), value(engine, slab, j * ny + i)?)));
    let rise = bend(x_m, (of_row(slab), own), along(slab.checked_sub(1)), along(next(slab, row.len())))
        + bend(y_m, (of_axis(&engine.y, i), own), across(i.checked_sub(1)), across(next(i, ny)))
        + bend(z_m, (of_axis(&engine.z, k), own), down(k.checked_sub(1)), down(next(k, nz)));
    Some(own + rise)
}

/// A cell along one direction: its ends, m, and its temperature, K.
type Along = ((f64, f64), f64);

/// What the parabola through three cells adds to the middle one's value.
fn bend(at: f64, own: Along, low: Option<Along>, high: Option<Along>) -> f64 {
    let ((from, to), t) = own;
    let at = at.clamp(from, to);
    let centre = |(a, b): (f64, f64)| 0.5 * (a + b);
    let middle = centre(own.0);
    let (x0, t0) = low.map_or((2.0 * from - middle, t), |(ends, t)| (centre(ends), t));
    let (x2, t2) = high.map_or((2.0 * to - middle, t), |(ends, t)| (centre(ends), t));
    let (before, after) = ((t - t0) / (middle - x0), (t2 - t) / (x2 - middle));
    let second = (after - before) / (x2 - x0);
    let slope = before + second * (middle - x0);
    (at - middle) * (slope + second * (at - middle))
}

fn value(engine: &Engine, slab: usize, cell: usize) -> Option<f64> {
    let slab = engine.row[slab];
    let metal = engine.states[slab.state].fraction[cell] > 0.0;
    metal.then(|| engine.table.temperature_k(engine.enthalpy[slab.slot * engine.cells_per_slab() + cell]))
}

/// The metal cell that holds a place of a section, or the nearest within half a
/// cell: a place on the metal's face may lie in a cell with too little of it.
pub(crate) fn metal_cell((y, z): (&Axis, &Axis), fraction: &[f64], [y_m, z_m]: [f64; 2]) -> Option<usize> {
    let (ny, nz) = (y.cells(), z.cells());
    let (i, k) = (y.cell_at(y_m), z.cell_at(z_m));
    if fraction[k * ny + i] > 0.0 {
        return Some(k * ny + i);
    }
    let reach_m = 0.5 * y.width_m(i).min(z.width_m(k));
    let outside =
        |axis: &Axis, c: usize, at: f64| (axis.edges_m()[c] - at).max(at - axis.edges_m()[c + 1]).max(0.0);
    let mut nearest = None;
    for row in k.saturating_sub(1)..(k + 2).min(nz) {
        for column in i.saturating_sub(1)..(i + 2).min(ny) {
            let away_m = outside(y, column, y_m).hypot(outside(z, row, z_m));
            let metal = fraction[row * ny + column] > 0.0;
            if metal && away_m <= nearest.map_or(reach_m, |(least_m, _)| least_m) {
                nearest = Some((away_m, row * ny + column));
            }
        }
    }
    nearest.map(|(_, cell)| cell)
}
