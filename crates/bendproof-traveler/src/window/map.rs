//! The settings window of one coupon: two inputs over their ranges, which
//! failure comes first, the trade's frame, this shop's plates, what to turn,
//! and the chance that the root holds along the whole joint.
//!
//! Puts the forecast's map into the words of the shop and hands it to the
//! drawing; it computes no weld.

use bendproof_drawing as draw;
use bendproof_drawing::{Frame, MapKey, Sign};
use bendproof_files::{COUPON, Document, Finding, Severity};
use bendproof_forecast::{
    Advice, Axis, Cell, Chance, Failure, HeatOf, Knob, Limits, MapError, Scatter, Scope, Verdict, WindowMap,
    advice, window_map,
};
use bendproof_measure::{System, round_to};
use bendproof_weld::Coupon;

use super::axis::{Side, path_of};
use crate::context::AssessmentContext;
use crate::drawn::sign;
use crate::forecast::compute;
use crate::plates;
use crate::plates::{PastPlate, PlatePoint};
use crate::sheet::{Provenance, trade};

/// Margins at which lines are drawn, in doubts, besides zero. One doubt is
/// where the hatching ends, and the model's own band lies near it.
const CONTOURS: [f64; 2] = [-2.0, 2.0];
/// Size of the map by itself, user units (choice: fits a printed half page).
const SIZE_PX: [f64; 2] = [480.0, 330.0];

/// What is asked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WindowRequest {
    /// Across.
    pub x: Side,
    /// Upwards.
    pub y: Side,
    /// Cells across and upwards.
    pub cells: (usize, usize),
    /// The whole plan, or the root alone.
    pub scope: Scope,
}

/// The trade's range of one side.
#[derive(Debug, Clone, PartialEq)]
pub struct TradeSide {
    /// Lower and upper end, SI.
    pub range_si: [f64; 2],
    /// Where it comes from.
    pub provenance: Provenance,
}

/// A map with what is shown with it.
#[derive(Debug, Clone, PartialEq)]
pub struct Mapped {
    /// The coupon's number.
    pub number: String,
    /// What was asked.
    pub request: WindowRequest,
    /// The map.
    pub map: WindowMap,
    /// The trade's range across and upwards, where one is known.
    pub trade: [Option<TradeSide>; 2],
    /// This shop's plates near here.
    pub plates: Vec<PlatePoint>,
    /// Whether solved beads speak at the place set.
    pub is_solved: bool,
    /// Whether left and right land stand alike, so that one name does for both.
    pub is_even: bool,
}

/// A settings window, computed.
#[derive(Debug, Clone, PartialEq)]
pub struct Window {
    /// The map.
    pub mapped: Mapped,
    /// What to turn.
    pub advice: Advice,
    /// The trade's range of what is to be turned, where the change leaves it.
    pub beyond_trade: Option<TradeSide>,
    /// The chance that the root holds along the joint, or why it is not known.
    pub chance: Result<Chance, String>,
}

/// A coupon file read for its window.
#[derive(Debug)]
pub struct WindowRead {
    /// What is wrong with the text, or worth a look.
    pub findings: Vec<Finding>,
    /// The window, or why these two sides make none; `None` when the text cannot
    /// be used.
    pub window: Option<Result<Window, MapError>>,
}

/// Reads the text of a coupon file and maps it; `plates` are finished coupons of
/// this shop.
pub fn read_window(
    text: &str,
    context: impl Into<AssessmentContext>,
    request: &WindowRequest,
    plates: &[PastPlate],
) -> WindowRead {
    let (document, mut findings) = Document::from_toml(&COUPON, text);
    let computed = compute(&document, context, None);
    findings.extend(computed.findings);
    let is_sound = computed.forecast.is_some() && findings.iter().all(|f| f.severity < Severity::Error);
    let given = computed.coupon.zip(computed.scatter).zip(computed.forecast).filter(|_| is_sound);
    let window = given.map(|((coupon, scatter), forecast)| {
        let asked =
            WindowOf { coupon: &coupon, scatter: &scatter, limits: &computed.limits, heat: HeatOf::Fast };
        window(&asked, forecast.chance, request, plates)
    });
    WindowRead { findings, window }
}

