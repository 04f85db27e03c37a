//! Every component once on one page, for whoever changes the look.
//!
//! The values are made up and belong to no coupon.

use axum::Json;
use bendproof_traveler::sheet::AheadLine;
use bendproof_traveler::sheet::{
    Control, Dot, Field, Figure, Item, Mark, Provenance, Rule, Span, StrapView, TradeRange,
};
use bendproof_traveler::sheet::{OpeningView, StandingLine};
use maud::{Markup, html};
use serde_json::{Value, json};

use crate::desk::HistoryEntry;
use crate::field::field;
use crate::joint_ask::side;
use crate::layout::{Here, page};
use crate::operations::{forecast_line, legend};
use crate::parts::{bar, figures, history, mark_words, standing_lines};
use crate::text::{Key, t};
use crate::visitor::Visitor;

/// The components shown, in order.
const COMPONENTS: [&str; 9] =
    ["stamp", "bar", "rule", "field", "forecast line", "standing line", "answer", "strap", "history"];

const MARKS: [Mark; 4] = [Mark::Holds, Mark::Marginal, Mark::Fails, Mark::NotKnown];

/// `GET /patterns.json`.
pub(crate) async fn patterns_json() -> Json<Value> {
    Json(json!({ "components": COMPONENTS }))
}

/// `GET /patterns`.
pub(crate) async fn patterns(visitor: Visitor) -> Markup {
    let body = html! {
        div.pad {
            header.list-head { h1 { (t(Key::PatternsTitle)) } p.soft { (t(Key::PatternsLead)) } }
            div.slip.pattern-page {
                h2 { "stamp, bar" }
                p.pattern-row { @for mark in MARKS { span.stamp.(crate::parts::mark_class(mark)) { (crate::parts::bar(mark, mark_words(mark))) " " (mark_words(mark)) } } }
                p.pattern-row { @for mark in MARKS { (bar(mark, mark_words(mark))) " " (mark_words(mark)) " " } }
                h2 { "rule" }
                (legend())
                div.rules.rules-wide { (field(&rule_field())) (field(&empty_rule())) }
                h2 { "field" }
                div.field-grid { @for one in plain_fields() { (field(&one)) } }
                h2 { "forecast line" }
                div.with-drawing.with-window { ul.lines.forecast { @for mark in MARKS { (forecast_line(&item(mark))) } } }
                h2 { "standing line, figures" }
                (standing_lines(&[standing()]))
                (figures(&[figure("groove area", "74 mm²"), figure("beads", "8")]))
                h2 { "answer" }
                ul.asked-sides { @for mark in MARKS { (side(mark, mark_words(mark), &answer())) } }
                h2 { "strap" }
                (crate::straps::strap(&strap()))
                h2 { "history, buttons" }
                (history(&[HistoryEntry { version: 4, at: "10:12".to_owned(), who: "Ines".to_owned(), words: "root face 1/16 in to 1/8 in".to_owned() }]))
                p.choices { button.button type="button" { (t(Key::Save)) } button.plain type="button" { (t(Key::Undo)) } }
            }
        }
    };
    page(&visitor, t(Key::PatternsTitle), Some("/patterns.json"), Here::Elsewhere, &body)
}

fn made_up(basis: &str) -> Provenance {
    Provenance { source: "made up for this page".to_owned(), basis: basis.to_owned(), rule: None }
}

fn base(path: &str, label: &str, text: &str, control: Control) -> Field {
    Field {
        path: path.to_owned(),
        label: label.to_owned(),
        doc: "A sentence for the reader who asks.".to_owned(),
        text: text.to_owned(),
        proposed: String::new(),
        unit: String::new(),
        also: String::new(),
        control,
        error: None,
    }
}

