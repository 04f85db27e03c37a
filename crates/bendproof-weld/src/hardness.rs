//! Hardness of the heat-affected zone next to the fused metal, as a band over
//! several published formulas of analysis and cooling time 800 to 500 °C.
//!
//! The band is the spread of the formulas, not their scatter about measured
//! hardness, for which no figure was found. Nothing here knows a limit that a
//! code sets, tempering by a later pass, or grain size.

use crate::analysis::{self, AnalysisUnchecked};
use crate::basis::Basis;
use crate::steel::Composition;

/// A published formula for the hardness of the coarse-grained zone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Model {
    /// Arctangent between a martensitic and a bainitic hardness.
    Yurioka1987,
    /// Straight line over the logarithm of cooling time, between plateaus.
    Dueren1981,
    /// Logistic curve fitted to 70 steels.
    Bl70s,
}

impl Model {
    /// Every formula of the band.
    pub const ALL: [Model; 3] = [Model::Yurioka1987, Model::Dueren1981, Model::Bl70s];

    /// Name as said.
    pub fn name(self) -> &'static str {
        match self {
            Model::Yurioka1987 => "Yurioka 1987",
            Model::Dueren1981 => "Düren 1981",
            Model::Bl70s => "Suzuki BL70S",
        }
    }

    /// Where it comes from.
    pub fn source(self) -> &'static str {
        match self {
            Model::Yurioka1987 => "Yurioka et al., Metal Construction 19 (1987) 217R; coefficients recalled",
            Model::Dueren1981 => "Düren 1981; formula recalled",
            Model::Bl70s => {
                "Suzuki; form, inputs and 70 steels of C 0.017 to 0.33 % read, coefficients recalled"
            }
        }
    }

    /// What the source is worth.
    pub fn basis(self) -> Basis {
        Basis::Memory
    }

    /// Vickers hardness (10 kg) after cooling from 800 to 500 °C in `t85_s`
    /// seconds, above zero. `None` where the formula has lost its sense: its
    /// bainite is harder than its martensite, or its limits have crossed.
    ///
    /// No range is checked here; [`hardness_band`] does.
    pub fn hardness_hv(self, analysis: &Composition, t85_s: f64) -> Option<f64> {
        let hardness = match self {
            Model::Yurioka1987 => Yurioka::of(analysis)?.hardness_hv(t85_s),
            Model::Dueren1981 => Dueren::of(analysis)?.hardness_hv(t85_s),
            Model::Bl70s => Logistic::of(analysis)?.hardness_hv(t85_s),
        };
        (t85_s > 0.0 && hardness.is_finite()).then_some(hardness)
    }

    /// Hardness of this formula for cooling without end in speed, HV: all
    /// martensite. `None` as for [`Model::hardness_hv`].
    pub fn martensite_hv(self, analysis: &Composition) -> Option<f64> {
        match self {
            Model::Yurioka1987 => Yurioka::of(analysis).map(|m| m.martensite_hv),
            Model::Dueren1981 => Dueren::of(analysis).map(|m| m.martensite_hv),
            Model::Bl70s => Logistic::of(analysis).map(|m| m.floor_hv + m.rise_hv),
        }
    }
}

/// The arctangent formula of 1987 for one analysis.
///
/// Its boron term is not known here and left out. Faster than
/// `martensite_s` the arctangent would climb beyond all martensite; the
/// hardness is held there instead (choice).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Yurioka {
    /// Hardness of all martensite, HV.
    pub martensite_hv: f64,
    /// Hardness without martensite, HV.
    pub bainite_hv: f64,
    /// Longest cooling time that still gives all martensite, s.
    pub martensite_s: f64,
    /// Shortest cooling time that gives no martensite, s.
    pub bainite_s: f64,
}

