//! The smallest test: which coupons cover the joints a person must weld,
//! fewest first.
//!
//! Every candidate is put to the engine with every joint. "Not sure" never
//! counts as covered; where settling a doubt would help, it is said which.

use std::collections::BTreeSet;

use bendproof_weld::Backing;

use super::fewest::{Covers, Piece, fewest};
use super::neighbours::production_position;
use crate::catalogue::Code;
use crate::held::{
    CoverAnswer, CoverReason, Coverage, Joint, PassedTest, Standing, StandingError, covers, standing,
};
use crate::words::{JointBacking, JointKind, TestShape};

/// Most joints in one question; a list longer than this is several jobs.
pub const FINDER_JOINTS_MAX: usize = 64;

/// Most candidates tried. Basis: choice, ten times a shop's stock.
pub const FINDER_CANDIDATES_MAX: usize = 10_000;

/// Most sets listed for one number of coupons. Basis: choice, what a reader
/// compares at a glance.
const SETS_MAX: usize = 4;

/// A test a shop could give.
#[derive(Debug, Clone, PartialEq)]
pub struct Candidate {
    /// What the shop calls it: `6G, NPS 2 schedule 80, open root`.
    pub name: String,
    /// The test, one coupon for each of its positions.
    pub test: PassedTest,
    /// Metal of all its coupons, cubic metres; between sets of as many coupons,
    /// as like the joints, the one with less metal comes first.
    pub metal_m3: f64,
}

/// Coupons that cover the joints together.
#[derive(Debug, Clone, PartialEq)]
pub struct CouponSet {
    /// The candidates, in order of index.
    pub members: Vec<Member>,
    /// Number of coupons.
    pub coupons: usize,
    /// Metal of them all, cubic metres.
    pub metal_m3: f64,
    /// What must be settled before they count, each doubt once; empty where
    /// they do.
    pub doubts: Vec<JointDoubt>,
}

/// One candidate of a set.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Member {
    /// The candidate, by index.
    pub candidate: usize,
    /// The joints it surely covers, by index.
    pub joints: Vec<usize>,
}

/// A doubt that stands between a joint and its cover.
#[derive(Debug, Clone, PartialEq)]
pub struct JointDoubt {
    /// The joint, by index.
    pub joint: usize,
    /// Ids of the rules.
    pub rules: Vec<String>,
    /// The doubt as a sentence.
    pub message: String,
}

/// The best any candidate does for one joint.
#[derive(Debug, Clone, PartialEq)]
pub struct JointFound {
    /// The best answer.
    pub answer: CoverAnswer,
    /// The candidate that comes nearest, by index; none without candidates.
    pub nearest: Option<usize>,
    /// What that candidate leaves open or outside.
    pub reasons: Vec<CoverReason>,
}

/// The answer of the finder under one code.
#[derive(Debug, Clone, PartialEq)]
pub struct FinderResult {
    /// The code.
    pub code: String,
    /// Each joint in order.
    pub joints: Vec<JointFound>,
    /// Sets that cover every joint that can be covered, best first.
    pub sets: Vec<CouponSet>,
    /// Sets that would do with fewer coupons, or for more joints, once their
    /// doubts are settled.
    pub if_settled: Vec<CouponSet>,
    /// Whether the search ended by itself; otherwise a smaller set may exist.
    pub complete: bool,
}

/// A question the finder does not take.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum FinderError {
    /// Nothing asked.
    #[error("no joint is listed; enter at least one joint to be welded")]
    NoJoint,
    /// Too many.
    #[error("{joints} joints are listed; enter 1 to {FINDER_JOINTS_MAX}, one job at a time")]
    TooManyJoints {
        /// How many.
        joints: usize,
    },
    /// Too many candidates.
    #[error("{candidates} coupons are to be tried; the limit is {FINDER_CANDIDATES_MAX}. Narrow the stock")]
    TooManyCandidates {
        /// How many.
        candidates: usize,
    },
    /// A candidate that cannot be welded.
    #[error("{name}: {why}")]
    Candidate {
        /// The candidate.
        name: String,
        /// What is wrong with it.
        why: StandingError,
    },
}

