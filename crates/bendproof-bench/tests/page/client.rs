//! The bench asked in process, as a browser or a script would ask it.

use std::sync::Arc;

use crate::support::FakeDesk;
use axum::Router;
use axum::body::{Body, to_bytes};
use axum::http::request::Builder;
use axum::http::{HeaderMap, Request, StatusCode, header};
use bendproof_bench::{Settings, router};
use serde_json::Value;
use tower::ServiceExt;

/// The address a browser names.
pub const HOST: &str = "127.0.0.1:4187";
/// Longest answer read, bytes.
const ANSWER_BYTES_MAX: usize = 8 << 20;

/// What came back.
pub struct Answered {
    pub status: StatusCode,
    pub headers: HeaderMap,
    pub text: String,
}

impl Answered {
    pub fn json(&self) -> Value {
        serde_json::from_str(&self.text).unwrap()
    }

    /// A header; empty where there is none.
    pub fn header(&self, name: &str) -> &str {
        self.headers.get(name).map_or("", |value| value.to_str().unwrap())
    }

    /// Where a plain form leads on to.
    pub fn location(&self) -> &str {
        self.header("location")
    }
}

/// A bench over an invented coupon.
pub fn bench() -> Router {
    bench_over(FakeDesk::new())
}

pub fn bench_over(desk: FakeDesk) -> Router {
    router(Arc::new(desk), Settings { run: "test".into(), ..Settings::default() })
}

pub async fn ask(bench: &Router, request: Request<Body>) -> Answered {
    let (parts, body) = bench.clone().oneshot(request).await.unwrap().into_parts();
    let bytes = to_bytes(body, ANSWER_BYTES_MAX).await.unwrap();
    Answered {
        status: parts.status,
        headers: parts.headers,
        text: String::from_utf8_lossy(&bytes).into_owned(),
    }
}

pub async fn get(bench: &Router, path: &str) -> Answered {
    ask(bench, Request::get(path).header(header::HOST, HOST).body(Body::empty()).unwrap()).await
}

pub async fn get_json(bench: &Router, path: &str) -> Answered {
    let request = Request::get(path).header(header::HOST, HOST).header(header::ACCEPT, "application/json");
    ask(bench, request.body(Body::empty()).unwrap()).await
}

/// A posted form, to be given its body and whatever else it carries.
pub fn form(path: &str) -> Builder {
    Request::post(path)
        .header(header::HOST, HOST)
        .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
}

pub fn encoded(pairs: &[(&str, &str)]) -> Body {
    let word = |text: &str| text.bytes().map(|byte| format!("%{byte:02X}")).collect::<String>();
    Body::from(pairs.iter().map(|(k, v)| format!("{}={}", word(k), word(v))).collect::<Vec<_>>().join("&"))
}

pub async fn post(bench: &Router, path: &str, pairs: &[(&str, &str)]) -> Answered {
    ask(bench, form(path).body(encoded(pairs)).unwrap()).await
}

pub async fn post_json(bench: &Router, path: &str, pairs: &[(&str, &str)]) -> Answered {
    ask(bench, form(path).header(header::ACCEPT, "application/json").body(encoded(pairs)).unwrap()).await
}

/// A form as it stands on the wire.
pub async fn post_text(bench: &Router, path: &str, text: &str) -> Answered {
    ask(bench, form(path).body(Body::from(text.to_owned())).unwrap()).await
}

pub async fn post_text_json(bench: &Router, path: &str, text: &str) -> Answered {
    let request = form(path).header(header::ACCEPT, "application/json");
    ask(bench, request.body(Body::from(text.to_owned())).unwrap()).await
}
