//! The procedures of the shop: the list, one procedure with its fields and what
//! each code allows, its revisions, and the question whether a joint is inside.
//!
//! What may be written is the desk's to say; a refusal or somebody else's change
//! comes back on the same page, with what was typed still in its boxes.

use axum::Json;
use axum::extract::{Path, Query, State};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};
use serde_json::json;

use crate::answer::Problem;
use crate::app::Bench;
use crate::coupon::attachment;
use crate::desk::{
    Change, Entered, Finding, HistoryEntry, ListAsk, ProcedureChange, ProcedureList, ProcedureOutcome,
    ProcedureRow,
};
use crate::form::{Edit, Pairs};
use crate::guard::accepts_json;
use crate::layout::{Here, page};
use crate::pager::{Asked, address, find_box, pager};
use crate::pages::{list_head, list_heads};
use crate::parts::bar;
use crate::procedure_page::procedure_page;
use crate::text::{Key, t};
use crate::visitor::Visitor;

/// Boxes of the form for a new procedure.
const NUMBER: &str = "number";
const START: &str = "start";
const COUPON: &str = "coupon";
/// The box for the reason of a change.
pub(crate) const WHY: &str = "why";
/// The button that takes a joint out; its value is the branch of the joint.
pub(crate) const DROP: &str = "drop";

/// What was typed and not kept, and why not.
#[derive(Default)]
pub(crate) struct Unkept<'a> {
    pub changes: &'a [Change],
    pub why: &'a str,
    pub findings: &'a [Finding],
    pub since: &'a [HistoryEntry],
}

/// The code a procedure is shown under.
#[derive(serde::Deserialize)]
pub(crate) struct UnderCode {
    code: Option<String>,
}

/// `GET /procedures`.
pub(crate) async fn list(
    State(bench): State<Bench>,
    visitor: Visitor,
    asked: Asked,
) -> Result<Markup, Problem> {
    let ask = asked.one_page();
    let list = bench.desk.procedures(ask.clone()).await?;
    Ok(list_page(&visitor, &ask, &list, &Pairs(Vec::new()), &[]))
}

/// `GET /procedures.json`: every procedure, or with `?page=` one page of them.
pub(crate) async fn list_json(
    State(bench): State<Bench>,
    Asked(ask): Asked,
) -> Result<Json<ProcedureList>, Problem> {
    Ok(Json(bench.desk.procedures(ask).await?))
}

fn list_page(
    visitor: &Visitor,
    ask: &ListAsk,
    list: &ProcedureList,
    typed: &Pairs,
    findings: &[Finding],
) -> Markup {
    let heads =
        [Key::ColNumber, Key::ColProcedureTitle, Key::ProcedureCode, Key::ProcedureSupport, Key::ColChanged];
    let listed = &list.listed;
    let none = if ask.find.is_empty() { Key::ProceduresNone } else { Key::ListNothing };
    let body = html! {
        div.pad {
            (list_head(Key::ProceduresTitle, Key::ProceduresLead))
            (find_box("/procedures", Key::ProceduresFindHint, ask, listed))
            @if listed.rows.is_empty() { p.soft { (t(none)) } } @else {
                table.list role="table" aria-label=(t(Key::ProceduresTitle)) {
                    (list_heads(&heads))
                    tbody role="rowgroup" { @for row in &listed.rows { (line(row)) } }
                }
            }
            (pager("/procedures", ask, listed))
            (new_form(list, typed, findings))
        }
    };
    let twin = address("/procedures.json", &ask.find, listed.page);
    page(visitor, t(Key::ProceduresTitle), Some(&twin), Here::Procedures, &body)
}

fn line(row: &ProcedureRow) -> Markup {
    html! {
        tr role="row" {
            td.list-no role="cell" { (row.number) }
            td.list-title role="cell" { a.cover href={ "/procedure/" (row.number) } { (row.title) } }
            td role="cell" data-label=(t(Key::ProcedureCode)) { (row.code) }
            td.list-stamp role="cell" data-label=(t(Key::ProcedureSupport)) { (bar(row.mark, &row.answer)) span aria-hidden="true" { (row.answer) } }
            td.soft role="cell" data-label=(t(Key::ColChanged)) { (row.changed) }
        }
    }
}

