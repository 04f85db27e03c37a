//! Computed numbers that are not judged, with their sources.

use bendproof_files::{Document, StatedCoupon};
use bendproof_forecast::stick::StickPassForecast;
use bendproof_forecast::{Forecast, PassForecast};
use bendproof_measure::{System, celsius_from_kelvin, computed_area, computed_energy, length_both, round_to};
use bendproof_weld::basis::Basis;
use bendproof_weld::{Backing, LoggedPass, PassKind, Progression};

use super::parts::{Figure, Provenance};
use crate::origin;
use crate::origin::Origin;

const INCH_M: f64 = 0.0254;
const IN_PER_MIN_M_S: f64 = INCH_M / 60.0;

fn figure(label: &str, text: String, source: &str, basis: Basis) -> Figure {
    Figure {
        label: label.to_owned(),
        text,
        provenance: Provenance { source: source.to_owned(), basis: basis.word().to_owned(), rule: None },
    }
}

/// Figures of those fields that have a text, in the order of the texts.
pub(super) fn with_origins(origins: &[Origin], texts: Vec<(&str, String)>) -> Vec<Figure> {
    let one = |(field, text): (&str, String)| {
        let origin = origins.iter().find(|o| o.field == field)?;
        Some(figure(origin.label, text, &origin.source, origin.basis))
    };
    texts.into_iter().filter_map(one).collect()
}

/// Numbers that follow from the fit.
pub(crate) fn of_fit(groove_area_m2: f64, face_width_m: f64, system: System) -> Vec<Figure> {
    let area = computed_area(groove_area_m2, system);
    with_origins(
        &origin::of_fit(),
        vec![("groove_area_mm2", area), ("face_width_mm", length_both(face_width_m))],
    )
}

/// Computed columns of one pass.
pub(crate) fn of_pass(pass: &PassForecast, system: System) -> Vec<Figure> {
    let mut texts = vec![
        ("current_A", format!("{:.0} A", pass.current_a)),
        ("travel", speed(pass.travel_m_s, system, 1)),
        ("arc_energy_kJ_mm", computed_energy(pass.arc_energy_j_m, system)),
        ("heat_input_kJ_mm", computed_energy(pass.heat_input_j_m, system)),
        ("bead_area_mm2", computed_area(pass.bead_area_m2, system)),
        ("arc_time_s", seconds(pass.arc_time_s)),
        ("interpass_C", temperature(pass.interpass_k, system)),
    ];
    texts.extend(pass.t85_s.map(|t85_s| ("t85_s", format!("{} s", round_to(t85_s, 1)))));
    with_origins(&origin::of_pass(pass), texts)
}

/// Totals of the coupon.
pub(crate) fn of_totals(forecast: &Forecast, system: System) -> Vec<Figure> {
    let t = &forecast.totals;
    let is_inch = system == System::Inch;
    let cost = match t.cost {
        Some(cost) => round_to(cost, 2),
        None => "enter all prices to get a cost".to_owned(),
    };
    let wire = both_systems(is_inch, mass_lb(t.wire_kg), format!("{} kg", round_to(t.wire_kg, 3)));
    let gas = both_systems(is_inch, cubic_feet(t.gas_m3), format!("{:.0} L", t.gas_m3 * 1e3));
    with_origins(
        &origin::of_totals(),
        vec![
            ("beads", t.beads.to_string()),
            ("arc_time_s", seconds(t.arc_time_s)),
            ("clock_time_s", seconds(t.clock_time_s)),
            ("wire_kg", wire),
            ("gas_L", gas),
            ("cost", cost),
        ],
    )
}

/// Inch and metric side by side, the coupon's own first.
pub(crate) fn both_systems(is_inch: bool, inch: String, metric: String) -> String {
    if is_inch { format!("{inch} · {metric}") } else { format!("{metric} · {inch}") }
}

pub(super) fn mass_lb(kg: f64) -> String {
    format!("{} lb", round_to(kg / 0.453_592_37, 2))
}

fn cubic_feet(m3: f64) -> String {
    format!("{} ft³", round_to(m3 / 0.028_316_847, 1))
}

/// A speed in the coupon's own units: `9.5 in/min`, `240 mm/min`.
pub(super) fn speed(m_s: f64, system: System, decimals: usize) -> String {
    match system {
        System::Metric => format!("{:.0} mm/min", m_s * 60e3),
        _ => format!("{} in/min", round_to(m_s / IN_PER_MIN_M_S, decimals)),
    }
}

