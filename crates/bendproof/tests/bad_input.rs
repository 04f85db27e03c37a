//! Bad input on the real program: exit code 2, nothing that looks like a result,
//! and words that name the quantity, the value, what is allowed and the next step.
#![allow(clippy::unwrap_used)]

mod support;

use support::{Folder, Ran, run};

/// A coupon without fault; tests spoil one line of it.
const SOUND: &str = r#"number = "0501"
code = "aws-d1.1-2020"

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

const BENT: &str = r#"code = "aws-d1.1-2020"

[[strap]]
id = "R1"
kind = "root"
thickness = "3/8 in"
openings = []
"#;

const RECORD: &str = r#"code = "asme-ix-2023"
welder = "Marek Ostrava"
positions = ["6G"]
process = "GMAW"
transfer = "short-circuit"
shape = "pipe"
thickness = "0.432 in"
outside_diameter = "6.625 in"
progressions = ["uphill"]
backing = "open"
finished = 2026-08-14
"#;

/// Runs a task on a text, and what it says with the file's path taken off.
fn said(task: &str, bytes: impl AsRef<[u8]>) -> (Ran, Vec<String>) {
    let folder = Folder::new();
    let path = folder.write("file.toml", bytes);
    let ran = run(&[task, &path]);
    let lines = ran.err.lines().map(|l| l.replace(&path, "file")).collect();
    (ran, lines)
}

/// Holds that a text is refused, with no result, by a line that says `expected`.
fn refused(task: &str, text: &str, expected: &str) {
    let (ran, lines) = said(task, text);
    let ran = ran.ends(2);
    assert!(ran.out.is_empty(), "{expected}: {}", ran.out);
    assert!(lines.iter().any(|l| l == expected), "wanted {expected}\ngot    {lines:#?}");
}

fn spoiled(old: &str, new: &str) -> String {
    assert_eq!(SOUND.matches(old).count(), 1, "{old}");
    SOUND.replace(old, new)
}

#[test]
fn the_sound_files_are_answered() {
    let ran = said("forecast", SOUND).0;
    assert!(matches!(ran.code, 0 | 1) && !ran.out.is_empty(), "{}", ran.err);
    assert!(!said("judge", BENT).0.ends(0).out.is_empty());
    let ran = said("standing", RECORD).0;
    assert!(matches!(ran.code, 0 | 1) && !ran.out.is_empty(), "{}", ran.err);
}

#[test]
fn a_coupon_that_cannot_be_is_refused_in_full() {
    for (old, new, expected) in [
        (
            "thickness = \"3/8 in\"",
            "thickness = \"0 in\"",
            "file:5: thickness is 0 in; enter 1/16 in to 2 in; measure the plate or pipe wall",
        ),
        (
            "root_opening = \"1/8 in\"",
            "root_opening = \"-1/8 in\"",
            "file:6: root opening is -1/8 in; enter 0 in to 1/2 in; measure the gap at the root after tacking",
        ),
        (
            "root_opening = \"1/8 in\"",
            "root_opening = \"7/16 in\"",
            "file:6: root opening 7/16 in · 11.1 mm must not exceed the thickness (3/8 in · 9.5 mm); measure it again",
        ),
        (
            "root_face = \"1/16 in\"",
            "root_face = \"7/16 in\"",
            "file:7: root face 7/16 in · 11.1 mm must be less than the thickness (3/8 in · 9.5 mm); measure it again",
        ),
        (
            "travel = \"9 in/min\"",
            "travel = \"0 in/min\"",
            "file:19: travel speed is 0 in/min; enter 1 in/min to 60 in/min; time a measured length of bead",
        ),
        ("volts = \"17.5 V\"", "volts = nan", "file:17: volts is `nan`: not a number; allowed: 8 V to 45 V"),
        ("volts = \"17.5 V\"", "volts = inf", "file:17: volts is `inf`: not a number; allowed: 8 V to 45 V"),
        (
            "volts = \"17.5 V\"",
            "volts = \"1/0 V\"",
            "file:17: volts is `1/0 V`: `1/0` divides by zero; allowed: 8 V to 45 V",
        ),
        (
            "volts = \"17.5 V\"",
            "volts = \"17.5\"",
            "file:17: volts: `17.5` has no unit; enter a voltage as 18.5 V; allowed: 8 V to 45 V",
        ),
        (
            "volts = \"17.5 V\"",
            "volts = \"17.5 A\"",
            "file:17: volts: `17.5 A` is a current, not a voltage; enter it as 18.5 V; allowed: 8 V to 45 V",
        ),
        (
            "root_face =",
            "root_fase =",
            "file:7: `fit.root_fase` is not a field of a coupon file; did you mean `fit.root_face`?",
        ),
        (
            "position = \"3G\"\n",
            "",
            "file:4: position is missing; enter one of 1G, 2G, 3G, 4G, 5G, 6G, 6GR, 1F, 2F, 3F, 4F, 5F",
        ),
        (
            "travel = \"9 in/min\"",
            "travel = \"9 in/min\"\nbead_area = \"14 mm2\"",
            "file:20: enter travel speed or bead area, not both",
        ),
        (
            "travel = \"9 in/min\"",
            "",
            "file:14: warning: travel speed is missing; enter it, for example 9 in/min, or enter the bead area; it is required for a forecast",
        ),
        (
            "number = \"0501\"",
            "finished = 2999-01-01",
            "file:1: finished is 2999-01-01, after today, TODAY; enter the date it happened",
        ),
    ] {
        let today = jiff::Timestamp::now().to_zoned_datetime(jiff::tz::TimeZone::system()).date();
        refused("forecast", &spoiled(old, new), &expected.replace("TODAY", &today.to_string()));
    }
}

