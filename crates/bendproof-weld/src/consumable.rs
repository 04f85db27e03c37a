//! Wires and shielding gases of the trade, from `data/wires.toml` and
//! `data/gases.toml`.
//!
//! Classification data only; how a wire melts is in [`crate::arc`].

use crate::basis::Basis;
use crate::table::{self, DataError};
use crate::words::{Gas, Process, Transfer};
use bendproof_measure::Kind;
use std::sync::LazyLock;
use toml::Table;

/// One wire, rod or stick electrode by its classification.
#[derive(Debug, Clone, PartialEq)]
pub struct Wire {
    /// Classification as printed on the spool.
    pub name: String,
    /// Specification it belongs to.
    pub specification: String,
    /// Processes it serves.
    pub processes: Vec<Process>,
    /// `solid`, `cored`, `metal-cored` or `covered`.
    pub kind: String,
    /// Diameters sold, m.
    pub diameters_m: Vec<f64>,
    /// Least tensile strength of the deposit, Pa.
    pub tensile_min_pa: f64,
    /// F-number of ASME IX.
    pub f_number: u32,
    /// A-number of ASME IX.
    pub a_number: u32,
    /// Filler group of ISO 9606-1, as `FM1`; `None` when not known.
    pub iso_group: Option<String>,
    /// Filler type of ISO 9606-1, as `S`; `None` when not known.
    pub iso_type: Option<String>,
    /// Where the row comes from.
    pub source: String,
    /// What the source is worth.
    pub basis: Basis,
}

/// What is known about one shielding gas.
#[derive(Debug, Clone, PartialEq)]
pub struct GasData {
    /// The gas.
    pub gas: Gas,
    /// Group of ISO 14175, from memory.
    pub iso14175: String,
    /// Transfers it allows.
    pub transfers: Vec<Transfer>,
    /// Usual flow, least and most, m³/s.
    pub flow_m3_s: (f64, f64),
    /// Where the flow comes from.
    pub source: String,
    /// What the source is worth.
    pub basis: Basis,
}

/// The committed wires, in the order of the file.
pub fn wires() -> &'static [Wire] {
    static WIRES: LazyLock<Vec<Wire>> =
        LazyLock::new(|| read_wires(include_str!("../../../data/wires.toml")).unwrap_or_default());
    &WIRES
}

/// Finds a wire by its classification; case does not matter.
pub fn wire_named(name: &str) -> Option<&'static Wire> {
    wires().iter().find(|w| w.name.eq_ignore_ascii_case(name.trim()))
}

/// Whether a filler is written as none: an autogenous weld.
pub fn is_no_filler(name: &str) -> bool {
    let said = ["none", "no filler", "without filler", "autogenous"];
    said.iter().any(|word| word.eq_ignore_ascii_case(name.trim()))
}

/// The wire a name of the shop is short for: E7018 of `7018`, ER70S-6 of `70S-6`.
/// `None` where it is a classification, or short for nothing that is known.
pub fn short_for(name: &str) -> Option<&'static Wire> {
    let bare = |wire: &&Wire| {
        let letters = if wire.name.starts_with("ER") { 2 } else { 1 };
        wire.name.starts_with('E') && wire.name.split_at(letters).1.eq_ignore_ascii_case(name.trim())
    };
    wires().iter().find(bare)
}

/// A filler, by its classification or its group, that serves other processes than
/// the one it is written for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Foreign {
    /// Its classification, or its group as `F6`.
    pub name: String,
    /// The processes it serves.
    pub processes: &'static [Process],
}

impl Foreign {
    /// Its processes in words: `GMAW or GTAW`.
    pub fn process_words(&self) -> String {
        self.processes.iter().map(|p| p.word()).collect::<Vec<_>>().join(" or ")
    }
}

/// A filler that is known and belongs to other processes than this one; `None`
/// where it serves the process, or is not known.
pub fn foreign_to(process: Process, filler: &str) -> Option<Foreign> {
    let (name, processes) = match wire_named(filler) {
        Some(wire) => (wire.name.clone(), wire.processes.as_slice()),
        None => {
            let number = f_number_written(filler)?;
            (format!("F{number}"), processes_of_group(number)?)
        }
    };
    (!processes.contains(&process)).then_some(Foreign { name, processes })
}

