//! Every command end to end on the real program: exit codes, results on standard
//! output and talk on standard error, and the JSON contract.
#![allow(clippy::unwrap_used)]

mod support;

use std::collections::BTreeSet;
use std::io::{BufRead, BufReader, Read, Write};
use std::process::Stdio;

use serde_json::Value;
use support::contract::{FINDING_FIELDS, Holds, has, is_item, is_one_of, is_report, list};
use support::{Folder, Ran, example_with, program, read, run};

const COUPONS: [&str; 3] =
    ["examples/plate-3g-downhill.toml", "examples/plate-3g-uphill.toml", "examples/pipe-6g.toml"];
const COMMANDS: [&str; 12] = [
    "forecast", "compare", "window", "judge", "standing", "paper", "calc", "explain", "heat", "check",
    "schema", "bench",
];

#[test]
fn each_example_coupon_is_forecast_to_the_contract() {
    use Holds::*;
    for path in COUPONS {
        let ran = run(&["forecast", path, "--json"]);
        let forecast = ran.json();
        assert_eq!(ran.code == 0, forecast["verdict"] == "holds", "{path}");
        ran.ends(if forecast["verdict"] == "holds" { 0 } else { 1 });
        has(&forecast["fit"], &[("groove_area_mm2", Number), ("face_width_mm", Number)]);
        assert!(!list(&forecast, "passes").is_empty());
        for (index, pass) in list(&forecast, "passes").iter().enumerate() {
            has(
                pass,
                &[
                    ("n", Whole),
                    ("kind", Text),
                    ("current_A", Number),
                    ("volts", Number),
                    ("wire_feed", Number),
                    ("travel", Number),
                    ("arc_energy_kJ_mm", Number),
                    ("heat_input_kJ_mm", Number),
                    ("bead_area_mm2", Number),
                    ("arc_time_s", Number),
                    ("interpass_C", Number),
                    ("t85_s", NumberOrNull),
                ],
            );
            assert_eq!(pass["n"], index + 1);
            let (energy, heat) = (pass["arc_energy_kJ_mm"].as_f64(), pass["heat_input_kJ_mm"].as_f64());
            assert!(heat > Some(0.0) && heat < energy, "{pass}");
        }
        for name in ["left_edge", "right_edge", "profile", "burn_through", "outrun"] {
            is_item(&forecast["root"][name]);
        }
        assert_eq!(list(&forecast, "walls").len(), list(&forecast, "passes").len());
        list(&forecast, "walls").iter().for_each(is_item);
        is_item(&forecast["crown"]);
        has(
            &forecast["totals"],
            &[
                ("beads", Whole),
                ("arc_time_s", Number),
                ("clock_time_s", Number),
                ("wire_kg", Number),
                ("gas_L", Number),
                ("cost", NumberOrNull),
            ],
        );
        assert!(!list(&forecast, "voices").is_empty());
    }
}

#[test]
fn a_forecast_is_read_on_standard_output_and_talk_stays_off_it() {
    for path in COUPONS {
        let ran = run(&["forecast", path]);
        for word in ["groove area", "left root face", "burn-through", "arc time", "wire"] {
            assert!(ran.out.contains(word), "{path}: no `{word}` in {}", ran.out);
        }
        assert!(
            !ran.out.contains("note:") && ran.err.lines().all(|l| l.starts_with("note: ")),
            "{}",
            ran.err
        );
    }
}

#[test]
fn a_forecast_is_the_same_each_time() {
    let first = run(&["forecast", COUPONS[0], "--json"]);
    assert_eq!(first.out, run(&["forecast", COUPONS[0], "--json"]).out);
}

