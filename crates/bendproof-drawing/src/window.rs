//! The window map: two settings at once, with the same signs as the rule.
//! Hatching is where the physics fails or is marginal, words in it name the
//! failure that comes first, lines are margins, a dashed frame is the trade's
//! range, a ring the hand's scatter, dots are this shop's own plates.
//!
//! Nothing on it needs colour to be read: density of the hatching, words and
//! shapes carry it.

use crate::svg::{Anchor, Area, FINE, OUTLINE, Pen, SIZE_SMALL, Svg, Type};
use crate::window_cells;
use crate::{Frame, Sign, text_width};

/// Most cells along one side. Basis: choice, finer than a printed dot.
const CELLS_MAX: usize = 400;
/// Hatch distances, as on the rule.
pub(crate) const HATCH_FAILS: f64 = 3.6;
pub(crate) const HATCH_MARGINAL: f64 = 8.5;
/// Height of one line of small print.
const LINE: f64 = 16.0;
/// A tick this near to an end of the map stands on it, user units.
const TICK_EDGE: f64 = 0.01;
/// Length of a tick.
const TICK: f64 = 4.0;
/// Width of a sample in the legend.
const SAMPLE: f64 = 26.0;
/// Half the room an own plate takes, and the value, which the page lays a handle
/// over, user units. Basis: choice.
const DOT_ROOM: f64 = 6.0;
const POINT_ROOM: f64 = 18.0;
/// Room between the words of neighboring ticks, as a part of their size. Basis:
/// choice, so that paper may print them a sixth larger.
const TICK_ROOM: f64 = 1.2;
/// Height of a tick's two lines, the lowest of which stand above their tick, user
/// units. Basis: derived from where they are set.
const TWO_LINES: f64 = 27.0;
/// Dots and dashes of the frames.
const DASH_TRADE: &str = "7 4";
const DASH_CHECKED: &str = "9 3 1.5 3";

/// One cell of the map.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MapCell {
    /// The word.
    pub sign: Sign,
    /// Which of [`WindowMap::names`] comes first there; none where it is not known.
    pub first: Option<usize>,
    /// Margin in its own doubt: 1 holds, -1 fails. None where it is not known.
    pub clearance: Option<f64>,
    /// Margin in the error of the model: between -1 and 1 the word could be wrong
    /// by the model alone. None where no model's error was measured.
    pub in_model_error: Option<f64>,
}

/// A tick: where, what is written, and the same in the other system.
#[derive(Debug, Clone, PartialEq)]
pub struct Tick {
    /// Place in the units of the axis.
    pub at: f64,
    /// As the trade writes it: `1/8`.
    pub label: String,
    /// Next to it: `3.2`; may be empty.
    pub also: String,
}

/// What a line of the legend explains.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MapKey {
    /// A kind of cell.
    Sign(Sign),
    /// The trade's frame.
    Trade,
    /// The frame of what was checked.
    Checked,
    /// The value set.
    Value,
    /// The ring of the hand's scatter.
    Scatter,
    /// An own plate that held.
    Held,
    /// An own plate that did not.
    Lost,
    /// The line at margin zero.
    Line,
    /// The lines of equal margin.
    Contour,
    /// The edges of the band in which the model alone could be wrong.
    ModelError,
}

