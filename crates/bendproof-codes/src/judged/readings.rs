//! What can be read of pieces and films after welding, as people note it.
//!
//! Turns readings into facts that rules ask about, and computes a stress from a
//! load; judges nothing. Lengths may be in inches or millimetres, each as read.

use bendproof_measure::{Kind, Quantity, System, say};

use crate::rule::{Fact, Facts, Span};
use crate::words::{Flaw, QualityLevel, WeldKind, Zone};

/// A reading that cannot be one.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{what} is {value}; enter {wanted}")]
pub struct ReadingError {
    /// Which reading.
    pub what: String,
    /// Its value.
    pub value: String,
    /// What it should be.
    pub wanted: &'static str,
}

/// One tension piece.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TensionPiece {
    /// Width before the pull, a length above zero.
    pub width: Option<Quantity>,
    /// Thickness before the pull, a length above zero.
    pub thickness: Option<Quantity>,
    /// Greatest load, a force of zero or more.
    pub load: Option<Quantity>,
    /// Strength as the laboratory reports it, where the load is not known.
    /// Load, width and thickness go before it.
    pub strength: Option<Quantity>,
    /// Least tensile strength specified for the base metal; of the weaker one
    /// where two are joined.
    pub specified_tensile: Option<Quantity>,
    /// Where it broke.
    pub broke_in: Zone,
    /// A break in the weld shows no more pores, slag and unfused places than a
    /// nick-break may. Asked only of breaks in the weld, and not by every code.
    pub fracture_sound: Option<bool>,
}

impl TensionPiece {
    /// Greatest load over the section before the pull, in the system of the
    /// load; `None` where one of the three is not given.
    ///
    /// # Errors
    /// [`ReadingError`] when a size is not above zero or the load is negative.
    pub fn stress(&self) -> Result<Option<Quantity>, ReadingError> {
        let width = above_zero("the width", self.width)?;
        let thickness = above_zero("the thickness", self.thickness)?;
        let load = read("the load", self.load, Kind::Force)?;
        let (Some(width), Some(thickness), Some(load)) = (width, thickness, load) else { return Ok(None) };
        let si = load.si / (width.si * thickness.si);
        Ok(Some(Quantity { si, kind: Kind::Pressure, system: load.system }))
    }

    pub(crate) fn facts(&self) -> Result<Facts, ReadingError> {
        let mut facts = Facts::default();
        let reported = read("the strength", self.strength, Kind::Pressure)?;
        let specified = read("the specified tensile strength", self.specified_tensile, Kind::Pressure)?;
        facts
            .measure("strength", self.stress()?.or(reported))
            .measure("specified_tensile", specified)
            .word("broke_in", self.broke_in.word());
        flags(&mut facts, &[("fracture_sound", self.fracture_sound)]);
        Ok(facts)
    }
}

/// One etched section; `None` is not read.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct MacroReadings {
    /// Kind of weld.
    pub weld_kind: Option<WeldKind>,
    /// Quality level asked for, where the code has levels.
    pub level: Option<QualityLevel>,
    /// A crack is seen.
    pub crack: Option<bool>,
    /// Layers are fused to one another and to the base metal.
    pub fusion_complete: Option<bool>,
    /// A fillet is fused to the root, not necessarily past it.
    pub root_fused: Option<bool>,
    /// The profile is as the code draws it.
    pub profile_sound: Option<bool>,
    /// Lack of fusion shows under the microscope only.
    pub micro_lack_of_fusion: Option<bool>,
    /// Size of the weld; of a fillet the smaller leg.
    pub weld_size: Option<Quantity>,
    /// Size it was to have.
    pub designated_size: Option<Quantity>,
    /// Depth of undercut.
    pub undercut: Option<Quantity>,
    /// All slag on the section added up.
    pub slag_total: Option<Quantity>,
    /// Heights of all flaws of the section added up.
    pub flaw_height_sum: Option<Quantity>,
    /// Base metal thickness.
    pub thickness: Option<Quantity>,
    /// Nominal throat of a fillet.
    pub throat: Option<Quantity>,
}

