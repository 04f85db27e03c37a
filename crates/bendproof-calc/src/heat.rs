//! Formulas of heat flow: moving sources, peak temperature, cooling time.

use crate::argument::Argument;
use crate::common::*;
use crate::evaluate::{Computed, Formula, Values};
use bendproof_heat::Conductor;
use bendproof_heat::christensen::{isotherm, operating_parameter};
use bendproof_heat::cooling::{self, ShapeFactors};
use bendproof_heat::fusion::{FUSION_TEMPERATURE_K, Slab, fusion_section, outside_fit};
use bendproof_heat::moving::{Body, MovingHeat, rise_until_k};
use bendproof_heat::point::{self, Place, PointSource};
use bendproof_measure::{Kind, celsius_from_kelvin};
use bendproof_weld::Basis;

const K: Argument = CONDUCTIVITY.or(CONDUCTIVITY_TEXT);
const A: Argument = DIFFUSIVITY.or(DIFFUSIVITY_TEXT);
const NET_POWER: Argument = POWER.named("net_power");
const FACTOR: Argument = plain_number(
    "shape_factor",
    "shape factor",
    "0.9",
    (0.1, 2.0),
    "1 for a bead on plate, 0.9 in a butt groove",
)
.or("1");
const DISTANCE: Argument = Argument::quantity(
    "distance",
    "distance from the weld's middle",
    Kind::Length,
    "10 mm",
    (1e-5, 1.0),
    "a point source has no temperature at its own place",
);
const LOSS_FREE: &str = "constant properties, no melting heat, faces lose none; not valid inside the pool";
const ROSENTHAL: &str = "Rosenthal, Welding J. 20 (1941) 220s-234s";
const EN1011: &str = "EN 1011-2:2001 annex D, as quoted by steel makers";
const EN1011_VALIDITY: &str =
    "plain and low-alloy steel; heat input with the factor k in it; never with other conductivities";
const RYKALIN: &str = "Rykalin's fast source";

const fn size(name: &'static str, title: &'static str) -> Argument {
    Argument::quantity(
        name,
        title,
        Kind::Length,
        "4 mm",
        (1e-6, 0.2),
        "give the length at which heat falls to 5 %",
    )
}

const TIME: Argument = Argument::quantity(
    "time",
    "time since the arc was struck",
    Kind::Time,
    "1 s",
    (1e-6, 1e6),
    "leave it out for steady travel",
)
.optional();

const ELAPSED: Argument = Argument::quantity(
    "time",
    "time since the source passed",
    Kind::Time,
    "5 s",
    (1e-6, 1e6),
    "count from the moment the arc passed",
);

const PLATE_EXAMPLE: &[(&str, &str)] = &[
    ("power", "2500 W"),
    ("travel", "5 mm/s"),
    ("thickness", "12.7 mm"),
    ("xi", "-20 mm"),
    ("z", "12.7 mm"),
];

