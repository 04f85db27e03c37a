//! What ISO calls shielding gases and wires: groups of ISO 14175 by composition,
//! wires of ISO 14341-A by chemistry, from `data/iso_names.toml`.
//!
//! An American classification and an ISO one are different lists with ranges of
//! their own: no wire here is said to be the ISO one, only which it may be.

use std::sync::LazyLock;

use toml::{Table, Value};

use crate::basis::Basis;
use crate::table::{self, DataError};

/// A group of ISO 14175.
#[derive(Debug, Clone, PartialEq)]
pub struct GasGroup {
    /// Symbol, as `M21`.
    pub symbol: String,
    holds_argon: bool,
    carbon_dioxide: Option<Share>,
    oxygen: Option<Share>,
    /// Where the limits were read.
    pub source: String,
    /// What the source is worth.
    pub basis: Basis,
}

/// A range of a gas in per cent of volume; one of `over` and `from` is given.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Share {
    over: Option<f64>,
    from: Option<f64>,
    to: f64,
}

impl Share {
    fn read(entry: &Table, key: &str) -> Result<Option<Self>, DataError> {
        let Some(range) = entry.get(key) else { return Ok(None) };
        let range = range.as_table().ok_or_else(|| DataError::new(key, "is not a range"))?;
        let (over, from) = (table::number_if_any(range, "over")?, table::number_if_any(range, "from")?);
        Ok(Some(Self { over, from, to: table::number(range, "to")? }))
    }

    fn holds(&self, percent: f64) -> bool {
        self.over.is_none_or(|over| percent > over)
            && self.from.is_none_or(|from| percent >= from)
            && percent <= self.to
    }
}

impl GasGroup {
    fn read(entry: &Table) -> Result<Self, DataError> {
        let origin = table::sourced(entry, ())?;
        Ok(Self {
            symbol: table::text(entry, "symbol")?.to_owned(),
            holds_argon: entry.get("argon").and_then(Value::as_bool).unwrap_or(true),
            carbon_dioxide: Share::read(entry, "carbon_dioxide")?,
            oxygen: Share::read(entry, "oxygen")?,
            source: origin.source,
            basis: origin.basis,
        })
    }

    fn holds(&self, carbon_dioxide: f64, oxygen: f64) -> bool {
        let within = |range: Option<Share>, percent: f64| match range {
            Some(range) => range.holds(percent),
            None => percent == 0.0,
        };
        let is_whole = carbon_dioxide + oxygen >= WHOLE_PERCENT;
        within(self.carbon_dioxide, carbon_dioxide)
            && within(self.oxygen, oxygen)
            && self.holds_argon != is_whole
    }
}

/// A gas that holds nothing but the two, per cent.
const WHOLE_PERCENT: f64 = 100.0;
/// How far shares as written may miss the whole, per cent (choice: rounding in
/// the last of two decimals).
const WHOLE_WITHIN: f64 = 0.01;

/// A wire by its chemistry.
#[derive(Debug, Clone, PartialEq)]
pub struct WireChemistry {
    /// Symbol of ISO 14341-A, as `G3Si1`, or the trade's classification.
    pub name: String,
    /// Least and most carbon, silicon and manganese, mass per cent.
    pub ranges: [[f64; 2]; 3],
    /// Where it was read.
    pub source: String,
    /// What the source is worth.
    pub basis: Basis,
}

impl WireChemistry {
    fn read(entry: &Table) -> Result<Self, DataError> {
        let range = |key: &str| {
            let list = entry.get(key).and_then(Value::as_array).map(Vec::as_slice);
            match list.map(|ends| ends.iter().filter_map(Value::as_float).collect::<Vec<_>>()).as_deref() {
                Some([least, most]) => Ok([*least, *most]),
                _ => Err(DataError::new(key, "is not two numbers")),
            }
        };
        let origin = table::sourced(entry, ())?;
        Ok(Self {
            name: table::text(entry, "name")?.to_owned(),
            ranges: [range("carbon")?, range("silicon")?, range("manganese")?],
            source: origin.source,
            basis: origin.basis,
        })
    }

    fn may_be(&self, other: &Self) -> bool {
        self.ranges.iter().zip(&other.ranges).all(|(a, b)| a[0] <= b[1] && b[0] <= a[1])
    }
}

/// Everything of the file.
#[derive(Debug, Default)]
struct File {
    groups: Vec<GasGroup>,
    iso_wires: Vec<WireChemistry>,
    trade_wires: Vec<WireChemistry>,
}

fn read(text: &str) -> Result<File, DataError> {
    let list = |key: &str| table::entries(text, key);
    let wires = |key: &str| list(key)?.iter().map(WireChemistry::read).collect::<Result<_, _>>();
    Ok(File {
        groups: list("gas_group")?.iter().map(GasGroup::read).collect::<Result<_, _>>()?,
        iso_wires: wires("wire")?,
        trade_wires: wires("trade_wire")?,
    })
}

fn file() -> &'static File {
    // The text is committed and a test reads it, so it cannot fail in the field.
    static FILE: LazyLock<File> =
        LazyLock::new(|| read(include_str!("../../../data/iso_names.toml")).unwrap_or_default());
    &FILE
}

/// The group of ISO 14175:2008 of argon with these shares of carbon dioxide and
/// oxygen, per cent of volume (0 to 100); `None` where the groups here hold no
/// such gas.
pub fn gas_group(carbon_dioxide: f64, oxygen: f64) -> Option<&'static GasGroup> {
    file().groups.iter().find(|group| group.holds(carbon_dioxide, oxygen))
}