/// A map of forecasts over two settings.
#[derive(Debug, Clone, PartialEq)]
pub struct WindowMap {
    /// Lower and upper end across, any unit.
    pub x: [f64; 2],
    /// Lower and upper end upwards, any unit.
    pub y: [f64; 2],
    /// Name of the setting across: `root opening, in · mm`.
    pub x_label: String,
    /// Name of the setting upwards.
    pub y_label: String,
    /// Ticks across and upwards; outside the ends they are left out.
    pub ticks: [Vec<Tick>; 2],
    /// Rows from the lowest y up, each from the lowest x; all the same length.
    pub cells: Vec<Vec<MapCell>>,
    /// Short names of what can come first, written into their areas.
    pub names: Vec<String>,
    /// Margins at which lines are drawn, in doubts, besides the one at zero.
    pub contours: Vec<f64>,
    /// The range checked: `[[x from, x to], [y from, y to]]`; what lies beyond
    /// the ends of the map is cut off.
    pub checked: Option<[[f64; 2]; 2]>,
    /// The trade's range.
    pub trade: Option<[[f64; 2]; 2]>,
    /// Own plates: x, y, held.
    pub dots: Vec<(f64, f64, bool)>,
    /// The value set.
    pub value: Option<[f64; 2]>,
    /// Half axes of its scatter, in the units of x and y.
    pub scatter: Option<[f64; 2]>,
    /// Lines of the legend below the map.
    pub legend: Vec<(MapKey, String)>,
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

/// The map on its sheet.
pub(crate) struct Sheet<'a> {
    pub map: &'a WindowMap,
    pub edge: Area,
    pub columns: usize,
}

impl Sheet<'_> {
    /// Where a pair of values lies.
    pub fn at(&self, x: f64, y: f64) -> [f64; 2] {
        let share = |v: f64, ends: [f64; 2]| (v - ends[0]) / (ends[1] - ends[0]);
        let [wide, high] = self.map.size_px;
        [self.edge.x0 + share(x, self.map.x) * wide, self.edge.y1 - share(y, self.map.y) * high]
    }

    /// The same, held inside the map.
    fn held(&self, x: f64, y: f64) -> [f64; 2] {
        let [u, v] = self.at(x, y);
        [u.clamp(self.edge.x0, self.edge.x1), v.clamp(self.edge.y0, self.edge.y1)]
    }

    fn holds(&self, x: f64, y: f64) -> bool {
        (self.map.x[0]..=self.map.x[1]).contains(&x) && (self.map.y[0]..=self.map.y[1]).contains(&y)
    }
}

pub(crate) fn draw(map: &WindowMap, frame: &Frame<'_>) -> (Svg, [f64; 2]) {
    let mut svg = Svg::default();
    let columns = map.cells.first().map_or(0, Vec::len);
    let whole = map.cells.iter().all(|row| row.len() == columns) && columns > 0;
    let ranges = map.x[1] > map.x[0] && map.y[1] > map.y[0];
    if !whole || !ranges || columns > CELLS_MAX || map.cells.len() > CELLS_MAX {
        svg.refuse();
        return (svg, [1.0, 1.0]);
    }
    let left = 26.0 + y_tick_room(map);
    // The words of a tick at the upper end rise above it.
    let top = if map.ticks[1].is_empty() { 8.0 } else { 16.0 };
    let edge = Area { x0: left, y0: top, x1: left + map.size_px[0], y1: top + map.size_px[1] };
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
    let sheet = Sheet { map, edge, columns };
    window_cells::draw(&mut svg, &sheet, frame);
    draw_signs(&mut svg, &sheet, frame);
    window_cells::names(&mut svg, &sheet, &covered(&sheet), frame);
    svg.rect(edge, 0.0, &Pen::line(frame.theme.ink, OUTLINE));
    let below = draw_axes(&mut svg, &sheet, frame);
    let size = draw_legend(&mut svg, &sheet, below, frame);
    (svg, size)
}

/// Room for the words of the ticks left of the map.
fn y_tick_room(map: &WindowMap) -> f64 {
    let wide = |t: &Tick| {
        let weight = crate::Weight::Medium;
        text_width(&t.label, SIZE_SMALL, weight).max(text_width(&t.also, SIZE_SMALL, weight))
    };
    let room = map.ticks[1].iter().map(wide).fold(0.0, f64::max);
    if room > 0.0 { room + TICK + 6.0 } else { 0.0 }
}

