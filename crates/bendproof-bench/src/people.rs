//! The welders: the list, one welder, and the two forms by which a welder and
//! a use of a process are entered.
//!
//! What may be entered is the desk's to say; here a refusal comes back next to
//! its box, with what was typed still in it.

use axum::extract::{Extension, Path, Query, State};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::get;
use axum::{Json, Router};
use maud::{Markup, html};
use serde_json::json;

use crate::answer::Problem;
use crate::app::Bench;
use crate::coupon::attachment;
use crate::desk::{
    Entered, Finding, ListAsk, NewUse, NewWelder, Paper, ROWS_PER_PAGE, StandingRow, UseChoices,
    WelderDetail, WelderRow,
};
use crate::form::Pairs;
use crate::guard::accepts_json;
use crate::layout::{Here, page};
use crate::pager::{Asked as ListAsked, address, find_box, pager};
use crate::pages::{coupon_table, list_head, list_heads};
use crate::parts::{history, standing_lines};
use crate::text::{Key, fill, t};
use crate::visitor::{Visitor, percent_encode};

/// The boxes of the form for a welder and of the form for a use. Each is the
/// path of the findings about it.
const NAME: &str = "name";
const STAMP: &str = "stamp";
const DATE: &str = "date";
const PROCESS: &str = "process";
const TRANSFER: &str = "transfer";
const EVIDENCE: &str = "evidence";
const CHECKED_BY: &str = "checked_by";

/// Qualifications in a line of the list; the rest is on the page of the welder.
/// Basis: choice, what a line of a phone takes without hiding the next welder.
const STANDINGS_SHOWN: usize = 4;

/// What was typed into a form, and what is wrong with it.
#[derive(Default)]
struct Typed<'a> {
    pairs: Option<&'a Pairs>,
    findings: &'a [Finding],
}

impl Typed<'_> {
    /// The text of a box, or `unless` where nothing was posted.
    fn text<'a>(&'a self, name: &str, unless: &'a str) -> &'a str {
        self.pairs.and_then(|pairs| pairs.get(name)).unwrap_or(unless)
    }

    fn errors(&self, name: &str) -> impl Iterator<Item = &str> {
        let about = move |finding: &&Finding| finding.path.as_deref() == Some(name);
        self.findings.iter().filter(about).map(|finding| finding.message.as_str())
    }

    /// Findings that are about none of the boxes.
    fn others(&self) -> Markup {
        html! {
            @for finding in self.findings.iter().filter(|finding| finding.path.is_none()) {
                p.field-error { (finding.message) }
            }
        }
    }
}

/// A box of one of the forms: its name as posted, what it is called, a hint.
struct Asked {
    name: &'static str,
    label: Key,
    hint: Option<Key>,
}

impl Asked {
    fn id(&self) -> String {
        format!("enter-{}", self.name)
    }

    fn described(&self, is_wrong: bool) -> Option<String> {
        let hint = self.hint.map(|_| format!("{}-hint", self.id()));
        let error = is_wrong.then(|| format!("{}-error", self.id()));
        let both: Vec<String> = hint.into_iter().chain(error).collect();
        (!both.is_empty()).then(|| both.join(" "))
    }

    /// The box with its label, its hint and what is wrong with it.
    fn field(&self, typed: &Typed<'_>, entry: &Markup) -> Markup {
        let id = self.id();
        let errors: Vec<&str> = typed.errors(self.name).collect();
        html! {
            div.field {
                label for=(id) { (t(self.label)) }
                span.entry { (entry) }
                @if let Some(hint) = self.hint { p.hint id={ (id) "-hint" } { (t(hint)) } }
                @if !errors.is_empty() {
                    div.field-error id={ (id) "-error" } { @for words in errors { p { (words) } } }
                }
            }
        }
    }

    fn input(&self, typed: &Typed<'_>, kind: &str, text: &str, is_required: bool) -> Markup {
        let is_wrong = typed.errors(self.name).next().is_some();
        let entry = html! {
            input id=(self.id()) name=(self.name) type=(kind) value=(text) autocomplete="off"
                required[is_required] aria-invalid=[is_wrong.then_some("true")]
                aria-describedby=[self.described(is_wrong)];
        };
        self.field(typed, &entry)
    }