pub(crate) const FORMULAS: &[Formula] = &[
    Formula {
        name: "rosenthal_thick",
        title: "Rise around a moving point source on a thick plate",
        arguments: &[POWER, TRAVEL, K, A, XI, Y.or("0 mm"), Z.or("0 mm")],
        unit: "K",
        source: ROSENTHAL,
        basis: Basis::Secondary,
        validity: LOSS_FREE,
        example: &[("power", "2500 W"), ("travel", "5 mm/s"), ("xi", "-10 mm")],
        compute: |v| Ok(Computed::of(point::rosenthal_thick_k(source(v), metal(v), place(v)))),
    },
    Formula {
        name: "rosenthal_plate",
        title: "Rise around a moving point source on a plate of finite thickness",
        arguments: &[POWER, TRAVEL, K, A, XI, Y.or("0 mm"), Z.or("0 mm"), THICKNESS],
        unit: "K",
        source: "mirror sources after Rosenthal; Grong, Metallurgical Modelling of Welding, 1.10.4",
        basis: Basis::Seen,
        validity: LOSS_FREE,
        example: PLATE_EXAMPLE,
        compute: |v| {
            within_plate(v)?;
            Ok(Computed::of(point::rosenthal_plate_k(source(v), metal(v), v.si("thickness"), place(v))))
        },
    },
    Formula {
        name: "rosenthal_thin",
        title: "Rise around a moving line source through a thin plate",
        arguments: &[POWER, TRAVEL, K, A, XI, Y.or("0 mm"), THICKNESS],
        unit: "K",
        source: ROSENTHAL,
        basis: Basis::Memory,
        validity: LOSS_FREE,
        example: &[
            ("power", "2500 W"),
            ("travel", "5 mm/s"),
            ("thickness", "6 mm"),
            ("xi", "-20 mm"),
            ("y", "5 mm"),
        ],
        compute: |v| {
            let rise =
                point::rosenthal_thin_k(source(v), metal(v), v.si("thickness"), 0.0, v.si("xi"), v.si("y"));
            Ok(Computed::of(rise))
        },
    },
    Formula {
        name: "fast_source_thick",
        title: "Rise after a fast source on a thick plate",
        arguments: &[NET_POWER, TRAVEL, K, A, ELAPSED, DISTANCE],
        unit: "K",
        source: RYKALIN,
        basis: Basis::Memory,
        validity: LOSS_FREE,
        example: &[("net_power", "2500 W"), ("travel", "5 mm/s"), ("time", "5 s"), ("distance", "5 mm")],
        compute: |v| {
            Ok(Computed::of(point::fast_thick_k(energy(v), metal(v), v.si("time"), v.si("distance"))))
        },
    },
    Formula {
        name: "fast_source_thin",
        title: "Rise after a fast source through a thin plate",
        arguments: &[NET_POWER, TRAVEL, K, A, ELAPSED, DISTANCE, THICKNESS],
        unit: "K",
        source: RYKALIN,
        basis: Basis::Memory,
        validity: LOSS_FREE,
        example: &[
            ("net_power", "2500 W"),
            ("travel", "5 mm/s"),
            ("time", "10 s"),
            ("distance", "5 mm"),
            ("thickness", "6 mm"),
        ],
        compute: |v| {
            let (time, distance) = (v.si("time"), v.si("distance"));
            Ok(Computed::of(point::fast_thin_k(energy(v), metal(v), v.si("thickness"), time, distance)))
        },
    },
    Formula {
        name: "peak_temperature",
        title: "Highest rise at a distance from the weld",
        arguments: &[NET_POWER, TRAVEL, DISTANCE, THICKNESS.optional(), K, A],
        unit: "K",
        source: "fast source: thick 2(q/v)/(π·e·ρc·r²), thin (q/vd)/(2ρc·y)·√(2/πe)",
        basis: Basis::Memory,
        validity: LOSS_FREE,
        example: &[
            ("net_power", "2500 W"),
            ("travel", "5 mm/s"),
            ("distance", "10 mm"),
            ("thickness", "6 mm"),
        ],
        compute: peak_temperature,
    },
    Formula {
        name: "double_ellipsoid",
        title: "Rise around a moving double ellipsoid of heat",
        arguments: &[
            POWER,
            TRAVEL,
            K,
            A,
            size("half_width", "half width of the source"),
            size("depth", "depth of the source"),
            size("front", "length of the source ahead"),
            size("rear", "length of the source behind"),
            XI,
            Y.or("0 mm"),
            Z.or("0 mm"),
            THICKNESS.optional(),
            TIME,
        ],
        unit: "K",
        source: "source of Goldak, Chakravarti and Bibby, Metall. Trans. B 15 (1984) 299-305; exact field with error functions",
        basis: Basis::Derived,
        validity: LOSS_FREE,
        example: &[
            ("power", "2500 W"),
            ("travel", "5 mm/s"),
            ("half_width", "4 mm"),
            ("depth", "3 mm"),
            ("front", "4 mm"),
            ("rear", "8 mm"),
            ("xi", "-5 mm"),
        ],
        compute: |v| moving(v, &ellipsoid(v)),
    },
    Formula {
        name: "eagar_tsai",
        title: "Rise around a travelling Gaussian source",
        arguments: &[
            POWER,
            TRAVEL,
            K,
            A,
            size("sigma", "standard deviation of the source"),
            XI,
            Y.or("0 mm"),
            Z.or("0 mm"),
            THICKNESS.optional(),
            TIME,
        ],
        unit: "K",
        source: "Eagar and Tsai, Welding J. 62 (1983) 346s-355s",
        basis: Basis::Memory,
        validity: LOSS_FREE,
        example: &[("power", "2500 W"), ("travel", "5 mm/s"), ("sigma", "2 mm"), ("xi", "-10 mm")],
        compute: |v| moving(v, &MovingHeat::gaussian(v.si("power"), v.si("travel"), v.si("sigma"))),
    },
    Formula {
        name: "melted_half_width",
        title: "Half width of the isotherm of a point source",
        arguments: &[POWER, TRAVEL, K, A, RISE],
        unit: "mm",
        source: "Christensen, Davies and Gjermundsen, British Welding J. 12 (1965) 54-75, exact parametric form",
        basis: Basis::Derived,
        validity: "thick plate, source without size; the section is a half circle",
        example: &[("power", "2500 W"), ("travel", "5 mm/s"), ("rise", "1480")],
        compute: |v| {
            let n = operating_parameter(source(v), metal(v), v.si("rise"));
            let shape = isotherm(n);
            let scale_mm = 2e3 * metal(v).diffusivity_m2_s / v.si("travel");
            Ok(Computed::of(shape.half_width * scale_mm)
                .also("area", shape.area() * scale_mm * scale_mm, "mm2")
                .also("length", (shape.leading + shape.trailing) * scale_mm, "mm")
                .also("melting efficiency", 100.0 * shape.melting_efficiency(), "%")
                .also("operating parameter", n, ""))
        },
    },
    Formula {
        name: "christensen_width",
        title: "Half width of an isotherm without dimensions",
        arguments: &[OPERATING],
        unit: "",
        source: "n = s·exp(s/(1+s)), r = s·√(1+2s)/(1+s), lengths in 2a/v; Christensen 1965",
        basis: Basis::Derived,
        validity: "thick plate, source without size",
        example: &[("operating_parameter", "1")],
        compute: |v| Ok(Computed::of(isotherm(v.si("operating_parameter")).half_width)),
    },
    Formula {
        name: "christensen_efficiency",
        title: "Melting efficiency of a point source",
        arguments: &[OPERATING],
        unit: "",
        source: "r²/2n, at most 1/e; Christensen 1965",
        basis: Basis::Derived,
        validity: "thick plate, source without size; fails in dip transfer, where the wire alone takes more",
        example: &[("operating_parameter", "1")],
        compute: |v| Ok(Computed::of(isotherm(v.si("operating_parameter")).melting_efficiency())),
    },
    Formula {
        name: "pool_length",
        title: "Length of the pool behind the arc",
        arguments: &[POWER, CONDUCTIVITY.or("30 W/m/K"), RISE.or("1500")],
        unit: "mm",
        source: "q/(2πk·ΔT), trailing length after Rosenthal",
        basis: Basis::Memory,
        validity: "thick plate, source without size; thin plate and preheat lengthen it",
        example: &[("power", "1934 W")],
        compute: |v| {
            Ok(Computed::of(point::pool_length_m(v.si("power"), v.si("conductivity"), v.si("rise")) * 1e3))
        },
    },
    Formula {
        name: "fused_half_width",
        title: "Half width of the fused section on a slab",
        arguments: FUSED,
        unit: "mm",
        source: FUSED_SOURCE,
        basis: Basis::Derived,
        validity: FUSED_VALIDITY,
        example: FUSED_EXAMPLE,
        compute: |v| fused(v, |width_mm, _| width_mm),
    },
    Formula {
        name: "fused_depth",
        title: "Depth of the fused section on a slab",
        arguments: FUSED,
        unit: "mm",
        source: FUSED_SOURCE,
        basis: Basis::Derived,
        validity: FUSED_VALIDITY,
        example: FUSED_EXAMPLE,
        compute: |v| fused(v, |_, depth_mm| depth_mm),
    },
    Formula {
        name: "cooling_time_3d",
        title: "Cooling time 800 to 500 °C, thick plate",
        arguments: &[HEAT_INPUT, PREHEAT, THICKNESS.optional(), FACTOR],
        unit: "s",
        source: EN1011,
        basis: Basis::Secondary,
        validity: EN1011_VALIDITY,
        example: &[("heat_input", "1.0 kJ/mm"), ("preheat", "100 C")],
        compute: |v| {
            let time = cooling::en1011_3d_s(heat_kj_mm(v), start_c(v), v.si("shape_factor"));
            Ok(judged_by_transition(v, Computed::of(time), |thickness_mm, limit_mm| thickness_mm < limit_mm))
        },
    },
    Formula {
        name: "cooling_time_2d",
        title: "Cooling time 800 to 500 °C, thin plate",
        arguments: &[HEAT_INPUT, PREHEAT, THICKNESS, FACTOR],
        unit: "s",
        source: EN1011,
        basis: Basis::Secondary,
        validity: EN1011_VALIDITY,
        example: &[("heat_input", "1.0 kJ/mm"), ("preheat", "20 C"), ("thickness", "10 mm")],
        compute: |v| {
            let time = cooling::en1011_2d_s(heat_kj_mm(v), start_c(v), thickness_mm(v), v.si("shape_factor"));
            Ok(judged_by_transition(v, Computed::of(time), |thickness_mm, limit_mm| thickness_mm >= limit_mm))
        },
    },
    Formula {
        name: "cooling_time",
        title: "Cooling time 800 to 500 °C, thin or thick as the plate decides",
        arguments: &[HEAT_INPUT, PREHEAT, THICKNESS, FACTOR],
        unit: "s",
        source: EN1011,
        basis: Basis::Secondary,
        validity: EN1011_VALIDITY,
        example: &[("heat_input", "0.672 kJ/mm"), ("preheat", "20 C"), ("thickness", "10 mm")],
        compute: |v| {
            let factors = ShapeFactors { f3: v.si("shape_factor"), f2: v.si("shape_factor") };
            let (heat, start) = (heat_kj_mm(v), start_c(v));
            let limit_mm = cooling::en1011_transition_mm(heat, start, factors);
            let dimensions = if thickness_mm(v) < limit_mm { 2.0 } else { 3.0 };
            Ok(Computed::of(cooling::en1011_s(heat, start, thickness_mm(v), factors))
                .also("transition thickness", limit_mm, "mm")
                .also("dimensions of heat flow", dimensions, ""))
        },
    },
    Formula {
        name: "transition_thickness",
        title: "Thickness between thin and thick plate for cooling time",
        arguments: &[HEAT_INPUT, PREHEAT, FACTOR.named("shape_factor_2d"), FACTOR.named("shape_factor_3d")],
        unit: "mm",
        source: "the two formulas of EN 1011-2 annex D set equal",
        basis: Basis::Derived,
        validity: EN1011_VALIDITY,
        example: &[("heat_input", "1.0 kJ/mm"), ("preheat", "20 C")],
        compute: |v| {
            let factors = ShapeFactors { f3: v.si("shape_factor_3d"), f2: v.si("shape_factor_2d") };
            Ok(Computed::of(cooling::en1011_transition_mm(heat_kj_mm(v), start_c(v), factors)))
        },
    },
    Formula {
        name: "cooling_time_conduction_thick",
        title: "Cooling time 800 to 500 °C from conduction, thick plate",
        arguments: &[HEAT_INPUT, PREHEAT, K],
        unit: "s",
        source: RYKALIN,
        basis: Basis::Memory,
        validity: LOSS_FREE,
        example: &[("heat_input", "0.6 kJ/mm"), ("preheat", "100 C"), ("conductivity", "41 W/m/K")],
        compute: |v| Ok(Computed::of(cooling::thick_s(v.si("heat_input"), v.si("conductivity"), start_c(v)))),
    },
    Formula {
        name: "cooling_time_conduction_thin",
        title: "Cooling time 800 to 500 °C from conduction, thin plate",
        arguments: &[HEAT_INPUT, PREHEAT, THICKNESS, K, A],
        unit: "s",
        source: RYKALIN,
        basis: Basis::Memory,
        validity: LOSS_FREE,
        example: &[("heat_input", "0.6 kJ/mm"), ("preheat", "100 C"), ("thickness", "6 mm")],
        compute: |v| {
            let metal = metal(v);
            let (k, rho_c) = (metal.conductivity_w_m_k, metal.heat_per_volume_j_m3_k());
            Ok(Computed::of(cooling::thin_s(v.si("heat_input"), k, rho_c, v.si("thickness"), start_c(v))))
        },
    },
];

