//! Formulas of the steel: carbon equivalents, preheat and heat content.

use crate::argument::Argument;
use crate::common::*;
use crate::evaluate::{Computed, Formula, Values};
use bendproof_heat::solve::{CarbonSteel, Metal};
use bendproof_measure::{Kind, kelvin_from_celsius};
use bendproof_weld::Basis;
use bendproof_weld::steel::{
    Composition, PREHEAT_CET_BASIS, PREHEAT_CET_SOURCE, preheat_cet_c, preheat_ito_bessyo_c,
};

/// The elements of a certificate; a missing one counts as zero, and zero carbon
/// lies outside the usual range and says so.
const ELEMENTS: [Argument; 10] = [
    mass_percent("c", "carbon").or("0").usual(0.05, 0.32),
    mass_percent("si", "silicon").or("0").usual(0.0, 0.8),
    mass_percent("mn", "manganese").or("0").usual(0.0, 1.9),
    mass_percent("cr", "chromium").or("0").usual(0.0, 1.5),
    mass_percent("mo", "molybdenum").or("0").usual(0.0, 0.75),
    mass_percent("v", "vanadium").or("0").usual(0.0, 0.20),
    mass_percent("ni", "nickel").or("0").usual(0.0, 2.5),
    mass_percent("cu", "copper").or("0").usual(0.0, 1.0),
    mass_percent("nb", "niobium").or("0").usual(0.0, 0.06),
    mass_percent("b", "boron").or("0").usual(0.0, 0.005),
];
const EQUIVALENT_VALIDITY: &str = "plain and low-alloy steel; a missing element counts as zero";
const S355: &[(&str, &str)] = &[("c", "0.18"), ("mn", "1.45"), ("si", "0.35")];

const HYDROGEN: Argument = Argument::quantity(
    "hydrogen",
    "hydrogen of the weld metal",
    Kind::Hydrogen,
    "5 ml/100g",
    (0.0, 100e-5),
    "take the class of the filler: 5, 10 or 15 ml/100g",
)
.usual(1e-5, 20e-5);

/// Where the heat content begins to count, °C: room temperature.
const ROOM_C: f64 = 20.0;
const TEMPERATURE: Argument = Argument::quantity(
    "temperature",
    "temperature of the steel",
    Kind::Temperature,
    "800 C",
    (253.15, 1473.15),
    "the standard's properties end at 1200 C",
);

