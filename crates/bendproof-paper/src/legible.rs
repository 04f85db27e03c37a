//! Keeps the labels of a drawing readable when the sheet prints it smaller. It
//! knows the text elements our drawings are made of, the grounds laid under them,
//! and nothing else of SVG; the geometry is not touched.

use bendproof_drawing::{Weight, text_width};

/// Where a drawing is printed: how wide, and the heights it may take, the least
/// first; a height is taken where every number finds room at it.
pub(crate) struct Place {
    width_pt: f64,
    heights_pt: &'static [f64],
}

/// Next to an operation's items. Basis: choice, a third of a Letter sheet's width.
pub(crate) const PLACE: Place =
    Place { width_pt: 186.0, heights_pt: &[88.0, 100.0, 112.0, 124.0, 136.0, 150.0, 170.0] };
/// Over the whole width. Basis: choice, a Letter sheet between its margins, and the
/// half of its height that leaves room for numbers and notes.
pub(crate) const PAGE: Place = Place { width_pt: 540.0, heights_pt: &[330.0] };
/// Smallest label that is printed, points. Basis: practice, small print.
const LABEL_MIN_PT: f64 = 6.5;
/// Most margin added on one side for a label, user units. Basis: choice; a label
/// that needs more is printed next to the drawing.
const MARGIN_MAX: f64 = 48.0;
/// Share of a label's size that stands above and below its baseline. Basis:
/// derived from the typeface's capitals and descenders.
const ABOVE: f64 = 0.72;
const BELOW: f64 = 0.2;
/// A ground's edge around its label: left and right, above, below, user units. Basis:
/// choice, as the drawings lay it.
const GROUND: [f64; 3] = [2.0, 1.5, 1.0];

/// A drawing as printed: its source, its width on the sheet, and the labels that
/// found no room in it, which the sheet prints next to it.
pub(crate) struct Printed {
    pub svg: String,
    pub width_pt: f64,
    pub left_out: Vec<String>,
}

/// Fits a drawing into a place. Labels that would come out smaller than
/// [`LABEL_MIN_PT`] are enlarged to it, and the drawing is given the margin they
/// then need. Numbers and titles of axes decide how high the drawing is; a name laid
/// over the picture on a ground of its own gives way to them, ground and all.
pub(crate) fn printed(svg: &str, place: &Place) -> Printed {
    let size = [attribute(svg, "width"), attribute(svg, "height")];
    let [Some(width), Some(height)] = size else {
        return Printed { svg: svg.to_owned(), width_pt: place.width_pt, left_out: Vec::new() };
    };
    let size = [width, height];
    let layouts = place.heights_pt.iter().map(|high| Layout::fitted(svg, [place.width_pt, *high], size));
    // Where no height is enough, the one that loses the fewest.
    let best = layouts.min_by_key(|layout| layout.lost(|label| label.ground.is_none()));
    let Some(layout) = best else {
        return Printed { svg: svg.to_owned(), width_pt: place.width_pt, left_out: Vec::new() };
    };
    let left_out = layout.labels.iter().zip(&layout.kept).filter(|(_, kept)| !**kept);
    Printed {
        svg: layout.applied(svg),
        width_pt: (width + layout.margin[0] + layout.margin[2]) * layout.scale,
        left_out: left_out.map(|(label, _)| unescaped(&label.words)).collect(),
    }
}

/// The labels as enlarged for one scale.
struct Layout {
    scale: f64,
    size: [f64; 2],
    labels: Vec<Label>,
    /// Whether each label is drawn.
    kept: Vec<bool>,
    /// Added to the drawing left, above, right and below, user units.
    margin: [f64; 4],
}

impl Layout {
    /// The margin makes the drawing smaller and so the labels larger; the second
    /// round is within a per cent of the last.
    fn fitted(svg: &str, place_pt: [f64; 2], size: [f64; 2]) -> Self {
        let first = Self::of(svg, place_pt, size, [0.0; 4]);
        Self::of(svg, place_pt, size, first.margin)
    }

