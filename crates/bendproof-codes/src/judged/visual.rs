//! What the eye sees on a test weld before any strap is cut.
//!
//! A reading that was not taken is not a reading of zero. Judges nothing; the
//! examining engine does.

use bendproof_measure::{Kind, Quantity};
use bendproof_weld::Backing;

use super::examine::{ExamReport, judged};
use super::readings::{flags, is_reading};
use crate::catalogue::Code;
use crate::rule::Facts;
use crate::words::{FluidService, QualityLevel, RuleKind, TestShape, WeldKind};

/// Readings of one test weld; `None` is not measured. Sizes are lengths of zero
/// or more in inches or millimetres, as read. The worst stretch of a weld is the
/// one with most of the flaw in the length that the code counts: 100 mm under
/// ISO 5817, 6 or 12 in under US codes.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct VisualReadings {
    /// A crack is visible.
    pub crack: Option<bool>,
    /// A crack in a crater is visible.
    pub crater_crack: Option<bool>,
    /// Craters are filled to the full section.
    pub crater_filled: Option<bool>,
    /// Weld and base metal are fused, layer to layer too.
    pub fusion_complete: Option<bool>,
    /// The root is penetrated.
    pub penetration_complete: Option<bool>,
    /// The weld pool has fallen through.
    pub burn_through: Option<bool>,
    /// The root is spongy.
    pub root_porosity: Option<bool>,
    /// A restart is uneven.
    pub poor_restart: Option<bool>,
    /// An arc was struck next to the weld.
    pub stray_arc: Option<bool>,
    /// Spatter adheres.
    pub spatter: Option<bool>,
    /// Slag lies open at the surface.
    pub surface_slag: Option<bool>,
    /// Greatest pore at the surface.
    pub surface_pore: Option<Quantity>,
    /// Depth of a pipe in an end crater.
    pub end_crater_pipe: Option<Quantity>,
    /// Depth to which the root is not penetrated.
    pub incomplete_penetration: Option<Quantity>,
    /// Total length of it in the worst stretch.
    pub incomplete_penetration_length: Option<Quantity>,
    /// Height of the cap above the plate.
    pub cap_height: Option<Quantity>,
    /// Depth of undercut.
    pub undercut: Option<Quantity>,
    /// Total length of undercut in the worst stretch.
    pub undercut_length: Option<Quantity>,
    /// Depth of undercut at the root.
    pub shrinkage_groove: Option<Quantity>,
    /// Total length of it in the worst stretch.
    pub shrinkage_groove_length: Option<Quantity>,
    /// Depth of a sucked-back root; zero when convex.
    pub root_concavity: Option<Quantity>,
    /// Total length of it in the worst stretch.
    pub root_concavity_length: Option<Quantity>,
    /// Depth of a groove not filled, or of a sagging face.
    pub underfill: Option<Quantity>,
    /// Total length of it in the worst stretch.
    pub underfill_length: Option<Quantity>,
    /// Height of the root bead inside; zero when concave.
    pub melt_through: Option<Quantity>,
    /// Width of weld metal lying unfused on the plate.
    pub overlap: Option<Quantity>,
    /// Height of a fillet's face above the flat.
    pub convexity: Option<Quantity>,
    /// Difference of a fillet's legs.
    pub leg_difference: Option<Quantity>,
    /// By how much a fillet's throat is too small; zero when it is not.
    pub throat_shortfall: Option<Quantity>,
    /// Total length of it in the worst stretch.
    pub throat_shortfall_length: Option<Quantity>,
    /// By how much a fillet's throat is too large; zero when it is not.
    pub throat_excess: Option<Quantity>,
    /// Gap under a fillet.
    pub root_gap: Option<Quantity>,
    /// Offset of the two surfaces.
    pub misalignment: Option<Quantity>,
    /// Angle between plate and weld at the steepest toe.
    pub toe_angle: Option<Quantity>,
    /// Whole weld thickness, needed where the root is concave.
    pub weld_thickness: Option<Quantity>,
    /// Base metal thickness.
    pub thickness: Option<Quantity>,
    /// Width of the cap, or of a fillet's face.
    pub cap_width: Option<Quantity>,
    /// Width of the root bead inside.
    pub root_width: Option<Quantity>,
    /// Nominal throat of a fillet.
    pub throat: Option<Quantity>,
    /// Nominal thickness of a butt weld not penetrated fully; otherwise it is
    /// the plate's.
    pub butt_throat: Option<Quantity>,
    /// Length of the weld examined.
    pub weld_length: Option<Quantity>,
    /// Temperature the pipe is designed for, where the code's limits follow it.
    pub design_temperature: Option<Quantity>,
    /// Backing of the test joint.
    pub backing: Option<Backing>,
    /// Quality level asked for, where the code has levels.
    pub level: Option<QualityLevel>,
    /// Kind of weld.
    pub weld_kind: Option<WeldKind>,
    /// Plate or pipe.
    pub shape: Option<TestShape>,
    /// What the pipe is to carry, where the code's limits follow it.
    pub fluid_service: Option<FluidService>,
}

/// Verdict on what was seen.
pub type VisualReport = ExamReport;