/// The processes whose fillers stand in an F-number of steel: F-1 to F-5 are
/// covered electrodes alone, F-6 every other filler for steel. `None` where the
/// number does not settle it, as a group of aluminum or nickel.
///
/// Source: ASME BPVC IX QW-432. Basis: memory.
pub fn processes_of_group(f_number: u32) -> Option<&'static [Process]> {
    match f_number {
        1..=5 => Some(&[Process::Smaw]),
        6 => Some(&[Process::Gmaw, Process::Fcaw, Process::Gtaw, Process::Saw]),
        _ => None,
    }
}

/// The F-number of a filler written by its group: 4 of `F4`, `f-4` and `F 4`.
fn f_number_written(filler: &str) -> Option<u32> {
    filler.trim().strip_prefix(['F', 'f'])?.trim_start_matches(['-', ' ']).parse().ok()
}

/// The committed gases, one for each [`Gas`].
pub fn gases() -> &'static [GasData] {
    static GASES: LazyLock<Vec<GasData>> =
        LazyLock::new(|| read_gases(include_str!("../../../data/gases.toml")).unwrap_or_default());
    &GASES
}

/// What is known about a gas.
pub fn gas_data(gas: Gas) -> Option<&'static GasData> {
    gases().iter().find(|g| g.gas == gas)
}

/// Reads a wire table.
///
/// # Errors
/// [`DataError`] names the entry and what is wrong with it.
pub fn read_wires(text: &str) -> Result<Vec<Wire>, DataError> {
    table::entries(text, "wire")?.iter().map(|entry| read_wire(entry).map_err(|e| named(entry, &e))).collect()
}

/// Reads a gas table.
///
/// # Errors
/// [`DataError`] names the entry and what is wrong with it.
pub fn read_gases(text: &str) -> Result<Vec<GasData>, DataError> {
    table::entries(text, "gas")?.iter().map(|entry| read_gas(entry).map_err(|e| named(entry, &e))).collect()
}

fn named(entry: &Table, error: &DataError) -> DataError {
    DataError::new(table::text(entry, "name").unwrap_or("unnamed entry"), error.to_string())
}

fn read_wire(entry: &Table) -> Result<Wire, DataError> {
    let processes = table::texts(entry, "processes")?;
    let number = |key: &str| {
        entry
            .get(key)
            .and_then(toml::Value::as_integer)
            .and_then(|n| u32::try_from(n).ok())
            .ok_or_else(|| DataError::new(key, "is not a small whole number"))
    };
    let optional = |key: &str| -> Result<Option<String>, DataError> {
        entry.contains_key(key).then(|| table::text(entry, key).map(str::to_owned)).transpose()
    };
    let diameters = table::texts(entry, "diameters")?;
    let origin = table::sourced(entry, ())?;
    Ok(Wire {
        name: table::text(entry, "name")?.to_owned(),
        specification: table::text(entry, "specification")?.to_owned(),
        processes: processes
            .iter()
            .map(|p| {
                Process::from_word(p)
                    .ok_or_else(|| DataError::new("processes", format!("`{p}` is not known")))
            })
            .collect::<Result<_, _>>()?,
        kind: table::text(entry, "kind")?.to_owned(),
        diameters_m: diameters
            .iter()
            .map(|d| table::read_si(d, "diameters", Kind::Length))
            .collect::<Result<_, _>>()?,
        tensile_min_pa: table::quantity_si(entry, "tensile_min", Kind::Pressure)?,
        f_number: number("f_number")?,
        a_number: number("a_number")?,
        iso_group: optional("iso_group")?,
        iso_type: optional("iso_type")?,
        source: origin.source,
        basis: origin.basis,
    })
}

