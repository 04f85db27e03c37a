//! Cells are halved until the answers change little enough.
//!
//! The scheme is of second order in cell and step, so of two runs whose cells
//! differ by half the finer one is off by a third of the change (Richardson).
//! That is an estimate, not a bound: it is told beside the answer.

use bendproof_heat::solve::{HeatError, Info, PlateProblem, PlateSolution};
use bendproof_measure::round_to;

/// Halvings tried at most (choice: 1/256 of the first cell is beyond any memory).
const LEVELS_MAX: u32 = 9;
/// The finer of two runs is off by this part of their change: 1/(2² - 1).
const FINER_SHARE: f64 = 1.0 / 3.0;
/// Smaller answers are held to this size instead of their own (choices): a rise
/// in K, a length in m, a time in s below which nobody measures a per cent.
const LEAST_RISE_K: f64 = 10.0;
const LEAST_LENGTH_M: f64 = 0.5e-3;
const LEAST_TIME_S: f64 = 0.1;
/// First cell where there is no source, in smallest sides of the plate.
const FIRST_OF_SIDE: f64 = 0.25;

/// One run.
#[derive(Debug)]
pub struct Level {
    /// Side of its cells at the weld, m.
    pub cell_m: f64,
    /// What it gave.
    pub solution: PlateSolution,
    /// How.
    pub info: Info,
    /// How long it took, s.
    pub wall_s: f64,
}

/// Cells, cell and time of a run that a finer one has followed.
#[derive(Debug, Clone, Copy)]
pub struct Passed {
    /// Side of its cells, m.
    pub cell_m: f64,
    /// Its cells.
    pub cells: usize,
    /// How long it took, s.
    pub wall_s: f64,
}

/// The last run, and how sure it is.
#[derive(Debug)]
pub struct Solved {
    /// The finest run.
    pub last: Level,
    /// Coarser runs before it.
    pub passed: Vec<Passed>,
    /// Estimated error of the worst answer, and its name; not known of a single run.
    pub estimate: Option<(f64, String)>,
    /// Time for everything, s.
    pub wall_s: f64,
}

impl Solved {
    /// One run with the cell that was asked for.
    pub fn once(level: Level) -> Self {
        Self { wall_s: level.wall_s, last: level, passed: Vec::new(), estimate: None }
    }
}

/// Why no run was good enough.
#[derive(Debug)]
pub enum Unsettled {
    /// A run failed before two could be compared, or for another reason than its size.
    Failed(HeatError),
    /// The next halving is refused.
    TooFine {
        /// What was asked for, share.
        wanted: f64,
        /// What was reached, and by which answer; not known after one run.
        reached: Option<(f64, String)>,
        /// The finest cell tried, m.
        cell_m: f64,
        /// Why there is no finer one.
        why: String,
    },
}

impl std::fmt::Display for Unsettled {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Failed(why) => why.fmt(f),
            Self::TooFine { wanted, reached, cell_m, why } => {
                let cell = round_to(cell_m * 1e3, 4);
                write!(f, "accuracy {} was not reached with cells of {cell} mm", percent(*wanted))?;
                if let Some((share, name)) = reached {
                    write!(f, ": {name} is off by about {}", percent(*share))?;
                }
                write!(f, "; {why}; ask for less, write `cell`, or raise `cells_max`")
            }
        }
    }
}

/// A share in per cent, two figures.
pub fn percent(share: f64) -> String {
    if !share.is_finite() {
        return "an unknown share".to_owned();
    }
    let decimals = (1.0 - (100.0 * share).abs().max(1e-9).log10().floor()).clamp(0.0, 6.0);
    format!("{} %", round_to(100.0 * share, decimals as usize))
}

/// The cell to begin with, m: half the smallest length of the source, a quarter
/// of the plate's smallest side at most.
pub fn first_cell_m(problem: &PlateProblem) -> f64 {
    let side_m = problem.thickness_m.min(problem.width_m).min(problem.length_m);
    let source_m = problem
        .source
        .map_or(f64::INFINITY, |s| 0.5 * s.half_width_m.min(s.depth_m).min(s.front_m).min(s.rear_m));
    source_m.min(FIRST_OF_SIDE * side_m)
}

