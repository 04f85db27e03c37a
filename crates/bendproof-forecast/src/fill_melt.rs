//! What a hot, fill or cap bead melts of its walls and of the metal below, by a
//! fast model fitted to solved beads.
//!
//! A cubic through some 4400 beads laid level in a groove filled part way and
//! solved by `bendproof-heat` (`data/fill_runs.csv`); another thousand, held
//! back, tell its error. Computed, never measured.

use std::sync::LazyLock;

use bendproof_weld::Dwell;
use bendproof_weld::basis::Basis;

use crate::cubic::Cubic;
use crate::melt_back::{BoxSide, cold_power_w, outside, side};

/// What decides how far a bead melts into a groove.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FillBeadHeat {
    /// Arc power that enters the work, W.
    pub net_power_w: f64,
    /// Metal temperature before the bead, K.
    pub start_temperature_k: f64,
    /// Travel, m/s.
    pub travel_m_s: f64,
    /// Cross-section of the bead, m².
    pub area_m2: f64,
    /// Width of the groove where the bead is laid, m; beads side by side share it.
    pub width_m: f64,
    /// Height of the metal already there, m.
    pub from_m: f64,
    /// Plate or wall thickness, m.
    pub thickness_m: f64,
    /// Included groove angle, rad.
    pub groove_angle_rad: f64,
    /// Full width of the weave, m.
    pub weave_width_m: f64,
    /// Where the weave lingers.
    pub dwell: Dwell,
}

/// What the fast model answers, m; negative where the contact stays solid.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FillMelt {
    /// Least melted depth into the walls, square to them.
    pub wall_m: f64,
    /// Least melted depth into the metal below.
    pub below_m: f64,
    /// Deepest anywhere along the contact.
    pub deepest_m: f64,
}

/// Scatter of the fast model against solved beads it never saw, m (walls 0.18
/// mm, held by a test), with the grid error of a solved bead added in squares.
pub(crate) const WALL_SCATTER_M: f64 = 0.21e-3;

/// Where the answer comes from.
pub(crate) const SOURCE: &str = "fast model of solved beads in a part-filled groove (data/fill_runs.csv, computed); \
     width of the arc picked by the trade's order of joints";
/// The worth of the weakest part of every melted wall, fast or solved: the
/// width of the arc was picked after seeing.
pub(crate) const BASIS: Basis = Basis::Choice;

/// The box in which the beads were solved. Outside it: not known.
pub const FILL_BOX: [BoxSide; 8] = [
    side("net arc power", "W", 1.0, 1000.0, 4500.0),
    side("travel", "in/min", 0.0254 / 60.0, 2.5, 16.0),
    side("net heat input", "kJ/mm", 1e6, 0.2, 1.6),
    side("start temperature", "K", 1.0, 250.0, 560.0),
    side("thickness", "mm", 1e-3, 6.0, 19.5),
    side("groove angle", "deg", std::f64::consts::PI / 180.0, 50.0, 75.0),
    side("groove width at the bead", "mm", 1e-3, 1.6, 22.0),
    side("weave width", "mm", 1e-3, 0.0, 14.5),
];
/// Longest time at the toes or the middle that the fit tells apart, as a width
/// of weave, mm: beyond it a pause changes no more.
const LINGER_MM: f64 = 3.0;

static MODEL: LazyLock<Cubic> = LazyLock::new(|| Cubic::read(include_str!("../../../data/fill_model.csv")));

fn features(q: &FillBeadHeat) -> [f64; 9] {
    let weave_mm = 1e3 * q.weave_width_m;
    let lingers = match q.dwell {
        Dwell::Even => 0.0,
        Dwell::Toes => 1.0,
        Dwell::Middle => -1.0,
    };
    [
        cold_power_w(q.net_power_w, q.start_temperature_k).ln(),
        (1e3 * q.travel_m_s).ln(),
        1e3 * q.width_m,
        // Metal per joule, with mm² and J/mm.
        (1e9 * q.area_m2 * q.travel_m_s / q.net_power_w).ln(),
        weave_mm,
        lingers * weave_mm.min(LINGER_MM),
        (0.5 * q.groove_angle_rad).tan().ln(),
        1e-3 / q.thickness_m,
        q.from_m / q.thickness_m,
    ]
}

