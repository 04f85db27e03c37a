//! The coupon solved: what each bead really melts on the true section.
//!
//! Every bead is a conduction problem of its own, in a window that moves with
//! its arc; the metal temperature before it comes from the coupon's heat as a
//! whole. The pool is a liquid that conducts well, and no more: it does not
//! flow, and the arc does not push it.

mod problem;
mod read;

use std::borrow::Cow;

use bendproof_heat::solve::{HeatError, Info, PassField, PassParams, solve_pass};
use bendproof_weld::{Backing, Coupon};

use crate::passes::{Resolved, resolve, stack};
use crate::section::{Layer, Section, groove_with_mismatch, lay};
use crate::totals::interpass;

pub use problem::{
    ARC_BEHIND_EDGE_M, ARC_SIGMA_M, FillBead, GAP_LOST_SHARE, RootBead, fill_problem, root_problem,
};
pub use read::{Contact, LandMelt, land_melt};

/// How finely a coupon is solved.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SolveParams {
    /// Cell at the weld, m.
    pub cell_m: f64,
    /// Most beads; a plan with more is refused.
    pub beads_max: usize,
    /// Travel of the arc before a bead is read, over what its wake needs; 1 or
    /// more. More only tells how steady the field is.
    pub travel_share: f64,
}

impl SolveParams {
    /// Half a millimetre, which leaves 0.1 mm of error in a melted edge.
    pub const STANDARD: Self = Self { cell_m: 0.5e-3, beads_max: 60, travel_share: 1.0 };
    /// A millimetre: for a first look, 0.2 mm of error.
    pub const COARSE: Self = Self { cell_m: 1.0e-3, beads_max: 60, travel_share: 1.0 };
}

/// A coupon with every bead solved.
#[derive(Debug, Clone, PartialEq)]
pub struct Solved {
    /// The section and its beads.
    pub section: Section,
    /// One entry per bead, in the order laid.
    pub beads: Vec<SolvedBead>,
    /// The root bead laid on a hollow, for the question whether it heals
    /// through; `None` without a pass.
    pub root_on_hollow: Option<LandMelt>,
}

/// One bead solved.
#[derive(Debug, Clone, PartialEq)]
pub struct SolvedBead {
    /// Bead number, 1 first.
    pub number: usize,
    /// 1-based number of its pass.
    pub pass: usize,
    /// Metal temperature before it, K.
    pub before_k: f64,
    /// Melted depth along its contact with plates and beads below.
    pub contact: Contact,
    /// Melt of both lands at the underside; only for the first bead.
    pub land: Option<LandMelt>,
    /// Unmelted metal left under the pool at its thinnest, m.
    pub ligament_m: f64,
    /// Share of the metal of the bead before it that melts again.
    pub remelted_share: Option<f64>,
    /// Cooling time from 800 to 500 C just outside the fused zone, s.
    pub t85_s: Option<f64>,
    /// Width of the heat-affected zone next to the wall, m: from the edge of
    /// fusion to where the steel just began to turn to austenite.
    pub haz_width_m: Option<f64>,
    /// The field.
    pub field: PassField,
    /// What it took.
    pub info: Info,
}

impl Solved {
    /// The beads of a pass, 1-based.
    pub fn of_pass(&self, pass: usize) -> Vec<&SolvedBead> {
        self.beads.iter().filter(|bead| bead.pass == pass).collect()
    }
}

