//! A document printed and read again is the same document, its rows renumbered.
#![allow(clippy::unwrap_used)]

mod support;

use std::collections::BTreeMap;

use bendproof_files::{Document, FileKind, NONE_FOUND, Spec, What, character_fault, check_field};
use bendproof_measure::Kind;
use proptest::prelude::*;
use support::{KINDS, known};

/// A value the field takes.
fn value(spec: &Spec) -> BoxedStrategy<String> {
    match spec.what {
        // Quotes, backslashes, number signs and letters of any script; nothing that
        // is not seen.
        What::Text(max) => {
            let is_taken = |c: &char| character_fault(&c.to_string()).is_none();
            prop::collection::vec(any::<char>().prop_filter("no control", is_taken), 0..max)
                .prop_map(|chars| chars.into_iter().collect())
                .boxed()
        }
        What::Words(words) => prop::sample::select(words).prop_map(str::to_owned).boxed(),
        What::Steel => prop::sample::select(known().steels).prop_map(str::to_owned).boxed(),
        What::Code => prop::sample::select(known().codes).prop_map(str::to_owned).boxed(),
        What::Construction => prop::sample::select(known().construction).prop_map(str::to_owned).boxed(),
        What::Count(min, max) => (min..=max).prop_map(|n| n.to_string()).boxed(),
        What::PipeSize(_) => {
            prop::sample::select(&["6", "NPS 2-1/2", "DN 150", "24 in"][..]).prop_map(str::to_owned).boxed()
        }
        // No file that is read back holds one.
        What::Table => Just("none".to_owned()).boxed(),
        What::Date | What::Day => {
            (2000..2026i32, 1..=12u8, 1..=28u8).prop_map(|(y, m, d)| format!("{y:04}-{m:02}-{d:02}")).boxed()
        }
        What::Quantity(bound) => {
            let (unit, si_per_unit) = match bound.kind {
                Kind::Length => ("mm", 1e-3),
                Kind::Area => ("mm2", 1e-6),
                Kind::Speed => ("mm/s", 1e-3),
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
                Kind::Hydrogen => ("ml/100g", 1e-5),
                Kind::SpecificHeat => ("J/kg/K", 1.0),
                _ => ("", 1.0),
            };
            (0.001..0.999f64)
                .prop_map(move |share| {
                    let si = bound.min_si + share * (bound.max_si - bound.min_si);
                    format!("{:.9} {unit}", si / si_per_unit).trim_end().to_owned()
                })
                .boxed()
        }
    }
}

/// Names a writer might give; one of them needs quotes.
const NAMES: &[&str] = &["s6", "under-side", "a \"b\" c"];

/// Up to three values for a field: each in a row out of 1 to 9, so that rows have
/// gaps and lack fields.
fn values(spec: &'static Spec) -> BoxedStrategy<Vec<(String, String)>> {
    let row = (1..10u32, 1..4u32, prop::sample::select(NAMES), value(spec));
    prop::collection::vec(row, 0..3)
        .prop_map(move |rows| {
            rows.into_iter()
                .map(|(row, inner, name, text)| {
                    let path =
                        spec.path.replacen('#', &row.to_string(), 1).replacen('#', &inner.to_string(), 1);
                    let path = path.replace('*', name);
                    (path, text)
                })
                .collect()
        })
        .boxed()
}

fn document(kind: &'static FileKind) -> impl Strategy<Value = Document> {
    let all: Vec<_> = kind.specs.iter().map(values).collect();
    (all, 1..10u32).prop_map(move |(values, looked_at)| {
        let mut values: BTreeMap<String, String> = values.into_iter().flatten().collect();
        let lists: &[&str] = match kind.name {
            "coupon" => {
                &["strap.#.openings", "nick_break.#.flaws", "hardness.#.points", "radiograph.#.flaws"]
            }
            "bends" => &["strap.#.openings"],
            _ => &[],
        };
        for list in lists.iter().map(|list| list.replace('#', &looked_at.to_string())) {
            if !values.keys().any(|path| path.starts_with(&format!("{list}."))) {
                values.insert(list, NONE_FOUND.to_owned());
            }
        }
        Document::from_values(values)
    })
}

/// Values with each row number replaced by its place among the rows next to it.
fn renumbered(document: &Document) -> BTreeMap<String, String> {
    let renumber = |path: &str| {
        let mut old = String::new();
        let mut new = String::new();
        for part in path.split('.') {
            let place =
                part.parse().ok().and_then(|row: usize| document.rows(&old).iter().position(|r| *r == row));
            let part_now = place.map_or_else(|| part.to_owned(), |place| (place + 1).to_string());
            for (text, part) in [(&mut old, part), (&mut new, part_now.as_str())] {
                if !text.is_empty() {
                    text.push('.');
                }
                text.push_str(part);
            }
        }
        new
    };
    document.values().iter().map(|(path, text)| (renumber(path), text.clone())).collect()
}

fn comes_back(kind: &FileKind, document: &Document) -> Result<(), TestCaseError> {
    for (path, text) in document.values() {
        prop_assert_eq!(check_field(kind, path, text, &known()), Ok(()));
    }
    let text = document.to_toml(kind);
    let (again, findings) = Document::from_toml(kind, &text);
    prop_assert_eq!(findings, vec![], "{}", text);
    prop_assert_eq!(again.values(), &renumbered(document), "{}", text);
    prop_assert_eq!(again.to_toml(kind), text, "printing is settled after once");
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(120) })]

    #[test]
    fn a_coupon_comes_back(document in document(KINDS[0])) {
        comes_back(KINDS[0], &document)?;
    }

    #[test]
    fn bends_come_back(document in document(KINDS[1])) {
        comes_back(KINDS[1], &document)?;
    }

    #[test]
    fn a_record_comes_back(document in document(KINDS[2])) {
        comes_back(KINDS[2], &document)?;
    }

    #[test]
    fn joints_come_back(document in document(KINDS[4])) {
        comes_back(KINDS[4], &document)?;
    }

    #[test]
    fn a_procedure_record_comes_back(document in document(KINDS[5])) {
        comes_back(KINDS[5], &document)?;
    }

    #[test]
    fn a_procedure_comes_back(document in document(KINDS[6])) {
        comes_back(KINDS[6], &document)?;
    }

    #[test]
    fn procedure_joints_come_back(document in document(KINDS[7])) {
        comes_back(KINDS[7], &document)?;
    }

    #[test]
    fn a_heat_problem_comes_back(document in document(KINDS[3])) {
        comes_back(KINDS[3], &document)?;
    }
}
