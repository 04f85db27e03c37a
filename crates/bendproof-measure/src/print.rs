//! Printing quantities the way a shop reads them.

use crate::unit::{UNITS, Unit, unit_named};
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

/// Inches as a shop writes them: the fraction where the length is one on the
/// rule, thousandths where it is not.
///
/// # Examples
/// ```
/// use bendproof_measure::inches;
///
/// assert_eq!(inches(0.009525), "3/8");
/// // A wall of 0.432 in is no 7/16 in, and 1 mm no 3/64 in.
/// assert_eq!(inches(0.432 * 0.0254), "0.432");
/// assert_eq!(inches(0.001), "0.039");
/// ```
pub fn inches(metres: f64) -> String {
    if is_on_the_rule(metres) { inch_fraction(metres) } else { round_to(metres / INCH_M, 3) }
}

/// Whether a length is a whole number of 1/64 in, float rounding aside.
pub fn is_on_the_rule(metres: f64) -> bool {
    let parts = metres / INCH_M * FINEST_PARTS_PER_INCH as f64;
    (parts - parts.round()).abs() < 1e-4
}

/// Inches and millimetres side by side: `1/8 in · 3.2 mm`, `0.432 in · 11.0 mm`.
pub fn length_both(metres: f64) -> String {
    format!("{} in · {} mm", inches(metres), fixed(metres * 1e3, 1))
}

/// A length that somebody read, in its own system first: `1/8 in · 3.2 mm`,
/// `9.5 mm · 0.374 in`.
pub fn length_as_read(length: &Quantity) -> String {
    match length.system {
        System::Metric => format!("{} · {} in", say(length), inches(length.si)),
        _ => length_both(length.si),
    }
}

/// A computed length, hundredths of an inch first where the shop works in inches:
/// `0.01 in (0.3 mm)`, `0.3 mm`. What would round to zero has one figure more,
/// `0.002 in (0.05 mm)`, and says so where even that is too coarse.
pub fn computed_length(metres: f64, system: System) -> String {
    let inches = metres / INCH_M;
    let (inch, mm) = match inches.abs() {
        small if small > 0.0 && small < 5e-4 => ("under 0.001".to_owned(), "under 0.02".to_owned()),
        fine if fine < 5e-3 => (round_to(inches, 3), round_to(metres * 1e3, 2)),
        _ => (round_to(inches, 2), round_to(metres * 1e3, 1)),
    };
    if system == System::Inch { format!("{inch} in ({mm} mm)") } else { format!("{mm} mm") }
}

/// A computed section, square inches first where the shop works in inches:
/// `0.102 in² (66 mm²)`, `66 mm²`.
pub fn computed_area(square_metres: f64, system: System) -> String {
    let mm2 = format!("{} mm²", round_to(square_metres * 1e6, 1));
    let in2 = square_metres / (INCH_M * INCH_M);
    if system == System::Inch { format!("{} in² ({mm2})", round_to(in2, 3)) } else { mm2 }
}

/// A computed energy along a weld, per inch first where the shop works in inches:
/// `15.2 kJ/in (0.6 kJ/mm)`, `0.6 kJ/mm`.
pub fn computed_energy(joule_per_metre: f64, system: System) -> String {
    let kj_mm = format!("{} kJ/mm", round_to(joule_per_metre * 1e-6, 2));
    let kj_in = joule_per_metre * INCH_M * 1e-3;
    if system == System::Inch { format!("{} kJ/in ({kj_mm})", round_to(kj_in, 1)) } else { kj_mm }
}

/// Which way a computed limit is rounded, so that it is never wider than it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Toward {
    /// A least value: up.
    Greater,
    /// A greatest value: down.
    Less,
    /// A value that limits nothing.
    Nearest,
}

/// A computed quantity with as many figures as a gauge of the bay reads, rounded
/// to the safe side of a limit: 19.795 V as a greatest value prints `19.7 V`.
///
/// # Examples
/// ```
/// use bendproof_measure::{Kind, Quantity, Toward, say_computed};
///
/// let volts = Quantity::parse(Kind::Voltage, "17.205 V").unwrap();
/// assert_eq!(say_computed(&volts, Toward::Greater), "17.3 V");
/// assert_eq!(say_computed(&volts, Toward::Less), "17.2 V");
/// ```
pub fn say_computed(quantity: &Quantity, toward: Toward) -> String {
    say_computed_against(quantity, toward, &[])
}

