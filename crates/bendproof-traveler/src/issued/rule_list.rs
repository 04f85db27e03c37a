//! The rules a record or a sheet names, each listed once: what it is about, what it
//! asks, where it stands and how well it is known.

use bendproof_codes::rule::Rule;
use bendproof_codes::words::Basis;

use super::blocks::{Block, TableRow, table};
use crate::context::AssessmentContext;
use crate::sheet::{Sheet, rule_of_ref};

/// Head of the block that tells the rules; each of its rows bears one rule.
pub const RULES_TITLE: &str = "the rules named here";

/// The rules behind the rows of some blocks, in the order they are met; `None`
/// where no row names any.
pub(super) fn rules_named(blocks: &[Block], context: AssessmentContext) -> Option<Block> {
    let of_block = |block: &Block| -> Vec<String> {
        match block {
            Block::Fields { rows, .. } => rows.iter().flat_map(|r| r.rules.clone()).collect(),
            Block::Table { rows, .. } => rows.iter().flat_map(|r| r.rules.clone()).collect(),
            Block::Drawing { .. } | Block::Notes { .. } => Vec::new(),
        }
    };
    block_of(blocks.iter().flat_map(of_block), context)
}

/// The rules behind a sheet's verdict and its specimens; `None` before anything
/// is judged.
pub fn rules_of_sheet(sheet: &Sheet, context: impl Into<AssessmentContext>) -> Option<Block> {
    if sheet.verdict_lines.is_empty() {
        return None;
    }
    let found = sheet.verdict_lines.iter().filter_map(|line| line.provenance.rule.clone());
    let specimens = sheet.specimens.iter().filter_map(|line| line.provenance.rule.clone());
    block_of(found.chain(specimens), context.into())
}

fn block_of(references: impl Iterator<Item = String>, context: AssessmentContext) -> Option<Block> {
    let mut once: Vec<String> = Vec::new();
    for reference in references {
        if !once.contains(&reference) {
            once.push(reference);
        }
    }
    let rows: Vec<TableRow> = once.into_iter().filter_map(|reference| row(reference, context)).collect();
    (!rows.is_empty()).then(|| table(RULES_TITLE, &["rule", "asks", "clause", "source"], rows))
}

fn row(reference: String, context: AssessmentContext) -> Option<TableRow> {
    let rule = rule_of_ref(&reference, context)?;
    let clause = format!("{} · {}", rule.clause, rule.basis.word());
    Some(TableRow {
        is_from_memory: rule.basis == Basis::Memory,
        rules: vec![reference],
        ..TableRow::of(vec![rule.title.clone(), asks(rule), clause, rule.source.clone()])
    })
}

/// What it asks in words; its sentence where it has no limit.
fn asks(rule: &Rule) -> String {
    let limits = rule.limits_text();
    match limits.is_empty() && !rule.finding.contains('{') {
        true => rule.finding.clone(),
        false => limits.join("; "),
    }
}
