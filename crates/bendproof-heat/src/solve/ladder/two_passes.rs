//! The reference problem P3: two passes of metal that appears in a V groove,
//! in the plane of the section, against another code's answer.
//!
//! Its heat is spread evenly over the bead being laid and comes and goes in time
//! like a normal density, so the engine is driven here without an arc.

use crate::solve::axis::Axis;
use crate::solve::engine::{Engine, Losses};
use crate::solve::material::{CarbonSteel, Metal};
use crate::solve::region::Ring;
use crate::solve::spot;
use crate::solve::state::State;
use crate::solve::trace::Trace;

const REFERENCE: &str = include_str!("../../../../../checks/heat/p3_reference.csv");
const THICK_M: f64 = 12.7e-3;
const WIDE_M: f64 = 75e-3;
const LAND_M: f64 = 2e-3;
/// Where the first pass ends and the second begins, below the welded face.
const BETWEEN_M: f64 = 6.7e-3;
/// When the metal of the second pass appears, and when all ends, s.
const BORN_S: f64 = 117.0;
const END_S: f64 = 300.0;
const START_K: f64 = 293.15;
const ZERO_CELSIUS_K: f64 = 273.15;

/// A pass: its heat, J/m, and when it comes, s.
struct Pass {
    heat_j_m: f64,
    at_s: f64,
}

const PASSES: [Pass; 2] = [Pass { heat_j_m: 700e3, at_s: 5.0 }, Pass { heat_j_m: 1500e3, at_s: 120.0 }];
/// Standard deviation of the heat in time, s.
const SPREAD_S: f64 = 0.7;

/// Points by name: y from the middle, z from the welded face, mm.
const POINTS: [(&str, f64, f64); 10] = [
    ("toe2", 8.678, 0.0),
    ("hz5", 12.678, 0.0),
    ("mid", 4.809, 6.7),
    ("mid3", 6.809, 6.7),
    ("root", 2.5, 12.7),
    ("under10", 10.0, 12.7),
    ("top20", 20.0, 0.0),
    ("c_top", 0.0, 0.0),
    ("c_mid", 0.0, 6.7),
    ("c_root", 0.0, 12.7),
];

fn half_width_m(z_m: f64) -> f64 {
    1.5e-3 + 30f64.to_radians().tan() * (THICK_M - LAND_M - z_m).max(0.0)
}

fn rings() -> (Ring, Ring, Ring) {
    let knee_m = THICK_M - LAND_M;
    let wall = |z: f64| [half_width_m(z), z];
    let plate = vec![wall(0.0), [WIDE_M, 0.0], [WIDE_M, THICK_M], wall(THICK_M), wall(knee_m)];
    let first = vec![[0.0, BETWEEN_M], wall(BETWEEN_M), wall(knee_m), wall(THICK_M), [0.0, THICK_M]];
    let second = vec![[0.0, 0.0], wall(0.0), wall(BETWEEN_M), [0.0, BETWEEN_M]];
    (plate, first, second)
}

/// Half section: the plate, with the first pass, with both; and the share of
/// each cell's metal that the pass being heated makes up.
struct Section {
    engine: Engine,
    share: [Vec<f64>; 2],
    metal_m2: [f64; 2],
}

impl Section {
    fn new(cell_m: f64) -> Self {
        let y = Axis::fitted((0.0, WIDE_M), &[0.0, 1.5e-3, 12e-3], cell_m, 1.2, 4e-3).unwrap();
        let marks = [0.0, BETWEEN_M, THICK_M - LAND_M, THICK_M];
        let z = Axis::fitted((0.0, THICK_M), &marks, cell_m, 1.2, cell_m).unwrap();
        let (plate, first, second) = rings();
        let makes = [vec![plate.clone()], vec![plate.clone(), first.clone()], vec![plate, first, second]]
            .map(|rings| State::new(&rings, &y, &z, true));
        let added = |a: &State, b: &State| -> (Vec<f64>, f64) {
            let both = a.fraction.iter().zip(&b.fraction).zip(&b.per_area);
            let mut metal_m2 = 0.0;
            let share = both.map(|((a, b), per_area)| {
                let share = if *b > 0.0 { (b - a) / b } else { 0.0 };
                metal_m2 += if *b > 0.0 { share / per_area } else { 0.0 };
                share
            });
            (share.collect(), metal_m2)
        };
        let (one, two) = (added(&makes[0], &makes[1]), added(&makes[1], &makes[2]));
        let losses = Losses { convection_w_m2_k: 15.0, emissivity: 0.7, ambient_k: START_K };
        let steel = Metal::CarbonSteel(CarbonSteel::REFERENCE);
        let mut engine = Engine::new(steel, &losses, (y, z), makes.to_vec(), 1.0, 1, 1).unwrap();
        engine.push(0, 1, 1, START_K).unwrap();
        engine.link();
        Self { engine, share: [one.0, two.0], metal_m2: [one.1, two.1] }
    }

    /// One step, with the mean heat of a pass over it.
    fn step(&mut self, pass: usize, from_s: f64, step_s: f64) {
        let Pass { heat_j_m, at_s } = PASSES[pass];
        let below = |t: f64| 0.5 * (1.0 + libm::erf((t - at_s) / (SPREAD_S * 2f64.sqrt())));
        let mean_per_s = (below(from_s + step_s) - below(from_s)) / step_s;
        // Half the section gets half the heat.
        let per_volume = 0.5 * heat_j_m * mean_per_s / self.metal_m2[pass];
        self.engine.heat.iter_mut().zip(&self.share[pass]).for_each(|(q, share)| *q = per_volume * share);
        self.engine.heated[0] = true;
        self.engine.step(step_s);
    }

