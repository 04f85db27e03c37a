//! Reads fields of a document by the catalogue, collecting every fault.

use bendproof_weld::words::spoken;
use std::collections::BTreeSet;

use bendproof_measure::{Bound, MeasureError, Quantity, System, say};
use jiff::civil::Date;

use crate::document::{Document, NONE_FOUND, is_list};
use crate::finding::{Finding, Severity};
use crate::line::character_fault;
use crate::spec::{FileKind, Need, Spec, What};

/// Names that are data, and the day it is: what a reader cannot know by itself.
#[derive(Debug, Clone, Copy)]
pub struct Known<'a> {
    /// Names of steels.
    pub steels: &'a [&'a str],
    /// Ids of codes.
    pub codes: &'a [&'a str],
    /// Ids of codes that judge a weld by eye.
    pub construction: &'a [&'a str],
    /// Today, to refuse dates that have not come yet; `None` skips that check.
    pub today: Option<Date>,
}

/// Reads one document. Each method gives `None` and notes a finding when the
/// text cannot be used, so that all faults are reported at once.
pub struct Reader<'a> {
    kind: &'a FileKind,
    document: &'a Document,
    known: Known<'a>,
    findings: Vec<Finding>,
    noted: BTreeSet<String>,
}

impl<'a> Reader<'a> {
    /// A reader of `document` as a file of `kind`.
    pub fn new(kind: &'a FileKind, document: &'a Document, known: Known<'a>) -> Self {
        Self { kind, document, known, findings: Vec::new(), noted: BTreeSet::new() }
    }

    /// All findings so far, in the order of the document's lines.
    pub fn into_findings(mut self) -> Vec<Finding> {
        self.findings.sort_by_key(|f| (f.line.unwrap_or(usize::MAX), f.path.clone()));
        self.findings
    }

    /// Notes a finding, with its line, once for each path and message.
    pub fn note(&mut self, finding: Finding) {
        if self.noted.insert(format!("{}\n{}", finding.path, finding.message)) {
            let line = self.document.line(&finding.path);
            self.findings.push(Finding { line, ..finding });
        }
    }

    /// Whether anything found so far makes the document unusable.
    pub fn has_error(&self) -> bool {
        self.findings.iter().any(|f| f.severity == Severity::Error)
    }

    /// The kind of file it is read as.
    pub fn kind(&self) -> &'a FileKind {
        self.kind
    }

    /// The document read.
    pub fn document(&self) -> &'a Document {
        self.document
    }

    /// The text at `path`, or its default; a word of a list as the catalogue
    /// spells it.
    pub fn text(&mut self, path: &str) -> Option<&'a str> {
        let spec = self.spec(path)?;
        let text = self.raw(path, spec)?;
        match check_text(spec, text, &self.known) {
            Ok(()) => Some(match spec.what {
                What::Words(words) => words.iter().find(|word| is_word(word, text)).copied().unwrap_or(text),
                _ => text,
            }),
            Err(message) => {
                self.note(Finding::error(path, message));
                None
            }
        }
    }

    /// The quantity at `path`, inside its range.
    pub fn quantity(&mut self, path: &str) -> Option<Quantity> {
        let spec = self.spec(path)?;
        let text = self.raw(path, spec)?;
        match read_quantity(spec, text) {
            Ok(quantity) => Some(quantity),
            Err(message) => {
                self.note(Finding::error(path, message));
                None
            }
        }
    }

    /// The SI value of the quantity at `path`.
    pub fn si(&mut self, path: &str) -> Option<f64> {
        self.quantity(path).map(|q| q.si)
    }

    /// A word turned into its enum by `from_word`.
    pub fn word<T>(&mut self, path: &str, from_word: impl Fn(&str) -> Option<T>) -> Option<T> {
        from_word(self.text(path)?)
    }

    /// A whole number.
    pub fn count(&mut self, path: &str) -> Option<u32> {
        self.text(path)?.trim().parse().ok()
    }

    /// A calendar date.
    pub fn date(&mut self, path: &str) -> Option<Date> {
        self.text(path)?.trim().parse().ok()
    }

    /// Whether anything is written at `path`; blanks state nothing.
    pub fn has(&self, path: &str) -> bool {
        self.written(path).is_some()
    }

    fn written(&self, path: &str) -> Option<&'a str> {
        self.document.get(path).filter(|text| !text.trim().is_empty())
    }

    /// What is said of a field that is not written: `volts is missing; …`.
    pub(crate) fn missing(&mut self, path: &str) -> String {
        self.spec(path).map(|spec| missing(spec, &self.known)).unwrap_or_default()
    }

    fn spec(&mut self, path: &str) -> Option<&'static Spec> {
        let spec = self.kind.spec(path);
        debug_assert!(spec.is_some(), "{path} is not in the catalogue of {}", self.kind.name);
        spec
    }

    fn raw(&mut self, path: &str, spec: &Spec) -> Option<&'a str> {
        match (self.written(path), spec.need) {
            (Some(text), _) => Some(text),
            (None, Need::Default(text)) => Some(text),
            (None, Need::Optional) => None,
            (None, Need::Required) if self.document.is_refused(path) => None,
            (None, Need::Required) => {
                self.note(Finding::error(path, missing(spec, &self.known)));
                None
            }
        }
    }
}

/// Checks one value on its own, before it is kept: the path is a field of the
/// kind, and the text is what that field holds.
///
/// # Errors
/// A finding that names the quantity, the value, what is allowed and the next step.
pub fn check_field(kind: &FileKind, path: &str, text: &str, known: &Known<'_>) -> Result<(), Finding> {
    if is_list(kind, path) && text == NONE_FOUND {
        return Ok(());
    }
    let Some(spec) = kind.spec(path) else {
        let message = format!("`{path}` is not a field of a {} file", kind.name);
        return Err(Finding::error(path, message));
    };
    check_text(spec, text, known).map_err(|message| Finding::error(path, message))
}

