//! The root pass: do both lands melt to the underside, what shape does the root
//! take, does it drop out, does the puddle outrun the arc.
//!
//! Mass gives the metal and its level, conduction the land and the pool (solved,
//! or by the fast model fitted to solved runs), Young-Laplace the shape, a retention balance the puddle. Known to be
//! weak: root height in vertical positions (reads low), the pile-up length, and
//! everything about starts, stops and arc blow, which are not in it.

use bendproof_weld::arc;
use bendproof_weld::basis::Basis;
use bendproof_weld::gravity::{self, GravityShares};
use bendproof_weld::groove::Groove;
use bendproof_weld::pool;
use bendproof_weld::{Backing, Coupon, Joint, Process, Progression, Shape, Transfer};

use crate::melt_back::{self, HEALING_HOLLOW_M, LAND_MOST_M, RootBeadHeat, RootMelt, root_melt};
use crate::passes::Resolved;
use crate::section::groove_with_mismatch;
use crate::solved::ARC_BEHIND_EDGE_M;

/// Everything the root depends on; one value can be nudged at a time.
#[derive(Debug, Clone)]
pub(crate) struct RootInput {
    pub joint: Joint,
    /// Whether the wire extension was stated; else the melting law knows less.
    pub extension_is_stated: bool,
    pub start_temperature_k: f64,
    pub wire_diameter_m: f64,
    pub extension_m: f64,
    pub deposition_efficiency: f64,
    pub volts: f64,
    pub wire_feed_m_s: f64,
    pub travel_m_s: f64,
    pub weave_width_m: f64,
    /// Current read, A; `None` uses the melting law.
    pub amps_read: Option<f64>,
    /// Factor on the current, 1 unless nudged.
    pub current_factor: f64,
    pub arc_efficiency: f64,
    pub surface_tension_n_m: f64,
    pub arc_push_pa_a2: f64,
    pub hollow_m: f64,
    /// What the heat model has wrong, m: one error for both lands, with the
    /// hollow and without, so an edge gained widens the root as well.
    pub melt_error_m: f64,
    /// Factor on the retention number, 1 unless nudged.
    pub retention_factor: f64,
    pub heat: RootHeat,
    pub stations: Vec<Station>,
}

/// A place on the joint with its gravity.
#[derive(Debug, Clone)]
pub(crate) struct Station {
    /// In words, for a pipe: `6 o'clock`; empty for a plate.
    pub place: String,
    pub gravity: GravityShares,
}

/// What comes out, before it is judged.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct RootState {
    /// Melt-back of each land with the hollow, m.
    pub left_m: f64,
    pub right_m: f64,
    /// Liquid width at the underside, m.
    pub width_m: f64,
    /// Lowest root height over all stations, m; negative is hollow.
    pub low_m: f64,
    pub low_place: String,
    /// Highest root height over all stations, m.
    pub high_m: f64,
    /// Greatest share of the holding pressure used.
    pub load: f64,
    pub load_place: String,
    /// Greatest retention number where the joint falls; `None` where it never does.
    pub retention: Option<f64>,
    /// Extra liquid ahead of the arc, m.
    pub pile_up_m: f64,
}

