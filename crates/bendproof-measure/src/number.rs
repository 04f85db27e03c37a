//! Numbers as people write them: decimals, fractions and mixed fractions.

/// Why a text is not a number.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NumberError {
    /// Nothing was written.
    #[error("not a number")]
    Empty,
    /// The text is not a decimal, a fraction or a mixed fraction.
    #[error("`{0}` is not a number; write 1.5, 3/32 or 1-1/2")]
    NotANumber(String),
    /// A comma that parts thousands or decimals.
    #[error("`{0}` may be read in two ways; write it without the comma, or with a point for decimals")]
    Ambiguous(String),
    /// A fraction whose bottom is zero.
    #[error("`{0}` divides by zero")]
    ZeroDenominator(String),
    /// The number is infinite or not a number.
    #[error("`{0}` is not a finite number")]
    NotFinite(String),
}

/// Vulgar fraction characters found on keyboards and in pasted text.
const VULGAR: [(char, f64); 9] = [
    ('½', 1.0 / 2.0),
    ('¼', 1.0 / 4.0),
    ('¾', 3.0 / 4.0),
    ('⅛', 1.0 / 8.0),
    ('⅜', 3.0 / 8.0),
    ('⅝', 5.0 / 8.0),
    ('⅞', 7.0 / 8.0),
    ('⅓', 1.0 / 3.0),
    ('⅔', 2.0 / 3.0),
];

/// Reads `1.5`, `1,5`, `3/32`, `1-1/2`, `1 1/2`, `1½`, `5.0e6` or `-0.5`.
///
/// # Errors
/// [`NumberError`] names the text that is not a finite number.
///
/// # Examples
/// ```
/// use bendproof_measure::parse_number;
/// assert_eq!(parse_number("1-1/2"), Ok(1.5));
/// assert_eq!(parse_number("3/32"), Ok(0.09375));
/// ```
pub fn parse_number(text: &str) -> Result<f64, NumberError> {
    let text = text.trim();
    if text.is_empty() {
        return Err(NumberError::Empty);
    }
    let (negative, magnitude) = match text.strip_prefix(['-', '−']) {
        Some(rest) => (true, rest.trim_start()),
        None => (false, text.strip_prefix('+').unwrap_or(text)),
    };
    let value = unsigned(magnitude, text)?;
    if !value.is_finite() {
        return Err(NumberError::NotFinite(text.to_owned()));
    }
    Ok(if negative { -value } else { value })
}

fn unsigned(magnitude: &str, whole_text: &str) -> Result<f64, NumberError> {
    if let Some(value) = vulgar(magnitude) {
        return value.ok_or_else(|| NumberError::NotANumber(whole_text.to_owned()));
    }
    let Some((above, below)) = magnitude.split_once('/') else {
        return decimal(magnitude, whole_text);
    };
    // The whole part of a mixed fraction is parted by a hyphen or a space.
    let (whole, top) = match above.trim().rsplit_once(['-', ' ']) {
        Some((whole, top)) => (digits(whole.trim(), whole_text)?, top),
        None => (0.0, above),
    };
    let top = digits(top.trim(), whole_text)?;
    let bottom = digits(below.trim(), whole_text)?;
    if bottom == 0.0 {
        return Err(NumberError::ZeroDenominator(whole_text.to_owned()));
    }
    Ok(whole + top / bottom)
}

/// `None` when no vulgar character ends the text; `Some(None)` when the part
/// before it is not a whole number.
fn vulgar(text: &str) -> Option<Option<f64>> {
    let last = text.chars().next_back()?;
    let (_, fraction) = VULGAR.iter().find(|(c, _)| *c == last)?;
    let before = text.trim_end_matches(last).trim_end_matches(['-', ' ']).trim();
    if before.is_empty() {
        return Some(Some(*fraction));
    }
    Some(digits(before, text).ok().map(|whole| whole + fraction))
}

fn digits(text: &str, whole_text: &str) -> Result<f64, NumberError> {
    if text.is_empty() || !text.bytes().all(|b| b.is_ascii_digit()) {
        return Err(NumberError::NotANumber(whole_text.to_owned()));
    }
    decimal(text, whole_text)
}

fn decimal(text: &str, whole_text: &str) -> Result<f64, NumberError> {
    // `f64::from_str` also accepts "inf" and "nan"; only digits may start here.
    if !text.starts_with(|c: char| c.is_ascii_digit() || ['.', ','].contains(&c)) {
        return Err(NumberError::NotANumber(whole_text.to_owned()));
    }
    let not_a_number = |_| NumberError::NotANumber(whole_text.to_owned());
    match text.split_once(',') {
        // Three digits behind a comma are thousands to one reader, thousandths to another.
        Some((whole, parts)) if parts.len() == 3 && !whole.is_empty() && whole != "0" => {
            Err(NumberError::Ambiguous(whole_text.to_owned()))
        }
        Some((whole, parts)) if !text.contains('.') => {
            format!("{whole}.{parts}").parse().map_err(not_a_number)
        }
        _ => text.parse().map_err(not_a_number),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_what_a_welder_writes() {
        for (text, value) in [
            ("1-1/2", 1.5),
            ("1 1/2", 1.5),
            ("1.5", 1.5),
            (".035", 0.035),
            ("3/32", 0.09375),
            ("7/64", 0.109375),
            ("1½", 1.5),
            ("⅜", 0.375),
            ("2 ¼", 2.25),
            ("-1/8", -0.125),
            ("5.0e6", 5.0e6),
            ("0", 0.0),
            ("1,5", 1.5),
            ("0,375", 0.375),
            (",035", 0.035),
        ] {
            assert_eq!(parse_number(text), Ok(value), "{text}");
        }
    }

    #[test]
    fn refuses_what_is_not_a_number() {
        for text in [
            "", " ", "nan", "inf", "1/0", "1//2", "1/2/3", "one", "1.5/2", "--1", "1e999", "/2", "1-", "-",
            "½x", "x½", "1,500", "1,5,5", "1,500.5", ",",
        ] {
            assert!(parse_number(text).is_err(), "{text} was accepted");
        }
    }
}
