//! Reads `checks/codes/procedure.toml` and holds procedures, fit-up and preheat
//! to every case; then what must hold for every change.
#![allow(clippy::unwrap_used)]

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use bendproof_codes::catalogue::{Code, code, codes, explain};
use bendproof_codes::procedure::{
    Allowance, FitFinding, Procedure, Stated, VariableReason, Within, draft, fit_up, inside, preheat,
    prequalified, retest, supported, within,
};
use bendproof_codes::rule::{Fact, Facts, Variable, VariableClass};
use bendproof_codes::words::{Basis, RuleKind};
use bendproof_measure::{Kind, Quantity, System, say};
use proptest::prelude::*;
use toml::{Table, Value};

fn cases() -> Vec<Table> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../checks/codes/procedure.toml");
    let table: Table = fs::read_to_string(path).unwrap().parse().unwrap();
    table["case"].as_array().unwrap().iter().map(|c| c.as_table().unwrap().clone()).collect()
}

fn text<'a>(table: &'a Table, key: &str) -> Option<&'a str> {
    table.get(key).map(|v| v.as_str().unwrap())
}

/// Facts as the rules' own cases write them: words, lists, flags, sizes with a unit.
fn facts(case: &Table, key: &str) -> Facts {
    let mut facts = Facts::default();
    for (name, value) in case.get(key).map(|v| v.as_table().unwrap().clone()).unwrap_or_default() {
        facts = facts.with(&name, fact(&name, &value)).unwrap_or_else(|| panic!("{name} is no fact"));
    }
    facts
}

fn fact(name: &str, value: &Value) -> Fact {
    match value {
        Value::Boolean(flag) => Fact::Flag(*flag),
        Value::Integer(n) => Fact::Number(*n as f64),
        Value::Array(words) => Fact::Words(words.iter().map(|w| w.as_str().unwrap().to_owned()).collect()),
        Value::String(text) => match kind_of(name) {
            Some(kind) => Fact::Measure(Quantity::parse(kind, text).unwrap()),
            None => Fact::Word(text.clone()),
        },
        other => panic!("{other}"),
    }
}

fn kind_of(name: &str) -> Option<Kind> {
    Some(match name.trim_start_matches("ask_") {
        "volts" => Kind::Voltage,
        "amps" => Kind::Current,
        "wire_feed" | "travel" => Kind::Speed,
        "gas_flow" => Kind::Flow,
        "preheat" | "interpass" | "least_interpass" | "pwht_temperature" => Kind::Temperature,
        "heat_input" | "heat_input_low" => Kind::EnergyPerLength,
        "groove_angle" => Kind::Angle,
        "time_between" => Kind::Time,
        "thickness" | "deposit" | "outside_diameter" | "diameter" | "wire_diameter" | "root_opening"
        | "pass_thickness" | "root_face" | "hi_lo" | "build_up" => Kind::Length,
        _ => return None,
    })
}

