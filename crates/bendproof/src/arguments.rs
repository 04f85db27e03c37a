//! What can be asked for on the command line.

use std::path::PathBuf;

use bendproof_traveler::issued::RecordKind;
use clap::{Args, Parser, Subcommand};

/// Forecast a groove-weld coupon, judge its bends, prove the standing.
///
/// Start with `bendproof bench` for the page, `bendproof forecast FILE` for a
/// coupon file, or `bendproof calc` for single formulas.
#[derive(Debug, Parser)]
#[command(name = "bendproof", version, arg_required_else_help = true)]
pub struct Arguments {
    /// Print JSON, the same from release to release; fields are only added.
    #[arg(long, global = true)]
    pub json: bool,
    /// What to do.
    #[command(subcommand)]
    pub task: Task,
}

/// One task.
#[derive(Debug, Subcommand)]
pub enum Task {
    /// Passes, margins and totals of a coupon file.
    Forecast {
        /// The coupon file.
        file: PathBuf,
        /// Answer at once by the models fitted to solved beads, instead of
        /// solving every bead.
        #[arg(long)]
        fast: bool,
        #[command(flatten)]
        told: SourcesOption,
        #[command(flatten)]
        shop: ShopOption,
    },
    /// Which failure comes first over two inputs, and which one to turn.
    Window(WindowOptions),
    /// The section as it would etch: every bead solved, with its film and cooling.
    Etch(EtchOptions),
    /// Two coupons side by side: what differs, and why.
    Compare {
        /// The first coupon file.
        a: PathBuf,
        /// The second coupon file.
        b: PathBuf,
        /// Write both drawings and their numbers to this file: .svg or .png.
        #[arg(short, long)]
        out: Option<PathBuf>,
        #[command(flatten)]
        told: SourcesOption,
        #[command(flatten)]
        shop: ShopOption,
    },
    /// Verdicts under a code on bent straps, or on everything examined on a
    /// coupon.
    Judge {
        /// The bends file, or the coupon file.
        file: PathBuf,
        #[command(flatten)]
        shop: ShopOption,
    },
    /// What a passed test covers, until when, and whether the joints asked
    /// about are covered.
    Standing {
        /// The record file.
        file: PathBuf,
        /// The day to answer for, like 2026-11-02; today when left out. What
        /// was done after that day does not count.
        #[arg(long)]
        on: Option<jiff::civil::Date>,
        #[command(flatten)]
        shop: ShopOption,
    },
    /// What a coupon will cover and what not, before it is welded; or, with
    /// --joints, the smallest tests that cover a job.
    Cover(CoverOptions),
    /// A procedure: its draft from a record, whether the record supports it,
    /// and whether a joint lies within it.
    Procedure(ProcedureOptions),
    /// The traveler and the welder record as PDF.
    Paper(PaperOptions),
    /// One record a code asks for: PDF, workbook or record file.
    Record(RecordOptions),
    /// One published formula; without a name, the list of them.
    Calc {
        /// Name of the formula.
        name: Option<String>,
        /// Arguments as `key=value`, with units: `diameter="0.035 in"`.
        arguments: Vec<String>,
    },
    /// One code rule: clause, limits, source, basis, test cases.
    Explain {
        /// Id of the rule, as findings print it; without it, all ids.
        rule: Option<String>,
        /// The code or edition whose text is wanted; the one that stands whole
        /// when left out.
        #[arg(long, requires = "rule")]
        code: Option<String>,
    },
    /// Temperatures in a bare plate under a moving arc, solved.
    Heat(HeatOptions),
    /// Checks one of our files and says everything that is wrong with it.
    Check {
        /// The file.
        file: PathBuf,
    },
    /// The JSON Schema of a file kind: coupon, bends, record, heat, joints,
    /// procedure-record, procedure, procedure-joints or shop-rules.
    Schema {
        /// Which kind.
        kind: String,
    },
    /// The licence notices of the libraries the program is built with.
    Licenses,
    /// Opens the page a shop works at.
    Bench(BenchOptions),
    /// The shop's file: check it, back it up, put a backup in its place.
    Shop {
        /// What to do with it.
        #[command(subcommand)]
        what: ShopTask,
    },
}

