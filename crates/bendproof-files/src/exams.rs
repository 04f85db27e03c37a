//! The examinations other than bends and visual, as rows of a coupon: which lists
//! there are, and what can be wrong with their texts.
//!
//! What the readings mean is the rule engine's business.

use crate::agree::piece_agrees;
use crate::bends::refuse_twice;
use crate::document::Document;
use crate::fields::COUPON;
use crate::finding::Finding;
use crate::reader::Reader;

/// One kind of examination in a coupon file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ExamList {
    /// Name of its rows: `tension`.
    pub list: &'static str,
    /// Name of the list inside a row, of flaws or of points.
    pub inner: Option<&'static str>,
    /// Letter that marks of its pieces begin with.
    pub letter: &'static str,
}

impl ExamList {
    /// The kind whose rows are called so.
    pub fn named(list: &str) -> Option<&'static ExamList> {
        EXAMS.iter().find(|exam| exam.list == list)
    }

    /// Path of the list inside a row: `nick_break.2.flaws`.
    pub fn inner_path(&self, row: usize) -> Option<String> {
        self.inner.map(|inner| format!("{}.{row}.{inner}", self.list))
    }
}

/// Every examination a coupon holds other than bends and visual, in the order of
/// the file.
pub const EXAMS: [ExamList; 6] = [
    ExamList { list: "tension", inner: None, letter: "T" },
    ExamList { list: "macro", inner: None, letter: "M" },
    ExamList { list: "nick_break", inner: Some("flaws"), letter: "N" },
    ExamList { list: "fillet_break", inner: Some("flaws"), letter: "B" },
    ExamList { list: "hardness", inner: Some("points"), letter: "H" },
    ExamList { list: "radiograph", inner: Some("flaws"), letter: "X" },
];

/// Reads the examinations for their faults; the rule engine reads their values.
pub(crate) fn check_exams(r: &mut Reader<'_>) {
    let document = r.document();
    for exam in &EXAMS {
        let rows = document.rows(exam.list);
        for row in &rows {
            for path in paths(document, exam, *row) {
                r.text(&path);
            }
        }
        let marks = rows.iter().filter_map(|row| {
            let mark = document.get(&format!("{}.{row}.id", exam.list))?;
            Some((*row, mark.trim()))
        });
        refuse_twice(r, exam.list, "piece", marks);
        for row in rows {
            piece_agrees(r, exam, row);
        }
    }
    for row in document.rows("nick_break") {
        slag_has_depth(r, row);
    }
    for row in document.rows("radiograph") {
        let at = |name: &str| format!("radiograph.{row}.{name}");
        if r.has(&at("result")) && !r.has(&at("report")) {
            let message = "enter the report number; the interpreter's result does not count without it";
            r.note(Finding::warning(at("report"), message));
        }
        let lists_some = r.document().found(&at("flaws")).is_some_and(|rows| !rows.is_empty());
        if lists_some && !r.has(&at("other_flaws")) {
            let message = "other discontinuities is not entered, so cracks and anything not listed count as not inspected; enter none if the radiograph shows no others";
            r.note(Finding::warning(at("other_flaws"), message));
        }
    }
}

/// Every path the catalogue has for a row, those of the rows inside it too.
fn paths(document: &Document, exam: &ExamList, row: usize) -> Vec<String> {
    let start = format!("{}.#.", exam.list);
    let names = COUPON.specs.iter().filter_map(|spec| spec.path.strip_prefix(&start));
    let mut out = Vec::new();
    for name in names {
        match name.split_once(".#.") {
            None => out.push(format!("{}.{row}.{name}", exam.list)),
            Some((inner, name)) => {
                let list = format!("{}.{row}.{inner}", exam.list);
                out.extend(document.rows(&list).into_iter().map(|n| format!("{list}.{n}.{name}")));
            }
        }
    }
    out
}

/// Slag is judged by its depth too.
fn slag_has_depth(r: &mut Reader<'_>, row: usize) {
    let list = format!("nick_break.{row}.flaws");
    for flaw in r.document().rows(&list) {
        let at = |name: &str| format!("{list}.{flaw}.{name}");
        let is_slag = r.text(&at("kind")).is_some_and(|kind| kind.trim().eq_ignore_ascii_case("slag"));
        if is_slag && !r.has(&at("depth")) {
            let message = "depth of the slag is missing; slag is judged by length and depth. Measure it on the fracture surface";
            r.note(Finding::error(at("depth"), message));
        }
    }
}
