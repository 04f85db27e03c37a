//! One invented coupon, its list and its people. No number here is evidence.

use bendproof_bench::desk::{CouponRow, StandingRow, WelderRow};
use bendproof_drawing::{Bead, CrossSection, Fit, Frame, Theme, Words, cross_section, groove_fit};
use bendproof_traveler::sheet::{
    Control, Dot, Drawings, ExamView, Field, Figure, FindingLine, FlawView, Item, LogRow, Mark, OpeningView,
    PassRow, PieceView, Provenance, Rule, Sheet, Span, StandingLine, StrapView, TradeRange,
};

fn from(source: &str, basis: &str) -> Provenance {
    Provenance { source: source.into(), basis: basis.into(), rule: None }
}

fn from_rule(source: &str, basis: &str) -> Provenance {
    Provenance { rule: Some("invented.bend.single".into()), ..from(source, basis) }
}

fn field(path: &str, label: &str, text: &str, also: &str, control: Control) -> Field {
    Field {
        path: path.into(),
        label: label.into(),
        doc: format!("The {label}, as the shop says it."),
        text: text.into(),
        proposed: String::new(),
        unit: String::new(),
        also: also.into(),
        control,
        error: None,
    }
}

fn choice(options: &[&str]) -> Control {
    Control::Choice { options: options.iter().map(|word| (*word).to_owned()).collect() }
}

fn figure(label: &str, text: &str) -> Figure {
    Figure {
        label: label.into(),
        text: text.into(),
        provenance: from("areas and rates; invented here", "derived"),
    }
}

/// Spans by their right ends, in the rule's unit.
fn spans(min: f64, ends: &[(f64, Mark)]) -> Vec<Span> {
    let mut at = min;
    ends.iter()
        .map(|(to, mark)| {
            let span = Span { from: at, to: *to, mark: *mark };
            at = *to;
            span
        })
        .collect()
}

struct Ruled<'a> {
    unit: &'a str,
    range: [f64; 2],
    step: f64,
    tick: f64,
    value: f64,
    trade: [f64; 2],
    physics: Vec<Span>,
    plates: &'a [(f64, bool)],
}

fn rule(ruled: Ruled<'_>) -> Control {
    let dot = |(n, (at, held)): (usize, &(f64, bool))| Dot {
        at: *at,
        held: *held,
        coupon: format!("02{n:02}"),
        plates: 1,
    };
    let held = ruled.plates.iter().filter(|(_, held)| *held).count();
    Control::Rule(Rule {
        unit: ruled.unit.into(),
        min: ruled.range[0],
        max: ruled.range[1],
        step: ruled.step,
        tick: ruled.tick,
        fractions: ruled.unit == "in",
        value: Some(ruled.value),
        trade: Some(TradeRange {
            low: ruled.trade[0],
            high: ruled.trade[1],
            provenance: from("common practice, no source", "practice"),
        }),
        physics: ruled.physics,
        physics_note: from("melted land against land thickness, heat solved; invented here", "derived"),
        plates: ruled.plates.iter().enumerate().map(dot).collect(),
        plates_note: match ruled.plates.len() {
            0 => "none near this point".into(),
            n => format!("{held} of {n} held"),
        },
    })
}

