// The three-voice rule under the hand: pointer, arrow keys and typing set the
// same text box; the marker follows at once, the hatching with the next preview.

import { words } from "./words.js";

const MARK_WORDS = { holds: "MarkHolds", marginal: "MarkMarginal", fails: "MarkFails", "not-known": "MarkNotKnown" };
const UNIT_WORDS = { in: "UnitIn", "in/min": "UnitInMin", V: "UnitV" };
const PAGE_STEPS = 8;
/** A pause after the last key press that counts as letting go, milliseconds. */
const KEYS_REST_MS = 500;

function data(rule) {
  return JSON.parse(rule.dataset.rule);
}

/** A number as a shop writes it on this rule, with its unit. */
export function write(value, rule) {
  if (!rule.fractions) return `${Number(value.toFixed(3))} ${rule.unit}`;
  const parts = Math.round(value * 64);
  const whole = Math.floor(parts / 64);
  let top = parts % 64;
  let bottom = 64;
  while (top && top % 2 === 0) { top /= 2; bottom /= 2; }
  if (!top) return `${whole} ${rule.unit}`;
  return `${whole ? `${whole}-` : ""}${top}/${bottom} ${rule.unit}`;
}

function snap(value, rule) {
  const steps = Math.round((value - rule.min) / rule.step);
  return Math.min(rule.max, Math.max(rule.min, rule.min + steps * rule.step));
}

function say(value, text, rule) {
  const unit = words[UNIT_WORDS[rule.unit]];
  let said = unit ? text.replace(` ${rule.unit}`, ` ${unit}`) : text;
  if (rule.unit === "in") said += `, ${(value * 25.4).toFixed(1)} mm`;
  const span = rule.physics.find(([from, to]) => from <= value && value <= to);
  if (span) said += `, ${words.VoicePhysics}: ${words[MARK_WORDS[span[2]]]}`;
  if (rule.trade) {
    const isInside = rule.trade[0] <= value && value <= rule.trade[1];
    said += `, ${words.VoiceTrade}: ${words[isInside ? "TradeInside" : "TradeOutside"]}`;
  }
  return said;
}

function place(slider, value) {
  const rule = data(slider);
  const marker = slider.querySelector(".marker");
  marker.setAttribute("x", `${((value - rule.min) / (rule.max - rule.min)) * 100}%`);
  marker.classList.remove("unset");
  const text = write(value, rule);
  slider.setAttribute("aria-valuenow", String(value));
  slider.setAttribute("aria-valuetext", say(value, text, rule));
  return text;
}

/** Wire every rule under `form`. `preview(path, text)` shows, `keep(box)` saves. */
export function rules(form, preview, keep) {
  let moving = null;
  let resting = 0;

  const set = (slider, value) => {
    const box = document.getElementById(slider.dataset.for);
    moving = { slider: slider.id, value };
    box.value = place(slider, value);
    preview(box.name, box.value);
    return box;
  };
  const letGo = (box) => {
    moving = null;
    keep(box);
  };
  const valueAt = (slider, x) => {
    const rule = data(slider);
    const edge = slider.querySelector(".rule-face").getBoundingClientRect();
    return snap(rule.min + ((x - edge.left) / edge.width) * (rule.max - rule.min), rule);
  };

  form.addEventListener("pointerdown", (event) => {
    const slider = event.target.closest(".rule");
    if (!slider || event.button !== 0) return;
    slider.setPointerCapture(event.pointerId);
    slider.dataset.moving = "";
    const start = Number(slider.getAttribute("aria-valuenow"));
    let box = null;
    const move = (to) => {
      const value = valueAt(slider, to.clientX);
      if (box || value !== start) box = set(slider, value);
    };
    const end = (to) => {
      slider.removeEventListener("pointermove", move);
      slider.removeEventListener("pointerup", end);
      slider.removeEventListener("pointercancel", end);
      delete slider.dataset.moving;
      if (to.type === "pointerup") move(to);
      if (box) letGo(box);
    };
    slider.addEventListener("pointermove", move);
    slider.addEventListener("pointerup", end);
    slider.addEventListener("pointercancel", end);
    // A finger that means to scroll is cancelled by the browser before it moves
    // the marker; a mouse press sets the marker at once.
    if (event.pointerType === "mouse") move(event);
  });

  form.addEventListener("keydown", (event) => {
    const slider = event.target.closest?.(".rule");
    if (!slider || event.altKey || event.ctrlKey || event.metaKey) return;
    const rule = data(slider);
    const now = moving?.slider === slider.id ? moving.value : Number(slider.getAttribute("aria-valuenow"));
    const steps = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1, PageUp: PAGE_STEPS, PageDown: -PAGE_STEPS }[event.key];
    let to = steps === undefined ? null : snap(now, rule) + steps * rule.step;
    if (event.key === "Home") to = rule.min;
    if (event.key === "End") to = rule.max;
    if (to === null) return;
    event.preventDefault();
    const box = set(slider, snap(to, rule));
    clearTimeout(resting);
    resting = setTimeout(() => letGo(box), KEYS_REST_MS);
  });

  form.addEventListener("focusout", (event) => {
    const slider = event.target.closest?.(".rule");
    if (!slider || moving?.slider !== slider.id || "moving" in slider.dataset) return;
    clearTimeout(resting);
    letGo(document.getElementById(slider.dataset.for));
  });

  /** After a preview is laid over the sheet: the marker stays under the hand. */
  return () => {
    if (!moving) return;
    const slider = document.getElementById(moving.slider);
    if (slider) document.getElementById(slider.dataset.for).value = place(slider, moving.value);
  };
}