fn new_form(list: &ProcedureList, typed: &Pairs, findings: &[Finding]) -> Markup {
    let text = |name| typed.get(name).unwrap_or_default();
    let (number, start) = (text(NUMBER), text(START));
    let of = |name: &'static str| findings.iter().filter(move |f| f.path.as_deref() == Some(name));
    let is_wrong = of(NUMBER).next().is_some();
    html! {
        form.slip.enter method="post" action="/procedure" {
            h2 { (t(Key::ProcedureNew)) }
            p.soft { (t(Key::ProcedureNewWhy)) }
            @for finding in findings.iter().filter(|f| f.path.as_deref() != Some(NUMBER)) {
                p.field-error { (finding.message) }
            }
            div.field-grid {
                div.field {
                    label for="new-number" { (t(Key::ProcedureNumber)) }
                    span.entry {
                        input #new-number name=(NUMBER) type="text" value=(number) autocomplete="off" required
                            aria-invalid=[is_wrong.then_some("true")]
                            aria-describedby=[is_wrong.then_some("new-number-error")];
                    }
                    @if is_wrong {
                        div.field-error #new-number-error { @for finding in of(NUMBER) { p { (finding.message) } } }
                    }
                }
                div.field {
                    label for="new-start" { (t(Key::ProcedureStart)) }
                    span.entry { select.long #new-start name=(START) {
                        @for one in &list.starts { option value=(one.id) selected[one.id == start] { (one.title) } }
                    } }
                }
                div.field {
                    label for="new-coupon" { (t(Key::ProcedureCoupon)) }
                    span.entry {
                        input #new-coupon name=(COUPON) type="text" value=(text(COUPON)) autocomplete="off"
                            aria-describedby="new-coupon-hint";
                    }
                    p.hint #new-coupon-hint { (t(Key::ProcedureCouponHint)) }
                }
            }
            button.button type="submit" { (t(Key::ProcedureNewButton)) }
        }
    }
}

/// `POST /procedure`: enter a procedure.
pub(crate) async fn create(
    State(bench): State<Bench>,
    visitor: Visitor,
    headers: HeaderMap,
    pairs: Pairs,
) -> Result<Response, Problem> {
    let text = |name| pairs.get(name).unwrap_or_default();
    let who = visitor.name();
    // A coupon typed by its number goes before one picked.
    let start = match text(COUPON).trim() {
        "" => text(START).to_owned(),
        coupon => format!("coupon-{coupon}"),
    };
    match bench.desk.create_procedure(&start, text(NUMBER), who).await? {
        Entered::Kept(number) => {
            let address = format!("/procedure/{number}");
            if accepts_json(&headers) {
                let body = Json(json!({ "number": number, "address": address }));
                return Ok((StatusCode::CREATED, body).into_response());
            }
            Ok(Redirect::to(&address).into_response())
        }
        Entered::Refused(findings) if accepts_json(&headers) => Err(Problem::refused(findings)),
        Entered::Refused(findings) => {
            let first = ListAsk { page: Some(1), ..ListAsk::default() };
            let list = bench.desk.procedures(first.clone()).await?;
            let page = list_page(&visitor, &first, &list, &pairs, &findings);
            Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
        }
    }
}

/// `GET /procedure/NUMBER` and its twin `/procedure/NUMBER.json`; `code` shows
/// it under another code.
pub(crate) async fn show(
    State(bench): State<Bench>,
    visitor: Visitor,
    Path(number): Path<String>,
    Query(under): Query<UnderCode>,
) -> Result<Response, Problem> {
    let code = under.code.as_deref().unwrap_or_default();
    if let Some(number) = number.strip_suffix(".json") {
        return Ok(Json(bench.desk.procedure(number, code).await?.data).into_response());
    }
    let view = bench.desk.procedure(&number, code).await?;
    Ok(procedure_page(&visitor, &view, &bench.form_token(), &Unkept::default()).into_response())
}

