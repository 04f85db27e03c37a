//! Things that lie along a weld, such as slag on a film: how much of them falls
//! in any one stretch of it.
//!
//! Holds no limit; lengths of stretches and sums come from the rule data.

use bendproof_measure::{Kind, Quantity, System, say};

use super::extent::Extent;
use super::fact::{Fact, FactAnswer, Facts};
use super::phrase::{said, spaced};
use crate::words::Verdict;

/// One thing along a weld.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span {
    /// Its length along the weld, or the size the rule asks about; zero or more.
    pub length: Quantity,
    /// Where it begins, from any one mark on the weld; `None` when not noted.
    pub start: Option<Quantity>,
}

impl Span {
    /// Reads `3 mm` or `3 mm at 40 mm`.
    pub(crate) fn parse(text: &str) -> Result<Self, String> {
        let read = |text: &str| Quantity::parse(Kind::Length, text).map_err(|e| e.to_string());
        let (length, start) = match text.split_once(" at ") {
            Some((length, start)) => (length, Some(read(start)?)),
            None => (text, None),
        };
        Ok(Self { length: read(length)?, start })
    }

    /// As it is read: `3 mm at 40 mm`.
    pub fn text(&self) -> String {
        let at = self.start.as_ref().map(|start| format!(" at {}", say(start))).unwrap_or_default();
        format!("{}{at}", say(&self.length))
    }
}

/// Which things along a weld count together.
#[derive(Debug, Clone, PartialEq)]
pub struct Stretch {
    /// Those of this size and less are not counted.
    pub over: Option<Extent>,
    /// Length of the stretch; absent when all count together.
    pub length: Option<Extent>,
    /// A gap of more than this many times the longest of them parts one line
    /// from the next. The longest of all is taken, which parts fewest.
    pub apart: Option<f64>,
}

/// How much may lie in one stretch.
#[derive(Debug, Clone, PartialEq)]
pub enum Most {
    /// Lengths add to no more than this.
    Sum(Extent),
    /// No more than so many.
    Count(u32),
}

/// What lies in the fullest stretch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Fullest {
    pub(crate) sum: Quantity,
    pub(crate) count: usize,
}

impl Stretch {
    /// Whether no stretch holds more than `most`. Where all of them together
    /// are few enough, nobody needs to know where each lies.
    pub(crate) fn holds(&self, fact: &'static str, most: &Most, facts: &Facts) -> FactAnswer {
        let Some(Fact::Spans(list)) = facts.get(fact) else { return FactAnswer::Missing(fact) };
        let counted = match self.counted(list, facts) {
            Ok(counted) => counted,
            Err(fact) => return FactAnswer::Missing(fact),
        };
        let within = |full: Fullest| match most {
            Most::Count(most) => FactAnswer::from(full.count <= *most as usize),
            // A list read in two systems meets both limits.
            Most::Sum(most) => FactAnswer::all(
                systems(&counted)
                    .into_iter()
                    .map(|system| most.exceeded_by(&Quantity { system, ..full.sum }, facts).not()),
            ),
        };
        match within(all_of(&counted)) {
            FactAnswer::No => self.fullest(list, facts).map_or_else(FactAnswer::Missing, within),
            other => other,
        }
    }

    /// The fullest stretch, or the fact that is missing to find it.
    pub(crate) fn fullest(&self, list: &[Span], facts: &Facts) -> Result<Fullest, &'static str> {
        let counted = self.counted(list, facts)?;
        let Some(length) = &self.length else { return Ok(all_of(&counted)) };
        let system = systems(&counted).first().copied().unwrap_or(System::Metric);
        // Only a multiple of the thickness can be unknown.
        let window = length.value(system, facts).ok_or("thickness")?;
        let placed: Option<Vec<(f64, f64)>> =
            counted.iter().map(|s| Some((s.start?.si, s.start?.si + s.length.si))).collect();
        let mut placed = placed.ok_or("places_along_the_weld")?;
        placed.sort_by(|a, b| a.0.total_cmp(&b.0));
        let longest = counted.iter().map(|s| s.length.si).fold(0.0, f64::max);
        let mut fullest = Fullest { sum: Quantity { si: 0.0, ..all_of(&counted).sum }, count: 0 };
        for line in lines(&placed, self.apart.map(|times| times * longest)) {
            let (sum, count) = fullest_window(line, window);
            fullest.sum.si = fullest.sum.si.max(sum);
            fullest.count = fullest.count.max(count);
        }
        Ok(fullest)
    }

    /// The sum that is compared: of the fullest stretch, or of all that count
    /// where nobody noted their places.
    pub(crate) fn sum(&self, list: &[Span], facts: &Facts) -> Option<Quantity> {
        let all = || self.counted(list, facts).map(|counted| all_of(&counted));
        self.fullest(list, facts).or_else(|_| all()).ok().map(|full| full.sum)
    }

    fn counted(&self, list: &[Span], facts: &Facts) -> Result<Vec<Span>, &'static str> {
        let Some(over) = &self.over else { return Ok(list.to_vec()) };
        let mut counted = Vec::new();
        for span in list {
            match over.exceeded_by(&span.length, facts) {
                FactAnswer::Yes => counted.push(*span),
                FactAnswer::No => {}
                FactAnswer::Missing(fact) => return Err(fact),
            }
        }
        Ok(counted)
    }

    /// What the demand says, one line each.
    pub(crate) fn text(&self, fact: &str, most: &Most, breach: Verdict) -> Vec<String> {
        let mut lines = Vec::new();
        if let Some(over) = &self.over {
            lines.push(format!("counted: {} over {}", spaced(fact), over.text()));
        }
        if let Some(times) = self.apart {
            lines.push(format!("aligned if no gap is over {times} times the longest"));
        }
        let stretch = match &self.length {
            Some(length) => format!("in any {}", length.text()),
            None => "total".to_owned(),
        };
        lines.push(match most {
            Most::Sum(sum) => {
                format!(
                    "{} {stretch}, total maximum {}; otherwise {}",
                    spaced(fact),
                    sum.text(),
                    said(breach)
                )
            }
            Most::Count(count) => {
                format!("{} {stretch}: maximum {count}; otherwise {}", spaced(fact), said(breach))
            }
        });
        lines
    }
}

