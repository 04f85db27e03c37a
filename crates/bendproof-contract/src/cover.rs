//! What a test covers and what covers a job, as JSON. Fields are only ever
//! added.

use bendproof_codes::ahead::{CouponSet, JointFound, Neighbour};
use bendproof_codes::held::CoverReason;
use bendproof_codes::judged::SpecimenDoubt;
use bendproof_codes::rule::Cited;
use serde_json::{Value, json};

use bendproof_traveler::cover::{Across, JobFound, ReachRow, UnderCode, reach};

use super::welder::standing;

/// A coupon under one code, before or after welding.
pub fn under_code(u: &UnderCode) -> Value {
    let o = &u.outlook;
    json!({
        "code": o.code,
        "title": u.code.title,
        "own_code": u.is_own,
        "specimens": o.specimens.iter().map(|(position, plan)| json!({
            "position": position.word(),
            "sets": plan.sets.iter().map(|s| s.text()).collect::<Vec<_>>(),
            "jigs": plan.jigs.iter().map(|(kind, jig)| json!({
                "strap": kind.word(),
                "former_in": jig.a.inch_m / 0.0254,
                "former_mm": jig.a.metric_m * 1e3,
                "because": cited(&jig.because),
            })).collect::<Vec<_>>(),
            "because": plan.because.iter().map(cited).collect::<Vec<_>>(),
            "says": plan.says,
            "doubts": plan.doubts.iter().map(SpecimenDoubt::text).collect::<Vec<_>>(),
        })).collect::<Vec<_>>(),
        "limits": o.limits.iter().map(|l| json!({
            "code": l.code,
            "kind": l.kind.word(),
            "title": l.title,
            "limits": l.words,
            "only_where": l.only_where,
            "because": cited(&l.because),
        })).collect::<Vec<_>>(),
        "standing": standing(&o.standing),
        "neighbours": o.neighbours.iter().map(neighbour).collect::<Vec<_>>(),
        "reach": reach(u).iter().map(reach_row).collect::<Vec<_>>(),
    })
}

fn cited(c: &Cited) -> Value {
    json!({ "rule": c.rule, "clause": c.clause, "basis": c.basis.word() })
}

fn neighbour(n: &Neighbour) -> Value {
    json!({
        "facet": n.facet.word(),
        "about": n.about,
        "words": n.words,
        "answer": n.answer.word(),
        "why": n.why,
        "rules": n.rules,
    })
}

fn reach_row(row: &ReachRow) -> Value {
    let mm = |m: f64| (m * 1e7).round() / 1e4;
    json!({
        "joint": row.kind,
        "position": row.position,
        "thickness": row.stretches.iter().map(|s| json!({
            "from_mm": mm(s.from_m), "to_mm": mm(s.to_m), "answer": s.answer.word(),
        })).collect::<Vec<_>>(),
    })
}

/// A coupon under each of several codes, and the codes side by side.
pub fn codes(under: &[UnderCode]) -> Value {
    json!({
        "codes": under.iter().map(under_code).collect::<Vec<_>>(),
        "side_by_side": across(&bendproof_traveler::cover::across(under)),
    })
}

/// One coupon across codes.
pub fn across(table: &Across) -> Value {
    json!({
        "codes": table.columns.iter().map(|c| json!({
            "code": c.code, "title": c.title, "own_code": c.is_own,
        })).collect::<Vec<_>>(),
        "rows": table.rows.iter().map(|row| json!({
            "about": row.about,
            "cells": row.cells.iter().map(|c| json!({
                "text": c.text,
                "differs": c.differs,
                "why": c.why,
                "because": c.rules.iter().map(cited).collect::<Vec<_>>(),
            })).collect::<Vec<_>>(),
        })).collect::<Vec<_>>(),
    })
}

/// The smallest tests of a job under one code.
pub fn job_found(job: &JobFound) -> Value {
    json!({
        "code": job.found.code,
        "title": job.title,
        "search_complete": job.found.complete,
        "joints": job.joints.iter().zip(&job.found.joints).map(|(name, j)| joint(job, name, j)).collect::<Vec<_>>(),
        "sets": job.found.sets.iter().map(|s| set(job, s)).collect::<Vec<_>>(),
        "if_settled": job.found.if_settled.iter().map(|s| set(job, s)).collect::<Vec<_>>(),
    })
}

fn joint(job: &JobFound, name: &str, found: &JointFound) -> Value {
    json!({
        "joint": name,
        "answer": found.answer.word(),
        "nearest": found.nearest.and_then(|n| job.candidates.get(n)),
        "reasons": found.reasons.iter().map(reason).collect::<Vec<_>>(),
    })
}

/// The answer about one side of a joint.
pub(crate) fn reason(r: &CoverReason) -> Value {
    json!({
        "about": r.facet.map(|f| f.word()),
        "answer": r.answer.word(),
        "rules": r.rules,
        "clauses": r.clauses,
        "message": r.message,
    })
}

fn set(job: &JobFound, set: &CouponSet) -> Value {
    let name = |n: &usize| job.joints.get(*n);
    json!({
        "coupons": set.coupons,
        "metal_cm3": (set.metal_m3 * 1e6).round(),
        "tests": set.members.iter().map(|m| json!({
            "test": job.candidates.get(m.candidate),
            "covers": m.joints.iter().map(name).collect::<Vec<_>>(),
        })).collect::<Vec<_>>(),
        "doubts": set.doubts.iter().map(|d| json!({
            "joint": name(&d.joint), "rules": d.rules, "message": d.message,
        })).collect::<Vec<_>>(),
    })
}
