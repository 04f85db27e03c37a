//! The nominal size of a pipe.

use bendproof_measure::{Kind, Quantity, parse_number};
use bendproof_weld::pipe::PipeSize;

/// The nominal size of a row of the pipe table.
pub(crate) fn nominal_of(size: &PipeSize) -> Option<Quantity> {
    Quantity::parse(Kind::Length, &format!("{} in", size.nps))
        .ok()
        .filter(|_| parse_number(&size.nps).is_ok())
}
