//! A welder along the days, and the question whether a joint is covered.

use crate::client::{Answered, bench, get};
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
