//! A welder's days and a joint asked about, invented.

use bendproof_bench::desk::{
    FinderBox, Finding, HeldView, JointAnswer, JointAsk, JointAskView, LifeView, TestAnswer, UnderAnswer,
    WelderDays,
};
use bendproof_traveler::sheet::{AheadLine, RuleWay};
use bendproof_traveler::sheet::{Mark, StandingLine};

use super::TODAY;

fn line(words: &str) -> AheadLine {
    AheadLine {
        words: words.into(),
        rules: vec![RuleWay { to: "invented.bend.single".into(), clause: "invented.bend.single".into() }],
    }
}

/// The days of a welder with one accepted coupon, or of a new one.
pub fn days(standing: &[StandingLine], on: Option<&str>) -> WelderDays {
    let is_read = on.is_none_or(|on| on.len() == 10);
    let day = on.filter(|_| is_read).unwrap_or(TODAY);
    let mut days = WelderDays {
        on: day.into(),
        today: TODAY.into(),
        typed: on.unwrap_or_default().into(),
        error: (!is_read).then(|| format!("day: {on:?} is not in the calendar")),
        ..WelderDays::default()
    };
    if !standing.is_empty() && day >= "2031-01-01" {
        days.chart = "<svg role=\"img\" viewBox=\"0 0 10 10\"><title>lanes</title></svg>".into();
        days.lanes = vec!["invented code, GMAW: held 2031-01-05 to 2031-07-05".into()];
        days.held = vec![HeldView {
            coupon: "0228".into(),
            code: "invented".into(),
            title: "invented code, GMAW short-circuit".into(),
            mark: Mark::Holds,
            hold: "valid through 2031-07-05".into(),
            lines: standing.to_vec(),
        }];
        days.life = vec![LifeView {
            title: "An invented code".into(),
            events: vec![("once it has lapsed".into(), vec![line("weld one coupon again")])],
        }];
    }
    days
}

fn choice(path: &str, label: &str, words: &[&str], ask: &JointAsk) -> FinderBox {
    let text = ask.boxes.iter().find(|(of, _)| of == path).map_or("", |(_, text)| text);
    FinderBox {
        path: path.into(),
        label: label.into(),
        hint: "A sentence.".into(),
        options: words.iter().map(|w| ((*w).into(), w.replace('_', " "))).collect(),
        text: text.into(),
    }
}

/// The question form, answered not sure where no backing is named.
pub fn asked(name: &str, ask: &JointAsk) -> JointAskView {
    let boxes = vec![
        choice("ask.1.joint", "joint", &["plate_groove", "fillet"], ask),
        choice("ask.1.thickness", "thickness", &[], ask),
        choice("ask.1.backing", "backing", &["open", "steel"], ask),
    ];
    let mut findings = Vec::new();
    if ask.is_asked && boxes[1].text == "thick" {
        let message = "thickness is `thick`: write it like 3/8 in".into();
        findings.push(Finding { path: Some("ask.1.thickness".into()), message });
    }
    let (mark, words) =
        if boxes[2].text.is_empty() { (Mark::NotKnown, "not sure") } else { (Mark::Holds, "covered") };
    let test = TestAnswer {
        coupon: "0228".into(),
        mark,
        words: words.into(),
        reasons: vec![(mark, words.into(), line("backing: as asked"))],
    };
    let answer = JointAnswer {
        question: "plate groove <V>".into(),
        mark,
        words: words.into(),
        under: vec![UnderAnswer {
            code: "invented".into(),
            title: "An invented code".into(),
            mark,
            words: words.into(),
            tests: vec![test.clone(), test],
        }],
    };
    let is_answered = ask.is_asked && findings.is_empty();
    JointAskView {
        name: name.into(),
        boxes,
        on: if ask.on.is_empty() { TODAY.into() } else { ask.on.clone() },
        data: serde_json::json!({ "answer": words, "findings": findings }),
        findings,
        answer: is_answered.then_some(answer),
    }
}
