//! A formula's description, and evaluation from texts.

use crate::argument::{Argument, Need, nearest};
use bendproof_measure::{Quantity, say};
use bendproof_weld::Basis;

/// A published formula, described once.
#[derive(Debug)]
pub struct Formula {
    /// Name used to call it.
    pub name: &'static str,
    /// What it gives, in one line.
    pub title: &'static str,
    /// Its arguments, in the order a person thinks of them.
    pub arguments: &'static [Argument],
    /// Unit of the value.
    pub unit: &'static str,
    /// Where the formula comes from.
    pub source: &'static str,
    /// What the source is worth.
    pub basis: Basis,
    /// Where it holds and where not, in a sentence.
    pub validity: &'static str,
    /// Arguments that work.
    pub example: &'static [(&'static str, &'static str)],
    pub(crate) compute: fn(&Values) -> Result<Computed, String>,
}

/// One argument as used.
#[derive(Debug, Clone, PartialEq)]
pub struct Given {
    /// Its name.
    pub name: &'static str,
    /// As written, or the default's text.
    pub text: String,
    /// In SI; the place in the list for a word.
    pub si: f64,
}

/// A further result with the value.
#[derive(Debug, Clone, PartialEq)]
pub struct Also {
    /// What it is.
    pub name: &'static str,
    /// Its value.
    pub value: f64,
    /// Its unit.
    pub unit: &'static str,
}

/// What a formula gave.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// Name of the formula.
    pub name: &'static str,
    /// The value, not rounded.
    pub value: f64,
    /// Its unit.
    pub unit: &'static str,
    /// Arguments as used, defaults included.
    pub inputs: Vec<Given>,
    /// Further results.
    pub also: Vec<Also>,
    /// Where the formula comes from.
    pub source: &'static str,
    /// What the source is worth.
    pub basis: Basis,
    /// What to doubt.
    pub warnings: Vec<String>,
}

/// Value, further results and doubts of one evaluation.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Computed {
    pub(crate) value: f64,
    pub(crate) also: Vec<Also>,
    pub(crate) warnings: Vec<String>,
}

impl Computed {
    /// A value alone.
    pub(crate) fn of(value: f64) -> Self {
        Self { value, also: Vec::new(), warnings: Vec::new() }
    }

    /// The same with one more result.
    pub(crate) fn also(mut self, name: &'static str, value: f64, unit: &'static str) -> Self {
        self.also.push(Also { name, value, unit });
        self
    }

    /// The same with a doubt, when there is cause for it.
    pub(crate) fn warn_if(mut self, cause: bool, warning: &str) -> Self {
        if cause {
            self.warnings.push(warning.to_owned());
        }
        self
    }
}

/// Arguments read, by name, SI.
#[derive(Debug)]
pub(crate) struct Values<'a>(&'a [Given]);

impl Values<'_> {
    /// An argument that is required or has a default. A name the formula does
    /// not describe gives NaN, which evaluation refuses.
    pub(crate) fn si(&self, name: &str) -> f64 {
        self.optional(name).unwrap_or(f64::NAN)
    }

    /// An argument that may be absent.
    pub(crate) fn optional(&self, name: &str) -> Option<f64> {
        self.0.iter().find(|g| g.name == name).map(|g| g.si)
    }
}

/// Why a formula gave nothing.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CalcError {
    /// No formula has that name.
    #[error("there is no formula `{name}`{}; `bendproof calc` lists every formula", suggestion(*.nearest))]
    UnknownFormula {
        /// The name as given.
        name: String,
        /// The nearest there is.
        nearest: Option<&'static str>,
    },
    /// Arguments are wrong; all of them are listed.
    #[error("{}", lines(.0))]
    Arguments(Vec<ArgumentError>),
    /// The arguments do not go together.
    #[error("{0}")]
    NoResult(String),
}

