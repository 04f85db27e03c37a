//! Whether values lie within what a procedure record covers, variable by
//! variable: inside, outside, or not sure, with the rules that say so.
//!
//! Grants nothing that no rule grants: a change that no rule speaks of is not sure.

use crate::catalogue::Code;
use crate::rule::{
    Allowed, Change, Cited, Demand, Fact, FactAnswer, Facts, Rule, Variable, VariableClass, is_same, spaced,
};
use crate::words::{RuleKind, words};

words! {
    /// An answer about a value, best first, so that the worst of several is
    /// their greatest.
    Within {
        /// Within what is covered.
        Inside = "inside",
        /// Disputed, not known or not given.
        NotSure = "not_sure",
        /// Outside: a new test is needed.
        Outside = "outside",
    }
}

/// The answer about one variable.
#[derive(Debug, Clone, PartialEq)]
pub struct VariableReason {
    /// The variable; `None` is the whole.
    pub variable: Option<Variable>,
    /// What leaving the range means.
    pub class: VariableClass,
    /// The answer.
    pub answer: Within,
    /// The rules behind it.
    pub because: Vec<Cited>,
    /// The reason as a sentence.
    pub message: String,
}

/// The answer about a set of values.
#[derive(Debug, Clone, PartialEq)]
pub struct Allowance {
    /// The worst of the reasons that can ask for a test.
    pub answer: Within,
    /// One reason for each variable that matters, nonessential ones among them.
    pub reasons: Vec<VariableReason>,
}

impl Allowance {
    /// The variables whose change asks for a new test.
    pub fn breached(&self) -> impl Iterator<Item = &VariableReason> {
        self.reasons.iter().filter(|r| r.answer == Within::Outside && r.class != VariableClass::Nonessential)
    }

    /// The variables whose change asks that the procedure be written again, and
    /// no test.
    pub fn amended(&self) -> impl Iterator<Item = &VariableReason> {
        self.reasons.iter().filter(|r| r.answer == Within::Outside && r.class == VariableClass::Nonessential)
    }

    pub(crate) fn of(reasons: Vec<VariableReason>) -> Self {
        let counted = reasons.iter().filter(|r| r.class != VariableClass::Nonessential).map(|r| r.answer);
        Self { answer: counted.max().unwrap_or(Within::NotSure), reasons }
    }
}

/// Which values must be given for a sure answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Wanted {
    /// None: only what is given is judged.
    Given,
    /// What a joint has of itself.
    OfJoint,
    /// All that a rule speaks of.
    All,
}

/// Says whether a production joint lies within what a procedure record covers.
///
/// `record` holds the values of the test, `joint` those asked about, by the
/// facts of [`Variable`]; `ask_joint` says which kind of joint it is. Settings
/// that the joint leaves open are the procedure's affair and are not judged.
pub fn within(code: &Code, record: &Facts, joint: &Facts) -> Allowance {
    compare(code, RuleKind::Variable, &record.and(joint), Wanted::OfJoint)
}

/// Says which of the changed values need a new procedure test; what did not
/// change is left out of `change`.
pub fn retest(code: &Code, record: &Facts, change: &Facts) -> Allowance {
    compare(code, RuleKind::Variable, &record.and(change), Wanted::Given)
}

/// Says whether a procedure may claim to be prequalified, needing no test.
///
/// `claimed` holds the values by the facts asked about: of a range both ends, of
/// several words all, as [`super::stated::Procedure::claim`] gives them. A code that has no
/// prequalified procedures answers not sure.
pub fn prequalified(code: &Code, claimed: &Facts) -> Allowance {
    let not_sure = |because, message| VariableReason {
        variable: None,
        class: VariableClass::Essential,
        answer: Within::NotSure,
        because,
        message,
    };
    let mut reasons = compare(code, RuleKind::Prequalified, claimed, Wanted::All).reasons;
    if reasons.is_empty() {
        let message = format!("no rule of {} in this program is about prequalified procedures", code.short);
        reasons.push(not_sure(Vec::new(), message));
    }
    // What the rules here leave open of every claim.
    let doubts = code.of_kind(RuleKind::Prequalified).filter(|rule| {
        matches!(rule.demand, Demand::Doubt { .. }) && rule.applies(claimed) != FactAnswer::No
    });
    reasons.extend(doubts.map(|rule| not_sure(vec![Cited::of(rule)], rule.finding.clone())));
    Allowance::of(reasons)
}

