//! From a joint and a bead to a heat problem: rings, cells and arc.
//!
//! The section's y points up from the underside; the heat problem's z points
//! down, with its zero at the underside.

use bendproof_heat::solve::{Arc, CarbonSteel, Lattice, Losses, Metal, PassProblem, Ring, Weave, right_half};
use bendproof_weld::arc::{DROP_ENTHALPY_J_KG, STEEL_DENSITY_KG_M3};
use bendproof_weld::groove::{CAP_OVERLAP_M, Groove};
use bendproof_weld::{Coupon, Dwell, Joint, Transfer};

use crate::passes::Resolved;
use crate::section::{Layer, Point, Section, groove_with_mismatch, lay, section_of};

/// Standard deviation of the arc's heat on the surface in short-circuit
/// transfer, m. Choice: 1.25 to 2.5 mm move a melt-back over the hollow by +0.45
/// to -0.94 mm; 1.75 gave
/// the trade's order of joints in our own runs.
pub const ARC_SIGMA_M: f64 = 1.75e-3;
/// The same for the longer arc of globular and spray transfer, m (choice).
const LONG_ARC_SIGMA_M: f64 = 2.25e-3;
/// How far the arc burns behind the leading edge of the pool, m: the best
/// melt-back in our own runs lies at 1 to 3 mm, where welders say to keep it
/// (choice, common practice).
pub const ARC_BEHIND_EDGE_M: f64 = 1.5e-3;
/// Share of the heat falling into an open gap that is lost below (choice; all
/// or nothing moves a melt-back by 0.15 mm).
pub const GAP_LOST_SHARE: f64 = 0.5;
/// Shortest length over which the pool's front rises, m (choice; half to twice
/// the depth of the bead moves a melt-back by 0.2 mm).
const RAMP_LEAST_M: f64 = 2e-3;
/// Half width of plate in a heat problem, m: 75 mm on each side, beyond which
/// nothing changes during a pass.
const FAR_M: f64 = 75e-3;
/// Metal next to a bead on which cells stay fine, m: twice the deepest fusion.
const FINE_MARGIN_M: f64 = 5e-3;
/// The same below and above.
const FINE_BELOW_M: f64 = 5e-3;
const FINE_ABOVE_M: f64 = 1e-3;
/// Growth of cells beyond, and their greatest size, m.
const GROWTH: f64 = 1.25;
const CELL_MAX_ACROSS_M: f64 = 8e-3;
const CELL_MAX_DOWN_M: f64 = 2e-3;
/// Side to side and back, s (choice: a hand weaves about once a second).
const WEAVE_PERIOD_S: f64 = 1.0;
/// Share of a weave spent standing where the plan says it lingers (choice).
const DWELL_SHARE: f64 = 0.5;

/// A root bead, enough to lay it into a bare joint.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RootBead {
    /// Power that enters the work, W.
    pub net_power_w: f64,
    /// Travel, m/s.
    pub travel_m_s: f64,
    /// Cross-section of the bead, m².
    pub area_m2: f64,
    /// Height above the underside at which it is laid, m.
    pub hollow_m: f64,
    /// How far the arc burns behind the pool's leading edge, m.
    pub behind_edge_m: f64,
    /// Full width of the weave, m.
    pub weave_width_m: f64,
}

impl RootBead {
    pub(crate) fn of(pass: &Resolved, hollow_m: f64) -> Self {
        Self {
            net_power_w: pass.net_power_w,
            travel_m_s: pass.travel_m_s,
            area_m2: pass.bead_area_m2,
            hollow_m,
            behind_edge_m: ARC_BEHIND_EDGE_M,
            weave_width_m: pass.weave_width_m,
        }
    }
}

/// The heat problem of a flat root bead in a bare joint; `None` when the bead
/// does not fit below the plate's surface.
pub fn root_problem(joint: &Joint, bead: &RootBead, before_k: f64, cell_m: f64) -> Option<PassProblem> {
    let groove = groove_with_mismatch(joint);
    let layer = super::layer_of_root(&groove, bead)?;
    let section = lay(joint, &[layer]);
    let symmetric = is_symmetric(joint);
    let mut arc = arc_of(bead.net_power_w, bead.travel_m_s, ARC_SIGMA_M);
    arc.behind_edge_m = bead.behind_edge_m;
    arc.ramp_m = (layer.to_m - layer.from_m).max(RAMP_LEAST_M);
    arc.weave = weave(bead.weave_width_m, Dwell::Even);
    let levels = [layer.from_m, layer.to_m];
    Some(problem(joint, &section, 0, symmetric, &levels, arc, before_k, cell_m))
}

