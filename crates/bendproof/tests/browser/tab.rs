//! One window of the browser and the hands at it: pointing, keys, typing,
//! reading. Everything waits for a condition with a bound, never for a time.

use std::cell::RefCell;
use std::path::Path;
use std::rc::Rc;
use std::time::{Duration, Instant};

use serde_json::{Value, json};

use crate::cdp::Link;

/// Longest wait for anything on a page. Basis: choice; the bench answers in
/// tens of milliseconds, a loaded machine in a second or two.
pub const WAIT_MAX: Duration = Duration::from_secs(15);
/// Pause between two looks, so that looking does not starve the page.
const LOOK_EVERY: Duration = Duration::from_millis(15);
/// Moves between the ends of a drag.
const DRAG_STEPS: u8 = 6;
/// Bit of the Control key in the protocol's modifiers.
const CONTROL: u8 = 2;

/// One window.
pub struct Tab {
    link: Rc<RefCell<Link>>,
    context: String,
    session: String,
}

/// Looks until `look` finds something.
///
/// # Panics
/// With `what` and the last `state` when the bound is passed.
pub fn until<T>(what: &str, mut look: impl FnMut() -> Option<T>, state: impl Fn() -> String) -> T {
    let start = Instant::now();
    loop {
        if let Some(found) = look() {
            return found;
        }
        assert!(start.elapsed() < WAIT_MAX, "waited in vain for {what}; there is {}", state());
        std::thread::sleep(LOOK_EVERY);
    }
}

impl Tab {
    /// A window in a browser context.
    pub fn open(link: &Rc<RefCell<Link>>, context: &str) -> Self {
        let ask = |method: &str, params: Value| link.borrow_mut().ask(None, method, &params).expect(method);
        let made = ask("Target.createTarget", json!({ "url": "about:blank", "browserContextId": context }));
        let joined = ask("Target.attachToTarget", json!({ "targetId": made["targetId"], "flatten": true }));
        let session = joined["sessionId"].as_str().expect("a session").to_owned();
        let tab = Self { link: Rc::clone(link), context: context.to_owned(), session };
        for domain in ["Page.enable", "Runtime.enable", "Log.enable"] {
            tab.ask(domain, json!({}));
        }
        tab.size(1380, 900);
        tab.prefers("light");
        tab
    }

    /// Another window of the same person.
    pub fn another(&self) -> Self {
        Self::open(&self.link, &self.context)
    }

    /// Closes the window as a crash would: nothing is asked.
    pub fn close(self) {
        let answer = self.ask("Target.getTargetInfo", json!({}));
        let target = &answer["targetInfo"]["targetId"];
        self.link
            .borrow_mut()
            .ask(None, "Target.closeTarget", &json!({ "targetId": target }))
            .expect("closed");
    }

    fn ask(&self, method: &str, params: Value) -> Value {
        self.link.borrow_mut().ask(Some(&self.session), method, &params).expect(method)
    }

    /// Width and height of the page in CSS pixels.
    pub fn size(&self, width: u32, height: u32) {
        let size = json!({ "width": width, "height": height, "deviceScaleFactor": 1, "mobile": false });
        self.ask("Emulation.setDeviceMetricsOverride", size);
    }

    /// What the device prefers: `light` or `dark`, and always no motion, so that
    /// a thing scrolled to is there at once.
    pub fn prefers(&self, scheme: &str) {
        let features = json!([
            { "name": "prefers-color-scheme", "value": scheme },
            { "name": "prefers-reduced-motion", "value": "reduce" }
        ]);
        self.ask("Emulation.setEmulatedMedia", json!({ "features": features }));
    }

    /// Opens an address and waits until its scripts are at work.
    pub fn go(&self, url: &str) {
        let gone = self.ask("Page.navigate", json!({ "url": url }));
        assert!(gone.get("errorText").is_none(), "{url}: {gone}");
        self.ready();
    }

