//! The main job, from the list of coupons to the printed record.

use std::path::Path;
use std::process::Command;

use serde_json::Value;

use crate::bench::{Bench, create, downloaded, kept, kept_text, saved, sign_in, version};
use crate::cdp::Browser;
use crate::tab::{Tab, quoted};

const LAND: &str = "fit.root_face";
const LAND_RULE: &str = "#rule-v-fit-root_face";
/// The word of the forecast for the left root edge.
const LEFT_EDGE: &str = "#item-v-root-left_edge .line-word";
/// Sixty-fourths between a land of 1/16 in and one of 1/8 in.
const LAND_STEPS: u32 = 4;
/// Readings of a sound plate: path, text.
const READINGS: [(&str, &str); 5] = [
    ("visual.cap_height", "1/16 in"),
    ("visual.undercut", "0 in"),
    ("visual.root_concavity", "0 in"),
    ("visual.melt_through", "1/32 in"),
    ("visual.weld_thickness", "3/8 in"),
];
const LOOKS: [(&str, &str); 4] = [
    ("visual.cracks", "none"),
    ("visual.fusion", "complete"),
    ("visual.penetration", "complete"),
    ("visual.craters", "filled"),
];
/// The clause of the 2020 edition that limits openings in a bent strap.
const BEND_CLAUSE: &str = "6.10.3.3";

#[test]
fn a_plate_goes_from_forecast_to_printed_record() {
    let data = tempfile::tempdir().unwrap();
    let bench = Bench::start(data.path());
    let browser = Browser::start();
    let tab = browser.person();
    sign_in(&tab, &bench, "Ines Tornquist");
    let listed = tab.eval("fetch('/coupons.json').then((a) => a.json()).then((all) => all.map((one) => one.number).sort().pop())");
    let number = create(&tab, "plate-down");
    assert!(number.as_str() > listed.as_str().unwrap(), "{number} comes after {listed}");
    saved(&tab, 1);

    the_land_changes_the_forecast(&tab);
    four_straps_with_two_openings(&tab, &number);
    the_verdict_says_why(&tab);
    the_files_say_the_same(&tab, data.path(), &number);
    each_amendment_has_a_reason_of_its_own(&tab);
    assert_eq!(browser.faults(), Vec::<String>::new());
}

/// The hatching of every rule on the fit and the drawn root.
fn physics(tab: &Tab) -> Value {
    tab.eval("[...document.querySelectorAll('#op-10 .rule rect.span')].map((e) => e.outerHTML).join()")
}

fn marker(tab: &Tab) -> f64 {
    let at =
        tab.eval(&format!("parseFloat(document.querySelector('{LAND_RULE} .marker').getAttribute('x'))"));
    at.as_f64().unwrap()
}

fn the_land_changes_the_forecast(tab: &Tab) {
    let is_sound = |word: &str| ["OK", "marginal"].contains(&word.trim());
    let stamp = tab.text("#sheet-head .stamp");
    tab.wait_text(LEFT_EDGE, is_sound);
    let (hatching, at) = (physics(tab), marker(tab));

    // While it is typed the sheet already says what it would be; nothing is kept.
    tab.write(LAND, "1/8 in");
    tab.wait_text(LEFT_EDGE, |word| word.trim() == "fails");
    assert_eq!(version(tab), 1, "a preview keeps nothing");
    tab.key("Tab");
    saved(tab, 2);
    tab.wait_text(LEFT_EDGE, |word| word.trim() == "fails");
    assert!(
        tab.text("#field-v-fit-root_face .voices").contains("fails"),
        "{}",
        tab.text("#field-v-fit-root_face .voices")
    );
    assert_ne!(physics(tab), hatching, "the hatching of the other rules follows the land");
    assert!(marker(tab) > at, "the marker follows the typing");
    assert_ne!(tab.text("#sheet-head .stamp"), stamp);

    tab.eval(&format!("document.querySelector('{LAND_RULE}').focus()"));
    for _ in 0..LAND_STEPS {
        tab.key("ArrowLeft");
    }
    saved(tab, 3);
    assert_eq!(tab.value(LAND), "1/16 in");
    tab.wait_text(LEFT_EDGE, is_sound);
    assert_eq!(physics(tab), hatching, "the same land gives the same hatching");

    for (undone, land) in [(4, "1/8 in"), (5, "1/16 in")] {
        tab.click("[data-undo]");
        saved(tab, undone);
        assert_eq!(tab.value(LAND), land);
    }
    tab.wait_text(LEFT_EDGE, is_sound);
    the_rule_is_dragged(tab);
}

