//! `docs/reference/json.md` held to what the program prints, both ways: no key is
//! printed that does not stand there, and none stands there that nothing prints.
//!
//! In the document the first element of a list stands for all, `"<name>"` is any
//! key, and `"as item"` is the shape under that heading.
#![allow(clippy::unwrap_used)]

mod support;

use std::collections::{BTreeMap, BTreeSet};

use serde_json::Value;
use support::{Folder, example_with, read, run};

/// The shapes of the document by the heading they stand under.
struct Reference(BTreeMap<String, Value>);

impl Reference {
    fn read() -> Self {
        let text = read("docs/reference/json.md");
        let (mut shapes, mut heading, mut block) = (BTreeMap::new(), String::new(), None::<String>);
        for line in text.lines() {
            match (&mut block, line) {
                (None, "```json") => block = Some(String::new()),
                (Some(text), "```") => {
                    let shape = serde_json::from_str(text).unwrap_or_else(|e| panic!("{heading}: {e}"));
                    let is_new = shapes.insert(heading.clone(), shape).is_none();
                    assert!(is_new, "two shapes stand under `{heading}`");
                    block = None;
                }
                (Some(text), line) => text.push_str(&format!("{line}\n")),
                (None, line) => {
                    if let Some(title) = line.strip_prefix("## ").or(line.strip_prefix("### ")) {
                        heading = title.to_owned();
                    }
                }
            }
        }
        Self(shapes)
    }

    /// The shape a text refers to, with the heading it stands under.
    fn behind<'a>(&'a self, shape: &'a Value, at: &str) -> (&'a Value, String) {
        match shape.as_str().and_then(|text| text.strip_prefix("as ")) {
            Some(heading) => {
                let shape = self.0.get(heading).unwrap_or_else(|| panic!("{at}: no shape `{heading}`"));
                (shape, heading.to_owned())
            }
            None => (shape, at.to_owned()),
        }
    }

    /// Every key that stands in the document.
    fn keys(&self) -> BTreeSet<String> {
        fn of(shape: &Value, at: &str, out: &mut BTreeSet<String>) {
            match shape {
                Value::Object(fields) => {
                    for (key, inner) in fields {
                        let at = format!("{at} / {key}");
                        of(inner, &at, out);
                        out.insert(at);
                    }
                }
                Value::Array(list) => list.iter().for_each(|one| of(one, at, out)),
                _ => {}
            }
        }
        let mut out = BTreeSet::new();
        self.0.iter().for_each(|(heading, shape)| of(shape, heading, &mut out));
        out
    }
}

/// What printing met: the keys of the document, and what does not stand there.
#[derive(Default)]
struct Met {
    keys: BTreeSet<String>,
    unknown: BTreeSet<String>,
}

impl Met {
    fn compare(&mut self, printed: &Value, shape: &Value, at: &str, reference: &Reference) {
        let (shape, at) = reference.behind(shape, at);
        match printed {
            Value::Object(fields) => {
                for (key, value) in fields {
                    let any = || shape.as_object()?.iter().find(|(name, _)| name.starts_with('<'));
                    let known = shape.as_object().and_then(|s| s.get_key_value(key)).or_else(any);
                    match known {
                        Some((name, inner)) => {
                            let at = format!("{at} / {name}");
                            self.compare(value, inner, &at, reference);
                            self.keys.insert(at);
                        }
                        None => {
                            self.unknown.insert(format!("{at} / {key}"));
                        }
                    }
                }
            }
            Value::Array(list) => {
                let one = shape.as_array().and_then(|s| s.first()).unwrap_or(&Value::Null);
                list.iter().for_each(|value| self.compare(value, one, &at, reference));
            }
            _ => {}
        }
    }
}

fn arguments(line: &str) -> Vec<String> {
    line.split_whitespace().map(str::to_owned).chain(["--json".to_owned()]).collect()
}

