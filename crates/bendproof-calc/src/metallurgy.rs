//! Formulas of the heat-affected zone: transformation temperatures, zones and
//! hardness.

use crate::argument::{Argument, Input};
use crate::common::*;
use crate::evaluate::{Computed, Formula, Values};
use crate::steel::composition;
use bendproof_measure::{Kind, celsius_from_kelvin};
use bendproof_weld::Basis;
use bendproof_weld::analysis::CHECKED;
use bendproof_weld::hardness::{
    Dueren, Model, T85_CHECKED_MAX_S, T85_CHECKED_MIN_S, Yurioka, hardness_band, maynier,
};
use bendproof_weld::steel::Composition;
use bendproof_weld::zones::{ZoneLimits, ae1_k, ae3_k, bainite_start_k, martensite_start_k, wall_margin_k};

/// An element, with the range in which the metallurgy is checked.
const fn element(name: &'static str, place: usize) -> Argument {
    let range = CHECKED[place];
    mass_percent(name, range.name).or("0").usual(range.low_percent, range.high_percent)
}

const C: Argument = element("c", 0);
const SI: Argument = element("si", 1);
const MN: Argument = element("mn", 2);
const CR: Argument = element("cr", 3);
const MO: Argument = element("mo", 4);
const V: Argument = element("v", 5);
const NI: Argument = element("ni", 6);
const CU: Argument = element("cu", 7);
const NB: Argument = element("nb", 8);
const B: Argument = element("b", 9);

const ELEMENTS: [Argument; 10] = [C, SI, MN, CR, MO, V, NI, CU, NB, B];
const T85: Argument = Argument::quantity(
    "t85",
    "cooling time 800 to 500 °C",
    Kind::Time,
    "6 s",
    (1e-2, 1e4),
    "take cooling_time, or a measured curve",
)
.usual(T85_CHECKED_MIN_S, T85_CHECKED_MAX_S);
const ELEMENTS_AND_T85: [Argument; 11] = [C, SI, MN, CR, MO, V, NI, CU, NB, B, T85];
/// The band widens below the shortest checked time, so that is no cause to warn.
const ELEMENTS_AND_ANY_T85: [Argument; 11] =
    [C, SI, MN, CR, MO, V, NI, CU, NB, B, T85.usual(0.0, T85_CHECKED_MAX_S)];
const BACK_PEAK: Argument = Argument::quantity(
    "back_peak",
    "highest temperature of the far surface",
    Kind::Temperature,
    "900 C",
    (200.0, 3000.0),
    "take it from a solved pass or a thermocouple",
);
const ELECTRODE: Argument =
    plain_number("electrode", "electrode", "low-hydrogen", (0.0, 1.0), "write low-hydrogen or cellulosic")
        .accepting(Input::Word(&[("low-hydrogen", &["wire", "basic"]), ("cellulosic", &[])]))
        .or("low-hydrogen");

const S355: &[(&str, &str)] = &[("c", "0.18"), ("mn", "1.45"), ("si", "0.35")];
const S355_AT_6_S: &[(&str, &str)] = &[("c", "0.18"), ("mn", "1.45"), ("si", "0.35"), ("t85", "6 s")];

const ANDREWS: &str =
    "low-alloy steel below 0.6 % carbon; equilibrium, a weld's heating raises it by 30 to 100 K";
const ONE_MODEL: &str = "coarse grain next to the weld metal of carbon-manganese steel, as welded; one formula of several, see hardness_band";

