//! A document as flat text values by dotted path, and its TOML form.
//!
//! The shop keeps the same flat values, so a coupon file and a coupon in the
//! shop are read by the same code.

use std::collections::{BTreeMap, BTreeSet};

use toml::de::{DeTable, DeValue};

use crate::finding::Finding;
use crate::spec::{FileKind, fits, generic_path};

/// Largest text read as one document. A full coupon with log and straps is some
/// 10 kB; the limit keeps a wrong file from being parsed at all.
pub const DOCUMENT_TEXT_MAX_BYTES: usize = 256 * 1024;

/// Most values of one document: what the shop keeps of one, five times over, for
/// a welder whose every day of use is listed (choice).
const VALUES_MAX: usize = 20_000;
/// Most rows of one list (choice: a coupon has some ten passes and straps, a
/// welder some hundred days of use a year).
const ROWS_MAX: usize = 4_000;

/// What an empty list is kept as: looked for, none found.
pub const NONE_FOUND: &str = "none";

/// Flat text values by dotted path; rows are numbered from 1.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Document {
    values: BTreeMap<String, String>,
    lines: BTreeMap<String, usize>,
    /// Keys whose values are no TOML, and were refused as such.
    refused: BTreeSet<String>,
}

impl Document {
    /// A document from values kept elsewhere; no line numbers.
    pub fn from_values(values: BTreeMap<String, String>) -> Self {
        Self { values, ..Self::default() }
    }

    /// Reads TOML text. Every fault found is reported; what could be read is kept.
    pub fn from_toml(kind: &FileKind, text: &str) -> (Self, Vec<Finding>) {
        if text.len() > DOCUMENT_TEXT_MAX_BYTES {
            let message = format!(
                "the file has {} bytes; the limit is 1 to {DOCUMENT_TEXT_MAX_BYTES}. Check that it is a {} file",
                text.len(),
                kind.name
            );
            return (Self::default(), vec![Finding::error("", message)]);
        }
        let (table, errors) = DeTable::parse_recoverable(text);
        let mut findings: Vec<Finding> = errors.iter().map(|e| syntax_finding(text, e)).collect();
        let mut document = Self { refused: refused_keys(text, &errors), ..Self::default() };
        let lines = LineStarts::of(text);
        document.take_table(table.get_ref(), "", &lines, &mut findings);
        if document.values.len() > VALUES_MAX {
            let message = format!(
                "the file has {} values; the limit is {VALUES_MAX}. Split the file",
                document.values.len()
            );
            return (Self::default(), vec![Finding::error("", message)]);
        }
        findings.extend(document.unknown_paths(kind));
        findings.sort_by_key(|f| f.line.unwrap_or(usize::MAX));
        (document, findings)
    }

    /// The text at `path`.
    pub fn get(&self, path: &str) -> Option<&str> {
        self.values.get(path).map(String::as_str)
    }

    /// Whether something is written at a path of this name that is no TOML: it has
    /// been refused already and is not missing.
    pub(crate) fn is_refused(&self, path: &str) -> bool {
        path.rsplit('.').next().is_some_and(|name| self.refused.contains(name))
    }

    /// All values in path order.
    pub fn values(&self) -> &BTreeMap<String, String> {
        &self.values
    }

    /// The line a path was read from; of a value that is not written, the line
    /// its row or section starts at.
    pub fn line(&self, path: &str) -> Option<usize> {
        let parents = path.rmatch_indices('.').map(|(end, _)| &path[..end]);
        std::iter::once(path).chain(parents).find_map(|p| self.lines.get(p).copied())
    }

    /// Sets or removes one value.
    pub fn set(&mut self, path: &str, value: Option<&str>) {
        match value {
            Some(text) => self.values.insert(path.to_owned(), text.to_owned()),
            None => self.values.remove(path),
        };
        self.lines.remove(path);
    }

    /// The row numbers under `prefix`, ascending: `pass` gives 1, 2, 3 …
    pub fn rows(&self, prefix: &str) -> Vec<usize> {
        let start = format!("{prefix}.");
        // Keys are in order, so those of one list stand together.
        self.values
            .range(start.clone()..)
            .map_while(|(k, _)| k.strip_prefix(&start))
            .filter_map(|rest| rest.split('.').next()?.parse().ok())
            .collect::<BTreeSet<usize>>()
            .into_iter()
            .collect()
    }

    /// The rows of a list that somebody looked for: `None` where nobody did,
    /// empty where none was found.
    pub fn found(&self, list: &str) -> Option<Vec<usize>> {
        let rows = self.rows(list);
        (!rows.is_empty() || self.get(list) == Some(NONE_FOUND)).then_some(rows)
    }

