//! Whatever is in a file, the reader answers and does not fall over, and every
//! line it names is there.
#![allow(clippy::unwrap_used)]

mod support;

use bendproof_files::{Document, FileKind, Finding, Reader, read_coupon, read_fit, read_heat, read_straps};
use proptest::prelude::*;
use support::{KINDS, SOUND, known};

fn read_everything(kind: &FileKind, text: &str) -> Vec<Finding> {
    let (document, mut findings) = Document::from_toml(kind, text);
    match kind.name {
        "coupon" => {
            findings.extend(read_coupon(&document, known()).findings);
            read_fit(&document, known());
        }
        "bends" => {
            let mut reader = Reader::new(kind, &document, known());
            read_straps(&mut reader, true, false);
            findings.extend(reader.into_findings());
        }
        "heat" => findings = read_heat(text).1,
        "joints" => {
            let mut reader = Reader::new(kind, &document, known());
            for row in document.rows("joint") {
                reader.text(&format!("joint.{row}.kind"));
                reader.quantity(&format!("joint.{row}.thickness"));
            }
            findings.extend(reader.into_findings());
        }
        "record" => {
            let mut reader = Reader::new(kind, &document, known());
            for row in document.rows("uses") {
                reader.date(&format!("uses.{row}"));
            }
            reader.count("layers");
            findings.extend(reader.into_findings());
        }
        _ => {
            let mut reader = Reader::new(kind, &document, known());
            for spec in kind.specs.iter().filter(|spec| !spec.path.contains('#')) {
                reader.text(spec.path);
            }
            for row in document.rows("joint").into_iter().filter(|_| kind.name != "procedure-record") {
                reader.quantity(&format!("joint.{row}.thickness"));
            }
            findings.extend(reader.into_findings());
        }
    }
    document.to_toml(kind);
    findings
}

fn holds(text: &str) -> Result<(), TestCaseError> {
    let lines = text.split('\n').count();
    for kind in KINDS {
        for finding in read_everything(kind, text) {
            prop_assert!(!finding.message.is_empty());
            prop_assert!(finding.line.is_none_or(|line| (1..=lines).contains(&line)), "{finding}");
        }
    }
    Ok(())
}

/// Pieces of our files, put together in an order nobody would.
const PIECES: &[&str] = &[
    "[fit]\n",
    "[[pass]]\n",
    "[[strap]]\n",
    "[pass]\n",
    "[strap.openings]\n",
    "openings = [",
    "]\n",
    "{",
    "}",
    ", ",
    "length = ",
    "thickness = ",
    "\"3/8 in\"",
    "\"nan\"",
    "1e400",
    "0x1F",
    "1979-05-27T07:32:00Z",
    "true",
    "[]",
    "\n",
    "\"\"\"",
    "'",
    "\\u0000",
    "\u{feff}",
    "é",
    "pass.1.volts = ",
    "\"fit.thickness\" = ",
    "#",
    "=",
    ".",
    "none",
    "[source]\n",
    "[probes]\n",
    "from = [",
    "s6 = [",
    "\"100 mm\"",
];

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(400) })]

    #[test]
    fn any_text_is_answered(text in any::<String>()) {
        holds(&text)?;
    }

    #[test]
    fn any_order_of_our_own_pieces_is_answered(
        picked in prop::collection::vec(prop::sample::select(PIECES), 0..60),
    ) {
        holds(&picked.concat())?;
    }

    #[test]
    fn a_sound_file_with_a_hole_in_it_is_answered(
        from in any::<prop::sample::Index>(),
        length in 0usize..40,
        patch in any::<String>(),
    ) {
        let strap = "\n[[strap]]\nid = \"R1\"\nkind = \"root\"\nopenings = [ { length = \"1/16 in\", x = \"2 mm\" } ]\n";
        let text = format!("{SOUND}{strap}");
        let from = from.index(text.len());
        let to = (from + length).min(text.len());
        holds(&[&text[..from], &patch, &text[to..]].concat())?;
    }
}