#[test]
fn prices_make_a_cost_and_without_them_there_is_none() {
    let none = run(&["forecast", COUPONS[0], "--json"]).json();
    assert!(none["totals"]["cost"].is_null(), "a cost without prices: {}", none["totals"]);
    let folder = Folder::new();
    let priced = read(COUPONS[0]) + "\n[price]\nwire = 6\ngas = 9\nhour = 60\nblank = 15\n";
    let answer = run(&["forecast", &folder.write("priced.toml", priced), "--json"]).json();
    let totals = &answer["totals"];
    let by_hand = 6.0 * totals["wire_kg"].as_f64().unwrap()
        + 9.0 * totals["gas_L"].as_f64().unwrap() / 1000.0
        + 60.0 * totals["clock_time_s"].as_f64().unwrap() / 3600.0
        + 15.0;
    assert!(
        (totals["cost"].as_f64().unwrap() - by_hand).abs() < 1e-6 * by_hand,
        "{totals} against {by_hand}"
    );
}

fn judged(text: &str) -> (Ran, Value) {
    let folder = Folder::new();
    let ran = run(&["judge", &folder.write("bends.toml", text), "--json"]);
    let report = ran.json();
    (ran, report)
}

/// An opening at the face that is small enough, and one at a corner that starts at
/// slag and is not.
const TWO_OPENINGS: &str = r#"code = "aws-d1.1-2020"
[[strap]]
id = "R1"
kind = "root"
thickness = "3/8 in"
openings = [ { length = "1/16 in", place = "face" }, { length = "3/16 in", place = "corner", cause = "slag" } ]
"#;

#[test]
fn bends_are_judged_to_the_contract() {
    let accepted = run(&["judge", "examples/bends.toml", "--json"]).ends(0).json();
    is_report(&accepted);
    assert_eq!(accepted["verdict"], "accept");
    assert_eq!(list(&accepted, "straps").len(), 4);

    let (ran, rejected) = judged(TWO_OPENINGS);
    ran.ends(1);
    is_report(&rejected);
    assert_eq!(rejected["verdict"], "reject");
    let blamed: Vec<_> =
        list(&rejected["straps"][0], "findings").iter().filter(|f| f["verdict"] == "reject").collect();
    assert_eq!(blamed.len(), 1);
    assert_eq!(
        (blamed[0]["rule"].as_str(), blamed[0]["clause"].as_str()),
        (Some("d11-bend-corner-flaw"), Some("6.10.3.3 (3)"))
    );
}

#[test]
fn no_list_of_openings_is_no_verdict_and_an_empty_one_is_accepted() {
    let before = TWO_OPENINGS.split("openings").next().unwrap();
    for code in ["aws-d1.1-2020", "asme-ix-2023", "api-1104-2013"] {
        let before = before.replace("aws-d1.1-2020", code);
        let (ran, not_looked) = judged(&before);
        ran.ends(1);
        is_report(&not_looked);
        assert_eq!(not_looked["verdict"], "not_covered", "{code}");
        assert_eq!(not_looked["straps"][0]["inspected"], false, "{code}");
        let (ran, none_found) = judged(&format!("{before}weld_in_bend = \"yes\"\nopenings = []\n"));
        ran.ends(0);
        assert_eq!(none_found["verdict"], "accept", "{code}");
    }
}

#[test]
fn a_standing_follows_the_contract() {
    use Holds::*;
    let ran = run(&["standing", "examples/record.toml", "--json"]);
    let standing = ran.json();
    let is_clear = standing["refused"].is_null() && list(&standing, "doubts").is_empty();
    ran.ends(if is_clear { 0 } else { 1 });
    has(
        &standing,
        &[
            ("code", Text),
            ("welder", Text),
            ("covers", Object),
            ("until", TextOrNull),
            ("because", List),
            ("doubts", List),
        ],
    );
    let covers = &standing["covers"];
    has(
        covers,
        &[
            ("processes", Texts),
            ("transfer_modes", Texts),
            ("positions", Object),
            ("progressions", Texts),
            ("thickness", Range),
            ("diameter", Range),
            ("backing", Texts),
            ("fillers", Texts),
        ],
    );
    has(&covers["positions"], &[("plate_groove", Texts), ("pipe_groove", Texts), ("fillet", Texts)]);
    has(&covers["thickness"], &[("min", Number), ("max", NumberOrNull), ("unit", Text)]);
    assert!(!list(&standing, "because").is_empty());
    for cited in list(&standing, "because") {
        has(cited, &[("rule", Text), ("clause", Text), ("basis", Text)]);
    }
    // Short-circuit covers one and a tenth of the coupon's 0.432 in, not twice of it.
    assert!((covers["thickness"]["max"].as_f64().unwrap() - 1.1 * 0.432).abs() < 1e-6, "{covers}");
    assert_eq!(covers["transfer_modes"], serde_json::json!(["short-circuit"]));
    let until: String = standing["until"].as_str().unwrap().to_owned();
    assert!(until.len() == 10 && until.as_str() > "2026-08-14", "{until}");
}