    /// Waits until the page is whole and its scripts are at work.
    pub fn ready(&self) {
        self.wait(
            "document.readyState === 'complete' && document.documentElement.classList.contains('live')",
        );
    }

    /// Evaluates in the page; a promise is awaited.
    ///
    /// # Panics
    /// When the script throws.
    pub fn eval(&self, script: &str) -> Value {
        self.try_eval(script).unwrap_or_else(|why| panic!("{script}: {why}"))
    }

    fn try_eval(&self, script: &str) -> Result<Value, String> {
        let params = json!({ "expression": script, "awaitPromise": true, "returnByValue": true });
        let answer = self.link.borrow_mut().ask(Some(&self.session), "Runtime.evaluate", &params)?;
        match answer.get("exceptionDetails") {
            Some(thrown) => Err(thrown["exception"]["description"].to_string()),
            None => Ok(answer["result"]["value"].clone()),
        }
    }

    /// Waits until a script's value is true. While a page is replaced by the
    /// next there is nothing to ask, which counts as not yet.
    pub fn wait(&self, condition: &str) {
        let look = || self.try_eval(condition).is_ok_and(|value| value == true).then_some(());
        until(condition, look, || self.says());
    }

    /// Waits until the text of an element passes, and gives it.
    pub fn wait_text(&self, selector: &str, passes: impl Fn(&str) -> bool) -> String {
        let script = format!("document.querySelector({})?.innerText ?? ''", quoted(selector));
        let text = || self.try_eval(&script).ok().and_then(|value| value.as_str().map(str::to_owned));
        until(selector, || text().filter(|text| passes(text)), || format!("{:?}, {}", text(), self.says()))
    }

    /// Address and state line, for what failed.
    fn says(&self) -> String {
        let script = "location.pathname + ': ' + (document.getElementById('state')?.innerText ?? '')";
        self.try_eval(script).map_or_else(|why| why, |value| value.to_string())
    }

    /// The text of an element as it is seen.
    pub fn text(&self, selector: &str) -> String {
        let script = format!("document.querySelector({}).innerText", quoted(selector));
        self.eval(&script).as_str().unwrap_or_default().to_owned()
    }

    /// What a box holds.
    pub fn value(&self, name: &str) -> String {
        self.eval(&format!("document.querySelector({}).value", quoted(&named(name))))
            .as_str()
            .unwrap_or_default()
            .to_owned()
    }

    /// How many elements there are.
    pub fn count(&self, selector: &str) -> u64 {
        self.eval(&format!("document.querySelectorAll({}).length", quoted(selector))).as_u64().unwrap_or(0)
    }

    /// Presses the mouse on the middle of an element, which must not be covered.
    pub fn click(&self, selector: &str) {
        self.click_found(&format!("document.querySelector({})", quoted(selector)));
    }

    /// Presses the button or link with this name.
    pub fn press_named(&self, words: &str) {
        self.click_found(&format!(
            "[...document.querySelectorAll('button, a')].find((e) => e.checkVisibility() && e.innerText.trim() === {})",
            quoted(words)
        ));
    }

    /// The element must come to rest at one place under the pointer: a page
    /// that is still being laid out would be missed by the press.
    fn click_found(&self, element: &str) {
        let script = format!(
            "(async () => {{ const e = {element}; if (!e) return null; \
             e.scrollIntoView({{ block: 'center', behavior: 'instant' }}); \
             const at = () => {{ const b = e.getBoundingClientRect(); return [b.x + b.width / 2, b.y + b.height / 2]; }}; \
             const before = at(); await new Promise(requestAnimationFrame); const [x, y] = at(); \
             const hit = document.elementFromPoint(x, y); \
             return before[0] === x && before[1] === y && e.contains(hit) ? [x, y] : null; }})()"
        );
        let place = || self.try_eval(&script).ok().filter(|place| place.is_array());
        let at = until(element, place, || format!("nothing to press there, {}", self.says()));
        self.click_at(at[0].as_f64().unwrap_or(0.0), at[1].as_f64().unwrap_or(0.0));
    }

