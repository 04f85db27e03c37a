//! The operations of the sheet, 10 to 90, each a band of its own.
//!
//! Every band has an id, so that an answer to a change can carry the bands by
//! id and the script can lay them over the old ones.

use std::hash::{DefaultHasher, Hash, Hasher};

use bendproof_traveler::sheet::{Control, Field, Item, Mark, Sheet};
use maud::{Markup, PreEscaped, html};

use crate::desk::{FileKind, Opened, Paper, RecordOf};
use crate::exams::exams;
use crate::field::{fields, input_id};
use crate::grid::{FiguresAt, GridRow, grid};
use crate::parts::{
    bar, driver, figures, finding_lines, history, mark_words, source, standing_lines, verdict_mark,
};
use crate::straps::{add_button, strap};
use crate::text::{Key, fill, t};

/// Id of the way down the sheet, which stands outside its form.
pub(crate) const WAYS: &str = "sheet-ways";

/// Number and name of each operation.
pub(crate) const OPERATIONS: [(u8, Key); 9] = [
    (10, Key::OpFit),
    (20, Key::OpSettings),
    (30, Key::OpPasses),
    (40, Key::OpForecast),
    (50, Key::OpLog),
    (60, Key::OpStraps),
    (70, Key::OpVerdict),
    (80, Key::OpStanding),
    (90, Key::OpPaper),
];

/// One piece of the sheet with the id it is replaced by.
pub(crate) struct Fragment {
    pub id: String,
    pub markup: Markup,
}

impl Fragment {
    /// A short print of its text. Two texts with the same print are taken for
    /// one, so that a piece the page shows already is not sent again.
    pub fn print(&self) -> String {
        let mut hasher = DefaultHasher::new();
        self.markup.0.hash(&mut hasher);
        format!("{:016x}", hasher.finish())
    }
}

/// Every piece that follows from the sheet alone, as a preview changes them.
pub(crate) fn computed_bands(sheet: &Sheet) -> Vec<Fragment> {
    let bodies = [
        fit(sheet),
        settings(sheet),
        passes(sheet),
        forecast(sheet),
        log(sheet),
        straps(sheet),
        verdict(sheet),
        standing(sheet),
    ];
    let mut bands = vec![
        Fragment { id: WAYS.to_owned(), markup: ways(sheet) },
        Fragment { id: "sheet-head".to_owned(), markup: head(sheet) },
    ];
    bands.extend(OPERATIONS.iter().zip(&bodies).map(|((number, name), body)| band(*number, *name, body)));
    bands
}

/// Every piece, with the history and the version the form is made on.
pub(crate) fn bands(opened: &Opened, token: &str) -> Vec<Fragment> {
    let mut bands = computed_bands(&opened.sheet);
    let verdict = bands.iter().position(|band| band.id == "op-70").map_or(bands.len(), |at| at + 1);
    bands.insert(verdict, Fragment { id: "sheet-judgement".to_owned(), markup: judgement(opened) });
    bands.push(band(90, Key::OpPaper, &paper(opened)));
    bands.push(Fragment { id: "sheet-version".to_owned(), markup: version(opened.version, token) });
    bands
}

fn version(version: u64, token: &str) -> Markup {
    html! {
        div #sheet-version hidden {
            input type="hidden" name="version" value=(version);
            input type="hidden" name="token" value=(token);
        }
    }
}

fn band(number: u8, name: Key, body: &Markup) -> Fragment {
    let id = format!("op-{number}");
    let markup = html! {
        section.band id=(id) aria-labelledby={ (id) "-name" } {
            div.spine {
                span.hole aria-hidden="true" {}
                h2 id={ (id) "-name" } { span.op-no { (number) } " " span.op-name { (t(name)) } }
                span.sign aria-hidden="true" { (t(Key::SignOff)) }
            }
            div.work { (body) }
        }
    };
    Fragment { id, markup }
}

