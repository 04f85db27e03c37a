//! Nothing typed is lost: two at one coupon, and a bench that goes away.

use crate::access::violations;
use crate::bench::{Bench, create, kept, kept_text, saved, sign_in, version};
use crate::cdp::Browser;
use crate::tab::{Tab, until};

const OPENING: &str = "fit.root_opening";
const LAND: &str = "fit.root_face";
const ANGLE: &str = "fit.groove_angle";
/// The box of the land while what it holds is not saved.
const UNSAVED_LAND: &str = "#v-fit-root_face[data-unsaved]";

/// Waits for the question what to do about somebody else's change.
fn asked(tab: &Tab) -> String {
    tab.wait_text("#conflict[role=dialog]", |text| !text.is_empty())
}

#[test]
fn two_at_one_coupon_lose_nothing_and_know_of_each_other() {
    let data = tempfile::tempdir().unwrap();
    let bench = Bench::start(data.path());
    let browser = Browser::start();
    let (ines, kofi) = (browser.person(), browser.person());
    sign_in(&ines, &bench, "Ines Tornquist");
    sign_in(&kofi, &bench, "Kofi Marlowe");
    let number = create(&ines, "plate-down");
    kofi.go(&bench.at(&format!("coupon/{number}")));

    ines.fill(OPENING, "5/32 in");
    saved(&ines, 2);
    kofi.fill(LAND, "3/32 in");
    let question = asked(&kofi);
    for wanted in ["Ines Tornquist", "root opening from 1/8 in to 5/32 in", "3/32 in"] {
        assert!(question.contains(wanted), "{wanted:?} is not in {question:?}");
    }
    assert!(violations(&kofi).is_empty(), "{:?}", violations(&kofi));
    assert_eq!(kofi.value(LAND), "3/32 in", "what was typed stays in its box");
    assert_eq!(kept_text(&kept(&kofi, &number), "fit", LAND), "1/16 in", "nothing is kept unasked");
    kofi.press_named("Overwrite with my values");
    saved(&kofi, 3);
    assert_eq!(kofi.value(OPENING), "5/32 in", "her change is on his page");

    // Both at the same value: she sees whose it is and takes his.
    kofi.fill(ANGLE, "70 deg");
    saved(&kofi, 4);
    ines.fill(ANGLE, "50 deg");
    let question = asked(&ines);
    for wanted in ["Kofi Marlowe", "from 60 deg to 70 deg", "1/16 in to 3/32 in", "50 deg"] {
        assert!(question.contains(wanted), "{wanted:?} is not in {question:?}");
    }
    ines.press_named("Discard my changes");
    saved(&ines, 4);
    assert_eq!(ines.count("#conflict[role=dialog]"), 0);
    for (path, text) in [(OPENING, "5/32 in"), (LAND, "3/32 in"), (ANGLE, "70 deg")] {
        assert_eq!(ines.value(path), text);
        assert_eq!(kept_text(&kept(&kofi, &number), "fit", path), text);
    }

    // Both at the same value again, and hers goes on top.
    kofi.fill(ANGLE, "65 deg");
    saved(&kofi, 5);
    ines.fill(ANGLE, "55 deg");
    asked(&ines);
    ines.press_named("Overwrite with my values");
    saved(&ines, 6);
    let kept = kept(&kofi, &number);
    assert_eq!(kept_text(&kept, "fit", ANGLE), "55 deg");
    assert_eq!(ines.value(ANGLE), "55 deg");
    let answer: Vec<(&str, &str)> = kept["history"]
        .as_array()
        .unwrap()
        .iter()
        .map(|entry| (entry["who"].as_str().unwrap(), entry["words"].as_str().unwrap()))
        .collect();
    assert_eq!(answer[0], ("Ines Tornquist", "groove angle from 65 deg to 55 deg"));
    assert_eq!(answer[1], ("Kofi Marlowe", "groove angle from 70 deg to 65 deg"));
    assert_eq!(answer.len(), 6, "every change is listed: {answer:?}");
    assert_eq!(browser.faults(), Vec::<String>::new());
}

