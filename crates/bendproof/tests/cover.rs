//! `cover` end to end on the real program: a coupon before it is welded, the
//! codes side by side, the chart, and the smallest tests of a job.
#![allow(clippy::unwrap_used)]

mod support;

use support::contract::{Holds, has, list};
use support::{Folder, example_with, run};

const PLATE: &str = "examples/plate-3g-downhill.toml";
const PIPE: &str = "examples/pipe-6g.toml";
const JOINTS: &str = "examples/joints.toml";

#[test]
fn an_open_root_plate_is_flagged_before_it_is_welded() {
    let ran = run(&["cover", PLATE]).ends(1);
    assert!(ran.out.contains("specimens of 3G: 1 face, 1 root, or 2 side"), "{}", ran.out);
    assert!(ran.out.contains("root concavity maximum 1/16 in [2 mm]"), "{}", ran.out);
    assert!(
        ran.out.starts_with("no qualification under AWS D1.1:2020: ")
            && ran.out.contains("[d11-plate-open-root]"),
        "{}",
        ran.out
    );
}

#[test]
fn a_plate_on_backing_says_what_it_leaves_out() {
    let folder = Folder::new();
    let file = folder.write("steel.toml", example_with(PLATE, "backing = \"open\"", "backing = \"steel\""));
    let ran = run(&["cover", &file]).ends(0);
    let (would, not) = ran.out.split_once("will not qualify for").unwrap();
    assert!(
        would.contains("will qualify for, if it passes") && would.contains("thickness 1/8 in to 3/4 in"),
        "{would}"
    );
    assert!(not.contains("backing open: ") && not.contains("[d11-backing-used]"), "{not}");
    assert!(not.contains("transfer globular, spray, pulsed: "), "{not}");
}

#[test]
fn the_codes_stand_side_by_side_to_the_contract() {
    use Holds::*;
    let answer = run(&["cover", PIPE, "--all", "--json"]).ends(0).json();
    let table = &answer["side_by_side"];
    let codes = list(table, "codes").len();
    assert!(codes >= 3);
    assert_eq!(list(&answer, "codes").len(), codes);
    for one in list(&answer, "codes") {
        has(
            one,
            &[("code", Text), ("title", Text), ("specimens", List), ("limits", List), ("standing", Object)],
        );
        has(one, &[("neighbours", List), ("reach", List)]);
    }
    for row in list(table, "rows") {
        has(row, &[("about", Text), ("cells", List)]);
        assert_eq!(list(row, "cells").len(), codes);
    }
    let two = run(&["cover", PIPE, "--code", "d1.1", "--code", "api-1104"]).ends(0);
    assert!(two.out.contains("plate groove\n") && two.out.contains("  * api-1104-2013"), "{}", two.out);
}

#[test]
fn the_chart_is_written_for_one_code() {
    let folder = Folder::new();
    let out = folder.path("cover.svg");
    run(&["cover", PIPE, "--out", &out]).ends(0);
    let svg = std::fs::read_to_string(&out).unwrap();
    assert!(svg.starts_with("<svg") && svg.contains("pipe groove OH: covered"));
    assert!(run(&["cover", PIPE, "--all", "--out", &out]).ends(2).err.contains("--code"));
    let odd = folder.path("cover.gif");
    assert!(run(&["cover", PIPE, "--out", &odd]).ends(2).err.contains("a chart cannot be written as .gif"));
}

#[test]
fn a_job_gets_its_smallest_tests() {
    let ran = run(&["cover", "--joints", JOINTS]).ends(0);
    assert!(ran.out.contains("1 coupon, "), "{}", ran.out);
    assert!(
        ran.out.contains("covers header girth; header girth, sides; base plate splice; gusset"),
        "{}",
        ran.out
    );
    // Under a code whose groups are not known here nothing is promised.
    let printed = run(&["cover", "--joints", JOINTS, "--code", "api-1104", "--json"]).ends(1).json();
    let code = &list(&printed, "codes")[0];
    assert!(list(code, "sets").is_empty() && !list(code, "if_settled").is_empty(), "{code}");
    for joint in list(code, "joints") {
        assert_ne!(joint["answer"], "covered", "{joint}");
        assert!(!list(joint, "reasons").is_empty(), "{joint}");
    }
}

#[test]
fn what_cannot_be_read_is_refused_in_words() {
    let folder = Folder::new();
    let spoiled = folder.write("joints.toml", example_with(JOINTS, "position = \"OH\"", "position = \"7G\""));
    let ran = run(&["cover", "--joints", &spoiled]).ends(2);
    assert!(ran.err.contains("position is `7G`; enter one of F, H, V, OH"), "{}", ran.err);
    assert!(run(&["cover", PLATE, "--code", "d1.2"]).ends(2).err.contains("the nearest is"));
    run(&["cover"]).ends(2);
    run(&["check", JOINTS]).ends(0);
    assert!(run(&["schema", "joints"]).ends(0).out.contains("nominal_size"));
}
