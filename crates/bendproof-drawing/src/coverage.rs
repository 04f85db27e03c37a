//! What a test covers, on one sheet: for each kind of joint and position a bar
//! along a steel rule of thicknesses, and below them the backings and the like.
//!
//! Full is covered, hatched is not sure, an empty line is not covered. Colour
//! carries nothing but the test itself. What is covered is the caller's affair.

use crate::coverage_poses::{CoverPose, pose, root};
use crate::svg::{Anchor, Area, FINE, OUTLINE, Pen, SIZE_LABEL, SIZE_SMALL, Svg, Type};
use crate::window_cells;
use crate::{Frame, Tick, Weight, text_width};

/// Width of the rule.
const RULE: f64 = 512.0;
/// Room left of the rule, for the pictures and names.
const LEFT: f64 = 118.0;
/// Room right of it, for the arrow of what has no end.
const RIGHT: f64 = 30.0;
const MARGIN: f64 = 14.0;
/// Height of a row, of a bar in it, and of a heading.
const ROW: f64 = 31.0;
const BAR: f64 = 12.0;
const HEADING: f64 = 22.0;
/// Height of the rule with its figures.
const SCALE: f64 = 54.0;
/// One line of small print.
const LINE: f64 = 16.0;
/// Size of a sample bar.
const SAMPLE: [f64; 2] = [24.0, 9.0];
/// Most rows, so that the sheet stays a sheet (choice).
const ROWS_MAX: usize = 60;

/// An answer about one stretch or one word.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CoverSign {
    /// Full.
    Covered,
    /// Hatched.
    NotSure,
    /// Empty.
    NotCovered,
}

/// A stretch of thickness with one answer, millimetres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CoverSpan {
    /// From.
    pub from_mm: f64,
    /// To.
    pub to_mm: f64,
    /// The answer.
    pub sign: CoverSign,
}

/// One kind of joint in one position.
#[derive(Debug, Clone, PartialEq)]
pub struct CoverRow {
    /// How it lies; none for no picture.
    pub pose: Option<CoverPose>,
    /// The position's name.
    pub label: String,
    /// The row in words, for who does not see it.
    pub title: String,
    /// The test was welded so.
    pub is_tested: bool,
    /// Stretches along the rule; gaps count as not covered.
    pub spans: Vec<CoverSpan>,
}

/// Rows under one heading.
#[derive(Debug, Clone, PartialEq)]
pub struct CoverGroup {
    /// Kind of joint.
    pub name: String,
    /// Its positions.
    pub rows: Vec<CoverRow>,
}

/// Words with an answer each: backings, progressions.
#[derive(Debug, Clone, PartialEq)]
pub struct CoverWords {
    /// What the words are.
    pub name: String,
    /// Whether each word is drawn as a root, in the order open, backed, gouged,
    /// gas, flux, insert.
    pub roots: bool,
    /// The words.
    pub words: Vec<(String, CoverSign)>,
}

/// The chart of one test under one code.
#[derive(Debug, Clone, PartialEq)]
pub struct CoverChart {
    /// Kinds of joint.
    pub groups: Vec<CoverGroup>,
    /// Right end of the rule, mm.
    pub end_mm: f64,
    /// One mark of the rule, mm.
    pub mark_mm: f64,
    /// Named marks.
    pub ticks: Vec<Tick>,
    /// Thickness of the test, mm, and its name.
    pub tested: Option<(f64, String)>,
    /// Sides that have words instead of sizes.
    pub words: Vec<CoverWords>,
    /// Sentences below, as a refusal.
    pub notes: Vec<String>,
    /// Words of the legend: covered, not sure, not covered.
    pub legend: [String; 3],
}

/// The chart.
pub fn coverage_chart(chart: &CoverChart, frame: &Frame<'_>) -> String {
    let (svg, size) = draw(chart, frame);
    svg.finish(frame, size[0], size[1])
}

