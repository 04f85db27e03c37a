//! What a coupon needs, known before its first step: makes of the section,
//! slabs, memory and steps.

use super::HeatError;
use super::axis::Axis;
use super::coupon::{Bead, CouponParams, CouponProblem, INTERPASS_FROM_BEAD_M, Tack};
use super::engine::{ARRAYS, Engine};
use super::merge::Width;
use super::region::Ring;
use super::slabs::SPAN_MAX;
use super::state::State;
use super::torch::{WEAVE_PHASES, makes_per_bead};

/// Why no interpass temperature can be read.
pub(crate) const NO_METAL_AT_THE_MEASUREMENT: &str =
    "there is no metal where the interpass temperature is measured; name a place on the plate";
/// Growth of the step in a pause (choice, as for a bare plate).
pub(crate) const STEP_GROWTH: f64 = 1.15;

pub(crate) fn weld_step_s(problem: &CouponProblem, params: &CouponParams<'_>, index: usize) -> f64 {
    let travel_m_s = problem.beads[index].arc.travel_m_s;
    (params.cells_per_step * params.cell_m / travel_m_s).min(params.weld_step_max_s)
}

/// Even cells after some doublings.
pub(crate) fn coarse(params: &CouponParams<'_>, doublings: u32) -> (Width, Width) {
    let width = Width::even(params.cell_m * f64::from(1u32 << doublings));
    (width, width)
}

/// The makes of the section before the first bead, their rings, and the make of
/// each fine cell along the plate.
pub(crate) fn first_makes(
    problem: &CouponProblem,
    (y, z): (&Axis, &Axis),
    count: usize,
    fine_m: f64,
) -> (Vec<State>, Vec<Vec<Ring>>, Vec<usize>) {
    let mut keys: Vec<Vec<usize>> = vec![Vec::new()];
    let of_cell = (0..count)
        .map(|cell| {
            let x_m = (cell as f64 + 0.5) * fine_m;
            let over = |(_, tack): &(usize, &Tack)| {
                let (a, b) = tack.over_m;
                x_m > a.min(b) && x_m < a.max(b)
            };
            let key: Vec<usize> = problem.tacks.iter().enumerate().filter(over).map(|(i, _)| i).collect();
            keys.iter().position(|k| *k == key).unwrap_or_else(|| {
                keys.push(key);
                keys.len() - 1
            })
        })
        .collect();
    let rings: Vec<Vec<Ring>> = keys
        .iter()
        .map(|key| {
            let tacks = key.iter().flat_map(|i| problem.tacks[*i].rings.iter().cloned());
            problem.base.iter().cloned().chain(tacks).collect()
        })
        .collect();
    let makes = rings.iter().map(|rings| State::new(rings, y, z, problem.mirror)).collect();
    (makes, rings, of_cell)
}

/// Puts slabs at the end of the row, as wide as one make allows.
pub(crate) fn push_even(
    engine: &mut Engine,
    start: i64,
    span: i64,
    of_cell: &[usize],
    temperature_k: f64,
) -> Result<(), HeatError> {
    let own = &of_cell[start as usize..(start + span) as usize];
    if own.iter().all(|make| *make == own[0]) {
        return engine.push(start, span, own[0], temperature_k);
    }
    push_even(engine, start, span / 2, of_cell, temperature_k)?;
    push_even(engine, start + span / 2, span / 2, of_cell, temperature_k)
}

/// Where the interpass temperature is read.
pub(crate) fn interpass_at(
    problem: &CouponProblem,
    base: &State,
    y: &Axis,
    z: &Axis,
) -> Result<[f64; 3], HeatError> {
    if let Some(at) = problem.interpass_at {
        return Ok(at);
    }
    let middle_m = if problem.mirror { 0.0 } else { problem.beads.first().map_or(0.0, |b| b.arc.y_m) };
    let column = y.cell_at(middle_m + INTERPASS_FROM_BEAD_M);
    let top = base.top[column].ok_or_else(|| HeatError::Geometry(NO_METAL_AT_THE_MEASUREMENT.to_owned()))?;
    Ok([0.5 * problem.length_m, middle_m + INTERPASS_FROM_BEAD_M, z.edges_m()[top / y.cells()]])
}

