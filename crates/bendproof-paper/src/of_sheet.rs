//! From the computed sheet to the printed traveler: picks, orders and shortens,
//! decides nothing.

use bendproof_traveler::issued::{NEEDED, NOT_STATED};
use bendproof_traveler::sheet::{
    BECAUSE, Field as SheetField, Figure, Item, LogRow, Mark as SheetMark, PassRow, Sheet, StandingLine,
    StrapView, basis_said, code_name, text_of, with_degree,
};
use bendproof_traveler::sheet::{PrintedFinding, found_in};

use crate::model::*;

/// Longest value set next to others in columns, characters; longer ones get a
/// line of their own. Basis: choice, what a third of the sheet holds.
const FACT_MAX: usize = 52;
/// Accepted points set side by side; more go into a table. Basis: choice, what
/// two columns of a sheet hold at a glance.
const FACTS_MAX: usize = 16;
/// Clauses listed behind the points met. Basis: choice, two lines of small print.
const CLAUSES_MAX: usize = 8;
/// Label of the standing's line that says whether it holds yet.
const STATE: &str = "state";
/// A space at which no line breaks.
const NO_BREAK: &str = "\u{A0}";

/// Printed under every traveler and record.
pub(crate) const CAUTIONS: [&str; 6] = [
    "Arc rays burn eyes and skin: helmet, screen, covered skin",
    "Fumes carry manganese: exhaust at the arc, head out of the plume",
    "Shock: dry gloves, sound cables, earthed table",
    "Fire watch while welding and half an hour after",
    "Grinding: guard on, face shield, hold the piece",
    "Bending throws pieces: guard the jig, stand aside",
];

/// Who has the last word.
const DEFER: &str = "Follow your code book, your local rules and a licensed engineer or inspector.";

/// The traveler of a sheet. The sheet's drawings must be drawn for paper.
pub fn traveler_of(sheet: &Sheet, issued: Issued, page: PageSize) -> TravelerPaper {
    let operations = [
        fit(sheet),
        settings(sheet),
        passes(sheet),
        forecast(sheet),
        log(sheet),
        bends(sheet),
        verdict(sheet),
        standing(sheet),
    ];
    TravelerPaper {
        number: sheet.number.clone(),
        title: sheet.title.clone(),
        subtitle: sheet.subtitle.clone(),
        stamp: (!sheet.stamp.is_empty()).then(|| mark(sheet.stamp_mark, &sheet.stamp)),
        stamp_note: sheet.stamp_note.clone(),
        operations: operations.into_iter().flatten().collect(),
        cautions: CAUTIONS.iter().map(|c| (*c).to_owned()).collect(),
        section: None,
        rules: Vec::new(),
        footer: footer(sheet.code()),
        issued,
        page,
        words: Words::english(),
    }
}

/// The foot of a paper under a code, by the code's id.
pub(crate) fn footer(code: &str) -> Footer {
    Footer {
        code: if code.is_empty() { "code not stated".to_owned() } else { code_name(code) },
        rules: env!("CARGO_PKG_VERSION").to_owned(),
        notes: vec![DEFER.to_owned()],
    }
}

pub(crate) fn mark(mark: SheetMark, word: &str) -> Mark {
    let sign = match mark {
        SheetMark::Holds => Sign::Holds,
        SheetMark::Marginal => Sign::Marginal,
        SheetMark::Fails => Sign::Fails,
        SheetMark::NotKnown => Sign::NotKnown,
    };
    Mark { sign, word: word.to_owned() }
}

fn forecast_word(m: SheetMark) -> &'static str {
    match m {
        SheetMark::Holds => "OK",
        SheetMark::Marginal => "marginal",
        SheetMark::Fails => "fails",
        SheetMark::NotKnown => "unknown",
    }
}

fn drawing(svg: &str, alt: &str) -> Option<Drawing> {
    (!svg.is_empty()).then(|| Drawing { svg: svg.to_owned(), alt: alt.to_owned() })
}

