//! The chart of what a coupon covers under one code, handed to the drawing.

use bendproof_codes::ahead::{THICKNESS_STEPS, thickness_step_m};
use bendproof_codes::held::CoverAnswer;
use bendproof_codes::words::{Facet, JointKind, JointPosition};
use bendproof_drawing::{
    CoverChart, CoverGroup, CoverPose, CoverRow, CoverSign, CoverSpan, CoverWords, Facing, Frame, PoseShape,
    Tick, coverage_chart,
};
use bendproof_measure::{Kind, Quantity, System, inch_fraction, round_to, say};
use bendproof_weld::Position;

use super::across::{ReachRow, UnderCode, reach};

/// The chart as SVG.
pub fn coverage_svg(u: &UnderCode, frame: &Frame<'_>) -> String {
    coverage_chart(&chart(u), frame)
}

/// What the chart shows, in words, one clause for each row.
pub fn coverage_description(u: &UnderCode) -> String {
    if let Some(refused) = &u.outlook.standing.refused {
        return refused.message.clone();
    }
    let system = u.test.thickness.system;
    reach(u).iter().map(|row| row_words(row, system)).collect::<Vec<_>>().join("; ")
}

fn chart(u: &UnderCode) -> CoverChart {
    let system = u.test.thickness.system;
    let mark_mm = thickness_step_m(system) * 1e3;
    let standing = &u.outlook.standing;
    let mut notes = Vec::new();
    if let Some(refused) = &standing.refused {
        notes.push(refused.message.clone());
    } else if u.test.outside_diameter.is_none() {
        notes.push(format!("in pipe grooves: {}", crate::welder::pipe_words(standing)));
    }
    CoverChart {
        groups: groups(u, system),
        end_mm: mark_mm * f64::from(THICKNESS_STEPS),
        mark_mm,
        ticks: ticks(system),
        tested: Some((u.test.thickness.si * 1e3, tested_words(u))),
        words: words(u),
        notes,
        legend: ["qualified", "undetermined", "not qualified"].map(str::to_owned),
    }
}

fn tested_words(u: &UnderCode) -> String {
    let positions: Vec<&str> = u.test.positions.iter().map(|p| p.word()).collect();
    format!("{} tested, {}", say(&u.test.thickness), positions.join(" and "))
}

fn groups(u: &UnderCode, system: System) -> Vec<CoverGroup> {
    let mut out: Vec<CoverGroup> = Vec::new();
    let home = bendproof_codes::ahead::joint_like(u.code, &u.test);
    for reach in reach(u) {
        let is_tested = reach.kind == home.kind.word().replace('_', " ")
            && reach.position == home.position.word()
            && u.test.positions.iter().all(|p| is_one_place(*p));
        let row = CoverRow {
            pose: pose(reach),
            label: reach.position.clone(),
            title: row_words(reach, system),
            is_tested,
            spans: spans(reach, system),
        };
        match out.last_mut().filter(|group| group.name == reach.kind) {
            Some(group) => group.rows.push(row),
            None => out.push(CoverGroup { name: reach.kind.clone(), rows: vec![row] }),
        }
    }
    out
}

/// A fixed pipe is welded all round, so no row alone is the tested one.
fn is_one_place(position: Position) -> bool {
    !matches!(position, Position::G5 | Position::G6 | Position::G6R | Position::F5)
}

fn pose(row: &ReachRow) -> Option<CoverPose> {
    let shape = [
        (JointKind::PlateGroove, PoseShape::Plate),
        (JointKind::PipeGroove, PoseShape::Pipe),
        (JointKind::Fillet, PoseShape::Fillet),
    ];
    let facing = [
        (JointPosition::Flat, Facing::Up),
        (JointPosition::Horizontal, Facing::Level),
        (JointPosition::Vertical, Facing::Rising),
        (JointPosition::Overhead, Facing::Down),
    ];
    let shape = shape.iter().find(|(kind, _)| kind.word().replace('_', " ") == row.kind)?;
    let facing = facing.iter().find(|(position, _)| position.word() == row.position)?;
    Some(CoverPose { shape: shape.1, facing: facing.1 })
}

