//! Words of rules as a sentence says them.

use crate::words::{Open, Verdict};

/// A verdict as a rule's text says it.
pub(crate) fn said(verdict: Verdict) -> String {
    match verdict {
        Verdict::NotCovered => Open::OutsideTest.text().to_owned(),
        other => spaced(other.word()),
    }
}

pub(crate) fn spaced(name: &str) -> String {
    bendproof_weld::words::spoken(name)
}

/// The word by which rule data grant every value of a facet.
pub(crate) const ANY: &str = "any";
