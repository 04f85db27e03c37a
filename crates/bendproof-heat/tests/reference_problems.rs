//! The two reference problems, against answers of other code kept in
//! `checks/heat/`: P2, linear, against an exact one; P1, carbon steel with
//! latent heat and losses, against an extrapolated one.
#![allow(clippy::unwrap_used)]

mod support;

use std::fmt::Write;
use std::sync::LazyLock;

use bendproof_heat::solve::{Info, PlateParams, PlateSolution, solve_plate};
use support::{PASSES_S, POINTS, Row, ZERO_CELSIUS_K, reference_problem, rows, scalar};

const P1: &str = include_str!("../../../checks/heat/p1_reference.csv");
const P2: &str = include_str!("../../../checks/heat/p2_reference.csv");

/// How far the answers may stand from the reference, each a share of what it
/// measures. Set before the solver was written (choice) and, for P1, by the
/// uncertainty that the reference states for itself.
struct Slack {
    /// Peak rises at the points, of each rise; the pool's surface apart.
    peak: f64,
    /// Peak rise at the pool's surface.
    pool_peak: f64,
    /// Largest distance of a history, of the point's peak rise.
    history: f64,
    /// Time from 800 to 500 C.
    t85: f64,
    /// Times until 300, 200 and 150 C are reached.
    cooling: f64,
    /// Full width of the fused zone.
    width: f64,
    /// Depth of the fused zone.
    depth: f64,
}

/// The exact answer is known to 0.02 K, so all of this is ours: 0.5 % at the
/// points, 1 % in the pool, whose surface varies within a cell.
const P2_SLACK: Slack =
    Slack { peak: 5e-3, pool_peak: 1e-2, history: 5e-3, t85: 5e-3, cooling: 5e-3, width: 1e-2, depth: 1e-2 };

/// The peak field is flat across the melting range, so that the 1495 C line
/// wobbles by 2 % with the grid in any code: 3 % and 4 % there.
const P1_SLACK: Slack =
    Slack { peak: 1e-2, pool_peak: 1e-2, history: 1e-2, t85: 2e-2, cooling: 1e-2, width: 3e-2, depth: 4e-2 };

fn solve(is_linear: bool) -> (PlateSolution, Info) {
    solve_plate(&reference_problem(is_linear), &PlateParams::with_cell(1e-3)).unwrap()
}

/// Greatest distance of the histories at a point from the table, of its peak rise.
fn history_error(solution: &PlateSolution, table: &[Row], point: usize, start_c: f64) -> f64 {
    let (name, _, _) = POINTS[point];
    let rise_k = scalar(table, &format!("peak_{name}")) - start_c;
    let trace = &solution.probes[point];
    let history = table.iter().filter(|r| r.kind == "history" && r.name == name);
    let errors = history.filter_map(|r| {
        let got_c = trace.at_s(r.time_s)? - ZERO_CELSIUS_K;
        Some((got_c - r.value).abs() / rise_k)
    });
    let (count, worst) = errors.fold((0, 0.0_f64), |(n, worst), e| (n + 1, worst.max(e)));
    assert!(count > 100, "{name}: the table has only {count} times in the run");
    worst
}

/// Every figure of the table: name, got, reference, error as a share, allowed.
fn compare(solution: &PlateSolution, table: &[Row], slack: &Slack) -> Vec<(String, f64, f64)> {
    const START_C: f64 = 20.0;
    let mut all = Vec::new();
    for (point, (name, _, _)) in POINTS.iter().enumerate() {
        let got_c = solution.probes[point].peak_k - ZERO_CELSIUS_K;
        let reference_c = scalar(table, &format!("peak_{name}"));
        let in_pool = *name == "s0";
        let error = (got_c - reference_c) / (reference_c - START_C);
        all.push((format!("peak {name}"), error, if in_pool { slack.pool_peak } else { slack.peak }));
        if !in_pool {
            let error = history_error(solution, table, point, START_C);
            all.push((format!("history {name}"), error, slack.history));
        }
    }
    let relative = |got: f64, name: &str| got / scalar(table, name) - 1.0;
    let weld = &solution.probes[0];
    all.push(("t8/5 at s0".to_owned(), relative(weld.t85_s.unwrap(), "t85_s0"), slack.t85));
    for level_c in [300.0, 200.0, 150.0] {
        let got_s = weld.falls_to_s(level_c + ZERO_CELSIUS_K).unwrap() - PASSES_S;
        let error = relative(got_s, &format!("tcool{level_c}_s0"));
        all.push((format!("time to {level_c} C at s0"), error, slack.cooling));
    }
    let width_mm = 2e3 * solution.half_width_m;
    all.push(("fusion width".to_owned(), relative(width_mm, "fus_width_mm"), slack.width));
    all.push(("fusion depth".to_owned(), relative(solution.depth_m * 1e3, "fus_depth_mm"), slack.depth));
    all
}

