//! Writes one of each drawing, by day and for the booth, into a folder:
//! `cargo run -p bendproof-drawing --example gallery -- FOLDER`.

use std::path::Path;

use bendproof_drawing as draw;
use draw::{Frame, Sign, Theme, Words};

fn main() -> std::io::Result<()> {
    let folder = std::env::args().nth(1).unwrap_or_else(|| "gallery".to_owned());
    std::fs::create_dir_all(&folder)?;
    for (name, theme) in [("paper", Theme::paper()), ("steel", Theme::steel()), ("web", Theme::web())] {
        for (drawing, svg) in gallery(&theme) {
            std::fs::write(Path::new(&folder).join(format!("{drawing}-{name}.svg")), svg)?;
        }
    }
    Ok(())
}

fn gallery(theme: &Theme) -> Vec<(&'static str, String)> {
    let words = Words::english();
    let frame = |id: &'static str, title: &'static str| Frame { id, title, desc: "", theme, words: &words };
    vec![
        ("fit", draw::groove_fit(&fit(0.0, [1.6, 1.6]), 14.0, &frame("fit", "Groove"))),
        ("fit-step", draw::groove_fit(&fit(1.6, [0.8, 2.4]), 14.0, &frame("fit-step", "Groove, stepped"))),
        (
            "fit-low",
            draw::groove_fit(&fit(-0.8, [3.2, 1.6]), 10.0, &frame("fit-low", "Groove, stepped down")),
        ),
        ("section", draw::cross_section(&section(), &frame("section", "Beads"))),
        ("plate", draw::strap_layout_plate(&plate(), &frame("plate", "Straps"))),
        ("pipe", draw::strap_layout_pipe(&pipe(), &frame("pipe", "Straps"))),
        ("bent", draw::bent_strap(&bent(), &frame("bent", "Bent strap"))),
        ("face", draw::strap_face(&face(), &frame("face", "Convex face"))),
        ("rule", draw::rule(&rule(), &frame("rule", "Root opening"))),
        ("rule-volts", draw::rule(&volts(), &frame("volts", "Volts"))),
        ("window", draw::window_map(&window(), &frame("window", "Window"))),
        ("holds", draw::verdict_bar(Sign::Holds, &frame("holds", ""))),
        ("marginal", draw::verdict_bar(Sign::Marginal, &frame("marginal", ""))),
        ("fails", draw::verdict_bar(Sign::Fails, &frame("fails", ""))),
        ("unknown", draw::verdict_bar(Sign::NotKnown, &frame("unknown", ""))),
        ("up", glyph(90.0, draw::Piece3d::Plate, Some(true), &frame("up", "Upright, uphill"))),
        ("overhead", glyph(180.0, draw::Piece3d::Plate, None, &frame("over", "Overhead"))),
        ("inclined", glyph(45.0, draw::Piece3d::Pipe, Some(false), &frame("pipe45", "Inclined pipe"))),
    ]
}

fn glyph(tilt_deg: f64, piece: draw::Piece3d, uphill: Option<bool>, frame: &Frame<'_>) -> String {
    draw::placement_glyph(&draw::Placement { piece, tilt_deg, weld_level: false, uphill }, frame)
}

fn fit(mismatch_mm: f64, land_mm: [f64; 2]) -> draw::Fit {
    draw::Fit {
        thickness_mm: 9.525,
        root_opening_mm: 3.175,
        land_mm,
        bevel_deg: [30.0, 30.0],
        mismatch_mm,
        shoulder_mm: 6.5,
    }
}

fn section() -> draw::CrossSection {
    let bead = |label: &str, shade, outline: &[[f64; 2]]| draw::Bead {
        label: label.into(),
        title: format!("bead {label}"),
        outline: outline.to_vec(),
        shade,
    };
    draw::CrossSection {
        fit: fit(0.0, [1.6, 1.6]),
        plates: Vec::new(),
        backing: Vec::new(),
        beads: vec![
            bead(
                "1",
                0,
                &[
                    [-2.3, 0.0],
                    [-1.2, -1.1],
                    [0.0, -1.4],
                    [1.2, -1.1],
                    [2.3, 0.0],
                    [2.8, 2.4],
                    [0.0, 2.1],
                    [-2.8, 2.4],
                ],
            ),
            bead("2", 1, &[[-2.8, 2.4], [0.0, 2.1], [2.8, 2.4], [4.1, 4.4], [0.0, 4.1], [-4.1, 4.4]]),
            bead("3", 2, &[[-4.1, 4.4], [0.0, 4.1], [4.1, 4.4], [5.2, 6.4], [0.0, 6.1], [-5.2, 6.4]]),
            bead("4", 1, &[[-5.2, 6.4], [0.3, 6.1], [0.3, 8.4], [-6.4, 8.5]]),
            bead("5", 0, &[[0.3, 6.1], [5.2, 6.4], [6.4, 8.5], [0.3, 8.4]]),
            bead("6", 1, &[[-6.4, 8.5], [-1.2, 8.4], [-1.4, 10.6], [-4.0, 11.0], [-7.2, 9.525]]),
            bead("7", 0, &[[1.2, 8.4], [6.4, 8.5], [7.2, 9.525], [4.0, 11.0], [1.4, 10.6]]),
            bead("8", 2, &[[-1.2, 8.4], [1.2, 8.4], [1.8, 10.5], [0.0, 11.4], [-1.8, 10.5]]),
        ],
        melted: Vec::new(),
        cap_limit_mm: Some(3.175),
        root_limit_mm: None,
        px_per_mm: 14.0,
    }
}

