//! The page's tones of heat are those of the drawings, by day and in the booth.

use bendproof_drawing::{Ground, Tones, ramp_css_variables};

/// Bands of the film's scale.
const BANDS: usize = 9;

fn pairs(declarations: &str) -> Vec<(String, String)> {
    let one = |d: &str| d.split_once(':').map(|(name, paint)| (name.to_owned(), paint.to_owned()));
    declarations.split(';').filter(|d| !d.is_empty()).map(|d| one(d).unwrap()).collect()
}

#[test]
fn the_sheet_of_tokens_names_every_tone_of_both_grounds() {
    let tokens = include_str!("../../web/tokens.css");
    let all = |ground| pairs(&(Tones::new(ground).css_variables() + &ramp_css_variables(BANDS, ground)));
    let missing: Vec<String> = all(Ground::Day)
        .into_iter()
        .zip(all(Ground::Booth))
        .map(|((name, day), (_, booth))| format!("  {name}: light-dark({day}, {booth});"))
        .filter(|line| !tokens.contains(line.as_str()))
        .collect();
    assert!(missing.is_empty(), "tokens.css lacks:\n{}", missing.join("\n"));
}
