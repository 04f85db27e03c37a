//! What was seen on a weld that cannot all be true: a length of what is not
//! there, more weld than there is joint, a root bead wider than its groove.

use bendproof_measure::{length_both, say};
use bendproof_weld::Joint;
use bendproof_weld::groove::Groove;
use bendproof_weld::words::Backing;

use crate::agree::joint_length_m;
use crate::contradictions::{label, stated_word, visual_agrees};
use crate::finding::Finding;
use crate::reader::Reader;

/// How much longer than the joint a weld may be measured, as a share. Basis:
/// choice; a tape laid over the cap of a small pipe reads so much more.
const WELD_OVER_SHARE: f64 = 0.1;

/// How much wider than the groove at the face a root bead may be, m: 1/2 in.
/// Basis: choice; it is for thin sheet, where a bead is wider than its groove.
const ROOT_OVER_M: f64 = 12.7e-3;

/// Lengths of what is seen on a weld, and of the weld.
const LENGTHS: [&str; 6] = [
    "visual.undercut_length",
    "visual.shrinkage_groove_length",
    "visual.root_concavity_length",
    "visual.incomplete_penetration_length",
    "visual.underfill_length",
    "visual.weld_length",
];

/// Refuses by name what contradicts itself in the visual examination, and what
/// the joint has no room for.
pub fn eye_agrees(r: &mut Reader<'_>) {
    visual_agrees(r);
    missed_length_agrees(r);
    lengths_fit(r);
    root_bead_fits(r);
}

/// A root that is complete has no length of incomplete penetration.
fn missed_length_agrees(r: &mut Reader<'_>) {
    let path = "visual.incomplete_penetration_length";
    let Some(long) = r.quantity(path).filter(|long| long.si > 0.0) else { return };
    if stated_word(r, "visual.penetration").as_deref() == Some("complete") {
        let message = format!(
            "{} is {}, and root penetration is complete; correct the one that is wrong",
            label(r, path),
            say(&long)
        );
        r.note(Finding::error(path, message));
    }
}

/// No weld, and nothing on it, is longer than its joint.
fn lengths_fit(r: &mut Reader<'_>) {
    let Some(joint) = joint_length_m(r) else { return };
    for path in LENGTHS {
        let Some(long) = r.quantity(path).filter(|q| q.si > joint * (1.0 + WELD_OVER_SHARE)) else {
            continue;
        };
        let message = format!(
            "{} is {}, and the joint is {} long; measure both again",
            label(r, path),
            say(&long),
            length_both(joint)
        );
        r.note(Finding::error(path, message));
    }
}

/// No root bead is far wider than its whole groove, where the groove is entered.
fn root_bead_fits(r: &mut Reader<'_>) {
    let Some(width) = r.quantity("visual.root_width") else { return };
    let Some(face) = stated_face_m(r).filter(|face| width.si > face + ROOT_OVER_M) else { return };
    let message = format!(
        "root bead width is {}, and the groove is {} wide at the face; measure the root bead again",
        say(&width),
        length_both(face)
    );
    r.note(Finding::error("visual.root_width", message));
}

/// Width of the groove at the face, m, where all its sizes are entered.
fn stated_face_m(r: &mut Reader<'_>) -> Option<f64> {
    let mut stated = |path: &str| r.has(path).then(|| r.si(path)).flatten();
    let left = stated("fit.root_face")?;
    let joint = Joint {
        thickness_m: stated("fit.thickness")?,
        groove_angle_rad: stated("fit.groove_angle")?,
        root_opening_m: stated("fit.root_opening")?,
        root_face_left_m: left,
        root_face_right_m: stated("fit.root_face_right").unwrap_or(left),
        mismatch_m: 0.0,
        backing: Backing::Open,
    };
    Some(Groove::of_joint(&joint).face_width_m())
}
