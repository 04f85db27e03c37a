//! The solved section of one coupon, made ready to look at: the picture an
//! etched coupon would show, the numbers bead by bead, the film of a pass and
//! the cooling curves.
//!
//! It calls the solver of the forecast and puts fields into pictures and words.
//! It holds no physics of its own, and what it shows is computed, never measured;
//! every sheet says so.

mod coupon;
mod curves;
mod field;
mod film;
mod measured;
mod pictures;
mod sheet;
mod table;
mod view;

pub use coupon::{COMPUTED, NotSolved, SolvedCoupon, solve_coupon, solve_text};
pub use curves::{CurveRow, Curves, PLACES_MAX, Place, cooling_csv, curves, t85_s};
pub use film::{FilmFrame, FilmSide, film_frame, film_times};
pub use measured::{MEASURED_POINTS_MAX, MeasuredError, read_measured};
pub use sheet::{SolvedSheet, solved_sheet};
pub use table::{BeadRow, Column, answers, hardness, heated_zone_m, notes, solved_origins};
pub use view::{SectionAsk, SectionView, places, section_film, section_view};
