//! One procedure on one page: what its record and the code allow, its fields as
//! a form, its revisions.

use maud::{Markup, PreEscaped, html};

use crate::codes::rules;
use crate::desk::{
    AllowanceView, FinderBox, Finding, JointBoxes, ProcedurePart, ProcedureView, RecordOf, ReportView,
    VariableView,
};
use crate::field::input_id;
use crate::finder::entry;
use crate::joint_ask::side;
use crate::layout::{Here, page};
use crate::parts::{bar, history};
use crate::procedure_ask::inside;
use crate::procedures::{DROP, Unkept, WHY};
use crate::text::{Key, fill, t};
use crate::visitor::Visitor;

/// The page, with what was typed and not kept still in its boxes.
pub(crate) fn procedure_page(
    visitor: &Visitor,
    view: &ProcedureView,
    token: &str,
    unkept: &Unkept<'_>,
) -> Markup {
    let number = &view.number;
    let body = html! {
        div.pad {
            header.list-head {
                h1 { (number) }
                p.soft { (view.title) " · " (fill(Key::Version, &[("n", &view.version.to_string())])) }
                p { a.button href={ "/procedure/" (number) "/ask" } { (t(Key::ProcedureAskOpen)) } }
                (crate::records::way(RecordOf::Procedure, number))
            }
            (not_kept(unkept))
            section.slip.procedure aria-labelledby="allowed-head" {
                h2 #allowed-head { (t(Key::ProcedureAllowed)) }
                (code_form(view))
                @match &view.report {
                    Ok(report) => (answer_of(report)),
                    Err(findings) => {
                        p { (bar(bendproof_traveler::sheet::Mark::NotKnown, "")) " " strong { (t(Key::ProcedureUnread)) } }
                        ul.notes { @for finding in findings { li { (finding.message) } } }
                    }
                }
            }
            (joint(view))
            (edit_form(view, token, unkept))
            section.slip {
                h2 { (t(Key::ProcedureRevisions)) }
                (history(&view.history))
                @if view.can_undo { (undo_form(view)) }
                p.choices {
                    @for part in &view.parts {
                        a.plain href={ "/procedure/" (number) "/file/" (part.slug) } download { (file_words(&part.slug)) }
                    }
                }
            }
        }
    };
    let title = format!("{number} {}", view.title);
    let twin = format!("/procedure/{number}.json?code={}", view.code);
    page(visitor, &title, Some(&twin), Here::Procedures, &body)
}

/// The joint to scale, or why there is no drawing of it.
fn joint(view: &ProcedureView) -> Markup {
    html! {
        section.slip {
            h2 { (t(Key::ProcedureDrawn)) }
            @match &view.joint {
                Ok(svg) => figure.drawing { (PreEscaped(svg)) },
                Err(why) => p { (why) },
            }
        }
    }
}

fn file_words(slug: &str) -> &'static str {
    t(if slug == "record" { Key::ProcedureRecordFile } else { Key::ProcedureFile })
}

fn not_kept(unkept: &Unkept<'_>) -> Markup {
    html! {
        @if !unkept.since.is_empty() {
            section.slip role="alert" {
                h2 { (t(Key::ProcedureConflict)) }
                h3 { (t(Key::ConflictTheirs)) }
                (history(unkept.since))
            }
        }
        @if !unkept.findings.is_empty() { p.field-error role="alert" { (t(Key::StateRefused)) } }
    }
}

fn code_form(view: &ProcedureView) -> Markup {
    html! {
        form.day-form.no-print method="get" action={ "/procedure/" (view.number) } {
            div.field {
                label for="under-code" { (t(Key::ProcedureUnder)) }
                span.entry { select #under-code name="code" {
                    @for (id, title) in &view.codes { option value=(id) selected[*id == view.code] { (title) } }
                } }
            }
            button.button type="submit" { (t(Key::ProcedureUnderShow)) }
        }
    }
}

