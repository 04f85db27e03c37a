//! What the page asks of the program behind it, and nothing more.
//!
//! The page lays out and asks; it decides nothing. Whatever keeps coupons and
//! computes sheets implements [`Desk`]. The trait is object-safe so that the
//! tests and the program hand different desks to the same router.

use std::future::Future;
use std::pin::Pin;
use std::sync::Arc;

mod finder;
mod lists;
mod people;
mod procedures;
mod records;
mod window;

use bendproof_traveler::cover::CodesView;
pub use bendproof_traveler::judgement::{Amended, Judgement, Stamped};
use bendproof_traveler::sheet::{Mark, Provenance, Sheet};
pub use bendproof_traveler::solved::{FilmFrame, SectionAsk, SectionView};
pub use bendproof_traveler::window::{ChanceView, WindowAsk, WindowPlace, WindowView};
use serde::Serialize;
use serde_json::Value;

pub use finder::{FinderAsk, FinderBox, FinderView, FoundJoint, FoundSet, FoundTest, FoundView};
pub use lists::{ListAsk, Listed, ROWS_PER_PAGE};
pub use people::{
    HeldView, JointAnswer, JointAsk, JointAskView, LifeView, TestAnswer, UnderAnswer, WelderDays,
};
pub use procedures::{
    AllowanceView, JointBoxes, JointInside, ProcedureAsk, ProcedureAskView, ProcedureChange, ProcedureList,
    ProcedureOutcome, ProcedurePart, ProcedureRow, ProcedureView, ReportView, VariableView,
};
pub use records::{IssueAsk, IssuedRow, Paper, RecordFile, RecordOf, RecordsView};
pub use window::{WindowFile, WindowOpened};

/// A coupon under every code, or in words why it cannot be read.
pub type Codes = Result<Box<CodesAnswer>, Vec<String>>;

/// A coupon under every code.
#[derive(Debug, Clone, PartialEq)]
pub struct CodesAnswer {
    /// The page.
    pub view: CodesView,
    /// The same for other programs.
    pub data: Value,
}

/// An answer that arrives later. Boxed so that [`Desk`] can be a trait object.
pub type Answer<'a, T> = Pin<Box<dyn Future<Output = Result<T, Trouble>> + Send + 'a>>;

/// The desk as the router holds it.
pub type SharedDesk = Arc<dyn Desk>;

/// Why the desk could not answer at all. What is wrong with the user's text
/// is not trouble but [`Outcome::Refused`].
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Trouble {
    /// There is no such coupon, welder, rule or file.
    Absent,
    /// The store or the builder failed; the words are for the user.
    Broken(String),
    /// Nothing is kept or printed before something is settled; the words say
    /// what.
    Held(String),
}

/// What everybody at the page must know, whichever page it is.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Notices {
    /// What is wrong with what is kept, and what to do, in sentences.
    pub warnings: Vec<String>,
    /// The question whether this computer's clock is right, where it is asked.
    pub clock: Option<String>,
    /// The state of the shop's file in a line.
    pub file: Option<String>,
}

/// One line of the list of coupons.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CouponRow {
    /// The coupon's number, as on the sheet.
    pub number: String,
    /// Title: the user's, or made from the fit.
    pub title: String,
    /// Who welds it.
    pub welder: String,
    /// How far it has come, in words: `planned`, `welded`, `bent`.
    pub stage: String,
    /// What the sheet's stamp says.
    pub stamp: String,
    /// What the stamp leaves out; may be empty.
    pub stamp_note: String,
    /// The stamp's mark.
    pub mark: Mark,
    /// When it was last changed, in words.
    pub changed: String,
    /// That it was amended since it was judged, and why; `None` where it was not.
    pub amended: Option<String>,
}

/// One line of the list of welders.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WelderRow {
    /// Stable id, as in `/welder/ID`.
    pub id: String,
    /// Name.
    pub name: String,
    /// Each qualification: what is held now leads, the first to expire first; then
    /// what is open, then what has expired. Empty without an accepted coupon.
    pub standings: Vec<StandingRow>,
}

