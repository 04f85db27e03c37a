//! Preheat by EN 1011-2: method A, a table of combined thickness by carbon
//! equivalent CE (`data/preheat_en1011.toml`), and method B, the formula by CET.
//!
//! Both guard against cold cracks only. Outside the checked ranges there is no
//! answer.

use std::sync::LazyLock;

use bendproof_measure::round_to;
use toml::Table;

use crate::basis::Basis;
use crate::steel::{PREHEAT_CET_BASIS, PREHEAT_CET_SOURCE, preheat_cet_c};
use crate::table::{self, DataError};

/// One cell of the table of method A.
#[derive(Debug, Clone, PartialEq)]
struct Cell {
    hydrogen_over: f64,
    hydrogen_to: Option<f64>,
    ce: f64,
    heat_input: f64,
    thickness: f64,
    source: String,
    basis: Basis,
}

impl Cell {
    fn read(entry: &Table) -> Result<Self, DataError> {
        let origin = table::sourced(entry, ())?;
        Ok(Self {
            hydrogen_over: table::number(entry, "hydrogen_over")?,
            hydrogen_to: table::number_if_any(entry, "hydrogen_to")?,
            ce: table::number(entry, "ce")?,
            heat_input: table::number(entry, "heat_input")?,
            thickness: table::number(entry, "thickness")?,
            source: origin.source,
            basis: origin.basis,
        })
    }

    fn holds_hydrogen(&self, hydrogen: f64) -> bool {
        hydrogen > self.hydrogen_over && self.hydrogen_to.is_none_or(|to| hydrogen <= to)
    }
}

fn read(text: &str) -> Result<Vec<Cell>, DataError> {
    table::entries(text, "cell")?.iter().map(Cell::read).collect()
}

fn cells() -> &'static [Cell] {
    // The text is committed and a test reads it, so it cannot fail in the field.
    static CELLS: LazyLock<Vec<Cell>> =
        LazyLock::new(|| read(include_str!("../../../data/preheat_en1011.toml")).unwrap_or_default());
    &CELLS
}

/// What method A says.
#[derive(Debug, Clone, PartialEq)]
pub struct MethodA {
    /// Largest combined thickness welded without preheat, mm, by the cell of the
    /// table that is no less strict than the question.
    pub free_to_mm: f64,
    /// Whether the joint is within it; else preheat is wanted, how much stands in
    /// curves that are not here.
    pub is_free: bool,
    /// Where the cell was read.
    pub source: &'static str,
    /// What the source is worth.
    pub basis: Basis,
}

/// What method B says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MethodB {
    /// Least preheat, C; below room temperature none is asked for.
    pub least_c: f64,
    /// Where the formula was read.
    pub source: &'static str,
    /// What the source is worth.
    pub basis: Basis,
}

/// Why a method has no answer.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{what} of {} is outside {from} to {to}; {next}", self.shown())]
pub struct OutsideMethod {
    /// The quantity with its unit.
    pub what: &'static str,
    /// Its value.
    pub value: f64,
    /// Least allowed.
    pub from: f64,
    /// Greatest allowed.
    pub to: f64,
    /// What to do.
    pub next: &'static str,
}

impl OutsideMethod {
    /// The value rounded for reading; whole where rounding would put it inside.
    fn shown(&self) -> String {
        let rounded = (self.value * 1e3).round() / 1e3;
        let is_inside = (self.from..=self.to).contains(&rounded);
        if is_inside { self.value.to_string() } else { round_to(self.value, 3) }
    }
}

fn within(what: &'static str, value: f64, [from, to]: [f64; 2]) -> Result<(), OutsideMethod> {
    if (from..=to).contains(&value) {
        return Ok(());
    }
    let next = "use the standard itself, or the steel maker's advice";
    Err(OutsideMethod { what, value, from, to, next })
}

/// Method A: whether a combined thickness in mm may be welded without preheat.
///
/// CE in mass per cent (0.30 to the table's 0.49; the method's own range, from
/// memory, goes to 0.70), hydrogen in ml per 100 g (over 0), heat input in kJ/mm
/// (from the table's 1.0; more than 2.0 counts as 2.0). The combined thickness
/// is the sum of the plates within 75 mm of the weld (from memory).
///
/// # Errors
/// [`OutsideMethod`] names the quantity that the cells read do not reach.
pub fn preheat_method_a(
    ce: f64,
    combined_mm: f64,
    hydrogen: f64,
    heat_input: f64,
) -> Result<MethodA, OutsideMethod> {
    let most_ce = cells().iter().map(|c| c.ce).fold(0.0, f64::max);
    let least_q = cells().iter().map(|c| c.heat_input).fold(f64::INFINITY, f64::min);
    within("carbon equivalent CE in mass per cent", ce, [CE_LEAST, most_ce])?;
    within("heat input in kJ/mm", heat_input, [least_q, HEAT_INPUT_MOST])?;
    within("hydrogen in ml per 100 g", hydrogen, [HYDROGEN_LEAST, HYDROGEN_MOST])?;
    within("combined thickness in mm", combined_mm, [COMBINED_LEAST_MM, COMBINED_MOST_MM])?;
    // Of the cells that are no less strict the one that allows most; there is one
    // for every class within the ranges above.
    let no_looser =
        cells().iter().filter(|c| c.holds_hydrogen(hydrogen) && c.ce >= ce && c.heat_input <= heat_input);
    let cell = no_looser.max_by(|a, b| a.thickness.total_cmp(&b.thickness));
    let next = "the table has no cell for it";
    let missing =
        OutsideMethod { what: "hydrogen in ml per 100 g", value: hydrogen, from: 0.0, to: 0.0, next };
    let cell = cell.ok_or(missing)?;
    let is_free = combined_mm <= cell.thickness;
    Ok(MethodA { free_to_mm: cell.thickness, is_free, source: &cell.source, basis: cell.basis })
}

