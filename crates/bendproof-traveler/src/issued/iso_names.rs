//! What ISO calls the process, the positions, the gas and the wire of a record:
//! a block of records under the codes of ISO.
//!
//! A name that what is known does not settle is said to be open, never chosen.

use bendproof_codes::catalogue::{Code, Names, names};
use bendproof_codes::held::PassedTest;
use bendproof_codes::procedure::Stated;
use bendproof_codes::rule::Variable;
use bendproof_codes::words::{Basis, JointKind, JointPosition};
use bendproof_weld::{Position, Process, Progression};

use super::blocks::{Block, FieldRow, distinct, fields};
use crate::procedure::{IsoName, ProcedureRecord, WrittenProcedure, iso_names};

/// The set of names these are, in `codes/names.toml`.
const ISO_NAMES: &str = "iso-6947";
/// Body whose codes bear them: ids begin with it.
const ISO_BODY: &str = "iso-";
/// Head of the block.
const TITLE: &str = "names by ISO";

/// Of a welder's test; nothing under a code of another body.
pub(super) fn of_test(code: &Code, test: &PassedTest, wire: &str, gas: &str) -> Option<Block> {
    let iso = names_of(code)?;
    let positions = test.positions.iter().map(|p| tested(iso, *p, &test.progressions));
    let rows =
        vec![process(iso, test.process, test.details.filler_type.as_deref()), position(positions.collect())];
    block(rows, iso_names(&[wire.to_owned()], &[gas.to_owned()], None))
}

/// Of a procedure's test.
pub(super) fn of_record(code: &Code, record: &ProcedureRecord) -> Option<Block> {
    let iso = names_of(code)?;
    let facts = &record.facts;
    let progressions = facts.words_of("progressions").iter().filter_map(|p| Progression::from_word(p));
    let progressions: Vec<Progression> = progressions.collect();
    let positions = facts.words_of("positions").iter().filter_map(|p| Position::from_word(p));
    let positions: Vec<Named> = positions.map(|p| tested(iso, p, &progressions)).collect();
    let mut rows = Vec::new();
    if let Some(of) = facts.word_of("process").and_then(Process::from_word) {
        rows.push(process(iso, of, facts.word_of("filler_form").and_then(filler_type)));
    }
    if !positions.is_empty() {
        rows.push(position(positions));
    }
    let one = |name: &str| facts.word_of(name).map(str::to_owned).into_iter().collect::<Vec<_>>();
    block(rows, iso_names(&one("filler_class"), &one("gas"), facts.word_of("filler_iso")))
}

/// Of a written procedure, whose positions are those of production welds.
pub(super) fn of_procedure(code: &Code, written: &WrittenProcedure) -> Option<Block> {
    let iso = names_of(code)?;
    let stated = |variable| match written.procedure.stated.get(&variable) {
        Some(Stated::Words(words)) => words.clone(),
        _ => Vec::new(),
    };
    let mut rows = Vec::new();
    if let Some(of) = written.design.word_of("process").and_then(Process::from_word) {
        rows.push(process(iso, of, written.design.word_of("filler_form").and_then(filler_type)));
    }
    let kind = written.procedure.work.word_of("ask_joint").and_then(JointKind::from_word);
    let ways: Vec<Progression> =
        stated(Variable::Progression).iter().filter_map(|p| Progression::from_word(p)).collect();
    let positions = stated(Variable::Position);
    let positions = positions.iter().filter_map(|p| JointPosition::from_word(p));
    let named: Vec<Named> =
        kind.map(|kind| positions.map(|p| produced(iso, kind, p, &ways)).collect()).unwrap_or_default();
    if !named.is_empty() {
        rows.push(position(named));
    }
    let certificate = written.design.word_of("filler_iso");
    block(rows, iso_names(&stated(Variable::FillerClass), &stated(Variable::Gas), certificate))
}

