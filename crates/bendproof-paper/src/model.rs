//! What goes on paper: plain data, every text ready to print. No layout.

pub use bendproof_drawing::Sign;
use serde::Serialize;

/// A verdict next to an item: its shape and its word.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mark {
    /// Which bar is drawn; accept is drawn as holds, reject as fails.
    pub sign: Sign,
    /// The word printed next to the bar.
    pub word: String,
}

impl Serialize for Mark {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        use serde::ser::SerializeStruct;
        let sign = match self.sign {
            Sign::Holds => "holds",
            Sign::Marginal => "marginal",
            Sign::Fails => "fails",
            Sign::NotKnown => "not-known",
        };
        let mut fields = serializer.serialize_struct("Mark", 2)?;
        fields.serialize_field("sign", sign)?;
        fields.serialize_field("word", &self.word)?;
        fields.end()
    }
}

/// A drawing and what it shows, in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Drawing {
    /// One complete SVG element.
    pub svg: String,
    /// Read aloud in place of the drawing; must not be empty.
    pub alt: String,
}

impl Serialize for Drawing {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serialize_drawing(self, &crate::legible::PLACE, serializer)
    }
}

fn serialize_drawing<S: serde::Serializer>(
    drawing: &Drawing,
    place: &crate::legible::Place,
    serializer: S,
) -> Result<S::Ok, S::Error> {
    use serde::ser::SerializeStruct;
    let printed = crate::legible::printed(&drawing.svg, place);
    let mut fields = serializer.serialize_struct("Drawing", 4)?;
    fields.serialize_field("svg", &printed.svg)?;
    fields.serialize_field("alt", &drawing.alt)?;
    fields.serialize_field("width_pt", &printed.width_pt)?;
    fields.serialize_field("left_out", &printed.left_out)?;
    fields.end()
}

/// One item of an operation.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Line {
    /// What it is: `root opening`.
    pub label: String,
    /// Its value: `1/8 in · 3.2 mm`.
    pub value: String,
    /// What drives it, the range, the scatter; may be empty.
    pub note: String,
    /// Verdict, when it has one.
    pub mark: Option<Mark>,
    /// True when the limit behind it is from memory: the sheet marks it and asks
    /// at its foot for a look into the code book.
    pub check_own_copy: bool,
    /// The rule its note names, as [`PrintedRule::name`] has it; empty for none.
    pub rule: String,
}

/// A rule printed in full behind a traveler; whatever is judged by it leads there.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct PrintedRule {
    /// Name of the place that is led to.
    pub name: String,
    /// One text for each of [`Words::rule_head`].
    pub cells: Vec<String>,
    /// True when the reader must look into the code book.
    pub is_from_memory: bool,
}

/// A table; every row as long as the head, the row's mark counted.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct Table {
    /// Column heads.
    pub head: Vec<String>,
    /// Unit printed under a head, said once for the column; as long as the head,
    /// or empty when no column has one.
    pub units: Vec<String>,
    /// Rows, top to bottom.
    pub rows: Vec<Vec<String>>,
    /// One verdict a row, printed as its last cell; empty for none.
    pub marks: Vec<Mark>,
    /// The rule each row is judged by, as in [`Line::rule`]; empty for none.
    pub rules: Vec<String>,
}

/// One numbered band of the traveler.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Operation {
    /// `10`.
    pub number: String,
    /// `fit`.
    pub name: String,
    /// Drawn at the left.
    pub drawing: Option<Drawing>,
    /// Items one under another, each over the whole width.
    pub lines: Vec<Line>,
    /// Short items, set side by side in columns.
    pub facts: Vec<Line>,
    /// Tables under the items.
    pub tables: Vec<Table>,
    /// Sources, printed small.
    pub sources: Vec<String>,
    /// Whether the band has a box to sign.
    pub sign_off: bool,
}

/// What every page ends with.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Footer {
    /// Code and edition: `AWS D1.1:2020`.
    pub code: String,
    /// Version of the rule set used.
    pub rules: String,
    /// Notes under the sheet, such as `check against your own copy of the code`.
    pub notes: Vec<String>,
}

/// When the paper was issued, coordinated universal time.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Issued {
    /// Year, 1900 to 9999.
    pub year: i32,
    /// Month, 1 to 12.
    pub month: u8,
    /// Day, 1 to 31.
    pub day: u8,
    /// Hour, 0 to 23.
    pub hour: u8,
    /// Minute, 0 to 59.
    pub minute: u8,
    /// Second, 0 to 59.
    pub second: u8,
}

