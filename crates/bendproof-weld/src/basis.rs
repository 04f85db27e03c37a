//! How well a number is known: its value, its range, where it comes from and
//! what that origin is worth.
//!
//! Every constant of the weld physics that is not exact travels in this form,
//! so that a page can show the doubt next to the number.

/// What stands behind a number or a formula.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Basis {
    /// Read in the source named.
    Seen,
    /// Read in a text that quotes the source.
    Secondary,
    /// Recalled, not checked against the source.
    Memory,
    /// Worked out or fitted from named inputs.
    Derived,
    /// Common practice, no source.
    Practice,
    /// Measured by the shop itself.
    Measured,
    /// Our own choice, for want of anything better.
    Choice,
}

impl Basis {
    /// Every basis, the strongest kind of reading first.
    pub const ALL: [Basis; 7] = [
        Basis::Seen,
        Basis::Secondary,
        Basis::Memory,
        Basis::Derived,
        Basis::Practice,
        Basis::Measured,
        Basis::Choice,
    ];

    /// The word used in files and data.
    pub fn word(self) -> &'static str {
        match self {
            Basis::Seen => "seen",
            Basis::Secondary => "secondary",
            Basis::Memory => "memory",
            Basis::Derived => "derived",
            Basis::Practice => "practice",
            Basis::Measured => "measured",
            Basis::Choice => "choice",
        }
    }

    /// The basis in the words of the page and of paper.
    pub fn said(self) -> &'static str {
        match self {
            Basis::Seen => "read in the publication",
            Basis::Secondary => "quoted in another publication",
            Basis::Memory => "from memory",
            Basis::Derived => "derived",
            Basis::Practice => "common practice, no source",
            Basis::Measured => "measured",
            Basis::Choice => "program assumption",
        }
    }

    /// Reads the word, exactly as written.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|b| b.word() == word)
    }
}

/// A number with its range, source and basis. The unit is that of the constant
/// or function that carries it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Known {
    /// Working value.
    pub value: f64,
    /// Low end of the believable range.
    pub low: f64,
    /// High end of the believable range.
    pub high: f64,
    /// Where it comes from.
    pub source: &'static str,
    /// What the source is worth.
    pub basis: Basis,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_word_reads_back() {
        for basis in Basis::ALL {
            assert_eq!(Basis::from_word(basis.word()), Some(basis));
        }
        assert_eq!(Basis::from_word("rumour"), None);
    }
}
