//! What is read from a solved field: how far the land, the walls and the metal
//! below melted, what is left under the pool, how fast it cooled.

use bendproof_heat::solve::{CarbonSteel, PassField};
use bendproof_weld::zones::ae1_k;
use bendproof_weld::{Coupon, Joint};

use super::problem::range;
use crate::section::{Bead, Section};

/// Melt of both lands at the underside corner, m; negative when a corner stayed
/// solid.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LandMelt {
    /// Left land.
    pub left_m: f64,
    /// Right land.
    pub right_m: f64,
}

/// Melted depth along the contact of a bead, square to it, m; negative where
/// the contact stayed solid.
#[derive(Debug, Clone, PartialEq)]
pub struct Contact {
    /// Least on the left wall; `None` when the bead does not touch it.
    pub left_m: Option<f64>,
    /// Least on the right wall.
    pub right_m: Option<f64>,
    /// Least into the beads below.
    pub below_m: Option<f64>,
    /// Deepest anywhere along the contact.
    pub deepest_m: f64,
    /// Place of the least, mm: x across, y up.
    pub thinnest_mm: [f64; 2],
}

impl Contact {
    /// The least melted depth anywhere, m; `None` without contact.
    pub fn least_m(&self) -> Option<f64> {
        [self.wall_m(), self.below_m].into_iter().flatten().reduce(f64::min)
    }

    /// The lesser melted depth of the two walls, m; `None` where it touches neither.
    pub fn wall_m(&self) -> Option<f64> {
        [self.left_m, self.right_m].into_iter().flatten().reduce(f64::min)
    }
}

/// Step along a line on which melting is read, m: a tenth of the usual cell.
const STEP_M: f64 = 0.05e-3;
/// Farthest a melted depth is followed, m.
const REACH_M: f64 = 15e-3;
/// Gradient of the greatest temperature just outside the fused zone, K/m: what
/// turns missing kelvins into missing millimetres. Our own runs have 300 to 500
/// K per mm there (derived).
const GRADIENT_K_M: f64 = 400e3;
/// Spacing of the places at which a contact is read, m.
const SPACING_M: f64 = 0.25e-3;
/// Contact closer than this to a surface or a corner is not read: the bead
/// wets it or not by what no conduction knows; one usual cell, m.
const EDGE_M: f64 = 0.5e-3;
/// A wall shorter than this is no wall, m: bead and plate meet in a line.
const SHORT_M: f64 = 0.3e-3;

fn fusion_k() -> f64 {
    CarbonSteel::STIRRED.fusion_k()
}

/// How far from a point along a direction the metal melted, m: the last fused
/// place, or how much is missing when the point itself stayed solid.
fn melted_m(field: &PassField, from: [f64; 2], way: [f64; 2]) -> Option<f64> {
    let (y_ends, z_ends) = (field.y.edges_m(), field.z.edges_m());
    let reach = [y_ends[y_ends.len() - 1], z_ends[z_ends.len() - 1]];
    // Beyond the last face there is no metal to have melted.
    let at = |d: f64| {
        let place = [from[0] + d * way[0], from[1] + d * way[1]];
        let is_inside = place[0].abs() <= reach[0] && place[1] <= reach[1];
        is_inside.then(|| field.peak_k_at(place[0], place[1])).flatten()
    };
    let first = at(0.0)?;
    if first < fusion_k() {
        return Some((first - fusion_k()) / GRADIENT_K_M);
    }
    let (mut depth, mut before) = (0.0, first);
    while depth < REACH_M {
        let Some(next) = at(depth + STEP_M) else { return Some(depth) };
        if next < fusion_k() {
            return Some(depth + STEP_M * (before - fusion_k()) / (before - next));
        }
        depth += STEP_M;
        before = next;
    }
    Some(REACH_M)
}

/// Melt of both lands of an open root, from its first bead's field.
pub fn land_melt(joint: &Joint, field: &PassField) -> LandMelt {
    let half_gap = 0.5 * joint.root_opening_m;
    let side = |y: f64, z: f64, way: f64| melted_m(field, [y, z], [way, 0.0]).unwrap_or(f64::NAN);
    // Just inside the metal of the land, at the middle of its lowest cells.
    let inside = 1e-6;
    LandMelt {
        left_m: side(-half_gap - inside, -inside, -1.0),
        right_m: side(half_gap + inside, -joint.mismatch_m - inside, 1.0),
    }
}

/// A place on the contact of a bead, m (y across, z down), and the way into
/// the metal.
struct Place {
    at: [f64; 2],
    into: [f64; 2],
}

