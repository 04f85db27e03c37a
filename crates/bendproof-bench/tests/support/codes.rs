//! An invented coupon under two invented codes.

use bendproof_traveler::{Across, AcrossCell, AcrossColumn, AcrossRow, AheadLine, CodeAhead, CodesView};

fn line(words: &str, rule: &str) -> AheadLine {
    AheadLine { words: words.into(), rules: vec![rule.into()] }
}

fn code(id: &str) -> CodeAhead {
    CodeAhead {
        code: id.into(),
        title: format!("{id} <invented>"),
        refused: None,
        chart: "<svg role=\"img\" aria-label=\"chart\" width=\"10\" height=\"10\"></svg>".into(),
        asks: vec![line("straps of 3G: face 1, root 1", "x-straps")],
        would: vec![line("position in plate groove V", "x-position")],
        not_sure: Vec::new(),
        would_not: vec![line("backing open: no such figure", "x-backing")],
        later: vec![line("six months without it end it", "x-renew")],
        designation: None,
    }
}

/// Two codes that differ in one row.
pub fn view() -> CodesView {
    let cell = |text: &str, differs: bool| AcrossCell {
        text: text.into(),
        rules: Vec::new(),
        differs,
        why: differs.then(|| "a <reason>".into()),
    };
    let column = |code: &str, is_own| AcrossColumn { code: code.into(), title: code.into(), is_own };
    CodesView {
        table: Across {
            columns: vec![column("code-a", true), column("code-b", false)],
            rows: vec![AcrossRow {
                about: "plate groove".into(),
                cells: vec![cell("F, H, V", false), cell("F, V", true)],
            }],
        },
        codes: vec![
            code("code-a"),
            CodeAhead {
                refused: Some(line("backing only", "x-refused")),
                chart: String::new(),
                would: Vec::new(),
                would_not: Vec::new(),
                ..code("code-b")
            },
        ],
        json: serde_json::json!({ "side_by_side": [] }),
    }
}
