//! Heat laid down at once, in a plane, a line, a point or a small ellipsoid,
//! spreading through a block: against the table of closed forms kept in
//! `checks/heat/`.

use super::block::{Block, Cell, REFERENCE, REFERENCE_M2_S, even};
use crate::solve::HeatError;
use crate::solve::engine::Losses;
use crate::solve::probe::Probe;

const TABLE: &str = include_str!("../../../../../checks/heat/closed_forms.csv");

/// Of the tabled rise. The smallest spread has three cells to its standard
/// deviation, where second order leaves 0.2 % at the centre.
const WITHIN: f64 = 3e-3;
/// Heat per volume of the metal, J/(m³·K).
const RHO_C: f64 = 7800.0 * 600.0;
const START_K: f64 = 293.15;

/// The value tabled for a case, in the row that also holds a word.
pub(super) fn tabled_of(case: &str, word: &str) -> f64 {
    let of_case = |line: &&str| line.split(',').next() == Some(case) && line.contains(word);
    let row = TABLE.lines().find(of_case).unwrap_or("");
    row.split(',').nth(3).and_then(|value| value.parse().ok()).unwrap_or(f64::NAN)
}

/// A spread of heat that the planes x = 0, y = 0 and z = 0 cut into mirror
/// images: its variance in each direction at the start, m², infinite where it
/// does not vary; and its size, K·m for each direction that varies.
struct Spread {
    variance_m2: [f64; 3],
    strength: f64,
}

impl Spread {
    /// Mean rise in a cell after a time, K.
    fn rise_k(&self, cell: &Cell, time_s: f64) -> f64 {
        let share = |d: usize| {
            let deviation = (self.variance_m2[d] + 2.0 * REFERENCE_M2_S * time_s).sqrt();
            let scaled = |x: f64| x / (2.0_f64.sqrt() * deviation);
            0.5 * (libm::erf(scaled(cell.high[d])) - libm::erf(scaled(cell.low[d]))) / cell.size()[d]
        };
        let varying = (0..3).filter(|d| self.variance_m2[*d].is_finite());
        self.strength * varying.map(share).product::<f64>()
    }
}

/// Rise at a place after a time, K, in cells of `cell_m` over `reach_m` in each
/// direction that varies.
fn solved(
    spread: &Spread,
    time_s: f64,
    at: [f64; 3],
    (cell_m, reach_m): (f64, f64),
) -> Result<f64, HeatError> {
    const STEPS: usize = 40;
    let count =
        |d: usize| if spread.variance_m2[d].is_finite() { (reach_m / cell_m).round() as usize } else { 1 };
    let length = |d: usize| count(d) as f64 * cell_m;
    let spans = vec![1; count(0)];
    let (y, z) = (even(length(1), count(1))?, even(length(2), count(2))?);
    let mut block = Block::new(REFERENCE, &Losses::NONE, (cell_m, &spans), y, z)?;
    block.set(|cell| START_K + spread.rise_k(cell, 0.0));
    block.steps(STEPS, time_s / STEPS as f64);
    Ok(Probe::new(&block.engine, at).temperature_k(&block.engine) - START_K)
}

fn judge(case: &str, got_k: f64) {
    let expected_k = tabled_of(case, "dT");
    assert!((got_k / expected_k - 1.0).abs() < WITHIN, "{case}: {got_k} K, tabled {expected_k} K");
}

/// A source without size cannot be put on cells: it starts a tenth of the time
/// later, as the Gaussian it is then.
const LATE: f64 = 0.1;

fn late(time_s: f64) -> (f64, f64) {
    (2.0 * REFERENCE_M2_S * LATE * time_s, (1.0 - LATE) * time_s)
}

#[test]
fn a_plane_of_heat() -> Result<(), HeatError> {
    let (variance, left_s) = late(5.0);
    let spread = Spread { variance_m2: [variance, f64::INFINITY, f64::INFINITY], strength: 1e7 / RHO_C };
    judge("inst_plane", solved(&spread, left_s, [10e-3, 0.0, 0.0], (0.5e-3, 60e-3))?);
    Ok(())
}

#[test]
fn a_line_of_heat() -> Result<(), HeatError> {
    let (variance, left_s) = late(5.0);
    let spread = Spread { variance_m2: [variance, variance, f64::INFINITY], strength: 1e5 / RHO_C };
    let at = [10e-3 / 2.0_f64.sqrt(), 10e-3 / 2.0_f64.sqrt(), 0.0];
    judge("inst_line_plate", solved(&spread, left_s, at, (0.8e-3, 56e-3))?);
    Ok(())
}

#[test]
fn a_point_of_heat() -> Result<(), HeatError> {
    let (variance, left_s) = late(1.0);
    let spread = Spread { variance_m2: [variance; 3], strength: 1000.0 / RHO_C };
    let at = [5e-3 / 3.0_f64.sqrt(); 3];
    judge("inst_point_inf", solved(&spread, left_s, at, (0.4e-3, 24e-3))?);
    Ok(())
}

#[test]
fn a_small_ellipsoid_of_heat() -> Result<(), HeatError> {
    let spread = Spread { variance_m2: [9e-6, 4e-6, 1e-6], strength: 1000.0 / RHO_C };
    judge("inst_gauss3", solved(&spread, 0.5, [2e-3, 1e-3, 1.5e-3], (0.35e-3, 21e-3))?);
    Ok(())
}
