//! The requests about one coupon: show it, change it, try a change, add and
//! take away rows, take back, take away files.
//!
//! Every one works as a plain form that ends in a redirect, and with a script
//! that asks for JSON and gets the pieces of the sheet that it does not show yet.

use std::collections::BTreeMap;

use axum::Json;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};
use serde_json::{Map, Value, json};

use crate::answer::Problem;
use crate::app::Bench;
use crate::desk::{Change, Conflict, Download, FileKind, Finding, Hand, Opened, Outcome, WhyAsked};
use crate::field::{WELDER_NAMES, input_id, label_of};
use crate::form::{Edit, HAVE, Pairs};
use crate::guard::accepts_json;
use crate::layout::{Here, page};
use crate::operations::{Fragment, WAYS, bands, computed_bands};
use crate::parts::history;
use crate::text::{Key, t};
use crate::visitor::Visitor;

/// `GET /coupon/NUMBER` and its twin `/coupon/NUMBER.json`.
pub(crate) async fn show(
    State(bench): State<Bench>,
    visitor: Visitor,
    headers: HeaderMap,
    Path(number): Path<String>,
) -> Result<Response, Problem> {
    if let Some(number) = number.strip_suffix(".json") {
        return Ok(Json(bench.desk.sheet(number).await?).into_response());
    }
    let opened = bench.desk.sheet(&number).await?;
    if accepts_json(&headers) {
        return Ok(saved_json(&bench, &opened, "").into_response());
    }
    let twin = format!("/coupon/{number}.json");
    let names = bench.desk.welder_names().await?;
    let body = sheet_page(&bench, &opened, &names, visitor.who.is_none());
    let title = format!("{} {}", opened.sheet.number, opened.sheet.title);
    Ok(page(&visitor, &title, Some(&twin), Here::Coupons, &body).into_response())
}

fn sheet_page(bench: &Bench, opened: &Opened, welders: &[String], is_unnamed: bool) -> Markup {
    let action = format!("/coupon/{}", opened.sheet.number);
    let pieces = bands(opened, &bench.form_token());
    let prints: Map<String, Value> =
        pieces.iter().map(|piece| (piece.id.clone(), piece.print().into())).collect();
    let (ways, bands): (Vec<Fragment>, Vec<Fragment>) =
        pieces.into_iter().partition(|piece| piece.id == WAYS);
    html! {
        @if is_unnamed { (crate::pages::who_form(&action, None)) }
        @for piece in ways { (piece.markup) }
        form.sheet #sheet method="post" action={ (action) "/change" } data-coupon=(opened.sheet.number)
            data-prints=(json!(prints)) autocomplete="off" {
            // Enter in a box presses the first submit button of the form.
            button.vh type="submit" tabindex="-1" aria-hidden="true" { (t(Key::Save)) }
            @for piece in bands { (piece.markup) }
            div.save-bar.no-script { button.button type="submit" { (t(Key::Save)) } }
        }
        (crate::section::form(&opened.sheet.number))
        @for way in ["undo", "stamp"] {
            form id=(way) method="post" action={ (action) "/" (way) } {
                input type="hidden" name="version" value=(opened.version) data-version;
            }
        }
        datalist id=(WELDER_NAMES) { @for name in welders { option value=(name) {} } }
        div #conflict {}
        div.state #state role="status" aria-live="polite" {}
    }
}

/// The pieces the page does not show yet, by id, and the print of each. `have`
/// is what it shows, as it says: `op-10:PRINT op-20:PRINT`.
fn unseen(pieces: Vec<Fragment>, have: &str) -> Value {
    let shown: BTreeMap<&str, &str> =
        have.split_whitespace().filter_map(|piece| piece.split_once(':')).collect();
    let (mut fragments, mut prints) = (Map::new(), Map::new());
    for piece in pieces {
        let print = piece.print();
        if shown.get(piece.id.as_str()) != Some(&print.as_str()) {
            prints.insert(piece.id.clone(), print.into());
            fragments.insert(piece.id, piece.markup.into_string().into());
        }
    }
    json!({ "fragments": fragments, "prints": prints })
}

