//! Why a code file does not load.

/// Why a code file does not load.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum LoadError {
    /// Not TOML, or keys missing or unknown.
    #[error("the code file cannot be read: {0}")]
    Text(String),
    /// A rule has no case of the named claim.
    #[error("rule `{rule}` has no {claim} case; add one, a rule without both does not load")]
    CaseMissing {
        /// The rule.
        rule: String,
        /// `pass` or `fail`.
        claim: &'static str,
    },
    /// A rule holds a size and no case of it sits exactly on one.
    #[error("rule `{rule}` has no case on its limit; add one with {wanted}")]
    BoundaryMissing {
        /// The rule.
        rule: String,
        /// The fact and the size wanted.
        wanted: String,
    },
    /// An edition is written as the differences from one that is not loaded.
    #[error(
        "`{code}` is based on `{base}`, which does not stand whole before it; the nearest is `{nearest}`"
    )]
    BaseMissing {
        /// The edition.
        code: String,
        /// What it names.
        base: String,
        /// The nearest code loaded so far; empty when there is none.
        nearest: String,
    },
    /// A code borrows from one that is not loaded.
    #[error("`{code}` borrows from `{from}`, which does not stand before it; the nearest is `{nearest}`")]
    LenderMissing {
        /// The code.
        code: String,
        /// What it names.
        from: String,
        /// The nearest code loaded so far; empty when there is none.
        nearest: String,
    },
    /// A further file names another code than the one it stands with.
    #[error("a further file of `{code}` says that it is part of `{part_of}`")]
    PartOfAnother {
        /// What it names.
        part_of: String,
        /// The code it stands with.
        code: String,
    },
    /// Two rules have one id.
    #[error("rule id `{0}` is used twice; ids are never reused")]
    IdTwice(String),
    /// A rule names another that is not there.
    #[error("rule `{rule}` refers to `{to}`, which does not exist; the nearest is `{nearest}`")]
    DeadReference {
        /// The rule.
        rule: String,
        /// What it names.
        to: String,
        /// The nearest id.
        nearest: String,
    },
    /// Part of a rule makes no sense.
    #[error("rule `{rule}`, {part}: {why}")]
    Part {
        /// The rule.
        rule: String,
        /// `when`, `demand`, `case` and the like.
        part: &'static str,
        /// What is wrong.
        why: String,
    },
}
