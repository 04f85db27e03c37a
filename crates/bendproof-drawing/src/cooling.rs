//! The chart of cooling curves: temperature over time at several places, the
//! band from 800 to 500 °C in which the metal's hardness is decided, the time
//! each curve takes through it, and measured points laid over. It reads times off
//! the curves it draws and says nothing about what they mean.

use crate::heat_look::{HeatLook, KeyItem, Scale, key, key_width, scales, whole};
use crate::ink::{Commands, THINNED, thin};
use crate::metrics::text_width;
use crate::svg::{Anchor, Area, FINE, OUTLINE, Pen, SIZE_SMALL, Svg, Type};
use crate::{Frame, Point, Weight};

/// The band, °C, from hot to cold. Source: the customary cooling time t8/5;
/// basis: practice.
const BAND_C: [f64; 2] = [800.0, 500.0];
/// Most curves in one chart: one for each dash. Basis: choice.
pub const COOLING_SERIES_MAX: usize = 6;
/// Most points in one curve. Basis: choice; a long weld at a tenth of a second.
pub const COOLING_POINTS_MAX: usize = 200_000;
/// Smallest and largest plot, user units. Basis: choice.
const PLOT: [[f64; 2]; 2] = [[160.0, 100.0], [2400.0, 1600.0]];
/// Room left and right of the plot for the two scales of temperature.
const SIDES: [f64; 2] = [50.0, 52.0];
const TOP: f64 = 24.0;
/// Room next to the key.
const KEY_MARGIN: f64 = 8.0;
/// Height of a curve's lane under the plot.
const LANE: f64 = 20.0;
/// Dashes of the curves, all different without colour.
const DASHES: [&str; COOLING_SERIES_MAX] = ["", "8 3.5", "2 3", "10 3 2 3", "5 2 1 2 1 2", "14 5"];
/// Size of a measured point's mark, user units.
const MARK: f64 = 3.2;
/// Distances of ticks tried on an axis, in tenths of a power of ten.
const STEPS: [f64; 3] = [1.0, 2.0, 5.0];
/// Fewest user units between ticks of time.
const TICK_APART: f64 = 46.0;
/// A first time below this share of the last is drawn from zero. Basis: choice.
const NEARLY_ZERO: f64 = 0.1;
/// Decades a logarithmic axis spans at most.
const DECADES_MAX: f64 = 5.0;

/// One curve.
#[derive(Debug, Clone, PartialEq)]
pub struct CoolingSeries {
    /// Its name: the place it was followed at.
    pub name: String,
    /// Times, s, ascending.
    pub t_s: Vec<f64>,
    /// Temperatures, °C.
    pub celsius: Vec<f64>,
    /// Measured points: time in s, temperature in °C.
    pub measured: Vec<Point>,
}

/// How time runs along the axis.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TimeAxis {
    /// Evenly.
    Linear,
    /// By powers of ten; times at or before zero are left out.
    Logarithmic,
}

/// A chart of cooling curves.
#[derive(Debug, Clone, PartialEq)]
pub struct CoolingChart {
    /// Curves, from 1 to [`COOLING_SERIES_MAX`].
    pub series: Vec<CoolingSeries>,
    /// The axis of time.
    pub axis: TimeAxis,
    /// First and last time shown, s; all of the curves when none is given.
    pub span_s: Option<[f64; 2]>,
    /// Size of the plot itself, user units.
    pub size_px: [f64; 2],
}

/// The chart. Under the plot each curve has a lane with the stretch of time it
/// takes from 800 to 500 °C, to the same scale; a curve that does not fall through
/// both has an empty lane.
///
/// For pointing the root carries `data-u-min`, `data-u-max`, `data-v-min` and
/// `data-v-max` (user units of the plot's edges, v downwards) with `data-t-min`,
/// `data-t-max` in s and `data-c-max` in °C; the plot's foot is at 0 °C.
pub fn cooling_chart(chart: &CoolingChart, look: &HeatLook, frame: &Frame<'_>) -> String {
    let (svg, size) = draw(chart, look, frame);
    svg.finish(frame, size[0], size[1])
}

