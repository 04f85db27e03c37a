//! The fields of a heat problem: a plate, its metal, an arc, and where the
//! temperature is to be followed.

use bendproof_measure::Kind;

use crate::fields::{field, like, quantity};
use crate::spec::{FileKind, Need::*, Spec, What};

/// A bare heat problem, to check the conduction solver on.
pub const HEAT: FileKind = FileKind {
    name: "heat",
    doc: "A bare plate under a moving arc, solved for temperature: x along the travel, y across, z down from the top face, the origin at a top corner.",
    specs: HEAT_SPECS,
};

const fn extent(name: &'static str, min_m: f64, max_m: f64, next_step: &'static str) -> What {
    quantity(name, Kind::Length, min_m, max_m, next_step)
}

/// A place in or next to the plate; the reader holds it to the plate itself.
const fn place(name: &'static str) -> What {
    extent(name, -10.0, 10.0, "measure from the top corner where x, y and z are zero")
}

/// A length at which the arc's heat has fallen to 5 %.
const fn reach(name: &'static str) -> What {
    extent(name, 1e-4, 0.5, "write the length at which the heat has fallen to 5 %")
}

const fn temperature(name: &'static str, min_c: f64, max_c: f64, next_step: &'static str) -> What {
    const ZERO_CELSIUS_K: f64 = 273.15;
    quantity(name, Kind::Temperature, min_c + ZERO_CELSIUS_K, max_c + ZERO_CELSIUS_K, next_step)
}

const fn conductivity(name: &'static str) -> What {
    quantity(name, Kind::Conductivity, 0.01, 5000.0, "hot steel is near 27 W/m/K")
}

/// The word of constant properties.
pub(crate) const MODEL_CONSTANT: &str = "constant";
/// The word of carbon steel.
pub(crate) const MODEL_STEEL: &str = "carbon-steel-en1993";

