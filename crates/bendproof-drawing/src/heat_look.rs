//! What the pictures of heat share beyond a theme: tones, words, the rule laid
//! next to a section, and keys set in rows. Decides nothing.

use bendproof_measure::System;

use crate::metrics::text_width;
use crate::palette::{Ground, Tones};
use crate::svg::{Anchor, Area, FINE, OUTLINE, Pen, SIZE_SMALL, Svg, Type};
use crate::{Frame, Point, Weight, Words};

/// Millimetres in a sixteenth of an inch.
const SIXTEENTH_MM: f64 = 1.5875;
/// Lengths the rule may have, mm; the longest that fits is taken. Basis: choice.
const RULE_LENGTHS_MM: [f64; 6] = [50.0, 20.0, 10.0, 5.0, 2.0, 1.0];
/// Longest rule, user units. Basis: choice.
const RULE_MAX: f64 = 300.0;
/// Room under a section for the rule, user units.
pub(crate) const RULE_HEIGHT: f64 = 46.0;
/// Height of a row of a key, user units.
const ROW: f64 = 19.0;
/// Size of a key's swatch, user units.
const SWATCH: [f64; 2] = [26.0, 12.0];

/// The words pictures of heat print by themselves, one catalogue entry each.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HeatWords {
    /// Metal that was molten.
    pub weld_metal: String,
    /// Weld metal that a later bead changed without melting it.
    pub reheated: String,
    /// Zones of changed plate: intercritical, fine grain, coarse grain.
    pub zones: [String; 3],
    /// The edge of what a bead melted.
    pub fusion_line: String,
    /// The edge of a heated zone.
    pub zone_edge: String,
    /// The plates' edges before welding.
    pub groove: String,
    /// Where a bead lies on older metal that it did not melt.
    pub unmelted: String,
    /// Between a name and the temperature it begins at: `above`.
    pub above: String,
    /// Before the temperature of a scale's coldest band: `below`.
    pub below: String,
    /// Name of the time a curve takes from 800 to 500 °C.
    pub t85: String,
    /// Next to open marks: what was measured.
    pub measured: String,
    /// Under the axis of time.
    pub seconds: String,
}

impl HeatWords {
    /// The English catalogue.
    pub fn english() -> Self {
        Self {
            weld_metal: "weld metal".into(),
            reheated: "weld metal heated again".into(),
            zones: ["partly changed", "fine grain", "coarse grain"].map(Into::into),
            fusion_line: "fusion line".into(),
            zone_edge: "edge of a heated zone".into(),
            groove: "groove as prepared".into(),
            unmelted: "lies on, not melted in".into(),
            above: "above".into(),
            below: "below".into(),
            t85: "t8/5".into(),
            measured: "measured".into(),
            seconds: "seconds".into(),
        }
    }
}

/// Tones, ground and words for pictures of heat.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HeatLook {
    /// Which temperature ramp.
    pub ground: Ground,
    /// Tones of an etched section.
    pub tones: Tones,
    /// Words.
    pub words: HeatWords,
}

impl HeatLook {
    /// The look for a ground, in English. Use it with the theme of that ground.
    pub fn english(ground: Ground) -> Self {
        Self { ground, tones: Tones::new(ground), words: HeatWords::english() }
    }
}

/// Where millimetres land on the sheet.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Sheet {
    pub x0: f64,
    pub y0: f64,
    pub px: f64,
}

impl Sheet {
    pub fn at(&self, p: Point) -> Point {
        [self.x0 + p[0] * self.px, self.y0 - p[1] * self.px]
    }

    pub fn all(&self, points: &[Point]) -> Vec<Point> {
        points.iter().map(|p| self.at(*p)).collect()
    }

    /// Writes the frame of reference onto the root element.
    pub fn declare(&self, svg: &mut Svg) {
        svg.data("px-per-mm", self.px);
        svg.data("x0", self.x0);
        svg.data("y0", self.y0);
    }
}

/// An id inside a drawing, with the characters the root's id keeps.
pub(crate) fn inner_id(frame: &Frame<'_>, name: &str) -> String {
    let id: String = frame.id.chars().filter(|c| c.is_ascii_alphanumeric() || "-_".contains(*c)).collect();
    format!("{id}-{name}")
}

