//! The blocks that every record is made of.

use bendproof_codes::words::Basis;
use serde::{Deserialize, Serialize};

use super::revision::Earlier;
use crate::sheet::{Mark, code_name};

/// Said where nobody wrote a value.
pub const NOT_STATED: &str = "not stated";

/// What a record is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum RecordKind {
    /// What a welder's test covers.
    Welder,
    /// The bends of one coupon.
    Bends,
    /// The days a process was used.
    Continuity,
    /// What may be welded, and how.
    Procedure,
    /// A procedure's test as it was welded, and how it came out.
    ProcedureTest,
}

impl RecordKind {
    /// Every kind.
    pub const ALL: [Self; 5] =
        [Self::Welder, Self::Bends, Self::Continuity, Self::Procedure, Self::ProcedureTest];

    /// Head of the record.
    pub fn title(self) -> &'static str {
        match self {
            Self::Welder => "Welder qualification record",
            Self::Bends => "Guided-bend test report",
            Self::Continuity => "Continuity log",
            Self::Procedure => "Welding procedure",
            Self::ProcedureTest => "Procedure qualification record",
        }
    }

    /// The word of the record file and of the command.
    pub fn word(self) -> &'static str {
        match self {
            Self::Welder => "welder",
            Self::Bends => "bends",
            Self::Continuity => "continuity",
            Self::Procedure => "procedure",
            Self::ProcedureTest => "procedure-test",
        }
    }

    /// The kind a word stands for.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.word() == word)
    }
}

/// One record, every text ready to print.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Record {
    /// What it is for.
    pub kind: RecordKind,
    /// Head of the record.
    pub title: String,
    /// Record number.
    pub number: String,
    /// Code and edition, as the rules name it.
    pub code: String,
    /// Whose and what, in one line.
    pub subtitle: String,
    /// The verdict in a few words.
    pub state: String,
    /// False when something the code asks for is missing; nobody is to sign then.
    pub is_complete: bool,
    /// What stands in it, top to bottom.
    pub blocks: Vec<Block>,
    /// What nobody stated or the rules leave open.
    pub open_points: Vec<String>,
    /// What the signatures say; empty where nobody is to sign.
    pub statement: String,
    /// One signature line each; none where nobody is to sign.
    pub signatures: Vec<String>,
    /// Which issue this is.
    pub issue: Issue,
}

impl Record {
    /// The same with a reason why nobody is to sign it.
    pub(crate) fn not_to_be_signed(mut self, why: &str) -> Self {
        self.open_points.insert(0, not_to_be_signed(&self.code, why));
        if self.is_complete {
            (self.is_complete, self.state) = (false, NOT_COMPLETE.to_owned());
            (self.statement, self.signatures) = to_sign(self.kind, false);
        }
        self
    }
}

/// State of a record that lacks something.
pub(super) const NOT_COMPLETE: &str = "not complete";

/// The open point that keeps a record from being signed.
pub(super) fn not_to_be_signed(code: &str, why: &str) -> String {
    let is_stated = !code.is_empty() && code != NOT_STATED;
    let under = if is_stated { format!(" under {}", code_name(code)) } else { String::new() };
    format!("Not to be signed{under}: {why}.")
}

/// One issue of a record.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Issue {
    /// 1 for the first; 0 for a print that is no issue.
    pub revision: u32,
    /// Day and time of issue: `2026-11-25 14:03:09 UTC`.
    pub at: String,
    /// Who issued it.
    pub who: String,
    /// Why; `first issue` for the first.
    pub why: String,
    /// The issues before it, oldest first.
    pub earlier: Vec<Earlier>,
}

impl Issue {
    /// The first issue.
    pub fn first(at: String, who: &str) -> Self {
        Self { revision: 1, at, who: who.to_owned(), why: "first issue".to_owned(), earlier: Vec::new() }
    }

    /// A print that nobody keeps: number 0, with nothing before it.
    pub fn print(at: String) -> Self {
        let why = "printed with the traveler and not kept as an issue".to_owned();
        Self { revision: 0, at, who: NOT_STATED.to_owned(), why, earlier: Vec::new() }
    }
}

/// One part of a record.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "block", rename_all = "snake_case")]
pub enum Block {
    /// Names and values.
    Fields {
        /// Head.
        title: String,
        /// Rows, top to bottom.
        rows: Vec<FieldRow>,
    },
    /// A table; every row as long as the head.
    Table {
        /// Head.
        title: String,
        /// Column heads.
        head: Vec<String>,
        /// Rows, top to bottom.
        rows: Vec<TableRow>,
    },
    /// A drawing to scale.
    Drawing {
        /// Head.
        title: String,
        /// One complete SVG element.
        svg: String,
        /// Read aloud in its place.
        alt: String,
    },
    /// Sentences.
    Notes {
        /// Head.
        title: String,
        /// One sentence each.
        lines: Vec<String>,
    },
}

