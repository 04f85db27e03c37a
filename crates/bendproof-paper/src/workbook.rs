//! A record as a workbook: the names and values on one sheet, each table on one
//! of its own, laid out to be read and printed. Every text is the one on paper;
//! a column of numbers in one unit is numbers, with the unit in its head. The
//! time of issue is the only date in it, so the same record gives the same bytes.

use bendproof_traveler::issued::{Block, Record};
use bendproof_traveler::sheet::basis_said;
use rust_xlsxwriter::{
    DocProperties, ExcelDateTime, Format, FormatAlign, FormatBorder, Workbook, Worksheet, XlsxError,
};

use crate::model::Issued;

/// Longest name of a sheet, characters: a limit of the file format.
const NAME_MAX: usize = 31;
/// Widest column, pixels; a longer text is broken into lines. Basis: choice, what
/// lets five columns stand on a sheet of paper laid across.
const WIDEST_PX: u32 = 380;
/// Units a column's head may bear, as records write them. Any other word behind a
/// number is what is counted: `4 side`.
const UNITS: [&str; 14] =
    ["V", "A", "°F", "°C", "in", "mm", "in/min", "mm/s", "cfh", "l/min", "kJ/in", "kJ/mm", "deg", "%"];
/// Said in a row whose limit is from memory.
const CHECK: &str = "check against your code book";

/// A sheet of the workbook: its name, the heads of its columns, its rows.
struct Page {
    name: String,
    head: Vec<String>,
    rows: Vec<Vec<Cell>>,
}

#[derive(Debug, Clone, PartialEq)]
enum Cell {
    Text(String),
    /// A number and how many decimals the record says.
    Number(f64, usize),
}

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
    for (index, page) in pages(record).into_iter().enumerate() {
        let sheet = book.add_worksheet();
        sheet.set_name(name_of(index, &page.name))?;
        fill(sheet, &page)?;
        lay_out(sheet, record, &page)?;
    }
    book.save_to_buffer()
}

fn fill(sheet: &mut Worksheet, page: &Page) -> Result<(), XlsxError> {
    let body = Format::new().set_text_wrap().set_align(FormatAlign::Top);
    let bold = body.clone().set_bold().set_border_bottom(FormatBorder::Thin);
    for (column, text) in (0_u16..).zip(&page.head) {
        sheet.write_string_with_format(0, column, text, &bold)?;
    }
    for (row, cells) in (1_u32..).zip(&page.rows) {
        for (column, cell) in (0_u16..).zip(cells) {
            match cell {
                Cell::Text(text) => sheet.write_string_with_format(row, column, text, &body)?,
                Cell::Number(value, decimals) => {
                    let shown = body.clone().set_num_format(shown_with(*decimals));
                    sheet.write_number_with_format(row, column, *value, &shown)?
                }
            };
        }
    }
    Ok(())
}

/// The number format that shows a number with the decimals the record says.
fn shown_with(decimals: usize) -> String {
    if decimals == 0 { "0".to_owned() } else { format!("0.{}", "0".repeat(decimals)) }
}

/// Widths, the head that stays in sight and is printed on every page, and the
/// print: across, one page wide, each page saying what it belongs to.
fn lay_out(sheet: &mut Worksheet, record: &Record, page: &Page) -> Result<(), XlsxError> {
    sheet.set_autofit_max_width(WIDEST_PX).autofit();
    sheet.set_freeze_panes(1, 0)?;
    sheet.set_repeat_rows(0, 0)?;
    sheet.set_landscape();
    sheet.set_print_fit_to_pages(1, 0);
    let last_row = u32::try_from(page.rows.len()).unwrap_or(u32::MAX);
    let last_column = u16::try_from(page.head.len().saturating_sub(1)).unwrap_or(u16::MAX);
    sheet.set_print_area(0, 0, last_row, last_column)?;
    // An ampersand begins a code in a footer; two of them are one.
    let said = |text: &str| text.replace('&', "&&");
    sheet.set_footer(format!(
        "&L{} {}, issue {}&C&A&R&P / &N",
        said(&record.title),
        said(&record.number),
        record.issue.revision
    ));
    Ok(())
}

