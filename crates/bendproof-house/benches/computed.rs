//! What the program computes for one coupon, in one process: forecast, sheet,
//! verdict, standing, paper. Ratios are within this run.

mod support;

use std::error::Error;
use std::time::Instant;

use bendproof_files::{COUPON, Document};
use bendproof_paper::{Issued, PageSize, RecordPaper, both_pdf, record_pdf, traveler_of};
use bendproof_traveler::build::build;
use bendproof_traveler::cover::{across, find_for_job, read_job, under_codes};
use bendproof_traveler::drawn::Look;
use bendproof_traveler::forecast::read_forecast;
use bendproof_traveler::issued::{Issue, Record, bends};
use bendproof_traveler::judged::read_bends;
use bendproof_traveler::welder::read_record;
use support::{Times, head, say};

const PLATE: &str = include_str!("../../../examples/plate-3g-downhill.toml");
const PIPE: &str = include_str!("../../../examples/pipe-6g.toml");
const BENDS: &str = include_str!("../../../examples/bends.toml");
const RECORD: &str = include_str!("../../../examples/record.toml");
const JOINTS: &str = include_str!("../../../examples/joints.toml");
const ISSUED: Issued = Issued { year: 2026, month: 11, day: 25, hour: 12, minute: 0, second: 0 };

fn record(document: &Document) -> Result<Record, Box<dyn Error>> {
    Ok(bends(document, None, None, Issue::first("2026-11-25 12:00:00 UTC".to_owned(), "Ida Voss"))?)
}

fn pdf(document: &Document) -> Result<Vec<u8>, Box<dyn Error>> {
    let sheet = build("0412", document, &[], None, Look::Paper);
    let paper = RecordPaper { record: record(document)?, issued: ISSUED, page: PageSize::Letter };
    Ok(both_pdf(&traveler_of(&sheet, ISSUED, PageSize::Letter), &paper)?)
}

/// Records printed in one go: a large school's year.
const RECORDS: usize = 1000;

/// Time to judge a coupon and print its record, each with a number of its own.
fn printed(document: &Document) -> Result<std::time::Duration, Box<dyn Error>> {
    let began = Instant::now();
    for number in 0..RECORDS {
        let mut one = document.clone();
        one.set("number", Some(&number.to_string()));
        let paper = RecordPaper { record: record(&one)?, issued: ISSUED, page: PageSize::Letter };
        std::hint::black_box(record_pdf(&paper)?);
    }
    Ok(began.elapsed())
}

fn main() -> Result<(), Box<dyn Error>> {
    let (plate, _) = Document::from_toml(&COUPON, PLATE);
    let (pipe, _) = Document::from_toml(&COUPON, PIPE);
    let codes = bendproof_codes::catalogue::codes()?;
    let job = read_job(JOINTS, None).job.ok_or("the example joints cannot be read")?;
    let code = job.code.ok_or("the example joints name no code")?;
    let began = Instant::now();
    let first_pdf = pdf(&plate)?;
    let cold = Times::of(vec![began.elapsed()]);
    let forecast = Times::take(500, || read_forecast(PLATE, None));
    let reference = forecast.at(0.5).as_secs_f64();
    let jobs = [
        ("forecast of a plate, from the file's text", forecast),
        ("forecast of a fixed pipe, from the file's text", Times::take(500, || read_forecast(PIPE, None))),
        (
            "whole sheet of a plate, drawings included",
            Times::take(100, || build("0412", &plate, &[], None, Look::Screen)),
        ),
        ("whole sheet of a fixed pipe", Times::take(100, || build("0420", &pipe, &[], None, Look::Screen))),
        ("verdict on four straps, from the file's text", Times::take(500, || read_bends(BENDS, None))),
        ("standing, from the file's text", Times::take(500, || read_record(RECORD, None))),
        (
            "a fixed pipe under every code, side by side",
            Times::take(200, || under_codes(&pipe, codes, None).map(|all| across(&all))),
        ),
        ("smallest tests for the joints of a job", Times::take(100, || find_for_job(&job, code))),
        ("traveler and record as PDF, first of the process", cold),
        ("traveler and record as PDF, warm", Times::take(20, || pdf(&plate))),
    ];
    head("computed", &["job", "runs", "least", "middle", "greatest", "middle over a forecast"]);
    for (name, times) in &jobs {
        let middle = times.at(0.5);
        println!(
            "| {name} | {} | {} | {} | {} | {:.1} |",
            times.count(),
            say(times.at(0.0)),
            say(middle),
            say(times.at(1.0)),
            middle.as_secs_f64() / reference
        );
    }
    println!("\nThe PDF has {} bytes.", first_pdf.len());
    println!("{} records of their own as PDF, one after another: {}.", RECORDS, say(printed(&plate)?));
    Ok(())
}