/// Sheet size.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub enum PageSize {
    /// 8-1/2 × 11 in.
    #[default]
    #[serde(rename = "us-letter")]
    Letter,
    /// 210 × 297 mm.
    #[serde(rename = "a4")]
    A4,
}

/// The traveler.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct TravelerPaper {
    /// Coupon number: `0187`.
    pub number: String,
    /// What it is: `3/8 in plate, vertical, open root, root downhill`.
    pub title: String,
    /// For whom, where, with what.
    pub subtitle: String,
    /// The verdict in a few words, stamped at the top right.
    pub stamp: Option<Mark>,
    /// What the stamp leaves out, under the subtitle; may be empty.
    pub stamp_note: String,
    /// Bands, top to bottom.
    pub operations: Vec<Operation>,
    /// Safety, printed under the bands.
    pub cautions: Vec<String>,
    /// The solved section, on a page of its own behind the bands.
    pub section: Option<SectionPage>,
    /// The rules behind the verdict, after everything else.
    pub rules: Vec<PrintedRule>,
    /// Foot of each page.
    pub footer: Footer,
    /// Time of issue.
    pub issued: Issued,
    /// Sheet size.
    pub page: PageSize,
    /// Words printed by the sheet itself.
    pub words: Words,
}

/// A solved section as printed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct SectionPage {
    /// Head of the page.
    pub title: String,
    /// What kind of picture it is, stamped next to the head.
    pub stamp: String,
    /// The picture, over the whole width.
    pub picture: WidePicture,
    /// What it shows, most important first.
    pub answers: Vec<String>,
    /// One row a bead.
    pub table: Table,
    /// What it leaves out.
    pub notes: Vec<String>,
}

/// A drawing over the whole width of a page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WidePicture(pub Drawing);

impl Serialize for WidePicture {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serialize_drawing(&self.0, &crate::legible::PAGE, serializer)
    }
}

/// The words a sheet prints by itself, one catalogue entry each.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Words {
    /// Language of the sheet, ISO 639: `en`.
    pub language: String,
    /// At the foot, what the mark at a limit from memory asks for.
    pub check_own_copy: String,
    /// Head of the cautions.
    pub cautions: String,
    /// Before sources.
    pub source: String,
    /// In a box to sign: by whom.
    pub by: String,
    /// In a box to sign, and at a signature: when.
    pub date: String,
    /// Before the time of issue.
    pub issued: String,
    /// Before the rule set's version.
    pub rules: String,
    /// Before a page number.
    pub page: String,
    /// Before the number of pages.
    pub of: String,
    /// Heads of a record's own sections: open items, its issues.
    pub sections: [String; 2],
    /// Heads of values with what they cover: variable, value, covers, clause.
    pub covers: [String; 4],
    /// Heads of the issues: number, day, by whom, why, hash.
    pub issues: [String; 5],
    /// Before the number of an issue.
    pub issue: String,
    /// In place of the number of a print that is no issue.
    pub not_issued: String,
    /// In place of the hash of the issue in hand.
    pub hash_in_file: String,
    /// Before the labels that found no room in a drawing.
    pub no_room: String,
    /// Head of the notes to a solved section.
    pub left_out: String,
    /// Head of the rules behind a verdict.
    pub rules_behind: String,
    /// Heads of their table: rule, what it asks, clause, source.
    pub rule_head: [String; 4],
}

impl Words {
    /// The English catalogue.
    pub fn english() -> Self {
        Self {
            language: "en".into(),
            check_own_copy: "check against your code book".into(),
            cautions: "safety".into(),
            source: "source".into(),
            by: "by".into(),
            date: "date".into(),
            issued: "printed".into(),
            rules: "rules".into(),
            page: "page".into(),
            of: "of".into(),
            sections: ["open items", "revision history"].map(Into::into),
            covers: ["variable", "actual value", "range qualified", "clause"].map(Into::into),
            issues: ["rev.", "when", "by", "why", "hash of its content"].map(Into::into),
            issue: "issue".into(),
            not_issued: "not issued".into(),
            hash_in_file: "in the record file".into(),
            no_room: "also in this drawing".into(),
            left_out: "not included in this picture".into(),
            rules_behind: "code rules behind the verdict".into(),
            rule_head: ["rule", "requires", "clause", "source"].map(Into::into),
        }
    }
}