impl MacroReadings {
    pub(crate) fn facts(&self) -> Result<Facts, ReadingError> {
        let mut facts = Facts::default();
        described(&mut facts, self.level, self.weld_kind);
        flags(
            &mut facts,
            &[
                ("crack", self.crack),
                ("fusion_complete", self.fusion_complete),
                ("root_fused", self.root_fused),
                ("profile_sound", self.profile_sound),
                ("micro_lack_of_fusion", self.micro_lack_of_fusion),
            ],
        );
        lengths(
            &mut facts,
            &[
                ("weld_size", self.weld_size),
                ("designated_size", self.designated_size),
                ("undercut", self.undercut),
                ("slag_total", self.slag_total),
                ("flaw_height_sum", self.flaw_height_sum),
                ("thickness", self.thickness),
                ("throat", self.throat),
            ],
        )?;
        Ok(facts)
    }
}

/// One inclusion of slag on a broken face.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Slag {
    /// Length along the weld.
    pub length: Quantity,
    /// Depth.
    pub depth: Quantity,
}

/// One broken nick-break piece; `None` is not read, an empty list is none found.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct NickBreakReadings {
    /// The root is penetrated.
    pub penetration_complete: Option<bool>,
    /// Weld and base metal are fused.
    pub fusion_complete: Option<bool>,
    /// Greatest dimension of each gas pocket.
    pub pores: Option<Vec<Quantity>>,
    /// Share of the face that gas pockets take up, 0 to 1.
    pub pore_area: Option<Quantity>,
    /// Slag inclusions.
    pub slag: Option<Vec<Slag>>,
    /// Least sound metal between two neighbouring slag inclusions.
    pub slag_spacing: Option<Quantity>,
    /// Pipe wall.
    pub wall: Option<Quantity>,
}

impl NickBreakReadings {
    pub(crate) fn facts(&self) -> Result<Facts, ReadingError> {
        let mut facts = Facts::default();
        flags(
            &mut facts,
            &[("penetration_complete", self.penetration_complete), ("fusion_complete", self.fusion_complete)],
        );
        lengths(&mut facts, &[("slag_spacing", self.slag_spacing), ("wall", self.wall)])?;
        shares(&mut facts, &[("pore_area", self.pore_area)])?;
        if let Some(pores) = &self.pores {
            facts.spans("pores", spans("a gas pocket", pores.iter().map(|p| (*p, None)))?);
        }
        if let Some(slag) = &self.slag {
            facts
                .spans("slag", spans("a slag inclusion", slag.iter().map(|s| (s.length, None)))?)
                .spans("slag_depths", spans("a depth of slag", slag.iter().map(|s| (s.depth, None)))?)
                .set("slag_count", Fact::Number(slag.len() as f64));
        }
        Ok(facts)
    }
}

/// One fillet weld broken open; `None` is not read.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct FilletBreakReadings {
    /// A crack is seen.
    pub crack: Option<bool>,
    /// Fusion reaches the root along the whole piece.
    pub root_fused: Option<bool>,
    /// Pores and inclusions by greatest dimension, with their places along the
    /// weld where noted; an empty list is none found.
    pub flaws: Option<Vec<Span>>,
}

impl FilletBreakReadings {
    pub(crate) fn facts(&self) -> Result<Facts, ReadingError> {
        let mut facts = Facts::default();
        flags(&mut facts, &[("crack", self.crack), ("root_fused", self.root_fused)]);
        if let Some(flaws) = &self.flaws {
            facts.spans("flaws", spans("a flaw", flaws.iter().map(|f| (f.length, f.start)))?);
        }
        Ok(facts)
    }
}

/// One hardness traverse.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct HardnessReadings {
    /// HV10 at each point, above zero; the greatest is judged.
    pub hv10: Vec<f64>,
    /// The piece was heat-treated after welding.
    pub heat_treated: Option<bool>,
    /// Group of the base metal by ISO/TR 15608, as `1` or `9.1`.
    pub steel_group: Option<String>,
}

