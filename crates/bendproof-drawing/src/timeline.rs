//! What a person holds along the days: one lane for each process and code, a
//! bar from the day it was earned to the day it ends, marks for uses, an empty
//! frame where it lapsed, and a line through today.
//!
//! Full is held, hatched is not sure, an empty dashed frame is a lapse. Colour
//! carries nothing but the day asked about. What is held is the caller's affair.

use crate::svg::{Anchor, Area, FINE, OUTLINE, Pen, SIZE_LABEL, SIZE_SMALL, Svg, Type};
use crate::window_cells;
use crate::{Frame, Tick, Weight, text_width};

/// Width of the sheet: a phone shows it without scaling it down.
const WIDE: f64 = 360.0;
const MARGIN: f64 = 8.0;
/// Room right of the lanes, for the arrow of what has no known end.
const RIGHT: f64 = 18.0;
/// Height of the scale, of a lane, of its bar, and of the legend's lines.
const SCALE: f64 = 40.0;
const LANE: f64 = 58.0;
const BAR: f64 = 13.0;
const LINE: f64 = 17.0;
/// Free room above and next to a lane's name, and where the name ends below.
const NAME_FREE: f64 = 5.0;
const NAME_END: f64 = 23.0;
/// Half the width of a use's mark.
const USE: f64 = 4.0;
/// Size of a sample bar in the legend.
const SAMPLE: [f64; 2] = [22.0, 9.0];
/// Most lanes, so that the sheet stays a sheet (choice).
const LANES_MAX: usize = 40;

/// What a stretch of a lane says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TimeSign {
    /// Held: full.
    Held,
    /// Not sure: hatched.
    NotSure,
    /// Lapsed: an empty dashed frame.
    Lapsed,
}

/// A stretch of days.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TimeSpan {
    /// First day, on the scale of the chart.
    pub from: f64,
    /// Last day; `None` goes on beyond the chart.
    pub to: Option<f64>,
    /// What it says.
    pub sign: TimeSign,
}

/// One lane.
#[derive(Debug, Clone, PartialEq)]
pub struct TimeLane {
    /// Its name, above the bar.
    pub label: String,
    /// The lane in words, for who does not see it.
    pub title: String,
    /// Stretches along the scale.
    pub spans: Vec<TimeSpan>,
    /// Days of use.
    pub uses: Vec<f64>,
}

/// All lanes on one scale; a day is one unit.
#[derive(Debug, Clone, PartialEq)]
pub struct Timeline {
    /// First and last day shown.
    pub ends: [f64; 2],
    /// Named days: the figure and, below it, the year where it changes.
    pub ticks: Vec<Tick>,
    /// The lanes.
    pub lanes: Vec<TimeLane>,
    /// Today and its name.
    pub today: (f64, String),
    /// Another day that is asked about, and its name.
    pub asked: Option<(f64, String)>,
    /// Words of the legend: held, not sure, lapsed, a use.
    pub legend: [String; 4],
}

/// The time line.
pub fn timeline(chart: &Timeline, frame: &Frame<'_>) -> String {
    let (svg, size) = draw(chart, frame);
    svg.finish(frame, size[0], size[1])
}

fn draw(chart: &Timeline, frame: &Frame<'_>) -> (Svg, [f64; 2]) {
    let mut svg = Svg::default();
    let [from, to] = chart.ends;
    let is_sound = from.is_finite() && to.is_finite() && to > from;
    if chart.lanes.len() > LANES_MAX || !is_sound {
        svg.refuse();
        return (svg, [1.0, 1.0]);
    }
    let sheet = Sheet { chart, frame };
    let bottom = MARGIN + SCALE + chart.lanes.len() as f64 * LANE;
    sheet.scale(&mut svg, bottom);
    for (n, lane) in chart.lanes.iter().enumerate() {
        sheet.lane(&mut svg, lane, MARGIN + SCALE + n as f64 * LANE);
    }
    let theme = frame.theme;
    sheet.day(&mut svg, &chart.today, [MARGIN + SCALE, bottom], &Pen::line(theme.ink, OUTLINE * 1.4), 13.0);
    let mut y = bottom + 18.0;
    if let Some(asked) = &chart.asked {
        let pen = Pen::line(theme.accent, OUTLINE * 1.4).dashed("6 3");
        sheet.day(&mut svg, asked, [MARGIN + SCALE, bottom + 14.0], &pen, 13.0);
        y += 15.0;
    }
    y = sheet.legend(&mut svg, y);
    (svg, [WIDE, y + MARGIN])
}

