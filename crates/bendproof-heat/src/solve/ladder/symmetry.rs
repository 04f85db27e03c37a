//! Symmetry and the maximum principle: a mirrored problem has the mirrored
//! answer, half a plate the answer of the whole, and nothing that only cools
//! grows hotter anywhere or colder than its surroundings.

use super::block::{Block, REFERENCE, even, stretched};
use crate::solve::HeatError;
use crate::solve::axis::Axis;
use crate::solve::engine::Losses;
use crate::solve::material::{CarbonSteel, Metal};

/// Two ways of adding the same four flows differ by roundings, 2e-13 K each;
/// some hundred stages of them.
const ROUND_OFF_K: f64 = 1e-8;

const STEEL: Metal = Metal::CarbonSteel(CarbonSteel::REFERENCE);
const LOSSES: Losses = Losses { convection_w_m2_k: 15.0, emissivity: 0.7, ambient_k: 293.15 };
const SPANS: [i64; 12] = [8, 4, 4, 2, 1, 1, 1, 1, 2, 2, 4, 4];
const FINE_M: f64 = 0.8e-3;
/// Middle of the slabs' length, m.
const MIDDLE_M: f64 = 13.6e-3;

/// A melted spot at one x and depth on the line y = 0, K.
fn spot(x_m: f64, [x, y, z]: [f64; 3]) -> f64 {
    let far2 = ((x - x_m) / 6e-3).powi(2) + (y / 4e-3).powi(2) + ((z - 1e-3) / 3e-3).powi(2);
    293.15 + 1700.0 * (-far2).exp()
}

fn rectangle(y: &Axis, z: &Axis) -> Vec<[f64; 2]> {
    let (y0, y1) = (y.edges_m()[0], y.edges_m()[y.cells()]);
    let (z0, z1) = (z.edges_m()[0], z.edges_m()[z.cells()]);
    vec![[y0, z0], [y1, z0], [y1, z1], [y0, z1]]
}

/// A section from the plane of symmetry, or all of it.
fn plate(is_half: bool, spans: &[i64]) -> Result<Block, HeatError> {
    let half = stretched(15e-3, 10, 4.0)?;
    let z = even(8e-3, 7)?;
    let mirrored = half.edges_m().iter().skip(1).rev().map(|e| -e);
    let y = if is_half {
        half.clone()
    } else {
        Axis::new(mirrored.chain(half.edges_m().iter().copied()).collect())?
    };
    let ring = rectangle(&y, &z);
    let mut block = Block::cut(STEEL, &LOSSES, (FINE_M, spans), (y, z), &[&[ring]], is_half)?;
    block.engine.ends_lose = true;
    Ok(block)
}

#[test]
fn half_a_plate_is_the_whole_one() -> Result<(), HeatError> {
    let (mut half, mut full) = (plate(true, &SPANS)?, plate(false, &SPANS)?);
    // Short enough that both take the least number of stages.
    let step_s = full.engine.explicit_step_s();
    for block in [&mut half, &mut full] {
        block.set(|cell| spot(MIDDLE_M, cell.centre()));
        block.steps(60, step_s);
        assert_eq!(block.engine.stages, 60 * 3);
    }
    let mut compared = 0;
    let sides = half.cells();
    for cell in full.cells() {
        let [x, y, z] = cell.centre();
        let is_same = |other: &[f64; 3]| {
            (other[0] - x).abs() + (other[1] - y.abs()).abs() + (other[2] - z).abs() < 1e-9
        };
        let Some(same) = sides.iter().find(|c| is_same(&c.centre())) else { continue };
        let off = (full.temperature_k(&cell) - half.temperature_k(same)).abs();
        assert!(off < ROUND_OFF_K, "{:?}: {off:.1e} K", cell.centre());
        compared += 1;
    }
    assert_eq!(compared, 2 * sides.len(), "every cell of the whole has its twin in the half");
    Ok(())
}

