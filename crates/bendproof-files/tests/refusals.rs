//! Bad input gets a clear answer: what is wrong, where, what is allowed and what
//! to do next. The words are part of the promise, so they are held here.
#![allow(clippy::unwrap_used)]

mod support;

use bendproof_files::{
    COUPON, CouponRead, DOCUMENT_TEXT_MAX_BYTES, Document, RECORD, Reader, Severity, check_field,
    read_coupon, read_straps,
};
use support::{SOUND, bends_findings, coupon_findings, known, said, spoiled};

#[test]
fn the_sound_coupon_has_no_fault() {
    assert_eq!(coupon_findings(SOUND), []);
}

/// One spoiled value: the text it replaces, the text in its place, what is said.
const SPOILED: &[(&str, &str, &str)] = &[
    (
        "travel = \"9 in/min\"",
        "travel = \"0 in/min\"",
        "line 18: pass.1.travel: travel speed is 0 in/min; enter 1 in/min to 60 in/min; time a measured length of bead",
    ),
    (
        "root_opening = \"1/8 in\"",
        "root_opening = \"-1/8 in\"",
        "line 5: fit.root_opening: root opening is -1/8 in; enter 0 in to 1/2 in; measure the gap at the root after tacking",
    ),
    (
        "thickness = \"3/8 in\"",
        "thickness = \"0 mm\"",
        "line 4: fit.thickness: thickness is 0 mm; enter 1.59 mm to 50.8 mm; measure the plate or pipe wall",
    ),
    (
        "thickness = \"3/8 in\"",
        "thickness = nan",
        "line 4: fit.thickness: thickness is `nan`: not a number; allowed: 1/16 in to 2 in",
    ),
    (
        "thickness = \"3/8 in\"",
        "thickness = \"inf in\"",
        "line 4: fit.thickness: thickness is `inf in`: not a number; allowed: 1/16 in to 2 in",
    ),
    (
        "volts = \"17.5 V\"",
        "volts = \"1e999 V\"",
        "line 16: pass.1.volts: volts is `1e999 V`: `1e999` is not a finite number; allowed: 8 V to 45 V",
    ),
    (
        "volts = \"17.5 V\"",
        "volts = 17.5",
        "line 16: pass.1.volts: volts: `17.5` has no unit; enter a voltage as 18.5 V; allowed: 8 V to 45 V",
    ),
    (
        "wire_feed = \"200 in/min\"",
        "wire_feed = \"200 A\"",
        "line 17: pass.1.wire_feed: wire feed speed: `200 A` is a current, not a speed; enter it as 210 in/min or 5300 mm/min; allowed: 20 in/min to 1000 in/min",
    ),
    (
        "wire_feed = \"200 in/min\"",
        "wire_feed = \"200 furlongs\"",
        "line 17: pass.1.wire_feed: wire feed speed is `200 furlongs`: `furlongs` is not a known unit; enter a speed as 210 in/min or 5300 mm/min; allowed: 20 in/min to 1000 in/min",
    ),
    (
        "root_opening = \"1/8 in\"",
        "root_opening = \"7/16 in\"\nmismatch = \"0 in\"",
        "line 5: fit.root_opening: root opening 7/16 in · 11.1 mm must not exceed the thickness (3/8 in · 9.5 mm); measure it again",
    ),
    (
        "root_face = \"1/16 in\"",
        "root_face = \"3/8 in\"",
        "line 6: fit.root_face: root face 3/8 in · 9.5 mm must be less than the thickness (3/8 in · 9.5 mm); measure it again",
    ),
    (
        "steel = \"A36\"",
        "steel = \"A37\"",
        "line 8: fit.steel: steel is `A37`; enter one of A36, A516-70, A106-B; did you mean `A36`?",
    ),
    (
        "code = \"aws-d1.1-2020\"",
        "code = \"aws-d1.1-2019\"",
        "line 1: code: code is `aws-d1.1-2019`; enter one of aws-d1.1-2020, asme-ix-2023, api-1104-2013; did you mean `aws-d1.1-2020`?",
    ),
    (
        "root_opening =",
        "root_openning =",
        "line 5: fit.root_openning: `fit.root_openning` is not a field of a coupon file; did you mean `fit.root_opening`?",
    ),
    (
        "code = \"aws-d1.1-2020\"",
        "finished = 2026-11-26",
        "line 1: finished: finished is 2026-11-26, after today, 2026-11-25; enter the date it happened",
    ),
    (
        "code = \"aws-d1.1-2020\"",
        "finished = \"26 November\"",
        "line 1: finished: finished is `26 November`, not a calendar date; enter it as 2026-11-02",
    ),
    (
        "travel = \"9 in/min\"",
        "travel = \"9 in/min\"\nbead_area = \"14 mm2\"",
        "line 19: pass.1.bead_area: enter travel speed or bead area, not both",
    ),
    (
        "travel = \"9 in/min\"",
        "",
        "line 13: pass.1.travel: travel speed is missing; enter it, for example 9 in/min, or enter the bead area; it is required for a forecast",
    ),
    (
        "position = \"3G\"\n",
        "",
        "line 3: fit.position: position is missing; enter one of 1G, 2G, 3G, 4G, 5G, 6G, 6GR, 1F, 2F, 3F, 4F, 5F",
    ),
    (
        "thickness = \"3/8 in\"\n",
        "",
        "line 3: fit.thickness: thickness is missing; enter 1/16 in to 2 in, for example 1/8 in or 3.2 mm",
    ),
    (
        "progression = \"downhill\"\n",
        "",
        "line 13: pass.1.progression: progression is required for a vertical joint; enter uphill or downhill",
    ),
    (
        "progression = \"downhill\"",
        "progression = \"level\"",
        "line 15: pass.1.progression: progression is level, but the joint is vertical; enter uphill or downhill",
    ),
    (
        "kind = \"root\"",
        "kind = \"cap\"",
        "line 14: pass.1.kind: the first pass is `cap`, and an open root needs a root pass first; enter the backing if there is one",
    ),
    (
        "kind = \"root\"",
        "kind = \"root\"\nbeads = 13",
        "line 15: pass.1.beads: beads is `13`; enter a whole number, 1 to 12",
    ),
    (
        "kind = \"root\"",
        "kind = \"root\"\ntechnique = \"weave\"",
        "line 13: pass.1.weave_width: weave width is missing; enter it, for example 1/4 in; it is required for a forecast",
    ),
    (
        "steel = \"A36\"",
        "backing = true",
        "line 8: fit.backing: true and false are not used here; enter one of the words of this field",
    ),
    (
        "steel = \"A36\"",
        "shape = \"pipe\"\noutside_diameter = \"3/4 in\"",
        "line 9: fit.outside_diameter: outside diameter 3/4 in · 19.1 mm must be more than twice the wall, 3/4 in · 19.1 mm; measure both again",
    ),
    (
        "steel = \"A36\"",
        "shape = \"pipe\"\noutside_diameter = \"60.3 mm\"\nnominal_size = \"50\"",
        "line 10: fit.nominal_size: nominal pipe size is 50 in · 1270.0 mm, whose pipe is 50 in · 1270.0 mm across, and the outside diameter is 2.374 in · 60.3 mm; enter within 3 %; write the size as ordered, like NPS 2 or DN 50, or measure around the pipe again",
    ),
    (
        "position = \"3G\"",
        "position = \"6G\"\nshape = \"plate\"",
        "line 7: fit.position: position 6G does not exist for this shape; plate has 1G to 4G, pipe 1G, 2G, 5G, 6G",
    ),
];

