//! The list of coupons, a rule, the versions and cautions, and the two small
//! forms that set a cookie.

use axum::Json;
use axum::extract::{Path, Query, State};
use axum::http::header::SET_COOKIE;
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};
use std::collections::BTreeMap;

use crate::answer::Problem;
use crate::app::Bench;
use crate::desk::{About, CouponRow, RuleView, Template};
use crate::form::{Pairs, TOKEN};
use crate::layout::{Here, page};
use crate::pager::{Asked, address, find_box, pager};
use crate::parts::{bar, pairs, provenance};
use crate::text::{Key, t};
use crate::visitor::{THEME_COOKIE, Theme, Visitor, WHO_COOKIE, clean_name, safe_return, set_cookie};

/// `GET /`.
pub(crate) async fn coupons(
    State(bench): State<Bench>,
    visitor: Visitor,
    asked: Asked,
) -> Result<Markup, Problem> {
    let ask = asked.one_page();
    let listed = bench.desk.coupons(ask.clone()).await?;
    let templates = bench.desk.templates().await?;
    let none = if ask.find.is_empty() { Key::CouponsNone } else { Key::ListNothing };
    let body = html! {
        div.pad {
            (list_head(Key::CouponsTitle, Key::CouponsLead))
            @if visitor.who.is_none() { (who_form("/", None)) }
            (new_coupon(&templates, &bench.form_token()))
            (find_box("/", Key::CouponsFindHint, &ask, &listed))
            @if listed.rows.is_empty() { p.soft { (t(none)) } } @else { (coupon_table(&listed.rows)) }
            (pager("/", &ask, &listed))
        }
    };
    let twin = address("/coupons.json", &ask.find, listed.page);
    Ok(page(&visitor, t(Key::CouponsTitle), Some(&twin), Here::Coupons, &body))
}

/// `GET /coupons.json`: every coupon, or with `?page=` one page of them.
pub(crate) async fn coupons_json(
    State(bench): State<Bench>,
    Asked(ask): Asked,
) -> Result<Json<Vec<CouponRow>>, Problem> {
    Ok(Json(bench.desk.coupons(ask).await?.rows))
}

/// A list's name and one line about it.
pub(crate) fn list_head(title: Key, lead: Key) -> Markup {
    html! { header.list-head { h1 { (t(title)) } p.soft { (t(lead)) } } }
}

/// The list of coupons, each line a way to its sheet.
pub(crate) fn coupon_table(rows: &[CouponRow]) -> Markup {
    let heads =
        [Key::ColNumber, Key::ColTitle, Key::ColWelder, Key::ColStage, Key::ColStamp, Key::ColChanged];
    html! {
        table.list role="table" aria-label=(t(Key::CouponsTitle)) {
            (list_heads(&heads))
            tbody role="rowgroup" {
                @for row in rows {
                    tr role="row" {
                        td.list-no role="cell" { (row.number) }
                        td.list-title role="cell" { a.cover href={ "/coupon/" (row.number) } { (row.title) } @if let Some(words) = &row.amended { p.hint { (words) } } }
                        td role="cell" data-label=(t(Key::ColWelder)) { (row.welder) }
                        td role="cell" data-label=(t(Key::ColStage)) { (row.stage) }
                        td.list-stamp role="cell" data-label=(t(Key::ColStamp)) { (bar(row.mark, &row.stamp)) span aria-hidden="true" { (row.stamp) } @if !row.stamp_note.is_empty() { p.hint { (row.stamp_note) } } }
                        td.soft role="cell" data-label=(t(Key::ColChanged)) { (row.changed) }
                    }
                }
            }
        }
    }
}

/// The headings of a list's columns.
pub(crate) fn list_heads(heads: &[Key]) -> Markup {
    html! {
        thead role="rowgroup" { tr role="row" {
            @for head in heads { th role="columnheader" scope="col" { (t(*head)) } }
        } }
    }
}

fn new_coupon(templates: &[Template], token: &str) -> Markup {
    html! {
        form.slip.new-coupon method="post" action="/coupon" autocomplete="off" {
            input type="hidden" name=(TOKEN) value=(token);
            h2 { (t(Key::CouponNew)) }
            div.choices {
                div.field {
                    label for="template" { (t(Key::CouponTemplate)) }
                    span.entry { select #template name="template" {
                        @for template in templates { option value=(template.id) { (template.title) } }
                    } }
                }
                button.button type="submit" { (t(Key::CouponCreate)) }
            }
        }
    }
}

/// `GET /rule/ID` and its twin `/rule/ID.json`; with `?code=`, as that edition
/// has it.
pub(crate) async fn rule(
    State(bench): State<Bench>,
    visitor: Visitor,
    Path(id): Path<String>,
    Query(query): Query<BTreeMap<String, String>>,
) -> Result<Response, Problem> {
    let code = query.get("code").map(String::as_str);
    if let Some(id) = id.strip_suffix(".json") {
        return Ok(Json(bench.desk.explain(id, code).await?).into_response());
    }
    let view = bench.desk.explain(&id, code).await?;
    let twin = match code {
        Some(code) => format!("/rule/{id}.json?code={code}"),
        None => format!("/rule/{id}.json"),
    };
    Ok(page(&visitor, &view.title, Some(&twin), Here::Elsewhere, &rule_page(&view)).into_response())
}

