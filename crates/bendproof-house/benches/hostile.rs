//! What a bench makes of people and machines that mean no good: requests at random
//! over every route, and hard kills while four clients write.
//!
//! Seeded, so that a count can be repeated:
//! `cargo bench --workspace --profile release --bench hostile -- 6000 requests 620 kills`.

mod support;

use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use bendproof_files::{COUPON, Document};
use support::running::{Failure, answer, get, post_head, program, start};
use support::{columns, machine, say};

/// Requests and kills when nothing else is asked.
const REQUESTS: usize = 600;
const KILLS: usize = 60;
/// An answer that takes longer hangs; solving a coupon's beads takes some seconds.
const HANGS_AFTER: Duration = Duration::from_secs(20);
/// Longest time from a client's first saved change to the kill, ms.
const LIFE_MS_MAX: usize = 250;
/// Demonstration coupons the clients write to, one each.
const WRITTEN: [&str; 4] = ["0315", "0316", "0317", "0318"];

const PLACES: [&str; 38] = [
    "/",
    "/coupons.json",
    "/coupon",
    "/coupon/{n}",
    "/coupon/{n}/change",
    "/coupon/{n}/preview",
    "/coupon/{n}/row",
    "/coupon/{n}/undo",
    "/coupon/{n}/stamp",
    "/coupon/{n}/file/json",
    "/coupon/{n}/file/toml",
    "/coupon/{n}/section/film",
    "/coupon/{n}/codes",
    "/coupon/{n}/codes.json",
    "/coupon/{n}/records",
    "/coupon/{n}/window",
    "/coupon/{n}/window.json",
    "/coupon/{n}/window/place",
    "/coupon/{n}/window/chance",
    "/coupon/{n}/window/set",
    "/coupon/{n}/window/undo",
    "/finder",
    "/finder.json",
    "/welders",
    "/welder",
    "/welder/{n}",
    "/welder/{n}/use",
    "/welder/{n}/ask",
    "/procedures",
    "/procedure",
    "/procedure/{n}/change",
    "/procedure/{n}/ask",
    "/rule/{n}",
    "/record/{n}/1/pdf",
    "/who",
    "/look",
    "/clock",
    "/web/{n}",
];
const HOSTILE: [&str; 16] = [
    "",
    "-1",
    "1e308",
    "NaN",
    "1/0",
    "999999999999999999999999",
    "1/8 in",
    "3/8",
    "0318",
    "%00",
    "%F0%9F%94%A5",
    "<script>alert(1)</script>",
    "' OR 1=1 --",
    "../../etc/passwd",
    "2026-02-30",
    "%",
];

/// Random numbers: a fixed sequence for each seed (SplitMix64, public domain).
struct Chance(u64);

impl Chance {
    fn below(&mut self, end: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) % end.max(1) as u64) as usize
    }

    fn of<'a>(&mut self, all: &[&'a str]) -> &'a str {
        all.get(self.below(all.len())).copied().unwrap_or_default()
    }
}

/// Names of fields a form may hold: those of an example coupon, and the page's own.
fn names() -> Result<Vec<String>, Failure> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../bendproof-desk/demo/coupons");
    let mut names: Vec<String> =
        ["version", "token", "who", "why", "have", "row", "at", "x", "y", "code", "on"]
            .map(str::to_owned)
            .to_vec();
    for file in std::fs::read_dir(folder)? {
        let (document, _) = Document::from_toml(&COUPON, &std::fs::read_to_string(file?.path())?);
        names.extend(document.values().keys().cloned());
    }
    names.sort();
    names.dedup();
    Ok(names)
}

fn form(chance: &mut Chance, names: &[&str]) -> String {
    let pairs = (0..chance.below(6)).map(|_| {
        let value = if chance.below(40) == 0 { "9".repeat(20_000) } else { chance.of(&HOSTILE).to_owned() };
        format!("{}={value}", chance.of(names))
    });
    pairs.collect::<Vec<_>>().join("&").replace(' ', "+")
}

fn request(chance: &mut Chance, address: &str, names: &[&str]) -> String {
    let name = if chance.below(2) == 0 { chance.of(&WRITTEN) } else { chance.of(&HOSTILE) };
    let path = chance.of(&PLACES).replace("{n}", &name.replace([' ', '<', '>', '\''], "%20"));
    let form = form(chance, names);
    match chance.below(5) {
        0..=1 => format!("GET {path}?{form} HTTP/1.1\r\nHost: {address}\r\nConnection: close\r\n\r\n"),
        2..=3 => post_head(address, &path, form.len()) + &form,
        _ => {
            let method = chance.of(&["PUT", "DELETE", "HEAD", "OPTIONS", "BREW"]);
            format!("{method} {path} HTTP/1.1\r\nHost: {address}\r\nConnection: close\r\n\r\n")
        }
    }
}

