//! The virtual macro-etch of a solved coupon, with its remarks. Draws through
//! the drawing crate and computes nothing.

use bendproof_drawing::{
    Callout, Etch, EtchBead, EtchTemperatures, Frame, Ground, HeatLook, Point, Theme, Words, macro_etch,
};
use bendproof_measure::celsius_from_kelvin;

use super::coupon::{COMPUTED, SolvedCoupon};
use super::field::Turned;
use super::table::{land_words, thinnest};
use crate::drawn::Look;

/// Plate shown next to the weld, mm: past the heated zone of a shop's bead.
pub(crate) const SHOULDER_MM: f64 = 7.0;
/// Width of the section itself on a desk, in a narrow window and on paper, user
/// units. Basis: choice; the narrow one is below what the drawing lists remarks
/// at, so that a phone shows the section whole.
const WIDE_PX: f64 = 760.0;
const NARROW_PX: f64 = 330.0;
const PAPER_PX: f64 = 440.0;

/// The theme and look of a place.
pub(crate) fn look_of(look: Look) -> (Theme, HeatLook) {
    match look {
        Look::Screen => (Theme::web(), HeatLook::english(Ground::Page)),
        Look::Paper => (Theme::paper(), HeatLook::english(Ground::Day)),
    }
}

/// Half the width shown, mm.
pub(crate) fn shown_half_mm(solved: &SolvedCoupon) -> f64 {
    let section = &solved.solved.section;
    let beads = section.beads.iter().flat_map(|b| b.outline.iter().flatten());
    let walls = [&section.left[3], &section.right[3]];
    beads.chain(walls).map(|p| p[0].abs()).fold(0.0, f64::max) + SHOULDER_MM
}

/// The plates as prepared, cut where the picture ends.
pub(crate) fn plates(solved: &SolvedCoupon) -> Vec<Vec<Point>> {
    let half = shown_half_mm(solved);
    let section = &solved.solved.section;
    let cut = |ring: &Vec<Point>| ring.iter().map(|p| [p[0].clamp(-half, half), p[1]]).collect();
    vec![cut(&section.left), cut(&section.right)]
}

/// The wide and the narrow picture; on paper only the first.
pub(crate) fn etches(solved: &SolvedCoupon, look: Look) -> [String; 2] {
    let width_mm = 2.0 * shown_half_mm(solved);
    match look {
        Look::Screen => [
            etch(solved, look, WIDE_PX / width_mm, "etch"),
            etch(solved, look, NARROW_PX / width_mm, "etch-narrow"),
        ],
        Look::Paper => [etch(solved, look, PAPER_PX / width_mm, "etch"), String::new()],
    }
}

fn etch(solved: &SolvedCoupon, look: Look, px_per_mm: f64, id: &str) -> String {
    let half = shown_half_mm(solved);
    let (theme, heat) = look_of(look);
    let words = Words::of(solved.system);
    let beads = solved.solved.beads.iter().zip(&solved.solved.section.beads).flat_map(|(bead, laid)| {
        let turned = Turned::of(bead, half);
        let peak_c = turned.celsius(|cell| bead.field.peak_k[cell]);
        let title = solved.bead_name(bead.number);
        // A bead cut by a step is drawn in pieces; the number goes on the first.
        laid.outline.iter().enumerate().map(move |(piece, ring)| EtchBead {
            label: if piece == 0 { bead.number.to_string() } else { String::new() },
            title: title.clone(),
            outline: ring.clone(),
            grid: turned.grid.clone(),
            peak_c: peak_c.clone(),
        })
    });
    let picture = Etch {
        plates: plates(solved),
        backing: Vec::new(),
        beads: beads.collect(),
        temperatures: temperatures(solved),
        callouts: callouts(solved),
        with_key: true,
        px_per_mm,
    };
    let title = format!("Predicted macroetch section of coupon {}: {COMPUTED}", solved.number);
    let desc = super::table::answers(solved).join(" ");
    macro_etch(&picture, &heat, &Frame { id, title: &title, desc: &desc, theme: &theme, words: &words })
}

/// The temperatures at which the picture changes.
pub(crate) fn temperatures(solved: &SolvedCoupon) -> EtchTemperatures {
    let zones = &solved.zones;
    EtchTemperatures {
        fusion_c: solved.fusion_c(),
        coarse_c: celsius_from_kelvin(zones.coarse_grain.value_k),
        fine_c: celsius_from_kelvin(zones.ac3.value_k),
        intercritical_c: celsius_from_kelvin(zones.ac1.value_k),
    }
}

/// Both root faces and the thinnest fusion.
fn callouts(solved: &SolvedCoupon) -> Vec<Callout> {
    let joint = &solved.coupon.fit.joint;
    let half_gap = 0.5e3 * joint.root_opening_m;
    let land = solved.solved.beads.iter().find_map(|b| b.land);
    let mut all = Vec::new();
    if let Some(land) = land {
        all.push(Callout {
            at: [-half_gap, 0.0],
            text: land_words("left root face", land.left_m, solved.system),
        });
        let right = [half_gap, 1e3 * joint.mismatch_m];
        all.push(Callout { at: right, text: land_words("right root face", land.right_m, solved.system) });
    }
    if let Some(thin) = thinnest(solved) {
        all.push(Callout { at: thin.at_mm, text: thin.words });
    }
    all
}
