//! `bendproof etch`: the section as it would etch, solved bead by bead.

use std::path::Path;

use bendproof_traveler::drawn::Look;
use bendproof_traveler::origin::source_rows;
use bendproof_traveler::solved::{
    COMPUTED, FilmSide, PLACES_MAX, Place, SectionAsk, cooling_csv, curves, film_frame, film_times,
    places as named, solved_origins,
};
use bendproof_traveler::solved::{SolvedCoupon, read_measured, solve_text, solved_sheet};

use crate::arguments::EtchOptions;
use crate::exit::{Exit, Failure, Outcome, failure};
use crate::{output, result_file, source};
use bendproof_contract as contract;

pub fn run(options: &EtchOptions, as_json: bool) -> Outcome {
    let format = options.out.as_deref().map(Format::of).transpose()?;
    let places = options.at.iter().map(|text| point(text)).collect::<Result<Vec<_>, _>>()?;
    if places.len() > PLACES_MAX {
        return Err(failure(format!("--at stands {} times; enter at most {PLACES_MAX}", places.len())));
    }
    let measured = match &options.measured {
        Some(file) => read_measured(&source::read(file)?)
            .map_err(|why| failure(format!("{}: {why}", file.display())))?,
        None => Vec::new(),
    };
    let text = source::read(&options.file)?;
    if let Some(out) = &options.out {
        result_file::may_write(out, &["svg", "png", "json", "csv"], "a section")?;
    }
    if let Some(folder) = &options.film {
        may_film(folder)?;
    }
    super::solving::announce(&text, Some(source::today()));
    let solved = match solve_text(&text, Some(source::today())) {
        Ok(solved) => solved,
        Err(why) => {
            if as_json {
                output::json(&serde_json::json!({ "not_known": why.0 }));
            }
            why.0.iter().for_each(|one| output::say!("{}: not known: {one}", options.file.display()));
            return Ok(Exit::CouldNot);
        }
    };
    let bead = chosen(&solved, options.bead)?;
    let places = named(&SectionAsk { bead, places_mm: places, ..SectionAsk::default() }, bead);
    if let Some(folder) = &options.film {
        write_film(&solved, bead, &places, folder, &measured)?;
    }
    match (&options.out, format) {
        (Some(out), Some(format)) => {
            let bytes = bytes(&solved, format, &places)?;
            let written = result_file::write(out, &bytes)?;
            if as_json {
                output::json(&serde_json::json!({ "file": out.display().to_string(), "bytes": bytes.len() }));
            } else {
                let words = written.words();
                output::line(format!("{}: {} bytes, {COMPUTED}{words}", out.display(), bytes.len()));
            }
        }
        _ if as_json => output::json(&contract::solved_json(&solved)),
        _ => {
            print(&solved, &places, &measured);
            if options.show.sources {
                output::sources(source_rows(&solved_origins()));
            }
        }
    }
    Ok(Exit::Fine)
}

/// What the section is written as.
#[derive(Debug, Clone, Copy)]
enum Format {
    Svg,
    Png,
    Json,
    Csv,
}

impl Format {
    fn of(out: &Path) -> Result<Self, Failure> {
        match result_file::ending(out).as_str() {
            "svg" => Ok(Self::Svg),
            "png" => Ok(Self::Png),
            "json" => Ok(Self::Json),
            "csv" => Ok(Self::Csv),
            _ => Err(result_file::unknown_ending(out, &["svg", "png", "json", "csv"], "a section")),
        }
    }
}

fn bytes(solved: &SolvedCoupon, format: Format, places: &[Place]) -> Result<Vec<u8>, Failure> {
    let etch = || solved_sheet(solved, Look::Paper).etch;
    match format {
        Format::Svg => Ok(etch().into_bytes()),
        Format::Png => bendproof_paper::png(&etch()).map_err(failure),
        Format::Json => serde_json::to_vec_pretty(&contract::solved_json(solved)).map_err(failure),
        Format::Csv => Ok(cooling_csv(solved, places).into_bytes()),
    }
}

fn chosen(solved: &SolvedCoupon, bead: usize) -> Result<usize, Failure> {
    let beads = solved.beads();
    match (1..=beads).contains(&bead) {
        true => Ok(bead),
        false => Err(failure(format!("bead is {bead}, this plan has 1 to {beads}"))),
    }
}

