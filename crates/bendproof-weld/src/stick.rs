//! Covered electrodes: what a rod lays, at what volts, and for how long it burns,
//! from `data/electrodes.toml`; and the plan of a joint welded with them.
//!
//! A stick has no feed to set: the amps melt it, and the travel spreads it. What it
//! fuses is not computed here.

use std::f64::consts::PI;
use std::sync::LazyLock;

use bendproof_measure::Kind;
use toml::{Table, Value};

use crate::arc::STEEL_DENSITY_KG_M3;
use crate::basis::{Basis, Known};
use crate::coupon::{Fit, Travel};
use crate::table::{self, DataError, Sourced};
use crate::words::{PassKind, Progression};

/// Length of a rod as sold, m: 14 in, the usual length from 1/8 in up.
pub const ROD_LENGTH_M: Known = Known {
    value: 0.3556,
    low: 0.3048,
    high: 0.4572,
    source: "14 in; rods of 12 and 18 in are sold too",
    basis: Basis::Practice,
};
/// What of a rod is thrown away, m.
pub const STUB_M: Known =
    Known { value: 0.0508, low: 0.038, high: 0.127, source: "a stub of 2 in", basis: Basis::Practice };

/// Kilograms a second of one gram an hour.
const KG_S_OF_G_H: f64 = 1e-3 / 3600.0;
/// How far a diameter may lie from a table's and still be that size, as a share:
/// 2.5 mm is called 3/32 in, 5 mm 3/16 in. Basis: choice.
const SAME_SIZE_SHARE: f64 = 0.06;

/// A low and a high end of a believable range.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span {
    /// Low end.
    pub low: f64,
    /// High end.
    pub high: f64,
}

impl Span {
    /// The middle, the value computed with.
    pub fn middle(self) -> f64 {
        0.5 * (self.low + self.high)
    }

    /// Half the width over the middle.
    pub fn doubt_share(self) -> f64 {
        0.5 * (self.high - self.low) / self.middle()
    }
}

/// Arc volts of an electrode: `at_zero_v + per_a_v · I`, give or take `doubt_v`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct VoltsLine {
    /// Volts at no current.
    pub at_zero_v: f64,
    /// Volts an ampere adds.
    pub per_a_v: f64,
    /// How far an arc lies from the line, V.
    pub doubt_v: f64,
}

/// Currents of one size, A.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SizeCurrents {
    /// Core diameter, m.
    pub diameter_m: f64,
    /// Least and most, A.
    pub amps: Span,
}

/// A covered electrode as computed with.
#[derive(Debug, Clone, PartialEq)]
pub struct Electrode {
    /// Its classification.
    pub name: String,
    /// What an ampere lays, kg/(A s).
    pub deposit_kg_as: Sourced<Span>,
    /// Metal laid over core metal burnt; above one with iron powder in the covering.
    pub core_share: Sourced<Span>,
    /// The volts of its arc; `None` where no line is known.
    pub volts: Option<Sourced<VoltsLine>>,
    /// A handbook's currents by size.
    pub currents: Sourced<Vec<SizeCurrents>>,
}

impl Electrode {
    /// The electrode of a classification, `E7018` of `e7018` or `7018`. `None` for one
    /// that has no row.
    pub fn named(name: &str) -> Option<&'static Electrode> {
        let name = crate::consumable::short_for(name).map_or(name.trim(), |wire| wire.name.as_str());
        electrodes().iter().find(|e| e.name.eq_ignore_ascii_case(name))
    }

    /// Metal laid in a second, kg/s.
    pub fn deposit_kg_s(&self, current_a: f64) -> f64 {
        self.deposit_kg_as.value.middle() * current_a
    }

    /// Cross-section of one bead, m², at a travel above zero.
    pub fn bead_area_m2(&self, current_a: f64, travel_m_s: f64) -> f64 {
        self.deposit_kg_s(current_a) / (STEEL_DENSITY_KG_M3 * travel_m_s)
    }

    /// Arc volts at a current; `None` where no line is known.
    pub fn volts_at(&self, current_a: f64) -> Option<f64> {
        self.volts.as_ref().map(|line| line.value.at_zero_v + line.value.per_a_v * current_a)
    }

    /// The handbook's currents of a core diameter, A.
    pub fn currents_of(&self, diameter_m: f64) -> Option<Span> {
        let is_size = |c: &&SizeCurrents| (c.diameter_m / diameter_m - 1.0).abs() < SAME_SIZE_SHARE;
        self.currents.value.iter().find(is_size).map(|c| c.amps)
    }

    /// Metal one rod lays down to its stub, kg.
    pub fn laid_by_rod_kg(&self, rod: Rod) -> f64 {
        rod.burnt_core_kg() * self.core_share.value.middle()
    }
}

