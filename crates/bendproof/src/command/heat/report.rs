//! What a heat run prints: JSON for scripts, a table for people, histories as
//! comma-separated values.

use std::path::Path;

use bendproof_files::{HeatFile, HeatProbe};
use bendproof_heat::solve::{Metal, PlateProblem, PlateSolution, Trace};
use bendproof_measure::{Kind, Quantity, celsius_from_kelvin, inches, round_to};
use bendproof_traveler::origin::Origin;
use bendproof_traveler::table_text::csv_text;
use bendproof_weld::Basis;
use serde_json::{Map, Value, json};

use super::refine::{Solved, edge_wobble_m, percent};
use crate::output;
use bendproof_contract as contract;

/// What a reader of the answer must know.
const NOTES: [&str; 2] = [
    "conduction only: the flow of the pool enters as the conductivity of the liquid, and nothing evaporates",
    "fusion is read at half the run, from the peak temperatures there",
];

/// Iron boils here, C (from memory). A probe above it is in a pool that conduction
/// alone cannot describe.
const BOILING_C: f64 = 2860.0;

/// A solved problem, ready to be printed.
pub struct Answer<'a> {
    /// The file as read.
    pub file: &'a HeatFile,
    /// What was solved.
    pub problem: &'a PlateProblem,
    /// What came back.
    pub solved: &'a Solved,
    /// Threads used.
    pub threads: u32,
    /// What the file was warned of.
    pub warnings: &'a [&'a str],
}

impl Answer<'_> {
    fn solution(&self) -> &PlateSolution {
        &self.solved.last.solution
    }

    /// How far the grid alone may have moved the edge of fusion, m.
    fn wobble_m(&self) -> Option<f64> {
        edge_wobble_m(self.problem, self.solved.last.cell_m)
    }

    fn notes(&self) -> Vec<String> {
        let hottest_k = self.solution().probes.iter().map(|t| t.peak_k).fold(0.0, f64::max);
        let hottest_c = celsius_from_kelvin(hottest_k);
        let is_steel = matches!(self.problem.metal, Metal::CarbonSteel(_));
        let boils = (is_steel && hottest_c > BOILING_C).then(|| {
            format!(
                "a probe reaches {hottest_c:.0} C, and iron boils near {BOILING_C:.0} C: the pool there is hotter than a real one"
            )
        });
        NOTES.iter().chain(self.warnings).map(|n| (*n).to_owned()).chain(boils).collect()
    }

    /// The balance is a share of the heat brought in; without an arc there is none.
    fn energy_error(&self) -> Option<f64> {
        self.problem.source.map(|_| self.solved.last.info.energy_error)
    }
}

/// The JSON contract of `bendproof heat`.
pub fn json(answer: &Answer<'_>) -> Value {
    let (solution, info) = (answer.solution(), &answer.solved.last.info);
    let probes: Map<String, Value> = answer
        .file
        .probes
        .iter()
        .zip(&solution.probes)
        .map(|(probe, trace)| (probe.name.clone(), trace_json(trace)))
        .collect();
    let passed: Vec<Value> = answer
        .solved
        .passed
        .iter()
        .map(|p| json!({ "cell_mm": p.cell_m * 1e3, "cells": p.cells, "wall_s": p.wall_s }))
        .collect();
    let estimate = answer.solved.estimate.as_ref();
    json!({
        "probes": probes,
        "fusion": {
            "half_width_mm": solution.half_width_m * 1e3,
            "depth_mm": solution.depth_m * 1e3,
            "isotherm_C": celsius_from_kelvin(answer.problem.fusion_k),
            "wobble_mm": answer.wobble_m().map(|m| m * 1e3),
        },
        "energy_error": answer.energy_error(),
        "accuracy_estimate": estimate.map(|e| e.0),
        "accuracy_driver": estimate.map(|e| e.1.as_str()),
        "cell_mm": answer.solved.last.cell_m * 1e3,
        "cells": info.cells,
        "steps": info.steps,
        "stages": info.stages,
        "symmetric": info.symmetric,
        "bytes": info.bytes,
        "threads": answer.threads,
        "coarser": passed,
        "wall_s": answer.solved.wall_s,
        "notes": answer.notes(),
        "sources": contract::sources_json(&origins()),
    })
}

