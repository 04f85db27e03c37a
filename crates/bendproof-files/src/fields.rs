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
    })
}

/// A pipe size as it is ordered; ASME B36.10M goes from 1/8 to 80 (from memory).
pub(crate) const fn pipe_size(name: &'static str) -> What {
    What::PipeSize(Bound {
        name,
        kind: Kind::Length,
        min_si: 0.125 * INCH_M,
        max_si: 80.0 * INCH_M,
        next_step: "write the size as ordered: 6, NPS 6 or DN 150",
    })
}

pub(crate) const fn quantity(
    name: &'static str,
    kind: Kind,
    min_si: f64,
    max_si: f64,
    next_step: &'static str,
) -> What {
    What::Quantity(Bound { name, kind, min_si, max_si, next_step })
}

const VOLTS: What = quantity("volts", Kind::Voltage, 8.0, 45.0, "read the voltmeter while the arc burns");
const WIRE_FEED: What = quantity(
    "wire feed",
    Kind::Speed,
    20.0 * IN_PER_MIN_M_S,
    1000.0 * IN_PER_MIN_M_S,
    "read the feeder, or measure the wire fed in six seconds and take it ten times",
);
const TRAVEL: What = quantity(
    "travel",
    Kind::Speed,
    1.0 * IN_PER_MIN_M_S,
    60.0 * IN_PER_MIN_M_S,
    "time a measured length of bead",
);
const AMPS: What = quantity("amps", Kind::Current, 10.0, 600.0, "read the ammeter while the arc burns");
const METAL_TEMPERATURE: What = quantity(
    "metal temperature",
    Kind::Temperature,
    COLD_K,
    HOT_K,
    "measure beside the joint with a crayon or probe",
);
const STRAP_THICKNESS: What =
    length("strap thickness", 1.0 / 32.0, 1.0, "measure the strap with a caliper before bending");

/// One coupon, from fit to verdict.
pub const COUPON: FileKind = FileKind {
    name: "coupon",
    doc: "One coupon: the fit, the settings, the planned passes, what was logged, the straps and what was found on them, and every other examination.",
    specs: COUPON_SPECS,
};

/// Bent straps to judge under one code.
pub const BENDS: FileKind = FileKind {
    name: "bends",
    doc: "Bent straps with the openings found on their convex faces, to be judged under one code.",
    specs: BENDS_SPECS,
};

/// A welder's passed tests and later use.
pub const RECORD: FileKind = FileKind {
    name: "record",
    doc: "The tests a welder passed and the work done since, to say what is covered and until when.",
    specs: RECORD_SPECS,
};

