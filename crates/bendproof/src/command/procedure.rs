//! `bendproof procedure`: the draft of a procedure, its support, and joints held
//! against it.

use std::path::Path;

use bendproof_codes::catalogue::Code;
use bendproof_codes::procedure::{Allowance, Within};
use bendproof_codes::rule::{Cited, VariableClass};
use bendproof_codes::words::Basis;
use bendproof_traveler::context::AssessmentContext;
use bendproof_traveler::procedure::{
    AskedJoint, JointReport, ProcedureReport, read_joints, read_procedure, read_procedure_record,
    report_procedure, report_record,
};
use bendproof_traveler::welder::RecordError;

use super::check::kind_of;
use crate::arguments::ProcedureOptions;
use crate::exit::{Exit, Failure, Outcome, failure};
use crate::{output, source};
use bendproof_contract as contract;

pub fn run(options: &ProcedureOptions, as_json: bool) -> Outcome {
    let context = source::context(options.shop.shop_rules.as_deref())?;
    match report(options, context)? {
        Ok(report) => {
            source::tell_rules(context, &report.code.id);
            if as_json {
                output::json(&contract::procedure(&report));
            } else {
                print(&report);
            }
            Ok(if report.is_clear() { Exit::Fine } else { Exit::Findings })
        }
        Err((file, error)) => {
            if as_json {
                output::json(&serde_json::json!({ "findings": contract::findings_json(&error.findings) }));
            }
            output::findings(file, &error.findings);
            Ok(Exit::CouldNot)
        }
    }
}

type Read<'a> = Result<ProcedureReport, (&'a Path, RecordError)>;

/// The report, or the file that cannot be used with what is wrong in it.
fn report(options: &ProcedureOptions, context: AssessmentContext) -> Result<Read<'_>, Failure> {
    let other = options.code.as_deref().map(|name| context.named(name).map_err(failure)).transpose()?;
    let text = source::read(&options.file)?;
    let joints = match options.ask.as_deref() {
        None => Vec::new(),
        Some(file) => match read_joints(&source::read(file)?, context.day) {
            Ok(joints) => joints,
            Err(error) => return Ok(Err((file, error))),
        },
    };
    if kind_of(&text).name == "procedure" {
        return of_procedure(options, &text, other, &joints, context);
    }
    if options.from.is_some() {
        let name = options.file.display();
        return Err(failure(format!("{name} is no procedure file; --from names the record behind one")));
    }
    Ok(match read_procedure_record(&text, context) {
        Ok(record) => Ok(report_record(&record, other.unwrap_or(record.code), &joints)),
        Err(error) => Err((options.file.as_path(), error)),
    })
}

fn of_procedure<'a>(
    options: &'a ProcedureOptions,
    text: &str,
    other: Option<&'static Code>,
    joints: &[AskedJoint],
    context: AssessmentContext,
) -> Result<Read<'a>, Failure> {
    let written = match read_procedure(text, context) {
        Ok(written) => written,
        Err(error) => return Ok(Err((options.file.as_path(), error))),
    };
    let record = match options.from.as_deref() {
        None => None,
        Some(file) => match read_procedure_record(&source::read(file)?, context) {
            Ok(record) => Some(record),
            Err(error) => return Ok(Err((file, error))),
        },
    };
    Ok(Ok(report_procedure(&written, record.as_ref(), other.unwrap_or(written.code), joints)))
}

fn print(report: &ProcedureReport) {
    output::line(format!("{} under {}", report.number, report.code.id));
    for remark in &report.remarks {
        output::line(format!("warning: {remark}"));
    }
    if let Some(reason) = &report.untested {
        output::line(format!("warning: {}", reason.message));
    }
    for name in &report.iso_names {
        output::line(name);
    }
    if !report.draft.is_empty() {
        output::line("\nwhat the record allows");
        draft(report);
    }
    for (title, allowance) in
        [("supported by the PQR", &report.supported), ("prequalified", &report.prequalified)]
    {
        if let Some(allowance) = allowance {
            output::line(format!("\n{title}: {}", words(allowance.answer)));
            reasons(allowance);
        }
    }
    report.joints.iter().for_each(joint);
}

fn draft(report: &ProcedureReport) {
    let rows: Vec<Vec<String>> = report
        .draft
        .iter()
        .map(|line| {
            let only = line.only_where.as_ref().map(|w| format!("; where {w}")).unwrap_or_default();
            let unsure = if line.unsure { "; undetermined outside" } else { "" };
            vec![
                format!("  {}", line.variable.word().replace('_', " ")),
                line.value.clone().unwrap_or_else(|| "not entered".to_owned()),
                format!("{}{only}{unsure}", line.allowed),
                line.class.word().to_owned(),
                because(&line.because),
            ]
        })
        .collect();
    output::table(&rows);
}

fn joint(joint: &JointReport) {
    output::line(format!("\njoint {}: {}", joint.name, words(joint.answer())));
    for (title, allowance) in [("  by the procedure", &joint.procedure), ("  by the record", &joint.record)] {
        if let Some(allowance) = allowance {
            output::line(format!("{title}: {}", words(allowance.answer)));
            reasons(allowance);
        }
    }
    let fit = joint.fit.iter().map(|f| ("fit", f.answer, &f.message, &f.because));
    let heat = joint.preheat.iter().map(|f| ("preheat", f.answer, &f.message, &f.because));
    for (what, answer, message, cited) in fit.chain(heat) {
        output::line(format!("  {what}, {}: {message} ({})", words(answer), because(cited)));
    }
    for line in &joint.en_1011 {
        output::line(format!("  {line}"));
    }
}

/// Reasons, those that stand against it first.
fn reasons(allowance: &Allowance) {
    let mut ordered: Vec<_> = allowance.reasons.iter().collect();
    ordered.sort_by_key(|r| std::cmp::Reverse(r.answer));
    for reason in ordered {
        let answer = match (reason.answer, reason.class) {
            (Within::Outside, VariableClass::Nonessential) => "revise the WPS, no test",
            (answer, _) => words(answer),
        };
        let cited: Vec<String> = reason.because.iter().map(because).collect();
        let cited = if cited.is_empty() { String::new() } else { format!(" ({})", cited.join("; ")) };
        output::line(format!("    {answer}: {}{cited}", reason.message));
    }
}

fn words(answer: Within) -> &'static str {
    match answer {
        Within::Inside => "inside",
        Within::NotSure => "undetermined",
        Within::Outside => "outside",
    }
}

/// Clause, rule and how well it is known; what is from memory says what to do.
fn because(cited: &Cited) -> String {
    let known = match cited.basis {
        Basis::Memory => "from memory, check against your code book",
        basis => basis.word(),
    };
    format!("{}, {}, {known}", cited.clause, cited.rule)
}
