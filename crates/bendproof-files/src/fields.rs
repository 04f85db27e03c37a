//! The field catalogue: every field of a shop's files, once.

use bendproof_measure::{Bound, Kind};
use bendproof_weld::words::*;

use crate::spec::{FileKind, Need, Need::*, Spec, What};

const INCH_M: f64 = 0.0254;
pub(crate) const IN_PER_MIN_M_S: f64 = INCH_M / 60.0;
pub(crate) const DEG_RAD: f64 = std::f64::consts::PI / 180.0;
pub(crate) const CFH_M3_S: f64 = 0.028_316_846_592 / 3600.0;
/// Kelvin at -20 F: below it no test bay welds.
pub(crate) const COLD_K: f64 = (-20.0 + 459.67) / 1.8;
/// Kelvin at 800 F: above any interpass temperature of carbon steel practice.
const HOT_K: f64 = (800.0 + 459.67) / 1.8;

pub(crate) const fn field(
    path: &'static str,
    label: &'static str,
    what: What,
    need: Need,
    doc: &'static str,
) -> Spec {
    Spec { path, label, what, need, doc }
}

pub(crate) const fn length(name: &'static str, min_in: f64, max_in: f64, next_step: &'static str) -> What {
    What::Quantity(Bound {
        name,
        kind: Kind::Length,
        min_si: min_in * INCH_M,
        max_si: max_in * INCH_M,
        next_step,
        example: Kind::Length.described().1,
    })
}

/// A pipe size as it is ordered; ASME B36.10M goes from 1/8 to 80 (from memory).
pub(crate) const fn pipe_size(name: &'static str) -> What {
    What::PipeSize(Bound {
        name,
        kind: Kind::Length,
        min_si: 0.125 * INCH_M,
        max_si: 80.0 * INCH_M,
        next_step: "enter the nominal size: 6, NPS 6 or DN 150",
        example: "6, NPS 6 or DN 150",
    })
}

pub(crate) const fn quantity(
    name: &'static str,
    kind: Kind,
    min_si: f64,
    max_si: f64,
    next_step: &'static str,
) -> What {
    What::Quantity(Bound { name, kind, min_si, max_si, next_step, example: kind.described().1 })
}

/// The same quantity with its own example, where one for anything of its kind
/// lies outside the range or is no value of the trade.
pub(crate) const fn like(what: What, example: &'static str) -> What {
    match what {
        What::Quantity(bound) => What::Quantity(Bound { example, ..bound }),
        other => other,
    }
}

const VOLTS: What = quantity("volts", Kind::Voltage, 8.0, 45.0, "read the voltmeter with the arc on");
const WIRE_FEED: What = quantity(
    "wire feed speed",
    Kind::Speed,
    20.0 * IN_PER_MIN_M_S,
    1000.0 * IN_PER_MIN_M_S,
    "read the feeder, or measure the wire fed in 6 seconds and multiply by 10",
);
const TRAVEL: What = like(
    quantity(
        "travel speed",
        Kind::Speed,
        1.0 * IN_PER_MIN_M_S,
        60.0 * IN_PER_MIN_M_S,
        "time a measured length of bead",
    ),
    TRAVEL_EXAMPLE,
);
pub(crate) const TRAVEL_EXAMPLE: &str = "9 in/min or 230 mm/min";
const AMPS: What = quantity("amps", Kind::Current, 10.0, 600.0, "read the ammeter with the arc on");
const METAL_TEMPERATURE: What = quantity(
    "metal temperature",
    Kind::Temperature,
    COLD_K,
    HOT_K,
    "measure next to the joint with a temperature crayon or probe",
);
/// Of any process; what one of them takes is held where the process is stated.
const WIRE_DIAMETER: What =
    like(length("wire diameter", 0.020, 5.0 / 16.0, "read the spool or the box"), "0.035 in or 0.9 mm");
const STRAP_THICKNESS: What =
    length("specimen thickness", 1.0 / 32.0, 1.0, "measure the specimen with a caliper before bending");

/// One coupon, from fit to verdict.
pub const COUPON: FileKind = FileKind {
    name: "coupon",
    doc: "One coupon: fit-up, settings, planned passes, weld log, bend specimens with their discontinuities, and every other examination.",
    specs: COUPON_SPECS,
};

/// Bent straps to judge under one code.
pub const BENDS: FileKind = FileKind {
    name: "bends",
    doc: "Bend specimens with the discontinuities found on their convex surfaces, to be judged to one code.",
    specs: BENDS_SPECS,
};

/// A welder's passed tests and later use.
pub const RECORD: FileKind = FileKind {
    name: "record",
    doc: "The tests a welder passed and the process use since, to show what the welder is qualified for and when it expires.",
    specs: RECORD_SPECS,
};

