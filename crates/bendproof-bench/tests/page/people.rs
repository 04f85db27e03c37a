//! A welder along the days, and the question whether a joint is covered.

use crate::client::{Answered, bench, get, post, post_json};
use crate::routes::check_markup;
use axum::http::StatusCode;
use serde_json::Value;

#[tokio::test]
async fn a_welder_has_a_time_line_in_words_and_what_a_lapse_costs() {
    let Answered { status, text: page, .. } = get(&bench(), "/welder/tomas").await;
    assert_eq!(status, StatusCode::OK);
    for part in [
        "<title>lanes</title>",
        "held 2031-01-05 to 2031-07-05",
        "once it has lapsed",
        "href=\"/rule/invented.bend.single\"",
        "valid through 2031-07-05",
        "href=\"/welder/tomas/ask\"",
        "type=\"date\" value=\"2031-04-14\"",
    ] {
        assert!(page.contains(part), "{part}");
    }
    assert!(!page.contains("As known on"), "today needs no such words");
}

#[tokio::test]
async fn another_day_is_shown_and_one_that_cannot_be_read_stays_in_its_box() {
    let past = get(&bench(), "/welder/tomas?on=2030-05-01").await.text;
    assert!(
        past.contains("Status as of 2030-05-01")
            && past.contains("No qualification was in effect on that date.")
    );
    assert!(past.contains("href=\"/welder/tomas.json?on=2030-05-01\""));
    let twin: Value =
        serde_json::from_str(&get(&bench(), "/welder/tomas.json?on=2030-05-01").await.text).unwrap();
    assert_eq!((&twin["days"]["on"], &twin["days"]["held"]), (&"2030-05-01".into(), &Value::Array(vec![])));
    let Answered { status, text: wrong, .. } = get(&bench(), "/welder/tomas?on=soon").await;
    assert_eq!(status, StatusCode::OK);
    assert!(wrong.contains("value=\"soon\" aria-invalid=\"true\""), "{wrong}");
    assert!(wrong.contains("is not in the calendar"));
}

#[tokio::test]
async fn a_joint_is_asked_by_a_plain_form_and_answered_on_top() {
    let Answered { status, text: form, .. } = get(&bench(), "/welder/tomas/ask").await;
    assert_eq!(status, StatusCode::OK);
    assert!(form.contains("method=\"get\" action=\"/welder/tomas/ask\"") && !form.contains("id=\"answer\""));
    let page =
        get(&bench(), "/welder/tomas/ask?do=ask&ask.1.joint=plate_groove&ask.1.backing=open").await.text;
    let (answer, boxes) =
        (page.find("id=\"answer\"").unwrap(), page.find("<form class=\"slip enter\"").unwrap());
    assert!(answer < boxes);
    assert!(page.contains("</span> covered</h2>") && page.contains("plate groove &lt;V&gt;"), "{page}");
    assert!(page.contains("value=\"plate_groove\" selected"));
    assert!(page.contains("One more coupon"));
    let twin = "/welder/tomas/ask.json?do=ask&amp;ask.1.joint=plate_groove&amp;ask.1.backing=open";
    assert!(page.contains(twin));
}

#[tokio::test]
async fn not_sure_is_never_shown_as_a_yes() {
    let page = get(&bench(), "/welder/tomas/ask?do=ask&ask.1.joint=fillet").await.text;
    let answer = &page[page.find("id=\"answer\"").unwrap()..page.find("<form class=\"slip enter\"").unwrap()];
    assert!(answer.contains("not sure") && answer.contains("vbar not-known"), "{answer}");
    assert!(!answer.contains("vbar holds"));
    let twin: Value = serde_json::from_str(&get(&bench(), "/welder/tomas/ask.json").await.text).unwrap();
    assert_eq!(twin["answer"], "not sure");
}