/// Solves with halved cells until the estimated error is at most `wanted`.
///
/// # Errors
/// [`Unsettled`] with what was reached, when finer cells are refused.
pub fn until(
    wanted: f64,
    first_m: f64,
    problem: &PlateProblem,
    names: &[&str],
    at_level: impl Fn(u32, f64) -> Result<Level, HeatError>,
) -> Result<Solved, Unsettled> {
    let mut last = at_level(0, first_m).map_err(Unsettled::Failed)?;
    let mut passed = Vec::new();
    let mut estimate = None;
    for level in 1..LEVELS_MAX {
        let finer = match at_level(level, 0.5 * last.cell_m) {
            Ok(finer) => finer,
            Err(why @ (HeatError::TooManyCells { .. } | HeatError::TooManySteps { .. })) => {
                let (cell_m, why) = (last.cell_m, format!("with half of that {why}"));
                return Err(Unsettled::TooFine { wanted, reached: estimate, cell_m, why });
            }
            Err(why) => return Err(Unsettled::Failed(why)),
        };
        let worst = worst_change(problem, names, &last.solution, &finer.solution);
        let error = (FINER_SHARE * worst.0, worst.1);
        passed.push(Passed { cell_m: last.cell_m, cells: last.info.cells, wall_s: last.wall_s });
        last = finer;
        let is_settled = error.0 <= wanted;
        estimate = Some(error);
        if is_settled {
            return Ok(Solved { wall_s: 0.0, last, passed, estimate });
        }
    }
    let why = format!("{LEVELS_MAX} sizes were tried");
    Err(Unsettled::TooFine { wanted, reached: estimate, cell_m: last.cell_m, why })
}

/// One answer in two runs.
struct Pair {
    name: String,
    coarse: Option<f64>,
    fine: Option<f64>,
    least: f64,
}

impl Pair {
    fn change(&self) -> f64 {
        match (self.coarse, self.fine) {
            (Some(coarse), Some(fine)) => (coarse - fine).abs() / fine.abs().max(self.least),
            (None, None) => 0.0,
            _ => f64::INFINITY,
        }
    }
}

/// The greatest change of any answer, as a share of it, and its name.
fn worst_change(
    problem: &PlateProblem,
    names: &[&str],
    coarse: &PlateSolution,
    fine: &PlateSolution,
) -> (f64, String) {
    let start_k = problem.start_temperature_k;
    let length =
        |name: &str, a, b| Pair { name: name.into(), coarse: Some(a), fine: Some(b), least: LEAST_LENGTH_M };
    let mut pairs = vec![
        length("fusion half width", coarse.half_width_m, fine.half_width_m),
        length("fusion depth", coarse.depth_m, fine.depth_m),
    ];
    for ((name, a), b) in names.iter().zip(&coarse.probes).zip(&fine.probes) {
        let rise = |t: Option<f64>| t.map(|k| k - start_k);
        let end = |t: &bendproof_heat::solve::Trace| rise(t.temperature_k.last().copied());
        let pair =
            |what: &str, coarse, fine, least| Pair { name: format!("{what} at {name}"), coarse, fine, least };
        pairs.push(pair("peak", rise(Some(a.peak_k)), rise(Some(b.peak_k)), LEAST_RISE_K));
        pairs.push(pair("last temperature", end(a), end(b), LEAST_RISE_K));
        pairs.push(pair("t8/5", a.t85_s, b.t85_s, LEAST_TIME_S));
    }
    let changes = pairs.into_iter().map(|p| (p.change(), p.name));
    // Of equals the first is named, so that the words do not depend on rounding below.
    changes.reduce(|best, next| if next.0 > best.0 { next } else { best }).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_share_is_said_in_two_figures() {
        for (share, said) in
            [(0.01, "1 %"), (0.0123, "1.2 %"), (0.000_456, "0.046 %"), (0.254, "25 %"), (0.0, "0 %")]
        {
            assert_eq!(percent(share), said);
        }
        assert_eq!(percent(f64::INFINITY), "an unknown share");
    }

    #[test]
    fn an_answer_that_comes_or_goes_has_not_settled() {
        let pair = |coarse, fine| Pair { name: String::new(), coarse, fine, least: 0.1 }.change();
        assert_eq!(pair(None, None), 0.0);
        assert_eq!(pair(Some(2.0), None), f64::INFINITY);
        assert!((pair(Some(2.2), Some(2.0)) - 0.1).abs() < 1e-12);
        assert!((pair(Some(0.0), Some(0.01)) - 0.1).abs() < 1e-12);
    }
}