#[rustfmt::skip]
const COUPON_SPECS: &[Spec] = &[
    field("number", "number", What::Text(24), Optional, "The shop's number for this coupon."),
    field("title", "title", What::Text(120), Optional, "Short name. Leave blank to build it from the fit-up."),
    field("welder", "welder", What::Text(80), Optional, "Welder of this coupon."),
    field("booth", "booth", What::Text(24), Optional, "Booth where it is welded."),
    field("company", "company", What::Text(80), Optional, "Organization responsible for the test (school or employer)."),
    field("welder_mark", "welder ID (stamp)", What::Text(24), Optional, "Welder's stamp or identification."),
    field("procedure", "WPS followed", What::Text(24), Optional, "Number of the WPS used to weld the coupon."),
    field("tested_by", "test conducted by", What::Text(80), Optional, "Person who conducted the test."),
    field("laboratory", "laboratory", What::Text(80), Optional, "Laboratory that tested the specimens, with its report number."),
    field("code", "code", What::Code, Default("aws-d1.1-2020"), "Code and edition used to judge the coupon."),
    field("construction_code", "construction code", What::Construction, Optional, "Code for visual acceptance in addition to the test code: B31.1 or B31.3 with ASME IX, ISO 5817 with ISO 9606-1."),
    field("quality_level", "quality level", What::Words(&["B", "C", "D"]), Optional, "Required quality level of ISO 5817, if that is the construction code."),
    field("purpose", "purpose", What::Words(PURPOSES), Default("welder"), "Welder (performance) test, or procedure test that also qualifies its welder."),
    field("planned", "planned", What::Text(24), Optional, "When it is scheduled to be welded: a date, a shift or a week."),
    field("finished", "finished", What::Date, Optional, "Date the last bead was welded. The qualification period starts on this date."),

    field("fit.shape", "shape", What::Words(&["plate", "pipe"]), Default("plate"), "Flat plate or round pipe."),
    field("fit.thickness", "thickness", length("thickness", 1.0 / 16.0, 2.0, "measure the plate or pipe wall"), Required, "Plate or wall thickness."),
    field("fit.outside_diameter", "outside diameter", like(length("outside diameter", 0.5, 60.0, "measure around the pipe and divide by 3.1416"), "6.625 in or 168.3 mm"), Optional, "Pipe outside diameter; required for pipe."),
    field("fit.nominal_size", "nominal pipe size", NOMINAL_SIZE, Optional, "Nominal pipe size (NPS), for codes that use it."),
    field("fit.length", "joint length", like(length("joint length", 2.0, 120.0, "measure the joint along the weld"), "7 in or 180 mm"), Default("7 in"), "Length of joint on a plate."),
    field("fit.groove_angle", "groove angle", quantity("groove angle", Kind::Angle, 20.0 * DEG_RAD, 120.0 * DEG_RAD, "add the bevel angles of both edges"), Default("60 deg"), "Included angle of both bevels."),
    field("fit.root_opening", "root opening", length("root opening", 0.0, 0.5, "measure the gap at the root after tacking"), Required, "Gap between the two pieces at the root, after tacking."),
    field("fit.root_face", "root face", length("root face", 0.0, 0.5, "measure the root face with a caliper"), Required, "Height of the root face (land); of the left edge if the right one differs."),
    field("fit.root_face_right", "root face, right", length("root face, right", 0.0, 0.5, "measure the root face with a caliper"), Optional, "Root face of the right edge if it differs from the left."),
    field("fit.mismatch", "mismatch (hi-lo)", length("mismatch", 0.0, 0.25, "lay a straightedge across the root side"), Default("0 in"), "Offset between the two members at the root."),
    field("fit.backing", "backing", What::Words(Backing::WORDS), Default("open"), "Backing behind the root."),
    field("fit.backing_detail", "backing type", What::Words(ROOTS), Optional, "Type of backing, if open or steel is not specific enough."),
    field("fit.position", "position", What::Words(Position::WORDS), Required, "Test position."),
    field("fit.backing_gas", "backing gas", What::Words(YES_NO), Optional, BACKING_GAS_DOC),
    field("fit.figure", "test joint figure", What::Words(FIGURES), Optional, FIGURE_DOC),
    field("fit.fillet_piece", "fillet test welded with the groove test", What::Words(YES_NO), Optional, "Was a fillet test welded together with the groove test?"),
    field("fit.steel", "steel", What::Steel, Default("A36"), "Steel, by its specification."),
    field("fit.tensile_min", "specified tensile strength", strength("specified tensile strength"), Optional, "Minimum specified tensile strength of the base metal (of the weaker one if two are joined). Tension specimens are judged against it."),
    field("fit.steel_group", "steel group", What::Text(8), Optional, "Base metal group by ISO/TR 15608, for example 1.2. Hardness limits depend on it."),
    field("fit.start_temperature", "starting temperature (preheat)", METAL_TEMPERATURE, Default("70 F"), "Base metal temperature before the first arc: the preheat, or shop temperature."),

    field("settings.process", "process", What::Words(Process::WORDS), Default("GMAW"), "Welding process."),
    field("settings.transfer", "transfer mode", What::Words(Transfer::WORDS), Default("short-circuit"), "Metal transfer mode."),
    field("settings.wire", "filler metal", What::Text(32), Default("ER70S-6"), "Filler metal classification, as printed on the spool or box. ER70S-6 is the default for GMAW only."),
    field("settings.filler_type", "filler metal type", What::Words(FILLER_TYPES), Optional, FILLER_TYPE_DOC),
    field("settings.polarity", "polarity", What::Words(Polarity::WORDS), Optional, POLARITY_DOC),
    field("settings.wire_diameter", "wire diameter", WIRE_DIAMETER, Default("0.035 in"), "Diameter of the wire, electrode or filler rod, within what is sold for the process. 0.035 in is the default for GMAW only."),
    field("settings.gas", "shielding gas", What::Words(Gas::WORDS), Default("75Ar/25CO2"), "Shielding gas."),
    field("settings.gas_flow", "gas flow rate", quantity("gas flow rate", Kind::Flow, 5.0 * CFH_M3_S, 100.0 * CFH_M3_S, "read the flowmeter with gas running"), Default("30 cfh"), "Shielding gas flow rate."),
    field("settings.extension", "electrode extension (stickout)", length("electrode extension (stickout)", 0.1, 1.5, "measure from contact tip to wire end right after stopping"), Default("5/16 in"), "Length of wire beyond the contact tip."),
    field("settings.deposition_efficiency", "deposition efficiency", quantity("deposition efficiency", Kind::Share, 0.5, 1.0, "leave blank to use 93 %"), Default("93 %"), "Percent of the melted wire that ends up in the joint."),
    field("settings.interpass_max", "maximum interpass temperature", METAL_TEMPERATURE, Default("350 F"), "Maximum base metal temperature before the next bead."),

    field("settings.short_arc", "short-circuit waveform", What::Words(SHORT_ARCS), Default("plain"), "Plain, or a controlled waveform."),
    field("settings.deposit_thickness", "deposited weld metal thickness", DEPOSIT, Optional, "Weld metal thickness deposited by this process. Leave blank if one process fills the whole joint."),
    field("settings.other_process", "other process", What::Words(Process::WORDS), Optional, OTHER_PROCESS_DOC),
    field("settings.layers", "layers", What::Count(1, 99), Optional, "Number of layers of that deposit. Some codes give a wider range for three or more."),
    field("settings.heat_treated", "PWHT", What::Words(YES_NO), Optional, "Was the coupon postweld heat treated (PWHT)? Hardness limits depend on it."),

    field("scatter.root_opening", "root opening variation (1 SD)", like(length("root opening variation (1 SD)", 0.0, 0.125, "measure the root opening at five places and divide the spread by 3"), "1/64 in or 0.4 mm"), Default("1/64 in"), "One standard deviation along the joint."),
    field("scatter.root_face", "root face variation (1 SD)", like(length("root face variation (1 SD)", 0.0, 0.125, "measure the root face at five places and divide the spread by 3"), "1/64 in or 0.4 mm"), Default("1/64 in"), "One standard deviation along the joint."),
    field("scatter.travel", "travel speed variation (1 SD)", like(quantity("travel speed variation (1 SD)", Kind::Share, 0.0, 0.5, "time five separate inches"), "10 % or 0.1"), Default("10 %"), "One standard deviation of travel speed by hand."),
    field("scatter.wire_feed", "wire feed speed variation (1 SD)", like(quantity("wire feed speed variation (1 SD)", Kind::Share, 0.0, 0.5, "weigh the wire fed in 1 minute, five times"), "3 % or 0.03"), Default("3 %"), "One standard deviation."),
    field("scatter.volts", "voltage variation (1 SD)", like(quantity("voltage variation (1 SD)", Kind::Voltage, 0.0, 5.0, "compare two meters"), "0.3 V"), Default("0.3 V"), "One standard deviation."),

    field("price.wire", "price of wire", like(quantity("price of wire per kg", Kind::Number, 0.0, 10_000.0, "enter the price of one kilogram as a plain number"), "4.50"), Optional, "Price of one kilogram (2.2 lb) of wire."),
    field("price.gas", "price of gas", like(quantity("price of gas per m3", Kind::Number, 0.0, 10_000.0, "enter the price of one cubic meter as a plain number"), "12"), Optional, "Price of one cubic meter (35.3 ft³) of gas."),
    field("price.hour", "price of an hour", like(quantity("price of an hour", Kind::Number, 0.0, 10_000.0, "enter the price of one hour as a plain number"), "65"), Optional, "Price of one hour of welder and booth."),
    field("price.blank", "price of a prepared coupon", like(quantity("price of a prepared coupon", Kind::Number, 0.0, 100_000.0, "enter the price of one prepared coupon as a plain number"), "15"), Optional, "Price of the cut and beveled pieces for one coupon."),

    field("pass.#.kind", "pass", What::Words(PassKind::WORDS), Required, "Root, hot, fill or cap pass."),
    field("pass.#.beads", "beads", What::Count(1, 12), Default("1"), "Number of beads with the same settings, side by side or stacked."),
    field("pass.#.progression", "progression", What::Words(Progression::WORDS), Optional, "Uphill or downhill; required for vertical. Use level for flat, horizontal and overhead."),
    field("pass.#.volts", "volts", VOLTS, Optional, "Arc voltage at the feeder; required for a forecast."),
    field("pass.#.wire_feed", "wire feed speed", WIRE_FEED, Optional, "Wire feed speed (WFS); required for a forecast."),
    field("pass.#.travel", "travel speed", TRAVEL, Optional, "Speed along the joint. Leave blank if you enter the bead area."),
    field("pass.#.bead_area", "bead area", like(quantity("bead area", Kind::Area, 1e-6, 300e-6, "a 1/4 in by 1/8 in bead is about 13 mm2"), "13 mm2 or 0.02 in2"), Optional, "Target cross section of one bead; travel speed is then calculated."),
    field("pass.#.amps", "amps read", AMPS, Optional, "Amps read on the machine at this wire feed speed; overrides the calculated value. For stick, the amps set."),
    field("pass.#.technique", "technique", What::Words(Technique::WORDS), Default("stringer"), "Stringer or weave."),
    field("pass.#.weave_width", "weave width", length("weave width", 0.0, 1.5, "measure the full width of the gun's path"), Optional, "Full width of the gun's path across the joint."),
    field("pass.#.dwell", "dwell", What::Words(Dwell::WORDS), Default("even"), "Where the weave pauses."),
    field("pass.#.ground_to", "ground to", length("ground to", 1.0 / 64.0, 1.0, "measure what is left of the bead after grinding"), Optional, "Throat left after grinding, before the next pass."),

    field("log.#.kind", "pass", What::Words(PassKind::WORDS), Optional, "Pass the readings belong to."),
    field("log.#.progression", "progression", What::Words(Progression::WORDS), Optional, "Progression as welded."),
    field("log.#.volts", "volts read", VOLTS, Optional, "Read with the arc on."),
    field("log.#.amps", "amps read", AMPS, Optional, "Read with the arc on."),
    field("log.#.wire_feed", "wire feed speed set", WIRE_FEED, Optional, "As set on the feeder."),
    field("log.#.travel", "travel speed measured", TRAVEL, Optional, "Measured length divided by time."),
    field("log.#.interpass", "temp before pass", METAL_TEMPERATURE, Optional, "Base metal temperature before this pass."),
    field("log.#.note", "note", What::Text(400), Optional, "Observations."),

    field("visual.cap_height", "cap height", length("cap height", 0.0, 0.5, "measure with a weld gauge at the highest point"), Optional, "Face reinforcement (cap height) at its highest point."),
    field("visual.undercut", "undercut", length("undercut", 0.0, 0.25, "measure the deepest point with a gauge; enter 0 in if none"), Optional, "Deepest undercut; enter 0 if none."),
    field("visual.root_concavity", "root concavity", length("root concavity", 0.0, 0.25, "measure the deepest point; enter 0 in if the root is convex"), Optional, "Deepest root concavity (suck-back); enter 0 if none."),
    field("visual.melt_through", "melt-through", length("melt-through", 0.0, 0.5, "measure the highest point of the root"), Optional, "Root reinforcement at its highest point."),
    field("visual.cracks", "cracks", What::Words(NONE_SEEN), Optional, "Any crack?"),
    field("visual.fusion", "fusion", What::Words(COMPLETE), Optional, "Is fusion complete at face and root?"),
    field("visual.craters", "craters", What::Words(&["filled", "open"]), Optional, "Are craters filled to the full cross section?"),
    field("visual.penetration", "root penetration", What::Words(COMPLETE), Optional, "Is the root fully penetrated over the whole length?"),
    field("visual.weld_thickness", "weld thickness", length("weld thickness", 1.0 / 32.0, 3.0, "measure the thinnest point, cap and root together"), Optional, "Minimum weld thickness, reinforcement included; required if the root is concave."),
    field("visual.other_flaws", "other discontinuities", What::Words(&["none"]), Optional, "Enter none if you inspected for every item listed and found only those entered. Heights, widths, angles and misalignment are still measured."),
    field("visual.cap_width", "cap width", seen_width("cap width"), Optional, "Width of the cap from toe to toe."),
    field("visual.root_width", "root bead width", seen_width("root bead width"), Optional, "Width of the root bead on its own side."),
    field("visual.misalignment", "offset", length("offset", 0.0, 0.5, "lay a straight edge across the finished weld; 0 in when the plates lie flush"), Optional, "How far one surface stands above the other, after welding."),
    field("visual.toe_angle", "toe angle", quantity("toe angle", Kind::Angle, 60.0 * DEG_RAD, 180.0 * DEG_RAD, "measure the steepest weld toe, between plate and weld; a flush weld has 180 deg"), Optional, "Angle between plate and weld at the steepest weld toe."),
    field("visual.undercut_length", "undercut, length", seen_length("undercut, length"), Optional, "Total undercut length in the worst length the code counts."),
    field("visual.shrinkage_groove", "root undercut", seen_depth("root undercut"), Optional, "Deepest shrinkage groove along the root bead; enter 0 if none."),
    field("visual.shrinkage_groove_length", "root undercut, length", seen_length("root undercut, length"), Optional, "Total length in the worst length of weld the code counts."),
    field("visual.root_concavity_length", "root concavity, length", seen_length("root concavity, length"), Optional, "Total length of root concavity in the worst length of weld the code counts."),
    field("visual.incomplete_penetration", "incomplete penetration, depth", seen_depth("incomplete penetration, depth"), Optional, "Deepest incomplete root penetration; enter 0 if none."),
    field("visual.incomplete_penetration_length", "incomplete penetration, length", seen_length("incomplete penetration, length"), Optional, "Total length in the worst length of weld the code counts."),
    field("visual.underfill", "underfill", seen_depth("underfill"), Optional, "Deepest underfill; enter 0 if none."),
    field("visual.underfill_length", "underfill, length", seen_length("underfill, length"), Optional, "Total length in the worst length of weld the code counts."),
    field("visual.overlap", "overlap", seen_depth("overlap"), Optional, "Width of overlap (cold lap); enter 0 if none."),
    field("visual.surface_pore", "surface pore", seen_depth("surface pore"), Optional, "Largest surface pore; enter 0 if none."),
    field("visual.end_crater_pipe", "crater pipe", seen_depth("crater pipe"), Optional, "Depth of a crater pipe; enter 0 if none."),
    field("visual.crater_cracks", "crater cracks", What::Words(NONE_SEEN), Optional, "Any crater crack?"),
    field("visual.burn_through", "burn-through", What::Words(NONE_SEEN), Optional, "Any burn-through?"),
    field("visual.root_porosity", "root porosity", What::Words(NONE_SEEN), Optional, "Any root porosity?"),
    field("visual.restarts", "restarts", What::Words(&["even", "uneven"]), Optional, "Are the restarts even?"),
    field("visual.arc_strikes", "arc strikes", What::Words(NONE_SEEN), Optional, "Any arc strike?"),
    field("visual.spatter", "spatter", What::Words(NONE_SEEN), Optional, "Any spatter on the base metal?"),
    field("visual.surface_slag", "surface slag", What::Words(NONE_SEEN), Optional, "Any slag open to the surface?"),
    field("visual.weld_length", "weld length", WELD_LENGTH, Optional, "Length of weld inspected."),
    field("visual.butt_throat", "nominal weld thickness", length("nominal weld thickness", 1.0 / 32.0, 3.0, "read the drawing; leave blank for full penetration"), Optional, "For partial-penetration joints. Leave blank for full penetration."),
    field("visual.fluid_service", "fluid service", What::Words(&["normal", "category_d"]), Optional, "Fluid service of the pipe; B31.3 limits depend on it."),
    field("visual.design_temperature", "design temperature", quantity("design temperature", Kind::Temperature, COLD_K, 1100.0, "read the line list"), Optional, "Design temperature of the pipe; B31.1 limits depend on it."),

    field("strap.#.id", "specimen (strap)", What::Text(12), Optional, "Mark stamped on the specimen. The specimen is not judged without it."),
    field("strap.#.kind", "kind", What::Words(STRAP_KINDS), Optional, "Face bend, root bend or side bend. The specimen is not judged without it."),
    field("strap.#.note", "note", NOTE, Optional, "Other observations."),
    field("strap.#.thickness", "specimen thickness", STRAP_THICKNESS, Optional, "Specimen thickness as bent. Leave blank if it was not measured; it is then not judged."),
    field("strap.#.weld_in_bend", "weld in the bend", What::Words(YES_NO), Optional, WELD_IN_BEND_DOC),
    field("strap.#.openings.#.length", "discontinuity", OPENING_LENGTH, Optional, "Largest dimension in any direction on the convex surface. The specimen is not judged without it."),
    field("strap.#.openings.#.place", "place", What::Words(OPENING_PLACES), Optional, "On the convex surface (face) or at a corner. Where the limit depends on it, the specimen is not judged without it."),
    field("strap.#.openings.#.note", "note", NOTE, Optional, "Other observations."),
    field("strap.#.openings.#.cause", "cause", What::Words(OPENING_CAUSES), Optional, "Visible cause: none, slag, incomplete fusion or other. A corner crack cannot be judged without it."),
    field("strap.#.openings.#.zone", "zone", What::Words(OPENING_ZONES), Optional, "Weld, heat-affected zone or base metal."),
    field("strap.#.openings.#.x", "along", FACE_PLACE, Optional, "Position along the specimen, from the middle of the weld."),
    field("strap.#.openings.#.y", "across", FACE_PLACE, Optional, "Position across the specimen, from its middle."),

    field("tension.#.id", "mark", What::Text(12), Required, "Mark stamped on the specimen."),
    field("tension.#.width", "width", PIECE_WIDTH, Optional, "Width before the tension test."),
    field("tension.#.thickness", "thickness", PIECE_THICKNESS, Optional, "Thickness before the tension test."),
    field("tension.#.load", "maximum load", quantity("maximum load", Kind::Force, 0.0, 5e6, "read the machine or the test report"), Optional, "Maximum load. Divided by the cross section it gives the tensile strength."),
    field("tension.#.strength", "tensile strength", strength("tensile strength"), Optional, "From the test report, if the load is unknown. Load, width and thickness take precedence."),
    field("tension.#.broke_in", "broke in", What::Words(OPENING_ZONES), Optional, "Where it broke: weld, heat-affected zone or base metal."),
    field("tension.#.fracture", "fracture", What::Words(&["sound", "not sound"]), Optional, "For a break in the weld: is the fracture surface within the nick-break limits?"),

    field("macro.#.id", "mark", What::Text(12), Required, "Mark of the section."),
    field("macro.#.weld", "weld", What::Words(&["groove", "fillet", "plug"]), Default("groove"), "Type of weld sectioned."),
    field("macro.#.cracks", "cracks", What::Words(NONE_SEEN), Optional, "Any crack?"),
    field("macro.#.fusion", "fusion", What::Words(COMPLETE), Optional, "Is fusion complete between layers and to the base metal?"),
    field("macro.#.root_fusion", "fusion at the root", What::Words(COMPLETE), Optional, "For a fillet: is there fusion to the root, not necessarily past it?"),
    field("macro.#.profile", "profile", What::Words(&["good", "bad"]), Optional, "Does the weld profile match the code's figure?"),
    field("macro.#.micro_fusion", "micro lack of fusion", What::Words(NONE_SEEN), Optional, "Lack of fusion visible only under the microscope?"),
    field("macro.#.weld_size", "weld size", seen_width("weld size"), Optional, "Weld size on the section; for a fillet the smaller leg."),
    field("macro.#.designated_size", "specified size", seen_width("specified size"), Optional, "Specified weld size."),
    field("macro.#.undercut", "undercut", seen_depth("undercut"), Optional, "Deepest undercut on the section; enter 0 if none."),
    field("macro.#.slag_total", "slag, total", seen_width("slag, total"), Optional, "Total slag on the section; enter 0 if none."),
    field("macro.#.flaw_height_sum", "imperfection heights, total", seen_width("imperfection heights, total"), Optional, "Total height of all imperfections in the section; enter 0 if none."),
    field("macro.#.throat", "nominal throat", seen_width("nominal throat"), Optional, "For a fillet: specified throat."),

    field("nick_break.#.id", "mark", What::Text(12), Required, "Mark of the specimen."),
    field("nick_break.#.penetration", "root penetration", What::Words(COMPLETE), Optional, "Is the root fully penetrated over the whole fracture surface?"),
    field("nick_break.#.fusion", "fusion", What::Words(COMPLETE), Optional, "Is fusion complete over the whole fracture surface?"),
    field("nick_break.#.gas_area", "area of gas pockets", pore_area("area of gas pockets"), Optional, "Percent of the fracture surface covered by gas pockets; enter 0 % if none."),
    field("nick_break.#.slag_spacing", "sound metal between slag", seen_length("sound metal between slag"), Optional, "Minimum sound metal between two slag inclusions."),
    field("nick_break.#.flaws.#.kind", "imperfection", What::Words(&["gas", "slag"]), Required, "A gas pocket or slag."),
    field("nick_break.#.flaws.#.length", "size", flaw_size("size"), Required, "Largest dimension of a gas pocket; length of slag along the weld."),
    field("nick_break.#.flaws.#.depth", "depth", flaw_size("depth"), Optional, "Depth of slag."),
    field("nick_break.#.flaws.#.note", "note", NOTE, Optional, "Other observations."),

    field("fillet_break.#.id", "mark", What::Text(12), Required, "Mark of the specimen."),
    field("fillet_break.#.cracks", "cracks", What::Words(NONE_SEEN), Optional, "Any crack?"),
    field("fillet_break.#.root_fusion", "fusion at the root", What::Words(COMPLETE), Optional, "Is there fusion to the root over the whole length?"),
    field("fillet_break.#.flaws.#.length", "size", flaw_size("size"), Required, "Largest dimension of a pore or inclusion."),
    field("fillet_break.#.flaws.#.at", "at", FLAW_PLACE, Optional, "Where it starts along the weld, measured from one reference mark."),
    field("fillet_break.#.flaws.#.note", "note", NOTE, Optional, "Other observations."),

    field("hardness.#.id", "mark", What::Text(12), Required, "Mark of the traverse."),
    field("hardness.#.scale", "scale", What::Words(&["HV10", "HV5", "HBW", "HRC"]), Default("HV10"), "Hardness scale of the readings. Scales are not converted."),
    field("hardness.#.points.#.value", "hardness", like(quantity("hardness", Kind::Number, 10.0, 1500.0, "enter the hardness number, without a unit"), "210"), Required, "One reading."),
    field("hardness.#.points.#.place", "place", What::Words(OPENING_ZONES), Optional, "Weld, heat-affected zone or base metal."),
    field("hardness.#.points.#.note", "note", NOTE, Optional, "Other observations."),

    field("radiograph.#.id", "mark", What::Text(12), Required, "Mark of the radiograph."),
    field("radiograph.#.result", "interpreter's result", What::Words(&["accept", "reject"]), Optional, "Result reported by the radiographic interpreter. It counts only with the report number."),
    field("radiograph.#.report", "report number", What::Text(40), Optional, "Number of the interpreter's report."),
    field("radiograph.#.penetration", "joint", What::Words(&["full", "partial"]), Default("full"), "Specified penetration of the joint."),
    field("radiograph.#.pore_area", "area of porosity", pore_area("area of porosity"), Optional, "Percent of the projected area covered by porosity; enter 0 % if none."),
    field("radiograph.#.cluster_area", "area of a cluster", pore_area("area of a cluster"), Optional, "Percent within the worst cluster of pores."),
    field("radiograph.#.line_area", "area of a line", pore_area("area of a line"), Optional, "Percent within the worst line of pores."),
    field("radiograph.#.fusion_flaw", "incomplete fusion, height", seen_depth("incomplete fusion, height"), Optional, "Maximum height of incomplete fusion, if measured by another method."),
    field("radiograph.#.fusion_flaw_length", "incomplete fusion, length", seen_length("incomplete fusion, length"), Optional, "Total length in the worst length of weld the code counts."),
    field("radiograph.#.incomplete_penetration", "incomplete penetration, depth", seen_depth("incomplete penetration, depth"), Optional, "Depth of incomplete penetration, if measured by another method."),
    field("radiograph.#.incomplete_penetration_length", "incomplete penetration, length", seen_length("incomplete penetration, length"), Optional, "Total length in the worst length of weld the code counts."),
    field("radiograph.#.weld_length", "weld length", WELD_LENGTH, Optional, "Length of weld on the radiograph."),
    field("radiograph.#.other_flaws", "other discontinuities", What::Words(&["none"]), Optional, "Enter none if the radiograph shows no indications other than those listed. Without it, cracks and other indications stay not inspected. An empty list means a clear radiograph."),
    field("radiograph.#.flaws.#.kind", "indication", What::Words(INDICATIONS), Required, "Type of indication."),
    field("radiograph.#.flaws.#.length", "length", flaw_size("length"), Required, "Largest dimension."),
    field("radiograph.#.flaws.#.width", "width", flaw_size("width"), Optional, "Width, for elongated indications."),
    field("radiograph.#.flaws.#.at", "at", FLAW_PLACE, Optional, "Where it starts along the weld, measured from one reference mark."),
    field("radiograph.#.flaws.#.note", "note", NOTE, Optional, "Other observations."),
];

