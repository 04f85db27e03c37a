//! For every eye and hand: the accessibility rules of axe-core on every page in
//! both looks and three widths, and the keyboard alone.

use std::path::Path;

use serde_json::Value;

use crate::bench::{Bench, create, saved, sign_in};
use crate::cdp::Browser;
use crate::tab::Tab;

/// Width and height of a phone, a tablet and a desk, CSS pixels.
const SIZES: [(u32, u32); 3] = [(390, 844), (820, 1180), (1380, 900)];
/// Most stops of the Tab key on one sheet before it comes round. Basis: choice,
/// three times what a sheet with four straps has.
const STOPS_MAX: usize = 900;

/// The checker, as `npm ci` in `tests/web` puts it.
fn axe() -> String {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/web/node_modules/axe-core/axe.min.js");
    std::fs::read_to_string(&file)
        .unwrap_or_else(|why| panic!("axe-core is missing ({why}): run npm ci --prefix tests/web"))
}

/// What is wrong with the page as it stands, one line each.
pub fn violations(tab: &Tab) -> Vec<String> {
    if tab.eval("typeof axe") == "undefined" {
        tab.eval(&format!("{}; true", axe()));
    }
    words(&tab.eval(
        "axe.run(document, { resultTypes: ['violations'] }).then((found) => found.violations.map((v) => \
         `${v.id}: ${v.help}, ${v.nodes.length} times: ${v.nodes.slice(0, 3).map((n) => \
         `${n.target.join(' ')} (${n.any.map((one) => one.message).join('; ')})`).join(' | ')}`))",
    ))
}

fn words(list: &Value) -> Vec<String> {
    list.as_array().unwrap().iter().map(|one| one.as_str().unwrap().to_owned()).collect()
}

/// Waits until a sheet has loaded its section, where it has a place for one.
fn whole(tab: &Tab) {
    tab.wait("!document.querySelector('#section-panel') || document.querySelector('.section-etch, .section-unknown') !== null");
}