/// The same, with as many more figures as it takes that none of `values` lies
/// between the quantity and what is printed of it: who compares them by the print
/// decides as the program does.
///
/// # Examples
/// ```
/// use bendproof_measure::{Kind, Quantity, Toward, say_computed_against};
///
/// let volts = |text| Quantity::parse(Kind::Voltage, text).unwrap();
/// let least = volts("17.205 V");
/// assert_eq!(say_computed_against(&least, Toward::Greater, &[volts("17.5 V")]), "17.3 V");
/// assert_eq!(say_computed_against(&least, Toward::Greater, &[volts("17.25 V")]), "17.21 V");
/// ```
pub fn say_computed_against(quantity: &Quantity, toward: Toward, values: &[Quantity]) -> String {
    /// More figures than a float of this size holds help nobody.
    const MORE_FIGURES_MAX: usize = 4;
    let Some(unit) = unit_of(quantity) else { return say(quantity) };
    let at = |more: usize| stepped(quantity, unit, figures(unit) + more, toward);
    let misleads = |printed: f64| {
        let hair = 1e-9 * printed.abs();
        values.iter().any(|v| (v.si - printed).abs() > hair && (v.si < printed) != (v.si < quantity.si))
    };
    let enough = (0..MORE_FIGURES_MAX).map(at).find(|(_, printed)| !misleads(*printed));
    enough.unwrap_or_else(|| at(MORE_FIGURES_MAX)).0
}

/// A limit as a finding tells it: as the code prints it, or to a hundredth of a
/// millimeter or a thousandth of an inch on the safe side where it is a share of
/// something, so that no reading meets the limit printed and breaks the true one.
///
/// # Examples
/// ```
/// use bendproof_measure::{Kind, Quantity, Toward, say_limit};
///
/// // A twentieth of 3/8 in.
/// let undercut = Quantity::from_si(Kind::Length, 0.05 * 0.009525);
/// assert_eq!(say_limit(&undercut, Toward::Less), "0.47 mm");
/// assert_eq!(say_limit(&undercut, Toward::Nearest), "0.48 mm");
/// ```
pub fn say_limit(quantity: &Quantity, toward: Toward) -> String {
    match unit_of(quantity).filter(|_| quantity.kind == Kind::Length) {
        Some(unit) => stepped(quantity, unit, limit_figures(quantity.si, unit), toward).0,
        None => say(quantity),
    }
}

/// A quantity in steps of so many places of a unit, in words and in SI; a fraction
/// of an inch that is on the rule stays one.
fn stepped(quantity: &Quantity, unit: &Unit, figures: usize, toward: Toward) -> (String, f64) {
    if quantity.kind == Kind::Length && quantity.system == System::Inch && is_on_the_rule(quantity.si) {
        return (say(quantity), quantity.si);
    }
    let places = 10_f64.powi(figures as i32);
    let value = (quantity.si - unit.si_at_zero) / unit.si_per_unit * places;
    // A hair of float rounding moves no value to the next step.
    let hair = 1e-6;
    let rounded = match toward {
        Toward::Greater => (value - hair).ceil(),
        Toward::Less => (value + hair).floor(),
        Toward::Nearest => value.round(),
    };
    let value = rounded / places;
    (format!("{} {}", round_to(value, figures), unit.names[0]), value * unit.si_per_unit + unit.si_at_zero)
}

/// Places after the point of a limit, finer than a gauge of the bay reads, and
/// more where these would leave nothing of it (choice).
fn limit_figures(si: f64, unit: &Unit) -> usize {
    let (usual, least) = if unit.names[0] == "in" { (3, 0.01) } else { (2, 0.1) };
    if (si / unit.si_per_unit).abs() < least { 4 } else { usual }
}

/// Places after the point that a gauge of the bay reads (choice).
fn figures(unit: &Unit) -> usize {
    match unit.names[0] {
        "V" | "kJ/in" | "ksi" | "mm" | "in/min" => 1,
        "kJ/mm" => 2,
        "in" => 3,
        "A" | "MPa" | "°F" | "°C" | "mm/min" | "cfh" | "L/min" => 0,
        _ => 4,
    }
}

