//! Runs the real program from the repository's root and reads what it says.
#![allow(clippy::unwrap_used, dead_code, reason = "each test program uses a part")]

pub mod bench;
pub mod contract;

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use serde_json::Value;

/// What one run gave back.
#[derive(Debug)]
pub struct Ran {
    pub code: i32,
    pub out: String,
    pub err: String,
}

impl Ran {
    /// Standard output as one JSON value and nothing else.
    pub fn json(&self) -> Value {
        serde_json::from_str(&self.out).unwrap_or_else(|e| panic!("{e} in: {}\n{}", self.out, self.err))
    }

    /// Holds the exit code, and that nothing fell over.
    pub fn ends(self, code: i32) -> Self {
        assert!(!self.err.contains("panicked"), "{}", self.err);
        assert_eq!(self.code, code, "out: {}\nerr: {}", self.out, self.err);
        self
    }
}

/// The repository's root folder.
pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").canonicalize().unwrap()
}

/// The program, to be started from the root.
pub fn program() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_bendproof"));
    command.current_dir(root()).stdin(Stdio::null());
    command
}

/// Runs the program to its end.
pub fn run<S: AsRef<std::ffi::OsStr>>(arguments: &[S]) -> Ran {
    let output = program().args(arguments).output().unwrap();
    Ran {
        code: output.status.code().unwrap(),
        out: String::from_utf8(output.stdout).unwrap(),
        err: String::from_utf8(output.stderr).unwrap(),
    }
}

/// A folder that goes away with the test, and files in it.
pub struct Folder(tempfile::TempDir);

impl Folder {
    pub fn new() -> Self {
        Self(tempfile::tempdir().unwrap())
    }

    /// The path of a file in the folder.
    pub fn path(&self, name: &str) -> String {
        self.0.path().join(name).to_str().unwrap().to_owned()
    }

    /// Writes a file and gives its path.
    pub fn write(&self, name: &str, bytes: impl AsRef<[u8]>) -> String {
        let path = self.path(name);
        std::fs::write(&path, bytes).unwrap();
        path
    }
}

/// Text of a file named from the root.
pub fn read(path: &str) -> String {
    std::fs::read_to_string(root().join(path)).unwrap_or_else(|e| panic!("{path}: {e}"))
}

/// An example file, one of whose lines is replaced.
pub fn example_with(path: &str, old: &str, new: &str) -> String {
    let text = read(path);
    assert!(text.contains(old), "{path} holds no `{old}`");
    text.replacen(old, new, 1)
}
