//! Domain model of a welded test piece and its small physics: the words of the
//! trade, the coupon, steel, wire, gas, groove geometry, the arc, the capillary
//! balance of the pool, the heat-affected zone and the distortion of a weld.
//!
//! SI inside; units stand last in each name. Nothing here reads a file or
//! knows a code.

pub mod analysis;
pub mod arc;
pub mod basis;
pub mod bend;
pub mod consumable;
pub mod coupon;
pub mod distortion;
pub mod gravity;
pub mod groove;
pub mod hardness;
pub mod hydrogen;
pub mod iso_names;
pub mod pipe;
pub mod pool;
pub mod preheat;
mod size_limit;
pub mod steel;
pub mod stick;
mod table;
pub mod wire_name;
pub mod wire_size;
pub mod words;
pub mod zones;

pub use basis::{Basis, Known};
pub use coupon::{Coupon, Fit, Joint, Log, LoggedPass, Pass, Prices, Settings, Shape, Travel};
pub use size_limit::SizeLimit;
pub use table::{DataError, Sourced};
pub use words::{
    Backing, Dwell, Gas, PassKind, Polarity, Position, Process, Progression, Technique, Transfer,
};
