//! The solved section of a coupon: a page of its own that works without a
//! script, and the same as a part the sheet loads when it has drawn itself.
//!
//! A thermocouple and a measured curve live in the address or the form that
//! asked; nothing of them is kept.

use axum::Json;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, header};
use axum::response::{IntoResponse, Response};
use bendproof_traveler::solved::read_measured;
use bendproof_traveler::solved::{CurveRow, PLACES_MAX, SectionAsk, SectionView, SolvedSheet};
use maud::{Markup, PreEscaped, html};
use serde_json::json;

use crate::answer::Problem;
use crate::app::Bench;
use crate::coupon::attachment;
use crate::desk::{Section, SectionFile};
use crate::form::Pairs;
use crate::guard::accepts_json;
use crate::layout::{Here, page};
use crate::text::{Key, fill, t};
use crate::visitor::Visitor;

/// The form every control of the section belongs to. On the sheet it stands
/// outside the sheet's own form, which must not keep a film's frame.
pub(crate) const SECTION_FORM: &str = "section-form";
/// Farthest place from the centre line and the underside taken, mm: the plate
/// that is solved.
const FAR_MM: f64 = 75.0;

/// What was asked, with what could not be read.
struct Asked {
    ask: SectionAsk,
    measured: String,
    faults: Vec<String>,
}

impl Asked {
    fn read(pairs: &Pairs) -> Self {
        let count = |name: &str| pairs.get(name).and_then(|text| text.trim().parse::<usize>().ok());
        let mut faults = Vec::new();
        let mut places: Vec<[f64; 2]> =
            pairs.0.iter().filter(|(name, _)| name == "at").filter_map(|(_, text)| point(text)).collect();
        if let Some(index) = count("drop").filter(|index| *index < places.len()) {
            places.remove(index);
        }
        match new_place(pairs) {
            Some(Ok(_)) if places.len() >= PLACES_MAX => {
                faults.push(fill(Key::SectionPlacesFull, &[("n", &PLACES_MAX.to_string())]));
            }
            Some(Ok(place)) => places.push(place),
            Some(Err(typed)) => faults.push(fill(Key::SectionPlaceBad, &[("typed", &typed)])),
            None => {}
        }
        places.truncate(PLACES_MAX);
        let measured = pairs.get("measured").unwrap_or_default().to_owned();
        let points = match measured.trim() {
            "" => Vec::new(),
            text => read_measured(text).unwrap_or_else(|why| {
                faults.push(fill(Key::SectionMeasuredBad, &[("why", &why.to_string())]));
                Vec::new()
            }),
        };
        let ask = SectionAsk {
            bead: count("bead").unwrap_or(0),
            frame: count("frame"),
            places_mm: places,
            measured: points,
        };
        Self { ask, measured, faults }
    }
}

/// `3.2,5`: millimetres across and up.
fn point(text: &str) -> Option<[f64; 2]> {
    let (x, y) = text.split_once(',')?;
    Some([length(x)?, length(y)?])
}

fn length(text: &str) -> Option<f64> {
    text.trim().parse::<f64>().ok().filter(|v| v.abs() <= FAR_MM)
}

/// A place typed into the two boxes; none when both are empty.
fn new_place(pairs: &Pairs) -> Option<Result<[f64; 2], String>> {
    let [x, y] = ["x", "y"].map(|name| pairs.get(name).unwrap_or_default().trim());
    if x.is_empty() && y.is_empty() {
        return None;
    }
    Some(length(x).zip(length(y)).map(|(x, y)| [x, y]).ok_or_else(|| format!("{x}, {y}")))
}

fn address(number: &str) -> String {
    format!("/coupon/{number}/section")
}

