//! The chance that the root holds along the whole joint: the one number of a
//! coupon, and the words that follow from it.
//!
//! A thousand coupons are drawn, always the same thousand. What the hand does
//! along the joint (opening, land, travel) is drawn half for the whole coupon and
//! half drawn again for every inch; machine settings and what the model has wrong are
//! drawn once for the whole coupon and shared by all answers and places. A coupon
//! holds when both edges are melted, nothing drops out and the puddle stays
//! behind the arc in every inch of it. Root height is not asked: it reads about a
//! millimeter low. Starts, stops, tacks and heat build-up are not in it.

use std::ops::Range;

use crate::answers::Failure;
use crate::draws::{Along, Column, Common, DRAWS, Known, STRETCHES_MAX, Sided, WHOLE, along};
use crate::forecast::Scatter;
use crate::item::{Verdict, clearance_between};
use crate::melt_back::{FIT_SCATTER_M, MELT_BACK_SCATTER_M, SOLVED_SCATTER_M};
use crate::root::{RootInput, Station};
use crate::sensitivity::{ALONG, HEAT, Response, responses};

/// Length along the joint over which the hand stays the same, m: 1 in. Choice:
/// about the distance between two looks at the puddle; no measurement.
pub const STRETCH_M: f64 = 0.0254;
/// Draws that must hold for "should hold", and under which it "is likely to
/// fail": 4 in 5 and 1 in 5 (choice).
const HOLDING: usize = DRAWS * 4 / 5;
const FAILING: usize = DRAWS / 5;
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

/// What the words of a root follow from. A clearance of 1 or more is "should
/// hold", one of -1 or less "likely to fail".
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Clear {
    /// The chance over the whole joint.
    pub along: f64,
    /// How clear of the line the root is as a whole.
    pub whole: f64,
    /// Each answer alone, in the order of [`ASKED`].
    pub each: [f64; ASKED.len()],
}

/// A root with all that draws need.
pub(crate) struct Drawing {
    /// At every place of the joint by itself; where there are several, last at
    /// all of them.
    responses: Vec<Response>,
    /// The place of each stretch.
    places: Vec<usize>,
    is_solved: bool,
    /// Whether both edges are one and the same in every draw.
    is_even: bool,
}

impl Drawing {
    pub fn of(x: &RootInput, scatter: &Scatter, length_m: f64) -> Self {
        let alone = x.stations.iter().map(|station| vec![station.clone()]);
        let together = (x.stations.len() > 1).then(|| x.stations.clone());
        let sets: Vec<Vec<Station>> = alone.chain(together).collect();
        let stretches = ((length_m / STRETCH_M).ceil() as usize).clamp(1, STRETCHES_MAX);
        let responses = responses(x, scatter, &sets);
        Self {
            is_even: responses.iter().all(Response::is_even),
            responses,
            places: places(x.stations.len(), stretches),
            is_solved: x.is_solved(),
        }
    }

    /// The response judged at the worst place of the joint.
    pub fn whole(&self) -> &Response {
        &self.responses[self.responses.len() - 1]
    }

    /// What the words follow from, drawn.
    pub fn clear(&self) -> Clear {
        let mut least = self.least(None);
        let mut worst = worst(&least, self.scale());
        Clear {
            along: share_held(&*worst),
            whole: clearance(&mut *worst),
            each: self.by_answer(|answer| clearance(&mut *least[answer])),
        }
    }

    /// The chance, as planned or once one input is known better.
    pub fn chance(&self, known: Option<Known>) -> f64 {
        share_of_all(&self.least(known))
    }

    /// The least margins of every draw over its stretches.
    fn least(&self, known: Option<Known>) -> Margins {
        self.least_in(0..self.places.len(), &self.common(known), known)
    }

    /// What every draw has in common at each place of the joint, added up once.
    fn common(&self, known: Option<Known>) -> Vec<Margins> {
        let last = self.places.iter().max().map_or(0, |place| place + 1);
        let of = |response| common_margins(response, &self.asked().collect::<Vec<_>>(), known);
        self.responses[..last].iter().map(of).collect()
    }

