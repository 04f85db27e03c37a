//! The film of one pass: the section as it is at one time after another, and
//! the weld cut along its middle at the moment the arc stands at zero. Picks
//! sections of a solved field and draws them; it follows nothing between them.

use bendproof_drawing::{ArcMark, Frame, HeatFrame, Probe, SectionGrid, Words, heat_frame};
use bendproof_forecast::solved::SolvedBead;
use bendproof_measure::{celsius_from_kelvin, round_to};
use serde::Serialize;

use super::coupon::{COMPUTED, SolvedCoupon};
use super::curves::Place;
use super::field::Turned;
use super::pictures::{look_of, plates, shown_half_mm};
use crate::drawn::Look;

/// Times after the arc at which the section is shown, s; negative is before it
/// arrives. Close together while it is hot. Basis: choice.
const TIMES_S: [f64; 22] = [
    -1.5, -0.5, 0.0, 0.25, 0.5, 0.75, 1.0, 1.5, 2.0, 2.5, 3.0, 3.5, 4.0, 5.0, 6.0, 7.0, 8.0, 10.0, 12.0,
    15.0, 18.0, 21.0,
];
/// Isotherms below the edge of fusion, °C: tempering to the forge, with the ends
/// of the cooling band. Basis: choice.
const LEVELS_C: [f64; 6] = [100.0, 200.0, 350.0, 500.0, 800.0, 1100.0];
/// An isotherm inside the liquid, °C.
const LIQUID_C: f64 = 1900.0;
/// Width of a picture across the weld and along it, user units. Basis: choice.
const ACROSS_PX: f64 = 380.0;
const ALONG_PX: f64 = 380.0;
/// Plate shown behind the arc and ahead of it along the weld, mm.
const ALONG_MM: [f64; 2] = [45.0, 10.0];

/// Which cut is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum FilmSide {
    /// Square to the weld, at one time.
    Across,
    /// Along the weld's middle, at one moment.
    Along,
}

/// One frame of the film.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FilmFrame {
    /// Bead, 1 first.
    pub bead: usize,
    /// Number of the frame, 0 first.
    pub frame: usize,
    /// Frames there are.
    pub frames: usize,
    /// Time after the arc, s.
    pub t_s: f64,
    /// The same in words: `2.5 s after the arc`.
    pub words: String,
    /// The picture.
    pub svg: String,
}

/// Times of a bead's film, s after the arc.
pub fn film_times(solved: &SolvedCoupon, bead: usize) -> Vec<f64> {
    bead_of(solved, bead).map(|b| moments(b).into_iter().map(|m| m.t_s).collect()).unwrap_or_default()
}

struct Moment {
    t_s: f64,
    slice: usize,
}

fn bead_of(solved: &SolvedCoupon, bead: usize) -> Option<&SolvedBead> {
    solved.solved.beads.get(bead.checked_sub(1)?)
}

/// The sections nearest to the wanted times, each once.
fn moments(bead: &SolvedBead) -> Vec<Moment> {
    let field = &bead.field;
    let time = |k: usize| -field.slices[k].x_m / field.travel_m_s;
    let mut out: Vec<Moment> = Vec::new();
    for wanted in TIMES_S {
        let distance = |k: &usize| (time(*k) - wanted).abs();
        let near = (0..field.slices.len()).min_by(|a, b| distance(a).total_cmp(&distance(b)));
        let Some(slice) = near else { continue };
        if out.last().is_none_or(|m| m.slice != slice) {
            out.push(Moment { t_s: time(slice), slice });
        }
    }
    out
}

/// One frame of the film of a bead; `None` when there is no such bead or frame.
pub fn film_frame(
    solved: &SolvedCoupon,
    bead: usize,
    frame: usize,
    side: FilmSide,
    places: &[Place],
    look: Look,
) -> Option<FilmFrame> {
    let laid = bead_of(solved, bead)?;
    let all = moments(laid);
    let moment = all.get(frame)?;
    let words = time_words(moment.t_s);
    let picture = match side {
        FilmSide::Across => across(solved, laid, moment, &words, places),
        FilmSide::Along => along(solved, laid)?,
    };
    let name = solved.bead_name(bead);
    let title = match side {
        FilmSide::Across => format!("{name}: the section {words}, {COMPUTED}"),
        FilmSide::Along => format!("{name}: along the weld while the arc burns, {COMPUTED}"),
    };
    let (theme, heat) = look_of(look);
    let drawn_words = Words::of(solved.system);
    let id = if side == FilmSide::Across { "film" } else { "film-along" };
    let sheet = Frame { id, title: &title, desc: "", theme: &theme, words: &drawn_words };
    let svg = heat_frame(&picture, &heat, &sheet);
    Some(FilmFrame { bead, frame, frames: all.len(), t_s: moment.t_s, words, svg })
}

fn time_words(t_s: f64) -> String {
    let seconds = round_to(t_s.abs(), 1);
    match () {
        () if seconds == "0" => "as the arc passes".to_owned(),
        () if t_s < 0.0 => format!("{seconds} s before the arc"),
        () => format!("{seconds} s after the arc"),
    }
}

fn levels(solved: &SolvedCoupon) -> Vec<f64> {
    LEVELS_C.into_iter().chain([solved.fusion_c(), LIQUID_C]).collect()
}

