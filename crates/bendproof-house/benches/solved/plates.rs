//! The two reference problems: time, distance from their answers, and cost per
//! cell and stage against the floor.

use bendproof_heat::solve::{HeatError, Info, PlateParams, PlateSolution, solve_plate};

use crate::floor::{BYTES_PER_CELL, copy_bytes_s, floor_ns};
use crate::reference::{POINTS, Row, ZERO_CELSIUS_K, reference_problem, rows, scalar};
use crate::{Outcome, Took, cell_stage_ns, fastest, say_band, table};

const P1: &str = include_str!("../../../../checks/heat/p1_reference.csv");
const P2: &str = include_str!("../../../../checks/heat/p2_reference.csv");
const START_C: f64 = 20.0;

/// One way to run a reference problem.
#[derive(Clone, Copy)]
pub struct Way {
    pub linear: bool,
    pub cell_mm: f64,
    /// Whether slabs far from the arc may be thicker.
    pub graded: bool,
    pub threads: usize,
}

/// Runs a reference problem some times: what the fastest took, and the answer.
pub fn solve(way: Way, runs: usize) -> Result<(Took, (PlateSolution, Info)), HeatError> {
    let problem = reference_problem(way.linear);
    let params = PlateParams {
        graded: way.graded,
        threads: way.threads,
        ..PlateParams::with_cell(way.cell_mm * 1e-3)
    };
    fastest(runs, || solve_plate(&problem, &params))
}

/// Worst distance of peaks and histories from the table at the points outside the
/// pool, and of the peak on the pool's surface, % of the point's peak rise.
pub fn off_percent(solution: &PlateSolution, table: &[Row]) -> (f64, f64) {
    let (mut worst, mut pool) = (0.0_f64, 0.0);
    for ((name, _, _), trace) in POINTS.iter().zip(&solution.probes) {
        let peak_c = scalar(table, &format!("peak_{name}"));
        let rise_k = peak_c - START_C;
        let peak = (trace.peak_k - ZERO_CELSIUS_K - peak_c) / rise_k;
        if *name == "s0" {
            pool = peak;
            continue;
        }
        let history = table.iter().filter(|r| r.kind == "history" && r.name == *name);
        let off = history.filter_map(|r| Some((trace.at_s(r.time_s)? - ZERO_CELSIUS_K - r.value) / rise_k));
        worst = off.chain([peak]).fold(worst, |w, e| w.max(e.abs()));
    }
    (worst * 100.0, pool * 100.0)
}

/// P1 and P2 on one and on half a millimetre, even and graded, on one thread and two.
pub fn reference_problems() -> Outcome {
    table(
        "Reference problems",
        &[
            "problem",
            "cell, mm",
            "grid",
            "threads",
            "seconds",
            "CPU seconds",
            "off at the points, %",
            "pool's peak off, %",
            "cells",
            "steps",
            "stages",
            "ns per cell and stage",
            "times the floor",
        ],
    );
    let near = floor_ns(copy_bytes_s(1 << 20));
    let mut memory = 0;
    for (name, linear, text) in [("P1", false, P1), ("P2", true, P2)] {
        let answers = rows(text);
        for (cell_mm, graded, runs) in [(1.0, true, 5), (1.0, false, 3), (0.5, true, 1)] {
            for threads in [1, 2] {
                let (took, (solution, info)) = solve(Way { linear, cell_mm, graded, threads }, runs)?;
                let (off, pool) = off_percent(&solution, &answers);
                let ns = cell_stage_ns(took, threads, &info);
                let (grid, more) = if graded { ("graded", "over ") } else { ("even", "") };
                // The floor is that of one thread, and a graded grid's cells change.
                let fair = !graded && threads == 1;
                let times = if fair { format!("{:.1}", ns / near) } else { "-".to_owned() };
                memory = if graded { memory } else { info.bytes };
                println!(
                    "| {name} | {cell_mm} | {grid} | {threads} | {:.3} | {:.3} | {off:.2} | {pool:+.2} | {} | {} | {} | {more}{ns:.2} | {times} |",
                    took.wall_s, took.cpu_s, info.cells, info.steps, info.stages
                );
            }
        }
    }
    let far = floor_ns(copy_bytes_s(memory / 2));
    println!(
        "\nOff at the points: the worst of peaks and whole histories at s6 to s15 and u0, of the point's peak rise."
    );
    println!(
        "An even grid keeps its cells, so its cost per cell is exact; a graded one is counted at its largest."
    );
    println!(
        "Floor: {BYTES_PER_CELL} bytes per cell and stage at the bandwidth of a copy in this run, one thread: {near:.2} ns ({:.0} GB/s) between fields of 1 MiB, {far:.2} ns ({:.0} GB/s) over the {:.1} MB that the even grid of 1 mm keeps.",
        BYTES_PER_CELL / near,
        BYTES_PER_CELL / far,
        memory as f64 * 1e-6
    );
    Ok(())
}

/// P1 on four sizes of cell, even grids.
pub fn sizes() -> Outcome {
    table(
        "Cost over the size of the cell (P1, even grid, one thread)",
        &["cell, mm", "cells", "steps", "stages", "seconds", "CPU seconds", "ns per cell and stage"],
    );
    let mut costs = Vec::new();
    for (cell_mm, runs) in [(2.0, 9), (1.5, 7), (1.0, 3), (0.75, 2)] {
        let way = Way { linear: false, cell_mm, graded: false, threads: 1 };
        let (took, (_, info)) = solve(way, runs)?;
        let ns = cell_stage_ns(took, 1, &info);
        costs.push(ns);
        println!(
            "| {cell_mm} | {} | {} | {} | {:.3} | {:.3} | {ns:.2} |",
            info.cells, info.steps, info.stages, took.wall_s, took.cpu_s
        );
    }
    say_band(&costs);
    Ok(())
}