/// `3.2,5`: millimetres across and up.
fn point(text: &str) -> Result<[f64; 2], Failure> {
    let number = |t: &str| t.trim().parse::<f64>().ok().filter(|v| v.is_finite());
    let read = text.split_once(',').and_then(|(x, y)| Some([number(x)?, number(y)?]));
    let place = read.ok_or_else(|| {
        failure(format!("--at {text} is no place; write millimeters across and up, as in 3.2,5"))
    })?;
    if place.iter().any(|mm| mm.abs() > PLACE_MM_MAX) {
        return Err(failure(format!(
            "--at {text} is off any coupon; enter -{PLACE_MM_MAX} to {PLACE_MM_MAX} mm across and up, as in 3.2,5"
        )));
    }
    Ok(place)
}

/// Farthest place asked for, mm from the middle of the root. Basis: choice; no
/// plate of the section is as wide or as thick.
const PLACE_MM_MAX: f64 = 500.0;

/// Name of the chart next to the frames.
const COOLING: &str = "cooling.svg";

/// Refuses a folder that holds a film already, before the long work: frames of
/// two films in one folder are distinguished by nobody.
fn may_film(folder: &Path) -> Result<(), Failure> {
    let is_film = |name: &str| name == COOLING || (name.starts_with("bead-") && name.ends_with(".svg"));
    // A folder that cannot be read is reported when it is made.
    let mut there = std::fs::read_dir(folder).into_iter().flatten().flatten();
    match there.find(|file| is_film(&file.file_name().to_string_lossy())) {
        None => Ok(()),
        Some(file) => Err(failure(format!(
            "{} holds a film already ({}), and a film is never written over; name another folder after --film",
            folder.display(),
            file.file_name().to_string_lossy()
        ))),
    }
}

/// Writes every frame across the weld, the cut along it and the cooling curves.
fn write_film(
    solved: &SolvedCoupon,
    bead: usize,
    places: &[Place],
    folder: &Path,
    measured: &[[f64; 2]],
) -> Result<(), Failure> {
    std::fs::create_dir_all(folder)
        .map_err(|why| failure(format!("{}: {why}; choose another folder", folder.display())))?;
    for frame in 0..film_times(solved, bead).len() {
        let drawn = film_frame(solved, bead, frame, FilmSide::Across, places, Look::Paper);
        let Some(drawn) = drawn else { continue };
        let name = format!("bead-{bead:02}-{frame:02}.svg");
        result_file::write(&folder.join(name), drawn.svg.as_bytes())?;
    }
    if let Some(along) = film_frame(solved, bead, 0, FilmSide::Along, places, Look::Paper) {
        result_file::write(&folder.join(format!("bead-{bead:02}-along.svg")), along.svg.as_bytes())?;
    }
    let chart = curves(solved, places, measured, Look::Paper).svg;
    result_file::write(&folder.join(COOLING), chart.as_bytes()).map(|_| ())
}

fn print(solved: &SolvedCoupon, places: &[Place], measured: &[[f64; 2]]) {
    let sheet = solved_sheet(solved, Look::Paper);
    output::line(format!("{} {}", sheet.number, sheet.title));
    output::line(format!("predicted macroetch section, {}\n", sheet.stamp));
    sheet.answers.iter().for_each(output::line);
    output::line("");
    // Beads stand side by side, so that a terminal of 100 columns holds a root,
    // a hot pass and the fills.
    let head = |label: &str, unit: &str| match unit {
        "" => label.to_owned(),
        unit => format!("{label}, {unit}"),
    };
    let mut rows = vec![vec!["bead".to_owned()]];
    rows[0].extend(sheet.rows.iter().map(|r| format!("{} {}", r.bead, r.kind)));
    for (k, column) in sheet.columns.iter().enumerate() {
        let mut row = vec![head(&column.label, &column.unit)];
        row.extend(sheet.rows.iter().map(|r| r.cells.get(k).cloned().unwrap_or_default()));
        rows.push(row);
    }
    output::table(&rows);
    output::line("");
    let followed = curves(solved, places, measured, Look::Paper).rows;
    let mut rows = vec![["place", "", "highest", "t8/5", "measured"].map(str::to_owned).to_vec()];
    rows.extend(followed.into_iter().map(|r| vec![r.place.name, r.words, r.peak, r.t85, r.measured]));
    output::table(&rows);
    for note in &sheet.notes {
        output::say!("note: {note}");
    }
}