/// `GET` and `POST /coupon/NUMBER/section`: the page, or its part as JSON.
pub(crate) async fn show(
    State(bench): State<Bench>,
    visitor: Visitor,
    headers: HeaderMap,
    Path(number): Path<String>,
    pairs: Pairs,
) -> Result<Response, Problem> {
    let asked = Asked::read(&pairs);
    let section = bench.desk.section(&number, asked.ask.clone()).await?;
    let part = part(&number, &section, &asked);
    if accepts_json(&headers) {
        return Ok(Json(json!({ "html": part.into_string(), "solved": section.is_ok() })).into_response());
    }
    let title = fill(Key::SectionPageTitle, &[("n", &number)]);
    let action = address(&number);
    let body = html! {
        article.slip.section-page {
            p.back { a href={ "/coupon/" (number) } { (fill(Key::SectionBack, &[("n", &number)])) } }
            h1 { (title) }
            @if let Ok(view) = &section { h2 { (view.sheet.title) } }
            form id=(SECTION_FORM) method="post" action=(action) {}
            div.section-panel #section-panel data-section=(action) { (part) }
        }
    };
    let twin = format!("{action}.json");
    Ok(page(&visitor, &title, Some(&twin), Here::Coupons, &body).into_response())
}

/// `GET /coupon/NUMBER/section.json`.
pub(crate) async fn twin(
    State(bench): State<Bench>,
    Path(number): Path<String>,
) -> Result<Response, Problem> {
    let file = bench.desk.section_file(&number, SectionFile::Json, SectionAsk::default()).await?;
    Ok(([(header::CONTENT_TYPE, file.content_type)], file.bytes).into_response())
}

/// `GET /coupon/NUMBER/section/film`: one frame as JSON.
pub(crate) async fn film(
    State(bench): State<Bench>,
    Path(number): Path<String>,
    pairs: Pairs,
) -> Result<Response, Problem> {
    Ok(Json(bench.desk.film(&number, Asked::read(&pairs).ask).await?).into_response())
}

/// `GET /coupon/NUMBER/section/file/KIND`.
pub(crate) async fn file(
    State(bench): State<Bench>,
    Path((number, kind)): Path<(String, String)>,
    pairs: Pairs,
) -> Result<Response, Problem> {
    let kind = SectionFile::from_slug(&kind).ok_or_else(Problem::absent)?;
    let file = bench.desk.section_file(&number, kind, Asked::read(&pairs).ask).await?;
    Ok(attachment(file))
}

/// Where the section will stand on the sheet. The script loads it; without one
/// the link leads to it. What is loaded is held when the band is laid again.
pub(crate) fn place(number: &str) -> Markup {
    html! {
        h3.section-name { (t(Key::SectionTitle)) }
        div.section-panel #section-panel data-section=(address(number)) data-held {
            p.soft { a href=(address(number)) { (t(Key::SectionOpen)) } }
        }
    }
}

/// The form the sheet's section belongs to.
pub(crate) fn form(number: &str) -> Markup {
    html! { form id=(SECTION_FORM) method="post" action=(address(number)) {} }
}

fn part(number: &str, section: &Section, asked: &Asked) -> Markup {
    match section {
        Ok(view) => solved_part(number, view, asked),
        Err(reasons) => html! {
            p.section-unknown { (crate::parts::bar(bendproof_traveler::sheet::Mark::NotKnown, t(Key::MarkNotKnown))) " " strong { (t(Key::MarkNotKnown)) } }
            ul.notes { @for reason in reasons { li { (reason) } } }
        },
    }
}

fn solved_part(number: &str, view: &SectionView, asked: &Asked) -> Markup {
    html! {
        @if !asked.faults.is_empty() {
            div.settle role="alert" { ul { @for fault in &asked.faults { li { (fault) } } } }
        }
        (picture(&view.sheet))
        (bead_table(&view.sheet))
        h3 { (t(Key::SectionFilm)) }
        (film_part(view))
        h3 { (t(Key::SectionCurves)) }
        (curves_part(view, asked))
        h3 { (t(Key::SectionNotes)) }
        ul.notes { @for note in &view.sheet.notes { li { (note) } } }
        (downloads(number, asked))
    }
}

fn svg(drawn: &str) -> Markup {
    html! { (PreEscaped(drawn)) }
}

