//! What a coupon covers if it passes, and what an accepted one is worth.

use std::collections::BTreeSet;

use bendproof_codes::{Code, Hold, PassedTest, Purpose, Standing, TestDetails, standing, standing_on};
use bendproof_files::{COUPON, Document, Reader};
use bendproof_weld::{Coupon, Process, Progression, Transfer};
use jiff::civil::Date;

use crate::job::both_sizes;
use crate::judge::{purpose, shape_word};
use crate::known::{Told, known};
use crate::overall::{Judged, Overall};
use crate::record::{Filler, Worked, confirms, is_same_way};
use crate::sheet::{Provenance, StandingLine};
use crate::visual::{backing_detail, figure, is_word, other_process};

/// What a coupon covers if it passes. Without a finish date the day given
/// stands in, and the caller says so.
pub(crate) fn of_coupon(
    document: &Document,
    coupon: &Coupon,
    day: Date,
    told: Told,
    uses: &[Use],
) -> Result<Standing, String> {
    let (code, test) = counted(document, coupon, day, told, uses)?;
    standing(code, &test).map_err(|e| e.to_string())
}

/// A coupon as the test it is, under its code, with the uses that keep it.
fn counted(
    document: &Document,
    coupon: &Coupon,
    day: Date,
    told: Told,
    uses: &[Use],
) -> Result<(&'static Code, PassedTest), String> {
    let code = told.code_of(document).ok_or("the code is not known")?;
    let test = test_of_coupon(document, coupon, day).ok_or("the thickness is not known")?;
    let mut worked = Worked::default();
    for used in uses.iter().filter(|u| u.is_of(&test)) {
        worked.add(used.date, used.is_as(&test), confirms(&used.checked_by, &test.welder));
    }
    let Worked { uses, confirmed, other_transfer } = worked;
    let details = TestDetails { confirmed, other_transfer, ..test.details.clone() };
    Ok((code, PassedTest { uses, details, ..test }))
}

/// A coupon as the test it is, with no later use of the process. Without a
/// finish date the day given stands in.
pub(crate) fn test_of_coupon(document: &Document, coupon: &Coupon, day: Date) -> Option<PassedTest> {
    let mut r = Reader::new(&COUPON, document, known(None));
    // What was welded counts, not what was planned, once anything is logged.
    let logged = logged_progressions(coupon);
    let progressions = if logged.is_empty() { planned_progressions(coupon) } else { logged };
    let filler = Filler::of(&coupon.settings.wire);
    let (outside_diameter, nominal_size) =
        both_sizes(r.quantity("fit.outside_diameter"), r.quantity("fit.nominal_size"));
    Some(PassedTest {
        welder: r.text("welder").unwrap_or("").to_owned(),
        process: coupon.settings.process,
        transfer: coupon.settings.transfer,
        positions: vec![coupon.fit.position],
        shape: shape_word(coupon),
        thickness: r.quantity("fit.thickness")?,
        deposit: r.quantity("settings.deposit_thickness"),
        // A pass may be a layer or part of one, so passes are never counted as layers.
        layers: r.count("settings.layers"),
        outside_diameter,
        nominal_size,
        progressions: progressions.into_iter().collect(),
        backing: coupon.fit.joint.backing,
        filler: Some(filler.f_number),
        details: TestDetails {
            fm_group: filler.fm_group,
            filler_type: filler.filler_type,
            backing: backing_detail(&mut r),
            figure: figure(&mut r),
            other_process: other_process(&mut r),
            fillet_piece: is_word(&mut r, "fit.fillet_piece", "yes") == Some(true),
            waveform: is_word(&mut r, "settings.short_arc", "waveform") == Some(true),
            ..TestDetails::default()
        },
        procedure_test: purpose(&mut r) == Purpose::Procedure,
        finished: r.date("finished").unwrap_or(day),
        uses: Vec::new(),
    })
}

