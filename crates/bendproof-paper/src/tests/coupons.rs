//! Whole coupons on paper: from the text of a coupon file to what the sheet says.

use bendproof_files::{COUPON, Document};
use bendproof_traveler::build::build;
use bendproof_traveler::drawn::Look;
use bendproof_traveler::sheet::Sheet;

use crate::sheet::reading::{closed_up, least_pt, printed};
use crate::sheet::set;
use crate::{Issued, PageSize, RecordPaper, traveler_of, traveler_pdf};
use bendproof_traveler::issued::{Issue, RecordRefused, bends, welder};

const ISSUED: Issued = Issued { year: 2026, month: 11, day: 25, hour: 14, minute: 3, second: 9 };
/// Downhill plate, accepted; four passes, four readings, two straps.
const ACCEPTED: &str = include_str!("../../../bendproof-desk/demo/coupons/0303.toml");
/// Downhill plate, rejected for one opening.
const REJECTED: &str = include_str!("../../../bendproof-desk/demo/coupons/0304.toml");
/// Fixed pipe; four side bends and a standing of eleven lines.
const PIPE: &str = include_str!("../../../bendproof-desk/demo/coupons/0308.toml");
/// Smallest text on a sheet, points.
const LEAST_PT: f64 = 6.5;

/// The sheet of a coupon of the invented shop, whose dates are days before the
/// day the shop is filled.
fn document(number: &str, text: &str) -> Document {
    let day = |line: &str| match line.starts_with("finished") {
        true => "finished = \"2026-10-01\"".to_owned(),
        false => line.to_owned(),
    };
    let dated: Vec<String> = text.lines().map(day).collect();
    let (mut document, _) = Document::from_toml(&COUPON, &dated.join("\n"));
    document.set("number", Some(number));
    document
}

fn sheet(number: &str, text: &str) -> Sheet {
    build(number, &document(number, text), &[], None, Look::Paper)
}

fn first() -> Issue {
    Issue::first("2026-11-25 14:03:09 UTC".to_owned(), "Ida Voss")
}

fn says(sheet: &Sheet, parts: &[&str]) {
    for page in [PageSize::Letter, PageSize::A4] {
        let document = set(Some(&traveler_of(sheet, ISSUED, page)), None).unwrap();
        assert_eq!(document.pages().len(), 1, "{} on {page:?}", sheet.number);
        assert!(least_pt(&document) >= LEAST_PT, "{}: {}", sheet.number, least_pt(&document));
        let text = printed(&document);
        for part in parts {
            assert!(text.contains(&closed_up(part)), "{}: {part} is missing in {text}", sheet.number);
        }
    }
}

#[test]
fn a_finished_plate_is_one_sheet_with_its_verdict_and_clauses() {
    let bands = ["10 fit", "20 settings", "30 passes", "40 forecast", "50 weld log", "60 straps and bends"];
    let accepted = sheet("0303", ACCEPTED);
    says(&accepted, &bands);
    says(
        &accepted,
        &["0303", &accepted.verdict, "aws-d1.1-2020", "6.10.3.3 (1)", "further points met", "80 standing"],
    );
    says(
        &accepted,
        &["check against your code book", "face, root strap", "Keyhole wanted to grow near the end"],
    );
}

#[test]
fn a_rejected_plate_says_why_in_full_and_covers_nothing() {
    let rejected = sheet("0304", REJECTED);
    says(&rejected, &["reject", "none: coupon rejected"]);
    let why = rejected.verdict_lines.iter().filter(|l| l.verdict != "accept");
    let why: Vec<&str> = why.map(|l| l.text.as_str()).collect();
    assert!(!why.is_empty());
    says(&rejected, &why);
    let refused = welder(&document("0304", REJECTED), None, None, first());
    assert!(matches!(refused, Err(RecordRefused::NotAccepted { .. })), "{refused:?}");
}

#[test]
fn a_pipe_with_its_standing_is_one_sheet_and_its_record_at_most_two() {
    let pipe = sheet("0308", PIPE);
    says(
        &pipe,
        &["0308", &pipe.verdict, "asme-ix-2023", "QW-163", "plate groove", "up to 0.4752 in", "clauses"],
    );
    let record = welder(&document("0308", PIPE), None, None, first()).unwrap();
    let record = set(None, Some(&RecordPaper { record, issued: ISSUED, page: PageSize::Letter })).unwrap();
    assert!(record.pages().len() <= 2);
    assert!(printed(&record).contains(&closed_up(&pipe.verdict)));
}

#[test]
fn an_empty_or_unreadable_coupon_still_prints() {
    let unreadable = "code = \"no such code\"\n[fit]\nthickness = \"thick\"\n[[pass]]\nkind = \"root\"\nvolts = \"#x\"\n[[strap]]\nid = \"R1\"\n";
    for text in ["", "not toml at all [", unreadable] {
        let sheet = sheet("1", text);
        let paper = traveler_of(&sheet, ISSUED, PageSize::Letter);
        assert!(!traveler_pdf(&paper).unwrap().is_empty());
        let refused = bends(&document("1", text), None, None, first());
        assert!(matches!(refused, Err(RecordRefused::Faults(_))), "{refused:?}");
        assert!(printed(&set(Some(&paper), None).unwrap()).contains("10fit"));
    }
}

#[test]
fn a_traveler_marks_what_it_proposes_as_proposals() {
    let foreign = ["process", "transfer", "wire =", "groove_angle"];
    let is_kept = |line: &&str| foreign.iter().all(|name| !line.starts_with(name));
    let text = include_str!("../../../../examples/plate-3g-uphill.toml");
    let text: Vec<&str> = text.lines().filter(is_kept).collect();
    let sheet = sheet("0413", &text.join("\n"));
    assert!(!sheet.forecast.is_empty(), "a plan is forecast by proposals");
    let parts = [
        "computed with these proposals, not stated",
        "process GMAW",
        "drawn at 60 deg, proposed, not stated",
    ];
    says(&sheet, &parts);
}
