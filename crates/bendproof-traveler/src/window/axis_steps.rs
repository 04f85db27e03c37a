//! The side of a live window: how far it runs around the value set, in which
//! steps a hand moves along it, and what is then written into the coupon.

use bendproof_files::{COUPON, Document, What};
use bendproof_forecast::Knob;
use bendproof_measure::{Kind, Quantity, System, inch_fraction, round_to, unit_named};
use bendproof_weld::Coupon;

use super::axis::{Side, kind_of, path_of};

/// Steps of the hand shown on both sides of the value where the trade and the
/// check leave the ends open (choice).
const STEPS_SHOWN: f64 = 4.0;
/// Ends are distinguished from whole steps by this share of one.
const HAIR: f64 = 1e-6;
/// Decimals that tell any of the steps below exactly.
const DECIMALS: usize = 3;

/// Steps along a side, in its unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Steps {
    /// The finest a hand sets: one press of an arrow key.
    pub fine: f64,
    /// What a hand calls one step.
    pub coarse: f64,
}

/// Steps of an input in a system. Choice: a tenth of the step of the hand, and
/// the finest mark of a rule for lengths.
pub(crate) fn steps(knob: Knob, system: System) -> Steps {
    let is_metric = system == System::Metric;
    let (fine, coarse) = match (kind_of(knob), knob) {
        (Kind::Length, _) if is_metric => (0.1, 0.5),
        (Kind::Length, Knob::Thickness) => (1.0 / 64.0, 1.0 / 16.0),
        (Kind::Length, _) => (1.0 / 64.0, 1.0 / 32.0),
        (Kind::Speed, Knob::WireFeed(_)) if is_metric => (0.5, 5.0),
        (Kind::Speed, Knob::WireFeed(_)) => (1.0, 10.0),
        (Kind::Speed, _) if is_metric => (0.05, 0.5),
        (Kind::Speed, _) => (0.1, 1.0),
        (Kind::Temperature, _) if is_metric => (2.0, 20.0),
        (Kind::Temperature, _) => (5.0, 50.0),
        (Kind::Angle, _) => (1.0, 5.0),
        (Kind::Current, _) => (1.0, 10.0),
        _ => (0.1, 1.0),
    };
    Steps { fine, coarse }
}

/// The system a value is written in; inches where it is not written or has none.
pub(crate) fn system_of(document: &Document, knob: Knob) -> System {
    let text = document.get(&path_of(knob)).unwrap_or_default();
    Quantity::parse(kind_of(knob), text).map_or(System::Inch, |q| q.system)
}

/// The side around the value set: the trade's range, the range checked and a few
/// steps next to the value, rounded outward to whole steps.
pub(crate) fn side_around(
    document: &Document,
    coupon: &Coupon,
    knob: Knob,
    trade_si: Option<[f64; 2]>,
) -> Option<Side> {
    let value_si = knob.value_si(coupon)?;
    let by_si = STEPS_SHOWN * knob.hand_step().0;
    let checked_si = knob.checked_si().map(|(low, high)| [low, high]);
    let (mut low_si, mut high_si) = (value_si, value_si);
    let around = trade_si.is_none() && checked_si.is_none();
    for [low, high] in
        [trade_si, checked_si, around.then_some([value_si - by_si, value_si + by_si])].into_iter().flatten()
    {
        (low_si, high_si) = (low_si.min(low), high_si.max(high));
    }
    let side = Side { knob, low_si, high_si, system: system_of(document, knob) };
    let What::Quantity(bound) = COUPON.spec(&side.path())?.what else { return None };
    let coarse = steps(knob, side.system).coarse;
    let shown = |si| side.shown(si) / coarse;
    let low = side.si_of((shown(low_si) + HAIR).floor() * coarse);
    let high = side.si_of((shown(high_si) - HAIR).ceil() * coarse);
    Some(Side { low_si: low.max(bound.min_si), high_si: high.min(bound.max_si), ..side })
}

/// A value taken to the nearest fine step inside the side: in the side's unit,
/// and as it is written into a coupon.
pub(crate) fn settled(side: &Side, shown: f64) -> (f64, String) {
    let fine = steps(side.knob, side.system).fine;
    let held = shown.clamp(side.shown(side.low_si), side.shown(side.high_si));
    let value = (held / fine).round() * fine;
    (value, written(side, value))
}

/// A value in the side's unit as the trade writes it.
pub(crate) fn written(side: &Side, shown: f64) -> String {
    let unit = side.unit();
    let is_fraction = kind_of(side.knob) == Kind::Length && side.system != System::Metric;
    match is_fraction {
        true => format!("{} {unit}", inch_fraction(side.si_of(shown))),
        false => format!("{} {unit}", round_to(shown, DECIMALS)),
    }
}

