//! Reading the one form of the sheet: which version it was made on, and which
//! values the hand changed.
//!
//! Without scripts a browser sends every value of the form. Each field carries
//! a hidden twin `was:PATH` with the text it was shown with, so that only what
//! was changed is kept as changed, and defaults nobody touched stay defaults.

use std::collections::BTreeMap;
use std::hash::{DefaultHasher, Hash, Hasher};

use axum::extract::rejection::FormRejection;
use axum::extract::{Form, FromRequest, Request};
use axum::http::StatusCode;
use tokio::time::timeout;

use crate::answer::Problem;
use crate::app::BODY_KIB_MAX;
use crate::desk::{Change, Hand, RowAction, RowKind};
use crate::serve::FORM_WAIT;
use crate::text::Key;

/// Names the form itself uses; everything else is a document path.
const VERSION: &str = "version";
pub(crate) const TOKEN: &str = "token";
/// The pieces of the sheet that the page shows already.
pub(crate) const HAVE: &str = "have";
const ROW: &str = "row";
const WHY: &str = "why";
const ROW_VALUE: &str = "row.";
const WAS: &str = "was:";

/// Longest path and text taken. A coupon holds sizes and short notes.
const TEXT_CHARS_MAX: usize = 4_000;

/// All pairs of a posted form, in order.
pub(crate) struct Pairs(pub Vec<(String, String)>);

impl Pairs {
    /// The first value under a name.
    pub(crate) fn get(&self, name: &str) -> Option<&str> {
        self.0.iter().find(|(key, _)| key == name).map(|(_, value)| value.as_str())
    }

    /// The row to add or take away, as it is posted.
    pub(crate) fn row(&self) -> Vec<(&str, &str)> {
        let is_row = |name: &str| name == ROW || name.starts_with(ROW_VALUE);
        self.0
            .iter()
            .filter(|(name, _)| is_row(name))
            .map(|(name, text)| (name.as_str(), text.as_str()))
            .collect()
    }

    /// Path and text of each field as the form was shown.
    pub(crate) fn kept(&self) -> impl Iterator<Item = (&str, &str)> {
        self.0.iter().filter_map(|(name, value)| Some((name.strip_prefix(WAS)?, value.as_str())))
    }
}

impl<S: Send + Sync> FromRequest<S> for Pairs {
    type Rejection = Problem;

    async fn from_request(request: Request, state: &S) -> Result<Self, Problem> {
        match timeout(FORM_WAIT, Form::<Vec<(String, String)>>::from_request(request, state)).await {
            Ok(Ok(Form(pairs))) => Ok(Self(pairs)),
            Ok(Err(rejection)) => Err(problem(&rejection)),
            // What has not come by now does not come.
            Err(_) => Err(Problem::form(Key::ErrorForm)),
        }
    }
}

fn problem(rejection: &FormRejection) -> Problem {
    match rejection.status() {
        StatusCode::PAYLOAD_TOO_LARGE => Problem::large(BODY_KIB_MAX),
        _ => Problem::form(Key::ErrorForm),
    }
}

/// Longest text of a box taken from an address. Basis: choice, four times a
/// joint's name.
const BOX_CHARS_MAX: usize = 240;

fn shortened(text: &str) -> String {
    text.trim().chars().take(BOX_CHARS_MAX).collect()
}

/// The boxes of a question in an address that hold a text: those `is_asked`
/// names by their path.
pub(crate) fn boxes_of(pairs: &[(String, String)], is_asked: impl Fn(&str) -> bool) -> Vec<(String, String)> {
    let typed = |(path, text): &(String, String)| {
        let text = shortened(text);
        (is_asked(path) && !text.is_empty()).then(|| (path.clone(), text))
    };
    pairs.iter().filter_map(typed).collect()
}

/// One word of a question in an address; empty when it is not there.
pub(crate) fn word_of(pairs: &[(String, String)], name: &str) -> String {
    pairs.iter().find(|(key, _)| key == name).map(|(_, value)| shortened(value)).unwrap_or_default()
}

/// What a posted sheet asks for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Edit {
    /// The version the user saw.
    pub version: Option<u64>,
    /// Distinguishes "sent again" from "done again".
    pub token: String,
    /// What was changed.
    pub changes: Vec<Change>,
    /// A row to add or take away.
    pub row: Option<(RowKind, RowAction)>,
    /// The token of the row, since a form with both makes two changes.
    pub row_token: String,
    /// Why a judged coupon is amended; empty where nothing was written.
    pub why: String,
}

impl Edit {
    /// Read a posted sheet.
    pub(crate) fn read(pairs: &Pairs) -> Result<Self, Problem> {
        if pairs.0.iter().any(|(name, value)| name.len().max(value.len()) > TEXT_CHARS_MAX) {
            return Err(Problem::form(Key::ErrorForm));
        }
        let was: BTreeMap<&str, &str> = pairs.kept().collect();
        let changes: Vec<Change> = pairs
            .0
            .iter()
            .filter(|(name, _)| is_path(name))
            .filter(|(name, value)| was.get(name.as_str()) != Some(&value.as_str()))
            .map(|(name, value)| {
                let text = value.trim();
                (name.clone(), (!text.is_empty()).then(|| text.to_owned()))
            })
            .collect();
        let row = match pairs.get(ROW) {
            Some(words) => Some(read_row(words, pairs).ok_or_else(|| Problem::form(Key::ErrorRow))?),
            None => None,
        };
        Ok(Self {
            version: pairs.get(VERSION).and_then(|text| text.parse().ok()),
            token: token(pairs.get(TOKEN).unwrap_or_default(), &changes),
            why: pairs.get(WHY).unwrap_or_default().trim().to_owned(),
            row_token: token(pairs.get(TOKEN).unwrap_or_default(), &(&changes, &row)),
            changes,
            row,
        })
    }

