//! Walls and toes of every pass after the root, and the hot pass over a thin root.

use bendproof_weld::{Coupon, Dwell, Joint};

use crate::heat_model::{BeadHeat, BeadMelt, HeatModel};
use crate::item::{Item, Unit, Verdict};
use crate::passes::Resolved;
use crate::section::Layer;

/// What one pass melts into its walls.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Wall {
    pub melt: Option<BeadMelt>,
    pub tie_in: Item,
}

/// How much farther a pause at the toes melts into the wall, and how much less
/// a slow middle leaves for it, m (choice; carries common practice).
const DWELL_AT_TOE_M: f64 = 0.4e-3;
/// How much wider a bead melts in a groove than on a flat plate, m: the groove
/// holds the heat together. Our own conduction runs of a hot pass in a V melted
/// its bevels 0.7 to 0.9 mm farther than the flat-plate form says (derived).
const GROOVE_GAIN_M: f64 = 0.8e-3;
/// Margin of which a wall counts as tied in, m (choice: one standard deviation).
pub(crate) const WALL_SURE_M: f64 = 0.4e-3;
/// Ligament above which a hot pass is safe, m; below minus this it falls
/// through (choice from our own conduction runs: 2.5 mm roots are undecided).
pub(crate) const LIGAMENT_SURE_M: f64 = 0.7e-3;

/// Melts one pass and judges its walls.
pub(crate) fn wall(
    coupon: &Coupon,
    pass: &Resolved,
    layer: &Layer,
    before_k: f64,
    model: &impl HeatModel,
) -> Wall {
    let melt = model.melt(&BeadHeat {
        net_power_w: pass.net_power_w,
        deposit_power_w: pass.deposit_power_w,
        travel_m_s: pass.travel_m_s,
        thickness_m: coupon.fit.joint.thickness_m,
        start_temperature_k: before_k,
    });
    let tie_in = match melt {
        None => Item::not_known(
            Unit::Metre,
            "power or travel outside the range of the heat model",
            model.source(),
            model.basis(),
        ),
        Some(melt) => tie_in(&coupon.fit.joint, pass, layer, &melt, model),
    };
    Wall { melt, tie_in }
}

/// Melted width against the wall: half the bead's share of the groove.
fn tie_in(joint: &Joint, pass: &Resolved, layer: &Layer, melt: &BeadMelt, model: &impl HeatModel) -> Item {
    let groove = crate::section::groove_with_mismatch(joint);
    // Beads of one pass share the width at the middle of their layer; a layer
    // above the surface shares the face.
    let width_m = groove.width_at_m(0.5 * (layer.from_m + layer.to_m));
    let to_wall_m = 0.5 * width_m / f64::from(pass.beads);
    let dwell_m = match pass.dwell {
        _ if pass.weave_width_m <= 0.0 => 0.0,
        Dwell::Toes => DWELL_AT_TOE_M,
        Dwell::Middle => -DWELL_AT_TOE_M,
        Dwell::Even => 0.0,
    };
    let beyond_m = melt.half_width_m + GROOVE_GAIN_M + 0.5 * pass.weave_width_m + dwell_m - to_wall_m;
    // Past the wall, measured square to it.
    let margin_m = beyond_m * joint.bevel_rad().cos();
    Item {
        verdict: Verdict::from_margin(margin_m, WALL_SURE_M),
        margin: Some(margin_m),
        unit: Unit::Metre,
        driver: if pass.weave_width_m > 0.0 { "weave width" } else { "beads across the groove" }.to_owned(),
        uncertainty: Some(melt.scatter_m),
        source: model.source(),
        basis: model.basis(),
    }
}

/// What is left of the root under the pass that follows it.
pub(crate) fn ligament(throat_m: f64, melt: Option<&BeadMelt>, model: &impl HeatModel) -> Item {
    let Some(melt) = melt else {
        return Item::not_known(
            Unit::Metre,
            "power or travel outside the range of the heat model",
            model.source(),
            model.basis(),
        );
    };
    let margin_m = throat_m - melt.depth_m;
    Item {
        verdict: Verdict::from_margin(margin_m, LIGAMENT_SURE_M),
        margin: Some(margin_m),
        unit: Unit::Metre,
        driver: "thickness of the root".to_owned(),
        uncertainty: Some(melt.scatter_m),
        source: model.source(),
        basis: model.basis(),
    }
}
