//! How far the land melts back at the underside and how large the pool is, by a
//! fast model fitted to solved root beads.
//!
//! A cubic through some 4000 root beads on the true groove, spread over the
//! checked box and solved by `bendproof-heat` (`data/root_runs.csv`); another
//! thousand, held back, tell its error. Computed, never measured.

use std::sync::LazyLock;

use bendproof_weld::basis::Basis;

use crate::cubic::Cubic;

/// What decides how far a land melts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RootBeadHeat {
    /// Arc power that enters the work, W.
    pub net_power_w: f64,
    /// Metal temperature before the arc, K.
    pub start_temperature_k: f64,
    /// Travel, m/s.
    pub travel_m_s: f64,
    /// Gap between the lands, m.
    pub root_opening_m: f64,
    /// Land height, m.
    pub root_face_m: f64,
    /// Included groove angle, rad.
    pub groove_angle_rad: f64,
    /// Height of the bead's top above the underside, m, laid from the underside.
    pub level_m: f64,
    /// Height above the underside at which the bead is laid, m: the hollow that
    /// the land must melt below for the root to heal through.
    pub hollow_m: f64,
    /// How far the arc burns behind the leading edge of the pool, m.
    pub behind_edge_m: f64,
}

/// What the fast model answers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RootMelt {
    /// Melt-back of the land at its underside corner, m; negative when the
    /// corner stays solid.
    pub melt_back_m: f64,
    /// Length of the pool, m.
    pub pool_length_m: f64,
}

/// Start temperature to which powers are brought, K: 20 C.
const REFERENCE_START_K: f64 = 293.15;
/// Temperature that counts as melted in the runs, K: midway between the solidus
/// and liquidus of a 0.18 % carbon steel (1465 to 1525 C).
pub(crate) const MELTED_K: f64 = 1768.15;

/// Scatter of the fast model against solved beads it never saw, near the line,
/// m (0.16 mm, held by a test), with the grid error of a solved bead (0.1 mm)
/// added in squares.
pub(crate) const MELT_BACK_SCATTER_M: f64 = 0.19e-3;
/// The part of it that a bead solved on its own does away with, m.
pub(crate) const FIT_SCATTER_M: f64 = 0.16e-3;
/// Scatter of a bead solved on its own, m: the grid error of 0.5 mm cells.
pub(crate) const SOLVED_SCATTER_M: f64 = 0.12e-3;
/// The hollow over which a land must melt for the root to heal through, m. Tuned:
/// a joint that common practice calls sound holds in every inch under an ordinary
/// hand, so the hollow is picked by the chance over the whole joint on 270
/// vertical joints of 0.035 in wire, after the arc's spread was held to the depth
/// of beads on plate. The sign of the melt-back as planned is then the trade's in
/// 28 of the 30 joints of `trade_joints.rs`, as it is at 0.5 mm and at 0.7.
pub const HEALING_HOLLOW_M: f64 = 0.45e-3;
/// One standard deviation of the healing hollow, m (choice: half the range).
pub(crate) const HEALING_HOLLOW_SCATTER_M: f64 = 0.1e-3;

/// Where the melt-back comes from, for every answer that rests on it.
pub(crate) const SOURCE: &str = "fast model of solved root beads (data/root_runs.csv, computed); \
     hollow of 0.45 mm picked to match common practice";
/// The same for a bead solved on its own.
pub(crate) const SOLVED_SOURCE: &str = "conduction solved on this section (computed, 0.5 mm cells); \
     hollow of 0.45 mm picked to match common practice";
/// The worth of its weakest part: the hollow, and the arc's width with it, were
/// picked with the trade's verdicts in sight. Computed, never measured.
pub(crate) const BASIS: Basis = Basis::Choice;

/// Power that would melt as much on a cold plate, W: a warm one needs less heat
/// to melt, so the power is scaled by the share of the temperature rise that is
/// left.
pub(crate) fn cold_power_w(net_power_w: f64, start_temperature_k: f64) -> f64 {
    net_power_w * (MELTED_K - REFERENCE_START_K) / (MELTED_K - start_temperature_k)
}

