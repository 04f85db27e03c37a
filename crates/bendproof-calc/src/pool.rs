//! Formulas of the pool: meniscus, suction, retention, gravity.

use crate::argument::{Argument, Input};
use crate::common::*;
use crate::evaluate::{Computed, Formula, Values};
use bendproof_measure::Kind;
use bendproof_weld::gravity::pipe;
use bendproof_weld::pool as physics;
use bendproof_weld::{Basis, Progression};

const ROOT_HEIGHT: Argument = Argument::quantity(
    "root_height",
    "root height",
    Kind::Length,
    "1 mm",
    (-20e-3, 20e-3),
    "measure from the underside; a hollow root is negative",
);
const PRESSURE: Argument = Argument::quantity(
    "pressure",
    "pressure on the meniscus",
    Kind::Pressure,
    "480 Pa",
    (-1e5, 1e5),
    "roots carry a few hundred pascals",
);
const FACE_WIDTH: Argument = Argument::quantity(
    "face_width",
    "face width",
    Kind::Length,
    "6 mm",
    (1e-4, 0.1),
    "measure the liquid face across",
);
const CONTACT: Argument = Argument::quantity(
    "contact_angle",
    "contact angle",
    Kind::Angle,
    "45 deg",
    (0.0, 3.15),
    "steel on steel is 20 to 64 deg",
)
.or("45 deg");
const BEVEL: Argument = Argument::quantity(
    "bevel",
    "bevel of one side",
    Kind::Angle,
    "30 deg",
    (0.0, 1.58),
    "give the lean from upright; between the lands it is 0 deg",
);
const TILT: Argument = Argument::quantity(
    "pipe_tilt",
    "tilt of the pipe axis from level",
    Kind::Angle,
    "45 deg",
    (0.0, 1.571),
    "5G is 0 deg, 6G is 45 deg, 2G is 90 deg",
);
const CLOCK: Argument = Argument::quantity(
    "clock",
    "place on the pipe",
    Kind::Angle,
    "90 deg",
    (-std::f64::consts::TAU, std::f64::consts::TAU),
    "count from the top, or write 3 o'clock",
)
.accepting(Input::Clock);
const DIRECTION: Argument =
    plain_number("direction", "direction of travel", "uphill", (0.0, 1.0), "name the progression")
        .accepting(Input::Word(&[("uphill", &["up", "1", "+1"]), ("downhill", &["down", "-1"])]));
/// Liquid steel of 7000 kg/m³; there is no unit of density to ask it in.
const DENSITY_NOTE: &str = "liquid steel at 7000 kg/m³";

