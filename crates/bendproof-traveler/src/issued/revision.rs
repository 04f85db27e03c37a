//! A record as a file, and its next issue. A record is never altered: the file
//! carries a hash of its content, and a new issue names the hash of the one before.
//!
//! The hash finds a slip or an edit by hand. It is no seal: who rewrites the
//! file can rewrite the hash; the printed history and the signed paper stand
//! against that.

use std::collections::BTreeSet;

use serde::de::{Error as _, MapAccess, SeqAccess, Visitor};
use serde::{Deserialize, Deserializer, Serialize};
use serde_json::{Map, Value, json};
use sha2::{Digest, Sha256};

use super::blocks::{Block, Issue, Record};

/// An issue before this one.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Earlier {
    /// Its number.
    pub revision: u32,
    /// Its day and time of issue.
    pub at: String,
    /// Who issued it.
    pub who: String,
    /// Why.
    pub why: String,
    /// Hash of its content, SHA-256, hexadecimal.
    pub hash: String,
}

/// Why a record cannot be issued again.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ReviseError {
    /// Not a record file.
    #[error("this is not a record file: {0}; give the JSON that `bendproof record` wrote")]
    NotARecord(String),
    /// The content is not what was issued.
    #[error(
        "the record was altered after it was issued: its content has the hash {found}, the file says {said}; take the file as it was issued"
    )]
    Altered {
        /// Hash of the content.
        found: String,
        /// Hash the file carries.
        said: String,
    },
    /// Another record.
    #[error("{what} is {found} in the earlier issue and {wanted} in this one; a new issue keeps it")]
    Another {
        /// What differs.
        what: &'static str,
        /// In the earlier issue.
        found: String,
        /// In this one.
        wanted: String,
    },
    /// No reason given.
    #[error("a new issue needs {0}")]
    Missing(&'static str),
}

/// The record file: the record's fields and, last, the hash of them all.
pub fn file(record: &Record) -> Value {
    let mut value = serde_json::to_value(record).unwrap_or_else(|_| json!({}));
    let hash = hash(&value);
    value["hash"] = json!(hash);
    value
}

fn hash(content: &Value) -> String {
    Sha256::digest(content.to_string().as_bytes()).iter().map(|byte| format!("{byte:02x}")).collect()
}

/// The record in a record file, with the hash of its content.
///
/// # Errors
/// [`ReviseError`] when the text is no record or was altered since.
pub fn read_file(text: &str) -> Result<(Record, String), ReviseError> {
    let why = |error: serde_json::Error| ReviseError::NotARecord(error.to_string());
    // Of two equal keys a reader takes one and a person may read the other.
    serde_json::from_str::<EachKeyOnce>(text).map_err(why)?;
    let mut content: Map<String, Value> = serde_json::from_str(text).map_err(why)?;
    let said = match content.shift_remove("hash") {
        Some(Value::String(said)) => said,
        _ => return Err(ReviseError::NotARecord("it has no hash".to_owned())),
    };
    let content = Value::Object(content);
    let found = hash(&content);
    if found != said {
        return Err(ReviseError::Altered { found, said });
    }
    Ok((serde_json::from_value(content).map_err(why)?, found))
}

/// JSON in which no object names a key twice.
struct EachKeyOnce;

impl<'de> Deserialize<'de> for EachKeyOnce {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(KeyCheck)
    }
}

struct KeyCheck;

impl<'de> Visitor<'de> for KeyCheck {
    type Value = EachKeyOnce;

    fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("JSON")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<EachKeyOnce, A::Error> {
        let mut seen = BTreeSet::new();
        while let Some(key) = map.next_key::<String>()? {
            map.next_value::<EachKeyOnce>()?;
            if !seen.insert(key.clone()) {
                return Err(A::Error::custom(format!("`{key}` stands in it twice")));
            }
        }
        Ok(EachKeyOnce)
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<EachKeyOnce, A::Error> {
        while list.next_element::<EachKeyOnce>()?.is_some() {}
        Ok(EachKeyOnce)
    }

    fn visit_str<E>(self, _: &str) -> Result<EachKeyOnce, E> {
        Ok(EachKeyOnce)
    }

    fn visit_bool<E>(self, _: bool) -> Result<EachKeyOnce, E> {
        Ok(EachKeyOnce)
    }

    fn visit_i64<E>(self, _: i64) -> Result<EachKeyOnce, E> {
        Ok(EachKeyOnce)
    }

    fn visit_u64<E>(self, _: u64) -> Result<EachKeyOnce, E> {
        Ok(EachKeyOnce)
    }

    fn visit_f64<E>(self, _: f64) -> Result<EachKeyOnce, E> {
        Ok(EachKeyOnce)
    }

    fn visit_unit<E>(self) -> Result<EachKeyOnce, E> {
        Ok(EachKeyOnce)
    }
}

impl Record {
    /// This record as the issue after the one in `text`. What its fields say
    /// otherwise stands among the open points, so that nobody signs a change
    /// unseen.
    ///
    /// # Errors
    /// [`ReviseError`] when the text is no record, was altered, is another
    /// record, or a reason or a name is missing.
    pub fn after(mut self, text: &str, who: &str, why: &str) -> Result<Self, ReviseError> {
        let (old, hash) = read_file(text)?;
        let same = [
            ("the kind", old.kind.word(), self.kind.word()),
            ("the number", &old.number, &self.number),
            ("the code", &old.code, &self.code),
        ];
        if let Some((what, found, wanted)) = same.into_iter().find(|(_, found, wanted)| found != wanted) {
            return Err(ReviseError::Another { what, found: found.to_owned(), wanted: wanted.to_owned() });
        }
        for (text, what) in [(who, "the name of who issues it"), (why, "the reason why it is issued again")] {
            if text.trim().is_empty() {
                return Err(ReviseError::Missing(what));
            }
        }
        self.open_points.extend(changes(&old, &self));
        let Issue { revision, at, who: by, why: reason, mut earlier } = old.issue;
        earlier.push(Earlier { revision, at, who: by, why: reason, hash });
        let (who, why) = (who.to_owned(), why.to_owned());
        self.issue = Issue { revision: revision + 1, at: self.issue.at, who, why, earlier };
        Ok(self)
    }

    /// Values of its fields with what they are values of.
    fn values(&self) -> impl Iterator<Item = (&str, &str, &str)> {
        let fields = self.blocks.iter().filter_map(|block| match block {
            Block::Fields { title, rows } => Some((title, rows)),
            _ => None,
        });
        fields.flat_map(|(title, rows)| {
            rows.iter().map(move |r| (title.as_str(), r.label.as_str(), r.value.as_str()))
        })
    }
}

/// One sentence for each field that says something else than in the issue before.
fn changes(old: &Record, new: &Record) -> Vec<String> {
    let mut out = Vec::new();
    for (title, label, value) in new.values() {
        let before = old.values().find(|(of, name, _)| *of == title && *name == label);
        if let Some((_, _, was)) = before.filter(|(_, _, was)| *was != value) {
            let sentence = format!("Since issue {}: {label} was {was} and is {value}.", old.issue.revision);
            if !out.contains(&sentence) {
                out.push(sentence);
            }
        }
    }
    out
}
