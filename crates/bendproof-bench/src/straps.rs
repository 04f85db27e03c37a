//! Operation 60: the straps cut from the coupon, each bent, looked at, and its
//! openings placed and measured.
//!
//! An opening is placed by pointing at the convex face or by the plain button;
//! either way its length, place and cause are then typed.

use bendproof_drawing::{BentStrap, FaceOpening, Frame, StrapFace, Theme, Words, bent_strap, strap_face};
use bendproof_traveler::sheet::{Control, Field, OpeningView, Provenance, Rule, StrapView};
use maud::{Markup, PreEscaped, html};

use crate::field::{entry, input_id};
use crate::parts::{bar, finding_lines, verdict_mark};
use crate::rule::slider;
use crate::text::{Key, fill, t};

/// Width of the flat face in user units at which its lettering reads well on a
/// phone as on a desk. Basis: choice.
const FACE_UNITS: f64 = 400.0;
/// Width of the bent strap in user units. Basis: choice.
const BENT_UNITS: f64 = 190.0;
/// Millimetres in an inch.
const INCH_MM: f64 = 25.4;
/// What `strap.N.openings` holds for a face looked at and found clean.
const NONE_FOUND: &str = "none";
/// Right end and divisions of the rule an opening is measured with, inches.
const OPENING_RULE_IN: [f64; 3] = [0.5, 1.0 / 64.0, 0.125];

/// One strap.
pub(crate) fn strap(view: &StrapView) -> Markup {
    let heading = fill(Key::StrapTitle, &[("id", &view.id), ("kind", &view.kind)]);
    html! {
        article.strap id={ "strap-" (view.strap) } aria-labelledby={ "strap-" (view.strap) "-name" } {
            header.strap-head {
                (bar(view.mark, &view.verdict))
                h3 id={ "strap-" (view.strap) "-name" } { (heading) }
                span.strap-verdict { (view.verdict) }
            }
            div.strap-drawings {
                div.drawing.bent { (PreEscaped(bent(view))) }
                div.drawing.convex data-face data-row={ "opening:" (view.strap) ":add" } {
                    (PreEscaped(face(view)))
                    p.drawing-note { (fill(Key::StrapConvex, &[("id", &view.id)])) }
                }
            }
            div.strap-work {
                (settings(view))
                (openings(view))
                (finding_lines(&view.findings, |line| verdict_mark(&line.verdict)))
                (remove_button(&format!("strap:remove:{}", view.strap),
                    &fill(Key::StrapRemove, &[("id", &view.id)])))
            }
        }
    }
}

/// A button that takes a row away.
pub(crate) fn remove_button(row: &str, words: &str) -> Markup {
    html! { button.plain type="submit" name="row" value=(row) data-row-button { (words) } }
}

/// A button that adds a row.
pub(crate) fn add_button(row: &str, words: &str) -> Markup {
    html! { button.button type="submit" name="row" value=(row) data-row-button { (words) } }
}

fn settings(view: &StrapView) -> Markup {
    html! {
        div.strap-settings {
            @for one in &view.fields { (small_field(one, &view.id)) }
            @if view.fields.is_empty() { p.strap-size { (view.thickness) } }
            @if view.openings.is_empty() { (inspected(view)) }
        }
    }
}

pub(crate) fn small_field(one: &Field, of: &str) -> Markup {
    let id = input_id(&one.path);
    html! {
        div.field.small-field {
            // The name begins with what is seen, so that it can be spoken.
            label for=(id) { (one.label) span.vh { ", " (of) } }
            span.entry { (entry(one, &id, None)) @if !one.also.is_empty() { span.also { (one.also) } } }
            @if let Some(words) = &one.error { p.field-error id={ (id) "-error" } { (words) } }
        }
    }
}

fn inspected(view: &StrapView) -> Markup {
    let path = format!("strap.{}.openings", view.strap);
    let words = [Key::StrapInspected, Key::StrapNotInspected, Key::StrapNoneFound];
    looked(&path, &view.id, view.is_inspected, words)
}

/// Looked at or not is a choice of two, since an unticked box is not posted by
/// a plain form and would be lost. `words` name the choice and its two sides.
pub(crate) fn looked(path: &str, of: &str, is_looked: bool, words: [Key; 3]) -> Markup {
    let id = input_id(path);
    let value = if is_looked { NONE_FOUND } else { "" };
    let [name, not_yet, none_found] = words;
    html! {
        div.field.small-field {
            label for=(id) { (t(name)) span.vh { ", " (of) } }
            span.entry {
                select id=(id) name=(path) {
                    option value="" selected[!is_looked] { (t(not_yet)) }
                    option value=(NONE_FOUND) selected[is_looked] { (t(none_found)) }
                }
                input type="hidden" name={ "was:" (path) } value=(value);
            }
        }
    }
}

