//! The forecast of one coupon, put together.

use bendproof_weld::Coupon;
use bendproof_weld::arc;
use bendproof_weld::basis::Basis;
use bendproof_weld::groove::CAP_OVERLAP_M;
use bendproof_weld::{Backing, PassKind, Progression, SizeLimit};

use crate::answers::{Answer, Failure};
use crate::item::{Item, Unit, Verdict, worst};
use crate::melt_back::{self, LAND_DOUBT_M, MELT_BACK_SCATTER_M, SOLVED_SCATTER_M};
use crate::passes::{PassForecast, Resolved, assemble, resolve, stack};
use crate::root::{
    CAPILLARY_SOURCE, Melted, POOL_BASIS, RETENTION_LIMIT, RETENTION_SOURCE, RootInput, RootState,
    root_state, root_state_of,
};
use crate::section::{Layer, Section, groove_with_mismatch, lay};
use crate::sensitivity::{Spread, spreads};
use crate::solved::Solved;
use crate::totals::{Totals, interpass, totals};
use crate::walls::{self, ligament, wall};

/// One standard deviation of each input that varies under the hand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scatter {
    /// Root opening along the joint, m.
    pub root_opening_m: f64,
    /// Root face along the joint, m.
    pub root_face_m: f64,
    /// Travel, share of its value.
    pub travel_share: f64,
    /// Wire feed, share of its value.
    pub wire_feed_share: f64,
    /// Volts, V.
    pub volts: f64,
}

/// Limits of the codes in force together; `None` where they give none, or where
/// nobody has stated yet what they follow.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Limits {
    /// Highest face reinforcement.
    pub crown: Option<SizeLimit>,
    /// Highest root reinforcement.
    pub melt_through: Option<SizeLimit>,
    /// Deepest root concavity, m.
    pub concavity_m: Option<f64>,
}

impl Limits {
    /// Highest face reinforcement on a cap as wide as this coupon's groove, m.
    pub fn crown_m(&self, coupon: &Coupon) -> Option<f64> {
        self.crown.map(|limit| limit.at(cap_width_m(coupon)))
    }

    /// Highest root reinforcement of a root this wide, m.
    pub fn melt_through_m(&self, width_m: f64) -> Option<f64> {
        self.melt_through.map(|limit| limit.at(width_m))
    }
}

/// Width of the cap that fills this coupon's groove, m.
pub fn cap_width_m(coupon: &Coupon) -> f64 {
    groove_with_mismatch(&coupon.fit.joint).face_width_m() + CAP_OVERLAP_M
}

/// The root's answers.
#[derive(Debug, Clone, PartialEq)]
pub struct RootForecast {
    /// Left land melts to the underside.
    pub left_edge: Item,
    /// Right land melts to the underside.
    pub right_edge: Item,
    /// The root is convex, and not too much.
    pub profile: Item,
    /// The liquid root holds.
    pub burn_through: Item,
    /// The puddle stays behind the arc.
    pub outrun: Item,
    /// The next pass does not fall through the root; `None` without a next pass.
    pub hot_pass: Option<Item>,
    /// Expected root height, m; `None` when not known.
    pub height_m: Option<f64>,
    /// Liquid width at the underside, m; `None` when not known.
    pub width_m: Option<f64>,
}

impl RootForecast {
    /// The answers that decide whether the root holds.
    pub fn items(&self) -> [&Item; 5] {
        [&self.left_edge, &self.right_edge, &self.profile, &self.burn_through, &self.outrun]
    }
}

/// The whole forecast.
#[derive(Debug, Clone, PartialEq)]
pub struct Forecast {
    /// Area of the groove to the plate surface, m².
    pub groove_area_m2: f64,
    /// Width of the groove at the surface, m.
    pub face_width_m: f64,
    /// Passes in order.
    pub passes: Vec<PassForecast>,
    /// The root.
    pub root: RootForecast,
    /// Height of the cap.
    pub crown: Item,
    /// Totals.
    pub totals: Totals,
    /// The section with its beads.
    pub section: Section,
    /// What the reader should know besides.
    pub notes: Vec<String>,
    /// The worst word of all answers.
    pub verdict: Verdict,
    /// Probability that every root answer is on the good side at one place of
    /// the joint; `None` when any is not known. The answers share their inputs,
    /// so the least single probability is given, not the product.
    pub probability: Option<f64>,
}

