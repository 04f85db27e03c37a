//! A quantity as it was said: value, kind and the system it was said in.

use crate::unit::{Kind, System, Unit, unit_named, unit_of_kind};
use crate::{NumberError, QUANTITY_TEXT_MAX_BYTES, parse_number};

/// A value in SI with what it measures and the system it was written in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Quantity {
    /// Value in the SI unit of `kind`.
    pub si: f64,
    /// What is measured.
    pub kind: Kind,
    /// Inch, metric or neither, as written.
    pub system: System,
}

/// Why a text is not a quantity of the wanted kind.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum MeasureError {
    /// The number part cannot be read.
    #[error(transparent)]
    Number(#[from] NumberError),
    /// No unit follows the number.
    #[error("`{text}` has no unit; enter {wanted} as {example}")]
    MissingUnit {
        /// The text as given.
        text: String,
        /// What was wanted, with its article.
        wanted: &'static str,
        /// How to write it.
        example: &'static str,
    },
    /// The unit is not one the program knows.
    #[error("`{unit}` is not a known unit; enter {wanted} as {example}")]
    UnknownUnit {
        /// The unit as given.
        unit: String,
        /// What was wanted, with its article.
        wanted: &'static str,
        /// How to write it.
        example: &'static str,
    },
    /// The unit measures something else.
    #[error("`{text}` is {got}, not {wanted}; enter it as {example}")]
    WrongKind {
        /// The text as given.
        text: String,
        /// What the unit measures, with its article.
        got: &'static str,
        /// What was wanted, with its article.
        wanted: &'static str,
        /// How to write it.
        example: &'static str,
    },
    /// The text is longer than anyone writes.
    #[error("the text is longer than {QUANTITY_TEXT_MAX_BYTES} bytes; enter one number and its unit")]
    TooLong,
}

impl MeasureError {
    /// The same with the example of the field that was read, in place of one for
    /// anything of its kind.
    pub fn like(self, example: &'static str) -> Self {
        match self {
            Self::MissingUnit { text, wanted, .. } => Self::MissingUnit { text, wanted, example },
            Self::UnknownUnit { unit, wanted, .. } => Self::UnknownUnit { unit, wanted, example },
            Self::WrongKind { text, got, wanted, .. } => Self::WrongKind { text, got, wanted, example },
            Self::Number(_) | Self::TooLong => self,
        }
    }
}

impl Quantity {
    /// Reads `text` as a quantity of `kind`.
    ///
    /// A unit is required for every kind but [`Kind::Number`] and [`Kind::Share`].
    ///
    /// # Errors
    /// [`MeasureError`] says what is missing and how to write it.
    ///
    /// # Examples
    /// ```
    /// use bendproof_measure::{Kind, Quantity};
    /// let gap = Quantity::parse(Kind::Length, "1/8 in").unwrap();
    /// assert!((gap.si - 0.003175).abs() < 1e-12);
    /// assert!(Quantity::parse(Kind::Length, "1/8").is_err());
    /// ```
    pub fn parse(kind: Kind, text: &str) -> Result<Self, MeasureError> {
        let text = text.trim();
        if text.len() > QUANTITY_TEXT_MAX_BYTES {
            return Err(MeasureError::TooLong);
        }
        let (number, unit_text) = split_unit(text);
        let value = parse_number(number)?;
        if unit_text.is_empty() {
            return bare(kind, value, text);
        }
        let unit = wanted_unit(kind, unit_text, text)?;
        Ok(Self { si: value * unit.si_per_unit + unit.si_at_zero, kind, system: unit.system })
    }

    /// A quantity already in SI, counted as metric.
    pub fn from_si(kind: Kind, si: f64) -> Self {
        Self { si, kind, system: System::Metric }
    }

