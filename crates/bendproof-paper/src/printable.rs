//! Makes any text printable with the fonts shipped. It never drops a character
//! silently: one the typeface lacks is printed as its code point, `[4E2D]`.

use std::collections::BTreeSet;
use std::sync::OnceLock;

use serde_json::Value;

use crate::world;

/// Longest run without a space that a line can be asked to hold; longer runs
/// get places to break. Basis: choice, about a third of a sheet's width.
const RUN_MAX: usize = 40;
/// Allows a line break and has no width.
const ZERO_WIDTH_SPACE: char = '\u{200B}';

/// Characters every shipped weight can print.
fn printable() -> &'static BTreeSet<char> {
    static PRINTABLE: OnceLock<BTreeSet<char>> = OnceLock::new();
    PRINTABLE.get_or_init(|| {
        let fonts = world::fonts();
        (' '..='\u{FFFF}')
            .filter(|c| fonts.iter().all(|font| font.info().coverage.contains(u32::from(*c))))
            .collect()
    })
}

fn push(out: &mut String, c: char) {
    match c {
        '\t' | '\n' | '\r' => out.push(' '),
        c if printable().contains(&c) => out.push(c),
        c => out.push_str(&format!("[{:04X}]", c as u32)),
    }
}

/// Text for running print: characters replaced, long runs breakable.
pub(crate) fn words(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut run = 0;
    for c in text.chars() {
        run = if c.is_whitespace() { 0 } else { run + 1 };
        if run > RUN_MAX {
            out.push(ZERO_WIDTH_SPACE);
            run = 1;
        }
        push(&mut out, c);
    }
    out
}

/// SVG source: characters replaced, nothing added.
fn drawing(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    text.chars().for_each(|c| push(&mut out, c));
    out
}

/// Applies [`words`] to every text of a sheet, and the gentler treatment to its
/// drawings.
pub(crate) fn whole(value: &mut Value) {
    match value {
        Value::String(text) => *text = words(text),
        Value::Array(items) => items.iter_mut().for_each(whole),
        Value::Object(fields) => {
            for (name, item) in fields.iter_mut() {
                match item {
                    Value::String(svg) if name == "svg" => *svg = drawing(svg),
                    _ => whole(item),
                }
            }
        }
        _ => {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_the_typeface_has_stays() {
        let text = "3/8 in · 9.5 mm ≤ ±½ × – — “Ñandú” ² ° #import \"x\" *b* $y$ \\ @a <b> [c]";
        assert_eq!(words(text), text);
    }

    #[test]
    fn what_it_lacks_is_named_and_control_characters_cannot_act() {
        assert_eq!(words("焊\u{7}\n😀"), "[710A][0007] [1F600]");
    }

    #[test]
    fn a_long_run_can_break() {
        let long = words(&"x".repeat(100));
        assert_eq!(long.matches(ZERO_WIDTH_SPACE).count(), 2);
        assert_eq!(long.replace(ZERO_WIDTH_SPACE, ""), "x".repeat(100));
    }
}