/// Finds the sets of candidates that cover the joints under a code.
///
/// # Errors
/// [`FinderError`] when the question is empty, too large, or names a test that
/// cannot be.
pub fn find_coupons(
    code: &Code,
    candidates: &[Candidate],
    joints: &[Joint],
) -> Result<FinderResult, FinderError> {
    check(candidates, joints)?;
    let granted = |c: &Candidate| {
        standing(code, &c.test).map_err(|why| FinderError::Candidate { name: c.name.clone(), why })
    };
    let standings: Vec<Standing> = candidates.iter().map(granted).collect::<Result<_, _>>()?;
    let table = Table { candidates, joints, answers: answers(&standings, joints), standings: &standings };
    let sure = table.fewest(CoverAnswer::Covered);
    let hoped = table.fewest(CoverAnswer::NotSure);
    let sets: Vec<CouponSet> = sure.sets.iter().map(|set| table.set(set)).collect();
    let least = sets.first().map_or(usize::MAX, |set| set.coupons);
    let is_wider = table.wanted(CoverAnswer::NotSure) != table.wanted(CoverAnswer::Covered);
    let hoped_sets = hoped.sets.iter().map(|set| table.set(set));
    let is_news = |set: &CouponSet| !set.doubts.is_empty() && (is_wider || set.coupons < least);
    Ok(FinderResult {
        code: code.id.clone(),
        joints: (0..joints.len()).map(|joint| table.joint(joint)).collect(),
        if_settled: hoped_sets.filter(is_news).collect(),
        sets,
        complete: sure.complete && hoped.complete,
    })
}

fn check(candidates: &[Candidate], joints: &[Joint]) -> Result<(), FinderError> {
    if joints.is_empty() {
        return Err(FinderError::NoJoint);
    }
    if joints.len() > FINDER_JOINTS_MAX {
        return Err(FinderError::TooManyJoints { joints: joints.len() });
    }
    if candidates.len() > FINDER_CANDIDATES_MAX {
        return Err(FinderError::TooManyCandidates { candidates: candidates.len() });
    }
    Ok(())
}

/// One row for each candidate, one answer for each joint.
fn answers(standings: &[Standing], joints: &[Joint]) -> Vec<Vec<CoverAnswer>> {
    let row = |s: &Standing| joints.iter().map(|joint| covers(s, joint).answer).collect();
    standings.iter().map(row).collect()
}

struct Table<'a> {
    candidates: &'a [Candidate],
    joints: &'a [Joint],
    standings: &'a [Standing],
    answers: Vec<Vec<CoverAnswer>>,
}

