//! Transformation temperatures of a steel, and what a peak temperature did to
//! it: from untouched through the heat-affected zone to fused.
//!
//! Peak temperature alone decides here; grain growth with time, and what a
//! later pass does to an earlier zone, are not modelled.

use crate::analysis::{self, AnalysisUnchecked};
use crate::basis::{Basis, Known};
use crate::steel::Composition;
use bendproof_measure::kelvin_from_celsius;

/// Source of [`ae1_k`] and [`ae3_k`].
pub const ANDREWS_SOURCE: &str =
    "Andrews, J. Iron Steel Inst. 203 (1965) 721-727, from collections that quote it";
/// Source of [`bainite_start_k`] and [`martensite_start_k`].
pub const LI_SOURCE: &str =
    "Li, Niebuhr, Meekisho and Atteridge, Metall. Mater. Trans. B 29 (1998) 661-672, equations 24 and 25";

/// Temperature at which austenite begins to form in equilibrium, K.
///
/// Andrews 1965 ([`ANDREWS_SOURCE`]), basis secondary; low-alloy steels below
/// 0.6 % carbon. Tungsten and arsenic are left out.
pub fn ae1_k(analysis: &Composition) -> f64 {
    let Composition { si, mn, cr, ni, .. } = *analysis;
    kelvin_from_celsius(723.0 - 16.9 * ni + 29.1 * si - 10.7 * mn + 16.9 * cr)
}

/// Temperature above which all is austenite in equilibrium, K.
///
/// Andrews 1965 ([`ANDREWS_SOURCE`]), basis secondary; low-alloy steels below
/// 0.6 % carbon. Phosphorus, aluminium and titanium, which raise it, are not
/// in the analysis and left out: 0.02 % phosphorus would be 14 K.
///
/// Two slips stand in public copies. Some lose the root over carbon, worth
/// 50 K at 0.18 %. Others lose a bracket, so that chromium and copper raise the
/// temperature; copper, like manganese, widens the austenite field and must
/// lower it. The slip is worth 8 K for a pipe steel with 0.15 % copper.
pub fn ae3_k(analysis: &Composition) -> f64 {
    let Composition { c, si, mn, cr, mo, v, ni, cu, .. } = *analysis;
    kelvin_from_celsius(
        910.0 - 203.0 * c.sqrt() + 44.7 * si - 15.2 * ni + 31.5 * mo + 104.0 * v
            - (30.0 * mn + 11.0 * cr + 20.0 * cu),
    )
}

/// Temperature at which bainite begins to form on cooling, K ([`LI_SOURCE`],
/// basis seen).
pub fn bainite_start_k(analysis: &Composition) -> f64 {
    let Composition { c, mn, cr, mo, ni, .. } = *analysis;
    kelvin_from_celsius(637.0 - 58.0 * c - 35.0 * mn - 15.0 * ni - 34.0 * cr - 41.0 * mo)
}

/// Temperature at which martensite begins to form on cooling, K
/// ([`LI_SOURCE`], basis seen). Cobalt is left out.
pub fn martensite_start_k(analysis: &Composition) -> f64 {
    let Composition { c, si, mn, cr, mo, ni, .. } = *analysis;
    kelvin_from_celsius(539.0 - 423.0 * c - 30.4 * mn - 17.7 * ni - 12.1 * cr - 7.5 * mo - 7.5 * si)
}

/// How far the heating of a weld, 100 to 500 K/s, raises the temperatures at
/// which austenite forms above their equilibrium, K.
pub const HEATING_SHIFT_K: Known = Known {
    value: 65.0,
    low: 30.0,
    high: 100.0,
    source: "range recalled for heating at 100 to 500 K/s; middle taken",
    basis: Basis::Memory,
};
/// Peak temperature from which austenite grains grow coarse, K.
pub const COARSE_GRAIN_K: Known = Known {
    value: 1373.15,
    low: 1323.15,
    high: 1423.15,
    source: "about 1100 °C for carbon-manganese steel; 50 K either way is a choice",
    basis: Basis::Memory,
};
/// Peak temperature from which the seconds of a weld pass temper a steel, K.
pub const TEMPERING_K: Known = Known {
    value: 873.15,
    low: 723.15,
    high: 973.15,
    source: "stress relief works near 600 °C in minutes; a pass gives seconds",
    basis: Basis::Choice,
};

