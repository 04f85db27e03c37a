//! `window` and `compare` end to end on the real program: the map in every
//! format, the knob it names, two coupons side by side, and what is refused.
#![allow(clippy::unwrap_used)]

mod support;

use serde_json::Value;
use support::contract::{FINDING_FIELDS, Holds, has, is_one_of, list};
use support::{Folder, Ran, example_with, run};

const DOWNHILL: &str = "examples/plate-3g-downhill.toml";
const UPHILL: &str = "examples/plate-3g-uphill.toml";
const PIPE: &str = "examples/pipe-6g.toml";
const WORDS: &[&str] = &["holds", "marginal", "fails", "not_known"];
const OPENING: &str = "root_opening=1/16in..1/4in";
const LAND: &str = "root_face=0..1/8in";

/// A window of opening against land, with more arguments behind.
fn window(file: &str, more: &[&str]) -> Ran {
    let mut arguments = vec!["window", file, "--x", OPENING, "--y", LAND];
    arguments.extend(more);
    run(&arguments)
}

/// The example downhill with a land that does not melt.
fn thick(folder: &Folder) -> String {
    folder.write("thick.toml", example_with(DOWNHILL, "root_face = \"1/16 in\"", "root_face = \"3/32 in\""))
}

fn is_answer(answer: &Value) {
    use Holds::*;
    has(
        answer,
        &[("about", Text), ("pass", Whole), ("verdict", Text), ("unit", Text), ("clearance", NumberOrNull)],
    );
    is_one_of(&answer["verdict"], WORDS);
    assert_eq!(answer["clearance"].is_null(), answer["verdict"] == "not_known", "{answer}");
}

#[test]
fn a_window_is_mapped_to_the_contract() {
    use Holds::*;
    for file in [DOWNHILL, UPHILL, PIPE] {
        let ran = window(file, &["--size", "12x8", "--json"]);
        let answer = ran.json();
        // The map speaks by the fast model, and so must its sheet.
        let forecast = run(&["forecast", file, "--fast", "--json"]).json();
        assert_eq!(ran.code == 0, forecast["verdict"] == "holds", "{file}");
        assert_eq!(answer["here"]["verdict"], forecast["verdict"], "{file}: the map and the sheet disagree");
        has(
            &answer,
            &[("number", Text), ("scope", Text), ("cells", Object), ("knobs", List), ("chance", Object)],
        );
        for side in ["x", "y"] {
            has(&answer[side], &[("field", Text), ("low_si", Number), ("high_si", Number), ("cells", Whole)]);
            has(&answer["checked"][side], &[("low_si", Number), ("high_si", Number)]);
        }
        for name in ["verdict", "first", "pass", "clearance"] {
            let rows = list(&answer["cells"], name);
            assert_eq!(rows.len(), 8);
            assert!(rows.iter().all(|row| row.as_array().unwrap().len() == 12), "{name}");
        }
        for row in list(&answer["cells"], "verdict") {
            row.as_array().unwrap().iter().for_each(|word| is_one_of(word, WORDS));
        }
        list(&answer, "answers").iter().for_each(is_answer);
        for knob in list(&answer, "knobs") {
            has(
                knob,
                &[("field", Text), ("step", Text), ("value_si", Number), ("margin_per_step", NumberOrNull)],
            );
        }
        let chance = &answer["chance"];
        has(chance, &[("along", Number), ("range", Object), ("draws", Whole), ("stretches", Whole)]);
        assert!(chance["along"].as_f64() <= chance["place"].as_f64(), "{chance}");
        let file = run(&["forecast", file, "--fast", "--json"]).json();
        assert_eq!(chance["along"], file["probability_root_holds"], "two chances for one coupon");
    }
}

