//! The files the page needs, inside the program: styles, scripts, typeface.
//!
//! Everything is embedded, so the page asks no other host and works in a shop
//! without a network. Nothing here is generated while running.

use axum::extract::Path;
use axum::http::header;
use axum::response::{IntoResponse, Response};

use crate::answer::Problem;

/// One embedded file.
struct Asset {
    name: &'static str,
    content_type: &'static str,
    bytes: &'static [u8],
}

const CSS: &str = "text/css; charset=utf-8";
const SCRIPT: &str = "text/javascript; charset=utf-8";
const WOFF2: &str = "font/woff2";

macro_rules! web {
    ($name:literal, $type:expr) => {
        Asset { name: $name, content_type: $type, bytes: include_bytes!(concat!("../web/", $name)) }
    };
}

macro_rules! font {
    ($name:literal) => {
        Asset {
            name: $name,
            content_type: WOFF2,
            bytes: include_bytes!(concat!("../../../assets/fonts/", $name)),
        }
    };
}

const ASSETS: &[Asset] = &[
    web!("tokens.css", CSS),
    web!("page.css", CSS),
    web!("sheet.css", CSS),
    web!("rule.css", CSS),
    web!("section.css", CSS),
    web!("window.css", CSS),
    web!("codes.css", CSS),
    web!("people.css", CSS),
    web!("print.css", CSS),
    web!("bench.js", SCRIPT),
    web!("save.js", SCRIPT),
    web!("morph.js", SCRIPT),
    web!("rule.js", SCRIPT),
    web!("strap.js", SCRIPT),
    web!("section.js", SCRIPT),
    web!("window.js", SCRIPT),
    web!("words.js", SCRIPT),
    web!("mark.svg", "image/svg+xml"),
    font!("BarlowCondensed-Regular.woff2"),
    font!("BarlowCondensed-Medium.woff2"),
    font!("BarlowCondensed-SemiBold.woff2"),
];

/// Serve one embedded file. Scripts and styles are asked for afresh after an
/// update of the program, so they are kept only while the page is open.
pub(crate) async fn asset(Path(name): Path<String>) -> Result<Response, Problem> {
    let asset = ASSETS.iter().find(|asset| asset.name == name).ok_or_else(Problem::absent)?;
    let keep = if asset.content_type == WOFF2 { "max-age=604800" } else { "no-cache" };
    Ok(([(header::CONTENT_TYPE, asset.content_type), (header::CACHE_CONTROL, keep)], asset.bytes)
        .into_response())
}
