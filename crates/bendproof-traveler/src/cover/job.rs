//! The joints of a job, from a joints file, and the smallest tests for them.

use bendproof_codes::ahead::{CouponSet, FinderError, FinderResult, asks_figure, find_coupons};
use bendproof_codes::catalogue::Code;
use bendproof_codes::held::{Joint, JointDetails};
use bendproof_codes::words::{JointBacking, JointKind, JointPosition};
use bendproof_files::{
    Document, Finding, JOINTS, Reader, Severity, backing_gas_agrees, deposit_fits, filler_fits,
    filler_type_agrees, pipe_sizes_fit, plate_has_no_diameter,
};
use bendproof_measure::System;
use bendproof_weld::{Polarity, Process, Progression, Transfer};
use jiff::civil::{Date, date};

use super::stock::{Blank, Way, stock};
use crate::context::{AssessmentContext, known};
use crate::joint::{Filler, JobJoint, both_sizes, is_yes, p_number};
use crate::sheet::both_systems;

/// The joints of a job.
#[derive(Debug, Clone, PartialEq)]
pub struct Job {
    /// Who is to weld them.
    pub welder: Option<String>,
    /// The code of the job, where one is named.
    pub code: Option<&'static Code>,
    /// The joints in order.
    pub joints: Vec<JobJoint>,
}

/// A joints file, read.
#[derive(Debug, Clone, PartialEq)]
pub struct JobRead {
    /// What is wrong with the text.
    pub findings: Vec<Finding>,
    /// The job; `None` when the text cannot be used.
    pub job: Option<Job>,
}

/// The finder's answer for a job under one code.
#[derive(Debug, Clone, PartialEq)]
pub struct JobFound {
    /// Title of the code.
    pub title: String,
    /// Names of the joints in order.
    pub joints: Vec<String>,
    /// Names of the candidates, which the sets name by index.
    pub candidates: Vec<String>,
    /// The answer.
    pub found: FinderResult,
    /// The units the job speaks first: those of its first thickness.
    pub system: System,
}

impl JobFound {
    /// The weld metal of a set in words: `70 in³ · 1147 cm³`.
    pub fn metal_words(&self, set: &CouponSet) -> String {
        const IN3_M3: f64 = 0.0254 * 0.0254 * 0.0254;
        let (inch, metric) = (set.metal_m3 / IN3_M3, set.metal_m3 * 1e6);
        both_systems(self.system == System::Inch, format!("{inch:.0} in³"), format!("{metric:.0} cm³"))
    }
}

/// Reads a joints file.
pub fn read_job(text: &str, context: impl Into<AssessmentContext>) -> JobRead {
    let (document, findings) = Document::from_toml(&JOINTS, text);
    read_job_document(&document, findings, context)
}

/// Reads the joints of a document; `findings` are what is known of it already.
pub fn read_job_document(
    document: &Document,
    mut findings: Vec<Finding>,
    context: impl Into<AssessmentContext>,
) -> JobRead {
    let context = context.into();
    let mut r = Reader::new(&JOINTS, document, known(context.day));
    let welder = r.text("welder").map(str::to_owned);
    let code = r.text("code").and_then(|name| context.code(name));
    let rows = document.rows("joint");
    if rows.is_empty() {
        r.note(Finding::error(
            "joint",
            "no joint is given; write one [[joint]] for each that must be welded",
        ));
    }
    let joints: Vec<Option<JobJoint>> = rows.iter().map(|row| joint(&mut r, *row)).collect();
    findings.extend(r.into_findings());
    let is_sound = findings.iter().all(|f| f.severity < Severity::Error);
    let joints: Option<Vec<JobJoint>> = joints.into_iter().collect();
    let job = joints.filter(|_| is_sound).map(|joints| Job { welder, code, joints });
    JobRead { findings, job }
}