fn plain(label: &str, value: String) -> Line {
    Line {
        label: label.to_owned(),
        value,
        note: String::new(),
        mark: None,
        check_own_copy: false,
        rule: String::new(),
    }
}

fn operation(number: &str, name: &str) -> Operation {
    Operation {
        number: number.to_owned(),
        name: name.to_owned(),
        drawing: None,
        lines: Vec::new(),
        facts: Vec::new(),
        tables: Vec::new(),
        sources: Vec::new(),
        sign_off: false,
    }
}

/// The named fields that somebody filled in, in the order named; of those a
/// reader must know of, also that nobody did.
fn named(fields: &[SheetField], wanted: &[&str]) -> Vec<Line> {
    let line = |f: &SheetField| match f.text.is_empty() {
        false => Some(plain(&f.label, f.both())),
        true => NEEDED.contains(&f.path.as_str()).then(|| plain(&f.label, NOT_STATED.to_owned())),
    };
    let of = |path: &&str| fields.iter().find(|f| f.path == *path);
    wanted.iter().filter_map(of).filter_map(line).collect()
}

fn fit(sheet: &Sheet) -> Option<Operation> {
    let wanted = [
        "fit.position",
        "fit.thickness",
        "fit.outside_diameter",
        "fit.groove_angle",
        "fit.root_opening",
        "fit.root_face",
        "fit.root_face_right",
        "fit.mismatch",
        "fit.backing",
        "fit.steel",
        "fit.start_temperature",
    ];
    let mut facts = named(&sheet.fit, &wanted);
    let assumed = sheet.fit.iter().find(|f| f.path == "fit.groove_angle" && f.is_proposed());
    let drawn = |f: &SheetField| plain(&f.label, format!("drawn at {}, proposed, not stated", f.proposed));
    facts.extend(assumed.map(drawn));
    Some(Operation {
        drawing: drawing(&sheet.drawings.fit, "The joint as fitted, to scale"),
        facts,
        sign_off: true,
        ..operation("10", "fit-up")
    })
}

fn settings(sheet: &Sheet) -> Option<Operation> {
    let wanted = [
        "settings.process",
        "settings.transfer",
        "settings.wire",
        "settings.wire_diameter",
        "settings.gas",
        "settings.gas_flow",
        "settings.extension",
        "settings.interpass_max",
    ];
    let facts = named(&sheet.settings, &wanted);
    (!facts.is_empty()).then(|| Operation { facts, ..operation("20", "settings") })
}

/// After the computed numbers: which inputs nobody stated.
const PROPOSALS: &str = "computed with these proposals, not stated";

fn passes(sheet: &Sheet) -> Option<Operation> {
    if sheet.passes.is_empty() {
        return None;
    }
    let figures = sheet.passes.iter().flat_map(|p| &p.computed).chain(&sheet.totals);
    // A judged sheet is one for its verdict; there the page tells where its
    // planned numbers came from, and the paper keeps to one leaf.
    let is_judged = matches!(sheet.verdict_mark, SheetMark::Holds | SheetMark::Fails);
    let assumed = sheet.proposals().filter(|_| !is_judged);
    let caption = match sheet.proposals() {
        Some(_) => "The section with its beads, to scale, by values proposed and not stated",
        None => "The section with its beads, to scale",
    };
    Some(Operation {
        sources: if is_judged { Vec::new() } else { figure_sources(figures) },
        drawing: drawing(&sheet.drawings.section, caption),
        lines: assumed.map(|list| plain(PROPOSALS, list.to_owned())).into_iter().collect(),
        facts: sheet.totals.iter().map(|f| plain(&f.label, f.text.clone())).collect(),
        tables: vec![pass_table(&sheet.passes)],
        sign_off: true,
        ..operation("30", "passes")
    })
}

