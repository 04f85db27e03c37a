//! `bendproof standing`: what a passed test covers on a day, what renews it, and
//! whether the joints asked about are covered.

use std::path::Path;

use bendproof_codes::held::{CoverAnswer, Gap, Standing, lasting_words};
use bendproof_codes::words::{Facet, Hold, JointKind};
use bendproof_traveler::build::is_coupon;
use bendproof_traveler::welder;
use bendproof_traveler::welder::{Asked, RecordAnswer, answer_record};
use jiff::civil::Date;

use crate::arguments::ShopOption;
use crate::exit::{Exit, Outcome, failure};
use crate::{output, source};
use bendproof_contract as contract;

pub fn run(file: &Path, on: Option<Date>, shop: &ShopOption, as_json: bool) -> Outcome {
    let context = source::context(shop.shop_rules.as_deref())?;
    let text = source::read(file)?;
    if is_coupon(&text) {
        return Err(failure(format!(
            "{}: a coupon file, and standing reads the record of a passed test; for what the coupon will \
             qualify for, use `bendproof cover`",
            file.display()
        )));
    }
    let answer = match answer_record(&text, context, on.or(context.day)) {
        Ok(answer) => answer,
        Err(error) => {
            if as_json {
                output::json(&serde_json::json!({ "findings": contract::findings_json(&error.findings) }));
            }
            output::findings(file, &error.findings);
            return Ok(Exit::CouldNot);
        }
    };
    output::findings(file, &answer.findings);
    let standing = &answer.standing;
    source::tell_rules(context, &standing.code);
    let is_lapsed = standing.hold == Some(Hold::Lapsed);
    let is_held = !is_lapsed && standing.hold != Some(Hold::NotYet) && standing.refused.is_none();
    let is_covered = answer.asked.iter().all(|a| a.coverage.answer == CoverAnswer::Covered);
    let is_clear = is_held && standing.doubts.is_empty() && is_covered;
    if as_json {
        let mut value = contract::record(&answer);
        value["lapsed"] = serde_json::json!(is_lapsed);
        output::json(&value);
    } else {
        print(&answer);
    }
    Ok(if is_clear { Exit::Fine } else { Exit::Findings })
}

fn print(answer: &RecordAnswer) {
    let s = &answer.standing;
    output::line(format!("{} under {}", s.welder, s.code));
    match &answer.designation {
        Some(Ok(line)) => output::line(line),
        Some(Err(why)) => output::line(why),
        None => {}
    }
    output::line("");
    if let Some(refused) = &s.refused {
        output::line(format!("not qualified: {} ({})", refused.message, refused.rule));
    }
    print_hold(s);
    print_ranges(s);
    output::line("\nbecause");
    let cited: Vec<Vec<String>> = s
        .because
        .iter()
        .map(|c| vec![format!("  {}", c.clause), c.basis.to_string(), c.rule.clone()])
        .collect();
    output::table(&cited);
    for doubt in &s.doubts {
        output::line(format!("open question: {} ({})", doubt.message, doubt.rule));
    }
    for remark in &answer.remarks {
        output::line(format!("note: {remark}"));
    }
    answer.asked.iter().for_each(print_asked);
    output::line("\nrenewal, expiration and retest");
    let printed: Vec<Vec<String>> = answer
        .renewal
        .iter()
        .map(|a| {
            let event = a.event.word().replace('_', " ");
            vec![
                format!("  {event}"),
                a.because.clause.clone(),
                a.because.basis.to_string(),
                a.sentence.clone(),
            ]
        })
        .collect();
    output::table(&printed);
}

/// Whether it is held on the day asked about, where that needs saying.
fn print_hold(s: &Standing) {
    match (s.hold, s.until, s.on) {
        (Some(Hold::NotYet), _, Some(on)) => {
            output::line(format!("not yet: on {on} the test of {} was not finished\n", s.finished));
        }
        (Some(Hold::Lapsed), Some(day), Some(on)) => {
            output::line(format!("{}: not in effect on {on}\n", lasting_words(s.hold, Some(day))));
        }
        (Some(Hold::Held), Some(day), Some(on)) => {
            output::line(format!("current on {on}, {}\n", lasting_words(s.hold, Some(day))));
        }
        (Some(Hold::Nothing), _, Some(on)) => {
            output::line(format!("not qualified on {on}; see the open questions below\n"));
        }
        (Some(Hold::NotKnown), _, Some(on)) => {
            output::line(format!("undetermined on {on}; see the open questions below\n"));
        }
        _ => {}
    }
}

fn print_ranges(s: &Standing) {
    let words = |list: &[String], facet| welder::list_words(s, list, facet, None);
    let positions = |list: &[String], joint| welder::list_words(s, list, Facet::Position, Some(joint));
    let mut rows = vec![
        vec!["processes".into(), words(&s.processes, Facet::Process)],
        vec!["transfer".into(), words(&s.transfer_modes, Facet::Transfer)],
        vec!["plate groove".into(), positions(&s.positions.plate_groove, JointKind::PlateGroove)],
        vec!["pipe groove".into(), welder::pipe_words(s)],
        vec!["fillet".into(), positions(&s.positions.fillet, JointKind::Fillet)],
        vec!["progression".into(), words(&s.progressions, Facet::Progression)],
        vec!["thickness".into(), welder::size_words(s, Facet::Thickness)],
        vec!["diameter".into(), welder::size_words(s, Facet::Diameter)],
        vec!["backing".into(), words(&s.backing, Facet::Backing)],
        vec!["fillers".into(), words(&s.fillers, Facet::Filler)],
    ];
    for (name, list, facet) in [
        ("base metals", &s.base_metals, Facet::BaseMetal),
        ("filler types", &s.filler_types, Facet::FillerType),
        ("polarity", &s.polarities, Facet::Polarity),
        ("backing gas", &s.backing_gases, Facet::BackingGas),
        ("welds", &s.welds, Facet::Weld),
        ("products", &s.products, Facet::Product),
        ("layers of fillets", &s.runs, Facet::Runs),
    ] {
        if !list.is_empty() || s.gap(facet, None) == Gap::Undetermined {
            rows.push(vec![name.into(), words(list, facet)]);
        }
    }
    let lasts = match (s.hold, s.until) {
        (Some(Hold::NotKnown), Some(day)) => format!("through {day}, if the open questions are resolved"),
        (hold, until) => lasting_words(hold, until),
    };
    rows.push(vec!["lasts".into(), lasts]);
    output::table(&rows);
}

fn print_asked(asked: &Asked) {
    let answer = asked.coverage.answer.word().replace('_', " ");
    output::line(format!("\njoint: {}\n{answer}", asked.question));
    let rows: Vec<Vec<String>> = asked
        .coverage
        .reasons
        .iter()
        .map(|r| {
            let answer = r.answer.word().replace('_', " ");
            vec![format!("  {answer}"), r.message.clone(), r.clauses.join("; ")]
        })
        .collect();
    output::table(&rows);
}