impl Yurioka {
    /// The formula's four values for an analysis; `None` where bainite is not
    /// softer or its time not longer than that of martensite.
    pub fn of(analysis: &Composition) -> Option<Self> {
        let Composition { c, si, mn, cr, mo, v, ni, cu, nb, .. } = *analysis;
        let c_hardening = if c <= 0.3 { c } else { c / 6.0 + 0.25 };
        let ce_martensite = c_hardening
            + si / 24.0
            + mn / 6.0
            + cu / 15.0
            + ni / 12.0
            + cr * (1.0 - 0.16 * cr.sqrt()) / 8.0
            + mo / 4.0;
        let ce_hardness =
            c + si / 24.0 + mn / 5.0 + cu / 10.0 + ni / 18.0 + cr / 5.0 + mo / 2.5 + v / 5.0 + nb / 3.0;
        let ce_bainite = c_hardening + mn / 3.6 + cu / 20.0 + ni / 9.0 + cr / 5.0 + mo / 4.0;
        let made = Self {
            martensite_hv: 884.0 * c * (1.0 - 0.3 * c * c) + 294.0,
            bainite_hv: 145.0 + 130.0 * (2.65 * ce_hardness - 0.69).tanh(),
            martensite_s: (10.6 * ce_martensite - 4.8).exp(),
            bainite_s: (6.2 * ce_bainite + 0.74).exp(),
        };
        (made.martensite_hv > made.bainite_hv && made.bainite_s > made.martensite_s).then_some(made)
    }

    fn hardness_hv(&self, t85_s: f64) -> f64 {
        let x = 4.0 * (t85_s / self.martensite_s).ln() / (self.bainite_s / self.martensite_s).ln() - 2.0;
        let middle = (self.martensite_hv + self.bainite_hv) / 2.0;
        let span = self.martensite_hv - self.bainite_hv;
        (middle - span * x.atan() / 2.2).min(self.martensite_hv)
    }
}

/// The formula of 1981 for one analysis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dueren {
    /// Hardness of all martensite, HV.
    pub martensite_hv: f64,
    /// Hardness of all bainite, HV.
    pub bainite_hv: f64,
    carbon_percent: f64,
    equivalent_percent: f64,
}

impl Dueren {
    /// The formula for an analysis; `None` where bainite is not softer.
    pub fn of(analysis: &Composition) -> Option<Self> {
        let Composition { c, si, mn, cr, mo, v, ni, cu, .. } = *analysis;
        let equivalent = c + si / 11.0 + mn / 8.0 + cu / 9.0 + cr / 5.0 + ni / 17.0 + mo / 6.0 + v / 3.0;
        let made = Self {
            martensite_hv: 802.0 * c + 305.0,
            bainite_hv: 350.0 * equivalent + 101.0,
            carbon_percent: c,
            equivalent_percent: equivalent,
        };
        (made.martensite_hv > made.bainite_hv).then_some(made)
    }

    fn hardness_hv(&self, t85_s: f64) -> f64 {
        let (c, decades) = (self.carbon_percent, t85_s.log10());
        let between = 2019.0 * (c * (1.0 - 0.5 * decades) + 0.3 * (self.equivalent_percent - c))
            + 66.0 * (1.0 - 0.8 * decades);
        between.clamp(self.bainite_hv, self.martensite_hv)
    }
}

/// The logistic formula BL70S for one analysis. For low-carbon
/// thermomechanical plate its author's later set is the better one; that set
/// is not known here.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Logistic {
    floor_hv: f64,
    rise_hv: f64,
    steepness: f64,
    middle_decades: f64,
}

impl Logistic {
    fn of(analysis: &Composition) -> Option<Self> {
        let (c, pcm) = (analysis.c, analysis.pcm_percent());
        let rise_hv = 237.0 + 1633.0 * c - 1157.0 * pcm;
        let steepness = (566.0 + 5532.0 * c - 2880.0 * pcm) / rise_hv;
        let made = Self {
            floor_hv: 884.0 * c + 287.0 - rise_hv,
            rise_hv,
            steepness,
            middle_decades: -0.085 + 2.070 * c + 2.459 * pcm,
        };
        (rise_hv > 0.0 && steepness > 0.0).then_some(made)
    }