/// `amps: source (basis)`, each once; what comes from one place is named together.
fn figure_sources<'a>(figures: impl Iterator<Item = &'a Figure>) -> Vec<String> {
    let mut by_source: Vec<(Vec<&str>, String)> = Vec::new();
    for figure in figures {
        let source = format!("{} ({})", figure.provenance.source, basis_said(&figure.provenance.basis));
        match by_source.iter_mut().find(|(_, known)| *known == source) {
            Some((labels, _)) if labels.contains(&figure.label.as_str()) => {}
            Some((labels, _)) => labels.push(&figure.label),
            None => by_source.push((vec![&figure.label], source)),
        }
    }
    by_source.into_iter().map(|(labels, source)| format!("{}: {source}", labels.join(", "))).collect()
}

/// What only a pass with stick has computed.
const RUN_OUT: &str = "weld per rod";

/// The passes of a stick: rods where wire has a feed, and no fusion.
fn stick_table(passes: &[PassRow]) -> Table {
    let figure = |row: &PassRow, label: &str| said(&row.computed, label);
    let text =
        |row: &PassRow, name: &str| text_of(&row.fields, &format!("pass.{}.{name}", row.pass)).to_owned();
    let head = [
        "bead",
        "pass",
        "progression",
        "amps",
        "handbook amps",
        "travel",
        RUN_OUT,
        "rods",
        "heat input",
        "temp before pass",
    ];
    let rows = passes.iter().map(|row| {
        let run_out = figure(row, RUN_OUT);
        vec![
            row.beads.clone(),
            text(row, "kind"),
            text(row, "progression"),
            text(row, "amps"),
            figure(row, "handbook amps"),
            figure(row, "travel"),
            run_out.split(" · ").next().unwrap_or_default().to_owned(),
            figure(row, "rods"),
            in_own_units(&figure(row, "heat input")),
            figure(row, "temp before pass"),
        ]
    });
    with_units(&head, rows.collect())
}

fn pass_table(passes: &[PassRow]) -> Table {
    if passes.iter().any(|row| row.computed.iter().any(|figure| figure.label == RUN_OUT)) {
        return stick_table(passes);
    }
    let figure = |row: &PassRow, label: &str| said(&row.computed, label);
    let text =
        |row: &PassRow, name: &str| text_of(&row.fields, &format!("pass.{}.{name}", row.pass)).to_owned();
    let head = [
        "bead",
        "pass",
        "progression",
        "volts",
        "wire",
        "amps",
        "travel",
        "arc energy",
        "temp before pass",
        "fusion",
    ];
    let rows = passes
        .iter()
        .map(|row| {
            vec![
                row.beads.clone(),
                text(row, "kind"),
                text(row, "progression"),
                text(row, "volts"),
                text(row, "wire_feed"),
                figure(row, "amps"),
                figure(row, "travel"),
                in_own_units(&figure(row, "arc energy")),
                figure(row, "temp before pass"),
            ]
        })
        .collect();
    Table {
        marks: passes.iter().map(|r| mark(r.tie_in.mark, forecast_word(r.tie_in.mark))).collect(),
        ..with_units(&head, rows)
    }
}

/// A computed number without the other system's in brackets: a sheet of paper is
/// read in one, and the page has both.
fn in_own_units(text: &str) -> String {
    let mut parts = text.split(" (");
    let first = parts.next().unwrap_or_default().to_owned();
    parts.fold(first, |mut out, part| {
        out += part.split_once(')').map_or("", |(_, after)| after);
        out
    })
}

fn said(figures: &[Figure], label: &str) -> String {
    figures.iter().find(|f| f.label == label).map_or_else(|| "–".to_owned(), |f| f.text.clone())
}

