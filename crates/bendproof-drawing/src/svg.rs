//! A small SVG writer: elements, numbers, escaping. It knows no drawing.

use std::fmt::Write as _;

use bendproof_measure::round_to;

use crate::metrics::{Weight, text_width};
use crate::{Frame, Theme};

/// Decimals kept in coordinates: a hundredth of a user unit is finer than any
/// printer's dot at the sizes used. Basis: choice.
const DECIMALS: usize = 2;

/// Line weights in user units, so that all drawings share them. Basis: choice.
pub(crate) const OUTLINE: f64 = 1.3;
/// Dimension, extension and hatch lines.
pub(crate) const FINE: f64 = 0.75;

/// Text sizes in user units. Basis: choice.
pub(crate) const SIZE_LABEL: f64 = 13.0;
/// Small print in drawings.
pub(crate) const SIZE_SMALL: f64 = 11.5;

/// How a shape is stroked and filled.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Pen<'a> {
    pub stroke: &'a str,
    pub width: f64,
    pub dash: &'a str,
    pub fill: &'a str,
}

impl<'a> Pen<'a> {
    pub fn line(stroke: &'a str, width: f64) -> Self {
        Self { stroke, width, dash: "", fill: "none" }
    }
    pub fn filled(fill: &'a str) -> Self {
        Self { stroke: "none", width: 0.0, dash: "", fill }
    }
    pub fn dashed(self, dash: &'a str) -> Self {
        Self { dash, ..self }
    }
    pub fn with_fill(self, fill: &'a str) -> Self {
        Self { fill, ..self }
    }
}

/// Where a text's x coordinate lies in it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Anchor {
    Start,
    Middle,
    End,
}

/// How text is set. `turned` reads upwards, rotated about its own origin.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Type<'a> {
    pub size: f64,
    pub weight: Weight,
    pub anchor: Anchor,
    pub fill: &'a str,
    pub turned: bool,
}

impl<'a> Type<'a> {
    pub fn new(fill: &'a str, size: f64, anchor: Anchor) -> Self {
        Self { size, weight: Weight::Medium, anchor, fill, turned: false }
    }
    pub fn bold(self) -> Self {
        Self { weight: Weight::SemiBold, ..self }
    }
    pub fn turned(self) -> Self {
        Self { turned: true, ..self }
    }
}

/// An axis-parallel box in user units, kept for every text so that placement
/// can avoid collisions and tests can prove their absence.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Area {
    pub x0: f64,
    pub y0: f64,
    pub x1: f64,
    pub y1: f64,
}

impl Area {
    pub fn meets(&self, other: &Area) -> bool {
        self.x0 < other.x1 && other.x0 < self.x1 && self.y0 < other.y1 && other.y0 < self.y1
    }

    /// The box a text covers: capitals rise 0.70 em, descenders fall 0.20 em in
    /// the typeface shipped (its own tables).
    pub fn of_text(x: f64, y: f64, text: &str, face: &Type<'_>) -> Self {
        let wide = text_width(text, face.size, face.weight);
        let before = match face.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => wide / 2.0,
            Anchor::End => wide,
        };
        let (up, down) = (0.70 * face.size, 0.20 * face.size);
        match face.turned {
            false => Self { x0: x - before, y0: y - up, x1: x - before + wide, y1: y + down },
            true => Self { x0: x - up, y0: y + before - wide, x1: x + down, y1: y + before },
        }
    }
}

/// One drawing being written.
#[derive(Debug, Default)]
pub(crate) struct Svg {
    body: String,
    data: String,
    finite: Finite,
    pub texts: Vec<Area>,
}

#[derive(Debug, PartialEq, Eq, Default)]
enum Finite {
    #[default]
    Yes,
    No,
}

impl Svg {
    /// Marks the drawing as undrawable; it will be replaced by a card.
    pub fn refuse(&mut self) {
        self.finite = Finite::No;
    }

    /// Writes a number, remembering whether it was one.
    pub fn num(&mut self, value: f64) -> String {
        if !value.is_finite() {
            self.refuse();
            return "0".to_owned();
        }
        round_to(value, DECIMALS)
    }

