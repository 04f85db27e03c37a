//! Times a job many times and prints least, middle and greatest, with the
//! machine it ran on.
#![allow(dead_code, reason = "each benchmark uses a part")]

pub mod running;

use std::time::{Duration, Instant};

/// Durations of one job, sorted.
pub struct Times(Vec<Duration>);

impl Times {
    /// Sorted durations of runs made elsewhere.
    pub fn of(mut runs: Vec<Duration>) -> Self {
        runs.sort_unstable();
        Self(runs)
    }

    /// Runs `job` `runs` times after one run that does not count.
    pub fn take<T>(runs: usize, mut job: impl FnMut() -> T) -> Self {
        let mut timed = || {
            let began = Instant::now();
            std::hint::black_box(job());
            began.elapsed()
        };
        timed();
        Self::of((0..runs).map(|_| timed()).collect())
    }

    /// The run below which this share of the runs lies; zero when there is none.
    pub fn at(&self, share: f64) -> Duration {
        let last = self.0.len().saturating_sub(1);
        let index = (share * last as f64).round() as usize;
        self.0.get(index.min(last)).copied().unwrap_or_default()
    }

    /// Number of runs.
    pub fn count(&self) -> usize {
        self.0.len()
    }
}

/// A duration in the unit a reader expects.
pub fn say(time: Duration) -> String {
    let us = time.as_secs_f64() * 1e6;
    match us {
        _ if us < 1e3 => format!("{us:.1} µs"),
        _ if us < 1e6 => format!("{:.2} ms", us * 1e-3),
        _ => format!("{:.2} s", us * 1e-6),
    }
}

/// Prints the machine and the command, and a table's head.
pub fn head(bench: &str, names: &[&str]) {
    machine(bench);
    println!();
    columns(names);
}

/// Prints the machine and the command.
pub fn machine(bench: &str) {
    let read = |path: &str| std::fs::read_to_string(path).unwrap_or_default();
    let processors = read("/proc/cpuinfo");
    let model = processors.lines().find_map(|l| l.strip_prefix("model name")?.split(": ").nth(1));
    let cores = std::thread::available_parallelism().map_or(0, usize::from);
    let kib = read("/proc/meminfo")
        .lines()
        .find_map(|l| l.strip_prefix("MemTotal:")?.split_whitespace().next()?.parse::<f64>().ok());
    println!("Command: `cargo bench --workspace --profile release --bench {bench}`.");
    println!(
        "Machine: {}, {cores} cores, {:.0} GiB, {}.",
        model.unwrap_or("processor not named"),
        kib.unwrap_or(0.0) / 1024.0 / 1024.0,
        std::env::consts::OS
    );
}

/// Prints a table's head.
pub fn columns(names: &[&str]) {
    println!("| {} |", names.join(" | "));
    println!("|{}", "---|".repeat(names.len()));
}
