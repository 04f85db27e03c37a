//! Bent straps of a document, judged under its code, and the coupon as its
//! specimens see it.

use bendproof_codes::catalogue::Code;
use bendproof_codes::judged::{BendReport, BendTest, Opening, OtherExams, Strap, Welded, judge};
use bendproof_codes::words::{Cause, Place, Purpose, StrapKind, TestShape, Zone};
use bendproof_files::{
    BENDS, COUPON, Document, Finding, Reader, Severity, StatedCoupon, StrapText, read_straps,
};
use bendproof_measure::{Kind, Quantity};
use bendproof_weld::consumable::wire_named;

use crate::context::{AssessmentContext, known};
use crate::stated::CODE_NOT_STATED;

/// Bends of a document: what was read, and what the code says of it.
#[derive(Debug, Clone)]
pub struct Bends {
    /// The straps as written.
    pub straps: Vec<StrapText>,
    /// What the code says; `None` where it cannot.
    pub report: Option<BendReport>,
    /// Why there is no report.
    pub why_not: Option<String>,
}

impl Bends {
    /// What nobody stated of a strap that is listed: `strap no. 3: mark not stated`.
    pub fn not_stated(&self) -> Option<String> {
        self.straps.iter().find_map(|s| Some(format!("specimen {}: {}", s.name(), s.not_stated()?)))
    }
}

/// Judges the straps of a coupon document, with whatever else was examined.
pub(crate) fn bends(
    document: &Document,
    coupon: Option<&StatedCoupon>,
    code: Option<&Code>,
    others: OtherExams,
) -> Bends {
    let mut reader = Reader::new(&COUPON, document, known(None));
    let read = read_straps(&mut reader, false, true);
    let usable = read.iter().all(Option::is_some);
    let straps: Vec<StrapText> = read.into_iter().flatten().collect();
    // A strap whose kind nobody stated is not judged; it keeps the set open.
    let stated: Vec<&StrapText> = straps.iter().filter(|strap| strap.not_stated().is_none()).collect();
    let report = (|| {
        if stated.is_empty() && !others.is_radiographed {
            return Err(if straps.is_empty() {
                "no specimen is listed yet"
            } else {
                "no specimen can be judged yet"
            }
            .to_owned());
        }
        if !usable {
            return Err("a specimen cannot be read; see its fields".to_owned());
        }
        let code = code.ok_or(CODE_NOT_STATED)?;
        let coupon = coupon.ok_or("the coupon cannot be used yet; see its fields")?;
        let piece = specimen_coupon(document, coupon).ok_or("not stated: shape; enter plate or pipe")?;
        let straps = stated.iter().map(|text| strap(text)).collect::<Option<_>>();
        let straps = straps.ok_or("a specimen cannot be read; see its fields")?;
        let test = BendTest { straps, coupon: Some(piece), others };
        judge(code, &test).map_err(|e| e.to_string())
    })();
    match report {
        Ok(report) => Bends { straps, report: Some(report), why_not: None },
        Err(why) => Bends { straps, report: None, why_not: Some(why) },
    }
}

/// The coupon as its specimens see it; `None` while nobody stated its shape.
pub(crate) fn specimen_coupon(
    document: &Document,
    coupon: &StatedCoupon,
) -> Option<bendproof_codes::judged::Coupon> {
    let mut reader = Reader::new(&COUPON, document, known(None));
    let steel = coupon.steel.as_deref().and_then(bendproof_weld::steel::steel_named);
    Some(bendproof_codes::judged::Coupon {
        purpose: purpose(&mut reader),
        shape: shape_word(coupon)?,
        position: coupon.position,
        thickness: reader.quantity("fit.thickness")?,
        deposit: reader.quantity("settings.deposit_thickness"),
        outside_diameter: reader.quantity("fit.outside_diameter"),
        nominal_size: reader.quantity("fit.nominal_size"),
        yield_strength: steel.map(|s| Quantity::from_si(Kind::Pressure, s.yield_min_pa.value)),
        elongation_percent: steel.and_then(|s| s.elongation_min.as_ref()).map(|e| e.value * 100.0),
        welded: coupon.process.map(|process| Welded {
            process,
            transfer: coupon.transfer,
            filler_type: coupon.filler.as_deref().and_then(wire_named).and_then(|wire| wire.iso_type.clone()),
            is_shared: reader.text("settings.other_process").is_some_and(|text| !text.trim().is_empty()),
        }),
    })
}

/// What the coupon is welded for.
pub(crate) fn purpose(reader: &mut Reader<'_>) -> Purpose {
    let word = reader.text("purpose").map(|word| word.trim().to_lowercase());
    word.and_then(|word| Purpose::from_word(&word)).unwrap_or(Purpose::Welder)
}

/// Plate or pipe, where stated.
pub(crate) fn shape_word(coupon: &StatedCoupon) -> Option<TestShape> {
    coupon.is_pipe.map(|is_pipe| if is_pipe { TestShape::Pipe } else { TestShape::Plate })
}

fn strap(text: &StrapText) -> Option<Strap> {
    Some(Strap {
        id: text.id.clone()?,
        kind: StrapKind::from_word(text.kind.as_deref()?)?,
        thickness: text.thickness,
        wall: text.wall,
        weld_in_bend: text.weld_in_bend,
        // An opening that nobody measured leaves the strap as if not looked at.
        openings: match text.openings.as_ref().filter(|_| text.is_measured()) {
            None => None,
            Some(list) => Some(
                list.iter()
                    .map(|o| {
                        Some(Opening {
                            length: o.length?,
                            place: match &o.place {
                                Some(word) => Place::from_word(word)?,
                                None => Place::NotStated,
                            },
                            cause: match &o.cause {
                                Some(word) => Cause::from_word(word)?,
                                None => Cause::NotStated,
                            },
                            zone: match &o.zone {
                                Some(word) => Zone::from_word(word)?,
                                None => Zone::NotStated,
                            },
                        })
                    })
                    .collect::<Option<_>>()?,
            ),
        },
    })
}

/// A bends file, read and judged.
#[derive(Debug, Clone)]
pub struct BendsRead {
    /// What is wrong with the text.
    pub findings: Vec<Finding>,
    /// What the code says; `None` when the text cannot be used.
    pub report: Option<BendReport>,
}

/// Reads and judges the text of a bends file.
pub fn read_bends(text: &str, context: impl Into<AssessmentContext>) -> BendsRead {
    let context = context.into();
    let (document, mut findings) = Document::from_toml(&BENDS, text);
    let mut reader = Reader::new(&BENDS, &document, known(context.day));
    let code = reader.text("code").and_then(|name| context.code(name));
    for path in ["coupon", "welder"] {
        reader.text(path);
    }
    let straps = read_straps(&mut reader, true, false);
    findings.extend(reader.into_findings());
    let mut report = None;
    if findings.iter().all(|f| f.severity < Severity::Error)
        && let Some(code) = code
    {
        let straps = straps.iter().flatten().filter_map(strap).collect();
        match judge(code, &BendTest { straps, coupon: None, others: OtherExams::default() }) {
            Ok(judged) => report = Some(judged),
            Err(why) => findings.push(Finding::error("strap", why.to_string())),
        }
    }
    BendsRead { findings, report }
}
