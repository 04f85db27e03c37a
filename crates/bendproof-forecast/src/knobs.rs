//! The inputs that can be turned one at a time: how each is read, moved, and
//! counted in the unit a hand understands.
//!
//! It judges nothing; sweeps, maps and recommendations stand on it.

use bendproof_weld::arc;
use bendproof_weld::{Coupon, Pass, Travel};

use crate::forecast::Scatter;
use crate::melt_back::{BoxSide, CHECKED_BOX};
use crate::passes::resolve;

/// One input that can be turned.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Knob {
    /// Root opening, m.
    RootOpening,
    /// Both lands, m; uneven lands stay uneven.
    RootFace,
    /// Mismatch, m.
    Mismatch,
    /// Included groove angle, rad.
    GrooveAngle,
    /// Plate or wall thickness, m.
    Thickness,
    /// Metal temperature before the first arc, K.
    StartTemperature,
    /// Volts of a pass, counted from 0, V.
    Volts(usize),
    /// Wire feed of a pass, counted from 0, m/s. A current read at the old feed
    /// moves with it along the melting law, as it does at the machine.
    WireFeed(usize),
    /// Travel of a pass, counted from 0, m/s.
    Travel(usize),
    /// Current read in a pass, counted from 0, A.
    Amps(usize),
}

const INCH_M: f64 = 0.0254;
const INCH_PER_MIN_M_S: f64 = INCH_M / 60.0;
/// Steps a hand understands, SI. Choice: the smallest change that a shop sets
/// or measures on purpose.
const FIT_STEP_M: f64 = INCH_M / 32.0;
const THICKNESS_STEP_M: f64 = INCH_M / 16.0;
const ANGLE_STEP_RAD: f64 = 5.0 * std::f64::consts::PI / 180.0;
const TEMPERATURE_STEP_K: f64 = 50.0 / 1.8;
const VOLTS_STEP_V: f64 = 1.0;
const FEED_STEP_M_S: f64 = 10.0 * INCH_PER_MIN_M_S;
const TRAVEL_STEP_M_S: f64 = INCH_PER_MIN_M_S;
const AMPS_STEP_A: f64 = 10.0;

impl Knob {
    /// The pass it belongs to, counted from 0; `None` for the fit.
    pub fn pass(self) -> Option<usize> {
        match self {
            Knob::Volts(p) | Knob::WireFeed(p) | Knob::Travel(p) | Knob::Amps(p) => Some(p),
            _ => None,
        }
    }

    /// One step in the unit of the hand: its size in SI and its name.
    pub fn hand_step(self) -> (f64, &'static str) {
        match self {
            Knob::RootOpening | Knob::RootFace | Knob::Mismatch => (FIT_STEP_M, "1/32 in"),
            Knob::GrooveAngle => (ANGLE_STEP_RAD, "5 deg"),
            Knob::Thickness => (THICKNESS_STEP_M, "1/16 in"),
            Knob::StartTemperature => (TEMPERATURE_STEP_K, "50 F"),
            Knob::Volts(_) => (VOLTS_STEP_V, "1 V"),
            Knob::WireFeed(_) => (FEED_STEP_M_S, "10 in/min"),
            Knob::Travel(_) => (TRAVEL_STEP_M_S, "1 in/min"),
            Knob::Amps(_) => (AMPS_STEP_A, "10 A"),
        }
    }

    /// Whether a welder can turn it: the plate's thickness is given, and the
    /// current follows the wire on a constant-voltage machine.
    pub fn is_in_hand(self) -> bool {
        !matches!(self, Knob::Thickness | Knob::Amps(_))
    }

    /// Where the coupon stands, SI; `None` when the pass is not planned or no
    /// current was read in it.
    pub fn value_si(self, coupon: &Coupon) -> Option<f64> {
        let joint = &coupon.fit.joint;
        let pass = |p: usize| coupon.passes.get(p);
        match self {
            Knob::RootOpening => Some(joint.root_opening_m),
            Knob::RootFace => Some(joint.root_face_left_m),
            Knob::Mismatch => Some(joint.mismatch_m),
            Knob::GrooveAngle => Some(joint.groove_angle_rad),
            Knob::Thickness => Some(joint.thickness_m),
            Knob::StartTemperature => Some(coupon.fit.start_temperature_k),
            Knob::Volts(p) => Some(pass(p)?.volts),
            Knob::WireFeed(p) => Some(pass(p)?.wire_feed_m_s),
            Knob::Travel(p) => Some(resolve(&coupon.settings, pass(p)?).travel_m_s),
            Knob::Amps(p) => pass(p)?.amps_read,
        }
    }

