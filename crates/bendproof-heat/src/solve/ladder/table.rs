//! The convergence tables of the manual: printed, and held to the committed page
//! with a tolerance. `UPDATE=1 cargo test -p bendproof-heat` rewrites it.

#[cfg(test)]
mod tests {
    use std::fmt::Write;
    use std::path::Path;

    use crate::solve::ladder::front::FREEZING;
    use crate::solve::ladder::order::{
        GAUSSIAN, MODE_IN_TIME, STEEL, STEEL_IN_SPACE, STEEL_IN_TIME, Study, order,
    };

    const PAGE: &str = "../../docs/reference/heat-ladder.md";

    /// Of a printed number: other processors and compilers round otherwise, and
    /// an error is a difference of nearly equal numbers.
    const RELATIVE: f64 = 2e-2;
    /// Of a printed order.
    const ABSOLUTE: f64 = 2e-2;

    fn section(text: &mut String, study: &Study) {
        let title = study.title;
        let _ = writeln!(text, "\n## {}{}\n", title[..1].to_uppercase(), &title[1..]);
        let _ = writeln!(text, "| {} | error, {} | order |\n|---|---|---|", study.refined, study.unit);
        let orders = order(&study.rows);
        for (n, (refined, error)) in study.rows.iter().enumerate() {
            let order = n.checked_sub(1).map_or(String::new(), |n| format!("{:.2}", orders[n]));
            let _ = writeln!(text, "| {refined} | {error:.3e} | {order} |");
        }
    }

    fn page() -> String {
        let mut text = String::from("# How fast the heat solver converges\n\n");
        text.push_str("Printed by the tests of `crates/bendproof-heat` that check it; do not edit.\n");
        text.push_str("Errors are roots of mean squares, each row refined twofold from the one above.\n");
        text.push_str("The order is the binary logarithm of the ratio of two errors: 2 is what the scheme promises in space and in time.\n");
        text.push_str("A freezing front stands inside a cell and jumps with it, so that 1 is what may be promised there.\n");
        for study in [&GAUSSIAN, &STEEL, &STEEL_IN_SPACE, &STEEL_IN_TIME, &MODE_IN_TIME, &FREEZING] {
            section(&mut text, study);
        }
        text
    }

    /// Whether two words of a page agree: errors by their share, other numbers
    /// by their distance, anything else to the letter.
    fn agree(a: &str, b: &str) -> bool {
        let (Ok(x), Ok(y)) = (a.parse::<f64>(), b.parse::<f64>()) else { return a == b };
        let slack = if a.contains('e') { RELATIVE * y.abs() } else { ABSOLUTE };
        (x - y).abs() <= slack
    }

    fn pages_agree(a: &str, b: &str) -> bool {
        let (a, b): (Vec<&str>, Vec<&str>) = (a.split_whitespace().collect(), b.split_whitespace().collect());
        a.len() == b.len() && a.iter().zip(&b).all(|(a, b)| agree(a, b))
    }

    #[test]
    fn a_page_that_is_off_is_noticed() {
        let page = "| 1 mm | 7.083e-2 | 1.48 |";
        assert!(pages_agree(page, "| 1 mm | 7.1e-2 | 1.49 |"));
        for other in ["| 1 mm | 7.4e-2 | 1.48 |", "| 1 mm | 7.083e-2 | 1.53 |", "| 1 m | 7.083e-2 | 1.48 |"] {
            assert!(!pages_agree(page, other), "{other}");
        }
    }

    #[test]
    fn the_manual_shows_these_tables() {
        let (path, text) = (Path::new(env!("CARGO_MANIFEST_DIR")).join(PAGE), page());
        println!("{text}");
        let there = std::fs::read_to_string(&path).unwrap_or_default();
        let fits = pages_agree(&there, &text);
        // Written only where it no longer fits, so that round-off moves no digit.
        if !fits && std::env::var_os("UPDATE").is_some() {
            std::fs::write(&path, &text).unwrap();
            return;
        }
        assert!(fits, "{PAGE} is stale; run: UPDATE=1 cargo test -p bendproof-heat --lib");
    }
}
