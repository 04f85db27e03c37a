//! The fast model: one forecast, the settings window, draws of a coupon.

use std::time::Duration;

use bendproof_forecast::solved::{SolveParams, solve};
use bendproof_forecast::{
    Axis, HeatOf, Knob, Limits, Scatter, Scope, answers, forecast, forecast_solved, window_map,
};
use bendproof_weld::{Coupon, SizeLimit};

use crate::support::{Times, say};
use crate::{EXAMPLES, Outcome, example, table};

const INCH_M: f64 = 0.0254;
/// Face reinforcement, melt-through and concavity of AWS D1.1:2020 6.10.1.1.
const LIMITS: Limits = Limits {
    crown: Some(SizeLimit::plain(INCH_M / 8.0)),
    melt_through: Some(SizeLimit::plain(INCH_M / 8.0)),
    concavity_m: Some(INCH_M / 16.0),
};
const CELLS: usize = 200;

/// Times of the fast model on the first example.
pub fn against_solved() -> Outcome {
    table("The fast model", &["job", "runs", "least", "middle", "greatest", "a solved coupon over it"]);
    let (coupon, scatter) = example(EXAMPLES[0].1)?;
    let x = Axis { knob: Knob::RootOpening, low_si: INCH_M / 16.0, high_si: INCH_M / 4.0, cells: CELLS };
    let y = Axis { knob: Knob::RootFace, low_si: 0.0, high_si: INCH_M / 8.0, cells: CELLS };
    let map = |scope| window_map(&coupon, &LIMITS, &scatter, scope, HeatOf::Fast, [x, y]);
    // Times would mean nothing if the answers were refusals.
    map(Scope::Root)?;
    forecast(&coupon, &scatter, &LIMITS).chance?;
    let solved = solve(&coupon, &SolveParams::STANDARD)?;
    let solving = Times::take(2, || solve(&coupon, &SolveParams::STANDARD));
    let jobs = [
        ("coupon solved bead by bead".to_owned(), solving),
        ("forecast".to_owned(), Times::take(500, || forecast(&coupon, &scatter, &LIMITS))),
        (
            "forecast from a coupon already solved".to_owned(),
            Times::take(200, || forecast_solved(&coupon, &scatter, &LIMITS, &solved)),
        ),
        (format!("window of {CELLS} x {CELLS}, root"), Times::take(5, || map(Scope::Root))),
        (
            "the same, every cell drawn, one thread".to_owned(),
            Times::take(1, || every_cell(&coupon, &scatter, x, y)),
        ),
        (format!("window of {CELLS} x {CELLS}, whole plan"), Times::take(2, || map(Scope::Whole))),
    ];
    let whole_s = jobs[0].1.at(0.5).as_secs_f64();
    for (name, times) in &jobs {
        let [least, middle, greatest] = [0.0, 0.5, 1.0].map(|share| times.at(share));
        println!(
            "| {name} | {} | {} | {} | {} | {} |",
            times.count(),
            say(least),
            say(middle),
            say(greatest),
            over(whole_s, middle)
        );
    }
    Ok(())
}

/// A window as it would be if nothing were taken between its cells: cells with a word.
fn every_cell(coupon: &Coupon, scatter: &Scatter, x: Axis, y: Axis) -> usize {
    let cells = (0..y.cells).flat_map(|row| (0..x.cells).map(move |column| (column, row)));
    let there = cells.filter_map(|(column, row)| {
        let moved = y.knob.moved(coupon, y.middle_si(row))?;
        x.knob.moved(&moved, x.middle_si(column))
    });
    there
        .filter(|there| answers(there, &LIMITS, scatter, Scope::Root, HeatOf::Fast).clearance().is_some())
        .count()
}

fn over(whole_s: f64, time: Duration) -> String {
    let ratio = whole_s / time.as_secs_f64();
    if ratio < 100.0 { format!("{ratio:.1}") } else { format!("{ratio:.0}") }
}