pub(crate) fn draw(chart: &CoolingChart, look: &HeatLook, frame: &Frame<'_>) -> (Svg, [f64; 2]) {
    let mut svg = Svg::default();
    let Some(plot) = Plot::new(chart) else {
        svg.refuse();
        return (svg, [1.0, 1.0]);
    };
    for (name, value) in [
        ("t-min", plot.span_s[0]),
        ("t-max", plot.span_s[1]),
        ("c-max", plot.top_c),
        ("u-min", plot.edge.x0),
        ("u-max", plot.edge.x1),
        ("v-min", plot.edge.y0),
        ("v-max", plot.edge.y1),
    ] {
        svg.data(name, value);
    }
    let foot = plot.edge.y1 + 4.0 + LANE * chart.series.len() as f64;
    draw_ground(&mut svg, &plot, foot, look, frame);
    draw_temperatures(&mut svg, &plot, frame);
    for (index, series) in chart.series.iter().enumerate() {
        draw_series(&mut svg, &plot, series, index, frame);
    }
    svg.rect(plot.edge, 0.0, &Pen::line(frame.theme.ink, OUTLINE));
    for (index, series) in chart.series.iter().enumerate() {
        draw_lane(&mut svg, &plot, series, index, look, frame);
    }
    let items = key_items(chart, look, frame);
    let wide = (plot.edge.x1 + SIDES[1]).max(key_width(&items) + 2.0 * KEY_MARGIN);
    let low = key(&mut svg, &items, KEY_MARGIN, foot + 42.0, wide - 2.0 * KEY_MARGIN, frame);
    (svg, [wide, low + 2.0])
}

/// The plot's frame of reference.
struct Plot {
    edge: Area,
    span_s: [f64; 2],
    top_c: f64,
    axis: TimeAxis,
}

impl Plot {
    fn new(chart: &CoolingChart) -> Option<Self> {
        let [w, h] = chart.size_px;
        let roomy = (PLOT[0][0]..=PLOT[1][0]).contains(&w) && (PLOT[0][1]..=PLOT[1][1]).contains(&h);
        let count = (1..=COOLING_SERIES_MAX).contains(&chart.series.len());
        if !roomy || !count || !chart.series.iter().all(is_whole) {
            return None;
        }
        let span_s = chart.span_s.or_else(|| span(chart))?;
        let rises = span_s.iter().all(|t| t.is_finite()) && span_s[0] < span_s[1];
        let is_log = chart.axis == TimeAxis::Logarithmic;
        if !rises || (is_log && span_s[0] <= 0.0) {
            return None;
        }
        let all = chart.series.iter().flat_map(|s| s.celsius.iter().chain(s.measured.iter().map(|m| &m[1])));
        let hottest = all.copied().fold(BAND_C[0], f64::max);
        let top_c = ((hottest + 1.0) / 200.0).ceil() * 200.0;
        let edge = Area { x0: SIDES[0], y0: TOP, x1: SIDES[0] + w, y1: TOP + h };
        Some(Self { edge, span_s, top_c, axis: chart.axis })
    }

    fn x(&self, t_s: f64) -> f64 {
        let [from, to] = self.span_s;
        let share = match self.axis {
            TimeAxis::Linear => (t_s - from) / (to - from),
            TimeAxis::Logarithmic => (t_s / from).ln() / (to / from).ln(),
        };
        self.edge.x0 + share * (self.edge.x1 - self.edge.x0)
    }

    fn y(&self, celsius: f64) -> f64 {
        self.edge.y1 - celsius / self.top_c * (self.edge.y1 - self.edge.y0)
    }

    fn shows(&self, t_s: f64) -> bool {
        (self.span_s[0]..=self.span_s[1]).contains(&t_s)
    }

    /// Times that get a tick and a label.
    fn ticks(&self) -> Vec<f64> {
        let [from, to] = self.span_s;
        let room = (self.edge.x1 - self.edge.x0) / TICK_APART;
        let (low, high) = match self.axis {
            TimeAxis::Linear => {
                let step = even_step((to - from) / room);
                let first = (from / step).ceil() as i64;
                return (first..).map(|k| k as f64 * step).take_while(|t| *t <= to * 1.000_001).collect();
            }
            TimeAxis::Logarithmic => (from.log10().floor() as i32, to.log10().ceil() as i32),
        };
        let decades = (to / from).log10().max(0.1);
        // 1-2-5 when a decade has room for three, powers of ten when not.
        let parts = if room / decades >= 3.0 { &STEPS[..] } else { &STEPS[..1] };
        let all = (low..=high).flat_map(|power| parts.iter().map(move |p| p * 10_f64.powi(power)));
        all.filter(|t| self.shows(*t)).collect()
    }
}