/// Adds definitions to a finished drawing. They may stand last: what a drawing
/// refers to need not come before the reference.
pub(crate) fn with_definitions(mut drawing: String, definitions: &str) -> String {
    if let Some(end) = drawing.rfind("</svg>") {
        drawing.insert_str(end, definitions);
    }
    drawing
}

/// A clip path made of several outlines; a point inside any of them shows.
pub(crate) fn clip(id: &str, outlines: &[String]) -> String {
    let paths: String =
        outlines.iter().filter(|d| !d.is_empty()).map(|d| format!("<path d=\"{d}\"/>")).collect();
    format!("<clipPath id=\"{id}\">{paths}</clipPath>")
}

/// A steel rule laid next to the section, the shop's own unit along its upper edge:
/// sixteenths of an inch or millimetres. Returns its width.
pub(crate) fn steel_rule(svg: &mut Svg, left: f64, top: f64, px: f64, frame: &Frame<'_>) -> f64 {
    let theme = frame.theme;
    let fits = |length: &&f64| **length * px <= RULE_MAX;
    let length_mm = RULE_LENGTHS_MM.iter().find(fits).copied().unwrap_or(RULE_LENGTHS_MM[5]);
    let (width, upper) = (length_mm * px, top + 14.0);
    let body = Area { x0: left, y0: upper, x1: left + width, y1: upper + 15.0 };
    svg.group("steel-rule", &[], "");
    svg.rect(body, 0.0, &Pen::line(theme.ink_soft, FINE).with_fill(theme.shade));
    let edges =
        [Edge { y: body.y0, into: 1.0, baseline: -4.0 }, Edge { y: body.y1, into: -1.0, baseline: 11.5 }];
    let [inch, metric] = if frame.words.system == System::Metric { [1, 0] } else { [0, 1] };
    draw_millimetres(svg, length_mm, [left, px], edges[metric], frame);
    draw_sixteenths(svg, length_mm, [left, px], edges[inch], frame);
    svg.text(left, body.y0 - 4.0, "0", &Type::new(theme.ink_soft, SIZE_SMALL, Anchor::Middle));
    svg.end();
    width
}

/// An edge of the rule: where it lies, which way its ticks run, where it is labelled.
#[derive(Clone, Copy)]
struct Edge {
    y: f64,
    into: f64,
    baseline: f64,
}

fn draw_millimetres(svg: &mut Svg, length_mm: f64, [left, px]: [f64; 2], edge: Edge, frame: &Frame<'_>) {
    let pen = Pen::line(frame.theme.ink, FINE);
    // Ticks closer than two units would merge into a bar.
    let every = if px < 2.0 { 5 } else { 1 };
    for k in (0..=length_mm as i32).step_by(every) {
        let x = left + f64::from(k) * px;
        let long = if k % 5 == 0 { 7.0 } else { 4.0 };
        svg.line([x, edge.y], [x, edge.y + edge.into * long], &pen);
    }
    let mm = format!("{} mm", bendproof_measure::round_to(length_mm, 0));
    let end = Type::new(frame.theme.ink_soft, SIZE_SMALL, Anchor::End);
    svg.text(left + length_mm * px, edge.y + edge.baseline, &mm, &end);
}

fn draw_sixteenths(svg: &mut Svg, length_mm: f64, [left, px]: [f64; 2], edge: Edge, frame: &Frame<'_>) {
    let pen = Pen::line(frame.theme.ink, FINE);
    // Counted in halves of the rule's length, so that the label is a whole eighth.
    let sixteenths = (length_mm / SIXTEENTH_MM).floor() as i32;
    let last = if sixteenths >= 4 { sixteenths - sixteenths % 2 } else { sixteenths };
    for k in 0..=sixteenths {
        let x = left + f64::from(k) * SIXTEENTH_MM * px;
        let long = if k % 4 == 0 { 6.0 } else { 3.5 };
        svg.line([x, edge.y], [x, edge.y + edge.into * long], &pen);
    }
    if last > 0 {
        let inches = bendproof_measure::inch_fraction(f64::from(last) * SIXTEENTH_MM / 1e3);
        let x = left + f64::from(last) * SIXTEENTH_MM * px;
        let end = Type::new(frame.theme.ink_soft, SIZE_SMALL, Anchor::End);
        svg.text(x, edge.y + edge.baseline, &format!("{inches} in"), &end);
    }
}