/// One rod: core diameter, length and stub, m.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rod {
    /// Core diameter, m.
    pub diameter_m: f64,
    /// Length as sold, m.
    pub length_m: f64,
    /// Length left in the holder, m; below the length.
    pub stub_m: f64,
}

impl Rod {
    /// A rod of the usual length, burnt to the usual stub.
    pub fn usual(diameter_m: f64) -> Self {
        Self { diameter_m, length_m: ROD_LENGTH_M.value, stub_m: STUB_M.value }
    }

    /// Core metal from one end to the stub, kg.
    pub fn burnt_core_kg(self) -> f64 {
        core_kg_m(self.diameter_m) * (self.length_m - self.stub_m)
    }
}

/// Core metal of a meter of rod, kg/m.
fn core_kg_m(diameter_m: f64) -> f64 {
    0.25 * PI * diameter_m * diameter_m * STEEL_DENSITY_KG_M3
}

/// What of the weight bought is laid, from the efficiency without stub: the stub
/// takes its share of the length.
pub fn efficiency_with_stub(without: f64, rod: Rod) -> f64 {
    without * (rod.length_m - rod.stub_m) / rod.length_m
}

/// A joint to be welded with stick, SI units.
#[derive(Debug, Clone, PartialEq)]
pub struct StickPlan {
    /// The joint.
    pub fit: Fit,
    /// The electrode.
    pub electrode: &'static Electrode,
    /// Core diameter, m.
    pub diameter_m: f64,
    /// Highest metal temperature before the next bead, K; `None` where nobody stated one.
    pub interpass_max_k: Option<f64>,
    /// Planned passes, the first one deepest.
    pub passes: Vec<StickPass>,
}

/// One planned pass with stick.
#[derive(Debug, Clone, PartialEq)]
pub struct StickPass {
    /// Root, hot, fill or cap.
    pub kind: PassKind,
    /// Beads laid alike, 1 to 12.
    pub beads: u32,
    /// Direction of travel.
    pub progression: Progression,
    /// Arc volts, V; `None` where nobody stated them.
    pub volts: Option<f64>,
    /// Amps set, A.
    pub current_a: f64,
    /// How fast the arc moves along the joint.
    pub travel: Travel,
}

/// The committed electrodes, in the order of the file.
pub fn electrodes() -> &'static [Electrode] {
    static ELECTRODES: LazyLock<Vec<Electrode>> =
        LazyLock::new(|| read_electrodes(include_str!("../../../data/electrodes.toml")).unwrap_or_default());
    &ELECTRODES
}

/// Reads a table of electrodes.
///
/// # Errors
/// Names the entry that does not read as it should.
pub fn read_electrodes(text: &str) -> Result<Vec<Electrode>, DataError> {
    table::entries(text, "electrode")?.iter().map(Electrode::read).collect()
}

impl Electrode {
    fn read(entry: &Table) -> Result<Self, DataError> {
        let deposit = part(entry, "deposit")?;
        let core = part(entry, "core_share")?;
        let currents = part(entry, "currents")?;
        let span = |of: &Table, [low, high]: [&str; 2], scale: f64| -> Result<Span, DataError> {
            Ok(Span { low: scale * table::number(of, low)?, high: scale * table::number(of, high)? })
        };
        Ok(Self {
            name: table::text(entry, "name")?.to_owned(),
            deposit_kg_as: table::sourced(deposit, span(deposit, ["low_g_ah", "high_g_ah"], KG_S_OF_G_H)?)?,
            core_share: table::sourced(core, span(core, ["low", "high"], 1.0)?)?,
            volts: entry.contains_key("volts").then(|| volts(part(entry, "volts")?)).transpose()?,
            currents: table::sourced(currents, size_currents(currents)?)?,
        })
    }
}

fn part<'a>(entry: &'a Table, key: &str) -> Result<&'a Table, DataError> {
    entry.get(key).and_then(Value::as_table).ok_or_else(|| DataError::new(key, "is not a table"))
}

fn volts(of: &Table) -> Result<Sourced<VoltsLine>, DataError> {
    let line = VoltsLine {
        at_zero_v: table::number(of, "at_zero")?,
        per_a_v: table::number(of, "per_a")?,
        doubt_v: table::number(of, "doubt")?,
    };
    table::sourced(of, line)
}

