//! A verdict stamped on the page, and a judged coupon amended with a reason: by
//! a plain form, and by the answers that scripts read.

use crate::client::{Answered, ask, bench, encoded, form, get};
use axum::Router;
use axum::http::{StatusCode, header};

const FIT: (&str, &str) = ("fit.root_opening", "3/32 in");
const SHEET: &str = "/coupon/0231";

/// Posts a form to the coupon, as Ida unless nobody said who they are.
async fn post(bench: &Router, way: &str, accept: &str, who: &str, pairs: &[(&str, &str)]) -> Answered {
    let request = form(&format!("{SHEET}/{way}"))
        .header(header::ACCEPT, accept)
        .header(header::COOKIE, format!("bench_who={who}"));
    ask(bench, request.body(encoded(pairs)).unwrap()).await
}

async fn plain(bench: &Router, way: &str, pairs: &[(&str, &str)]) -> Answered {
    post(bench, way, "text/html", "Ida", pairs).await
}

async fn script(bench: &Router, way: &str, pairs: &[(&str, &str)]) -> Answered {
    post(bench, way, "application/json", "Ida", pairs).await
}

/// A bench whose coupon's verdict is stamped at version 2.
async fn stamped() -> Router {
    let bench = bench();
    let page = get(&bench, SHEET).await.text;
    assert!(page.contains("Stamp the verdict") && page.contains("form=\"stamp\""), "{page}");
    let stamped = plain(&bench, "stamp", &[("version", "1")]).await;
    assert_eq!((stamped.status, stamped.location()), (StatusCode::SEE_OTHER, SHEET));
    bench
}

#[tokio::test]
async fn a_stamp_stands_on_the_sheet_with_who_and_when() {
    let bench = stamped().await;
    let page = get(&bench, SHEET).await.text;
    assert!(page.contains("Stamped “accept” under invented code 2031 by Ida, 14 April, 10:12"), "{page}");
    assert!(!page.contains("Stamp the verdict"), "a stamp that stands is not offered again");
    let twin = get(&bench, "/coupon/0231.json").await.json();
    assert_eq!(twin["judgement"]["stamp"]["word"], "accept");
    let stale = script(&bench, "stamp", &[("version", "1")]).await;
    assert_eq!(stale.status, StatusCode::CONFLICT);
}

#[tokio::test]
async fn nobody_stamps_without_a_name() {
    let bench = bench();
    let refused = post(&bench, "stamp", "application/json", "", &[("version", "1")]).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.text.contains("Enter your name first"), "{}", refused.text);
}

#[tokio::test]
async fn a_script_is_asked_why_and_its_answer_is_kept() {
    let bench = stamped().await;
    let asked = script(&bench, "change", &[("version", "2"), FIT]).await;
    assert_eq!(asked.status, StatusCode::UNPROCESSABLE_ENTITY);
    let asked = asked.json();
    assert_eq!((&asked["error"]["code"], &asked["version"]), (&"why".into(), &2.into()));
    assert!(asked["fragments"]["op-10"].is_string(), "the sheet as it stands comes with the question");
    let kept = script(&bench, "change", &[("version", "2"), FIT, ("why", "the gauge was misread")]).await;
    assert_eq!((kept.status, &kept.json()["version"]), (StatusCode::OK, &3.into()));
    assert!(kept.text.contains("amended since 2031-04-14: the gauge was misread"), "{}", kept.text);
    // What nobody asks a reason for goes on as it is.
    let free = script(&bench, "change", &[("version", "3"), ("visual.undercut", "1/64 in")]).await;
    assert_eq!(free.status, StatusCode::OK, "{}", free.text);
}

