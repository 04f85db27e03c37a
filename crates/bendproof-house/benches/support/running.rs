//! The built program as a bench, asked from outside.

use std::error::Error;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};

/// Why a measurement could not be made.
pub type Failure = Box<dyn Error + Send + Sync>;

/// The program, built next to this benchmark by `cargo build --release`.
pub fn program() -> Result<PathBuf, Failure> {
    let here = std::env::current_exe()?;
    let folder = here.ancestors().nth(2).ok_or("no target folder")?;
    let program = folder.join("bendproof");
    if !program.exists() {
        return Err("the program is not built; run: cargo build --release".into());
    }
    Ok(program)
}

/// A running bench, stopped when dropped.
pub struct Running {
    /// Its process.
    pub child: Child,
    /// Its address, `127.0.0.1:PORT`.
    pub address: String,
}

impl Drop for Running {
    fn drop(&mut self) {
        // Nothing is written at this point, so the hard stop loses nothing.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// Starts a bench on a data folder and waits until it is open.
pub fn start(program: &Path, data: &Path) -> Result<Running, Failure> {
    let mut child = Command::new(program)
        .args(["bench", "--port", "0", "--no-open", "--data"])
        .arg(data)
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()?;
    let mut line = String::new();
    BufReader::new(child.stdout.take().ok_or("no output")?).read_line(&mut line)?;
    let address = line.split("http://").nth(1).and_then(|rest| rest.split('/').next());
    Ok(Running { address: address.ok_or("no address was printed")?.to_owned(), child })
}

/// One request on a connection of its own; the answer's status, bytes and text.
pub fn answer(address: &str, request: &str) -> Result<(u16, usize, String), Failure> {
    let mut stream = TcpStream::connect(address)?;
    stream.write_all(request.as_bytes())?;
    let mut answer = Vec::new();
    stream.read_to_end(&mut answer)?;
    let text = String::from_utf8_lossy(&answer).into_owned();
    let status = text.strip_prefix("HTTP/1.1 ").and_then(|rest| rest.get(..3)?.parse().ok());
    Ok((status.ok_or("no answer")?, answer.len(), text))
}

/// One request that must be done; the answer's length and its text.
fn ask(address: &str, request: &str) -> Result<(usize, String), Failure> {
    let (status, bytes, text) = answer(address, request)?;
    if status != 200 {
        let wanted = request.lines().next().unwrap_or_default();
        return Err(format!("{wanted}: {}", text.lines().next().unwrap_or_default()).into());
    }
    Ok((bytes, text))
}

/// Reads a page; its bytes and its text. `more` are further lines of the head.
pub fn get_with(address: &str, path: &str, more: &str) -> Result<(usize, String), Failure> {
    ask(address, &format!("GET {path} HTTP/1.1\r\nHost: {address}\r\n{more}Connection: close\r\n\r\n"))
}

/// Reads a page; its bytes and its text.
pub fn get(address: &str, path: &str) -> Result<(usize, String), Failure> {
    get_with(address, path, "")
}

/// Sends a form as the page's script does; the answer's bytes and its text.
pub fn post(address: &str, path: &str, form: &str) -> Result<(usize, String), Failure> {
    ask(address, &(post_head(address, path, form.len()) + form))
}

/// The head of a form of so many bytes.
pub fn post_head(address: &str, path: &str, bytes: usize) -> String {
    format!(
        "POST {path} HTTP/1.1\r\nHost: {address}\r\nAccept: application/json\r\n\
         Content-Type: application/x-www-form-urlencoded\r\nContent-Length: {bytes}\r\nConnection: close\r\n\r\n"
    )
}

/// Memory the process has in use and the most it ever had, MiB.
pub fn memory_mib(process: u32) -> Result<(f64, f64), Failure> {
    let status = std::fs::read_to_string(format!("/proc/{process}/status"))?;
    let kib = |name: &str| {
        let line = status.lines().find_map(|l| l.strip_prefix(name));
        line.and_then(|l| l.split_whitespace().next()?.parse::<f64>().ok()).unwrap_or(f64::NAN)
    };
    Ok((kib("VmRSS:") / 1024.0, kib("VmHWM:") / 1024.0))
}

/// CPU seconds of all threads of a process so far.
pub fn cpu_s(process: u32) -> Result<f64, Failure> {
    /// Ticks a second in which the system counts, as on every common machine.
    const TICKS: f64 = 100.0;
    let stat = std::fs::read_to_string(format!("/proc/{process}/stat"))?;
    // The name in brackets may hold blanks; own time and the system's follow.
    let after = stat.rsplit(')').next().unwrap_or_default();
    let ticks: f64 = after.split_whitespace().skip(11).take(2).filter_map(|t| t.parse::<f64>().ok()).sum();
    Ok(ticks / TICKS)
}
