//! Reference problem P3: the cross-section of a V groove, two beads, the second
//! born at 117 s, against the finite-element answer kept in `checks/heat/`.
//!
//! One slab, so that nothing flows along the weld. It is the only rung with
//! slanted walls, growing metal and losses from a groove at once; one other
//! code stands behind the reference.

use super::block::Block;
use crate::solve::HeatError;
use crate::solve::axis::Axis;
use crate::solve::engine::Losses;
use crate::solve::material::{CarbonSteel, Metal};
use crate::solve::region::Ring;
use crate::solve::state::State;
use crate::solve::trace::Trace;

const TABLE: &str = include_str!("../../../../../checks/heat/p3_reference.csv");

/// Where the reference is read, mm: half width and depth from the welded face.
const POINTS: [(&str, [f64; 2]); 10] = [
    ("toe2", [8.678, 0.0]),
    ("hz5", [12.678, 0.0]),
    ("mid", [4.809, 6.7]),
    ("mid3", [6.809, 6.7]),
    ("root", [2.5, 12.7]),
    ("under10", [10.0, 12.7]),
    ("top20", [20.0, 0.0]),
    ("c_top", [0.0, 0.0]),
    ("c_mid", [0.0, 6.7]),
    ("c_root", [0.0, 12.7]),
];

/// When the beads are hottest and how long that lasts (mean and standard
/// deviation), s; heat of each, J/m; birth of the second and end, s.
const MEAN_S: [f64; 2] = [5.0, 120.0];
const DEVIATION_S: f64 = 0.7;
const HEAT_J_M: [f64; 2] = [700e3, 1500e3];
const BORN_S: f64 = 117.0;
const END_S: f64 = 300.0;
const START_K: f64 = 293.15;
const THICKNESS_M: f64 = 12.7e-3;

/// Groove, first and second bead, on the half section, m.
fn rings() -> (Ring, Ring, Ring) {
    let slope = 30.0_f64.to_radians().tan();
    let wall = |z_mm: f64| 1.5 + (10.7 - z_mm) * slope;
    let mm = |points: &[[f64; 2]]| points.iter().map(|p| p.map(|x| x * 1e-3)).collect::<Ring>();
    let plate = mm(&[[wall(0.0), 0.0], [75.0, 0.0], [75.0, 12.7], [1.5, 12.7], [1.5, 10.7]]);
    let first = mm(&[[0.0, 6.7], [wall(6.7), 6.7], [1.5, 10.7], [1.5, 12.7], [0.0, 12.7]]);
    let second = mm(&[[0.0, 0.0], [wall(0.0), 0.0], [wall(6.7), 6.7], [0.0, 6.7]]);
    (plate, first, second)
}

fn axes(cell_m: f64) -> Result<(Axis, Axis), HeatError> {
    let y = Axis::fitted((0.0, 75e-3), &[0.0, 1.5e-3, 13e-3], cell_m, 1.2, 6e-3)?;
    let z = Axis::fitted((0.0, 12.7e-3), &[0.0, 6.7e-3, 10.7e-3, 12.7e-3], cell_m, 1.0, cell_m)?;
    Ok((y, z))
}

/// Cells this near a place tell of its temperature, in cells: two rows on either
/// side of a place on an edge.
const NEAR: f64 = 1.6;

struct Run {
    block: Block,
    /// Shares of each bead in the cells, by area of the cell's metal.
    beads: [Vec<f64>; 2],
    traces: Vec<Trace>,
    time_s: f64,
}

impl Run {
    fn new(cell_m: f64) -> Result<Self, HeatError> {
        let (plate, first, second) = rings();
        let (y, z) = axes(cell_m)?;
        let steel = Metal::CarbonSteel(CarbonSteel::REFERENCE);
        let losses = Losses { convection_w_m2_k: 15.0, emissivity: 0.7, ambient_k: START_K };
        let of = |ring: &Ring| State::new(std::slice::from_ref(ring), &y, &z, true).fraction;
        let beads = [of(&first), of(&second)];
        let before = [plate.clone(), first.clone()];
        let after = [plate, first, second];
        // One slab a metre long; heat is told per metre then.
        let mut block = Block::cut(steel, &losses, (1.0, &[1]), (y, z), &[&before, &after], true)?;
        block.set_metal(START_K);
        Ok(Self { block, beads, traces: vec![Trace::default(); POINTS.len()], time_s: 0.0 })
    }

