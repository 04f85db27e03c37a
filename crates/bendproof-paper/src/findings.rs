//! The code's findings taken apart for print: what, measured, limit, clause. The
//! words and the verdicts stay the code engine's.

use bendproof_traveler::sheet::{FindingLine, Mark as SheetMark, Sheet};

use crate::of_sheet::{clause, is_from_memory};

/// Said by the code engine of a point that has no number.
const MET: &str = "met";

/// One finding.
pub(crate) struct Found {
    /// Where: `R1` of a strap, `visual`, empty for the coupon.
    pub place: String,
    /// The whole sentence.
    pub text: String,
    /// What was looked at.
    pub what: String,
    /// What was measured; empty when the sentence is not of that form.
    pub measured: String,
    /// The rule's limit; empty like `measured`.
    pub limit: String,
    /// Clause, without the code's name.
    pub clause: String,
    /// Basis.
    pub basis: String,
    /// The code's word.
    pub verdict: String,
    /// Its bar.
    pub mark: SheetMark,
    /// True when the limit is from memory.
    pub check_own_copy: bool,
}

impl Found {
    pub fn is_accepted(&self) -> bool {
        self.mark == SheetMark::Holds
    }

    /// Accepted without a number to report.
    pub fn is_met(&self) -> bool {
        self.is_accepted() && (self.measured == MET || self.measured.is_empty())
    }

    /// What was looked at, after the strap it is on.
    pub fn named(&self) -> String {
        match self.place.as_str() {
            "" | VISUAL => self.what.clone(),
            strap => format!("{strap} {}", self.what),
        }
    }
}

const VISUAL: &str = "visual";

/// The verdict's findings in their order, each with its place.
pub(crate) fn of(sheet: &Sheet) -> Vec<Found> {
    let visual = sheet.visual_findings.iter().map(|f| (VISUAL.to_owned(), f));
    let straps = sheet.straps.iter().flat_map(|s| s.findings.iter().map(|f| (s.id.clone(), f)));
    let placed: Vec<(String, &FindingLine)> = visual.chain(straps).collect();
    sheet
        .verdict_lines
        .iter()
        .enumerate()
        .map(|(index, line)| {
            // The verdict lists the visual findings, then each strap's, then the
            // set's; a line out of that order is printed without a place.
            let place = placed.get(index).filter(|(_, f)| *f == line).map(|(place, _)| place.clone());
            found(sheet, place.unwrap_or_default(), line)
        })
        .collect()
}

fn found(sheet: &Sheet, place: String, line: &FindingLine) -> Found {
    let (what, measured, limit) = apart(&line.text);
    Found {
        place,
        text: line.text.clone(),
        what: what.to_owned(),
        measured: measured.to_owned(),
        limit: limit.to_owned(),
        clause: clause(sheet, &line.provenance),
        basis: line.provenance.basis.clone(),
        verdict: line.verdict.clone(),
        mark: match line.verdict.as_str() {
            "accept" => SheetMark::Holds,
            "reject" => SheetMark::Fails,
            _ => SheetMark::NotKnown,
        },
        check_own_copy: is_from_memory(&line.provenance),
    }
}

/// `Height of the cap: 3/32 in measured, at most 1/8 in allowed` in its parts;
/// any other sentence whole.
fn apart(text: &str) -> (&str, &str, &str) {
    let Some((what, rest)) = text.split_once(": ") else { return (text, "", "") };
    if rest == MET {
        return (what, rest, "");
    }
    let parts = rest.strip_suffix(" allowed").and_then(|rest| rest.split_once(" measured, "));
    parts.map_or((text, "", ""), |(measured, limit)| (what, measured, limit))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_measured_sentence_comes_apart_and_any_other_stays_whole() {
        let measured = "Height of the cap: 3/32 in measured, at most 1/8 in allowed";
        assert_eq!(apart(measured), ("Height of the cap", "3/32 in", "at most 1/8 in"));
        assert_eq!(apart("No crack: met"), ("No crack", "met", ""));
        for whole in ["Bends of a 3/8 in plate", "opening: not measured", ": measured, "] {
            assert_eq!(apart(whole), (whole, "", ""));
        }
    }
}
