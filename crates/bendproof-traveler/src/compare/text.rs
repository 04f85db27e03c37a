//! A comparison as plain text.

use bendproof_forecast::{Item, Unit};
use bendproof_weld::basis::Basis;

use super::coupons::{AnswerPair, Compared, item_text};
use crate::origin::{Origin, source_rows};
use crate::window::margin_text;

/// Rows of three columns: what, first coupon, second coupon. A row that differs
/// starts with `*`.
pub fn compare_rows(c: &Compared) -> Vec<[String; 3]> {
    let mark = |differs: bool, label: &str| format!("{} {label}", if differs { '*' } else { ' ' });
    let gap = || [String::new(), String::new(), String::new()];
    let head = |text: &str| [text.to_owned(), String::new(), String::new()];
    let mut out = vec![
        ["  coupon".to_owned(), c.sides[0].number.clone(), c.sides[1].number.clone()],
        ["".to_owned(), c.sides[0].title.clone(), c.sides[1].title.clone()],
        gap(),
        head("inputs that differ"),
    ];
    let or_none = |text: &str| if text.is_empty() { "–".to_owned() } else { text.to_owned() };
    out.extend(c.inputs.iter().map(|d| [mark(true, &d.label), or_none(&d.texts[0]), or_none(&d.texts[1])]));
    if c.inputs.is_empty() {
        out.push(head("  none"));
    }
    out.extend([gap(), head("answers")]);
    let text = |p: &AnswerPair, i: usize| item_text(p.items[i].as_ref(), c.system());
    out.extend(c.answers.iter().map(|p| [mark(p.words_differ(), &p.name), text(p, 0), text(p, 1)]));
    out.extend([gap(), head("numbers")]);
    out.extend(
        c.figures
            .iter()
            .map(|f| [mark(f.texts[0] != f.texts[1], &f.label), or_none(&f.texts[0]), or_none(&f.texts[1])]),
    );
    out
}

/// Why the words differ, a few lines an answer; one line when none does.
pub fn compare_reasons(c: &Compared) -> Vec<String> {
    let mut out = Vec::new();
    for pair in c.answers.iter().filter(|p| p.words_differ()) {
        let word = |i: usize| match &pair.items[i] {
            Some(item) => item.verdict.word().replace('_', " "),
            None => "not asked".to_owned(),
        };
        let Some(difference) = pair.difference() else {
            let why = pair.items.iter().flatten().find(|i| i.margin.is_none()).map(|i| i.driver.as_str());
            out.push(format!(
                "{}: {} against {}; {}",
                pair.name,
                word(0),
                word(1),
                why.unwrap_or("no such pass")
            ));
            continue;
        };
        out.push(format!(
            "{}: {} against {}, {} apart",
            pair.name,
            word(0),
            word(1),
            margin_text(difference, pair.unit(), true, c.system())
        ));
        for share in &pair.shares {
            out.push(format!(
                "  {} alone makes {}",
                share.label,
                margin_text(share.margin, pair.unit(), true, c.system())
            ));
        }
        if let Some(left) = pair.together {
            out.push(format!(
                "  all of them together {} more",
                margin_text(left, pair.unit(), true, c.system())
            ));
        }
        out.extend(drivers(pair));
    }
    if out.is_empty() {
        out.push("no word differs".to_owned());
    }
    out
}

fn drivers(pair: &AnswerPair) -> Option<String> {
    let [Some(a), Some(b)] = &pair.items else { return None };
    let driver = |i: &Item| i.driver.clone();
    Some(format!("  most uncertain because of {} and {}", driver(a), driver(b)))
        .filter(|_| !a.driver.is_empty() && !b.driver.is_empty())
}

/// Millimetres for metres, as a margin is printed.
pub fn scale(unit: Unit) -> f64 {
    if unit == Unit::Metre { 1e3 } else { 1.0 }
}

/// Where the shares of a comparison come from.
pub fn of_shares() -> Origin {
    let source =
        "the first coupon forecast again with one input of the second; together is what all shares leave";
    Origin::of("shares", "what one input makes", source, Basis::Choice)
}

/// Where everything compared comes from, each kind once.
pub fn compare_sources(c: &Compared) -> Vec<[String; 3]> {
    let items = c.answers.iter().flat_map(|p| p.items.iter().flatten().map(|i| (p.name.as_str(), i)));
    let items = items.map(|(name, i)| [name, i.basis.word(), i.source].map(str::to_owned));
    let figures = c.figures.iter().flat_map(|f| f.provenance.iter().flatten().map(|p| (&f.label, p)));
    let figures = figures.map(|(label, p)| [label.clone(), p.basis.clone(), p.source.clone()]);
    let mut out: Vec<[String; 3]> = Vec::new();
    for row in items.chain(figures).chain(source_rows(&[of_shares()])) {
        if !out.contains(&row) {
            out.push(row);
        }
    }
    out
}

/// What differs, counted.
pub fn compare_summary(c: &Compared) -> String {
    let words = c.answers.iter().filter(|p| p.words_differ()).count();
    format!("{} inputs differ, and {words} of {} words.", c.inputs.len(), c.answers.len())
}
