//! The window and the comparison as the page and the command line get them:
//! own plates near the point, frames in the unit of the axis, reasons that add up.
#![allow(clippy::unwrap_used)]

use bendproof_drawing::{Frame, Theme, Words};
use bendproof_files::{COUPON, Document};
use bendproof_forecast::{Scope, Verdict};
use bendproof_traveler::compare::{compare_svg, read_compare};
use bendproof_traveler::plates::{PastPlate, past_plate};
use bendproof_traveler::window::{
    Side, Window, WindowRequest, read_window, window_csv, window_lines, window_svg,
};

const DOWNHILL: &str = include_str!("../../../examples/plate-3g-downhill.toml");
/// Room for a difference of two sums of a few margins in metres or shares.
const ROUNDING: f64 = 1e-12;

fn request(x: &str, y: &str) -> WindowRequest {
    let side = |text| Side::read(text, 1).unwrap();
    WindowRequest { x: side(x), y: side(y), cells: (12, 10), scope: Scope::Root }
}

fn read(text: &str, request: &WindowRequest, plates: &[PastPlate]) -> Window {
    read_window(text, None, request, plates).window.unwrap().unwrap()
}

/// The example as a finished coupon: two root and two face bends, looked at, with
/// what each face shows.
fn finished(number: &str, opening: &str, openings: &str) -> PastPlate {
    let mut text = DOWNHILL.replace("\"0412\"", &format!("\"{number}\""));
    text = text.replace("root_opening = \"1/8 in\"", &format!("root_opening = \"{opening}\""));
    text.push_str("\n[visual]\ncap_height = \"1/16 in\"\nundercut = \"0 in\"\n");
    text.push_str("root_concavity = \"0 in\"\nmelt_through = \"1/16 in\"\ncracks = \"none\"\n");
    text.push_str("fusion = \"complete\"\npenetration = \"complete\"\ncraters = \"filled\"\n");
    for (id, kind) in [("R1", "root"), ("R2", "root"), ("F1", "face"), ("F2", "face")] {
        text.push_str(&format!(
            "\n[[strap]]\nid = \"{id}\"\nkind = \"{kind}\"\nthickness = \"3/8 in\"\nopenings = {openings}\n"
        ));
    }
    let (document, findings) = Document::from_toml(&COUPON, &text);
    assert!(findings.is_empty(), "{findings:?}");
    past_plate(number, &document, None).unwrap_or_else(|| panic!("{number} is not judged"))
}

fn svg(window: &Window) -> String {
    let (theme, words) = (Theme::paper(), Words::english());
    window_svg(window, &Frame { id: "w", title: "t", desc: "", theme: &theme, words: &words })
}

#[test]
fn own_plates_stand_where_they_were_welded() {
    let wide = "[ { length = \"1/4 in\", place = \"face\" } ]";
    let plates = [finished("0301", "1/8 in", "[]"), finished("0302", "5/32 in", wide)];
    let asked = request("root_opening=1/16in..1/4in", "root_face=0..1/8in");
    let found = read(DOWNHILL, &asked, &plates).mapped.plates;
    let answer: Vec<(&str, bool)> = found.iter().map(|p| (p.number.as_str(), p.held)).collect();
    assert_eq!(answer, [("0301", true), ("0302", false)]);
    assert!((found[1].at_si[0] - 5.0 / 32.0 * 0.0254).abs() < ROUNDING);
    let drawn = svg(&read(DOWNHILL, &asked, &plates));
    assert!(drawn.contains("your coupon that passed") && drawn.contains("your coupon that failed"));
    assert!(!svg(&read(DOWNHILL, &asked, &[])).contains("your coupon that"));
}

