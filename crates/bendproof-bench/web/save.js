// Keeping what was typed. Nothing typed is lost without a word: it stays in its
// box, marked, and is also kept in this browser until the bench has answered.

import { words } from "./words.js";
import { lay } from "./morph.js";

const RETRY_MS = [1000, 3000, 8000, 20000];
const SAVED_SHOWN_MS = 2500;
/** Least time between two previews, milliseconds. */
const PREVIEW_REST_MS = 40;

const fill = (text, places) => text.replace(/\{(\w+)\}/g, (_, name) => places[name] ?? "");

/** The keeper of one sheet. */
export class Keeper {
  constructor(form, afterLay) {
    this.form = form;
    this.afterLay = afterLay;
    this.base = `/coupon/${encodeURIComponent(form.dataset.coupon)}`;
    this.store = `bench:${form.dataset.coupon}:unsaved`;
    this.waiting = new Map();
    this.stuck = new Map();
    // Of what is stuck, what waits for a reason.
    this.unreasoned = new Set();
    this.sending = null;
    this.tries = 0;
    // The pieces shown, each with its print: the bench sends only the others.
    this.shown = new Map(Object.entries(JSON.parse(form.dataset.prints)));
    this.previewing = { timer: 0, isAsking: false, isShown: false, change: null };
  }

  /** Whether anything typed is not kept yet. */
  get isBehind() {
    return this.waiting.size > 0 || this.stuck.size > 0 || this.sending !== null;
  }

  get version() {
    return this.form.elements.namedItem("version").value;
  }

  /** Take up what an earlier page could not save. */
  restore() {
    const kept = JSON.parse(localStorage.getItem(this.store) ?? "{}");
    for (const [path, text] of Object.entries(kept)) {
      const box = this.box(path);
      if (!box || box.value === text) continue;
      box.value = text;
      this.hold(path, text);
    }
    this.write();
    if (this.waiting.size) this.say(words.StateRestored, true);
  }

  box(path) {
    const found = this.form.elements.namedItem(path);
    return found instanceof RadioNodeList ? found[0] : found;
  }

  hold(path, text) {
    this.waiting.set(path, text);
    this.stuck.delete(path);
    this.box(path)?.setAttribute("data-unsaved", "");
    this.write();
  }

  /** What is not saved goes to this browser's own store, for a closed page. */
  write() {
    const all = { ...Object.fromEntries(this.stuck), ...Object.fromEntries(this.sending ?? []), ...Object.fromEntries(this.waiting) };
    if (Object.keys(all).length) localStorage.setItem(this.store, JSON.stringify(all));
    else localStorage.removeItem(this.store);
  }

  /** Keep one box. */
  keep(box) {
    if (!box?.name) return;
    this.stopPreview();
    this.hold(box.name, box.value);
    this.flush();
  }

  async flush(again = null, why = "") {
    if (this.sending || (!this.waiting.size && !again)) return true;
    const batch = again ?? { changes: this.waiting, token: token(), why };
    if (!again) this.waiting = new Map();
    this.sending = batch.changes;
    this.say(words.StateSaving, false, true);
    const answer = await this.post("change", reasoned(batch.changes, batch.why), batch.token);
    this.sending = null;
    if (answer.kind === "offline") return this.offline(batch, answer.body);
    this.tries = 0;
    if (answer.kind === "saved") {
      this.release(batch.changes);
      this.take(answer.body);
      return this.waiting.size ? this.flush() : true;
    }
    // What was refused waits apart, so that it does not hold up later changes.
    const aside = answer.kind === "conflict" ? this.waiting : this.stuck;
    for (const [path, text] of batch.changes) if (!this.waiting.has(path)) aside.set(path, text);
    this.write();
    if (answer.kind === "conflict") this.conflict(answer.body);
    else if (answer.kind === "why") this.askWhyOfTyped(answer.body, batch.changes.keys());
    else this.refused(answer.body);
    return false;
  }

  /** Values typed into a judged coupon wait, apart from the others, for the
   *  one reason they are amended for. */
  askWhyOfTyped(body, paths) {
    for (const path of paths) this.unreasoned.add(path);
    const typed = () => [...this.unreasoned].filter((path) => this.stuck.has(path));
    const lines = typed().map((path) => this.line(path, this.stuck.get(path)));
    this.askWhy(body, lines, (why) => {
      for (const path of typed()) {
        this.waiting.set(path, this.stuck.get(path));
        this.stuck.delete(path);
      }
      this.unreasoned.clear();
      return this.flush(null, why);
    }, () => {
      for (const path of typed()) {
        this.box(path)?.removeAttribute("data-unsaved");
        this.stuck.delete(path);
      }
      this.unreasoned.clear();
      this.write();
    });
  }

