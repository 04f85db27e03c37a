//! Two sections side by side at one scale, and the numbers of both under them.
//! Rows that differ carry a mark and heavier letters; a sign stands next to a
//! judged number as on the map.

use crate::section::{self, CrossSection};
use crate::svg::{Anchor, Area, FINE, OUTLINE, Pen, SIZE_LABEL, SIZE_SMALL, Svg, Type};
use crate::window_cells;
use crate::{Frame, Sign, Weight, text_width};

/// Room between the two sections and around the sheet.
const GAP: f64 = 28.0;
const MARGIN: f64 = 14.0;
/// Height of one row of numbers.
const ROW: f64 = 17.0;
/// Size of the sign next to a number, and the room it takes.
const SIGN: [f64; 2] = [15.0, 9.0];
const SIGN_ROOM: f64 = 21.0;
/// Most rows, so that the sheet stays a sheet (choice).
const ROWS_MAX: usize = 200;

/// One row of numbers.
#[derive(Debug, Clone, PartialEq)]
pub struct CompareRow {
    /// What it is.
    pub label: String,
    /// The number of the left and of the right coupon.
    pub texts: [String; 2],
    /// The words, where it is judged.
    pub signs: [Option<Sign>; 2],
    /// Whether the two differ.
    pub differs: bool,
}

/// Two coupons side by side.
#[derive(Debug, Clone, PartialEq)]
pub struct Comparison {
    /// The sections, drawn at the scale of the first.
    pub sections: [CrossSection; 2],
    /// What stands above each.
    pub heads: [String; 2],
    /// The numbers under them.
    pub rows: Vec<CompareRow>,
}

/// Two coupons, drawing by drawing and number by number.
pub fn comparison(case: &Comparison, frame: &Frame<'_>) -> String {
    let (svg, size) = draw(case, frame);
    svg.finish(frame, size[0], size[1])
}

pub(crate) fn draw(case: &Comparison, frame: &Frame<'_>) -> (Svg, [f64; 2]) {
    let mut svg = Svg::default();
    if case.rows.len() > ROWS_MAX {
        svg.refuse();
        return (svg, [1.0, 1.0]);
    }
    let [left, right] = &case.sections;
    let right = CrossSection { px_per_mm: left.px_per_mm, ..right.clone() };
    let drawn = [section::draw(left, frame), section::draw(&right, frame)];
    let high = drawn.iter().map(|d| d.size[1]).fold(0.0, f64::max);
    let face = Type::new(frame.theme.ink, SIZE_LABEL, Anchor::Start).bold();
    let mut at = MARGIN;
    let mut starts = [0.0; 2];
    for (index, (drawn, head)) in drawn.into_iter().zip(&case.heads).enumerate() {
        starts[index] = at;
        let wide = drawn.size[0].max(text_width(head, SIZE_LABEL, Weight::SemiBold));
        svg.text(at, MARGIN + SIZE_LABEL, head, &face);
        // Both stand on one level below, so that roots compare across.
        let down = MARGIN + 1.6 * SIZE_LABEL + high - drawn.size[1];
        svg.take(drawn.svg, [at, down]);
        at += wide + GAP;
    }
    let below = MARGIN + 1.6 * SIZE_LABEL + high + ROW;
    let wide = rows(&mut svg, case, [at - GAP, below], frame);
    (svg, [wide.max(at - GAP) + MARGIN, below + ROW * case.rows.len() as f64 + MARGIN])
}

/// The table below; gives its right edge.
fn rows(svg: &mut Svg, case: &Comparison, [sheet_x, top]: [f64; 2], frame: &Frame<'_>) -> f64 {
    let width = |text: &str| text_width(text, SIZE_SMALL, Weight::SemiBold);
    let labels = case.rows.iter().map(|r| width(&r.label)).fold(0.0, f64::max);
    let texts = |side: usize| case.rows.iter().map(|r| width(&r.texts[side])).fold(0.0, f64::max);
    let first = MARGIN + 12.0 + labels + 16.0;
    let second = first + SIGN_ROOM + texts(0) + 20.0;
    let end = second + SIGN_ROOM + texts(1);
    for (index, row) in case.rows.iter().enumerate() {
        let y = top + ROW * index as f64;
        svg.line([MARGIN, y - 12.5], [end.max(sheet_x), y - 12.5], &Pen::line(frame.theme.line, FINE));
        let plain = Type::new(frame.theme.ink, SIZE_SMALL, Anchor::Start);
        let face = if row.differs { plain.bold() } else { plain };
        if row.differs {
            let m = [MARGIN + 3.0, y - 4.0];
            svg.circle(m, 2.6, &Pen::filled(frame.theme.ink));
        }
        svg.text(MARGIN + 12.0, y, &row.label, &face);
        for (x, (text, sign)) in [first, second].into_iter().zip(row.texts.iter().zip(row.signs)) {
            if let Some(sign) = sign {
                let area = Area { x0: x, y0: y - SIGN[1], x1: x + SIGN[0], y1: y };
                window_cells::fill(svg, sign, area, frame);
                svg.rect(area, 0.0, &Pen::line(frame.theme.ink_soft, 0.6 * OUTLINE));
            }
            svg.text(x + SIGN_ROOM, y, text, &face);
        }
    }
    end
}