    fn select(&self, typed: &Typed<'_>, none: Option<Key>, options: &[String]) -> Markup {
        let text = typed.text(self.name, "");
        let is_wrong = typed.errors(self.name).next().is_some();
        let is_listed = text.is_empty() || options.iter().any(|option| option == text);
        let entry = html! {
            select id=(self.id()) name=(self.name) aria-invalid=[is_wrong.then_some("true")]
                aria-describedby=[self.described(is_wrong)] {
                @if !is_listed { option value=(text) selected { (text) } }
                @if let Some(none) = none { option value="" selected[text.is_empty()] { (t(none)) } }
                @for option in options {
                    option value=(option) selected[option == text] { (option) }
                }
            }
        };
        self.field(typed, &entry)
    }
}

/// `GET /welders`.
pub(crate) async fn welders(
    State(bench): State<Bench>,
    visitor: Visitor,
    asked: ListAsked,
) -> Result<Markup, Problem> {
    welders_page(&bench, &visitor, &asked.one_page(), &Typed::default()).await
}

async fn welders_page(
    bench: &Bench,
    visitor: &Visitor,
    ask: &ListAsk,
    typed: &Typed<'_>,
) -> Result<Markup, Problem> {
    let listed = bench.desk.welders(ask.clone()).await?;
    let rows = &listed.rows;
    // Names of coupons come after the last welder.
    let is_last = listed.page == listed.pages();
    let mut missing = if is_last { bench.desk.unlisted(&ask.find).await? } else { Vec::new() };
    let left_out = missing.len().saturating_sub(ROWS_PER_PAGE);
    missing.truncate(ROWS_PER_PAGE);
    let heads = [Key::ColName, Key::ColStanding];
    let none = if ask.find.is_empty() { Key::WeldersNone } else { Key::ListNothing };
    let body = html! {
        div.pad {
            (list_head(Key::WeldersTitle, Key::WeldersLead))
            (find_box("/welders", Key::WeldersFindHint, ask, &listed))
            @if rows.is_empty() && missing.is_empty() { p.soft { (t(none)) } } @else {
                table.list.welders role="table" aria-label=(t(Key::WeldersTitle)) {
                    (list_heads(&heads))
                    tbody role="rowgroup" {
                        @for row in rows { (welder_line(row)) }
                        @for name in &missing { (missing_line(name)) }
                    }
                }
            }
            @if left_out > 0 { p.soft { (fill(Key::WeldersMoreNames, &[("n", &left_out.to_string())])) } }
            (pager("/welders", ask, &listed))
            (add_form(typed))
        }
    };
    let twin = address("/welders.json", &ask.find, listed.page);
    Ok(page(visitor, t(Key::WeldersTitle), Some(&twin), Here::Welders, &body))
}

fn welder_line(row: &WelderRow) -> Markup {
    html! {
        tr role="row" {
            td.list-title role="cell" { a.cover href={ "/welder/" (row.id) } { (row.name) } }
            td role="cell" data-label=(t(Key::ColStanding)) {
                @if row.standings.is_empty() { (t(Key::WelderNoTest)) } @else {
                    ul.standings {
                        @for one in row.standings.iter().take(STANDINGS_SHOWN) { li { (standing_words(one)) } }
                    }
                }
                @if let Some(more) = row.standings.len().checked_sub(STANDINGS_SHOWN).filter(|n| *n > 0) {
                    p.soft { (fill(Key::WelderMoreStandings, &[("n", &more.to_string())])) }
                }
            }
        }
    }
}

/// A qualification and until when; a warning says until when by itself.
fn standing_words(one: &StandingRow) -> Markup {
    html! {
        (one.standing)
        @if let Some(words) = &one.lapse { " " span.lapse { (words) } }
        @else if !one.until.is_empty() { " · " (one.until) }
    }
}

fn missing_line(name: &str) -> Markup {
    html! {
        tr role="row" {
            td.list-title role="cell" { (name) }
            td role="cell" data-label=(t(Key::ColStanding)) {
                (t(Key::WeldersNotEntered))
                form method="post" action="/welder" {
                    input type="hidden" name=(NAME) value=(name);
                    button.plain type="submit" { (fill(Key::WelderEnter, &[("name", name)])) }
                }
            }
        }
    }
}