#[test]
fn every_key_printed_stands_in_the_reference_and_none_stands_there_for_nothing() {
    let reference = Reference::read();
    let folder = Folder::new();
    let mut met = Met::default();
    for (heading, line) in lines(&folder) {
        let printed = run(&arguments(&line));
        assert!(printed.code < 3 && !printed.err.contains("panicked"), "{line}: {}", printed.err);
        let shape = reference.0.get(heading).unwrap_or_else(|| panic!("no shape `{heading}`"));
        met.compare(&printed.json(), shape, heading, &reference);
    }
    assert_eq!(met.unknown, BTreeSet::new(), "printed, and not in docs/reference/json.md");
    let unmet: BTreeSet<String> = reference.keys().difference(&met.keys).cloned().collect();
    assert_eq!(unmet, BTreeSet::new(), "in docs/reference/json.md, and never printed");
}

const COUPON: &str = "examples/plate-3g-downhill.toml";

const PIPE: &str = "examples/pipe-api-1104.toml";

/// A heading of the document, and a command that prints its shape.
fn lines(folder: &Folder) -> Vec<(&'static str, String)> {
    let set = |name: &str, path: &str, old: &str, new: &str| folder.write(name, example_with(path, old, new));
    let backed = set("backed.toml", COUPON, "backing = \"open\"", "backing = \"steel\"");
    let broken = set("broken.toml", COUPON, "thickness = \"3/8 in\"", "thickness = \"3/8\"");
    let odd = set("odd.toml", "examples/record.toml", "welder = ", "welderr = ");
    let thick = set("thick.toml", COUPON, "root_face = \"1/16 in\"", "root_face = \"1/8 in\"");
    let past = set("past.toml", PIPE, "number = \"0431\"", "number = \"0430\"");
    let window = "--x root_opening=1/16in..1/4in --y root_face=0..1/8in --size 3x3";
    let [log, plan, bends, again, pdf] =
        ["log.json", "plan.json", "bends.json", "again.json", "sheet.pdf"].map(|n| folder.path(n));
    vec![
        ("Findings", format!("forecast {broken}")),
        ("bendproof forecast", format!("forecast {COUPON}")),
        ("bendproof forecast", format!("forecast {backed} --fast")),
        ("bendproof forecast, stick", "forecast examples/plate-3g-stick.toml".to_owned()),
        ("bendproof window", format!("window {PIPE} {window} --plate {past}")),
        ("bendproof window", format!("window {thick} {window} --root")),
        ("bendproof window", format!("window {backed} {window}")),
        ("bendproof etch", format!("etch {COUPON}")),
        ("bendproof compare", format!("compare {COUPON} examples/plate-3g-uphill.toml")),
        ("bendproof judge", "judge examples/bends.toml".to_owned()),
        ("everything examined on a coupon", format!("judge {PIPE}")),
        ("bendproof paper", format!("paper {COUPON} -o {pdf} --fast")),
        ("bendproof standing", "standing examples/record.toml".to_owned()),
        ("bendproof cover", "cover examples/plate-3g-uphill.toml --all".to_owned()),
        ("bendproof cover", format!("cover {COUPON}")),
        ("bendproof cover --joints", "cover --joints examples/joints.toml --all".to_owned()),
        ("bendproof procedure", "procedure examples/procedure-record.toml".to_owned()),
        (
            "bendproof procedure",
            "procedure examples/procedure.toml --from examples/procedure-record.toml".to_owned(),
        ),
        ("bendproof record", format!("record continuity examples/record.toml -o {log} --who Ida")),
        ("bendproof record", format!("record procedure examples/procedure.toml -o {plan} --who Ida")),
        ("bendproof record", format!("record bends examples/plate-3g-uphill.toml -o {bends} --who Ida")),
        (
            "bendproof record",
            format!(
                "record bends examples/plate-3g-uphill.toml -o {again} --who Ida --revises {bends} --why typo"
            ),
        ),
        (
            "bendproof calc",
            "calc current_from_wire_feed diameter=0.035in extension=8mm wire_feed=200in/min".to_owned(),
        ),
        ("bendproof calc, the list", "calc".to_owned()),
        ("bendproof explain", "explain d11-bend-single-opening".to_owned()),
        ("bendproof explain, the list", "explain".to_owned()),
        ("bendproof heat", "heat examples/heat-plate.toml".to_owned()),
        ("bendproof check", format!("check {odd}")),
        ("bendproof licenses", "licenses".to_owned()),
    ]
}