fn joint(r: &mut Reader<'_>, row: usize) -> Option<JobJoint> {
    let at = |name: &str| format!("joint.{row}.{name}");
    let name = r.text(&at("name")).map_or_else(|| format!("joint {row}"), |n| n.trim().to_owned());
    let lower = |w: &str| w.trim().to_lowercase();
    let kind = r.word(&at("kind"), |w| JointKind::from_word(&lower(w)));
    let position = r.word(&at("position"), |w| JointPosition::from_word(&w.trim().to_uppercase()));
    let process = r.word(&at("process"), Process::from_word);
    let transfer = r.word(&at("transfer"), Transfer::from_word);
    if process == Some(Process::Gmaw) && transfer.is_none() {
        let message = "transfer is missing for GMAW; write one of short-circuit, globular, spray, pulsed";
        r.note(Finding::error(at("transfer"), message));
    }
    let thickness = r.quantity(&at("thickness"));
    deposit_fits(r, &at("deposit"), &at("thickness"));
    let deposit = r.quantity(&at("deposit"));
    pipe_sizes_fit(r, &at("outside_diameter"), &at("nominal_size"));
    let is_plate = kind == Some(JointKind::PlateGroove);
    plate_has_no_diameter(r, is_plate.then_some(false), &[&at("outside_diameter"), &at("nominal_size")]);
    let outside = r.quantity(&at("outside_diameter"));
    let nominal = r.quantity(&at("nominal_size"));
    if kind == Some(JointKind::PipeGroove) && outside.is_none() && nominal.is_none() {
        let message = "the pipe's size is missing; write nominal_size like 6, NPS 6 or DN 150, or outside_diameter like 6.625 in";
        r.note(Finding::error(at("nominal_size"), message));
    }
    let backing = r.word(&at("backing"), |w| JointBacking::from_word(&lower(w)));
    let progression = r.word(&at("progression"), Progression::from_word);
    filler_fits(r, &at("filler"), process);
    filler_type_agrees(r, &at("filler"), &at("filler_type"));
    backing_gas_agrees(r, &at("backing"), &at("backing_gas"));
    let filler = r.text(&at("filler")).map(Filler::of);
    let filler_type = r.text(&at("filler_type")).map(str::to_owned);
    let polarity = r.word(&at("polarity"), Polarity::from_word);
    let backing_gas = is_yes(r, &at("backing_gas"));
    let base_metal = r.text(&at("base_metal")).map(p_number);
    let (outside_diameter, nominal_size) = both_sizes(outside, nominal);
    let joint = Joint {
        kind: kind?,
        position: position?,
        process: process?,
        transfer,
        thickness: Some(thickness?),
        diameter: None,
        backing,
        progression,
        filler: filler.as_ref().and_then(|f| f.f_number.clone()),
        day: None,
        details: JointDetails {
            fm_group: filler.as_ref().and_then(|f| f.fm_group.clone()),
            filler_type: filler_type.or(filler.and_then(|f| f.filler_type)),
            deposit,
            polarity,
            backing_gas,
            base_metal,
            ..JointDetails::default()
        },
    };
    Some(JobJoint { name, joint, outside_diameter, nominal_size })
}

/// The smallest tests for a job under a code, from the shop's stock and from
/// the job's own plate and pipe.
///
/// # Errors
/// [`FinderError`] when the job is too large for one question.
pub fn find_for_job(job: &Job, code: &Code) -> Result<JobFound, FinderError> {
    /// Nothing asked here depends on the day; a test needs one.
    const DAY: Date = date(2000, 1, 1);
    let candidates = stock().candidates(&ways(job), &own(job), asks_figure(code), DAY);
    let joints: Vec<Joint> = job.joints.iter().map(|j| j.under(code)).collect();
    let found = find_coupons(code, &candidates, &joints)?;
    let written = job.joints.iter().find_map(|j| j.joint.thickness);
    Ok(JobFound {
        title: code.full_title(),
        joints: job.joints.iter().map(|j| j.name.clone()).collect(),
        candidates: candidates.into_iter().map(|c| c.name).collect(),
        found,
        system: written.map_or(System::Inch, |thickness| thickness.system),
    })
}

fn ways(job: &Job) -> Vec<Way> {
    let mut out: Vec<Way> = Vec::new();
    for JobJoint { joint, .. } in &job.joints {
        let way = Way {
            process: joint.process,
            transfer: joint.transfer,
            filler: joint.filler.clone(),
            fm_group: joint.details.fm_group.clone(),
            filler_type: joint.details.filler_type.clone(),
            base_metal: joint.details.base_metal.clone(),
            polarity: joint.details.polarity,
            backing_gas: joint.details.backing_gas,
        };
        if !out.contains(&way) {
            out.push(way);
        }
    }
    out
}

/// The job's own metal, where the stock does not have it.
fn own(job: &Job) -> Vec<Blank> {
    let mut out: Vec<Blank> = Vec::new();
    for blank in job.joints.iter().filter(|j| j.joint.kind != JointKind::Fillet).filter_map(blank) {
        let key = |b: &Blank| (b.shape, b.thickness.si.to_bits(), b.outside_diameter.map(|d| d.si.to_bits()));
        if !stock().blanks.iter().chain(&out).any(|known| key(known) == key(&blank)) {
            out.push(blank);
        }
    }
    out
}

/// The metal of the joint itself, as a test piece. A joint too thick for
/// its pipe is none.
fn blank(joint: &JobJoint) -> Option<Blank> {
    let thickness = joint.joint.thickness?;
    if joint.joint.kind == JointKind::PlateGroove {
        return Some(stock().plate_blank(thickness, None));
    }
    let outside = joint.outside_diameter.filter(|d| d.si > 2.0 * thickness.si)?;
    let say = bendproof_measure::say;
    let size = match joint.nominal_size {
        Some(nominal) => format!("NPS {}", say(&nominal).trim_end_matches(" in")),
        None => say(&outside),
    };
    let name = format!("{size} pipe, wall {}", say(&thickness));
    Some(stock().pipe_blank(name, thickness, outside, joint.nominal_size))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_words_of_the_file_are_the_words_of_the_engine() {
        let words = |path: &str| match JOINTS.spec(path).map(|s| s.what) {
            Some(bendproof_files::What::Words(words)) => words,
            _ => &[],
        };
        assert_eq!(words("joint.1.kind"), JointKind::WORDS);
        assert_eq!(words("joint.1.position"), JointPosition::WORDS);
        assert_eq!(words("joint.1.backing"), JointBacking::WORDS);
    }
}