fn add_form(typed: &Typed<'_>) -> Markup {
    let name = Asked { name: NAME, label: Key::WelderName, hint: None };
    let stamp = Asked { name: STAMP, label: Key::WelderStamp, hint: Some(Key::WelderStampHint) };
    html! {
        form.slip.enter method="post" action="/welder" {
            h2 { (t(Key::WelderAdd)) }
            p.soft { (t(Key::WelderAddWhy)) }
            (typed.others())
            div.field-grid {
                (name.input(typed, "text", typed.text(NAME, ""), true))
                (stamp.input(typed, "text", typed.text(STAMP, ""), false))
            }
            button.button type="submit" { (t(Key::WelderAddButton)) }
        }
    }
}

/// `GET /welders.json`: every welder, or with `?page=` one page of them.
pub(crate) async fn welders_json(
    State(bench): State<Bench>,
    ListAsked(ask): ListAsked,
) -> Result<Json<Vec<WelderRow>>, Problem> {
    Ok(Json(bench.desk.welders(ask).await?.rows))
}

/// `POST /welder`: put a welder on the list.
pub(crate) async fn add(
    State(bench): State<Bench>,
    visitor: Visitor,
    headers: HeaderMap,
    pairs: Pairs,
) -> Result<Response, Problem> {
    let text = |name| pairs.get(name).unwrap_or_default();
    let who = visitor.name();
    let welder = NewWelder { name: text(NAME), stamp: text(STAMP) };
    match bench.desk.add_welder(welder, who).await? {
        Entered::Kept(id) if accepts_json(&headers) => {
            let address = format!("/welder/{id}");
            Ok((StatusCode::CREATED, Json(json!({ "id": id, "address": address }))).into_response())
        }
        Entered::Kept(_) => Ok(Redirect::to("/welders").into_response()),
        Entered::Refused(findings) if accepts_json(&headers) => Err(Problem::refused(findings)),
        Entered::Refused(findings) => {
            let typed = Typed { pairs: Some(&pairs), findings: &findings };
            let first = ListAsk { page: Some(1), ..ListAsk::default() };
            let page = welders_page(&bench, &visitor, &first, &typed).await?;
            Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
        }
    }
}

/// The day a welder's standing is stated for, as it stands in the address.
#[derive(serde::Deserialize)]
pub(crate) struct OnDay {
    on: Option<String>,
}

/// `GET /welder/ID` and its twin `/welder/ID.json`; `on` names a day.
pub(crate) async fn welder(
    State(bench): State<Bench>,
    visitor: Visitor,
    Path(id): Path<String>,
    Query(day): Query<OnDay>,
) -> Result<Response, Problem> {
    let on = day.on.as_deref().map(str::trim).filter(|on| !on.is_empty());
    if let Some(id) = id.strip_suffix(".json") {
        return Ok(Json(bench.desk.welder(id, on).await?).into_response());
    }
    let detail = bench.desk.welder(&id, on).await?;
    Ok(welder_page(&visitor, &detail, &Typed::default()).into_response())
}

fn welder_page(visitor: &Visitor, detail: &WelderDetail, typed: &Typed<'_>) -> Markup {
    let id = &detail.row.id;
    let body = html! {
        div.pad {
            (welder_head(detail))
            (crate::days::standing(id, &detail.days))
            (crate::days::life(&detail.days))
            section.slip {
                h2 { (t(Key::WelderContinuity)) }
                @if detail.continuity.is_empty() { p.soft { (t(Key::UseNone)) } }
                (standing_lines(&detail.continuity))
            }
            (use_form(id, &detail.use_choices, typed))
            h2 { (t(Key::WelderCoupons)) }
            @if detail.coupons.is_empty() { p.soft { (t(Key::WelderNoCoupons)) } } @else {
                (coupon_table(&detail.coupons))
            }
            section.slip { h2 { (t(Key::WelderHistory)) } (history(&detail.history)) }
        }
    };
    let on =
        if detail.days.on == detail.days.today { String::new() } else { format!("?on={}", detail.days.on) };
    let twin = format!("/welder/{id}.json{on}");
    page(visitor, &detail.row.name, Some(&twin), Here::Welders, &body)
}

fn welder_head(detail: &WelderDetail) -> Markup {
    let row = &detail.row;
    html! {
        header.list-head {
            h1 { (row.name) }
            @if !detail.stamp.is_empty() {
                p.soft { (fill(Key::WelderStampWords, &[("stamp", &detail.stamp)])) }
            }
            @if row.standings.is_empty() { p.soft { (t(Key::WelderNoTest)) } } @else {
                ul.standings {
                    @for one in &row.standings {
                        li {
                            (standing_words(one))
                            @match &one.why_none {
                                Some(why) => p.soft { (fill(Key::WelderWhyNone, &[("coupon", &one.coupon), ("why", why)])) },
                                None => (records(&row.id, one)),
                            }
                        }
                    }
                }
            }
            p { a.button href={ "/welder/" (row.id) "/ask" } { (t(Key::AskOpen)) } }
        }
    }
}