#[test]
fn a_land_too_thick_is_named_and_the_change_does_what_it_says() {
    let folder = Folder::new();
    let file = thick(&folder);
    let answer = window(&file, &["--root", "--size", "4x4", "--json"]).ends(1).json();
    assert_eq!(answer["first"]["about"], "left_edge");
    let change = &answer["change"];
    assert_eq!((&change["field"], &change["verdict"]), (&"fit.root_face".into(), &"holds".into()));
    let mm = change["to_si"].as_f64().unwrap() * 1e3;
    let mended = example_with(DOWNHILL, "root_face = \"1/16 in\"", &format!("root_face = \"{mm} mm\""));
    let mended = run(&["forecast", &folder.write("mended.toml", mended), "--fast", "--json"]).json();
    assert_eq!(mended["root"]["left_edge"]["verdict"], "holds");
    list(change, "worse").iter().for_each(|e| is_answer(&e["after"]));
}

#[test]
fn as_text_it_is_read_without_colour_and_the_same_each_time() {
    // Its ammeter is not read, so by the fast model alone the root stays open.
    let ran = window(DOWNHILL, &["--root"]).ends(1);
    for word in [
        "root face stays",
        "burns through",
        "capitals fail",
        "1/16 in",
        "first comes",
        "+1 V",
        "+10 in/min",
        "+1/32 in",
        "chance that the root holds over the whole joint: ",
        "provisional",
    ] {
        assert!(ran.out.contains(word), "no `{word}` in {}", ran.out);
    }
    assert!(!ran.out.contains('\u{1b}'), "colour codes in {}", ran.out);
    let map: Vec<&str> = ran.out.lines().filter_map(|l| l.split_once('|').map(|(_, map)| map)).collect();
    assert_eq!(map.len(), 24);
    assert!(map.iter().all(|line| line.chars().count() == 72));
    assert_eq!(map.concat().matches('+').count(), 1, "the place set is marked once");
    // Thick lands stand on top and stay; thinner ones below hold.
    assert!(map[0].starts_with('L') && map[16].contains('.'), "{}", ran.out);
    assert_eq!(ran.out, window(DOWNHILL, &["--root"]).out);
}

#[test]
fn it_is_written_in_each_format() {
    let folder = Folder::new();
    for (name, starts) in [
        ("w.svg", &b"<svg"[..]),
        ("w.png", &b"\x89PNG"[..]),
        ("w.csv", &b"fit.root_opening_si,"[..]),
        ("w.JSON", b"{"),
    ] {
        let path = folder.path(name);
        let ran = window(DOWNHILL, &["--root", "--size", "10x6", "-o", &path]).ends(1);
        assert!(ran.out.starts_with(&format!("{path}: ")), "{}", ran.out);
        let bytes = std::fs::read(&path).unwrap();
        assert!(bytes.starts_with(starts), "{name}");
        window(DOWNHILL, &["--size", "10x6", "-o", &folder.path("again")]).ends(2);
        window(DOWNHILL, &["--root", "--size", "10x6", "-o", &path]).ends(1);
        assert!(bytes == std::fs::read(&path).unwrap(), "{name} is not the same again");
    }
    let csv = std::fs::read_to_string(folder.path("w.csv")).unwrap();
    let lines: Vec<Vec<&str>> = csv.lines().map(|l| l.split(',').collect()).collect();
    assert_eq!(lines.len(), 1 + 60);
    assert!(lines.iter().all(|l| l.len() == 9), "{csv}");
    let svg = std::fs::read_to_string(folder.path("w.svg")).unwrap();
    for word in ["root face stays", "OK", "3.2", "1/8", "current settings", "typical range", "checked range"]
    {
        assert!(svg.contains(word), "no `{word}`");
    }
}

#[test]
fn the_root_alone_and_another_pass_can_be_asked() {
    let scope = |more: &[&str]| window(DOWNHILL, &[&["--size", "6x6", "--json"], more].concat()).json();
    assert_eq!(list(&scope(&["--root"]), "answers").len(), 4);
    assert!(list(&scope(&[]), "answers").len() > 4);
    let answer = run(&[
        "window",
        DOWNHILL,
        "--pass",
        "2",
        "--x",
        "volts=17V..21V",
        "--y",
        "pass.2.travel=8in/min..14in/min",
        "--size",
        "5x5",
        "--json",
    ])
    .json();
    assert_eq!(
        (&answer["x"]["field"], &answer["y"]["field"]),
        (&"pass.2.volts".into(), &"pass.2.travel".into())
    );
    assert!(answer["checked"]["x"].is_null(), "the checked range is that of the root pass");
}