    /// The hand that sent it.
    pub(crate) fn hand<'a>(&'a self, who: &'a str) -> Hand<'a> {
        Hand { who, why: &self.why, token: &self.token }
    }

    /// The version, or the words for a form that lacks one.
    pub(crate) fn version(&self) -> Result<u64, Problem> {
        self.version.ok_or_else(|| Problem::form(Key::ErrorVersion))
    }
}

fn is_path(name: &str) -> bool {
    ![VERSION, TOKEN, ROW, HAVE, WHY].contains(&name)
        && !name.starts_with(ROW_VALUE)
        && !name.starts_with(WAS)
}

impl Pairs {
    /// The token of a form that is not a sheet, with what it asks for; empty where
    /// it carries none.
    pub(crate) fn token_with(&self, content: &impl Hash) -> String {
        self.get(TOKEN).filter(|text| !text.is_empty()).map(|text| token(text, content)).unwrap_or_default()
    }
}

/// A page left by "back" still carries its old token. With the content in the
/// token, a second and different change from that page is not taken for the
/// first one sent again.
fn token(text: &str, content: &impl Hash) -> String {
    let mut hasher = DefaultHasher::new();
    content.hash(&mut hasher);
    let kept: String = text.chars().filter(|c| c.is_ascii_alphanumeric() || *c == '-').take(64).collect();
    format!("{kept}-{:016x}", hasher.finish())
}

/// `pass:add`, `pass:remove:2`, `opening:1:add`, `opening:1:remove:2`,
/// `piece:tension:add`, `flaw:nick_break:1:remove:2`.
fn read_row(words: &str, pairs: &Pairs) -> Option<(RowKind, RowAction)> {
    let mut parts = words.split(':');
    let kind = match parts.next()? {
        "pass" => RowKind::Pass,
        "log" => RowKind::Log,
        "strap" => RowKind::Strap,
        "opening" => RowKind::Opening(parts.next()?.parse().ok()?),
        "piece" => RowKind::Piece(parts.next()?.to_owned()),
        "flaw" => RowKind::Flaw(parts.next()?.to_owned(), parts.next()?.parse().ok()?),
        _ => return None,
    };
    let action = match (parts.next()?, parts.next()) {
        ("add", None) => RowAction::Add(
            pairs
                .0
                .iter()
                .filter_map(|(name, value)| Some((name.strip_prefix(ROW_VALUE)?.to_owned(), value.clone())))
                .collect(),
        ),
        ("remove", Some(number)) => RowAction::Remove(number.parse().ok().filter(|n| *n > 0)?),
        _ => return None,
    };
    Some((kind, action))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pairs(list: &[(&str, &str)]) -> Pairs {
        Pairs(list.iter().map(|(k, v)| ((*k).to_owned(), (*v).to_owned())).collect())
    }

    #[test]
    fn only_what_the_hand_changed_is_a_change() {
        let edit = Edit::read(&pairs(&[
            ("version", "7"),
            ("token", "a1"),
            ("fit.root_face", "1/8 in"),
            ("was:fit.root_face", "1/16 in"),
            ("fit.thickness", "3/8 in"),
            ("was:fit.thickness", "3/8 in"),
            ("head.booth", "  "),
            ("why", " the wrong box "),
            ("was:head.booth", "6"),
        ]))
        .ok()
        .unwrap();
        assert_eq!((edit.version, edit.why.as_str()), (Some(7), "the wrong box"));
        let expected =
            vec![("fit.root_face".to_owned(), Some("1/8 in".to_owned())), ("head.booth".to_owned(), None)];
        assert_eq!(edit.changes, expected);
    }

    #[test]
    fn a_second_change_from_the_same_page_has_another_token() {
        let read =
            |value| Edit::read(&pairs(&[("token", "a1"), ("fit.root_face", value)])).ok().unwrap().token;
        assert_eq!(read("1/8 in"), read("1/8 in"));
        assert_ne!(read("1/8 in"), read("1/16 in"));
    }

    #[test]
    fn another_row_from_the_same_page_has_another_token() {
        let read = |row| Edit::read(&pairs(&[("token", "a1"), ("row", row)])).ok().unwrap();
        assert_eq!(read("pass:add").row_token, read("pass:add").row_token);
        assert_ne!(read("pass:add").row_token, read("log:add").row_token);
        assert_ne!(read("pass:add").row_token, read("pass:add").token);
    }

    #[test]
    fn rows_are_named_or_refused() {
        let read =
            |words: &str| Edit::read(&pairs(&[("row", words), ("row.x", "3 mm")])).map(|edit| edit.row);
        let values = vec![("x".to_owned(), "3 mm".to_owned())];
        assert_eq!(read("opening:2:add").ok().flatten(), Some((RowKind::Opening(2), RowAction::Add(values))));
        assert_eq!(read("pass:remove:3").ok().flatten(), Some((RowKind::Pass, RowAction::Remove(3))));
        let piece = RowKind::Piece("tension".to_owned());
        assert_eq!(read("piece:tension:remove:2").ok().flatten(), Some((piece, RowAction::Remove(2))));
        let flaw = RowKind::Flaw("nick_break".to_owned(), 1);
        assert_eq!(read("flaw:nick_break:1:remove:2").ok().flatten(), Some((flaw, RowAction::Remove(2))));
        for wrong in [
            "piece:tension",
            "flaw:nick_break:add",
            "",
            "pass",
            "pass:remove",
            "pass:remove:0",
            "opening:add",
            "weld:add",
            "pass:add:1",
        ] {
            assert!(read(wrong).is_err(), "{wrong}");
        }
    }
}