/// What a reading of the log is held against.
pub(crate) struct Planned {
    /// Kind of the pass.
    pub kind: PassKind,
    /// Arc volts; `None` where nobody planned them.
    volts: Option<f64>,
    /// Amps, and where they come from.
    amps: (f64, Origin),
    /// Wire feed, m/s; a stick has none.
    wire_feed_m_s: Option<f64>,
    /// Travel, m/s.
    travel_m_s: f64,
}

impl From<&PassForecast> for Planned {
    fn from(pass: &PassForecast) -> Self {
        Self {
            kind: pass.kind,
            volts: Some(pass.volts),
            amps: (pass.current_a, origin::of_current(pass.current_is_read)),
            wire_feed_m_s: Some(pass.wire_feed_m_s),
            travel_m_s: pass.travel_m_s,
        }
    }
}

impl From<&StickPassForecast> for Planned {
    fn from(pass: &StickPassForecast) -> Self {
        Self {
            kind: pass.kind,
            // The electrode's line is no plan.
            volts: pass.heat.filter(|heat| heat.volts_are_stated).map(|heat| heat.volts),
            amps: (pass.current_a, Origin::of("current_A", "amps", AS_PLANNED, Basis::Choice)),
            wire_feed_m_s: None,
            travel_m_s: pass.travel_m_s,
        }
    }
}

const AS_PLANNED: &str = "as planned";

/// Plan against one reading: difference where both are known.
pub(crate) fn differences(read: &LoggedPass, planned: &Planned, system: System) -> Vec<Figure> {
    let mut out = Vec::new();
    let mut compare = |label: &str, read: Option<f64>, forecast: f64, said: String, source: &str, basis| {
        if let Some(read) = read {
            let percent = ((read / forecast - 1.0) * 100.0).round();
            let against = match percent {
                0.0 => format!("as planned, {said}"),
                more if more > 0.0 => format!("{more} % above {said}"),
                less => format!("{} % below {said}", -less),
            };
            out.push(figure(&format!("{label} against plan"), against, source, basis));
        }
    };
    if let Some(volts) = planned.volts {
        let said = format!("{} V", round_to(volts, 1));
        compare("volts", read.volts, volts, said, AS_PLANNED, Basis::Choice);
    }
    let (amps, law) = &planned.amps;
    compare("amps", read.amps, *amps, format!("{} A", round_to(*amps, 0)), &law.source, law.basis);
    if let Some(feed) = planned.wire_feed_m_s {
        compare("wire", read.wire_feed_m_s, feed, speed(feed, system, 0), AS_PLANNED, Basis::Choice);
    }
    let travel = speed(planned.travel_m_s, system, 1);
    compare("travel", read.travel_m_s, planned.travel_m_s, travel, AS_PLANNED, Basis::Choice);
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

/// A made title of what is stated: `3/8 in plate, 3G, open root, root downhill`.
pub(crate) fn title(coupon: &StatedCoupon, document: &Document) -> String {
    // As the shop wrote it: 0.432 in or 11 mm is neither's fraction.
    let written = |path: &str| document.get(path).unwrap_or("").trim().to_owned();
    let shape = match coupon.is_pipe {
        Some(true) => format!(" pipe {} across", written("fit.outside_diameter")),
        Some(false) => " plate".to_owned(),
        None => String::new(),
    };
    let mut parts = vec![format!("{}{shape}", written("fit.thickness")), coupon.position.to_string()];
    parts.extend(coupon.backing.map(|backing| match backing {
        Backing::Open => "open root".to_owned(),
        Backing::Steel => "steel backing".to_owned(),
    }));
    let way = coupon.planned.first().filter(|way| **way != Progression::Level);
    parts.extend(way.map(|way| format!("root {way}")));
    parts.join(", ")
}

pub(super) fn seconds(s: f64) -> String {
    if s < 90.0 { format!("{s:.0} s") } else { format!("{} min", round_to(s / 60.0, 1)) }
}

pub(super) fn temperature(kelvin: f64, system: System) -> String {
    let c = celsius_from_kelvin(kelvin);
    both_systems(system == System::Inch, format!("{:.0} °F", c * 1.8 + 32.0), format!("{c:.0} °C"))
}
