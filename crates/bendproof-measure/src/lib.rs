//! Lengths, angles, temperatures, speeds and the other quantities of a weld:
//! reads what people say (`7/64`, `1-1/2 in`, `4 mm`, `210 in/min`, `250 F`)
//! and prints it back in sixteenths and millimetres.
//!
//! Everything inside the program is SI; this crate is the only place where a
//! unit is converted. It knows no weld, no file and no rule.

mod bound;
mod number;
mod print;
mod quantity;
mod unit;

pub use bound::{Bound, OutOfBounds};
pub use number::{NumberError, parse_number};
pub use print::{
    Toward, computed_area, computed_energy, computed_length, fixed, inch_fraction, inches, is_on_the_rule,
    length_as_read, length_both, round_to, say, say_computed, say_computed_against, say_limit,
};
pub use quantity::{MeasureError, Quantity, said_in};
pub use unit::{Kind, System, Unit, celsius_from_kelvin, kelvin_from_celsius, unit_named, unit_of_box};

/// Longest text accepted as one quantity, in bytes. Nothing a person writes for
/// one number is longer; the limit keeps hostile input cheap to refuse.
pub const QUANTITY_TEXT_MAX_BYTES: usize = 64;
