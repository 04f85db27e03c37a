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
/// Phases of a weave: that stand for its mean, or that are followed.
pub(crate) const WEAVE_PHASES: usize = 32;
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

/// What a bead is laid on: a make of the section, and the first of the
/// [`RISE_STEPS`] makes of the bead rising on it; `None` where it lays nothing
/// but its heat still reaches.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Ground {
    pub base: usize,
    pub first: Option<usize>,
}

impl Ground {
    /// The make after some of the steps, the base first.
    fn make(&self, step: usize) -> usize {
        self.first.filter(|_| step > 0).map_or(self.base, |first| first + step - 1)
    }

    /// The step at which a make stands, if it is one of this ground's.
    fn step(&self, make: usize) -> Option<usize> {
        if make == self.base {
            return Some(0);
        }
        self.first.filter(|first| (*first..first + RISE_STEPS).contains(&make)).map(|first| make - first + 1)
    }
}

/// How a torch runs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Manner {
    /// +1 along rising x, -1 against it.
    pub sign: f64,
    /// Whether the weave is followed in time or stands as its mean.
    pub follows_weave: bool,
    /// Whether the section is one half.
    pub mirror: bool,
}

impl Manner {
    /// Along x, the weave as its mean.
    pub fn steady(mirror: bool) -> Self {
        Self { sign: 1.0, follows_weave: false, mirror }
    }
}

/// A ground with the heat that lands on it.
struct Course {
    ground: Ground,
    /// Arc power that is not in the drops laid here, W.
    flux_w: f64,
    /// Where one watt of it lands, W/m²: phase by phase of the weave, in each the
    /// makes from the base on.
    landed: Vec<Vec<f64>>,
}

/// A bead on its way.
pub(crate) struct Torch {
    pub arc: Arc,
    manner: Manner,
    courses: Vec<Course>,
}

impl Torch {
    /// A torch over these grounds, of which at least one gets metal.
    ///
    /// # Errors
    /// When the drops would carry more than the whole power.
    pub fn new(engine: &Engine, arc: Arc, grounds: &[Ground], manner: Manner) -> Result<Self, HeatError> {
        arc.check()?;
        let drops_w = |ground: &Ground| {
            let full = &engine.states[ground.make(RISE_STEPS)];
            let metal_m2 = metal_area_m2(engine, full) - metal_area_m2(engine, &engine.states[ground.base]);
            let whole = if manner.mirror { 2.0 } else { 1.0 };
            whole * metal_m2 * arc.travel_m_s * arc.drop_heat_j_m3
        };
        let most_w = grounds.iter().map(drops_w).fold(0.0, f64::max);
        let enough = most_w <= arc.power_w;
        if !enough {
            return Err(HeatError::Geometry(format!(
                "the drops of this bead carry {most_w:.0} W and the arc brings only {:.0} W; lay less metal or raise the power",
                arc.power_w
            )));
        }
        let courses = grounds.iter().map(|ground| Course {
            ground: *ground,
            flux_w: arc.power_w - ground.first.map_or(most_w, |_| drops_w(ground)),
            landed: landed(engine, &arc, ground, manner),
        });
        Ok(Self { arc, manner, courses: courses.collect() })
    }

    /// The ground of a make and its step there.
    fn place(&self, make: usize) -> Option<(&Course, usize)> {
        self.courses.iter().find_map(|course| course.ground.step(make).map(|step| (course, step)))
    }

    /// Where slabs must be thin with the arc at `arc_m`.
    pub fn zone(&self, arc_m: f64, fine_m: f64, thin_behind_m: f64) -> Zone {
        let ahead_m = self.arc.behind_edge_m.max(REACH_SIGMA * self.arc.sigma_m) + 2.0 * fine_m;
        let (mut ahead, mut behind) = (ahead_m / fine_m, thin_behind_m / fine_m);
        if self.manner.sign < 0.0 {
            std::mem::swap(&mut ahead, &mut behind);
        }
        Zone { arc: arc_m / fine_m, ahead, behind, span_least: 1 }
    }

    /// Lets metal rise in the slabs behind the leading edge, the arc at `arc_m`;
    /// slabs before `from_m` and beyond `to_m` get none.
    pub fn grow(&self, engine: &mut Engine, arc_m: f64, (from_m, to_m): (f64, f64)) {
        let sign = self.manner.sign;
        let edge_m = arc_m + sign * self.arc.behind_edge_m;
        for i in 0..engine.row.len() {
            let slab = engine.row[i];
            let middle_m = 0.5 * (slab.start + slab.end()) as f64 * engine.fine_m;
            if middle_m < from_m || middle_m > to_m {
                continue;
            }
            let Some((course, now)) = self.place(slab.state) else { continue };
            let risen = (sign * (edge_m - middle_m) / self.arc.ramp_m).clamp(0.0, 1.0);
            let step = (risen * RISE_STEPS as f64).round() as usize;
            if step > now {
                engine.grow(i, course.ground.make(step), self.arc.drop_heat_j_m3);
            }
        }
        engine.link();
    }

    /// Heats the slabs under the arc, which stands at `arc_m` in the middle of
    /// the step, at `time_s` of its weave.
    pub fn heat(&self, engine: &mut Engine, arc_m: f64, time_s: f64) {
        let weave = &self.arc.weave;
        let cells = engine.cells_per_slab();
        for slab in &engine.row {
            let edge = |fine: i64| fine as f64 * engine.fine_m - arc_m;
            let share = self.arc.along(edge(slab.start), edge(slab.end()));
            let under = self.place(slab.state).filter(|_| share > SHARE_LEAST);
            engine.heated[slab.slot] = under.is_some();
            let Some((course, step)) = under else { continue };
            let phases = course.landed.len() / (RISE_STEPS + 1);
            let turn = (time_s / weave.period_s).rem_euclid(1.0);
            let phase = ((turn * phases as f64) as usize).min(phases - 1);
            let landed = &course.landed[phase * (RISE_STEPS + 1) + step];
            let per_m = course.flux_w * share / (slab.span as f64 * engine.fine_m);
            let heat = &mut engine.heat[slab.slot * cells..(slab.slot + 1) * cells];
            heat.iter_mut().zip(landed).for_each(|(q, w)| *q = per_m * w);
        }
    }
}

/// Where one watt of an arc lands on a ground and on each make of the bead, W/m²;
/// once for the mean of the weave, or phase by phase.
fn landed(engine: &Engine, arc: &Arc, ground: &Ground, manner: Manner) -> Vec<Vec<f64>> {
    let phases = if arc.weave.width_m > 0.0 { WEAVE_PHASES } else { 1 };
    let offsets: Vec<f64> = (0..phases)
        .map(|i| arc.weave.offset_m((i as f64 + 0.5) / phases as f64 * arc.weave.period_s))
        .collect();
    let together = if manner.follows_weave { 1 } else { phases };
    let mut watts = vec![0.0; engine.cells_per_slab()];
    let mut all = Vec::with_capacity(phases / together * (RISE_STEPS + 1));
    for offsets_m in offsets.chunks(together) {
        for step in 0..=RISE_STEPS {
            let state = &engine.states[ground.make(step)];
            let shares = arc.across(state, &engine.y, &engine.z, manner.mirror, offsets_m);
            arc.land(&shares, state, &mut watts);
            all.push(watts.iter().zip(&state.per_area).map(|(watt, per_area)| watt * per_area).collect());
        }
    }
    all
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
