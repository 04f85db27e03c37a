//! The procedures: the list, one procedure, its revisions, and joints held to it.

use crate::client::{Answered, bench, get, post_text as post};
use axum::http::StatusCode;

#[tokio::test]
async fn the_list_leads_to_each_procedure_and_to_a_new_one() {
    let bench = bench();
    let Answered { status, text: page, .. } = get(&bench, "/procedures").await;
    assert_eq!(status, StatusCode::OK);
    assert!(page.contains("href=\"/procedure/WP-3\"") && page.contains("aria-current=\"page\">Procedures"));
    assert!(get(&bench, "/procedures.json").await.text.contains("\"starts\""));
    let answer = post(&bench, "/procedure", "number=WP-4&start=coupon-0228").await;
    assert_eq!((answer.status, answer.location()), (StatusCode::SEE_OTHER, "/procedure/WP-4"));
    let Answered { status, text: page, .. } =
        post(&bench, "/procedure", "number=WP-3&start=coupon-0228").await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("value=\"WP-3\"") && page.contains("WP-3 is taken"));
}

#[tokio::test]
async fn a_procedure_shows_what_is_allowed_and_another_code_by_its_name() {
    let bench = bench();
    let Answered { status, text: page, .. } = get(&bench, "/procedure/WP-3").await;
    assert_eq!(status, StatusCode::OK);
    for part in [
        "17.2 to 19.8 V",
        ">4.8</a>",
        "from memory",
        "href=\"/rule/invented.bend.single\"",
        "not sure",
        "splice",
    ] {
        assert!(page.contains(part), "{part}");
    }
    assert!(page.contains("volts &lt;as asked&gt;") && !page.contains("<as asked>"));
    let other = get(&bench, "/procedure/WP-3?code=other").await.text;
    assert!(other.contains("value=\"other\" selected"));
    assert!(other.contains("aria-label=\"joint\""));
    let moon = get(&bench, "/procedure/WP-3?code=moon").await.text;
    assert!(moon.contains("has no rules") && moon.contains("Not drawn: the root face"));
    assert!(get(&bench, "/procedure/WP-3.json").await.text.contains("\"volts\":\"20 V\""));
    assert_eq!(get(&bench, "/procedure/WP-9").await.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn a_revision_needs_its_reason_and_keeps_what_was_typed() {
    let bench = bench();
    let body = "version=1&token=a&procedure.volts_max=many&was%3Aprocedure.volts_max=20+V&why=";
    let Answered { status, text: page, .. } = post(&bench, "/procedure/WP-3/change", body).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("value=\"many\" autocomplete=\"off\" aria-invalid=\"true\""), "{page}");
    assert!(page.contains("write it like 18.5 V") && page.contains("write why"));
    // What is kept stands with it, so that sending it again is still a change.
    assert!(page.contains("name=\"was:procedure.volts_max\" value=\"20 V\""));
    let body = "version=1&token=b&procedure.volts_max=21+V&was%3Aprocedure.volts_max=20+V&why=new+machine";
    let answer = post(&bench, "/procedure/WP-3/change", body).await;
    assert_eq!((answer.status, answer.location()), (StatusCode::SEE_OTHER, "/procedure/WP-3"));
    let page = get(&bench, "/procedure/WP-3").await.text;
    assert!(page.contains("volts 21 V · new machine") && page.contains("version 2"));
}

#[tokio::test]
async fn somebody_elses_revision_is_shown_and_nothing_typed_is_lost() {
    let bench = bench();
    let body = "version=1&token=b&procedure.volts_max=21+V&was%3Aprocedure.volts_max=20+V&why=new+machine";
    post(&bench, "/procedure/WP-3/change", body).await;
    let body = "version=1&token=c&procedure.volts_max=22+V&was%3Aprocedure.volts_max=20+V&why=my+reason";
    let Answered { status, text: page, .. } = post(&bench, "/procedure/WP-3/change", body).await;
    assert_eq!(status, StatusCode::CONFLICT);
    assert!(page.contains("Someone else changed this WPS") && page.contains("volts 21 V · new machine"));
    assert!(page.contains("value=\"22 V\"") && page.contains("value=\"my reason\""));
    assert!(page.contains("name=\"version\" value=\"2\""));
    let nothing = "version=2&token=d&procedure.volts_max=21+V&was%3Aprocedure.volts_max=21+V&why=";
    assert_eq!(post(&bench, "/procedure/WP-3/change", nothing).await.status, StatusCode::SEE_OTHER);
    assert_eq!(
        post(&bench, "/procedure/WP-3/change", "token=e").await.status,
        StatusCode::UNPROCESSABLE_ENTITY
    );
    assert_eq!(post(&bench, "/procedure/WP-3/undo", "version=2").await.location(), "/procedure/WP-3");
}

#[tokio::test]
async fn a_joint_is_asked_and_files_are_taken_away() {
    let bench = bench();
    let form = get(&bench, "/procedure/WP-3/ask").await.text;
    assert!(!form.contains("id=\"answer\"") && form.contains("action=\"/procedure/WP-3/ask\""));
    let page = get(&bench, "/procedure/WP-3/ask?do=ask&joint.1.gas=CO2&code=other").await.text;
    assert!(page.contains("splice: not sure") && page.contains("value=\"CO2\""));
    assert!(page.contains("<details class=\"lines\" open"), "a seldom box with a text is shown");
    assert!(get(&bench, "/procedure/WP-3/ask.json").await.text.contains("not_sure"));
    let wrong = get(&bench, "/procedure/WP-3/ask?do=ask&joint.1.thickness=thick").await.text;
    assert!(wrong.contains("thickness is `thick`") && !wrong.contains("id=\"answer\""));
    assert_eq!(get(&bench, "/procedure/WP-3/file/record").await.status, StatusCode::OK);
    assert_eq!(get(&bench, "/procedure/WP-3/file/moon").await.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn a_joint_has_its_own_boxes_one_more_can_be_added_and_one_taken_out() {
    let bench = bench();
    let page = get(&bench, "/procedure/WP-3").await.text;
    assert!(page.contains("Joint: splice") && page.contains("Add a joint"));
    assert!(page.contains("name=\"procedure.joint.2.name\"") && page.contains("value=\"procedure.joint.1\""));
    // The button that takes a joint out carries it alone, and needs the reason too.
    let dropped = "version=1&token=a&procedure.joint.1.name=splice&was%3Aprocedure.joint.1.name=splice\
                   &procedure.joint.1.gas=&was%3Aprocedure.joint.1.gas=&drop=procedure.joint.1&why=";
    let Answered { status, text: page, .. } = post(&bench, "/procedure/WP-3/change", dropped).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("write why"), "{page}");
    let dropped = "version=1&token=b&procedure.joint.1.name=splice&was%3Aprocedure.joint.1.name=splice\
                   &drop=procedure.joint.1&why=not+built";
    assert_eq!(post(&bench, "/procedure/WP-3/change", dropped).await.status, StatusCode::SEE_OTHER);
    let page = get(&bench, "/procedure/WP-3").await.text;
    assert!(page.contains("not built"), "{page}");
}
