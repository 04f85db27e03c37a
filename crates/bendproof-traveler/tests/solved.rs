//! The solved section of the example coupons: pictures that can be drawn,
//! numbers that agree with each other, and reasons where there are none.
#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test stops at the first surprise")]

use std::sync::LazyLock;

use bendproof_files::{COUPON, Document};
use bendproof_forecast::solved::SolveParams;
use bendproof_traveler::drawn::Look;
use bendproof_traveler::solved::{
    COMPUTED, FilmSide, PLACES_MAX, Place, SectionAsk, cooling_csv, curves, film_frame, film_times, places,
    section_view,
};
use bendproof_traveler::solved::{SolvedCoupon, solve_coupon, solved_sheet};

const EXAMPLES: [(&str, &str); 3] = [
    ("plate downhill", include_str!("../../../examples/plate-3g-downhill.toml")),
    ("plate uphill", include_str!("../../../examples/plate-3g-uphill.toml")),
    ("pipe", include_str!("../../../examples/pipe-6g.toml")),
];

fn document(text: &str) -> Document {
    Document::from_toml(&COUPON, text).0
}

fn solve(text: &str) -> Result<SolvedCoupon, bendproof_traveler::solved::NotSolved> {
    solve_coupon(&document(text), None, &SolveParams::COARSE)
}

/// The downhill plate, solved once for all tests.
static PLATE: LazyLock<SolvedCoupon> = LazyLock::new(|| solve(EXAMPLES[0].1).expect("solved"));

#[test]
fn every_example_etches_with_its_numbers() {
    for (name, text) in EXAMPLES {
        let solved = solve(text).expect(name);
        for look in [Look::Screen, Look::Paper] {
            let sheet = solved_sheet(&solved, look);
            assert_eq!(sheet.stamp, COMPUTED);
            for svg in [&sheet.etch, &sheet.etch_narrow].into_iter().filter(|svg| !svg.is_empty()) {
                assert!(svg.contains("etched"), "{name}: no section");
                assert!(svg.contains("past its edge"), "{name}: the root faces have no remark");
                assert!(svg.contains(COMPUTED), "{name}: the picture must say what it is");
                assert!(svg.matches("data-bead=").count() >= solved.beads() - 1, "{name}: a bead is missing");
            }
            assert_eq!(sheet.rows.len(), solved.beads());
            assert!(sheet.rows.iter().all(|row| row.cells.len() == sheet.columns.len()), "{name}");
            assert!(sheet.answers.iter().any(|a| a.contains("root face")), "{name}: {:?}", sheet.answers);
            assert!(sheet.notes[0].contains(COMPUTED));
        }
    }
}

#[test]
fn the_same_coupon_gives_the_same_section() {
    let again = solve(EXAMPLES[0].1).unwrap();
    assert_eq!(solved_sheet(&PLATE, Look::Paper), solved_sheet(&again, Look::Paper));
}

#[test]
fn the_film_runs_forward_and_every_frame_can_be_drawn() {
    let times = film_times(&PLATE, 2);
    assert!(times.len() > 12 && times.windows(2).all(|pair| pair[0] < pair[1]), "{times:?}");
    assert!(times[0] < 0.0 && *times.last().unwrap() > 8.0);
    for frame in 0..times.len() {
        let drawn = film_frame(&PLATE, 2, frame, FilmSide::Across, &[], Look::Screen).unwrap();
        assert_eq!((drawn.frame, drawn.frames), (frame, times.len()));
        assert!(drawn.svg.contains("data-px-per-mm") && drawn.svg.contains("field"));
        assert!(drawn.svg.contains(&drawn.words), "{}", drawn.words);
    }
    let along = film_frame(&PLATE, 2, 0, FilmSide::Along, &[], Look::Screen).unwrap();
    assert!(along.svg.contains("along the weld"));
    assert!(film_frame(&PLATE, 2, times.len(), FilmSide::Across, &[], Look::Screen).is_none());
    assert!(film_frame(&PLATE, 0, 0, FilmSide::Across, &[], Look::Screen).is_none());
    assert!(film_frame(&PLATE, 99, 0, FilmSide::Across, &[], Look::Screen).is_none());
    assert!(film_times(&PLATE, 99).is_empty());
}

#[test]
fn thermocouples_next_to_the_beads_were_hot_and_never_molten() {
    let found = curves(&PLATE, &[], &[], Look::Screen);
    assert!(!found.svg.is_empty() && found.rows.len() <= PLACES_MAX);
    for row in &found.rows {
        // An inch coupon says °F first.
        let peak = row.peak.split_once(" · ").unwrap().1.trim_end_matches(" °C");
        assert!((700.0..1495.0).contains(&peak.parse::<f64>().unwrap()), "{row:?}");
        assert!(row.is_metal);
    }
    let csv = cooling_csv(&PLATE, &[]);
    assert!(csv.starts_with("place,bead,x_mm,y_mm,t_s,T_C\n") && csv.lines().count() > 100);
}

