//! `bendproof heat` end to end: the contract, a case with an exact answer, the
//! accuracy asked for, and what is refused.
#![allow(clippy::unwrap_used)]

mod support;

use serde_json::Value;
use support::contract::{Holds, has, list};
use support::{Folder, example_with, read, run};

const EXAMPLE: &str = "examples/heat-plate.toml";
const HOW_TO: &str = "docs/how-to/check-the-solver.md";

/// A plate so small that it is solved at once, with constant properties.
const SMALL: &str = r#"[plate]
length = "40 mm"
width = "30 mm"
thickness = "8 mm"
[material]
model = "constant"
conductivity = "30 W/m/K"
volumetric_heat = "5.0e6 J/m^3/K"
[source]
power = "900 W"
travel = "5 mm/s"
from = ["12 mm", "15 mm"]
to = ["28 mm", "15 mm"]
half_width = "4 mm"
depth = "4 mm"
front = "4 mm"
rear = "8 mm"
[run]
cool_for = "3 s"
cell = "2 mm"
[probes]
toe = ["20 mm", "19 mm", "0 mm"]
under = ["20 mm", "15 mm", "8 mm"]
"#;

fn solved(text: &str, code: i32) -> Value {
    let folder = Folder::new();
    run(&["heat", &folder.write("heat.toml", text), "--json"]).ends(code).json()
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value} is no number"))
}

fn texts(value: &Value, name: &str) -> Vec<String> {
    list(value, name).iter().map(|t| t.as_str().unwrap().to_owned()).collect()
}

#[test]
fn the_example_is_solved_to_the_contract() {
    use Holds::*;
    /// The steel's temperature comes out of a table.
    const TABLE_K: f64 = 1e-2;
    let answer = run(&["heat", EXAMPLE, "--json"]).ends(0).json();
    has(
        &answer,
        &[
            ("probes", Object),
            ("fusion", Object),
            ("energy_error", Number),
            ("accuracy_estimate", NumberOrNull),
            ("accuracy_driver", TextOrNull),
            ("cell_mm", Number),
            ("cells", Whole),
            ("steps", Whole),
            ("stages", Whole),
            ("bytes", Whole),
            ("threads", Whole),
            ("coarser", List),
            ("wall_s", Number),
            ("notes", Texts),
        ],
    );
    has(&answer["fusion"], &[("half_width_mm", Number), ("depth_mm", Number), ("isotherm_C", Number)]);
    assert_eq!(answer["symmetric"], true);
    let names: Vec<&String> = answer["probes"].as_object().unwrap().keys().collect();
    assert_eq!(names, ["bead", "toe", "underside"], "in the order they are written");
    for (name, probe) in answer["probes"].as_object().unwrap() {
        has(probe, &[("t_s", List), ("T_C", List), ("peak_C", Number), ("t85_s", NumberOrNull)]);
        let (times, degrees) = (list(probe, "t_s"), list(probe, "T_C"));
        assert_eq!(times.len(), degrees.len());
        // 6 s of arc, 30 s of cooling.
        assert_eq!((number(&times[0]), number(&times[times.len() - 1])), (0.0, 36.0));
        assert!(
            (number(&degrees[0]) - (70.0 - 32.0) / 1.8).abs() < TABLE_K,
            "{name} starts at {}",
            degrees[0]
        );
    }
    let peak = |name: &str| number(&answer["probes"][name]["peak_C"]);
    assert!(peak("bead") > peak("toe") && peak("toe") > peak("underside"));
    assert!(number(&answer["probes"]["bead"]["t85_s"]) > 0.5 && answer["probes"]["toe"]["t85_s"].is_null());
    // Carbon steel melts midway between its solidus and its liquidus, and the
    // bead's peak says that it did.
    assert!((number(&answer["fusion"]["isotherm_C"]) - 1495.0).abs() < 1e-9);
    assert!(number(&answer["fusion"]["half_width_mm"]) > 1.0 && number(&answer["fusion"]["depth_mm"]) > 1.0);
    // A bound of our choice for a balance with latent heat.
    assert!(number(&answer["energy_error"]) < 1e-3);
}

#[test]
fn the_example_reads_as_text_in_both_systems() {
    let ran = run(&["heat", EXAMPLE]).ends(0);
    for word in ["bead", "t8/5", " F · ", " C", "fusion depth", " in · ", " mm", "energy balance", "1 thread"]
    {
        assert!(ran.out.contains(word), "no `{word}` in {}", ran.out);
    }
    assert!(ran.err.lines().all(|l| l.starts_with("note: ")), "{}", ran.err);
    assert!(!ran.err.contains('\r'), "progress is for terminals");
}

