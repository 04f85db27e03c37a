//! The areas of the window map: hatching, borders between failures, lines of
//! equal margin, and the names written into them.

use crate::svg::{Anchor, Area, FINE, OUTLINE, Pen, SIZE_SMALL, Svg, Type};
use crate::window::{HATCH_FAILS, HATCH_MARGINAL, Sheet};
use crate::{Frame, MapCell, SectionGrid, Sign, Theme, Weight, isolines, text_width};

/// Width of the line at margin zero.
pub(crate) const LINE_WIDTH: f64 = OUTLINE * 1.5;
/// Dashes of the lines around what the model alone could have wrong.
const DASH_MODEL: &str = "2 3.2";
/// Distance of the dotted lines over what is not known.
const DOTTED: f64 = 9.0;
/// Ends nearer than this are joined when hatching runs on, user units.
const JOINED: f64 = 0.02;
/// Clearances beyond this are as good as far away, and infinite ones cannot be drawn.
const FAR: f64 = 1e3;
/// Room a name needs next to and above itself.
const NAME_ROOM: [f64; 2] = [10.0, 15.0];
/// Most areas that are named: more would be a text, not a map.
const NAMES_MAX: usize = 12;

pub(crate) fn draw(svg: &mut Svg, sheet: &Sheet<'_>, frame: &Frame<'_>) {
    let theme = frame.theme;
    for (sign, stroke) in [(Sign::Holds, ""), (Sign::Marginal, theme.ink_soft), (Sign::Fails, theme.ink_soft)]
    {
        let areas = runs(sheet, |c| c.sign == sign);
        match sign {
            Sign::Marginal => hatch_runs(svg, &areas, HATCH_MARGINAL, stroke),
            Sign::Fails => hatch_runs(svg, &areas, HATCH_FAILS, stroke),
            _ => areas.iter().for_each(|a| svg.rect(*a, 0.0, &Pen::filled(theme.shade))),
        }
    }
    for area in runs(sheet, |c| c.sign == Sign::NotKnown) {
        dotted(svg, area, frame);
    }
    borders(svg, sheet, frame);
    let drawn: Vec<f64> = sheet.map.contours.iter().copied().filter(|l| *l != 0.0).collect();
    for level in drawn {
        contour(svg, sheet, |c| c.clearance, level, &Pen::line(theme.ink, FINE));
    }
    for level in [-1.0, 1.0] {
        contour(svg, sheet, |c| c.in_model_error, level, &model_pen(theme));
    }
    contour(svg, sheet, |c| c.clearance, 0.0, &Pen::line(theme.ink, LINE_WIDTH));
}

/// The pen of the model's own band, on the map and in its legend.
pub(crate) fn model_pen(theme: &Theme) -> Pen<'_> {
    Pen::line(theme.ink, OUTLINE).dashed(DASH_MODEL)
}

/// One area filled with the sign's own pattern, for the legend.
pub(crate) fn fill(svg: &mut Svg, sign: Sign, area: Area, frame: &Frame<'_>) {
    let theme = frame.theme;
    match sign {
        Sign::Holds => svg.rect(area, 0.0, &Pen::filled(theme.shade)),
        Sign::Marginal => hatch_runs(svg, &[area], HATCH_MARGINAL, theme.ink_soft),
        Sign::Fails => hatch_runs(svg, &[area], HATCH_FAILS, theme.ink_soft),
        Sign::NotKnown => dotted(svg, area, frame),
    }
}

/// Cell edges, from the lowest x or y.
fn edge_u(sheet: &Sheet<'_>, column: usize) -> f64 {
    sheet.edge.x0 + column as f64 * sheet.map.size_px[0] / sheet.columns as f64
}

fn edge_v(sheet: &Sheet<'_>, row: usize) -> f64 {
    sheet.edge.y1 - row as f64 * sheet.map.size_px[1] / sheet.map.cells.len() as f64
}

/// Runs of equal cells in each row.
fn runs(sheet: &Sheet<'_>, is_in: impl Fn(&MapCell) -> bool) -> Vec<Area> {
    let mut out = Vec::new();
    for (row, cells) in sheet.map.cells.iter().enumerate() {
        let mut from = None;
        for column in 0..=cells.len() {
            match (cells.get(column).is_some_and(&is_in), from) {
                (true, None) => from = Some(column),
                (false, Some(first)) => {
                    let (x0, x1) = (edge_u(sheet, first), edge_u(sheet, column));
                    out.push(Area { x0, y0: edge_v(sheet, row + 1), x1, y1: edge_v(sheet, row) });
                    from = None;
                }
                _ => {}
            }
        }
    }
    out
}

