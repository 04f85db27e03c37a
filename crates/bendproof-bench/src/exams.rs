//! Operation 60, after the straps: the pieces pulled, cut, broken, tested for
//! hardness or radiographed, each with its readings and the code's word.
//!
//! Rows are added and taken away like straps, with a script or without.

use bendproof_traveler::sheet::{ExamView, FlawView, Mark, PieceView, Sheet};
use maud::{Markup, html};

use crate::parts::{bar, finding_lines, mark_words, verdict_mark};
use crate::straps::{add_button, looked, remove_button, small_field};
use crate::text::{Key, fill, t};

/// Name of a list of readings, where the others are lists of flaws.
const POINTS: &str = "points";

/// Every examination other than visual and bends.
pub(crate) fn exams(sheet: &Sheet) -> Markup {
    html! {
        @if !sheet.exams.is_empty() {
            section.exams aria-labelledby="exams-name" {
                h3 #exams-name { (t(Key::ExamsTitle)) }
                @if !sheet.not_examined.is_empty() {
                    p.exams-missing {
                        (bar(Mark::NotKnown, mark_words(Mark::NotKnown)))
                        span { (t(Key::ExamsMissing)) " " strong { (sheet.not_examined.join(", ")) } }
                    }
                }
                @for exam in &sheet.exams { @for one in &exam.pieces { (piece(exam, one)) } }
                div.choices {
                    @for exam in &sheet.exams {
                        (add_button(&format!("piece:{}:add", exam.list), &fill(Key::ExamAdd, &[("title", &exam.title)])))
                    }
                }
            }
        }
    }
}

fn piece(exam: &ExamView, view: &PieceView) -> Markup {
    let places = [("title", exam.title.as_str()), ("id", view.id.as_str())];
    let name = fill(Key::ExamPiece, &places);
    let id = format!("piece-{}-{}", exam.list, view.piece);
    html! {
        article.exam-piece id=(id) aria-labelledby={ (id) "-name" } {
            header.strap-head {
                (bar(view.mark, &view.verdict))
                h4 id={ (id) "-name" } { (name) }
                span.strap-verdict { (view.verdict) }
            }
            div.strap-settings {
                @for one in &view.fields { (small_field(one, &name)) }
                @if let Some(inner) = exam.inner.as_deref().filter(|_| view.flaws.is_empty()) {
                    (none_found(exam, view, inner, &name))
                }
            }
            @if let Some(inner) = &exam.inner { (flaws(exam, view, inner, &name)) }
            (finding_lines(&view.findings, |line| verdict_mark(&line.verdict)))
            (remove_button(&format!("piece:{}:remove:{}", exam.list, view.piece), &fill(Key::ExamRemove, &places)))
        }
    }
}

/// Readings are there or not; only flaws can be looked for and not found.
fn none_found(exam: &ExamView, view: &PieceView, inner: &str, name: &str) -> Markup {
    let path = format!("{}.{}.{inner}", exam.list, view.piece);
    let words = [Key::ExamFlawsLooked, Key::ExamFlawsNot, Key::ExamFlawsNone];
    html! { @if inner != POINTS { (looked(&path, name, view.is_inspected, words)) } }
}

fn flaws(exam: &ExamView, view: &PieceView, inner: &str, name: &str) -> Markup {
    let [add, one, remove] = match inner {
        POINTS => [Key::PointAdd, Key::PointName, Key::PointRemove],
        _ => [Key::FlawAdd, Key::FlawName, Key::FlawRemove],
    };
    let row = |flaw: &FlawView| {
        let n = flaw.flaw.to_string();
        let words = fill(one, &[("n", &n)]);
        let full_name = format!("{words}, {name}");
        html! {
            li.opening id={ "flaw-" (exam.list) "-" (view.piece) "-" (n) } {
                p.opening-name { (words) }
                @for field in &flaw.fields { (small_field(field, &full_name)) }
                button.plain type="submit" name="row" value={ "flaw:" (exam.list) ":" (view.piece) ":remove:" (n) }
                    data-row-button aria-label={ (fill(remove, &[("n", &n)])) ", " (name) } { (t(Key::TakeAway)) }
            }
        }
    };
    html! {
        @if !view.flaws.is_empty() { ol.openings { @for flaw in &view.flaws { (row(flaw)) } } }
        (add_button(&format!("flaw:{}:{}:add", exam.list, view.piece), t(add)))
    }
}
