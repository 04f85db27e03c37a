//! A browser under remote control: Debian's Chromium, spoken to in the DevTools
//! protocol over its pipe.
//!
//! `--remote-debugging-pipe` makes the browser read commands from descriptor 3
//! and write answers to descriptor 4, each a JSON text ended by a zero byte. A
//! shell puts this program's ends of stdin and stdout there, so neither a web
//! socket nor a library of generated protocol types is compiled. When the pipe
//! closes, the browser ends by itself.
//!
//! It knows nothing of the bench: pages and hands are in `tab.rs`.

use std::cell::RefCell;
use std::io::{BufRead, BufReader, Write};
use std::path::PathBuf;
use std::process::{Child, ChildStdin, Command, Stdio};
use std::rc::Rc;
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;

use serde_json::{Value, json};
use tempfile::TempDir;

use crate::tab::Tab;

/// Longest wait for one answer of the browser. The slowest is its start on a
/// machine that compiles at the same time. Basis: choice.
const ANSWER_MAX: Duration = Duration::from_secs(40);
/// Where Debian keeps the browser.
const DEFAULT_PATH: &str = "/usr/bin/chromium";
/// Puts the pipe where the browser looks for it.
const TO_PIPE: &str = r#"exec "$0" "$@" 3<&0 4>&1 </dev/null >/dev/null 2>&1"#;
const FLAGS: [&str; 10] = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-dev-shm-usage",
    "--remote-debugging-pipe",
];

/// One running browser with an empty profile.
pub struct Browser {
    link: Rc<RefCell<Link>>,
    _profile: TempDir,
}

impl Browser {
    /// Starts the browser named by `BENDPROOF_BROWSER`, else Debian's.
    pub fn start() -> Self {
        let path = std::env::var_os("BENDPROOF_BROWSER").map_or_else(|| DEFAULT_PATH.into(), PathBuf::from);
        assert!(
            path.is_file(),
            "no browser at {}: install chromium or name one in BENDPROOF_BROWSER",
            path.display()
        );
        let profile = tempfile::tempdir().expect("a folder for the profile");
        let mut child = Command::new("sh")
            .args(["-c", TO_PIPE])
            .arg(path)
            .args(FLAGS)
            .arg(format!("--user-data-dir={}", profile.path().display()))
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .expect("a shell");
        let to = child.stdin.take();
        let (send, from) = channel();
        let answers = child.stdout.take().expect("the pipe");
        std::thread::spawn(move || {
            for text in BufReader::new(answers).split(0).map_while(Result::ok) {
                let Ok(message) = serde_json::from_slice::<Value>(&text) else { break };
                if send.send(message).is_err() {
                    break;
                }
            }
        });
        let link = Link { child, to, from, last: 0, faults: Vec::new() };
        Self { link: Rc::new(RefCell::new(link)), _profile: profile }
    }

    /// Somebody else's window: cookies, storage and cache are its own.
    pub fn person(&self) -> Tab {
        let context = self.ask("Target.createBrowserContext", &json!({}));
        Tab::open(&self.link, context["browserContextId"].as_str().expect("a context"))
    }

    /// What went wrong in the scripts of all pages so far.
    pub fn faults(&self) -> Vec<String> {
        self.link.borrow().faults.clone()
    }

    fn ask(&self, method: &str, params: &Value) -> Value {
        self.link.borrow_mut().ask(None, method, params).expect(method)
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        let mut link = self.link.borrow_mut();
        link.to = None;
        let _ = link.child.wait();
    }
}

/// The pipe, shared by all windows of one browser.
pub struct Link {
    child: Child,
    to: Option<ChildStdin>,
    from: Receiver<Value>,
    last: u64,
    faults: Vec<String>,
}

impl Link {
    /// Sends one command and waits for its answer.
    ///
    /// # Errors
    /// With the browser's own words when it refuses.
    pub fn ask(&mut self, session: Option<&str>, method: &str, params: &Value) -> Result<Value, String> {
        let id = self.send(session, method, params);
        loop {
            let message = self
                .from
                .recv_timeout(ANSWER_MAX)
                .unwrap_or_else(|why| panic!("the browser does not answer {method}: {why}"));
            if message["id"] == id {
                return match message.get("error") {
                    Some(error) => Err(error.to_string()),
                    None => Ok(message["result"].clone()),
                };
            }
            self.note(&message);
        }
    }

    fn send(&mut self, session: Option<&str>, method: &str, params: &Value) -> u64 {
        self.last += 1;
        let mut command = json!({ "id": self.last, "method": method, "params": params });
        if let Some(session) = session {
            command["sessionId"] = session.into();
        }
        let to = self.to.as_mut().expect("the pipe is open");
        to.write_all(format!("{command}\0").as_bytes()).expect("the browser reads");
        to.flush().expect("the browser reads");
        self.last
    }

    /// Events: script faults are kept, a question before leaving is agreed to.
    fn note(&mut self, message: &Value) {
        match message["method"].as_str() {
            Some("Runtime.exceptionThrown") => {
                self.faults.push(message["params"]["exceptionDetails"].to_string());
            }
            Some("Log.entryAdded") if message["params"]["entry"]["source"] == "security" => {
                self.faults.push(message["params"]["entry"]["text"].to_string());
            }
            Some("Page.javascriptDialogOpening") => {
                let session = message["sessionId"].as_str().map(str::to_owned);
                self.send(session.as_deref(), "Page.handleJavaScriptDialog", &json!({ "accept": true }));
            }
            _ => {}
        }
    }
}
