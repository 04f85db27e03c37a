//! Kept events, rules and versions in the words of the page.

use bendproof_bench::desk::{About, HistoryEntry, RuleCase, RuleEdition, RuleView};
use bendproof_codes::catalogue::{Code, EditionRule, ShopRules, explain, explain_under};
use bendproof_codes::rule::Rule;
use bendproof_files::COUPON;
use bendproof_shop::{Change, Event, EventKind, Subject};
use bendproof_traveler::library::library_field;
use bendproof_traveler::sheet::{Provenance, code_name};

/// Changes listed one by one; a longer event is summed up.
const CHANGES_TOLD: usize = 3;

/// A moment in this machine's time zone: `2026-11-25 14:05`.
pub fn moment(at_ms: i64) -> String {
    match jiff::Timestamp::from_millisecond(at_ms) {
        Ok(at) => at.to_zoned_datetime(jiff::tz::TimeZone::system()).strftime("%Y-%m-%d %H:%M").to_string(),
        Err(_) => "time unknown".to_owned(),
    }
}

/// A moment's day in this machine's time zone: `2026-11-25`.
pub(super) fn day(at_ms: i64) -> String {
    moment(at_ms).split(' ').next().unwrap_or_default().to_owned()
}

/// The latest events, newest first, long ones summed up.
pub(super) fn history_entries(events: &[Event], most: usize) -> Vec<HistoryEntry> {
    events.iter().rev().take(most).map(|event| entry(event, CHANGES_TOLD)).collect()
}

/// The same events, each with everything it changed.
pub(super) fn whole_entries(events: &[Event]) -> Vec<HistoryEntry> {
    events.iter().rev().map(|event| entry(event, usize::MAX)).collect()
}

/// One event with at most so many of its changes.
fn entry(event: &Event, most: usize) -> HistoryEntry {
    HistoryEntry {
        version: u64::try_from(event.version).unwrap_or(0),
        at: moment(event.at_ms),
        who: event.who.clone(),
        words: event_words(event, most),
    }
}

fn event_words(event: &Event, most: usize) -> String {
    let why = event.note.as_ref().map(|note| format!(" · {note}")).unwrap_or_default();
    let what = match event.kind {
        EventKind::Create if most == CHANGES_TOLD => return format!("made the {}{why}", event.subject),
        EventKind::Create => "made with ",
        EventKind::Change => "",
        EventKind::Undo => "took back: ",
        EventKind::Redo => "made again: ",
        EventKind::Stamp => return stamp_words(event),
    };
    let changes: Vec<String> =
        event.changes.iter().take(most).map(|c| change_words(event.subject, c)).collect();
    let rest = event.changes.len().saturating_sub(most);
    let rest = if rest > 0 { format!(", and {rest} more") } else { String::new() };
    // One line is read across; everything is read down.
    let between = if most == CHANGES_TOLD { ", " } else { "\n" };
    format!("{what}{}{rest}{why}", changes.join(between))
}

/// A stamp names what changed from the one before; the word stands there only
/// where it is another.
fn stamp_words(event: &Event) -> String {
    let word = event.changes.iter().find(|change| change.path.ends_with(".word"));
    match word.and_then(|change| change.after.as_ref()) {
        Some(word) => format!("stamped the verdict: {word}"),
        None => "stamped the verdict again: the same".to_owned(),
    }
}

fn change_words(subject: Subject, change: &Change) -> String {
    let spec = match subject {
        Subject::Procedure => library_field(&change.path).and_then(|(kind, path)| kind.spec(path)),
        _ => COUPON.spec(&change.path),
    };
    let last = || change.path.rsplit('.').next().unwrap_or_default().replace('_', " ");
    let label = spec.map_or_else(last, |s| s.label.to_owned());
    let label = format!("{}{label}", place_words(&change.path));
    // A blank text keeps a row and states nothing.
    let is_code = last() == "code";
    let named = |text: String| if is_code { code_name(&text) } else { text };
    let stated = |text: &Option<String>| text.clone().filter(|text| !text.trim().is_empty()).map(named);
    match (stated(&change.before), stated(&change.after)) {
        (Some(before), Some(after)) => format!("{label} from {before} to {after}"),
        (None, Some(after)) => format!("{label} {after}"),
        (None, None) if change.after.is_some() => format!("{label} left blank"),
        (_, None) => format!("{label} cleared"),
    }
}

