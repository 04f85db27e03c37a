//! How fast the error falls: a Gaussian that spreads and a manufactured
//! solution with the steel's own conductivity and specific heat, refined in
//! space and in time apart.

use std::sync::LazyLock;

use super::block::{Block, Cell, GAUSS, REFERENCE, REFERENCE_M2_S, even, stretched};
use crate::solve::HeatError;
use crate::solve::engine::Losses;
use crate::solve::material::{CarbonSteel, Metal};
use crate::solve::probe::Probe;

/// The scheme is of second order in space, and in time. Slack in space: grids
/// of two to five cells to a standard deviation still carry a share of fourth
/// order.
const SPACE: (f64, f64) = (2.0, 0.1);
/// Slack in time: the count of stages changes with the step.
const TIME: (f64, f64) = (2.0, 0.15);

/// One row per refinement: what is refined, and the error left.
pub(super) struct Study {
    pub title: &'static str,
    pub refined: &'static str,
    pub unit: &'static str,
    pub rows: Vec<(String, f64)>,
}

/// Observed orders of rows that are refined twofold from each to the next.
pub(super) fn order(rows: &[(String, f64)]) -> Vec<f64> {
    rows.windows(2).map(|pair| (pair[0].1 / pair[1].1).log2()).collect()
}

fn judge(study: &Study, (expected, slack): (f64, f64)) {
    let orders = order(&study.rows);
    assert!(orders.len() >= 2, "three grids at least");
    let all = orders.iter().all(|o| (o - expected).abs() <= slack);
    assert!(all, "{}: orders {orders:?} of {:?}", study.title, study.rows);
}

/// Error as a study row; one that could not be solved is not a number and fails.
fn row(name: String, error: Result<f64, HeatError>) -> (String, f64) {
    (name, error.unwrap_or(f64::NAN))
}

const START_K: f64 = 293.15;

/// Mean over a cell of a Gaussian of rise 1 at zero time, K.
fn gaussian(cell: &Cell, deviation_m: [f64; 3], time_s: f64) -> f64 {
    let share = |d: usize| {
        let spread = (deviation_m[d].powi(2) + 2.0 * REFERENCE_M2_S * time_s).sqrt();
        let scaled = |x: f64| x / (2.0_f64.sqrt() * spread);
        let half_root_tau = (0.5 * std::f64::consts::PI).sqrt();
        half_root_tau * deviation_m[d] * (libm::erf(scaled(cell.high[d])) - libm::erf(scaled(cell.low[d])))
            / cell.size()[d]
    };
    (0..3).map(share).product()
}

/// Places off the centres and faces of every grid used, m.
fn places(reach_m: f64) -> Vec<[f64; 3]> {
    const SHARES: [f64; 3] = [0.0713, 0.2371, 0.4157];
    let all = (0..27).map(|n| [SHARES[n % 3], SHARES[n / 3 % 3], SHARES[n / 9]]);
    all.map(|p| p.map(|share| share * reach_m)).collect()
}

/// Error of a spreading Gaussian, an octant of it, on `count` cells a side that
/// grow threefold in y and shrink in z, at places between the centres; of the
/// rise left in the middle.
fn gaussian_error(count: usize) -> Result<f64, HeatError> {
    const SIDE_M: f64 = 20e-3;
    const DEVIATION_M: [f64; 3] = [4e-3, 3.5e-3, 4.5e-3];
    const RISE_K: f64 = 900.0;
    const TIME_S: f64 = 0.6;
    let fine_m = SIDE_M / count as f64;
    let spans = vec![1; count];
    let (y, z) = (stretched(SIDE_M, count, 2.0)?, stretched(SIDE_M, count, 1.5)?);
    let mut block = Block::new(REFERENCE, &Losses::NONE, (fine_m, &spans), y, z)?;
    block.set(|cell| START_K + RISE_K * gaussian(cell, DEVIATION_M, 0.0));
    // A step of a fixed multiple of the explicit one falls with the square of
    // the cell, so that only the error in space is left.
    let steps = (TIME_S / (3.0 * block.engine.explicit_step_s())).ceil();
    block.steps(steps as usize, TIME_S / steps);
    let exact = |at: [f64; 3], time_s: f64| -> f64 {
        let factor = |d: usize| {
            let (start, now) =
                (DEVIATION_M[d].powi(2), DEVIATION_M[d].powi(2) + 2.0 * REFERENCE_M2_S * time_s);
            (start / now).sqrt() * (-0.5 * at[d] * at[d] / now).exp()
        };
        RISE_K * (0..3).map(factor).product::<f64>()
    };
    let places = places(SIDE_M);
    let squares = places.iter().map(|at| {
        let got_k = Probe::new(&block.engine, *at).temperature_k(&block.engine) - START_K;
        (got_k - exact(*at, TIME_S)).powi(2)
    });
    let rms_k = (squares.sum::<f64>() / places.len() as f64).sqrt();
    Ok(1e2 * rms_k / exact([0.0; 3], TIME_S))
}

