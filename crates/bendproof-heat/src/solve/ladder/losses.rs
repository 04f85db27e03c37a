//! What a free face loses, on a lump: one cell, whose temperature is then the
//! answer of a textbook's ordinary differential equation.

use super::block::{Block, REFERENCE, even};
use crate::solve::HeatError;
use crate::solve::engine::{Losses, STEFAN_BOLTZMANN_W_M2_K4};

/// A lump of 4 x 3 x 5 mm.
const SIZE_M: [f64; 3] = [4e-3, 3e-3, 5e-3];
/// Heat per volume over outer surface and volume, J/(m²·K).
fn inertia() -> f64 {
    let [x, y, z] = SIZE_M;
    7800.0 * 600.0 * x * y * z / (2.0 * (x * y + y * z + z * x))
}

const START_K: f64 = 1300.0;

/// Temperature of the lump after `steps` steps of `step_s`, K.
fn cooled_k(losses: &Losses, steps: usize, step_s: f64) -> Result<f64, HeatError> {
    let axes = (even(SIZE_M[1], 1)?, even(SIZE_M[2], 1)?);
    let mut block = Block::new(REFERENCE, losses, (SIZE_M[0], &[1]), axes.0, axes.1)?;
    block.engine.ends_lose = true;
    block.set(|_| START_K);
    block.steps(steps, step_s);
    let error = block.engine.row_content_j() - block.engine.tally.carried_j + block.engine.tally.lost_j;
    assert!(error.abs() < 1e-10 * block.engine.tally.lost_j, "the balance is off by {error} J");
    let [cell] = block.cells()[..] else { return Ok(f64::NAN) };
    Ok(block.temperature_k(&cell))
}

/// A hundred steps of second order over two natural times leave 1e-4.
const WITHIN: f64 = 3e-4;

#[test]
fn convection_cools_a_lump_exponentially() -> Result<(), HeatError> {
    let losses = Losses { convection_w_m2_k: 400.0, emissivity: 0.0, ambient_k: 293.15 };
    let time_s = 2.0 * inertia() / losses.convection_w_m2_k;
    let left = (cooled_k(&losses, 100, time_s / 100.0)? - losses.ambient_k) / (START_K - losses.ambient_k);
    assert!((left / (-2.0_f64).exp() - 1.0).abs() < WITHIN, "{left}");
    Ok(())
}

/// Time for a lump to radiate from one temperature to another, s: the integral
/// of inertia/(εσ(T⁴ - Ta⁴)) in closed form.
fn radiated_s(from_k: f64, to_k: f64, emissivity: f64, ambient_k: f64) -> f64 {
    let antiderivative = |t: f64| {
        let ratio = t / ambient_k;
        0.25 * ((ratio - 1.0) / (ratio + 1.0)).ln() - 0.5 * ratio.atan()
    };
    (antiderivative(from_k) - antiderivative(to_k)) * inertia()
        / (emissivity * STEFAN_BOLTZMANN_W_M2_K4 * ambient_k.powi(3))
}

#[test]
fn radiation_cools_a_lump_as_its_fourth_power_says() -> Result<(), HeatError> {
    let losses = Losses { convection_w_m2_k: 0.0, emissivity: 0.8, ambient_k: 300.0 };
    for to_k in [1000.0, 600.0, 400.0] {
        let time_s = radiated_s(START_K, to_k, losses.emissivity, losses.ambient_k);
        let got_k = cooled_k(&losses, 400, time_s / 400.0)?;
        assert!(((got_k - to_k) / (START_K - to_k)).abs() < WITHIN, "{to_k}: {got_k}");
    }
    Ok(())
}
