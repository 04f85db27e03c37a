//! One invented procedure, kept as long as the process lives.

use bendproof_bench::desk::{
    AllowanceView, FinderBox, Finding, HistoryEntry, JointBoxes, JointInside, ListAsk, Listed, ProcedureAsk,
    ProcedureAskView, ProcedureChange, ProcedureList, ProcedureOutcome, ProcedurePart, ProcedureRow,
    ProcedureView, ReportView, Template, VariableView,
};
use bendproof_traveler::sheet::Mark;
use bendproof_traveler::sheet::{AheadLine, RuleWay};

use super::entry;

/// The number of the one procedure there is.
pub const NUMBER: &str = "WP-3";

/// What the fake desk keeps of it.
#[derive(Default)]
pub struct Kept {
    volts: Vec<(String, String)>,
}

fn line(mark: Mark, word: &str) -> (Mark, String, AheadLine) {
    let line = AheadLine {
        words: "volts <as asked>".into(),
        rules: vec![RuleWay { to: "invented.bend.single".into(), clause: "invented.bend.single".into() }],
    };
    (mark, word.into(), line)
}

fn allowance(mark: Mark, words: &str) -> AllowanceView {
    let reasons = vec![line(mark, words), line(Mark::Holds, "inside")];
    AllowanceView { mark, words: words.into(), reasons }
}

fn joint(mark: Mark, words: &str) -> JointInside {
    JointInside {
        name: "splice".into(),
        mark,
        words: words.into(),
        by: vec![("by the record".into(), allowance(mark, words))],
        more: vec![line(mark, words)],
    }
}

fn text_box(path: &str, label: &str, text: &str) -> FinderBox {
    FinderBox {
        path: path.into(),
        label: label.into(),
        hint: "A sentence.".into(),
        options: Vec::new(),
        text: text.into(),
    }
}

fn joint_boxes(row: usize, name: Option<&str>) -> JointBoxes {
    let branch = format!("procedure.joint.{row}");
    let one = |field: &str, text: &str| text_box(&format!("{branch}.{field}"), field, text);
    JointBoxes {
        shown: vec![one("name", name.unwrap_or_default())],
        folded: vec![one("gas", "")],
        name: name.map(str::to_owned),
        branch,
    }
}

fn codes() -> Vec<(String, String)> {
    vec![("invented".into(), "An invented code".into()), ("other".into(), "Another".into())]
}

impl Kept {
    fn version(&self) -> u64 {
        self.volts.len() as u64 + 1
    }

    fn volts(&self) -> &str {
        self.volts.last().map_or("20 V", |(volts, _)| volts)
    }

    fn history(&self) -> Vec<HistoryEntry> {
        let made = |(n, (volts, why)): (usize, &(String, String))| {
            entry(n as u64 + 2, "Marta Quill", &format!("volts {volts} · {why}"))
        };
        self.volts.iter().enumerate().map(made).rev().collect()
    }

    pub fn list(&self, ask: &ListAsk) -> ProcedureList {
        let row = ProcedureRow {
            number: NUMBER.into(),
            title: "GMAW, plate groove".into(),
            code: "invented".into(),
            mark: Mark::Holds,
            answer: "inside".into(),
            changed: "14 April".into(),
        };
        let start = Template { id: "coupon-0228".into(), title: "coupon 0228".into() };
        ProcedureList { listed: Listed::of(vec![row], ask), starts: vec![start] }
    }

    pub fn view(&self, code: &str) -> ProcedureView {
        let draft = vec![VariableView {
            name: "volts".into(),
            value: "18.5 V".into(),
            allowed: "17.2 to 19.8 V".into(),
            class: "essential".into(),
            basis: "from memory".into(),
            rule: RuleWay { to: "invented.bend.single".into(), clause: "4.8".into() },
        }];
        let report = ReportView {
            supported: Some(allowance(Mark::NotKnown, "not sure")),
            prequalified: None,
            draft,
            remarks: vec!["one set of settings".into()],
            joints: vec![joint(Mark::Fails, "outside")],
        };
        let unread = Finding { path: None, message: format!("code: {code:?} has no rules") };
        ProcedureView {
            number: NUMBER.into(),
            title: "GMAW, plate groove".into(),
            version: self.version(),
            can_undo: !self.volts.is_empty(),
            parts: vec![ProcedurePart {
                slug: "procedure".into(),
                written: vec![text_box("procedure.volts_max", "greatest volts", self.volts())],
                empty: vec![text_box("procedure.amps_max", "greatest amps", "")],
                joints: vec![joint_boxes(1, Some("splice")), joint_boxes(2, None)],
            }],
            code: if code.is_empty() { "invented".into() } else { code.into() },
            codes: codes(),
            report: if code == "moon" { Err(vec![unread]) } else { Ok(Box::new(report)) },
            joint: match code {
                "moon" => Err("Not drawn: the root face, not stated.".into()),
                _ => Ok("<svg role=\"img\" aria-label=\"joint\"></svg>".into()),
            },
            history: self.history(),
            data: serde_json::json!({ "number": NUMBER, "version": self.version(), "volts": self.volts() }),
        }
    }

    pub fn change(&mut self, change: &ProcedureChange<'_>) -> ProcedureOutcome {
        if change.changes.is_empty() {
            return ProcedureOutcome::Saved;
        }
        let volts = change.changes.iter().find_map(|(path, text)| {
            (path == "procedure.volts_max").then(|| text.clone().unwrap_or_default())
        });
        let mut findings = Vec::new();
        if volts.as_deref() == Some("many") {
            let message = "greatest volts is `many`: write it like 18.5 V".into();
            findings.push(Finding { path: Some("procedure.volts_max".into()), message });
        }
        if change.why.is_empty() {
            let message = "reason: 0 characters; write why".into();
            findings.push(Finding { path: Some("why".into()), message });
        }
        if !findings.is_empty() {
            return ProcedureOutcome::Refused(findings);
        }
        if change.version != self.version() {
            return ProcedureOutcome::Conflict(self.history());
        }
        self.volts.push((volts.unwrap_or_default(), change.why.into()));
        ProcedureOutcome::Saved
    }

    pub fn undo(&mut self) -> ProcedureOutcome {
        self.volts.push(("20 V".into(), "took back".into()));
        ProcedureOutcome::Saved
    }
}

/// The question form; a box that says `thick` is refused.
pub fn asked(ask: &ProcedureAsk) -> ProcedureAskView {
    let text = |path: &str| ask.boxes.iter().find(|(of, _)| of == path).map_or("", |(_, text)| text);
    let path = "joint.1.thickness";
    let is_wrong = ask.is_asked && text(path) == "thick";
    let finding = Finding { path: Some(path.into()), message: "thickness is `thick`".into() };
    ProcedureAskView {
        boxes: vec![text_box(path, "thickness", text(path))],
        more: vec![text_box("joint.1.gas", "gas", text("joint.1.gas"))],
        codes: codes(),
        findings: is_wrong.then_some(finding).into_iter().collect(),
        answer: (ask.is_asked && !is_wrong).then(|| joint(Mark::NotKnown, "not sure")),
        data: serde_json::json!({ "joint": { "answer": "not_sure" } }),
    }
}
