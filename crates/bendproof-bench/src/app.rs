//! The router and its limits.

use std::hash::{BuildHasher, RandomState};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::middleware::from_fn_with_state;
use axum::routing::{get, post};
use tower_http::CompressionLevel;
use tower_http::compression::CompressionLayer;
use tower_http::compression::predicate::{DefaultPredicate, NotForContentType, Predicate, SizeAbove};

use crate::answer::Problem;
use crate::assets::asset;
use crate::desk::{Desk, Paper, RecordOf, SharedDesk};
use crate::guard::guard;
use crate::{
    codes, coupon, finder, history, joint_ask, pages, people, procedure_ask, procedures, records, section,
    window,
};

/// Largest posted form. The sheet's own form is a tenth of this; an upload of
/// megabytes is refused before it is read. Basis: choice.
pub const BODY_KIB_MAX: usize = 256;

/// Shortest answer that is compressed, bytes. Basis: choice, one packet.
const COMPRESSED_BYTES_MIN: u64 = 1024;

/// What a bench may be asked to do.
#[derive(Debug, Clone, Default)]
pub struct Settings {
    /// Host names other than the loopback names under which the bench answers,
    /// without port.
    pub hosts: Vec<String>,
    /// Distinguishes the form tokens of this run from those of earlier runs.
    pub run: String,
}

impl Settings {
    /// Settings for a bench on this machine only, with a fresh run mark.
    pub fn loopback() -> Self {
        // The standard library seeds its hasher from the system's randomness;
        // a run mark needs to be new, not secret.
        Self { hosts: Vec::new(), run: format!("{:016x}", RandomState::new().hash_one(0_u8)) }
    }
}

/// What every handler holds.
#[derive(Clone)]
pub(crate) struct Bench {
    pub desk: SharedDesk,
    settings: Arc<Settings>,
    forms: Arc<AtomicU64>,
}

impl Bench {
    pub(crate) fn hosts(&self) -> &[String] {
        &self.settings.hosts
    }

    /// A token for one rendered form, so that a double press is kept once.
    pub(crate) fn form_token(&self) -> String {
        format!("{}-{}", self.settings.run, self.forms.fetch_add(1, Ordering::Relaxed))
    }
}

/// Answers with text of some length go out compressed where the client can read
/// that; the fastest level, since the way is short and the two cores are busy.
fn compression() -> CompressionLayer<impl Predicate> {
    let worth = SizeAbove::new(COMPRESSED_BYTES_MIN).and(DefaultPredicate::new());
    let done = NotForContentType::const_new("application/pdf").and(NotForContentType::const_new("font/"));
    CompressionLayer::new().quality(CompressionLevel::Fastest).compress_when(worth.and(done))
}

/// The bench as a router, for serving and for tests.
pub fn router(desk: Arc<dyn Desk>, settings: Settings) -> Router {
    let bench = Bench { desk, settings: Arc::new(settings), forms: Arc::new(AtomicU64::new(1)) };
    Router::new()
        .route("/", get(pages::coupons))
        .route("/coupons.json", get(pages::coupons_json))
        .route("/coupon", post(coupon::create))
        .route("/coupon/{number}", get(coupon::show))
        .route("/coupon/{number}/change", post(coupon::change))
        .route("/coupon/{number}/preview", post(coupon::preview))
        .route("/coupon/{number}/row", post(coupon::row))
        .route("/coupon/{number}/undo", post(coupon::undo))
        .route("/coupon/{number}/stamp", post(coupon::stamp))
        .route("/coupon/{number}/file/{kind}", get(coupon::file))
        .route("/coupon/{number}/section", get(section::show).post(section::show))
        .route("/coupon/{number}/section.json", get(section::twin))
        .route("/coupon/{number}/section/film", get(section::film))
        .route("/coupon/{number}/section/file/{kind}", get(section::file))
        .route("/coupon/{number}/history", get(history::show))
        .route("/coupon/{number}/history.json", get(history::twin))
        .route("/coupon/{number}/codes", get(codes::show))
        .route("/coupon/{number}/codes.json", get(codes::twin))
        .merge(records::routes(RecordOf::Coupon))
        .merge(records::routes(RecordOf::Procedure))
        .route("/record/{id}/{revision}/{kind}", get(records::file))
        .route("/coupon/{number}/window", get(window::show))
        .route("/coupon/{number}/window.json", get(window::twin))
        .route("/coupon/{number}/window/place", get(window::place))
        .route("/coupon/{number}/window/chance", get(window::chance))
        .route("/coupon/{number}/window/set", post(window::set))
        .route("/coupon/{number}/window/undo", post(window::undo))
        .route("/coupon/{number}/window/file/{kind}", get(window::file))
        .route("/finder", get(finder::show))
        .route("/finder.json", get(finder::twin))
        .route("/welders", get(people::welders))
        .route("/welders.json", get(people::welders_json))
        .route("/welder", post(people::add))
        .route("/welder/{id}", get(people::welder))
        .route("/welder/{id}/use", post(people::log_use))
        .merge(people::record_routes(Paper::Letter))
        .merge(people::record_routes(Paper::A4))
        .route("/welder/{id}/ask", get(joint_ask::show))
        .route("/welder/{id}/ask.json", get(joint_ask::twin))
        .route("/procedures", get(procedures::list))
        .route("/procedures.json", get(procedures::list_json))
        .route("/procedure", post(procedures::create))
        .route("/procedure/{number}", get(procedures::show))
        .route("/procedure/{number}/change", post(procedures::change))
        .route("/procedure/{number}/undo", post(procedures::undo))
        .route("/procedure/{number}/ask", get(procedure_ask::show))
        .route("/procedure/{number}/ask.json", get(procedure_ask::twin))
        .route("/procedure/{number}/file/{part}", get(procedures::file))
        .route("/rule/{*id}", get(pages::rule))
        .route("/about", get(pages::about))
        .route("/about.json", get(pages::about_json))
        .route("/patterns", get(crate::patterns::patterns))
        .route("/patterns.json", get(crate::patterns::patterns_json))
        .route("/who", get(pages::who).post(pages::set_who))
        .route("/look", post(pages::set_look))
        .route("/clock", post(pages::confirm_clock))
        .route("/web/{name}", get(asset))
        .fallback(async || Problem::absent())
        .method_not_allowed_fallback(async || Problem::method())
        .layer(DefaultBodyLimit::max(BODY_KIB_MAX * 1024))
        .layer(from_fn_with_state(bench.clone(), guard))
        .layer(compression())
        .with_state(bench)
}
