//! `bendproof licenses`: the notices of the libraries the program is built with.

use crate::exit::{Exit, Outcome};
use crate::output;

/// Gathered from the sources of the libraries by a test of the repository.
const NOTICES: &str = include_str!("../../../../NOTICES");

pub fn run(as_json: bool) -> Outcome {
    if as_json {
        output::json(&serde_json::json!({ "notices": NOTICES }));
    } else {
        output::line(NOTICES.trim_end());
    }
    Ok(Exit::Fine)
}
