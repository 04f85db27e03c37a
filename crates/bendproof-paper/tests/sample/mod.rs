//! An invented coupon on paper, shared by the tests and the sample.

use bendproof_drawing as draw;
use bendproof_paper::*;
use bendproof_traveler::issued::{Block, FieldRow, Issue, Record, RecordKind, TableRow};
use draw::{Frame, Sign, Theme};

pub fn line(label: &str, value: &str, note: &str, sign: Option<Sign>) -> Line {
    let words = draw::Words::english();
    Line {
        label: label.into(),
        value: value.into(),
        note: note.into(),
        mark: sign.map(|sign| Mark { sign, word: words.sign(sign).to_owned() }),
        check_own_copy: false,
        rule: String::new(),
    }
}

fn operation(number: &str, name: &str, drawing: Option<(String, &str)>) -> Operation {
    Operation {
        number: number.into(),
        name: name.into(),
        drawing: drawing.map(|(svg, alt)| Drawing { svg, alt: alt.into() }),
        lines: Vec::new(),
        facts: Vec::new(),
        tables: Vec::new(),
        sources: Vec::new(),
        sign_off: true,
    }
}

fn table(head: &[&str], rows: &[&[&str]]) -> Table {
    let texts = |cells: &[&str]| cells.iter().map(|c| (*c).to_owned()).collect();
    Table { head: texts(head), rows: rows.iter().map(|row| texts(row)).collect(), ..Table::default() }
}