/// Both problems solved once, for the tests below.
static P2_SOLVED: LazyLock<(PlateSolution, Info)> = LazyLock::new(|| solve(true));
static P1_SOLVED: LazyLock<(PlateSolution, Info)> = LazyLock::new(|| solve(false));

fn judge(title: &str, compared: &[(String, f64, f64)]) {
    let holds = compared.iter().all(|(_, error, allowed)| error.abs() <= *allowed);
    assert!(holds, "{title}: {compared:?}");
}

#[test]
fn p2_meets_the_exact_answer() {
    /// A linear problem keeps its heat to round-off.
    const ENERGY: f64 = 1e-10;
    let (solution, info) = &*P2_SOLVED;
    judge("P2", &compare(solution, &rows(P2), &P2_SLACK));
    assert!(info.symmetric && info.energy_error < ENERGY, "{info:?}");
}

#[test]
fn p1_meets_the_reference() {
    /// Latent heat and losses are in the balance as well; a bound of our choice.
    const ENERGY: f64 = 1e-3;
    let (solution, info) = &*P1_SOLVED;
    judge("P1", &compare(solution, &rows(P1), &P1_SLACK));
    assert!(info.symmetric && info.energy_error < ENERGY, "{info:?}");
}

fn page() -> String {
    let mut text = String::from("# The two reference problems\n\n");
    text.push_str("Printed by the tests of `crates/bendproof-heat` that check it; do not edit.\n");
    text.push_str("A plate of 200 x 150 x 12.7 mm under a double ellipsoid of 1872 W at 3.5 mm/s, solved on 1 mm cells.\n");
    text.push_str("P2 is linear and held to an exact answer; P1 is carbon steel with latent heat and losses, held to an extrapolated one.\n");
    text.push_str("The points lie at mid-length: s0 on the weld line, s6 to s15 that many millimetres to its side, u0 on the underside.\n");
    text.push_str("Peaks and histories are in percent of the point's peak rise, the rest in percent of the value; the problems and their answers stand in `checks/heat/`.\n\n");
    text.push_str("| figure | P2, off by % | allowed | P1, off by % | allowed |\n|---|---|---|---|---|\n");
    let linear = compare(&P2_SOLVED.0, &rows(P2), &P2_SLACK);
    let steel = compare(&P1_SOLVED.0, &rows(P1), &P1_SLACK);
    for ((name, a, allowed_a), (_, b, allowed_b)) in linear.iter().zip(&steel) {
        let percent = [*a, *allowed_a, *b, *allowed_b].map(|x| x * 1e2);
        let [a, allowed_a, b, allowed_b] = percent;
        let _ = writeln!(text, "| {name} | {a:+.2} | {allowed_a:.1} | {b:+.2} | {allowed_b:.1} |");
    }
    text
}

/// Rounding to two digits, and cells that another version of the grid merges:
/// a tenth of a percent moves no conclusion.
const PERCENT: f64 = 0.1;

fn agree(a: &str, b: &str) -> bool {
    match (a.parse::<f64>(), b.parse::<f64>()) {
        (Ok(a), Ok(b)) => (a - b).abs() <= PERCENT,
        _ => a == b,
    }
}

/// `UPDATE=1` rewrites the page where it no longer fits.
#[test]
fn the_manual_shows_this_table() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../docs/reference/heat-problems.md");
    let text = page();
    println!("{text}");
    let there = std::fs::read_to_string(path).unwrap_or_default();
    let (a, b): (Vec<&str>, Vec<&str>) =
        (there.split_whitespace().collect(), text.split_whitespace().collect());
    let fits = a.len() == b.len() && a.iter().zip(&b).all(|(a, b)| agree(a, b));
    if !fits && std::env::var_os("UPDATE").is_some() {
        std::fs::write(path, &text).unwrap();
        return;
    }
    assert!(fits, "{path} is stale; run: UPDATE=1 cargo test -p bendproof-heat --test reference_problems");
}
