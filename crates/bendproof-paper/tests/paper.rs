//! The PDF as bytes: the same every time, archivable, tagged, refused when
//! something is missing.

use bendproof_paper::{Drawing, PageSize, PaperError, both_pdf, record_pdf, traveler_pdf};

mod sample;

fn contains(bytes: &[u8], text: &str) -> bool {
    bytes.windows(text.len()).any(|window| window == text.as_bytes())
}

#[test]
fn the_same_sheet_gives_the_same_bytes() {
    assert_eq!(traveler_pdf(&sample::traveler()).unwrap(), traveler_pdf(&sample::traveler()).unwrap());
    assert_eq!(record_pdf(&sample::record()).unwrap(), record_pdf(&sample::record()).unwrap());
    let both = || both_pdf(&sample::traveler(), &sample::record()).unwrap();
    assert_eq!(both(), both());
}

#[test]
fn the_time_of_issue_and_nothing_else_dates_the_file() {
    let mut later = sample::traveler();
    later.issued.day = 26;
    let bytes = traveler_pdf(&later).unwrap();
    assert_ne!(bytes, traveler_pdf(&sample::traveler()).unwrap());
    assert!(contains(&bytes, "2026-11-26T14:03:09"));
}

#[test]
fn the_file_says_it_is_archivable_and_accessible() {
    let bytes = traveler_pdf(&sample::traveler()).unwrap();
    for text in ["pdfaid:part>2<", "pdfaid:conformance>A<", "pdfuaid:part>1<", "Bendproof", "/MarkInfo"] {
        assert!(contains(&bytes, text), "{text}");
    }
}

#[test]
fn a_normal_traveler_is_one_sheet_of_either_size() {
    for (page, width) in [(PageSize::Letter, "612"), (PageSize::A4, "595.2")] {
        let bytes = traveler_pdf(&sample::traveler_on(page)).unwrap();
        assert!(contains(&bytes, "NPages>1<"), "{page:?}");
        assert!(contains(&bytes, &format!("/MediaBox[0 0 {width}")), "{page:?}");
    }
}

#[test]
fn a_drawing_without_words_and_a_ragged_table_are_refused() {
    let mut mute = sample::traveler();
    mute.operations[0].drawing = Some(Drawing { svg: "<svg/>".into(), alt: " ".into() });
    assert!(matches!(traveler_pdf(&mute), Err(PaperError::NoWords { operation }) if operation == "10"));
    let mut ragged = sample::traveler();
    ragged.operations[1].tables[0].rows[2].pop();
    assert!(matches!(traveler_pdf(&ragged), Err(PaperError::Ragged { head: 8, row: 7 })));
}

#[test]
fn a_broken_drawing_is_an_error_and_not_a_crash() {
    let mut broken = sample::traveler();
    broken.operations[0].drawing = Some(Drawing { svg: "<svg><not closed".into(), alt: "x".into() });
    assert!(matches!(traveler_pdf(&broken), Err(PaperError::Setting(_))));
}
