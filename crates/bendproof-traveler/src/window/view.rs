//! The settings window as a page shows it: the two inputs chosen, the map in two
//! widths, the words at the value set or at a place pointed at, what to turn, and
//! the chance along the joint. Everything is text, marks and drawings; nothing
//! here computes a weld.

use bendproof_drawing::{Frame, Theme, Words, window_map};
use bendproof_files::{COUPON, Document, Severity};
use bendproof_forecast::{
    Answer, Carried, Chance, Change, DRAWS, Effect, HeatOf, Knob, Limits, STRETCH_M, Scatter, Scope, Slope,
    Verdict, answers,
};
use bendproof_measure::System;
use bendproof_weld::Coupon;
use serde::Serialize;

use super::axis::{Side, label_of, path_of, value_text};
use super::axis_steps::{settled, side_around, steps, window_changes, written};
use super::map::{
    TradeSide, Window, WindowOf, WindowRequest, answer_name, drawn, trade_of, window, window_description,
    window_title,
};
use super::text::{NO_SINGLE_SETTING, answer_text, change_text, is_ok, margin_text, model_line};
use crate::build::items::chance_words;
use crate::context::AssessmentContext;
use crate::drawn::Look;
use crate::forecast::compute;
use crate::plates::PastPlate;
use crate::sheet::{Mark, mark};
use crate::solved::SolvedCoupon;

/// Cells of the map across and upwards (choice: as in a map written to a file).
const CELLS: (usize, usize) = (60, 60);
/// Size of the map on a wide page and on a phone, user units (choice).
const WIDE_PX: [f64; 2] = [560.0, 400.0];
const NARROW_PX: [f64; 2] = [280.0, 280.0];

/// A place this near to the value set, in the side's unit, is the value set.
const UNMOVED: f64 = 1e-9;

/// Whose words the map speaks, before the beads of the coupon are solved and after.
const FAST_NOTE: &str = "The map and its words are those of the fast model; the sheet's own rest on solved beads once its section is solved, and may differ inside that band.";
const SOLVED_NOTE: &str = "Chance and words at your settings rest on the solved beads, as on the sheet; the rest of the map is the fast model, moved at the root to meet them there.";

/// What is asked for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WindowAsk {
    /// Path of the input across; empty for the root opening.
    pub x: String,
    /// Path of the input upwards; empty for the land.
    pub y: String,
    /// Whether the answers of the root alone count.
    pub root_only: bool,
}

impl Default for WindowAsk {
    /// The question of the sheet's small map: opening against land, the root alone.
    fn default() -> Self {
        Self { x: String::new(), y: String::new(), root_only: true }
    }
}

/// An input that can be chosen for a side.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct WindowChoice {
    /// The document's path.
    pub path: String,
    /// The trade's name.
    pub label: String,
    /// The pass it belongs to, 1 first; none for the fit.
    pub pass: Option<usize>,
}

/// One side as the page needs it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SideView {
    /// The document's path.
    pub path: String,
    /// The trade's name.
    pub label: String,
    /// Lower and upper end, in the side's unit.
    pub ends: [f64; 2],
    /// The finest step of a hand, and the step it names, in the side's unit.
    pub steps: [f64; 2],
    /// Where the coupon stands, in the side's unit.
    pub value: f64,
    /// The same as written in the coupon.
    pub text: String,
    /// Both ends in words.
    pub range: String,
}

/// One answer in words.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct WindowLine {
    /// Its mark.
    pub mark: Mark,
    /// What is asked.
    pub label: String,
    /// Its margin, or why it is not known.
    pub value: String,
    /// Whether it comes first.
    pub is_first: bool,
}

/// How one input moves the answer that comes first.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct KnobLine {
    /// The document's path.
    pub path: String,
    /// The trade's name.
    pub label: String,
    /// Where it stands.
    pub stands: String,
    /// One step of the hand.
    pub step: String,
    /// Change of the margin for that step.
    pub moves: String,
    /// The same counted in the margin's doubt; none where it is unknown.
    pub share: Option<f64>,
}

/// The change recommended.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ChangeView {
    /// The document's path.
    pub path: String,
    /// As it is written into the coupon.
    pub text: String,
    /// What is turned, from where to where.
    pub words: String,
    /// What it makes better.
    pub better: Vec<String>,
    /// What it makes worse.
    pub worse: Vec<String>,
}

