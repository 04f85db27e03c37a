//! One pass at its quasi-steady state, in a window that moves with the arc.
//!
//! The window holds the plate around the arc; slabs enter ahead at the plate's
//! temperature and leave behind. It is the same scheme in the same fixed cells
//! as the whole plate, so nothing is smeared by moving. A coarse run brings the
//! field near its steady state, a short fine one finishes it.

use std::ops::ControlFlow;

use super::HeatError;
use super::arc::Arc;
use super::axis::Axis;
use super::engine::{ARRAYS, Engine, Losses};
use super::field::{PassField, Pool, Slice};
use super::material::Metal;
use super::plate::{CELLS_MAX, Info};
use super::region::Ring;
use super::slabs::SPAN_MAX;
use super::state::State;
use super::torch::{Ground, Manner, Torch, rising};

/// A section with a bead to lay on it; y across, z down, any origin. SI units.
#[derive(Debug, Clone, PartialEq)]
pub struct PassProblem {
    /// Metal before the bead.
    pub base: Vec<Ring>,
    /// The bead.
    pub bead: Vec<Ring>,
    /// Cells across.
    pub across: Lattice,
    /// Cells down.
    pub down: Lattice,
    /// Whether the lowest y is a plane of symmetry; the rings then are one half.
    pub mirror: bool,
    /// The metal of plate and bead.
    pub metal: Metal,
    /// Isotherm read as the edge of fusion, K.
    pub fusion_k: f64,
    /// What free faces lose.
    pub losses: Losses,
    /// Temperature before the bead, K.
    pub start_temperature_k: f64,
    /// The arc.
    pub arc: Arc,
}

/// How one direction of a section is divided.
#[derive(Debug, Clone, PartialEq)]
pub struct Lattice {
    /// Ends, m.
    pub ends_m: (f64, f64),
    /// Places on which an edge of a cell must lie; cells are fine between the
    /// first and the last, m.
    pub marks_m: Vec<f64>,
    /// Growth of cells outside the marks, 1 or more.
    pub growth: f64,
    /// Widest cell, m.
    pub cell_max_m: f64,
}

impl Lattice {
    pub(crate) fn axis(&self, cell_m: f64) -> Result<Axis, HeatError> {
        HeatError::check("growth of the cells", self.growth, 1.0, 3.0, "")?;
        Axis::fitted(self.ends_m, &self.marks_m, cell_m, self.growth, self.cell_max_m.max(cell_m))
    }
}

/// How a pass is solved.
#[derive(Clone, Copy)]
pub struct PassParams<'a> {
    /// Cell at the weld, m.
    pub cell_m: f64,
    /// Length of plate kept behind the arc, m.
    pub behind_m: f64,
    /// Length kept ahead, m.
    pub ahead_m: f64,
    /// Slabs are one cell thick this far behind the arc, m.
    pub thin_behind_m: f64,
    /// Travel from cold, m; with a coarse start, on cells twice as large.
    pub travel_m: f64,
    /// Travel of the fine run after a coarse start, m; `None` runs fine from cold.
    pub finish_m: Option<f64>,
    /// Travel per step, in cells.
    pub cells_per_step: f64,
    /// Longest step, s: heat spreads even where the arc hardly moves.
    pub step_max_s: f64,
    /// Threads; the answer does not depend on it.
    pub threads: usize,
    /// Most cells allowed.
    pub cells_max: usize,
    /// Error of the energy balance at which the run is given up, share of the
    /// heat brought in.
    pub energy_error_max: f64,
    /// Called once per step with the share done; may stop the run.
    pub progress: Option<&'a (dyn Fn(f64) -> ControlFlow<()> + Sync)>,
}

impl PassParams<'_> {
    /// Half a millimetre at the weld, 60 mm of plate behind the arc, 70 mm of
    /// travel on coarse cells, so that the wake is that of a steady arc, and 12
    /// on fine ones.
    pub const STANDARD: Self = Self {
        cell_m: 0.5e-3,
        behind_m: 60e-3,
        ahead_m: 16e-3,
        thin_behind_m: 14e-3,
        travel_m: 70e-3,
        finish_m: Some(12e-3),
        cells_per_step: 0.75,
        step_max_s: 0.1,
        threads: 1,
        cells_max: CELLS_MAX,
        energy_error_max: 1e-3,
        progress: None,
    };
}

