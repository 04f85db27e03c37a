//! A table of rows with boxes and figures, for the passes and the weld log: a
//! table on a desk, cards on a phone.
//!
//! A row may have more values than a table can hold. What does not fit waits
//! behind the row, with its rules and its sources; which values those are
//! follows from the kind of value, never from what is typed, so that no column
//! jumps while the hand works.

use bendproof_traveler::sheet::{Control, Field, Figure, Item};
use maud::{Markup, html};

use crate::field::{about, cell, field, input_id};
use crate::parts::{bar, driver, mark_words, provenance};
use crate::rule::{slider, voices};
use crate::straps::remove_button;
use crate::text::{Key, fill, t};

/// Most boxes in a row of the table where figures stand in the row, and where
/// hardly any do. Basis: choice, what a 1380 px window holds.
const BOXES_MAX: [usize; 2] = [6, 8];
/// Most figures in a row of the table. Basis: choice, as above.
const FIGURES_MAX: usize = 5;

/// Where the figures of a row stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum FiguresAt {
    /// In columns after the boxes.
    InRow,
    /// In a line of their own under the boxes, where a row has no room for them.
    Under,
}

/// One row.
pub(crate) struct GridRow<'a> {
    /// 1-based number in the document.
    pub number: usize,
    /// Its name, for whoever does not see the table.
    pub name: String,
    /// What stands at its head; the number when empty.
    pub heading: &'a str,
    /// Boxes.
    pub fields: &'a [Field],
    /// Computed numbers.
    pub figures: &'a [Figure],
    /// What is judged of it.
    pub item: Option<&'a Item>,
    /// What its button posts, and says.
    pub remove: (String, String),
}

/// A column: the key that finds its value in a row, and its heading.
type Column<'a> = (&'a str, &'a str);

/// A field's key within its row: `volts` in `pass.2.volts`. Rows need not have
/// the same fields, so columns are matched by key and never by place.
fn row_key(path: &str) -> &str {
    path.splitn(3, '.').nth(2).unwrap_or(path)
}

/// Every column of the rows, in the order of first appearance.
fn columns<'a>(found: impl Iterator<Item = Column<'a>>) -> Vec<Column<'a>> {
    let mut columns: Vec<Column<'a>> = Vec::new();
    for (key, label) in found {
        if !columns.iter().any(|(known, _)| *known == key) {
            columns.push((key, label));
        }
    }
    columns
}

/// The boxes that stand in the table: all that have a rule, then the others in
/// their order while there is room.
fn boxes<'a>(rows: &[GridRow<'a>], has_figures: bool) -> Vec<Column<'a>> {
    let all = || rows.iter().flat_map(|row| row.fields);
    let ruled = columns(all().filter(|one| matches!(one.control, Control::Rule(_))).map(column));
    let room = BOXES_MAX[usize::from(!has_figures)].saturating_sub(ruled.len());
    let others = columns(all().map(column).filter(|column| !ruled.contains(column)));
    let kept: Vec<Column<'a>> = others.into_iter().take(room).chain(ruled).collect();
    columns(all().map(column).filter(|column| kept.contains(column)))
}

fn column(field: &Field) -> Column<'_> {
    (row_key(&field.path), &field.label)
}