impl Block {
    /// Its head.
    pub fn title(&self) -> &str {
        match self {
            Self::Fields { title, .. }
            | Self::Table { title, .. }
            | Self::Drawing { title, .. }
            | Self::Notes { title, .. } => title,
        }
    }

    /// Whether nothing stands in it.
    pub(super) fn is_empty(&self) -> bool {
        match self {
            Self::Fields { rows, .. } => rows.is_empty(),
            Self::Table { rows, .. } => rows.is_empty(),
            Self::Drawing { svg, .. } => svg.is_empty(),
            Self::Notes { lines, .. } => lines.is_empty(),
        }
    }
}

/// A value, with the range it gives next to it.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct FieldRow {
    /// What it is.
    pub label: String,
    /// What it was.
    pub value: String,
    /// What it covers; empty where a field has no range.
    pub range: String,
    /// Clause behind the range; empty for none.
    pub clause: String,
    /// How well the clause is known; empty for none.
    pub basis: String,
    /// True when the reader must look into the code book.
    pub is_from_memory: bool,
    /// The rules behind it, as the block of rules names them.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub rules: Vec<String>,
}

/// A row of a table.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct TableRow {
    /// One text a column.
    pub cells: Vec<String>,
    /// The verdict that the last cell says in words.
    pub mark: Option<Mark>,
    /// True when the reader must look into the code book.
    pub is_from_memory: bool,
    /// The rules behind it; in the block of rules, the one it tells.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub rules: Vec<String>,
}

impl TableRow {
    pub(super) fn of(cells: Vec<String>) -> Self {
        Self { cells, ..Self::default() }
    }
}

/// A field without a range; an empty value is said to be not stated.
pub(super) fn field(label: &str, value: &str) -> FieldRow {
    FieldRow { label: label.to_owned(), value: stated(value), ..FieldRow::default() }
}

/// A field that follows from others and says so.
pub(super) fn derived(label: &str, value: &str) -> FieldRow {
    FieldRow { basis: Basis::Derived.word().to_owned(), ..field(label, value) }
}

pub(super) fn stated(value: &str) -> String {
    if value.trim().is_empty() { NOT_STATED.to_owned() } else { value.to_owned() }
}

pub(super) fn fields(title: &str, rows: Vec<FieldRow>) -> Block {
    Block::Fields { title: title.to_owned(), rows }
}

pub(super) fn table(title: &str, head: &[&str], rows: Vec<TableRow>) -> Block {
    Block::Table { title: title.to_owned(), head: head.iter().map(|h| (*h).to_owned()).collect(), rows }
}

pub(super) fn drawing(title: &str, svg: &str) -> Block {
    Block::Drawing { title: title.to_owned(), svg: svg.to_owned(), alt: format!("{title}, to scale") }
}

/// The blocks in which something stands.
pub(super) fn filled(blocks: Vec<Block>) -> Vec<Block> {
    blocks.into_iter().filter(|b| !b.is_empty()).collect()
}

/// One sentence that names the fields whose value nobody stated; empty for none.
pub(super) fn not_stated(blocks: &[Block]) -> Option<String> {
    let rows = blocks.iter().filter_map(|b| match b {
        Block::Fields { rows, .. } => Some(rows),
        _ => None,
    });
    let open = rows.flatten().filter(|r| r.value == NOT_STATED).map(|r| r.label.as_str());
    let open = distinct(open);
    (!open.is_empty()).then(|| format!("Not stated: {open}."))
}

/// Who signs a record and what for; nobody while something is missing.
pub(super) fn to_sign(kind: RecordKind, is_complete: bool) -> (String, Vec<String>) {
    if !is_complete {
        return (String::new(), Vec::new());
    }
    let tested = "What stands here is correct; the pieces were prepared, welded and tested as the code named above asks.";
    let (statement, names): (&str, &[&str]) = match kind {
        RecordKind::Welder => (tested, &["Welder", "Test conducted by", "Accepted by"]),
        RecordKind::ProcedureTest => (tested, &["Welder", "Test conducted by", "Certified by"]),
        RecordKind::Bends => ("What stands here is what was bent and seen.", &["Bent by", "Examined by"]),
        RecordKind::Procedure => ("Weld by this sheet and no other.", &["Written by", "Approved by"]),
        RecordKind::Continuity => ("", &["Kept by"]),
    };
    (statement.to_owned(), names.iter().map(|n| (*n).to_owned()).collect())
}

/// Each text once, in the order met, joined by commas.
pub(super) fn distinct<'a>(texts: impl Iterator<Item = &'a str>) -> String {
    let mut out: Vec<&str> = Vec::new();
    for text in texts.filter(|t| !t.is_empty()) {
        if !out.contains(&text) {
            out.push(text);
        }
    }
    out.join(", ")
}