/// What a window is of.
#[derive(Clone, Copy)]
pub(crate) struct WindowOf<'a> {
    pub coupon: &'a Coupon,
    pub scatter: &'a Scatter,
    pub limits: &'a Limits,
    pub heat: HeatOf<'a>,
}

/// Maps a coupon and says what to turn; `chance` is that of its forecast.
///
/// # Errors
/// [`MapError`] when the two sides make no map.
pub(crate) fn window(
    of: &WindowOf<'_>,
    chance: Result<Chance, String>,
    request: &WindowRequest,
    plates: &[PastPlate],
) -> Result<Window, MapError> {
    let advice = advice(of.coupon, of.limits, of.scatter, request.scope, of.heat);
    Ok(Window {
        mapped: mapped(of, request, &plates::near(of.coupon, plates))?,
        beyond_trade: beyond_trade(of.coupon, &advice),
        advice,
        chance,
    })
}

/// The map alone, which a page asks for at every touch.
pub(crate) fn mapped(
    of: &WindowOf<'_>,
    request: &WindowRequest,
    near: &[&PastPlate],
) -> Result<Mapped, MapError> {
    let coupon = of.coupon;
    let axis =
        |side: &Side, cells| Axis { knob: side.knob, low_si: side.low_si, high_si: side.high_si, cells };
    let (x, y) = (axis(&request.x, request.cells.0), axis(&request.y, request.cells.1));
    let joint = &coupon.fit.joint;
    Ok(Mapped {
        number: coupon.id.clone(),
        request: *request,
        map: window_map(coupon, of.limits, of.scatter, request.scope, of.heat, [x, y])?,
        trade: [trade_of(coupon, request.x.knob), trade_of(coupon, request.y.knob)],
        plates: plates::points(near, &request.x.path(), &request.y.path()),
        is_solved: matches!(of.heat, HeatOf::Solved(_)),
        is_even: joint.root_face_left_m == joint.root_face_right_m && joint.mismatch_m == 0.0,
    })
}

/// The trade's range that the advised change would leave, if it does.
pub(crate) fn beyond_trade(coupon: &Coupon, advice: &Advice) -> Option<TradeSide> {
    let change = advice.change.as_ref()?;
    let trade = trade_of(coupon, change.knob)?;
    let [low, high] = trade.range_si;
    // Float rounding of a value on the end is no step beyond it.
    let hair = 1e-6 * (high - low).abs();
    (change.to_si < low - hair || change.to_si > high + hair).then_some(trade)
}

impl Mapped {
    /// The units the map is read in.
    pub(crate) fn system(&self) -> System {
        let sides = [self.request.x.system, self.request.y.system];
        if sides.contains(&System::Metric) { System::Metric } else { System::Inch }
    }
}

pub(crate) fn trade_of(coupon: &Coupon, knob: Knob) -> Option<TradeSide> {
    let pass = coupon.passes.get(knob.pass().unwrap_or(0));
    let range = trade::range(&path_of(knob), pass.map(|p| p.kind), pass.map(|p| p.progression))?;
    Some(TradeSide { range_si: [range.low_si, range.high_si], provenance: range.provenance.clone() })
}

/// What comes first, in few words: `root face stays`, `burns through`.
pub(crate) fn short_name(failure: Failure, is_even: bool) -> &'static str {
    match failure {
        Failure::LeftEdge | Failure::RightEdge if is_even => "root face stays",
        Failure::LeftEdge => "left root face stays",
        Failure::RightEdge => "right root face stays",
        Failure::BurnThrough => "burns through",
        Failure::Outrun => "puddle ahead",
        Failure::HotPass => "hot pass falls through",
        Failure::Walls => "sidewall not fused",
        Failure::Crown => "crown",
    }
}

