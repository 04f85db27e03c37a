//! Which knob: how much each input moves the answer that comes first, and the
//! smallest single change that makes everything hold.
//!
//! It recommends one input at a time. Two at once may do better; that is for
//! the welder and the map to find.

use bendproof_weld::Coupon;

use crate::answers::{Answer, Answers, HeatOf, Scope, answers};
use crate::forecast::{Limits, Scatter};
use crate::item::Verdict;
use crate::knobs::Knob;

/// Step of the central difference, as a share of the step of the hand (choice:
/// small against the bends of the margins, large against round-off).
const DIFFERENCE_SHARE: f64 = 0.125;
/// Changes are looked for in these parts of a step of the hand. Choice: half of
/// 1/32 in is the finest mark on a rule.
const TRIED_PER_STEP: u32 = 2;
/// As far as this many steps of the hand each way (choice: farther is another
/// joint or another procedure).
const TRIED_STEPS: u32 = 8;
/// A clearance that changes by less than this is not shown as a side effect
/// (choice: a tenth of the doubt).
const TOLD_CLEARANCE: f64 = 0.1;

/// How one input moves the answer that comes first.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Slope {
    /// The input.
    pub knob: Knob,
    /// Where it stands, SI.
    pub value_si: f64,
    /// Change of that answer's margin for one step of the hand upward, in the
    /// margin's unit; `None` where it is unknown on either side.
    pub margin_per_step: Option<f64>,
    /// The same counted in the margin's doubt.
    pub clearance_per_step: Option<f64>,
}

/// One answer before and after a change.
#[derive(Debug, Clone, PartialEq)]
pub struct Effect {
    /// Before.
    pub before: Answer,
    /// After; `None` when it is not asked any more.
    pub after: Option<Answer>,
}

/// One input moved.
#[derive(Debug, Clone, PartialEq)]
pub struct Change {
    /// The input.
    pub knob: Knob,
    /// Where it stood, SI.
    pub from_si: f64,
    /// Where it goes, SI.
    pub to_si: f64,
    /// How many steps of the hand, upward positive.
    pub steps: f64,
    /// The worst word after it.
    pub verdict: Verdict,
    /// Answers that gain by it, the answer that came first before among them.
    pub better: Vec<Effect>,
    /// Answers that lose by it.
    pub worse: Vec<Effect>,
}

/// What to turn.
#[derive(Debug, Clone, PartialEq)]
pub struct Advice {
    /// The answers as planned.
    pub answers: Answers,
    /// Every input in the order asked.
    pub slopes: Vec<Slope>,
    /// The smallest single change after which everything holds; `None` when it
    /// holds already or no single change does it. A change that would leave
    /// anything near the line or failing is none.
    pub change: Option<Change>,
}

/// Which input to turn, and how far.
///
/// The fit, the root pass and the pass of the answer that comes first are asked.
/// Solved beads are carried along to every change at the root; walls of a change
/// are the fast model's, so where walls count they are as planned, too.
pub fn advice(coupon: &Coupon, limits: &Limits, scatter: &Scatter, scope: Scope, heat: HeatOf<'_>) -> Advice {
    let carried = heat.carried(coupon);
    let near = HeatOf::from(carried.as_ref());
    let ask = |c: &Coupon| answers(c, limits, scatter, scope, near);
    let now = answers(coupon, limits, scatter, scope, if scope == Scope::Root { heat } else { near });
    let knobs = knobs(coupon, now.first().map_or(1, |a| a.pass));
    let slopes = knobs.iter().filter_map(|k| slope(coupon, &now, *k, &ask)).collect();
    let mut change = None;
    if now.verdict() != Verdict::Holds {
        let tried = knobs.iter().filter_map(|k| try_knob(coupon, *k, &ask));
        // Of equal changes the knob asked first is taken: settings before the fit.
        change = tried.min_by(|a, b| a.steps.abs().total_cmp(&b.steps.abs())).map(|t| t.change(coupon, &now));
    }
    Advice { answers: now, slopes, change }
}