pub(crate) fn draw(chart: &CoverChart, frame: &Frame<'_>) -> (Svg, [f64; 2]) {
    let mut svg = Svg::default();
    let rows: usize = chart.groups.iter().map(|g| g.rows.len()).sum();
    let is_sound = chart.end_mm.is_finite() && chart.end_mm > 0.0 && chart.mark_mm > chart.end_mm / 1e3;
    if rows > ROWS_MAX || !is_sound {
        svg.refuse();
        return (svg, [1.0, 1.0]);
    }
    let sheet = Sheet { chart, frame };
    let high: f64 = chart.groups.iter().map(|g| HEADING + g.rows.len() as f64 * ROW).sum();
    let mut y = MARGIN;
    if rows > 0 {
        sheet.rule(&mut svg, y + SCALE, high);
        y += SCALE;
        for group in &chart.groups {
            y = sheet.group(&mut svg, group, y);
        }
        sheet.tested(&mut svg, MARGIN + SCALE, y);
        y += 8.0;
    }
    for words in &chart.words {
        y = sheet.words(&mut svg, words, y);
    }
    y = sheet.notes(&mut svg, y);
    y = sheet.legend(&mut svg, y);
    (svg, [LEFT + RULE + RIGHT + MARGIN, y + MARGIN - 6.0])
}

struct Sheet<'a> {
    chart: &'a CoverChart,
    frame: &'a Frame<'a>,
}

