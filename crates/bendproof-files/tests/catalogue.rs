//! The catalogue against the checker: every field takes what lies inside its
//! range and refuses what does not, in the words of the catalogue.
#![allow(clippy::unwrap_used)]

mod support;

use bendproof_files::{COUPON, Document, FileKind, Need, Reader, Spec, What, check_field, generic_path};
use bendproof_measure::{Bound, Kind};
use proptest::prelude::*;
use support::{KINDS, known};

/// A unit of a kind whose value in SI is known without a table.
fn unit(kind: Kind) -> (&'static str, f64) {
    match kind {
        Kind::Length => ("m", 1.0),
        Kind::Area => ("mm2", 1e-6),
        Kind::Speed => ("m/s", 1.0),
        Kind::Angle => ("rad", 1.0),
        Kind::Temperature => ("K", 1.0),
        Kind::Voltage => ("V", 1.0),
        Kind::Current => ("A", 1.0),
        Kind::Flow => ("L/min", 1e-3 / 60.0),
        Kind::Power => ("W", 1.0),
        Kind::Time => ("s", 1.0),
        Kind::Pressure => ("Pa", 1.0),
        Kind::Force => ("N", 1.0),
        Kind::EnergyPerLength => ("J/m", 1.0),
        Kind::Conductivity => ("W/m/K", 1.0),
        Kind::VolumetricHeat => ("J/m^3/K", 1.0),
        Kind::HeatTransfer => ("W/m^2/K", 1.0),
        Kind::Density => ("kg/m^3", 1.0),
        Kind::SpecificEnergy => ("J/kg", 1.0),
        Kind::SpecificHeat => ("J/kg/K", 1.0),
        Kind::Hydrogen => ("ml/100g", 1e-5),
        Kind::Share | Kind::Number => ("", 1.0),
        other => panic!("no field measured {other:?} when this was written; name its unit here"),
    }
}

fn written(bound: &Bound, si: f64) -> String {
    let (unit, si_per_unit) = unit(bound.kind);
    format!("{:.14e} {unit}", si / si_per_unit)
}

fn quantities() -> Vec<(&'static FileKind, &'static Spec, Bound)> {
    let of = |kind: &'static FileKind| {
        kind.specs.iter().filter_map(move |spec| match spec.what {
            What::Quantity(bound) => Some((kind, spec, bound)),
            _ => None,
        })
    };
    KINDS.into_iter().flat_map(of).collect()
}

/// `pass.#.volts` as `pass.1.volts`, `probes.*.#` as `probes.s6.1`.
fn path(spec: &Spec) -> String {
    spec.path.replace('#', "1").replace('*', "s6")
}

#[test]
fn ranges_are_ranges_and_name_a_next_step() {
    for (kind, spec, bound) in quantities() {
        assert!(bound.min_si < bound.max_si, "{}: {}", kind.name, spec.path);
        assert!(bound.next_step.len() > 5 && !bound.name.is_empty(), "{}: {}", kind.name, spec.path);
    }
}

/// Who is shown how to write a value and writes it so must not be refused again.
#[test]
fn every_example_is_a_value_its_field_takes() {
    let mut asked = 0;
    for (kind, spec, bound) in quantities() {
        for example in bound.example.split(" or ") {
            let taken = check_field(kind, &path(spec), example, &known());
            assert_eq!(taken, Ok(()), "{}: {} like {example}", kind.name, spec.path);
            asked += 1;
        }
    }
    assert!(asked > 300, "{asked}");
}

#[test]
fn a_bad_hardness_is_answered_with_a_hardness() {
    let said = |text: &str| check_field(&COUPON, "hardness.1.points.1.value", text, &known()).unwrap_err();
    assert_eq!(
        said("210 HV").message,
        "hardness is `210 HV`: `HV` is not a known unit; enter a plain number as 210; allowed: 10 to 1500"
    );
    assert_eq!(
        said("2").message,
        "hardness is 2; enter 10 to 1500; enter the hardness number, without a unit"
    );
}

#[test]
fn a_word_is_printed_and_taken_as_people_say_it() {
    let path = "radiograph.1.flaws.1.kind";
    let said = |text: &str| check_field(&COUPON, path, text, &known());
    let message = said("cluster porosity").unwrap_err().message;
    assert!(message.contains("cluster pore, line pore") && message.ends_with("did you mean `cluster pore`?"));
    // No list of a file is named in the words of a program.
    for kind in KINDS {
        for spec in kind.specs.iter().filter(|spec| matches!(spec.what, What::Words(_))) {
            let message = check_field(kind, &self::path(spec), "no such word", &known()).unwrap_err().message;
            assert!(!message.contains('_'), "{}: {message}", spec.path);
        }
    }
    for word in ["cluster_pore", "cluster pore", "Cluster Pore"] {
        assert_eq!(said(word), Ok(()));
        let values = [(path.to_owned(), word.to_owned())].into_iter().collect();
        let document = Document::from_values(values);
        assert_eq!(Reader::new(&COUPON, &document, known()).text(path), Some("cluster_pore"));
    }
}

#[test]
fn every_default_is_a_value_its_field_takes() {
    for kind in KINDS {
        for spec in kind.specs {
            if let Need::Default(text) = spec.need {
                assert_eq!(
                    check_field(kind, &path(spec), text, &known()),
                    Ok(()),
                    "{}: {}",
                    kind.name,
                    spec.path
                );
            }
        }
    }
}