struct Sheet<'a> {
    chart: &'a Timeline,
    frame: &'a Frame<'a>,
}

impl Sheet<'_> {
    fn x(&self, day: f64) -> f64 {
        let [from, to] = self.chart.ends;
        MARGIN + (WIDE - MARGIN - RIGHT) * ((day - from) / (to - from)).clamp(0.0, 1.0)
    }

    /// Named days with hairlines down through all lanes.
    fn scale(&self, svg: &mut Svg, bottom: f64) {
        let theme = self.frame.theme;
        let y = MARGIN + SCALE;
        svg.line([MARGIN, y], [WIDE - RIGHT, y], &Pen::line(theme.ink, FINE));
        for tick in &self.chart.ticks {
            let x = self.x(tick.at);
            svg.line([x, y - 6.0], [x, bottom], &Pen::line(theme.line, FINE));
            let start = Anchor::Start;
            svg.text(x + 2.0, y - 8.0, &tick.label, &Type::new(theme.ink, SIZE_SMALL, start));
            svg.text(x + 2.0, y - 22.0, &tick.also, &Type::new(theme.ink_soft, SIZE_SMALL, start).bold());
        }
    }

    fn lane(&self, svg: &mut Svg, lane: &TimeLane, y: f64) {
        let theme = self.frame.theme;
        svg.group("time-lane", &[("data-lane", &lane.label)], &lane.title);
        svg.text(MARGIN, y + 18.0, &lane.label, &Type::new(theme.ink, SIZE_LABEL, Anchor::Start).bold());
        let middle = y + 33.0;
        svg.line([MARGIN, middle], [WIDE - RIGHT, middle], &Pen::line(theme.line, FINE));
        for span in &lane.spans {
            self.span(svg, span, middle);
        }
        for day in &lane.uses {
            let (x, top) = (self.x(*day), middle + BAR / 2.0 + 2.0);
            let tip = [[x, top], [x - USE, top + 2.0 * USE], [x + USE, top + 2.0 * USE]];
            svg.run(&tip, true, &Pen::filled(theme.ink));
        }
        svg.end();
    }

    fn span(&self, svg: &mut Svg, span: &TimeSpan, middle: f64) {
        let half = BAR / 2.0;
        let end = span.to.map_or(WIDE - RIGHT, |to| self.x(to));
        let area = Area { x0: self.x(span.from), y0: middle - half, x1: end, y1: middle + half };
        bar(svg, span.sign, area, self.frame);
        let goes_on = span.to.is_none_or(|to| to > self.chart.ends[1]);
        if goes_on && span.sign != TimeSign::Lapsed {
            let (x, theme) = (WIDE - RIGHT, self.frame.theme);
            let tip = [[x, middle - half], [x + 10.0, middle], [x, middle + half]];
            let pen = match span.sign {
                TimeSign::Held => Pen::filled(theme.ink),
                _ => Pen::line(theme.ink, FINE).with_fill(theme.paper),
            };
            svg.run(&tip, true, &pen);
        }
    }

    /// A line through all lanes with its name under it, kept on the sheet; it
    /// leaves out the names of lanes that it would cross.
    fn day(&self, svg: &mut Svg, day: &(f64, String), ends: [f64; 2], pen: &Pen<'_>, below: f64) {
        let x = self.x(day.0);
        let mut from = ends[0] - 3.0;
        for (n, lane) in self.chart.lanes.iter().enumerate() {
            let top = MARGIN + SCALE + n as f64 * LANE;
            let wide = text_width(&lane.label, SIZE_LABEL, Weight::SemiBold);
            if x < MARGIN + wide + NAME_FREE {
                svg.line([x, from], [x, top + NAME_FREE], pen);
                from = top + NAME_END;
            }
        }
        svg.line([x, from], [x, ends[1] + 2.0], pen);
        let half = text_width(&day.1, SIZE_SMALL, Weight::SemiBold) / 2.0;
        let at = x.clamp(MARGIN + half, WIDE - MARGIN - half);
        svg.text(at, ends[1] + below, &day.1, &Type::new(pen.stroke, SIZE_SMALL, Anchor::Middle).bold());
    }

    fn legend(&self, svg: &mut Svg, y: f64) -> f64 {
        let theme = self.frame.theme;
        let face = Type::new(theme.ink_soft, SIZE_SMALL, Anchor::Start);
        let (mut x, y) = (MARGIN, y + LINE - SAMPLE[1]);
        let signs = [Some(TimeSign::Held), Some(TimeSign::NotSure), Some(TimeSign::Lapsed), None];
        for (sign, word) in signs.into_iter().zip(&self.chart.legend) {
            let area = Area { x0: x, y0: y, x1: x + SAMPLE[0], y1: y + SAMPLE[1] };
            match sign {
                Some(sign) => bar(svg, sign, area, self.frame),
                None => {
                    let middle = x + SAMPLE[0] - 2.0 * USE;
                    let tip = [[middle, y], [middle - USE, y + SAMPLE[1]], [middle + USE, y + SAMPLE[1]]];
                    svg.run(&tip, true, &Pen::filled(theme.ink));
                }
            }
            svg.text(x + SAMPLE[0] + 5.0, y + 8.5, word, &face);
            x += SAMPLE[0] + 5.0 + text_width(word, SIZE_SMALL, face.weight) + 16.0;
        }
        y + SAMPLE[1]
    }
}

