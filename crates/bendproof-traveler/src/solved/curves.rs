//! Cooling curves at thermocouples nobody had to weld on: by default one in the
//! heated zone of each bead, else at places the user points at. A measured curve
//! is laid over, as it is given.

use bendproof_drawing::{
    COOLING_SERIES_MAX, CoolingChart, CoolingSeries, Frame, TimeAxis, Words, cooling_chart,
};
use bendproof_forecast::solved::SolvedBead;
use bendproof_measure::{System, celsius_from_kelvin, kelvin_from_celsius, round_to};
use serde::Serialize;

use super::coupon::{COMPUTED, SolvedCoupon};
use super::pictures::look_of;
use super::table::temperature;
use crate::drawn::Look;
use crate::sheet::both_systems;
use crate::table_text::csv_text;

/// Most places followed at once: one curve each.
pub const PLACES_MAX: usize = COOLING_SERIES_MAX;
/// How far outside the fused metal a default thermocouple sits, mm: in the
/// coarse-grained zone, past the cell that holds the edge. Basis: choice.
const OUTSIDE_MM: f64 = 0.5;
/// Step and reach of the search for the edge of fusion, mm.
const STEP_MM: f64 = 0.05;
const REACH_MM: f64 = 12.0;
/// A bead whose outline ends this close to the wall stands at it, mm.
const TOUCH_MM: f64 = 0.3;
/// First and last time shown, s after the arc.
const SPAN_S: [f64; 2] = [-2.0, 22.0];
/// The plot itself, user units. Basis: choice; readable on a phone.
const PLOT_PX: [f64; 2] = [310.0, 220.0];
/// 800 and 500 °C: the band read off a measured curve.
const BAND_C: [f64; 2] = [800.0, 500.0];

/// A place on the section that is followed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Place {
    /// Its name on the drawing: `A`, `1`.
    pub name: String,
    /// Bead whose pass is followed there.
    pub bead: usize,
    /// Millimetres across from the centre line and up from the underside.
    pub at_mm: [f64; 2],
}

/// What one place saw.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CurveRow {
    /// The place.
    pub place: Place,
    /// In words, the coupon's own unit first: `0.12 in right, 0.2 in up · 3 mm right,
    /// 5 mm up, bead 2, fill`.
    pub words: String,
    /// Highest temperature, °C · °F, or why there is none.
    pub peak: String,
    /// Time from 800 to 500 °C, or `not reached`.
    pub t85: String,
    /// The same two of the measured curve; empty without one.
    pub measured: String,
    /// Whether metal is there.
    pub is_metal: bool,
}

/// Cooling curves with their table.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Curves {
    /// The chart; empty when no place lies in metal.
    pub svg: String,
    /// One row per place.
    pub rows: Vec<CurveRow>,
}

/// The curves at `places`, or next to every bead when there are none; `measured`
/// (s, °C) is laid over the first that lies in metal.
pub fn curves(solved: &SolvedCoupon, places: &[Place], measured: &[[f64; 2]], look: Look) -> Curves {
    let is_default = places.is_empty();
    let own = if is_default { places_next_to_beads(solved) } else { places.to_vec() };
    let mut series = Vec::new();
    let mut rows = Vec::new();
    for place in own.into_iter().take(PLACES_MAX) {
        let followed = follow(solved, &place);
        let over = if series.is_empty() && followed.is_some() { measured } else { &[] };
        rows.push(row(solved, &place, followed.as_ref(), over));
        series.extend(followed.map(|f| CoolingSeries {
            name: if is_default { format!("bead {}", place.bead) } else { place.name.clone() },
            t_s: f.t_s,
            celsius: f.celsius,
            measured: over.to_vec(),
        }));
    }
    let svg = if series.is_empty() { String::new() } else { chart(solved, series, look) };
    Curves { svg, rows }
}

