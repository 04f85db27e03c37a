//! What a coupon covers if it passes, and what an accepted one is worth.

use std::collections::BTreeSet;

use bendproof_codes::catalogue::Code;
use bendproof_codes::held::{
    Doubt, Gap, PassedTest, Standing, TestDetails, lasting_words, standing, standing_on,
};
use bendproof_codes::rule::Cited;
use bendproof_codes::words::{Basis, Facet, Hold, JointKind, Purpose, TestShape};
use bendproof_files::{COUPON, Document, Reader, StatedCoupon};
use bendproof_weld::{Polarity, Process, Progression, Transfer};
use jiff::civil::Date;

use super::ranges::{list_words, pipe_words, size_words};
use super::record::{Worked, confirms, is_same_way};
use crate::context::{AssessmentContext, known};
use crate::joint::{Filler, both_sizes, is_yes, p_number};
use crate::judged::{Judged, Overall, backing_detail, figure, is_word, other_process, purpose, shape_word};
use crate::sheet::{BECAUSE, Provenance, StandingLine, code_name};
use crate::stated::{CODE_NOT_STATED, not_sure};

/// What a coupon covers if it passes. Without a finish date the day given
/// stands in, and the caller says so.
pub(crate) fn of_coupon(
    document: &Document,
    coupon: &StatedCoupon,
    day: Date,
    context: AssessmentContext,
    uses: &[Use],
) -> Result<Standing, String> {
    let (code, test) = counted(document, coupon, day, context, uses)?;
    standing(code, &test).map_err(|e| e.to_string())
}

/// A coupon as the test it is, under its code, with the uses that keep it.
fn counted(
    document: &Document,
    coupon: &StatedCoupon,
    day: Date,
    context: AssessmentContext,
    uses: &[Use],
) -> Result<(&'static Code, PassedTest), String> {
    let code = context.code_of(document).ok_or(CODE_NOT_STATED)?;
    let test = test_of_coupon(document, coupon, day)?;
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
///
/// # Errors
/// Names what nobody stated and the standing hangs on.
pub(crate) fn test_of_coupon(
    document: &Document,
    coupon: &StatedCoupon,
    day: Date,
) -> Result<PassedTest, String> {
    let facts = (coupon.process, coupon.backing, shape_word(coupon), not_sure(coupon));
    let (Some(process), Some(backing), Some(shape), None) = facts else {
        return Err(not_sure(coupon).unwrap_or_default());
    };
    let mut r = Reader::new(&COUPON, document, known(None));
    // What was welded counts, not what was planned, once anything is logged.
    let logged = logged_progressions(coupon);
    let progressions = if logged.is_empty() { planned_progressions(coupon) } else { logged };
    let filler = coupon.filler.as_deref().map(Filler::of).unwrap_or_default();
    let (outside_diameter, nominal_size) =
        both_sizes(r.quantity("fit.outside_diameter"), r.quantity("fit.nominal_size"));
    Ok(PassedTest {
        welder: r.text("welder").unwrap_or("").to_owned(),
        process,
        transfer: coupon.transfer,
        positions: vec![coupon.position],
        shape,
        thickness: r.quantity("fit.thickness").ok_or("the thickness is not known")?,
        deposit: r.quantity("settings.deposit_thickness"),
        // A pass may be a layer or part of one, so passes are never counted as layers.
        layers: r.count("settings.layers"),
        outside_diameter,
        nominal_size,
        progressions: progressions.into_iter().collect(),
        backing,
        filler: filler.f_number,
        details: TestDetails {
            fm_group: filler.fm_group,
            filler_type: r.text("settings.filler_type").map(str::to_owned).or(filler.filler_type),
            polarity: r.word("settings.polarity", Polarity::from_word),
            backing_gas: is_yes(&mut r, "fit.backing_gas"),
            base_metal: coupon.steel.as_deref().map(p_number),
            backing: backing_detail(&mut r),
            figure: figure(&mut r),
            other_process: other_process(&mut r),
            fillet_piece: is_word(&mut r, "fit.fillet_piece", "yes"),
            waveform: is_word(&mut r, "settings.short_arc", "waveform") == Some(true),
            ..TestDetails::default()
        },
        procedure_test: purpose(&mut r) == Purpose::Procedure,
        finished: r.date("finished").unwrap_or(day),
        uses: Vec::new(),
    })
}

fn planned_progressions(coupon: &StatedCoupon) -> BTreeSet<Progression> {
    coupon.planned.iter().copied().filter(|p| *p != Progression::Level).collect()
}

fn logged_progressions(coupon: &StatedCoupon) -> BTreeSet<Progression> {
    coupon.log.passes.iter().filter_map(|p| p.progression).filter(|p| *p != Progression::Level).collect()
}

/// A doubt where the log and the plan name different progressions.
pub(crate) fn log_doubt(coupon: &StatedCoupon) -> Option<String> {
    let (planned, logged) = (planned_progressions(coupon), logged_progressions(coupon));
    // A plan that states none contradicts nothing.
    if logged.is_empty() || planned.is_empty() || logged == planned {
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
pub struct Qualification {
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
    /// Why no stamped verdict stands for the coupon; `None` where one does, or
    /// where a file is its own statement.
    pub doubt: Option<String>,
    /// Whether the day lies ahead, so that uses may still be logged before it.
    pub is_ahead: bool,
}

/// Why no stamp stands for an accepted coupon.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Unsettled {
    /// Nobody stamped its verdict.
    NotStamped,
    /// It was amended since, or reads otherwise than the stamp.
    Amended,
}

impl Unsettled {
    /// Name of the doubt it leaves; no code's rule.
    fn name(self) -> &'static str {
        match self {
            Self::NotStamped => "verdict-not-stamped",
            Self::Amended => "amended-since-judged",
        }
    }

    /// What the lines below it wait for.
    pub(crate) fn waits(self) -> &'static str {
        match self {
            Self::NotStamped => "will qualify for, once the verdict is stamped",
            Self::Amended => "undetermined until the verdict is stamped again",
        }
    }

    /// What stands before the standing in one line.
    fn word(self) -> &'static str {
        match self {
            Self::NotStamped => "not stamped yet",
            Self::Amended => "not sure",
        }
    }
}

