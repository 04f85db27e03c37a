//! The units people write, and the SI value each stands for.

use crate::quantity::split_unit;

/// What a quantity measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Kind {
    /// m
    Length,
    /// m²
    Area,
    /// m/s
    Speed,
    /// rad
    Angle,
    /// K, absolute; written in F, C or K.
    Temperature,
    /// K, a step from one temperature to another; written in F, C or K.
    TemperatureStep,
    /// V
    Voltage,
    /// A
    Current,
    /// W
    Power,
    /// J/m
    EnergyPerLength,
    /// m³/s
    Flow,
    /// kg/s
    MassRate,
    /// s
    Time,
    /// kg
    Mass,
    /// Pa
    Pressure,
    /// N
    Force,
    /// N/m
    SurfaceTension,
    /// W/(m·K)
    Conductivity,
    /// m²/s
    Diffusivity,
    /// J/(m³·K)
    VolumetricHeat,
    /// W/(m²·K)
    HeatTransfer,
    /// kg/m³
    Density,
    /// J/kg
    SpecificEnergy,
    /// J/(kg·K)
    SpecificHeat,
    /// Share of one; written as `93 %` or `0.93`.
    Share,
    /// m³ of hydrogen in kg of weld metal; written `5 ml/100g`.
    Hydrogen,
    /// A plain number.
    Number,
}

impl Kind {
    /// The word for this kind in a sentence, with an example of how to write it.
    pub const fn described(self) -> (&'static str, &'static str) {
        match self {
            Kind::Length => ("a length", "1/8 in or 3.2 mm"),
            Kind::Area => ("an area", "66 mm2 or 0.1 in2"),
            Kind::Speed => ("a speed", "210 in/min or 5300 mm/min"),
            Kind::Angle => ("an angle", "60 deg"),
            Kind::Temperature => ("a temperature", "250 F or 120 C"),
            Kind::TemperatureStep => ("a difference of temperature", "25 F or 15 C"),
            Kind::Voltage => ("a voltage", "18.5 V"),
            Kind::Current => ("a current", "125 A"),
            Kind::Power => ("a power", "1900 W or 1.9 kW"),
            Kind::EnergyPerLength => ("an energy per length", "0.6 kJ/mm or 15 kJ/in"),
            Kind::Flow => ("a gas flow", "30 cfh or 14 L/min"),
            Kind::MassRate => ("a rate of mass", "3 lb/h or 1.4 kg/h"),
            Kind::Time => ("a time", "40 s or 2 min"),
            Kind::Mass => ("a mass", "2 lb or 0.9 kg"),
            Kind::Pressure => ("a pressure or stress", "420 MPa or 50 ksi"),
            Kind::Force => ("a force", "96 kN or 21600 lbf"),
            Kind::SurfaceTension => ("a surface tension", "1.2 N/m"),
            Kind::Conductivity => ("a conductivity", "41 W/m/K"),
            Kind::Diffusivity => ("a diffusivity", "9.1 mm2/s"),
            Kind::VolumetricHeat => ("a heat per volume and kelvin", "5.0e6 J/m^3/K"),
            Kind::HeatTransfer => ("a heat transfer coefficient", "15 W/m^2/K"),
            Kind::Density => ("a density", "7850 kg/m^3"),
            Kind::SpecificEnergy => ("an energy per mass", "270 kJ/kg"),
            Kind::SpecificHeat => ("a specific heat", "650 J/kg/K"),
            Kind::Share => ("a share", "93 % or 0.93"),
            Kind::Hydrogen => ("a hydrogen content", "5 ml/100g"),
            Kind::Number => ("a plain number", "0.18"),
        }
    }
}

impl Kind {
    /// The unit a bay works in where it says the number alone. `None` where a number
    /// alone is read as it is, and where nothing is read off a gauge.
    const fn bay_unit(self, system: System) -> Option<&'static str> {
        let (inch, metric) = match self {
            Kind::Length => ("in", "mm"),
            Kind::Speed => ("in/min", "mm/min"),
            Kind::Temperature | Kind::TemperatureStep => ("°F", "°C"),
            Kind::Flow => ("cfh", "L/min"),
            Kind::Pressure => ("ksi", "MPa"),
            Kind::Force => ("lbf", "kN"),
            Kind::Mass => ("lb", "kg"),
            Kind::Angle => ("deg", "deg"),
            Kind::Voltage => ("V", "V"),
            Kind::Current => ("A", "A"),
            Kind::Time => ("s", "s"),
            _ => return None,
        };
        Some(if matches!(system, System::Metric) { metric } else { inch })
    }
}

/// The unit of a box in which a number alone is taken: that of what stands in it,
/// else the one a bay of that system works in. `None` for a kind whose number
/// alone means something by itself, a share or a plain number.
pub fn unit_of_box(kind: Kind, standing: &str, system: System) -> Option<&str> {
    let bay = kind.bay_unit(system)?;
    let (_, written) = split_unit(standing.trim());
    Some(unit_of_kind(written, kind).map_or(bay, |_| written))
}