#[test]
fn each_fault_is_said_in_full() {
    for (old, new, expected) in SPOILED {
        let said = spoiled(old, new);
        assert!(said.iter().any(|s| s == expected), "{new}:\n  wanted {expected}\n  got    {said:#?}");
    }
}

#[test]
fn every_fault_of_a_text_is_reported_at_once_in_the_order_of_its_lines() {
    let text = SOUND
        .replace("\"3/8 in\"", "\"3/8\"")
        .replace("\"A36\"", "\"A37\"")
        .replace("\"17.5 V\"", "\"0 V\"")
        .replace("travel = \"9 in/min\"", "");
    let findings = coupon_findings(&text);
    let places: Vec<_> = findings.iter().map(|f| (f.line, f.path.as_str())).collect();
    let expected = [
        (Some(4), "fit.thickness"),
        (Some(8), "fit.steel"),
        (Some(13), "pass.1.travel"),
        (Some(16), "pass.1.volts"),
    ];
    assert_eq!(places, expected);
}

#[test]
fn a_wire_feed_beyond_the_charts_is_used_and_warned_of() {
    let text = SOUND.replace("\"0.035 in\"", "\"0.024 in\"").replace("\"200 in/min\"", "\"500 in/min\"");
    let (document, findings) = Document::from_toml(&COUPON, &text);
    assert_eq!(findings, []);
    let CouponRead { stated, findings, .. } = read_coupon(&document, known());
    assert!(stated.is_some(), "a warning does not refuse the coupon");
    assert_eq!(findings.len(), 1);
    assert_eq!(findings[0].severity, Severity::Warning);
    assert_eq!(
        findings[0].to_string(),
        "line 17: pass.1.wire_feed: wire feed is 500 in/min, which melts about 115 A; machine charts list 30 A to \
         90 A for short-circuit transfer with 0.024 in wire; check the feed and the wire diameter"
    );
}

