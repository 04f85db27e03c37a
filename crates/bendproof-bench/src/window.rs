//! The settings window of a coupon, live: two inputs chosen, the map of what
//! comes first, the place set as a point that can be dragged, what to turn.
//!
//! A page of its own that works as plain forms. With a script the point follows
//! the hand and shows the words there; letting go writes both values through the
//! same change, with the same version, as every other value of the sheet.

use axum::Json;
use axum::extract::{Path, Query, State};
use axum::http::{HeaderMap, header};
use axum::response::{IntoResponse, Redirect, Response};
use bendproof_traveler::window::{ChanceView, ChangeView, KnobLine, SideView, WindowChoice, WindowLine};
use maud::{Markup, PreEscaped, html};
use serde_json::json;

use crate::answer::Problem;
use crate::app::Bench;
use crate::coupon::{Sent, answer, attachment};
use crate::desk::{Outcome, WindowAsk, WindowFile, WindowOpened, WindowPlace, WindowView};
use crate::field::input_id;
use crate::form::{Edit, Pairs};
use crate::guard::accepts_json;
use crate::layout::{Here, page};
use crate::parts::{bar, mark_class, mark_words};
use crate::text::{Key, fill, t};
use crate::visitor::{Visitor, percent_encode};

/// Half the width of the bar next to a knob, drawing units.
const PUSH_HALF: f64 = 100.0;
/// Doubts that make a full bar where no knob moves more (choice: below that no
/// bar may look large).
const PUSH_FULL_LEAST: f64 = 0.5;

type Asked = Query<Vec<(String, String)>>;

fn ask_of(pairs: &[(String, String)]) -> WindowAsk {
    let get = |name: &str| pairs.iter().find(|(key, _)| key == name).map(|(_, value)| value.as_str());
    let path = |name| get(name).unwrap_or_default().chars().take(60).collect();
    WindowAsk { x: path("x"), y: path("y"), root_only: get("scope") != Some("whole") }
}

/// `0.125,0.0625`: a place in the units of the sides.
fn at_of(pairs: &[(String, String)]) -> Option<[f64; 2]> {
    let (x, y) = pairs.iter().find(|(key, _)| key == "at")?.1.split_once(',')?;
    let number = |text: &str| text.trim().parse::<f64>().ok().filter(|v| v.is_finite());
    Some([number(x)?, number(y)?])
}

/// What an address of the window says: which inputs, which answers.
fn query(ask: &WindowAsk) -> String {
    let scope = if ask.root_only { "root" } else { "whole" };
    format!("x={}&y={}&scope={scope}", percent_encode(&ask.x), percent_encode(&ask.y))
}

fn address(number: &str) -> String {
    format!("/coupon/{number}/window")
}

/// `GET /coupon/NUMBER/window`: the page, or its part as JSON.
pub(crate) async fn show(
    State(bench): State<Bench>,
    visitor: Visitor,
    headers: HeaderMap,
    Path(number): Path<String>,
    Query(pairs): Asked,
) -> Result<Response, Problem> {
    let ask = ask_of(&pairs);
    let opened = bench.desk.window(&number, ask.clone()).await?;
    if accepts_json(&headers) {
        return Ok(part_json(&bench, &number, &ask, &opened).into_response());
    }
    let chance = match opened.window {
        Ok(_) => Some(bench.desk.window_chance(&number).await?),
        Err(_) => None,
    };
    let title = fill(Key::WindowPageTitle, &[("n", &number)]);
    let chance = chance.as_ref().map(chance_part);
    let body = html! {
        article.slip.window-page {
            p.back { a href={ "/coupon/" (number) "#op-40" } { (fill(Key::SectionBack, &[("n", &number)])) } }
            h1 { (title) }
            div.window-panel #window-panel data-window=(address(&number)) {
                (part(&bench, &number, &ask, &opened, chance))
            }
            div.state #state role="status" aria-live="polite" {}
        }
    };
    let twin = format!("{}.json", address(&number));
    Ok(page(&visitor, &title, Some(&twin), Here::Coupons, &body).into_response())
}

fn part_json(bench: &Bench, number: &str, ask: &WindowAsk, opened: &WindowOpened) -> Json<serde_json::Value> {
    let html = part(bench, number, ask, opened, None).into_string();
    Json(json!({ "version": opened.version, "html": html, "known": opened.window.is_ok() }))
}

