//! The settings window under the hand: the point is dragged and moved with the
//! arrow keys, what is recommended is turned, and all of it is taken back.

use crate::access::violations;
use crate::bench::{Bench, create, sign_in};
use crate::cdp::Browser;
use crate::tab::Tab;

const BOXES: &str =
    "[...document.querySelectorAll('#window-set input[type=text]')].map((box) => box.value).join(' / ')";

fn boxes(tab: &Tab) -> String {
    tab.eval(BOXES).as_str().unwrap().to_owned()
}

fn on_version(tab: &Tab, version: u64) {
    tab.wait(&format!("document.querySelector('#window-set [name=version]')?.value === '{version}'"));
}

/// The middle of the point, CSS pixels of the view.
fn point(tab: &Tab) -> [f64; 2] {
    let at = tab.eval(
        "(() => { const p = document.getElementById('window-point'); p.scrollIntoView({ block: 'center', behavior: 'instant' }); \
         const b = p.getBoundingClientRect(); return [b.left + b.width / 2, b.top + b.height / 2]; })()",
    );
    [at[0].as_f64().unwrap(), at[1].as_f64().unwrap()]
}

#[test]
fn the_point_is_dragged_moved_turned_and_taken_back() {
    let data = tempfile::tempdir().unwrap();
    let bench = Bench::start(data.path());
    let browser = Browser::start();
    let tab = browser.person();
    sign_in(&tab, &bench, "Ines Tornquist");
    let number = create(&tab, "plate-down");
    tab.go(&bench.at(&format!("coupon/{number}/window")));
    on_version(&tab, 1);
    assert_eq!(boxes(&tab), "1/16 in / 1/8 in");

    // While the point is held the words follow and nothing is kept.
    let from = point(&tab);
    let to = [from[0] + 60.0, from[1] + 30.0];
    tab.drag(from, to);
    tab.wait_text("#window-here .window-heading", |text| text == "Selected point");
    tab.wait(&format!("{BOXES} !== '1/16 in / 1/8 in'"));
    on_version(&tab, 1);
    tab.let_go(to);
    on_version(&tab, 2);
    let dragged = boxes(&tab);
    assert_ne!(dragged, "1/16 in / 1/8 in");

    // Escape brings it back; Enter keeps it.
    tab.eval("document.getElementById('window-point').focus()");
    tab.key("ArrowLeft");
    tab.wait(&format!("{BOXES} !== '{dragged}'"));
    tab.key("Escape");
    assert_eq!(boxes(&tab), dragged);
    tab.key("ArrowDown");
    tab.wait(&format!("{BOXES} !== '{dragged}'"));
    tab.key("Enter");
    on_version(&tab, 3);
    let moved = boxes(&tab);
    assert_ne!(moved, dragged);
    assert_eq!(tab.eval("document.activeElement.id"), "window-point", "the keyboard stays on the point");

    // Taken back twice it stands where it stood.
    tab.click("#window-undo");
    on_version(&tab, 4);
    assert_eq!(boxes(&tab), dragged);
    tab.click("#window-undo");
    on_version(&tab, 5);
    assert_eq!(boxes(&tab), "1/16 in / 1/8 in");

    // A change that is recommended is one press; for this land there is one after
    // which the root holds.
    tab.go(&bench.at("coupon/0318/window"));
    on_version(&tab, 1);
    tab.click("#window-turn");
    on_version(&tab, 2);
    assert_eq!(violations(&tab), Vec::<String>::new());
    tab.prefers("dark");
    tab.size(390, 844);
    tab.wait("innerWidth === 390");
    let over = "document.documentElement.scrollWidth - document.documentElement.clientWidth";
    assert_eq!(tab.eval(over), 0, "a phone scrolls sideways");
    assert_eq!(violations(&tab), Vec::<String>::new());
    assert_eq!(browser.faults(), Vec::<String>::new());
}
