//! The register holds together: names, examples, errors.

use bendproof_calc::{ArgumentError, CalcError, Input, Need, evaluate, find, list};
use bendproof_measure::{Kind, unit_named};
use std::collections::BTreeSet;

#[test]
fn every_formula_is_described_and_its_example_runs() {
    let mut names = BTreeSet::new();
    for formula in list() {
        assert!(names.insert(formula.name), "{} twice", formula.name);
        assert!(formula.name.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'_'));
        assert!(!formula.title.is_empty() && !formula.source.is_empty() && !formula.validity.is_empty());
        let answer =
            evaluate(formula.name, formula.example).unwrap_or_else(|e| panic!("{}: {e}", formula.name));
        assert_eq!(answer.unit, formula.unit);
        let known: BTreeSet<&str> = formula.arguments.iter().map(|a| a.name).collect();
        assert_eq!(known.len(), formula.arguments.len(), "{} repeats an argument", formula.name);
        for argument in formula.arguments {
            assert!(!argument.accepts().is_empty());
            if argument.need == Need::Required {
                assert!(formula.example.iter().any(|(name, _)| *name == argument.name));
            }
        }
    }
}

#[test]
fn the_promised_names_are_there() {
    for name in [
        "current_from_wire_feed",
        "wire_feed_from_current",
        "deposition_rate",
        "bead_area",
        "groove_area",
        "arc_energy",
        "heat_input",
        "cooling_time_3d",
        "cooling_time_2d",
        "cooling_time",
        "transition_thickness",
        "carbon_equivalent_iiw",
        "carbon_equivalent_cet",
        "carbon_equivalent_pcm",
        "preheat_cet",
        "bend_strain",
        "bend_former",
        "root_meniscus_pressure",
        "root_holding_limit",
        "gravity_components",
        "wire_mass",
        "gas_volume",
        "peak_temperature",
        "rosenthal_thick",
        "rosenthal_plate",
    ] {
        assert!(find(name).is_ok(), "{name}");
    }
}

#[test]
fn a_near_name_is_offered() {
    assert_eq!(
        find("heat_imput").unwrap_err().to_string(),
        "there is no formula `heat_imput`; the nearest is `heat_input`; `bendproof calc` lists every formula"
    );
}

#[test]
fn all_errors_come_at_once() {
    let error = evaluate(
        "heat_input",
        &[
            ("volts", "18"),
            ("amps", "-5 A"),
            ("travell", "8 in/min"),
            ("efficiency", "0.8"),
            ("efficiency", "0.9"),
        ],
    )
    .unwrap_err();
    let CalcError::Arguments(errors) = error else { panic!("{error}") };
    let said: Vec<String> = errors.iter().map(ArgumentError::to_string).collect();
    assert_eq!(said.len(), 5, "{said:?}");
    assert!(
        said[0].starts_with(
            "there is no argument `travell` here; the nearest is `travel`; enter volts, amps, travel"
        ),
        "{said:?}"
    );
    assert_eq!(said[1], "`volts`: `18` has no unit; enter a voltage as 18.2 V");
    assert!(said[2].starts_with("`amps`: current is -5 A; enter 0.1 A to 2000 A"));
    assert_eq!(said[3], "`travel` (travel speed) is missing; write travel=\"8 in/min\"");
    assert_eq!(said[4], "`efficiency` is given more than once; keep one");
}

#[test]
fn nonsense_is_refused_in_words() {
    for (name, inputs, word) in [
        ("bend_former", &[("thickness", "10 mm")][..], "give `elongation` or `strain`"),
        ("bend_former", &[("thickness", "10 mm"), ("strain", "20 %"), ("elongation", "20 %")], "not both"),
        (
            "groove_area",
            &[
                ("root_opening", "3 mm"),
                ("root_face", "12 mm"),
                ("thickness", "10 mm"),
                ("groove_angle", "60 deg"),
            ],
            "taller than the plate",
        ),
        ("rosenthal_thick", &[("power", "2500 W"), ("travel", "5 mm/s"), ("xi", "0 mm")], "no finite value"),
        ("spray_threshold", &[("diameter", "0.035 in"), ("gas", "CO2")], "does not spray"),
        ("spray_threshold", &[("diameter", "0.035 in"), ("gas", "helium")], "write 75Ar/25CO2 or"),
        (
            "gravity_components",
            &[("pipe_tilt", "45 deg"), ("clock", "3"), ("direction", "up")],
            "has no unit",
        ),
    ] {
        let said = evaluate(name, inputs).unwrap_err().to_string();
        assert!(said.contains(word), "{name}: {said}");
    }
}

