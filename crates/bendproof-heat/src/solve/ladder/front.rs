//! Freezing and melting at a wall: the solved front against Stefan's and
//! Neumann's solutions, which move it with the square root of time.
//!
//! The steel's own curve of specific heat is flat from 900 C up, so all
//! temperatures stay above; its melting range is narrowed to a kelvin.

use std::sync::LazyLock;

use super::block::{Block, even};
use super::instant::tabled_of;
use super::order::{Study, order};
use crate::solve::HeatError;
use crate::solve::engine::Losses;
use crate::solve::material::{CarbonSteel, Metal};
use crate::solve::state::Exposed;

/// Six printed digits.
const SIX_DIGITS: f64 = 6e-6;

/// A front that leaves a wall at x = 0: the phase next to the wall is 1.
#[derive(Debug, Clone, Copy)]
struct Case {
    wall_c: f64,
    melting_c: f64,
    far_c: f64,
    /// Conductivities, W/(m·K), and specific heats, J/(kg·K), of phase 1 and 2.
    k: [f64; 2],
    c: [f64; 2],
    latent_j_kg: f64,
}

/// Density of every case, kg/m³ (the table's).
const RHO: f64 = 7400.0;

impl Case {
    fn diffusivity(&self, phase: usize) -> f64 {
        self.k[phase] / (RHO * self.c[phase])
    }

    /// Neumann's number: the front stands at 2·number·√(a1·t). The root of the
    /// heat balance at the front, by halving.
    fn number(&self) -> f64 {
        let root_pi = std::f64::consts::PI.sqrt();
        let (a1, a2) = (self.diffusivity(0), self.diffusivity(1));
        let wall = self.k[0] * (self.wall_c - self.melting_c).abs() / (root_pi * a1.sqrt());
        let far = self.k[1] * (self.melting_c - self.far_c).abs() / (root_pi * a2.sqrt());
        let surplus = |n: f64| {
            let m = n * (a1 / a2).sqrt();
            wall * (-n * n).exp() / libm::erf(n)
                - far * (-m * m).exp() / libm::erfc(m)
                - RHO * self.latent_j_kg * n * a1.sqrt()
        };
        let (mut low, mut high) = (1e-6, 5.0);
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            (low, high) = if surplus(middle) > 0.0 { (middle, high) } else { (low, middle) };
        }
        0.5 * (low + high)
    }

    fn front_m(&self, time_s: f64) -> f64 {
        2.0 * self.number() * (self.diffusivity(0) * time_s).sqrt()
    }

    /// One phase at its melting temperature, the other grown from the wall.
    fn stefan(number: f64, latent_j_kg: f64) -> Self {
        let (c, wall_c) = (650.0, 1000.0);
        let melting_c = wall_c + number * latent_j_kg / c;
        Self { wall_c, melting_c, far_c: melting_c, k: [30.0; 2], c: [c; 2], latent_j_kg }
    }

    const FREEZING: Self = Self {
        wall_c: 920.0,
        melting_c: 1490.0,
        far_c: 1600.0,
        k: [30.0, 45.0],
        c: [650.0; 2],
        latent_j_kg: 270e3,
    };
    const MELTING: Self = Self {
        wall_c: 1220.0,
        melting_c: 1000.0,
        far_c: 905.0,
        k: [45.0, 30.0],
        c: [650.0; 2],
        latent_j_kg: 270e3,
    };

    fn freezes(&self) -> bool {
        self.wall_c < self.melting_c
    }

    /// The same as a steel.
    fn steel(&self) -> CarbonSteel {
        let (solid, liquid) = if self.freezes() { (0, 1) } else { (1, 0) };
        CarbonSteel {
            density_kg_m3: RHO,
            solidus_c: self.melting_c - 0.5,
            liquidus_c: self.melting_c + 0.5,
            latent_heat_j_kg: self.latent_j_kg,
            conductivity_hot_w_m_k: self.k[solid],
            conductivity_liquid_w_m_k: self.k[liquid],
            specific_heat_hot_j_kg_k: self.c[solid],
        }
    }

    /// A column of cells behind a wall held at its temperature: a face that
    /// conducts like half a cell holds the wall where the scheme has its faces.
    fn column(&self, cell_m: f64, cells: usize) -> Result<Block, HeatError> {
        let wall = Losses {
            convection_w_m2_k: 2.0 * self.k[0] / cell_m,
            emissivity: 0.0,
            ambient_k: self.wall_c + 273.15,
        };
        let axes = (even(cell_m, 1)?, even(cells as f64 * cell_m, cells)?);
        let mut block = Block::new(Metal::CarbonSteel(self.steel()), &wall, (cell_m, &[1]), axes.0, axes.1)?;
        block.engine.states[0].exposed = vec![Exposed { cell: 0, length_m: cell_m }];
        // One phase stands at the end of the range that does not yet change.
        let toward = if self.freezes() { 0.5 } else { -0.5 };
        let far_c = if self.far_c == self.melting_c { self.melting_c + toward } else { self.far_c };
        block.set(|_| far_c + 273.15);
        Ok(block)
    }

    /// Depth of metal that has changed, m.
    fn changed_m(&self, block: &Block) -> f64 {
        let steel = self.steel();
        let melted = |kelvin: f64| {
            ((kelvin - 273.15 - steel.solidus_c) / (steel.liquidus_c - steel.solidus_c)).clamp(0.0, 1.0)
        };
        let cells = block.cells();
        let all = cells.iter().map(|cell| {
            let share = melted(block.temperature_k(cell));
            cell.size()[2] * if self.freezes() { 1.0 - share } else { share }
        });
        all.sum()
    }

    /// Root of the mean square distance of the front from the exact one over
    /// its way from `from_m` to `to_m`, and the greatest, m.
    fn error_m(&self, cell_m: f64, (from_m, to_m): (f64, f64)) -> Result<(f64, f64), HeatError> {
        const DEPTHS: f64 = 8.0;
        let mut block = self.column(cell_m, (DEPTHS * to_m / cell_m).round() as usize)?;
        let step_s = 4.0 * block.engine.explicit_step_s();
        let (mut sum, mut count, mut greatest, mut time_s) = (0.0, 0, 0.0_f64, 0.0);
        while self.front_m(time_s) < to_m {
            block.steps(1, step_s);
            time_s += step_s;
            if self.front_m(time_s) > from_m {
                let off = self.changed_m(&block) - self.front_m(time_s);
                (sum, count, greatest) = (sum + off * off, count + 1, greatest.max(off.abs()));
            }
        }
        Ok(((sum / f64::from(count)).sqrt(), greatest))
    }
}

