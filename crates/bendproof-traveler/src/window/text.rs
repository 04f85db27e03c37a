//! The settings window as plain text, readable without colour, and as a table
//! of comma-separated values.

use bendproof_forecast::{Answer, Cell, Chance, Change, DRAWS, Effect, Scope, Slope, Unit, Verdict};
use bendproof_measure::{System, round_to};

use super::axis::{label_of, value_text};
use super::map::{Mapped, Window, answer_name, letter, model_error, short_name, window_title};
use crate::build::items::chance_words;
use crate::origin;
use crate::origin::source_rows;
use crate::table_text::csv_text;

/// The window in lines: the map, what its letters mean, what to turn, the chance.
pub fn window_lines(window: &Window) -> Vec<String> {
    let mut out = vec![window_title(window), String::new()];
    out.extend(map_lines(&window.mapped));
    out.push(String::new());
    out.extend(letter_lines(&window.mapped));
    out.push(String::new());
    out.extend(knob_lines(window));
    out.push(String::new());
    out.extend(change_lines(window));
    out.push(String::new());
    out.push(chance_line(&window.chance));
    out
}

/// The map, highest row first. The place set is marked `+`.
fn map_lines(window: &Mapped) -> Vec<String> {
    let (map, request) = (&window.map, &window.request);
    let here = map.value.map(|v| {
        let cell = |at: f64, axis: &bendproof_forecast::Axis| {
            let share = (at - axis.low_si) / (axis.high_si - axis.low_si);
            (0.0..=1.0).contains(&share).then(|| ((share * axis.cells as f64) as usize).min(axis.cells - 1))
        };
        (cell(v[0], &map.x), cell(v[1], &map.y))
    });
    let mut labels = vec![String::new(); map.rows.len()];
    for tick in request.y.ticks() {
        let share = (tick.si - map.y.low_si) / (map.y.high_si - map.y.low_si);
        let row = ((share * map.y.cells as f64) as usize).min(map.y.cells - 1);
        labels[row] = request.y.tick_text(&tick);
    }
    let room = labels.iter().map(|l| l.chars().count()).max().unwrap_or(0);
    let mut out = Vec::new();
    for (row, cells) in map.rows.iter().enumerate().rev() {
        let line: String = cells
            .iter()
            .enumerate()
            .map(|(column, cell)| match here {
                Some((Some(c), Some(r))) if (c, r) == (column, row) => '+',
                _ => letter(cell),
            })
            .collect();
        out.push(format!("{:>room$} |{line}", labels[row]));
    }
    out.push(format!("{:>room$} +{}", "", "-".repeat(map.x.cells)));
    let (from, to) = (value_text(request.x.knob, map.x.low_si), value_text(request.x.knob, map.x.high_si));
    let gap = map.x.cells.saturating_sub(from.chars().count() + to.chars().count()).max(3);
    out.push(format!("{:>room$}  {from}{}{to}", "", " ".repeat(gap)));
    out.push(format!(
        "{:>room$}  across: {}; upwards: {}",
        "",
        label_of(request.x.knob),
        label_of(request.y.knob)
    ));
    out
}

fn letter_lines(window: &Mapped) -> Vec<String> {
    let mut met: Vec<(char, String)> = Vec::new();
    for cell in window.map.rows.iter().flatten() {
        let c = letter(cell).to_ascii_lowercase();
        if met.iter().any(|(known, _)| *known == c) {
            continue;
        }
        let meaning = match (cell.verdict, cell.first) {
            (Verdict::Holds, _) => "holds".to_owned(),
            (Verdict::Marginal | Verdict::Fails, Some((failure, _))) => {
                short_name(failure, window.is_even).to_owned()
            }
            _ => "not known".to_owned(),
        };
        met.push((c, meaning));
    }
    met.sort();
    let words: Vec<String> = met.iter().map(|(c, meaning)| format!("{c} {meaning}")).collect();
    let mut out =
        vec![format!("{}; capitals fail, lowercase is marginal; + is your setting", words.join(", "))];
    out.extend(model_line(window));
    out.extend(window.map.not_known.iter().map(|(why, cells)| format!("? in {cells} cells: {why}")));
    for (trade, side) in window.trade.iter().zip([&window.request.x, &window.request.y]) {
        if let Some(trade) = trade {
            let [low, high] = trade.range_si.map(|si| value_text(side.knob, si));
            out.push(format!("trade: {} {low} to {high} ({})", label_of(side.knob), trade.provenance.source));
        }
    }
    out
}

