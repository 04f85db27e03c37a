//! Formulas of the groove: areas, wire, gas and time.

use crate::argument::Argument;
use crate::common::*;
use crate::evaluate::{Computed, Formula, Values};
use bendproof_measure::Kind;
use bendproof_weld::Basis;
use bendproof_weld::arc::{STEEL_DENSITY_KG_M3, deposition_rate_kg_s};
use bendproof_weld::groove::{Groove, cap_area_m2, root_area_m2};

const CAP: Argument = Argument::quantity(
    "cap_height",
    "cap height",
    Kind::Length,
    "1.6 mm",
    (0.0, 20e-3),
    "measure above the plate surface",
)
.or("1.6 mm");
const ROOT: Argument = Argument::quantity(
    "root_height",
    "root reinforcement",
    Kind::Length,
    "1 mm",
    (0.0, 20e-3),
    "measure below the underside",
)
.or("1 mm");
const LENGTH: Argument = Argument::quantity(
    "length",
    "joint length",
    Kind::Length,
    "1 m",
    (1e-3, 1000.0),
    "measure along the joint",
)
.or("1 m");
const GAS_FLOW: Argument =
    Argument::quantity("gas_flow", "gas flow", Kind::Flow, "15 L/min", (1e-6, 0.01), "read the flowmeter");
const DEPOSITION: Argument = EFFICIENCY.or("93 %");
const EXAMPLE_GROOVE: [(&str, &str); 4] = [
    ("root_opening", "3.175 mm"),
    ("root_face", "1.588 mm"),
    ("thickness", "9.525 mm"),
    ("groove_angle", "60 deg"),
];
const GROOVE_SOURCE: &str = "plane geometry: A = g·t + (t - f)²·tan(α/2)";
const TOTAL_SOURCE: &str =
    "groove area plus parabolas for cap (groove width + 3 mm) and root (opening + 2 mm); steel at 7850 kg/m³";
const TOTAL_VALIDITY: &str = "single V; the cap and root shapes are a choice, so allow 5 % on the total";

