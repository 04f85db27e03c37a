//! From a coupon document to the domain model, with every fault reported at once.

use bendproof_measure::length_both;
use bendproof_weld::words::*;
use bendproof_weld::{Coupon, Fit, Joint, Log, LoggedPass, Pass, Prices, Settings, Shape, Travel};

use bendproof_weld::consumable::foreign_to;
use bendproof_weld::wire_size::is_sold_for;

use crate::agree::{filler_fits, filler_type_agrees, passes_fit, wall_fits};
use crate::bends::read_straps;
use crate::contradictions::{
    SharedJoint, backing_agrees, backing_gas_agrees, diameter_fits, figure_agrees, plate_has_no_diameter,
    progressions_agree, shared_joint_agrees, stated_word, waveform_agrees,
};
use crate::document::Document;
use crate::exams::check_exams;
use crate::eye::eye_agrees;
use crate::fields::COUPON;
use crate::finding::Finding;
use crate::published::warn_of_current;
use crate::reader::{Known, Reader};
use crate::stated::{CouponRead, has_field, is_pipe_position, read_stated, stated_process};
use crate::stick::stick_plan;

/// One standard deviation of each input that varies under the hand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scatter {
    /// Root opening along the joint, m.
    pub root_opening_m: f64,
    /// Root face along the joint, m.
    pub root_face_m: f64,
    /// Travel, share of its value.
    pub travel_share: f64,
    /// Wire feed, share of its value.
    pub wire_feed_share: f64,
    /// Volts, V.
    pub volts: f64,
}

/// The head of a coupon: who, where, when, under what, and what a record asks
/// besides.
pub const HEAD: &[&str] = &[
    "title",
    "welder",
    "booth",
    "code",
    "construction_code",
    "quality_level",
    "purpose",
    "planned",
    "finished",
    "company",
    "welder_mark",
    "procedure",
    "tested_by",
    "laboratory",
];

/// Reads a coupon. Errors make it unusable; faults of its straps and pieces are
/// reported, and leave the coupon as it is. A plan that is not whole only stands in
/// the way of a forecast.
pub fn read_coupon(document: &Document, known: Known<'_>) -> CouponRead {
    let mut reader = Reader::new(&COUPON, document, known);
    for path in HEAD {
        reader.text(path);
    }
    code_is_stated(&mut reader);
    let id = reader.text("number").unwrap_or("").to_owned();
    let fit = fit(&mut reader);
    let settings = settings(&mut reader);
    let scatter = scatter(&mut reader);
    let passes = passes(&mut reader, fit.as_ref());
    let log = Log { passes: document.rows("log").into_iter().map(|row| logged(&mut reader, row)).collect() };
    visual(&mut reader);
    facts_agree(&mut reader);
    if let (Some(settings), Some(passes)) = (&settings, &passes) {
        warn_of_current(&mut reader, settings, passes);
    }
    let stick = stick_plan(&mut reader, fit.as_ref());
    let stated = read_stated(&mut reader, log.clone());
    // A strap that cannot be read yet, or an eye that contradicts itself, must not
    // hide the forecast, so it does not count here.
    let sound = !reader.has_error();
    eye_agrees(&mut reader);
    read_straps(&mut reader, false, true);
    check_exams(&mut reader);
    let findings = reader.into_findings();
    let plan = || Some((Coupon { id, fit: fit?, settings: settings?, passes: passes?, log }, scatter?));
    CouponRead {
        stated: stated.filter(|_| sound),
        plan: plan().filter(|_| sound),
        stick: stick.filter(|_| sound),
        findings,
    }
}

/// Facts that are each possible and the two together not.
fn facts_agree(r: &mut Reader<'_>) {
    let shape = stated_word(r, "fit.shape").map(|word| word == "pipe");
    let position = stated_word(r, "fit.position").and_then(|word| Position::from_word(&word));
    let is_pipe = shape.or(position.and_then(is_pipe_position));
    plate_has_no_diameter(r, is_pipe, &["fit.outside_diameter", "fit.nominal_size"]);
    backing_agrees(r, "fit.backing", "fit.backing_detail");
    backing_gas_agrees(r, "fit.backing_detail", "fit.backing_gas");
    figure_agrees(r, "fit.figure", "fit.backing");
    shared_joint_agrees(
        r,
        SharedJoint {
            process: "settings.process",
            other: "settings.other_process",
            deposit: "settings.deposit_thickness",
            thickness: "fit.thickness",
        },
    );
    // Another process has neither, and is told so.
    if has_field(stated_process(r.document()), "settings.short_arc") {
        waveform_agrees(r, "settings.short_arc", "settings.transfer");
    }
    diameter_fits(r, "settings.wire_diameter", "settings.process");
    progressions_agree(r, position);
}

