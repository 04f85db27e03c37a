//! Fields of the sheet: the text as written, the other system next to it, and
//! the three-voice rule where a value is set on one.

use bendproof_codes::catalogue::Code;
use bendproof_files::{COUPON, Document, Need, Reader, Spec, What, diameter_label, proposal, stated_process};
use bendproof_forecast::{Knob, Limits, Scatter, reach};
use bendproof_measure::{Kind, Quantity, System, inches, round_to, said_in, unit_named, unit_of_box};
use bendproof_weld::basis::Basis;
use bendproof_weld::pipe::named_outside;
use bendproof_weld::{Backing, Coupon, Process, wire_size};

use crate::context::{known, system_of};
use crate::plates;
use crate::plates::PastPlate;
use crate::sheet::{Control, Field, Provenance, Rule, Span, TradeRange, mark, trade};

/// What fields need besides the document.
pub(crate) struct FieldContext<'a> {
    pub document: &'a Document,
    pub coupon: Option<&'a Coupon>,
    pub code: Option<&'static Code>,
    pub limits: Limits,
    pub scatter: Option<Scatter>,
    pub near: Vec<&'a PastPlate>,
    pub today: crate::context::Today,
}

/// How a quantity is laid out on a rule.
struct Scale {
    path: &'static str,
    unit: &'static str,
    min: f64,
    max: f64,
    step: f64,
    tick: f64,
}

/// The settings that are set on a rule. Ends are a little wider than any
/// practice; a value outside is still accepted by typing.
const SCALES: [Scale; 6] = [
    Scale { path: "fit.root_opening", unit: "in", min: 0.0, max: 0.25, step: 1.0 / 64.0, tick: 1.0 / 16.0 },
    Scale { path: "fit.root_face", unit: "in", min: 0.0, max: 0.1875, step: 1.0 / 64.0, tick: 1.0 / 16.0 },
    Scale { path: "fit.mismatch", unit: "in", min: 0.0, max: 0.125, step: 1.0 / 64.0, tick: 1.0 / 32.0 },
    Scale { path: "pass.#.volts", unit: "V", min: 14.0, max: 24.0, step: 0.1, tick: 1.0 },
    Scale { path: "pass.#.wire_feed", unit: "in/min", min: 100.0, max: 340.0, step: 5.0, tick: 20.0 },
    Scale { path: "pass.#.travel", unit: "in/min", min: 2.0, max: 16.0, step: 0.25, tick: 1.0 },
];

/// Stretches in which the fit and the root pass are swept.
const ROOT_STEPS: usize = 48;
/// Stretches in which later passes are swept; their walls cost more to compute.
const WALL_STEPS: usize = 20;

/// One field of a path.
pub(crate) fn field(context: &FieldContext<'_>, path: &str) -> Option<Field> {
    let spec = COUPON.spec(path)?;
    let text = context.document.get(path).unwrap_or_default().to_owned();
    let proposed = proposal(context.document, path).filter(|_| text.is_empty()).unwrap_or_default();
    // A rule stands at what is proposed while nothing is written.
    let shown = if text.is_empty() { proposed } else { &text };
    let (quantity, error) = read(context, spec, path, shown);
    Some(Field {
        path: path.to_owned(),
        label: label(context.document, spec).to_owned(),
        doc: spec.doc.to_owned(),
        proposed: proposed.to_owned(),
        unit: unit_in_box(context.document, path).unwrap_or_default(),
        also: quantity
            .filter(|_| !text.is_empty())
            .map(|q| in_other_system(spec.path, &q))
            .unwrap_or_default(),
        control: control(context, spec, path, quantity),
        text,
        error,
    })
}

/// The unit in which a number alone is taken in the box of `path`: that of what
/// stands there or is proposed, else the one of the coupon's system. `None` for
/// what is no quantity, and for a share.
fn unit_in_box(document: &Document, path: &str) -> Option<String> {
    let What::Quantity(bound) = &COUPON.spec(path)?.what else { return None };
    let written = document.get(path).filter(|text| !text.trim().is_empty());
    let standing = written.or_else(|| proposal(document, path)).unwrap_or_default();
    unit_of_box(bound.kind, standing, system_of(document)).map(str::to_owned)
}

/// A number typed alone at `path`, said in the unit of its box: `3/8` is `3/8 in`.
/// `None` where the text says its unit, is no number, or stands for itself.
pub fn in_unit_of_box(document: &Document, path: &str, text: &str) -> Option<String> {
    said_in(text, &unit_in_box(document, path)?)
}

