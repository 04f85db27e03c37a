//! `bendproof check` and `bendproof schema`: our own files.

use std::path::Path;

use bendproof_codes::catalogue::ShopRules;
use bendproof_contract as contract;
use bendproof_files::{
    BENDS, COUPON, Document, FileKind, Finding, HEAT, JOINTS, PROCEDURE, PROCEDURE_JOINTS, PROCEDURE_RECORD,
    RECORD, SHOP_RULES, Severity, read_heat, schema_json,
};
use bendproof_traveler::context::known;
use bendproof_traveler::cover::read_job;
use bendproof_traveler::forecast::read_forecast;
use bendproof_traveler::issued::read_file as record_file;
use bendproof_traveler::judged::read_bends;
use bendproof_traveler::procedure::{read_joints, read_procedure, read_procedure_record};
use bendproof_traveler::welder::{RecordError, record_findings};

use crate::exit::{Exit, Outcome, failure};
use crate::{output, source};

pub fn run(file: &Path, as_json: bool) -> Outcome {
    let text = source::read(file)?;
    let (kind, findings) = if is_issued(&text) {
        let fault = record_file(&text).err();
        (ISSUED, fault.map(|why| Finding::error("", why.to_string())).into_iter().collect())
    } else if is_shop_rules(&text) {
        let fault = ShopRules::read(&text).err();
        (SHOP_RULES.name, fault.map(|why| Finding::error("", why.to_string())).into_iter().collect())
    } else {
        written(&text)
    };
    let has_error = findings.iter().any(|f| f.severity == Severity::Error);
    if as_json {
        let list = contract::findings_json(&findings);
        output::json(&serde_json::json!({ "kind": kind, "usable": !has_error, "findings": list }));
    } else {
        output::findings(file, &findings);
        let word = if has_error { "cannot be used yet" } else { "can be used" };
        output::line(format!("{}: a {kind} file, {word}", file.display()));
    }
    Ok(if findings.is_empty() { Exit::Fine } else { Exit::Findings })
}

/// What `check` calls a record as `record` wrote it.
const ISSUED: &str = "issued-record";

/// JSON is written by us and by nobody's hand: an issued record.
fn is_issued(text: &str) -> bool {
    text.trim_start().starts_with('{')
}

/// A shop rule file names codes, and no file of ours else tightens one.
fn is_shop_rules(text: &str) -> bool {
    let (document, _) = Document::from_toml(&SHOP_RULES, text);
    !document.rows("tighten").is_empty()
        || (!document.rows("codes").is_empty() && document.get("shop").is_some())
}

/// A file that people write as TOML, and what is wrong with it.
fn written(text: &str) -> (&'static str, Vec<Finding>) {
    let today = Some(source::today());
    let kind = kind_of(text);
    let findings = match kind.name {
        "bends" => read_bends(text, today).findings,
        "record" => record_findings(text, today),
        "procedure-record" => faults(read_procedure_record(text, today)),
        "procedure" => faults(read_procedure(text, today)),
        "procedure-joints" => faults(read_joints(text, today)),
        "heat" => read_heat(text).1,
        "joints" => read_job(text, today).findings,
        _ => read_forecast(text, today).findings,
    };
    (kind.name, findings)
}

fn faults<T>(read: Result<T, RecordError>) -> Vec<Finding> {
    read.err().map(|e| e.findings).unwrap_or_default()
}

/// Every kind, those that win a tie last, so the coupon is the very last.
const KINDS: [&FileKind; 8] =
    [&PROCEDURE, &JOINTS, &PROCEDURE_JOINTS, &PROCEDURE_RECORD, &HEAT, &RECORD, &BENDS, &COUPON];

/// The kind whose fields the text knows best; a coupon when in doubt.
pub(super) fn kind_of(text: &str) -> &'static FileKind {
    let known = |kind: &FileKind| {
        let (document, _) = Document::from_toml(kind, text);
        document.values().keys().filter(|path| kind.spec(path).is_some()).count()
    };
    KINDS.into_iter().max_by_key(|kind| known(kind)).unwrap_or(&COUPON)
}

/// Prints the JSON Schema of a kind.
pub fn schema(kind: &str) -> Outcome {
    let kind = KINDS.into_iter().chain([&SHOP_RULES]).find(|k| k.name == kind).ok_or_else(|| {
        failure(format!(
            "`{kind}` is no kind of file; write coupon, bends, record, heat, joints, \
             procedure-record, procedure, procedure-joints or shop-rules"
        ))
    })?;
    output::line(schema_json(kind, &known(None)).trim_end());
    Ok(Exit::Fine)
}