fn svg(make: impl Fn(&Frame<'_>) -> String) -> String {
    let (theme, words) = (Theme::paper(), draw::Words::english());
    make(&Frame { id: "d", title: "drawing", desc: "", theme: &theme, words: &words })
}

fn fit() -> draw::Fit {
    draw::Fit {
        thickness_mm: 9.525,
        root_opening_mm: 3.175,
        land_mm: [1.5875, 1.5875],
        bevel_deg: [30.0, 30.0],
        mismatch_mm: 0.0,
        shoulder_mm: 6.5,
        ..draw::Fit::default()
    }
}

fn beads() -> Vec<draw::Bead> {
    let layers = [(-1.4, 2.3, 2.6), (2.4, 2.8, 4.1), (4.4, 4.2, 5.3), (6.5, 5.4, 6.6), (8.5, 6.7, 7.4)];
    let mut beads = Vec::new();
    for (index, (low, half_low, half_high)) in layers.into_iter().enumerate() {
        let high = layers.get(index + 1).map_or(10.9, |next| next.0);
        let outline = vec![
            [-half_low, f64::max(low, 0.0)],
            [0.0, low],
            [half_low, f64::max(low, 0.0)],
            [half_high, high - 0.4],
            [0.0, high],
            [-half_high, high - 0.4],
        ];
        let label = (index + 1).to_string();
        beads.push(draw::Bead { title: format!("bead {label}"), label, outline, shade: index });
    }
    beads
}

fn section() -> String {
    let section = draw::CrossSection {
        fit: fit(),
        plates: Vec::new(),
        backing: Vec::new(),
        beads: beads(),
        melted: Vec::new(),
        cap_limit_mm: Some(3.175),
        root_limit_mm: None,
        px_per_mm: 9.5,
    };
    svg(|frame| draw::cross_section(&section, frame))
}

fn straps() -> String {
    use draw::PieceKind::{Discard, Strap};
    let piece = |mark: &str, word: &str, kind, from_mm, to_mm| draw::Piece {
        mark: mark.into(),
        word: word.into(),
        kind,
        from_mm,
        to_mm,
    };
    let layout = draw::PlateLayout {
        length_mm: 177.8,
        width_mm: 90.0,
        weld_mm: 15.0,
        pieces: vec![
            piece("", "discard", Discard, 0.0, 25.4),
            piece("R1", "root bend", Strap, 25.4, 63.5),
            piece("F1", "face bend", Strap, 63.5, 101.6),
            piece("R2", "root bend", Strap, 101.6, 139.7),
            piece("", "discard", Discard, 139.7, 177.8),
        ],
        px_per_mm: 1.6,
    };
    svg(|frame| draw::strap_layout_plate(&layout, frame))
}

fn bent() -> String {
    let strap = draw::BentStrap {
        thickness_mm: 9.525,
        former_mm: 38.1,
        is_former_known: true,
        weld_mm: [14.4, 4.6],
        openings_mm: vec![-2.0],
        px_per_mm: 2.9,
    };
    svg(|frame| draw::bent_strap(&strap, frame))
}

pub fn footer() -> Footer {
    Footer {
        code: "AWS D1.1:2020".into(),
        rules: "2026-11".into(),
        notes: vec![
            "limits marked in colour are from memory: check your code book".into(),
            "a forecast is an estimate with a stated scatter, not a promise".into(),
        ],
    }
}

pub fn issued() -> Issued {
    Issued { year: 2026, month: 11, day: 25, hour: 14, minute: 3, second: 9 }
}

pub fn traveler() -> TravelerPaper {
    let mut fit_band = operation(
        "10",
        "fit",
        Some((svg(|frame| draw::groove_fit(&fit(), 9.5, frame)), "single V groove, 60 degrees, open root")),
    );
    fit_band.lines = vec![
        line("root opening", "1/8 in · 3.2 mm", "trade 3/32 to 5/32", None),
        line("root face", "1/16 in · 1.6 mm", "trade 1/32 to 3/32", None),
        line("groove angle", "60°", "", None),
        line("mismatch", "1/64 in · 0.4 mm", "trade up to 1/16", None),
        line("steel", "A36, as rolled", "CE 0.38", None),
    ];
    fit_band.sources = vec!["trade ranges: common practice, no source".into()];
    let mut passes = operation("20", "passes", Some((section(), "five beads in the groove, root to cap")));
    passes.tables = vec![table(
        &["bead", "pass", "volts", "wire in/min", "amps", "travel in/min", "kJ/mm", "tie-in"],
        &[
            &["1", "root", "17.5", "190", "118", "9.0", "0.36", "holds"],
            &["2", "hot", "18.5", "200", "122", "11", "0.31", "holds"],
            &["3", "fill", "18.5", "210", "127", "11", "0.33", "holds"],
            &["4", "fill", "19.0", "220", "131", "11", "0.35", "marginal"],
            &["5", "cap", "19.0", "220", "131", "12", "0.32", "holds"],
        ],
    )];
    passes.sources = vec!["current from wire feed: melting law, derived, ±7 %".into()];
    let mut forecast = operation("30", "forecast", None);
    forecast.lines = vec![
        line("left root edge", "0.9 mm past", "driven by land thickness", Some(Sign::Holds)),
        line("right root edge", "0.7 mm past", "driven by land thickness", Some(Sign::Holds)),
        line("root profile", "+1.1 mm, ±0.5", "driven by arc push", Some(Sign::Marginal)),
        line("burn-through", "62 % of limit", "driven by root width", Some(Sign::Holds)),
        line("puddle ahead of arc", "112 % of limit", "driven by travel", Some(Sign::Fails)),
        line("hardness", "not known", "no carbon given", Some(Sign::NotKnown)),
    ];
    forecast.sources = vec!["closed forms, derived; checked 6 to 13 mm".into()];
    let mut cuts = operation("50", "straps", Some((straps(), "plate with three straps and two discards")));
    cuts.lines = vec![
        line("root straps", "2", "R1, R2", None),
        line("face straps", "1", "F1", None),
        Line { check_own_copy: true, ..line("strap width", "1-1/2 in · 38.1 mm", "6.10.1", None) },
        line("edges", "round to 1/8 in · 3.2 mm", "", None),
    ];
    let mut bends = operation("60", "bends", Some((bent(), "strap bent half a turn on a 1-1/2 in former")));
    bends.lines = vec![
        line("R1 largest opening", "1/16 in · 1.6 mm", "limit 1/8 in, 6.10.3.3, seen", Some(Sign::Holds)),
        line("R1 sum counted", "1/16 in · 1.6 mm", "limit 3/8 in, 6.10.3.3, seen", Some(Sign::Holds)),
        line("F1", "no openings", "inspected, none found", Some(Sign::Holds)),
    ];
    let mut verdict = operation("70", "verdict", None);
    verdict.lines = vec![line("bends", "accept", "every strap judged", Some(Sign::Holds))];
    TravelerPaper {
        number: "0187".into(),
        title: "3/8 in plate, vertical, open root, root downhill".into(),
        subtitle: "for Odalys Brandt · booth 6 · short-circuit, 0.035 wire, 75/25 · to D1.1:2020".into(),
        stamp: Some(Mark { sign: Sign::Holds, word: "likely to hold 0.87".into() }),
        stamp_note: "provisional".into(),
        operations: vec![fit_band, passes, forecast, cuts, bends, verdict],
        cautions: vec![
            "arc rays burn eyes and skin".into(),
            "fumes hold manganese: move air".into(),
            "dry gloves and floor against shock".into(),
            "fire watch thirty minutes after".into(),
            "guard the grinder".into(),
            "stand clear of the bending jig: it throws pieces".into(),
            "follow your code book, your local rules and a licensed engineer or inspector".into(),
        ],
        section: None,
        rules: Vec::new(),
        footer: footer(),
        issued: issued(),
        page: PageSize::Letter,
        words: Words::english(),
    }
}

pub fn record() -> RecordPaper {
    let field = |label: &str, value: &str| FieldRow {
        label: label.into(),
        value: value.into(),
        ..FieldRow::default()
    };
    let covers = |label: &str, value: &str, range: &str, clause: &str, basis: &str| FieldRow {
        range: range.into(),
        clause: clause.into(),
        basis: basis.into(),
        is_from_memory: basis == "memory",
        ..field(label, value)
    };
    let finding = |what: &str, measured: &str, limit: &str, is_from_memory| TableRow {
        cells: [what, measured, limit, "6.10.3.3", "accept"].map(str::to_owned).to_vec(),
        mark: Some(bendproof_traveler::sheet::Mark::Holds),
        is_from_memory,
        rules: vec!["d11-bend-opening-single".to_owned()],
    };
    let head = |names: &[&str]| names.iter().map(|name| (*name).to_owned()).collect();
    let record = Record {
        kind: RecordKind::Welder,
        number: "W-0042".into(),
        title: "Welder qualification record".into(),
        code: "AWS D1.1:2020".into(),
        subtitle: "Odalys Brandt · coupon 0187".into(),
        state: "accept".into(),
        is_complete: true,
        blocks: vec![
            Block::Fields {
                title: "welder and coupon".into(),
                rows: vec![
                    field("welder", "Odalys Brandt"),
                    field("welder ID (stamp)", "OB7"),
                    field("process", "GMAW, short-circuit"),
                    field("position", "3G, root downhill"),
                    field("filler", "ER70S-6, 0.035 in"),
                ],
            },
            Block::Fields {
                title: "covers".into(),
                rows: vec![
                    covers("process", "GMAW-S", "GMAW-S", "Table 6.12", "seen"),
                    covers("thickness", "3/8 in", "1/8 to 3/4 in", "Table 6.11", "seen"),
                    covers("position", "3G", "flat, horizontal, vertical", "Table 6.10", "memory"),
                ],
            },
            Block::Table {
                title: "findings".into(),
                head: head(&["what", "measured", "limit", "clause", "verdict"]),
                rows: vec![
                    finding("R1 largest opening", "1/16 in", "1/8 in", false),
                    finding("R1 sum counted", "1/16 in", "3/8 in", true),
                ],
            },
        ],
        open_points: vec!["position range is from memory; read Table 6.10 before use".into()],
        statement: "What stands here is correct.".into(),
        signatures: vec!["welder".into(), "witness".into(), "for the shop".into()],
        issue: Issue::first("2026-11-25 14:03:09 UTC".into(), "Ida Voss"),
    };
    RecordPaper { record, issued: issued(), page: PageSize::Letter }
}

#[allow(dead_code, reason = "the sample program prints one size only")]
pub fn traveler_on(page: PageSize) -> TravelerPaper {
    TravelerPaper { page, ..traveler() }
}
