//! Records of every kind on paper, Letter and A4: what stands in the record is
//! printed, and the same record gives the same bytes.

use bendproof_files::{COUPON, Document};
use bendproof_traveler::issued::{
    Block, Issue, Record, bends, continuity, log_of_record, procedure_record, procedure_sheet, welder,
};
use bendproof_traveler::procedure::read_procedure_record;
use bendproof_traveler::sheet::code_name;

use crate::sheet::reading::{closed_up, least_pt, printed};
use crate::sheet::set;
use crate::{Issued, PageSize, RecordPaper, record_pdf, workbook};

const ISSUED: Issued = Issued { year: 2026, month: 11, day: 25, hour: 14, minute: 3, second: 9 };
const PIPE: &str = include_str!("../../../bendproof-desk/demo/coupons/0308.toml");
const USES: &str = include_str!("../../../../examples/record.toml");
const PROCEDURE: &str = include_str!("../../../../examples/procedure.toml");
const TESTED: &str = include_str!("../../../../examples/procedure-record.toml");
/// Smallest text on a sheet, points.
const LEAST_PT: f64 = 6.5;

fn records() -> [Record; 5] {
    let (pipe, _) =
        Document::from_toml(&COUPON, &PIPE.replace("finished = \"@76\"", "finished = \"2026-10-01\""));
    let first = || Issue::first("2026-11-25 14:03:09 UTC".to_owned(), "Ida Voss");
    let behind = read_procedure_record(TESTED, None).unwrap();
    [
        welder(&pipe, None, None, first()).unwrap(),
        bends(&pipe, None, None, first()).unwrap(),
        continuity(&log_of_record(USES, "7", None).unwrap(), first()),
        procedure_sheet(PROCEDURE, Some(&behind), None, None, first()).unwrap(),
        procedure_record(TESTED, None, None, first()).unwrap(),
    ]
}

fn texts(block: &Block) -> Vec<&str> {
    let mut out = vec![block.title()];
    match block {
        Block::Fields { rows, .. } => out.extend(rows.iter().flat_map(|r| [&*r.label, &*r.value, &*r.range])),
        Block::Table { head, rows, .. } => {
            out.extend(head.iter().map(String::as_str));
            out.extend(rows.iter().flat_map(|r| r.cells.iter().map(String::as_str)));
        }
        Block::Drawing { .. } => {}
        Block::Notes { lines, .. } => out.extend(lines.iter().map(String::as_str)),
    }
    out
}

#[test]
fn everything_in_a_record_is_printed_on_both_sizes() {
    for record in records() {
        for page in [PageSize::Letter, PageSize::A4] {
            let paper = RecordPaper { record: record.clone(), issued: ISSUED, page };
            let document = set(None, Some(&paper)).unwrap();
            assert!(least_pt(&document) >= LEAST_PT);
            let text = printed(&document);
            let parts =
                record.blocks.iter().flat_map(texts).chain(record.open_points.iter().map(String::as_str));
            let code = code_name(&record.code);
            for part in parts.chain([record.title.as_str(), &code, &record.issue.at]) {
                assert!(text.contains(&closed_up(part)), "{part} is missing in {text}");
            }
        }
    }
}

/// A print that nobody issued bears the day it was printed.
#[test]
fn the_foot_of_a_page_says_issued_only_of_an_issue() {
    let [_, _, mut record, ..] = records();
    let foot = |record: &Record| {
        let paper = RecordPaper { record: record.clone(), issued: ISSUED, page: PageSize::Letter };
        let text = printed(&set(None, Some(&paper)).unwrap());
        ["issued", "printed"].map(|word| text.contains(&closed_up(&format!("· {word} 2026-11-25 14:03"))))
    };
    assert_eq!(foot(&record), [true, false]);
    record.issue = Issue::print("2026-11-25 14:03:09 UTC".to_owned());
    assert_eq!(foot(&record), [false, true]);
}

#[test]
fn only_a_procedure_warns_before_the_arc() {
    for record in records() {
        let is_procedure = record.title == "Welding procedure";
        let paper = RecordPaper { record, issued: ISSUED, page: PageSize::Letter };
        let text = printed(&set(None, Some(&paper)).unwrap());
        assert_eq!(text.contains(&closed_up("Arc rays burn eyes and skin")), is_procedure);
    }
}

#[test]
fn the_same_record_gives_the_same_bytes_and_another_issue_others() {
    for mut record in records() {
        let paper =
            |record: &Record| RecordPaper { record: record.clone(), issued: ISSUED, page: PageSize::Letter };
        let (pdf, book) = (record_pdf(&paper(&record)).unwrap(), workbook(&record, ISSUED).unwrap());
        assert_eq!(record_pdf(&paper(&record)).unwrap(), pdf);
        assert_eq!(workbook(&record, ISSUED).unwrap(), book);
        record.issue.why = "the stamp was wrong".to_owned();
        assert_ne!(record_pdf(&paper(&record)).unwrap(), pdf);
        assert_ne!(workbook(&record, ISSUED).unwrap(), book);
    }
}
