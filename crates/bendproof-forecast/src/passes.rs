//! Each planned pass resolved: current, power, heat, bead and level.

use bendproof_measure::celsius_from_kelvin;
use bendproof_weld::arc;
use bendproof_weld::groove::{CAP_OVERLAP_M, Groove};
use bendproof_weld::{Coupon, Dwell, Pass, PassKind, Progression, Settings, Transfer, Travel};

use crate::item::Item;
use crate::section::Layer;
use crate::totals::Interpass;

/// One pass as forecast, SI units.
#[derive(Debug, Clone, PartialEq)]
pub struct PassForecast {
    /// 1-based number of the planned pass.
    pub number: usize,
    /// Numbers of its first and last bead.
    pub beads: (usize, usize),
    /// Root, hot, fill or cap.
    pub kind: PassKind,
    /// Direction of travel.
    pub progression: Progression,
    /// Arc volts, V.
    pub volts: f64,
    /// Mean current, A.
    pub current_a: f64,
    /// Whether the current was read on the machine.
    pub current_is_read: bool,
    /// Transfer to expect from the settings; `None` where tables do not decide.
    pub expected_transfer: Option<Transfer>,
    /// Wire feed, m/s.
    pub wire_feed_m_s: f64,
    /// Travel, m/s.
    pub travel_m_s: f64,
    /// Arc energy, J/m.
    pub arc_energy_j_m: f64,
    /// Heat input by the code factor k, J/m.
    pub heat_input_j_m: f64,
    /// Arc power that enters the work, W.
    pub net_power_w: f64,
    /// Cross-section of each bead, m².
    pub bead_area_m2: f64,
    /// Arc time of all beads of the pass, s.
    pub arc_time_s: f64,
    /// Metal temperature before the pass, K.
    pub interpass_k: f64,
    /// Cooling time 800 to 500 C, s; `None` outside the heat model's range.
    pub t85_s: Option<f64>,
    /// Whether that time was read next to the wall of the solved section; else it
    /// is the formula of EN 1011-2.
    pub cooling_is_solved: bool,
    /// Depth melted into the metal below, m.
    pub depth_m: Option<f64>,
    /// Level of the metal above the underside after the pass, m.
    pub level_m: f64,
    /// Width of the groove at that level, m.
    pub width_m: f64,
    /// Height above the plate after the pass, m; 0 below the surface.
    pub crown_m: f64,
    /// Wall and toe tie-in.
    pub tie_in: Item,
    /// Whether the least fusion lies on the metal below, and not on a wall.
    pub is_least_below: bool,
}

/// The settings of a pass turned into power and metal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Resolved {
    pub kind: PassKind,
    pub beads: u32,
    pub progression: Progression,
    pub volts: f64,
    pub current_a: f64,
    pub current_is_read: bool,
    pub wire_feed_m_s: f64,
    pub travel_m_s: f64,
    pub bead_area_m2: f64,
    pub net_power_w: f64,
    pub deposit_power_w: f64,
    pub weave_width_m: f64,
    pub dwell: Dwell,
    pub ground_to_m: Option<f64>,
}

/// Heat that brings cold steel to the melting point, J/kg (enthalpy of a
/// 0.18 % carbon steel at 1510 C; derived, heat capacity of EN 1993-1-2).
const MELTING_ENTHALPY_J_KG: f64 = 1.315e6;

pub(crate) fn resolve(settings: &Settings, pass: &Pass) -> Resolved {
    let (d, feed) = (settings.wire_diameter_m, pass.wire_feed_m_s);
    let current_a =
        pass.amps_read.unwrap_or_else(|| arc::current_from_wire_feed_a(d, settings.extension_m, feed));
    let (travel_m_s, bead_area_m2) = match pass.travel {
        Travel::Speed(v) => (v, arc::bead_area_m2(d, feed, v, settings.deposition_efficiency)),
        Travel::BeadArea(a) => (arc::travel_for_bead_m_s(d, feed, a, settings.deposition_efficiency), a),
    };
    let efficiency = arc::arc_efficiency(settings.process, settings.transfer).value;
    Resolved {
        kind: pass.kind,
        beads: pass.beads,
        progression: pass.progression,
        volts: pass.volts,
        current_a,
        current_is_read: pass.amps_read.is_some(),
        wire_feed_m_s: feed,
        travel_m_s,
        bead_area_m2,
        net_power_w: efficiency * arc::arc_power_w(pass.volts, current_a),
        deposit_power_w: arc::deposition_rate_kg_s(d, feed, settings.deposition_efficiency)
            * MELTING_ENTHALPY_J_KG,
        weave_width_m: pass.weave_width_m,
        dwell: pass.dwell,
        ground_to_m: pass.ground_to_m,
    }
}

