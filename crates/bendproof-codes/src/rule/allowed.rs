//! How far one variable may go from the value of its record: the demand of a
//! rule, how it is read, asked and said.
//!
//! Holds no number; the ends are extents of the code file.

use bendproof_measure::{Kind, Quantity, System, Toward, round_to, say, say_computed, say_computed_against};
use toml::{Table, Value};

use super::extent::{Extent, Pair, is_over, is_under};
use super::fact::{Fact, FactAnswer, Facts, vocabulary};
use super::phrase::spaced;
use super::table::{allow_keys, extent, strings, word};
use super::variable::{Variable, VariableClass};

/// What a rule says of one variable.
#[derive(Debug, Clone, PartialEq)]
pub struct Allowed {
    /// The variable.
    pub variable: Variable,
    /// What it means to leave what is allowed.
    pub class: VariableClass,
    /// What is allowed.
    pub change: Change,
    /// Outside of it nothing is decided, because it is disputed or not known.
    pub unsure: bool,
    /// The fact judged: what is asked about or measured, or another by name.
    pub subject: &'static str,
}

/// What a variable may change to.
#[derive(Debug, Clone, PartialEq)]
pub enum Change {
    /// A size between two ends; a missing end is open.
    Within {
        /// Least.
        min: Option<Extent>,
        /// Greatest.
        max: Option<Extent>,
        /// The least itself is outside.
        min_excluded: bool,
        /// The greatest itself is outside.
        max_excluded: bool,
    },
    /// As in the record, nothing else.
    Same,
    /// Any of these words; the words of several rules add up.
    Words(Vec<String>),
    /// Any of these positions by kind of joint; those of several rules add up.
    Positions {
        /// Groove welds in plate.
        plate_groove: Vec<String>,
        /// Groove welds in pipe.
        pipe_groove: Vec<String>,
        /// Fillet welds.
        fillet: Vec<String>,
    },
    /// What the conditions describe may change freely.
    Any,
    /// What the conditions describe is never allowed.
    Never,
    /// What the conditions describe is disputed or not known.
    Doubt,
}

impl Allowed {
    /// Whether the conditions of the rule say it all.
    pub(crate) fn is_bare(&self) -> bool {
        matches!(self.change, Change::Never | Change::Doubt)
    }

    /// Whether the conditions of the rule describe a freedom.
    pub(crate) fn is_free(&self) -> bool {
        self.change == Change::Any
    }

    /// Whether this adds to what other rules allow, instead of limiting it.
    pub(crate) fn adds_up(&self) -> bool {
        matches!(self.change, Change::Words(_) | Change::Positions { .. })
    }

    /// Whether this sets a limit of its own or a freedom.
    pub(crate) fn is_limit(&self) -> bool {
        !self.adds_up() && !self.is_bare()
    }

    /// The ends of a range, open ones left out.
    pub fn ends(&self) -> impl Iterator<Item = &Extent> {
        let ends = match &self.change {
            Change::Within { min, max, .. } => [min.as_ref(), max.as_ref()],
            _ => [None, None],
        };
        ends.into_iter().flatten()
    }

    /// Whether the value judged is allowed; of a range both ends, of several
    /// words all.
    pub(crate) fn met(&self, facts: &Facts) -> FactAnswer {
        let Some(asked) = facts.get(self.subject) else { return FactAnswer::Missing(self.subject) };
        match (&self.change, asked) {
            (Change::Within { .. }, Fact::Measure(asked)) => self.reaches(asked, facts),
            (Change::Within { .. }, Fact::Measures(ends)) if ends.len() > 1 => {
                FactAnswer::all(ends.iter().map(|end| self.reaches(end, facts)))
            }
            (Change::Same, asked) => match facts.get(self.variable.of_record()) {
                Some(tested) => is_same(tested, asked).into(),
                None => FactAnswer::Missing(self.variable.of_record()),
            },
            (Change::Words(words), Fact::Word(word)) => words.contains(word).into(),
            (Change::Words(words), Fact::Words(all)) => all.iter().all(|word| words.contains(word)).into(),
            (Change::Positions { plate_groove, pipe_groove, fillet }, Fact::Word(position)) => {
                let Some(Fact::Word(joint)) = facts.get("ask_joint") else {
                    return FactAnswer::Missing("ask_joint");
                };
                let list = match joint.as_str() {
                    "plate_groove" => plate_groove,
                    "fillet" => fillet,
                    _ => pipe_groove,
                };
                list.contains(position).into()
            }
            (Change::Any | Change::Never | Change::Doubt, _) => FactAnswer::Yes,
            // A value of another sort than the rule speaks of.
            _ => FactAnswer::Missing(self.subject),
        }
    }

