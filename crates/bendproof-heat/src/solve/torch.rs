//! A bead being laid on a row of slabs: the makes of the section while its metal
//! rises, the growth of slabs as the arc passes, and the heat that lands.

use super::HeatError;
use super::arc::Arc;
use super::axis::Axis;
use super::engine::Engine;
use super::region::{Ring, below, reach};
use super::slabs::Zone;
use super::state::State;

/// Steps in which the metal of a bead rises to its full height (choice: half a
/// cell each at the usual bead and cell).
const RISE_STEPS: usize = 8;
/// Phases of a weave that stand for its mean.
const WEAVE_PHASES: usize = 32;
/// A slab with less of the arc than this gets none.
const SHARE_LEAST: f64 = 1e-9;
/// Reach of the arc's Gaussian ahead of it that slabs must be thin for, in
/// standard deviations.
const REACH_SIGMA: f64 = 3.0;

/// The makes of a section while a bead rises on it, the last one complete; none
/// of them is the bare base.
pub(crate) fn rising(base: &[Ring], bead: &[Ring], y: &Axis, z: &Axis, mirror: bool) -> Vec<State> {
    let (low, high) = bead
        .iter()
        .map(|ring| reach(ring, 1))
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), (a, b)| (low.min(a), high.max(b)));
    (1..=RISE_STEPS)
        .map(|step| {
            let level_m = high - (high - low) * step as f64 / RISE_STEPS as f64;
            let metal = bead.iter().map(|ring| below(ring, level_m));
            let rings: Vec<Ring> = base.iter().cloned().chain(metal).collect();
            State::new(&rings, y, z, mirror)
        })
        .collect()
}

/// A bead on its way.
pub(crate) struct Torch {
    pub arc: Arc,
    /// Make of the section before this bead.
    base: usize,
    /// First of its rising makes.
    first: usize,
    /// Arc power that is not in the drops, W.
    flux_w: f64,
    /// Where one watt of it lands, by make from the base on, W/m².
    landed: Vec<Vec<f64>>,
    /// Whether the weave is followed or stands as its mean.
    follows_weave: bool,
    mirror: bool,
    column_heat: Vec<f64>,
}

impl Torch {
    /// A torch whose makes are `engine.states[base]` and [`RISE_STEPS`] from `first` on.
    ///
    /// # Errors
    /// When the drops would carry more than the whole power.
    pub fn new(
        engine: &Engine,
        arc: Arc,
        base: usize,
        first: usize,
        mirror: bool,
        follows_weave: bool,
    ) -> Result<Self, HeatError> {
        arc.check()?;
        let full = &engine.states[first + RISE_STEPS - 1];
        let metal_m2 = metal_area_m2(engine, full) - metal_area_m2(engine, &engine.states[base]);
        let whole = if mirror { 2.0 } else { 1.0 };
        let drops_w = whole * metal_m2 * arc.travel_m_s * arc.drop_heat_j_m3;
        if !(drops_w <= arc.power_w) {
            return Err(HeatError::Geometry(format!(
                "the drops of this bead carry {drops_w:.0} W and the arc brings only {:.0} W; lay less metal or raise the power",
                arc.power_w
            )));
        }
        let cells = engine.cells_per_slab();
        let mut torch = Self {
            arc,
            base,
            first,
            flux_w: arc.power_w - drops_w,
            landed: vec![vec![0.0; cells]; RISE_STEPS + 1],
            follows_weave,
            mirror,
            column_heat: vec![0.0; cells],
        };
        let phases = if arc.weave.width_m > 0.0 { WEAVE_PHASES } else { 1 };
        let mean: Vec<f64> = (0..phases)
            .map(|i| arc.weave.offset_m((i as f64 + 0.5) / phases as f64 * arc.weave.period_s))
            .collect();
        torch.aim(engine, &mean);
        Ok(torch)
    }

    /// The makes, base first.
    fn make(&self, step: usize) -> usize {
        if step == 0 { self.base } else { self.first + step - 1 }
    }

    fn aim(&mut self, engine: &Engine, offsets_m: &[f64]) {
        for step in 0..=RISE_STEPS {
            let state = &engine.states[self.make(step)];
            let shares = self.arc.across(state, &engine.y, &engine.z, self.mirror, offsets_m);
            self.arc.land(&shares, state, &mut self.column_heat);
            let cells = self.landed[step].iter_mut().zip(&self.column_heat).zip(&state.per_area);
            cells.for_each(|((out, watt), per_area)| *out = watt * per_area);
        }
    }

    /// Where slabs must be thin with the arc at `arc_m`.
    pub fn zone(&self, arc_m: f64, fine_m: f64, thin_behind_m: f64) -> Zone {
        let ahead_m = self.arc.behind_edge_m.max(REACH_SIGMA * self.arc.sigma_m) + 2.0 * fine_m;
        Zone { arc: arc_m / fine_m, ahead: ahead_m / fine_m, behind: thin_behind_m / fine_m, span_least: 1 }
    }

    /// Lets metal rise in the slabs behind the leading edge, the arc at `arc_m`;
    /// slabs before `from_m` and beyond `to_m` get none.
    pub fn grow(&self, engine: &mut Engine, arc_m: f64, (from_m, to_m): (f64, f64)) {
        let edge_m = arc_m + self.arc.behind_edge_m;
        for i in 0..engine.row.len() {
            let slab = engine.row[i];
            let middle_m = 0.5 * (slab.start + slab.end()) as f64 * engine.fine_m;
            if middle_m < from_m || middle_m > to_m {
                continue;
            }
            let risen = ((edge_m - middle_m) / self.arc.ramp_m).clamp(0.0, 1.0);
            let step = (risen * RISE_STEPS as f64).round() as usize;
            let now = if slab.state >= self.first { slab.state - self.first + 1 } else { 0 };
            if step > now {
                engine.grow(i, self.make(step), self.arc.drop_heat_j_m3);
            }
        }
        engine.link();
    }

    /// Heats the slabs under the arc, which stands at `arc_m` in the middle of
    /// the step, at `time_s` of its weave.
    pub fn heat(&mut self, engine: &mut Engine, arc_m: f64, time_s: f64) {
        if self.follows_weave && self.arc.weave.width_m > 0.0 {
            self.aim(engine, &[self.arc.weave.offset_m(time_s)]);
        }
        let cells = engine.cells_per_slab();
        for slab in &engine.row {
            let edge = |fine: i64| fine as f64 * engine.fine_m - arc_m;
            let share = self.arc.along(edge(slab.start), edge(slab.end()));
            engine.heated[slab.slot] = share > SHARE_LEAST;
            if share > SHARE_LEAST {
                let step = if slab.state >= self.first { slab.state - self.first + 1 } else { 0 };
                let per_m = self.flux_w * share / (slab.span as f64 * engine.fine_m);
                let heat = &mut engine.heat[slab.slot * cells..(slab.slot + 1) * cells];
                heat.iter_mut().zip(&self.landed[step]).for_each(|(q, w)| *q = per_m * w);
            }
        }
    }
}

/// How many makes a bead adds.
pub(crate) fn makes_per_bead() -> usize {
    RISE_STEPS
}

fn metal_area_m2(engine: &Engine, state: &State) -> f64 {
    let ny = engine.y.cells();
    let area = |cell: usize| engine.y.width_m(cell % ny) * engine.z.width_m(cell / ny);
    state.fraction.iter().enumerate().map(|(cell, share)| share * area(cell)).sum()
}
