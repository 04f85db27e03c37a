//! Every printed pair of every rule, asked on both sides of both of its values:
//! a reading at the inch value is on the inch side of it, a reading at the
//! millimetre value on the metric side, and neither is converted into the other.
#![allow(clippy::unwrap_used)]

use bendproof_codes::catalogue::codes;
use bendproof_codes::rule::{
    Allowed, Answer, Change, Condition, Demand, Extent, Fact, Facts, Most, Pair, PipeRow, Rule, Span,
    Stretch, Test,
};
use bendproof_codes::words::Facet;
use bendproof_measure::{Kind, Quantity, System};

/// One printed pair with a rule cut down to nothing but it.
struct Site {
    place: String,
    pair: Pair,
    rule: Rule,
    /// Facts besides the reading itself.
    facts: Facts,
    /// The reading's fact, and how readings of the size make it.
    fact: &'static str,
    readings: Read,
    /// What the rule says of a reading exactly on the value.
    on: Answer,
    /// Where it says something else: just over, or just under.
    beyond: Side,
}

#[derive(Clone, Copy)]
enum Read {
    /// One by itself.
    One,
    /// So many openings of the size.
    Openings(usize),
    /// One thing of the size along a weld.
    Span,
    /// Two points along a weld, the size apart.
    Apart,
}

#[derive(Clone, Copy)]
enum Side {
    Over,
    Under,
}

/// A hundredth of a millimetre, of a MPa and so on: finer than anything is read
/// and far coarser than float rounding.
fn step(pair: &Pair) -> f64 {
    match pair.kind {
        Kind::Length => 1e-5,
        Kind::Pressure => 1e4,
        Kind::Angle => 1e-5,
        Kind::Share => 1e-4,
        // A hundredth of a degree or of a point.
        Kind::Temperature | Kind::Number => 0.01,
        _ => 1e-3,
    }
}

impl Site {
    fn ask(&self, si: f64, system: System) -> Answer {
        let reading = Quantity { si, kind: self.pair.kind, system };
        let point =
            |si| Span { length: Quantity { si: 0.0, ..reading }, start: Some(Quantity { si, ..reading }) };
        let fact = match self.readings {
            Read::One => Fact::Measure(reading),
            Read::Openings(n) => Fact::Measures(vec![reading; n]),
            Read::Span => Fact::Spans(vec![Span { length: reading, start: None }]),
            Read::Apart => Fact::Spans(vec![point(0.0), point(si)]),
        };
        self.rule.ask(&self.facts.with(self.fact, fact).unwrap())
    }

    fn within(&self, si: f64) -> f64 {
        2.0 * si - self.beyond(si)
    }

    fn beyond(&self, si: f64) -> f64 {
        match self.beyond {
            Side::Over => si + step(&self.pair),
            Side::Under => si - step(&self.pair),
        }
    }
}

fn word(facts: &Facts, name: &str, word: &str) -> Facts {
    facts.with(name, Fact::Word(word.to_owned())).unwrap()
}

/// The rule with one condition or demand alone.
fn alone(rule: &Rule, when: Vec<Condition>, demand: Demand) -> Rule {
    Rule { when, demand, ..rule.clone() }
}

/// The printed pairs inside a size, each with facts that make it the one that
/// governs: what the other parts follow is made huge or tiny.
fn governing(size: &Extent, facts: &Facts) -> Vec<(Pair, Facts)> {
    let pushed = |parts: &[Extent], si: f64| {
        let mut facts = facts.clone();
        for of in parts.iter().flat_map(followed) {
            let huge = Quantity { si, kind: Kind::Length, system: System::Metric };
            facts = facts.with(of, Fact::Measure(huge)).unwrap();
        }
        parts.iter().flat_map(|part| governing(part, &facts)).collect()
    };
    match size {
        Extent::Pair(pair) => vec![(*pair, facts.clone())],
        Extent::Smaller(parts) => pushed(parts, 1e3),
        Extent::Larger(parts) => pushed(parts, 1e-9),
        // What is added governs alone where nothing is multiplied.
        Extent::Times { of, plus: Some(plus), .. } => {
            let nothing = Quantity { si: 0.0, kind: plus.kind, system: System::Metric };
            vec![(*plus, facts.with(of, Fact::Measure(nothing)).unwrap())]
        }
        Extent::Times { plus: None, .. } | Extent::Unlimited => Vec::new(),
    }
}