fn missing(spec: &Spec, known: &Known<'_>) -> String {
    let how = match spec.what {
        What::Quantity(bound) => {
            format!("enter {}, for example {}", range_words(&bound), bound.example)
        }
        What::PipeSize(bound) => format!("enter {}", size_words(&bound)),
        What::Words(words) => format!("enter one of {}", spoken(&words.join(", "))),
        What::Steel => format!("enter one of {}", known.steels.join(", ")),
        What::Code => format!("enter one of {}", known.codes.join(", ")),
        What::Construction => format!("enter one of {}", known.construction.join(", ")),
        What::Date | What::Day => "enter it as 2026-11-02".to_owned(),
        What::Count(min, max) => format!("enter a whole number, {min} to {max}"),
        What::Text(_) | What::Table => format!("enter the {}", spec.label),
    };
    format!("{} is missing; {how}", spec.label)
}

/// A range in the trade's own units.
fn range_words(bound: &Bound) -> String {
    let print = |si| say(&Quantity { si, kind: bound.kind, system: System::Inch });
    format!("{} to {}", print(bound.min_si), print(bound.max_si))
}

/// A range of pipe sizes, as they are ordered.
fn size_words(bound: &Bound) -> String {
    format!("{}; {}", range_words(bound), bound.next_step)
}

/// Reads a quantity and holds it to its range.
pub(crate) fn read_quantity(spec: &Spec, text: &str) -> Result<Quantity, String> {
    let bound = match spec.what {
        What::Quantity(bound) => bound,
        What::PipeSize(bound) => {
            let size = bendproof_weld::pipe::nominal_size(text);
            let size = size.ok_or_else(|| {
                format!("{} is `{}`; enter {}", spec.label, text.trim(), size_words(&bound))
            })?;
            return bound.check(size).map_err(|e| e.to_string());
        }
        _ => return Err(format!("{} is not a quantity", spec.label)),
    };
    let read = Quantity::parse(bound.kind, text).map_err(|why| why.like(bound.example));
    let quantity = read.map_err(|why| {
        // These alone do not quote the whole text themselves.
        let value = match why {
            MeasureError::Number(_) | MeasureError::UnknownUnit { .. } => format!(" is `{}`", text.trim()),
            _ => String::new(),
        };
        format!("{}{value}: {why}; allowed: {}", spec.label, range_words(&bound))
    })?;
    bound.check(quantity).map_err(|e| e.to_string())
}

/// Checks one text against its spec.
///
/// # Errors
/// A message that names the quantity, the value, what is allowed and the next step.
pub(crate) fn check_text(spec: &Spec, text: &str, known: &Known<'_>) -> Result<(), String> {
    let label = spec.label;
    match spec.what {
        What::Text(max) => {
            let length = text.chars().count();
            if let Some(fault) = character_fault(text) {
                return Err(format!("{label} {fault}"));
            }
            if length > max {
                return Err(format!("{label} has {length} characters; the limit is {max}. Shorten it"));
            }
            Ok(())
        }
        What::Words(words) => one_of(label, text, words),
        What::Steel => one_of(label, text, known.steels),
        What::Code => one_of(label, text, known.codes),
        What::Construction => one_of(label, text, known.construction),
        What::Quantity(_) | What::PipeSize(_) => read_quantity(spec, text).map(|_| ()),
        What::Count(min, max) => match text.trim().parse::<u32>() {
            Ok(n) if (min..=max).contains(&n) => Ok(()),
            _ => Err(format!("{label} is `{text}`; enter a whole number, {min} to {max}")),
        },
        What::Date => check_date(label, text, known.today),
        What::Day => check_date(label, text, None),
        What::Table => Ok(()),
    }
}

/// The first day a file may name. Basis: choice; no code for welding and no
/// welder's test is older.
const FIRST_DAY: Date = jiff::civil::date(1900, 1, 1);

/// Whether a text is this word, whatever its capitals, as a file or as people
/// spell it.
fn is_word(word: &str, text: &str) -> bool {
    spoken(word).eq_ignore_ascii_case(&spoken(text.trim()))
}

fn one_of(label: &str, text: &str, words: &[&str]) -> Result<(), String> {
    if words.iter().any(|word| is_word(word, text)) {
        return Ok(());
    }
    let lower = spoken(&text.to_lowercase());
    // Backwards, so that the first of equals is named.
    let nearest = words.iter().rev().max_by(|a, b| {
        let likeness = |w: &str| strsim::jaro_winkler(&spoken(&w.to_lowercase()), &lower);
        likeness(a).total_cmp(&likeness(b))
    });
    let hint = nearest.map(|w| format!("; did you mean `{}`?", spoken(w))).unwrap_or_default();
    Err(format!("{label} is `{text}`; enter one of {}{hint}", spoken(&words.join(", "))))
}

fn check_date(label: &str, text: &str, today: Option<Date>) -> Result<(), String> {
    let date: Date = text
        .trim()
        .parse()
        .map_err(|_| format!("{label} is `{text}`, not a calendar date; enter it as 2026-11-02"))?;
    match today {
        _ if date < FIRST_DAY => Err(format!(
            "{label} is {date}, before {FIRST_DAY}; enter the year with four digits, for example 2026-11-02"
        )),
        Some(today) if date > today => {
            Err(format!("{label} is {date}, after today, {today}; enter the date it happened"))
        }
        _ => Ok(()),
    }
}
