//! The JSON contract that outside scripts rely on. Fields are only ever added.

use bendproof_codes::held::{Coverage, Covered, Standing};
use bendproof_codes::judged::BendReport;
use bendproof_codes::words::Verdict;
use bendproof_forecast::{Forecast, Item, Limits, PassForecast, Unit};
use bendproof_measure::{celsius_from_kelvin, round_to, say, unit_named};
use bendproof_weld::Coupon;
use serde_json::{Value, json};

pub use crate::compare_text::compare;
pub use crate::cover_json::{across, job_found, under_code};
pub use crate::procedure_json::procedure;
pub use crate::verdict_json::coupon;
pub use crate::window_json::window;

use crate::build::ForecastRead;
use crate::origin::{self, sources_json};
use crate::record::RecordAnswer;
use crate::solved::solved_json;
use crate::trade;

/// Verdicts of a set of bends: `{"code","verdict","straps":[…],"set":[…]}`.
pub fn bends(report: &BendReport) -> Value {
    json!({
        "code": report.code,
        "verdict": report.verdict.word(),
        "straps": report.straps.iter().map(|s| json!({
            "id": s.id,
            "verdict": s.verdict.word(),
            "inspected": s.inspected,
            "findings": s.findings.iter().map(finding).collect::<Vec<_>>(),
        })).collect::<Vec<_>>(),
        "set": report.set.iter().map(finding).collect::<Vec<_>>(),
    })
}

pub(crate) fn finding(f: &bendproof_codes::judged::Finding) -> Value {
    json!({
        "rule": f.rule,
        "clause": f.clause,
        "measured": f.measured_text(),
        "limit": f.limit_text(),
        "verdict": f.verdict.word(),
        "open": f.open.map(bendproof_codes::words::Open::word),
        "basis": f.basis.word(),
        "message": f.message,
    })
}

/// What a passed test covers.
pub fn standing(s: &Standing) -> Value {
    json!({
        "code": s.code,
        "welder": s.welder,
        "covers": {
            "processes": s.processes,
            "transfer_modes": s.transfer_modes,
            "positions": {
                "plate_groove": s.positions.plate_groove,
                "pipe_groove": s.positions.pipe_groove,
                "fillet": s.positions.fillet,
            },
            "pipe_rows": s.pipe_rows.iter().map(|row| json!({
                "positions": row.words,
                "from": row.from.map(|p| both_json(p.inch_si, p.metric_si)),
                "from_excluded": row.from_excluded,
                "backing": row.backing,
                "turned_only": row.rotated,
            })).collect::<Vec<_>>(),
            "progressions": s.progressions,
            "thickness": range(s.thickness.as_ref()),
            "diameter": range(s.diameter.as_ref()),
            "backing": s.backing,
            "fillers": s.fillers,
            "base_metals": s.base_metals,
            "filler_types": s.filler_types,
            "welds": s.welds,
            "products": s.products,
            "runs": s.runs,
        },
        "finished": s.finished.to_string(),
        "until": s.until.map(|d| d.to_string()),
        "ended": s.ended.map(|d| d.to_string()),
        "on": s.on.map(|d| d.to_string()),
        "hold": s.hold.map(|h| h.word()),
        "lasts": bendproof_codes::held::lasting_words(s.hold, s.until),
        "because": s.because.iter().map(|c| json!({
            "rule": c.rule, "clause": c.clause, "basis": c.basis.word(),
        })).collect::<Vec<_>>(),
        "doubts": s.doubts.iter().map(|d| json!({
            "about": d.facet.map(|f| f.word()), "rule": d.rule, "message": d.message,
        })).collect::<Vec<_>>(),
        "refused": s.refused.as_ref().map(|d| json!({ "rule": d.rule, "message": d.message })),
    })
}

fn inches(m: f64) -> f64 {
    m / unit_named("in").map_or(1.0, |u| u.si_per_unit)
}

fn both_json(inch_m: f64, metric_m: f64) -> Value {
    json!({ "in": rounded(inches(inch_m), 6), "mm": rounded(metric_m * 1e3, 6) })
}

