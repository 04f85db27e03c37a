//! A whole coupon in time: every bead from its start to its stop on one plate of
//! finite length, with the pauses between them.
//!
//! The same scheme as one pass in a moving window ([`super::solve_pass`]), but
//! nothing is steady: the plate warms up bead after bead, ends are hotter than
//! middles, and the next bead waits as a cooling rule says. Cells are fine about
//! the bead being laid and coarse elsewhere and while the plate cools. Bodies
//! next to the plate (clamps, a bench, a positioner) are not seen.

use std::ops::ControlFlow;

use super::HeatError;
use super::arc::Arc;
use super::axis::Axis;
use super::coupon_run::Run;
use super::engine::Losses;
use super::field::Pool;
use super::material::Metal;
use super::pass::Lattice;
use super::plate::{CELLS_MAX, Info, STEPS_MAX};
use super::region::Ring;
use super::trace::Trace;

/// A coupon and its beads; x along the joint from one end of the plate, y across,
/// z down, any origin across and down. SI units.
#[derive(Debug, Clone, PartialEq)]
pub struct CouponProblem {
    /// Metal of the section before the first bead.
    pub base: Vec<Ring>,
    /// Length of the plate, m, 5 mm to 10 m.
    pub length_m: f64,
    /// Metal already in the joint over parts of its length. Beads may be laid
    /// over it: what both cover counts once in cells that both fill.
    pub tacks: Vec<Tack>,
    /// The beads, in the order they are laid.
    pub beads: Vec<Bead>,
    /// Cells across.
    pub across: Lattice,
    /// Cells down.
    pub down: Lattice,
    /// Whether the lowest y is a plane of symmetry, at zero; the rings then are
    /// one half, and a weave stands as its mean.
    pub mirror: bool,
    /// The metal of plate, tacks and beads.
    pub metal: Metal,
    /// Isotherm read as the edge of fusion, K.
    pub fusion_k: f64,
    /// What free faces lose, the ends of the plate included.
    pub losses: Losses,
    /// Temperature before the first bead, K.
    pub start_temperature_k: f64,
    /// Where the interpass temperature is measured, m; `None` for the top
    /// surface, [`INTERPASS_FROM_BEAD_M`] next to the middle of the first bead, at
    /// mid-length.
    pub interpass_at: Option<[f64; 3]>,
    /// Section that peak temperatures are kept of, m along the plate; `None` for
    /// mid-length.
    pub station_m: Option<f64>,
    /// Points whose temperature is followed through all passes, m.
    pub probes: Vec<[f64; 3]>,
}

/// Distance of the interpass measurement from the middle of the joint, m: 1 in,
/// where a crayon or a contact thermometer stays clear of the bead (choice).
pub const INTERPASS_FROM_BEAD_M: f64 = 25.4e-3;

/// Metal of a tack.
#[derive(Debug, Clone, PartialEq)]
pub struct Tack {
    /// Its section.
    pub rings: Vec<Ring>,
    /// Where it begins and ends along the plate, m.
    pub over_m: (f64, f64),
}

/// A bead, its arc and the pause after it.
#[derive(Debug, Clone, PartialEq)]
pub struct Bead {
    /// Its section, on top of everything laid before.
    pub rings: Vec<Ring>,
    /// The arc.
    pub arc: Arc,
    /// Where it starts and stops along the plate, m; the second less than the
    /// first runs against x. `None` for the whole length along x. The crater is
    /// filled as the arc goes out.
    pub run_m: Option<(f64, f64)>,
    /// The pause after it.
    pub then: Cooling,
}

/// A pause.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Cooling {
    /// So long, s.
    Time(f64),
    /// Until the plate is at or below a temperature where the interpass
    /// temperature is measured.
    Until {
        /// The temperature, K.
        temperature_k: f64,
        /// No sooner than this, s.
        at_least_s: f64,
        /// No later than this, s.
        at_most_s: f64,
    },
}

impl Cooling {
    /// The longest it may take, s.
    pub(crate) fn at_most_s(self) -> f64 {
        match self {
            Cooling::Time(s) => s,
            Cooling::Until { at_most_s, .. } => at_most_s,
        }
    }