    /// Presses the mouse at a point of the window.
    pub fn click_at(&self, x: f64, y: f64) {
        self.mouse("mousePressed", [x, y], 1);
        self.mouse("mouseReleased", [x, y], 0);
    }

    /// Takes hold at one point, moves to another and holds still there; the
    /// button stays down until [`Tab::let_go`].
    pub fn drag(&self, from: [f64; 2], to: [f64; 2]) {
        self.mouse("mousePressed", from, 1);
        for step in 1..=DRAG_STEPS {
            let part = f64::from(step) / f64::from(DRAG_STEPS);
            let at = [from[0] + (to[0] - from[0]) * part, from[1] + (to[1] - from[1]) * part];
            self.mouse("mouseMoved", at, 1);
        }
    }

    /// Lets go of what was dragged.
    pub fn let_go(&self, at: [f64; 2]) {
        self.mouse("mouseReleased", at, 0);
    }

    fn mouse(&self, kind: &str, at: [f64; 2], buttons: u8) {
        self.ask(
            "Input.dispatchMouseEvent",
            json!({ "type": kind, "x": at[0], "y": at[1], "button": "left", "buttons": buttons, "clickCount": 1 }),
        );
    }

    /// Presses a key that writes nothing.
    pub fn key(&self, key: &str) {
        self.chord(key, 0);
    }

    fn chord(&self, key: &str, modifiers: u8) {
        let code = match key {
            "Tab" => 9,
            "Enter" => 13,
            "Escape" => 27,
            "End" => 35,
            "Home" => 36,
            "ArrowLeft" => 37,
            "ArrowRight" => 39,
            "ArrowDown" => 40,
            "a" => 65,
            other => panic!("no key code for {other}"),
        };
        let commands: &[&str] = if modifiers == CONTROL && key == "a" { &["selectAll"] } else { &[] };
        // Enter is a written key to a browser: it acts on the character.
        let (down, text) = if key == "Enter" { ("keyDown", "\r") } else { ("rawKeyDown", "") };
        for (kind, text) in [(down, text), ("keyUp", "")] {
            self.ask(
                "Input.dispatchKeyEvent",
                json!({ "type": kind, "key": key, "code": key, "windowsVirtualKeyCode": code,
                    "modifiers": modifiers, "commands": commands, "text": text }),
            );
        }
    }

    /// Writes over what a box holds, without leaving it.
    pub fn write(&self, name: &str, text: &str) {
        let found = format!("document.querySelector({})", quoted(&named(name)));
        self.wait(&format!("{found} !== null"));
        self.eval(&format!("{found}.focus()"));
        self.chord("a", CONTROL);
        self.ask("Input.insertText", json!({ "text": text }));
        assert_eq!(self.value(name), text, "{name} after typing");
    }

    /// Writes over what a box holds and goes on to the next.
    pub fn fill(&self, name: &str, text: &str) {
        self.write(name, text);
        self.key("Tab");
    }

    /// Takes an option of a list, as choosing with the mouse does.
    pub fn choose(&self, name: &str, value: &str) {
        let script = format!(
            "(() => {{ const e = document.querySelector({}); e.focus(); e.value = {}; \
             for (const kind of ['input', 'change']) e.dispatchEvent(new Event(kind, {{ bubbles: true }})); \
             return e.value; }})()",
            quoted(&named(name)),
            quoted(value)
        );
        assert_eq!(self.eval(&script), value, "{name} has no such option");
    }

    /// Lets downloads go to a folder.
    pub fn downloads(&self, folder: &Path) {
        let params = json!({ "behavior": "allow", "downloadPath": folder, "browserContextId": self.context });
        self.link.borrow_mut().ask(None, "Browser.setDownloadBehavior", &params).expect("downloads");
    }
}

/// The selector of the box with a name.
fn named(name: &str) -> String {
    format!("[name=\"{name}\"]:not([type=hidden])")
}

/// A text as a script literal.
pub fn quoted(text: &str) -> String {
    Value::from(text).to_string()
}
