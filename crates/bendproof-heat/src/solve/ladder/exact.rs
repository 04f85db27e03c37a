//! What the scheme must do exactly, to round-off: linear potentials on any
//! grid, quadratics and the modes of an even one, and slabs split and joined.

use super::block::{Block, Cell, REFERENCE, REFERENCE_M2_S, even, stretched};
use crate::solve::HeatError;
use crate::solve::engine::Losses;
use crate::solve::kernel::stages;
use crate::solve::material::{CarbonSteel, Metal};
use crate::solve::slabs::Zone;

/// Round-off of a temperature, K: some thousand roundings of a field near
/// 1000 K, 2e-13 K each; the table's own straightness is of the same size.
const ROUND_OFF_K: f64 = 1e-8;

/// Slabs of every span, thin ones in the middle.
const SPANS: [i64; 12] = [8, 8, 4, 2, 1, 1, 1, 1, 2, 4, 8, 8];
const FINE_M: f64 = 0.7e-3;

/// A block with cells of unequal size in all three directions.
fn uneven(metal: Metal) -> Result<Block, HeatError> {
    Block::new(metal, &Losses::NONE, (FINE_M, &SPANS), stretched(21e-3, 14, 5.0)?, stretched(13e-3, 9, 0.3)?)
}

/// Heat that makes up for closed ends, W/m³: what flows in through the far
/// faces and out through the near ones, W/m².
fn through_ends(cell: &Cell, ends_m: [f64; 3], (near, far): ([f64; 3], [f64; 3])) -> f64 {
    let size = cell.size();
    let of = |d: usize| {
        let enters = if cell.high[d] > ends_m[d] - 0.1 * size[d] { far[d] } else { 0.0 };
        let leaves = if cell.low[d] < 0.1 * size[d] { near[d] } else { 0.0 };
        (enters - leaves) / size[d]
    };
    (0..3).map(of).sum()
}

fn ends_m(block: &Block) -> [f64; 3] {
    let cells = block.cells();
    std::array::from_fn(|d| cells.iter().map(|c| c.high[d]).fold(0.0, f64::max))
}

#[test]
fn a_linear_potential_stays_whatever_the_cells_and_the_conductivity() -> Result<(), HeatError> {
    const FLUX_W_M2: [f64; 3] = [0.5e6, -0.7e6, 0.9e6];
    for metal in [REFERENCE, Metal::CarbonSteel(CarbonSteel::REFERENCE)] {
        let mut block = uneven(metal)?;
        let table = block.engine.table.clone();
        // The enthalpy at a potential, by halving.
        let at = |potential_w_m: f64| {
            let (mut low, mut high) = (metal.enthalpy_j_m3(250.0), metal.enthalpy_j_m3(2500.0));
            for _ in 0..80 {
                let middle = 0.5 * (low + high);
                let above = table.potential_w_m(middle) > potential_w_m;
                (low, high) = if above { (low, middle) } else { (middle, high) };
            }
            0.5 * (low + high)
        };
        let potential = |c: [f64; 3]| 25e3 + (0..3).map(|d| FLUX_W_M2[d] * c[d]).sum::<f64>();
        block.set_enthalpy(|cell| at(potential(cell.centre())));
        let before: Vec<f64> = block.cells().iter().map(|c| block.temperature_k(c)).collect();
        assert!(before.iter().all(|t| (300.0..2400.0).contains(t)), "the field stays on the table");
        let ends = ends_m(&block);
        block.heat(|cell| through_ends(cell, ends, (FLUX_W_M2, FLUX_W_M2)));
        block.steps(20, 25.0 * block.engine.explicit_step_s());
        let now: Vec<f64> = block.cells().iter().map(|c| block.temperature_k(c)).collect();
        let worst = before.iter().zip(&now).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
        assert!(worst < ROUND_OFF_K, "{metal:?}: {worst:.1e} K");
    }
    Ok(())
}

#[test]
fn a_quadratic_warms_evenly() -> Result<(), HeatError> {
    const BEND_K_M2: [f64; 3] = [2e5, -3e5, 5e5];
    let mut block =
        Block::new(REFERENCE, &Losses::NONE, (1e-3, &[1; 16]), even(12e-3, 15)?, even(9e-3, 10)?)?;
    let field = |c: [f64; 3], time_s: f64| {
        let warmed = 2.0 * REFERENCE_M2_S * time_s;
        600.0 + (0..3).map(|d| BEND_K_M2[d] * (c[d] * c[d] + warmed)).sum::<f64>()
    };
    block.set(|cell| field(cell.centre(), 0.0));
    let ends = ends_m(&block);
    // The slope is zero at the near ends, so heat enters through the far ones only.
    let far = std::array::from_fn(|d| 41.0 * 2.0 * BEND_K_M2[d] * ends[d]);
    block.heat(|cell| through_ends(cell, ends, ([0.0; 3], far)));
    let step_s = 40.0 * block.engine.explicit_step_s();
    block.steps(10, step_s);
    let worst = block.worst_k(|cell| field(cell.centre(), 10.0 * step_s));
    assert!(worst < ROUND_OFF_K, "{worst:.1e} K");
    Ok(())
}