fn sign(answer: CoverAnswer) -> CoverSign {
    match answer {
        CoverAnswer::Covered => CoverSign::Covered,
        CoverAnswer::NotSure => CoverSign::NotSure,
        CoverAnswer::NotCovered => CoverSign::NotCovered,
    }
}

/// Stretches as bars. The first begins at nothing, and one mark alone is as
/// wide as half a mark.
fn spans(row: &ReachRow, system: System) -> Vec<CoverSpan> {
    let step = thickness_step_m(system);
    let is_first = |m: f64| m < 1.5 * step;
    let span = |s: &bendproof_codes::ahead::Reach| {
        let half = if s.to_m - s.from_m < 0.5 * step { 0.25 * step } else { 0.0 };
        let from_m = if is_first(s.from_m) { 0.0 } else { s.from_m - half };
        CoverSpan { from_mm: from_m * 1e3, to_mm: (s.to_m + half) * 1e3, sign: sign(s.answer) }
    };
    row.stretches.iter().map(span).collect()
}

/// One row as a sentence without its stop.
fn row_words(row: &ReachRow, system: System) -> String {
    let say = |si: f64| say(&Quantity { si, kind: Kind::Length, system });
    let last = row.stretches.len().saturating_sub(1);
    let stretch = |(n, s): (usize, &bendproof_codes::ahead::Reach)| {
        let word = s.answer.word().replace('_', " ");
        match n {
            _ if last == 0 => format!("{word} in any thickness"),
            0 => format!("{word} up to {}", say(s.to_m)),
            _ if n == last => format!("{word} from {}", say(s.from_m)),
            _ => format!("{word} {} to {}", say(s.from_m), say(s.to_m)),
        }
    };
    let said: Vec<String> = row.stretches.iter().enumerate().map(stretch).collect();
    format!("{} {}: {}", row.kind, row.position, said.join(", "))
}

fn ticks(system: System) -> Vec<Tick> {
    let end_m = thickness_step_m(system) * f64::from(THICKNESS_STEPS);
    let apart_m = if system == System::Inch { 0.0127 } else { 0.01 };
    let count = (end_m / apart_m).floor() as u32;
    let tick = |n: u32| {
        let at_m = f64::from(n) * apart_m;
        let mm = round_to(at_m * 1e3, 1);
        let inches = at_m / 0.0254;
        let (label, also) = match system {
            System::Inch => (inch_fraction(at_m), mm),
            _ => (mm, round_to(inches, 2)),
        };
        let (own, other) = if system == System::Inch { (" in", " mm") } else { (" mm", " in") };
        // The first figure says the unit for all.
        let unit = |text: String, unit: &str| if n == 1 { format!("{text}{unit}") } else { text };
        Tick { at: at_m * 1e3, label: unit(label, own), also: unit(also, other) }
    };
    (1..=count).map(tick).collect()
}

fn words(u: &UnderCode) -> Vec<CoverWords> {
    let sides =
        [("root", Facet::Backing), ("progression", Facet::Progression), ("transfer", Facet::Transfer)];
    let of = |facet: Facet| -> Vec<(String, CoverSign)> {
        let near = u.outlook.neighbours.iter().filter(|n| n.facet == facet);
        let mut words: Vec<(String, CoverSign)> =
            near.flat_map(|n| n.words.iter().map(|w| (w.clone(), sign(n.answer)))).collect();
        // The pictures of roots stand in the engine's order.
        let order = |word: &str| bendproof_codes::words::JointBacking::WORDS.iter().position(|w| *w == word);
        words.sort_by_key(|(word, _)| order(word));
        words
    };
    let side = |(name, facet): (&str, Facet)| CoverWords {
        name: name.to_owned(),
        roots: facet == Facet::Backing,
        words: of(facet),
    };
    sides.into_iter().map(side).filter(|side| !side.words.is_empty()).collect()
}
