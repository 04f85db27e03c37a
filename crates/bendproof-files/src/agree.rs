//! Facts that must agree with one another: two values may each be possible and
//! the two together not. A contradiction is refused by name; what is only
//! unlikely is worth a look.

use bendproof_measure::{Quantity, length_both, say};
use bendproof_weld::consumable::{foreign_to, is_no_filler, short_for, wire_named};
use bendproof_weld::groove::Groove;
use bendproof_weld::words::*;
use bendproof_weld::{Joint, Process};

use crate::contradictions::{film_agrees, label, scale_fits, stated_word};
use crate::exams::ExamList;
use crate::finding::Finding;
use crate::reader::Reader;

/// How far a written strength may lie from load over section, as a share.
/// Basis: choice; a caliper and a rounded report together stay within it.
const STRENGTH_SHARE: f64 = 0.05;

/// How far a weave may reach past the groove's face, m: 1/16 in past each edge.
/// Basis: choice; the most a cap is lapped over the plate in common practice.
const WEAVE_OVER_M: f64 = 2.0 * 1.5875e-3;

/// How far a flaw may lie past the written length of a weld, m (choice: what a
/// tape laid twice gives).
const WELD_END_M: f64 = 2e-3;

/// A pipe's wall is less than half of what it is across.
pub fn wall_fits(r: &mut Reader<'_>, thickness_path: &str, outside_path: &str) -> bool {
    let (Some(wall), Some(outside)) = (r.si(thickness_path), r.si(outside_path)) else { return true };
    if outside > 2.0 * wall {
        return true;
    }
    let message = format!(
        "outside diameter {} must be more than twice the wall, {}; measure both again",
        length_both(outside),
        length_both(2.0 * wall)
    );
    r.note(Finding::error(outside_path, message));
    false
}

/// The filler written belongs to the process, as far as it is known; `process`
/// is the one stated. A filler that is not known is worth a look.
pub fn filler_fits(r: &mut Reader<'_>, filler_path: &str, process: Option<Process>) {
    if !r.has(filler_path) {
        return;
    }
    let Some(filler) = r.text(filler_path) else { return };
    if is_no_filler(filler) {
        if let Some(other) = process.filter(|process| *process != Process::Gtaw) {
            let message = format!(
                "filler is none, and the process is {other}, which melts one; only GTAW welds without. Enter the \
                 filler, or the process that was used"
            );
            r.note(Finding::error(filler_path, message));
        }
    } else if let Some(wire) = process.and_then(|process| foreign_to(process, filler)) {
        let message = format!(
            "filler {} belongs to {}, and the process is {}; look at the spool or the box, and write the filler \
             or the process that was used",
            wire.name,
            wire.process_words(),
            process.map_or("", Process::word)
        );
        r.note(Finding::error(filler_path, message));
    } else if !is_group(filler) && wire_named(filler).is_none() {
        let named = filler.trim();
        let message = match short_for(named) {
            Some(wire) => format!(
                "filler `{named}` is short for {0}; write {0}, as printed on the box, so that its process and \
                 group count",
                wire.name
            ),
            None => format!(
                "filler `{named}` is not in the list here, so neither its process nor its group is known; write the \
                 classification as printed, like E7018 or ER70S-6, or its group, like F4"
            ),
        };
        r.note(Finding::warning(filler_path, message));
    }
}

/// The filler and its type are one thing: none is of type nm, and a rod known to
/// be solid of type S.
pub fn filler_type_agrees(r: &mut Reader<'_>, filler_path: &str, type_path: &str) {
    if !r.has(filler_path) || !r.has(type_path) {
        return;
    }
    let Some(filler) = r.text(filler_path).map(str::to_owned) else { return };
    let Some(kind) = r.text(type_path).map(|kind| kind.trim().to_owned()) else { return };
    let solid = wire_named(&filler).filter(|wire| wire.kind == "solid");
    let is_bare = kind.eq_ignore_ascii_case("nm");
    let wanted = match solid {
        _ if is_no_filler(&filler) == is_bare && (is_bare || solid.is_none()) => return,
        Some(_) if kind.eq_ignore_ascii_case("S") => return,
        Some(_) => "it is a solid one, S",
        None if is_bare => "nm is without filler metal",
        None => "none is nm",
    };
    let message = format!(
        "filler metal type is {kind}, and filler is {}; {wanted}. Correct one of them",
        filler.trim()
    );
    r.note(Finding::error(type_path, message));
}

/// Whether a filler is written by its group: `F4`, `F-4`, `FM1`.
fn is_group(filler: &str) -> bool {
    let number = filler.trim().trim_start_matches(['F', 'f', 'M', 'm', '-', ' ']);
    filler.trim().starts_with(['F', 'f']) && !number.is_empty() && number.bytes().all(|b| b.is_ascii_digit())
}

/// One root pass, and weaves that the groove has room for.
pub(crate) fn passes_fit(r: &mut Reader<'_>, joint: Option<&Joint>) {
    let mut root = None;
    for row in r.document().rows("pass") {
        let at = |name: &str| format!("pass.{row}.{name}");
        let is_root = r.word(&at("kind"), PassKind::from_word) == Some(PassKind::Root);
        if let Some(first) = root.filter(|_| is_root) {
            let message = format!(
                "pass {row} is a root pass and pass {first} is one already; a single V has one root pass, so \
                 write hot, fill or cap"
            );
            r.note(Finding::warning(at("kind"), message));
        }
        root = root.or(is_root.then_some(row));
        let Some((joint, weave)) = joint.zip(r.si(&at("weave_width"))) else { continue };
        let face = Groove::of_joint(joint).face_width_m();
        if weave > face + WEAVE_OVER_M {
            let message = format!(
                "weave width {} is more than the groove width at the face, {}, and 1/16 in past each edge; \
                 measure the weave again",
                length_both(weave),
                length_both(face)
            );
            r.note(Finding::warning(at("weave_width"), message));
        }
    }
}

