//! The three-voice rule on the page: a steel rule whose bracket is the trade's
//! range, whose hatching is where the physics fails, whose dots are this shop's
//! own plates.
//!
//! Positions are percentages of the width, so one drawing fits a phone and a
//! projector while its lettering keeps its size. The script moves the marker;
//! everything else is drawn here.

use bendproof_measure::{inch_fraction, round_to};
use bendproof_traveler::sheet::{Dot, Field, Mark, Rule};
use maud::{Markup, html};
use serde_json::json;

use crate::parts::{mark_class, mark_words};
use crate::text::{Key, fill, t};

/// Most short ticks drawn; beyond this they run into one grey band on a phone.
const SHORT_TICKS_MAX: f64 = 72.0;
/// Most numbers on one rule.
const NUMBERS_MAX: f64 = 8.0;
/// Narrowest stretch, in percent of the rule, that has room for its word.
const WORD_PERCENT_MIN: f64 = 24.0;
/// Decimals on rules that do not count in fractions.
const DECIMALS: usize = 3;
/// Metres in an inch.
const INCH_M: f64 = 0.0254;

/// A number as it is written on this rule, without its unit.
pub(crate) fn number(rule: &Rule, value: f64) -> String {
    if rule.fractions { inch_fraction(value * INCH_M) } else { round_to(value, DECIMALS) }
}

/// Where a value lies, in percent of the rule.
fn percent(rule: &Rule, value: f64) -> f64 {
    let span = rule.max - rule.min;
    if span <= 0.0 || !value.is_finite() {
        0.0
    } else {
        ((value - rule.min) / span * 100.0).clamp(0.0, 100.0)
    }
}

fn at(rule: &Rule, value: f64) -> String {
    format!("{}%", round_to(percent(rule, value), 2))
}

/// What the physics says at a value.
pub(crate) fn physics_at(rule: &Rule, value: f64) -> Mark {
    rule.physics
        .iter()
        .find(|span| span.from <= value && value <= span.to)
        .map_or(Mark::NotKnown, |span| span.mark)
}

/// The trade's word on a value.
pub(crate) fn trade_words(rule: &Rule, value: f64) -> &'static str {
    match &rule.trade {
        None => t(Key::TradeNone),
        Some(range) if range.low <= value && value <= range.high => t(Key::TradeInside),
        Some(_) => t(Key::TradeOutside),
    }
}

/// What a screen reader says of the marker: `1/8 inch, 3.2 mm, physics: holds,
/// trade: inside`.
fn value_text(field: &Field, rule: &Rule) -> String {
    let Some(value) = rule.value else { return t(Key::NoValue).to_owned() };
    let unit = match rule.unit.as_str() {
        "in" => t(Key::UnitIn),
        "in/min" => t(Key::UnitInMin),
        "V" => t(Key::UnitV),
        other => other,
    };
    let also = if field.also.is_empty() { String::new() } else { format!(", {}", field.also) };
    let mut words = format!("{} {unit}{also}", number(rule, value));
    if field.is_proposed() {
        words.push_str(&format!(", {}", t(Key::DefaultMark)));
    }
    // A plain measuring rule, as for an opening, has no voices to read out.
    if !rule.physics.is_empty() {
        let mark = mark_words(physics_at(rule, value));
        words.push_str(&format!(", {}: {mark}", t(Key::VoicePhysics)));
        words.push_str(&format!(", {}: {}", t(Key::VoiceTrade), trade_words(rule, value)));
    }
    words
}

/// What the script needs to move the marker and to say where it stands.
fn script_data(rule: &Rule) -> String {
    json!({
        "unit": rule.unit, "min": rule.min, "max": rule.max, "step": rule.step,
        "fractions": rule.fractions,
        "trade": rule.trade.as_ref().map(|range| [range.low, range.high]),
        "physics": rule.physics.iter()
            .map(|span| json!([span.from, span.to, mark_class(span.mark)])).collect::<Vec<_>>(),
    })
    .to_string()
}

/// The rule as a slider for the input with id `input_id`.
pub(crate) fn slider(field: &Field, rule: &Rule, input_id: &str) -> Markup {
    html! {
        div.rule.measure[rule.physics.is_empty()] id={ "rule-" (input_id) } role="slider" tabindex="0" data-for=(input_id)
            data-rule=(script_data(rule))
            aria-label=(field.label) aria-valuemin=(rule.min) aria-valuemax=(rule.max)
            aria-valuenow=(rule.value.unwrap_or(rule.min)) aria-valuetext=(value_text(field, rule)) {
            svg.rule-scale aria-hidden="true" focusable="false" {
                (bracket(rule))
                (face(rule))
                (ticks(rule))
                (dots(rule))
                (marker(rule))
            }
        }
    }
}

fn bracket(rule: &Rule) -> Markup {
    let Some(range) = &rule.trade else { return html! {} };
    let (low, high) = (at(rule, range.low), at(rule, range.high));
    html! {
        g.trade {
            line x1=(low) x2=(high) y1="17" y2="17" {}
            line x1=(low) x2=(low) y1="17" y2="26" {}
            line x1=(high) x2=(high) y1="17" y2="26" {}
            // Near the right end the word hangs from the far side of the bracket.
            @if percent(rule, range.low) > 80.0 {
                text x=(high) y="12" text-anchor="end" { (t(Key::VoiceTrade)) }
            } @else {
                text x=(low) y="12" { (t(Key::VoiceTrade)) }
            }
        }
    }
}

