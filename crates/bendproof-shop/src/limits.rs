//! How much one shop file accepts, and the checks that say so.
//!
//! Every limit is a choice of this program (basis: choice), set far above what a
//! coupon needs and far below what would make a page slow. The checks look at
//! size and form only; whether `1/8 in` is a sensible root opening is not asked
//! here.

use crate::error::ShopError;
use crate::model::{By, Edit, STAMP_BRANCH};

/// Most paths one document may hold, a count. A pipe coupon with a hundred
/// logged passes and thirty straps stays under 2000. Basis: choice.
pub const PATHS_PER_DOCUMENT_MAX: usize = 4096;

/// Most changes one event may carry, a count. Enough to take in a whole coupon
/// file at once. Basis: choice.
pub const CHANGES_PER_EVENT_MAX: usize = 2048;

/// Longest value, in bytes of UTF-8. Room for several pages of remarks; files
/// and pictures do not belong in a value. Basis: choice.
pub const VALUE_BYTES_MAX: usize = 16 * 1024;

/// Longest dotted path, in bytes. Basis: choice.
pub const PATH_BYTES_MAX: usize = 160;

/// Longest coupon or person id, in bytes. Basis: choice.
pub const ID_BYTES_MAX: usize = 64;

/// Longest name of the one who makes a change, in bytes. Basis: choice.
pub const WHO_BYTES_MAX: usize = 120;

/// Longest note on an event, in bytes. Basis: choice.
pub const NOTE_BYTES_MAX: usize = 2048;

/// Longest idempotency token, in bytes. Basis: choice.
pub const TOKEN_BYTES_MAX: usize = 128;

/// Most events one document may have, a count. Bounds what undo and history
/// have to read. Basis: choice.
pub const EVENTS_PER_DOCUMENT_MAX: i64 = 100_000;

/// Most paths one query over all documents may ask for, a count. Basis: choice.
pub const PATHS_PER_QUERY_MAX: usize = 256;

/// Latest accepted time, in milliseconds since 1970-01-01T00:00Z: the last
/// millisecond of the year 9999, the last one RFC 3339 can write. The earliest
/// is 0. Basis: derived.
pub const AT_MS_MAX: i64 = 253_402_300_799_999;

/// Longest excerpt of a refused text repeated in a message, in characters.
const EXCERPT_CHARS_MAX: usize = 40;

/// The start of a refused text, short enough for a message.
fn excerpt(text: &str) -> String {
    let mut short: String = text.chars().take(EXCERPT_CHARS_MAX).collect();
    if short.len() < text.len() {
        short.push('…');
    }
    format!("{short:?}")
}

/// An [`ShopError::OutOfRange`] from its four parts.
fn refused(quantity: &str, value: String, allowed: String, next_step: &'static str) -> ShopError {
    ShopError::OutOfRange { quantity: quantity.to_owned(), value, allowed, next_step }
}

/// Checks that a count does not exceed its limit.
pub(crate) fn count(
    quantity: &str,
    found: usize,
    most: usize,
    next_step: &'static str,
) -> Result<(), ShopError> {
    if found > most {
        return Err(refused(quantity, found.to_string(), format!("at most {most}"), next_step));
    }
    Ok(())
}

/// Checks the length of a text and that it holds no NUL, which PostgreSQL could
/// not keep and no person types.
fn text(quantity: &str, found: &str, bytes_max: usize, next_step: &'static str) -> Result<(), ShopError> {
    if found.len() > bytes_max {
        let value = format!("{} bytes, beginning {}", found.len(), excerpt(found));
        return Err(refused(quantity, value, format!("at most {bytes_max} bytes"), next_step));
    }
    if found.contains('\0') {
        let allowed = "text without the NUL character".to_owned();
        return Err(refused(quantity, excerpt(found), allowed, "remove the NUL character"));
    }
    Ok(())
}

/// Checks a coupon or person id: 1 to [`ID_BYTES_MAX`] ASCII letters, digits,
/// `-`, `_` and `.`, so that it can stand in an address and a file name.
pub(crate) fn id(found: &str) -> Result<(), ShopError> {
    text("id", found, ID_BYTES_MAX, "choose a shorter id")?;
    let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.');
    if found.is_empty() || !found.chars().all(plain) || found.starts_with('.') {
        let allowed = "letters A-Z a-z, digits, '-', '_' and '.', not beginning with '.'".to_owned();
        return Err(refused("id", excerpt(found), allowed, "choose an id such as C-0012"));
    }
    Ok(())
}

/// Checks a dotted path: non-empty parts of ASCII letters, digits, `-` and `_`.
pub(crate) fn path(found: &str) -> Result<(), ShopError> {
    text("path", found, PATH_BYTES_MAX, "shorten the path")?;
    let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_');
    if !found.split('.').all(|part| !part.is_empty() && part.chars().all(plain)) {
        let allowed = "parts of letters A-Z a-z, digits, '-' and '_', joined by single dots".to_owned();
        return Err(refused("path", excerpt(found), allowed, "write it as in strap.R1.opening.1.length"));
    }
    Ok(())
}

/// Checks a path asked for in a query, which may end in `.*` for a whole branch.
pub(crate) fn query_path(found: &str) -> Result<(), ShopError> {
    path(found.strip_suffix(".*").unwrap_or(found))
}

