//! What is shown with a procedure besides its code: the names ISO has for its
//! wire and gas, and preheat by the two methods of EN 1011-2.
//!
//! Words only; names and methods are those of the weld model.

use bendproof_codes::rule::Facts;
use bendproof_measure::{fixed, say};
use bendproof_weld::arc::code_heat_factor;
use bendproof_weld::consumable::gas_data;
use bendproof_weld::hydrogen::{HydrogenClass, hydrogen_class, usual_hydrogen};
use bendproof_weld::iso_names::iso_wires;
use bendproof_weld::preheat::{preheat_method_a, preheat_method_b};
use bendproof_weld::steel::{Composition, Steel, steel_named};
use bendproof_weld::wire_name::{WireName, wire_name};
use bendproof_weld::{Basis, Gas, Process, Sourced};

/// One line about a name of ISO.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct IsoName {
    /// The line.
    pub words: String,
    /// Whether what it says is from memory.
    pub is_from_memory: bool,
}

impl IsoName {
    fn derived(words: String) -> Self {
        Self { words, is_from_memory: false }
    }
}

/// The names ISO has for a wire and a gas of the trade, one line each, and the
/// name on the wire's certificate where somebody wrote it down.
pub(crate) fn iso_names(wires: &[String], gases: &[String], certificate: Option<&str>) -> Vec<IsoName> {
    let mut out = Vec::new();
    let known_gas = |gas: &String| Gas::from_word(gas).and_then(gas_data);
    for gas in gases {
        if let Some(known) = known_gas(gas) {
            let words = format!("gas {gas}: ISO 14175 {}, group from memory", known.iso14175);
            out.push(IsoName { words, is_from_memory: true });
        }
    }
    let named = certificate.map(wire_name);
    for wire in wires {
        let may_be: Vec<&str> = iso_wires(wire).iter().map(|w| w.name.as_str()).collect();
        if may_be.is_empty() {
            continue;
        }
        let by_chemistry =
            format!("wire {wire}: by its chemistry it may be ISO 14341-A {}", may_be.join(" or "));
        out.push(IsoName::derived(match &named {
            Some(Ok(name)) if may_be.contains(&name.wire.as_str()) => by_chemistry,
            Some(Ok(name)) => {
                format!("{by_chemistry}; the certificate says {}, so one of the two names is wrong", name.wire)
            }
            _ => format!(
                "{by_chemistry}; its certificate says which, and its strength and impact symbols are not known without it"
            ),
        }));
    }
    let welded: Vec<&str> = gases.iter().filter_map(known_gas).map(|known| known.iso14175.as_str()).collect();
    match named {
        Some(Ok(name)) => out.push(certified(&name, &welded)),
        Some(Err(why)) => out.push(IsoName::derived(format!("ISO name of the filler: {why}"))),
        None => {}
    }
    out
}

/// What the name on a certificate promises, and whether it holds for the gas.
fn certified(name: &WireName, welded: &[&str]) -> IsoName {
    let strength = name.strength;
    let [least, most] = strength.tensile_mpa;
    let impact = match name.impact.celsius {
        Some(celsius) => format!("47 J at {celsius} C"),
        None => "no impact promised".to_owned(),
    };
    let promised = format!(
        "{} by its certificate: yield {} MPa at least, tensile {least} to {most} MPa, elongation {} % at least, {impact} ({}, {})",
        name.text(),
        strength.yield_mpa,
        strength.elongation_percent,
        strength.source,
        strength.basis.word()
    );
    // `M` and `C` of EN 440 name no group of ISO 14175.
    let words = match welded.iter().find(|gas| **gas != name.gas && name.gas.len() > 1) {
        Some(gas) => format!("{promised}; that is under {}, and under {gas} it is not known", name.gas),
        None => promised,
    };
    IsoName { words, is_from_memory: strength.basis == Basis::Memory }
}