/// The names of ISO, for a code of that body whatever its own rules go by.
fn names_of(code: &Code) -> Option<&'static Names> {
    let all = names().ok().filter(|_| code.id.starts_with(ISO_BODY))?;
    all.iter().find(|names| names.id == ISO_NAMES)
}

fn block(mut rows: Vec<FieldRow>, iso_names: Vec<IsoName>) -> Option<Block> {
    let filler = iso_names.into_iter().map(|line| FieldRow {
        label: "filler and gas".to_owned(),
        is_from_memory: line.is_from_memory,
        basis: Basis::Derived.word().to_owned(),
        value: line.words,
        ..FieldRow::default()
    });
    rows.extend(filler);
    (!rows.is_empty()).then(|| fields(TITLE, rows))
}

/// Names and what stands behind the weakest of them.
struct Named {
    name: String,
    bases: Vec<Basis>,
}

fn row(label: &str, named: Named) -> FieldRow {
    let weakest = named.bases.iter().max().copied();
    FieldRow {
        label: label.to_owned(),
        value: named.name,
        basis: weakest.map(|b| b.word().to_owned()).unwrap_or_default(),
        is_from_memory: named.bases.contains(&Basis::Memory),
        ..FieldRow::default()
    }
}

fn process(iso: &Names, process: Process, filler_type: Option<&str>) -> FieldRow {
    let numbers = iso.of_process(process, filler_type);
    let behind = iso.process.iter().filter(|r| numbers.contains(&r.number.as_str()));
    let bases = behind.filter_map(|r| Basis::from_word(&r.basis)).collect();
    let name = match numbers.as_slice() {
        [only] => (*only).to_owned(),
        several => format!("{}, by the form of the filler", several.join(" or ")),
    };
    row("process, ISO 4063", Named { name, bases })
}

/// The symbols of several pieces or welds in one row.
fn position(each: Vec<Named>) -> FieldRow {
    let name = distinct(each.iter().map(|n| n.name.as_str()));
    row("position, ISO 6947", Named { name, bases: each.into_iter().flat_map(|n| n.bases).collect() })
}

fn tested(iso: &Names, position: Position, progressions: &[Progression]) -> Named {
    match iso.of_test(position, progressions) {
        None => open(position.word()),
        Some(symbol) => {
            let behind = iso.test.iter().filter(|r| r.symbol == symbol);
            let bases = behind.filter_map(|r| Basis::from_word(&r.basis)).collect();
            Named { name: symbol.to_owned(), bases }
        }
    }
}

fn produced(iso: &Names, kind: JointKind, position: JointPosition, ways: &[Progression]) -> Named {
    let each = |way: Option<Progression>| iso.of_joint(kind, position, way);
    let symbols: Option<Vec<Vec<String>>> = if ways.is_empty() {
        each(None).map(|s| vec![s])
    } else {
        ways.iter().map(|w| each(Some(*w))).collect()
    };
    let Some(symbols) = symbols else { return open(position.word()) };
    let symbols: Vec<String> = symbols.into_iter().flatten().collect();
    let is_named = |symbol: &String| iso.order.contains(symbol);
    if !symbols.iter().all(is_named) {
        return open(position.word());
    }
    let behind = iso.joint.iter().filter(|r| r.symbols.iter().any(|s| symbols.contains(s)));
    let bases = behind.filter_map(|r| Basis::from_word(&r.basis)).collect();
    Named { name: distinct(symbols.iter().map(String::as_str)), bases }
}

fn open(trade: &str) -> Named {
    Named {
        name: format!("{trade}: the symbol is open until uphill or downhill is stated"),
        bases: Vec::new(),
    }
}

/// Filler type of ISO 9606-1 of a form of filler; the core of a flux-cored wire
/// has several.
fn filler_type(form: &str) -> Option<&'static str> {
    match form {
        "solid" => Some("S"),
        "metal-cored" => Some("M"),
        _ => None,
    }
}
