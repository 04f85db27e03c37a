//! Facts of one coupon or test that cannot stand together: a plate with an
//! outside diameter, a depth of nothing that is an inch long. Each is named with
//! both values. What cannot be is refused; what counts for nothing is warned of.

use bendproof_measure::{Quantity, length_both, say};
use bendproof_weld::Process;
use bendproof_weld::wire_size::{is_sold_for, sold_for_m};
use bendproof_weld::words::*;

use crate::finding::Finding;
use crate::reader::Reader;

/// A plate has no diameter; `is_pipe` is what is stated of the shape.
pub fn plate_has_no_diameter(r: &mut Reader<'_>, is_pipe: Option<bool>, paths: &[&str]) {
    if is_pipe != Some(false) {
        return;
    }
    for path in paths {
        let Some(size) = r.text(path).filter(|_| r.has(path)) else { continue };
        let message = format!(
            "{} is {}, and the piece is plate, which has none; remove it, or enter pipe if it was one",
            label(r, path),
            size.trim()
        );
        r.note(Finding::error(*path, message));
    }
}

/// Backing and its type are one thing: steel is the one type that is steel.
pub fn backing_agrees(r: &mut Reader<'_>, backing_path: &str, detail_path: &str) {
    let Some((backing, detail)) = stated_word(r, backing_path).zip(stated_word(r, detail_path)) else {
        return;
    };
    if (backing == Backing::Steel.word()) == (detail == Backing::Steel.word()) {
        return;
    }
    let message = format!(
        "backing type is {detail}, and backing is {backing}; enter what was behind the root in both, or remove \
         the type"
    );
    r.note(Finding::error(detail_path, message));
}

/// A root that is called gas has some behind it; `root_path` holds what it is
/// called.
pub fn backing_gas_agrees(r: &mut Reader<'_>, root_path: &str, gas_path: &str) {
    let Some((root, gas)) = stated_word(r, root_path).zip(stated_word(r, gas_path)) else { return };
    if root == "gas" && gas == "no" {
        let message = format!(
            "backing gas is no, and {} is gas; enter yes if gas shielded the root from behind, or open if nothing \
             was there",
            label(r, root_path)
        );
        r.note(Finding::error(gas_path, message));
    }
}

/// A joint prepared without backing has none.
pub fn figure_agrees(r: &mut Reader<'_>, figure_path: &str, backing_path: &str) {
    let Some((figure, backing)) = stated_word(r, figure_path).zip(stated_word(r, backing_path)) else {
        return;
    };
    if figure == "no-backing" && backing == Backing::Steel.word() {
        let message = "test joint figure is no-backing, and backing is steel; enter other, or open if the root was \
                       open";
        r.note(Finding::error(figure_path, message));
    }
}

/// Where the facts of a second process stand.
#[derive(Debug, Clone, Copy)]
pub struct SharedJoint<'a> {
    /// The process.
    pub process: &'a str,
    /// The other one.
    pub other: &'a str,
    /// What the process deposited.
    pub deposit: &'a str,
    /// How thick the joint is.
    pub thickness: &'a str,
}

/// A joint that two processes filled: two of them, and how much is whose.
pub fn shared_joint_agrees(r: &mut Reader<'_>, at: SharedJoint<'_>) {
    let Some(other) = stated_word(r, at.other) else { return };
    let process = stated_word(r, at.process).and_then(|word| Process::from_word(&word));
    // GMAW in another transfer mode is another process to the codes.
    if process.is_some_and(|p| p != Process::Gmaw && p.word().eq_ignore_ascii_case(&other)) {
        let message = format!(
            "other process is {}, and so is the process; enter the one that welded the other part, or remove it",
            other.to_uppercase()
        );
        r.note(Finding::error(at.other, message));
    }
    let Some(deposit) = stated_word(r, at.deposit).and_then(|_| r.quantity(at.deposit)) else {
        let message = format!(
            "deposited weld metal thickness is not entered, and {} welded part of the joint; enter what this \
             process deposited, or its thickness range stays undetermined",
            other.to_uppercase()
        );
        r.note(Finding::warning(at.deposit, message));
        return;
    };
    if r.si(at.thickness).is_some_and(|thickness| deposit.si == thickness) {
        let message = format!(
            "deposited weld metal thickness is {}, the whole thickness, and {} welded part of the joint; enter \
             the part this process deposited, or remove the other process",
            say(&deposit),
            other.to_uppercase()
        );
        r.note(Finding::warning(at.deposit, message));
    }
}

