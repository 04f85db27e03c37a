//! Straps and specimens as the sheet shows them.

use bendproof_codes::catalogue::Code;
use bendproof_codes::judged::{BendReport, SpecimenPlan, asks_weld_in_bend, specimens};
use bendproof_codes::words::StrapKind;
use bendproof_files::{Document, OpeningText, StatedCoupon, StrapText};
use bendproof_measure::{Quantity, length_as_read, length_both, say};
use bendproof_weld::Coupon;

use super::fields::{FieldContext, fields};
use super::verdict::finding_line;
use crate::judged::{Bends, specimen_coupon};
use crate::sheet::{
    KIND_NOT_STATED, Mark, OpeningView, Provenance, StandingLine, StrapView, code_mark, code_name,
    code_words, rule_ref,
};

/// Width of a strap when the code gives none, mm (choice, for the drawing only).
const DRAWN_WIDTH_MM: f64 = 38.0;
/// Former when the code gives none, mm (choice, for the drawing only).
const DRAWN_FORMER_MM: f64 = 38.0;

/// Said of a strap whose thickness nobody measured.
const NOT_MEASURED: &str = "not stated";

/// Said of an opening that nobody has measured.
const LENGTH_NOT_ENTERED: &str = "length not entered";

/// What the code asks to be cut, as lines and as data for the drawings.
pub(crate) fn plan(code: &Code, document: &Document, coupon: &StatedCoupon) -> Option<SpecimenPlan> {
    Some(specimens(code, &specimen_coupon(document, coupon)?))
}

/// Specimens, sizes and jig in words.
pub(crate) fn plan_lines(plan: &SpecimenPlan, thickness_m: f64, has_steel: bool) -> Vec<StandingLine> {
    let cited = |label: &str, value: String, because: Option<&bendproof_codes::rule::Cited>| StandingLine {
        label: label.to_owned(),
        value,
        provenance: match because {
            Some(c) => Provenance {
                source: format!("{}, {}", code_name(&plan.code), c.clause),
                basis: c.basis.word().to_owned(),
                rule: Some(rule_ref(&plan.code, &c.rule)),
            },
            None => Provenance { source: plan.code.clone(), basis: "derived".to_owned(), rule: None },
        },
    };
    let mut out = Vec::new();
    let sets: Vec<String> = plan.sets.iter().map(set_words).collect();
    if !sets.is_empty() {
        out.push(cited("bends", sets.join(", or "), plan.because.first()));
    }
    for size in &plan.straps {
        let text = format!(
            "{} in wide, {} in long, {} in thick maximum, edges rounded to {} in maximum",
            bendproof_measure::inches(size.width.inch_m),
            bendproof_measure::inches(size.length.inch_m),
            bendproof_measure::inches(size.thickness.inch_m),
            bendproof_measure::inches(size.edge_radius.inch_m),
        );
        out.push(cited(&format!("{} strap", size.kind), text, Some(&size.because)));
    }
    for (kind, jig) in &plan.jigs {
        let thickest = plan.straps.iter().find(|s| s.kind == *kind).map(|s| s.thickness.inch_m);
        // The strap as bent: the coupon's own thickness, or what the code cuts it to.
        let bent_m = thickest.map_or(thickness_m, |most| thickness_m.min(most));
        let strain = bendproof_weld::bend::outer_fibre_strain(bent_m, jig.a.inch_m);
        let text = format!(
            "former A {} · shoulders C {} · stretches the face {:.0} %",
            length_both(jig.a.inch_m),
            length_both(jig.c.inch_m),
            strain * 100.0
        );
        out.push(cited(&format!("{kind} bend jig"), text, Some(&jig.because)));
    }
    if plan.jigs.is_empty() && !plan.straps.is_empty() && !has_steel {
        let text = "not known: the size of the former may depend on the steel; enter the steel";
        out.push(cited("bend jig", text.to_owned(), None));
    }
    if let Some(layout) = plan.layouts.first() {
        let text = match layout.discard {
            Some(ends) => format!("as drawn; {} thrown away at each end", length_both(ends.inch_m)),
            None => "as drawn".to_owned(),
        };
        out.push(cited("where they are cut", text, Some(&layout.because)));
    }
    out
}

fn set_words(set: &bendproof_codes::rule::Counts) -> String {
    let parts = [
        (set.face, "face"),
        (set.root, "root"),
        (set.side, "side"),
        (set.tension, "tension"),
        (set.nick_break, "nick-break"),
    ];
    let words: Vec<String> =
        parts.iter().filter(|(n, _)| *n > 0).map(|(n, what)| format!("{n} {what}")).collect();
    words.join(" and ")
}

