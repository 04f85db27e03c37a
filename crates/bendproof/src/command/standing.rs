//! `bendproof standing`: what a passed test covers.

use std::path::Path;

use bendproof_traveler::{json, read_record};

use crate::exit::{Exit, Outcome};
use crate::{output, source};

pub fn run(file: &Path, as_json: bool) -> Outcome {
    let standing = match read_record(&source::read(file)?, Some(source::today())) {
        Ok(standing) => standing,
        Err(error) => {
            if as_json {
                output::json(&serde_json::json!({ "findings": output::findings_json(&error.findings) }));
            }
            output::findings(file, &error.findings);
            return Ok(Exit::CouldNot);
        }
    };
    let is_lapsed = standing.until.is_some_and(|day| day < source::today());
    let is_clear = standing.refused.is_none() && standing.doubts.is_empty() && !is_lapsed;
    if as_json {
        let mut value = json::standing(&standing);
        value["lapsed"] = serde_json::json!(is_lapsed);
        output::json(&value);
    } else {
        print(&standing, is_lapsed);
    }
    Ok(if is_clear { Exit::Fine } else { Exit::Findings })
}

fn print(s: &bendproof_codes::Standing, is_lapsed: bool) {
    let words = |list: &[String]| if list.is_empty() { "none".to_owned() } else { list.join(", ") };
    output::line(format!("{} under {}\n", s.welder, s.code));
    if let Some(refused) = &s.refused {
        output::line(format!("not covered: {} ({})", refused.message, refused.rule));
    }
    if let (Some(day), true) = (s.until, is_lapsed) {
        output::line(format!("lapsed on {day}: nothing below is held today\n"));
    }
    let applies = |list: &[String]| if list.is_empty() { "does not apply".to_owned() } else { words(list) };
    output::table(&[
        vec!["processes".into(), words(&s.processes)],
        vec!["transfer".into(), applies(&s.transfer_modes)],
        vec!["plate groove".into(), words(&s.positions.plate_groove)],
        vec!["pipe groove".into(), json::pipe_words(s)],
        vec!["fillet".into(), words(&s.positions.fillet)],
        vec!["progression".into(), applies(&s.progressions)],
        vec!["thickness".into(), json::range_words(s.thickness.as_ref())],
        vec!["diameter".into(), json::range_words(s.diameter.as_ref())],
        vec!["backing".into(), words(&s.backing)],
        vec![
            "fillers".into(),
            if s.fillers.is_empty() { "not stated by the rules here".into() } else { words(&s.fillers) },
        ],
        vec!["until".into(), s.until.map_or("not known".into(), |d| d.to_string())],
    ]);
    output::line("\nbecause");
    let cited: Vec<Vec<String>> = s
        .because
        .iter()
        .map(|c| vec![format!("  {}", c.clause), c.basis.to_string(), c.rule.clone()])
        .collect();
    output::table(&cited);
    for doubt in &s.doubts {
        output::line(format!("doubt: {} ({})", doubt.message, doubt.rule));
    }
}