/// A settings window, ready to be laid out.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WindowView {
    /// The coupon's number.
    pub number: String,
    /// Which two inputs, in words.
    pub title: String,
    /// Whether the answers of the root alone count.
    pub root_only: bool,
    /// Inputs to choose from.
    pub choices: Vec<WindowChoice>,
    /// Across and upwards.
    pub sides: [SideView; 2],
    /// The map for a wide page.
    pub map: String,
    /// The map for a phone.
    pub map_narrow: String,
    /// Shares of the map in words.
    pub summary: String,
    /// The words at the value set.
    pub here: WindowPlace,
    /// What the lines of the table below move.
    pub first: String,
    /// Each input.
    pub knobs: Vec<KnobLine>,
    /// What to turn, in a sentence.
    pub advice: String,
    /// The change itself.
    pub change: Option<ChangeView>,
    /// What the reader should know besides: the model's error, where nothing is
    /// known, where the frame is from, what was asked and is not there.
    pub notes: Vec<String>,
}

/// The words at one place of the map.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WindowPlace {
    /// The place, in the units of the sides.
    pub at: [f64; 2],
    /// Both values as they are written into the coupon.
    pub texts: [String; 2],
    /// The worst word.
    pub mark: Mark,
    /// Both values and the worst word in one sentence.
    pub words: String,
    /// Every answer.
    pub lines: Vec<WindowLine>,
}

/// The chance along the joint in words, with its assumption.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ChanceView {
    /// Over the whole joint, in words; why it is not known otherwise.
    pub chance: Result<String, String>,
    /// What is lost most often, most first.
    pub lost: Vec<String>,
    /// What was assumed.
    pub assumed: Vec<String>,
}

/// A coupon read for its window.
struct Given {
    coupon: Coupon,
    scatter: Scatter,
    limits: Limits,
    system: System,
    chance: Result<Chance, String>,
}

impl Given {
    fn read(
        document: &Document,
        context: impl Into<AssessmentContext>,
        solved: Option<&SolvedCoupon>,
    ) -> Result<Self, Vec<String>> {
        let computed = compute(document, context, solved);
        let is_sound = computed.findings.iter().all(|f| f.severity < Severity::Error);
        let (limits, system) = (computed.limits, computed.system);
        match (computed.coupon, computed.scatter, computed.forecast.filter(|_| is_sound)) {
            (Some(coupon), Some(scatter), Some(forecast)) => {
                Ok(Self { coupon, scatter, limits, system, chance: forecast.chance })
            }
            _ => Err(computed.findings.into_iter().map(|f| f.message).collect()),
        }
    }

    fn of<'a>(&'a self, heat: HeatOf<'a>) -> WindowOf<'a> {
        WindowOf { coupon: &self.coupon, scatter: &self.scatter, limits: &self.limits, heat }
    }
}

/// What stands behind the heat of a coupon whose beads may be solved.
fn heat_of(solved: Option<&SolvedCoupon>) -> HeatOf<'_> {
    solved.map_or(HeatOf::Fast, |solved| HeatOf::Solved(&solved.solved))
}

/// The two sides asked for, and what was asked and is not there.
struct Asked {
    sides: [Side; 2],
    scope: Scope,
    notes: Vec<String>,
}

impl Asked {
    fn read(document: &Document, coupon: &Coupon, ask: &WindowAsk) -> Self {
        let known = knobs(coupon);
        let mut notes = Vec::new();
        let mut pick = |path: &str, standard: Knob| {
            let found = known.iter().copied().find(|k| path_of(*k) == path);
            if found.is_none() && !path.is_empty() {
                notes.push(format!(
                    "this coupon has no {path} to turn; {} is shown instead",
                    label_of(standard)
                ));
            }
            found.unwrap_or(standard)
        };
        let x = pick(&ask.x, Knob::RootOpening);
        let mut y = pick(&ask.y, if x == Knob::RootFace { Knob::RootOpening } else { Knob::RootFace });
        if x == y {
            y = if x == Knob::RootFace { Knob::RootOpening } else { Knob::RootFace };
            notes.push(format!("two different inputs make a map; {} is shown upwards", label_of(y)));
        }
        let side = |knob| {
            let trade_si = trade_of(coupon, knob).map(|t| t.range_si);
            side_around(document, coupon, knob, trade_si)
        };
        // Every input offered has a value and a range; the fit's always do.
        let whole = |knob| Side {
            knob,
            low_si: 0.0,
            high_si: knob.hand_step().0,
            system: bendproof_measure::System::Inch,
        };
        let sides = [x, y].map(|knob| side(knob).unwrap_or_else(|| whole(knob)));
        let scope = if ask.root_only { Scope::Root } else { Scope::Whole };
        Self { sides, scope, notes }
    }

