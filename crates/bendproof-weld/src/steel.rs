//! Steels, carbon equivalents, and the preheat they ask for.
//!
//! The table is `data/steels.toml`. What a mill certificate says beats it; the
//! functions take any composition.

use crate::basis::Basis;
use crate::table::{self, DataError, Sourced};
use bendproof_measure::Kind;
use std::sync::LazyLock;
use toml::Table;

/// Chemical composition in mass %. An element not known is zero.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Composition {
    /// Carbon.
    pub c: f64,
    /// Silicon.
    pub si: f64,
    /// Manganese.
    pub mn: f64,
    /// Chromium.
    pub cr: f64,
    /// Molybdenum.
    pub mo: f64,
    /// Vanadium.
    pub v: f64,
    /// Nickel.
    pub ni: f64,
    /// Copper.
    pub cu: f64,
    /// Niobium.
    pub nb: f64,
    /// Boron.
    pub b: f64,
}

impl Composition {
    /// Carbon equivalent of the International Institute of Welding, mass %:
    /// C + Mn/6 + (Cr+Mo+V)/5 + (Ni+Cu)/15. EN 1011-2 method A.
    pub fn iiw_percent(&self) -> f64 {
        self.c + self.mn / 6.0 + (self.cr + self.mo + self.v) / 5.0 + (self.ni + self.cu) / 15.0
    }

    /// Carbon equivalent CET, mass %: C + (Mn+Mo)/10 + (Cr+Cu)/20 + Ni/40.
    /// EN 1011-2 method B.
    pub fn cet_percent(&self) -> f64 {
        self.c + (self.mn + self.mo) / 10.0 + (self.cr + self.cu) / 20.0 + self.ni / 40.0
    }

    /// Cracking parameter Pcm (Ito and Bessyo), mass %:
    /// C + Si/30 + (Mn+Cu+Cr)/20 + Ni/60 + Mo/15 + V/10 + 5B.
    pub fn pcm_percent(&self) -> f64 {
        self.c
            + self.si / 30.0
            + (self.mn + self.cu + self.cr) / 20.0
            + self.ni / 60.0
            + self.mo / 15.0
            + self.v / 10.0
            + 5.0 * self.b
    }

    /// Carbon equivalent CEN (Yurioka), mass %:
    /// C + A·(Si/24 + Mn/6 + Cu/15 + Ni/20 + (Cr+Mo+Nb+V)/5 + 5B),
    /// A = 0.75 + 0.25·tanh(20(C - 0.12)).
    pub fn cen_percent(&self) -> f64 {
        let a = 0.75 + 0.25 * (20.0 * (self.c - 0.12)).tanh();
        let alloy = self.si / 24.0
            + self.mn / 6.0
            + self.cu / 15.0
            + self.ni / 20.0
            + (self.cr + self.mo + self.nb + self.v) / 5.0
            + 5.0 * self.b;
        self.c + a * alloy
    }
}

/// Where the formula of [`preheat_cet_c`] was read.
pub const PREHEAT_CET_SOURCE: &str =
    "EN 1011-2:2001 method B, equation C.8, as an engineering office's note quotes it";
/// What that is worth: the standard itself was not read.
pub const PREHEAT_CET_BASIS: Basis = Basis::Secondary;

/// Preheat of EN 1011-2 method B (equation C.8), °C. May come out below room
/// temperature, which means none is asked for.
///
/// CET in mass % (0.2 to 0.5), thickness of the thicker plate in mm (10 to 90),
/// hydrogen in ml per 100 g of weld metal (1 to 20), heat input in kJ/mm (0.5
/// to 4).
pub fn preheat_cet_c(
    cet_percent: f64,
    thickness_mm: f64,
    hydrogen_ml_100g: f64,
    heat_input_kj_mm: f64,
) -> f64 {
    697.0 * cet_percent
        + 160.0 * (thickness_mm / 35.0).tanh()
        + 62.0 * hydrogen_ml_100g.powf(0.35)
        + (53.0 * cet_percent - 32.0) * heat_input_kj_mm
        - 328.0
}

/// Preheat against cracks in a severely restrained slit weld by Ito and Bessyo,
/// °C: 1440·Pw - 392, Pw = Pcm + H/60 + t/600. Basis: memory.
///
/// Pcm in mass %, thickness in mm, hydrogen in ml per 100 g of weld metal by
/// the glycerine method. Mercury and gas-chromatograph readings, which today's
/// filler classes state, come out higher for the same metal: the answer is then
/// an upper bound. A free coupon needs less.
pub fn preheat_ito_bessyo_c(pcm_percent: f64, thickness_mm: f64, hydrogen_ml_100g: f64) -> f64 {
    1440.0 * (pcm_percent + hydrogen_ml_100g / 60.0 + thickness_mm / 600.0) - 392.0
}

/// One steel of the table.
#[derive(Debug, Clone, PartialEq)]
pub struct Steel {
    /// Name used in coupons.
    pub name: String,
    /// Other ways to write it.
    pub also: Vec<String>,
    /// `plate` or `pipe`.
    pub product: String,
    /// What the steel usually holds.
    pub typical: Option<Sourced<Composition>>,
    /// Most its standard allows.
    pub limits: Option<Sourced<Composition>>,
    /// Least yield strength, Pa.
    pub yield_min_pa: Sourced<f64>,
    /// Least elongation as a share; `None` where not known.
    pub elongation_min: Option<Sourced<f64>>,
    /// Number and group of ASME IX; `None` where not known.
    pub p_number: Option<Sourced<String>>,
}