/// Where the word could be wrong by the model alone; none where no answer on the
/// map rests on fitted heat.
pub(crate) fn model_line(window: &Mapped) -> Option<String> {
    let error = model_error(&window.map)?;
    let in_band = |c: &&Cell| c.in_model_error().is_some_and(|v| v.abs() < 1.0);
    let cells = window.map.rows.iter().flatten().filter(in_band).count();
    let all = window.map.x.cells * window.map.y.cells;
    Some(format!(
        "the model alone could be wrong in {cells} of {all} cells: {error} against solved beads it never saw"
    ))
}

/// A margin as the sheet says it, with a sign where it is a change: a length past
/// the line, or how much of the limit is used.
pub(crate) fn margin_text(margin: f64, unit: Unit, is_change: bool, system: System) -> String {
    let value = match unit {
        Unit::Metre => margin,
        Unit::ShareOfLimit if is_change => -margin,
        Unit::ShareOfLimit => 1.0 - margin,
    };
    let size = match unit {
        Unit::Metre => length_text(value.abs(), system),
        Unit::ShareOfLimit => format!("{} % of limit", round_to(value.abs() * 100.0, 0)),
    };
    let sign = match (value < 0.0, is_change) {
        _ if size.starts_with("0 ") => "",
        (true, _) => "-",
        (false, true) => "+",
        (false, false) => "",
    };
    format!("{sign}{size}")
}

/// A length as fine as a step of the hand moves a margin.
pub(crate) fn length_text(metres: f64, system: System) -> String {
    let mm = format!("{} mm", round_to(metres * 1e3, 2));
    match system {
        System::Metric => mm,
        _ => format!("{} in ({mm})", round_to(metres / 0.0254, 3)),
    }
}

pub(crate) fn answer_text(answer: &Answer, system: System) -> String {
    let word = answer.verdict.word().replace('_', " ");
    match answer.margin {
        Some(margin) => format!("{word}, {}", margin_text(margin, answer.unit, false, system)),
        None => format!("{word}: {}", answer.why),
    }
}

/// How much each input moves the answer that comes first.
fn knob_lines(window: &Window) -> Vec<String> {
    let advice = &window.advice;
    let Some(first) = advice.answers.first() else { return vec!["no pass is planned".to_owned()] };
    let (name, system) = (answer_name(first.failure, first.pass), window.mapped.system());
    let mut out = vec![format!("first comes {name}: {}", answer_text(first, system))];
    let row = |s: &Slope| {
        let (_, step) = s.knob.hand_step();
        let moves = match s.margin_per_step {
            Some(margin) => margin_text(margin, first.unit, true, system),
            None => "not known".to_owned(),
        };
        [label_of(s.knob), value_text(s.knob, s.value_si), format!("+{step}"), moves]
    };
    let rows: Vec<[String; 4]> = advice.slopes.iter().map(row).collect();
    let wide = |c: usize| rows.iter().map(|r| r[c].chars().count()).max().unwrap_or(0);
    let (a, b, c) = (wide(0), wide(1), wide(2));
    out.extend(rows.iter().map(|[w, x, y, z]| format!("  {w:<a$}  {x:<b$}  {y:<c$}  {z}")));
    out
}

/// What to turn, with what it costs elsewhere.
fn change_lines(window: &Window) -> Vec<String> {
    let advice = &window.advice;
    let is_ok = is_ok(window.mapped.request.scope);
    match (&advice.change, advice.answers.verdict()) {
        (Some(change), _) => {
            let mut out = vec![format!("change {}: {is_ok}", change_text(change, window))];
            out.extend(effect_lines(change, window.mapped.system()));
            out
        }
        (None, Verdict::Holds) => vec![format!("{is_ok}; nothing to change")],
        (None, _) => vec![NO_SINGLE_SETTING.to_owned()],
    }
}

/// What a change makes OK: a map of the root alone says nothing of the rest.
pub(crate) fn is_ok(scope: Scope) -> &'static str {
    match scope {
        Scope::Root => "the root is OK (later passes and cap are not in this map)",
        Scope::Whole => "everything is OK",
    }
}

