//! Kept events, rules and versions in the words of the page.

use bendproof_bench::desk::{About, HistoryEntry, RuleCase, RuleEdition, RuleView};
use bendproof_codes::catalogue::{Code, EditionRule, ShopRules, explain, explain_under};
use bendproof_codes::rule::Rule;
use bendproof_files::COUPON;
use bendproof_shop::{Change, Event, EventKind, Subject};
use bendproof_traveler::library::library_field;
use bendproof_traveler::sheet::Provenance;

/// Changes told one by one; a longer event is summed up.
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

/// The latest events, newest first.
pub(super) fn history_entries(events: &[Event], most: usize) -> Vec<HistoryEntry> {
    events
        .iter()
        .rev()
        .take(most)
        .map(|e| HistoryEntry {
            version: u64::try_from(e.version).unwrap_or(0),
            at: moment(e.at_ms),
            who: e.who.clone(),
            words: event_words(e),
        })
        .collect()
}

fn event_words(event: &Event) -> String {
    let why = event.note.as_ref().map(|note| format!(" · {note}")).unwrap_or_default();
    let what = match event.kind {
        EventKind::Create => return format!("made the {}{why}", event.subject),
        EventKind::Change => "",
        EventKind::Undo => "took back: ",
        EventKind::Redo => "made again: ",
        EventKind::Stamp => return stamp_words(event),
    };
    let told: Vec<String> =
        event.changes.iter().take(CHANGES_TOLD).map(|c| change_words(event.subject, c)).collect();
    let rest = event.changes.len().saturating_sub(CHANGES_TOLD);
    let rest = if rest > 0 { format!(", and {rest} more") } else { String::new() };
    format!("{what}{}{rest}{why}", told.join(", "))
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
    let label = spec.map_or(change.path.as_str(), |s| s.label);
    let row = change.path.split('.').find(|part| part.bytes().all(|b| b.is_ascii_digit()));
    let label = row.map_or_else(|| label.to_owned(), |row| format!("{label} {row}"));
    match (&change.before, &change.after) {
        (Some(before), Some(after)) => format!("{label} from {before} to {after}"),
        (None, Some(after)) => format!("{label} {after}"),
        (_, None) => format!("{label} cleared"),
    }
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
