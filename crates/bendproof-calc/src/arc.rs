//! Formulas of the arc: melting, deposit, energy, volts.

use crate::argument::{Argument, Input};
use crate::common::*;
use crate::evaluate::{Computed, Formula, Values};
use bendproof_measure::Kind;
use bendproof_weld::arc as physics;
use bendproof_weld::{Basis, Gas, Transfer};

const MELTING_SOURCE: &str = "form of Lesnewich 1958 and Halmøy 1979; 1.2 mm constants 0.30 mm/(A·s) and 5.0e-5 1/(A²·s) as commonly quoted, scaled by wire area";
const MELTING_VALIDITY: &str = "solid mild-steel wire 0.6 to 1.6 mm, electrode positive; the current is off, against 18 published settings 8.2 % root mean square, 16 within 12 %, the other two 15.6 and 25.0 % low";
const DEPOSIT_SOURCE: &str = "mass balance; steel at 7850 kg/m³";

const DEPOSITION: Argument = EFFICIENCY.or("93 %");
const SIGMA: Argument = Argument::quantity(
    "sigma",
    "spread of the arc",
    Kind::Length,
    "1.5 mm",
    (1e-5, 0.1),
    "short-circuit arcs spread 1.5 to 3.5 mm",
);

/// Gases by the words of a coupon, in the order of [`Gas::ALL`].
const GASES: &[(&str, &[&str])] =
    &[("75Ar/25CO2", &[]), ("80Ar/20CO2", &[]), ("90Ar/10CO2", &[]), ("98Ar/2O2", &[]), ("100CO2", &["CO2"])];
const GAS: Argument = plain_number("gas", "shielding gas", "75Ar/25CO2", (0.0, 4.0), "name the gas")
    .accepting(Input::Word(GASES));
const TRANSFER: Argument =
    plain_number("transfer", "metal transfer", "short-circuit", (0.0, 1.0), "name the transfer")
        .accepting(Input::Word(&[("short-circuit", &["dip"]), ("spray", &[])]))
        .or("short-circuit");

fn gas(v: &Values) -> Result<Gas, String> {
    Gas::ALL.get(v.si("gas") as usize).copied().ok_or_else(|| "the gas is not known".to_owned())
}

/// Warns that a current from the melting law is not a meter reading.
const CURRENT_WARNING: &str =
    "taken as ± 12 %, one standard deviation of our choice; a current read on the machine beats it";

