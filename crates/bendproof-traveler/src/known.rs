//! The lists a reader checks names against.

use std::sync::OnceLock;

use bendproof_files::Known;
use jiff::civil::Date;

/// The day it is, as told by the caller; `None` skips checks against it.
pub type Today = Option<Date>;

/// Names of steels and of codes a coupon is welded to, with the day it is.
pub fn known(today: Today) -> Known<'static> {
    static NAMES: OnceLock<(Vec<&'static str>, Vec<&'static str>)> = OnceLock::new();
    let (steels, codes) = NAMES.get_or_init(|| {
        let steels = bendproof_weld::steel::steels().iter().map(|s| s.name.as_str()).collect();
        // The rule data is embedded and held by its own tests; were it broken,
        // every code name would be refused, which is the safe answer.
        let heads = bendproof_codes::heads().unwrap_or_default().iter();
        (steels, heads.filter(|head| !head.only_judges).map(|head| head.id.as_str()).collect())
    });
    Known { steels, codes, today }
}
