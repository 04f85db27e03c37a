//! The base metal of a test or a joint as ASME IX counts it: its P-number, as
//! written or as the steel's row has it.

use bendproof_weld::Sourced;
use bendproof_weld::steel::steel_named;

/// Where the group within a P-number begins, as in `P1 Gr1`.
const GROUP: &str = " gr";

/// The P-number somebody wrote, or that of the steel he named; any other text as
/// it is, for the rules to say what they do not know.
pub(crate) fn p_number(text: &str) -> String {
    let of_steel = of_steel(text).map(|known| known.value.as_str());
    let number = of_steel.unwrap_or(text).trim();
    let end = number.to_lowercase().find(GROUP).unwrap_or(number.len());
    number.get(..end).unwrap_or(number).to_owned()
}

/// That a P-number was looked up, where it was: it is derived from the steel.
pub(crate) fn metal_said(text: &str) -> Option<String> {
    let known = of_steel(text)?;
    Some(format!(
        "base metal {} is {}: derived from {}, {}",
        text.trim(),
        p_number(text),
        known.source,
        known.basis.word()
    ))
}

fn of_steel(text: &str) -> Option<&'static Sourced<String>> {
    steel_named(text)?.p_number.as_ref()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_p_number_is_taken_as_written_or_from_the_steel() {
        for (text, wanted) in [
            ("P1", "P1"),
            ("P-8", "P-8"),
            ("P1 Gr 2", "P1"),
            ("a106 gr b", "P1"),
            ("A516-70", "P1"),
            // No P-number is held for it.
            ("S355", "S355"),
            ("unheard of", "unheard of"),
        ] {
            assert_eq!(p_number(text), wanted, "{text}");
        }
        let said = metal_said("A106-B").unwrap_or_default();
        assert_eq!(said, "base metal A106-B is P1: derived from ASME BPVC IX QW-422:2017, secondary");
        assert_eq!((metal_said("P1"), metal_said("S355")), (None, None));
    }
}
