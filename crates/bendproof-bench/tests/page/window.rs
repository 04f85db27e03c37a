//! The settings window, asked in process: what the page offers without a script,
//! what a place pointed at answers, what is kept and what is refused.

use crate::client::{bench, get, get_json, post_text, post_text_json};
use axum::http::StatusCode;

const SET: &str = "/coupon/0231/window/set?x=fit.root_opening&y=fit.root_face&scope=root";

#[tokio::test]
async fn the_sheet_leads_to_the_window_and_the_window_back() {
    let bench = bench();
    let sheet = get(&bench, "/coupon/0231").await.text;
    assert!(sheet.contains("href=\"/coupon/0231/window\""), "no way to the window");
    let page = get(&bench, "/coupon/0231/window").await.text;
    assert!(page.contains("href=\"/coupon/0231#op-40\""));
}

#[tokio::test]
async fn without_a_script_everything_is_a_form() {
    let bench = bench();
    let page = get(&bench, "/coupon/0231/window?x=fit.root_face&y=fit.root_opening&scope=root").await;
    assert_eq!(page.status, StatusCode::OK);
    for part in [
        "<option value=\"fit.root_face\" selected>land</option>",
        "<option value=\"root\" selected>root only</option>",
        "action=\"/coupon/0231/window/set?x=fit.root_face&amp;y=fit.root_opening&amp;scope=root\"",
        "name=\"was:fit.root_opening\"",
        "Change land from 1/16 in to 1/32 in",
        "name=\"fit.root_face\" value=\"1/32 in\"",
        "61 %, provisional: 48 to 70 % once solved",
        "Drawn again in every stretch",
        "could be wrong in 7 of 100 cells",
        "/coupon/0231/window/file/csv?x=fit.root_face&amp;y=fit.root_opening&amp;scope=root",
        "100 % is &lt;invented&gt;",
    ] {
        assert!(page.text.contains(part), "{part} is missing");
    }
    assert!(!page.text.contains("<invented>") && !page.text.contains("<profile>"));
    // Without a change there is nothing to take back.
    assert!(!page.text.contains("id=\"window-undo\""));
}

#[tokio::test]
async fn the_point_is_a_slider_that_says_where_it_stands() {
    let page = get(&bench(), "/coupon/0231/window").await.text;
    let (_, point) = page.split_once("id=\"window-point\"").unwrap();
    let point = point.split_once('>').unwrap().0;
    for part in [
        "role=\"slider\"",
        "tabindex=\"0\"",
        "aria-label=\"Selected point: root opening across, land up\"",
        "aria-valuenow=\"0.125\"",
        "upwards: fails\"",
    ] {
        assert!(point.contains(part), "{part} is missing in {point}");
    }
    // What a place says is stated by words and shapes, with the first of them named.
    assert!(page.contains("governs") && page.contains("left root edge"));
}

#[tokio::test]
async fn a_place_pointed_at_is_shown_and_not_kept() {
    let bench = bench();
    let there = get_json(&bench, "/coupon/0231/window/place?at=0.0625,0.03125").await.json();
    assert_eq!(there["place"]["texts"][0], "0.0625 in");
    assert!(there["html"].as_str().unwrap().contains("root &lt;profile&gt;"));
    assert_eq!(get_json(&bench, "/coupon/0231.json").await.json()["version"], 1);
    for wrong in ["", "?at=1", "?at=NaN,1", "?at=a,b"] {
        let refused = get_json(&bench, &format!("/coupon/0231/window/place{wrong}")).await;
        assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY, "{wrong}");
    }
}

#[tokio::test]
async fn both_values_are_kept_on_a_version_and_can_be_taken_back() {
    let bench = bench();
    let pairs = "version=1&token=a&fit.root_opening=5%2F32+in&fit.root_face=1%2F32+in";
    let kept = post_text(&bench, SET, pairs).await;
    assert_eq!(kept.status, StatusCode::SEE_OTHER);
    assert_eq!(kept.location(), "/coupon/0231/window?x=fit.root_opening&y=fit.root_face&scope=root");
    let page = get(&bench, kept.location()).await.text;
    assert!(page.contains("value=\"5/32 in\"") && page.contains("id=\"window-undo\""));

    // Made on an old version it is a conflict, as a page and for a script.
    let late = "version=1&token=b&fit.root_face=1%2F8+in";
    assert_eq!(post_text(&bench, SET, late).await.status, StatusCode::CONFLICT);
    let conflict = post_text_json(&bench, SET, late).await;
    assert_eq!((conflict.status, &conflict.json()["version"]), (StatusCode::CONFLICT, &2.into()));
    assert!(conflict.json()["since_html"].as_str().unwrap().contains("fit.root_face"));

    let back = post_text_json(&bench, "/coupon/0231/window/undo?x=fit.root_opening", "version=2").await;
    assert_eq!((back.status, &back.json()["version"]), (StatusCode::OK, &3.into()));
    assert!(!back.json()["html"].as_str().unwrap().contains("value=\"5/32 in\""));
    let again = post_text_json(&bench, "/coupon/0231/window/undo", "version=2").await;
    assert_eq!(again.status, StatusCode::CONFLICT);
}

#[tokio::test]
async fn what_is_not_changed_or_not_versioned_is_not_kept() {
    let bench = bench();
    let same = "version=1&token=a&fit.root_face=1%2F16+in&was:fit.root_face=1%2F16+in";
    assert_eq!(post_text_json(&bench, SET, same).await.json()["version"], 1);
    let blind = post_text_json(&bench, SET, "fit.root_face=1%2F16+in").await;
    assert_eq!(blind.status, StatusCode::UNPROCESSABLE_ENTITY);
    let foreign = post_text_json(&bench, SET, "version=1&token=a&fit.colour=red").await;
    assert_eq!(foreign.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(foreign.text.contains("fit.colour is not a value of this sheet"));
}

#[tokio::test]
async fn a_script_gets_the_window_at_once_and_its_chance_after_it() {
    let bench = bench();
    let part = get_json(&bench, "/coupon/0231/window?x=fit.root_face").await.json();
    assert_eq!((&part["version"], &part["known"]), (&1.into(), &true.into()));
    let html = part["html"].as_str().unwrap();
    assert!(
        html.contains("data-window-chance") && !html.contains("61 %, provisional: 48 to 70 % once solved")
    );
    let chance = get_json(&bench, "/coupon/0231/window/chance").await.json();
    assert!(chance["html"].as_str().unwrap().contains("61 %, provisional: 48 to 70 % once solved"));
}

#[tokio::test]
async fn a_window_that_is_not_known_says_why() {
    let bench = bench();
    let page = get(&bench, "/coupon/0231/window?x=pass.1.volts").await.text;
    assert!(page.contains("unknown") && page.contains("no forecast for &lt;SMAW&gt;"));
    assert!(!page.contains("window-map"), "no map stands in for it");
    for path in ["/coupon/9999/window", "/coupon/9999/window.json", "/coupon/0231/window/file/exe"] {
        assert_eq!(get(&bench, path).await.status, StatusCode::NOT_FOUND, "{path}");
    }
    let file = get(&bench, "/coupon/0231/window/file/json?x=fit.root_face&scope=root").await;
    assert_eq!(file.text, "{\"x\":\"fit.root_face\",\"root\":true}");
}