    /// Mean power of a bead over a step, W/m of the half section.
    fn power_w_m(bead: usize, from_s: f64, to_s: f64) -> f64 {
        let scaled = |t: f64| libm::erf((t - MEAN_S[bead]) / (DEVIATION_S * 2.0_f64.sqrt()));
        0.5 * HEAT_J_M[bead] * 0.5 * (scaled(to_s) - scaled(from_s)) / (to_s - from_s)
    }

    fn heat(&mut self, until_s: f64) {
        let state = &self.block.engine.states[self.block.engine.row[0].state];
        let mut heat_w_m3 = vec![0.0; state.fraction.len()];
        let y = &self.block.engine.y;
        for (bead, shares) in self.beads.iter().enumerate() {
            let area = |c: usize| y.width_m(c % y.cells()) * self.block.engine.z.width_m(c / y.cells());
            let bead_m2: f64 = shares.iter().enumerate().map(|(c, f)| f * area(c)).sum();
            let per_m3 = Self::power_w_m(bead, self.time_s, until_s) / bead_m2;
            for (c, share) in shares.iter().enumerate().filter(|(c, _)| state.fraction[*c] > 0.0) {
                heat_w_m3[c] += per_m3 * share / state.fraction[c];
            }
        }
        let cells = self.block.cells();
        let first = cells[0].index();
        self.block.heat(|cell| heat_w_m3[cell.index() - first]);
    }

    /// Temperature at a place from the metal cells nearest to it: the plane of
    /// least squares, weighted by nearness, K.
    fn read_k(&self, [y_m, z_m]: [f64; 2]) -> f64 {
        let engine = &self.block.engine;
        let fraction = &engine.states[engine.row[0].state].fraction;
        let cells = self.block.cells();
        let (mut m, mut r) = ([[0.0; 3]; 3], [0.0; 3]);
        for (cell, share) in cells.iter().zip(fraction).filter(|(_, f)| **f > 0.0) {
            let [_, y, z] = cell.centre();
            let [_, wide, deep] = cell.size();
            // Cells are mirrored in the plane of symmetry and the two faces.
            for (y, z) in [-y, y].into_iter().flat_map(|y| [-z, z, 2.0 * THICKNESS_M - z].map(|z| (y, z))) {
                let (dy, dz) = ((y - y_m) / wide, (z - z_m) / deep);
                if dy.abs().max(dz.abs()) < NEAR {
                    // A cell that is partly metal tells of a place beside its centre.
                    let weight = share * share * (-2.0 * (dy * dy + dz * dz)).exp();
                    let row = [1.0, dy, dz];
                    for i in 0..3 {
                        r[i] += weight * row[i] * self.block.temperature_k(cell);
                        (0..3).for_each(|j| m[i][j] += weight * row[i] * row[j]);
                    }
                }
            }
        }
        solved_first(m, r)
    }

    fn to(&mut self, until_s: f64) {
        self.heat(until_s);
        self.block.steps(1, until_s - self.time_s);
        self.time_s = until_s;
        for (n, (_, place)) in POINTS.iter().enumerate() {
            let kelvin = self.read_k(place.map(|x| x * 1e-3));
            self.traces[n].push(until_s, kelvin);
        }
    }