/// Slabs at the most: the plate in whole blocks, what the thin zones of one bead
/// and the next add, and what every start and stop may keep from joining.
pub(crate) fn slabs_most(problem: &CouponProblem, params: &CouponParams<'_>, fine_m: f64) -> usize {
    let reach_m = |b: &Bead| b.arc.behind_edge_m.max(3.0 * b.arc.sigma_m) + 2.0 * fine_m;
    let ahead_m = problem.beads.iter().map(reach_m).fold(0.0, f64::max);
    let thin = ((ahead_m + params.thin_behind_m) / fine_m).ceil() as usize;
    let zone = thin + 3 * thin / 10 + thin / 4 + 4 * SPAN_MAX as usize;
    let blocks = (problem.length_m / (SPAN_MAX as f64 * fine_m)).round() as usize;
    let ends = 2 * (problem.beads.len() + problem.tacks.len());
    (blocks + 2 * zone + 6 * ends).min(blocks * SPAN_MAX as usize)
}

/// Stretches of the plate with one history: between all starts and stops.
fn stretches(problem: &CouponProblem) -> usize {
    let runs = problem.beads.iter().map(|b| problem.run_m(b));
    let ends = runs.chain(problem.tacks.iter().map(|t| t.over_m)).flat_map(|(a, b)| [a, b]);
    let mut inside: Vec<f64> = ends.filter(|x| *x > 0.0 && *x < problem.length_m).collect();
    inside.sort_by(f64::total_cmp);
    inside.dedup();
    1 + inside.len()
}

/// Memory, bytes: both grids between which a field is carried, all makes, where
/// the arc lands, and the histories.
pub(crate) fn bytes(problem: &CouponProblem, cells: usize, slabs_max: usize, samples: usize) -> usize {
    /// Doubles per cell of a make: shares, areas, faces, tops; of all its beads'
    /// makes one grid holds a copy.
    const OF_A_MAKE: usize = 2 * 7;
    let stretches = stretches(problem);
    let makes = stretches * (1 + makes_per_bead() * problem.beads.len());
    let phases = if problem.beads.iter().any(|b| b.arc.weave.width_m > 0.0) { WEAVE_PHASES } else { 1 };
    let landed = stretches * phases * (1 + makes_per_bead());
    8 * (cells * (2 * ARRAYS * slabs_max + OF_A_MAKE * makes + landed)
        + 2 * samples * (1 + problem.probes.len()))
}

pub(crate) fn check_size(params: &CouponParams<'_>, bytes: usize) -> Result<(), HeatError> {
    let counted = bytes / (8 * ARRAYS);
    if counted > params.cells_max {
        return Err(HeatError::TooManyCells { cells: counted, bytes, allowed: params.cells_max });
    }
    Ok(())
}

/// Steps at the most.
pub(crate) fn check_steps(problem: &CouponProblem, params: &CouponParams<'_>) -> Result<usize, HeatError> {
    let of_bead = |(index, bead): (usize, &Bead)| {
        let step_s = weld_step_s(problem, params, index);
        let (from_m, to_m) = problem.run_m(bead);
        let first_s = step_s.min(params.cool_step_max_s);
        let growing = (params.cool_step_max_s / first_s).ln() / STEP_GROWTH.ln() + 3.0;
        (to_m - from_m).abs() / bead.arc.travel_m_s / step_s
            + growing
            + bead.then.at_most_s() / params.cool_step_max_s
    };
    let steps = problem.beads.iter().enumerate().map(of_bead).sum::<f64>().ceil() + 2.0;
    if steps <= params.steps_max as f64 {
        return Ok(steps as usize);
    }
    Err(HeatError::TooManySteps { steps: steps as usize, allowed: params.steps_max })
}
