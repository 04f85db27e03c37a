// The bench alive: wires the sheet's form to the keeper, the rules and the
// straps. Without this file every button still works as a plain form.

import { Keeper } from "./save.js";
import { rules } from "./rule.js";
import { straps } from "./strap.js";
import { section } from "./section.js";
import { settingsWindow } from "./window.js";

/** A pause in typing after which the sheet shows what it would say, in
 *  milliseconds; sooner, every half-typed fraction would be called wrong. */
const TYPING_REST_MS = 350;

document.documentElement.classList.add("live");

function look() {
  const form = document.querySelector("[data-look-form]");
  form?.addEventListener("change", () => {
    document.documentElement.dataset.look = form.elements.look.value;
    fetch(form.action, { method: "POST", body: new URLSearchParams(new FormData(form)), redirect: "manual" });
  });
}

/** One note open at a time; Escape and a press elsewhere close it. */
function notes() {
  const close = (but) => {
    for (const note of document.querySelectorAll("details.ask[open]")) if (note !== but) note.open = false;
  };
  document.addEventListener("click", (event) => close(event.target.closest("details.ask")));
  // A note that would leave the page on the left opens to the right instead.
  document.addEventListener("toggle", (event) => {
    const note = event.target.matches("details.ask[open]") && event.target.querySelector(".ask-note");
    if (note && note.getBoundingClientRect().left < 0) event.target.dataset.side = "right";
  }, true);
  document.addEventListener("keydown", (event) => {
    if (event.key !== "Escape") return;
    const open = document.querySelector("details.ask[open]");
    if (!open) return;
    open.open = false;
    open.querySelector("summary").focus();
  });
}

/** After a row came or went: to the new row's first box, or to the button that
 *  adds one, so that the keyboard is not thrown back to the top. */
function goOn(form, words) {
  const [kind, of, piece] = words.split(":");
  const lists = {
    strap: "article.strap",
    opening: `#strap-${of} li.opening`,
    piece: `article.exam-piece[id^="piece-${of}-"]`,
    flaw: `#piece-${of}-${piece} li.opening`,
  };
  const list = lists[kind] ?? `.${kind}-grid tbody tr:not(.under)`;
  const add = words.replace(/:remove:\d+$/, ":add");
  const rows = form.querySelectorAll(list);
  const box = words.endsWith(":add") ? rows[rows.length - 1]?.querySelector("input:not([type=hidden]), select") : null;
  (box ?? form.querySelector(`button[value="${add}"]`))?.focus();
}

function sheet() {
  const form = document.getElementById("sheet");
  if (!form) return;
  let stay = () => {};
  const keeper = new Keeper(form, () => stay());
  stay = rules(form, (path, text) => keeper.preview(path, text), (box) => keeper.keep(box));
  const row = async (words, values = {}) => {
    if (await keeper.wish("row", [["row", words], ...Object.entries(values)])) goOn(form, words);
  };
  straps(form, row);

  // The sheet's own numbers rest on the solved section as soon as there is one.
  form.addEventListener("solved", () => keeper.renew());
  // Boxes of the section stand in the sheet but belong to a form of their own.
  form.addEventListener("change", (event) => { if (event.target.form === form) keeper.keep(event.target); });
  form.addEventListener("input", (event) => {
    if (event.target.form === form && event.target.name && event.target.type === "text") keeper.preview(event.target.name, event.target.value, TYPING_REST_MS);
  });
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const press = event.submitter;
    if (press?.hasAttribute("data-row-button")) row(press.value);
    else keeper.flush();
  });
  for (const way of ["undo", "stamp"]) {
    document.getElementById(way)?.addEventListener("submit", (event) => {
      event.preventDefault();
      keeper.wish(way, []);
    });
  }
  window.addEventListener("beforeunload", (event) => {
    if (keeper.isBehind) event.preventDefault();
  });
  window.addEventListener("online", () => keeper.retry?.());
  keeper.restore();
}

look();
notes();
sheet();
section(document.getElementById("sheet"));
settingsWindow();
