//! What a pass leaves behind: temperatures along the arc's wake, the greatest
//! temperature everywhere on the section, and the pool.

use super::axis::Axis;
use super::engine::Engine;
use super::slabs::Slab;
use super::trace::Trace;

/// The field of one pass.
#[derive(Debug, Clone, PartialEq)]
pub struct PassField {
    /// Cells across.
    pub y: Axis,
    /// Cells down.
    pub z: Axis,
    /// Metal share of the cells before the bead, row by row from the lowest z.
    pub base_fraction: Vec<f64>,
    /// Metal share with the bead.
    pub fraction: Vec<f64>,
    /// Greatest temperature of each cell during the pass, K; NaN without metal.
    pub peak_k: Vec<f64>,
    /// Sections from far behind the arc to ahead of it.
    pub slices: Vec<Slice>,
    /// The pool.
    pub pool: Pool,
    /// Whether this is one half of a symmetric section.
    pub mirror: bool,
    /// Travel, m/s: a section at x has been passed -x / travel ago.
    pub travel_m_s: f64,
}

/// One section across the joint at one moment.
#[derive(Debug, Clone, PartialEq)]
pub struct Slice {
    /// Middle of the slab, m from the arc, positive ahead.
    pub x_m: f64,
    /// Thickness of the slab, m.
    pub thickness_m: f64,
    /// Temperatures, K; NaN without metal.
    pub temperature_k: Vec<f32>,
}

impl Slice {
    pub(crate) fn of(engine: &Engine, slab: &Slab, arc_m: f64) -> Self {
        let cells = engine.cells_per_slab();
        let own = &engine.enthalpy[slab.slot * cells..(slab.slot + 1) * cells];
        let metal = &engine.states[slab.state].fraction;
        Self {
            x_m: 0.5 * (slab.start + slab.end()) as f64 * engine.fine_m - arc_m,
            thickness_m: slab.span as f64 * engine.fine_m,
            temperature_k: own
                .iter()
                .zip(metal)
                .map(|(h, share)| if *share > 0.0 { engine.table.temperature_k(*h) as f32 } else { f32::NAN })
                .collect(),
        }
    }
}

/// The liquid at one moment, both halves of a symmetric section together.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Pool {
    /// Length along the joint, m.
    pub length_m: f64,
    /// Length of liquid in the lowest row of metal cells, m.
    pub length_below_m: f64,
    /// Greatest width across, m.
    pub width_m: f64,
    /// Volume, m³.
    pub volume_m3: f64,
    /// Hottest metal, K.
    pub hottest_k: f64,
}

impl Pool {
    pub(crate) fn of(engine: &Engine, fusion_k: f64, mirror: bool) -> Self {
        let (ny, cells) = (engine.y.cells(), engine.cells_per_slab());
        let liquid_from = engine.metal.enthalpy_j_m3(fusion_k);
        let whole = if mirror { 2.0 } else { 1.0 };
        let mut pool = Self::default();
        let mut hottest = f64::NEG_INFINITY;
        for slab in &engine.row {
            let state = &engine.states[slab.state];
            let thickness_m = slab.span as f64 * engine.fine_m;
            let lowest = (0..cells).rev().find(|c| state.fraction[*c] > 0.0).map_or(0, |c| c / ny);
            let mut width = vec![0.0; cells / ny];
            let mut below = false;
            for c in 0..cells {
                let h = engine.enthalpy[slab.slot * cells + c];
                if state.per_area[c] <= 0.0 {
                    continue;
                }
                hottest = hottest.max(h);
                if h > liquid_from {
                    pool.volume_m3 += whole * thickness_m / state.per_area[c];
                    width[c / ny] += whole * engine.y.width_m(c % ny);
                    below |= c / ny == lowest;
                }
            }
            let widest = width.iter().copied().fold(0.0, f64::max);
            pool.width_m = pool.width_m.max(widest);
            pool.length_m += if widest > 0.0 { thickness_m } else { 0.0 };
            pool.length_below_m += if below { thickness_m } else { 0.0 };
        }
        pool.hottest_k = engine.table.temperature_k(hottest);
        pool
    }
}

impl PassField {
    /// Temperature history of a cell of the section, the time counted from when
    /// the arc passed it, s.
    pub fn history(&self, cell: usize) -> Trace {
        let mut trace = Trace::default();
        for slice in self.slices.iter().rev() {
            let t = f64::from(slice.temperature_k[cell]);
            if t.is_finite() {
                trace.push(-slice.x_m / self.travel_m_s, t);
            }
        }
        trace.close();
        trace
    }

    /// Greatest temperature at a place of the section, K: between the metal cells
    /// around it; `None` where there is none. A mirrored section answers on both
    /// sides.
    pub fn peak_k_at(&self, y_m: f64, z_m: f64) -> Option<f64> {
        let y_m = if self.mirror { y_m.abs() } else { y_m };
        let (mut sum, mut weight) = (0.0, 0.0);
        for (k, wk) in self.z.around(z_m) {
            for (i, wi) in self.y.around(y_m) {
                let t = self.peak_k[k * self.y.cells() + i];
                if t.is_finite() {
                    sum += wk * wi * t;
                    weight += wk * wi;
                }
            }
        }
        (weight > 0.0).then(|| sum / weight)
    }

    /// The metal cell nearest to a place, if the place's own cell is metal.
    pub fn cell_at(&self, y_m: f64, z_m: f64) -> Option<usize> {
        let y_m = if self.mirror { y_m.abs() } else { y_m };
        let cell = self.z.cell_at(z_m) * self.y.cells() + self.y.cell_at(y_m);
        (self.fraction[cell] > 0.0).then_some(cell)
    }
}
