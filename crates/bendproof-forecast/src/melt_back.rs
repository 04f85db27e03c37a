//! How far the land melts back at the underside, from a fitted description of
//! conduction on the true groove.
//!
//! Least squares through the 79 runs in `data/root_conduction.csv`: a
//! three-dimensional conduction model of the root pass, computed, not measured.
//! The next step replaces this file by a solver behind the same question.

use bendproof_weld::basis::Basis;

/// What decides how far a land melts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeltBack {
    /// Arc power that enters the work, W.
    pub net_power_w: f64,
    /// Metal temperature before the arc, K.
    pub start_temperature_k: f64,
    /// Travel, m/s.
    pub travel_m_s: f64,
    /// Height of the bead's top above the underside, m, laid from the underside.
    pub fill_m: f64,
    /// Land height, m.
    pub root_face_m: f64,
    /// Height above the underside at which the bead is laid, m: the hollow that
    /// the land must melt below for the root to heal through.
    pub hollow_m: f64,
}

/// Power of the reference run, W: 0.85 x 17.5 V x 110 A.
const REFERENCE_POWER_W: f64 = 0.85 * 17.5 * 110.0;
/// Travel of the reference run, m/s: 9 in/min.
const REFERENCE_TRAVEL_M_S: f64 = 9.0 * 0.0254 / 60.0;
/// Start temperature of all runs, K.
const REFERENCE_START_K: f64 = 293.15;
/// Temperature that counts as melted in the runs, K: midway between the solidus
/// and liquidus of a 0.18 % carbon steel (1465 to 1525 C).
pub(crate) const MELTED_K: f64 = 1768.15;

/// Coefficients of the fit, in millimetres and in natural logarithms of the
/// ratios to the reference run. Basis: derived. A test recomputes the residuals.
struct Fit {
    constant: f64,
    ln_power: f64,
    ln_travel: f64,
    fill: f64,
    land: f64,
    hollow: f64,
    hollow_land: f64,
    hollow_ln_travel: f64,
    fill_ln_travel: f64,
}

const FIT: Fit = Fit {
    constant: 2.657,
    ln_power: 3.8981,
    ln_travel: -0.66968,
    fill: -0.46766,
    land: -0.19743,
    hollow: -0.3016,
    hollow_land: -0.43482,
    hollow_ln_travel: -0.56154,
    fill_ln_travel: -0.24264,
};

/// Scatter of the fit on runs left out of it, m (leave-one-out root mean square
/// 0.198 mm), with the grid error of those runs (0.1 mm) added in squares.
pub(crate) const MELT_BACK_SCATTER_M: f64 = 0.22e-3;
/// The hollow at which the sign of the melt-back matched the trade's verdicts
/// in 18 of 20 joints, m. Picked after seeing them; range 0.6 to 1.0.
pub(crate) const HEALING_HOLLOW_M: f64 = 0.8e-3;
/// One standard deviation of the healing hollow, m (choice: a third of the range).
pub(crate) const HEALING_HOLLOW_SCATTER_M: f64 = 0.13e-3;

/// Where the melt-back comes from, for every answer that rests on it.
pub(crate) const SOURCE: &str = "least squares through 79 runs of our own conduction model of the root (data/root_conduction.csv); \
     hollow of 0.8 mm picked to match common practice";
/// Its worth: computed, never measured.
pub(crate) const BASIS: Basis = Basis::Derived;

/// Melt-back of the land at its underside corner, m; negative when the corner
/// stays solid.
///
/// Valid inside [`CHECKED_BOX`] only; the caller asks before believing it.
pub fn melt_back_m(q: &MeltBack) -> f64 {
    // A warm plate needs less heat to melt: the power is scaled by the share of
    // the temperature rise that is left.
    let warm = (MELTED_K - REFERENCE_START_K) / (MELTED_K - q.start_temperature_k);
    let ln_power = (q.net_power_w * warm / REFERENCE_POWER_W).ln();
    let ln_travel = (q.travel_m_s / REFERENCE_TRAVEL_M_S).ln();
    let [fill, land, hollow] = [q.fill_m * 1e3, q.root_face_m * 1e3, q.hollow_m * 1e3];
    let mm = FIT.constant
        + FIT.ln_power * ln_power
        + FIT.ln_travel * ln_travel
        + FIT.fill * fill
        + FIT.land * land
        + FIT.fill_ln_travel * fill * ln_travel
        + hollow * (FIT.hollow + FIT.hollow_land * land + FIT.hollow_ln_travel * ln_travel);
    mm * 1e-3
}

/// One side of the box in which the fit was checked.
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

