//! Walls and toes of every pass after the root, and the hot pass over a thin root.

use bendproof_heat::cooling::{ShapeFactors, en1011_s};
use bendproof_measure::celsius_from_kelvin;
use bendproof_weld::{Coupon, arc};

use crate::fill_melt::{self, FillBeadHeat, WALL_SCATTER_M, fill_melt};
use crate::forecast::Scatter;
use crate::item::{Item, Unit, Verdict};
use crate::melt_back;
use crate::passes::Resolved;
use crate::section::Layer;
use crate::sensitivity::{Spread, current_share, sigma_of};
use crate::solved::SolvedBead;

/// What one pass melts, however that was found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct WallMelt {
    /// Least melted depth along walls and metal below, m.
    pub least_m: f64,
    /// Whether the least lies on the metal below, a bead or the root, and no wall
    /// melts less.
    pub is_least_below: bool,
    /// Deepest melted depth, m.
    pub deepest_m: f64,
    /// Unmelted metal under the pool, m, where it was solved; negative where
    /// liquid reached the underside.
    pub ligament_m: Option<f64>,
    /// One standard deviation of the depths, m.
    pub scatter_m: f64,
    /// Cooling time 800 to 500 C, s.
    pub t85_s: Option<f64>,
    /// Whether it was all read in solved fields.
    pub is_solved: bool,
    /// Where the depths come from.
    pub source: &'static str,
}

/// What one pass melts into its walls.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Wall {
    pub melt: Result<WallMelt, String>,
    pub tie_in: Item,
}

/// Scatter of the fast model where beads lie side by side, m: it takes each for
/// a bead in the middle of its share of the groove, and was 0.4 to 0.6 mm off
/// next to solved ones (derived, three example coupons).
const SIDE_BEAD_SCATTER_M: f64 = 0.5e-3;
/// Rise of a layer along the wall below which no wall is read, m: the ends that
/// a solved contact leaves out, and one reading between them.
const WALL_LEAST_M: f64 = 1.25e-3;
/// Scatter of a wall solved with 0.5 mm cells, m: against 0.25 mm cells over 99
/// passes 0.042 mm root mean square, no bias (derived).
const WALL_SOLVED_SCATTER_M: f64 = 0.045e-3;
/// What the heat model itself may have wrong in the depth of a contact, m
/// (choice): arc spread, liquid conduction and the place of the arc move a wall
/// by 0.01 to 0.02 mm each, the heat of a drop by 0.02 to 0.03 for 5 percent.
const CONTACT_DOUBT_M: f64 = 0.04e-3;
/// Where a solved bead's depths come from.
const SOLVED_SOURCE: &str = "conduction solved on this section (computed, 0.5 mm cells); \
     width of the arc picked by the trade's order of joints";
/// Factor between arc efficiency and the factor k of EN 1011-1 for GMAW: the
/// cooling-time formula wants arc energy times 0.8, and gets power times 0.85.
const K_OVER_EFFICIENCY: f64 = 0.8 / 0.85;

/// The fast model's answer for one pass.
pub(crate) fn fast(
    coupon: &Coupon,
    pass: &Resolved,
    layer: &Layer,
    before_k: f64,
) -> Result<WallMelt, String> {
    let joint = &coupon.fit.joint;
    let groove = crate::section::groove_with_mismatch(joint);
    let melt = fill_melt(&FillBeadHeat {
        net_power_w: pass.net_power_w,
        start_temperature_k: before_k,
        travel_m_s: pass.travel_m_s,
        area_m2: pass.bead_area_m2,
        // Beads of one pass share the width they are laid in.
        width_m: groove.width_at_m(layer.from_m) / f64::from(pass.beads),
        from_m: layer.from_m,
        thickness_m: joint.thickness_m,
        groove_angle_rad: joint.groove_angle_rad,
        weave_width_m: if pass.beads == 1 { pass.weave_width_m } else { 0.0 },
        dwell: pass.dwell,
    })?;
    // A layer that hardly rises along the wall has no wall of its own.
    let has_wall = layer.to_m - layer.from_m > WALL_LEAST_M;
    let least_m = if has_wall { melt.wall_m.min(melt.below_m) } else { melt.below_m };
    let scatter_m = if pass.beads == 1 { WALL_SCATTER_M } else { SIDE_BEAD_SCATTER_M };
    Ok(WallMelt {
        least_m,
        is_least_below: !has_wall || melt.below_m < melt.wall_m,
        deepest_m: melt.deepest_m,
        ligament_m: None,
        scatter_m,
        t85_s: Some(cooling_time_s(coupon, pass, before_k)),
        is_solved: false,
        source: fill_melt::SOURCE,
    })
}

