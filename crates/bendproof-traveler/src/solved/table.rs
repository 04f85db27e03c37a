//! The solved section in words and numbers: one row per bead, the answers a
//! welder asks for first, the notes, and the JSON contract.

use bendproof_forecast::solved::{ARC_BEHIND_EDGE_M, ARC_SIGMA_M, GAP_LOST_SHARE, SolvedBead};
use bendproof_measure::{System, celsius_from_kelvin, fixed, round_to};
use bendproof_weld::Transfer;
use bendproof_weld::basis::Basis;
use bendproof_weld::hardness::{HardnessBand, Model, T85_CHECKED_MIN_S, hardness_band};
use serde::Serialize;

use super::coupon::{COMPUTED, SolvedCoupon};
use super::curves::{t85_s, wall_place};
use crate::origin::Origin;
use crate::sheet::both_systems;

/// A melted depth nearer to the edge than this is not distinguished from one that stays
/// solid, m: the error of the grid on a melted edge.
const GRID_DOUBT_M: f64 = 0.1e-3;

/// The head of a column.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Column {
    /// What it is.
    pub label: String,
    /// Its unit; empty for words.
    pub unit: String,
}

/// One bead in the table.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct BeadRow {
    /// Bead number, 1 first.
    pub bead: usize,
    /// `root`, `fill` …
    pub kind: String,
    /// One text per column after the first two.
    pub cells: Vec<String>,
}

/// Heads of every column after number and kind.
pub(crate) fn columns(system: System) -> Vec<Column> {
    let length = pair(system, "in", "mm");
    let all = [
        ("temp before pass", pair(system, "°F", "°C")),
        ("melts into left wall", length.clone()),
        ("into right wall", length.clone()),
        ("into beads below", length.clone()),
        ("thinnest at", pair(system, "in across, up", "mm across, up")),
        ("solid metal left below", length.clone()),
        ("bead below remelted", "%".to_owned()),
        ("pool long × wide", length.clone()),
        ("pool", pair(system, "in³", "mm³")),
        ("800 to 500 °C", "s".to_owned()),
        ("heated zone", length),
        ("hardness next to it", "HV 10".to_owned()),
    ];
    all.into_iter().map(|(label, unit)| Column { label: label.into(), unit }).collect()
}

/// Inch and metric side by side, the coupon's own first.
fn pair(system: System, inch: &str, metric: &str) -> String {
    both_systems(system == System::Inch, inch.to_owned(), metric.to_owned())
}

/// Every row.
pub(crate) fn rows(solved: &SolvedCoupon) -> Vec<BeadRow> {
    solved.solved.beads.iter().map(|bead| row(solved, bead)).collect()
}

fn row(solved: &SolvedCoupon, bead: &SolvedBead) -> BeadRow {
    let before_c = celsius_from_kelvin(bead.before_k);
    let system = solved.system;
    let contact = &bead.contact;
    let pool = &bead.field.pool;
    let stands_at_plate = wall_place(solved, bead).is_some();
    let unknown = || if stands_at_plate { "not known" } else { "no plate" }.to_owned();
    let thinnest = match contact.least_m() {
        Some(_) => place(contact.thinnest_mm, system),
        None => "no contact".to_owned(),
    };
    let cells = vec![
        pair(system, &round_to(1.8 * before_c + 32.0, 0), &round_to(before_c, 0)),
        depth(contact.left_m, system),
        depth(contact.right_m, system),
        depth(contact.below_m, system),
        thinnest,
        ligament(bead, system),
        bead.remelted_share.map_or("–".to_owned(), |s| round_to(100.0 * s, 0)),
        pool_size([pool.length_m, pool.width_m], system),
        pair(system, &round_to(pool.volume_m3 / INCH_M.powi(3), 3), &round_to(1e9 * pool.volume_m3, 0)),
        t85_s(solved, bead).map_or(unknown(), |t| round_to(t, 1)),
        heated_zone_m(bead).map_or(unknown(), |w| length(w, system)),
        hardness(solved, bead).map_or(unknown(), |band| band_words(&band)),
    ];
    let kind = solved.coupon.passes.get(bead.pass - 1).map_or("", |p| p.kind.word());
    BeadRow { bead: bead.number, kind: kind.to_owned(), cells }
}

