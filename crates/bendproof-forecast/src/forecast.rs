//! The forecast of one coupon, put together.

use bendproof_weld::Coupon;
use bendproof_weld::arc;
use bendproof_weld::basis::Basis;
use bendproof_weld::groove::CAP_OVERLAP_M;
use bendproof_weld::{Backing, PassKind, Progression, SizeLimit};

use crate::answers::Answer;
use crate::chance::{ASKED, Chance, Clear, Drawing};
use crate::item::{Item, Unit, Verdict, worst};
use crate::melt_back::{self, MELT_BACK_SCATTER_M};
use crate::passes::{PassForecast, Resolved, assemble, resolve, stack};
use crate::root::{CAPILLARY_SOURCE, POOL_BASIS, RETENTION_SOURCE, RootInput, RootState, root_state};
use crate::section::{Layer, Section, groove_with_mismatch, lay};
use crate::sensitivity::{current_share, margins};
use crate::solved::Solved;
use crate::totals::{Totals, interpass, totals};
use crate::walls;

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
    /// The shape of the root: shown, and in no word.
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
    pub fn items(&self) -> [&Item; 4] {
        [&self.left_edge, &self.right_edge, &self.burn_through, &self.outrun]
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
    /// The headline: the root's word, from its chance.
    pub verdict: Verdict,
    /// The worst word of what is welded over the root: hot pass, walls and
    /// crown; `None` where a root is all that is planned.
    pub above_root: Option<Verdict>,
    /// The chance that the root holds over the whole joint, or why it is not
    /// known.
    pub chance: Result<Chance, String>,
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

/// A root with solved beads behind its heat, where they have one.
pub(crate) fn as_solved(input: &RootInput, solved: &Solved) -> RootInput {
    let plain = solved.beads.first().and_then(|bead| bead.land);
    match solved.root_on_hollow.zip(plain) {
        Some((hollow, plain)) => {
            let [on_hollow_m, plain_m] = [hollow, plain].map(|land| [land.left_m, land.right_m]);
            input.solved_as(on_hollow_m, plain_m)
        }
        None => input.clone(),
    }
}

/// A root ready to be judged.
struct Judged {
    is_solved: bool,
    state: RootState,
    drawing: Drawing,
    clear: Clear,
}

impl Judged {
    fn of(coupon: &Coupon, input: &RootInput, scatter: &Scatter, solved: Option<&Solved>) -> Self {
        let input = solved.map_or_else(|| input.clone(), |solved| as_solved(input, solved));
        let drawing = Drawing::of(&input, scatter, coupon.fit.joint_length_m());
        Self { state: root_state(&input), clear: drawing.clear(), drawing, is_solved: input.is_solved() }
    }
}

fn forecast_with(coupon: &Coupon, scatter: &Scatter, limits: &Limits, solved: Option<&Solved>) -> Forecast {
    let passes: Vec<Resolved> = coupon.passes.iter().map(|p| resolve(&coupon.settings, p)).collect();
    let judged = root_input(coupon, &passes).map(|x| Judged::of(coupon, &x, scatter, solved));
    let groove = groove_with_mismatch(&coupon.fit.joint);
    let (root_m, root_width_m) = judged.as_ref().map_or((0.0, 0.0), |j| (j.state.low_m, j.state.width_m));
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
        let mut judged_walls = walls::judged(coupon, pass, layer, warm.before_k, scatter, melt);
        if layer.pass == 1 {
            judged_walls.wall.tie_in = root_tie_in(&judged);
        } else if layer.pass == 2 && coupon.fit.joint.backing == Backing::Open {
            let known = judged.as_ref().map(|_| ()).map_err(String::as_str);
            hot_pass = Some(judged_walls.ligament(known, layers[0].to_m + root_m.max(0.0)));
        }
        forecasts.push(assemble(coupon, pass, layer, first_bead, warm, judged_walls.wall));
        first_bead += pass.beads as usize;
    }
    let crown = crown(coupon, &layers, &passes, limits);
    let chance = judged.as_ref().map(|j| j.drawing.chance_of(&j.clear)).map_err(String::clone);
    Forecast {
        groove_area_m2: groove.area_m2(),
        face_width_m: groove.face_width_m(),
        notes: notes(coupon, &forecasts),
        totals: totals(coupon, &passes, &warm),
        section: lay(&coupon.fit.joint, &layers),
        verdict: chance.as_ref().map_or(Verdict::NotKnown, |chance| chance.verdict),
        above_root: above_root(hot_pass.as_ref(), &forecasts, &crown, limits),
        root: root_forecast(&judged, limits, hot_pass),
        passes: forecasts,
        crown,
        chance,
    }
}

