//! Formulas of covered electrodes: what a rod lays.

use crate::argument::{Argument, Input};
use crate::common::*;
use crate::evaluate::{Computed, Formula, Values};
use bendproof_measure::Kind;
use bendproof_weld::Basis;
use bendproof_weld::stick::{Electrode, Rod, efficiency_with_stub};

const CORE: Argument = Argument::quantity(
    "diameter",
    "core diameter",
    Kind::Length,
    "1/8 in",
    (1e-3, 8e-3),
    "read it on the box",
);
const ROD_LENGTH: Argument = Argument::quantity(
    "rod_length",
    "length of the rod",
    Kind::Length,
    "14 in",
    (0.15, 0.6),
    "measure a new rod",
);
const STUB: Argument = Argument::quantity(
    "stub",
    "stub left in the holder",
    Kind::Length,
    "2 in",
    (0.0, 0.14),
    "measure a few stubs",
);

/// Electrodes by classification, in the order of the data.
const CLASSES: &[(&str, &[&str])] =
    &[("E6010", &[]), ("E6011", &[]), ("E6013", &[]), ("E7018", &[]), ("E7024", &[])];
const CLASS: Argument = plain_number("electrode", "electrode", "E7018", (0.0, 4.0), "name the electrode")
    .accepting(Input::Word(CLASSES));

fn electrode(v: &Values) -> Result<&'static Electrode, String> {
    let (name, _) = CLASSES.get(v.si("electrode") as usize).ok_or("the electrode is not known")?;
    Electrode::named(name).ok_or_else(|| format!("what {name} lays is not known"))
}

fn rod(v: &Values) -> Rod {
    Rod { diameter_m: v.si("diameter"), length_m: v.si("rod_length"), stub_m: v.si("stub") }
}

pub(crate) const FORMULAS: &[Formula] = &[
    Formula {
        name: "efficiency_with_stub",
        title: "Share of the electrode bought that is laid",
        arguments: &[EFFICIENCY, ROD_LENGTH, STUB],
        unit: "%",
        source: "the stub takes its share of the length; ESAB Basic Welding Filler Metal Technology, lesson 9",
        basis: Basis::Derived,
        validity: "efficiency without stub, referred to the whole rod",
        example: &[("efficiency", "65 %"), ("rod_length", "14 in"), ("stub", "2 in")],
        compute: |v| Ok(Computed::of(efficiency_with_stub(v.si("efficiency"), rod(v)) * 100.0)),
    },
    Formula {
        name: "rod_laid",
        title: "Metal one rod lays",
        arguments: &[CLASS, CORE, ROD_LENGTH, STUB],
        unit: "g",
        source: "core metal burnt, times the share of it that is laid; shares recalled",
        basis: Basis::Memory,
        validity: "carbon steel electrodes; ± 5 to 9 % by the range of the share",
        example: &[("electrode", "E7018"), ("diameter", "1/8 in"), ("rod_length", "14 in"), ("stub", "2 in")],
        compute: |v| Ok(Computed::of(electrode(v)?.laid_by_rod_kg(rod(v)) * 1e3)),
    },
    Formula {
        name: "stick_deposition_rate",
        title: "Metal a stick deposits per hour",
        arguments: &[CLASS, AMPS],
        unit: "kg/h",
        source: "so much an ampere-hour by class; deposition charts, mostly recalled",
        basis: Basis::Memory,
        validity: "while the arc burns; ± 6 to 10 % by the range of each class",
        example: &[("electrode", "E7018"), ("amps", "120 A")],
        compute: |v| Ok(per_hour(electrode(v)?.deposit_kg_s(v.si("amps")))),
    },
];
