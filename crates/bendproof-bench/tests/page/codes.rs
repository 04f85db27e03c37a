//! The page that sets a coupon across the codes, and the finder of the smallest test.

use std::sync::Arc;

use crate::support::FakeDesk;
use axum::body::{Body, to_bytes};
use axum::http::{Request, StatusCode, header};
use bendproof_bench::{Settings, router};
use serde_json::Value;
use tower::ServiceExt;

async fn get(path: &str) -> (StatusCode, String) {
    let bench = router(Arc::new(FakeDesk::new()), Settings { run: "test".into(), ..Settings::default() });
    let request = Request::get(path).header(header::HOST, "127.0.0.1:4187").body(Body::empty()).unwrap();
    let (parts, body) = bench.oneshot(request).await.unwrap().into_parts();
    let bytes = to_bytes(body, 8 << 20).await.unwrap();
    (parts.status, String::from_utf8(bytes.to_vec()).unwrap())
}

#[tokio::test]
async fn a_code_that_differs_says_so_in_words_and_markup_is_escaped() {
    let (status, page) = get("/coupon/0231/codes").await;
    assert_eq!(status, StatusCode::OK);
    assert!(page.contains("<strong class=\"differs\">different:</strong> F, V"));
    assert!(page.contains("a &lt;reason&gt;") && page.contains("code-a &lt;invented&gt;"));
    assert!(page.contains("href=\"/rule/x-position\"") && page.contains("no qualification"));
    // The page has a twin, and the sheet has a way to it.
    assert!(page.contains("/coupon/0231/codes.json"));
    assert!(get("/coupon/0231/codes.json").await.1.contains("side_by_side"));
    assert!(get("/coupon/0231").await.1.contains("href=\"/coupon/0231/codes\""));
}

#[tokio::test]
async fn a_coupon_that_is_not_there_is_not_found() {
    assert_eq!(get("/coupon/9999/codes").await.0, StatusCode::NOT_FOUND);
    assert_eq!(get("/coupon/9999/codes.json").await.0, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn the_finder_refuses_beside_the_box_and_finds_without_a_script() {
    let (status, blank) = get("/finder").await;
    assert_eq!(status, StatusCode::OK);
    assert!(blank.contains("aria-current=\"page\"") && !blank.contains("field-error"));
    let refused = get("/finder?joints=2&joint.1.kind=fillet&do=find").await.1;
    assert!(refused.contains("id=\"v-joint-2-kind-error\"") && !refused.contains("v-joint-1-kind-error"));
    assert!(!refused.contains("id=\"found\""));
    let found = get("/finder?joints=1&joint.1.kind=fillet&do=find").await.1;
    for shown in
        ["3G plate", "qualifies for joint 1", "the edition is not seen", "closest is 4G plate", "cut short"]
    {
        assert!(found.contains(shown), "{shown}");
    }
    assert!(found.contains("no pipe &lt;of this size&gt;"));
    assert!(found.contains("/finder.json?joints=1&amp;joint.1.kind=fillet"));
    let more = get("/finder?joints=1&joint.1.thickness=3%2F8+in&do=more").await.1;
    assert!(more.contains("name=\"joint.2.kind\"") && more.contains("value=\"3/8 in\""));
}

#[tokio::test]
async fn the_finder_has_a_twin() {
    let twin: Value =
        serde_json::from_str(&get("/finder.json?joints=2&joint.1.kind=fillet").await.1).unwrap();
    assert_eq!(twin["findings"][0]["path"], "joint.2.kind");
}
