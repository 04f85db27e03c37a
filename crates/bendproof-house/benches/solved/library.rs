//! The same reference problem by a general finite-element library, run with
//! ours where one is installed.

use std::collections::BTreeMap;
use std::process::Command;

use crate::Outcome;
use crate::plates::{Way, solve};

const SCRIPT: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/benches/general_library.py");
/// Cell, mm, and steps run with it, unless the command names others.
const RUNS: [(f64, usize); 2] = [(2.0, 30), (1.0, 10)];
/// Steps of the whole problem: 457 of 0.1 s under the arc, about 93 longer ones in cooling.
const STEPS_OF_ALL: f64 = 550.0;

/// Prints the ratio, or how to get one.
pub fn compared() -> Outcome {
    println!("\n### Against a general library (P1, half plate, one thread)\n");
    let found = Command::new("python3").args(["-c", "import skfem, scipy"]).output();
    if !found.is_ok_and(|o| o.status.success()) {
        println!("Not measured: python3 finds no scikit-fem. Get it with `pip install scikit-fem`.");
        return Ok(());
    }
    crate::support::columns(&[
        "cell, mm",
        "who",
        "unknowns",
        "steps run",
        "seconds run",
        "CPU seconds run",
        "CPU seconds for all",
        "the library's over it",
    ]);
    let mut version = String::new();
    for (cell_mm, steps) in RUNS {
        let answer = run(cell_mm, steps)?;
        let number = |name: &str| -> Result<f64, Box<dyn std::error::Error>> {
            Ok(answer.get(name).ok_or_else(|| format!("the library's program gave no {name}"))?.parse()?)
        };
        let (nodes, wall_s, cpu_s) = (number("nodes")?, number("wall_s")?, number("cpu_s")?);
        let all_s = cpu_s * STEPS_OF_ALL / steps as f64;
        println!(
            "| {cell_mm} | general library | {nodes} | {steps} | {wall_s:.1} | {cpu_s:.1} | {all_s:.0}, extrapolated | 1 |"
        );
        for (who, graded) in [("this solver, same cells", false), ("this solver, graded", true)] {
            let (ours, (_, info)) = solve(Way { linear: false, cell_mm, graded, threads: 1 }, 3)?;
            println!(
                "| {cell_mm} | {who} | {} | {} | {:.3} | {:.3} | {:.3} | {:.0} |",
                info.cells,
                info.steps,
                ours.wall_s,
                ours.cpu_s,
                ours.cpu_s,
                all_s / ours.cpu_s
            );
        }
        version = answer.get("library").cloned().unwrap_or_default();
    }
    println!(
        "\nThe library is {version} on one thread: trilinear hexahedra, lumped enthalpy, Crank-Nicolson, Newton with conjugate gradients."
    );
    println!(
        "Only its first steps are run; the CPU seconds for all {STEPS_OF_ALL} are extrapolated from theirs, set-up not counted."
    );
    Ok(())
}

/// What the library's program printed: name and value.
fn run(cell_mm: f64, steps: usize) -> Result<BTreeMap<String, String>, Box<dyn std::error::Error>> {
    let output = Command::new("python3")
        .args([SCRIPT, &cell_mm.to_string(), &steps.to_string()])
        .env("OMP_NUM_THREADS", "1")
        .output()?;
    if !output.status.success() {
        return Err(String::from_utf8_lossy(&output.stderr).into_owned().into());
    }
    let text = String::from_utf8(output.stdout)?;
    let pairs = text.lines().filter_map(|l| l.split_once(' '));
    Ok(pairs.map(|(name, value)| (name.to_owned(), value.to_owned())).collect())
}
