//! Kills a writing process 200 times and looks for what it had acknowledged.
//!
//! The test starts itself again as the writer: the child appends changes to one
//! shop file and prints each acknowledged version; the parent kills it with
//! SIGKILL at a seeded moment, opens the file, and wants every acknowledged
//! change, an unbroken chain and a sound file. It then repeats the change that
//! may have been cut short, with the same token, and wants it exactly once.
//!
//! In the same way it lets a writer run into a write error of the system.

#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test stops at the first surprise")]

use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Command, Stdio};
use std::sync::mpsc;
use std::time::{Duration, Instant};

use bendproof_shop::{By, Edit, Shop, ShopError, Subject};

const TEST_NAME: &str = "killed_while_writing";
const FILE_VARIABLE: &str = "BENDPROOF_SHOP_KILL_FILE";
const ROUND_VARIABLE: &str = "BENDPROOF_SHOP_KILL_ROUND";
const COUPON: &str = "C-1";
const KILLS: u64 = 200;
/// Longest wait before a kill. Long enough for some dozen changes, short enough
/// for 200 rounds.
const DELAY_MS_MAX: u64 = 30;
/// A run in which the writer hardly ever got to write would prove nothing. About
/// three rounds in four wait for a change, so half of them is met on any disk.
const ACKNOWLEDGED_MIN: usize = 100;
/// Largest file the system lets the second writer make, in the blocks of the
/// shell's `ulimit -f` (512 or 1024 bytes): more than an empty shop, less than
/// the log takes before it is folded into the file.
const FILE_BLOCKS_MAX: u32 = 1_500;

fn main() {
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
    if let (Ok(file), Ok(round)) = (std::env::var(FILE_VARIABLE), std::env::var(ROUND_VARIABLE)) {
        runtime.block_on(write_until_killed(Path::new(&file), &round)).unwrap();
        return;
    }
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    if arguments.iter().any(|argument| argument == "--list") {
        println!("{TEST_NAME}: test");
        return;
    }
    let mut filters = arguments.iter().filter(|argument| !argument.starts_with('-')).peekable();
    if filters.peek().is_some() && !filters.any(|filter| TEST_NAME.contains(filter.as_str())) {
        return;
    }
    runtime.block_on(kill_and_look());
    #[cfg(unix)]
    runtime.block_on(fail_and_look());
}

/// The edits of one change; several paths and now and then a long one, so that
/// kills also land inside a transaction and while the log is folded into the
/// file.
fn edits(round: &str, count: u64) -> Vec<Edit> {
    let mut edits = vec![
        Edit::set("log.1.amps", &format!("{round}.{count} A")),
        Edit::set("log.1.volts", &format!("{count} V")),
        Edit::set(&format!("log.{}.remark", count % 7), &format!("{round}-{count}")),
    ];
    if count.is_multiple_of(10) {
        edits.push(Edit::set("note", &format!("{round}-{count} ").repeat(500)));
    }
    edits
}

fn token(round: &str, count: u64) -> String {
    format!("r{round}-n{count}")
}

/// The child: changes the coupon until it is killed, printing `count version`
/// only after the change was acknowledged.
async fn write_until_killed(file: &Path, round: &str) -> Result<(), ShopError> {
    let shop = Shop::open(file).await?;
    let mut version = shop.document(Subject::Coupon, COUPON).await?.version;
    let mut out = std::io::stdout();
    for count in 1.. {
        let token = token(round, count);
        let by = By::new("writer", 1).token(&token);
        version = shop.change(Subject::Coupon, COUPON, version, &edits(round, count), &by).await?.version;
        if writeln!(out, "{count} {version}").and_then(|()| out.flush()).is_err() {
            break;
        }
    }
    Ok(())
}

/// A small generator with a fixed seed (SplitMix64, Steele et al. 2014), so that
/// every run waits the same times.
fn next_random(state: &mut u64) -> u64 {
    *state = state.wrapping_add(0x9e37_79b9_7f4a_7c15);
    let mut mixed = *state;
    mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    mixed ^ (mixed >> 31)
}

/// The count and version of one printed line.
fn acknowledgement(line: &str) -> (u64, i64) {
    let (count, version) = line.trim_end().split_once(' ').unwrap();
    (count.parse().unwrap(), version.parse().unwrap())
}

