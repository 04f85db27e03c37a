//! The first voice: the trade's published or customary ranges.

use std::sync::OnceLock;

use bendproof_files::{COUPON, What, generic_path};
use bendproof_measure::Quantity;
use bendproof_weld::{PassKind, Progression};

use super::parts::Provenance;

/// One range, SI.
#[derive(Debug, Clone, PartialEq)]
pub struct Range {
    field: String,
    pass: Option<PassKind>,
    progression: Option<Progression>,
    /// Lower end.
    pub low_si: f64,
    /// Upper end.
    pub high_si: f64,
    /// Where it comes from.
    pub provenance: Provenance,
}

/// The first row that fits: narrow rows stand before wide ones in the data.
pub fn range(path: &str, pass: Option<PassKind>, progression: Option<Progression>) -> Option<&'static Range> {
    let field = generic_path(path);
    let fits = |wanted: Option<PassKind>| wanted.is_none() || wanted == pass;
    ranges().iter().find(|r| {
        r.field == field && fits(r.pass) && (r.progression.is_none() || r.progression == progression)
    })
}

fn ranges() -> &'static [Range] {
    static RANGES: OnceLock<Vec<Range>> = OnceLock::new();
    // A row that does not read is left out, and a test refuses such data.
    RANGES.get_or_init(|| rows().iter().filter_map(read).collect())
}

fn rows() -> Vec<toml::Table> {
    let text = include_str!("../../../../data/trade_ranges.toml");
    let table: toml::Table = text.parse().unwrap_or_default();
    let rows = table.get("range").and_then(|v| v.as_array()).cloned().unwrap_or_default();
    rows.into_iter().filter_map(|v| v.as_table().cloned()).collect()
}

fn read(row: &toml::Table) -> Option<Range> {
    let text = |key: &str| row.get(key).and_then(toml::Value::as_str);
    let field = text("field")?;
    let spec = COUPON.specs.iter().find(|s| s.path == field)?;
    let What::Quantity(bound) = spec.what else { return None };
    let si = |key: &str| Some(Quantity::parse(bound.kind, text(key)?).ok()?.si);
    Some(Range {
        field: field.to_owned(),
        pass: match text("pass") {
            Some(word) => Some(PassKind::from_word(word)?),
            None => None,
        },
        progression: match text("progression") {
            Some(word) => Some(Progression::from_word(word)?),
            None => None,
        },
        low_si: si("low")?,
        high_si: si("high")?,
        provenance: Provenance {
            source: text("source")?.to_owned(),
            basis: text("basis")?.to_owned(),
            rule: None,
        },
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_reads_and_runs_upward() {
        assert_eq!(rows().len(), ranges().len(), "a row was left out");
        for range in ranges() {
            assert!(range.low_si < range.high_si, "{range:?}");
            assert!(bendproof_weld::basis::Basis::from_word(&range.provenance.basis).is_some());
        }
    }

    #[test]
    fn the_narrowest_row_wins() {
        let volts = |kind, way| range("pass.3.volts", Some(kind), Some(way)).map(|r| r.low_si);
        assert_eq!(volts(PassKind::Root, Progression::Downhill), Some(17.0));
        assert_eq!(volts(PassKind::Cap, Progression::Downhill), Some(19.0));
        assert_eq!(volts(PassKind::Cap, Progression::Level), Some(16.0));
        assert_eq!(range("fit.thickness", None, None), None);
    }
}