    fn hardness_hv(&self, t85_s: f64) -> f64 {
        let along = self.steepness * (t85_s.log10() - self.middle_decades);
        self.floor_hv + self.rise_hv / (1.0 + along.exp())
    }
}

/// Hardness of pure structures after Maynier, HV.
///
/// Source: Li, Niebuhr, Meekisho and Atteridge, Metall. Mater. Trans. B 29
/// (1998) 661, equations 26 to 29. Basis: seen. A mixed structure lies between
/// by its shares, which no formula here gives; so this is no part of the band.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Maynier {
    /// All martensite.
    pub martensite_hv: f64,
    /// All bainite.
    pub bainite_hv: f64,
    /// All ferrite and pearlite.
    pub ferrite_pearlite_hv: f64,
}

/// Temperature fall over which the cooling time is taken, K.
const COOLING_SPAN_K: f64 = 300.0;
/// Seconds in an hour; the rate of [`maynier`] is in kelvin per hour.
const HOUR_S: f64 = 3600.0;

/// Hardness of the pure structures at the mean rate of a cooling time from 800
/// to 500 °C in seconds, above zero. The formula asks for the rate at 700 °C;
/// taking the mean rate for it is a choice.
pub fn maynier(analysis: &Composition, t85_s: f64) -> Maynier {
    let Composition { c, si, mn, cr, mo, v, ni, .. } = *analysis;
    let decades = (COOLING_SPAN_K / t85_s * HOUR_S).log10();
    let bainite_slope = 89.0 + 53.0 * c - 55.0 * si - 22.0 * mn - 10.0 * ni - 20.0 * cr - 33.0 * mo;
    let ferrite_slope = 10.0 - 19.0 * si + 4.0 * ni + 8.0 * cr + 130.0 * v;
    Maynier {
        martensite_hv: 127.0 + 949.0 * c + 27.0 * si + 11.0 * mn + 8.0 * ni + 16.0 * cr + 21.0 * decades,
        bainite_hv: -323.0
            + 185.0 * c
            + 330.0 * si
            + 153.0 * mn
            + 65.0 * ni
            + 144.0 * cr
            + 191.0 * mo
            + bainite_slope * decades,
        ferrite_pearlite_hv: 42.0
            + 223.0 * c
            + 53.0 * si
            + 30.0 * mn
            + 12.6 * ni
            + 7.0 * cr
            + 19.0 * mo
            + ferrite_slope * decades,
    }
}

/// Shortest cooling time with worked values, s. Basis: choice. Faster cooling
/// is answered with a wider band, see [`hardness_band`].
pub const T85_CHECKED_MIN_S: f64 = 3.0;
/// Longest cooling time with worked values, s. Basis: choice. Slower cooling is
/// not known.
pub const T85_CHECKED_MAX_S: f64 = 20.0;

/// What one formula says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ModelHardness {
    /// The formula.
    pub model: Model,
    /// Its hardness, HV.
    pub hardness_hv: f64,
}

/// Hardness of the coarse-grained zone as the formulas disagree on it, HV.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HardnessBand {
    /// Low end.
    pub low_hv: f64,
    /// Middle value of the formulas; never to be shown without the ends.
    pub mid_hv: f64,
    /// High end.
    pub high_hv: f64,
    /// What each formula says.
    pub models: [ModelHardness; 3],
    /// Cooling is faster than any worked value: the band reaches from the
    /// softest formula at [`T85_CHECKED_MIN_S`] to the hardest martensite.
    pub is_widened: bool,
}

/// Why no hardness is given.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum HardnessUnknown {
    /// The analysis is outside the checked range.
    #[error("hardness is not known: {0}")]
    Analysis(#[from] AnalysisUnchecked),
    /// The cooling time is outside the checked range.
    #[error(
        "hardness is not known: cooling time 800 to 500 °C is {t85_s} s, checked is above 0 s to 20 s; slower cooling is softer than at 20 s"
    )]
    CoolingTime {
        /// Cooling time asked for, s.
        t85_s: f64,
    },
    /// A formula has lost its sense.
    #[error("hardness is not known: {} gives bainite harder than martensite for this analysis", .0.name())]
    NoSense(Model),
}