pub(super) static GAUSSIAN: LazyLock<Study> = LazyLock::new(|| Study {
    title: "Gaussian that spreads, constant metal, uneven cells",
    refined: "cells a side",
    unit: "% of the rise left",
    rows: [15, 30, 60].map(|n| row(n.to_string(), gaussian_error(n))).to_vec(),
});

/// A Gaussian that travels through the steel, and the heat that makes it do so.
/// It stays between 127 and 527 C, where conductivity and specific heat are
/// smooth.
struct Manufactured {
    /// Directions in which it varies, 1 or 3.
    directions: usize,
}

impl Manufactured {
    const LOW_C: f64 = 127.0;
    const RISE_K: f64 = 400.0;
    const DEVIATION_M: f64 = 4e-3;
    const FROM_M: f64 = 22e-3;
    const TRAVEL_M_S: f64 = 3e-3;
    const TIME_S: f64 = 2.0;
    const LENGTH_M: f64 = 52e-3;
    const SIDE_M: f64 = 20e-3;

    /// Offsets from the middle over the variance, and the rise, K.
    fn rise(&self, at: [f64; 3], time_s: f64) -> ([f64; 3], f64) {
        let mut off = [at[0] - Self::FROM_M - Self::TRAVEL_M_S * time_s, at[1], at[2]];
        off[self.directions..].fill(0.0);
        let variance = Self::DEVIATION_M * Self::DEVIATION_M;
        let far2: f64 = off.iter().map(|o| o * o).sum();
        (off.map(|o| o / variance), Self::RISE_K * (-0.5 * far2 / variance).exp())
    }

    fn temperature_k(&self, at: [f64; 3], time_s: f64) -> f64 {
        Self::LOW_C + 273.15 + self.rise(at, time_s).1
    }

    /// rho·c·dT/dt - div(k·grad T), W/m³, with the steel's curves as EN 1993-1-2
    /// gives them from 20 to 600 C.
    fn heat_w_m3(&self, at: [f64; 3], time_s: f64) -> f64 {
        let (off, rise) = self.rise(at, time_s);
        let t = Self::LOW_C + rise;
        let capacity = 7850.0 * (425.0 + 0.773 * t - 1.69e-3 * t * t + 2.22e-6 * t.powi(3));
        let (k, k_slope) = (54.0 - 0.0333 * t, -0.0333);
        let steep2: f64 = off.iter().map(|o| o * o).sum();
        let laplacian = rise * (steep2 - self.directions as f64 / (Self::DEVIATION_M * Self::DEVIATION_M));
        capacity * rise * off[0] * Self::TRAVEL_M_S - k * laplacian - k_slope * rise * rise * steep2
    }

    /// The solved block after `steps` steps on cells of `cell_m`.
    fn solved(&self, cell_m: f64, steps: usize) -> Result<Block, HeatError> {
        let count = |length_m: f64| (length_m / cell_m).round() as usize;
        let spans = vec![1; count(Self::LENGTH_M)];
        let side_m = if self.directions > 1 { Self::SIDE_M } else { cell_m };
        let side = even(side_m, count(side_m))?;
        let steel = Metal::CarbonSteel(CarbonSteel::REFERENCE);
        let mut block = Block::new(steel, &Losses::NONE, (cell_m, &spans), side.clone(), side)?;
        block.set_enthalpy(|cell| cell.mean(|at| steel.enthalpy_j_m3(self.temperature_k(at, 0.0))));
        let step_s = Self::TIME_S / steps as f64;
        for n in 0..steps {
            let middle_s = (n as f64 + 0.5) * step_s;
            let over_step = |at: [f64; 3]| -> f64 {
                GAUSS.iter().map(|(node, weight)| weight * self.heat_w_m3(at, middle_s + node * step_s)).sum()
            };
            block.heat(|cell| cell.mean(over_step));
            block.steps(1, step_s);
        }
        Ok(block)
    }

