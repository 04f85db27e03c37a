//! A filler as the codes count it.

use bendproof_codes::rule::{filler_group, filler_type};
use bendproof_files::{Reader, filler_type_agrees};

/// A filler as the codes count it.
#[derive(Debug, Default)]
pub(crate) struct Filler {
    /// F-number of the American codes; the text itself when it is not known.
    pub(crate) f_number: Option<String>,
    /// Filler group of ISO 9606-1.
    pub(crate) fm_group: Option<String>,
    /// Filler type of ISO 9606-1.
    pub(crate) filler_type: Option<String>,
}

impl Filler {
    /// By its classification, as printed on the spool.
    pub(crate) fn of(name: &str) -> Self {
        let wire = bendproof_weld::consumable::wire_named(name);
        Self {
            f_number: Some(filler_group(name)),
            fm_group: wire.and_then(|wire| wire.iso_group.clone()),
            filler_type: filler_type(name),
        }
    }

    /// As read from `filler`, `filler_group` and `filler_type` under `at`; what
    /// is written wins over what the classification tells.
    pub(crate) fn read(r: &mut Reader<'_>, at: &str) -> (Option<String>, Option<String>, Option<String>) {
        let known = r.text(&format!("{at}filler")).map(Self::of);
        let mut written = |name: &str| r.text(&format!("{at}{name}")).map(str::to_owned);
        let (group, kind) = (written("filler_group"), written("filler_type"));
        filler_type_agrees(r, &format!("{at}filler"), &format!("{at}filler_type"));
        match known {
            Some(known) => (known.f_number, group.or(known.fm_group), kind.or(known.filler_type)),
            None => (None, group, kind),
        }
    }
}
