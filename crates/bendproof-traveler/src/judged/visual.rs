//! What the eye saw on a coupon's weld, judged under its code and under the
//! construction code it names.

use bendproof_codes::ahead::{LimitAhead, visual_limits};
use bendproof_codes::catalogue::Code;
use bendproof_codes::judged::{JointReport, Readings, VisualReadings, examine_together};
use bendproof_codes::rule::{Fact, FactAnswer, Facts, Rule};
use bendproof_codes::words::{FluidService, JointBacking, QualityLevel, RuleKind, Verdict, WeldKind};
use bendproof_files::{COUPON, Document, Reader, StatedCoupon, eye_agrees};
use bendproof_weld::Process;

use super::bends::shape_word;
use super::exams::said;
use crate::context::{AssessmentContext, known};

/// Judges the visual readings of a coupon document; `None` while none is written.
///
/// The construction code speaks with the test's own; the worst word holds.
pub(crate) fn visual(
    document: &Document,
    coupon: Option<&StatedCoupon>,
    code: Option<&'static Code>,
    context: AssessmentContext,
) -> Option<JointReport> {
    if !document.values().keys().any(|k| k.starts_with("visual.")) {
        return None;
    }
    let codes = codes(document, code?, context);
    let mut reader = Reader::new(&COUPON, document, known(None));
    let noted = readings(&mut reader, coupon);
    let looked = reader.text("visual.other_flaws").is_some();
    let seen = if looked { noted.with_no_other_flaw() } else { noted };
    let mut report = examine_together(&codes, Readings::Visual(&seen)).ok()?;
    eye_agrees(&mut reader);
    if reader.has_error() {
        accept_nothing(&mut report, codes[0]);
    }
    // Of what was only looked for and not found nobody asks who judges it.
    let noted = examine_together(&codes, Readings::Visual(&noted)).ok()?;
    Some(JointReport { not_judged: noted.not_judged, ..report })
}

/// What the eye saw and cannot all be so accepts nothing.
fn accept_nothing(report: &mut JointReport, code: &Code) {
    let message = "a visual entry cannot be read or contradicts another; see its fields";
    report.verdict = report.verdict.max(Verdict::NotCovered);
    if let Some(first) = report.reports.first_mut() {
        first.verdict = first.verdict.max(Verdict::NotCovered);
        first.findings.push(said(code, "not-readable", message));
    }
}

/// The limits this coupon's weld will be held to by eye, with what is written of
/// it so far: those the judging of its readings asks.
pub(crate) fn limits(
    document: &Document,
    coupon: Option<&StatedCoupon>,
    code: &'static Code,
    context: AssessmentContext,
) -> Vec<LimitAhead> {
    let mut reader = Reader::new(&COUPON, document, known(None));
    visual_limits(&codes(document, code, context), &readings(&mut reader, coupon))
}

/// The codes that judge this coupon by eye; its own alone where none does.
pub(crate) fn codes(
    document: &Document,
    own: &'static Code,
    context: AssessmentContext,
) -> Vec<&'static Code> {
    let mut reader = Reader::new(&COUPON, document, known(None));
    let named = reader.text("construction_code").and_then(|name| context.code(name));
    let both = [Some(own), named.filter(|code| code.id != own.id)];
    let speaking = both.into_iter().flatten().filter(|code| code.judges(RuleKind::Visual));
    let speaking: Vec<&'static Code> = speaking.collect();
    if speaking.is_empty() { vec![own] } else { speaking }
}

/// The weld looked at is the groove; a fillet piece is broken or cut.
const LOOKED_AT: WeldKind = WeldKind::Groove;

/// Whether no file and no page can bring this rule to speak: it judges by eye a
/// kind of weld that no coupon here holds.
pub fn is_out_of_reach(rule: &Rule) -> bool {
    let looked_at = Facts::default().with("weld_kind", Fact::Word(LOOKED_AT.word().to_owned()));
    rule.kind == RuleKind::Visual && looked_at.is_some_and(|facts| rule.applies(&facts) == FactAnswer::No)
}

/// The level of ISO 5817 asked for.
pub(crate) fn quality_level(reader: &mut Reader<'_>) -> Option<QualityLevel> {
    QualityLevel::from_word(&reader.text("quality_level")?.trim().to_uppercase())
}

/// What supported the root in detail, where written.
pub(crate) fn backing_detail(reader: &mut Reader<'_>) -> Option<JointBacking> {
    JointBacking::from_word(&reader.text("fit.backing_detail")?.trim().to_lowercase())
}

/// The figure of the code it was prepared to, where written.
pub(crate) fn figure(reader: &mut Reader<'_>) -> Option<String> {
    Some(reader.text("fit.figure")?.trim().to_lowercase())
}

/// Another process that welded part of the joint, where written.
pub(crate) fn other_process(reader: &mut Reader<'_>) -> Option<Process> {
    reader.word("settings.other_process", Process::from_word)
}

/// Whether the word at `path` is `yes`; `None` where nothing is written.
pub(crate) fn is_word(reader: &mut Reader<'_>, path: &str, yes: &str) -> Option<bool> {
    reader.text(path).map(|word| word.trim().eq_ignore_ascii_case(yes))
}

pub(crate) fn readings(r: &mut Reader<'_>, coupon: Option<&StatedCoupon>) -> VisualReadings {
    let mut size = |name: &str| r.quantity(&format!("visual.{name}"));
    let sizes = VisualReadings {
        surface_pore: size("surface_pore"),
        end_crater_pipe: size("end_crater_pipe"),
        incomplete_penetration: size("incomplete_penetration"),
        incomplete_penetration_length: size("incomplete_penetration_length"),
        cap_height: size("cap_height"),
        undercut: size("undercut"),
        undercut_length: size("undercut_length"),
        shrinkage_groove: size("shrinkage_groove"),
        shrinkage_groove_length: size("shrinkage_groove_length"),
        root_concavity: size("root_concavity"),
        root_concavity_length: size("root_concavity_length"),
        underfill: size("underfill"),
        underfill_length: size("underfill_length"),
        melt_through: size("melt_through"),
        overlap: size("overlap"),
        misalignment: size("misalignment"),
        toe_angle: size("toe_angle"),
        weld_thickness: size("weld_thickness"),
        cap_width: size("cap_width"),
        root_width: size("root_width"),
        butt_throat: size("butt_throat"),
        weld_length: size("weld_length"),
        design_temperature: size("design_temperature"),
        ..VisualReadings::default()
    };
    let service = r.text("visual.fluid_service").map(|word| word.trim().to_lowercase());
    let level = quality_level(r);
    let thickness = r.quantity("fit.thickness");
    let mut is = |name: &str, yes: &str| is_word(r, &format!("visual.{name}"), yes);
    VisualReadings {
        crack: is("cracks", "seen"),
        crater_crack: is("crater_cracks", "seen"),
        crater_filled: is("craters", "filled"),
        fusion_complete: is("fusion", "complete"),
        penetration_complete: is("penetration", "complete"),
        burn_through: is("burn_through", "seen"),
        root_porosity: is("root_porosity", "seen"),
        poor_restart: is("restarts", "uneven"),
        stray_arc: is("arc_strikes", "seen"),
        spatter: is("spatter", "seen"),
        surface_slag: is("surface_slag", "seen"),
        thickness,
        level,
        fluid_service: service.and_then(|word| FluidService::from_word(&word)),
        backing: coupon.and_then(|c| c.backing),
        weld_kind: coupon.map(|_| LOOKED_AT),
        shape: coupon.and_then(shape_word),
        ..sizes
    }
}