/// `GET /coupon/NUMBER/window.json`.
pub(crate) async fn twin(
    State(bench): State<Bench>,
    Path(number): Path<String>,
    Query(pairs): Asked,
) -> Result<Response, Problem> {
    let file = bench.desk.window_file(&number, WindowFile::Json, ask_of(&pairs)).await?;
    Ok(([(header::CONTENT_TYPE, file.content_type)], file.bytes).into_response())
}

/// `GET /coupon/NUMBER/window/place?at=X,Y`: the words there. Nothing is kept.
pub(crate) async fn place(
    State(bench): State<Bench>,
    Path(number): Path<String>,
    Query(pairs): Asked,
) -> Result<Response, Problem> {
    let at = at_of(&pairs).ok_or_else(|| Problem::form(Key::ErrorForm))?;
    Ok(match bench.desk.window_place(&number, ask_of(&pairs), at).await? {
        Ok(place) => {
            let html = place_part(&place, Key::WindowThere).into_string();
            Json(json!({ "place": place, "html": html })).into_response()
        }
        Err(reasons) => Json(json!({ "not_known": reasons })).into_response(),
    })
}

/// `GET /coupon/NUMBER/window/chance`: the chance along the joint, drawn.
pub(crate) async fn chance(
    State(bench): State<Bench>,
    Path(number): Path<String>,
) -> Result<Response, Problem> {
    let chance = bench.desk.window_chance(&number).await?;
    Ok(Json(json!({ "chance": chance, "html": chance_part(&chance).into_string() })).into_response())
}

/// `GET /coupon/NUMBER/window/file/KIND`.
pub(crate) async fn file(
    State(bench): State<Bench>,
    Path((number, kind)): Path<(String, String)>,
    Query(pairs): Asked,
) -> Result<Response, Problem> {
    let kind = WindowFile::from_slug(&kind).ok_or_else(Problem::absent)?;
    Ok(attachment(bench.desk.window_file(&number, kind, ask_of(&pairs)).await?))
}

/// `POST /coupon/NUMBER/window/set`: keep the place.
pub(crate) async fn set(
    State(bench): State<Bench>,
    visitor: Visitor,
    headers: HeaderMap,
    Path(number): Path<String>,
    Query(asked): Asked,
    pairs: Pairs,
) -> Result<Response, Problem> {
    let edit = Edit::read(&pairs)?;
    let version = edit.version()?;
    let hand = edit.hand(visitor.name());
    let outcome = match edit.changes.is_empty() {
        true => None,
        false => Some(bench.desk.window_set(&number, version, edit.changes.clone(), hand).await?),
    };
    match outcome {
        None | Some(Outcome::Saved(_)) => kept(&bench, &headers, &number, &ask_of(&asked)).await,
        Some(other) => {
            let sent = Sent { way: "window/set", changes: &edit.changes, ..Sent::of(&number, version) };
            answer(&bench, &visitor, accepts_json(&headers), &sent, other).await
        }
    }
}

/// `POST /coupon/NUMBER/window/undo`.
pub(crate) async fn undo(
    State(bench): State<Bench>,
    visitor: Visitor,
    headers: HeaderMap,
    Path(number): Path<String>,
    Query(asked): Asked,
    pairs: Pairs,
) -> Result<Response, Problem> {
    let edit = Edit::read(&pairs)?;
    let version = edit.version()?;
    match bench.desk.undo(&number, version, edit.hand(visitor.name())).await? {
        Outcome::Saved(_) => kept(&bench, &headers, &number, &ask_of(&asked)).await,
        other => {
            let sent = Sent { way: "window/undo", ..Sent::of(&number, version) };
            answer(&bench, &visitor, accepts_json(&headers), &sent, other).await
        }
    }
}

/// After something was kept: the window as it stands now.
async fn kept(
    bench: &Bench,
    headers: &HeaderMap,
    number: &str,
    ask: &WindowAsk,
) -> Result<Response, Problem> {
    if !accepts_json(headers) {
        return Ok(Redirect::to(&format!("{}?{}", address(number), query(ask))).into_response());
    }
    let opened = bench.desk.window(number, ask.clone()).await?;
    Ok(part_json(bench, number, ask, &opened).into_response())
}