/// Preheat of a joint by EN 1011-2, one line for each method; empty where the
/// steel's composition, thickness or heat input is not known.
///
/// Heat input is arc energy times the factor k of the process, so no joint is
/// thought hotter than the standard counts it. `whose_heat` says where the heat
/// input comes from.
pub(crate) fn en_1011_preheat(steel: &str, facts: &Facts, whose_heat: &str) -> Vec<String> {
    let (Some((known, by)), Some(thickness), Some(heat)) =
        (steel_named(steel).and_then(richest), facts.measure_of("thickness"), facts.measure_of("heat_input"))
    else {
        return Vec::new();
    };
    let both =
        |a: String, b: String| vec![format!("EN 1011-2 method A: {a}"), format!("EN 1011-2 method B: {b}")];
    let no_answer = |why: String| both(format!("no answer: {why}"), format!("no answer: {why}"));
    let Some(process) = facts.word_of("process").and_then(Process::from_word) else {
        return no_answer("the process is not known; state it".to_owned());
    };
    let hydrogen = match Hydrogen::of(process, facts) {
        Ok(hydrogen) => hydrogen,
        Err(why) => return no_answer(why),
    };
    let k = code_heat_factor(process);
    let (mm, q) = (thickness.si * 1e3, heat.si * 1e-6 * k);
    let taken = format!(
        "{}; heat input {q:.2} kJ/mm, arc energy times {k} for {process}, {whose_heat}; steel {by}: {}, {}",
        hydrogen.said,
        known.source,
        known.basis.word()
    );
    let a = match plates(facts) {
        Ok((plates, how)) => {
            match preheat_method_a(known.value.iiw_percent(), plates * mm, hydrogen.for_table, q) {
                Ok(a) => format!(
                    "{} up to {} mm of combined thickness, here {} mm, {how} ({}, {}; {taken})",
                    if a.is_free { "none wanted" } else { "wanted, the curves say how much; none" },
                    a.free_to_mm,
                    fixed(plates * mm, 1),
                    a.source,
                    a.basis.word()
                ),
                Err(why) => format!("no answer: {why} (steel {by})"),
            }
        }
        Err(why) => format!("no answer: {why}"),
    };
    let b = match hydrogen.for_formula {
        None => "no answer: class A has no upper end; state the hydrogen in ml per 100 g".to_owned(),
        Some(ml) => match preheat_method_b(known.value.cet_percent(), mm, ml, q) {
            Ok(b) => {
                let said = if b.least_c <= ROOM_C {
                    "none beyond a warm, dry plate".to_owned()
                } else {
                    // Rounded to the warm side.
                    format!("at least {:.0} C", b.least_c.ceil())
                };
                format!("{said}; {WELD_METAL} ({}, {}; {taken})", b.source, b.basis.word())
            }
            Err(why) => format!("no answer: {why} (steel {by})"),
        },
    };
    both(a, b)
}

/// A condition of method B that is not applied, as the weld metal's analysis is
/// not known. Basis: memory.
const WELD_METAL: &str =
    "the weld metal is not in this: if its CET plus 0.03 is above the steel's CET, that governs; check it";

/// The composition that guards against cracks: the most the standard allows, as
/// a plate may hold it; one heat's analysis only where no limits are known.
fn richest(steel: &Steel) -> Option<(&Sourced<Composition>, &'static str)> {
    let limits = steel.limits.as_ref().map(|known| (known, "by the standard's limits"));
    limits
        .or(steel.typical.as_ref().map(|known| (known, "by one typical analysis; use your mill certificate")))
}

/// Millilitres in 100 g for each cubic metre in a kilogram.
const ML_PER_100_G: f64 = 1e5;

/// Metal as warm as a room, C. Basis: choice.
const ROOM_C: f64 = 20.0;

/// Hydrogen a joint is counted with, and where it comes from.
struct Hydrogen {
    /// For the table, which asks only for the class it lies in.
    for_table: f64,
    /// For the formula; absent where the class has no upper end.
    for_formula: Option<f64>,
    said: String,
}

impl Hydrogen {
    /// What is stated, ml per 100 g before the class; else what the process is
    /// counted as where that is known.
    fn of(process: Process, facts: &Facts) -> Result<Self, String> {
        if let Some(stated) = facts.measure_of("hydrogen") {
            let ml = stated.si * ML_PER_100_G;
            let said = format!("hydrogen {} as stated", say(&stated));
            return Ok(Self { for_table: ml, for_formula: Some(ml), said });
        }
        if let Some(class) = facts.word_of("hydrogen_class").and_then(hydrogen_class) {
            return Ok(Self::of_class(class, "as stated", class.basis.word()));
        }
        match usual_hydrogen(process) {
            Some((class, usual)) => Ok(Self::of_class(class, &usual.source, usual.basis.word())),
            None => Err(format!(
                "hydrogen of {process} is not known; state the hydrogen class, A to E, or ml per 100 g from the filler's certificate"
            )),
        }
    }