/// What a bead melts of its walls and the metal below.
///
/// # Errors
/// In words, the first quantity outside [`FILL_BOX`].
pub fn fill_melt(q: &FillBeadHeat) -> Result<FillMelt, String> {
    let heat_input_j_m = q.net_power_w / q.travel_m_s;
    let values = [
        q.net_power_w,
        q.travel_m_s,
        heat_input_j_m,
        q.start_temperature_k,
        q.thickness_m,
        q.groove_angle_rad,
        q.width_m,
        q.weave_width_m,
    ];
    if let Some(why) = outside(&FILL_BOX, &values) {
        return Err(why);
    }
    let mut terms = Vec::with_capacity(TERMS);
    MODEL.terms(&features(q), &mut terms);
    let read = |name: &str| 1e-3 * MODEL.output(name, &terms);
    Ok(FillMelt { wall_m: read("wall_mm"), below_m: read("below_mm"), deepest_m: read("deepest_mm") })
}

/// Products of up to three of nine features.
const TERMS: usize = 220;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fitting::{Runs, Target, check_or_renew, fit, held_rms};

    const HEAD: &str = "# Cubic fitted to data/fill_runs.csv, every fifth row held back (basis derived). Renew with\n\
                        # UPDATE=1 cargo test --release -p bendproof-forecast fill_melt\n";
    const COMMITTED: &str = include_str!("../../../data/fill_model.csv");
    /// A bead that melts farther than this went through the plate, mm.
    const THROUGH_MM: f64 = 14.0;

    fn runs() -> (Runs, Vec<Vec<f64>>) {
        let runs = Runs::read(include_str!("../../../data/fill_runs.csv"));
        let at = |name: &str, row: usize| runs.get(name)[row];
        let features = (0..runs.held.len())
            .map(|i| {
                features(&FillBeadHeat {
                    net_power_w: at("net_power_W", i),
                    start_temperature_k: at("start_K", i),
                    travel_m_s: 1e-3 * at("travel_mm_s", i),
                    area_m2: 1e-6 * at("area_mm2", i),
                    width_m: 1e-3 * at("width_mm", i),
                    from_m: 1e-3 * at("from_mm", i),
                    thickness_m: 1e-3 * at("thickness_mm", i),
                    groove_angle_rad: at("groove_angle_deg", i).to_radians(),
                    weave_width_m: 1e-3 * at("weave_mm", i),
                    dwell: match at("lingers", i) as i32 {
                        1 => Dwell::Toes,
                        -1 => Dwell::Middle,
                        _ => Dwell::Even,
                    },
                })
                .to_vec()
            })
            .collect();
        (runs, features)
    }

    /// Rows where the reading means something: some beads touch no wall.
    fn read(runs: &Runs, name: &str) -> (Vec<f64>, Vec<f64>) {
        let (values, deepest) = (runs.get(name), runs.get("deepest_mm"));
        let weight = |(v, d): (&f64, &f64)| f64::from(v.is_finite() && *d < THROUGH_MM);
        let weights = values.iter().zip(deepest).map(weight).collect();
        (values.iter().map(|v| if v.is_finite() { *v } else { 0.0 }).collect(), weights)
    }

    #[test]
    fn the_model_is_the_least_squares_one() {
        let (runs, features) = runs();
        let target = |name: &'static str| {
            let (values, weights) = read(&runs, name);
            Target { name, values, weights }
        };
        let targets = ["wall_mm", "below_mm", "deepest_mm"].map(target);
        let fitted = fit(&features, &runs.held, &targets, HEAD);
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../data/fill_model.csv");
        check_or_renew(path, COMMITTED, &fitted, &features);
    }

    #[test]
    fn the_error_on_runs_it_never_saw_is_the_one_stated() {
        let (runs, features) = runs();
        let rms = |name: &str| {
            let (values, weights) = read(&runs, name);
            held_rms(COMMITTED, name, &features, &values, &runs.held, |row| weights[row] > 0.0)
        };
        let wall = rms("wall_mm");
        assert!((0.15..0.19).contains(&wall), "walls {wall} mm");
        let stated = 1e3 * WALL_SCATTER_M;
        assert!((wall.hypot(0.12) - stated).abs() < 0.01, "{stated} expected, {} found", wall.hypot(0.12));
        assert!(rms("below_mm") < 0.14 && rms("deepest_mm") < 0.14);
    }

    #[test]
    fn outside_its_box_it_refuses() {
        let inside = FillBeadHeat {
            net_power_w: 2000.0,
            start_temperature_k: 400.0,
            travel_m_s: 4e-3,
            area_m2: 15e-6,
            width_m: 7e-3,
            from_m: 4e-3,
            thickness_m: 9.5e-3,
            groove_angle_rad: 60f64.to_radians(),
            weave_width_m: 0.0,
            dwell: Dwell::Even,
        };
        assert!(fill_melt(&inside).is_ok());
        let error = fill_melt(&FillBeadHeat { net_power_w: 900.0, ..inside }).unwrap_err();
        assert_eq!(error, "net arc power 900 W is outside 1000 to 4500 W, where this was checked");
    }
}
