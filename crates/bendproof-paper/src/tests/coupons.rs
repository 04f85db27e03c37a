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
/// Uphill plate with a wide opening and a thick root face.
const WIDE: &str = include_str!("../../../bendproof-desk/demo/coupons/0312.toml");
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
    let bands =
        ["10 fit-up", "20 settings", "30 passes", "40 forecast", "50 weld log", "60 specimens & bend tests"];
    let accepted = sheet("0303", ACCEPTED);
    says(&accepted, &bands);
    says(
        &accepted,
        &[
            "0303",
            &accepted.verdict,
            "AWS D1.1:2020",
            "6.10.3.3 (1)",
            "further points met",
            "80 qualification",
        ],
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
        &["0308", &pipe.verdict, "ASME IX:2023", "QW-163", "plate groove", "up to 0.4752 in", "clauses"],
    );
    let record = welder(&document("0308", PIPE), None, None, first()).unwrap();
    let record = set(None, Some(&RecordPaper { record, issued: ISSUED, page: PageSize::Letter })).unwrap();
    assert!(record.pages().len() <= 2);
    assert!(pipe.verdict.split("; ").all(|part| printed(&record).contains(&closed_up(part))));
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
        assert!(printed(&set(Some(&paper), None).unwrap()).contains("10fit-up"));
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

/// The words inside the printed drawing of an operation.
fn drawn(sheet: &Sheet, number: &str) -> (Vec<String>, crate::legible::Printed) {
    let paper = traveler_of(sheet, ISSUED, PageSize::Letter);
    let operation = paper.operations.iter().find(|o| o.number == number).unwrap();
    let printed = crate::legible::printed(&operation.drawing.as_ref().unwrap().svg, &crate::legible::PLACE);
    let texts =
        printed.svg.split("</text>").filter_map(|part| part.rsplit_once('>').map(|(_, t)| t.to_owned()));
    (texts.collect(), printed)
}

#[test]
fn the_printed_map_keeps_both_axes_and_leaves_no_empty_ground() {
    for (number, text) in [("0303", ACCEPTED), ("0308", PIPE), ("0312", WIDE)] {
        let (texts, map) = drawn(&sheet(number, text), "40");
        for wanted in ["root opening, in · mm", "root face, in · mm", "1/8", "3.2"] {
            assert!(texts.iter().any(|t| t == wanted), "{number}: no {wanted} in {texts:?}");
        }
        // Every rounded ground has its word right behind it.
        for ground in map.svg.split("<rect ").skip(1).filter(|rect| rect.contains("rx=\"2\"")) {
            assert!(ground.split_once("/>").unwrap().1.starts_with("<text"), "{number}: {ground}");
        }
    }
}

#[test]
fn the_printed_cut_plan_and_both_joint_drawings_keep_their_numbers() {
    for (number, text) in [("0303", ACCEPTED), ("0312", WIDE)] {
        let sheet = sheet(number, text);
        let (texts, plan) = drawn(&sheet, "60");
        assert!(plan.left_out.is_empty(), "{number}: {:?}", plan.left_out);
        assert!(texts.iter().filter(|t| t.starts_with("1-1/2")).count() == 2, "{number}: {texts:?}");
        let face = root_face(&sheet);
        for operation in ["10", "30"] {
            let (texts, joint) = drawn(&sheet, operation);
            assert_eq!(
                texts.iter().filter(|t| t.contains(&face)).count(),
                2,
                "{number} {operation}: {texts:?}"
            );
            assert!(joint.left_out.is_empty(), "{number} {operation}: {:?}", joint.left_out);
        }
    }
}

/// The root face as the sheet states it, without its unit.
fn root_face(sheet: &Sheet) -> String {
    let field = sheet.fit.iter().find(|f| f.path == "fit.root_face").unwrap();
    field.text.trim_end_matches(" in").to_owned()
}

#[test]
fn a_stamp_is_a_bar_and_few_words_and_its_note_stands_apart() {
    let pipe = sheet("0308", PIPE);
    let paper = traveler_of(&pipe, ISSUED, PageSize::Letter);
    let stamp = paper.stamp.unwrap();
    assert_eq!((stamp.word.as_str(), stamp.sign), ("accept · ASME IX:2023", bendproof_drawing::Sign::Holds));
    assert_eq!(paper.stamp_note, "no construction code named, cap and undercut not held to any limit");
    let rejected = traveler_of(&sheet("0304", REJECTED), ISSUED, PageSize::Letter).stamp.unwrap();
    assert!(
        rejected.sign == bendproof_drawing::Sign::Fails && rejected.word.starts_with("reject"),
        "{rejected:?}"
    );
}

#[test]
fn a_stick_plan_prints_its_rods_and_no_wire_or_fusion() {
    let stick = sheet("0420", include_str!("../../../../examples/plate-3g-stick.toml"));
    let text = printed(&set(Some(&traveler_of(&stick, ISSUED, PageSize::Letter)), None).unwrap());
    for word in ["weld per rod", "handbook amps", "120", "groove filled", "no forecast for SMAW"] {
        assert!(text.contains(&closed_up(word)), "{word} is missing in {text}");
    }
    for word in ["fusion", "wirefeed"] {
        assert!(!text.contains(&closed_up(word)), "{word} in {text}");
    }
}

#[test]
fn paper_says_the_words_of_the_page() {
    for (number, text) in [("0303", ACCEPTED), ("0308", PIPE)] {
        let sheet = sheet(number, text);
        let text = printed(&set(Some(&traveler_of(&sheet, ISSUED, PageSize::Letter)), None).unwrap());
        for word in ["specimens & bend tests", "qualification", "temp before pass", "total time", "fusion"] {
            assert!(text.contains(&closed_up(word)), "{number}: {word} is missing in {text}");
        }
        for word in [
            "straps and bends",
            "80standing",
            "not settled",
            "clocktime",
            "metalbefore",
            "tie-in",
            "asme-ix",
            "aws-d1.1",
            "(choice)",
            "(secondary)",
        ] {
            assert!(!text.contains(&closed_up(word)), "{number}: {word} in {text}");
        }
    }
}