/// Forecasts a coupon with the fast model.
pub fn forecast(coupon: &Coupon, scatter: &Scatter, limits: &Limits) -> Forecast {
    forecast_with(coupon, scatter, limits, None)
}

/// Forecasts a coupon from its solved beads.
///
/// `solved` must be the solution of the same coupon. Uncertainties still travel
/// through the fast model: a tenth of a second per nudge and bead would be
/// minutes.
pub fn forecast_solved(coupon: &Coupon, scatter: &Scatter, limits: &Limits, solved: &Solved) -> Forecast {
    forecast_with(coupon, scatter, limits, Some(solved))
}

/// The root's state: from solved beads where they are given and the root is one
/// that this covers.
fn state_of(x: &RootInput, solved: Option<&Solved>) -> RootState {
    let beads = solved.and_then(|s| Some((s.root_on_hollow?, s.beads.first()?)));
    match beads.and_then(|(hollow, first)| Some((hollow, first.land?, first))) {
        Some((hollow, plain, first)) => root_state_of(
            x,
            &Melted {
                on_hollow_m: [hollow.left_m, hollow.right_m],
                plain_m: [plain.left_m, plain.right_m],
                pool_length_m: first.field.pool.length_m,
            },
        ),
        None => root_state(x),
    }
}

fn forecast_with(coupon: &Coupon, scatter: &Scatter, limits: &Limits, solved: Option<&Solved>) -> Forecast {
    let passes: Vec<Resolved> = coupon.passes.iter().map(|p| resolve(&coupon.settings, p)).collect();
    let input = root_input(coupon, &passes);
    let state = input.as_ref().ok().map(|x| state_of(x, solved));
    let judged =
        input.as_ref().ok().zip(state.as_ref()).map(|(x, state)| {
            (x, if solved.is_some() { Judged::solved(state) } else { Judged::fast(state) })
        });
    let why = input.as_ref().err().map_or("", String::as_str);
    let groove = groove_with_mismatch(&coupon.fit.joint);
    let (root_m, root_width_m) = state.as_ref().map_or((0.0, 0.0), |s| (s.low_m, s.width_m));
    let layers = stack(&groove, &passes, root_m, root_width_m);
    let warm = interpass(coupon, &passes);
    let mut first_bead = 1;
    let mut forecasts = Vec::with_capacity(passes.len());
    let mut hot_pass = None;
    for ((pass, layer), warm) in passes.iter().zip(&layers).zip(&warm) {
        let melt = match solved {
            Some(solved) => walls::solved(&solved.of_pass(layer.pass)),
            None => walls::fast(coupon, pass, layer, warm.before_k),
        };
        let mut wall = wall(pass, melt);
        let inputs = walls::input_spread(coupon, pass, layer, warm.before_k, scatter);
        wall.tie_in = wall.tie_in.spread_by(inputs.map(|[least, _]| least));
        if layer.pass == 1 {
            wall.tie_in = root_tie_in(judged.as_ref(), why, scatter);
        } else if layer.pass == 2 && coupon.fit.joint.backing == Backing::Open {
            let throat_m = layers[0].to_m + root_m.max(0.0);
            let known = input.as_ref().map(|_| ()).map_err(String::as_str);
            let item = ligament(known, throat_m, &wall.melt);
            hot_pass = Some(item.spread_by(inputs.map(|[_, deepest]| deepest)));
        }
        forecasts.push(assemble(coupon, pass, layer, first_bead, warm, wall));
        first_bead += pass.beads as usize;
    }
    let root = root_forecast(judged.as_ref(), why, scatter, limits, hot_pass);
    let crown = crown(coupon, &layers, &passes, limits);
    let verdict = overall(&root, &forecasts, &crown, limits);
    let probability = root
        .items()
        .into_iter()
        .map(Item::probability_of_holding)
        .try_fold(1.0_f64, |least, p| Some(least.min(p?)));
    Forecast {
        groove_area_m2: groove.area_m2(),
        face_width_m: groove.face_width_m(),
        notes: notes(coupon, &forecasts),
        totals: totals(coupon, &passes, &warm),
        section: lay(&coupon.fit.joint, &layers),
        passes: forecasts,
        root,
        crown,
        verdict,
        probability,
    }
}

