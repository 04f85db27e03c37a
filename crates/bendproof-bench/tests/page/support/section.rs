//! An invented solved section: words and shapes where a solver would stand.

use bendproof_bench::desk::{FilmFrame, SectionAsk, SectionView};
use bendproof_traveler::solved::{BeadRow, COMPUTED, Column, CurveRow, Curves, SolvedSheet, places};

/// Beads of the invented plan.
pub const BEADS: usize = 2;
const FRAMES: usize = 5;

fn drawn(id: &str, title: &str) -> String {
    format!(
        "<svg id=\"{id}\" role=\"img\" aria-labelledby=\"{id}-title\" xmlns=\"http://www.w3.org/2000/svg\" \
         width=\"200\" height=\"80\" viewBox=\"0 0 200 80\" data-px-per-mm=\"10\" data-x0=\"100\" data-y0=\"70\">\
         <title id=\"{id}-title\">{title}</title><path d=\"M10 10h180v60h-180z\" fill=\"none\"/></svg>"
    )
}

/// What the invented solver shows.
pub fn view(ask: &SectionAsk) -> SectionView {
    let bead = ask.bead.clamp(1, BEADS);
    let frame = ask.frame.unwrap_or(1).min(FRAMES - 1);
    let names: Vec<String> =
        ["root", "fill"].iter().zip(1..).map(|(k, n)| format!("bead {n}, {k}")).collect();
    let row = |place| CurveRow {
        place,
        words: names[bead - 1].clone(),
        peak: "1250 °C · 2282 °F".into(),
        t85: "6.1 s".into(),
        measured: match ask.measured.len() {
            0 => String::new(),
            n => format!("{n} readings"),
        },
        is_metal: true,
    };
    SectionView {
        sheet: sheet(),
        beads: names.clone(),
        film: FilmFrame {
            bead,
            frame,
            frames: FRAMES,
            t_s: frame as f64,
            words: format!("{frame} s after the arc"),
            svg: drawn("film", "film"),
        },
        along: drawn("film-along", "along"),
        curves: Curves {
            svg: drawn("cooling", "cooling"),
            rows: places(ask, bead).into_iter().map(row).collect(),
        },
    }
}

fn sheet() -> SolvedSheet {
    let column = |label: &str, unit: &str| Column { label: label.into(), unit: unit.into() };
    SolvedSheet {
        number: super::NUMBER.into(),
        title: "invented plate".into(),
        stamp: COMPUTED.into(),
        etch: drawn("etch", "etch"),
        etch_narrow: drawn("etch-narrow", "etch, narrow"),
        answers: vec!["Left land melted 0.9 mm · 1/32 in past its edge.".into()],
        columns: vec![column("melts into left", "mm · in"), column("t8/5", "s")],
        rows: (1..=BEADS)
            .map(|bead| BeadRow {
                bead, kind: "fill".into(), cells: vec!["0.6 · 1/32".into(), "6.1".into()]
            })
            .collect(),
        notes: vec!["Everything here is computed, not measured.".into()],
    }
}
