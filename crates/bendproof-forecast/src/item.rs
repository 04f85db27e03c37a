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

    /// From a clearance: 1 or more is a chance of at least 4 in 5, -1 or less one
    /// of at most 1 in 5, between the two it is not decided.
    pub(crate) fn from_clearance(clearance: f64) -> Self {
        Self::from_margin(clearance, 1.0)
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

/// Standard deviations between an even chance and 4 in 5.
const FOUR_IN_FIVE: f64 = 0.841_621;

/// A clearance from the margin that four of five draws exceed and the one that
/// one of five does: 1 where the first is at the line, -1 where the second is.
pub(crate) fn clearance_between(low: f64, high: f64) -> f64 {
    // Without scatter every margin is as clear as any.
    (high + low) / (high - low).max(f64::MIN_POSITIVE.sqrt())
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

    /// How clear of the line the margin is: 1 is a chance of 4 in 5, -1 one of 1
    /// in 5, if its error is normal. `None` when not known.
    pub fn clearance(&self) -> Option<f64> {
        let half = FOUR_IN_FIVE * self.uncertainty?;
        self.margin.map(|margin| clearance_between(margin - half, margin + half))
    }

    /// The same answer with the word that its chance gives.
    pub(crate) fn by_chance(mut self) -> Self {
        if let (Some(clearance), true) = (self.clearance(), self.verdict != Verdict::NotKnown) {
            self.verdict = Verdict::from_clearance(clearance);
        }
        self
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
