//! One welder as known on a day, and a joint asked about, as the page shows them.

use bendproof_traveler::sheet::AheadLine;
use bendproof_traveler::sheet::{Mark, StandingLine};
use serde::Serialize;

use super::{FinderBox, Finding};

/// What a welder holds as known on a day.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct WelderDays {
    /// The day it is stated for, `YYYY-MM-DD`.
    pub on: String,
    /// Today.
    pub today: String,
    /// The day as typed, where it could not be read; today is used instead.
    pub typed: String,
    /// What is wrong with it.
    pub error: Option<String>,
    /// The time line as a drawing; empty when nothing is held.
    #[serde(skip)]
    pub chart: String,
    /// The time line in words, a sentence for each lane.
    pub lanes: Vec<String>,
    /// Each accepted coupon, best first.
    pub held: Vec<HeldView>,
    /// What renews it, what a lapse costs, retests; code by code.
    pub life: Vec<LifeView>,
}

/// What one accepted coupon is worth on the day.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HeldView {
    /// The coupon.
    pub coupon: String,
    /// Id of the code.
    pub code: String,
    /// Code, process and transfer in words.
    pub title: String,
    /// Sign of the day.
    pub mark: Mark,
    /// The same in words: held until when, lapsed since when.
    pub hold: String,
    /// What it covers, with clauses.
    pub lines: Vec<StandingLine>,
}

/// What one code says of the life of a qualification.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LifeView {
    /// Title of the code.
    pub title: String,
    /// What each group is for, and its sentences.
    pub events: Vec<(String, Vec<AheadLine>)>,
}

/// A joint asked about, as typed.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct JointAsk {
    /// Boxes with a text: path as in a record file, `ask.1.position`, and text.
    pub boxes: Vec<(String, String)>,
    /// The day of the work; empty for today.
    pub on: String,
    /// Whether to answer or only lay out the form.
    pub is_asked: bool,
}

/// The form as it stands, and the answer.
#[derive(Debug, Clone, PartialEq)]
pub struct JointAskView {
    /// The welder.
    pub name: String,
    /// The boxes.
    pub boxes: Vec<FinderBox>,
    /// The day as typed, or today.
    pub on: String,
    /// What is wrong; the path is that of the box, `on` for the day.
    pub findings: Vec<Finding>,
    /// The answer; none while nothing is asked or something is wrong.
    pub answer: Option<JointAnswer>,
    /// The same for other programs.
    pub data: serde_json::Value,
}

/// The answer, code by code.
#[derive(Debug, Clone, PartialEq)]
pub struct JointAnswer {
    /// The question in words.
    pub question: String,
    /// Sign of the answer that holds for every code.
    pub mark: Mark,
    /// The same in words: `covered`, `not covered`, `not sure`, or that it
    /// depends on the code.
    pub words: String,
    /// Each code under which something is held, best first.
    pub under: Vec<UnderAnswer>,
}

/// The answer under one code.
#[derive(Debug, Clone, PartialEq)]
pub struct UnderAnswer {
    /// Id of the code.
    pub code: String,
    /// Its title.
    pub title: String,
    /// Sign of the best answer.
    pub mark: Mark,
    /// The best answer.
    pub words: String,
    /// Each accepted coupon, best first.
    pub tests: Vec<TestAnswer>,
}

/// The answer of one accepted coupon.
#[derive(Debug, Clone, PartialEq)]
pub struct TestAnswer {
    /// The coupon.
    pub coupon: String,
    /// Sign of the answer.
    pub mark: Mark,
    /// The answer.
    pub words: String,
    /// Each side of the joint: sign, its word, and the reason with its rules.
    pub reasons: Vec<(Mark, String, AheadLine)>,
}
