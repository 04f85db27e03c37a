//! A passed test written in one line, as some codes do.
//!
//! The line's order and fixed words come from the code file; a line with a part
//! missing is not made.

use bendproof_measure::{Quantity, round_to};

use super::passed::PassedTest;
use crate::catalogue::{Code, Names};
use crate::words::{JointBacking, TestShape};

/// Why the line cannot be written.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum DesignationError {
    /// The code has no such line.
    #[error("{0} has no designation line")]
    NoLine(String),
    /// Each coupon has a line of its own.
    #[error("the test has {0} coupons; a designation line has one position")]
    Several(usize),
    /// Parts that are not known.
    #[error("no ISO designation: {} missing", .0.join(", "))]
    Missing(Vec<&'static str>),
    /// Two processes in a groove and no word of how much this one put in.
    #[error(
        "the designation is not written: another process is in the joint and the deposit of this one is not \
         known; state deposit_thickness"
    )]
    NoDeposit,
    /// Two processes in a groove that is not backed.
    #[error(
        "the designation is not written: another process is in the joint, and which of the two made the root \
         is not known here; write the line by hand from the test record"
    )]
    WhoseRoot,
}

/// Writes the designation of a passed test, sizes in millimetres to a tenth and
/// with a decimal point.
///
/// # Errors
/// [`DesignationError`] names the parts that are missing.
pub fn designation(code: &Code, test: &PassedTest) -> Result<String, DesignationError> {
    let template = code.designation.as_ref().ok_or_else(|| DesignationError::NoLine(code.id.clone()))?;
    if test.positions.len() != 1 {
        return Err(DesignationError::Several(test.positions.len()));
    }
    let names = code.names;
    let fillet = !test.symbols(names, true).is_empty();
    let parts = [
        ("process", process(names, test)),
        ("product", Some(if test.shape == TestShape::Pipe { "T" } else { "P" }.to_owned())),
        ("weld", Some(if fillet { "FW" } else { "BW" }.to_owned())),
        ("filler group", test.details.fm_group.clone()),
        ("filler type", test.details.filler_type.clone()),
        ("dimensions", dimensions(test, fillet)),
        ("position", position(names, test)),
        ("details", detail(names, test, fillet)),
    ];
    let missing: Vec<&'static str> =
        parts.iter().filter(|(_, text)| text.is_none()).map(|(name, _)| *name).collect();
    let is_shared = !fillet && test.details.other_process.is_some();
    if is_shared
        && test.deposited().is_none()
        && missing.iter().all(|m| ["dimensions", "details"].contains(m))
    {
        return Err(DesignationError::NoDeposit);
    }
    if is_shared && missing == ["details"] {
        return Err(DesignationError::WhoseRoot);
    }
    if !missing.is_empty() {
        return Err(DesignationError::Missing(missing));
    }
    let fill = |line: String, (name, text): &(&str, Option<String>)| {
        line.replace(&format!("{{{name}}}"), text.as_deref().unwrap_or_default())
    };
    Ok(parts.iter().fold(template.clone(), fill))
}

fn process(names: &Names, test: &PassedTest) -> Option<String> {
    match names.of_process(test.process, test.details.filler_type.as_deref()).as_slice() {
        [only] => Some((*only).to_owned()),
        _ => None,
    }
}

fn position(names: &Names, test: &PassedTest) -> Option<String> {
    names.of_test(*test.positions.first()?, &test.progressions).map(str::to_owned)
}

/// Layers of a fillet, backing of a groove. Which of two processes made an open
/// root is not known.
fn detail(names: &Names, test: &PassedTest, fillet: bool) -> Option<String> {
    let is_backed = test.root() == JointBacking::Steel.word();
    if !fillet && !is_backed && test.details.other_process.is_some() {
        return None;
    }
    let word = if fillet { test.runs()? } else { test.root() };
    names.of_detail(word).map(str::to_owned)
}

fn dimensions(test: &PassedTest, fillet: bool) -> Option<String> {
    let mm = |size: Quantity| round_to(size.si * 1e3, 1);
    let thickness =
        if fillet { format!("t{}", mm(test.thickness)) } else { format!("s{}", mm(test.deposited()?)) };
    match test.shape {
        TestShape::Plate => Some(thickness),
        TestShape::Pipe => Some(format!("{thickness} D{}", mm(test.outside_diameter?))),
    }
}