#[test]
fn a_standing_reads_as_text_with_its_clauses() {
    let ran = run(&["standing", "examples/record.toml"]);
    assert!(ran.out.starts_with("Marek Ostrava under asme-ix-2023"), "{}", ran.out);
    assert!(ran.out.contains("because") && ran.out.contains("QW-"), "{}", ran.out);
}

#[test]
fn a_standing_is_computed_for_a_past_day_and_for_a_joint() {
    let on = |day: &str| {
        let exit = if ("2026-08-14".."2027-04-04").contains(&day) { 0 } else { 1 };
        run(&["standing", "examples/record.toml", "--json", "--on", day]).ends(exit).json()
    };
    for (day, hold, answer) in [
        ("2026-08-13", "not_yet", "not_covered"),
        ("2026-10-01", "held", "covered"),
        ("2027-04-03", "held", "covered"),
        ("2027-04-04", "lapsed", "not_covered"),
    ] {
        let printed = on(day);
        assert_eq!((printed["hold"].as_str(), printed["on"].as_str()), (Some(hold), Some(day)));
        assert_eq!(printed["lapsed"], hold == "lapsed", "{day}");
        let asked = &list(&printed, "asked")[0];
        assert_eq!(asked["answer"], answer, "{day}: {asked}");
        assert!(list(asked, "reasons").iter().all(|r| r["clauses"].is_array()), "{asked}");
    }
    let ran = run(&["standing", "examples/record.toml", "--on", "2026-10-01"]).ends(0);
    for line in [
        "current on 2026-10-01, valid through 2027-03-21",
        "joint: pipe groove OH",
        "covered",
        "QW-461.9",
        "QW-321",
    ] {
        assert!(ran.out.contains(line), "no `{line}` in {}", ran.out);
    }
    assert!(run(&["standing", "examples/record.toml", "--on", "soon"]).ends(2).err.contains("soon"));
}

fn pdf_text(path: &str) -> String {
    let read = std::process::Command::new("pdftotext").args(["-layout", path, "-"]).output().unwrap();
    assert!(read.status.success(), "{}", String::from_utf8_lossy(&read.stderr));
    String::from_utf8(read.stdout).unwrap()
}

#[test]
fn paper_is_a_pdf_whose_text_reads_back() {
    let folder = Folder::new();
    for (path, welder, number) in
        [(COUPONS[0], "Ines Tornquist", "0412"), (COUPONS[2], "Marek Ostrava", "0420")]
    {
        let pdf = folder.path("traveler.pdf");
        let answer = run(&["paper", path, "-o", &pdf, "--json"]).ends(0).json();
        let bytes = std::fs::read(&pdf).unwrap();
        assert_eq!(answer["bytes"], bytes.len());
        assert_eq!(answer["file"], pdf.as_str());
        assert!(bytes.starts_with(b"%PDF-"));
        let text = pdf_text(&pdf);
        for word in [welder, number, "75Ar/25CO2", "ER70S-6"] {
            assert!(text.contains(word), "{path}: no `{word}` in {text}");
        }
    }
}

