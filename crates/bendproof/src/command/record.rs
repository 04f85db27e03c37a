//! `bendproof record`: one record as PDF, workbook or record file, and its next
//! issue.

use bendproof_codes::catalogue::Code;
use bendproof_desk::{issue_time, issued_at};
use bendproof_files::{COUPON, Document, Severity};
use bendproof_paper::{Issued, PageSize, RecordPaper, record_pdf, workbook};
use bendproof_traveler::context::AssessmentContext;
use bendproof_traveler::issued::{
    Issue, Record, RecordKind, bends, continuity, file as record_file, log_of_record, procedure_record,
    procedure_sheet, welder,
};
use bendproof_traveler::procedure::read_procedure_record;
use bendproof_traveler::welder::RecordError;

use crate::arguments::RecordOptions;
use crate::exit::{Exit, Failure, Outcome, failure};
use crate::{output, result_file, source};

/// A record, or the sentences that say why there is none.
type Made = Result<Record, Vec<String>>;

pub fn run(options: &RecordOptions, as_json: bool) -> Outcome {
    let issued = issued_at(source::now());
    let text = source::read(&options.file)?;
    let context = source::context(options.shop.shop_rules.as_deref())?;
    let first = Issue::first(issue_time(issued), &options.who);
    let record = match made(options, &text, context, first)? {
        Ok(record) => record,
        Err(reasons) => {
            if as_json {
                output::json(&serde_json::json!({ "refused": reasons }));
            }
            for reason in &reasons {
                output::say!("{}: {reason}", options.file.display());
            }
            return Ok(Exit::CouldNot);
        }
    };
    let record = match &options.revises {
        Some(old) => next(record, &source::read(old)?, options)?,
        None => record,
    };
    result_file::may_write(&options.out, &["pdf", "xlsx", "json"], "a record")?;
    source::tell_rules(context, &record.code);
    let bytes = bytes(&record, issued, options)?;
    let written = match result_file::ending(&options.out).as_str() {
        "json" => result_file::write_new(&options.out, &bytes)?,
        _ => result_file::write(&options.out, &bytes)?,
    };
    if as_json {
        output::json(&record_file(&record));
    } else {
        let (name, words) = (options.out.display(), written.words());
        output::line(format!("{name}: {}, issue {}{words}", record.state, record.issue.revision));
        for point in &record.open_points {
            output::say!("warning: {point}");
        }
    }
    Ok(if record.is_complete { Exit::Fine } else { Exit::Findings })
}

fn made(
    options: &RecordOptions,
    text: &str,
    context: AssessmentContext,
    first: Issue,
) -> Result<Made, Failure> {
    let code = options.code.as_deref().map(|name| context.named(name).map_err(failure)).transpose()?;
    if options.from.is_some() && options.kind != RecordKind::Procedure {
        return Err(failure("--from names the record behind a procedure; leave it out here"));
    }
    Ok(match options.kind {
        RecordKind::Welder | RecordKind::Bends => of_coupon(options, text, context, first)?,
        RecordKind::Continuity if code.is_some() => {
            return Err(failure("a continuity log keeps the code of its record file; leave out --code"));
        }
        RecordKind::Continuity => {
            let number = options.file.file_stem().map(|s| s.to_string_lossy().into_owned());
            log_of_record(text, &number.unwrap_or_default(), context)
                .map(|log| continuity(&log, first))
                .map_err(faults)
        }
        RecordKind::Procedure => of_procedure(options, text, code, context, first)?,
        RecordKind::ProcedureTest => procedure_record(text, code, context, first).map_err(faults),
    })
}

fn of_coupon(
    options: &RecordOptions,
    text: &str,
    context: AssessmentContext,
    first: Issue,
) -> Result<Made, Failure> {
    let (document, _) = Document::from_toml(&COUPON, text);
    let findings = bendproof_traveler::forecast::read_forecast(text, context).findings;
    output::findings(&options.file, &findings);
    if findings.iter().any(|f| f.severity == Severity::Error) {
        return Ok(Err(vec!["the coupon has errors; correct the lines listed above".to_owned()]));
    }
    let code = options.code.as_deref();
    let made = match options.kind {
        RecordKind::Bends => bends(&document, code, context, first),
        _ => welder(&document, code, context, first),
    };
    Ok(made.map_err(|refused| refused.sentences()))
}

fn of_procedure(
    options: &RecordOptions,
    text: &str,
    code: Option<&'static Code>,
    context: AssessmentContext,
    first: Issue,
) -> Result<Made, Failure> {
    let record = match options.from.as_deref() {
        None => None,
        Some(from) => match read_procedure_record(&source::read(from)?, context) {
            Ok(record) => Some(record),
            Err(error) => return Ok(Err(faults(error))),
        },
    };
    Ok(procedure_sheet(text, record.as_ref(), code, context, first).map_err(faults))
}

fn faults(error: RecordError) -> Vec<String> {
    error.findings.into_iter().map(|finding| finding.message).collect()
}

fn next(record: Record, old: &str, options: &RecordOptions) -> Result<Record, Failure> {
    record.after(old, &options.who, options.why.as_deref().unwrap_or("")).map_err(failure)
}

fn bytes(record: &Record, issued: Issued, options: &RecordOptions) -> Result<Vec<u8>, Failure> {
    match result_file::ending(&options.out).as_str() {
        "pdf" => {
            let page = if options.a4 { PageSize::A4 } else { PageSize::Letter };
            record_pdf(&RecordPaper { record: record.clone(), issued, page }).map_err(failure)
        }
        "xlsx" => workbook(record, issued).map_err(failure),
        _ => Ok(format!("{:#}\n", record_file(record)).into_bytes()),
    }
}