pub(crate) const FORMULAS: &[Formula] = &[
    Formula {
        name: "current_from_wire_feed",
        title: "Mean current that melts a wire feed",
        arguments: &[DIAMETER, EXTENSION, WIRE_FEED],
        unit: "A",
        source: MELTING_SOURCE,
        basis: Basis::Memory,
        validity: MELTING_VALIDITY,
        example: &[("diameter", "0.035 in"), ("extension", "8 mm"), ("wire_feed", "200 in/min")],
        compute: |v| {
            let amps =
                physics::current_from_wire_feed_a(v.si("diameter"), v.si("extension"), v.si("wire_feed"));
            Ok(Computed::of(amps)
                .also("low", amps * (1.0 - physics::CURRENT_UNCERTAINTY_SHARE), "A")
                .also("high", amps * (1.0 + physics::CURRENT_UNCERTAINTY_SHARE), "A")
                .warn_if(true, CURRENT_WARNING))
        },
    },
    Formula {
        name: "wire_feed_from_current",
        title: "Wire feed that a current melts",
        arguments: &[DIAMETER, EXTENSION, AMPS],
        unit: "mm/s",
        source: MELTING_SOURCE,
        basis: Basis::Memory,
        validity: MELTING_VALIDITY,
        example: &[("diameter", "0.035 in"), ("extension", "8 mm"), ("amps", "125 A")],
        compute: |v| {
            let feed = physics::wire_feed_from_current_m_s(v.si("diameter"), v.si("extension"), v.si("amps"));
            Ok(Computed::of(feed * 1e3).also("in inches", feed / IPM_M_S, "in/min"))
        },
    },
    Formula {
        name: "melting_rate",
        title: "Wire melted per hour",
        arguments: &[DIAMETER, WIRE_FEED],
        unit: "kg/h",
        source: DEPOSIT_SOURCE,
        basis: Basis::Derived,
        validity: "solid wire; a cored wire weighs less for its diameter",
        example: &[("diameter", "0.035 in"), ("wire_feed", "200 in/min")],
        compute: |v| Ok(per_hour(physics::melting_rate_kg_s(v.si("diameter"), v.si("wire_feed")))),
    },
    Formula {
        name: "deposition_rate",
        title: "Metal deposited per hour",
        arguments: &[DIAMETER, WIRE_FEED, DEPOSITION],
        unit: "kg/h",
        source: DEPOSIT_SOURCE,
        basis: Basis::Derived,
        validity: "solid wire; efficiency of short-circuit transfer is 90 to 95 %",
        example: &[("diameter", "0.035 in"), ("wire_feed", "200 in/min"), ("efficiency", "93 %")],
        compute: |v| {
            let rate = physics::deposition_rate_kg_s(v.si("diameter"), v.si("wire_feed"), v.si("efficiency"));
            Ok(per_hour(rate))
        },
    },
    Formula {
        name: "bead_area",
        title: "Cross-section of deposited metal",
        arguments: &[DIAMETER, WIRE_FEED, TRAVEL, DEPOSITION],
        unit: "mm2",
        source: DEPOSIT_SOURCE,
        basis: Basis::Derived,
        validity: "deposit only, without melted base metal",
        example: &[
            ("diameter", "0.035 in"),
            ("wire_feed", "225 in/min"),
            ("travel", "8 in/min"),
            ("efficiency", "95 %"),
        ],
        compute: |v| {
            let (d, w) = (v.si("diameter"), v.si("wire_feed"));
            Ok(Computed::of(physics::bead_area_m2(d, w, v.si("travel"), v.si("efficiency")) * 1e6))
        },
    },
    Formula {
        name: "travel_for_bead",
        title: "Travel that lays a wanted cross-section",
        arguments: &[DIAMETER, WIRE_FEED, BEAD, DEPOSITION],
        unit: "mm/s",
        source: DEPOSIT_SOURCE,
        basis: Basis::Derived,
        validity: "deposit only, without melted base metal",
        example: &[("diameter", "0.035 in"), ("wire_feed", "225 in/min"), ("bead_area", "16 mm2")],
        compute: |v| {
            let (d, w) = (v.si("diameter"), v.si("wire_feed"));
            let travel = physics::travel_for_bead_m_s(d, w, v.si("bead_area"), v.si("efficiency"));
            Ok(Computed::of(travel * 1e3).also("in inches", travel / IPM_M_S, "in/min"))
        },
    },
    Formula {
        name: "arc_energy",
        title: "Arc energy per length",
        arguments: &[VOLTS, AMPS, TRAVEL, EFFICIENCY.optional()],
        unit: "kJ/mm",
        source: "E = U·I/v; EN 1011-1 and ASME BPVC IX QW-409.1(a)",
        basis: Basis::Secondary,
        validity: "steady direct current; in short-circuit transfer the product of meter means reads 5 to 20 % high",
        example: &[("volts", "17.5 V"), ("amps", "120 A"), ("travel", "150 mm/min")],
        compute: |v| {
            let energy = physics::arc_energy_j_m(v.si("volts"), v.si("amps"), v.si("travel"));
            Ok(Computed::of(energy * 1e-6).also("in inches", energy * INCH_M * 1e-3, "kJ/in").warn_if(
                v.optional("efficiency").is_some(),
                "arc energy has no efficiency in it; heat_input has",
            ))
        },
    },
    Formula {
        name: "heat_input",
        title: "Heat input: arc energy times the factor k",
        arguments: &[VOLTS, AMPS, TRAVEL, EFFICIENCY.or("0.8")],
        unit: "kJ/mm",
        source: "Q = k·U·I/v; EN 1011-1, k 0.8 for wire and stick, 1.0 submerged, 0.6 gas tungsten",
        basis: Basis::Secondary,
        validity: "US codes call the arc energy itself heat input; say which one is meant",
        example: &[("volts", "17.5 V"), ("amps", "120 A"), ("travel", "150 mm/min"), ("efficiency", "0.8")],
        compute: |v| {
            let energy = physics::arc_energy_j_m(v.si("volts"), v.si("amps"), v.si("travel"));
            let heat = energy * v.si("efficiency");
            Ok(Computed::of(heat * 1e-6).also("in inches", heat * INCH_M * 1e-3, "kJ/in").also(
                "arc energy",
                energy * 1e-6,
                "kJ/mm",
            ))
        },
    },
    Formula {
        name: "volts_window",
        title: "Middle of the volts in which an arc runs well",
        arguments: &[GAS, AMPS, TRANSFER],
        unit: "V",
        source: "least squares through published short-arc settings: 22 rows CO2, 11 rows Ar/CO2; machine charts for spray",
        basis: Basis::Derived,
        validity: "short circuit: CO2 to 200 A, argon mixes to 225 A, sheet and square butts; window about 2 V wide",
        example: &[("gas", "75Ar/25CO2"), ("amps", "125 A")],
        compute: volts_window,
    },
    Formula {
        name: "load_line",
        title: "Conventional load voltage of a gas metal arc",
        arguments: &[AMPS],
        unit: "V",
        source: "14 + 0.05·I, IEC 60974-1 as quoted in a welding handbook",
        basis: Basis::Secondary,
        validity: "a line for testing power sources, not a setting; about right for CO2, 2.5 V high for argon mixes",
        example: &[("amps", "125 A")],
        compute: |v| Ok(Computed::of(physics::load_line_v(v.si("amps")))),
    },
    Formula {
        name: "spray_threshold",
        title: "Least current that sprays",
        arguments: &[DIAMETER, GAS],
        unit: "A",
        source: "handbook table of minimum currents for spray in 98Ar/2O2; steps for other mixes from memory",
        basis: Basis::Secondary,
        validity: "solid wire 0.030 to 1/16 in, at least 80 % argon",
        example: &[("diameter", "0.035 in"), ("gas", "98Ar/2O2")],
        compute: |v| {
            let threshold = physics::spray_threshold_a(gas(v)?, v.si("diameter"));
            let none = "this gas does not spray, or the wire is outside 0.030 to 1/16 in";
            threshold.map(Computed::of).ok_or_else(|| none.to_owned())
        },
    },
    Formula {
        name: "extension_drop",
        title: "Volts lost along the electrode extension",
        arguments: &[DIAMETER, EXTENSION, AMPS],
        unit: "V",
        source: "R = ρL/A with hot steel at 1.0 µΩ·m",
        basis: Basis::Memory,
        validity: "mean over a hot extension; cold steel drops a seventh of it",
        example: &[("diameter", "0.035 in"), ("extension", "8 mm"), ("amps", "125 A")],
        compute: |v| {
            Ok(Computed::of(physics::extension_drop_v(v.si("diameter"), v.si("extension"), v.si("amps"))))
        },
    },
    Formula {
        name: "short_circuit_frequency",
        title: "Short circuits per second",
        arguments: &[DIAMETER, WIRE_FEED, DROP],
        unit: "Hz",
        source: "volume balance of wire and round drops",
        basis: Basis::Derived,
        validity: "short-circuit arcs run at 20 to 200 per second",
        example: &[("diameter", "0.035 in"), ("wire_feed", "200 in/min"), ("drop", "1.0 mm")],
        compute: |v| {
            let (d, w) = (v.si("diameter"), v.si("wire_feed"));
            Ok(Computed::of(physics::short_circuit_frequency_hz(d, w, v.si("drop"))))
        },
    },
    Formula {
        name: "arc_force",
        title: "Axial force of a wide-spreading arc",
        arguments: &[AMPS],
        unit: "mN",
        source: "μ0·I²/(4π), the integral of the Gaussian arc pressure",
        basis: Basis::Derived,
        validity: "arcing time only; in short-circuit transfer average I² while the arc burns",
        example: &[("amps", "150 A")],
        compute: |v| Ok(Computed::of(physics::arc_force_n(v.si("amps")) * 1e3)),
    },
    Formula {
        name: "arc_pressure",
        title: "Pressure at the centre of a Gaussian arc",
        arguments: &[AMPS, SIGMA],
        unit: "Pa",
        source: "μ0·I²/(8π²σ²)",
        basis: Basis::Derived,
        validity: "self-field only; drops and plasma jet add to it",
        example: &[("amps", "150 A"), ("sigma", "1.5 mm")],
        compute: |v| Ok(Computed::of(physics::arc_pressure_centre_pa(v.si("amps"), v.si("sigma")))),
    },
];

