//! What the checks of the shop's file notice: one flipped bit in a closed file,
//! many times, each found or not by the start of a bench and by `shop verify`,
//! and, where neither tells it, whether it changed anything the page or a file
//! says; then kills in the first moments of a new shop.

mod support;

use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use support::running::{Failure, Running, get, program, start};
use support::{columns, machine, say};

/// Bits flipped, one at a time.
const FLIPS: u64 = 200;
/// First starts killed.
const KILLS: u64 = 40;
/// Longest life of a first start that is killed, in milliseconds.
const LIFE_MS_MAX: u64 = 350;

/// A small generator with a fixed seed (SplitMix64, Steele et al. 2014).
fn next_random(state: &mut u64) -> u64 {
    *state = state.wrapping_add(0x9e37_79b9_7f4a_7c15);
    let mut mixed = *state;
    mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    mixed ^ (mixed >> 31)
}

/// Everything a bench says that does not change from start to start: lists, and
/// every coupon's file. `None` where any of it cannot be had.
fn said(bench: &Running) -> Option<String> {
    let mut all = String::new();
    for path in ["/coupons.json", "/welders.json", "/procedures.json"] {
        all += content(&get(&bench.address, path).ok()?.1);
    }
    let numbers: Vec<String> = all
        .split("\"number\":\"")
        .skip(1)
        .filter_map(|rest| Some(rest.split('"').next()?.to_owned()))
        .collect();
    for number in numbers {
        if let Ok((_, text)) = get(&bench.address, &format!("/coupon/{number}/file/toml")) {
            all += content(&text);
        }
    }
    Some(all)
}

fn content(answer: &str) -> &str {
    answer.split_once("\r\n\r\n").map_or("", |(_, body)| body)
}

/// Exit code of `shop verify` on a folder.
fn verify(program: &Path, data: &Path) -> Result<Option<i32>, Failure> {
    let mut command = Command::new(program);
    command.args(["shop", "verify", "--data"]).arg(data).stdout(Stdio::null()).stderr(Stdio::null());
    Ok(command.status()?.code())
}

/// How one flipped bit fared.
#[derive(Default)]
struct Counts {
    refused: u32,
    found_at_start: u32,
    found_by_verify: u32,
    missed_changed: u32,
    missed_same: u32,
}

fn flip(program: &Path, data: &Path, sound: &[u8], wanted: &str, at_bit: u64) -> Result<Fate, Failure> {
    let mut bytes = sound.to_vec();
    let at = usize::try_from(at_bit / 8)?;
    if let Some(byte) = bytes.get_mut(at) {
        *byte ^= 1 << (at_bit % 8);
    }
    // A bench stopped hard leaves its log, which is none of this file's.
    for log in ["shop.db-wal", "shop.db-shm"] {
        let _ = std::fs::remove_file(data.join(log));
    }
    std::fs::write(data.join("shop.db"), bytes)?;
    let by_verify = verify(program, data)? != Some(0);
    let Ok(bench) = start(program, data) else {
        return Ok(Fate { opened: false, at_start: true, by_verify, changed: false });
    };
    let page = get(&bench.address, "/about")?.1;
    let at_start = page.contains("role=\"alert\"");
    let changed = said(&bench).is_none_or(|found| found != wanted);
    Ok(Fate { opened: true, at_start, by_verify, changed })
}

struct Fate {
    opened: bool,
    at_start: bool,
    by_verify: bool,
    changed: bool,
}

fn flips(program: &Path) -> Result<(), Failure> {
    let folder = tempfile::tempdir()?;
    let data = folder.path();
    let wanted = {
        let mut bench = start(program, data)?;
        let wanted = said(&bench).ok_or("the sound shop does not answer")?;
        // Asked to stop, so that the log is folded into the file.
        Command::new("kill").arg(bench.child.id().to_string()).status()?;
        bench.child.wait()?;
        wanted
    };
    let sound = std::fs::read(data.join("shop.db"))?;
    let (mut state, mut counts) = (0x51f0_a11e_d0b5_u64, Counts::default());
    for _ in 0..FLIPS {
        let at_bit = next_random(&mut state) % (8 * sound.len() as u64);
        let fate = flip(program, data, &sound, &wanted, at_bit)?;
        counts.refused += u32::from(!fate.opened);
        counts.found_at_start += u32::from(fate.opened && fate.at_start);
        counts.found_by_verify += u32::from(fate.by_verify);
        counts.missed_changed += u32::from(!fate.at_start && fate.changed);
        counts.missed_same += u32::from(!fate.at_start && !fate.changed);
    }
    println!("One bit flipped in a closed file of {} bytes, {FLIPS} times:\n", sound.len());
    columns(&["what", "times"]);
    println!("| the bench does not open the file and says why | {} |", counts.refused);
    println!("| found at the start and on every page | {} |", counts.found_at_start);
    println!("| not found at the start, and something read otherwise | {} |", counts.missed_changed);
    println!("| not found at the start, and everything read as before | {} |", counts.missed_same);
    println!("| found by `shop verify` | {} |", counts.found_by_verify);
    Ok(())
}

fn kills(program: &Path) -> Result<(), Failure> {
    let (mut state, mut unfinished, mut failed) = (7, 0, 0);
    for _ in 0..KILLS {
        let folder = tempfile::tempdir()?;
        let life = Duration::from_millis(next_random(&mut state) % LIFE_MS_MAX);
        let mut command = Command::new(program);
        command.args(["bench", "--port", "0", "--no-open", "--data"]).arg(folder.path());
        let mut child = command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null()).spawn()?;
        std::thread::sleep(life);
        child.kill()?;
        child.wait()?;
        unfinished += u32::from(!folder.path().join("shop.db").exists());
        let bench = start(program, folder.path())?;
        let list = get(&bench.address, "/coupons.json")?.1;
        let is_whole = list.matches("\"number\":").count() == 18;
        failed += u32::from(!is_whole || verify(program, folder.path())? != Some(0));
    }
    println!("\nA first start killed within {LIFE_MS_MAX} ms, {KILLS} times:");
    println!("{unfinished} had no shop yet; after the next start {failed} were not whole.");
    Ok(())
}

fn main() -> Result<(), Failure> {
    let program = program()?;
    let began = Instant::now();
    machine("torture");
    flips(&program)?;
    kills(&program)?;
    println!("It took {}.", say(began.elapsed()));
    Ok(())
}