    /// The upper end of the class; class A is any more than its lower end.
    fn of_class(class: &HydrogenClass, why: &str, basis: &str) -> Self {
        let for_table = class.to.unwrap_or(2.0 * class.over);
        let size = class.to.map_or(format!("over {}", class.over), |to| to.to_string());
        let said = format!("hydrogen taken as {size} ml/100 g, class {}, {why} ({basis})", class.letter);
        Self { for_table, for_formula: class.to, said }
    }
}

/// How many times the plate's thickness meets at the weld, and why.
fn plates(facts: &Facts) -> Result<(f64, &'static str), String> {
    let is_fillet = |word: &str| word == "fillet";
    match (facts.word_of("ask_joint").map(is_fillet), facts.get("groove_type"), facts.get("throat")) {
        (Some(true), ..) | (None, None, Some(_)) => Ok((3.0, T_OF_EQUALS)),
        (Some(false), ..) | (None, Some(_), None) => {
            Ok((2.0, "two plates of one thickness; where one is thicker, write its thickness"))
        }
        _ => Err("the kind of joint is not known; state groove or fillet".to_owned()),
    }
}

/// When three times the plate holds for a fillet.
const T_OF_EQUALS: &str = "three times the plate as in a T; it holds only where there is one other member and it is no thicker; where it is thicker write its thickness, and add up the plates of a cross yourself";

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use bendproof_codes::rule::Fact;
    use bendproof_measure::{Kind, Quantity};

    fn size(kind: Kind, si: f64) -> Fact {
        Fact::Measure(Quantity::from_si(kind, si))
    }

    fn joint(process: &str, thickness_mm: f64, q: f64) -> Facts {
        [
            ("process", Fact::Word(process.to_owned())),
            ("ask_joint", Fact::Word("plate_groove".to_owned())),
            ("thickness", size(Kind::Length, thickness_mm * 1e-3)),
            ("heat_input", size(Kind::EnergyPerLength, q * 1e6)),
        ]
        .into_iter()
        .fold(Facts::default(), |facts, (name, fact)| facts.with(name, fact).unwrap())
    }

    fn asked(steel: &str, facts: &Facts) -> Vec<String> {
        en_1011_preheat(steel, facts, "as asked")
    }

    /// A36 may hold C 0.25 and Mn 1.20: CE 0.45 and CET 0.37. Method B by hand:
    /// 257.9 + 98.1 + 138.8 - 12.9 - 328 = 153.9.
    #[test]
    fn preheat_is_asked_for_the_most_the_standard_allows() {
        let lines = asked("A36", &joint("GMAW", 25.0, 1.3));
        assert!(lines[0].contains("wanted, the curves") && lines[0].contains("here 50.0 mm"), "{lines:?}");
        assert!(lines[1].contains("at least 154 C"), "{lines:?}");
        assert!(lines.iter().all(|l| l.contains("steel by the standard's limits: ASTM A36")), "{lines:?}");
        assert!(lines.iter().all(|l| l.contains("for GMAW, as asked;")), "{lines:?}");
        assert!(lines[1].contains("if its CET plus 0.03 is above the steel's CET"), "{lines:?}");
        let warm =
            asked("A36", &joint("GMAW", 10.0, 4.0).with("hydrogen", size(Kind::Hydrogen, 1e-5)).unwrap());
        assert!(warm[1].contains("none beyond") && warm[1].contains("plus 0.03"), "{warm:?}");
    }

    /// The formula was read in a note that quotes the standard.
    #[test]
    fn method_b_is_reported_as_second_hand() {
        let lines = asked("A36", &joint("GMAW", 25.0, 1.3));
        assert!(lines[1].contains("note quotes it, secondary;"), "{lines:?}");
        assert!(!lines[1].contains("C.8, seen"), "{lines:?}");
    }

    #[test]
    fn one_analysis_stands_only_where_no_limits_are_known() {
        let a36 = steel_named("A36").unwrap();
        let unlimited = Steel { limits: None, ..a36.clone() };
        let (known, by) = richest(&unlimited).unwrap();
        assert_eq!((known.value.c, by), (0.20, "by one typical analysis; use your mill certificate"));
        assert_eq!(richest(a36).unwrap().0.value.c, 0.25);
        assert!(richest(&Steel { typical: None, ..unlimited.clone() }).is_none());
    }

    #[test]
    fn both_methods_answer_within_their_ranges_and_say_why_not_outside() {
        let thick = asked("A36", &joint("GMAW", 12.7, 1.5));
        assert_eq!(thick.len(), 2);
        assert!(
            thick.iter().all(|line| line.contains("hydrogen taken as 10 ml/100 g, class C")),
            "{thick:?}"
        );
        assert!(thick.iter().all(|line| line.contains("heat input 1.20 kJ/mm, arc energy times 0.8")));
        let thin = asked("A36", &joint("GMAW", 9.5, 1.5));
        assert!(
            thin.iter().any(|line| line.contains("thickness in mm of 9.5 is outside 10 to 90")),
            "{thin:?}"
        );
        assert!(asked("unheard of", &joint("GMAW", 12.7, 1.5)).is_empty());
    }

    #[test]
    fn a_process_without_a_usual_class_waits_for_one_to_be_stated() {
        for process in ["FCAW", "SMAW", "GTAW", "SAW"] {
            let bare = joint(process, 20.0, 2.0);
            let open = asked("A36", &bare);
            let asks = format!("no answer: hydrogen of {process} is not known; state the hydrogen class");
            assert!(open.iter().all(|line| line.contains(&asks)), "{open:?}");
            let of = |name, fact| asked("A36", &bare.with(name, fact).unwrap());
            let stated = of("hydrogen_class", Fact::Word("D".to_owned()));
            assert!(stated.iter().all(|l| l.contains("5 ml/100 g, class D, as stated")), "{stated:?}");
            let measured = of("hydrogen", size(Kind::Hydrogen, 4e-5));
            assert!(measured.iter().all(|l| l.contains("4 ml/100g as stated")), "{measured:?}");
            let most = of("hydrogen_class", Fact::Word("A".to_owned()));
            assert!(most[0].contains("up to") && most[1].contains("no upper end"), "{most:?}");
        }
    }

    /// Combined thickness: twice the plate in a butt, from the definition; three
    /// times in a T of equal plates.
    #[test]
    fn a_fillet_meets_more_metal_than_a_butt() {
        let butt = joint("GMAW", 20.0, 2.0);
        let fillet = butt.with("ask_joint", Fact::Word("fillet".to_owned())).unwrap();
        let first = |facts: &Facts| asked("A36", facts).swap_remove(0);
        assert!(first(&butt).contains("here 40.0 mm"), "{}", first(&butt));
        assert!(first(&fillet).contains("here 60.0 mm"), "{}", first(&fillet));
        assert!(
            first(&fillet).contains("it holds only where there is one other member and it is no thicker")
        );
        assert!(!first(&fillet).contains("the most a fillet has"));
    }

    #[test]
    fn names_of_iso_stand_next_to_the_trades() {
        let named = |certificate| iso_names(&["ER70S-6".to_owned()], &["75Ar/25CO2".to_owned()], certificate);
        let said = |certificate| named(certificate).into_iter().map(|n| n.words).collect::<Vec<_>>();
        // Only the group of the gas is from memory, whatever words the others hold.
        assert_eq!(named(None).iter().map(|n| n.is_from_memory).collect::<Vec<_>>(), [true, false]);
        let lines = said(None);
        assert_eq!(lines[0], "gas 75Ar/25CO2: ISO 14175 M21, group from memory");
        assert!(
            lines[1].contains("G3Si1 or G4Si1") && lines[1].ends_with("not known without it"),
            "{}",
            lines[1]
        );
        let named = said(Some("G 42 4 M21 3Si1"));
        assert!(
            named[2].starts_with("ISO 14341-A - G 42 4 M21 G3Si1 by its certificate: yield 420 MPa"),
            "{named:?}"
        );
        assert!(named[2].contains("47 J at -40 C") && !named[2].contains("not known"), "{named:?}");
        let other_gas = said(Some("G 42 4 C1 3Si1"));
        assert!(other_gas[2].ends_with("under M21 it is not known"), "{other_gas:?}");
        assert!(said(Some("G 42 4 M21 2Si"))[1].contains("one of the two names is wrong"));
        assert!(said(Some("G 42"))[2].starts_with("ISO name of the filler: the name `G 42`"));
        assert!(iso_names(&["unheard of".to_owned()], &["unheard of".to_owned()], None).is_empty());
    }
}