/// Feeds that the charts' own rule, inches a minute to the ampere (3.5, 2.0, 1.6,
/// 1.0 by wire), puts well inside their ranges.
#[test]
fn wire_feeds_well_inside_the_charts_raise_no_warning() {
    for (wire, feeds) in [
        ("0.024 in", ["150 in/min", "300 in/min"]),
        ("0.030 in", ["120 in/min", "260 in/min"]),
        ("0.035 in", ["110 in/min", "260 in/min"]),
        ("0.045 in", ["100 in/min", "220 in/min"]),
        ("0.9 mm", ["110 in/min", "260 in/min"]),
    ] {
        for feed in feeds {
            let text = SOUND.replace("0.035 in", wire).replace("200 in/min", feed);
            assert_eq!(said(&coupon_findings(&text)), [""; 0], "{wire} {feed}");
        }
    }
}

#[test]
fn wire_feeds_outside_every_chart_row_are_warned_of() {
    for (wire, feed) in [
        ("0.024 in", "80 in/min"),
        ("0.030 in", "500 in/min"),
        ("0.035 in", "450 in/min"),
        ("0.045 in", "60 in/min"),
        ("0.6 mm", "500 in/min"),
    ] {
        let text = SOUND.replace("0.035 in", wire).replace("200 in/min", feed);
        let said = said(&coupon_findings(&text));
        assert!(said.len() == 1 && said[0].contains("machine charts list"), "{wire} {feed}: {said:?}");
    }
}

#[test]
fn charts_say_nothing_of_wires_and_transfers_they_do_not_hold() {
    let thick = SOUND.replace("0.035 in", "1/16 in").replace("200 in/min", "500 in/min");
    assert_eq!(said(&coupon_findings(&thick)), [""; 0]);
    let spray = SOUND
        .replace("[settings]\n", "[settings]\ntransfer = \"spray\"\n")
        .replace("200 in/min", "450 in/min");
    assert_eq!(said(&coupon_findings(&spray)), [""; 0]);
}

#[test]
fn a_coupon_without_a_pass_is_asked_for_one() {
    let text = SOUND.split("[[pass]]").next().unwrap();
    let findings = coupon_findings(text);
    assert_eq!(said(&findings), ["pass: no pass is planned; add a root pass to see a forecast"]);
    assert_eq!(findings[0].severity, Severity::Warning);
}

const BENT: &str = r#"code = "aws-d1.1-2020"

[[strap]]
id = "R1"
kind = "root"
thickness = "3/8 in"
"#;

#[test]
fn not_looked_at_is_not_none_found() {
    for (list, expected) in
        [("", None), ("openings = []\n", Some(0)), ("openings = [ { length = \"1/16 in\" } ]\n", Some(1))]
    {
        let text = format!("{BENT}{list}");
        let (document, findings) = Document::from_toml(&bendproof_files::BENDS, &text);
        let mut reader = Reader::new(&bendproof_files::BENDS, &document, known());
        let straps = read_straps(&mut reader, true, false);
        assert_eq!((findings, reader.into_findings()), (vec![], vec![]), "{list}");
        let found = straps[0].as_ref().unwrap().openings.as_ref().map(Vec::len);
        assert_eq!(found, expected, "{list}");
    }
}

#[test]
fn a_row_with_nothing_in_it_is_not_passed_over() {
    assert_eq!(
        said(&bends_findings(&format!("{BENT}openings = [ {{}} ]\n"))),
        ["line 7: strap.1.openings.1: this row is empty; fill it in or remove it"]
    );
    assert_eq!(
        said(&bends_findings(&format!("{BENT}\n[[strap]]\n"))),
        ["line 8: strap.2: this row is empty; fill it in or remove it"]
    );
}

