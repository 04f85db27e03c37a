//! What a document states and what it leaves to the catalogue's proposals, in
//! words: a proposal may be forecast and is never judged, qualified or recorded.

use bendproof_files::{Document, StatedCoupon, proposal};

/// Why nothing is judged, qualified or recorded where nobody stated the code.
pub(crate) const CODE_NOT_STATED: &str = "not stated: code; enter the code of the test";

/// The inputs of a forecast that have a proposal, in the order of the sheet.
const FORECAST_INPUTS: [&str; 16] = [
    "code",
    "fit.length",
    "fit.groove_angle",
    "fit.mismatch",
    "fit.backing",
    "fit.steel",
    "fit.start_temperature",
    "settings.process",
    "settings.transfer",
    "settings.wire",
    "settings.wire_diameter",
    "settings.gas",
    "settings.gas_flow",
    "settings.extension",
    "settings.deposition_efficiency",
    "settings.interpass_max",
];

/// The inputs without which a picture of the joint or its beads would be one of
/// a proposal.
const DRAWN: [&str; 7] = [
    "fit.groove_angle",
    "fit.backing",
    "settings.process",
    "settings.transfer",
    "settings.wire",
    "settings.wire_diameter",
    "settings.gas",
];

/// Whether nobody wrote a value and the catalogue proposes one.
fn is_proposed(document: &Document, path: &str) -> bool {
    document.get(path).is_none_or(|text| text.trim().is_empty()) && proposal(document, path).is_some()
}

/// How the note of a forecast begins that lists what nobody stated.
pub(crate) const PROPOSED: &str = "proposed here and not stated: ";

/// What a forecast took from the catalogue because nobody stated it, in one
/// sentence; `None` where everything is stated.
pub(crate) fn proposed(document: &Document, is_pipe: bool) -> Option<String> {
    let each: Vec<String> = FORECAST_INPUTS
        .iter()
        .filter(|path| is_proposed(document, path) && !(is_pipe && **path == "fit.length"))
        .filter_map(|path| {
            let label = bendproof_files::COUPON.spec(path)?.label;
            Some(format!("{label} {}", proposal(document, path)?))
        })
        .collect();
    (!each.is_empty()).then(|| format!("{PROPOSED}{}", each.join(", ")))
}

/// Whether the section with its beads shows stated values only.
pub(crate) fn is_drawn_as_stated(document: &Document, what: Drawn) -> bool {
    let wanted = match what {
        Drawn::Fit => &DRAWN[..2],
        Drawn::Beads => &DRAWN[..],
    };
    wanted.iter().all(|path| !is_proposed(document, path))
}

/// What a picture of a record shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Drawn {
    /// The joint as fitted.
    Fit,
    /// The joint with its beads.
    Beads,
}

/// What keeps a standing from being stated; `None` where all of it is stated.
pub(crate) fn not_sure(coupon: &StatedCoupon) -> Option<String> {
    let open = coupon.not_stated();
    (!open.is_empty()).then(|| {
        let list = open.join(", ");
        format!("not sure what this test covers; not stated: {list}; write it on the sheet")
    })
}
