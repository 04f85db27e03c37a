//! How far a run has come, on a terminal and nowhere else.

use std::io::{IsTerminal, Write};
use std::ops::ControlFlow;
use std::sync::atomic::{AtomicU32, Ordering};

/// One line of a terminal that is written over, and taken away at the end.
pub struct Progress {
    cell_m: f64,
    percent: AtomicU32,
    is_shown: bool,
}

impl Progress {
    /// A line for a run with cells of this side.
    pub fn new(cell_m: f64) -> Self {
        Self { cell_m, percent: AtomicU32::new(0), is_shown: std::io::stderr().is_terminal() }
    }

    /// Shows a share of the run; never stops it.
    pub fn report(&self, done: f64) -> ControlFlow<()> {
        let percent = (100.0 * done) as u32;
        if self.is_shown && self.percent.swap(percent, Ordering::Relaxed) != percent {
            // A terminal that has gone away is no reason to stop solving.
            let _ = write!(
                std::io::stderr(),
                "\rcells of {} mm: {percent:3} %",
                bendproof_measure::round_to(self.cell_m * 1e3, 4)
            );
        }
        ControlFlow::Continue(())
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        if self.is_shown {
            // Back to the start of the line, and clear it.
            let _ = write!(std::io::stderr(), "\r\u{1b}[K");
        }
    }
}
