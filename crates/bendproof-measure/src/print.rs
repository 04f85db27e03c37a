//! Printing quantities the way a shop reads them.

use crate::unit::UNITS;
use crate::{Kind, Quantity, System};

/// The finest fraction on a welder's rule.
const FINEST_PARTS_PER_INCH: i64 = 64;
/// Metres in an inch.
const INCH_M: f64 = 0.0254;

/// The nearest 1/64 in, reduced: `3/32`, `1-1/2`, `2`, `-1/16`.
///
/// # Examples
/// ```
/// assert_eq!(bendproof_measure::inch_fraction(0.0381), "1-1/2");
/// ```
pub fn inch_fraction(metres: f64) -> String {
    let parts = (metres / INCH_M * FINEST_PARTS_PER_INCH as f64).round() as i64;
    let sign = if parts < 0 { "-" } else { "" };
    let (whole, rest) = (parts.abs() / FINEST_PARTS_PER_INCH, parts.abs() % FINEST_PARTS_PER_INCH);
    if rest == 0 {
        return format!("{sign}{whole}");
    }
    let shrink = 1_i64 << rest.trailing_zeros();
    let fraction = format!("{}/{}", rest / shrink, FINEST_PARTS_PER_INCH / shrink);
    match whole {
        0 => format!("{sign}{fraction}"),
        _ => format!("{sign}{whole}-{fraction}"),
    }
}

/// Fraction and millimetres side by side: `1/8 in · 3.2 mm`.
pub fn length_both(metres: f64) -> String {
    format!("{} in · {:.1} mm", inch_fraction(metres), metres * 1e3)
}

/// Rounds to `decimals` places and drops trailing zeros: `18.50` prints `18.5`.
pub fn round_to(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    let text = match text.contains('.') {
        true => text.trim_end_matches('0').trim_end_matches('.'),
        false => &text,
    };
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

/// One quantity in the unit its system uses, for messages: `1/8 in`, `3.2 mm`,
/// `210 in/min`, `250 F`.
pub fn say(quantity: &Quantity) -> String {
    if quantity.kind == Kind::Length && quantity.system == System::Inch {
        // A fraction would hide a value that is not near one, such as 0.035 in wire.
        let inches = quantity.si / INCH_M;
        let parts = inches * FINEST_PARTS_PER_INCH as f64;
        return match (parts - parts.round()).abs() < 1e-6 {
            true => format!("{} in", inch_fraction(quantity.si)),
            false => format!("{} in", round_to(inches, 4)),
        };
    }
    let unit = UNITS
        .iter()
        .find(|u| u.kind == quantity.kind && u.system == quantity.system)
        .or_else(|| UNITS.iter().find(|u| u.kind == quantity.kind));
    match unit {
        Some(u) => {
            let value = (quantity.si - u.si_at_zero) / u.si_per_unit;
            // Five figures before the point leave nothing after it to read.
            let decimals = if value.abs() >= 1e4 { 0 } else { 4 };
            format!("{} {}", round_to(value, decimals), u.names[0])
        }
        None => round_to(quantity.si, 6),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn prints_reduced_fractions() {
        for (inches, text) in [
            (0.375, "3/8"),
            (1.5, "1-1/2"),
            (0.09375, "3/32"),
            (0.0, "0"),
            (2.0, "2"),
            (-0.0625, "-1/16"),
            (0.99999, "1"),
        ] {
            assert_eq!(inch_fraction(inches * INCH_M), text);
        }
        assert_eq!(length_both(0.003175), "1/8 in · 3.2 mm");
        assert_eq!(round_to(-0.0001, 2), "0");
    }

    #[test]
    fn says_wire_sizes_as_decimals() {
        let wire = Quantity::parse(Kind::Length, "0.035 in").unwrap();
        assert_eq!(say(&wire), "0.035 in");
    }
}