const RISE: Argument = plain_number(
    "rise",
    "rise of the isotherm above the start, K",
    "1480",
    (1.0, 4000.0),
    "take melting temperature less start temperature",
);
const OPERATING: Argument =
    plain_number("operating_parameter", "operating parameter n", "1", (1e-6, 1e6), "take q·v/(4π·a²·ρc·ΔT)");

const FUSED: &[Argument] = &[
    POWER.usual(1500.0, 4500.0),
    TRAVEL.usual(3e-3, 10e-3),
    size("half_width", "half width of the source"),
    size("depth", "depth of the source"),
    size("front", "length of the source ahead"),
    size("rear", "length of the source behind"),
    THICKNESS,
    PREHEAT.or("20 C"),
];
const FUSED_SOURCE: &str = "1495 °C isotherm of a double ellipsoid on a slab, k 32.9 and c 728 fitted to a nonlinear conduction solver";
const FUSED_VALIDITY: &str =
    "flat plate of 12.7 mm, 1.5 to 4.5 kW net, 3 to 10 mm/s: within 0.12 mm of the solver; no groove";
const FUSED_EXAMPLE: &[(&str, &str)] = &[
    ("power", "2500 W"),
    ("travel", "5 mm/s"),
    ("half_width", "4 mm"),
    ("depth", "3 mm"),
    ("front", "4 mm"),
    ("rear", "8 mm"),
    ("thickness", "12.7 mm"),
];

