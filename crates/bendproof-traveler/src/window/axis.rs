//! One side of the settings window: which input, from where to where, in the
//! unit the trade reads it in, and its ticks.

use bendproof_files::{COUPON, What};
use bendproof_forecast::Knob;
use bendproof_measure::{Bound, Kind, Quantity, System, inch_fraction, inches, round_to, say, unit_named};

/// Names of the fit's inputs that can be turned.
const FIT: [(&str, Knob); 6] = [
    ("root_opening", Knob::RootOpening),
    ("root_face", Knob::RootFace),
    ("mismatch", Knob::Mismatch),
    ("groove_angle", Knob::GrooveAngle),
    ("thickness", Knob::Thickness),
    ("start_temperature", Knob::StartTemperature),
];
/// Names of a pass's inputs that can be turned.
const PASS: [&str; 4] = ["volts", "wire_feed", "travel", "amps"];
/// Most ticks on a side. Choice: more would touch.
const TICKS_MAX: f64 = 9.0;
/// Added before rounding, far below what is printed.
const HAIR: f64 = 1e-9;
/// Likeness (0 to 1) above which a name is suggested; chosen as for file fields.
const NEAR_ENOUGH: f64 = 0.8;

/// One side of a map as asked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Side {
    /// The input.
    pub knob: Knob,
    /// Lower end, SI.
    pub low_si: f64,
    /// Upper end, SI.
    pub high_si: f64,
    /// The system it was asked in; decides the ticks.
    pub system: System,
}

/// A tick: SI value, as the trade writes it, and in the other system.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Mark {
    pub si: f64,
    pub label: String,
    pub also: String,
}

impl Side {
    /// Reads `root_opening=1/16in..1/4in`; `pass` counts from 1 and belongs to
    /// the inputs of a pass. Both ends carry their unit; a bare 0 is a length of
    /// nothing.
    ///
    /// # Errors
    /// Says what is wrong with the name or the range, and what to write.
    pub fn read(text: &str, pass: usize) -> Result<Self, String> {
        let (name, range) = text
            .split_once('=')
            .ok_or_else(|| format!("`{text}` has no range; enter it as root_opening=1/16in..1/4in"))?;
        let (path, knob) = named(name.trim(), pass)?;
        let (low, high) = range.split_once("..").ok_or_else(|| {
            format!("`{range}` is no range; write the lower and the upper end like 1/16in..1/4in")
        })?;
        let bound = bound_of(&path).ok_or_else(|| format!("`{path}` has no range of its own"))?;
        let (low, high) = (end(&bound, low)?, end(&bound, high)?);
        if low.si >= high.si {
            return Err(format!(
                "{} runs from {} to {}; write the lower end first",
                bound.name,
                say(&low),
                say(&high)
            ));
        }
        Ok(Self { knob, low_si: low.si, high_si: high.si, system: high.system })
    }

    /// The field of a coupon file that holds this input.
    pub fn path(&self) -> String {
        path_of(self.knob)
    }

    /// The unit the side is read in.
    pub(crate) fn unit(&self) -> &'static str {
        unit_of(kind_of(self.knob), self.system).0
    }

    /// A value in the side's unit.
    pub(crate) fn shown(&self, si: f64) -> f64 {
        Quantity::from_si(kind_of(self.knob), si).in_unit(self.unit()).unwrap_or(si)
    }

    /// The tick in its unit, for a line of text: `1/8 in`.
    pub(crate) fn tick_text(&self, tick: &Mark) -> String {
        format!("{} {}", tick.label, self.unit())
    }

    /// A difference in the side's unit.
    pub(crate) fn shown_width(&self, si: f64) -> f64 {
        self.shown(self.low_si + si) - self.shown(self.low_si)
    }

    /// `root opening, in · mm`.
    pub(crate) fn label(&self) -> String {
        let (unit, also) = unit_of(kind_of(self.knob), self.system);
        let units = if also.is_empty() { unit.to_owned() } else { format!("{unit} · {also}") };
        format!("{}, {units}", label_of(self.knob))
    }

    /// Round values inside the side, with what is written at them.
    pub(crate) fn ticks(&self) -> Vec<Mark> {
        let (low, high) = (self.shown(self.low_si), self.shown(self.high_si));
        let in_fractions = kind_of(self.knob) == Kind::Length && self.system != System::Metric;
        let step = if in_fractions { fraction_step(high - low) } else { round_step(high - low) };
        // A hair of room so that an end typed as a tick is one.
        let first = (low / step - 1e-6).ceil() as i64;
        let last = (high / step + 1e-6).floor() as i64;
        (first..=last).map(|k| self.tick(k as f64 * step, in_fractions)).collect()
    }

    fn tick(&self, shown: f64, in_fractions: bool) -> Mark {
        let kind = kind_of(self.knob);
        let (unit, also) = unit_of(kind, self.system);
        let (per, zero) = unit_named(unit).map_or((1.0, 0.0), |u| (u.si_per_unit, u.si_at_zero));
        let si = shown * per + zero;
        let label = if in_fractions { inch_fraction(si) } else { round_to(shown, 3) };
        let also = match Quantity::from_si(kind, si).in_unit(also) {
            Some(_) if also == "in" => inches(si),
            // A quarter inch is 6.35 mm, which binary numbers put a hair below.
            Some(value) => round_to(value + HAIR, 1),
            None => String::new(),
        };
        Mark { si, label, also }
    }
}

