//! The solved section of one coupon, made ready to look at: the picture an
//! etched coupon would show, the numbers bead by bead, the film of a pass and
//! the cooling curves.
//!
//! It calls the solver of the forecast and puts fields into pictures and words.
//! It holds no physics of its own, and what it shows is computed, never measured;
//! every sheet says so.

mod curves;
mod field;
mod film;
mod measured;
mod pictures;
mod table;
mod view;

use bendproof_files::{COUPON, Document, Severity, read_coupon, stated_process};
use bendproof_forecast::solved::{SolveParams, Solved, solve};
use bendproof_heat::solve::CarbonSteel;
use bendproof_measure::celsius_from_kelvin;
use bendproof_weld::steel::{Composition, steel_named};
use bendproof_weld::zones::ZoneLimits;
use bendproof_weld::{Backing, Coupon, Process};
use serde::Serialize;

use crate::known::{Today, known};
use crate::pictures::Look;

pub use curves::{CurveRow, Curves, PLACES_MAX, Place, cooling_csv, curves};
pub use film::{FilmFrame, FilmSide, film_frame, film_times};
pub use measured::{MEASURED_POINTS_MAX, MeasuredError, read_measured};
pub use table::{BeadRow, Column, solved_json, solved_origins};
pub use view::{SectionAsk, SectionView, places, section_film, section_view};

/// What stands at every picture.
pub const COMPUTED: &str = "computed, not measured";

/// A coupon read and solved; what every picture of it is made from.
#[derive(Debug, Clone, PartialEq)]
pub struct SolvedCoupon {
    pub(crate) number: String,
    pub(crate) title: String,
    pub(crate) coupon: Coupon,
    pub(crate) solved: Solved,
    pub(crate) analysis: Composition,
    pub(crate) zones: ZoneLimits,
    /// Cell at the weld, m.
    pub(crate) cell_m: f64,
}

/// Why there is no picture, one sentence each.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{}", .0.join("; "))]
pub struct NotSolved(pub Vec<String>);

impl NotSolved {
    fn because(why: impl Into<String>) -> Self {
        Self(vec![why.into()])
    }
}

/// Reads and solves a document. Takes some tenths of a second per bead.
///
/// # Errors
/// [`NotSolved`] with the reason: the document cannot be used, its process,
/// backing or steel is outside what was checked, or the solver refused.
pub fn solve_coupon(
    document: &Document,
    today: Today,
    params: &SolveParams,
) -> Result<SolvedCoupon, NotSolved> {
    let read = read_coupon(document, known(today));
    check_process(document)?;
    let (Some((coupon, _)), Some(stated)) = (read.plan, read.stated) else {
        // Errors first; where there is none, what the plan lacks.
        let worst = read.findings.iter().map(|f| f.severity).max();
        let told = read.findings.into_iter().filter(|f| Some(f.severity) == worst);
        return Err(NotSolved(match told.map(|f| f.message).collect::<Vec<_>>() {
            none if none.is_empty() => vec!["the coupon is not complete yet".into()],
            told => told,
        }));
    };
    check(&coupon)?;
    let analysis = steel_named(&coupon.fit.steel).and_then(|s| s.composition()).map(|c| c.value);
    let Some(analysis) = analysis else {
        return Err(NotSolved::because(format!(
            "the analysis of {} is not known, so no edge of its heated zones is",
            coupon.fit.steel
        )));
    };
    let zones = ZoneLimits::of(&analysis).map_err(|why| NotSolved::because(why.to_string()))?;
    let solved = solve(&coupon, params).map_err(|why| NotSolved::because(why.to_string()))?;
    let title = match document.get("title").map(str::trim) {
        Some(title) if !title.is_empty() => title.to_owned(),
        _ => crate::figures::title(&stated, document),
    };
    let number = document.get("number").unwrap_or("").trim().to_owned();
    Ok(SolvedCoupon { number, title, coupon, solved, analysis, zones, cell_m: params.cell_m })
}

/// The heat problem stands for one process only.
fn check_process(document: &Document) -> Result<(), NotSolved> {
    match stated_process(document).filter(|process| *process != Process::Gmaw) {
        Some(process) => Err(NotSolved::because(format!(
            "no section is solved for {process}: the arc and melting laws here are those of GMAW"
        ))),
        None => Ok(()),
    }
}

/// What the heat problem cannot stand for.
fn check(coupon: &Coupon) -> Result<(), NotSolved> {
    if coupon.fit.joint.backing != Backing::Open {
        return Err(NotSolved::because(
            "no section is solved on steel backing: the strip and the heat it takes are not in the heat problem",
        ));
    }
    if coupon.passes.is_empty() {
        return Err(NotSolved::because("no pass is planned; add a pass"));
    }
    Ok(())
}

/// Reads and solves the text of a coupon file on the standard cell.
///
/// # Errors
/// As [`solve_coupon`]; faults of the text itself count as reasons.
pub fn solve_text(text: &str, today: Today) -> Result<SolvedCoupon, NotSolved> {
    let (document, findings) = Document::from_toml(&COUPON, text);
    let faults: Vec<String> =
        findings.into_iter().filter(|f| f.severity == Severity::Error).map(|f| f.message).collect();
    if !faults.is_empty() {
        return Err(NotSolved(faults));
    }
    solve_coupon(&document, today, &SolveParams::STANDARD)
}

/// The solved section as one value: everything the page shows and the paper
/// prints of it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SolvedSheet {
    /// The coupon's number.
    pub number: String,
    /// Title, as on the sheet.
    pub title: String,
    /// [`COMPUTED`].
    pub stamp: String,
    /// The picture, wide, with remarks beside it.
    pub etch: String,
    /// The same for a narrow window, remarks listed under it; empty on paper.
    pub etch_narrow: String,
    /// What the picture shows, in one sentence each, most important first.
    pub answers: Vec<String>,
    /// Heads of the bead table.
    pub columns: Vec<Column>,
    /// One row per bead.
    pub rows: Vec<BeadRow>,
    /// What the model leaves out, and what every number rests on.
    pub notes: Vec<String>,
}

/// The sheet of a solved coupon.
pub fn solved_sheet(solved: &SolvedCoupon, look: Look) -> SolvedSheet {
    let [etch, etch_narrow] = pictures::etches(solved, look);
    SolvedSheet {
        number: solved.number.clone(),
        title: solved.title.clone(),
        stamp: COMPUTED.to_owned(),
        etch,
        etch_narrow,
        answers: table::answers(solved),
        columns: table::columns(),
        rows: table::rows(solved),
        notes: table::notes(solved),
    }
}

impl SolvedCoupon {
    /// Beads in the plan.
    pub fn beads(&self) -> usize {
        self.solved.beads.len()
    }

    /// The coupon's number.
    pub fn number(&self) -> &str {
        &self.number
    }

    /// What a bead is called: `bead 3, fill`.
    pub fn bead_name(&self, bead: usize) -> String {
        let pass = self.solved.beads.get(bead.wrapping_sub(1)).map_or(0, |b| b.pass);
        let kind = self.coupon.passes.get(pass.wrapping_sub(1)).map_or("", |p| p.kind.word());
        format!("bead {bead}, {kind}")
    }

    /// Edge of fusion, °C.
    pub(crate) fn fusion_c(&self) -> f64 {
        celsius_from_kelvin(CarbonSteel::STIRRED.fusion_k())
    }
}