/// Hatches areas with lines on one grid through the origin; a line that runs on
/// from one area into the next is drawn once.
pub(crate) fn hatch_runs(svg: &mut Svg, areas: &[Area], spacing: f64, stroke: &str) {
    let step = spacing * std::f64::consts::SQRT_2;
    // Stretches by the number of their line, x + y = number times step.
    let mut stretches: Vec<(i64, f64, f64)> = Vec::new();
    for a in areas.iter().filter(|a| [a.x0, a.y0, a.x1, a.y1].iter().all(|v| v.is_finite())) {
        let (low, high) = (((a.x0 + a.y0) / step).ceil() as i64, ((a.x1 + a.y1) / step).floor() as i64);
        for number in low..=high {
            let c = number as f64 * step;
            let (from, to) = (a.x0.max(c - a.y1), a.x1.min(c - a.y0));
            if to > from {
                stretches.push((number, from, to));
            }
        }
    }
    stretches.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let mut commands = String::new();
    let mut open: Option<(i64, f64, f64)> = None;
    for next in stretches.into_iter().map(Some).chain([None]) {
        if let (Some(o), Some(n)) = (open.as_mut(), next)
            && o.0 == n.0
            && n.1 <= o.2 + JOINED
        {
            o.2 = o.2.max(n.2);
            continue;
        }
        if let Some((number, from, to)) = open {
            let c = number as f64 * step;
            commands.push_str(&svg.run_commands(&[[from, c - from], [to, c - to]], false));
        }
        open = next;
    }
    svg.path(&commands, &Pen { stroke, width: FINE, dash: "", fill: "none" });
}

/// Dotted lines on one grid, so that rows of cells read as one area.
fn dotted(svg: &mut Svg, area: Area, frame: &Frame<'_>) {
    let pen = Pen::line(frame.theme.ink_soft, FINE).dashed("0.2 5");
    let first = (area.y0 / DOTTED).ceil() as i64;
    let last = (area.y1 / DOTTED).ceil() as i64;
    for k in first..last {
        let v = k as f64 * DOTTED;
        svg.line([area.x0 + 2.0, v], [area.x1 - 2.0, v], &pen);
    }
}

/// Thin steps where one failure gives way to another.
fn borders(svg: &mut Svg, sheet: &Sheet<'_>, frame: &Frame<'_>) {
    let cells = &sheet.map.cells;
    let name = |row: usize, column: usize| {
        let cell = cells.get(row)?.get(column)?;
        cell.first.filter(|_| matches!(cell.sign, Sign::Marginal | Sign::Fails))
    };
    let differ = |a: Option<usize>, b: Option<usize>| a.is_some() && b.is_some() && a != b;
    let mut commands = String::new();
    for row in 0..cells.len() {
        for column in 0..sheet.columns {
            let here = name(row, column);
            let (u, v) = (edge_u(sheet, column + 1), edge_v(sheet, row + 1));
            if differ(here, name(row, column + 1)) {
                commands.push_str(&svg.run_commands(&[[u, edge_v(sheet, row)], [u, v]], false));
            }
            if differ(here, name(row + 1, column)) {
                commands.push_str(&svg.run_commands(&[[edge_u(sheet, column), v], [u, v]], false));
            }
        }
    }
    svg.path(&commands, &Pen::line(frame.theme.ink, OUTLINE));
}

/// The lines on which a value of the cells has one level; cells without a value
/// end them.
fn contour(
    svg: &mut Svg,
    sheet: &Sheet<'_>,
    value: impl Fn(&MapCell) -> Option<f64>,
    level: f64,
    pen: &Pen<'_>,
) {
    let rows = sheet.map.cells.len();
    let height = |row: usize| sheet.edge.y1 - edge_v(sheet, row);
    let grid = SectionGrid {
        x_edges_mm: (0..=sheet.columns).map(|c| edge_u(sheet, c)).collect(),
        y_edges_mm: (0..=rows).map(height).collect(),
    };
    let held = |c: &MapCell| value(c).map_or(f64::NAN, |v| v.clamp(-FAR, FAR)) as f32;
    let values: Vec<f32> = sheet.map.cells.iter().flatten().map(held).collect();
    // A sheet that was not refused has a grid of one value a cell.
    for line in isolines(&grid, &values, level).unwrap_or_default() {
        let points: Vec<[f64; 2]> = line.points.iter().map(|p| [p[0], sheet.edge.y1 - p[1]]).collect();
        svg.run(&points, line.closed, pen);
    }
}

/// What is written into a cell: the failure that comes first where one comes,
/// the sign itself elsewhere.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Name {
    First(usize),
    Sign(Sign),
}

