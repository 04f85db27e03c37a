//! The records of an accepted coupon: issued under two codes, and again with a
//! reason.

use crate::bench::{Bench, sign_in};
use crate::cdp::Browser;

#[test]
fn a_record_is_issued_under_two_codes_and_again_with_a_reason() {
    let data = tempfile::tempdir().unwrap();
    let bench = Bench::start(data.path());
    let browser = Browser::start();
    let tab = browser.person();
    sign_in(&tab, &bench, "Ines Tornquist");
    tab.go(&bench.at("coupon/0308/records"));
    assert_eq!(tab.count(".issued tbody tr"), 0);
    tab.press_named("Issue record");
    tab.wait("document.querySelectorAll('.issued tbody tr').length === 1");
    tab.choose("code", "aws-d1.1-2020");
    tab.press_named("Issue record");
    tab.wait("document.querySelectorAll('.issued tbody tr').length === 2");

    // A second issue under the coupon's own code wants its reason.
    tab.press_named("Issue record");
    let refused = tab.wait_text(".findings", |text| text.contains("the reason why"));
    assert!(!refused.is_empty());
    tab.write("why", "the welder ID (stamp) was missing");
    tab.press_named("Issue record");
    tab.wait("document.querySelectorAll('.issued tbody tr').length === 3");
    assert!(tab.text(".issued").contains("superseded"));
    let starts = "fetch(document.querySelector('.issued a[href$=\"/2/pdf\"]').href).then((a) => a.text()).then((t) => t.slice(0, 5))";
    assert_eq!(tab.eval(starts), "%PDF-");
}

#[test]
fn a_procedure_gets_a_joint_more_and_its_sheet_is_issued() {
    let data = tempfile::tempdir().unwrap();
    let bench = Bench::start(data.path());
    let browser = Browser::start();
    let tab = browser.person();
    sign_in(&tab, &bench, "Greta Oyelaran");
    tab.go(&bench.at("procedure/WP-12"));
    let joints = "document.querySelectorAll('fieldset.finder-joint button[name=drop]').length";
    tab.wait(&format!("{joints} === 2"));
    tab.click("details.finder-joint > summary");
    tab.write("procedure.joint.3.name", "stair stringer");
    tab.choose("procedure.joint.3.kind", "fillet");
    tab.write("why", "a stringer is to be welded too");
    tab.press_named("Save revision");
    tab.wait(&format!("{joints} === 3"));
    tab.wait_text(".procedure", |text| text.contains("stair stringer"));

    tab.press_named("Records for this WPS");
    tab.wait_text("h1", |text| text.contains("Records for WPS WP-12"));
    tab.press_named("Issue record");
    tab.wait("document.querySelectorAll('.issued tbody tr').length === 1");
    assert!(tab.text(".issued").contains("Welding procedure"));
    let starts = |kind: &str| {
        tab.eval(&format!(
            "fetch(document.querySelector('.issued a[href$=\"/1/{kind}\"]').href).then((a) => a.text()).then((t) => t.slice(0, 5))"
        ))
    };
    assert_eq!(starts("pdf"), "%PDF-");
    assert_eq!(starts("pdf-a4"), "%PDF-");

    // Taken out again, with its reason.
    tab.go(&bench.at("procedure/WP-12"));
    tab.write("why", "the stringer is bolted");
    tab.click("fieldset.finder-joint button[value='procedure.joint.3']");
    tab.wait(&format!("{joints} === 2"));
}
