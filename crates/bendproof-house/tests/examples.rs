//! The worked examples: every one reads without a fault, and does what its head
//! line promises.
#![allow(clippy::unwrap_used)]

mod support;

use bendproof_codes::catalogue::ShopRules;
use bendproof_files::read_heat;
use bendproof_traveler::build::{is_coupon, read_coupon_verdict};
use bendproof_traveler::context::Today;
use bendproof_traveler::cover::{find_for_job, read_job};
use bendproof_traveler::forecast::read_forecast;
use bendproof_traveler::judged::read_bends;
use bendproof_traveler::procedure::{read_procedure, read_procedure_record};
use bendproof_traveler::welder::read_record;

/// A day after every date in the examples; the calendar is an argument.
fn today() -> Today {
    Some("2026-11-25".parse().unwrap())
}

/// Examples whose sample command is `bendproof TASK`, with their text.
fn examples(task: &str) -> Vec<(String, String)> {
    support::files("examples", ".toml")
        .into_iter()
        .map(|path| (path.clone(), support::read(&path)))
        .filter(|(path, text)| text.contains(&format!("# Try it:  bendproof {task} {path}\n")))
        .collect()
}

#[test]
fn every_example_says_at_its_top_how_to_try_it() {
    let tasks = ["forecast", "judge", "standing", "heat", "cover --joints", "procedure", RULES_TASK];
    let tried: usize = tasks.iter().map(|task| examples(task).len()).sum();
    assert_eq!(tried, support::files("examples", ".toml").len());
}

#[test]
fn example_coupons_are_forecast_without_a_fault() {
    let (stick, wire): (Vec<_>, Vec<_>) =
        examples("forecast").into_iter().partition(|(_, text)| text.contains("process = \"SMAW\""));
    assert!(wire.len() >= 3, "a plate downhill, the same uphill, and a pipe");
    for (path, text) in stick {
        let read = read_forecast(&text, today());
        let said: Vec<&str> = read.findings.iter().map(|found| found.path.as_str()).collect();
        assert_eq!(said, ["settings.process"], "{path}: only that it has no forecast");
        assert_eq!(read.stick.unwrap().beads_missing, 0, "{path}: the plan fills its groove");
    }
    for (path, text) in wire {
        let read = read_forecast(&text, today());
        assert_eq!(read.findings, [], "{path}");
        let (coupon, forecast, _) = read.forecast.unwrap();
        assert_eq!(forecast.passes.len(), coupon.passes.len(), "{path}");
        assert!(forecast.totals.wire_kg > 0.0 && forecast.groove_area_m2 > 0.0, "{path}");
    }
}

#[test]
fn example_bends_are_judged_without_a_fault() {
    let bends = examples("judge").into_iter().filter(|(_, text)| !is_coupon(text));
    for (path, text) in bends {
        let read = read_bends(&text, today());
        assert_eq!(read.findings, [], "{path}");
        assert!(!read.report.unwrap().straps.is_empty(), "{path}");
    }
}

/// Coupons examined whole; both are sound, and their welders hold what they give.
#[test]
fn example_coupons_examined_whole_are_accepted() {
    let coupons: Vec<_> = examples("judge").into_iter().filter(|(_, text)| is_coupon(text)).collect();
    assert_eq!(coupons.len(), 2, "one under an American code, one under an ISO one");
    for (path, text) in coupons {
        let read = read_coupon_verdict(&text, today());
        assert_eq!(read.findings, [], "{path}");
        let verdict = read.verdict.unwrap();
        assert_eq!((verdict.words().as_str(), verdict.not_examined()), ("accept", Vec::new()), "{path}");
        assert!(read_forecast(&text, today()).forecast.is_some(), "{path}");
    }
}

/// The command that tries a shop's rule file.
const RULES_TASK: &str = "judge examples/bends.toml --shop-rules";

#[test]
fn example_shop_rules_are_taken() {
    let examples = examples(RULES_TASK);
    assert!(!examples.is_empty());
    for (path, text) in examples {
        let rules = ShopRules::read(&text).unwrap_or_else(|e| panic!("{path}: {e}"));
        assert!(!rules.codes().is_empty(), "{path}");
    }
}

#[test]
fn example_records_give_a_standing() {
    for (path, text) in examples("standing") {
        let standing = read_record(&text, today()).unwrap_or_else(|e| panic!("{path}: {e}"));
        assert!(standing.until.is_some() && !standing.because.is_empty(), "{path}");
    }
}

#[test]
fn example_joints_have_a_test_that_covers_them() {
    let examples = examples("cover --joints");
    assert!(!examples.is_empty());
    for (path, text) in examples {
        let read = read_job(&text, today());
        assert_eq!(read.findings, [], "{path}");
        let job = read.job.unwrap();
        let found = find_for_job(&job, job.code.unwrap()).unwrap();
        assert!(!found.found.sets.is_empty(), "{path}");
    }
}

/// A record, and the procedure written from it.
#[test]
fn example_procedures_read_without_a_fault() {
    let examples = examples("procedure");
    assert_eq!(examples.len(), 2);
    for (path, text) in examples {
        if path.ends_with("procedure.toml") {
            let written = read_procedure(&text, today()).unwrap_or_else(|e| panic!("{path}: {e}"));
            assert!(!written.procedure.stated.is_empty() && !written.joints.is_empty(), "{path}");
        } else {
            let record = read_procedure_record(&text, today()).unwrap_or_else(|e| panic!("{path}: {e}"));
            assert!(record.results.iter().all(|(_, word)| word == "accept"), "{path}");
        }
    }
}

/// That they are solved, and how, is held where the program is tested.
#[test]
fn example_heat_problems_read_without_a_fault() {
    let examples = examples("heat");
    assert!(!examples.is_empty());
    for (path, text) in examples {
        let (file, findings) = read_heat(&text);
        assert_eq!(findings, [], "{path}");
        assert!(!file.unwrap().probes.is_empty(), "{path}");
    }
}