impl Sheet<'_> {
    fn x(&self, mm: f64) -> f64 {
        LEFT + RULE * (mm / self.chart.end_mm).clamp(0.0, 1.0)
    }

    /// A steel rule with its marks, standing on `y`; named marks run on down.
    fn rule(&self, svg: &mut Svg, y: f64, high: f64) {
        let theme = self.frame.theme;
        let edge = Area { x0: LEFT, y0: y - 15.0, x1: LEFT + RULE, y1: y };
        svg.rect(edge, 1.5, &Pen::line(theme.ink, FINE).with_fill(theme.shade));
        let marks = (self.chart.end_mm / self.chart.mark_mm).round() as usize;
        for n in 1..marks {
            // Halves and quarters stand out, as on the rule in the pocket.
            let long =
                [16, 8, 4, 2].iter().position(|part| n % part == 0).map_or(3.0, |k| 12.0 - 2.0 * k as f64);
            let x = LEFT + RULE * n as f64 / marks as f64;
            svg.line([x, y - long], [x, y], &Pen::line(theme.ink, FINE));
        }
        for tick in &self.chart.ticks {
            let x = self.x(tick.at);
            svg.line([x, y], [x, y + high], &Pen::line(theme.line, FINE));
            svg.text(x, y - 39.0, &tick.label, &Type::new(theme.ink, SIZE_SMALL, Anchor::Middle));
            svg.text(x, y - 27.0, &tick.also, &Type::new(theme.ink_soft, SIZE_SMALL, Anchor::Middle));
        }
    }

    fn group(&self, svg: &mut Svg, group: &CoverGroup, y: f64) -> f64 {
        let theme = self.frame.theme;
        let face = Type::new(theme.ink_soft, SIZE_SMALL, Anchor::Start);
        svg.line([MARGIN, y + 3.0], [LEFT + RULE + RIGHT, y + 3.0], &Pen::line(theme.line, FINE));
        svg.text(MARGIN, y + 17.0, &group.name, &face);
        let mut y = y + HEADING;
        for row in &group.rows {
            self.row(svg, row, y);
            y += ROW;
        }
        y
    }

    fn row(&self, svg: &mut Svg, row: &CoverRow, y: f64) {
        let theme = self.frame.theme;
        svg.group("cover-row", &[("data-position", &row.label)], &row.title);
        let middle = y + ROW / 2.0;
        if let Some(lies) = row.pose {
            pose(svg, lies, [MARGIN + 24.0, middle], theme);
        }
        let face = Type::new(theme.ink, SIZE_LABEL, Anchor::End).bold();
        svg.text(LEFT - 16.0, middle + 4.5, &row.label, &face);
        svg.line([LEFT, middle], [LEFT + RULE, middle], &Pen::line(theme.line, FINE));
        for span in &row.spans {
            let area = Area {
                x0: self.x(span.from_mm),
                y0: middle - BAR / 2.0,
                x1: self.x(span.to_mm),
                y1: middle + BAR / 2.0,
            };
            bar(svg, span.sign, area, self.frame);
            // What reaches the end of the rule goes on beyond it.
            if span.to_mm >= self.chart.end_mm && span.sign == CoverSign::Covered {
                let (x, half) = (LEFT + RULE, BAR / 2.0);
                let tip = [[x, middle - half], [x + 11.0, middle], [x, middle + half]];
                svg.run(&tip, true, &Pen::filled(theme.ink));
            }
        }
        svg.end();
    }

    /// The thickness of the test, through all rows, with a ring where it was
    /// welded.
    fn tested(&self, svg: &mut Svg, top: f64, bottom: f64) {
        let Some((at, name)) = &self.chart.tested else { return };
        let (x, theme) = (self.x(*at), self.frame.theme);
        let pen = Pen::line(theme.accent, OUTLINE).dashed("5 3");
        svg.line([x, top], [x, bottom + 2.0], &pen);
        let tip = [[x - 5.0, top - 24.0], [x + 5.0, top - 24.0], [x, top - 15.0]];
        svg.run(&tip, true, &Pen::filled(theme.accent));
        let face = Type::new(theme.accent, SIZE_SMALL, Anchor::Start).bold();
        svg.text(x + 6.0, bottom + 12.0, name, &face);
        let mut y = top;
        for group in &self.chart.groups {
            y += HEADING;
            for row in &group.rows {
                if row.is_tested {
                    let ring = Pen::line(theme.accent, OUTLINE * 1.6).with_fill(theme.paper);
                    svg.circle([x, y + ROW / 2.0], 5.0, &ring);
                }
                y += ROW;
            }
        }
    }

    fn words(&self, svg: &mut Svg, side: &CoverWords, y: f64) -> f64 {
        let theme = self.frame.theme;
        let (high, picture) = if side.roots { (34.0, 42.0) } else { (24.0, 0.0) };
        let mut middle = y + high / 2.0 + 6.0;
        let soft = Type::new(theme.ink_soft, SIZE_SMALL, Anchor::Start);
        svg.text(MARGIN, middle + 4.0, &side.name, &soft);
        let face = Type::new(theme.ink, SIZE_LABEL, Anchor::Start);
        let mut x = LEFT;
        for (n, (word, sign)) in side.words.iter().enumerate() {
            let wide = picture + SAMPLE[0] + 6.0 + text_width(word, SIZE_LABEL, face.weight);
            if x > LEFT && x + wide > LEFT + RULE + RIGHT {
                (x, middle) = (LEFT, middle + high);
            }
            if side.roots {
                root(svg, n, [x + 17.0, middle], theme);
            }
            let (x0, y0) = (x + picture, middle - SAMPLE[1] / 2.0);
            let area = Area { x0, y0, x1: x0 + SAMPLE[0], y1: y0 + SAMPLE[1] };
            sample(svg, *sign, area, self.frame);
            svg.text(area.x1 + 6.0, middle + 4.5, word, &face);
            x += wide + 22.0;
        }
        middle + high / 2.0 - 6.0
    }

    /// Sentences, broken to the width of the sheet.
    fn notes(&self, svg: &mut Svg, y: f64) -> f64 {
        let face = Type::new(self.frame.theme.ink, SIZE_LABEL, Anchor::Start);
        let mut y = y + 8.0;
        for line in self.chart.notes.iter().flat_map(|note| broken(note, LEFT + RULE + RIGHT - MARGIN)) {
            y += LINE;
            svg.text(MARGIN, y, &line, &face);
        }
        y
    }

    fn legend(&self, svg: &mut Svg, y: f64) -> f64 {
        let face = Type::new(self.frame.theme.ink_soft, SIZE_SMALL, Anchor::Start);
        let signs = [CoverSign::Covered, CoverSign::NotSure, CoverSign::NotCovered];
        let (mut x, y) = (MARGIN, y + 14.0);
        for (sign, word) in signs.into_iter().zip(&self.chart.legend) {
            sample(svg, sign, Area { x0: x, y0: y, x1: x + SAMPLE[0], y1: y + SAMPLE[1] }, self.frame);
            svg.text(x + SAMPLE[0] + 6.0, y + 8.5, word, &face);
            x += SAMPLE[0] + 6.0 + text_width(word, SIZE_SMALL, face.weight) + 20.0;
        }
        y + SAMPLE[1]
    }
}

fn bar(svg: &mut Svg, sign: CoverSign, area: Area, frame: &Frame<'_>) {
    let theme = frame.theme;
    match sign {
        CoverSign::Covered => svg.rect(area, 0.0, &Pen::filled(theme.ink)),
        CoverSign::NotSure => {
            svg.rect(area, 0.0, &Pen::filled(theme.paper));
            window_cells::hatch_runs(svg, &[area], 4.5, theme.ink);
            svg.rect(area, 0.0, &Pen::line(theme.ink, FINE).dashed("4 2.5"));
        }
        CoverSign::NotCovered => {}
    }
}