#[test]
fn a_side_in_millimetres_and_one_in_inches_say_the_same() {
    let inch = read(DOWNHILL, &request("root_opening=1/8in..1/4in", "root_face=0..1/8in"), &[]);
    let metric = read(DOWNHILL, &request("root_opening=3.175mm..6.35mm", "root_face=0mm..3.175mm"), &[]);
    assert_eq!(window_csv(&inch), window_csv(&metric));
    let number = |svg: &str, name: &str| -> f64 {
        svg.split(&format!("data-{name}=\"")).nth(1).unwrap().split('"').next().unwrap().parse().unwrap()
    };
    assert_eq!(number(&svg(&inch), "x-max"), 0.25);
    assert_eq!(number(&svg(&metric), "x-max"), 6.35);
}

#[test]
fn a_window_of_an_incomplete_coupon_is_none_and_of_an_unmodelled_process_too() {
    let asked = request("root_opening=1/8in..1/4in", "root_face=0..1/8in");
    for (old, new) in [("thickness = \"3/8 in\"", ""), ("process = \"GMAW\"", "process = \"SMAW\"")] {
        let read = read_window(&DOWNHILL.replacen(old, new, 1), None, &asked, &[]);
        assert!(read.window.is_none() && !read.findings.is_empty(), "{new}: {:?}", read.findings);
    }
}

#[test]
fn a_backed_root_gives_a_map_that_says_it_does_not_know() {
    let backed = DOWNHILL.replace("backing = \"open\"", "backing = \"steel\"");
    let window = read(&backed, &request("root_opening=1/8in..1/4in", "root_face=0..1/8in"), &[]);
    assert!(window.mapped.map.rows.iter().flatten().all(|c| c.verdict == Verdict::NotKnown));
    let text = window_lines(&window).join("\n");
    assert!(text.contains("? in 120 cells: backed root"), "{text}");
    assert!(text.contains("chance that the root holds: not known; backed root"), "{text}");
    assert!(svg(&window).contains(">unknown<"));
}

#[test]
fn the_shares_of_a_difference_and_what_is_left_make_it_whole() {
    let other = DOWNHILL
        .replace("root_face = \"1/16 in\"", "root_face = \"3/32 in\"")
        .replace("travel = \"9 in/min\"", "travel = \"8 in/min\"")
        .replace("volts = \"17.5 V\"", "volts = \"18 V\"");
    let compared = read_compare([DOWNHILL, &other], None).compared.unwrap();
    let paths: Vec<&str> = compared.inputs.iter().map(|d| d.path.as_str()).collect();
    assert_eq!(paths, ["fit.root_face", "pass.1.volts", "pass.1.travel"]);
    let mut answer = 0;
    for pair in &compared.answers {
        let (Some(apart), Some(left)) = (pair.difference(), pair.together) else { continue };
        let single: f64 = pair.shares.iter().map(|s| s.margin).sum();
        // Small shares are left out: at most a twentieth of the largest each.
        let largest = pair.shares.iter().map(|s| s.margin.abs()).fold(apart.abs(), f64::max);
        let unshared = (apart - left - single).abs();
        assert!(unshared <= 0.05 * largest * paths.len() as f64 + ROUNDING, "{}: {unshared}", pair.name);
        answer += pair.shares.len();
    }
    assert!(answer > 5, "hardly any share is listed");
    let edge = &compared.answers[0];
    assert_eq!(edge.shares[0].path, "fit.root_face", "the land moves the edge most");
    assert!(edge.shares[0].margin < 0.0);
}

#[test]
fn what_came_after_the_arc_is_no_input_of_a_comparison() {
    let logged = format!("{DOWNHILL}\n[[log]]\nkind = \"root\"\nvolts = \"17 V\"\n");
    let compared = read_compare([DOWNHILL, &logged], None).compared.unwrap();
    assert!(compared.inputs.is_empty() && compared.answers.iter().all(|p| !p.words_differ()));
    let (theme, words) = (Theme::paper(), Words::english());
    let drawn =
        compare_svg(&compared, &Frame { id: "c", title: "t", desc: "", theme: &theme, words: &words });
    assert!(drawn.starts_with("<svg") && drawn.contains("left root face"));
}
