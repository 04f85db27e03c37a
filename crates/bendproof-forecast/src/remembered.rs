//! A heat model that remembers its answers: most cells of a map ask the same
//! beads again. It changes no answer.

use std::cell::RefCell;
use std::collections::BTreeMap;

use bendproof_weld::basis::Basis;

use crate::heat_model::{BeadHeat, BeadMelt, HeatModel};

/// Answers kept before the store is emptied, to bound its memory (choice: a few
/// hundred kilobytes).
const KEPT_MAX: usize = 4096;

/// A model with a memory.
pub(crate) struct Remembered<'a, M> {
    model: &'a M,
    kept: RefCell<BTreeMap<[u64; 5], Option<BeadMelt>>>,
}

impl<'a, M: HeatModel> Remembered<'a, M> {
    pub fn new(model: &'a M) -> Self {
        Self { model, kept: RefCell::new(BTreeMap::new()) }
    }
}

impl<M: HeatModel> HeatModel for Remembered<'_, M> {
    fn melt(&self, bead: &BeadHeat) -> Option<BeadMelt> {
        let key = [
            bead.net_power_w,
            bead.deposit_power_w,
            bead.travel_m_s,
            bead.thickness_m,
            bead.start_temperature_k,
        ]
        .map(f64::to_bits);
        if let Some(known) = self.kept.borrow().get(&key) {
            return *known;
        }
        let melt = self.model.melt(bead);
        let mut kept = self.kept.borrow_mut();
        if kept.len() >= KEPT_MAX {
            kept.clear();
        }
        kept.insert(key, melt);
        melt
    }

    fn source(&self) -> &'static str {
        self.model.source()
    }

    fn basis(&self) -> Basis {
        self.model.basis()
    }
}
