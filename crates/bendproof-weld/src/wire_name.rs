//! A wire's name by ISO 14341-A as its certificate states it, read symbol by
//! symbol: `G 42 4 M21 G3Si1` (`data/iso_names.toml`).
//!
//! Only reads: what a certificate does not state is never filled in.

use std::sync::LazyLock;

use toml::{Table, Value};

use crate::basis::Basis;
use crate::iso_names::is_gas_symbol;
use crate::table::{self, DataError};

/// What a strength symbol promises of the weld metal.
#[derive(Debug, Clone, PartialEq)]
pub struct StrengthSymbol {
    /// As `42`.
    pub symbol: String,
    /// Least yield strength, MPa.
    pub yield_mpa: f64,
    /// Least and most tensile strength, MPa.
    pub tensile_mpa: [f64; 2],
    /// Least elongation, per cent.
    pub elongation_percent: f64,
    /// Where it was read.
    pub source: String,
    /// What the source is worth.
    pub basis: Basis,
}

/// What an impact symbol promises: 47 J at a temperature.
#[derive(Debug, Clone, PartialEq)]
pub struct ImpactSymbol {
    /// As `4`.
    pub symbol: String,
    /// The temperature, Celsius; absent where nothing is promised.
    pub celsius: Option<f64>,
}

/// A name, symbol by symbol.
#[derive(Debug, Clone, PartialEq)]
pub struct WireName {
    /// Strength.
    pub strength: &'static StrengthSymbol,
    /// Impact.
    pub impact: &'static ImpactSymbol,
    /// Gas it was proven under, as `M21`; `M` and `C` in names of the older EN 440.
    pub gas: String,
    /// The wire, as `G3Si1`.
    pub wire: String,
}

impl WireName {
    /// The whole name.
    pub fn text(&self) -> String {
        format!("ISO 14341-A - G {} {} {} {}", self.strength.symbol, self.impact.symbol, self.gas, self.wire)
    }
}

/// A text that is no such name.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "{what} `{value}` is not one of {allowed}; copy the name from the wire's certificate, as G 42 4 M21 G3Si1"
)]
pub struct NotWireName {
    /// Which part.
    pub what: &'static str,
    /// What stands there.
    pub value: String,
    /// What may stand there.
    pub allowed: String,
}

impl StrengthSymbol {
    fn read(entry: &Table) -> Result<Self, DataError> {
        let origin = table::sourced(entry, ())?;
        let tensile = entry.get("tensile").and_then(Value::as_array).map(Vec::as_slice);
        let tensile = match tensile {
            Some([Value::Float(least), Value::Float(most)]) => [*least, *most],
            _ => return Err(DataError::new("tensile", "is not two numbers")),
        };
        Ok(Self {
            symbol: table::text(entry, "symbol")?.to_owned(),
            yield_mpa: table::number(entry, "yield")?,
            tensile_mpa: tensile,
            elongation_percent: table::number(entry, "elongation")?,
            source: origin.source,
            basis: origin.basis,
        })
    }
}

impl ImpactSymbol {
    fn read(entry: &Table) -> Result<Self, DataError> {
        table::sourced(entry, ())?;
        let symbol = table::text(entry, "symbol")?.to_owned();
        Ok(Self { symbol, celsius: table::number_if_any(entry, "celsius")? })
    }
}

#[derive(Debug, Default)]
struct File {
    strengths: Vec<StrengthSymbol>,
    impacts: Vec<ImpactSymbol>,
}

fn read(text: &str) -> Result<File, DataError> {
    let list = |key: &str| table::entries(text, key);
    Ok(File {
        strengths: list("strength")?.iter().map(StrengthSymbol::read).collect::<Result<_, _>>()?,
        impacts: list("impact")?.iter().map(ImpactSymbol::read).collect::<Result<_, _>>()?,
    })
}

fn file() -> &'static File {
    // The text is committed and a test reads it, so it cannot fail in the field.
    static FILE: LazyLock<File> =
        LazyLock::new(|| read(include_str!("../../../data/iso_names.toml")).unwrap_or_default());
    &FILE
}