/// Solves one pass.
///
/// # Errors
/// [`HeatError`] for a quantity out of range, a section without metal under the
/// arc, a grid beyond the allowed size, an energy balance that does not close,
/// or a caller that stopped it.
pub fn solve_pass(problem: &PassProblem, params: &PassParams<'_>) -> Result<(PassField, Info), HeatError> {
    problem.check(params)?;
    let share = if params.finish_m.is_some() { 0.5 } else { 1.0 };
    let Some(finish_m) = params.finish_m else {
        let mut run = Run::new(problem, params, params.cell_m)?;
        run.fill_cold()?;
        run.travel(params.travel_m, (0.0, share))?;
        return run.finish();
    };
    let mut coarse = Run::new(problem, params, 2.0 * params.cell_m)?;
    coarse.fill_cold()?;
    coarse.travel(params.travel_m, (0.0, share))?;
    let mut fine = Run::new(problem, params, params.cell_m)?;
    fine.fill_from(&coarse)?;
    fine.travel(finish_m, (share, 1.0))?;
    fine.finish()
}

impl PassProblem {
    fn check(&self, params: &PassParams<'_>) -> Result<(), HeatError> {
        HeatError::check("start temperature", self.start_temperature_k, 213.15, 1700.0, "K")?;
        HeatError::check("cell", params.cell_m, 5e-5, 5e-3, "m")?;
        HeatError::check("cells per step", params.cells_per_step, 0.05, 2.0, "cells")?;
        HeatError::check("travel of the run", params.travel_m, 1e-3, 1.0, "m")?;
        HeatError::check("window behind the arc", params.behind_m, 5e-3, 1.0, "m")?;
        HeatError::check("window ahead of the arc", params.ahead_m, 2e-3, 1.0, "m")?;
        self.arc.check()?;
        let finite = |rings: &[Ring]| rings.iter().flatten().flatten().all(|c| c.is_finite());
        if !finite(&self.base) || !finite(&self.bead) {
            return Err(HeatError::Geometry("a corner of the section is not a number".to_owned()));
        }
        Ok(())
    }
}

struct Run<'a> {
    problem: &'a PassProblem,
    params: &'a PassParams<'a>,
    engine: Engine,
    torch: Torch,
    /// Place of the arc, m from where the run from cold began.
    arc_m: f64,
    /// Place of the arc when this run began.
    began_m: f64,
    cells_most: usize,
}

impl<'a> Run<'a> {
    fn new(problem: &'a PassProblem, params: &'a PassParams<'a>, cell_m: f64) -> Result<Self, HeatError> {
        let (y, z) = (problem.across.axis(cell_m)?, problem.down.axis(cell_m)?);
        let span = SPAN_MAX as f64 * cell_m;
        let slabs_max = ((params.behind_m + params.ahead_m + 4.0 * span) / cell_m).ceil() as usize;
        let cells = y.cells() * z.cells() * slabs_max;
        if cells > params.cells_max {
            return Err(HeatError::TooManyCells {
                cells,
                bytes: 8 * ARRAYS * cells,
                allowed: params.cells_max,
            });
        }
        let mut states = vec![State::new(&problem.base, &y, &z, problem.mirror)];
        if states[0].fraction.iter().all(|share| *share == 0.0) {
            return Err(HeatError::Geometry("no metal of the joint lies on the grid".to_owned()));
        }
        states.extend(rising(&problem.base, &problem.bead, &y, &z, problem.mirror));
        let engine =
            Engine::new(problem.metal, &problem.losses, (y, z), states, cell_m, slabs_max, params.threads)?;
        let ground = Ground { base: 0, first: Some(1) };
        let torch = Torch::new(&engine, problem.arc, &[ground], Manner::steady(problem.mirror))?;
        Ok(Self { problem, params, engine, torch, arc_m: 0.0, began_m: 0.0, cells_most: 0 })
    }

    fn block_m(&self) -> f64 {
        SPAN_MAX as f64 * self.engine.fine_m
    }

    /// Cold plate from a block behind the arc to the end of the window.
    fn fill_cold(&mut self) -> Result<(), HeatError> {
        self.engine.push(-SPAN_MAX, SPAN_MAX, 0, self.problem.start_temperature_k)?;
        self.follow()
    }

    /// Adds plate ahead and drops it behind.
    fn follow(&mut self) -> Result<(), HeatError> {
        let fine_m = self.engine.fine_m;
        loop {
            let end = self.engine.row.last().map_or(0, |slab| slab.end());
            if end as f64 * fine_m >= self.arc_m + self.params.ahead_m {
                break;
            }
            self.engine.push(end, SPAN_MAX, 0, self.problem.start_temperature_k)?;
        }
        while self.engine.row[0].end() as f64 * fine_m < self.arc_m - self.params.behind_m {
            self.engine.pop_first();
        }
        Ok(())
    }

