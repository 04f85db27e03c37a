//! `bendproof paper`: the traveler, and the welder record of an accepted coupon.

use bendproof_desk::{issued_at, record_behind, sheet_pdf};
use bendproof_files::{COUPON, Document, Severity};
use bendproof_forecast::solved::SolveParams;
use bendproof_paper::PageSize;
use bendproof_traveler::build::{build_with, coupon_verdict};
use bendproof_traveler::context::AssessmentContext;
use bendproof_traveler::drawn::Look;
use bendproof_traveler::solved::{SolvedCoupon, solve_coupon, solved_sheet};

use crate::arguments::PaperOptions;
use crate::exit::{Exit, Failure, Outcome, failure};
use crate::{output, result_file, source};
use bendproof_contract as contract;

pub fn run(options: &PaperOptions, as_json: bool) -> Outcome {
    let (file, out) = (&options.file, &options.out);
    let context = source::context(options.shop.shop_rules.as_deref())?;
    let text = source::read(file)?;
    result_file::may_write(out, &["pdf"], "a traveler")?;
    let (mut document, _) = Document::from_toml(&COUPON, &text);
    if let Some(name) = &options.code {
        document.set("code", Some(tested_code(name, context)?));
    }
    let findings = bendproof_traveler::forecast::read_forecast(&text, context).findings;
    output::findings(file, &findings);
    if findings.iter().any(|f| f.severity == Severity::Error) {
        if as_json {
            output::json(&serde_json::json!({ "findings": contract::findings_json(&findings) }));
        }
        return Ok(Exit::CouldNot);
    }
    if !options.fast {
        super::solving::announce(&text, context.day);
    }
    let solved = if options.fast { None } else { solved(&document, context.day) };
    let page = if options.a4 { PageSize::A4 } else { PageSize::Letter };
    let bytes = pdf(&document, context, solved.as_ref(), page)?;
    if let Some(code) = context.code_of(&document) {
        source::tell_rules(context, &code.id);
    }
    let written = result_file::write(out, &bytes)?;
    if as_json {
        let verdict = coupon_verdict(&document, context).map(|verdict| contract::coupon(&verdict));
        let file = out.display().to_string();
        output::json(&serde_json::json!({ "file": file, "bytes": bytes.len(), "verdict": verdict }));
    } else {
        output::line(format!("{}: {} bytes{}", out.display(), bytes.len(), written.words()));
    }
    Ok(Exit::Fine)
}

/// The id of a code that has tests of its own; a coupon is welded to no other.
fn tested_code(name: &str, context: AssessmentContext) -> Result<&'static str, Failure> {
    let code = context.named(name).map_err(failure)?;
    if code.has_tests() {
        return Ok(&code.id);
    }
    Err(failure(format!("{} judges welds and has no test of its own; name the code of the test", code.short)))
}

/// The solved beads of a document; when there are none, the page of its section
/// is left out and the reason stated.
fn solved(document: &Document, today: bendproof_traveler::context::Today) -> Option<SolvedCoupon> {
    match solve_coupon(document, today, &SolveParams::STANDARD) {
        Ok(solved) => Some(solved),
        Err(why) => {
            output::say!("warning: no page with the section: {why}");
            None
        }
    }
}

/// The PDF of one document, issued now; sheet and section rest on the same beads.
fn pdf(
    document: &Document,
    context: AssessmentContext,
    solved: Option<&SolvedCoupon>,
    page: PageSize,
) -> Result<Vec<u8>, Failure> {
    let number = document.get("number").unwrap_or("coupon");
    let sheet = build_with(number, document, &[], context, Look::Paper, solved);
    let section = solved.map(|solved| solved_sheet(solved, Look::Paper));
    let issued = issued_at(source::now());
    // A file carries no stamp: it is the statement of whoever wrote and prints it.
    let record = record_behind(&sheet, document, context, issued);
    sheet_pdf(&sheet, record, context, section.as_ref(), issued, page).map_err(failure)
}
