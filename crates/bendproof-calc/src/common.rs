//! Arguments that several formulas share, each with its range and next step.

use crate::argument::{Argument, Input};
use crate::evaluate::Computed;
use bendproof_measure::Kind;

/// Kilograms in a pound.
const POUND_KG: f64 = 0.453_592_37;
/// Zero degrees Celsius, K.
const CELSIUS_ZERO_K: f64 = 273.15;

pub(crate) const DIAMETER: Argument = Argument::quantity(
    "diameter",
    "wire diameter",
    Kind::Length,
    "0.035 in",
    (0.4e-3, 5e-3),
    "read it on the spool",
)
.usual(0.6e-3, 1.6e-3);

pub(crate) const EXTENSION: Argument = Argument::quantity(
    "extension",
    "electrode extension",
    Kind::Length,
    "8 mm",
    (0.0, 50e-3),
    "measure from contact tip to melting end",
)
.usual(4e-3, 20e-3);

pub(crate) const WIRE_FEED: Argument = Argument::quantity(
    "wire_feed",
    "wire feed",
    Kind::Speed,
    "200 in/min",
    (1e-4, 0.6),
    "measure the wire run out in six seconds and take it ten times",
);

pub(crate) const TRAVEL: Argument = Argument::quantity(
    "travel",
    "travel speed",
    Kind::Speed,
    "8 in/min",
    (1e-5, 0.5),
    "time the arc over a measured length",
);

pub(crate) const AMPS: Argument = Argument::quantity(
    "amps",
    "current",
    Kind::Current,
    "125 A",
    (0.1, 2000.0),
    "read the meter while welding",
);

pub(crate) const VOLTS: Argument = Argument::quantity(
    "volts",
    "arc volts",
    Kind::Voltage,
    "18.2 V",
    (0.1, 200.0),
    "read the meter while welding",
);

pub(crate) const EFFICIENCY: Argument = Argument::quantity(
    "efficiency",
    "efficiency",
    Kind::Share,
    "93 %",
    (1e-3, 1.0),
    "write a share of one or a percentage",
);

pub(crate) const THICKNESS: Argument = Argument::quantity(
    "thickness",
    "thickness",
    Kind::Length,
    "3/8 in",
    (1e-4, 1.0),
    "measure the plate or wall",
);

pub(crate) const ROOT_OPENING: Argument = Argument::quantity(
    "root_opening",
    "root opening",
    Kind::Length,
    "1/8 in",
    (0.0, 25e-3),
    "measure the gap between the lands",
);

pub(crate) const ROOT_FACE: Argument = Argument::quantity(
    "root_face",
    "root face",
    Kind::Length,
    "1/16 in",
    (0.0, 50e-3),
    "measure the height of the land",
);

pub(crate) const GROOVE_ANGLE: Argument = Argument::quantity(
    "groove_angle",
    "groove angle",
    Kind::Angle,
    "60 deg",
    (0.0, 2.44),
    "give the included angle, both bevels together",
);

pub(crate) const HEAT_INPUT: Argument = Argument::quantity(
    "heat_input",
    "heat input",
    Kind::EnergyPerLength,
    "1.0 kJ/mm",
    (1e3, 1e8),
    "take arc energy times the factor k",
);

pub(crate) const PREHEAT: Argument = Argument::quantity(
    "preheat",
    "plate temperature before the pass",
    Kind::Temperature,
    "100 C",
    (CELSIUS_ZERO_K - 60.0, CELSIUS_ZERO_K + 450.0),
    "the cooling interval begins at 500 C, so start well below it",
);

pub(crate) const POWER: Argument = Argument::quantity(
    "power",
    "net power",
    Kind::Power,
    "2500 W",
    (0.1, 1e6),
    "take volts times amps times arc efficiency",
);

pub(crate) const CONDUCTIVITY: Argument = Argument::quantity(
    "conductivity",
    "conductivity",
    Kind::Conductivity,
    "41 W/m/K",
    (0.1, 1000.0),
    "steel is 25 to 55 W/m/K",
);

pub(crate) const DIFFUSIVITY: Argument = Argument::quantity(
    "diffusivity",
    "diffusivity",
    Kind::Diffusivity,
    "8.76 mm2/s",
    (1e-8, 1e-3),
    "steel is 4 to 15 mm2/s",
);

/// Conductivity of the worked cases, `Conductor::REFERENCE`.
pub(crate) const CONDUCTIVITY_TEXT: &str = "41 W/m/K";
/// Diffusivity of the worked cases, `Conductor::REFERENCE`.
pub(crate) const DIFFUSIVITY_TEXT: &str = "8.7606837606838 mm2/s";

pub(crate) const XI: Argument = Argument::quantity(
    "xi",
    "distance ahead of the source",
    Kind::Length,
    "-10 mm",
    (-5.0, 5.0),
    "behind the source is negative",
);

pub(crate) const Y: Argument = Argument::quantity(
    "y",
    "distance sideways",
    Kind::Length,
    "3 mm",
    (-5.0, 5.0),
    "measure from the weld's middle",
);

pub(crate) const Z: Argument = Argument::quantity(
    "z",
    "depth below the surface",
    Kind::Length,
    "2 mm",
    (0.0, 1.0),
    "measure down from the surface",
);

pub(crate) const SURFACE_TENSION: Argument = Argument::quantity(
    "surface_tension",
    "surface tension",
    Kind::SurfaceTension,
    "1.2 N/m",
    (0.01, 5.0),
    "liquid steel is 1.0 to 1.9 N/m",
)
.usual(1.0, 1.95);

pub(crate) const ROOT_WIDTH: Argument = Argument::quantity(
    "root_width",
    "liquid root width",
    Kind::Length,
    "4 mm",
    (1e-4, 50e-3),
    "measure the root bead across",
)
// Wider than the capillary length the meniscus is no longer a circle.
.usual(0.5e-3, 6e-3);

pub(crate) const fn mass_percent(name: &'static str, title: &'static str) -> Argument {
    Argument::quantity(name, title, Kind::Number, "0.18", (0.0, 30.0), "take mass % from the certificate")
        .accepting(Input::MassPercent)
}

pub(crate) const fn plain_number(
    name: &'static str,
    title: &'static str,
    example: &'static str,
    range: (f64, f64),
    next_step: &'static str,
) -> Argument {
    Argument::quantity(name, title, Kind::Number, example, range, next_step)
}

/// A rate of metal in both systems.
pub(crate) fn per_hour(rate_kg_s: f64) -> Computed {
    Computed::of(rate_kg_s * 3600.0).also("in pounds", rate_kg_s * 3600.0 / POUND_KG, "lb/h")
}