/// The system a quantity was written in. Codes give independent inch and metric
/// limits, so a measurement must remember which one it was read in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum System {
    /// Inches, pounds, degrees Fahrenheit.
    Inch,
    /// Millimetres, kilograms, degrees Celsius.
    Metric,
    /// Neither: volts, amps, seconds, degrees of arc.
    Neither,
}

/// One unit: its names, what it measures and how it converts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unit {
    /// Accepted spellings, the printed one first.
    pub names: &'static [&'static str],
    /// What it measures.
    pub kind: Kind,
    /// SI value of one unit.
    pub si_per_unit: f64,
    /// SI value of zero; not zero only for temperatures.
    pub si_at_zero: f64,
    /// The system it belongs to.
    pub system: System,
}

/// Metres in an inch, exact by the 1959 international agreement.
const INCH_M: f64 = 0.0254;
/// Kilograms in a pound, exact by the 1959 international agreement.
const POUND_KG: f64 = 0.453_592_37;
/// Pascals in a pound-force per square inch (POUND_KG x standard gravity / INCH_M²).
const PSI_PA: f64 = 6_894.757_293_168;
/// Kelvin at zero degrees Celsius, exact by definition.
const CELSIUS_ZERO_K: f64 = 273.15;
/// Kelvin in a degree Fahrenheit, exact by definition.
const FAHRENHEIT_K: f64 = 5.0 / 9.0;
/// Kelvin at zero degrees Fahrenheit.
const FAHRENHEIT_ZERO_K: f64 = CELSIUS_ZERO_K - 32.0 * FAHRENHEIT_K;
const CUBIC_FOOT_M3: f64 = (12.0 * INCH_M) * (12.0 * INCH_M) * (12.0 * INCH_M);
/// Metres per second squared, standard gravity, exact by the 1901 convention.
const GRAVITY_M_S2: f64 = 9.806_65;
const MINUTE_S: f64 = 60.0;
const HOUR_S: f64 = 3600.0;

const fn unit(names: &'static [&'static str], kind: Kind, si: f64, system: System) -> Unit {
    Unit { names, kind, si_per_unit: si, si_at_zero: 0.0, system }
}

use Kind::*;
use System::*;

