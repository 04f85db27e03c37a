//! The joints file: what a person must weld, to find the smallest test for it.

use bendproof_weld::words::*;

use crate::fields::{BASE_METAL_DOC, DEPOSIT, JOINT_DEPOSIT_DOC, field, length, pipe_size};
use crate::spec::{FileKind, Need::*, Spec, What};

/// The production joints of a job.
pub const JOINTS: FileKind = FileKind {
    name: "joints",
    doc: "The production joints a person must weld, to find the fewest coupons that cover them.",
    specs: JOINTS_SPECS,
};

const AROUND: &str = "measure around the pipe and divide by 3.1416";

#[rustfmt::skip]
const JOINTS_SPECS: &[Spec] = &[
    field("welder", "welder", What::Text(80), Optional, "Who is to weld them."),
    field("code", "code", What::Code, Optional, "The code and edition the job is done to; every code when left out."),
    field("joint.#.name", "joint", What::Text(60), Optional, "What the shop calls it; its number when left out."),
    field("joint.#.kind", "kind", What::Words(&["plate_groove", "pipe_groove", "fillet"]), Required, "Groove in plate, groove in pipe, or fillet."),
    field("joint.#.position", "position", What::Words(&["F", "H", "V", "OH", "5G", "6G"]), Required, "Flat, horizontal, vertical or overhead, as welded on the job, one entry for each; 5G and 6G are all around a fixed pipe, level or inclined."),
    field("joint.#.process", "process", What::Words(Process::WORDS), Required, "Welding process."),
    field("joint.#.transfer", "transfer", What::Words(Transfer::WORDS), Optional, "Metal transfer; needed for GMAW."),
    field("joint.#.thickness", "thickness", length("thickness", 1.0 / 32.0, 8.0, "measure the plate or pipe wall"), Required, "Plate or wall thickness."),
    field("joint.#.deposit", "deposit thickness", DEPOSIT, Optional, JOINT_DEPOSIT_DOC),
    field("joint.#.outside_diameter", "outside diameter", length("outside diameter", 0.25, 120.0, AROUND), Optional, "Outside diameter of pipe."),
    field("joint.#.nominal_size", "nominal pipe size", pipe_size("nominal pipe size"), Optional, "Pipe size as ordered; each code counts in its own, and the other is looked up where the pipe table has it."),
    field("joint.#.backing", "backing", What::Words(&["open", "steel", "backgouged", "gas", "flux", "insert"]), Optional, "What supports the root of a groove; backgouged when welded from both sides."),
    field("joint.#.progression", "progression", What::Words(Progression::WORDS), Optional, "Uphill or downhill where the weld is vertical."),
    field("joint.#.filler", "filler", What::Text(32), Optional, "Filler classification."),
    field("joint.#.base_metal", "base metal", What::Text(32), Optional, BASE_METAL_DOC),
];
