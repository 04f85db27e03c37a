//! A bare plate under a moving double ellipsoid: the problem anyone can write
//! down to check the solver, and the two reference problems.

use std::ops::ControlFlow;

use super::HeatError;
use super::axis::Axis;
use super::ellipsoid;
use super::engine::{ARRAYS, Engine, Losses};
use super::material::Metal;
use super::probe::Probe;
use super::slabs::{SPAN_MAX, Zone};
use super::state::State;
use super::trace::{Trace, crossing};
use crate::moving::MovingHeat;

/// A plate: x along the travel, y across, z down from the top face, the origin
/// at a top corner. All six faces lose heat as [`Losses`] say.
#[derive(Debug, Clone, PartialEq)]
pub struct PlateProblem {
    /// Length, m, 1 mm to 10 m.
    pub length_m: f64,
    /// Width, m, 1 mm to 10 m.
    pub width_m: f64,
    /// Thickness, m, 0.1 mm to 1 m.
    pub thickness_m: f64,
    /// The metal.
    pub metal: Metal,
    /// The arc; `None` for a plate that only cools.
    pub source: Option<MovingHeat>,
    /// Where the arc runs: from x to x at one y, m. It is lit at the start,
    /// travels at once and goes out at the end.
    pub path: ArcPath,
    /// What the faces lose.
    pub losses: Losses,
    /// Temperature everywhere before the arc, K.
    pub start_temperature_k: f64,
    /// Time followed after the arc is out, s.
    pub cool_for_s: f64,
    /// Isotherm read as the edge of fusion, K.
    pub fusion_k: f64,
    /// Where temperature is followed, m.
    pub probes: Vec<[f64; 3]>,
}

/// A straight run of the arc along x.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ArcPath {
    /// Where it is lit, m.
    pub from_x_m: f64,
    /// Where it goes out, m, beyond `from_x_m`.
    pub to_x_m: f64,
    /// Its place across the plate, m.
    pub y_m: f64,
}

/// How the plate is solved.
#[derive(Clone, Copy)]
pub struct PlateParams<'a> {
    /// Cell at the weld, m.
    pub cell_m: f64,
    /// Half width of the strip of such cells on each side of the arc, m.
    pub fine_half_width_m: f64,
    /// Travel of the arc per step, in cells (0.05 to 2).
    pub cells_per_step: f64,
    /// Longest step in cooling, s.
    pub step_max_s: f64,
    /// Whether slabs far from the arc may be thicker than a cell.
    pub graded: bool,
    /// Threads; the answer does not depend on it.
    pub threads: usize,
    /// Most cells allowed.
    pub cells_max: usize,
    /// Most steps allowed.
    pub steps_max: usize,
    /// Error of the energy balance at which the run is given up, share of the
    /// heat brought in.
    pub energy_error_max: f64,
    /// Called once per step with the share done; may stop the run.
    pub progress: Option<&'a (dyn Fn(f64) -> ControlFlow<()> + Sync)>,
}

impl PlateParams<'_> {
    /// Defaults for a cell size, m: a fine strip of three half widths of a usual
    /// arc, steps of 0.35 cells (P1: 0.1 s at 1 mm), 512 MiB.
    pub fn with_cell(cell_m: f64) -> Self {
        Self {
            cell_m,
            fine_half_width_m: 12e-3,
            cells_per_step: 0.35,
            step_max_s: 1.0,
            graded: true,
            threads: 1,
            cells_max: CELLS_MAX,
            steps_max: STEPS_MAX,
            energy_error_max: 1e-3,
            progress: None,
        }
    }
}

/// Most cells by default: seven doubles each in 512 MiB.
pub const CELLS_MAX: usize = (512 << 20) / (8 * ARRAYS);
/// Most steps by default (choice: minutes of work at the default cell bound).
pub const STEPS_MAX: usize = 200_000;