    fn check(self) -> Result<(), HeatError> {
        HeatError::check("pause after a bead", self.at_most_s(), 0.0, 1e6, "s")?;
        if let Cooling::Until { temperature_k, at_least_s, at_most_s } = self {
            HeatError::check("interpass temperature", temperature_k, 213.15, 1700.0, "K")?;
            HeatError::check("least pause after a bead", at_least_s, 0.0, at_most_s, "s")?;
        }
        Ok(())
    }
}

/// How a coupon is solved.
#[derive(Clone, Copy)]
pub struct CouponParams<'a> {
    /// Cell at the weld, m.
    pub cell_m: f64,
    /// Length of the slabs at the arc, m: along the joint the arc smooths the
    /// field, so that they may be longer than a cell.
    pub along_m: f64,
    /// Cells stay so small this far around the bead being laid, m.
    pub margin_m: f64,
    /// Growth of the cells beyond, m per m.
    pub slope: f64,
    /// Slabs are so short this far behind the arc, m.
    pub thin_behind_m: f64,
    /// Travel of the arc per step, in cells (0.05 to 2).
    pub cells_per_step: f64,
    /// Longest step while welding, s.
    pub weld_step_max_s: f64,
    /// Longest step of a pause, s.
    pub cool_step_max_s: f64,
    /// How often cells may double in a pause, 0 to 4.
    pub doublings: u32,
    /// Threads; the answer does not depend on it.
    pub threads: usize,
    /// Most cells allowed, those of both grids between which a field is carried.
    pub cells_max: usize,
    /// Most steps allowed.
    pub steps_max: usize,
    /// Error of the energy balance at which the run is given up, share of the
    /// heat brought in.
    pub energy_error_max: f64,
    /// Called once per step with the share done; may stop the run.
    pub progress: Option<&'a (dyn Fn(f64) -> ControlFlow<()> + Sync)>,
}

impl CouponParams<'_> {
    /// Half a millimetre at the weld, slabs of one millimetre at the arc (measured
    /// on three beads in 9.5 mm plate against slabs, steps and margins half and
    /// twice as fine: molten sections within 0.6 %, peaks 10 to 15 mm from the
    /// joint within 0.6 % of their rise, at a twelfth of the cost). Steps of 2 s
    /// and merged cells in the pauses move the time to reach 150 C by 0.5 s in 245.
    pub const STANDARD: Self = Self {
        cell_m: 0.5e-3,
        along_m: 1e-3,
        margin_m: 4e-3,
        slope: 0.5,
        thin_behind_m: 6e-3,
        cells_per_step: 0.75,
        weld_step_max_s: 0.1,
        cool_step_max_s: 2.0,
        doublings: 3,
        threads: 1,
        cells_max: CELLS_MAX,
        steps_max: STEPS_MAX,
        energy_error_max: 1e-3,
        progress: None,
    };
}

/// The answer.
#[derive(Debug, Clone, PartialEq)]
pub struct CouponField {
    /// Cells across.
    pub y: Axis,
    /// Cells down.
    pub z: Axis,
    /// Whether this is one half of a symmetric section.
    pub mirror: bool,
    /// Metal share of the cells at the station before the first bead, row by row
    /// from the lowest z; tacks there included.
    pub base_fraction: Vec<f64>,
    /// The beads.
    pub beads: Vec<BeadField>,
    /// Greatest temperature of each cell at the station over all passes, K; NaN
    /// without metal.
    pub peak_k: Vec<f64>,
    /// One history per probe, in their order; it begins when there is metal.
    pub probes: Vec<Trace>,
    /// Where interpass temperatures were read, m.
    pub interpass_at: [f64; 3],
    /// Temperature there, from the start to the end.
    pub interpass: Trace,
    /// Heat brought in, J, both halves of a symmetric section together.
    pub brought_j: f64,
    /// Heat lost through free faces, J, likewise.
    pub lost_j: f64,
}

/// One bead of a coupon.
#[derive(Debug, Clone, PartialEq)]
pub struct BeadField {
    /// Temperature where it is measured, just before the arc is lit, K.
    pub interpass_k: f64,
    /// When the arc was lit, s from the first.
    pub start_s: f64,
    /// When it went out, s.
    pub end_s: f64,
    /// Whether the pause after it reached the temperature asked for, if any was.
    pub cooled: bool,
    /// Metal share of the cells at the station with this bead.
    pub fraction: Vec<f64>,
    /// Greatest temperature of each cell at the station from this bead's start to
    /// the next one's, K; NaN without metal.
    pub peak_k: Vec<f64>,
    /// Section that this bead melted at the station, its own metal included, m²;
    /// both halves of a symmetric one.
    pub melted_m2: f64,
    /// The pool when the arc was halfway.
    pub pool: Pool,
}

