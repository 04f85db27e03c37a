//! The pieces pulled, cut, broken, tested for hardness or radiographed, each
//! judged under the coupon's code.
//!
//! Turns rows of the document into the engine's readings and decides nothing. A
//! row that cannot be read, and one that the code has no rule for, never accepts.

use bendproof_codes::catalogue::Code;
use bendproof_codes::judged::{
    ExamReport, FilletBreakReadings, Finding, HardnessReadings, Indication, MacroReadings, NickBreakReadings,
    RadiographReadings, ReadingError, Readings, Slag, TensionPiece, examine,
};
use bendproof_codes::rule::Span;
use bendproof_codes::words::{Basis, Flaw, Open, Verdict, WeldKind, Zone};
use bendproof_files::{COUPON, Document, EXAMS, ExamList, Reader, piece_agrees};
use bendproof_measure::{Quantity, Toward};

use super::visual::{is_word, quality_level};
use crate::context::known;

/// The scale that hardness limits are written in; no other is turned into it.
const HARDNESS_SCALE: &str = "HV10";

/// One examined piece with the code's word on it.
#[derive(Debug, Clone)]
pub struct Piece {
    /// Which examination.
    pub exam: &'static ExamList,
    /// 1-based row in the document.
    pub row: usize,
    /// Its mark.
    pub id: String,
    /// The code.
    pub code: String,
    /// Worst of the findings; not covered where there is none.
    pub verdict: Verdict,
    /// What each rule said.
    pub findings: Vec<Finding>,
}

/// Every examined piece of a coupon document, judged.
pub(crate) fn pieces(document: &Document, code: &Code) -> Vec<Piece> {
    let rows = EXAMS.iter().flat_map(|exam| document.rows(exam.list).into_iter().map(move |row| (exam, row)));
    rows.map(|(exam, row)| piece(code, document, exam, row)).collect()
}

fn piece(code: &Code, document: &Document, exam: &'static ExamList, row: usize) -> Piece {
    let mut read = Row {
        reader: Reader::new(&COUPON, document, known(None)),
        document,
        at: format!("{}.{row}", exam.list),
        inner: exam.inner_path(row).unwrap_or_default(),
    };
    let id = read.text("id").unwrap_or_default();
    let report = read.report(code, exam.list);
    piece_agrees(&mut read.reader, exam, row);
    let mut findings = match report {
        _ if read.reader.has_error() => {
            vec![said(
                code,
                "not-readable",
                "a reading is missing, cannot be read or contradicts another; see its fields",
            )]
        }
        Ok(report) => report.findings,
        Err(why) => vec![said(code, "not-readable", &why.to_string())],
    };
    let reported = if exam.list == "radiograph" { read.reported() } else { None };
    // A film whose reader reported it and noted no indication stands on the report.
    if reported.is_some() && document.found(&read.inner).is_none() && !read.reader.has_error() {
        findings.clear();
    }
    findings.extend(reported);
    if exam.list == "hardness" {
        let has_limits = !findings.is_empty();
        findings.extend(read.other_scale(code, has_limits));
    }
    if findings.is_empty() {
        let message = match exam.list {
            "radiograph" => format!(
                "limits of {} on films are not held here; note the film reader's word and the number of the report",
                code.short
            ),
            _ => format!("{} has no rule here for this examination; it is not judged", code.short),
        };
        findings.push(said(code, "no-examination-rule", &message));
    }
    let verdict = findings.iter().map(|f| f.verdict).max().unwrap_or(Verdict::NotCovered);
    Piece { exam, row, id, code: code.id.clone(), verdict, findings }
}

/// What no rule says, and what therefore accepts nothing.
pub(super) fn said(code: &Code, id: &str, message: &str) -> Finding {
    Finding {
        rule: id.to_owned(),
        clause: code.short.clone(),
        measured: None,
        limit: None,
        limit_side: Toward::Less,
        verdict: Verdict::NotCovered,
        open: Some(Open::NoLimit),
        basis: Basis::Choice,
        message: message.to_owned(),
    }
}

/// One row as it is read.
struct Row<'a> {
    reader: Reader<'a>,
    document: &'a Document,
    at: String,
    /// Path of the list inside it.
    inner: String,
}