fn picture(sheet: &SolvedSheet) -> Markup {
    html! {
        div.section-lead {
            p.stamp.computed { (sheet.stamp) }
            ul.section-answers { @for answer in &sheet.answers { li { (answer) } } }
        }
        figure.section-etch {
            div.etch-wide data-place { (svg(&sheet.etch)) }
            div.etch-narrow data-place { (svg(&sheet.etch_narrow)) }
            figcaption { (t(Key::SectionCaption)) }
        }
    }
}

fn bead_table(sheet: &SolvedSheet) -> Markup {
    html! {
        div.table-room tabindex="0" role="region" aria-label=(t(Key::SectionTable)) {
            table.bead-table {
                caption.vh { (t(Key::SectionTable)) }
                thead {
                    tr {
                        th scope="col" { (t(Key::ColBead)) }
                        th scope="col" { (t(Key::SectionPass)) }
                        @for column in &sheet.columns {
                            th scope="col" { (column.label) @if !column.unit.is_empty() { br; span.unit { (column.unit) } } }
                        }
                    }
                }
                tbody {
                    @for row in &sheet.rows {
                        tr {
                            th.row-head scope="row" { (row.bead) }
                            td { (row.kind) }
                            @for cell in &row.cells { td.figure { (cell) } }
                        }
                    }
                }
            }
        }
    }
}

fn film_part(view: &SectionView) -> Markup {
    let film = &view.film;
    html! {
        div.film-controls {
            label for="section-bead" { (t(Key::SectionBead)) }
            select #section-bead name="bead" form=(SECTION_FORM) {
                @for (index, name) in view.beads.iter().enumerate() {
                    option value=(index + 1) selected[index + 1 == film.bead] { (name) }
                }
            }
            label for="section-frame" { (t(Key::SectionFrame)) }
            input #section-frame type="range" name="frame" form=(SECTION_FORM) min="0" max=(film.frames.saturating_sub(1)) step="1" value=(film.frame) aria-valuetext=(film.words);
            span.film-time #section-time { (film.words) }
            button.plain.live-only type="button" data-film-play { (t(Key::SectionPlay)) }
            button.button.no-script type="submit" form=(SECTION_FORM) { (t(Key::SectionShow)) }
        }
        div.film-pair {
            figure.film { div data-place data-film { (svg(&film.svg)) } }
            figure.film { div { (svg(&view.along)) } }
        }
        p.soft.live-only { (t(Key::SectionPoint)) }
    }
}

fn curves_part(view: &SectionView, asked: &Asked) -> Markup {
    let curves = &view.curves;
    let has_places = !asked.ask.places_mm.is_empty();
    let has_measured = curves.rows.iter().any(|row| !row.measured.is_empty());
    html! {
        div.film-pair {
            @if curves.svg.is_empty() { p.soft { (t(Key::SectionNoMetal)) } } @else {
                figure.film { div { (svg(&curves.svg)) } }
            }
            div.curve-side {
                @if !has_places { p.soft { (t(Key::SectionDefaultPlaces)) } }
                div.table-room tabindex="0" role="region" aria-label=(t(Key::SectionPlaces)) {
                    table.bead-table {
                        caption.vh { (t(Key::SectionPlaces)) }
                        thead { tr {
                            th scope="col" { (t(Key::SectionPlace)) }
                            th scope="col" { (t(Key::SectionPeak)) }
                            th scope="col" { (t(Key::SectionT85)) }
                            @if has_measured { th scope="col" { (t(Key::SectionMeasured)) } }
                            @if has_places { th { span.vh { (t(Key::SectionDrop)) } } }
                        } }
                        tbody { @for (index, row) in curves.rows.iter().enumerate() { (curve_row(index, row, has_measured, has_places)) } }
                    }
                }
                (place_form(asked))
                (measured_form(asked))
            }
        }
    }
}

fn curve_row(index: usize, row: &CurveRow, has_measured: bool, has_places: bool) -> Markup {
    html! {
        tr {
            th.place-head scope="row" { strong { (row.place.name) } " " span.soft { (row.words) } }
            td.figure { (row.peak) }
            td.figure { (row.t85) }
            @if has_measured { td.figure { (row.measured) } }
            @if has_places {
                td { button.plain type="submit" form=(SECTION_FORM) name="drop" value=(index) aria-label=(fill(Key::SectionDropNamed, &[("name", &row.place.name)])) { (t(Key::SectionDrop)) } }
            }
        }
    }
}