/// What a field is called: a stick has no wire.
fn label(document: &Document, spec: &Spec) -> &'static str {
    match spec.path {
        "settings.wire_diameter" => diameter_label(stated_process(document)),
        // What melts a stick is set, not read.
        "pass.#.amps" if stated_process(document) == Some(Process::Smaw) => "amps",
        _ => spec.label,
    }
}

/// Fields of several names under a prefix.
pub(crate) fn fields(context: &FieldContext<'_>, prefix: &str, names: &[&str]) -> Vec<Field> {
    names.iter().filter_map(|name| field(context, &format!("{prefix}{name}"))).collect()
}

fn read(
    context: &FieldContext<'_>,
    spec: &Spec,
    path: &str,
    text: &str,
) -> (Option<Quantity>, Option<String>) {
    // An empty field that may be empty is no fault; a missing one is reported where
    // the whole document is read.
    if text.is_empty() {
        return (None, None);
    }
    let mut reader = Reader::new(&COUPON, context.document, known(context.today));
    let quantity = match spec.what {
        What::Quantity(_) => reader.quantity(path),
        // An ordered size is a name; the same in the other system would mislead.
        What::PipeSize(_) => {
            reader.quantity(path);
            None
        }
        _ => {
            reader.text(path);
            None
        }
    };
    (quantity, reader.into_findings().into_iter().next().map(|f| f.message))
}

fn control(context: &FieldContext<'_>, spec: &Spec, path: &str, quantity: Option<Quantity>) -> Control {
    // What may be left out can be emptied again.
    let empty = (spec.need != Need::Required).then_some("");
    let words = |list: &[&str]| Control::Choice {
        options: empty.iter().chain(list).map(|word| (*word).to_owned()).collect(),
    };
    match spec.what {
        What::Text(_) | What::PipeSize(_) | What::Table => Control::Text,
        What::Count(..) => Control::Quantity,
        What::Date | What::Day => Control::Date,
        What::Words(list) => words(list),
        What::Steel => words(known(None).steels),
        What::Code => words(known(None).codes),
        What::Construction => words(known(None).construction),
        What::Quantity(_) => match SCALES.iter().find(|s| s.path == spec.path) {
            Some(scale) => Control::Rule(rule(context, scale, path, quantity)),
            None => Control::Quantity,
        },
    }
}

fn rule(context: &FieldContext<'_>, scale: &Scale, path: &str, quantity: Option<Quantity>) -> Rule {
    let si_per_unit = unit_named(scale.unit).map_or(1.0, |u| u.si_per_unit);
    let row = pass_row(path);
    let pass = row.and_then(|row| context.coupon?.passes.get(row));
    // The fit belongs to the root pass, so its trade range follows that pass.
    let voice = pass.or_else(|| context.coupon?.passes.first());
    // The trade's ranges of opening and land are those of an open root.
    let is_backed = context
        .document
        .get("fit.backing")
        .is_some_and(|text| path.starts_with("fit.root_") && text.trim() != Backing::Open.word());
    let trade = trade::range(path, voice.map(|p| p.kind), voice.map(|p| p.progression));
    let trade = trade.filter(|_| !is_backed).map(|r| TradeRange {
        low: r.low_si / si_per_unit,
        high: r.high_si / si_per_unit,
        provenance: r.provenance.clone(),
    });
    let dots = plates::dots(&context.near, path, si_per_unit, [scale.min, scale.max]);
    Rule {
        unit: scale.unit.to_owned(),
        min: scale.min,
        max: scale.max,
        step: scale.step,
        tick: scale.tick,
        fractions: scale.unit == "in",
        value: quantity.map(|q| q.si / si_per_unit),
        trade,
        physics: physics(context, scale, path, row, si_per_unit, quantity.map(|q| q.si / si_per_unit)),
        physics_note: physics_note(row),
        plates_note: plates::note(&dots),
        plates: dots,
    }
}

/// The 0-based pass a path such as `pass.2.volts` belongs to.
fn pass_row(path: &str) -> Option<usize> {
    path.strip_prefix("pass.")?.split('.').next()?.parse::<usize>().ok()?.checked_sub(1)
}