    fn of(svg: &str, place_pt: [f64; 2], size: [f64; 2], given: [f64; 4]) -> Self {
        let [width, height] = size;
        let (wide, high) = (width + given[0] + given[2], height + given[1] + given[3]);
        let scale = (place_pt[0] / wide).min(place_pt[1] / high).min(1.0);
        let labels = labels(svg, LABEL_MIN_PT / scale);
        let kept = clear(&labels, size);
        let mut margin = given;
        for (label, _) in labels.iter().zip(&kept).filter(|(_, kept)| **kept) {
            for (side, past) in margin.iter_mut().zip(past(&label.area, size)) {
                *side = side.max(past);
            }
        }
        Self { scale, size, labels, kept, margin }
    }

    /// How many labels of a kind are not drawn.
    fn lost(&self, is_of: impl Fn(&Label) -> bool) -> usize {
        self.labels.iter().zip(&self.kept).filter(|(label, kept)| !**kept && is_of(label)).count()
    }

    fn applied(&self, svg: &str) -> String {
        let mut out = String::with_capacity(svg.len());
        let mut from = 0;
        for (label, kept) in self.labels.iter().zip(&self.kept) {
            let start = label.ground.as_ref().map_or(label.span[0], |ground| ground.start);
            out.push_str(&svg[from..start]);
            if *kept {
                out.push_str(
                    &label.ground.as_ref().map(|ground| ground.under(&label.area)).unwrap_or_default(),
                );
                let element = &svg[label.span[0]..label.span[1]];
                let was = format!(" font-size=\"{}\"", label.drawn_size);
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

struct Label {
    /// What it says, as in the source.
    words: String,
    /// Size it is drawn with, as in the source, and is printed with, user units.
    drawn_size: String,
    size: f64,
    /// Where its element starts and ends in the source.
    span: [usize; 2],
    /// Left, top, right, bottom.
    area: [f64; 4],
    /// The ground laid under it, where one is.
    ground: Option<Ground>,
}

/// A filled rectangle right before a label, around its middle.
struct Ground {
    start: usize,
    fill: String,
}

impl Ground {
    fn before(svg: &str, start: usize, area: &[f64; 4]) -> Option<Self> {
        let open = svg[..start].rfind('<').filter(|_| svg[..start].ends_with("/>"))?;
        let element = &svg[open..start];
        if !element.starts_with("<rect ") {
            return None;
        }
        let number = |name| text_attribute(element, name)?.parse::<f64>().ok();
        let (x, y) = (number("x")?, number("y")?);
        let (right, foot) = (x + number("width")?, y + number("height")?);
        let middle = [(area[0] + area[2]) / 2.0, (area[1] + area[3]) / 2.0];
        let is_around = (x..=right).contains(&middle[0]) && (y..=foot).contains(&middle[1]);
        let fill = text_attribute(element, "fill").filter(|fill| *fill != "none" && is_around)?;
        Some(Self { start: open, fill: fill.to_owned() })
    }

    /// The ground under a label of this size.
    fn under(&self, area: &[f64; 4]) -> String {
        let [side, above, below] = GROUND;
        let (x, y) = (area[0] - side, area[1] - above);
        let (wide, high) = (area[2] + side - x, area[3] + below - y);
        let fill = &self.fill;
        format!(
            "<rect x=\"{x:.2}\" y=\"{y:.2}\" width=\"{wide:.2}\" height=\"{high:.2}\" rx=\"2\" fill=\"{fill}\"/>"
        )
    }
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
        out.extend(label(svg, [start, end], least));
        from = end;
    }
    out
}

fn label(svg: &str, span: [usize; 2], least: f64) -> Option<Label> {
    let element = &svg[span[0]..span[1]];
    let number = |name| text_attribute(element, name)?.parse::<f64>().ok();
    let drawn_size = text_attribute(element, "font-size")?.to_owned();
    let (x, y) = (number("x")?, number("y")?);
    let drawn: f64 = drawn_size.parse().ok()?;
    let words = element[element.find('>')? + 1..element.rfind("</text>")?].to_owned();
    let anchor = text_attribute(element, "text-anchor")?;
    let is_turned = text_attribute(element, "transform").is_some();
    let area_of = |size: f64| {
        let length = text_width(&words, size, Weight::SemiBold);
        let before = match anchor {
            "middle" => length / 2.0,
            "end" => length,
            _ => 0.0,
        };
        match is_turned {
            // Turned a quarter to the left, the text runs upwards.
            true => [x - size * ABOVE, y + before - length, x + size * BELOW, y + before],
            false => [x - before, y - size * ABOVE, x - before + length, y + size * BELOW],
        }
    };
    let (size, ground) = (drawn.max(least), Ground::before(svg, span[0], &area_of(drawn)));
    Some(Label { area: area_of(size), words, drawn_size, size, span, ground })
}

/// Whether each label is clear of the others and not far off the drawing. Those
/// without a ground are placed first, the largest of them before the others.
fn clear(labels: &[Label], size: [f64; 2]) -> Vec<bool> {
    let mut order: Vec<usize> = (0..labels.len()).collect();
    order.sort_by(|a, b| {
        let [a, b] = [*a, *b].map(|index| &labels[index]);
        let drawn = |label: &Label| label.drawn_size.parse().unwrap_or(0.0_f64);
        a.ground.is_some().cmp(&b.ground.is_some()).then(drawn(b).total_cmp(&drawn(a)))
    });
    let mut out = vec![false; labels.len()];
    for index in order {
        let area = &labels[index].area;
        let is_inside = past(area, size).iter().all(|v| *v <= MARGIN_MAX);
        let is_apart = !labels.iter().zip(&out).any(|(other, kept)| *kept && overlap(area, &other.area));
        out[index] = is_inside && is_apart;
    }
    out
}

/// A label's words without the escapes of the source.
fn unescaped(words: &str) -> String {
    let pairs = [("&lt;", "<"), ("&gt;", ">"), ("&quot;", "\""), ("&#39;", "'"), ("&amp;", "&")];
    pairs.iter().fold(words.to_owned(), |text, (from, to)| text.replace(from, to))
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
        let out = printed(&svg(372.0, &text(100.0, "R1")), &PLACE);
        let scale = PLACE.heights_pt[0] / 200.0;
        assert!((out.width_pt - 372.0 * scale).abs() < 1e-9);
        assert!(out.svg.contains(&format!("font-size=\"{:.2}\"", 6.5 / scale)), "{}", out.svg);
        assert!(out.svg.contains("<path d=\"M0 0\"/>"));
    }

    #[test]
    fn a_drawing_grows_until_its_numbers_find_room() {
        let body = text(100.0, "1-1/2 · 38.1") + &text(150.0, "1-1/2 · 38.1");
        let out = printed(&svg(280.0, &body), &PLACE);
        assert_eq!(out.svg.matches("<text").count(), 2, "{}", out.svg);
        assert!(out.width_pt > 280.0 * PLACE.heights_pt[0] / 200.0, "{}", out.width_pt);
        assert!(out.left_out.is_empty());
    }

    #[test]
    fn a_number_without_room_at_any_size_is_printed_next_to_the_drawing() {
        let body = text(100.0, "root bend") + &text(101.0, "3/8 &lt; 1/2") + &text(300.0, "far off");
        let out = printed(&svg(372.0, &body), &PLACE);
        assert_eq!(out.svg.matches("<text").count(), 2, "{}", out.svg);
        assert_eq!(out.left_out, ["3/8 < 1/2"]);
    }

    #[test]
    fn a_name_that_gives_way_takes_its_ground_along_and_one_that_grows_has_a_larger_one() {
        let ground = "<rect x=\"80\" y=\"90\" width=\"40\" height=\"13\" rx=\"2\" fill=\"#fff\"/>";
        let frame = "<rect x=\"80\" y=\"90\" width=\"40\" height=\"13\" rx=\"2\" fill=\"none\"/>";
        let named = |ground: &str| svg(372.0, &format!("{ground}{}", text(100.0, "holds")));
        let grown = printed(&named(ground), &PLACE).svg;
        assert!(grown.contains("fill=\"#fff\"") && !grown.contains(ground), "{grown}");
        let dropped =
            printed(&svg(372.0, &format!("{ground}{}{}", text(100.0, "holds"), text(102.0, "1/8"))), &PLACE);
        assert!(!dropped.svg.contains("<rect") && dropped.svg.contains(">1/8<"), "{}", dropped.svg);
        assert_eq!(dropped.left_out, ["holds"]);
        assert!(printed(&named(frame), &PLACE).svg.contains(frame), "a frame is no ground");
    }

    #[test]
    fn what_is_no_drawing_of_ours_is_left_as_it_is() {
        for source in ["<svg><not closed", "", "<text", "<svg width=\"a\">"] {
            assert_eq!(printed(source, &PLACE).svg, source);
        }
    }
}