#[test]
fn paper_that_cannot_be_written_says_where() {
    let folder = Folder::new();
    let nowhere = folder.path("no/such/folder/traveler.pdf");
    let ran = run(&["paper", COUPONS[0], "-o", &nowhere]).ends(2);
    assert!(
        ran.err.contains(&nowhere)
            && ran.err.contains("does not exist; make it, or choose another place with -o"),
        "{}",
        ran.err
    );
    let wrong = folder.write("wrong.toml", example_with(COUPONS[0], "\"3/8 in\"", "\"3/8\""));
    let ran = run(&["paper", &wrong, "-o", &folder.path("wrong.pdf")]).ends(2);
    assert!(ran.err.contains("`3/8` has no unit"), "{}", ran.err);
    assert!(!std::path::Path::new(&folder.path("wrong.pdf")).exists(), "a refused coupon leaves no paper");
}

/// Formulas and argument names that outside scripts rely on; `[…]` is optional.
const FORMULAS: &[(&str, &str, &str)] = &[
    ("current_from_wire_feed", "A", "diameter extension wire_feed"),
    ("wire_feed_from_current", "", "diameter extension amps"),
    ("deposition_rate", "", "diameter wire_feed [efficiency]"),
    ("bead_area", "", "diameter wire_feed travel [efficiency]"),
    ("groove_area", "mm2", "root_opening root_face thickness groove_angle"),
    ("arc_energy", "kJ/mm", "volts amps travel [efficiency]"),
    ("heat_input", "kJ/mm", "volts amps travel [efficiency]"),
    ("cooling_time_3d", "s", "heat_input preheat [thickness] [shape_factor]"),
    ("cooling_time_2d", "s", "heat_input preheat thickness [shape_factor]"),
    ("cooling_time", "s", "heat_input preheat thickness [shape_factor]"),
    ("transition_thickness", "", "heat_input preheat"),
    ("carbon_equivalent_iiw", "", "[c] [si] [mn] [cr] [mo] [v] [ni] [cu] [nb] [b]"),
    ("carbon_equivalent_cet", "", "[c] [si] [mn] [cr] [mo] [v] [ni] [cu] [nb] [b]"),
    ("carbon_equivalent_pcm", "", "[c] [si] [mn] [cr] [mo] [v] [ni] [cu] [nb] [b]"),
    ("preheat_cet", "°C", "cet thickness hydrogen heat_input"),
    ("bend_strain", "%", "thickness former"),
    ("bend_former", "", "thickness [elongation] [strain]"),
    ("root_meniscus_pressure", "Pa", "surface_tension root_width root_height"),
    ("root_holding_limit", "Pa", "surface_tension root_width"),
    ("gravity_components", "", "pipe_tilt clock direction"),
    ("wire_mass", "", "root_opening root_face thickness groove_angle"),
    ("gas_volume", "", "root_opening root_face thickness groove_angle"),
    ("peak_temperature", "", "net_power travel distance [thickness]"),
    ("rosenthal_thick", "K", "power travel [conductivity] [diffusivity] xi [y] [z]"),
    ("rosenthal_plate", "K", "power travel [conductivity] [diffusivity] xi [y] [z] thickness"),
];

#[test]
fn calc_lists_every_formula_with_the_argument_names_promised() {
    let listed = run(&["calc", "--json"]).ends(0).json();
    for (name, unit, arguments) in FORMULAS {
        let formula = listed.as_array().unwrap().iter().find(|f| f["name"] == *name);
        let formula = formula.unwrap_or_else(|| panic!("no `{name}`"));
        assert!(unit.is_empty() || formula["unit"] == *unit, "{name} is in {}", formula["unit"]);
        for argument in arguments.split(' ') {
            let bare = argument.trim_matches(['[', ']']);
            let there = list(formula, "arguments").iter().find(|a| a["name"] == bare);
            let there = there.unwrap_or_else(|| panic!("{name} has no `{bare}`"));
            assert_eq!(there["required"] == true, bare == argument, "{name} {bare}");
        }
    }
    let text = run(&["calc"]).ends(0).out;
    for (name, ..) in FORMULAS {
        assert!(text.lines().any(|l| l.split_whitespace().next() == Some(name)), "{name}");
    }
}

