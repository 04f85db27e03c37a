//! Where along one input the coupon holds: the hatching on the rule.

use bendproof_weld::{Coupon, Travel};

use crate::closed_form::ClosedForm;
use crate::forecast::{Limits, forecast_verdict};
use crate::item::Verdict;

/// One input that can be swept.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Knob {
    /// Root opening.
    RootOpening,
    /// Both lands.
    RootFace,
    /// Mismatch.
    Mismatch,
    /// Volts of a pass, counted from 0.
    Volts(usize),
    /// Wire feed of a pass, counted from 0.
    WireFeed(usize),
    /// Travel of a pass, counted from 0.
    Travel(usize),
}

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
    knob: Knob,
    (min_si, max_si): (f64, f64),
    steps: usize,
) -> Vec<Reach> {
    let width = (max_si - min_si) / steps.max(1) as f64;
    let mut out: Vec<Reach> = Vec::new();
    for i in 0..steps.max(1) {
        let from_si = min_si + width * i as f64;
        let mut moved = coupon.clone();
        set(&mut moved, knob, from_si + 0.5 * width);
        let verdict = match knob {
            Knob::Volts(p) | Knob::WireFeed(p) | Knob::Travel(p) if p > 0 => {
                forecast_verdict::pass(&moved, p, &ClosedForm)
            }
            _ => forecast_verdict::root(&moved, limits),
        };
        match out.last_mut() {
            Some(last) if last.verdict == verdict => last.to_si = from_si + width,
            _ => out.push(Reach { from_si, to_si: from_si + width, verdict }),
        }
    }
    out
}

fn set(coupon: &mut Coupon, knob: Knob, si: f64) {
    let joint = &mut coupon.fit.joint;
    match knob {
        Knob::RootOpening => joint.root_opening_m = si,
        Knob::RootFace => {
            // Uneven lands stay uneven: both move together.
            let moved = si - joint.root_face_left_m;
            joint.root_face_left_m = si;
            joint.root_face_right_m = (joint.root_face_right_m + moved).max(0.0);
        }
        Knob::Mismatch => joint.mismatch_m = si,
        Knob::Volts(p) => with_pass(coupon, p, |pass| pass.volts = si),
        Knob::WireFeed(p) => with_pass(coupon, p, |pass| pass.wire_feed_m_s = si),
        Knob::Travel(p) => with_pass(coupon, p, |pass| pass.travel = Travel::Speed(si)),
    }
}

fn with_pass(coupon: &mut Coupon, index: usize, change: impl FnOnce(&mut bendproof_weld::Pass)) {
    if let Some(pass) = coupon.passes.get_mut(index) {
        change(pass);
    }
}
