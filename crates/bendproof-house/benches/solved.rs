//! What solving costs: the reference problems against the memory's floor and a
//! general library, one pass, whole coupons, and the fast model next to them.
//!
//! Prints a page to put into `docs/measurements.md`. Any of the words
//! `plates`, `cost`, `passes`, `coupons`, `fast`, `library` after `--` run that part alone.

mod support;

#[path = "solved/coupons.rs"]
mod coupons;
#[path = "solved/fast.rs"]
mod fast;
#[path = "solved/floor.rs"]
mod floor;
#[path = "solved/groove.rs"]
mod groove;
#[path = "solved/library.rs"]
mod library;
#[path = "solved/plates.rs"]
mod plates;
#[path = "../../bendproof-heat/tests/support/mod.rs"]
mod reference;

use std::error::Error;
use std::time::Instant;

use bendproof_files::{COUPON, Document, read_coupon};
use bendproof_forecast::Scatter;
use bendproof_heat::solve::Info;
use bendproof_traveler::context::known;
use bendproof_weld::Coupon;

/// The example coupons that are solved.
const EXAMPLES: [(&str, &str); 3] = [
    ("plate, root downhill", include_str!("../../../examples/plate-3g-downhill.toml")),
    ("plate, uphill", include_str!("../../../examples/plate-3g-uphill.toml")),
    ("fixed pipe", include_str!("../../../examples/pipe-6g.toml")),
];

type Outcome = Result<(), Box<dyn Error>>;
type Part = fn() -> Outcome;

fn main() -> Outcome {
    let parts: [(&str, Part); 6] = [
        ("plates", plates::reference_problems),
        ("cost", cost),
        ("passes", coupons::one_pass),
        ("coupons", coupons::whole),
        ("fast", fast::against_solved),
        ("library", library::compared),
    ];
    let asked: Vec<String> = std::env::args().skip(1).filter(|a| !a.starts_with('-')).collect();
    support::machine("solved");
    println!("{}", busy("begin"));
    println!(
        "CPU seconds are those of all threads together; on a quiet machine one thread shows the same by the clock."
    );
    for (name, part) in parts {
        if asked.is_empty() || asked.iter().any(|a| a == name) {
            part()?;
        }
    }
    println!("\n{}", busy("end"));
    Ok(())
}

fn cost() -> Outcome {
    plates::sizes()?;
    coupons::counts()
}

/// What else the machine does, so that nobody takes a disturbed figure for a quiet one.
fn busy(when: &str) -> String {
    let load = std::fs::read_to_string("/proc/loadavg").unwrap_or_default();
    let minute = load.split_whitespace().next().unwrap_or("not known");
    format!("Programs running or waiting over the last minute, at the {when}: {minute}.")
}

/// Heading and head of a table.
fn table(heading: &str, columns: &[&str]) {
    println!("\n### {heading}\n");
    support::columns(columns);
}

/// What a run took.
#[derive(Debug, Clone, Copy)]
struct Took {
    /// Seconds on the clock.
    wall_s: f64,
    /// Seconds of all threads together on a core: what the clock would have shown
    /// one thread with a core of its own.
    cpu_s: f64,
}

/// Time this program's threads have spent on cores, s; NaN where the system does
/// not tell.
fn cpu_s() -> f64 {
    let tasks = std::fs::read_dir("/proc/self/task").into_iter().flatten().flatten();
    let ns: Option<Vec<f64>> = tasks
        .map(|task| {
            let text = std::fs::read_to_string(task.path().join("schedstat")).ok()?;
            text.split_whitespace().next()?.parse().ok()
        })
        .collect();
    ns.filter(|all| !all.is_empty()).map_or(f64::NAN, |all| all.iter().sum::<f64>() * 1e-9)
}

/// What the fastest of some runs took, by clock and by core, with the answer of
/// the last.
fn fastest<T, E>(runs: usize, mut job: impl FnMut() -> Result<T, E>) -> Result<(Took, T), E> {
    let mut timed = || {
        let (began, cpu_began_s) = (Instant::now(), cpu_s());
        let answer = job()?;
        Ok((Took { wall_s: began.elapsed().as_secs_f64(), cpu_s: cpu_s() - cpu_began_s }, answer))
    };
    let (mut least, mut last) = timed()?;
    for _ in 1..runs {
        let (took, answer) = timed()?;
        least = Took { wall_s: least.wall_s.min(took.wall_s), cpu_s: least.cpu_s.min(took.cpu_s) };
        last = answer;
    }
    Ok((least, last))
}

/// Cost of one cell and stage, ns: by core on one thread, which a busy machine
/// moves less; by clock on more.
fn cell_stage_ns(took: Took, threads: usize, info: &Info) -> f64 {
    let s = if threads == 1 && took.cpu_s.is_finite() { took.cpu_s } else { took.wall_s };
    s * 1e9 / (info.cells as f64 * info.stages as f64)
}

/// How far costs per cell and stage may lie apart and still count as linear: a
/// field that has left one cache for the next costs up to this much more.
const BAND: f64 = 1.5;

/// Says whether costs of one unit of work stay within [`BAND`].
fn say_band(costs: &[f64]) {
    let (least, most) = costs.iter().fold((f64::INFINITY, 0.0_f64), |(l, m), c| (l.min(*c), m.max(*c)));
    let ratio = most / least;
    let word = if ratio <= BAND { "within" } else { "**outside**" };
    println!("\nThe dearest cell and stage costs {ratio:.2} times the cheapest: {word} the band of {BAND}.");
}

/// An example coupon with the scatter of its hand.
fn example(text: &str) -> Result<(Coupon, Scatter), Box<dyn Error>> {
    let (document, _) = Document::from_toml(&COUPON, text);
    let read = read_coupon(&document, known(None));
    let answer = || read.findings.into_iter().map(|f| f.message).collect::<Vec<_>>().join("; ");
    let (coupon, s) = read.plan.ok_or_else(answer)?;
    let scatter = Scatter {
        root_opening_m: s.root_opening_m,
        root_face_m: s.root_face_m,
        travel_share: s.travel_share,
        wire_feed_share: s.wire_feed_share,
        volts: s.volts,
    };
    Ok((coupon, scatter))
}