impl Qualification {
    /// The same as stated on `today`, which may lie before the day it is stated for.
    #[must_use]
    pub fn as_seen_on(mut self, on: Date, today: Date) -> Self {
        self.is_ahead = on > today;
        let words = self.lasting();
        if let Some(line) = self.lines.iter_mut().find(|line| self.is_ahead && line.label == LASTS)
            && self.is_lapsed
        {
            line.value = words;
        }
        self
    }

    /// Until when it lasts, in words; an end that a use can still put off is no
    /// fact yet.
    pub fn lasting(&self) -> String {
        match self.until.filter(|_| self.is_ahead && self.is_lapsed) {
            Some(until) => format!("expires after {until} if no further use is logged"),
            None => lasting_words(self.standing.hold, self.until),
        }
    }

    /// Leaves all of it open for this reason: not sure whatever is asked.
    pub(crate) fn leave_open(&mut self, state: Unsettled, why: String) {
        if self.standing.hold == Some(Hold::Held) {
            self.standing.hold = Some(Hold::NotKnown);
        }
        self.lines.insert(0, line("doubt", &why, derived(HISTORY)));
        self.summary = format!("{}: {}", state.word(), self.summary);
        self.standing.doubts.push(Doubt {
            facet: Some(Facet::Continuity),
            joints: Vec::new(),
            backing: Vec::new(),
            words: Vec::new(),
            over: None,
            rule: state.name().to_owned(),
            clause: None,
            message: why.clone(),
        });
        self.doubt = Some(why);
    }
}

/// What an accepted coupon is worth on the day asked for: later uses do not count.
/// `None` while it is not accepted, was not finished by then, or no day is given.
pub fn held(
    number: &str,
    document: &Document,
    uses: &[Use],
    context: impl Into<AssessmentContext>,
) -> Option<Qualification> {
    let context = context.into();
    let on = context.day?;
    let coupon = bendproof_files::read_coupon(document, known(Some(on))).stated?;
    if Judged::of(document, Some(&coupon), context.code_of(document), context).overall() != Overall::Accept {
        return None;
    }
    let finished = Reader::new(&COUPON, document, known(Some(on))).date("finished")?;
    let known: Vec<Use> = uses.iter().filter(|used| used.date <= on).cloned().collect();
    let (code, test) = counted(document, &coupon, finished, context, &known).ok()?;
    let standing = standing_on(code, &test, on).ok()?;
    let summary = match &standing.refused {
        Some(refused) => format!("no qualification under {}: {}", code.short, refused.message),
        None => {
            let processes =
                format!("{} {}", standing.processes.join(", "), standing.transfer_modes.join(", "));
            // What the coupon was: a pipe's own positions say more than its plate's.
            let positions = match test.shape {
                TestShape::Pipe => &standing.positions.pipe_groove,
                TestShape::Plate => &standing.positions.plate_groove,
            };
            format!("{}: {} in {} ({})", code.short, processes.trim_end(), positions.join(", "), test.shape)
        }
    };
    let until = standing.until.filter(|_| standing.refused.is_none());
    let days_left = until.and_then(|day| on.until(day).ok()).map(|span| span.get_days());
    Some(Qualification {
        number: number.to_owned(),
        lines: held_lines(&standing, log_doubt(&coupon)),
        summary,
        until,
        is_lapsed: standing.hold == Some(Hold::Lapsed),
        days_left,
        doubt: None,
        is_ahead: false,
        code,
        test,
        standing,
    })
}

