//! The whole section of a solved coupon for a page.

use serde::Serialize;

use super::coupon::{COMPUTED, SolvedCoupon};
use super::table::{BeadRow, Column};
use super::{pictures, table};
use crate::drawn::Look;

/// The solved section as one value: everything the page shows and the paper
/// prints of it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SolvedSheet {
    /// The coupon's number.
    pub number: String,
    /// Title, as on the sheet.
    pub title: String,
    /// [`COMPUTED`].
    pub stamp: String,
    /// The picture, wide, with remarks next to it.
    pub etch: String,
    /// The same for a narrow window, remarks listed under it; empty on paper.
    pub etch_narrow: String,
    /// What the picture shows, in one sentence each, most important first.
    pub answers: Vec<String>,
    /// Heads of the bead table.
    pub columns: Vec<Column>,
    /// One row per bead.
    pub rows: Vec<BeadRow>,
    /// What the model leaves out, and what every number rests on.
    pub notes: Vec<String>,
}

/// The sheet of a solved coupon.
pub fn solved_sheet(solved: &SolvedCoupon, look: Look) -> SolvedSheet {
    let [etch, etch_narrow] = pictures::etches(solved, look);
    SolvedSheet {
        number: solved.number.clone(),
        title: solved.title.clone(),
        stamp: COMPUTED.to_owned(),
        etch,
        etch_narrow,
        answers: table::answers(solved),
        columns: table::columns(solved.system),
        rows: table::rows(solved),
        notes: table::notes(solved),
    }
}