#[test]
fn paths_are_unlike_each_other_and_lead_back_to_their_field() {
    for kind in KINDS {
        for spec in kind.specs {
            assert_eq!(generic_path(&path(spec)), spec.path.replace('*', "s6"));
            assert_eq!(kind.spec(&path(spec)).map(|s| s.doc), Some(spec.doc), "{}", spec.path);
        }
    }
}

/// A letter lost, doubled or swapped in the last part still finds its field.
#[test]
fn a_misspelt_key_finds_its_field() {
    for (kind, wrong, right) in [
        (0, "fit.thicknes", "fit.thickness"),
        (0, "fit.postion", "fit.position"),
        (0, "fit.root_openning", "fit.root_opening"),
        (0, "settings.wire_diametre", "settings.wire_diameter"),
        (0, "pass.2.wirefeed", "pass.#.wire_feed"),
        (0, "pass.1.volt", "pass.#.volts"),
        (1, "strap.1.thicknes", "strap.#.thickness"),
        (1, "strap.1.openings.1.lenght", "strap.#.openings.#.length"),
        (2, "outside_diamter", "outside_diameter"),
        (2, "finnished", "finished"),
        (2, "position.1", "positions.#"),
        (3, "source.halfwidth", "source.half_width"),
        (3, "source.form.1", "source.from.#"),
        (3, "prbes.s6.2", "probes.*.#"),
        (3, "run.cooling_for", "run.cool_for"),
        (3, "material.latent_heat_", "material.latent_heat"),
    ] {
        assert_eq!(KINDS[kind].nearest(wrong), Some(right));
    }
    assert_eq!(KINDS[0].nearest("zzz.qqq"), None);
    assert_eq!(KINDS[3].nearest("zzz.s6.1"), None);
}

/// A name of the writer's own is one name: no row, and nothing deeper.
#[test]
fn a_name_of_the_writers_own_stands_for_one_name() {
    let takes = |path: &str| KINDS[3].spec(path).is_some();
    assert!(takes("probes.s6.1") && takes("probes.under side.3"));
    assert!(!takes("probes.s6") && !takes("probes.1.1") && !takes("probes.s6.1.1") && !takes("probe.s6.1"));
}

#[test]
fn words_are_taken_in_any_case_and_others_refused_with_the_nearest() {
    for kind in KINDS {
        for spec in kind.specs {
            let What::Words(words) = spec.what else { continue };
            for word in words {
                assert_eq!(check_field(kind, &path(spec), &word.to_uppercase(), &known()), Ok(()), "{word}");
                let wrong = check_field(kind, &path(spec), &format!("{word}x"), &known()).unwrap_err();
                assert!(
                    wrong.message.contains(&format!("{} is `{word}x`", spec.label))
                        && wrong.message.contains("did you mean `"),
                    "{wrong}"
                );
            }
        }
    }
}

#[test]
fn counts_are_held_to_their_ends() {
    for kind in KINDS {
        for spec in kind.specs {
            let What::Count(min, max) = spec.what else { continue };
            let takes = |text: String| check_field(kind, &path(spec), &text, &known()).is_ok();
            assert!(takes(min.to_string()) && takes(max.to_string()), "{}", spec.path);
            for text in
                [min - 1, max + 1].map(|n| n.to_string()).into_iter().chain(["1.5".into(), "-1".into()])
            {
                assert!(!takes(text), "{}", spec.path);
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(2000) })]

    #[test]
    fn a_quantity_inside_its_range_is_taken(
        (kind, spec, bound) in prop::sample::select(quantities()),
        share in 1e-9..(1.0 - 1e-9),
    ) {
        let text = written(&bound, bound.min_si + share * (bound.max_si - bound.min_si));
        let checked = check_field(kind, &path(spec), &text, &known());
        prop_assert!(checked.is_ok(), "{text}: {checked:?}");
    }

    #[test]
    fn a_quantity_outside_its_range_is_refused_with_name_and_next_step(
        (kind, spec, bound) in prop::sample::select(quantities()),
        beyond in 1e-6..1e3f64,
        above in any::<bool>(),
    ) {
        let far = beyond * (bound.max_si - bound.min_si);
        let text = written(&bound, if above { bound.max_si + far } else { bound.min_si - far });
        let wrong = check_field(kind, &path(spec), &text, &known()).unwrap_err();
        prop_assert!(wrong.message.starts_with(&format!("{} is ", bound.name)), "{wrong}");
        prop_assert!(wrong.message.contains("; enter "), "{wrong}");
        prop_assert!(wrong.message.ends_with(&format!("; {}", bound.next_step)), "{wrong}");
    }

    #[test]
    fn a_quantity_in_the_wrong_kind_of_unit_is_refused(
        (kind, spec, bound) in prop::sample::select(quantities()),
        value in 0.0..1e3f64,
    ) {
        let (unit, got) =
            if bound.kind == Kind::Pressure { ("V", "a voltage") } else { ("Pa", "a pressure or stress") };
        let wrong = check_field(kind, &path(spec), &format!("{value} {unit}"), &known()).unwrap_err();
        prop_assert!(wrong.message.contains(&format!("is {got}, not ")), "{wrong}");
        prop_assert!(wrong.message.contains("; enter "), "{wrong}");
    }
}
