//! `bendproof heat`: a bare heat problem, solved.
//!
//! Hands the file's numbers to the solver and prints what comes back. The
//! solver can be stopped with Ctrl-C at any time; nothing is half written then.

mod problem;
mod progress;
mod refine;
mod report;

use std::path::Path;
use std::time::Instant;

use bendproof_contract as contract;
use bendproof_files::{HeatFile, HeatGrid, read_heat};
use bendproof_heat::solve::HeatError;
use bendproof_traveler::origin::source_rows;

use crate::arguments::HeatOptions;
use crate::exit::{Exit, Failure, Outcome, failure};
use crate::{output, result_file, source};

pub fn run(options: &HeatOptions, as_json: bool) -> Outcome {
    let file = options.file.as_path();
    let (read, findings) = read_heat(&source::read(file)?);
    output::findings(file, &findings);
    if let Some(csv) = &options.csv {
        result_file::may_write(csv, &["csv"], "histories")?;
    }
    let Some(read) = read else {
        if as_json {
            output::json(&serde_json::json!({ "findings": contract::findings_json(&findings) }));
        }
        return Ok(Exit::CouldNot);
    };
    let threads = options.threads.unwrap_or(read.threads);
    let problem = problem::problem(&read);
    let solved = solve(file, &read, &problem, threads)?;
    if let Some(csv) = &options.csv {
        let text = report::csv(&read.probes, &solved.last.solution);
        result_file::write(csv, text.as_bytes())?;
    }
    let warnings: Vec<&str> = findings.iter().map(|f| f.message.as_str()).collect();
    let answer =
        report::Answer { file: &read, problem: &problem, solved: &solved, threads, warnings: &warnings };
    if as_json {
        output::json(&report::json(&answer));
    } else {
        report::print(file, &answer);
        if options.show.sources {
            output::sources(source_rows(&report::origins()));
        }
    }
    Ok(if findings.is_empty() { Exit::Fine } else { Exit::Findings })
}

fn solve(
    file: &Path,
    read: &HeatFile,
    problem: &bendproof_heat::solve::PlateProblem,
    threads: u32,
) -> Result<refine::Solved, Failure> {
    let began = Instant::now();
    let names: Vec<&str> = read.probes.iter().map(|p| p.name.as_str()).collect();
    let at_level = |level: u32, cell_m: f64| {
        let progress = progress::Progress::new(cell_m);
        let report = |done| progress.report(done);
        let params = problem::params(read, threads, level, cell_m);
        let params = bendproof_heat::solve::PlateParams { progress: Some(&report), ..params };
        let began = Instant::now();
        let (solution, info) = bendproof_heat::solve::solve_plate(problem, &params)?;
        Ok::<_, HeatError>(refine::Level { cell_m, solution, info, wall_s: began.elapsed().as_secs_f64() })
    };
    let solved = match read.grid {
        HeatGrid::Cell(cell_m) => at_level(0, cell_m).map(refine::Solved::once).map_err(|e| match e {
            HeatError::TooManyCells { .. } => format!("{e} with `cells_max`"),
            _ => e.to_string(),
        }),
        HeatGrid::Accuracy(share) => {
            let first_m = refine::first_cell_m(problem);
            let wanted = refine::Wanted { accuracy: share, first_m, time_max_s: read.time_max_s };
            let announce = |text| output::say!("note: {text}");
            refine::until(&wanted, problem, &names, at_level, announce).map_err(|e| e.to_string())
        }
    };
    let solved = solved.map_err(|why| failure(format!("{}: {why}", file.display())))?;
    Ok(refine::Solved { wall_s: began.elapsed().as_secs_f64(), ..solved })
}