/// A forecast goes by a proposed code; a verdict never does.
fn code_is_stated(r: &mut Reader<'_>) {
    if !r.has("code") {
        let missing = r.missing("code");
        let message = format!("{missing}; without it nothing is judged, qualified or recorded");
        r.note(Finding::warning("code", message));
    }
}

/// Reads only the fit, so that the drawing can follow the hand while a pass is
/// still being written.
pub fn read_fit(document: &Document, known: Known<'_>) -> Option<Fit> {
    fit(&mut Reader::new(&COUPON, document, known))
}

fn fit(r: &mut Reader<'_>) -> Option<Fit> {
    let thickness_m = r.si("fit.thickness");
    let left = r.si("fit.root_face");
    let right = if r.has("fit.root_face_right") { r.si("fit.root_face_right") } else { left };
    let angle = r.si("fit.groove_angle");
    let opening = r.si("fit.root_opening");
    let mismatch = r.si("fit.mismatch");
    let backing = r.word("fit.backing", Backing::from_word);
    let position = r.word("fit.position", Position::from_word);
    let steel = r.text("fit.steel").map(str::to_owned);
    let start = r.si("fit.start_temperature");
    pipe_sizes_fit(r, "fit.outside_diameter", "fit.nominal_size");
    let further = [
        "nominal_size",
        "backing_detail",
        "backing_gas",
        "figure",
        "fillet_piece",
        "tensile_min",
        "steel_group",
    ];
    for path in further {
        r.text(&format!("fit.{path}"));
    }
    let shape = shape(r, thickness_m, position);
    let joint = Joint {
        thickness_m: thickness_m?,
        groove_angle_rad: angle?,
        root_opening_m: opening?,
        root_face_left_m: left?,
        root_face_right_m: right?,
        mismatch_m: mismatch?,
        backing: backing?,
    };
    fit_makes_sense(r, &joint, position, shape)?;
    Some(Fit { shape: shape?, joint, position: position?, steel: steel?, start_temperature_k: start? })
}

fn shape(r: &mut Reader<'_>, thickness_m: Option<f64>, position: Option<Position>) -> Option<Shape> {
    let length_m = r.si("fit.length");
    let outside = r.si("fit.outside_diameter");
    // Unless it is written, the position says it where it can.
    let by_position = position.and_then(is_pipe_position).filter(|_| !r.has("fit.shape"));
    let is_pipe = by_position.unwrap_or(r.text("fit.shape")?.trim().eq_ignore_ascii_case("pipe"));
    if !is_pipe {
        return Some(Shape::Plate { length_m: length_m? });
    }
    if !r.has("fit.outside_diameter") {
        let message = "outside diameter is missing for a pipe; enter it, for example 6.625 in or 168.3 mm";
        r.note(Finding::error("fit.outside_diameter", message));
    }
    let (outside, _) = (outside?, thickness_m?);
    if !wall_fits(r, "fit.thickness", "fit.outside_diameter") {
        return None;
    }
    Some(Shape::Pipe { outside_diameter_m: outside })
}