/// Judges the readings under a code.
///
/// A negative or NaN reading, or one of the wrong kind, counts as not measured.
pub fn judge_visual(code: &Code, readings: &VisualReadings) -> VisualReport {
    judged(code, RuleKind::Visual, &readings.facts())
}

impl VisualReadings {
    /// These readings with every flaw that was not noted taken as looked for and
    /// not found.
    ///
    /// Only whoever looked may say so. What must be measured and cannot be seen
    /// to be nothing stays as it is: heights, angles, throats, legs, gaps and
    /// offsets.
    #[must_use]
    pub fn with_no_other_flaw(self) -> Self {
        let (no, yes) = (Some(false), Some(true));
        let nothing = Some(Quantity::from_si(Kind::Length, 0.0));
        // A root noted as not penetrated is so to a depth that nobody measured.
        let penetrated = self.penetration_complete != no;
        Self {
            crack: self.crack.or(no),
            crater_crack: self.crater_crack.or(no),
            crater_filled: self.crater_filled.or(yes),
            fusion_complete: self.fusion_complete.or(yes),
            penetration_complete: self.penetration_complete.or(yes),
            burn_through: self.burn_through.or(no),
            root_porosity: self.root_porosity.or(no),
            poor_restart: self.poor_restart.or(no),
            stray_arc: self.stray_arc.or(no),
            spatter: self.spatter.or(no),
            surface_slag: self.surface_slag.or(no),
            surface_pore: self.surface_pore.or(nothing),
            end_crater_pipe: self.end_crater_pipe.or(nothing),
            incomplete_penetration: self.incomplete_penetration.or(nothing.filter(|_| penetrated)),
            undercut: self.undercut.or(nothing),
            shrinkage_groove: self.shrinkage_groove.or(nothing),
            root_concavity: self.root_concavity.or(nothing),
            underfill: self.underfill.or(nothing),
            overlap: self.overlap.or(nothing),
            ..self
        }
    }

    pub(crate) fn facts(&self) -> Facts {
        let mut facts = Facts::default();
        flags(&mut facts, &self.flags());
        for (name, size) in self.lengths() {
            facts.measure(name, size.filter(|q| is_reading(q, Kind::Length)));
        }
        // A butt weld penetrated fully is as thick as the plate.
        if facts.get("butt_throat").is_none() && self.penetration_complete == Some(true) {
            facts.measure("butt_throat", facts.quantity("thickness"));
        }
        facts.measure("toe_angle", self.toe_angle.filter(|q| is_reading(q, Kind::Angle))).measure(
            "design_temperature",
            self.design_temperature.filter(|q| is_reading(q, Kind::Temperature)),
        );
        let words = [
            ("backing", self.backing.map(Backing::word)),
            ("level", self.level.map(QualityLevel::word)),
            ("weld_kind", self.weld_kind.map(WeldKind::word)),
            ("shape", self.shape.map(TestShape::word)),
            ("fluid_service", self.fluid_service.map(FluidService::word)),
        ];
        for (name, word) in words {
            if let Some(word) = word {
                facts.word(name, word);
            }
        }
        facts
    }

    fn flags(&self) -> [(&'static str, Option<bool>); 11] {
        [
            ("crack", self.crack),
            // No crack anywhere is none in a crater.
            ("crater_crack", self.crater_crack.or((self.crack == Some(false)).then_some(false))),
            ("crater_filled", self.crater_filled),
            ("fusion_complete", self.fusion_complete),
            ("penetration_complete", self.penetration_complete),
            ("burn_through", self.burn_through),
            ("root_porosity", self.root_porosity),
            ("poor_restart", self.poor_restart),
            ("stray_arc", self.stray_arc),
            ("spatter", self.spatter),
            ("surface_slag", self.surface_slag),
        ]
    }

    fn lengths(&self) -> [(&'static str, Option<Quantity>); 29] {
        [
            ("surface_pore", self.surface_pore),
            ("end_crater_pipe", self.end_crater_pipe),
            ("incomplete_penetration", self.incomplete_penetration),
            ("incomplete_penetration_length", self.incomplete_penetration_length),
            ("cap_height", self.cap_height),
            ("undercut", self.undercut),
            ("undercut_length", self.undercut_length),
            ("shrinkage_groove", self.shrinkage_groove),
            ("shrinkage_groove_length", self.shrinkage_groove_length),
            ("root_concavity", self.root_concavity),
            ("root_concavity_length", self.root_concavity_length),
            ("underfill", self.underfill),
            ("underfill_length", self.underfill_length),
            ("melt_through", self.melt_through),
            ("overlap", self.overlap),
            ("convexity", self.convexity),
            ("leg_difference", self.leg_difference),
            ("throat_shortfall", self.throat_shortfall),
            ("throat_shortfall_length", self.throat_shortfall_length),
            ("throat_excess", self.throat_excess),
            ("root_gap", self.root_gap),
            ("misalignment", self.misalignment),
            ("weld_thickness", self.weld_thickness),
            ("thickness", self.thickness),
            ("cap_width", self.cap_width),
            ("root_width", self.root_width),
            ("throat", self.throat),
            ("butt_throat", self.butt_throat),
            ("weld_length", self.weld_length),
        ]
    }
}
