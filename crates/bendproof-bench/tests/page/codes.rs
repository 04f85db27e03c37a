//! The page that sets a coupon across the codes, and the finder of the smallest test.

use crate::client::{Answered, bench, get};
use axum::http::StatusCode;
use serde_json::Value;

#[tokio::test]
async fn a_code_that_differs_says_so_in_words_and_markup_is_escaped() {
    let Answered { status, text: page, .. } = get(&bench(), "/coupon/0231/codes").await;
    assert_eq!(status, StatusCode::OK);
    assert!(page.contains("<strong class=\"differs\">different:</strong> F, V"));
    assert!(page.contains("a &lt;reason&gt;") && page.contains("code-a &lt;invented&gt;"));
    assert!(page.contains("href=\"/rule/x-position\"") && page.contains("no qualification"));
    // The page has a twin, and the sheet has a way to it.
    assert!(page.contains("/coupon/0231/codes.json"));
    assert!(get(&bench(), "/coupon/0231/codes.json").await.text.contains("side_by_side"));
    assert!(get(&bench(), "/coupon/0231").await.text.contains("href=\"/coupon/0231/codes\""));
}

#[tokio::test]
async fn a_coupon_that_is_not_there_is_not_found() {
    assert_eq!(get(&bench(), "/coupon/9999/codes").await.status, StatusCode::NOT_FOUND);
    assert_eq!(get(&bench(), "/coupon/9999/codes.json").await.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn the_finder_refuses_next_to_the_box_and_finds_without_a_script() {
    let Answered { status, text: blank, .. } = get(&bench(), "/finder").await;
    assert_eq!(status, StatusCode::OK);
    assert!(blank.contains("aria-current=\"page\"") && !blank.contains("field-error"));
    let refused = get(&bench(), "/finder?joints=2&joint.1.kind=fillet&do=find").await.text;
    assert!(refused.contains("id=\"v-joint-2-kind-error\"") && !refused.contains("v-joint-1-kind-error"));
    assert!(!refused.contains("id=\"found\""));
    let found = get(&bench(), "/finder?joints=1&joint.1.kind=fillet&do=find").await.text;
    for shown in
        ["3G plate", "qualifies for joint 1", "the edition is not seen", "closest is 4G plate", "cut short"]
    {
        assert!(found.contains(shown), "{shown}");
    }
    assert!(found.contains("no pipe &lt;of this size&gt;"));
    assert!(found.contains("/finder.json?joints=1&amp;joint.1.kind=fillet"));
    let more = get(&bench(), "/finder?joints=1&joint.1.thickness=3%2F8+in&do=more").await.text;
    assert!(more.contains("name=\"joint.2.kind\"") && more.contains("value=\"3/8 in\""));
}

#[tokio::test]
async fn the_finder_has_a_twin() {
    let twin: Value =
        serde_json::from_str(&get(&bench(), "/finder.json?joints=2&joint.1.kind=fillet").await.text).unwrap();
    assert_eq!(twin["findings"][0]["path"], "joint.2.kind");
}
