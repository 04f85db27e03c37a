//! The continuity log: every day a process was used since the test, what shows
//! it and who checked it.

use bendproof_codes::ahead::asks_confirmation;
use bendproof_codes::catalogue::Code;
use bendproof_codes::held::{Advice, PassedTest, Standing, lasting_words, renewal, standing};
use bendproof_codes::words::{Basis, Hold};
use bendproof_files::{Document, read_coupon};
use bendproof_weld::Transfer;
use jiff::civil::Date;

use super::blocks::{
    Issue, Record, RecordKind, TableRow, field, fields, filled, not_stated, stated, table, to_sign,
};
use super::coupon_record::RecordRefused;
use crate::context::{AssessmentContext, known};
use crate::stated::CODE_NOT_STATED;
use crate::welder::{RecordError, Use, of_coupon, read_whole, test_of_coupon};

/// What a continuity log says, from a record file or from a shop's own register.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ContinuityLog {
    /// Number of the log.
    pub number: String,
    /// Code and edition.
    pub code: String,
    /// Who answers for it.
    pub company: String,
    /// The welder.
    pub welder: String,
    /// The welder's stamp or identification.
    pub welder_mark: String,
    /// Process and transfer.
    pub process: String,
    /// The day the test was finished.
    pub finished: String,
    /// The last day it is held; `None` where the code sets none.
    pub until: Option<Date>,
    /// Whether it is held on the day the log is made; `None` where no day is given.
    pub hold: Option<Hold>,
    /// Every use, any order.
    pub uses: Vec<LoggedUse>,
    /// What renews the standing and what a lapse costs: sentence, clause, and
    /// whether the clause is from memory.
    pub rules: Vec<(String, String, bool)>,
    /// Why nothing is held, and what the rules leave open.
    pub doubts: Vec<String>,
    /// Whether the test covers anything.
    pub is_held: bool,
}

/// One day a process was used.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct LoggedUse {
    /// The day, `2026-10-03`.
    pub day: String,
    /// Process and transfer of the use.
    pub process: String,
    /// What shows it: job, coupon or log line.
    pub evidence: String,
    /// Who checked it.
    pub checked_by: String,
}

/// What a record file says of continuity.
///
/// # Errors
/// [`RecordError`] lists every fault of the text.
pub fn log_of_record(
    text: &str,
    number: &str,
    context: impl Into<AssessmentContext>,
) -> Result<ContinuityLog, RecordError> {
    let context = context.into();
    let read = read_whole(text, context)?;
    let fault = |why: String| RecordError { findings: vec![bendproof_files::Finding::error("", why)] };
    let held = standing(read.code, &read.test).map_err(|why| fault(why.to_string()))?;
    let said = |path: &str| read.document.get(path).unwrap_or("").trim().to_owned();
    let with = |transfer: &str| format!("{} {transfer}", said("process")).trim().to_owned();
    let process = with(&said("transfer"));
    let bare = read.document.rows("uses").into_iter().map(|row| LoggedUse {
        day: said(&format!("uses.{row}")),
        process: process.clone(),
        evidence: String::new(),
        checked_by: String::new(),
    });
    let rows = read.document.rows("use").into_iter().map(|row| LoggedUse {
        day: said(&format!("use.{row}.date")),
        process: match said(&format!("use.{row}.transfer")) {
            own if own.is_empty() => process.clone(),
            own => with(&own),
        },
        evidence: said(&format!("use.{row}.evidence")),
        checked_by: said(&format!("use.{row}.checked_by")),
    });
    Ok(ContinuityLog {
        number: number.to_owned(),
        company: said("company"),
        welder_mark: said("welder_mark"),
        process: process.clone(),
        finished: said("finished"),
        uses: bare.chain(rows).collect(),
        ..kept(read.code, &read.test, &held, context)
    })
}