fn head(sheet: &Sheet) -> Markup {
    let is_wrong = sheet.head.iter().any(|field| field.error.is_some());
    html! {
        header.sheet-head #sheet-head {
            div.sheet-title {
                h1 { span.sheet-no { (sheet.number) } " " span.sheet-name { (sheet.title) } }
                p.sheet-sub { (sheet.subtitle) }
            }
            div.sheet-stamp {
                p.stamp.(crate::parts::mark_class(sheet.stamp_mark)) { (bar(sheet.stamp_mark, mark_words(sheet.stamp_mark))) " " (sheet.stamp) }
                @if !sheet.stamp_note.is_empty() { p.stamp-note { (sheet.stamp_note) } }
                (source(&sheet.stamp, &sheet.stamp_provenance))
                @if !sheet.next_reading.is_empty() { p.next-reading { (sheet.next_reading) } }
            }
            @if !sheet.findings.is_empty() {
                div.settle {
                    p.settle-head { (t(Key::FindingsTitle)) }
                    ul { @for finding in &sheet.findings { li { (finding) } } }
                }
            }
            details.head-fields open[is_wrong] {
                summary { span { (t(Key::HeadEdit)) } }
                div.field-grid { (fields(&sheet.head)) }
            }
        }
    }
}

/// A drawing made by the program behind the page; its texts are escaped there.
fn drawing(svg: &str) -> Markup {
    html! { @if !svg.is_empty() { div.drawing { (PreEscaped(svg)) } } }
}

fn fit(sheet: &Sheet) -> Markup {
    let (ruled, typed): (Vec<&Field>, Vec<&Field>) =
        sheet.fit.iter().partition(|field| matches!(field.control, Control::Rule(_)));
    html! {
        div.fit-grid {
            div.fit-drawing { (drawing(&sheet.drawings.fit)) }
            div.rules.fit-rules { @for field in &ruled { (crate::field::field(field)) } (legend()) }
            div.side {
                div.field-grid { @for field in &typed { (crate::field::field(field)) } }
                @if !sheet.fit_computed.is_empty() {
                    h3 { (t(Key::Computed)) }
                    (figures(&sheet.fit_computed))
                }
            }
        }
    }
}

/// How to read a rule, once per sheet.
pub(crate) fn legend() -> Markup {
    let keys = [
        Key::LegendBracket,
        Key::LegendHatch,
        Key::LegendSparse,
        Key::LegendBlank,
        Key::LegendDots,
        Key::LegendRate,
    ];
    html! {
        details.legend {
            summary { span { (t(Key::LegendTitle)) } }
            ul { @for key in keys { li { (t(key)) } } }
        }
    }
}

/// The settings proper, and behind a disclosure whatever else the document
/// keeps next to them, distinguished by the first word of its path.
fn settings(sheet: &Sheet) -> Markup {
    let group = |field: &Field| field.path.split('.').next().unwrap_or_default().to_owned();
    let first = sheet.settings.first().map(group).unwrap_or_default();
    let (own, further): (Vec<&Field>, Vec<&Field>) =
        sheet.settings.iter().partition(|one| group(one) == first);
    let (ruled, typed): (Vec<&Field>, Vec<&Field>) =
        own.into_iter().partition(|field| matches!(field.control, Control::Rule(_)));
    let is_wrong = further.iter().any(|field| field.error.is_some());
    html! {
        div.field-grid { @for field in &typed { (crate::field::field(field)) } }
        @if !ruled.is_empty() {
            div.rules.rules-wide { @for field in &ruled { (crate::field::field(field)) } }
        }
        @if !further.is_empty() {
            details.further open[is_wrong] {
                summary { span { (t(Key::SettingsFurther)) } }
                div.field-grid { @for field in &further { (crate::field::field(field)) } }
            }
        }
    }
}

fn passes(sheet: &Sheet) -> Markup {
    // Without a forecast nobody has counted beads, and the passes stand by their own numbers.
    let is_numbered = sheet.passes.iter().all(|row| !row.computed.is_empty());
    let first = if is_numbered { Key::ColBead } else { Key::ColPass };
    let rows: Vec<GridRow<'_>> = sheet
        .passes
        .iter()
        .map(|row| {
            let n = row.pass.to_string();
            GridRow {
                number: row.pass,
                name: fill(Key::PassName, &[("n", &n)]),
                heading: if is_numbered { &row.beads } else { "" },
                fields: &row.fields,
                figures: &row.computed,
                item: Some(&row.tie_in),
                remove: (format!("pass:remove:{n}"), fill(Key::PassRemove, &[("n", &n)])),
            }
        })
        .collect();
    html! {
        div.with-drawing {
            (drawing(&sheet.drawings.section))
            @if !sheet.totals.is_empty() {
                div.totals { h3 { (t(Key::Totals)) } (figures(&sheet.totals)) }
            }
        }
        @if rows.is_empty() { p.soft { (t(Key::PassNone)) } } @else { (grid("pass", first, Key::OpPasses, FiguresAt::InRow, &rows)) }
        (add_button("pass:add", t(Key::PassAdd)))
    }
}

