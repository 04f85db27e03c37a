//! The chance that the root holds along the whole coupon, by drawing many
//! coupons under hand scatter.
//!
//! What the hand does (opening, land, travel, wire, volts) is drawn anew in
//! every stretch of the joint; what the model or the machine has wrong is drawn
//! once for the whole coupon. Starts, stops, tacks and heat build-up are not in it.

use bendproof_weld::Coupon;

use crate::answers::{Answer, Failure};
use crate::forecast::{Limits, Scatter, forecast_verdict, root_input};
use crate::passes::{Resolved, resolve};
use crate::root::{RootInput, root_state};
use crate::sensitivity::{Nudge, nudges};

/// Length along the joint over which the hand stays the same, m: 1 in. Choice:
/// about the distance between two looks at the puddle; no measurement. Half of
/// it doubles the number of stretches that must all hold.
pub const STRETCH_M: f64 = 0.0254;
/// Most stretches of one joint, which bounds the work on a long one (choice).
const STRETCHES_MAX: usize = 64;
/// Most draws of one question, to bound its time (choice).
pub const DRAWS_MAX: u32 = 1_000_000;

/// What the draws say.
#[derive(Debug, Clone, PartialEq)]
pub struct Chance {
    /// Share of places that hold: least and greatest. They differ by the draws
    /// that left the range in which the model was checked, which count as lost
    /// in the first and as held in the second.
    pub place: [f64; 2],
    /// Share of coupons whose root holds in every stretch, least and greatest.
    pub along: [f64; 2],
    /// One standard error of `along` from the number of draws alone.
    pub standard_error: f64,
    /// What comes first in coupons that do not hold, as shares of all draws.
    pub first: Vec<(Failure, f64)>,
    /// Coupons drawn.
    pub draws: u32,
    /// Independent stretches of the joint.
    pub stretches: usize,
}

/// Draws `draws` coupons and counts those whose root holds along the whole joint.
///
/// The same `seed` gives the same answer on every machine. An answer holds when
/// its margin is above zero.
///
/// # Errors
/// Says in words why the root is not known for the coupon as planned.
pub fn chance_along(
    coupon: &Coupon,
    limits: &Limits,
    scatter: &Scatter,
    draws: u32,
    seed: u64,
) -> Result<Chance, String> {
    let passes: Vec<Resolved> =
        coupon.passes.first().map(|p| resolve(&coupon.settings, p)).into_iter().collect();
    let input = root_input(coupon, &passes)?;
    let draws = draws.clamp(1, DRAWS_MAX);
    let stretches = ((coupon.fit.joint_length_m() / STRETCH_M).ceil() as usize).clamp(1, STRETCHES_MAX);
    let drawing =
        Drawing { limits, nudges: nudges(&input, scatter), stretches: along(&input, stretches), seed };
    let mut count = Count::default();
    for draw in 0..draws {
        count.add(&drawing.coupon(draw));
    }
    Ok(count.told(draws, stretches))
}

/// The root input of each stretch: on a fixed pipe each lies at its own clock
/// place, down one side and up the other.
fn along(input: &RootInput, stretches: usize) -> Vec<RootInput> {
    let last = input.stations.len().saturating_sub(1);
    (0..stretches)
        .map(|i| {
            let turn = (i as f64 + 0.5) / stretches as f64;
            let down = 1.0 - (2.0 * turn - 1.0).abs();
            let place = (down * last as f64).round() as usize;
            let stations = input.stations.get(place).cloned().into_iter().collect();
            RootInput { stations, ..input.clone() }
        })
        .collect()
}

struct Drawing<'a> {
    limits: &'a Limits,
    nudges: Vec<Nudge>,
    stretches: Vec<RootInput>,
    seed: u64,
}

/// One stretch of one draw.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Held {
    Yes,
    /// Outside the range in which the model was checked.
    Unchecked,
    /// What comes first, with its clearance.
    No(Failure, f64),
}

impl Drawing<'_> {
    fn coupon(&self, draw: u32) -> Vec<Held> {
        let whole = Stream::new(self.seed, draw, 0);
        (0u32..).zip(&self.stretches).map(|(i, x)| self.stretch(x, &whole, draw, i + 1)).collect()
    }

    fn stretch(&self, x: &RootInput, whole: &Stream, draw: u32, stretch: u32) -> Held {
        let own = Stream::new(self.seed, draw, stretch);
        let mut moved = x.clone();
        for (index, nudge) in (0u32..).zip(&self.nudges) {
            let stream = if nudge.in_hand { &own } else { whole };
            (nudge.apply)(&mut moved, nudge.sigma * stream.normal(index));
        }
        if moved.outside_box().is_some() {
            return Held::Unchecked;
        }
        forecast_verdict::root_answers(&root_state(&moved), self.limits)
            .iter()
            .filter_map(|answer| Some((answer.failure, self.erred(answer, whole)?)))
            .filter(|(_, clearance)| *clearance <= 0.0)
            .min_by(|a, b| a.1.total_cmp(&b.1))
            .map_or(Held::Yes, |(failure, clearance)| Held::No(failure, clearance))
    }

    /// Clearance with the model's own error in it; both edges err together.
    fn erred(&self, answer: &Answer, whole: &Stream) -> Option<f64> {
        let kind = match answer.failure {
            Failure::LeftEdge => Failure::RightEdge,
            other => other,
        };
        let index = self.nudges.len() as u32 + kind as u32;
        let margin = answer.margin? + answer.model_sigma * whole.normal(index);
        Answer { margin: Some(margin), ..answer.clone() }.clearance()
    }
}