/// What the shop's own register says of the continuity of one accepted coupon:
/// every use of its process since it was finished, with who checked it, or who
/// entered it where that is enough.
///
/// # Errors
/// [`RecordRefused`] when the coupon cannot be read or has no day it was
/// finished.
pub fn log_of_coupon(
    document: &Document,
    uses: &[(Use, String)],
    context: impl Into<AssessmentContext>,
) -> Result<ContinuityLog, RecordRefused> {
    let context = context.into();
    let said = |path: &str| document.get(path).unwrap_or("").trim().to_owned();
    let refused = |why: &str| RecordRefused::Faults(vec![why.to_owned()]);
    let Some(coupon) = read_coupon(document, known(context.day)).stated else {
        return Err(refused("the coupon is not complete; see its sheet"));
    };
    let day = said("finished").parse::<Date>();
    let day = day.map_err(|_| refused("finished is missing; enter the day the last bead was laid"))?;
    let code = context.code_of(document).ok_or_else(|| refused(CODE_NOT_STATED))?;
    let all: Vec<Use> = uses.iter().map(|(used, _)| used.clone()).collect();
    let held = of_coupon(document, &coupon, day, context, &all).map_err(|why| refused(&why))?;
    let test = test_of_coupon(document, &coupon, day).map_err(|why| refused(&why))?;
    // Who entered a use has seen it, which confirms no work where a code asks for that.
    let is_enough = !asks_confirmation(code);
    let with = |transfer: Option<Transfer>| {
        let transfer = transfer.map(|t| t.to_string()).unwrap_or_default();
        format!("{} {transfer}", test.process).trim().to_owned()
    };
    let logged = |(used, by): &(Use, String)| LoggedUse {
        day: used.date.to_string(),
        process: with(used.transfer),
        evidence: used.evidence.clone(),
        checked_by: match used.checked_by.trim() {
            "" if is_enough => by.clone(),
            checked_by => checked_by.to_owned(),
        },
    };
    Ok(ContinuityLog {
        number: said("number"),
        company: said("company"),
        welder_mark: said("welder_mark"),
        process: with(test.transfer),
        finished: said("finished"),
        uses: uses.iter().filter(|(used, _)| used.is_of(&test)).map(logged).collect(),
        ..kept(code, &test, &held, context)
    })
}

/// What the code says of a standing and of keeping it.
fn kept(code: &Code, test: &PassedTest, held: &Standing, context: AssessmentContext) -> ContinuityLog {
    let said = |t: Advice| {
        let is_from_memory = t.because.basis == Basis::Memory;
        (t.sentence, t.because.clause, is_from_memory)
    };
    ContinuityLog {
        code: held.code.clone(),
        welder: held.welder.clone(),
        until: held.until,
        hold: context.day.map(|day| held.hold_on(day)),
        rules: renewal(code, test).into_iter().map(said).collect(),
        doubts: held.refused.iter().chain(&held.doubts).map(|d| d.message.clone()).collect(),
        is_held: held.refused.is_none(),
        ..ContinuityLog::default()
    }
}

/// The continuity log as a record. It is complete when every use has what shows
/// it and who checked it.
pub fn continuity(log: &ContinuityLog, issue: Issue) -> Record {
    let until = log.until.map_or_else(|| "not known".to_owned(), |day| day.to_string());
    let mut uses = log.uses.clone();
    uses.sort();
    let is_complete = log.is_held
        && !uses.is_empty()
        && uses.iter().all(|u| !u.evidence.is_empty() && !u.checked_by.is_empty());
    let who = [
        ("company", &log.company),
        ("welder", &log.welder),
        ("welder's mark", &log.welder_mark),
        ("process", &log.process),
        ("test finished", &log.finished),
        ("valid through", &until),
    ];
    // Short-circuit transfer counts as a process of its own under some codes.
    let used =
        |u: LoggedUse| TableRow::of(vec![u.process, u.day, stated(&u.evidence), stated(&u.checked_by)]);
    let rule = |(sentence, clause, is_from_memory): &(String, String, bool)| TableRow {
        is_from_memory: *is_from_memory,
        ..TableRow::of(vec![sentence.clone(), clause.clone()])
    };
    let blocks = filled(vec![
        fields("welder and process", who.iter().map(|(label, value)| field(label, value)).collect()),
        table("used", &["process", "day", "evidence", "checked by"], uses.into_iter().map(used).collect()),
        table("continuity rules", &["what", "clause"], log.rules.iter().map(rule).collect()),
    ]);
    let mut open_points: Vec<String> = not_stated(&blocks).into_iter().collect();
    open_points.extend(log.doubts.iter().cloned());
    open_points.extend(missing(log, is_complete).map(str::to_owned));
    let (statement, signatures) = to_sign(RecordKind::Continuity, is_complete);
    Record {
        kind: RecordKind::Continuity,
        title: RecordKind::Continuity.title().to_owned(),
        number: log.number.clone(),
        code: log.code.clone(),
        subtitle: format!("{}, {}", log.welder, log.process),
        state: match log.hold {
            Some(Hold::Lapsed) => lasting_words(log.hold, log.until),
            _ if is_complete => lasting_words(log.hold, log.until),
            _ => "not complete".to_owned(),
        },
        is_complete,
        blocks,
        open_points,
        statement,
        signatures,
        issue,
    }
}

/// What a log that is not complete lacks.
fn missing(log: &ContinuityLog, is_complete: bool) -> Option<&'static str> {
    match (is_complete, log.is_held, log.uses.is_empty()) {
        (true, ..) => None,
        (false, false, _) => Some("The test gives no qualification, so there is no continuity to log."),
        (false, true, true) => Some("No day of use is logged."),
        (false, true, false) => Some("A process-use entry has no evidence or no verifier."),
    }
}