    fn request(&self) -> WindowRequest {
        WindowRequest { x: self.sides[0], y: self.sides[1], cells: CELLS, scope: self.scope }
    }
}

/// Every input this coupon has, the fit first.
fn knobs(coupon: &Coupon) -> Vec<Knob> {
    let fit = [
        Knob::RootOpening,
        Knob::RootFace,
        Knob::Mismatch,
        Knob::GrooveAngle,
        Knob::Thickness,
        Knob::StartTemperature,
    ];
    let pass = |p: usize| [Knob::Volts(p), Knob::WireFeed(p), Knob::Travel(p), Knob::Amps(p)];
    let all = fit.into_iter().chain((0..coupon.passes.len()).flat_map(pass));
    all.filter(|k| k.value_si(coupon).is_some()).collect()
}

/// The window of a document with its numbers, for files.
///
/// # Errors
/// Says why there is none.
pub fn window_of(
    document: &Document,
    context: impl Into<AssessmentContext>,
    plates: &[PastPlate],
    ask: &WindowAsk,
    solved: Option<&SolvedCoupon>,
) -> Result<Window, Vec<String>> {
    let given = Given::read(document, context, solved)?;
    let asked = Asked::read(document, &given.coupon, ask);
    window(&given.of(heat_of(solved)), given.chance.clone(), &asked.request(), plates)
        .map_err(|why| vec![why.to_string()])
}

/// The window of a document for the page. The chance along the joint is asked
/// apart, see [`window_chance`]: it depends on the coupon alone.
///
/// # Errors
/// Says why there is none.
pub fn window_view(
    document: &Document,
    context: impl Into<AssessmentContext>,
    plates: &[PastPlate],
    ask: &WindowAsk,
    look: Look,
    solved: Option<&SolvedCoupon>,
) -> Result<WindowView, Vec<String>> {
    let given = Given::read(document, context, solved)?;
    let asked = Asked::read(document, &given.coupon, ask);
    let (coupon, heat) = (&given.coupon, heat_of(solved));
    let window = window(&given.of(heat), given.chance.clone(), &asked.request(), plates)
        .map_err(|why| vec![why.to_string()])?;
    let [map, map_narrow] = pictures(&window, look);
    let sides = [0, 1].map(|k| side_view(document, coupon, &asked.sides[k]));
    let at = [sides[0].value, sides[1].value];
    let texts = [sides[0].text.clone(), sides[1].text.clone()];
    Ok(WindowView {
        number: window.mapped.number.clone(),
        title: title(&asked),
        root_only: ask.root_only,
        choices: knobs(coupon).into_iter().map(choice).collect(),
        here: place(&given, heat, &asked, at, texts),
        sides,
        map,
        map_narrow,
        summary: window_description(&window),
        first: first_words(&window),
        knobs: knob_lines(&window),
        advice: advice_words(&window),
        change: change_view(document, &window),
        notes: notes(asked.notes, &window),
    })
}

/// The words at a place pointed at, in the units of the sides: what the coupon
/// would say with both values written into it. Nothing is kept. `solved` are the
/// beads of the document as it is kept.
///
/// # Errors
/// Says why there are none.
pub fn window_place(
    document: &Document,
    context: impl Into<AssessmentContext>,
    ask: &WindowAsk,
    at: [f64; 2],
    solved: Option<&SolvedCoupon>,
) -> Result<WindowPlace, Vec<String>> {
    let context = context.into();
    let given = Given::read(document, context, None)?;
    let asked = Asked::read(document, &given.coupon, ask);
    // A side the hand did not move keeps its text, however finely it was written.
    let held = |k: usize| {
        let side = side_view(document, &given.coupon, &asked.sides[k]);
        ((side.value - at[k]).abs() < UNMOVED).then_some((side.value, side.text))
    };
    let [x, y] = [0, 1].map(|k| held(k).unwrap_or_else(|| settled(&asked.sides[k], at[k])));
    let (at, texts) = ([x.0, y.0], [x.1, y.1]);
    let named: Vec<(String, Option<String>)> =
        [0, 1].map(|k| (asked.sides[k].path(), Some(texts[k].clone()))).into();
    let mut there = document.clone();
    for (path, text) in window_changes(document, Some(&given.coupon), &named) {
        there.set(&path, text.as_deref());
    }
    let carried = solved.and_then(|solved| Carried::from(&given.coupon, &solved.solved));
    let is_moved = there.values() != document.values();
    let heat = if is_moved { HeatOf::from(carried.as_ref()) } else { heat_of(solved) };
    match Given::read(&there, context, None) {
        Ok(given) => Ok(place(&given, heat, &asked, at, texts)),
        // No such joint: a land as high as the plate. The map says not known.
        Err(reasons) => Ok(WindowPlace {
            words: said(&texts, reasons.first()),
            at,
            texts,
            mark: Mark::NotKnown,
            lines: Vec::new(),
        }),
    }
}