/// The same curves as comma-separated values: place, time, temperature.
pub fn cooling_csv(solved: &SolvedCoupon, places: &[Place]) -> String {
    let own = if places.is_empty() { places_next_to_beads(solved) } else { places.to_vec() };
    let mut rows = vec![["place", "bead", "x_mm", "y_mm", "t_s", "T_C"].map(str::to_owned)];
    for place in own.iter().take(PLACES_MAX) {
        let Some(f) = follow(solved, place) else { continue };
        let [x, y] = place.at_mm.map(|mm| format!("{mm:.2}"));
        rows.extend(f.t_s.iter().zip(&f.celsius).map(|(t_s, celsius)| {
            let (bead, time, temperature) =
                (place.bead.to_string(), format!("{t_s:.3}"), format!("{celsius:.1}"));
            [place.name.clone(), bead, x.clone(), y.clone(), time, temperature]
        }));
    }
    csv_text(rows)
}

/// Cooling time from 800 to 500 °C next to a bead, s: as the solver read it, else
/// at the bead's own thermocouple; `None` where it stands at no plate or did not
/// cool that far while it was followed.
pub fn t85_s(solved: &SolvedCoupon, bead: &SolvedBead) -> Option<f64> {
    let place = wall_place(solved, bead)?;
    bead.t85_s.or_else(|| follow(solved, &place)?.t85_s)
}

struct Followed {
    t_s: Vec<f64>,
    celsius: Vec<f64>,
    peak_c: f64,
    t85_s: Option<f64>,
}

fn follow(solved: &SolvedCoupon, place: &Place) -> Option<Followed> {
    let field = &solved.solved.beads.get(place.bead.checked_sub(1)?)?.field;
    let [x, y] = place.at_mm;
    if !x.is_finite() || !y.is_finite() {
        return None;
    }
    // The field answers beyond its ends with its last cell; a place off the
    // plate is no place.
    let (across, down) = (field.y.edges_m(), field.z.edges_m());
    let within = |edges: &[f64], at: f64| {
        edges.first().zip(edges.last()).is_some_and(|(a, b)| (*a..=*b).contains(&at))
    };
    let side = if field.mirror { x.abs() } else { x };
    if !within(across, 1e-3 * side) || !within(down, -1e-3 * y) {
        return None;
    }
    let cell = field.cell_at(1e-3 * x, -1e-3 * y)?;
    let trace = field.history(cell);
    let celsius: Vec<f64> = trace.temperature_k.iter().map(|k| celsius_from_kelvin(*k)).collect();
    (!celsius.is_empty()).then(|| Followed {
        peak_c: celsius_from_kelvin(trace.peak_k),
        t85_s: trace.t85_s,
        t_s: trace.time_s,
        celsius,
    })
}

fn row(solved: &SolvedCoupon, place: &Place, followed: Option<&Followed>, over: &[[f64; 2]]) -> CurveRow {
    let words = format!("{}, {}", place_words(place.at_mm, solved.system), solved.bead_name(place.bead));
    let cells = |peak_c: f64, t85_s: Option<f64>| {
        let time = t85_s.map_or("not reached".to_owned(), |t| format!("{} s", round_to(t, 1)));
        (temperature(kelvin_from_celsius(peak_c), solved.system), time)
    };
    let (peak, t85) = match followed {
        Some(f) => cells(f.peak_c, f.t85_s),
        None => ("no metal there during this bead".to_owned(), "–".to_owned()),
    };
    let measured = match over.is_empty() {
        true => String::new(),
        false => {
            let (peak, t85) =
                cells(over.iter().map(|p| p[1]).fold(f64::NEG_INFINITY, f64::max), measured_t85(over));
            format!("{peak}, t8/5 {t85}")
        }
    };
    CurveRow { place: place.clone(), words, peak, t85, measured, is_metal: followed.is_some() }
}

/// `0.13 in left, 0.02 in up · 3.3 mm left, 0.6 mm up`, the coupon's own unit first.
pub(crate) fn place_words(at_mm: [f64; 2], system: System) -> String {
    let said = |[x, y]: [f64; 2], unit: &str, decimals: usize| {
        let side = match round_to(x.abs(), decimals) {
            middle if middle == "0" => "in the middle".to_owned(),
            across if x < 0.0 => format!("{across} {unit} left"),
            across => format!("{across} {unit} right"),
        };
        format!("{side}, {} {unit} up", round_to(y, decimals))
    };
    let [inch, metric] = [said(at_mm.map(|mm| mm / 25.4), "in", 2), said(at_mm, "mm", 1)];
    both_systems(system == System::Inch, inch, metric)
}