/// Every unit the program reads, grouped by kind.
#[rustfmt::skip]
pub(crate) const UNITS: &[Unit] = &[
    unit(&["in", "inch", "inches", "\"", "″"], Length, INCH_M, Inch),
    unit(&["ft", "'", "′"], Length, 12.0 * INCH_M, Inch),
    unit(&["thou", "mil"], Length, INCH_M / 1000.0, Inch),
    unit(&["mm"], Length, 1e-3, Metric),
    unit(&["cm"], Length, 1e-2, Metric),
    unit(&["um", "µm"], Length, 1e-6, Metric),
    unit(&["m"], Length, 1.0, Metric),
    unit(&["in2", "in^2", "in²"], Area, INCH_M * INCH_M, Inch),
    unit(&["mm2", "mm^2", "mm²"], Area, 1e-6, Metric),
    unit(&["in/min", "ipm"], Speed, INCH_M / MINUTE_S, Inch),
    unit(&["in/s"], Speed, INCH_M, Inch),
    unit(&["mm/min"], Speed, 1e-3 / MINUTE_S, Metric),
    unit(&["mm/s"], Speed, 1e-3, Metric),
    unit(&["cm/min"], Speed, 1e-2 / MINUTE_S, Metric),
    unit(&["m/min"], Speed, 1.0 / MINUTE_S, Metric),
    unit(&["m/s"], Speed, 1.0, Metric),
    unit(&["deg", "°", "degrees"], Angle, std::f64::consts::PI / 180.0, Neither),
    unit(&["rad"], Angle, 1.0, Neither),
    Unit { names: &["°F", "F", "degF"], kind: Temperature, si_per_unit: FAHRENHEIT_K, si_at_zero: FAHRENHEIT_ZERO_K, system: Inch },
    Unit { names: &["°C", "C", "degC"], kind: Temperature, si_per_unit: 1.0, si_at_zero: CELSIUS_ZERO_K, system: Metric },
    unit(&["K"], Temperature, 1.0, Metric),
    unit(&["°F", "F", "degF"], TemperatureStep, FAHRENHEIT_K, Inch),
    unit(&["°C", "C", "degC"], TemperatureStep, 1.0, Metric),
    unit(&["V", "volt", "volts"], Voltage, 1.0, Neither),
    unit(&["A", "amp", "amps"], Current, 1.0, Neither),
    unit(&["W"], Power, 1.0, Neither),
    unit(&["kW"], Power, 1e3, Neither),
    unit(&["kJ/mm"], EnergyPerLength, 1e6, Metric),
    unit(&["J/mm"], EnergyPerLength, 1e3, Metric),
    unit(&["kJ/cm"], EnergyPerLength, 1e5, Metric),
    unit(&["J/m"], EnergyPerLength, 1.0, Metric),
    unit(&["kJ/in"], EnergyPerLength, 1e3 / INCH_M, Inch),
    unit(&["J/in"], EnergyPerLength, 1.0 / INCH_M, Inch),
    unit(&["cfh", "ft3/h", "ft³/h", "CFH"], Flow, CUBIC_FOOT_M3 / HOUR_S, Inch),
    unit(&["L/min", "l/min", "lpm"], Flow, 1e-3 / MINUTE_S, Metric),
    unit(&["lb/h", "lb/hr"], MassRate, POUND_KG / HOUR_S, Inch),
    unit(&["kg/h"], MassRate, 1.0 / HOUR_S, Metric),
    unit(&["s", "sec"], Time, 1.0, Neither),
    unit(&["ms"], Time, 1e-3, Neither),
    unit(&["min"], Time, MINUTE_S, Neither),
    unit(&["h", "hr"], Time, HOUR_S, Neither),
    unit(&["lb", "lbs"], Mass, POUND_KG, Inch),
    unit(&["g"], Mass, 1e-3, Metric),
    unit(&["kg"], Mass, 1.0, Metric),
    unit(&["Pa"], Pressure, 1.0, Metric),
    unit(&["kPa"], Pressure, 1e3, Metric),
    unit(&["MPa"], Pressure, 1e6, Metric),
    unit(&["psi"], Pressure, PSI_PA, Inch),
    unit(&["ksi"], Pressure, 1e3 * PSI_PA, Inch),
    unit(&["kN"], Force, 1e3, Metric),
    unit(&["N"], Force, 1.0, Metric),
    unit(&["lbf"], Force, POUND_KG * GRAVITY_M_S2, Inch),
    unit(&["kip", "kips"], Force, 1e3 * POUND_KG * GRAVITY_M_S2, Inch),
    unit(&["N/m"], SurfaceTension, 1.0, Metric),
    unit(&["mN/m"], SurfaceTension, 1e-3, Metric),
    unit(&["W/m/K", "W/(m·K)", "W/mK"], Conductivity, 1.0, Metric),
    unit(&["W/mm/K"], Conductivity, 1e3, Metric),
    unit(&["m2/s", "m^2/s", "m²/s"], Diffusivity, 1.0, Metric),
    unit(&["mm2/s", "mm^2/s", "mm²/s"], Diffusivity, 1e-6, Metric),
    unit(&["J/m^3/K", "J/m3/K", "J/m³/K", "J/(m³·K)", "J/(m^3 K)"], VolumetricHeat, 1.0, Metric),
    unit(&["MJ/m^3/K", "MJ/m3/K", "MJ/m³/K", "MJ/(m³·K)"], VolumetricHeat, 1e6, Metric),
    unit(&["W/m^2/K", "W/m2/K", "W/m²/K", "W/(m²·K)", "W/(m^2 K)"], HeatTransfer, 1.0, Metric),
    unit(&["kg/m^3", "kg/m3", "kg/m³"], Density, 1.0, Metric),
    unit(&["g/cm^3", "g/cm3", "g/cm³"], Density, 1e3, Metric),
    unit(&["kJ/kg", "J/g"], SpecificEnergy, 1e3, Metric),
    unit(&["J/kg"], SpecificEnergy, 1.0, Metric),
    unit(&["J/kg/K", "J/(kg·K)", "J/kgK"], SpecificHeat, 1.0, Metric),
    unit(&["kJ/kg/K", "kJ/(kg·K)"], SpecificHeat, 1e3, Metric),
    unit(&["%"], Share, 1e-2, Neither),
    unit(&["ml/100g", "mL/100g", "ml/100 g"], Hydrogen, 1e-5, Metric),
];

/// Looks a unit up by one of its spellings, exactly as written.
///
/// `m` is metres and `min` minutes; case matters because `K` and `k`, `M` and
/// `m` differ in SI.
pub fn unit_named(name: &str) -> Option<&'static Unit> {
    UNITS.iter().find(|u| u.names.contains(&name))
}

/// The unit of this kind that goes by the name: degrees are a temperature or a
/// step between two, and only the kind wanted tells which.
pub(crate) fn unit_of_kind(name: &str, kind: Kind) -> Option<&'static Unit> {
    UNITS.iter().find(|u| u.kind == kind && u.names.contains(&name))
}

/// Degrees Celsius of an absolute temperature in kelvin.
pub fn celsius_from_kelvin(kelvin: f64) -> f64 {
    kelvin - CELSIUS_ZERO_K
}

/// Kelvin of a temperature in degrees Celsius.
pub fn kelvin_from_celsius(celsius: f64) -> f64 {
    celsius + CELSIUS_ZERO_K
}
