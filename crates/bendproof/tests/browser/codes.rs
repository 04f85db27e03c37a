//! Before welding: what a coupon will cover, code by code.

use crate::bench::{Bench, create, sign_in};
use crate::cdp::Browser;

#[test]
fn a_newcomer_sees_before_welding_what_an_open_root_plate_is_worth() {
    let data = tempfile::tempdir().unwrap();
    let bench = Bench::start(data.path());
    let browser = Browser::start();
    let tab = browser.person();
    sign_in(&tab, &bench, "Ines Tornquist");
    let number = create(&tab, "plate-down");
    tab.go(&bench.at(&format!("coupon/{number}/codes")));

    // Outside the plate figures of one code, and what that means.
    let own = tab.text("[id='code-aws-d1.1-2020']");
    assert!(own.contains("no qualification") && own.contains("open root"), "{own}");
    assert!(!own.contains("Would cover"), "{own}");
    // Inside another, which says so in a word and names what stays outside.
    let other = tab.text("[id='code-asme-ix-2023']");
    assert!(
        other.contains("Will qualify for, if accepted") && other.contains("Will not qualify for"),
        "{other}"
    );
    assert!(tab.count("[id='code-asme-ix-2023'] figure svg") == 1);
    assert!(tab.count(".codes .differs") > 0);
    // Each line leads to its rule.
    tab.click("[id='code-aws-d1.1-2020'] a[href='/rule/d11-plate-open-root']");
    tab.wait_text("h1", |text| text.contains("Open-root plate"));
}