/// A place under a head that names both units: `-0.11, 0.05 · -2.8, 1.3`.
fn place(at_mm: [f64; 2], system: System) -> String {
    let [inch, metric] = [at_mm.map(|mm| round_to(mm / 25.4, 2)), at_mm.map(|mm| round_to(mm, 1))];
    pair(system, &inch.join(", "), &metric.join(", "))
}

/// A length under a head that names both units: `0.04 · 0.9`.
fn length(metres: f64, system: System) -> String {
    pair(system, &inches(metres), &format!("{:.1}", 1e3 * metres))
}

fn pool_size(size_m: [f64; 2], system: System) -> String {
    let [inch, mm] = [size_m.map(inches), size_m.map(|m| round_to(1e3 * m, 1))];
    pair(system, &inch.join(" × "), &mm.join(" × "))
}

fn depth(metres: Option<f64>, system: System) -> String {
    match metres {
        None => "–".to_owned(),
        Some(m) if m < 0.0 => "stays solid".to_owned(),
        Some(m) => length(m, system),
    }
}

fn ligament(bead: &SolvedBead, system: System) -> String {
    match bead.ligament_m {
        m if !m.is_finite() => "not known".to_owned(),
        // Where liquid reached the underside the number is minus half its width there.
        m if m < -GRID_DOUBT_M => format!("melted through over {}", length(-2.0 * m, system)),
        m if m <= GRID_DOUBT_M => "none".to_owned(),
        m => length(m, system),
    }
}

/// Width of the heated zone where the bead was read at a wall.
pub fn heated_zone_m(bead: &SolvedBead) -> Option<f64> {
    let at_wall = bead.contact.left_m.is_some() || bead.contact.right_m.is_some();
    bead.haz_width_m.filter(|_| at_wall)
}

/// Hardness of a bead's heated zone, HV.
///
/// # Errors
/// Why it is not known, in words.
pub fn hardness(solved: &SolvedCoupon, bead: &SolvedBead) -> Result<HardnessBand, String> {
    let t85_s = t85_s(solved, bead)
        .ok_or("the cooling from 800 to 500 °C was not followed to its end next to a plate")?;
    hardness_band(&solved.analysis, t85_s).map_err(|why| why.to_string())
}

/// Tens are as fine as formulas that disagree by tens can be read.
fn tens(hv: f64) -> String {
    round_to((hv / 10.0).round() * 10.0, 0)
}

fn band_words(band: &HardnessBand) -> String {
    format!("{} to {}", tens(band.low_hv), tens(band.high_hv))
}

/// `1335 °F · 724 °C`, the coupon's own unit first.
pub(crate) fn temperature(kelvin: f64, system: System) -> String {
    let c = celsius_from_kelvin(kelvin);
    pair(system, &format!("{} °F", round_to(1.8 * c + 32.0, 0)), &format!("{} °C", round_to(c, 0)))
}

/// Metres in an inch, exact.
const INCH_M: f64 = 0.0254;

/// Hundredths of an inch: a computed depth is no mark on a rule, and no fraction.
fn inches(metres: f64) -> String {
    match round_to(metres / INCH_M, 2) {
        none if none == "0" => "< 0.01".to_owned(),
        hundredths => hundredths,
    }
}

/// `0.04 in · 0.9 mm`, the coupon's own unit first.
fn both(metres: f64, system: System) -> String {
    pair(system, &format!("{} in", inches(metres)), &format!("{} mm", fixed(1e3 * metres, 1)))
}

/// What became of one land, in words.
pub(crate) fn land_words(which: &str, melted_m: f64, system: System) -> String {
    if !melted_m.is_finite() {
        return format!("{which}: not known");
    }
    if melted_m < 0.0 {
        return format!("{which}, bead laid: solid at its edge");
    }
    format!("{which}, bead laid: melted {} past its edge", both(melted_m, system))
}