    /// The value in the unit called `name`, or `None` when that unit measures
    /// something else or is unknown.
    pub fn in_unit(&self, name: &str) -> Option<f64> {
        let unit = unit_of_kind(name, self.kind)?;
        Some((self.si - unit.si_at_zero) / unit.si_per_unit)
    }
}

/// A number said alone in a box of `unit`: `3/8` in inches is `3/8 in`. `None`
/// where the text has a unit of its own or is no number.
pub fn said_in(text: &str, unit: &str) -> Option<String> {
    let text = text.trim();
    parse_number(text).is_ok().then(|| format!("{text} {unit}"))
}

/// A number without a unit is accepted only where no unit exists.
fn bare(kind: Kind, value: f64, text: &str) -> Result<Quantity, MeasureError> {
    match kind {
        Kind::Number | Kind::Share => Ok(Quantity { si: value, kind, system: System::Neither }),
        _ => {
            let (wanted, example) = kind.described();
            Err(MeasureError::MissingUnit { text: text.to_owned(), wanted, example })
        }
    }
}

fn wanted_unit(kind: Kind, name: &str, text: &str) -> Result<&'static Unit, MeasureError> {
    let (wanted, example) = kind.described();
    if let Some(unit) = unit_of_kind(name, kind) {
        return Ok(unit);
    }
    let Some(unit) = unit_named(name) else {
        return Err(MeasureError::UnknownUnit { unit: name.to_owned(), wanted, example });
    };
    let (got, _) = unit.kind.described();
    Err(MeasureError::WrongKind { text: text.to_owned(), got, wanted, example })
}

/// Parts `3/32"` into `3/32` and `"`. The number ends where the first character
/// that cannot belong to one begins; `e` counts as part of a number only
/// between a digit and an exponent, so `5e6 J/m` reads as people mean it.
pub(crate) fn split_unit(text: &str) -> (&str, &str) {
    let bytes = text.as_bytes();
    let end = text
        .char_indices()
        .find(|&(at, c)| !belongs_to_number(bytes, at, c))
        .map_or(text.len(), |(at, _)| at);
    (text[..end].trim(), text[end..].trim())
}