/// Metres in an inch.
const INCH_M: f64 = 0.0254;
/// One inch per minute, m/s.
const IPM_M_S: f64 = INCH_M / 60.0;

const BEAD: Argument = Argument::quantity(
    "bead_area",
    "wanted bead cross-section",
    Kind::Area,
    "16 mm2",
    (1e-7, 1e-2),
    "give the deposit of one bead",
);
const DROP: Argument = Argument::quantity(
    "drop",
    "drop diameter",
    Kind::Length,
    "1.0 mm",
    (1e-5, 0.02),
    "a short-circuit drop is 1.0 to 1.4 wire diameters",
);

fn volts_window(v: &Values) -> Result<Computed, String> {
    let transfer = if v.si("transfer") == 0.0 { Transfer::ShortCircuit } else { Transfer::Spray };
    let amps = v.si("amps");
    let window = physics::volts_window(gas(v)?, transfer, amps)
        .ok_or("no window is known for this gas and transfer; spray needs at least 80 % argon")?;
    let (least, most) = window.current_range_a;
    Ok(Computed::of(window.middle_v)
        .also("low", window.low_v, "V")
        .also("high", window.high_v, "V")
        .also("scatter of settings", window.scatter_v, "V")
        .warn_if(amps < least || amps > most, "the current is outside the settings behind the window"))
}
