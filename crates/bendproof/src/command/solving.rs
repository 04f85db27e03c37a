//! Says what solving a section will take, before it begins.

use bendproof_traveler::context::Today;
use bendproof_traveler::forecast::read_forecast;

use crate::output;

/// Beads from which the wait is announced (choice: fewer are solved in about two
/// seconds on two cores).
const ANNOUNCED_FROM: u32 = 10;
/// Time of one bead, s (measured: 8 beads take 1.4 s on two idle cores and 2.3 s
/// on one).
const BEAD_S: f64 = 0.3;

/// A note with beads and seconds where the plan has many; nothing where the file
/// cannot be used, which its findings say.
pub fn announce(text: &str, today: Today) {
    let Some((coupon, ..)) = read_forecast(text, today).forecast else { return };
    let beads: u32 = coupon.passes.iter().map(|pass| pass.beads).sum();
    if beads >= ANNOUNCED_FROM {
        let seconds = (f64::from(beads) * BEAD_S).ceil();
        output::say!("note: solving {beads} beads, about {seconds} s on an idle machine");
    }
}
