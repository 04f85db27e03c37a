//! The drawings of one sheet.

use bendproof_codes::judged::{Layout, SpecimenPlan, StrapPlace};
use bendproof_drawing as draw;
use bendproof_drawing::{Frame, Theme, Words};
use bendproof_forecast::{Forecast, HeatOf, Knob, Scatter, Scope};
use bendproof_measure::System;
use bendproof_weld::{Coupon, Fit, Shape};

use crate::drawn::{Look, drawn_fit, groove, section};
use crate::forecast::Computed;
use crate::plates::PastPlate;
use crate::sheet::Drawings;
use crate::window::{Side, WindowOf, WindowRequest, drawn, mapped};

/// Scale of the plate seen from above, on the page and on paper, where the numbers
/// must stay readable in a third of the sheet.
const LAYOUT_PX_PER_MM: [f64; 2] = [2.6, 0.9];

/// Size of a pipe seen from its end, user units, on the page and on paper.
const PIPE_PX: [f64; 2] = [220.0, 120.0];

/// Width of plate drawn next to the weld in that view, both sides, mm (a 3 in
/// strip each side, common practice).
const LAYOUT_WIDTH_MM: f64 = 152.4;

/// Cells of the window map, across and up.
const MAP_CELLS: (usize, usize) = (36, 24);

/// Ends of the window map, in: opening and land.
const MAP_OPENING_IN: [f64; 2] = [0.0, 0.25];

const MAP_LAND_IN: [f64; 2] = [0.0, 0.1875];

/// Size of the map, on the page and on paper.
const MAP_SIZE_PX: [[f64; 2]; 2] = [[300.0, 200.0], [250.0, 140.0]];

const INCH_M: f64 = 0.0254;

/// Everything drawn from a readable coupon; only the fit when no more is known.
pub(crate) fn drawings(
    look: Look,
    fit: Option<&Fit>,
    full: Option<(&Coupon, &Forecast, &Scatter, HeatOf<'_>)>,
    computed: &Computed,
    plan: Option<&SpecimenPlan>,
    cut: &[String],
    near: &[&PastPlate],
) -> Drawings {
    let theme = if look == Look::Screen { Theme::web() } else { Theme::paper() };
    let (limits, system) = (&computed.limits, computed.system);
    let words = Words::of(system);
    let frame = |id: &'static str, title: &'static str, desc: &'static str| Frame {
        id,
        title,
        desc,
        theme: &theme,
        words: &words,
    };
    Drawings {
        fit: fit.map(|f| groove(&drawn_fit(f), system, look)).unwrap_or_default(),
        section: full
            .map(|(coupon, forecast, ..)| {
                let frame = frame("section", "The section with its beads", "Beads to scale in the order laid.");
                draw::cross_section(&section(coupon, forecast, limits, look), &frame)
            })
            .unwrap_or_default(),
        straps: full
            .zip(plan)
            .map(|((coupon, ..), plan)| {
                let frame = frame("straps", "Where the specimens are cut", "Cuts, specimens and discards along the weld.");
                layout(coupon, plan, cut, look, &frame)
            })
            .unwrap_or_default(),
        window: full
            .map(|(coupon, _, scatter, heat)| {
                let desc = "Hatched where the root fails, sparsely where it is marginal; the typical range as a frame.";
                let of = WindowOf { coupon, scatter, limits, heat };
                let size_px = MAP_SIZE_PX[usize::from(look == Look::Paper)];
                window(&of, near, size_px, &frame("window", "The root alone: opening against root face", desc))
            })
            .unwrap_or_default(),
    }
}

/// The layout that holds the kinds already cut, or the code's first.
fn chosen<'a>(plan: &'a SpecimenPlan, cut: &[String]) -> Option<&'a Layout> {
    let holds_all = |l: &&Layout| cut.iter().all(|kind| l.places.iter().any(|p| p.kind == *kind));
    plan.layouts.iter().find(holds_all).or_else(|| plan.layouts.first())
}

fn layout(coupon: &Coupon, plan: &SpecimenPlan, cut: &[String], look: Look, frame: &Frame<'_>) -> String {
    let Some(layout) = chosen(plan, cut) else { return String::new() };
    match coupon.fit.shape {
        Shape::Plate { length_m } => plate_layout(coupon, layout, length_m * 1e3, look, frame),
        Shape::Pipe { outside_diameter_m } => {
            pipe_layout(coupon, plan, layout, outside_diameter_m * 1e3, look, frame)
        }
    }
}