#[rustfmt::skip]
const COUPON_SPECS: &[Spec] = &[
    field("number", "number", What::Text(24), Optional, "The shop's number for this coupon."),
    field("title", "title", What::Text(120), Optional, "A short name; made from the fit when left out."),
    field("welder", "welder", What::Text(80), Optional, "Who welds it."),
    field("booth", "booth", What::Text(24), Optional, "Where it is welded."),
    field("company", "company", What::Text(80), Optional, "Who answers for the test: school or employer."),
    field("welder_mark", "welder's mark", What::Text(24), Optional, "Stamp or identification of the welder."),
    field("procedure", "procedure followed", What::Text(24), Optional, "Number of the procedure the coupon was welded by."),
    field("tested_by", "tested by", What::Text(80), Optional, "Who conducted the test."),
    field("laboratory", "laboratory", What::Text(80), Optional, "Who examined the specimens, with the number of the report."),
    field("code", "code", What::Code, Default("aws-d1.1-2020"), "The code and edition it is judged under."),
    field("construction_code", "construction code", What::Construction, Optional, "The code that judges the weld by eye beside the test's own: B31.1 or B31.3 beside ASME IX, ISO 5817 beside ISO 9606-1."),
    field("quality_level", "quality level", What::Words(&["B", "C", "D"]), Optional, "The level of ISO 5817 asked for, where that is the construction code."),
    field("purpose", "purpose", What::Words(PURPOSES), Default("welder"), "A test of skill, or of a procedure whose welder qualifies with it."),
    field("planned", "planned", What::Text(24), Optional, "When it is to be welded, as the shop says it: a day, a shift, a week."),
    field("finished", "finished", What::Date, Optional, "The day the last bead was laid; the clock of the qualification starts here."),

    field("fit.shape", "shape", What::Words(&["plate", "pipe"]), Default("plate"), "Flat plate or round pipe."),
    field("fit.thickness", "thickness", length("thickness", 1.0 / 16.0, 2.0, "measure the plate or pipe wall"), Required, "Plate or wall thickness."),
    field("fit.outside_diameter", "outside diameter", length("outside diameter", 0.5, 60.0, "measure around the pipe and divide by 3.1416"), Optional, "Pipe outside diameter; needed for pipe."),
    field("fit.nominal_size", "nominal pipe size", NOMINAL_SIZE, Optional, "Pipe size as ordered, where a code counts in it."),
    field("fit.length", "joint length", length("joint length", 2.0, 120.0, "measure the joint along the weld"), Default("7 in"), "Length of joint on a plate."),
    field("fit.groove_angle", "groove angle", quantity("groove angle", Kind::Angle, 20.0 * DEG_RAD, 120.0 * DEG_RAD, "add the bevels of both edges"), Default("60 deg"), "Included angle: both bevels together."),
    field("fit.root_opening", "root opening", length("root opening", 0.0, 0.5, "measure the gap between the lands after tacking"), Required, "Gap between the lands."),
    field("fit.root_face", "root face (land)", length("root face", 0.0, 0.5, "measure the land with a caliper"), Required, "Height of the land; of the left edge when the right one differs."),
    field("fit.root_face_right", "root face, right", length("root face, right", 0.0, 0.5, "measure the land with a caliper"), Optional, "Land of the right edge when it differs from the left."),
    field("fit.mismatch", "mismatch (hi-lo)", length("mismatch", 0.0, 0.25, "lay a straight edge across the root side"), Default("0 in"), "How far one edge stands above the other at the root side."),
    field("fit.backing", "backing", What::Words(Backing::WORDS), Default("open"), "What stands behind the root."),
    field("fit.backing_detail", "backing in detail", What::Words(ROOTS), Optional, "What supported the root, where open or steel says too little."),
    field("fit.position", "position", What::Words(Position::WORDS), Required, "Test position."),
    field("fit.figure", "prepared to figure", What::Words(FIGURES), Optional, FIGURE_DOC),
    field("fit.fillet_piece", "fillet piece", What::Words(YES_NO), Default("no"), "A fillet piece was welded beside the groove test."),
    field("fit.steel", "steel", What::Steel, Default("A36"), "Steel, by its specification."),
    field("fit.tensile_min", "specified tensile strength", strength("specified tensile strength"), Optional, "Least tensile strength specified for the base metal, of the weaker one where two are joined; a tension piece is held against it."),
    field("fit.steel_group", "steel group", What::Text(8), Optional, "Group of the base metal by ISO/TR 15608, as 1.2; hardness limits go by it."),
    field("fit.start_temperature", "start temperature", METAL_TEMPERATURE, Default("70 F"), "Metal temperature before the first arc: the preheat, or the shop."),

    field("settings.process", "process", What::Words(Process::WORDS), Default("GMAW"), "Welding process."),
    field("settings.transfer", "transfer", What::Words(Transfer::WORDS), Default("short-circuit"), "How metal crosses the arc."),
    field("settings.wire", "filler", What::Text(32), Default("ER70S-6"), "Filler classification, as printed on the spool or the box. ER70S-6 is proposed for GMAW only."),
    field("settings.wire_diameter", "wire diameter", length("wire diameter", 0.020, 0.125, "read the spool"), Default("0.035 in"), "Wire diameter."),
    field("settings.gas", "gas", What::Words(Gas::WORDS), Default("75Ar/25CO2"), "Shielding gas."),
    field("settings.gas_flow", "gas flow", quantity("gas flow", Kind::Flow, 5.0 * CFH_M3_S, 100.0 * CFH_M3_S, "read the flowmeter with gas running"), Default("30 cfh"), "Gas flow."),
    field("settings.extension", "wire extension", length("wire extension", 0.1, 1.5, "measure from contact tip to the wire's end right after stopping"), Default("5/16 in"), "Wire sticking out of the contact tip."),
    field("settings.deposition_efficiency", "deposition efficiency", quantity("deposition efficiency", Kind::Share, 0.5, 1.0, "leave it out to use 93 %"), Default("93 %"), "Share of melted wire that stays in the joint."),
    field("settings.interpass_max", "interpass limit", METAL_TEMPERATURE, Default("350 F"), "Highest metal temperature allowed before the next bead."),

    field("settings.short_arc", "short arc", What::Words(SHORT_ARCS), Default("plain"), "Whether the machine shapes the current of a short-circuit arc."),
    field("settings.deposit_thickness", "deposit thickness", DEPOSIT, Optional, "Weld metal put in with this process; the thickness when left out. Leave it out when one process fills the whole joint."),
    field("settings.other_process", "other process", What::Words(Process::WORDS), Optional, OTHER_PROCESS_DOC),
    field("settings.layers", "layers", What::Count(1, 99), Optional, "Layers of that deposit as welded; some codes give more for three and over."),
    field("settings.heat_treated", "heat treatment after welding", What::Words(YES_NO), Optional, "Whether the coupon was heat-treated after welding; hardness limits go by it."),

    field("scatter.root_opening", "scatter of root opening", length("scatter of root opening", 0.0, 0.125, "measure the gap at five places and take a third of the spread"), Default("1/64 in"), "One standard deviation along the joint."),
    field("scatter.root_face", "scatter of root face", length("scatter of root face", 0.0, 0.125, "measure the land at five places and take a third of the spread"), Default("1/64 in"), "One standard deviation along the joint."),
    field("scatter.travel", "scatter of travel", quantity("scatter of travel", Kind::Share, 0.0, 0.5, "time five inches one by one"), Default("10 %"), "One standard deviation of hand travel."),
    field("scatter.wire_feed", "scatter of wire feed", quantity("scatter of wire feed", Kind::Share, 0.0, 0.5, "weigh the wire fed in a minute, five times"), Default("3 %"), "One standard deviation."),
    field("scatter.volts", "scatter of volts", quantity("scatter of volts", Kind::Voltage, 0.0, 5.0, "compare two meters"), Default("0.3 V"), "One standard deviation."),

    field("price.wire", "price of wire", quantity("price of wire per kg", Kind::Number, 0.0, 10_000.0, "write the price of one kilogram as a plain number"), Optional, "What a kilogram of wire costs this shop."),
    field("price.gas", "price of gas", quantity("price of gas per m3", Kind::Number, 0.0, 10_000.0, "write the price of one cubic metre as a plain number"), Optional, "What a cubic metre of gas costs this shop."),
    field("price.hour", "price of an hour", quantity("price of an hour", Kind::Number, 0.0, 10_000.0, "write the price of one hour as a plain number"), Optional, "What an hour of welder and booth costs this shop."),
    field("price.blank", "price of a blank", quantity("price of a blank", Kind::Number, 0.0, 100_000.0, "write the price of one prepared coupon as a plain number"), Optional, "What the cut and bevelled pieces of one coupon cost."),

    field("pass.#.kind", "pass", What::Words(PassKind::WORDS), Required, "Root, hot, fill or cap."),
    field("pass.#.beads", "beads", What::Count(1, 12), Default("1"), "Beads laid the same way, side by side or one over the other."),
    field("pass.#.progression", "progression", What::Words(Progression::WORDS), Optional, "Uphill, downhill, or level; needed where the joint rises."),
    field("pass.#.volts", "volts", VOLTS, Optional, "Arc volts at the feeder; a forecast needs it."),
    field("pass.#.wire_feed", "wire feed", WIRE_FEED, Optional, "Wire feed speed; a forecast needs it."),
    field("pass.#.travel", "travel", TRAVEL, Optional, "Speed along the joint; leave out when the bead's area is given."),
    field("pass.#.bead_area", "bead area", quantity("bead area", Kind::Area, 1e-6, 300e-6, "a 1/4 in by 1/8 in bead is about 13 mm2"), Optional, "Wanted cross-section of one bead; travel is then solved."),
    field("pass.#.amps", "amps read", AMPS, Optional, "Current read on the machine at this wire feed; beats the melting law."),
    field("pass.#.technique", "technique", What::Words(Technique::WORDS), Default("stringer"), "Straight or from side to side."),
    field("pass.#.weave_width", "weave width", length("weave width", 0.0, 1.5, "measure from toe to toe of the gun's path"), Optional, "Full width of the gun's path."),
    field("pass.#.dwell", "dwell", What::Words(Dwell::WORDS), Default("even"), "Where the weave lingers."),
    field("pass.#.ground_to", "ground to", length("ground to", 1.0 / 64.0, 1.0, "measure what is left of the bead after grinding"), Optional, "Throat left after grinding, before the next pass."),

    field("log.#.kind", "pass", What::Words(PassKind::WORDS), Optional, "Which pass was read."),
    field("log.#.progression", "progression", What::Words(Progression::WORDS), Optional, "As welded."),
    field("log.#.volts", "volts read", VOLTS, Optional, "Read while the arc burned."),
    field("log.#.amps", "amps read", AMPS, Optional, "Read while the arc burned."),
    field("log.#.wire_feed", "wire feed set", WIRE_FEED, Optional, "As set."),
    field("log.#.travel", "travel measured", TRAVEL, Optional, "Length over time."),
    field("log.#.interpass", "metal before", METAL_TEMPERATURE, Optional, "Metal temperature before this pass."),
    field("log.#.note", "note", What::Text(400), Optional, "What was seen."),

    field("visual.cap_height", "cap height", length("cap height", 0.0, 0.5, "measure with a weld gauge at the highest place"), Optional, "Face reinforcement at its highest."),
    field("visual.undercut", "undercut", length("undercut", 0.0, 0.25, "measure the deepest place with a gauge; 0 in when there is none"), Optional, "Deepest undercut; 0 when there is none."),
    field("visual.root_concavity", "root concavity", length("root concavity", 0.0, 0.25, "measure the deepest place; 0 in when the root is convex"), Optional, "How far the root is sucked back at its deepest; 0 when it is not."),
    field("visual.melt_through", "melt-through", length("melt-through", 0.0, 0.5, "measure the highest place of the root"), Optional, "Root reinforcement at its highest."),
    field("visual.cracks", "cracks", What::Words(NONE_SEEN), Optional, "Whether any crack is seen."),
    field("visual.fusion", "fusion", What::Words(COMPLETE), Optional, "Whether face and root are fused everywhere."),
    field("visual.craters", "craters", What::Words(&["filled", "open"]), Optional, "Whether craters are filled to the full section."),
    field("visual.penetration", "root penetration", What::Words(COMPLETE), Optional, "Whether the root is through everywhere."),
    field("visual.weld_thickness", "weld thickness", length("weld thickness", 1.0 / 32.0, 3.0, "measure the thinnest place, cap and root together"), Optional, "Weld at its thinnest, reinforcement included; asked where the root is concave."),
    field("visual.other_flaws", "all other flaws", What::Words(&["none"]), Optional, "Write none when you looked for every flaw named here and found only those noted. Heights, widths, angles and offsets are still measured."),
    field("visual.cap_width", "cap width", seen_width("cap width"), Optional, "Width of the cap from toe to toe."),
    field("visual.root_width", "root bead width", seen_width("root bead width"), Optional, "Width of the root bead on its own side."),
    field("visual.misalignment", "offset", length("offset", 0.0, 0.5, "lay a straight edge across the finished weld; 0 in when the plates lie flush"), Optional, "How far one surface stands above the other, after welding."),
    field("visual.toe_angle", "toe angle", quantity("toe angle", Kind::Angle, 60.0 * DEG_RAD, 180.0 * DEG_RAD, "measure the steepest toe, between plate and weld; a flush weld has 180 deg"), Optional, "Angle between plate and weld at the steepest toe."),
    field("visual.undercut_length", "undercut, length", seen_length("undercut, length"), Optional, "All undercut in the worst stretch the code counts, added up."),
    field("visual.shrinkage_groove", "undercut at the root", seen_depth("undercut at the root"), Optional, "Deepest groove along the root bead; 0 when there is none."),
    field("visual.shrinkage_groove_length", "undercut at the root, length", seen_length("undercut at the root, length"), Optional, "All of it in the worst stretch, added up."),
    field("visual.root_concavity_length", "root concavity, length", seen_length("root concavity, length"), Optional, "All of the sucked-back root in the worst stretch, added up."),
    field("visual.incomplete_penetration", "root not through, depth", seen_depth("root not through, depth"), Optional, "How deep the root is missing; 0 when it is through."),
    field("visual.incomplete_penetration_length", "root not through, length", seen_length("root not through, length"), Optional, "All of it in the worst stretch, added up."),
    field("visual.underfill", "underfill", seen_depth("underfill"), Optional, "How far the groove is not filled, or the face sags; 0 when it does not."),
    field("visual.underfill_length", "underfill, length", seen_length("underfill, length"), Optional, "All of it in the worst stretch, added up."),
    field("visual.overlap", "overlap", seen_depth("overlap"), Optional, "Width of weld metal lying on the plate unfused; 0 when there is none."),
    field("visual.surface_pore", "surface pore", seen_depth("surface pore"), Optional, "Greatest pore at the surface; 0 when there is none."),
    field("visual.end_crater_pipe", "crater pipe", seen_depth("crater pipe"), Optional, "Depth of a pipe in an end crater; 0 when there is none."),
    field("visual.crater_cracks", "crater cracks", What::Words(NONE_SEEN), Optional, "Whether a crack is seen in a crater."),
    field("visual.burn_through", "burn-through", What::Words(NONE_SEEN), Optional, "Whether the pool fell through anywhere."),
    field("visual.root_porosity", "spongy root", What::Words(NONE_SEEN), Optional, "Whether the root is spongy."),
    field("visual.restarts", "restarts", What::Words(&["even", "uneven"]), Optional, "Whether the restarts are even."),
    field("visual.arc_strikes", "arc strikes", What::Words(NONE_SEEN), Optional, "Whether an arc was struck beside the weld."),
    field("visual.spatter", "spatter", What::Words(NONE_SEEN), Optional, "Whether spatter sticks to the plate."),
    field("visual.surface_slag", "surface slag", What::Words(NONE_SEEN), Optional, "Whether slag lies open at the surface."),
    field("visual.weld_length", "weld length", WELD_LENGTH, Optional, "Length of the weld looked at."),
    field("visual.butt_throat", "nominal weld thickness", length("nominal weld thickness", 1.0 / 32.0, 3.0, "read the drawing; leave it out when the joint is penetrated fully"), Optional, "Of a joint that is not to be penetrated fully; the thickness otherwise."),
    field("visual.fluid_service", "fluid service", What::Words(&["normal", "category_d"]), Optional, "What the pipe is to carry; B31.3 has limits for each."),
    field("visual.design_temperature", "design temperature", quantity("design temperature", Kind::Temperature, COLD_K, 1100.0, "read the line list"), Optional, "Temperature the pipe is designed for; B31.1 has limits by it."),

    field("strap.#.id", "strap", What::Text(12), Required, "The strap's mark, stamped on it."),
    field("strap.#.kind", "kind", What::Words(STRAP_KINDS), Required, "Which side is stretched."),
    field("strap.#.thickness", "strap thickness", STRAP_THICKNESS, Optional, "Thickness of the strap; the plate's when left out."),
    field("strap.#.weld_in_bend", "weld in the bend", What::Words(YES_NO), Optional, WELD_IN_BEND_DOC),
    field("strap.#.openings.#.length", "opening", OPENING_LENGTH, Optional, "Longest dimension in any direction on the convex face; its strap is not judged without it."),
    field("strap.#.openings.#.place", "place", What::Words(OPENING_PLACES), Default("face"), "On the face or at a corner."),
    field("strap.#.openings.#.note", "note", NOTE, Optional, "What else was seen."),
    field("strap.#.openings.#.cause", "cause", What::Words(OPENING_CAUSES), Optional, "What is visible in it: none, slag, lack of fusion or other; a corner crack cannot be judged without it."),
    field("strap.#.openings.#.zone", "zone", What::Words(OPENING_ZONES), Optional, "Weld, heat-affected zone or base metal."),
    field("strap.#.openings.#.x", "along", FACE_PLACE, Optional, "Place along the strap, from the middle of the weld."),
    field("strap.#.openings.#.y", "across", FACE_PLACE, Optional, "Place across the strap, from its middle."),

    field("tension.#.id", "mark", What::Text(12), Required, "The piece's mark, stamped on it."),
    field("tension.#.width", "width", PIECE_WIDTH, Optional, "Width before the pull."),
    field("tension.#.thickness", "thickness", PIECE_THICKNESS, Optional, "Thickness before the pull."),
    field("tension.#.load", "greatest load", quantity("greatest load", Kind::Force, 0.0, 5e6, "read it off the machine or the laboratory's report"), Optional, "Greatest load; over the section it gives the strength."),
    field("tension.#.strength", "tensile strength", strength("tensile strength"), Optional, "As the laboratory reports it, where the load is not known; load, width and thickness go before it."),
    field("tension.#.broke_in", "broke in", What::Words(OPENING_ZONES), Optional, "Where it broke: weld, heat-affected zone or base metal."),
    field("tension.#.fracture", "fracture", What::Words(&["sound", "not sound"]), Optional, "Of a break in the weld: whether it shows no more than a nick-break may."),

    field("macro.#.id", "mark", What::Text(12), Required, "The section's mark."),
    field("macro.#.weld", "weld", What::Words(&["groove", "fillet", "plug"]), Default("groove"), "Which weld was cut through."),
    field("macro.#.cracks", "cracks", What::Words(NONE_SEEN), Optional, "Whether any crack is seen."),
    field("macro.#.fusion", "fusion", What::Words(COMPLETE), Optional, "Whether layers are fused to one another and to the base metal."),
    field("macro.#.root_fusion", "fusion at the root", What::Words(COMPLETE), Optional, "Whether a fillet is fused to the root, not necessarily past it."),
    field("macro.#.profile", "profile", What::Words(&["good", "bad"]), Optional, "Whether the profile is as the code draws it."),
    field("macro.#.micro_fusion", "lack of fusion under the microscope", What::Words(NONE_SEEN), Optional, "Whether lack of fusion shows under the microscope only."),
    field("macro.#.weld_size", "weld size", seen_width("weld size"), Optional, "Size of the weld on the section; of a fillet the smaller leg."),
    field("macro.#.designated_size", "wanted size", seen_width("wanted size"), Optional, "Size it was to have."),
    field("macro.#.undercut", "undercut", seen_depth("undercut"), Optional, "Deepest undercut on the section; 0 when there is none."),
    field("macro.#.slag_total", "slag, added up", seen_width("slag, added up"), Optional, "All slag on the section added up; 0 when there is none."),
    field("macro.#.flaw_height_sum", "heights of flaws, added up", seen_width("heights of flaws, added up"), Optional, "Heights of all flaws of the section added up; 0 when there are none."),
    field("macro.#.throat", "nominal throat", seen_width("nominal throat"), Optional, "Of a fillet: the throat it was to have."),

    field("nick_break.#.id", "mark", What::Text(12), Required, "The piece's mark."),
    field("nick_break.#.penetration", "root penetration", What::Words(COMPLETE), Optional, "Whether the root is through on the whole face."),
    field("nick_break.#.fusion", "fusion", What::Words(COMPLETE), Optional, "Whether the face is fused everywhere."),
    field("nick_break.#.gas_area", "area of gas pockets", pore_area("area of gas pockets"), Optional, "Share of the broken face that gas pockets take up; 0 % when there are none."),
    field("nick_break.#.slag_spacing", "sound metal between slag", seen_length("sound metal between slag"), Optional, "Least sound metal between two slag inclusions."),
    field("nick_break.#.flaws.#.kind", "flaw", What::Words(&["gas", "slag"]), Required, "A gas pocket or slag."),
    field("nick_break.#.flaws.#.length", "size", flaw_size("size"), Required, "Greatest dimension of a gas pocket; length of slag along the weld."),
    field("nick_break.#.flaws.#.depth", "depth", flaw_size("depth"), Optional, "Depth of slag."),
    field("nick_break.#.flaws.#.note", "note", NOTE, Optional, "What else was seen."),

    field("fillet_break.#.id", "mark", What::Text(12), Required, "The piece's mark."),
    field("fillet_break.#.cracks", "cracks", What::Words(NONE_SEEN), Optional, "Whether any crack is seen."),
    field("fillet_break.#.root_fusion", "fusion at the root", What::Words(COMPLETE), Optional, "Whether fusion reaches the root along the whole piece."),
    field("fillet_break.#.flaws.#.length", "size", flaw_size("size"), Required, "Greatest dimension of a pore or an inclusion."),
    field("fillet_break.#.flaws.#.at", "at", FLAW_PLACE, Optional, "Where it begins along the weld, from any one mark."),
    field("fillet_break.#.flaws.#.note", "note", NOTE, Optional, "What else was seen."),

    field("hardness.#.id", "mark", What::Text(12), Required, "The traverse's mark."),
    field("hardness.#.scale", "scale", What::Words(&["HV10", "HV5", "HBW", "HRC"]), Default("HV10"), "Scale it was read in; no scale is turned into another."),
    field("hardness.#.points.#.value", "hardness", quantity("hardness", Kind::Number, 10.0, 1500.0, "write the number of the scale, without a unit"), Required, "One reading."),
    field("hardness.#.points.#.place", "place", What::Words(OPENING_ZONES), Optional, "Weld, heat-affected zone or base metal."),
    field("hardness.#.points.#.note", "note", NOTE, Optional, "What else was seen."),

    field("radiograph.#.id", "mark", What::Text(12), Required, "The film's mark."),
    field("radiograph.#.result", "reader's word", What::Words(&["accept", "reject"]), Optional, "What the reader of the film reported; it counts with the number of the report."),
    field("radiograph.#.report", "report number", What::Text(40), Optional, "Number of the reader's report."),
    field("radiograph.#.penetration", "joint", What::Words(&["full", "partial"]), Default("full"), "Whether the joint was to be penetrated fully."),
    field("radiograph.#.pore_area", "area of pores", pore_area("area of pores"), Optional, "Share of the projected area that pores take up; 0 % when there are none."),
    field("radiograph.#.cluster_area", "area of a cluster", pore_area("area of a cluster"), Optional, "The same within the worst cluster of pores."),
    field("radiograph.#.line_area", "area of a line", pore_area("area of a line"), Optional, "The same within the worst line of pores."),
    field("radiograph.#.fusion_flaw", "unfused place, height", seen_depth("unfused place, height"), Optional, "Height of the highest unfused place, where another method gave it."),
    field("radiograph.#.fusion_flaw_length", "unfused places, length", seen_length("unfused places, length"), Optional, "All of it in the worst stretch the code counts, added up."),
    field("radiograph.#.incomplete_penetration", "root not through, depth", seen_depth("root not through, depth"), Optional, "How deep the root is missing, where another method gave it."),
    field("radiograph.#.incomplete_penetration_length", "root not through, length", seen_length("root not through, length"), Optional, "All of it in the worst stretch the code counts, added up."),
    field("radiograph.#.weld_length", "weld length", WELD_LENGTH, Optional, "Length of the weld on the film."),
    field("radiograph.#.other_flaws", "all other flaws", What::Words(&["none"]), Optional, "Write none when the film shows no indication but those listed; without it a film that lists one flaw says nothing of cracks and the rest. An empty list is a clear film."),
    field("radiograph.#.flaws.#.kind", "indication", What::Words(INDICATIONS), Required, "What it was read as."),
    field("radiograph.#.flaws.#.length", "length", flaw_size("length"), Required, "Greatest dimension."),
    field("radiograph.#.flaws.#.width", "width", flaw_size("width"), Optional, "Width, of what is longer than wide."),
    field("radiograph.#.flaws.#.at", "at", FLAW_PLACE, Optional, "Where it begins along the weld, from any one mark."),
    field("radiograph.#.flaws.#.note", "note", NOTE, Optional, "What else was seen."),
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
pub(crate) const DEPOSIT: What =
    length("deposit thickness", 1.0 / 32.0, 8.0, "leave out when one process filled the whole joint");
/// Pascals in a thousand pounds on the square inch.
const KSI_PA: f64 = 6_894_757.293_168_361;
const fn seen_depth(name: &'static str) -> What {
    length(name, 0.0, 1.0, "measure the worst place; 0 in when there is none")
}

const fn seen_width(name: &'static str) -> What {
    length(name, 0.0, 4.0, "measure with a weld gauge or a scale on the section")
}

const fn seen_length(name: &'static str) -> What {
    length(name, 0.0, 40.0, "add up the lengths in the worst stretch")
}

const fn flaw_size(name: &'static str) -> What {
    length(name, 1.0 / 256.0, 40.0, "measure the greatest dimension; leave the flaw out when there is none")
}

const fn pore_area(name: &'static str) -> What {
    quantity(name, Kind::Share, 0.0, 1.0, "estimate the share of the face; 0 % when there are none")
}

const fn strength(name: &'static str) -> What {
    quantity(
        name,
        Kind::Pressure,
        KSI_PA,
        400.0 * KSI_PA,
        "read the steel's specification or the laboratory's report",
    )
}

const WELD_LENGTH: What = length("weld length", 0.5, 400.0, "measure along the weld");
const PIECE_WIDTH: What = length(
    "width of the piece",
    1.0 / 16.0,
    6.0,
    "measure the reduced section with a caliper before the pull",
);
const PIECE_THICKNESS: What = length(
    "thickness of the piece",
    1.0 / 32.0,
    6.0,
    "measure the reduced section with a caliper before the pull",
);
const FLAW_PLACE: What = length("place along the weld", 0.0, 400.0, "measure from any one mark on the weld");

const STRAP_KINDS: &[&str] = &["face", "root", "side"];
const OPENING_PLACES: &[&str] = &["face", "corner"];
const OPENING_CAUSES: &[&str] = &["none", "slag", "fusion", "other"];
const OPENING_ZONES: &[&str] = &["weld", "haz", "base"];
const OPENING_LENGTH: What = length(
    "opening",
    1.0 / 128.0,
    6.0,
    "measure the longest dimension; leave the opening out when nothing is open",
);
const FACE_PLACE: What = length("place on the strap", -6.0, 6.0, "measure from the middle of the weld");

#[rustfmt::skip]
const BENDS_SPECS: &[Spec] = &[
    field("code", "code", What::Code, Required, "The code and edition to judge under."),
    field("coupon", "coupon", What::Text(24), Optional, "The coupon the straps were cut from."),
    field("welder", "welder", What::Text(80), Optional, "Who welded it."),
    field("strap.#.id", "strap", What::Text(12), Required, "The strap's mark, stamped on it."),
    field("strap.#.kind", "kind", What::Words(STRAP_KINDS), Required, "Which side is stretched."),
    field("strap.#.thickness", "strap thickness", STRAP_THICKNESS, Required, "Thickness of the strap."),
    field("strap.#.wall", "pipe wall", length("pipe wall", 1.0 / 32.0, 2.0, "measure the pipe wall"), Optional, "Wall of the pipe the strap was cut from."),
    field("strap.#.weld_in_bend", "weld in the bend", What::Words(YES_NO), Optional, WELD_IN_BEND_DOC),
    field("strap.#.openings.#.length", "opening", OPENING_LENGTH, Required, "Longest dimension in any direction on the convex face."),
    field("strap.#.openings.#.place", "place", What::Words(OPENING_PLACES), Default("face"), "On the face or at a corner."),
    field("strap.#.openings.#.cause", "cause", What::Words(OPENING_CAUSES), Default("none"), "What is visible in it."),
    field("strap.#.openings.#.zone", "zone", What::Words(OPENING_ZONES), Optional, "Weld, heat-affected zone or base metal."),
];

#[rustfmt::skip]
const RECORD_SPECS: &[Spec] = &[
    field("code", "code", What::Code, Required, "The code and edition of the test."),
    field("welder", "welder", What::Text(80), Required, "Who passed it."),
    field("welder_mark", "welder's mark", What::Text(24), Optional, "Stamp or identification of the welder."),
    field("company", "company", What::Text(80), Optional, "Who answers for the record."),
    field("positions.#", "position", What::Words(Position::WORDS), Required, "Test positions; several when coupons were tested together, as 3G and 4G."),
    field("process", "process", What::Words(Process::WORDS), Required, "Welding process."),
    field("transfer", "transfer", What::Words(Transfer::WORDS), Optional, "Metal transfer; needed for GMAW."),
    field("shape", "shape", What::Words(&["plate", "pipe"]), Required, "Plate or pipe."),
    field("thickness", "thickness", length("thickness", 1.0 / 32.0, 8.0, "measure the plate or pipe wall"), Required, "Plate or wall thickness."),
    field("deposit_thickness", "deposit thickness", DEPOSIT, Optional, "Weld metal of this process; the thickness when left out."),
    field("other_process", "other process", What::Words(Process::WORDS), Optional, OTHER_PROCESS_DOC),
    field("layers", "layers", What::Count(1, 99), Optional, "Layers of this process, where the code asks for three."),
    field("outside_diameter", "outside diameter", length("outside diameter", 0.25, 60.0, "measure around the pipe and divide by 3.1416"), Optional, "Needed for pipe."),
    field("nominal_size", "nominal pipe size", NOMINAL_SIZE, Optional, "Pipe size as ordered, where a code counts in it."),
    field("progressions.#", "progression", What::Words(Progression::WORDS), Optional, "Every progression used on the coupon; needed where the joint rises."),
    field("backing", "backing", What::Words(Backing::WORDS), Required, "What stood behind the root."),
    field("filler", "filler", What::Text(32), Optional, "Filler classification."),
    field("base_metal", "base metal", What::Text(32), Optional, BASE_METAL_DOC),
    field("purpose", "purpose", What::Words(PURPOSES), Default("welder"), "A test of skill, or of a procedure whose welder qualifies with it."),
    field("finished", "finished", What::Date, Required, "The day the last bead was laid."),
    field("uses.#", "use", What::Date, Optional, "Days on which the process was used since. ISO 9606-1 counts only confirmed work: write it as use, with who checked it."),
    field("use.#.date", "day of use", What::Date, Required, "Day on which the process was used, with what shows it; where somebody checked it, the day it was confirmed."),
    field("use.#.evidence", "evidence", What::Text(200), Optional, "What shows the use: job, coupon or log line."),
    field("use.#.checked_by", "checked by", What::Text(80), Optional, "Who checked it: under ISO 9606-1 the responsible person or the examiner, without whom it confirms nothing."),
    field("use.#.transfer", "transfer used", What::Words(Transfer::WORDS), Optional, "Metal transfer of the use, where it was another than the test's."),
    field("filler_group", "filler group", What::Words(FILLER_GROUPS), Optional, "Filler group of ISO 9606-1; known from the filler where the program has it."),
    field("filler_type", "filler type", What::Words(FILLER_TYPES), Optional, "S solid, M metal core, B basic and so on, nm without filler; known from the filler where the program has it."),
    field("backing_detail", "backing in detail", What::Words(ROOTS), Optional, "What supported the root, where open or steel says too little."),
    field("figure", "prepared to figure", What::Words(FIGURES), Optional, FIGURE_DOC),
    field("fillet_piece", "fillet piece", What::Words(YES_NO), Default("no"), "A fillet piece was welded beside the groove test."),
    field("short_arc", "short arc", What::Words(SHORT_ARCS), Default("plain"), "Whether the machine shaped the current of a short-circuit arc."),
    field("renewal_route", "renewal route", What::Words(&["a", "b", "c"]), Optional, "Way of ISO 9606-1 9.3 by which the test is prolonged."),
    field("renewals.#", "renewal", What::Date, Optional, "Days on which it was prolonged that way."),
    field("quality_system", "quality system", What::Words(&["none", "iso-3834-2", "iso-3834-3", "iso-3834-4"]), Optional, "Quality standard the employer works to; route c asks for it."),
    field("ped_category", "pressure equipment category", What::Words(&["none", "I", "II", "III", "IV"]), Optional, "Highest category of pressure equipment welded; route c depends on it."),

    field("ask.#.joint", "joint asked about", What::Words(&["plate_groove", "pipe_groove", "fillet"]), Required, "Kind of production joint; a fillet with a diameter is on pipe."),
    field("ask.#.position", "position asked about", What::Words(&["F", "H", "V", "OH", "5G", "6G"]), Required, "Position of the production weld; 5G and 6G all around a fixed pipe, level or inclined."),
    field("ask.#.process", "process asked about", What::Words(Process::WORDS), Optional, "Process; that of the test when left out."),
    field("ask.#.transfer", "transfer asked about", What::Words(Transfer::WORDS), Optional, "Metal transfer, for GMAW."),
    field("ask.#.backing", "backing asked about", What::Words(ROOTS), Optional, "What supports the root of a groove."),
    field("ask.#.thickness", "thickness asked about", length("thickness asked about", 1.0 / 32.0, 12.0, "measure the plate or pipe wall"), Optional, "Thickness of the base metal."),
    field("ask.#.deposit", "deposit asked about", DEPOSIT, Optional, JOINT_DEPOSIT_DOC),
    field("ask.#.diameter", "diameter asked about", length("diameter asked about", 0.25, 200.0, "measure around the pipe and divide by 3.1416"), Optional, "Outside diameter of pipe."),
    field("ask.#.nominal_size", "nominal pipe size asked about", pipe_size("nominal pipe size asked about"), Optional, "Pipe size as ordered, for codes that count in it; known from the diameter where the pipe table has it."),
    field("ask.#.progression", "progression asked about", What::Words(Progression::WORDS), Optional, "Uphill or downhill, where the weld rises."),
    field("ask.#.filler", "filler asked about", What::Text(32), Optional, "Filler classification, or its group as F6."),
    field("ask.#.filler_group", "filler group asked about", What::Words(FILLER_GROUPS), Optional, "Filler group of ISO 9606-1, where the filler does not tell it."),
    field("ask.#.filler_type", "filler type asked about", What::Words(FILLER_TYPES), Optional, "Filler type of ISO 9606-1, where the filler does not tell it."),
    field("ask.#.base_metal", "base metal asked about", What::Text(32), Optional, BASE_METAL_DOC),
    field("ask.#.layers", "layers asked about", What::Count(1, 99), Optional, "Layers of a fillet."),
    field("ask.#.turned", "turned pipe", What::Words(YES_NO), Optional, "Whether the pipe is turned while it is welded."),
    field("ask.#.day", "day asked about", What::Day, Optional, "Day of the work; the day the standing is told for when left out."),
];

/// Figures an open-root pipe is prepared to; nothing is derived from the fit,
/// for the sizes of the figure were read nowhere.
const FIGURES: &[&str] = &["no-backing", "other"];
const FIGURE_DOC: &str = "For open-root pipe: no-backing where it was prepared to the code's figure for joints without backing, as AWS D1.1 asks, other where it was not. Whoever prepared it answers for it.";
const OTHER_PROCESS_DOC: &str = "Another process that welded part of the same joint, as GTAW the root of a GMAW fill, or GMAW again with another transfer. This file tells of one of the two: state its deposit, or how much it covers is not sure.";
pub(crate) const JOINT_DEPOSIT_DOC: &str = "Weld metal this process puts into a groove, where it does not fill the whole of it; some codes count that and not the base metal.";
pub(crate) const BASE_METAL_DOC: &str = "P-number of the base metal, as P1, or a steel the program knows it of, as A106-B; ASME IX counts it, and without it says nothing of base metals.";
const WELD_IN_BEND_DOC: &str = "Whether weld and heat-affected zone lie wholly within the bent part; ASME IX asks for it, and accepts no strap of which nobody said so.";
const SHORT_ARCS: &[&str] = &["plain", "waveform"];
const YES_NO: &[&str] = &["yes", "no"];
const ROOTS: &[&str] = &["open", "steel", "backgouged", "gas", "flux", "insert"];
const FILLER_GROUPS: &[&str] = &["FM1", "FM2", "FM3", "FM4", "FM5", "FM6"];
const FILLER_TYPES: &[&str] =
    &["S", "M", "B", "R", "P", "V", "W", "Y", "Z", "A", "C", "RA", "RB", "RC", "RR", "nm"];
