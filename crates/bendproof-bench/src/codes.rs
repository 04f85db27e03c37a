//! One coupon across the codes: a table that says where they differ, and under
//! each code what it asks, what it would give and what not.

use axum::Json;
use axum::extract::{Path, State};
use bendproof_traveler::cover::{Across, AcrossCell, CodeAhead, CodesView};
use bendproof_traveler::sheet::Mark;
use bendproof_traveler::sheet::{AheadLine, RuleWay};
use maud::{Markup, PreEscaped, html};
use serde_json::{Value, json};

use crate::answer::Problem;
use crate::app::Bench;
use crate::layout::{Here, page};
use crate::parts::bar;
use crate::text::{Key, fill, t};
use crate::visitor::Visitor;

fn address(number: &str) -> String {
    format!("/coupon/{number}/codes")
}

/// `GET /coupon/NUMBER/codes`.
pub(crate) async fn show(
    State(bench): State<Bench>,
    visitor: Visitor,
    Path(number): Path<String>,
) -> Result<Markup, Problem> {
    let found = bench.desk.codes(&number).await?;
    let title = fill(Key::CodesPageTitle, &[("n", &number)]);
    let body = html! {
        article.slip.codes-page {
            p.back { a href={ "/coupon/" (number) } { (fill(Key::SectionBack, &[("n", &number)])) } }
            h1 { (title) }
            @match &found {
                Ok(codes) => (whole(&codes.view)),
                Err(reasons) => {
                    p { (bar(Mark::NotKnown, t(Key::MarkNotKnown))) " " strong { (t(Key::MarkNotKnown)) } }
                    ul.notes { @for reason in reasons { li { (reason) } } }
                }
            }
        }
    };
    let twin = format!("{}.json", address(&number));
    Ok(page(&visitor, &title, Some(&twin), Here::Coupons, &body))
}

/// `GET /coupon/NUMBER/codes.json`.
pub(crate) async fn twin(
    State(bench): State<Bench>,
    Path(number): Path<String>,
) -> Result<Json<Value>, Problem> {
    Ok(Json(match bench.desk.codes(&number).await? {
        Ok(codes) => codes.data,
        Err(reasons) => json!({ "not_known": reasons }),
    }))
}

/// The way from the sheet to this page.
pub(crate) fn way(number: &str) -> Markup {
    html! { p.no-print { a.plain href=(address(number)) { (t(Key::CodesOpen)) } } }
}

fn whole(view: &CodesView) -> Markup {
    html! {
        p.soft { (t(Key::CodesLead)) }
        (table(&view.table))
        @for code in &view.codes { (under(code)) }
        p.soft { (t(Key::CodesFollow)) }
    }
}

fn table(table: &Across) -> Markup {
    html! {
        table.list.codes role="table" aria-label=(t(Key::CodesTable)) {
            thead role="rowgroup" { tr role="row" {
                th role="columnheader" scope="col" { (t(Key::CodesAbout)) }
                @for column in &table.columns {
                    th role="columnheader" scope="col" {
                        a href={ "#" (anchor(&column.code)) } { (column.short) }
                        @if column.is_own { " " (t(Key::CodesOwn)) }
                    }
                }
            } }
            tbody role="rowgroup" {
                @for row in &table.rows {
                    tr role="row" {
                        th role="rowheader" scope="row" { (row.about) }
                        @for (cell, column) in row.cells.iter().zip(&table.columns) {
                            td role="cell" data-label=(column.short) { (answer(cell)) }
                        }
                    }
                }
            }
        }
    }
}

fn answer(cell: &AcrossCell) -> Markup {
    html! {
        @if cell.differs { strong.differs { (t(Key::CodesDiffers)) ":" } " " }
        (cell.text)
        @if let Some(why) = &cell.why { p.soft { (why) } }
        @let ways = cell.rules.iter().map(|c| RuleWay { to: c.rule.clone(), clause: c.clause.clone() });
        (rules(&ways.collect::<Vec<_>>()))
    }
}

/// Ways to the pages of the rules by their clauses, each once; several are folded.
pub(crate) fn rules(ways: &[RuleWay]) -> Markup {
    let mut once: Vec<&RuleWay> = Vec::new();
    for way in ways {
        if !once.contains(&way) {
            once.push(way);
        }
    }
    let ways = html! { @for way in &once { a href={ "/rule/" (way.to) } { (way.clause) } } };
    match once.len() {
        0 => html! {},
        1 => html! { span.rules { (ways) } },
        n => html! {
            details.rules {
                summary { (fill(Key::CodesRules, &[("n", &n.to_string())])) }
                (ways)
            }
        },
    }
}

fn anchor(code: &str) -> String {
    format!("code-{code}")
}

fn under(code: &CodeAhead) -> Markup {
    html! {
        section.under-code id=(anchor(&code.code)) {
            h2 { (code.title) }
            @if let Some(refused) = &code.refused {
                p { (bar(Mark::Fails, t(Key::CodesNothing))) " " strong { (t(Key::CodesNothing)) } ": " (refused.words) " " (rules(&refused.rules)) }
            }
            @if !code.chart.is_empty() { figure.coverage { (PreEscaped(&code.chart)) } }
            div.under-words {
                @if let Some(line) = &code.designation { p { (line) } }
                (lines(Key::CodesWould, &code.would, true))
                (lines(Key::CodesWouldNot, &code.would_not, true))
                (lines(Key::CodesNotSure, &code.not_sure, true))
                (lines(Key::CodesAsks, &code.asks, false))
                (lines(Key::CodesLater, &code.later, false))
            }
        }
    }
}

fn lines(head: Key, all: &[AheadLine], is_open: bool) -> Markup {
    html! {
        @if !all.is_empty() {
            details.lines open[is_open] {
                summary { (t(head)) }
                ul { @for line in all { li { (line.words) " " (rules(&line.rules)) } } }
            }
        }
    }
}