fn pages(record: &Record) -> Vec<Page> {
    let mut out = vec![head(record)];
    let values: Vec<Vec<Cell>> = record.blocks.iter().flat_map(values).collect();
    if !values.is_empty() {
        let head = owned(&["part", "what", "value", "covers", "clause", "basis", "to check"]);
        out.push(Page { name: "values".to_owned(), head, rows: values });
    }
    out.extend(record.blocks.iter().filter_map(sheet_of));
    if !record.open_points.is_empty() {
        out.push(sentences("open items", &record.open_points));
    }
    out.push(issues(record));
    out
}

/// The name behind its place, without what a sheet's name may not hold.
fn name_of(index: usize, name: &str) -> String {
    let kept = name.chars().filter(|c| !"[]:*?/\\'".contains(*c));
    format!("{} ", index + 1).chars().chain(kept).take(NAME_MAX).collect()
}

fn owned(cells: &[&str]) -> Vec<String> {
    cells.iter().map(|c| (*c).to_owned()).collect()
}

fn texts(cells: &[&str]) -> Vec<Cell> {
    cells.iter().map(|c| Cell::Text((*c).to_owned())).collect()
}

fn head(r: &Record) -> Page {
    let mut rows = vec![
        texts(&["number", &r.number]),
        texts(&["code", &r.code]),
        texts(&["about", &r.subtitle]),
        texts(&["state", &r.state]),
    ];
    rows.extend(r.signatures.iter().map(|s| texts(&["to sign", s])));
    Page { name: "record".to_owned(), head: vec!["record".to_owned(), r.title.clone()], rows }
}

fn check(is_from_memory: bool) -> &'static str {
    if is_from_memory { CHECK } else { "" }
}

/// The rows a block of names and values adds to the sheet of them all.
fn values(block: &Block) -> Vec<Vec<Cell>> {
    let Block::Fields { title, rows } = block else { return Vec::new() };
    let row = |r: &bendproof_traveler::issued::FieldRow| {
        texts(&[
            title,
            &r.label,
            &r.value,
            &r.range,
            &r.clause,
            &basis_said(&r.basis),
            check(r.is_from_memory),
        ])
    };
    rows.iter().map(row).collect()
}

/// The sheet of a table or of sentences. A drawing stands on paper only.
fn sheet_of(block: &Block) -> Option<Page> {
    match block {
        Block::Fields { .. } | Block::Drawing { .. } => None,
        Block::Notes { title, lines } => Some(sentences(title, lines)),
        Block::Table { title, head, rows } => {
            let column = |n: usize| rows.iter().map(|r| r.cells.get(n).map_or("", String::as_str)).collect();
            let mut columns: Vec<(String, Vec<Cell>)> =
                head.iter().enumerate().map(|(n, name)| column_of(name, column(n))).collect();
            if rows.iter().any(|r| r.is_from_memory) {
                let checks = rows.iter().map(|r| Cell::Text(check(r.is_from_memory).to_owned()));
                columns.push(("to check".to_owned(), checks.collect()));
            }
            let row = |n: usize| columns.iter().map(|(_, cells)| cells[n].clone()).collect();
            Some(Page {
                name: title.clone(),
                rows: (0..rows.len()).map(row).collect(),
                head: columns.iter().map(|(name, _)| name.clone()).collect(),
            })
        }
    }
}

fn sentences(title: &str, lines: &[String]) -> Page {
    let rows = lines.iter().map(|line| texts(&[line])).collect();
    Page { name: title.to_owned(), head: vec![title.to_owned()], rows }
}

