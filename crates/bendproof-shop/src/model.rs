//! What the shop keeps: documents, the edits people make, and the events that
//! record them. Plain data and pure functions; no storage.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

/// What a document is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Subject {
    /// A welded test piece.
    Coupon,
    /// A welder, instructor or inspector.
    Person,
    /// A welding procedure, with its procedure record.
    Procedure,
    /// A record as it was issued on paper.
    Record,
}

impl Subject {
    /// Every subject, in the order the audit goes through them.
    pub const ALL: [Self; 4] = [Self::Coupon, Self::Person, Self::Procedure, Self::Record];

    /// The word kept in the file and used in messages: `coupon`, `person`,
    /// `procedure` or `record`.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Coupon => "coupon",
            Self::Person => "person",
            Self::Procedure => "procedure",
            Self::Record => "record",
        }
    }

    /// The subject a kept word stands for.
    pub(crate) fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|subject| subject.word() == word)
    }
}

impl fmt::Display for Subject {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

/// How an event came about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EventKind {
    /// The first event of a document, version 1.
    Create,
    /// Someone changed values.
    Change,
    /// Takes an earlier change back.
    Undo,
    /// Makes an undone change again.
    Redo,
    /// A verdict given on the document as it stands; undo does not reach it.
    Stamp,
}

impl EventKind {
    /// Every kind.
    pub(crate) const ALL: [Self; 5] = [Self::Create, Self::Change, Self::Undo, Self::Redo, Self::Stamp];

    /// The word kept in the file: `create`, `change`, `undo`, `redo` or `stamp`.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Create => "create",
            Self::Change => "change",
            Self::Undo => "undo",
            Self::Redo => "redo",
            Self::Stamp => "stamp",
        }
    }

    /// The kind a kept word stands for.
    pub(crate) fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.word() == word)
    }
}

/// Who acts and when; the shop itself reads neither clock nor login.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct By<'a> {
    /// Name or id of the one who acts, 1 to 120 bytes, not blank.
    pub who: &'a str,
    /// Milliseconds since 1970-01-01T00:00Z, 0 to [`crate::AT_MS_MAX`].
    pub at_ms: i64,
    /// Idempotency token, unique per document: sending the same request again
    /// with the same token returns the first result and adds no second event.
    pub token: Option<&'a str>,
    /// Why, in the writer's own words.
    pub note: Option<&'a str>,
}

impl<'a> By<'a> {
    /// Who and when, without token and note.
    #[must_use]
    pub fn new(who: &'a str, at_ms: i64) -> Self {
        Self { who, at_ms, token: None, note: None }
    }

    /// The same with an idempotency token.
    #[must_use]
    pub fn token(self, token: &'a str) -> Self {
        Self { token: Some(token), ..self }
    }

    /// The same with a note.
    #[must_use]
    pub fn note(self, note: &'a str) -> Self {
        Self { note: Some(note), ..self }
    }
}

/// One wanted change of a document: the new value of a path, or its removal.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Edit {
    /// Dotted path, such as `pass.1.volts`.
    pub path: String,
    /// The new text; `None` removes the path.
    pub value: Option<String>,
}

impl Edit {
    /// Sets a path to a text.
    #[must_use]
    pub fn set(path: &str, value: &str) -> Self {
        Self { path: path.to_owned(), value: Some(value.to_owned()) }
    }

    /// Removes a path.
    #[must_use]
    pub fn clear(path: &str) -> Self {
        Self { path: path.to_owned(), value: None }
    }
}

/// One recorded change of a document.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    /// Dotted path.
    pub path: String,
    /// The text before; `None` where the path was absent.
    pub before: Option<String>,
    /// The text after; `None` where the path was removed.
    pub after: Option<String>,
}

/// One appended event; never changed afterwards.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Event {
    /// Place in the shop's chain: 1, 2, 3 … over all documents.
    pub seq: i64,
    /// What the document is about.
    pub subject: Subject,
    /// Id of the document.
    pub subject_id: String,
    /// Version of the document this event makes: 1, 2, 3 …
    pub version: i64,
    /// Milliseconds since 1970-01-01T00:00Z, as the caller gave it.
    pub at_ms: i64,
    /// Who acted, as the caller gave it.
    pub who: String,
    /// How the event came about.
    pub kind: EventKind,
    /// For undo and redo, the version of the change taken back or made again.
    pub reverses: Option<i64>,
    /// Why, in the writer's own words.
    pub note: Option<String>,
    /// Idempotency token, if the caller sent one.
    pub token: Option<String>,
    /// What changed, in the order of the edits; paths that kept their value are
    /// not listed.
    pub changes: Vec<Change>,
    /// Hash of the event before in the shop's chain, 64 hexadecimal digits;
    /// zeros for the first.
    pub prev_hash: String,
    /// SHA-256 of this event including `prev_hash`, 64 hexadecimal digits.
    pub hash: String,
}

/// A coupon, a person, a procedure or a record at one version.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Document {
    /// What the document is about.
    pub subject: Subject,
    /// Its id.
    pub id: String,
    /// Number of events so far: 1, 2, 3 …
    pub version: i64,
    /// The text values by dotted path.
    pub values: BTreeMap<String, String>,
    /// When version 1 was made, ms since 1970-01-01T00:00Z.
    pub created_at_ms: i64,
    /// Who made version 1.
    pub created_by: String,
    /// When this version was made, ms since 1970-01-01T00:00Z.
    pub changed_at_ms: i64,
    /// Who made this version.
    pub changed_by: String,
}