const NOTE: What = What::Text(200);
const PURPOSES: &[&str] = &["welder", "procedure"];
const NONE_SEEN: &[&str] = &["none", "seen"];
const COMPLETE: &[&str] = &["complete", "incomplete"];
const INDICATIONS: &[&str] = &[
    "crack",
    "fusion",
    "penetration",
    "slag",
    "rounded",
    "cluster_pore",
    "line_pore",
    "cavity",
    "metal",
    "copper",
];
const NOMINAL_SIZE: What = pipe_size("nominal pipe size");
pub(crate) const DEPOSIT: What = length(
    "deposited weld metal thickness",
    1.0 / 32.0,
    8.0,
    "leave blank if one process filled the whole joint",
);
/// Pascals in a thousand pounds on the square inch.
const KSI_PA: f64 = 6_894_757.293_168_361;
const fn seen_depth(name: &'static str) -> What {
    length(name, 0.0, 1.0, "measure the worst point; enter 0 in if none")
}

const fn seen_width(name: &'static str) -> What {
    length(name, 0.0, 4.0, "measure with a weld gauge or a scale on the section")
}

const fn seen_length(name: &'static str) -> What {
    length(name, 0.0, 40.0, "add up the lengths in the worst length of weld the code counts")
}

const fn flaw_size(name: &'static str) -> What {
    length(name, 1.0 / 256.0, 40.0, "measure the largest dimension; remove the row if there is none")
}