#[tokio::test]
async fn a_refused_box_keeps_its_text() {
    let page = get(&bench(), "/welder/tomas/ask?do=ask&ask.1.thickness=thick").await.text;
    assert!(page.contains("value=\"thick\"") && page.contains("write it like 3/8 in"));
    assert!(page.contains("Not answered yet") && !page.contains("id=\"answer\""));
    assert_eq!(get(&bench(), "/welder/nobody/ask").await.status, StatusCode::NOT_FOUND);
    assert_eq!(get(&bench(), "/welder/nobody/ask.json").await.status, StatusCode::NOT_FOUND);
}

/// What one test bought does not stand for all: a stick qualification in the shade
/// of a short-arc one is the one the job may need.
#[tokio::test]
async fn every_qualification_of_a_welder_is_printed_with_a_record_of_its_own() {
    let bench = bench();
    for at in ["/welders", "/welder/odile"] {
        let page = get(&bench, at).await.text;
        for words in ["GMAW short-circuit, F H V, to 3/4 in · 14 October 2031", "SMAW, F, to any thickness"]
        {
            assert!(page.contains(words), "{at}: {words}");
        }
    }
    let own = get(&bench, "/welder/odile").await.text;
    assert!(own.contains("href=\"/welder/odile/record?coupon=0231\""), "{own}");
    let list = get(&bench, "/welders").await.text;
    assert!(list.contains("no accepted coupon yet"));
    // What a coupon bought nothing for is said, why on the welder's own page, and
    // no record of it is offered.
    assert!(list.contains("no qualification under AWS D1.1:2020") && !list.contains("no figure for it"));
    assert!(own.contains("coupon 0232: no figure for it") && !own.contains("record?coupon=0232"));
}

#[tokio::test]
async fn a_welder_is_entered_by_a_plain_form() {
    let bench = bench();
    let page = get(&bench, "/welders").await.text;
    assert!(page.contains("<form class=\"slip enter\" method=\"post\" action=\"/welder\">"));
    let added = post(&bench, "/welder", &[("name", "Ada Finch"), ("stamp", "AF")]).await;
    assert_eq!((added.status, added.header("location")), (StatusCode::SEE_OTHER, "/welders"));
    assert!(get(&bench, "/welders").await.text.contains("href=\"/welder/w4\">Ada Finch</a>"));
    let own = get(&bench, "/welder/w4").await.text;
    assert!(own.contains("stamp AF") && own.contains("No process use logged yet."));
    assert!(!own.contains("/record"), "a record needs an accepted coupon");
    // The sheet of a coupon offers the name, and its box says where from.
    let sheet = get(&bench, "/coupon/0231").await.text;
    assert!(sheet.contains("<option value=\"Ada Finch\"></option>"));
    assert_eq!(sheet.matches(" list=\"welder-names\"").count(), 1);
    let twin = post_json(&bench, "/welder", &[("name", "Ben Okri")]).await;
    assert_eq!(twin.status, StatusCode::CREATED);
    assert_eq!(twin.json()["address"], "/welder/w5");
}

#[tokio::test]
async fn a_welder_refused_keeps_what_was_typed_next_to_what_is_wrong() {
    let bench = bench();
    let wrong = [("name", "ODILE marchetti"), ("stamp", "far too long")];
    let page = post(&bench, "/welder", &wrong).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    check_markup("refused welder", &page.text);
    for part in [
        "value=\"ODILE marchetti\"",
        "value=\"far too long\"",
        "ODILE marchetti is on the list already",
        "aria-describedby=\"enter-name-error\"",
        "aria-describedby=\"enter-stamp-hint enter-stamp-error\"",
    ] {
        assert!(page.text.contains(part), "{part}");
    }
    assert_eq!(page.text.matches("aria-invalid=\"true\"").count(), 2);
    let error = post_json(&bench, "/welder", &wrong).await.json();
    assert_eq!(error["error"]["findings"][0]["path"], "name");
    assert_eq!(post(&bench, "/welder", &[]).await.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(get(&bench, "/welders.json").await.json().as_array().unwrap().len(), 3);
}