/// Carbon of the two steels whose melting range is given, mass %.
const MELTING_CARBON_PERCENT: [f64; 2] = [0.10, 0.19];
/// Their solidus, °C, within [`SOLIDUS_DOUBT_K`]. Basis: memory.
const SOLIDUS_C: [f64; 2] = [1485.0, 1457.5];
/// Their liquidus, °C, within [`LIQUIDUS_DOUBT_K`]. Basis: memory.
const LIQUIDUS_C: [f64; 2] = [1520.0, 1510.0];
/// Half of the range 1450 to 1465 °C given for the solidus at 0.18 to 0.2 % C.
const SOLIDUS_DOUBT_K: f64 = 7.5;
/// Half of the range 1505 to 1515 °C given for the liquidus at 0.18 to 0.2 % C.
const LIQUIDUS_DOUBT_K: f64 = 5.0;

/// A temperature with the range in which it may lie, K.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limit {
    /// Low end, K.
    pub low_k: f64,
    /// Working value, K.
    pub value_k: f64,
    /// High end, K.
    pub high_k: f64,
}

impl Limit {
    fn known(known: Known) -> Self {
        Self { low_k: known.low, value_k: known.value, high_k: known.high }
    }

    fn around(value_k: f64, doubt_k: f64) -> Self {
        Self { low_k: value_k - doubt_k, value_k, high_k: value_k + doubt_k }
    }

    fn heated_from(equilibrium_k: f64) -> Self {
        Self {
            low_k: equilibrium_k + HEATING_SHIFT_K.low,
            value_k: equilibrium_k + HEATING_SHIFT_K.value,
            high_k: equilibrium_k + HEATING_SHIFT_K.high,
        }
    }
}

/// What a peak temperature leaves behind, coldest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Zone {
    /// Base metal as it was.
    Unaffected,
    /// Tempered, at most spheroidised; no austenite formed.
    Tempered,
    /// Partly austenite: between the two transformation temperatures.
    Intercritical,
    /// All austenite, grains still small.
    FineGrain,
    /// All austenite, grains grown: the hardest place.
    CoarseGrain,
    /// Between solidus and liquidus.
    PartlyMelted,
    /// Melted.
    Fused,
}

impl Zone {
    /// Every zone, coldest first.
    pub const ALL: [Zone; 7] = [
        Zone::Unaffected,
        Zone::Tempered,
        Zone::Intercritical,
        Zone::FineGrain,
        Zone::CoarseGrain,
        Zone::PartlyMelted,
        Zone::Fused,
    ];

    /// The zone in words.
    pub fn name(self) -> &'static str {
        match self {
            Zone::Unaffected => "unaffected base metal",
            Zone::Tempered => "tempered",
            Zone::Intercritical => "intercritical",
            Zone::FineGrain => "fine grain",
            Zone::CoarseGrain => "coarse grain",
            Zone::PartlyMelted => "partly melted",
            Zone::Fused => "fused",
        }
    }
}

/// The zone of one peak temperature, and how far the limits' doubt reaches.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ZoneReading {
    /// By the working values.
    pub zone: Zone,
    /// Coldest zone it may be.
    pub coldest: Zone,
    /// Hottest zone it may be.
    pub hottest: Zone,
}