/// Names the areas, the largest first, each where it has most room and meets
/// nothing of `taken`. Drawn last, so that no line runs over a name.
pub(crate) fn names(svg: &mut Svg, sheet: &Sheet<'_>, taken: &[Area], frame: &Frame<'_>) {
    let theme = frame.theme;
    let mut taken = taken.to_vec();
    let face = Type::new(theme.ink, SIZE_SMALL, Anchor::Middle);
    let mut areas = connected(sheet);
    areas.sort_by(|a, b| b.1.len().cmp(&a.1.len()).then(a.1.cmp(&b.1)));
    for (name, cells) in areas.into_iter().take(NAMES_MAX) {
        let text = match name {
            Name::First(index) => sheet.map.names.get(index).map_or("", String::as_str),
            Name::Sign(sign) => frame.words.sign(sign),
        };
        let wide = text_width(text, SIZE_SMALL, Weight::Medium) + NAME_ROOM[0];
        let ground = |[u, v]: [f64; 2]| {
            let a = Area::of_text(u, v, text, &face);
            Area { x0: a.x0 - 2.0, y0: a.y0 - 2.0, x1: a.x1 + 2.0, y1: a.y1 + 1.5 }
        };
        let is_clear = |at: [f64; 2]| !taken.iter().any(|other| other.meets(&ground(at)));
        let found = roomiest(sheet, &cells, wide, is_clear).filter(|_| !text.is_empty());
        let Some([u, v]) = found else { continue };
        svg.rect(ground([u, v]), 2.0, &Pen::filled(theme.paper));
        svg.text(u, v, text, &face);
        taken.push(ground([u, v]));
    }
}

/// Cells side by side with one name, as (row, column), in the order met.
fn connected(sheet: &Sheet<'_>) -> Vec<(Name, Vec<(usize, usize)>)> {
    let cells = &sheet.map.cells;
    let name = |row: usize, column: usize| {
        let cell = cells[row][column];
        match (cell.sign, cell.first) {
            (Sign::Marginal | Sign::Fails, Some(first)) => Name::First(first),
            (sign, _) => Name::Sign(sign),
        }
    };
    let mut seen = vec![vec![false; sheet.columns]; cells.len()];
    let mut out = Vec::new();
    for row in 0..cells.len() {
        for column in 0..sheet.columns {
            if seen[row][column] {
                continue;
            }
            seen[row][column] = true;
            let (wanted, mut found, mut next) = (name(row, column), Vec::new(), vec![(row, column)]);
            while let Some((r, c)) = next.pop() {
                found.push((r, c));
                let neighbors = [(r.wrapping_sub(1), c), (r + 1, c), (r, c.wrapping_sub(1)), (r, c + 1)];
                for (r, c) in neighbors {
                    if r < cells.len() && c < sheet.columns && !seen[r][c] && name(r, c) == wanted {
                        seen[r][c] = true;
                        next.push((r, c));
                    }
                }
            }
            found.sort_unstable();
            out.push((wanted, found));
        }
    }
    out
}

/// The baseline's middle for a text of this width where the area leaves most
/// room around it; none when it is clear nowhere.
fn roomiest(
    sheet: &Sheet<'_>,
    cells: &[(usize, usize)],
    wide: f64,
    is_clear: impl Fn([f64; 2]) -> bool,
) -> Option<[f64; 2]> {
    let cell_w = sheet.map.size_px[0] / sheet.columns as f64;
    let cell_h = sheet.map.size_px[1] / sheet.map.cells.len() as f64;
    let rows = (NAME_ROOM[1] / cell_h).ceil().max(1.0) as usize;
    // The longest run common to a band of rows as high as the text.
    let mut best: Option<(f64, [f64; 2])> = None;
    let first = cells.first()?.0;
    let last = cells.last()?.0;
    for row in first..=(last + 1).saturating_sub(rows) {
        for (from, to) in common_run(cells, row, rows) {
            let room = (to - from) as f64 * cell_w;
            if room < wide {
                continue;
            }
            let (left, right) = (edge_u(sheet, from), edge_u(sheet, to));
            let v = (edge_v(sheet, row) + edge_v(sheet, row + rows)) / 2.0 + 0.25 * SIZE_SMALL;
            // Most room wins; of equals the one nearest the area's middle height.
            let middle = edge_v(sheet, (first + last).div_ceil(2));
            let score = room - 0.5 * (v - middle).abs();
            // The middle of a run, else an end of it.
            let places = [(left + right) / 2.0, left + wide / 2.0, right - wide / 2.0];
            let at = places.map(|u| [u, v]).into_iter().find(|at| is_clear(*at));
            if let Some(at) = at.filter(|_| best.is_none_or(|(b, _)| score > b)) {
                best = Some((score, at));
            }
        }
    }
    best.map(|(_, at)| at)
}

/// Stretches of columns that belong to the area in all of several rows.
fn common_run(cells: &[(usize, usize)], row: usize, rows: usize) -> Vec<(usize, usize)> {
    let of = |r: usize| {
        let from = cells.partition_point(|c| *c < (r, 0));
        let to = cells.partition_point(|c| *c < (r + 1, 0));
        &cells[from..to]
    };
    let mut out: Vec<(usize, usize)> = Vec::new();
    for (_, column) in of(row) {
        let in_all = (row + 1..row + rows).all(|r| of(r).binary_search(&(r, *column)).is_ok());
        if !in_all {
            continue;
        }
        match out.last_mut() {
            Some(last) if last.1 == *column => last.1 = column + 1,
            _ => out.push((*column, column + 1)),
        }
    }
    out
}