/// The 1-2-5 step at or above a distance.
fn even_step(least: f64) -> f64 {
    let power = 10_f64.powf(least.log10().floor());
    let steps = STEPS.iter().map(|s| s * power).chain([10.0 * power]);
    steps.into_iter().find(|step| *step >= least * 0.999_999).unwrap_or(10.0 * power)
}

fn is_whole(series: &CoolingSeries) -> bool {
    let finite = series.t_s.iter().chain(&series.celsius).chain(series.measured.iter().flatten());
    series.t_s.len() == series.celsius.len()
        && series.t_s.len().max(series.measured.len()) <= COOLING_POINTS_MAX
        && series.t_s.windows(2).all(|pair| pair[0] <= pair[1])
        && finite.into_iter().all(|v| v.is_finite())
}

/// All times of the curves; on a logarithmic axis from the first positive one.
fn span(chart: &CoolingChart) -> Option<[f64; 2]> {
    let is_log = chart.axis == TimeAxis::Logarithmic;
    let all = chart.series.iter().flat_map(|s| s.t_s.iter().chain(s.measured.iter().map(|m| &m[0])));
    let shown = all.copied().filter(|t| !is_log || *t > 0.0);
    let (from, to) = shown.fold((f64::MAX, f64::MIN), |(low, high), t| (low.min(t), high.max(t)));
    let from = match is_log {
        true => from.max(to * 10_f64.powf(-DECADES_MAX)),
        // A chart that nearly begins at zero does.
        false if from > 0.0 && from < to * NEARLY_ZERO => 0.0,
        false => from,
    };
    (from < to).then_some([from, to])
}

/// When a curve last falls through 800 °C and then through 500 °C, s.
fn crossings(series: &CoolingSeries) -> [Option<f64>; 2] {
    let falls = |k: usize, level: f64| series.celsius[k] >= level && series.celsius[k + 1] < level;
    let at = |k: usize, level: f64| {
        let (a, b) = (series.celsius[k], series.celsius[k + 1]);
        series.t_s[k] + (series.t_s[k + 1] - series.t_s[k]) * (a - level) / (a - b)
    };
    let steps = 0..series.celsius.len().saturating_sub(1);
    let Some(hot) = steps.clone().rev().find(|k| falls(*k, BAND_C[0])) else { return [None; 2] };
    let cold = (hot..steps.end).find(|k| falls(*k, BAND_C[1]));
    [Some(at(hot, BAND_C[0])), cold.map(|k| at(k, BAND_C[1]))]
}

/// The band and the ticks of time, down through the lanes.
fn draw_ground(svg: &mut Svg, plot: &Plot, foot: f64, look: &HeatLook, frame: &Frame<'_>) {
    let (theme, edge) = (frame.theme, plot.edge);
    let [y0, y1] = BAND_C.map(|c| plot.y(c));
    svg.rect(Area { y0, y1, ..edge }, 0.0, &Pen::filled(theme.shade));
    let face = Type::new(theme.ink_soft, SIZE_SMALL, Anchor::Middle);
    svg.group("time", &[], "");
    for t in plot.ticks() {
        let x = plot.x(t);
        svg.line([x, edge.y0], [x, foot], &Pen::line(theme.line, FINE));
        svg.text(x, foot + 14.0, &bendproof_measure::round_to(t, 3), &face);
    }
    svg.line([edge.x0, foot], [edge.x1, foot], &Pen::line(theme.ink_soft, FINE));
    let soft = Type::new(theme.ink, SIZE_SMALL, Anchor::Middle);
    svg.text((edge.x0 + edge.x1) / 2.0, foot + 29.0, &look.words.seconds, &soft);
    svg.end();
    for y in [y0, y1] {
        svg.line([edge.x0, y], [edge.x1, y], &Pen::line(theme.ink_soft, FINE).dashed("5 3"));
    }
    // Over the end of the band, which the curves have long passed under.
    let band = |scale: Scale| {
        let [hot, cold] = BAND_C.map(|celsius| scale.number(celsius));
        format!("{hot}–{cold} {}", scale.sign())
    };
    let label = scales(frame.words.system).map(band).join(" · ");
    let end = Type::new(theme.ink_soft, SIZE_SMALL, Anchor::End);
    svg.text(edge.x1 - 6.0, y0 - 5.0, &label, &end);
}