#[test]
fn outside_the_checked_range_the_map_says_not_known_and_why() {
    let answer = run(&[
        "window",
        DOWNHILL,
        "--x",
        "root_opening=0..1/2in",
        "--y",
        "root_face=0..1/4in",
        "--size",
        "20x20",
        "--json",
    ])
    .json();
    let high = answer["checked"]["x"]["high_si"].as_f64().unwrap();
    for row in list(&answer["cells"], "verdict") {
        let (_, beyond) = row.as_array().unwrap().split_at((high / 0.0127 * 20.0).ceil() as usize);
        assert!(beyond.iter().all(|word| word == "not_known"), "{row}");
    }
    let why: Vec<&str> = list(&answer, "not_known").iter().map(|n| n["why"].as_str().unwrap()).collect();
    assert!(why.iter().any(|w| w.starts_with("root opening outside 1.58 to 6.4 mm")), "{why:?}");
}

#[test]
fn own_plates_stand_on_the_map_and_unjudged_ones_are_left_out() {
    let folder = Folder::new();
    let bends = "\n[visual]\ncracks = \"none\"\n";
    let unjudged = folder.write("plate.toml", example_with(DOWNHILL, "\"0412\"", "\"0410\"") + bends);
    let ran = window(DOWNHILL, &["--size", "4x4", "--json", "--plate", &unjudged]);
    assert!(ran.err.contains("is not judged yet and is left out"), "{}", ran.err);
    assert!(list(&ran.json(), "plates").is_empty());
}

#[test]
fn a_window_that_makes_no_sense_is_refused_with_the_next_step() {
    let asked = |x: &str, y: &str, more: &[&str]| {
        let ran = run(&[&["window", DOWNHILL, "--x", x, "--y", y], more].concat()).ends(2);
        assert!(ran.out.is_empty(), "{}", ran.out);
        ran.err
    };
    for (x, y, more, said) in [
        ("root_opning=0..1/4in", LAND, &[][..], "the nearest is `root_opening`"),
        (OPENING, "root_face=0..2in", &[], "root face is 2 in; enter 0 in to 1/2 in"),
        (OPENING, "root_face=1/8in..0", &[], "write the lower end first"),
        (OPENING, "root_face=0..1/8", &[], "has no unit"),
        (OPENING, OPENING, &[], "both sides turn the same input"),
        (OPENING, "volts=16V..19V", &["--pass", "9"], "pass 9 is not planned; enter 1 to 4"),
        (OPENING, LAND, &["--pass", "99"], "pass 99 is not planned; enter 1 to 4"),
        (OPENING, "volts=16V..19V", &["--pass", "0"], "pass is `0`; enter a whole number, 1 to 4000"),
        (OPENING, LAND, &["--size", "0x9"], "size is 0x9; enter 1x1 to 400x400, for example 60x60"),
        (
            OPENING,
            LAND,
            &["-o", "map.bmp"],
            "a map cannot be written as .bmp; end the name in .svg, .png, .csv, .json",
        ),
        (OPENING, LAND, &["-o", "no/such/place/map.svg"], "choose another place with -o"),
        (OPENING, LAND, &["--plate", "no-such.toml"], "give the path of a file that exists"),
    ] {
        let err = asked(x, y, more);
        assert!(err.contains(said), "no `{said}` in {err}");
    }
}

