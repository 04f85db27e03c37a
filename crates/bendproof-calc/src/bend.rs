//! Formulas of the bend test.

use crate::argument::Argument;
use crate::common::*;
use crate::evaluate::{Computed, Formula, Values};
use bendproof_measure::Kind;
use bendproof_weld::Basis;
use bendproof_weld::bend::{former_diameter_m, outer_fibre_strain};

const FORMER: Argument = Argument::quantity(
    "former",
    "former diameter",
    Kind::Length,
    "1-1/2 in",
    (1e-4, 5.0),
    "measure the plunger or roller across",
);
const SHARE: Argument = Argument::quantity(
    "elongation",
    "elongation",
    Kind::Share,
    "20 %",
    (1e-3, 1.0),
    "write a share of one or a percentage",
)
.optional();

pub(crate) const FORMULAS: &[Formula] = &[
    Formula {
        name: "bend_strain",
        title: "Strain of the outer fibre of a bent strap",
        arguments: &[THICKNESS, FORMER],
        unit: "%",
        source: "100·t/(A + t); ASME BPVC IX QW-466 uses the same",
        basis: Basis::Secondary,
        validity: "strap bent snug on its former, neutral line at mid thickness",
        example: &[("thickness", "3/8 in"), ("former", "1-1/2 in")],
        compute: |v| Ok(Computed::of(100.0 * outer_fibre_strain(v.si("thickness"), v.si("former")))),
    },
    Formula {
        name: "bend_former",
        title: "Former diameter for an elongation or strain",
        arguments: &[THICKNESS, SHARE, SHARE.named("strain")],
        unit: "mm",
        source: "A = t·(100 - e)/e, the inverse of 100·t/(A + t)",
        basis: Basis::Secondary,
        validity: "strap bent snug on its former, neutral line at mid thickness; give elongation or strain, not both",
        example: &[("thickness", "10 mm"), ("elongation", "15 %")],
        compute: former,
    },
];

fn former(v: &Values) -> Result<Computed, String> {
    let share = match (v.optional("elongation"), v.optional("strain")) {
        (Some(share), None) | (None, Some(share)) => share,
        (None, None) => return Err("give `elongation` or `strain`".to_owned()),
        (Some(_), Some(_)) => return Err("give `elongation` or `strain`, not both".to_owned()),
    };
    let former_m = former_diameter_m(v.si("thickness"), share);
    Ok(Computed::of(former_m * 1e3).also("in inches", former_m / 0.0254, "in"))
}