fn compare(code: &Code, kind: RuleKind, facts: &Facts, wanted: Wanted) -> Allowance {
    let reasons = Variable::ALL.iter().flat_map(|v| variable_reasons(code, kind, *v, facts, wanted));
    Allowance::of(reasons.collect())
}

/// What the rules say of one variable, class by class.
pub(crate) fn variable_reasons(
    code: &Code,
    kind: RuleKind,
    variable: Variable,
    facts: &Facts,
    wanted: Wanted,
) -> Vec<VariableReason> {
    let spoken: Vec<(&Rule, &Allowed)> = rules_about(code, kind, variable).collect();
    let is_wanted = match wanted {
        Wanted::Given => false,
        Wanted::OfJoint => variable.is_of_joint(),
        Wanted::All => true,
    };
    let of_class = |class: VariableClass| {
        let rules = spoken.iter().filter(|(_, allowed)| allowed.class == class).copied().collect();
        Question { variable, class, rules, facts, wanted, is_wanted }.answer()
    };
    let mut reasons: Vec<VariableReason> =
        VariableClass::ALL.iter().filter_map(|class| of_class(*class)).collect();
    if kind == RuleKind::Variable && is_silent(&spoken, &reasons, facts) {
        reasons.extend(unspoken(code, variable, facts));
    }
    reasons
}

/// Whether the rules leave open what a change of their variable means. Rules for
/// toughness say nothing of it where other rules exist, and all where none do.
fn is_silent(spoken: &[(&Rule, &Allowed)], reasons: &[VariableReason], facts: &Facts) -> bool {
    let always = |class: VariableClass| class != VariableClass::Supplementary;
    if spoken.iter().any(|(_, allowed)| always(allowed.class)) {
        return !reasons.iter().any(|reason| always(reason.class));
    }
    let not_asked = facts.get("toughness") == Some(&Fact::Flag(false));
    reasons.is_empty() && (spoken.is_empty() || !not_asked)
}

/// The rules of a kind that speak of a variable.
pub(crate) fn rules_about(
    code: &Code,
    kind: RuleKind,
    variable: Variable,
) -> impl Iterator<Item = (&Rule, &Allowed)> {
    code.of_kind(kind).filter_map(move |rule| match &rule.demand {
        Demand::Variable(allowed) if allowed.variable == variable => Some((rule, allowed)),
        _ => None,
    })
}

/// A change that no rule here speaks of.
fn unspoken(code: &Code, variable: Variable, facts: &Facts) -> Option<VariableReason> {
    let asked = facts.get(variable.asked())?;
    let tested = facts.get(variable.of_record());
    if tested.is_some_and(|tested| is_same(tested, asked)) {
        return None;
    }
    let tested = tested.map_or_else(|| "not given".to_owned(), Fact::text);
    Some(VariableReason {
        variable: Some(variable),
        class: VariableClass::Essential,
        answer: Within::NotSure,
        because: Vec::new(),
        message: format!(
            "{} is {}, in the record {tested}; no rule of {} here says whether that matters \
             for this process and test, so look it up in the code",
            spaced(variable.word()),
            asked.text(),
            code.short
        ),
    })
}

/// One variable of one class with the rules that may speak of it.
struct Question<'a> {
    variable: Variable,
    class: VariableClass,
    rules: Vec<(&'a Rule, &'a Allowed)>,
    facts: &'a Facts,
    wanted: Wanted,
    is_wanted: bool,
}

