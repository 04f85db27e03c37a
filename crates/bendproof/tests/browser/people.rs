//! A welder along the days, a joint asked about, and the procedures.

use crate::bench::{Bench, sign_in};
use crate::cdp::Browser;

#[test]
fn an_inspector_asks_whether_a_welder_may_weld_a_pipe_overhead_without_backing() {
    let data = tempfile::tempdir().unwrap();
    let bench = Bench::start(data.path());
    let browser = Browser::start();
    let tab = browser.person();
    sign_in(&tab, &bench, "Ines Tornquist");
    tab.go(&bench.at("welder/dmitri-halvorsen"));
    assert_eq!(tab.count(".time-line svg"), 1);
    assert!(tab.count(".time-lane") > 0);
    tab.click("a[href='/welder/dmitri-halvorsen/ask']");
    tab.wait_text("h1", |text| text.contains("Is Dmitri Halvorsen qualified for this joint"));
    for (name, value) in [
        ("ask.1.joint", "pipe_groove"),
        ("ask.1.position", "OH"),
        ("ask.1.process", "GMAW"),
        ("ask.1.transfer", "short-circuit"),
        ("ask.1.backing", "open"),
    ] {
        tab.choose(name, value);
    }
    tab.write("ask.1.thickness", "0.280 in");
    tab.write("ask.1.diameter", "6.625 in");
    tab.click("button[value='ask']");
    let answer = tab.wait_text("#answer", |text| !text.is_empty());
    assert!(
        ["qualified", "not qualified", "undetermined"].iter().any(|word| answer.contains(word)),
        "{answer}"
    );
    assert!(answer.contains("pipe groove OH"), "{answer}");
    assert!(tab.count("#answer a[href^='/rule/']") > 0);
    // The question stands in the address and in its boxes.
    assert_eq!(tab.value("ask.1.thickness"), "0.280 in");
}

#[test]
fn a_past_day_is_a_history_and_says_so() {
    let data = tempfile::tempdir().unwrap();
    let bench = Bench::start(data.path());
    let browser = Browser::start();
    let tab = browser.person();
    tab.go(&bench.at("welder/asha-brennick?on=2001-01-01"));
    let standing = tab.text("#standing");
    assert!(
        standing.contains("Status as of 2001-01-01") && standing.contains("No qualification was in effect"),
        "{standing}"
    );
    tab.click("a[href='/welder/asha-brennick']");
    tab.wait("document.querySelector('.time-line svg') !== null");
}

#[test]
fn a_procedure_is_revised_with_its_reason() {
    let data = tempfile::tempdir().unwrap();
    let bench = Bench::start(data.path());
    let browser = Browser::start();
    let tab = browser.person();
    sign_in(&tab, &bench, "Ines Tornquist");
    tab.go(&bench.at("procedures"));
    tab.click("a[href='/procedure/WP-12']");
    tab.wait_text("h1", |text| text.contains("WP-12"));
    tab.fill("procedure.volts_max", "nineteen");
    tab.fill("why", "new machine");
    tab.press_named("Save revision");
    let both = "['.field-error', '[name=\"procedure.volts_max\"]']";
    tab.wait(&format!("{both}.every((one) => document.querySelector(one) !== null)"));
    assert_eq!(tab.value("procedure.volts_max"), "nineteen");
    tab.fill("procedure.volts_max", "19.2 V");
    tab.press_named("Save revision");
    tab.wait_text(".history", |text| text.contains("19.2 V") && text.contains("new machine"));
}