impl Steel {
    /// The composition to reckon with: the typical one, else the limits, which
    /// give carbon equivalents on the safe side.
    pub fn composition(&self) -> Option<&Sourced<Composition>> {
        self.typical.as_ref().or(self.limits.as_ref())
    }
}

/// The committed steels, in the order of the file.
pub fn steels() -> &'static [Steel] {
    // The text is committed and a test reads it, so it cannot fail in the field.
    static STEELS: LazyLock<Vec<Steel>> =
        LazyLock::new(|| read_steels(include_str!("../../../data/steels.toml")).unwrap_or_default());
    &STEELS
}

/// Finds a steel by any of its names; spaces, hyphens and case do not count.
pub fn steel_named(name: &str) -> Option<&'static Steel> {
    let wanted = folded(name);
    steels().iter().find(|s| std::iter::once(&s.name).chain(&s.also).any(|n| folded(n) == wanted))
}

fn folded(name: &str) -> String {
    name.chars().filter(char::is_ascii_alphanumeric).map(|c| c.to_ascii_lowercase()).collect()
}

/// Reads a steel table.
///
/// # Errors
/// [`DataError`] names the entry and what is wrong with it.
pub fn read_steels(text: &str) -> Result<Vec<Steel>, DataError> {
    table::entries(text, "steel")?.iter().map(read_steel).collect()
}

fn read_steel(entry: &Table) -> Result<Steel, DataError> {
    let name = table::text(entry, "name")?.to_owned();
    let read = || {
        Ok(Steel {
            name: name.clone(),
            also: table::texts(entry, "also")?,
            product: table::text(entry, "product")?.to_owned(),
            typical: optional(entry, "typical", composition)?,
            limits: optional(entry, "limits", composition)?,
            yield_min_pa: optional(entry, "yield_min", |t| table::quantity_si(t, "value", Kind::Pressure))?
                .ok_or_else(|| DataError::new("yield_min", "is missing"))?,
            elongation_min: optional(entry, "elongation_min", |t| {
                table::quantity_si(t, "value", Kind::Share)
            })?,
            p_number: optional(entry, "p_number", |t| table::text(t, "value").map(str::to_owned))?,
        })
    };
    read().map_err(|e: DataError| DataError::new(&name, e.to_string()))
}

fn optional<T>(
    entry: &Table,
    key: &str,
    read: impl Fn(&Table) -> Result<T, DataError>,
) -> Result<Option<Sourced<T>>, DataError> {
    let Some(value) = entry.get(key) else { return Ok(None) };
    let block = value.as_table().ok_or_else(|| DataError::new(key, "is not a table"))?;
    table::sourced(block, read(block)?).map(Some)
}

fn composition(block: &Table) -> Result<Composition, DataError> {
    let mut read = Composition::default();
    for (key, value) in block {
        let place = match key.as_str() {
            "c" => &mut read.c,
            "si" => &mut read.si,
            "mn" => &mut read.mn,
            "cr" => &mut read.cr,
            "mo" => &mut read.mo,
            "v" => &mut read.v,
            "ni" => &mut read.ni,
            "cu" => &mut read.cu,
            "nb" => &mut read.nb,
            "b" => &mut read.b,
            "source" | "basis" => continue,
            _ => return Err(DataError::new(key, "is not an element of the table")),
        };
        *place = value.as_float().ok_or_else(|| DataError::new(key, "is not a number"))?;
    }
    Ok(read)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_committed_table_reads() {
        let table = read_steels(include_str!("../../../data/steels.toml")).unwrap();
        assert_eq!(table, steels());
        for name in ["A36", "A572-50", "A53-B", "A106-B", "A516-70", "API5L-X52", "S355"] {
            let steel = steel_named(name).unwrap();
            assert!(steel.composition().is_some(), "{name}");
        }
        assert_eq!(steel_named("api 5l x52").unwrap().name, "API5L-X52");
        assert!(steel_named("A36 ").is_some());
        assert!(steel_named("unobtainium").is_none());
    }

    #[test]
    fn faults_name_the_entry() {
        let text = "[[steel]]\nname = \"X\"\nproduct = \"plate\"\n[steel.limits]\nzz = 1.0\nsource = \"\"\nbasis = \"seen\"";
        assert_eq!(read_steels(text).unwrap_err().to_string(), "X: zz: is not an element of the table");
    }

    #[test]
    fn worked_equivalents() {
        let s355 = steel_named("S355").unwrap().typical.as_ref().unwrap().value;
        assert!((s355.cet_percent() - 0.33475).abs() < 1e-12);
        assert!((s355.pcm_percent() - 0.273_666_7).abs() < 1e-7);
        assert!((s355.cen_percent() - 0.446_838).abs() < 1e-6);
        assert!((preheat_cet_c(0.3325, 31.75, 5.0, 1.26) - 109.7).abs() < 0.05);
        assert!((preheat_ito_bessyo_c(0.2915, 12.7, 5.0) - 178.24).abs() < 1e-9);
    }
}