/// A bead laid level in the middle of a groove that is already filled to a
/// height: what every pass after the root is to the fast model.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FillBead {
    /// Power that enters the work, W.
    pub net_power_w: f64,
    /// Travel, m/s.
    pub travel_m_s: f64,
    /// Cross-section of the bead, m².
    pub area_m2: f64,
    /// Height of the metal already there above the underside, m.
    pub from_m: f64,
    /// Full width of the weave, m.
    pub weave_width_m: f64,
    /// Where the weave lingers.
    pub dwell: Dwell,
}

/// The heat problem and section of a fill or cap bead; `None` when the bead does
/// not lie above what is there.
pub fn fill_problem(
    joint: &Joint,
    bead: &FillBead,
    before_k: f64,
    cell_m: f64,
) -> Option<(PassProblem, Section)> {
    let groove = groove_with_mismatch(joint);
    let there = super::level_layer(1, 0.0, bead.from_m);
    let filled_m2 = groove.area_up_to_m2(bead.from_m) + bead.area_m2;
    let to_m = groove.fill_height_m(filled_m2).unwrap_or(groove.thickness_m);
    let over_m2 = (filled_m2 - groove.area_m2()).max(0.0);
    let crown_m = 1.5 * over_m2 / (groove.face_width_m() + CAP_OVERLAP_M);
    let laid = Layer { crown_m, ..super::level_layer(2, bead.from_m, to_m) };
    if to_m + crown_m <= bead.from_m {
        return None;
    }
    let section = lay(joint, &[there, laid]);
    let mut arc = arc_of(bead.net_power_w, bead.travel_m_s, ARC_SIGMA_M);
    arc.ramp_m = (to_m + crown_m - bead.from_m).max(RAMP_LEAST_M);
    arc.weave = weave(bead.weave_width_m, bead.dwell);
    let levels = [bead.from_m, to_m + crown_m];
    Some((problem(joint, &section, 1, is_symmetric(joint), &levels, arc, before_k, cell_m), section))
}

/// The heat problem of one bead of the section.
pub(crate) fn bead_problem(
    coupon: &Coupon,
    pass: &Resolved,
    section: &Section,
    index: usize,
    before_k: f64,
    cell_m: f64,
) -> PassProblem {
    let joint = &coupon.fit.joint;
    let bead = &section.beads[index];
    let (low, high) = range(&bead.outline, 1);
    let (left, right) = range(&bead.outline, 0);
    let short = coupon.settings.transfer == Some(Transfer::ShortCircuit);
    let sigma_m = if short { ARC_SIGMA_M } else { LONG_ARC_SIGMA_M };
    let mut arc = arc_of(pass.net_power_w, pass.travel_m_s, sigma_m);
    arc.y_m = 0.5e-3 * (left + right);
    arc.aim_z_m = -1e-3 * high;
    arc.ramp_m = (1e-3 * (high - low)).max(RAMP_LEAST_M);
    // Beads side by side are stringers; the weave is the pass's own.
    arc.weave = weave(if pass.beads == 1 { pass.weave_width_m } else { 0.0 }, pass.dwell);
    let middle = arc.y_m.abs() < 1e-6 && section.beads[..=index].iter().all(is_middle);
    let symmetric = is_symmetric(joint) && middle;
    problem(joint, section, index, symmetric, &[1e-3 * low, 1e-3 * high], arc, before_k, cell_m)
}

fn is_symmetric(joint: &Joint) -> bool {
    joint.mismatch_m == 0.0 && joint.root_face_left_m == joint.root_face_right_m
}

fn is_middle(bead: &crate::section::Bead) -> bool {
    let (left, right) = range(&bead.outline, 0);
    (left + right).abs() < 1e-3 * (right - left)
}

fn arc_of(power_w: f64, travel_m_s: f64, sigma_m: f64) -> Arc {
    Arc {
        power_w,
        drop_heat_j_m3: STEEL_DENSITY_KG_M3 * DROP_ENTHALPY_J_KG,
        travel_m_s,
        sigma_m,
        behind_edge_m: ARC_BEHIND_EDGE_M,
        ramp_m: RAMP_LEAST_M,
        y_m: 0.0,
        side_tangent: 0.0,
        aim_z_m: 0.0,
        weave: Weave::STRINGER,
        gap_lost_share: GAP_LOST_SHARE,
    }
}

fn weave(width_m: f64, dwell: Dwell) -> Weave {
    let (toe_share, middle_share) = match dwell {
        Dwell::Even => (0.0, 0.0),
        Dwell::Toes => (DWELL_SHARE, 0.0),
        Dwell::Middle => (0.0, DWELL_SHARE),
    };
    Weave { width_m, period_s: WEAVE_PERIOD_S, toe_share, middle_share }
}