impl Question<'_> {
    fn answer(&self) -> Option<VariableReason> {
        let applies: Vec<(&Rule, &Allowed, FactAnswer)> =
            self.rules.iter().map(|(rule, allowed)| (*rule, *allowed, self.applies(rule))).collect();
        let active: Vec<(&Rule, &Allowed)> = applies
            .iter()
            .filter(|(.., known)| *known == FactAnswer::Yes)
            .map(|(r, a, _)| (*r, *a))
            .collect();
        let open: Vec<(&Rule, &Allowed, &'static str)> = applies
            .iter()
            .filter_map(|(rule, allowed, known)| match known {
                FactAnswer::Missing(fact) => Some((*rule, *allowed, *fact)),
                _ => None,
            })
            .collect();
        let reason = match self.facts.get(self.variable.asked()) {
            None => self.not_given(&active)?,
            Some(asked) => self.judged(asked, &active, &open)?,
        };
        self.where_toughness_is_asked(reason)
    }

    /// A change is judged for all the work of a procedure: what only the joint
    /// decides may be so in some of it.
    fn applies(&self, rule: &Rule) -> FactAnswer {
        match rule.applies(self.facts) {
            FactAnswer::Missing(fact) if self.wanted == Wanted::Given && fact.starts_with("ask_") => {
                FactAnswer::Yes
            }
            known => known,
        }
    }

    fn not_given(&self, active: &[(&Rule, &Allowed)]) -> Option<VariableReason> {
        let rules: Vec<&Rule> =
            active.iter().filter(|(_, allowed)| !allowed.is_free()).map(|(rule, _)| *rule).collect();
        let is_needed = self.is_wanted && !rules.is_empty() && self.class == VariableClass::Essential;
        let message = format!("enter {}", spaced(self.variable.word()));
        is_needed.then(|| self.reason(Within::NotSure, &rules, message))
    }

    fn judged(
        &self,
        asked: &Fact,
        active: &[(&Rule, &Allowed)],
        open: &[(&Rule, &Allowed, &'static str)],
    ) -> Option<VariableReason> {
        let about = format!("{} {}", spaced(self.variable.word()), asked.text());
        // A rule that waits for the joint does not speak against what did not change.
        let unchanged = self.facts.get(self.variable.of_record()).is_some_and(|f| is_same(f, asked));
        let speaks = |rule: &Rule| !unchanged || rule.applies(self.facts) == FactAnswer::Yes;
        for (change, answer) in [(Change::Never, Within::Outside), (Change::Doubt, Within::NotSure)] {
            if let Some((rule, _)) = active.iter().find(|(rule, a)| a.change == change && speaks(rule)) {
                return Some(self.reason(answer, &[rule], format!("{about}: {}", rule.finding)));
            }
        }
        let worst = self.limits(&about, active).into_iter().chain(self.sum(&about, active));
        let worst = worst.reduce(|a, b| if b.answer > a.answer { b } else { a });
        // A rule that may apply weakens what the others allow, unless nothing changed.
        // A limit that is kept is no matter, whether it applies or not.
        let is_kept = |allowed: &Allowed| allowed.is_limit() && allowed.met(self.facts) == FactAnswer::Yes;
        let open = open.iter().find(|(_, allowed, _)| worst.is_none() || !is_kept(allowed));
        match (worst, open) {
            (Some(reason), None) => Some(reason),
            (Some(reason), Some(_)) if reason.answer == Within::Outside || unchanged => Some(reason),
            (None, None) => None,
            (None, Some(_)) if unchanged => None,
            (_, Some((rule, _, fact))) => {
                let message = format!("{about}: enter {1}: {0} depends on it", rule.title, said(fact));
                Some(self.reason(Within::NotSure, &[rule], message))
            }
        }
    }

    /// What each rule says that sets a limit of its own.
    fn limits(&self, about: &str, active: &[(&Rule, &Allowed)]) -> Vec<VariableReason> {
        let limits = active.iter().filter(|(_, a)| a.is_limit());
        limits
            .map(|(rule, allowed)| {
                let range = allowed.sentence(self.facts);
                let (answer, message) = match allowed.met(self.facts) {
                    FactAnswer::Yes if allowed.is_free() => {
                        (Within::Inside, format!("{about}: {}", rule.finding))
                    }
                    FactAnswer::Yes => (Within::Inside, format!("{about} is within {range}")),
                    FactAnswer::No if allowed.unsure => {
                        (Within::NotSure, format!("{about} is outside {range}; {}", rule.finding))
                    }
                    FactAnswer::No => {
                        (Within::Outside, format!("{about} is outside {range}; {}", rule.finding))
                    }
                    FactAnswer::Missing(fact) if fact == allowed.subject => {
                        (Within::NotSure, format!("{about} cannot be compared with {range}; enter both ends"))
                    }
                    FactAnswer::Missing(fact) => {
                        (Within::NotSure, format!("{about} cannot be compared; enter {}", said(fact)))
                    }
                };
                self.reason(answer, &[rule], message)
            })
            .collect()
    }

    /// What the rules say together whose words add up.
    fn sum(&self, about: &str, active: &[(&Rule, &Allowed)]) -> Option<VariableReason> {
        let adding: Vec<(&Rule, &Allowed)> = active.iter().filter(|(_, a)| a.adds_up()).copied().collect();
        let first = adding.first()?;
        let met = |allowed: &Allowed| allowed.met(self.facts);
        let rules: Vec<&Rule> = adding.iter().map(|(rule, _)| *rule).collect();
        let covered: Vec<String> = adding.iter().map(|(_, a)| a.sentence(self.facts)).collect();
        let covered = covered.join("; ");
        Some(match FactAnswer::any(adding.iter().map(|(_, a)| met(a))) {
            FactAnswer::Yes => {
                let granting: Vec<&Rule> =
                    adding.iter().filter(|(_, a)| met(a) == FactAnswer::Yes).map(|(rule, _)| *rule).collect();
                self.reason(Within::Inside, &granting, format!("{about} is within {covered}"))
            }
            FactAnswer::No => {
                let unsure = adding.iter().any(|(_, a)| a.unsure);
                let answer = if unsure { Within::NotSure } else { Within::Outside };
                let message = format!("{about} is outside {covered}; {}", first.0.finding);
                self.reason(answer, &rules, message)
            }
            FactAnswer::Missing(fact) => {
                let message = format!("{about} cannot be compared; enter {}", said(fact));
                self.reason(Within::NotSure, &rules, message)
            }
        })
    }

    /// A supplementary variable counts only where toughness is asked for.
    fn where_toughness_is_asked(&self, mut reason: VariableReason) -> Option<VariableReason> {
        if self.class != VariableClass::Supplementary {
            return Some(reason);
        }
        match self.facts.get("toughness") {
            Some(Fact::Flag(false)) => None,
            Some(_) => Some(reason),
            None if reason.answer == Within::Outside => {
                reason.answer = Within::NotSure;
                reason.message.push_str("; applies only if toughness is required: enter whether it is");
                Some(reason)
            }
            None => Some(reason),
        }
    }

    fn reason(&self, answer: Within, rules: &[&Rule], message: String) -> VariableReason {
        VariableReason {
            variable: Some(self.variable),
            class: self.class,
            answer,
            because: rules.iter().map(|rule| Cited::of(rule)).collect(),
            message,
        }
    }
}

/// A fact as a reader calls it.
pub(crate) fn said(fact: &str) -> String {
    match fact.strip_prefix("ask_") {
        Some(asked) => format!("the {} of the joint", spaced(asked)),
        None => spaced(fact),
    }
}