fn log(sheet: &Sheet) -> Markup {
    let rows: Vec<GridRow<'_>> = sheet
        .log
        .iter()
        .map(|row| {
            let n = row.log.to_string();
            GridRow {
                number: row.log,
                name: fill(Key::LogName, &[("n", &n)]),
                heading: "",
                fields: &row.fields,
                figures: &row.differences,
                item: None,
                remove: (format!("log:remove:{n}"), fill(Key::LogRemove, &[("n", &n)])),
            }
        })
        .collect();
    html! {
        @if rows.is_empty() { p.soft { (t(Key::LogNone)) } } @else { (grid("log", Key::LogLine, Key::OpLog, FiguresAt::Under, &rows)) }
        (add_button("log:add", t(Key::LogAdd)))
    }
}

fn forecast(sheet: &Sheet) -> Markup {
    html! {
        div.with-drawing.with-window {
            (crate::window::small(&sheet.number, &sheet.drawings.window))
            @if sheet.forecast.is_empty() {
                @if sheet.forecast_notes.is_empty() { p.soft { (t(Key::ForecastNone)) } }
            } @else {
                ul.lines.forecast { @for item in &sheet.forecast { (forecast_line(item)) } }
            }
        }
        (crate::section::place(&sheet.number))
        @if !sheet.forecast_notes.is_empty() {
            h3 { (t(Key::ForecastNotes)) }
            ul.notes { @for note in &sheet.forecast_notes { li { (note) } } }
        }
    }
}

/// One forecast line with its bar.
pub(crate) fn forecast_line(item: &Item) -> Markup {
    html! {
        li.line.forecast-line id={ "item-" (input_id(&item.key)) } {
            (bar(item.mark, mark_words(item.mark)))
            span.line-word aria-hidden="true" { (mark_words(item.mark)) }
            span.line-label { (item.label) }
            span.line-value { strong { (item.value) } @if !item.uncertainty.is_empty() { " " span.spread { (item.uncertainty) } } }
            span.line-driver { @if !item.driver.is_empty() { (driver(item)) } }
            (source(&item.label, &item.provenance))
        }
    }
}

fn straps(sheet: &Sheet) -> Markup {
    html! {
        @if !sheet.visual.is_empty() {
            h3 { (t(Key::VisualTitle)) }
            div.field-grid { (fields(&sheet.visual)) }
        }
        @if !sheet.visual_further.is_empty() {
            details.further open[sheet.visual_further.iter().any(|one| one.error.is_some() || !one.text.is_empty())] {
                summary { span { (t(Key::VisualFurther)) } }
                div.field-grid { (fields(&sheet.visual_further)) }
            }
        }
        (finding_lines(&sheet.visual_findings, |line| verdict_mark(&line.verdict)))
        div.with-drawing {
            (drawing(&sheet.drawings.straps))
            @if !sheet.specimens.is_empty() {
                div.specimens { h3 { (t(Key::SpecimensTitle)) } (standing_lines(&sheet.specimens)) }
            }
        }
        @if sheet.straps.is_empty() { p.soft { (t(Key::StrapNone)) } }
        div.straps { @for view in &sheet.straps { (strap(view)) } }
        (add_button("strap:add", t(Key::StrapAdd)))
        (exams(sheet))
    }
}

fn verdict(sheet: &Sheet) -> Markup {
    html! {
        p.verdict { (bar(sheet.verdict_mark, &sheet.verdict)) strong { (sheet.verdict) } }
        @if sheet.verdict_lines.is_empty() { p.soft { (t(Key::VerdictNone)) } } @else {
            h3 { (t(Key::VerdictWhy)) }
            (finding_lines(&sheet.verdict_lines, |line| verdict_mark(&line.verdict)))
        }
    }
}

