//! Diameters of wire and stick by their names in both systems, from
//! `data/wire_sizes.toml`.
//!
//! A wire of 0.9 mm is the wire of 0.035 in; neither name is a conversion of the
//! other, and no rule has a mark for either.

use std::sync::LazyLock;

use bendproof_measure::{Kind, Quantity, System};
use toml::Table;

use crate::table::{self, DataError, Sourced};
use crate::words::Process;

/// One size with its names.
#[derive(Debug, Clone, PartialEq)]
pub struct WireSize {
    /// Names in inches, the printed one first: `0.035 in`.
    pub inch: Vec<String>,
    /// Names in millimetres, the printed one first: `0.9 mm`.
    pub mm: Vec<String>,
    /// Diameter by the first name in inches, m.
    pub diameter_m: Sourced<f64>,
}

/// The committed sizes, thinnest first.
pub fn wire_sizes() -> &'static [WireSize] {
    static SIZES: LazyLock<Vec<WireSize>> =
        LazyLock::new(|| read_wire_sizes(include_str!("../../../data/wire_sizes.toml")).unwrap_or_default());
    &SIZES
}

/// How near a diameter lies to a name to be that size, m: half of the last figure
/// that either name prints (choice).
const NAMED_WITHIN_M: f64 = 12e-6;

/// The name of a wire's diameter in the system it was not written in: `0.035 in`
/// of 0.9 mm. `None` for a diameter that is not sold.
///
/// # Examples
/// ```
/// use bendproof_measure::{Kind, Quantity};
/// use bendproof_weld::wire_size::other_name;
///
/// let wire = |text| Quantity::parse(Kind::Length, text).unwrap();
/// assert_eq!(other_name(&wire("0.9 mm")), Some("0.035 in"));
/// assert_eq!(other_name(&wire("0.045 in")), Some("1.2 mm"));
/// assert_eq!(other_name(&wire("0.7 mm")), None);
/// ```
pub fn other_name(diameter: &Quantity) -> Option<&'static str> {
    let is_inch = diameter.system == System::Inch;
    let is_it = |name: &String| {
        Quantity::parse(Kind::Length, name).is_ok_and(|q| (q.si - diameter.si).abs() < NAMED_WITHIN_M)
    };
    let names = |size: &'static WireSize| match is_inch {
        true => (&size.inch, &size.mm),
        false => (&size.mm, &size.inch),
    };
    let found = wire_sizes().iter().map(names).find(|(own, _)| own.iter().any(is_it));
    found.and_then(|(_, other)| other.first()).map(String::as_str)
}

/// The thinnest and the thickest filler sold for a process, m: wire on a spool,
/// a rod, or the core of a stick electrode.
///
/// Basis: memory; standard sizes of AWS A5.18 (GMAW, and rods for GTAW), A5.20
/// (FCAW), A5.1 (SMAW) and A5.17 (SAW, with the thin wires of small machines).
pub fn sold_for_m(process: Process) -> (f64, f64) {
    const INCH_M: f64 = 0.0254;
    let (least_in, most_in) = match process {
        Process::Gmaw => (0.020, 1.0 / 8.0),
        Process::Fcaw => (0.030, 5.0 / 32.0),
        Process::Smaw => (1.0 / 16.0, 5.0 / 16.0),
        Process::Gtaw => (0.020, 3.0 / 16.0),
        Process::Saw => (0.045, 1.0 / 4.0),
    };
    (least_in * INCH_M, most_in * INCH_M)
}

/// Whether a filler of this diameter, m, is sold for a process, by either name of
/// a size.
pub fn is_sold_for(process: Process, diameter_m: f64) -> bool {
    let (least_m, most_m) = sold_for_m(process);
    // The metric name of the same size may lie a little outside: 8 mm is 5/16 in.
    const NAMES_APART_M: f64 = 0.1e-3;
    diameter_m > least_m - NAMES_APART_M && diameter_m < most_m + NAMES_APART_M
}

/// Reads a table of wire sizes.
///
/// # Errors
/// [`DataError`] names the key and what is wrong with it.
pub fn read_wire_sizes(text: &str) -> Result<Vec<WireSize>, DataError> {
    table::entries(text, "size")?.iter().map(read_size).collect()
}

fn read_size(entry: &Table) -> Result<WireSize, DataError> {
    let (inch, mm) = (table::texts(entry, "inch")?, table::texts(entry, "mm")?);
    for name in inch.iter().chain(&mm) {
        table::read_si(name, "size", Kind::Length)?;
    }
    let first = inch.first().filter(|_| !mm.is_empty());
    let first = first.ok_or_else(|| DataError::new("inch", "and mm each need a name"))?;
    let diameter_m = table::sourced(entry, table::read_si(first, "inch", Kind::Length)?)?;
    Ok(WireSize { diameter_m, inch, mm })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_spool_has_one_name_in_each_system() {
        // Standard sizes of AWS A5.18, from memory.
        for (mm, inch) in [
            ("0.6 mm", "0.023 in"),
            ("0.8 mm", "0.030 in"),
            ("0.9 mm", "0.035 in"),
            ("1.0 mm", "0.040 in"),
            ("1.2 mm", "0.045 in"),
            ("1.4 mm", "0.052 in"),
            ("1.6 mm", "1/16 in"),
        ] {
            assert_eq!(other_name(&Quantity::parse(Kind::Length, mm).unwrap()), Some(inch), "{mm}");
        }
        let wire = |text| Quantity::parse(Kind::Length, text).unwrap();
        assert_eq!(other_name(&wire("0.024 in")), Some("0.6 mm"));
        assert!(wire_sizes().windows(2).all(|pair| pair[0].diameter_m.value < pair[1].diameter_m.value));
    }

    #[test]
    fn a_stick_is_sold_thicker_than_a_wire_and_no_stick_as_thin() {
        let m = |text| Quantity::parse(Kind::Length, text).unwrap().si;
        // E6010 and E7018 of every shop: 3/32 to 1/4 in.
        for size in ["3/32 in", "1/8 in", "5/32 in", "3/16 in", "7/32 in", "1/4 in", "2.5 mm", "8 mm"] {
            assert!(is_sold_for(Process::Smaw, m(size)), "{size}");
        }
        assert!(!is_sold_for(Process::Smaw, m("0.035 in")));
        assert!(is_sold_for(Process::Gtaw, m("3/16 in")) && !is_sold_for(Process::Gtaw, m("1/4 in")));
        assert!(is_sold_for(Process::Gmaw, m("0.5 mm")) && !is_sold_for(Process::Gmaw, m("5/32 in")));
    }

    #[test]
    fn a_size_without_a_name_in_one_system_is_refused() {
        let text = "[[size]]\ninch = [\"0.035 in\"]\nmm = []\nsource = \"a\"\nbasis = \"memory\"\n";
        assert!(read_wire_sizes(text).unwrap_err().to_string().contains("need a name"));
    }
}
