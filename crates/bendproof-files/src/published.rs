//! Published ranges that settings are held against: outside one is worth a look,
//! never a refusal, because the welder may know better than a chart.

use bendproof_measure::say;
use bendproof_weld::arc::current_from_wire_feed_a;
use bendproof_weld::{Pass, Settings, Transfer};

use crate::finding::Finding;
use crate::reader::Reader;

/// Currents listed for one solid wire in short-circuit transfer.
struct CurrentRange {
    /// Wire as sold, in the words of the chart.
    wire: &'static str,
    /// Diameter, m.
    diameter_m: f64,
    /// Least current, A.
    low_a: f64,
    /// Greatest current, A.
    high_a: f64,
}

/// Rows of setting-up charts in owner's manuals of small wire-feed machines, mild
/// steel wire, direct current, electrode positive (basis: seen).
const SHORT_CIRCUIT_CURRENTS: [CurrentRange; 4] = [
    CurrentRange { wire: "0.024 in", diameter_m: 0.610e-3, low_a: 30.0, high_a: 90.0 },
    CurrentRange { wire: "0.030 in", diameter_m: 0.762e-3, low_a: 40.0, high_a: 145.0 },
    CurrentRange { wire: "0.035 in", diameter_m: 0.889e-3, low_a: 50.0, high_a: 180.0 },
    CurrentRange { wire: "0.045 in", diameter_m: 1.143e-3, low_a: 75.0, high_a: 250.0 },
];

/// Metric sizes sold for these rows (0.6, 0.8, 0.9, 1.2 mm) differ from them by up
/// to this much, m; a wire further from every row is in no chart (basis: choice).
const SAME_WIRE_M: f64 = 0.06e-3;

/// Warns of every pass whose wire feed melts a current that no chart lists for the
/// wire. Says nothing for a wire or a transfer that the charts do not hold.
pub(crate) fn warn_of_current(r: &mut Reader<'_>, settings: &Settings, passes: &[Pass]) {
    let range = SHORT_CIRCUIT_CURRENTS
        .iter()
        .find(|c| (c.diameter_m - settings.wire_diameter_m).abs() <= SAME_WIRE_M);
    let Some(range) = range.filter(|_| settings.transfer == Some(Transfer::ShortCircuit)) else { return };
    for (row, pass) in r.document().rows("pass").into_iter().zip(passes) {
        let path = format!("pass.{row}.wire_feed");
        let Some(feed) = r.quantity(&path) else { continue };
        let current_a =
            current_from_wire_feed_a(settings.wire_diameter_m, settings.extension_m, pass.wire_feed_m_s);
        if (range.low_a..=range.high_a).contains(&current_a) {
            continue;
        }
        let message = format!(
            "wire feed is {}, which melts about {current_a:.0} A; machine charts list {:.0} A to {:.0} A for \
             short-circuit transfer with {} wire; check the feed and the wire diameter",
            say(&feed),
            range.low_a,
            range.high_a,
            range.wire
        );
        r.note(Finding::warning(path, message));
    }
}