/// Rounded for reading; floats carry no more than a script can use.
fn rounded(value: f64, decimals: usize) -> Value {
    round_to(value, decimals).parse::<f64>().map_or(Value::Null, |v| json!(v))
}

/// A range in inches with its independent millimetre pair; `max` null is unlimited.
fn range(covered: Option<&Covered>) -> Value {
    let Some(c) = covered else { return Value::Null };
    json!({
        "min": rounded(inches(c.min.inch_m), 6),
        "max": c.max.map(|m| rounded(inches(m.inch_m), 6)),
        "unit": "in",
        "min_mm": rounded(c.min.metric_m * 1e3, 6),
        "max_mm": c.max.map(|m| rounded(m.metric_m * 1e3, 6)),
        "min_excluded": c.min_excluded,
        "max_excluded": c.max_excluded,
    })
}

/// A range in words: `1/8 in to 3/4 in · 3 mm to 20 mm`. An end that is not part
/// of it says so: `over`, `under`.
pub fn range_words(covered: Option<&Covered>) -> String {
    let Some(c) = covered else { return "not known".to_owned() };
    let inch = |m: f64| {
        say(&bendproof_measure::Quantity {
            si: m,
            kind: bendproof_measure::Kind::Length,
            system: bendproof_measure::System::Inch,
        })
    };
    let mm = |m: f64, decimals: usize| format!("{} mm", round_to(m * 1e3, decimals));
    if c.metric_only {
        return span(c, Some(mm(c.min.metric_m, 2)), c.max.map(|m| mm(m.metric_m, 2)));
    }
    // A least thickness of nothing is no limit worth saying.
    let has_least = c.min.inch_m > 0.0 || c.max.is_none();
    let least = |words: String| has_least.then_some(words);
    let inches = span(c, least(inch(c.min.inch_m)), c.max.map(|m| inch(m.inch_m)));
    let metric = span(c, least(mm(c.min.metric_m, 1)), c.max.map(|m| mm(m.metric_m, 1)));
    format!("{inches} · {metric}")
}

fn span(c: &Covered, least: Option<String>, most: Option<String>) -> String {
    let over = if c.min_excluded { "over " } else { "" };
    match (least, most) {
        (Some(least), Some(most)) if c.max_excluded => format!("{over}{least} to under {most}"),
        (Some(least), Some(most)) => format!("{over}{least} to {most}"),
        (Some(least), None) if c.min_excluded => format!("over {least}, unlimited"),
        (Some(least), None) => format!("{least} and up, unlimited"),
        (None, Some(most)) if c.max_excluded => format!("under {most}"),
        (None, Some(most)) => format!("up to {most}"),
        (None, None) => "unlimited".to_owned(),
    }
}

/// Positions for pipe grooves with the sizes they hold for: `F, V from 24 in · F from 2-7/8 in`.
pub fn pipe_words(s: &Standing) -> String {
    if s.pipe_rows.is_empty() {
        return if s.positions.pipe_groove.is_empty() {
            "none".to_owned()
        } else {
            s.positions.pipe_groove.join(", ")
        };
    }
    let row = |row: &bendproof_codes::rule::PipeRow| {
        let from = row.from.map(|pair| {
            let over = if row.from_excluded { "over" } else { "from" };
            if pair.is_metric_only() {
                return format!(" {over} {} mm", round_to(pair.metric_si * 1e3, 1));
            }
            format!(" {over} {} in", round_to(inches(pair.inch_si), 3))
        });
        let backing =
            if row.backing.is_empty() { String::new() } else { format!(" ({})", row.backing.join(", ")) };
        let turned = if row.rotated { " (turned)" } else { "" };
        format!("{}{}{backing}{turned}", row.words.join(", "), from.unwrap_or_default())
    };
    s.pipe_rows.iter().map(row).collect::<Vec<_>>().join(" · ")
}