#[test]
fn a_plate_turned_end_for_end_has_the_turned_answer() -> Result<(), HeatError> {
    let turned: Vec<i64> = SPANS.iter().rev().copied().collect();
    let (mut one, mut other) = (plate(true, &SPANS)?, plate(true, &turned)?);
    let length_m = FINE_M * SPANS.iter().sum::<i64>() as f64;
    const SPOT_M: f64 = 9e-3;
    one.set(|cell| spot(SPOT_M, cell.centre()));
    other.set(|cell| spot(length_m - SPOT_M, cell.centre()));
    let step_s = 12.0 * one.engine.explicit_step_s();
    one.steps(30, step_s);
    other.steps(30, step_s);
    let per_slab = one.engine.cells_per_slab();
    let (a, b) = (one.cells(), other.cells());
    for (slabs, mirrored) in a.chunks(per_slab).zip(b.chunks(per_slab).rev()) {
        for (cell, twin) in slabs.iter().zip(mirrored) {
            let off = (one.temperature_k(cell) - other.temperature_k(twin)).abs();
            assert!(off < ROUND_OFF_K, "{:?}: {off:.1e} K", cell.centre());
        }
    }
    Ok(())
}

/// Coldest and hottest cell, K.
fn extremes(block: &Block) -> (f64, f64) {
    let all = block.cells();
    let temperatures = all.iter().map(|c| block.temperature_k(c));
    temperatures.fold((f64::INFINITY, 0.0), |(low, high), t| (t.min(low), t.max(high)))
}

/// Cools as a plate does after the arc: the first step short, each next one a
/// little longer.
#[test]
fn nothing_that_cools_grows_hotter_or_colder_than_its_surroundings() -> Result<(), HeatError> {
    const STEPS: i32 = 60;
    const GROWTH: f64 = 1.1;
    let mut block = plate(true, &SPANS)?;
    block.set(|cell| spot(MIDDLE_M, cell.centre()));
    // The table reads 20 C half a millikelvin low; that is the floor then.
    let (floor, mut high) = extremes(&block);
    let first_s = block.engine.explicit_step_s();
    for n in 0..STEPS {
        block.steps(1, first_s * GROWTH.powi(n));
        let (low, now) = extremes(&block);
        assert!(now < high + ROUND_OFF_K, "step {n}: {now} K after {high} K");
        assert!(low > floor.min(LOSSES.ambient_k) - ROUND_OFF_K, "step {n}: {low} K, at first {floor} K");
        high = now;
    }
    assert!(high < 1000.0, "it did cool, to {high} K");
    Ok(())
}

/// The roughest field there is. A long step of second order cannot keep every
/// extreme of it; how far the first goes under is bounded, the last is gone.
#[test]
fn one_hot_cell_hardly_undershoots() -> Result<(), HeatError> {
    const RISE_K: f64 = 1000.0;
    /// Of the rise. The worst seen is 3.9 %, three explicit steps long.
    const UNDER: f64 = 0.05;
    for (ratio, under) in [(0.4, 0.0), (3.0, UNDER), (30.0, UNDER), (300.0, UNDER)] {
        let side = even(15e-3, 15)?;
        let mut block = Block::new(REFERENCE, &Losses::NONE, (1e-3, &[1; 15]), side.clone(), side)?;
        let is_hot = |c: [f64; 3]| c.iter().all(|x| (x - 7.5e-3).abs() < 0.4e-3);
        block.set(|cell| 293.15 + if is_hot(cell.centre()) { RISE_K } else { 0.0 });
        block.steps(1, ratio * block.engine.explicit_step_s());
        let (low, high) = extremes(&block);
        assert!(low > 293.15 - under * RISE_K - ROUND_OFF_K, "{ratio}: {} K", low - 293.15);
        assert!(high < 293.15 + RISE_K + ROUND_OFF_K, "{ratio}: {high} K");
    }
    Ok(())
}
