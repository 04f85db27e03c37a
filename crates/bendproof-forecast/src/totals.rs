//! What the coupon takes: beads, minutes, wire, gas, money, and how warm the
//! metal gets on the way.

use bendproof_weld::arc::{STEEL_DENSITY_KG_M3, melting_rate_kg_s};
use bendproof_weld::{Coupon, Fit, Shape};

use crate::passes::Resolved;

/// Totals of one coupon.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Totals {
    /// Beads laid.
    pub beads: usize,
    /// Seconds with the arc burning.
    pub arc_time_s: f64,
    /// Seconds from first arc to last, cleaning and cooling included.
    pub clock_time_s: f64,
    /// Wire melted, kg.
    pub wire_kg: f64,
    /// Gas used, m³.
    pub gas_m3: f64,
    /// Money in the shop's own prices; `None` until every price is entered.
    pub cost: Option<f64>,
}

/// Warmth of one pass.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Interpass {
    /// Metal temperature before the pass, K.
    pub before_k: f64,
    /// Arc time of the pass, s.
    pub arc_time_s: f64,
    /// Waiting and cleaning after it, s.
    pub pause_s: f64,
}

/// Chipping, brushing and getting into place between beads, s (choice).
const CLEANING_S: f64 = 60.0;
/// Width of metal on each side that warms with the joint, m: a 3 in strip
/// (common practice for test plates, no source).
const WARMED_HALF_WIDTH_M: f64 = 76.2e-3;
/// Mean specific heat of steel between shop and interpass temperature,
/// J/(kg·K): mean of EN 1993-1-2 between 20 and 200 C, secondary.
const SPECIFIC_HEAT_J_KG_K: f64 = 490.0;
/// Film coefficient of still air on warm plate, W/(m²·K), convection and
/// radiation of an oxidised face together at 200 C (from memory, 10 + 11).
const FILM_W_M2_K: f64 = 21.0;
/// Air of the bay, K (choice).
const AIR_K: f64 = 293.15;
/// Gas before and after each bead, s (choice: 0.5 s before, 1.5 s after).
const GAS_EXTRA_S: f64 = 2.0;

/// Follows the metal's mean temperature through the passes: each bead warms the
/// coupon, the pause cools it, and the welder waits until the limit is met. A
/// preheat is held through every pause; a limit below it is met at the preheat.
pub(crate) fn interpass(coupon: &Coupon, passes: &[Resolved]) -> Vec<Interpass> {
    let run = |p: &Resolved| Run { beads: p.beads, travel_m_s: p.travel_m_s, net_power_w: p.net_power_w };
    warmed(&coupon.fit, coupon.settings.interpass_max_k, passes.iter().map(run))
}

/// Beads laid alike, as what warms the metal.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Run {
    /// How many.
    pub beads: u32,
    /// Travel, m/s.
    pub travel_m_s: f64,
    /// Arc power that enters the work, W.
    pub net_power_w: f64,
}

/// The same for any process; `interpass_max_k` is infinite where nobody set one.
pub(crate) fn warmed(fit: &Fit, interpass_max_k: f64, runs: impl Iterator<Item = Run>) -> Vec<Interpass> {
    let heat = lumped_heat(fit);
    let length_m = fit.joint_length_m();
    let start_k = fit.start_temperature_k;
    let limit_k = interpass_max_k.max(AIR_K + 5.0).max(start_k);
    let mut before_k = start_k;
    let mut out = Vec::new();
    for run in runs {
        let bead_s = length_m / run.travel_m_s;
        let first_k = before_k;
        let mut pause_s = 0.0;
        for _ in 0..run.beads {
            let hot_k = before_k + run.net_power_w * bead_s / heat.capacity_j_k;
            let wait_s = heat.seconds_to_cool(hot_k, limit_k).max(CLEANING_S);
            before_k = heat.after(hot_k, wait_s).max(start_k);
            pause_s += wait_s;
        }
        out.push(Interpass { before_k: first_k, arc_time_s: bead_s * f64::from(run.beads), pause_s });
    }
    out
}

struct Lumped {
    capacity_j_k: f64,
    time_constant_s: f64,
}

impl Lumped {
    fn after(&self, hot_k: f64, seconds: f64) -> f64 {
        AIR_K + (hot_k - AIR_K) * (-seconds / self.time_constant_s).exp()
    }

    /// Zero when the metal is already below the limit.
    fn seconds_to_cool(&self, hot_k: f64, limit_k: f64) -> f64 {
        if hot_k <= limit_k {
            return 0.0;
        }
        self.time_constant_s * ((hot_k - AIR_K) / (limit_k - AIR_K)).ln()
    }
}

/// Seconds from the first arc to the last, the pauses between them included.
pub(crate) fn clock_time_s(warm: &[Interpass]) -> f64 {
    let last_pause_s = if warm.is_empty() { 0.0 } else { CLEANING_S };
    (warm.iter().map(|w| w.arc_time_s + w.pause_s).sum::<f64>() - last_pause_s).max(0.0)
}

fn lumped_heat(fit: &Fit) -> Lumped {
    let thickness_m = fit.joint.thickness_m;
    let area_m2 = fit.joint_length_m() * 2.0 * WARMED_HALF_WIDTH_M;
    let capacity_j_k = area_m2 * thickness_m * STEEL_DENSITY_KG_M3 * SPECIFIC_HEAT_J_KG_K;
    // A plate cools from both faces; the bore of a short pipe hardly moves air.
    let faces = if matches!(fit.shape, Shape::Pipe { .. }) { 1.0 } else { 2.0 };
    Lumped { capacity_j_k, time_constant_s: capacity_j_k / (FILM_W_M2_K * area_m2 * faces) }
}

pub(crate) fn totals(coupon: &Coupon, passes: &[Resolved], warm: &[Interpass]) -> Totals {
    let settings = &coupon.settings;
    let arc_time_s: f64 = warm.iter().map(|w| w.arc_time_s).sum();
    let clock_time_s = clock_time_s(warm);
    let wire_kg = passes
        .iter()
        .zip(warm)
        .map(|(p, w)| melting_rate_kg_s(settings.wire_diameter_m, p.wire_feed_m_s) * w.arc_time_s)
        .sum();
    let beads: usize = passes.iter().map(|p| p.beads as usize).sum();
    let gas_m3 = settings.gas_flow_m3_s * (arc_time_s + GAS_EXTRA_S * beads as f64);
    let p = &settings.prices;
    let has_prices = p.wire_per_kg > 0.0 && p.gas_per_m3 > 0.0 && p.hour > 0.0 && p.blank > 0.0;
    let cost = has_prices.then_some(
        p.wire_per_kg * wire_kg + p.gas_per_m3 * gas_m3 + p.hour * clock_time_s / 3600.0 + p.blank,
    );
    Totals { beads, arc_time_s, clock_time_s, wire_kg, gas_m3, cost }
}
