//! Where a drawing is shown, and the sign of a forecast word.

use bendproof_drawing::Sign;

/// Where the drawings are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Look {
    /// On the page, which sets the colours.
    Screen,
    /// On paper, ink on white.
    Paper,
}

impl Look {
    /// Paper has half the room, and lettering that must stay as large.
    pub(crate) fn scale(self) -> f64 {
        if self == Look::Paper { 0.5 } else { 1.0 }
    }
}

/// The sign of a forecast word.
pub(crate) fn sign(verdict: bendproof_forecast::Verdict) -> Sign {
    match verdict {
        bendproof_forecast::Verdict::Holds => Sign::Holds,
        bendproof_forecast::Verdict::Marginal => Sign::Marginal,
        bendproof_forecast::Verdict::Fails => Sign::Fails,
        bendproof_forecast::Verdict::NotKnown => Sign::NotKnown,
    }
}