/// The marker goes with the mouse, the sheet with the marker, and only letting
/// go keeps anything.
fn the_rule_is_dragged(tab: &Tab) {
    let before = version(tab);
    let place = |inches: &str| -> [f64; 2] {
        let at = tab.eval(&format!(
            "(() => {{ const r = document.querySelector('{LAND_RULE}'); r.scrollIntoView({{ block: 'center', behavior: 'instant' }}); \
             const d = JSON.parse(r.dataset.rule); const b = r.querySelector('.rule-face').getBoundingClientRect(); \
             return [b.x + b.width * ({inches} - d.min) / (d.max - d.min), b.y + b.height / 2]; }})()"
        ));
        [at[0].as_f64().unwrap(), at[1].as_f64().unwrap()]
    };
    let (sound, thick) = (place("1 / 16"), place("1 / 8"));
    tab.drag(sound, thick);
    assert_eq!(tab.value(LAND), "1/8 in");
    tab.wait_text(LEFT_EDGE, |word| word.trim() == "fails");
    assert_eq!(version(tab), before, "a drag keeps nothing on its way");
    tab.let_go(thick);
    saved(tab, before + 1);
    tab.drag(thick, sound);
    tab.let_go(sound);
    saved(tab, before + 2);
    assert_eq!(tab.value(LAND), "1/16 in");
}

fn four_straps_with_two_openings(tab: &Tab, number: &str) {
    for n in 1..=4 {
        tab.press_named("Add a specimen");
        tab.wait(&format!("document.querySelectorAll('article.strap').length === {n}"));
    }
    for (n, mark, kind) in [(1, "R1", "root"), (2, "F1", "face"), (3, "R2", "root"), (4, "F2", "face")] {
        let (id, bend) = (format!("strap.{n}.id"), format!("strap.{n}.kind"));
        assert_eq!((tab.value(&id), tab.value(&bend)), (String::new(), String::new()), "nobody has said yet");
        let before = version(tab);
        tab.fill(&id, mark);
        saved(tab, before + 1);
        tab.choose(&bend, kind);
        saved(tab, before + 2);
    }

    for (strap, length, x_mm, y_mm) in [(1, "1/16 in", -2.0, 5.0), (2, "3/64 in", 3.0, -6.0)] {
        point_at_face(tab, strap, x_mm, y_mm);
        tab.wait(&format!("document.querySelectorAll('#strap-{strap} li.opening').length === 1"));
        let before = version(tab);
        assert_eq!(tab.value(&format!("strap.{strap}.openings.1.length")), "", "nobody has measured it yet");
        tab.fill(&format!("strap.{strap}.openings.1.length"), length);
        saved(tab, before + 1);
        let opening = &kept(tab, number)["sheet"]["straps"][strap - 1]["openings"][0];
        for (axis, pointed) in [("x_mm", x_mm), ("y_mm", y_mm)] {
            let placed = opening[axis].as_f64().unwrap();
            assert!((placed - pointed).abs() < 0.3, "{axis} {placed} mm, pointed at {pointed} mm");
        }
    }
    for strap in [3, 4] {
        let before = version(tab);
        tab.choose(&format!("strap.{strap}.openings"), "none");
        saved(tab, before + 1);
    }
}

/// Points at a place of the drawn face, in millimetres from its middle.
fn point_at_face(tab: &Tab, strap: usize, x_mm: f64, y_mm: f64) {
    let script = format!(
        "(() => {{ const svg = document.querySelector('#strap-{strap} [data-face] svg'); \
         svg.scrollIntoView({{ block: 'center', behavior: 'instant' }}); \
         const d = svg.dataset; const p = new DOMPoint(Number(d.x0) + {x_mm} * d.pxPerMm, Number(d.y0) - {y_mm} * d.pxPerMm); \
         const at = p.matrixTransform(svg.getScreenCTM()); return [at.x, at.y]; }})()"
    );
    let at = tab.eval(&script);
    tab.click_at(at[0].as_f64().unwrap(), at[1].as_f64().unwrap());
}

fn the_verdict_says_why(tab: &Tab) {
    for strap in 1..=4 {
        tab.wait_text(&format!("#strap-{strap} .strap-verdict"), |verdict| verdict == "accept");
        let findings = tab.eval(&format!("document.querySelector('#strap-{strap} ul.lines').textContent"));
        assert!(findings.as_str().unwrap().contains(BEND_CLAUSE), "strap {strap}: {findings}");
    }
    assert_ne!(tab.text("#op-70 .verdict strong"), "accept", "the plate has not been looked at yet");
    for (path, text) in READINGS {
        let before = version(tab);
        tab.fill(path, text);
        saved(tab, before + 1);
    }
    for (path, word) in LOOKS {
        let before = version(tab);
        tab.choose(path, word);
        saved(tab, before + 1);
    }
    tab.wait_text("#op-70 .verdict strong", |verdict| verdict == "accept");
    let why = tab.eval("document.querySelector('#op-70').textContent");
    assert!(why.as_str().unwrap().contains(BEND_CLAUSE), "{why}");
}