fn draw_signs(svg: &mut Svg, sheet: &Sheet<'_>, frame: &Frame<'_>) {
    let (map, theme) = (sheet.map, frame.theme);
    let mut framed = |range: Option<[[f64; 2]; 2]>, pen: &Pen<'_>| {
        if let Some([x, y]) = range {
            let ([x0, y1], [x1, y0]) = (sheet.held(x[0], y[0]), sheet.held(x[1], y[1]));
            if x1 > x0 && y1 > y0 {
                svg.rect(Area { x0, y0, x1, y1 }, 0.0, pen);
            }
        }
    };
    framed(map.checked, &Pen::line(theme.ink_soft, FINE).dashed(DASH_CHECKED));
    framed(map.trade, &Pen::line(theme.ink, OUTLINE).dashed(DASH_TRADE));
    if let (Some([x, y]), Some([rx, ry])) = (map.value, map.scatter) {
        let ring: Vec<[f64; 2]> = (0..48)
            .map(|k| {
                let angle = f64::from(k) * std::f64::consts::TAU / 48.0;
                sheet.held(x + rx * angle.cos(), y + ry * angle.sin())
            })
            .collect();
        svg.run(&ring, true, &Pen::line(theme.accent, OUTLINE));
    }
    // A plate or a value beyond the map is not drawn at its edge, where it is not.
    for (x, y, held) in map.dots.iter().filter(|(x, y, _)| sheet.holds(*x, *y)) {
        dot(svg, sheet.at(*x, *y), *held, frame);
    }
    if let Some([x, y]) = map.value.filter(|[x, y]| sheet.holds(*x, *y)) {
        cross(svg, sheet.at(x, y), frame);
    }
}

/// What no name may lie under or over: the value with the ring around it, and own
/// plates.
fn covered(sheet: &Sheet<'_>) -> Vec<Area> {
    let map = sheet.map;
    let around =
        |[u, v]: [f64; 2], [ru, rv]: [f64; 2]| Area { x0: u - ru, y0: v - rv, x1: u + ru, y1: v + rv };
    let dots = map.dots.iter().filter(|(x, y, _)| sheet.holds(*x, *y));
    let mut out: Vec<Area> = dots.map(|(x, y, _)| around(sheet.at(*x, *y), [DOT_ROOM; 2])).collect();
    if let Some([x, y]) = map.value {
        let ([u, v], [rx, ry]) = (sheet.at(x, y), map.scatter.unwrap_or_default());
        let [far_u, far_v] = sheet.at(x + rx, y + ry);
        out.push(around([u, v], [(far_u - u).abs().max(POINT_ROOM), (far_v - v).abs().max(POINT_ROOM)]));
    }
    out
}

fn dot(svg: &mut Svg, at: [f64; 2], held: bool, frame: &Frame<'_>) {
    let fill = if held { frame.theme.ink } else { frame.theme.paper };
    svg.circle(at, 3.6, &Pen::line(frame.theme.ink, OUTLINE).with_fill(fill));
}

fn cross(svg: &mut Svg, [u, v]: [f64; 2], frame: &Frame<'_>) {
    let pen = Pen::line(frame.theme.accent, OUTLINE * 1.6);
    svg.line([u - 7.0, v], [u + 7.0, v], &pen);
    svg.line([u, v - 7.0], [u, v + 7.0], &pen);
}

/// The ticks within `ends`, or every second, third … of them, so that no words meet.
fn clear_ticks(
    ticks: &[Tick],
    place: impl Fn(&Tick) -> f64,
    [from, to]: [f64; 2],
    takes: impl Fn(&Tick) -> f64,
) -> Vec<&Tick> {
    let shown: Vec<&Tick> =
        ticks.iter().filter(|t| (from - TICK_EDGE..=to + TICK_EDGE).contains(&place(t))).collect();
    let is_clear = |step: usize| {
        let kept: Vec<&Tick> = shown.iter().step_by(step).copied().collect();
        let room = |pair: &[&Tick]| TICK_ROOM * (takes(pair[0]) + takes(pair[1])) / 2.0;
        kept.windows(2).all(|pair| (place(pair[1]) - place(pair[0])).abs() >= room(pair))
    };
    let step = (1..=shown.len()).find(|step| is_clear(*step)).unwrap_or(1);
    shown.into_iter().step_by(step).collect()
}