const fn pore_area(name: &'static str) -> What {
    quantity(name, Kind::Share, 0.0, 1.0, "estimate the percent of the area; enter 0 % if none")
}

const fn strength(name: &'static str) -> What {
    quantity(
        name,
        Kind::Pressure,
        KSI_PA,
        400.0 * KSI_PA,
        "read the steel's specification or the test report",
    )
}

const WELD_LENGTH: What = like(length("weld length", 0.5, 400.0, "measure along the weld"), "6 in or 150 mm");
const PIECE_WIDTH: What =
    length("specimen width", 1.0 / 16.0, 6.0, "measure the reduced section with a caliper before the test");
const PIECE_THICKNESS: What = length(
    "specimen thickness",
    1.0 / 32.0,
    6.0,
    "measure the reduced section with a caliper before the test",
);
const FLAW_PLACE: What =
    length("position along the weld", 0.0, 400.0, "measure from one reference mark on the weld");

const STRAP_KINDS: &[&str] = &["face", "root", "side"];
const OPENING_PLACES: &[&str] = &["face", "corner"];
const OPENING_CAUSES: &[&str] = &["none", "slag", "fusion", "other"];
const OPENING_ZONES: &[&str] = &["weld", "haz", "base"];
const OPENING_LENGTH: What = length(
    "discontinuity",
    1.0 / 128.0,
    6.0,
    "measure the largest dimension; remove the row if there is no discontinuity",
);
const FACE_PLACE: What = length("position on the specimen", -6.0, 6.0, "measure from the middle of the weld");