/// Where each kind of number comes from.
pub fn origins() -> Vec<Origin> {
    let of = |field, label, source: &str, basis| Origin { field, label, source: source.to_owned(), basis };
    let solved =
        "heat conduction solved on the plate and under the source the file states; computed, not measured";
    vec![
        of("probes", "temperatures and t8/5", solved, Basis::Derived),
        of("fusion", "edge of fusion", solved, Basis::Derived),
        of(
            "energy_error",
            "energy balance",
            "heat in the plate and lost against heat brought in",
            Basis::Derived,
        ),
        of(
            "accuracy_estimate",
            "accuracy",
            "the last grids against each other, carried on to cells of no size",
            Basis::Derived,
        ),
        of("wall_s", "time taken", "clock of this machine", Basis::Measured),
    ]
}

fn trace_json(trace: &Trace) -> Value {
    json!({
        "t_s": trace.time_s,
        "T_C": trace.temperature_k.iter().map(|k| celsius_from_kelvin(*k)).collect::<Vec<_>>(),
        "peak_C": celsius_from_kelvin(trace.peak_k),
        "t85_s": trace.t85_s,
    })
}

/// All histories side by side; they share their times.
pub fn csv(probes: &[HeatProbe], solution: &PlateSolution) -> String {
    let names = probes.iter().map(|probe| format!("{}_C", probe.name));
    let head: Vec<String> = std::iter::once("t_s".to_owned()).chain(names).collect();
    let times = solution.probes.first().map_or(&[][..], |trace| &trace.time_s);
    let rows = times.iter().enumerate().map(|(i, time_s)| {
        let at = |trace: &Trace| format!("{:.4}", celsius_from_kelvin(trace.temperature_k[i]));
        std::iter::once(format!("{time_s:.6}")).chain(solution.probes.iter().map(at)).collect()
    });
    csv_text(std::iter::once(head).chain(rows))
}

/// The table for people.
pub fn print(path: &Path, answer: &Answer<'_>) {
    let (solution, info) = (answer.solution(), &answer.solved.last.info);
    output::line(format!("{}\n", path.display()));
    let mut rows = vec![["probe", "peak", "t8/5", "at the end"].map(str::to_owned).to_vec()];
    for (probe, trace) in answer.file.probes.iter().zip(&solution.probes) {
        let t85 = trace.t85_s.map_or("-".to_owned(), |s| format!("{s:.2} s"));
        let end_k = trace.temperature_k.last().copied().unwrap_or(trace.peak_k);
        rows.push(vec![probe.name.clone(), both_degrees(trace.peak_k), t85, both_degrees(end_k)]);
    }
    if rows.len() > 1 {
        output::table(&rows);
        output::line("");
    }
    let mut rows = Vec::new();
    let mut row = |label: &str, text: String| rows.push(vec![label.to_owned(), text]);
    let wobble = answer.wobble_m().map_or(String::new(), |m| format!(" ± {:.2} mm by the grid", 1e3 * m));
    row("fusion half width", both_lengths(solution.half_width_m) + &wobble);
    row("fusion depth", both_lengths(solution.depth_m) + &wobble);
    row("edge of fusion", both_degrees(answer.problem.fusion_k));
    if let Some(error) = answer.energy_error() {
        row("energy balance", format!("off by {error:.1e} of the heat brought in"));
    }
    if let Some((share, name)) = &answer.solved.estimate {
        row("estimated error", format!("{}, driven by {name}", percent(*share)));
    }
    let half = if info.symmetric { ", half the plate by symmetry" } else { "" };
    let cell = round_to(answer.solved.last.cell_m * 1e3, 4);
    row("cells", format!("{} of {cell} mm at the weld{half}", info.cells));
    row("steps", format!("{} in {} stages", info.steps, info.stages));
    let threads =
        if answer.threads == 1 { "1 thread".to_owned() } else { format!("{} threads", answer.threads) };
    let mib = info.bytes as f64 / f64::from(1 << 20);
    row("took", format!("{:.2} s, {}, {mib:.1} MiB", answer.solved.wall_s, threads));
    output::table(&rows);
    // The warnings were printed with their lines before.
    for note in answer.notes().iter().filter(|n| !answer.warnings.contains(&n.as_str())) {
        output::say!("note: {note}");
    }
}

fn both_degrees(kelvin: f64) -> String {
    let temperature = Quantity::from_si(Kind::Temperature, kelvin);
    let fahrenheit = temperature.in_unit("F").unwrap_or(f64::NAN);
    format!("{:.0} F · {:.1} C", fahrenheit, celsius_from_kelvin(kelvin))
}

/// As the whole program says lengths, with a digit more: a pool is small.
fn both_lengths(metres: f64) -> String {
    format!("{} in · {:.2} mm", inches(metres), metres * 1e3)
}