/// What the root is judged by, in words: the picture shows the bead laid down to the
/// underside, the verdict asks at the leading edge whether it gets there.
fn hollow_words(melted_m: f64, system: System) -> String {
    let judged = if !melted_m.is_finite() {
        "is not known".to_owned()
    } else if melted_m < 0.0 {
        format!("is {} short of melting", both(-melted_m, system))
    } else {
        format!("has melted {} past its edge", both(melted_m, system))
    };
    format!(
        "The root is judged at the leading edge, before the metal has reached the underside: the weaker root face {judged} there, not counting what metal piled up ahead of the arc takes."
    )
}

/// The contact that melted least.
pub(crate) struct Thinnest {
    pub at_mm: [f64; 2],
    pub words: String,
}

/// The thinnest fusion of the coupon. The first bead of an open root is left
/// out: its lands have their own words.
pub(crate) fn thinnest(solved: &SolvedCoupon) -> Option<Thinnest> {
    let beads = solved.solved.beads.iter().filter(|b| b.land.is_none());
    let least = |b: &&SolvedBead| b.contact.least_m().unwrap_or(f64::INFINITY);
    let bead = beads.min_by(|a, b| least(a).total_cmp(&least(b)))?;
    let contact = &bead.contact;
    let depth_m = contact.least_m()?;
    let is = |side: Option<f64>| side == Some(depth_m);
    let into = match () {
        () if is(contact.left_m) && is(contact.right_m) => "both walls",
        () if is(contact.left_m) => "the left wall",
        () if is(contact.right_m) => "the right wall",
        () => "the metal below",
    };
    let words = match depth_m < 0.0 {
        true => format!("bead {} does not melt into {into} here", bead.number),
        false => format!(
            "thinnest fusion: bead {} melts {} into {into}",
            bead.number,
            both(depth_m, solved.system)
        ),
    };
    Some(Thinnest { at_mm: contact.thinnest_mm, words })
}

/// What a welder asks first, one sentence each.
pub fn answers(solved: &SolvedCoupon) -> Vec<String> {
    let mut all = Vec::new();
    let sentence = |words: String| {
        let mut letters = words.chars();
        letters
            .next()
            .map(|first| format!("{}{}.", first.to_uppercase(), letters.as_str()))
            .unwrap_or_default()
    };
    if let Some(land) = solved.solved.beads.iter().find_map(|b| b.land) {
        for (which, melted_m) in [("left root face", land.left_m), ("right root face", land.right_m)] {
            all.push(sentence(land_words(which, melted_m, solved.system)));
        }
        all.extend(
            solved
                .solved
                .root_on_hollow
                .map(|judged| hollow_words(judged.left_m.min(judged.right_m), solved.system)),
        );
    }
    all.extend(thinnest(solved).map(|thin| sentence(thin.words)));
    let cooled = solved.solved.beads.iter().filter_map(|b| Some((b.number, t85_s(solved, b)?)));
    if let Some((number, t85_s)) = cooled.min_by(|a, b| a.1.total_cmp(&b.1)) {
        all.push(format!(
            "Bead {number} cools fastest: {} s from 800 to 500 °C next to the weld.",
            round_to(t85_s, 1)
        ));
    }
    all
}

/// What the numbers rest on and what they leave out.
pub fn notes(solved: &SolvedCoupon) -> Vec<String> {
    let cell = round_to(1e3 * solved.cell_m, 2);
    let mut all = vec![
        format!(
            "Everything here is {COMPUTED}: heat conduction on the section as fitted, {cell} mm cells at the weld. A melted edge is good to 0.1 mm on this grid; how far the model itself is off is not known for your machine until you cut and etch one."
        ),
        "The liquid conducts heat well and does not flow: no arc force, no burn-through, no cold lap, no undercut, no porosity. The shape of each bead is laid flat from its volume, not computed.".to_owned(),
        arc_note(solved),
        "Each bead starts from the coupon's mean temperature before its pass. Tacks, starts, stops and plate ends are left out.".to_owned(),
        format!(
            "Edges of heated zones: {} partly changed, {} fine grain, {} coarse grain, by the analysis of {} and the heating of a weld; grain growth with time and tempering by later beads are left out.",
            temperature(solved.zones.ac1.value_k, solved.system),
            temperature(solved.zones.ac3.value_k, solved.system),
            temperature(solved.zones.coarse_grain.value_k, solved.system),
            solved.coupon.fit.steel,
        ),
        hardness_note(solved),
        "A line of the forecast that rests on the fast model can differ from this section, which is the full solve; neither is a measurement.".to_owned(),
    ];
    if solved.solved.beads.iter().any(|b| b.contact.least_m().is_some_and(|m| m.abs() < GRID_DOUBT_M)) {
        all.push("A contact within 0.1 mm of staying solid is too near the line to call.".to_owned());
    }
    all
}