static MODEL: LazyLock<Cubic> = LazyLock::new(|| Cubic::read(include_str!("../../../data/root_model.csv")));

/// The features of the fast model, in its own units.
fn features(q: &RootBeadHeat) -> [f64; 8] {
    [
        cold_power_w(q.net_power_w, q.start_temperature_k).ln(),
        (1e3 * q.travel_m_s).ln(),
        1e3 * q.root_opening_m,
        1e3 * q.root_face_m,
        (0.5 * q.groove_angle_rad).tan().ln(),
        1e3 * q.level_m,
        1e3 * q.hollow_m,
        1e3 * q.behind_edge_m,
    ]
}

/// Melt-back of the land and size of the pool by the fast model.
///
/// Valid inside [`CHECKED_BOX`] only; the caller asks before believing it.
pub fn root_melt(q: &RootBeadHeat) -> RootMelt {
    let mut terms = Vec::with_capacity(TERMS);
    MODEL.terms(&features(q), &mut terms);
    RootMelt {
        melt_back_m: 1e-3 * MODEL.output("melt_back_mm", &terms),
        pool_length_m: 1e-3 * MODEL.output("ln_pool_length_mm", &terms).exp(),
    }
}

/// Products of up to three of eight features.
const TERMS: usize = 165;

/// One side of the box in which the root was solved.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BoxSide {
    /// The quantity's name.
    pub name: &'static str,
    /// Unit it prints in.
    pub unit: &'static str,
    /// SI value of one such unit.
    pub si_per_unit: f64,
    /// Least value, in `unit`.
    pub low: f64,
    /// Greatest value, in `unit`.
    pub high: f64,
}

/// The box in which the runs were made. Outside it: not known.
///
/// The runs know heat, not wire: net power, and the metal each joule brings.
/// So those two are held to what the runs were spread over, and the wire to the
/// diameters between which it stays there at short-circuit settings, 0.030 to
/// 0.045 in, the last also sold as 1.2 mm; beads of the ends were solved again with it
/// (`the_fast_root_holds_for_the_common_wires_and_a_sixteenth_opening`).
/// The runs begin at 1.6 mm of opening; 1/16 in lies a hundredth of a
/// millimeter below.
pub const CHECKED_BOX: [BoxSide; 11] = [
    side("root opening", "mm", 1e-3, 1.58, 6.4),
    side("root face", "mm", 1e-3, 0.0, 3.2),
    side("thickness", "mm", 1e-3, 6.0, 19.5),
    side("groove angle", "deg", std::f64::consts::PI / 180.0, 50.0, 75.0),
    side("wire diameter", "mm", 1e-3, 0.76, 1.2),
    side("wire feed", "in/min", 0.0254 / 60.0, 100.0, 360.0),
    side("travel", "in/min", 0.0254 / 60.0, 3.0, 12.0),
    side("volts", "V", 1.0, 16.0, 19.0),
    side("start temperature", "K", 1.0, 250.0, 425.0),
    side("net arc power", "W", 1.0, 950.0, 3300.0),
    side("metal laid per heat", "mm³/kJ", 1e-12, 19.0, 39.4),
];

/// The tallest land of the runs, m.
pub(crate) const LAND_MOST_M: f64 = 3.2e-3;

pub(crate) const fn side(
    name: &'static str,
    unit: &'static str,
    si_per_unit: f64,
    low: f64,
    high: f64,
) -> BoxSide {
    BoxSide { name, unit, si_per_unit, low, high }
}

/// The first quantity outside the box, in words; `values_si` in the order of
/// [`CHECKED_BOX`].
pub(crate) fn outside_box(values_si: [f64; 11]) -> Option<String> {
    outside(&CHECKED_BOX, &values_si)
}