/// Places of a layout with their marks: R1, R2, F1 …
fn marked(layout: &Layout) -> Vec<(String, &StrapPlace)> {
    let mut counts = std::collections::BTreeMap::new();
    layout
        .places
        .iter()
        .map(|place| {
            let letter = place.kind.chars().next().unwrap_or('S').to_ascii_uppercase();
            let n = counts.entry(letter).and_modify(|n| *n += 1).or_insert(1);
            (format!("{letter}{n}"), place)
        })
        .collect()
}

fn plate_layout(coupon: &Coupon, layout: &Layout, length_mm: f64, look: Look, frame: &Frame<'_>) -> String {
    let mut pieces = Vec::new();
    let mut end_mm = 0.0;
    for (mark, place) in marked(layout) {
        let Some((from, to)) = place.along_m else { continue };
        if pieces.is_empty() && from > 0.0 {
            pieces.push(discard(0.0, from * 1e3));
        }
        pieces.push(draw::Piece {
            mark,
            word: format!("{} bend", place.kind),
            kind: draw::PieceKind::Strap,
            from_mm: from * 1e3,
            to_mm: to * 1e3,
        });
        end_mm = to * 1e3;
    }
    if end_mm > length_mm {
        // The coupon is shorter than the specimens it should give; the
        // findings say so, and a wrong cutting plan is not drawn.
        return String::new();
    }
    pieces.push(discard(end_mm, length_mm));
    let weld_mm = bendproof_weld::groove::Groove::of_joint(&coupon.fit.joint).face_width_m() * 1e3;
    let scale = LAYOUT_PX_PER_MM[usize::from(look == Look::Paper)];
    let px_per_mm = scale * (180.0 / length_mm).min(1.0);
    let plate = draw::PlateLayout { length_mm, width_mm: LAYOUT_WIDTH_MM, weld_mm, pieces, px_per_mm };
    draw::strap_layout_plate(&plate, frame)
}

fn pipe_layout(
    coupon: &Coupon,
    plan: &SpecimenPlan,
    layout: &Layout,
    outside_mm: f64,
    look: Look,
    frame: &Frame<'_>,
) -> String {
    let width_mm = |kind: &str| {
        let size = plan.straps.iter().find(|s| s.kind.word() == kind);
        size.map_or(LAYOUT_STRAP_MM, |s| s.width.inch_m * 1e3)
    };
    let pieces = marked(layout)
        .into_iter()
        .filter_map(|(mark, place)| {
            Some(draw::PipePiece {
                mark,
                word: format!("{} bend", place.kind),
                clock_deg: place.clock_deg?,
                width_mm: width_mm(&place.kind),
            })
        })
        .collect();
    let wall_mm = coupon.fit.joint.thickness_m * 1e3;
    let px_per_mm = PIPE_PX[usize::from(look == Look::Paper)] / outside_mm;
    draw::strap_layout_pipe(&draw::PipeLayout { outside_mm, wall_mm, pieces, px_per_mm }, frame)
}

/// Width of a strap drawn where the code gives none, mm (choice).
const LAYOUT_STRAP_MM: f64 = 38.0;

fn discard(from_mm: f64, to_mm: f64) -> draw::Piece {
    draw::Piece {
        mark: String::new(),
        word: "discard".to_owned(),
        kind: draw::PieceKind::Discard,
        from_mm,
        to_mm,
    }
}

/// The small map of the sheet: the root alone, opening against land.
fn window(of: &WindowOf<'_>, near: &[&PastPlate], size_px: [f64; 2], frame: &Frame<'_>) -> String {
    let side = |knob, ends: [f64; 2]| Side {
        knob,
        low_si: ends[0] * INCH_M,
        high_si: ends[1] * INCH_M,
        system: System::Inch,
    };
    let request = WindowRequest {
        x: side(Knob::RootOpening, MAP_OPENING_IN),
        y: side(Knob::RootFace, MAP_LAND_IN),
        cells: MAP_CELLS,
        scope: Scope::Root,
    };
    match mapped(of, &request, near) {
        Ok(window) => draw::window_map(&drawn(&window, size_px, false), frame),
        // Two fixed sides always make a map.
        Err(_) => String::new(),
    }
}