/// Where each kind of number of a solved section comes from.
pub fn solved_origins() -> Vec<Origin> {
    const SOLVED: &str = "heat conduction solved on the section as fitted; width and place of the arc and the loss in the gap are choices";
    let of = |field, label| Origin::of(field, label, SOLVED, Basis::Choice);
    vec![
        Origin::of(
            "before_C",
            "temp before pass",
            "heat balance of a 3 in strip on each side, cooled in still air to the interpass limit",
            Basis::Choice,
        ),
        of("melted_mm", "melts into walls and beads below"),
        of("land_mm", "melts into the root faces"),
        of("ligament_mm", "solid metal left below"),
        of("remelted_share", "bead below remelted"),
        of("pool", "pool"),
        of("t85_s", "800 to 500 °C"),
        of("heated_zone_mm", "heated zone"),
        Origin::of(
            "zones_C",
            "edges of heated zones",
            "transformation temperatures by the steel's analysis (Andrews 1965), shifted for the heating of a weld; grain growth by a fixed temperature",
            Basis::Choice,
        ),
        Origin::of(
            "fusion_C",
            "edge of fusion",
            "midway between solidus and liquidus of a 0.18 % carbon steel",
            Basis::Choice,
        ),
        Origin::of(
            "hardness",
            "hardness next to it",
            "spread of three published formulas, coefficients from memory",
            Basis::Memory,
        ),
        Origin::of(
            "energy_error",
            "balance of heat",
            "heat in the section against heat brought in",
            Basis::Derived,
        ),
    ]
}

fn arc_note(solved: &SolvedCoupon) -> String {
    let short = solved.coupon.settings.transfer == Some(Transfer::ShortCircuit);
    let width = match short {
        true => format!("its width ({} mm standard deviation)", round_to(1e3 * ARC_SIGMA_M, 2)),
        false => "its width, wider than that of short circuit,".to_owned(),
    };
    format!(
        "The arc is a choice, not a measurement: {width}, where it burns ({} mm behind the leading edge) and the heat lost through an open gap ({} %).",
        round_to(1e3 * ARC_BEHIND_EDGE_M, 1),
        round_to(100.0 * GAP_LOST_SHARE, 0),
    )
}

fn hardness_note(solved: &SolvedCoupon) -> String {
    let names = Model::ALL.map(Model::name).join(", ");
    let mut words = format!(
        "Hardness is the spread of three published formulas ({names}), coefficients recalled; no hardness was measured."
    );
    let bands = || solved.solved.beads.iter().map(|b| hardness(solved, b));
    if bands().flatten().any(|band| band.is_widened) {
        words.push_str(&format!(
            " Cooling faster than {} s was not checked; there the band reaches up to full martensite.",
            round_to(T85_CHECKED_MIN_S, 0)
        ));
    }
    let unknown = bands().find_map(Result::err);
    unknown.into_iter().for_each(|why| words.push_str(&format!(" Not known where it says so: {why}.")));
    words
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_quarter_inch_is_the_same_millimeters_in_every_column() {
        // The table of inches and millimeters on every shop wall, common practice, no source.
        for (parts, mm) in [(0.25, "6.4 mm"), (0.75, "19.1 mm"), (0.5, "12.7 mm")] {
            assert_eq!(both(parts * INCH_M, System::Metric).split(" · ").next(), Some(mm), "{parts} in");
        }
    }
}
