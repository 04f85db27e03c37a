//! A coupon on its way: the grids it is on, bead by bead and pause by pause.

use std::ops::ControlFlow;

use super::HeatError;
use super::axis::Axis;
use super::coupon::{BeadField, Cooling, CouponField, CouponParams, CouponProblem, between};
use super::coupon_plan::{
    NO_METAL_AT_THE_MEASUREMENT, STEP_GROWTH, bytes, check_size, check_steps, coarse, first_makes,
    interpass_at, push_even, slabs_most, weld_step_s,
};
use super::engine::{Engine, Tally};
use super::field::Pool;
use super::merge::{Merge, Width};
use super::plate::Info;
use super::region::{Ring, reach};
use super::slabs::{SPAN_MAX, Zone};
use super::spot;
use super::state::State;
use super::torch::{Ground, Manner, Torch, rising};
use super::trace::Trace;

/// A weave is followed when a step is below this share of its period (choice).
const STEP_PER_WEAVE: f64 = 0.125;
/// Diffusivity by which cells are merged after the arc, m²/s (derived: hot steel,
/// 30 / 5e6).
const SPREAD_M2_S: f64 = 6e-6;
/// Cells over which heat must have spread before they may double (choice; what
/// it costs stands at [`CouponParams::STANDARD`]).
const CELLS_PER_SPREAD: f64 = 3.0;
/// Share of the progress that a pause counts for, the bead before it the rest
/// (measured: pauses cost less, but must be seen to move).
const PAUSE_SHARE: f64 = 0.15;

/// A grid with the field on it.
struct Stage {
    engine: Engine,
    merge: Merge,
    /// Which make of the run each make of the engine is.
    makes: Vec<usize>,
}

pub(crate) struct Run<'a> {
    problem: &'a CouponProblem,
    params: &'a CouponParams<'a>,
    y: Axis,
    z: Axis,
    fine_m: f64,
    slabs_max: usize,
    /// Every make of the section on the finest cells, and its rings where beads
    /// may be laid on it.
    makes: Vec<State>,
    rings: Vec<Vec<Ring>>,
    stage: Stage,
    time_s: f64,
    interpass_at: [f64; 3],
    interpass: Trace,
    probes: Vec<Trace>,
    /// Greatest enthalpy at the station since this bead began, J/m³.
    peak: Vec<f64>,
    /// One section of the finest cells, to work in.
    section: Vec<f64>,
    beads: Vec<BeadField>,
    base_make: usize,
    cells_most: usize,
    steps: usize,
    stages: usize,
    bytes: usize,
}

impl<'a> Run<'a> {
    pub fn new(problem: &'a CouponProblem, params: &'a CouponParams<'a>) -> Result<Self, HeatError> {
        let (y, z) = (problem.across.axis(params.cell_m)?, problem.down.axis(params.cell_m)?);
        let blocks = (problem.length_m / (params.along_m * SPAN_MAX as f64) - 1e-6).ceil().max(1.0);
        let fine_m = problem.length_m / (blocks * SPAN_MAX as f64);
        let slabs_max = slabs_most(problem, params, fine_m);
        let cells = y.cells() * z.cells();
        let samples = check_steps(problem, params)?;
        let bytes = bytes(problem, cells, slabs_max, samples);
        check_size(params, bytes)?;
        let (makes, rings, of_cell) =
            first_makes(problem, (&y, &z), blocks as usize * SPAN_MAX as usize, fine_m);
        if makes[0].fraction.iter().all(|share| *share == 0.0) {
            return Err(HeatError::Geometry("no metal of the coupon lies on the grid".to_owned()));
        }
        let merge = Merge::new((&y, &z), coarse(params, params.doublings))?;
        let used: Vec<usize> = (0..makes.len()).collect();
        let mut stage = new_stage(problem, params, (&y, &z, &makes), merge, used, fine_m, slabs_max)?;
        for block in 0..blocks as i64 {
            push_even(&mut stage.engine, block * SPAN_MAX, SPAN_MAX, &of_cell, problem.start_temperature_k)?;
        }
        stage.engine.link();
        let trace = || {
            let all = || Vec::with_capacity(samples);
            Trace { time_s: all(), temperature_k: all(), ..Trace::default() }
        };
        let station = ((problem.station_m() / fine_m) as usize).min(of_cell.len() - 1);
        let base_make = of_cell[station];
        let mut run = Self {
            interpass_at: interpass_at(problem, &makes[0], &y, &z)?,
            probes: problem.probes.iter().map(|_| trace()).collect(),
            interpass: trace(),
            peak: vec![f64::NEG_INFINITY; cells],
            section: vec![0.0; cells],
            beads: Vec::with_capacity(problem.beads.len()),
            problem,
            params,
            y,
            z,
            fine_m,
            slabs_max,
            makes,
            rings,
            stage,
            time_s: 0.0,
            base_make,
            cells_most: 0,
            steps: 0,
            stages: 0,
            bytes,
        };
        run.record();
        if run.interpass.time_s.is_empty() {
            return Err(HeatError::Geometry(NO_METAL_AT_THE_MEASUREMENT.to_owned()));
        }
        Ok(run)
    }