/// Growth of a mode in one step with `count` stages, `z` its rate times the
/// step: 1 - b + b·P(1 + 4z/(s² + s - 2)) with the Legendre polynomial of degree
/// s (Meyer, Balsara and Aslam, J. Comput. Phys. 257 (2014) 594), by a way that
/// has nothing in common with the stages.
fn growth(count: usize, z: f64) -> f64 {
    let s = count as f64;
    let wide = s * s + s - 2.0;
    let x = 1.0 + 4.0 * z / wide;
    let (mut before, mut legendre) = (1.0, x);
    for j in 1..count {
        let j = j as f64;
        (before, legendre) = (legendre, ((2.0 * j + 1.0) * x * legendre - j * before) / (j + 1.0));
    }
    let b = wide / (2.0 * s * (s + 1.0));
    1.0 - b + b * legendre
}

#[test]
fn a_mode_of_the_grid_falls_as_the_scheme_says() -> Result<(), HeatError> {
    const CELLS: [usize; 3] = [16, 12, 10];
    const SIZE_M: [f64; 3] = [1e-3, 0.8e-3, 1.3e-3];
    let length = |d: usize| CELLS[d] as f64 * SIZE_M[d];
    for waves in [[1, 0, 2], [5, 3, 0], [15, 11, 9]] {
        for ratio in [0.3, 4.0, 60.0] {
            let y = even(length(1), CELLS[1])?;
            let z = even(length(2), CELLS[2])?;
            let mut block = Block::new(REFERENCE, &Losses::NONE, (SIZE_M[0], &[1; 16]), y, z)?;
            let shape = |cell: &Cell| -> f64 {
                let c = cell.centre();
                let angle = |d: usize| std::f64::consts::PI * f64::from(waves[d]) * c[d] / length(d);
                (0..3).map(|d| angle(d).cos()).product()
            };
            block.set(|cell| 800.0 + 300.0 * shape(cell));
            let rate = |d: usize| {
                let half = 0.5 * std::f64::consts::PI * f64::from(waves[d]) / CELLS[d] as f64;
                -4.0 * REFERENCE_M2_S * (half.sin() / SIZE_M[d]).powi(2)
            };
            let step_s = ratio * block.engine.explicit_step_s();
            let left = growth(stages(ratio), step_s * (0..3).map(rate).sum::<f64>());
            block.steps(1, step_s);
            let worst = block.worst_k(|cell| 800.0 + 300.0 * left * shape(cell));
            assert!(worst < ROUND_OFF_K, "{waves:?} at {ratio}: {worst:.1e} K");
        }
    }
    Ok(())
}

#[test]
fn slabs_split_and_joined_keep_a_linear_field_and_all_heat() -> Result<(), HeatError> {
    const HEAT: f64 = 1e-13;
    let mut block =
        Block::new(REFERENCE, &Losses::NONE, (FINE_M, &[8; 12]), stretched(9e-3, 5, 3.0)?, even(5e-3, 4)?)?;
    let field = |cell: &Cell| {
        let [x, y, z] = cell.centre();
        400.0 + 9e3 * x + 2e4 * y - 1e4 * z
    };
    block.set(field);
    let before_j = block.engine.row_content_j();
    let near = Zone { arc: 48.0, ahead: 6.0, behind: 9.0, span_least: 1 };
    let mut spans = Vec::new();
    for zone in [near, Zone { arc: 40.0, ..near }, Zone { arc: 55.0, ..near }, Zone { span_least: 8, ..near }]
    {
        block.engine.adapt(&zone)?;
        spans.push(block.engine.row.len());
        let worst = block.worst_k(field);
        assert!(worst < ROUND_OFF_K, "{zone:?}: {worst:.1e} K");
        let kept = block.engine.row_content_j() / before_j - 1.0;
        assert!(kept.abs() < HEAT, "{zone:?}: {kept:.1e} of the heat");
    }
    assert!(spans[0] > 20 && spans[3] == 12, "slabs were split and joined again: {spans:?}");
    Ok(())
}
