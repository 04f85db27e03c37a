//! The records of one coupon: issue one under a code, issue it again with a
//! reason, and take every issue away as it was.

use axum::Json;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};
use serde_json::json;

use crate::answer::Problem;
use crate::app::Bench;
use crate::coupon::attachment;
use crate::desk::{Entered, Finding, IssueAsk, IssuedRow, RecordFile, RecordsView};
use crate::form::Pairs;
use crate::guard::accepts_json;
use crate::layout::{Here, page};
use crate::text::{Key, fill, t};
use crate::visitor::Visitor;

const KIND: &str = "kind";
const CODE: &str = "code";
const WHY: &str = "why";
const TOKEN: &str = "token";

fn address(number: &str) -> String {
    format!("/coupon/{number}/records")
}

/// The way from the sheet to this page.
pub(crate) fn way(number: &str) -> Markup {
    html! { p.no-print { a.plain href=(address(number)) { (t(Key::RecordsOpen)) } } }
}

/// `GET /coupon/NUMBER/records`.
pub(crate) async fn show(
    State(bench): State<Bench>,
    visitor: Visitor,
    Path(number): Path<String>,
) -> Result<Markup, Problem> {
    let view = bench.desk.records(&number).await?;
    Ok(whole(&bench, &visitor, &view, None, &[]))
}

/// `GET /coupon/NUMBER/records.json`.
pub(crate) async fn twin(
    State(bench): State<Bench>,
    Path(number): Path<String>,
) -> Result<Json<RecordsView>, Problem> {
    Ok(Json(bench.desk.records(&number).await?))
}

/// `POST /coupon/NUMBER/records`: issue a record, or its next issue.
pub(crate) async fn issue(
    State(bench): State<Bench>,
    visitor: Visitor,
    headers: HeaderMap,
    Path(number): Path<String>,
    pairs: Pairs,
) -> Result<Response, Problem> {
    let text = |name| pairs.get(name).unwrap_or_default();
    let who = visitor.name();
    if visitor.who.is_none() {
        let nobody = Finding { path: None, message: t(Key::RecordsNobody).to_owned() };
        return answered(&bench, &visitor, &headers, &number, &pairs, Entered::Refused(vec![nobody])).await;
    }
    let ask = IssueAsk {
        number: &number,
        kind: text(KIND),
        code: text(CODE),
        why: text(WHY),
        who,
        token: text(TOKEN),
    };
    let entered = bench.desk.issue(ask).await?;
    answered(&bench, &visitor, &headers, &number, &pairs, entered).await
}

async fn answered(
    bench: &Bench,
    visitor: &Visitor,
    headers: &HeaderMap,
    number: &str,
    pairs: &Pairs,
    entered: Entered<String>,
) -> Result<Response, Problem> {
    match entered {
        Entered::Kept(id) if accepts_json(headers) => {
            Ok((StatusCode::CREATED, Json(json!({ "id": id }))).into_response())
        }
        Entered::Kept(_) => Ok(Redirect::to(&address(number)).into_response()),
        Entered::Refused(findings) if accepts_json(headers) => Err(Problem::refused(findings)),
        Entered::Refused(findings) => {
            let view = bench.desk.records(number).await?;
            let page = whole(bench, visitor, &view, Some(pairs), &findings);
            Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
        }
    }
}

/// `GET /record/ID/REVISION/KIND`.
pub(crate) async fn file(
    State(bench): State<Bench>,
    Path((id, revision, kind)): Path<(String, u32, String)>,
) -> Result<Response, Problem> {
    let kind = RecordFile::from_slug(&kind).ok_or_else(Problem::absent)?;
    Ok(attachment(bench.desk.record_file(&id, revision, kind).await?))
}