/// The facts a size is a multiple of.
fn followed(size: &Extent) -> Vec<&'static str> {
    match size {
        Extent::Times { of, .. } => vec![*of],
        Extent::Smaller(parts) | Extent::Larger(parts) => parts.iter().flat_map(followed).collect(),
        Extent::Pair(_) | Extent::Unlimited => Vec::new(),
    }
}

fn end(place: &str, rule: Rule, fact: &'static str, size: &Extent, on: Answer, beyond: Side) -> Vec<Site> {
    let listed = rule.cases.iter().any(|case| matches!(case.facts.get(fact), Some(Fact::Spans(_))));
    let site = |(pair, facts)| Site {
        place: format!("{} {place}", rule.id),
        pair,
        rule: rule.clone(),
        facts,
        fact,
        readings: if listed { Read::Span } else { Read::One },
        on,
        beyond,
    };
    governing(size, &Facts::default()).into_iter().map(site).collect()
}

fn conditions(rule: &Rule) -> Vec<Site> {
    let mut sites = Vec::new();
    for condition in &rule.when {
        let Test::Size { over, at_least, at_most, under } = &condition.test else { continue };
        let only = |over: &Option<Extent>,
                    at_least: &Option<Extent>,
                    at_most: &Option<Extent>,
                    under: &Option<Extent>| {
            let (over, at_least) = (over.clone(), at_least.clone());
            Test::Size { over, at_least, at_most: at_most.clone(), under: under.clone() }
        };
        for (place, size, test, holds, beyond) in [
            ("when over", over, only(over, &None, &None, &None), false, Side::Over),
            ("when at least", at_least, only(&None, at_least, &None, &None), true, Side::Under),
            ("when at most", at_most, only(&None, &None, at_most, &None), true, Side::Over),
            ("when under", under, only(&None, &None, &None, under), false, Side::Under),
        ] {
            let Some(size) = size else { continue };
            // A doubt says "fail" where its condition holds and "pass" where not.
            let (joints, backing, words) = Default::default();
            let doubt = Demand::Doubt { facet: None, joints, backing, words, over: None };
            let rule = alone(rule, vec![Condition { fact: condition.fact, test }], doubt);
            let on = if holds { Answer::Fail } else { Answer::Pass };
            sites.extend(end(place, rule, condition.fact, size, on, beyond));
        }
    }
    sites
}

/// Readings that are counted and add to more than the limit.
fn enough(of: &Pair, at_most: &Pair) -> usize {
    (at_most.inch_si.max(at_most.metric_si) / of.inch_si.min(of.metric_si)) as usize + 2
}

fn sum(rule: &Rule, over: &Pair, up_to: &Pair, at_most: &Pair) -> Vec<Site> {
    let bare = alone(rule, Vec::new(), rule.demand.clone());
    let site = |place: &str, pair: Pair, rule: Rule, n, on, beyond| Site {
        place: format!("{} {place}", rule.id),
        pair,
        rule,
        facts: Facts::default(),
        fact: "openings",
        readings: Read::Openings(n),
        on,
        beyond,
    };
    // One opening of the whole sum, in a rule that counts openings so long.
    let long = Pair { inch_si: 1.0, metric_si: 1.0, kind: at_most.kind };
    let Demand::Sum { breach, .. } = rule.demand else { return Vec::new() };
    let whole = Demand::Sum { over: *over, up_to: long, at_most: *at_most, breach };
    vec![
        site("counted over", *over, bare.clone(), enough(over, at_most), Answer::Pass, Side::Over),
        site("counted up to", *up_to, bare, enough(up_to, at_most), Answer::Fail, Side::Over),
        site("sum", *at_most, alone(rule, Vec::new(), whole), 1, Answer::Pass, Side::Over),
    ]
}

