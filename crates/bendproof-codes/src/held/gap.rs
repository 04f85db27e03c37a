//! Why a line of a standing names nothing. Nothing granted is an answer; nothing
//! known is none, and the two are never stated alike.

use bendproof_weld::Process;

use super::standing::Standing;
use crate::words::{Facet, JointKind};

/// Why a list or a range of a standing is empty.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Gap {
    /// The code's rules grant nothing here.
    Nothing,
    /// An open question leaves it undetermined.
    Undetermined,
    /// No rule of the code in this program speaks of it.
    NoRule,
    /// Such a test has no such thing: a stick test has no transfer.
    DoesNotApply,
}

impl Gap {
    /// `none`, `undetermined`, `no_rule` or `does_not_apply`.
    pub fn word(self) -> &'static str {
        match self {
            Gap::Nothing => "none",
            Gap::Undetermined => "undetermined",
            Gap::NoRule => "no_rule",
            Gap::DoesNotApply => "does_not_apply",
        }
    }

    /// As a reader sees it.
    pub fn text(self) -> &'static str {
        match self {
            Gap::Nothing => "none",
            Gap::Undetermined => "undetermined; see the open questions",
            Gap::NoRule => "not in this rule data",
            Gap::DoesNotApply => "does not apply",
        }
    }
}

impl Standing {
    /// Why nothing is named on a side; of positions, for one kind of joint.
    /// Means something only where the list or range of that side is empty.
    pub fn gap(&self, facet: Facet, joint: Option<JointKind>) -> Gap {
        let is_welded_so = match facet {
            Facet::Transfer => self.process == Process::Gmaw,
            Facet::Progression => self.rises && !self.names.holds_progression,
            _ => true,
        };
        let is_ours = |joints: &[String]| {
            joints.is_empty() || joint.is_none_or(|kind| joints.iter().any(|j| j == kind.word()))
        };
        let mut open = self.doubts.iter().filter(|d| d.facet.is_none_or(|of| of == facet));
        if self.refused.is_some() {
            Gap::Nothing
        } else if !is_welded_so {
            Gap::DoesNotApply
        } else if open.any(|doubt| is_ours(&doubt.joints)) {
            Gap::Undetermined
        } else if self.speaks_of(facet) {
            Gap::Nothing
        } else {
            Gap::NoRule
        }
    }
}
