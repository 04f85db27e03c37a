//! The page of a coupon's records: issue, refuse, issue again, take away.

use std::sync::Arc;

use crate::support::FakeDesk;
use axum::body::{Body, to_bytes};
use axum::http::{Request, StatusCode, header};
use bendproof_bench::{Settings, router};
use tower::ServiceExt;

async fn ask(request: Request<Body>) -> (StatusCode, Option<String>, String) {
    let bench = router(Arc::new(FakeDesk::new()), Settings { run: "test".into(), ..Settings::default() });
    let (parts, body) = bench.oneshot(request).await.unwrap().into_parts();
    let header = |name| parts.headers.get(name).map(|v| v.to_str().unwrap().to_owned());
    let to = header(header::LOCATION).or_else(|| header(header::CONTENT_DISPOSITION));
    let bytes = to_bytes(body, 8 << 20).await.unwrap();
    (parts.status, to, String::from_utf8_lossy(&bytes).into_owned())
}

async fn get(path: &str) -> (StatusCode, Option<String>, String) {
    ask(Request::get(path).header(header::HOST, "127.0.0.1:4187").body(Body::empty()).unwrap()).await
}

async fn post(form: &str) -> (StatusCode, Option<String>, String) {
    posted_by("bench_who=Odile", form).await
}

async fn posted_by(cookie: &str, form: &str) -> (StatusCode, Option<String>, String) {
    posted_to("/coupon/0231/records", cookie, form).await
}

async fn posted_to(path: &str, cookie: &str, form: &str) -> (StatusCode, Option<String>, String) {
    let request = Request::post(path)
        .header(header::HOST, "127.0.0.1:4187")
        .header(header::COOKIE, cookie)
        .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
        .body(Body::from(form.to_owned()))
        .unwrap();
    ask(request).await
}

#[tokio::test]
async fn every_issue_is_listed_with_its_files() {
    let (status, _, page) = get("/coupon/0231/records").await;
    assert_eq!(status, StatusCode::OK);
    for shown in ["mark corrected", "superseded", "0123456789abcdef", "/record/welder-2031-invented/1/pdf"] {
        assert!(page.contains(shown), "{shown}");
    }
    assert!(page.contains("/coupon/0231/records.json"));
    assert!(get("/coupon/0231/records.json").await.2.contains("\"is_replaced\":true"));
    assert!(get("/coupon/0231").await.2.contains("href=\"/coupon/0231/records\""));
    assert_eq!(get("/coupon/9999/records").await.0, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn a_record_is_issued_or_refused_with_what_was_typed_still_there() {
    let (status, to, _) = post("kind=bends&code=invented-2029&why=&token=t1").await;
    assert_eq!((status, to.as_deref()), (StatusCode::SEE_OTHER, Some("/coupon/0231/records")));
    let (status, _, page) = post("kind=welder&code=invented-2029&why=&token=t2").await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("needs the reason") && page.contains("value=\"invented-2029\" selected"));
    let (status, _, _) = post("kind=welder&code=invented-2029&why=mark&token=t3").await;
    assert_eq!(status, StatusCode::SEE_OTHER);
}

#[tokio::test]
async fn a_procedure_has_its_records_on_a_page_of_its_own() {
    let at = "/procedure/WP-3/records";
    let (status, _, page) = get(at).await;
    assert_eq!(status, StatusCode::OK);
    for shown in ["Records for WPS WP-3", "href=\"/procedure/WP-3\"", "mark corrected"] {
        assert!(page.contains(shown), "{shown}");
    }
    assert!(get(&format!("{at}.json")).await.2.contains("\"of\":\"procedure\""));
    assert!(get("/procedure/WP-3").await.2.contains("href=\"/procedure/WP-3/records\""));
    assert_eq!(get("/procedure/0231/records").await.0, StatusCode::NOT_FOUND);
    let form = "kind=bends&code=invented-2029&why=&token=t1";
    let (status, to, _) = posted_to(at, "bench_who=Odile", form).await;
    assert_eq!((status, to.as_deref()), (StatusCode::SEE_OTHER, Some(at)));
    let (status, _, page) =
        posted_to(at, "bench_who=Odile", "kind=welder&code=invented-2029&why=&token=t2").await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("needs the reason") && page.contains("action=\"/procedure/WP-3/records\""));
}

#[tokio::test]
async fn nobody_issues_nothing() {
    let (status, _, page) = posted_by("bench_look=auto", "kind=bends&code=invented-2029&why=&token=t1").await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("A record shows who issues it"));
}

#[tokio::test]
async fn an_issue_comes_as_a_file_and_what_is_not_there_is_not_found() {
    let (status, name, _) = get("/record/welder-2031-invented/2/xlsx").await;
    assert_eq!(status, StatusCode::OK);
    assert!(name.unwrap().contains("welder-2031-invented-issue-2.xlsx"));
    let (_, name, _) = get("/record/welder-2031-invented/2/pdf-a4").await;
    assert!(name.unwrap().contains("welder-2031-invented-issue-2-a4.pdf"));
    assert!(get("/coupon/0231/records").await.2.contains("PDF, A4"));
    for path in ["welder-2031-invented/3/pdf", "no-such/1/pdf", "welder-2031-invented/1/doc"] {
        assert_eq!(get(&format!("/record/{path}")).await.0, StatusCode::NOT_FOUND, "{path}");
    }
}