/// How far the crown of a weave stands above an even one, by where it lingers
/// (choice: large enough to carry common practice, no source).
fn dwell_crown_factor(pass: &Resolved) -> f64 {
    match pass.dwell {
        _ if pass.weave_width_m <= 0.0 => 1.0,
        Dwell::Even => 1.0,
        Dwell::Toes => 0.8,
        Dwell::Middle => 1.3,
    }
}

/// Stacks the passes: each fills level, the last one crowns. `root_m` and
/// `root_width_m` describe the root below the underside.
pub(crate) fn stack(groove: &Groove, passes: &[Resolved], root_m: f64, root_width_m: f64) -> Vec<Layer> {
    let mut level_m = 0.0;
    let mut layers = Vec::with_capacity(passes.len());
    let mut over_m2 = 0.0;
    for (index, pass) in passes.iter().enumerate() {
        let below_m2 = if index == 0 { 2.0 / 3.0 * root_width_m * root_m.max(0.0) } else { 0.0 };
        let metal_m2 = (pass.bead_area_m2 * f64::from(pass.beads) - below_m2).max(0.0);
        let filled_m2 = groove.area_up_to_m2(level_m) + metal_m2;
        let excess_m2 = (filled_m2 - groove.area_m2()).max(0.0);
        let to_m = groove.fill_height_m(filled_m2).unwrap_or(groove.thickness_m);
        over_m2 += if level_m >= groove.thickness_m { metal_m2 } else { excess_m2 };
        let crown_m = 1.5 * over_m2 / (groove.face_width_m() + CAP_OVERLAP_M) * dwell_crown_factor(pass);
        let to_m = pass.ground_to_m.map_or(to_m, |left| to_m.min(left));
        layers.push(Layer {
            pass: index + 1,
            beads: pass.beads,
            from_m: level_m,
            to_m,
            crown_m: if excess_m2 > 0.0 { crown_m } else { 0.0 },
            root_m: if index == 0 { root_m.max(0.0) } else { 0.0 },
            root_width_m,
        });
        level_m = to_m;
    }
    layers
}

/// Puts one pass together from its parts.
pub(crate) fn assemble(
    coupon: &Coupon,
    pass: &Resolved,
    layer: &Layer,
    first_bead: usize,
    warm: &Interpass,
    wall: crate::walls::Wall,
) -> PassForecast {
    let settings = &coupon.settings;
    let groove = Groove::of_joint(&coupon.fit.joint);
    let arc_energy_j_m = arc::arc_energy_j_m(pass.volts, pass.current_a, pass.travel_m_s);
    PassForecast {
        number: layer.pass,
        beads: (first_bead, first_bead + pass.beads as usize - 1),
        kind: pass.kind,
        progression: pass.progression,
        volts: pass.volts,
        current_a: pass.current_a,
        current_is_read: pass.current_is_read,
        expected_transfer: arc::expected_transfer(
            settings.gas,
            settings.wire_diameter_m,
            pass.current_a,
            pass.volts,
        ),
        wire_feed_m_s: pass.wire_feed_m_s,
        travel_m_s: pass.travel_m_s,
        arc_energy_j_m,
        heat_input_j_m: arc_energy_j_m * arc::code_heat_factor(settings.process),
        net_power_w: pass.net_power_w,
        bead_area_m2: pass.bead_area_m2,
        arc_time_s: warm.arc_time_s,
        interpass_k: warm.before_k,
        t85_s: wall
            .melt
            .as_ref()
            .map_or(Some(crate::walls::cooling_time_s(coupon, pass, warm.before_k)), |melt| melt.t85_s)
            .filter(|_| celsius_from_kelvin(warm.before_k) < 500.0),
        cooling_is_solved: wall.melt.as_ref().is_ok_and(|melt| melt.is_solved),
        depth_m: wall.melt.as_ref().ok().map(|melt| melt.deepest_m),
        level_m: layer.to_m,
        width_m: groove.width_at_m(layer.to_m),
        crown_m: layer.crown_m,
        is_least_below: wall.melt.as_ref().is_ok_and(|melt| melt.is_least_below),
        tie_in: wall.tie_in,
    }
}
