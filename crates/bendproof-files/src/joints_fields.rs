//! The joints file: what a person must weld, to find the smallest test for it.

use bendproof_weld::words::*;

use crate::fields::{
    BASE_METAL_DOC, DEPOSIT, FILLER_TYPES, JOINT_DEPOSIT_DOC, JOINT_FILLER_TYPE_DOC, JOINT_GAS_DOC,
    JOINT_POLARITY_DOC, YES_NO, field, length, like, pipe_size,
};
use crate::spec::{FileKind, Need::*, Spec, What};

/// The production joints of a job.
pub const JOINTS: FileKind = FileKind {
    name: "joints",
    doc: "The production joints a welder must weld, to find the fewest coupons that qualify for all of them.",
    specs: JOINTS_SPECS,
};

const AROUND: &str = "measure around the pipe and divide by 3.1416";

#[rustfmt::skip]
const JOINTS_SPECS: &[Spec] = &[
    field("welder", "welder", What::Text(80), Optional, "Welder of the joints."),
    field("code", "code", What::Code, Optional, "Code and edition of the job. Leave blank for every code."),
    field("joint.#.name", "joint", What::Text(60), Optional, "Name of the joint in the shop. Leave blank to use its number."),
    field("joint.#.kind", "kind", What::Words(&["plate_groove", "pipe_groove", "fillet"]), Required, "Groove in plate, groove in pipe, or fillet."),
    field("joint.#.position", "position", What::Words(&["F", "H", "V", "OH", "5G", "6G"]), Required, "Flat, horizontal, vertical or overhead, as welded on the job, one entry for each; 5G and 6G are all around a fixed pipe, horizontal or inclined."),
    field("joint.#.process", "process", What::Words(Process::WORDS), Required, "Welding process."),
    field("joint.#.transfer", "transfer mode", What::Words(Transfer::WORDS), Optional, "Metal transfer mode; required for GMAW."),
    field("joint.#.thickness", "thickness", length("thickness", 1.0 / 32.0, 8.0, "measure the plate or pipe wall"), Required, "Plate or wall thickness."),
    field("joint.#.deposit", "deposited weld metal thickness", DEPOSIT, Optional, JOINT_DEPOSIT_DOC),
    field("joint.#.outside_diameter", "outside diameter", like(length("outside diameter", 0.25, 120.0, AROUND), "6.625 in or 168.3 mm"), Optional, "Outside diameter of pipe."),
    field("joint.#.nominal_size", "nominal pipe size", pipe_size("nominal pipe size"), Optional, "Nominal pipe size (NPS). Codes use NPS or outside diameter; the other is looked up if the pipe table has it."),
    field("joint.#.backing", "backing", What::Words(&["open", "steel", "backgouged", "gas", "flux", "insert"]), Optional, "Backing of a groove weld; backgouged if welded from both sides."),
    field("joint.#.progression", "progression", What::Words(Progression::WORDS), Optional, "Uphill or downhill, for vertical welds."),
    field("joint.#.filler", "filler metal", What::Text(32), Optional, "Filler metal classification."),
    field("joint.#.filler_type", "filler metal type", What::Words(FILLER_TYPES), Optional, JOINT_FILLER_TYPE_DOC),
    field("joint.#.polarity", "polarity", What::Words(Polarity::WORDS), Optional, JOINT_POLARITY_DOC),
    field("joint.#.backing_gas", "backing gas", What::Words(YES_NO), Optional, JOINT_GAS_DOC),
    field("joint.#.base_metal", "base metal", What::Text(32), Optional, BASE_METAL_DOC),
];
