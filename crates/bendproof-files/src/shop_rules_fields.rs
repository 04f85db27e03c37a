//! The shop rule file: a shop's own limits with the codes. Its entries are read
//! by the crate of the codes; here stands what may be written.

use crate::fields::field;
use crate::spec::{FileKind, Need::*, Spec, What};

/// A shop's own limits.
pub const SHOP_RULES: FileKind = FileKind {
    name: "shop-rules",
    doc: "Shop limits, each stricter than the code's, and shop rules.",
    specs: SHOP_RULES_SPECS,
};

#[rustfmt::skip]
const SHOP_RULES_SPECS: &[Spec] = &[
    field("shop", "shop", What::Text(80), Required, "Name of the shop; printed with each limit."),
    field("codes.#", "code", What::Code, Required, "Codes and editions they apply to."),
    field("tighten.#.rule", "rule", What::Text(80), Required, "Id of the code rule, as findings print it."),
    field("tighten.#.at_most.inch", "maximum, inch", What::Text(16), Optional, "New maximum for readings in inches: \"3/64\"."),
    field("tighten.#.at_most.mm", "maximum, mm", What::Text(16), Optional, "New maximum for readings in millimeters: 1."),
    field("tighten.#.at_least.inch", "minimum, inch", What::Text(16), Optional, "New minimum for readings in inches."),
    field("tighten.#.at_least.mm", "minimum, mm", What::Text(16), Optional, "New minimum for readings in millimeters."),
    field("tighten.#.months", "months", What::Count(1, 600), Optional, "Number of months, fewer than in the code."),
    field("tighten.#.reason", "reason", What::Text(400), Required, "Reason for the stricter limit; shown on the record."),
    field("tighten.#.decided_by", "decided by", What::Text(120), Required, "Who decided it, and the date."),
    field("rule.#", "shop rule", What::Table, Optional, "A whole rule with its cases, in the form of the code files; its id begins with shop-."),
];