/// Both scales of temperature, the shop's own on the left.
fn draw_temperatures(svg: &mut Svg, plot: &Plot, frame: &Frame<'_>) {
    let (theme, edge) = (frame.theme, plot.edge);
    let sides = [
        (edge.x0, -1.0, Type::new(theme.ink, SIZE_SMALL, Anchor::End)),
        (edge.x1, 1.0, Type::new(theme.ink_soft, SIZE_SMALL, Anchor::Start)),
    ];
    svg.group("temperatures", &[], "");
    for (scale, (x, out, face)) in scales(frame.words.system).into_iter().zip(sides) {
        let top = scale.of(plot.top_c);
        let apart = |step: f64| step / (top - scale.of(0.0)) * (edge.y1 - edge.y0);
        let steps = if scale == Scale::Celsius { [100.0, 200.0] } else { [250.0, 500.0] };
        // A step is doubled until its labels stand clear of each other.
        let step = if apart(steps[0]) > 2.2 * SIZE_SMALL { steps[0] } else { steps[1] };
        let first = (scale.of(0.0) / step).ceil() as i32;
        for k in first..=(top / step) as i32 {
            let degrees = f64::from(k) * step;
            let y = plot.y(scale.celsius(degrees));
            svg.line([x, y], [x + out * 5.0, y], &Pen::line(theme.ink, FINE));
            svg.text(x + out * 8.0, y + 4.0, &whole(degrees), &face);
        }
        svg.text(x + out * 8.0, edge.y0 - 11.0, scale.sign(), &face);
    }
    svg.end();
}

fn tone<'a>(index: usize, frame: &Frame<'a>) -> &'a str {
    if index.is_multiple_of(2) { frame.theme.ink } else { frame.theme.ink_soft }
}

/// One curve inside the plot, its two crossings and its measured points.
fn draw_series(svg: &mut Svg, plot: &Plot, series: &CoolingSeries, index: usize, frame: &Frame<'_>) {
    let (theme, edge) = (frame.theme, plot.edge);
    svg.group("curve", &[("data-curve", &series.name)], &series.name);
    let points: Vec<Point> = shown_points(plot, series);
    let mut commands = Commands::default();
    commands.straight(&thin(&points, THINNED), false);
    let commands = commands.finish(svg);
    svg.path(&commands, &sample_pen(index, frame));
    for (t, celsius) in crossings(series).into_iter().zip(BAND_C) {
        if let Some(t) = t.filter(|t| plot.shows(*t)) {
            svg.circle([plot.x(t), plot.y(celsius)], 3.4, &Pen::line(theme.paper, FINE).with_fill(theme.ink));
        }
    }
    for [t, celsius] in &series.measured {
        let at = [plot.x(*t), plot.y(*celsius)];
        if plot.shows(*t) && at[1] >= edge.y0 && at[1] <= edge.y1 {
            mark(svg, at, index, frame);
        }
    }
    svg.end();
}

/// The points of a curve inside the span, with its values at both ends.
fn shown_points(plot: &Plot, series: &CoolingSeries) -> Vec<Point> {
    let at = |t: f64, celsius: f64| [plot.x(t), plot.y(celsius).clamp(plot.edge.y0, plot.edge.y1)];
    let value = |t: f64| {
        let k = series.t_s.partition_point(|other| *other < t);
        let (a, b) = (k.checked_sub(1)?, (k < series.t_s.len()).then_some(k)?);
        let share = (t - series.t_s[a]) / (series.t_s[b] - series.t_s[a]);
        Some(series.celsius[a] + (series.celsius[b] - series.celsius[a]) * share)
    };
    let [from, to] = plot.span_s;
    let first = value(from).map(|c| at(from, c));
    let inside = series.t_s.iter().zip(&series.celsius).filter(|(t, _)| plot.shows(**t));
    let last = value(to).map(|c| at(to, c));
    first.into_iter().chain(inside.map(|(t, c)| at(*t, *c))).chain(last).collect()
}

