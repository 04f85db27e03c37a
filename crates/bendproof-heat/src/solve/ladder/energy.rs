//! Energy: what the metal holds is what it held, got and lost, to round-off,
//! through heating, melting, losses, splitting, joining and growth.

use super::block::{Block, REFERENCE, even};
use crate::solve::HeatError;
use crate::solve::axis::Axis;
use crate::solve::engine::Losses;
use crate::solve::material::{CarbonSteel, Metal};
use crate::solve::region::Ring;
use crate::solve::slabs::Zone;

/// Share of the heat brought in. The fluxes cancel in pairs, so only round-off
/// is left, whatever the metal; some thousand stages of it.
const BALANCE: f64 = 1e-11;

const FINE_M: f64 = 0.5e-3;
const START_K: f64 = 320.0;
/// Temperature at which new metal enters, K.
const BIRTH_K: f64 = 2100.0;

/// A plate with a V groove, and the bead that fills half of it.
fn makes() -> ([Ring; 2], Ring) {
    let mm = |points: &[[f64; 2]]| points.iter().map(|p| p.map(|x| x * 1e-3)).collect::<Ring>();
    let left = mm(&[[0.0, 0.0], [3.1, 0.0], [5.6, 4.3], [5.6, 6.0], [0.0, 6.0]]);
    let right = mm(&[[8.9, 0.0], [12.0, 0.0], [12.0, 6.0], [6.4, 6.0], [6.4, 4.3]]);
    let bead = mm(&[[4.5, 2.4], [7.5, 2.4], [6.4, 4.3], [6.4, 6.0], [5.6, 6.0], [5.6, 4.3]]);
    ([left, right], bead)
}

/// Lays a bead along the block under a small arc; gives what the test itself
/// counted: J brought by the arc and J in new metal.
fn lay(block: &mut Block, bare: &[f64], filled: &[f64]) -> Result<(f64, f64), HeatError> {
    const STEPS: usize = 60;
    const TRAVEL_CELLS: f64 = 0.7;
    let (mut arc_j, mut born_j) = (0.0, 0.0);
    let birth_j_m3 = block.engine.metal.enthalpy_j_m3(BIRTH_K);
    let (y, z) = (block.engine.y.clone(), block.engine.z.clone());
    let areas: Vec<f64> =
        (0..y.cells() * z.cells()).map(|c| y.width_m(c % y.cells()) * z.width_m(c / y.cells())).collect();
    for n in 0..STEPS {
        let arc = 10.0 + TRAVEL_CELLS * n as f64;
        block.engine.adapt(&Zone { arc, ahead: 4.0, behind: 7.0, span_least: 1 })?;
        for i in 0..block.engine.row.len() {
            let slab = block.engine.row[i];
            if slab.state == 0 && slab.end() as f64 <= arc && slab.start >= 8 {
                let length_m = slab.span as f64 * FINE_M;
                let grown = bare.iter().zip(filled).zip(&areas).map(|((a, b), area)| (b - a) * area);
                born_j += birth_j_m3 * length_m * grown.sum::<f64>();
                block.engine.grow(i, 1, birth_j_m3);
            }
        }
        block.engine.link();
        let near = |at: f64, to: f64, wide: f64| (-((at - to) / wide).powi(2)).exp();
        block.heat(|cell| {
            let [x, y, z] = cell.centre();
            6e9 * near(x, arc * FINE_M, 2e-3) * near(y, 6e-3, 3e-3) * near(z, 2e-3, 2e-3)
        });
        let step_s = 9.0 * block.engine.explicit_step_s();
        let before_j = block.engine.tally.brought_j;
        block.steps(1, step_s);
        arc_j += block.engine.tally.brought_j - before_j;
    }
    Ok((arc_j, born_j))
}

fn grooved(metal: Metal, losses: &Losses) -> Result<(Block, Vec<f64>, Vec<f64>), HeatError> {
    let ([left, right], bead) = makes();
    let (y, z) = (even(12e-3, 24)?, even(6e-3, 12)?);
    let fractions =
        |rings: &[Ring], y: &Axis, z: &Axis| crate::solve::state::State::new(rings, y, z, false).fraction;
    let base = [left.clone(), right.clone()];
    let whole = [left, right, bead];
    let (bare, filled) = (fractions(&base, &y, &z), fractions(&whole, &y, &z));
    let mut block = Block::cut(metal, losses, (FINE_M, &[8; 10]), (y, z), &[&base, &whole], false)?;
    block.engine.ends_lose = true;
    block.set_metal(START_K);
    Ok((block, bare, filled))
}

#[test]
fn a_linear_weld_keeps_its_heat_to_round_off() -> Result<(), HeatError> {
    let (mut block, bare, filled) = grooved(REFERENCE, &Losses::NONE)?;
    let before_j = block.engine.row_content_j();
    let (arc_j, born_j) = lay(&mut block, &bare, &filled)?;
    let got_j = block.engine.row_content_j() - before_j;
    let error = got_j / (arc_j + born_j) - 1.0;
    assert!(error.abs() < BALANCE, "{error:.1e} of {got_j} J");
    assert!(block.engine.energy_error() < BALANCE, "{:.1e}", block.engine.energy_error());
    assert!(arc_j > 50.0 && born_j > 50.0, "both kinds of heat were there: {arc_j} J, {born_j} J");
    Ok(())
}

#[test]
fn a_melting_weld_that_loses_heat_keeps_its_balance_too() -> Result<(), HeatError> {
    let losses = Losses { convection_w_m2_k: 300.0, emissivity: 0.8, ambient_k: 293.15 };
    let (mut block, bare, filled) = grooved(Metal::CarbonSteel(CarbonSteel::REFERENCE), &losses)?;
    let before_j = block.engine.row_content_j();
    let (arc_j, born_j) = lay(&mut block, &bare, &filled)?;
    let lost_j = block.engine.tally.lost_j;
    let error = (block.engine.row_content_j() - before_j + lost_j) / (arc_j + born_j) - 1.0;
    assert!(error.abs() < BALANCE, "{error:.1e}");
    assert!(block.engine.energy_error() < BALANCE, "{:.1e}", block.engine.energy_error());
    assert!(lost_j > 1.0, "something was lost: {lost_j} J");
    let hottest = block.cells().iter().map(|c| block.temperature_k(c)).fold(0.0, f64::max);
    assert!(hottest > CarbonSteel::REFERENCE.liquidus_c + 273.15, "something melted: {hottest} K");
    Ok(())
}

/// The arc's heat is what its cells were given, by volume of metal and time.
#[test]
fn the_heat_brought_is_the_heat_asked_for() -> Result<(), HeatError> {
    const POWER_W_M3: f64 = 3e9;
    const STEP_S: f64 = 0.05;
    let (mut block, bare, _) = grooved(REFERENCE, &Losses::NONE)?;
    block.heat(|_| POWER_W_M3);
    let before_j = block.engine.row_content_j();
    block.steps(5, STEP_S);
    let metal_m3 = bare.iter().sum::<f64>() * FINE_M.powi(3) * 80.0;
    let asked_j = POWER_W_M3 * metal_m3 * 5.0 * STEP_S;
    assert!((block.engine.tally.brought_j / asked_j - 1.0).abs() < BALANCE);
    assert!(((block.engine.row_content_j() - before_j) / asked_j - 1.0).abs() < BALANCE);
    Ok(())
}