/// Lines of an accepted coupon, its doubts among them.
fn held_lines(standing: &Standing, log_doubt: Option<String>) -> Vec<StandingLine> {
    let mut out = lines(standing, Seen::WithUses);
    out.extend(standing.doubts.iter().map(|d| doubted("doubt", d, &standing.code)));
    out.extend(
        log_doubt.iter().map(|d| line("doubt", d, derived("the log against the plan of this coupon"))),
    );
    out
}

/// Label of the one line of a standing where the code covers nothing.
pub(crate) const REFUSED: &str = "no qualification";

/// What a standing is seen with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Seen {
    /// The coupon alone, whatever was welded since.
    Alone {
        /// The day it was finished is stated.
        is_dated: bool,
        /// It is accepted.
        is_accepted: bool,
    },
    /// An accepted coupon with the uses of the process logged since.
    WithUses,
}

/// The standing as lines with their clauses.
pub(crate) fn lines(standing: &Standing, seen: Seen) -> Vec<StandingLine> {
    if let Some(refused) = &standing.refused {
        return vec![doubted(REFUSED, refused, &standing.code)];
    }
    let mut out = Vec::new();
    if matches!(seen, Seen::Alone { is_accepted: false, .. }) {
        out.push(line("state", "will qualify for, if accepted", derived("this coupon is not accepted yet")));
    }
    out.extend(covered(standing));
    out.push(lasts(standing, seen));
    out.extend(standing.because.iter().map(|c| StandingLine {
        label: BECAUSE.to_owned(),
        value: c.clause.clone(),
        provenance: of_rules(&standing.code, &[c]),
    }));
    out
}

/// What is covered, one line a facet.
fn covered(standing: &Standing) -> Vec<StandingLine> {
    let words = |list: &[String], facet, joint| list_words(standing, list, facet, joint);
    let position = |label, value, joint| facet_line(standing, label, value, Facet::Position, Some(joint));
    let plate = |list: &[String], joint| words(list, Facet::Position, Some(joint));
    let positions = &standing.positions;
    let line = |label, value, facet| facet_line(standing, label, value, facet, None);
    let mut out = vec![
        line("processes", words(&standing.processes, Facet::Process, None), Facet::Process),
        position(
            "plate groove",
            plate(&positions.plate_groove, JointKind::PlateGroove),
            JointKind::PlateGroove,
        ),
        position("pipe groove", pipe_words(standing), JointKind::PipeGroove),
        position("fillet", plate(&positions.fillet, JointKind::Fillet), JointKind::Fillet),
    ];
    // What is left open is shown; what no rule speaks of, or such a test has not, is not.
    let is_stated =
        |is_empty: bool, facet: Facet| !is_empty || standing.gap(facet, None) == Gap::Undetermined;
    let listed = |label, list: &[String], facet| {
        is_stated(list.is_empty(), facet).then(|| line(label, words(list, facet, None), facet))
    };
    out.extend(listed("transfer", &standing.transfer_modes, Facet::Transfer));
    out.extend(listed("progression", &standing.progressions, Facet::Progression));
    out.push(line("thickness", size_words(standing, Facet::Thickness), Facet::Thickness));
    if is_stated(standing.diameter.is_none(), Facet::Diameter) {
        out.push(line("outside diameter", size_words(standing, Facet::Diameter), Facet::Diameter));
    }
    out.push(line("backing", words(&standing.backing, Facet::Backing, None), Facet::Backing));
    out.extend(listed("welds", &standing.welds, Facet::Weld));
    out.extend(listed("products", &standing.products, Facet::Product));
    out.extend(listed("backing gas", &standing.backing_gases, Facet::BackingGas));
    out.extend(listed("filler types", &standing.filler_types, Facet::FillerType));
    out.extend(listed("polarity", &standing.polarities, Facet::Polarity));
    out.extend(listed("layers of fillets", &standing.runs, Facet::Runs));
    out.push(line("fillers", words(&standing.fillers, Facet::Filler, None), Facet::Filler));
    out.extend(listed("base metals", &standing.base_metals, Facet::BaseMetal));
    out
}

