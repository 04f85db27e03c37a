//! A coupon as its document states it: no default of the catalogue is in it.
//!
//! What judges, qualifies or is recorded goes by this; a forecast may fill the
//! gaps with the catalogue's proposals, and says so.

use bendproof_weld::stick::StickPlan;
use bendproof_weld::words::*;
use bendproof_weld::{Coupon, Log, LoggedPass};

use crate::coupon::Scatter;
use crate::document::Document;
use crate::fields::COUPON;
use crate::finding::Finding;
use crate::reader::Reader;
use crate::spec::Need;

/// A coupon read: what is stated, what can be forecast, and every fault.
#[derive(Debug, Clone, PartialEq)]
pub struct CouponRead {
    /// What the document states; `None` when an error makes it unusable.
    pub stated: Option<StatedCoupon>,
    /// Fit, settings and plan with proposals where nothing is stated, and the
    /// scatter of each input; `None` when a forecast lacks something.
    pub plan: Option<(Coupon, Scatter)>,
    /// Fit and passes of a coupon that states stick; `None` for another process, and
    /// where rods and heat lack something.
    pub stick: Option<StickPlan>,
    /// What is wrong, or worth a look.
    pub findings: Vec<Finding>,
}

/// What a document states of a coupon, as far as a verdict or a standing
/// depends on it. `None` is "not stated", never a default.
#[derive(Debug, Clone, PartialEq)]
pub struct StatedCoupon {
    /// Pipe or plate; 3G and 4G are positions of plate, 5G and 6G of pipe.
    pub is_pipe: Option<bool>,
    /// Test position.
    pub position: Position,
    /// What stands behind the root.
    pub backing: Option<Backing>,
    /// Welding process.
    pub process: Option<Process>,
    /// Metal transfer, of a process that has modes.
    pub transfer: Option<Transfer>,
    /// Filler classification.
    pub filler: Option<String>,
    /// Steel, by its specification.
    pub steel: Option<String>,
    /// Progression of each planned pass that has one written.
    pub planned: Vec<Progression>,
    /// What was read while welding.
    pub log: Log,
}

impl StatedCoupon {
    /// What decides what a test covers and nobody stated, by the names on the
    /// sheet; the filler, which decides one side of it only, is not among them.
    pub fn not_stated(&self) -> Vec<&'static str> {
        let wants_transfer = self.process.is_none_or(|process| process == Process::Gmaw);
        let open = [
            ("process", self.process.is_none()),
            ("transfer", wants_transfer && self.transfer.is_none()),
            ("backing", self.backing.is_none()),
            ("shape", self.is_pipe.is_none()),
            (
                "progression",
                self.position.rises()
                    && self.planned.is_empty()
                    && self.log.passes.iter().all(|p| p.progression.is_none()),
            ),
        ];
        open.into_iter().filter(|(_, is_open)| *is_open).map(|(name, _)| name).collect()
    }
}

/// The process a coupon document states, if it states one that is known.
pub fn stated_process(document: &Document) -> Option<Process> {
    Process::from_word(document.get("settings.process")?)
}

/// Whether a process has this field of a coupon: a stick electrode has no
/// transfer, gas or wire feed. Every field while nobody stated the process.
pub fn has_field(process: Option<Process>, path: &str) -> bool {
    use Process::*;
    let Some(process) = process else { return true };
    let of: &[Process] = match path.rsplit('.').next().unwrap_or(path) {
        "transfer" | "short_arc" => &[Gmaw],
        "gas" | "gas_flow" => &[Gmaw, Fcaw, Gtaw],
        "wire_feed" | "extension" | "deposition_efficiency" => &[Gmaw, Fcaw, Saw],
        _ => Process::ALL,
    };
    of.contains(&process)
}

/// What is proposed for a field of a coupon that nobody filled in: never a fact.
/// The settings proposed are those of GMAW; another process has none.
pub fn proposal(document: &Document, path: &str) -> Option<&'static str> {
    let Need::Default(text) = COUPON.spec(path)?.need else { return None };
    let is_gmaw = stated_process(document).is_none_or(|process| process == Process::Gmaw);
    (is_gmaw || !path.starts_with("settings.")).then_some(text)
}

/// Reads what a document states; `log` is read already.
pub(crate) fn read_stated(r: &mut Reader<'_>, log: Log) -> Option<StatedCoupon> {
    let position = r.word("fit.position", Position::from_word)?;
    let process = stated(r, "settings.process", Process::from_word);
    let shape = stated(r, "fit.shape", |word| Some(word.trim().eq_ignore_ascii_case("pipe")));
    let transfer = stated(r, "settings.transfer", Transfer::from_word);
    // A joint that does not rise has no progression, whatever is written of it.
    let rows = r.document().rows("pass").into_iter().filter(|_| position.rises());
    let of_joint =
        |p: LoggedPass| LoggedPass { progression: p.progression.filter(|_| position.rises()), ..p };
    let log = Log { passes: log.passes.into_iter().map(of_joint).collect() };
    Some(StatedCoupon {
        is_pipe: shape.or(is_pipe_position(position)),
        position,
        backing: stated(r, "fit.backing", Backing::from_word),
        process,
        transfer: transfer.filter(|_| has_field(process, "settings.transfer")),
        filler: stated(r, "settings.wire", |text| Some(text.trim().to_owned())),
        steel: stated(r, "fit.steel", |text| Some(text.trim().to_owned())),
        planned: rows
            .filter_map(|row| stated(r, &format!("pass.{row}.progression"), Progression::from_word))
            .collect(),
        log,
    })
}

/// Whether a position is one of pipe or one of plate; `None` for both.
pub(crate) fn is_pipe_position(position: Position) -> Option<bool> {
    match position {
        Position::G3 | Position::G4 => Some(false),
        Position::G5 | Position::G6 | Position::G6R => Some(true),
        _ => None,
    }
}

fn stated<T>(r: &mut Reader<'_>, path: &str, read: impl Fn(&str) -> Option<T>) -> Option<T> {
    if !r.has(path) {
        return None;
    }
    r.word(path, read)
}
