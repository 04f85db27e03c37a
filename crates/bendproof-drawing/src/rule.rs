//! The three-voice rule: a value set on a steel rule, with the trade's range as
//! a bracket above it, the physics as hatching on it, and this shop's own plates
//! as dots below it.

use bendproof_measure::{inch_fraction, round_to};

use crate::geometry::rows;
use crate::metrics::text_width;
use crate::section::draw_hatch;
use crate::svg::{Anchor, Area, FINE, OUTLINE, Pen, SIZE_LABEL, SIZE_SMALL, Svg, Type};
use crate::{Frame, Sign, Weight};

/// Space left and right of the rule, so that end labels are not cut off.
const SIDE: f64 = 12.0;
/// Height of the rule itself, user units.
const BODY: f64 = 22.0;
/// Radius of a plate's dot, and the distance between rows of dots.
const DOT: f64 = 3.6;
const DOT_ROW: f64 = 10.0;
/// Rows of dots drawn; more plates than fit are said in a count.
const DOT_ROWS_MAX: usize = 3;
/// Most ticks on one rule; a finer step is drawn coarser.
const TICKS_MAX: f64 = 240.0;
/// Hatch distances for fails and marginal, user units.
const HATCH_FAILS: f64 = 3.6;
const HATCH_MARGINAL: f64 = 8.5;
/// Millimetres in an inch.
const INCH_MM: f64 = 25.4;

/// How the rule is divided.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Ticks {
    /// Values are millimetres, divided in parts of an inch: 16, 32 or 64 to the
    /// inch, each power of two longer than the next, as on a shop rule.
    Inch {
        /// Finest division, parts per inch.
        parts: u32,
    },
    /// Values in their own unit, a tick every `step`, a long one with a numeral
    /// every `major` steps.
    Decimal {
        /// Distance between ticks, in the rule's unit.
        step: f64,
        /// Steps from one numeral to the next.
        major: u32,
    },
}

/// The trade's customary or published range.
#[derive(Debug, Clone, PartialEq)]
pub struct TradeRange {
    /// Lower end, in the rule's unit.
    pub from: f64,
    /// Upper end, in the rule's unit.
    pub to: f64,
    /// Its word, usually `trade`.
    pub word: String,
}

/// What the physics says between two values.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span {
    /// Lower end, in the rule's unit.
    pub from: f64,
    /// Upper end, in the rule's unit.
    pub to: f64,
    /// The answer there.
    pub sign: Sign,
}

/// One of this shop's own plates.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dot {
    /// Its value, in the rule's unit.
    pub at: f64,
    /// Whether it passed.
    pub held: bool,
}

/// A value on its rule with the three voices.
#[derive(Debug, Clone, PartialEq)]
pub struct Rule {
    /// Name of the value, above left; empty for none.
    pub label: String,
    /// The value in words, above right; empty for none.
    pub value_label: String,
    /// Left end, in the rule's unit.
    pub min: f64,
    /// Right end; above `min`.
    pub max: f64,
    /// The value set, or none yet.
    pub value: Option<f64>,
    /// Divisions.
    pub ticks: Ticks,
    /// First voice.
    pub trade: Option<TradeRange>,
    /// Second voice. What no span covers is drawn as not known.
    pub spans: Vec<Span>,
    /// Third voice.
    pub dots: Vec<Dot>,
    /// Width of the whole drawing, user units, at least 120.
    pub width_px: f64,
}

/// The rule.
///
/// For pointing: the root carries `data-min`, `data-max`, `data-x-min` and
/// `data-x-max`; a pointer at user x lies at
/// `min + (x − x_min) / (x_max − x_min) · (max − min)`. The marker is the group
/// of class `marker`, moved by its `transform` alone.
pub fn rule(rule: &Rule, frame: &Frame<'_>) -> String {
    let (svg, size) = draw(rule, frame);
    svg.finish(frame, size[0], size[1])
}

/// The heights of the parts, top to bottom.
struct Shelf {
    bracket: f64,
    marker: f64,
    top: f64,
    foot: f64,
}