/// The systems a list was read in, each once; metric for an empty one.
fn systems(list: &[Span]) -> Vec<System> {
    let inch = list.iter().any(|s| s.length.system == System::Inch);
    let metric = list.iter().any(|s| s.length.system != System::Inch);
    let both = [(inch, System::Inch), (metric || !inch, System::Metric)];
    both.into_iter().filter(|(is, _)| *is).map(|(_, system)| system).collect()
}

fn all_of(list: &[Span]) -> Fullest {
    let system = systems(list).first().copied().unwrap_or(System::Metric);
    let si = list.iter().map(|s| s.length.si).sum();
    Fullest { sum: Quantity { si, kind: Kind::Length, system }, count: list.len() }
}

/// Parts a sorted list where a gap is over `gap`.
fn lines(placed: &[(f64, f64)], gap: Option<f64>) -> impl Iterator<Item = &[(f64, f64)]> {
    // One that reaches past the next still closes the gap behind it.
    let mut reach = f64::NEG_INFINITY;
    placed.chunk_by(move |a, b| {
        reach = reach.max(a.1);
        gap.is_none_or(|gap| b.0 - reach <= gap)
    })
}

/// The greatest length and number of spans in any window of one line. What lies
/// in a sliding window is greatest where it begins at a span's start or ends at
/// a span's end; the number, also where it begins at a span's end.
fn fullest_window(line: &[(f64, f64)], window: f64) -> (f64, usize) {
    let (mut most, mut count) = (0.0_f64, 0);
    for begin in line.iter().flat_map(|(start, end)| [*start, end - window, *end]) {
        let end = begin + window;
        let inside = line.iter().map(|s| s.1.min(end) - s.0.max(begin));
        most = most.max(inside.clone().filter(|length| *length > 0.0).sum());
        count = count.max(inside.filter(|length| *length >= 0.0).count());
    }
    (most, count)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn list(texts: &[&str]) -> Vec<Span> {
        texts.iter().map(|t| Span::parse(t).unwrap()).collect()
    }

    fn mm(value: f64) -> Extent {
        let si = value * 1e-3;
        Extent::Pair(super::super::extent::Pair { inch_si: si, metric_si: si, kind: Kind::Length })
    }

    fn stretch(length: f64, apart: Option<f64>) -> Stretch {
        Stretch { over: None, length: Some(mm(length)), apart }
    }

    #[test]
    fn the_fullest_stretch_is_found_wherever_it_begins() {
        let spans = list(&["10 mm at 0 mm", "4 mm at 30 mm", "6 mm at 44 mm"]);
        let sum = |length| stretch(length, None).fullest(&spans, &Facts::default()).unwrap().sum.si * 1e3;
        // 4 + 6 lie within 20 mm; 10 + 4 within 34; cut pieces count as far as they reach in.
        for (length, wanted) in [(5.0, 5.0), (20.0, 10.0), (34.0, 14.0), (45.0, 15.0), (50.0, 20.0)] {
            assert!((sum(length) - wanted).abs() < 1e-9, "{length}: {}", sum(length));
        }
    }

    /// Pores at one place, one over the other, count each: two of them end the
    /// window that holds three others whole, and no window that begins at a
    /// start holds as much.
    #[test]
    fn flaws_over_one_another_are_fullest_in_a_window_that_ends_at_an_end() {
        let spans =
            list(&["10 mm at 0 mm", "10 mm at 0 mm", "5 mm at 20 mm", "5 mm at 20 mm", "5 mm at 20 mm"]);
        let full = stretch(20.0, None).fullest(&spans, &Facts::default()).unwrap();
        assert!((full.sum.si - 0.025).abs() < 1e-9, "{:?}", full.sum);
    }

    #[test]
    fn a_wide_gap_parts_a_line() {
        let spans = list(&["2 mm at 0 mm", "2 mm at 13 mm", "2 mm at 28 mm"]);
        // The first gap is 11 mm, the second 13 mm; six times the longest is 12 mm.
        let full = stretch(100.0, Some(6.0)).fullest(&spans, &Facts::default()).unwrap();
        assert!((full.sum.si - 0.004).abs() < 1e-9);
        assert_eq!(full.count, 2);
    }

    #[test]
    fn places_are_asked_for_only_where_they_decide() {
        let mut facts = Facts::default();
        facts.spans("slag", list(&["2 mm", "2 mm"]));
        let holds = |most| stretch(50.0, None).holds("slag", &most, &facts);
        assert_eq!(holds(Most::Sum(mm(4.0))), FactAnswer::Yes);
        assert_eq!(holds(Most::Sum(mm(3.0))), FactAnswer::Missing("places_along_the_weld"));
        assert_eq!(holds(Most::Count(2)), FactAnswer::Yes);
        assert_eq!(holds(Most::Count(1)), FactAnswer::Missing("places_along_the_weld"));
    }
}
