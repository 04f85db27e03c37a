//! How input scatter travels to every root margin.
//!
//! Each input is moved by one standard deviation both ways; between and beyond
//! a margin is taken as straight on either side, and the moves of several inputs
//! add. So one set of some thirty roots answers for every draw, and what the
//! metal piled up ahead of the arc bends stays bent. The inputs are taken as
//! independent.

use bendproof_weld::arc;
use bendproof_weld::pool;

use crate::forecast::{LOAD_LIMIT, Scatter};
use crate::melt_back::{HEALING_HOLLOW_SCATTER_M, MELT_BACK_SCATTER_M, SOLVED_SCATTER_M};
use crate::root::{RETENTION_LIMIT, RootInput, RootState, Station, melted, root_state_of};

/// One input that scatters.
pub(crate) struct Nudge {
    name: &'static str,
    /// Whether the welder's hand or eye can change it.
    in_hand: bool,
    apply: fn(&mut RootInput, f64),
    /// One standard deviation of it.
    sigma: f64,
}

/// Scatter of a current read on the machine, as a share (choice: 3 %, a shop meter).
pub(crate) const METER_SHARE: f64 = 0.03;
/// Scatter of the retention balance itself, as a share (choice).
const RETENTION_SCATTER: f64 = 0.1;
/// Inputs that scatter along the joint: opening, land and travel.
pub(crate) const ALONG: usize = 3;
/// All inputs that scatter, those along the joint first.
pub(crate) const NUDGES: usize = 12;
/// Places of some among them.
pub(crate) const OPENING: usize = 0;
pub(crate) const LAND: usize = 1;
pub(crate) const TRAVEL: usize = 2;
pub(crate) const FEED: usize = 3;
pub(crate) const VOLTS: usize = 4;
pub(crate) const CURRENT: usize = 5;
/// The heat model's own error.
pub(crate) const HEAT: usize = 9;

/// The range given with a constant is read as plus and minus two standard deviations
/// (choice).
pub(crate) fn sigma_of(known: &bendproof_weld::basis::Known) -> f64 {
    0.25 * (known.high - known.low)
}

/// One standard deviation of a current, as a share of it.
pub(crate) fn current_share(is_read: bool, extension_is_stated: bool) -> f64 {
    match (is_read, extension_is_stated) {
        (true, _) => METER_SHARE,
        (false, true) => arc::CURRENT_UNCERTAINTY_AT_EXTENSION_SHARE,
        (false, false) => arc::CURRENT_UNCERTAINTY_SHARE,
    }
}

/// Every input that scatters, for one root.
fn nudges(x: &RootInput, scatter: &Scatter) -> [Nudge; NUDGES] {
    let current = current_share(x.amps_read.is_some(), x.extension_is_stated);
    let efficiency = sigma_of(&arc::arc_efficiency(
        bendproof_weld::Process::Gmaw,
        Some(bendproof_weld::Transfer::ShortCircuit),
    ));
    let heat = if x.is_solved() { SOLVED_SCATTER_M } else { MELT_BACK_SCATTER_M };
    let along = |name, apply, sigma| Nudge { name, in_hand: true, apply, sigma };
    let set = |name, apply, sigma| Nudge { name, in_hand: true, apply, sigma };
    let model = |name, apply, sigma| Nudge { name, in_hand: false, apply, sigma };
    [
        along(
            "root opening",
            |x, d| x.joint.root_opening_m = (x.joint.root_opening_m + d).max(0.0),
            scatter.root_opening_m,
        ),
        along(
            "root face",
            |x, d| {
                x.joint.root_face_left_m = (x.joint.root_face_left_m + d).max(0.0);
                x.joint.root_face_right_m = (x.joint.root_face_right_m + d).max(0.0);
            },
            scatter.root_face_m,
        ),
        along("travel", |x, d| x.travel_m_s *= 1.0 + d, scatter.travel_share),
        set("wire feed", |x, d| x.wire_feed_m_s *= 1.0 + d, scatter.wire_feed_share),
        set("volts", |x, d| x.volts += d, scatter.volts),
        model("current, which was not read", |x, d| x.current_factor += d, current),
        model("arc efficiency", |x, d| x.arc_efficiency += d, efficiency),
        model("surface tension", |x, d| x.surface_tension_n_m += d, sigma_of(&pool::SURFACE_TENSION_N_M)),
        model("arc push", |x, d| x.arc_push_pa_a2 += d, sigma_of(&pool::ARC_PUSH_PA_A2)),
        model("heat model", |x, d| x.melt_error_m += d, heat),
        model("puddle balance", |x, d| x.retention_factor += d, RETENTION_SCATTER),
        model("hollow under the bead", |x, d| x.hollow_m += d, HEALING_HOLLOW_SCATTER_M),
    ]
}