/// Draws a swatch into its area.
pub(crate) type Draw<'a> = Box<dyn Fn(&mut Svg, Area) + 'a>;

/// One entry of a key: how its swatch is drawn, and its words.
pub(crate) struct KeyItem<'a> {
    pub text: String,
    pub draw: Draw<'a>,
}

/// Sets a key in rows that fit `width`; returns the y below it.
pub(crate) fn key(
    svg: &mut Svg,
    items: &[KeyItem<'_>],
    left: f64,
    top: f64,
    width: f64,
    frame: &Frame<'_>,
) -> f64 {
    let face = Type::new(frame.theme.ink, SIZE_SMALL, Anchor::Start);
    let wide = |item: &KeyItem<'_>| SWATCH[0] + 7.0 + text_width(&item.text, SIZE_SMALL, Weight::Medium);
    // Columns of one width read better than a ragged run of entries.
    let column = items.iter().map(wide).fold(0.0, f64::max) + 18.0;
    let columns = (width / column).floor().max(1.0) as usize;
    svg.group("key", &[], "");
    for (k, item) in items.iter().enumerate() {
        let (x, y) = (left + (k % columns) as f64 * column, top + (k / columns) as f64 * ROW);
        (item.draw)(svg, Area { x0: x, y0: y, x1: x + SWATCH[0], y1: y + SWATCH[1] });
        svg.text(x + SWATCH[0] + 7.0, y + SWATCH[1] - 2.0, &item.text, &face);
    }
    svg.end();
    top + items.len().div_ceil(columns) as f64 * ROW
}

/// Width the widest entry of a key needs.
pub(crate) fn key_width(items: &[KeyItem<'_>]) -> f64 {
    let widest = items.iter().map(|item| text_width(&item.text, SIZE_SMALL, Weight::Medium));
    widest.fold(0.0, f64::max) + SWATCH[0] + 7.0
}

/// A temperature in both scales, the shop's own first: `2010 °F · 1100 °C`.
pub(crate) fn both_scales(celsius: f64, words: &Words) -> String {
    let [own, other] = scales(words.system).map(|scale| scale.said(celsius));
    format!("{own} · {other}")
}

/// The two scales of temperature, the shop's own first.
pub(crate) fn scales(system: System) -> [Scale; 2] {
    match system {
        System::Metric => [Scale::Celsius, Scale::Fahrenheit],
        _ => [Scale::Fahrenheit, Scale::Celsius],
    }
}

/// A scale of temperature.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Scale {
    Celsius,
    Fahrenheit,
}

impl Scale {
    pub fn sign(self) -> &'static str {
        if self == Self::Celsius { "°C" } else { "°F" }
    }

    /// A temperature on this scale, exactly.
    pub fn of(self, celsius: f64) -> f64 {
        if self == Self::Celsius { celsius } else { celsius * 1.8 + 32.0 }
    }

    /// The temperature in °C at a place of this scale.
    pub fn celsius(self, degrees: f64) -> f64 {
        if self == Self::Celsius { degrees } else { (degrees - 32.0) / 1.8 }
    }

    /// The number printed: a Fahrenheit figure finer than five degrees would claim
    /// more than the round Celsius one it is from.
    pub fn number(self, celsius: f64) -> String {
        let degrees = self.of(celsius);
        whole(if self == Self::Celsius { degrees } else { (degrees / 5.0).round() * 5.0 })
    }

    /// The number with its sign.
    pub fn said(self, celsius: f64) -> String {
        format!("{} {}", self.number(celsius), self.sign())
    }
}

/// A number without decimals.
pub(crate) fn whole(value: f64) -> String {
    bendproof_measure::round_to(value, 0)
}

/// A closed outline in ink with a filling, for swatches.
pub(crate) fn swatch(svg: &mut Svg, area: Area, fill: &str, ink: &str) {
    svg.rect(area, 0.0, &Pen::line(ink, OUTLINE * 0.6).with_fill(fill));
}

/// Breaks a text into lines no wider than `width`, at spaces.
pub(crate) fn wrapped(text: &str, width: f64, size: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        let longer = lines.last().map(|line| format!("{line} {word}"));
        match longer {
            Some(longer) if text_width(&longer, size, Weight::Medium) <= width => {
                lines.pop();
                lines.push(longer);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}
