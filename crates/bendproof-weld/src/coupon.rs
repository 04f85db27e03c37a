//! A coupon: the test piece, how it is set, what is planned and what was done.
//!
//! Constructed by the edge (the file reader and the shop), which checks every
//! range; the rest of the program trusts it.

use crate::words::*;

/// A groove-weld test piece with its plan and its log.
#[derive(Debug, Clone, PartialEq)]
pub struct Coupon {
    /// The shop's number for it.
    pub id: String,
    /// The joint as fitted.
    pub fit: Fit,
    /// Process, wire, gas and machine.
    pub settings: Settings,
    /// Planned passes, root first.
    pub passes: Vec<Pass>,
    /// What was read while welding; empty before the arc.
    pub log: Log,
}

/// Plate or pipe.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shape {
    /// Flat plate, welded along `length_m`.
    Plate {
        /// Length of the joint, m.
        length_m: f64,
    },
    /// Round pipe, welded around.
    Pipe {
        /// Outside diameter, m.
        outside_diameter_m: f64,
    },
}

/// The single-V groove, SI units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Joint {
    /// Plate or wall thickness, m.
    pub thickness_m: f64,
    /// Included groove angle, rad.
    pub groove_angle_rad: f64,
    /// Gap between the lands, m.
    pub root_opening_m: f64,
    /// Land height on the left edge, m.
    pub root_face_left_m: f64,
    /// Land height on the right edge, m.
    pub root_face_right_m: f64,
    /// Hi-lo: how far the right member stands above the left at the underside, m.
    pub mismatch_m: f64,
    /// Open root or steel backing.
    pub backing: Backing,
}

/// The joint and where it stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Fit {
    /// Plate or pipe.
    pub shape: Shape,
    /// The groove.
    pub joint: Joint,
    /// Test position.
    pub position: Position,
    /// Name of the steel, as listed in `data/steels.toml`.
    pub steel: String,
    /// Metal temperature before the first arc, K.
    pub start_temperature_k: f64,
}

/// Process, consumables and machine, common to all passes unless a pass says otherwise.
#[derive(Debug, Clone, PartialEq)]
pub struct Settings {
    /// Welding process.
    pub process: Process,
    /// Metal transfer; `None` for processes without modes.
    pub transfer: Option<Transfer>,
    /// Wire classification as printed on the spool, for example `ER70S-6`.
    pub wire: String,
    /// Wire diameter, m.
    pub wire_diameter_m: f64,
    /// Shielding gas.
    pub gas: Gas,
    /// Gas flow, m³/s.
    pub gas_flow_m3_s: f64,
    /// Electrode extension: contact tip to melting end, m.
    pub extension_m: f64,
    /// Whether someone stated that extension, or it is a proposal.
    pub extension_is_stated: bool,
    /// Share of melted wire that stays in the joint, 0 to 1.
    pub deposition_efficiency: f64,
    /// Highest metal temperature allowed before the next bead, K.
    pub interpass_max_k: f64,
    /// Prices; every one is the shop's own.
    pub prices: Prices,
}

/// What the shop pays. Zero means "not stated", and the cost is then not known.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Prices {
    /// Per kilogram of wire.
    pub wire_per_kg: f64,
    /// Per cubic metre of gas.
    pub gas_per_m3: f64,
    /// Per hour of welder and booth.
    pub hour: f64,
    /// Per coupon blank.
    pub blank: f64,
}

/// One planned pass: one or more beads laid the same way.
#[derive(Debug, Clone, PartialEq)]
pub struct Pass {
    /// Root, hot, fill or cap.
    pub kind: PassKind,
    /// Beads laid side by side, 1 to 12.
    pub beads: u32,
    /// Direction of travel.
    pub progression: Progression,
    /// Arc volts at the feeder, V.
    pub volts: f64,
    /// Wire feed speed, m/s.
    pub wire_feed_m_s: f64,
    /// How fast the arc moves along the joint.
    pub travel: Travel,
    /// Current read on the machine, A; beats the melting law when given.
    pub amps_read: Option<f64>,
    /// Stringer or weave.
    pub technique: Technique,
    /// Full width of the weave, m; 0 for a stringer.
    pub weave_width_m: f64,
    /// Where the weave lingers.
    pub dwell: Dwell,
    /// Bead is ground to this throat before the next pass, m.
    pub ground_to_m: Option<f64>,
}

/// Travel is an input, or follows from the bead that is wanted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Travel {
    /// Speed along the joint, m/s.
    Speed(f64),
    /// Wanted cross-section of each bead, m².
    BeadArea(f64),
}

/// What was set and read, pass by pass.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Log {
    /// Passes in the order welded.
    pub passes: Vec<LoggedPass>,
}

/// One pass as welded. Anything not read stays `None`.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct LoggedPass {
    /// Pass kind, if noted.
    pub kind: Option<PassKind>,
    /// Direction as welded.
    pub progression: Option<Progression>,
    /// Volts read, V.
    pub volts: Option<f64>,
    /// Current read, A.
    pub amps: Option<f64>,
    /// Wire feed set, m/s.
    pub wire_feed_m_s: Option<f64>,
    /// Travel measured, m/s.
    pub travel_m_s: Option<f64>,
    /// Metal temperature before the pass, K.
    pub interpass_k: Option<f64>,
    /// What the welder or the watcher saw.
    pub note: String,
}

impl Joint {
    /// Height of the higher land, m.
    pub fn root_face_max_m(&self) -> f64 {
        self.root_face_left_m.max(self.root_face_right_m)
    }

    /// Mean of both lands, m.
    pub fn root_face_mean_m(&self) -> f64 {
        0.5 * (self.root_face_left_m + self.root_face_right_m)
    }

    /// Bevel angle of one side, rad: half the included angle.
    pub fn bevel_rad(&self) -> f64 {
        0.5 * self.groove_angle_rad
    }
}

impl Fit {
    /// Length of joint to weld, m: the plate's length or the mean circumference.
    pub fn joint_length_m(&self) -> f64 {
        match self.shape {
            Shape::Plate { length_m } => length_m,
            Shape::Pipe { outside_diameter_m } => {
                std::f64::consts::PI * (outside_diameter_m - self.joint.thickness_m)
            }
        }
    }
}