    /// Lays a bead.
    pub fn weld(&mut self, index: usize) -> Result<(), HeatError> {
        let bead = &self.problem.beads[index];
        let (start_s, interpass_k) = (self.time_s, self.interpass_k());
        self.peak.iter_mut().for_each(|p| *p = f64::NEG_INFINITY);
        let torch = self.prepare(index)?;
        let (from_m, to_m) = self.problem.run_m(bead);
        let sign = (to_m - from_m).signum();
        let over_m = (from_m.min(to_m), from_m.max(to_m));
        let run_s = (to_m - from_m).abs() / bead.arc.travel_m_s;
        let count = (run_s / self.weld_step_s(index)).ceil();
        let mut pool = Pool::default();
        for n in 0..count as usize {
            let middle_s = (n as f64 + 0.5) * run_s / count;
            let arc_m = from_m + sign * bead.arc.travel_m_s * middle_s;
            let engine = &mut self.stage.engine;
            engine.adapt(&torch.zone(arc_m, self.fine_m, self.params.thin_behind_m))?;
            torch.grow(engine, arc_m, over_m);
            torch.heat(engine, arc_m, middle_s);
            let until_s = start_s + run_s * (n + 1) as f64 / count;
            let share = (1.0 - PAUSE_SHARE) * (n + 1) as f64 / count;
            self.advance(until_s, (index as f64 + share) / self.problem.beads.len() as f64)?;
            if n == count as usize / 2 {
                pool = Pool::of(&self.stage.engine, self.problem.fusion_k, self.problem.mirror);
            }
        }
        let engine = &mut self.stage.engine;
        torch.grow(engine, sign * f64::INFINITY, over_m);
        engine.heated.iter_mut().for_each(|h| *h = false);
        self.beads.push(BeadField {
            interpass_k,
            start_s,
            end_s: self.time_s,
            cooled: true,
            fraction: Vec::new(),
            peak_k: Vec::new(),
            melted_m2: 0.0,
            pool,
        });
        Ok(())
    }

    fn weld_step_s(&self, index: usize) -> f64 {
        weld_step_s(self.problem, self.params, index)
    }

    /// The grid and the torch of a bead.
    fn prepare(&mut self, index: usize) -> Result<Torch, HeatError> {
        let bead = &self.problem.beads[index];
        let (from_m, to_m) = self.problem.run_m(bead);
        let (low_m, high_m) = (from_m.min(to_m), from_m.max(to_m));
        let mut grounds: Vec<(usize, bool)> = Vec::new();
        for slab in &self.stage.engine.row {
            let make = self.stage.makes[slab.state];
            let ends_m = (slab.start as f64 * self.fine_m, slab.end() as f64 * self.fine_m);
            let laid = ends_m.0 < high_m && ends_m.1 > low_m;
            match grounds.iter_mut().find(|(known, _)| *known == make) {
                Some((_, under)) => *under |= laid,
                None => grounds.push((make, laid)),
            }
        }
        let mut used: Vec<usize> = grounds.iter().map(|(make, _)| *make).collect();
        let mut places = Vec::with_capacity(grounds.len());
        for (local, (make, laid)) in grounds.iter().enumerate() {
            let first = laid.then_some(used.len());
            if *laid {
                let rings = self.rings[*make].clone();
                let makes = rising(&rings, &bead.rings, &self.y, &self.z, self.problem.mirror);
                used.extend(self.makes.len()..self.makes.len() + makes.len());
                self.makes.extend(makes);
                let all: Vec<Ring> = rings.into_iter().chain(bead.rings.iter().cloned()).collect();
                self.rings.resize(self.makes.len() - 1, Vec::new());
                self.rings.push(all);
            }
            places.push(Ground { base: local, first });
        }
        let merge = Merge::new((&self.y, &self.z), self.fine_about(&bead.rings))?;
        self.move_to(merge, used)?;
        let weave = &bead.arc.weave;
        let follows = weave.width_m > 0.0
            && !self.problem.mirror
            && self.weld_step_s(index) < STEP_PER_WEAVE * weave.period_s;
        let manner =
            Manner { sign: (to_m - from_m).signum(), follows_weave: follows, mirror: self.problem.mirror };
        Torch::new(&self.stage.engine, bead.arc, &places, manner)
    }

