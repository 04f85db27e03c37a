//! Drawings of one coupon, for the page (colours are CSS variables) or for paper.

use bendproof_drawing as draw;
use bendproof_drawing::{Frame, Theme, Words};
use bendproof_forecast::{Forecast, Limits};
use bendproof_measure::System;
use bendproof_weld::{Coupon, Fit};

use super::look::Look;

/// Scale of the section, user units per millimetre, for plates up to this
/// thickness; thicker ones are drawn smaller so that the sheet stays a sheet.
const SECTION_PX_PER_MM: f64 = 11.0;
const SECTION_FULL_SCALE_MM: f64 = 13.0;
/// Plate drawn beyond the groove on each side, mm.
pub(crate) const SHOULDER_MM: f64 = 8.0;
/// The least of it, user units: what the size of a root face takes next to the groove.
const SHOULDER_PX: f64 = 96.0;

/// A groove to scale.
pub(crate) fn groove(drawn: &draw::Fit, system: System, look: Look) -> String {
    let theme = if look == Look::Screen { Theme::web() } else { Theme::paper() };
    let frame = Frame {
        id: "fit",
        title: "The fit",
        desc: "Both edges to scale with opening, root faces, angle and mismatch.",
        theme: &theme,
        words: &Words::of(system),
    };
    let px_per_mm = section_scale(drawn.thickness_mm, look);
    draw::groove_fit(&with_room(drawn.clone(), px_per_mm), px_per_mm, &frame)
}

/// The same with plate enough to write the root faces into.
fn with_room(fit: draw::Fit, px_per_mm: f64) -> draw::Fit {
    draw::Fit { shoulder_mm: fit.shoulder_mm.max(SHOULDER_PX / px_per_mm), ..fit }
}

pub(crate) fn drawn_fit(fit: &Fit) -> draw::Fit {
    let j = &fit.joint;
    draw::Fit {
        thickness_mm: j.thickness_m * 1e3,
        root_opening_mm: j.root_opening_m * 1e3,
        land_mm: [j.root_face_left_m * 1e3, j.root_face_right_m * 1e3],
        bevel_deg: [j.bevel_rad().to_degrees(); 2],
        mismatch_mm: j.mismatch_m * 1e3,
        shoulder_mm: SHOULDER_MM,
        ..draw::Fit::default()
    }
}

fn section_scale(thickness_mm: f64, look: Look) -> f64 {
    look.scale() * SECTION_PX_PER_MM * (SECTION_FULL_SCALE_MM / thickness_mm).min(1.0)
}

/// The section of a coupon with its beads, for drawing.
pub(crate) fn section(
    coupon: &Coupon,
    forecast: &Forecast,
    limits: &Limits,
    look: Look,
) -> draw::CrossSection {
    let px_per_mm = section_scale(coupon.fit.joint.thickness_m * 1e3, look);
    let kind = |pass: usize| forecast.passes.get(pass - 1).map_or("bead", |p| p.kind.word());
    draw::CrossSection {
        fit: with_room(drawn_fit(&coupon.fit), px_per_mm),
        plates: Vec::new(),
        backing: Vec::new(),
        beads: forecast
            .section
            .beads
            .iter()
            .flat_map(|bead| {
                // A bead cut by a step may be drawn in two pieces; the number
                // goes on the first.
                bead.outline.iter().enumerate().map(move |(piece, ring)| draw::Bead {
                    label: if piece == 0 { bead.number.to_string() } else { String::new() },
                    title: format!("bead {}, {}", bead.number, kind(bead.pass)),
                    outline: ring.clone(),
                    shade: bead.number,
                })
            })
            .collect(),
        melted: Vec::new(),
        cap_limit_mm: limits.crown_m(coupon).map(|m| m * 1e3),
        root_limit_mm: limits.melt_through_m(forecast.root.width_m.unwrap_or(0.0)).map(|m| m * 1e3),
        px_per_mm,
    }
}
