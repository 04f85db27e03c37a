//! "May this welder weld this joint?", answered from all that is held, code by
//! code. What one code covers says nothing under another.

use bendproof_codes::catalogue::Code;
use bendproof_codes::held::{CoverAnswer, Coverage, covers};
use bendproof_files::{Document, Finding};

use super::record::{asked_joint, question};
use super::standing::Qualification;
use crate::context::Today;

/// The answer of every code under which something is held.
#[derive(Debug, Clone, PartialEq)]
pub struct HeldAnswer {
    /// The question in words.
    pub question: String,
    /// Code by code.
    pub under: Vec<HeldUnder>,
}

/// The answer under one code: the best of its tests.
#[derive(Debug, Clone, PartialEq)]
pub struct HeldUnder {
    /// The code.
    pub code: &'static Code,
    /// The best answer.
    pub answer: CoverAnswer,
    /// Each accepted coupon with its own answer, best first.
    pub tests: Vec<(String, Coverage)>,
}

impl HeldAnswer {
    /// The one answer of all codes; `None` where they differ, and with nothing
    /// held a plain no.
    pub fn overall(&self) -> Option<CoverAnswer> {
        match self.under.split_first() {
            None => Some(CoverAnswer::NotCovered),
            Some((first, rest)) => rest.iter().all(|u| u.answer == first.answer).then_some(first.answer),
        }
    }
}

/// Answers the joint of `ask.1` from what is held.
///
/// # Errors
/// Every fault of the boxes, each with its path.
pub fn ask_held(
    document: &Document,
    held: &[Qualification],
    today: Today,
) -> Result<HeldAnswer, Vec<Finding>> {
    let joint = asked_joint(document, today)?;
    let mut under: Vec<HeldUnder> = Vec::new();
    for one in held {
        let coverage = covers(&one.standing, &joint.under(one.code));
        let known = under.iter_mut().find(|u| u.code.id == one.code.id);
        let test = (one.number.clone(), coverage);
        match known {
            Some(known) => known.tests.push(test),
            None => under.push(HeldUnder { code: one.code, answer: test.1.answer, tests: vec![test] }),
        }
    }
    for one in &mut under {
        one.tests.sort_by(|a, b| (a.1.answer, &a.0).cmp(&(b.1.answer, &b.0)));
        one.answer = one.tests.first().map_or(CoverAnswer::NotCovered, |(_, best)| best.answer);
    }
    under.sort_by(|a, b| (a.answer, &a.code.id).cmp(&(b.answer, &b.code.id)));
    Ok(HeldAnswer { question: question(&joint.with_size()), under })
}