/// The size counted, the stretch and the sum, each alone.
fn within(rule: &Rule, fact: &'static str, stretch: &Stretch, most: &Most) -> Vec<Site> {
    let Demand::Within { breach, .. } = rule.demand else { return Vec::new() };
    let only = |over: Option<Extent>, length: Option<Extent>, most: Most| {
        let stretch = Stretch { over, length, apart: None };
        alone(rule, Vec::new(), Demand::Within { fact, stretch, most, breach })
    };
    let mut sites = Vec::new();
    if let Some(over) = &stretch.over {
        let counting = only(Some(over.clone()), None, Most::Count(0));
        sites.extend(end("counted over", counting, fact, over, Answer::Pass, Side::Over));
    }
    if let Some(length) = &stretch.length {
        let one = only(None, Some(length.clone()), Most::Count(1));
        let apart = end("stretch", one, fact, length, Answer::Fail, Side::Over);
        sites.extend(apart.into_iter().map(|site| Site { readings: Read::Apart, ..site }));
    }
    if let Most::Sum(sum) = most {
        sites.extend(end("sum", only(None, None, most.clone()), fact, sum, Answer::Pass, Side::Over));
    }
    sites
}

fn pipe_row(rule: &Rule, joint: &str, row: &PipeRow) -> Option<Site> {
    let rows = vec![row.clone()];
    let (plate_groove, fillet) = (Vec::new(), Vec::new());
    let (pipe_groove, pipe_fillet) = if joint == "fillet" { (Vec::new(), Some(rows)) } else { (rows, None) };
    let demand = Demand::Positions { plate_groove, fillet, pipe_groove, pipe_fillet };
    let mut facts = word(&Facts::default(), "ask_joint", joint);
    facts = word(&facts, "ask_position", row.words.first()?);
    facts = facts.with("ask_rotated", Fact::Flag(row.rotated))?;
    if let Some(backing) = row.backing.first() {
        facts = word(&facts, "ask_backing", backing);
    }
    let (on, beyond) =
        if row.from_excluded { (Answer::Fail, Side::Over) } else { (Answer::Pass, Side::Under) };
    Some(Site {
        place: format!("{} pipe row", rule.id),
        pair: row.from?,
        rule: alone(rule, Vec::new(), demand),
        facts,
        fact: "ask_diameter",
        readings: Read::One,
        on,
        beyond,
    })
}

/// The ends of a variable's range, one at a time.
fn variable(rule: &Rule, allowed: &Allowed) -> Vec<Site> {
    let Change::Within { min, max, min_excluded, max_excluded } = allowed.change.clone() else {
        return Vec::new();
    };
    let only = |min: Option<Extent>, max: Option<Extent>| {
        let change = Change::Within { min, max, min_excluded, max_excluded };
        alone(rule, Vec::new(), Demand::Variable(Allowed { change, ..allowed.clone() }))
    };
    let on = |excluded: bool| if excluded { Answer::Fail } else { Answer::Pass };
    let mut sites = Vec::new();
    if let Some(min) = &min {
        let side = if min_excluded { Side::Over } else { Side::Under };
        let rule = only(Some(min.clone()), None);
        sites.extend(end("variable from", rule, allowed.subject, min, on(min_excluded), side));
    }
    if let Some(max) = &max {
        let side = if max_excluded { Side::Under } else { Side::Over };
        let rule = only(None, Some(max.clone()));
        sites.extend(end("variable to", rule, allowed.subject, max, on(max_excluded), side));
    }
    sites
}