fn rule_page(view: &RuleView) -> Markup {
    html! {
        article.slip {
            p.soft { (view.id) }
            h1 { (view.title) }
            p { span.soft { (t(Key::RuleClause)) " " } strong { (view.clause) } }
            @if !view.words.is_empty() {
                h2 { (t(Key::RuleWords)) }
                @for words in &view.words { p { (words) } }
            }
            @if !view.limits.is_empty() { h2 { (t(Key::RuleLimits)) } (pairs(&view.limits)) }
            h2 { (t(Key::RuleSource)) }
            (provenance(None, &view.provenance))
            @if !view.editions.is_empty() { (editions(view)) }
            @if !view.cases.is_empty() {
                h2 { (t(Key::RuleCases)) }
                table.list role="table" aria-label=(t(Key::RuleCases)) {
                    (list_heads(&[Key::RuleGiven, Key::RuleExpected]))
                    tbody role="rowgroup" {
                        @for case in &view.cases {
                            tr role="row" {
                                td role="cell" { (case.given) }
                                td role="cell" data-label=(t(Key::RuleExpected)) { (case.expected) }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// How the other editions, and this shop, have the rule.
fn editions(view: &RuleView) -> Markup {
    html! {
        h2 { (t(Key::RuleEditions)) }
        dl.pairs {
            @for edition in &view.editions {
                dt {
                    @match &edition.code {
                        Some(code) => a href={ "/rule/" (view.id) "?code=" (code) } { (edition.title) },
                        None => (edition.title),
                    }
                }
                dd {
                    @if edition.differs.is_empty() { (t(Key::RuleSame)) }
                    @for line in &edition.differs { p { (line) } }
                }
            }
        }
    }
}

/// `GET /about`.
pub(crate) async fn about(State(bench): State<Bench>, visitor: Visitor) -> Result<Markup, Problem> {
    let about = bench.desk.about().await?;
    let cautions = [
        Key::CautionArc,
        Key::CautionFume,
        Key::CautionShock,
        Key::CautionFire,
        Key::CautionGrind,
        Key::CautionBend,
    ];
    let body = html! {
        article.slip {
            h1 { (t(Key::AboutTitle)) }
            h2 { (t(Key::AboutCautions)) }
            ul.cautions { @for caution in cautions { li { (t(caution)) } } }
            h2 { (t(Key::AboutLimits)) }
            p { (t(Key::AboutFollow)) }
            h2 { (t(Key::AboutVersions)) }
            (pairs(&about.versions))
        }
    };
    Ok(page(&visitor, t(Key::AboutTitle), Some("/about.json"), Here::About, &body))
}

/// `GET /about.json`.
pub(crate) async fn about_json(State(bench): State<Bench>) -> Result<Json<About>, Problem> {
    Ok(Json(bench.desk.about().await?))
}

/// The question for a name, with the way back.
pub(crate) fn who_form(back: &str, error: Option<Key>) -> Markup {
    html! {
        form.slip.who-form method="post" action="/who" {
            input type="hidden" name="back" value=(back);
            div.field {
                label for="who" { (t(Key::WhoAsk)) }
                span.entry {
                    input #who name="who" type="text" autocomplete="name" aria-describedby="who-why"
                        aria-invalid=[error.map(|_| "true")] maxlength=(crate::visitor::NAME_CHARS_MAX);
                    button.button type="submit" { (t(Key::WhoSet)) }
                }
            }
            @if let Some(words) = error { p.field-error { (t(words)) } }
            p.soft #who-why { (t(Key::WhoWhy)) }
        }
    }
}

/// `GET /who`: ask again.
pub(crate) async fn who(visitor: Visitor, Query(query): Query<BTreeMap<String, String>>) -> Markup {
    let back = safe_return(query.get("back").map_or("/", String::as_str));
    let body = html! { div.pad { h1 { (t(Key::WhoChange)) } (who_form(back, None)) } };
    page(&visitor, t(Key::WhoAsk), None, Here::Elsewhere, &body)
}

/// `POST /who`: keep the name in a cookie.
pub(crate) async fn set_who(visitor: Visitor, pairs: Pairs) -> Response {
    let back = safe_return(pairs.get("back").unwrap_or("/"));
    match pairs.get("who").and_then(clean_name) {
        Some(name) => ([(SET_COOKIE, set_cookie(WHO_COOKIE, &name))], Redirect::to(back)).into_response(),
        None => {
            let body =
                html! { div.pad { h1 { (t(Key::WhoChange)) } (who_form(back, Some(Key::WhoRequired))) } };
            let page = page(&visitor, t(Key::WhoAsk), None, Here::Elsewhere, &body);
            (axum::http::StatusCode::UNPROCESSABLE_ENTITY, page).into_response()
        }
    }
}

/// `POST /clock`: somebody says that this computer's clock is right.
pub(crate) async fn confirm_clock(State(bench): State<Bench>, pairs: Pairs) -> Redirect {
    bench.desk.confirm_clock();
    Redirect::to(safe_return(pairs.get("back").unwrap_or("/")))
}

/// `POST /look`: keep the look in a cookie.
pub(crate) async fn set_look(pairs: Pairs) -> Response {
    let theme = Theme::from_slug(pairs.get("look").unwrap_or_default());
    let back = safe_return(pairs.get("back").unwrap_or("/"));
    ([(SET_COOKIE, set_cookie(THEME_COOKIE, theme.slug()))], Redirect::to(back)).into_response()
}