/// Faults that only show when two values are seen together.
fn fit_makes_sense(
    r: &mut Reader<'_>,
    j: &Joint,
    position: Option<Position>,
    shape: Option<Shape>,
) -> Option<()> {
    let t = length_both(j.thickness_m);
    let mut fine = Some(());
    let mut fault = |r: &mut Reader<'_>, path: &str, message: String| {
        r.note(Finding::error(path, message));
        fine = None;
    };
    for (path, land) in [("fit.root_face", j.root_face_left_m), ("fit.root_face_right", j.root_face_right_m)]
    {
        if land >= j.thickness_m {
            let land = length_both(land);
            fault(
                r,
                path,
                format!("root face {land} must be less than the thickness ({t}); measure it again"),
            );
        }
    }
    if j.root_opening_m > j.thickness_m {
        let gap = length_both(j.root_opening_m);
        fault(
            r,
            "fit.root_opening",
            format!("root opening {gap} must not exceed the thickness ({t}); measure it again"),
        );
    }
    if j.mismatch_m > 0.5 * j.thickness_m {
        let hi_lo = length_both(j.mismatch_m);
        fault(
            r,
            "fit.mismatch",
            format!("mismatch {hi_lo} must not exceed half the thickness ({t}); refit the joint"),
        );
    }
    if let (Some(position), Some(shape)) = (position, shape) {
        use Position::*;
        if matches!(
            (position, shape),
            (G5 | G6 | G6R | F5, Shape::Plate { .. }) | (G3 | G4, Shape::Pipe { .. })
        ) {
            let message = format!(
                "position {position} does not exist for this shape; plate has 1G to 4G, pipe 1G, 2G, 5G, 6G"
            );
            fault(r, "fit.position", message);
        }
        if matches!(position, F1 | F2 | F3 | F4 | F5) {
            fault(
                r,
                "fit.position",
                format!(
                    "position {position} is a fillet position; this traveler takes groove welds only, 1G to 6G"
                ),
            );
        }
    }
    fine
}

/// The settings, with the proposals of GMAW where nothing is written. Another
/// process has no proposals and no forecast, so its settings are only read.
fn settings(r: &mut Reader<'_>) -> Option<Settings> {
    let stated = stated_process(r.document());
    warn_of_foreign_fields(r, stated);
    filler_fits(r, "settings.wire", stated);
    filler_type_agrees(r, "settings.wire", "settings.filler_type");
    let process = r.word("settings.process", Process::from_word);
    let transfer = r.word("settings.transfer", Transfer::from_word);
    let wire = r.text("settings.wire").map(str::to_owned);
    let wire_diameter_m = r.si("settings.wire_diameter");
    let gas = r.word("settings.gas", Gas::from_word);
    let gas_flow_m3_s = r.si("settings.gas_flow");
    let extension_m = r.si("settings.extension");
    let deposition_efficiency = r.si("settings.deposition_efficiency");
    let interpass_max_k = r.si("settings.interpass_max");
    for path in ["filler_type", "polarity", "short_arc", "layers", "other_process", "heat_treated"] {
        r.text(&format!("settings.{path}"));
    }
    deposit_fits(r, "settings.deposit_thickness", "fit.thickness");
    let prices = Prices {
        wire_per_kg: r.si("price.wire").unwrap_or(0.0),
        gas_per_m3: r.si("price.gas").unwrap_or(0.0),
        hour: r.si("price.hour").unwrap_or(0.0),
        blank: r.si("price.blank").unwrap_or(0.0),
    };
    let process = process.filter(|process| *process == Process::Gmaw)?;
    Some(Settings {
        process,
        transfer,
        wire: wire.filter(|wire| serves(r, process, wire))?,
        wire_diameter_m: wire_diameter_m.filter(|diameter| is_sold_for(process, *diameter))?,
        gas: gas?,
        gas_flow_m3_s: gas_flow_m3_s?,
        extension_m: extension_m?,
        extension_is_stated: r.document().get("settings.extension").is_some(),
        deposition_efficiency: deposition_efficiency?,
        interpass_max_k: interpass_max_k?,
        prices,
    })
}

/// Whether the filler serves a process that is proposed and not stated; a stated
/// one has been held against it already.
fn serves(r: &mut Reader<'_>, process: Process, filler: &str) -> bool {
    let Some(wire) = foreign_to(process, filler) else { return true };
    let message = format!(
        "process is not entered, and the default, {process}, does not use {}; enter {}",
        wire.name,
        wire.process_words()
    );
    r.note(Finding::warning("settings.process", message));
    false
}

/// Values the stated process has no use for count for nothing, and are named.
fn warn_of_foreign_fields(r: &mut Reader<'_>, process: Option<Process>) {
    let Some(named) = process else { return };
    let settings = COUPON.specs.iter().filter(|s| s.path.starts_with("settings."));
    let foreign: Vec<&str> =
        settings.filter(|s| !has_field(process, s.path) && r.has(s.path)).map(|s| s.label).collect();
    if !foreign.is_empty() {
        let message =
            format!("{} is entered, but {named} has no such setting; remove it", foreign.join(", "));
        r.note(Finding::warning("settings.process", message));
    }
}