/// Puddle over (width of the face x level x length of the pool): between a
/// wedge (1/3) and a half ellipsoid (2/3); choice. Only the metal above the
/// underside runs, so the liquid of the lands does not count.
const PUDDLE_SHAPE: f64 = 0.5;
/// Opening above which part of the arc blows through the gap, m (choice; makes
/// a wide gap draw the root back, as common practice has it).
const ARC_THROUGH_FROM_M: f64 = 2.4e-3;
/// Opening beyond that over which the whole arc goes through, m (choice).
const ARC_THROUGH_SPAN_M: f64 = 4.0e-3;
/// Share of the arc's axial force that holds the puddle back: the sine of a
/// 20 degree drag angle, the steep end of common practice downhill (choice).
const ARC_HOLD_SHARE: f64 = 0.34;
/// Retention number at which the puddle is taken to outrun the arc. Calibrated
/// on common practice with solved pools: 180 to 210 in/min of 0.035 in wire
/// downhill stay behind the arc (0.8 to 1.05), 260 in/min at 8 in/min runs ahead
/// (1.33 to 1.42).
pub(crate) const RETENTION_LIMIT: f64 = 1.35;
/// Retention number at which metal starts to pile up ahead of the arc (choice:
/// beyond every setting that shops run, which lie at 0.8 to 1.05).
const PILE_UP_FROM: f64 = 1.1;
/// Pile-up per unit of retention number above that, m (choice: 260 in/min
/// downhill at 8 in/min then stacks some 4 mm, which loses the land, as common
/// practice has it; picked together with the hollow; no measurement).
const PILE_UP_M: f64 = 18.0e-3;
/// Melt-back lost per metre of metal piled up ahead of the arc: 0.35 to 0.5 mm
/// per mm in our own conduction runs (derived).
const LOST_PER_PILE_UP: f64 = 0.45;
/// Melt-back lost per metre of half weave: 0.1 to 0.35 mm at 2 mm in the same
/// runs (derived).
const LOST_PER_HALF_WEAVE: f64 = 0.11;
/// Share of a mismatch by which the low land counts as taller. Choice: the
/// liquid hangs from one corner to the other, and its middle lies half the
/// mismatch above the low one.
const MISMATCH_SHARE: f64 = 0.5;
/// Greatest mean head of liquid on the root, in capillary lengths: what is
/// taller than that hangs on its own face (choice; with a whole length vertical
/// roots hang lower than flat ones, against a published order).
const COLUMN_CAPILLARY_LENGTHS: f64 = 0.75;
/// Where along the pool, from its front, the underside is widest. Uphill the
/// deep end of the liquid lies behind it, downhill ahead of it over an opening
/// that has not melted yet, so the same pool weighs more on the root uphill.
/// Tuned with [`crate::forecast::LOAD_LIMIT`] on vertical joints in both
/// directions, which want limits of 0.9 and 1.2 without it and agree with it.
const WIDEST_AT: f64 = 0.6;
/// Steps around a fixed pipe, from 12 to 6 o'clock.
const PIPE_STATIONS: usize = 7;

impl RootInput {
    /// `None` when the coupon has no root the model covers; the text says why.
    pub fn new(coupon: &Coupon, pass: &Resolved) -> Result<Self, String> {
        let s = &coupon.settings;
        if coupon.fit.joint.backing != Backing::Open {
            return Err("backed root; this covers the open root".to_owned());
        }
        if s.process != Process::Gmaw || s.transfer != Some(Transfer::ShortCircuit) {
            return Err(format!("{} in this transfer; this covers short-circuit GMAW", s.process));
        }
        let input = Self {
            joint: coupon.fit.joint,
            start_temperature_k: coupon.fit.start_temperature_k,
            wire_diameter_m: s.wire_diameter_m,
            extension_m: s.extension_m,
            extension_is_stated: s.extension_is_stated,
            deposition_efficiency: s.deposition_efficiency,
            volts: pass.volts,
            wire_feed_m_s: pass.wire_feed_m_s,
            travel_m_s: pass.travel_m_s,
            weave_width_m: pass.weave_width_m,
            amps_read: pass.current_is_read.then_some(pass.current_a),
            current_factor: 1.0,
            arc_efficiency: arc::arc_efficiency(s.process, s.transfer).value,
            surface_tension_n_m: pool::SURFACE_TENSION_N_M.value,
            arc_push_pa_a2: pool::ARC_PUSH_PA_A2.value,
            hollow_m: HEALING_HOLLOW_M,
            melt_error_m: 0.0,
            retention_factor: 1.0,
            heat: RootHeat::Fast,
            stations: stations(coupon, pass.progression),
        };
        match input.outside_box() {
            Some(why) => Err(why),
            None => Ok(input),
        }
    }

    /// Why the root is outside the range in which it was checked, if it is.
    pub fn outside_box(&self) -> Option<String> {
        melt_back::outside_box([
            self.joint.root_opening_m,
            self.joint.root_face_max_m(),
            self.joint.thickness_m,
            self.joint.groove_angle_rad,
            self.wire_diameter_m,
            self.wire_feed_m_s,
            self.travel_m_s,
            self.volts,
            self.start_temperature_k,
            self.net_power_w(),
            self.metal_m3_s() / self.net_power_w(),
        ])
    }

    /// Metal that stays in the joint, m³/s.
    fn metal_m3_s(&self) -> f64 {
        let (d, feed) = (self.wire_diameter_m, self.wire_feed_m_s);
        arc::deposition_rate_kg_s(d, feed, self.deposition_efficiency) / arc::STEEL_DENSITY_KG_M3
    }

    fn net_power_w(&self) -> f64 {
        self.arc_efficiency * self.volts * self.current_a()
    }