  /** Everything not kept, sent again. */
  again() {
    if (this.retry) return this.retry();
    for (const [path, text] of this.stuck) this.waiting.set(path, text);
    this.stuck.clear();
    return this.flush();
  }

  offline(batch, body) {
    // The same token goes with the same changes: if the answer was lost after
    // the bench had kept them, they are not kept twice.
    const wait = RETRY_MS[Math.min(this.tries, RETRY_MS.length - 1)];
    this.tries += 1;
    this.sending = batch.changes;
    this.write();
    this.say(body?.error?.message ?? words.StateOffline, true);
    this.retry = () => {
      clearTimeout(this.retryTimer);
      this.retry = null;
      this.sending = null;
      return this.flush(batch);
    };
    clearTimeout(this.retryTimer);
    this.retryTimer = setTimeout(() => this.retry?.(), wait);
    return false;
  }

  release(changes) {
    for (const [path, text] of changes) {
      const box = this.box(path);
      if (this.waiting.has(path)) continue;
      if (box && box.value === text) box.removeAttribute("data-unsaved");
    }
    this.write();
  }

  take(body) {
    this.lay(body);
    for (const box of document.querySelectorAll("[data-version]")) box.value = body.version;
    this.form.dispatchEvent(new CustomEvent("kept"));
    this.say(fill(words.StateSaved, { n: body.version }), false);
    clearTimeout(this.savedTimer);
    this.savedTimer = setTimeout(() => { if (!this.isBehind) this.say("", false); }, SAVED_SHOWN_MS);
  }

  lay(body) {
    for (const [id, html] of Object.entries(body.fragments)) {
      lay(id, html);
      this.shown.set(id, body.prints[id]);
    }
    this.afterLay();
  }

  /** The pieces that need not be sent. One with a typed box in it is wanted
   *  whatever it was: its box shows something else. */
  get have() {
    const isUntouched = ([id]) => !document.getElementById(id)?.querySelector("[data-unsaved]");
    return [...this.shown].filter(isUntouched).map((piece) => piece.join(":")).join(" ");
  }

  async post(what, pairs, mark) {
    const body = new URLSearchParams([["version", this.version], ["token", mark ?? token()], ["have", this.have], ...pairs]);
    try {
      const response = await fetch(`${this.base}/${what}`, { method: "POST", body, headers: { Accept: "application/json" } });
      const said = await response.json();
      const refused = said.error?.code === "why" ? "why" : "refused";
      const kind = response.ok ? "saved" : response.status === 409 ? "conflict" : response.status >= 500 ? "offline" : refused;
      return { kind, body: said };
    } catch {
      return { kind: "offline" };
    }
  }

  /** A row, or taking back: first what is typed, then the wish itself. Answers
   *  whether it was granted. */
  async wish(what, pairs) {
    if (!(await this.settle())) return false;
    const answer = await this.post(what, pairs);
    if (answer.kind === "saved") this.take(answer.body);
    else if (answer.kind === "conflict") this.conflict(answer.body);
    else if (answer.kind === "why") this.askWhy(answer.body, [], (why) => this.wish(what, reasoned(pairs, why)));
    else if (answer.kind === "refused") this.refused(answer.body);
    else this.say(answer.body?.error?.message ?? words.StateOffline, false);
    return answer.kind === "saved";
  }

  async settle() {
    while (this.sending && !this.retry) await new Promise((done) => setTimeout(done, 20));
    return this.retry ? false : this.flush();
  }

  refused(body) {
    const error = body?.error ?? {};
    const findings = (error.findings ?? []).map((finding) => finding.message).join(" ");
    this.say(findings || error.message || words.StateRefused, this.stuck.size > 0);
  }

  /** What is typed in a box, with the box's name. */
  line(path, text) {
    const label = this.box(path)?.labels?.[0]?.textContent ?? this.box(path)?.getAttribute("aria-label") ?? path;
    return `${label}: ${text}`;
  }