    fn paint(&mut self, pen: &Pen<'_>) {
        let _ = write!(self.body, " fill=\"{}\"", pen.fill);
        if pen.stroke != "none" {
            let width = self.num(pen.width);
            let _ = write!(
                self.body,
                " stroke=\"{}\" stroke-width=\"{width}\" stroke-linejoin=\"round\" stroke-linecap=\"round\"",
                pen.stroke
            );
            if !pen.dash.is_empty() {
                let _ = write!(self.body, " stroke-dasharray=\"{}\"", pen.dash);
            }
        }
        self.body.push_str("/>");
    }

    pub fn line(&mut self, from: [f64; 2], to: [f64; 2], pen: &Pen<'_>) {
        let [x1, y1, x2, y2] = [from[0], from[1], to[0], to[1]].map(|v| self.num(v));
        let _ = write!(self.body, "<line x1=\"{x1}\" y1=\"{y1}\" x2=\"{x2}\" y2=\"{y2}\"");
        self.paint(pen);
    }

    pub fn rect(&mut self, area: Area, radius: f64, pen: &Pen<'_>) {
        let [x, y, w, h, r] =
            [area.x0, area.y0, area.x1 - area.x0, area.y1 - area.y0, radius].map(|v| self.num(v));
        let _ = write!(self.body, "<rect x=\"{x}\" y=\"{y}\" width=\"{w}\" height=\"{h}\" rx=\"{r}\"");
        self.paint(pen);
    }

    pub fn circle(&mut self, centre: [f64; 2], radius: f64, pen: &Pen<'_>) {
        let [x, y, r] = [centre[0], centre[1], radius].map(|v| self.num(v));
        let _ = write!(self.body, "<circle cx=\"{x}\" cy=\"{y}\" r=\"{r}\"");
        self.paint(pen);
    }

    /// A path from ready commands; build them with [`Svg::num`].
    pub fn path(&mut self, commands: &str, pen: &Pen<'_>) {
        if commands.is_empty() {
            return;
        }
        let _ = write!(self.body, "<path d=\"{commands}\"");
        self.paint(pen);
    }

    /// A closed or open run of points.
    pub fn run(&mut self, points: &[[f64; 2]], close: bool, pen: &Pen<'_>) {
        let commands = self.run_commands(points, close);
        self.path(&commands, pen);
    }

    pub fn run_commands(&mut self, points: &[[f64; 2]], close: bool) -> String {
        let mut commands = String::new();
        for (index, point) in points.iter().enumerate() {
            let [x, y] = point.map(|v| self.num(v));
            let _ = write!(commands, "{}{x} {y}", if index == 0 { 'M' } else { 'L' });
        }
        if close && !points.is_empty() {
            commands.push('Z');
        }
        commands
    }

    /// Text at a baseline; the box it covers is remembered.
    pub fn text(&mut self, x: f64, y: f64, text: &str, face: &Type<'_>) {
        self.texts.push(Area::of_text(x, y, text, face));
        let [tx, ty, size] = [x, y, face.size].map(|v| self.num(v));
        let anchor = match face.anchor {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
            Anchor::End => "end",
        };
        let turn = if face.turned { format!(" transform=\"rotate(-90 {tx} {ty})\"") } else { String::new() };
        let _ = write!(
            self.body,
            "<text x=\"{tx}\" y=\"{ty}\" font-size=\"{size}\" font-weight=\"{}\" text-anchor=\"{anchor}\" fill=\"{}\"{turn}>{}</text>",
            face.weight.css(),
            face.fill,
            escape(text)
        );
    }

    /// Opens a group with a class and, when not empty, a title of its own.
    pub fn group(&mut self, class: &str, attributes: &[(&str, &str)], title: &str) {
        let _ = write!(self.body, "<g class=\"{class}\"");
        for (name, value) in attributes {
            let _ = write!(self.body, " {name}=\"{}\"", escape(value));
        }
        self.body.push('>');
        if !title.is_empty() {
            let _ = write!(self.body, "<title>{}</title>", escape(title));
        }
    }

    pub fn end(&mut self) {
        self.body.push_str("</g>");
    }