/// The text between two fences after `heading`.
fn fenced(text: &str, kind: &str, heading: &str) -> String {
    let after = text.split_once(heading).unwrap().1;
    let block = after.split_once(&format!("```{kind}\n")).unwrap().1;
    block.split_once("```").unwrap().0.to_owned()
}

/// The page that tells people how to check the solver, checked: its file is
/// solved and its table compared, within what the page says.
#[test]
fn the_page_with_an_exact_answer_tells_the_truth() {
    /// Said on the page: of the rise, and in the pool and along its edge.
    const SLACK: f64 = 5e-3;
    const SLACK_POOL: f64 = 1e-2;
    const START_C: f64 = 20.0;
    let page = read(HOW_TO);
    let printed = solved(&fenced(&page, "toml", "## A case with an exact answer"), 0);
    assert!(number(&printed["energy_error"]) < 1e-10, "{}", printed["energy_error"]);
    let rows: Vec<Vec<&str>> = page
        .lines()
        .filter(|l| l.starts_with("| ") && !l.starts_with("| figure"))
        .map(|l| l.trim_matches('|').split('|').map(str::trim).collect())
        .collect();
    assert_eq!(rows.len(), 11);
    for row in rows {
        let exact: f64 = row[1].parse().unwrap();
        let (figure, probe) = row[0].split_once(" at ").unwrap_or((row[0], ""));
        let trace = &printed["probes"][probe];
        let (got, scale, slack) = match figure {
            "peak" => (&trace["peak_C"], exact - START_C, if probe == "s0" { SLACK_POOL } else { SLACK }),
            "last temperature" => (list(trace, "T_C").last().unwrap(), exact - START_C, SLACK),
            "t8/5" => (&trace["t85_s"], exact, SLACK),
            "fusion half width" => (&printed["fusion"]["half_width_mm"], exact, SLACK_POOL),
            "fusion depth" => (&printed["fusion"]["depth_mm"], exact, SLACK_POOL),
            other => panic!("{other}"),
        };
        let error = (number(got) - exact) / scale;
        assert!(error.abs() <= slack, "{}: {got} against {exact}, {error:+.4}", row[0]);
    }
}

#[test]
fn threads_change_nothing_but_the_time() {
    let folder = Folder::new();
    let path = folder.write("heat.toml", SMALL);
    let answer = ["1", "2", "3"].map(|threads| {
        let mut answer = run(&["heat", &path, "--json", "--threads", threads]).ends(0).json();
        assert_eq!(answer["threads"], threads.parse::<u32>().unwrap());
        for name in ["wall_s", "threads"] {
            answer.as_object_mut().unwrap().remove(name);
        }
        answer.to_string()
    });
    assert!(answer[0] == answer[1] && answer[0] == answer[2]);
    let ran = run(&["heat", &path, "--threads", "0"]).ends(2);
    assert!(ran.err.contains("1 to 64"), "{}", ran.err);
}

#[test]
fn the_accuracy_asked_for_is_the_accuracy_got() {
    const WANTED: f64 = 0.02;
    let answer = solved(&SMALL.replace("cell = \"2 mm\"", "accuracy = \"2 %\""), 0);
    let estimate = number(&answer["accuracy_estimate"]);
    assert!(estimate > 0.0 && estimate <= WANTED, "{estimate}");
    assert!(answer["accuracy_driver"].as_str().unwrap().len() > 4);
    let coarser = list(&answer, "coarser");
    let cell_mm = number(&answer["cell_mm"]);
    // Half the smallest length of the source, then halved.
    assert_eq!(number(&coarser[0]["cell_mm"]), 2.0);
    assert_eq!(cell_mm, 2.0 / f64::from(1 << coarser.len()));
    // A grid with an eighth of the cells' volume stands in for the truth.
    let fine = format!("cell = \"{} mm\"\nstep_max = \"0.1 s\"", 0.5 * cell_mm);
    let fine = solved(&SMALL.replace("cell = \"2 mm\"", &fine), 0);
    for name in ["toe", "under"] {
        let rise = |answer: &Value| number(&answer["probes"][name]["peak_C"]) - 20.0;
        let error = rise(&answer) / rise(&fine) - 1.0;
        assert!(error.abs() <= WANTED, "{name}: {error:+.4}");
    }
    // Neither written: one per cent.
    let answer = solved(&SMALL.replace("cell = \"2 mm\"\n", ""), 0);
    assert!(number(&answer["accuracy_estimate"]) <= 0.01);
}