fn fit() -> Vec<Field> {
    let opening = rule(Ruled {
        unit: "in",
        range: [0.0, 0.25],
        step: 1.0 / 64.0,
        tick: 1.0 / 16.0,
        value: 0.125,
        trade: [3.0 / 32.0, 5.0 / 32.0],
        physics: spans(
            0.0,
            &[
                (0.07, Mark::Fails),
                (0.09, Mark::Marginal),
                (0.17, Mark::Holds),
                (0.2, Mark::Marginal),
                (0.25, Mark::Fails),
            ],
        ),
        plates: &[(0.094, false), (0.109, true), (0.125, true), (0.14, true), (0.188, false)],
    });
    let face = rule(Ruled {
        unit: "in",
        range: [0.0, 0.1875],
        step: 1.0 / 64.0,
        tick: 1.0 / 16.0,
        value: 0.0625,
        trade: [1.0 / 32.0, 3.0 / 32.0],
        physics: spans(
            0.0,
            &[(0.02, Mark::Marginal), (0.08, Mark::Holds), (0.1, Mark::Marginal), (0.1875, Mark::Fails)],
        ),
        plates: &[(0.031, true), (0.0625, true), (0.094, false), (0.125, false)],
    });
    let mismatch = rule(Ruled {
        unit: "in",
        range: [0.0, 0.125],
        step: 1.0 / 64.0,
        tick: 1.0 / 32.0,
        value: 1.0 / 64.0,
        trade: [0.0, 1.0 / 16.0],
        physics: spans(
            0.0,
            &[(0.055, Mark::Holds), (0.07, Mark::Marginal), (0.1, Mark::Fails), (0.125, Mark::NotKnown)],
        ),
        plates: &[(0.0, true), (0.02, true), (0.07, false)],
    });
    let mut backing = field("fit.backing", "backing", "", "", choice(&["none, open root", "steel bar"]));
    backing.proposed = "none, open root".into();
    vec![
        field("fit.root_opening", "root opening", "1/8 in", "3.2 mm", opening),
        field("fit.root_face", "root face", "1/16 in", "1.6 mm", face),
        field("fit.mismatch", "mismatch", "1/64 in", "0.4 mm", mismatch),
        field("fit.form", "form", "plate", "", choice(&["plate", "pipe"])),
        field("fit.thickness", "thickness", "3/8 in", "9.5 mm", Control::Quantity),
        field("fit.groove_angle", "groove angle", "60 deg", "", Control::Quantity),
        field("fit.position", "position", "3G", "", choice(&["1G", "2G", "3G", "4G", "5G", "6G"])),
        field("fit.steel", "steel", "A36", "", choice(&["A36", "A572 grade 50"])),
        backing,
    ]
}

fn settings() -> Vec<Field> {
    let mut tip = field("settings.tip", "contact tip to work", "", "", Control::Quantity);
    tip.proposed = "5/8 in".into();
    vec![
        field("settings.process", "process", "GMAW", "", choice(&["GMAW", "FCAW", "SMAW"])),
        field("settings.transfer", "transfer", "short-circuit", "", choice(&["short-circuit", "spray"])),
        field("settings.wire", "wire", "ER70S-6, 0.035 in", "0.9 mm", Control::Text),
        field("settings.gas", "gas", "75 Ar 25 CO2", "", choice(&["75 Ar 25 CO2", "CO2"])),
        field("settings.flow", "gas flow", "35 ft3/h", "16.5 L/min", Control::Quantity),
        tip,
    ]
}

/// One planned pass.
pub fn pass(n: usize, kind: &str) -> PassRow {
    let volts = 17.5 + 0.5 * n as f64;
    let feed = 180.0 + 10.0 * n as f64;
    let travel = 8.0 + n as f64;
    let path = |key: &str| format!("pass.{n}.{key}");
    let volts_rule = rule(Ruled {
        unit: "V",
        range: [14.0, 24.0],
        step: 0.1,
        tick: 1.0,
        value: volts,
        trade: [17.0, 20.0],
        physics: spans(
            14.0,
            &[(16.0, Mark::Fails), (17.0, Mark::Marginal), (21.0, Mark::Holds), (24.0, Mark::NotKnown)],
        ),
        plates: &[(17.5, true), (18.5, true)],
    });
    let feed_rule = rule(Ruled {
        unit: "in/min",
        range: [100.0, 320.0],
        step: 5.0,
        tick: 20.0,
        value: feed,
        trade: [170.0, 240.0],
        physics: spans(100.0, &[(150.0, Mark::Fails), (260.0, Mark::Holds), (320.0, Mark::Marginal)]),
        plates: &[],
    });
    let marginal = n == 4;
    PassRow {
        pass: n,
        beads: ["1", "2", "3", "4–5", "6–8"]
            .get(n - 1)
            .map_or(format!("{}", n + 4), |beads| (*beads).to_owned()),
        fields: vec![
            field(&path("kind"), "pass", kind, "", choice(&["root", "hot", "fill", "cap", "new"])),
            field(
                &path("progression"),
                "progression",
                if n == 1 { "downhill" } else { "uphill" },
                "",
                choice(&["uphill", "downhill"]),
            ),
            field(&path("volts"), "volts", &format!("{volts} V"), "", volts_rule),
            field(&path("wire_feed"), "wire feed", &format!("{feed} in/min"), "5.1 m/min", feed_rule),
            field(&path("travel"), "travel", &format!("{travel} in/min"), "230 mm/min", Control::Quantity),
        ],
        computed: vec![
            figure("current", &format!("{} A", 110 + 5 * n)),
            figure("heat input", &format!("0.3{n} kJ/mm")),
            figure("bead area", &format!("{}.4 mm²", 9 + n)),
            figure("t8/5", &format!("{} s", 6 + n)),
        ],
        tie_in: Item {
            key: format!("walls.{n}"),
            label: "tie-in of walls and toes".into(),
            mark: if marginal { Mark::Marginal } else { Mark::Holds },
            value: if marginal { "0.2 mm".into() } else { "0.6 mm".into() },
            uncertainty: "± 0.3 mm".into(),
            driver: "travel".into(),
            provenance: from("energy balance at the wall; invented here", "derived"),
        },
    }
}

