//! The smallest tests for a job: a plain form for the joints, and the coupons
//! that cover them, code by code. Everything asked stands in the address.

use axum::Json;
use axum::extract::{Query, RawQuery, State};
use axum::response::{IntoResponse, Response};
use bendproof_traveler::sheet::AheadLine;
use bendproof_traveler::sheet::Mark;
use maud::{Markup, html};

use crate::answer::Problem;
use crate::app::Bench;
use crate::codes::rules;
use crate::desk::{FinderAsk, FinderBox, FinderView, Finding, FoundJoint, FoundSet, FoundView};
use crate::field::input_id;
use crate::form::boxes_of;
use crate::layout::{Here, page};
use crate::parts::bar;
use crate::text::{Key, fill, t};
use crate::visitor::Visitor;

/// Most joints of one question. Basis: choice, more fill a phone's screen many
/// times over; a joints file takes more.
const JOINTS_MAX: usize = 8;

type Pairs = Vec<(String, String)>;

fn ask_of(pairs: &Pairs) -> FinderAsk {
    let get = |name: &str| pairs.iter().find(|(key, _)| key == name).map(|(_, value)| value.as_str());
    let shown = get("joints").and_then(|n| n.parse::<usize>().ok()).unwrap_or(1);
    let joints = match get("do") {
        Some("more") => shown.saturating_add(1),
        Some("less") => shown.saturating_sub(1),
        _ => shown,
    };
    let joints = joints.clamp(1, JOINTS_MAX);
    let is_shown = |path: &str| {
        let number = path.strip_prefix("joint.").and_then(|rest| rest.split_once('.'));
        number.and_then(|(n, _)| n.parse::<usize>().ok()).is_some_and(|n| (1..=joints).contains(&n))
    };
    FinderAsk {
        boxes: boxes_of(pairs, is_shown),
        joints,
        code: get("code").unwrap_or_default().to_owned(),
        is_asked: get("do") == Some("find"),
    }
}

/// `GET /finder`.
pub(crate) async fn show(
    State(bench): State<Bench>,
    visitor: Visitor,
    Query(pairs): Query<Pairs>,
    RawQuery(raw): RawQuery,
) -> Result<Markup, Problem> {
    let ask = ask_of(&pairs);
    let view = bench.desk.finder(ask.clone()).await?;
    let body = html! {
        div.pad {
            (crate::pages::list_head(Key::FinderTitle, Key::FinderLead))
            (form(&ask, &view))
            @if !view.found.is_empty() {
                section.slip #found aria-label=(t(Key::FinderFind)) { @for found in &view.found { (answer(found)) } }
            }
        }
    };
    let twin = format!("/finder.json{}", raw.map(|raw| format!("?{raw}")).unwrap_or_default());
    Ok(page(&visitor, t(Key::FinderTitle), Some(&twin), Here::Finder, &body))
}

/// `GET /finder.json`.
pub(crate) async fn twin(
    State(bench): State<Bench>,
    Query(pairs): Query<Pairs>,
) -> Result<Response, Problem> {
    let ask = FinderAsk { is_asked: true, ..ask_of(&pairs) };
    Ok(Json(bench.desk.finder(ask).await?.data).into_response())
}

fn form(ask: &FinderAsk, view: &FinderView) -> Markup {
    let others = view
        .findings
        .iter()
        .filter(|f| !view.joints.iter().flatten().any(|b| f.path.as_deref() == Some(&b.path)));
    html! {
        form.slip.enter method="get" action="/finder" {
            // Enter in a box presses the first submit button of the form.
            button.vh type="submit" name="do" value="find" tabindex="-1" aria-hidden="true" { (t(Key::FinderFind)) }
            input type="hidden" name="joints" value=(ask.joints);
            @if !view.findings.is_empty() { p.field-error role="alert" { (t(Key::FinderWrong)) } }
            @for finding in others { p.field-error { (finding.message) } }
            @for (index, boxes) in view.joints.iter().enumerate() {
                fieldset.finder-joint {
                    legend { (fill(Key::FinderJoint, &[("n", &(index + 1).to_string())])) }
                    div.field-grid { @for one in boxes { (entry(one, &view.findings)) } }
                }
            }
            div.choices {
                @if ask.joints < JOINTS_MAX { button.plain type="submit" name="do" value="more" { (t(Key::FinderMore)) } }
                @if ask.joints > 1 { button.plain type="submit" name="do" value="less" { (t(Key::FinderLess)) } }
            }
            div.choices {
                div.field {
                    label for="finder-code" { (t(Key::FinderCode)) }
                    span.entry { select #finder-code name="code" {
                        option value="" { (t(Key::FinderAll)) }
                        @for (id, title) in &view.codes { option value=(id) selected[*id == ask.code] { (title) } }
                    } }
                }
                button.button type="submit" name="do" value="find" { (t(Key::FinderFind)) }
            }
        }
    }
}

