//! What every request passes before a handler sees it, and what every answer
//! carries: host and origin checks, the request id, the security headers.
//!
//! The bench has no passwords because only this machine reaches it. A foreign
//! page could still make a browser ask it things, so the host name and, for
//! changes, the origin are checked.

use std::sync::atomic::{AtomicU64, Ordering};

use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderValue, Method, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use crate::answer::Problem;
use crate::app::Bench;
use crate::visitor::Visitor;

/// Nothing but our own files: no inline script or style, no other host.
const CONTENT_SECURITY_POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; \
     font-src 'self'; img-src 'self'; connect-src 'self'; form-action 'self'; base-uri 'none'; \
     frame-ancestors 'none'";

const HEADERS: [(&str, &str); 5] = [
    ("content-security-policy", CONTENT_SECURITY_POLICY),
    ("x-content-type-options", "nosniff"),
    ("referrer-policy", "same-origin"),
    ("cross-origin-opener-policy", "same-origin"),
    ("cross-origin-resource-policy", "same-origin"),
];

/// Names under which a loopback bench is asked for.
const LOOPBACK_NAMES: [&str; 3] = ["127.0.0.1", "localhost", "[::1]"];

static REQUESTS: AtomicU64 = AtomicU64::new(1);

/// The outermost layer.
pub(crate) async fn guard(State(bench): State<Bench>, request: Request, next: Next) -> Response {
    let request_id = format!("r{:06}", REQUESTS.fetch_add(1, Ordering::Relaxed));
    let wants_json = wants_json(&request);
    let (mut parts, body) = request.into_parts();
    parts.extensions.insert(bench.desk.notices());
    let visitor = Visitor::from_parts(&parts);
    let verdict = check(&bench, &parts.method, &parts.headers);
    let answer = match verdict {
        Ok(()) => next.run(Request::from_parts(parts, body)).await,
        Err(problem) => problem.into_response(),
    };
    let mut answer = match answer.extensions().get::<Problem>() {
        Some(problem) => problem.render(&visitor, wants_json, &request_id),
        None => answer,
    };
    let headers = answer.headers_mut();
    for (name, value) in HEADERS {
        headers.insert(name, HeaderValue::from_static(value));
    }
    // A coupon is somebody's record: shared caches must not keep it. Files of
    // the program set their own rule.
    headers.entry(header::CACHE_CONTROL).or_insert(HeaderValue::from_static("no-store"));
    if let Ok(value) = HeaderValue::from_str(&request_id) {
        headers.insert("x-request-id", value);
    }
    answer
}

fn check(bench: &Bench, method: &Method, headers: &HeaderMap) -> Result<(), Problem> {
    let host = headers.get(header::HOST).and_then(|value| value.to_str().ok()).unwrap_or_default();
    // Names of hosts are the same in capitals.
    let name = host_name(host).to_ascii_lowercase();
    let is_known = LOOPBACK_NAMES.contains(&name.as_str())
        || bench.hosts().iter().any(|known| known.eq_ignore_ascii_case(&name));
    if !is_known {
        return Err(Problem::host());
    }
    if method == Method::GET || method == Method::HEAD || is_same_origin(host, headers) {
        Ok(())
    } else {
        Err(Problem::origin())
    }
}

/// Browsers name the origin of every form they post. A request without an
/// origin comes from a program on this machine, which needs no trick to write.
fn is_same_origin(host: &str, headers: &HeaderMap) -> bool {
    let word = |name: &str| headers.get(name).map(|value| value.to_str().unwrap_or_default());
    match (word("origin"), word("sec-fetch-site")) {
        (Some(origin), _) => {
            origin.strip_prefix("http://").is_some_and(|rest| rest.eq_ignore_ascii_case(host))
        }
        (None, Some(site)) => site == "same-origin" || site == "none",
        (None, None) => true,
    }
}

/// The host without its port; an IPv6 address keeps its brackets.
fn host_name(host: &str) -> &str {
    match host.rsplit_once(':') {
        Some((name, port)) if port.bytes().all(|b| b.is_ascii_digit()) => name,
        _ => host,
    }
}

/// Whether the client asked for JSON, by the address or by what it accepts.
pub(crate) fn wants_json(request: &Request) -> bool {
    request.uri().path().ends_with(".json") || accepts_json(request.headers())
}

/// Whether the client accepts JSON rather than a page.
pub(crate) fn accepts_json(headers: &HeaderMap) -> bool {
    let accept = headers.get(header::ACCEPT).and_then(|value| value.to_str().ok()).unwrap_or_default();
    accept.contains("application/json") && !accept.contains("text/html")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ports_fall_off_and_brackets_stay() {
        assert_eq!(host_name("127.0.0.1:4187"), "127.0.0.1");
        assert_eq!(host_name("[::1]:80"), "[::1]");
        assert_eq!(host_name("[::1]"), "[::1]");
        assert_eq!(host_name("localhost"), "localhost");
    }

    #[test]
    fn a_look_alike_host_is_foreign() {
        assert!(!LOOPBACK_NAMES.contains(&host_name("127.0.0.1.evil.example:80")));
    }
}