/// One qualification in one line.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StandingRow {
    /// The coupon it comes from.
    pub coupon: String,
    /// What the welder may weld.
    pub standing: String,
    /// Why an accepted coupon qualifies for nothing; it has no record then.
    pub why_none: Option<String>,
    /// Until when, in words; empty where the code sets no last day.
    pub until: String,
    /// A warning when it expires soon or has expired.
    pub lapse: Option<String>,
}

/// One welder with everything that is known of the standing.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WelderDetail {
    /// The line of the list.
    pub row: WelderRow,
    /// The mark the welder puts next to a weld; empty when none was entered.
    pub stamp: String,
    /// What is covered, with clauses.
    pub standing: Vec<bendproof_traveler::sheet::StandingLine>,
    /// What keeps it alive: when a process was last used, and the proof.
    pub continuity: Vec<bendproof_traveler::sheet::StandingLine>,
    /// Coupons welded.
    pub coupons: Vec<CouponRow>,
    /// What happened, newest first.
    pub history: Vec<HistoryEntry>,
    /// What a use of a process can be entered with.
    pub use_choices: UseChoices,
    /// The standing as known on the day asked about.
    pub days: WelderDays,
}

/// What the form for a use of a process offers. The page has no clock and no
/// words of the trade of its own.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct UseChoices {
    /// Today, `YYYY-MM-DD`.
    pub today: String,
    /// Processes, in the trade's order.
    pub processes: Vec<String>,
    /// Metal transfers, for the process that asks for one.
    pub transfers: Vec<String>,
}

/// A welder as typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NewWelder<'a> {
    /// Name, as it stands on coupons.
    pub name: &'a str,
    /// The mark next to a weld; may be empty.
    pub stamp: &'a str,
}

/// A use of a process as typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NewUse<'a> {
    /// The day, `YYYY-MM-DD`.
    pub date: &'a str,
    /// The process.
    pub process: &'a str,
    /// The metal transfer; empty for a process without one.
    pub transfer: &'a str,
    /// What was welded, and who saw it.
    pub evidence: &'a str,
    /// Who checked it; empty for nobody.
    pub checked_by: &'a str,
}

/// What became of something entered. A [`Finding`]'s path is the name of the
/// box it is about, such as `name` or `date`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Entered<T> {
    /// Kept.
    Kept(T),
    /// Not kept.
    Refused(Vec<Finding>),
}

/// One kept change.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct HistoryEntry {
    /// The version this change made.
    pub version: u64,
    /// When, in words.
    pub at: String,
    /// Who.
    pub who: String,
    /// What was changed, in words.
    pub words: String,
}

/// A coupon as it stands now.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Opened {
    /// Version of the document; every kept change adds one.
    pub version: u64,
    /// Whether there is a change to take back.
    pub can_undo: bool,
    /// The computed sheet.
    pub sheet: Sheet,
    /// The latest changes, newest first.
    pub history: Vec<HistoryEntry>,
    /// What became of its verdict.
    pub judgement: Judgement,
    /// The verdict as it can be stamped now; `None` while it is open, and once
    /// its stamp stands.
    pub stampable: Option<String>,
}

/// Whose hand a change is made with, and what goes with it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Hand<'a> {
    /// Who.
    pub who: &'a str,
    /// Why, where a judged coupon is amended; empty for no reason given.
    pub why: &'a str,
    /// Distinguishes "sent again" after a lost answer from "done again"; what
    /// comes twice is kept once. Empty for none.
    pub token: &'a str,
}

/// One change the user asks for: a document path, and the text as typed or
/// `None` for "back to the default".
pub type Change = (String, Option<String>);

/// Something the desk will not keep, and why.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Finding {
    /// The document path it is about, when it is about one.
    pub path: Option<String>,
    /// Quantity, value, allowed range and next step, in words.
    pub message: String,
}

/// What became of a change.
#[derive(Debug, Clone, PartialEq)]
pub enum Outcome {
    /// Kept; the coupon as it stands now.
    Saved(Box<Opened>),
    /// Somebody else changed the coupon since the version the user saw.
    Conflict(Box<Conflict>),
    /// Not kept.
    Refused(Vec<Finding>),
    /// Not kept: the coupon is judged, and nobody said why it changes.
    WhyAsked(Box<WhyAsked>),
}

/// The question why a judged coupon changes.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WhyAsked {
    /// What stands against the change and what to do, in words.
    pub message: String,
    /// The reason given last since it was judged, offered to be picked again;
    /// empty for none.
    pub latest: String,
    /// The coupon as it stands now.
    pub current: Opened,
}

