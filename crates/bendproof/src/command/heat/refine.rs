//! Cells are halved until the answers change little enough.
//!
//! The scheme is of second order in cell and step, so of two runs whose cells
//! differ by half the finer one is off by a third of the change (Richardson).
//! That is an estimate, not a bound: it is printed with the answer.
//!
//! The edge of fusion does not follow that order in steel: over the melting range
//! the peak temperature is flat, and where in it a cell ends up is a matter of
//! luck. So its wobble is stated as a length, and only what goes beyond it counts.

use bendproof_heat::solve::{HeatError, Info, Metal, PlateProblem, PlateSolution};
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
/// How far the edge of fusion wobbles in a metal with a melting range, in cells
/// (measured on twenty plates of 9.5 mm, 1.8 to 3 kW, cells of 0.5 to 2 mm: 0.02
/// to 0.1 mm between one grid and the next).
const EDGE_WOBBLE_CELLS: f64 = 0.1;
/// Work of a run with cells of half the side, in works of this one, while no two
/// are known: eight times the cells, and twice the steps (derived).
const WORK_OF_NEXT: f64 = 16.0;
/// From this time on a run is announced, s (choice: nobody wonders sooner).
const ANNOUNCED_FROM_S: f64 = 2.0;

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
    /// Its work, in cells times stages.
    pub work: f64,
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
                write!(f, "; {why}")
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

/// What is asked of the halving.
#[derive(Debug, Clone, Copy)]
pub struct Wanted {
    /// Estimated error at most, share.
    pub accuracy: f64,
    /// The cell to begin with, m.
    pub first_m: f64,
    /// No run is begun that is foreseen to take longer, s.
    pub time_max_s: f64,
}

/// How far the edge of fusion may be off by the grid alone, m; `None` where the
/// metal has no melting range to blur it.
pub fn edge_wobble_m(problem: &PlateProblem, cell_m: f64) -> Option<f64> {
    matches!(problem.metal, Metal::CarbonSteel(_)).then_some(EDGE_WOBBLE_CELLS * cell_m)
}

/// Solves with halved cells until the estimated error is small enough; `announce`
/// hears what a long run will take before it begins.
///
/// # Errors
/// [`Unsettled`] with what was reached, when finer cells are refused or would
/// take too long.
pub fn until(
    wanted: &Wanted,
    problem: &PlateProblem,
    names: &[&str],
    at_level: impl Fn(u32, f64) -> Result<Level, HeatError>,
    announce: impl Fn(String),
) -> Result<Solved, Unsettled> {
    let mut last = at_level(0, wanted.first_m).map_err(Unsettled::Failed)?;
    let mut passed: Vec<Passed> = Vec::new();
    let mut estimate = None;
    for level in 1..LEVELS_MAX {
        let refused = |why| Unsettled::TooFine {
            wanted: wanted.accuracy,
            reached: estimate.clone(),
            cell_m: last.cell_m,
            why,
        };
        let foreseen_s = foreseen_s(&last, passed.last());
        if foreseen_s > wanted.time_max_s {
            return Err(refused(too_long(foreseen_s, wanted.time_max_s)));
        }
        if foreseen_s >= ANNOUNCED_FROM_S {
            announce(next(&last, foreseen_s, estimate.as_ref()));
        }
        let finer = match at_level(level, 0.5 * last.cell_m) {
            Ok(finer) => finer,
            Err(why @ (HeatError::TooManyCells { .. } | HeatError::TooManySteps { .. })) => {
                let advice = "ask for less, write `cell`, or raise `cells_max`";
                return Err(refused(format!("with half of that {why}; {advice}")));
            }
            Err(why) => return Err(Unsettled::Failed(why)),
        };
        let worst = worst_change(problem, names, &last, &finer);
        let error = (FINER_SHARE * worst.0, worst.1);
        passed.push(last.passed());
        last = finer;
        let is_settled = error.0 <= wanted.accuracy;
        estimate = Some(error);
        if is_settled {
            return Ok(Solved { wall_s: 0.0, last, passed, estimate });
        }
    }
    let why = format!("{LEVELS_MAX} sizes were tried; ask for less, or write `cell`");
    Err(Unsettled::TooFine { wanted: wanted.accuracy, reached: estimate, cell_m: last.cell_m, why })
}