/// The small map of the sheet, and the way to the large one.
pub(crate) fn small(number: &str, svg: &str) -> Markup {
    html! {
        @if !svg.is_empty() {
            div.drawing {
                p.soft { (t(Key::WindowSmall)) }
                (PreEscaped(svg))
                p.no-print { a.plain href=(address(number)) { (t(Key::WindowOpen)) } }
            }
        }
    }
}

fn part(
    bench: &Bench,
    number: &str,
    ask: &WindowAsk,
    opened: &WindowOpened,
    chance: Option<Markup>,
) -> Markup {
    match &opened.window {
        Ok(view) => window_part(&bench.form_token(), number, opened, view, chance),
        Err(reasons) => html! {
            p.section-unknown { (bar(bendproof_traveler::sheet::Mark::NotKnown, t(Key::MarkNotKnown))) " " strong { (t(Key::MarkNotKnown)) } }
            ul.notes { @for reason in reasons { li { (reason) } } }
            (undo_form(number, ask, opened))
        },
    }
}

/// What the window shows, so that a form comes back to it.
fn shown(view: &WindowView) -> WindowAsk {
    let [x, y] = [0, 1].map(|k: usize| view.sides[k].path.clone());
    WindowAsk { x, y, root_only: view.root_only }
}

fn window_part(
    token: &str,
    number: &str,
    opened: &WindowOpened,
    view: &WindowView,
    chance: Option<Markup>,
) -> Markup {
    let ask = shown(view);
    html! {
        (choose_form(number, view))
        div.window-pair {
            (figure(view))
            div.window-side {
                div #window-here { (place_part(&view.here, Key::WindowHere)) }
                (set_form(number, &ask, opened, view, token))
                (undo_form(number, &ask, opened))
            }
        }
        (change_part(number, &ask, opened, view, token))
        h2 { (t(Key::WindowKnobs)) }
        p { (fill(Key::WindowKnobsOf, &[("what", &view.first)])) }
        (knob_table(&view.knobs))
        h2 { (t(Key::WindowChance)) }
        div #window-chance {
            @match chance {
                Some(chance) => (chance),
                None => p.soft data-window-chance { (t(Key::WindowDrawing)) },
            }
        }
        h2 { (t(Key::WindowNotes)) }
        ul.notes { @for note in &view.notes { li { (note) } } }
        (downloads(number, &ask))
    }
}

fn choose_form(number: &str, view: &WindowView) -> Markup {
    html! {
        form.window-choose #window-choose method="get" action=(address(number)) {
            @for (name, words, side) in [("y", Key::WindowUp, &view.sides[1]), ("x", Key::WindowAcross, &view.sides[0])] {
                span.field {
                    label for={ "window-" (name) } { (t(words)) }
                    span.entry { select id={ "window-" (name) } name=(name) { (options(&view.choices, &side.path)) } }
                }
            }
            span.field {
                label for="window-scope" { (t(Key::WindowScope)) }
                span.entry {
                    select #window-scope name="scope" {
                        option value="whole" selected[!view.root_only] { (t(Key::WindowWhole)) }
                        option value="root" selected[view.root_only] { (t(Key::WindowRoot)) }
                    }
                }
            }
            button.button.no-script type="submit" { (t(Key::WindowDraw)) }
        }
    }
}

/// The inputs, those of the fit and of each pass under their own names.
fn options(choices: &[WindowChoice], chosen: &str) -> Markup {
    let passes = choices.iter().filter_map(|c| c.pass).max().unwrap_or(0);
    let group = |pass: Option<usize>| choices.iter().filter(move |c| c.pass == pass);
    let option = |c: &WindowChoice| {
        html! { option value=(c.path) selected[c.path == chosen] {
            (c.label) @if let Some(n) = c.pass { ", " (fill(Key::PassName, &[("n", &n.to_string())])) }
        } }
    };
    html! {
        optgroup label=(t(Key::OpFit)) { @for c in group(None) { (option(c)) } }
        @for n in 1..=passes {
            optgroup label=(fill(Key::PassName, &[("n", &n.to_string())])) { @for c in group(Some(n)) { (option(c)) } }
        }
    }
}