/// An answer's name as on the sheet: `left root edge`, `walls of pass 3`.
pub(crate) fn answer_name(failure: Failure, pass: usize) -> String {
    match failure {
        Failure::LeftEdge => "left root face".to_owned(),
        Failure::RightEdge => "right root face".to_owned(),
        Failure::BurnThrough => "burn-through".to_owned(),
        Failure::Outrun => "puddle ahead of arc".to_owned(),
        Failure::HotPass => "root bead under hot pass".to_owned(),
        Failure::Walls => format!("walls of pass {pass}"),
        Failure::Crown => "cap height".to_owned(),
    }
}

/// The drawing of a window; `size_px` is that of the map itself.
pub(crate) fn drawn(window: &Mapped, size_px: [f64; 2], has_legend: bool) -> draw::WindowMap {
    let Mapped { map, request, .. } = window;
    let (x, y) = (&request.x, &request.y);
    let ticks = |side: &Side| {
        let tick = |m: super::axis::Mark| draw::Tick { at: side.shown(m.si), label: m.label, also: m.also };
        side.ticks().into_iter().map(tick).collect()
    };
    let range = |side: &Side, r: (f64, f64)| [side.shown(r.0), side.shown(r.1)];
    // Where the check does not ask for one side, its frame runs along the whole of it.
    let checked = match map.checked {
        [None, None] => None,
        [a, b] => {
            Some([range(x, a.unwrap_or((x.low_si, x.high_si))), range(y, b.unwrap_or((y.low_si, y.high_si)))])
        }
    };
    let trade = match &window.trade {
        [None, None] => None,
        [a, b] => {
            let of = |side: &Side, t: &Option<TradeSide>| {
                let si = t.as_ref().map_or([side.low_si, side.high_si], |t| t.range_si);
                range(side, (si[0], si[1]))
            };
            Some([of(x, a), of(y, b)])
        }
    };
    let ring = map.scatter[0].zip(map.scatter[1]).map(|(a, b)| [x.shown_width(a), y.shown_width(b)]);
    draw::WindowMap {
        x: [x.shown(x.low_si), x.shown(x.high_si)],
        y: [y.shown(y.low_si), y.shown(y.high_si)],
        x_label: x.label(),
        y_label: y.label(),
        ticks: [ticks(x), ticks(y)],
        cells: map.rows.iter().map(|row| row.iter().map(drawn_cell).collect()).collect(),
        names: Failure::ALL.iter().map(|f| short_name(*f, window.is_even).to_owned()).collect(),
        contours: CONTOURS.to_vec(),
        checked,
        trade,
        dots: window.plates.iter().map(|p| (x.shown(p.at_si[0]), y.shown(p.at_si[1]), p.held)).collect(),
        value: map.value.map(|[a, b]| [x.shown(a), y.shown(b)]),
        scatter: ring,
        legend: if has_legend { legend(window, trade.is_some(), checked.is_some()) } else { Vec::new() },
        size_px,
    }
}

fn drawn_cell(cell: &Cell) -> draw::MapCell {
    let first = cell.first.and_then(|(f, _)| Failure::ALL.iter().position(|known| *known == f));
    draw::MapCell {
        sign: sign(cell.verdict),
        first,
        clearance: cell.clearance,
        in_model_error: cell.in_model_error(),
    }
}

