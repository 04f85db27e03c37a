//! The plate along the travel: slabs that are thin near the arc and thick far
//! from it, split ahead of the arc and joined again behind.
//!
//! A slab spans a power of two of the finest width and starts at a multiple of
//! its own span, so that two halves always join to the slab they came from.

/// One slab.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Slab {
    /// First fine cell it covers, counted from the start of the plate.
    pub start: i64,
    /// Fine cells it covers: 1, 2, 4 or 8.
    pub span: i64,
    /// Which make of the section it has.
    pub state: usize,
    /// Where its cells are stored.
    pub slot: usize,
}

/// Greatest span.
pub(crate) const SPAN_MAX: i64 = 8;

impl Slab {
    /// The fine cell after its last.
    pub fn end(&self) -> i64 {
        self.start + self.span
    }
}

/// Where slabs must be thin, in fine cells from the arc.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Zone {
    /// The arc, in fine cells from the start of the plate.
    pub arc: f64,
    /// Thin this far ahead of it.
    pub ahead: f64,
    /// Thin this far behind it.
    pub behind: f64,
    /// Least span anywhere: grows as the heat spreads after the arc is out.
    pub span_least: i64,
}

impl Zone {
    /// Widest span allowed for a slab over `[start, end)`: doubling with each
    /// doubling of the zone.
    pub fn span_at(&self, start: i64, end: i64) -> i64 {
        let ahead = (start as f64 - self.arc) / self.ahead;
        let behind = (self.arc - end as f64) / self.behind;
        let distance = ahead.max(behind);
        let span = match distance {
            d if d < 1.0 => 1,
            d if d < 1.6 => 2,
            d if d < 2.6 => 4,
            _ => SPAN_MAX,
        };
        span.max(self.span_least)
    }
}

/// What has to be done to the slabs, in order.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Change {
    /// The slab at this place in the row becomes two.
    Split(usize),
    /// The slab at this place and the next become one.
    Join(usize),
}

/// The first change the row needs, looking from `from` on; `None` when it fits.
pub(crate) fn next_change(row: &[Slab], zone: &Zone, from: usize) -> Option<Change> {
    for i in from..row.len() {
        let slab = row[i];
        if slab.span > zone.span_at(slab.start, slab.end()) {
            return Some(Change::Split(i));
        }
        let Some(next) = row.get(i + 1) else { break };
        let halves = slab.span == next.span
            && slab.state == next.state
            && slab.span < SPAN_MAX
            && slab.start % (2 * slab.span) == 0
            && next.start == slab.end();
        // Joined only where the whole would not be split again at once.
        if halves && zone.span_at(slab.start, next.end()) >= 2 * slab.span {
            return Some(Change::Join(i));
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn apply(row: &mut Vec<Slab>, zone: &Zone) {
        let mut from = 0;
        while let Some(change) = next_change(row, zone, from) {
            match change {
                Change::Split(i) => {
                    let half = row[i].span / 2;
                    row[i].span = half;
                    row.insert(i + 1, Slab { start: row[i].end(), ..row[i] });
                    from = i;
                }
                Change::Join(i) => {
                    row[i].span *= 2;
                    row.remove(i + 1);
                    from = i.saturating_sub(1);
                }
            }
        }
    }

    proptest! {
        #[test]
        fn the_row_stays_whole_wherever_the_arc_goes(arcs in prop::collection::vec(-20.0..420.0f64, 1..8)) {
            let mut row: Vec<Slab> = (0..50).map(|i| Slab { start: 8 * i, span: 8, state: 0, slot: 0 }).collect();
            for arc in arcs {
                let zone = Zone { arc, ahead: 9.0, behind: 25.0, span_least: 1 };
                apply(&mut row, &zone);
                prop_assert!(row.windows(2).all(|pair| pair[0].end() == pair[1].start));
                prop_assert_eq!((row[0].start, row[row.len() - 1].end()), (0, 400));
                for slab in &row {
                    prop_assert!(slab.span <= zone.span_at(slab.start, slab.end()), "{slab:?}");
                    prop_assert_eq!(slab.start % slab.span, 0);
                }
            }
        }
    }
}
