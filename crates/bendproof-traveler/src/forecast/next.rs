//! Which reading to make next: asked of the forecast, answered in the words of the shop.

use bendproof_files::Document;
use bendproof_forecast::{HeatOf, NextReading, Reading, next_reading};

use super::Computed;
use crate::solved::SolvedCoupon;

/// The reading that would settle the chance of a document's root most: `None` where
/// there is no chance, `Some(None)` where there is nothing more to read.
pub(crate) fn next(
    document: &Document,
    computed: &Computed,
    solved: Option<&SolvedCoupon>,
) -> Option<Option<NextReading>> {
    let (coupon, scatter) = computed.coupon.as_ref().zip(computed.scatter.as_ref())?;
    let heat = solved.map_or(HeatOf::Fast, |solved| HeatOf::Solved(&solved.solved));
    let has_amps = coupon.passes.first().is_some_and(|root| root.amps_read.is_some());
    let is_open = |reading: &Reading| match variation_of(*reading) {
        Some(path) => document.get(path).is_none_or(|text| text.trim().is_empty()),
        None if *reading == Reading::Extension => !has_amps && !coupon.settings.extension_is_stated,
        None => !has_amps,
    };
    let open: Vec<Reading> = Reading::ALL.into_iter().filter(is_open).collect();
    next_reading(coupon, scatter, heat, &open).ok()
}

/// The field in which a reading is entered as how far its input varies: who has
/// measured knows that, too.
fn variation_of(reading: Reading) -> Option<&'static str> {
    match reading {
        Reading::Amps | Reading::Extension => None,
        Reading::Volts => Some("scatter.volts"),
        Reading::WireFeed => Some("scatter.wire_feed"),
        Reading::Travel => Some("scatter.travel"),
        Reading::RootOpening => Some("scatter.root_opening"),
        Reading::RootFace => Some("scatter.root_face"),
    }
}

/// The two words that are clear.
const SETTLED: &str = "(\"should hold\" or \"likely to fail\")";

/// In one sentence: what to read, and what the chance would then be.
pub(crate) fn words(next: Option<&NextReading>) -> String {
    let Some(next) = next else { return "Nothing more to read.".to_owned() };
    let act = match next.reading {
        Reading::Amps => "Read the amps at the wire speed",
        Reading::Extension => "Measure the wire extension",
        Reading::Volts => "Read the volts at the gun",
        Reading::WireFeed => "Weigh the wire fed in a minute",
        Reading::Travel => "Time the travel with a stopwatch",
        Reading::RootOpening => "Measure the root opening at five places",
        Reading::RootFace => "Measure the root face at five places",
    };
    let [low, high] = next.range.map(|chance| format!("{:.0}", chance * 100.0));
    let then = if low == high { format!("{low} %") } else { format!("{low} to {high} %") };
    let tenths = (next.clear_share * 10.0).round();
    let said = match (next.can_turn, tenths) {
        (false, _) => "the word stays".to_owned(),
        (true, 10.0..) => format!("which settles it {SETTLED}"),
        (true, ..1.0) => "still marginal".to_owned(),
        (true, _) => format!("and {tenths} of 10 readings settle it {SETTLED}"),
    };
    format!("{act}: the chance would then be {then}, {said}.")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_sentence_says_what_to_read_and_what_comes_of_it() {
        let sentence_of = |reading, range, clear_share, can_turn| {
            words(Some(&NextReading { reading, range, clear_share, can_turn, variance: 0.0 }))
        };
        for (sentence, expected) in [
            (
                sentence_of(Reading::Amps, [0.412, 0.93], 0.7, true),
                "Read the amps at the wire speed: the chance would then be 41 to 93 %, and 7 of 10 readings settle it (\"should hold\" or \"likely to fail\").",
            ),
            (
                sentence_of(Reading::RootFace, [0.7, 0.79], 0.0, true),
                "Measure the root face at five places: the chance would then be 70 to 79 %, still marginal.",
            ),
            (
                sentence_of(Reading::Volts, [0.81, 0.9], 1.0, true),
                "Read the volts at the gun: the chance would then be 81 to 90 %, which settles it (\"should hold\" or \"likely to fail\").",
            ),
            (
                sentence_of(Reading::Travel, [0.001, 0.002], 1.0, false),
                "Time the travel with a stopwatch: the chance would then be 0 %, the word stays.",
            ),
            (words(None), "Nothing more to read."),
        ] {
            assert_eq!(sentence, expected);
        }
    }
}
