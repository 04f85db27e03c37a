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
use bendproof_weld::{Backing, Coupon, Process, Progression, Shape, Transfer};

use crate::melt_back::{self, HEALING_HOLLOW_M, RootBeadHeat, root_melt};
use crate::passes::Resolved;
use crate::section::groove_with_mismatch;
use crate::solved::ARC_BEHIND_EDGE_M;

/// Everything the root depends on; one value can be nudged at a time.
#[derive(Debug, Clone)]
pub(crate) struct RootInput {
    pub joint: bendproof_weld::Joint,
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
    /// Melt-back of the weaker land for a bead laid from the underside, m.
    pub plain_m: f64,
    /// Liquid width at the underside, m.
    pub width_m: f64,
    /// Level of the bead above the underside, m.
    pub fill_m: f64,
    /// Lowest root height over all stations, m; negative is hollow.
    pub low_m: f64,
    pub low_place: String,
    /// Highest root height over all stations, m.
    pub high_m: f64,
    /// Greatest share of the holding pressure used.
    pub load: f64,
    pub load_place: String,
    /// Gravity toward the root at that place, 0 to 1.
    pub load_flatness: f64,
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
/// beyond every setting that shops run).
const PILE_UP_FROM: f64 = 1.0;
/// Pile-up per unit of retention number above that, m (choice: 260 in/min
/// downhill at 8 in/min then stacks some 3 mm, which loses the land, as common
/// practice has it; no measurement).
const PILE_UP_M: f64 = 9.0e-3;
/// Melt-back lost per metre of metal piled up ahead of the arc: 0.35 to 0.5 mm
/// per mm in our own conduction runs (derived).
const LOST_PER_PILE_UP: f64 = 0.45;
/// Melt-back lost per metre of half weave: 0.1 to 0.35 mm at 2 mm in the same
/// runs (derived).
const LOST_PER_HALF_WEAVE: f64 = 0.11;
/// Share of the head of a flat bead that loads the root. Choice: with all of it
/// flat roots that shops run every day came out as dropping through, and with
/// none of it flat and vertical would be alike.
const HEAD_SHARE: f64 = 0.5;
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

    /// Land heights as the pool meets them, m, left and right. The right member
    /// stands higher, so the pool must reach that much farther down to find the
    /// left land's underside: it is judged as a taller land.
    fn lands_m(&self) -> [f64; 2] {
        [self.joint.root_face_left_m + self.joint.mismatch_m, self.joint.root_face_right_m]
    }

