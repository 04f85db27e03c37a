//! Every published formula on its own: named arguments in people's units, one
//! value out, with its source, its basis and its doubts.
//!
//! Each formula is described once in a register; listing, help, evaluation and
//! the schema of a page are all read from that description. The arithmetic
//! itself lives in `bendproof-weld` and `bendproof-heat`.

mod arc;
mod argument;
mod bend;
mod common;
mod distortion;
mod evaluate;
mod groove;
mod heat;
mod metallurgy;
mod pool;
mod steel;
mod stick;

pub use argument::{Argument, Input, Need};
pub use evaluate::{Also, Answer, ArgumentError, CalcError, Formula, Given};

/// Every formula, by subject: arc, groove, heat, steel, metallurgy, distortion,
/// pool, bend.
pub fn list() -> impl Iterator<Item = &'static Formula> {
    [
        arc::FORMULAS,
        groove::FORMULAS,
        heat::FORMULAS,
        steel::FORMULAS,
        metallurgy::FORMULAS,
        distortion::FORMULAS,
        pool::FORMULAS,
        bend::FORMULAS,
        stick::FORMULAS,
    ]
    .into_iter()
    .flatten()
}

/// Finds a formula by its name.
///
/// # Errors
/// [`CalcError::UnknownFormula`] with the nearest name there is.
pub fn find(name: &str) -> Result<&'static Formula, CalcError> {
    list().find(|f| f.name == name).ok_or_else(|| CalcError::UnknownFormula {
        name: name.to_owned(),
        nearest: argument::nearest(name, list().map(|f| f.name)),
    })
}

/// Evaluates a formula from texts as people write them.
///
/// # Errors
/// [`CalcError`] lists everything wrong at once: unknown, missing, repeated,
/// unreadable and out-of-range arguments.
///
/// # Examples
/// ```
/// let answer = bendproof_calc::evaluate(
///     "current_from_wire_feed",
///     &[("diameter", "0.035 in"), ("extension", "8 mm"), ("wire_feed", "200 in/min")],
/// )
/// .unwrap();
/// assert_eq!(answer.unit, "A");
/// assert!((answer.value - 120.0).abs() < 1.0);
/// ```
pub fn evaluate(name: &str, arguments: &[(&str, &str)]) -> Result<Answer, CalcError> {
    find(name)?.evaluate(arguments)
}
