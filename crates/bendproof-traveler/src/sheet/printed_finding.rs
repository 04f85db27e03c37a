//! The code's findings taken apart for print: what, measured, limit, clause. The
//! words and the verdicts stay the code engine's.

use super::parts::{FindingLine, Mark, Sheet, VISUAL};

/// Said by the code engine of a point that has no number.
const MET: &str = "met";

/// One finding.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PrintedFinding {
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
    /// The rules, as a page can ask for them; none where no rule speaks.
    pub rules: Vec<String>,
    /// Basis.
    pub basis: String,
    /// The code's word.
    pub verdict: String,
    /// Its bar.
    pub mark: Mark,
    /// True when the limit is from memory.
    pub check_own_copy: bool,
}

impl PrintedFinding {
    /// Accepted by the code.
    pub fn is_accepted(&self) -> bool {
        self.mark == Mark::Holds
    }

    /// Accepted without a number to report.
    pub fn is_met(&self) -> bool {
        self.is_accepted() && (self.measured == MET || self.measured.is_empty())
    }

    /// Names what another open finding looked at before the reason both share.
    fn join(&mut self, other: &Self) {
        let (Some((mine, reason)), Some((theirs, _))) =
            (self.text.split_once(REASON), other.text.split_once(REASON))
        else {
            return;
        };
        self.text = format!("{mine}, {theirs}{REASON}{reason}");
        self.what.clone_from(&self.text);
        self.rules.extend(other.rules.iter().cloned());
    }

    /// What was looked at, after the strap it is on.
    pub fn named(&self) -> String {
        match self.place.as_str() {
            "" | VISUAL => self.what.clone(),
            strap => format!("{strap} {}", self.what),
        }
    }
}

/// Between what was looked at and what is said of it.
const REASON: &str = ": ";

/// The verdict's findings in their order, each with its place; points the code
/// leaves open for one reason stand together.
pub fn found_in(sheet: &Sheet) -> Vec<PrintedFinding> {
    let mut out: Vec<PrintedFinding> = Vec::new();
    for found in sheet.verdict_lines.iter().map(|line| found(sheet, line)) {
        match out.iter_mut().find(|earlier| is_open_alike(earlier, &found)) {
            Some(earlier) => earlier.join(&found),
            None => out.push(found),
        }
    }
    out
}

/// Whether two findings are not settled at the same place, by the same clause,
/// with the same words after what was looked at.
fn is_open_alike(a: &PrintedFinding, b: &PrintedFinding) -> bool {
    let reason = |f: &PrintedFinding| f.text.split_once(REASON).map(|(_, reason)| reason.to_owned());
    a.mark == Mark::NotKnown
        && (a.mark, &a.verdict, &a.place, &a.clause) == (b.mark, &b.verdict, &b.place, &b.clause)
        && (&a.basis, a.check_own_copy) == (&b.basis, b.check_own_copy)
        && reason(a).is_some()
        && reason(a) == reason(b)
}

fn found(sheet: &Sheet, line: &FindingLine) -> PrintedFinding {
    let (what, measured, limit) = apart(&line.text);
    PrintedFinding {
        place: line.place.clone(),
        text: line.text.clone(),
        what: what.to_owned(),
        measured: measured.to_owned(),
        limit: limit.to_owned(),
        clause: sheet.clause(&line.provenance),
        rules: line.provenance.rule.iter().cloned().collect(),
        basis: line.provenance.basis.clone(),
        verdict: line.verdict.clone(),
        mark: match line.verdict.as_str() {
            "accept" => Mark::Holds,
            "reject" => Mark::Fails,
            "void, replace specimen" => Mark::Marginal,
            _ => Mark::NotKnown,
        },
        check_own_copy: line.provenance.is_from_memory(),
    }
}

/// `Height of the cap: 3/32 in measured, at most 1/8 in allowed` in its parts;
/// any other sentence whole.
fn apart(text: &str) -> (&str, &str, &str) {
    // A name may hold a colon itself: `tension T1: Strength: 71 ksi measured`.
    let limited = text.strip_suffix(" allowed").or(text.strip_suffix(" required"));
    let Some((before, limit)) = limited.and_then(|t| t.split_once(" measured, ")) else {
        let met = text.rsplit_once(REASON).filter(|(_, said)| *said == MET);
        return met.map_or((text, "", ""), |(what, said)| (what, said, ""));
    };
    before.rsplit_once(REASON).map_or((text, "", ""), |(what, measured)| (what, measured, limit))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn open(text: &str, verdict: &str, mark: Mark) -> PrintedFinding {
        PrintedFinding {
            place: VISUAL.into(),
            text: text.into(),
            what: text.into(),
            measured: String::new(),
            limit: String::new(),
            clause: "a code".into(),
            rules: Vec::new(),
            basis: "choice".into(),
            verdict: verdict.into(),
            mark,
            check_own_copy: false,
        }
    }

    #[test]
    fn only_points_left_open_for_one_reason_stand_together() {
        let mut cap = open("cap height: no limit", "no limit in this code", Mark::NotKnown);
        let undercut = open("undercut: no limit", "no limit in this code", Mark::NotKnown);
        assert!(is_open_alike(&cap, &undercut));
        cap.join(&undercut);
        assert_eq!(cap.text, "cap height, undercut: no limit");
        assert!(!is_open_alike(&cap, &open("crack: not stated", "not inspected yet", Mark::NotKnown)));
        let reject = |what: &str| open(&format!("{what}: too long"), "reject", Mark::Fails);
        assert!(!is_open_alike(&reject("one"), &reject("another")));
    }

    #[test]
    fn a_measured_sentence_comes_apart_and_any_other_stays_whole() {
        let measured = "Height of the cap: 3/32 in measured, at most 1/8 in allowed";
        assert_eq!(apart(measured), ("Height of the cap", "3/32 in", "at most 1/8 in"));
        assert_eq!(apart("No crack: met"), ("No crack", "met", ""));
        let named = "tension T1: Strength: 71.5 ksi measured, at least 66 ksi required";
        assert_eq!(apart(named), ("tension T1: Strength", "71.5 ksi", "at least 66 ksi"));
        for whole in ["Bends of a 3/8 in plate", "opening: not measured", ": measured, "] {
            assert_eq!(apart(whole), (whole, "", ""));
        }
    }
}
