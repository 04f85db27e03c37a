// The settings window alive: the point over the map follows the pointer and the
// arrow keys, the words next to it follow the point, letting go writes both values.

import { words } from "./words.js";

/** A pause after the last key press that counts as letting go, milliseconds. */
const KEYS_REST_MS = 900;
const STATE_SHOWN_MS = 2500;
const ARROWS = { ArrowRight: [1, 0], ArrowLeft: [-1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
const JSON_ONLY = { headers: { Accept: "application/json" } };

/** Wire the window, when the page has one. */
export function settingsWindow() {
  const panel = document.getElementById("window-panel");
  if (panel) new SettingsWindow(panel).wire();
}

class SettingsWindow {
  constructor(panel) {
    this.panel = panel;
    this.base = panel.dataset.window;
    this.moving = null;
    this.asking = null;
    this.rest = 0;
  }

  wire() {
    this.found();
    this.panel.addEventListener("change", (event) => {
      if (event.target.closest("#window-choose")) this.choose();
    });
    this.panel.addEventListener("submit", (event) => this.submitted(event));
    this.panel.addEventListener("pointerdown", (event) => this.grabbed(event));
    this.panel.addEventListener("keydown", (event) => this.pressed(event));
    this.panel.addEventListener("focusout", (event) => {
      if (event.target === this.point && this.moving?.byKeys) this.letGo();
    });
    // The map changes its width, and with it the place of the point.
    new ResizeObserver(() => this.put(this.at)).observe(this.panel);
  }

  /** Takes up what was laid: the sides, the point, where it stands. */
  found() {
    this.map = this.panel.querySelector("#window-ground");
    this.point = this.panel.querySelector("#window-point");
    this.sides = this.map ? JSON.parse(this.map.dataset.sides) : null;
    this.at = this.sides?.map((side) => side.value);
    this.moving = null;
    this.put(this.at);
    const chance = this.panel.querySelector("[data-window-chance]");
    if (chance) this.drawChance();
  }

  get svg() {
    return [...this.map.querySelectorAll("svg")].find((svg) => svg.getBoundingClientRect().width > 0);
  }

  /** The map's frame in CSS pixels of the figure: left, bottom, and per unit. */
  frame() {
    const svg = this.svg;
    if (!svg) return null;
    const box = svg.getBoundingClientRect();
    const outer = this.map.getBoundingClientRect();
    const scale = box.width / svg.viewBox.baseVal.width;
    const at = (name) => Number(svg.dataset[name]);
    const span = (low, high, from, to) => ({ low, from: from * scale, per: ((to - from) * scale) / (high - low) });
    return {
      left: box.left - outer.left,
      top: box.top - outer.top,
      x: span(at("xMin"), at("xMax"), at("uMin"), at("uMax")),
      y: span(at("yMin"), at("yMax"), at("vMin"), at("vMax")),
    };
  }

  put(at) {
    const frame = this.map && this.frame();
    if (!frame || !at) return;
    const place = (axis, value) => axis.from + (value - axis.low) * axis.per;
    this.point.style.left = `${frame.left + place(frame.x, at[0])}px`;
    this.point.style.top = `${frame.top + place(frame.y, at[1])}px`;
  }

  /** Where a pointer is, in the units of the sides, at marks a hand can set. */
  under(event) {
    const frame = this.frame();
    const outer = this.map.getBoundingClientRect();
    const value = (axis, px) => axis.low + (px - axis.from) / axis.per;
    const raw = [
      value(frame.x, event.clientX - outer.left - frame.left),
      value(frame.y, event.clientY - outer.top - frame.top),
    ];
    return { raw, at: raw.map((v, k) => this.snap(k, v)) };
  }

  snap(k, value) {
    const { ends, steps } = this.sides[k];
    const held = Math.min(ends[1], Math.max(ends[0], value));
    return Math.round(held / steps[0]) * steps[0];
  }

  isInside(raw) {
    return raw.every((v, k) => v >= this.sides[k].ends[0] && v <= this.sides[k].ends[1]);
  }

  grabbed(event) {
    if (!this.map || event.button !== 0 || this.busy) return;
    const isPoint = event.target === this.point;
    // A finger on the map scrolls the page; only the point is dragged by it.
    if (!isPoint && (event.pointerType !== "mouse" || !event.target.closest("#window-ground svg"))) return;
    const start = this.under(event);
    if (!isPoint && !this.isInside(start.raw)) return;
    event.preventDefault();
    const { point } = this;
    point.focus({ preventScroll: true });
    point.setPointerCapture(event.pointerId);
    clearTimeout(this.rest);
    // A finger lands next to the middle of the point; it stays next to it.
    const off = isPoint ? this.at.map((v, k) => v - start.raw[k]) : [0, 0];
    const move = (to) => {
      const at = this.under(to).raw.map((v, k) => this.snap(k, v + off[k]));
      if (this.moving || !same(at, this.at)) this.go(at);
    };
    const end = (to) => {
      for (const name of ["pointermove", "pointerup", "pointercancel"]) point.removeEventListener(name, name === "pointermove" ? move : end);
      if (to.type === "pointercancel") return this.back();
      move(to);
      this.letGo();
    };
    point.addEventListener("pointermove", move);
    point.addEventListener("pointerup", end);
    point.addEventListener("pointercancel", end);
    if (!isPoint) move(event);
  }

  pressed(event) {
    if (event.target !== this.point || event.altKey || event.ctrlKey || event.metaKey || this.busy) return;
    if (event.key === "Escape" && this.moving) { event.preventDefault(); return this.back(); }
    if (event.key === "Enter" && this.moving) { event.preventDefault(); return this.letGo(); }
    const way = ARROWS[event.key];
    if (!way) return;
    event.preventDefault();
    const by = event.shiftKey ? 1 : 0;
    const at = this.at.map((v, k) => (way[k] ? this.snap(k, v + way[k] * this.sides[k].steps[by]) : v));
    if (same(at, this.at)) return;
    this.go(at);
    this.moving.byKeys = true;
    clearTimeout(this.rest);
    this.rest = setTimeout(() => this.letGo(), KEYS_REST_MS);
  }

  /** The point goes there and the words follow. Nothing is kept. */
  go(at) {
    this.moving ??= { from: this.at, byKeys: false, shown: this.shown() };
    this.at = at;
    this.point.dataset.moving = "";
    this.put(at);
    this.point.setAttribute("aria-valuenow", String(at[0]));
    this.ask(at);
  }

  /** One question is under way at a time; the latest place is asked next. */
  ask(at) {
    this.wish = at;
    this.asking ??= this.follow();
    return this.asking;
  }

  async follow() {
    let there = null;
    while (this.wish) {
      const at = this.wish;
      this.wish = null;
      there = null;
      try {
        const query = this.query();
        query.set("at", at.join(","));
        const answer = await fetch(`${this.base}/place?${query}`, JSON_ONLY);
        there = answer.ok ? await answer.json() : null;
      } catch {
        there = null;
      }
      if (there?.html && this.moving) this.tell(there);
    }
    this.asking = null;
    return there;
  }

  tell({ place, html }) {
    this.panel.querySelector("#window-here").innerHTML = html;
    this.point.setAttribute("aria-valuetext", place.words);
    this.sides.forEach((side, k) => {
      const box = this.box(side.path);
      if (box) box.value = place.texts[k];
    });
  }

  box(path) {
    return this.panel.querySelector("#window-set").elements.namedItem(path);
  }

  /** What stands next to the point, so that Escape can bring it back. */
  shown() {
    return {
      html: this.panel.querySelector("#window-here").innerHTML,
      place: { texts: this.sides.map((side) => this.box(side.path).value), words: this.point.getAttribute("aria-valuetext") },
    };
  }

  back() {
    clearTimeout(this.rest);
    if (!this.moving) return;
    const { from, shown } = this.moving;
    this.moving = null;
    this.wish = null;
    this.at = from;
    this.put(from);
    this.tell(shown);
    this.point.setAttribute("aria-valuenow", String(from[0]));
    delete this.point.dataset.moving;
  }

  async letGo() {
    clearTimeout(this.rest);
    if (!this.moving || this.busy) return;
    if (same(this.at, this.moving.from)) return this.back();
    const form = this.panel.querySelector("#window-set");
    this.busy = true;
    const there = (await this.asking) ?? (await this.ask(this.at));
    this.busy = false;
    if (!there?.place) return this.say(words.WindowFailed);
    this.tell(there);
    return this.send(form, "window-point");
  }

  query() {
    return new URLSearchParams(new FormData(this.panel.querySelector("#window-choose")));
  }

  choose() {
    const query = this.query();
    history.replaceState(null, "", `${location.pathname}?${query}`);
    this.load(query);
  }

  async load(query, { refocus } = {}) {
    try {
      const answer = await fetch(`${this.base}?${query}`, JSON_ONLY);
      if (!answer.ok) throw new Error(String(answer.status));
      this.lay(await answer.json(), refocus);
    } catch {
      this.say(words.WindowFailed);
    }
  }

  lay(body, refocus) {
    const held = refocus ?? (this.panel.contains(document.activeElement) ? document.activeElement.id : "");
    // What goes takes the focus with it, which is no letting go.
    this.moving = null;
    this.panel.innerHTML = body.html;
    this.found();
    if (held) (document.getElementById(held) ?? this.point)?.focus({ preventScroll: true });
  }

  submitted(event) {
    const form = event.target;
    event.preventDefault();
    if (form.id === "window-choose") this.choose();
    else if (form.matches("[data-window-form]")) this.send(form, event.submitter?.id);
  }

  /** Posts a form of the window: a place, a turn, or taking back. */
  async send(form, refocus, version) {
    if (this.busy) return;
    this.busy = true;
    const pairs = new URLSearchParams(new FormData(form));
    if (version) pairs.set("version", version);
    this.say(words.StateSaving);
    try {
      const answer = await fetch(form.action, { method: "POST", body: pairs, ...JSON_ONLY });
      const body = await answer.json();
      if (answer.ok) {
        this.lay(body, refocus);
        this.say(words.StateSaved.replace("{n}", body.version), true);
      } else if (answer.status === 409) this.conflict(form, refocus, body);
      // The plain form leads to the page that asks why.
      else if (body.error?.code === "why") form.submit();
      else this.say((body.error?.findings ?? []).map((one) => one.message).join(" ") || body.error?.message || words.StateRefused);
    } catch {
      this.say(words.StateOffline);
    }
    this.busy = false;
  }

  /** Somebody else was quicker: theirs is shown, and the hand decides. */
  conflict(form, refocus, body) {
    const note = document.createElement("div");
    note.className = "window-conflict";
    note.setAttribute("role", "alertdialog");
    note.setAttribute("aria-labelledby", "window-conflict-title");
    const title = document.createElement("h2");
    title.id = "window-conflict-title";
    title.tabIndex = -1;
    title.textContent = words.ConflictTitle;
    const theirs = document.createElement("div");
    theirs.innerHTML = body.since_html;
    const choices = document.createElement("div");
    choices.className = "choices";
    const button = (text, act) => {
      const made = document.createElement("button");
      made.type = "button";
      made.className = "button";
      made.textContent = text;
      made.addEventListener("click", () => { note.remove(); act(); });
      choices.append(made);
    };
    button(words.UseMine, () => this.send(form, refocus, body.version));
    button(words.TakeTheirs, () => this.load(this.query(), { refocus }));
    note.append(title, theirs, choices);
    this.panel.querySelector(".window-conflict")?.remove();
    form.before(note);
    title.focus();
    this.say(words.StateConflict);
  }

  async drawChance() {
    const room = this.panel.querySelector("#window-chance");
    try {
      const answer = await fetch(`${this.base}/chance`, JSON_ONLY);
      if (answer.ok) room.innerHTML = (await answer.json()).html;
    } catch {
      // The place stays with its waiting words; the next look asks again.
    }
  }

  say(text, isPassing = false) {
    const state = document.getElementById("state");
    clearTimeout(this.clearing);
    state.textContent = text;
    if (isPassing) this.clearing = setTimeout(() => { state.textContent = ""; }, STATE_SHOWN_MS);
  }
}

function same(a, b) {
  return a.every((v, k) => Math.abs(v - b[k]) < 1e-9);
}