/// Only a short-circuit arc has a short-circuit waveform.
pub fn waveform_agrees(r: &mut Reader<'_>, waveform_path: &str, transfer_path: &str) {
    let Some((waveform, transfer)) = stated_word(r, waveform_path).zip(stated_word(r, transfer_path)) else {
        return;
    };
    if waveform == "waveform" && transfer != Transfer::ShortCircuit.word() {
        let message = format!(
            "short-circuit waveform is entered, and transfer mode is {transfer}; enter short-circuit, or plain"
        );
        r.note(Finding::error(waveform_path, message));
    }
}

/// What the diameter of a filler is called: a stick has no wire.
pub fn diameter_label(process: Option<Process>) -> &'static str {
    match process {
        Some(Process::Smaw) => "electrode diameter",
        Some(Process::Gtaw) => "filler rod diameter",
        _ => "wire diameter",
    }
}

/// A filler as thick as some process takes may be none of this one's.
pub(crate) fn diameter_fits(r: &mut Reader<'_>, diameter_path: &str, process_path: &str) {
    if !r.has(diameter_path) {
        return;
    }
    let Some(diameter) = r.quantity(diameter_path) else { return };
    let process = if r.has(process_path) { r.word(process_path, Process::from_word) } else { None };
    let named = process.unwrap_or(Process::Gmaw);
    if is_sold_for(named, diameter.si) {
        return;
    }
    let (least_m, most_m) = sold_for_m(named);
    let [least, most] = [least_m, most_m].map(|si| say(&Quantity { si, ..diameter }));
    let what = format!("{} is {}", diameter_label(process), say(&diameter));
    r.note(match process {
        Some(process) => Finding::error(
            diameter_path,
            format!(
                "{what}, and {process} takes {least} to {most}; look at the spool or the box, and enter the \
                 diameter or the process that was used"
            ),
        ),
        None => Finding::warning(
            process_path,
            format!(
                "process is not entered, and the default, {named}, takes {least} to {most}; {what}; enter the process"
            ),
        ),
    });
}

/// A joint goes up or down where it rises, and there alone.
pub(crate) fn progressions_agree(r: &mut Reader<'_>, position: Option<Position>) {
    let Some(position) = position else { return };
    for list in ["pass", "log"] {
        for row in r.document().rows(list) {
            let path = format!("{list}.{row}.progression");
            let Some(word) = stated_word(r, &path) else { continue };
            let is_level = word == Progression::Level.word();
            if is_level != position.rises() {
                continue;
            }
            // A planned pass of a joint that rises is refused where it is read.
            let message = match (is_level, list) {
                (true, "pass") => continue,
                (true, _) => format!(
                    "progression is level, and a joint in {position} rises; enter uphill or downhill as welded"
                ),
                (false, _) => format!(
                    "progression is {word}, and a joint in {position} does not rise, so it counts for nothing; \
                     enter level, or the position it was welded in"
                ),
            };
            r.note(Finding::warning(path, message));
        }
    }
}

/// Depths with their lengths, as the eye notes them.
const DEPTHS: [&str; 5] =
    ["undercut", "shrinkage_groove", "root_concavity", "incomplete_penetration", "underfill"];