fn demanded(rule: &Rule) -> Vec<Site> {
    let bare = || alone(rule, Vec::new(), rule.demand.clone());
    let top = |place: &str, fact, size: &Extent| end(place, bare(), fact, size, Answer::Pass, Side::Over);
    let bottom = |place: &str, fact, size: &Extent| end(place, bare(), fact, size, Answer::Pass, Side::Under);
    match &rule.demand {
        Demand::AtMost { fact, limit, .. } => top("at most", fact, limit),
        Demand::AtLeast { fact, limit, .. } => bottom("at least", fact, limit),
        Demand::Sum { over, up_to, at_most, .. } => sum(rule, over, up_to, at_most),
        Demand::Within { fact, stretch, most, .. } => within(rule, fact, stretch, most),
        Demand::StrapsOver { limit, of, .. } => vec![Site {
            place: format!("{} straps over", rule.id),
            pair: *limit,
            rule: bare(),
            facts: Facts::default(),
            fact: "longest_openings",
            readings: Read::Openings(*of as usize),
            on: Answer::Pass,
            beyond: Side::Over,
        }],
        Demand::Range { facet, min, max, min_excluded, max_excluded, .. } => {
            let asked = match facet {
                Facet::Thickness => "ask_thickness",
                Facet::Diameter => "ask_diameter",
                other => panic!("{other} has no sizes"),
            };
            // One end at a time; the other is opened.
            let zero = Extent::Pair(Pair { inch_si: 0.0, metric_si: 0.0, kind: Kind::Length });
            let range = |min: &Extent, max: &Extent| Demand::Range {
                facet: *facet,
                min: min.clone(),
                max: max.clone(),
                min_excluded: *min_excluded,
                max_excluded: *max_excluded,
                joints: Vec::new(),
            };
            let low = alone(rule, Vec::new(), range(min, &Extent::Unlimited));
            let high = alone(rule, Vec::new(), range(&zero, max));
            let on = |excluded: bool| if excluded { Answer::Fail } else { Answer::Pass };
            let beyond_low = if *min_excluded { Side::Over } else { Side::Under };
            let beyond_high = if *max_excluded { Side::Under } else { Side::Over };
            let mut sites = end("range from", low, asked, min, on(*min_excluded), beyond_low);
            sites.extend(end("range to", high, asked, max, on(*max_excluded), beyond_high));
            sites
        }
        Demand::Variable(allowed) => variable(rule, allowed),
        Demand::Positions { pipe_groove, pipe_fillet, .. } => {
            let grooves = pipe_groove.iter().filter_map(|row| pipe_row(rule, "pipe_groove", row));
            let fillets = pipe_fillet.iter().flatten().filter_map(|row| pipe_row(rule, "fillet", row));
            grooves.chain(fillets).collect()
        }
        Demand::Strap { width, length, thickness, edge_radius } => {
            // Each size alone: the others are opened so that they always hold.
            let open = Extent::Pair(Pair { inch_si: 0.0, metric_si: 0.0, kind: Kind::Length });
            let only = |length: &Extent, thickness: &Extent, edge_radius: &Extent| {
                let (width, length) = (width.clone(), length.clone());
                let (thickness, edge_radius) = (thickness.clone(), edge_radius.clone());
                alone(rule, Vec::new(), Demand::Strap { width, length, thickness, edge_radius })
            };
            let free = Extent::Unlimited;
            let some = |facts: &Facts, name: &str| {
                let any = Quantity { si: 1e-3, kind: Kind::Length, system: System::Metric };
                facts.with(name, Fact::Measure(any)).unwrap()
            };
            let mut sites =
                end("length", only(length, &free, &free), "strap_length", length, Answer::Pass, Side::Under);
            sites.extend(end(
                "thickness",
                only(&open, thickness, &free),
                "strap_thickness",
                thickness,
                Answer::Pass,
                Side::Over,
            ));
            sites.extend(end(
                "edge",
                only(&open, &free, edge_radius),
                "edge_radius",
                edge_radius,
                Answer::Pass,
                Side::Over,
            ));
            for site in &mut sites {
                for name in ["strap_length", "strap_thickness", "edge_radius"] {
                    site.facts = some(&site.facts, name);
                }
            }
            sites
        }
        Demand::Jig { a, .. } => top("former", "former", a),
        _ => Vec::new(),
    }
}

fn is_open(pair: &Pair) -> bool {
    // What is taken off is a limit too.
    pair.inch_si == 0.0 && pair.metric_si == 0.0
}