#[test]
fn every_case_is_answered_as_its_source_says() {
    let mut wrong = Vec::new();
    for case in cases() {
        let code = code(text(&case, "code").unwrap()).unwrap();
        let (record, joint) = (facts(&case, "record"), facts(&case, "joint"));
        let got = match text(&case, "ask").unwrap() {
            "retest" => of_variable(&retest(code, &record, &joint), &case),
            "within" => of_variable(&within(code, &record, &joint), &case),
            "prequalified" => of_variable(&prequalified(code, &joint), &case),
            "fit_up" => of_fit(code, &record, &joint, &case),
            "preheat" => of_preheat(code, &joint),
            other => panic!("{other}"),
        };
        let (answer, rules) = got;
        let named = text(&case, "rule").is_none_or(|rule| rules.iter().any(|r| r == rule));
        if answer.word() != text(&case, "answer").unwrap() || !named {
            wrong.push(format!("{}: {answer} by {rules:?}", text(&case, "id").unwrap()));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// The answer of the case's variable, and the rules behind it. A variable that
/// nothing is said of is inside.
fn of_variable(got: &Allowance, case: &Table) -> (Within, Vec<String>) {
    let rules = |reasons: &[&VariableReason]| {
        reasons.iter().flat_map(|r| &r.because).map(|c| c.rule.clone()).collect()
    };
    let Some(name) = text(case, "variable") else {
        return (got.answer, rules(&got.reasons.iter().collect::<Vec<_>>()));
    };
    let variable = Variable::from_word(name).unwrap();
    let of: Vec<&VariableReason> = got.reasons.iter().filter(|r| r.variable == Some(variable)).collect();
    (of.iter().map(|r| r.answer).max().unwrap_or(Within::Inside), rules(&of))
}

fn of_fit(code: &Code, design: &Facts, measured: &Facts, case: &Table) -> (Within, Vec<String>) {
    let fit = design.and(measured);
    let dimension = text(case, "variable").unwrap();
    let findings: Vec<FitFinding> =
        fit_up(code, &fit).into_iter().filter(|f| f.dimension == dimension).collect();
    let id = text(case, "id").unwrap();
    assert!(!findings.is_empty(), "{id}: nothing is said of {dimension}");
    for (key, ends) in [
        ("min", findings.iter().map(|f| f.min).collect::<Vec<_>>()),
        ("max", findings.iter().map(|f| f.max).collect()),
    ] {
        if let Some(wanted) = text(case, key) {
            let said: Vec<String> = ends.iter().flatten().map(say).collect();
            assert!(said.iter().any(|s| s == wanted), "{id}: {key} is {said:?}, wanted {wanted}");
        }
    }
    let answer = findings.iter().map(|f| f.answer).max().unwrap();
    (answer, findings.into_iter().map(|f| f.because.rule).collect())
}

fn of_preheat(code: &Code, joint: &Facts) -> (Within, Vec<String>) {
    let findings = preheat(code, joint);
    let answer = findings.iter().map(|f| f.answer).max().unwrap_or(Within::NotSure);
    (answer, findings.into_iter().map(|f| f.because.rule).collect())
}

#[test]
fn there_are_cases_enough_each_with_its_source_and_basis() {
    let all = cases();
    assert!(all.len() >= 150, "{}", all.len());
    let ids: BTreeSet<&str> = all.iter().map(|c| text(c, "id").unwrap()).collect();
    assert_eq!(ids.len(), all.len(), "a case id is used twice");
    for case in &all {
        assert!(!text(case, "source").unwrap().is_empty());
        assert!(Basis::from_word(text(case, "basis").unwrap()).is_some());
        if let Some(rule) = text(case, "rule") {
            explain(rule).unwrap();
        }
    }
}

fn flag(facts: &Facts, name: &str, flag: bool) -> Facts {
    facts.with(name, Fact::Flag(flag)).unwrap()
}

fn word(facts: &Facts, name: &str, word: &str) -> Facts {
    facts.with(name, Fact::Word(word.to_owned())).unwrap()
}

fn size(facts: &Facts, name: &str, size: Quantity) -> Facts {
    facts.with(name, Fact::Measure(size)).unwrap()
}

fn quantity(kind: Kind, text: &str) -> Quantity {
    Quantity::parse(kind, text).unwrap()
}

/// A record that answers for every variable of a spray test on 1/2 in plate.
fn record() -> Facts {
    let mut facts = Facts::default();
    for (name, text) in [
        ("process", "GMAW"),
        ("transfer", "spray"),
        ("shape", "plate"),
        ("backing", "steel"),
        ("base_metal", "P1"),
        ("group_pair", "1-1"),
        ("test_level", "2"),
        ("runs", "multi"),
        ("filler_class", "ER70S-6"),
        ("polarity", "DCEP"),
        ("gas", "90Ar/10CO2"),
        ("test_pipe", "job"),
    ] {
        facts = word(&facts, name, text);
    }
    for (name, kind, text) in [
        ("thickness", Kind::Length, "1/2 in"),
        ("wire_diameter", Kind::Length, "0.045 in"),
        ("volts", Kind::Voltage, "27 V"),
        ("amps", Kind::Current, "260 A"),
        ("wire_feed", Kind::Speed, "400 in/min"),
        ("travel", Kind::Speed, "14 in/min"),
        ("gas_flow", Kind::Flow, "35 cfh"),
        ("preheat", Kind::Temperature, "150 F"),
        ("interpass", Kind::Temperature, "300 F"),
        ("least_interpass", Kind::Temperature, "150 F"),
        ("groove_angle", Kind::Angle, "60 deg"),
        ("root_opening", Kind::Length, "1/4 in"),
        ("heat_input", Kind::EnergyPerLength, "30 kJ/in"),
        ("heat_input_low", Kind::EnergyPerLength, "30 kJ/in"),
    ] {
        facts = size(&facts, name, quantity(kind, text));
    }
    let positions = Fact::Words(vec!["1G".to_owned()]);
    let facts = facts.with("positions", positions).unwrap();
    flag(&flag(&flag(&facts, "toughness", true), "hardness_asked", true), "pwht", false)
}

fn joint() -> Facts {
    let mut facts = Facts::default();
    for (name, text) in [
        ("ask_joint", "plate_groove"),
        ("ask_position", "F"),
        ("ask_process", "GMAW"),
        ("ask_transfer", "spray"),
        ("ask_backing", "steel"),
        ("ask_base_metal", "P1"),
        ("ask_group_pair", "1-1"),
        ("ask_groove_type", "single_v"),
    ] {
        facts = word(&facts, name, text);
    }
    flag(&size(&facts, "ask_thickness", quantity(Kind::Length, "1/2 in")), "ask_pwht", false)
}

#[test]
fn a_joint_like_the_test_is_inside_and_one_thing_left_out_is_not_sure() {
    let d11 = code("aws-d1.1-2020").unwrap();
    let record = word(&flag(&record(), "toughness", false), "groove_type", "single_v");
    let all = within(d11, &record, &joint());
    assert_eq!(all.answer, Within::Inside, "{all:#?}");
    let mut without = Facts::default();
    for (name, fact) in joint().iter().filter(|(name, _)| *name != "ask_thickness") {
        without = without.with(name, fact.clone()).unwrap();
    }
    let answer = within(d11, &record, &without);
    assert_eq!(answer.answer, Within::NotSure);
    assert!(answer.reasons.iter().any(|r| r.message == "enter thickness"), "{answer:#?}");
}

/// The further files of a code are read with it, in every edition.
#[test]
fn every_further_file_of_a_code_is_part_of_it() {
    let basis = |code_id: &str, rule: &str| code(code_id).unwrap().rule(rule).unwrap().basis;
    assert_eq!(basis("aws-d1.1-2020", "d11-var-volts"), Basis::Secondary);
    assert_eq!(basis("aws-d1.1-2015", "d11-var-volts"), Basis::Seen);
    assert_eq!(basis("aws-d1.1-2025", "d11-var-volts"), Basis::Memory);
    assert_eq!(basis("aws-d1.1-2015", "d11-preheat-b-wire-4"), Basis::Seen);
    assert_eq!(basis("asme-ix-2023", "asme-var-thickness-2"), Basis::Secondary);
    assert_eq!(basis("asme-ix-2017", "asme-var-thickness-2"), Basis::Seen);
    assert_eq!(basis("asme-ix-2017", "asme-var-thickness-short-circuit"), Basis::Memory);
    assert_eq!(basis("api-1104-2013", "api-var-gas"), Basis::Memory);
}

/// A groove test covers fillets of any size, in the codes that say so.
#[test]
fn a_fillet_is_not_held_to_the_thickness_of_the_groove_test() {
    let fillet = |code_id: &str| {
        let asked = size(
            &word(&Facts::default(), "ask_joint", "fillet"),
            "ask_thickness",
            quantity(Kind::Length, "4 in"),
        );
        let got = within(code(code_id).unwrap(), &flag(&record(), "toughness", false), &asked);
        let of = got.reasons.into_iter().filter(|r| r.variable == Some(Variable::Thickness));
        of.map(|r| r.answer).max().unwrap()
    };
    assert_eq!(fillet("aws-d1.1-2020"), Within::Inside);
    assert_eq!(fillet("asme-ix-2023"), Within::Inside);
    assert_eq!(fillet("iso-15614-1-2017"), Within::NotSure);
}

#[test]
fn a_draft_shows_the_arithmetic_the_clause_and_what_is_missing() {
    let lines = draft(code("aws-d1.1-2015").unwrap(), &record());
    let line = |variable: Variable| lines.iter().find(|l| l.variable == variable).unwrap();
    let volts = line(Variable::Volts);
    assert_eq!(volts.allowed, "27 V - 7 % = 25.2 V to 27 V + 7 % = 28.8 V");
    assert_eq!((volts.because.clause.as_str(), volts.because.basis), ("Table 4.5 (16)", Basis::Seen));
    assert_eq!(volts.class, VariableClass::Essential);
    assert_eq!(line(Variable::Preheat).allowed, "150 °F - 25 °F = 125 °F or more");
    assert_eq!(line(Variable::Thickness).allowed, "1/8 in to 2 x 1/2 in = 1 in");
    assert_eq!(line(Variable::WireDiameter).allowed, "0.045 in only");
    assert_eq!(line(Variable::GasFlow).allowed, "35 cfh - 20 % = 28 cfh to 35 cfh + 50 % = 52 cfh");
    // Nobody gave it, and its line is there all the same.
    assert_eq!(line(Variable::Output).value, None);
    assert!(line(Variable::Diameter).only_where.as_ref().unwrap().contains("joint is pipe groove"));
}

#[test]
fn a_procedure_is_held_to_its_record_and_a_joint_to_the_procedure() {
    let d11 = code("aws-d1.1-2020").unwrap();
    let mut procedure =
        Procedure { work: word(&Facts::default(), "ask_joint", "plate_groove"), ..Procedure::default() };
    let volts = |low: &str, high: &str| Stated::Range {
        min: Some(quantity(Kind::Voltage, low)),
        max: Some(quantity(Kind::Voltage, high)),
    };
    procedure.stated.insert(Variable::Volts, volts("26 V", "28 V"));
    procedure.stated.insert(Variable::Position, Stated::Words(vec!["F".to_owned()]));
    let said = |procedure: &Procedure, variable| {
        let all = supported(d11, &record(), procedure);
        all.reasons.into_iter().find(|r| r.variable == Some(variable)).unwrap()
    };
    assert_eq!(said(&procedure, Variable::Volts).answer, Within::Inside);
    assert_eq!(said(&procedure, Variable::Amps).message, "enter amps");
    let joint = size(&Facts::default(), "ask_volts", quantity(Kind::Voltage, "28.1 V"));
    assert_eq!(inside(&procedure, &joint).answer, Within::Outside);
    procedure.stated.insert(Variable::Volts, volts("26 V", "29 V"));
    let wide = said(&procedure, Variable::Volts);
    assert_eq!(wide.answer, Within::Outside);
    assert!(wide.message.starts_with("volts 29 V is outside 27 V - 7 % = 25.2 V to"), "{}", wide.message);
    procedure.stated.insert(Variable::Position, Stated::Words(vec!["F".to_owned(), "OH".to_owned()]));
    assert_eq!(said(&procedure, Variable::Position).answer, Within::Outside);
    procedure
        .stated
        .insert(Variable::Volts, Stated::Range { min: Some(quantity(Kind::Voltage, "26 V")), max: None });
    let all = supported(d11, &record(), &procedure);
    assert!(all.reasons.iter().any(|r| r.message.contains("Enter both ends")), "{all:#?}");
}

/// Of a range a claim states, both ends are judged, and a range with one end is
/// not taken for the value of that end.
#[test]
fn a_claim_to_need_no_test_is_held_to_both_ends_and_is_never_a_plain_yes() {
    let d11 = code("aws-d1.1-2020").unwrap();
    let claim = |low: Option<&str>, high: Option<&str>| {
        let end = |text: Option<&str>| text.map(|text| quantity(Kind::Length, text));
        let mut procedure = Procedure::default();
        for (variable, word) in [(Variable::Process, "FCAW"), (Variable::Output, "CV")] {
            procedure.stated.insert(variable, Stated::Value(Fact::Word(word.to_owned())));
        }
        procedure.stated.insert(Variable::Thickness, Stated::Range { min: end(low), max: end(high) });
        let answer = prequalified(d11, &procedure.claim());
        let of = |r: &&VariableReason| r.variable == Some(Variable::Thickness);
        let thickness = answer.reasons.iter().find(of).unwrap().clone();
        (answer.answer, thickness.answer, thickness.message)
    };
    assert_eq!(claim(Some("1/8 in"), Some("1 in")).1, Within::Inside);
    assert_eq!(claim(Some("1/16 in"), Some("1 in")).1, Within::Outside);
    let open = claim(None, Some("1 in"));
    assert_eq!(open.1, Within::NotSure);
    assert!(open.2.ends_with("enter both ends"), "{}", open.2);
    assert_eq!(claim(Some("1/8 in"), Some("1 in")).0, Within::NotSure);
}

/// Positions are words: each one stated is judged, none is taken for all.
#[test]
fn a_claim_with_several_words_is_held_to_every_one() {
    let d11 = code("aws-d1.1-2020").unwrap();
    let mut procedure = Procedure::default();
    let both = vec!["uphill".to_owned(), "downhill".to_owned()];
    procedure.stated.insert(Variable::Position, Stated::Value(Fact::Word("V".to_owned())));
    procedure.stated.insert(Variable::Progression, Stated::Words(both));
    let answer = prequalified(d11, &procedure.claim());
    let of = answer.reasons.iter().find(|r| r.variable == Some(Variable::Progression)).unwrap();
    assert_eq!(of.answer, Within::Outside, "{}", of.message);
}

const SIZES: [&str; 8] =
    ["volts", "amps", "wire_feed", "travel", "gas_flow", "thickness", "wire_diameter", "heat_input"];

/// The record's own setting.
fn own(name: &str) -> Quantity {
    match record().get(name) {
        Some(Fact::Measure(q)) => *q,
        other => panic!("{name} is {other:?} in the record"),
    }
}

fn of_procedures() -> Vec<&'static Code> {
    let has = |code: &&Code| code.rules.iter().any(|r| r.kind == RuleKind::Variable);
    codes().unwrap().iter().copied().filter(has).collect()
}

fn changed(code: &Code, name: &str, asked: Quantity) -> Within {
    let record = record();
    let joint = word(&Facts::default(), "ask_joint", "plate_groove");
    let change = size(&joint, &format!("ask_{name}"), asked);
    let variable = Variable::from_word(name).unwrap();
    let got = retest(code, &record, &change);
    let of = got.reasons.iter().filter(|r| r.variable == Some(variable)).map(|r| r.answer);
    of.max().unwrap_or(Within::Inside)
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(400) })]

    #[test]
    fn a_wider_change_is_never_allowed_where_a_narrower_one_was_refused(
        code in prop::sample::select(of_procedures()),
        name in prop::sample::select(SIZES.to_vec()),
        narrow in 0.0_f64..2.0,
        more in 1.0_f64..3.0,
        up in any::<bool>(),
        inch in any::<bool>(),
    ) {
        let system = if inch { System::Inch } else { System::Metric };
        let middle = own(name);
        let at = |share: f64| {
            let times = if up { 1.0 + share } else { 1.0 / (1.0 + share) };
            Quantity { si: middle.si * times, system, ..middle }
        };
        let near = changed(code, name, at(narrow));
        let far = changed(code, name, at(narrow * more));
        prop_assert!(far >= near, "{name} in {}: {near} then {far}", code.id);
    }

    #[test]
    fn the_record_s_own_settings_are_always_inside(
        code in prop::sample::select(of_procedures()),
        name in prop::sample::select(SIZES.to_vec()),
    ) {
        prop_assert_eq!(changed(code, name, own(name)), Within::Inside);
    }

    /// A reading is held to the limits of its own system, never to the other's
    /// made over: 3 mm of plate is enough, although 1/8 in is more.
    #[test]
    fn a_stated_pair_is_not_converted(thickness in 8_u32..64) {
        let d11 = code("aws-d1.1-2020").unwrap();
        let tested = Quantity { si: f64::from(thickness) * 0.0254 / 64.0, kind: Kind::Length, system: System::Inch };
        prop_assume!(tested.si >= 0.003_175);
        let record = size(&flag(&record(), "toughness", false), "thickness", tested);
        let ask = |text: &str| {
            let change = size(&Facts::default(), "ask_thickness", quantity(Kind::Length, text));
            retest(d11, &record, &change).answer
        };
        prop_assert_eq!(ask("3 mm"), Within::Inside);
        prop_assert_eq!(ask("0.118 in"), Within::Outside);
    }
}
