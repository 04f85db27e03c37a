//! The sheet put together from one document.

use bendproof_codes::catalogue::Code;
use bendproof_codes::judged::BendReport;
use bendproof_codes::words::Verdict;
use bendproof_files::{
    COUPON, Document, Finding, HEAD, Reader, Severity, StatedCoupon, has_field, read_fit, stated_process,
};
use bendproof_forecast::{HeatOf, cap_width_m};
use bendproof_weld::Process;
use bendproof_weld::basis::Basis;

use super::fields::{FieldContext, fields};
use super::items::{CapLimit, FUSION, chance_brief, items, tie_in};
use super::{pictures, straps, verdict};
use crate::context::{AssessmentContext, known};
use crate::drawn::Look;
use crate::forecast::{Computed, NO_FORECAST, compute, next, next_words};
use crate::judged::{Judged, Overall};
use crate::origin::CHANCE_SOURCE;
use crate::plates;
use crate::plates::PastPlate;
use crate::sheet::figures::Planned;
use crate::sheet::{
    Figure, Item, LogRow, Mark, PassRow, Provenance, Sheet, StandingLine, figures, mark, stick_figures,
};
use crate::solved::SolvedCoupon;
use crate::welder::standing::{self, Seen};

impl Computed {
    /// The answers of the forecast in words; none without one.
    fn items(&self) -> Vec<Item> {
        let Some((coupon, forecast)) = self.coupon.as_ref().zip(self.forecast.as_ref()) else {
            return Vec::new();
        };
        let cap = CapLimit::of(&self.ahead, cap_width_m(coupon), self.system);
        items(forecast, &cap, self.system)
    }
}

/// Builds the sheet of a document.
///
/// `plates` are this shop's own finished coupons; `context` is the caller's
/// calendar, and the shop's limits where it has any. The same arguments give
/// the same sheet.
pub fn build(
    number: &str,
    document: &Document,
    plates: &[PastPlate],
    context: impl Into<AssessmentContext>,
    look: Look,
) -> Sheet {
    build_with(number, document, plates, context, look, None)
}

/// Builds the sheet of a document whose beads may have been solved; `solved`
/// must be the solution of this very document.
pub fn build_with(
    number: &str,
    document: &Document,
    plates: &[PastPlate],
    context: impl Into<AssessmentContext>,
    look: Look,
    solved: Option<&SolvedCoupon>,
) -> Sheet {
    let context = context.into();
    let today = context.day;
    let computed = compute(document, context, solved);
    let coupon = computed.coupon.as_ref();
    let near = coupon.map(|c| plates::near(c, plates)).unwrap_or_default();
    let code = context.code_of(document);
    let (limits, scatter) = (computed.limits, computed.scatter);
    let entries = FieldContext { document, coupon, code, limits, scatter, near: near.clone(), today };
    let thickness = Reader::new(&COUPON, document, known(today)).quantity("fit.thickness");
    let stated = computed.stated.as_ref();
    let plan = stated.zip(code).and_then(|(stated, code)| straps::plan(code, document, stated));
    let judged = Judged::of(document, stated, code, context);
    let (verdict, verdict_mark, verdict_lines) = verdict::overall(&judged);
    let (standing, doubts) = standing_of(document, stated, context, judged.overall());
    let stamp = Stamp::of(&computed, &judged, code, verdict_mark);
    let bends = &judged.bends;
    let fit = read_fit(document, known(today));
    let given = coupon.zip(computed.forecast.as_ref()).zip(computed.scatter.as_ref());
    let heat = solved.map_or(HeatOf::Fast, |solved| HeatOf::Solved(&solved.solved));
    let full = given.map(|((coupon, forecast), scatter)| (coupon, forecast, scatter, heat));
    let cut: Vec<String> = bends.straps.iter().filter_map(|s| s.kind.clone()).collect();
    let drawings = pictures::drawings(look, fit.as_ref(), full, &computed, plan.as_ref(), &cut, &near);
    Sheet {
        number: number.to_owned(),
        title: title(document, stated),
        subtitle: subtitle(document, code),
        stamp: stamp.words,
        stamp_note: stamp.note,
        stamp_mark: stamp.mark,
        stamp_provenance: stamp_provenance(&judged),
        next_reading: next_reading(document, &computed, &judged, solved),
        findings: to_settle(&computed.findings, &standing, code),
        head: fields(&entries, "", HEAD),
        fit: with_faults(fit_fields(&entries), &computed.findings),
        fit_computed: fit_computed(&computed),
        settings: with_faults(settings_fields(&entries), &computed.findings),
        passes: pass_rows(&entries, &computed),
        totals: totals(&computed),
        forecast: computed.items(),
        forecast_notes: forecast_notes(&computed),
        log: log_rows(&entries, stated, &computed),
        visual: with_faults(fields(&entries, "visual.", VISUAL), &computed.findings),
        visual_further: with_faults(fields(&entries, "visual.", VISUAL_FURTHER), &computed.findings),
        visual_findings: judged.visual.as_ref().map(verdict::visual_lines).unwrap_or_default(),
        specimens: plan
            .as_ref()
            .zip(thickness)
            .map(|(plan, t)| straps::plan_lines(plan, t.si, stated.is_some_and(|s| s.steel.is_some())))
            .unwrap_or_default(),
        straps: straps::views(&entries, bends, plan.as_ref(), thickness),
        exams: verdict::exam_views(&entries, &judged),
        not_examined: verdict::not_examined(&judged),
        verdict,
        verdict_mark,
        verdict_lines,
        standing,
        doubts,
        drawings,
    }
}

