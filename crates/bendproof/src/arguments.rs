//! What can be asked for on the command line.

use std::path::PathBuf;

use bendproof_files::character_fault;
use bendproof_traveler::issued::RecordKind;
use clap::{Args, Parser, Subcommand};

/// Predict a groove-weld test coupon, judge its bend tests, and show what the
/// welder is qualified for.
///
/// Run `bendproof bench` to open the web page, `bendproof forecast FILE` for a
/// coupon file, or `bendproof calc` for single formulas.
#[derive(Debug, Parser)]
#[command(name = "bendproof", version, arg_required_else_help = true)]
pub struct Arguments {
    /// Print JSON (stable format; fields are only ever added).
    #[arg(long, global = true)]
    pub json: bool,
    /// What to do.
    #[command(subcommand)]
    pub task: Task,
}

/// One task.
#[derive(Debug, Subcommand)]
pub enum Task {
    /// Forecast a coupon: passes, margins and totals.
    Forecast {
        /// The coupon file.
        file: PathBuf,
        /// Use the fast model, fitted to solved beads, instead of solving
        /// every bead.
        #[arg(long)]
        fast: bool,
        #[command(flatten)]
        show: SourcesOption,
        #[command(flatten)]
        shop: ShopOption,
    },
    /// Map two settings: which failure governs, and what to change.
    Window(WindowOptions),
    /// Predicted macroetch section, bead by bead, with animation and cooling curves.
    Etch(EtchOptions),
    /// Compare two coupons: what differs, and why.
    Compare {
        /// The first coupon file.
        a: PathBuf,
        /// The second coupon file.
        b: PathBuf,
        /// Write both drawings and their numbers to this file: .svg or .png.
        #[arg(short, long)]
        out: Option<PathBuf>,
        #[command(flatten)]
        show: SourcesOption,
        #[command(flatten)]
        shop: ShopOption,
    },
    /// Judge bend specimens, or everything examined on a coupon, to a code.
    Judge {
        /// The bends file, or the coupon file.
        file: PathBuf,
        #[command(flatten)]
        shop: ShopOption,
    },
    /// Show what a test qualifies a welder for, when it expires, and whether
    /// given joints are covered.
    Standing {
        /// The record file.
        file: PathBuf,
        /// Date to report on, for example 2026-11-02 (default: today). Later
        /// tests and process use are not counted.
        #[arg(long, value_parser = day)]
        on: Option<jiff::civil::Date>,
        #[command(flatten)]
        shop: ShopOption,
    },
    /// Show what a coupon will qualify for before it is welded; with --joints,
    /// find the fewest tests for a job.
    Cover(CoverOptions),
    /// Draft a WPS from a PQR, check a WPS against its PQR, and check joints
    /// against it.
    Procedure(ProcedureOptions),
    /// Print the traveler and the welder qualification record as PDF.
    Paper(PaperOptions),
    /// Issue a record (PDF, workbook or record file).
    Record(RecordOptions),
    /// Calculate one published formula; without a name, list them.
    Calc {
        /// Name of the formula.
        name: Option<String>,
        /// Arguments as `key=value`, with units: `diameter="0.035 in"`.
        arguments: Vec<String>,
    },
    /// Show one code rule: clause, limits, source, basis, worked examples.
    Explain {
        /// Id of the rule, as findings print it. Leave blank to list all ids.
        rule: Option<String>,
        /// Code or edition of the rule (default: the edition that has the full
        /// text).
        #[arg(long, requires = "rule")]
        code: Option<String>,
    },
    /// Solve temperatures in a bare plate under a moving arc.
    Heat(HeatOptions),
    /// Check a Bendproof file and list every error in it.
    Check {
        /// The file.
        file: PathBuf,
    },
    /// Print the JSON Schema of a file kind: coupon, bends, record, heat, joints,
    /// procedure-record, procedure, procedure-joints or shop-rules.
    Schema {
        /// Which kind.
        kind: String,
    },
    /// Print the license notices of the libraries the program is built with.
    Licenses,
    /// Start Bendproof and open it in your browser.
    Bench(BenchOptions),
    /// Check, back up or restore the shop's data file.
    Shop {
        /// What to do with it.
        #[command(subcommand)]
        what: ShopTask,
    },
}

/// What is done with the shop's file.
#[derive(Debug, Subcommand)]
pub enum ShopTask {
    /// Check the whole file for damage. Read only; works while Bendproof is open.
    Verify {
        /// A backup to check instead of the shop's file.
        #[arg(conflicts_with = "data")]
        file: Option<PathBuf>,
        /// Folder of the shop's data file (default: your user data folder).
        #[arg(long)]
        data: Option<PathBuf>,
    },
    /// Write a checked copy. Works while Bendproof is open; never overwrites a file.
    Backup {
        /// Where to write it (default: a dated name in the folder `backups` of
        /// the data folder).
        #[arg(long)]
        to: Option<PathBuf>,
        /// Folder of the shop's data file (default: your user data folder).
        #[arg(long)]
        data: Option<PathBuf>,
    },
    /// Replace the shop's data file with a backup; the old file is kept.
    Restore {
        /// The backup.
        file: PathBuf,
        /// Folder of the shop's data file (default: your user data folder).
        #[arg(long)]
        data: Option<PathBuf>,
    },
}