/// The whole table with what waits behind its rows. The roles are written out,
/// because a browser forgets that a table is one when its display is changed.
pub(crate) fn grid(kind: &str, first: Key, caption: Key, at: FiguresAt, rows: &[GridRow<'_>]) -> Markup {
    let has_item = rows.iter().any(|row| row.item.is_some());
    let inputs = boxes(rows, has_item);
    let labels = rows.iter().flat_map(|row| row.figures).map(|one| (one.label.as_str(), one.label.as_str()));
    // A figure that only repeats a box of the table waits behind the row.
    let mut figures = columns(labels.filter(|(_, label)| !inputs.iter().any(|(_, known)| known == label)));
    figures.truncate(if at == FiguresAt::Under { 0 } else { FIGURES_MAX });
    let columns = 1 + inputs.len() + figures.len() + usize::from(has_item);
    html! {
        div.grid-room {
            table.grid.(format!("{kind}-grid")) role="table" aria-label=(t(caption)) {
                thead role="rowgroup" {
                    tr role="row" {
                        th role="columnheader" scope="col" { (t(first)) }
                        @for (_, label) in &inputs { th role="columnheader" scope="col" { (label) } }
                        @for (_, label) in &figures { th.figure role="columnheader" scope="col" { (label) } }
                        @if has_item { th role="columnheader" scope="col" { (t(Key::ColTieIn)) } }
                    }
                }
                tbody role="rowgroup" {
                    @for row in rows {
                        (grid_row(kind, first, row, &inputs, &figures))
                        @if at == FiguresAt::Under && !row.figures.is_empty() { (under(row, columns)) }
                    }
                }
            }
        }
        div.row-mores { @for row in rows { (more(row, &inputs)) } }
    }
}

fn grid_row(
    kind: &str,
    first: Key,
    row: &GridRow<'_>,
    inputs: &[Column<'_>],
    figures: &[Column<'_>],
) -> Markup {
    let heading = if row.heading.is_empty() { row.number.to_string() } else { row.heading.to_owned() };
    html! {
        tr role="row" id={ (kind) "-" (row.number) } {
            th.row-head role="rowheader" scope="row" data-label=(t(first)) { (heading) }
            @for (key, label) in inputs {
                td role="cell" data-label=(label) {
                    @if let Some(field) = row.fields.iter().find(|field| row_key(&field.path) == *key) {
                        (cell(field, &row.name))
                    }
                }
            }
            @for (name, label) in figures {
                td.figure role="cell" data-label=(label) {
                    @if let Some(figure) = row.figures.iter().find(|figure| figure.label == *name) { (figure.text) }
                }
            }
            @if let Some(item) = row.item {
                td.tie-in role="cell" data-label=(t(Key::ColTieIn)) {
                    span.tie {
                        span { (bar(item.mark, mark_words(item.mark))) " " span.tie-word aria-hidden="true" { (mark_words(item.mark)) } }
                        span.tie-value { (item.value) }
                    }
                }
            }
        }
    }
}

/// The figures of a row in a line under it, across the whole table.
fn under(row: &GridRow<'_>, columns: usize) -> Markup {
    html! {
        tr.under role="row" {
            td role="cell" colspan=(columns) aria-colspan=(columns) {
                span.under-figures {
                    @for figure in row.figures {
                        span { span.soft { (figure.label) } " " strong { (figure.text) } }
                    }
                }
            }
        }
    }
}

/// What is behind a row: the boxes the table has no room for, its rules, its
/// sources, and taking it away.
fn more(row: &GridRow<'_>, inputs: &[Column<'_>]) -> Markup {
    let (shown, hidden): (Vec<&Field>, Vec<&Field>) =
        row.fields.iter().partition(|one| inputs.contains(&column(one)));
    let is_wrong = hidden.iter().any(|one| one.error.is_some());
    html! {
        details.row-more open[is_wrong] {
            summary { span { (fill(Key::RowMore, &[("row", &row.name)])) } }
            @if !hidden.is_empty() { div.field-grid { @for one in &hidden { (field(one)) } } }
            div.rules.rules-wide { @for one in &shown { (row_rule(one, &row.name)) } }
            dl.row-sources {
                @for one in &shown { div { dt { (one.label) } dd { (about(one)) } } }
                @for figure in row.figures {
                    div { dt { (figure.label) } dd { p { (figure.text) } (provenance(None, &figure.provenance)) } }
                }
                @if let Some(item) = row.item {
                    div { dt { (item.label) } dd { (item_words(item)) (provenance(None, &item.provenance)) } }
                }
            }
            (remove_button(&row.remove.0, &row.remove.1))
        }
    }
}

/// The rule of a box that stands in the table above.
fn row_rule(field: &Field, row: &str) -> Markup {
    let Control::Rule(rule) = &field.control else { return html! {} };
    let named = Field { label: format!("{}, {row}", field.label), ..field.clone() };
    html! {
        div.field.rule-field {
            p.rule-name { span { (field.label) } strong { (field.shown()) } }
            (slider(&named, rule, &input_id(&field.path)))
            (voices(rule))
        }
    }
}

fn item_words(item: &Item) -> Markup {
    html! {
        p { (mark_words(item.mark)) ", " (item.value) " " (item.uncertainty) }
        @if !item.driver.is_empty() { p { (driver(item)) } }
    }
}