/// A record answered: its standing, what renews it, and the joints asked about.
pub fn record(answer: &RecordAnswer) -> Value {
    let mut value = standing(&answer.standing);
    value["designation"] = json!(answer.designation.as_ref().and_then(|line| line.as_ref().ok()));
    value["designation_missing"] = json!(answer.designation.as_ref().and_then(|line| line.as_ref().err()));
    value["renewal"] = answer
        .renewal
        .iter()
        .map(|a| {
            json!({
                "event": a.event.word(),
                "sentence": a.sentence,
                "rule": a.because.rule,
                "clause": a.because.clause,
                "basis": a.because.basis.word(),
            })
        })
        .collect();
    value["remarks"] = json!(answer.remarks);
    value["asked"] = answer
        .asked
        .iter()
        .map(|asked| {
            let mut told = coverage(&asked.coverage);
            told["question"] = json!(asked.question);
            told
        })
        .collect();
    value
}

/// Clauses of rules, each once, in order.
pub fn clauses(rules: &[String]) -> Vec<&'static str> {
    let mut out = Vec::new();
    for rule in rules {
        let clause = bendproof_codes::catalogue::explain(rule).map(|e| e.rule.clause.as_str());
        out.extend(clause.ok().filter(|clause| !out.contains(clause)));
    }
    out
}

/// Whether a joint is covered, with reasons.
pub fn coverage(c: &Coverage) -> Value {
    json!({
        "answer": c.answer.word(),
        "reasons": c.reasons.iter().map(crate::cover_json::reason).collect::<Vec<_>>(),
    })
}

/// A coupon file as forecast, with where its heat comes from and the solved
/// beads if there are any; `None` when the text could not be used.
pub fn forecast_read(read: &ForecastRead) -> Option<Value> {
    let (coupon, f, limits) = read.forecast.as_ref()?;
    let mut value = forecast(coupon, f, limits);
    value["heat"] = json!(if read.solved.is_some() { "solved" } else { "fast model" });
    if let Some(solved) = &read.solved {
        value["solved"] = solved_json(solved);
    }
    Some(value)
}

/// The forecast of a coupon.
fn forecast(coupon: &Coupon, f: &Forecast, limits: &Limits) -> Value {
    json!({
        "number": coupon.id,
        "verdict": f.verdict.word(),
        "probability_root_holds": f.probability,
        "fit": {
            "groove_area_mm2": f.groove_area_m2 * 1e6,
            "face_width_mm": f.face_width_m * 1e3,
            "root_opening_mm": coupon.fit.joint.root_opening_m * 1e3,
            "root_face_left_mm": coupon.fit.joint.root_face_left_m * 1e3,
            "root_face_right_mm": coupon.fit.joint.root_face_right_m * 1e3,
            "mismatch_mm": coupon.fit.joint.mismatch_m * 1e3,
            "joint_length_mm": coupon.fit.joint_length_m() * 1e3,
            "sources": sources_json(&origin::of_fit()),
        },
        "passes": f.passes.iter().map(pass).collect::<Vec<_>>(),
        "root": {
            "left_edge": item(&f.root.left_edge),
            "right_edge": item(&f.root.right_edge),
            "profile": item(&f.root.profile),
            "burn_through": item(&f.root.burn_through),
            "outrun": item(&f.root.outrun),
            "hot_pass": f.root.hot_pass.as_ref().map(item),
            "height_mm": f.root.height_m.map(|m| m * 1e3),
            "width_mm": f.root.width_m.map(|m| m * 1e3),
            "sources": sources_json(&origin::of_root(f)),
        },
        "walls": f.passes.iter().map(|p| {
            let mut wall = item(&p.tie_in);
            wall["pass"] = json!(p.number);
            wall
        }).collect::<Vec<_>>(),
        "crown": item(&f.crown),
        "totals": {
            "beads": f.totals.beads,
            "arc_time_s": f.totals.arc_time_s,
            "clock_time_s": f.totals.clock_time_s,
            "wire_kg": f.totals.wire_kg,
            "gas_L": f.totals.gas_m3 * 1e3,
            "cost": f.totals.cost,
            "sources": sources_json(&origin::of_totals()),
        },
        "limits": {
            "crown_mm": limits.crown_m(coupon).map(|m| m * 1e3),
            "melt_through_mm": limits.melt_through_m(f.root.width_m.unwrap_or(0.0)).map(|m| m * 1e3),
            "concavity_mm": limits.concavity_m.map(|m| m * 1e3),
            "sources": sources_json(&origin::of_limits()),
        },
        "sources": sources_json(&[origin::of_chance()]),
        "voices": voices(coupon),
        "notes": f.notes,
    })
}

