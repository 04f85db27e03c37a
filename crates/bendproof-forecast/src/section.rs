//! The cross-section: plates, and the beads laid into what is left between them.

use bendproof_weld::Joint;
use bendproof_weld::groove::{CAP_OVERLAP_M, Groove};
use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::float::single::SingleFloatOverlay;

/// A point of the section, mm: x across the joint from its centre line, y up
/// from the underside of the left member.
pub type Point = [f64; 2];

/// Half width of plate drawn and clipped on each side, mm.
const DRAWN_HALF_WIDTH_MM: f64 = 32.0;
/// Straight pieces in the drawn curve of a crown or a root.
const CURVE_PIECES: usize = 16;

/// One bead on the section.
#[derive(Debug, Clone, PartialEq)]
pub struct Bead {
    /// Bead number, 1 first.
    pub number: usize,
    /// 1-based number of the pass it belongs to.
    pub pass: usize,
    /// Outline, mm; one or more closed rings.
    pub outline: Vec<Vec<Point>>,
}

/// Plates and beads.
#[derive(Debug, Clone, PartialEq)]
pub struct Section {
    /// Outline of the left member, mm.
    pub left: Vec<Point>,
    /// Outline of the right member, mm; raised by the mismatch.
    pub right: Vec<Point>,
    /// Beads in the order laid.
    pub beads: Vec<Bead>,
}

/// Metal of one pass as a layer, m above the underside of the left member.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Layer {
    /// 1-based pass number.
    pub pass: usize,
    /// Beads side by side.
    pub beads: u32,
    /// Level before.
    pub from_m: f64,
    /// Level after, at most the top of the groove.
    pub to_m: f64,
    /// Height above the plate surface at the middle, 0 below the surface.
    pub crown_m: f64,
    /// Convex root below the underside, 0 for other passes.
    pub root_m: f64,
    /// Width of the liquid root, for the curve below the underside.
    pub root_width_m: f64,
}

/// The groove with the mismatch counted: the right member stands higher, so its
/// land ends higher above the left underside.
pub(crate) fn groove_with_mismatch(joint: &Joint) -> Groove {
    let plain = Groove::of_joint(joint);
    Groove { root_face_right_m: plain.root_face_right_m + joint.mismatch_m, ..plain }
}

/// The bare section of a joint, no beads.
pub fn section_of(joint: &Joint) -> Section {
    let mm = 1e3;
    let (t, h) = (joint.thickness_m * mm, joint.mismatch_m * mm);
    let half_gap = 0.5 * joint.root_opening_m * mm;
    let tangent = joint.bevel_rad().tan();
    let (left_land, right_land) = (joint.root_face_left_m * mm, joint.root_face_right_m * mm);
    let left_top = -half_gap - tangent * (t - left_land);
    let right_top = half_gap + tangent * (t - right_land);
    let far = DRAWN_HALF_WIDTH_MM.max(right_top + 8.0).max(8.0 - left_top);
    let left = vec![[-far, 0.0], [-half_gap, 0.0], [-half_gap, left_land], [left_top, t], [-far, t]];
    let right = vec![[far, h], [half_gap, h], [half_gap, right_land + h], [right_top, t + h], [far, t + h]];
    Section { left, right, beads: Vec::new() }
}

/// Lays the layers into the joint.
pub(crate) fn lay(joint: &Joint, layers: &[Layer]) -> Section {
    let mut section = section_of(joint);
    // Metal does not creep under the member that stands higher.
    let (far, raised) = (section.right[0][0], section.right[0][1]);
    let half_gap = section.right[1][0];
    let under = vec![[half_gap, 0.0], [far, 0.0], [far, raised], [half_gap, raised]];
    let mut number = 0;
    for layer in layers {
        let strip = strip(&section, joint, layer);
        let mut plates = vec![section.left.clone(), section.right.clone()];
        if raised > 0.0 {
            plates.push(under.clone());
        }
        let metal = strip.overlay(&plates, OverlayRule::Difference, FillRule::NonZero);
        for piece in side_by_side(&metal, layer.beads) {
            number += 1;
            section.beads.push(Bead { number, pass: layer.pass, outline: piece });
        }
    }
    section
}

