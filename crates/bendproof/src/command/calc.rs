//! `bendproof calc`: each published formula on its own.

use serde_json::{Map, Value, json};

use crate::exit::{Exit, Outcome, failure};
use crate::output;

pub fn run(name: Option<&str>, arguments: &[String], as_json: bool) -> Outcome {
    let Some(name) = name else {
        list(as_json);
        return Ok(Exit::Fine);
    };
    let mut pairs = Vec::with_capacity(arguments.len());
    for argument in arguments {
        let pair = argument.split_once('=').ok_or_else(|| {
            failure(format!("`{argument}` is not key=value; enter it as diameter=\"0.035 in\""))
        })?;
        pairs.push((pair.0.trim(), pair.1.trim()));
    }
    let answer = bendproof_calc::evaluate(name, &pairs).map_err(failure)?;
    if as_json {
        output::json(&answer_json(&answer));
        return Ok(Exit::Fine);
    }
    output::line(format!("{} = {} {}", answer.name, answer.value, answer.unit));
    for also in &answer.also {
        output::line(format!("  {} = {} {}", also.name, also.value, also.unit));
    }
    output::line(format!("source: {}", answer.source));
    output::line(format!("basis: {}", answer.basis.word()));
    for warning in &answer.warnings {
        output::say!("warning: {warning}");
    }
    Ok(Exit::Fine)
}

fn answer_json(answer: &bendproof_calc::Answer) -> Value {
    let inputs: Map<String, Value> =
        answer.inputs.iter().map(|g| (g.name.to_owned(), json!({ "text": g.text, "si": g.si }))).collect();
    let also: Map<String, Value> = answer
        .also
        .iter()
        .map(|a| (a.name.to_owned(), json!({ "value": a.value, "unit": a.unit })))
        .collect();
    json!({
        "name": answer.name,
        "value": answer.value,
        "unit": answer.unit,
        "inputs": inputs,
        "also": also,
        "source": answer.source,
        "basis": answer.basis.word(),
        "warnings": answer.warnings,
    })
}

fn list(as_json: bool) {
    if as_json {
        let formulas: Vec<Value> = bendproof_calc::list()
            .map(|f| {
                json!({
                    "name": f.name,
                    "title": f.title,
                    "unit": f.unit,
                    "arguments": f.arguments.iter().map(|a| json!({
                        "name": a.name,
                        "accepts": a.accepts(),
                        "example": a.example,
                        "required": a.need == bendproof_calc::Need::Required,
                    })).collect::<Vec<_>>(),
                    "source": f.source,
                    "basis": f.basis.word(),
                    "validity": f.validity,
                })
            })
            .collect();
        output::json(&Value::Array(formulas));
        return;
    }
    let rows: Vec<Vec<String>> = bendproof_calc::list()
        .map(|f| {
            let names: Vec<String> = f
                .arguments
                .iter()
                .map(|a| match a.need {
                    bendproof_calc::Need::Required => a.name.to_owned(),
                    _ => format!("[{}]", a.name),
                })
                .collect();
            vec![f.name.to_owned(), f.unit.to_owned(), names.join(" "), f.title.to_owned()]
        })
        .collect();
    output::table(&rows);
}