fn planned_progressions(coupon: &Coupon) -> BTreeSet<Progression> {
    coupon.passes.iter().map(|p| p.progression).filter(|p| *p != Progression::Level).collect()
}

fn logged_progressions(coupon: &Coupon) -> BTreeSet<Progression> {
    coupon.log.passes.iter().filter_map(|p| p.progression).filter(|p| *p != Progression::Level).collect()
}

/// A doubt when the log and the plan name different progressions.
pub(crate) fn log_doubt(coupon: &Coupon) -> Option<String> {
    let (planned, logged) = (planned_progressions(coupon), logged_progressions(coupon));
    if logged.is_empty() || logged == planned {
        return None;
    }
    let words = |set: &BTreeSet<Progression>| set.iter().map(|p| p.word()).collect::<Vec<_>>().join(" and ");
    Some(format!(
        "the log says {}, the plan {}; the standing goes by the log",
        words(&logged),
        words(&planned)
    ))
}

/// A day on which a welder used a process.
#[derive(Debug, Clone, PartialEq)]
pub struct Use {
    /// The day.
    pub date: Date,
    /// The process.
    pub process: Process,
    /// Metal transfer, for GMAW.
    pub transfer: Option<Transfer>,
    /// Job, coupon or log line, and who saw it.
    pub evidence: String,
    /// Who checked it, where a code asks that the work be confirmed; empty for
    /// nobody.
    pub checked_by: String,
}

impl Use {
    /// Whether it is a use of the test's process since the test. What another
    /// metal transfer counts for is the code's to say.
    pub(crate) fn is_of(&self, test: &PassedTest) -> bool {
        self.process == test.process && self.date >= test.finished
    }

    fn is_as(&self, test: &PassedTest) -> bool {
        is_same_way(self.process, self.transfer, test.transfer)
    }
}

/// What one accepted coupon gives its welder on a day.
#[derive(Debug, Clone, PartialEq)]
pub struct Held {
    /// The coupon.
    pub number: String,
    /// The code it was tested under.
    pub code: &'static Code,
    /// The test, with the uses known on that day.
    pub test: PassedTest,
    /// What it covers on that day.
    pub standing: Standing,
    /// What is covered, with clauses.
    pub lines: Vec<StandingLine>,
    /// The processes and positions in one line.
    pub summary: String,
    /// The last day it holds; `None` when the code sets none or refuses.
    pub until: Option<Date>,
    /// Whether that day has passed.
    pub is_lapsed: bool,
    /// Days left; `None` when there is no last day.
    pub days_left: Option<i32>,
}

/// What an accepted coupon is worth on the day told: later uses do not count.
/// `None` while it is not accepted, was not finished by then, or no day is told.
pub fn held(number: &str, document: &Document, uses: &[Use], told: impl Into<Told>) -> Option<Held> {
    let told = told.into();
    let on = told.day?;
    let (coupon, _) = bendproof_files::read_coupon(document, known(Some(on))).0?;
    if Judged::of(document, Some(&coupon), told.code_of(document), told).overall() != Overall::Accept {
        return None;
    }
    let finished = Reader::new(&COUPON, document, known(Some(on))).date("finished")?;
    let known: Vec<Use> = uses.iter().filter(|used| used.date <= on).cloned().collect();
    let (code, test) = counted(document, &coupon, finished, told, &known).ok()?;
    let standing = standing_on(code, &test, on).ok()?;
    let summary = match &standing.refused {
        Some(refused) => format!("covers nothing under {}: {}", standing.code, refused.message),
        None => {
            // What the coupon was: a pipe's own positions say more than its plate's.
            let positions = match coupon.fit.shape {
                bendproof_weld::Shape::Pipe { .. } => &standing.positions.pipe_groove,
                bendproof_weld::Shape::Plate { .. } => &standing.positions.plate_groove,
            };
            format!(
                "{}: {} {} in {} ({})",
                standing.code,
                standing.processes.join(", "),
                standing.transfer_modes.join(", "),
                positions.join(", "),
                shape_word(&coupon)
            )
        }
    };
    let until = standing.until.filter(|_| standing.refused.is_none());
    let days_left = until.and_then(|day| on.until(day).ok()).map(|span| span.get_days());
    Some(Held {
        number: number.to_owned(),
        lines: held_lines(&standing, log_doubt(&coupon)),
        summary,
        until,
        is_lapsed: standing.hold == Some(Hold::Lapsed),
        days_left,
        code,
        test,
        standing,
    })
}