/// Checks pages in both looks at every width, opened and folded.
fn check(tab: &Tab, bench: &Bench, paths: &[&str]) {
    let mut wrong = Vec::new();
    for path in paths {
        tab.size(1380, 900);
        tab.go(&bench.at(path));
        whole(tab);
        // Folded parts are part of the page too.
        tab.eval("document.querySelectorAll('details:not(.ask)').forEach((d) => { d.open = true; })");
        for scheme in ["light", "dark"] {
            tab.prefers(scheme);
            for (width, height) in SIZES {
                tab.size(width, height);
                tab.wait(&format!("innerWidth === {width}"));
                let over =
                    tab.eval("document.documentElement.scrollWidth - document.documentElement.clientWidth");
                if over != 0 {
                    wrong.push(format!("/{path} {width} {scheme}: {over} px wider than the window"));
                }
                let found = violations(tab);
                wrong.extend(found.into_iter().map(|one| format!("/{path} {width} {scheme}: {one}")));
            }
        }
    }
    assert!(wrong.is_empty(), "{} faults:\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
fn every_list_and_leaf_is_accessible() {
    let data = tempfile::tempdir().unwrap();
    let bench = Bench::start(data.path());
    let browser = Browser::start();
    let tab = browser.person();
    tab.go(&bench.url);
    let welders = tab.eval("fetch('/welders.json').then((a) => a.json())");
    let welder = format!("welder/{}", welders[1]["id"].as_str().unwrap());
    let asked = format!("{welder}/ask?do=ask&ask.1.joint=fillet&ask.1.position=H&ask.1.process=GMAW");
    let procedures = ["procedures", "procedure/WP-12", "procedure/WP-12/ask?do=ask&joint.1.kind=fillet"];
    check(&tab, &bench, &[&asked, procedures[0], procedures[1], procedures[2]]);
    // Before a name is given the pages ask for one.
    check(
        &tab,
        &bench,
        &[
            "",
            "who",
            &welder,
            "welders",
            "finder",
            "coupon/0308/records",
            "procedure/WP-12/records",
            "rule/d11-bend-single-opening",
            "about",
            "nowhere",
        ],
    );
}

#[test]
fn the_sheet_and_the_patterns_are_accessible() {
    let data = tempfile::tempdir().unwrap();
    let bench = Bench::start(data.path());
    let browser = Browser::start();
    let tab = browser.person();
    sign_in(&tab, &bench, "Ines Tornquist");
    let coupon = [
        "coupon/0314",
        "coupon/0314/section",
        "coupon/0314/window",
        "coupon/0314/codes",
        "coupon/0313/section",
    ];
    check(&tab, &bench, &[&coupon[..], &["patterns"]].concat());

    // The checker itself: a box without a name is found.
    tab.eval("document.querySelector('main').append(document.createElement('input'))");
    assert!(violations(&tab).iter().any(|one| one.starts_with("label:")), "the checker sees nothing");
}

/// What the Tab key comes to, and whether it can be seen there. Of the parts of
/// a date only the first stop is asked: the browser marks the others itself.
const STOP: &str = "(() => { const e = document.activeElement; if (!e || e === document.body) return null; \
    const isInside = e.type === 'date' && 'stopped' in e.dataset; \
    e.dataset.stopped = ''; \
    const seen = [e, ...e.querySelectorAll('.rule-edge, svg *, span'), e.parentElement].some((one) => { const s = getComputedStyle(one); \
      return (s.outlineStyle !== 'none' && parseFloat(s.outlineWidth) > 0) || s.boxShadow !== 'none'; }); \
    const b = e.getBoundingClientRect(); \
    return [(isInside || (e.matches(':focus-visible') && seen)) && b.width > 0 && b.bottom > 0 && b.top < innerHeight, e.outerHTML.slice(0, 160), \
      e.matches('details:not(.ask):not([open]) > summary')]; })()";

/// What can be used and was never come to.
const MISSED: &str = "[...document.querySelectorAll('.rule, button, a[href], input, select, summary')] \
    .filter((e) => !('stopped' in e.dataset) && e.tabIndex >= 0 && e.type !== 'hidden' && !e.disabled && e.checkVisibility({ visibilityProperty: true })) \
    .map((e) => e.outerHTML.slice(0, 160))";

#[test]
fn the_keyboard_alone_reaches_everything() {
    let data = tempfile::tempdir().unwrap();
    let bench = Bench::start(data.path());
    let browser = Browser::start();
    let tab = browser.person();
    sign_in(&tab, &bench, "Ines Tornquist");
    let number = create(&tab, "plate-down");
    tab.press_named("Add a specimen");
    saved(&tab, 2);
    tab.press_named("Add a discontinuity");
    saved(&tab, 3);
    // A fresh page, so that the first press of Tab begins at its top.
    tab.go(&bench.at(&format!("coupon/{number}")));
    whole(&tab);

    let mut unseen = Vec::new();
    let mut stops = 0;
    loop {
        tab.key("Tab");
        let stop = tab.eval(STOP);
        if stop.is_null() {
            break;
        }
        stops += 1;
        assert!(stops < STOPS_MAX, "the Tab key is caught: {stop}");
        if stop[0] != true {
            unseen.push(stop[1].to_string());
        }
        // What is folded is opened on the way, so that its inside is walked too.
        if stop[2] == true {
            tab.key("Enter");
            tab.wait("document.activeElement.parentElement.open === true");
        }
    }
    assert_eq!(words(&tab.eval(MISSED)), Vec::<String>::new(), "never come to in {stops} stops");
    assert!(unseen.is_empty(), "{} stops cannot be seen:\n{}", unseen.len(), unseen.join("\n"));
    let rules = tab.count(".rule");
    assert!(rules >= 10, "{rules} rules on the sheet");
    assert_eq!(tab.count(".rule[data-stopped]"), rules);
}
