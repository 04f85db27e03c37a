//! How input scatter travels to every root margin.
//!
//! Each input is nudged by one standard deviation both ways; the root mean
//! square of both moves is its share, and the shares add in squares. Half the
//! difference would hide an input whose two moves cancel where the metal starts
//! to pile up. The inputs are taken as independent.

use bendproof_weld::arc;
use bendproof_weld::pool;

use crate::forecast::Scatter;
use crate::melt_back::HEALING_HOLLOW_SCATTER_M;
use crate::root::{RootInput, RootState, root_state};

/// One input that scatters.
pub(crate) struct Nudge {
    name: &'static str,
    /// Whether the welder's hand or eye can change it.
    pub in_hand: bool,
    pub apply: fn(&mut RootInput, f64),
    /// One standard deviation of it.
    pub sigma: f64,
}

/// Scatter of a current read on the machine, as a share (choice: 3 %, a shop meter).
pub(crate) const METER_SHARE: f64 = 0.03;

/// The range beside a constant is read as plus and minus two standard deviations
/// (choice).
pub(crate) fn sigma_of(known: &bendproof_weld::basis::Known) -> f64 {
    0.25 * (known.high - known.low)
}

/// Every input that scatters, for one root.
pub(crate) fn nudges(x: &RootInput, scatter: &Scatter) -> Vec<Nudge> {
    let current = if x.amps_read.is_some() { METER_SHARE } else { arc::CURRENT_UNCERTAINTY_SHARE };
    let efficiency = sigma_of(&arc::arc_efficiency(
        bendproof_weld::Process::Gmaw,
        Some(bendproof_weld::Transfer::ShortCircuit),
    ));
    let hand = |name, apply, sigma| Nudge { name, in_hand: true, apply, sigma };
    let model = |name, apply, sigma| Nudge { name, in_hand: false, apply, sigma };
    vec![
        hand(
            "root opening",
            |x, d| x.joint.root_opening_m = (x.joint.root_opening_m + d).max(0.0),
            scatter.root_opening_m,
        ),
        hand(
            "land thickness",
            |x, d| {
                x.joint.root_face_left_m = (x.joint.root_face_left_m + d).max(0.0);
                x.joint.root_face_right_m = (x.joint.root_face_right_m + d).max(0.0);
            },
            scatter.root_face_m,
        ),
        hand("travel", |x, d| x.travel_m_s *= 1.0 + d, scatter.travel_share),
        hand("wire feed", |x, d| x.wire_feed_m_s *= 1.0 + d, scatter.wire_feed_share),
        hand("volts", |x, d| x.volts += d, scatter.volts),
        model("current, which was not read", |x, d| x.current_factor += d, current),
        model("arc efficiency", |x, d| x.arc_efficiency += d, efficiency),
        model("surface tension", |x, d| x.surface_tension_n_m += d, sigma_of(&pool::SURFACE_TENSION_N_M)),
        model("arc push", |x, d| x.arc_push_pa_a2 += d, sigma_of(&pool::ARC_PUSH_PA_A2)),
        model("hollow under the bead", |x, d| x.hollow_m += d, HEALING_HOLLOW_SCATTER_M),
    ]
}

/// One standard deviation of an output and what in the welder's hand moves it most.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Spread {
    pub sigma: f64,
    pub driver: &'static str,
}

/// Spread of several outputs at once; `outputs` picks them from the state.
pub(crate) fn spreads<const N: usize>(
    x: &RootInput,
    scatter: &Scatter,
    outputs: impl Fn(&RootState) -> [f64; N],
) -> [Spread; N] {
    let mut squares = [0.0; N];
    let mut largest = [0.0; N];
    let mut drivers = ["land thickness"; N];
    let base = outputs(&root_state(x));
    for nudge in nudges(x, scatter) {
        let at = |sign: f64| {
            let mut moved = x.clone();
            (nudge.apply)(&mut moved, sign * nudge.sigma);
            outputs(&root_state(&moved))
        };
        let (up, down) = (at(1.0), at(-1.0));
        for i in 0..N {
            let share =
                ((up[i] - base[i]).powi(2) + (down[i] - base[i]).powi(2)).sqrt() / std::f64::consts::SQRT_2;
            squares[i] += share * share;
            if nudge.in_hand && share > largest[i] {
                largest[i] = share;
                drivers[i] = nudge.name;
            }
        }
    }
    std::array::from_fn(|i| Spread { sigma: f64::sqrt(squares[i]), driver: drivers[i] })
}
