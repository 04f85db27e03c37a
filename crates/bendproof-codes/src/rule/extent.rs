//! Limits as codes print them: an inch value and a metric value that are not
//! conversions of each other, and the few formulas built on a measured size.
//!
//! Holds no limit; every number comes from the rule data.

use bendproof_measure::{Kind, Quantity, System, is_on_the_rule};

use super::fact::{Fact, FactAnswer, Facts};

/// Largest difference that is still float rounding and not a measurement, in
/// metres. Basis: choice; a millionth of a millimetre, ten thousand times finer
/// than any bend opening is read.
pub const LENGTH_ROUNDING_M: f64 = 1e-9;

/// The same for stresses, in pascals. Basis: choice; a millionth of a ksi.
const STRESS_ROUNDING_PA: f64 = 7.0;

/// The same for everything else, as a share of the reading. Basis: choice; no
/// meter of a welding bay reads a millionth part.
const ROUNDING_SHARE: f64 = 1e-9;

/// Two independent limits: one for readings in inches (or ksi), one for
/// readings in millimetres (or MPa). Both are held in SI.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pair {
    /// The inch, ksi or F value, in SI.
    pub inch_si: f64,
    /// The millimetre, MPa or C value, in SI.
    pub metric_si: f64,
    /// What is measured; shares, angles and plain numbers have one value for
    /// both systems.
    pub kind: Kind,
}

impl Pair {
    /// Whether the code prints one value for both systems: millimetres or
    /// degrees alone. Any reading is then compared with the very same size.
    ///
    /// A length on the inch rule is printed in inches whatever it is in
    /// millimetres: 4-1/2 in and 114.3 mm are one size, and so are 32 F and 0 C.
    pub fn is_metric_only(&self) -> bool {
        let is_inch_size = self.kind == Kind::Length && is_on_the_rule(self.metric_si);
        self.kind != Kind::Temperature
            && self.inch_si == self.metric_si
            && self.metric_si != 0.0
            && !is_inch_size
    }

    /// The limit for a reading made in `system`.
    pub fn in_system(&self, system: System) -> Quantity {
        let si = if system == System::Inch { self.inch_si } else { self.metric_si };
        Quantity { si, kind: self.kind, system }
    }
}

/// A size named by a rule.
#[derive(Debug, Clone, PartialEq)]
pub enum Extent {
    /// A printed pair.
    Pair(Pair),
    /// A multiple of a measured size, plus a printed pair.
    Times {
        /// The fact that is multiplied.
        of: &'static str,
        /// How many times it.
        times: f64,
        /// What is added.
        plus: Option<Pair>,
    },
    /// The smaller of several.
    Smaller(Vec<Extent>),
    /// The larger of several.
    Larger(Vec<Extent>),
    /// No upper limit.
    Unlimited,
}

impl Extent {
    /// Whether the sizes printed in it are in millimetres alone; a pure multiple
    /// of a measured size prints none.
    pub(crate) fn is_metric_only(&self) -> bool {
        match self {
            Extent::Pair(pair) => pair.kind == Kind::Length && pair.is_metric_only(),
            Extent::Times { plus, .. } => plus.is_some_and(|p| Extent::Pair(p).is_metric_only()),
            Extent::Smaller(parts) | Extent::Larger(parts) => parts.iter().any(Extent::is_metric_only),
            Extent::Unlimited => false,
        }
    }

    /// Whether it is a multiple of this fact, or has a part that is.
    pub(crate) fn leans_on(&self, name: &str) -> bool {
        match self {
            Extent::Times { of, .. } => *of == name,
            Extent::Smaller(parts) | Extent::Larger(parts) => parts.iter().any(|p| p.leans_on(name)),
            Extent::Pair(_) | Extent::Unlimited => false,
        }
    }

    /// Value for readings in `system`, or `None` when a size it needs is not
    /// known. Unlimited is infinity.
    pub fn value(&self, system: System, facts: &Facts) -> Option<f64> {
        match self {
            Extent::Pair(pair) => Some(pair.in_system(system).si),
            Extent::Times { of, times, plus } => {
                let Some(Fact::Measure(size)) = facts.get(of) else { return None };
                Some(size.si * times + plus.map_or(0.0, |p| p.in_system(system).si))
            }
            Extent::Smaller(parts) => fold(parts, system, facts, f64::min),
            Extent::Larger(parts) => fold(parts, system, facts, f64::max),
            Extent::Unlimited => Some(f64::INFINITY),
        }
    }

    /// Whether `measured` is greater than this. Answers from the known parts
    /// where they suffice: an opening beyond 1/8 in exceeds "1/8 in or half the
    /// wall, the smaller" whatever the wall is.
    pub fn exceeded_by(&self, measured: &Quantity, facts: &Facts) -> FactAnswer {
        self.compare(measured.system, facts, &|limit| is_over(measured, limit))
    }

    /// Whether `measured` is less than this.
    pub fn undercut_by(&self, measured: &Quantity, facts: &Facts) -> FactAnswer {
        let within = self.compare(measured.system, facts, &|limit| !is_under(measured, limit));
        within.not()
    }

    /// `true_above` must turn from true to false as the limit grows.
    fn compare(&self, system: System, facts: &Facts, true_above: &dyn Fn(f64) -> bool) -> FactAnswer {
        let each = |part: &Extent| part.compare(system, facts, true_above);
        match self {
            Extent::Smaller(parts) => FactAnswer::any(parts.iter().map(each)),
            Extent::Larger(parts) => FactAnswer::all(parts.iter().map(each)),
            Extent::Unlimited => FactAnswer::from(true_above(f64::INFINITY)),
            Extent::Times { of, .. } => match self.value(system, facts) {
                Some(limit) => FactAnswer::from(true_above(limit)),
                None => FactAnswer::Missing(of),
            },
            Extent::Pair(pair) => FactAnswer::from(true_above(pair.in_system(system).si)),
        }
    }
}

fn fold(parts: &[Extent], system: System, facts: &Facts, pick: fn(f64, f64) -> f64) -> Option<f64> {
    let values: Option<Vec<f64>> = parts.iter().map(|p| p.value(system, facts)).collect();
    values?.into_iter().reduce(pick)
}

fn rounding(measured: &Quantity) -> f64 {
    match measured.kind {
        Kind::Length => LENGTH_ROUNDING_M,
        Kind::Pressure => STRESS_ROUNDING_PA,
        _ => measured.si.abs() * ROUNDING_SHARE,
    }
}

/// Whether a reading lies above a limit by more than float rounding.
pub(crate) fn is_over(measured: &Quantity, limit_si: f64) -> bool {
    measured.si - limit_si > rounding(measured)
}

/// Whether a reading lies below a limit by more than float rounding.
pub(crate) fn is_under(measured: &Quantity, limit_si: f64) -> bool {
    limit_si - measured.si > rounding(measured)
}