#[test]
fn unknown_names_are_answered_with_the_nearest() {
    for (old, new, begins, ends) in [
        ("\"A36\"", "\"A37\"", "file:9: steel is `A37`; enter one of ", "; did you mean `A36`?"),
        (
            "\"aws-d1.1-2020\"",
            "\"aws-d11-2020\"",
            "file:2: code is `aws-d11-2020`; enter one of ",
            "; did you mean `aws-d1.1-2020`?",
        ),
        ("\"3G\"", "\"3H\"", "file:8: position is `3H`; enter one of ", "; did you mean `3G`?"),
        (
            "\"downhill\"",
            "\"downhil\"",
            "file:16: progression is `downhil`; enter one of ",
            "; did you mean `downhill`?",
        ),
    ] {
        let (ran, lines) = said("forecast", spoiled(old, new));
        ran.ends(2);
        assert!(lines.len() == 1 && lines[0].starts_with(begins) && lines[0].ends_with(ends), "{lines:#?}");
    }
}

#[test]
fn several_faults_are_reported_at_once_in_the_order_of_lines() {
    let text = SOUND
        .replace("\"3/8 in\"", "\"3/8\"")
        .replace("\"A36\"", "\"A37\"")
        .replace("\"17.5 V\"", "\"17.5 A\"")
        .replace("\"9 in/min\"", "\"0 in/min\"");
    for task in ["forecast", "check"] {
        let (_, lines) = said(task, &text);
        let at: Vec<_> = lines.iter().map(|l| l.split(' ').next().unwrap()).collect();
        assert_eq!(at, ["file:5:", "file:9:", "file:17:", "file:19:"], "{task}");
    }
}

#[test]
fn a_refusal_in_json_is_its_findings() {
    let folder = Folder::new();
    let coupon = folder.write("coupon.toml", spoiled("\"17.5 V\"", "\"17.5 A\""));
    let bends = folder.write("bends.toml", BENT.replace("\"root\"", "\"edge\""));
    let record = folder.write("record.toml", RECORD.replace("\"6G\"", "\"7G\""));
    for (task, path, wrong) in [
        ("forecast", &coupon, "pass.1.volts"),
        ("judge", &bends, "strap.1.kind"),
        ("standing", &record, "positions.1"),
    ] {
        let answer = run(&[task, path, "--json"]).ends(2).json();
        let findings = answer["findings"].as_array().unwrap();
        assert!(findings.iter().any(|f| f["path"] == wrong && f["severity"] == "error"), "{answer}");
        assert_eq!(answer.as_object().unwrap().len(), 1, "a refusal holds nothing that reads like a result");
    }
}

#[test]
fn a_feed_no_chart_lists_is_forecast_and_warned_of() {
    let text = SOUND.replace("\"0.035 in\"", "\"0.024 in\"").replace("\"200 in/min\"", "\"500 in/min\"");
    let (ran, lines) = said("forecast", &text);
    assert!(matches!(ran.code, 0 | 1) && !ran.out.is_empty());
    assert_eq!(
        lines[0],
        "file:18: warning: wire feed is 500 in/min, which melts about 115 A; machine charts list 30 A to 90 A for \
         short-circuit transfer with 0.024 in wire; check the feed and the wire diameter"
    );
    said("check", &text).0.ends(1);
}

#[test]
fn a_coupon_without_a_pass_is_asked_for_one() {
    let (ran, lines) = said("check", SOUND.split("[[pass]]").next().unwrap());
    let ran = ran.ends(1);
    assert!(ran.out.ends_with(": a coupon file, can be used\n"), "{}", ran.out);
    assert_eq!(lines, ["file: warning: no pass is planned; add a root pass to see a forecast"]);
}

#[test]
fn bends_that_cannot_be_are_refused() {
    let second = BENT.split_once("\n\n").unwrap().1.replace("R1", "r1");
    refused(
        "judge",
        &format!("{BENT}\n{second}"),
        "file:10: strap `r1` is listed twice, first as strap 1; give each strap its own mark",
    );
    refused(
        "judge",
        &BENT.replace("thickness = \"3/8 in\"\n", ""),
        "file:3: specimen thickness is missing; enter 1/32 in to 1 in, for example 1/8 in or 3.2 mm",
    );
    refused(
        "judge",
        &BENT.replace("[]", "[ { length = \"0 in\" } ]"),
        "file:7: discontinuity is 0 in; enter 0.0079 in to 6 in; measure the largest dimension; remove the row if there is no discontinuity",
    );
    refused(
        "judge",
        &BENT.replace("[]", "[ { length = \"1/16 in\", place = \"edge\" } ]"),
        "file:7: place is `edge`; enter one of face, corner; did you mean `face`?",
    );
    refused("judge", &BENT.replace("[]", "[ {} ]"), "file:7: this row is empty; fill it in or remove it");
    refused(
        "judge",
        "code = \"aws-d1.1-2020\"\n",
        "file: no bend specimen is listed; list each one, with `openings = []` where none was found",
    );
}