pub(crate) const FORMULAS: &[Formula] = &[
    Formula {
        name: "carbon_equivalent_iiw",
        title: "Carbon equivalent of the International Institute of Welding",
        arguments: &ELEMENTS,
        unit: "%",
        source: "C + Mn/6 + (Cr+Mo+V)/5 + (Ni+Cu)/15; EN 1011-2 method A",
        basis: Basis::Secondary,
        validity: EQUIVALENT_VALIDITY,
        example: S355,
        compute: |v| Ok(Computed::of(composition(v).iiw_percent())),
    },
    Formula {
        name: "carbon_equivalent_cet",
        title: "Carbon equivalent CET",
        arguments: &ELEMENTS,
        unit: "%",
        source: "C + (Mn+Mo)/10 + (Cr+Cu)/20 + Ni/40; EN 1011-2 method B",
        basis: Basis::Secondary,
        validity: EQUIVALENT_VALIDITY,
        example: S355,
        compute: |v| Ok(Computed::of(composition(v).cet_percent())),
    },
    Formula {
        name: "carbon_equivalent_pcm",
        title: "Cracking parameter Pcm",
        arguments: &ELEMENTS,
        unit: "%",
        source: "C + Si/30 + (Mn+Cu+Cr)/20 + Ni/60 + Mo/15 + V/10 + 5B; Ito and Bessyo",
        basis: Basis::Secondary,
        validity: EQUIVALENT_VALIDITY,
        example: S355,
        compute: |v| Ok(Computed::of(composition(v).pcm_percent())),
    },
    Formula {
        name: "carbon_equivalent_cen",
        title: "Carbon equivalent CEN",
        arguments: &ELEMENTS,
        unit: "%",
        source: "Yurioka: C + A(C)·(Si/24 + Mn/6 + Cu/15 + Ni/20 + (Cr+Mo+Nb+V)/5 + 5B)",
        basis: Basis::Secondary,
        validity: "plain and low-alloy steel; one public copy prints Ni/15 instead of Ni/20",
        example: S355,
        compute: |v| Ok(Computed::of(composition(v).cen_percent())),
    },
    Formula {
        name: "preheat_cet",
        title: "Preheat by the CET method",
        arguments: &[
            mass_percent("cet", "carbon equivalent CET").usual(0.2, 0.5),
            THICKNESS.usual(10e-3, 90e-3),
            HYDROGEN,
            HEAT_INPUT.usual(0.5e6, 4e6),
        ],
        unit: "°C",
        source: PREHEAT_CET_SOURCE,
        basis: PREHEAT_CET_BASIS,
        validity: "guards against cold cracks only; yield to 1000 MPa, CET 0.2 to 0.5, 10 to 90 mm, 1 to 20 ml/100g, 0.5 to 4 kJ/mm",
        example: &[
            ("cet", "0.32"),
            ("thickness", "20 mm"),
            ("hydrogen", "5 ml/100g"),
            ("heat_input", "1.0 kJ/mm"),
        ],
        compute: preheat,
    },
    Formula {
        name: "preheat_ito_bessyo",
        title: "Preheat for a severely restrained weld by Ito and Bessyo",
        arguments: &[mass_percent("pcm", "cracking parameter Pcm"), THICKNESS, HYDROGEN],
        unit: "°C",
        source: "1440·(Pcm + H/60 + t/600) - 392; Ito and Bessyo",
        basis: Basis::Memory,
        validity: "slit restraint test with hydrogen by the glycerine method; with mercury values, and for a free coupon, an upper bound",
        example: &[("pcm", "0.27"), ("thickness", "12.7 mm"), ("hydrogen", "5 ml/100g")],
        compute: |v| {
            Ok(warmed(preheat_ito_bessyo_c(v.si("pcm"), v.si("thickness") * 1e3, v.si("hydrogen") * 1e5)))
        },
    },
    Formula {
        name: "steel_enthalpy",
        title: "Heat to warm carbon steel from 20 °C",
        arguments: &[TEMPERATURE],
        unit: "kJ/kg",
        source: "integral of the specific heat of EN 1993-1-2:2005 3.4.1.2",
        basis: Basis::Secondary,
        validity: "carbon steel on heating, 20 to 1200 °C; on cooling the heat of transformation comes back at 500 to 700 °C instead of 735 °C",
        example: &[("temperature", "800 C")],
        compute: |v| {
            let steel = CarbonSteel::REFERENCE;
            let content = |kelvin| Metal::CarbonSteel(steel).enthalpy_j_m3(kelvin) / steel.density_kg_m3;
            Ok(Computed::of((content(v.si("temperature")) - content(kelvin_from_celsius(ROOM_C))) * 1e-3))
        },
    },
];

/// The analysis given by its elements.
pub(crate) fn composition(v: &Values) -> Composition {
    Composition {
        c: v.si("c"),
        si: v.si("si"),
        mn: v.si("mn"),
        cr: v.si("cr"),
        mo: v.si("mo"),
        v: v.si("v"),
        ni: v.si("ni"),
        cu: v.si("cu"),
        nb: v.si("nb"),
        b: v.si("b"),
    }
}

fn preheat(v: &Values) -> Result<Computed, String> {
    let celsius = preheat_cet_c(
        v.si("cet"),
        v.si("thickness") * 1e3,
        v.si("hydrogen") * 1e5,
        v.si("heat_input") * 1e-6,
    );
    Ok(warmed(celsius))
}

/// A preheat in both scales, with a word where none is asked for.
fn warmed(celsius: f64) -> Computed {
    Computed::of(celsius)
        .also("in Fahrenheit", celsius * 1.8 + 32.0, "°F")
        .warn_if(celsius < 20.0, "below room temperature: no preheat beyond a warm, dry plate")
}
