//! One chance on every screen: list, sheet, settings window, file and paper of one
//! coupon, read in the browser before its beads are solved and after.

use crate::bench::{Bench, create, downloaded, sign_in};
use crate::cdp::Browser;
use crate::job::pdf_text;
use crate::tab::Tab;

/// Says `82 %`, or `82 %, provisional: 74 to 88 % once solved`, wherever it stands in
/// a stamp.
fn chance_in(stamp: &str) -> String {
    let (_, chance) = stamp.split_once(" · ").unwrap_or_else(|| panic!("no chance in {stamp:?}"));
    chance.to_lowercase()
}

/// A stamp and the note under it, as one sentence.
fn stamp_text(tab: &Tab, selectors: [&str; 2], within: &str) -> String {
    let [stamp, note] = selectors;
    let script = format!(
        "[...{within}.querySelectorAll('{stamp}, {note}')].map((part) => part.innerText.trim()).join(', ')"
    );
    tab.eval(&script).as_str().unwrap_or_default().to_owned()
}

fn on_sheet(tab: &Tab, bench: &Bench, number: &str) -> String {
    tab.go(&bench.at(&format!("coupon/{number}")));
    chance_in(&stamp_text(tab, [".sheet-stamp .stamp", ".sheet-stamp .stamp-note"], "document"))
}

fn on_list(tab: &Tab, bench: &Bench, number: &str) -> String {
    tab.go(&bench.url);
    let row = format!(
        "[...document.querySelectorAll('table.list tbody tr')].find((row) => row.querySelector('.list-no').innerText === '{number}')"
    );
    chance_in(&stamp_text(tab, [".list-stamp span[aria-hidden]", ".list-stamp .hint"], &row))
}

fn in_window(tab: &Tab, bench: &Bench, number: &str) -> String {
    tab.go(&bench.at(&format!("coupon/{number}/window")));
    tab.wait_text("#window-chance .window-chance dd", |text| text.contains('%')).to_lowercase()
}

/// The chance in a file of the coupon, in whole percent, and whether it is solved.
fn in_file(tab: &Tab, path: &str) -> (String, bool) {
    let chance = tab.eval(&format!("fetch('/{path}').then((a) => a.json()).then((file) => file.chance)"));
    let along = chance["along"].as_f64().unwrap_or_else(|| panic!("no chance in {path}: {chance}"));
    (format!("{:.0} %", 100.0 * along), chance["is_solved"].as_bool().unwrap())
}

#[test]
fn list_sheet_window_file_and_paper_say_one_chance() {
    let data = tempfile::tempdir().unwrap();
    let bench = Bench::start(data.path());
    let browser = Browser::start();
    let tab = browser.person();
    sign_in(&tab, &bench, "Ines Tornquist");
    let number = create(&tab, "plate-up");
    // The sheet asks for its section at once; when that is there, the stamp is solved.
    tab.wait_text(".sheet-stamp", |text| text.contains('%') && !text.to_lowercase().contains("provisional"));
    let solved = chance_in(&tab.text(".sheet-stamp .stamp"));
    assert_eq!(on_list(&tab, &bench, &number), solved);
    assert_eq!(in_window(&tab, &bench, &number), solved);
    assert_eq!(on_sheet(&tab, &bench, &number), solved);
    for path in [format!("coupon/{number}/window.json"), format!("coupon/{number}/file/json")] {
        assert_eq!(in_file(&tab, &path), (solved.clone(), true), "{path}");
    }
    let folder = tempfile::tempdir().unwrap();
    tab.downloads(folder.path());
    tab.eval(&format!("location.href = '/coupon/{number}/file/pdf'"));
    let name = format!("coupon-{number}.pdf");
    downloaded(folder.path(), &name);
    let paper = pdf_text(&folder.path().join(name));
    assert!(paper.contains(&format!("· {solved}")), "{paper}");

    // Another that nobody opened: list and window call it provisional in the same words.
    let list = on_list(&tab, &bench, "0317");
    assert!(list.contains("provisional"), "{list}");
    assert_eq!(in_window(&tab, &bench, "0317"), list);
    assert_eq!(browser.faults(), Vec::<String>::new());
}