#[rustfmt::skip]
const BENDS_SPECS: &[Spec] = &[
    field("code", "code", What::Code, Required, "Code and edition to judge by."),
    field("coupon", "coupon", What::Text(24), Optional, "Coupon the specimens were cut from."),
    field("welder", "welder", What::Text(80), Optional, "Welder of the coupon."),
    field("strap.#.id", "specimen (strap)", What::Text(12), Required, "Mark stamped on the specimen."),
    field("strap.#.kind", "kind", What::Words(STRAP_KINDS), Required, "Face bend, root bend or side bend."),
    field("strap.#.thickness", "specimen thickness", STRAP_THICKNESS, Required, "Specimen thickness."),
    field("strap.#.wall", "pipe wall", length("pipe wall", 1.0 / 32.0, 2.0, "measure the pipe wall"), Optional, "Wall thickness of the pipe the specimen was cut from."),
    field("strap.#.weld_in_bend", "weld in the bend", What::Words(YES_NO), Optional, WELD_IN_BEND_DOC),
    field("strap.#.openings.#.length", "discontinuity", OPENING_LENGTH, Required, "Largest dimension in any direction on the convex surface."),
    field("strap.#.openings.#.place", "place", What::Words(OPENING_PLACES), Optional, "On the convex surface (face) or at a corner. Where the limit depends on it, the specimen is not judged without it."),
    field("strap.#.openings.#.cause", "cause", What::Words(OPENING_CAUSES), Optional, "Visible cause: none, slag, incomplete fusion or other. A corner crack cannot be judged without it."),
    field("strap.#.openings.#.zone", "zone", What::Words(OPENING_ZONES), Optional, "Weld, heat-affected zone or base metal."),
];