fn pass(p: &PassForecast) -> Value {
    json!({
        "n": p.number,
        "kind": p.kind.word(),
        "beads": [p.beads.0, p.beads.1],
        "progression": p.progression.word(),
        "current_A": p.current_a,
        "current_is_read": p.current_is_read,
        "expected_transfer": p.expected_transfer.map(|t| t.word()),
        "volts": p.volts,
        "wire_feed": p.wire_feed_m_s * 1e3,
        "wire_feed_unit": "mm/s",
        "travel": p.travel_m_s * 1e3,
        "travel_unit": "mm/s",
        "arc_energy_kJ_mm": p.arc_energy_j_m * 1e-6,
        "heat_input_kJ_mm": p.heat_input_j_m * 1e-6,
        "bead_area_mm2": p.bead_area_m2 * 1e6,
        "arc_time_s": p.arc_time_s,
        "interpass_C": celsius_from_kelvin(p.interpass_k),
        "t85_s": p.t85_s,
        "depth_mm": p.depth_m.map(|m| m * 1e3),
        "level_mm": p.level_m * 1e3,
        "crown_mm": p.crown_m * 1e3,
        "tie_in": item(&p.tie_in),
        "sources": sources_json(&origin::of_pass(p)),
    })
}

fn item(i: &Item) -> Value {
    let scale = if i.unit == Unit::Metre { 1e3 } else { 1.0 };
    json!({
        "verdict": i.verdict.word(),
        "margin": i.margin.map(|m| m * scale),
        "unit": if i.unit == Unit::Metre { "mm" } else { "share of limit left" },
        "driver": i.driver,
        "uncertainty": i.uncertainty.map(|u| u * scale),
        "source": i.source,
        "basis": i.basis.word(),
    })
}

/// The trade's range beside each setting; the physics is the forecast itself,
/// and the shop's own plates are known only to the bench.
fn voices(coupon: &Coupon) -> Vec<Value> {
    let joint = &coupon.fit.joint;
    let root = coupon.passes.first();
    let mut settings = vec![
        ("fit.root_opening".to_owned(), joint.root_opening_m, root),
        ("fit.root_face".to_owned(), joint.root_face_max_m(), root),
        ("fit.mismatch".to_owned(), joint.mismatch_m, root),
        ("fit.groove_angle".to_owned(), joint.groove_angle_rad, root),
    ];
    for (index, pass) in coupon.passes.iter().enumerate() {
        settings.push((format!("pass.{}.volts", index + 1), pass.volts, Some(pass)));
        settings.push((format!("pass.{}.wire_feed", index + 1), pass.wire_feed_m_s, Some(pass)));
        if let bendproof_weld::Travel::Speed(v) = pass.travel {
            settings.push((format!("pass.{}.travel", index + 1), v, Some(pass)));
        }
    }
    settings
        .into_iter()
        .map(|(field, value_si, pass)| {
            let range = trade::range(&field, pass.map(|p| p.kind), pass.map(|p| p.progression));
            json!({
                "field": field,
                "value_si": value_si,
                "trade": range.map(|r| json!({
                    "low_si": r.low_si,
                    "high_si": r.high_si,
                    "inside": value_si >= r.low_si && value_si <= r.high_si,
                    "source": r.provenance.source,
                    "basis": r.provenance.basis,
                })),
            })
        })
        .collect()
}

/// Whether a report's verdict counts as a finding for the exit code.
pub fn is_clean(verdict: Verdict) -> bool {
    verdict == Verdict::Accept
}