/// What is wrong with one argument.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ArgumentError {
    /// The formula has no such argument.
    #[error("there is no argument `{name}` here{}; enter {}", suggestion(*.nearest), .known.join(", "))]
    Unknown {
        /// The name as given.
        name: String,
        /// The nearest there is.
        nearest: Option<&'static str>,
        /// All there are.
        known: Vec<&'static str>,
    },
    /// It must be given.
    #[error("`{name}` ({title}) is missing; write {name}=\"{example}\"")]
    Missing {
        /// Its name.
        name: &'static str,
        /// Its human name.
        title: &'static str,
        /// How to write it.
        example: &'static str,
    },
    /// It was given more than once.
    #[error("`{name}` is given more than once; keep one")]
    Repeated {
        /// Its name.
        name: &'static str,
    },
    /// It cannot be read or is outside its range.
    #[error("`{name}`: {reason}")]
    Refused {
        /// Its name.
        name: &'static str,
        /// What is wrong and what to do.
        reason: String,
    },
}

fn suggestion(nearest: Option<&'static str>) -> String {
    nearest.map_or_else(String::new, |name| format!("; the nearest is `{name}`"))
}

fn lines(errors: &[ArgumentError]) -> String {
    let lines: Vec<String> = errors.iter().map(ArgumentError::to_string).collect();
    lines.join("\n")
}

impl Formula {
    /// Evaluates from texts; see [`crate::evaluate`].
    ///
    /// # Errors
    /// [`CalcError`] lists everything wrong with the arguments at once.
    pub fn evaluate(&'static self, arguments: &[(&str, &str)]) -> Result<Answer, CalcError> {
        let inputs = self.read(arguments)?;
        let computed = (self.compute)(&Values(&inputs)).map_err(CalcError::NoResult)?;
        if !computed.value.is_finite() {
            return Err(CalcError::NoResult(format!(
                "{} has no finite value for these arguments; {}",
                self.name, self.validity
            )));
        }
        let mut warnings = self.outside_usual(&inputs);
        warnings.extend(computed.warnings);
        Ok(Answer {
            name: self.name,
            value: computed.value,
            unit: self.unit,
            inputs,
            also: computed.also,
            source: self.source,
            basis: self.basis,
            warnings,
        })
    }

    /// Reads every argument, in the order described.
    fn read(&self, given: &[(&str, &str)]) -> Result<Vec<Given>, CalcError> {
        let mut errors: Vec<ArgumentError> = given
            .iter()
            .filter(|(name, _)| self.arguments.iter().all(|a| a.name != *name))
            .map(|(name, _)| ArgumentError::Unknown {
                name: (*name).to_owned(),
                nearest: nearest(name, self.arguments.iter().map(|a| a.name)),
                known: self.arguments.iter().map(|a| a.name).collect(),
            })
            .collect();
        let mut inputs = Vec::with_capacity(self.arguments.len());
        for argument in self.arguments {
            match read_one(argument, given) {
                Ok(Some(input)) => inputs.push(input),
                Ok(None) => {}
                Err(error) => errors.push(error),
            }
        }
        if errors.is_empty() { Ok(inputs) } else { Err(CalcError::Arguments(errors)) }
    }

    fn outside_usual(&self, inputs: &[Given]) -> Vec<String> {
        self.arguments
            .iter()
            .filter_map(|argument| {
                let (low, high) = argument.usual_si?;
                let si = inputs.iter().find(|g| g.name == argument.name)?.si;
                // The range is often a converted unit, so its ends are not exact.
                let slack = 1e-9 * (high - low);
                let outside = si < low - slack || si > high + slack;
                outside.then(|| {
                    let print = |si| say(&Quantity::from_si(argument.bound.kind, si));
                    format!(
                        "{} is {}; the formula is known from {} to {}",
                        argument.bound.name,
                        print(si),
                        print(low),
                        print(high)
                    )
                })
            })
            .collect()
    }
}

fn read_one(argument: &Argument, given: &[(&str, &str)]) -> Result<Option<Given>, ArgumentError> {
    let mut texts = given.iter().filter(|(name, _)| *name == argument.name).map(|(_, text)| *text);
    let text = match (texts.next(), argument.need) {
        (Some(text), _) => text,
        (None, Need::Default(text)) => text,
        (None, Need::Optional) => return Ok(None),
        (None, Need::Required) => {
            return Err(ArgumentError::Missing {
                name: argument.name,
                title: argument.bound.name,
                example: argument.example,
            });
        }
    };
    if texts.next().is_some() {
        return Err(ArgumentError::Repeated { name: argument.name });
    }
    let si = argument.read(text).map_err(|reason| ArgumentError::Refused { name: argument.name, reason })?;
    Ok(Some(Given { name: argument.name, text: text.trim().to_owned(), si }))
}
