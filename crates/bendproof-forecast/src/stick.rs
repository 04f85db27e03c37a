//! What a joint takes when it is welded with stick: metal, rods, heat and time,
//! pass by pass. Root and fusion are not answered: the models of both are those of
//! short-circuit wire.

use bendproof_heat::cooling::{ShapeFactors, en1011_s};
use bendproof_measure::celsius_from_kelvin;
use bendproof_weld::arc::{self, STEEL_DENSITY_KG_M3};
use bendproof_weld::groove::{CAP_OVERLAP_M, Groove};
use bendproof_weld::stick::{Electrode, Rod, Span, StickPass, StickPlan};
use bendproof_weld::{PassKind, Process, Progression, Travel};

use crate::totals::{Run, clock_time_s, warmed};

/// A joint with stick as computed, SI units.
#[derive(Debug, Clone, PartialEq)]
pub struct StickForecast {
    /// What it is welded with.
    pub electrode: &'static Electrode,
    /// Area of the groove, m².
    pub groove_area_m2: f64,
    /// Width of the groove at the plate surface, m.
    pub face_width_m: f64,
    /// The planned passes in order.
    pub passes: Vec<StickPassForecast>,
    /// Beads laid.
    pub beads: usize,
    /// Rods burnt down to the stub, whole ones.
    pub rods: usize,
    /// How far the count of rods may be off, as a share.
    pub rods_doubt_share: f64,
    /// Metal laid, kg.
    pub laid_kg: f64,
    /// Seconds with the arc burning.
    pub arc_time_s: f64,
    /// Seconds from first arc to last; `None` where the heat of a pass is not known.
    pub clock_time_s: Option<f64>,
    /// Metal laid over the groove's area; below one the groove is not full.
    pub filled_share: f64,
    /// How far that may be off, as a share of itself.
    pub filled_doubt_share: f64,
    /// Beads like the last pass's that are missing to fill the groove; zero where it
    /// is full.
    pub beads_missing: usize,
}

/// One planned pass.
#[derive(Debug, Clone, PartialEq)]
pub struct StickPassForecast {
    /// Numbers of its first and last bead.
    pub beads: (usize, usize),
    /// Root, hot, fill or cap.
    pub kind: PassKind,
    /// Direction of travel.
    pub progression: Progression,
    /// Amps set, A.
    pub current_a: f64,
    /// The handbook's amps for this electrode, A; `None` for a size it has not.
    pub currents: Option<Span>,
    /// Travel, m/s.
    pub travel_m_s: f64,
    /// Cross-section of each bead, m².
    pub bead_area_m2: f64,
    /// Weld laid by one rod, m.
    pub run_out_m: f64,
    /// Seconds one rod burns.
    pub rod_time_s: f64,
    /// Rods of the pass, parts of a rod counted.
    pub rods: f64,
    /// Arc time of all beads of the pass, s.
    pub arc_time_s: f64,
    /// Level of the metal above the underside after the pass, m.
    pub level_m: f64,
    /// Height above the plate after the pass, m; zero below the surface.
    pub crown_m: f64,
    /// Its heat; `None` without volts, which not every electrode has a line for.
    pub heat: Option<StickHeat>,
}

/// Heat of one pass.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StickHeat {
    /// Arc volts, V.
    pub volts: f64,
    /// Whether somebody stated them; else they are the electrode's line.
    pub volts_are_stated: bool,
    /// Arc energy, J/m.
    pub arc_energy_j_m: f64,
    /// Heat input by the code factor k, J/m.
    pub heat_input_j_m: f64,
    /// Metal temperature before the pass, K; `None` after a pass of unknown heat.
    pub interpass_k: Option<f64>,
    /// Cooling time 800 to 500 C by EN 1011-2, s; `None` where the metal is too warm
    /// for it.
    pub t85_s: Option<f64>,
}

/// Computes the plan.
pub fn stick_forecast(plan: &StickPlan) -> StickForecast {
    let groove = Groove::of_joint(&plan.fit.joint);
    let length_m = plan.fit.joint_length_m();
    let rod_kg = plan.electrode.laid_by_rod_kg(Rod::usual(plan.diameter_m));
    let mut passes = Vec::with_capacity(plan.passes.len());
    let (mut metal_m2, mut first_bead) = (0.0, 1);
    for pass in &plan.passes {
        let laid = Laid::of(plan, pass);
        metal_m2 += laid.bead_area_m2 * f64::from(pass.beads);
        passes.push(pass_forecast(plan, pass, laid, rod_kg, first_bead, &groove, metal_m2));
        first_bead += pass.beads as usize;
    }
    let known = warm(plan, &mut passes);
    let area_m2 = groove.area_m2();
    let last_m2 = passes.last().map_or(f64::INFINITY, |pass| pass.bead_area_m2);
    StickForecast {
        electrode: plan.electrode,
        groove_area_m2: area_m2,
        face_width_m: groove.face_width_m(),
        beads: first_bead - 1,
        rods: passes.iter().map(|p| p.rods).sum::<f64>().ceil() as usize,
        rods_doubt_share: plan.electrode.core_share.value.doubt_share(),
        laid_kg: metal_m2 * length_m * STEEL_DENSITY_KG_M3,
        arc_time_s: passes.iter().map(|p| p.arc_time_s).sum(),
        clock_time_s: known,
        filled_share: metal_m2 / area_m2,
        filled_doubt_share: plan.electrode.deposit_kg_as.value.doubt_share(),
        beads_missing: ((area_m2 - metal_m2).max(0.0) / last_m2).ceil() as usize,
        passes,
    }
}