fn answer_of(report: &ReportView) -> Markup {
    html! {
        @for remark in &report.remarks { p.soft { (remark) } }
        @if let Some(supported) = &report.supported { (allowance(t(Key::ProcedureSupport), supported)) }
        @if let Some(claim) = &report.prequalified { (allowance(t(Key::ProcedureClaim), claim)) }
        @if !report.draft.is_empty() {
            details.lines open {
                summary { (t(Key::ProcedureVariables)) }
                (variables(&report.draft))
            }
        }
        @if !report.joints.is_empty() {
            h2 { (t(Key::ProcedureJoints)) }
            @for joint in &report.joints { section.found { (inside(joint, false)) } }
        }
    }
}

fn variables(all: &[VariableView]) -> Markup {
    let heads = [
        Key::ProcedureVariable,
        Key::ProcedureValue,
        Key::ProcedureMay,
        Key::ProcedureClass,
        Key::ProcedureRule,
    ];
    html! {
        table.list.codes.variables role="table" aria-label=(t(Key::ProcedureVariables)) {
            thead role="rowgroup" { tr role="row" {
                @for head in heads { th role="columnheader" scope="col" { (t(head)) } }
            } }
            tbody role="rowgroup" {
                @for one in all {
                    tr role="row" {
                        th role="rowheader" scope="row" { (one.name) }
                        td role="cell" data-label=(t(Key::ProcedureValue)) { (one.value) }
                        td role="cell" data-label=(t(Key::ProcedureMay)) { (one.allowed) }
                        td role="cell" data-label=(t(Key::ProcedureClass)) { (one.class) }
                        td role="cell" data-label=(t(Key::ProcedureRule)) { (rules(std::slice::from_ref(&one.rule))) " " (one.basis) }
                    }
                }
            }
        }
    }
}

/// An answer with its reasons; those against it are shown, the rest folded.
pub(crate) fn allowance(title: &str, allowance: &AllowanceView) -> Markup {
    let open = allowance.reasons.iter().filter(|(_, word, _)| word != INSIDE);
    let (open, rest): (Vec<_>, Vec<_>) =
        (open.collect(), allowance.reasons.iter().filter(|r| r.1 == INSIDE).collect());
    html! {
        section.found {
            h3 { (bar(allowance.mark, "")) " " (title) ": " (allowance.words) }
            ul.asked-sides { @for (mark, word, line) in open { (side(*mark, word, line)) } }
            @if !rest.is_empty() {
                details.lines {
                    summary { (fill(Key::ProcedureInside, &[("n", &rest.len().to_string())])) }
                    ul.asked-sides { @for (mark, word, line) in rest { (side(*mark, word, line)) } }
                }
            }
        }
    }
}

/// The word of a reason that speaks for it.
const INSIDE: &str = "inside";

fn edit_form<'a>(view: &'a ProcedureView, token: &str, unkept: &Unkept<'_>) -> Markup {
    let boxes = |part: &'a ProcedurePart| {
        let joints = part.joints.iter().flat_map(|joint| joint.shown.iter().chain(&joint.folded));
        part.written.iter().chain(&part.empty).chain(joints)
    };
    let is_boxed = |path: &str| path == WHY || view.parts.iter().flat_map(boxes).any(|b| b.path == path);
    let others = unkept.findings.iter().filter(|f| !f.path.as_deref().is_some_and(is_boxed));
    html! {
        form.slip.enter #fields method="post" action={ "/procedure/" (view.number) "/change" } {
            // Enter in a box presses the first submit button of the form, which must
            // not be one that takes a joint out.
            button.vh type="submit" tabindex="-1" aria-hidden="true" {}
            h2 { (t(Key::ProcedureFields)) }
            input type="hidden" name="version" value=(view.version);
            input type="hidden" name="token" value=(token);
            @for finding in others { p.field-error { (finding.message) } }
            @for part in &view.parts { (part_fields(part, unkept)) }
            (why_box(unkept))
            button.button type="submit" { (t(Key::ProcedureSave)) }
        }
    }
}