/// A knob's field path: `fit.root_opening`, `pass.2.volts`.
pub fn path_of(knob: Knob) -> String {
    if let Some((name, _)) = FIT.iter().find(|(_, k)| *k == knob) {
        return format!("fit.{name}");
    }
    let (name, pass) = match knob {
        Knob::Volts(p) => (PASS[0], p),
        Knob::WireFeed(p) => (PASS[1], p),
        Knob::Travel(p) => (PASS[2], p),
        Knob::Amps(p) => (PASS[3], p),
        _ => return String::new(),
    };
    format!("pass.{}.{name}", pass + 1)
}

/// The trade's name: `root opening`, `volts of pass 2`.
pub fn label_of(knob: Knob) -> String {
    let path = path_of(knob);
    let label = COUPON.spec(&path).map_or("", |spec| spec.label);
    match knob.pass() {
        Some(p) => format!("{label}, pass {}", p + 1),
        None => label.to_owned(),
    }
}

/// A value of a knob in both systems where a shop uses both.
pub(crate) fn value_text(knob: Knob, si: f64) -> String {
    let kind = kind_of(knob);
    let (unit, also) = unit_of(kind, System::Inch);
    let q = Quantity::from_si(kind, si);
    let decimals = if matches!(kind, Kind::Temperature) { 0 } else { 1 };
    let print = |unit: &str| q.in_unit(unit).map(|v| format!("{} {unit}", round_to(v, decimals)));
    match (kind, also) {
        (Kind::Length, _) => bendproof_measure::length_both(si + HAIR),
        (_, "") => print(unit).unwrap_or_default(),
        _ => format!("{} · {}", print(unit).unwrap_or_default(), print(also).unwrap_or_default()),
    }
}

pub(crate) fn kind_of(knob: Knob) -> Kind {
    bound_of(&path_of(knob)).map_or(Kind::Number, |bound| bound.kind)
}

fn bound_of(path: &str) -> Option<Bound> {
    match COUPON.spec(path)?.what {
        What::Quantity(bound) => Some(bound),
        _ => None,
    }
}

/// The unit read in a system, and the other one; empty where there is none.
fn unit_of(kind: Kind, system: System) -> (&'static str, &'static str) {
    let (inch, metric) = match kind {
        Kind::Length => ("in", "mm"),
        Kind::Speed => ("in/min", "mm/min"),
        Kind::Temperature => ("°F", "°C"),
        Kind::Angle => ("deg", ""),
        Kind::Voltage => ("V", ""),
        Kind::Current => ("A", ""),
        _ => ("", ""),
    };
    if system == System::Metric && !metric.is_empty() { (metric, inch) } else { (inch, metric) }
}

/// The field and the knob behind a name as typed.
fn named(name: &str, pass: usize) -> Result<(String, Knob), String> {
    let plain = name.strip_prefix("fit.").unwrap_or(name);
    if let Some((name, knob)) = FIT.iter().find(|(known, _)| *known == plain) {
        return Ok((format!("fit.{name}"), *knob));
    }
    let (row, plain) = match name.strip_prefix("pass.").and_then(|rest| rest.split_once('.')) {
        Some((row, rest)) => (row.parse::<usize>().unwrap_or(0), rest),
        None => (pass, name),
    };
    let index = row.checked_sub(1).ok_or_else(|| "passes are counted from 1".to_owned())?;
    let knob = match plain {
        "volts" => Knob::Volts(index),
        "wire_feed" => Knob::WireFeed(index),
        "travel" => Knob::Travel(index),
        "amps" => Knob::Amps(index),
        _ => return Err(unknown(plain)),
    };
    Ok((format!("pass.{row}.{plain}"), knob))
}