#[rustfmt::skip]
const RECORD_SPECS: &[Spec] = &[
    field("code", "code", What::Code, Required, "Code and edition of the test."),
    field("welder", "welder", What::Text(80), Required, "Welder who passed the test."),
    field("welder_mark", "welder ID (stamp)", What::Text(24), Optional, "Welder's stamp or identification."),
    field("company", "company", What::Text(80), Optional, "Organization responsible for the record."),
    field("positions.#", "position", What::Words(Position::WORDS), Required, "Test positions; several if coupons were tested together, for example 3G and 4G."),
    field("process", "process", What::Words(Process::WORDS), Required, "Welding process."),
    field("transfer", "transfer mode", What::Words(Transfer::WORDS), Optional, "Metal transfer mode; required for GMAW."),
    field("shape", "shape", What::Words(&["plate", "pipe"]), Required, "Plate or pipe."),
    field("thickness", "thickness", length("thickness", 1.0 / 32.0, 8.0, "measure the plate or pipe wall"), Required, "Plate or wall thickness."),
    field("deposit_thickness", "deposited weld metal thickness", DEPOSIT, Optional, "Weld metal thickness deposited by this process. Leave blank if one process filled the whole joint."),
    field("other_process", "other process", What::Words(Process::WORDS), Optional, OTHER_PROCESS_DOC),
    field("layers", "layers", What::Count(1, 99), Optional, "Number of layers by this process, if the code requires three."),
    field("outside_diameter", "outside diameter", like(length("outside diameter", 0.25, 60.0, "measure around the pipe and divide by 3.1416"), "6.625 in or 168.3 mm"), Optional, "Required for pipe."),
    field("nominal_size", "nominal pipe size", NOMINAL_SIZE, Optional, "Nominal pipe size (NPS), for codes that use it."),
    field("progressions.#", "progression", What::Words(Progression::WORDS), Optional, "Every progression used on the coupon; required for vertical."),
    field("backing", "backing", What::Words(Backing::WORDS), Required, "Backing behind the root."),
    field("filler", "filler metal", What::Text(32), Optional, "Filler metal classification, or its F-number; none if none was used."),
    field("polarity", "polarity", What::Words(Polarity::WORDS), Optional, POLARITY_DOC),
    field("base_metal", "base metal", What::Text(32), Optional, BASE_METAL_DOC),
    field("purpose", "purpose", What::Words(PURPOSES), Default("welder"), "Welder (performance) test, or procedure test that also qualifies its welder."),
    field("finished", "finished", What::Date, Required, "Date the last bead was welded."),
    field("uses.#", "use", What::Date, Optional, "Dates of process use since the test. ISO 9606-1 counts only confirmed work: enter it under use, with who confirmed it."),
    field("use.#.date", "date of use", What::Date, Required, "Date the process was used; if someone confirmed it, the date of confirmation."),
    field("use.#.evidence", "evidence", What::Text(200), Optional, "Evidence of the use: job, coupon or log line."),
    field("use.#.checked_by", "verified by", What::Text(80), Optional, "Verifier: under ISO 9606-1 the responsible person or the examiner. Without one the use confirms nothing."),
    field("use.#.transfer", "transfer mode used", What::Words(Transfer::WORDS), Optional, "Transfer mode of the use, if different from the test."),
    field("filler_group", "filler metal group", What::Words(FILLER_GROUPS), Optional, "Filler metal group of ISO 9606-1. Leave blank if the program knows the filler metal."),
    field("filler_type", "filler metal type", What::Words(FILLER_TYPES), Optional, FILLER_TYPE_DOC),
    field("backing_detail", "backing type", What::Words(ROOTS), Optional, "Type of backing, if open or steel is not specific enough."),
    field("backing_gas", "backing gas", What::Words(YES_NO), Optional, BACKING_GAS_DOC),
    field("figure", "test joint figure", What::Words(FIGURES), Optional, FIGURE_DOC),
    field("fillet_piece", "fillet test welded with the groove test", What::Words(YES_NO), Optional, "Was a fillet test welded together with the groove test?"),
    field("short_arc", "short-circuit waveform", What::Words(SHORT_ARCS), Default("plain"), "Plain, or a controlled waveform."),
    field("renewal_route", "revalidation method", What::Words(&["a", "b", "c"]), Optional, "Revalidation method under ISO 9606-1, 9.3."),
    field("renewals.#", "revalidation", What::Date, Optional, "Dates of revalidation by this method."),
    field("quality_system", "quality system", What::Words(&["none", "iso-3834-2", "iso-3834-3", "iso-3834-4"]), Optional, "Quality standard of the employer; required for method c."),
    field("ped_category", "pressure equipment category", What::Words(&["none", "I", "II", "III", "IV"]), Optional, "Highest category of pressure equipment welded; method c depends on it."),

    field("ask.#.joint", "proposed joint", What::Words(&["plate_groove", "pipe_groove", "fillet"]), Required, "Type of production joint; a fillet with a diameter is on pipe."),
    field("ask.#.position", "proposed position", What::Words(&["F", "H", "V", "OH", "5G", "6G"]), Required, "Position of the production weld; 5G and 6G all around a fixed pipe, horizontal or inclined."),
    field("ask.#.process", "proposed process", What::Words(Process::WORDS), Optional, "Process. Leave blank for the process of the test."),
    field("ask.#.transfer", "proposed transfer mode", What::Words(Transfer::WORDS), Optional, "Metal transfer mode, for GMAW."),
    field("ask.#.backing", "proposed backing", What::Words(ROOTS), Optional, "Backing of a groove weld."),
    field("ask.#.backing_gas", "proposed backing gas", What::Words(YES_NO), Optional, JOINT_GAS_DOC),
    field("ask.#.thickness", "proposed thickness", length("proposed thickness", 1.0 / 32.0, 12.0, "measure the plate or pipe wall"), Optional, "Thickness of the base metal."),
    field("ask.#.deposit", "proposed deposit", DEPOSIT, Optional, JOINT_DEPOSIT_DOC),
    field("ask.#.diameter", "proposed diameter", like(length("proposed diameter", 0.25, 200.0, "measure around the pipe and divide by 3.1416"), "6.625 in or 168.3 mm"), Optional, "Outside diameter of pipe."),
    field("ask.#.nominal_size", "proposed nominal pipe size", pipe_size("proposed nominal pipe size"), Optional, "Nominal pipe size (NPS), for codes that use it. Leave blank if the pipe table has the diameter."),
    field("ask.#.progression", "proposed progression", What::Words(Progression::WORDS), Optional, "Uphill or downhill, for vertical welds."),
    field("ask.#.filler", "proposed filler metal", What::Text(32), Optional, "Filler metal classification, or its F-number, for example F6; none if none is used."),
    field("ask.#.polarity", "proposed polarity", What::Words(Polarity::WORDS), Optional, JOINT_POLARITY_DOC),
    field("ask.#.filler_group", "proposed filler metal group", What::Words(FILLER_GROUPS), Optional, "Filler metal group of ISO 9606-1, if the program does not know the filler metal."),
    field("ask.#.filler_type", "proposed filler metal type", What::Words(FILLER_TYPES), Optional, JOINT_FILLER_TYPE_DOC),
    field("ask.#.base_metal", "proposed base metal", What::Text(32), Optional, BASE_METAL_DOC),
    field("ask.#.layers", "proposed layers", What::Count(1, 99), Optional, "Layers of a fillet."),
    field("ask.#.turned", "rotated pipe", What::Words(YES_NO), Optional, "Is the pipe rotated during welding?"),
    field("ask.#.day", "date of the work", What::Day, Optional, "Date of the work. Leave blank for the date of the report."),
];

