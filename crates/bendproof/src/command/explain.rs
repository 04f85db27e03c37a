//! `bendproof explain`: one code rule as a page of text.

use bendproof_codes::catalogue::{Code, EditionRule, Explained, codes, explain, explain_under};
use bendproof_codes::rule::{Case, Rule};
use bendproof_traveler::judged::is_out_of_reach;
use serde_json::{Value, json};

use crate::exit::{Exit, Outcome, failure};
use crate::output;

pub fn run(rule: Option<&str>, code: Option<&str>, as_json: bool) -> Outcome {
    let Some(id) = rule else {
        list(as_json)?;
        return Ok(Exit::Fine);
    };
    // The answers of other commands name a rule and its code in one word.
    let (id, code) = match (id.split_once("?code="), code) {
        (Some((id, of)), None) => (id, Some(of)),
        _ => (id, code),
    };
    let explained = match code {
        Some(code) => explain_under(id, code),
        None => explain(id),
    };
    let explained = explained.map_err(failure)?;
    let editions = explained.editions().map_err(failure)?;
    if as_json {
        output::json(&explained_json(&explained, &editions));
    } else {
        print(&explained, &editions);
    }
    Ok(Exit::Fine)
}

fn list(as_json: bool) -> Result<(), crate::exit::Failure> {
    let codes = codes().map_err(failure)?;
    // A rule that several editions share is listed once, under the one that stands whole.
    let is_first = |(c, r): &(&Code, &Rule)| {
        let base = c.based_on.as_ref().and_then(|base| codes.iter().find(|known| known.id == *base));
        base.is_none_or(|base| base.rule(&r.id).is_none())
    };
    let rules = codes.iter().flat_map(|c| c.rules.iter().map(move |r| (*c, r))).filter(is_first);
    if as_json {
        let all: Vec<Value> = rules
            .map(|(c, r)| json!({ "rule": r.id, "code": c.id, "clause": r.clause, "title": r.title }))
            .collect();
        output::json(&Value::Array(all));
    } else {
        let rows: Vec<Vec<String>> =
            rules.map(|(_, r)| vec![r.id.clone(), r.clause.clone(), r.title.clone()]).collect();
        output::table(&rows);
    }
    Ok(())
}

/// What a rule asks, in words: conditions, then limits.
pub fn conditions(explained: &Explained) -> Vec<String> {
    explained.rule.when.iter().map(|c| c.text()).collect()
}

fn case_json(case: &Case) -> Value {
    json!({ "claim": case.claim.word(), "case": case.name, "facts": case.facts.text() })
}

fn held_json(held: &EditionRule) -> Value {
    json!({ "code": held.code.id, "has_rule": held.rule.is_some(), "differs": held.differs })
}

fn explained_json(e: &Explained, editions: &[EditionRule]) -> Value {
    let r = e.rule;
    json!({
        "rule": r.id,
        "code": e.code.id,
        "title": r.title,
        "clause": r.clause,
        "edition": r.edition,
        "kind": r.kind.word(),
        "status": r.status().word(),
        "since": r.since,
        "until": r.until,
        "when": conditions(e),
        "limits": r.limits_text(),
        "source": r.source,
        "basis": r.basis.word(),
        "note": r.note,
        "see": r.see,
        "cases": r.cases.iter().map(case_json).collect::<Vec<_>>(),
        "editions": editions.iter().map(held_json).collect::<Vec<_>>(),
    })
}

fn print(e: &Explained, editions: &[EditionRule]) {
    let r = e.rule;
    output::line(format!("{}\n{}\n", r.id, r.title));
    let mut rows = vec![
        vec!["code".to_owned(), e.code.full_title()],
        vec!["clause".to_owned(), format!("{}, edition {}", r.clause, r.edition)],
        vec!["status".to_owned(), life(r)],
    ];
    rows.extend(conditions(e).into_iter().map(|c| vec!["when".to_owned(), c]));
    rows.extend(r.limits_text().into_iter().map(|l| vec!["limit".to_owned(), l]));
    rows.push(vec!["source".to_owned(), r.source.clone()]);
    rows.push(vec!["basis".to_owned(), basis_words(r.basis.word()).to_owned()]);
    rows.extend(r.note.iter().map(|n| vec!["note".to_owned(), n.clone()]));
    if is_out_of_reach(r) {
        rows.push(vec!["note".to_owned(), "no file reaches it yet: a coupon here is a groove".to_owned()]);
    }
    rows.extend(r.see.iter().map(|s| vec!["see".to_owned(), s.clone()]));
    // The first is the rule printed above.
    for held in editions.iter().skip(1) {
        let differs = if held.differs.is_empty() { "the same".to_owned() } else { held.differs.join("; ") };
        rows.push(vec![format!("in {}", held.code.id), differs]);
    }
    output::table(&rows);
    output::line("\ntest cases");
    let cases: Vec<Vec<String>> =
        r.cases.iter().map(|c| vec![format!("  {}", c.claim), c.name.clone(), c.facts.text()]).collect();
    output::table(&cases);
}

fn life(rule: &Rule) -> String {
    let since = rule.since.as_ref().map(|first| format!(", since {first}")).unwrap_or_default();
    let until = rule.until.as_ref().map(|last| format!(", until {last}")).unwrap_or_default();
    format!("{}{since}{until}", rule.status().text())
}

/// The basis, and what the reader should do about it.
fn basis_words(basis: &str) -> &str {
    match basis {
        "memory" => "memory: check it against your own copy of the code",
        "secondary" => "secondary: read in a text about the code, not in the code",
        "seen" => "seen in a copy of the code",
        other => other,
    }
}
