//! A quantity's human name next to the range it may have, so that no caller can
//! refuse a value without saying both.

use crate::{Kind, Quantity, Toward, say, say_limit};

/// The allowed range of one quantity, with its name and what to do instead.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bound {
    /// The quantity's name as people say it.
    pub name: &'static str,
    /// What it measures.
    pub kind: Kind,
    /// Least allowed value, SI.
    pub min_si: f64,
    /// Greatest allowed value, SI.
    pub max_si: f64,
    /// The next step for someone whose value is outside.
    pub next_step: &'static str,
    /// How to write a value inside the range: `1/8 in or 3.2 mm`.
    pub example: &'static str,
}

/// A value outside its range.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{name} is {value}; enter {min} to {max}; {next_step}")]
pub struct OutOfBounds {
    /// The quantity's name.
    pub name: &'static str,
    /// The value as read.
    pub value: String,
    /// Least allowed value.
    pub min: String,
    /// Greatest allowed value.
    pub max: String,
    /// What to do.
    pub next_step: &'static str,
}

impl Bound {
    /// Gives the value back when it is inside the range, ends included.
    ///
    /// # Errors
    /// [`OutOfBounds`] with the name, the value, the range and the next step.
    pub fn check(&self, quantity: Quantity) -> Result<Quantity, OutOfBounds> {
        // Written so that a NaN, which compares with nothing, is refused.
        if quantity.si >= self.min_si && quantity.si <= self.max_si {
            return Ok(quantity);
        }
        let end = |si, toward| say_limit(&Quantity { si, ..quantity }, toward);
        Err(OutOfBounds {
            name: self.name,
            value: say(&quantity),
            min: end(self.min_si, Toward::Greater),
            max: end(self.max_si, Toward::Less),
            next_step: self.next_step,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const GAP: Bound = Bound {
        name: "root opening",
        kind: Kind::Length,
        min_si: 0.0,
        max_si: 0.0127,
        next_step: "measure the gap at the root",
        example: "1/8 in or 3.2 mm",
    };

    #[test]
    fn names_quantity_value_range_and_next_step() {
        let wide = Quantity::parse(Kind::Length, "2 in").unwrap();
        assert_eq!(
            GAP.check(wide).unwrap_err().to_string(),
            "root opening is 2 in; enter 0 in to 1/2 in; measure the gap at the root"
        );
        assert!(GAP.check(Quantity::from_si(Kind::Length, f64::NAN)).is_err());
        assert!(GAP.check(Quantity::from_si(Kind::Length, 0.0127)).is_ok());
    }
}