#[derive(Default)]
struct Count {
    places: [u64; 2],
    coupons: [u32; 2],
    first: std::collections::BTreeMap<Failure, u32>,
}

impl Count {
    fn add(&mut self, stretches: &[Held]) {
        let yes = stretches.iter().filter(|h| **h == Held::Yes).count() as u64;
        let unchecked = stretches.iter().filter(|h| **h == Held::Unchecked).count() as u64;
        self.places[0] += yes;
        self.places[1] += yes + unchecked;
        let worst = stretches
            .iter()
            .filter_map(|h| if let Held::No(failure, c) = h { Some((*failure, *c)) } else { None })
            .min_by(|a, b| a.1.total_cmp(&b.1));
        match worst {
            Some((failure, _)) => *self.first.entry(failure).or_default() += 1,
            None => {
                self.coupons[0] += u32::from(unchecked == 0);
                self.coupons[1] += 1;
            }
        }
    }

    fn told(self, draws: u32, stretches: usize) -> Chance {
        let n = f64::from(draws);
        let along = self.coupons.map(|c| f64::from(c) / n);
        let spread = along.map(|p| (p * (1.0 - p) / n).sqrt());
        Chance {
            place: self.places.map(|c| c as f64 / (n * stretches as f64)),
            along,
            standard_error: spread[0].max(spread[1]),
            first: self.first.into_iter().map(|(f, c)| (f, f64::from(c) / n)).collect(),
            draws,
            stretches,
        }
    }
}

/// Standard normal numbers by place instead of by turn: the same for the same
/// seed, draw and stretch, whatever was asked before.
struct Stream {
    state: u64,
}

impl Stream {
    fn new(seed: u64, draw: u32, stretch: u32) -> Self {
        Self { state: mixed(mixed(seed) ^ (u64::from(draw) << 32 | u64::from(stretch))) }
    }

    /// Number `index`, by the Box-Muller transform of two uniform numbers.
    fn normal(&self, index: u32) -> f64 {
        let word = |k: u64| mixed(self.state.wrapping_add(STRIDE.wrapping_mul(2 * u64::from(index) + k)));
        // 53 bits, moved off zero so that the logarithm stays finite.
        let uniform = |w: u64| ((w >> 11) as f64 + 0.5) / (1u64 << 53) as f64;
        let (a, b) = (uniform(word(0)), uniform(word(1)));
        (-2.0 * libm::log(a)).sqrt() * libm::cos(std::f64::consts::TAU * b)
    }
}

/// Odd stride near the golden share of 2^64, as the finaliser below was made for.
const STRIDE: u64 = 0x9E37_79B9_7F4A_7C15;

/// The 64-bit finaliser known as SplitMix64 (Steele, Lea and Flood 2014; from
/// memory): spreads neighbouring inputs over all bits.
fn mixed(z: u64) -> u64 {
    let z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    let z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    z ^ (z >> 31)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_numbers_are_standard_normal_and_do_not_follow_each_other() {
        const N: u32 = 40_000;
        let draws: Vec<f64> = (0..N).map(|d| Stream::new(7, d, 3).normal(2)).collect();
        let n = f64::from(N);
        let mean = draws.iter().sum::<f64>() / n;
        let square = draws.iter().map(|z| z * z).sum::<f64>() / n;
        let next = draws.windows(2).map(|p| p[0] * p[1]).sum::<f64>() / n;
        let beyond = draws.iter().filter(|z| z.abs() > 1.959_963_985).count() as f64 / n;
        // Four standard errors of each estimate: 1, sqrt 2, 1 and 0.22 over sqrt N.
        let four = 4.0 / n.sqrt();
        assert!(mean.abs() < four, "mean {mean}");
        assert!((square - 1.0).abs() < four * std::f64::consts::SQRT_2, "square {square}");
        assert!(next.abs() < four, "neighbours {next}");
        assert!((beyond - 0.05).abs() < four * 0.22, "beyond {beyond}");
    }

    #[test]
    fn a_number_belongs_to_its_place() {
        let at = |seed, draw, stretch, index| Stream::new(seed, draw, stretch).normal(index);
        assert_eq!(at(1, 2, 3, 4), at(1, 2, 3, 4));
        for other in [at(2, 2, 3, 4), at(1, 3, 3, 4), at(1, 2, 4, 4), at(1, 2, 3, 5)] {
            assert_ne!(at(1, 2, 3, 4), other);
        }
    }
}
