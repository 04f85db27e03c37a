//! Coupon in, passes and margins out.
//!
//! Each pass is laid into the real cross-section; the root is judged edge by
//! edge from what conduction melts and the capillary balance of the pool; walls,
//! toes and crown follow. Every answer carries a margin, what drives it, an
//! uncertainty and a source, and says `not known` outside the box in which it
//! was checked.
//!
//! Heat comes in two ways with one set of answers: [`solved::solve`] solves every
//! bead on its section, in seconds; the fast model, fitted to thousands of such
//! solutions, answers in microseconds while a hand still moves. No code limit is
//! written here: the caller gives the limits that apply.

mod advice;
mod answers;
mod chance;
mod cubic;
mod draws;
mod field;
mod fill_melt;
mod forecast;
mod item;
mod knobs;
mod map;
mod melt_back;
mod passes;
mod readings;
mod root;
mod section;
mod sensitivity;
pub mod solved;
pub mod stick;
mod totals;
mod walls;
mod window;

pub use advice::{Advice, Change, Effect, Slope, advice};
pub use answers::{Answer, Answers, Carried, Failure, HeatOf, Scope, answers};
pub use chance::{Chance, STRETCH_M};
pub use draws::DRAWS;
pub use fill_melt::{FILL_BOX, FillBeadHeat, FillMelt, fill_melt};
pub use forecast::{
    Forecast, HOLLOW, Limits, NO_FALL, RootForecast, SHAPE_NOT_COUNTED, Scatter, cap_width_m, forecast,
    forecast_solved,
};
pub use item::{Item, Unit, Verdict};
pub use knobs::Knob;
pub use map::{Axis, Cell, MAP_CELLS_MAX, MapError, WindowMap, window_map};
pub use melt_back::{BoxSide, CHECKED_BOX, HEALING_HOLLOW_M, RootBeadHeat, RootMelt, root_melt};
pub use passes::PassForecast;
pub use readings::{NextReading, Reading, next_reading};
pub use section::{Bead, Point, Section, section_of};
pub use totals::Totals;
pub use window::{Reach, reach};

#[cfg(test)]
mod fitting;