fn read_gas(entry: &Table) -> Result<GasData, DataError> {
    let name = table::text(entry, "name")?;
    let transfers = table::texts(entry, "transfers")?;
    let origin = table::sourced(entry, ())?;
    Ok(GasData {
        gas: Gas::from_word(name).ok_or_else(|| DataError::new("name", "is not a known gas"))?,
        iso14175: table::text(entry, "iso14175")?.to_owned(),
        transfers: transfers
            .iter()
            .map(|t| {
                Transfer::from_word(t)
                    .ok_or_else(|| DataError::new("transfers", format!("`{t}` is not known")))
            })
            .collect::<Result<_, _>>()?,
        flow_m3_s: (
            table::quantity_si(entry, "flow_low", Kind::Flow)?,
            table::quantity_si(entry, "flow_high", Kind::Flow)?,
        ),
        source: origin.source,
        basis: origin.basis,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_committed_tables_read() {
        assert_eq!(read_wires(include_str!("../../../data/wires.toml")).unwrap(), wires());
        assert_eq!(read_gases(include_str!("../../../data/gases.toml")).unwrap(), gases());
        let known = wire_named("er70s-6").unwrap();
        assert_eq!((known.iso_group.as_deref(), known.iso_type.as_deref()), (Some("FM1"), Some("S")));
        assert_eq!(wire_named("E71T-1").unwrap().iso_type.as_deref(), Some("P"));
        for wire in wires() {
            assert!(!wire.processes.is_empty(), "{}", wire.name);
        }
        for gas in Gas::ALL {
            let data = gas_data(*gas).unwrap();
            assert!(data.flow_m3_s.0 < data.flow_m3_s.1);
            let sprays = gas.argon_share() >= crate::arc::SPRAY_ARGON_SHARE_MIN;
            assert_eq!(data.transfers.contains(&Transfer::Spray), sprays, "{gas}");
        }
    }

    /// Groups and processes as AWS A5 and ASME IX QW-432 have them (from memory).
    #[test]
    fn common_electrodes_have_their_process_and_f_number() {
        let wanted = [
            ("E7024", 1, "SMAW"),
            ("E6013", 2, "SMAW"),
            ("E6010", 3, "SMAW"),
            ("E6011", 3, "SMAW"),
            ("E7018", 4, "SMAW"),
            ("E308L-16", 5, "SMAW"),
            ("E71T-1C", 6, "FCAW"),
            ("E71T-1M", 6, "FCAW"),
            ("E71T-8", 6, "FCAW"),
            ("E71T-11", 6, "FCAW"),
            ("E70C-6M", 6, "GMAW"),
            ("ER70S-2", 6, "GMAW or GTAW"),
            ("ER80S-D2", 6, "GMAW or GTAW"),
        ];
        for (name, f_number, processes) in wanted {
            let wire = wire_named(name).unwrap();
            let served = wire.processes.iter().map(|p| p.word()).collect::<Vec<_>>().join(" or ");
            assert_eq!((wire.f_number, served.as_str()), (f_number, processes), "{name}");
        }
        assert!(foreign_to(Process::Smaw, "er70s-6").is_some());
        assert!(foreign_to(Process::Gtaw, "ER70S-6").is_none());
        assert!(foreign_to(Process::Smaw, "unheard of").is_none());
        let short = |name: &str| short_for(name).map(|wire| wire.name.as_str());
        assert_eq!(
            ["7018", "70s-6", "E7018", "banana", ""].map(short),
            [Some("E7018"), Some("ER70S-6"), None, None, None]
        );
    }

    #[test]
    fn a_group_that_no_filler_of_the_process_has_is_foreign_to_it() {
        use Process::*;
        for (process, group) in [(Smaw, "F6"), (Gmaw, "F3"), (Gmaw, "f-4"), (Fcaw, "F 4"), (Gtaw, "F5")] {
            assert_eq!(foreign_to(process, group).unwrap().name.len(), 2, "{process} {group}");
        }
        for (process, group) in
            [(Smaw, "F4"), (Gmaw, "F6"), (Fcaw, "F6"), (Smaw, "F43"), (Gtaw, "F22"), (Saw, "FM1")]
        {
            assert_eq!(foreign_to(process, group), None, "{process} {group}");
        }
        // The table of fillers says the same of each of them.
        for wire in wires() {
            let Some(processes) = processes_of_group(wire.f_number) else { continue };
            assert!(wire.processes.iter().all(|process| processes.contains(process)), "{}", wire.name);
        }
    }

    #[test]
    fn faults_name_the_entry() {
        let text = "[[wire]]\nname = \"ER1\"\nprocesses = [\"magic\"]\nsource = \"\"\nbasis = \"seen\"";
        assert!(read_wires(text).unwrap_err().to_string().starts_with("ER1: "));
    }
}