fn belongs_to_number(bytes: &[u8], at: usize, c: char) -> bool {
    let exponent = || {
        let digit_before = at > 0 && (bytes[at - 1].is_ascii_digit() || bytes[at - 1] == b'.');
        let digit_after = match bytes.get(at + 1) {
            Some(b'-' | b'+') => bytes.get(at + 2).is_some_and(u8::is_ascii_digit),
            Some(b) => b.is_ascii_digit(),
            None => false,
        };
        digit_before && digit_after
    };
    c.is_ascii_digit()
        || matches!(
            c,
            '.' | ',' | '/' | '-' | '−' | '+' | ' ' | '½' | '¼' | '¾' | '⅛' | '⅜' | '⅝' | '⅞' | '⅓' | '⅔'
        )
        || (matches!(c, 'e' | 'E') && exponent())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(kind: Kind, text: &str) -> f64 {
        Quantity::parse(kind, text).unwrap().si
    }

    #[test]
    fn a_number_alone_is_taken_in_the_unit_of_its_box() {
        use crate::unit::unit_of_box;
        for (kind, standing, system, unit) in [
            (Kind::Length, "", System::Inch, Some("in")),
            (Kind::Length, "", System::Metric, Some("mm")),
            (Kind::Length, "4 mm", System::Inch, Some("mm")),
            (Kind::Length, "3/32\"", System::Metric, Some("\"")),
            (Kind::Length, "3/8", System::Inch, Some("in")),
            (Kind::Length, "18 V", System::Inch, Some("in")),
            (Kind::Temperature, "70 F", System::Metric, Some("F")),
            (Kind::Voltage, "", System::Metric, Some("V")),
            (Kind::Share, "93 %", System::Inch, None),
            (Kind::Number, "", System::Inch, None),
        ] {
            assert_eq!(unit_of_box(kind, standing, system), unit, "{kind:?} {standing}");
        }
        assert_eq!(said_in(" 3/8 ", "in").as_deref(), Some("3/8 in"));
        for (text, si) in [("3/8", 0.009525), (".375", 0.009525), ("1-1/2", 0.0381), ("0", 0.0)] {
            let said = said_in(text, "in").unwrap();
            assert!((read(Kind::Length, &said) - si).abs() < 1e-12, "{said}");
        }
        for text in ["4 mm", "", "nan", "3/8 in", "about 3"] {
            assert_eq!(said_in(text, "in"), None, "{text}");
        }
    }

    #[test]
    fn every_unit_of_a_box_is_one_of_its_kind() {
        use crate::unit::unit_of_box;
        let said =
            [Kind::Length, Kind::Speed, Kind::Temperature, Kind::TemperatureStep, Kind::Flow, Kind::Pressure];
        let rest = [Kind::Force, Kind::Mass, Kind::Angle, Kind::Voltage, Kind::Current, Kind::Time];
        for kind in said.into_iter().chain(rest) {
            for system in [System::Inch, System::Metric, System::Neither] {
                let text = said_in("1", unit_of_box(kind, "", system).unwrap()).unwrap();
                assert!(Quantity::parse(kind, &text).is_ok(), "{kind:?} {text}");
            }
        }
    }

    #[test]
    fn reads_each_kind_in_both_systems() {
        for (kind, text, si) in [
            (Kind::Length, "3/8 in", 0.009525),
            (Kind::Length, "3/32\"", 0.00238125),
            (Kind::Length, "4mm", 0.004),
            (Kind::Length, "1-1/2 in", 0.0381),
            (Kind::Speed, "210 in/min", 0.0889),
            (Kind::Speed, "210 ipm", 0.0889),
            (Kind::Temperature, "250 F", 394.261_111_111),
            (Kind::Temperature, "-40 C", 233.15),
            (Kind::TemperatureStep, "45 F", 25.0),
            (Kind::TemperatureStep, "15 C", 15.0),
            (Kind::EnergyPerLength, "0.6 kJ/mm", 600_000.0),
            (Kind::Share, "93 %", 0.93),
            (Kind::Share, "0.93", 0.93),
            (Kind::EnergyPerLength, "5e6 J/m", 5e6),
            (Kind::Hydrogen, "5 ml/100g", 5e-5),
            (Kind::VolumetricHeat, "5.0e6 J/m^3/K", 5e6),
            (Kind::VolumetricHeat, "5 MJ/(m³·K)", 5e6),
            (Kind::HeatTransfer, "15 W/m^2/K", 15.0),
            (Kind::Density, "7850 kg/m^3", 7850.0),
            (Kind::Density, "7.85 g/cm3", 7850.0),
            (Kind::SpecificEnergy, "270 kJ/kg", 270e3),
            (Kind::SpecificHeat, "0.65 kJ/kg/K", 650.0),
        ] {
            assert!((read(kind, text) - si).abs() <= 1e-9 * si.abs(), "{text}");
        }
    }

    #[test]
    fn never_guesses_a_unit() {
        let missing = Quantity::parse(Kind::Length, "1/8").unwrap_err();
        assert!(missing.to_string().contains("has no unit"));
        let wrong = Quantity::parse(Kind::Length, "18 V").unwrap_err();
        assert_eq!(wrong.to_string(), "`18 V` is a voltage, not a length; enter it as 1/8 in or 3.2 mm");
        let unknown = Quantity::parse(Kind::Speed, "3 furlongs").unwrap_err();
        assert!(unknown.to_string().contains("`furlongs` is not a known unit"));
    }

    #[test]
    fn remembers_the_system() {
        assert_eq!(Quantity::parse(Kind::Length, "1/8 in").unwrap().system, System::Inch);
        assert_eq!(Quantity::parse(Kind::Length, "3 mm").unwrap().system, System::Metric);
    }
}
