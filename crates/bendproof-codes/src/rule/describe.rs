//! Rules in words, for whoever asks what a rule says: conditions, limits and
//! the facts of its cases.
//!
//! Decides nothing; it prints what the data hold.

use bendproof_measure::{System, round_to, say};

use super::demand::{Condition, Counts, Demand, PipeRow, Rule, Test};
use super::extent::{Extent, Pair};
use super::fact::{Fact, Facts};
use super::phrase::{said, spaced};
use super::spans::Span;

impl Pair {
    /// Both values: `1/8 in [3 mm]`; one where the code prints one.
    pub fn text(&self) -> String {
        if self.is_metric_only() {
            return say(&self.in_system(System::Metric));
        }
        format!("{} [{}]", say(&self.in_system(System::Inch)), say(&self.in_system(System::Metric)))
    }
}

impl Extent {
    /// The size in words: `2 times thickness`, `the smaller of … and …`.
    pub fn text(&self) -> String {
        let list = |parts: &[Extent]| parts.iter().map(Extent::text).collect::<Vec<_>>().join(" and ");
        match self {
            Extent::Pair(pair) => pair.text(),
            Extent::Times { of, times, plus } => {
                let plus = plus.map(|p| format!(" plus {}", p.text())).unwrap_or_default();
                if *times == 1.0 {
                    return format!("{}{plus}", spaced(of));
                }
                // Enough digits for thirty-second parts of an eighth.
                format!("{} times {}{plus}", round_to(*times, 6), spaced(of))
            }
            Extent::Smaller(parts) => format!("the smaller of {}", list(parts)),
            Extent::Larger(parts) => format!("the larger of {}", list(parts)),
            Extent::Unlimited => "unlimited".to_owned(),
        }
    }
}

impl Fact {
    /// The fact's value in words.
    pub fn text(&self) -> String {
        match self {
            Fact::Word(word) => spaced(word),
            Fact::Words(words) => spaced(&words.join(", ")),
            Fact::Measure(quantity) => say(quantity),
            Fact::Measures(list) => list.iter().map(say).collect::<Vec<_>>().join(", "),
            Fact::Spans(list) => list.iter().map(Span::text).collect::<Vec<_>>().join(", "),
            Fact::Number(n) => n.to_string(),
            Fact::Flag(flag) => if *flag { "yes" } else { "no" }.to_owned(),
            Fact::Day(day) => day.to_string(),
        }
    }
}

impl Facts {
    /// All facts on one line: `length 1/8 in, place face`.
    pub fn text(&self) -> String {
        self.iter()
            .map(|(name, fact)| format!("{} {}", spaced(name), fact.text()))
            .collect::<Vec<_>>()
            .join(", ")
    }
}

impl Condition {
    /// The condition in words.
    pub fn text(&self) -> String {
        let fact = spaced(self.fact);
        match &self.test {
            Test::OneOf(words) => format!("{fact} is {}", spaced(&words.join(" or "))),
            Test::NotOneOf(words) => format!("{fact} is not {}", spaced(&words.join(" or "))),
            Test::Flag(flag) => format!("{fact} is {}", if *flag { "yes" } else { "no" }),
            Test::AnyOf(words) => format!("{fact} include {}", words.join(" or ")),
            Test::AllOf(words) => format!("{fact} include {}", words.join(" and ")),
            Test::NoneOf(words) => format!("{fact} do not include {}", words.join(" or ")),
            Test::Size { over, at_least, at_most, under } => {
                let ends = [("over", over), ("at least", at_least), ("at most", at_most), ("under", under)];
                let said: Vec<String> = ends
                    .iter()
                    .filter_map(|(word, end)| end.as_ref().map(|e| format!("{word} {}", e.text())))
                    .collect();
                format!("{fact} is {}", said.join(" and "))
            }
            Test::Number { at_least, under } => {
                let ends = [("at least", at_least), ("under", under)];
                let said: Vec<String> =
                    ends.iter().filter_map(|(word, end)| end.map(|n| format!("{word} {n}"))).collect();
                format!("{fact} is {}", said.join(" and "))
            }
        }
    }
}

impl Rule {
    /// What the rule demands or grants, one line for each limit; where a shop
    /// tightened it, one more with the code's own.
    pub fn limits_text(&self) -> Vec<String> {
        let mut lines = self.demanded();
        lines.extend(self.tightened_from.iter().map(|codes| format!("shop limit; the code: {codes}")));
        lines
    }

