//! From data to PDF bytes. The layout itself is `sheet.typ`.

use serde_json::{Value, json};
use typst::diag::SourceDiagnostic;
use typst::foundations::{Datetime, Smart};
use typst_layout::PagedDocument;
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards, Timestamp};

use crate::model::{Issued, Table, TravelerPaper};
use crate::printable;
use crate::record::{RecordPaper, record_data};
use crate::world::Sheet;

/// Largest sheet data accepted, bytes of text and drawings together. Basis:
/// choice; a full traveler is about 100 kB.
pub const DATA_MAX_BYTES: usize = 4 * 1024 * 1024;
/// Renders for which the typesetter remembers intermediate results. Basis:
/// choice: remembering one made no paper faster and each a hundred megabytes larger.
const REMEMBERED_RENDERS: usize = 0;
/// Sizes of a traveler's print, from full size to the densest still easy to read,
/// as parts of full size; small print stays as large as it is. Basis: choice.
const DENSITIES: [f64; 9] = [1.0, 0.95, 0.9, 0.86, 0.82, 0.78, 0.74, 0.7, 0.66];

/// Why no paper could be made.
#[derive(Debug, thiserror::Error)]
pub enum PaperError {
    /// The time of issue is not a date and time.
    #[error("the time of issue {0} is not a date; year 1900 to 9999, a real month, day and time")]
    Issued(String),
    /// More data than one sheet can hold.
    #[error("the sheet's data is {bytes} bytes, allowed are {DATA_MAX_BYTES}; shorten the longest text")]
    TooLarge {
        /// Size found.
        bytes: usize,
    },
    /// A drawing has no words for a screen reader.
    #[error("{operation}: its drawing has no description in words; give one")]
    NoWords {
        /// The operation or the part of the record.
        operation: String,
    },
    /// A table's row does not match its head.
    #[error("a table has {head} heads and a row of {row} cells; make them equal")]
    Ragged {
        /// Cells in the head.
        head: usize,
        /// Cells in the row.
        row: usize,
    },
    /// The data could not be written for the template.
    #[error("the sheet's data could not be written: {0}")]
    Data(#[from] serde_json::Error),
    /// The typesetter refused.
    #[error("the sheet could not be set: {0}")]
    Setting(String),
    /// A drawing could not be painted.
    #[error("the picture cannot be painted: {0}")]
    Picture(String),
}

/// The traveler as PDF bytes.
///
/// # Errors
/// [`PaperError`] when the time of issue is no date, a drawing has no words, a
/// table is ragged, the data is too large, or the typesetter refuses.
pub fn traveler_pdf(paper: &TravelerPaper) -> Result<Vec<u8>, PaperError> {
    pdf(Some(paper), None, paper.issued)
}

/// A record of any kind as PDF bytes.
///
/// # Errors
/// As [`traveler_pdf`].
pub fn record_pdf(record: &RecordPaper) -> Result<Vec<u8>, PaperError> {
    pdf(None, Some(record), record.issued)
}

/// Traveler and record in one file, the traveler first, each with its own page
/// numbers.
///
/// # Errors
/// As [`traveler_pdf`].
pub fn both_pdf(paper: &TravelerPaper, record: &RecordPaper) -> Result<Vec<u8>, PaperError> {
    pdf(Some(paper), Some(record), paper.issued)
}

fn pdf(
    paper: Option<&TravelerPaper>,
    record: Option<&RecordPaper>,
    issued: Issued,
) -> Result<Vec<u8>, PaperError> {
    let options = options(issued, paper.map(|p| &p.number), record)?;
    let document = set(paper, record)?;
    let bytes = typst_pdf::pdf(&document, &options).map_err(|errors| refused(&errors))?;
    typst::comemo::evict(REMEMBERED_RENDERS);
    Ok(bytes)
}

/// The set pages, before they are written as PDF.
pub(crate) fn set(
    paper: Option<&TravelerPaper>,
    record: Option<&RecordPaper>,
) -> Result<PagedDocument, PaperError> {
    check(paper)?;
    let record = record.map(record_data).transpose()?;
    let mut data = json!({ "traveler": serde_json::to_value(paper)?, "record": record });
    printable::whole(&mut data);
    data["trial"] = Value::Bool(false);
    data["density"] = json!(if paper.is_some() { density(&data)? } else { DENSITIES[0] });
    laid_out(&data)
}

fn laid_out(data: &Value) -> Result<PagedDocument, PaperError> {
    let bytes = serde_json::to_vec(data)?;
    if bytes.len() > DATA_MAX_BYTES {
        return Err(PaperError::TooLarge { bytes: bytes.len() });
    }
    let sheet = Sheet::new(bytes).ok_or_else(|| PaperError::Setting("no template".to_owned()))?;
    typst::compile::<PagedDocument>(&sheet).output.map_err(|errors| refused(&errors))
}

/// The largest density at which a traveler's operations fit one page; full size
/// where they fit at none, and then flow over two. Each try is a layout of its own
/// that is forgotten at once: tried inside one layout, they would all be remembered
/// until the paper is done, which took three times the memory.
fn density(data: &Value) -> Result<f64, PaperError> {
    let mut trial = data.clone();
    trial["trial"] = Value::Bool(true);
    trial["record"] = Value::Null;
    trial["traveler"]["section"] = Value::Null;
    trial["traveler"]["rules"] = json!([]);
    let mut fits = |step: usize| {
        trial["density"] = json!(DENSITIES[step]);
        let pages = laid_out(&trial)?.pages().len();
        typst::comemo::evict(REMEMBERED_RENDERS);
        Ok::<bool, PaperError>(pages == 1)
    };
    let (mut too_large, mut fitting) = (0, DENSITIES.len() - 1);
    if fits(too_large)? || !fits(fitting)? {
        return Ok(DENSITIES[0]);
    }
    while fitting - too_large > 1 {
        let middle = usize::midpoint(too_large, fitting);
        if fits(middle)? { fitting = middle } else { too_large = middle }
    }
    Ok(DENSITIES[fitting])
}

fn check(paper: Option<&TravelerPaper>) -> Result<(), PaperError> {
    let operations = paper.map_or(&[][..], |p| &p.operations);
    for operation in operations {
        if operation.drawing.as_ref().is_some_and(|d| d.alt.trim().is_empty()) {
            return Err(PaperError::NoWords { operation: operation.number.clone() });
        }
    }
    let section = paper.and_then(|p| p.section.as_ref());
    if section.is_some_and(|s| s.picture.0.alt.trim().is_empty()) {
        return Err(PaperError::NoWords { operation: "section".to_owned() });
    }
    let tables = operations.iter().flat_map(|o| &o.tables);
    tables.chain(section.map(|s| &s.table)).try_for_each(check_table)
}

fn check_table(table: &Table) -> Result<(), PaperError> {
    let marks = usize::from(!table.marks.is_empty());
    if let Some(row) = table.rows.iter().find(|row| row.len() + marks != table.head.len()) {
        return Err(PaperError::Ragged { head: table.head.len(), row: row.len() + marks });
    }
    let counts = [(&table.units.len(), table.head.len()), (&table.marks.len(), table.rows.len())];
    match counts.into_iter().find(|(counts, wanted)| **counts != 0 && *counts != wanted) {
        Some((counts, wanted)) => Err(PaperError::Ragged { head: wanted, row: *counts }),
        None => Ok(()),
    }
}

fn options(
    issued: Issued,
    traveler: Option<&String>,
    record: Option<&RecordPaper>,
) -> Result<PdfOptions, PaperError> {
    let Issued { year, month, day, hour, minute, second } = issued;
    let time = Datetime::from_ymd_hms(year, month, day, hour, minute, second)
        .filter(|_| (1900..=9999).contains(&year))
        .ok_or_else(|| PaperError::Issued(format!("{year}-{month}-{day} {hour}:{minute}:{second}")))?;
    let standards = PdfStandards::new(&[PdfStandard::A_2a, PdfStandard::Ua_1])
        .map_err(|error| PaperError::Setting(error.message().to_string()))?;
    let record = record.map(|r| (r.record.kind, &r.record.number, &r.record.code, r.record.issue.revision));
    let ident = format!("bendproof traveler {traveler:?} record {record:?} {issued:?}");
    Ok(PdfOptions {
        ident: Smart::Custom(ident),
        creator: Smart::Custom(Some("Bendproof".to_owned())),
        timestamp: Some(Timestamp::new_utc(time)),
        standards,
        ..PdfOptions::default()
    })
}

fn refused(errors: &[SourceDiagnostic]) -> PaperError {
    let messages: Vec<&str> = errors.iter().map(|e| e.message.as_str()).collect();
    PaperError::Setting(messages.join("; "))
}

/// What a set document says, for the tests.
#[cfg(test)]
pub(crate) mod reading {
    use typst::layout::{Frame, FrameItem};
    use typst_layout::PagedDocument;

