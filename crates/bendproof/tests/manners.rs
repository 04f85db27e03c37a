//! What any command owes its user: results arrive or it says so, nothing that
//! was read is destroyed, a failed write leaves what was there, `--json` answers
//! in JSON, and no text from a file steers the terminal.
#![allow(clippy::unwrap_used)]

mod support;

use std::process::Stdio;

use support::{Folder, program, read, root, run};

const COUPON: &str = "examples/plate-3g-downhill.toml";

#[test]
fn no_command_writes_over_what_it_reads() {
    let folder = Folder::new();
    let coupon = folder.write("mine.pdf", read(COUPON));
    let ran = run(&["paper", &coupon, "-o", &coupon, "--fast"]).ends(2);
    assert!(ran.err.contains("is a file this command reads"), "{}", ran.err);
    assert_eq!(std::fs::read_to_string(&coupon).unwrap(), read(COUPON));
    // Neither under another name of the same file.
    let link = folder.path("other.pdf");
    std::fs::hard_link(&coupon, &link).unwrap();
    run(&["paper", &coupon, "-o", &link, "--fast"]).ends(2);
    let heat = folder.write("heat.csv", read("examples/heat-plate.toml"));
    run(&["heat", &heat, "--csv", &heat]).ends(2);
    assert_eq!(std::fs::read_to_string(&heat).unwrap(), read("examples/heat-plate.toml"));
}

#[test]
fn a_pdf_is_named_as_one() {
    let folder = Folder::new();
    let ran = run(&["paper", COUPON, "-o", &folder.path("p.txt"), "--fast"]).ends(2);
    assert!(ran.err.contains("end the name in .pdf"), "{}", ran.err);
}

#[cfg(unix)]
#[test]
fn a_write_that_fails_leaves_what_was_there_and_no_half() {
    let folder = Folder::new();
    let kept = folder.write("keep.pdf", "what was there");
    // The shell allows files of 50 KiB, and the paper has more.
    let command = format!(
        "trap '' XFSZ; ulimit -f 50; exec {} paper {COUPON} -o {kept} --fast",
        env!("CARGO_BIN_EXE_bendproof")
    );
    let output =
        std::process::Command::new("bash").args(["-c", &command]).current_dir(root()).output().unwrap();
    assert_eq!(output.status.code(), Some(2), "{output:?}");
    assert_eq!(std::fs::read_to_string(&kept).unwrap(), "what was there");
    let left = std::fs::read_dir(folder.path("")).unwrap().count();
    assert_eq!(left, 1, "a half written file stays");
}

#[test]
fn a_file_that_is_replaced_is_said_and_a_record_file_never_is() {
    let folder = Folder::new();
    let pdf = folder.path("p.pdf");
    assert!(!run(&["paper", COUPON, "-o", &pdf, "--fast"]).ends(0).out.contains("replaced"));
    assert!(run(&["paper", COUPON, "-o", &pdf, "--fast"]).ends(0).out.contains("replaced"));
    let json = folder.write("r.json", "kept");
    let issue = ["record", "continuity", "examples/record.toml", "--who", "A", "-o", &json];
    let ran = run(&issue).ends(2);
    assert!(ran.err.contains("never written over"), "{}", ran.err);
    assert_eq!(std::fs::read_to_string(&json).unwrap(), "kept");
}

#[cfg(target_os = "linux")]
#[test]
fn results_that_do_not_arrive_are_an_error() {
    for arguments in [&["--json", "explain"][..], &["judge", "examples/bends.toml"], &["calc"]] {
        let full = std::fs::OpenOptions::new().write(true).open("/dev/full").unwrap();
        let output = program().args(arguments).stdout(full).stderr(Stdio::piped()).output().unwrap();
        let err = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{arguments:?}: {err}");
        assert!(err.contains("did not arrive on standard output"), "{err}");
    }
}

#[test]
fn json_answers_in_json_whatever_is_wrong() {
    let folder = Folder::new();
    let latin = folder.path("latin.toml");
    std::fs::write(&latin, [0x74, 0x3d, 0x22, 0xe9, 0x22]).unwrap();
    let large = folder.write("large.toml", "#".repeat(300 * 1024));
    let faulty = folder.write("faulty.toml", "number = \"1\"\nfinished = 2026-13-45\n");
    let pdf = folder.path("x.pdf");
    for arguments in [
        &["forecast", "no-such.toml"][..],
        &["judge", "examples"],
        &["check", &latin],
        &["forecast", &large],
        &["forecast", COUPON, "--nonsense"],
        &["paper", &faulty, "-o", &pdf],
        &["heat", &large],
        &["calc", "nosuch"],
    ] {
        let ran = run(&[arguments, &["--json"]].concat()).ends(2);
        let findings = ran.json()["findings"].as_array().unwrap().clone();
        assert!(!findings.is_empty() && findings[0]["message"].is_string(), "{arguments:?}: {}", ran.out);
    }
}