/// One facet with the rules that grant it, or with the one that leaves it open.
fn facet_line(
    standing: &Standing,
    label: &str,
    value: String,
    facet: Facet,
    joint: Option<JointKind>,
) -> StandingLine {
    let code = &standing.code;
    let granting = standing.behind(facet, joint);
    let is_open = granting.is_empty() && standing.gap(facet, joint) == Gap::Undetermined;
    let doubt = standing.doubts.iter().find(|doubt| is_open && doubt.facet == Some(facet));
    let open = doubt.and_then(|doubt| cited(doubt, code));
    let behind: Vec<&Cited> = granting.into_iter().chain(&open).collect();
    line(label, &value, of_rules(code, &behind))
}

/// Label of the line that says until when.
const LASTS: &str = "lasts";

/// Until when, by the rule that sets the day.
fn lasts(standing: &Standing, seen: Seen) -> StandingLine {
    let lasts = lasting_words(standing.hold, standing.until);
    let until = match (standing.until, standing.hold) {
        (Some(_), _) if matches!(seen, Seen::Alone { is_dated: false, .. }) => {
            "counted from the day it was finished; set it".to_owned()
        }
        (Some(_), None | Some(Hold::Held)) => match seen {
            Seen::Alone { .. } => format!("{lasts} by this test alone; process use logged since extends it"),
            Seen::WithUses => format!("{lasts}; renewal before then extends it"),
        },
        _ => lasts,
    };
    line(LASTS, &until, of_rules(&standing.code, &standing.behind(Facet::Continuity, None)))
}

fn line(label: &str, value: &str, provenance: Provenance) -> StandingLine {
    StandingLine { label: label.to_owned(), value: value.to_owned(), provenance }
}

/// Where it stands what became of a verdict.
const HISTORY: &str = "the history of this coupon";

/// What a standing waits for, above its lines.
pub(crate) fn state_line(waits: &str) -> StandingLine {
    line("state", waits, derived(HISTORY))
}

fn derived(source: &str) -> Provenance {
    Provenance { source: source.to_owned(), basis: Basis::Derived.word().to_owned(), rule: None }
}

/// Where a line comes from: the clause and basis of the weakest rule behind it,
/// and the other clauses after it.
fn of_rules(code: &str, behind: &[&Cited]) -> Provenance {
    let name = code_name(code);
    let Some(weakest) = Cited::weakest(behind.iter().copied()) else {
        return derived(&format!("no rule of {name} here grants or limits it"));
    };
    let mut clauses = vec![weakest.clause.as_str()];
    for cited in behind {
        if !clauses.contains(&cited.clause.as_str()) {
            clauses.push(&cited.clause);
        }
    }
    Provenance {
        source: format!("{name}, {}", clauses.join("; ")),
        basis: weakest.basis.word().to_owned(),
        rule: Some(crate::sheet::rule_ref(code, &weakest.rule)),
    }
}

/// A doubt or a refusal, with what its own rule is worth.
fn doubted(label: &str, doubt: &Doubt, code: &str) -> StandingLine {
    line(label, &doubt.message, of_rules(code, &cited(doubt, code).iter().collect::<Vec<_>>()))
}

/// The rule of a doubt, as the code has it.
fn cited(doubt: &Doubt, code: &str) -> Option<Cited> {
    let explained = bendproof_codes::catalogue::explain_under(&doubt.rule, code).ok()?;
    let (clause, basis) = (explained.rule.clause.clone(), explained.rule.basis);
    Some(Cited { rule: doubt.rule.clone(), clause, basis })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_of_several_rules_is_worth_its_weakest() {
        let cited =
            |rule: &str, clause: &str, basis| Cited { rule: rule.into(), clause: clause.into(), basis };
        let (read, recalled) = (cited("a", "Table 1", Basis::Seen), cited("b", "Table 2", Basis::Memory));
        let provenance = of_rules("code", &[&read, &recalled]);
        assert_eq!(
            (provenance.basis.as_str(), provenance.source.as_str()),
            ("memory", "code, Table 2; Table 1")
        );
        assert_eq!(provenance.rule.as_deref(), Some("b"));
        assert_eq!(of_rules("code", &[&read]).basis, "seen");
        assert!(of_rules("code", &[]).source.contains("no rule of code"));
    }
}