    /// Cells fine about a bead.
    fn fine_about(&self, rings: &[Ring]) -> (Width, Width) {
        let width = |direction| {
            let start = (f64::INFINITY, f64::NEG_INFINITY);
            let (low, high) = rings
                .iter()
                .map(|ring| reach(ring, direction))
                .fold(start, |(low, high), (a, b)| (low.min(a), high.max(b)));
            let margin_m = self.params.margin_m;
            Width {
                core_m: (low - margin_m, high + margin_m),
                least_m: self.params.cell_m,
                slope: self.params.slope,
            }
        };
        (width(0), width(1))
    }

    /// Carries the field to another grid.
    fn move_to(&mut self, merge: Merge, used: Vec<usize>) -> Result<(), HeatError> {
        let parts = (&self.y, &self.z, &self.makes[..]);
        let mut next = new_stage(self.problem, self.params, parts, merge, used, self.fine_m, self.slabs_max)?;
        let cells = next.merge.cells();
        for slab in &self.stage.engine.row {
            let make = self.stage.makes[slab.state];
            let state = next.makes.iter().position(|m| *m == make).unwrap_or_default();
            spread(
                &self.stage,
                slab.slot,
                slab.state,
                (&self.makes[make], &self.y, &self.z),
                &self.stage.engine.enthalpy,
                &mut self.section,
            );
            next.engine.push(slab.start, slab.span, state, self.problem.start_temperature_k)?;
            let slot = next.engine.row[next.engine.row.len() - 1].slot;
            let out = &mut next.engine.enthalpy[slot * cells..(slot + 1) * cells];
            next.merge.gather(&self.section, &self.makes[make], &next.engine.states[state], out);
        }
        next.engine.peak.copy_from_slice(&next.engine.enthalpy);
        next.engine.tally = self.stage.engine.tally;
        next.engine.link();
        self.steps += self.stage.engine.steps;
        self.stages += self.stage.engine.stages;
        self.stage = next;
        Ok(())
    }

    /// Waits as a bead's rule says, then takes its peaks.
    pub fn cool(&mut self, index: usize) -> Result<(), HeatError> {
        let rule = self.problem.beads[index].then;
        let out_s = self.time_s;
        let end_s = out_s + rule.at_most_s();
        let mut step_s = self.weld_step_s(index).min(self.params.cool_step_max_s);
        let mut doubled = 0;
        while self.time_s < end_s - 1e-9 * end_s && !self.is_cool(rule, out_s) {
            doubled = self.coarsen(self.time_s - out_s, doubled)?;
            let least_s = match rule {
                Cooling::Until { at_least_s, .. } if self.time_s < out_s + at_least_s => out_s + at_least_s,
                _ => end_s,
            };
            let until_s = (self.time_s + step_s).min(least_s);
            let waited = (until_s - out_s) / rule.at_most_s();
            let share = 1.0 - PAUSE_SHARE * (1.0 - waited);
            self.advance(until_s, (index as f64 + share) / self.problem.beads.len() as f64)?;
            step_s = (step_s * STEP_GROWTH).min(self.params.cool_step_max_s);
        }
        self.beads[index].cooled = match rule {
            Cooling::Time(_) => true,
            Cooling::Until { .. } => self.is_cool(rule, out_s),
        };
        self.keep_bead(index);
        Ok(())
    }