fn rule_field() -> Field {
    let span = |from: f64, to: f64, mark| Span { from: from / 32.0, to: to / 32.0, mark };
    let rule = Rule {
        unit: "in".to_owned(),
        min: 0.0,
        max: 0.25,
        step: 1.0 / 64.0,
        tick: 1.0 / 16.0,
        fractions: true,
        value: Some(0.125),
        trade: Some(TradeRange { low: 3.0 / 32.0, high: 5.0 / 32.0, provenance: made_up("practice") }),
        physics: vec![
            span(0.0, 2.0, Mark::Fails),
            span(2.0, 3.0, Mark::Marginal),
            span(3.0, 5.0, Mark::Holds),
            span(5.0, 6.0, Mark::Marginal),
            span(6.0, 8.0, Mark::NotKnown),
        ],
        physics_note: made_up("derived"),
        plates: vec![
            Dot { at: 0.08, held: false, coupon: "A".to_owned(), plates: 1 },
            Dot { at: 0.12, held: true, coupon: "B".to_owned(), plates: 1 },
            Dot { at: 0.14, held: true, coupon: "C".to_owned(), plates: 12 },
        ],
        plates_note: "13 of 14 held".to_owned(),
    };
    Field {
        also: "3.2 mm".to_owned(),
        ..base("pattern.opening", "root opening", "1/8 in", Control::Rule(rule))
    }
}

fn empty_rule() -> Field {
    let rule = Rule {
        unit: "V".to_owned(),
        min: 14.0,
        max: 24.0,
        step: 0.1,
        tick: 1.0,
        fractions: false,
        value: None,
        trade: None,
        physics: vec![Span { from: 14.0, to: 24.0, mark: Mark::NotKnown }],
        physics_note: made_up("choice"),
        plates: Vec::new(),
        plates_note: "no plate near here".to_owned(),
    };
    let mut field = base("pattern.volts", "volts", "abc", Control::Rule(rule));
    field.error = Some("Volts: \"abc\" is not a voltage; write 10 to 40 V, for example 18.5 V.".to_owned());
    field
}

fn plain_fields() -> Vec<Field> {
    let options = ["plate", "pipe"].map(str::to_owned).to_vec();
    let mut unset = base("pattern.angle", "groove angle", "", Control::Quantity);
    unset.proposed = "60 deg".to_owned();
    vec![
        base("pattern.form", "form", "plate", Control::Choice { options }),
        unset,
        base("pattern.day", "welded on", "2031-04-02", Control::Date),
        base("pattern.heat", "heat number", "", Control::Text),
    ]
}

fn item(mark: Mark) -> Item {
    Item {
        key: format!("pattern.{}", crate::parts::mark_class(mark)),
        label: "left root edge".to_owned(),
        mark,
        value: "0.9 mm past".to_owned(),
        uncertainty: "± 0.4 mm".to_owned(),
        driver: "root face".to_owned(),
        provenance: made_up("derived"),
    }
}

fn figure(label: &str, text: &str) -> Figure {
    Figure { label: label.to_owned(), text: text.to_owned(), provenance: made_up("derived") }
}

fn answer() -> AheadLine {
    AheadLine { words: "position: overhead is not among those tested".to_owned(), rules: Vec::new() }
}

fn standing() -> StandingLine {
    StandingLine { label: "positions".to_owned(), value: "F, H, V".to_owned(), provenance: made_up("memory") }
}

fn strap() -> StrapView {
    StrapView {
        strap: 1,
        id: "R1".to_owned(),
        kind: "root".to_owned(),
        thickness: "3/8 in · 9.5 mm".to_owned(),
        width_mm: 38.0,
        face_length_mm: 80.0,
        weld_width_mm: 18.0,
        former_mm: 38.1,
        is_former_known: true,
        thickness_mm: 9.5,
        fields: Vec::new(),
        is_inspected: true,
        openings: vec![OpeningView {
            opening: 1,
            length: "1/16 in · 1.6 mm".to_owned(),
            text: "1/16 in".to_owned(),
            length_mm: 1.6,
            place: "face".to_owned(),
            cause: "none".to_owned(),
            fields: vec![base("pattern.length", "length", "1/16 in", Control::Quantity)],
            x_mm: -4.0,
            y_mm: 6.0,
        }],
        verdict: "accept".to_owned(),
        mark: Mark::Holds,
        findings: Vec::new(),
    }
}
