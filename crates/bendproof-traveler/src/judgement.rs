//! What became of a coupon's verdict: the stamp it was given, and what was
//! amended since. Only a stamp that stands grants a standing: without one, or
//! with one that no longer stands for the coupon, it is left open.

use bendproof_codes::words::Verdict;
use bendproof_files::Document;
use serde::Serialize;

use crate::build::{Summary, coupon_verdict};
use crate::context::AssessmentContext;
use crate::issued::Record;
use crate::sheet::{Mark, Sheet};
use crate::welder::{Qualification, Unsettled, state_line};

/// Values of the head that never need a reason: they stand in no record and
/// decide neither verdict nor standing. Basis: choice.
const FREE_HEAD: [&str; 2] = ["title", "planned"];
/// Branches that only the forecast and its costs ask for.
const FREE_BRANCHES: [&str; 2] = ["scatter.", "price."];
/// Branches that are settled before the first strap is judged.
const WELDED_BRANCHES: [&str; 4] = ["fit.", "settings.", "pass.", "log."];

/// Said of a verdict that accepts and was stamped by nobody.
const NOT_STAMPED: &str = "accepted, not stamped yet; until a named person stamps the verdict (operation 70) \
                           it qualifies nobody";

/// What became of a coupon's verdict.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct Judgement {
    /// The latest stamp; `None` while nobody stamped the verdict.
    pub stamp: Option<Stamped>,
    /// What was amended since; `None` for nothing.
    pub amended: Option<Amended>,
}

/// A verdict stamped on a coupon.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Stamped {
    /// The verdict in words.
    pub word: String,
    /// The code it was given under.
    pub code: String,
    /// The version of the coupon it was given on.
    pub version: u64,
    /// When, in words.
    pub at: String,
    /// By whom.
    pub who: String,
}

/// The amendments of a judged coupon.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Amended {
    /// The day of the first, `2026-11-30`.
    pub since: String,
    /// The reason given for it.
    pub why: String,
    /// How many there are.
    pub count: usize,
    /// The reason given for the latest.
    pub latest_why: String,
}

impl Amended {
    /// `amended since 2026-11-30: wrong process`.
    pub fn words(&self) -> String {
        let more = match self.count {
            0 | 1 => String::new(),
            n => format!(" (and {} more)", n - 1),
        };
        format!("amended since {}: {}{more}", self.since, self.why)
    }
}

/// The verdict that may be stamped on a coupon as it stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stampable {
    /// The verdict in words.
    pub word: String,
    /// The code it is given under.
    pub code: String,
    /// Whether nothing the code asks for is left to examine.
    pub is_final: bool,
    /// Whether it says accept.
    pub is_accepted: bool,
}

/// The verdict of a coupon that says accept, reject or void; `None` while it is
/// open.
pub fn stampable(document: &Document, context: impl Into<AssessmentContext>) -> Option<Stampable> {
    let verdict = coupon_verdict(document, context)?;
    verdict.is_given().then(|| Stampable {
        word: verdict.words(),
        code: verdict.code.clone(),
        is_final: verdict.is_final(),
        is_accepted: verdict.verdict() == Verdict::Accept,
    })
}

impl Judgement {
    /// Whether a change of this path needs a reason. Once the verdict is final
    /// nobody measures a fit or reads a meter; once it is stamped, or amended,
    /// nothing that decides it changes by the way.
    pub fn asks_reason(&self, path: &str, is_final: bool) -> bool {
        let starts = |branches: &[&str]| branches.iter().any(|branch| path.starts_with(branch));
        if FREE_HEAD.contains(&path) || starts(&FREE_BRANCHES) {
            return false;
        }
        self.stamp.is_some() || self.amended.is_some() || (is_final && starts(&WELDED_BRANCHES))
    }

    /// What was amended in words, where something was.
    pub fn amended_words(&self) -> Option<String> {
        self.amended.as_ref().map(Amended::words)
    }

    /// Why no stamp stands for the coupon, and what to do. `now` is the verdict as
    /// it would be stamped today. A verdict that accepts nothing needs no stamp to
    /// grant nothing.
    pub fn doubt(&self, now: Option<&Stampable>) -> Option<String> {
        if let Some(words) = self.amended_words() {
            return Some(format!("{words}; it was judged before that; stamp the verdict again"));
        }
        let Some(stamp) = &self.stamp else {
            return now.filter(|now| now.is_accepted).map(|_| NOT_STAMPED.to_owned());
        };
        let is_other = now.is_none_or(|now| now.word != stamp.word || now.code != stamp.code);
        is_other.then(|| {
            let now = now.map_or("open", |now| now.word.as_str());
            format!(
                "stamped {} under {}; as it stands now it is {now}; stamp the verdict again",
                stamp.word, stamp.code
            )
        })
    }

    /// The sheet with what became of its verdict.
    pub fn on_sheet(&self, mut sheet: Sheet, now: Option<&Stampable>) -> Sheet {
        if let Some(doubt) = self.doubt(now) {
            let is_accepted = now.is_some_and(|now| now.is_accepted);
            (sheet.stamp, sheet.stamp_mark) = self.stamp_words(sheet.stamp, sheet.stamp_mark, is_accepted);
            if !sheet.standing.is_empty() {
                sheet.standing.insert(0, state_line(self.unsettled().waits()));
            }
            sheet.findings.insert(0, doubt.clone());
            sheet.doubts.insert(0, doubt);
        }
        sheet
    }

    /// The same on paper, which outlives the page: the note at its stamp says since when and why.
    pub fn on_paper(&self, sheet: Sheet, now: Option<&Stampable>) -> Sheet {
        let mut sheet = self.on_sheet(sheet, now);
        if let Some(amended) = self.amended_words() {
            let notes = [sheet.stamp_note, amended];
            sheet.stamp_note =
                notes.into_iter().filter(|note| !note.is_empty()).collect::<Vec<_>>().join("; ");
        }
        sheet
    }

    /// A line of the list with what became of the verdict.
    pub fn on_summary(&self, mut summary: Summary) -> Summary {
        (summary.stamp, summary.mark) = self.stamp_words(summary.stamp, summary.mark, summary.is_accepted);
        summary
    }

    fn stamp_words(&self, word: String, mark: Mark, is_accepted: bool) -> (String, Mark) {
        match (&self.amended, &self.stamp) {
            (Some(_), _) => (format!("{word} · amended"), Mark::NotKnown),
            (None, None) if is_accepted => (format!("{word} · not stamped yet"), Mark::NotKnown),
            (None, _) => (word, mark),
        }
    }

    /// What an accepted coupon is worth while no stamp stands for it: not sure, on
    /// every side.
    pub fn on_held(&self, mut held: Qualification, now: Option<&Stampable>) -> Qualification {
        if let Some(doubt) = self.doubt(now) {
            held.leave_open(self.unsettled(), doubt);
        }
        held
    }

    /// Which way the verdict is unsettled, where it is.
    fn unsettled(&self) -> Unsettled {
        if self.stamp.is_some() || self.amended.is_some() {
            Unsettled::Amended
        } else {
            Unsettled::NotStamped
        }
    }

    /// A record printed of the coupon: nobody is to sign it while no stamp stands.
    pub fn on_record(&self, record: Record, now: Option<&Stampable>) -> Record {
        match self.doubt(now) {
            Some(doubt) => record.not_to_be_signed(&doubt),
            None => record,
        }
    }
}
