//! An invented coupon under two invented codes, and an invented job.

use bendproof_bench::desk::{
    CodesAnswer, FinderAsk, FinderBox, FinderView, Finding, FoundJoint, FoundSet, FoundTest, FoundView,
};
use bendproof_traveler::cover::{Across, AcrossCell, AcrossColumn, AcrossRow, CodeAhead, CodesView};
use bendproof_traveler::sheet::{AheadLine, RuleWay};

fn line(words: &str, rule: &str) -> AheadLine {
    AheadLine { words: words.into(), rules: vec![RuleWay { to: rule.into(), clause: rule.into() }] }
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

/// Two codes that differ in one row, with the same for other programs.
pub fn under_codes() -> CodesAnswer {
    CodesAnswer { view: view(), data: serde_json::json!({ "side_by_side": [] }) }
}

/// Two codes that differ in one row.
fn view() -> CodesView {
    let cell = |text: &str, differs: bool| AcrossCell {
        text: text.into(),
        rules: Vec::new(),
        differs,
        why: differs.then(|| "a <reason>".into()),
    };
    let column = |code: &str, is_own| AcrossColumn {
        code: code.into(),
        short: code.into(),
        title: code.into(),
        is_own,
    };
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
    }
}

/// The form, and where it is asked: refused without a kind, found with one.
pub fn found(ask: &FinderAsk) -> FinderView {
    let text = |path: &str| {
        ask.boxes.iter().find(|(of, _)| of == path).map(|(_, text)| text.clone()).unwrap_or_default()
    };
    let boxes = |n: usize| {
        let one = |name: &str, options: &[&str]| {
            let path = format!("joint.{n}.{name}");
            FinderBox {
                text: text(&path),
                path,
                label: name.into(),
                hint: format!("{name} of the joint"),
                options: options.iter().map(|word| ((*word).into(), word.replace('_', " "))).collect(),
            }
        };
        vec![one("kind", &["plate_groove", "fillet"]), one("thickness", &[])]
    };
    let missing = |n: &usize| text(&format!("joint.{n}.kind")).is_empty();
    let finding = |n| Finding {
        path: Some(format!("joint.{n}.kind")),
        message: "kind is missing; write one of plate_groove, fillet".into(),
    };
    let findings: Vec<Finding> =
        if ask.is_asked { (1..=ask.joints).filter(missing).map(finding).collect() } else { Vec::new() };
    let is_found = ask.is_asked && findings.is_empty();
    FinderView {
        joints: (1..=ask.joints).map(boxes).collect(),
        codes: vec![("invented-2031".into(), "Invented 2031".into())],
        data: serde_json::json!({ "findings": findings, "asked": ask.joints }),
        findings,
        found: if is_found { vec![answer()] } else { Vec::new() },
    }
}

fn answer() -> FoundView {
    let set = |doubts| FoundSet {
        coupons: 1,
        metal: "7 in³ · 120 cm³".into(),
        tests: vec![FoundTest { name: "3G plate".into(), joints: vec!["joint 1".into()] }],
        doubts,
    };
    FoundView {
        code: "invented-2031".into(),
        title: "Invented 2031".into(),
        sets: vec![set(Vec::new())],
        if_settled: vec![set(vec![line("the edition is not seen", "x-edition")])],
        open: vec![FoundJoint {
            name: "joint 2".into(),
            answer: "not covered".into(),
            nearest: Some("4G plate".into()),
            reasons: vec![line("no pipe <of this size>", "x-pipe")],
        }],
        is_complete: false,
    }
}