/// Band of hardness of the zone next to the fused metal.
///
/// `t85_s` is the cooling time from 800 to 500 °C in seconds. From
/// [`T85_CHECKED_MIN_S`] to [`T85_CHECKED_MAX_S`] the band is the spread of
/// [`Model::ALL`]. Faster, where a short-circuit bead on cold plate lies, the
/// hardness can be no less than at the shortest checked time and no more than
/// martensite's, and the band says just that.
///
/// # Errors
/// [`HardnessUnknown`] outside the checked analysis or above the longest
/// cooling time.
///
/// # Examples
/// ```
/// use bendproof_weld::hardness::hardness_band;
/// use bendproof_weld::steel::Composition;
///
/// let a36 = Composition { c: 0.20, mn: 1.01, si: 0.10, ..Composition::default() };
/// let band = hardness_band(&a36, 6.0).unwrap();
/// assert_eq!(band.low_hv.round(), 293.0);
/// assert_eq!(band.high_hv.round(), 369.0);
/// assert!(hardness_band(&a36, 60.0).is_err());
/// ```
pub fn hardness_band(analysis: &Composition, t85_s: f64) -> Result<HardnessBand, HardnessUnknown> {
    analysis::check(analysis)?;
    if !(t85_s > 0.0 && t85_s <= T85_CHECKED_MAX_S) {
        return Err(HardnessUnknown::CoolingTime { t85_s });
    }
    let at = |t85_s| values(|model| model.hardness_hv(analysis, t85_s));
    let now = at(t85_s)?;
    let is_widened = t85_s < T85_CHECKED_MIN_S;
    let (low_end, high_end) = if is_widened {
        (at(T85_CHECKED_MIN_S)?, values(|model| model.martensite_hv(analysis))?)
    } else {
        (now, now)
    };
    Ok(HardnessBand {
        low_hv: sorted(low_end)[0],
        mid_hv: sorted(now)[1],
        high_hv: sorted(high_end)[2],
        models: now,
        is_widened,
    })
}

fn values(hardness_hv: impl Fn(Model) -> Option<f64>) -> Result<[ModelHardness; 3], HardnessUnknown> {
    let of = |model| match hardness_hv(model) {
        Some(hardness_hv) => Ok(ModelHardness { model, hardness_hv }),
        None => Err(HardnessUnknown::NoSense(model)),
    };
    let [first, second, third] = Model::ALL;
    Ok([of(first)?, of(second)?, of(third)?])
}