    fn current_a(&self) -> f64 {
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

/// The state of the root by the fast model.
pub(crate) fn root_state(x: &RootInput) -> RootState {
    let groove = groove_with_mismatch(&x.joint);
    let level_m = x.level_m(&groove);
    let ask = |land_m: f64, hollow_m: f64| {
        root_melt(&RootBeadHeat {
            net_power_w: x.net_power_w(),
            start_temperature_k: x.start_temperature_k,
            travel_m_s: x.travel_m_s,
            root_opening_m: x.joint.root_opening_m,
            root_face_m: land_m,
            groove_angle_rad: x.joint.groove_angle_rad,
            level_m,
            hollow_m,
            behind_edge_m: ARC_BEHIND_EDGE_M,
        })
    };
    let lands_m = x.lands_m();
    let weave_m = LOST_PER_HALF_WEAVE * 0.5 * x.weave_width_m;
    let plain = lands_m.map(|land_m| ask(land_m, 0.0));
    let melted = Melted {
        on_hollow_m: lands_m.map(|land_m| ask(land_m, x.hollow_m).melt_back_m - weave_m),
        plain_m: plain.map(|melt| melt.melt_back_m - weave_m),
        pool_length_m: 0.5 * (plain[0].pool_length_m + plain[1].pool_length_m),
    };
    root_state_of(x, &melted)
}

/// The state of the root from what was melted, however that was found.
pub(crate) fn root_state_of(x: &RootInput, melted: &Melted) -> RootState {
    let current_a = x.current_a();
    let groove = groove_with_mismatch(&x.joint);
    let fill_m = x.level_m(&groove);
    let face_width_m = groove.width_at_m(fill_m);
    let puddle_m3 = PUDDLE_SHAPE * face_width_m * fill_m * melted.pool_length_m;
    let retention = x
        .stations
        .iter()
        .filter(|s| s.gravity.along_travel < 0.0)
        .map(|s| retention(x, s, puddle_m3, face_width_m, current_a))
        .reduce(f64::max);
    let pile_up_m = PILE_UP_M * (retention.unwrap_or(0.0) - PILE_UP_FROM).max(0.0);
    let lost_m = LOST_PER_PILE_UP * pile_up_m;
    let [left_m, right_m] = melted.on_hollow_m.map(|m| m - lost_m);
    let plain = melted.plain_m.map(|m| m - lost_m);
    let plain_m = plain[0].min(plain[1]);
    let width_m = x.joint.root_opening_m + plain[0].max(0.0) + plain[1].max(0.0);
    let shape = shape(x, &groove, fill_m, width_m, current_a);
    RootState { left_m, right_m, plain_m, width_m, fill_m, retention, pile_up_m, ..shape }
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

/// Root height and load at every station; the fields of the land stay unset.
fn shape(x: &RootInput, groove: &Groove, fill_m: f64, width_m: f64, current_a: f64) -> RootState {
    let push_pa = x.arc_push_pa_a2 * current_a * current_a;
    let through = ((x.joint.root_opening_m - ARC_THROUGH_FROM_M) / ARC_THROUGH_SPAN_M).clamp(0.0, 1.0);
    let leaning = if fill_m > groove.root_face_left_m { x.joint.bevel_rad() } else { 0.0 };
    let suction_pa = pool::face_suction_pa(
        x.surface_tension_n_m,
        groove.width_at_m(fill_m).max(width_m),
        pool::CONTACT_ANGLE_RAD.value,
        leaning,
    );
    let limit_pa = pool::holding_limit_pa(x.surface_tension_n_m, width_m);
    let mut state = RootState {
        left_m: f64::NAN,
        right_m: f64::NAN,
        plain_m: f64::NAN,
        width_m,
        fill_m,
        low_m: f64::INFINITY,
        low_place: String::new(),
        high_m: f64::NEG_INFINITY,
        load: f64::NEG_INFINITY,
        load_place: String::new(),
        load_flatness: 0.0,
        retention: None,
        pile_up_m: 0.0,
    };
    for station in &x.stations {
        let density = pool::LIQUID_DENSITY_KG_M3.value;
        let head_pa = pool::head_pa(density, fill_m, station.gravity.toward_root);
        let net_pa = (1.0 - through) * push_pa + head_pa - suction_pa;
        // Beyond the half circle the metal drops out; the load says so, and the
        // height is kept at the half circle.
        let height_m = pool::meniscus_height_m(x.surface_tension_n_m, width_m, net_pa)
            .unwrap_or(0.5 * width_m * net_pa.signum());
        if height_m < state.low_m {
            state.low_m = height_m;
            state.low_place.clone_from(&station.place);
        }
        state.high_m = state.high_m.max(height_m);
        // The whole push counts here: the load is the worst moment, not the mean.
        let load = (push_pa + HEAD_SHARE * head_pa.max(0.0)) / limit_pa;
        if load > state.load {
            state.load = load;
            state.load_place.clone_from(&station.place);
            state.load_flatness = station.gravity.toward_root.max(0.0);
        }
    }
    state
}

/// Where root shape and load come from.
pub(crate) const CAPILLARY_SOURCE: &str = "Young-Laplace on the melted root corners; arc push 0.02 Pa/A² from memory, 0.01 to 0.03; \
     corners by the root edges, drop-out line picked to match common practice";
/// Where the retention number comes from.
pub(crate) const RETENTION_SOURCE: &str = "retention balance of a drop on a wall (after Furmidge, from memory); its line of 1.35 picked to match \
     common practice; not yet timed on a plate";
/// The worth of both, by their weakest part: the lines were picked after seeing.
pub(crate) const POOL_BASIS: Basis = Basis::Choice;
