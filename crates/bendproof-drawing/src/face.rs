//! The convex face of a bent strap, rolled flat, with its openings.

use crate::dimension::{both, both_short};
use crate::metrics::text_width;
use crate::svg::{Anchor, Area, FINE, OUTLINE, Pen, SIZE_SMALL, Svg, Type};
use crate::{Frame, PX_PER_MM_RANGE, Weight};

/// Most openings drawn on one strap. Basis: choice; a strap with more is not
/// judged by counting.
const OPENINGS_MAX: usize = 200;
/// Millimetres in an eighth of an inch, the length of the scale bar.
const EIGHTH_MM: f64 = 3.175;

/// One opening on the convex face.
#[derive(Debug, Clone, PartialEq)]
pub struct FaceOpening {
    /// Its key, written to `data-opening`.
    pub id: String,
    /// Middle of the opening along the strap from the weld's middle, mm.
    pub x_mm: f64,
    /// Middle of the opening across the strap from its middle, mm, up positive.
    pub y_mm: f64,
    /// Length, mm.
    pub length_mm: f64,
    /// Direction from the strap's length, degrees.
    pub angle_deg: f64,
    /// Whether the rule counts it; one it does not count is drawn thin.
    pub counted: bool,
}

/// The convex face, x along the strap, y across it.
#[derive(Debug, Clone, PartialEq)]
pub struct StrapFace {
    /// Length of face shown, mm; the weld is in its middle.
    pub length_mm: f64,
    /// Width of the strap, mm.
    pub width_mm: f64,
    /// Width of the weld on this face, mm.
    pub weld_mm: f64,
    /// Openings.
    pub openings: Vec<FaceOpening>,
    /// Scale, user units per mm.
    pub px_per_mm: f64,
}

/// The face with its openings, each labelled with its length.
///
/// For pointing: `data-x0`, `data-y0` on the root are the user coordinates of
/// the face's middle and `data-px-per-mm` the scale, so a pointer at user
/// coordinates (u, v) is at x = (u − x0) / px, y = (y0 − v) / px millimetres.
/// `data-half-length` and `data-half-width` bound them, in millimetres.
pub fn strap_face(face: &StrapFace, frame: &Frame<'_>) -> String {
    let (svg, size) = draw(face, frame);
    svg.finish(frame, size[0], size[1])
}

pub(crate) fn draw(face: &StrapFace, frame: &Frame<'_>) -> (Svg, [f64; 2]) {
    let (mut svg, theme, px) = (Svg::default(), frame.theme, face.px_per_mm);
    let scale_known = (PX_PER_MM_RANGE[0]..=PX_PER_MM_RANGE[1]).contains(&px);
    if !scale_known || face.openings.len() > OPENINGS_MAX {
        svg.refuse();
        return (svg, [1.0, 1.0]);
    }
    let (margin, top) = (10.0, 6.0);
    let (wide, high) = (face.length_mm * px, face.width_mm * px);
    let centre = [margin + wide / 2.0, top + high / 2.0];
    svg.data("px-per-mm", px);
    svg.data("x0", centre[0]);
    svg.data("y0", centre[1]);
    svg.data("half-length", face.length_mm / 2.0);
    svg.data("half-width", face.width_mm / 2.0);
    let edge = Area { x0: margin, y0: top, x1: margin + wide, y1: top + high };
    svg.rect(edge, 0.0, &Pen::filled(theme.steel));
    let half = face.weld_mm * px / 2.0;
    let weld = Area { x0: centre[0] - half, x1: centre[0] + half, ..edge };
    svg.rect(weld, 0.0, &Pen::filled(theme.beads[0]));
    for x in [weld.x0, weld.x1] {
        svg.line([x, edge.y0], [x, edge.y1], &Pen::line(theme.ink, FINE).dashed("5 3"));
    }
    svg.rect(edge, 0.0, &Pen::line(theme.ink, OUTLINE));
    draw_openings(&mut svg, face, centre, &edge, frame);
    draw_scale(&mut svg, px, &edge, frame);
    (svg, [wide + 2.0 * margin, edge.y1 + 26.0])
}

