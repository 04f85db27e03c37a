//! Coupon in, passes and margins out.
//!
//! Each pass is laid into the real cross-section; the root is judged edge by
//! edge from an energy and mass balance, a fitted melt-back of the land and the
//! capillary balance of the pool; walls, toes and crown follow. Every answer
//! carries a margin, what drives it, an uncertainty and a source, and says
//! `not known` outside the box in which it was checked.
//!
//! The heat of a pass comes through [`HeatModel`]; a solver can take the place
//! of the closed forms behind it. No code limit is written here: the caller
//! gives the limits that apply.

mod advice;
mod answers;
mod chance;
mod closed_form;
mod cubic;
mod forecast;
mod heat_model;
mod item;
mod knobs;
mod map;
mod melt_back;
mod passes;
mod remembered;
mod root;
mod section;
mod sensitivity;
pub mod solved;
mod totals;
mod walls;
mod window;

pub use advice::{Advice, Change, Effect, Slope, advice};
pub use answers::{Answer, Answers, Failure, Scope, answers};
pub use chance::{Chance, DRAWS_MAX, STRETCH_M, chance_along};
pub use closed_form::ClosedForm;
pub use forecast::{Forecast, HOLLOW, Limits, NO_FALL, RootForecast, Scatter, forecast};
pub use heat_model::{BeadHeat, BeadMelt, HeatModel};
pub use item::{Item, Unit, Verdict};
pub use knobs::Knob;
pub use map::{Axis, Cell, MAP_CELLS_MAX, MapError, WindowMap, window_map};
pub use melt_back::{CHECKED_BOX, RootBeadHeat, RootMelt, root_melt};
pub use passes::PassForecast;
pub use section::{Bead, Point, Section, section_of};
pub use totals::Totals;
pub use window::{Reach, reach};
