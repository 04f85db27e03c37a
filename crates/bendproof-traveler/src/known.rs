//! The lists a reader checks names against.

use std::sync::OnceLock;

use bendproof_codes::{Code, RuleKind};
use bendproof_files::Known;
use jiff::civil::Date;

/// The day it is, as told by the caller; `None` skips checks against it.
pub type Today = Option<Date>;

/// Names of steels, of codes a coupon is welded to and of codes that judge it by
/// eye, with the day it is.
pub fn known(today: Today) -> Known<'static> {
    static NAMES: OnceLock<[Vec<&'static str>; 3]> = OnceLock::new();
    let [steels, codes, construction] = NAMES.get_or_init(|| {
        let steels = bendproof_weld::steel::steels().iter().map(|s| s.name.as_str()).collect();
        // The rule data is embedded and held by its own tests; were it broken,
        // every code name would be refused, which is the safe answer.
        let all = bendproof_codes::codes().unwrap_or_default();
        let ids =
            |is_one: fn(&Code) -> bool| all.iter().filter(|c| is_one(c)).map(|c| c.id.as_str()).collect();
        [steels, ids(Code::has_tests), ids(|code| code.judges(RuleKind::Visual))]
    });
    Known { steels, codes, construction, today }
}