#[test]
fn records_that_cannot_be_are_refused() {
    let today = jiff::Timestamp::now().to_zoned_datetime(jiff::tz::TimeZone::system()).date();
    refused(
        "standing",
        &RECORD.replace("2026-08-14", "2999-01-01"),
        &format!("file:11: finished is 2999-01-01, after today, {today}; enter the date it happened"),
    );
    refused(
        "standing",
        &format!("{RECORD}uses = [2026-09-01, 2999-01-01]\n"),
        &format!("file:12: use is 2999-01-01, after today, {today}; enter the date it happened"),
    );
    refused(
        "standing",
        &RECORD.replace("positions = [\"6G\"]\n", ""),
        "file: positions is missing; enter it, for example positions = [\"3G\"]",
    );
    refused(
        "standing",
        &RECORD.replace("outside_diameter = \"6.625 in\"\n", ""),
        "file: outside diameter is missing for a pipe; enter it, for example 6.625 in",
    );
    refused(
        "standing",
        &RECORD.replace("2026-08-14", "\"2026-02-30\""),
        "file:11: finished is `2026-02-30`, not a calendar date; enter it as 2026-11-02",
    );
}

#[test]
fn files_that_are_not_ours_are_refused_before_they_are_read() {
    let large = "# two mebibytes of nothing\n".repeat(2 * 1024 * 1024 / 27);
    let not_text = b"number = \"0501\"\ntitle = \"\xff\xfe\"\n";
    for task in ["forecast", "judge", "standing", "check"] {
        let (ran, lines) = said(task, &large);
        assert!(ran.ends(2).out.is_empty());
        let expected = format!(
            "bendproof: file: the file is {} bytes; enter at most 262144; is it one of our files?",
            large.len()
        );
        assert_eq!(lines, [expected], "{task}");
        let (ran, lines) = said(task, not_text);
        assert!(ran.ends(2).out.is_empty());
        assert_eq!(lines, ["bendproof: file: byte 26 is not UTF-8 text; save the file as UTF-8"], "{task}");
        let ran = run(&[task, "no/such/file.toml"]).ends(2);
        assert!(ran.err.ends_with("; give the path of a file that exists\n"), "{task}: {}", ran.err);
    }
}

#[test]
fn text_that_is_not_toml_names_its_line() {
    let (ran, lines) = said("forecast", spoiled("\"A36\"", "\"A36"));
    ran.ends(2);
    assert!(lines.iter().any(|l| l.starts_with("file:9: the text is not TOML here: ")), "{lines:#?}");
    let (ran, _) = said("check", "not a file of ours");
    assert!(ran.ends(1).out.ends_with("cannot be used yet\n"));
}

#[test]
fn a_refused_coupon_leaves_the_paper_that_was_there() {
    let folder = Folder::new();
    let pdf = folder.write("traveler.pdf", "the paper of yesterday");
    let wrong = folder.write("wrong.toml", spoiled("\"17.5 V\"", "\"17.5 A\""));
    run(&["paper", &wrong, "-o", &pdf]).ends(2);
    assert_eq!(std::fs::read_to_string(&pdf).unwrap(), "the paper of yesterday");
}

/// A date and a number are answered by the form they take, in no parser's words.
#[test]
fn a_date_or_number_on_the_command_line_is_answered_with_its_form() {
    let folder = Folder::new();
    let record = folder.write("record.toml", RECORD);
    let cases: [(&[&str], &str); 6] = [
        (
            &["standing", &record, "--on", "2026-13-01"],
            "the day is `2026-13-01`, not a calendar date; enter it as 2026-11-02",
        ),
        (
            &["standing", &record, "--on", "tomorrow"],
            "the day is `tomorrow`, not a calendar date; enter it as 2026-11-02",
        ),
        (
            &["window", &record, "--x", "a", "--y", "b", "--pass", "two"],
            "pass is `two`; enter a whole number, 1 to 4000",
        ),
        (&["etch", &record, "--bead", "0"], "bead is `0`; enter a whole number, 1 to"),
        (&["heat", &record, "--threads", "x"], "threads is `x`; enter a whole number, 1 to 64"),
        (&["bench", "--port", "99999"], "port is `99999`; enter a whole number, 0 to 65535"),
    ];
    for (arguments, expected) in cases {
        let ran = run(arguments).ends(2);
        assert!(ran.err.contains(expected), "{arguments:?}: {}", ran.err);
        for raw in ["invalid digit", "failed to parse", "parsing"] {
            assert!(!ran.err.contains(raw), "{raw}: {}", ran.err);
        }
    }
}
