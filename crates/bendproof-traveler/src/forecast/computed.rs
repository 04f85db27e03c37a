//! Everything computed of a coupon document, before it is put into words.

use bendproof_codes::ahead::LimitAhead;
use bendproof_files::{Document, Finding, StatedCoupon, read_coupon, stated_process};
use bendproof_forecast::stick::{StickForecast, stick_forecast};
use bendproof_forecast::{Forecast, Limits, Scatter, forecast, forecast_solved};
use bendproof_measure::System;
use bendproof_weld::{Coupon, Process, Shape, SizeLimit};

use crate::context::{AssessmentContext, known, system_of};
use crate::judged::visual;
use crate::solved::SolvedCoupon;
use crate::stated::proposed;

/// How the finding begins that a process has no forecast, which nobody can mend.
pub(crate) const NO_FORECAST: &str = "no forecast for";

/// Reads and forecasts a document, from its solved beads where they are given.
pub(crate) fn compute(
    document: &Document,
    context: impl Into<AssessmentContext>,
    solved: Option<&SolvedCoupon>,
) -> Computed {
    let context = context.into();
    let read = read_coupon(document, known(context.day));
    let mut findings = read.findings;
    let (coupon, scatter) = match read.plan {
        Some((coupon, s)) => (Some(coupon), Some(scatter_of(&s))),
        None => (None, None),
    };
    let code = context.code_ahead(document);
    let ahead =
        code.map(|code| visual::limits(document, read.stated.as_ref(), code, context)).unwrap_or_default();
    let limits = limits_of(&ahead);
    let system = system_of(document);
    let forecast = coupon.as_ref().zip(scatter.as_ref()).map(|(coupon, scatter)| {
        let mut made = match solved {
            Some(solved) => forecast_solved(coupon, scatter, &limits, &solved.solved),
            None => forecast(coupon, scatter, &limits),
        };
        made.notes.extend(proposed(document, matches!(coupon.fit.shape, Shape::Pipe { .. })));
        made
    });
    findings.extend(stated_process(document).and_then(no_forecast));
    let stick = read.stick.as_ref().map(stick_forecast);
    Computed { stated: read.stated, coupon, scatter, forecast, stick, ahead, limits, system, findings }
}

/// What a process other than GMAW goes without: the arc, root and fusion laws here
/// are those of GMAW.
fn no_forecast(process: Process) -> Option<Finding> {
    let without = match process {
        Process::Gmaw => return None,
        Process::Smaw => {
            "root and fusion are not computed for stick; amps and travel of each pass give rods, heat and time; bends, verdict and standing work"
        }
        _ => "the arc and heat laws here are those of GMAW; bends, verdict and standing work without it",
    };
    Some(Finding::warning("settings.process", format!("{NO_FORECAST} {process}: {without}")))
}

fn scatter_of(s: &bendproof_files::Scatter) -> Scatter {
    Scatter {
        root_opening_m: s.root_opening_m,
        root_face_m: s.root_face_m,
        travel_share: s.travel_share,
        wire_feed_share: s.wire_feed_share,
        volts: s.volts,
    }
}

/// The limits that the forecast asks for; under several codes the least.
fn limits_of(ahead: &[LimitAhead]) -> Limits {
    let limit = |wanted: &str| {
        let of_it = ahead.iter().filter(|l| l.fact == Some(wanted));
        of_it.filter_map(|l| l.greatest).reduce(SizeLimit::and)
    };
    Limits {
        crown: limit("cap_height"),
        melt_through: limit("melt_through"),
        // How deep a hollow may be follows the plate, never the bead.
        concavity_m: limit("root_concavity").map(|l| l.most_m),
    }
}

/// Everything read from a document before it is put into words.
pub(crate) struct Computed {
    /// What the document states; a verdict and a standing go by it.
    pub stated: Option<StatedCoupon>,
    /// With proposals for what nobody stated; a forecast goes by it.
    pub coupon: Option<Coupon>,
    pub scatter: Option<Scatter>,
    pub forecast: Option<Forecast>,
    /// What a stick plan takes.
    pub stick: Option<StickForecast>,
    /// The limits the weld will be held to by eye.
    pub ahead: Vec<LimitAhead>,
    /// Those of them that the forecast asks for.
    pub limits: Limits,
    /// The units the coupon is written in: those of its thickness.
    pub system: System,
    pub findings: Vec<Finding>,
}