/// The worst word of what is welded over the root.
fn above_root(
    hot_pass: Option<&Item>,
    passes: &[PassForecast],
    crown: &Item,
    limits: &Limits,
) -> Option<Verdict> {
    let walls = passes.iter().skip(1).map(|p| &p.tie_in);
    let mut items = hot_pass.into_iter().chain(walls).chain(asked_crown(crown, limits)).peekable();
    items.peek()?;
    Some(worst(items.map(|item| item.verdict)))
}

/// The crown where it is asked: a code without a limit, or a plan without a cap,
/// leaves it open, and that is no doubt about the weld planned so far.
pub(crate) fn asked_crown<'a>(crown: &'a Item, limits: &Limits) -> Option<&'a Item> {
    (limits.crown.is_some() && crown.margin.is_some()).then_some(crown)
}

pub(crate) fn root_input(coupon: &Coupon, passes: &[Resolved]) -> Result<RootInput, String> {
    match passes.first() {
        None => Err("no pass is planned".to_owned()),
        Some(pass) if pass.kind != PassKind::Root => Err("the first pass is not a root pass".to_owned()),
        Some(pass) => RootInput::new(coupon, pass),
    }
}

/// Driver of a root profile whose edges are likely to stay solid.
pub const HOLLOW: &str = "root not through: hollow";
/// Driver of the outrun answer where the joint nowhere falls.
pub const NO_FALL: &str = "the joint does not fall";
/// Why the root's shape is in no word.
pub const SHAPE_NOT_COUNTED: &str = "reads about 1 mm low, so it is in no word";
/// Load at which the root drops out, as a share of what a half circle of liquid
/// holds at the working tension. Tuned on vertical roots that common practice
/// calls sound and lost in both directions; a half circle at the middle of the
/// tension's range, 1.3 N/m, would be 1.08. No other position was looked at.
pub(crate) const LOAD_LIMIT: f64 = 1.15;
/// Scatter of the root-height model itself, m (choice: it reads low in vertical).
const ROOT_HEIGHT_SCATTER_M: f64 = 0.4e-3;

/// What an answer of the root is measured in, where it comes from, and what that
/// is worth; in the order of [`crate::sensitivity::margins`].
fn about(output: usize, is_solved: bool) -> (Unit, &'static str, Basis) {
    match output {
        0 | 1 if is_solved => (Unit::Metre, melt_back::SOLVED_SOURCE, melt_back::BASIS),
        0 | 1 => (Unit::Metre, melt_back::SOURCE, melt_back::BASIS),
        2 => (Unit::ShareOfLimit, CAPILLARY_SOURCE, POOL_BASIS),
        3 => (Unit::ShareOfLimit, RETENTION_SOURCE, POOL_BASIS),
        _ => (Unit::Metre, CAPILLARY_SOURCE, POOL_BASIS),
    }
}

fn root_item(judged: &Judged, output: usize) -> Item {
    let whole = judged.drawing.whole();
    let spread = whole.spread(output);
    let (unit, source, basis) = about(output, judged.is_solved);
    let clearance = judged.clear.each.get(output);
    Item {
        verdict: clearance.map_or(Verdict::NotKnown, |c| Verdict::from_clearance(*c)),
        margin: Some(whole.base[output]),
        unit,
        driver: spread.driver.to_owned(),
        uncertainty: Some(spread.sigma),
        source,
        basis,
    }
}

/// The weaker edge stands for the walls of the first pass.
fn root_tie_in(judged: &Result<Judged, String>) -> Item {
    match judged {
        Ok(j) => edge(j, usize::from(j.state.right_m < j.state.left_m)),
        Err(why) => Item::not_known(Unit::Metre, why, melt_back::SOURCE, melt_back::BASIS),
    }
}