/// What may be asked of method A besides its cells. Basis: choice, far beyond
/// what is welded by hand.
const HEAT_INPUT_MOST: f64 = 10.0;
const HYDROGEN_LEAST: f64 = 0.1;
const HYDROGEN_MOST: f64 = 100.0;
const COMBINED_LEAST_MM: f64 = 0.1;
const COMBINED_MOST_MM: f64 = 1000.0;

/// Least CE of method A, mass per cent. Basis: memory.
const CE_LEAST: f64 = 0.30;

/// Method B: least preheat by CET, plate thickness in mm, hydrogen in ml per
/// 100 g and heat input in kJ/mm, by [`preheat_cet_c`].
///
/// # Errors
/// [`OutsideMethod`] names the quantity outside the range of the formula: CET 0.2
/// to 0.5, thickness 10 to 90 mm, hydrogen 1 to 20, heat input 0.5 to 4 (from
/// memory).
pub fn preheat_method_b(
    cet: f64,
    thickness_mm: f64,
    hydrogen: f64,
    heat_input: f64,
) -> Result<MethodB, OutsideMethod> {
    within("carbon equivalent CET in mass per cent", cet, [0.2, 0.5])?;
    within("thickness in mm", thickness_mm, [10.0, 90.0])?;
    within("hydrogen in ml per 100 g", hydrogen, [1.0, 20.0])?;
    within("heat input in kJ/mm", heat_input, [0.5, 4.0])?;
    Ok(MethodB {
        least_c: preheat_cet_c(cet, thickness_mm, hydrogen, heat_input),
        source: PREHEAT_CET_SOURCE,
        basis: PREHEAT_CET_BASIS,
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    /// Every cell of EN 1011-2 Table C.1 that was read, at its own corner.
    #[test]
    fn method_a_gives_back_its_table() {
        let cells = read(include_str!("../../../data/preheat_en1011.toml")).unwrap();
        assert_eq!(cells.len(), 20);
        for cell in &cells {
            let hydrogen = cell.hydrogen_to.unwrap_or(20.0);
            let of = |mm| preheat_method_a(cell.ce, mm, hydrogen, cell.heat_input).unwrap();
            assert!(of(cell.thickness).is_free && !of(cell.thickness + 0.1).is_free, "{cell:?}");
            assert_eq!((of(1.0).free_to_mm, of(1.0).basis), (cell.thickness, Basis::Seen));
        }
    }

    #[test]
    fn between_the_cells_the_stricter_one_answers() {
        let free = |ce, hydrogen, q| preheat_method_a(ce, 1.0, hydrogen, q).unwrap().free_to_mm;
        assert_eq!(free(0.44, 10.0, 1.0), free(0.49, 10.0, 1.0));
        assert_eq!(free(0.35, 10.0, 1.9), free(0.43, 10.0, 1.0));
        assert_eq!(free(0.43, 10.0, 3.0), free(0.43, 10.0, 2.0));
        assert_eq!(free(0.43, 5.0, 1.0), 100.0);
        assert_eq!(free(0.43, 5.1, 1.0), 60.0);
    }

    /// A stricter question is never allowed more.
    #[test]
    fn method_a_is_monotone() {
        let steps = [0.31, 0.43, 0.44, 0.49];
        for (n, ce) in steps.iter().enumerate() {
            for hydrogen in [2.0, 3.0, 4.0, 7.0, 12.0, 16.0] {
                let free = |ce, h, q| preheat_method_a(ce, 1.0, h, q).unwrap().free_to_mm;
                assert!(free(*ce, hydrogen, 2.0) >= free(*ce, hydrogen, 1.0));
                assert!(free(*ce, hydrogen, 1.0) >= free(*ce, hydrogen + 1.0, 1.0));
                assert!(
                    steps.iter().skip(n).all(|more| free(*ce, hydrogen, 1.0) >= free(*more, hydrogen, 1.0))
                );
            }
        }
    }

    #[test]
    fn outside_their_ranges_the_methods_have_no_answer() {
        let said = |e: OutsideMethod| e.to_string();
        assert!(said(preheat_method_a(0.5, 20.0, 5.0, 1.0).unwrap_err()).starts_with("carbon equivalent CE"));
        assert!(
            said(preheat_method_a(0.45, 20.0, 5.0, 0.9).unwrap_err()).contains("heat input in kJ/mm of 0.9")
        );
        let thin = said(preheat_method_b(0.3, 9.5, 5.0, 1.0).unwrap_err());
        assert!(thin.contains("thickness in mm of 9.5 is outside 10 to 90; use the standard"), "{thin}");
        let noisy = said(preheat_method_b(0.3, 9.524999999999999, 5.0, 1.0).unwrap_err());
        assert!(noisy.starts_with("thickness in mm of 9.525 is outside 10 to 90"), "{noisy}");
        let cold = said(preheat_method_a(0.45, 20.0, 5.0, 0.8740157480314962).unwrap_err());
        assert!(cold.starts_with("heat input in kJ/mm of 0.874 is outside 1 to 10"), "{cold}");
        let near = said(preheat_method_b(0.3, 9.9999, 5.0, 1.0).unwrap_err());
        assert!(near.starts_with("thickness in mm of 9.9999 is outside 10 to 90"), "{near}");
        assert!(preheat_method_b(f64::NAN, 20.0, 5.0, 1.0).is_err());
    }

    /// The formula's own worked value, as in the steel's tests.
    #[test]
    fn method_b_is_the_formula() {
        let b = preheat_method_b(0.3325, 31.75, 5.0, 1.26).unwrap();
        assert!((b.least_c - 109.7).abs() < 0.05, "{}", b.least_c);
    }
}
