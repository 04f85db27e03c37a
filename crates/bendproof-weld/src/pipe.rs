//! Pipe sizes by nominal size and schedule, from `data/pipe_sizes.toml`.

use crate::table::{self, DataError, Sourced};
use bendproof_measure::{Kind, Quantity, System, parse_number};
use std::sync::LazyLock;

/// One nominal size with its walls.
#[derive(Debug, Clone, PartialEq)]
pub struct PipeSize {
    /// Nominal pipe size as said, for example `2-1/2`.
    pub nps: String,
    /// The same size as metric drawings name it, for example 150.
    pub dn: u32,
    /// Outside diameter, m.
    pub outside_diameter_m: f64,
    /// Walls by schedule.
    pub walls: Vec<Wall>,
}

/// One wall of a pipe size.
#[derive(Debug, Clone, PartialEq)]
pub struct Wall {
    /// Schedule, for example `40`.
    pub schedule: String,
    /// Wall thickness, m.
    pub thickness_m: Sourced<f64>,
}

/// The committed sizes, smallest first.
pub fn pipe_sizes() -> &'static [PipeSize] {
    static SIZES: LazyLock<Vec<PipeSize>> =
        LazyLock::new(|| read_pipe_sizes(include_str!("../../../data/pipe_sizes.toml")).unwrap_or_default());
    &SIZES
}

/// A pipe size as it is ordered: `6`, `NPS 6`, `6 in` or `DN 150`; the nominal
/// inches as a length. `None` for anything else: millimetres measured on a pipe
/// are no nominal size.
pub fn nominal_size(text: &str) -> Option<Quantity> {
    let upper = text.trim().to_ascii_uppercase();
    let inches = match upper.strip_prefix("DN") {
        Some(dn) => nps_of_dn(dn.trim().parse().ok()?)?,
        None => {
            let said = upper.trim_start_matches("NPS").trim_end_matches("NPS");
            let said = said.trim().trim_end_matches('"').trim_end_matches("INCH").trim_end_matches("IN");
            parse_number(said.trim()).ok()?
        }
    };
    Some(Quantity { si: inches * INCH_M, kind: Kind::Length, system: System::Inch })
}

/// The outside diameter of a nominal size, m; the same from NPS 14 up (ASME
/// B36.10M, from memory). `None` for a size the table lacks.
pub fn outside_of(nominal_m: f64) -> Option<f64> {
    if nominal_m >= 13.99 * INCH_M {
        return Some(nominal_m);
    }
    let is_it =
        |size: &&PipeSize| parse_number(&size.nps).is_ok_and(|n| (n * INCH_M - nominal_m).abs() < 1e-6);
    pipe_sizes().iter().find(is_it).map(|size| size.outside_diameter_m)
}

/// How near a measured outside diameter lies to the table's to be that pipe, m:
/// half of the last figure of a diameter in millimetres (choice).
const NAMED_WITHIN_M: f64 = 0.05e-3;

/// The outside diameter of the table nearest to `outside_m`, m, where it is one:
/// 168.3 mm is the pipe of 6.625 in. `None` for another size.
pub fn named_outside(outside_m: f64) -> Option<f64> {
    let of_table = pipe_sizes().iter().map(|size| size.outside_diameter_m);
    of_table.into_iter().find(|named_m| (named_m - outside_m).abs() <= NAMED_WITHIN_M)
}

/// From NPS 14 up a metric size is 25 for each inch (ASME B36.10M, from memory).
fn nps_of_dn(dn: u32) -> Option<f64> {
    let is_large = dn >= 350 && dn.is_multiple_of(25);
    match pipe_sizes().iter().find(|size| size.dn == dn) {
        Some(size) => parse_number(&size.nps).ok(),
        None => is_large.then(|| f64::from(dn) / 25.0),
    }
}

/// Metres in an inch, exact.
const INCH_M: f64 = 0.0254;

/// Reads a table of pipe sizes.
///
/// # Errors
/// [`DataError`] names the key and what is wrong with it.
pub fn read_pipe_sizes(text: &str) -> Result<Vec<PipeSize>, DataError> {
    table::entries(text, "pipe")?
        .iter()
        .map(|entry| {
            let walls = table::tables(entry, "wall")?;
            Ok(PipeSize {
                nps: table::text(entry, "nps")?.to_owned(),
                dn: table::whole(entry, "dn")?,
                outside_diameter_m: table::quantity_si(entry, "outside_diameter", Kind::Length)?,
                walls: walls.iter().map(read_wall).collect::<Result<_, _>>()?,
            })
        })
        .collect()
}

fn read_wall(entry: &toml::Table) -> Result<Wall, DataError> {
    Ok(Wall {
        schedule: table::text(entry, "schedule")?.to_owned(),
        thickness_m: table::sourced(entry, table::quantity_si(entry, "thickness", Kind::Length)?)?,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_size_is_read_as_it_is_ordered() {
        let inches = |text: &str| nominal_size(text).map(|q| q.si / INCH_M);
        for six in ["6", "6 in", "6\"", "NPS 6", "nps6", "6 NPS", "DN 150", "dn150", " 6 inch "] {
            assert_eq!(inches(six).map(f64::round), Some(6.0), "{six}");
        }
        assert_eq!(inches("2-1/2"), Some(2.5));
        assert_eq!(inches("DN 65"), Some(2.5));
        assert_eq!(inches("DN 600").map(f64::round), Some(24.0));
        for wrong in ["150 mm", "DN 151", "DN", "pipe", "", "6 ft"] {
            assert_eq!(inches(wrong), None, "{wrong}");
        }
    }

    #[test]
    fn the_committed_table_reads() {
        let sizes = read_pipe_sizes(include_str!("../../../data/pipe_sizes.toml")).unwrap();
        assert_eq!(sizes, pipe_sizes());
        let six = sizes.iter().find(|s| s.nps == "6").unwrap();
        assert!((six.outside_diameter_m - 0.168275).abs() < 1e-9);
        assert!((six.walls[1].thickness_m.value - 0.432 * 0.0254).abs() < 1e-9);
        assert!(sizes.windows(2).all(|p| p[0].outside_diameter_m < p[1].outside_diameter_m));
    }
}
