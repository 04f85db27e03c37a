//! The bench ends when it is told to, whatever its clients do.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

/// Far longer than the bench takes to end; reached only when it does not.
const FOR_EVER: Duration = Duration::from_secs(120);

fn bench(folder: &std::path::Path) -> (Child, String) {
    let mut child = Command::new(env!("CARGO_BIN_EXE_bendproof"))
        .args(["bench", "--port", "0", "--no-open", "--no-demo", "--data"])
        .arg(folder)
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut line = String::new();
    BufReader::new(child.stdout.take().unwrap()).read_line(&mut line).unwrap();
    let address = line.split("http://").nth(1).unwrap().split('/').next().unwrap().to_owned();
    (child, address)
}

fn signal(child: &Child, name: &str) {
    assert!(Command::new("kill").args([name, &child.id().to_string()]).status().unwrap().success());
}

/// The exit code, none for a program that a signal ended.
fn ended(child: &mut Child) -> Option<i32> {
    let began = Instant::now();
    loop {
        if let Some(status) = child.try_wait().unwrap() {
            return status.code();
        }
        if began.elapsed() > FOR_EVER {
            child.kill().unwrap();
            panic!("the bench did not end");
        }
        std::thread::sleep(Duration::from_millis(20));
    }
}

fn half_a_request(address: &str) -> TcpStream {
    let mut quiet = TcpStream::connect(address).unwrap();
    quiet.write_all(b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\nX-").unwrap();
    // Another request answered shows that this one has arrived.
    let mut other = TcpStream::connect(address).unwrap();
    write!(other, "GET /about HTTP/1.1\r\nHost: {address}\r\nConnection: close\r\n\r\n").unwrap();
    other.read_to_end(&mut Vec::new()).unwrap();
    quiet
}

#[test]
fn ctrl_c_ends_the_bench_although_a_client_sent_half_a_request() {
    for name in ["-INT", "-TERM", "-HUP"] {
        let folder = tempfile::tempdir().unwrap();
        let (mut child, address) = bench(folder.path());
        let quiet = half_a_request(&address);
        signal(&child, name);
        assert_eq!(ended(&mut child), Some(0), "{name}");
        assert!(!folder.path().join("shop.db-wal").exists(), "{name}: the log is folded into the file");
        drop(quiet);
    }
}

#[test]
fn a_second_ctrl_c_ends_the_bench_at_once() {
    let folder = tempfile::tempdir().unwrap();
    let (mut child, address) = bench(folder.path());
    let quiet = half_a_request(&address);
    signal(&child, "-INT");
    // Once it says that it stops, it listens for the second.
    let mut answer = BufReader::new(child.stderr.take().unwrap()).lines();
    assert!(answer.by_ref().map(Result::unwrap).any(|line| line.starts_with("Stopping")));
    signal(&child, "-INT");
    assert_eq!(ended(&mut child), Some(130));
    drop(quiet);
}