pub(crate) const FORMULAS: &[Formula] = &[
    Formula {
        name: "ae1",
        title: "Temperature at which austenite begins to form",
        arguments: &ELEMENTS,
        unit: "°C",
        source: "723 - 16.9Ni + 29.1Si - 10.7Mn + 16.9Cr; Andrews 1965",
        basis: Basis::Secondary,
        validity: ANDREWS,
        example: S355,
        compute: |v| temperature(v, ae1_k),
    },
    Formula {
        name: "ae3",
        title: "Temperature above which all is austenite",
        arguments: &ELEMENTS,
        unit: "°C",
        source: "910 - 203·√C + 44.7Si - 15.2Ni + 31.5Mo + 104V - (30Mn + 11Cr + 20Cu); Andrews 1965; copies without root or bracket are wrong",
        basis: Basis::Secondary,
        validity: ANDREWS,
        example: S355,
        compute: |v| temperature(v, ae3_k),
    },
    Formula {
        name: "bainite_start",
        title: "Temperature at which bainite begins to form on cooling",
        arguments: &ELEMENTS,
        unit: "°C",
        source: "637 - 58C - 35Mn - 15Ni - 34Cr - 41Mo; Li et al., Metall. Mater. Trans. B 29 (1998) 661, equation 24",
        basis: Basis::Seen,
        validity: "low-alloy steel",
        example: S355,
        compute: |v| temperature(v, bainite_start_k),
    },
    Formula {
        name: "martensite_start",
        title: "Temperature at which martensite begins to form on cooling",
        arguments: &ELEMENTS,
        unit: "°C",
        source: "539 - 423C - 30.4Mn - 17.7Ni - 12.1Cr - 7.5Mo - 7.5Si; Li et al., Metall. Mater. Trans. B 29 (1998) 661, equation 25",
        basis: Basis::Seen,
        validity: "low-alloy steel",
        example: S355,
        compute: |v| temperature(v, martensite_start_k),
    },
    Formula {
        name: "zone_limits",
        title: "Peak temperature at which the heat-affected zone begins, and its inner limits",
        arguments: &ELEMENTS,
        unit: "°C",
        source: "Andrews 1965 raised by 65 K (30 to 100 K) for a weld's heating; 1100 °C for coarse grain; solidus and liquidus by carbon",
        basis: Basis::Memory,
        validity: "carbon-manganese steel in the checked range of analysis; peak temperature alone decides",
        example: S355,
        compute: zone_limits,
    },
    Formula {
        name: "hardness_band",
        title: "Hardness next to the weld metal as several formulas disagree on it; the value is their middle",
        arguments: &ELEMENTS_AND_ANY_T85,
        unit: "HV",
        source: "spread of Yurioka 1987, Düren 1981 and BL70S; their coefficients are recalled",
        basis: Basis::Memory,
        validity: "checked range of analysis, up to 20 s; below 3 s the band reaches up to martensite; the formulas' own scatter comes on top",
        example: S355_AT_6_S,
        compute: band,
    },
    Formula {
        name: "hardness_yurioka",
        title: "Hardness next to the weld metal by the arctangent formula of 1987",
        arguments: &ELEMENTS_AND_T85,
        unit: "HV",
        source: "Yurioka et al., Metal Construction 19 (1987) 217R; coefficients recalled",
        basis: Basis::Memory,
        validity: ONE_MODEL,
        example: S355_AT_6_S,
        compute: yurioka,
    },
    Formula {
        name: "hardness_dueren",
        title: "Hardness next to the weld metal by Düren's formula of 1981",
        arguments: &ELEMENTS_AND_T85,
        unit: "HV",
        source: "2019·(C·(1 - 0.5·lg t) + 0.3·(CE - C)) + 66·(1 - 0.8·lg t) between bainite and martensite; Düren 1981, recalled",
        basis: Basis::Memory,
        validity: ONE_MODEL,
        example: S355_AT_6_S,
        compute: dueren,
    },
    Formula {
        name: "hardness_bl70s",
        title: "Hardness next to the weld metal by the logistic formula BL70S",
        arguments: &ELEMENTS_AND_T85,
        unit: "HV",
        source: "Suzuki, 70 steels of C 0.017 to 0.33 %; form read in an abstract, coefficients recalled",
        basis: Basis::Memory,
        validity: ONE_MODEL,
        example: S355_AT_6_S,
        compute: |v| Ok(Computed::of(hardness(Model::Bl70s, v)?)),
    },
    Formula {
        name: "hardness_maynier",
        title: "Hardness of all martensite, all bainite, and all ferrite and pearlite after Maynier",
        arguments: &ELEMENTS_AND_T85,
        unit: "HV",
        source: "Li et al., Metall. Mater. Trans. B 29 (1998) 661, equations 26 to 29",
        basis: Basis::Seen,
        validity: "pure structures; mean rate of the cooling time taken for the rate at 700 °C; a mixture lies between by its shares",
        example: S355_AT_6_S,
        compute: |v| {
            let pure = maynier(&composition(v), v.si("t85"));
            Ok(Computed::of(pure.martensite_hv).also("bainite", pure.bainite_hv, "HV").also(
                "ferrite and pearlite",
                pure.ferrite_pearlite_hv,
                "HV",
            ))
        },
    },
    Formula {
        name: "wall_temperature_margin",
        title: "How far the back of a thin wall stays below the burn-through criterion",
        arguments: &[BACK_PEAK, ELECTRODE],
        unit: "K",
        source: "Boring, IPC2012-90605, abstract: 982 °C for low-hydrogen, 760 °C for cellulosic",
        basis: Basis::Seen,
        validity: "in-service welds on pipe walls; take it for hot passes over a thin root, never for the open root; knows no pressure stress",
        example: &[("back_peak", "900 C")],
        compute: |v| Ok(Computed::of(wall_margin_k(v.si("back_peak"), v.si("electrode") > 0.5))),
    },
];

