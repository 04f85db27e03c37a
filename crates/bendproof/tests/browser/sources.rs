//! Every number on the sheet can be asked where it is from.

use serde_json::Value;

use crate::bench::{Bench, kept, sign_in};
use crate::cdp::Browser;
use crate::tab::Tab;

/// Finished coupon of the demonstration shop with every operation filled.
const COUPON: &str = "0314";
/// Planned coupon of the demonstration shop, stamped with its forecast.
const PLANNED: &str = "0317";

fn length(value: &Value) -> u64 {
    value.as_array().map_or(0, |list| u64::try_from(list.len()).unwrap())
}

/// Counts what is shown under `selector` and how many of it have a source that
/// opens and says something.
fn shown_and_sourced(tab: &Tab, selector: &str) -> [u64; 2] {
    let script = format!(
        "(() => {{ const all = [...document.querySelectorAll('{selector}')]; \
         const says = (e) => {{ const ask = e.querySelector('details.ask'); if (!ask) return false; \
           ask.open = true; const note = ask.querySelector('.ask-note'); \
           const isThere = note.checkVisibility() && note.querySelector('.from p')?.innerText.trim().length > 3; \
           ask.open = false; return isThere && ask.querySelector('summary').getAttribute('aria-label').length > 10; }}; \
         return [all.length, all.filter(says).length]; }})()"
    );
    let counted = tab.eval(&script);
    [counted[0].as_u64().unwrap(), counted[1].as_u64().unwrap()]
}

#[test]
fn every_number_on_the_sheet_has_its_source_next_to_it() {
    let data = tempfile::tempdir().unwrap();
    let bench = Bench::start(data.path());
    let browser = Browser::start();
    let tab = browser.person();
    sign_in(&tab, &bench, "Ines Tornquist");
    tab.go(&bench.at(&format!("coupon/{COUPON}")));
    let sheet = &kept(&tab, COUPON)["sheet"];
    let straps = sheet["straps"].as_array().unwrap();
    let findings: u64 = straps.iter().map(|strap| length(&strap["findings"])).sum();
    let expected = [
        ("#op-40 .forecast-line", length(&sheet["forecast"])),
        ("#op-10 dl.figures > div", length(&sheet["fit_computed"])),
        ("#op-30 .totals dl.figures > div", length(&sheet["totals"])),
        ("#op-60 .specimens li.line", length(&sheet["specimens"])),
        ("#op-60 .strap li.line", findings),
        ("#op-60 > .work > ul.lines > li.line", length(&sheet["visual_findings"])),
        ("#op-70 li.line", length(&sheet["verdict_lines"])),
        ("#op-80 li.line", length(&sheet["standing"])),
    ];
    for (selector, wanted) in expected {
        assert!(wanted > 0, "{selector}: the coupon has none to look at");
        assert_eq!(shown_and_sourced(&tab, selector), [wanted, wanted], "{selector}: shown, with a source");
    }
    for selector in ["#op-10 .rule-field", "#op-10 .side .field", "#op-20 .field"] {
        let [shown, _] = shown_and_sourced(&tab, selector);
        assert!(shown > 0, "{selector}");
        assert_eq!(tab.count(&format!("{selector} details.ask")), shown, "{selector}: each can be asked");
    }
    rows_have_their_sources_behind_them(&tab, sheet);
    tab.go(&bench.at(&format!("coupon/{PLANNED}")));
    let stamp = tab.text("#sheet-head .stamp");
    assert!(
        stamp.chars().any(|c| c.is_ascii_digit()),
        "the stamp of a planned coupon gives a chance: {stamp}"
    );
    assert_eq!(shown_and_sourced(&tab, "#sheet-head .sheet-stamp"), [1, 1], "{stamp}: can be asked");
}

/// The numbers in the tables of passes and of the log stand again behind their
/// row, each with its source.
fn rows_have_their_sources_behind_them(tab: &Tab, sheet: &Value) {
    let count = |list: &str, figures: &str| -> u64 {
        sheet[list].as_array().unwrap().iter().map(|row| length(&row[figures])).sum()
    };
    let passes = count("passes", "computed") + length(&sheet["passes"]);
    for (band, wanted) in [("#op-30", passes), ("#op-50", count("log", "differences"))] {
        assert!(wanted > 0, "{band}: the coupon has none to look at");
        let script = format!(
            "[...document.querySelectorAll('{band} .row-sources > div')].filter((e) => e.querySelector('.from p')?.textContent.trim().length > 3 && !e.querySelector('.from-head')).length"
        );
        assert_eq!(tab.eval(&script), wanted, "{band}: numbers with a source behind their row");
    }
}
