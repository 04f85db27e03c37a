//! Records of the invented coupon: one issued twice.

use bendproof_bench::desk::*;

use super::{NUMBER, procedures};

fn row(revision: u32, why: &str, is_replaced: bool) -> IssuedRow {
    IssuedRow {
        id: "welder-2031-invented".into(),
        title: "Welder qualification record".into(),
        code: "invented code 2031".into(),
        state: "accept".into(),
        revision,
        at: "2026-11-25 14:03:09 UTC".into(),
        who: "Odile".into(),
        why: why.into(),
        hash: "0123456789abcdef".into(),
        is_replaced,
        amended: is_replaced.then(|| "amended since 2026-11-26: <the wire>".into()),
        altered: None,
    }
}

/// One whose hash does not hold.
fn altered() -> IssuedRow {
    let (id, altered) = ("welder-2031-altered".to_owned(), Some("its hash does not hold".to_owned()));
    IssuedRow { id, revision: 1, altered, ..IssuedRow::default() }
}

/// Of the one coupon and the one procedure there are.
pub fn view(of: RecordOf) -> RecordsView {
    let pair = |word: &str, title: &str| (word.to_owned(), title.to_owned());
    RecordsView {
        of,
        number: if of == RecordOf::Coupon { NUMBER } else { procedures::NUMBER }.into(),
        kinds: vec![pair("welder", "Welder qualification record"), pair("bends", "Bend report")],
        codes: vec![pair("invented-2031", "invented code 2031"), pair("invented-2029", "invented code 2029")],
        open: vec!["not stated: <code>".into()],
        issued: vec![row(2, "mark corrected", false), row(1, "first issue", true), altered()],
    }
}

/// Issues bend reports; a welder record wants a reason here.
pub fn issued(ask: IssueAsk<'_>) -> Entered<String> {
    if ask.kind == "bends" || !ask.why.is_empty() {
        return Entered::Kept(format!("{}-{}-{}", ask.kind, ask.number, ask.code));
    }
    let message = "a new issue needs the reason why it is issued again".to_owned();
    Entered::Refused(vec![Finding { path: None, message }])
}

pub fn file(id: &str, revision: u32, kind: RecordFile) -> Result<Download, Trouble> {
    if id != "welder-2031-invented" || !(1..=2).contains(&revision) {
        return Err(Trouble::Absent);
    }
    Ok(Download {
        content_type: "application/octet-stream".into(),
        file_name: format!("{id}-issue-{revision}{}", kind.ending()),
        bytes: vec![1, 2, 3],
    })
}
