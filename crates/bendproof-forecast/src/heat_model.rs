//! The question a bead asks of heat conduction, and the answer it gets.
//!
//! The first answer is [`crate::ClosedForm`]; a solver on the real cross-section
//! answers the same question later without its callers noticing.

/// One bead as a heat problem, SI units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BeadHeat {
    /// Arc power that enters the work, W.
    pub net_power_w: f64,
    /// Of that, the power that arrives in the drops and only brings the new
    /// metal to melting, W.
    pub deposit_power_w: f64,
    /// Travel, m/s.
    pub travel_m_s: f64,
    /// Thickness of metal under the arc, m.
    pub thickness_m: f64,
    /// Metal temperature before this bead, K.
    pub start_temperature_k: f64,
}

/// What a bead melts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BeadMelt {
    /// Half width of the melted zone at the surface, m.
    pub half_width_m: f64,
    /// Depth of the melted zone below the old surface, m.
    pub depth_m: f64,
    /// One standard deviation of both, m.
    pub scatter_m: f64,
    /// Cooling time from 800 to 500 C, s.
    pub t85_s: f64,
}

/// Answers what a bead melts.
pub trait HeatModel {
    /// The melted zone of one bead; `None` outside the model's range.
    fn melt(&self, bead: &BeadHeat) -> Option<BeadMelt>;
    /// Where its answers come from.
    fn source(&self) -> &'static str;
    /// What that is worth.
    fn basis(&self) -> bendproof_weld::basis::Basis;
}
