//! Every answer of a coupon as word and margin alone: no drawing, no totals. What
//! sweeps, maps and recommendations ask thousands of times.
//!
//! It computes no weld of its own: each answer is the item the forecast itself
//! makes, so that a map never says another word than the sheet.

use bendproof_weld::basis::Basis;
use bendproof_weld::{Backing, Coupon};

use crate::chance::Clear;
use crate::fill_melt::WALL_SCATTER_M;
use crate::forecast::{Limits, Scatter, as_solved, asked_crown, crown, forecast_verdict, root_input};
use crate::item::{Item, Unit, Verdict, worst};
use crate::melt_back::MELT_BACK_SCATTER_M;
use crate::passes::{Resolved, resolve, stack};
use crate::root::{Melted, RootHeat, RootInput};
use crate::section::groove_with_mismatch;
use crate::solved::Solved;
use crate::totals::interpass;
use crate::walls;

/// What can go wrong, in the order it is asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Failure {
    /// The left land stays solid.
    LeftEdge,
    /// The right land stays solid.
    RightEdge,
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
    pub const ALL: [Failure; 7] = [
        Failure::LeftEdge,
        Failure::RightEdge,
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
            Failure::BurnThrough | Failure::Outrun | Failure::Crown => None,
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
    /// How clear of the line it is: 1 or more is a chance of at least 4 in 5, -1
    /// or less one of at most 1 in 5. Margins in millimetres and in shares of a
    /// limit compare by it; `None` when not known.
    pub clearance: Option<f64>,
    /// Why it is not known; empty when it is.
    pub why: String,
    /// Where the answer comes from.
    pub source: &'static str,
    /// What that source is worth.
    pub basis: Basis,
}

impl Answer {
    /// An answer about the root that is known.
    pub(crate) fn known(
        failure: Failure,
        margin: f64,
        unit: Unit,
        clearance: f64,
        source: &'static str,
        basis: Basis,
    ) -> Self {
        let verdict = Verdict::from_clearance(clearance);
        let is_known = verdict != Verdict::NotKnown;
        Self {
            failure,
            pass: 1,
            verdict,
            margin: is_known.then_some(margin),
            unit,
            clearance: is_known.then_some(clearance),
            why: String::new(),
            source,
            basis,
        }
    }

    pub(crate) fn of(failure: Failure, pass: usize, item: Item, clearance: Option<f64>) -> Self {
        let is_known = item.verdict != Verdict::NotKnown;
        Self {
            failure,
            pass,
            verdict: item.verdict,
            margin: item.margin.filter(|_| is_known),
            unit: item.unit,
            clearance: clearance.filter(|_| is_known),
            source: item.source,
            basis: item.basis,
            why: if is_known { String::new() } else { item.driver },
        }
    }
}

/// The answers of one coupon.
#[derive(Debug, Clone, PartialEq)]
pub struct Answers {
    /// The answers, root first.
    pub list: Vec<Answer>,
    /// The chance that the root holds over the whole joint, and how clear of the
    /// line that is; `None` when not known.
    pub root: Option<(f64, f64)>,
}

impl Answers {
    /// The worst word: the root's, from its chance, and those of the passes over it.
    pub fn verdict(&self) -> Verdict {
        let root = self.root.map(|(_, clearance)| Verdict::from_clearance(clearance));
        worst(self.list.iter().map(|a| a.verdict).chain(root))
    }

