//! The settings window: two inputs at once, and which failure comes first at
//! every place.
//!
//! Each cell is a forecast of its own with the words alone. Only how clear the
//! root is may be taken between drawn cells, and no word is: a cell whose word or
//! first answer that could turn is drawn itself. Rows do not depend on each other.

use std::collections::BTreeMap;

use bendproof_weld::Coupon;
use rayon::prelude::*;

use crate::answers::{Answers, Failure, HeatOf, Scope, answers, answers_with, root_clear};
use crate::field::{SURE, Settled, field};
use crate::forecast::{Limits, Scatter};
use crate::item::{Unit, Verdict};
use crate::knobs::Knob;
use crate::melt_back::CHECKED_BOX;

/// Most cells along one side of a map. Choice: four times what a screen shows
/// apart, and still seconds of work.
pub const MAP_CELLS_MAX: usize = 400;

/// One side of the map.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Axis {
    /// The input along it.
    pub knob: Knob,
    /// Lower end, SI.
    pub low_si: f64,
    /// Upper end, SI.
    pub high_si: f64,
    /// Cells along it, 1 to [`MAP_CELLS_MAX`].
    pub cells: usize,
}

impl Axis {
    /// The middle of a cell counted from 0, SI: where it is asked.
    pub fn middle_si(&self, cell: usize) -> f64 {
        self.low_si + (self.high_si - self.low_si) * (cell as f64 + 0.5) / self.cells as f64
    }
}

/// What a place of the map says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cell {
    /// The worst word; not known wherever the root is not known.
    pub verdict: Verdict,
    /// The answer that comes first and its pass, 1-based: the one with the least
    /// clearance; where nothing fails, the one that will.
    pub first: Option<(Failure, usize)>,
    /// How clear of the line the word is, see [`crate::Answers::clearance`]; to
    /// 0.08, or 8 percent of one above 1, where it was taken between drawn cells.
    pub clearance: Option<f64>,
    /// Its margin in `unit`.
    pub margin: Option<f64>,
    /// What the margin is measured in.
    pub unit: Unit,
}

impl Cell {
    /// The margin counted in the error of the fast model alone: between -1 and 1
    /// the word could be wrong by the model, whatever the hand does. `None` where
    /// the answer that comes first rests on no fitted heat.
    pub fn in_model_error(&self) -> Option<f64> {
        Some(self.margin? / self.first?.0.model_error_m()?)
    }

    const UNKNOWN: Cell =
        Cell { verdict: Verdict::NotKnown, first: None, clearance: None, margin: None, unit: Unit::Metre };

    fn of(answers: &Answers) -> Cell {
        // Where the root is not known the place is not known, whatever else
        // fails there: a map shows where its own model ends.
        if answers.unknown_root().is_some() {
            return Cell::UNKNOWN;
        }
        let Some(first) = answers.first() else { return Cell::UNKNOWN };
        Cell {
            verdict: answers.verdict(),
            first: Some((first.failure, first.pass)),
            clearance: answers.clearance(),
            margin: first.margin,
            unit: first.unit,
        }
    }
}

/// A map of two inputs.
#[derive(Debug, Clone, PartialEq)]
pub struct WindowMap {
    /// Across.
    pub x: Axis,
    /// Upwards.
    pub y: Axis,
    /// Rows from the lowest y up, each from the lowest x.
    pub rows: Vec<Vec<Cell>>,
    /// The range in which the root model was checked, across and upwards, SI;
    /// `None` where the check does not ask for that input.
    pub checked: [Option<(f64, f64)>; 2],
    /// Why cells are not known, with how many of them.
    pub not_known: Vec<(String, usize)>,
    /// The place set: x and y, SI; `None` where the coupon has no such value.
    pub value: Option<[f64; 2]>,
    /// What the place set says, asked there and not at the middle of its cell.
    pub here: Cell,
    /// One standard deviation under the hand, across and upwards, SI.
    pub scatter: [Option<f64>; 2],
}

/// Why a map cannot be made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MapError {
    /// Both sides turn the same input.
    SameKnob,
    /// A side does not run upward, or its ends are no numbers.
    EmptyRange,
    /// A side has no cell or more than [`MAP_CELLS_MAX`].
    Cells,
    /// A side turns a pass that is not planned.
    NoSuchPass {
        /// The pass, counted from 1.
        pass: usize,
        /// Passes of the plan.
        planned: usize,
    },
}

impl std::fmt::Display for MapError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            MapError::SameKnob => f.write_str("both sides turn the same input; choose two"),
            MapError::EmptyRange => {
                f.write_str("a side does not run from low to high; write the lower end first")
            }
            MapError::Cells => write!(f, "a side has no cell or too many; allowed are 1 to {MAP_CELLS_MAX}"),
            MapError::NoSuchPass { pass, planned: 0 } => {
                write!(f, "pass {pass} is not planned, nor is any other; plan it first")
            }
            MapError::NoSuchPass { pass, planned } => {
                write!(f, "pass {pass} is not planned; enter 1 to {planned}, or plan it first")
            }
        }
    }
}

impl std::error::Error for MapError {}