/// The map, and the point over it that a script moves.
fn figure(view: &WindowView) -> Markup {
    let side = |s: &SideView| json!({ "ends": s.ends, "steps": s.steps, "value": s.value, "path": s.path });
    let sides = json!([side(&view.sides[0]), side(&view.sides[1])]).to_string();
    html! {
        figure.window-figure {
            div.window-map #window-ground data-sides=(sides) {
                div.map-wide { (PreEscaped(&view.map)) }
                div.map-narrow { (PreEscaped(&view.map_narrow)) }
                div.window-point.live-only #window-point role="slider" tabindex="0"
                    aria-roledescription=(t(Key::WindowPointRole)) aria-label=(fill(Key::WindowPoint, &[("x", &view.sides[0].label), ("y", &view.sides[1].label)]))
                    aria-describedby="window-how" aria-valuemin=(view.sides[0].ends[0]) aria-valuemax=(view.sides[0].ends[1])
                    aria-valuenow=(view.sides[0].value) aria-valuetext=(view.here.words) {}
            }
            figcaption {
                p.live-only #window-how { (t(Key::WindowHow)) }
                p.soft { (view.summary) }
            }
        }
    }
}

fn place_part(place: &WindowPlace, heading: Key) -> Markup {
    html! {
        h2.window-heading { (t(heading)) }
        p.window-word.(mark_class(place.mark)) { (bar(place.mark, mark_words(place.mark))) " " strong aria-hidden="true" { (mark_words(place.mark)) } span.soft { (place.texts[1]) " / " (place.texts[0]) } }
        ul.window-lines { @for line in &place.lines { (place_line(line)) } }
    }
}

fn place_line(line: &WindowLine) -> Markup {
    html! {
        li.window-line.first[line.is_first] {
            (bar(line.mark, mark_words(line.mark)))
            span.window-label { (line.label) @if line.is_first { " " span.first-mark { (t(Key::WindowFirst)) } } }
            span.window-value { (line.value) }
        }
    }
}

/// Both values as text: the exact way, and the only one without a script.
fn set_form(number: &str, ask: &WindowAsk, opened: &WindowOpened, view: &WindowView, token: &str) -> Markup {
    html! {
        form.window-set #window-set method="post" action={ (address(number)) "/set?" (query(ask)) } data-window-form autocomplete="off" {
            (versioned(opened, token))
            @for side in [&view.sides[1], &view.sides[0]] {
                span.field {
                    label for=(input_id(&side.path)) { (side.label) }
                    span.entry {
                        input id=(input_id(&side.path)) name=(side.path) type="text" value=(side.text) required;
                        input type="hidden" name={ "was:" (side.path) } value=(side.text);
                    }
                }
            }
            button.button type="submit" { (t(Key::WindowSet)) }
        }
    }
}

fn versioned(opened: &WindowOpened, token: &str) -> Markup {
    html! {
        input type="hidden" name="version" value=(opened.version);
        input type="hidden" name="token" value=(token);
    }
}

fn undo_form(number: &str, ask: &WindowAsk, opened: &WindowOpened) -> Markup {
    html! {
        @if opened.can_undo {
            form method="post" action={ (address(number)) "/undo?" (query(ask)) } data-window-form {
                input type="hidden" name="version" value=(opened.version);
                button.plain #window-undo type="submit" { (t(Key::Undo)) }
            }
        }
    }
}

fn change_part(
    number: &str,
    ask: &WindowAsk,
    opened: &WindowOpened,
    view: &WindowView,
    token: &str,
) -> Markup {
    html! {
        h2 { (t(Key::WindowTurn)) }
        p { (view.advice) }
        @if let Some(change) = &view.change {
            form.window-change method="post" action={ (address(number)) "/set?" (query(ask)) } data-window-form {
                (versioned(opened, token))
                input type="hidden" name=(change.path) value=(change.text);
                button.button #window-turn type="submit" { (fill(Key::WindowTurnTo, &[("what", &change.words)])) }
            }
            (effects(change))
        }
    }
}

fn effects(change: &ChangeView) -> Markup {
    html! {
        div.window-effects {
            @for (words, list) in [(Key::WindowBetter, &change.better), (Key::WindowWorse, &change.worse)] {
                div {
                    h3 { (t(words)) }
                    @if list.is_empty() { p.soft { (t(Key::WindowNothing)) } }
                    ul { @for effect in list { li { (effect) } } }
                }
            }
        }
    }
}