impl CouponField {
    /// Greatest temperature at a place of the station while a bead was laid and
    /// in the pause after it, K: between the metal cells around it; `None` where
    /// there is none, or no such bead. A mirrored section answers on both sides.
    pub fn peak_k_at(&self, bead: usize, y_m: f64, z_m: f64) -> Option<f64> {
        let y_m = if self.mirror { y_m.abs() } else { y_m };
        between((&self.y, &self.z), &self.beads.get(bead)?.peak_k, [y_m, z_m])
    }
}

/// Bilinear over the cells around a place that have a value.
pub(crate) fn between((y, z): (&Axis, &Axis), values: &[f64], [y_m, z_m]: [f64; 2]) -> Option<f64> {
    let (mut sum, mut weight) = (0.0, 0.0);
    for (k, wk) in z.around(z_m) {
        for (i, wi) in y.around(y_m) {
            let value = values[k * y.cells() + i];
            if value.is_finite() {
                sum += wk * wi * value;
                weight += wk * wi;
            }
        }
    }
    (weight > 0.0).then(|| sum / weight)
}

/// Solves a coupon.
///
/// # Errors
/// [`HeatError`] for a quantity out of range, a section without metal, a grid or
/// run beyond the allowed size, an energy balance that does not close, or a
/// caller that stopped it.
///
/// # Examples
/// ```
/// use bendproof_heat::solve::{
///     Arc, Bead, Cooling, CouponParams, CouponProblem, Lattice, Losses, Metal, Weave, solve_coupon,
/// };
///
/// let lattice = |ends_m, marks_m| Lattice { ends_m, marks_m, growth: 1.3, cell_max_m: 4e-3 };
/// let problem = CouponProblem {
///     base: vec![vec![[0.0, 0.0], [20e-3, 0.0], [20e-3, 6e-3], [0.0, 6e-3]]],
///     length_m: 40e-3,
///     tacks: Vec::new(),
///     beads: vec![Bead {
///         rings: vec![vec![[0.0, -2e-3], [4e-3, -2e-3], [4e-3, 0.0], [0.0, 0.0]]],
///         arc: Arc {
///             power_w: 2200.0,
///             drop_heat_j_m3: 9e9,
///             travel_m_s: 5e-3,
///             sigma_m: 2e-3,
///             behind_edge_m: 1e-3,
///             ramp_m: 2e-3,
///             y_m: 0.0,
///             side_tangent: 0.0,
///             aim_z_m: 0.0,
///             weave: Weave::STRINGER,
///             gap_lost_share: 0.5,
///         },
///         run_m: None,
///         then: Cooling::Time(20.0),
///     }],
///     across: lattice((0.0, 20e-3), vec![0.0, 4e-3, 8e-3]),
///     down: lattice((-2e-3, 6e-3), vec![-2e-3, 0.0, 6e-3]),
///     mirror: true,
///     metal: Metal::Constant { conductivity_w_m_k: 30.0, volumetric_heat_j_m3_k: 5.0e6 },
///     fusion_k: 1768.15,
///     losses: Losses::NONE,
///     start_temperature_k: 293.15,
///     interpass_at: Some([20e-3, 15e-3, 0.0]),
///     station_m: None,
///     probes: vec![[20e-3, 8e-3, 0.0]],
/// };
/// let params = CouponParams { cell_m: 1e-3, ..CouponParams::STANDARD };
/// let (field, info) = solve_coupon(&problem, &params)?;
/// assert!(field.probes[0].peak_k > 500.0);
/// assert!(info.energy_error < 1e-10);
/// # Ok::<(), bendproof_heat::solve::HeatError>(())
/// ```
pub fn solve_coupon(
    problem: &CouponProblem,
    params: &CouponParams<'_>,
) -> Result<(CouponField, Info), HeatError> {
    problem.check(params)?;
    if params.threads > 1 {
        // Inside the pool a step hands half of itself over; from outside it would
        // hand over the whole and sleep.
        return rayon::scope(|_| run(problem, params));
    }
    run(problem, params)
}