/// Which WPS or PQR is checked.
#[derive(Debug, Args)]
pub struct ProcedureOptions {
    /// A procedure file, a procedure record, or a coupon file to draft one from.
    pub file: PathBuf,
    /// The PQR behind a written WPS.
    #[arg(long)]
    pub from: Option<PathBuf>,
    /// Use this code instead of the one in the file.
    #[arg(long)]
    pub code: Option<String>,
    /// A file of joints to check, in addition to those in the procedure file.
    #[arg(long)]
    pub ask: Option<PathBuf>,
    #[command(flatten)]
    pub shop: ShopOption,
}

/// Which window is mapped.
#[derive(Debug, Args)]
pub struct WindowOptions {
    /// The coupon file.
    pub file: PathBuf,
    /// Horizontal axis: an input and its range, `root_opening=1/16in..1/4in`.
    #[arg(long)]
    pub x: String,
    /// Vertical axis: another input and its range, `root_face=0..1/8in`.
    #[arg(long)]
    pub y: String,
    /// Pass that volts, wire_feed, travel and amps belong to.
    #[arg(long, default_value_t = 1, value_parser = |text: &str| whole("pass", text, 1, ROWS_MAX))]
    pub pass: usize,
    /// Cells across and up (default: 72x24 as text, 60x60 in a file).
    #[arg(long)]
    pub size: Option<String>,
    /// Map the root pass only.
    #[arg(long)]
    pub root: bool,
    /// A finished coupon file of your own to show as a dot; may be repeated.
    #[arg(long)]
    pub plate: Vec<PathBuf>,
    /// Write the map to this file: .svg, .png, .csv or .json.
    #[arg(short, long)]
    pub out: Option<PathBuf>,
    #[command(flatten)]
    pub show: SourcesOption,
    #[command(flatten)]
    pub shop: ShopOption,
}

/// What is shown of a solved section.
#[derive(Debug, Args)]
pub struct EtchOptions {
    /// The coupon file.
    pub file: PathBuf,
    /// Write the section to this file: .svg, .png, .json, or the cooling curves as .csv.
    #[arg(short, long)]
    pub out: Option<PathBuf>,
    /// The bead that is filmed and followed.
    #[arg(long, default_value_t = 1, value_parser = |text: &str| whole("bead", text, 1, BEADS_MAX))]
    pub bead: usize,
    /// Write the film of the bead and the cooling curves to this folder, as SVG.
    #[arg(long)]
    pub film: Option<PathBuf>,
    /// A thermocouple, millimeters across and up: `3.2,5`; may be repeated.
    #[arg(long, allow_hyphen_values = true)]
    pub at: Vec<String>,
    /// A measured curve to lay over the first: lines of `t_s,T_C`.
    #[arg(long)]
    pub measured: Option<PathBuf>,
    #[command(flatten)]
    pub show: SourcesOption,
}

/// What is to be covered, and under which codes.
#[derive(Debug, Args)]
pub struct CoverOptions {
    /// The coupon file.
    #[arg(required_unless_present = "joints", conflicts_with = "joints")]
    pub file: Option<PathBuf>,
    /// A joints file: list the fewest coupons that cover it.
    #[arg(long)]
    pub joints: Option<PathBuf>,
    /// A code, as aws-d1.1-2020; may be repeated (default: the file's own).
    #[arg(long)]
    pub code: Vec<String>,
    /// Every code this program has, side by side.
    #[arg(long, conflicts_with = "code")]
    pub all: bool,
    /// Write the chart of one code to this file: .svg or .png.
    #[arg(short, long, conflicts_with = "joints")]
    pub out: Option<PathBuf>,
    /// The shop's own limits.
    #[command(flatten)]
    pub shop: ShopOption,
    #[command(flatten)]
    pub show: SourcesOption,
}

/// Which coupon is printed, and how.
#[derive(Debug, Args)]
pub struct PaperOptions {
    /// The coupon file.
    pub file: PathBuf,
    /// Where to write the PDF.
    #[arg(short, long)]
    pub out: PathBuf,
    /// Judge the coupon and write its record under this code instead of its own.
    #[arg(long)]
    pub code: Option<String>,
    /// Leave out the page with the section, which takes seconds to solve.
    #[arg(long)]
    pub fast: bool,
    /// Print on A4 instead of Letter.
    #[arg(long)]
    pub a4: bool,
    #[command(flatten)]
    pub shop: ShopOption,
}

