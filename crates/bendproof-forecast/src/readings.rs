//! Which reading not made yet would settle the chance most.
//!
//! A reading narrows what one input is for the whole coupon to the reading's own
//! error; what varies along the joint stays. What it will show nobody knows before,
//! so ten readings are asked, each as likely as the others, and the same draws say
//! the chance after each. The reading that spreads the chance most settles most: the
//! mean Brier score falls by just the variance of the chance after it.

use bendproof_weld::Coupon;
use bendproof_weld::arc;

use crate::answers::{HeatOf, resolved};
use crate::chance::{Drawing, word};
use crate::draws::{Known, SHARED};
use crate::forecast::{Scatter, root_input};
use crate::item::Verdict;
use crate::root::RootInput;
use crate::sensitivity::{CURRENT, FEED, LAND, METER_SHARE, OPENING, TRAVEL, VOLTS, current_share};

/// A reading that a bay can make.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Reading {
    /// Amps at the wire speed, from the ammeter.
    Amps,
    /// Wire extension, measured right after stopping.
    Extension,
    /// Volts at the gun.
    Volts,
    /// Wire fed in a minute, weighed.
    WireFeed,
    /// Travel, by stopwatch.
    Travel,
    /// Root opening, at five places.
    RootOpening,
    /// Land, at five places.
    RootFace,
}

/// One standard deviation of each reading itself; all choices, no measurement: a
/// second voltmeter, a scale, a stopwatch over a whole joint, a taper gauge and a
/// caliper at five places.
const VOLTS_READ_V: f64 = 0.1;
const FEED_READ_SHARE: f64 = 0.01;
const TRAVEL_READ_SHARE: f64 = 0.03;
const FIT_READ_M: f64 = 0.1e-3;

/// Ten readings, each as likely as the others, in standard deviations: the middles
/// of tenths of the normal law. The first and last hold nine in ten between them.
const TENTHS: [f64; 10] = [
    -1.644_854, -1.036_433, -0.674_490, -0.385_320, -0.125_661, 0.125_661, 0.385_320, 0.674_490, 1.036_433,
    1.644_854,
];

impl Reading {
    /// All, the easiest first.
    pub const ALL: [Reading; 7] = [
        Reading::Amps,
        Reading::Extension,
        Reading::Volts,
        Reading::WireFeed,
        Reading::Travel,
        Reading::RootOpening,
        Reading::RootFace,
    ];

    /// The key JSON uses.
    pub fn key(self) -> &'static str {
        match self {
            Reading::Amps => "amps",
            Reading::Extension => "extension",
            Reading::Volts => "volts",
            Reading::WireFeed => "wire_feed",
            Reading::Travel => "travel",
            Reading::RootOpening => "root_opening",
            Reading::RootFace => "root_face",
        }
    }

    /// Place of its input among those that scatter, and what the reading leaves of
    /// that for the whole coupon, as a share.
    fn narrows(self, x: &RootInput, scatter: &Scatter) -> (usize, f64) {
        let current = current_share(x.amps_read.is_some(), x.extension_is_stated);
        let (nudge, left, whole) = match self {
            Reading::Amps => (CURRENT, METER_SHARE, current),
            Reading::Extension => (CURRENT, arc::CURRENT_UNCERTAINTY_AT_EXTENSION_SHARE, current),
            Reading::Volts => (VOLTS, VOLTS_READ_V, scatter.volts),
            Reading::WireFeed => (FEED, FEED_READ_SHARE, scatter.wire_feed_share),
            Reading::Travel => (TRAVEL, TRAVEL_READ_SHARE, SHARED * scatter.travel_share),
            Reading::RootOpening => (OPENING, FIT_READ_M, SHARED * scatter.root_opening_m),
            Reading::RootFace => (LAND, FIT_READ_M, SHARED * scatter.root_face_m),
        };
        // A reading no better than what is known teaches nothing.
        (nudge, if whole > left { left / whole } else { 1.0 })
    }
}

/// The reading that would settle most, and what would be known after it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NextReading {
    /// The reading.
    pub reading: Reading,
    /// Between what the chance would then lie in nine of ten cases.
    pub range: [f64; 2],
    /// Share of readings after which the word is "should hold" or "likely to fail".
    pub clear_share: f64,
    /// Whether the word could be another one after it.
    pub can_turn: bool,
    /// Variance of the chance after it: by so much the mean Brier score falls.
    pub variance: f64,
}

/// Which of the readings not made yet, `open`, would settle the chance of a coupon's
/// root most; `None` where none would teach anything.
///
/// # Errors
/// Says why the root has no chance at all.
pub fn next_reading(
    coupon: &Coupon,
    scatter: &Scatter,
    heat: HeatOf<'_>,
    open: &[Reading],
) -> Result<Option<NextReading>, String> {
    let x = heat.behind(root_input(coupon, &resolved(coupon))?);
    let length_m = coupon.fit.joint_length_m();
    let drawing = Drawing::of(&x, scatter, length_m);
    let now = word(drawing.chance(None));
    let settled_by = |reading: &Reading| {
        let (nudge, width) = reading.narrows(&x, scatter);
        // Where the reading will lie, so that reading and rest make up the whole.
        let reach = (1.0 - width * width).sqrt();
        let after = TENTHS.map(|tenth| match reading {
            // The machine is then asked as it is with its ammeter read.
            Reading::Amps => Drawing::of(&with_amps(&x, reach * tenth), scatter, length_m).chance(None),
            _ => drawing.chance(Some(Known { nudge, at: reach * tenth, width })),
        });
        (width < 1.0).then(|| NextReading::of(*reading, &after, now))
    };
    Ok(open.iter().filter_map(settled_by).max_by(|a, b| a.variance.total_cmp(&b.variance)))
}

/// The root with a current read that lies so many deviations off the melting law.
fn with_amps(x: &RootInput, deviations: f64) -> RootInput {
    let share = current_share(x.amps_read.is_some(), x.extension_is_stated);
    RootInput { amps_read: Some(x.current_a() * (1.0 + share * deviations)), ..x.clone() }
}

impl NextReading {
    fn of(reading: Reading, after: &[f64; TENTHS.len()], now: Verdict) -> Self {
        let share = |is: &dyn Fn(Verdict) -> bool| {
            after.iter().filter(|chance| is(word(**chance))).count() as f64 / after.len() as f64
        };
        let mean = after.iter().sum::<f64>() / after.len() as f64;
        Self {
            reading,
            range: [after.iter().copied().fold(1.0, f64::min), after.iter().copied().fold(0.0, f64::max)],
            clear_share: share(&|word| word != Verdict::Marginal),
            can_turn: share(&|word| word != now) > 0.0,
            variance: after.iter().map(|chance| (chance - mean).powi(2)).sum::<f64>() / after.len() as f64,
        }
    }
}