    /// Takes in another drawing, moved; its `data-` attributes are left behind,
    /// because they speak of its own frame.
    pub fn take(&mut self, other: Svg, by: [f64; 2]) {
        if other.finite == Finite::No {
            self.refuse();
        }
        let [x, y] = by.map(|v| self.num(v));
        let _ = write!(self.body, "<g transform=\"translate({x} {y})\">{}</g>", other.body);
        self.texts.extend(other.texts.iter().map(|t| Area {
            x0: t.x0 + by[0],
            y0: t.y0 + by[1],
            x1: t.x1 + by[0],
            y1: t.y1 + by[1],
        }));
    }

    /// A `data-` attribute for the root element.
    pub fn data(&mut self, name: &str, value: f64) {
        // Four decimals: pointing back to millimetres must not lose a sixty-fourth.
        if !value.is_finite() {
            self.refuse();
            return;
        }
        let _ = write!(self.data, " data-{name}=\"{}\"", round_to(value, 4));
    }

    /// Closes the drawing into one element of the given size.
    pub fn finish(mut self, frame: &Frame<'_>, width: f64, height: f64) -> String {
        let [w, h] = [width.ceil(), height.ceil()].map(|v| self.num(v));
        if self.finite == Finite::No {
            return card(frame);
        }
        wrap(frame, &w, &h, &self.data, &self.body)
    }
}

fn wrap(frame: &Frame<'_>, w: &str, h: &str, data: &str, body: &str) -> String {
    let id: String = frame.id.chars().filter(|c| c.is_ascii_alphanumeric() || "-_".contains(*c)).collect();
    let (title, desc) = (escape(frame.title), escape(frame.desc));
    let (labels, desc) = match desc.is_empty() {
        true => (format!("{id}-title"), String::new()),
        false => (format!("{id}-title {id}-desc"), format!("<desc id=\"{id}-desc\">{desc}</desc>")),
    };
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" id=\"{id}\" width=\"{w}\" height=\"{h}\" viewBox=\"0 0 {w} {h}\" role=\"img\" aria-labelledby=\"{labels}\" font-family=\"{}\"{data}><title id=\"{id}-title\">{title}</title>{desc}{body}</svg>",
        escape(frame.theme.font)
    )
}

/// The card shown in place of a drawing that has a bad number.
fn card(frame: &Frame<'_>) -> String {
    let Theme { ink_soft, line, .. } = frame.theme;
    let text = &frame.words.undrawable;
    let (height, margin) = (64.0, 16.0);
    let width = text_width(text, SIZE_LABEL, Weight::Medium) + 2.0 * margin;
    let mut svg = Svg::default();
    let edge = Area { x0: 1.0, y0: 1.0, x1: width - 1.0, y1: height - 1.0 };
    svg.rect(edge, 2.0, &Pen::line(line, OUTLINE).dashed("4 3"));
    svg.text(width / 2.0, height / 2.0 + 4.0, text, &Type::new(ink_soft, SIZE_LABEL, Anchor::Middle));
    let [w, h] = [width.ceil(), height].map(|v| round_to(v, DECIMALS));
    wrap(frame, &w, &h, "", &svg.body)
}

/// Makes text safe inside XML text and attributes. Characters XML does not
/// allow are replaced, so that a pasted control character cannot break a page.
pub(crate) fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            '\t' | '\n' | '\r' => out.push(' '),
            c if (c as u32) < 0x20 || matches!(c as u32, 0xFFFE | 0xFFFF) => out.push('\u{FFFD}'),
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Words;

    #[test]
    fn text_cannot_leave_its_element() {
        assert_eq!(
            escape("</text><script a='1'>&\u{0}"),
            "&lt;/text&gt;&lt;script a=&#39;1&#39;&gt;&amp;\u{FFFD}"
        );
    }

    #[test]
    fn a_bad_number_becomes_a_card_and_never_reaches_the_output() {
        let (theme, words) = (Theme::paper(), Words::english());
        let frame = Frame { id: "a b\"", title: "t", desc: "", theme: &theme, words: &words };
        let mut svg = Svg::default();
        svg.circle([f64::NAN, 1.0], f64::INFINITY, &Pen::filled("none"));
        let out = svg.finish(&frame, 10.0, 10.0);
        assert!(out.contains(&words.undrawable) && !out.contains("circle"));
        assert!(out.contains("id=\"ab\""));
    }
}
