//! Every answer of a coupon as word and margin alone: no uncertainty carried
//! through the inputs, no drawing, no totals. What sweeps, maps and
//! recommendations ask thousands of times.
//!
//! It computes no weld of its own: each answer is the item the forecast itself
//! makes, so that a map never says another word than the sheet.

use bendproof_weld::basis::Basis;
use bendproof_weld::{Backing, Coupon};

use crate::fill_melt::WALL_SCATTER_M;
use crate::forecast::{Limits, crown, forecast_verdict, root_input};
use crate::item::{Item, Unit, Verdict, worst};
use crate::melt_back::MELT_BACK_SCATTER_M;
use crate::passes::{Resolved, resolve, stack};
use crate::root::root_state;
use crate::section::groove_with_mismatch;
use crate::totals::interpass;
use crate::walls::{self, LIGAMENT_SURE_M, WALL_SURE_M, ligament, wall};

/// What can go wrong, in the order it is asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Failure {
    /// The left land stays solid.
    LeftEdge,
    /// The right land stays solid.
    RightEdge,
    /// The root is hollow, or hangs too far.
    Profile,
    /// The liquid root drops out.
    BurnThrough,
    /// The puddle runs ahead of the arc.
    Outrun,
    /// The hot pass falls through the root.
    HotPass,
    /// A later pass does not reach its walls.
    Walls,
    /// The cap is below flush or above its limit.
    Crown,
}

impl Failure {
    /// All, in the order asked.
    pub const ALL: [Failure; 8] = [
        Failure::LeftEdge,
        Failure::RightEdge,
        Failure::Profile,
        Failure::BurnThrough,
        Failure::Outrun,
        Failure::HotPass,
        Failure::Walls,
        Failure::Crown,
    ];

    /// The key files and JSON use.
    pub fn key(self) -> &'static str {
        match self {
            Failure::LeftEdge => "left_edge",
            Failure::RightEdge => "right_edge",
            Failure::Profile => "profile",
            Failure::BurnThrough => "burn_through",
            Failure::Outrun => "outrun",
            Failure::HotPass => "hot_pass",
            Failure::Walls => "walls",
            Failure::Crown => "crown",
        }
    }

    /// Error of the fast model behind this answer, m, one standard deviation:
    /// measured on solved beads left out of its fit, near the line, with the grid
    /// error of a solved bead added in squares. `None` for an answer that rests
    /// on no fitted heat.
    pub fn model_error_m(self) -> Option<f64> {
        match self {
            Failure::LeftEdge | Failure::RightEdge => Some(MELT_BACK_SCATTER_M),
            Failure::HotPass | Failure::Walls => Some(WALL_SCATTER_M),
            Failure::Profile | Failure::BurnThrough | Failure::Outrun | Failure::Crown => None,
        }
    }
}

/// Which answers count.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Scope {
    /// All of them.
    Whole,
    /// Those of the root pass alone.
    Root,
}

/// One answer, reduced.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// What is asked.
    pub failure: Failure,
    /// 1-based number of the pass it is about.
    pub pass: usize,
    /// The word.
    pub verdict: Verdict,
    /// Distance from the line, positive on the good side, in `unit`; `None`
    /// when not known.
    pub margin: Option<f64>,
    /// What the margin is measured in.
    pub unit: Unit,
    /// Half width of the band in which the word is `marginal`, on the wrong and
    /// on the good side of the line, in `unit`; both above zero.
    pub doubt: [f64; 2],
    /// One standard deviation of the model itself, in `unit`.
    pub model_sigma: f64,
    /// Why it is not known; empty when it is.
    pub why: String,
    /// Where the answer comes from.
    pub source: &'static str,
    /// What that source is worth.
    pub basis: Basis,
}

impl Answer {
    pub(crate) fn of(failure: Failure, pass: usize, item: Item, doubt: [f64; 2]) -> Self {
        Self {
            failure,
            pass,
            verdict: item.verdict,
            margin: item.margin.filter(|_| item.verdict != Verdict::NotKnown),
            unit: item.unit,
            doubt,
            model_sigma: item.uncertainty.unwrap_or(0.0),
            source: item.source,
            basis: item.basis,
            why: if item.verdict == Verdict::NotKnown { item.driver } else { String::new() },
        }
    }