fn saved_json(bench: &Bench, opened: &Opened, have: &str) -> Json<Value> {
    let mut body = unseen(bands(opened, &bench.form_token()), have);
    body["version"] = opened.version.into();
    Json(body)
}

/// `POST /coupon/NUMBER/preview`: the bands as they would be. Nothing is kept.
pub(crate) async fn preview(
    State(bench): State<Bench>,
    Path(number): Path<String>,
    pairs: Pairs,
) -> Result<Response, Problem> {
    let edit = Edit::read(&pairs)?;
    let sheet = bench.desk.preview(&number, edit.changes).await?;
    Ok(Json(unseen(computed_bands(&sheet), have(&pairs))).into_response())
}

/// What the page says it shows.
fn have(pairs: &Pairs) -> &str {
    pairs.get(HAVE).unwrap_or_default()
}

/// `POST /coupon/NUMBER/change`: keep what was typed. A plain form that also
/// names a row, from a button that adds or takes one away, does both in turn.
pub(crate) async fn change(
    State(bench): State<Bench>,
    visitor: Visitor,
    headers: HeaderMap,
    Path(number): Path<String>,
    pairs: Pairs,
) -> Result<Response, Problem> {
    let edit = Edit::read(&pairs)?;
    let hand = edit.hand(visitor.name());
    let mut sent = Sent { changes: &edit.changes, row: pairs.row(), ..Sent::of(&number, edit.version()?) };
    let mut outcome = None;
    if !edit.changes.is_empty() {
        let kept = bench.desk.change(&number, sent.version, edit.changes.clone(), hand).await?;
        if let Outcome::Saved(opened) = &kept {
            (sent.version, sent.changes) = (opened.version, &[]);
        }
        outcome = Some(kept);
    }
    let may_go_on = matches!(outcome, None | Some(Outcome::Saved(_)));
    if let (true, Some((kind, action))) = (may_go_on, edit.row.clone()) {
        let hand = Hand { token: &edit.row_token, ..hand };
        outcome = Some(bench.desk.row(&number, sent.version, kind, action, hand).await?);
    }
    let outcome = match outcome {
        Some(outcome) => outcome,
        None => Outcome::Saved(Box::new(bench.desk.sheet(&number).await?)),
    };
    sent.have = have(&pairs);
    answer(&bench, &visitor, accepts_json(&headers), &sent, outcome).await
}

/// `POST /coupon/NUMBER/row`: add or take away a row; [`change`] with a row.
pub(crate) async fn row(
    bench: State<Bench>,
    visitor: Visitor,
    headers: HeaderMap,
    number: Path<String>,
    pairs: Pairs,
) -> Result<Response, Problem> {
    if pairs.get("row").is_none() {
        return Err(Problem::form(Key::ErrorRow));
    }
    change(bench, visitor, headers, number, pairs).await
}

/// `POST /coupon/NUMBER/undo`.
pub(crate) async fn undo(
    State(bench): State<Bench>,
    visitor: Visitor,
    headers: HeaderMap,
    Path(number): Path<String>,
    pairs: Pairs,
) -> Result<Response, Problem> {
    let edit = Edit::read(&pairs)?;
    let sent = Sent { way: "undo", have: have(&pairs), ..Sent::of(&number, edit.version()?) };
    let outcome = bench.desk.undo(&number, sent.version, edit.hand(visitor.name())).await?;
    answer(&bench, &visitor, accepts_json(&headers), &sent, outcome).await
}

/// `POST /coupon/NUMBER/stamp`: the verdict as it stands, stamped.
pub(crate) async fn stamp(
    State(bench): State<Bench>,
    visitor: Visitor,
    headers: HeaderMap,
    Path(number): Path<String>,
    pairs: Pairs,
) -> Result<Response, Problem> {
    let edit = Edit::read(&pairs)?;
    let sent = Sent { way: "stamp", have: have(&pairs), ..Sent::of(&number, edit.version()?) };
    let outcome = if visitor.who.is_none() {
        Outcome::Refused(vec![Finding { path: None, message: t(Key::StampNobody).to_owned() }])
    } else {
        bench.desk.stamp(&number, sent.version, edit.hand(visitor.name())).await?
    };
    answer(&bench, &visitor, accepts_json(&headers), &sent, outcome).await
}