/// What the inputs' scatter does to the least and to the deepest melted depth of
/// a pass, by the fast model: one standard deviation, m, and the input in the
/// welder's hand that moves it most. `None` outside the model's box, where it
/// knows nothing.
fn input_spread(
    coupon: &Coupon,
    pass: &Resolved,
    layer: &Layer,
    before_k: f64,
    scatter: &Scatter,
) -> Option<[Spread; 2]> {
    let settings = &coupon.settings;
    let current = current_share(pass.current_is_read, settings.extension_is_stated);
    let efficiency = arc::arc_efficiency(settings.process, settings.transfer);
    let machine = current.hypot(sigma_of(&efficiency) / efficiency.value);
    // Factors on power, travel and metal, one standard deviation up.
    let nudges = [
        ("", [machine, 0.0, 0.0]),
        ("volts", [scatter.volts / pass.volts, 0.0, 0.0]),
        ("travel", [0.0, scatter.travel_share, 0.0]),
        ("wire feed", [0.0, 0.0, scatter.wire_feed_share]),
    ];
    let ask = |[power, travel, metal]: [f64; 3]| {
        let moved = Resolved {
            net_power_w: pass.net_power_w * (1.0 + power),
            travel_m_s: pass.travel_m_s * (1.0 + travel),
            bead_area_m2: pass.bead_area_m2 * (1.0 + metal) / (1.0 + travel),
            ..*pass
        };
        fast(coupon, &moved, layer, before_k).ok().map(|melt| [melt.least_m, melt.deepest_m])
    };
    let mut squares = [0.0; 2];
    let mut largest = [(0.0, "volts"); 2];
    for (name, up) in nudges {
        let (high, low) = (ask(up)?, ask(up.map(|share| -share))?);
        for i in 0..2 {
            let share = 0.5 * (high[i] - low[i]).abs();
            squares[i] += share * share;
            if !name.is_empty() && share > largest[i].0 {
                largest[i] = (share, name);
            }
        }
    }
    Some(std::array::from_fn(|i| Spread { sigma: f64::sqrt(squares[i]), driver: largest[i].1 }))
}

impl Item {
    /// With the inputs' spread added to the model's own, and the word of the
    /// chance that follows.
    fn spread_by(mut self, inputs: Option<Spread>) -> Self {
        if let (Some(inputs), Some(model)) = (inputs, self.uncertainty) {
            self.uncertainty = Some(model.hypot(inputs.sigma));
            inputs.driver.clone_into(&mut self.driver);
        }
        self.by_chance()
    }
}

/// EN 1011-2 for a run in a butt groove, s.
pub(crate) fn cooling_time_s(coupon: &Coupon, pass: &Resolved, before_k: f64) -> f64 {
    let heat_input_kj_mm = pass.net_power_w / pass.travel_m_s * K_OVER_EFFICIENCY * 1e-6;
    let thickness_mm = coupon.fit.joint.thickness_m * 1e3;
    en1011_s(heat_input_kj_mm, celsius_from_kelvin(before_k), thickness_mm, ShapeFactors::BUTT_GROOVE)
}

/// The solved answer for one pass: the worst of its beads.
pub(crate) fn solved(beads: &[&SolvedBead]) -> Result<WallMelt, String> {
    let least = |pick: fn(&SolvedBead) -> f64| beads.iter().map(|b| pick(b)).fold(f64::INFINITY, f64::min);
    let depths =
        beads.iter().map(|b| Some((b.contact.least_m()?, b.contact.wall_m()))).collect::<Option<Vec<_>>>();
    let Some((least_m, wall_m)) = depths.and_then(|d| d.into_iter().min_by(|a, b| a.0.total_cmp(&b.0)))
    else {
        return Err("a bead of this pass lies on nothing that could be read".to_owned());
    };
    Ok(WallMelt {
        least_m,
        is_least_below: wall_m != Some(least_m),
        deepest_m: -least(|b| -b.contact.deepest_m),
        ligament_m: Some(least(|b| b.ligament_m)),
        scatter_m: WALL_SOLVED_SCATTER_M,
        t85_s: beads.iter().filter_map(|b| b.t85_s).reduce(f64::min),
        is_solved: true,
        source: SOLVED_SOURCE,
    })
}

/// One pass judged, with what the inputs' scatter does to its depths.
pub(crate) struct JudgedWall {
    pub wall: Wall,
    inputs: Option<[Spread; 2]>,
}

/// Judges the walls of one pass: the line is at zero, and the word follows
/// from the chance.
pub(crate) fn judged(
    coupon: &Coupon,
    pass: &Resolved,
    layer: &Layer,
    before_k: f64,
    scatter: &Scatter,
    melt: Result<WallMelt, String>,
) -> JudgedWall {
    let inputs = input_spread(coupon, pass, layer, before_k, scatter);
    let driver = if pass.weave_width_m > 0.0 { "weave width" } else { "beads across the groove" };
    let tie_in = depth_item(&melt, driver, |melt| melt.least_m).spread_by(inputs.map(|[least, _]| least));
    JudgedWall { wall: Wall { melt, tie_in }, inputs }
}

impl JudgedWall {
    /// What is left of the root under the pass that follows it. Nothing is known
    /// of it over a root that is not known itself; `root` says why.
    pub fn ligament(&self, root: Result<(), &str>, throat_m: f64) -> Item {
        if let Err(why) = root {
            return Item::not_known(Unit::Metre, why, melt_back::SOURCE, melt_back::BASIS);
        }
        let left_m = |melt: &WallMelt| melt.ligament_m.unwrap_or(throat_m - melt.deepest_m);
        depth_item(&self.wall.melt, "thickness of the root", left_m)
            .spread_by(self.inputs.map(|[_, deepest]| deepest))
    }
}

/// An answer about a melted depth, before the inputs' scatter.
fn depth_item(melt: &Result<WallMelt, String>, driver: &str, depth_m: impl Fn(&WallMelt) -> f64) -> Item {
    match melt {
        Err(why) => Item::not_known(Unit::Metre, why.as_str(), fill_melt::SOURCE, fill_melt::BASIS),
        Ok(melt) => Item {
            verdict: Verdict::Marginal,
            margin: Some(depth_m(melt)),
            unit: Unit::Metre,
            driver: driver.to_owned(),
            uncertainty: Some(melt.scatter_m.hypot(CONTACT_DOUBT_M)),
            source: melt.source,
            basis: fill_melt::BASIS,
        },
    }
}