fn sorted(models: [ModelHardness; 3]) -> [f64; 3] {
    let mut ordered = models.map(|m| m.hardness_hv);
    ordered.sort_by(f64::total_cmp);
    ordered
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::analysis::tests::{checked_analysis, worked};
    use proptest::prelude::*;

    /// Room for the round-off of sums of some dozen terms near 500 HV.
    const ROUND_OFF_HV: f64 = 1e-9;

    #[test]
    fn the_band_is_the_spread_of_the_worked_values() {
        for (steel, t85_s, low, mid, high) in [
            ("A36", 6.0, 292.732, 353.581, 368.8),
            ("S355", 6.0, 373.02, 378.078, 392.579),
            ("pipe", 20.0, 245.944, 265.62, 303.949),
            ("TMCP", 20.0, 198.522, 209.235, 212.559),
        ] {
            let band = hardness_band(&worked(steel), t85_s).unwrap();
            assert!(!band.is_widened);
            for (got, expected) in [(band.low_hv, low), (band.mid_hv, mid), (band.high_hv, high)] {
                assert!((got - expected).abs() < 6e-4, "{steel} {t85_s}: {got} for {expected}");
            }
        }
    }

    #[test]
    fn outside_the_checked_range_nothing_is_said() {
        let a36 = worked("A36");
        for t85_s in [0.0, -1.0, 20.1, f64::NAN, f64::INFINITY] {
            assert!(matches!(hardness_band(&a36, t85_s), Err(HardnessUnknown::CoolingTime { .. })));
        }
        let said = hardness_band(&Composition { c: 0.4, ..a36 }, 6.0).unwrap_err().to_string();
        assert!(said.starts_with("hardness is not known: carbon is 0.4 %"), "{said}");
        assert!(hardness_band(&Composition::default(), 6.0).is_err());
    }

    #[test]
    fn a_formula_out_of_its_senses_says_nothing() {
        let rich = Composition { c: 0.02, mn: 20.0, cr: 15.0, ..Composition::default() };
        assert_eq!(Model::Dueren1981.hardness_hv(&rich, 6.0), None);
        assert_eq!(Model::Bl70s.hardness_hv(&rich, 6.0), None);
        let siliceous = Composition { si: 20.0, ..worked("A36") };
        assert_eq!(Model::Yurioka1987.hardness_hv(&siliceous, 6.0), None);
        for model in Model::ALL {
            assert_eq!(model.hardness_hv(&worked("A36"), 0.0), None, "{}", model.name());
        }
    }

    proptest! {
        #[test]
        fn no_part_of_the_band_rises_when_cooling_slows(
            analysis in checked_analysis(), fast_s in 0.05..20.0_f64, factor in 1.0..10.0_f64,
        ) {
            let slow_s = (fast_s * factor).min(T85_CHECKED_MAX_S);
            let fast = hardness_band(&analysis, fast_s).unwrap();
            let slow = hardness_band(&analysis, slow_s).unwrap();
            prop_assert!(slow.low_hv <= fast.low_hv + ROUND_OFF_HV);
            prop_assert!(slow.mid_hv <= fast.mid_hv + ROUND_OFF_HV);
            prop_assert!(slow.high_hv <= fast.high_hv + ROUND_OFF_HV);
            for (fast, slow) in fast.models.iter().zip(&slow.models) {
                prop_assert!(slow.hardness_hv <= fast.hardness_hv + ROUND_OFF_HV, "{}", slow.model.name());
            }
            let (fast, slow) = (maynier(&analysis, fast_s), maynier(&analysis, slow_s));
            prop_assert!(slow.martensite_hv <= fast.martensite_hv + ROUND_OFF_HV);
            prop_assert!(slow.bainite_hv <= fast.bainite_hv + ROUND_OFF_HV);
            prop_assert!(slow.ferrite_pearlite_hv <= fast.ferrite_pearlite_hv + ROUND_OFF_HV);
        }

        #[test]
        fn carbon_never_softens(
            analysis in checked_analysis(), t85_s in 0.05..20.0_f64, more in 0.0..0.2_f64,
        ) {
            let richer = Composition { c: (analysis.c + more).min(analysis::CHECKED[0].high_percent), ..analysis };
            let (lean, rich) = (hardness_band(&analysis, t85_s).unwrap(), hardness_band(&richer, t85_s).unwrap());
            prop_assert!(rich.low_hv >= lean.low_hv - ROUND_OFF_HV);
            prop_assert!(rich.high_hv >= lean.high_hv - ROUND_OFF_HV);
            for (lean, rich) in lean.models.iter().zip(&rich.models) {
                prop_assert!(rich.hardness_hv >= lean.hardness_hv - ROUND_OFF_HV, "{}", rich.model.name());
            }
        }

        #[test]
        fn the_band_contains_each_model_and_no_model_passes_its_martensite(
            analysis in checked_analysis(), t85_s in 0.05..20.0_f64,
        ) {
            let band = hardness_band(&analysis, t85_s).unwrap();
            for said in band.models {
                prop_assert!(said.hardness_hv >= band.low_hv - ROUND_OFF_HV);
                prop_assert!(said.hardness_hv <= band.high_hv + ROUND_OFF_HV);
                let martensite_hv = said.model.martensite_hv(&analysis).unwrap();
                prop_assert!(said.hardness_hv <= martensite_hv + ROUND_OFF_HV);
            }
            prop_assert!(band.low_hv <= band.mid_hv && band.mid_hv <= band.high_hv + ROUND_OFF_HV);
        }
    }
}
