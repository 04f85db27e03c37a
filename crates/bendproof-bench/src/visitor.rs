//! Who looks at the page: the name and the look kept in two cookies.
//!
//! There are no passwords; the bench answers on the machine's own address. The
//! name only says whose hand made a change.

use axum::extract::FromRequestParts;
use axum::http::header;
use axum::http::request::Parts;
use percent_encoding::{AsciiSet, NON_ALPHANUMERIC, percent_decode_str, utf8_percent_encode};
use std::convert::Infallible;

use crate::desk::Notices;
use crate::text::{Key, t};

/// Cookie that holds the name, percent-encoded.
pub(crate) const WHO_COOKIE: &str = "bench_who";
/// Cookie that holds the look.
pub(crate) const THEME_COOKIE: &str = "bench_look";
/// Longest name kept, in characters. A name longer than this is a mistake.
pub(crate) const NAME_CHARS_MAX: usize = 60;
/// How long both cookies are kept: one year, in seconds.
const KEEP_S: u32 = 31_536_000;

/// The look the visitor chose.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) enum Theme {
    /// As the device prefers.
    #[default]
    Auto,
    /// Ink on paper.
    Paper,
    /// Soapstone on steel.
    Steel,
}

impl Theme {
    pub(crate) const ALL: [Self; 3] = [Self::Auto, Self::Paper, Self::Steel];

    pub(crate) fn slug(self) -> &'static str {
        match self {
            Self::Auto => "auto",
            Self::Paper => "paper",
            Self::Steel => "steel",
        }
    }

    pub(crate) fn from_slug(slug: &str) -> Self {
        Self::ALL.into_iter().find(|theme| theme.slug() == slug).unwrap_or_default()
    }
}

/// What one request says about its sender.
#[derive(Debug, Clone, Default)]
pub(crate) struct Visitor {
    /// The name, when one was given.
    pub who: Option<String>,
    /// The look.
    pub theme: Theme,
    /// The path asked for, to come back to after a name or a look is set.
    pub path: String,
    /// What must be known on every page.
    pub notices: Notices,
}

impl Visitor {
    /// The name, or the word for nobody.
    pub(crate) fn name(&self) -> &str {
        self.who.as_deref().unwrap_or(t(Key::WhoNobody))
    }

    pub(crate) fn from_parts(parts: &Parts) -> Self {
        let notices = parts.extensions.get::<Notices>().cloned().unwrap_or_default();
        let mut visitor = Self { path: parts.uri.path().to_owned(), notices, ..Self::default() };
        let cookies = parts.headers.get_all(header::COOKIE).iter().filter_map(|value| value.to_str().ok());
        for pair in cookies.flat_map(|line| line.split(';')) {
            match pair.trim().split_once('=') {
                Some((WHO_COOKIE, value)) => visitor.who = clean_name(&percent_decode(value)),
                Some((THEME_COOKIE, value)) => visitor.theme = Theme::from_slug(value),
                _ => {}
            }
        }
        visitor
    }
}

impl<S: Send + Sync> FromRequestParts<S> for Visitor {
    type Rejection = Infallible;

    async fn from_request_parts(parts: &mut Parts, _state: &S) -> Result<Self, Infallible> {
        Ok(Self::from_parts(parts))
    }
}

/// A name as it is kept: one line, trimmed, not empty, not endless.
pub(crate) fn clean_name(text: &str) -> Option<String> {
    let line: String = text.chars().filter(|c| !c.is_control()).take(NAME_CHARS_MAX).collect();
    let name = line.trim();
    (!name.is_empty()).then(|| name.to_owned())
}

/// A `Set-Cookie` value. The cookies are of no use to scripts and never leave
/// this address.
pub(crate) fn set_cookie(name: &str, value: &str) -> String {
    format!("{name}={}; Path=/; Max-Age={KEEP_S}; HttpOnly; SameSite=Strict", percent_encode(value))
}

/// Only an address on this bench may be come back to; anything else would let
/// a foreign link send the visitor away.
pub(crate) fn safe_return(path: &str) -> &str {
    let is_local = path.starts_with('/') && !path.starts_with("//") && !path.contains('\\');
    if is_local && path.chars().all(|c| !c.is_control()) { path } else { "/" }
}

/// Everything but letters, digits and `-._~` (the unreserved characters of RFC 3986).
const RESERVED: &AsciiSet = &NON_ALPHANUMERIC.remove(b'-').remove(b'.').remove(b'_').remove(b'~');

/// A text as part of an address or a cookie.
pub(crate) fn percent_encode(text: &str) -> String {
    utf8_percent_encode(text, RESERVED).to_string()
}

fn percent_decode(text: &str) -> String {
    percent_decode_str(text).decode_utf8_lossy().into_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_survive_the_cookie() {
        let name = "Zoë Núñez; Path=/";
        assert_eq!(percent_decode(&percent_encode(name)), name);
        assert_eq!(percent_decode("%zz%4"), "%zz%4");
    }

    #[test]
    fn names_are_one_clean_line() {
        assert_eq!(clean_name("  Ada\nB  "), Some("AdaB".to_owned()));
        assert_eq!(clean_name(" \t "), None);
        assert_eq!(clean_name(&"x".repeat(500)).map(|name| name.len()), Some(NAME_CHARS_MAX));
    }

    #[test]
    fn the_way_back_stays_here() {
        assert_eq!(safe_return("/coupon/0187"), "/coupon/0187");
        for foreign in ["//evil.example", "https://evil.example", "/\\evil.example", ""] {
            assert_eq!(safe_return(foreign), "/");
        }
    }
}