    fn gather(frame: &Frame, out: &mut String, least_pt: &mut f64) {
        for (_, item) in frame.items() {
            match item {
                FrameItem::Group(group) => gather(&group.frame, out, least_pt),
                FrameItem::Text(text) => {
                    out.push_str(&text.text);
                    *least_pt = least_pt.min(text.size.to_pt());
                }
                _ => {}
            }
        }
    }

    /// The printed text of all pages, spaces and line breaks left out.
    pub(crate) fn printed(document: &PagedDocument) -> String {
        let mut out = String::new();
        let mut least_pt = f64::INFINITY;
        document.pages().iter().for_each(|page| gather(&page.frame, &mut out, &mut least_pt));
        out.chars().filter(|c| !c.is_whitespace() && *c != '\u{200B}').collect()
    }

    pub(crate) fn closed_up(text: &str) -> String {
        text.chars().filter(|c| !c.is_whitespace()).collect()
    }

    /// Size of the smallest text, points; drawings are not looked into.
    pub(crate) fn least_pt(document: &PagedDocument) -> f64 {
        let (mut out, mut least_pt) = (String::new(), f64::INFINITY);
        document.pages().iter().for_each(|page| gather(&page.frame, &mut out, &mut least_pt));
        least_pt
    }
}

#[cfg(test)]
mod tests {
    use super::reading::{closed_up, printed};
    use super::*;
    use crate::model::{Footer, Line, Operation, PageSize, Words};