/// The answer.
#[derive(Debug, Clone, PartialEq)]
pub struct PlateSolution {
    /// One history per probe, in their order.
    pub probes: Vec<Trace>,
    /// Half width of the fused zone on the top face at mid-run, m; zero when
    /// nothing melted.
    pub half_width_m: f64,
    /// Its depth under the arc's line there, m.
    pub depth_m: f64,
}

/// How the answer was found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Info {
    /// Cells at the most at any time; a symmetric half counts its own cells only.
    pub cells: usize,
    /// Steps taken.
    pub steps: usize,
    /// Stages of all steps.
    pub stages: usize,
    /// Error of the energy balance at the end, share of the heat brought in.
    pub energy_error: f64,
    /// Memory of the arrays, bytes.
    pub bytes: usize,
    /// Whether only one half was solved.
    pub symmetric: bool,
}

/// Growth of cells outside the fine strip (heat.md's prototypes lost nothing at
/// 1.15 to 1.2).
const GROWTH: f64 = 1.2;
/// Widest cell across the plate, in fine cells.
const WIDEST: f64 = 10.0;
/// Growth of the step after the arc is out.
const STEP_GROWTH: f64 = 1.15;
/// Thin slabs this far ahead of and behind the arc, in lengths of the source.
const AHEAD: f64 = 2.5;
const BEHIND: f64 = 3.0;

/// Solves a plate.
///
/// # Errors
/// [`HeatError`] for a quantity out of range, a grid or run beyond the allowed
/// size, an energy balance that does not close, or a caller that stopped it.
///
/// # Examples
/// ```
/// use bendproof_heat::moving::MovingHeat;
/// use bendproof_heat::solve::{ArcPath, Losses, Metal, PlateParams, PlateProblem, solve_plate};
///
/// let problem = PlateProblem {
///     length_m: 0.06,
///     width_m: 0.05,
///     thickness_m: 0.01,
///     metal: Metal::Constant { conductivity_w_m_k: 30.0, volumetric_heat_j_m3_k: 5.0e6 },
///     source: Some(MovingHeat {
///         power_w: 1872.0,
///         travel_m_s: 3.5e-3,
///         half_width_m: 4e-3,
///         depth_m: 3e-3,
///         front_m: 4e-3,
///         rear_m: 8e-3,
///     }),
///     path: ArcPath { from_x_m: 0.015, to_x_m: 0.045, y_m: 0.025 },
///     losses: Losses::NONE,
///     start_temperature_k: 293.15,
///     cool_for_s: 5.0,
///     fusion_k: 1768.15,
///     probes: vec![[0.03, 0.031, 0.0]],
/// };
/// let (solution, info) = solve_plate(&problem, &PlateParams::with_cell(2e-3))?;
/// assert!(solution.probes[0].peak_k > 500.0);
/// assert!(info.energy_error < 1e-10);
/// # Ok::<(), bendproof_heat::solve::HeatError>(())
/// ```
pub fn solve_plate(
    problem: &PlateProblem,
    params: &PlateParams<'_>,
) -> Result<(PlateSolution, Info), HeatError> {
    problem.check(params)?;
    let mut run = Run::new(problem, params)?;
    run.weld()?;
    run.cool()?;
    run.finish()
}