/// How long a run with half the cell will take, s: the ratio of the last two runs
/// goes on, or [`WORK_OF_NEXT`] after one.
fn foreseen_s(last: &Level, before: Option<&Passed>) -> f64 {
    let grown = before.map_or(WORK_OF_NEXT, |b| last.work() / b.work);
    last.wall_s * grown
}

fn too_long(foreseen_s: f64, time_max_s: f64) -> String {
    format!(
        "half of that would take about {}, and `time_max` is {}; ask for less, write `cell`, or raise `time_max`",
        seconds(foreseen_s),
        seconds(time_max_s)
    )
}

fn next(last: &Level, foreseen_s: f64, estimate: Option<&(f64, String)>) -> String {
    let cell = round_to(0.5e3 * last.cell_m, 4);
    let so_far =
        estimate.map_or(String::new(), |(share, name)| format!("; so far {} by {name}", percent(*share)));
    format!("cells of {cell} mm next, about {}{so_far}", seconds(foreseen_s))
}

/// A time as a person waits for it.
fn seconds(s: f64) -> String {
    if s < 120.0 {
        format!("{} s", round_to(s, usize::from(s < 10.0)))
    } else {
        format!("{:.0} min", s / 60.0)
    }
}

impl Level {
    /// Work done, in cells times stages.
    fn work(&self) -> f64 {
        self.info.cells as f64 * self.info.stages as f64
    }

    fn passed(&self) -> Passed {
        let Self { cell_m, info, wall_s, .. } = self;
        Passed { cell_m: *cell_m, cells: info.cells, work: self.work(), wall_s: *wall_s }
    }
}

/// One answer in two runs.
struct Pair {
    name: String,
    coarse: Option<f64>,
    fine: Option<f64>,
    least: f64,
    /// Change that says nothing, in the unit of the answer.
    wobble: f64,
}

impl Pair {
    fn change(&self) -> f64 {
        match (self.coarse, self.fine) {
            (Some(coarse), Some(fine)) => {
                ((coarse - fine).abs() - self.wobble).max(0.0) / fine.abs().max(self.least)
            }
            (None, None) => 0.0,
            _ => f64::INFINITY,
        }
    }
}

/// The greatest change of any answer, as a share of it, and its name.
fn worst_change(problem: &PlateProblem, names: &[&str], coarser: &Level, finer: &Level) -> (f64, String) {
    let start_k = problem.start_temperature_k;
    let (coarse, fine): (&PlateSolution, &PlateSolution) = (&coarser.solution, &finer.solution);
    let wobble = edge_wobble_m(problem, coarser.cell_m).unwrap_or(0.0);
    let length = |name: &str, a, b| Pair {
        name: name.into(),
        coarse: Some(a),
        fine: Some(b),
        least: LEAST_LENGTH_M,
        wobble,
    };
    let mut pairs = vec![
        length("fusion half width", coarse.half_width_m, fine.half_width_m),
        length("fusion depth", coarse.depth_m, fine.depth_m),
    ];
    for ((name, a), b) in names.iter().zip(&coarse.probes).zip(&fine.probes) {
        let rise = |t: Option<f64>| t.map(|k| k - start_k);
        let end = |t: &bendproof_heat::solve::Trace| rise(t.temperature_k.last().copied());
        let pair = |what: &str, coarse, fine, least| Pair {
            name: format!("{what} at {name}"),
            coarse,
            fine,
            least,
            wobble: 0.0,
        };
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
        let pair =
            |coarse, fine| Pair { name: String::new(), coarse, fine, least: 0.1, wobble: 0.0 }.change();
        assert_eq!(pair(None, None), 0.0);
        assert_eq!(pair(Some(2.0), None), f64::INFINITY);
        assert!((pair(Some(2.2), Some(2.0)) - 0.1).abs() < 1e-12);
        assert!((pair(Some(0.0), Some(0.01)) - 0.1).abs() < 1e-12);
    }
}