#[test]
fn a_bench_that_goes_away_loses_nothing_kept_or_typed() {
    let data = tempfile::tempdir().unwrap();
    let bench = Bench::start(data.path());
    let browser = Browser::start();
    let tab = browser.person();
    sign_in(&tab, &bench, "Ines Tornquist");
    let number = create(&tab, "plate-up");
    let address = bench.at(&format!("coupon/{number}"));
    tab.fill(OPENING, "7/64 in");
    saved(&tab, 2);
    let port = bench.kill();

    // Typed with nobody listening: it stays, marked, and the page says why.
    tab.fill(LAND, "3/32 in");
    tab.wait_text("#state", |text| text.contains("is not responding"));
    assert_eq!(tab.value(LAND), "3/32 in");
    let mark = "#field-v-fit-root_face .unsaved-mark";
    assert_eq!(tab.text(mark), "not saved");
    assert!(tab.eval(&format!("document.querySelector('{mark}').checkVisibility()")) == true);

    let bench = Bench::start_at(data.path(), port);
    assert_eq!(bench.at(&format!("coupon/{number}")), address);
    let found = kept(&tab, &number);
    assert_eq!(found["version"], 2, "the acknowledged change outlived the kill");
    assert_eq!(kept_text(&found, "fit", OPENING), "7/64 in");
    // Either the press or the page's own next try saves it, once.
    press_if_there(&tab, "Try again");
    saved(&tab, 3);
    assert_eq!(kept_text(&kept(&tab, &number), "fit", LAND), "3/32 in");
    assert_eq!(version(&tab), 3);

    // The page itself goes away too: what was typed waits in the browser.
    let port = bench.kill();
    tab.fill(ANGLE, "65 deg");
    tab.wait_text("#state", |text| text.contains("is not responding"));
    let later = tab.another();
    tab.close();
    let _bench = Bench::start_at(data.path(), port);
    later.go(&address);
    later.wait_text("#state", |text| text.contains("from your last visit"));
    assert_eq!(later.value(ANGLE), "65 deg");
    assert_eq!(kept_text(&kept(&later, &number), "fit", ANGLE), "60 deg", "it is offered, not smuggled in");
    press_if_there(&later, "Try again");
    saved(&later, 4);
    assert_eq!(kept_text(&kept(&later, &number), "fit", ANGLE), "65 deg");
}

#[test]
fn a_text_that_means_nothing_is_refused_and_stays() {
    let data = tempfile::tempdir().unwrap();
    let bench = Bench::start(data.path());
    let browser = Browser::start();
    let tab = browser.person();
    sign_in(&tab, &bench, "Ines Tornquist");
    let number = create(&tab, "plate-down");
    // A wrong kind of unit, two ways to read it, no number, no size: each is distinguished.
    for (text, wanted) in [("3 V", "V"), ("1,500", "two ways"), ("thin", "thin"), ("-1/16 in", "-1/16 in")] {
        tab.fill(LAND, text);
        let said = tab.wait_text("#state", |said| said.contains(wanted));
        assert!(said.contains("root face"), "{text}: the words name the quantity: {said:?}");
        assert_eq!(tab.value(LAND), text, "what was typed stays in its box");
        assert_eq!(tab.count(UNSAVED_LAND), 1, "{text}: marked as not saved");
    }
    assert!(violations(&tab).is_empty(), "{:?}", violations(&tab));
    // Work goes on meanwhile, and a second look finds both as they are.
    tab.fill(OPENING, "5/32 in");
    tab.wait("document.getElementById('sheet').elements.version.value === '2'");
    assert_eq!(tab.value(LAND), "-1/16 in");
    let found = kept(&tab, &number);
    assert_eq!(kept_text(&found, "fit", LAND), "1/16 in");
    assert_eq!(kept_text(&found, "fit", OPENING), "5/32 in");
    // A number alone is taken in the unit of its box, and the box then says so.
    tab.fill(LAND, "3/32");
    saved(&tab, 3);
    assert_eq!(kept_text(&kept(&tab, &number), "fit", LAND), "3/32 in");
    tab.wait(&format!("document.querySelector('[name=\"{LAND}\"]').value === '3/32 in'"));

    // A land thicker than the plate can be typed, one value at a time, and the
    // sheet says what to settle.
    tab.fill(LAND, "1/2 in");
    saved(&tab, 4);
    tab.wait_text("#sheet-head .settle", |text| text.contains("root face") && text.contains("1/2 in"));
    assert_eq!(browser.faults(), Vec::<String>::new());
}

/// Presses the button while it is there; the page may take it away itself.
fn press_if_there(tab: &Tab, words: &str) {
    let script = format!(
        "(() => {{ const b = [...document.querySelectorAll('#state button')].find((e) => e.innerText === '{words}'); \
         b?.click(); return document.querySelector('[data-unsaved]') === null || b !== undefined; }})()"
    );
    until(words, || (tab.eval(&script) == true).then_some(()), || tab.text("#state"));
}