    /// Level of the bead above the underside, m; the whole groove when it overflows.
    fn level_m(&self, groove: &Groove) -> f64 {
        let (d, feed, travel) = (self.wire_diameter_m, self.wire_feed_m_s, self.travel_m_s);
        let metal_m2 = arc::bead_area_m2(d, feed, travel, self.deposition_efficiency);
        groove.fill_height_m(metal_m2).unwrap_or(groove.thickness_m)
    }

    /// Mean current, A: read, or by the melting law.
    pub fn current_a(&self) -> f64 {
        let law =
            || arc::current_from_wire_feed_a(self.wire_diameter_m, self.extension_m, self.wire_feed_m_s);
        self.amps_read.unwrap_or_else(law) * self.current_factor
    }
}

/// Where gravity is looked at: once on a plate, around the half circle on a
/// fixed pipe, whose other half mirrors it.
fn stations(coupon: &Coupon, progression: Progression) -> Vec<Station> {
    let one = |gravity| vec![Station { place: String::new(), gravity }];
    if let (Shape::Pipe { .. }, Some(tilt)) =
        (coupon.fit.shape, gravity::fixed_pipe_tilt_rad(coupon.fit.position))
    {
        let step = std::f64::consts::PI / (PIPE_STATIONS - 1) as f64;
        return (0..PIPE_STATIONS)
            .map(|i| Station {
                place: if i == 0 { "12 o'clock".to_owned() } else { format!("{i} o'clock") },
                gravity: gravity::pipe(tilt, step * i as f64, progression),
            })
            .collect();
    }
    // A rolled pipe is welded at the top, as a flat plate is.
    let flat = GravityShares { toward_root: 1.0, along_travel: 0.0, across_joint: 0.0 };
    one(gravity::plate(coupon.fit.position, progression).unwrap_or(flat))
}

/// What stands behind the heat of a root.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum RootHeat {
    /// The fast model alone.
    Fast,
    /// The fast model, moved by what the solved beads of a coupon near this one
    /// melt beyond it. Its error is taken as that of the fast model still: none
    /// of it is left next to that coupon, and more than all of it far away.
    Carried(Melted),
    /// Its own solved beads, as what they melt beyond the fast model.
    Solved(Melted),
}

/// What the arc melts at the root, before the pool's own balances.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Melted {
    /// Melt-back of each land with the bead laid on the hollow, m.
    pub on_hollow_m: [f64; 2],
    /// The same with the bead laid from the underside.
    pub plain_m: [f64; 2],
    /// Length of the pool, m.
    pub pool_length_m: f64,
}

impl Melted {
    fn joined(self, other: &Self, join: impl Fn(f64, f64) -> f64) -> Self {
        let both = |a: [f64; 2], b: [f64; 2]| [join(a[0], b[0]), join(a[1], b[1])];
        Self {
            on_hollow_m: both(self.on_hollow_m, other.on_hollow_m),
            plain_m: both(self.plain_m, other.plain_m),
            pool_length_m: join(self.pool_length_m, other.pool_length_m),
        }
    }
}

/// The joint as one land sees it, 0 the left and 1 the right: both lands as
/// tall as the pool finds that one, level with each other. The right member
/// stands higher, so the pool must reach that much farther down to find the left
/// land's underside: the left is judged as a taller land, solved and fast.
pub(crate) fn joint_of_side(joint: &Joint, side: usize) -> Joint {
    let land_m = match side {
        0 => joint.root_face_left_m + MISMATCH_SHARE * joint.mismatch_m,
        _ => joint.root_face_right_m,
    };
    Joint { root_face_left_m: land_m, root_face_right_m: land_m, mismatch_m: 0.0, ..*joint }
}

/// The melt of a land by the fast model; a land taller than any solved loses on
/// as the last half millimetre did, so that a joint set far off is no better
/// than the tallest land checked.
fn land_melt(heat: &RootBeadHeat) -> RootMelt {
    const STEP_M: f64 = 0.5e-3;
    let beyond_m = heat.root_face_m - LAND_MOST_M;
    if beyond_m <= 0.0 {
        return root_melt(heat);
    }
    let at = |root_face_m| root_melt(&RootBeadHeat { root_face_m, ..*heat });
    let (before, last) = (at(LAND_MOST_M - STEP_M), at(LAND_MOST_M));
    let lost_per_m = ((before.melt_back_m - last.melt_back_m) / STEP_M).max(0.0);
    RootMelt { melt_back_m: last.melt_back_m - lost_per_m * beyond_m, ..last }
}