/// Lines of an accepted coupon, its doubts among them.
fn held_lines(standing: &Standing, log_doubt: Option<String>) -> Vec<StandingLine> {
    let mut out = lines(standing, true, true);
    out.extend(standing.doubts.iter().map(|d| line("doubt", &d.message, Some(&d.rule))));
    out.extend(log_doubt.iter().map(|d| line("doubt", d, None)));
    out
}

/// Label of the one line of a standing where the code covers nothing.
pub(crate) const REFUSED: &str = "covered";

/// The standing as lines with their clauses.
pub(crate) fn lines(standing: &Standing, is_dated: bool, is_accepted: bool) -> Vec<StandingLine> {
    if let Some(refused) = &standing.refused {
        return vec![line(REFUSED, &refused.message, Some(&refused.rule))];
    }
    let words = |list: &[String]| if list.is_empty() { "none".to_owned() } else { list.join(", ") };
    let mut out = Vec::new();
    if !is_accepted {
        out.push(line("state", "would cover, if accepted", None));
    }
    out.extend([
        line("processes", &words(&standing.processes), None),
        line("plate groove", &words(&standing.positions.plate_groove), None),
        line("pipe groove", &crate::json::pipe_words(standing), None),
        line("fillet", &words(&standing.positions.fillet), None),
    ]);
    if !standing.transfer_modes.is_empty() {
        out.push(line("transfer", &words(&standing.transfer_modes), None));
    }
    if !standing.progressions.is_empty() {
        out.push(line("progression", &words(&standing.progressions), None));
    }
    out.push(line("thickness", &crate::json::range_words(standing.thickness.as_ref()), None));
    if standing.diameter.is_some() {
        out.push(line("outside diameter", &crate::json::range_words(standing.diameter.as_ref()), None));
    }
    out.push(line("backing", &words(&standing.backing), None));
    for (label, list) in [
        ("welds", &standing.welds),
        ("products", &standing.products),
        ("filler types", &standing.filler_types),
        ("layers of fillets", &standing.runs),
    ] {
        if !list.is_empty() {
            out.push(line(label, &words(list), None));
        }
    }
    let fillers = if standing.fillers.is_empty() {
        "not stated by the rules here".to_owned()
    } else {
        words(&standing.fillers)
    };
    out.push(line("fillers", &fillers, None));
    let until = match standing.until {
        Some(day) if is_dated => format!("until {day}, unless kept up before as the code asks"),
        Some(_) => "counted from the day it was finished; set it".to_owned(),
        None => "not known".to_owned(),
    };
    out.push(line("lasts", &until, None));
    out.extend(standing.because.iter().map(|c| StandingLine {
        label: "because".to_owned(),
        value: c.clause.clone(),
        provenance: Provenance {
            source: format!("{}, {}", standing.code, c.clause),
            basis: c.basis.word().to_owned(),
            rule: Some(crate::straps::rule_ref(&standing.code, &c.rule)),
        },
    }));
    out
}

fn line(label: &str, value: &str, rule: Option<&str>) -> StandingLine {
    StandingLine {
        label: label.to_owned(),
        value: value.to_owned(),
        provenance: Provenance {
            source: "rules listed under because".to_owned(),
            basis: "derived".to_owned(),
            rule: rule.map(str::to_owned),
        },
    }
}
