//! One argument of a formula: its name, what it accepts and its allowed range.

use bendproof_measure::{Bound, Kind, Quantity};

/// What an argument accepts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Input {
    /// A quantity with its unit.
    Quantity(Kind),
    /// A content in mass %, written `0.18` or `0.18 %`; both mean the same.
    MassPercent,
    /// A place on a pipe: an angle from the top, or `3 o'clock` or `4:30`.
    Clock,
    /// One of a few words, each with other spellings; its value is its place.
    Word(&'static [(&'static str, &'static [&'static str])]),
}

/// Whether an argument must be given.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Need {
    /// Must be given.
    Required,
    /// May be left out; the formula then does without.
    Optional,
    /// May be left out; this text then stands for it.
    Default(&'static str),
}

/// One argument of a formula.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Argument {
    /// Name used to give it.
    pub name: &'static str,
    /// What it accepts.
    pub input: Input,
    /// How to write it.
    pub example: &'static str,
    /// Whether it must be given.
    pub need: Need,
    /// Allowed range with its human name; outside is an error.
    pub bound: Bound,
    /// Range in which the formula is known to hold, SI; outside is a warning.
    pub usual_si: Option<(f64, f64)>,
}

impl Argument {
    /// A required quantity.
    pub(crate) const fn quantity(
        name: &'static str,
        title: &'static str,
        kind: Kind,
        example: &'static str,
        range_si: (f64, f64),
        next_step: &'static str,
    ) -> Self {
        let bound = Bound { name: title, kind, min_si: range_si.0, max_si: range_si.1, next_step, example };
        Self { name, input: Input::Quantity(kind), example, need: Need::Required, bound, usual_si: None }
    }

    /// The same argument accepting something else than a quantity.
    pub(crate) const fn accepting(self, input: Input) -> Self {
        Self { input, ..self }
    }

    /// The same argument under another name.
    pub(crate) const fn named(self, name: &'static str) -> Self {
        Self { name, ..self }
    }

    /// The same argument with a default.
    pub(crate) const fn or(self, text: &'static str) -> Self {
        Self { need: Need::Default(text), ..self }
    }

    /// The same argument, allowed to be absent.
    pub(crate) const fn optional(self) -> Self {
        Self { need: Need::Optional, ..self }
    }

    /// The same argument with the range in which the formula is known to hold.
    pub(crate) const fn usual(self, low_si: f64, high_si: f64) -> Self {
        Self { usual_si: Some((low_si, high_si)), ..self }
    }

    /// The unit or words to write, for a list of arguments.
    pub fn accepts(&self) -> String {
        match self.input {
            Input::Quantity(_) => format!("{}, like {}", self.bound.name, self.example),
            Input::MassPercent => format!("{}, mass %, like {}", self.bound.name, self.example),
            Input::Clock => format!("{}, like {} or 3 o'clock", self.bound.name, self.example),
            Input::Word(words) => {
                let words: Vec<&str> = words.iter().map(|(word, _)| *word).collect();
                format!("{}: {}", self.bound.name, words.join(" or "))
            }
        }
    }

    /// Reads a text as this argument, SI.
    pub(crate) fn read(&self, text: &str) -> Result<f64, String> {
        let quantity = self.quantity_of(text)?;
        let checked = self.bound.check(quantity).map_err(|e| e.to_string())?;
        Ok(checked.si)
    }

    fn quantity_of(&self, text: &str) -> Result<Quantity, String> {
        let parse =
            |kind, text: &str| Quantity::parse(kind, text).map_err(|why| why.like(self.example).to_string());
        match self.input {
            Input::Quantity(kind) => parse(kind, text),
            Input::MassPercent => {
                let text = text.trim();
                parse(Kind::Number, text.strip_suffix('%').unwrap_or(text))
            }
            Input::Clock => match clock_rad(text) {
                Some(angle) => Ok(Quantity::from_si(Kind::Angle, angle)),
                None => parse(Kind::Angle, text),
            },
            Input::Word(words) => word_index(words, text).map(|n| Quantity::from_si(Kind::Number, n)),
        }
    }
}

/// Angle from the top of `3 o'clock` or `4:30`; `None` when it is no time.
fn clock_rad(text: &str) -> Option<f64> {
    let text = text.trim();
    let (hours, minutes) = match text.strip_suffix("o'clock") {
        Some(hours) => (hours.trim(), "0"),
        None => text.split_once(':')?,
    };
    let (hours, minutes): (u32, u32) = (hours.parse().ok()?, minutes.parse().ok()?);
    if hours > 12 || minutes > 59 {
        return None;
    }
    let hours = f64::from(hours % 12) + f64::from(minutes) / 60.0;
    Some(hours / 12.0 * std::f64::consts::TAU)
}

fn word_index(words: &[(&str, &[&str])], text: &str) -> Result<f64, String> {
    let text = text.trim();
    let same = |word: &&str| word.eq_ignore_ascii_case(text);
    let found = words.iter().position(|(word, also)| same(word) || also.iter().any(same));
    // The lists hold a handful of words, so the place is exact as a number.
    found.map(|n| n as f64).ok_or_else(|| {
        let known: Vec<&str> = words.iter().map(|(word, _)| *word).collect();
        format!("`{text}` is not known here; write {}", known.join(" or "))
    })
}

/// The name most like `name`, when one is close enough to be meant.
pub(crate) fn nearest(name: &str, known: impl Iterator<Item = &'static str>) -> Option<&'static str> {
    /// Likeness from which a name is offered; below it the guess would puzzle.
    const LIKENESS_MIN: f64 = 0.7;
    let likeness = |a: &str| strsim::jaro_winkler(&name.to_ascii_lowercase(), a);
    known
        .map(|k| (likeness(k), k))
        .filter(|(like, _)| *like >= LIKENESS_MIN)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, k)| k)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_the_clock() {
        let quarter = std::f64::consts::FRAC_PI_2;
        assert_eq!(clock_rad("3 o'clock"), Some(quarter));
        assert_eq!(clock_rad("12:00"), Some(0.0));
        assert_eq!(clock_rad("4:30"), Some(1.5 * quarter));
        assert_eq!(clock_rad("90 deg"), None);
        assert_eq!(clock_rad("13:00"), None);
    }

    #[test]
    fn offers_only_close_names() {
        let known = || ["thickness", "wire_feed", "travel"].into_iter();
        assert_eq!(nearest("thicknes", known()), Some("thickness"));
        assert_eq!(nearest("qqq", known()), None);
    }
}