fn face(rule: &Rule) -> Markup {
    html! {
        rect.rule-face x="0" y="31" width="100%" height="30" rx="3" {}
        @for span in &rule.physics {
            @let width = percent(rule, span.to) - percent(rule, span.from);
            @let width_text = format!("{}%", round_to(width, 2));
            rect.span.(mark_class(span.mark)) x=(at(rule, span.from)) y="31" width=(width_text) height="30" {}
            @if span.mark == Mark::NotKnown && width >= WORD_PERCENT_MIN {
                text.span-word x=(at(rule, f64::midpoint(span.from, span.to))) y="76" text-anchor="middle" {
                    (mark_words(span.mark))
                }
            }
        }
        rect.rule-edge x="0" y="31" width="100%" height="30" rx="3" {}
    }
}

/// Long ticks every `tick`, halves and shorter ones between, numbers on as many
/// long ticks as there is room for.
fn ticks(rule: &Rule) -> Markup {
    if rule.tick <= 0.0 || rule.max <= rule.min {
        return html! {};
    }
    let long = ((rule.max - rule.min) / rule.tick).floor().min(200.0);
    let parts = [8.0, 5.0, 4.0, 2.0, 1.0]
        .into_iter()
        .filter(|parts| rule.fractions == (parts % 5.0 != 0.0) || *parts <= 2.0)
        .find(|parts| long * parts <= SHORT_TICKS_MAX && rule.tick / parts >= rule.step * 0.999)
        .unwrap_or(1.0);
    let every = (long / NUMBERS_MAX).ceil().max(1.0);
    let total = (long * parts).floor() as usize;
    html! {
        g.ticks {
            @for n in 0..=total {
                @let value = rule.min + rule.tick / parts * n as f64;
                @let is_long = (n as f64) % parts == 0.0;
                @let is_half = (n as f64) % parts == parts / 2.0;
                @let end = if is_long { "44" } else if is_half { "40" } else { "37" };
                @let x = at(rule, value);
                line x1=(x) x2=(x) y1="31" y2=(end) {}
                @if is_long && ((n as f64) / parts) % every == 0.0 { (tick_number(rule, value, &x)) }
            }
        }
    }
}

fn tick_number(rule: &Rule, value: f64, x: &str) -> Markup {
    let share = percent(rule, value);
    let (anchor, dx) = match share {
        share if share < 2.0 => ("start", "4"),
        share if share > 98.0 => ("end", "-4"),
        _ => ("middle", "0"),
    };
    html! { text x=(x) dx=(dx) y="57" text-anchor=(anchor) { (number(rule, value)) } }
}

fn dots(rule: &Rule) -> Markup {
    html! {
        g.dots {
            @for dot in &rule.plates {
                circle.(if dot.held { "held" } else { "open" }) cx=(at(rule, dot.at)) cy="72" r=(radius(dot.plates)) {
                    title { (plates_words(dot)) }
                }
            }
        }
    }
}

/// Radius of a dot, px: one plate 4.5, more of them larger, up to a size that
/// leaves the numbers of the rule free.
fn radius(plates: usize) -> String {
    /// Plates from which a dot grows no more.
    const LARGEST: f64 = 256.0;
    let doublings = (plates.max(1) as f64).min(LARGEST).log2();
    round_to(4.5 + 0.5 * doublings, 1)
}

fn plates_words(dot: &Dot) -> String {
    match dot.plates {
        1 => dot.coupon.clone(),
        n => fill(Key::PlatesTogether, &[("n", &n.to_string()), ("coupon", &dot.coupon)]),
    }
}

/// The marker waits unseen at the left end while there is no value, so that the
/// first drag has something to move.
fn marker(rule: &Rule) -> Markup {
    html! {
        svg.marker.unset[rule.value.is_none()] x=(at(rule, rule.value.unwrap_or(rule.min))) y="0" overflow="visible" {
            path d="M-8 20H8L0 32Z" {}
            line x1="0" x2="0" y1="31" y2="46" {}
        }
    }
}

/// The three voices in words, under the rule.
pub(crate) fn voices(rule: &Rule) -> Markup {
    html! {
        p.voices {
            span.voice { span.voice-name { (t(Key::VoiceTrade)) } " " (trade_range(rule)) }
            span.voice {
                span.voice-name { (t(Key::VoicePhysics)) } " "
                (rule.value.map_or(t(Key::NoValue), |value| mark_words(physics_at(rule, value))))
            }
            span.voice { span.voice-name { (t(Key::VoicePlates)) } " " (rule.plates_note) }
        }
    }
}

fn trade_range(rule: &Rule) -> String {
    let Some(range) = &rule.trade else { return t(Key::TradeNone).to_owned() };
    let high = format!("{} {}", number(rule, range.high), rule.unit);
    fill(Key::TradeRangeWords, &[("low", &number(rule, range.low)), ("high", &high)])
}
