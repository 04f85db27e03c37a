//! Drawings to scale, as SVG text: the groove, the beads in it, the straps cut
//! from the coupon, the bent strap and its convex face, the map of two settings,
//! the chart of what a test covers, the time line of what a person holds, and the pictures of solved heat: etched section, film, cooling curves. Rules
//! and verdict bars belong to the page, which must stretch them.
//!
//! Every function is pure: plain numbers in millimetres go in, one complete
//! `<svg>` element comes out, the same bytes every time. The crate decides
//! nothing and computes no weld; it knows no coupon, no code and no forecast.
//! Words a reader sees arrive from the caller or from [`Words`], so that one
//! catalogue can translate them.
//!
//! # Frames of reference
//! Sections use millimetres with x to the right, zero at the middle of the root
//! opening, and y up, zero at the root surface of the left-hand plate. Each
//! drawing writes `data-px-per-mm`, `data-x0` and `data-y0` on its root element:
//! a point (x, y) in millimetres lies at SVG user coordinates
//! (`x0 + x · px_per_mm`, `y0 − y · px_per_mm`).
//!
//! # Bad numbers
//! A drawing that receives a number that is not finite, or a scale outside
//! [`PX_PER_MM_RANGE`], is replaced by a card that says so. A live page is better
//! served by a card in one place than by an error that empties the sheet.

mod bent;
mod callout;
mod comparison;
mod contour;
mod cooling;
mod coverage;
mod coverage_poses;
mod dimension;
mod etch;
mod etch_layers;
mod face;
mod film;
mod fit;
mod geometry;
mod grid;
mod heat_look;
mod ink;
mod layout;
mod metrics;
mod palette;
mod section;
mod svg;
mod theme;
mod timeline;
mod window;
mod window_cells;

pub use bent::{BentStrap, bent_strap};
pub use callout::Callout;
pub use comparison::{CompareRow, Comparison, comparison};
pub use contour::{Band, Isoline, bands, isoline_area, isolines};
pub use cooling::{
    COOLING_POINTS_MAX, COOLING_SERIES_MAX, CoolingChart, CoolingSeries, TimeAxis, cooling_chart,
};
pub use coverage::{CoverChart, CoverGroup, CoverRow, CoverSign, CoverSpan, CoverWords, coverage_chart};
pub use coverage_poses::{CoverPose, Facing, PoseShape};
pub use etch::{ETCH_BEADS_MAX, Etch, EtchBead, EtchTemperatures, macro_etch};
pub use face::{FaceOpening, StrapFace, strap_face};
pub use film::{ArcMark, HeatFrame, PROBES_MAX, Probe, heat_frame};
pub use fit::Fit;
pub use grid::{GRID_CELLS_MAX, GridError, SectionGrid};
pub use heat_look::{HeatLook, HeatWords};
pub use layout::{
    Piece, PieceKind, PipeLayout, PipePiece, PlateLayout, strap_layout_pipe, strap_layout_plate,
};
pub use metrics::{Weight, text_width};
pub use palette::{Ground, OkLab, RAMP_BANDS, Tones, ramp, ramp_css_variables};
pub use section::{Bead, CrossSection, cross_section, groove_fit};
pub use theme::{Frame, Sign, Theme, Words};
pub use timeline::{TimeLane, TimeSign, TimeSpan, Timeline, timeline};
pub use window::{MapCell, MapKey, Tick, WindowMap, window_map};

/// A point in millimetres, in the frame each drawing documents.
pub type Point = [f64; 2];