fn across(
    solved: &SolvedCoupon,
    bead: &SolvedBead,
    moment: &Moment,
    words: &str,
    places: &[Place],
) -> HeatFrame {
    let half = shown_half_mm(solved);
    let turned = Turned::of(bead, half);
    let slice = &bead.field.slices[moment.slice];
    let celsius = turned.celsius(|cell| f64::from(slice.temperature_k[cell]));
    let [low, high] = heights(solved);
    let middle = middle_mm(solved, bead);
    HeatFrame {
        grid: turned.grid,
        celsius,
        outlines: outlines(solved, bead, moment),
        view_mm: Some([[-half, low], [half, high]]),
        levels_c: levels(solved),
        fusion_c: Some(solved.fusion_c()),
        arc: (moment.t_s.abs() < 0.2).then(|| ArcMark { at: middle, text: "arc".to_owned() }),
        probes: places.iter().map(|p| Probe { at: p.at_mm, label: p.name.clone() }).collect(),
        note: format!("{}, {words}", solved.bead_name(bead.number)),
        x_label: "across the weld".to_owned(),
        px_per_mm: ACROSS_PX / (2.0 * half),
    }
}

/// Lowest and highest metal of the finished weld, mm, so that the sheet of the
/// film stands still.
fn heights(solved: &SolvedCoupon) -> [f64; 2] {
    let section = &solved.solved.section;
    let beads = section.beads.iter().flat_map(|b| b.outline.iter().flatten());
    let all = beads.chain(&section.left).chain(&section.right);
    all.fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], p| [low.min(p[1]), high.max(p[1])])
}

/// Top of a bead above its middle, mm.
fn middle_mm(solved: &SolvedCoupon, bead: &SolvedBead) -> [f64; 2] {
    let rings = &solved.solved.section.beads[bead.number - 1].outline;
    let points = || rings.iter().flatten();
    let (left, right) =
        points().fold((f64::INFINITY, f64::NEG_INFINITY), |(l, r), p| (l.min(p[0]), r.max(p[0])));
    [0.5 * (left + right), points().map(|p| p[1]).fold(f64::NEG_INFINITY, f64::max)]
}

/// True outlines of the metal at a moment: the bead as far as it has risen.
fn outlines(solved: &SolvedCoupon, bead: &SolvedBead, moment: &Moment) -> Vec<Vec<[f64; 2]>> {
    let field = &bead.field;
    let ny = field.y.cells();
    let own = (0..field.fraction.len()).filter(|c| field.fraction[*c] > field.base_fraction[*c]);
    let added = own.filter(|c| field.base_fraction[*c] == 0.0);
    let is_there = |c: &usize| field.slices[moment.slice].temperature_k[*c].is_finite();
    let (there, missing): (Vec<usize>, Vec<usize>) = added.partition(is_there);
    let top = |c: &usize| -1e3 * field.z.edges_m()[c / ny];
    let level = match (there.is_empty(), missing.is_empty()) {
        (true, _) => f64::NEG_INFINITY,
        (_, true) => f64::INFINITY,
        _ => there.iter().map(top).fold(f64::NEG_INFINITY, f64::max),
    };
    let beads = &solved.solved.section.beads;
    let before = beads[..bead.number - 1].iter().flat_map(|b| b.outline.iter().cloned());
    let rising = beads[bead.number - 1].outline.iter().map(|ring| below(ring, level));
    plates(solved).into_iter().chain(before).chain(rising.filter(|ring| ring.len() > 2)).collect()
}

/// The part of a ring below a level.
fn below(ring: &[[f64; 2]], level: f64) -> Vec<[f64; 2]> {
    let mut out = Vec::with_capacity(ring.len() + 2);
    for (a, b) in ring.iter().zip(ring.iter().cycle().skip(1)) {
        if a[1] <= level {
            out.push(*a);
        }
        if (a[1] <= level) != (b[1] <= level) {
            let share = (level - a[1]) / (b[1] - a[1]);
            out.push([a[0] + share * (b[0] - a[0]), level]);
        }
    }
    out
}

/// The weld cut along its middle: travel to the right, the arc at zero.
fn along(solved: &SolvedCoupon, bead: &SolvedBead) -> Option<HeatFrame> {
    let field = &bead.field;
    let middle = middle_mm(solved, bead);
    let column = field.y.cell_at(1e-3 * middle[0]);
    let ny = field.y.cells();
    let shown = |x_m: f64| (-ALONG_MM[0]..=ALONG_MM[1]).contains(&(1e3 * x_m));
    let slices: Vec<_> = field.slices.iter().filter(|s| shown(s.x_m)).collect();
    let first = slices.first()?;
    let mut x_edges_mm = vec![1e3 * (first.x_m - 0.5 * first.thickness_m)];
    x_edges_mm.extend(slices.iter().map(|s| 1e3 * (s.x_m + 0.5 * s.thickness_m)));
    let y_edges_mm: Vec<f64> = field.z.edges_m().iter().rev().map(|e| -1e3 * e).collect();
    let rows = (0..field.z.cells()).rev();
    let value = |k: usize, s: &&bendproof_heat::solve::Slice| {
        celsius_from_kelvin(f64::from(s.temperature_k[k * ny + column])) as f32
    };
    let celsius = rows.flat_map(|k| slices.iter().map(move |s| value(k, s))).collect();
    let [low, high] = heights(solved);
    Some(HeatFrame {
        grid: SectionGrid { x_edges_mm, y_edges_mm },
        celsius,
        outlines: Vec::new(),
        view_mm: Some([[-ALONG_MM[0], low], [ALONG_MM[1], high]]),
        levels_c: levels(solved),
        fusion_c: Some(solved.fusion_c()),
        arc: Some(ArcMark { at: [0.0, middle[1]], text: "arc".to_owned() }),
        probes: Vec::new(),
        note: format!("{}, cut along its middle", solved.bead_name(bead.number)),
        x_label: "along the weld, travel to the right".to_owned(),
        px_per_mm: ALONG_PX / (ALONG_MM[0] + ALONG_MM[1]),
    })
}
