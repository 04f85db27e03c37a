//! One answer of the forecast: a word, a margin and where it comes from.

use bendproof_weld::basis::Basis;

/// The four words of a forecast.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    /// Clear of the line.
    Holds,
    /// Too near the line to call.
    Marginal,
    /// On the wrong side of the line.
    Fails,
    /// Outside what the model was checked for, or an input is missing.
    NotKnown,
}

impl Verdict {
    /// The word as files and JSON spell it.
    pub fn word(self) -> &'static str {
        match self {
            Verdict::Holds => "holds",
            Verdict::Marginal => "marginal",
            Verdict::Fails => "fails",
            Verdict::NotKnown => "not_known",
        }
    }

    /// From a margin: above `sure` holds, below `-sure` fails, between marginal.
    pub(crate) fn from_margin(margin: f64, sure: f64) -> Self {
        // A NaN margin compares with nothing and lands on the honest word.
        if margin >= sure {
            Verdict::Holds
        } else if margin <= -sure {
            Verdict::Fails
        } else if margin.is_nan() {
            Verdict::NotKnown
        } else {
            Verdict::Marginal
        }
    }
}

/// What a margin is measured in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unit {
    /// Metres beyond the line.
    Metre,
    /// Share of the limit that is left: 1 - used.
    ShareOfLimit,
}

/// One forecast answer. Positive margins are on the good side.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    /// The word.
    pub verdict: Verdict,
    /// Distance from the line; `None` when not known.
    pub margin: Option<f64>,
    /// What the margin is measured in.
    pub unit: Unit,
    /// The quantity that moves it most.
    pub driver: String,
    /// One standard deviation of the margin, same unit; `None` when not known.
    pub uncertainty: Option<f64>,
    /// Where the answer comes from.
    pub source: &'static str,
    /// What that source is worth.
    pub basis: Basis,
}

impl Item {
    /// An answer the tool does not have, with the reason as its driver.
    pub fn not_known(unit: Unit, why: impl Into<String>, source: &'static str, basis: Basis) -> Self {
        Self {
            verdict: Verdict::NotKnown,
            margin: None,
            unit,
            driver: why.into(),
            uncertainty: None,
            source,
            basis,
        }
    }

    /// Probability that the margin is above zero if its error is normal.
    pub fn probability_of_holding(&self) -> Option<f64> {
        let (margin, sigma) = (self.margin?, self.uncertainty?);
        if sigma <= 0.0 {
            return Some(if margin > 0.0 { 1.0 } else { 0.0 });
        }
        Some(0.5 * libm::erfc(-margin / (sigma * std::f64::consts::SQRT_2)))
    }
}

/// The worse of several words; `not known` ranks below `fails`, because a known
/// failure says more than a missing answer.
pub(crate) fn worst(verdicts: impl IntoIterator<Item = Verdict>) -> Verdict {
    let rank = |v: &Verdict| match v {
        Verdict::Fails => 3,
        Verdict::NotKnown => 2,
        Verdict::Marginal => 1,
        Verdict::Holds => 0,
    };
    verdicts.into_iter().max_by_key(rank).unwrap_or(Verdict::NotKnown)
}
