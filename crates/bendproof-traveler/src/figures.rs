//! Computed numbers that are not judged, with their sources.

use bendproof_files::Document;
use bendproof_forecast::{Forecast, PassForecast};
use bendproof_measure::{System, celsius_from_kelvin, computed_area, computed_energy, length_both, round_to};
use bendproof_weld::basis::Basis;
use bendproof_weld::{Coupon, LoggedPass};

use crate::sheet::{Figure, Provenance};

const INCH_M: f64 = 0.0254;
const IN_PER_MIN_M_S: f64 = INCH_M / 60.0;

fn figure(label: &str, text: String, source: &str, basis: Basis) -> Figure {
    Figure {
        label: label.to_owned(),
        text,
        provenance: Provenance { source: source.to_owned(), basis: basis.word().to_owned(), rule: None },
    }
}

const GEOMETRY: &str = "exact geometry of the section as fitted";
const MELTING_LAW: &str = "wire-melting law after Lesnewich and Halmøy, constants from memory; ± 12 % against 18 published settings";

/// Numbers that follow from the fit.
pub(crate) fn of_fit(forecast: &Forecast, system: System) -> Vec<Figure> {
    vec![
        figure("groove area", computed_area(forecast.groove_area_m2, system), GEOMETRY, Basis::Derived),
        figure("groove width at the face", length_both(forecast.face_width_m), GEOMETRY, Basis::Derived),
    ]
}

/// Computed columns of one pass.
pub(crate) fn of_pass(pass: &PassForecast, system: System) -> Vec<Figure> {
    let amps = format!("{:.0} A", pass.current_a);
    let current = match pass.current_is_read {
        true => figure("amps", amps, "read on the machine", Basis::Measured),
        false => figure("amps", amps, MELTING_LAW, Basis::Memory),
    };
    let mut out = vec![
        current,
        figure(
            "travel",
            speed(pass.travel_m_s, system, 1),
            "as written, or solved from the bead's area",
            Basis::Derived,
        ),
        figure(
            "arc energy",
            computed_energy(pass.arc_energy_j_m, system),
            "volts times amps over travel; ASME IX QW-409.1(a)",
            Basis::Secondary,
        ),
        figure(
            "heat input",
            computed_energy(pass.heat_input_j_m, system),
            "arc energy times the factor k of EN 1011-1, quoted by a steel maker",
            Basis::Secondary,
        ),
        figure(
            "bead area",
            computed_area(pass.bead_area_m2, system),
            "wire section times feed over travel, times the deposition efficiency",
            Basis::Derived,
        ),
        figure("arc time", seconds(pass.arc_time_s), "joint length over travel, all beads", Basis::Derived),
        figure(
            "metal before",
            temperature(pass.interpass_k, system),
            "heat balance of a 3 in strip on each side, cooled in still air to the interpass limit",
            Basis::Choice,
        ),
    ];
    if let Some(t85_s) = pass.t85_s {
        out.push(figure(
            "t8/5",
            format!("{} s", round_to(t85_s, 1)),
            "EN 1011-2 cooling time, run in a butt groove, quoted in public texts",
            Basis::Secondary,
        ));
    }
    out
}

/// Totals of the coupon.
pub(crate) fn of_totals(forecast: &Forecast, system: System) -> Vec<Figure> {
    let t = &forecast.totals;
    let is_inch = system == System::Inch;
    let cost = match t.cost {
        Some(cost) => round_to(cost, 2),
        None => "not known until every price is told".to_owned(),
    };
    vec![
        figure("beads", t.beads.to_string(), "sum over the passes", Basis::Derived),
        figure("arc time", seconds(t.arc_time_s), "joint length over travel, all beads", Basis::Derived),
        figure(
            "clock time",
            seconds(t.clock_time_s),
            "arc time, a minute of cleaning after each bead, and waiting for the interpass limit",
            Basis::Choice,
        ),
        figure(
            "wire",
            beside_each(is_inch, mass_lb(t.wire_kg), format!("{} kg", round_to(t.wire_kg, 3))),
            "wire section times feed times arc time; density 7850 kg/m³",
            Basis::Derived,
        ),
        figure(
            "gas",
            beside_each(is_inch, cubic_feet(t.gas_m3), format!("{:.0} L", t.gas_m3 * 1e3)),
            "flow times arc time, and two seconds for each bead",
            Basis::Choice,
        ),
        figure("cost", cost, "the shop's own prices", Basis::Measured),
    ]
}