    /// How clear of the line the worst word is; `None` when it is not known.
    pub fn clearance(&self) -> Option<f64> {
        let above = self.list.iter().filter(|a| a.failure > Failure::Outrun).filter_map(|a| a.clearance);
        above.chain([self.root?.1]).reduce(f64::min).filter(|_| self.verdict() != Verdict::NotKnown)
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
                .filter_map(|a| Some((a, a.clearance?)))
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

/// What stands behind the heat of a coupon's answers.
#[derive(Debug, Clone, Copy)]
pub enum HeatOf<'a> {
    /// The fast model.
    Fast,
    /// The fast model, its root moved by what the beads of a coupon near this one,
    /// solved, melt beyond it.
    Near(&'a Carried),
    /// The beads of this very coupon, solved.
    Solved(&'a Solved),
}

/// What solved beads melt of a root beyond the fast model, carried to coupons near it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Carried(Melted);

impl Carried {
    /// From the solved beads of a coupon; `None` where its root is not known.
    pub fn from(coupon: &Coupon, solved: &Solved) -> Option<Self> {
        let input = root_input(coupon, &resolved(coupon)).ok()?;
        match as_solved(&input, solved).heat {
            RootHeat::Solved(beyond) => Some(Self(beyond)),
            RootHeat::Fast | RootHeat::Carried(_) => None,
        }
    }
}

impl HeatOf<'_> {
    pub(crate) fn behind(self, input: RootInput) -> RootInput {
        match self {
            HeatOf::Fast => input,
            HeatOf::Near(carried) => RootInput { heat: RootHeat::Carried(carried.0), ..input },
            HeatOf::Solved(solved) => as_solved(&input, solved),
        }
    }

    /// What these beads carry to the neighbors of their coupon.
    pub(crate) fn carried(self, coupon: &Coupon) -> Option<Carried> {
        match self {
            HeatOf::Fast => None,
            HeatOf::Near(carried) => Some(*carried),
            HeatOf::Solved(solved) => Carried::from(coupon, solved),
        }
    }
}

impl<'a> From<Option<&'a Carried>> for HeatOf<'a> {
    fn from(carried: Option<&'a Carried>) -> Self {
        carried.map_or(HeatOf::Fast, HeatOf::Near)
    }
}

/// The answers of a coupon.
pub fn answers(
    coupon: &Coupon,
    limits: &Limits,
    scatter: &Scatter,
    scope: Scope,
    heat: HeatOf<'_>,
) -> Answers {
    answers_with(coupon, limits, scatter, scope, heat, |x| forecast_verdict::clear(coupon, x, scatter))
}

/// The answers of a coupon whose root is as clear as the caller says.
pub(crate) fn answers_with(
    coupon: &Coupon,
    limits: &Limits,
    scatter: &Scatter,
    scope: Scope,
    heat: HeatOf<'_>,
    clear: impl FnOnce(&RootInput) -> Clear,
) -> Answers {
    let passes = resolved(coupon);
    let input = root_input(coupon, &passes).map(|x| heat.behind(x));
    let asked = input.as_ref().map(|x| forecast_verdict::root(x, clear(x)));
    let (mut list, root, size_m) = match asked {
        Ok(asked) => (asked.list, Some((asked.clear.along, asked.clear.whole)), asked.size_m),
        Err(why) => (forecast_verdict::unknown_answers(why), None, (0.0, 0.0)),
    };
    if scope == Scope::Whole {
        let known = input.as_ref().map(|_| ()).map_err(String::as_str);
        list.extend(above_root(coupon, limits, scatter, heat, &passes, known, size_m));
    }
    Answers { list, root }
}

/// How clear the root of a coupon is; `None` where that is not known.
pub(crate) fn root_clear(coupon: &Coupon, scatter: &Scatter, heat: HeatOf<'_>) -> Option<Clear> {
    let x = heat.behind(root_input(coupon, &resolved(coupon)).ok()?);
    Some(forecast_verdict::clear(coupon, &x, scatter))
}

pub(crate) fn resolved(coupon: &Coupon) -> Vec<Resolved> {
    coupon.passes.iter().map(|p| resolve(&coupon.settings, p)).collect()
}

/// The answers about what is welded over the root.
fn above_root(
    coupon: &Coupon,
    limits: &Limits,
    scatter: &Scatter,
    heat: HeatOf<'_>,
    passes: &[Resolved],
    root: Result<(), &str>,
    (root_m, root_width_m): (f64, f64),
) -> Vec<Answer> {
    let mut list = Vec::new();
    let of = |failure, pass, item: Item| {
        let clearance = item.clearance();
        Answer::of(failure, pass, item, clearance)
    };
    let layers = stack(&groove_with_mismatch(&coupon.fit.joint), passes, root_m, root_width_m);
    let warm = interpass(coupon, passes);
    for ((pass, layer), warm) in passes.iter().zip(&layers).zip(&warm).skip(1) {
        let melt = match heat {
            HeatOf::Solved(solved) => walls::solved(&solved.of_pass(layer.pass)),
            HeatOf::Fast | HeatOf::Near(_) => walls::fast(coupon, pass, layer, warm.before_k),
        };
        let judged = walls::judged(coupon, pass, layer, warm.before_k, scatter, melt);
        if layer.pass == 2 && coupon.fit.joint.backing == Backing::Open {
            let throat_m = layers[0].to_m + root_m.max(0.0);
            list.push(of(Failure::HotPass, 2, judged.ligament(root, throat_m)));
        }
        list.push(of(Failure::Walls, layer.pass, judged.wall.tie_in));
    }
    let crown = crown(coupon, &layers, passes, limits);
    if let Some(crown) = asked_crown(&crown, limits) {
        let clearance = forecast_verdict::crown_clearance(crown);
        list.push(Answer::of(Failure::Crown, passes.len(), crown.clone(), clearance));
    }
    list
}