/// What the arc melts by the fast model, moved to where solved beads and the
/// model's own error put it.
pub(crate) fn melted(x: &RootInput) -> Melted {
    let weave_m = LOST_PER_HALF_WEAVE * 0.5 * x.weave_width_m;
    let ask = |side: usize, hollow_m: f64| {
        let joint = joint_of_side(&x.joint, side);
        let melt = land_melt(&RootBeadHeat {
            net_power_w: x.net_power_w(),
            start_temperature_k: x.start_temperature_k,
            travel_m_s: x.travel_m_s,
            root_opening_m: joint.root_opening_m,
            root_face_m: joint.root_face_left_m,
            groove_angle_rad: joint.groove_angle_rad,
            level_m: x.level_m(&Groove::of_joint(&joint)),
            hollow_m,
            behind_edge_m: ARC_BEHIND_EDGE_M,
        });
        RootMelt { melt_back_m: melt.melt_back_m - weave_m + x.melt_error_m, ..melt }
    };
    // Even lands are one question.
    let is_even = joint_of_side(&x.joint, 0) == joint_of_side(&x.joint, 1);
    let both = |hollow_m: f64| {
        let left = ask(0, hollow_m);
        [left, if is_even { left } else { ask(1, hollow_m) }]
    };
    let plain = both(0.0);
    let fast = Melted {
        on_hollow_m: both(x.hollow_m).map(|melt| melt.melt_back_m),
        plain_m: plain.map(|melt| melt.melt_back_m),
        pool_length_m: 0.5 * (plain[0].pool_length_m + plain[1].pool_length_m),
    };
    match &x.heat {
        RootHeat::Carried(beyond) | RootHeat::Solved(beyond) => fast.joined(beyond, |fast, more| fast + more),
        RootHeat::Fast => fast,
    }
}

impl RootInput {
    /// The same root with solved beads behind its heat: melt of each land over
    /// the hollow and without it, m. The length of the pool stays the fast
    /// model's, by which the line of the puddle was picked.
    pub fn solved_as(&self, on_hollow_m: [f64; 2], plain_m: [f64; 2]) -> Self {
        let fast = melted(self);
        let solved = Melted { on_hollow_m, plain_m, ..fast };
        let beyond = solved.joined(&fast, |solved, fast| solved - fast);
        Self { heat: RootHeat::Solved(beyond), ..self.clone() }
    }

    /// Whether solved beads stand behind its heat.
    pub fn is_solved(&self) -> bool {
        matches!(self.heat, RootHeat::Solved(_))
    }
}

/// The state of the root over all its places.
pub(crate) fn root_state(x: &RootInput) -> RootState {
    root_state_of(x, &melted(x), &x.stations)
}

/// The state of the root over some of its places, from what was melted.
pub(crate) fn root_state_of(x: &RootInput, melted: &Melted, stations: &[Station]) -> RootState {
    let current_a = x.current_a();
    let groove = groove_with_mismatch(&x.joint);
    let fill_m = x.level_m(&groove);
    let face_width_m = groove.width_at_m(fill_m);
    let puddle_m3 = PUDDLE_SHAPE * face_width_m * fill_m * melted.pool_length_m;
    let retention = stations
        .iter()
        .filter(|s| s.gravity.along_travel < 0.0)
        .map(|s| x.retention_factor * retention(x, s, puddle_m3, face_width_m, current_a))
        .reduce(f64::max);
    let pile_up_m = PILE_UP_M * (retention.unwrap_or(0.0) - PILE_UP_FROM).max(0.0);
    let lost_m = LOST_PER_PILE_UP * pile_up_m;
    let [left_m, right_m] = melted.on_hollow_m.map(|m| m - lost_m);
    let plain = melted.plain_m.map(|m| m - lost_m);
    // The underside is open between what the plain bead melts and what is left
    // to melt over the hollow (choice: their mean).
    let past = |edge_m: f64, plain_m: f64| 0.5 * (edge_m.max(0.0) + plain_m.max(0.0));
    let width_m = x.joint.root_opening_m + past(left_m, plain[0]) + past(right_m, plain[1]);
    let pool = PoolSize { fill_m, face_width_m, width_m, length_m: melted.pool_length_m, current_a };
    let shape = shape(x, &groove, &pool, stations);
    RootState { left_m, right_m, width_m, retention, pile_up_m, ..shape }
}