/// Starts a child, kills it, and returns the acknowledged `(count, version)`.
/// Every fourth delay runs from the start, so that opening is hit too; the
/// others run from the first acknowledged change.
fn run_and_kill(file: &Path, round: &str, random: u64) -> Vec<(u64, i64)> {
    let mut command = Command::new(std::env::current_exe().unwrap());
    command.env(FILE_VARIABLE, file).env(ROUND_VARIABLE, round);
    let mut child = command.stdin(Stdio::null()).stdout(Stdio::piped()).spawn().unwrap();
    let output = child.stdout.take().unwrap();
    let (send, receive) = mpsc::channel();
    let reader = std::thread::spawn(move || {
        let mut output = BufReader::new(output);
        let mut line = String::new();
        // A line cut short by the kill has no line end and was not promised.
        while output.read_line(&mut line).is_ok_and(|read| read > 0) && line.ends_with('\n') {
            let _ = send.send(acknowledgement(&line));
            line.clear();
        }
    });
    let mut acknowledged = Vec::new();
    if !random.is_multiple_of(4) {
        acknowledged.push(receive.recv_timeout(Duration::from_secs(20)).expect("the writer never wrote"));
    }
    // Microseconds, so that the kill meets every part of a transaction.
    std::thread::sleep(Duration::from_micros((random >> 8) % (DELAY_MS_MAX * 1_000)));
    child.kill().unwrap();
    let status = child.wait().unwrap();
    assert!(!status.success(), "round {round}: the writer ended by itself");
    reader.join().unwrap();
    acknowledged.extend(receive.try_iter());
    acknowledged
}

/// Looks at the file after a kill and repeats the change that was in flight.
async fn look(file: &Path, round: &str, version_before: i64, acknowledged: &[(u64, i64)]) -> i64 {
    let shop = Shop::open(file).await.unwrap();
    let since = shop.history_since(Subject::Coupon, COUPON, version_before).await.unwrap();
    for (count, version) in acknowledged {
        let event = since.iter().find(|event| event.version == *version);
        let event = event.unwrap_or_else(|| panic!("round {round}: acknowledged version {version} is lost"));
        assert_eq!(event.token.as_deref(), Some(token(round, *count).as_str()));
        let amps = event.changes.iter().find(|change| change.path == "log.1.amps").unwrap();
        assert_eq!(amps.after.as_deref(), Some(format!("{round}.{count} A").as_str()));
    }
    assert!(since.len() <= acknowledged.len() + 1, "round {round}: one change at most was in flight");
    assert_eq!(shop.verify().await.unwrap().faults, [], "round {round}");

    let in_flight = acknowledged.len() as u64 + 1;
    let token = token(round, in_flight);
    let by = By::new("writer", 1).token(&token);
    let newest = shop.document(Subject::Coupon, COUPON).await.unwrap().version;
    let repeated = shop.change(Subject::Coupon, COUPON, newest, &edits(round, in_flight), &by).await.unwrap();
    assert_eq!(repeated.version, version_before + in_flight as i64, "round {round}: exactly once");
    shop.close().await;
    repeated.version
}

async fn kill_and_look() {
    let began = Instant::now();
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("shop.db");
    let shop = Shop::open(&file).await.unwrap();
    let mut version = shop.create_coupon(COUPON, &[], &By::new("parent", 0)).await.unwrap().version;
    shop.close().await;
    let (mut state, mut total, mut cut_short) = (0x0be4_d900_f51e_u64, 0, 0);
    for round in 0..KILLS {
        let round = round.to_string();
        let acknowledged = run_and_kill(&file, &round, next_random(&mut state));
        let wal = folder.path().join("shop.db-wal");
        cut_short += usize::from(wal.exists());
        total += acknowledged.len();
        version = look(&file, &round, version, &acknowledged).await;
    }
    let took = began.elapsed();
    assert!(total >= ACKNOWLEDGED_MIN, "only {total} changes were acknowledged in {KILLS} rounds");
    assert!(cut_short > 0, "no kill left a log behind");
    println!("{TEST_NAME}: {KILLS} kills, {total} acknowledged changes, none lost, {} s", took.as_secs());
}

/// The system refuses to let a file grow, as a failing disk would: the writer
/// gets a typed error, and what it had acknowledged is there for the next one.
#[cfg(unix)]
async fn fail_and_look() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("shop.db");
    let shop = Shop::open(&file).await.unwrap();
    let version = shop.create_coupon(COUPON, &[], &By::new("parent", 0)).await.unwrap().version;
    shop.close().await;
    // Without the trap the system would end the writer by a signal instead.
    let script = format!("trap '' XFSZ; ulimit -f {FILE_BLOCKS_MAX}; exec \"$0\"");
    let mut command = Command::new("sh");
    command.arg("-c").arg(script).arg(std::env::current_exe().unwrap());
    command.env(FILE_VARIABLE, &file).env(ROUND_VARIABLE, "0");
    let output = command.stdin(Stdio::null()).output().unwrap();
    let said = String::from_utf8_lossy(&output.stderr);
    assert!(!output.status.success() && (said.contains("Disk {") || said.contains("DiskFull {")), "{said}");
    let acknowledged: Vec<_> = String::from_utf8_lossy(&output.stdout).lines().map(acknowledgement).collect();
    assert!(acknowledged.len() > 5, "the writer met the limit too soon");
    look(&file, "0", version, &acknowledged).await;
    println!("fails_while_writing: {} acknowledged changes, none lost", acknowledged.len());
}