/// Peak temperatures at which the zones of one steel begin, after the heating
/// of a weld.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ZoneLimits {
    /// Tempering begins.
    pub tempering: Limit,
    /// Austenite begins to form: the edge an etchant shows.
    pub ac1: Limit,
    /// All is austenite.
    pub ac3: Limit,
    /// Grains grow coarse.
    pub coarse_grain: Limit,
    /// Melting begins.
    pub solidus: Limit,
    /// All is melted.
    pub liquidus: Limit,
}

impl ZoneLimits {
    /// The limits of a steel by its analysis.
    ///
    /// # Errors
    /// The element outside the checked range of [`analysis::CHECKED`].
    ///
    /// # Examples
    /// ```
    /// use bendproof_weld::steel::Composition;
    /// use bendproof_weld::zones::{Zone, ZoneLimits};
    ///
    /// let a36 = Composition { c: 0.20, mn: 1.01, si: 0.10, ..Composition::default() };
    /// let limits = ZoneLimits::of(&a36).unwrap();
    /// assert_eq!(limits.reading(1273.15).zone, Zone::FineGrain);
    /// ```
    pub fn of(analysis: &Composition) -> Result<Self, AnalysisUnchecked> {
        analysis::check(analysis)?;
        let melting = |ends_c: [f64; 2]| {
            let [lean, rich] = MELTING_CARBON_PERCENT;
            let share = (analysis.c - lean) / (rich - lean);
            kelvin_from_celsius(ends_c[0] + share * (ends_c[1] - ends_c[0]))
        };
        Ok(Self {
            tempering: Limit::known(TEMPERING_K),
            ac1: Limit::heated_from(ae1_k(analysis)),
            ac3: Limit::heated_from(ae3_k(analysis)),
            coarse_grain: Limit::known(COARSE_GRAIN_K),
            solidus: Limit::around(melting(SOLIDUS_C), SOLIDUS_DOUBT_K),
            liquidus: Limit::around(melting(LIQUIDUS_C), LIQUIDUS_DOUBT_K),
        })
    }

    /// The limits, coldest first: each begins the next of [`Zone::ALL`].
    pub fn in_order(&self) -> [Limit; 6] {
        [self.tempering, self.ac1, self.ac3, self.coarse_grain, self.solidus, self.liquidus]
    }

    /// What a peak temperature in kelvin leaves behind. A peak right at a limit
    /// belongs to the hotter zone.
    pub fn reading(&self, peak_k: f64) -> ZoneReading {
        // The hottest limit passed counts, whatever lies below it.
        let reached = |end: fn(&Limit) -> f64| {
            let passed = self.in_order().iter().rposition(|limit| peak_k >= end(limit));
            Zone::ALL[passed.map_or(0, |index| index + 1)]
        };
        ZoneReading {
            zone: reached(|limit| limit.value_k),
            coldest: reached(|limit| limit.high_k),
            hottest: reached(|limit| limit.low_k),
        }
    }
}

/// Highest inside-surface peak of a wall welded on with a low-hydrogen process
/// that counts as safe from burning through, K: 982 °C.
pub const WALL_PEAK_LOW_HYDROGEN_K: Known =
    Known { value: 1255.15, low: 1255.15, high: 1255.15, source: WALL_PEAK_SOURCE, basis: Basis::Seen };
/// Highest inside-surface peak of a wall welded on with cellulosic electrodes
/// that counts as safe from burning through, K: 760 °C.
pub const WALL_PEAK_CELLULOSIC_K: Known =
    Known { value: 1033.15, low: 1033.15, high: 1033.15, source: WALL_PEAK_SOURCE, basis: Basis::Seen };
/// Where the wall criterion stands.
const WALL_PEAK_SOURCE: &str = "Boring, IPC2012-90605, abstract: in-service welds on pipe walls";

