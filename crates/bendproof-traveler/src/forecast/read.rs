//! A coupon file, read and forecast.

use bendproof_files::{COUPON, Document, Finding, Severity};
use bendproof_forecast::solved::SolveParams;
use bendproof_forecast::stick::StickForecast;
use bendproof_forecast::{Forecast, Limits, NextReading};
use bendproof_weld::Coupon;

use super::computed::{Computed, compute};
use super::next::next;
use crate::context::AssessmentContext;
use crate::origin::Written;
use crate::solved::{SolvedCoupon, solve_coupon};

/// A coupon file, read and forecast.
#[derive(Debug, Clone)]
pub struct ForecastRead {
    /// What is wrong with the text, or worth a look.
    pub findings: Vec<Finding>,
    /// The coupon, its forecast and the limits it was held to; `None` when the
    /// text cannot be used.
    pub forecast: Option<(Coupon, Forecast, Limits)>,
    /// What a stick plan takes; `None` for another process, and where it lacks
    /// something.
    pub stick: Option<StickForecast>,
    /// Why the beads were not solved, where that was asked; no fault of the file.
    pub unsolved: Option<String>,
    /// The reading that would settle the chance most: `None` where there is no
    /// chance, `Some(None)` where there is nothing more to read.
    pub next_reading: Option<Option<NextReading>>,
    /// The solved beads behind the forecast; `None` for the fast model's.
    pub solved: Option<SolvedCoupon>,
    /// Which of its values somebody wrote.
    pub written: Written,
    /// The row in the file of each pass, in order.
    pub pass_rows: Vec<usize>,
}

/// Reads the text of a coupon file and forecasts it by the fast model.
pub fn read_forecast(text: &str, context: impl Into<AssessmentContext>) -> ForecastRead {
    let (document, findings) = Document::from_toml(&COUPON, text);
    as_read(&document, compute(&document, context, None), findings, None)
}

/// Reads a document and forecasts it from beads solved before, where there are any:
/// the same answers as its sheet.
pub fn document_forecast(
    document: &Document,
    context: impl Into<AssessmentContext>,
    solved: Option<&SolvedCoupon>,
) -> ForecastRead {
    as_read(document, compute(document, context, solved), Vec::new(), solved.cloned())
}

/// Reads the text of a coupon file and forecasts it from solved beads, in
/// seconds. A coupon that cannot be solved is forecast by the fast model, and
/// `unsolved` says why.
pub fn read_forecast_solved(text: &str, context: impl Into<AssessmentContext>) -> ForecastRead {
    let context = context.into();
    let (document, findings) = Document::from_toml(&COUPON, text);
    let computed = compute(&document, context, None);
    if computed.forecast.is_none() {
        return as_read(&document, computed, findings, None);
    }
    match solve_coupon(&document, context.day, &SolveParams::STANDARD) {
        Ok(solved) => as_read(&document, compute(&document, context, Some(&solved)), findings, Some(solved)),
        Err(why) => {
            ForecastRead { unsolved: Some(why.to_string()), ..as_read(&document, computed, findings, None) }
        }
    }
}

fn as_read(
    document: &Document,
    computed: Computed,
    mut findings: Vec<Finding>,
    solved: Option<SolvedCoupon>,
) -> ForecastRead {
    let next_reading = next(document, &computed, solved.as_ref());
    findings.extend(computed.findings);
    let is_sound = findings.iter().all(|f| f.severity < Severity::Error);
    let forecast = computed.coupon.zip(computed.forecast).map(|(c, f)| (c, f, computed.limits));
    ForecastRead {
        findings,
        forecast: forecast.filter(|_| is_sound),
        stick: computed.stick.filter(|_| is_sound),
        unsolved: None,
        next_reading,
        solved,
        written: Written::of(document),
        pass_rows: document.rows("pass"),
    }
}