    /// The coupon with this input at `si`, everything else as planned; `None`
    /// when that is no coupon: a negative opening, a land as high as the plate,
    /// a pass that is not planned, a number that is not one.
    pub fn moved(self, coupon: &Coupon, si: f64) -> Option<Coupon> {
        let is_size = matches!(self, Knob::RootOpening | Knob::RootFace | Knob::Mismatch);
        if !si.is_finite() || si < 0.0 || (si == 0.0 && !is_size) {
            return None;
        }
        let mut moved = coupon.clone();
        let joint = &mut moved.fit.joint;
        match self {
            Knob::RootOpening => joint.root_opening_m = si,
            Knob::RootFace => {
                // Even lands stay even to the last digit.
                let uneven_m = joint.root_face_right_m - joint.root_face_left_m;
                joint.root_face_left_m = si;
                joint.root_face_right_m = (si + uneven_m).max(0.0);
            }
            Knob::Mismatch => joint.mismatch_m = si,
            Knob::GrooveAngle => joint.groove_angle_rad = si,
            Knob::Thickness => joint.thickness_m = si,
            Knob::StartTemperature => moved.fit.start_temperature_k = si,
            Knob::Volts(p) => moved.passes.get_mut(p)?.volts = si,
            Knob::WireFeed(p) => feed(coupon, moved.passes.get_mut(p)?, si),
            Knob::Travel(p) => moved.passes.get_mut(p)?.travel = Travel::Speed(si),
            Knob::Amps(p) => moved.passes.get_mut(p)?.amps_read = Some(si),
        }
        let joint = &moved.fit.joint;
        let fits = joint.root_face_max_m() < joint.thickness_m
            && joint.mismatch_m < joint.thickness_m
            && joint.groove_angle_rad < std::f64::consts::PI;
        fits.then_some(moved)
    }

    /// The range in which the root model was checked, SI; `None` where the
    /// check does not ask for this input.
    pub fn checked_si(self) -> Option<(f64, f64)> {
        let name = match self {
            Knob::RootOpening => "root opening",
            Knob::RootFace => "root face",
            Knob::GrooveAngle => "groove angle",
            Knob::Thickness => "thickness",
            Knob::StartTemperature => "start temperature",
            Knob::Volts(0) => "volts",
            Knob::WireFeed(0) => "wire feed",
            Knob::Travel(0) => "travel",
            _ => return None,
        };
        let side: &BoxSide = CHECKED_BOX.iter().find(|side| side.name == name)?;
        Some((side.low * side.si_per_unit, side.high * side.si_per_unit))
    }

    /// One standard deviation of this input under the hand at `value_si`, SI;
    /// `None` where the scatter does not tell it.
    pub fn scatter_si(self, scatter: &Scatter, value_si: f64) -> Option<f64> {
        match self {
            Knob::RootOpening => Some(scatter.root_opening_m),
            Knob::RootFace => Some(scatter.root_face_m),
            Knob::Volts(_) => Some(scatter.volts),
            Knob::WireFeed(_) => Some(scatter.wire_feed_share * value_si),
            Knob::Travel(_) => Some(scatter.travel_share * value_si),
            _ => None,
        }
    }
}

fn feed(coupon: &Coupon, pass: &mut Pass, feed_m_s: f64) {
    let s = &coupon.settings;
    let law = |feed| arc::current_from_wire_feed_a(s.wire_diameter_m, s.extension_m, feed);
    pass.amps_read = pass.amps_read.map(|read_a| read_a * law(feed_m_s) / law(pass.wire_feed_m_s));
    pass.wire_feed_m_s = feed_m_s;
}
