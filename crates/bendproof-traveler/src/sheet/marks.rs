//! Marks and words of verdicts.

use bendproof_forecast::Verdict;
use bendproof_weld::Basis;

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

/// The words for one basis or several, `seen, memory`, as data has them.
pub fn basis_said(words: &str) -> String {
    let said = |word: &str| Basis::from_word(word).map_or(word.to_owned(), |basis| basis.said().to_owned());
    words.split(", ").map(said).collect::<Vec<_>>().join(", ")
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