/// All straps of the document.
pub(crate) fn views(
    context: &FieldContext<'_>,
    bends: &Bends,
    plan: Option<&SpecimenPlan>,
    thickness: Option<Quantity>,
) -> Vec<StrapView> {
    bends.straps.iter().map(|s| view(context, s, bends.report.as_ref(), plan, thickness)).collect()
}

fn view(
    context: &FieldContext<'_>,
    strap: &StrapText,
    report: Option<&BendReport>,
    plan: Option<&SpecimenPlan>,
    thickness: Option<Quantity>,
) -> StrapView {
    let judged = report.and_then(|r| r.straps.iter().find(|s| Some(&s.id) == strap.id.as_ref()));
    let kind = strap.kind.as_deref().and_then(StrapKind::from_word);
    let size = plan.and_then(|p| p.straps.iter().find(|s| Some(s.kind) == kind));
    let jig = plan.and_then(|p| p.jigs.iter().find(|(k, _)| Some(*k) == kind));
    // The drawing needs one; the sheet says what was measured.
    let thickness_mm = strap.thickness.or(thickness).map_or(9.5, |q| q.si * 1e3);
    let former_mm = jig.map_or(DRAWN_FORMER_MM, |(_, j)| j.a.inch_m * 1e3);
    let prefix = format!("strap.{}.", strap.row);
    let is_inspected = strap.openings.is_some();
    let is_measured = strap.is_measured();
    let mut names = vec!["id", "kind", "thickness"];
    if context.document.get(&format!("{prefix}note")).is_some() {
        names.push("note");
    }
    if strap.weld_in_bend.is_some() || context.code.is_some_and(asks_weld_in_bend) {
        names.push("weld_in_bend");
    }
    StrapView {
        strap: strap.row,
        id: strap.name(),
        kind: strap.kind.clone().unwrap_or_else(|| KIND_NOT_STATED.to_owned()),
        thickness: strap.thickness.map_or_else(|| NOT_MEASURED.to_owned(), |q| length_as_read(&q)),
        width_mm: size.map_or(DRAWN_WIDTH_MM, |s| s.width.inch_m * 1e3),
        // Half the turn of the stretched face.
        face_length_mm: std::f64::consts::PI * (0.5 * former_mm + thickness_mm),
        weld_width_mm: weld_width_mm(context.coupon, kind),
        former_mm,
        is_former_known: jig.is_some(),
        thickness_mm,
        fields: fields(context, &prefix, &names),
        is_inspected,
        openings: strap
            .openings
            .iter()
            .flatten()
            .map(|o| opening(context, &format!("{prefix}openings.{}.", o.row), o))
            .collect(),
        verdict: match (strap.not_stated(), is_inspected, is_measured, judged) {
            (Some(open), ..) => format!("not complete: {open}"),
            (None, false, ..) => "not inspected".to_owned(),
            (None, true, false, _) => format!("not judged: {LENGTH_NOT_ENTERED}"),
            (None, true, true, Some(judged)) => code_words(judged.verdict).to_owned(),
            (None, true, true, None) => "not judged".to_owned(),
        },
        mark: match (is_measured, judged) {
            (true, Some(judged)) => code_mark(judged.verdict),
            _ => Mark::NotKnown,
        },
        findings: judged
            .map(|j| {
                j.findings.iter().map(|f| finding_line(report.map_or("", |r| &r.code), &j.id, f)).collect()
            })
            .unwrap_or_default(),
    }
}

/// Width of the weld on the stretched face, mm: the groove's face for a face or
/// side bend, the opening and its melted edges for a root bend.
fn weld_width_mm(coupon: Option<&Coupon>, kind: Option<StrapKind>) -> f64 {
    let Some(coupon) = coupon else { return 12.0 };
    let groove = bendproof_weld::groove::Groove::of_joint(&coupon.fit.joint);
    match kind {
        Some(StrapKind::Root) => (groove.root_opening_m + 3e-3) * 1e3,
        _ => groove.face_width_m() * 1e3,
    }
}

fn opening(context: &FieldContext<'_>, prefix: &str, o: &OpeningText) -> OpeningView {
    OpeningView {
        opening: o.row,
        length: o.length.as_ref().map_or_else(|| LENGTH_NOT_ENTERED.to_owned(), length_as_read),
        text: o.length.map_or_else(|| LENGTH_NOT_ENTERED.to_owned(), |q| say(&q)),
        length_mm: o.length.map_or(0.0, |q| q.si * 1e3),
        place: o.place.clone().unwrap_or_default(),
        cause: o.cause.clone().unwrap_or_default(),
        fields: fields(context, prefix, &["length", "place", "cause", "zone", "note"]),
        x_mm: o.x_m.unwrap_or(0.0) * 1e3,
        y_mm: o.y_m.unwrap_or(0.0) * 1e3,
    }
}