/// Every pair a fact is compared with, in every rule of every code.
fn sites() -> Vec<Site> {
    let rules = codes().unwrap().iter().flat_map(|code| &code.rules);
    let all = rules.flat_map(|rule| conditions(rule).into_iter().chain(demanded(rule)));
    all.filter(|site| !is_open(&site.pair)).collect()
}

/// Pairs asked, and of them those whose two values differ by a step: 520 and 480
/// were counted when this was written. A floor, so that the test cannot come to
/// pass by finding nothing.
const PAIRS_LEAST: usize = 520;
const DIFFERING_LEAST: usize = 480;

fn pairs_in(size: &Extent) -> Vec<Pair> {
    match size {
        Extent::Pair(pair) => vec![*pair],
        Extent::Times { plus, .. } => plus.iter().copied().collect(),
        Extent::Smaller(parts) | Extent::Larger(parts) => parts.iter().flat_map(pairs_in).collect(),
        Extent::Unlimited => Vec::new(),
    }
}

/// Sizes that are stated and not compared with a fact: a strap's nominal width and
/// where it lies, the jig's radius and gap.
fn read_alone(rule: &Rule) -> Vec<Pair> {
    match &rule.demand {
        Demand::Strap { width, .. } => pairs_in(width),
        Demand::Jig { b, c, d, .. } => [b, c, d].into_iter().flat_map(pairs_in).collect(),
        Demand::Layout { discard, .. } => discard.iter().copied().collect(),
        _ => Vec::new(),
    }
}

/// Every pair the rules hold is either asked here or only stated: a demand of a
/// new shape that nobody taught to this test makes it fail.
#[test]
fn no_pair_is_passed_over() {
    let rules = || codes().unwrap().iter().flat_map(|code| &code.rules);
    let held: usize = rules()
        .map(|rule| {
            let text = format!("{:?} {:?}", rule.when, rule.demand);
            text.matches("inch_si: ").count() - text.matches("inch_si: 0.0, metric_si: 0.0,").count()
        })
        .sum();
    assert_eq!(sites().len() + rules().flat_map(read_alone).count(), held);
}

#[test]
fn sizes_that_are_only_printed_have_both_values() {
    let answer: Vec<Pair> =
        codes().unwrap().iter().flat_map(|code| &code.rules).flat_map(read_alone).collect();
    assert!(answer.iter().all(|pair| pair.inch_si > 0.0 && pair.metric_si > 0.0));
    assert!(answer.len() >= 80, "{}", answer.len());
}

#[test]
fn each_pair_divides_where_it_is_printed_in_both_systems() {
    let sites = sites();
    for site in &sites {
        for system in [System::Inch, System::Metric] {
            let limit = site.pair.in_system(system).si;
            let place = format!("{} {}", site.place, site.pair.text());
            assert_eq!(site.ask(limit, system), site.on, "{place} in {system:?}, exactly on it");
            let beyond = site.ask(site.beyond(limit), system);
            assert!(matches!(beyond, Answer::Pass | Answer::Fail), "{place} in {system:?}: {beyond:?}");
            assert_ne!(beyond, site.on, "{place} in {system:?}, just beyond it");
        }
    }
    assert!(sites.len() >= PAIRS_LEAST, "{}", sites.len());
}

/// A reading is held to the value of its own system: at the other system's value
/// it is judged by how that value lies to its own.
#[test]
fn no_pair_is_converted_into_its_other_system() {
    let mut differing = 0;
    for site in sites() {
        let (inch, metric) = (site.pair.inch_si, site.pair.metric_si);
        if (inch - metric).abs() < step(&site.pair) {
            continue;
        }
        differing += 1;
        for (system, own, other) in [(System::Inch, inch, metric), (System::Metric, metric, inch)] {
            let is_beyond = match site.beyond {
                Side::Over => other > own,
                Side::Under => other < own,
            };
            let place = format!("{} {} in {system:?}", site.place, site.pair.text());
            let near = if is_beyond { site.beyond(own) } else { site.within(own) };
            assert_eq!(site.ask(other, system), site.ask(near, system), "{place}");
        }
    }
    assert!(differing >= DIFFERING_LEAST, "{differing}");
}