#[rustfmt::skip]
const HEAT_SPECS: &[Spec] = &[
    field("plate.length", "plate length", extent("plate length", 1e-3, 10.0, "measure the plate along the travel"), Required, "Length of the plate, along x."),
    field("plate.width", "plate width", extent("plate width", 1e-3, 10.0, "measure the plate across the travel"), Required, "Width of the plate, along y."),
    field("plate.thickness", "plate thickness", extent("plate thickness", 1e-4, 1.0, "measure the plate"), Required, "Thickness of the plate, along z."),

    field("material.model", "material model", What::Words(&[MODEL_CONSTANT, MODEL_STEEL]), Required, "Constant properties, or carbon steel by EN 1993-1-2:2005 3.4.1 with melting added."),
    field("material.conductivity", "conductivity", conductivity("conductivity"), Optional, "Conductivity; needed for the model `constant` and only there."),
    field("material.volumetric_heat", "volumetric heat", quantity("volumetric heat", Kind::VolumetricHeat, 1e3, 1e9, "take density times specific heat; steel is near 5.0e6 J/m^3/K"), Optional, "Heat to warm a cubic meter by a kelvin; needed for the model `constant` and only there."),
    field("material.density", "density", quantity("density", Kind::Density, 100.0, 25_000.0, "steel is 7850 kg/m^3"), Default("7850 kg/m^3"), "Density, one value at all temperatures; carbon steel only."),
    field("material.solidus", "solidus", like(temperature("solidus", 1000.0, 3000.0, "a carbon steel begins to melt between 1450 C and 1500 C"), "1465 C or 2670 F"), Default("1465 C"), "Where melting begins; carbon steel only."),
    field("material.liquidus", "liquidus", like(temperature("liquidus", 1000.0, 3500.0, "a carbon steel is liquid from between 1500 C and 1530 C"), "1525 C or 2780 F"), Default("1525 C"), "Where all is liquid; carbon steel only."),
    field("material.latent_heat", "latent heat", quantity("latent heat", Kind::SpecificEnergy, 0.0, 5e6, "steel is near 270 kJ/kg"), Default("270 kJ/kg"), "Heat of fusion, spread evenly between solidus and liquidus; carbon steel only."),
    field("material.conductivity_hot", "conductivity, hot", conductivity("conductivity, hot"), Default("27.3 W/m/K"), "Conductivity from 800 C to the solidus; carbon steel only."),
    field("material.conductivity_liquid", "conductivity, liquid", conductivity("conductivity, liquid"), Default("60 W/m/K"), "Effective conductivity of the liquid, raised because the pool stirs itself; carbon steel only."),
    field("material.specific_heat_hot", "specific heat, hot", quantity("specific heat, hot", Kind::SpecificHeat, 10.0, 20_000.0, "steel above 900 C is near 650 J/kg/K"), Default("650 J/kg/K"), "Specific heat from 900 C up; carbon steel only."),
    field("material.fusion", "edge of fusion", temperature("edge of fusion", 0.0, 3500.0, "leave it out to take the middle between solidus and liquidus"), Optional, "Isotherm of the peak temperature read as the edge of fusion; midway between solidus and liquidus if left blank, 1495 C for constant properties."),

    field("source.power", "power", quantity("power", Kind::Power, 1.0, 1e6, "take volts times amps times the arc efficiency"), Required, "Net power into the metal; leave [source] out for a plate that only cools."),
    field("source.travel", "travel", quantity("travel", Kind::Speed, 1e-5, 1.0, "write the speed along x; it cannot be zero or backward"), Required, "Speed along x."),
    field("source.from.#", "start of the run", place("start of the run"), Required, "Where the arc is lit, x and y; it travels at once."),
    field("source.to.#", "end of the run", place("end of the run"), Required, "Where the arc goes out, x and y, at the same y."),
    field("source.half_width", "half width of the source", reach("half width of the source"), Required, "Half width b of the double ellipsoid."),
    field("source.depth", "depth of the source", reach("depth of the source"), Required, "Its depth d."),
    field("source.front", "front of the source", reach("front of the source"), Required, "Its length ahead of the arc, c_f; the share ahead is 2c_f/(c_f + c_r), so that the heat has no jump."),
    field("source.rear", "rear of the source", reach("rear of the source"), Required, "Its length behind the arc, c_r."),

    field("losses.convection", "convection", quantity("convection", Kind::HeatTransfer, 0.0, 1e5, "still air takes 5 to 25 W/m^2/K"), Default("0 W/m^2/K"), "Heat lost to the air through all six faces."),
    field("losses.emissivity", "emissivity", quantity("emissivity", Kind::Share, 0.0, 1.0, "scaled steel is near 0.7"), Default("0"), "Emissivity of all six faces."),
    field("losses.ambient", "ambient temperature", temperature("ambient temperature", -60.0, 1200.0, "measure the air"), Optional, "Air and walls; the start temperature if left blank."),

    field("run.start_temperature", "start temperature", temperature("start temperature", -50.0, 1200.0, "measure the plate before the arc"), Default("20 C"), "Temperature everywhere before the arc."),
    field("run.cool_for", "cooling time", quantity("cooling time", Kind::Time, 0.0, 86_400.0, "write how long to follow the plate after the arc is out"), Required, "Time followed after the arc is out."),
    field("run.cell", "cell", extent("cell", 1e-5, 0.1, "take a quarter of the smallest length of the source"), Optional, "Side of a cell at the weld; write this or the accuracy."),
    field("run.accuracy", "accuracy", like(quantity("accuracy", Kind::Share, 5e-4, 0.2, "1 % suits most purposes"), "1 % or 0.01"), Optional, "Cells are halved until the answers are estimated to be this good; 1 % when no cell is written."),
    field("run.step", "cells per step", like(quantity("cells per step", Kind::Number, 0.05, 2.0, "0.35 suits most purposes"), "0.35"), Default("0.35"), "Travel of the arc in one time step, in cells."),
    field("run.step_max", "longest step", quantity("longest step", Kind::Time, 1e-4, 3600.0, "1 s suits a plate, longer steps a slow cooling"), Default("1 s"), "Longest time step in cooling."),
    field("run.cells_max", "most cells", What::Count(1000, 200_000_000), Optional, "Cells at which the run is refused; what fits 512 MiB if left blank."),
    field("run.time_max", "longest run", quantity("longest run", Kind::Time, 1.0, 86_400.0, "60 s is enough for 1 % of most plates"), Default("60 s"), "Halving towards an accuracy stops before a run that is foreseen to take longer."),
    field("run.threads", "threads", What::Count(1, 64), Default("1"), "Threads to work with; the answer does not depend on it."),

    field("probes.*.#", "place of the probe", place("place of the probe"), Optional, "A point to follow, by a name of your own: x, y and z."),
];
