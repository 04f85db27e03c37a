//! Small signs: the verdict bar and the placement glyph.

use crate::svg::{Area, FINE, OUTLINE, Pen, Svg};
use crate::{Frame, Sign};

/// Size of a verdict bar, user units. Basis: choice, legible at arm's length
/// when one unit is one CSS pixel.
const BAR: [f64; 2] = [44.0, 15.0];

/// Full, half, empty with a stroke, or dashed. The word is in the title.
///
/// The frame's title is used when it is not empty, else the sign's word.
pub fn verdict_bar(sign: Sign, frame: &Frame<'_>) -> String {
    let theme = frame.theme;
    let mut svg = Svg::default();
    let [w, h] = BAR;
    let edge = Area { x0: 1.0, y0: 1.0, x1: w - 1.0, y1: h - 1.0 };
    let outline = Pen::line(theme.ink, OUTLINE).with_fill(theme.paper);
    match sign {
        Sign::Holds => svg.rect(edge, 2.0, &Pen::line(theme.ink, OUTLINE).with_fill(theme.ink)),
        Sign::Marginal => {
            svg.rect(edge, 2.0, &outline);
            svg.rect(Area { x1: w / 2.0, ..edge }, 2.0, &Pen::filled(theme.ink));
        }
        Sign::Fails => {
            svg.rect(edge, 2.0, &outline);
            svg.line([6.0, h - 4.0], [w - 6.0, 4.0], &Pen::line(theme.ink, OUTLINE * 1.3));
        }
        Sign::NotKnown => {
            svg.rect(edge, 2.0, &Pen::line(theme.ink_soft, OUTLINE).dashed("3.2 3.2"));
        }
    }
    let word = frame.words.sign(sign);
    let title = if frame.title.is_empty() { word } else { frame.title };
    svg.finish(&Frame { title, ..frame.clone() }, w, h)
}

/// What is being welded.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Piece3d {
    /// Two plates.
    Plate,
    /// A pipe, seen from the side.
    Pipe,
}

/// How the piece stands and where the arc goes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Placement {
    /// Plate or pipe.
    pub piece: Piece3d,
    /// Plate: tilt of its face from lying face up, degrees: 0 flat, 90 upright,
    /// 180 overhead. Pipe: tilt of its axis from level, degrees.
    pub tilt_deg: f64,
    /// Plate only: the weld runs level across an upright plate instead of up it.
    pub weld_level: bool,
    /// Uphill `Some(true)`, downhill `Some(false)`, neither `None`.
    pub uphill: Option<bool>,
}

/// A small picture of how the coupon stands in the booth.
pub fn placement_glyph(placement: &Placement, frame: &Frame<'_>) -> String {
    const SIDE: f64 = 56.0;
    let theme = frame.theme;
    let mut svg = Svg::default();
    let middle = SIDE / 2.0;
    let tilt = placement.tilt_deg.to_radians();
    let outline = Pen::line(theme.ink, OUTLINE).with_fill(theme.steel);
    let upright = (placement.tilt_deg - 90.0).abs() < 45.0;
    match placement.piece {
        Piece3d::Plate if upright => {
            let (x, y) = (17.0, 21.0);
            let edge = Area { x0: middle - x, y0: middle - y, x1: middle + x, y1: middle + y };
            svg.rect(edge, 1.0, &outline);
            let weld = Pen::line(theme.ink, OUTLINE * 2.4);
            match placement.weld_level {
                true => svg.line([middle - x + 1.0, middle], [middle + x - 1.0, middle], &weld),
                false => svg.line([middle, middle - y + 1.0], [middle, middle + y - 1.0], &weld),
            }
        }
        _ => {
            let (long, thick) = (22.0, if placement.piece == Piece3d::Pipe { 9.0 } else { 4.0 });
            // A plate seen edge-on lies level whether flat or overhead.
            let turn = if placement.piece == Piece3d::Pipe { tilt } else { 0.0 };
            let (c, s) = (turn.cos(), turn.sin());
            let at = |x: f64, y: f64| [middle + x * c - y * s, middle - x * s - y * c];
            let corners = [at(-long, -thick), at(long, -thick), at(long, thick), at(-long, thick)];
            svg.run(&corners, true, &outline);
            svg.line(at(0.0, -thick + 0.8), at(0.0, thick - 0.8), &Pen::line(theme.ink, OUTLINE * 2.4));
            if placement.piece == Piece3d::Plate {
                let sign = if placement.tilt_deg > 90.0 { -1.0 } else { 1.0 };
                let tip = at(0.0, sign * (thick + 4.0));
                svg.line(at(0.0, sign * (thick + 18.0)), tip, &Pen::line(theme.accent, OUTLINE));
                let [x, y] = tip;
                let wing = 4.0;
                let head = [[x, y], [x - wing, y - sign * wing * 1.5], [x + wing, y - sign * wing * 1.5]];
                svg.run(&head, true, &Pen::filled(theme.accent));
            }
        }
    }
    if let Some(uphill) = placement.uphill {
        let (x, from, to) = (SIDE - 5.0, SIDE - 9.0, 9.0);
        let (tail, tip) = if uphill { (from, to) } else { (to, from) };
        let way = if uphill { -1.0 } else { 1.0 };
        svg.line([x, tail], [x, tip], &Pen::line(theme.accent, FINE * 2.0));
        let head = [[x, tip], [x - 3.6, tip - way * 8.0], [x + 3.6, tip - way * 8.0]];
        svg.run(&head, true, &Pen::filled(theme.accent));
    }
    svg.finish(frame, SIDE, SIDE)
}