#[test]
fn two_straps_of_one_mark_are_refused_in_bends_and_in_a_coupon() {
    let second = "\n[[strap]]\nid = \"r1\"\nkind = \"face\"\nthickness = \"3/8 in\"\n";
    let expected = "strap `r1` is listed twice, first as strap 1; give each strap its own mark";
    let bends = bends_findings(&format!("{BENT}{second}"));
    assert_eq!(said(&bends), [format!("line 9: strap.2.id: {expected}")]);
    let strap = BENT.split_once("\n\n").unwrap().1;
    let text = format!("{SOUND}\n{strap}{second}");
    assert_eq!(said(&coupon_findings(&text)), [format!("line 26: strap.2.id: {expected}")]);
}

/// The bench keeps what is half written; a strap without its mark must not take
/// the forecast away.
#[test]
fn a_fault_of_a_strap_leaves_the_coupon_as_it_is() {
    let text = format!("{SOUND}\n[[strap]]\nkind = \"root\"\n");
    let (document, _) = Document::from_toml(&COUPON, &text);
    let CouponRead { stated, findings, .. } = read_coupon(&document, known());
    assert!(stated.is_some());
    assert_eq!(
        said(&findings),
        ["line 20: strap.1.id: strap no. 1 is not judged: mark not stated; enter the mark stamped on it"]
    );
}

/// What is wrong with an examination leaves the forecast as it is, and says the
/// quantity, the value, the range and the next step.
#[test]
fn faults_of_examinations_are_reported_and_leave_the_coupon_as_it_is() {
    let text = format!(
        r#"{SOUND}
[[tension]]
id = "T1"
width = "1 ft"
load = "19500 lbf"

[[tension]]
id = "t1"
strength = "480"

[[nick_break]]
id = "N1"
flaws = [ {{ kind = "slag", length = "1/16 in" }}, {{ kind = "hole", length = "1/16 in" }} ]

[[radiograph]]
id = "X1"
result = "accept"
"#
    );
    let (document, findings) = Document::from_toml(&COUPON, &text);
    assert_eq!(findings, []);
    let CouponRead { stated, findings, .. } = read_coupon(&document, known());
    assert!(stated.is_some());
    assert_eq!(
        said(&findings),
        [
            "line 22: tension.1.width: specimen width is 12 in; enter 1/16 in to 6 in; measure the reduced section with a caliper before the test",
            "line 26: tension.2.id: piece `t1` is listed twice, first as piece 1; give each piece its own mark",
            "line 27: tension.2.strength: tensile strength: `480` has no unit; enter a pressure or stress as 420 MPa or 50 ksi; allowed: 1 ksi to 400 ksi",
            "line 31: nick_break.1.flaws.1.depth: depth of the slag is missing; slag is judged by length and depth. Measure it on the fracture surface",
            "line 31: nick_break.1.flaws.2.kind: imperfection is `hole`; enter one of gas, slag; did you mean `slag`?",
            "line 33: radiograph.1.report: enter the report number; the interpreter's result does not count without it",
        ]
    );
}

#[test]
fn more_weld_metal_than_the_joint_is_thick_is_refused() {
    let deposit = |size: &str| {
        spoiled(
            "wire_diameter = \"0.035 in\"",
            &format!("wire_diameter = \"0.035 in\"\ndeposit_thickness = \"{size}\""),
        )
    };
    assert_eq!(deposit("3/8 in"), [""; 0]);
    assert_eq!(
        deposit("1/2 in"),
        [
            "line 12: settings.deposit_thickness: deposited weld metal thickness 1/2 in · 12.7 mm must not exceed the thickness, 3/8 in · 9.5 mm; enter the part this process deposited"
        ]
    );
}

#[test]
fn a_construction_code_is_one_that_judges_by_eye() {
    let named = |name: &str| {
        spoiled(
            "code = \"aws-d1.1-2020\"",
            &format!("code = \"asme-ix-2023\"\nconstruction_code = \"{name}\""),
        )
    };
    assert_eq!(named("asme-b31.3-undated"), [""; 0]);
    assert_eq!(
        named("asme-ix-2023"),
        [
            "line 2: construction_code: construction code is `asme-ix-2023`; enter one of asme-b31.3-undated, iso-5817-2023; did you mean `iso-5817-2023`?"
        ]
    );
}