/// Every formula, worked with the values its own list gives as examples.
#[test]
fn calc_answers_every_formula_to_the_contract() {
    use Holds::*;
    for formula in run(&["calc", "--json"]).json().as_array().unwrap() {
        let name = formula["name"].as_str().unwrap();
        let mut asked = vec!["calc".to_owned(), name.to_owned(), "--json".to_owned()];
        // One of two names for the same thing is enough.
        let needs_one = name == "bend_former";
        for argument in list(formula, "arguments") {
            // An analysis is left to its default of zero by some and refused as
            // no steel by others; a steel pleases both.
            let steel = [("c", "0.18"), ("si", "0.25"), ("mn", "1.0")];
            if let Some((element, share)) = steel.iter().find(|(element, _)| argument["name"] == *element) {
                asked.push(format!("{element}={share}"));
            } else if argument["required"] == true || (needs_one && argument["name"] == "strain") {
                let text = |key: &str| argument[key].as_str().unwrap().to_owned();
                // The example gas is one that does not spray.
                let example = if name == "spray_threshold" && argument["name"] == "gas" {
                    "98Ar/2O2".to_owned()
                } else {
                    text("example")
                };
                asked.push(format!("{}={example}", text("name")));
            }
        }
        let answer = run(&asked).ends(0).json();
        has(
            &answer,
            &[
                ("name", Text),
                ("value", Number),
                ("inputs", Object),
                ("source", Text),
                ("basis", Text),
                ("warnings", Texts),
            ],
        );
        assert!(answer["unit"].is_string() && answer["unit"] == formula["unit"], "{name}");
        is_one_of(
            &answer["basis"],
            &["seen", "secondary", "memory", "derived", "practice", "measured", "choice"],
        );
        assert_eq!(answer["name"], name);
    }
}

#[test]
fn calc_gives_the_same_for_inch_and_metric() {
    let value = |arguments: &[&str]| {
        let ran = run(&[&["calc", "--json"], arguments].concat()).ends(0);
        ran.json()["value"].as_f64().unwrap()
    };
    let inch = value(&["arc_energy", "volts=18.2 V", "amps=125 A", "travel=8 in/min"]);
    let metric = value(&["arc_energy", "volts=18.2 V", "amps=125 A", "travel=203.2 mm/min"]);
    assert!((inch - metric).abs() < 1e-12 && (inch - 0.671_85).abs() < 1e-4, "{inch} {metric}");
    let inch = value(&["bend_strain", "thickness=3/8 in", "former=1-1/2 in"]);
    let metric = value(&["bend_strain", "thickness=9.525 mm", "former=38.1 mm"]);
    assert!((inch - metric).abs() < 1e-9 && (inch - 20.0).abs() < 1e-9, "{inch} {metric}");
}

#[test]
fn calc_refuses_what_it_cannot_work_with() {
    for (arguments, said) in [
        (&["bend_strain", "thickness=3/8", "former=1-1/2 in"][..], "`3/8` has no unit"),
        (&["bend_strain", "thickness=18 V", "former=1-1/2 in"], "`18 V` is a voltage, not a length"),
        (&["bend_strain", "thickness=3/8 in"], "`former`"),
        (&["bend_strain", "thickness"], "`thickness` is not key=value"),
        (&["bend_strain", "thickness=nan in", "former=1 in"], "thickness"),
        (&["bend_strain", "thickness=3/8 in", "former=0 in"], "former"),
        (&["bend_strain", "thickness=3/8 in", "former=1 in", "colour=red"], "colour"),
        (&["bend_stain"], "there is no formula `bend_stain`; the nearest is `bend_strain`;"),
        (&["nosuch"], "there is no formula `nosuch`; `bendproof calc` lists every formula"),
        (&["bend_strain", "foo=1"], "there is no argument `foo` here; enter thickness, former"),
    ] {
        let ran = run(&[&["calc"], arguments].concat()).ends(2);
        assert!(ran.out.is_empty() && ran.err.contains(said), "{arguments:?}: {}", ran.err);
    }
}

