//! Which rules stand behind each line in which a standing is stated.
//!
//! A line is worth no more than the weakest of them.

use super::standing::{Gives, Standing, is_of_fillets};
use crate::rule::{Cited, Demand, PipeRow};
use crate::words::{Basis, Facet, JointKind};

/// Bases from the most to the least a reader may build on.
const STRENGTH: [Basis; 7] = [
    Basis::Seen,
    Basis::Measured,
    Basis::Secondary,
    Basis::Derived,
    Basis::Memory,
    Basis::Practice,
    Basis::Choice,
];

impl Cited {
    /// The one of several that is known least well; the first of equals.
    pub fn weakest<'a>(cited: impl IntoIterator<Item = &'a Cited>) -> Option<&'a Cited> {
        let weakness = |c: &Cited| STRENGTH.iter().position(|basis| *basis == c.basis);
        cited.into_iter().reduce(|a, b| if weakness(b) > weakness(a) { b } else { a })
    }
}

impl Standing {
    /// The rules that grant what the summary tells of a facet, in the order of
    /// the code; of positions, for one kind of joint. Empty where no rule grants
    /// anything.
    pub fn behind(&self, facet: Facet, joint: Option<JointKind>) -> Vec<&Cited> {
        let ranges = self.granted(|gives| match gives {
            Gives::Range { facet: of, joints, .. } if *of == facet => {
                facet != Facet::Thickness || is_of_fillets(joints) == (self.welds == ["fillet"])
            }
            _ => false,
        });
        match facet {
            Facet::Continuity => self.continuity.iter().collect(),
            Facet::Position => self.granted(|gives| gives_positions(gives, joint)),
            // A code without a rule of diameters names them with its positions.
            Facet::Diameter if ranges.is_empty() => self.granted(names_diameter),
            Facet::Diameter | Facet::Thickness => ranges,
            _ => self.granted(|gives| matches!(gives, Gives::Words { facet: of, .. } if *of == facet)),
        }
    }

    /// Whether a disputed rule has a say on this side of such a joint; of
    /// positions, one that grants some in this kind of joint.
    pub(crate) fn is_disputed(&self, facet: Facet, kind: JointKind) -> bool {
        let mut spoken = self.grants_of(facet, kind).filter(|grant| grant.is_disputed);
        spoken.any(|grant| facet != Facet::Position || gives_positions(&grant.gives, Some(kind)))
    }

    fn granted(&self, is_meant: impl Fn(&Gives) -> bool) -> Vec<&Cited> {
        self.grants.iter().filter(|grant| is_meant(&grant.gives)).map(|grant| &grant.cited).collect()
    }
}

fn pipe_rows(gives: &Gives) -> &[PipeRow] {
    match gives {
        Gives::Positions(Demand::Positions { pipe_groove, .. }) => pipe_groove,
        _ => &[],
    }
}

fn gives_positions(gives: &Gives, joint: Option<JointKind>) -> bool {
    let Gives::Positions(Demand::Positions { plate_groove, fillet, .. }) = gives else { return false };
    match joint {
        None => true,
        Some(JointKind::PlateGroove) => !plate_groove.is_empty(),
        Some(JointKind::PipeGroove) => pipe_rows(gives).iter().any(|row| !row.words.is_empty()),
        Some(JointKind::Fillet) => !fillet.is_empty(),
    }
}

fn names_diameter(gives: &Gives) -> bool {
    pipe_rows(gives).iter().any(|row| row.from.is_some())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn cited(rule: &str, basis: Basis) -> Cited {
        Cited { rule: rule.to_owned(), clause: String::new(), basis }
    }

    #[test]
    fn of_several_rules_the_weakest_is_cited() {
        let list = [
            cited("a", Basis::Seen),
            cited("b", Basis::Memory),
            cited("c", Basis::Derived),
            cited("d", Basis::Memory),
        ];
        assert_eq!(Cited::weakest(&list).unwrap().rule, "b");
        assert_eq!(Cited::weakest(&list[..1]).unwrap().rule, "a");
        assert_eq!(Cited::weakest(&[]), None);
        assert!(Basis::ALL.iter().all(|basis| STRENGTH.contains(basis)));
    }
}