/// The stamp of the verdict, what was amended since, and the way to stamp it.
fn judgement(opened: &Opened) -> Markup {
    let judgement = &opened.judgement;
    html! {
        div.judgement #sheet-judgement {
            @if let Some(stamp) = &judgement.stamp {
                @let places = [("word", stamp.word.as_str()), ("code", &stamp.code), ("at", &stamp.at), ("who", &stamp.who)];
                p { (fill(Key::StampGiven, &places)) }
            }
            @if let Some(words) = judgement.amended_words() { p { strong { (words) } } }
            @if let Some(word) = &opened.stampable {
                p.no-print {
                    button.plain type="submit" form="stamp" { (t(Key::StampButton)) } " "
                    span.soft { (fill(Key::StampHint, &[("word", word)])) }
                }
            }
        }
    }
}

fn standing(sheet: &Sheet) -> Markup {
    html! {
        @if sheet.standing.is_empty() { p.soft { (t(Key::StandingNone)) } }
        (standing_lines(&sheet.standing))
        (crate::codes::way(&sheet.number))
        @if !sheet.doubts.is_empty() {
            h3 { (t(Key::DoubtsTitle)) }
            ul.notes { @for doubt in &sheet.doubts { li { (doubt) } } }
        }
    }
}

fn paper(opened: &Opened) -> Markup {
    let number = &opened.sheet.number;
    html! {
        div.two {
            div.downloads {
                h3 { (t(Key::PaperTitle)) }
                ul.files {
                    @for kind in FileKind::ALL {
                        li { a.button href={ "/coupon/" (number) "/file/" (kind.slug()) } download { (t(file_words(kind))) } }
                    }
                }
                p.soft.no-print { (t(Key::PrintHint)) }
                (crate::records::way(RecordOf::Coupon, number))
            }
            div {
                h3 { (t(Key::HistoryTitle)) " " span.soft { (fill(Key::Version, &[("n", &opened.version.to_string())])) } }
                (history(&opened.history))
                (crate::history::way(number))
                @if opened.can_undo {
                    button.plain type="submit" form="undo" data-undo { (t(Key::Undo)) }
                }
            }
        }
    }
}

fn file_words(kind: FileKind) -> Key {
    match kind {
        FileKind::Pdf(Paper::Letter) => Key::DownloadPdf,
        FileKind::Pdf(Paper::A4) => Key::DownloadPdfA4,
        FileKind::Toml => Key::DownloadToml,
        FileKind::Json => Key::DownloadJson,
    }
}

/// The word of an operation's mark; of the verdict, the code's.
fn way_word(number: u8, mark: Mark, sheet: &Sheet) -> &str {
    match (number, mark) {
        (70, Mark::Holds | Mark::Fails) => sheet.stamp.split(" · ").next().unwrap_or_default(),
        _ => mark_words(mark),
    }
}

/// The numbers of the operations as a way down the sheet, each with the mark
/// that stands for it.
fn ways(sheet: &Sheet) -> Markup {
    let worst = |marks: &mut dyn Iterator<Item = Mark>| {
        let marks: Vec<Mark> = marks.collect();
        [Mark::Fails, Mark::Marginal, Mark::NotKnown, Mark::Holds]
            .into_iter()
            .find(|mark| marks.contains(mark))
    };
    html! {
        nav.ops id=(WAYS) aria-label=(t(Key::OpsNav)) {
            @for (number, name) in OPERATIONS {
                @let mark = match number {
                    30 => worst(&mut sheet.passes.iter().map(|row| row.tie_in.mark)),
                    40 => worst(&mut sheet.forecast.iter().map(|item| item.mark)),
                    60 => {
                        let pieces = sheet.exams.iter().flat_map(|exam| &exam.pieces).map(|piece| piece.mark);
                        worst(&mut sheet.straps.iter().map(|strap| strap.mark).chain(pieces))
                    }
                    70 => (!sheet.verdict_lines.is_empty()).then_some(sheet.verdict_mark),
                    _ => None,
                };
                a href={ "#op-" (number) } {
                    span.op-no { (number) } " " span.op-name { (t(name)) }
                    @if let Some(mark) = mark {
                        @let word = way_word(number, mark, sheet);
                        " " (bar(mark, word)) " " span.op-word aria-hidden="true" { (word) }
                    }
                }
            }
        }
    }
}