/// A pipe's two sizes are of one pipe: the outside diameter that goes with the
/// size as ordered, or the same from NPS 14 up; sizes the table lacks are not held.
pub fn pipe_sizes_fit(r: &mut Reader<'_>, outside_path: &str, nominal_path: &str) {
    let (Some(outside), Some(nominal)) = (r.si(outside_path), r.si(nominal_path)) else { return };
    let Some(wanted) = bendproof_weld::pipe::outside_of(nominal) else { return };
    if (outside / wanted - 1.0).abs() > OUTSIDE_SHARE {
        let message = format!(
            "nominal pipe size is {}, whose pipe is {} across, and the outside diameter is {}; enter within \
             3 %; write the size as ordered, like NPS 2 or DN 50, or measure around the pipe again",
            length_both(nominal),
            length_both(wanted),
            length_both(outside)
        );
        r.note(Finding::error(nominal_path, message));
    }
}

/// How far a measured outside diameter may lie from the table's, as a share.
/// Basis: choice; the mill's tolerance is 1 %, and a tape is no caliper.
const OUTSIDE_SHARE: f64 = 0.03;

/// No more weld metal than the joint is thick.
pub fn deposit_fits(r: &mut Reader<'_>, deposit_path: &str, thickness_path: &str) {
    let (deposit, thickness) = (r.si(deposit_path), r.si(thickness_path));
    if let (Some(deposit), Some(thickness)) = (deposit, thickness)
        && deposit > thickness
    {
        let message = format!(
            "deposited weld metal thickness {} must not exceed the thickness, {}; enter the part this process deposited",
            length_both(deposit),
            length_both(thickness)
        );
        r.note(Finding::error(deposit_path, message));
    }
}

fn scatter(r: &mut Reader<'_>) -> Option<Scatter> {
    let root_opening_m = r.si("scatter.root_opening");
    let root_face_m = r.si("scatter.root_face");
    let travel_share = r.si("scatter.travel");
    let wire_feed_share = r.si("scatter.wire_feed");
    let volts = r.si("scatter.volts");
    Some(Scatter {
        root_opening_m: root_opening_m?,
        root_face_m: root_face_m?,
        travel_share: travel_share?,
        wire_feed_share: wire_feed_share?,
        volts: volts?,
    })
}

/// The planned passes; `None` where a forecast lacks something of them.
fn passes(r: &mut Reader<'_>, fit: Option<&Fit>) -> Option<Vec<Pass>> {
    let rises = fit.is_some_and(|f| f.position.rises());
    let rows = r.document().rows("pass");
    if rows.is_empty() && may_be_forecast(r) {
        r.note(Finding::warning("pass", "no pass is planned; add a root pass to see a forecast"));
    }
    let read: Vec<_> = rows.iter().map(|row| pass(r, *row, rises)).collect();
    passes_fit(r, fit.map(|f| &f.joint));
    let has_root = rows.first().is_none_or(|row| first_is_root(r, *row, fit));
    read.into_iter().collect::<Option<_>>().filter(|_| has_root)
}

fn pass(r: &mut Reader<'_>, row: usize, rises: bool) -> Option<Pass> {
    let at = |name: &str| format!("pass.{row}.{name}");
    let kind = r.word(&at("kind"), PassKind::from_word);
    let beads = r.count(&at("beads"));
    let progression = progression(r, &at("progression"), rises);
    let volts = forecast_si(r, &at("volts"));
    let wire_feed_m_s = forecast_si(r, &at("wire_feed"));
    let travel = travel(r, row);
    let amps_read = r.si(&at("amps"));
    let technique = r.word(&at("technique"), Technique::from_word);
    let dwell = r.word(&at("dwell"), Dwell::from_word);
    let ground_to_m = r.si(&at("ground_to"));
    let weave_width_m = r.si(&at("weave_width")).filter(|width| *width > 0.0);
    let weave_width_m = match technique {
        Some(Technique::Weave) if weave_width_m.is_none() => {
            lacks(r, &at("weave_width"), "weave width is missing; enter it, for example 1/4 in");
            None
        }
        Some(Technique::Weave) => weave_width_m,
        _ => Some(0.0),
    };
    Some(Pass {
        kind: kind?,
        beads: beads?,
        progression: progression?,
        volts: volts?,
        wire_feed_m_s: wire_feed_m_s?,
        travel: travel?,
        amps_read,
        technique: technique?,
        weave_width_m: weave_width_m?,
        dwell: dwell?,
        ground_to_m,
    })
}