#[test]
fn inch_and_metric_agree_and_percent_is_mass_percent() {
    let value = |inputs: &[(&str, &str)]| evaluate("bend_strain", inputs).unwrap().value;
    let inch = value(&[("thickness", "3/8 in"), ("former", "1-1/2 in")]);
    let metric = value(&[("thickness", "9.525 mm"), ("former", "38.1 mm")]);
    assert!((inch - metric).abs() < 1e-12);
    let carbon = |c: &str| evaluate("carbon_equivalent_iiw", &[("c", c), ("mn", "1.2 %")]).unwrap().value;
    assert_eq!(carbon("0.18"), carbon("0.18 %"));
    assert!((carbon("0.18") - 0.38).abs() < 1e-12);
}

#[test]
fn leaving_the_known_range_is_said() {
    let answer = evaluate(
        "preheat_cet",
        &[("cet", "0.32"), ("thickness", "1/4 in"), ("hydrogen", "5 ml/100g"), ("heat_input", "1 kJ/mm")],
    )
    .unwrap();
    assert_eq!(answer.warnings[0], "thickness is 6.35 mm; the formula is known from 10 mm to 90 mm");
    assert!(answer.warnings[1].starts_with("below room temperature"));
}

/// A unit in which to write a kind at its bounds.
fn unit_of(kind: Kind) -> &'static str {
    match kind {
        Kind::Length => "m",
        Kind::Area => "mm2",
        Kind::Speed => "m/s",
        Kind::Angle => "rad",
        Kind::Temperature => "K",
        Kind::TemperatureStep => "C",
        Kind::Force => "N",
        Kind::Voltage => "V",
        Kind::Current => "A",
        Kind::Power => "W",
        Kind::EnergyPerLength => "J/m",
        Kind::Flow => "L/min",
        Kind::Time => "s",
        Kind::Pressure => "Pa",
        Kind::SurfaceTension => "N/m",
        Kind::Conductivity => "W/m/K",
        Kind::Diffusivity => "m2/s",
        Kind::VolumetricHeat => "J/m^3/K",
        Kind::HeatTransfer => "W/m^2/K",
        Kind::Density => "kg/m^3",
        Kind::SpecificEnergy => "J/kg",
        Kind::SpecificHeat => "J/kg/K",
        Kind::Hydrogen => "ml/100g",
        Kind::MassRate => "kg/h",
        Kind::Mass => "kg",
        Kind::Share | Kind::Number => "",
    }
}

#[test]
fn every_argument_at_its_bounds_gives_a_number_or_a_reason() {
    for formula in list() {
        for argument in formula.arguments {
            if matches!(argument.input, Input::Word(_)) {
                continue;
            }
            let bound = argument.bound;
            let inside = 1e-9 * (bound.max_si - bound.min_si);
            let unit = unit_of(bound.kind);
            let per_unit = unit_named(unit).map_or(1.0, |u| u.si_per_unit);
            for si in [bound.min_si + inside, bound.max_si - inside] {
                let text = format!("{:e} {unit}", si / per_unit);
                let mut inputs: Vec<(&str, &str)> = formula.example.to_vec();
                inputs.retain(|(name, _)| *name != argument.name);
                inputs.push((argument.name, &text));
                match evaluate(formula.name, &inputs) {
                    Ok(answer) => assert!(answer.value.is_finite(), "{} {text}", formula.name),
                    Err(error) => assert!(
                        matches!(error, CalcError::NoResult(_)),
                        "{} {} {text}: {error}",
                        formula.name,
                        argument.name
                    ),
                }
            }
        }
    }
}
