//! From the computed sheet to the printed welder record: picks and orders,
//! decides nothing.

use bendproof_traveler::sheet::{Provenance, Sheet, StandingLine};

use crate::findings::{self, Found};
use crate::model::*;
use crate::of_sheet::{
    clause, clauses, covered, footer, is_from_memory, log_table, mark, reserve, strap_table, text_of,
    with_other,
};

/// Fields the record leaves out: said elsewhere, or the shop's own affair.
const LEFT_OUT: [&str; 6] = ["title", "welder", "code", "scatter.", "price.", "planned"];

/// The welder record of a sheet; what it covers is as the code engine said, and
/// nothing while the coupon is rejected.
pub fn record_of(sheet: &Sheet, issued: Issued, page: PageSize) -> WelderRecord {
    let named = |label: &str, value: String| Field { label: label.to_owned(), value };
    let mut fields = vec![
        named("welder", text_of(&sheet.head, "welder")),
        named("coupon", sheet.number.clone()),
        named("code", text_of(&sheet.head, "code")),
    ];
    let told = sheet.head.iter().chain(&sheet.fit).chain(&sheet.settings);
    fields.extend(
        told.filter(|f| !f.text.is_empty() && !LEFT_OUT.iter().any(|s| f.path.starts_with(s)))
            .map(|f| named(&f.label, with_other(f))),
    );
    fields.retain(|f| !f.value.is_empty());
    let mut doubts = sheet.doubts.clone();
    if !reserve(sheet).is_empty() {
        doubts.insert(0, format!("This record covers {}.", reserve(sheet)));
    }
    // A record says what was read while welding, never what was planned or forecast.
    if sheet.log.is_empty() {
        doubts.push("No reading was logged while welding; the settings above are as planned.".to_owned());
    }
    let tests = [log_table(&sheet.log), strap_table(&sheet.straps)];
    WelderRecord {
        number: sheet.number.clone(),
        title: "Welder qualification test record".to_owned(),
        subtitle: sheet.subtitle.clone(),
        stamp: sheet.verdict.clone(),
        fields,
        ranges: ranges(sheet),
        tests: tests.into_iter().filter(|t| !t.rows.is_empty()).collect(),
        findings: findings::of(sheet).iter().map(finding).collect(),
        doubts,
        statement: "The statements in this record are correct; the coupon was prepared, welded and tested as the code named above asks."
            .to_owned(),
        signatures: ["Welder", "Test conducted by", "Accepted by"].map(str::to_owned).to_vec(),
        footer: footer(sheet),
        issued,
        page,
        words: Words::english(),
    }
}

fn ranges(sheet: &Sheet) -> Vec<Range> {
    let mut out: Vec<Range> = covered(sheet).into_iter().map(|l| range(sheet, l)).collect();
    out.extend(clauses(sheet).map(|line| Range {
        variable: line.label,
        tested: String::new(),
        covers: line.note,
        because: String::new(),
        check_own_copy: line.check_own_copy,
    }));
    out
}

/// Where the sheet cites no clause of its own for a line of the standing.
const CITED_BELOW: &str = "because";

fn range(sheet: &Sheet, line: &StandingLine) -> Range {
    Range {
        variable: line.label.clone(),
        tested: String::new(),
        covers: line.value.clone(),
        because: because(sheet, &line.provenance),
        check_own_copy: is_from_memory(&line.provenance),
    }
}

/// The clause of a line that has one; the lines without are followed by one that
/// lists the clauses of them all.
fn because(sheet: &Sheet, provenance: &Provenance) -> String {
    if provenance.source.ends_with(CITED_BELOW) { String::new() } else { clause(sheet, provenance) }
}

fn finding(found: &Found) -> Finding {
    Finding {
        what: if found.measured.is_empty() { with_place(found) } else { found.named() },
        measured: found.measured.clone(),
        limit: found.limit.clone(),
        clause: found.clause.clone(),
        basis: found.basis.clone(),
        mark: mark(found.mark, &found.verdict),
        check_own_copy: found.check_own_copy,
    }
}

fn with_place(found: &Found) -> String {
    if found.place.is_empty() { found.text.clone() } else { format!("{}: {}", found.place, found.text) }
}