/// One line of the weld log.
pub fn log(n: usize) -> LogRow {
    let path = |key: &str| format!("log.{n}.{key}");
    LogRow {
        log: n,
        fields: vec![
            field(&path("bead"), "bead", &n.to_string(), "", Control::Text),
            field(&path("volts"), "volts", "17.8 V", "", Control::Quantity),
            field(&path("amps"), "amps", "121 A", "", Control::Quantity),
            field(&path("travel"), "travel", "9.4 in/min", "", Control::Quantity),
            field(&path("date"), "day", "2031-04-14", "", Control::Date),
        ],
        differences: vec![figure("forecast current", "118 A"), figure("heat input", "0.36 kJ/mm")],
    }
}

/// The fields of one opening.
pub fn opening_fields(strap: usize, opening: usize, length: &str) -> Vec<Field> {
    let path = |key: &str| format!("strap.{strap}.openings.{opening}.{key}");
    vec![
        field(&path("length"), "length", length, "", Control::Quantity),
        field(&path("place"), "place", "face", "", choice(&["face", "corner"])),
        field(&path("cause"), "cause", "none", "", choice(&["none", "slag", "fusion", "other"])),
    ]
}

/// One strap.
pub fn strap(n: usize, kind: &str, openings: &[(f64, f64, f64)]) -> StrapView {
    let fields = vec![
        field(
            &format!("strap.{n}.kind"),
            "kind",
            if kind == "R" { "root" } else { "face" },
            "",
            choice(&["face", "root", "side"]),
        ),
        field(&format!("strap.{n}.thickness"), "thickness", "3/8 in", "9.5 mm", Control::Quantity),
    ];
    let view = |(index, (length_mm, x_mm, y_mm)): (usize, &(f64, f64, f64))| OpeningView {
        opening: index + 1,
        length: bendproof_measure::length_both(length_mm / 1e3),
        text: format!("{} in", bendproof_measure::inch_fraction(length_mm / 1e3)),
        length_mm: *length_mm,
        place: "face".into(),
        cause: "none".into(),
        x_mm: *x_mm,
        y_mm: *y_mm,
        fields: opening_fields(
            n,
            index + 1,
            &format!("{} in", bendproof_measure::inch_fraction(length_mm / 1e3)),
        ),
    };
    let is_seen = !openings.is_empty();
    StrapView {
        strap: n,
        id: format!("{kind}{n}"),
        kind: if kind == "R" { "root".into() } else { "face".into() },
        thickness: "3/8 in · 9.5 mm".into(),
        width_mm: 38.0,
        face_length_mm: 80.0,
        weld_width_mm: if kind == "R" { 8.0 } else { 17.0 },
        former_mm: 38.1,
        is_former_known: true,
        thickness_mm: 9.5,
        fields,
        is_inspected: is_seen,
        openings: openings.iter().enumerate().map(view).collect(),
        verdict: if is_seen { "accept".into() } else { "not inspected".into() },
        mark: if is_seen { Mark::Holds } else { Mark::NotKnown },
        findings: if is_seen {
            vec![FindingLine {
                place: String::new(),
                text: "largest 1/16 in of 1/8 in".into(),
                verdict: "accept".into(),
                provenance: from_rule("invented code 2031, clause 4.2", "memory"),
            }]
        } else {
            Vec::new()
        },
    }
}

