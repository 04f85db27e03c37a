//! What the name of a gas tells of itself: its group of ISO 14175 and its share
//! of carbon dioxide, where a code's rules ask for them and nobody stated them.
//!
//! A value put in here is derived from the shares in the name, and is said to be.

use std::borrow::Cow;

use bendproof_codes::catalogue::Code;
use bendproof_codes::procedure::{Procedure, Stated, draft};
use bendproof_codes::rule::{Fact, Facts, Variable};
use bendproof_measure::{Kind, Quantity, say};
use bendproof_weld::iso_names::{GasGroup, group_of_shares};

use super::files::{AskedJoint, ProcedureRecord, WrittenProcedure, put};

const GROUP: Variable = Variable::GasGroup;
const SHARE: Variable = Variable::CarbonDioxide;

/// Whether a code goes by the group of the gas and by no name of it.
fn goes_by_group(code: &Code) -> bool {
    let lines = draft(code, &Facts::default());
    let asks = |variable| lines.iter().any(|line| line.variable == variable);
    asks(GROUP) && !asks(Variable::Gas)
}

/// A record with what the name of its gas tells.
pub(crate) fn of_record<'a>(code: &Code, record: &'a ProcedureRecord) -> Cow<'a, ProcedureRecord> {
    let Some((facts, remark)) = derived(code, &record.facts, Variable::of_record) else {
        return Cow::Borrowed(record);
    };
    let mut with_gas = ProcedureRecord { facts, ..record.clone() };
    with_gas.remarks.push(remark);
    Cow::Owned(with_gas)
}

/// The facts asked of a joint with what the name of its gas tells.
pub(crate) fn of_joint(code: &Code, joint: &AskedJoint) -> Facts {
    let with_gas = derived(code, &joint.facts, Variable::asked);
    with_gas.map_or_else(|| joint.facts.clone(), |(facts, _)| facts)
}

/// What is asked of a record without the name of the gas, where the code goes by
/// its group: another name of the same gas is no change.
pub(crate) fn nameless(code: &Code, asked: &Facts) -> Facts {
    let is_name = |name: &str| name == Variable::Gas.asked() && goes_by_group(code);
    let kept = asked.iter().filter(|(name, _)| !is_name(name));
    kept.fold(Facts::default(), |all, (name, fact)| put(all, name, Some(fact.clone())))
}

/// The same of what a procedure states.
pub(crate) fn nameless_procedure(code: &Code, procedure: &Procedure) -> Procedure {
    let mut out = procedure.clone();
    if goes_by_group(code) {
        out.stated.remove(&Variable::Gas);
    }
    out
}

fn derived(code: &Code, facts: &Facts, place: impl Fn(Variable) -> &'static str) -> Option<(Facts, String)> {
    let name = facts.word_of(place(Variable::Gas)).filter(|_| goes_by_group(code))?;
    let (group, share) = group_of_shares(name)?;
    let share = Quantity::from_si(Kind::Share, share);
    let mut out = facts.clone();
    let mut said = Vec::new();
    if out.get(place(GROUP)).is_none() {
        out = put(out, place(GROUP), Some(Fact::Word(group.symbol.clone())));
        said.push(group_words(&[group]));
    }
    if out.get(place(SHARE)).is_none() {
        out = put(out, place(SHARE), Some(Fact::Measure(share)));
        said.push(format!("carbon dioxide {}", say(&share)));
    }
    (!said.is_empty()).then(|| (out, remark(&said, name)))
}

/// A written procedure with what the names of its gases tell, all of them or none.
pub(crate) fn of_procedure<'a>(code: &Code, written: &'a WrittenProcedure) -> Cow<'a, WrittenProcedure> {
    let stated = &written.procedure.stated;
    let names = match stated.get(&Variable::Gas) {
        Some(Stated::Words(names)) if goes_by_group(code) => names,
        _ => return Cow::Borrowed(written),
    };
    let groups_named: Option<Vec<(&GasGroup, f64)>> =
        names.iter().map(|name| group_of_shares(name)).collect();
    let Some(groups_named) = groups_named.filter(|groups_named| !groups_named.is_empty()) else {
        return Cow::Borrowed(written);
    };
    let mut out = written.clone();
    let mut said = Vec::new();
    if !stated.contains_key(&GROUP) {
        let mut groups: Vec<&GasGroup> = groups_named.iter().map(|(group, _)| *group).collect();
        groups.sort_by(|a, b| a.symbol.cmp(&b.symbol));
        groups.dedup_by(|a, b| a.symbol == b.symbol);
        said.push(group_words(&groups));
        let symbols = groups.into_iter().map(|group| group.symbol.clone()).collect();
        out.procedure.stated.insert(GROUP, Stated::Words(symbols));
    }
    if !stated.contains_key(&SHARE) {
        let share = shares(groups_named.iter().map(|(_, share)| *share));
        said.push(format!("carbon dioxide {}", share.text()));
        out.procedure.stated.insert(SHARE, share);
    }
    if !said.is_empty() {
        out.remarks.push(remark(&said, &names.join(", ")));
    }
    Cow::Owned(out)
}

/// One share, or the range from the least to the greatest.
fn shares(all: impl Iterator<Item = f64> + Clone) -> Stated {
    let of = |si| Quantity::from_si(Kind::Share, si);
    let (least, most) = (all.clone().fold(f64::INFINITY, f64::min), all.fold(0.0, f64::max));
    match least < most {
        true => Stated::Range { min: Some(of(least)), max: Some(of(most)) },
        false => Stated::Value(Fact::Measure(of(most))),
    }
}

fn group_words(groups: &[&GasGroup]) -> String {
    let each: Vec<String> =
        groups.iter().map(|group| format!("{} ({})", group.symbol, group.source)).collect();
    format!("gas group {}", each.join(", "))
}

fn remark(said: &[String], name: &str) -> String {
    format!("{}: derived from the gas named, {name}", said.join(" and "))
}
