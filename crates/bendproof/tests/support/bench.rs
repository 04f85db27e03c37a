//! A bench started for a test, on a port of its own.

use std::io::{BufRead, BufReader, Read, Write};
use std::process::{Child, Stdio};

use super::program;

/// A running bench, killed when dropped.
pub struct Bench {
    child: Child,
    /// Its address, `127.0.0.1:PORT`.
    pub address: String,
}

impl Bench {
    /// Starts a bench on a data folder and waits until it is open.
    pub fn start(data: &str, options: &[&str]) -> Self {
        let mut child = program()
            .args(["bench", "--port", "0", "--no-open", "--data", data])
            .args(options)
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let mut line = String::new();
        BufReader::new(child.stdout.take().unwrap()).read_line(&mut line).unwrap();
        let url =
            line.trim().strip_prefix("Bendproof is open at http://").unwrap_or_else(|| panic!("{line}"));
        let address = url.trim_end_matches('/').to_owned();
        Self { child, address }
    }

    /// What the bench answers under a path, with its head.
    pub fn get(&self, path: &str) -> String {
        let address = &self.address;
        let mut stream = std::net::TcpStream::connect(address).unwrap();
        write!(stream, "GET {path} HTTP/1.1\r\nHost: {address}\r\nConnection: close\r\n\r\n").unwrap();
        let mut answer = Vec::new();
        stream.read_to_end(&mut answer).unwrap();
        String::from_utf8(answer).unwrap()
    }

    /// Asks the bench to stop by a signal, and gives its exit code.
    pub fn stop(mut self, signal: &str) -> Option<i32> {
        let asked = std::process::Command::new("kill")
            .args(["-s", signal, &self.child.id().to_string()])
            .status()
            .unwrap();
        assert!(asked.success());
        self.child.wait().unwrap().code()
    }
}

impl Drop for Bench {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