/// Said where no one change is enough.
pub(crate) const NO_SINGLE_SETTING: &str = "no single setting does it";

/// A change, and on the same line that it leaves the typical range, where it does.
pub(crate) fn change_text(change: &Change, window: &Window) -> String {
    let value = |si| value_text(change.knob, si);
    let beyond = window.beyond_trade.as_ref().map(|trade| {
        let [low, high] = trade.range_si.map(value);
        format!(" (outside the typical range, {low} to {high})")
    });
    format!(
        "{} from {} to {}{}",
        label_of(change.knob),
        value(change.from_si),
        value(change.to_si),
        beyond.unwrap_or_default()
    )
}

fn effect_lines(change: &Change, system: System) -> Vec<String> {
    let line = |word: &str, e: &Effect| {
        let name = answer_name(e.before.failure, e.before.pass);
        let after = e.after.as_ref().map_or_else(|| "not asked".to_owned(), |a| answer_text(a, system));
        format!("  {word} {name}: {} -> {after}", answer_text(&e.before, system))
    };
    let better = change.better.iter().map(|e| line("better", e));
    better.chain(change.worse.iter().map(|e| line("worse", e))).collect()
}

fn chance_line(chance: &Result<Chance, String>) -> String {
    let chance = match chance {
        Ok(chance) => chance,
        Err(why) => return format!("chance that the root holds: not known; {why}"),
    };
    let mut out = format!(
        "chance that the root holds over the whole joint: {} ({DRAWS} coupons drawn, {} stretches of 1 in)",
        chance_words(chance),
        chance.stretches
    );
    if let Some((failure, share)) = chance.first.iter().max_by(|a, b| a.1.total_cmp(&b.1)) {
        let name = answer_name(*failure, 1);
        out.push_str(&format!("; most often lost by {name}, {:.0} %", share * 100.0));
    }
    out
}

/// Where the answers and the numbers of a window come from, each kind once.
pub fn window_sources(window: &Window) -> Vec<[String; 3]> {
    let answers = window.advice.answers.list.iter();
    let rows =
        answers.map(|a| [answer_name(a.failure, a.pass), a.basis.word().to_owned(), a.source.to_owned()]);
    rows.chain(source_rows(&origin::of_window())).collect()
}

/// One line a cell: x and y in SI, word, what comes first, its pass, margin,
/// its unit, clearance, and the error of the model behind it where one was
/// measured.
pub fn window_csv(window: &Window) -> String {
    let Mapped { map, request, .. } = &window.mapped;
    let places = [&request.x, &request.y].map(|side| format!("{}_si", side.path()));
    let answers = ["verdict", "first", "pass", "margin", "unit", "clearance", "model_error_mm"];
    let mut rows = vec![places.into_iter().chain(answers.map(str::to_owned)).collect()];
    for (row, cells) in map.rows.iter().enumerate() {
        let at = |column| (map.x.middle_si(column), map.y.middle_si(row));
        rows.extend(cells.iter().enumerate().map(|(column, cell)| csv_row(at(column), cell)));
    }
    csv_text(rows)
}

fn csv_row((x, y): (f64, f64), cell: &Cell) -> Vec<String> {
    let number = |v: Option<f64>| v.map(|v| round_to(v, 6)).unwrap_or_default();
    let (first, pass) = match cell.first {
        Some((failure, pass)) => (failure.key(), pass.to_string()),
        None => ("", String::new()),
    };
    let (margin, unit) = match cell.unit {
        _ if cell.margin.is_none() => (None, ""),
        Unit::Metre => (cell.margin.map(|m| m * 1e3), "mm"),
        Unit::ShareOfLimit => (cell.margin, "share of limit left"),
    };
    let texts = [cell.verdict.word(), first, &pass, &number(margin), unit].map(str::to_owned);
    let [x, y] = [x, y].map(|at| round_to(at, 9));
    let numbers = [number(cell.clearance), number(model_error_mm(cell))];
    [x, y].into_iter().chain(texts).chain(numbers).collect()
}

/// Error of the fast model behind what comes first in a cell, mm.
pub fn model_error_mm(c: &Cell) -> Option<f64> {
    c.first.and_then(|(f, _)| f.model_error_m()).map(|m| m * 1e3)
}