/// A bar of its own, with an outline so that an empty one is seen.
fn sample(svg: &mut Svg, sign: CoverSign, area: Area, frame: &Frame<'_>) {
    bar(svg, sign, area, frame);
    if sign != CoverSign::NotSure {
        svg.rect(area, 1.0, &Pen::line(frame.theme.ink, FINE));
    }
}

/// Breaks a sentence at its spaces.
fn broken(text: &str, wide: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        let longer = lines.last().map(|line| format!("{line} {word}"));
        match (longer, lines.last_mut()) {
            (Some(longer), Some(last)) if text_width(&longer, SIZE_LABEL, Weight::Medium) <= wide => {
                *last = longer
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Facing, PoseShape, Theme, Words};

    fn chart() -> CoverChart {
        let span = |from_mm, to_mm, sign| CoverSpan { from_mm, to_mm, sign };
        let row = |label: &str, facing, spans| CoverRow {
            pose: Some(CoverPose { shape: PoseShape::Plate, facing }),
            label: label.to_owned(),
            title: format!("{label}: <covered>"),
            is_tested: label == "V",
            spans,
        };
        CoverChart {
            groups: vec![CoverGroup {
                name: "plate groove".to_owned(),
                rows: vec![
                    row("F", Facing::Up, vec![span(3.175, 101.6, CoverSign::Covered)]),
                    row("V", Facing::Rising, vec![span(3.175, 19.05, CoverSign::NotSure)]),
                ],
            }],
            end_mm: 101.6,
            mark_mm: 1.5875,
            ticks: (1..=4)
                .map(|n| Tick { at: f64::from(n) * 25.4, label: format!("{n}"), also: format!("{}", n * 25) })
                .collect(),
            tested: Some((9.525, "3/8 in tested, 3G".to_owned())),
            words: vec![CoverWords {
                name: "root".to_owned(),
                roots: true,
                words: ["open", "steel", "backgouged", "gas", "flux", "insert"]
                    .map(|w| (w.to_owned(), CoverSign::NotCovered))
                    .to_vec(),
            }],
            notes: vec!["a long sentence that says why this test covers nothing at all ".repeat(4)],
            legend: ["covered", "not sure", "not covered"].map(str::to_owned),
        }
    }

    fn drawn(chart: &CoverChart) -> (Svg, [f64; 2], String) {
        let (theme, words) = (Theme::paper(), Words::english());
        let frame = Frame { id: "c", title: "t", desc: "d", theme: &theme, words: &words };
        let (svg, size) = draw(chart, &frame);
        (svg, size, coverage_chart(chart, &frame))
    }

    #[test]
    fn words_never_meet_or_leave_the_sheet() {
        let (svg, size, _) = drawn(&chart());
        for (n, a) in svg.texts.iter().enumerate() {
            assert!(a.x0 >= 0.0 && a.x1 <= size[0] && a.y0 >= 0.0 && a.y1 <= size[1], "{a:?} {size:?}");
            assert!(svg.texts[n + 1..].iter().all(|b| !a.meets(b)), "{a:?}");
        }
    }

    #[test]
    fn the_signs_differ_without_colour_and_rows_speak() {
        let (_, _, text) = drawn(&chart());
        assert!(text.contains("<title>F: &lt;covered&gt;</title>"));
        // The bar of F is full from 1/8 in on, with a tip beyond the rule.
        assert!(text.contains(&format!("fill=\"{}\"", Theme::paper().ink)));
        assert_eq!(text.matches("stroke-dasharray=\"4 2.5\"").count(), 2, "one bar and the legend");
        assert_eq!(drawn(&chart()).2, text);
    }

    #[test]
    fn an_impossible_rule_becomes_a_card() {
        let words = Words::english();
        for (end_mm, mark_mm) in [(0.0, 1.0), (f64::NAN, 1.0), (100.0, 0.0)] {
            let text = drawn(&CoverChart { end_mm, mark_mm, ..chart() }).2;
            assert!(text.contains(&words.undrawable));
        }
    }
}