pub(crate) fn draw(rule: &Rule, frame: &Frame<'_>) -> (Svg, [f64; 2]) {
    let mut svg = Svg::default();
    if !(rule.max - rule.min).is_finite() || rule.max <= rule.min || rule.width_px < 120.0 {
        svg.refuse();
        return (svg, [1.0, 1.0]);
    }
    let heading = if rule.label.is_empty() && rule.value_label.is_empty() { 4.0 } else { 24.0 };
    let bracket = heading + 8.0;
    let marker = bracket + 9.0;
    let shelf = Shelf { bracket, marker, top: marker + 9.0, foot: marker + 9.0 + BODY };
    for (name, value) in
        [("min", rule.min), ("max", rule.max), ("x-min", SIDE), ("x-max", rule.width_px - SIDE)]
    {
        svg.data(name, value);
    }
    draw_heading(&mut svg, rule, frame);
    draw_trade(&mut svg, rule, &shelf, frame);
    draw_spans(&mut svg, rule, &shelf, frame);
    draw_ticks(&mut svg, rule, &shelf, frame);
    let below = draw_dots(&mut svg, rule, shelf.foot + 18.0, frame);
    draw_marker(&mut svg, rule, &shelf, frame);
    (svg, [rule.width_px, below + 4.0])
}

impl Rule {
    fn x(&self, value: f64) -> f64 {
        SIDE + (value - self.min) / (self.max - self.min) * (self.width_px - 2.0 * SIDE)
    }
    fn x_kept(&self, value: f64) -> f64 {
        self.x(value.clamp(self.min, self.max))
    }
}

fn draw_heading(svg: &mut Svg, rule: &Rule, frame: &Frame<'_>) {
    let theme = frame.theme;
    if !rule.label.is_empty() {
        svg.text(SIDE, 15.0, &rule.label, &Type::new(theme.ink, SIZE_LABEL + 1.0, Anchor::Start));
    }
    if !rule.value_label.is_empty() {
        let face = Type::new(theme.ink, SIZE_LABEL + 3.0, Anchor::End).bold();
        svg.text(rule.width_px - SIDE, 16.0, &rule.value_label, &face);
    }
}

/// The bracket, with its word at whichever end has room; over it, in a gap of
/// the line, when neither has.
fn draw_trade(svg: &mut Svg, rule: &Rule, shelf: &Shelf, frame: &Frame<'_>) {
    let Some(trade) = &rule.trade else { return };
    let theme = frame.theme;
    let (a, b) = (rule.x_kept(trade.from), rule.x_kept(trade.to));
    let (y, foot) = (shelf.bracket, shelf.bracket + 7.0);
    let wide = text_width(&trade.word, SIZE_SMALL, Weight::Medium);
    let gap = 6.0;
    let title = trade.word.clone();
    svg.group("trade", &[], &title);
    let pen = Pen::line(theme.ink, OUTLINE * 0.8);
    let (x, anchor) = if b + gap + wide <= rule.width_px {
        (b + gap, Anchor::Start)
    } else if a - gap - wide >= 0.0 {
        (a - gap, Anchor::End)
    } else {
        ((a + b) / 2.0, Anchor::Middle)
    };
    match anchor {
        Anchor::Middle => {
            let (left, right) = (x - wide / 2.0 - gap, x + wide / 2.0 + gap);
            svg.run(&[[a, foot], [a, y], [left.max(a), y]], false, &pen);
            svg.run(&[[right.min(b), y], [b, y], [b, foot]], false, &pen);
        }
        _ => svg.run(&[[a, foot], [a, y], [b, y], [b, foot]], false, &pen),
    }
    svg.text(x, y + 4.0, &trade.word, &Type::new(theme.ink_soft, SIZE_SMALL, anchor));
    svg.end();
}

/// The spans cut to the rule, in order, with the uncovered parts between them.
fn covered(rule: &Rule) -> Vec<Span> {
    let mut spans: Vec<Span> = rule
        .spans
        .iter()
        .map(|s| Span { from: s.from.max(rule.min), to: s.to.min(rule.max), ..*s })
        .filter(|s| s.to > s.from)
        .collect();
    spans.sort_by(|a, b| a.from.total_cmp(&b.from));
    let mut whole = Vec::new();
    let mut at = rule.min;
    for span in spans {
        if span.from > at {
            whole.push(Span { from: at, to: span.from, sign: Sign::NotKnown });
        }
        // An overlap keeps the earlier span; the caller's spans should not overlap.
        let from = span.from.max(at);
        if span.to > from {
            whole.push(Span { from, ..span });
            at = span.to;
        }
    }
    if at < rule.max {
        whole.push(Span { from: at, to: rule.max, sign: Sign::NotKnown });
    }
    whole
}