fn source(v: &Values) -> PointSource {
    PointSource { power_w: v.si("power"), travel_m_s: v.si("travel") }
}

fn metal(v: &Values) -> Conductor {
    Conductor { conductivity_w_m_k: v.si("conductivity"), diffusivity_m2_s: v.si("diffusivity") }
}

fn place(v: &Values) -> Place {
    Place { xi_m: v.si("xi"), y_m: v.si("y"), z_m: v.si("z") }
}

fn energy(v: &Values) -> f64 {
    v.si("net_power") / v.si("travel")
}

fn heat_kj_mm(v: &Values) -> f64 {
    v.si("heat_input") * 1e-6
}

fn start_c(v: &Values) -> f64 {
    celsius_from_kelvin(v.si("preheat"))
}

fn thickness_mm(v: &Values) -> f64 {
    v.si("thickness") * 1e3
}

fn within_plate(v: &Values) -> Result<(), String> {
    match v.optional("thickness") {
        Some(thickness) if v.si("z") > thickness * (1.0 + 1e-12) => {
            Err("the depth z is below the plate's underside; check z and thickness".to_owned())
        }
        _ => Ok(()),
    }
}

/// Warns when the plate, if given, belongs to the other formula.
fn judged_by_transition(v: &Values, computed: Computed, wrong: fn(f64, f64) -> bool) -> Computed {
    let factor = v.si("shape_factor");
    let limit_mm =
        cooling::en1011_transition_mm(heat_kj_mm(v), start_c(v), ShapeFactors { f3: factor, f2: factor });
    let out = v.optional("thickness").is_some_and(|t| wrong(t * 1e3, limit_mm));
    computed
        .also("transition thickness", limit_mm, "mm")
        .warn_if(out, "the other formula governs at this thickness; cooling_time chooses")
}

