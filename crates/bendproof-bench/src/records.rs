//! The records of one coupon or procedure: issue one under a code, issue it
//! again with a reason, and take every issue away as it was.

use axum::extract::{Extension, Path, State};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::get;
use axum::{Json, Router};
use maud::{Markup, html};
use serde_json::json;

use crate::answer::Problem;
use crate::app::Bench;
use crate::coupon::attachment;
use crate::desk::{Entered, Finding, IssueAsk, IssuedRow, Paper, RecordFile, RecordOf, RecordsView};
use crate::form::Pairs;
use crate::guard::accepts_json;
use crate::layout::{Here, page};
use crate::text::{Key, fill, t};
use crate::visitor::Visitor;

const KIND: &str = "kind";
const CODE: &str = "code";
const WHY: &str = "why";
const TOKEN: &str = "token";

fn address(of: RecordOf, number: &str) -> String {
    format!("/{}/{number}/records", of.word())
}

/// The way from the coupon or the procedure to this page.
pub(crate) fn way(of: RecordOf, number: &str) -> Markup {
    let words = match of {
        RecordOf::Coupon => Key::RecordsOpen,
        RecordOf::Procedure => Key::RecordsOpenProcedure,
    };
    html! { p.no-print { a.plain href=(address(of, number)) { (t(words)) } } }
}

/// The same page for everything that has records.
pub(crate) fn routes(of: RecordOf) -> Router<Bench> {
    let at = address(of, "{number}");
    Router::new()
        .route(&at, get(show).post(issue))
        .route(&format!("{at}.json"), get(twin))
        .layer(Extension(of))
}

/// `GET /coupon/NUMBER/records` and `GET /procedure/NUMBER/records`.
async fn show(
    State(bench): State<Bench>,
    Extension(of): Extension<RecordOf>,
    visitor: Visitor,
    Path(number): Path<String>,
) -> Result<Markup, Problem> {
    let view = bench.desk.records(of, &number).await?;
    Ok(whole(&bench, &visitor, &view, None, &[]))
}

/// Their twins, `…/records.json`.
async fn twin(
    State(bench): State<Bench>,
    Extension(of): Extension<RecordOf>,
    Path(number): Path<String>,
) -> Result<Json<RecordsView>, Problem> {
    Ok(Json(bench.desk.records(of, &number).await?))
}

/// `POST` to the same address: issue a record, or its next issue.
async fn issue(
    State(bench): State<Bench>,
    Extension(of): Extension<RecordOf>,
    visitor: Visitor,
    headers: HeaderMap,
    Path(number): Path<String>,
    pairs: Pairs,
) -> Result<Response, Problem> {
    let text = |name| pairs.get(name).unwrap_or_default();
    let who = visitor.name();
    if visitor.who.is_none() {
        let nobody = Finding { path: None, message: t(Key::RecordsNobody).to_owned() };
        return answered(&bench, &visitor, &headers, (of, &number), &pairs, Entered::Refused(vec![nobody]))
            .await;
    }
    let ask = IssueAsk {
        of,
        number: &number,
        kind: text(KIND),
        code: text(CODE),
        why: text(WHY),
        who,
        token: text(TOKEN),
    };
    let entered = bench.desk.issue(ask).await?;
    answered(&bench, &visitor, &headers, (of, &number), &pairs, entered).await
}

async fn answered(
    bench: &Bench,
    visitor: &Visitor,
    headers: &HeaderMap,
    (of, number): (RecordOf, &str),
    pairs: &Pairs,
    entered: Entered<String>,
) -> Result<Response, Problem> {
    match entered {
        Entered::Kept(id) if accepts_json(headers) => {
            Ok((StatusCode::CREATED, Json(json!({ "id": id }))).into_response())
        }
        Entered::Kept(_) => Ok(Redirect::to(&address(of, number)).into_response()),
        Entered::Refused(findings) if accepts_json(headers) => Err(Problem::refused(findings)),
        Entered::Refused(findings) => {
            let view = bench.desk.records(of, number).await?;
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
    let (of, number) = (view.of, &view.number);
    let (title, back, here) = match of {
        RecordOf::Coupon => (Key::RecordsTitle, Key::SectionBack, Here::Coupons),
        RecordOf::Procedure => (Key::RecordsTitleProcedure, Key::ProcedureBack, Here::Procedures),
    };
    let title = fill(title, &[("n", number)]);
    let body = html! {
        div.pad {
            p.back { a href={ "/" (of.word()) "/" (number) } { (fill(back, &[("n", number)])) } }
            header.list-head { h1 { (title) } p.soft { (t(Key::RecordsLead)) } }
            (form(bench, view, typed, findings))
            h2 { (t(Key::RecordsIssued)) }
            @if view.issued.is_empty() { p.soft { (t(Key::RecordsNone)) } } @else { (table(&view.issued)) }
        }
    };
    page(visitor, &title, Some(&format!("{}.json", address(of, number))), here, &body)
}

fn form(bench: &Bench, view: &RecordsView, typed: Option<&Pairs>, findings: &[Finding]) -> Markup {
    let text = |name: &str| typed.and_then(|pairs| pairs.get(name)).unwrap_or_default();
    html! {
        form.slip.enter method="post" action=(address(view.of, &view.number)) {
            h2 { (t(Key::RecordsIssue)) }
            @if !findings.is_empty() {
                ul.findings role="alert" { @for finding in findings { li { (finding.message) } } }
            }
            @if !view.open.is_empty() {
                p { (t(Key::RecordsOpenPoints)) }
                ul.notes { @for open in &view.open { li { (open) } } }
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
            span.entry { select.long id=(id) name=(name) {
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
    if let Some(why) = &row.altered {
        return altered_line(row, why);
    }
    let name = format!("{} {}", row.title, row.revision);
    html! {
        tr role="row" {
            td.list-title role="cell" { (row.title) }
            td role="cell" data-label=(t(Key::ColIssue)) {
                (row.revision)
                @if row.is_replaced { " " span.soft { (t(Key::RecordsReplaced)) } }
                @if let Some(words) = &row.amended { p.hint { (fill(Key::RecordsAmended, &[("words", words)])) } }
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

/// An issue whose hash does not hold: nothing of it is shown, nothing taken away.
fn altered_line(row: &IssuedRow, why: &str) -> Markup {
    html! {
        tr role="row" {
            td.list-title role="cell" { (row.id) }
            td role="cell" data-label=(t(Key::ColIssue)) { (row.revision) }
            td role="cell" colspan="5" data-label=(t(Key::ColState)) {
                strong { (t(Key::RecordAltered)) } " " span.soft { (why) }
            }
        }
    }
}

fn words(kind: RecordFile) -> &'static str {
    t(match kind {
        RecordFile::Pdf(Paper::Letter) => Key::RecordPdf,
        RecordFile::Pdf(Paper::A4) => Key::RecordPdfA4,
        RecordFile::Xlsx => Key::RecordXlsx,
        RecordFile::Json => Key::RecordJson,
    })
}