    /// Whether one size lies between the ends.
    fn reaches(&self, asked: &Quantity, facts: &Facts) -> FactAnswer {
        let Change::Within { min, max, min_excluded, max_excluded } = &self.change else {
            return FactAnswer::Missing(self.subject);
        };
        let low = min.as_ref().map(|end| match min_excluded {
            true => end.exceeded_by(asked, facts),
            false => end.undercut_by(asked, facts).not(),
        });
        let high = max.as_ref().map(|end| match max_excluded {
            true => end.undercut_by(asked, facts),
            false => end.exceeded_by(asked, facts).not(),
        });
        FactAnswer::all([low, high].into_iter().flatten())
    }

    /// What is allowed, as the rule has it.
    pub(crate) fn text(&self) -> String {
        let what = self.variable.word().replace('_', " ");
        let allowed = match &self.change {
            Change::Within { min, max, min_excluded, max_excluded } => {
                let from = if *min_excluded { "over" } else { "from" };
                let to = if *max_excluded { "under" } else { "to" };
                // Over nothing is no limit worth saying.
                let is_nothing = |end: &Extent| matches!(end, Extent::Pair(p) if p.inch_si == 0.0);
                let ends = [(from, min), (to, max)].map(|(word, end)| (word, end.as_ref()));
                let said = ends.into_iter().filter_map(|(word, end)| {
                    end.filter(|end| !is_nothing(end)).map(|end| format!("{word} {}", end.text()))
                });
                let said = said.collect::<Vec<_>>().join(" ");
                if said.is_empty() { "any".to_owned() } else { said }
            }
            Change::Same => "as in the PQR".to_owned(),
            Change::Words(words) => spaced(&words.join(", ")),
            Change::Positions { .. } => self.positions_text(),
            Change::Any => "any".to_owned(),
            Change::Never => "never".to_owned(),
            Change::Doubt => "disputed or unknown".to_owned(),
        };
        let unsure = if self.unsure { "; undetermined outside" } else { "" };
        format!("{what}: {allowed}{unsure} ({})", self.class)
    }

    fn positions_text(&self) -> String {
        let Change::Positions { plate_groove, pipe_groove, fillet } = &self.change else {
            return String::new();
        };
        let lists = [("plate groove", plate_groove), ("pipe groove", pipe_groove), ("fillet", fillet)];
        let said = lists.iter().filter(|(_, list)| !list.is_empty());
        said.map(|(name, list)| format!("{name} {}", list.join(", "))).collect::<Vec<_>>().join("; ")
    }

    /// The ends for this record as sizes, in its own system; `None` where an end
    /// is open or a size it needs is not known.
    pub(crate) fn span(&self, facts: &Facts) -> (Option<Quantity>, Option<Quantity>) {
        let Change::Within { min, max, .. } = &self.change else { return (None, None) };
        let Some(kind) = vocabulary(self.subject).and_then(|(_, sort)| sort.kind()) else {
            return (None, None);
        };
        let system = system_of(facts, self.variable);
        let size = |end: &Option<Extent>| {
            let si = end.as_ref()?.value(system, facts).filter(|si| si.is_finite())?;
            Some(Quantity { si, kind, system })
        };
        (size(min), size(max))
    }

