//! `etch` and the section page of `paper` end to end on the real program: every
//! format, the film, thermocouples with a measured curve, and what is refused.
#![allow(clippy::unwrap_used)]

mod support;

use std::process::Command;

use serde_json::Value;
use support::contract::{Holds, has, list};
use support::{Folder, example_with, run};

const DOWNHILL: &str = "examples/plate-3g-downhill.toml";
const EXAMPLES: [&str; 3] = [DOWNHILL, "examples/plate-3g-uphill.toml", "examples/pipe-6g.toml"];
const COMPUTED: &str = "computed, not measured";

fn is_bead(bead: &Value) {
    use Holds::*;
    has(
        bead,
        &[
            ("bead", Whole),
            ("pass", Whole),
            ("kind", Text),
            ("before_C", Number),
            ("melted_mm", Object),
            ("ligament_mm", NumberOrNull),
            ("remelted_share", NumberOrNull),
            ("pool", Object),
            ("t85_s", NumberOrNull),
            ("heated_zone_mm", NumberOrNull),
            ("hardness", Object),
            ("cells", Whole),
            ("steps", Whole),
            ("energy_error", Number),
        ],
    );
    has(
        &bead["melted_mm"],
        &[
            ("left", NumberOrNull),
            ("right", NumberOrNull),
            ("below", NumberOrNull),
            ("deepest", NumberOrNull),
        ],
    );
    has(
        &bead["pool"],
        &[("length_mm", Number), ("width_mm", Number), ("volume_mm3", Number), ("hottest_C", Number)],
    );
    assert!(bead["energy_error"].as_f64().unwrap() < 1e-3, "{bead}");
}

#[test]
fn every_example_is_etched_to_the_contract() {
    for file in EXAMPLES {
        let answer = run(&["etch", file, "--json"]).ends(0).json();
        use Holds::*;
        has(
            &answer,
            &[("number", Text), ("title", Text), ("status", Text), ("cell_mm", Number), ("zones_C", Object)],
        );
        assert_eq!(answer["status"], COMPUTED);
        let beads = list(&answer, "beads");
        assert!(beads.len() >= 3, "{file}");
        beads.iter().for_each(is_bead);
        assert!(beads[0]["land_mm"]["left"].is_number(), "{file}: the root has lands");
        assert!(list(&answer, "answers").len() >= 3 && list(&answer, "notes").len() >= 4);
    }
}

#[test]
fn the_section_is_written_in_every_format_with_the_film_next_to_it() {
    let folder = Folder::new();
    for (name, starts) in
        [("a.svg", &b"<svg"[..]), ("a.png", b"\x89PNG"), ("a.json", b"{"), ("a.csv", b"place,bead")]
    {
        let out = folder.path(name);
        let answer = run(&["etch", DOWNHILL, "-o", &out]).ends(0);
        assert!(answer.out.contains("bytes") && answer.out.contains(COMPUTED), "{}", answer.out);
        assert!(std::fs::read(&out).unwrap().starts_with(starts), "{name}");
    }
    let film = folder.path("film");
    run(&["etch", DOWNHILL, "--bead", "2", "--film", &film, "--at", "-5,4"]).ends(0);
    let mut names: Vec<String> = std::fs::read_dir(&film)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    assert!(names.len() > 12, "{names:?}");
    assert!(names.contains(&"bead-02-along.svg".to_owned()) && names.contains(&"cooling.svg".to_owned()));
    let frame = std::fs::read_to_string(format!("{film}/bead-02-05.svg")).unwrap();
    assert!(frame.contains("after the arc") && frame.contains(COMPUTED), "the frame says what it is");
    // A film is never written over, and the folder is refused before the long work.
    let mine = format!("{film}/bead-02-05.svg");
    std::fs::write(&mine, "drawn on by hand").unwrap();
    let again = run(&["etch", DOWNHILL, "--bead", "2", "--film", &film]).ends(2);
    assert!(again.err.contains("holds a film already") && again.err.contains("name another folder"));
    assert_eq!(std::fs::read_to_string(&mine).unwrap(), "drawn on by hand");
}

#[test]
fn a_terminal_reads_the_beads_and_a_measured_curve() {
    let folder = Folder::new();
    let measured = folder.write("probe.csv", "t_s,T_C\n0,20\n1,1250\n5,800\n11,500\n12,470\n");
    let answer = run(&["etch", DOWNHILL, "--bead", "1", "--at", "3.4,0.8", "--measured", &measured]).ends(0);
    for part in [COMPUTED, "1 root", "melts into left wall, in · mm", "3.4 mm right, 0.8 mm up", "t8/5 6 s"]
    {
        assert!(answer.out.contains(part), "{part} is missing in {}", answer.out);
    }
    assert!(answer.err.contains("note: ") && answer.err.contains("The arc is a choice"), "{}", answer.err);
}

#[test]
fn what_cannot_be_etched_says_why() {
    let folder = Folder::new();
    let says = |arguments: &[&str], words: &str| {
        let ran = run(arguments).ends(2);
        assert!(ran.err.contains(words), "{words}: {}", ran.err);
        ran
    };
    let backed =
        folder.write("backed.toml", example_with(DOWNHILL, "backing = \"open\"", "backing = \"steel\""));
    let twice = folder.write("twice.toml", example_with(DOWNHILL, "[fit]", "[fit]\nsteel = \"A36\""));
    says(&["etch", &twice], "not known");
    let ran = says(&["etch", &backed, "--json"], "not known: no section is solved on steel backing");
    assert!(ran.json()["not_known"][0].as_str().unwrap().contains("steel backing"));
    says(&["etch", DOWNHILL, "--bead", "99"], "bead is 99, this plan has 1 to 7");
    says(&["etch", DOWNHILL, "--at", "here"], "--at here is no place");
    says(&["etch", DOWNHILL, "-o", "section.gif"], "a section cannot be written as .gif");
    let bad = folder.write("bad.csv", "0,20\nhot,hot\n");
    says(&["etch", DOWNHILL, "--measured", &bad], "line 2: `hot,hot` is not two numbers");
    says(&["etch", "nowhere.toml"], "nowhere.toml");
}

fn text_of(pdf: &str) -> String {
    let answer = Command::new("pdftotext").args(["-layout", pdf, "-"]).output().unwrap();
    String::from_utf8(answer.stdout).unwrap()
}

#[test]
fn the_paper_carries_the_section_as_a_second_page_unless_it_is_to_be_fast() {
    let folder = Folder::new();
    let (full, fast) = (folder.path("full.pdf"), folder.path("fast.pdf"));
    run(&["paper", DOWNHILL, "-o", &full]).ends(0);
    let text = text_of(&full);
    for part in [
        "predicted macroetch section",
        COMPUTED,
        "Left root face, bead laid: melted",
        "hardness",
        "not included in this picture",
        "page 2 of 2",
        "fusion line",
    ] {
        assert!(text.contains(part), "{part} is missing in {text}");
    }
    let bytes = std::fs::read(&full).unwrap();
    let says = |mark: &str| bytes.windows(mark.len()).any(|w| w == mark.as_bytes());
    assert!(says("pdfaid:part>2<") && says("pdfaid:conformance>A<") && says("pdfuaid:part>1<"));
    run(&["paper", DOWNHILL, "-o", &fast, "--fast"]).ends(0);
    let text = text_of(&fast);
    assert!(text.contains("page 1 of 1") && !text.contains("would etch"), "{text}");
}
