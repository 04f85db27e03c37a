//! Where the straps are cut: the plate seen from above, the pipe from its end.

use crate::dimension::{self, across, both, both_short, fitting, own_short};
use crate::metrics::text_width;
use crate::section::draw_hatch;
use crate::svg::{Anchor, Area, FINE, OUTLINE, Pen, SIZE_LABEL, SIZE_SMALL, Svg, Type};
use crate::{Frame, PX_PER_MM_RANGE, Weight};

/// Longest list of pieces drawn. Basis: choice; no code asks for more than a
/// few dozen specimens from one coupon.
const PIECES_MAX: usize = 64;

/// What becomes of a piece of the coupon.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PieceKind {
    /// Thrown away; hatched.
    Discard,
    /// A specimen.
    Strap,
}

/// One piece of a plate, between two cuts across the weld.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// Short mark stamped on the strap: `R1`. Empty for a discard.
    pub mark: String,
    /// Its kind in words: `root bend`, `discard`.
    pub word: String,
    /// What becomes of it.
    pub kind: PieceKind,
    /// Distance along the weld at which it starts, mm.
    pub from_mm: f64,
    /// Distance along the weld at which it ends, mm.
    pub to_mm: f64,
}

/// A plate coupon seen from above, the weld running left to right.
#[derive(Debug, Clone, PartialEq)]
pub struct PlateLayout {
    /// Length of the weld, mm.
    pub length_mm: f64,
    /// Width of the coupon across the weld, mm.
    pub width_mm: f64,
    /// Width of the weld's face, mm.
    pub weld_mm: f64,
    /// Pieces in order along the weld.
    pub pieces: Vec<Piece>,
    /// Scale, user units per mm.
    pub px_per_mm: f64,
}

/// The plate with its cut lines, straps and discards.
///
/// The root element's `data-x0` is the weld's start and `data-y0` its middle.
pub fn strap_layout_plate(layout: &PlateLayout, frame: &Frame<'_>) -> String {
    let (svg, size) = draw_plate(layout, frame);
    svg.finish(frame, size[0], size[1])
}

pub(crate) fn draw_plate(layout: &PlateLayout, frame: &Frame<'_>) -> (Svg, [f64; 2]) {
    let (mut svg, theme, px) = (Svg::default(), frame.theme, layout.px_per_mm);
    let scale_known = (PX_PER_MM_RANGE[0]..=PX_PER_MM_RANGE[1]).contains(&px);
    if !scale_known || layout.pieces.len() > PIECES_MAX {
        svg.refuse();
        return (svg, [1.0, 1.0]);
    }
    let (left, top) = (44.0, 10.0);
    let (right, foot) = (left + layout.length_mm * px, top + layout.width_mm * px);
    let middle = (top + foot) / 2.0;
    svg.data("px-per-mm", px);
    svg.data("x0", left);
    svg.data("y0", middle);
    let plate = Area { x0: left, y0: top, x1: right, y1: foot };
    svg.rect(plate, 0.0, &Pen::filled(theme.steel));
    let band = (layout.weld_mm * px / 2.0).max(1.5);
    let weld = Area { x0: left, y0: middle - band, x1: right, y1: middle + band };
    svg.rect(weld, 0.0, &Pen::filled(theme.beads[0]));
    for y in [weld.y0, weld.y1] {
        svg.line([left, y], [right, y], &Pen::line(theme.ink, FINE));
    }
    for piece in &layout.pieces {
        let ends = [left + piece.from_mm * px, left + piece.to_mm * px];
        draw_piece(&mut svg, piece, ends, &plate, &weld, frame);
    }
    svg.rect(plate, 0.0, &Pen::line(theme.ink, OUTLINE));
    draw_cuts(&mut svg, layout, &plate, frame);
    let label = both(layout.width_mm, frame.words);
    dimension::upright(&mut svg, [top, foot], left - 18.0, left, &label, theme);
    let y = foot + 18.0;
    let used = draw_widths(&mut svg, layout, [left, foot, y], frame);
    let y = y + used + 8.0;
    across(&mut svg, [left, right], y, [foot, foot], &both(layout.length_mm, frame.words), theme);
    (svg, [right + 24.0, y + 24.0])
}