fn forecast_item(key: &str, label: &str, mark: Mark, words: [&str; 3]) -> Item {
    Item {
        key: key.into(),
        label: label.into(),
        mark,
        value: words[0].into(),
        uncertainty: words[1].into(),
        driver: words[2].into(),
        provenance: from("energy and mass balance of the melted land; invented here", "derived"),
    }
}

fn forecast() -> Vec<Item> {
    vec![
        forecast_item(
            "root.left_edge",
            "left root edge",
            Mark::Holds,
            ["0.9 mm past", "± 0.4 mm", "land thickness"],
        ),
        forecast_item(
            "root.right_edge",
            "right root edge",
            Mark::Holds,
            ["0.7 mm past", "± 0.4 mm", "land thickness"],
        ),
        forecast_item("root.profile", "root profile", Mark::Holds, ["1.1 mm proud", "± 0.5 mm", "arc push"]),
        forecast_item(
            "root.burn_through",
            "burn-through",
            Mark::Holds,
            ["62 % of limit", "± 12 %", "root width"],
        ),
        forecast_item(
            "root.outrun",
            "puddle ahead of the arc",
            Mark::Marginal,
            ["88 % of limit", "± 15 %", "travel"],
        ),
        forecast_item("walls", "walls, thinnest", Mark::Holds, ["0.6 mm at bead 5", "± 0.3 mm", "travel"]),
        forecast_item("crown", "crown", Mark::Fails, ["4.1 mm of 3.0 mm", "± 0.6 mm", "wire feed"]),
        forecast_item("hardness", "hardest zone", Mark::NotKnown, ["not known", "", ""]),
    ]
}

/// The forecast answers to the land, so that a drag has something to show.
pub fn answer_to_land(sheet: &mut Sheet) {
    let land =
        sheet.fit.iter().find(|field| field.path == "fit.root_face").and_then(|field| match &field.control {
            Control::Rule(rule) => rule.value,
            _ => None,
        });
    let (mark, value) = match land {
        None => (Mark::NotKnown, "not known".to_owned()),
        Some(land) if land > 0.1 => (Mark::Fails, "0.8 mm short".to_owned()),
        Some(land) if land > 0.08 => (Mark::Marginal, "0.1 mm past".to_owned()),
        Some(_) => (Mark::Holds, "0.9 mm past".to_owned()),
    };
    sheet.forecast[0].mark = mark;
    sheet.forecast[0].value = value.clone();
    sheet.forecast[1].mark = mark;
    sheet.forecast[1].value = value;
    sheet.stamp = if mark == Mark::Fails { "root likely lost".into() } else { "likely to hold".into() };
    sheet.stamp_mark = mark;
}

fn standing() -> Vec<StandingLine> {
    let line = |label: &str, value: &str| StandingLine {
        label: label.into(),
        value: value.into(),
        provenance: from_rule("invented code 2031, table 4.1", "memory"),
    };
    vec![
        line("processes", "GMAW, short-circuit"),
        line("positions, plate groove", "F, H, V"),
        line("thickness", "1/8 in · 3 mm to 3/4 in · 19 mm"),
        line("progression", "as welded, per pass"),
        line("until", "14 October 2031, if used before"),
    ]
}

fn drawings() -> Drawings {
    let (theme, words) = (Theme::web(), Words::english());
    let frame =
        |id: &'static str, title: &'static str| Frame { id, title, desc: "", theme: &theme, words: &words };
    let fit = Fit {
        thickness_mm: 9.5,
        root_opening_mm: 3.2,
        land_mm: [1.6, 1.6],
        bevel_deg: [30.0, 30.0],
        mismatch_mm: 0.4,
        shoulder_mm: 9.0,
        ..Fit::default()
    };
    Drawings {
        fit: groove_fit(&fit, 14.0, &frame("fit-drawing", "The fit, in section")),
        section: section(&fit, &frame("section-drawing", "The beads, in section")),
        straps: String::new(),
        window: super::window::drawn("window"),
    }
}