/// A table whose columns of one unit say it once, under the head.
fn with_units(head: &[&str], mut rows: Vec<Vec<String>>) -> Table {
    let unit = |text: &str| {
        let (number, unit) = text.split_once(' ')?;
        let is_number = number.chars().all(|c| c.is_ascii_digit() || ".-/".contains(c));
        (is_number && !unit.contains(' ')).then(|| unit.to_owned())
    };
    let mut units = vec![String::new(); head.len()];
    for (column, said) in units.iter_mut().enumerate() {
        let cells: Vec<&String> = rows.iter().filter_map(|row| row.get(column)).collect();
        let cell_units: Vec<Option<String>> =
            cells.iter().filter(|c| !c.is_empty() && c.as_str() != "–").map(|c| unit(c)).collect();
        let Some(Some(common)) = cell_units.first().cloned() else { continue };
        if cell_units.iter().all(|t| t.as_ref() == Some(&common)) {
            let tail = format!(" {common}");
            for cell in rows.iter_mut().filter_map(|row| row.get_mut(column)) {
                if let Some(number) = cell.strip_suffix(&tail) {
                    *cell = number.to_owned();
                }
            }
            *said = common;
        }
    }
    Table { head: head.iter().map(|h| (*h).to_owned()).collect(), units, rows, ..Table::default() }
}

fn forecast(sheet: &Sheet) -> Option<Operation> {
    if sheet.forecast.is_empty() {
        return None;
    }
    let mut sources: Vec<String> = Vec::new();
    for item in &sheet.forecast {
        let source = format!("{} ({})", item.provenance.source, basis_said(&item.provenance.basis));
        if !sources.contains(&source) {
            sources.push(source);
        }
    }
    Some(Operation {
        drawing: drawing(
            &sheet.drawings.window,
            "The root alone: opening against root face, where it is OK and where it fails",
        ),
        lines: sheet.forecast.iter().map(item_line).collect(),
        sources,
        ..operation("40", "forecast")
    })
}

fn item_line(item: &Item) -> Line {
    // The scatter stays on one line: `± 0.4 mm` is read at once.
    let value =
        format!("{} {}", in_own_units(&item.value), in_own_units(&item.uncertainty).replace(' ', NO_BREAK));
    Line {
        note: item.driver.clone(),
        mark: Some(mark(item.mark, forecast_word(item.mark))),
        ..plain(&item.label, value.trim().to_owned())
    }
}

fn log(sheet: &Sheet) -> Option<Operation> {
    (!sheet.log.is_empty()).then(|| Operation {
        tables: vec![log_table(&sheet.log)],
        sign_off: true,
        ..operation("50", "weld log")
    })
}

/// Readings made while welding, one line each.
fn log_table(log: &[LogRow]) -> Table {
    let names = ["kind", "progression", "volts", "amps", "wire_feed", "travel", "interpass", "note"];
    let rows = log
        .iter()
        .map(|row| {
            let text = |name: &&str| with_degree(text_of(&row.fields, &format!("log.{}.{name}", row.log)));
            names.iter().map(text).collect()
        })
        .collect();
    with_units(&["pass", "progression", "volts", "amps", "wire", "travel", "temp before pass", "note"], rows)
}

fn bends(sheet: &Sheet) -> Option<Operation> {
    let tables = if sheet.straps.is_empty() { Vec::new() } else { vec![strap_table(&sheet.straps)] };
    Some(Operation {
        drawing: drawing(&sheet.drawings.straps, "Where the specimens are cut"),
        lines: specimen_lines(sheet),
        tables,
        sign_off: true,
        ..operation("60", "specimens & bend tests")
    })
}

/// What the code asks of the straps: kinds that no strap of this coupon has are
/// left out, and kinds asked the same are named together.
fn specimen_lines(sheet: &Sheet) -> Vec<Line> {
    let is_used = |kind: &str| sheet.straps.is_empty() || sheet.straps.iter().any(|s| s.kind == kind);
    let mut out: Vec<Line> = Vec::new();
    for specimen in &sheet.specimens {
        let (kind, what) = match specimen.label.split_once(' ') {
            Some((kind, what)) if ["face", "root", "side"].contains(&kind) => (kind, what),
            _ => ("", specimen.label.as_str()),
        };
        if !kind.is_empty() && !is_used(kind) {
            continue;
        }
        let line = Line {
            note: sheet.clause(&specimen.provenance),
            rule: specimen.provenance.rule.clone().unwrap_or_default(),
            check_own_copy: specimen.provenance.is_from_memory(),
            ..plain(what, specimen.value.replace(" %", "\u{A0}%"))
        };
        let same = |l: &&mut Line| {
            l.value == line.value
                && l.note == line.note
                && l.check_own_copy == line.check_own_copy
                && l.label.ends_with(what)
        };
        match out.iter_mut().find(same) {
            Some(earlier) => {
                let kinds = earlier.label.strip_suffix(what).unwrap_or_default().trim_end();
                earlier.label = format!("{kinds}, {kind} {what}");
            }
            None if kind.is_empty() => out.push(line),
            None => out.push(Line { label: format!("{kind} {what}"), ..line }),
        }
    }
    out
}

