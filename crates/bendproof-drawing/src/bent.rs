//! The strap bent over its former, seen from the side.

use crate::dimension::{self, both};
use crate::section::draw_hatch;
use crate::svg::{Anchor, FINE, OUTLINE, Pen, SIZE_LABEL, SIZE_SMALL, Svg, Type};
use crate::{Frame, PX_PER_MM_RANGE};

/// Straight leg drawn below the bend, as a share of the outer radius. Basis:
/// choice; a bent strap's legs are longer, the drawing need not be.
const LEG_SHARE: f64 = 0.75;
/// Points on one arc of the weld zone. Basis: choice, finer than a pixel.
const ARC_POINTS: usize = 16;

/// A strap bent half a turn.
#[derive(Debug, Clone, PartialEq)]
pub struct BentStrap {
    /// Strap thickness, mm.
    pub thickness_mm: f64,
    /// Diameter of the former, mm.
    pub former_mm: f64,
    /// Whether that is what the code asks for, and is written on it.
    pub is_former_known: bool,
    /// Width of the weld on the convex and on the concave surface, mm.
    pub weld_mm: [f64; 2],
    /// Places of openings on the convex surface, mm along it from the weld's
    /// middle, right positive.
    pub openings_mm: Vec<f64>,
    /// Scale, user units per mm.
    pub px_per_mm: f64,
}

/// The bent strap on its former, weld zone shaded.
///
/// `data-x0`, `data-y0` are the former's centre.
pub fn bent_strap(strap: &BentStrap, frame: &Frame<'_>) -> String {
    let (svg, size) = draw(strap, frame);
    svg.finish(frame, size[0], size[1])
}

pub(crate) fn draw(strap: &BentStrap, frame: &Frame<'_>) -> (Svg, [f64; 2]) {
    let (mut svg, theme, px) = (Svg::default(), frame.theme, strap.px_per_mm);
    let scale_known = (PX_PER_MM_RANGE[0]..=PX_PER_MM_RANGE[1]).contains(&px);
    if !scale_known || strap.thickness_mm <= 0.0 || strap.former_mm <= 0.0 {
        svg.refuse();
        return (svg, [1.0, 1.0]);
    }
    let inner = strap.former_mm / 2.0 * px;
    let outer = inner + strap.thickness_mm * px;
    let leg = outer * LEG_SHARE;
    let margin = 16.0;
    let centre = [margin + outer, margin + outer];
    svg.data("px-per-mm", px);
    svg.data("x0", centre[0]);
    svg.data("y0", centre[1]);
    draw_former(&mut svg, centre, inner, Some(strap.former_mm).filter(|_| strap.is_former_known), frame);
    draw_strap(&mut svg, centre, [inner, outer], leg, frame);
    draw_weld(&mut svg, strap, centre, [inner, outer], frame);
    for place in &strap.openings_mm {
        let angle = place * px / outer;
        let at = |r: f64| [centre[0] + r * angle.sin(), centre[1] - r * angle.cos()];
        svg.line(at(outer - 4.0), at(outer + 5.0), &Pen::line(theme.accent, OUTLINE * 2.0));
    }
    (svg, [2.0 * centre[0], centre[1] + leg.max(inner) + margin + 6.0])
}

fn draw_former(svg: &mut Svg, centre: [f64; 2], radius: f64, size_mm: Option<f64>, frame: &Frame<'_>) {
    let theme = frame.theme;
    svg.group("former", &[], "");
    let rim = (radius - 1.5).max(1.0);
    svg.circle(centre, rim, &Pen::line(theme.ink_soft, FINE).with_fill(theme.shade));
    let [x, y] = centre;
    let axis = Pen::line(theme.ink_soft, FINE).dashed("8 2.5 1.5 2.5");
    svg.line([x, y - radius * 0.4], [x, y - 4.0], &axis);
    if let Some(size_mm) = size_mm {
        dimension::span(svg, [x - radius + 1.5, y], [x + radius - 1.5, y], theme);
        // The label sits under the diameter line, in two lines that fit the former.
        let bold = Type::new(theme.ink, SIZE_LABEL, Anchor::Middle).bold();
        svg.text(x, y + 16.0, &both(size_mm, frame.words), &bold);
    }
    svg.text(x, y + 30.0, &frame.words.former, &Type::new(theme.ink_soft, SIZE_SMALL, Anchor::Middle));
    svg.end();
}

fn draw_strap(svg: &mut Svg, centre: [f64; 2], [inner, outer]: [f64; 2], leg: f64, frame: &Frame<'_>) {
    let [x, y] = centre;
    let n = [x - outer, y + leg, y, outer, x + outer, x + inner, inner, x - inner].map(|v| svg.num(v));
    let [lo, foot, level, ro, hi, ri, r, li] = n;
    let commands = format!(
        "M{lo} {foot}L{lo} {level}A{ro} {ro} 0 0 1 {hi} {level}L{hi} {foot}L{ri} {foot}L{ri} {level}A{r} {r} 0 0 0 {li} {level}L{li} {foot}Z"
    );
    svg.path(&commands, &Pen::line(frame.theme.ink, OUTLINE).with_fill(frame.theme.steel));
}

fn draw_weld(
    svg: &mut Svg,
    strap: &BentStrap,
    centre: [f64; 2],
    [inner, outer]: [f64; 2],
    frame: &Frame<'_>,
) {
    let theme = frame.theme;
    let half =
        [strap.weld_mm[0] * strap.px_per_mm / 2.0 / outer, strap.weld_mm[1] * strap.px_per_mm / 2.0 / inner];
    let arc = |r: f64, from: f64, to: f64| {
        (0..=ARC_POINTS).map(move |k| {
            let angle = from + (to - from) * k as f64 / ARC_POINTS as f64;
            [centre[0] + r * angle.sin(), centre[1] - r * angle.cos()]
        })
    };
    let mut zone: Vec<[f64; 2]> = arc(outer, -half[0], half[0]).collect();
    zone.extend(arc(inner, half[1], -half[1]));
    svg.group("weld", &[], "");
    svg.run(&zone, true, &Pen::line(theme.ink, OUTLINE).with_fill(theme.beads[0]));
    draw_hatch(svg, &zone, 4.5, theme.ink);
    svg.end();
}