    /// Steps of 0.02 s under the arc, up to a second in between.
    fn all(&mut self) {
        while self.time_s < END_S {
            if self.time_s == BORN_S {
                let born = self.block.engine.metal.enthalpy_j_m3(START_K);
                self.block.engine.grow(0, 1, born);
                self.block.engine.link();
            }
            let since_s = MEAN_S.iter().map(|mean| (self.time_s - mean).abs() - 4.0 * DEVIATION_S);
            let step_s = (0.1 * since_s.fold(f64::INFINITY, f64::min)).clamp(0.03, 1.0);
            let next_s = self.time_s + step_s;
            self.to(if self.time_s < BORN_S { next_s.min(BORN_S) } else { next_s.min(END_S) });
        }
    }
}

/// First unknown of three equations, by Cramer's rule.
fn solved_first(m: [[f64; 3]; 3], r: [f64; 3]) -> f64 {
    let determinant = |a: [f64; 3], b: [f64; 3], c: [f64; 3]| {
        a[0] * (b[1] * c[2] - b[2] * c[1]) - a[1] * (b[0] * c[2] - b[2] * c[0])
            + a[2] * (b[0] * c[1] - b[1] * c[0])
    };
    let with = |n: usize| [r[n], m[n][1], m[n][2]];
    determinant(with(0), with(1), with(2)) / determinant(m[0], m[1], m[2])
}

/// A scalar of the table; `None` where the point was not metal or not hot enough.
fn tabled(name: &str) -> Option<f64> {
    let is_row = |line: &&str| line.split(',').nth(1) == Some(name);
    TABLE.lines().find(is_row)?.split(',').nth(3)?.parse().ok()
}

/// The part of a history after `from_s`.
fn after(trace: &Trace, from_s: f64, until_s: f64) -> Trace {
    let mut part = Trace::default();
    for (time_s, kelvin) in trace.time_s.iter().zip(&trace.temperature_k) {
        if (from_s..until_s).contains(time_s) && kelvin.is_finite() {
            part.push(*time_s, *kelvin);
        }
    }
    part.close();
    part
}

/// As far as the reference trusts itself: a kelvin or half a percent of the rise.
const KELVIN: f64 = 1.0;
const OF_RISE: f64 = 5e-3;
/// Of a cooling time; its ends are crossed within a step.
const OF_TIME: f64 = 1e-2;

#[test]
fn two_beads_in_a_groove_are_those_of_the_finite_elements() -> Result<(), HeatError> {
    const CELL_M: f64 = 0.25e-3;
    let mut run = Run::new(CELL_M)?;
    run.all();
    let mut compared = 0;
    for (trace, (point, _)) in run.traces.iter().zip(POINTS) {
        let parts = [after(trace, 0.0, BORN_S), after(trace, BORN_S + 0.5, f64::INFINITY)];
        let mut temperatures = Vec::new();
        for (n, part) in parts.iter().enumerate() {
            temperatures.push((format!("peak_p{}_{point}", n + 1), part.peak_k));
            if let (Some(got_s), Some(tabled_s)) = (part.t85_s, tabled(&format!("t85_p{}_{point}", n + 1))) {
                assert!((got_s / tabled_s - 1.0).abs() < OF_TIME, "{point} {n}: {got_s} s, {tabled_s} s");
                compared += 1;
            }
        }
        let last = |part: &Trace| part.temperature_k.last().copied().unwrap_or(f64::NAN);
        temperatures.push((format!("Tinterpass_{point}"), last(&parts[0])));
        temperatures.push((format!("T300_{point}"), last(&parts[1])));
        for (name, got_k) in temperatures {
            let Some(tabled_c) = tabled(&name) else { continue };
            let slack_k = KELVIN.max(OF_RISE * (tabled_c - 20.0));
            let off_k = got_k - 273.15 - tabled_c;
            assert!(off_k.abs() < slack_k, "{name}: off by {off_k:.2} K from {tabled_c} C");
            compared += 1;
        }
    }
    assert_eq!(compared, FIGURES, "figures of the table compared");
    let error = run.block.engine.energy_error();
    assert!(error < 1e-11, "energy {error:.1e}");
    Ok(())
}

/// Figures of the table that are temperatures or cooling times.
const FIGURES: usize = 46;
