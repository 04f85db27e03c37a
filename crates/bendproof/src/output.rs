//! Printing: results to standard output, findings to standard error.
//!
//! A text from a file may hold anything. What a terminal would obey, or what
//! turns the direction of writing, is shown as its number instead.

use std::borrow::Cow;
use std::io::{ErrorKind, Write};
use std::path::Path;
use std::sync::OnceLock;

use bendproof_files::{Finding, Severity, turns_reading};
use serde_json::Value;

/// Why results did not arrive, once it happened.
static LOST: OnceLock<String> = OnceLock::new();

/// Says on standard error what is no result: notes, warnings, errors.
macro_rules! say {
    ($($text:tt)*) => { $crate::output::say_text(&format!($($text)*)) };
}
pub(crate) use say;

/// What [`say!`] calls. A terminal that has gone away is no fault of ours.
pub fn say_text(text: &str) {
    let _ = writeln!(std::io::stderr().lock(), "{}", shown(text, |c| format!("\\u{{{:x}}}", c as u32)));
}

/// Prints a line of result.
pub fn line(text: impl std::fmt::Display) {
    print(&shown(&text.to_string(), |c| format!("\\u{{{:x}}}", c as u32)));
}

/// Prints JSON.
pub fn json(value: &Value) {
    // Printing a `Value` cannot fail; the empty text would fail every reader loudly.
    let text = serde_json::to_string_pretty(value).unwrap_or_default();
    print(&shown(&text, |c| format!("\\u{:04x}", c as u32)));
}

/// What was printed that did not arrive, and why; a reader that has gone away,
/// as `head` does, is no fault of ours.
pub fn lost() -> Option<&'static str> {
    if let Err(why) = std::io::stdout().flush() {
        note_loss(&why);
    }
    LOST.get().map(String::as_str)
}

fn print(text: &str) {
    if let Err(why) = writeln!(std::io::stdout().lock(), "{text}") {
        note_loss(&why);
    }
}

fn note_loss(why: &std::io::Error) {
    if why.kind() != ErrorKind::BrokenPipe {
        // The first reason is the true one.
        let _ = LOST.set(why.to_string());
    }
}

/// The text with every character written out that a terminal would obey.
fn shown(text: &str, written: impl Fn(char) -> String) -> Cow<'_, str> {
    let is_obeyed = |c: char| (c.is_control() && c != '\n' && c != '\t') || turns_reading(c);
    if !text.contains(is_obeyed) {
        return Cow::Borrowed(text);
    }
    Cow::Owned(text.chars().map(|c| if is_obeyed(c) { written(c) } else { c.to_string() }).collect())
}

/// Prints findings with file and line.
pub fn findings(path: &Path, findings: &[Finding]) {
    for finding in bendproof_contract::in_line_order(findings) {
        let grave = if finding.severity == Severity::Error { "" } else { "warning: " };
        let at = finding.line.map(|n| format!("{n}:")).unwrap_or_default();
        say!("{}:{at} {grave}{}", path.display(), finding.message);
    }
}

/// A failure in the form of findings, so that a script reads one form only.
pub fn failure_json(message: &str) -> Value {
    let one = serde_json::json!({ "severity": "error", "path": "", "line": null, "message": message });
    serde_json::json!({ "findings": [one] })
}

/// Where the numbers printed come from: what, basis, source.
pub fn sources(rows: Vec<[String; 3]>) {
    line("\nwhere the numbers come from");
    table(&rows.into_iter().map(Vec::from).collect::<Vec<_>>());
}

/// Columns with two spaces between, the last one unpadded.
pub fn table(rows: &[Vec<String>]) {
    let columns = rows.iter().map(Vec::len).max().unwrap_or(0);
    let width = |c: usize| rows.iter().filter_map(|r| r.get(c)).map(|t| t.chars().count()).max().unwrap_or(0);
    let widths: Vec<usize> = (0..columns).map(width).collect();
    for row in rows {
        let cells: Vec<String> = row
            .iter()
            .enumerate()
            .map(
                |(c, text)| {
                    if c + 1 == row.len() { text.clone() } else { format!("{text:<w$}", w = widths[c]) }
                },
            )
            .collect();
        line(cells.join("  ").trim_end());
    }
}