    fn least_in(&self, stretches: Range<usize>, common: &[Margins], known: Option<Known>) -> Margins {
        let mut least: Margins = std::array::from_fn(|_| Box::new([f64::INFINITY; DRAWS]));
        for stretch in stretches {
            let (place, known) = (self.places[stretch], known.filter(|known| known.nudge < ALONG));
            let better = known.map(|known| (known.nudge, Sided::along(known.nudge, stretch, known)));
            let off = along(stretch).each_ref();
            let off = std::array::from_fn(|nudge| match &better {
                Some((of, better)) if *of == nudge => better,
                _ => off[nudge],
            });
            self.take(place, &common[place], &off, &mut least);
        }
        if self.is_even {
            least[1] = least[0].clone();
        }
        least
    }

    /// The answers worked out; even edges are one.
    fn asked(&self) -> impl Iterator<Item = usize> {
        (0..ASKED.len()).filter(|answer| !(self.is_even && *answer == 1))
    }

    /// Takes the margins of one stretch into the least ones.
    fn take(&self, place: usize, common: &Margins, off: &[&Sided; ALONG], least: &mut Margins) {
        let moves = &self.responses[place].moves;
        for answer in self.asked() {
            let moves = std::array::from_fn(|n| moves[n].map(|end| end[answer]));
            Along { common: &common[answer], moves, off }.take_into(&mut least[answer]);
        }
    }

    /// One standard deviation of each answer, in which the worst is picked.
    fn scale(&self) -> [f64; ASKED.len()] {
        std::array::from_fn(|answer| self.whole().spread(answer).sigma.max(TINY))
    }

    /// Asks once for both edges where they are one.
    fn by_answer<T: Clone>(&self, mut ask: impl FnMut(usize) -> T) -> [T; ASKED.len()] {
        let left = ask(0);
        std::array::from_fn(|answer| match answer {
            0 => left.clone(),
            1 if self.is_even => left.clone(),
            _ => ask(answer),
        })
    }

    /// The chance with all that is said of it.
    pub fn chance_of(&self, clear: &Clear) -> Chance {
        let common = self.common(None);
        let stretches = self.places.len();
        let held = |stretch| share_of_all(&self.least_in(stretch..stretch + 1, &common, None));
        let least = self.least_in(0..stretches, &common, None);
        let (scale, mut first) = (self.scale(), [0.0; ASKED.len()]);
        let in_scale = |answer: usize, draw: usize| least[answer][draw] / scale[answer];
        let by_margin = |draw, a: &usize, b: &usize| in_scale(*a, draw).total_cmp(&in_scale(*b, draw));
        let worst = |draw| (0..ASKED.len()).min_by(|a, b| by_margin(draw, a, b)).unwrap_or(0);
        let of_draws = (0..DRAWS).map(|draw| (worst(draw), draw));
        for (worst, _) in of_draws.filter(|(worst, draw)| least[*worst][*draw] <= 0.0) {
            first[worst] += 1.0 / DRAWS as f64;
        }
        Chance {
            along: clear.along,
            verdict: Verdict::from_clearance(clear.whole),
            range: self.range(clear.along),
            is_solved: self.is_solved,
            place: (0..stretches).map(held).sum::<f64>() / stretches as f64,
            each: ASKED.into_iter().zip(least.each_ref().map(|margins| share_held(&**margins))).collect(),
            first: ASKED.into_iter().zip(first).filter(|(_, share)| *share > 0.0).collect(),
            standard_error: standard_error(clear.along),
            stretches,
        }
    }