/// Smallest and largest drawing scale accepted, in SVG user units per
/// millimetre. Basis: choice; below it nothing is legible, above it one plate
/// is wider than any screen.
pub const PX_PER_MM_RANGE: [f64; 2] = [0.05, 200.0];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::svg::{Area, Svg};

    fn framed(check: impl Fn(&Frame<'_>)) {
        let (theme, words) = (Theme::paper(), Words::english());
        check(&Frame { id: "t", title: "t", desc: "", theme: &theme, words: &words });
    }

    fn assert_apart(svg: &Svg, what: &str) {
        for (index, a) in svg.texts.iter().enumerate() {
            for b in &svg.texts[index + 1..] {
                assert!(!a.meets(b), "{what}: labels overlap: {a:?} {b:?}");
            }
        }
    }

    fn assert_on_sheet(svg: &Svg, size: [f64; 2], what: &str) {
        let sheet = Area { x0: 0.0, y0: 0.0, x1: size[0], y1: size[1] };
        for t in &svg.texts {
            let inside = t.x0 >= sheet.x0 && t.x1 <= sheet.x1 && t.y0 >= sheet.y0 && t.y1 <= sheet.y1;
            assert!(inside, "{what}: {t:?} leaves {sheet:?}");
        }
    }

    #[test]
    fn labels_of_a_section_never_meet_or_leave_the_sheet() {
        framed(|frame| {
            for mismatch_mm in [-2.0, -0.5, 0.0, 0.5, 2.0] {
                for root_opening_mm in [0.0, 1.6, 3.2, 6.4] {
                    for land in [0.0, 0.8, 3.2] {
                        for thickness_mm in [6.4, 9.5, 25.4] {
                            let fit = Fit {
                                thickness_mm,
                                root_opening_mm,
                                land_mm: [land, land],
                                bevel_deg: [30.0, 22.5],
                                mismatch_mm,
                                shoulder_mm: 6.0,
                                ..Fit::default()
                            };
                            let drawn = section::draw(
                                &CrossSection {
                                    fit,
                                    plates: Vec::new(),
                                    backing: Vec::new(),
                                    beads: Vec::new(),
                                    melted: Vec::new(),
                                    cap_limit_mm: Some(3.2),
                                    root_limit_mm: Some(3.2),
                                    px_per_mm: 12.0,
                                },
                                frame,
                            );
                            let what = format!("{mismatch_mm} {root_opening_mm} {land} {thickness_mm}");
                            assert_apart(&drawn.svg, &what);
                            assert_on_sheet(&drawn.svg, drawn.size, &what);
                        }
                    }
                }
            }
        });
    }

    #[test]
    fn labels_of_curved_and_double_grooves_never_meet_or_leave_the_sheet() {
        framed(|frame| {
            for thickness_mm in [19.0, 25.4, 50.8] {
                for (radius, back) in [(6.4, 0.0), (3.2, 0.0), (0.0, 7.0), (6.4, 7.0), (3.2, 3.2)] {
                    for (px_per_mm, land, left) in [(5.5, 1.6, true), (2.8, 3.2, false), (11.0, 0.0, true)] {
                        let both = |value: f64| if left { [value; 2] } else { [0.0, value] };
                        let fit = Fit {
                            thickness_mm,
                            root_opening_mm: 3.2,
                            land_mm: [if left { land } else { thickness_mm }, land],
                            bevel_deg: both(20.0),
                            radius_mm: both(radius),
                            back_mm: both(back),
                            mismatch_mm: 0.0,
                            shoulder_mm: 16.0,
                        };
                        let section = CrossSection::bare(fit, px_per_mm);
                        let drawn = section::draw(&section, frame);
                        let what = format!("{thickness_mm} {radius} {back} {px_per_mm}");
                        assert_apart(&drawn.svg, &what);
                        assert_on_sheet(&drawn.svg, drawn.size, &what);
                    }
                }
            }
        });
    }

    #[test]
    fn labels_of_openings_avoid_each_other() {
        framed(|frame| {
            let openings = (0..8)
                .map(|k| FaceOpening {
                    id: k.to_string(),
                    x_mm: f64::from(k % 3) * 2.0,
                    y_mm: f64::from(k) * 1.5 - 6.0,
                    length_mm: 1.6,
                    angle_deg: 0.0,
                    counted: true,
                })
                .collect();
            let case = StrapFace { length_mm: 60.0, width_mm: 38.0, weld_mm: 15.0, openings, px_per_mm: 7.0 };
            let (svg, size) = face::draw(&case, frame);
            assert_apart(&svg, "face");
            assert_on_sheet(&svg, size, "face");
        });
    }

    #[test]
    fn labels_of_narrow_pieces_never_meet() {
        framed(|frame| {
            let piece = |from_mm: f64, to_mm: f64| Piece {
                mark: "S1".into(),
                word: "side bend".into(),
                kind: PieceKind::Strap,
                from_mm,
                to_mm,
            };
            let pieces = (0..8).map(|k| piece(f64::from(k) * 12.0, f64::from(k) * 12.0 + 10.0)).collect();
            let case =
                PlateLayout { length_mm: 120.0, width_mm: 100.0, weld_mm: 10.0, pieces, px_per_mm: 2.2 };
            let (svg, size) = layout::draw_plate(&case, frame);
            assert_apart(&svg, "plate");
            assert_on_sheet(&svg, size, "plate");
        });
    }
}