fn retention(x: &RootInput, s: &Station, volume_m3: f64, face_width_m: f64, current_a: f64) -> f64 {
    pool::retention_number(&pool::Puddle {
        volume_m3,
        face_width_m,
        slope_share: s.gravity.along_travel,
        arc_force_n: ARC_HOLD_SHARE * arc::arc_force_n(current_a),
        surface_tension_n_m: x.surface_tension_n_m,
        density_kg_m3: pool::LIQUID_DENSITY_KG_M3.value,
    })
}

/// The liquid root, m and A.
struct PoolSize {
    /// Level above the underside.
    fill_m: f64,
    /// Width of the groove at that level.
    face_width_m: f64,
    /// Liquid width at the underside.
    width_m: f64,
    length_m: f64,
    current_a: f64,
}

/// The half of the pool that lies uphill of the middle of the root, along the
/// travel and across the joint, as a height of liquid, m.
fn side_m(pool: &PoolSize, gravity: &GravityShares) -> f64 {
    0.5 * (pool.length_m * gravity.along_travel.abs() + pool.face_width_m * gravity.across_joint.abs())
}

/// Root height and load at every station; the fields of the land stay unset.
fn shape(x: &RootInput, groove: &Groove, pool: &PoolSize, stations: &[Station]) -> RootState {
    let tension = x.surface_tension_n_m;
    let push_pa = x.arc_push_pa_a2 * pool.current_a * pool.current_a;
    let through = ((x.joint.root_opening_m - ARC_THROUGH_FROM_M) / ARC_THROUGH_SPAN_M).clamp(0.0, 1.0);
    let leaning = if pool.fill_m > groove.root_face_left_m { x.joint.bevel_rad() } else { 0.0 };
    let face_m = pool.face_width_m.max(pool.width_m);
    let suction_pa = pool::face_suction_pa(tension, face_m, pool::CONTACT_ANGLE_RAD.value, leaning);
    let limit_pa = pool::holding_limit_pa(tension, pool.width_m);
    let density = pool::LIQUID_DENSITY_KG_M3.value;
    let column_m = COLUMN_CAPILLARY_LENGTHS * pool::capillary_length_m(tension, density);
    let mut state = RootState {
        left_m: f64::NAN,
        right_m: f64::NAN,
        width_m: pool.width_m,
        low_m: f64::INFINITY,
        low_place: String::new(),
        high_m: f64::NEG_INFINITY,
        load: f64::NEG_INFINITY,
        load_place: String::new(),
        retention: None,
        pile_up_m: 0.0,
    };
    for station in stations {
        let (side_m, c) = (side_m(pool, &station.gravity), station.gravity.toward_root);
        let head = |height_m: f64| pool::head_pa(density, height_m, 1.0);
        let net_pa = (1.0 - through) * push_pa + head(pool.fill_m * c + side_m.min(column_m)) - suction_pa;
        // Beyond the half circle the metal drops out; the load says so, and the
        // height is kept at the half circle.
        let height_m = pool::meniscus_height_m(tension, pool.width_m, net_pa)
            .unwrap_or(0.5 * pool.width_m * net_pa.signum());
        if height_m < state.low_m {
            state.low_m = height_m;
            state.low_place.clone_from(&station.place);
        }
        state.high_m = state.high_m.max(height_m);
        // The load is the worst moment: the whole push and no suction of the
        // face, where the underside is widest and the bead still builds up.
        let behind = 1.0 + (2.0 * WIDEST_AT - 1.0) * station.gravity.along_travel;
        let weight_pa = behind * head((PUDDLE_SHAPE * pool.fill_m * c + side_m).min(column_m));
        let load = (push_pa + weight_pa).max(0.0) / limit_pa;
        if load > state.load {
            state.load = load;
            state.load_place.clone_from(&station.place);
        }
    }
    state
}

/// Where root shape and load come from.
pub(crate) const CAPILLARY_SOURCE: &str = "Young-Laplace on the melted root corners; arc push 0.0075 Pa/A², 0.005 to 0.010, derived; \
     corners by the root edges, drop-out line picked to match common practice";
/// Where the retention number comes from.
pub(crate) const RETENTION_SOURCE: &str = "retention balance of a drop on a wall (after Furmidge, from memory); its line of 1.35 picked to match \
     common practice; not yet timed on a plate";
/// The worth of both, by their weakest part: the lines were picked after seeing.
pub(crate) const POOL_BASIS: Basis = Basis::Choice;
