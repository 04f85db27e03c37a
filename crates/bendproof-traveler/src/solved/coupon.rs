//! A coupon read and solved, bead by bead.

use bendproof_files::{COUPON, Document, Severity, read_coupon, stated_process};
use bendproof_forecast::solved::{SolveParams, Solved, solve};
use bendproof_heat::solve::CarbonSteel;
use bendproof_measure::{System, celsius_from_kelvin};
use bendproof_weld::steel::{Composition, steel_named};
use bendproof_weld::zones::ZoneLimits;
use bendproof_weld::{Backing, Coupon, Process};

use crate::context::{Today, known, system_of};

/// What stands at every picture.
pub const COMPUTED: &str = "computed, not measured";

/// A coupon read and solved; what every picture of it is made from.
#[derive(Debug, Clone, PartialEq)]
pub struct SolvedCoupon {
    /// Its number.
    pub number: String,
    /// What it is, in a few words.
    pub title: String,
    /// The coupon as stated.
    pub coupon: Coupon,
    /// Its solved beads.
    pub solved: Solved,
    pub(crate) analysis: Composition,
    /// Peak temperatures that bound the zones of its steel.
    pub zones: ZoneLimits,
    /// Cell at the weld, m.
    pub cell_m: f64,
    /// The units it speaks first.
    pub system: System,
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
        let reasons = read.findings.into_iter().filter(|f| Some(f.severity) == worst);
        return Err(NotSolved(match reasons.map(|f| f.message).collect::<Vec<_>>() {
            none if none.is_empty() => vec!["the coupon is not complete yet".into()],
            reasons => reasons,
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
        _ => crate::sheet::title(&stated, document),
    };
    let number = document.get("number").unwrap_or("").trim().to_owned();
    let system = system_of(document);
    Ok(SolvedCoupon { number, title, coupon, solved, analysis, zones, cell_m: params.cell_m, system })
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
    pub fn fusion_c(&self) -> f64 {
        celsius_from_kelvin(CarbonSteel::STIRRED.fusion_k())
    }
}