/// Rounds to `decimals` places, a half away from zero, and drops trailing zeros:
/// `18.50` prints `18.5`, and 6.35 to one place `6.4`.
pub fn round_to(value: f64, decimals: usize) -> String {
    let text = fixed(value, decimals);
    let text = match text.contains('.') {
        true => text.trim_end_matches('0').trim_end_matches('.'),
        false => &text,
    };
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

/// The same with its trailing zeros: `11.0`, and 6.35 to one place `6.4`.
pub fn fixed(value: f64, decimals: usize) -> String {
    // A half as people write it, 6.35, is a hair under it in binary.
    const HAIR_SHARE: f64 = 1e-12;
    let places = 10_f64.powi(decimals as i32);
    let rounded = (value * places * (1.0 + HAIR_SHARE)).round() / places;
    // A value too great for its places has none.
    let value = if rounded.is_finite() { rounded } else { value };
    format!("{value:.decimals$}")
}

/// One quantity in the unit its system uses, for messages: `1/8 in`, `3.2 mm`,
/// `210 in/min`, `250 F`.
pub fn say(quantity: &Quantity) -> String {
    if quantity.kind == Kind::Length && quantity.system == System::Inch {
        // A fraction would hide a value that is not near one, such as 0.035 in wire.
        return match is_on_the_rule(quantity.si) {
            true => format!("{} in", inch_fraction(quantity.si)),
            false => format!("{} in", round_to(quantity.si / INCH_M, 4)),
        };
    }
    match unit_of(quantity) {
        Some(u) => {
            let value = (quantity.si - u.si_at_zero) / u.si_per_unit;
            // Nobody counts the digits of what no shop measures.
            if value.abs() >= 1e9 {
                return format!("{value:e} {}", u.names[0]);
            }
            // Five figures before the point leave nothing after it to read.
            let decimals = if value.abs() >= 1e4 { 0 } else { 4 };
            format!("{} {}", round_to(value, decimals), u.names[0])
        }
        None => round_to(quantity.si, 6),
    }
}

/// Stresses from here up are spoken of in MPa and ksi, the pressures of a weld
/// pool below it in pascals, Pa (choice: a strength is never so small).
const STRESS_FROM_PA: f64 = 1e5;

/// The unit a quantity is printed in.
fn unit_of(quantity: &Quantity) -> Option<&'static Unit> {
    let is_stress =
        quantity.kind == Kind::Pressure && (quantity.si == 0.0 || quantity.si.abs() >= STRESS_FROM_PA);
    if is_stress {
        return unit_named(if quantity.system == System::Inch { "ksi" } else { "MPa" });
    }
    UNITS
        .iter()
        .find(|u| u.kind == quantity.kind && u.system == quantity.system)
        .or_else(|| UNITS.iter().find(|u| u.kind == quantity.kind))
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
    fn a_length_that_is_no_mark_on_the_rule_is_no_fraction() {
        for (mm, text) in [(0.6, "0.024"), (0.8, "0.031"), (0.9, "0.035"), (1.2, "0.047"), (3.0, "0.118")] {
            assert_eq!(inches(mm * 1e-3), text);
        }
        assert_eq!(length_both(0.432 * INCH_M), "0.432 in · 11.0 mm");
        assert_eq!(inches(12.7e-3), "1/2");
    }

    #[test]
    fn a_computed_limit_is_never_printed_wider_than_it_is() {
        let say = |text: &str, kind, toward| say_computed(&Quantity::parse(kind, text).unwrap(), toward);
        assert_eq!(say("19.795 V", Kind::Voltage, Toward::Less), "19.7 V");
        assert_eq!(say("17.205 V", Kind::Voltage, Toward::Greater), "17.3 V");
        assert_eq!(say("29.7924 kJ/in", Kind::EnergyPerLength, Toward::Less), "29.7 kJ/in");
        assert_eq!(say("27.084 kJ/in", Kind::EnergyPerLength, Toward::Nearest), "27.1 kJ/in");
        // What is on the mark stays there, from either side.
        for toward in [Toward::Greater, Toward::Less] {
            assert_eq!(say("22.3 V", Kind::Voltage, toward), "22.3 V");
            assert_eq!(say("3/4 in", Kind::Length, toward), "3/4 in");
        }
    }

    #[test]
    fn a_half_is_rounded_up_as_people_round() {
        // The table of inches and millimeters on every shop wall says 1/4 in is 6.4 mm, 1/8 in 3.2 mm.
        assert_eq!(length_both(0.25 * INCH_M), "1/4 in · 6.4 mm");
        assert_eq!(length_both(-0.25 * INCH_M), "-1/4 in · -6.4 mm");
        assert_eq!(computed_length(6.35e-3, System::Metric), "6.4 mm");
        assert_eq!(length_both(0.5 * INCH_M), "1/2 in · 12.7 mm");
        for (value, decimals, text) in
            [(6.35, 1, "6.4"), (0.0625, 3, "0.063"), (1.005, 2, "1.01"), (2.5, 0, "3"), (-2.5, 0, "-3")]
        {
            assert_eq!(round_to(value, decimals), text, "{value}");
        }
        // With the zeros kept, for a table whose points stand under each other.
        for (inches, mm) in [(0.25, "6.4"), (0.75, "19.1"), (1.25, "31.8"), (0.5, "12.7"), (0.0, "0.0")] {
            assert_eq!(fixed(inches * INCH_M * 1e3, 1), mm, "{inches} in");
        }
        assert_eq!(round_to(6.349, 1), "6.3");
        assert_eq!(round_to(1e300, 3).len(), 301);
        assert_eq!(round_to(f64::NAN, 1), "NaN");
    }

    #[test]
    fn a_limit_is_printed_to_a_hundredth_of_a_millimeter_on_the_safe_side() {
        let mm = |mm: f64| Quantity::from_si(Kind::Length, mm * 1e-3);
        assert_eq!(say_limit(&mm(0.05 * 9.525), Toward::Less), "0.47 mm");
        assert_eq!(say_limit(&mm(0.05 * 9.525), Toward::Greater), "0.48 mm");
        // What a code prints stays as it prints it.
        for (value, text) in [(0.5, "0.5 mm"), (0.8, "0.8 mm"), (3.0, "3 mm"), (0.05, "0.05 mm")] {
            for toward in [Toward::Less, Toward::Greater, Toward::Nearest] {
                assert_eq!(say_limit(&mm(value), toward), text);
            }
        }
        let inch = |text: &str| Quantity::parse(Kind::Length, text).unwrap();
        assert_eq!(say_limit(&inch("1/32 in"), Toward::Less), "1/32 in");
        assert_eq!(say_limit(&inch("0.0235 in"), Toward::Less), "0.023 in");
        // A limit that is next to nothing is still one.
        assert_eq!(say_limit(&mm(0.004), Toward::Less), "0.004 mm");
    }

    #[test]
    fn no_pascal_and_no_meter_a_second_is_said_of_a_weld() {
        let say = |kind, text| say(&Quantity::parse(kind, text).unwrap());
        assert_eq!(say(Kind::Pressure, "355 MPa"), "355 MPa");
        assert_eq!(say(Kind::Pressure, "355000000 Pa"), "355 MPa");
        assert_eq!(say(Kind::Pressure, "58 ksi"), "58 ksi");
        assert_eq!(say(Kind::Speed, "130 mm/min"), "130 mm/min");
        // A pool's own pressure is a few hundred pascals, and no strength.
        assert_eq!(say(Kind::Pressure, "480 Pa"), "480 Pa");
    }

    #[test]
    fn computed_values_speak_inches_first_in_an_inch_shop() {
        assert_eq!(computed_length(0.3e-3, System::Inch), "0.01 in (0.3 mm)");
        assert_eq!(computed_length(0.3e-3, System::Metric), "0.3 mm");
        assert_eq!(computed_length(0.1e-3, System::Inch), "0.004 in (0.1 mm)");
        assert_eq!(computed_length(-0.05e-3, System::Inch), "-0.002 in (-0.05 mm)");
        assert_eq!(computed_length(0.05e-3, System::Metric), "0.05 mm");
        assert_eq!(computed_length(0.01e-3, System::Inch), "under 0.001 in (under 0.02 mm)");
        assert_eq!(computed_length(0.0, System::Inch), "0 in (0 mm)");
        assert_eq!(computed_energy(0.6e6, System::Inch), "15.2 kJ/in (0.6 kJ/mm)");
    }

    #[test]
    fn says_wire_sizes_as_decimals() {
        let wire = Quantity::parse(Kind::Length, "0.035 in").unwrap();
        assert_eq!(say(&wire), "0.035 in");
    }
}
