//! The window map: two settings at once, with the same three signs as the rule.
//! A dashed frame is the trade's range, hatching is where the physics fails or
//! is marginal, dots are this shop's own plates.

use crate::section::draw_hatch;
use crate::svg::{Anchor, Area, FINE, OUTLINE, Pen, SIZE_SMALL, Svg, Type};
use crate::{Frame, Sign};

/// Most cells along one side. Basis: choice, finer than a printed dot.
const CELLS_MAX: usize = 80;
/// Hatch distances, as on the rule.
const HATCH_FAILS: f64 = 3.6;
const HATCH_MARGINAL: f64 = 8.5;

/// A map of forecasts over two settings.
#[derive(Debug, Clone, PartialEq)]
pub struct WindowMap {
    /// Lower and upper end across, any unit.
    pub x: [f64; 2],
    /// Lower and upper end upwards, any unit.
    pub y: [f64; 2],
    /// Name of the setting across, with its ends: `root opening 1/16 … 1/4 in`.
    pub x_label: String,
    /// Name of the setting upwards.
    pub y_label: String,
    /// Rows from the lowest y up, each from the lowest x; all the same length.
    pub cells: Vec<Vec<Sign>>,
    /// The trade's range: `[[x from, x to], [y from, y to]]`.
    pub trade: Option<[[f64; 2]; 2]>,
    /// Own plates: x, y, held.
    pub dots: Vec<(f64, f64, bool)>,
    /// The value set.
    pub value: Option<[f64; 2]>,
    /// Half axes of its scatter, in the units of x and y.
    pub scatter: Option<[f64; 2]>,
    /// Size of the map itself, user units.
    pub size_px: [f64; 2],
}

/// The map.
///
/// For pointing: the root carries `data-x-min`, `data-x-max` (values) and
/// `data-u-min`, `data-u-max` (user units), and the same for y with `v`.
pub fn window_map(map: &WindowMap, frame: &Frame<'_>) -> String {
    let (svg, size) = draw(map, frame);
    svg.finish(frame, size[0], size[1])
}

pub(crate) fn draw(map: &WindowMap, frame: &Frame<'_>) -> (Svg, [f64; 2]) {
    let mut svg = Svg::default();
    let columns = map.cells.first().map_or(0, Vec::len);
    let whole = map.cells.iter().all(|row| row.len() == columns);
    let ranges = map.x[1] > map.x[0] && map.y[1] > map.y[0];
    if !whole || !ranges || columns > CELLS_MAX || map.cells.len() > CELLS_MAX {
        svg.refuse();
        return (svg, [1.0, 1.0]);
    }
    let edge = Area { x0: 26.0, y0: 8.0, x1: 26.0 + map.size_px[0], y1: 8.0 + map.size_px[1] };
    for (name, value) in [
        ("x-min", map.x[0]),
        ("x-max", map.x[1]),
        ("y-min", map.y[0]),
        ("y-max", map.y[1]),
        ("u-min", edge.x0),
        ("u-max", edge.x1),
        ("v-min", edge.y1),
        ("v-max", edge.y0),
    ] {
        svg.data(name, value);
    }
    draw_cells(&mut svg, map, &edge, columns, frame);
    draw_signs(&mut svg, map, &edge, frame);
    let theme = frame.theme;
    svg.rect(edge, 0.0, &Pen::line(theme.ink, OUTLINE));
    let face = Type::new(theme.ink, SIZE_SMALL, Anchor::Middle);
    svg.text((edge.x0 + edge.x1) / 2.0, edge.y1 + 17.0, &map.x_label, &face);
    svg.text(edge.x0 - 9.0, (edge.y0 + edge.y1) / 2.0, &map.y_label, &face.turned());
    (svg, [edge.x1 + 10.0, edge.y1 + 24.0])
}

/// Runs of equal cells in a row are hatched as one area on one shared grid, so
/// that the hatching reads as one region.
fn draw_cells(svg: &mut Svg, map: &WindowMap, edge: &Area, columns: usize, frame: &Frame<'_>) {
    let theme = frame.theme;
    let (wide, high) =
        (map.size_px[0] / columns.max(1) as f64, map.size_px[1] / map.cells.len().max(1) as f64);
    let cell = |row: usize, from: usize, to: usize| {
        let y1 = edge.y1 - row as f64 * high;
        [[edge.x0 + from as f64 * wide, y1 - high], [edge.x0 + to as f64 * wide, y1]]
    };
    for (row, signs) in map.cells.iter().enumerate() {
        let mut from = 0;
        for to in 1..=columns {
            if to < columns && signs[to] == signs[from] {
                continue;
            }
            let [[x0, y0], [x1, y1]] = cell(row, from, to);
            let corners = [[x0, y0], [x1, y0], [x1, y1], [x0, y1]];
            match signs[from] {
                Sign::Holds => svg.rect(Area { x0, y0, x1, y1 }, 0.0, &Pen::filled(theme.shade)),
                Sign::Marginal => draw_hatch(svg, &corners, HATCH_MARGINAL, theme.ink_soft),
                Sign::Fails => draw_hatch(svg, &corners, HATCH_FAILS, theme.ink_soft),
                Sign::NotKnown => {
                    let middle = [(x0 + x1) / 2.0, (y0 + y1) / 2.0];
                    svg.line(
                        [x0 + 2.0, middle[1]],
                        [x1 - 2.0, middle[1]],
                        &Pen::line(theme.line, FINE).dashed("0.2 5"),
                    );
                }
            }
            from = to;
        }
    }
}

fn draw_signs(svg: &mut Svg, map: &WindowMap, edge: &Area, frame: &Frame<'_>) {
    let theme = frame.theme;
    let at = |x: f64, y: f64| {
        let u = edge.x0 + (x - map.x[0]) / (map.x[1] - map.x[0]) * map.size_px[0];
        let v = edge.y1 - (y - map.y[0]) / (map.y[1] - map.y[0]) * map.size_px[1];
        [u.clamp(edge.x0, edge.x1), v.clamp(edge.y0, edge.y1)]
    };
    if let Some([x, y]) = map.trade {
        let ([x0, y1], [x1, y0]) = (at(x[0], y[0]), at(x[1], y[1]));
        svg.rect(Area { x0, y0, x1, y1 }, 0.0, &Pen::line(theme.ink, OUTLINE).dashed("7 4"));
    }
    if let (Some([x, y]), Some([rx, ry])) = (map.value, map.scatter) {
        let ring: Vec<[f64; 2]> = (0..48)
            .map(|k| {
                let angle = f64::from(k) * std::f64::consts::TAU / 48.0;
                at(x + rx * angle.cos(), y + ry * angle.sin())
            })
            .collect();
        svg.run(&ring, true, &Pen::line(theme.accent, FINE).with_fill(theme.accent_soft));
    }
    for (x, y, held) in &map.dots {
        let fill = if *held { theme.ink } else { theme.paper };
        svg.circle(at(*x, *y), 3.6, &Pen::line(theme.ink, OUTLINE).with_fill(fill));
    }
    if let Some([x, y]) = map.value {
        let [u, v] = at(x, y);
        let pen = Pen::line(theme.accent, OUTLINE * 1.6);
        svg.line([u - 7.0, v], [u + 7.0, v], &pen);
        svg.line([u, v - 7.0], [u, v + 7.0], &pen);
    }
}