fn the_files_say_the_same(tab: &Tab, data: &Path, number: &str) {
    let folder = data.join("downloads");
    std::fs::create_dir(&folder).unwrap();
    tab.downloads(&folder);
    for words in ["Traveler as PDF, Letter", "Coupon file (TOML)", "Forecast (JSON)"] {
        tab.press_named(words);
    }
    let name = |kind: &str| format!("coupon-{number}.{kind}");
    downloaded(&folder, &name("pdf"));
    let text = pdf_text(&folder.join(name("pdf")));
    for wanted in [number, BEND_CLAUSE, "accept", "1/16 in", "3/64 in", "R1", "F2"] {
        assert!(text.contains(wanted), "{wanted:?} is not in the PDF:\n{text}");
    }

    downloaded(&folder, &name("toml"));
    let checked = Command::new(env!("CARGO_BIN_EXE_bendproof"))
        .arg("check")
        .arg(folder.join(name("toml")))
        .output()
        .unwrap();
    assert!(checked.status.success(), "{}", String::from_utf8_lossy(&checked.stderr));

    let forecast: Value = serde_json::from_slice(&downloaded(&folder, &name("json"))).unwrap();
    fixed_fields(&forecast);
    let left = kept(tab, number)["sheet"]["forecast"][0]["mark"].clone();
    assert_eq!(forecast["root"]["left_edge"]["verdict"], left, "the page and the file agree");
    assert_eq!(kept_text(&kept(tab, number), "fit", LAND), "1/16 in");
}

fn each_amendment_has_a_reason_of_its_own(tab: &Tab) {
    tab.wait_text("#sheet-head .stamp", |text| text.contains("not stamped yet"));
    tab.press_named("Stamp the verdict");
    tab.wait_text("#sheet-judgement", |text| text.contains("by Ines Tornquist"));
    tab.ready();
    let reason = "document.querySelector('#why').value";
    for (text, is_first) in [("1/64 in", true), ("1/32 in", false)] {
        tab.fill("visual.undercut", text);
        tab.wait("document.querySelector('#why') !== null");
        assert_eq!(tab.eval(reason), "", "the box is empty each time");
        if is_first {
            tab.eval(&format!("{reason} = 'misread'"));
        } else {
            tab.press_named("Same as before: “misread”");
            assert_eq!(tab.eval(reason), "misread");
        }
        let before = version(tab);
        tab.press_named("Amend");
        saved(tab, before + 1);
    }
    tab.wait_text("#sheet-judgement", |text| text.contains("amended since"));
}

/// The fields outside scripts rely on.
fn fixed_fields(forecast: &Value) {
    let has = |value: &Value, names: &[&str]| {
        for name in names {
            assert!(value.get(name).is_some(), "{name} is not in {value}");
        }
    };
    has(forecast, &["fit", "passes", "root", "walls", "crown", "totals", "voices"]);
    has(&forecast["fit"], &["groove_area_mm2", "face_width_mm"]);
    has(
        &forecast["passes"][0],
        &[
            "n",
            "kind",
            "current_A",
            "volts",
            "wire_feed",
            "travel",
            "arc_energy_kJ_mm",
            "heat_input_kJ_mm",
            "bead_area_mm2",
            "arc_time_s",
            "interpass_C",
            "t85_s",
        ],
    );
    has(&forecast["totals"], &["beads", "arc_time_s", "clock_time_s", "wire_kg", "gas_L", "cost"]);
    for item in ["left_edge", "right_edge", "profile", "burn_through", "outrun"] {
        has(&forecast["root"][item], &["verdict", "margin", "driver", "uncertainty", "source"]);
    }
}

/// What a reader of the PDF can select.
pub fn pdf_text(file: &Path) -> String {
    let read = Command::new("pdftotext")
        .args(["-layout"])
        .arg(file)
        .arg("-")
        .output()
        .unwrap_or_else(|why| panic!("pdftotext is missing ({why}): install the package poppler-utils"));
    assert!(read.status.success(), "{}", String::from_utf8_lossy(&read.stderr));
    String::from_utf8(read.stdout).unwrap_or_else(|why| panic!("{}: {why}", quoted("pdftotext")))
}