#[test]
fn a_text_too_large_is_not_read_at_all() {
    let text = "# a comment line that fills the file\n".repeat(2 * 1024 * 1024 / 37 + 1);
    let (document, findings) = Document::from_toml(&COUPON, &text);
    assert!(document.values().is_empty());
    let expected = format!(
        "the file has {} bytes; the limit is 1 to {DOCUMENT_TEXT_MAX_BYTES}. Check that it is a coupon file",
        text.len()
    );
    assert_eq!(said(&findings), [expected]);
}

#[test]
fn broken_toml_names_its_line_and_keeps_the_rest() {
    let text = SOUND.replace("steel = \"A36\"", "steel = \"A36");
    let findings = coupon_findings(&text);
    assert!(
        findings.iter().any(|f| f.line == Some(8) && f.message.starts_with("the text is not TOML here: "))
    );
    let twice = coupon_findings(&SOUND.replace("steel = \"A36\"", "steel = \"A36\"\nsteel = \"A36\""));
    assert!(twice.iter().any(|f| f.line == Some(9) && f.message.contains("duplicate key")), "{twice:?}");
}

/// The reader of TOML refuses a day that no calendar has; the key is there.
#[test]
fn a_date_that_toml_refuses_is_not_missing_too() {
    let text = "finished = 2026-02-30\ncode = \"asme-ix-2023\"\n";
    let (document, syntax) = Document::from_toml(&RECORD, text);
    assert!(said(&syntax)[0].starts_with("line 1: the text is not TOML here: invalid date"), "{syntax:?}");
    let mut reader = Reader::new(&RECORD, &document, known());
    assert_eq!((reader.date("finished"), reader.into_findings()), (None, Vec::new()));
    let mut reader = Reader::new(&RECORD, &document, known());
    assert!(reader.text("shape").is_none());
    assert!(said(&reader.into_findings())[0].contains("shape is missing"));
}

/// A quoted key with a dot, or a row written as a number, would stand for a value
/// written elsewhere; neither is taken.
#[test]
fn keys_that_pass_for_paths_are_refused() {
    for text in [
        "\"fit.thickness\" = \"1 in\"\n".to_owned() + SOUND,
        SOUND.replace("[[pass]]", "[pass.0]"),
        SOUND.replace("[[pass]]", "[pass.99999999999999999999]"),
    ] {
        let said = said(&coupon_findings(&text));
        assert!(said.iter().any(|s| s.contains("is not a field; write rows as [[pass]]")), "{said:?}");
    }
}

#[test]
fn a_record_may_say_that_there_was_no_use_since() {
    let (document, findings) = Document::from_toml(&RECORD, "uses = []\n");
    assert_eq!(findings, []);
    assert_eq!(document.rows("uses"), [0; 0]);
}

#[test]
fn a_missing_code_is_answered_with_the_list() {
    assert_eq!(
        said(&bends_findings("coupon = \"0412\"\n")),
        ["code: code is missing; enter one of aws-d1.1-2020, asme-ix-2023, api-1104-2013"]
    );
}

#[test]
fn one_field_is_checked_like_the_whole_file() {
    let wrong = check_field(&COUPON, "pass.3.volts", "18", &known()).unwrap_err();
    assert_eq!(
        wrong.to_string(),
        "pass.3.volts: volts: `18` has no unit; enter a voltage as 18.5 V; allowed: 8 V to 45 V"
    );
    let unknown = check_field(&COUPON, "pass.3.colour", "red", &known()).unwrap_err();
    assert_eq!(unknown.to_string(), "pass.3.colour: `pass.3.colour` is not a field of a coupon file");
    assert!(check_field(&COUPON, "strap.1.openings", "none", &known()).is_ok());
}

#[test]
fn text_longer_than_its_field_is_refused_with_its_length() {
    let wrong = check_field(&COUPON, "number", &"7".repeat(25), &known()).unwrap_err();
    assert_eq!(wrong.message, "number has 25 characters; the limit is 24. Shorten it");
    let wrong = check_field(&COUPON, "number", "04\n12", &known()).unwrap_err();
    assert_eq!(wrong.message, "number holds a line break; write it on one line");
}