/// The first quantity outside a box, in words.
pub(crate) fn outside(sides: &[BoxSide], values_si: &[f64]) -> Option<String> {
    // A hair of slack so that 16 V typed as 16 V is inside on every machine.
    const SLACK: f64 = 1e-9;
    sides.iter().zip(values_si).find_map(|(side, si)| {
        let value = si / side.si_per_unit;
        let inside = value >= side.low * (1.0 - SLACK) && value <= side.high * (1.0 + SLACK);
        (!inside).then(|| {
            format!(
                "{} {} {} is outside {} to {} {}, where this was checked",
                side.name,
                bendproof_measure::round_to(value, 2),
                side.unit,
                side.low,
                side.high,
                side.unit
            )
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fitting::{Runs, Target, check_or_renew, fit, held_rms};

    const HEAD: &str = "# Cubic fitted to data/root_runs.csv, every fifth row held back (basis derived). Renew with\n\
                        # UPDATE=1 cargo test --release -p bendproof-forecast melt_back\n";
    const COMMITTED: &str = include_str!("../../../data/root_model.csv");

    fn runs() -> (Runs, Vec<Vec<f64>>) {
        let runs = Runs::read(include_str!("../../../data/root_runs.csv"));
        let at = |name: &str, row: usize| runs.get(name)[row];
        let features = (0..runs.held.len())
            .map(|i| {
                features(&RootBeadHeat {
                    net_power_w: at("net_power_W", i),
                    start_temperature_k: at("start_K", i),
                    travel_m_s: 1e-3 * at("travel_mm_s", i),
                    root_opening_m: 1e-3 * at("root_opening_mm", i),
                    root_face_m: 1e-3 * at("root_face_mm", i),
                    groove_angle_rad: at("groove_angle_deg", i).to_radians(),
                    level_m: 1e-3 * at("level_mm", i),
                    hollow_m: 1e-3 * at("hollow_mm", i),
                    behind_edge_m: 1e-3 * at("behind_edge_mm", i),
                })
                .to_vec()
            })
            .collect();
        (runs, features)
    }

    fn targets(runs: &Runs) -> Vec<Target> {
        let melt = runs.get("melt_back_mm");
        let ln = |name: &str| runs.get(name).iter().map(|v| v.max(0.1).ln()).collect::<Vec<f64>>();
        let even = vec![1.0; melt.len()];
        vec![
            Target {
                name: "melt_back_mm",
                values: melt.to_vec(),
                // Near the line between fused and not counts twice.
                weights: melt.iter().map(|m| if (-0.8..1.5).contains(m) { 1.0 } else { 0.5 }).collect(),
            },
            Target { name: "ln_pool_length_mm", values: ln("pool_length_mm"), weights: even },
        ]
    }

    #[test]
    fn the_model_is_the_least_squares_one() {
        let (runs, features) = runs();
        let fitted = fit(&features, &runs.held, &targets(&runs), HEAD);
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../data/root_model.csv");
        check_or_renew(path, COMMITTED, &fitted, &features);
    }

    #[test]
    fn the_error_on_runs_it_never_saw_is_the_one_stated() {
        let (runs, features) = runs();
        let melt = runs.get("melt_back_mm");
        let near = |row: usize| (-0.6..1.2).contains(&melt[row]);
        let rms = held_rms(COMMITTED, "melt_back_mm", &features, melt, &runs.held, near);
        assert!((0.13..0.165).contains(&rms), "{rms} mm near the line");
        let stated = MELT_BACK_SCATTER_M * 1e3;
        assert!((rms.hypot(0.1) - stated).abs() < 0.01, "{} stated, {} found", stated, rms.hypot(0.1));
        let length: Vec<f64> = runs.get("pool_length_mm").iter().map(|l| l.max(0.1).ln()).collect();
        let rms = held_rms(COMMITTED, "ln_pool_length_mm", &features, &length, &runs.held, |_| true);
        assert!(rms < 0.06, "pool length to {} %", 100.0 * rms);
    }

    #[test]
    fn a_quantity_outside_the_box_is_named() {
        let inside = [3e-3, 1.6e-3, 9.5e-3, 1.047, 0.889e-3, 0.09, 0.0038, 17.5, 294.0, 1700.0, 2.7e-11];
        assert_eq!(outside_box(inside), None);
        let mut wide = inside;
        wide[0] = 8e-3;
        assert_eq!(
            outside_box(wide).unwrap(),
            "root opening 8 mm is outside 1.58 to 6.4 mm, where this was checked"
        );
        let mut absent = inside;
        absent[7] = f64::NAN;
        assert!(outside_box(absent).is_some());
    }
}
