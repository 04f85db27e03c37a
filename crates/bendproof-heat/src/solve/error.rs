//! What can keep a heat problem from being solved.

use thiserror::Error;

/// Why no field came back.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum HeatError {
    /// A quantity outside its range, or not a number.
    #[error("{quantity} {}, allowed {}; change it in the problem", figure(*.value, .unit), range(*.low, *.high, .unit))]
    OutOfRange {
        /// The quantity's name.
        quantity: &'static str,
        /// What was given, in `unit`.
        value: f64,
        /// Least allowed.
        low: f64,
        /// Greatest allowed.
        high: f64,
        /// Unit of all three.
        unit: &'static str,
    },
    /// The grid would need more cells than the caller allows.
    #[error("the grid needs {cells} cells ({} MiB), more than the {allowed} allowed; take larger cells or allow more", .bytes / (1 << 20))]
    TooManyCells {
        /// Cells it would need at most.
        cells: usize,
        /// Memory for them, bytes.
        bytes: usize,
        /// Cells allowed.
        allowed: usize,
    },
    /// The run would need more steps than the caller allows.
    #[error(
        "the run needs about {steps} steps, more than the {allowed} allowed; take larger cells, a faster travel or a shorter run"
    )]
    TooManySteps {
        /// Steps it would need.
        steps: usize,
        /// Steps allowed.
        allowed: usize,
    },
    /// The geometry leaves no metal where metal is needed.
    #[error("{0}")]
    Geometry(String),
    /// The heat in the metal does not match the heat brought in and lost.
    #[error(
        "the energy balance is off by {error:.2e} of the heat brought in, more than {allowed:.0e} allowed, at {time_s:.3} s; take smaller cells or smaller steps"
    )]
    Energy {
        /// Error as a share of the heat brought in.
        error: f64,
        /// Share allowed.
        allowed: f64,
        /// When it was noticed, s.
        time_s: f64,
    },
    /// The caller asked to stop.
    #[error("stopped after {:.0} % of the run, as asked", .0 * 100.0)]
    Cancelled(f64),
}

impl HeatError {
    /// Refuses a value outside its range; NaN is outside every range.
    pub(crate) fn check(
        quantity: &'static str,
        value: f64,
        low: f64,
        high: f64,
        unit: &'static str,
    ) -> Result<(), Self> {
        if value >= low && value <= high {
            return Ok(());
        }
        Err(Self::OutOfRange { quantity, value, low, high, unit })
    }
}

fn figure(value: f64, unit: &str) -> String {
    if value.is_nan() { "is not a number".to_owned() } else { format!("is {value} {unit}") }
}

fn range(low: f64, high: f64, unit: &str) -> String {
    // The ends of the number line are no limits worth printing.
    let open_above = high >= 1e300;
    match (low <= f64::MIN_POSITIVE && low > 0.0, open_above) {
        (true, true) => "above zero".to_owned(),
        (true, false) => format!("above zero, up to {high} {unit}"),
        (false, true) => format!("{low} {unit} or more"),
        (false, false) => format!("{low} to {high} {unit}"),
    }
}