impl Side {
    /// SI of a value in the side's unit.
    pub(crate) fn si_of(&self, shown: f64) -> f64 {
        unit_named(self.unit()).map_or(shown, |u| shown * u.si_per_unit + u.si_at_zero)
    }
}

/// What a change of the window writes besides what it names: uneven lands stay
/// uneven, a bead area gives way to a travel, and a current read at one wire feed
/// is carried to the other, as it moves at the machine.
pub(crate) fn window_changes(
    document: &Document,
    coupon: Option<&Coupon>,
    named: &[(String, Option<String>)],
) -> Vec<(String, Option<String>)> {
    let mut out = named.to_vec();
    for (path, text) in named {
        let Some(text) = text else { continue };
        let follows = match path.strip_prefix("pass.").and_then(|rest| rest.split_once('.')) {
            Some((row, "travel")) => {
                let area = format!("pass.{row}.bead_area");
                document.get(&area).is_some().then_some((area, None))
            }
            Some((row, "wire_feed")) => amps_following(document, coupon, row, text),
            _ if path == "fit.root_face" => right_land_following(document, text),
            _ => None,
        };
        // What the hand sets itself is not set twice.
        out.extend(follows.filter(|(path, _)| named.iter().all(|(p, _)| p != path)));
    }
    out
}

fn right_land_following(document: &Document, text: &str) -> Option<(String, Option<String>)> {
    let read = |text: &str| Quantity::parse(Kind::Length, text).ok();
    let right = read(document.get("fit.root_face_right")?)?;
    let by_si = read(text)?.si - read(document.get("fit.root_face")?)?.si;
    let moved = Quantity { si: (right.si + by_si).max(0.0), ..right };
    Some(("fit.root_face_right".to_owned(), Some(bendproof_measure::say(&moved))))
}

fn amps_following(
    document: &Document,
    coupon: Option<&Coupon>,
    row: &str,
    text: &str,
) -> Option<(String, Option<String>)> {
    let path = format!("pass.{row}.amps");
    document.get(&path)?;
    let pass = row.parse::<usize>().ok()?.checked_sub(1)?;
    let feed = Quantity::parse(Kind::Speed, text).ok()?;
    let moved = Knob::WireFeed(pass).moved(coupon?, feed.si)?;
    let amps = moved.passes.get(pass)?.amps_read?;
    Some((path, Some(format!("{} A", round_to(amps, 0)))))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn side(knob: Knob, system: System, ends: [f64; 2]) -> Side {
        Side { knob, low_si: ends[0], high_si: ends[1], system }
    }

    #[test]
    fn a_hand_stops_at_marks_it_can_read_and_inside_the_map() {
        let inch = side(Knob::RootOpening, System::Inch, [0.0, 0.00635]);
        assert_eq!(settled(&inch, 0.1301), (0.125, "1/8 in".to_owned()));
        assert_eq!(settled(&inch, 9.0).1, "1/4 in");
        assert_eq!(settled(&inch, -1.0).1, "0 in");
        let metric = side(Knob::RootFace, System::Metric, [0.0, 0.0032]);
        assert_eq!(settled(&metric, 1.5501).1, "1.6 mm");
        let volts = side(Knob::Volts(0), System::Neither, [16.0, 19.0]);
        assert_eq!(settled(&volts, 17.449).1, "17.4 V");
        let warm = side(Knob::StartTemperature, System::Inch, [283.15, 400.0]);
        assert_eq!(settled(&warm, 72.0).1, "70 °F");
    }

    #[test]
    fn what_hangs_on_a_value_moves_with_it_unless_the_hand_sets_it() {
        let mut document = Document::default();
        for (path, text) in
            [("fit.root_face", "1/16 in"), ("fit.root_face_right", "3/32 in"), ("pass.1.bead_area", "13 mm2")]
        {
            document.set(path, Some(text));
        }
        let set = |path: &str, text: &str| (path.to_owned(), Some(text.to_owned()));
        let named = [set("fit.root_face", "1/32 in"), set("pass.1.travel", "9 in/min")];
        let all = window_changes(&document, None, &named);
        assert_eq!(all[2..], [set("fit.root_face_right", "1/16 in"), ("pass.1.bead_area".to_owned(), None)]);
        let both = [set("fit.root_face", "1/32 in"), set("fit.root_face_right", "1/8 in")];
        assert_eq!(window_changes(&document, None, &both), both);
    }
}
