//! From the solved section to its printed page: picks and orders, decides nothing.

use bendproof_traveler::solved::SolvedSheet;

use crate::model::{Drawing, SectionPage, Table, WidePicture};

/// Head of the page.
const TITLE: &str = "predicted macroetch section";
/// Heads of the first two columns.
const FIRST: [&str; 2] = ["bead", "pass"];

/// The page of a solved section, for [`crate::TravelerPaper::section`]. The
/// section must be drawn for paper.
pub fn section_page(solved: &SolvedSheet) -> SectionPage {
    let own = FIRST.map(str::to_owned).into_iter();
    let units = FIRST.map(|_| String::new()).into_iter();
    let row = |row: &bendproof_traveler::solved::BeadRow| {
        [row.bead.to_string(), row.kind.clone()].into_iter().chain(row.cells.iter().cloned()).collect()
    };
    SectionPage {
        title: TITLE.to_owned(),
        stamp: solved.stamp.clone(),
        picture: WidePicture(Drawing {
            svg: solved.etch.clone(),
            alt: format!("{TITLE}, {}. {}", solved.stamp, solved.answers.join(" ")),
        }),
        answers: solved.answers.clone(),
        table: Table {
            head: own.chain(solved.columns.iter().map(|c| c.label.clone())).collect(),
            units: units.chain(solved.columns.iter().map(|c| c.unit.clone())).collect(),
            rows: solved.rows.iter().map(row).collect(),
            ..Table::default()
        },
        notes: solved.notes.clone(),
    }
}