    /// Prints TOML with the fields in catalogue order. Reading it back gives the
    /// same document, rows renumbered without gaps.
    pub fn to_toml(&self, kind: &FileKind) -> String {
        let mut out = String::new();
        self.write_scalars(kind, "", &mut out);
        for section in sections(kind) {
            if kind.specs.iter().any(|s| s.path.starts_with(&format!("{section}.#."))) {
                for row in self.rows(&section) {
                    out.push_str(&format!("\n[[{section}]]\n"));
                    self.write_scalars(kind, &format!("{section}.{row}"), &mut out);
                    self.write_lists(kind, &format!("{section}.{row}"), &mut out);
                }
            } else if self.values.keys().any(|k| k.starts_with(&format!("{section}."))) {
                out.push_str(&format!("\n[{section}]\n"));
                self.write_scalars(kind, &section, &mut out);
            }
        }
        out
    }

    fn write_scalars(&self, kind: &FileKind, prefix: &str, out: &mut String) {
        for spec in kind.specs {
            let Some(name) = own_name(spec.path, &generic_path(prefix)) else { continue };
            let path = if prefix.is_empty() { name.to_owned() } else { format!("{prefix}.{name}") };
            if let Some(text) = self.get(&path) {
                out.push_str(&format!("{name} = {}\n", quoted(text)));
            }
        }
        self.write_value_lists(kind, prefix, out);
    }

    /// Lists of plain values: `positions = ["3G", "4G"]`.
    fn write_value_lists(&self, kind: &FileKind, prefix: &str, out: &mut String) {
        let lists = kind.specs.iter().filter_map(|s| s.path.strip_suffix(".#"));
        for name in lists.filter_map(|list| own_name(list, &generic_path(prefix))) {
            for name in self.written_names(prefix, name) {
                let list = if prefix.is_empty() { name.to_owned() } else { format!("{prefix}.{name}") };
                let rows = self.rows(&list);
                let items: Vec<String> =
                    rows.iter().filter_map(|row| self.get(&format!("{list}.{row}"))).map(quoted).collect();
                if !items.is_empty() || self.get(&list) == Some(NONE_FOUND) {
                    out.push_str(&format!("{} = [{}]\n", key(name), items.join(", ")));
                }
            }
        }
    }

    /// The name itself; for `*` all names written under `prefix`.
    fn written_names<'a>(&'a self, prefix: &str, name: &'a str) -> BTreeSet<&'a str> {
        if name != "*" {
            return BTreeSet::from([name]);
        }
        let start = format!("{prefix}.");
        self.values.keys().filter_map(|k| k.strip_prefix(&start)?.split('.').next()).collect()
    }

    /// Lists of small tables inside a row: `openings = [ { … } ]`.
    fn write_lists(&self, kind: &FileKind, prefix: &str, out: &mut String) {
        let generic = format!("{}.", generic_path(prefix));
        let lists: BTreeSet<&str> = kind
            .specs
            .iter()
            .filter_map(|s| s.path.strip_prefix(&generic)?.split_once(".#.").map(|(list, _)| list))
            .collect();
        for list in lists {
            let path = format!("{prefix}.{list}");
            let rows = self.rows(&path);
            if rows.is_empty() {
                if self.get(&path) == Some(NONE_FOUND) {
                    out.push_str(&format!("{list} = []\n"));
                }
                continue;
            }
            out.push_str(&format!("{list} = [\n"));
            for row in rows {
                let start = format!("{path}.{row}.");
                let items: Vec<String> = self
                    .values
                    .iter()
                    .filter_map(|(k, v)| Some(format!("{} = {}", k.strip_prefix(&start)?, quoted(v))))
                    .collect();
                out.push_str(&format!("  {{ {} }},\n", items.join(", ")));
            }
            out.push_str("]\n");
        }
    }

    fn take_table(&mut self, table: &DeTable<'_>, prefix: &str, lines: &LineStarts, out: &mut Vec<Finding>) {
        for (key, value) in table.iter() {
            let (name, line) = (key.get_ref(), lines.line_of(key.span().start));
            let path = if prefix.is_empty() { name.to_string() } else { format!("{prefix}.{name}") };
            // Such a key would pass for a path or a row that was written elsewhere.
            if name.contains('.') || name.bytes().all(|b| b.is_ascii_digit()) {
                let message = format!(
                    "`{name}` is not a field; write rows as [[pass]], and a field under its own section"
                );
                out.push(Finding { line: Some(line), ..Finding::error(path, message) });
                continue;
            }
            self.take_value(value.get_ref(), &path, line, lines, out);
        }
    }