/// The rows a path stands in: `strap 1 opening 2: `; nothing outside a list.
fn place_words(path: &str) -> String {
    let parts: Vec<&str> = path.split('.').collect();
    let is_row = |part: &str| !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit());
    let rows = parts.windows(2).filter(|pair| is_row(pair[1]));
    let words: Vec<String> = rows
        .enumerate()
        .map(|(depth, pair)| {
            let list = pair[0].replace('_', " ");
            // A list inside a row is named by what it holds: openings, flaws, points.
            let one = if depth == 0 { list.as_str() } else { list.strip_suffix('s').unwrap_or(&list) };
            format!("{one} {}", pair[1])
        })
        .collect();
    if words.is_empty() { String::new() } else { format!("{}: ", words.join(" ")) }
}

/// A rule of the code data as a code has it, or as its id alone leads to; or a
/// rule of the shop's own. Nothing when no rule has that id.
pub(super) fn rule_view(id: &str, code: Option<&str>, rules: Option<&ShopRules>) -> Option<RuleView> {
    let explained = match code {
        Some(code) => explain_under(id, code),
        None => explain(id),
    };
    let ours = rules.and_then(|rules| rules.rule(id));
    let Ok(explained) = explained else {
        let (code, rule) = ours?;
        return Some(one_rule(code, rule));
    };
    let mut view = one_rule(explained.code, explained.rule);
    view.editions = explained.editions().ok()?.into_iter().skip(1).map(edition).collect();
    if let (Some(rules), Some((_, rule))) = (rules, ours) {
        let differs = std::iter::once(rule.clause.clone()).chain(rule.limits_text()).collect();
        view.editions.insert(0, RuleEdition { title: rules.shop().to_owned(), code: None, differs });
    }
    Some(view)
}

fn edition(held: EditionRule) -> RuleEdition {
    RuleEdition {
        title: held.code.full_title(),
        code: held.rule.map(|_| held.code.id.clone()),
        differs: held.differs,
    }
}

fn one_rule(code: &Code, rule: &Rule) -> RuleView {
    // The finding speaks of a measurement; the page of a rule has none.
    let finding = rule.finding.replace("{measured}", "some size").replace("{limit}", "the limit");
    let mut words = vec![finding];
    words.extend(rule.when.iter().map(|c| format!("when {}", c.text())));
    words.extend(rule.note.clone());
    words.push(format!("status {}", rule.status().text()));
    RuleView {
        id: rule.id.clone(),
        title: rule.title.clone(),
        clause: format!("{}, {}", code.full_title(), rule.clause),
        words,
        limits: rule.limits_text().into_iter().map(|l| ("limit".to_owned(), l)).collect(),
        provenance: Provenance {
            source: rule.source.clone(),
            basis: rule.basis.word().to_owned(),
            // The page is the rule; it does not point at itself.
            rule: None,
        },
        cases: rule
            .cases
            .iter()
            .map(|c| RuleCase {
                given: format!("{}: {}", c.name, c.facts.text()),
                expected: c.claim.word().to_owned(),
            })
            .collect(),
        editions: Vec::new(),
    }
}

pub(super) fn about() -> About {
    let mut versions = vec![("Bendproof".to_owned(), env!("CARGO_PKG_VERSION").to_owned())];
    for code in bendproof_codes::catalogue::codes().unwrap_or_default() {
        versions.push((code.title.clone(), format!("{} rules, edition {}", code.rules.len(), code.edition)));
    }
    About { versions }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_change_in_a_row_names_the_row() {
        let change = |path: &str| Change {
            path: path.to_owned(),
            before: Some("17 V".to_owned()),
            after: Some("18 V".to_owned()),
        };
        let said = |path: &str| change_words(Subject::Coupon, &change(path));
        assert_eq!(said("pass.1.volts"), "pass 1: volts from 17 V to 18 V");
        assert_eq!(said("log.1.volts"), "log 1: volts read from 17 V to 18 V");
        assert!(said("strap.2.openings.1.length").starts_with("strap 2 opening 1: "));
        assert!(said("strap.2.openings").starts_with("strap 2: openings from"));
        assert!(said("welder").starts_with("welder from"));
    }
}