/// The worst word of all answers.
fn overall(root: &RootForecast, passes: &[PassForecast], crown: &Item, limits: &Limits) -> Verdict {
    worst(
        root.items()
            .into_iter()
            .chain(root.hot_pass.as_ref())
            .chain(passes.iter().skip(1).map(|p| &p.tie_in))
            // A code without a limit, or a plan without a cap, leaves the crown
            // open; that is no doubt about the weld planned so far.
            .chain((limits.crown.is_some() && crown.margin.is_some()).then_some(crown))
            .map(|item| item.verdict),
    )
}

/// A root ready to be judged: its state and what the melt behind it is worth.
struct Judged<'a> {
    state: &'a RootState,
    melt_scatter_m: f64,
    source: &'static str,
}

impl<'a> Judged<'a> {
    fn fast(state: &'a RootState) -> Self {
        Self { state, melt_scatter_m: MELT_BACK_SCATTER_M.hypot(LAND_DOUBT_M), source: melt_back::SOURCE }
    }

    fn solved(state: &'a RootState) -> Self {
        Self { state, melt_scatter_m: SOLVED_SCATTER_M.hypot(LAND_DOUBT_M), source: melt_back::SOLVED_SOURCE }
    }
}

pub(crate) fn root_input(coupon: &Coupon, passes: &[Resolved]) -> Result<RootInput, String> {
    match passes.first() {
        None => Err("no pass is planned".to_owned()),
        Some(pass) if pass.kind != PassKind::Root => Err("the first pass is not a root pass".to_owned()),
        Some(pass) => RootInput::new(coupon, pass),
    }
}

/// Driver of a root profile whose edges never melted through.
pub const HOLLOW: &str = "root not through: hollow";
/// Driver of the outrun answer where the joint nowhere falls.
pub const NO_FALL: &str = "the joint does not fall";
/// Melt-back past which an edge counts as fused, m (from our own conduction
/// runs: 0.2 mm is the error of one run at the hollow).
const EDGE_SURE_M: f64 = 0.2e-3;
/// Root height past which a root counts as convex, m (choice).
const CONVEX_SURE_M: f64 = 0.2e-3;
/// Load at which the trade's burn-through line lay in our own runs: 0.72 to
/// 0.78 at 110 A, 0.96 to 1.07 at 122 A; 0.9 is their middle (derived).
const LOAD_LIMIT: f64 = 0.9;
/// Half the spread of those lines, as a share of the limit.
const LOAD_SURE: f64 = 0.17;
/// How far over the limit a flat root must be before it is called dropping out,
/// besides [`LOAD_SURE`]: a published flat pipe root that shops run reads 0.6 to
/// 0.8 over (checks/coupons/rolled-pipe-8in.toml), so the model is known to be
/// harsh there and only says "marginal" that far.
const FLAT_LOAD_DOUBT: f64 = 0.7;
/// Margins within this share of the limit are undecided (choice).
const RETENTION_SURE: f64 = 0.2;
/// Scatter of the root-height model itself, m (choice: it reads low in vertical).
const ROOT_HEIGHT_SCATTER_M: f64 = 0.4e-3;
/// Scatter of load and retention models, share of limit (choice).
const BALANCE_SCATTER: f64 = 0.15;

