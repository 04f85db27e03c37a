//! Records issued from a coupon or a procedure, as the page asks for them and
//! shows them.

use serde::Serialize;

/// What records are issued from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum RecordOf {
    /// A welded test piece.
    Coupon,
    /// A procedure of the shop, with its record.
    Procedure,
}

impl RecordOf {
    /// The word in addresses and in what is kept.
    pub fn word(self) -> &'static str {
        match self {
            Self::Coupon => "coupon",
            Self::Procedure => "procedure",
        }
    }
}

/// What may be issued and what was.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct RecordsView {
    /// What they are issued from.
    pub of: RecordOf,
    /// Its number.
    pub number: String,
    /// Kinds to pick from: word and title.
    pub kinds: Vec<(String, String)>,
    /// Codes to pick from: id and title, its own first.
    pub codes: Vec<(String, String)>,
    /// What keeps a welder record from being signed as it stands, in words; empty
    /// where nothing does, or none can be issued.
    pub open: Vec<String>,
    /// Every issue, newest first.
    pub issued: Vec<IssuedRow>,
}

/// One issue of a record.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct IssuedRow {
    /// The record's id in addresses.
    pub id: String,
    /// Its title.
    pub title: String,
    /// The code it was issued under.
    pub code: String,
    /// Its state in a few words.
    pub state: String,
    /// Which issue: 1 for the first.
    pub revision: u32,
    /// When.
    pub at: String,
    /// By whom.
    pub who: String,
    /// Why.
    pub why: String,
    /// The first digits of the hash of its content.
    pub hash: String,
    /// Whether a later issue took its place.
    pub is_replaced: bool,
    /// That the coupon was amended since this issue, and why; `None` where it
    /// was not.
    pub amended: Option<String>,
    /// Why it is not what was issued, where its hash does not hold; then nothing
    /// of its content is shown.
    pub altered: Option<String>,
}

/// A wish for a record, as typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct IssueAsk<'a> {
    /// What it is issued from.
    pub of: RecordOf,
    /// Its number.
    pub number: &'a str,
    /// Word of the kind.
    pub kind: &'a str,
    /// Id of the code; empty for its own.
    pub code: &'a str,
    /// Why it is issued again; may be empty for the first issue.
    pub why: &'a str,
    /// Who issues it.
    pub who: &'a str,
    /// Distinguishes "sent again" from "done again".
    pub token: &'a str,
}

/// The paper a PDF is laid out for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Paper {
    /// 8-1/2 by 11 in.
    #[default]
    Letter,
    /// 210 by 297 mm.
    A4,
}

impl Paper {
    /// Both, in the order the page offers them.
    pub const ALL: [Self; 2] = [Self::Letter, Self::A4];

    /// The end of the word in an address; nothing for Letter, which came first.
    pub fn slug(self) -> &'static str {
        match self {
            Self::Letter => "",
            Self::A4 => "-a4",
        }
    }
}

/// A file of one issue.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RecordFile {
    /// As printed.
    Pdf(Paper),
    /// As a workbook.
    Xlsx,
    /// As issued, with the hash of its content.
    Json,
}

impl RecordFile {
    /// Every kind, in the order the page offers them.
    pub const ALL: [Self; 4] = [Self::Pdf(Paper::Letter), Self::Pdf(Paper::A4), Self::Xlsx, Self::Json];

    /// The word in the address.
    pub fn slug(self) -> &'static str {
        match self {
            Self::Pdf(Paper::Letter) => "pdf",
            Self::Pdf(Paper::A4) => "pdf-a4",
            Self::Xlsx => "xlsx",
            Self::Json => "json",
        }
    }

    /// The end of the name it is saved under.
    pub fn ending(self) -> &'static str {
        match self {
            Self::Pdf(Paper::A4) => "-a4.pdf",
            Self::Pdf(Paper::Letter) => ".pdf",
            Self::Xlsx => ".xlsx",
            Self::Json => ".json",
        }
    }

    /// The kind for a word in the address.
    pub fn from_slug(slug: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.slug() == slug)
    }
}