/// What the eye saw and did not see at once.
pub(crate) fn visual_agrees(r: &mut Reader<'_>) {
    for name in DEPTHS {
        let [depth, length] = [format!("visual.{name}"), format!("visual.{name}_length")];
        if r.si(&depth) == Some(0.0)
            && let Some(long) = r.quantity(&length).filter(|long| long.si > 0.0)
        {
            let message = format!(
                "{} is {}, and its depth is 0; enter how deep it is, or remove the length",
                label(r, &length),
                say(&long)
            );
            r.note(Finding::error(length, message));
        }
    }
    let is =
        |r: &mut Reader<'_>, name: &str, word: &str| stated_word(r, name).is_some_and(|said| said == word);
    if is(r, "visual.cracks", "none") && is(r, "visual.crater_cracks", "seen") {
        let message = "cracks is none, and crater cracks is seen; a crater crack is a crack. Enter seen in both, or \
                       none in both";
        r.note(Finding::error("visual.cracks", message));
    }
    let missed = r.quantity("visual.incomplete_penetration");
    let Some(missed) = missed else { return };
    let said = stated_word(r, "visual.penetration");
    if said.as_deref().is_some_and(|word| (word == "complete") == (missed.si > 0.0)) {
        let message = format!(
            "root penetration is {}, and the depth of incomplete penetration is {}; correct the one that is wrong",
            said.unwrap_or_default(),
            say(&missed)
        );
        r.note(Finding::error("visual.penetration", message));
    }
}

/// How much thicker a piece of full thickness may be than what it was cut from,
/// as a share. Basis: choice; a wall as ordered and a caliper differ by less.
const THICKER_SHARE: f64 = 0.125;

/// Whether a face or root strap is no thicker than what it was cut from.
pub(crate) fn strap_fits(
    r: &mut Reader<'_>,
    path: &str,
    strap: Option<Quantity>,
    whole: Option<Quantity>,
) -> bool {
    let Some((strap, whole)) = strap.zip(whole) else { return true };
    if strap.si <= whole.si * (1.0 + THICKER_SHARE) {
        return true;
    }
    let message = format!(
        "specimen thickness is {}, and it was cut from {}; measure both again",
        say(&strap),
        length_both(whole.si)
    );
    r.note(Finding::error(path, message));
    false
}

/// A Rockwell C scale ends near 70 (ASTM E18, from memory); a diamond at HV10
/// reads three times as much of the same steel.
const HRC_MOST: f64 = 70.0;

/// Readings that the scale named does not reach.
pub(crate) fn scale_fits(r: &mut Reader<'_>, at: &dyn Fn(&str) -> String) {
    if stated_word(r, &at("scale")).as_deref() != Some("hrc") {
        return;
    }
    let list = at("points");
    for row in r.document().rows(&list) {
        let path = format!("{list}.{row}.value");
        let Some(value) = r.si(&path).filter(|value| *value > HRC_MOST) else { continue };
        let message = format!(
            "hardness is {value}, and the scale is HRC, which ends near {HRC_MOST}; enter the scale it was read on"
        );
        r.note(Finding::error(path, message));
    }
}

/// A film accepted over a crack.
pub(crate) fn film_agrees(r: &mut Reader<'_>, at: &dyn Fn(&str) -> String) {
    let list = at("flaws");
    let rows = r.document().rows(&list);
    let kinds: Vec<String> =
        rows.iter().filter_map(|row| stated_word(r, &format!("{list}.{row}.kind"))).collect();
    let accepts = stated_word(r, &at("result")).is_some_and(|word| word == "accept");
    if accepts && kinds.iter().any(|kind| kind == "crack") {
        let message = "interpreter's result is accept, and a crack is listed, so the result does not count; ask the \
                       interpreter, and correct the one that is wrong";
        r.note(Finding::warning(at("result"), message));
    }
}

/// The word stated at a path, in small letters; `None` where nobody wrote it.
pub(crate) fn stated_word(r: &mut Reader<'_>, path: &str) -> Option<String> {
    if !r.has(path) {
        return None;
    }
    r.text(path).map(|text| text.trim().to_lowercase())
}

/// What a reader calls the field at a path.
pub(crate) fn label(r: &Reader<'_>, path: &str) -> &'static str {
    r.kind().spec(path).map_or("", |spec| spec.label)
}