#[test]
fn explain_lists_every_rule_and_tells_one_with_its_cases() {
    use Holds::*;
    let all = run(&["explain", "--json"]).ends(0).json();
    let rules = all.as_array().unwrap();
    let codes: BTreeSet<_> = rules.iter().filter_map(|r| r["code"].as_str()).collect();
    assert!(codes.is_superset(&["aws-d1.1-2020", "asme-ix-2023", "api-1104-2013"].into()), "{codes:?}");
    // Every start reads every rule, so a part of them is asked here; the tests of
    // the register ask for each.
    for rule in rules.iter().step_by(23) {
        let id = rule["rule"].as_str().unwrap();
        let answer = run(&["explain", id, "--json"]).ends(0).json();
        has(
            &answer,
            &[
                ("rule", Text),
                ("clause", Text),
                ("edition", Text),
                ("limits", List),
                ("source", Text),
                ("basis", Text),
                ("cases", List),
            ],
        );
        assert_eq!(answer["rule"], id);
        assert!(!list(&answer, "cases").is_empty(), "{id} has no test case");
    }
}

#[test]
fn explain_suggests_the_nearest_rule() {
    for (asked, nearest) in [
        ("d11-bend-single-openings", "d11-bend-single-opening"),
        ("d11-bend-corner-flow", "d11-bend-corner-flaw"),
        ("api-bend-not-inspekted", "api-bend-not-inspected"),
    ] {
        let ran = run(&["explain", asked]).ends(2);
        assert!(ran.out.is_empty());
        assert_eq!(
            ran.err.trim(),
            format!("bendproof: `{asked}` is not a rule id; the nearest is `{nearest}`")
        );
    }
    let text = run(&["explain", "D11-BEND-SINGLE-OPENING"]).ends(0).out;
    for word in ["clause", "6.10.3.3 (1)", "limit", "source", "basis", "test cases"] {
        assert!(text.contains(word), "no `{word}` in {text}");
    }
}

#[test]
fn check_knows_the_kind_of_each_example() {
    for (path, kind) in COUPONS.iter().map(|path| (*path, "coupon")).chain([
        ("examples/bends.toml", "bends"),
        ("examples/record.toml", "record"),
        ("examples/heat-plate.toml", "heat"),
        ("examples/procedure-record.toml", "procedure-record"),
        ("examples/procedure.toml", "procedure"),
    ]) {
        let answer = run(&["check", path, "--json"]).ends(0).json();
        assert_eq!(answer, serde_json::json!({ "kind": kind, "usable": true, "findings": [] }), "{path}");
        let ran = run(&["check", path]).ends(0);
        assert_eq!((ran.out, ran.err), (format!("{path}: a {kind} file, can be used\n"), String::new()));
    }
}

#[test]
fn check_tells_findings_with_their_lines() {
    let folder = Folder::new();
    let text = example_with(COUPONS[0], "root_opening =", "root_opening = \"2 in\" #");
    let line = text.lines().position(|l| l.starts_with("root_opening")).unwrap() + 1;
    let path = folder.write("wide.toml", text);
    let answer = run(&["check", &path, "--json"]).ends(1).json();
    assert_eq!((&answer["kind"], &answer["usable"]), (&"coupon".into(), &false.into()));
    let findings = list(&answer, "findings");
    assert_eq!(findings.len(), 1, "{answer}");
    has(&findings[0], FINDING_FIELDS);
    assert_eq!((&findings[0]["line"], &findings[0]["path"]), (&line.into(), &"fit.root_opening".into()));
    let ran = run(&["check", &path]).ends(1);
    assert_eq!(ran.out, format!("{path}: a coupon file, cannot be used yet\n"));
    assert!(ran.err.starts_with(&format!("{path}:{line}: root opening is 2 in; enter ")), "{}", ran.err);
}

#[test]
fn schemas_are_those_committed() {
    let procedures = ["procedure-record", "procedure", "procedure-joints", "shop-rules"];
    for kind in ["coupon", "bends", "record", "heat", "joints"].into_iter().chain(procedures) {
        let ran = run(&["schema", kind]).ends(0);
        let committed = read(&format!("docs/schema/{kind}.json"));
        assert!(ran.out == committed, "docs/schema/{kind}.json is not what the program prints");
        let schema = ran.json();
        assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema");
        assert_eq!(schema["additionalProperties"], false);
    }
    let ran = run(&["schema", "cupon"]).ends(2);
    assert_eq!(
        ran.err.trim(),
        "bendproof: `cupon` is no kind of file; write coupon, bends, record, heat, joints, procedure-record, \
         procedure, procedure-joints or shop-rules"
    );
}