impl Table<'_> {
    /// The joints of a candidate whose answer is at least as good as this.
    fn reached(row: &[CoverAnswer], by: CoverAnswer) -> u64 {
        row.iter().enumerate().filter(|(_, answer)| **answer <= by).fold(0, |bits, (n, _)| bits | (1 << n))
    }

    /// The joints that some candidate reaches.
    fn wanted(&self, by: CoverAnswer) -> u64 {
        self.answers.iter().fold(0, |bits, row| bits | Self::reached(row, by))
    }

    fn fewest(&self, by: CoverAnswer) -> Covers {
        let piece = |(candidate, row): (&Candidate, &Vec<CoverAnswer>)| Piece {
            joints: Self::reached(row, by),
            coupons: candidate.test.positions.len().max(1),
            unlike: unlike(&candidate.test, self.joints),
            metal: candidate.metal_m3,
        };
        let pieces: Vec<Piece> = self.candidates.iter().zip(&self.answers).map(piece).collect();
        fewest(&pieces, self.wanted(by), SETS_MAX)
    }

    fn answer(&self, candidate: usize, joint: usize) -> CoverAnswer {
        let row = self.answers.get(candidate);
        row.and_then(|row| row.get(joint)).copied().unwrap_or(CoverAnswer::NotCovered)
    }

    fn coverage(&self, candidate: usize, joint: usize) -> Option<Coverage> {
        Some(covers(self.standings.get(candidate)?, self.joints.get(joint)?))
    }

    fn set(&self, set: &[usize]) -> CouponSet {
        let members = || set.iter().filter_map(|n| self.candidates.get(*n));
        CouponSet {
            members: set.iter().map(|n| self.member(*n)).collect(),
            coupons: members().map(|c| c.test.positions.len().max(1)).sum(),
            metal_m3: members().map(|c| c.metal_m3).sum(),
            doubts: (0..self.joints.len()).flat_map(|joint| self.doubts(set, joint)).collect(),
        }
    }

    fn member(&self, candidate: usize) -> Member {
        let covered = |joint: &usize| self.answer(candidate, *joint) == CoverAnswer::Covered;
        Member { candidate, joints: (0..self.joints.len()).filter(covered).collect() }
    }

    /// What keeps the best member of a set from covering a joint, where it is
    /// doubt alone.
    fn doubts(&self, set: &[usize], joint: usize) -> Vec<JointDoubt> {
        let Some(best) = set.iter().copied().min_by_key(|n| self.answer(*n, joint)) else {
            return Vec::new();
        };
        if self.answer(best, joint) != CoverAnswer::NotSure {
            return Vec::new();
        }
        let reasons = self.coverage(best, joint).map(|c| c.reasons).unwrap_or_default();
        let open = telling(reasons).into_iter().filter(|r| r.answer == CoverAnswer::NotSure);
        open.map(|r| JointDoubt { joint, rules: r.rules, message: r.message }).collect()
    }

    /// The nearest candidate: the best answer, then the fewest sides outside,
    /// then the fewest in doubt, then the likest, then the least metal.
    fn joint(&self, joint: usize) -> JointFound {
        let answer = (0..self.candidates.len()).map(|n| self.answer(n, joint)).min();
        let far = |n: usize| {
            if answer == Some(CoverAnswer::Covered) {
                return (false, 0, 0);
            }
            let reasons = self.coverage(n, joint).map(|c| c.reasons).unwrap_or_default();
            let sides = |answer| {
                let of = reasons.iter().filter(|r| r.answer == answer);
                of.map(|r| r.facet).collect::<BTreeSet<_>>().len()
            };
            // A refusal is about the whole test, farther off than any side.
            let refused = reasons.iter().any(|r| r.facet.is_none() && r.answer == CoverAnswer::NotCovered);
            (refused, sides(CoverAnswer::NotCovered), sides(CoverAnswer::NotSure))
        };
        let best = (0..self.candidates.len()).filter(|n| Some(self.answer(*n, joint)) == answer);
        let nearest = best.min_by(|a, b| {
            let metal = |n: usize| self.candidates.get(n).map_or(f64::MAX, |c| c.metal_m3);
            let strange = |n: usize| {
                let both = self.candidates.get(n).zip(self.joints.get(joint));
                both.map_or(0, |(c, joint)| unlike(&c.test, std::slice::from_ref(joint)))
            };
            let rank = |n: usize| (far(n), strange(n));
            rank(*a).cmp(&rank(*b)).then(metal(*a).total_cmp(&metal(*b)))
        });
        let coverage = nearest.and_then(|n| self.coverage(n, joint));
        let open = |c: Coverage| {
            let printed = telling(c.reasons).into_iter();
            printed.filter(|r| r.answer != CoverAnswer::Covered).collect()
        };
        JointFound {
            answer: answer.unwrap_or(CoverAnswer::NotCovered),
            nearest,
            reasons: coverage.map(open).unwrap_or_default(),
        }
    }
}

/// In how many of shape, root and position a test is like none of the joints: a
/// bay tests a flat backed plate splice on a flat backed plate where that does.
fn unlike(test: &PassedTest, joints: &[Joint]) -> usize {
    let shape = |joint: &Joint| match joint.kind {
        JointKind::PlateGroove => TestShape::Plate,
        JointKind::PipeGroove => TestShape::Pipe,
        JointKind::Fillet if joint.diameter.is_some() => TestShape::Pipe,
        JointKind::Fillet => TestShape::Plate,
    };
    // A fillet's root lies on metal; a groove whose backing nobody gave likes any.
    let root = |joint: &Joint| match joint.backing {
        _ if joint.kind == JointKind::Fillet => Some(Backing::Steel),
        Some(JointBacking::Open) => Some(Backing::Open),
        Some(_) => Some(Backing::Steel),
        None => None,
    };
    let has_shape = joints.iter().any(|joint| shape(joint) == test.shape);
    let has_root = joints.iter().any(|joint| root(joint).is_none_or(|root| root == test.backing));
    let is_in_position =
        |joint: &Joint| test.positions.iter().any(|p| production_position(*p) == joint.position);
    let has_position = joints.iter().any(is_in_position);
    [has_shape, has_root, has_position].iter().filter(|has| !**has).count()
}

/// Where a rule's own doubt speaks of a side, that no rule grants it is no news.
fn telling(reasons: Vec<CoverReason>) -> Vec<CoverReason> {
    let is_doubted = |side: &CoverReason| {
        let by_rule = |r: &&CoverReason| r.facet == side.facet && !r.rules.is_empty();
        reasons.iter().any(|r| by_rule(&r) && r.answer == CoverAnswer::NotSure)
    };
    let is_empty = |r: &CoverReason| r.rules.is_empty() && r.answer == CoverAnswer::NotSure && is_doubted(r);
    reasons.iter().filter(|r| !is_empty(r)).cloned().collect()
}