    fn is_cool(&self, rule: Cooling, out_s: f64) -> bool {
        match rule {
            Cooling::Time(_) => false,
            Cooling::Until { temperature_k, at_least_s, .. } => {
                let waited_s = self.time_s - out_s;
                waited_s >= at_least_s * (1.0 - 1e-9) && self.interpass_k() <= temperature_k
            }
        }
    }

    /// Doubles cells as the heat has spread.
    fn coarsen(&mut self, since_s: f64, doubled: u32) -> Result<u32, HeatError> {
        let spread = (SPREAD_M2_S * since_s).sqrt() / (CELLS_PER_SPREAD * self.params.cell_m);
        let doubles = (spread.max(1.0).log2() as u32).min(self.params.doublings);
        if doubles > doubled {
            self.keep_peaks();
            let mut used: Vec<usize> =
                self.stage.engine.row.iter().map(|slab| self.stage.makes[slab.state]).collect();
            used.sort_unstable();
            used.dedup();
            self.move_to(Merge::new((&self.y, &self.z), coarse(self.params, doubles))?, used)?;
            let slabs = self.params.cell_m * f64::from(1u32 << doubles) / self.fine_m;
            self.stage.engine.adapt(&Zone {
                arc: f64::NEG_INFINITY,
                ahead: 1.0,
                behind: 1.0,
                span_least: 1 << slabs.max(1.0).log2() as u32,
            })?;
        }
        Ok(doubles.max(doubled))
    }

    fn advance(&mut self, until_s: f64, done: f64) -> Result<(), HeatError> {
        let engine = &mut self.stage.engine;
        engine.step(until_s - self.time_s);
        self.time_s = until_s;
        self.cells_most = self.cells_most.max(engine.row.len() * engine.cells_per_slab());
        if engine.steps.is_multiple_of(CHECK_EVERY) {
            engine.check_energy(self.params.energy_error_max, until_s)?;
        }
        self.record();
        match self.params.progress.map(|report| report(done)) {
            Some(ControlFlow::Break(())) => Err(HeatError::Cancelled(done)),
            _ => Ok(()),
        }
    }

    fn read(&self, [x, y, z]: [f64; 3]) -> Option<f64> {
        let y = if self.problem.mirror { y.abs() } else { y };
        let engine = &self.stage.engine;
        // Merged cells reach into the air; whether there is metal, the finest tell.
        let make = self.stage.makes[engine.row[spot::slab_at(engine, x)].state];
        spot::metal_cell((&self.y, &self.z), &self.makes[make].fraction, [y, z])?;
        spot::temperature_k(engine, [x, y, z])
    }

    fn interpass_k(&self) -> f64 {
        self.interpass.temperature_k.last().copied().unwrap_or(f64::NAN)
    }

    fn record(&mut self) {
        for i in 0..self.probes.len() {
            if let Some(t) = self.read(self.problem.probes[i]) {
                self.probes[i].push(self.time_s, t);
            }
        }
        if let Some(t) = self.read(self.interpass_at) {
            self.interpass.push(self.time_s, t);
        }
    }

    /// The slab at the station: its slot, its make here and in the run.
    fn station(&self) -> (usize, usize, usize) {
        let engine = &self.stage.engine;
        let at = spot::slab_at(engine, self.problem.station_m());
        let slab = engine.row[at];
        (slab.slot, slab.state, self.stage.makes[slab.state])
    }

    /// Takes over the greatest temperatures at the station before a grid is left.
    fn keep_peaks(&mut self) {
        let (slot, state, make) = self.station();
        let parts = (&self.makes[make], &self.y, &self.z);
        spread(&self.stage, slot, state, parts, &self.stage.engine.peak, &mut self.section);
        let metal = &self.makes[make].fraction;
        for ((peak, seen), share) in self.peak.iter_mut().zip(&self.section).zip(metal) {
            if *share > 0.0 {
                *peak = peak.max(*seen);
            }
        }
    }