    /// Between what the chance lies in nine of ten cases.
    fn range(&self, along: f64) -> [f64; 2] {
        let noise = NINE_IN_TEN * standard_error(along);
        let at = |sign: f64| {
            let heat = Known {
                nudge: HEAT,
                at: sign * NINE_IN_TEN * FIT_SCATTER_M / MELT_BACK_SCATTER_M,
                width: SOLVED_SCATTER_M / MELT_BACK_SCATTER_M,
            };
            if self.is_solved { along } else { self.chance(Some(heat)) }
        };
        let ends = [at(-1.0), along, at(1.0)];
        let [low, high] =
            [ends.into_iter().fold(1.0, f64::min) - noise, ends.into_iter().fold(0.0, f64::max) + noise];
        [low, high].map(|end| end.clamp(0.0, 1.0))
    }
}

/// One standard error of a chance from the number of draws alone.
fn standard_error(chance: f64) -> f64 {
    (chance * (1.0 - chance) / DRAWS as f64).sqrt()
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

/// The margin of every draw, by answer.
type Margins = [Column; ASKED.len()];

/// The margins of every draw at one place, before what varies along the joint.
fn common_margins(response: &Response, asked: &[usize], known: Option<Known>) -> Margins {
    let mut margins: Margins = std::array::from_fn(|i| Box::new([response.base[i]; DRAWS]));
    for (nudge, whole) in WHOLE.iter().enumerate().skip(ALONG) {
        match known.filter(|known| known.nudge == nudge) {
            None => add(response, nudge, &whole.sided, asked, &mut margins),
            Some(known) => add(response, nudge, &Sided::of(&whole.knowing(known)), asked, &mut margins),
        }
    }
    margins
}

/// Adds what one input changes of the margins of every draw.
fn add(response: &Response, nudge: usize, off: &Sided, asked: &[usize], margins: &mut Margins) {
    for answer in asked {
        let moves = response.moves[nudge].map(|end| end[*answer]);
        // Many inputs move one answer and leave the others.
        if moves != [0.0, 0.0] {
            Common { moves, off }.add_to(&mut margins[*answer]);
        }
    }
}

/// The margin of the worst answer of every draw, in its own scatter.
fn worst(least: &Margins, scale: [f64; ASKED.len()]) -> Column {
    let mut worst: Column = Box::new([f64::INFINITY; DRAWS]);
    for (margins, scale) in least.iter().zip(scale) {
        let in_scale = margins.iter().map(|margin| margin / scale);
        worst.iter_mut().zip(in_scale).for_each(|(worst, margin)| *worst = worst.min(margin));
    }
    worst
}

/// Share of draws in which every answer holds.
fn share_of_all(margins: &Margins) -> f64 {
    let holds = |draw: &usize| margins.iter().all(|margins| margins[*draw] > 0.0);
    (0..DRAWS).filter(holds).count() as f64 / DRAWS as f64
}

/// Share of draws that hold.
fn share_held(margins: &[f64]) -> f64 {
    margins.iter().filter(|margin| **margin > 0.0).count() as f64 / DRAWS as f64
}

/// The word of a share of draws that hold, by the same draws as `clearance`.
pub(crate) fn word(chance: f64) -> Verdict {
    match (chance * DRAWS as f64).round() as usize {
        held if held >= HOLDING => Verdict::Holds,
        held if held <= FAILING => Verdict::Fails,
        _ => Verdict::Marginal,
    }
}

/// How clear of the line these draws are; sorts them in part.
fn clearance(margins: &mut [f64]) -> f64 {
    // The draws that decide the words: with the first above zero it holds, with
    // the second at or below it is likely to fail.
    const LOW: usize = DRAWS - HOLDING;
    const HIGH: usize = DRAWS - FAILING - 1;
    let (_, low, above) = margins.select_nth_unstable_by(LOW, f64::total_cmp);
    let (_, high, _) = above.select_nth_unstable_by(HIGH - LOW - 1, f64::total_cmp);
    clearance_between(*low, *high)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_chance_and_its_draws_give_one_word() {
        for held in 0..=DRAWS {
            let mut margins: Vec<f64> = (0..DRAWS).map(|draw| if draw < held { 1.0 } else { -1.0 }).collect();
            let chance = share_held(&margins);
            assert_eq!(Verdict::from_clearance(clearance(&mut margins)), word(chance), "{held} draws hold");
        }
    }
}