fn place_form(asked: &Asked) -> Markup {
    html! {
        @for [x, y] in &asked.ask.places_mm {
            input type="hidden" name="at" form=(SECTION_FORM) value={ (format!("{x:.2},{y:.2}")) };
        }
        fieldset.place-form {
            legend { (t(Key::SectionPlaceAdd)) }
            @for (name, words) in [("x", Key::SectionX), ("y", Key::SectionY)] {
                span.field {
                    label for={ "section-" (name) } { (t(words)) }
                    span.entry { input id={ "section-" (name) } name=(name) type="text" inputmode="decimal" form=(SECTION_FORM) autocomplete="off"; }
                }
            }
            button.button type="submit" form=(SECTION_FORM) { (t(Key::SectionPlacePut)) }
        }
    }
}

fn measured_form(asked: &Asked) -> Markup {
    html! {
        details.measured open[!asked.measured.is_empty()] {
            summary { span { (t(Key::SectionMeasuredAdd)) } }
            p.soft { (t(Key::SectionMeasuredHow)) }
            label for="section-measured" { (t(Key::SectionMeasuredText)) }
            textarea #section-measured name="measured" form=(SECTION_FORM) rows="5" spellcheck="false" placeholder="t_s,T_C" { (asked.measured) }
            div.choices {
                label.live-only for="section-upload" { (t(Key::SectionMeasuredFile)) }
                input.live-only #section-upload type="file" accept=".csv,.txt,text/csv,text/plain";
                button.button type="submit" form=(SECTION_FORM) { (t(Key::SectionMeasuredLay)) }
            }
        }
    }
}

fn downloads(number: &str, asked: &Asked) -> Markup {
    let places: Vec<String> =
        asked.ask.places_mm.iter().map(|[x, y]| format!("at={x:.2}%2C{y:.2}")).collect();
    let query = format!("?bead={}&{}", asked.ask.bead.max(1), places.join("&"));
    let words = |kind| match kind {
        SectionFile::Svg => Key::SectionSvg,
        SectionFile::Png => Key::SectionPng,
        SectionFile::Json => Key::SectionJson,
        SectionFile::Csv => Key::SectionCsv,
    };
    html! {
        ul.files.no-print {
            @for kind in SectionFile::ALL {
                li { a.plain href={ (address(number)) "/file/" (kind.slug()) (query.trim_end_matches('&')) } download { (t(words(kind))) } }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn asked(pairs: &[(&str, &str)]) -> Asked {
        Asked::read(&Pairs(pairs.iter().map(|(k, v)| ((*k).to_owned(), (*v).to_owned())).collect()))
    }

    #[test]
    fn a_typed_place_joins_those_already_there_and_one_can_be_taken_away() {
        let read =
            asked(&[("bead", "2"), ("at", "1,2"), ("at", "-3.5,4"), ("x", " 5 "), ("y", "6"), ("drop", "0")]);
        assert_eq!(read.ask.places_mm, [[-3.5, 4.0], [5.0, 6.0]]);
        assert_eq!((read.ask.bead, read.ask.frame), (2, None));
        assert!(read.faults.is_empty());
    }

    #[test]
    fn what_cannot_be_read_is_said_and_left_out() {
        let read = asked(&[("x", "three"), ("y", "1"), ("measured", "0,20\nhot"), ("at", "1e9,0")]);
        assert!(read.ask.places_mm.is_empty() && read.ask.measured.is_empty());
        assert!(
            read.faults[0].contains("three, 1") && read.faults[1].contains("line 2"),
            "{:?}",
            read.faults
        );
        let full: Vec<(&str, &str)> = std::iter::repeat_n(("at", "1,2"), PLACES_MAX).collect();
        let full = asked(&[full, vec![("x", "1"), ("y", "1")]].concat());
        assert_eq!(full.ask.places_mm.len(), PLACES_MAX);
        assert!(full.faults[0].contains(&PLACES_MAX.to_string()));
    }
}
