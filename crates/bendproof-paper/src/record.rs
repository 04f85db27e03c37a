//! A record of any kind as the template reads it: lays out the blocks it is
//! given, decides nothing.

use std::collections::BTreeSet;

use bendproof_traveler::issued::{Block, FieldRow, RULES_TITLE, Record, RecordKind, TableRow};
use bendproof_traveler::sheet::{Mark, basis_said, code_name};
use serde_json::{Value, json};

use crate::model::{Drawing, Issued, PageSize, PrintedRule, Words};
use crate::of_sheet::{CAUTIONS, footer, mark};
use crate::sheet::PaperError;

/// A record with its sheet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RecordPaper {
    /// What is printed.
    pub record: Record,
    /// Time of issue.
    pub issued: Issued,
    /// Sheet size.
    pub page: PageSize,
}

/// The data of a record's pages.
///
/// # Errors
/// [`PaperError`] when a drawing has no words or a table is ragged.
pub(crate) fn record_data(paper: &RecordPaper) -> Result<Value, PaperError> {
    let r = &paper.record;
    let texts = texts_of(r);
    // A stamp is a word; what it leaves out stands in a sentence of its own.
    let (word, note) = r.state.split_once("; ").unwrap_or((&r.state, ""));
    let blocks = r.blocks.iter().map(|b| block(b, &texts)).collect::<Result<Vec<_>, _>>()?;
    // A procedure is welded by; the other records are filed.
    let cautions: &[&str] = if r.kind == RecordKind::Procedure { &CAUTIONS } else { &[] };
    Ok(json!({
        "number": r.number,
        "title": r.title,
        "subtitle": r.subtitle,
        "stamp": (!word.is_empty()).then(|| mark(state_mark(r), word)),
        "stamp_note": note,
        "code": code_name(&r.code),
        "issue": r.issue,
        "blocks": blocks,
        "open_points": r.open_points,
        "statement": r.statement,
        "signatures": r.signatures,
        "cautions": cautions,
        "footer": footer(&r.code),
        "issued": paper.issued,
        "page": paper.page,
        "words": words(r),
    }))
}

/// A record that lacks something is open; else its own word decides.
fn state_mark(record: &Record) -> Mark {
    match record.is_complete {
        _ if record.state.starts_with("reject") => Mark::Fails,
        false => Mark::NotKnown,
        true => Mark::Holds,
    }
}

/// The words of a record: of its kind, and a print that is no issue is not issued.
fn words(record: &Record) -> Words {
    let mut words = Words::english();
    if record.issue.revision > 0 {
        words.issued = "issued".to_owned();
    }
    let [_, value, range, _] = &mut words.covers;
    match record.kind {
        RecordKind::Procedure => {
            *value = "WPS value".to_owned();
            *range = "range qualified by PQR".to_owned();
        }
        RecordKind::ProcedureTest => {
            *value = "actual value".to_owned();
            *range = "WPS range".to_owned();
        }
        RecordKind::Welder | RecordKind::Bends | RecordKind::Continuity => {}
    }
    words
}

/// The rules behind a sheet's verdict, as its traveler tells them.
pub fn rules_page(rules: Option<Block>) -> Vec<PrintedRule> {
    let Some(Block::Table { rows, .. }) = rules else { return Vec::new() };
    let rule_row = |row: TableRow| PrintedRule {
        name: row.rules.into_iter().next().unwrap_or_default(),
        cells: row.cells,
        is_from_memory: row.is_from_memory,
    };
    rows.into_iter().map(rule_row).collect()
}

/// One block; what its rows are judged by leads to the block that tells the rules.
fn block(block: &Block, texts: &BTreeSet<&str>) -> Result<Value, PaperError> {
    match block {
        Block::Drawing { title, alt, .. } if alt.trim().is_empty() => {
            Err(PaperError::NoWords { operation: title.clone() })
        }
        Block::Drawing { title, svg, alt } => {
            let drawing = Drawing { svg: svg.clone(), alt: alt.clone() };
            Ok(json!({ "block": "drawing", "title": title, "drawing": drawing }))
        }
        Block::Table { title, head, rows } => {
            if let Some(row) = rows.iter().find(|row| row.cells.len() != head.len()) {
                return Err(PaperError::Ragged { head: head.len(), row: row.cells.len() });
            }
            let tells_rules = title == RULES_TITLE;
            let rows: Vec<Value> = rows.iter().map(|row| table_row(row, texts)).collect();
            Ok(
                json!({ "block": "table", "title": title, "head": head, "rows": rows, "tells_rules": tells_rules }),
            )
        }
        Block::Fields { title, rows } => {
            let row = |row: &FieldRow| -> Result<Value, PaperError> {
                let mut value = serde_json::to_value(row)?;
                value["rule"] = json!(leads_to(&row.rules, texts));
                value["basis"] = json!(basis_said(&row.basis));
                Ok(value)
            };
            let rows = rows.iter().map(row).collect::<Result<Vec<_>, _>>()?;
            Ok(json!({ "block": "fields", "title": title, "rows": rows }))
        }
        Block::Notes { .. } => Ok(serde_json::to_value(block)?),
    }
}

/// A row; its verdict bears the last cell's word.
fn table_row(row: &TableRow, texts: &BTreeSet<&str>) -> Value {
    let word = row.cells.last().map_or("", |word| word);
    json!({
        "cells": row.cells,
        "mark": row.mark.map(|m| mark(m, word)),
        "is_from_memory": row.is_from_memory,
        "rule": leads_to(&row.rules, texts),
    })
}

/// The first of these rules that is printed; empty where none is.
fn leads_to<'a>(rules: &'a [String], texts: &BTreeSet<&str>) -> &'a str {
    rules.iter().find(|rule| texts.contains(rule.as_str())).map_or("", |rule| rule)
}

/// The rules a record tells in a block of their own.
fn texts_of(record: &Record) -> BTreeSet<&str> {
    let tables = record.blocks.iter().filter_map(|block| match block {
        Block::Table { title, rows, .. } if title == RULES_TITLE => Some(rows),
        _ => None,
    });
    tables.flatten().filter_map(|row| row.rules.first()).map(String::as_str).collect()
}
