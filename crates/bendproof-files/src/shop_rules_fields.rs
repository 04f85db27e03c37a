//! The shop rule file: a shop's own limits beside the codes. Its entries are read
//! by the crate of the codes; here stands what may be written.

use crate::fields::field;
use crate::spec::{FileKind, Need::*, Spec, What};

/// A shop's own limits.
pub const SHOP_RULES: FileKind = FileKind {
    name: "shop-rules",
    doc: "A shop's own limits, each stricter than the code's, and rules of its own.",
    specs: SHOP_RULES_SPECS,
};

#[rustfmt::skip]
const SHOP_RULES_SPECS: &[Spec] = &[
    field("shop", "shop", What::Text(80), Required, "Whose limits they are; printed beside each."),
    field("codes.#", "code", What::Code, Required, "The codes and editions they stand beside."),
    field("tighten.#.rule", "rule", What::Text(80), Required, "Id of the code's rule, as findings print it."),
    field("tighten.#.at_most.inch", "at most, inch", What::Text(16), Optional, "The new upper limit for readings in inches: \"3/64\"."),
    field("tighten.#.at_most.mm", "at most, mm", What::Text(16), Optional, "The same for readings in millimeters: 1."),
    field("tighten.#.at_least.inch", "at least, inch", What::Text(16), Optional, "The new lower limit for readings in inches."),
    field("tighten.#.at_least.mm", "at least, mm", What::Text(16), Optional, "The same for readings in millimeters."),
    field("tighten.#.months", "months", What::Count(1, 600), Optional, "Fewer months than the code gives."),
    field("tighten.#.reason", "reason", What::Text(400), Required, "Why it is stricter; the record shows it."),
    field("tighten.#.decided_by", "decided by", What::Text(120), Required, "Who decided it, and when."),
    field("rule.#", "rule of the shop's own", What::Table, Optional, "A whole rule with its cases, in the form of the code files; its id begins with shop-."),
];