/// The record of the coupon a qualification comes from, on each paper.
fn records(id: &str, one: &StandingRow) -> Markup {
    html! {
        p.choices {
            @for paper in Paper::ALL {
                a.button download href={
                    "/welder/" (id) "/record" (paper.slug()) "?coupon=" (percent_encode(&one.coupon))
                } { (fill(record_words(paper), &[("coupon", &one.coupon)])) }
            }
        }
    }
}

fn record_words(paper: Paper) -> Key {
    match paper {
        Paper::Letter => Key::WelderRecord,
        Paper::A4 => Key::WelderRecordA4,
    }
}

fn use_form(id: &str, choices: &UseChoices, typed: &Typed<'_>) -> Markup {
    let date = Asked { name: DATE, label: Key::UseDate, hint: None };
    let process = Asked { name: PROCESS, label: Key::UseProcess, hint: None };
    let transfer = Asked { name: TRANSFER, label: Key::UseTransfer, hint: Some(Key::UseTransferHint) };
    let evidence = Asked { name: EVIDENCE, label: Key::UseEvidence, hint: Some(Key::UseEvidenceHint) };
    let checked = Asked { name: CHECKED_BY, label: Key::UseChecked, hint: Some(Key::UseCheckedHint) };
    html! {
        form.slip.enter method="post" action={ "/welder/" (id) "/use" } {
            h2 { (t(Key::UseLog)) }
            p.soft { (t(Key::UseWhy)) }
            (typed.others())
            div.field-grid {
                (date.input(typed, "date", typed.text(DATE, &choices.today), true))
                (process.select(typed, None, &choices.processes))
                (transfer.select(typed, Some(Key::UseNoTransfer), &choices.transfers))
                div.whole { (evidence.input(typed, "text", typed.text(EVIDENCE, ""), true)) }
                div.whole { (checked.input(typed, "text", typed.text(CHECKED_BY, ""), false)) }
            }
            button.button type="submit" { (t(Key::UseButton)) }
        }
    }
}

/// `POST /welder/ID/use`: log a use of a process.
pub(crate) async fn log_use(
    State(bench): State<Bench>,
    visitor: Visitor,
    headers: HeaderMap,
    Path(id): Path<String>,
    pairs: Pairs,
) -> Result<Response, Problem> {
    let text = |name| pairs.get(name).unwrap_or_default();
    let who = visitor.name();
    let used = NewUse {
        date: text(DATE),
        process: text(PROCESS),
        transfer: text(TRANSFER),
        evidence: text(EVIDENCE),
        checked_by: text(CHECKED_BY),
    };
    let entered = bench.desk.log_use(&id, used, who).await?;
    match entered {
        Entered::Kept(()) if accepts_json(&headers) => {
            Ok((StatusCode::CREATED, Json(bench.desk.welder(&id, None).await?)).into_response())
        }
        // The id has been found in the store, so it is safe in an address.
        Entered::Kept(()) => Ok(Redirect::to(&format!("/welder/{id}")).into_response()),
        Entered::Refused(findings) if accepts_json(&headers) => Err(Problem::refused(findings)),
        Entered::Refused(findings) => {
            let detail = bench.desk.welder(&id, None).await?;
            let typed = Typed { pairs: Some(&pairs), findings: &findings };
            let page = welder_page(&visitor, &detail, &typed);
            Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
        }
    }
}

/// The welder record of each paper: `GET /welder/ID/record` and `…/record-a4`.
pub(crate) fn record_routes(paper: Paper) -> Router<Bench> {
    let at = format!("/welder/{{id}}/record{}", paper.slug());
    Router::new().route(&at, get(record)).layer(Extension(paper))
}

/// The coupon a record is asked of, as it stands in the address; the latest without one.
#[derive(serde::Deserialize)]
struct OfCoupon {
    coupon: Option<String>,
}

async fn record(
    State(bench): State<Bench>,
    Extension(paper): Extension<Paper>,
    Path(id): Path<String>,
    Query(of): Query<OfCoupon>,
) -> Result<Response, Problem> {
    Ok(attachment(bench.desk.record(&id, of.coupon.as_deref(), paper).await?))
}