/// Travel and bead of a pass.
#[derive(Debug, Clone, Copy)]
struct Laid {
    travel_m_s: f64,
    bead_area_m2: f64,
}

impl Laid {
    fn of(plan: &StickPlan, pass: &StickPass) -> Self {
        let area = |travel_m_s| plan.electrode.bead_area_m2(pass.current_a, travel_m_s);
        match pass.travel {
            Travel::Speed(travel_m_s) => Self { travel_m_s, bead_area_m2: area(travel_m_s) },
            // Area and travel have a constant product.
            Travel::BeadArea(bead_area_m2) => Self { travel_m_s: area(1.0) / bead_area_m2, bead_area_m2 },
        }
    }
}

fn pass_forecast(
    plan: &StickPlan,
    pass: &StickPass,
    laid: Laid,
    rod_kg: f64,
    first_bead: usize,
    groove: &Groove,
    metal_m2: f64,
) -> StickPassForecast {
    let rod_time_s = rod_kg / plan.electrode.deposit_kg_s(pass.current_a);
    let run_out_m = rod_time_s * laid.travel_m_s;
    let welded_m = plan.fit.joint_length_m() * f64::from(pass.beads);
    let over_m2 = (metal_m2 - groove.area_m2()).max(0.0);
    StickPassForecast {
        beads: (first_bead, first_bead + pass.beads as usize - 1),
        kind: pass.kind,
        progression: pass.progression,
        current_a: pass.current_a,
        currents: plan.electrode.currents_of(plan.diameter_m),
        travel_m_s: laid.travel_m_s,
        bead_area_m2: laid.bead_area_m2,
        run_out_m,
        rod_time_s,
        rods: welded_m / run_out_m,
        arc_time_s: welded_m / laid.travel_m_s,
        level_m: groove.fill_height_m(metal_m2).unwrap_or(groove.thickness_m),
        crown_m: 1.5 * over_m2 / (groove.face_width_m() + CAP_OVERLAP_M),
        heat: heat(plan, pass, laid),
    }
}

/// The heat of a pass that does not hang on the passes before it.
fn heat(plan: &StickPlan, pass: &StickPass, laid: Laid) -> Option<StickHeat> {
    let volts = pass.volts.or_else(|| plan.electrode.volts_at(pass.current_a))?;
    let arc_energy_j_m = arc::arc_energy_j_m(volts, pass.current_a, laid.travel_m_s);
    Some(StickHeat {
        volts,
        volts_are_stated: pass.volts.is_some(),
        arc_energy_j_m,
        heat_input_j_m: arc_energy_j_m * arc::code_heat_factor(Process::Smaw),
        interpass_k: None,
        t85_s: None,
    })
}

/// Fills in how warm the metal is before each pass, and gives the time the coupon
/// takes; `None` where the heat of a pass is not known.
fn warm(plan: &StickPlan, passes: &mut [StickPassForecast]) -> Option<f64> {
    let efficiency = arc::arc_efficiency(Process::Smaw, None).value;
    let known = passes.iter().map_while(|pass| {
        let power_w = arc::arc_power_w(pass.heat?.volts, pass.current_a);
        let beads = (pass.beads.1 + 1 - pass.beads.0) as u32;
        Some(Run { beads, travel_m_s: pass.travel_m_s, net_power_w: efficiency * power_w })
    });
    let known: Vec<Run> = known.collect();
    let warm = warmed(&plan.fit, plan.interpass_max_k.unwrap_or(f64::INFINITY), known.into_iter());
    for (pass, warm) in passes.iter_mut().zip(&warm) {
        let Some(heat) = &mut pass.heat else { continue };
        heat.interpass_k = Some(warm.before_k);
        heat.t85_s = cooling_s(plan, heat.heat_input_j_m, warm.before_k);
    }
    (warm.len() == passes.len()).then(|| clock_time_s(&warm))
}

/// EN 1011-2 for a run in a butt groove, s; it starts below 500 C.
fn cooling_s(plan: &StickPlan, heat_input_j_m: f64, before_k: f64) -> Option<f64> {
    let before_c = celsius_from_kelvin(before_k);
    let thickness_mm = plan.fit.joint.thickness_m * 1e3;
    (before_c < 500.0)
        .then(|| en1011_s(heat_input_j_m * 1e-6, before_c, thickness_mm, ShapeFactors::BUTT_GROOVE))
}
