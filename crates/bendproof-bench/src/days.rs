//! What a welder holds along the days: the time line, each accepted coupon on
//! the day asked about, and what keeps it alive.

use maud::{Markup, PreEscaped, html};

use crate::codes::rules;
use crate::desk::{HeldView, LifeView, WelderDays};
use crate::parts::{bar, standing_lines};
use crate::text::{Key, fill, t};

/// The standing with its time line and the box for another day.
pub(crate) fn standing(id: &str, days: &WelderDays) -> Markup {
    let is_today = days.on == days.today;
    // Both are written year first, so they sort as days do.
    let sentence = if days.on > days.today { Key::DaysAhead } else { Key::DaysAsOf };
    html! {
        section.slip.days #standing aria-labelledby="standing-head" {
            h2 #standing-head { (t(Key::WelderStanding)) }
            (day_form(id, days))
            @if !is_today { p.soft { (fill(sentence, &[("day", &days.on)])) } }
            @if days.held.is_empty() {
                p.soft { (t(if is_today { Key::WelderNothing } else { Key::DaysNotHeld })) }
            }
            @if !days.chart.is_empty() {
                figure.coverage.time-line { (PreEscaped(&days.chart)) }
                details.lines {
                    summary { (t(Key::DaysWords)) }
                    ul { @for lane in &days.lanes { li { (lane) } } }
                }
            }
            @for (n, held) in days.held.iter().enumerate() { (one(held, n == 0)) }
        }
    }
}

fn day_form(id: &str, days: &WelderDays) -> Markup {
    let shown = if days.error.is_some() { &days.typed } else { &days.on };
    let wrong = days.error.as_ref().map(|_| "true");
    html! {
        form.day-form.no-print method="get" action={ "/welder/" (id) } {
            div.field {
                label for="on-day" { (t(Key::DaysOn)) }
                span.entry {
                    input #on-day name="on" type="date" value=(shown) aria-invalid=[wrong]
                        aria-describedby=[wrong.map(|_| "on-day-error")];
                }
                @if let Some(words) = &days.error { div.field-error #on-day-error { p { (words) } } }
            }
            button.button type="submit" { (t(Key::DaysShow)) }
            @if days.on != days.today { a.plain href={ "/welder/" (id) } { (t(Key::DaysToday)) } }
        }
    }
}

fn one(held: &HeldView, is_open: bool) -> Markup {
    html! {
        section.found {
            h3 { (bar(held.mark, "")) " " a href={ "/coupon/" (held.coupon) } { (fill(Key::AskCoupon, &[("n", &held.coupon)])) } " · " (held.title) }
            p { strong { (held.hold) } }
            details.lines open[is_open] {
                summary { (t(Key::DaysCovers)) }
                (standing_lines(&held.lines))
            }
        }
    }
}

/// What renews it, what a lapse costs and when it may be welded again.
pub(crate) fn life(days: &WelderDays) -> Markup {
    html! {
        @if !days.life.is_empty() {
            section.slip.life aria-labelledby="life-head" {
                h2 #life-head { (t(Key::DaysLife)) }
                @for (n, code) in days.life.iter().enumerate() { (life_of(code, n == 0)) }
            }
        }
    }
}

fn life_of(code: &LifeView, is_open: bool) -> Markup {
    html! {
        details.lines open[is_open] {
            summary { (code.title) }
            @for (event, lines) in &code.events {
                h3 { (event) }
                ul.notes { @for line in lines { li { (line.words) " " (rules(&line.rules)) } } }
            }
        }
    }
}
