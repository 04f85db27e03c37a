//! A coupon's papers in one file: the traveler, and the welder record where the
//! coupon is accepted.

use bendproof_files::Document;
use bendproof_paper::{
    Issued, PageSize, PaperError, RecordPaper, both_pdf, rules_page, section_page, traveler_of, traveler_pdf,
};
use bendproof_traveler::context::AssessmentContext;
use bendproof_traveler::issued::{Issue, Record, rules_of_sheet, welder};
use bendproof_traveler::sheet::{Mark, Sheet};
use bendproof_traveler::solved::SolvedSheet;
use jiff::Timestamp;

/// The traveler as PDF, with its section where it was solved, and with the welder
/// record behind it where there is one.
///
/// # Errors
/// As [`traveler_pdf`].
pub fn sheet_pdf(
    sheet: &Sheet,
    record: Option<Record>,
    context: AssessmentContext,
    section: Option<&SolvedSheet>,
    issued: Issued,
    page: PageSize,
) -> Result<Vec<u8>, PaperError> {
    let mut traveler = traveler_of(sheet, issued, page);
    traveler.section = section.map(section_page);
    traveler.rules = rules_page(rules_of_sheet(sheet, context));
    match record {
        None => traveler_pdf(&traveler),
        Some(record) => both_pdf(&traveler, &RecordPaper { record, issued, page }),
    }
}

/// The welder record behind a traveler, once the coupon is accepted: nobody is to
/// sign a record of a test that was not passed.
pub fn record_behind(
    sheet: &Sheet,
    document: &Document,
    context: AssessmentContext,
    issued: Issued,
) -> Option<Record> {
    let is_accepted = sheet.verdict_mark == Mark::Holds;
    is_accepted.then(|| welder(document, None, context, Issue::print(issue_time(issued))).ok()).flatten()
}

/// The time of issue as a record says it.
pub fn issue_time(i: Issued) -> String {
    format!("{}-{:02}-{:02} {:02}:{:02}:{:02} UTC", i.year, i.month, i.day, i.hour, i.minute, i.second)
}

/// The time of issue at a moment, in coordinated universal time.
pub fn issued_at(moment: Timestamp) -> Issued {
    let at = moment.to_zoned_datetime(jiff::tz::TimeZone::UTC);
    let part = |value: i8| u8::try_from(value).unwrap_or(0);
    Issued {
        year: i32::from(at.year()),
        month: part(at.month()),
        day: part(at.day()),
        hour: part(at.hour()),
        minute: part(at.minute()),
        second: part(at.second()),
    }
}