fn knob_table(knobs: &[KnobLine]) -> Markup {
    let full = knobs.iter().filter_map(|k| k.share).map(f64::abs).fold(PUSH_FULL_LEAST, f64::max);
    html! {
        div.grid-room tabindex="0" role="region" aria-label=(t(Key::WindowKnobs)) {
            table.knob-table {
                caption.vh { (t(Key::WindowKnobs)) }
                thead { tr {
                    th scope="col" { (t(Key::WindowKnob)) }
                    th scope="col" { (t(Key::WindowStands)) }
                    th scope="col" { (t(Key::WindowStep)) }
                    th scope="col" { (t(Key::WindowMoves)) }
                    th scope="col" { span.vh { (t(Key::WindowPush)) } }
                } }
                tbody { @for knob in knobs {
                    tr {
                        th scope="row" { (knob.label) }
                        td.stands { (knob.stands) }
                        td.step { (knob.step) }
                        td.moves { (knob.moves) }
                        td.pushes { (push(knob.share, full)) }
                    }
                } }
            }
        }
    }
}

/// A bar from the middle: to the right the step helps, to the left it harms.
fn push(share: Option<f64>, full: f64) -> Markup {
    let Some(share) = share else { return html! {} };
    let wide = PUSH_HALF * (share / full).clamp(-1.0, 1.0);
    let (from, width) = (wide.min(0.0), wide.abs());
    html! {
        svg.push viewBox="-102 0 204 14" aria-hidden="true" focusable="false" {
            rect.(if share < 0.0 { "harms" } else { "helps" }) x=(format!("{from:.1}")) y="3" width=(format!("{width:.1}")) height="8" {}
            line x1="0" y1="0" x2="0" y2="14" {}
        }
    }
}

fn chance_part(chance: &Result<ChanceView, Vec<String>>) -> Markup {
    match chance {
        Ok(view) => html! {
            @match &view.chance {
                Ok(chance) => {
                    dl.figures.window-chance { div { dt { (t(Key::WindowJointHolds)) } dd { (chance) } } }
                }
                Err(why) => p { strong { (t(Key::MarkNotKnown)) } " " (why) },
            }
            @if !view.lost.is_empty() {
                p { (fill(Key::WindowLost, &[("what", &view.lost.join(", "))])) }
            }
            @if !view.assumed.is_empty() {
                ul.notes { @for line in &view.assumed { li { (line) } } }
            }
        },
        Err(reasons) => html! { ul.notes { @for reason in reasons { li { (reason) } } } },
    }
}

fn downloads(number: &str, ask: &WindowAsk) -> Markup {
    let words = |kind| match kind {
        WindowFile::Svg => Key::WindowSvg,
        WindowFile::Png => Key::WindowPng,
        WindowFile::Csv => Key::WindowCsv,
        WindowFile::Json => Key::WindowJson,
    };
    html! {
        ul.files.no-print {
            @for kind in WindowFile::ALL {
                li { a.plain href={ (address(number)) "/file/" (kind.slug()) "?" (query(ask)) } download { (t(words(kind))) } }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pairs(list: &[(&str, &str)]) -> Vec<(String, String)> {
        list.iter().map(|(k, v)| ((*k).to_owned(), (*v).to_owned())).collect()
    }

    #[test]
    fn an_address_says_what_it_shows_and_reads_itself_again() {
        let ask = WindowAsk { x: "pass.1.volts".into(), y: "fit.root_face".into(), root_only: true };
        let address = query(&ask);
        let read: Vec<(String, String)> = address
            .split('&')
            .filter_map(|pair| pair.split_once('='))
            .map(|(k, v)| (k.to_owned(), v.to_owned()))
            .collect();
        assert_eq!(ask_of(&read), ask);
        assert_eq!(ask_of(&[]), WindowAsk::default());
    }

    #[test]
    fn a_place_is_two_numbers_or_none() {
        assert_eq!(at_of(&pairs(&[("at", " 0.125, -2e-1")])), Some([0.125, -0.2]));
        for wrong in ["", "1", "1,b", "NaN,1", "inf,1", "1,2,3"] {
            assert_eq!(at_of(&pairs(&[("at", wrong)])), None, "{wrong}");
        }
    }

    #[test]
    fn a_bar_points_to_the_side_the_step_pushes_to_and_never_leaves_its_box() {
        let drawn = |share| push(Some(share), 2.0).into_string();
        assert!(drawn(1.0).contains("helps\" x=\"0.0\"") && drawn(1.0).contains("width=\"50.0\""));
        assert!(drawn(-40.0).contains("harms\" x=\"-100.0\"") && drawn(-40.0).contains("width=\"100.0\""));
        assert!(push(None, 2.0).into_string().is_empty());
    }
}