fn size_currents(of: &Table) -> Result<Vec<SizeCurrents>, DataError> {
    let fault = || DataError::new("ranges", "is not a list of a size and two currents");
    let rows = of.get("ranges").and_then(Value::as_array).ok_or_else(fault)?;
    rows.iter()
        .map(|row| {
            let cells: Option<Vec<&str>> =
                row.as_array().map(|r| r.iter().filter_map(Value::as_str).collect());
            let Some([size, low, high]) = cells.as_deref() else { return Err(fault()) };
            Ok(SizeCurrents {
                diameter_m: table::read_si(size, "ranges", Kind::Length)?,
                amps: Span {
                    low: table::read_si(low, "ranges", Kind::Current)?,
                    high: table::read_si(high, "ranges", Kind::Current)?,
                },
            })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::consumable::wire_named;

    const INCH_M: f64 = 0.0254;
    const LB_H_KG_S: f64 = 0.453_592_37 / 3600.0;

    fn rod(diameter_m: f64, length_in: f64, stub_in: f64) -> Rod {
        Rod { diameter_m, length_m: length_in * INCH_M, stub_m: stub_in * INCH_M }
    }

    fn near(got: f64, wanted: f64, share: f64) {
        assert!((got / wanted - 1.0).abs() < share, "{got} against {wanted}");
    }

    #[test]
    fn every_electrode_is_a_known_wire_and_reads_whole() {
        assert_eq!(electrodes().len(), 5);
        for electrode in electrodes() {
            assert!(
                wire_named(&electrode.name).is_some_and(|wire| wire.kind == "covered"),
                "{}",
                electrode.name
            );
            assert!(electrode.currents.value.iter().all(|c| c.amps.low < c.amps.high));
        }
        assert_eq!(Electrode::named("7018").map(|e| e.name.as_str()), Some("E7018"));
        assert!(Electrode::named("E308L-16").is_none());
    }

    /// ESAB, Basic Welding Filler Metal Technology, lesson 9.8, figure 5: rods of 12
    /// and 14 in, per cent. The figure cuts off after the first decimal.
    #[test]
    fn a_stub_takes_its_share_as_in_the_published_table() {
        for (length_in, stub_in, without, with) in [
            (12.0, 3.0, 60.0, 45.0),
            (12.0, 5.0, 60.0, 35.0),
            (12.0, 3.0, 65.0, 48.7),
            (12.0, 4.0, 70.0, 46.6),
            (12.0, 2.0, 75.0, 62.5),
            (12.0, 5.0, 80.0, 46.6),
            (14.0, 2.0, 60.0, 51.4),
        ] {
            let got = efficiency_with_stub(without, rod(3.2e-3, length_in, stub_in));
            assert!((got - with).abs() < 0.1, "{length_in} in, stub {stub_in} in: {got} against {with}");
        }
    }

    /// Cigweld deposition data, worked example of five E6013 rods 4.0 x 380 mm burnt
    /// to 50 mm: 188 g of core, 24.7 g of stubs, 150 g laid.
    #[test]
    fn five_rods_lay_what_a_maker_weighed() {
        let one = Rod { diameter_m: 4.0e-3, length_m: 0.380, stub_m: 0.050 };
        near(5.0 * core_kg_m(one.diameter_m) * one.length_m, 0.188, 0.01);
        near(5.0 * core_kg_m(one.diameter_m) * one.stub_m, 0.0247, 0.01);
        near(5.0 * Electrode::named("E6013").unwrap().laid_by_rod_kg(one), 0.150, 0.02);
    }

    /// A deposition chart, no source: E7018 3/16 in at 250 A lays 5.4 lb/h; from memory, E6010
    /// 1/8 in at 100 A 2.1 lb/h and E7018 1/8 in at 120 A 2.6 lb/h.
    #[test]
    fn an_hour_lays_what_charts_say() {
        for (name, amps, lb_h) in [("E7018", 250.0, 5.4), ("E6010", 100.0, 2.1), ("E7018", 120.0, 2.6)] {
            near(Electrode::named(name).unwrap().deposit_kg_s(amps), lb_h * LB_H_KG_S, 0.08);
        }
    }

    /// One maker's table of E6013 (Welding Industries of Australia, 2012, p. 6): 2.0 mm
    /// at 40 to 60 A 19 V, 4.0 mm at 130 to 180 A 22 V, 5.0 mm at 180 to 230 A 23 V.
    #[test]
    fn the_volts_of_rutile_are_the_makers() {
        let electrode = Electrode::named("E6013").unwrap();
        for (amps, volts) in [(50.0, 19.0), (155.0, 22.0), (205.0, 23.0)] {
            assert!((electrode.volts_at(amps).unwrap() - volts).abs() < 0.4, "{amps} A");
        }
        assert!(Electrode::named("E7024").unwrap().volts_at(150.0).is_none());
    }

    #[test]
    fn the_handbooks_currents_are_found_by_either_name_of_a_size() {
        let electrode = Electrode::named("E7018").unwrap();
        for (size_m, low, high) in [(3.175e-3, 110.0, 160.0), (3.2e-3, 110.0, 160.0), (2.5e-3, 70.0, 105.0)] {
            assert_eq!(electrode.currents_of(size_m), Some(Span { low, high }), "{size_m}");
        }
        assert_eq!(electrode.currents_of(6.4e-3), None);
    }
}