impl HardnessReadings {
    pub(crate) fn facts(&self) -> Result<Facts, ReadingError> {
        let mut facts = Facts::default();
        let mut hardest: Option<f64> = None;
        for hv in &self.hv10 {
            if !hv.is_finite() || *hv <= 0.0 {
                let what = "a hardness".to_owned();
                return Err(ReadingError { what, value: hv.to_string(), wanted: "a number above zero" });
            }
            hardest = Some(hardest.map_or(*hv, |most| most.max(*hv)));
        }
        let quantity = |si| Quantity { si, kind: Kind::Number, system: System::Neither };
        facts.measure("hardness", hardest.map(quantity));
        flags(&mut facts, &[("heat_treated", self.heat_treated)]);
        if let Some(group) = &self.steel_group {
            facts.word("steel_group", group.trim());
        }
        Ok(facts)
    }
}

/// One indication on a film.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Indication {
    /// What it was read as.
    pub flaw: Flaw,
    /// Greatest dimension.
    pub length: Quantity,
    /// Width, of what is longer than wide.
    pub width: Option<Quantity>,
    /// Where it begins along the weld, from any one mark.
    pub start: Option<Quantity>,
}

/// The films of one weld; `None` is not read.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct RadiographReadings {
    /// The indications noted; an empty list is a clear film.
    pub indications: Option<Vec<Indication>>,
    /// Whoever read the film says that it shows no other indication. Without that
    /// a list that names some leaves every other kind not read.
    pub no_other_indication: bool,
    /// Base metal thickness.
    pub thickness: Option<Quantity>,
    /// Nominal thickness of a butt weld that is not penetrated fully.
    pub butt_throat: Option<Quantity>,
    /// The joint is to be penetrated fully.
    pub full_penetration: Option<bool>,
    /// Layers of the weld; pores lie over one another where there are several.
    pub layers: Option<u32>,
    /// Quality level asked for, where the code has levels.
    pub level: Option<QualityLevel>,
    /// Share of the projected area that pores take up, 0 to 1.
    pub pore_area: Option<Quantity>,
    /// The same within the worst cluster.
    pub cluster_area: Option<Quantity>,
    /// The same within the worst line of pores.
    pub line_area: Option<Quantity>,
    /// Height of the highest unfused place inside, where another method gave it.
    pub fusion_flaw: Option<Quantity>,
    /// Total length of unfused places in the worst stretch the code counts.
    pub fusion_flaw_length: Option<Quantity>,
    /// Depth to which the root is not penetrated.
    pub incomplete_penetration: Option<Quantity>,
    /// Total length of it in the worst stretch the code counts.
    pub incomplete_penetration_length: Option<Quantity>,
    /// Length of the weld.
    pub weld_length: Option<Quantity>,
}

impl RadiographReadings {
    pub(crate) fn facts(&self) -> Result<Facts, ReadingError> {
        let mut facts = Facts::default();
        described(&mut facts, self.level, None);
        flags(&mut facts, &[("full_penetration", self.full_penetration)]);
        if let Some(layers) = self.layers {
            facts.set("layers", Fact::Number(f64::from(layers)));
        }
        // A joint to be penetrated fully is as thick as the plate.
        let throat = self.butt_throat.or(self.thickness.filter(|_| self.full_penetration == Some(true)));
        lengths(
            &mut facts,
            &[
                ("thickness", self.thickness),
                ("butt_throat", throat),
                ("fusion_flaw", self.fusion_flaw),
                ("fusion_flaw_length", self.fusion_flaw_length),
                ("incomplete_penetration", self.incomplete_penetration),
                ("incomplete_penetration_length", self.incomplete_penetration_length),
                ("weld_length", self.weld_length),
            ],
        )?;
        shares(
            &mut facts,
            &[
                ("pore_area", self.pore_area),
                ("cluster_area", self.cluster_area),
                ("line_area", self.line_area),
            ],
        )?;
        if let Some(all) = &self.indications {
            indications(&mut facts, all, all.is_empty() || self.no_other_indication)?;
        }
        Ok(facts)
    }
}