/// Reads a name as a certificate states it: `ISO 14341-A - G 42 4 M21 G3Si1`,
/// with or without the number of the standard, the wire with or without its G.
///
/// # Errors
/// [`NotWireName`] names the first part that cannot be one.
///
/// # Examples
/// ```
/// use bendproof_weld::wire_name::wire_name;
///
/// let name = wire_name("G 42 4 M21 3Si1").unwrap();
/// assert_eq!(name.text(), "ISO 14341-A - G 42 4 M21 G3Si1");
/// assert_eq!(name.impact.celsius, Some(-40.0));
/// ```
pub fn wire_name(text: &str) -> Result<WireName, NotWireName> {
    let upper = text.trim();
    let rest = ["EN ISO 14341-A", "ISO 14341-A"].iter().find_map(|prefix| {
        upper.get(..prefix.len()).filter(|s| s.eq_ignore_ascii_case(prefix)).map(str::len)
    });
    let rest = upper.get(rest.unwrap_or(0)..).unwrap_or_default();
    let rest = rest.trim_start_matches([' ', '-', ':']);
    let words: Vec<&str> = rest.split_whitespace().collect();
    let part = |what, value: &str, allowed: String| NotWireName { what, value: value.to_owned(), allowed };
    let [process, strength, impact, gas, wire] = words.as_slice() else {
        return Err(part("the name", text.trim(), FIVE_PARTS.to_owned()));
    };
    if !process.eq_ignore_ascii_case("G") {
        return Err(part("the process letter", process, "G, wire under gas".to_owned()));
    }
    let symbols = |list: Vec<&str>| list.join(", ");
    let file = file();
    let strength = file.strengths.iter().find(|s| s.symbol == *strength).ok_or_else(|| {
        part("strength", strength, symbols(file.strengths.iter().map(|s| s.symbol.as_str()).collect()))
    })?;
    let impact = file.impacts.iter().find(|s| s.symbol.eq_ignore_ascii_case(impact)).ok_or_else(|| {
        part("impact", impact, symbols(file.impacts.iter().map(|s| s.symbol.as_str()).collect()))
    })?;
    let gas = gas.to_uppercase();
    if !is_gas_symbol(&gas) && !OLD_GASES.contains(&gas.as_str()) {
        return Err(part("gas", &gas, "the symbols of ISO 14175, as M21 or C1".to_owned()));
    }
    let bare = wire.strip_prefix(['G', 'g']).unwrap_or(wire);
    if !bare.starts_with(|c: char| c.is_ascii_digit()) {
        return Err(part("wire", wire, "the wires of ISO 14341-A, as G3Si1".to_owned()));
    }
    Ok(WireName { strength, impact, gas, wire: format!("G{bare}") })
}

/// What a whole name is made of.
const FIVE_PARTS: &str = "the names of ISO 14341-A, which have five parts: G, strength, impact, gas, wire; a name by AWS goes under the filler class";

/// Gas symbols of EN 440: argon mixtures, and carbon dioxide.
const OLD_GASES: [&str; 2] = ["M", "C"];

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    /// Every row of the reference: strength and impact symbols of ISO 14341-A.
    #[test]
    fn every_symbol_promises_what_its_row_says() {
        let file = read(include_str!("../../../data/iso_names.toml")).unwrap();
        let strengths: Vec<_> = file
            .strengths
            .iter()
            .map(|s| (s.symbol.as_str(), s.yield_mpa, s.tensile_mpa, s.elongation_percent))
            .collect();
        assert_eq!(
            strengths,
            [
                ("35", 355.0, [440.0, 570.0], 22.0),
                ("38", 380.0, [470.0, 600.0], 20.0),
                ("42", 420.0, [500.0, 640.0], 20.0),
                ("46", 460.0, [530.0, 680.0], 20.0),
                ("50", 500.0, [560.0, 720.0], 18.0),
            ]
        );
        let impacts: Vec<_> = file.impacts.iter().map(|s| (s.symbol.as_str(), s.celsius)).collect();
        assert_eq!(impacts[..3], [("Z", None), ("A", Some(20.0)), ("0", Some(0.0))]);
        let cold: Vec<_> = impacts[3..].iter().map(|(s, c)| format!("{s} {}", c.unwrap())).collect();
        assert_eq!(cold, ["2 -20", "3 -30", "4 -40", "5 -50", "6 -60"]);
    }

    #[test]
    fn a_name_is_read_as_certificates_print_it() {
        for text in
            ["ISO 14341-A - G 46 5 M G3Si1", "EN ISO 14341-A: G 46 5 M 3Si1", "iso 14341-a-g 46 5 m g3Si1"]
        {
            assert_eq!(wire_name(text).unwrap().text(), "ISO 14341-A - G 46 5 M G3Si1", "{text}");
        }
        assert_eq!(wire_name("G 42 Z C1 G4Si1").unwrap().impact.celsius, None);
    }

    #[test]
    fn a_name_by_aws_is_answered_with_what_to_write_and_where() {
        let said = wire_name("AWS ER70S-6").unwrap_err().to_string();
        let means = "the name `AWS ER70S-6` is not one of the names of ISO 14341-A, which have five parts";
        assert!(said.starts_with(means), "{said}");
        assert!(
            said.contains(
                "a name by AWS goes under the filler class; copy the name from the wire's certificate"
            ),
            "{said}"
        );
    }

    #[test]
    fn what_is_no_name_is_refused_with_the_part_at_fault() {
        for (text, part) in [
            ("G3Si1", "the name"),
            ("T 42 4 M21 3Si1", "the process letter"),
            ("G 43 4 M21 3Si1", "strength `43` is not one of 35, 38, 42, 46, 50"),
            ("G 42 1 M21 3Si1", "impact"),
            ("G 42 4 M99 3Si1", "gas"),
            ("G 42 4 M21 Gx", "wire"),
            ("", "the name"),
        ] {
            let said = wire_name(text).unwrap_err().to_string();
            assert!(said.starts_with(part) && said.contains("certificate"), "{text}: {said}");
        }
    }
}