/// Figures an open-root pipe is prepared to; nothing is derived from the fit,
/// for the sizes of the figure were read nowhere.
const FIGURES: &[&str] = &["no-backing", "other"];
const FIGURE_DOC: &str = "For open-root pipe: no-backing if it was prepared to the code's figure for joints without backing, as AWS D1.1 requires; other if it was not. Whoever prepared it is responsible for this entry.";
const OTHER_PROCESS_DOC: &str = "Another process that welded part of the same joint, as GTAW the root of a GMAW fill, or GMAW again in another transfer mode. This file records one of the two processes: enter its deposit, or its thickness range stays undetermined.";
pub(crate) const JOINT_DEPOSIT_DOC: &str = "Weld metal this process deposits in a groove it does not fill completely. Some codes limit that and not the base metal.";
pub(crate) const BASE_METAL_DOC: &str = "P-number of the base metal, for example P1, or a steel whose P-number the program knows, for example A106-B. Required for base metal ranges under ASME IX.";
const FILLER_TYPE_DOC: &str = "S solid, M metal core, B basic and so on, nm without filler metal. Leave blank if the program knows the filler metal. ISO 9606-1 requires it, and ASME IX for GTAW.";
pub(crate) const JOINT_FILLER_TYPE_DOC: &str = "Filler metal type, if the program does not know the filler metal: S solid, M metal core, nm without filler metal. ISO 9606-1 requires it, and ASME IX for GTAW.";
const POLARITY_DOC: &str = "Current type and polarity. Required for ranges of GTAW under ASME IX.";
pub(crate) const JOINT_POLARITY_DOC: &str = "Current type and polarity, for GTAW under ASME IX.";
const BACKING_GAS_DOC: &str =
    "Did gas shield an open root from behind? Required for open roots of GTAW under ASME IX.";
pub(crate) const JOINT_GAS_DOC: &str =
    "Does gas shield an open root from behind? For GTAW under ASME IX, if the test had it.";
const WELD_IN_BEND_DOC: &str = "Are weld and heat-affected zone completely within the bent portion? Required by ASME IX; no specimen is accepted without it.";
const SHORT_ARCS: &[&str] = &["plain", "waveform"];
pub(crate) const YES_NO: &[&str] = &["yes", "no"];
const ROOTS: &[&str] = &["open", "steel", "backgouged", "gas", "flux", "insert"];
const FILLER_GROUPS: &[&str] = &["FM1", "FM2", "FM3", "FM4", "FM5", "FM6"];
pub(crate) const FILLER_TYPES: &[&str] =
    &["S", "M", "B", "R", "P", "V", "W", "Y", "Z", "A", "C", "RA", "RB", "RC", "RR", "nm"];