fn part_fields(part: &ProcedurePart, unkept: &Unkept<'_>) -> Markup {
    let is_typed = |b: &FinderBox| unkept.changes.iter().any(|(path, _)| *path == b.path);
    let head = if part.slug == "record" { Key::ProcedureRecordPart } else { Key::ProcedurePart };
    html! {
        fieldset.finder-joint {
            legend { (t(head)) }
            div.field-grid { @for one in &part.written { (kept_box(one, unkept)) } }
            details.lines open[part.empty.iter().any(is_typed)] {
                summary { (t(Key::ProcedureMore)) }
                div.field-grid { @for one in &part.empty { (kept_box(one, unkept)) } }
            }
        }
        @for joint in &part.joints { (joint_fields(joint, unkept)) }
    }
}

/// A joint written into the procedure, or the folded boxes of one more.
fn joint_fields(joint: &JointBoxes, unkept: &Unkept<'_>) -> Markup {
    let is_typed = |b: &FinderBox| unkept.changes.iter().any(|(path, _)| *path == b.path);
    let boxes = |all: &[FinderBox]| html! { div.field-grid { @for one in all { (kept_box(one, unkept)) } } };
    let more = html! {
        details.lines open[joint.folded.iter().any(is_typed)] {
            summary { (t(Key::ProcedureAskMore)) }
            (boxes(&joint.folded))
        }
    };
    match &joint.name {
        Some(name) => html! {
            fieldset.finder-joint {
                legend { (fill(Key::ProcedureJoint, &[("name", name)])) }
                (boxes(&joint.shown))
                (more)
                button.plain type="submit" name=(DROP) value=(joint.branch) aria-label={ (t(Key::ProcedureJointDrop)) ": " (name) } { (t(Key::ProcedureJointDrop)) }
            }
        },
        None => html! {
            details.lines.finder-joint open[joint.shown.iter().chain(&joint.folded).any(is_typed)] {
                summary { (t(Key::ProcedureJointAdd)) }
                p.soft { (t(Key::ProcedureJointWhy)) }
                (boxes(&joint.shown))
                (more)
            }
        },
    }
}

/// A box with what was typed, and next to it what is kept, so that only what the
/// hand changed counts as changed.
fn kept_box(one: &FinderBox, unkept: &Unkept<'_>) -> Markup {
    let typed = unkept.changes.iter().find(|(path, _)| *path == one.path);
    let shown = FinderBox {
        text: typed.map_or_else(|| one.text.clone(), |(_, text)| text.clone().unwrap_or_default()),
        ..one.clone()
    };
    html! {
        (entry(&shown, unkept.findings))
        input type="hidden" name={ "was:" (one.path) } value=(one.text);
    }
}

fn why_box(unkept: &Unkept<'_>) -> Markup {
    let wrong: Vec<&Finding> = unkept.findings.iter().filter(|f| f.path.as_deref() == Some(WHY)).collect();
    let (id, is_wrong) = (input_id(WHY), !wrong.is_empty());
    let error = format!("{id}-error");
    html! {
        div.field.whole {
            label for=(id) { (t(Key::ProcedureWhy)) }
            span.entry {
                input id=(id) name=(WHY) type="text" value=(unkept.why) autocomplete="off"
                    aria-invalid=[is_wrong.then_some("true")] aria-describedby=[is_wrong.then_some(&error)];
            }
            @if is_wrong { div.field-error id=(error) { @for finding in wrong { p { (finding.message) } } } }
        }
    }
}

fn undo_form(view: &ProcedureView) -> Markup {
    html! {
        form method="post" action={ "/procedure/" (view.number) "/undo" } {
            input type="hidden" name="version" value=(view.version);
            button.plain type="submit" { (t(Key::Undo)) }
        }
    }
}