fn unknown(name: &str) -> String {
    let names = || FIT.iter().map(|(n, _)| *n).chain(PASS);
    let near = names()
        .map(|known| (strsim::jaro_winkler(known, name), known))
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .filter(|(likeness, _)| *likeness > NEAR_ENOUGH);
    match near {
        Some((_, known)) => format!("`{name}` is no input that can be turned; the nearest is `{known}`"),
        None => {
            let all: Vec<&str> = names().collect();
            format!("`{name}` is no input that can be turned; choose from {}", all.join(", "))
        }
    }
}

fn end(bound: &Bound, text: &str) -> Result<Quantity, String> {
    let text = text.trim();
    let zero = text == "0" && bound.kind == Kind::Length;
    let quantity = match zero {
        true => Quantity { si: 0.0, kind: bound.kind, system: System::Inch },
        false => Quantity::parse(bound.kind, text).map_err(|why| format!("{}: {why}", bound.name))?,
    };
    bound.check(quantity).map_err(|why| why.to_string())
}

/// Step in fractions of an inch that leaves at most [`TICKS_MAX`] ticks.
fn fraction_step(width: f64) -> f64 {
    let steps = [1.0 / 64.0, 1.0 / 32.0, 1.0 / 16.0, 1.0 / 8.0, 1.0 / 4.0, 1.0 / 2.0];
    steps.into_iter().find(|s| width / s <= TICKS_MAX).unwrap_or(1.0)
}

/// Step of 1, 2 or 5 times a power of ten that leaves at most [`TICKS_MAX`] ticks.
fn round_step(width: f64) -> f64 {
    let power = 10f64.powf((width / TICKS_MAX).log10().floor());
    [1.0, 2.0, 5.0, 10.0].map(|k| k * power).into_iter().find(|s| width / s <= TICKS_MAX).unwrap_or(width)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn labels(text: &str) -> Vec<(String, String)> {
        let side = Side::read(text, 1).expect("reads");
        side.ticks().into_iter().map(|t| (t.label, t.also)).collect()
    }

    fn pair(a: &str, b: &str) -> (String, String) {
        (a.to_owned(), b.to_owned())
    }

    #[test]
    fn ticks_are_fractions_with_millimetres() {
        let found = labels("root_opening=1/16in..1/4in");
        assert_eq!(found[..2], [pair("1/16", "1.6"), pair("3/32", "2.4")]);
        assert_eq!(found.last(), Some(&pair("1/4", "6.4")));
        assert_eq!(labels("fit.root_face=0..3mm")[1], pair("0.5", "0.02"));
        assert_eq!(labels("pass.2.volts=16V..19V")[0], pair("16", ""));
        assert_eq!(labels("wire_feed=140in/min..260in/min")[0], pair("140", "3556"));
        assert_eq!(labels("start_temperature=50F..250F")[0], pair("50", "10"));
    }

    #[test]
    fn each_name_leads_to_its_knob_and_back() {
        for (text, knob, path) in [
            ("root_opening=0..1/4in", Knob::RootOpening, "fit.root_opening"),
            ("fit.groove_angle=50deg..75deg", Knob::GrooveAngle, "fit.groove_angle"),
            ("travel=3in/min..12in/min", Knob::Travel(2), "pass.3.travel"),
            ("pass.1.amps=90A..150A", Knob::Amps(0), "pass.1.amps"),
        ] {
            let side = Side::read(text, 3).expect(text);
            assert_eq!((side.knob, side.path().as_str()), (knob, path));
            assert!(!side.label().starts_with(','), "{}", side.label());
        }
    }

    #[test]
    fn what_cannot_be_read_is_reported_with_the_next_step() {
        for (text, said) in [
            ("root_opening", "`root_opening` has no range; enter it as root_opening=1/16in..1/4in"),
            (
                "rot_opening=0..1/4in",
                "`rot_opening` is no input that can be turned; the nearest is `root_opening`",
            ),
            (
                "root_opening=1/4in..1/16in",
                "root opening runs from 1/4 in to 1/16 in; write the lower end first",
            ),
            (
                "root_opening=0..2in",
                "root opening is 2 in; enter 0 in to 1/2 in; measure the gap at the root after tacking",
            ),
            ("volts=16..19", "volts: `16` has no unit; enter a voltage as 18.5 V"),
            ("pass.0.volts=16V..19V", "passes are counted from 1"),
            (
                "root_opening=1/4in",
                "`1/4in` is no range; write the lower and the upper end like 1/16in..1/4in",
            ),
        ] {
            assert_eq!(Side::read(text, 1).unwrap_err(), said);
        }
        assert!(
            Side::read("wavelength=0..1mm", 1).unwrap_err().contains("choose from root_opening, root_face")
        );
    }
}
