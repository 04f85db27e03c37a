//! A plan with stick, end to end on the real program: rods, heat and fill in words
//! and in JSON, and what it does not answer.
#![allow(clippy::unwrap_used)]

mod support;

use support::contract::{Holds, has, list};
use support::{Folder, example_with, run};

const STICK: &str = "examples/plate-3g-stick.toml";

#[test]
fn a_stick_plan_says_rods_heat_and_fill_and_no_chance() {
    let ran = run(&["forecast", STICK]).ends(1);
    for words in ["weld per rod", "110 to 160 A", "groove filled", "rods", "temp before pass", "t8/5"] {
        assert!(ran.out.contains(words), "{words}: {}", ran.out);
    }
    assert!(ran.err.contains("root and fusion are not computed for stick"), "{}", ran.err);
    for words in ["should hold", "likely to fail", "marginal", "chance"] {
        assert!(!ran.out.contains(words), "{words}: {}", ran.out);
    }
}

#[test]
fn the_json_of_a_stick_plan_is_the_contract() {
    use Holds::*;
    let value = run(&["--json", "forecast", STICK]).ends(1).json();
    let stick = &value["stick"];
    has(
        stick,
        &[
            ("electrode", Text),
            ("groove_area_mm2", Number),
            ("face_width_mm", Number),
            ("passes", List),
            ("totals", Object),
        ],
    );
    has(
        &stick["totals"],
        &[
            ("beads", Whole),
            ("filled_percent", Number),
            ("filled_doubt_percent", Number),
            ("beads_missing", Whole),
            ("rods", Whole),
            ("rods_doubt_percent", Number),
            ("laid_kg", Number),
            ("arc_time_s", Number),
            ("clock_time_s", NumberOrNull),
            ("sources", Object),
        ],
    );
    assert_eq!(list(stick, "passes").len(), 3);
    // The plan fills the plate with a cap on it, and the cap is no tower.
    let filled = stick["totals"]["filled_percent"].as_f64().unwrap();
    assert!((100.0..125.0).contains(&filled), "{filled}");
    for pass in list(stick, "passes") {
        let sources = pass["sources"].as_object().unwrap();
        for field in ["run_out_mm", "heat_input_kJ_mm", "bead_area_mm2", "handbook_A"] {
            assert!(pass[field] != serde_json::Value::Null && sources.contains_key(field), "{field}");
        }
    }
}

#[test]
fn what_a_stick_plan_lacks_is_named() {
    let folder = Folder::new();
    for (old, new, said) in [
        ("amps = \"120 A\"\n", "", "amps is missing; enter what the machine is set to, as 120 A"),
        (
            "wire = \"E7018\"",
            "wire = \"E308L-16\"",
            "what E308L-16 lays is not known here, only that of E6010",
        ),
        ("travel = \"4.5 in/min\"\n", "", "travel speed is missing"),
        ("wire_diameter = \"1/8 in\"\n", "", "electrode diameter is missing"),
    ] {
        let path = folder.write("coupon.toml", example_with(STICK, old, new));
        let ran = run(&["forecast", &path]).ends(2);
        assert!(ran.err.contains(said), "{said}: {}", ran.err);
        assert!(!ran.out.contains("rods"), "{}", ran.out);
    }
}