fn strap_table(straps: &[StrapView]) -> Table {
    let found = |s: &StrapView| {
        let openings: Vec<String> =
            s.openings.iter().map(|o| format!("{} {}", o.text, o.place).trim().to_owned()).collect();
        match (s.is_inspected, openings.is_empty()) {
            (false, _) => "not inspected".to_owned(),
            (true, true) => "none found".to_owned(),
            (true, false) => openings.join(", "),
        }
    };
    Table {
        head: ["specimen", "bend", "thickness", "discontinuities", "verdict"].map(str::to_owned).to_vec(),
        rows: straps
            .iter()
            .map(|s| vec![s.id.clone(), s.kind.clone(), s.thickness.clone(), found(s)])
            .collect(),
        marks: straps.iter().map(|s| mark(s.mark, &s.verdict)).collect(),
        ..Table::default()
    }
}

/// The code's word; what it rejects or cannot settle in full; what it measured
/// and accepts in short; what it merely saw met as a number.
fn verdict(sheet: &Sheet) -> Option<Operation> {
    let found = found_in(sheet);
    let met = found.iter().filter(|f| f.is_met()).collect::<Vec<_>>();
    let word = match sheet.verdict_mark {
        SheetMark::NotKnown => sheet.verdict.clone(),
        _ if sheet.verdict.contains(" under ") => sheet.verdict.clone(),
        _ => format!("{} under {}", sheet.verdict, code_name(sheet.code())),
    };
    let first = Line {
        mark: Some(mark(sheet.verdict_mark, verdict_word(sheet.verdict_mark))),
        ..plain("coupon", word)
    };
    let open = found.iter().filter(|f| !f.is_accepted()).map(open_line);
    let measured: Vec<&PrintedFinding> = found.iter().filter(|f| f.is_accepted() && !f.is_met()).collect();
    let met = met_line(&met, !measured.is_empty());
    // Many points are read down a table; a few stand side by side.
    let is_long = measured.len() > FACTS_MAX;
    let (facts, tables) = match is_long {
        true => (met.into_iter().collect(), vec![accepted_table(&measured)]),
        false => (measured.iter().map(|f| accepted_line(f)).chain(met).collect(), Vec::new()),
    };
    Some(Operation {
        lines: std::iter::once(first).chain(open).collect(),
        facts,
        tables,
        sign_off: true,
        ..operation("70", "verdict")
    })
}

/// Points without a number, in one line with their clauses.
fn met_line(met: &[&PrintedFinding], is_further: bool) -> Option<Line> {
    let further = if is_further { "further " } else { "" };
    let points = if met.len() == 1 { "point" } else { "points" };
    let clauses = distinct(met.iter().map(|f| f.clause.clone()));
    let more = clauses.len().saturating_sub(CLAUSES_MAX);
    let mut note = clauses.into_iter().take(CLAUSES_MAX).collect::<Vec<_>>().join(", ");
    if more > 0 {
        note =
            format!("{note} and {more} more clauses, each next to its point on the page and in the record");
    }
    (!met.is_empty()).then(|| Line {
        note,
        check_own_copy: met.iter().any(|f| f.check_own_copy),
        ..plain(&format!("{} {further}{points} met", met.len()), String::new())
    })
}