fn item(
    margin: f64,
    sure: f64,
    unit: Unit,
    spread: Spread,
    model_scatter: f64,
    source: (&'static str, Basis),
) -> Item {
    Item {
        verdict: Verdict::from_margin(margin, sure),
        margin: Some(margin),
        unit,
        driver: spread.driver.to_owned(),
        uncertainty: Some(spread.sigma.hypot(model_scatter)),
        source: source.0,
        basis: source.1,
    }
}

fn root_tie_in(judged: Option<&(&RootInput, Judged<'_>)>, why: &str, scatter: &Scatter) -> Item {
    let Some((x, j)) = judged else {
        return Item::not_known(Unit::Metre, why, melt_back::SOURCE, melt_back::BASIS);
    };
    let [spread] = spreads(x, scatter, |s| [s.left_m.min(s.right_m)]);
    edge(j.state.left_m.min(j.state.right_m), j, spread)
}

fn edge(melt_m: f64, j: &Judged<'_>, spread: Spread) -> Item {
    let mut edge =
        item(melt_m, EDGE_SURE_M, Unit::Metre, spread, j.melt_scatter_m, (j.source, melt_back::BASIS));
    if j.state.pile_up_m > MELT_BACK_SCATTER_M {
        edge.driver = "metal piled up ahead of the arc".to_owned();
    }
    edge
}

fn root_forecast(
    judged: Option<&(&RootInput, Judged<'_>)>,
    why: &str,
    scatter: &Scatter,
    limits: &Limits,
    hot_pass: Option<Item>,
) -> RootForecast {
    let Some((x, j)) = judged else { return unknown_root(why, hot_pass) };
    let state = j.state;
    let profile_margin = |s: &RootState| profile_margin_m(s, limits);
    let [left, right, profile, load, run] = spreads(x, scatter, |s| {
        let outrun = 1.0 - s.retention.unwrap_or(0.0) / RETENTION_LIMIT;
        [s.left_m, s.right_m, profile_margin(s), 1.0 - s.load / LOAD_LIMIT, outrun]
    });
    let mut burn_through = load_item(state, load);
    burn_through.verdict = load_verdict(state);
    burn_through.driver = at_place(&burn_through.driver, &state.load_place);
    RootForecast {
        left_edge: edge(state.left_m, j, left),
        right_edge: edge(state.right_m, j, right),
        profile: profile_item(state, profile, limits),
        burn_through,
        outrun: outrun(state, run),
        hot_pass,
        height_m: Some(state.low_m),
        width_m: Some(state.width_m),
    }
}

fn load_item(state: &RootState, spread: Spread) -> Item {
    let capillary = (CAPILLARY_SOURCE, POOL_BASIS);
    item(1.0 - state.load / LOAD_LIMIT, LOAD_SURE, Unit::ShareOfLimit, spread, BALANCE_SCATTER, capillary)
}

/// The word of the root's load; flat roots get the benefit of a known doubt.
fn load_verdict(state: &RootState) -> Verdict {
    let margin = 1.0 - state.load / LOAD_LIMIT;
    match Verdict::from_margin(margin, LOAD_SURE) {
        Verdict::Fails if margin > -(LOAD_SURE + FLAT_LOAD_DOUBT * state.load_flatness) => Verdict::Marginal,
        word => word,
    }
}

fn at_place(driver: &str, place: &str) -> String {
    if place.is_empty() { driver.to_owned() } else { format!("{driver}, at {place}") }
}

fn unknown_root(why: &str, hot_pass: Option<Item>) -> RootForecast {
    let edge = || Item::not_known(Unit::Metre, why, melt_back::SOURCE, melt_back::BASIS);
    let share = |source| Item::not_known(Unit::ShareOfLimit, why, source, POOL_BASIS);
    RootForecast {
        left_edge: edge(),
        right_edge: edge(),
        profile: Item::not_known(Unit::Metre, why, CAPILLARY_SOURCE, POOL_BASIS),
        burn_through: share(CAPILLARY_SOURCE),
        outrun: share(RETENTION_SOURCE),
        hot_pass,
        height_m: None,
        width_m: None,
    }
}

/// Distance from the nearer wrong shape: hollow, or more than the code's limit.
fn profile_margin_m(state: &RootState, limits: &Limits) -> f64 {
    let convex = state.low_m;
    match limits.melt_through_m(state.width_m) {
        Some(limit) => convex.min(limit - state.high_m),
        None => convex,
    }
}

fn profile_item(state: &RootState, spread: Spread, limits: &Limits) -> Item {
    let source = (CAPILLARY_SOURCE, POOL_BASIS);
    let unfused_m = state.left_m.min(state.right_m);
    if unfused_m <= -EDGE_SURE_M {
        // Metal that never reaches the underside leaves a hollow, whatever the
        // balance of pressures on a fused root would be.
        let mut hollow = item(unfused_m, EDGE_SURE_M, Unit::Metre, spread, ROOT_HEIGHT_SCATTER_M, source);
        hollow.driver = HOLLOW.to_owned();
        return hollow;
    }
    let margin_m = profile_margin_m(state, limits);
    let mut profile = item(margin_m, CONVEX_SURE_M, Unit::Metre, spread, ROOT_HEIGHT_SCATTER_M, source);
    let allowed_m = limits.concavity_m.unwrap_or(0.0);
    if profile.verdict == Verdict::Fails && margin_m > -allowed_m && state.low_m < 0.0 {
        // Hollow, but no deeper than the code allows on an open root.
        profile.verdict = Verdict::Marginal;
    }
    profile.driver = at_place(&profile.driver, &state.low_place);
    profile
}

fn outrun(state: &RootState, spread: Spread) -> Item {
    let source = (RETENTION_SOURCE, POOL_BASIS);
    match state.retention {
        Some(n) => item(
            1.0 - n / RETENTION_LIMIT,
            RETENTION_SURE,
            Unit::ShareOfLimit,
            spread,
            BALANCE_SCATTER,
            source,
        ),
        None => Item {
            driver: NO_FALL.to_owned(),
            ..item(1.0, RETENTION_SURE, Unit::ShareOfLimit, spread, 0.0, source)
        },
    }
}

/// Scatter of the crown model, as a share of the height (choice: bead shape,
/// deposit and hand together).
const CROWN_SCATTER_SHARE: f64 = 0.25;
/// Least margin with which a crown counts as inside its limits, m (choice).
const CROWN_SURE_M: f64 = 0.2e-3;
const CROWN_SOURCE: &str = "mass balance: metal laid less groove, as a parabola over the face";

pub(crate) fn crown(coupon: &Coupon, layers: &[Layer], passes: &[Resolved], limits: &Limits) -> Item {
    let (Some(last), Some(pass)) = (layers.last(), passes.last()) else {
        return Item::not_known(Unit::Metre, "no pass is planned", CROWN_SOURCE, Basis::Derived);
    };
    let thickness_m = coupon.fit.joint.thickness_m;
    let has_cap = passes.iter().any(|p| p.kind == PassKind::Cap);
    if !has_cap && last.to_m < thickness_m {
        return Item::not_known(Unit::Metre, "no cap is planned yet", CROWN_SOURCE, Basis::Derived);
    }
    let height_m = if last.crown_m > 0.0 { last.crown_m } else { last.to_m - thickness_m };
    let driver = if pass.weave_width_m > 0.0 { "where the weave lingers" } else { "metal laid in the cap" };
    let Some(limit_m) = limits.crown_m(coupon) else {
        let mut open = Item::not_known(Unit::Metre, "no limit is known", CROWN_SOURCE, Basis::Derived);
        open.margin = Some(height_m);
        return open;
    };
    let margin_m = height_m.min(limit_m - height_m);
    let sigma_m = CROWN_SCATTER_SHARE * height_m.abs();
    Item {
        verdict: Verdict::from_margin(margin_m, sigma_m.max(CROWN_SURE_M)),
        margin: Some(margin_m),
        unit: Unit::Metre,
        driver: driver.to_owned(),
        uncertainty: Some(sigma_m),
        source: CROWN_SOURCE,
        basis: Basis::Derived,
    }
}

/// Thickness above which short-circuit fusion trouble becomes consistent, m:
/// 3/16 in (a trade column on short-circuit welding, 2014; seen).
const SHORT_ARC_TROUBLE_M: f64 = 4.7625e-3;

fn notes(coupon: &Coupon, passes: &[PassForecast]) -> Vec<String> {
    let mut notes = Vec::new();
    let short = coupon.settings.transfer == Some(bendproof_weld::Transfer::ShortCircuit);
    if short && coupon.fit.joint.thickness_m > SHORT_ARC_TROUBLE_M {
        let downhill = passes.iter().any(|p| p.progression == Progression::Downhill);
        let way = if downhill { ", and more so downhill" } else { "" };
        notes.push(format!(
            "Short-circuit transfer on more than 3/16 in: lack of fusion is a common fault whatever the numbers say{way} (3/16 in by a trade column on short-circuit welding, 2014, seen)."
        ));
    }
    if matches!(coupon.fit.shape, bendproof_weld::Shape::Pipe { .. }) {
        notes.push(
            "The pipe wall is taken as flat plate; its curvature is not in the heat or the pool.".to_owned(),
        );
    }
    if coupon.fit.start_temperature_k > coupon.settings.interpass_max_k {
        notes.push(
            "The preheat lies above the interpass limit: the passes are taken at the preheat.".to_owned(),
        );
    }
    notes.extend(volts_note(coupon, passes));
    for pass in passes {
        if short && pass.expected_transfer != Some(bendproof_weld::Transfer::ShortCircuit) {
            notes.push(format!(
                "Pass {}: {} V and {:.0} A lie outside the published range of short-circuit transfer for this wire.",
                pass.number,
                bendproof_measure::round_to(pass.volts, 1),
                pass.current_a
            ));
        }
    }
    if passes.iter().any(|p| !p.current_is_read) {
        notes.push(format!(
            "Current comes from the wire-melting law, taken as ± {:.0} % (our choice); {}. Read the ammeter: it moves the root more than anything else.",
            arc::CURRENT_UNCERTAINTY_SHARE * 100.0,
            arc::MELTING_LAW_SHOWN
        ));
    }
    notes.push(
        "Starts, stops, tacks, arc blow and heat build-up along the joint are not in this forecast."
            .to_owned(),
    );
    notes
}

/// Passes whose volts lie outside the published settings of this gas at their current.
fn volts_note(coupon: &Coupon, passes: &[PassForecast]) -> Option<String> {
    let transfer = coupon.settings.transfer?;
    let v = |volts| bendproof_measure::round_to(volts, 1);
    let mut source = "";
    let outside: Vec<String> = passes
        .iter()
        .filter_map(|pass| {
            let window = arc::volts_window(coupon.settings.gas, transfer, pass.current_a)?;
            source = window.source;
            let inside = (window.low_v..=window.high_v).contains(&pass.volts);
            (!inside).then(|| {
                format!(
                    "pass {} {} V at {:.0} A, where {} to {} V is published",
                    pass.number,
                    v(pass.volts),
                    pass.current_a,
                    v(window.low_v),
                    v(window.high_v)
                )
            })
        })
        .collect();
    (!outside.is_empty())
        .then(|| format!("Volts outside published settings: {} ({source}).", outside.join("; ")))
}

/// Words alone, for sweeps: no uncertainty, no drawing, no totals.
pub(crate) mod forecast_verdict {
    use super::*;

    /// The worst word of the root.
    pub(crate) fn root(coupon: &Coupon, limits: &Limits) -> Verdict {
        let passes: Vec<Resolved> =
            coupon.passes.first().map(|p| resolve(&coupon.settings, p)).into_iter().collect();
        let Ok(x) = root_input(coupon, &passes) else { return Verdict::NotKnown };
        worst(root_answers(&root_state(&x), limits).iter().map(|a| a.verdict))
    }

    /// The root's answers with the band in which each is marginal.
    pub(crate) fn root_answers(state: &RootState, limits: &Limits) -> Vec<Answer> {
        let none = Spread { sigma: 0.0, driver: "" };
        let j = &Judged::fast(state);
        let profile = profile_item(state, none, limits);
        let profile_fails_m = match profile.driver == HOLLOW || state.low_m >= 0.0 {
            true => CONVEX_SURE_M,
            false => CONVEX_SURE_M.max(limits.concavity_m.unwrap_or(0.0)),
        };
        let load = Item { verdict: load_verdict(state), ..load_item(state, none) };
        let flat = LOAD_SURE + FLAT_LOAD_DOUBT * state.load_flatness;
        vec![
            Answer::of(Failure::LeftEdge, 1, edge(state.left_m, j, none), [EDGE_SURE_M; 2]),
            Answer::of(Failure::RightEdge, 1, edge(state.right_m, j, none), [EDGE_SURE_M; 2]),
            Answer::of(Failure::Profile, 1, profile, [profile_fails_m, CONVEX_SURE_M]),
            Answer::of(Failure::BurnThrough, 1, load, [flat, LOAD_SURE]),
            Answer::of(Failure::Outrun, 1, outrun(state, none), [RETENTION_SURE; 2]),
        ]
    }

    /// The root's answers where none is known.
    pub(crate) fn unknown_answers(why: &str) -> Vec<Answer> {
        let root = unknown_root(why, None);
        let of =
            [Failure::LeftEdge, Failure::RightEdge, Failure::Profile, Failure::BurnThrough, Failure::Outrun];
        let items = root.items().map(Clone::clone);
        of.into_iter().zip(items).map(|(f, item)| Answer::of(f, 1, item, [1.0; 2])).collect()
    }

    /// The band in which a crown is marginal, m.
    pub(crate) fn crown_doubt_m(crown: &Item) -> f64 {
        crown.uncertainty.unwrap_or(0.0).max(CROWN_SURE_M)
    }

    /// The word of one later pass's walls, counted from 0.
    pub(crate) fn pass(coupon: &Coupon, index: usize) -> Verdict {
        let passes: Vec<Resolved> = coupon.passes.iter().map(|p| resolve(&coupon.settings, p)).collect();
        let layers = stack(&groove_with_mismatch(&coupon.fit.joint), &passes, 0.0, 0.0);
        let warm = interpass(coupon, &passes);
        match (passes.get(index), layers.get(index), warm.get(index)) {
            (Some(pass), Some(layer), Some(warm)) => {
                wall(pass, walls::fast(coupon, pass, layer, warm.before_k)).tie_in.verdict
            }
            _ => Verdict::NotKnown,
        }
    }
}
