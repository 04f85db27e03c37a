//! What the check of a shop's file can find, in words a person can act on.

use std::fmt;

use crate::model::{Event, Subject};

/// How something in the file is not as it was written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FaultKind {
    /// The file's own structure is broken, in SQLite's words.
    Structure,
    /// A table, index or trigger is not the one this program makes.
    Schema,
    /// A row cannot be read.
    Unreadable,
    /// An event is missing from the chain.
    EventMissing,
    /// An event names another event before it than the one that is there.
    EventMoved,
    /// An event's content does not give its hash.
    EventAltered,
    /// The versions of a document's events have a gap.
    VersionGap,
    /// A current value is not what the events add up to.
    Value,
    /// A document's version, or who and when with it, is not what its events
    /// say.
    Stamp,
    /// The content of an issued record does not give its hash.
    Record,
    /// The newest events, which were there before, are gone.
    CutOff,
}

impl FaultKind {
    /// The word for programs, the same from release to release.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Structure => "structure",
            Self::Schema => "schema",
            Self::Unreadable => "unreadable",
            Self::EventMissing => "event-missing",
            Self::EventMoved => "event-moved",
            Self::EventAltered => "event-altered",
            Self::VersionGap => "version-gap",
            Self::Value => "value",
            Self::Stamp => "stamp",
            Self::Record => "record",
            Self::CutOff => "cut-off",
        }
    }
}

/// One thing in the file that is not as it was written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// How it is not.
    pub kind: FaultKind,
    /// The event's place in the chain, where one event is meant.
    pub seq: Option<i64>,
    /// The document, where one is meant: what it is about, and its id.
    pub document: Option<(Subject, String)>,
    /// The path, or the column next to the document, where one is meant.
    pub path: Option<String>,
    /// The text as the events have it; `None` where they have none.
    pub history: Option<String>,
    /// The text that stands in the file now; `None` where there is none.
    pub found: Option<String>,
    /// More in words: who made the event, or what the storage said.
    pub detail: String,
}

impl Fault {
    /// A fault of this kind, without place.
    #[must_use]
    pub fn new(kind: FaultKind, detail: impl Into<String>) -> Self {
        Self {
            kind,
            seq: None,
            document: None,
            path: None,
            history: None,
            found: None,
            detail: detail.into(),
        }
    }

    /// The same in a document.
    #[must_use]
    pub fn of(self, subject: Subject, id: &str) -> Self {
        Self { document: Some((subject, id.to_owned())), ..self }
    }

    /// The same at a place of the chain.
    pub(crate) fn at(self, seq: i64) -> Self {
        Self { seq: Some(seq), ..self }
    }

    /// A fault of one event.
    pub(crate) fn event(kind: FaultKind, event: &Event) -> Self {
        let detail = format!("version {}, by {}", event.version, event.who);
        Self::new(kind, detail).of(event.subject, &event.subject_id).at(event.seq)
    }

    /// The same for a text that is not what the events say.
    pub(crate) fn texts(self, path: &str, history: Option<&str>, found: Option<&str>) -> Self {
        let own = |text: Option<&str>| text.map(str::to_owned);
        Self { path: Some(path.to_owned()), history: own(history), found: own(found), ..self }
    }

    /// The document in words: `coupon 0304`.
    fn whose(&self) -> String {
        self.document.as_ref().map(|(subject, id)| format!("{subject} {id}")).unwrap_or_default()
    }
}

/// Longest text quoted in a message, in characters. Basis: choice.
const QUOTED_CHARS_MAX: usize = 80;

/// A text in quotes, cut where it is long.
fn quoted(text: Option<&str>) -> String {
    match text {
        None => "nothing".to_owned(),
        Some(text) if text.chars().count() > QUOTED_CHARS_MAX => {
            let start: String = text.chars().take(QUOTED_CHARS_MAX).collect();
            format!("{:?}", format!("{start}…"))
        }
        Some(text) => format!("{text:?}"),
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (whose, detail) = (self.whose(), &self.detail);
        let event = self.seq.map(|seq| format!("event {seq}")).unwrap_or_default();
        let path = self.path.as_deref().unwrap_or_default();
        let (history, found) = (quoted(self.history.as_deref()), quoted(self.found.as_deref()));
        match self.kind {
            FaultKind::Structure => write!(f, "the file is damaged: {detail}"),
            FaultKind::Schema => write!(f, "{detail} is not as this program makes it"),
            FaultKind::Unreadable if self.document.is_some() => write!(f, "{whose} cannot be read: {detail}"),
            FaultKind::Unreadable if self.seq.is_some() => write!(f, "{event} cannot be read: {detail}"),
            FaultKind::Unreadable => write!(f, "{detail}"),
            FaultKind::EventMissing => write!(f, "{event} is missing"),
            FaultKind::EventMoved => write!(f, "{event} ({whose}, {detail}) does not follow the one before"),
            FaultKind::EventAltered if self.path.is_some() => {
                write!(f, "{event} ({whose}, {detail}) says {path} was {found} before; it was {history}")
            }
            FaultKind::EventAltered => write!(f, "{event} ({whose}, {detail}) was altered"),
            FaultKind::VersionGap => write!(f, "{whose}: a version is missing from its history"),
            FaultKind::Value => write!(f, "{whose}: {path} reads {found}, its history says {history}"),
            FaultKind::Stamp => write!(f, "{whose}: {path} is {found}, its history says {history}"),
            FaultKind::Record => write!(f, "{whose}: {path} was altered, its hash does not hold: {detail}"),
            FaultKind::CutOff => write!(f, "the newest entries are gone: {detail}"),
        }
    }
}

/// What a check of the whole file found.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Audit {
    /// How many documents were compared with their events.
    pub documents: usize,
    /// How many events were read and checked.
    pub events: usize,
    /// What is not as it was written, at most [`FAULTS_TOLD_MAX`].
    pub faults: Vec<Fault>,
    /// How many more faults there are.
    pub more: usize,
}

/// Most faults listed one by one, a count; a file with more is past mending by
/// hand. Basis: choice.
pub const FAULTS_TOLD_MAX: usize = 100;

impl Audit {
    /// Whether nothing was found.
    #[must_use]
    pub fn is_sound(&self) -> bool {
        self.faults.is_empty()
    }

    /// Adds a fault, or counts it where enough are listed.
    pub fn push(&mut self, fault: Fault) {
        if self.faults.len() < FAULTS_TOLD_MAX {
            self.faults.push(fault);
        } else {
            self.more += 1;
        }
    }
}
