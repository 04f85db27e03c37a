//! Spoils our own example files at random, hands them to every command that
//! reads, and counts what no file may cause: a panic, a hang, an exit code that
//! is not ours, `--json` that is no JSON, a control character on the terminal.
//!
//! Seeded, so that a count can be repeated:
//! `cargo bench --workspace --profile release --bench mutants -- 600`.

mod support;

use std::io::Read;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use support::running::{Failure, program};

/// Files spoiled when nothing else is asked.
const FILES: usize = 300;
/// A command that takes longer hangs.
const HANGS_AFTER: Duration = Duration::from_secs(60);
/// The commands that read each kind of file, without solving beads.
const READERS: &[(&str, &[&[&str]])] = &[
    ("plate-3g-downhill.toml", &[&["forecast", "--fast"], &["judge"], &["cover", "--all"], &["check"]]),
    ("pipe-6g.toml", &[&["forecast", "--fast"], &["judge"], &["check"]]),
    ("plate-iso-9606.toml", &[&["judge"], &["cover"], &["check"]]),
    ("bends.toml", &[&["judge"], &["check"]]),
    ("record.toml", &[&["standing"], &["check"]]),
    ("joints.toml", &[&["cover", "--joints"], &["check"]]),
    ("procedure.toml", &[&["procedure"], &["check"]]),
    ("procedure-record.toml", &[&["procedure"], &["check"]]),
    ("shop-rules.toml", &[&["check"]]),
    ("heat-plate.toml", &[&["check"]]),
];

/// Random numbers: a fixed sequence for each seed (SplitMix64, public domain).
struct Chance(u64);

impl Chance {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    fn below(&mut self, end: usize) -> usize {
        (self.next() % end.max(1) as u64) as usize
    }
}

/// The file with a few of its bytes, lines or values spoiled.
fn spoiled(text: &str, chance: &mut Chance) -> Vec<u8> {
    const VALUES: &[&str] = &[
        "\"\"",
        "\"-1 in\"",
        "\"1e300 in\"",
        "\"NaN\"",
        "[]",
        "{}",
        "true",
        "9999-12-31",
        "\"\\u001b[2J\"",
        "\"3/0 in\"",
        "-9223372036854775808",
        "\"\u{202e}x\"",
        "[[1]]",
        "\"17,5 V\"",
    ];
    let mut bytes = text.as_bytes().to_vec();
    for _ in 0..=chance.below(3) {
        let lines: Vec<Vec<u8>> = bytes.split(|b| *b == b'\n').map(<[u8]>::to_vec).collect();
        let mut lines = lines;
        let at = chance.below(lines.len());
        match chance.below(6) {
            0 => drop(lines.remove(at)),
            1 => lines.insert(at, lines[chance.below(lines.len())].clone()),
            2 => {
                if let Some(equals) = lines[at].iter().position(|b| *b == b'=') {
                    lines[at].truncate(equals + 1);
                    lines[at].extend(VALUES[chance.below(VALUES.len())].bytes());
                }
            }
            3 => {
                let other = chance.below(lines.len());
                lines.swap(at, other);
            }
            _ => {
                let end = lines[at].len();
                if let Some(byte) = lines[at].get_mut(chance.below(end)) {
                    *byte = chance.next() as u8;
                }
            }
        }
        bytes = lines.join(&b'\n');
    }
    bytes
}

/// What one run did that no run may.
#[derive(Default, Clone, Copy)]
struct Count {
    runs: usize,
    panics: usize,
    hangs: usize,
    odd_codes: usize,
    no_json: usize,
    obeyed: usize,
}

fn run(program: &Path, arguments: &[&str], file: &Path, count: &mut Count) -> Result<(), Failure> {
    let is_json = arguments.contains(&"--json");
    let mut child = Command::new(program)
        .args(arguments)
        .arg(file)
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()?;
    let read = |pipe: Option<Box<dyn Read + Send>>| {
        std::thread::spawn(move || {
            let mut text = Vec::new();
            pipe.map(|mut p| p.read_to_end(&mut text)).transpose().map(|_| text)
        })
    };
    let out = read(child.stdout.take().map(|p| Box::new(p) as Box<dyn Read + Send>));
    let err = read(child.stderr.take().map(|p| Box::new(p) as Box<dyn Read + Send>));
    let began = Instant::now();
    let status = loop {
        if let Some(status) = child.try_wait()? {
            break Some(status);
        }
        if began.elapsed() > HANGS_AFTER {
            child.kill()?;
            child.wait()?;
            break None;
        }
        std::thread::sleep(Duration::from_millis(2));
    };
    let text = |joined: std::thread::Result<std::io::Result<Vec<u8>>>| -> Result<String, Failure> {
        Ok(String::from_utf8_lossy(&joined.map_err(|_| "a reader fell over")??).into_owned())
    };
    let (out, err) = (text(out.join())?, text(err.join())?);
    count.runs += 1;
    count.hangs += usize::from(status.is_none());
    count.panics += usize::from(err.contains("panicked"));
    count.odd_codes += usize::from(status.is_some_and(|s| !matches!(s.code(), Some(0..=2))));
    count.no_json += usize::from(is_json && serde_json::from_str::<serde_json::Value>(&out).is_err());
    let obeyed = |c: char| c.is_control() && c != '\n' && c != '\t';
    count.obeyed += usize::from(out.contains(obeyed) || err.contains(obeyed));
    Ok(())
}

fn main() -> Result<(), Failure> {
    let asked = std::env::args().skip(1).find_map(|a| a.parse().ok());
    let files = asked.unwrap_or(FILES);
    let program = program()?;
    let examples = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../examples");
    let folder = tempfile::tempdir()?;
    let (mut chance, mut count) = (Chance(20_261_130), Count::default());
    for index in 0..files {
        let (name, readers) = READERS[index % READERS.len()];
        let text = std::fs::read_to_string(examples.join(name))?;
        let file = folder.path().join(format!("{index}.toml"));
        std::fs::write(&file, spoiled(&text, &mut chance))?;
        for reader in readers {
            for ending in [&[][..], &["--json"]] {
                run(&program, &[reader, ending].concat(), &file, &mut count)?;
            }
        }
    }
    support::machine("mutants");
    let Count { runs, panics, hangs, odd_codes, no_json, obeyed } = count;
    println!(
        "\n{files} files, {runs} runs: {panics} panics, {hangs} hangs, {odd_codes} odd exit codes, {no_json} without JSON, {obeyed} that steer a terminal."
    );
    Ok(())
}