/// Flat slabs instead of beads: enough to look at.
fn section(fit: &Fit, frame: &Frame<'_>) -> String {
    const LAYERS: [(f64, f64, usize); 5] =
        [(-1.2, 2.6, 1), (2.6, 4.4, 1), (4.4, 6.2, 1), (6.2, 8.2, 2), (8.2, 11.0, 3)];
    let half = |y: f64| 1.6 + (y.clamp(1.6, 9.5) - 1.6) * 0.577;
    let mut beads = Vec::new();
    for (layer, (low, high, count)) in LAYERS.iter().enumerate() {
        for n in 0..*count {
            let at = |y: f64, share: f64| [half(y) * (2.0 * share / *count as f64 - 1.0), y];
            let (left, right) = (n as f64, n as f64 + 1.0);
            let label = (beads.len() + 1).to_string();
            beads.push(Bead {
                title: format!("bead {label}"),
                label,
                outline: vec![at(*low, left), at(*low, right), at(*high, right), at(*high, left)],
                shade: layer + n,
            });
        }
    }
    let drawn = CrossSection {
        fit: fit.clone(),
        plates: Vec::new(),
        backing: Vec::new(),
        beads,
        melted: Vec::new(),
        cap_limit_mm: Some(3.0),
        root_limit_mm: None,
        px_per_mm: 14.0,
    };
    cross_section(&drawn, frame)
}

fn head() -> Vec<Field> {
    vec![
        field("head.title", "title", "3/8 in plate, vertical, open root", "", Control::Text),
        field("head.welder", "welder", "Odile Marchetti", "", Control::Text),
        field("head.booth", "booth", "6", "", Control::Text),
        field("head.code", "code", "invented code 2031", "", choice(&["invented code 2031"])),
        field("head.welded_on", "welded on", "2031-04-14", "", Control::Date),
    ]
}

/// One pulled piece, and one broken with a flaw.
fn exams() -> Vec<ExamView> {
    let piece = |list: &str, id: &str, key: &str, flaws: Vec<FlawView>| PieceView {
        piece: 1,
        id: id.into(),
        fields: vec![field(&format!("{list}.1.{key}"), key, "", "", Control::Quantity)],
        is_inspected: !flaws.is_empty(),
        flaws,
        verdict: "not inspected yet".into(),
        mark: Mark::NotKnown,
        findings: vec![FindingLine {
            place: String::new(),
            text: "strength is not given".into(),
            verdict: "not inspected yet".into(),
            provenance: from_rule("invented code 2031, clause 6.1", "memory"),
        }],
    };
    let gas = field("nick_break.1.flaws.1.length", "size", "1/32 in", "0.8 mm", Control::Quantity);
    let flaw = FlawView { flaw: 1, fields: vec![gas] };
    let view = |list: &str, title: &str, inner: Option<&str>, pieces| ExamView {
        list: list.into(),
        title: title.into(),
        inner: inner.map(str::to_owned),
        pieces,
    };
    vec![
        view("tension", "tension", None, vec![piece("tension", "T1", "strength", Vec::new())]),
        view(
            "nick_break",
            "nick-break",
            Some("flaws"),
            vec![piece("nick_break", "N1", "gas_area", vec![flaw])],
        ),
        view("hardness", "hardness", Some("points"), Vec::new()),
    ]
}