fn draw_openings(svg: &mut Svg, face: &StrapFace, centre: [f64; 2], edge: &Area, frame: &Frame<'_>) {
    let (theme, px) = (frame.theme, face.px_per_mm);
    let ends: Vec<[[f64; 2]; 2]> = face.openings.iter().map(|o| opening_ends(o, centre, px)).collect();
    let mut taken: Vec<Area> = ends.iter().map(around).collect();
    for (opening, [a, b]) in face.openings.iter().zip(&ends) {
        let label = both_short(opening.length_mm, frame.words);
        svg.group("opening", &[("data-opening", &opening.id)], &label);
        let weight = if opening.counted { 3.6 } else { 1.4 };
        svg.line(*a, *b, &Pen::line(theme.accent, weight));
        let type_ = Type::new(theme.ink, SIZE_SMALL, Anchor::Middle).bold();
        let spot = label_spot(&label, [*a, *b], &taken, edge, &type_);
        let area = Area::of_text(spot[0], spot[1], &label, &type_);
        let ground = Area { x0: area.x0 - 2.0, y0: area.y0 - 1.5, x1: area.x1 + 2.0, y1: area.y1 + 1.0 };
        svg.rect(ground, 1.5, &Pen::filled(theme.paper));
        svg.text(spot[0], spot[1], &label, &type_);
        taken.push(ground);
        svg.end();
    }
}

/// Ends of an opening in user units; at least a dot, so that none disappears.
fn opening_ends(opening: &FaceOpening, centre: [f64; 2], px: f64) -> [[f64; 2]; 2] {
    let middle = [centre[0] + opening.x_mm * px, centre[1] - opening.y_mm * px];
    let half = opening.length_mm * px / 2.0;
    let angle = opening.angle_deg.to_radians();
    let (dx, dy) = (half * angle.cos(), -half * angle.sin());
    [[middle[0] - dx, middle[1] - dy], [middle[0] + dx, middle[1] + dy]]
}

fn around([a, b]: &[[f64; 2]; 2]) -> Area {
    const CLEAR: f64 = 3.0;
    Area {
        x0: a[0].min(b[0]) - CLEAR,
        y0: a[1].min(b[1]) - CLEAR,
        x1: a[0].max(b[0]) + CLEAR,
        y1: a[1].max(b[1]) + CLEAR,
    }
}

/// The nearest place around an opening where its label meets nothing.
fn label_spot(label: &str, ends: [[f64; 2]; 2], taken: &[Area], edge: &Area, face: &Type<'_>) -> [f64; 2] {
    let own = around(&ends);
    let middle = [(own.x0 + own.x1) / 2.0, (own.y0 + own.y1) / 2.0];
    let half = text_width(label, face.size, Weight::SemiBold) / 2.0;
    let line = face.size + 4.0;
    let mut first = None;
    for ring in 0..6 {
        let far = f64::from(ring) * line;
        let tries = [
            [middle[0], own.y0 - 6.0 - far],
            [middle[0], own.y1 + 12.5 + far],
            [own.x1 + half + 5.0 + far, middle[1] + 4.0],
            [own.x0 - half - 5.0 - far, middle[1] + 4.0],
        ];
        for spot in tries {
            let area = Area::of_text(spot[0], spot[1], label, face);
            let area = Area { x0: area.x0 - 3.0, y0: area.y0 - 3.0, x1: area.x1 + 3.0, y1: area.y1 + 3.0 };
            let inside = area.x0 >= edge.x0 && area.x1 <= edge.x1 && area.y0 >= edge.y0 && area.y1 <= edge.y1;
            if inside && !taken.iter().any(|t| t.meets(&area)) {
                return spot;
            }
            first.get_or_insert(spot);
        }
    }
    first.unwrap_or(middle)
}

/// A bar an eighth of an inch long, in two halves, under the face.
fn draw_scale(svg: &mut Svg, px: f64, edge: &Area, frame: &Frame<'_>) {
    let theme = frame.theme;
    let (x0, y) = (edge.x0, edge.y1 + 9.0);
    let half = EIGHTH_MM * px / 2.0;
    let bar = |from: f64| Area { x0: x0 + from, y0: y, x1: x0 + from + half, y1: y + 5.0 };
    svg.group("scale", &[], "");
    svg.rect(bar(0.0), 0.0, &Pen::line(theme.ink, FINE).with_fill(theme.ink));
    svg.rect(bar(half), 0.0, &Pen::line(theme.ink, FINE).with_fill(theme.paper));
    let label = both(EIGHTH_MM, frame.words);
    let face = Type::new(theme.ink_soft, SIZE_SMALL, Anchor::Start);
    svg.text(x0 + 2.0 * half + 7.0, y + 6.0, &label, &face);
    svg.end();
}
