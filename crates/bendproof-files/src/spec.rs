//! One field of a file, described once.

use bendproof_measure::Bound;

/// What a field holds.
#[derive(Debug, Clone, Copy)]
pub enum What {
    /// Free text up to so many characters.
    Text(usize),
    /// One of a fixed list of words.
    Words(&'static [&'static str]),
    /// A name from a list that is data: steels.
    Steel,
    /// A name from a list that is data: codes and editions.
    Code,
    /// A name from a list that is data: codes that judge a weld by eye.
    Construction,
    /// A quantity with its range.
    Quantity(Bound),
    /// A pipe size as it is ordered, with its range in nominal inches.
    PipeSize(Bound),
    /// A whole number from, to.
    Count(u32, u32),
    /// A calendar date, not in the future.
    Date,
    /// A calendar date that may lie ahead.
    Day,
    /// A table whose fields are described elsewhere.
    Table,
}

/// Whether a field may be left out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Need {
    /// Must be written.
    Required,
    /// This text stands when nothing is written.
    Default(&'static str),
    /// May be left out, and is then not known.
    Optional,
}

/// One field.
#[derive(Debug, Clone, Copy)]
pub struct Spec {
    /// Dotted path; `#` stands for the number of a row: `pass.#.volts`, and `*`
    /// for a name of the writer's own: `probes.*.#`.
    pub path: &'static str,
    /// The trade's name for it.
    pub label: &'static str,
    /// What it holds.
    pub what: What,
    /// Whether it may be left out.
    pub need: Need,
    /// One sentence for the reader who asks.
    pub doc: &'static str,
}

/// One kind of file.
#[derive(Debug, Clone, Copy)]
pub struct FileKind {
    /// Word for it: `coupon`, `bends`, `record`, `heat`, `procedure`.
    pub name: &'static str,
    /// What the file is, for the schema.
    pub doc: &'static str,
    /// Its fields in the order they print.
    pub specs: &'static [Spec],
}

impl FileKind {
    /// The spec of a concrete path such as `pass.2.volts`.
    pub fn spec(&self, path: &str) -> Option<&'static Spec> {
        let generic = generic_path(path);
        // Nearly every path is a field's own; only where none is are names of the
        // writer's own looked for, which costs some twenty times as much.
        let own = self.specs.iter().find(|s| s.path == generic);
        own.or_else(|| self.specs.iter().find(|s| fits(s.path, &generic)))
    }

    /// The known path most like an unknown one, if any is near enough to help.
    pub fn nearest(&self, path: &str) -> Option<&'static str> {
        let generic = generic_path(path);
        self.specs
            .iter()
            .map(|s| (likeness(s.path, &generic), s.path))
            .max_by(|a, b| a.0.total_cmp(&b.0))
            .filter(|(likeness, _)| *likeness > NEAR_ENOUGH)
            .map(|(_, path)| path)
    }
}

/// Sum of two likenesses (0 to 1 each) above which a suggestion helps more than
/// it distracts. Chosen by trying the misspellings in the tests.
const NEAR_ENOUGH: f64 = 1.6;

/// How like a generic path is to a field's: the whole and the last name count
/// the same. Where the last name is the writer's own, the names before it count
/// twice.
fn likeness(field: &str, generic: &str) -> f64 {
    match field.split_once(".*") {
        Some((section, _)) if field.split('.').count() == generic.split('.').count() => {
            2.0 * strsim::jaro_winkler(section, generic.split('.').next().unwrap_or(generic))
        }
        Some(_) => 0.0,
        None => {
            strsim::jaro_winkler(field, generic) + strsim::jaro_winkler(last_part(field), last_part(generic))
        }
    }
}

/// The last name of a path; the values of a list have that of the list.
fn last_part(path: &str) -> &str {
    let path = path.strip_suffix(".#").unwrap_or(path);
    path.rsplit('.').next().unwrap_or(path)
}

/// Whether a generic path is one of a field's: part by part, `*` standing for
/// any name.
pub(crate) fn fits(field: &str, generic: &str) -> bool {
    if !field.contains('*') {
        return field == generic;
    }
    let (mut parts, mut asked) = (field.split('.'), generic.split('.'));
    loop {
        match (parts.next(), asked.next()) {
            (None, None) => return true,
            (Some("*"), Some(name)) if name != "#" => {}
            (Some(part), Some(name)) if part == name => {}
            _ => return false,
        }
    }
}

/// `pass.2.volts` becomes `pass.#.volts`.
pub fn generic_path(path: &str) -> String {
    let is_row = |part: &str| !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit());
    if !path.bytes().any(|b| b.is_ascii_digit()) {
        return path.to_owned();
    }
    path.split('.').map(|part| if is_row(part) { "#" } else { part }).collect::<Vec<_>>().join(".")
}
