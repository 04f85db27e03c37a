//! Straps and openings as text becomes values, for a bends file and for a
//! coupon alike. Which openings matter is the rule engine's business.

use std::collections::BTreeMap;

use bendproof_measure::Quantity;

use crate::contradictions::strap_fits;
use crate::finding::Finding;
use crate::reader::Reader;

/// One strap as written.
#[derive(Debug, Clone, PartialEq)]
pub struct StrapText {
    /// 1-based row in the document.
    pub row: usize,
    /// The mark stamped on it; `None` while nobody wrote it on a coupon's sheet.
    pub id: Option<String>,
    /// `face`, `root` or `side`; `None` while nobody wrote it on a coupon's sheet.
    pub kind: Option<String>,
    /// Thickness, if written.
    pub thickness: Option<Quantity>,
    /// Pipe wall, if written.
    pub wall: Option<Quantity>,
    /// Whether weld and heat-affected zone lie wholly within the bent part, if
    /// written.
    pub weld_in_bend: Option<bool>,
    /// `None`: nobody has looked yet. Empty: looked, none found.
    pub openings: Option<Vec<OpeningText>>,
}

impl StrapText {
    /// Its mark; while it has none, its place in the list: `no. 3`.
    pub fn name(&self) -> String {
        self.id.clone().unwrap_or_else(|| format!("no. {}", self.row))
    }

    /// What nobody stated and its verdict hangs on, in words.
    pub fn not_stated(&self) -> Option<&'static str> {
        match (&self.kind, &self.id) {
            (Some(_), Some(_)) => None,
            (None, Some(_)) => Some("kind of bend not stated"),
            (Some(_), None) => Some("mark not stated"),
            (None, None) => Some("kind of bend and mark not stated"),
        }
    }

    /// Whether somebody looked and measured every opening found.
    pub fn is_measured(&self) -> bool {
        self.openings.as_ref().is_some_and(|list| list.iter().all(|opening| opening.length.is_some()))
    }
}

/// One opening as written.
#[derive(Debug, Clone, PartialEq)]
pub struct OpeningText {
    /// 1-based row in the strap.
    pub row: usize,
    /// Longest dimension; `None` while nobody has measured it.
    pub length: Option<Quantity>,
    /// `face` or `corner`, if written.
    pub place: Option<String>,
    /// `none`, `slag`, `fusion` or `other`, if stated.
    pub cause: Option<String>,
    /// `weld`, `haz` or `base`, if written.
    pub zone: Option<String>,
    /// Place along the strap from the middle of the weld, m.
    pub x_m: Option<f64>,
    /// Place across the strap from its middle, m.
    pub y_m: Option<f64>,
}

/// Reads all straps of a document; `None` for a strap that cannot be used.
pub fn read_straps(r: &mut Reader<'_>, has_wall: bool, has_places: bool) -> Vec<Option<StrapText>> {
    let rows = r.document().rows("strap");
    let straps: Vec<_> = rows.iter().map(|row| strap(r, *row, has_wall, has_places)).collect();
    let marks = straps.iter().flatten().filter_map(|strap| Some((strap.row, strap.id.as_deref()?)));
    refuse_twice(r, "strap", "strap", marks);
    straps
}

/// Refuses a mark that two rows of a list carry. `word` is what such a piece is
/// called.
pub(crate) fn refuse_twice<'a>(
    r: &mut Reader<'_>,
    list: &str,
    word: &str,
    marks: impl Iterator<Item = (usize, &'a str)>,
) {
    let mut first_row = BTreeMap::new();
    for (row, mark) in marks {
        if let Some(first) = first_row.insert(mark.to_lowercase(), row) {
            let message = format!(
                "{word} `{mark}` is listed twice, first as {word} {first}; give each {word} its own mark",
            );
            r.note(Finding::error(format!("{list}.{row}.id"), message));
        }
    }
}

fn strap(r: &mut Reader<'_>, row: usize, has_wall: bool, has_places: bool) -> Option<StrapText> {
    let at = |name: &str| format!("strap.{row}.{name}");
    let id = name(r, &at("id"), has_places)?;
    let kind = name(r, &at("kind"), has_places)?.map(|kind| kind.to_lowercase());
    if has_places {
        r.text(&at("note"));
    }
    let thickness = r.quantity(&at("thickness"));
    let wall = if has_wall { r.quantity(&at("wall")) } else { None };
    let weld_in_bend = r.text(&at("weld_in_bend")).map(|word| word.trim().eq_ignore_ascii_case("yes"));
    let list = at("openings");
    let openings = match r.document().found(&list) {
        None => None,
        Some(rows) => {
            let read: Vec<_> = rows.iter().map(|n| opening(r, &list, *n, has_places)).collect();
            Some(read.into_iter().collect::<Option<Vec<_>>>()?)
        }
    };
    // A side strap is cut across, and may be as thick as the weld is wide.
    let is_full = kind.as_deref().is_some_and(|kind| kind != "side");
    let whole = if has_places { r.quantity("fit.thickness") } else { wall };
    if is_full && !strap_fits(r, &at("thickness"), thickness, whole) {
        return None;
    }
    let strap = StrapText { row, id, kind, thickness, wall, weld_in_bend, openings };
    if let Some(open) = strap.not_stated() {
        let (path, next) = match (&strap.kind, &strap.id) {
            (Some(_), _) => (at("id"), "enter the mark stamped on it"),
            (None, Some(_)) => (at("kind"), "enter face, root or side"),
            (None, None) => (at("kind"), "enter its mark, and face, root or side"),
        };
        let message = format!("strap {} is not judged: {open}; {next}", strap.name());
        r.note(Finding::warning(path, message));
    }
    Some(strap)
}

/// A text that names a strap. A coupon's sheet may lack it; the outer `None`
/// is a text that cannot be used.
fn name(r: &mut Reader<'_>, path: &str, may_lack: bool) -> Option<Option<String>> {
    let is_lacking = r.document().get(path).is_none_or(|text| text.trim().is_empty());
    if may_lack && is_lacking {
        return Some(None);
    }
    r.text(path).map(|text| Some(text.trim().to_owned()))
}

fn opening(r: &mut Reader<'_>, list: &str, row: usize, has_places: bool) -> Option<OpeningText> {
    let at = |name: &str| format!("{list}.{row}.{name}");
    let length = r.quantity(&at("length"));
    if has_places && !r.has(&at("length")) {
        let message = "length not entered, and the strap is not judged without it; measure the opening's longest \
                       dimension, or strike it out when nothing is open";
        r.note(Finding::warning(at("length"), message));
    }
    if has_places {
        r.text(&at("note"));
    }
    let place = r.text(&at("place"));
    let is_corner = place.is_some_and(|p| p.trim().eq_ignore_ascii_case("corner"));
    if is_corner && !r.has(&at("cause")) {
        let message = "the cause of this corner crack is missing, and the verdict may depend on it; enter none, slag, fusion or other";
        r.note(Finding::warning(at("cause"), message));
    }
    let cause = r.text(&at("cause"));
    let zone = r.text(&at("zone"));
    let (x_m, y_m) = if has_places { (r.si(&at("x")), r.si(&at("y"))) } else { (None, None) };
    Some(OpeningText {
        row,
        length,
        place: place.map(|p| p.trim().to_lowercase()),
        cause: cause.map(|c| c.trim().to_lowercase()),
        zone: zone.map(|z| z.trim().to_lowercase()),
        x_m,
        y_m,
    })
}
