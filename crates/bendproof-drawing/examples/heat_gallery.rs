//! Writes every picture of heat, by day and in the booth, to a folder:
//!
//! `cargo run --release -p bendproof-drawing --example heat_gallery -- FOLDER`
//!
//! The weld is made up; look at the drawing, not at the figures.

#[path = "../tests/sample_weld/mod.rs"]
mod sample_weld;

use std::path::Path;
use std::time::{Duration, Instant};

use bendproof_drawing::{
    Frame, Ground, HeatLook, Theme, TimeAxis, Tones, Words, cooling_chart, heat_frame, macro_etch,
    ramp_css_variables,
};

/// How often each picture is made.
const TIMES: usize = 9;

fn main() -> std::io::Result<()> {
    let folder = std::env::args().nth(1).unwrap_or_else(|| "heat-gallery".to_owned());
    std::fs::create_dir_all(&folder)?;
    let words = Words::english();
    for (name, ground, theme) in [
        ("paper", Ground::Day, Theme::paper()),
        ("steel", Ground::Booth, Theme::steel()),
        ("page", Ground::Page, Theme::web()),
    ] {
        let look = HeatLook::english(ground);
        for (width, px, plot) in [("desktop", 26.0, [640.0, 320.0]), ("phone", 10.0, [270.0, 240.0])] {
            let frame = Frame {
                id: "heat",
                title: "Picture of heat",
                desc: "a sample",
                theme: &theme,
                words: &words,
            };
            let etch = sample_weld::etch(120, 50, px);
            let across = sample_weld::across(120, 50, px);
            let along = sample_weld::along(px);
            let curves =
                [TimeAxis::Linear, TimeAxis::Logarithmic].map(|axis| sample_weld::cooling(axis, plot));
            let pictures: [(&str, &dyn Fn() -> String); 5] = [
                ("etch", &|| macro_etch(&etch, &look, &frame)),
                ("across", &|| heat_frame(&across, &look, &frame)),
                ("along", &|| heat_frame(&along, &look, &frame)),
                ("cooling", &|| cooling_chart(&curves[0], &look, &frame)),
                ("cooling-log", &|| cooling_chart(&curves[1], &look, &frame)),
            ];
            for (picture, make) in pictures {
                // The best of several, since other programs take their turns too.
                let mut best = Duration::MAX;
                let mut svg = String::new();
                for _ in 0..TIMES {
                    let start = Instant::now();
                    svg = make();
                    best = best.min(start.elapsed());
                }
                println!("{picture} {width} {name}: {} bytes, {best:?}", svg.len());
                std::fs::write(Path::new(&folder).join(format!("{picture}-{width}-{name}.svg")), svg)?;
            }
        }
    }
    // A page in the booth: the drawings of the page's look with the booth's variables.
    let booth = Theme::steel().css_variables()
        + &Tones::new(Ground::Booth).css_variables()
        + &ramp_css_variables(6, Ground::Booth);
    let mut page = format!("<!doctype html><style>body{{background:#22252a;{booth}}}</style>");
    for picture in ["etch", "across", "along", "cooling", "cooling-log"] {
        page += &std::fs::read_to_string(Path::new(&folder).join(format!("{picture}-phone-page.svg")))?
            .replace("heat-metal", &format!("{picture}-metal"))
            .replace("heat-weld", &format!("{picture}-weld"));
    }
    std::fs::write(Path::new(&folder).join("page.html"), page)
}