/// What is done with the shop's file.
#[derive(Debug, Subcommand)]
pub enum ShopTask {
    /// Checks the whole file and says what is not as it was written; reads only,
    /// also while a bench is open.
    Verify {
        /// A backup to check instead of the shop's file.
        #[arg(conflicts_with = "data")]
        file: Option<PathBuf>,
        /// Folder of the shop's database; your user data folder when left out.
        #[arg(long)]
        data: Option<PathBuf>,
    },
    /// Writes a checked copy, also while a bench is open; never over a file.
    Backup {
        /// Where to write it; a dated name in the folder `backups` of the data
        /// folder when left out.
        #[arg(long)]
        to: Option<PathBuf>,
        /// Folder of the shop's database; your user data folder when left out.
        #[arg(long)]
        data: Option<PathBuf>,
    },
    /// Puts a backup in the place of the shop's file, which is kept aside.
    Restore {
        /// The backup.
        file: PathBuf,
        /// Folder of the shop's database; your user data folder when left out.
        #[arg(long)]
        data: Option<PathBuf>,
    },
}

/// Which procedure is asked about.
#[derive(Debug, Args)]
pub struct ProcedureOptions {
    /// A procedure file, a procedure record, or a coupon file to draft one from.
    pub file: PathBuf,
    /// The record behind a written procedure.
    #[arg(long)]
    pub from: Option<PathBuf>,
    /// Ask another code than the file names.
    #[arg(long)]
    pub code: Option<String>,
    /// A file of joints to ask about, besides those in the procedure file.
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
    /// Across: an input and its range, `root_opening=1/16in..1/4in`.
    #[arg(long)]
    pub x: String,
    /// Upwards: another input and its range, `root_face=0..1/8in`.
    #[arg(long)]
    pub y: String,
    /// Pass that volts, wire_feed, travel and amps belong to.
    #[arg(long, default_value_t = 1)]
    pub pass: usize,
    /// Cells across and upwards; 72x24 as text, 60x60 in a file when left out.
    #[arg(long)]
    pub size: Option<String>,
    /// Ask the root pass alone.
    #[arg(long)]
    pub root: bool,
    /// A finished coupon file of your own to show as a dot; may be repeated.
    #[arg(long)]
    pub plate: Vec<PathBuf>,
    /// Write the map to this file: .svg, .png, .csv or .json.
    #[arg(short, long)]
    pub out: Option<PathBuf>,
    #[command(flatten)]
    pub told: SourcesOption,
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
    #[arg(long, default_value_t = 1)]
    pub bead: usize,
    /// Write the film of the bead and the cooling curves to this folder, as SVG.
    #[arg(long)]
    pub film: Option<PathBuf>,
    /// A thermocouple, millimetres across and up: `3.2,5`; may be repeated.
    #[arg(long, allow_hyphen_values = true)]
    pub at: Vec<String>,
    /// A measured curve to lay over the first: lines of `t_s,T_C`.
    #[arg(long)]
    pub measured: Option<PathBuf>,
    #[command(flatten)]
    pub told: SourcesOption,
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
    /// A code, as aws-d1.1-2020; may be repeated. The file's own when left out.
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
    pub told: SourcesOption,
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

/// Most characters of a name (choice: the longest names of people have under a
/// hundred).
const WHO_CHARS_MAX: usize = 120;

fn who(name: &str) -> Result<String, String> {
    let name = name.trim();
    let length = name.chars().count();
    if !(1..=WHO_CHARS_MAX).contains(&length) || name.chars().any(char::is_control) {
        return Err(format!(
            "the name has {length} characters; allowed is 1 to {WHO_CHARS_MAX} on one line; write who issues the record"
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
    #[arg(long, value_parser = clap::value_parser!(u32).range(1..=64))]
    pub threads: Option<u32>,
    /// Write the histories of all probes to this file as comma-separated values.
    #[arg(long)]
    pub csv: Option<PathBuf>,
    #[command(flatten)]
    pub told: SourcesOption,
}

/// How the page is opened.
#[derive(Debug, Args)]
pub struct BenchOptions {
    /// Port on the loopback address; 0 takes a free one.
    #[arg(long, default_value_t = 4117)]
    pub port: u16,
    /// Folder of the shop's database; your user data folder when left out.
    #[arg(long)]
    pub data: Option<PathBuf>,
    /// Folder of the dated backups; `backups` in the data folder when left out.
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
    /// A file with the shop's own limits; `shop-rules.toml` in the data folder
    /// when left out.
    #[arg(long)]
    pub shop_rules: Option<PathBuf>,
}

/// Where numbers come from; JSON tells it always.
#[derive(Debug, Clone, Copy, Args)]
pub struct SourcesOption {
    /// Print where each kind of number comes from, and what that is worth.
    #[arg(long)]
    pub sources: bool,
}

/// A shop's own limits beside the codes.
#[derive(Debug, Args)]
pub struct ShopOption {
    /// A file with the shop's own limits, each stricter than the code's.
    #[arg(long)]
    pub shop_rules: Option<PathBuf>,
}