/// Settings of the passes that matter, then the fit.
fn knobs(coupon: &Coupon, first_pass: usize) -> Vec<Knob> {
    let mut passes = vec![0, first_pass.saturating_sub(1)];
    passes.dedup();
    passes.retain(|p| *p < coupon.passes.len());
    let of_pass = |p: usize| [Knob::Volts(p), Knob::WireFeed(p), Knob::Travel(p), Knob::Amps(p)];
    let fit = [
        Knob::RootFace,
        Knob::RootOpening,
        Knob::Mismatch,
        Knob::GrooveAngle,
        Knob::StartTemperature,
        Knob::Thickness,
    ];
    passes.into_iter().flat_map(of_pass).chain(fit).filter(|k| k.value_si(coupon).is_some()).collect()
}

fn slope(coupon: &Coupon, now: &Answers, knob: Knob, ask: &impl Fn(&Coupon) -> Answers) -> Option<Slope> {
    let value_si = knob.value_si(coupon)?;
    let step_si = DIFFERENCE_SHARE * knob.hand_step().0;
    let first = now.first();
    let at = |sign: f64| -> Option<(f64, f64)> {
        let there = ask(&knob.moved(coupon, value_si + sign * step_si)?);
        let first = first?;
        let answer = there.of(first.failure, first.pass)?;
        Some((answer.margin?, answer.clearance?))
    };
    let here = first.and_then(|a| Some((a.margin?, a.clearance?)));
    // At an edge of the checked range, or at a zero land, one side must do.
    let (low, high, width) = match (at(-1.0), at(1.0)) {
        (Some(low), Some(high)) => (Some(low), Some(high), 2.0 * DIFFERENCE_SHARE),
        (None, high) => (here, high, DIFFERENCE_SHARE),
        (low, None) => (low, here, DIFFERENCE_SHARE),
    };
    let per_step = low.zip(high).map(|(l, h)| ((h.0 - l.0) / width, (h.1 - l.1) / width));
    Some(Slope {
        knob,
        value_si,
        margin_per_step: per_step.map(|p| p.0),
        clearance_per_step: per_step.map(|p| p.1),
    })
}

/// A change after which everything holds: the smallest of its knob.
struct Tried {
    knob: Knob,
    steps: f64,
    to_si: f64,
    answers: Answers,
}

impl Tried {
    fn change(&self, coupon: &Coupon, now: &Answers) -> Change {
        let (mut better, mut worse) = (Vec::new(), Vec::new());
        for before in &now.list {
            let after = self.answers.of(before.failure, before.pass);
            let rank = |a: Option<f64>| a.unwrap_or(f64::NEG_INFINITY);
            let (was, is) = (rank(before.clearance), rank(after.and_then(|a| a.clearance)));
            let effect = Effect { before: before.clone(), after: after.cloned() };
            if is > was + TOLD_CLEARANCE {
                better.push(effect);
            } else if is < was - TOLD_CLEARANCE {
                worse.push(effect);
            }
        }
        Change {
            knob: self.knob,
            from_si: self.knob.value_si(coupon).unwrap_or(self.to_si),
            to_si: self.to_si,
            steps: self.steps,
            verdict: self.answers.verdict(),
            better,
            worse,
        }
    }
}

/// Turns one knob outward until everything holds; `None` where it never does.
///
/// Both ways, but for mismatch: nobody sets one plate higher to save a root.
fn try_knob(coupon: &Coupon, knob: Knob, ask: &impl Fn(&Coupon) -> Answers) -> Option<Tried> {
    let from_si = knob.value_si(coupon).filter(|_| knob.is_in_hand())?;
    let ways: &[f64] = if knob == Knob::Mismatch { &[-1.0] } else { &[1.0, -1.0] };
    for part in 1..=TRIED_PER_STEP * TRIED_STEPS {
        for sign in ways {
            let step_si = knob.hand_step().0;
            let by_si = sign * step_si * f64::from(part) / f64::from(TRIED_PER_STEP);
            // What is left below a step is turned to nothing: a land is filed away.
            let to_si = (from_si + by_si).max(0.0);
            let steps = (to_si - from_si) / step_si;
            let Some(there) = knob.moved(coupon, to_si) else { continue };
            let answers = ask(&there);
            if answers.verdict() == Verdict::Holds {
                return Some(Tried { knob, steps, to_si, answers });
            }
        }
    }
    None
}
