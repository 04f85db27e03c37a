//! The chance that the root holds along the whole joint: the one number of a
//! coupon, and the words that follow from it.
//!
//! A thousand coupons are drawn, always the same thousand. What the hand does
//! along the joint (opening, land, travel) is drawn half for the whole coupon and
//! half anew for every inch; machine settings and what the model has wrong are
//! drawn once for the whole coupon and shared by all answers and places. A coupon
//! holds when both edges are melted, nothing drops out and the puddle stays
//! behind the arc in every inch of it. Root height is not asked: it reads about a
//! millimeter low. Starts, stops, tacks and heat build-up are not in it.

use std::sync::{LazyLock, OnceLock};

use crate::answers::Failure;
use crate::forecast::Scatter;
use crate::item::{Verdict, clearance_between};
use crate::melt_back::{FIT_SCATTER_M, MELT_BACK_SCATTER_M, SOLVED_SCATTER_M};
use crate::root::{RootInput, Station};
use crate::sensitivity::{ALONG, HEAT, NUDGES, Response, responses};

/// Length along the joint over which the hand stays the same, m: 1 in. Choice:
/// about the distance between two looks at the puddle; no measurement.
pub const STRETCH_M: f64 = 0.0254;
/// Most stretches of one joint, which bounds the work on a long one (choice).
const STRETCHES_MAX: usize = 64;
/// Coupons drawn: one standard error is 1.3 percent at a chance of 80 percent.
pub const DRAWS: usize = 1000;
/// Draws that must hold for "should hold", and under which it "is likely to
/// fail": 4 in 5 and 1 in 5 (choice).
const HOLDING: usize = DRAWS * 4 / 5;
const FAILING: usize = DRAWS / 5;
/// Seed of the draws; any other moves a chance by its standard error.
const SEED: u64 = 1;
/// Standard deviations on either side that hold nine of ten.
const NINE_IN_TEN: f64 = 1.645;

/// The root's answers that decide, in the order of the draws.
pub(crate) const ASKED: [Failure; 4] =
    [Failure::LeftEdge, Failure::RightEdge, Failure::BurnThrough, Failure::Outrun];

/// The chance of one coupon's root.
#[derive(Debug, Clone, PartialEq)]
pub struct Chance {
    /// Share of coupons whose root holds in every stretch: the chance.
    pub along: f64,
    /// The word that follows from it.
    pub verdict: Verdict,
    /// Between what it lies in nine of ten cases: for a fast answer, until the
    /// beads are solved; for a solved one, by the number of draws.
    pub range: [f64; 2],
    /// Whether solved beads stand behind it.
    pub is_solved: bool,
    /// Share of single stretches that hold.
    pub place: f64,
    /// Share of coupons in which each answer alone holds in every stretch.
    pub each: Vec<(Failure, f64)>,
    /// What comes first in coupons that do not hold, as shares of all draws.
    pub first: Vec<(Failure, f64)>,
    /// One standard error of `along` from the number of draws alone.
    pub standard_error: f64,
    /// Independent stretches of the joint.
    pub stretches: usize,
}

/// What the draws of one root say, bare.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Drawn {
    pub along: f64,
    pub place: f64,
    /// 1 or more: the word is "should hold"; -1 or less: "likely to fail".
    pub clearance: f64,
    /// Chance and clearance of each answer alone.
    pub each: [(f64, f64); ASKED.len()],
    first: [usize; ASKED.len()],
}

/// A root with all that draws need.
pub(crate) struct Drawing {
    /// At every place of the joint by itself, and last at all of them.
    responses: Vec<Response>,
    /// The place of each stretch.
    places: Vec<usize>,
    is_solved: bool,
}

/// Where the error of the heat model lies and how wide it is, in its own
/// standard deviations.
#[derive(Clone, Copy)]
struct Heat {
    at: f64,
    width: f64,
}

impl Drawing {
    pub fn of(x: &RootInput, scatter: &Scatter, length_m: f64) -> Self {
        let alone = x.stations.iter().map(|station| vec![station.clone()]);
        let sets: Vec<Vec<Station>> = alone.chain([x.stations.clone()]).collect();
        let stretches = ((length_m / STRETCH_M).ceil() as usize).clamp(1, STRETCHES_MAX);
        Self {
            responses: responses(x, scatter, &sets),
            places: places(x.stations.len(), stretches),
            is_solved: x.is_solved(),
        }
    }

    /// The response judged at the worst place of the joint.
    pub fn whole(&self) -> &Response {
        &self.responses[self.responses.len() - 1]
    }

    /// Draws the coupons.
    pub fn drawn(&self) -> Drawn {
        self.drawn_with(Heat { at: 0.0, width: 1.0 })
    }

    fn drawn_with(&self, heat: Heat) -> Drawn {
        // What a draw has in common at one place of the joint is added up once.
        let common: Vec<Vec<[f64; ASKED.len()]>> =
            self.responses.iter().map(|response| common_margins(response, heat)).collect();
        let mut least = vec![[f64::INFINITY; ASKED.len()]; DRAWS];
        let mut held = 0usize;
        for (stretch, place) in self.places.iter().enumerate() {
            let response = &self.responses[*place];
            let draws = common[*place].iter().zip(&*WHOLE).zip(own(stretch));
            for (least, ((common, whole), own)) in least.iter_mut().zip(draws) {
                let margins = margins(response, common, whole, own);
                held += usize::from(margins.iter().all(|m| *m > 0.0));
                least.iter_mut().zip(margins).for_each(|(least, m)| *least = least.min(m));
            }
        }
        let scale: [f64; ASKED.len()] = std::array::from_fn(|i| self.whole().spread(i).sigma.max(TINY));
        Drawn::counted(least, scale, held as f64 / (DRAWS * self.places.len()) as f64)
    }