/// Accepted points with their numbers, one a row.
fn accepted_table(measured: &[&PrintedFinding]) -> Table {
    let row = |f: &&PrintedFinding| {
        let clause = if f.check_own_copy { format!("{} †", f.clause) } else { f.clause.clone() };
        vec![f.named(), f.measured.clone(), f.limit.clone(), clause]
    };
    Table {
        rules: measured.iter().map(|f| rule(f)).collect(),
        ..with_units(&["what", "measured", "limit", "clause"], measured.iter().map(row).collect())
    }
}

fn verdict_word(mark: SheetMark) -> &'static str {
    match mark {
        SheetMark::Holds => "accept",
        SheetMark::Fails => "reject",
        SheetMark::Marginal | SheetMark::NotKnown => "undetermined",
    }
}

/// The rule a finding leads to; the first where it joins several.
fn rule(found: &PrintedFinding) -> String {
    found.rules.first().cloned().unwrap_or_default()
}

fn open_line(found: &PrintedFinding) -> Line {
    Line {
        rule: rule(found),
        mark: Some(mark(found.mark, &found.verdict)),
        note: found.clause.clone(),
        check_own_copy: found.check_own_copy,
        ..plain(&found.place, found.text.clone())
    }
}

fn accepted_line(found: &PrintedFinding) -> Line {
    let note = [found.limit.as_str(), found.clause.as_str()];
    Line {
        rule: rule(found),
        note: note.iter().filter(|t| !t.is_empty()).copied().collect::<Vec<_>>().join(" · "),
        check_own_copy: found.check_own_copy,
        ..plain(&found.named(), found.measured.clone())
    }
}

fn distinct(texts: impl Iterator<Item = String>) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    for text in texts {
        if !out.contains(&text) {
            out.push(text);
        }
    }
    out
}

/// What the standing amounts to while the coupon is not accepted; empty when it
/// is.
fn reserve(sheet: &Sheet) -> &'static str {
    match sheet.verdict_mark {
        SheetMark::Holds => "",
        SheetMark::Fails => "none: coupon rejected",
        SheetMark::Marginal | SheetMark::NotKnown => {
            "nothing yet: what stands here holds once the coupon is accepted"
        }
    }
}

/// The standing's lines that say what is covered; none for a rejected coupon.
fn covered(sheet: &Sheet) -> Vec<&StandingLine> {
    let is_rejected = sheet.verdict_mark == SheetMark::Fails;
    sheet.standing.iter().filter(|l| l.label != BECAUSE && !is_rejected).collect()
}

/// The clauses behind what is covered, in one line.
fn clauses(sheet: &Sheet) -> Option<Line> {
    let is_rejected = sheet.verdict_mark == SheetMark::Fails;
    let because: Vec<&StandingLine> =
        sheet.standing.iter().filter(|l| l.label == BECAUSE && !is_rejected).collect();
    (!because.is_empty()).then(|| Line {
        note: distinct(because.iter().map(|l| l.value.clone())).join(" · "),
        check_own_copy: because.iter().any(|l| l.provenance.is_from_memory()),
        ..plain("clauses", String::new())
    })
}

fn standing(sheet: &Sheet) -> Option<Operation> {
    if sheet.standing.is_empty() && sheet.doubts.is_empty() {
        return None;
    }
    let mut lines = Vec::new();
    let mut facts = Vec::new();
    let is_stated = covered(sheet).iter().any(|l| l.label == STATE);
    if !reserve(sheet).is_empty() && !is_stated {
        lines.push(plain("covers", reserve(sheet).to_owned()));
    }
    for line in covered(sheet) {
        let shown = Line {
            check_own_copy: line.provenance.is_from_memory(),
            ..plain(&line.label, line.value.clone())
        };
        if line.value.chars().count() > FACT_MAX { lines.push(shown) } else { facts.push(shown) }
    }
    let is_said = |doubt: &str| covered(sheet).iter().any(|l| l.value == doubt);
    lines.extend(sheet.doubts.iter().filter(|d| !is_said(d)).map(|d| plain("undetermined", d.clone())));
    lines.extend(clauses(sheet));
    Some(Operation { lines, facts, ..operation("80", "qualification") })
}
