//! Keeps the labels of a drawing readable when the sheet prints it smaller. It
//! knows the text elements our drawings are made of and nothing else of SVG;
//! the geometry is not touched.

use bendproof_drawing::{Weight, text_width};

/// Place for a drawing next to an operation's items, points wide and high.
/// Basis: choice, a third of a Letter sheet's width.
pub(crate) const PLACE_PT: [f64; 2] = [186.0, 88.0];
/// Place for a drawing over the whole width, points wide and high. Basis: choice,
/// a Letter sheet between its margins, and the half of its height that leaves
/// room for numbers and notes.
pub(crate) const PAGE_PT: [f64; 2] = [540.0, 330.0];
/// Smallest label that is printed, points. Basis: practice, small print.
const LABEL_MIN_PT: f64 = 6.5;
/// Most margin added on one side for a label, user units. Basis: choice; a label
/// that needs more is left out.
const MARGIN_MAX: f64 = 48.0;
/// Share of a label's size that stands above and below its baseline. Basis:
/// derived from the typeface's capitals and descenders.
const ABOVE: f64 = 0.75;
const BELOW: f64 = 0.22;

/// A drawing as printed: its source and its width on the sheet.
pub(crate) struct Printed {
    pub svg: String,
    pub width_pt: f64,
}

/// Fits a drawing into a place, points wide and high. Labels that would come out smaller than
/// [`LABEL_MIN_PT`] are enlarged to it, and the drawing is given the margin they
/// then need; where the labels of one kind find no room next to each other, all of
/// that kind are left out, and the sheet says their numbers next to the drawing.
pub(crate) fn printed(svg: &str, place_pt: [f64; 2]) -> Printed {
    let size = [attribute(svg, "width"), attribute(svg, "height")];
    let [Some(width), Some(height)] = size else {
        return Printed { svg: svg.to_owned(), width_pt: place_pt[0] };
    };
    // The margin makes the drawing smaller and so the labels larger; the second
    // round is within a per cent of the last.
    let first = Layout::of(svg, place_pt, [width, height], [0.0; 4]);
    let layout = Layout::of(svg, place_pt, [width, height], first.margin);
    Printed {
        svg: layout.applied(svg),
        width_pt: (width + layout.margin[0] + layout.margin[2]) * layout.scale,
    }
}

/// The labels as enlarged for one scale.
struct Layout {
    scale: f64,
    size: [f64; 2],
    labels: Vec<Label>,
    dropped: Vec<Kind>,
    /// Added to the drawing left, above, right and below, user units.
    margin: [f64; 4],
}

impl Layout {
    fn of(svg: &str, place_pt: [f64; 2], size: [f64; 2], given: [f64; 4]) -> Self {
        let [width, height] = size;
        let (wide, high) = (width + given[0] + given[2], height + given[1] + given[3]);
        let scale = (place_pt[0] / wide).min(place_pt[1] / high).min(1.0);
        let labels = labels(svg, LABEL_MIN_PT / scale);
        let dropped = crowded(&labels, size);
        let mut margin = given;
        for label in labels.iter().filter(|l| !dropped.contains(&l.kind)) {
            for (side, past) in margin.iter_mut().zip(past(&label.area, size)) {
                *side = side.max(past);
            }
        }
        Self { scale, size, labels, dropped, margin }
    }

    fn applied(&self, svg: &str) -> String {
        let mut out = String::with_capacity(svg.len());
        let mut from = 0;
        for label in &self.labels {
            out.push_str(&svg[from..label.span[0]]);
            if !self.dropped.contains(&label.kind) {
                let element = &svg[label.span[0]..label.span[1]];
                let was = format!(" font-size=\"{}\"", label.kind.size);
                out.push_str(&element.replacen(&was, &format!(" font-size=\"{:.2}\"", label.size), 1));
            }
            from = label.span[1];
        }
        out.push_str(&svg[from..]);
        self.framed(&out)
    }

    /// The drawing with its margin: our drawings begin their view at the origin.
    fn framed(&self, svg: &str) -> String {
        let [left, above, right, below] = self.margin;
        let (wide, high) = (self.size[0] + left + right, self.size[1] + above + below);
        let Some(end) = svg.find('>') else { return svg.to_owned() };
        let (head, rest) = svg.split_at(end);
        let mut head = head.to_owned();
        let frame = [
            ("width", format!("{wide:.2}")),
            ("height", format!("{high:.2}")),
            ("viewBox", format!("{:.2} {:.2} {wide:.2} {high:.2}", -left, -above)),
        ];
        for (name, value) in frame {
            if let Some(was) = text_attribute(svg, name) {
                head = head.replacen(&format!(" {name}=\"{was}\""), &format!(" {name}=\"{value}\""), 1);
            }
        }
        head + rest
    }
}

/// How far an area lies outside the drawing: left, above, right, below.
fn past(area: &[f64; 4], [width, height]: [f64; 2]) -> [f64; 4] {
    [-area[0], -area[1], area[2] - width, area[3] - height].map(|v| v.max(0.0))
}

/// What labels have in common that are kept or left out together.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Kind {
    size: String,
    weight: String,
    fill: String,
    is_turned: bool,
}

struct Label {
    kind: Kind,
    /// Size it is printed with, user units.
    size: f64,
    /// Where its element starts and ends in the source.
    span: [usize; 2],
    /// Left, top, right, bottom.
    area: [f64; 4],
}