    /// The field of a coarser run at its end, on these cells.
    fn fill_from(&mut self, coarse: &Run<'_>) -> Result<(), HeatError> {
        self.arc_m = coarse.arc_m;
        self.began_m = coarse.arc_m;
        let block_m = self.block_m();
        let first = coarse.engine.row[0].start as f64 * coarse.engine.fine_m;
        let last = coarse.engine.row[coarse.engine.row.len() - 1].end() as f64 * coarse.engine.fine_m;
        let mut block = (first / block_m).round() as i64;
        while (block + 1) as f64 * block_m <= last + 1e-9 {
            self.engine.push(block * SPAN_MAX, SPAN_MAX, 0, self.problem.start_temperature_k)?;
            block += 1;
        }
        self.engine.adapt(&self.torch.zone(self.arc_m, self.engine.fine_m, self.params.thin_behind_m))?;
        self.torch.grow(&mut self.engine, self.arc_m, EVERYWHERE);
        self.engine.take_from(&coarse.engine);
        Ok(())
    }

    fn travel(&mut self, distance_m: f64, (from, to): (f64, f64)) -> Result<(), HeatError> {
        let travel_m_s = self.torch.arc.travel_m_s;
        let dt_s = (self.params.cells_per_step * self.engine.fine_m / travel_m_s).min(self.params.step_max_s);
        let step_m = dt_s * travel_m_s;
        let count = (distance_m / step_m).ceil() as usize;
        for n in 0..count {
            self.follow()?;
            let middle_m = self.arc_m + 0.5 * step_m;
            let zone = self.torch.zone(middle_m, self.engine.fine_m, self.params.thin_behind_m);
            self.engine.adapt(&zone)?;
            self.torch.grow(&mut self.engine, middle_m, EVERYWHERE);
            self.torch.heat(&mut self.engine, middle_m, middle_m / travel_m_s);
            self.engine.step(dt_s);
            self.arc_m += step_m;
            self.cells_most = self.cells_most.max(self.engine.row.len() * self.engine.cells_per_slab());
            if n % CHECK_EVERY == 0 || n + 1 == count {
                self.engine.check_energy(self.params.energy_error_max, self.arc_m / travel_m_s)?;
            }
            let done = from + (to - from) * (n + 1) as f64 / count as f64;
            if let Some(ControlFlow::Break(())) = self.params.progress.map(|report| report(done)) {
                return Err(HeatError::Cancelled(done));
            }
        }
        Ok(())
    }

    fn finish(self) -> Result<(PassField, Info), HeatError> {
        let engine = &self.engine;
        let full = engine.states.len() - 1;
        // What lies near the place where the arc was lit on bare plate is no
        // wake of a steady arc: cooling there is faster, and no history reads it.
        let steady = engine.row.iter().filter(|slab| slab.start as f64 * engine.fine_m >= LIT_M);
        let slices: Vec<Slice> = steady.map(|slab| Slice::of(engine, slab, self.arc_m)).collect();
        // Slabs that were well ahead of the arc when this run began have seen
        // all of it; the others hold traces of the start.
        let settled_m = self.began_m + SETTLED_SIGMA * self.torch.arc.sigma_m;
        let cells = engine.cells_per_slab();
        let mut peak_j_m3 = vec![f64::NEG_INFINITY; cells];
        for slab in engine.row.iter().filter(|slab| slab.state == full) {
            let own = slab.slot * cells;
            let settled = slab.start as f64 * engine.fine_m >= settled_m;
            for (c, peak) in peak_j_m3.iter_mut().enumerate() {
                let seen = if settled { engine.peak[own + c] } else { engine.enthalpy[own + c] };
                *peak = peak.max(seen);
            }
        }
        let metal = |c: usize| engine.states[full].fraction[c] > 0.0;
        let temperature = |h: f64| engine.table.temperature_k(h);
        let field = PassField {
            peak_k: peak_j_m3
                .iter()
                .enumerate()
                .map(|(c, h)| if metal(c) { temperature(*h) } else { f64::NAN })
                .collect(),
            base_fraction: engine.states[0].fraction.clone(),
            fraction: engine.states[full].fraction.clone(),
            pool: Pool::of(engine, self.problem.fusion_k, self.problem.mirror),
            slices,
            mirror: self.problem.mirror,
            travel_m_s: self.torch.arc.travel_m_s,
            y: engine.y.clone(),
            z: engine.z.clone(),
        };
        let info = Info {
            cells: self.cells_most,
            steps: engine.steps,
            stages: engine.stages,
            energy_error: engine.energy_error(),
            bytes: 8 * ARRAYS * engine.enthalpy.len(),
            symmetric: self.problem.mirror,
        };
        Ok((field, info))
    }
}

/// Steps between two looks at the energy balance.
const CHECK_EVERY: usize = 8;
/// A window has no start and no end of the bead.
const EVERYWHERE: (f64, f64) = (f64::NEG_INFINITY, f64::INFINITY);
/// Length from the place where the arc was lit that no history reads, m (the
/// slow cooling of a plate remembers its start over about this length; found
/// by lengthening the travel, held by a test).
const LIT_M: f64 = 15e-3;
/// How far ahead of the arc a slab must have been to have seen the whole of it.
const SETTLED_SIGMA: f64 = 2.0;
