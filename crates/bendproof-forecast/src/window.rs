//! Where along one input the coupon holds: the hatching on the rule.

use bendproof_weld::Coupon;

use crate::answers::Failure;
use crate::answers::{HeatOf, Scope, answers};
use crate::forecast::{Limits, Scatter};
use crate::item::Verdict;
use crate::knobs::Knob;

/// A stretch of the sweep with one word.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reach {
    /// From, SI.
    pub from_si: f64,
    /// To, SI.
    pub to_si: f64,
    /// The word.
    pub verdict: Verdict,
}

/// Sweeps `knob` from `min_si` to `max_si` in `steps` equal parts, everything
/// else as planned, and gives the word of each stretch, neighbours merged.
///
/// For the fit and the root pass the word is that of the root; for a later
/// pass it is that of its walls.
pub fn reach(
    coupon: &Coupon,
    limits: &Limits,
    scatter: &Scatter,
    knob: Knob,
    (min_si, max_si): (f64, f64),
    steps: usize,
) -> Vec<Reach> {
    let width = (max_si - min_si) / steps.max(1) as f64;
    let mut out: Vec<Reach> = Vec::new();
    for i in 0..steps.max(1) {
        let from_si = min_si + width * i as f64;
        let verdict = match (knob.moved(coupon, from_si + 0.5 * width), knob.pass()) {
            (None, _) => Verdict::NotKnown,
            (Some(moved), Some(p)) if p > 0 => {
                let answers = answers(&moved, limits, scatter, Scope::Whole, HeatOf::Fast);
                answers.of(Failure::Walls, p + 1).map_or(Verdict::NotKnown, |answer| answer.verdict)
            }
            (Some(moved), _) => answers(&moved, limits, scatter, Scope::Root, HeatOf::Fast).verdict(),
        };
        match out.last_mut() {
            Some(last) if last.verdict == verdict => last.to_si = from_si + width,
            _ => out.push(Reach { from_si, to_si: from_si + width, verdict }),
        }
    }
    out
}
