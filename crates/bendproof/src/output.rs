//! Printing: results to standard output, findings to standard error.

use std::io::Write;
use std::path::Path;

use bendproof_files::{Finding, Severity};
use serde_json::Value;

/// Prints a line of result. A reader that has gone away, as `head` does, is no
/// fault of ours.
pub fn line(text: impl std::fmt::Display) {
    let _ = writeln!(std::io::stdout().lock(), "{text}");
}

/// Prints JSON.
pub fn json(value: &Value) {
    // Printing a `Value` cannot fail; the empty text would fail every reader loudly.
    line(serde_json::to_string_pretty(value).unwrap_or_default());
}

/// Prints findings with file and line.
pub fn findings(path: &Path, findings: &[Finding]) {
    for finding in in_line_order(findings) {
        let grave = if finding.severity == Severity::Error { "" } else { "look: " };
        let at = finding.line.map(|n| format!("{n}:")).unwrap_or_default();
        eprintln!("{}:{at} {grave}{}", path.display(), finding.message);
    }
}

/// Findings as JSON.
pub fn findings_json(findings: &[Finding]) -> Value {
    let one = |f: &Finding| {
        serde_json::json!({
            "severity": if f.severity == Severity::Error { "error" } else { "warning" },
            "path": f.path,
            "line": f.line,
            "message": f.message,
        })
    };
    Value::Array(in_line_order(findings).into_iter().map(one).collect())
}

/// Findings as the reader meets them in the text; those without a line last.
fn in_line_order(findings: &[Finding]) -> Vec<&Finding> {
    let mut ordered: Vec<&Finding> = findings.iter().collect();
    ordered.sort_by_key(|f| f.line.unwrap_or(usize::MAX));
    ordered
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