fn bar(svg: &mut Svg, sign: TimeSign, area: Area, frame: &Frame<'_>) {
    let theme = frame.theme;
    match sign {
        TimeSign::Held => svg.rect(area, 0.0, &Pen::filled(theme.ink)),
        TimeSign::NotSure => {
            svg.rect(area, 0.0, &Pen::filled(theme.paper));
            window_cells::hatch_runs(svg, &[area], 4.5, theme.ink);
            svg.rect(area, 0.0, &Pen::line(theme.ink, FINE));
        }
        TimeSign::Lapsed => {
            svg.rect(area, 0.0, &Pen::line(theme.ink, FINE).with_fill(theme.paper).dashed("3 3"));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Theme, Words};

    fn chart() -> Timeline {
        let span = |from, to, sign| TimeSpan { from, to, sign };
        let lane = |label: &str, spans| TimeLane {
            label: label.to_owned(),
            title: format!("{label} in words"),
            spans,
            uses: vec![40.0, 90.0],
        };
        Timeline {
            ends: [0.0, 400.0],
            ticks: vec![Tick { at: 100.0, label: "Apr".to_owned(), also: "2026".to_owned() }],
            lanes: vec![
                lane("A", vec![span(20.0, Some(180.0), TimeSign::Held), span(180.0, None, TimeSign::Lapsed)]),
                lane("B", vec![span(60.0, None, TimeSign::NotSure)]),
            ],
            today: (300.0, "today".to_owned()),
            asked: None,
            legend: ["held", "not sure", "lapsed", "use"].map(str::to_owned),
        }
    }

    fn drawn(chart: &Timeline) -> String {
        let (theme, words) = (Theme::paper(), Words::english());
        let frame = Frame { id: "t", title: "time", desc: "the time line", theme: &theme, words: &words };
        timeline(chart, &frame)
    }

    #[test]
    fn every_lane_is_said_in_words_and_every_use_has_a_mark() {
        let svg = drawn(&chart());
        assert!(svg.contains("A in words") && svg.contains("B in words"), "{svg}");
        // Two uses on each lane, the sample of the legend, and one arrow.
        assert_eq!(svg.matches("Z\"").count(), 6, "{svg}");
        assert!(!svg.contains("today2"));
        assert_eq!(svg, drawn(&chart()), "the same bytes every time");
    }

    #[test]
    fn the_day_asked_about_is_a_line_of_its_own() {
        let plain = drawn(&chart());
        let asked = drawn(&Timeline { asked: Some((50.0, "on 2025-12-01".to_owned())), ..chart() });
        assert!(!plain.contains("on 2025-12-01") && asked.contains("on 2025-12-01"));
    }

    #[test]
    fn a_scale_without_length_is_a_card() {
        let svg = drawn(&Timeline { ends: [5.0, 5.0], ..chart() });
        assert!(!svg.contains("A in words"), "{svg}");
    }
}