    /// The margin counted in its own doubt: 1 or more holds, -1 or less fails,
    /// between the two the word is `marginal`. Margins in millimetres and in
    /// shares of a limit compare by it.
    pub fn clearance(&self) -> Option<f64> {
        let margin = self.margin?;
        Some(margin / self.doubt[usize::from(margin >= 0.0)])
    }
}

/// The answers of one coupon.
#[derive(Debug, Clone, PartialEq)]
pub struct Answers {
    /// The answers, root first.
    pub list: Vec<Answer>,
}

impl Answers {
    /// The worst word of all.
    pub fn verdict(&self) -> Verdict {
        worst(self.list.iter().map(|a| a.verdict))
    }

    /// The answer that decides the worst word: the one with the least clearance
    /// when anything fails or everything is known, the first that is not known
    /// otherwise. Of equals the first asked is given.
    pub fn first(&self) -> Option<&Answer> {
        match self.verdict() {
            Verdict::NotKnown => self.list.iter().find(|a| a.verdict == Verdict::NotKnown),
            _ => self
                .list
                .iter()
                .filter_map(|a| Some((a, a.clearance()?)))
                .min_by(|a, b| a.1.total_cmp(&b.1))
                .map(|(a, _)| a),
        }
    }

    /// The first answer of the root that is not known.
    pub fn unknown_root(&self) -> Option<&Answer> {
        self.list.iter().find(|a| a.failure <= Failure::Outrun && a.verdict == Verdict::NotKnown)
    }

    /// The answer to one question about one pass.
    pub fn of(&self, failure: Failure, pass: usize) -> Option<&Answer> {
        self.list.iter().find(|a| a.failure == failure && a.pass == pass)
    }
}

/// The answers of a coupon.
pub fn answers(coupon: &Coupon, limits: &Limits, scope: Scope) -> Answers {
    let passes: Vec<Resolved> = coupon.passes.iter().map(|p| resolve(&coupon.settings, p)).collect();
    let input = root_input(coupon, &passes);
    let state = input.as_ref().ok().map(root_state);
    let mut list = match (&input, &state) {
        (Err(why), _) => forecast_verdict::unknown_answers(why),
        (Ok(_), Some(state)) => forecast_verdict::root_answers(state, limits),
        (Ok(_), None) => Vec::new(),
    };
    if scope == Scope::Root {
        return Answers { list };
    }
    let groove = groove_with_mismatch(&coupon.fit.joint);
    let (root_m, root_width_m) = state.as_ref().map_or((0.0, 0.0), |s| (s.low_m, s.width_m));
    let layers = stack(&groove, &passes, root_m, root_width_m);
    let warm = interpass(coupon, &passes);
    for ((pass, layer), warm) in passes.iter().zip(&layers).zip(&warm).skip(1) {
        let wall = wall(pass, walls::fast(coupon, pass, layer, warm.before_k));
        let sure_m = wall.melt.as_ref().map_or(WALL_SURE_M, |melt| melt.sure_m);
        if layer.pass == 2 && coupon.fit.joint.backing == Backing::Open {
            let throat_m = layers[0].to_m + root_m.max(0.0);
            let known = input.as_ref().map(|_| ()).map_err(String::as_str);
            let item = ligament(known, throat_m, &wall.melt);
            list.push(Answer::of(Failure::HotPass, 2, item, [LIGAMENT_SURE_M; 2]));
        }
        list.push(Answer::of(Failure::Walls, layer.pass, wall.tie_in, [sure_m; 2]));
    }
    let crown = crown(coupon, &layers, &passes, limits);
    // A plan without a cap, or a code without a limit, leaves the crown open;
    // that is no doubt about the rest.
    if limits.crown.is_some() && crown.margin.is_some() {
        let doubt = forecast_verdict::crown_doubt_m(&crown);
        list.push(Answer::of(Failure::Crown, passes.len(), crown, [doubt; 2]));
    }
    Answers { list }
}