pub(crate) const FORMULAS: &[Formula] = &[
    Formula {
        name: "root_meniscus_pressure",
        title: "Pressure that bows a root meniscus to a height",
        arguments: &[SURFACE_TENSION, ROOT_WIDTH, ROOT_HEIGHT],
        unit: "Pa",
        source: "Young-Laplace, circular arc: σ/R, R = (b²/4 + r²)/2r",
        basis: Basis::Derived,
        validity: "long root narrower than the capillary length, about 4 mm",
        example: &[("surface_tension", "1.2 N/m"), ("root_width", "4 mm"), ("root_height", "1 mm")],
        compute: |v| {
            let (tension, width, height) = (v.si("surface_tension"), v.si("root_width"), v.si("root_height"));
            Ok(Computed::of(physics::meniscus_pressure_pa(tension, width, height))
                .also("holding limit", physics::holding_limit_pa(tension, width), "Pa")
                .warn_if(height.abs() > width / 2.0, "past the half circle: this shape does not hold"))
        },
    },
    Formula {
        name: "root_meniscus_height",
        title: "Height to which a pressure bows a root meniscus",
        arguments: &[SURFACE_TENSION, ROOT_WIDTH, PRESSURE],
        unit: "mm",
        source: "Young-Laplace, circular arc: r = R - √(R² - b²/4), R = σ/p",
        basis: Basis::Derived,
        validity: "long root narrower than the capillary length, about 4 mm",
        example: &[("surface_tension", "1.2 N/m"), ("root_width", "4 mm"), ("pressure", "480 Pa")],
        compute: |v| {
            let height =
                physics::meniscus_height_m(v.si("surface_tension"), v.si("root_width"), v.si("pressure"));
            let gone = "the pressure is above the holding limit 2σ/b: the metal drops out";
            height.map(|r| Computed::of(r * 1e3)).ok_or_else(|| gone.to_owned())
        },
    },
    Formula {
        name: "root_holding_limit",
        title: "Most pressure a root meniscus holds",
        arguments: &[SURFACE_TENSION, ROOT_WIDTH],
        unit: "Pa",
        source: "Young-Laplace, half circle: 2σ/b",
        basis: Basis::Derived,
        validity: "long root narrower than the capillary length, about 4 mm",
        example: &[("surface_tension", "1.2 N/m"), ("root_width", "4 mm")],
        compute: |v| {
            let limit = physics::holding_limit_pa(v.si("surface_tension"), v.si("root_width"));
            let head_m = limit / physics::head_pa(physics::LIQUID_DENSITY_KG_M3.value, 1.0, 1.0);
            Ok(Computed::of(limit).also("head of liquid steel", head_m * 1e3, "mm"))
        },
    },
    Formula {
        name: "face_suction",
        title: "Pressure by which a hollow face draws metal up",
        arguments: &[SURFACE_TENSION, FACE_WIDTH, CONTACT, BEVEL],
        unit: "Pa",
        source: "Young-Laplace, circular arc meeting both walls: 2σ·cos(θ + B)/w",
        basis: Basis::Derived,
        validity: "face narrower than the capillary length; negative when the face is convex",
        example: &[("surface_tension", "1.2 N/m"), ("face_width", "6 mm"), ("bevel", "30 deg")],
        compute: |v| {
            let (tension, width) = (v.si("surface_tension"), v.si("face_width"));
            let suction = physics::face_suction_pa(tension, width, v.si("contact_angle"), v.si("bevel"));
            Ok(Computed::of(suction))
        },
    },
    Formula {
        name: "capillary_length",
        title: "Capillary length of liquid steel",
        arguments: &[SURFACE_TENSION],
        unit: "mm",
        source: "√(σ/ρg)",
        basis: Basis::Derived,
        validity: DENSITY_NOTE,
        example: &[("surface_tension", "1.2 N/m")],
        compute: |v| {
            let density = physics::LIQUID_DENSITY_KG_M3.value;
            Ok(Computed::of(physics::capillary_length_m(v.si("surface_tension"), density) * 1e3))
        },
    },
    Formula {
        name: "surface_tension",
        title: "Surface tension of liquid iron with sulphur and oxygen",
        arguments: &[
            Argument::quantity(
                "temperature",
                "metal temperature",
                Kind::Temperature,
                "1900 K",
                (1700.0, 3200.0),
                "iron melts at 1811 K",
            )
            .usual(1809.0, 2500.0),
            mass_percent("sulphur", "sulphur").or("0").usual(0.0, 0.1),
            mass_percent("oxygen", "oxygen").or("0").usual(0.0, 0.1),
        ],
        unit: "N/m",
        source: "Szyszkowski form of Sahoo, DebRoy and McNallan 1988, both reductions added",
        basis: Basis::Memory,
        validity: "liquid iron, small contents; oxide films not counted",
        example: &[("temperature", "1900 K"), ("sulphur", "0.01"), ("oxygen", "0.01")],
        compute: |v| {
            let (t, s, o) = (v.si("temperature"), v.si("sulphur"), v.si("oxygen"));
            Ok(Computed::of(physics::surface_tension_fe_o_s_n_m(t, s, o)))
        },
    },
    Formula {
        name: "gravity_components",
        title: "Share of gravity toward the root of a pipe joint",
        arguments: &[TILT, CLOCK, DIRECTION],
        unit: "g",
        source: "geometry of a groove square to the pipe axis",
        basis: Basis::Derived,
        validity: "exact; toward the root is 1 flat and -1 overhead, along the travel is 1 straight up and -1 straight down",
        example: &[("pipe_tilt", "45 deg"), ("clock", "0 deg"), ("direction", "uphill")],
        compute: gravity,
    },
];

fn gravity(v: &Values) -> Result<Computed, String> {
    let downhill = v.si("direction") > 0.5;
    let progression = if downhill { Progression::Downhill } else { Progression::Uphill };
    let shares = pipe(v.si("pipe_tilt"), v.si("clock"), progression);
    Ok(Computed::of(shares.toward_root)
        .also("toward root", shares.toward_root, "g")
        .also("along travel", shares.along_travel, "g")
        .also("across joint", shares.across_joint, "g"))
}