/// Ticks and names of both axes; gives the level below which all is free.
fn draw_axes(svg: &mut Svg, sheet: &Sheet<'_>, frame: &Frame<'_>) -> f64 {
    let (map, edge, theme) = (sheet.map, sheet.edge, frame.theme);
    let pen = Pen::line(theme.ink, FINE);
    let (ink, soft) = (
        Type::new(theme.ink, SIZE_SMALL, Anchor::Middle),
        Type::new(theme.ink_soft, SIZE_SMALL, Anchor::Middle),
    );
    let mut below = edge.y1;
    let wide = |t: &Tick| {
        text_width(&t.label, SIZE_SMALL, ink.weight).max(text_width(&t.also, SIZE_SMALL, ink.weight))
    };
    for tick in clear_ticks(&map.ticks[0], |t| sheet.at(t.at, map.y[0])[0], [edge.x0, edge.x1], wide) {
        let [u, _] = sheet.at(tick.at, map.y[0]);
        svg.line([u, edge.y1], [u, edge.y1 + TICK], &pen);
        svg.text(u, edge.y1 + 15.0, &tick.label, &ink);
        below = below.max(edge.y1 + 15.0);
        if !tick.also.is_empty() {
            svg.text(u, edge.y1 + 15.0 + LINE - 3.0, &tick.also, &soft);
            below = below.max(edge.y1 + 15.0 + LINE - 3.0);
        }
    }
    let high = |t: &Tick| if t.also.is_empty() { SIZE_SMALL } else { TWO_LINES };
    for tick in clear_ticks(&map.ticks[1], |t| sheet.at(map.x[0], t.at)[1], [edge.y0, edge.y1], high) {
        let [_, v] = sheet.at(map.x[0], tick.at);
        svg.line([edge.x0 - TICK, v], [edge.x0, v], &pen);
        // At the lower end both lines stand above the tick, clear of the words
        // of the other axis.
        let (up, down) = match tick.also.is_empty() {
            true => (4.0, 0.0),
            false if v + 9.8 > edge.y1 => (-12.0, -0.5),
            false => (-2.0, 9.8),
        };
        let at = edge.x0 - TICK - 3.0;
        svg.text(at, v + up, &tick.label, &Type { anchor: Anchor::End, ..ink });
        if !tick.also.is_empty() {
            svg.text(at, v + down, &tick.also, &Type { anchor: Anchor::End, ..soft });
        }
    }
    svg.text((edge.x0 + edge.x1) / 2.0, below + 17.0, &map.x_label, &ink);
    svg.text(14.0, (edge.y0 + edge.y1) / 2.0, &map.y_label, &ink.turned());
    below + 24.0
}

/// The legend in columns as wide as its widest line; gives the sheet's size.
fn draw_legend(svg: &mut Svg, sheet: &Sheet<'_>, below: f64, frame: &Frame<'_>) -> [f64; 2] {
    let (map, edge) = (sheet.map, sheet.edge);
    let face = Type::new(frame.theme.ink, SIZE_SMALL, Anchor::Start);
    let room = |text: &str| SAMPLE + 8.0 + text_width(text, SIZE_SMALL, face.weight) + 14.0;
    let widest = map.legend.iter().map(|(_, text)| room(text)).fold(1.0, f64::max);
    let columns = ((edge.x1 - edge.x0) / widest).floor().max(1.0) as usize;
    let rows = map.legend.len().div_ceil(columns);
    for (index, (key, text)) in map.legend.iter().enumerate() {
        let (column, row) = (index / rows.max(1), index % rows.max(1));
        let x = edge.x0 + column as f64 * widest;
        let y = below + 6.0 + row as f64 * LINE;
        sample(svg, *key, Area { x0: x, y0: y, x1: x + SAMPLE, y1: y + 11.0 }, frame);
        svg.text(x + SAMPLE + 8.0, y + 9.5, text, &face);
    }
    let wide = (edge.x0 + widest * columns.min(map.legend.len()) as f64).max(edge.x1 + 14.0);
    [wide, below + if rows > 0 { 8.0 + rows as f64 * LINE } else { 0.0 }]
}