/// A number attribute of the first element of `source`.
fn attribute(source: &str, name: &str) -> Option<f64> {
    text_attribute(source, name)?.parse().ok().filter(|v: &f64| v.is_finite() && *v > 0.0)
}

fn text_attribute<'a>(source: &'a str, name: &str) -> Option<&'a str> {
    let head = &source[..source.find('>')?];
    let start = head.find(&format!(" {name}=\""))? + name.len() + 3;
    let end = head[start..].find('"')?;
    Some(&head[start..start + end])
}

fn labels(svg: &str, least: f64) -> Vec<Label> {
    let mut out = Vec::new();
    let mut from = 0;
    while let Some(start) = svg[from..].find("<text ").map(|at| at + from) {
        let Some(end) = svg[start..].find("</text>").map(|at| at + start + "</text>".len()) else { break };
        out.extend(label(&svg[start..end], start, least));
        from = end;
    }
    out
}

fn label(element: &str, start: usize, least: f64) -> Option<Label> {
    let number = |name| text_attribute(element, name)?.parse::<f64>().ok();
    let kind = Kind {
        size: text_attribute(element, "font-size")?.to_owned(),
        weight: text_attribute(element, "font-weight")?.to_owned(),
        fill: text_attribute(element, "fill")?.to_owned(),
        is_turned: text_attribute(element, "transform").is_some(),
    };
    let (x, y) = (number("x")?, number("y")?);
    let size = number("font-size")?.max(least);
    let words = &element[element.find('>')? + 1..element.rfind("</text>")?];
    let length = text_width(words, size, Weight::SemiBold);
    let before = match text_attribute(element, "text-anchor")? {
        "middle" => length / 2.0,
        "end" => length,
        _ => 0.0,
    };
    let area = match kind.is_turned {
        // Turned a quarter to the left, the text runs upwards.
        true => [x - size * ABOVE, y + before - length, x + size * BELOW, y + before],
        false => [x - before, y - size * ABOVE, x - before + length, y + size * BELOW],
    };
    Some(Label { kind, size, span: [start, start + element.len()], area })
}

/// Kinds whose labels run into each other, into a larger kind's, or far off the
/// drawing; the largest kind is placed first.
fn crowded(labels: &[Label], size: [f64; 2]) -> Vec<Kind> {
    let mut kinds: Vec<&Kind> = Vec::new();
    for label in labels {
        if !kinds.contains(&&label.kind) {
            kinds.push(&label.kind);
        }
    }
    let drawn = |kind: &Kind| kind.size.parse().unwrap_or(0.0_f64);
    kinds.sort_by(|a: &&Kind, b: &&Kind| drawn(b).total_cmp(&drawn(a)));
    let mut kept: Vec<[f64; 4]> = Vec::new();
    let mut dropped = Vec::new();
    for kind in kinds {
        let own: Vec<[f64; 4]> = labels.iter().filter(|l| l.kind == *kind).map(|l| l.area).collect();
        let is_inside = |a: &[f64; 4]| past(a, size).iter().all(|v| *v <= MARGIN_MAX);
        let is_clear = |index: usize, a: &[f64; 4]| !own[..index].iter().chain(&kept).any(|b| overlap(a, b));
        if own.iter().enumerate().all(|(index, a)| is_inside(a) && is_clear(index, a)) {
            kept.extend(own);
        } else {
            dropped.push(kind.clone());
        }
    }
    dropped
}

fn overlap(a: &[f64; 4], b: &[f64; 4]) -> bool {
    a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn text(x: f64, words: &str) -> String {
        format!(
            "<text x=\"{x}\" y=\"100\" font-size=\"10\" font-weight=\"500\" text-anchor=\"middle\" fill=\"#000\">{words}</text>"
        )
    }

    fn svg(width: f64, body: &str) -> String {
        format!("<svg width=\"{width}\" height=\"200\"><path d=\"M0 0\"/>{body}</svg>")
    }

    #[test]
    fn a_small_label_grows_to_the_least_that_can_be_read() {
        let out = printed(&svg(372.0, &text(100.0, "R1")), PLACE_PT);
        let scale = PLACE_PT[1] / 200.0;
        assert!((out.width_pt - 372.0 * scale).abs() < 1e-9);
        assert!(out.svg.contains(&format!("font-size=\"{:.2}\"", 6.5 / scale)), "{}", out.svg);
        assert!(out.svg.contains("<path d=\"M0 0\"/>"));
    }

    #[test]
    fn labels_that_would_run_into_each_other_are_left_out_together() {
        let body = text(100.0, "root bend") + &text(140.0, "face bend") + &text(300.0, "far off");
        let out = printed(&svg(372.0, &body), PLACE_PT);
        assert!(!out.svg.contains("<text"), "{}", out.svg);
        let apart = text(100.0, "root bend") + &text(250.0, "face bend");
        assert_eq!(printed(&svg(372.0, &apart), PLACE_PT).svg.matches("<text").count(), 2);
    }

    #[test]
    fn what_is_no_drawing_of_ours_is_left_as_it_is() {
        for source in ["<svg><not closed", "", "<text", "<svg width=\"a\">"] {
            assert_eq!(printed(source, PLACE_PT).svg, source);
        }
    }
}