#[tokio::test]
async fn a_plain_form_is_asked_why_on_a_page_that_holds_what_was_typed() {
    let bench = stamped().await;
    let page = plain(&bench, "change", &[("version", "2"), FIT]).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    for part in [
        "This coupon is judged. Why does it change?",
        "action=\"/coupon/0231/change\"",
        "name=\"version\" value=\"2\"",
        "name=\"fit.root_opening\" value=\"3/32 in\"",
        "name=\"why\"",
    ] {
        assert!(page.text.contains(part), "{part}: {}", page.text);
    }
    let kept = plain(&bench, "change", &[("version", "2"), FIT, ("why", "misread")]).await;
    assert_eq!(kept.status, StatusCode::SEE_OTHER);
    let stale = plain(&bench, "change", &[("version", "2"), FIT, ("why", "misread"), ("token", "b")]).await;
    assert_eq!(stale.status, StatusCode::CONFLICT, "a reason is no way past what somebody else changed");
}

#[tokio::test]
async fn the_reason_box_is_empty_and_the_last_reason_is_offered() {
    let bench = stamped().await;
    plain(&bench, "change", &[("version", "2"), FIT, ("why", "the <gauge> was misread")]).await;
    let again = [("version", "3"), ("fit.root_opening", "1/8 in")];
    let page = plain(&bench, "change", &again).await.text;
    let (_, after) = page.split_once("id=\"why\"").unwrap();
    let the_box = after.split_once('>').unwrap().0;
    assert!(!the_box.contains("value=") && the_box.contains("list=\"why-before\""), "{the_box}");
    assert!(page.contains("<option value=\"the &lt;gauge&gt; was misread\">"), "{page}");
    let asked = script(&bench, "change", &again).await.json();
    assert_eq!(asked["error"]["latest"], "the <gauge> was misread");
}

#[tokio::test]
async fn the_whole_history_stands_on_a_page_of_its_own() {
    let bench = stamped().await;
    assert!(get(&bench, SHEET).await.text.contains("href=\"/coupon/0231/history\""));
    let page = get(&bench, "/coupon/0231/history").await.text;
    assert!(page.contains("Marta Quill") && page.contains("href=\"/coupon/0231\">Coupon 0231<"), "{page}");
    let twin = get(&bench, "/coupon/0231/history.json").await.json();
    assert_eq!((&twin["found"], &twin["page"]), (&2.into(), &1.into()));
    assert_eq!(get(&bench, "/coupon/9999/history").await.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn a_row_and_taking_back_are_asked_why_too() {
    let bench = stamped().await;
    let page = plain(&bench, "row", &[("version", "2"), ("row", "pass:remove:1")]).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.text.contains("type=\"hidden\" name=\"row\" value=\"pass:remove:1\""), "{}", page.text);
    let undo = plain(&bench, "undo", &[("version", "2")]).await;
    assert!(undo.text.contains("action=\"/coupon/0231/undo\""), "{}", undo.text);
    assert_eq!(script(&bench, "undo", &[("version", "2")]).await.json()["error"]["code"], "why");
    let kept = plain(&bench, "undo", &[("version", "2"), ("why", "wrong coupon")]).await;
    assert_eq!(kept.status, StatusCode::SEE_OTHER);
    let window = plain(&bench, "window/set", &[("version", "3"), FIT]).await;
    assert!(window.text.contains("action=\"/coupon/0231/window/set\""), "{}", window.text);
}

#[tokio::test]
async fn what_changes_around_a_row_is_kept_and_the_row_alone_is_asked_again() {
    let bench = stamped().await;
    let both = [("version", "2"), ("visual.undercut", "1/64 in"), ("row", "pass:remove:1")];
    let page = plain(&bench, "change", &both).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.text.contains("name=\"version\" value=\"3\""), "{}", page.text);
    assert!(!page.text.contains("name=\"visual.undercut\""), "{}", page.text);
}

#[tokio::test]
async fn the_lists_say_what_was_amended() {
    let bench = bench();
    assert!(get(&bench, "/").await.text.contains("amended since 2031-04-14: the wire was misread"));
    let records = get(&bench, "/coupon/0231/records").await.text;
    assert!(records.contains("coupon amended since this revision"), "{records}");
    assert!(records.contains("&lt;the wire&gt;"), "{records}");
    let twin = get(&bench, "/coupon/0231/records.json").await.json();
    assert!(twin["issued"][1]["amended"].as_str().unwrap().starts_with("amended since"));
    assert!(twin["issued"][0]["amended"].is_null());
}