/// What a change named by the window writes, with what hangs on it.
pub fn window_written(
    document: &Document,
    context: impl Into<AssessmentContext>,
    named: &[(String, Option<String>)],
) -> Vec<(String, Option<String>)> {
    window_changes(document, compute(document, context, None).coupon.as_ref(), named)
}

/// The chance that the root holds, at one place and along the joint.
///
/// # Errors
/// Says why there is no coupon to ask about.
pub fn window_chance(
    document: &Document,
    context: impl Into<AssessmentContext>,
    solved: Option<&SolvedCoupon>,
) -> Result<ChanceView, Vec<String>> {
    let drawn = Given::read(document, context, solved)?.chance;
    let (mut lost, mut assumed) = (Vec::new(), Vec::new());
    if let Ok(chance) = &drawn {
        let mut first = chance.first.clone();
        first.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        lost = first
            .iter()
            .map(|(f, share)| format!("{}: {:.0} %", answer_name(*f, 1), share * 100.0))
            .collect();
        let stretch = value_text(Knob::RootOpening, STRETCH_M);
        assumed = vec![
            format!(
                "{DRAWS} coupons were drawn under your scatter, each of {} stretches of {stretch}.",
                chance.stretches
            ),
            "Root opening, root face and travel are drawn half for the whole coupon and half again in every stretch; settings and what the model or the meter has wrong are drawn once for the whole coupon.".to_owned(),
            "Root height, starts, stops, tacks and heat that builds up along the joint are not in it.".to_owned(),
            format!("At one place of the joint it is {:.0} %.", chance.place * 100.0),
        ];
    }
    Ok(ChanceView { chance: drawn.map(|chance| chance_words(&chance)), lost, assumed })
}

fn choice(knob: Knob) -> WindowChoice {
    let path = path_of(knob);
    let label = COUPON.spec(&path).map_or_else(String::new, |spec| spec.label.to_owned());
    WindowChoice { path, label, pass: knob.pass().map(|p| p + 1) }
}

fn title(asked: &Asked) -> String {
    format!("{} against {}", label_of(asked.sides[1].knob), label_of(asked.sides[0].knob))
}

fn side_view(document: &Document, coupon: &Coupon, side: &Side) -> SideView {
    let value = side.shown(side.knob.value_si(coupon).unwrap_or(side.low_si));
    let path = side.path();
    let text = document.get(&path).map_or_else(|| written(side, value), |text| text.trim().to_owned());
    let ends = [side.shown(side.low_si), side.shown(side.high_si)];
    let steps = steps(side.knob, side.system);
    SideView {
        label: label_of(side.knob),
        range: format!("{} to {}", written(side, ends[0]), written(side, ends[1])),
        path,
        ends,
        steps: [steps.fine, steps.coarse],
        value,
        text,
    }
}

fn pictures(window: &Window, look: Look) -> [String; 2] {
    let theme = if look == Look::Screen { Theme::web() } else { Theme::paper() };
    let words = Words::english();
    let (title, desc) = (window_title(window), window_description(window));
    [("window-map", WIDE_PX), ("window-map-narrow", NARROW_PX)].map(|(id, size_px)| {
        let frame = Frame { id, title: &title, desc: &desc, theme: &theme, words: &words };
        window_map(&drawn(&window.mapped, size_px, true), &frame)
    })
}

fn said(texts: &[String; 2], what: Option<&String>) -> String {
    let what = what.map_or("not known", String::as_str);
    format!("{} across, {} upwards: {what}", texts[0], texts[1])
}