    /// The chance with what it may still be.
    pub fn told(&self, drawn: &Drawn) -> Chance {
        let share = |count: usize| count as f64 / DRAWS as f64;
        let standard_error = (drawn.along * (1.0 - drawn.along) / DRAWS as f64).sqrt();
        let noise = NINE_IN_TEN * standard_error;
        let at = |sign: f64| {
            let heat = Heat {
                at: sign * NINE_IN_TEN * FIT_SCATTER_M / MELT_BACK_SCATTER_M,
                width: SOLVED_SCATTER_M / MELT_BACK_SCATTER_M,
            };
            if self.is_solved { drawn.along } else { self.drawn_with(heat).along }
        };
        let ends = [at(-1.0), drawn.along, at(1.0)];
        let range =
            [ends.into_iter().fold(1.0, f64::min) - noise, ends.into_iter().fold(0.0, f64::max) + noise];
        Chance {
            along: drawn.along,
            verdict: Verdict::from_clearance(drawn.clearance),
            range: range.map(|end| end.clamp(0.0, 1.0)),
            is_solved: self.is_solved,
            place: drawn.place,
            each: ASKED.into_iter().zip(drawn.each.map(|(chance, _)| chance)).collect(),
            first: ASKED.into_iter().zip(drawn.first.map(share)).filter(|(_, s)| *s > 0.0).collect(),
            standard_error,
            stretches: self.places.len(),
        }
    }
}

/// Keeps a division by a scatter of nothing finite.
const TINY: f64 = 1e-12;

/// The place of each stretch: on a fixed pipe down one side and up the other.
fn places(stations: usize, stretches: usize) -> Vec<usize> {
    let last = stations.saturating_sub(1) as f64;
    let place = |i: usize| {
        let turn = (i as f64 + 0.5) / stretches as f64;
        ((1.0 - (2.0 * turn - 1.0).abs()) * last).round() as usize
    };
    (0..stretches).map(place).collect()
}

/// The margins of every draw at one place, before what varies along the joint.
fn common_margins(response: &Response, heat: Heat) -> Vec<[f64; ASKED.len()]> {
    let of = |whole: &[f64; NUDGES]| {
        let mut margins = std::array::from_fn(|i| response.base[i]);
        for (n, common) in whole.iter().enumerate().skip(ALONG) {
            let off = if n == HEAT { heat.at + heat.width * common } else { *common };
            response.step(n, off, &mut margins);
        }
        margins
    };
    WHOLE.iter().map(of).collect()
}

/// The margins of one stretch of one draw.
fn margins(
    response: &Response,
    common: &[f64; ASKED.len()],
    whole: &[f64; NUDGES],
    own: &[f64; ALONG],
) -> [f64; ASKED.len()] {
    // Half of the variance is the whole coupon's (choice: a land filed a little
    // thick is thick all along, an opening tapers, a hand that is fast stays
    // fast; no measurement), so either part has the root of a half.
    const SHARED: f64 = std::f64::consts::FRAC_1_SQRT_2;
    let mut margins = *common;
    for n in 0..ALONG {
        response.step(n, SHARED * (whole[n] + own[n]), &mut margins);
    }
    margins
}

impl Drawn {
    fn counted(least: Vec<[f64; ASKED.len()]>, scale: [f64; ASKED.len()], place: f64) -> Self {
        let of = |pick: &dyn Fn(&[f64; ASKED.len()]) -> f64| {
            let mut values: Vec<f64> = least.iter().map(pick).collect();
            let held = values.iter().filter(|m| **m > 0.0).count();
            // The draws that decide the words: with the first above zero it
            // holds, with the second at or below it is likely to fail.
            let (_, high, _) = values.select_nth_unstable_by(DRAWS - FAILING - 1, f64::total_cmp);
            let high = *high;
            let (_, low, _) = values.select_nth_unstable_by(DRAWS - HOLDING, f64::total_cmp);
            let clearance = clearance_between(*low, high);
            (held as f64 / DRAWS as f64, clearance)
        };
        let worst = |margins: &[f64; ASKED.len()]| -> (usize, f64) {
            let scaled = margins.iter().zip(scale).map(|(m, s)| m / s).enumerate();
            scaled.min_by(|a, b| a.1.total_cmp(&b.1)).unwrap_or((0, f64::INFINITY))
        };
        let mut first = [0; ASKED.len()];
        for (which, margin) in least.iter().map(worst) {
            first[which] += usize::from(margin <= 0.0);
        }
        let (along, clearance) = of(&|margins| worst(margins).1);
        let each = std::array::from_fn(|i| of(&|margins: &[f64; ASKED.len()]| margins[i]));
        Self { along, place, clearance, each, first }
    }
}

/// What every draw has for the whole coupon.
static WHOLE: LazyLock<Vec<[f64; NUDGES]>> = LazyLock::new(|| drawn_numbers(0));

/// What every draw has for one stretch of its own.
fn own(stretch: usize) -> &'static [[f64; ALONG]] {
    static OWN: [OnceLock<Vec<[f64; ALONG]>>; STRETCHES_MAX] = [const { OnceLock::new() }; STRETCHES_MAX];
    OWN[stretch].get_or_init(|| drawn_numbers(stretch as u32 + 1))
}

fn drawn_numbers<const N: usize>(stretch: u32) -> Vec<[f64; N]> {
    let one = |draw: u32| {
        let stream = Stream::new(SEED, draw, stretch);
        std::array::from_fn(|index| stream.normal(index as u32))
    };
    (0..DRAWS as u32).map(one).collect()
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
