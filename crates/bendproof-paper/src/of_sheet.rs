//! From the computed sheet to what is printed: picks and orders, decides nothing.

use bendproof_traveler::sheet::{
    Field as SheetField, FindingLine, Item, Mark as SheetMark, PassRow, Provenance, Sheet, StrapView,
};

use crate::model::*;

/// Basis of a limit that the reader must hold against the code book.
const FROM_MEMORY: &str = "memory";

/// Printed under every traveler and record.
const CAUTIONS: [&str; 6] = [
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
    let operations = [fit(sheet), passes(sheet), forecast(sheet), log(sheet), bends(sheet), verdict(sheet)];
    TravelerPaper {
        number: sheet.number.clone(),
        title: sheet.title.clone(),
        subtitle: sheet.subtitle.clone(),
        stamp: sheet.stamp.clone(),
        operations: operations.into_iter().flatten().collect(),
        cautions: CAUTIONS.iter().map(|c| (*c).to_owned()).collect(),
        footer: footer(sheet),
        issued,
        page,
        words: Words::english(),
    }
}

/// The welder record of a sheet; what it covers is as the code engine said.
pub fn record_of(sheet: &Sheet, issued: Issued, page: PageSize) -> WelderRecord {
    let head = |path: &str| text_of(&sheet.head, path);
    let mut fields: Vec<Field> = vec![named("welder", head("welder")), named("coupon", sheet.number.clone())];
    let told = sheet.head.iter().chain(&sheet.fit).chain(&sheet.settings);
    let skip = ["title", "welder", "scatter.", "price.", "planned"];
    fields.extend(
        told.filter(|f| !f.text.is_empty() && !skip.iter().any(|s| f.path.starts_with(s)))
            .map(|f| named(&f.label, with_other(f))),
    );
    WelderRecord {
        number: sheet.number.clone(),
        title: "Welder qualification test record".to_owned(),
        subtitle: sheet.subtitle.clone(),
        stamp: sheet.verdict.clone(),
        fields,
        ranges: sheet.standing.iter().filter(|l| l.label != "because").map(range).collect(),
        tests: vec![pass_table(&sheet.passes), strap_table(&sheet.straps)],
        findings: sheet.verdict_lines.iter().map(finding).collect(),
        doubts: sheet.doubts.clone(),
        statement: "The statements in this record are correct; the coupon was prepared, welded and tested as the code named above asks."
            .to_owned(),
        signatures: ["Welder", "Test conducted by", "Accepted by"].map(str::to_owned).to_vec(),
        footer: footer(sheet),
        issued,
        page,
        words: Words::english(),
    }
}

fn footer(sheet: &Sheet) -> Footer {
    let mut notes = vec![DEFER.to_owned()];
    let lines = sheet.verdict_lines.iter().map(|l| &l.provenance);
    let specimens = sheet.specimens.iter().map(|l| &l.provenance);
    if lines.chain(specimens).any(is_from_memory) {
        notes.push(
            "Limits marked so are from memory: check them against your own copy of the code.".to_owned(),
        );
    }
    Footer { code: text_of(&sheet.head, "code"), rules: env!("CARGO_PKG_VERSION").to_owned(), notes }
}

fn text_of(fields: &[SheetField], path: &str) -> String {
    fields.iter().find(|f| f.path == path).map(|f| f.text.clone()).unwrap_or_default()
}

fn named(label: &str, value: String) -> Field {
    Field { label: label.to_owned(), value }
}

fn with_other(field: &SheetField) -> String {
    if field.also.is_empty() { field.text.clone() } else { format!("{} · {}", field.text, field.also) }
}

fn is_from_memory(p: &Provenance) -> bool {
    p.basis == FROM_MEMORY
}

fn mark(mark: SheetMark, word: &str) -> Mark {
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
        SheetMark::Holds => "holds",
        SheetMark::Marginal => "marginal",
        SheetMark::Fails => "fails",
        SheetMark::NotKnown => "not known",
    }
}

fn code_mark(word: &str) -> SheetMark {
    match word {
        "accept" => SheetMark::Holds,
        "reject" => SheetMark::Fails,
        _ => SheetMark::NotKnown,
    }
}

fn drawing(svg: &str, alt: &str) -> Option<Drawing> {
    (!svg.is_empty()).then(|| Drawing { svg: svg.to_owned(), alt: alt.to_owned() })
}

fn plain(label: &str, value: String) -> Line {
    Line { label: label.to_owned(), value, note: String::new(), mark: None, check_own_copy: false }
}

fn operation(number: &str, name: &str) -> Operation {
    Operation {
        number: number.to_owned(),
        name: name.to_owned(),
        drawing: None,
        lines: Vec::new(),
        tables: Vec::new(),
        sources: Vec::new(),
        sign_off: false,
    }
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
    ];
    let lines = wanted
        .iter()
        .filter_map(|path| sheet.fit.iter().find(|f| f.path == *path))
        .filter(|f| !f.text.is_empty())
        .map(|f| plain(&f.label, with_other(f)))
        .collect();
    Some(Operation {
        drawing: drawing(&sheet.drawings.fit, "The joint as fitted, to scale"),
        lines,
        sign_off: true,
        ..operation("10", "fit")
    })
}

fn passes(sheet: &Sheet) -> Option<Operation> {
    if sheet.passes.is_empty() {
        return None;
    }
    let wanted = [
        "settings.process",
        "settings.transfer",
        "settings.wire",
        "settings.wire_diameter",
        "settings.gas",
        "settings.gas_flow",
        "settings.interpass_max",
    ];
    let mut lines: Vec<Line> = wanted
        .iter()
        .filter_map(|path| sheet.settings.iter().find(|f| f.path == *path))
        .map(|f| plain(&f.label, with_other(f)))
        .collect();
    lines.extend(sheet.totals.iter().map(|f| plain(&f.label, f.text.clone())));
    Some(Operation {
        drawing: drawing(&sheet.drawings.section, "The section with its beads, to scale"),
        lines,
        tables: vec![pass_table(&sheet.passes)],
        sign_off: true,
        ..operation("30", "passes")
    })
}

