//! One shape for everything that goes wrong, as a page for people and as JSON
//! for programs.
//!
//! A handler answers a [`Problem`]; the outermost layer, which knows the
//! request's id and what the client wants to read, turns it into words.

use axum::Json;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use maud::{Markup, html};
use serde::Serialize;

use crate::desk::{Finding, Trouble};
use crate::layout::{Here, page};
use crate::text::{Key, fill, t};
use crate::visitor::Visitor;

/// Something that went wrong, before it is put into words for the client.
#[derive(Debug, Clone)]
pub(crate) struct Problem {
    status: StatusCode,
    code: &'static str,
    title: Key,
    message: String,
    findings: Vec<Finding>,
}

impl Problem {
    fn new(status: StatusCode, code: &'static str, title: Key, message: String) -> Self {
        Self { status, code, title, message, findings: Vec::new() }
    }

    /// Nothing under this address.
    pub(crate) fn absent() -> Self {
        Self::new(StatusCode::NOT_FOUND, "absent", Key::ErrorTitleAbsent, t(Key::ErrorAbsent).to_owned())
    }

    /// The address exists but not for this method.
    pub(crate) fn method() -> Self {
        let words = t(Key::ErrorMethod).to_owned();
        Self::new(StatusCode::METHOD_NOT_ALLOWED, "method", Key::ErrorTitleMethod, words)
    }

    /// Foreign host name.
    pub(crate) fn host() -> Self {
        let words = t(Key::ErrorHost).to_owned();
        Self::new(StatusCode::MISDIRECTED_REQUEST, "foreign_host", Key::ErrorTitleHost, words)
    }

    /// A change asked for by a foreign page.
    pub(crate) fn origin() -> Self {
        let words = t(Key::ErrorOrigin).to_owned();
        Self::new(StatusCode::FORBIDDEN, "foreign_origin", Key::ErrorTitleHost, words)
    }

    /// The body is over the limit.
    pub(crate) fn large(limit_kib: usize) -> Self {
        let words = fill(Key::ErrorLarge, &[("limit", &limit_kib.to_string())]);
        Self::new(StatusCode::PAYLOAD_TOO_LARGE, "too_large", Key::ErrorTitleLarge, words)
    }

    /// The form cannot be read, or misses what it must carry.
    pub(crate) fn form(words: Key) -> Self {
        Self::new(StatusCode::UNPROCESSABLE_ENTITY, "form", Key::ErrorTitleRefused, t(words).to_owned())
    }

    /// The desk will not keep it.
    pub(crate) fn refused(findings: Vec<Finding>) -> Self {
        let words = t(Key::StateRefused).to_owned();
        let mut problem =
            Self::new(StatusCode::UNPROCESSABLE_ENTITY, "refused", Key::ErrorTitleRefused, words);
        problem.findings = findings;
        problem
    }

    fn markup(&self, request_id: &str) -> Markup {
        html! {
            article.slip {
                h1 { (t(self.title)) }
                p { (self.message) }
                @if !self.findings.is_empty() {
                    ul.findings { @for finding in &self.findings { li { (finding.message) } } }
                }
                p { a.button href="/" { (t(Key::BackToCoupons)) } }
                p.small { (fill(Key::ErrorRequest, &[("id", request_id)])) }
            }
        }
    }

    /// The response in the form the client wants.
    pub(crate) fn render(&self, visitor: &Visitor, wants_json: bool, request_id: &str) -> Response {
        if wants_json {
            let error =
                ErrorBody { code: self.code, message: &self.message, request_id, findings: &self.findings };
            return (self.status, Json(ErrorEnvelope { error })).into_response();
        }
        let body = self.markup(request_id);
        (self.status, page(visitor, t(self.title), None, Here::Elsewhere, &body)).into_response()
    }
}

impl From<Trouble> for Problem {
    fn from(trouble: Trouble) -> Self {
        match trouble {
            Trouble::Absent => Self::absent(),
            Trouble::Broken(words) => {
                Self::new(StatusCode::INTERNAL_SERVER_ERROR, "broken", Key::ErrorTitleBroken, words)
            }
            Trouble::Held(message) => Self::refused(vec![Finding { path: None, message }]),
        }
    }
}

/// The problem travels to the outermost layer as an extension of the response.
impl IntoResponse for Problem {
    fn into_response(self) -> Response {
        let mut response = self.status.into_response();
        response.extensions_mut().insert(self);
        response
    }
}

/// The one JSON shape of an error.
#[derive(Serialize)]
struct ErrorEnvelope<'a> {
    error: ErrorBody<'a>,
}

#[derive(Serialize)]
struct ErrorBody<'a> {
    code: &'a str,
    message: &'a str,
    request_id: &'a str,
    findings: &'a [Finding],
}