/// The branch of a document that holds its latest stamp; only [`Shop::stamp`]
/// writes there.
///
/// [`Shop::stamp`]: crate::Shop::stamp
pub const STAMP_BRANCH: &str = "stamp.";

/// A verdict as it is stamped on a document.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stamp {
    /// The verdict in words.
    pub word: String,
    /// The code it was given under.
    pub code: String,
    /// The version of the document it was given on.
    pub version: i64,
}

impl Stamp {
    /// The values a stamp leaves in its document. The version among them makes
    /// the same word given again an event of its own.
    pub(crate) fn edits(&self) -> [Edit; 3] {
        [
            Edit::set("stamp.code", &self.code),
            Edit::set("stamp.version", &self.version.to_string()),
            Edit::set("stamp.word", &self.word),
        ]
    }

    /// The latest stamp among a document's values.
    #[must_use]
    pub fn among(values: &BTreeMap<String, String>) -> Option<Self> {
        Some(Self {
            word: values.get("stamp.word")?.clone(),
            code: values.get("stamp.code")?.clone(),
            version: values.get("stamp.version")?.parse().ok()?,
        })
    }
}

/// One line of a list of documents: a [`Document`] with only the asked values.
pub type Summary = Document;

/// The values that a document's events add up to, oldest event first.
#[must_use]
pub fn fold(events: &[Event]) -> BTreeMap<String, String> {
    let mut values = BTreeMap::new();
    for event in events {
        apply(&mut values, &event.changes);
    }
    values
}

/// Carries recorded changes into a set of values.
pub(crate) fn apply(values: &mut BTreeMap<String, String>, changes: &[Change]) {
    for change in changes {
        match &change.after {
            Some(after) => values.insert(change.path.clone(), after.clone()),
            None => values.remove(&change.path),
        };
    }
}

/// Whether no edit touches a path that one of the events touched.
///
/// After [`crate::ShopError::Conflict`] this tells a page that its stale edits
/// and the events made since do not meet, so that the same edits may be offered
/// again against the current version. The decision stays with a person: a root
/// opening and a root face are different paths and still one fit-up.
#[must_use]
pub fn disjoint(edits: &[Edit], events: &[Event]) -> bool {
    let touched: BTreeSet<&str> =
        events.iter().flat_map(|event| &event.changes).map(|change| change.path.as_str()).collect();
    edits.iter().all(|edit| !touched.contains(edit.path.as_str()))
}

/// Carries the next event of a document into the versions of its undone changes;
/// redo takes the last of them.
pub(crate) fn take_undone(undone: &mut Vec<i64>, kind: EventKind, reverses: Option<i64>) {
    match (kind, reverses) {
        // A new change after an undo starts another line; the undone values
        // would no longer fit onto it.
        (EventKind::Change, _) => undone.clear(),
        (EventKind::Undo, Some(reversed)) => undone.push(reversed),
        (EventKind::Redo, Some(reversed)) => undone.retain(|undone| *undone != reversed),
        // The schema refuses an undo or redo that reverses nothing.
        (EventKind::Create | EventKind::Stamp | EventKind::Undo | EventKind::Redo, _) => {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn event(version: i64, kind: EventKind, changes: Vec<Change>) -> Event {
        Event {
            seq: version,
            subject: Subject::Coupon,
            subject_id: "C-1".into(),
            version,
            at_ms: 0,
            who: "Rosa".into(),
            kind,
            reverses: None,
            note: None,
            token: None,
            changes,
            prev_hash: String::new(),
            hash: String::new(),
        }
    }

    fn change(path: &str, before: Option<&str>, after: Option<&str>) -> Change {
        Change { path: path.into(), before: before.map(Into::into), after: after.map(Into::into) }
    }

    #[test]
    fn fold_sets_overwrites_and_removes() {
        let events = [
            event(1, EventKind::Create, vec![change("a", None, Some("1")), change("b", None, Some("2"))]),
            event(
                2,
                EventKind::Change,
                vec![change("a", Some("1"), Some("3")), change("b", Some("2"), None)],
            ),
        ];
        assert_eq!(fold(&events), BTreeMap::from([("a".to_owned(), "3".to_owned())]));
        assert_eq!(fold(&events[..1]).len(), 2);
    }

    #[test]
    fn disjoint_compares_whole_paths() {
        let since = [event(2, EventKind::Change, vec![change("pass.1", None, Some("x"))])];
        assert!(disjoint(&[Edit::set("pass.10", "y")], &since));
        assert!(!disjoint(&[Edit::set("title", "y"), Edit::clear("pass.1")], &since));
        assert!(disjoint(&[Edit::clear("pass.1")], &[]));
    }

    #[test]
    fn redo_takes_the_last_undone_until_a_new_change() {
        let mut undone = Vec::new();
        for (kind, reverses, wanted) in [
            (EventKind::Create, None, vec![]),
            (EventKind::Change, None, vec![]),
            (EventKind::Change, None, vec![]),
            (EventKind::Undo, Some(3), vec![3]),
            (EventKind::Undo, Some(2), vec![3, 2]),
            (EventKind::Stamp, None, vec![3, 2]),
            (EventKind::Redo, Some(2), vec![3]),
            (EventKind::Change, None, vec![]),
        ] {
            take_undone(&mut undone, kind, reverses);
            assert_eq!(undone, wanted);
        }
    }

    #[test]
    fn words_read_back() {
        for subject in Subject::ALL {
            assert_eq!(Subject::from_word(subject.word()), Some(subject));
        }
        for kind in EventKind::ALL {
            assert_eq!(EventKind::from_word(kind.word()), Some(kind));
        }
        assert_eq!(Subject::from_word("Coupon"), None);
    }
}