fn issues(r: &Record) -> Page {
    let row = |revision: u32, rest: [&str; 4]| {
        let mut cells = vec![Cell::Number(f64::from(revision), 0)];
        cells.extend(texts(&rest));
        cells
    };
    let earlier = r.issue.earlier.iter();
    let mut rows: Vec<Vec<Cell>> =
        earlier.map(|e| row(e.revision, [&e.at, &e.who, &e.why, &e.hash])).collect();
    rows.push(row(r.issue.revision, [&r.issue.at, &r.issue.who, &r.issue.why, ""]));
    let head = owned(&["issue", "day", "who", "why", "hash of its content"]);
    Page { name: "issues".to_owned(), head, rows }
}

/// A column as numbers with the unit in its head, where every cell that holds
/// something is a number in the same unit; else as it stands.
fn column_of(name: &str, cells: Vec<&str>) -> (String, Vec<Cell>) {
    let as_text = || (name.to_owned(), cells.iter().map(|c| Cell::Text((*c).to_owned())).collect());
    let mut unit: Option<&str> = None;
    let mut out = Vec::new();
    for cell in &cells {
        if cell.is_empty() {
            out.push(Cell::Text(String::new()));
            continue;
        }
        let (number, of) = cell.split_once(' ').unwrap_or((cell, ""));
        let Some(number) = number_of(number).filter(|_| unit.is_none_or(|unit| unit == of)) else {
            return as_text();
        };
        unit = Some(of);
        out.push(number);
    }
    match unit {
        None => as_text(),
        Some("") => (name.to_owned(), out),
        Some(unit) if UNITS.contains(&unit) => (format!("{name}, {unit}"), out),
        Some(_) => as_text(),
    }
}

/// A number as it is said: digits with a point at most. A leading zero makes it a
/// name, as in coupon 0308.
fn number_of(text: &str) -> Option<Cell> {
    let (whole, part) = text.split_once('.').map_or((text, None), |(whole, part)| (whole, Some(part)));
    let digits = whole.strip_prefix('-').unwrap_or(whole);
    let is_plain = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    if !is_plain(digits) || (digits.len() > 1 && digits.starts_with('0')) || !part.is_none_or(is_plain) {
        return None;
    }
    Some(Cell::Number(text.parse().ok()?, part.map_or(0, str::len)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_column_in_one_unit_is_numbers_and_any_other_stays_as_it_is() {
        let (name, cells) = column_of("volts", vec!["17.4 V", "", "18 V"]);
        assert_eq!(name, "volts, V");
        assert_eq!(cells, [Cell::Number(17.4, 1), Cell::Text(String::new()), Cell::Number(18.0, 0)]);
        let (name, cells) = column_of("pieces", vec!["2", "10"]);
        assert_eq!((name.as_str(), &cells[1]), ("pieces", &Cell::Number(10.0, 0)));
        for mixed in [
            vec!["17.4 V", "not stated"],
            vec!["70 F", "20 C"],
            vec!["7/16 in · 11.0 mm"],
            vec!["2 face, 2 root", "2 face, 2 root"],
            vec!["4 side"],
            vec!["0308"],
            vec!["3/32 in"],
            vec!["1e3"],
            vec![""],
        ] {
            let (name, cells) = column_of("what", mixed.clone());
            let same = mixed.iter().map(|text| Cell::Text((*text).to_owned()));
            assert_eq!((name, cells), ("what".to_owned(), same.collect()), "{mixed:?}");
        }
    }

    #[test]
    fn numbers_keep_the_decimals_they_are_said_with() {
        for (text, value, shown) in [("9.0", 9.0, "0.0"), ("-25", -25.0, "0"), ("0.035", 0.035, "0.000")] {
            let Some(Cell::Number(number, decimals)) = number_of(text) else { panic!("{text}") };
            assert_eq!((number, shown_with(decimals).as_str()), (value, shown));
        }
        for name in ["", "-", "1.", ".5", "08", "6G", "1-1/2", "+3"] {
            assert_eq!(number_of(name), None, "{name}");
        }
    }

    #[test]
    fn a_sheets_name_holds_only_what_it_may() {
        assert_eq!(name_of(2, "held against: the [record]"), "3 held against the record");
        assert_eq!(name_of(0, &"x".repeat(80)).chars().count(), NAME_MAX);
    }
}