/// A setting that only a forecast needs.
fn forecast_si(r: &mut Reader<'_>, path: &str) -> Option<f64> {
    if !r.has(path) {
        let missing = r.missing(path);
        lacks(r, path, &missing);
        return None;
    }
    r.si(path)
}

/// Names what a forecast lacks; a process without a forecast lacks nothing.
fn lacks(r: &mut Reader<'_>, path: &str, missing: &str) {
    if may_be_forecast(r) {
        r.note(Finding::warning(path, format!("{missing}; it is required for a forecast")));
    }
}

/// Only GMAW has a forecast, or what may still be GMAW.
fn may_be_forecast(r: &Reader<'_>) -> bool {
    stated_process(r.document()).is_none_or(|process| process == Process::Gmaw)
}

/// Direction matters only where the joint rises; there it is never guessed.
fn progression(r: &mut Reader<'_>, path: &str, rises: bool) -> Option<Progression> {
    let written = r.word(path, Progression::from_word);
    if !rises {
        return Some(Progression::Level);
    }
    let fault = match written {
        Some(Progression::Uphill | Progression::Downhill) => return written,
        Some(Progression::Level) => {
            "progression is level, but the joint is vertical; enter uphill or downhill"
        }
        // A word that is not known has been refused already.
        None if r.has(path) => return None,
        None => {
            let message = "progression is required for a vertical joint; enter uphill or downhill";
            r.note(Finding::warning(path, message));
            return None;
        }
    };
    r.note(Finding::error(path, fault));
    None
}

fn travel(r: &mut Reader<'_>, row: usize) -> Option<Travel> {
    let (speed, area) = (format!("pass.{row}.travel"), format!("pass.{row}.bead_area"));
    match (r.has(&speed), r.has(&area)) {
        (true, false) => r.si(&speed).map(Travel::Speed),
        (false, true) => r.si(&area).map(Travel::BeadArea),
        (true, true) => {
            let message = "enter travel speed or bead area, not both";
            r.note(Finding::error(area, message));
            None
        }
        (false, false) => {
            lacks(
                r,
                &speed,
                "travel speed is missing; enter it, for example 9 in/min, or enter the bead area",
            );
            None
        }
    }
}

fn logged(r: &mut Reader<'_>, row: usize) -> LoggedPass {
    let at = |name: &str| format!("log.{row}.{name}");
    LoggedPass {
        kind: r.word(&at("kind"), PassKind::from_word),
        progression: r.word(&at("progression"), Progression::from_word),
        volts: r.si(&at("volts")),
        amps: r.si(&at("amps")),
        wire_feed_m_s: r.si(&at("wire_feed")),
        travel_m_s: r.si(&at("travel")),
        interpass_k: r.si(&at("interpass")),
        note: r.text(&at("note")).unwrap_or("").to_owned(),
    }
}

/// Reads the visual fields only for their faults; the rule engine reads their values.
fn visual(r: &mut Reader<'_>) {
    for spec in COUPON.specs.iter().filter(|s| s.path.starts_with("visual.")) {
        r.text(spec.path);
    }
}

/// Whether the first pass suits the root. An open root that is stated refuses
/// another pass; one that is only proposed gives no forecast.
fn first_is_root(r: &mut Reader<'_>, row: usize, fit: Option<&Fit>) -> bool {
    let path = format!("pass.{row}.kind");
    let Some(kind) = r.word(&path, PassKind::from_word) else { return false };
    if kind == PassKind::Root || fit.is_none_or(|fit| fit.joint.backing != Backing::Open) {
        return true;
    }
    let message = format!("the first pass is `{kind}`, and an open root needs a root pass first");
    r.note(if r.has("fit.backing") {
        Finding::error(path, message)
    } else {
        Finding::warning(path, format!("{message}; enter the backing if there is one"))
    });
    false
}