fn openings(view: &StrapView) -> Markup {
    html! {
        @if !view.openings.is_empty() {
            ol.openings {
                @for opening in &view.openings { (opening_row(view, opening)) }
            }
        }
        (add_button(&format!("opening:{}:add", view.strap), t(Key::OpeningAdd)))
    }
}

fn opening_row(view: &StrapView, opening: &OpeningView) -> Markup {
    let (strap, n) = (view.strap, opening.opening.to_string());
    let words = fill(Key::OpeningName, &[("n", &n)]);
    let name = format!("{words}, {}", view.id);
    let length = opening.fields.iter().find(|one| one.path.ends_with(".length"));
    html! {
        li.opening id={ "opening-" (strap) "-" (n) } {
            p.opening-name { (words) span.also { (opening.length) } }
            @for one in &opening.fields { (small_field(one, &name)) }
            button.plain type="submit" name="row" value={ "opening:" (strap) ":remove:" (n) } data-row-button
                aria-label=(fill(Key::OpeningRemove, &[("n", &n)])) { (t(Key::TakeAway)) }
            @if let Some(length) = length { div.opening-rule { (length_rule(length, opening, &name)) } }
        }
    }
}

fn length_rule(length: &Field, opening: &OpeningView, name: &str) -> Markup {
    let named = Field { label: format!("{}, {name}", length.label), ..length.clone() };
    match &length.control {
        Control::Rule(rule) => slider(&named, rule, &input_id(&length.path)),
        _ => slider(&named, &measure(opening), &input_id(&length.path)),
    }
}

/// A plain measuring rule for an opening: no voices, only sixty-fourths.
fn measure(opening: &OpeningView) -> Rule {
    let [max, step, tick] = OPENING_RULE_IN;
    Rule {
        unit: "in".to_owned(),
        min: 0.0,
        max,
        step,
        tick,
        fractions: true,
        // Nothing stands on the rule until the opening is measured.
        value: Some(opening.length_mm / INCH_MM).filter(|value| value.is_finite() && *value > 0.0),
        trade: None,
        physics: Vec::new(),
        physics_note: Provenance { source: String::new(), basis: String::new(), rule: None },
        plates: Vec::new(),
        plates_note: String::new(),
    }
}

fn bent(view: &StrapView) -> String {
    let (theme, words) = (Theme::web(), Words::english());
    let former = bendproof_measure::round_to(view.former_mm, 1);
    let title = match view.is_former_known {
        true => fill(Key::StrapBentAlt, &[("id", &view.id), ("former", &former)]),
        false => fill(Key::StrapBentUnknown, &[("id", &view.id)]),
    };
    let frame =
        Frame { id: &format!("bent-{}", view.strap), title: &title, desc: "", theme: &theme, words: &words };
    let across_mm = view.former_mm + 2.0 * view.thickness_mm;
    let drawn = BentStrap {
        thickness_mm: view.thickness_mm,
        former_mm: view.former_mm,
        is_former_known: view.is_former_known,
        weld_mm: [view.weld_width_mm, view.weld_width_mm * 0.5],
        openings_mm: view.openings.iter().map(|opening| opening.x_mm).collect(),
        px_per_mm: BENT_UNITS / across_mm,
    };
    bent_strap(&drawn, &frame)
}

fn face(view: &StrapView) -> String {
    let (theme, words) = (Theme::web(), Words::english());
    let title = fill(Key::StrapConvex, &[("id", &view.id)]);
    let frame =
        Frame { id: &format!("face-{}", view.strap), title: &title, desc: "", theme: &theme, words: &words };
    let openings = view.openings.iter().map(|opening| FaceOpening {
        id: opening.opening.to_string(),
        x_mm: opening.x_mm,
        y_mm: opening.y_mm,
        length_mm: opening.length_mm,
        angle_deg: 0.0,
        counted: true,
    });
    let drawn = StrapFace {
        length_mm: view.face_length_mm,
        width_mm: view.width_mm,
        weld_mm: view.weld_width_mm,
        openings: openings.collect(),
        px_per_mm: FACE_UNITS / view.face_length_mm,
    };
    strap_face(&drawn, &frame)
}