/// The user's title, or one made from the fit.
fn title(document: &Document, stated: Option<&bendproof_files::StatedCoupon>) -> String {
    let title = document.get("title").map(str::trim).filter(|t| !t.is_empty()).map(str::to_owned);
    let made =
        || stated.map_or_else(|| "coupon not complete yet".to_owned(), |c| figures::title(c, document));
    title.unwrap_or_else(made)
}

/// Which reading to make next; empty where there is no chance to settle any more.
fn next_reading(
    document: &Document,
    computed: &Computed,
    judged: &Judged,
    solved: Option<&SolvedCoupon>,
) -> String {
    if is_past_forecasting(judged) {
        return String::new();
    }
    next(document, computed, solved).map(|next| next_words(next.as_ref())).unwrap_or_default()
}

/// What to settle first: that the test will cover nothing, then what is wrong
/// with the coupon as written.
fn to_settle(findings: &[Finding], standing: &[StandingLine], code: Option<&Code>) -> Vec<String> {
    let refused = covers_nothing(standing).zip(code);
    let nothing =
        refused.map(|(line, code)| format!("no qualification under {}: {}", code.short, line.value));
    nothing.into_iter().chain(said_once(findings.iter().filter(|f| !has_no_forecast(f)))).collect()
}

/// The line that says why a test qualifies for nothing.
fn covers_nothing(standing: &[StandingLine]) -> Option<&StandingLine> {
    standing.iter().find(|line| line.label == standing::REFUSED)
}

/// What is said alike of several passes, or lines of the log, in one sentence.
fn said_once<'a>(findings: impl Iterator<Item = &'a Finding>) -> Vec<String> {
    let mut sentences: Vec<(&str, &str, Vec<&str>)> = Vec::new();
    for finding in findings {
        let row = finding.path.split_once('.').and_then(|(list, rest)| Some((list, rest.split_once('.')?.0)));
        let (list, row) = row.filter(|(list, _)| ["pass", "log"].contains(list)).unwrap_or_default();
        match sentences.iter_mut().find(|(message, of, _)| *message == finding.message && *of == list) {
            Some((.., rows)) => rows.push(row),
            None => sentences.push((&finding.message, list, vec![row])),
        }
    }
    sentences
        .into_iter()
        .map(|(message, list, rows)| match list {
            "" => message.to_owned(),
            list => format!("{list} {}: {message}", rows.join(", ")),
        })
        .collect()
}

