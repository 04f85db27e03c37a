//! What is wrong with a user's text: a place, a message, and how grave it is.

/// How grave a finding is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// The document can be used; the reader should look at this.
    Warning,
    /// The value cannot be used.
    Error,
}

/// One thing wrong with a document.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Finding {
    /// How grave it is.
    pub severity: Severity,
    /// Dotted path of the value, `pass.2.volts`; empty for the whole document.
    pub path: String,
    /// 1-based line in the text, when it came from text.
    pub line: Option<usize>,
    /// Names the quantity, the value, the allowed range and the next step.
    pub message: String,
}

impl Finding {
    /// An error at `path`.
    pub fn error(path: impl Into<String>, message: impl Into<String>) -> Self {
        Self { severity: Severity::Error, path: path.into(), line: None, message: message.into() }
    }

    /// A warning at `path`.
    pub fn warning(path: impl Into<String>, message: impl Into<String>) -> Self {
        Self { severity: Severity::Warning, ..Self::error(path, message) }
    }
}

impl std::fmt::Display for Finding {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        if let Some(line) = self.line {
            write!(f, "line {line}: ")?;
        }
        if !self.path.is_empty() {
            write!(f, "{}: ", self.path)?;
        }
        f.write_str(&self.message)
    }
}