/// What contradicts itself in one examined piece.
pub fn piece_agrees(r: &mut Reader<'_>, exam: &ExamList, row: usize) {
    let at = |name: &str| format!("{}.{row}.{name}", exam.list);
    match exam.list {
        "tension" => {
            strength_agrees(r, &at);
            fracture_agrees(r, &at);
        }
        "nick_break" => areas_agree(r, &at, exam.inner_path(row), NICK_BREAK_AREAS),
        "radiograph" => {
            areas_agree(r, &at, exam.inner_path(row), FILM_AREAS);
            flaws_lie_on_the_weld(r, &at, exam.inner_path(row));
            film_agrees(r, &at);
        }
        "fillet_break" => flaws_lie_on_the_weld(r, &at, exam.inner_path(row)),
        "hardness" => scale_fits(r, &at),
        _ => {}
    }
}

fn strength_agrees(r: &mut Reader<'_>, at: &dyn Fn(&str) -> String) {
    let mut si = |name: &str| r.si(&at(name));
    let (load, width, thickness) = (si("load"), si("width"), si("thickness"));
    let (Some(load), Some(width), Some(thickness)) = (load, width, thickness) else { return };
    let Some(written) = r.quantity(&at("strength")) else { return };
    let pulled = load / (width * thickness);
    if (pulled / written.si - 1.0).abs() > STRENGTH_SHARE {
        let pulled = Quantity { si: pulled, ..written };
        let message = format!(
            "tensile strength is written as {}, and the load over the section is {}; enter within 5 % of \
             each other; read the laboratory's report again and mend the one that is wrong",
            say(&written),
            say(&pulled)
        );
        r.note(Finding::error(at("strength"), message));
    }
}

/// Only a break in the weld shows whether the weld is sound.
fn fracture_agrees(r: &mut Reader<'_>, at: &dyn Fn(&str) -> String) {
    let mut is = |name: &str, word: &str| stated_word(r, &at(name)).as_deref() == Some(word);
    if is("broke_in", "base") && is("fracture", "not sound") {
        let message = "fracture is not sound, and the specimen broke in the base metal; only a break in the weld \
                       shows weld metal. Enter where it broke, or remove the fracture";
        r.note(Finding::error(at("fracture"), message));
    }
}

/// A share of the face with what it counts, in the trade's words, and the kinds
/// of flaw that belong to it.
type Area = (&'static str, &'static str, &'static [&'static str]);

const NICK_BREAK_AREAS: &[Area] = &[("gas_area", "gas pockets", &["gas"])];

const FILM_AREAS: &[Area] = &[
    ("pore_area", "pores", &["rounded", "cluster_pore", "line_pore"]),
    ("cluster_area", "pores of a cluster", &["cluster_pore"]),
    ("line_area", "pores of a line", &["line_pore"]),
];

/// No share of nothing where what it counts is listed.
fn areas_agree(r: &mut Reader<'_>, at: &dyn Fn(&str) -> String, flaws: Option<String>, areas: &[Area]) {
    let Some(list) = flaws else { return };
    let rows = r.document().rows(&list);
    for (name, what, kinds) in areas {
        let is_of = |r: &mut Reader<'_>, row: usize| {
            let kind = r.text(&format!("{list}.{row}.kind"));
            kind.is_some_and(|kind| kinds.iter().any(|k| kind.trim().eq_ignore_ascii_case(k)))
        };
        let listed = rows.iter().filter(|row| is_of(r, **row)).count();
        if listed > 0 && r.si(&at(name)) == Some(0.0) {
            let label = label(r, &at(name));
            let message = format!(
                "{label} is 0 %, and {what} are listed ({listed}); estimate their share of the area, or strike \
                 them out"
            );
            r.note(Finding::error(at(name), message));
        }
    }
}

fn flaws_lie_on_the_weld(r: &mut Reader<'_>, at: &dyn Fn(&str) -> String, flaws: Option<String>) {
    let Some(list) = flaws else { return };
    let own = if r.kind().spec(&at("weld_length")).is_some() { r.si(&at("weld_length")) } else { None };
    let Some(weld) = own.or_else(|| joint_length_m(r)) else { return };
    for row in r.document().rows(&list) {
        let path = format!("{list}.{row}.at");
        let Some(place) = r.quantity(&path) else { continue };
        let length = r.si(&format!("{list}.{row}.length")).unwrap_or(0.0);
        let end = Quantity { si: place.si + length, ..place };
        if end.si > weld + WELD_END_M {
            let message = format!(
                "this indication starts at {} and ends at {}, past the weld length of {}; measure both again",
                say(&place),
                say(&end),
                length_both(weld)
            );
            r.note(Finding::error(path, message));
        }
    }
}

/// Length of the joint as written: of a plate along the weld, of a pipe around
/// the outside. `None` where nobody wrote it.
pub(crate) fn joint_length_m(r: &mut Reader<'_>) -> Option<f64> {
    let is_pipe = r.text("fit.shape").is_some_and(|shape| shape.trim().eq_ignore_ascii_case("pipe"));
    match is_pipe {
        true => r.si("fit.outside_diameter").map(|across| std::f64::consts::PI * across),
        false if r.has("fit.length") => r.si("fit.length"),
        false => None,
    }
}