fn whole(
    bench: &Bench,
    visitor: &Visitor,
    view: &RecordsView,
    typed: Option<&Pairs>,
    findings: &[Finding],
) -> Markup {
    let number = &view.number;
    let title = fill(Key::RecordsTitle, &[("n", number)]);
    let body = html! {
        div.pad {
            p.back { a href={ "/coupon/" (number) } { (fill(Key::SectionBack, &[("n", number)])) } }
            header.list-head { h1 { (title) } p.soft { (t(Key::RecordsLead)) } }
            (form(bench, view, typed, findings))
            h2 { (t(Key::RecordsIssued)) }
            @if view.issued.is_empty() { p.soft { (t(Key::RecordsNone)) } } @else { (table(&view.issued)) }
        }
    };
    page(visitor, &title, Some(&format!("{}.json", address(number))), Here::Coupons, &body)
}

fn form(bench: &Bench, view: &RecordsView, typed: Option<&Pairs>, findings: &[Finding]) -> Markup {
    let text = |name: &str| typed.and_then(|pairs| pairs.get(name)).unwrap_or_default();
    html! {
        form.slip.enter method="post" action=(address(&view.number)) {
            h2 { (t(Key::RecordsIssue)) }
            @if !findings.is_empty() {
                ul.findings role="alert" { @for finding in findings { li { (finding.message) } } }
            }
            input type="hidden" name=(TOKEN) value=(bench.form_token());
            div.field-grid {
                (select(KIND, Key::RecordsKind, &view.kinds, text(KIND)))
                (select(CODE, Key::RecordsCode, &view.codes, text(CODE)))
                div.whole { div.field {
                    label for="issue-why" { (t(Key::RecordsWhy)) }
                    span.entry {
                        input #issue-why name=(WHY) value=(text(WHY)) autocomplete="off" aria-describedby="issue-why-hint";
                    }
                    p.hint #issue-why-hint { (t(Key::RecordsWhyHint)) }
                } }
            }
            button.button type="submit" { (t(Key::RecordsButton)) }
        }
    }
}

fn select(name: &str, label: Key, options: &[(String, String)], text: &str) -> Markup {
    let id = format!("issue-{name}");
    html! {
        div.field {
            label for=(id) { (t(label)) }
            span.entry { select id=(id) name=(name) {
                @for (word, title) in options { option value=(word) selected[word == text] { (title) } }
            } }
        }
    }
}

fn table(rows: &[IssuedRow]) -> Markup {
    let heads = [
        Key::ColRecord,
        Key::ColIssue,
        Key::ColCode,
        Key::ColState,
        Key::ColWhen,
        Key::ColWhy,
        Key::ColFiles,
    ];
    html! {
        table.list.issued role="table" aria-label=(t(Key::RecordsIssued)) {
            (crate::pages::list_heads(&heads))
            tbody role="rowgroup" { @for row in rows { (line(row)) } }
        }
    }
}

fn line(row: &IssuedRow) -> Markup {
    let name = format!("{} {}", row.title, row.revision);
    html! {
        tr role="row" {
            td.list-title role="cell" { (row.title) }
            td role="cell" data-label=(t(Key::ColIssue)) {
                (row.revision)
                @if row.is_replaced { " " span.soft { (t(Key::RecordsReplaced)) } }
            }
            td role="cell" data-label=(t(Key::ColCode)) { (row.code) }
            td role="cell" data-label=(t(Key::ColState)) { (row.state) }
            td role="cell" data-label=(t(Key::ColWhen)) { (row.at) " · " (row.who) }
            td role="cell" data-label=(t(Key::ColWhy)) { (row.why) span.soft.hash { (row.hash) } }
            td role="cell" data-label=(t(Key::ColFiles)) {
                span.files {
                    @for kind in RecordFile::ALL {
                        a.plain href={ "/record/" (row.id) "/" (row.revision) "/" (kind.slug()) } download
                            aria-label={ (name) " " (words(kind)) } { (words(kind)) }
                    }
                }
            }
        }
    }
}

fn words(kind: RecordFile) -> &'static str {
    t(match kind {
        RecordFile::Pdf => Key::RecordPdf,
        RecordFile::Xlsx => Key::RecordXlsx,
        RecordFile::Json => Key::RecordJson,
    })
}