/// Whether a finding says that the process has no forecast: nothing to fix.
fn has_no_forecast(finding: &Finding) -> bool {
    finding.message.starts_with(NO_FORECAST)
}

/// What limits the forecast, or why the process has none.
fn forecast_notes(computed: &Computed) -> Vec<String> {
    let why_none = || computed.findings.iter().filter(|f| has_no_forecast(f)).map(|f| f.message.clone());
    computed.forecast.as_ref().map_or_else(|| why_none().collect(), |f| f.notes.clone())
}

const VISUAL: &[&str] = &[
    "cap_height",
    "undercut",
    "root_concavity",
    "melt_through",
    "weld_thickness",
    "cracks",
    "fusion",
    "penetration",
    "craters",
    "other_flaws",
];

const VISUAL_FURTHER: &[&str] = &[
    "cap_width",
    "root_width",
    "misalignment",
    "toe_angle",
    "undercut_length",
    "shrinkage_groove",
    "shrinkage_groove_length",
    "root_concavity_length",
    "incomplete_penetration",
    "incomplete_penetration_length",
    "underfill",
    "underfill_length",
    "overlap",
    "surface_pore",
    "end_crater_pipe",
    "crater_cracks",
    "burn_through",
    "root_porosity",
    "restarts",
    "arc_strikes",
    "spatter",
    "surface_slag",
    "weld_length",
    "butt_throat",
    "fluid_service",
    "design_temperature",
];

fn fit_fields(context: &FieldContext<'_>) -> Vec<crate::sheet::Field> {
    let is_pipe = context.document.get("fit.shape").is_some_and(|s| s.trim().eq_ignore_ascii_case("pipe"));
    // A diameter that was written for a plate must be seen to be taken away.
    let has_diameter = is_pipe || context.document.get("fit.outside_diameter").is_some();
    let sizes = [("length", !is_pipe), ("outside_diameter", has_diameter)];
    let sizes = sizes.into_iter().filter(|(_, is_shown)| *is_shown).map(|(name, _)| name);
    let before = ["root_opening", "root_face", "mismatch", "shape", "position", "thickness"];
    let after = ["groove_angle", "root_face_right", "backing", "steel", "start_temperature"];
    let names: Vec<&str> = before.into_iter().chain(sizes).chain(after).collect();
    fields(context, "fit.", &names)
}

fn settings_fields(context: &FieldContext<'_>) -> Vec<crate::sheet::Field> {
    let mut out = fields_of_process(
        context,
        "settings.",
        &[
            "process",
            "transfer",
            "wire",
            "wire_diameter",
            "gas",
            "gas_flow",
            "extension",
            "deposition_efficiency",
            "interpass_max",
            "short_arc",
            "deposit_thickness",
            "other_process",
            "layers",
            "heat_treated",
        ],
    );
    // Asked of GTAW alone; a value somebody stated is shown whatever the process.
    let is_tig = stated_process(context.document) == Some(Process::Gtaw);
    let of_tig = ["settings.filler_type", "settings.polarity", "fit.backing_gas"];
    let shown: Vec<&str> =
        of_tig.into_iter().filter(|path| is_tig || context.document.get(path).is_some()).collect();
    out.extend(fields(context, "", &shown));
    let further = ["nominal_size", "backing_detail", "figure", "fillet_piece", "tensile_min", "steel_group"];
    out.extend(fields(context, "fit.", &further));
    let scatter = ["root_opening", "root_face", "travel", "wire_feed", "volts"];
    out.extend(fields_of_process(context, "scatter.", &scatter));
    out.extend(fields_of_process(context, "price.", &["wire", "gas", "hour", "blank"]));
    out
}

