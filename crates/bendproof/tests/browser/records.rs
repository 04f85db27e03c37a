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
    tab.press_named("Issue it");
    tab.wait("document.querySelectorAll('.issued tbody tr').length === 1");
    tab.choose("code", "aws-d1.1-2020");
    tab.press_named("Issue it");
    tab.wait("document.querySelectorAll('.issued tbody tr').length === 2");

    // A second issue under the coupon's own code wants its reason.
    tab.press_named("Issue it");
    let refused = tab.wait_text(".findings", |text| text.contains("the reason why"));
    assert!(!refused.is_empty());
    tab.write("why", "the welder's mark was missing");
    tab.press_named("Issue it");
    tab.wait("document.querySelectorAll('.issued tbody tr').length === 3");
    assert!(tab.text(".issued").contains("replaced"));
    let starts = "fetch(document.querySelector('.issued a[href$=\"/2/pdf\"]').href).then((a) => a.text()).then((t) => t.slice(0, 5))";
    assert_eq!(tab.eval(starts), "%PDF-");
}