/// Only what is on the map is explained.
fn legend(window: &Mapped, has_trade: bool, has_box: bool) -> Vec<(MapKey, String)> {
    let map = &window.map;
    let cells = || map.rows.iter().flatten();
    let has = |v: Verdict| cells().any(|c| c.verdict == v);
    let mut out = Vec::new();
    for (verdict, text) in [
        (Verdict::Holds, "OK"),
        (Verdict::Marginal, "marginal"),
        (Verdict::Fails, "fails"),
        (Verdict::NotKnown, "unknown"),
    ] {
        if has(verdict) {
            out.push((MapKey::Sign(sign(verdict)), text.to_owned()));
        }
    }
    let crossed = |level: f64| {
        let over = |c: &Cell| c.clearance.map(|v| v >= level);
        cells().any(|c| over(c) == Some(true)) && cells().any(|c| over(c) == Some(false))
    };
    if crossed(0.0) {
        out.push((MapKey::Line, "the limit: zero margin".to_owned()));
    }
    if CONTOURS.into_iter().any(crossed) {
        out.push((MapKey::Contour, "twice the uncertainty from it".to_owned()));
    }
    if let Some(error) = model_error(map) {
        out.push((MapKey::ModelError, format!("error of the fast model, {error}")));
    }
    let held = window.plates.iter().filter(|p| p.held).count();
    // Then a dot may stand for several plates that lie close together.
    let is_shared = window.plates.iter().any(|p| p.plates > 1);
    for (there, key, text) in [
        (map.value.is_some(), MapKey::Value, "current settings"),
        (
            map.scatter[0].is_some() && map.scatter[1].is_some(),
            MapKey::Scatter,
            "your variation, one deviation",
        ),
        (has_trade, MapKey::Trade, "typical range"),
        (has_box, MapKey::Checked, "checked range"),
        (
            held > 0,
            MapKey::Held,
            if is_shared { "your coupons that passed" } else { "your coupon that passed" },
        ),
        (
            held < window.plates.len(),
            MapKey::Lost,
            if is_shared { "your coupons that failed" } else { "your coupon that failed" },
        ),
    ] {
        if there {
            out.push((key, text.to_owned()));
        }
    }
    out
}

/// The error of the fast model that this map shows, in words: `±0.2 mm`; none
/// where nothing on it rests on fitted heat.
pub(crate) fn model_error(map: &WindowMap) -> Option<String> {
    let errors = || map.rows.iter().flatten().filter_map(|c| c.first?.0.model_error_m());
    let (low, high) = (errors().reduce(f64::min)?, errors().reduce(f64::max)?);
    let [low, high] = [low, high].map(|m| round_to(m * 1e3, 2));
    Some(if low == high { format!("±{low} mm") } else { format!("±{low} to {high} mm") })
}

/// The window as SVG with its legend, in the colours of `frame`.
pub fn window_svg(window: &Window, frame: &Frame<'_>) -> String {
    draw::window_map(&drawn(&window.mapped, SIZE_PX, true), frame)
}

/// The sentence under a map for those who do not see it.
pub fn window_description(window: &Window) -> String {
    let map = &window.mapped.map;
    let count = |v: Verdict| map.rows.iter().flatten().filter(|c| c.verdict == v).count();
    let all = (map.x.cells * map.y.cells).max(1);
    let share = |v| 100.0 * count(v) as f64 / all as f64;
    format!(
        "Share of the map: {:.0}% OK, {:.0}% marginal, {:.0}% fails, {:.0}% unknown.",
        share(Verdict::Holds),
        share(Verdict::Marginal),
        share(Verdict::Fails),
        share(Verdict::NotKnown)
    )
}

/// The frame of a window's drawing on paper; the words must outlive it.
pub fn window_title(window: &Window) -> String {
    let name = |side: &Side| super::axis::label_of(side.knob);
    let Mapped { number, request, .. } = &window.mapped;
    format!("Coupon {number}, {} against {}", name(&request.y), name(&request.x))
}

/// The four words as the map's plain text spells them: one letter a failure.
pub(crate) fn letter(cell: &Cell) -> char {
    let of = |failure: Failure| match failure {
        Failure::LeftEdge | Failure::RightEdge => 'l',
        Failure::BurnThrough => 'd',
        Failure::Outrun => 'p',
        Failure::HotPass => 'h',
        Failure::Walls => 'w',
        Failure::Crown => 'c',
    };
    match (sign(cell.verdict), cell.first) {
        (Sign::Fails, Some((f, _))) => of(f).to_ascii_uppercase(),
        (Sign::Marginal, Some((f, _))) => of(f),
        (Sign::Holds, _) => '.',
        _ => '?',
    }
}