/// Which record is issued.
#[derive(Debug, Args)]
pub struct RecordOptions {
    /// Which: welder, bends, continuity, procedure or procedure-test.
    #[arg(value_parser = record_kind)]
    pub kind: RecordKind,
    /// The coupon file; for continuity a record file, for procedure a procedure
    /// file, for procedure-test its record file or a coupon file.
    pub file: PathBuf,
    /// Judge and issue under this code instead of the file's own.
    #[arg(long)]
    pub code: Option<String>,
    /// Where to write: .pdf, .xlsx or .json.
    #[arg(short, long)]
    pub out: PathBuf,
    /// Print on A4 instead of Letter.
    #[arg(long)]
    pub a4: bool,
    /// For a procedure: the record, or the coupon file, behind it.
    #[arg(long)]
    pub from: Option<PathBuf>,
    /// The record file (.json) this issue follows; it must be as it was issued.
    #[arg(long)]
    pub revises: Option<PathBuf>,
    /// Why it is issued again.
    #[arg(long, requires = "revises")]
    pub why: Option<String>,
    /// Who issues it: a name of one line.
    #[arg(long, value_parser = who)]
    pub who: String,
    #[command(flatten)]
    pub shop: ShopOption,
}

/// Most passes and beads a coupon may have; how many this one has is asked later.
const ROWS_MAX: usize = 4_000;
const BEADS_MAX: usize = 12 * ROWS_MAX;

/// A whole number from one end of its range to the other.
fn whole<T>(what: &str, text: &str, least: T, most: T) -> Result<T, String>
where
    T: std::str::FromStr + PartialOrd + std::fmt::Display,
{
    match text.trim().parse() {
        Ok(number) if number >= least && number <= most => Ok(number),
        _ => Err(format!("{what} is `{text}`; enter a whole number, {least} to {most}")),
    }
}

fn day(text: &str) -> Result<jiff::civil::Date, String> {
    let day = text.trim().parse();
    day.map_err(|_| format!("the day is `{text}`, not a calendar date; enter it as 2026-11-02"))
}

/// Most characters of a name (choice: the longest names of people have under a
/// hundred).
const WHO_CHARS_MAX: usize = 120;

fn who(name: &str) -> Result<String, String> {
    let name = name.trim();
    if let Some(fault) = character_fault(name) {
        return Err(format!("the name {fault}; write who issues the record"));
    }
    let length = name.chars().count();
    if !(1..=WHO_CHARS_MAX).contains(&length) {
        return Err(format!(
            "the name has {length} characters; enter 1 to {WHO_CHARS_MAX}; write who issues the record"
        ));
    }
    Ok(name.to_owned())
}

fn record_kind(word: &str) -> Result<RecordKind, String> {
    let known = RecordKind::ALL.map(RecordKind::word).join(", ");
    RecordKind::from_word(word).ok_or_else(|| format!("`{word}` is no record; choose one of {known}"))
}

/// Which heat problem is solved, and how.
#[derive(Debug, Args)]
pub struct HeatOptions {
    /// The heat file.
    pub file: PathBuf,
    /// Threads to work with; the answer does not depend on it.
    #[arg(long, value_parser = |text: &str| whole("threads", text, 1, 64_u32))]
    pub threads: Option<u32>,
    /// Write the histories of all probes to this file as comma-separated values.
    #[arg(long)]
    pub csv: Option<PathBuf>,
    #[command(flatten)]
    pub show: SourcesOption,
}

/// How the page is opened.
#[derive(Debug, Args)]
pub struct BenchOptions {
    /// Port on the loopback address; 0 takes a free one.
    #[arg(long, default_value_t = 4117, value_parser = |text: &str| whole("port", text, 0, u16::MAX))]
    pub port: u16,
    /// Folder of the shop's data file (default: your user data folder).
    #[arg(long)]
    pub data: Option<PathBuf>,
    /// Folder of the dated backups (default: `backups` in the data folder).
    #[arg(long)]
    pub backups: Option<PathBuf>,
    /// Make no dated backups.
    #[arg(long, conflicts_with = "backups")]
    pub no_backup: bool,
    /// Start a new shop empty, without the demonstration coupons.
    #[arg(long)]
    pub no_demo: bool,
    /// Do not open a browser.
    #[arg(long)]
    pub no_open: bool,
    /// A file with the shop limits (default: `shop-rules.toml` in the data
    /// folder).
    #[arg(long)]
    pub shop_rules: Option<PathBuf>,
}

/// Print the sources of the numbers; JSON always includes them.
#[derive(Debug, Clone, Copy, Args)]
pub struct SourcesOption {
    /// Print where each kind of number comes from, and what that is worth.
    #[arg(long)]
    pub sources: bool,
}

/// A shop's own limits with the codes.
#[derive(Debug, Args)]
pub struct ShopOption {
    /// A file with the shop's own limits, each stricter than the code's.
    #[arg(long)]
    pub shop_rules: Option<PathBuf>,
}