impl PlateProblem {
    fn check(&self, params: &PlateParams<'_>) -> Result<(), HeatError> {
        HeatError::check("plate length", self.length_m, 1e-3, 10.0, "m")?;
        HeatError::check("plate width", self.width_m, 1e-3, 10.0, "m")?;
        HeatError::check("plate thickness", self.thickness_m, 1e-4, 1.0, "m")?;
        HeatError::check("start temperature", self.start_temperature_k, 213.15, 1700.0, "K")?;
        let least_s = if self.source.is_some() { 0.0 } else { 1e-6 };
        HeatError::check("cooling time", self.cool_for_s, least_s, 1e6, "s")?;
        let cell_max_m = 0.5 * self.thickness_m.min(self.width_m).min(self.length_m);
        HeatError::check("cell", params.cell_m, 1e-5, cell_max_m, "m")?;
        HeatError::check("cells per step", params.cells_per_step, 0.05, 2.0, "cells")?;
        HeatError::check("longest step", params.step_max_s, 1e-6, 3600.0, "s")?;
        if let Some(source) = &self.source {
            HeatError::check("power", source.power_w, 0.0, 1e6, "W")?;
            HeatError::check("travel", source.travel_m_s, 1e-5, 1.0, "m/s")?;
            let lengths = [
                ("half width of the source", source.half_width_m),
                ("depth of the source", source.depth_m),
                ("front of the source", source.front_m),
                ("rear of the source", source.rear_m),
            ];
            for (quantity, value) in lengths {
                // Narrower than a cell it is no source but a spike; without
                // depth it is a surface source, which the top cells hold.
                let least_m = if quantity.starts_with("depth") { 1e-6 } else { params.cell_m };
                HeatError::check(quantity, value, least_m, 1.0, "m")?;
            }
            HeatError::check("start of the run", self.path.from_x_m, 0.0, self.length_m, "m")?;
            HeatError::check("end of the run", self.path.to_x_m, self.path.from_x_m, self.length_m, "m")?;
            HeatError::check("place of the arc across", self.path.y_m, 0.0, self.width_m, "m")?;
        }
        for [x, y, z] in &self.probes {
            HeatError::check("probe, along", *x, 0.0, self.length_m, "m")?;
            HeatError::check("probe, across", *y, 0.0, self.width_m, "m")?;
            HeatError::check("probe, depth", *z, 0.0, self.thickness_m, "m")?;
        }
        Ok(())
    }

    fn weld_s(&self) -> f64 {
        self.source.map_or(0.0, |s| (self.path.to_x_m - self.path.from_x_m) / s.travel_m_s)
    }

    /// Whether the arc runs along the middle, so that half the plate is enough.
    fn symmetric(&self) -> bool {
        (self.path.y_m - 0.5 * self.width_m).abs() < 1e-9 * self.width_m
    }
}

struct Run<'a> {
    problem: &'a PlateProblem,
    params: &'a PlateParams<'a>,
    engine: Engine,
    probes: Vec<Probe>,
    traces: Vec<Trace>,
    /// Heat shares of the section's cells over metal area, 1/m².
    across: Vec<f64>,
    symmetric: bool,
    time_s: f64,
    cells_most: usize,
}

impl<'a> Run<'a> {
    fn new(problem: &'a PlateProblem, params: &'a PlateParams<'a>) -> Result<Self, HeatError> {
        let symmetric = problem.symmetric();
        let (y, z) = section_axes(problem, params, symmetric)?;
        let widest = if params.graded { SPAN_MAX } else { 1 };
        let blocks = (problem.length_m / (params.cell_m * widest as f64) - 1e-6).ceil().max(1.0);
        let fine_m = problem.length_m / (blocks * widest as f64);
        let slabs_max = blocks as usize * widest as usize;
        let cells = y.cells() * z.cells() * slabs_max;
        if cells > params.cells_max {
            return Err(HeatError::TooManyCells {
                cells,
                bytes: 8 * ARRAYS * cells,
                allowed: params.cells_max,
            });
        }
        let [y0, y1] = [y.edges_m()[0], y.edges_m()[y.cells()]];
        let ring = vec![[y0, 0.0], [y1, 0.0], [y1, problem.thickness_m], [y0, problem.thickness_m]];
        let state = State::new(&[ring], &y, &z, symmetric);
        let across = problem.source.map_or(Vec::new(), |s| {
            let shares = ellipsoid::across(&s, 0.0, &y, &z);
            shares.iter().zip(&state.per_area).map(|(share, per_area)| s.power_w * share * per_area).collect()
        });
        let axes = (y, z);
        let mut engine = Engine::new(
            problem.metal,
            &problem.losses,
            axes,
            vec![state],
            fine_m,
            slabs_max,
            params.threads,
        )?;
        engine.ends_lose = true;
        for block in 0..blocks as i64 {
            engine.push(block * widest, widest, 0, problem.start_temperature_k)?;
        }
        engine.link();
        // The section is measured from the arc; a half is read on its own side.
        let inward = |y: f64| if symmetric { (y - problem.path.y_m).abs() } else { y - problem.path.y_m };
        let probes =
            problem.probes.iter().map(|[x, y, z]| Probe::new(&engine, [*x, inward(*y), *z])).collect();
        let traces = vec![Trace::default(); problem.probes.len()];
        Ok(Self { problem, params, engine, probes, traces, across, symmetric, time_s: 0.0, cells_most: 0 })
    }