    fn demanded(&self) -> Vec<String> {
        match &self.demand {
            Demand::AtMost { fact, limit, breach } => {
                vec![format!("{} maximum {}; otherwise {}", spaced(fact), limit.text(), said(*breach))]
            }
            Demand::AtLeast { fact, limit, breach } => {
                vec![format!("{} minimum {}; otherwise {}", spaced(fact), limit.text(), said(*breach))]
            }
            Demand::Sum { over, up_to, at_most, breach } => vec![
                format!("counted: discontinuities over {} through {}", over.text(), up_to.text()),
                format!("total {} maximum; otherwise {}", at_most.text(), said(*breach)),
            ],
            Demand::StrapsOver { limit, at_most, of, breach } => vec![format!(
                "of {of} specimens, maximum {at_most} with a discontinuity over {}; otherwise {}",
                limit.text(),
                said(*breach)
            )],
            Demand::Within { fact, stretch, most, breach } => stretch.text(fact, most, *breach),
            Demand::Variable(allowed) => vec![allowed.text()],
            Demand::Flag { fact, wanted, breach } => {
                let (fact, breach) = (spaced(fact), said(*breach));
                let asked = if *wanted { format!("{fact}: yes") } else { format!("no {fact}") };
                vec![format!("{asked}; otherwise {breach}")]
            }
            Demand::Ignore => vec!["not counted".to_owned()],
            Demand::Refuse => vec!["not a test of this code".to_owned()],
            Demand::Doubt { words, over, .. } => vec![doubted(words, over.as_ref())],
            Demand::Says => vec![self.finding.clone()],
            Demand::Words { facet, words, joints, backing } => {
                let only = [joints, backing].map(|list| only(list)).concat();
                vec![format!("{}: {}{only}", spaced(facet.word()), spaced(&words.join(", ")))]
            }
            Demand::Same { facet } => vec![format!("{}: as tested", spaced(facet.word()))],
            Demand::Positions { plate_groove, fillet, pipe_groove, pipe_fillet } => {
                let mut lines = positions(plate_groove, fillet, pipe_groove);
                let rows = pipe_fillet.iter().flatten();
                lines.extend(rows.map(|row| format!("fillet on pipe {}", row.text())));
                lines
            }
            Demand::Range { facet, min, max, min_excluded, max_excluded, .. } => {
                let from = if *min_excluded { "over" } else { "from" };
                let to = if *max_excluded { "under" } else { "to" };
                vec![format!("{} {from} {} {to} {}", spaced(facet.word()), min.text(), max.text())]
            }
            Demand::Months(months, counted) => {
                vec![format!("{months} months, {}; the last day still counts", counted.text())]
            }
            Demand::Ends { months, renewable } => {
                let again = if *renewable { "renewable" } else { "not renewable" };
                vec![format!("{months} months from the test, the last day still counts; {again}")]
            }
            Demand::Counts(sets) => sets.iter().map(Counts::text).collect(),
            Demand::Film { stands: true } => vec!["radiography may replace the mechanical tests".to_owned()],
            Demand::Film { stands: false } => vec!["radiography never replaces the bends".to_owned()],
            Demand::Strap { width, length, thickness, edge_radius } => vec![
                format!("width {}", width.text()),
                format!("length minimum {}", length.text()),
                format!("thickness maximum {}", thickness.text()),
                format!("edge radius maximum {}", edge_radius.text()),
            ],
            Demand::Jig { a, b, c, d } => [("A", a), ("B", b), ("C", c), ("D", d)]
                .iter()
                .map(|(name, size)| format!("{name} {}", size.text()))
                .collect(),
            Demand::Layout { order, angles_deg, discard } => layout(order, angles_deg, discard.as_ref()),
        }
    }
}

/// `, plate groove only`; empty where a grant holds for every one.
fn only(list: &[String]) -> String {
    if list.is_empty() { String::new() } else { format!(", {} only", spaced(&list.join(" or "))) }
}

/// What a doubt is about, as far as it names it.
fn doubted(words: &[String], over: Option<&Extent>) -> String {
    let words = if words.is_empty() { String::new() } else { format!(": {}", spaced(&words.join(", "))) };
    let over = over.map(|size| format!(" over {}", size.text())).unwrap_or_default();
    format!("disputed or unknown{words}{over}")
}

impl Counts {
    /// The set in words: `1 face, 1 root`.
    pub fn text(&self) -> String {
        let counts = [
            (self.tension, "tension"),
            (self.nick_break, "nick-break"),
            (self.face, "face"),
            (self.root, "root"),
            (self.side, "side"),
        ];
        let said: Vec<String> =
            counts.iter().filter(|(n, _)| *n > 0).map(|(n, name)| format!("{n} {name}")).collect();
        said.join(", ")
    }
}

impl PipeRow {
    /// The row in words.
    pub fn text(&self) -> String {
        let mut text = self.words.join(", ");
        if let Some(from) = &self.from {
            let word = if self.from_excluded { "over" } else { "from" };
            text = format!("{text} {word} {}", from.text());
        }
        if !self.backing.is_empty() {
            text = format!("{text}, {} only", self.backing.join(" or "));
        }
        if self.rotated {
            text.push_str(", rotated pipe only");
        }
        text
    }
}

fn positions(plate_groove: &[String], fillet: &[String], pipe_groove: &[PipeRow]) -> Vec<String> {
    let mut lines = Vec::new();
    if !plate_groove.is_empty() {
        lines.push(format!("plate groove {}", plate_groove.join(", ")));
    }
    lines.extend(pipe_groove.iter().map(|row| format!("pipe groove {}", row.text())));
    if !fillet.is_empty() {
        lines.push(format!("fillet {}", fillet.join(", ")));
    }
    lines
}

fn layout(order: &[String], angles_deg: &[f64], discard: Option<&Pair>) -> Vec<String> {
    let place = |(n, kind): (usize, &String)| match angles_deg.get(n) {
        Some(angle) => format!("{kind} at {angle} deg"),
        None => kind.clone(),
    };
    let mut lines = vec![order.iter().enumerate().map(place).collect::<Vec<_>>().join(", ")];
    lines.extend(discard.map(|d| format!("{} discarded at each end", d.text())));
    lines
}