fn place(given: &Given, heat: HeatOf<'_>, asked: &Asked, at: [f64; 2], texts: [String; 2]) -> WindowPlace {
    let found = answers(&given.coupon, &given.limits, &given.scatter, asked.scope, heat);
    let first = found.first().map(|a| (a.failure, a.pass));
    let system = given.system;
    let lines: Vec<WindowLine> =
        found.list.iter().map(|a| line(a, first == Some((a.failure, a.pass)), system)).collect();
    let word = found.verdict();
    let mut what = word.word().replace('_', " ");
    if let Some(first) = lines.iter().find(|l| l.is_first).filter(|_| word != Verdict::Holds) {
        what = format!("{what}, first {}", first.label);
    }
    WindowPlace { words: said(&texts, Some(&what)), at, texts, mark: mark(word), lines }
}

fn line(answer: &Answer, is_first: bool, system: System) -> WindowLine {
    WindowLine {
        mark: mark(answer.verdict),
        label: answer_name(answer.failure, answer.pass),
        value: match answer.margin {
            Some(margin) => margin_text(margin, answer.unit, false, system),
            None => answer.why.clone(),
        },
        is_first,
    }
}

fn first_words(window: &Window) -> String {
    match window.advice.answers.first() {
        Some(first) => {
            let said = answer_text(first, window.mapped.system());
            format!("{}: {said}", answer_name(first.failure, first.pass))
        }
        None => "no pass is planned".to_owned(),
    }
}

fn knob_lines(window: &Window) -> Vec<KnobLine> {
    let unit = window.advice.answers.first().map_or(bendproof_forecast::Unit::Metre, |a| a.unit);
    let system = window.mapped.system();
    let row = |s: &Slope| KnobLine {
        path: path_of(s.knob),
        label: label_of(s.knob),
        stands: value_text(s.knob, s.value_si),
        step: format!("+{}", s.knob.hand_step().1),
        moves: s
            .margin_per_step
            .map_or_else(|| "not known".to_owned(), |m| margin_text(m, unit, true, system)),
        share: s.clearance_per_step,
    };
    window.advice.slopes.iter().map(row).collect()
}

fn advice_words(window: &Window) -> String {
    let advice = &window.advice;
    let is_ok = is_ok(window.mapped.request.scope);
    match (&advice.change, advice.answers.verdict()) {
        (Some(_), _) => format!("The smallest single change after which {is_ok}:"),
        (None, Verdict::Holds) => sentence(format!("{is_ok}; nothing to change")),
        (None, _) => sentence(NO_SINGLE_SETTING.to_owned()),
    }
}

fn change_view(document: &Document, window: &Window) -> Option<ChangeView> {
    let change: &Change = window.advice.change.as_ref()?;
    let system = super::axis_steps::system_of(document, change.knob);
    let side = Side { knob: change.knob, low_si: change.from_si, high_si: change.to_si, system };
    let read_in = window.mapped.system();
    let effect = |e: &Effect| {
        let after = e.after.as_ref().map_or_else(|| "not asked".to_owned(), |a| answer_text(a, read_in));
        let name = answer_name(e.before.failure, e.before.pass);
        format!("{name}: {} → {after}", answer_text(&e.before, read_in))
    };
    Some(ChangeView {
        path: path_of(change.knob),
        text: written(&side, side.shown(change.to_si)),
        words: change_text(change, window),
        better: change.better.iter().map(effect).collect(),
        worse: change.worse.iter().map(effect).collect(),
    })
}

fn notes(mut notes: Vec<String>, window: &Window) -> Vec<String> {
    let map = &window.mapped.map;
    if let Some(line) = model_line(&window.mapped) {
        notes.push(sentence(line));
        notes.push(if window.mapped.is_solved { SOLVED_NOTE } else { FAST_NOTE }.to_owned());
    }
    let all = map.x.cells * map.y.cells;
    notes.extend(map.not_known.iter().map(|(why, n)| format!("Not known in {n} of {all} cells: {why}.")));
    let request = &window.mapped.request;
    for (trade, side) in window.mapped.trade.iter().zip([&request.x, &request.y]) {
        if let Some(TradeSide { range_si, provenance }) = trade {
            let [low, high] = range_si.map(|si| value_text(side.knob, si));
            notes.push(format!(
                "The trade's frame: {} {low} to {high} ({}).",
                label_of(side.knob),
                provenance.source
            ));
        }
    }
    notes
}

/// A line of text as a sentence.
fn sentence(line: String) -> String {
    let mut chars = line.chars();
    let first = chars.next().map(|c| c.to_uppercase().collect::<String>()).unwrap_or_default();
    format!("{first}{}.", chars.as_str())
}