fn plate() -> draw::PlateLayout {
    let piece = |mark: &str, word: &str, kind, from_mm, to_mm| draw::Piece {
        mark: mark.into(),
        word: word.into(),
        kind,
        from_mm,
        to_mm,
    };
    use draw::PieceKind::{Discard, Strap};
    draw::PlateLayout {
        length_mm: 177.8,
        width_mm: 152.4,
        weld_mm: 14.0,
        pieces: vec![
            piece("", "discard", Discard, 0.0, 25.4),
            piece("R1", "root bend", Strap, 25.4, 63.5),
            piece("F1", "face bend", Strap, 63.5, 101.6),
            piece("R2", "root bend", Strap, 101.6, 139.7),
            piece("", "discard", Discard, 139.7, 149.2),
            piece("S1", "side bend", Strap, 149.2, 158.8),
            piece("", "discard", Discard, 158.8, 177.8),
        ],
        px_per_mm: 2.2,
    }
}

fn pipe() -> draw::PipeLayout {
    let piece = |mark: &str, word: &str, clock_deg| draw::PipePiece {
        mark: mark.into(),
        word: word.into(),
        clock_deg,
        width_mm: 38.1,
    };
    draw::PipeLayout {
        outside_mm: 168.3,
        wall_mm: 10.97,
        pieces: vec![
            piece("F1", "face bend", 45.0),
            piece("R1", "root bend", 135.0),
            piece("F2", "face bend", 225.0),
            piece("R2", "root bend", 315.0),
        ],
        px_per_mm: 1.3,
    }
}

fn bent() -> draw::BentStrap {
    draw::BentStrap {
        thickness_mm: 9.525,
        former_mm: 38.1,
        weld_mm: [14.4, 4.6],
        openings_mm: vec![-2.0, 4.5],
        px_per_mm: 4.0,
    }
}

fn face() -> draw::StrapFace {
    let opening = |id: &str, x_mm, y_mm, length_mm, counted| draw::FaceOpening {
        id: id.into(),
        x_mm,
        y_mm,
        length_mm,
        angle_deg: 0.0,
        counted,
    };
    draw::StrapFace {
        length_mm: 60.0,
        width_mm: 38.1,
        weld_mm: 16.0,
        openings: vec![
            opening("a", -2.0, 4.0, 1.6, true),
            opening("b", 1.0, 3.0, 0.8, false),
            opening("c", 5.0, -17.5, 3.2, true),
        ],
        px_per_mm: 7.0,
    }
}

fn rule() -> draw::Rule {
    let span = |from, to, sign| draw::Span { from, to, sign };
    let dot = |at, held| draw::Dot { at, held };
    draw::Rule {
        label: "root opening".into(),
        value_label: "1/8 in · 3.2 mm".into(),
        min: 0.0,
        max: 6.35,
        value: Some(3.175),
        ticks: draw::Ticks::Inch { parts: 32 },
        trade: Some(draw::TradeRange { from: 2.38, to: 3.97, word: "trade".into() }),
        spans: vec![
            span(0.4, 1.7, Sign::Fails),
            span(1.7, 2.2, Sign::Marginal),
            span(2.2, 4.3, Sign::Holds),
            span(4.3, 5.0, Sign::Marginal),
            span(5.0, 5.8, Sign::Fails),
        ],
        dots: vec![
            dot(2.4, false),
            dot(2.8, true),
            dot(3.175, true),
            dot(3.175, true),
            dot(3.5, true),
            dot(4.8, false),
        ],
        width_px: 380.0,
    }
}

fn volts() -> draw::Rule {
    draw::Rule {
        label: "volts".into(),
        value_label: "18.5 V".into(),
        min: 15.0,
        max: 22.0,
        value: Some(18.5),
        ticks: draw::Ticks::Decimal { step: 0.5, major: 2 },
        trade: Some(draw::TradeRange { from: 15.5, to: 21.6, word: "trade, no source".into() }),
        spans: vec![
            draw::Span { from: 15.0, to: 16.4, sign: Sign::Fails },
            draw::Span { from: 16.4, to: 20.0, sign: Sign::Holds },
        ],
        dots: Vec::new(),
        width_px: 380.0,
    }
}

fn window() -> draw::WindowMap {
    let cells = (0..30)
        .map(|row: i32| {
            (0..44)
                .map(|column: i32| match (row - 14) * 2 - column {
                    12.. => Sign::Fails,
                    6.. => Sign::Marginal,
                    _ if column > 40 => Sign::NotKnown,
                    _ if column * 2 - row > 72 => Sign::Fails,
                    _ if column * 2 - row > 64 => Sign::Marginal,
                    _ => Sign::Holds,
                })
                .collect()
        })
        .collect();
    draw::WindowMap {
        x: [1.5, 6.35],
        y: [0.0, 3.2],
        x_label: "root opening 1/16 … 1/4 in".into(),
        y_label: "land 0 … 1/8 in".into(),
        cells,
        trade: Some([[2.4, 4.0], [0.8, 1.6]]),
        dots: vec![(2.4, 1.4, true), (3.4, 1.3, true), (2.0, 2.4, false), (5.4, 0.5, false)],
        value: Some([3.2, 1.2]),
        scatter: Some([0.5, 0.35]),
        size_px: [340.0, 200.0],
    }
}