/// The box in which the conduction runs were made. Outside it: not known.
pub const CHECKED_BOX: [BoxSide; 9] = [
    side("root opening", "mm", 1e-3, 1.6, 6.4),
    side("root face", "mm", 1e-3, 0.0, 3.2),
    side("thickness", "mm", 1e-3, 6.0, 19.5),
    side("groove angle", "deg", std::f64::consts::PI / 180.0, 50.0, 75.0),
    side("wire diameter", "mm", 1e-3, 0.8, 1.0),
    side("wire feed", "in/min", 0.0254 / 60.0, 140.0, 260.0),
    side("travel", "in/min", 0.0254 / 60.0, 3.0, 12.0),
    side("volts", "V", 1.0, 16.0, 19.0),
    side("start temperature", "K", 1.0, 250.0, 425.0),
];

const fn side(name: &'static str, unit: &'static str, si_per_unit: f64, low: f64, high: f64) -> BoxSide {
    BoxSide { name, unit, si_per_unit, low, high }
}

/// The first quantity outside the box, in words; `values_si` in the order of
/// [`CHECKED_BOX`].
pub(crate) fn outside_box(values_si: [f64; 9]) -> Option<String> {
    // A hair of slack so that 16 V typed as 16 V is inside on every machine.
    const SLACK: f64 = 1e-9;
    CHECKED_BOX.iter().zip(values_si).find_map(|(side, si)| {
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

    /// The runs the fit was made from, as (features in fit order, melt-back mm).
    fn runs() -> Vec<([f64; 9], f64)> {
        include_str!("../../../data/root_conduction.csv")
            .lines()
            .filter(|line| line.starts_with(|c: char| c.is_ascii_digit()))
            .map(|line| {
                let v: Vec<f64> = line.split(',').map(|cell| cell.parse().unwrap()).collect();
                let (land, travel, amps, fill, hollow) = (v[1], v[2], v[4], v[5], v[6]);
                let (lq, lv) = ((amps / 110.0_f64).ln(), (travel / 9.0_f64).ln());
                let features = [1.0, lq, lv, fill, land, hollow, hollow * land, hollow * lv, fill * lv];
                (features, v[7])
            })
            .collect()
    }

    fn fitted(features: &[f64; 9]) -> f64 {
        let at = |i: usize| features[i];
        melt_back_m(&MeltBack {
            net_power_w: REFERENCE_POWER_W * at(1).exp(),
            start_temperature_k: REFERENCE_START_K,
            travel_m_s: REFERENCE_TRAVEL_M_S * at(2).exp(),
            fill_m: at(3) * 1e-3,
            root_face_m: at(4) * 1e-3,
            hollow_m: at(5) * 1e-3,
        }) * 1e3
    }

    #[test]
    fn the_fit_is_the_least_squares_one() {
        // At the minimum the residuals are orthogonal to every feature. The
        // coefficients carry five digits, so each sum may be off by the rounding
        // of a coefficient (5e-5 of it) times the feature's own size.
        let runs = runs();
        assert_eq!(runs.len(), 79);
        for i in 0..9 {
            let sum: f64 = runs.iter().map(|(x, m)| (fitted(x) - m) * x[i]).sum();
            let size: f64 = runs.iter().map(|(x, _)| x[i] * x[i]).sum();
            assert!(sum.abs() < 1e-3 * size.max(1.0), "feature {i}: {sum} of {size}");
        }
    }

    #[test]
    fn the_fit_describes_its_runs() {
        let runs = runs();
        let mean_square: f64 =
            runs.iter().map(|(x, m)| (fitted(x) - m).powi(2)).sum::<f64>() / runs.len() as f64;
        let rms = mean_square.sqrt();
        assert!((0.15..0.18).contains(&rms), "rms {rms} mm");
        let wrong = runs.iter().filter(|(x, m)| fitted(x) * m < 0.0).count();
        assert!(wrong <= 2, "{wrong} wrong signs");
    }

    #[test]
    fn a_quantity_outside_the_box_is_named() {
        let inside = [3e-3, 1.6e-3, 9.5e-3, 1.047, 0.889e-3, 0.09, 0.0038, 17.5, 294.0];
        assert_eq!(outside_box(inside), None);
        let mut wide = inside;
        wide[0] = 8e-3;
        assert_eq!(
            outside_box(wide).unwrap(),
            "root opening 8 mm is outside 1.6 to 6.4 mm, where this was checked"
        );
        let mut absent = inside;
        absent[7] = f64::NAN;
        assert!(outside_box(absent).is_some());
    }
}