/// Requests at random; a table of the answers by their first digit.
fn requests(program: &Path, count: usize) -> Result<(), Failure> {
    let folder = tempfile::tempdir()?;
    let bench = start(program, folder.path())?;
    let (names, mut chance) = (names()?, Chance(11));
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    let (mut kinds, mut silent, mut late) = ([0_usize; 6], 0, 0);
    for _ in 0..count {
        let text = request(&mut chance, &bench.address, &names);
        let began = Instant::now();
        match answer(&bench.address, &text) {
            Ok((status, ..)) => kinds[usize::from(status / 100).min(5)] += 1,
            Err(_) => silent += 1,
        }
        late += usize::from(began.elapsed() > HANGS_AFTER);
    }
    for path in ["/", "/welders", "/procedures", "/about", "/coupon/0318", "/coupon/0301"] {
        get(&bench.address, path)?;
    }
    drop(bench);
    println!("{count} requests at random over {} places and {} field names:\n", PLACES.len(), names.len());
    columns(&["what", "times"]);
    println!("| done | {} |", kinds[2]);
    println!("| sent elsewhere | {} |", kinds[3]);
    println!("| refused with a reason | {} |", kinds[4]);
    println!("| failed inside (500 and above) | {} |", kinds[5]);
    println!("| no answer | {silent} |");
    println!("| longer than {} s | {late} |", HANGS_AFTER.as_secs());
    println!(
        "| `shop verify` finds a fault afterwards | {} |",
        u32::from(!is_sound(program, folder.path())?)
    );
    Ok(())
}

fn is_sound(program: &Path, data: &Path) -> Result<bool, Failure> {
    let mut command = Command::new(program);
    command.args(["shop", "verify", "--data"]).arg(data).stdout(Stdio::null()).stderr(Stdio::null());
    Ok(command.status()?.code() == Some(0))
}

/// What the page's answer says about the version it now holds.
fn version_in(text: &str) -> Option<u64> {
    let after = text.rsplit("\"version\":").next()?;
    after.split(|c: char| !c.is_ascii_digit()).next()?.parse().ok()
}

fn booth_form(version: u64, booth: u64) -> String {
    format!("version={version}&token=k{booth}&why=moved&booth={booth}")
}

/// One client: changes the booth of its coupon until the bench is gone. Gives the
/// last booth and version that were acknowledged.
fn write(address: &str, number: &str, version: u64, booth: u64) -> (u64, u64, u64) {
    let (mut version, mut booth, mut saved) = (version, booth, 0);
    loop {
        let form = booth_form(version, booth + 1);
        let place = format!("/coupon/{number}/change");
        let asked = post_head(address, &place, form.len()) + &form;
        let Ok((200, _, text)) = answer(address, &asked) else { return (version, booth, saved) };
        let Some(now) = version_in(&text) else { return (version, booth, saved) };
        (version, booth, saved) = (now, booth + 1, saved + 1);
    }
}

/// Version and booth that a coupon holds.
fn held(address: &str, number: &str) -> Result<(u64, u64), Failure> {
    let page = get(address, &format!("/coupon/{number}"))?.1;
    let after = page.split("name=\"version\" value=\"").nth(1).ok_or("no version on the page")?;
    let version = after.split('"').next().unwrap_or_default().parse()?;
    let toml = get(address, &format!("/coupon/{number}/file/toml"))?.1;
    let booth = toml.split("booth = \"").nth(1).and_then(|rest| rest.split('"').next());
    Ok((version, booth.unwrap_or_default().parse()?))
}

fn kills(program: &Path, count: usize) -> Result<(), Failure> {
    let folder = tempfile::tempdir()?;
    let (mut chance, mut saved, mut lost, mut doubled) = (Chance(5), 0, 0, 0);
    let mut bench = start(program, folder.path())?;
    for _ in 0..count {
        let before: Vec<_> =
            WRITTEN.iter().map(|number| held(&bench.address, number)).collect::<Result<_, _>>()?;
        let address = bench.address.clone();
        let life = Duration::from_millis(chance.below(LIFE_MS_MAX) as u64);
        let ends: Vec<_> = std::thread::scope(|scope| {
            let clients: Vec<_> = WRITTEN
                .iter()
                .zip(&before)
                .map(|(number, (version, booth))| {
                    let address = &address;
                    scope.spawn(move || write(address, number, *version, *booth))
                })
                .collect();
            std::thread::sleep(life);
            bench.child.kill().and_then(|()| bench.child.wait())?;
            clients
                .into_iter()
                .map(|one| one.join().map_err(|_| "a client failed".into()))
                .collect::<Result<_, Failure>>()
        })?;
        bench = start(program, folder.path())?;
        for (number, (version, booth, done)) in WRITTEN.iter().zip(ends) {
            saved += done;
            let now = held(&bench.address, number)?;
            // The change that was under way when the bench died may be in or not.
            lost += u64::from(now.0 < version || now.1 < booth);
            doubled += u64::from(now.0 - version.min(now.0) > 1 || now.1 - booth.min(now.1) > 1);
        }
    }
    drop(bench);
    println!("\nKilled while {} clients write, {count} times:\n", WRITTEN.len());
    columns(&["what", "times"]);
    println!("| acknowledged changes | {saved} |");
    println!("| lost | {lost} |");
    println!("| kept twice | {doubled} |");
    println!(
        "| `shop verify` finds a fault afterwards | {} |",
        u32::from(!is_sound(program, folder.path())?)
    );
    Ok(())
}

/// The number before a word among the arguments.
fn asked(word: &str) -> Option<usize> {
    let words: Vec<String> = std::env::args().collect();
    words.windows(2).find(|pair| pair[1] == word).and_then(|pair| pair[0].parse().ok())
}

fn main() -> Result<(), Failure> {
    let program = program()?;
    let began = Instant::now();
    machine("hostile");
    requests(&program, asked("requests").unwrap_or(REQUESTS))?;
    kills(&program, asked("kills").unwrap_or(KILLS))?;
    println!("\nIt took {}.", say(began.elapsed()));
    Ok(())
}