/// A box of a question with what is wrong with it.
pub(crate) fn entry(one: &FinderBox, findings: &[Finding]) -> Markup {
    let id = input_id(&one.path);
    let errors: Vec<&str> = findings
        .iter()
        .filter(|f| f.path.as_deref() == Some(&one.path))
        .map(|f| f.message.as_str())
        .collect();
    let is_wrong = (!errors.is_empty()).then_some("true");
    let error_id = format!("{id}-error");
    let described = (!errors.is_empty()).then_some(&error_id);
    html! {
        div.field {
            label for=(id) title=(one.hint) { (one.label) }
            span.entry {
                @if one.options.is_empty() {
                    input id=(id) name=(one.path) type="text" value=(one.text) autocomplete="off"
                        aria-invalid=[is_wrong] aria-describedby=[described];
                } @else {
                    select id=(id) name=(one.path) aria-invalid=[is_wrong] aria-describedby=[described] {
                        option value="" { (t(Key::FinderNone)) }
                        @if !one.text.is_empty() && !one.options.iter().any(|(word, _)| *word == one.text) {
                            option value=(one.text) selected { (one.text) }
                        }
                        @for (word, shown) in &one.options {
                            option value=(word) selected[*word == one.text] { (shown) }
                        }
                    }
                }
            }
            @if !errors.is_empty() { div.field-error id=(error_id) { @for words in errors { p { (words) } } } }
        }
    }
}

fn answer(found: &FoundView) -> Markup {
    html! {
        section.found aria-labelledby={ "found-" (found.code) } {
            h2 id={ "found-" (found.code) } { (found.title) }
            @if found.sets.is_empty() { p { (bar(Mark::NotKnown, t(Key::MarkNotKnown))) " " (t(Key::FinderNothing)) } }
            @for one in &found.sets { (set(one, None)) }
            @for one in &found.if_settled { (set(one, Some(Key::FinderIfSettled))) }
            @if !found.open.is_empty() {
                h3 { (t(Key::FinderOpen)) }
                ul { @for joint in &found.open { (open_joint(joint)) } }
            }
            @if !found.is_complete { p { (t(Key::FinderCut)) } }
        }
    }
}

fn set(set: &FoundSet, head: Option<Key>) -> Markup {
    let mark = if head.is_some() { Mark::NotKnown } else { Mark::Holds };
    let count = match set.coupons {
        1 => t(Key::FinderSetOne).to_owned(),
        n => fill(Key::FinderSet, &[("n", &n.to_string())]),
    };
    let metal = fill(Key::FinderMetal, &[("n", &set.metal)]);
    html! {
        div.found-set {
            h3 { (bar(mark, head.map_or("", t))) " " @if let Some(head) = head { (t(head)) ", " } (count) ", " (metal) }
            ul { @for test in &set.tests { li {
                strong { (test.name) }
                @if !test.joints.is_empty() { " " (fill(Key::FinderCovers, &[("joints", &test.joints.join("; "))])) }
            } } }
            (sentences(&set.doubts))
        }
    }
}

fn open_joint(joint: &FoundJoint) -> Markup {
    let nearest = joint.nearest.as_ref().map(|test| fill(Key::FinderNearest, &[("test", test)]));
    html! {
        li {
            strong { (joint.name) } ": " (joint.answer)
            @if let Some(words) = nearest { "; " (words) }
            (sentences(&joint.reasons))
        }
    }
}

fn sentences(lines: &[AheadLine]) -> Markup {
    html! { @if !lines.is_empty() { ul.notes { @for line in lines { li { (line.words) " " (rules(&line.rules)) } } } } }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn asked(pairs: &[(&str, &str)]) -> FinderAsk {
        ask_of(&pairs.iter().map(|(k, v)| ((*k).to_owned(), (*v).to_owned())).collect())
    }

    #[test]
    fn joints_are_added_and_taken_away_within_bounds() {
        assert_eq!(asked(&[]).joints, 1);
        assert_eq!(asked(&[("joints", "2"), ("do", "more")]).joints, 3);
        assert_eq!(asked(&[("joints", "1"), ("do", "less")]).joints, 1);
        assert_eq!(asked(&[("joints", "999999")]).joints, JOINTS_MAX);
    }

    #[test]
    fn only_boxes_of_shown_joints_with_a_text_are_asked() {
        let ask = asked(&[
            ("joints", "1"),
            ("joint.1.kind", " fillet "),
            ("joint.2.kind", "fillet"),
            ("joint.1.backing", ""),
            ("code", "x"),
        ]);
        assert_eq!(ask.boxes, [("joint.1.kind".to_owned(), "fillet".to_owned())]);
        assert_eq!(ask.code, "x");
        assert!(!ask.is_asked);
    }
}
