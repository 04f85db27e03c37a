//! Dimension lines with slender arrowheads, extension lines and labels.

use bendproof_measure::{Kind, Quantity, System, inches, length_as_read, round_to};

use crate::metrics::text_width;
use crate::svg::{Anchor, FINE, Pen, SIZE_SMALL, Svg, Type};
use crate::{Theme, Weight, Words};

/// Arrowhead length and half width, user units. Basis: choice, three to one as
/// drawing offices draw them.
const ARROW: [f64; 2] = [7.0, 1.9];
/// Tail outside a dimension too short for arrows inside.
const TAIL: f64 = 15.0;
/// Clear space between an object and its extension line.
pub(crate) const CLEAR: f64 = 2.5;
/// How far an extension line runs past its dimension line.
const PAST: f64 = 3.5;

/// A length as shops write it, their own unit first: `3/8 in · 9.5 mm`,
/// `10 mm · 0.394 in`.
pub(crate) fn both(mm: f64, words: &Words) -> String {
    length_as_read(&Quantity { si: mm / 1e3, kind: Kind::Length, system: words.system })
}

/// The same in the shortest form: `3/8 · 9.5`, `10 · 0.394`.
pub(crate) fn both_short(mm: f64, words: &Words) -> String {
    let own = own_short(mm, words);
    match words.system {
        System::Metric => format!("{own} · {}", inches(mm / 1e3)),
        _ => format!("{own} · {mm:.1}"),
    }
}

/// The shop's own unit alone, without its name: `3/8`, `10`.
pub(crate) fn own_short(mm: f64, words: &Words) -> String {
    match words.system {
        System::Metric => round_to(mm, 1),
        _ => inches(mm / 1e3),
    }
}

/// An arrowhead with its tip at `tip`, pointing along `towards` (a unit vector).
pub(crate) fn arrow(svg: &mut Svg, tip: [f64; 2], towards: [f64; 2], theme: &Theme) {
    let [length, half] = ARROW;
    let base = [tip[0] - towards[0] * length, tip[1] - towards[1] * length];
    let side = [-towards[1] * half, towards[0] * half];
    let points = [tip, [base[0] + side[0], base[1] + side[1]], [base[0] - side[0], base[1] - side[1]]];
    svg.run(&points, true, &Pen::filled(theme.ink_soft));
}

/// The line and arrows of a dimension from `a` to `b`; arrows move outside when
/// there is no room between.
pub(crate) fn span(svg: &mut Svg, a: [f64; 2], b: [f64; 2], theme: &Theme) {
    let length = (b[0] - a[0]).hypot(b[1] - a[1]);
    let pen = Pen::line(theme.ink_soft, FINE);
    if length < f64::EPSILON {
        return;
    }
    let u = [(b[0] - a[0]) / length, (b[1] - a[1]) / length];
    let back = [-u[0], -u[1]];
    if length >= 2.0 * ARROW[0] + 4.0 {
        svg.line(a, b, &pen);
        arrow(svg, a, back, theme);
        arrow(svg, b, u, theme);
    } else {
        svg.line([a[0] - u[0] * TAIL, a[1] - u[1] * TAIL], [b[0] + u[0] * TAIL, b[1] + u[1] * TAIL], &pen);
        arrow(svg, a, u, theme);
        arrow(svg, b, back, theme);
    }
}

/// A horizontal dimension at `y` between `x1` and `x2`, label under the line,
/// with extension lines from the heights in `from`.
pub(crate) fn across(svg: &mut Svg, [x1, x2]: [f64; 2], y: f64, from: [f64; 2], label: &str, theme: &Theme) {
    let pen = Pen::line(theme.ink_soft, FINE);
    for (x, object) in [(x1, from[0]), (x2, from[1])] {
        let away = (y - object).signum();
        svg.line([x, object + CLEAR * away], [x, y + PAST * away], &pen);
    }
    span(svg, [x1, y], [x2, y], theme);
    let face = Type::new(theme.ink, SIZE_SMALL, Anchor::Middle);
    svg.text((x1 + x2) / 2.0, y + 15.0, label, &face);
}

/// A vertical dimension at `x` between `y1` and `y2`, turned label left of the
/// line, extension lines from the object's edge at `from`.
pub(crate) fn upright(svg: &mut Svg, [y1, y2]: [f64; 2], x: f64, from: f64, label: &str, theme: &Theme) {
    let pen = Pen::line(theme.ink_soft, FINE);
    let away = (x - from).signum();
    for y in [y1, y2] {
        svg.line([from + CLEAR * away, y], [x + PAST * away, y], &pen);
    }
    span(svg, [x, y1], [x, y2], theme);
    let face = Type::new(theme.ink, SIZE_SMALL, Anchor::Middle).turned();
    svg.text(x - 5.5, (y1 + y2) / 2.0, label, &face);
}

/// The longer of two labels that fits in `room`, if any.
pub(crate) fn fitting<'a>(labels: &[&'a str], room: f64) -> Option<&'a str> {
    labels.iter().copied().find(|label| text_width(label, SIZE_SMALL, Weight::Medium) <= room)
}