fn draw_spans(svg: &mut Svg, rule: &Rule, shelf: &Shelf, frame: &Frame<'_>) {
    let theme = frame.theme;
    let spans = covered(rule);
    for span in &spans {
        let (a, b) = (rule.x(span.from), rule.x(span.to));
        let area = Area { x0: a, y0: shelf.top, x1: b, y1: shelf.foot };
        let corners = [[a, shelf.top], [b, shelf.top], [b, shelf.foot], [a, shelf.foot]];
        svg.group("span", &[], frame.words.sign(span.sign));
        let outline = Pen::line(theme.ink, OUTLINE);
        let edges = [[[a, shelf.top], [b, shelf.top]], [[a, shelf.foot], [b, shelf.foot]]];
        let pen = match span.sign {
            Sign::NotKnown => Pen::line(theme.ink_soft, OUTLINE).dashed("0.2 3.6"),
            _ => outline,
        };
        match span.sign {
            Sign::Holds => svg.rect(area, 0.0, &Pen::filled(theme.shade)),
            Sign::Marginal => {
                svg.rect(area, 0.0, &Pen::filled(theme.shade));
                draw_hatch(svg, &corners, HATCH_MARGINAL, theme.ink);
            }
            Sign::Fails => draw_hatch(svg, &corners, HATCH_FAILS, theme.ink),
            Sign::NotKnown => {}
        }
        for [from, to] in edges {
            svg.line(from, to, &pen);
        }
        svg.end();
    }
    for (end, x) in [(spans.first(), rule.x(rule.min)), (spans.last(), rule.x(rule.max))] {
        let dash = if end.is_some_and(|s| s.sign == Sign::NotKnown) { "0.2 3.6" } else { "" };
        svg.line([x, shelf.top], [x, shelf.foot], &Pen::line(theme.ink, OUTLINE).dashed(dash));
    }
}

/// One tick: its value, its length as a share of the rule, its numeral.
struct Tick {
    value: f64,
    share: f64,
    numeral: Option<String>,
}

fn ticks(rule: &Rule) -> Vec<Tick> {
    let step = match rule.ticks {
        Ticks::Inch { parts } => INCH_MM / f64::from(parts.clamp(1, 64)),
        Ticks::Decimal { step, .. } => step,
    };
    if !step.is_finite() || step <= 0.0 {
        return Vec::new();
    }
    let coarser = ((rule.max - rule.min) / step / TICKS_MAX).max(1.0).log2().ceil().exp2();
    let step = step * coarser;
    // Slack of a thousandth of a step keeps a tick that falls on an end.
    let first = (rule.min / step - 1e-3).ceil() as i64;
    let last = (rule.max / step + 1e-3).floor() as i64;
    (first..=last)
        .map(|index| {
            let value = index as f64 * step;
            match rule.ticks {
                Ticks::Inch { .. } => inch_tick(value),
                Ticks::Decimal { major, .. } => decimal_tick(value, index, i64::from(major.max(1))),
            }
        })
        .collect()
}

/// The coarser a tick's fraction, the longer its line.
fn inch_tick(value_mm: f64) -> Tick {
    let sixty_fourths = (value_mm / INCH_MM * 64.0).round() as i64;
    let share = match sixty_fourths.trailing_zeros() {
        _ if sixty_fourths == 0 => 0.80,
        6.. => 0.80,
        5 => 0.68,
        4 => 0.56,
        3 => 0.44,
        2 => 0.34,
        1 => 0.22,
        _ => 0.14,
    };
    Tick { value: value_mm, share, numeral: Some(inch_fraction(value_mm / 1e3)) }
}

