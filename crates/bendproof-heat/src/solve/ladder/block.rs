//! A block of cells under the engine alone, filled and read cell by cell: what
//! the inner rungs stand on.

use crate::solve::HeatError;
use crate::solve::axis::Axis;
use crate::solve::engine::{Engine, Losses};
use crate::solve::material::Metal;
use crate::solve::region::Ring;
use crate::solve::state::State;

/// The metal of the closed-form tables: k 41, rho 7800, c 600.
pub(super) const REFERENCE: Metal =
    Metal::Constant { conductivity_w_m_k: 41.0, volumetric_heat_j_m3_k: 7800.0 * 600.0 };
/// Its diffusivity, m²/s.
pub(super) const REFERENCE_M2_S: f64 = 41.0 / (7800.0 * 600.0);

/// Nodes and weights of the three-point Gauss rule on (-1/2, 1/2), weights of
/// sum 1; exact to the fifth power.
pub(super) const GAUSS: [(f64, f64); 3] =
    [(-0.387_298_334_620_741_7, 5.0 / 18.0), (0.0, 8.0 / 18.0), (0.387_298_334_620_741_7, 5.0 / 18.0)];

/// One cell: its corners, m, by x, y, z.
#[derive(Debug, Clone, Copy)]
pub(super) struct Cell {
    pub low: [f64; 3],
    pub high: [f64; 3],
    at: usize,
}

impl Cell {
    pub fn size(&self) -> [f64; 3] {
        std::array::from_fn(|d| self.high[d] - self.low[d])
    }

    pub fn centre(&self) -> [f64; 3] {
        std::array::from_fn(|d| 0.5 * (self.high[d] + self.low[d]))
    }

    pub fn volume(&self) -> f64 {
        self.size().iter().product()
    }

    /// Mean of a function over the cell.
    pub fn mean(&self, f: impl Fn([f64; 3]) -> f64) -> f64 {
        let (centre, size) = (self.centre(), self.size());
        let mut sum = 0.0;
        for (x, wx) in GAUSS {
            for (y, wy) in GAUSS {
                for (z, wz) in GAUSS {
                    let node = [x, y, z];
                    sum += wx * wy * wz * f(std::array::from_fn(|d| centre[d] + node[d] * size[d]));
                }
            }
        }
        sum
    }
}

pub(super) struct Block {
    pub engine: Engine,
}

impl Block {
    /// Slabs of these spans, all of one section, at 20 C.
    pub fn new(
        metal: Metal,
        losses: &Losses,
        (fine_m, spans): (f64, &[i64]),
        y: Axis,
        z: Axis,
    ) -> Result<Self, HeatError> {
        let (y0, y1) = (y.edges_m()[0], y.edges_m()[y.cells()]);
        let (z0, z1) = (z.edges_m()[0], z.edges_m()[z.cells()]);
        let ring = vec![[y0, z0], [y1, z0], [y1, z1], [y0, z1]];
        Self::cut(metal, losses, (fine_m, spans), (y, z), &[&[ring]], false)
    }

    /// The same with sections of any shape, the first of them everywhere.
    pub fn cut(
        metal: Metal,
        losses: &Losses,
        (fine_m, spans): (f64, &[i64]),
        (y, z): (Axis, Axis),
        makes: &[&[Ring]],
        mirror: bool,
    ) -> Result<Self, HeatError> {
        const START_K: f64 = 293.15;
        let states = makes.iter().map(|rings| State::new(rings, &y, &z, mirror)).collect();
        let slabs_max = spans.iter().sum::<i64>() as usize;
        let mut engine = Engine::new(metal, losses, (y, z), states, fine_m, slabs_max, 1)?;
        let mut start = 0;
        for span in spans {
            engine.push(start, *span, 0, START_K)?;
            start += span;
        }
        engine.link();
        Ok(Self { engine })
    }

    /// Every cell, empty ones too, slab by slab along x.
    pub fn cells(&self) -> Vec<Cell> {
        let (y, z) = (self.engine.y.edges_m(), self.engine.z.edges_m());
        let per_slab = self.engine.cells_per_slab();
        let mut cells = Vec::new();
        for slab in &self.engine.row {
            let x = [slab.start as f64 * self.engine.fine_m, slab.end() as f64 * self.engine.fine_m];
            for k in 0..self.engine.z.cells() {
                for i in 0..self.engine.y.cells() {
                    let at = slab.slot * per_slab + k * self.engine.y.cells() + i;
                    cells.push(Cell { low: [x[0], y[i], z[k]], high: [x[1], y[i + 1], z[k + 1]], at });
                }
            }
        }
        cells
    }