/// A film read whole shows each kind of flaw or shows that there is none; of one
/// that was not, only the kinds noted are known.
fn indications(facts: &mut Facts, all: &[Indication], is_whole: bool) -> Result<(), ReadingError> {
    let of = |flaw: Flaw| all.iter().filter(move |i| i.flaw == flaw);
    let shows = |flaw| of(flaw).next().is_some();
    let is_read = |flaw: &Flaw| is_whole || shows(*flaw);
    for (name, flaw, when_shown) in [
        ("crack", Flaw::Crack, true),
        ("fusion_complete", Flaw::Fusion, false),
        ("penetration_complete", Flaw::Penetration, false),
        ("copper", Flaw::Copper, true),
    ] {
        if is_read(&flaw) {
            facts.flag(name, shows(flaw) == when_shown);
        }
    }
    let read = |kinds: &[(&'static str, Flaw)]| -> Vec<(&'static str, Flaw)> {
        kinds.iter().copied().filter(|(_, flaw)| is_read(flaw)).collect()
    };
    for (name, flaw) in read(&[
        ("slag", Flaw::Slag),
        ("rounded", Flaw::Rounded),
        ("cluster_pores", Flaw::ClusterPore),
        ("line_pores", Flaw::LinePore),
        ("cavities", Flaw::Cavity),
        ("metal", Flaw::Metal),
    ]) {
        facts.spans(name, spans("an indication", of(flaw).map(|i| (i.length, i.start)))?);
    }
    for (name, flaw) in read(&[("slag_widths", Flaw::Slag), ("cavity_widths", Flaw::Cavity)]) {
        // A width not noted leaves the whole question open.
        let widths: Option<Vec<Quantity>> = of(flaw).map(|i| i.width).collect();
        if let Some(widths) = widths {
            facts.spans(name, spans("a width", widths.into_iter().map(|w| (w, None)))?);
        }
    }
    Ok(())
}

fn described(facts: &mut Facts, level: Option<QualityLevel>, weld: Option<WeldKind>) {
    if let Some(level) = level {
        facts.word("level", level.word());
    }
    if let Some(weld) = weld {
        facts.word("weld_kind", weld.word());
    }
}

pub(crate) fn flags(facts: &mut Facts, flags: &[(&'static str, Option<bool>)]) {
    for (name, flag) in flags {
        if let Some(flag) = flag {
            facts.flag(name, *flag);
        }
    }
}

fn lengths(facts: &mut Facts, sizes: &[(&'static str, Option<Quantity>)]) -> Result<(), ReadingError> {
    for (name, size) in sizes {
        facts.measure(name, read(name, *size, Kind::Length)?);
    }
    Ok(())
}

fn shares(facts: &mut Facts, sizes: &[(&'static str, Option<Quantity>)]) -> Result<(), ReadingError> {
    for (name, size) in sizes {
        facts.measure(name, read(name, *size, Kind::Share)?);
    }
    Ok(())
}

fn spans(
    what: &str,
    list: impl Iterator<Item = (Quantity, Option<Quantity>)>,
) -> Result<Vec<Span>, ReadingError> {
    let mut spans = Vec::new();
    for (length, start) in list {
        let start = read("its location", start, Kind::Length)?;
        spans.extend(read(what, Some(length), Kind::Length)?.map(|length| Span { length, start }));
    }
    Ok(spans)
}

/// Whether a quantity can be a reading of this kind.
pub(crate) fn is_reading(quantity: &Quantity, kind: Kind) -> bool {
    let top = if kind == Kind::Share { 1.0 } else { f64::MAX };
    quantity.kind == kind && quantity.si >= 0.0 && quantity.si <= top
}

fn read(what: &str, quantity: Option<Quantity>, kind: Kind) -> Result<Option<Quantity>, ReadingError> {
    let wanted = match kind {
        Kind::Share => "a share from 0 to 100 %",
        Kind::Force => "a force of zero or more",
        Kind::Pressure => "a stress of zero or more",
        _ => "a finite length of zero or more",
    };
    match quantity {
        Some(q) if !is_reading(&q, kind) => {
            Err(ReadingError { what: what.replace('_', " "), value: say(&q), wanted })
        }
        other => Ok(other),
    }
}

fn above_zero(what: &str, quantity: Option<Quantity>) -> Result<Option<Quantity>, ReadingError> {
    match read(what, quantity, Kind::Length)? {
        Some(q) if q.si <= 0.0 => {
            Err(ReadingError { what: what.to_owned(), value: say(&q), wanted: "a length above zero" })
        }
        other => Ok(other),
    }
}