/// Fields with what only shows when values are seen together, as a filler of
/// another process, said next to the value.
fn with_faults(mut fields: Vec<crate::sheet::Field>, findings: &[Finding]) -> Vec<crate::sheet::Field> {
    let grave = |path: &str| {
        findings.iter().find(|f| f.severity == Severity::Error && f.path == path).map(|f| f.message.clone())
    };
    for field in fields.iter_mut().filter(|field| field.error.is_none()) {
        field.error = grave(&field.path);
    }
    fields
}

/// Fields of several names that the stated process has: a stick electrode has
/// no gas and no wire feed to ask for.
fn fields_of_process(context: &FieldContext<'_>, prefix: &str, names: &[&str]) -> Vec<crate::sheet::Field> {
    let process = stated_process(context.document);
    let names: Vec<&str> =
        names.iter().copied().filter(|name| has_field(process, &format!("{prefix}{name}"))).collect();
    fields(context, prefix, &names)
}

/// Numbers that follow from the fit of what is computed.
fn fit_computed(computed: &Computed) -> Vec<Figure> {
    let of_wire = computed.forecast.as_ref().map(|f| (f.groove_area_m2, f.face_width_m));
    let of_stick = || computed.stick.as_ref().map(|s| (s.groove_area_m2, s.face_width_m));
    of_wire
        .or_else(of_stick)
        .map(|(area, face)| figures::of_fit(area, face, computed.system))
        .unwrap_or_default()
}

fn totals(computed: &Computed) -> Vec<Figure> {
    let of_wire = computed.forecast.as_ref().map(|f| figures::of_totals(f, computed.system));
    let of_stick = || computed.stick.as_ref().map(|s| stick_figures::of_totals(s, computed.system));
    of_wire.or_else(of_stick).unwrap_or_default()
}

fn pass_rows(context: &FieldContext<'_>, computed: &Computed) -> Vec<PassRow> {
    let (forecast, system) = (computed.forecast.as_ref(), computed.system);
    let rows = context.document.rows("pass");
    rows.into_iter()
        .enumerate()
        .map(|(index, row)| {
            let prefix = format!("pass.{row}.");
            let travel = match context.document.get(&format!("{prefix}bead_area")) {
                Some(_) => "bead_area",
                None => "travel",
            };
            let names = [
                "kind",
                "beads",
                "progression",
                "volts",
                "wire_feed",
                travel,
                "amps",
                "technique",
                "weave_width",
                "dwell",
                "ground_to",
            ];
            let pass = forecast.and_then(|f| f.passes.get(index));
            let stick = computed.stick.as_ref().and_then(|s| Some((s, s.passes.get(index)?)));
            PassRow {
                pass: row,
                beads: match pass.map(|p| p.beads).or(stick.map(|(_, p)| p.beads)) {
                    Some((first, last)) if first == last => first.to_string(),
                    Some((first, last)) => format!("{first}–{last}"),
                    None => "–".to_owned(),
                },
                fields: fields_of_process(context, &prefix, &names),
                computed: pass
                    .map(|p| figures::of_pass(p, system))
                    .or_else(|| stick.map(|(s, p)| stick_figures::of_pass(s, p, system)))
                    .unwrap_or_default(),
                tie_in: pass.map_or_else(|| unknown_tie_in(row, stick.is_some()), |p| tie_in(p, system)),
            }
        })
        .collect()
}

fn unknown_tie_in(row: usize, is_stick: bool) -> Item {
    let why = if is_stick { "not computed for stick" } else { "the coupon is not complete" };
    Item {
        key: format!("pass.{row}.tie_in"),
        label: FUSION.to_owned(),
        mark: Mark::NotKnown,
        value: "not known".to_owned(),
        uncertainty: String::new(),
        driver: why.to_owned(),
        provenance: Provenance {
            source: "no forecast yet".to_owned(),
            basis: "choice".to_owned(),
            rule: None,
        },
    }
}

