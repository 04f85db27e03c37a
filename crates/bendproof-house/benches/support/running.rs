//! The built program as a bench, asked from outside.

use std::error::Error;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};

/// Why a measurement could not be made.
pub type Failure = Box<dyn Error + Send + Sync>;

/// The program, built beside this benchmark by `cargo build --release`.
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

/// One request on a connection of its own; the body's length.
pub fn get(address: &str, path: &str) -> Result<(usize, String), Failure> {
    let mut stream = TcpStream::connect(address)?;
    write!(stream, "GET {path} HTTP/1.1\r\nHost: {address}\r\nConnection: close\r\n\r\n")?;
    let mut answer = Vec::new();
    stream.read_to_end(&mut answer)?;
    let text = String::from_utf8_lossy(&answer);
    if !text.starts_with("HTTP/1.1 200") {
        return Err(format!("{path}: {}", text.lines().next().unwrap_or("no answer")).into());
    }
    Ok((answer.len(), text.into_owned()))
}
