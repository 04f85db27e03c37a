//! Pipe sizes by nominal size and schedule, from `data/pipe_sizes.toml`.

use crate::table::{self, DataError, Sourced};
use bendproof_measure::Kind;
use std::sync::LazyLock;

/// One nominal size with its walls.
#[derive(Debug, Clone, PartialEq)]
pub struct PipeSize {
    /// Nominal pipe size as said, for example `2-1/2`.
    pub nps: String,
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
    fn the_committed_table_reads() {
        let sizes = read_pipe_sizes(include_str!("../../../data/pipe_sizes.toml")).unwrap();
        assert_eq!(sizes, pipe_sizes());
        let six = sizes.iter().find(|s| s.nps == "6").unwrap();
        assert!((six.outside_diameter_m - 0.168275).abs() < 1e-9);
        assert!((six.walls[1].thickness_m.value - 0.432 * 0.0254).abs() < 1e-9);
        assert!(sizes.windows(2).all(|p| p[0].outside_diameter_m < p[1].outside_diameter_m));
    }
}