/// What was sent and may have to be sent again.
pub(crate) struct Sent<'a> {
    pub number: &'a str,
    /// The end of the address it was sent to.
    pub way: &'static str,
    /// The pieces of the sheet that a script shows already.
    pub have: &'a str,
    /// What was typed and is not kept yet.
    pub changes: &'a [Change],
    /// The row to add or take away.
    pub row: Vec<(&'a str, &'a str)>,
    /// The version it was made on.
    pub version: u64,
}

impl<'a> Sent<'a> {
    /// A change of nothing.
    pub(crate) fn of(number: &'a str, version: u64) -> Self {
        Self { number, way: "change", have: "", changes: &[], row: Vec::new(), version }
    }
}

pub(crate) async fn answer(
    bench: &Bench,
    visitor: &Visitor,
    wants_json: bool,
    sent: &Sent<'_>,
    outcome: Outcome,
) -> Result<Response, Problem> {
    let Sent { number, changes, have, .. } = *sent;
    match outcome {
        Outcome::Saved(opened) if wants_json => Ok(saved_json(bench, &opened, have).into_response()),
        Outcome::Saved(_) => Ok(Redirect::to(&format!("/coupon/{number}")).into_response()),
        Outcome::Refused(findings) if wants_json => Err(Problem::refused(findings)),
        Outcome::Refused(findings) => {
            let current = bench.desk.sheet(number).await?;
            Ok(refused_page(bench, visitor, number, changes, &current, &findings))
        }
        Outcome::WhyAsked(asked) if wants_json => Ok(why_json(bench, &asked)),
        Outcome::WhyAsked(asked) => Ok(why_page(bench, visitor, sent, &asked)),
        Outcome::Conflict(conflict) if wants_json => Ok(conflict_json(bench, &conflict)),
        Outcome::Conflict(conflict) => Ok(conflict_page(bench, visitor, number, changes, &conflict)),
    }
}

fn conflict_json(bench: &Bench, conflict: &Conflict) -> Response {
    // Whole, since taking theirs has to undo what was typed into pieces that are
    // otherwise as they were.
    let Json(mut body) = saved_json(bench, &conflict.current, "");
    body["error"] = json!({ "code": "conflict", "message": t(Key::StateConflict) });
    body["since"] = json!(conflict.since);
    body["since_html"] = html! {
        h3 { (t(Key::ConflictTheirs)) }
        (history(&conflict.since))
    }
    .into_string()
    .into();
    (StatusCode::CONFLICT, Json(body)).into_response()
}

fn why_json(bench: &Bench, asked: &WhyAsked) -> Response {
    let Json(mut body) = saved_json(bench, &asked.current, "");
    body["error"] = json!({ "code": "why", "message": asked.message, "latest": asked.latest });
    (StatusCode::UNPROCESSABLE_ENTITY, Json(body)).into_response()
}