impl Row<'_> {
    fn report(&mut self, code: &Code, list: &str) -> Result<ExamReport, ReadingError> {
        match list {
            "tension" => examine(code, Readings::Tension(&self.tension())),
            "macro" => examine(code, Readings::Macro(&self.section())),
            "nick_break" => examine(code, Readings::NickBreak(&self.nick_break())),
            "fillet_break" => examine(code, Readings::FilletBreak(&self.fillet_break())),
            "hardness" => examine(code, Readings::Hardness(&self.hardness())),
            _ => examine(code, Readings::Radiograph(&self.radiograph())),
        }
    }

    fn path(&self, name: &str) -> String {
        format!("{}.{name}", self.at)
    }

    /// What somebody entered; what the sheet proposes is never judged.
    fn text(&mut self, name: &str) -> Option<String> {
        let path = self.path(name);
        if !self.reader.has(&path) {
            return None;
        }
        self.reader.text(&path).map(|text| text.trim().to_owned())
    }

    fn size(&mut self, name: &str) -> Option<Quantity> {
        self.reader.quantity(&self.path(name))
    }

    fn is(&mut self, name: &str, yes: &str) -> Option<bool> {
        let path = self.path(name);
        if !self.reader.has(&path) {
            return None;
        }
        is_word(&mut self.reader, &path, yes)
    }

    fn word<T>(&mut self, name: &str, from_word: impl Fn(&str) -> Option<T>) -> Option<T> {
        from_word(&self.text(name)?.to_lowercase())
    }

    /// The rows of the list inside, each read by `read`; `None` where nobody
    /// looked. A row that cannot be read is a fault of the reader.
    fn found<T>(&mut self, read: impl Fn(&mut Reader<'_>, &str) -> Option<T>) -> Option<Vec<T>> {
        let rows = self.document.found(&self.inner)?;
        let rows = rows.into_iter().map(|row| format!("{}.{row}", self.inner));
        Some(rows.filter_map(|at| read(&mut self.reader, &at)).collect())
    }

    fn tension(&mut self) -> TensionPiece {
        TensionPiece {
            width: self.size("width"),
            thickness: self.size("thickness"),
            load: self.size("load"),
            strength: self.size("strength"),
            specified_tensile: self.reader.quantity("fit.tensile_min"),
            broke_in: self.word("broke_in", Zone::from_word).unwrap_or(Zone::NotStated),
            fracture_sound: self.is("fracture", "sound"),
        }
    }

    fn section(&mut self) -> MacroReadings {
        MacroReadings {
            weld_kind: self.word("weld", WeldKind::from_word),
            level: quality_level(&mut self.reader),
            crack: self.is("cracks", "seen"),
            fusion_complete: self.is("fusion", "complete"),
            root_fused: self.is("root_fusion", "complete"),
            profile_sound: self.is("profile", "good"),
            micro_lack_of_fusion: self.is("micro_fusion", "seen"),
            weld_size: self.size("weld_size"),
            designated_size: self.size("designated_size"),
            undercut: self.size("undercut"),
            slag_total: self.size("slag_total"),
            flaw_height_sum: self.size("flaw_height_sum"),
            thickness: self.reader.quantity("fit.thickness"),
            throat: self.size("throat"),
        }
    }

    fn nick_break(&mut self) -> NickBreakReadings {
        let flaws = self.found(|r, at| {
            let is_slag = is_word(r, &format!("{at}.kind"), "slag")?;
            let length = r.quantity(&format!("{at}.length"))?;
            Some((is_slag, length, r.quantity(&format!("{at}.depth"))))
        });
        let gas = |all: &Vec<(bool, Quantity, Option<Quantity>)>| {
            all.iter().filter(|(is_slag, ..)| !is_slag).map(|(_, length, _)| *length).collect()
        };
        let slag = |all: &Vec<(bool, Quantity, Option<Quantity>)>| {
            let slag = all.iter().filter(|(is_slag, ..)| *is_slag);
            // Slag whose depth nobody measured leaves the question open.
            slag.map(|(_, length, depth)| depth.map(|depth| Slag { length: *length, depth })).collect()
        };
        NickBreakReadings {
            penetration_complete: self.is("penetration", "complete"),
            fusion_complete: self.is("fusion", "complete"),
            pores: flaws.as_ref().map(gas),
            pore_area: self.size("gas_area"),
            slag: flaws.as_ref().and_then(slag),
            slag_spacing: self.size("slag_spacing"),
            wall: self.reader.quantity("fit.thickness"),
        }
    }

    fn fillet_break(&mut self) -> FilletBreakReadings {
        FilletBreakReadings {
            crack: self.is("cracks", "seen"),
            root_fused: self.is("root_fusion", "complete"),
            flaws: self.found(|r, at| {
                let length = r.quantity(&format!("{at}.length"))?;
                Some(Span { length, start: r.quantity(&format!("{at}.at")) })
            }),
        }
    }

    fn hardness(&mut self) -> HardnessReadings {
        let points = self.found(|r, at| r.si(&format!("{at}.value"))).unwrap_or_default();
        HardnessReadings {
            hv10: if self.is_hv10() { points } else { Vec::new() },
            heat_treated: is_word(&mut self.reader, "settings.heat_treated", "yes"),
            steel_group: self.reader.text("fit.steel_group").map(str::to_owned),
        }
    }

    fn is_hv10(&mut self) -> bool {
        self.is("scale", HARDNESS_SCALE) == Some(true)
    }

    /// Said of readings on a scale that the limits are not written in.
    fn other_scale(&mut self, code: &Code, has_limits: bool) -> Option<Finding> {
        let message = match self.text("scale") {
            None if !has_limits => return None,
            None => format!("enter the hardness scale; limits here are in {HARDNESS_SCALE}"),
            Some(scale) if scale.eq_ignore_ascii_case(HARDNESS_SCALE) => return None,
            Some(scale) => format!(
                "read in {scale}; limits here are in {HARDNESS_SCALE} and no scale is turned into another"
            ),
        };
        Some(said(code, "hardness-scale", &message))
    }

    fn radiograph(&mut self) -> RadiographReadings {
        let is_full = self.is("penetration", "full");
        RadiographReadings {
            indications: self.found(|r, at| {
                let word = r.text(&format!("{at}.kind"))?.trim().to_lowercase();
                Some(Indication {
                    flaw: Flaw::from_word(&word)?,
                    length: r.quantity(&format!("{at}.length"))?,
                    width: r.quantity(&format!("{at}.width")),
                    start: r.quantity(&format!("{at}.at")),
                })
            }),
            no_other_indication: self.text("other_flaws").is_some(),
            thickness: self.reader.quantity("fit.thickness"),
            butt_throat: self.reader.quantity("visual.butt_throat"),
            full_penetration: is_full,
            layers: self.reader.count("settings.layers"),
            level: quality_level(&mut self.reader),
            pore_area: self.size("pore_area"),
            cluster_area: self.size("cluster_area"),
            line_area: self.size("line_area"),
            fusion_flaw: self.size("fusion_flaw"),
            fusion_flaw_length: self.size("fusion_flaw_length"),
            incomplete_penetration: self.size("incomplete_penetration"),
            incomplete_penetration_length: self.size("incomplete_penetration_length"),
            weld_length: self.size("weld_length"),
        }
    }

    /// Whether a crack is listed on the film.
    fn lists_a_crack(&mut self) -> bool {
        let rows = self.document.rows(&self.inner);
        let mut kinds = rows.into_iter().map(|row| format!("{}.{row}.kind", self.inner));
        kinds.any(|path| self.reader.text(&path).and_then(Flaw::from_word) == Some(Flaw::Crack))
    }

    /// The film reader's own word, which counts with the number of the report.
    fn reported(&mut self) -> Option<Finding> {
        let is_accepted = self.is("result", "accept")?;
        let report = self.text("report");
        let (verdict, message) = match (is_accepted, &report) {
            (false, _) => (Verdict::Reject, "rejected by the reader of the film".to_owned()),
            (true, _) if self.lists_a_crack() => (
                Verdict::NotCovered,
                "accepted by the reader of the film over a crack that is listed; ask the reader which is wrong"
                    .to_owned(),
            ),
            (true, Some(_)) => (
                Verdict::Accept,
                "accepted by the reader of the film, as reported; not judged here".to_owned(),
            ),
            (true, None) => {
                let message = "accepted by the reader of the film, and no report number is given";
                (Verdict::NotCovered, message.to_owned())
            }
        };
        Some(Finding {
            rule: "film-reader".to_owned(),
            clause: report.map_or_else(|| "no report".to_owned(), |number| format!("report {number}")),
            measured: None,
            limit: None,
            limit_side: Toward::Less,
            verdict,
            open: (verdict == Verdict::NotCovered).then_some(Open::NotEntered),
            basis: Basis::Measured,
            message,
        })
    }
}
