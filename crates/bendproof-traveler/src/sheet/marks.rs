//! Marks and words of verdicts.

use bendproof_forecast::Verdict;

use super::parts::Mark;

/// The sheet's mark for a forecast word.
pub(crate) fn mark(verdict: Verdict) -> Mark {
    match verdict {
        Verdict::Holds => Mark::Holds,
        Verdict::Marginal => Mark::Marginal,
        Verdict::Fails => Mark::Fails,
        Verdict::NotKnown => Mark::NotKnown,
    }
}

/// The sheet's mark for a code verdict.
pub(crate) fn code_mark(verdict: bendproof_codes::words::Verdict) -> Mark {
    match verdict {
        bendproof_codes::words::Verdict::Accept => Mark::Holds,
        bendproof_codes::words::Verdict::Void => Mark::Marginal,
        bendproof_codes::words::Verdict::Reject => Mark::Fails,
        bendproof_codes::words::Verdict::NotCovered => Mark::NotKnown,
    }
}

/// The words of a code verdict.
pub(crate) fn code_words(verdict: bendproof_codes::words::Verdict) -> &'static str {
    match verdict {
        bendproof_codes::words::Verdict::Accept => "accept",
        bendproof_codes::words::Verdict::Void => "void, replace specimen",
        bendproof_codes::words::Verdict::Reject => "reject",
        bendproof_codes::words::Verdict::NotCovered => "not decided",
    }
}