fn pass_table(passes: &[PassRow]) -> Table {
    let figure = |row: &PassRow, label: &str| {
        row.computed.iter().find(|f| f.label == label).map_or_else(|| "–".to_owned(), |f| f.text.clone())
    };
    let text = |row: &PassRow, name: &str| {
        let path = format!("pass.{}.{name}", row.pass);
        text_of(&row.fields, &path)
    };
    Table {
        head: [
            "bead",
            "pass",
            "way",
            "volts",
            "wire feed",
            "amps",
            "travel",
            "arc energy",
            "metal before",
            "tie-in",
        ]
        .map(str::to_owned)
        .to_vec(),
        rows: passes
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
                    figure(row, "arc energy"),
                    figure(row, "metal before"),
                    forecast_word(row.tie_in.mark).to_owned(),
                ]
            })
            .collect(),
    }
}

fn forecast(sheet: &Sheet) -> Option<Operation> {
    if sheet.forecast.is_empty() {
        return None;
    }
    let mut sources: Vec<String> = Vec::new();
    for item in &sheet.forecast {
        let source = format!("{} ({})", item.provenance.source, item.provenance.basis);
        if !sources.contains(&source) {
            sources.push(source);
        }
    }
    Some(Operation {
        drawing: drawing(&sheet.drawings.window, "Root opening against land: where the root holds and fails"),
        lines: sheet.forecast.iter().map(item_line).collect(),
        sources,
        ..operation("40", "forecast")
    })
}

fn item_line(item: &Item) -> Line {
    let value = [item.value.as_str(), item.uncertainty.as_str()].join(" ");
    Line {
        label: item.label.clone(),
        value: value.trim().to_owned(),
        note: format!("driven by {}", item.driver),
        mark: Some(mark(item.mark, forecast_word(item.mark))),
        check_own_copy: false,
    }
}

fn log(sheet: &Sheet) -> Option<Operation> {
    if sheet.log.is_empty() {
        return None;
    }
    let names = ["kind", "progression", "volts", "amps", "wire_feed", "travel", "interpass", "note"];
    Some(Operation {
        tables: vec![Table {
            head: ["pass", "way", "volts", "amps", "wire feed", "travel", "metal before", "note"]
                .map(str::to_owned)
                .to_vec(),
            rows: sheet
                .log
                .iter()
                .map(|row| {
                    names.iter().map(|n| text_of(&row.fields, &format!("log.{}.{n}", row.log))).collect()
                })
                .collect(),
        }],
        sign_off: true,
        ..operation("50", "weld log")
    })
}

fn bends(sheet: &Sheet) -> Option<Operation> {
    let lines = sheet
        .specimens
        .iter()
        .map(|l| Line {
            check_own_copy: is_from_memory(&l.provenance),
            note: l.provenance.source.clone(),
            ..plain(&l.label, l.value.clone())
        })
        .collect();
    let tables = if sheet.straps.is_empty() { Vec::new() } else { vec![strap_table(&sheet.straps)] };
    Some(Operation {
        drawing: drawing(&sheet.drawings.straps, "Where the straps are cut"),
        lines,
        tables,
        sign_off: true,
        ..operation("60", "straps and bends")
    })
}

fn strap_table(straps: &[StrapView]) -> Table {
    Table {
        head: ["strap", "kind", "thickness", "openings", "verdict"].map(str::to_owned).to_vec(),
        rows: straps
            .iter()
            .map(|s| {
                let openings: Vec<String> =
                    s.openings.iter().map(|o| format!("{} {}", o.text, o.place)).collect();
                let found = match (s.is_inspected, openings.is_empty()) {
                    (false, _) => "not inspected".to_owned(),
                    (true, true) => "none found".to_owned(),
                    (true, false) => openings.join(", "),
                };
                vec![s.id.clone(), s.kind.clone(), s.thickness.clone(), found, s.verdict.clone()]
            })
            .collect(),
    }
}

fn verdict(sheet: &Sheet) -> Option<Operation> {
    let first = Line {
        mark: Some(mark(sheet.verdict_mark, &sheet.verdict)),
        ..plain("the code's word", sheet.verdict.clone())
    };
    let why = sheet.verdict_lines.iter().map(|l| Line {
        label: l.verdict.clone(),
        value: l.text.clone(),
        note: l.provenance.source.clone(),
        mark: Some(mark(code_mark(&l.verdict), &l.verdict)),
        check_own_copy: is_from_memory(&l.provenance),
    });
    Some(Operation {
        lines: std::iter::once(first).chain(why).collect(),
        sign_off: true,
        ..operation("70", "verdict")
    })
}

fn range(line: &bendproof_traveler::sheet::StandingLine) -> Range {
    Range {
        variable: line.label.clone(),
        tested: String::new(),
        covers: line.value.clone(),
        because: line.provenance.source.clone(),
        check_own_copy: is_from_memory(&line.provenance),
    }
}

fn finding(line: &FindingLine) -> Finding {
    Finding {
        what: line.text.clone(),
        measured: String::new(),
        limit: String::new(),
        clause: line.provenance.source.clone(),
        basis: line.provenance.basis.clone(),
        mark: mark(code_mark(&line.verdict), &line.verdict),
        check_own_copy: is_from_memory(&line.provenance),
    }
}