fn temperature(v: &Values, kelvin: fn(&Composition) -> f64) -> Result<Computed, String> {
    Ok(Computed::of(celsius_from_kelvin(kelvin(&composition(v)))))
}

fn zone_limits(v: &Values) -> Result<Computed, String> {
    let limits = ZoneLimits::of(&composition(v)).map_err(|e| format!("zones are not known: {e}"))?;
    let celsius = celsius_from_kelvin;
    Ok(Computed::of(celsius(limits.ac1.value_k))
        .also("low", celsius(limits.ac1.low_k), "°C")
        .also("high", celsius(limits.ac1.high_k), "°C")
        .also("all austenite", celsius(limits.ac3.value_k), "°C")
        .also("coarse grain", celsius(limits.coarse_grain.value_k), "°C")
        .also("solidus", celsius(limits.solidus.value_k), "°C")
        .also("liquidus", celsius(limits.liquidus.value_k), "°C"))
}

fn band(v: &Values) -> Result<Computed, String> {
    let band = hardness_band(&composition(v), v.si("t85")).map_err(|e| e.to_string())?;
    let computed = Computed::of(band.mid_hv).also("low", band.low_hv, "HV").also("high", band.high_hv, "HV");
    let with_models = band
        .models
        .iter()
        .fold(computed, |computed, said| computed.also(said.model.name(), said.hardness_hv, "HV"));
    Ok(with_models.warn_if(
        band.is_widened,
        "faster than any worked case: the band reaches from the softest formula at 3 s to martensite",
    ))
}

fn hardness(model: Model, v: &Values) -> Result<f64, String> {
    model.hardness_hv(&composition(v), v.si("t85")).ok_or_else(|| no_sense(model))
}

fn no_sense(model: Model) -> String {
    format!("{} makes no sense for this analysis; check the elements", model.name())
}

fn yurioka(v: &Values) -> Result<Computed, String> {
    let model = Model::Yurioka1987;
    let parts = Yurioka::of(&composition(v)).ok_or_else(|| no_sense(model))?;
    Ok(Computed::of(hardness(model, v)?)
        .also("martensite", parts.martensite_hv, "HV")
        .also("bainite", parts.bainite_hv, "HV")
        .also("all martensite up to", parts.martensite_s, "s")
        .also("no martensite from", parts.bainite_s, "s"))
}

fn dueren(v: &Values) -> Result<Computed, String> {
    let model = Model::Dueren1981;
    let parts = Dueren::of(&composition(v)).ok_or_else(|| no_sense(model))?;
    Ok(Computed::of(hardness(model, v)?).also("martensite", parts.martensite_hv, "HV").also(
        "bainite",
        parts.bainite_hv,
        "HV",
    ))
}
