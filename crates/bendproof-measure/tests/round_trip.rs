//! Properties: what is printed reads back as the same length.

use bendproof_measure::{Kind, Quantity, inch_fraction, say};
use proptest::prelude::*;

proptest! {
    #[test]
    fn a_printed_fraction_reads_back(parts in -6400_i64..6400) {
        let metres = parts as f64 / 64.0 * 0.0254;
        let again = Quantity::parse(Kind::Length, &format!("{} in", inch_fraction(metres))).unwrap();
        prop_assert!((again.si - metres).abs() < 1e-12);
    }

    #[test]
    fn a_said_length_reads_back_to_a_tenth_of_a_micrometre(mm in 0.0_f64..10_000.0) {
        let length = Quantity::parse(Kind::Length, &format!("{mm} mm")).unwrap();
        let again = Quantity::parse(Kind::Length, &say(&length)).unwrap();
        prop_assert!((again.si - length.si).abs() <= 1e-7);
    }

    #[test]
    fn no_text_panics(text in ".{0,80}") {
        for kind in [Kind::Length, Kind::Number, Kind::Temperature] {
            let _ = Quantity::parse(kind, &text);
        }
    }
}