fn draw_piece(svg: &mut Svg, piece: &Piece, ends: [f64; 2], plate: &Area, weld: &Area, frame: &Frame<'_>) {
    let theme = frame.theme;
    let class = if piece.kind == PieceKind::Discard { "discard" } else { "strap" };
    let title = format!("{} {}", piece.mark, piece.word);
    svg.group(class, &[("data-mark", &piece.mark)], title.trim());
    let middle = (ends[0] + ends[1]) / 2.0;
    let (upper, lower) = ((plate.y0 + weld.y0) / 2.0, (plate.y1 + weld.y1) / 2.0);
    match piece.kind {
        PieceKind::Discard => {
            let corners =
                [[ends[0], plate.y0], [ends[1], plate.y0], [ends[1], plate.y1], [ends[0], plate.y1]];
            draw_hatch(svg, &corners, 5.5, theme.ink_soft);
        }
        PieceKind::Strap => {
            let mark = Type::new(theme.ink, SIZE_LABEL * 1.25, Anchor::Middle).bold();
            svg.text(middle, upper + 6.0, &piece.mark, &mark);
            let small = Type::new(theme.ink, SIZE_SMALL, Anchor::Middle);
            let wide = text_width(&piece.word, SIZE_SMALL, Weight::Medium);
            match wide + 6.0 <= ends[1] - ends[0] {
                true => svg.text(middle, lower + 4.0, &piece.word, &small),
                // Too narrow: the word reads upwards along the strap.
                false => svg.text(middle + 4.0, lower, &piece.word, &small.turned()),
            }
        }
    }
    svg.end();
}

fn draw_cuts(svg: &mut Svg, layout: &PlateLayout, plate: &Area, frame: &Frame<'_>) {
    let pen = Pen::line(frame.theme.ink, FINE * 1.3).dashed("9 3 2 3");
    let mut cuts: Vec<f64> = layout.pieces.iter().flat_map(|p| [p.from_mm, p.to_mm]).collect();
    cuts.sort_by(f64::total_cmp);
    cuts.dedup_by(|a, b| (*a - *b).abs() < 0.05);
    for cut in cuts.iter().filter(|c| **c > 0.05 && **c < layout.length_mm - 0.05) {
        let x = plate.x0 + cut * layout.px_per_mm;
        svg.line([x, plate.y0 - 6.0], [x, plate.y1 + 6.0], &pen);
    }
}

/// Each piece's width under the plate: level where it fits between its cuts, if need
/// be in the shop's own unit only; turned where it does not. Returns the height used.
fn draw_widths(svg: &mut Svg, layout: &PlateLayout, [left, foot, y]: [f64; 3], frame: &Frame<'_>) -> f64 {
    let (theme, px) = (frame.theme, layout.px_per_mm);
    let mut used = 18.0_f64;
    for piece in &layout.pieces {
        let (a, b) = (left + piece.from_mm * px, left + piece.to_mm * px);
        let size_mm = piece.to_mm - piece.from_mm;
        let (label, own) = (both_short(size_mm, frame.words), own_short(size_mm, frame.words));
        if let Some(level) = fitting(&[&label, &own], b - a - 6.0) {
            across(svg, [a, b], y, [foot, foot], level, theme);
            continue;
        }
        let wide = text_width(&label, SIZE_SMALL, Weight::Medium);
        let pen = Pen::line(theme.ink_soft, FINE);
        svg.line([a, y], [b, y], &pen);
        for x in [a, b] {
            svg.line([x, foot + dimension::CLEAR], [x, y + 3.5], &pen);
            // Oblique strokes need less room than arrows.
            svg.line([x - 3.0, y + 3.0], [x + 3.0, y - 3.0], &pen);
        }
        // A piece narrower than a line of text keeps its strokes and no label;
        // the cutting list has the number.
        if b - a >= SIZE_SMALL {
            let face = Type::new(theme.ink, SIZE_SMALL, Anchor::End).turned();
            svg.text((a + b) / 2.0 + 4.0, y + 6.0, &label, &face);
            used = used.max(wide + 8.0);
        }
    }
    used
}

/// One strap of a pipe, by the clock.
#[derive(Debug, Clone, PartialEq)]
pub struct PipePiece {
    /// Short mark: `R1`.
    pub mark: String,
    /// Its kind in words: `root bend`.
    pub word: String,
    /// Middle of the strap, degrees from the top, clockwise.
    pub clock_deg: f64,
    /// Width of the strap along the outside, mm.
    pub width_mm: f64,
}

/// A pipe coupon seen from its end.
#[derive(Debug, Clone, PartialEq)]
pub struct PipeLayout {
    /// Outside diameter, mm.
    pub outside_mm: f64,
    /// Wall, mm.
    pub wall_mm: f64,
    /// Straps.
    pub pieces: Vec<PipePiece>,
    /// Scale, user units per mm.
    pub px_per_mm: f64,
}

/// The pipe's end with the straps at their clock angles.
pub fn strap_layout_pipe(layout: &PipeLayout, frame: &Frame<'_>) -> String {
    let (svg, size) = draw_pipe(layout, frame);
    svg.finish(frame, size[0], size[1])
}