    fn temperature_c(&self, y_mm: f64, z_mm: f64) -> f64 {
        spot::temperature_k(&self.engine, [0.5, y_mm * 1e-3, z_mm * 1e-3]).unwrap() - ZERO_CELSIUS_K
    }

    /// Width of what got hotter than 1495 C along a level, m, both sides.
    fn melted_m(&self, z_mm: f64) -> f64 {
        let ny = self.engine.y.cells();
        let edge = 1495.0 + ZERO_CELSIUS_K;
        let peak_k = |row: usize, i: usize| self.engine.table.temperature_k(self.engine.peak[row * ny + i]);
        // A level that is an edge between cells is seen from below, as the pass is.
        let row = self.engine.z.cell_at(z_mm * 1e-3);
        let last = (0..ny).rev().find(|i| peak_k(row, *i) > edge).unwrap();
        let (a, b) = (peak_k(row, last), peak_k(row, last + 1));
        let (from, to) = (self.engine.y.centre_m(last), self.engine.y.centre_m(last + 1));
        2.0 * (from + (a - edge) / (a - b) * (to - from))
    }
}

/// Both passes' histories, and the widths of the first and the second.
struct Answer {
    traces: [Vec<Trace>; 2],
    between_c: Vec<f64>,
    end_c: Vec<f64>,
    widths_m: [f64; 3],
    energy_error: f64,
}

fn solve(cell_m: f64) -> Answer {
    let mut section = Section::new(cell_m);
    let mut traces = [vec![Trace::default(); POINTS.len()], vec![Trace::default(); POINTS.len()]];
    let mut between_c = Vec::new();
    let mut widths_m = [0.0; 3];
    let mut time_s = 0.0;
    for (pass, until_s) in [BORN_S, END_S].into_iter().enumerate() {
        if pass == 1 {
            between_c = POINTS
                .map(|(name, y, z)| if name == "c_top" { f64::NAN } else { section.temperature_c(y, z) })
                .to_vec();
            widths_m[0] = section.melted_m(6.7);
            widths_m[1] = section.melted_m(12.69);
            section.engine.grow(0, 2, section.engine.metal.enthalpy_j_m3(START_K));
            section.engine.peak.copy_from_slice(&section.engine.enthalpy);
            section.engine.link();
        }
        while time_s < until_s - 1e-9 {
            // Fine while the heat comes, then with the time since.
            let since_s = time_s - PASSES[pass].at_s;
            let step_s = (0.02 * since_s).clamp(0.02, 1.0).min(until_s - time_s);
            section.step(pass, time_s, step_s);
            time_s += step_s;
            for (trace, (name, y, z)) in traces[pass].iter_mut().zip(POINTS) {
                if pass == 1 || name != "c_top" {
                    trace.push(time_s, section.temperature_c(y, z));
                }
            }
        }
    }
    widths_m[2] = section.melted_m(0.0);
    let end_c = POINTS.map(|(_, y, z)| section.temperature_c(y, z)).to_vec();
    Answer { traces, between_c, end_c, widths_m, energy_error: section.engine.energy_error() }
}

impl Answer {
    /// What the reference calls a scalar: temperatures in C, times in s, widths in mm.
    fn scalar(&self, name: &str) -> f64 {
        let point = |name: &str| POINTS.iter().position(|p| p.0 == name).unwrap();
        let (kind, rest) = name.split_once('_').unwrap();
        let of_pass = || {
            let (pass, name) = rest.strip_prefix('p').unwrap().split_once('_').unwrap();
            &self.traces[pass.parse::<usize>().unwrap() - 1][point(name)]
        };
        match kind {
            "Tinterpass" => self.between_c[point(rest)],
            "T300" => self.end_c[point(rest)],
            "peak" => of_pass().temperature_k.iter().copied().fold(f64::NEG_INFINITY, f64::max),
            "t85" => of_pass().falls_to_s(500.0).unwrap() - of_pass().falls_to_s(800.0).unwrap(),
            _ => {
                1e3 * self.widths_m
                    [["w1_top_zs", "w1_root", "w2_top"].iter().position(|w| *w == name).unwrap()]
            }
        }
    }
}

/// Trust in the reference (its own note): half a per cent on temperatures and
/// times, 0.1 mm on widths.
const SHARE: f64 = 0.005;
const WIDTH_MM: f64 = 0.1;

#[test]
fn two_passes_of_metal_that_appears_match_the_reference() {
    let answer = solve(0.25e-3);
    assert!(answer.energy_error < 1e-10, "{:.1e}", answer.energy_error);
    let mut seen = 0;
    for line in REFERENCE.lines().filter(|line| line.starts_with("scalar")) {
        let cells: Vec<&str> = line.split(',').collect();
        let (name, reference) = (cells[1], cells[3].parse::<f64>().unwrap());
        let got = answer.scalar(name);
        let allowed = if name.starts_with('w') { WIDTH_MM } else { SHARE * reference };
        println!("{name:>18} {reference:>9.2} {got:>9.2} {:>+6.2} %", 100.0 * (got / reference - 1.0));
        assert!((got - reference).abs() <= allowed, "{name}: {got} against {reference}");
        seen += 1;
    }
    assert_eq!(seen, 49);
}