  /** Ask why a judged coupon changes, then send the same with the reason, or
   *  leave the coupon as it is. */
  askWhy(body, lines, send, leave = () => {}) {
    const { panel, heading, choices, close } = dialog(words.WhyTitle);
    const form = document.createElement("form");
    const label = element("label", words.WhyLabel);
    const box = document.createElement("input");
    Object.assign(box, { id: "why", type: "text", required: true, autocomplete: "off" });
    label.htmlFor = box.id;
    const again = sameAsBefore(body.error.latest, box);
    const amend = element("button", words.WhyButton);
    amend.className = "button";
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      close();
      send(box.value.trim());
    });
    choices.append(amend, button(words.WhyLeave, () => {
      close();
      leave();
      this.take(body);
    }));
    form.append(label, box, ...again, choices);
    panel.append(heading, element("p", body.error.message));
    if (lines.length) panel.append(list(lines));
    panel.append(form);
    this.say(body.error.message, false);
    box.focus();
  }

  conflict(body) {
    const { panel, heading, choices, close } = dialog(words.ConflictTitle);
    const theirs = document.createElement("div");
    theirs.innerHTML = body.since_html;
    const typed = list([...this.waiting].map(([path, text]) => this.line(path, text)));
    const mine = button(words.UseMine, () => {
      close();
      this.take(body);
      this.flush();
    });
    const take = button(words.TakeTheirs, () => {
      close();
      for (const path of this.waiting.keys()) this.box(path)?.removeAttribute("data-unsaved");
      this.waiting.clear();
      this.write();
      this.take(body);
    });
    choices.append(...(this.waiting.size ? [mine, take] : [take]));
    panel.append(heading, theirs);
    if (this.waiting.size) panel.append(element("h3", words.ConflictYours), typed);
    panel.append(choices);
    this.say(words.StateConflict, false);
    heading.focus();
  }

  say(text, canRetry, isQuiet = false) {
    const state = document.getElementById("state");
    // A quick save is not announced twice: "saving" shows only when slow.
    clearTimeout(this.quiet);
    if (isQuiet) { this.quiet = setTimeout(() => this.say(text, false), 400); return; }
    state.replaceChildren();
    if (text) state.append(element("span", text));
    if (canRetry) state.append(button(words.Retry, () => this.again()));
  }

  stopPreview() {
    clearTimeout(this.previewing.timer);
    this.previewing = { timer: 0, isAsking: false, isShown: false, change: null };
  }

  /** Show the sheet as it would be. One question is under way at a time and
   *  the latest wish is asked next, so a slow answer never starves the hand. */
  preview(path, text, restMs = PREVIEW_REST_MS) {
    const now = this.previewing;
    now.change = [path, text];
    if (now.isAsking) return;
    // A drag is shown as it goes; typing is shown when it pauses.
    if (now.timer && restMs === PREVIEW_REST_MS) return;
    clearTimeout(now.timer);
    now.timer = setTimeout(() => this.ask(now), restMs);
  }

  /** Lay the sheet again as it is kept, when nothing typed waits and no hand
   *  holds a value: its numbers have become better ones. */
  async renew() {
    const isHeld = () => this.isBehind || this.previewing.isShown;
    if (isHeld()) return;
    const answer = await this.post("preview", []);
    if (answer.kind === "saved" && !isHeld()) this.lay(answer.body);
  }

  async ask(now) {
    now.timer = 0;
    now.isAsking = now.isShown = true;
    while (now.change && this.previewing === now) {
      const change = now.change;
      now.change = null;
      const answer = await this.post("preview", [...(this.sending ?? []), ...this.waiting, change]);
      // A preview that fails costs nothing; the change itself will say so.
      if (answer.kind === "saved" && this.previewing === now) {
        this.lay(answer.body);
        this.form.dispatchEvent(new CustomEvent("previewed"));
      }
    }
    now.isAsking = false;
  }
}

/** A way to the reason given last, where there is one. Each change has a reason
 *  of its own, so the same one is written again only by a tap. */
function sameAsBefore(latest, box) {
  if (!latest) return [];
  const same = button(fill(words.WhySame, { why: latest }), () => {
    box.value = latest;
    box.focus();
  });
  same.className = "plain";
  return [same];
}

/** Pairs to send, with the reason where one was given. */
function reasoned(pairs, why) {
  return why ? [...pairs, ["why", why]] : [...pairs];
}

/** The panel for a question, emptied, with its heading and a place for ways on. */
function dialog(title) {
  const panel = document.getElementById("conflict");
  panel.replaceChildren();
  panel.setAttribute("role", "dialog");
  panel.setAttribute("aria-labelledby", "conflict-title");
  const heading = element("h2", title);
  heading.id = "conflict-title";
  heading.tabIndex = -1;
  const choices = element("div", "");
  choices.className = "choices";
  const close = () => { panel.replaceChildren(); panel.removeAttribute("role"); panel.removeAttribute("aria-labelledby"); };
  return { panel, heading, choices, close };
}

function list(lines) {
  const made = element("ul", "");
  made.className = "typed";
  made.append(...lines.map((line) => element("li", line)));
  return made;
}

function token() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

function element(name, text) {
  const made = document.createElement(name);
  made.textContent = text;
  return made;
}

function button(text, act) {
  const made = element("button", text);
  made.type = "button";
  made.className = "button";
  made.addEventListener("click", act);
  return made;
}
