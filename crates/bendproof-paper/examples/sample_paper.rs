//! Prints a traveler and a record of an invented coupon into a folder, and says
//! how long each took: `cargo run --release -p bendproof-paper --example sample_paper -- FOLDER`.

use std::time::Instant;

#[path = "../tests/sample/mod.rs"]
mod sample;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = std::env::args().nth(1).unwrap_or_else(|| "paper".to_owned());
    std::fs::create_dir_all(&folder)?;
    for round in ["first", "second", "third"] {
        let started = Instant::now();
        let traveler = bendproof_paper::traveler_pdf(&sample::traveler())?;
        let middle = Instant::now();
        let record = bendproof_paper::record_pdf(&sample::record())?;
        println!(
            "{round}: traveler {:.1} ms, record {:.1} ms, {} and {} bytes",
            (middle - started).as_secs_f64() * 1e3,
            middle.elapsed().as_secs_f64() * 1e3,
            traveler.len(),
            record.len()
        );
        std::fs::write(format!("{folder}/traveler.pdf"), traveler)?;
        std::fs::write(format!("{folder}/record.pdf"), record)?;
    }
    let both = bendproof_paper::both_pdf(&sample::traveler(), &sample::record())?;
    std::fs::write(format!("{folder}/both.pdf"), both)?;
    Ok(())
}