/// An open mark; each curve has its own shape.
fn mark(svg: &mut Svg, [x, y]: Point, index: usize, frame: &Frame<'_>) {
    let theme = frame.theme;
    let pen = Pen::line(theme.ink, OUTLINE * 0.85).with_fill(theme.paper);
    let r = MARK;
    let corners: &[Point] = match index % 4 {
        0 => return svg.circle([x, y], r, &pen),
        1 => &[[-r, -r], [r, -r], [r, r], [-r, r]],
        2 => &[[0.0, -r * 1.3], [r * 1.2, r], [-r * 1.2, r]],
        _ => &[[0.0, -r * 1.4], [r * 1.4, 0.0], [0.0, r * 1.4], [-r * 1.4, 0.0]],
    };
    let shape: Vec<Point> = corners.iter().map(|c| [x + c[0], y + c[1]]).collect();
    svg.run(&shape, true, &pen);
}

/// The lane of one curve: its stretch from 800 to 500 °C to the scale of time,
/// its length in seconds, and the curve's line in the margin.
fn draw_lane(
    svg: &mut Svg,
    plot: &Plot,
    series: &CoolingSeries,
    index: usize,
    look: &HeatLook,
    frame: &Frame<'_>,
) {
    let (theme, edge) = (frame.theme, plot.edge);
    let y = edge.y1 + 4.0 + (index as f64 + 0.5) * LANE;
    svg.group("lane", &[("data-curve", &series.name)], &series.name);
    svg.line([8.0, y], [edge.x0 - 8.0, y], &sample_pen(index, frame));
    if let [Some(from), Some(to)] = crossings(series) {
        let [a, b] = [from, to].map(|t| plot.x(t).clamp(edge.x0, edge.x1));
        let pen = Pen::line(theme.ink, OUTLINE);
        svg.line([a, y], [b, y], &pen);
        for end in [a, b] {
            svg.line([end, y - 5.0], [end, y + 5.0], &pen);
        }
        let text = format!("{} {} s", look.words.t85, bendproof_measure::round_to(to - from, 1));
        let wide = text_width(&text, SIZE_SMALL, Weight::Medium);
        // Right of the bar where there is room, else left of it.
        let (x, anchor) = match b + 9.0 + wide <= edge.x1 {
            true => (b + 9.0, Anchor::Start),
            false => (a - 9.0, Anchor::End),
        };
        let face = Type::new(theme.ink, SIZE_SMALL, anchor);
        let area = Area::of_text(x, y + 4.0, &text, &face);
        let ground = Area { x0: area.x0 - 2.0, y0: area.y0 - 1.0, x1: area.x1 + 2.0, y1: area.y1 };
        svg.rect(ground, 1.0, &Pen::filled(theme.paper));
        svg.text(x, y + 4.0, &text, &face);
    }
    svg.end();
}

fn sample_pen<'a>(index: usize, frame: &Frame<'a>) -> Pen<'a> {
    Pen::line(tone(index, frame), OUTLINE * 1.5).dashed(DASHES[index])
}

/// Names of the curves, each next to its line and its mark.
fn key_items<'a>(chart: &'a CoolingChart, look: &'a HeatLook, frame: &'a Frame<'a>) -> Vec<KeyItem<'a>> {
    let curves = chart.series.iter().enumerate().map(|(index, series)| KeyItem {
        text: series.name.clone(),
        draw: Box::new(move |svg: &mut Svg, area: Area| {
            let y = (area.y0 + area.y1) / 2.0;
            svg.line([area.x0, y], [area.x1, y], &sample_pen(index, frame));
        }),
    });
    let has_marks = |(_, series): &(usize, &CoolingSeries)| !series.measured.is_empty();
    let marks = chart.series.iter().enumerate().filter(has_marks).map(|(index, series)| KeyItem {
        text: format!("{}, {}", series.name, look.words.measured),
        draw: Box::new(move |svg: &mut Svg, area: Area| {
            mark(svg, [(area.x0 + area.x1) / 2.0, (area.y0 + area.y1) / 2.0], index, frame);
        }),
    });
    curves.chain(marks).collect()
}