/// What the other one did.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Conflict {
    /// The changes since the version the user saw, newest first.
    pub since: Vec<HistoryEntry>,
    /// The coupon as it stands now.
    pub current: Opened,
}

/// The lists on the sheet that grow and shrink.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum RowKind {
    /// A planned pass.
    Pass,
    /// A line of the weld log.
    Log,
    /// A strap.
    Strap,
    /// An opening on a strap (1-based number of the strap).
    Opening(usize),
    /// A piece of another examination, by the name of its rows: `tension`.
    Piece(String),
    /// A flaw or a point of such a piece (name of the rows, 1-based number).
    Flaw(String, usize),
}

/// What to do to a list.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum RowAction {
    /// Append a row, with the values already known (key, text). An opening
    /// placed by pointing brings `x` and `y` from the middle of the face.
    Add(Vec<(String, String)>),
    /// Take away a row (1-based number).
    Remove(usize),
}

/// A file to take away.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FileKind {
    /// The traveler as a printed sheet.
    Pdf(Paper),
    /// The coupon file.
    Toml,
    /// The forecast as a document for other programs.
    Json,
}

impl FileKind {
    /// Every kind, in the order the page offers them.
    pub const ALL: [Self; 4] = [Self::Pdf(Paper::Letter), Self::Pdf(Paper::A4), Self::Toml, Self::Json];

    /// The word in the address.
    pub fn slug(self) -> &'static str {
        match self {
            Self::Pdf(Paper::Letter) => "pdf",
            Self::Pdf(Paper::A4) => "pdf-a4",
            Self::Toml => "toml",
            Self::Json => "json",
        }
    }

    /// The end of the name it is saved under.
    pub fn ending(self) -> &'static str {
        match self {
            Self::Pdf(Paper::A4) => "-a4.pdf",
            Self::Pdf(Paper::Letter) => ".pdf",
            Self::Toml => ".toml",
            Self::Json => ".json",
        }
    }

    /// The kind for a word in the address.
    pub fn from_slug(slug: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.slug() == slug)
    }
}

/// A finished file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Download {
    /// Content type with charset where it has one.
    pub content_type: String,
    /// Name to save it under.
    pub file_name: String,
    /// The bytes.
    pub bytes: Vec<u8>,
}

/// A solved section, or in words why there is none.
pub type Section = Result<Box<SectionView>, Vec<String>>;

/// A file of the solved section to take away.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SectionFile {
    /// The etched section as a drawing.
    Svg,
    /// The same as dots.
    Png,
    /// Every number, for other programs.
    Json,
    /// The cooling curves, for a spreadsheet.
    Csv,
}

impl SectionFile {
    /// Every kind, in the order the page offers them.
    pub const ALL: [Self; 4] = [Self::Svg, Self::Png, Self::Json, Self::Csv];

    /// The word in the address.
    pub fn slug(self) -> &'static str {
        match self {
            Self::Svg => "svg",
            Self::Png => "png",
            Self::Json => "json",
            Self::Csv => "csv",
        }
    }

    /// The kind for a word in the address.
    pub fn from_slug(slug: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.slug() == slug)
    }
}

/// A thing a new coupon can start from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Template {
    /// Stable id, posted back.
    pub id: String,
    /// What it is, in the trade's words.
    pub title: String,
}

/// One rule or formula, explained.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct RuleView {
    /// Rule id.
    pub id: String,
    /// What the rule finds.
    pub title: String,
    /// Clause and edition.
    pub clause: String,
    /// What it asks, in our words.
    pub words: Vec<String>,
    /// Limits: name and text.
    pub limits: Vec<(String, String)>,
    /// Where it is from.
    pub provenance: Provenance,
    /// Its own test cases.
    pub cases: Vec<RuleCase>,
    /// How the other editions have it, and the shop where it tightened it.
    pub editions: Vec<RuleEdition>,
}

/// How another edition, or this shop, has a rule.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct RuleEdition {
    /// The edition, or the shop.
    pub title: String,
    /// Id of the code, for a way to its page; `None` where it leaves the rule
    /// out, and for the shop.
    pub code: Option<String>,
    /// What is otherwise, one line each; empty when nothing is.
    pub differs: Vec<String>,
}