/// Inch and metric side by side, the coupon's own first.
fn beside_each(is_inch: bool, inch: String, metric: String) -> String {
    if is_inch { format!("{inch} · {metric}") } else { format!("{metric} · {inch}") }
}

fn mass_lb(kg: f64) -> String {
    format!("{} lb", round_to(kg / 0.453_592_37, 2))
}

fn cubic_feet(m3: f64) -> String {
    format!("{} ft³", round_to(m3 / 0.028_316_847, 1))
}

/// A speed in the coupon's own units: `9.5 in/min`, `240 mm/min`.
fn speed(m_s: f64, system: System, decimals: usize) -> String {
    match system {
        System::Metric => format!("{:.0} mm/min", m_s * 60e3),
        _ => format!("{} in/min", round_to(m_s / IN_PER_MIN_M_S, decimals)),
    }
}

/// Forecast beside one reading: difference where both are known.
pub(crate) fn beside(read: &LoggedPass, planned: Option<&PassForecast>, system: System) -> Vec<Figure> {
    let Some(planned) = planned else { return Vec::new() };
    let mut out = Vec::new();
    let mut compare = |label: &str, read: Option<f64>, forecast: f64, said: String, source: &str, basis| {
        if let Some(read) = read {
            let share = (read / forecast - 1.0) * 100.0;
            out.push(figure(
                &format!("{label} planned, read"),
                format!("{said}, {share:+.0} %"),
                source,
                basis,
            ));
        }
    };
    let volts = format!("{} V", round_to(planned.volts, 1));
    compare("volts", read.volts, planned.volts, volts, "as planned", Basis::Choice);
    let amps = format!("{} A", round_to(planned.current_a, 0));
    compare("amps", read.amps, planned.current_a, amps, MELTING_LAW, Basis::Memory);
    let feed = speed(planned.wire_feed_m_s, system, 0);
    compare("wire", read.wire_feed_m_s, planned.wire_feed_m_s, feed, "as planned", Basis::Choice);
    let travel = speed(planned.travel_m_s, system, 1);
    compare("travel", read.travel_m_s, planned.travel_m_s, travel, "as planned", Basis::Choice);
    if let (Some(v), Some(a), Some(s)) = (read.volts, read.amps, read.travel_m_s) {
        out.push(figure(
            "arc energy as read",
            computed_energy(v * a / s, system),
            "volts times amps over travel, as read",
            Basis::Measured,
        ));
    }
    out
}

/// A made title: `3/8 in plate, 3G, open root, root downhill`.
pub(crate) fn title(coupon: &Coupon, document: &Document) -> String {
    let fit = &coupon.fit;
    let shape = match fit.shape {
        bendproof_weld::Shape::Plate { .. } => "plate".to_owned(),
        bendproof_weld::Shape::Pipe { outside_diameter_m } => {
            let written = document.get("fit.outside_diameter").map(str::trim);
            let inches = || format!("{} in", round_to(outside_diameter_m / INCH_M, 3));
            format!("pipe {} across", written.map_or_else(inches, str::to_owned))
        }
    };
    let back = match fit.joint.backing {
        bendproof_weld::Backing::Open => "open root",
        bendproof_weld::Backing::Steel => "steel backing",
    };
    let way = match coupon.passes.first().map(|p| p.progression) {
        Some(way) if way != bendproof_weld::Progression::Level => format!(", root {way}"),
        _ => String::new(),
    };
    // As the shop wrote it: 0.432 in or 11 mm is neither's fraction.
    let thickness = document.get("fit.thickness").unwrap_or("").trim();
    format!("{thickness} {shape}, {}, {back}{way}", fit.position)
}

fn seconds(s: f64) -> String {
    if s < 90.0 { format!("{s:.0} s") } else { format!("{} min", round_to(s / 60.0, 1)) }
}

fn temperature(kelvin: f64, system: System) -> String {
    let c = celsius_from_kelvin(kelvin);
    beside_each(system == System::Inch, format!("{:.0} F", c * 1.8 + 32.0), format!("{c:.0} C"))
}
