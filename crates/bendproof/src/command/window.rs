//! `bendproof window`: two inputs at once, and which knob to turn.

use std::path::Path;

use bendproof_drawing::{Frame, Theme, Words};
use bendproof_files::{COUPON, Document};
use bendproof_forecast::{MAP_CELLS_MAX, MapError, Scope, Verdict};
use bendproof_traveler::context::AssessmentContext;
use bendproof_traveler::plates::{PastPlate, past_plate};
use bendproof_traveler::window::{
    Side, Window, WindowRequest, read_window, window_csv, window_description, window_lines, window_sources,
    window_svg, window_title,
};

use crate::arguments::WindowOptions;
use crate::exit::{Exit, Failure, Outcome, failure};
use crate::result_file::Written;
use crate::{output, result_file, source};
use bendproof_contract as contract;

/// Cells of a map printed as text: fits a terminal of 100 columns (choice).
const TEXT_CELLS: (usize, usize) = (72, 24);
/// Cells of a map written to a file (choice).
const FILE_CELLS: (usize, usize) = (60, 60);

pub fn run(options: &WindowOptions, as_json: bool) -> Outcome {
    let format = options.out.as_deref().map(format_of).transpose()?;
    let request = request(options)?;
    let context = source::context(options.shop.shop_rules.as_deref())?;
    let plates = options.plate.iter().filter_map(|p| plate(p, context).transpose());
    let plates = plates.collect::<Result<Vec<_>, _>>()?;
    let text = source::read(&options.file)?;
    check_pass(options.pass, &text)?;
    let read = read_window(&text, context, &request, &plates);
    output::findings(&options.file, &read.findings);
    let Some(window) = read.window else {
        if as_json {
            output::json(&serde_json::json!({ "findings": contract::findings_json(&read.findings) }));
        }
        return Ok(Exit::CouldNot);
    };
    let window = window.map_err(failure)?;
    match (&options.out, format) {
        (Some(out), Some(format)) => {
            let bytes = bytes(&window, format)?;
            let written = result_file::write(out, &bytes)?;
            say_written(&window, out, bytes.len(), written, as_json);
        }
        _ if as_json => output::json(&contract::window(&window)),
        _ => {
            window_lines(&window).iter().for_each(output::line);
            if options.show.sources {
                output::sources(window_sources(&window));
            }
        }
    }
    let word = window.advice.answers.verdict();
    Ok(if word == Verdict::Holds { Exit::Fine } else { Exit::Findings })
}

/// A pass that is not planned is refused whatever the sides turn.
fn check_pass(pass: usize, text: &str) -> Result<(), Failure> {
    let planned = Document::from_toml(&COUPON, text).0.rows("pass").len();
    // Without any pass the plan itself is reported missing.
    if pass <= planned.max(1) { Ok(()) } else { Err(failure(MapError::NoSuchPass { pass, planned })) }
}

fn say_written(window: &Window, out: &Path, size: usize, written: Written, as_json: bool) {
    if as_json {
        output::json(&serde_json::json!({ "file": out.display().to_string(), "bytes": size }));
    } else {
        output::line(format!("{}: {size} bytes{}", out.display(), written.words()));
        output::line(window_description(window));
    }
}

/// What the map is written as.
#[derive(Debug, Clone, Copy)]
enum Format {
    Svg,
    Png,
    Csv,
    Json,
}

fn format_of(out: &Path) -> Result<Format, Failure> {
    match result_file::ending(out).as_str() {
        "svg" => Ok(Format::Svg),
        "png" => Ok(Format::Png),
        "csv" => Ok(Format::Csv),
        "json" => Ok(Format::Json),
        _ => Err(result_file::unknown_ending(out, &["svg", "png", "csv", "json"], "a map")),
    }
}

fn bytes(window: &Window, format: Format) -> Result<Vec<u8>, Failure> {
    match format {
        Format::Svg => Ok(svg(window).into_bytes()),
        Format::Png => bendproof_paper::png(&svg(window)).map_err(failure),
        Format::Csv => Ok(window_csv(window).into_bytes()),
        Format::Json => serde_json::to_vec_pretty(&contract::window(window)).map_err(failure),
    }
}

fn svg(window: &Window) -> String {
    let (theme, words) = (Theme::paper(), Words::english());
    let (title, desc) = (window_title(window), window_description(window));
    window_svg(window, &Frame { id: "window", title: &title, desc: &desc, theme: &theme, words: &words })
}

fn request(options: &WindowOptions) -> Result<WindowRequest, Failure> {
    let side =
        |text: &str, of: &str| Side::read(text, options.pass).map_err(|why| failure(format!("--{of} {why}")));
    let standard = if options.out.is_some() { FILE_CELLS } else { TEXT_CELLS };
    Ok(WindowRequest {
        x: side(&options.x, "x")?,
        y: side(&options.y, "y")?,
        cells: options.size.as_deref().map_or(Ok(standard), cells)?,
        scope: if options.root { Scope::Root } else { Scope::Whole },
    })
}

/// `60x40`: cells across and upwards.
fn cells(text: &str) -> Result<(usize, usize), Failure> {
    let read = text.split_once(['x', 'X', '×']).and_then(|(a, b)| {
        let one = |t: &str| t.trim().parse::<usize>().ok().filter(|n| (1..=MAP_CELLS_MAX).contains(n));
        Some((one(a)?, one(b)?))
    });
    read.ok_or_else(|| {
        failure(format!("size is {text}; enter 1x1 to {MAP_CELLS_MAX}x{MAP_CELLS_MAX}, for example 60x60"))
    })
}

/// A finished coupon as a dot; one that is not judged yet is reported and left out.
fn plate(path: &Path, context: AssessmentContext) -> Result<Option<PastPlate>, Failure> {
    let (document, _) = Document::from_toml(&COUPON, &source::read(path)?);
    let plate = past_plate(document.get("number").unwrap_or(""), &document, context);
    if plate.is_none() {
        output::say!("note: {} is not judged yet and is left out", path.display());
    }
    Ok(plate)
}