fn log_rows(context: &FieldContext<'_>, coupon: Option<&StatedCoupon>, computed: &Computed) -> Vec<LogRow> {
    let wire = computed.forecast.iter().flat_map(|f| &f.passes).map(Planned::from);
    let stick = computed.stick.iter().flat_map(|s| &s.passes).map(Planned::from);
    let plan: Vec<Planned> = wire.chain(stick).collect();
    let names = ["kind", "progression", "volts", "amps", "wire_feed", "travel", "interpass", "note"];
    let rows = context.document.rows("log");
    rows.into_iter()
        .enumerate()
        .map(|(index, row)| {
            let read = coupon.and_then(|c| c.log.passes.get(index));
            // A reading that names its kind is set next to the first pass of that
            // kind; one that does not, next to the pass of its number.
            let planned = match read.and_then(|r| r.kind) {
                Some(kind) => plan.iter().find(|p| p.kind == kind),
                None => plan.get(index),
            };
            let compared = read.zip(planned).map(|(r, p)| figures::differences(r, p, computed.system));
            LogRow {
                log: row,
                fields: fields_of_process(context, &format!("log.{row}."), &names),
                differences: compared.unwrap_or_default(),
            }
        })
        .collect()
}

fn standing_of(
    document: &Document,
    coupon: Option<&StatedCoupon>,
    context: AssessmentContext,
    overall: Overall,
) -> (Vec<StandingLine>, Vec<String>) {
    let Some(coupon) = coupon else { return (Vec::new(), Vec::new()) };
    let mut reader = Reader::new(&COUPON, document, known(context.day));
    let finished = reader.date("finished");
    let Some(day) = finished.or(context.day) else { return (Vec::new(), Vec::new()) };
    match standing::of_coupon(document, coupon, day, context, &[]) {
        Ok(standing) => {
            let mut doubts: Vec<String> = standing.doubts.iter().map(|d| d.message.clone()).collect();
            doubts.extend(standing::log_doubt(coupon));
            let (is_dated, is_accepted) = (finished.is_some(), overall == Overall::Accept);
            (standing::lines(&standing, Seen::Alone { is_dated, is_accepted }), doubts)
        }
        Err(why) => (Vec::new(), vec![why]),
    }
}

fn stamp_provenance(judged: &Judged) -> Provenance {
    let bent = judged.bends.report.as_ref().map(|report| &report.code);
    let (source, basis) = match bent.or(judged.pieces.first().map(|piece| &piece.code)) {
        Some(code) => (format!("verdict under {code}; see operation 70 for every clause"), "derived"),
        None => (
            format!(
                "word from the chance; the chance is the {CHANCE_SOURCE}; after a reading, the same draws with that input known to the reading's own error"
            ),
            Basis::Choice.word(),
        ),
    };
    Provenance { source, basis: basis.to_owned(), rule: None }
}

/// A coupon in one line of a list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Summary {
    /// The user's title, or one made from the fit.
    pub title: String,
    /// How far it has come: `planned`, `welded`, `straps cut`, `judged`.
    pub stage: &'static str,
    /// What the sheet's stamp says.
    pub stamp: String,
    /// What the stamp leaves out; may be empty.
    pub note: String,
    /// The stamp's mark.
    pub mark: Mark,
    /// Whether everything the code asks for is accepted.
    pub is_accepted: bool,
}

/// Sums a document up without drawing or sweeping anything; `solved` are its beads,
/// where they are kept.
pub fn summary(
    document: &Document,
    context: impl Into<AssessmentContext>,
    solved: Option<&SolvedCoupon>,
) -> Summary {
    let context = context.into();
    let computed = compute(document, context, solved);
    let stated = computed.stated.as_ref();
    let code = context.code_of(document);
    let judged = Judged::of(document, stated, code, context);
    let (_, verdict_mark, _) = verdict::overall(&judged);
    let Stamp { words: stamp, mut note, mark } = Stamp::of(&computed, &judged, code, verdict_mark);
    let is_accepted = judged.overall() == Overall::Accept;
    // An accept that buys nothing reads as a qualification without these words.
    if is_accepted && covers_nothing(&standing_of(document, stated, context, judged.overall()).0).is_some() {
        let none = code.map(|code| format!("no qualification under {}", code.short));
        note = [Some(note), none]
            .into_iter()
            .flatten()
            .filter(|part| !part.is_empty())
            .collect::<Vec<_>>()
            .join("; ");
    }
    let stage = match &judged.bends.report {
        Some(report) if is_judged(report) && judged.bends.not_stated().is_none() => "judged",
        _ if judged.is_begun() || !judged.bends.straps.is_empty() => "specimens cut",
        _ if !document.rows("log").is_empty() => "welded",
        _ => "planned",
    };
    Summary { title: title(document, stated), stage, stamp, note, mark, is_accepted }
}