/// Time a measured curve takes from 800 to 500 °C after its highest point.
fn measured_t85(points: &[[f64; 2]]) -> Option<f64> {
    let top = (0..points.len()).max_by(|a, b| points[*a][1].total_cmp(&points[*b][1]))?;
    let falls = |level: f64| {
        let pair = points[top..].windows(2).rfind(|p| p[0][1] >= level && p[1][1] < level)?;
        let share = (pair[0][1] - level) / (pair[0][1] - pair[1][1]);
        Some(pair[0][0] + share * (pair[1][0] - pair[0][0]))
    };
    Some(falls(BAND_C[1])? - falls(BAND_C[0])?)
}

fn chart(solved: &SolvedCoupon, series: Vec<CoolingSeries>, look: Look) -> String {
    let (theme, heat) = look_of(look);
    let words = Words::of(solved.system);
    let title = format!("Cooling curves of coupon {}: {COMPUTED}", solved.number);
    let frame = Frame { id: "cooling", title: &title, desc: "", theme: &theme, words: &words };
    let computed = series.iter().filter_map(|s| s.t_s.last().copied()).fold(0.0, f64::max).min(SPAN_S[1]);
    let last = series.iter().flat_map(|s| s.measured.iter().map(|m| m[0])).fold(computed, f64::max);
    let chart =
        CoolingChart { series, axis: TimeAxis::Linear, span_s: Some([SPAN_S[0], last]), size_px: PLOT_PX };
    cooling_chart(&chart, &heat, &frame)
}

/// A place in the heated zone next to every bead, named after it; of many beads
/// the first ones and the last.
pub(crate) fn places_next_to_beads(solved: &SolvedCoupon) -> Vec<Place> {
    let all: Vec<Place> = solved.solved.beads.iter().filter_map(|bead| wall_place(solved, bead)).collect();
    if all.len() <= PLACES_MAX {
        return all;
    }
    let last = all[all.len() - 1].clone();
    all.into_iter().take(PLACES_MAX - 1).chain([last]).collect()
}

/// From the middle of the wall that the bead stands at, square into the plate.
pub(crate) fn wall_place(solved: &SolvedCoupon, bead: &SolvedBead) -> Option<Place> {
    let joint = &solved.coupon.fit.joint;
    let points = || solved.solved.section.beads[bead.number - 1].outline.iter().flatten();
    let range =
        |d: usize| points().fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), p| (l.min(p[d]), h.max(p[d])));
    let ((left, right), (low, high)) = (range(0), range(1));
    let side = if left + right < -1e-3 { -1.0 } else { 1.0 };
    let (foot, land) = match side < 0.0 {
        true => (0.0, 1e3 * joint.root_face_left_m),
        false => (1e3 * joint.mismatch_m, 1e3 * (joint.root_face_right_m + joint.mismatch_m)),
    };
    let top = 1e3 * joint.thickness_m + foot;
    let up = 0.5 * (low.max(foot) + high.min(top));
    let bevel = joint.bevel_rad();
    let wall = side * (0.5e3 * joint.root_opening_m + bevel.tan() * (up - land).max(0.0));
    // Up from the drawing's underside: into the plate is away and, on a bevel, down.
    // A bead between its neighbours stands at no wall.
    let reaches = if side < 0.0 { left <= wall + TOUCH_MM } else { right >= wall - TOUCH_MM };
    if !reaches {
        return None;
    }
    let into = if up > land { [side * bevel.cos(), -bevel.sin()] } else { [side, 0.0] };
    let at = |d: f64| [wall + d * into[0], up + d * into[1]];
    let fusion_c = solved.fusion_c();
    let mut edge = 0.0;
    while edge < REACH_MM {
        let [x, y] = at(edge + STEP_MM);
        let peak_k = bead.field.peak_k_at(1e-3 * x, -1e-3 * y)?;
        if celsius_from_kelvin(peak_k) < fusion_c {
            return Some(Place {
                name: bead.number.to_string(),
                bead: bead.number,
                at_mm: at(edge + OUTSIDE_MM),
            });
        }
        edge += STEP_MM;
    }
    None
}