fn ellipsoid(v: &Values) -> MovingHeat {
    MovingHeat {
        power_w: v.si("power"),
        travel_m_s: v.si("travel"),
        half_width_m: v.si("half_width"),
        depth_m: v.si("depth"),
        front_m: v.si("front"),
        rear_m: v.si("rear"),
    }
}

fn moving(v: &Values, heat: &MovingHeat) -> Result<Computed, String> {
    within_plate(v)?;
    let body = v.optional("thickness").map_or(Body::Thick, Body::Slab);
    let time_s = v.optional("time").unwrap_or(f64::INFINITY);
    Ok(Computed::of(rise_until_k(heat, metal(v), body, place(v), time_s)))
}

/// The larger of thick and thin peak governs: a plate is never cooler than
/// either limit of it.
fn peak_temperature(v: &Values) -> Result<Computed, String> {
    let rho_c = metal(v).heat_per_volume_j_m3_k();
    let thick = point::peak_thick_k(energy(v), rho_c, v.si("distance"));
    let thin = v.optional("thickness").map(|d| point::peak_thin_k(energy(v), rho_c, d, v.si("distance")));
    let thin_governs = thin.is_some_and(|t| t > thick);
    let mut computed = Computed::of(thin.map_or(thick, |t| t.max(thick))).also("thick plate", thick, "K");
    if let Some(thin) = thin {
        computed = computed.also("thin plate", thin, "K");
    }
    Ok(computed.also("heat per volume", rho_c * 1e-6, "MJ/m3/K").warn_if(
        thin.is_some() && !thin_governs,
        "thick-plate form taken: the plate is thick at this distance",
    ))
}

fn fused(v: &Values, pick: fn(f64, f64) -> f64) -> Result<Computed, String> {
    let slab = Slab {
        metal: Conductor::FITTED_FUSION,
        thickness_m: v.si("thickness"),
        start_temperature_k: v.si("preheat"),
    };
    let heat = ellipsoid(v);
    let section = fusion_section(&heat, &slab, FUSION_TEMPERATURE_K);
    let (width_mm, depth_mm) = (section.half_width_m * 1e3, section.depth_m * 1e3);
    let mut computed = Computed::of(pick(width_mm, depth_mm))
        .also("half width", width_mm, "mm")
        .also("depth", depth_mm, "mm")
        .also("half width at the back", section.back_half_width_m * 1e3, "mm")
        .warn_if(section.half_width_m == 0.0, "nothing melts")
        .warn_if(section.through(), "the section reaches the back");
    for reason in outside_fit(&heat, &slab) {
        computed = computed.warn_if(true, &format!("outside the fitted box: {reason}"));
    }
    Ok(computed)
}
