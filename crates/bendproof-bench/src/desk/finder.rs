//! The smallest tests for a job, as the page asks and shows them.

use bendproof_traveler::sheet::AheadLine;

use super::Finding;

/// The joints as typed.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct FinderAsk {
    /// Boxes with a text: path as in a joints file, `joint.1.kind`, and text.
    pub boxes: Vec<(String, String)>,
    /// How many joints the form shows.
    pub joints: usize,
    /// Id of one code; empty for every code.
    pub code: String,
    /// Whether to look for coupons or only lay out the form.
    pub is_asked: bool,
}

/// The form as it stands and what was found.
#[derive(Debug, Clone, PartialEq)]
pub struct FinderView {
    /// The boxes of each joint.
    pub joints: Vec<Vec<FinderBox>>,
    /// Codes to pick from: id and title.
    pub codes: Vec<(String, String)>,
    /// What is wrong; the path is that of the box.
    pub findings: Vec<Finding>,
    /// The answers, code by code; empty while something is wrong.
    pub found: Vec<FoundView>,
    /// The same for other programs.
    pub data: serde_json::Value,
}

/// One box of the form.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FinderBox {
    /// Path, which is its name in the address.
    pub path: String,
    /// The trade's name for it.
    pub label: String,
    /// One sentence about it.
    pub hint: String,
    /// What it may hold: word and how it is shown; empty for free text.
    pub options: Vec<(String, String)>,
    /// What stands in it.
    pub text: String,
}

/// The answer under one code.
#[derive(Debug, Clone, PartialEq)]
pub struct FoundView {
    /// Id of the code.
    pub code: String,
    /// Its title.
    pub title: String,
    /// Sets of coupons, fewest first.
    pub sets: Vec<FoundSet>,
    /// Sets that would do once their doubts are settled.
    pub if_settled: Vec<FoundSet>,
    /// Joints that nothing surely covers.
    pub open: Vec<FoundJoint>,
    /// Whether the search ended by itself.
    pub is_complete: bool,
}

/// Coupons that cover the joints together.
#[derive(Debug, Clone, PartialEq)]
pub struct FoundSet {
    /// Number of coupons.
    pub coupons: usize,
    /// Weld metal of them all, in words.
    pub metal: String,
    /// The tests.
    pub tests: Vec<FoundTest>,
    /// What must be settled first.
    pub doubts: Vec<AheadLine>,
}

/// One test of a set.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FoundTest {
    /// What the shop calls it.
    pub name: String,
    /// Names of the joints it surely covers.
    pub joints: Vec<String>,
}

/// A joint that nothing surely covers.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FoundJoint {
    /// Its name.
    pub name: String,
    /// `not covered` or `not sure`.
    pub answer: String,
    /// The test that comes nearest.
    pub nearest: Option<String>,
    /// Why, with the rules.
    pub reasons: Vec<AheadLine>,
}