/// Solves a coupon bead by bead.
///
/// # Errors
/// [`HeatError`] names the bead's problem: drops that carry more than the arc
/// brings, a backing strip, a section without metal, too many beads.
pub fn solve(coupon: &Coupon, params: &SolveParams) -> Result<Solved, HeatError> {
    if coupon.fit.joint.backing != Backing::Open {
        return Err(HeatError::Geometry(
            "a backing strip and the heat it takes are not in the heat problem; only open roots are solved"
                .to_owned(),
        ));
    }
    let passes: Vec<Resolved> = coupon.passes.iter().map(|p| resolve(&coupon.settings, p)).collect();
    let state = crate::forecast::root_input(coupon, &passes).ok().map(|x| crate::root::root_state(&x));
    let (root_m, root_width_m) = state.map_or((0.0, 0.0), |s| (s.low_m.max(0.0), s.width_m));
    let layers = stack(&groove_with_mismatch(&coupon.fit.joint), &passes, root_m, root_width_m);
    let section = lay(&coupon.fit.joint, &layers);
    if section.beads.len() > params.beads_max {
        return Err(HeatError::Geometry(format!(
            "the plan has {} beads, more than the {} this solves; plan fewer or larger ones",
            section.beads.len(),
            params.beads_max
        )));
    }
    let warm = interpass(coupon, &passes);
    let before_k: Vec<f64> = section
        .beads
        .iter()
        .map(|bead| warm.get(bead.pass - 1).map_or(coupon.fit.start_temperature_k, |w| w.before_k))
        .collect();
    let one = |index: usize| {
        let section = as_laid(coupon, &passes, &section, index, (root_m, root_width_m));
        solve_bead(coupon, &passes, &section, index, before_k[index], params)
    };
    // Beads do not wait for each other: each starts from the coupon's mean
    // temperature, so all cores can work, on the root over its hollow as well.
    let sides = if passes.is_empty() { 0 } else { hollow_sides(&coupon.fit.joint) };
    let hollow = |side: usize| solve_hollow(coupon, &passes[0], side, before_k[0], params);
    let (beads, hollow) =
        rayon::join(|| in_parallel(section.beads.len(), one), || in_parallel(sides, hollow));
    let root_on_hollow = match hollow?.as_slice() {
        [] => None,
        [both] => Some(LandMelt { left_m: *both, right_m: *both }),
        [left, right, ..] => Some(LandMelt { left_m: *left, right_m: *right }),
    };
    Ok(Solved { section, beads: beads?, root_on_hollow })
}

/// How many lands must be solved apart.
fn hollow_sides(joint: &bendproof_weld::Joint) -> usize {
    if crate::root::joint_of_side(joint, 0) == crate::root::joint_of_side(joint, 1) { 1 } else { 2 }
}

/// The section while a bead is laid: its own pass is not ground yet.
fn as_laid<'a>(
    coupon: &Coupon,
    passes: &[Resolved],
    section: &'a Section,
    index: usize,
    (root_m, root_width_m): (f64, f64),
) -> Cow<'a, Section> {
    let own = section.beads[index].pass - 1;
    if passes[own].ground_to_m.is_none() {
        return Cow::Borrowed(section);
    }
    let mut whole = passes.to_vec();
    whole[own].ground_to_m = None;
    let layers = stack(&groove_with_mismatch(&coupon.fit.joint), &whole, root_m, root_width_m);
    Cow::Owned(lay(&coupon.fit.joint, &layers))
}

fn in_parallel<T: Send>(
    count: usize,
    one: impl Fn(usize) -> Result<T, HeatError> + Sync + Send,
) -> Result<Vec<T>, HeatError> {
    use rayon::prelude::*;
    (0..count).into_par_iter().map(one).collect()
}

fn solve_bead(
    coupon: &Coupon,
    passes: &[Resolved],
    section: &Section,
    index: usize,
    before_k: f64,
    params: &SolveParams,
) -> Result<SolvedBead, HeatError> {
    let bead = &section.beads[index];
    let pass = &passes[bead.pass - 1];
    let problem = problem::bead_problem(coupon, pass, section, index, before_k, params.cell_m);
    let (field, info) = solve_pass(&problem, &pass_params(params, pass.travel_m_s))?;
    Ok(SolvedBead {
        number: bead.number,
        pass: bead.pass,
        before_k,
        contact: read::contact(&coupon.fit.joint, section, index, &field),
        land: (index == 0).then(|| land_melt(&coupon.fit.joint, &field)),
        ligament_m: read::ligament_m(&field),
        remelted_share: index.checked_sub(1).map(|below| read::remelted_share(&section.beads[below], &field)),
        t85_s: read::t85_s(&coupon.fit.joint, section, index, &field),
        haz_width_m: read::haz_width_m(coupon, section, index, &field),
        field,
        info,
    })
}