/// `POST /procedure/NUMBER/change`: keep what was typed as a revision.
pub(crate) async fn change(
    State(bench): State<Bench>,
    visitor: Visitor,
    headers: HeaderMap,
    Path(number): Path<String>,
    pairs: Pairs,
) -> Result<Response, Problem> {
    let edit = Edit::read(&pairs)?;
    let why = pairs.get(WHY).unwrap_or_default().trim();
    let changes = changes_of(&edit, &pairs);
    let change = ProcedureChange {
        version: edit.version()?,
        changes: changes.clone(),
        why,
        who: visitor.name(),
        token: &edit.token,
    };
    let outcome = bench.desk.change_procedure(&number, change).await?;
    answer(&bench, &visitor, &headers, &number, outcome, &changes, why).await
}

/// What was typed, and where a joint is taken out, every text of it cleared.
fn changes_of(edit: &Edit, pairs: &Pairs) -> Vec<Change> {
    let dropped = pairs.get(DROP).map(|branch| format!("{branch}."));
    let is_dropped = |path: &str| dropped.as_deref().is_some_and(|branch| path.starts_with(branch));
    let typed = edit.changes.iter().filter(|(path, _)| path != WHY && path != DROP && !is_dropped(path));
    let cleared = pairs.kept().filter(|(path, text)| is_dropped(path) && !text.is_empty());
    typed.cloned().chain(cleared.map(|(path, _)| (path.to_owned(), None))).collect()
}

async fn answer(
    bench: &Bench,
    visitor: &Visitor,
    headers: &HeaderMap,
    number: &str,
    outcome: ProcedureOutcome,
    changes: &[Change],
    why: &str,
) -> Result<Response, Problem> {
    let (status, findings, since) = match outcome {
        ProcedureOutcome::Saved => return saved(bench, headers, number).await,
        ProcedureOutcome::Refused(findings) if accepts_json(headers) => {
            return Err(Problem::refused(findings));
        }
        ProcedureOutcome::Conflict(since) if accepts_json(headers) => return Ok(conflict_json(&since)),
        ProcedureOutcome::Refused(findings) => (StatusCode::UNPROCESSABLE_ENTITY, findings, Vec::new()),
        ProcedureOutcome::Conflict(since) => (StatusCode::CONFLICT, Vec::new(), since),
    };
    let view = bench.desk.procedure(number, "").await?;
    let unkept = Unkept { changes, why, findings: &findings, since: &since };
    Ok((status, procedure_page(visitor, &view, &bench.form_token(), &unkept)).into_response())
}

async fn saved(bench: &Bench, headers: &HeaderMap, number: &str) -> Result<Response, Problem> {
    if accepts_json(headers) {
        return Ok(Json(bench.desk.procedure(number, "").await?.data).into_response());
    }
    // The number has been found in the store, so it is safe in an address.
    Ok(Redirect::to(&format!("/procedure/{number}")).into_response())
}

fn conflict_json(since: &[HistoryEntry]) -> Response {
    let error = json!({ "code": "conflict", "message": t(Key::ProcedureConflict) });
    (StatusCode::CONFLICT, Json(json!({ "error": error, "since": since }))).into_response()
}

/// `POST /procedure/NUMBER/undo`: take the latest revision back, as one more.
pub(crate) async fn undo(
    State(bench): State<Bench>,
    visitor: Visitor,
    headers: HeaderMap,
    Path(number): Path<String>,
    pairs: Pairs,
) -> Result<Response, Problem> {
    let version = Edit::read(&pairs)?.version()?;
    let who = visitor.name();
    let outcome = bench.desk.undo_procedure(&number, version, who).await?;
    answer(&bench, &visitor, &headers, &number, outcome, &[], "").await
}

/// `GET /procedure/NUMBER/file/PART`: the procedure or its record as TOML.
pub(crate) async fn file(
    State(bench): State<Bench>,
    Path((number, part)): Path<(String, String)>,
) -> Result<Response, Problem> {
    Ok(attachment(bench.desk.procedure_file(&number, &part).await?))
}
