//! The program under test: the real binary, serving a folder of its own.

use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};

use serde_json::Value;

use crate::tab::{Tab, until};

/// What the program prints before its address.
const OPEN_AT: &str = "Bendproof is open at ";

/// A running bench. It is killed when dropped.
pub struct Bench {
    child: Child,
    /// Address with a slash at its end.
    pub url: String,
}

impl Bench {
    /// Starts on a free port.
    pub fn start(data: &Path) -> Self {
        Self::start_at(data, 0)
    }

    /// Starts on a port, so that an open page finds the bench again.
    pub fn start_at(data: &Path, port: u16) -> Self {
        let mut child = Command::new(env!("CARGO_BIN_EXE_bendproof"))
            .args(["bench", "--no-open", "--port", &port.to_string(), "--data"])
            .arg(data)
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("the program");
        let mut line = String::new();
        BufReader::new(child.stdout.take().expect("its output")).read_line(&mut line).expect("its address");
        let url = line.trim().strip_prefix(OPEN_AT).unwrap_or_else(|| panic!("no address in {line:?}"));
        Self { url: url.to_owned(), child }
    }

    /// Ends the program as a power cut would and gives its port.
    pub fn kill(mut self) -> u16 {
        self.child.kill().expect("killed");
        self.child.wait().expect("gone");
        self.url.trim_end_matches('/').rsplit(':').next().and_then(|port| port.parse().ok()).expect("a port")
    }

    /// The whole address of a path without its leading slash.
    pub fn at(&self, path: &str) -> String {
        format!("{}{path}", self.url)
    }
}

impl Drop for Bench {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// Says who is at the bench, on whatever page asks.
pub fn sign_in(tab: &Tab, bench: &Bench, name: &str) {
    tab.go(&bench.url);
    tab.write("who", name);
    tab.press_named("OK");
    tab.wait_text(".bar .who-name", |text| text == name);
    tab.ready();
}

/// Starts a coupon from a template on the list and gives its number.
pub fn create(tab: &Tab, template: &str) -> String {
    tab.choose("template", template);
    tab.press_named("Create traveler");
    tab.wait("/^.coupon.\\d+$/.test(location.pathname)");
    tab.ready();
    tab.eval("document.getElementById('sheet').dataset.coupon").as_str().expect("a number").to_owned()
}

/// The version the sheet is on.
pub fn version(tab: &Tab) -> u64 {
    tab.eval("Number(document.getElementById('sheet').elements.version.value)").as_u64().expect("a version")
}

/// Waits until the bench has acknowledged a version and nothing typed waits.
pub fn saved(tab: &Tab, version: u64) {
    let asked = format!(
        "document.getElementById('sheet').elements.version.value === '{version}' \
         && !document.querySelector('[data-unsaved]')"
    );
    tab.wait(&asked);
}

/// The coupon as the bench keeps it.
pub fn kept(tab: &Tab, number: &str) -> Value {
    tab.eval(&format!("fetch('/coupon/{number}.json').then((answer) => answer.json())"))
}

/// The text of a value in a kept coupon, by its path.
pub fn kept_text(kept: &Value, list: &str, path: &str) -> String {
    let fields = kept["sheet"][list].as_array().expect(list);
    let field = fields.iter().find(|field| field["path"] == path).expect(path);
    field["text"].as_str().expect("a text").to_owned()
}

/// Waits for a finished download and gives its bytes.
pub fn downloaded(folder: &Path, name: &str) -> Vec<u8> {
    let file = folder.join(name);
    let look = || std::fs::read(&file).ok().filter(|bytes| !bytes.is_empty());
    until(name, look, || {
        format!("{:?}", std::fs::read_dir(folder).map(|all| all.flatten().collect::<Vec<_>>()))
    })
}
