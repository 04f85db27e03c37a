//! "May this welder weld this joint?": a plain form for the joint, and the
//! answer of every code under which something is held. All of it stands in the
//! address, and nothing is kept.

use axum::Json;
use axum::extract::{Path, Query, RawQuery, State};
use bendproof_traveler::sheet::AheadLine;
use bendproof_traveler::sheet::Mark;
use maud::{Markup, html};
use serde_json::Value;

use crate::answer::Problem;
use crate::app::Bench;
use crate::codes::rules;
use crate::desk::{JointAnswer, JointAsk, JointAskView, TestAnswer, UnderAnswer};
use crate::finder::entry;
use crate::form::{boxes_of, word_of};
use crate::layout::{Here, page};
use crate::parts::bar;
use crate::text::{Key, fill, t};
use crate::visitor::Visitor;

type Pairs = Vec<(String, String)>;

/// Branch of the boxes in the address.
const BOXES: &str = "ask.1.";
/// Name of the box for the day.
const DAY: &str = "on";

fn ask_of(pairs: &Pairs) -> JointAsk {
    JointAsk {
        boxes: boxes_of(pairs, |path| path.starts_with(BOXES)),
        on: word_of(pairs, DAY),
        is_asked: word_of(pairs, "do") == "ask",
    }
}

/// `GET /welder/ID/ask`.
pub(crate) async fn show(
    State(bench): State<Bench>,
    visitor: Visitor,
    Path(id): Path<String>,
    Query(pairs): Query<Pairs>,
    RawQuery(raw): RawQuery,
) -> Result<Markup, Problem> {
    let view = bench.desk.welder_ask(&id, ask_of(&pairs)).await?;
    let title = fill(Key::AskTitle, &[("name", &view.name)]);
    let body = html! {
        div.pad {
            p.back { a href={ "/welder/" (id) } { (fill(Key::AskBack, &[("name", &view.name)])) } }
            header.list-head { h1 { (title) } p.soft { (t(Key::AskLead)) } }
            @if let Some(answer) = &view.answer { (answered(answer)) }
            (form(&id, &view))
        }
    };
    let twin = format!("/welder/{id}/ask.json{}", raw.map(|raw| format!("?{raw}")).unwrap_or_default());
    Ok(page(&visitor, &title, Some(&twin), Here::Welders, &body))
}

/// `GET /welder/ID/ask.json`.
pub(crate) async fn twin(
    State(bench): State<Bench>,
    Path(id): Path<String>,
    Query(pairs): Query<Pairs>,
) -> Result<Json<Value>, Problem> {
    let ask = JointAsk { is_asked: true, ..ask_of(&pairs) };
    Ok(Json(bench.desk.welder_ask(&id, ask).await?.data))
}

fn form(id: &str, view: &JointAskView) -> Markup {
    let of_day = || view.findings.iter().filter(|f| f.path.as_deref() == Some(DAY));
    let is_boxed = |path: &str| path == DAY || view.boxes.iter().any(|b| b.path == path);
    let others = view.findings.iter().filter(|f| !f.path.as_deref().is_some_and(is_boxed));
    let is_wrong = of_day().next().is_some();
    html! {
        form.slip.enter method="get" action={ "/welder/" (id) "/ask" } {
            @if !view.findings.is_empty() { p.field-error role="alert" { (t(Key::AskWrong)) } }
            @for finding in others { p.field-error { (finding.message) } }
            div.field-grid {
                @for one in &view.boxes { (entry(one, &view.findings)) }
                div.field {
                    label for="ask-day" { (t(Key::AskDay)) }
                    span.entry {
                        input #ask-day name=(DAY) type="date" value=(view.on) aria-invalid=[is_wrong.then_some("true")]
                            aria-describedby=[is_wrong.then_some("ask-day-error")];
                    }
                    @if is_wrong {
                        div.field-error #ask-day-error { @for finding in of_day() { p { (finding.message) } } }
                    }
                }
            }
            p.soft { (t(Key::AskBaseMetal)) }
            button.button type="submit" name="do" value="ask" { (t(Key::AskButton)) }
        }
    }
}

fn answered(answer: &JointAnswer) -> Markup {
    html! {
        section.slip.asked #answer aria-labelledby="answer-head" {
            h2 #answer-head { (bar(answer.mark, "")) " " (answer.words) }
            p { (answer.question) }
            @if answer.under.is_empty() { p { (t(Key::AskNothing)) } }
            @for one in &answer.under { (under(one)) }
        }
    }
}

fn under(one: &UnderAnswer) -> Markup {
    let (first, rest) = match one.tests.split_first() {
        Some((first, rest)) => (Some(first), rest),
        None => (None, one.tests.as_slice()),
    };
    html! {
        section.found {
            h3 { (bar(one.mark, "")) " " (fill(Key::AskUnder, &[("code", &one.title)])) ": " (one.words) }
            @if let Some(first) = first { (test(first)) }
            @if !rest.is_empty() {
                details.lines {
                    summary { (more_words(rest.len())) }
                    @for one in rest { (test(one)) }
                }
            }
        }
    }
}

fn more_words(n: usize) -> String {
    match n {
        1 => t(Key::AskRestOne).to_owned(),
        n => fill(Key::AskRest, &[("n", &n.to_string())]),
    }
}

fn test(one: &TestAnswer) -> Markup {
    html! {
        p {
            a href={ "/coupon/" (one.coupon) } { (fill(Key::AskCoupon, &[("n", &one.coupon)])) }
            ": " strong { (one.words) }
        }
        ul.asked-sides { @for (mark, word, line) in &one.reasons { (side(*mark, word, line)) } }
    }
}

/// One side of an answer with its rules.
pub(crate) fn side(mark: Mark, word: &str, line: &AheadLine) -> Markup {
    html! { li { (bar(mark, word)) " " span { strong { (word) } ": " (line.words) " " (rules(&line.rules)) } } }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_boxes_of_the_joint_with_a_text_are_asked() {
        let pairs =
            [("ask.1.position", " OH "), ("ask.2.position", "F"), ("ask.1.backing", " "), ("on", "x")];
        let ask = ask_of(&pairs.map(|(k, v)| (k.to_owned(), v.to_owned())).to_vec());
        assert_eq!(ask.boxes, [("ask.1.position".to_owned(), "OH".to_owned())]);
        assert_eq!((ask.on.as_str(), ask.is_asked), ("x", false));
    }
}