    #[test]
    fn a_sheet_is_set_as_large_as_one_page_holds() {
        let density_of = |lines: usize| {
            let data = json!({ "traveler": serde_json::to_value(paper("plate", lines)).unwrap() });
            density(&data).unwrap()
        };
        let chosen: Vec<f64> = (5..=95).step_by(10).map(density_of).collect();
        let over = chosen.iter().rposition(|k| *k < 1.0).unwrap() + 1;
        assert!(chosen[..over].is_sorted_by(|a, b| a >= b), "{chosen:?}");
        assert!(chosen[..over].iter().any(|k| DENSITIES[1..8].contains(k)), "{chosen:?}");
        assert!(chosen[over..].iter().all(|k| *k == 1.0), "{chosen:?}");
        assert!(over < chosen.len(), "no sheet flowed over: {chosen:?}");
    }

    fn paper(title: &str, lines: usize) -> TravelerPaper {
        let line = |index: usize| Line {
            label: format!("item {index}"),
            value: "1/8 in".into(),
            note: String::new(),
            mark: None,
            check_own_copy: index == 0,
            rule: String::new(),
        };
        TravelerPaper {
            number: "0187".into(),
            title: title.into(),
            subtitle: "for the test".into(),
            stamp: None,
            stamp_note: String::new(),
            operations: vec![Operation {
                number: "10".into(),
                name: "fit".into(),
                drawing: None,
                lines: (0..lines).map(line).collect(),
                facts: Vec::new(),
                tables: Vec::new(),
                sources: vec!["a source".into()],
                sign_off: true,
            }],
            cautions: vec!["arc rays".into()],
            section: None,
            rules: Vec::new(),
            footer: Footer { code: "AWS D1.1:2020".into(), rules: "1".into(), notes: Vec::new() },
            issued: Issued { year: 2026, month: 1, day: 2, hour: 3, minute: 4, second: 5 },
            page: PageSize::Letter,
            words: Words::english(),
        }
    }

    #[test]
    fn a_short_sheet_is_one_page_and_says_what_it_was_given() {
        let document = set(Some(&paper("3/8 in plate", 5)), None).unwrap();
        assert_eq!(document.pages().len(), 1);
        let text = printed(&document);
        for part in [
            "0187",
            "3/8 in plate",
            "item 4",
            "check against your code book",
            "a source",
            "arc rays",
            "AWS D1.1:2020 · rules 1 · printed 2026-01-02 03:04 UTC",
            "0187 · page 1 of 1",
        ] {
            assert!(text.contains(&closed_up(part)), "{part} is missing in {text}");
        }
    }

    #[test]
    fn a_long_sheet_flows_on_and_keeps_every_line() {
        let document = set(Some(&paper("long", 150)), None).unwrap();
        assert!(document.pages().len() >= 2);
        let text = printed(&document);
        for index in 0..150 {
            assert!(text.contains(&format!("item{index}1/8in")), "item {index}");
        }
        assert!(text.contains(&format!("page{0}of{0}", document.pages().len())));
    }

    #[test]
    fn markup_in_text_is_printed_and_not_read() {
        let hostile = "#import \"@preview/x:1.0.0\" *b* $x^2$ _i_ `raw` = head\n- item <label> @ref \\ // c /* d */ #panic()";
        let document = set(Some(&paper(hostile, 1)), None).unwrap();
        let text = printed(&document);
        assert!(text.contains(&closed_up(hostile)), "{text}");
    }

    #[test]
    fn a_title_of_ten_kilobytes_is_printed_whole() {
        for title in ["a word of a long title ".repeat(440), "x".repeat(10_000)] {
            let document = set(Some(&paper(&title, 1)), None).unwrap();
            assert!(printed(&document).contains(&closed_up(&title)));
        }
    }

    #[test]
    fn a_character_the_typeface_lacks_is_named() {
        let document = set(Some(&paper("焊 Nguyễn Ñandú", 1)), None).unwrap();
        assert!(printed(&document).contains("[710A]NguyễnÑandú"));
    }

    #[test]
    fn what_cannot_be_printed_is_refused_in_words() {
        let mut late = paper("t", 1);
        late.issued.month = 13;
        assert!(traveler_pdf(&late).unwrap_err().to_string().contains("2026-13-2 3:4:5 is not a date"));
        let error = traveler_pdf(&paper(&"x ".repeat(DATA_MAX_BYTES), 1)).unwrap_err();
        assert!(matches!(error, PaperError::TooLarge { .. }), "{error}");
    }
}