    /// Sets the temperature of every cell, K; the balance starts again.
    pub fn set(&mut self, temperature_k: impl Fn(&Cell) -> f64) {
        let metal = self.engine.metal;
        self.set_enthalpy(|cell| metal.enthalpy_j_m3(temperature_k(cell)));
    }

    /// Sets the enthalpy of every cell, J/m³; the balance starts again.
    pub fn set_enthalpy(&mut self, enthalpy_j_m3: impl Fn(&Cell) -> f64) {
        for cell in self.cells() {
            self.engine.enthalpy[cell.at] = enthalpy_j_m3(&cell);
        }
        self.engine.peak.copy_from_slice(&self.engine.enthalpy);
        self.engine.tally = Default::default();
        self.engine.tally.carried_j = self.engine.row_content_j();
    }

    /// Sets every cell that holds metal to one temperature, K; the balance
    /// starts again.
    pub fn set_metal(&mut self, temperature_k: f64) {
        let enthalpy_j_m3 = self.engine.metal.enthalpy_j_m3(temperature_k);
        let metal: Vec<bool> = self
            .engine
            .row
            .iter()
            .flat_map(|slab| self.engine.states[slab.state].fraction.iter().map(|f| *f > 0.0))
            .collect();
        let cells = self.cells();
        let filled: Vec<usize> = cells.iter().zip(&metal).filter(|(_, m)| **m).map(|(c, _)| c.at).collect();
        self.set_enthalpy(|cell| if filled.contains(&cell.at) { enthalpy_j_m3 } else { 0.0 });
    }

    /// Heats every cell from now on, W/m³.
    pub fn heat(&mut self, heat_w_m3: impl Fn(&Cell) -> f64) {
        for cell in self.cells() {
            self.engine.heat[cell.at] = heat_w_m3(&cell);
        }
        for i in 0..self.engine.row.len() {
            let slot = self.engine.row[i].slot;
            self.engine.heated[slot] = true;
        }
    }

    pub fn enthalpy_j_m3(&self, cell: &Cell) -> f64 {
        self.engine.enthalpy[cell.at]
    }

    pub fn temperature_k(&self, cell: &Cell) -> f64 {
        self.engine.table.temperature_k(self.enthalpy_j_m3(cell))
    }

    /// Steps of equal length, s.
    pub fn steps(&mut self, count: usize, step_s: f64) {
        (0..count).for_each(|_| self.engine.step(step_s));
    }

    /// Greatest distance of the cells from a field, K.
    pub fn worst_k(&self, temperature_k: impl Fn(&Cell) -> f64) -> f64 {
        let off = |cell: &Cell| (self.temperature_k(cell) - temperature_k(cell)).abs();
        self.cells().iter().map(off).fold(0.0, f64::max)
    }

    /// Root of the mean square distance of the cells from a field, by volume, K.
    pub fn rms_k(&self, temperature_k: impl Fn(&Cell) -> f64) -> f64 {
        let (mut sum, mut volume) = (0.0, 0.0);
        for cell in self.cells() {
            sum += cell.volume() * (self.temperature_k(&cell) - temperature_k(&cell)).powi(2);
            volume += cell.volume();
        }
        (sum / volume).sqrt()
    }
}

/// Cells that grow smoothly from the first to the last, `ratio` times as wide;
/// twice the count halves every cell.
pub(super) fn stretched(length_m: f64, count: usize, ratio: f64) -> Result<Axis, HeatError> {
    let edge = |i: usize| {
        let s = i as f64 / count as f64;
        length_m * (ratio.powf(s) - 1.0) / (ratio - 1.0)
    };
    Axis::new((0..=count).map(edge).collect())
}

/// `count` even cells.
pub(super) fn even(length_m: f64, count: usize) -> Result<Axis, HeatError> {
    Axis::new((0..=count).map(|i| length_m * i as f64 / count as f64).collect())
}