    fn zone(&self, since_out_s: Option<f64>) -> Zone {
        let fine_m = self.engine.fine_m;
        let source = self.problem.source.unwrap_or(MovingHeat::gaussian(0.0, 1.0, fine_m));
        let travelled = self.time_s.min(self.problem.weld_s()) * source.travel_m_s;
        // Heat that has spread over many cells needs no thin ones any more.
        let spread = since_out_s.map_or(0.0, |s| (SPREAD_M2_S * s).sqrt() / (CELLS_PER_SPREAD * fine_m));
        let span_least = if self.params.graded { (spread.max(1.0).log2().floor() as u32).min(3) } else { 0 };
        let wide = if self.params.graded { 1.0 } else { f64::INFINITY };
        Zone {
            arc: (self.problem.path.from_x_m + travelled) / fine_m,
            ahead: wide * AHEAD * source.front_m / fine_m,
            behind: wide * BEHIND * source.rear_m / fine_m,
            span_least: 1 << span_least,
        }
    }

    fn weld(&mut self) -> Result<(), HeatError> {
        let Some(source) = self.problem.source else { return Ok(()) };
        let weld_s = self.problem.weld_s();
        let step_s = self.params.cells_per_step * self.engine.fine_m / source.travel_m_s;
        let count = (weld_s / step_s).ceil();
        self.limit_steps(count)?;
        for n in 0..count as usize {
            let until_s = weld_s * (n + 1) as f64 / count;
            self.engine.adapt(&self.zone(None))?;
            self.heat(&source, until_s);
            self.advance(until_s)?;
        }
        self.engine.heated.iter_mut().for_each(|h| *h = false);
        Ok(())
    }

    fn limit_steps(&self, steps: f64) -> Result<(), HeatError> {
        if steps <= self.params.steps_max as f64 {
            return Ok(());
        }
        Err(HeatError::TooManySteps { steps: steps as usize, allowed: self.params.steps_max })
    }

    /// Spreads the arc over the cells, averaged over the step by three Gauss points.
    fn heat(&mut self, source: &MovingHeat, until_s: f64) {
        let (half_s, middle_s) = (0.5 * (until_s - self.time_s), 0.5 * (until_s + self.time_s));
        let engine = &mut self.engine;
        let cells = engine.cells_per_slab();
        for slab in &engine.row {
            let edge = |fine: i64| fine as f64 * engine.fine_m - self.problem.path.from_x_m;
            let share: f64 = GAUSS_3
                .iter()
                .map(|(node, weight)| {
                    let arc = source.travel_m_s * (middle_s + node * half_s);
                    weight * ellipsoid::along(source, edge(slab.start) - arc, edge(slab.end()) - arc)
                })
                .sum();
            engine.heated[slab.slot] = share > SHARE_LEAST;
            if share > SHARE_LEAST {
                let per_m = share / (slab.span as f64 * engine.fine_m);
                let heat = &mut engine.heat[slab.slot * cells..(slab.slot + 1) * cells];
                heat.iter_mut().zip(&self.across).for_each(|(q, a)| *q = per_m * a);
            }
        }
    }