#[test]
fn a_place_in_the_air_or_off_the_plate_is_said_to_be_none() {
    let at = |x: f64, y: f64| Place { name: "A".into(), bead: 1, at_mm: [x, y] };
    for place in [at(0.0, 30.0), at(0.0, 9.0), at(900.0, 3.0), at(f64::NAN, 1.0)] {
        let found = curves(&PLATE, std::slice::from_ref(&place), &[], Look::Screen);
        assert!(!found.rows[0].is_metal && found.svg.is_empty(), "{place:?}");
        assert!(found.rows[0].peak.contains("no metal"));
    }
    let found = curves(&PLATE, &[at(6.0, 5.0)], &[], Look::Screen);
    assert!(
        found.rows[0].is_metal
            && found.rows[0].words.starts_with("0.24 in right, 0.2 in up · 6 mm right, 5 mm up")
    );
}

/// Each speaks the units of its own thickness first, in words, heads and cells.
#[test]
fn an_inch_coupon_shows_inches_first_and_a_metric_one_millimetres() {
    let metric = EXAMPLES[0].1.replace("thickness = \"3/8 in\"", "thickness = \"9.525 mm\"");
    let metric = solve(&metric).unwrap();
    for (solved, heads, words) in [
        (&*PLATE, ["°F · °C", "in · mm", "in³ · mm³"], [" in · ", " °F · "]),
        (&metric, ["°C · °F", "mm · in", "mm³ · in³"], [" mm · ", " °C · "]),
    ] {
        let sheet = solved_sheet(solved, Look::Paper);
        let unit = |label: &str| sheet.columns.iter().find(|c| c.label == label).unwrap().unit.clone();
        assert_eq!(["temp before pass", "heated zone", "pool"].map(unit), heads);
        assert_eq!(unit("thinnest at").split(' ').next(), words[0].trim().split(' ').next());
        assert!(sheet.answers[0].contains(words[0]), "{:?}", sheet.answers);
        assert!(sheet.notes.iter().any(|note| note.contains(words[1])), "{:?}", sheet.notes);
    }
}

#[test]
fn a_measured_curve_lies_over_the_first_place_with_its_own_time() {
    let measured = [[0.0, 20.0], [1.0, 1200.0], [5.0, 800.0], [12.0, 500.0], [13.0, 480.0]];
    let found = curves(&PLATE, &[], &measured, Look::Screen);
    assert_eq!(found.rows[0].measured, "2192 °F · 1200 °C, t8/5 7 s");
    assert!(found.rows[1].measured.is_empty());
    assert!(found.svg.contains("measured"));
}

#[test]
fn a_view_takes_what_is_out_of_range_to_what_there_is() {
    let ask = SectionAsk {
        bead: 99,
        frame: Some(999),
        places_mm: vec![[1.0, 1.0]; PLACES_MAX + 5],
        measured: Vec::new(),
    };
    let view = section_view(&PLATE, &ask, Look::Screen).unwrap();
    assert_eq!(view.film.bead, PLATE.beads());
    assert_eq!(view.film.frame, view.film.frames - 1);
    assert_eq!(view.curves.rows.len(), PLACES_MAX);
    assert_eq!(view.beads.len(), PLATE.beads());
    assert_eq!(places(&ask, 1)[1].name, "B");
    let first = section_view(&PLATE, &SectionAsk::default(), Look::Screen).unwrap();
    assert!(first.film.bead == 1 && first.film.t_s > 0.0);
}

#[test]
fn what_cannot_be_solved_says_why() {
    let changed = |path: &str, text: &str| {
        let mut document = document(EXAMPLES[0].1);
        document.set(path, Some(text));
        solve_coupon(&document, None, &SolveParams::COARSE).unwrap_err().to_string()
    };
    assert!(changed("fit.backing", "steel").contains("steel backing"), "{}", changed("fit.backing", "steel"));
    assert!(changed("settings.process", "FCAW-G").contains("FCAW-G"));
    assert!(changed("fit.thickness", "much").contains("thickness"));
    assert!(solve("").unwrap_err().to_string().len() > 10);
    let refused =
        solve_coupon(&document(EXAMPLES[0].1), None, &SolveParams { beads_max: 2, ..SolveParams::COARSE });
    assert!(refused.unwrap_err().to_string().contains("more than the 2"));
}