#[test]
fn each_command_explains_itself() {
    let whole = run(&["--help"]).ends(0);
    for command in COMMANDS {
        assert!(whole.out.lines().any(|l| l.split_whitespace().next() == Some(command)), "{command}");
        for arguments in [[command, "--help"], ["help", command]] {
            let ran = run(&arguments).ends(0);
            assert!(
                ran.err.is_empty() && ran.out.contains(&format!("Usage: bendproof {command}")),
                "{}",
                ran.out
            );
            assert!(!ran.out.starts_with("Usage"), "{command} has no sentence on what it is for");
            let undescribed =
                ran.out.lines().find(|l| l.trim_start().starts_with('<') && !l.trim().contains("  "));
            assert_eq!(undescribed, None, "{command}");
        }
    }
    assert!(run(&["--version"]).ends(0).out.starts_with("bendproof "));
}

#[test]
fn what_is_not_asked_for_properly_is_refused_on_standard_error() {
    for arguments in [
        &[][..],
        &["frobnicate"],
        &["forecast"],
        &["forecast", "no-such-file.toml"],
        &["judge", "examples"],
        &["paper", COUPONS[0]],
        &["explain", "no-such-rule"],
        &["bench", "--port", "70000"],
    ] {
        let ran = run(arguments).ends(2);
        assert!(ran.out.is_empty() && !ran.err.is_empty(), "{arguments:?}: {}", ran.out);
    }
}

/// What `| head -1` does: takes one line and goes away.
#[test]
fn a_reader_that_goes_away_is_no_fault() {
    for arguments in [
        &["calc"][..],
        &["calc", "--json"],
        &["explain"],
        &["explain", "--json"],
        &["forecast", COUPONS[0]],
        &["forecast", COUPONS[0], "--json"],
        &["schema", "coupon"],
        &["--help"],
    ] {
        for takes_a_line in [true, false] {
            let mut child =
                program().args(arguments).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
            let mut reader = BufReader::with_capacity(64, child.stdout.take().unwrap());
            if takes_a_line {
                reader.read_line(&mut String::new()).unwrap();
            }
            drop(reader);
            let ended = child.wait_with_output().unwrap();
            let err = String::from_utf8_lossy(&ended.stderr).into_owned();
            assert!(!err.contains("panicked"), "{arguments:?}: {err}");
            assert!(matches!(ended.status.code(), Some(0 | 1)), "{arguments:?}: {} {err}", ended.status);
        }
    }
}

#[test]
fn the_bench_prints_its_address_answers_and_stops_when_asked() {
    let folder = Folder::new();
    let data = folder.path("shop");
    let mut bench = program()
        .args(["bench", "--port", "0", "--no-open", "--no-demo", "--data", &data])
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let mut line = String::new();
    BufReader::new(bench.stdout.take().unwrap()).read_line(&mut line).unwrap();
    let address = line.trim().strip_prefix("Bendproof is open at http://").unwrap().trim_end_matches('/');
    let mut stream = std::net::TcpStream::connect(address).unwrap();
    write!(stream, "GET / HTTP/1.1\r\nHost: {address}\r\nConnection: close\r\n\r\n").unwrap();
    let mut page = String::new();
    stream.read_to_string(&mut page).unwrap();
    assert!(page.starts_with("HTTP/1.1 200"), "{page}");

    let port = address.rsplit(':').next().unwrap();
    let taken =
        run(&["bench", "--port", port, "--no-open", "--no-demo", "--data", &folder.path("other")]).ends(2);
    assert!(taken.err.contains(&format!("port {port} cannot be opened")), "{}", taken.err);
    assert!(taken.err.contains("choose another with --port"), "{}", taken.err);

    let asked = std::process::Command::new("kill").arg(bench.id().to_string()).status().unwrap();
    assert!(asked.success());
    assert_eq!(bench.wait().unwrap().code(), Some(0));
    assert!(std::path::Path::new(&data).join("shop.db").exists());
}