#[cfg(unix)]
#[test]
fn a_pipe_or_an_endless_file_is_refused_at_once() {
    let folder = Folder::new();
    let pipe = folder.path("pipe");
    assert!(std::process::Command::new("mkfifo").arg(&pipe).status().unwrap().success());
    for place in [pipe.as_str(), "/dev/zero"] {
        for command in ["forecast", "judge", "check", "standing"] {
            let ran = run(&[command, place]).ends(2);
            assert!(ran.err.contains("is a pipe or a device; save it as a file first"), "{}", ran.err);
        }
        let data = folder.path("shop");
        for task in [&["verify", place][..], &["restore", place, "--data", &data]] {
            let ran = run(&[&["shop"], task].concat()).ends(2);
            assert!(ran.err.contains("is not a file; name a shop's file"), "{task:?}: {}", ran.err);
        }
    }
}

#[test]
fn a_list_without_end_is_refused_by_its_length() {
    let straps: String =
        (1..=5_000).map(|i| format!("[[strap]]\nid = \"R{i}\"\nkind = \"root\"\n")).collect();
    let folder = Folder::new();
    let path = folder.write("many.toml", format!("code = \"aws-d1.1-2020\"\n{straps}"));
    let ran = run(&["check", &path]).ends(1);
    assert!(ran.err.contains("`strap` has 5000 rows; the limit is 4000"), "{}", ran.err);
}

#[test]
fn no_text_of_a_file_steers_the_terminal() {
    let folder = Folder::new();
    let title = "title = \"\\u001b]0;gone\\u0007\\u202e\"\n\"\\u001b[2J\" = \"x\"\n";
    let path =
        folder.write("c.toml", format!("{title}{}", read(COUPON).replacen("title = ", "# title = ", 1)));
    for arguments in [&["check", &path][..], &["forecast", &path, "--fast"], &["check", &path, "--json"]] {
        let ran = run(arguments);
        for shown in [&ran.out, &ran.err] {
            let obeyed = |c: char| (c.is_control() && c != '\n') || c == '\u{202e}';
            assert!(!shown.contains(obeyed), "{arguments:?}: {shown:?}");
        }
    }
}

#[test]
fn check_and_schema_know_every_kind_of_our_files() {
    let ran = run(&["check", "examples/shop-rules.toml", "--json"]).ends(0).json();
    assert_eq!((&ran["kind"], &ran["usable"]), (&"shop-rules".into(), &true.into()));
    let folder = Folder::new();
    let wrong = read("examples/shop-rules.toml").replace("months = 5", "months = \"five\"");
    let ran = run(&["check", &folder.write("s.toml", wrong)]).ends(1);
    assert!(
        ran.err.contains("[[tighten]] number 2: `months` is \"five\"; write a whole number"),
        "{}",
        ran.err
    );
    assert!(!ran.err.contains("i32"), "{}", ran.err);
    run(&["schema", "shop-rules"]).ends(0);

    let json = folder.path("r.json");
    run(&["record", "continuity", "examples/record.toml", "--who", "A", "-o", &json]);
    let record = std::fs::read_to_string(&json).unwrap();
    let checked = run(&["check", &json, "--json"]).ends(0).json();
    assert_eq!((&checked["kind"], &checked["usable"]), (&"issued-record".into(), &true.into()));
    for altered in [record.replacen("\"who\": \"A\"", "\"who\": \"B\"", 1), {
        let (first, rest) = record.split_once(",\n").unwrap();
        format!("{first},\n{},\n{rest}", first.trim_start_matches(['{', '\n']))
    }] {
        assert_ne!(altered, record);
        run(&["check", &folder.write("altered.json", altered)]).ends(1);
    }
}

#[test]
fn a_record_names_who_issues_it() {
    let folder = Folder::new();
    for who in ["", "   ", "A\nB"] {
        let json = folder.path("r.json");
        let ran = run(&["record", "continuity", "examples/record.toml", "--who", who, "-o", &json]).ends(2);
        assert!(ran.err.contains("write who issues the record"), "{}", ran.err);
        assert!(!std::path::Path::new(&json).exists());
    }
}
