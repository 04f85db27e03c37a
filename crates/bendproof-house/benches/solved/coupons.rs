//! Beads on true sections: one pass, whole coupons bead by bead, and a coupon
//! in time.

use std::error::Error;

use bendproof_forecast::solved::{
    ARC_BEHIND_EDGE_M, FillBead, RootBead, SolveParams, fill_problem, pass_params, root_problem, solve,
};
use bendproof_forecast::{Limits, forecast};
use bendproof_heat::solve::{CouponField, CouponParams, Info, PassProblem, solve_coupon, solve_pass};
use bendproof_weld::Dwell;

use crate::{EXAMPLES, Outcome, Took, cell_stage_ns, example, fastest, groove, say_band, table};

const CELL_M: f64 = SolveParams::STANDARD.cell_m;

/// A pass to solve, with its travel, m/s.
struct Named {
    name: &'static str,
    problem: PassProblem,
    travel_m_s: f64,
}

/// The root bead of an example.
fn root_of(text: &str, name: &'static str) -> Result<Named, Box<dyn Error>> {
    let (coupon, scatter) = example(text)?;
    let planned = forecast(&coupon, &scatter, &Limits::default()).passes;
    let pass = planned.first().ok_or("the example plans no pass")?;
    let bead = RootBead {
        net_power_w: pass.net_power_w,
        travel_m_s: pass.travel_m_s,
        area_m2: pass.bead_area_m2,
        hollow_m: 0.0,
        behind_edge_m: ARC_BEHIND_EDGE_M,
        weave_width_m: 0.0,
    };
    let problem = root_problem(&coupon.fit.joint, &bead, pass.interpass_k, CELL_M);
    Ok(Named { name, problem: problem.ok_or("the root does not fit")?, travel_m_s: pass.travel_m_s })
}

/// The third pass of the first example on plates that stand out of line, which
/// needs both halves of the section.
fn fill() -> Result<Named, Box<dyn Error>> {
    const MISMATCH_M: f64 = 0.4e-3;
    let (mut coupon, scatter) = example(EXAMPLES[0].1)?;
    let planned = forecast(&coupon, &scatter, &Limits::default()).passes;
    let [_, below, pass, ..] = planned.as_slice() else { return Err("the example has no fill".into()) };
    coupon.fit.joint.mismatch_m = MISMATCH_M;
    let bead = FillBead {
        net_power_w: pass.net_power_w,
        travel_m_s: pass.travel_m_s,
        area_m2: pass.bead_area_m2,
        from_m: below.level_m,
        weave_width_m: 0.0,
        dwell: Dwell::Even,
    };
    let laid = fill_problem(&coupon.fit.joint, &bead, pass.interpass_k, CELL_M);
    let (problem, _) = laid.ok_or("the fill does not fit")?;
    Ok(Named { name: "fill bead, full section", problem, travel_m_s: pass.travel_m_s })
}

/// One pass at its quasi-steady state.
pub fn one_pass() -> Outcome {
    table(
        "One pass, quasi-steady, 0.5 mm at the weld",
        &["pass", "threads", "seconds", "CPU seconds", "cells", "steps", "stages", "arrays, MiB"],
    );
    let passes = [
        root_of(EXAMPLES[0].1, "root downhill, half section")?,
        root_of(EXAMPLES[1].1, "root uphill, half section")?,
        fill()?,
    ];
    for Named { name, problem, travel_m_s } in &passes {
        for threads in [1, 2] {
            let mut params = pass_params(&SolveParams::STANDARD, *travel_m_s);
            params.threads = threads;
            let (took, (_, info)) = fastest(5, || solve_pass(problem, &params))?;
            let (cells, steps, stages) = (info.cells, info.steps, info.stages);
            println!(
                "| {name} | {threads} | {:.3} | {:.3} | {cells} | {steps} | {stages} | {:.1} |",
                took.wall_s,
                took.cpu_s,
                mib(info.bytes)
            );
        }
    }
    println!("\nSteps and stages are those of the fine run; a run on cells twice as large goes before it.");
    Ok(())
}

/// Whole coupons: the examples bead by bead, eight beads in time.
pub fn whole() -> Outcome {
    table(
        "Whole coupons, 0.5 mm at the weld",
        &["coupon", "way", "beads", "threads", "seconds", "CPU seconds", "process at its most, MiB"],
    );
    for (name, text) in EXAMPLES {
        let (coupon, _) = example(text)?;
        forget_peak();
        let (took, solved) = fastest(3, || solve(&coupon, &SolveParams::STANDARD))?;
        let (beads, threads) = (solved.beads.len(), std::thread::available_parallelism()?);
        println!(
            "| {name} | bead by bead | {beads} | {threads} | {:.2} | {:.2} | {} |",
            took.wall_s,
            took.cpu_s,
            say_peak()
        );
    }
    let mut bytes = 0;
    for threads in [1, 2] {
        forget_peak();
        let (took, (field, info)) = in_time(8, threads)?;
        bytes = info.bytes;
        println!(
            "| eight beads in a V | in time, with pauses | {} | {threads} | {:.2} | {:.2} | {} |",
            field.beads.len(),
            took.wall_s,
            took.cpu_s,
            say_peak()
        );
    }
    println!(
        "\nBead by bead every bead has its window and its interpass temperature from the coupon's heat as a whole; one more run per coupon lays the root on a hollow."
    );
    println!("In time, the arrays of the run take {:.0} MiB.", mib(bytes));
    Ok(())
}

fn in_time(
    beads: usize,
    threads: usize,
) -> Result<(Took, (CouponField, Info)), bendproof_heat::solve::HeatError> {
    let problem = groove::with_beads(beads);
    fastest(1, || solve_coupon(&problem, &CouponParams { threads, ..CouponParams::STANDARD }))
}

/// One, two, four and eight beads in time.
pub fn counts() -> Outcome {
    table(
        "Cost over the number of beads (in time, one thread)",
        &[
            "beads",
            "cells at most",
            "steps",
            "stages",
            "seconds",
            "CPU seconds",
            "CPU seconds per bead",
            "ns per cell and stage",
        ],
    );
    let mut costs = Vec::new();
    for beads in [1, 2, 4, 8] {
        let (took, (_, info)) = in_time(beads, 1)?;
        let ns = cell_stage_ns(took, 1, &info);
        costs.push(ns);
        let (cells, steps, stages) = (info.cells, info.steps, info.stages);
        println!(
            "| {beads} | {cells} | {steps} | {stages} | {:.2} | {:.2} | {:.2} | {ns:.2} |",
            took.wall_s,
            took.cpu_s,
            took.cpu_s / beads as f64
        );
    }
    println!(
        "\nCells are counted at their most, so the cost per cell and stage is an average that stands for the whole run, pauses included."
    );
    say_band(&costs);
    Ok(())
}

fn mib(bytes: usize) -> f64 {
    bytes as f64 / f64::from(1 << 20)
}

/// Lets the system count the process's greatest memory again, where it can.
fn forget_peak() {
    // Without it the figure only grows from row to row; nothing else depends on it.
    let _ = std::fs::write("/proc/self/clear_refs", "5");
}

fn say_peak() -> String {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let kib: Option<f64> =
        status.lines().find_map(|l| l.strip_prefix("VmHWM:")?.split_whitespace().next()?.parse().ok());
    kib.map_or("not known".to_owned(), |kib| format!("{:.0}", kib / 1024.0))
}