/// What is read of a root: margin of the left and right edge, m, of drop-out and
/// puddle, share of the limit; and the least root height, m.
pub(crate) const OUTPUTS: usize = 5;

/// The margins of a root, in the order of [`OUTPUTS`].
pub(crate) fn margins(s: &RootState) -> [f64; OUTPUTS] {
    let left = |used: f64, limit: f64| 1.0 - used / limit;
    [
        s.left_m,
        s.right_m,
        left(s.load, LOAD_LIMIT),
        left(s.retention.unwrap_or(0.0), RETENTION_LIMIT),
        s.low_m,
    ]
}

/// How the margins answer to every input.
#[derive(Debug, Clone)]
pub(crate) struct Response {
    /// As planned.
    pub base: [f64; OUTPUTS],
    /// Change for one standard deviation down and up, by nudge.
    pub moves: [[[f64; OUTPUTS]; 2]; NUDGES],
    names: [&'static str; NUDGES],
    in_hand: [bool; NUDGES],
}

/// The responses of a root at some sets of its places, each judged at its worst.
pub(crate) fn responses(x: &RootInput, scatter: &Scatter, places: &[Vec<Station>]) -> Vec<Response> {
    let nudges = nudges(x, scatter);
    let at = |x: &RootInput| -> Vec<[f64; OUTPUTS]> {
        let melted = melted(x);
        places.iter().map(|stations| margins(&root_state_of(x, &melted, stations))).collect()
    };
    let base = at(x);
    let moved = nudges.each_ref().map(|nudge| {
        [-1.0, 1.0].map(|sign| {
            let mut moved = x.clone();
            (nudge.apply)(&mut moved, sign * nudge.sigma);
            at(&moved)
        })
    });
    let of = |place: usize| Response {
        base: base[place],
        moves: moved
            .each_ref()
            .map(|ends| ends.each_ref().map(|end| std::array::from_fn(|i| end[place][i] - base[place][i]))),
        names: nudges.each_ref().map(|nudge| nudge.name),
        in_hand: nudges.each_ref().map(|nudge| nudge.in_hand),
    };
    (0..places.len()).map(of).collect()
}

/// One standard deviation of an output and what in the welder's hand moves it most.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Spread {
    pub sigma: f64,
    pub driver: &'static str,
}

impl Response {
    /// Whether left and right edge answer alike to everything.
    pub fn is_even(&self) -> bool {
        self.base[0] == self.base[1] && self.moves.iter().flatten().all(|end| end[0] == end[1])
    }

    /// Spread of one output at one place. An input's share is the root mean
    /// square of its two moves: half their difference would hide one whose moves
    /// cancel where the metal starts to pile up.
    pub fn spread(&self, output: usize) -> Spread {
        let share = |n: usize| {
            let [down, up] = self.moves[n];
            (0.5 * (down[output].powi(2) + up[output].powi(2))).sqrt()
        };
        let hand = (0..NUDGES).filter(|n| self.in_hand[*n]);
        let most = hand.max_by(|a, b| share(*a).total_cmp(&share(*b))).filter(|n| share(*n) > 0.0);
        Spread {
            sigma: (0..NUDGES).map(|n| share(n).powi(2)).sum::<f64>().sqrt(),
            driver: most.map_or("root face", |n| self.names[n]),
        }
    }
}