    fn cool(&mut self) -> Result<(), HeatError> {
        let weld_s = self.problem.weld_s();
        let end_s = weld_s + self.problem.cool_for_s;
        let first_s = self.problem.source.map_or(COOL_FIRST_CELLS * self.engine.explicit_step_s(), |s| {
            self.params.cells_per_step * self.engine.fine_m / s.travel_m_s
        });
        let mut step_s = first_s.min(self.params.step_max_s);
        while self.time_s < end_s - 1e-9 * end_s {
            self.limit_steps(self.engine.steps as f64)?;
            self.engine.adapt(&self.zone(Some(self.time_s - weld_s)))?;
            self.advance((self.time_s + step_s).min(end_s))?;
            step_s = (step_s * STEP_GROWTH).min(self.params.step_max_s);
        }
        Ok(())
    }

    fn advance(&mut self, until_s: f64) -> Result<(), HeatError> {
        if self.time_s == 0.0 {
            self.record();
        }
        self.engine.step(until_s - self.time_s);
        self.time_s = until_s;
        self.record();
        self.cells_most = self.cells_most.max(self.engine.row.len() * self.engine.cells_per_slab());
        self.engine.check_energy(self.params.energy_error_max, until_s)?;
        let done = until_s / (self.problem.weld_s() + self.problem.cool_for_s);
        match self.params.progress.map(|report| report(done)) {
            Some(ControlFlow::Break(())) => Err(HeatError::Cancelled(done)),
            _ => Ok(()),
        }
    }

    fn record(&mut self) {
        for (probe, trace) in self.probes.iter().zip(&mut self.traces) {
            trace.push(self.time_s, probe.temperature_k(&self.engine));
        }
    }

    fn finish(mut self) -> Result<(PlateSolution, Info), HeatError> {
        self.traces.iter_mut().for_each(Trace::close);
        let middle_m = 0.5 * (self.problem.path.from_x_m + self.problem.path.to_x_m);
        let (y_end, z_end) = (self.engine.y.edges_m(), self.engine.z.edges_m());
        let peak = |y: f64, z: f64| Probe::new(&self.engine, [middle_m, y, z]).peak_k(&self.engine);
        let fusion_k = self.problem.fusion_k;
        let half_width_m = crossing(y_end[y_end.len() - 1], self.engine.fine_m, |y| peak(y, 0.0) - fusion_k);
        let depth_m = crossing(z_end[z_end.len() - 1], self.engine.fine_m, |z| peak(0.0, z) - fusion_k);
        let info = Info {
            cells: self.cells_most,
            steps: self.engine.steps,
            stages: self.engine.stages,
            energy_error: self.engine.energy_error(),
            bytes: 8 * ARRAYS * self.engine.enthalpy.len(),
            symmetric: self.symmetric,
        };
        Ok((PlateSolution { probes: self.traces, half_width_m, depth_m }, info))
    }
}

/// Nodes and weights of the three-point Gauss rule on (-1, 1), weights of sum 1.
const GAUSS_3: [(f64, f64); 3] =
    [(-0.774_596_669_241_483_4, 5.0 / 18.0), (0.0, 8.0 / 18.0), (0.774_596_669_241_483_4, 5.0 / 18.0)];
/// A slab with less of the heat than this gets none.
const SHARE_LEAST: f64 = 1e-14;
/// Diffusivity by which thin slabs are given up after the arc, m²/s (hot steel,
/// 30 / 5e6).
const SPREAD_M2_S: f64 = 6e-6;
/// Cells over which heat must have spread before slabs may double.
const CELLS_PER_SPREAD: f64 = 3.0;
/// First step of a plate that only cools, in longest explicit steps.
const COOL_FIRST_CELLS: f64 = 5.0;

fn section_axes(
    problem: &PlateProblem,
    params: &PlateParams<'_>,
    symmetric: bool,
) -> Result<(Axis, Axis), HeatError> {
    let (left_m, right_m) = (-problem.path.y_m, problem.width_m - problem.path.y_m);
    let from_m = if symmetric { 0.0 } else { left_m };
    let fine_m = params.fine_half_width_m;
    let h = params.cell_m;
    let y = Axis::graded((from_m, right_m), (-fine_m, fine_m), h, GROWTH, WIDEST * h)?;
    // Whole cells through the thickness.
    let z = Axis::even(0.0, problem.thickness_m, h)?;
    Ok((y, z))
}