/// Without scripts the question is a page that sends the same again, with the
/// reason, on the version it was made on.
fn why_page(bench: &Bench, visitor: &Visitor, sent: &Sent<'_>, asked: &WhyAsked) -> Response {
    let address = format!("/coupon/{}", sent.number);
    let body = html! {
        article.slip {
            h1 { (t(Key::WhyTitle)) }
            p { (asked.message) }
            form method="post" action={ (address) "/" (sent.way) } {
                input type="hidden" name="version" value=(sent.version);
                input type="hidden" name="token" value=(bench.form_token());
                @for (name, text) in &sent.row { input type="hidden" name=(name) value=(text); }
                (typed_boxes(sent.changes, &asked.current))
                div.field {
                    label for="why" { (t(Key::WhyLabel)) }
                    span.entry { input.long #why name="why" required autocomplete="off" list="why-before"; }
                    // Each change has its own reason; the last one is a tap away.
                    datalist #why-before { @if !asked.latest.is_empty() { option value=(asked.latest) {} } }
                }
                div.choices {
                    button.button type="submit" { (t(Key::WhyButton)) }
                    a.plain href=(address) { (t(Key::WhyLeave)) }
                }
            }
        }
    };
    let page = page(visitor, t(Key::WhyTitle), None, Here::Coupons, &body);
    (StatusCode::UNPROCESSABLE_ENTITY, page).into_response()
}

/// Without scripts the same choice is a page: what they did, what you typed,
/// and two ways on.
fn conflict_page(
    bench: &Bench,
    visitor: &Visitor,
    number: &str,
    changes: &[Change],
    conflict: &Conflict,
) -> Response {
    let body = html! {
        article.slip {
            h1 { (t(Key::ConflictTitle)) }
            h2 { (t(Key::ConflictTheirs)) }
            (history(&conflict.since))
            (typed_form(bench, number, changes, &conflict.current, [Key::UseMine, Key::TakeTheirs]))
        }
    };
    let page = page(visitor, t(Key::ConflictTitle), None, Here::Coupons, &body);
    (StatusCode::CONFLICT, page).into_response()
}

/// Without scripts a refusal is a page with what was typed still in its boxes.
fn refused_page(
    bench: &Bench,
    visitor: &Visitor,
    number: &str,
    changes: &[Change],
    current: &Opened,
    findings: &[Finding],
) -> Response {
    let body = html! {
        article.slip {
            h1 { (t(Key::ErrorTitleRefused)) }
            ul.findings { @for finding in findings { li { (finding.message) } } }
            (typed_form(bench, number, changes, current, [Key::Save, Key::BackToCoupon]))
        }
    };
    let page = page(visitor, t(Key::ErrorTitleRefused), None, Here::Coupons, &body);
    (StatusCode::UNPROCESSABLE_ENTITY, page).into_response()
}

/// What was typed and not kept, ready to be sent again on the version that is
/// current now. `ways` are the words for sending and for leaving it.
fn typed_form(bench: &Bench, number: &str, changes: &[Change], current: &Opened, ways: [Key; 2]) -> Markup {
    let address = format!("/coupon/{number}");
    html! {
        form method="post" action={ (address) "/change" } {
            input type="hidden" name="version" value=(current.version);
            input type="hidden" name="token" value=(bench.form_token());
            (typed_boxes(changes, current))
            div.choices {
                @if !changes.is_empty() { button.button type="submit" { (t(ways[0])) } }
                a.plain href=(address) { (t(ways[1])) }
            }
        }
    }
}

/// What was typed, in its boxes.
fn typed_boxes(changes: &[Change], current: &Opened) -> Markup {
    html! {
        @if !changes.is_empty() { h2 { (t(Key::ConflictYours)) } }
        @for (path, text) in changes {
            div.field {
                label for=(input_id(path)) { (label_of(&current.sheet, path)) }
                span.entry { input id=(input_id(path)) name=(path) value=(text.as_deref().unwrap_or_default()); }
            }
        }
    }
}

/// `POST /coupon`: start a sheet from a template.
pub(crate) async fn create(
    State(bench): State<Bench>,
    visitor: Visitor,
    headers: HeaderMap,
    pairs: Pairs,
) -> Result<Response, Problem> {
    let who = visitor.name();
    let template = pairs.get("template").unwrap_or_default();
    let number = bench.desk.create(template, who, &pairs.token_with(&template)).await?;
    let address = format!("/coupon/{number}");
    if accepts_json(&headers) {
        return Ok(
            (StatusCode::CREATED, Json(json!({ "number": number, "address": address }))).into_response()
        );
    }
    Ok(Redirect::to(&address).into_response())
}

/// `GET /coupon/NUMBER/file/KIND`.
pub(crate) async fn file(
    State(bench): State<Bench>,
    Path((number, kind)): Path<(String, String)>,
) -> Result<Response, Problem> {
    let kind = FileKind::from_slug(&kind).ok_or_else(Problem::absent)?;
    Ok(attachment(bench.desk.download(&number, kind).await?))
}

/// A file to save. The name is reduced to what every system can keep.
pub(crate) fn attachment(file: Download) -> Response {
    let name: String =
        file.file_name.chars().filter(|c| c.is_ascii_alphanumeric() || "-_.".contains(*c)).collect();
    let disposition = format!("attachment; filename=\"{name}\"");
    ([(header::CONTENT_TYPE, file.content_type), (header::CONTENT_DISPOSITION, disposition)], file.bytes)
        .into_response()
}
