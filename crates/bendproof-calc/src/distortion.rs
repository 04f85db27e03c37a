//! Formulas of distortion: transverse shrinkage, fold and preset of a butt weld.

use crate::argument::Argument;
use crate::common::*;
use crate::evaluate::{Computed, Formula};
use crate::groove::groove;
use bendproof_measure::Kind;
use bendproof_weld::Basis;
use bendproof_weld::distortion::{
    SHRINKAGE_ALLOWANCE_M, angular_bound_rad, preset_rise_m, shrinkage_mean_width_m, shrinkage_spraragen_m,
    shrinkage_thermal_bound_m,
};

const AREA: Argument = Argument::quantity(
    "area",
    "weld area",
    Kind::Area,
    "112 mm2",
    (1e-8, 1e-2),
    "take groove_area, or weld_area with cap and root",
);
const HEAT_SUM: Argument = Argument::quantity(
    "heat_input",
    "heat input, all passes together",
    Kind::EnergyPerLength,
    "6 kJ/mm",
    (1e3, 1e9),
    "add the heat inputs of the passes",
);
const PLATE_WIDTH: Argument = Argument::quantity(
    "plate_width",
    "width of one plate",
    Kind::Length,
    "150 mm",
    (1e-3, 10.0),
    "measure from the joint to the far edge",
);
const FOLD: Argument = Argument::quantity(
    "fold",
    "fold to preset against",
    Kind::Angle,
    "2 deg",
    (0.0, 1.0),
    "give both plates together",
)
.usual(0.0, 0.2);

const FREE_PLATE: &str = "free butt weld in carbon steel; restraint, tacks and pass order not counted; rules differ by a factor of two";

pub(crate) const FORMULAS: &[Formula] = &[
    Formula {
        name: "shrinkage_spraragen",
        title: "Transverse shrinkage of a butt weld by Spraragen and Ettinger",
        arguments: &[AREA, THICKNESS, ROOT_OPENING],
        unit: "mm",
        source: "0.2·A/t + 0.05·g in one unit of length; copies with 5.08 and 1.27 take inches and give mm",
        basis: Basis::Memory,
        validity: FREE_PLATE,
        example: &[("area", "111.8 mm2"), ("thickness", "12.7 mm"), ("root_opening", "3.2 mm")],
        compute: |v| {
            let shrinkage = shrinkage_spraragen_m(v.si("area"), v.si("thickness"), v.si("root_opening"));
            Ok(Computed::of(shrinkage * 1e3)
                .also("usual allowance, low", SHRINKAGE_ALLOWANCE_M.low * 1e3, "mm")
                .also("usual allowance, high", SHRINKAGE_ALLOWANCE_M.high * 1e3, "mm"))
        },
    },
    Formula {
        name: "shrinkage_mean_width",
        title: "Transverse shrinkage of a butt weld as a tenth of the mean groove width",
        arguments: &[AREA, THICKNESS],
        unit: "mm",
        source: "0.10·A/t; a method statement that cites two handbooks",
        basis: Basis::Secondary,
        validity: FREE_PLATE,
        example: &[("area", "111.8 mm2"), ("thickness", "12.7 mm")],
        compute: |v| Ok(Computed::of(shrinkage_mean_width_m(v.si("area"), v.si("thickness")) * 1e3)),
    },
    Formula {
        name: "shrinkage_thermal_bound",
        title: "Most a butt weld shrinks by its heat",
        arguments: &[HEAT_SUM, THICKNESS],
        unit: "mm",
        source: "α·Σ(q/v)/(ρc·t) with α 12e-6 1/K and ρc 4.9e6 J/m³K",
        basis: Basis::Derived,
        validity: "upper bound: all heat of all passes contracts across the joint",
        example: &[("heat_input", "6 kJ/mm"), ("thickness", "12.7 mm")],
        compute: |v| Ok(Computed::of(shrinkage_thermal_bound_m(v.si("heat_input"), v.si("thickness")) * 1e3)),
    },
    Formula {
        name: "angular_bound",
        title: "Most a single-V butt folds",
        arguments: &[ROOT_OPENING, ROOT_FACE, THICKNESS, GROOVE_ANGLE],
        unit: "deg",
        source: "plane geometry: a tenth of face less root width, over the thickness",
        basis: Basis::Derived,
        validity: "upper bound for a free plate, both plates together; root passes hinge and stiffen, so less is usual",
        example: &[
            ("root_opening", "2.4 mm"),
            ("root_face", "1.6 mm"),
            ("thickness", "9.5 mm"),
            ("groove_angle", "75 deg"),
        ],
        compute: |v| {
            let groove = groove(v)?;
            let fold = angular_bound_rad(groove.face_width_m(), groove.root_opening_m, groove.thickness_m);
            Ok(Computed::of(fold.to_degrees()))
        },
    },
    Formula {
        name: "preset_rise",
        title: "How far to raise the far edge of each plate against the fold",
        arguments: &[PLATE_WIDTH, FOLD],
        unit: "mm",
        source: "plane geometry: L·tan(fold/2)",
        basis: Basis::Derived,
        validity: "two equal plates, each raised by half the fold; how much a coupon folds must be seen in the bay",
        example: &[("plate_width", "150 mm"), ("fold", "2 deg")],
        compute: |v| Ok(Computed::of(preset_rise_m(v.si("plate_width"), v.si("fold")) * 1e3)),
    },
];
