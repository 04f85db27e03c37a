//! The JSON Schema of each file kind, generated from the catalogue.

use serde_json::{Map, Value, json};

use crate::reader::Known;
use crate::spec::{FileKind, Need, Spec, What};

/// The schema as pretty JSON text, stable from run to run.
pub fn schema_json(kind: &FileKind, known: &Known<'_>) -> String {
    let mut root = object("");
    for spec in kind.specs {
        insert(&mut root, &spec.path.split('.').collect::<Vec<_>>(), spec, known);
    }
    let mut schema = Map::new();
    schema.insert("$schema".into(), json!("https://json-schema.org/draft/2020-12/schema"));
    schema.insert("title".into(), json!(format!("Bendproof {} file", kind.name)));
    if let Value::Object(fields) = root {
        schema.extend(fields);
    }
    schema.insert("description".into(), json!(kind.doc));
    let mut text = serde_json::to_string_pretty(&Value::Object(schema)).unwrap_or_default();
    text.push('\n');
    text
}

fn object(doc: &str) -> Value {
    json!({ "description": doc, "type": "object", "additionalProperties": false, "properties": {} })
}

/// Walks to the parent of the last part, making objects and arrays on the way.
fn insert(parent: &mut Value, parts: &[&str], spec: &Spec, known: &Known<'_>) {
    match parts {
        [name] => {
            parent["properties"][*name] = leaf(spec, known);
            require(parent, name, spec);
        }
        // Any name, each with a list of values.
        ["*", "#"] => parent["additionalProperties"] = values(spec, known),
        [name, "#"] => {
            parent["properties"][*name] = values(spec, known);
            require(parent, name, spec);
        }
        [name, "#", rest @ ..] => {
            if parent["properties"][*name].is_null() {
                parent["properties"][*name] = json!({ "type": "array", "items": object("") });
            }
            insert(&mut parent["properties"][*name]["items"], rest, spec, known);
        }
        [name, rest @ ..] => {
            if parent["properties"][*name].is_null() {
                parent["properties"][*name] = object("");
            }
            insert(&mut parent["properties"][*name], rest, spec, known);
        }
        [] => {}
    }
}

fn require(parent: &mut Value, name: &str, spec: &Spec) {
    if spec.need == Need::Required {
        let required = parent["required"].take();
        let mut list = required.as_array().cloned().unwrap_or_default();
        list.push(json!(name));
        parent["required"] = Value::Array(list);
    }
}

/// A list of plain values.
fn values(spec: &Spec, known: &Known<'_>) -> Value {
    json!({ "type": "array", "items": leaf(spec, known) })
}

fn leaf(spec: &Spec, known: &Known<'_>) -> Value {
    let mut leaf = match spec.what {
        What::Text(max) => json!({ "type": "string", "maxLength": max }),
        What::Words(words) => json!({ "enum": words }),
        What::Steel => json!({ "enum": known.steels }),
        What::Code => json!({ "enum": known.codes }),
        What::Construction => json!({ "enum": known.construction }),
        What::Quantity(bound) => json!({ "type": ["string", "number"], "examples": [bound.example] }),
        What::PipeSize(_) => json!({ "type": ["string", "number"], "examples": ["6", "NPS 6", "DN 150"] }),
        What::Count(min, max) => json!({ "type": "integer", "minimum": min, "maximum": max }),
        What::Date | What::Day => json!({ "type": "string", "format": "date" }),
        What::Table => json!({ "type": "object" }),
    };
    leaf["title"] = json!(spec.label);
    leaf["description"] = json!(spec.doc);
    if let Need::Default(text) = spec.need {
        leaf["default"] = match spec.what {
            What::Count(..) => text.parse::<u32>().map_or(json!(text), |n| json!(n)),
            _ => json!(text),
        };
    }
    leaf
}