/// The places of a bead on one wall: the land's face and the bevel.
fn wall_places(joint: &Joint, side: f64, from_m: f64, to_m: f64) -> Vec<Place> {
    let (land_m, foot_m) = if side < 0.0 {
        (joint.root_face_left_m, 0.0)
    } else {
        (joint.root_face_right_m + joint.mismatch_m, joint.mismatch_m)
    };
    let bevel = joint.bevel_rad();
    let top_m = to_m.min(joint.thickness_m + if side > 0.0 { joint.mismatch_m } else { 0.0 }) - EDGE_M;
    let bottom_m = from_m.max(foot_m) + EDGE_M;
    // A wall too short to leave out both its ends is read in its middle.
    let (bottom_m, top_m) = match top_m - bottom_m {
        rest if rest >= 0.0 => (bottom_m, top_m),
        rest if rest > SHORT_M - 2.0 * EDGE_M => (0.5 * (bottom_m + top_m), 0.5 * (bottom_m + top_m)),
        _ => (bottom_m, top_m),
    };
    let count = ((top_m - bottom_m) / SPACING_M).floor();
    (0..steps_of(count))
        .map(|i| {
            let up = bottom_m + SPACING_M * i as f64;
            let y = side * (0.5 * joint.root_opening_m + bevel.tan() * (up - land_m).max(0.0));
            let into = if up > land_m { [side * bevel.cos(), bevel.sin()] } else { [side, 0.0] };
            Place { at: [y, -up], into }
        })
        .collect()
}

/// Places at both ends and between for a whole count of spacings; none for a
/// contact shorter than nothing.
fn steps_of(count: f64) -> usize {
    if count >= 0.0 { count as usize + 1 } else { 0 }
}

/// The places of a bead on the beads below it.
fn floor_places(section: &Section, index: usize) -> Vec<Place> {
    let bead = &section.beads[index];
    let (low, _) = range(&bead.outline, 1);
    let on_floor = |p: &&[f64; 2]| (p[1] - low).abs() < 1e-3;
    let (left, right) = bead
        .outline
        .iter()
        .flatten()
        .filter(on_floor)
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, r), p| (l.min(p[0]), r.max(p[0])));
    let (left_m, right_m) = (1e-3 * left + EDGE_M, 1e-3 * right - EDGE_M);
    let count = ((right_m - left_m) / SPACING_M).floor();
    let steps = if index == 0 { 0 } else { steps_of(count) };
    (0..steps).map(|i| Place { at: [left_m + SPACING_M * i as f64, -1e-3 * low], into: [0.0, 1.0] }).collect()
}

/// Reads the whole contact of a bead.
pub(crate) fn contact(joint: &Joint, section: &Section, index: usize, field: &PassField) -> Contact {
    let bead = &section.beads[index];
    let (low, high) = range(&bead.outline, 1);
    let (left, right) = range(&bead.outline, 0);
    let mut contact = Contact {
        left_m: None,
        right_m: None,
        below_m: None,
        deepest_m: f64::NEG_INFINITY,
        thinnest_mm: [0.0; 2],
    };
    let mut least_m = f64::INFINITY;
    let mut read = |places: Vec<Place>, within: &dyn Fn(&Place) -> bool| {
        let mut least: Option<f64> = None;
        for place in places.into_iter().filter(|p| within(p)) {
            // A hair into the metal, so that the place's own cell is read.
            let from = [place.at[0] + 1e-6 * place.into[0], place.at[1] + 1e-6 * place.into[1]];
            let Some(depth) = melted_m(field, from, place.into) else { continue };
            least = Some(least.map_or(depth, |l| l.min(depth)));
            contact.deepest_m = contact.deepest_m.max(depth);
            if depth < least_m {
                least_m = depth;
                contact.thinnest_mm = [1e3 * place.at[0], -1e3 * place.at[1]];
            }
        }
        least
    };
    // A bead next to others touches only the wall it reaches.
    let reaches = move |p: &Place| 1e3 * p.at[0] > left - 0.1 && 1e3 * p.at[0] < right + 0.1;
    let (from_m, to_m) = (1e-3 * low, 1e-3 * high);
    let left_least = read(wall_places(joint, -1.0, from_m, to_m), &reaches);
    let right_least = read(wall_places(joint, 1.0, from_m, to_m), &reaches);
    let below_least = read(floor_places(section, index), &|_| true);
    contact.left_m = left_least;
    contact.right_m = right_least;
    contact.below_m = below_least;
    contact
}