#[test]
fn an_accuracy_out_of_reach_says_how_far_it_came() {
    let folder = Folder::new();
    let text = SMALL.replace("cell = \"2 mm\"", "accuracy = \"0.05 %\"\ncells_max = 20000");
    let path = folder.write("heat.toml", text);
    let ran = run(&["heat", &path, "--json"]).ends(2);
    assert!(
        ran.json()["findings"][0]["message"].as_str().unwrap().contains("was not reached"),
        "{}",
        ran.out
    );
    let begins = format!("bendproof: {path}: accuracy 0.05 % was not reached with cells of ");
    assert!(ran.err.starts_with(&begins), "{}", ran.err);
    for word in [
        " is off by about ",
        "; with half of that the grid needs ",
        "20000 allowed",
        "ask for less, write `cell`, or raise `cells_max`",
    ] {
        assert!(ran.err.contains(word), "no `{word}` in {}", ran.err);
    }
}

/// The plate on which halving once went on for minutes: 9.5 mm of steel.
const STEEL: &str = r#"[plate]
length = "100 mm"
width = "80 mm"
thickness = "9.5 mm"
[material]
model = "carbon-steel-en1993"
[source]
power = "2400 W"
travel = "5.5 mm/s"
from = ["25 mm", "40 mm"]
to = ["75 mm", "40 mm"]
half_width = "4 mm"
depth = "3 mm"
front = "4 mm"
rear = "8 mm"
[run]
cool_for = "10 s"
accuracy = "1 %"
[probes]
toe = ["50 mm", "46 mm", "0 mm"]
"#;

#[test]
fn an_accuracy_on_steel_ends_and_tells_the_wobble_of_the_edge() {
    let answer = solved(STEEL, 0);
    assert!(number(&answer["accuracy_estimate"]) <= 0.01);
    // No finer than a millimeter is needed; it went to 0.1 mm before.
    assert!(number(&answer["cell_mm"]) >= 0.5, "{}", answer["cell_mm"]);
    let wobble = number(&answer["fusion"]["wobble_mm"]);
    assert!((wobble - 0.1 * number(&answer["cell_mm"])).abs() < 1e-9);
    assert!(solved(SMALL, 0)["fusion"]["wobble_mm"].is_null(), "constant properties have no melting range");
}

#[test]
fn a_run_that_would_take_too_long_is_not_begun_and_says_its_time() {
    let folder = Folder::new();
    let text = STEEL.replace("\"1 %\"", "\"0.05 %\"\ntime_max = \"1 s\"");
    let ran = run(&["heat", &folder.write("heat.toml", text)]).ends(2);
    for word in ["accuracy 0.05 % was not reached", "half of that would take about ", "`time_max` is 1 s"] {
        assert!(ran.err.contains(word), "no `{word}` in {}", ran.err);
    }
}

#[test]
fn a_grid_beyond_the_memory_is_refused_before_it_is_made() {
    let folder = Folder::new();
    let path = folder.write("heat.toml", SMALL.replace("\"2 mm\"", "\"0.01 mm\""));
    let ran = run(&["heat", &path]).ends(2);
    assert!(
        ran.out.is_empty()
            && ran.err.contains("the grid needs ")
            && ran.err.contains("allow more with `cells_max`")
            && ran.err.contains(" MiB"),
        "{}",
        ran.err
    );
}

#[test]
fn histories_are_written_side_by_side() {
    let folder = Folder::new();
    let path = folder.write("heat.toml", SMALL);
    let csv = folder.path("histories.csv");
    let answer = run(&["heat", &path, "--json", "--csv", &csv]).ends(0).json();
    let text = std::fs::read_to_string(&csv).unwrap();
    let lines: Vec<&str> = text.lines().collect();
    assert_eq!(lines[0], "t_s,toe_C,under_C");
    let times = list(&answer["probes"]["toe"], "t_s");
    assert_eq!(lines.len(), times.len() + 1);
    let last: Vec<f64> = lines[times.len()].split(',').map(|n| n.parse().unwrap()).collect();
    let degrees = list(&answer["probes"]["under"], "T_C");
    // The file keeps four decimals.
    assert!((last[2] - number(&degrees[degrees.len() - 1])).abs() <= 0.5e-4);
    let nowhere = folder.path("no/such/folder.csv");
    let ran = run(&["heat", &path, "--csv", &nowhere]).ends(2);
    assert!(ran.err.contains("does not exist; make it, or choose another"), "{}", ran.err);
}