/// The group of a gas written by its nominal shares, as `75Ar/25CO2`, and its
/// share of carbon dioxide, 0 to 1; `None` where the text is no mixture of argon,
/// carbon dioxide and oxygen that adds up to 100, or no group here holds it.
pub fn group_of_shares(name: &str) -> Option<(&'static GasGroup, f64)> {
    let (mut argon, mut carbon_dioxide, mut oxygen) = (0.0, 0.0, 0.0);
    for part in name.split('/').map(|part| part.trim().to_lowercase()) {
        let digits = part.find(|c: char| c.is_ascii_alphabetic())?;
        let (percent, gas) = part.split_at(digits);
        let percent: f64 = percent.trim().parse().ok().filter(|share| *share > 0.0)?;
        *match gas {
            "ar" => &mut argon,
            "co2" => &mut carbon_dioxide,
            "o2" => &mut oxygen,
            _ => return None,
        } += percent;
    }
    let is_whole = (argon + carbon_dioxide + oxygen - WHOLE_PERCENT).abs() < WHOLE_WITHIN;
    let group = gas_group(carbon_dioxide, oxygen).filter(|_| is_whole)?;
    Some((group, carbon_dioxide / WHOLE_PERCENT))
}

/// Whether a text is the symbol of a group here.
pub(crate) fn is_gas_symbol(text: &str) -> bool {
    file().groups.iter().any(|group| group.symbol == text)
}

/// Wires of ISO 14341-A that a wire of the trade may be: their ranges of carbon,
/// silicon and manganese overlap. Which it is stands in its certificate. Empty
/// where its chemistry is not known here.
pub fn iso_wires(name: &str) -> Vec<&'static WireChemistry> {
    let ours = file().trade_wires.iter().find(|w| w.name.eq_ignore_ascii_case(name.trim()));
    ours.map(|ours| file().iso_wires.iter().filter(|wire| wire.may_be(ours)).collect()).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::consumable::gases;

    #[test]
    fn the_committed_file_reads() {
        let file = read(include_str!("../../../data/iso_names.toml")).unwrap();
        assert_eq!((file.groups.len(), file.iso_wires.len(), file.trade_wires.len()), (16, 3, 3));
    }

    /// The group written with each gas of the trade is that of its composition.
    #[test]
    fn every_gas_lies_in_the_group_its_row_names() {
        for gas in gases() {
            let name = gas.gas.word();
            let (group, _) = group_of_shares(name).unwrap();
            assert_eq!(group.symbol, gas.iso14175, "{name}");
        }
    }

    #[test]
    fn a_gas_tells_its_group_and_carbon_dioxide_by_its_shares_alone() {
        let group_of = |name| group_of_shares(name).map(|(group, co2)| (group.symbol.as_str(), co2));
        assert_eq!(group_of("82Ar/18CO2"), Some(("M21", 0.18)));
        assert_eq!(group_of("90 ar / 8 co2 / 2 o2"), Some(("M24", 0.08)));
        assert_eq!(group_of("100CO2"), Some(("C1", 1.0)));
        for no_answer in ["75Ar/20CO2", "75Ar/25He", "argon", "", "25CO2", "75Ar/25CO2/nanAr", "-5Ar/105CO2"]
        {
            assert_eq!(group_of(no_answer), None, "{no_answer}");
        }
    }

    /// ISO 14175:2008, from memory: the upper end belongs to the group below.
    #[test]
    fn bounds_belong_to_one_group() {
        let of = |co2, o2| gas_group(co2, o2).map(|g| g.symbol.as_str());
        for (co2, o2, wanted) in [
            (0.5, 0.0, Some("M12")),
            (5.0, 0.0, Some("M12")),
            (5.1, 0.0, Some("M20")),
            (15.0, 0.0, Some("M20")),
            (15.1, 0.0, Some("M21")),
            (25.0, 0.0, Some("M21")),
            (25.1, 0.0, Some("M31")),
            (0.0, 3.0, Some("M13")),
            (0.0, 3.1, Some("M22")),
            (5.0, 3.0, Some("M14")),
            (18.0, 2.0, Some("M26")),
            (100.0, 0.0, Some("C1")),
            (90.0, 10.0, Some("C2")),
            (60.0, 0.0, None),
            (80.0, 1.0, None),
            (0.2, 0.0, None),
        ] {
            assert_eq!(of(co2, o2), wanted, "{co2} CO2, {o2} O2");
        }
    }

    /// No mixture in tenths of a per cent lies in two groups.
    #[test]
    fn groups_do_not_overlap() {
        for co2 in 0..=1000 {
            for o2 in (0..=(1000 - co2)).step_by(5) {
                let (co2, o2) = (f64::from(co2) / 10.0, f64::from(o2) / 10.0);
                let found = file().groups.iter().filter(|group| group.holds(co2, o2)).count();
                assert!(found <= 1, "{co2} CO2, {o2} O2");
            }
        }
    }

    /// AWS A5.18 and ISO 14341-A chemistry, read in copies.
    #[test]
    fn a_wire_of_the_trade_may_be_several_of_iso() {
        let symbols = |name| iso_wires(name).iter().map(|w| w.name.as_str()).collect::<Vec<_>>();
        assert_eq!(symbols("ER70S-6"), ["G3Si1", "G4Si1"]);
        assert_eq!(symbols("ER70S-3"), ["G2Si", "G3Si1"]);
        assert!(symbols("E71T-1").is_empty(), "a cored wire stands in another list");
    }
}
