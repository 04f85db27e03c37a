//! The section as it would etch: every example shows one, the film is scrubbed
//! with the keyboard, thermocouples are placed by hand and by typing, a measured
//! curve is laid over, and a kept change solves it again.

use crate::bench::{Bench, create, saved, sign_in};
use crate::cdp::Browser;
use crate::tab::Tab;

const ETCHED: &str = "document.querySelector('#section-panel .etch-wide [data-bead]') !== null";
const TIME: &str = "#section-time";
/// How far from the point meant a pointer may put a thermocouple: it points at whole
/// pixels, and the text says tenths of a millimeter.
const POINTED_MM: f64 = 0.101;

/// Names of the thermocouples listed.
fn places(tab: &Tab) -> String {
    let script =
        "[...document.querySelectorAll('#section-panel .place-head strong')].map((e) => e.innerText).join()";
    tab.eval(script).as_str().unwrap_or_default().to_owned()
}

#[test]
fn every_example_shows_a_macro_etch_on_its_sheet() {
    let data = tempfile::tempdir().unwrap();
    let bench = Bench::start(data.path());
    let browser = Browser::start();
    let tab = browser.person();
    sign_in(&tab, &bench, "Ines Tornquist");
    for template in ["plate-down", "plate-up", "pipe-6g"] {
        tab.go(&bench.url);
        create(&tab, template);
        tab.wait(ETCHED);
        assert_eq!(tab.text("#section-panel .computed"), "computed, not measured", "{template}");
        assert!(tab.text("#section-panel .section-answers").contains("root face"), "{template}");
        assert!(tab.count("#section-panel .bead-table tbody tr") >= 3, "{template}");
    }
}

#[test]
fn the_film_is_scrubbed_and_thermocouples_are_placed() {
    let data = tempfile::tempdir().unwrap();
    let bench = Bench::start(data.path());
    let browser = Browser::start();
    let tab = browser.person();
    sign_in(&tab, &bench, "Ines Tornquist");
    create(&tab, "plate-down");
    tab.wait(ETCHED);

    // The keyboard moves the film, and says where it stands.
    let before = tab.text(TIME);
    let film = "document.querySelector('[data-film]').innerHTML";
    let first = tab.eval(film);
    tab.eval("document.getElementById('section-frame').focus()");
    tab.key("ArrowRight");
    let after = tab.wait_text(TIME, |text| text != before);
    assert!(after.ends_with("after the arc"), "{after}");
    tab.wait(&format!("{film} !== {first}"));
    assert_eq!(
        tab.eval("document.getElementById('section-frame').getAttribute('aria-valuetext')"),
        after.as_str()
    );
    // The sheet itself has nothing to keep of that.
    assert_eq!(tab.eval("document.getElementById('state').innerText"), "");

    // A point in the plate, then one by its millimetres.
    tab.eval(
        "document.querySelector('[data-film] svg').scrollIntoView({ block: 'center', behavior: 'instant' })",
    );
    let at = tab.eval(
        "(() => { const s = document.querySelector('[data-film] svg'), b = s.getBoundingClientRect(), k = b.width / s.viewBox.baseVal.width; \
         const d = s.dataset; return [b.left + (Number(d.x0) + 6 * d.pxPerMm) * k, b.top + (Number(d.y0) - 4 * d.pxPerMm) * k]; })()",
    );
    tab.click_at(at[0].as_f64().unwrap(), at[1].as_f64().unwrap());
    let placed = tab.wait_text("#section-panel .place-head", |text| text.starts_with("A "));
    // Inches stand first, millimeters after them.
    let mm: Vec<f64> = placed.split(' ').filter_map(|word| word.parse().ok()).skip(2).take(2).collect();
    assert!((mm[0] - 6.0).abs() <= POINTED_MM && (mm[1] - 4.0).abs() <= POINTED_MM, "{placed}");
    tab.write("x", "-5");
    tab.write("y", "3");
    tab.press_named("Place it");
    tab.wait("document.querySelectorAll('#section-panel .place-head').length === 2");
    assert_eq!(places(&tab), "A,B");

    // A curve measured there, with a fault and without.
    tab.eval("document.querySelector('.measured').open = true");
    let lay = |text: &str| {
        tab.eval(&format!("document.getElementById('section-measured').value = {text:?}; true"));
        tab.press_named("Overlay");
    };
    lay("t_s,T_C\n0,20\nhot");
    tab.wait_text("#section-panel [role=alert]", |text| text.contains("line 3: `hot`"));
    lay("t_s,T_C\n0,20\n1,900\n4,500\n5,450");
    tab.wait("document.querySelector('#section-panel [role=alert]') === null");
    assert!(tab.text("#section-panel .curve-side tbody tr").contains("900 °C"));

    // Taken away again, the letters close up.
    tab.click("#section-panel button[name=drop]");
    tab.wait("document.querySelectorAll('#section-panel .place-head').length === 1");

    // A kept change of the fit solves the section again and keeps the places.
    let land = "document.querySelector('#section-panel .section-answers').innerText";
    let was = tab.eval(land);
    tab.write("fit.root_face", "1/8 in");
    tab.key("Tab");
    saved(&tab, 2);
    tab.wait(&format!("{land} !== {was}"));
    assert_eq!(places(&tab), "A");
}
