//! Findings about a file, as JSON.

use bendproof_files::{Finding, Severity};
use serde_json::{Value, json};

/// Findings as JSON.
pub fn findings_json(findings: &[Finding]) -> Value {
    let one = |f: &Finding| {
        json!({
            "severity": if f.severity == Severity::Error { "error" } else { "warning" },
            "path": f.path,
            "line": f.line,
            "message": f.message,
        })
    };
    Value::Array(in_line_order(findings).into_iter().map(one).collect())
}

/// Findings as the reader meets them in the text; those without a line last.
pub fn in_line_order(findings: &[Finding]) -> Vec<&Finding> {
    let mut ordered: Vec<&Finding> = findings.iter().collect();
    ordered.sort_by_key(|f| f.line.unwrap_or(usize::MAX));
    ordered
}
