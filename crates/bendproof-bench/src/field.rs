//! One value the user can set: its name, its box, its rule, its source, and
//! what is wrong with it.

use bendproof_traveler::sheet::{Control, Field, Rule, Sheet};
use maud::{Markup, html};

use crate::parts::{ask, ask_briefly, provenance};
use crate::rule::{slider, voices};
use crate::text::{Key, t};

/// Narrowest and widest text box, in characters.
const BOX_CHARS: std::ops::RangeInclusive<usize> = 5..=28;

/// The id of the list of names offered in the box for the welder.
pub(crate) const WELDER_NAMES: &str = "welder-names";

/// Whether the box asks for the welder's name.
fn is_welder(path: &str) -> bool {
    path.rsplit('.').next() == Some("welder")
}

/// The id of the box for a document path.
pub(crate) fn input_id(path: &str) -> String {
    let safe: String =
        path.chars().map(|c| if c.is_ascii_alphanumeric() || c == '_' { c } else { '-' }).collect();
    format!("v-{safe}")
}

/// The name of a path on this sheet, or the path itself when it has none.
pub(crate) fn label_of<'a>(sheet: &'a Sheet, path: &'a str) -> &'a str {
    let straps = sheet.straps.iter();
    let passes = sheet.passes.iter().flat_map(|row| &row.fields);
    let log = sheet.log.iter().flat_map(|row| &row.fields);
    sheet
        .head
        .iter()
        .chain(&sheet.fit)
        .chain(&sheet.settings)
        .chain(passes)
        .chain(log)
        .chain(&sheet.visual)
        .chain(
            straps.flat_map(|strap| strap.fields.iter().chain(strap.openings.iter().flat_map(|o| &o.fields))),
        )
        .find(|field| field.path == path)
        .map_or(path, |field| field.label.as_str())
}

/// A field in full: name, box, the other unit, rule, voices, source.
pub(crate) fn field(field: &Field) -> Markup {
    let id = input_id(&field.path);
    match &field.control {
        Control::Rule(rule) => rule_field(field, rule, &id),
        _ => html! {
            div.field id={ "field-" (id) } {
                label for=(id) { (field.label) (default_mark(field)) }
                (ask_briefly(&field.label, &about(field)))
                span.entry.unconfirmed[field.is_proposed()] { (entry(field, &id, None)) (also(field)) }
                (error(field, &id))
            }
        },
    }
}

fn rule_field(field: &Field, rule: &Rule, id: &str) -> Markup {
    html! {
        div.field.rule-field id={ "field-" (id) } {
            div.rule-head {
                label for=(id) { (field.label) (default_mark(field)) }
                span.entry.unconfirmed[field.is_proposed()] { (entry(field, id, None)) (also(field)) }
            }
            (slider(field, rule, id))
            div.rule-foot { (voices(rule)) (ask(&field.label, &about(field))) }
            (error(field, id))
        }
    }
}

/// A value nobody has confirmed says so next to its name.
fn default_mark(field: &Field) -> Markup {
    html! { @if field.is_proposed() { " " span.default-mark { (t(Key::DefaultMark)) } } }
}

fn also(field: &Field) -> Markup {
    html! {
        @if !field.also.is_empty() { span.also { (field.also) } }
        span.unsaved-mark { (t(Key::Unsaved)) }
    }
}

fn error(field: &Field, id: &str) -> Markup {
    html! {
        @if let Some(words) = &field.error { p.field-error id={ (id) "-error" } { (words) } }
    }
}

/// What the disclosure next to a field says: the sentence about it and, for a
/// rule, each voice with its source.
pub(crate) fn about(field: &Field) -> Markup {
    html! {
        @if !field.doc.is_empty() { p { (field.doc) } }
        @if let Control::Rule(rule) = &field.control {
            @if let Some(range) = &rule.trade { (provenance(Some(t(Key::VoiceTrade)), &range.provenance)) }
            (provenance(Some(t(Key::VoicePhysics)), &rule.physics_note))
            div.from {
                p.from-head { (t(Key::VoicePlates)) }
                p { (rule.plates_note) }
            }
        }
        @if field.is_proposed() { p.basis { (t(Key::DefaultMark)) ": " (t(Key::BasisChoice)) } }
    }
}

/// What the empty choice of a list says: nothing, or what is proposed.
fn proposal(field: &Field) -> String {
    if field.is_proposed() {
        format!("{} · {}", field.proposed, t(Key::DefaultBrief))
    } else {
        String::new()
    }
}

/// The box itself. `label` names it where no visible label does, as in tables.
pub(crate) fn entry(field: &Field, id: &str, label: Option<&str>) -> Markup {
    let described = field.error.as_ref().map(|_| format!("{id}-error"));
    let invalid = field.error.as_ref().map(|_| "true");
    // A proposal stands in the box as a hint: it is kept once somebody enters it.
    // An empty box says the unit in which a number alone is taken.
    let hint = if field.is_proposed() { &field.proposed } else { &field.unit };
    let hint = (!hint.is_empty()).then_some(hint.as_str());
    html! {
        @match &field.control {
            Control::Choice { options } => {
                select id=(id) name=(field.path) aria-label=[label] aria-invalid=[invalid]
                    aria-describedby=[described] {
                    @if !options.contains(&field.text) {
                        option value=(field.text) selected {
                            @if field.text.is_empty() { (proposal(field)) } @else { (field.text) }
                        }
                    }
                    @for option in options {
                        option value=(option) selected[*option == field.text] {
                            @if option.is_empty() { (proposal(field)) } @else { (bendproof_traveler::sheet::spoken(option)) }
                        }
                    }
                }
            }
            Control::Date => {
                input id=(id) name=(field.path) type="date" value=(field.text) aria-label=[label]
                    aria-invalid=[invalid] aria-describedby=[described];
            }
            Control::Text | Control::Quantity | Control::Rule(_) => {
                input id=(id) name=(field.path) type="text" value=(field.text) autocomplete="off"
                    autocapitalize="off" spellcheck="false" placeholder=[hint] list=[is_welder(&field.path).then_some(WELDER_NAMES)]
                    size=(field.shown().chars().count().clamp(*BOX_CHARS.start(), *BOX_CHARS.end()))
                    aria-label=[label] aria-invalid=[invalid] aria-describedby=[described];
            }
        }
        input type="hidden" name={ "was:" (field.path) } value=(field.text);
    }
}

/// Many fields in a grid.
pub(crate) fn fields(list: &[Field]) -> Markup {
    html! { @for one in list { (field(one)) } }
}

/// A field in a cell of a table, with its error under it.
pub(crate) fn cell(field: &Field, row_name: &str) -> Markup {
    let id = input_id(&field.path);
    let label = format!("{}, {row_name}", field.label);
    html! {
        span.entry.unconfirmed[field.is_proposed()] { (entry(field, &id, Some(&label))) }
        (error(field, &id))
    }
}