pub(crate) const FORMULAS: &[Formula] = &[
    Formula {
        name: "groove_area",
        title: "Area of a single-V groove to the plate surface",
        arguments: &[ROOT_OPENING, ROOT_FACE, THICKNESS, GROOVE_ANGLE],
        unit: "mm2",
        source: GROOVE_SOURCE,
        basis: Basis::Derived,
        validity: "single V with equal lands and no mismatch; cap and root not counted",
        example: &EXAMPLE_GROOVE,
        compute: |v| {
            let groove = groove(v)?;
            Ok(Computed::of(groove.area_m2() * 1e6).also("face width", groove.face_width_m() * 1e3, "mm"))
        },
    },
    Formula {
        name: "groove_face_width",
        title: "Width of a single-V groove at the plate surface",
        arguments: &[ROOT_OPENING, ROOT_FACE, THICKNESS, GROOVE_ANGLE],
        unit: "mm",
        source: "plane geometry: w = g + 2(t - f)·tan(α/2)",
        basis: Basis::Derived,
        validity: "single V with equal lands and no mismatch",
        example: &EXAMPLE_GROOVE,
        compute: |v| Ok(Computed::of(groove(v)?.face_width_m() * 1e3)),
    },
    Formula {
        name: "weld_area",
        title: "Area of groove, cap and root reinforcement",
        arguments: &[ROOT_OPENING, ROOT_FACE, THICKNESS, GROOVE_ANGLE, CAP, ROOT],
        unit: "mm2",
        source: TOTAL_SOURCE,
        basis: Basis::Choice,
        validity: TOTAL_VALIDITY,
        example: &EXAMPLE_GROOVE,
        compute: |v| weld(v).map(|weld| weld.reported(weld.total_m2() * 1e6)),
    },
    Formula {
        name: "wire_mass",
        title: "Wire to buy for a joint",
        arguments: &[ROOT_OPENING, ROOT_FACE, THICKNESS, GROOVE_ANGLE, CAP, ROOT, LENGTH, DEPOSITION],
        unit: "kg",
        source: TOTAL_SOURCE,
        basis: Basis::Choice,
        validity: TOTAL_VALIDITY,
        example: &EXAMPLE_GROOVE,
        compute: |v| {
            let weld = weld(v)?;
            let deposit_kg = weld.total_m2() * STEEL_DENSITY_KG_M3 * v.si("length");
            Ok(weld.reported(deposit_kg / v.si("efficiency")).also("deposit", deposit_kg, "kg"))
        },
    },
    Formula {
        name: "arc_time",
        title: "Time with the arc burning for a joint",
        arguments: &[
            ROOT_OPENING,
            ROOT_FACE,
            THICKNESS,
            GROOVE_ANGLE,
            CAP,
            ROOT,
            LENGTH,
            DEPOSITION,
            DIAMETER,
            WIRE_FEED,
        ],
        unit: "min",
        source: TOTAL_SOURCE,
        basis: Basis::Choice,
        validity: TOTAL_VALIDITY,
        example: &[
            EXAMPLE_GROOVE[0],
            EXAMPLE_GROOVE[1],
            EXAMPLE_GROOVE[2],
            EXAMPLE_GROOVE[3],
            ("diameter", "0.035 in"),
            ("wire_feed", "200 in/min"),
        ],
        compute: |v| Ok(Computed::of(arc_time_s(v)? / 60.0)),
    },
    Formula {
        name: "gas_volume",
        title: "Shielding gas for a joint, arc time only",
        arguments: &[
            ROOT_OPENING,
            ROOT_FACE,
            THICKNESS,
            GROOVE_ANGLE,
            CAP,
            ROOT,
            LENGTH,
            DEPOSITION,
            DIAMETER,
            WIRE_FEED,
            GAS_FLOW,
        ],
        unit: "L",
        source: TOTAL_SOURCE,
        basis: Basis::Choice,
        validity: "arc time only; pre-flow, post-flow and leaks come on top",
        example: &[
            EXAMPLE_GROOVE[0],
            EXAMPLE_GROOVE[1],
            EXAMPLE_GROOVE[2],
            EXAMPLE_GROOVE[3],
            ("diameter", "0.035 in"),
            ("wire_feed", "200 in/min"),
            ("gas_flow", "15 L/min"),
        ],
        compute: |v| {
            let time_s = arc_time_s(v)?;
            Ok(Computed::of(time_s * v.si("gas_flow") * 1e3).also("arc time", time_s / 60.0, "min"))
        },
    },
];

/// The areas a joint is filled with, m².
struct Weld {
    groove_m2: f64,
    cap_m2: f64,
    root_m2: f64,
}

impl Weld {
    fn total_m2(&self) -> f64 {
        self.groove_m2 + self.cap_m2 + self.root_m2
    }

    fn reported(&self, value: f64) -> Computed {
        Computed::of(value)
            .also("groove", self.groove_m2 * 1e6, "mm2")
            .also("cap", self.cap_m2 * 1e6, "mm2")
            .also("root", self.root_m2 * 1e6, "mm2")
    }
}

/// The groove of the four arguments that describe it.
pub(crate) fn groove(v: &Values) -> Result<Groove, String> {
    let (face, thickness) = (v.si("root_face"), v.si("thickness"));
    if face > thickness {
        return Err("the root face is taller than the plate is thick; check both readings".to_owned());
    }
    Ok(Groove::symmetric(v.si("root_opening"), face, thickness, v.si("groove_angle")))
}

fn weld(v: &Values) -> Result<Weld, String> {
    let groove = groove(v)?;
    Ok(Weld {
        groove_m2: groove.area_m2(),
        cap_m2: cap_area_m2(groove.face_width_m(), v.si("cap_height")),
        root_m2: root_area_m2(groove.root_opening_m, v.si("root_height")),
    })
}

fn arc_time_s(v: &Values) -> Result<f64, String> {
    let deposit_kg = weld(v)?.total_m2() * STEEL_DENSITY_KG_M3 * v.si("length");
    Ok(deposit_kg / deposition_rate_kg_s(v.si("diameter"), v.si("wire_feed"), v.si("efficiency")))
}