    /// The sizes judged, of a range both ends.
    fn judged_sizes(&self, facts: &Facts) -> Vec<Quantity> {
        match facts.get(self.subject) {
            Some(Fact::Measure(size)) => vec![*size],
            Some(Fact::Measures(ends)) => ends.clone(),
            _ => Vec::new(),
        }
    }

    /// What is allowed for this record, with the arithmetic: `24 V - 7 % = 22.32 V
    /// to 24 V + 7 % = 25.68 V`.
    pub(crate) fn sentence(&self, facts: &Facts) -> String {
        let recorded = facts.get(self.variable.of_record());
        match &self.change {
            Change::Within { min, max, min_excluded, max_excluded } => {
                let (low, high) = self.span(facts);
                let system = system_of(facts, self.variable);
                let asked = self.judged_sizes(facts);
                let end = |end: &Option<Extent>, size: Option<Quantity>, toward| {
                    let printed = size.map(|q| say_computed_against(&q, toward, &asked));
                    Some(sum_text(end.as_ref()?, size, printed, system, facts))
                };
                let from = if *min_excluded { "over " } else { "" };
                let to = if *max_excluded { "under " } else { "" };
                // Over nothing is no limit worth saying.
                let has_low = low.is_none_or(|low| low.si > 0.0);
                let least = end(min, low, Toward::Greater).filter(|_| has_low);
                match (least, end(max, high, Toward::Less)) {
                    (Some(low), Some(high)) => format!("{from}{low} to {to}{high}"),
                    (Some(low), None) if *min_excluded => format!("over {low}"),
                    (Some(low), None) => format!("{low} or more"),
                    (None, Some(high)) if *max_excluded => format!("under {high}"),
                    (None, Some(high)) => format!("{high} or less"),
                    (None, None) => "any".to_owned(),
                }
            }
            Change::Same => recorded.map_or("as in the PQR".to_owned(), |f| format!("{} only", f.text())),
            Change::Words(words) => spaced(&words.join(", ")),
            Change::Positions { .. } => self.positions_text(),
            Change::Any => "any".to_owned(),
            Change::Never => "never".to_owned(),
            Change::Doubt => "undetermined".to_owned(),
        }
    }
}

/// The system the record gives this variable in, or else its thickness; inches
/// where neither is known.
fn system_of(facts: &Facts, variable: Variable) -> System {
    let own = facts.quantity(variable.of_record()).filter(|q| q.system != System::Neither);
    own.or_else(|| facts.quantity("thickness")).map_or(System::Inch, |q| q.system)
}

/// One end, as printed, with what it was computed from.
fn sum_text(
    end: &Extent,
    size: Option<Quantity>,
    printed: Option<String>,
    system: System,
    facts: &Facts,
) -> String {
    let result = printed.unwrap_or_else(|| "not known".to_owned());
    match end {
        // Printed by the code, and as it prints it.
        Extent::Pair(_) => size.map_or(result, |q| say(&q)),
        Extent::Unlimited => "unlimited".to_owned(),
        Extent::Times { of, times, plus } => match facts.quantity(of) {
            // The very size of the test needs no arithmetic.
            Some(_) if *times == 1.0 && plus.is_none() => result,
            Some(tested) => format!("{} = {result}", product_text(&tested, *times, plus.as_ref(), system)),
            None => format!("{} (not known)", end.text()),
        },
        Extent::Smaller(_) | Extent::Larger(_) => format!("{} = {result}", end.text()),
    }
}

fn product_text(tested: &Quantity, times: f64, plus: Option<&Pair>, system: System) -> String {
    let mut text = say_recorded(tested);
    let is_share = times > 0.0 && (times - 1.0).abs() <= 0.5 && tested.kind != Kind::Length;
    if times != 1.0 && is_share {
        let (sign, percent) = if times < 1.0 { ("-", 1.0 - times) } else { ("+", times - 1.0) };
        text = format!("{text} {sign} {} %", round_to(percent * 100.0, 2));
    } else if times != 1.0 {
        text = format!("{} x {text}", round_to(times, 6));
    }
    if let Some(step) = plus.map(|p| p.in_system(system)) {
        let (sign, size) = if step.si < 0.0 { ("-", -step.si) } else { ("+", step.si) };
        text = format!("{text} {sign} {}", say(&Quantity { si: size, ..step }));
    }
    text
}