    fn keep_bead(&mut self, index: usize) {
        self.keep_peaks();
        let (_, _, make) = self.station();
        let make = &self.makes[make];
        let table = &self.stage.engine.table;
        let peak_k = self.peak.iter().zip(&make.fraction);
        let whole = if self.problem.mirror { 2.0 } else { 1.0 };
        let bead = &mut self.beads[index];
        bead.peak_k =
            peak_k.map(|(h, share)| if *share > 0.0 { table.temperature_k(*h) } else { f64::NAN }).collect();
        bead.fraction = make.fraction.clone();
        let melted = (0..make.per_area.len()).filter(|c| make.per_area[*c] > 0.0).map(|c| {
            let share = melted_share((&self.y, &self.z), &bead.peak_k, c, self.problem.fusion_k);
            whole * share / make.per_area[c]
        });
        bead.melted_m2 = melted.sum();
    }

    pub fn finish(mut self) -> Result<(CouponField, Info), HeatError> {
        let engine = &self.stage.engine;
        engine.check_energy(self.params.energy_error_max, self.time_s)?;
        let Tally { brought_j, lost_j, .. } = engine.tally;
        let whole = if self.problem.mirror { 2.0 } else { 1.0 };
        self.probes.iter_mut().for_each(Trace::close);
        self.interpass.close();
        let info = Info {
            cells: self.cells_most,
            steps: self.steps + engine.steps,
            stages: self.stages + engine.stages,
            energy_error: engine.energy_error(),
            bytes: self.bytes,
            symmetric: self.problem.mirror,
        };
        let mut peak_k = vec![f64::NAN; self.peak.len()];
        for bead in &self.beads {
            peak_k.iter_mut().zip(&bead.peak_k).for_each(|(all, one)| *all = all.max(*one));
        }
        let field = CouponField {
            mirror: self.problem.mirror,
            base_fraction: self.makes[self.base_make].fraction.clone(),
            beads: self.beads,
            peak_k,
            probes: self.probes,
            interpass_at: self.interpass_at,
            interpass: self.interpass,
            brought_j: whole * brought_j,
            lost_j: whole * lost_j,
            y: self.y,
            z: self.z,
        };
        Ok((field, info))
    }
}

/// Share of a cell that got hotter than a temperature, by 16 points in it.
fn melted_share((y, z): (&Axis, &Axis), peak_k: &[f64], cell: usize, fusion_k: f64) -> f64 {
    const PARTS: usize = 4;
    let (i, k) = (cell % y.cells(), cell / y.cells());
    let place = |axis: &Axis, c: usize, part: usize| {
        axis.edges_m()[c] + (part as f64 + 0.5) / PARTS as f64 * axis.width_m(c)
    };
    let points = (0..PARTS * PARTS).map(|p| [place(y, i, p % PARTS), place(z, k, p / PARTS)]);
    let melted =
        points.filter(|[y_m, z_m]| between((y, z), peak_k, [*y_m, *z_m]).is_some_and(|t| t >= fusion_k));
    melted.count() as f64 / (PARTS * PARTS) as f64
}

/// Steps between two looks at the energy balance (choice: a look costs a tenth of
/// a step).
const CHECK_EVERY: usize = 8;

/// A section's values on the finest cells.
fn spread(
    stage: &Stage,
    slot: usize,
    state: usize,
    parts: (&State, &Axis, &Axis),
    values: &[f64],
    out: &mut [f64],
) {
    let cells = stage.merge.cells();
    let own = &values[slot * cells..(slot + 1) * cells];
    stage.merge.spread(own, &stage.engine.states[state], parts, out);
}

fn new_stage(
    problem: &CouponProblem,
    params: &CouponParams<'_>,
    (y, z, makes): (&Axis, &Axis, &[State]),
    merge: Merge,
    used: Vec<usize>,
    fine_m: f64,
    slabs_max: usize,
) -> Result<Stage, HeatError> {
    let states = used.iter().map(|make| merge.state(&makes[*make], y, z)).collect();
    let mut engine =
        Engine::new(problem.metal, &problem.losses, merge.axes(), states, fine_m, slabs_max, params.threads)?;
    engine.ends_lose = true;
    Ok(Stage { engine, merge, makes: used })
}
