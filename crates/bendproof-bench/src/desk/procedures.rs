//! The procedures of the shop, as the page asks and shows them.

use bendproof_traveler::sheet::Mark;
use bendproof_traveler::sheet::{AheadLine, RuleWay};
use serde::Serialize;

use super::{FinderBox, Finding, HistoryEntry, Listed, Template};

/// One line of the list of procedures.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ProcedureRow {
    /// The shop's number, as in `/procedure/NUMBER`.
    pub number: String,
    /// Process, transfer and joint in words.
    pub title: String,
    /// Id of the code it is written under.
    pub code: String,
    /// Whether its record supports it, as a sign.
    pub mark: Mark,
    /// The same in words.
    pub answer: String,
    /// When it was last changed, in words.
    pub changed: String,
}

/// The list, and what a new procedure can start from.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ProcedureList {
    /// The procedures, by number.
    #[serde(flatten)]
    pub listed: Listed<ProcedureRow>,
    /// The latest accepted coupons, and an example.
    pub starts: Vec<Template>,
}

/// One procedure as it stands, under one code.
#[derive(Debug, Clone, PartialEq)]
pub struct ProcedureView {
    /// Its number.
    pub number: String,
    /// Process, transfer and joint in words.
    pub title: String,
    /// Version of the document; every kept change adds one.
    pub version: u64,
    /// Whether there is a change to take back.
    pub can_undo: bool,
    /// Its fields: what is written, and what may be.
    pub parts: Vec<ProcedurePart>,
    /// Id of the code it is shown under.
    pub code: String,
    /// Codes with rules for procedures: id and title.
    pub codes: Vec<(String, String)>,
    /// What is said of it, or why nothing is.
    pub report: Result<Box<ReportView>, Vec<Finding>>,
    /// The joint to scale, or the sentence that says why it is not drawn.
    pub joint: Result<String, String>,
    /// Its revisions, newest first, each with its reason.
    pub history: Vec<HistoryEntry>,
    /// The same for other programs.
    pub data: serde_json::Value,
}

/// The fields of the procedure or of its record.
#[derive(Debug, Clone, PartialEq)]
pub struct ProcedurePart {
    /// `procedure` or `record`, as in the address of its file.
    pub slug: String,
    /// Fields that hold a text.
    pub written: Vec<FinderBox>,
    /// Fields that may.
    pub empty: Vec<FinderBox>,
    /// The joints written into it, and an empty one to add.
    pub joints: Vec<JointBoxes>,
}

/// The fields of one joint written into a procedure.
#[derive(Debug, Clone, PartialEq)]
pub struct JointBoxes {
    /// Branch of its paths: `procedure.joint.2`.
    pub branch: String,
    /// What it is called; `None` for the empty one.
    pub name: Option<String>,
    /// Fields that hold a text; of the empty one those asked most.
    pub shown: Vec<FinderBox>,
    /// The rest.
    pub folded: Vec<FinderBox>,
}

/// What is said of a procedure under one code.
#[derive(Debug, Clone, PartialEq)]
pub struct ReportView {
    /// Whether its record supports it; none without a record.
    pub supported: Option<AllowanceView>,
    /// Whether it may claim to need no test; none where it does not.
    pub prequalified: Option<AllowanceView>,
    /// Each variable with what the record allows.
    pub draft: Vec<VariableView>,
    /// What was put in and not written.
    pub remarks: Vec<String>,
    /// The joints written into it.
    pub joints: Vec<JointInside>,
}

/// An answer with its reasons, those against it first.
#[derive(Debug, Clone, PartialEq)]
pub struct AllowanceView {
    /// Sign of the answer.
    pub mark: Mark,
    /// The answer.
    pub words: String,
    /// Sign, word and reason with its rules.
    pub reasons: Vec<(Mark, String, AheadLine)>,
}

/// One variable of a code.
#[derive(Debug, Clone, PartialEq)]
pub struct VariableView {
    /// Its name.
    pub name: String,
    /// The value of the record.
    pub value: String,
    /// What is allowed, with the arithmetic and where it counts.
    pub allowed: String,
    /// What leaving the range means.
    pub class: String,
    /// How well the rule is known.
    pub basis: String,
    /// The rule.
    pub rule: RuleWay,
}

/// Whether one joint lies inside.
#[derive(Debug, Clone, PartialEq)]
pub struct JointInside {
    /// What it is called.
    pub name: String,
    /// Sign of the answer.
    pub mark: Mark,
    /// The answer.
    pub words: String,
    /// By the procedure, by the record: heading and answer.
    pub by: Vec<(String, AllowanceView)>,
    /// Fit and preheat.
    pub more: Vec<(Mark, String, AheadLine)>,
}

/// A joint asked about, as typed.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ProcedureAsk {
    /// Boxes with a text: path as in a file of joints, `joint.1.position`.
    pub boxes: Vec<(String, String)>,
    /// Id of the code; empty for the procedure's own.
    pub code: String,
    /// Whether to answer or only lay out the form.
    pub is_asked: bool,
}

/// The form as it stands, and the answer.
#[derive(Debug, Clone, PartialEq)]
pub struct ProcedureAskView {
    /// The boxes asked most, and the rest.
    pub boxes: Vec<FinderBox>,
    /// Boxes seldom asked.
    pub more: Vec<FinderBox>,
    /// Codes to pick from: id and title.
    pub codes: Vec<(String, String)>,
    /// What is wrong; the path is that of the box.
    pub findings: Vec<Finding>,
    /// The answer; none while nothing is asked or something is wrong.
    pub answer: Option<JointInside>,
    /// The same for other programs.
    pub data: serde_json::Value,
}

/// What became of a change of a procedure.
#[derive(Debug, Clone, PartialEq)]
pub enum ProcedureOutcome {
    /// Kept, or nothing was changed.
    Saved,
    /// Somebody else changed it since the version the user saw: their changes,
    /// newest first.
    Conflict(Vec<HistoryEntry>),
    /// Not kept.
    Refused(Vec<Finding>),
}

/// A change of a procedure as typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ProcedureChange<'a> {
    /// The version it was made on.
    pub version: u64,
    /// Paths and texts.
    pub changes: Vec<super::Change>,
    /// Why it was made.
    pub why: &'a str,
    /// Who makes it.
    pub who: &'a str,
    /// As in [`super::Desk::change`].
    pub token: &'a str,
}