/// Checks every edit on its own and that no path comes twice.
pub(crate) fn edits(edits: &[Edit]) -> Result<(), ShopError> {
    let step = "save in several steps";
    count("changes in one event", edits.len(), CHANGES_PER_EVENT_MAX, step)?;
    let mut seen = std::collections::BTreeSet::new();
    for edit in edits {
        path(&edit.path)?;
        if let Some(value) = &edit.value {
            let quantity = format!("value of {}", edit.path);
            text(&quantity, value, VALUE_BYTES_MAX, "shorten the text, or keep it as a file of its own")?;
        }
        if !seen.insert(edit.path.as_str()) {
            return Err(ShopError::DuplicatePath { path: edit.path.clone() });
        }
    }
    Ok(())
}

/// Checks that no edit writes where a stamp is kept.
pub(crate) fn outside_stamp(edits: &[Edit]) -> Result<(), ShopError> {
    let Some(edit) = edits.iter().find(|edit| edit.path.starts_with(STAMP_BRANCH)) else { return Ok(()) };
    let allowed = format!("paths outside {STAMP_BRANCH}, which a stamp alone writes");
    Err(refused("path", excerpt(&edit.path), allowed, "stamp the verdict instead"))
}

/// Checks who, when, token and note.
pub(crate) fn by(by: &By<'_>) -> Result<(), ShopError> {
    text("name of the one who changes", by.who, WHO_BYTES_MAX, "use a shorter name")?;
    if by.who.trim().is_empty() {
        let allowed = format!("1 to {WHO_BYTES_MAX} bytes, not blank");
        return Err(refused(
            "name of the one who changes",
            excerpt(by.who),
            allowed,
            "say who makes the change",
        ));
    }
    if !(0..=AT_MS_MAX).contains(&by.at_ms) {
        let allowed = format!("0 to {AT_MS_MAX} ms since 1970-01-01T00:00Z");
        return Err(refused("time of the change", by.at_ms.to_string(), allowed, "check the clock"));
    }
    if let Some(note) = by.note {
        text("note on the change", note, NOTE_BYTES_MAX, "shorten the note")?;
    }
    if let Some(token) = by.token {
        text("idempotency token", token, TOKEN_BYTES_MAX, "use a shorter token")?;
        if token.is_empty() {
            let allowed = format!("1 to {TOKEN_BYTES_MAX} bytes");
            return Err(refused(
                "idempotency token",
                excerpt(token),
                allowed,
                "leave the token out or fill it",
            ));
        }
    }
    Ok(())
}

/// Checks that a document at `version` may take one more event.
pub(crate) fn next_version(version: i64) -> Result<i64, ShopError> {
    if version >= EVENTS_PER_DOCUMENT_MAX {
        let allowed = format!("at most {EVENTS_PER_DOCUMENT_MAX}");
        let step = "close this document and go on in a new one";
        return Err(refused("events of one document", (version + 1).to_string(), allowed, step));
    }
    Ok(version + 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ids_and_paths_are_plain_ascii() {
        for good in ["C-0012", "welder_7", "a.b", &"x".repeat(ID_BYTES_MAX)] {
            assert!(id(good).is_ok(), "{good}");
        }
        for bad in ["", " ", "a b", "../x", ".x", "é", "a\0", &"x".repeat(ID_BYTES_MAX + 1)] {
            assert!(id(bad).is_err(), "{bad}");
        }
        for good in ["title", "fit.root_opening", "used.2026-09-14", "strap.R1.opening.1.length"] {
            assert!(path(good).is_ok(), "{good}");
        }
        for bad in ["", ".", "a.", ".a", "a..b", "a b", "a.*", "ñ", &"x".repeat(PATH_BYTES_MAX + 1)] {
            assert!(path(bad).is_err(), "{bad}");
        }
        assert!(query_path("strap.*").is_ok());
        assert!(query_path(".*").is_err());
        assert!(query_path("*").is_err());
    }

    #[test]
    fn a_refusal_names_quantity_value_limit_and_next_step() {
        let long = "x".repeat(VALUE_BYTES_MAX + 1);
        let message = edits(&[Edit::set("note", &long)]).unwrap_err().to_string();
        for part in ["value of note", "16385 bytes", "at most 16384 bytes", "shorten the text"] {
            assert!(message.contains(part), "{message}");
        }
        assert!(message.len() < 300, "the refused text is not repeated in full");
        assert!(edits(&[Edit::set("note", &long[1..])]).is_ok());
    }

    #[test]
    fn counts_stop_at_their_limit() {
        let many: Vec<Edit> = (0..=CHANGES_PER_EVENT_MAX).map(|n| Edit::clear(&format!("p.{n}"))).collect();
        assert!(edits(&many).is_err());
        assert!(edits(&many[1..]).is_ok());
        assert_eq!(next_version(EVENTS_PER_DOCUMENT_MAX - 1).unwrap(), EVENTS_PER_DOCUMENT_MAX);
        assert!(next_version(EVENTS_PER_DOCUMENT_MAX).is_err());
    }

    #[test]
    fn who_when_and_token_are_checked() {
        assert!(by(&By::new("Rosa", 0)).is_ok());
        assert!(by(&By::new("Rosa", AT_MS_MAX)).is_ok());
        assert!(by(&By::new("Rosa", -1)).is_err());
        assert!(by(&By::new("Rosa", AT_MS_MAX + 1)).is_err());
        assert!(by(&By::new("  ", 0)).is_err());
        assert!(by(&By::new("Rosa", 0).token("")).is_err());
        assert!(by(&By::new("Rosa", 0).note("a\0b")).is_err());
    }
}
