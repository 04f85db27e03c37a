//! Records issued from a coupon, as the page asks for them and shows them.

use serde::Serialize;

/// What may be issued from a coupon and what was.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct RecordsView {
    /// The coupon's number.
    pub number: String,
    /// Kinds to pick from: word and title.
    pub kinds: Vec<(String, String)>,
    /// Codes to pick from: id and title, the coupon's own first.
    pub codes: Vec<(String, String)>,
    /// Every issue, newest first.
    pub issued: Vec<IssuedRow>,
}

/// One issue of a record.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
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
}

/// A wish for a record, as typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct IssueAsk<'a> {
    /// The coupon.
    pub number: &'a str,
    /// Word of the kind.
    pub kind: &'a str,
    /// Id of the code; empty for the coupon's own.
    pub code: &'a str,
    /// Why it is issued again; may be empty for the first issue.
    pub why: &'a str,
    /// Who issues it.
    pub who: &'a str,
    /// Distinguishes "sent again" from "done again".
    pub token: &'a str,
}

/// A file of one issue.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RecordFile {
    /// As printed.
    Pdf,
    /// As a workbook.
    Xlsx,
    /// As issued, with the hash of its content.
    Json,
}

impl RecordFile {
    /// Every kind, in the order the page offers them.
    pub const ALL: [Self; 3] = [Self::Pdf, Self::Xlsx, Self::Json];

    /// The word in the address.
    pub fn slug(self) -> &'static str {
        match self {
            Self::Pdf => "pdf",
            Self::Xlsx => "xlsx",
            Self::Json => "json",
        }
    }

    /// The kind for a word in the address.
    pub fn from_slug(slug: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.slug() == slug)
    }
}