fn sample(svg: &mut Svg, key: MapKey, area: Area, frame: &Frame<'_>) {
    let theme = frame.theme;
    let middle = [(area.x0 + area.x1) / 2.0, (area.y0 + area.y1) / 2.0];
    let (from, to) = ([area.x0, middle[1]], [area.x1, middle[1]]);
    match key {
        MapKey::Sign(sign) => {
            window_cells::fill(svg, sign, area, frame);
            svg.rect(area, 0.0, &Pen::line(theme.line, FINE));
        }
        MapKey::Trade => svg.rect(area, 0.0, &Pen::line(theme.ink, OUTLINE).dashed(DASH_TRADE)),
        MapKey::Checked => svg.rect(area, 0.0, &Pen::line(theme.ink_soft, FINE).dashed(DASH_CHECKED)),
        MapKey::Value => cross(svg, middle, frame),
        MapKey::Scatter => svg.circle(middle, 5.0, &Pen::line(theme.accent, OUTLINE)),
        MapKey::Held => dot(svg, middle, true, frame),
        MapKey::Lost => dot(svg, middle, false, frame),
        MapKey::Line => svg.line(from, to, &Pen::line(theme.ink, window_cells::LINE_WIDTH)),
        MapKey::Contour => svg.line(from, to, &Pen::line(theme.ink, FINE)),
        MapKey::ModelError => svg.line(from, to, &window_cells::model_pen(theme)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Theme, Words};

    fn map(size_px: [f64; 2]) -> WindowMap {
        let cell = MapCell { sign: Sign::Holds, first: None, clearance: Some(2.0), in_model_error: None };
        let tick = |k: u32| Tick { at: f64::from(k), label: format!("{k}/32"), also: format!("{k}.8") };
        WindowMap {
            x: [0.0, 8.0],
            y: [0.0, 8.0],
            x_label: "root opening, in · mm".into(),
            y_label: "root face, in · mm".into(),
            ticks: [(0..=8).map(tick).collect(), (0..=8).map(tick).collect()],
            cells: vec![vec![cell; 20]; 20],
            names: Vec::new(),
            contours: Vec::new(),
            checked: None,
            trade: None,
            dots: Vec::new(),
            value: Some([4.0, 4.0]),
            scatter: Some([1.0, 0.5]),
            legend: Vec::new(),
            size_px,
        }
    }

    fn drawn(map: &WindowMap) -> (Svg, String) {
        let (theme, words) = (Theme::paper(), Words::english());
        let frame = Frame { id: "t", title: "t", desc: "", theme: &theme, words: &words };
        (draw(map, &frame).0, window_map(map, &frame))
    }

    #[test]
    fn a_name_keeps_clear_of_the_value_and_its_ring_and_says_what_the_legend_says() {
        let map = map([300.0, 200.0]);
        let (svg, text) = drawn(&map);
        assert!(text.contains(">OK</text>"), "{text}");
        let edge = Area { x0: 26.0 + y_tick_room(&map), y0: 16.0, x1: 326.0 + y_tick_room(&map), y1: 216.0 };
        let sheet = Sheet { map: &map, edge, columns: 20 };
        let name = svg.texts.last().unwrap();
        assert!(covered(&sheet).iter().all(|ring| !ring.meets(name)), "{name:?} {:?}", covered(&sheet));
        // Nothing is drawn after it that could run over it, but the frame of the map.
        let after = text.rsplit("</text>").next().unwrap();
        assert!(!after.contains("<path"), "{after}");
    }

    #[test]
    fn ticks_thin_out_before_their_words_meet_and_titles_stay() {
        for size_px in [[300.0, 200.0], [250.0, 140.0], [120.0, 80.0]] {
            let (svg, text) = drawn(&map(size_px));
            for (n, a) in svg.texts.iter().enumerate() {
                let met = svg.texts[n + 1..].iter().find(|b| a.meets(b));
                assert!(met.is_none(), "{size_px:?}: {a:?} {met:?}");
            }
            assert!(text.contains("root opening, in · mm") && text.contains("root face, in · mm"));
        }
    }
}