    /// Error against the manufactured field, of its rise.
    fn error(&self, cell_m: f64, steps: usize) -> Result<f64, HeatError> {
        let block = self.solved(cell_m, steps)?;
        let rms_k = block.rms_k(|cell| {
            let enthalpy = |at| block.engine.metal.enthalpy_j_m3(self.temperature_k(at, Self::TIME_S));
            block.engine.table.temperature_k(cell.mean(enthalpy))
        });
        Ok(1e2 * rms_k / Self::RISE_K)
    }

    /// Distance between the answers in `steps` and in twice as many steps.
    fn difference(&self, cell_m: f64, steps: usize) -> Result<f64, HeatError> {
        let (coarse, fine) = (self.solved(cell_m, steps)?, self.solved(cell_m, 2 * steps)?);
        Ok(1e2 * coarse.rms_k(|cell| fine.temperature_k(cell)) / Self::RISE_K)
    }
}

pub(super) static STEEL: LazyLock<Study> = LazyLock::new(|| Study {
    title: "manufactured solution, steel with k(T) and c(T), cells and steps halved together",
    refined: "cell",
    unit: "% of the rise",
    rows: [(4e-3, 12), (2e-3, 24), (1e-3, 48)]
        .map(|(cell_m, steps)| {
            row(format!("{} mm", cell_m * 1e3), Manufactured { directions: 3 }.error(cell_m, steps))
        })
        .to_vec(),
});

pub(super) static STEEL_IN_SPACE: LazyLock<Study> = LazyLock::new(|| {
    /// Leaves an error in time of a hundredth of that of the finest cell.
    const STEPS: usize = 600;
    Study {
        title: "the same along one direction, cells halved",
        refined: "cell",
        unit: "% of the rise",
        rows: [2e-3, 1e-3, 0.5e-3, 0.25e-3]
            .map(|cell_m| {
                row(format!("{} mm", cell_m * 1e3), Manufactured { directions: 1 }.error(cell_m, STEPS))
            })
            .to_vec(),
    }
});

pub(super) static STEEL_IN_TIME: LazyLock<Study> = LazyLock::new(|| Study {
    title: "the same along one direction, steps halved, against the answer in half the step",
    refined: "steps",
    unit: "% of the rise",
    rows: [8, 16, 32]
        .map(|n| row(n.to_string(), Manufactured { directions: 1 }.difference(0.25e-3, n)))
        .to_vec(),
});

/// Error of a mode of the grid after its natural time in `steps` steps, against
/// the exact answer of the cells, in which no error in space is left.
fn mode_error(steps: usize) -> Result<f64, HeatError> {
    const CELLS: usize = 64;
    const CELL_M: f64 = 0.5e-3;
    let mut block = Block::new(
        REFERENCE,
        &Losses::NONE,
        (CELL_M, &[1]),
        even(CELL_M, 1)?,
        even(CELLS as f64 * CELL_M, CELLS)?,
    )?;
    let wave = std::f64::consts::PI / (CELLS as f64 * CELL_M);
    let shape = |cell: &Cell| (wave * cell.centre()[2]).cos();
    let rate = 4.0 * REFERENCE_M2_S * ((0.5 * wave * CELL_M).sin() / CELL_M).powi(2);
    let time_s = 1.0 / rate;
    block.set(|cell| 800.0 + 400.0 * shape(cell));
    block.steps(steps, time_s / steps as f64);
    let left = 400.0 * (-1.0_f64).exp();
    Ok(1e2 * block.rms_k(|cell| 800.0 + left * shape(cell)) / left)
}

pub(super) static MODE_IN_TIME: LazyLock<Study> = LazyLock::new(|| Study {
    title: "mode of the grid, constant metal",
    refined: "steps",
    unit: "% of the rise left",
    rows: [4, 8, 16, 32].map(|n| row(n.to_string(), mode_error(n))).to_vec(),
});

#[test]
fn a_gaussian_converges_with_the_square_of_the_cell() {
    judge(&GAUSSIAN, SPACE);
}

#[test]
fn the_steel_converges_with_the_square_of_the_cell() {
    judge(&STEEL, SPACE);
    judge(&STEEL_IN_SPACE, SPACE);
}

#[test]
fn the_steel_converges_with_the_square_of_the_step() {
    judge(&STEEL_IN_TIME, TIME);
}

#[test]
fn a_mode_converges_with_the_square_of_the_step() {
    judge(&MODE_IN_TIME, TIME);
}