#[test]
fn a_plate_that_only_cools_has_no_balance_to_tell() {
    let (before, rest) = SMALL.split_once("[source]").unwrap();
    let after = rest.split_once("[run]").unwrap().1;
    let losses = "[losses]\nconvection = \"200 W/m^2/K\"\nambient = \"20 C\"\n";
    let text = format!("{before}{losses}[run]\nstart_temperature = \"300 C\"{after}");
    let answer = solved(&text, 0);
    assert!(answer["energy_error"].is_null());
    let degrees = list(&answer["probes"]["toe"], "T_C");
    let (first, last) = (number(&degrees[0]), number(&degrees[degrees.len() - 1]));
    assert!((first - 300.0).abs() < 1e-6 && last < 299.0 && last > 20.0, "{first} to {last}");
    assert_eq!(number(&answer["fusion"]["depth_mm"]), 0.0);
}

#[test]
fn a_warning_is_reported_with_the_answer() {
    let text = SMALL.replace("depth = \"4 mm\"", "depth = \"8 mm\"");
    let answer = solved(&text, 1);
    let notes = texts(&answer, "notes");
    assert!(notes.iter().any(|n| n.starts_with("part of the arc's heat lies below the plate")), "{notes:?}");
}

/// Nothing evaporates in the solver, so an arc far too strong makes a pool that
/// no metal would be; the answer says so.
#[test]
fn a_pool_hotter_than_boiling_is_doubted() {
    let steel = SMALL.replace(
        "model = \"constant\"\nconductivity = \"30 W/m/K\"\nvolumetric_heat = \"5.0e6 J/m^3/K\"",
        "model = \"carbon-steel-en1993\"",
    );
    let is_doubted = |text: &str| texts(&solved(text, 0), "notes").iter().any(|n| n.contains("iron boils"));
    assert!(!is_doubted(&steel));
    assert!(is_doubted(&steel.replace("\"900 W\"", "\"90000 W\"")));
}

#[test]
fn what_cannot_be_solved_is_refused_with_every_fault() {
    let folder = Folder::new();
    let wrong = SMALL
        .replace("\"900 W\"", "\"900\"")
        .replace("\"5 mm/s\"", "\"-5 mm/s\"")
        .replace("\"28 mm\", \"15 mm\"", "\"48 mm\", \"16 mm\"")
        .replace("rear =", "reer =");
    let path = folder.write("heat.toml", wrong);
    let ran = run(&["heat", &path]).ends(2);
    assert!(ran.out.is_empty(), "{}", ran.out);
    for expected in [
        ":10: power: `900` has no unit; enter a power as 1900 W or 1.9 kW; allowed: 1 W to 1000000 W",
        ":11: travel is -300 mm/min; enter 0.6 mm/min to 60000 mm/min; write the speed along x; it cannot be zero or backward",
        ":13: x of `to` is 48 mm; enter 0 to the plate's length, 40 mm; move it into the plate",
        ":13: the run ends at y 16 mm and starts at 15 mm; the arc runs along x, so write the same y twice",
        ":17: `source.reer` is not a field of a heat file; did you mean `source.rear`?",
        ":9: rear of the source is missing; enter 0.0039 in to 19.685 in, for example 1/8 in or 3.2 mm",
    ] {
        assert!(ran.err.lines().any(|l| l == format!("{path}{expected}")), "no {expected}\nin {}", ran.err);
    }
    let answer = run(&["heat", &path, "--json"]).ends(2).json();
    assert_eq!(answer.as_object().unwrap().len(), 1, "a refusal holds nothing that reads like a result");
    assert_eq!(list(&answer, "findings").len(), 6);
    let check = run(&["check", &path]).ends(1);
    assert!(check.out.ends_with(": a heat file, cannot be used yet\n"), "{}", check.out);
}

#[test]
fn a_coupon_is_no_heat_problem() {
    let ran = run(&["heat", "examples/plate-3g-uphill.toml"]).ends(2);
    assert!(ran.err.contains("is not a field of a heat file"), "{}", ran.err);
    let folder = Folder::new();
    let path = folder.write("heat.toml", example_with(EXAMPLE, "\"1900 W\"", "nan"));
    assert!(run(&["heat", &path]).ends(2).err.contains("power is `nan`: not a number"));
}
