//! Remarks next to a section with a leader to the place they speak of, or lettered
//! and listed under a section too narrow to have anything next to it.

use crate::heat_look::{Sheet, wrapped};
use crate::metrics::text_width;
use crate::svg::{Anchor, Area, FINE, OUTLINE, Pen, SIZE_SMALL, Svg, Type};
use crate::{Frame, Point, Weight};

/// Widest line of a remark, user units. Basis: choice.
const WIDTH_MAX: f64 = 112.0;
/// Height of a line of text and the gap between two remarks, user units.
const LINE: f64 = 14.0;
const GAP: f64 = 7.0;
/// A section narrower than this has its remarks listed below, user units: next to
/// it they would take more of a phone's width than the section. Basis: choice.
const NARROW: f64 = 420.0;
/// From the section to the text, user units.
const LEADER: f64 = 22.0;

/// A remark and the place it speaks of.
#[derive(Debug, Clone, PartialEq)]
pub struct Callout {
    /// The place, mm, in the frame of the drawing.
    pub at: Point,
    /// The remark: `land melted 0.6 mm past the edge`.
    pub text: String,
}

/// Room that remarks need left and right of a section `wide` user units wide; one
/// left of `middle` stands on the left.
pub(crate) fn room(all: &[Callout], middle: f64, wide: f64) -> [f64; 2] {
    let mut sides = [0.0_f64; 2];
    if wide < NARROW {
        return sides;
    }
    for callout in all {
        let side = usize::from(callout.at[0] >= middle);
        let lines = wrapped(&callout.text, WIDTH_MAX, SIZE_SMALL);
        let wide = lines.iter().map(|l| text_width(l, SIZE_SMALL, Weight::Medium)).fold(0.0, f64::max);
        sides[side] = sides[side].max(LEADER + wide);
    }
    sides
}

/// Draws the remarks next to `section`, in the order of their height, none over
/// another; returns the lowest y they reach.
pub(crate) fn callouts(
    svg: &mut Svg,
    all: &[Callout],
    sheet: Sheet,
    section: Area,
    frame: &Frame<'_>,
) -> f64 {
    if section.x1 - section.x0 < NARROW {
        return listed(svg, all, sheet, section, frame);
    }
    let theme = frame.theme;
    let middle = (section.x0 + section.x1) / 2.0;
    let mut order: Vec<(&Callout, Point)> = all.iter().map(|c| (c, sheet.at(c.at))).collect();
    order.sort_by(|a, b| a.1[1].total_cmp(&b.1[1]).then(a.1[0].total_cmp(&b.1[0])));
    let mut free = [section.y0; 2];
    svg.group("callouts", &[], "");
    for (callout, [u, v]) in order {
        let side = usize::from(u >= middle);
        let (edge, sign) = if side == 0 { (section.x0, -1.0) } else { (section.x1, 1.0) };
        let lines = wrapped(&callout.text, WIDTH_MAX, SIZE_SMALL);
        let high = lines.len() as f64 * LINE;
        let top = free[side].max(v - high / 2.0);
        free[side] = top + high + GAP;
        let (x, y) = (edge + sign * LEADER, top + high / 2.0);
        let pen = Pen::line(theme.accent, FINE * 1.2);
        svg.group("callout", &[], "");
        svg.run(&[[x - sign * 4.0, y], [edge + sign * 6.0, y], [u + sign * 2.6, v]], false, &pen);
        svg.circle([u, v], 2.6, &Pen::line(theme.accent, OUTLINE));
        let anchor = if side == 0 { Anchor::End } else { Anchor::Start };
        for (k, line) in lines.iter().enumerate() {
            let baseline = top + (k as f64 + 0.75) * LINE;
            svg.text(x, baseline, line, &Type::new(theme.ink, SIZE_SMALL, anchor));
        }
        svg.end();
    }
    svg.end();
    free[0].max(free[1])
}

/// Letters at the places and the remarks in a list below the section.
fn listed(svg: &mut Svg, all: &[Callout], sheet: Sheet, section: Area, frame: &Frame<'_>) -> f64 {
    let theme = frame.theme;
    let mut y = section.y1 + 10.0;
    svg.group("callouts", &[], "");
    for (callout, letter) in all.iter().zip(('a'..='z').cycle()) {
        let (mark, [u, v]) = (letter.to_string(), sheet.at(callout.at));
        let sign = if u < (section.x0 + section.x1) / 2.0 { -1.0 } else { 1.0 };
        svg.group("callout", &[], "");
        svg.circle([u, v], 2.6, &Pen::line(theme.accent, OUTLINE));
        let face = Type::new(theme.accent, SIZE_SMALL, Anchor::Middle).bold();
        let ground = |[x, baseline]: Point| {
            let area = Area::of_text(x, baseline, &mark, &face);
            Area { x0: area.x0 - 2.5, y0: area.y0 - 1.5, x1: area.x1 + 2.5, y1: area.y1 }
        };
        // Next to its place, where it covers no number of a bead.
        let places = [[sign, 4.0], [-sign, 4.0], [sign, -9.0], [-sign, -9.0], [sign, 17.0], [-sign, 17.0]];
        let mut spots = places.map(|[side, down]| [u + side * 11.0, v + down]).into_iter();
        let is_clear = |at: &Point| !svg.texts.iter().any(|other| other.meets(&ground(*at)));
        let [x, baseline] = spots.find(is_clear).unwrap_or([u + sign * 11.0, v + 4.0]);
        let ground = ground([x, baseline]);
        svg.rect(ground, 2.0, &Pen::filled(theme.paper));
        svg.text(x, baseline, &mark, &face);
        let left = section.x0 + 14.0;
        svg.text(section.x0 + 4.0, y + 0.75 * LINE, &mark, &face);
        for line in wrapped(&callout.text, section.x1 - left, SIZE_SMALL) {
            svg.text(left, y + 0.75 * LINE, &line, &Type::new(theme.ink, SIZE_SMALL, Anchor::Start));
            y += LINE;
        }
        svg.end();
    }
    svg.end();
    if all.is_empty() { section.y1 } else { y }
}