#[allow(
    clippy::too_many_arguments,
    reason = "one call site per kind of bead; a struct would only rename them"
)]
fn problem(
    joint: &Joint,
    section: &Section,
    index: usize,
    mirror: bool,
    levels_m: &[f64; 2],
    arc: Arc,
    before_k: f64,
    cell_m: f64,
) -> PassProblem {
    let groove = groove_with_mismatch(joint);
    let turned = |outline: &[Point]| -> Ring { outline.iter().map(|[x, y]| [1e-3 * x, -1e-3 * y]).collect() };
    let plates = wide_plates(joint);
    let below = section.beads[..index].iter().flat_map(|bead| bead.outline.iter());
    let on_side = |ring: Ring| if mirror { right_half(&ring) } else { ring };
    let keep = |ring: &Ring| ring.len() > 2;
    let base = plates.iter().chain(below).map(|o| on_side(turned(o))).filter(keep).collect();
    let bead = section.beads[index].outline.iter().map(|o| on_side(turned(o))).filter(keep).collect();
    PassProblem {
        base,
        bead,
        across: across(joint, &groove, levels_m[1], section, index, mirror, cell_m),
        down: down(joint, section, index, levels_m),
        mirror,
        metal: Metal::CarbonSteel(CarbonSteel::STIRRED),
        fusion_k: CarbonSteel::STIRRED.fusion_k(),
        // The arc's efficiency is measured in the metal, so what the pool
        // radiates under the arc is already out of it.
        losses: Losses::NONE,
        start_temperature_k: before_k,
        arc,
    }
}

/// The bare plates out to [`FAR_M`].
fn wide_plates(joint: &Joint) -> [Vec<Point>; 2] {
    let Section { mut left, mut right, .. } = section_of(joint);
    for corner in [0, 4] {
        left[corner][0] = -1e3 * FAR_M;
        right[corner][0] = 1e3 * FAR_M;
    }
    [left, right]
}

/// Cells across: an edge on each land, fine out to some metal next to the bead.
fn across(
    joint: &Joint,
    groove: &Groove,
    top_m: f64,
    section: &Section,
    index: usize,
    mirror: bool,
    cell_m: f64,
) -> Lattice {
    let half_gap = 0.5 * joint.root_opening_m;
    let bead = range(&section.beads[index].outline, 0);
    let wall = 0.5 * groove.width_at_m(top_m.min(joint.thickness_m));
    let (low, high) = (1e-3 * bead.0, 1e-3 * bead.1);
    let right = high.min(wall.max(half_gap)).max(half_gap) + FINE_MARGIN_M;
    let left = low.max(-wall.max(half_gap)).min(-half_gap) - FINE_MARGIN_M;
    // With no gap the two lands meet; the mark between them still stands.
    let mut marks = vec![half_gap, right];
    if mirror {
        marks.push(0.0);
    } else {
        marks.extend([-half_gap, left]);
    }
    marks.iter_mut().for_each(|m| *m = m.clamp(-FAR_M + 2.0 * cell_m, FAR_M - 2.0 * cell_m));
    let ends_m = (if mirror { 0.0 } else { -FAR_M }, FAR_M);
    Lattice { ends_m, marks_m: marks, growth: GROWTH, cell_max_m: CELL_MAX_ACROSS_M }
}

/// Cells down: an edge on the underside, the top of each land and the bead's own levels.
fn down(joint: &Joint, section: &Section, index: usize, levels_m: &[f64; 2]) -> Lattice {
    let all = section.beads[..=index].iter().map(|bead| range(&bead.outline, 1));
    let (lowest, highest) = all.fold((0.0_f64, 0.0_f64), |(l, h), (a, b)| (l.min(1e-3 * a), h.max(1e-3 * b)));
    let top_m = (joint.thickness_m + joint.mismatch_m).max(highest);
    let fine_low = (levels_m[0] - FINE_BELOW_M).max(lowest);
    let fine_high = (levels_m[1] + FINE_ABOVE_M).min(top_m);
    let lands = [joint.root_face_left_m, joint.root_face_right_m + joint.mismatch_m, joint.mismatch_m, 0.0];
    let marks = lands.into_iter().chain(*levels_m).filter(|m| *m >= fine_low && *m <= fine_high);
    Lattice {
        ends_m: (-top_m, -lowest),
        marks_m: marks.chain([fine_low, fine_high]).map(|up| -up).collect(),
        growth: GROWTH,
        cell_max_m: CELL_MAX_DOWN_M,
    }
}

/// Least and greatest coordinate of an outline, mm.
pub(crate) fn range(outline: &[Vec<Point>], direction: usize) -> (f64, f64) {
    outline.iter().flatten().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), p| {
        (low.min(p[direction]), high.max(p[direction]))
    })
}