pub(crate) fn draw_pipe(layout: &PipeLayout, frame: &Frame<'_>) -> (Svg, [f64; 2]) {
    let (mut svg, theme, px) = (Svg::default(), frame.theme, layout.px_per_mm);
    let scale_known = (PX_PER_MM_RANGE[0]..=PX_PER_MM_RANGE[1]).contains(&px);
    let hollow = layout.wall_mm > 0.0 && layout.wall_mm * 2.0 < layout.outside_mm;
    if !scale_known || !hollow || layout.pieces.len() > PIECES_MAX {
        svg.refuse();
        return (svg, [1.0, 1.0]);
    }
    let (outer, inner) = (layout.outside_mm / 2.0 * px, (layout.outside_mm / 2.0 - layout.wall_mm) * px);
    let room = 14.0
        + layout
            .pieces
            .iter()
            .map(|p| text_width(&p.word, SIZE_SMALL, Weight::Medium).max(30.0))
            .fold(30.0, f64::max);
    let centre = [outer + room, outer + 48.0];
    svg.data("px-per-mm", px);
    svg.data("x0", centre[0]);
    svg.data("y0", centre[1]);
    svg.circle(centre, (outer + inner) / 2.0, &Pen::line(theme.steel, outer - inner));
    for piece in &layout.pieces {
        draw_sector(&mut svg, piece, layout, centre, [inner, outer], frame);
    }
    svg.circle(centre, outer, &Pen::line(theme.ink, OUTLINE));
    svg.circle(centre, inner, &Pen::line(theme.ink, OUTLINE));
    // The top is marked inside, so that it never meets a strap's label.
    let tip = [centre[0], centre[1] - inner + 5.0];
    let head = [tip, [tip[0] - 4.0, tip[1] + 8.0], [tip[0] + 4.0, tip[1] + 8.0]];
    svg.run(&head, true, &Pen::filled(theme.accent));
    let small = Type::new(theme.ink_soft, SIZE_SMALL, Anchor::Middle);
    svg.text(tip[0], tip[1] + 20.0, &frame.words.top, &small);
    let size = Type::new(theme.ink, SIZE_LABEL, Anchor::Middle);
    svg.text(centre[0], centre[1] + 4.0, &both(layout.outside_mm, frame.words), &size);
    (svg, [2.0 * centre[0], 2.0 * centre[1]])
}

fn draw_sector(
    svg: &mut Svg,
    piece: &PipePiece,
    layout: &PipeLayout,
    centre: [f64; 2],
    [inner, outer]: [f64; 2],
    frame: &Frame<'_>,
) {
    let theme = frame.theme;
    let middle = piece.clock_deg.to_radians();
    let half = piece.width_mm / layout.outside_mm;
    let at = |angle: f64, r: f64| [centre[0] + r * angle.sin(), centre[1] - r * angle.cos()];
    svg.group("strap", &[("data-mark", &piece.mark)], &format!("{} {}", piece.mark, piece.word));
    let [a, b, c, d] = [
        at(middle - half, outer),
        at(middle + half, outer),
        at(middle + half, inner),
        at(middle - half, inner),
    ];
    let n = [a[0], a[1], outer, b[0], b[1], c[0], c[1], inner, d[0], d[1]].map(|v| svg.num(v));
    let large = u8::from(half * 2.0 > std::f64::consts::PI);
    let commands = format!(
        "M{} {}A{} {} 0 {large} 1 {} {}L{} {}A{} {} 0 {large} 0 {} {}Z",
        n[0], n[1], n[2], n[2], n[3], n[4], n[5], n[6], n[7], n[7], n[8], n[9]
    );
    svg.path(&commands, &Pen::filled(theme.beads[0]));
    // Across so short a wall a dash pattern would not be seen as one.
    let cut = Pen::line(theme.ink, FINE * 1.3);
    for side in [middle - half, middle + half] {
        svg.line(at(side, inner - 4.0), at(side, outer + 6.0), &cut);
    }
    let spot = at(middle, outer + 13.0);
    let lean = middle.sin();
    let anchor = match lean {
        l if l > 0.3 => Anchor::Start,
        l if l < -0.3 => Anchor::End,
        _ => Anchor::Middle,
    };
    // Two lines of text, moved away from the pipe above and below it.
    let y = spot[1] - 2.0 - 10.0 * middle.cos();
    svg.text(spot[0], y, &piece.mark, &Type::new(theme.ink, SIZE_LABEL * 1.15, anchor).bold());
    svg.text(spot[0], y + 14.0, &piece.word, &Type::new(theme.ink_soft, SIZE_SMALL, anchor));
    svg.end();
}
