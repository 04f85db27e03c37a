//! What the tests of this crate share: a sound coupon, a calendar, and short names
//! for the readings they make.
#![allow(clippy::unwrap_used, dead_code, reason = "each test program uses a part")]

use bendproof_files::{
    BENDS, COUPON, Document, FileKind, Finding, HEAT, JOINTS, Known, PROCEDURE, PROCEDURE_JOINTS,
    PROCEDURE_RECORD, RECORD, Reader, read_coupon,
};

pub const KINDS: [&FileKind; 8] =
    [&COUPON, &BENDS, &RECORD, &HEAT, &JOINTS, &PROCEDURE_RECORD, &PROCEDURE, &PROCEDURE_JOINTS];

/// A few names that stand for the data lists, and a fixed day.
pub fn known() -> Known<'static> {
    Known {
        steels: &["A36", "A516-70", "A106-B"],
        codes: &["aws-d1.1-2020", "asme-ix-2023", "api-1104-2013"],
        construction: &["asme-b31.3-undated", "iso-5817-2023"],
        today: Some("2026-11-25".parse().unwrap()),
    }
}

/// A coupon without fault; tests spoil one line of it.
pub const SOUND: &str = r#"code = "aws-d1.1-2020"

[fit]
thickness = "3/8 in"
root_opening = "1/8 in"
root_face = "1/16 in"
position = "3G"
steel = "A36"

[settings]
wire_diameter = "0.035 in"

[[pass]]
kind = "root"
progression = "downhill"
volts = "17.5 V"
wire_feed = "200 in/min"
travel = "9 in/min"
"#;

/// All findings of a coupon's text.
pub fn coupon_findings(text: &str) -> Vec<Finding> {
    let (document, mut findings) = Document::from_toml(&COUPON, text);
    findings.extend(read_coupon(&document, known()).findings);
    findings
}

/// Findings of the sound coupon with `old` replaced by `new`, as printed.
pub fn spoiled(old: &str, new: &str) -> Vec<String> {
    assert_eq!(SOUND.matches(old).count(), 1, "{old}");
    said(&coupon_findings(&SOUND.replace(old, new)))
}

/// Findings as printed: line, path, message.
pub fn said(findings: &[Finding]) -> Vec<String> {
    findings.iter().map(ToString::to_string).collect()
}

/// All findings of a bends file's text.
pub fn bends_findings(text: &str) -> Vec<Finding> {
    let (document, mut findings) = Document::from_toml(&BENDS, text);
    let mut reader = Reader::new(&BENDS, &document, known());
    reader.text("code");
    bendproof_files::read_straps(&mut reader, true, false);
    findings.extend(reader.into_findings());
    findings
}