fn decimal_tick(value: f64, index: i64, major: i64) -> Tick {
    match index % major == 0 {
        true => Tick { value, share: 0.5, numeral: Some(round_to(value, 3)) },
        false => Tick { value, share: 0.26, numeral: None },
    }
}

/// Ticks from the top edge, and numerals under the rule where they have room:
/// the coarsest first, so that 1/2 wins over 9/16.
fn draw_ticks(svg: &mut Svg, rule: &Rule, shelf: &Shelf, frame: &Frame<'_>) {
    let theme = frame.theme;
    let mut all = ticks(rule);
    let mut commands = String::new();
    for tick in &all {
        let x = rule.x(tick.value);
        let end = shelf.top + tick.share * BODY;
        commands.push_str(&svg.run_commands(&[[x, shelf.top], [x, end]], false));
    }
    svg.path(&commands, &Pen::line(theme.ink, FINE * 1.2));
    all.sort_by(|a, b| b.share.total_cmp(&a.share));
    let face = Type::new(theme.ink_soft, SIZE_SMALL - 0.5, Anchor::Middle);
    let y = shelf.foot + 12.0;
    let mut taken: Vec<Area> = Vec::new();
    for tick in &all {
        let Some(numeral) = &tick.numeral else { continue };
        let x = rule.x(tick.value);
        let area = Area::of_text(x, y, numeral, &face);
        let roomy = Area { x0: area.x0 - 7.0, x1: area.x1 + 7.0, ..area };
        if !taken.iter().any(|t| t.meets(&roomy)) && area.x0 >= 0.0 && area.x1 <= rule.width_px {
            svg.text(x, y, numeral, &face);
            taken.push(area);
        }
    }
}

/// Own plates, in rows where they crowd. Returns the lowest y used.
fn draw_dots(svg: &mut Svg, rule: &Rule, y: f64, frame: &Frame<'_>) -> f64 {
    let theme = frame.theme;
    let mut dots: Vec<Dot> =
        rule.dots.iter().copied().filter(|d| d.at >= rule.min && d.at <= rule.max).collect();
    dots.sort_by(|a, b| a.at.total_cmp(&b.at).then(b.held.cmp(&a.held)));
    let places: Vec<(f64, f64)> = dots.iter().map(|d| (rule.x(d.at), 2.0 * DOT)).collect();
    let rows = rows(&places, 2.0);
    let (mut lowest, mut unseen) = (y, rule.dots.len() - dots.len());
    for (dot, row) in dots.iter().zip(rows) {
        if row >= DOT_ROWS_MAX {
            unseen += 1;
            continue;
        }
        let centre = [rule.x(dot.at), y + DOT + row as f64 * DOT_ROW];
        lowest = lowest.max(centre[1] + DOT + 2.0);
        let fill = if dot.held { theme.ink } else { theme.paper };
        svg.circle(centre, DOT, &Pen::line(theme.ink, OUTLINE).with_fill(fill));
    }
    if unseen > 0 {
        let label = format!("+{unseen}");
        let face = Type::new(theme.ink_soft, SIZE_SMALL, Anchor::End);
        svg.text(rule.width_px - SIDE, lowest + 10.0, &label, &face);
        lowest += 13.0;
    }
    lowest
}

/// The marker, under the bracket, so that neither covers the other. A value off
/// the rule leaves an open marker at the end it is beyond.
fn draw_marker(svg: &mut Svg, rule: &Rule, shelf: &Shelf, frame: &Frame<'_>) {
    let Some(value) = rule.value else { return };
    let theme = frame.theme;
    let x = rule.x_kept(value);
    let inside = value >= rule.min && value <= rule.max;
    let shift = format!("translate({} 0)", svg.num(x));
    svg.group("marker", &[("transform", &shift)], &rule.value_label);
    let fill = if inside { theme.accent } else { theme.paper };
    let head = [[-6.5, shelf.marker - 1.5], [6.5, shelf.marker - 1.5], [0.0, shelf.top]];
    svg.run(&head, true, &Pen::line(theme.accent, OUTLINE).with_fill(fill));
    if inside {
        svg.line([0.0, shelf.top], [0.0, shelf.foot + 1.0], &Pen::line(theme.accent, OUTLINE * 1.5));
    }
    svg.end();
}