/// Whether every strap was looked at, or a film stands for them.
fn is_judged(report: &BendReport) -> bool {
    match report.straps.as_slice() {
        [] => report.verdict == Verdict::Accept,
        straps => straps.iter().all(|s| s.inspected),
    }
}

/// What is bent or cut, or what the eye has refused, is past forecasting.
fn is_past_forecasting(judged: &Judged) -> bool {
    judged.is_begun() || judged.overall() == Overall::RejectVisual
}

/// What is said first of a coupon: a few words, what they leave out, their mark.
struct Stamp {
    words: String,
    note: String,
    mark: Mark,
}

impl Stamp {
    fn of(computed: &Computed, judged: &Judged, code: Option<&'static Code>, verdict_mark: Mark) -> Self {
        if is_past_forecasting(judged) {
            let [word, note] = judged.brief();
            let words = code.map_or(word.clone(), |code| format!("{word} · {}", code.short));
            return Self { words, note, mark: verdict_mark };
        }
        let Some(forecast) = computed.forecast.as_ref() else { return Self::without_forecast(computed) };
        let mark = mark(forecast.verdict);
        let word = match mark {
            Mark::Holds => "root should hold",
            Mark::Marginal => "root marginal",
            Mark::Fails => "root likely to fail",
            Mark::NotKnown => "root unknown",
        };
        match &forecast.chance {
            Ok(chance) => {
                let [share, note] = chance_brief(chance);
                Self { words: format!("{word} · {share}"), note, mark }
            }
            Err(_) => Self { words: word.to_owned(), note: String::new(), mark },
        }
    }

    /// A plan that no forecast will ever judge lacks nothing for that.
    fn without_forecast(computed: &Computed) -> Self {
        let process = computed.stated.as_ref().and_then(|stated| stated.process);
        let [words, note] = match process.filter(|process| *process != Process::Gmaw) {
            Some(process) => ["planned".to_owned(), format!("{NO_FORECAST} {process}")],
            None => ["not complete".to_owned(), String::new()],
        };
        Self { words, note, mark: Mark::NotKnown }
    }
}

/// Who, where and with what, as stated, and to which code.
fn subtitle(document: &Document, code: Option<&'static Code>) -> String {
    let process = stated_process(document);
    let text = |path: &str| {
        let text = document.get(path).map(str::trim).filter(|t| !t.is_empty());
        text.filter(|_| has_field(process, path))
    };
    let mut parts = Vec::new();
    if let Some(welder) = text("welder") {
        parts.push(format!("for {welder}"));
    }
    if let Some(booth) = text("booth") {
        parts.push(format!("booth {booth}"));
    }
    let together = |paths: &[&str]| paths.iter().filter_map(|path| text(path)).collect::<Vec<_>>().join(" ");
    let with = [
        together(&["settings.process", "settings.transfer"]),
        together(&["settings.wire_diameter", "settings.wire"]),
        together(&["settings.gas"]),
    ];
    let with: Vec<String> = with.into_iter().filter(|part| !part.is_empty()).collect();
    if !with.is_empty() {
        parts.push(with.join(", "));
    }
    if let Some(code) = code {
        parts.push(format!("to {}", code.full_title()));
    }
    parts.join(" · ")
}