/// Unmelted metal between the pool and the underside at its thinnest, m, over
/// all columns with metal at the bottom; where liquid reached the underside,
/// half the width over which it did, negative.
pub(crate) fn ligament_m(field: &PassField) -> f64 {
    let (ny, nz) = (field.y.cells(), field.z.cells());
    let is_molten = |cell: usize| field.peak_k[cell] >= fusion_k();
    let column = |i: usize| -> Option<f64> {
        let cells = (0..nz).rev().map(|k| k * ny + i).filter(|c| field.peak_k[*c].is_finite());
        let mut solid = None;
        for cell in cells {
            let height = field.z.width_m(cell / ny) * field.fraction[cell];
            if is_molten(cell) {
                return Some(solid.unwrap_or(0.0));
            }
            solid = Some(solid.unwrap_or(0.0) + height);
        }
        // A column that never melted leaves its whole height.
        solid
    };
    let least = (0..ny).filter_map(column).fold(f64::INFINITY, f64::min);
    if least > 0.0 {
        return least;
    }
    let through = (0..ny).filter(|i| column(*i) == Some(0.0)).map(|i| field.y.width_m(i)).sum::<f64>();
    // A half section holds half the width already.
    if field.mirror { -through } else { -0.5 * through }
}

/// Share of an earlier bead's metal that melted again.
pub(crate) fn remelted_share(below: &Bead, field: &PassField) -> f64 {
    let (left, right) = range(&below.outline, 0);
    let (low, high) = range(&below.outline, 1);
    const STEPS: usize = 40;
    let (mut metal, mut melted) = (0usize, 0usize);
    for i in 0..STEPS {
        for k in 0..STEPS {
            let share = |n: usize| (n as f64 + 0.5) / STEPS as f64;
            let x = left + (right - left) * share(i);
            let y = low + (high - low) * share(k);
            if !inside(below, [x, y]) {
                continue;
            }
            let Some(t) = field.peak_k_at(1e-3 * x, -1e-3 * y) else { continue };
            metal += 1;
            melted += usize::from(t >= fusion_k());
        }
    }
    melted as f64 / metal.max(1) as f64
}

/// Whether a point lies in a bead, by counting crossings to its right.
fn inside(bead: &Bead, [x, y]: [f64; 2]) -> bool {
    let crossings =
        bead.outline.iter().flat_map(|ring| ring.iter().zip(ring.iter().cycle().skip(1))).filter(|(a, b)| {
            (a[1] > y) != (b[1] > y) && x < a[0] + (y - a[1]) / (b[1] - a[1]) * (b[0] - a[0])
        });
    crossings.count() % 2 == 1
}

/// A place just outside the fused zone next to the middle of the bead's wall,
/// with the way into the plate.
fn wall_place(joint: &Joint, section: &Section, index: usize, field: &PassField) -> Option<(Place, f64)> {
    let (low, high) = range(&section.beads[index].outline, 1);
    let (left, right) = range(&section.beads[index].outline, 0);
    // The wall that the bead stands nearer to.
    let side = if left + right < -1e-3 { -1.0 } else { 1.0 };
    let places = wall_places(joint, side, 1e-3 * low, 1e-3 * high);
    let middle = places.len() / 2;
    let place = places.into_iter().nth(middle)?;
    // A bead between others has no wall of its own to be read next to.
    let reaches = 1e3 * place.at[0] > left - 0.5 && 1e3 * place.at[0] < right + 0.5;
    if !reaches {
        return None;
    }
    let fused = melted_m(field, place.at, place.into)?.max(0.0);
    Some((place, fused))
}

/// Distance beyond the fused zone at which the cooling time is read, m (choice:
/// in the coarse-grained zone, past the cell that holds the edge).
const HAZ_PLACE_M: f64 = 0.5e-3;

/// Cooling time just outside the fused zone, s.
pub(crate) fn t85_s(joint: &Joint, section: &Section, index: usize, field: &PassField) -> Option<f64> {
    let (place, fused) = wall_place(joint, section, index, field)?;
    let d = fused + HAZ_PLACE_M;
    let cell = field.cell_at(place.at[0] + d * place.into[0], place.at[1] + d * place.into[1])?;
    field.history(cell).t85_s
}

/// Width from the edge of fusion to where austenite just began, m.
pub(crate) fn haz_width_m(
    coupon: &Coupon,
    section: &Section,
    index: usize,
    field: &PassField,
) -> Option<f64> {
    let steel = bendproof_weld::steel::steel_named(&coupon.fit.steel)?;
    let ends_k = ae1_k(&steel.composition()?.value);
    let (place, fused) = wall_place(&coupon.fit.joint, section, index, field)?;
    let at = |d: f64| field.peak_k_at(place.at[0] + d * place.into[0], place.at[1] + d * place.into[1]);
    let mut d = fused;
    while d < fused + REACH_M {
        if at(d)? < ends_k {
            return Some(d - fused);
        }
        d += STEP_M;
    }
    None
}
