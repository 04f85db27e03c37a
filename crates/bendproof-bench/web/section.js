// The solved section: loaded once the sheet stands, laid again when the coupon
// was kept, its film scrubbed frame by frame, its thermocouples placed by hand.

import { words } from "./words.js";
import { point } from "./strap.js";

/** Quiet after a change was kept before the section is solved again, in
 *  milliseconds: several changes in a row are solved once. */
const REST_MS = 900;
/** How long the working words wait, so that a kept answer shows none. */
const PATIENCE_MS = 300;
/** Time between two frames of a played film, milliseconds. */
const FRAME_MS = 260;

/** Wire the section; `sheet` is the sheet's form, or null on the own page. */
export function section(sheet) {
  const panel = document.getElementById("section-panel");
  const form = document.getElementById("section-form");
  if (!panel || !form) return;
  const state = document.createElement("p");
  state.className = "section-state";
  state.setAttribute("role", "status");
  panel.before(state);
  const one = new Section(panel, form, state, () => sheet?.dispatchEvent(new CustomEvent("solved")));
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    one.load(event.submitter?.name ? [[event.submitter.name, event.submitter.value]] : []);
  });
  panel.addEventListener("input", (event) => { if (event.target.name === "frame") one.show(); });
  panel.addEventListener("change", (event) => one.changed(event.target));
  panel.addEventListener("click", (event) => one.clicked(event));
  if (!sheet) return;
  one.load();
  sheet.addEventListener("previewed", () => one.say(words.SectionStale));
  sheet.addEventListener("kept", () => {
    one.say(words.SectionStale);
    clearTimeout(one.rest);
    one.rest = setTimeout(() => one.load(), REST_MS);
  });
}

class Section {
  constructor(panel, form, state, afterLoad) {
    this.afterLoad = afterLoad;
    this.panel = panel;
    this.form = form;
    this.state = state;
    this.base = panel.dataset.section;
    this.asked = 0;
    this.frames = new Map();
  }

  say(text) {
    this.state.textContent = text;
  }

  /** What the controls hold, with `more` pairs. */
  pairs(more = []) {
    return new URLSearchParams([...new FormData(this.form), ...more]);
  }

  async load(more = []) {
    const mine = ++this.asked;
    this.stop();
    const began = Date.now();
    const tell = () => this.say(words.SectionWorking.replace("{n}", Math.round((Date.now() - began) / 1000)));
    const first = setTimeout(tell, PATIENCE_MS);
    const clock = setInterval(tell, 1000);
    const html = await this.ask(more);
    clearTimeout(first);
    clearInterval(clock);
    // A later wish has its own answer.
    if (mine !== this.asked) return;
    this.say(html === null ? words.SectionFailed : "");
    if (html === null) return;
    this.lay(html);
    this.afterLoad();
  }

  async ask(more) {
    try {
      const answer = await fetch(this.base, { method: "POST", body: this.pairs(more), headers: { Accept: "application/json" } });
      return answer.ok ? (await answer.json()).html : null;
    } catch {
      return null;
    }
  }

  lay(html) {
    const held = document.activeElement?.id;
    const isInside = held && this.panel.contains(document.activeElement);
    this.frames.clear();
    this.panel.innerHTML = html;
    if (isInside) document.getElementById(held)?.focus();
  }

  get range() {
    return this.panel.querySelector("input[name=frame]");
  }

  /** The frame the slider stands at; the latest wish wins. */
  async show() {
    const range = this.range;
    const wish = this.pairs().toString();
    this.wish = wish;
    let frame = this.frames.get(wish);
    if (!frame) {
      const query = this.pairs();
      query.delete("measured");
      try {
        const answer = await fetch(`${this.base}/film?${query}`, { headers: { Accept: "application/json" } });
        if (!answer.ok) return;
        frame = await answer.json();
      } catch {
        return;
      }
      this.frames.set(wish, frame);
    }
    if (this.wish !== wish || this.range !== range) return;
    this.panel.querySelector("[data-film]").innerHTML = frame.svg;
    this.panel.querySelector("#section-time").textContent = frame.words;
    range.setAttribute("aria-valuetext", frame.words);
  }

  changed(box) {
    if (box.id === "section-upload") this.upload(box);
    else if (box.name === "bead") this.load();
  }

  async upload(box) {
    const file = box.files[0];
    if (!file) return;
    this.panel.querySelector("#section-measured").value = await file.text();
    this.load();
  }

  clicked(event) {
    if (event.target.closest("[data-film-play]")) return this.timer ? this.stop() : this.play();
    const svg = event.target.closest("[data-place]")?.querySelector("svg");
    if (!svg || !svg.contains(event.target)) return;
    const { x, y } = point(svg, event);
    this.load([["at", `${x.toFixed(2)},${y.toFixed(2)}`]]);
  }

  play() {
    const range = this.range;
    if (Number(range.value) >= Number(range.max)) range.value = range.min;
    this.panel.querySelector("[data-film-play]").textContent = words.SectionPause;
    this.timer = setInterval(() => {
      if (Number(range.value) >= Number(range.max)) return this.stop();
      range.stepUp();
      this.show();
    }, FRAME_MS);
    this.show();
  }

  stop() {
    clearInterval(this.timer);
    this.timer = 0;
    const button = this.panel.querySelector("[data-film-play]");
    if (button) button.textContent = words.SectionPlay;
  }
}
