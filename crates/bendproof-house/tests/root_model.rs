//! The numbers that `docs/explanation/root-model.md` tells of the examples,
//! computed again.
#![allow(clippy::unwrap_used)]

mod support;

use bendproof_forecast::Forecast;
use bendproof_traveler::forecast::{read_forecast, read_forecast_solved};

/// Solved, and by the fast model.
fn both(example: &str) -> [Forecast; 2] {
    let text = support::read(&format!("examples/{example}.toml"));
    [read_forecast_solved(&text, None), read_forecast(&text, None)].map(|read| read.forecast.unwrap().1)
}

fn holds(sentence: &str) {
    let text = support::read("docs/explanation/root-model.md");
    assert!(text.contains(sentence), "docs/explanation/root-model.md is stale; it is now: {sentence}");
}

/// Margin of the last pass against its walls, mm.
fn cap_mm(forecast: &Forecast) -> f64 {
    forecast.passes.last().unwrap().tie_in.margin.unwrap() * 1e3
}

#[test]
fn the_root_model_page_tells_what_the_examples_give() {
    let [solved, fast] = both("plate-3g-downhill").map(|forecast| cap_mm(&forecast));
    assert!(solved > 0.0 && fast < 0.0, "{solved} {fast}");
    holds(&format!(
        "the cap of `examples/plate-3g-downhill.toml` is {solved:.2} mm past the wall solved, and {:.2} mm short of it by the fast model",
        -fast
    ));
    let [solved, fast] = both("plate-3g-uphill").map(|forecast| forecast.root);
    let apart = |a: &bendproof_forecast::Item, b: &bendproof_forecast::Item| {
        (a.margin.unwrap() - b.margin.unwrap()).abs() * 1e3
    };
    let lands = [apart(&solved.left_edge, &fast.left_edge), apart(&solved.right_edge, &fast.right_edge)];
    holds(&format!("they differ by at most {:.1} mm at the land", lands[0].max(lands[1])));
}

/// The box of the page is the box of the program.
#[test]
fn the_root_model_page_tells_the_box_the_program_keeps_to() {
    for side in bendproof_forecast::CHECKED_BOX {
        holds(&format!("| {} | {} {} | {} {} |", side.name, side.low, side.unit, side.high, side.unit));
    }
}

/// The word between the two ends, as the program says it.
#[test]
fn the_root_model_page_tells_the_words_of_the_program() {
    let word = bendproof_forecast::Verdict::Marginal.word();
    holds(&format!("\"likely to fail\" up to 20, \"{word}\" between"));
}

/// "In all three examples the thinnest wall is within 0.2 mm of the line."
#[test]
fn the_walls_of_the_examples_come_out_thin() {
    for example in ["plate-3g-downhill", "plate-3g-uphill", "pipe-6g"] {
        let [solved, _] = both(example);
        let walls = solved.passes.iter().skip(1).map(|pass| &pass.tie_in);
        let thinnest = walls.min_by(|a, b| a.margin.unwrap().total_cmp(&b.margin.unwrap())).unwrap();
        assert!(thinnest.margin.unwrap().abs() < 0.2e-3, "{example}: {thinnest:?}");
    }
    holds("in all three examples the thinnest wall is within 0.2 mm of the line");
}
