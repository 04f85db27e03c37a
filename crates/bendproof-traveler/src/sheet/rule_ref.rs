//! A rule as a sheet refers to it: its id, and the code whose text is meant.

use bendproof_codes::rule::Rule;

use crate::context::AssessmentContext;

/// Between a rule's id and the code it is asked under.
const UNDER: &str = "?code=";

/// A rule as a page can ask for it: its id, with the code where an edition or a
/// borrower has it otherwise than the code that its id alone leads to.
pub(crate) fn rule_ref(code: &str, rule: &str) -> String {
    match bendproof_codes::catalogue::explain(rule) {
        Ok(explained) if explained.code.id != code => format!("{rule}{UNDER}{code}"),
        _ => rule.to_owned(),
    }
}

/// The rule a reference of [`rule_ref`] leads to, with the shop's limits in it.
pub(crate) fn rule_of_ref(reference: &str, context: AssessmentContext) -> Option<&'static Rule> {
    let explained = match reference.split_once(UNDER) {
        Some((rule, code)) => bendproof_codes::catalogue::explain_under(rule, code),
        None => bendproof_codes::catalogue::explain(reference),
    };
    let explained = explained.ok()?;
    context.over(explained.code).rule(&explained.rule.id).or(Some(explained.rule))
}