/// One test case of a rule.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct RuleCase {
    /// What is put in.
    pub given: String,
    /// What must come out.
    pub expected: String,
}

/// The versions page.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct About {
    /// Name and version of the program, its rule sets and its data.
    pub versions: Vec<(String, String)>,
}

/// What the page asks for. Every method that changes something names who.
pub trait Desk: Send + Sync + 'static {
    /// What must be known on every page.
    fn notices(&self) -> Notices;
    /// Somebody says that this computer's clock is right.
    fn confirm_clock(&self);
    /// Coupons, the latest changed first; found by number, welder, typed title
    /// and position.
    fn coupons(&self, ask: ListAsk) -> Answer<'_, Listed<CouponRow>>;
    /// What a new coupon can start from; a blank one is always first.
    fn templates(&self) -> Answer<'_, Vec<Template>>;
    /// Welders by name; found by name and stamp.
    fn welders(&self, ask: ListAsk) -> Answer<'_, Listed<WelderRow>>;
    /// Names on coupons that are not on the list of welders, by name, each once;
    /// only those that hold the words of `find`.
    fn unlisted<'a>(&'a self, find: &'a str) -> Answer<'a, Vec<String>>;
    /// One welder as known on a day as typed; `None` is today.
    fn welder<'a>(&'a self, id: &'a str, on: Option<&'a str>) -> Answer<'a, WelderDetail>;
    /// Whether a welder may weld a joint as typed. Nothing is kept.
    fn welder_ask<'a>(&'a self, id: &'a str, ask: JointAsk) -> Answer<'a, JointAskView>;
    /// The names of all welders, for suggestions: no standing is computed.
    fn welder_names(&self) -> Answer<'_, Vec<String>>;
    /// Put a welder on the list; answers the id. A name stands there once,
    /// whatever its capitals.
    fn add_welder<'a>(&'a self, welder: NewWelder<'a>, who: &'a str) -> Answer<'a, Entered<String>>;
    /// Log a use of a process that keeps a welder's standing alive. The same
    /// use sent twice is kept once.
    fn log_use<'a>(&'a self, id: &'a str, used: NewUse<'a>, who: &'a str) -> Answer<'a, Entered<()>>;
    /// One coupon as it stands.
    fn sheet<'a>(&'a self, number: &'a str) -> Answer<'a, Opened>;
    /// Everything that was changed on a coupon, by whom and when, newest first.
    fn history<'a>(&'a self, number: &'a str, ask: ListAsk) -> Answer<'a, Listed<HistoryEntry>>;
    /// The sheet as it would be with these changes. Nothing is kept.
    fn preview<'a>(&'a self, number: &'a str, changes: Vec<Change>) -> Answer<'a, Sheet>;
    /// Keep changes made on `version`.
    fn change<'a>(
        &'a self,
        number: &'a str,
        version: u64,
        changes: Vec<Change>,
        hand: Hand<'a>,
    ) -> Answer<'a, Outcome>;
    /// Add or take away a row.
    fn row<'a>(
        &'a self,
        number: &'a str,
        version: u64,
        kind: RowKind,
        action: RowAction,
        hand: Hand<'a>,
    ) -> Answer<'a, Outcome>;
    /// Take the latest change back (itself kept as a change).
    fn undo<'a>(&'a self, number: &'a str, version: u64, hand: Hand<'a>) -> Answer<'a, Outcome>;
    /// Stamp the verdict that `version` of the coupon has.
    fn stamp<'a>(&'a self, number: &'a str, version: u64, hand: Hand<'a>) -> Answer<'a, Outcome>;
    /// Make a coupon from a template; answers its number. A repeated `token` is
    /// the same press sent twice and answers the same coupon; an empty one always
    /// makes another.
    fn create<'a>(&'a self, template: &'a str, who: &'a str, token: &'a str) -> Answer<'a, String>;
    /// A file of one coupon.
    fn download<'a>(&'a self, number: &'a str, kind: FileKind) -> Answer<'a, Download>;
    /// The solved section of a coupon as it stands. Takes seconds the first
    /// time; one coupon is solved once at a time and kept.
    fn section<'a>(&'a self, number: &'a str, ask: SectionAsk) -> Answer<'a, Section>;
    /// One frame of its film.
    fn film<'a>(&'a self, number: &'a str, ask: SectionAsk) -> Answer<'a, FilmFrame>;
    /// A file of it.
    fn section_file<'a>(
        &'a self,
        number: &'a str,
        kind: SectionFile,
        ask: SectionAsk,
    ) -> Answer<'a, Download>;
    /// The settings window of a coupon as it stands.
    fn window<'a>(&'a self, number: &'a str, ask: WindowAsk) -> Answer<'a, WindowOpened>;
    /// The words at a place of it, in the units of its sides, or in words why
    /// there are none. Nothing is kept.
    fn window_place<'a>(
        &'a self,
        number: &'a str,
        ask: WindowAsk,
        at: [f64; 2],
    ) -> Answer<'a, Result<WindowPlace, Vec<String>>>;
    /// Keep what was set on the window, with what hangs on it, as
    /// [`Desk::change`] does.
    fn window_set<'a>(
        &'a self,
        number: &'a str,
        version: u64,
        changes: Vec<Change>,
        hand: Hand<'a>,
    ) -> Answer<'a, Outcome>;
    /// The chance that the root holds along the joint, or why there is none.
    fn window_chance<'a>(&'a self, number: &'a str) -> Answer<'a, Result<ChanceView, Vec<String>>>;
    /// A file of the window.
    fn window_file<'a>(&'a self, number: &'a str, kind: WindowFile, ask: WindowAsk) -> Answer<'a, Download>;
    /// A coupon under every code.
    fn codes<'a>(&'a self, number: &'a str) -> Answer<'a, Codes>;
    /// The smallest tests for joints as typed. Nothing is kept.
    fn finder(&self, ask: FinderAsk) -> Answer<'_, FinderView>;
    /// What may be issued from a coupon or a procedure and every issue so far.
    fn records<'a>(&'a self, of: RecordOf, number: &'a str) -> Answer<'a, RecordsView>;
    /// Issue a record, or its next issue; the id of the record.
    fn issue<'a>(&'a self, ask: IssueAsk<'a>) -> Answer<'a, Entered<String>>;
    /// A file of one issue, as it was issued.
    fn record_file<'a>(&'a self, id: &'a str, revision: u32, kind: RecordFile) -> Answer<'a, Download>;
    /// The procedures of the shop, found by number and title, and what a new one
    /// can start from.
    fn procedures(&self, ask: ListAsk) -> Answer<'_, ProcedureList>;
    /// Enter a procedure from a start of [`ProcedureList`]; answers its number.
    fn create_procedure<'a>(
        &'a self,
        start: &'a str,
        number: &'a str,
        who: &'a str,
    ) -> Answer<'a, Entered<String>>;
    /// One procedure under a code; empty for its own.
    fn procedure<'a>(&'a self, number: &'a str, code: &'a str) -> Answer<'a, ProcedureView>;
    /// Keep a change as a revision. A change needs its reason.
    fn change_procedure<'a>(
        &'a self,
        number: &'a str,
        change: ProcedureChange<'a>,
    ) -> Answer<'a, ProcedureOutcome>;
    /// Take the latest revision back, itself kept as one.
    fn undo_procedure<'a>(
        &'a self,
        number: &'a str,
        version: u64,
        who: &'a str,
    ) -> Answer<'a, ProcedureOutcome>;
    /// Whether a joint as typed lies inside a procedure. Nothing is kept.
    fn ask_procedure<'a>(&'a self, number: &'a str, ask: ProcedureAsk) -> Answer<'a, ProcedureAskView>;
    /// The procedure or its record as a file: `procedure` or `record`.
    fn procedure_file<'a>(&'a self, number: &'a str, part: &'a str) -> Answer<'a, Download>;
    /// The welder record as a printed sheet, of one accepted coupon or of the latest.
    fn record<'a>(&'a self, welder: &'a str, coupon: Option<&'a str>, paper: Paper) -> Answer<'a, Download>;
    /// One rule, as a code or edition has it where one is named.
    fn explain<'a>(&'a self, rule: &'a str, code: Option<&'a str>) -> Answer<'a, RuleView>;
    /// Versions.
    fn about(&self) -> Answer<'_, About>;
}