fn edge(judged: &Judged, side: usize) -> Item {
    let mut edge = root_item(judged, side);
    if judged.state.pile_up_m > MELT_BACK_SCATTER_M {
        edge.driver = "metal piled up ahead of the arc".to_owned();
    }
    edge
}

fn root_forecast(judged: &Result<Judged, String>, limits: &Limits, hot_pass: Option<Item>) -> RootForecast {
    let j = match judged {
        Ok(judged) => judged,
        Err(why) => return unknown_root(why, hot_pass),
    };
    let mut burn_through = root_item(j, 2);
    burn_through.driver = at_place(&burn_through.driver, &j.state.load_place);
    let mut outrun = root_item(j, 3);
    if j.state.retention.is_none() {
        outrun.driver = NO_FALL.to_owned();
    }
    RootForecast {
        left_edge: edge(j, 0),
        right_edge: edge(j, 1),
        profile: profile(j, limits),
        burn_through,
        outrun,
        hot_pass,
        height_m: Some(j.state.low_m),
        width_m: Some(j.state.width_m),
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

/// The shape of the root, which is shown and never a word: the balance behind it
/// reads about a millimeter low. Its margin is the distance from the nearer wrong
/// shape: hollow, or more than the code's limit.
fn profile(judged: &Judged, limits: &Limits) -> Item {
    const HEIGHT: usize = 4;
    let mut profile = root_item(judged, HEIGHT);
    let state = &judged.state;
    let unfused_m = state.left_m.min(state.right_m);
    let limit_m = limits.melt_through_m(state.width_m).unwrap_or(f64::INFINITY);
    // Metal that never reaches the underside leaves a hollow, whatever the
    // balance of pressures on a fused root would be.
    profile.margin = Some(if unfused_m < 0.0 { unfused_m } else { state.low_m.min(limit_m - state.high_m) });
    profile.driver = match unfused_m < 0.0 {
        true => HOLLOW.to_owned(),
        false => at_place(SHAPE_NOT_COUNTED, &state.low_place),
    };
    profile.uncertainty = profile.uncertainty.map(|sigma_m| sigma_m.hypot(ROOT_HEIGHT_SCATTER_M));
    profile
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
            "Current comes from the wire-melting law, taken as ± {:.0} % (12 % unless the wire extension is stated); {}. Read the ammeter: it moves the root more than anything else.",
            current_share(false, coupon.settings.extension_is_stated) * 100.0,
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

/// What sweeps and maps ask of the root and of one pass alone.
pub(crate) mod forecast_verdict {
    use super::*;

    /// The answers that decide the root as planned, and what their words follow from.
    pub(crate) struct RootAsked {
        pub clear: Clear,
        pub list: Vec<Answer>,
        /// Root height and width, m.
        pub size_m: (f64, f64),
    }

    /// What the words of a root follow from, drawn.
    pub(crate) fn clear(coupon: &Coupon, x: &RootInput, scatter: &Scatter) -> Clear {
        Drawing::of(x, scatter, coupon.fit.joint_length_m()).clear()
    }

    pub(crate) fn root(x: &RootInput, clear: Clear) -> RootAsked {
        let state = root_state(x);
        let asked = ASKED.into_iter().zip(margins(&state)).zip(clear.each).enumerate();
        let list = asked.map(|(output, ((failure, margin), clearance))| {
            let (unit, source, basis) = about(output, x.is_solved());
            Answer::known(failure, margin, unit, clearance, source, basis)
        });
        RootAsked { list: list.collect(), size_m: (state.low_m, state.width_m), clear }
    }

    /// The root's answers where none is known.
    pub(crate) fn unknown_answers(why: &str) -> Vec<Answer> {
        let root = unknown_root(why, None);
        let items = root.items().map(Clone::clone);
        ASKED.into_iter().zip(items).map(|(f, item)| Answer::of(f, 1, item, None)).collect()
    }

    /// A crown's margin counted in the band in which it is marginal.
    pub(crate) fn crown_clearance(crown: &Item) -> Option<f64> {
        Some(crown.margin? / crown.uncertainty.unwrap_or(0.0).max(CROWN_SURE_M))
    }
}
