//! The traveler and the records as PDF; a record as a workbook too.
//!
//! The caller hands over words, numbers already written out, and drawings as
//! SVG; this crate lays them on a sheet. It decides nothing, computes nothing
//! and reads no clock: the time of issue is an argument, so the same sheet gives
//! the same bytes. The output is PDF/A-2a and PDF/UA-1: archivable, tagged,
//! titled, in a stated language, with its fonts inside.
//!
//! Text from users reaches the page as data, never as markup: nothing written in
//! a coupon can change the layout or run.

mod legible;
mod model;
mod of_section;
mod of_sheet;
mod picture;
mod printable;
mod record;
mod sheet;
mod workbook;
mod world;

pub use model::{
    Drawing, Footer, Issued, Line, Mark, Operation, PageSize, PrintedRule, SectionPage, Table, TravelerPaper,
    WidePicture, Words,
};
pub use of_section::section_page;
pub use of_sheet::traveler_of;
pub use picture::png;
pub use record::{RecordPaper, rules_page};
pub use sheet::{PaperError, both_pdf, record_pdf, traveler_pdf};
pub use workbook::workbook;

#[cfg(test)]
#[path = "tests/coupons.rs"]
mod coupons;
#[cfg(test)]
#[path = "tests/records.rs"]
mod records;
