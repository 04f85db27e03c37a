//! What stands beside a procedure besides its code: the names ISO has for its
//! wire and gas, and preheat by the two methods of EN 1011-2.
//!
//! Words only; names and methods are those of the weld model.

use bendproof_codes::{Fact, Facts};
use bendproof_weld::consumable::gas_data;
use bendproof_weld::iso_names::iso_wires;
use bendproof_weld::preheat::{preheat_method_a, preheat_method_b};
use bendproof_weld::steel::steel_named;
use bendproof_weld::{Gas, Process};

/// Hydrogen of solid wire under gas, ml per 100 g: the upper end of class C.
/// Basis: memory; a wire proven drier may be counted lower.
const SOLID_WIRE_HYDROGEN: f64 = 10.0;

/// The names ISO has for a wire and a gas of the trade, one line each.
pub(crate) fn iso_names(wires: &[String], gases: &[String]) -> Vec<String> {
    let mut out = Vec::new();
    for gas in gases {
        if let Some(known) = Gas::from_word(gas).and_then(gas_data) {
            out.push(format!("gas {gas}: ISO 14175 {}, group from memory", known.iso14175));
        }
    }
    for wire in wires {
        let may_be: Vec<&str> = iso_wires(wire).iter().map(|w| w.name.as_str()).collect();
        if !may_be.is_empty() {
            out.push(format!(
                "wire {wire}: by its chemistry it may be ISO 14341-A {}; its certificate says which",
                may_be.join(" or ")
            ));
        }
    }
    out
}

/// Preheat of a joint by EN 1011-2, one line for each method; empty where the
/// steel's composition, thickness or heat input is not known, or where no
/// hydrogen can be taken for the process.
pub(crate) fn en_1011_preheat(steel: &str, facts: &Facts) -> Vec<String> {
    let size = |name: &str| match facts.get(name) {
        Some(Fact::Measure(quantity)) => Some(quantity.si),
        _ => None,
    };
    let is_solid_wire = facts.get("process") == Some(&Fact::Word(Process::Gmaw.word().to_owned()));
    let known = steel_named(steel).and_then(|steel| steel.composition());
    let (Some(known), Some(thickness_m), Some(heat), true) =
        (known, size("thickness"), size("heat_input"), is_solid_wire)
    else {
        return Vec::new();
    };
    let (mm, q) = (thickness_m * 1e3, heat * 1e-6);
    let taken = format!(
        "hydrogen taken as {SOLID_WIRE_HYDROGEN} ml/100 g, class C of solid wire, from memory; steel: {}",
        known.basis.word()
    );
    // Two plates of one thickness meet in a groove.
    let a = match preheat_method_a(known.value.iiw_percent(), 2.0 * mm, SOLID_WIRE_HYDROGEN, q) {
        Ok(a) => format!(
            "{} up to {} mm of combined thickness, here {:.1} mm ({}, {}; {taken})",
            if a.is_free { "none wanted" } else { "wanted, the curves say how much; none" },
            a.free_to_mm,
            2.0 * mm,
            a.source,
            a.basis.word()
        ),
        Err(why) => format!("no answer: {why}"),
    };
    let b = match preheat_method_b(known.value.cet_percent(), mm, SOLID_WIRE_HYDROGEN, q) {
        Ok(b) if b.least_c <= ROOM_C => {
            format!("none beyond a warm, dry plate (equation C.8, seen; {taken})")
        }
        Ok(b) => format!("at least {:.0} C (equation C.8, seen; {taken})", b.least_c),
        Err(why) => format!("no answer: {why}"),
    };
    vec![format!("EN 1011-2 method A: {a}"), format!("EN 1011-2 method B: {b}")]
}

/// Metal as warm as a room, C. Basis: choice.
const ROOM_C: f64 = 20.0;

#[cfg(test)]
mod tests {
    use super::*;
    use bendproof_measure::{Kind, Quantity};

    fn joint(thickness_mm: f64, q: f64) -> Facts {
        let word = Fact::Word("GMAW".to_owned());
        let size = |kind, si| Fact::Measure(Quantity::from_si(kind, si));
        Facts::default()
            .with("process", word)
            .and_then(|f| f.with("thickness", size(Kind::Length, thickness_mm * 1e-3)))
            .and_then(|f| f.with("heat_input", size(Kind::EnergyPerLength, q * 1e6)))
            .unwrap_or_default()
    }

    #[test]
    fn both_methods_answer_within_their_ranges_and_say_why_not_outside() {
        let thick = en_1011_preheat("A36", &joint(12.7, 1.2));
        assert_eq!(thick.len(), 2);
        assert!(thick.iter().all(|line| line.contains("hydrogen taken as 10")), "{thick:?}");
        let thin = en_1011_preheat("A36", &joint(9.5, 1.2));
        assert!(
            thin.iter().any(|line| line.contains("thickness in mm of 9.5 is outside 10 to 90")),
            "{thin:?}"
        );
        assert!(en_1011_preheat("unheard of", &joint(12.7, 1.2)).is_empty());
    }

    #[test]
    fn names_of_iso_stand_beside_the_trades() {
        let lines = iso_names(&["ER70S-6".to_owned()], &["75Ar/25CO2".to_owned()]);
        assert_eq!(lines[0], "gas 75Ar/25CO2: ISO 14175 M21, group from memory");
        assert!(lines[1].contains("G3Si1 or G4Si1"), "{}", lines[1]);
        assert!(iso_names(&["unheard of".to_owned()], &["unheard of".to_owned()]).is_empty());
    }
}