const RULES: &str = "examples/shop-rules.toml";

#[test]
fn a_shops_own_limits_are_shown_next_to_the_codes() {
    run(&["judge", "examples/bends.toml"]).ends(0);
    let ran = run(&["judge", "examples/bends.toml", "--shop-rules", RULES]).ends(1);
    assert!(ran.out.contains("this shop: 3/64 in [1 mm]; the code: 1/8 in [3 mm]"), "{}", ran.out);
    assert!(ran.out.contains("tightened by the shop: our customer asks for it"), "{}", ran.out);
    assert!(ran.err.contains("with the stricter limits of Harbour test bay"), "{}", ran.err);
    let other = run(&["standing", "examples/record.toml", "--shop-rules", RULES]);
    assert!(
        other.err.contains("Harbour test bay has no limits of its own for asme-ix-2023"),
        "{}",
        other.err
    );
}

/// A file that loosens a rule is refused by its name, and nothing is judged.
#[test]
fn a_shop_file_that_loosens_stops_the_command() {
    let folder = Folder::new();
    let text = read(RULES).replace("{ inch = \"3/64\", mm = 1 }", "{ inch = \"1/4\", mm = 6 }");
    let file = folder.write("shop-rules.toml", text);
    for command in [["judge", "examples/bends.toml"], ["cover", "examples/plate-3g-downhill.toml"]] {
        let ran = run(&[command[0], command[1], "--shop-rules", &file]).ends(2);
        assert!(ran.out.is_empty(), "{}", ran.out);
        assert!(ran.err.contains("`d11-bend-single-opening`: 1/4 in [6 mm] does not tighten"), "{}", ran.err);
    }
    let ran = run(&["bench", "--data", &folder.path(""), "--port", "0", "--no-open"]).ends(2);
    assert!(ran.err.contains("`d11-bend-single-opening`"), "{}", ran.err);
}

#[test]
fn a_rule_is_explained_as_an_edition_has_it() {
    let ran = run(&["explain", "d11-bend-single-opening", "--code", "d1.1:2015"]).ends(0);
    assert!(ran.out.contains("4.9.3.3 (1), edition 2015"), "{}", ran.out);
    assert!(ran.out.contains("in aws-d1.1-2020") && ran.out.contains("clause: 6.10.3.3 (1)"), "{}", ran.out);
}

/// All that a bay can read before the arc, as entered.
const VARIATIONS: &str = r#"
[scatter]
root_opening = "1/64 in"
root_face = "1/64 in"
travel = "5 %"
wire_feed = "1 %"
volts = "0.1 V"
"#;

#[test]
fn the_forecast_says_which_reading_settles_most_until_all_is_read() {
    let folder = Folder::new();
    let asked = |name: &str, text: &str| {
        let file = folder.write(name, text);
        let answer = run(&["forecast", &file, "--fast"]).out;
        let json = run(&["forecast", &file, "--fast", "--json"]).json();
        (answer, json["next_reading"].clone())
    };
    let unread = example_with("examples/plate-3g-downhill.toml", "amps = \"122 A\"\n", "");
    let (answer, json) = asked("unread.toml", &unread);
    assert!(answer.contains("Read the amps at the wire speed: the chance would then be "), "{answer}");
    assert_eq!(json["reading"], "amps", "{json}");
    assert!(json["range"]["low"].as_f64() < json["range"]["high"].as_f64(), "{json}");
    let all = read("examples/plate-3g-downhill.toml") + VARIATIONS;
    let (answer, json) = asked("read.toml", &all);
    assert!(answer.contains("Nothing more to read."), "{answer}");
    assert!(json.is_object() && json["reading"].is_null(), "{json}");
    // A judged coupon has a verdict and no chance to settle.
    assert!(!run(&["forecast", "examples/plate-iso-9606.toml", "--fast"]).out.contains("to read"));
}