    fn take_value(
        &mut self,
        value: &DeValue<'_>,
        path: &str,
        line: usize,
        lines: &LineStarts,
        out: &mut Vec<Finding>,
    ) {
        let text = match value {
            DeValue::Table(table) => {
                self.lines.insert(path.to_owned(), line);
                if table.is_empty() && is_row(path) {
                    let message = "this row is empty; fill it in or remove it";
                    out.push(Finding { line: Some(line), ..Finding::error(path, message) });
                }
                return self.take_table(table, path, lines, out);
            }
            DeValue::Array(array) if array.is_empty() => NONE_FOUND.to_owned(),
            DeValue::Array(array) => {
                self.lines.insert(path.to_owned(), line);
                if array.len() > ROWS_MAX {
                    let message =
                        format!("`{path}` has {} rows; the limit is {ROWS_MAX}. Split the file", array.len());
                    out.push(Finding { line: Some(line), ..Finding::error(path, message) });
                    return;
                }
                for (index, item) in array.iter().enumerate() {
                    let at = lines.line_of(item.span().start);
                    self.take_value(item.get_ref(), &format!("{path}.{}", index + 1), at, lines, out);
                }
                return;
            }
            DeValue::String(text) => text.to_string(),
            DeValue::Integer(number) => number.to_string(),
            DeValue::Float(number) => number.to_string(),
            DeValue::Datetime(date) => date.to_string(),
            DeValue::Boolean(_) => {
                let message = "true and false are not used here; enter one of the words of this field";
                out.push(Finding { line: Some(line), ..Finding::error(path, message) });
                return;
            }
        };
        self.lines.insert(path.to_owned(), line);
        self.values.insert(path.to_owned(), text);
    }

    fn unknown_paths(&self, kind: &FileKind) -> Vec<Finding> {
        self.values
            .iter()
            .filter(|(path, text)| {
                let is_empty_list = text.as_str() == NONE_FOUND && is_list(kind, path);
                kind.spec(path).is_none() && !is_empty_list
            })
            .map(|(path, _)| Finding { line: self.line(path), ..unknown(kind, path) })
            .collect()
    }
}

fn unknown(kind: &FileKind, path: &str) -> Finding {
    if kind.spec(&format!("{path}.1")).is_some() {
        let message = format!("`{path}` is a list; put its values in brackets, for example [\"…\", \"…\"]");
        return Finding::error(path, message);
    }
    let hint = match kind.nearest(path) {
        Some(known) => format!("did you mean `{known}`?"),
        None => format!("see the fields of a {} file", kind.name),
    };
    Finding::error(path, format!("`{path}` is not a field of a {} file; {hint}", kind.name))
}

/// Whether a path names a list, of rows or of plain values, rather than a value.
pub(crate) fn is_list(kind: &FileKind, path: &str) -> bool {
    let list = format!("{}.#", generic_path(path));
    let depth = list.split('.').count();
    let head = |field: &str| field.split('.').take(depth).collect::<Vec<_>>().join(".");
    kind.specs.iter().any(|s| fits(&head(s.path), &list))
}

/// Whether a path ends in the number of a row.
fn is_row(path: &str) -> bool {
    generic_path(path).ends_with(".#")
}

/// The first parts of all paths with a dot, in catalogue order; lists of plain
/// values are no sections.
fn sections(kind: &FileKind) -> Vec<String> {
    let mut seen = Vec::new();
    for spec in kind.specs {
        if let Some((section, rest)) = spec.path.split_once('.')
            && rest != "#"
            && !seen.iter().any(|s| s == section)
        {
            seen.push(section.to_owned());
        }
    }
    seen
}

/// The last part of `path` when the rest is exactly `prefix`.
fn own_name<'a>(path: &'a str, prefix: &str) -> Option<&'a str> {
    let name = if prefix.is_empty() { path } else { path.strip_prefix(prefix)?.strip_prefix('.')? };
    (!name.contains('.')).then_some(name)
}

/// A TOML key, in quotes where it must be.
fn key(name: &str) -> String {
    let is_bare = |b: u8| b.is_ascii_alphanumeric() || b == b'_' || b == b'-';
    if !name.is_empty() && name.bytes().all(is_bare) { name.to_owned() } else { quoted(name) }
}

/// A TOML basic string. The library writes it, so every control character and
/// quote is escaped by its rules.
fn quoted(text: &str) -> String {
    toml::Value::String(text.to_owned()).to_string()
}

/// The keys that stand on lines with a fault.
fn refused_keys(text: &str, errors: &[toml::de::Error]) -> BTreeSet<String> {
    let key = |error: &toml::de::Error| {
        let before = text.get(..error.span()?.start)?;
        let line = before.rsplit('\n').next()?;
        Some(line.split_once('=')?.0.trim().to_owned())
    };
    errors.iter().filter_map(key).collect()
}

fn syntax_finding(text: &str, error: &toml::de::Error) -> Finding {
    let line = error.span().map(|span| LineStarts::of(text).line_of(span.start));
    Finding { line, ..Finding::error("", format!("the text is not TOML here: {}", error.message())) }
}

/// Byte offsets at which lines start.
struct LineStarts(Vec<usize>);

impl LineStarts {
    fn of(text: &str) -> Self {
        Self(std::iter::once(0).chain(text.match_indices('\n').map(|(at, _)| at + 1)).collect())
    }

    /// 1-based line that holds a byte offset.
    fn line_of(&self, offset: usize) -> usize {
        self.0.partition_point(|start| *start <= offset)
    }
}
