//! The small parts every page is made of: verdict bars, sources, figures,
//! findings, histories.

use bendproof_traveler::sheet::{BECAUSE, Figure, FindingLine, Item, Mark, Provenance, StandingLine};
use maud::{Markup, html};

use crate::desk::HistoryEntry;
use crate::text::{Key, fill, t};

/// The word for a mark.
pub(crate) fn mark_words(mark: Mark) -> &'static str {
    t(match mark {
        Mark::Holds => Key::MarkHolds,
        Mark::Marginal => Key::MarkMarginal,
        Mark::Fails => Key::MarkFails,
        Mark::NotKnown => Key::MarkNotKnown,
    })
}

/// The class for a mark.
pub(crate) fn mark_class(mark: Mark) -> &'static str {
    match mark {
        Mark::Holds => "holds",
        Mark::Marginal => "marginal",
        Mark::Fails => "fails",
        Mark::NotKnown => "not-known",
    }
}

/// The verdict bar: full, half, empty with a stroke, dashed. `words` is what a
/// screen reader hears: the forecast's word or the code's.
pub(crate) fn bar(mark: Mark, words: &str) -> Markup {
    html! {
        span.vbar.(mark_class(mark)) title=(words) {
            svg viewBox="0 0 48 18" aria-hidden="true" focusable="false" {
                @match mark {
                    Mark::Holds => rect.fill x="1" y="1" width="46" height="16" rx="2" {},
                    Mark::Marginal => {
                        rect.frame x="1" y="1" width="46" height="16" rx="2" {}
                        path.fill d="M3 1H24V17H3a2 2 0 0 1-2-2V3a2 2 0 0 1 2-2Z" {}
                    }
                    Mark::Fails => {
                        rect.frame x="1" y="1" width="46" height="16" rx="2" {}
                        path.frame d="M5 17 43 1" {}
                    }
                    Mark::NotKnown => rect.frame.dashed x="1" y="1" width="46" height="16" rx="2" {},
                }
            }
            span.vh { (words) }
        }
    }
}

/// The basis of a number, in words.
pub(crate) fn basis_words(basis: &str) -> &str {
    match basis {
        "seen" => t(Key::BasisSeen),
        "secondary" => t(Key::BasisSecondary),
        "memory" => t(Key::BasisMemory),
        "derived" => t(Key::BasisDerived),
        "practice" => t(Key::BasisPractice),
        "measured" => t(Key::BasisMeasured),
        "choice" => t(Key::BasisChoice),
        other => other,
    }
}

/// One source in a disclosure: an optional heading, then where it is from.
pub(crate) fn provenance(heading: Option<&str>, from: &Provenance) -> Markup {
    html! {
        div.from {
            @if let Some(heading) = heading { p.from-head { (heading) } }
            p { (from.source) }
            @if basis_words(&from.basis) != from.source { p.basis { (basis_words(&from.basis)) } }
            @if let Some(rule) = &from.rule {
                p { a href={ "/rule/" (rule) } { (t(Key::SourceRule)) } }
            }
        }
    }
}

/// A disclosure that opens on demand. `what` names the thing for a screen
/// reader, since a page has many of these.
pub(crate) fn ask(what: &str, body: &Markup) -> Markup {
    html! {
        details.ask {
            summary aria-label=(fill(Key::SourceOf, &[("what", what)])) { span { (t(Key::Source)) } }
            div.ask-note { (body) }
        }
    }
}

/// The same in the space of one sign, next to the name of a plain field.
pub(crate) fn ask_briefly(what: &str, body: &Markup) -> Markup {
    html! {
        details.ask.brief {
            summary aria-label=(fill(Key::SourceOf, &[("what", what)])) { span aria-hidden="true" { "?" } }
            div.ask-note { (body) }
        }
    }
}

/// What moves an answer most; where nothing is known, why.
pub(crate) fn driver(item: &Item) -> String {
    match item.mark {
        Mark::NotKnown => item.driver.clone(),
        _ => fill(Key::DrivenBy, &[("what", &item.driver)]),
    }
}

/// The source of one number.
pub(crate) fn source(what: &str, from: &Provenance) -> Markup {
    ask(what, &provenance(None, from))
}

/// Numbers with their names, each with its source.
pub(crate) fn figures(list: &[Figure]) -> Markup {
    html! {
        dl.figures {
            @for figure in list {
                div {
                    dt { (figure.label) }
                    dd { span.figure-text { (figure.text) } (ask_briefly(&figure.label, &provenance(None, &figure.provenance))) }
                }
            }
        }
    }
}

/// Names and texts that need no source, such as versions.
pub(crate) fn pairs(list: &[(String, String)]) -> Markup {
    html! {
        dl.figures { @for (label, text) in list { div { dt { (label) } dd { (text) } } } }
    }
}

/// Findings under a code, each with its bar and clause.
pub(crate) fn finding_lines(lines: &[FindingLine], mark_of: impl Fn(&FindingLine) -> Mark) -> Markup {
    html! {
        ul.lines {
            @for line in lines {
                li.line {
                    (bar(mark_of(line), &line.verdict))
                    span.line-what { (line.placed()) " " span.line-clause { "(" (line.provenance.source) ")" } }
                    span.line-word { (line.verdict) }
                    (source(&line.text, &line.provenance))
                }
            }
        }
    }
}

/// The mark for a code's own word.
pub(crate) fn verdict_mark(verdict: &str) -> Mark {
    match verdict {
        "accept" | "accepted" => Mark::Holds,
        "reject" | "rejected" => Mark::Fails,
        // A void strap proves nothing against the weld: it is replaced.
        word if word.starts_with("void") => Mark::Marginal,
        _ => Mark::NotKnown,
    }
}

/// What is covered, with clauses.
pub(crate) fn standing_lines(lines: &[StandingLine]) -> Markup {
    let (clauses, said): (Vec<_>, Vec<_>) = lines.iter().partition(|line| line.label == BECAUSE);
    html! {
        ul.lines {
            @for line in said {
                li.line.plain-line {
                    span.line-label { (line.label) }
                    strong.line-value { (line.value) }
                    (source(&line.label, &line.provenance))
                }
            }
            @if !clauses.is_empty() { (clause_line(&clauses)) }
        }
    }
}

/// The clauses behind a standing in one line, each with its source behind it.
fn clause_line(clauses: &[&StandingLine]) -> Markup {
    let names: Vec<&str> = clauses.iter().map(|line| line.value.as_str()).collect();
    let sources = html! { @for line in clauses { (provenance(Some(&line.value), &line.provenance)) } };
    html! {
        li.line.plain-line {
            span.line-label { (BECAUSE) }
            strong.line-value { (names.join(" · ")) }
            (ask(BECAUSE, &sources))
        }
    }
}

/// What was changed, newest first.
pub(crate) fn history(entries: &[HistoryEntry]) -> Markup {
    html! {
        @if entries.is_empty() { p.soft { (t(Key::HistoryNone)) } }
        ol.history reversed[!entries.is_empty()] {
            @for entry in entries {
                li value=(entry.version) {
                    span.history-words { (entry.words) }
                    span.history-by { (entry.who) " · " (entry.at) }
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_void_strap_is_half_a_bar_and_never_a_reject() {
        for (word, mark) in [
            ("accept", Mark::Holds),
            ("reject", Mark::Fails),
            ("void", Mark::Marginal),
            ("void, replace specimen", Mark::Marginal),
            ("no limit in this code", Mark::NotKnown),
            ("not inspected", Mark::NotKnown),
        ] {
            assert_eq!(verdict_mark(word), mark, "{word}");
        }
    }
}