/// A layer as a strip wider than the groove: flat below, and above either flat
/// or a crown; with the convex root hanging below it.
fn strip(section: &Section, joint: &Joint, layer: &Layer) -> Vec<Point> {
    let mm = 1e3;
    let (from, to) = (layer.from_m * mm, layer.to_m * mm);
    let mut ring = Vec::new();
    let edge = |i: usize, ring: &[Point]| ring[i][0];
    let groove_half = edge(1, &section.right);
    if layer.root_m > 0.0 {
        let half = (0.5 * layer.root_width_m * mm).max(groove_half);
        ring.extend(curve(-half, half, from, -layer.root_m * mm));
    } else {
        let x = if layer.from_m > 0.0 { DRAWN_HALF_WIDTH_MM } else { groove_half };
        ring.extend([[-x, from], [x, from]]);
    }
    if layer.crown_m > 0.0 {
        let overlap = 0.5 * CAP_OVERLAP_M * mm;
        let (left, right) = (edge(3, &section.left) - overlap, edge(3, &section.right) + overlap);
        let top = joint.thickness_m * mm;
        // The crown springs from each member's own surface.
        ring.push([right, top + joint.mismatch_m * mm]);
        let mut crown = curve(left, right, top, layer.crown_m * mm);
        crown.reverse();
        ring.extend(crown);
    } else {
        ring.extend([[DRAWN_HALF_WIDTH_MM, to], [-DRAWN_HALF_WIDTH_MM, to]]);
    }
    ring
}

/// A parabola over a span, left to right.
fn curve(left: f64, right: f64, base: f64, height: f64) -> Vec<Point> {
    (0..=CURVE_PIECES)
        .map(|i| {
            let share = i as f64 / CURVE_PIECES as f64;
            let x = left + (right - left) * share;
            [x, base + 4.0 * height * share * (1.0 - share)]
        })
        .collect()
}

/// Cuts the metal of a layer into beads of equal width.
fn side_by_side(metal: &[Vec<Vec<Point>>], beads: u32) -> Vec<Vec<Vec<Point>>> {
    let whole: Vec<Vec<Point>> = metal.iter().flatten().cloned().collect();
    let (mut left, mut right) = (f64::INFINITY, f64::NEG_INFINITY);
    for [x, _] in whole.iter().flatten() {
        left = left.min(*x);
        right = right.max(*x);
    }
    if beads <= 1 || left >= right {
        return vec![whole];
    }
    let width = (right - left) / f64::from(beads);
    (0..beads)
        .map(|i| {
            let (from, to) = (left + width * f64::from(i), left + width * f64::from(i + 1));
            let window = vec![[from, -1e3], [to, -1e3], [to, 1e3], [from, 1e3]];
            let cut = whole.overlay(&window, OverlayRule::Intersect, FillRule::NonZero);
            cut.into_iter().flatten().collect()
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use bendproof_weld::Backing;

    fn joint(mismatch_m: f64) -> Joint {
        Joint {
            thickness_m: 9.525e-3,
            groove_angle_rad: 60f64.to_radians(),
            root_opening_m: 3.175e-3,
            root_face_left_m: 1.5875e-3,
            root_face_right_m: 1.5875e-3,
            mismatch_m,
            backing: Backing::Open,
        }
    }

    fn area(outline: &[Vec<Point>]) -> f64 {
        outline
            .iter()
            .map(|ring| {
                let pairs = ring.iter().zip(ring.iter().cycle().skip(1));
                0.5 * pairs.map(|(a, b)| a[0] * b[1] - b[0] * a[1]).sum::<f64>()
            })
            .sum::<f64>()
            .abs()
    }

    fn layer(pass: usize, beads: u32, from_m: f64, to_m: f64) -> Layer {
        Layer { pass, beads, from_m, to_m, crown_m: 0.0, root_m: 0.0, root_width_m: 0.0 }
    }

    #[test]
    fn the_beads_fill_what_the_closed_form_says() {
        // The polygon library snaps to a grid of about 1e-7 of the drawing.
        const SNAP_MM2: f64 = 1e-3;
        for mismatch in [0.0, 0.8e-3] {
            let joint = joint(mismatch);
            let groove = groove_with_mismatch(&joint);
            let top = joint.thickness_m;
            let section =
                lay(&joint, &[layer(1, 1, 0.0, 4e-3), layer(2, 1, 4e-3, 7e-3), layer(3, 2, 7e-3, top)]);
            assert_eq!(section.beads.len(), 4);
            let polygons: f64 = section.beads.iter().map(|b| area(&b.outline)).sum();
            let closed = groove.area_up_to_m2(top) * 1e6;
            assert!((polygons - closed).abs() < SNAP_MM2, "{polygons} against {closed} at {mismatch}");
        }
    }

    #[test]
    fn a_crown_adds_its_parabola() {
        let joint = joint(0.0);
        let flat = lay(&joint, &[layer(1, 1, 7e-3, 9.525e-3)]);
        let crowned = lay(&joint, &[Layer { crown_m: 1.5e-3, ..layer(1, 1, 7e-3, 9.525e-3) }]);
        let face = Groove::of_joint(&joint).face_width_m();
        let expected = bendproof_weld::groove::cap_area_m2(face, 1.5e-3) * 1e6;
        let got = area(&crowned.beads[0].outline) - area(&flat.beads[0].outline);
        // The parabola is drawn with 16 straight pieces, which lose 1/16² of it.
        assert!((got / expected - 1.0).abs() < 1.0 / 16f64.powi(2) + 1e-4, "{got} against {expected}");
    }
}
