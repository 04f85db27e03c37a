//! "Is this joint inside this procedure?": a plain form whose whole question
//! stands in the address, and the answer with its clauses.

use axum::Json;
use axum::extract::{Path, Query, RawQuery, State};
use maud::{Markup, html};
use serde_json::Value;

use crate::answer::Problem;
use crate::app::Bench;
use crate::desk::{JointInside, ProcedureAsk, ProcedureAskView};
use crate::finder::entry;
use crate::form::{boxes_of, word_of};
use crate::joint_ask::side;
use crate::layout::{Here, page};
use crate::parts::bar;
use crate::procedure_page::allowance;
use crate::text::{Key, fill, t};
use crate::visitor::Visitor;

type Pairs = Vec<(String, String)>;

/// Branch of the boxes in the address.
const BOXES: &str = "joint.1.";

fn ask_of(pairs: &Pairs) -> ProcedureAsk {
    ProcedureAsk {
        boxes: boxes_of(pairs, |path| path.starts_with(BOXES)),
        code: word_of(pairs, "code"),
        is_asked: word_of(pairs, "do") == "ask",
    }
}

/// `GET /procedure/NUMBER/ask`.
pub(crate) async fn show(
    State(bench): State<Bench>,
    visitor: Visitor,
    Path(number): Path<String>,
    Query(pairs): Query<Pairs>,
    RawQuery(raw): RawQuery,
) -> Result<Markup, Problem> {
    let ask = ask_of(&pairs);
    let view = bench.desk.ask_procedure(&number, ask.clone()).await?;
    let title = fill(Key::ProcedureAskTitle, &[("n", &number)]);
    let body = html! {
        div.pad {
            p.back { a href={ "/procedure/" (number) } { (fill(Key::AskBack, &[("name", &number)])) } }
            header.list-head { h1 { (title) } p.soft { (t(Key::ProcedureAskLead)) } }
            @if let Some(answer) = &view.answer {
                section.slip.asked #answer aria-labelledby="answer-head" { (inside(answer, true)) }
            }
            (form(&number, &ask, &view))
        }
    };
    let twin =
        format!("/procedure/{number}/ask.json{}", raw.map(|raw| format!("?{raw}")).unwrap_or_default());
    Ok(page(&visitor, &title, Some(&twin), Here::Procedures, &body))
}

/// `GET /procedure/NUMBER/ask.json`.
pub(crate) async fn twin(
    State(bench): State<Bench>,
    Path(number): Path<String>,
    Query(pairs): Query<Pairs>,
) -> Result<Json<Value>, Problem> {
    let ask = ProcedureAsk { is_asked: true, ..ask_of(&pairs) };
    Ok(Json(bench.desk.ask_procedure(&number, ask).await?.data))
}

fn form(number: &str, ask: &ProcedureAsk, view: &ProcedureAskView) -> Markup {
    let is_boxed = |path: &str| view.boxes.iter().chain(&view.more).any(|b| b.path == path);
    let others = view.findings.iter().filter(|f| !f.path.as_deref().is_some_and(is_boxed));
    let is_open = view.more.iter().any(|b| !b.text.is_empty());
    html! {
        form.slip.enter method="get" action={ "/procedure/" (number) "/ask" } {
            @if !view.findings.is_empty() { p.field-error role="alert" { (t(Key::AskWrong)) } }
            @for finding in others { p.field-error { (finding.message) } }
            div.field-grid { @for one in &view.boxes { (entry(one, &view.findings)) } }
            details.lines open[is_open] {
                summary { (t(Key::ProcedureAskMore)) }
                div.field-grid { @for one in &view.more { (entry(one, &view.findings)) } }
            }
            div.field {
                label for="ask-code" { (t(Key::ProcedureCode)) }
                span.entry { select #ask-code name="code" {
                    option value="" { (t(Key::ProcedureOwnCode)) }
                    @for (id, title) in &view.codes { option value=(id) selected[*id == ask.code] { (title) } }
                } }
            }
            button.button type="submit" name="do" value="ask" { (t(Key::AskButton)) }
        }
    }
}

/// Whether one joint is inside, with its reasons.
pub(crate) fn inside(joint: &JointInside, is_head: bool) -> Markup {
    html! {
        @if is_head { h2 #answer-head { (bar(joint.mark, "")) " " (joint.name) ": " (joint.words) } }
        @else { h3 { (bar(joint.mark, "")) " " (joint.name) ": " (joint.words) } }
        @for (title, by) in &joint.by { (allowance(title, by)) }
        @if !joint.more.is_empty() {
            ul.asked-sides { @for (mark, word, line) in &joint.more { (side(*mark, word, line)) } }
        }
    }
}
