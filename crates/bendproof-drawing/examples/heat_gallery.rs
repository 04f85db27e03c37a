//! Writes every picture of heat, by day and in the booth, to a folder:
//!
//! `cargo run --release -p bendproof-drawing --example heat_gallery -- FOLDER`
//!
//! The weld is made up; look at the drawing, not at the figures.

#[path = "../tests/sample_weld/mod.rs"]
mod sample_weld;

use std::path::Path;
use std::time::Instant;

use bendproof_drawing::{Frame, Ground, HeatLook, Theme, Words, macro_etch};

fn main() -> std::io::Result<()> {
    let folder = std::env::args().nth(1).unwrap_or_else(|| "heat-gallery".to_owned());
    std::fs::create_dir_all(&folder)?;
    let words = Words::english();
    for (name, ground, theme) in
        [("paper", Ground::Day, Theme::paper()), ("steel", Ground::Booth, Theme::steel())]
    {
        let look = HeatLook::english(ground);
        for (width, px) in [("desktop", 26.0), ("phone", 10.0)] {
            let frame = Frame {
                id: "etch",
                title: "Etched section",
                desc: "eight beads",
                theme: &theme,
                words: &words,
            };
            let etch = sample_weld::etch(120, 50, px);
            // The first call also warms the memory up; the second is what a page waits for.
            let _ = macro_etch(&etch, &look, &frame);
            let start = Instant::now();
            let svg = macro_etch(&etch, &look, &frame);
            println!("etch {width} {name}: {} bytes, {:?}", svg.len(), start.elapsed());
            std::fs::write(Path::new(&folder).join(format!("etch-{width}-{name}.svg")), svg)?;
        }
    }
    Ok(())
}