/// The way over which a front is watched, m.
const WAY_M: (f64, f64) = (4e-3, 9e-3);

/// Error of the freezing front on three grids.
pub(super) static FREEZING: LazyLock<Study> = LazyLock::new(|| {
    let errors = [1e-3, 0.5e-3, 0.25e-3].map(|cell_m| {
        let error_m = Case::FREEZING.error_m(cell_m, WAY_M).map_or(f64::NAN, |(rms, _)| rms);
        (format!("{} mm", cell_m * 1e3), error_m * 1e3)
    });
    Study { title: "freezing front at a wall", refined: "cell", unit: "mm", rows: errors.to_vec() }
});

#[test]
fn the_number_is_that_of_the_tables() {
    for (stefan, row) in [(0.1, "St=0.1"), (0.5, "St=0.5"), (1.0, "St=1.0"), (2.0, "St=2.0")] {
        let (got, expected) = (Case::stefan(stefan, 270e3).number(), tabled_of("stefan_one_phase", row));
        assert!((got / expected - 1.0).abs() < SIX_DIGITS, "{row}: {got} {expected}");
    }
    let tables = [
        (
            "neumann_solidification",
            Case {
                wall_c: 20.0,
                melting_c: 1490.0,
                far_c: 1600.0,
                k: [30.0; 2],
                c: [700.0, 650.0],
                latent_j_kg: 270e3,
            },
            10.0,
        ),
        (
            "neumann_melting",
            Case {
                wall_c: 2000.0,
                melting_c: 1500.0,
                far_c: 20.0,
                k: [30.0, 33.0],
                c: [800.0, 650.0],
                latent_j_kg: 270e3,
            },
            1.0,
        ),
    ];
    for (row, case, time_s) in tables {
        let (number, front_mm) = (tabled_of(row, "lambda"), tabled_of(row, "front X"));
        assert!((case.number() / number - 1.0).abs() < SIX_DIGITS, "{row}: {} {number}", case.number());
        let got_mm = case.front_m(time_s) * 1e3;
        assert!((got_mm / front_mm - 1.0).abs() < SIX_DIGITS, "{row}: {got_mm} {front_mm}");
    }
}

#[test]
fn the_front_keeps_within_a_quarter_of_a_cell() -> Result<(), HeatError> {
    const CELL_M: f64 = 0.5e-3;
    const OF_A_CELL: f64 = 0.25;
    let cases = [
        ("one phase, 0.1", Case::stefan(0.1, 270e3)),
        ("one phase, 0.5", Case::stefan(0.5, 270e3)),
        ("one phase, 1", Case::stefan(1.0, 270e3)),
        ("one phase, 2", Case::stefan(2.0, 180e3)),
        ("freezing", Case::FREEZING),
        ("melting", Case::MELTING),
    ];
    for (name, case) in cases {
        let (_, greatest_m) = case.error_m(CELL_M, WAY_M)?;
        assert!(greatest_m < OF_A_CELL * CELL_M, "{name}: off by {:.4} mm", greatest_m * 1e3);
    }
    Ok(())
}

#[test]
fn the_front_converges_at_least_with_the_cell() {
    let orders = order(&FREEZING.rows);
    // A front stands inside a cell and jumps with it: first order is what holds.
    const ORDER_MIN: f64 = 1.0;
    assert!(orders.iter().all(|o| *o >= ORDER_MIN), "{orders:?} of {:?}", FREEZING.rows);
}
