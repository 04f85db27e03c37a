//! Conduction solved: transient, nonlinear, on a real section, in three
//! dimensions.
//!
//! [`solve_plate`] runs a bare plate under a double ellipsoid, [`solve_pass`] one
//! bead at its quasi-steady state in a window, [`solve_coupon`] every bead of a
//! coupon in time, with its pauses. Conduction only: the pool's own flow enters
//! as a raised conductivity of the liquid, and nothing evaporates.

mod arc;
mod axis;
mod coupon;
mod coupon_plan;
mod coupon_run;
mod ellipsoid;
mod engine;
mod error;
mod field;
mod kernel;
mod material;
mod merge;
mod pass;
mod plate;
mod probe;
mod region;
mod slabs;
mod spot;
mod state;
mod torch;
mod trace;

pub use arc::{Arc, Weave};
pub use axis::Axis;
pub use coupon::{
    Bead, BeadField, Cooling, CouponField, CouponParams, CouponProblem, INTERPASS_FROM_BEAD_M, Tack,
    solve_coupon,
};
pub use engine::{Losses, STEFAN_BOLTZMANN_W_M2_K4};
pub use error::HeatError;
pub use field::{PassField, Pool, Slice};
pub use material::{CarbonSteel, Metal};
pub use pass::{Lattice, PassParams, PassProblem, solve_pass};
pub use plate::{ArcPath, CELLS_MAX, Info, PlateParams, PlateProblem, PlateSolution, STEPS_MAX, solve_plate};
pub use region::{Point, Ring, right_half};
pub use trace::Trace;

#[cfg(test)]
mod ladder;