#[test]
fn a_coupon_that_cannot_be_used_gives_its_findings() {
    let folder = Folder::new();
    let broken = folder
        .write("broken.toml", example_with(DOWNHILL, "root_opening = \"1/8 in\"", "root_opening = \"2 in\""));
    let answer = window(&broken, &["--json"]).ends(2).json();
    list(&answer, "findings").iter().for_each(|f| has(f, FINDING_FIELDS));
    let ran = run(&["compare", DOWNHILL, &broken, "--json"]).ends(2);
    let both = ran.json();
    assert!(both["findings"][0].as_array().unwrap().is_empty());
    assert!(ran.err.contains("broken.toml:") && ran.err.contains("root opening is 2 in"), "{}", ran.err);
}

#[test]
fn two_coupons_are_compared_to_the_contract() {
    use Holds::*;
    let folder = Folder::new();
    let file = thick(&folder);
    let answer = run(&["compare", DOWNHILL, &file, "--json"]).ends(1).json();
    has(
        &answer,
        &[("numbers", Texts), ("titles", Texts), ("verdicts", Texts), ("inputs", List), ("figures", List)],
    );
    let inputs = list(&answer, "inputs");
    assert_eq!(inputs.len(), 1);
    assert_eq!((&inputs[0]["field"], &inputs[0]["texts"][1]), (&"fit.root_face".into(), &"3/32 in".into()));
    let edge = list(&answer, "answers").iter().find(|a| a["about"] == "left_edge").unwrap();
    let words = [0, 1].map(|i| &edge["items"][i]["verdict"]);
    assert_eq!(edge["words_differ"], words[0] != words[1]);
    let number = |v: &Value| v.as_f64().unwrap();
    let [a, b] = [0, 1].map(|i| number(&edge["items"][i]["margin"]));
    // One input differs, so it makes the whole difference and nothing is left.
    let apart = number(&edge["difference"]);
    assert!(apart < 0.0 && (b - a - apart).abs() < 1e-9);
    assert!((number(&edge["shares"][0]["margin"]) - apart).abs() < 1e-9);
    assert!(number(&edge["together"]).abs() < 1e-9);
}

#[test]
fn a_coupon_is_the_same_as_itself_and_a_fraction_the_same_as_its_decimal() {
    let folder = Folder::new();
    let decimal = example_with(DOWNHILL, "root_opening = \"1/8 in\"", "root_opening = \"3.175 mm\"");
    for other in [DOWNHILL.to_owned(), folder.write("decimal.toml", decimal)] {
        let ran = run(&["compare", DOWNHILL, &other]).ends(0);
        assert!(ran.out.contains("no word differs"), "{}", ran.out);
        assert!(list(&run(&["compare", DOWNHILL, &other, "--json"]).json(), "inputs").is_empty());
    }
}

#[test]
fn what_two_plans_have_not_in_common_is_reported() {
    let answer = run(&["compare", DOWNHILL, UPHILL, "--json"]).ends(1).json();
    let lost = list(&answer, "answers").iter().find(|a| a["about"] == "walls" && a["pass"] == 4).unwrap();
    assert!(lost["items"][1].is_null() && lost["difference"].is_null());
    let text = run(&["compare", DOWNHILL, UPHILL]).ends(1).out;
    for word in ["inputs that differ", "progression, pass 1", "* walls of pass 4", "not asked; no such pass"]
    {
        assert!(text.contains(word), "no `{word}` in {text}");
    }
}

#[test]
fn a_comparison_is_drawn_and_other_formats_are_refused() {
    let folder = Folder::new();
    let file = thick(&folder);
    for (name, starts) in [("c.svg", &b"<svg"[..]), ("c.png", &b"\x89PNG"[..])] {
        let path = folder.path(name);
        let answer = run(&["compare", DOWNHILL, &file, "-o", &path, "--json"]).ends(1).json();
        let bytes = std::fs::read(&path).unwrap();
        assert!(bytes.starts_with(starts) && answer["bytes"] == bytes.len(), "{name}");
    }
    let ran = run(&["compare", DOWNHILL, &file, "-o", "c.csv"]).ends(2);
    assert!(
        ran.err.contains("a comparison cannot be written as .csv; end the name in .svg, .png"),
        "{}",
        ran.err
    );
}
