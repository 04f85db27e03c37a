//! One joint with both sizes of its pipe.

use bendproof_codes::ahead::counts_nominal_pipe;
use bendproof_codes::catalogue::Code;
use bendproof_codes::held::Joint;
use bendproof_measure::Quantity;
use bendproof_weld::pipe::{PipeSize, outside_of, pipe_sizes};

use super::pipe_size::nominal_of;

/// One joint of a job. A pipe's diameter is given to each code as it counts it.
#[derive(Debug, Clone, PartialEq)]
pub struct JobJoint {
    /// What the shop calls it.
    pub name: String,
    /// The joint, without its diameter.
    pub joint: Joint,
    /// Outside diameter, where given or known from the pipe table.
    pub outside_diameter: Option<Quantity>,
    /// Nominal size, where given or known from the pipe table.
    pub nominal_size: Option<Quantity>,
}

impl JobJoint {
    /// The joint as a code asks about it.
    pub fn under(&self, code: &Code) -> Joint {
        let diameter = match counts_nominal_pipe(code) {
            true => self.nominal_size.or(self.outside_diameter),
            false => self.outside_diameter,
        };
        Joint { diameter, ..self.joint.clone() }
    }

    /// The joint with whichever of its sizes is known, for words.
    pub(crate) fn with_size(&self) -> Joint {
        Joint { diameter: self.outside_diameter.or(self.nominal_size), ..self.joint.clone() }
    }
}

/// How far a measured outside diameter may lie from the table's, as a share:
/// the mill's tolerance on it is 1 % (ASTM A53, from memory).
const OUTSIDE_SHARE: f64 = 0.01;

/// Fills in the other of a pipe's two sizes from the pipe table. From NPS 14 up
/// both are the same (ASME B36.10M, from memory).
pub(crate) fn both_sizes(
    outside: Option<Quantity>,
    nominal: Option<Quantity>,
) -> (Option<Quantity>, Option<Quantity>) {
    let same_from = 13.99 * 0.0254;
    match (outside, nominal) {
        (Some(o), None) if o.si >= same_from => (Some(o), Some(o)),
        (None, Some(n)) => (outside_of(n.si).map(|si| Quantity { si, ..n }), Some(n)),
        (Some(o), None) => {
            let is_it = |s: &&PipeSize| (s.outside_diameter_m / o.si - 1.0).abs() <= OUTSIDE_SHARE;
            (Some(o), pipe_sizes().iter().find(is_it).and_then(nominal_of))
        }
        both => both,
    }
}

#[cfg(test)]
mod tests {
    use bendproof_measure::Kind;

    use super::*;

    #[test]
    fn a_pipe_has_both_its_sizes() {
        let length = |text: &str| Quantity::parse(Kind::Length, text).ok();
        let near = |a: Option<Quantity>, b: Option<Quantity>| match (a, b) {
            (Some(a), Some(b)) => (a.si - b.si).abs() < 1e-9,
            _ => false,
        };
        // NPS 6 is 6.625 in outside (ASME B36.10M, from memory).
        assert!(near(both_sizes(None, length("6 in")).0, length("6.625 in")));
        assert!(near(both_sizes(length("168.3 mm"), None).1, length("6 in")));
        assert!(near(both_sizes(length("24 in"), None).1, length("24 in")));
        assert_eq!(both_sizes(length("5.1 in"), None).1, None);
    }
}
