//! The thousand coupons that are drawn, always the same thousand: what each has of
//! every input, and how that adds up to its margins.

use std::sync::{LazyLock, OnceLock};

use crate::sensitivity::{ALONG, NUDGES};

/// Coupons drawn: one standard error is 1.3 percent at a chance of 80 percent.
pub const DRAWS: usize = 1000;
/// Most stretches of one joint, which bounds the work on a long one (choice).
pub(crate) const STRETCHES_MAX: usize = 64;
/// Seed of the draws; any other moves a chance by its standard error.
const SEED: u64 = 1;

/// What is known of one input for the whole coupon: where it lies and how far it
/// still scatters, in its own standard deviations.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Known {
    pub nudge: usize,
    pub at: f64,
    pub width: f64,
}

/// One number of every draw.
pub(crate) type Column = Box<[f64; DRAWS]>;
/// The widest arithmetic of this machine; the sums are the same to the last bit.
static ARCH: LazyLock<pulp::Arch> = LazyLock::new(pulp::Arch::new);

/// One answer in one stretch of every draw: what varies along the joint is added to
/// what the draw has in common, and the least kept.
pub(crate) struct Along<'a> {
    pub common: &'a [f64; DRAWS],
    /// Changes for one deviation down and up.
    pub moves: [[f64; 2]; ALONG],
    pub off: &'a [&'a Sided; ALONG],
}

impl Along<'_> {
    pub fn take_into(&self, least: &mut [f64; DRAWS]) {
        ARCH.dispatch(|| self.take_in_one_go(least));
    }

    #[inline(always)]
    fn take_in_one_go(&self, all: &mut [f64; DRAWS]) {
        let [a, b, c] = self.off.map(|off| (&*off.down, &*off.up));
        let [ma, mb, mc] = self.moves;
        for (draw, least) in all.iter_mut().enumerate() {
            let part =
                |m: [f64; 2], off: (&[f64; DRAWS], &[f64; DRAWS])| m[0] * off.0[draw] + m[1] * off.1[draw];
            let margin = self.common[draw] + part(ma, a) + part(mb, b) + part(mc, c);
            *least = if margin < *least { margin } else { *least };
        }
    }
}

/// One input added to one answer of every draw.
pub(crate) struct Common<'a> {
    pub moves: [f64; 2],
    pub off: &'a Sided,
}

impl Common<'_> {
    pub fn add_to(&self, margins: &mut [f64; DRAWS]) {
        ARCH.dispatch(|| self.add_in_one_go(margins));
    }

    #[inline(always)]
    fn add_in_one_go(&self, margins: &mut [f64; DRAWS]) {
        let (down, up) = (&*self.off.down, &*self.off.up);
        for draw in 0..DRAWS {
            margins[draw] += self.moves[0] * down[draw] + self.moves[1] * up[draw];
        }
    }
}

/// One input in every draw, in its deviations: how far above, and how far below;
/// one of the two is zero.
pub(crate) struct Sided {
    down: Column,
    up: Column,
}

impl Sided {
    pub fn of(deviations: &[f64; DRAWS]) -> Self {
        Self {
            up: Box::new(deviations.map(|z| z.max(0.0))),
            down: Box::new(deviations.map(|z| (-z).max(0.0))),
        }
    }

    /// In one stretch, where what the whole coupon has of it is known better.
    pub fn along(nudge: usize, stretch: usize, known: Known) -> Self {
        Self::of(&with_own(&WHOLE[nudge].knowing(known), stretch, nudge))
    }
}

/// What every draw has of one input for the whole coupon.
pub(crate) struct Whole {
    deviations: Column,
    pub sided: Sided,
}

impl Whole {
    pub fn knowing(&self, known: Known) -> Column {
        Box::new(self.deviations.map(|z| known.at + known.width * z))
    }
}

pub(crate) static WHOLE: LazyLock<[Whole; NUDGES]> = LazyLock::new(|| {
    std::array::from_fn(|nudge| {
        let deviations = drawn_numbers(0, nudge);
        Whole { sided: Sided::of(&deviations), deviations }
    })
});

/// What varies along the joint, in one stretch of every draw.
pub(crate) fn along(stretch: usize) -> &'static [Sided; ALONG] {
    static STRETCHES: [OnceLock<[Sided; ALONG]>; STRETCHES_MAX] = [const { OnceLock::new() }; STRETCHES_MAX];
    STRETCHES[stretch].get_or_init(|| {
        std::array::from_fn(|nudge| Sided::of(&with_own(&WHOLE[nudge].deviations, stretch, nudge)))
    })
}

/// The whole coupon's part with that of one stretch.
fn with_own(whole: &[f64; DRAWS], stretch: usize, nudge: usize) -> Column {
    let own = drawn_numbers(stretch as u32 + 1, nudge);
    Box::new(std::array::from_fn(|draw| SHARED * (whole[draw] + own[draw])))
}

/// Half of the variance is the whole coupon's (choice: a land filed a little
/// thick is thick all along, an opening tapers, a hand that is fast stays fast; no
/// measurement), so either part has the root of a half.
pub(crate) const SHARED: f64 = std::f64::consts::FRAC_1_SQRT_2;

/// Number `index` of every draw, for the whole coupon at 0 and for one stretch of
/// it above.
fn drawn_numbers(stretch: u32, index: usize) -> Column {
    Box::new(std::array::from_fn(|draw| Stream::new(SEED, draw as u32, stretch).normal(index as u32)))
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
