//! The page of a coupon's records: issue, refuse, issue again, take away.

use crate::client::{Answered, ask, bench, form, get};
use axum::body::Body;
use axum::http::{StatusCode, header};

const RECORDS: &str = "/coupon/0231/records";

async fn posted(path: &str, cookie: &str, text: &str) -> Answered {
    let request = form(path).header(header::COOKIE, cookie);
    ask(&bench(), request.body(Body::from(text.to_owned())).unwrap()).await
}

async fn post(text: &str) -> Answered {
    posted(RECORDS, "bench_who=Odile", text).await
}

#[tokio::test]
async fn every_issue_is_listed_with_its_files() {
    let Answered { status, text: page, .. } = get(&bench(), "/coupon/0231/records").await;
    assert_eq!(status, StatusCode::OK);
    assert!(
        page.contains("would not be complete yet") && page.contains("not stated: &lt;code&gt;"),
        "{page}"
    );
    for shown in ["mark corrected", "superseded", "0123456789abcdef", "/record/welder-2031-invented/1/pdf"] {
        assert!(page.contains(shown), "{shown}");
    }
    assert!(page.contains("/coupon/0231/records.json"));
    assert!(get(&bench(), "/coupon/0231/records.json").await.text.contains("\"is_replaced\":true"));
    assert!(get(&bench(), "/coupon/0231").await.text.contains("href=\"/coupon/0231/records\""));
    assert_eq!(get(&bench(), "/coupon/9999/records").await.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn a_record_is_issued_or_refused_with_what_was_typed_still_there() {
    let answer = post("kind=bends&code=invented-2029&why=&token=t1").await;
    assert_eq!((answer.status, answer.location()), (StatusCode::SEE_OTHER, "/coupon/0231/records"));
    let Answered { status, text: page, .. } = post("kind=welder&code=invented-2029&why=&token=t2").await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("needs the reason") && page.contains("value=\"invented-2029\" selected"));
    let status = post("kind=welder&code=invented-2029&why=mark&token=t3").await.status;
    assert_eq!(status, StatusCode::SEE_OTHER);
}

#[tokio::test]
async fn a_procedure_has_its_records_on_a_page_of_its_own() {
    let at = "/procedure/WP-3/records";
    let Answered { status, text: page, .. } = get(&bench(), at).await;
    assert_eq!(status, StatusCode::OK);
    for shown in ["Records for WPS WP-3", "href=\"/procedure/WP-3\"", "mark corrected"] {
        assert!(page.contains(shown), "{shown}");
    }
    assert!(get(&bench(), &format!("{at}.json")).await.text.contains("\"of\":\"procedure\""));
    assert!(get(&bench(), "/procedure/WP-3").await.text.contains("href=\"/procedure/WP-3/records\""));
    assert_eq!(get(&bench(), "/procedure/0231/records").await.status, StatusCode::NOT_FOUND);
    let form = "kind=bends&code=invented-2029&why=&token=t1";
    let answer = posted(at, "bench_who=Odile", form).await;
    assert_eq!((answer.status, answer.location()), (StatusCode::SEE_OTHER, at));
    let Answered { status, text: page, .. } =
        posted(at, "bench_who=Odile", "kind=welder&code=invented-2029&why=&token=t2").await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("needs the reason") && page.contains("action=\"/procedure/WP-3/records\""));
}

#[tokio::test]
async fn nobody_issues_nothing() {
    let Answered { status, text: page, .. } =
        posted(RECORDS, "bench_look=auto", "kind=bends&code=invented-2029&why=&token=t1").await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("A record shows who issues it"));
}

#[tokio::test]
async fn an_issue_comes_as_a_file_and_what_is_not_there_is_not_found() {
    let file = get(&bench(), "/record/welder-2031-invented/2/xlsx").await;
    assert_eq!(file.status, StatusCode::OK);
    assert!(file.header("content-disposition").contains("welder-2031-invented-issue-2.xlsx"));
    let file = get(&bench(), "/record/welder-2031-invented/2/pdf-a4").await;
    assert!(file.header("content-disposition").contains("welder-2031-invented-issue-2-a4.pdf"));
    assert!(get(&bench(), "/coupon/0231/records").await.text.contains("PDF, A4"));
    for path in ["welder-2031-invented/3/pdf", "no-such/1/pdf", "welder-2031-invented/1/doc"] {
        assert_eq!(get(&bench(), &format!("/record/{path}")).await.status, StatusCode::NOT_FOUND, "{path}");
    }
}