fn run(problem: &CouponProblem, params: &CouponParams<'_>) -> Result<(CouponField, Info), HeatError> {
    let mut run = Run::new(problem, params)?;
    for bead in 0..problem.beads.len() {
        run.weld(bead)?;
        run.cool(bead)?;
    }
    run.finish()
}

impl CouponProblem {
    fn check(&self, params: &CouponParams<'_>) -> Result<(), HeatError> {
        HeatError::check("length of the plate", self.length_m, 5e-3, 10.0, "m")?;
        HeatError::check("start temperature", self.start_temperature_k, 213.15, 1700.0, "K")?;
        HeatError::check("cell", params.cell_m, 5e-5, 5e-3, "m")?;
        HeatError::check("length of the slabs at the arc", params.along_m, 5e-5, 5e-3, "m")?;
        HeatError::check("margin of the fine cells", params.margin_m, 0.0, 1.0, "m")?;
        HeatError::check("growth of the cells beyond the margin", params.slope, 0.0, 2.0, "")?;
        HeatError::check("thin slabs behind the arc", params.thin_behind_m, 1e-3, 1.0, "m")?;
        HeatError::check("cells per step", params.cells_per_step, 0.05, 2.0, "cells")?;
        HeatError::check("longest step while welding", params.weld_step_max_s, 1e-6, 3600.0, "s")?;
        HeatError::check("longest step of a pause", params.cool_step_max_s, 1e-6, 3600.0, "s")?;
        HeatError::check("doublings of cells in a pause", f64::from(params.doublings), 0.0, 4.0, "")?;
        let along = |quantity, x| HeatError::check(quantity, x, 0.0, self.length_m, "m");
        for tack in &self.tacks {
            along("start of a tack", tack.over_m.0)?;
            along("end of a tack", tack.over_m.1)?;
        }
        for bead in &self.beads {
            bead.arc.check()?;
            bead.then.check()?;
            let (from_m, to_m) = self.run_m(bead);
            along("start of a bead", from_m)?;
            along("stop of a bead", to_m)?;
            HeatError::check("length of a bead", (to_m - from_m).abs(), params.along_m, 10.0, "m")?;
        }
        for (quantity, end_m) in [
            ("low end across", self.across.ends_m.0),
            ("high end across", self.across.ends_m.1),
            ("low end down", self.down.ends_m.0),
            ("high end down", self.down.ends_m.1),
        ] {
            HeatError::check(quantity, end_m, -10.0, 10.0, "m")?;
        }
        for [x, y, z] in self.probes.iter().chain(&self.interpass_at) {
            along("probe, along", *x)?;
            let ((left_m, right_m), (high_m, low_m)) = (self.across.ends_m, self.down.ends_m);
            let left_m = if self.mirror { -right_m } else { left_m };
            HeatError::check("probe, across", *y, left_m, right_m, "m")?;
            HeatError::check("probe, down", *z, high_m, low_m, "m")?;
        }
        along("station", self.station_m())?;
        self.check_rings()
    }

    fn check_rings(&self) -> Result<(), HeatError> {
        let laid = self.tacks.iter().map(|t| &t.rings).chain(self.beads.iter().map(|b| &b.rings));
        let corners = self.base.iter().chain(laid.flatten()).flatten().flatten();
        let hollow = |bead: &Bead| bead.rings.is_empty() || bead.rings.iter().any(|ring| ring.len() < 3);
        if let Some(index) = self.beads.iter().position(hollow) {
            return Err(HeatError::Geometry(format!("bead {} has no section; give it one", index + 1)));
        }
        if corners.copied().all(f64::is_finite) {
            return Ok(());
        }
        Err(HeatError::Geometry("a corner of the section is not a number".to_owned()))
    }

    /// Start and stop of a bead, m.
    pub(crate) fn run_m(&self, bead: &Bead) -> (f64, f64) {
        bead.run_m.unwrap_or((0.0, self.length_m))
    }

    pub(crate) fn station_m(&self) -> f64 {
        self.station_m.unwrap_or(0.5 * self.length_m)
    }
}