/// Melt-back of one land, m, with the root bead laid
/// [`crate::melt_back::HEALING_HOLLOW_M`] above its underside, each side as its
/// own even joint (see `joint_of_side`).
fn solve_hollow(
    coupon: &Coupon,
    pass: &Resolved,
    side: usize,
    before_k: f64,
    params: &SolveParams,
) -> Result<f64, HeatError> {
    let joint = crate::root::joint_of_side(&coupon.fit.joint, side);
    let bead = RootBead::of(pass, crate::melt_back::HEALING_HOLLOW_M);
    let problem = root_problem(&joint, &bead, before_k, params.cell_m)
        .ok_or_else(|| HeatError::Geometry("the root bead does not fit into the groove".to_owned()))?;
    let (field, _) = solve_pass(&problem, &root_runs_params(pass.travel_m_s))?;
    Ok(land_melt(&joint, &field).right_m)
}

/// Seconds of cooling that the window behind the arc must hold (choice: a bead
/// of the shop passes 500 C within it).
const WAKE_S: f64 = 22.0;
/// Travel beyond the length of the window, m: the wake then holds nothing of
/// the place where the arc was lit.
const START_UP_M: f64 = 10e-3;
/// Shortest and longest window behind the arc, m.
const WAKE_RANGE_M: (f64, f64) = (45e-3, 160e-3);

/// How one pass is solved.
pub fn pass_params(params: &SolveParams, travel_m_s: f64) -> PassParams<'static> {
    let behind_m = (WAKE_S * travel_m_s).clamp(WAKE_RANGE_M.0, WAKE_RANGE_M.1);
    PassParams {
        cell_m: params.cell_m,
        behind_m,
        travel_m: params.travel_share * (behind_m + START_UP_M),
        ..PassParams::STANDARD
    }
}

/// Travel of a run behind the fast model, m: melting is steady by then.
const RUNS_TRAVEL_M: f64 = 40e-3;

/// How the runs behind the fast model are solved: the window only has to hold
/// the pool and its surroundings.
pub fn root_runs_params(travel_m_s: f64) -> PassParams<'static> {
    PassParams {
        behind_m: WAKE_RANGE_M.0,
        travel_m: RUNS_TRAVEL_M,
        ..pass_params(&SolveParams::STANDARD, travel_m_s)
    }
}

/// The layer of a flat root bead; `None` when it does not fit below the surface.
pub(crate) fn layer_of_root(groove: &bendproof_weld::groove::Groove, bead: &RootBead) -> Option<Layer> {
    let top_m = groove.fill_height_m(groove.area_up_to_m2(bead.hollow_m) + bead.area_m2)?;
    Some(level_layer(1, bead.hollow_m, top_m))
}

/// A layer of one bead between two levels, flat above and below.
pub(crate) fn level_layer(pass: usize, from_m: f64, to_m: f64) -> Layer {
    Layer { pass, beads: 1, from_m, to_m, crown_m: 0.0, root_m: 0.0, root_width_m: 0.0 }
}

/// What the fast model of later passes is fitted to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FillReading {
    /// Least melted depth into the walls, m.
    pub wall_m: f64,
    /// Least melted depth into the metal below, m.
    pub below_m: f64,
    /// Deepest melted depth anywhere along the contact, m.
    pub deepest_m: f64,
    /// Cooling time from 800 to 500 C next to the wall, s; NaN when not reached.
    pub t85_s: f64,
}

/// Reads a field of [`fill_problem`].
pub fn read_fill(joint: &bendproof_weld::Joint, section: &Section, field: &PassField) -> FillReading {
    let contact = read::contact(joint, section, 1, field);
    let least = [contact.left_m, contact.right_m].into_iter().flatten().reduce(f64::min);
    FillReading {
        wall_m: least.unwrap_or(f64::NAN),
        below_m: contact.below_m.unwrap_or(f64::NAN),
        deepest_m: contact.deepest_m,
        t85_s: read::t85_s(joint, section, 1, field).unwrap_or(f64::NAN),
    }
}
