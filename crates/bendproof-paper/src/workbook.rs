//! A record as a workbook: one sheet a block, every number the text it is on
//! paper. The time of issue is the only date in it, so the same record gives the
//! same bytes.

use bendproof_traveler::issued::{Block, Record};
use rust_xlsxwriter::{DocProperties, ExcelDateTime, Format, Workbook, XlsxError};

use crate::model::Issued;

/// Longest name of a sheet, characters: a limit of the file format.
const NAME_MAX: usize = 31;
/// Said in a row whose limit is from memory.
const CHECK: &str = "† check against your code book";

/// A record as the bytes of an XLSX file.
///
/// # Errors
/// The writer's own words when a text is too long for a cell or the time of issue
/// is no date.
pub fn workbook(record: &Record, issued: Issued) -> Result<Vec<u8>, XlsxError> {
    let mut book = Workbook::new();
    let year = u16::try_from(issued.year).unwrap_or(0);
    let time = ExcelDateTime::from_ymd(year, issued.month, issued.day)?.and_hms(
        u16::from(issued.hour),
        issued.minute,
        f64::from(issued.second),
    )?;
    let title = format!("{} {}", record.number, record.title);
    book.set_properties(&DocProperties::new().set_title(title).set_creation_datetime(&time));
    let mut pages = vec![("record".to_owned(), head(record))];
    pages.extend(record.blocks.iter().map(|b| (b.title().to_owned(), rows(b))));
    pages.push(("open points".to_owned(), record.open_points.iter().map(|p| vec![p.clone()]).collect()));
    pages.push(("issues".to_owned(), issues(record)));
    let bold = Format::new().set_bold();
    for (index, (name, rows)) in pages.iter().enumerate() {
        let sheet = book.add_worksheet();
        sheet.set_name(name_of(index, name))?;
        for (row, cells) in (0_u32..).zip(rows) {
            for (column, text) in (0_u16..).zip(cells) {
                match row {
                    0 => sheet.write_string_with_format(row, column, text, &bold)?,
                    _ => sheet.write_string(row, column, text)?,
                };
            }
        }
        sheet.autofit();
    }
    book.save_to_buffer()
}

/// The block's head behind its place, without what a sheet's name may not hold.
fn name_of(index: usize, name: &str) -> String {
    let kept = name.chars().filter(|c| !"[]:*?/\\'".contains(*c));
    format!("{} ", index + 1).chars().chain(kept).take(NAME_MAX).collect()
}

fn owned(cells: &[&str]) -> Vec<String> {
    cells.iter().map(|c| (*c).to_owned()).collect()
}

fn head(r: &Record) -> Vec<Vec<String>> {
    let mut out = vec![
        owned(&["record", &r.title]),
        owned(&["number", &r.number]),
        owned(&["code", &r.code]),
        owned(&["about", &r.subtitle]),
        owned(&["state", &r.state]),
    ];
    out.extend(r.signatures.iter().map(|s| owned(&["to sign", s])));
    out
}

fn rows(block: &Block) -> Vec<Vec<String>> {
    let note = |is_from_memory: bool| if is_from_memory { CHECK } else { "" };
    match block {
        Block::Fields { rows, .. } => {
            let head = owned(&["what", "value", "covers", "clause", "basis", "note"]);
            let each = rows
                .iter()
                .map(|r| owned(&[&r.label, &r.value, &r.range, &r.clause, &r.basis, note(r.is_from_memory)]));
            std::iter::once(head).chain(each).collect()
        }
        Block::Table { head, rows, .. } => {
            let mut first = head.clone();
            first.push("note".to_owned());
            let each = rows.iter().map(|r| {
                let mut cells = r.cells.clone();
                cells.push(note(r.is_from_memory).to_owned());
                cells
            });
            std::iter::once(first).chain(each).collect()
        }
        Block::Drawing { alt, .. } => vec![vec![alt.clone()]],
        Block::Notes { lines, .. } => lines.iter().map(|l| vec![l.clone()]).collect(),
    }
}

fn issues(r: &Record) -> Vec<Vec<String>> {
    let mut out = vec![owned(&["issue", "day", "who", "why", "hash of its content"])];
    let earlier = r.issue.earlier.iter();
    out.extend(earlier.map(|e| owned(&[&e.revision.to_string(), &e.at, &e.who, &e.why, &e.hash])));
    out.push(owned(&[&r.issue.revision.to_string(), &r.issue.at, &r.issue.who, &r.issue.why, ""]));
    out
}