/// How far the back of a thin root or wall stays below the wall-temperature
/// criterion while a pass is laid over it, K; negative means it is passed.
///
/// `back_peak_k` is the highest temperature of the far surface, K. The
/// criterion was made for pipe walls welded in service: take it for hot passes
/// over a thin root, never for the open root itself. It knows neither stress
/// nor pressure. A wire process counts as low-hydrogen (choice).
pub fn wall_margin_k(back_peak_k: f64, is_cellulosic: bool) -> f64 {
    let limit = if is_cellulosic { WALL_PEAK_CELLULOSIC_K } else { WALL_PEAK_LOW_HYDROGEN_K };
    limit.value - back_peak_k
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::analysis::tests::{checked_analysis, worked};
    use bendproof_measure::celsius_from_kelvin;
    use proptest::prelude::*;

    #[test]
    fn worked_transformation_temperatures() {
        for (steel, ae1, ms, bs) in [
            ("A36", 715.103, 422.946, 590.1),
            ("S355", 717.67, 414.59, 572.95),
            ("pipe", 719.772, 412.222, 585.54),
            ("TMCP", 713.69, 459.426, 576.8),
        ] {
            let analysis = worked(steel);
            assert!((celsius_from_kelvin(ae1_k(&analysis)) - ae1).abs() < 6e-4, "{steel}");
            assert!((celsius_from_kelvin(martensite_start_k(&analysis)) - ms).abs() < 6e-4, "{steel}");
            assert!((celsius_from_kelvin(bainite_start_k(&analysis)) - bs).abs() < 0.06, "{steel}");
        }
        // Without chromium and copper every copy of the formula agrees.
        assert!((celsius_from_kelvin(ae3_k(&worked("A36"))) - 793.386).abs() < 6e-4);
    }

    #[test]
    fn a_peak_is_read_with_its_doubt() {
        let limits = ZoneLimits::of(&worked("A36")).unwrap();
        let read = |celsius: f64| limits.reading(kelvin_from_celsius(celsius));
        let sure = |zone| ZoneReading { zone, coldest: zone, hottest: zone };
        assert_eq!(read(20.0), sure(Zone::Unaffected));
        assert_eq!(read(720.0), sure(Zone::Tempered));
        assert_eq!(read(1000.0), sure(Zone::FineGrain));
        assert_eq!(read(1300.0), sure(Zone::CoarseGrain));
        assert_eq!(read(1485.0), sure(Zone::PartlyMelted));
        assert_eq!(read(1600.0), sure(Zone::Fused));
        let edge = read(1080.0);
        assert_eq!((edge.zone, edge.hottest), (Zone::FineGrain, Zone::CoarseGrain));
        let critical = read(830.0);
        assert_eq!((critical.zone, critical.hottest), (Zone::Intercritical, Zone::FineGrain));
    }

    #[test]
    fn an_unchecked_steel_has_no_zones() {
        assert_eq!(ZoneLimits::of(&Composition::default()).unwrap_err().name, "carbon");
    }

    #[test]
    fn the_wall_criterion_is_stricter_for_cellulosic() {
        let peak_k = kelvin_from_celsius(800.0);
        assert!((wall_margin_k(peak_k, false) - 182.0).abs() < 1e-9);
        assert!((wall_margin_k(peak_k, true) + 40.0).abs() < 1e-9);
    }

    proptest! {
        #[test]
        fn limits_stand_in_order_and_a_hotter_peak_never_gives_a_colder_zone(
            analysis in checked_analysis(), cold_k in 200.0..2500.0_f64, more_k in 0.0..1500.0_f64,
        ) {
            let limits = ZoneLimits::of(&analysis).unwrap();
            for pair in limits.in_order().windows(2) {
                prop_assert!(pair[0].value_k < pair[1].value_k);
            }
            let (cold, hot) = (limits.reading(cold_k), limits.reading(cold_k + more_k));
            prop_assert!(cold.zone <= hot.zone && cold.coldest <= hot.coldest && cold.hottest <= hot.hottest);
            prop_assert!(cold.coldest <= cold.zone && cold.zone <= cold.hottest);
        }
    }
}