/// A recorded value in a sum: energies are computed and carry no more figures
/// than a person needs.
pub(crate) fn say_recorded(value: &Quantity) -> String {
    match value.kind {
        Kind::EnergyPerLength => say_computed(value, Toward::Nearest),
        _ => say(value),
    }
}

/// Sizes are the same within float rounding; one word is the same as a list that
/// has it.
pub(crate) fn is_same(tested: &Fact, asked: &Fact) -> bool {
    match (tested, asked) {
        (Fact::Measure(a), Fact::Measure(b)) => !is_over(b, a.si) && !is_under(b, a.si),
        (Fact::Words(list), Fact::Word(word)) => list.contains(word),
        (a, b) => a == b,
    }
}

/// Reads a demand of this kind.
pub(crate) fn read_allowed(table: &Table) -> Result<Allowed, String> {
    const SHAPES: [&str; 8] = ["min", "over", "max", "under", "same", "words", "positions", "says"];
    let text = |key: &str| table.get(key).and_then(Value::as_str);
    allow_keys(table, &[&["is", "of", "class", "unsure", "judges"], SHAPES.as_slice()].concat())?;
    let named = text("of").ok_or("`of` names the variable")?;
    let variable = word(named, Variable::from_word, Variable::WORDS)?;
    let class = match text("class") {
        Some(class) => word(class, VariableClass::from_word, VariableClass::WORDS)?,
        None => VariableClass::Essential,
    };
    let subject = match text("judges") {
        Some(fact) => vocabulary(fact).ok_or_else(|| format!("`{fact}` is not a fact rules know"))?.0,
        None => variable.asked(),
    };
    let unsure = table.get("unsure").is_some_and(|v| v.as_bool() == Some(true));
    Ok(Allowed { variable, class, change: change(table)?, unsure, subject })
}

fn change(table: &Table) -> Result<Change, String> {
    let is = |key: &str| table.get(key).and_then(Value::as_bool) == Some(true);
    let end = |keys: [&str; 2]| keys.iter().find_map(|k| table.get(*k)).map(extent).transpose();
    let ways = [
        ["min", "over", "max", "under"].iter().any(|k| table.contains_key(*k)),
        is("same"),
        table.contains_key("words"),
        table.contains_key("positions"),
        table.contains_key("says"),
    ];
    if ways.iter().filter(|way| **way).count() != 1 {
        return Err("one of a range, `same`, `words`, `positions` and `says` is wanted".to_owned());
    }
    if let Some(words) = table.get("words") {
        return strings(words).map(Change::Words);
    }
    if let Some(lists) = table.get("positions") {
        let lists = lists.as_table().ok_or("`positions` is a table of lists")?;
        allow_keys(lists, &["plate_groove", "pipe_groove", "fillet"])?;
        let list = |key: &str| lists.get(key).map(strings).transpose().map(Option::unwrap_or_default);
        return Ok(Change::Positions {
            plate_groove: list("plate_groove")?,
            pipe_groove: list("pipe_groove")?,
            fillet: list("fillet")?,
        });
    }
    match table.get("says").map(Value::as_str) {
        Some(Some("any")) => return Ok(Change::Any),
        Some(Some("never")) => return Ok(Change::Never),
        Some(Some("doubt")) => return Ok(Change::Doubt),
        Some(_) => return Err("`says` is any, never or doubt".to_owned()),
        None => {}
    }
    if is("same") {
        return Ok(Change::Same);
    }
    Ok(Change::Within {
        min: end(["min", "over"])?,
        max: end(["max", "under"])?,
        min_excluded: table.contains_key("over"),
        max_excluded: table.contains_key("under"),
    })
}