fn physics(
    context: &FieldContext<'_>,
    scale: &Scale,
    path: &str,
    row: Option<usize>,
    si_per_unit: f64,
    value: Option<f64>,
) -> Vec<Span> {
    let whole = |mark| vec![Span { from: scale.min, to: scale.max, mark }];
    let Some((coupon, scatter)) = context.coupon.zip(context.scatter) else {
        return whole(crate::sheet::Mark::NotKnown);
    };
    let knob = match (path.rsplit('.').next(), row) {
        (Some("root_opening"), _) => Knob::RootOpening,
        (Some("root_face"), _) => Knob::RootFace,
        (Some("mismatch"), _) => Knob::Mismatch,
        (Some("volts"), Some(row)) => Knob::Volts(row),
        (Some("wire_feed"), Some(row)) => Knob::WireFeed(row),
        (Some("travel"), Some(row)) => Knob::Travel(row),
        _ => return whole(crate::sheet::Mark::NotKnown),
    };
    let steps = if row.unwrap_or(0) > 0 { WALL_STEPS } else { ROOT_STEPS };
    let sweep = |from: f64, to: f64, steps| -> Vec<Span> {
        reach(coupon, &context.limits, &scatter, knob, (from * si_per_unit, to * si_per_unit), steps)
            .into_iter()
            .map(|r| Span { from: r.from_si / si_per_unit, to: r.to_si / si_per_unit, mark: mark(r.verdict) })
            .collect()
    };
    let spans = sweep(scale.min, scale.max, steps);
    // Under the marker the word is that of the value itself, not of the middle
    // of the stretch it falls in: the two must not disagree at an edge.
    match value.filter(|v| (scale.min..=scale.max).contains(v)) {
        Some(value) => {
            let here = sweep(value, value, 1)[0].mark;
            let half = 0.5 * scale.step;
            laid_over(&spans, (value - half).max(scale.min), (value + half).min(scale.max), here)
        }
        None => spans,
    }
}

/// The spans with one stretch of them replaced.
fn laid_over(spans: &[Span], from: f64, to: f64, mark: crate::sheet::Mark) -> Vec<Span> {
    let before = spans.iter().filter(|s| s.from < from).map(|s| Span { to: s.to.min(from), ..*s });
    let after = spans.iter().filter(|s| s.to > to).map(|s| Span { from: s.from.max(to), ..*s });
    let mut out: Vec<Span> = Vec::new();
    for span in before.chain([Span { from, to, mark }]).chain(after) {
        match out.last_mut() {
            Some(last) if last.mark == span.mark => last.to = span.to,
            _ => out.push(span),
        }
    }
    out
}

fn physics_note(row: Option<usize>) -> Provenance {
    let source = match row {
        Some(row) if row > 0 => {
            "walls and toes of this pass: fast model of solved beads in a part-filled groove; width of the arc \
             picked by the trade's order of joints"
        }
        _ => {
            "both root edges, burn-through and outrun, by their chance over the whole joint; everything else as \
             planned; hollow, arc width and the lines of the puddle picked to match common practice"
        }
    };
    // What was picked after seeing is a choice, and every answer here rests on some.
    Provenance { source: source.to_owned(), basis: Basis::Choice.word().to_owned(), rule: None }
}

/// The value in the system it was not written in; empty where there is none.
/// Wire and pipe have names in both systems, which are no conversions.
pub(crate) fn in_other_system(path: &str, q: &Quantity) -> String {
    if let Some(name) = wire_size::other_name(q).filter(|_| path.ends_with("wire_diameter")) {
        return name.to_owned();
    }
    if path.ends_with("outside_diameter") && q.system != System::Inch {
        return format!("{} in", inches(named_outside(q.si).unwrap_or(q.si)));
    }
    let unit = |name: &str, decimals| {
        q.in_unit(name).map(|v| format!("{} {name}", round_to(v, decimals))).unwrap_or_default()
    };
    match (q.kind, q.system) {
        (Kind::Length, System::Inch) => unit("mm", 1),
        (Kind::Length, _) => format!("{} in", inches(q.si)),
        (Kind::Temperature, System::Inch) => unit("°C", 0),
        (Kind::Temperature, _) => unit("°F", 0),
        (Kind::Speed, System::Inch) => unit("mm/min", 0),
        (Kind::Speed, _) => unit("in/min", 0),
        (Kind::Flow, System::Inch) => unit("L/min", 0),
        (Kind::Flow, _) => unit("cfh", 0),
        _ => String::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::Mark;

    #[test]
    fn a_stretch_laid_over_leaves_no_gap() {
        let span = |from, to, mark| Span { from, to, mark };
        let spans = [span(0.0, 1.0, Mark::Fails), span(1.0, 3.0, Mark::Holds)];
        let got = laid_over(&spans, 0.9, 1.1, Mark::Holds);
        assert_eq!(got, vec![span(0.0, 0.9, Mark::Fails), span(0.9, 3.0, Mark::Holds)]);
        let got = laid_over(&spans, 0.0, 0.2, Mark::NotKnown);
        assert_eq!(got[0], span(0.0, 0.2, Mark::NotKnown));
        assert_eq!(got[1], span(0.2, 1.0, Mark::Fails));
    }
}