/// The whole invented sheet.
pub fn sheet() -> Sheet {
    let pairs = |list: &[(&str, &str)]| list.iter().map(|(label, text)| figure(label, text)).collect();
    Sheet {
        number: super::NUMBER.into(),
        title: "3/8 in plate, vertical, open root, root downhill".into(),
        subtitle: "for Odile Marchetti · booth 6 · short-circuit, 0.035 wire, 75/25 · to invented code 2031"
            .into(),
        stamp: "likely to hold".into(),
        stamp_note: "provisional: 51 to 85 % once solved".into(),
        stamp_mark: Mark::Holds,
        stamp_provenance: from("worst word of the forecast", "derived"),
        next_reading: "Read the amps at the wire speed: the chance would then be 41 to 93 %, and 7 of 10 readings settle it.".into(),
        findings: Vec::new(),
        head: head(),
        fit: fit(),
        fit_computed: pairs(&[
            ("groove area", "74.2 mm²"),
            ("face width", "12.3 mm"),
            ("included angle", "60°"),
        ]),
        settings: settings(),
        passes: ["root", "hot", "fill", "fill", "cap"]
            .iter()
            .enumerate()
            .map(|(n, kind)| pass(n + 1, kind))
            .collect(),
        totals: pairs(&[
            ("beads", "8"),
            ("arc time", "6 min 10 s"),
            ("wire", "0.21 kg"),
            ("gas", "102 L"),
            ("cost", "not known"),
        ]),
        forecast: forecast(),
        forecast_notes: vec!["Hardness is not known: the steel's analysis is not on the sheet.".into()],
        log: vec![log(1), log(2)],
        visual: vec![
            field("visual.undercut", "undercut, deepest", "none", "", Control::Text),
            field("visual.crown", "crown, highest", "3/32 in", "2.4 mm", Control::Quantity),
        ],
        visual_further: vec![field("visual.overlap", "overlap", "", "", Control::Quantity)],
        visual_findings: Vec::new(),
        specimens: vec![StandingLine {
            label: "bends".into(),
            value: "2 root, 2 face; 1-1/2 in wide; former 1-1/2 in".into(),
            provenance: from_rule("invented code 2031, table 4.3", "memory"),
        }],
        straps: vec![strap(1, "R", &[(1.5875, -2.0, 9.0), (0.79, 12.0, -8.0)]), strap(2, "F", &[])],
        exams: exams(),
        not_examined: vec!["1 tension".into()],
        verdict: "not inspected".into(),
        verdict_mark: Mark::NotKnown,
        verdict_lines: vec![FindingLine {
            place: String::new(),
            text: "strap F2 has not been looked at".into(),
            verdict: "not inspected".into(),
            provenance: from_rule("invented code 2031, clause 4.1", "memory"),
        }],
        standing: standing(),
        doubts: vec![
            "The thickness range is from memory: check it against your own copy of the code.".into(),
        ],
        drawings: drawings(),
    }
}

/// The list of coupons.
pub fn coupons() -> Vec<CouponRow> {
    let row = |number: &str, title: &str, stage: &str, stamp: &str, mark| CouponRow {
        number: number.into(),
        title: title.into(),
        welder: if number == "0230" { "Bram Okafor" } else { "Odile Marchetti" }.into(),
        stage: stage.into(),
        stamp: stamp.into(),
        stamp_note: String::new(),
        mark,
        changed: "14 April, 10:12".into(),
        amended: (number == "0230").then(|| "amended since 2031-04-14: the wire was misread".into()),
    };
    vec![
        row(
            "0231",
            "3/8 in plate, vertical, open root, root downhill",
            "bent",
            "likely to hold",
            Mark::Holds,
        ),
        row("0230", "6 in pipe, 6G", "planned", "puddle near the limit", Mark::Marginal),
        row("0229", "3/8 in plate, overhead, steel backing", "judged", "rejected", Mark::Fails),
        row("0228", "1 in plate, horizontal", "planned", "not known", Mark::NotKnown),
    ]
}

/// The list of welders.
pub fn welders() -> Vec<WelderRow> {
    let held = |standing: &str, until: &str, lapse: Option<&str>| StandingRow {
        coupon: "0231".into(),
        standing: standing.into(),
        why_none: None,
        until: until.into(),
        lapse: lapse.map(str::to_owned),
    };
    let row = |id: &str, name: &str, standings: Vec<StandingRow>| WelderRow {
        id: id.into(),
        name: name.into(),
        standings,
    };
    vec![
        row(
            "odile",
            "Odile Marchetti",
            vec![
                held("GMAW short-circuit, F H V, to 3/4 in", "14 October 2031", None),
                held("SMAW, F, to any thickness", "30 November 2031", None),
                StandingRow {
                    coupon: "0232".into(),
                    why_none: Some("no figure for it".into()),
                    ..held("no qualification under AWS D1.1:2020", "", None)
                },
            ],
        ),
        row(
            "tomas",
            "Tomás Reyes",
            vec![held("SMAW, all positions, to any thickness", "2 May 2031", Some("lapses in 18 days"))],
        ),
        row("ines", "Ines Varga", Vec::new()),
    ]
}