/// Maps which failure comes first over two inputs, everything else as planned. Solved
/// beads speak at the place set; its neighbors are the fast model's, moved to meet
/// them at the root.
///
/// # Errors
/// [`MapError`] when the sides make no map. Cells outside the range of the model
/// are no error: they say not known, and the map says why.
pub fn window_map(
    coupon: &Coupon,
    limits: &Limits,
    scatter: &Scatter,
    scope: Scope,
    heat: HeatOf<'_>,
    [x, y]: [Axis; 2],
) -> Result<WindowMap, MapError> {
    check(coupon, &x, &y)?;
    let carried = heat.carried(coupon);
    let near = HeatOf::from(carried.as_ref());
    let asked = Asked { coupon, limits, scatter, scope, heat: near, x, y };
    let clear = field([x.cells, y.cells], |at| root_clear(&asked.coupon_at(at)?, scatter, near));
    // Rows do not depend on each other, and their reasons add up in any order.
    let rows = clear.par_chunks(x.cells).enumerate();
    let computed: Vec<(Vec<Cell>, Reasons)> = rows.map(|(row, clear)| asked.row(row, clear)).collect();
    let mut why = Reasons::new();
    for (reason, count) in computed.iter().flat_map(|(_, reasons)| reasons) {
        *why.entry(reason.clone()).or_default() += count;
    }
    let rows = computed.into_iter().map(|(cells, _)| cells).collect();
    let at = x.knob.value_si(coupon).zip(y.knob.value_si(coupon));
    let value = at.map(|(a, b)| [a, b]);
    let spread = |axis: &Axis| axis.knob.scatter_si(scatter, axis.knob.value_si(coupon)?);
    Ok(WindowMap {
        x,
        y,
        rows,
        checked: [x.knob.checked_si(), y.knob.checked_si()],
        not_known: why.into_iter().collect(),
        value,
        here: Cell::of(&answers(coupon, limits, scatter, scope, heat)),
        scatter: [spread(&x), spread(&y)],
    })
}

fn check(coupon: &Coupon, x: &Axis, y: &Axis) -> Result<(), MapError> {
    if x.knob == y.knob {
        return Err(MapError::SameKnob);
    }
    for axis in [x, y] {
        let runs = axis.low_si.is_finite() && axis.high_si.is_finite() && axis.low_si < axis.high_si;
        if !runs {
            return Err(MapError::EmptyRange);
        }
        if !(1..=MAP_CELLS_MAX).contains(&axis.cells) {
            return Err(MapError::Cells);
        }
        let planned = coupon.passes.len();
        if let Some(row) = axis.knob.pass().filter(|row| *row >= planned) {
            return Err(MapError::NoSuchPass { pass: row + 1, planned });
        }
    }
    Ok(())
}

/// Reasons with how many cells have each.
type Reasons = BTreeMap<String, usize>;

struct Asked<'a> {
    coupon: &'a Coupon,
    limits: &'a Limits,
    scatter: &'a Scatter,
    scope: Scope,
    heat: HeatOf<'a>,
    x: Axis,
    y: Axis,
}

impl Asked<'_> {
    /// The coupon in the middle of a cell, column and row; `None` where that is none.
    fn coupon_at(&self, [column, row]: [usize; 2]) -> Option<Coupon> {
        let moved = self.y.knob.moved(self.coupon, self.y.middle_si(row))?;
        self.x.knob.moved(&moved, self.x.middle_si(column))
    }

    /// The cells of a row, and why some are not known.
    fn row(&self, row: usize, clear: &[Settled]) -> (Vec<Cell>, Reasons) {
        let mut why = Reasons::new();
        let mut cell = |(column, printed): (usize, &Settled)| {
            let Some(there) = self.coupon_at([column, row]) else {
                *why.entry(NO_COUPON.to_owned()).or_default() += 1;
                return Cell::UNKNOWN;
            };
            let found = self.answers(&there, printed);
            let cell = Cell::of(&found);
            let unknown = found.unknown_root().or_else(|| found.first());
            if let (Verdict::NotKnown, Some(answer)) = (cell.verdict, unknown) {
                *why.entry(in_short(&answer.why)).or_default() += 1;
            }
            cell
        };
        let cells = clear.iter().enumerate().map(&mut cell).collect();
        (cells, why)
    }

    fn answers(&self, there: &Coupon, clearance: &Settled) -> Answers {
        let with = |clear| answers_with(there, self.limits, self.scatter, self.scope, self.heat, |_| clear);
        let drawn = || answers(there, self.limits, self.scatter, self.scope, self.heat);
        match clearance {
            Settled::Drawn(clear) => with(*clear),
            Settled::Between(clear) => Some(with(*clear)).filter(is_sure).unwrap_or_else(drawn),
            Settled::NotKnown => drawn(),
        }
    }
}

/// Whether neither the word nor the answer that comes first could turn if every
/// clearance were a little off.
fn is_sure(answers: &Answers) -> bool {
    let Some((_, root)) = answers.root else { return false };
    let word = Verdict::from_clearance(root);
    // No answer alone is worse than all of them.
    let is_in_order = answers.list.iter().filter(|a| a.failure <= Failure::Outrun).all(|a| a.verdict <= word);
    let mut all: Vec<f64> = answers.list.iter().filter_map(|a| a.clearance).collect();
    all.sort_by(f64::total_cmp);
    all.dedup();
    let is_one_first = all.windows(2).take(1).all(|two| two[1] - two[0] > SURE * two[0].abs().max(1.0));
    is_in_order && is_one_first && (root.abs() - 1.0).abs() > SURE
}

/// Why a place is no coupon at all.
const NO_COUPON: &str = "no such joint: the root face or the mismatch is as high as the plate";

/// The reason without the value, so that a thousand cells share one line.
fn in_short(why: &str) -> String {
    match CHECKED_BOX.iter().find(|side| why.starts_with(side.name)) {
        Some(side) => {
            format!(
                "{} outside {} to {} {}, where this was checked",
                side.name, side.low, side.high, side.unit
            )
        }
        None => why.to_owned(),
    }
}
