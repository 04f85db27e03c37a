// Lays new HTML over old without disturbing the hand: what is focused, being
// typed, dragged or opened stays as it is.

/** Replace the element with `id` by `html`, touching only what differs. */
export function lay(id, html) {
  const old = document.getElementById(id);
  if (!old) return;
  const template = document.createElement("template");
  template.innerHTML = html;
  const fresh = template.content.firstElementChild;
  if (fresh) morph(old, fresh);
}

function same(a, b) {
  return a.nodeType === b.nodeType && a.nodeName === b.nodeName && (a.id || "") === (b.id || "");
}

function morph(old, fresh) {
  if (old.nodeType !== Node.ELEMENT_NODE) {
    if (old.nodeValue !== fresh.nodeValue) old.nodeValue = fresh.nodeValue;
    return;
  }
  // What a script has loaded into a held place is not in the fresh page.
  if (old.hasAttribute("data-held")) return;
  // What a box shows is no attribute: equal nodes may show different texts.
  if (!isBox(old) && !old.querySelector("input, select") && old.isEqualNode(fresh)) return;
  // Asked first: laying the attributes changes what the box was shown with.
  const held = isBox(old) && isHeld(old);
  attributes(old, fresh);
  if (held) return;
  children(old, fresh);
  if (isBox(old) && old.value !== fresh.value) old.value = fresh.value;
}

function isBox(node) {
  return node.nodeName === "INPUT" || node.nodeName === "SELECT";
}

/** A box the hand is in, or whose text is not saved yet, is left alone. */
function isHeld(node) {
  if (node.hasAttribute("data-unsaved")) return true;
  return node.nodeName === "INPUT" && node === document.activeElement && node.value !== node.defaultValue;
}

const KEPT = new Set(["open", "data-unsaved", "data-moving", "data-side"]);

function attributes(old, fresh) {
  for (const { name } of [...old.attributes]) {
    if (!fresh.hasAttribute(name) && !KEPT.has(name)) old.removeAttribute(name);
  }
  for (const { name, value } of fresh.attributes) {
    if (KEPT.has(name) && name !== "open") continue;
    if (old.getAttribute(name) !== value) old.setAttribute(name, value);
  }
}

function children(old, fresh) {
  let here = old.firstChild;
  for (const next of [...fresh.childNodes]) {
    if (here && same(here, next)) {
      const after = here.nextSibling;
      morph(here, next);
      here = after;
      continue;
    }
    const found = next.id ? [...old.childNodes].find((node) => same(node, next)) : null;
    if (found) {
      old.insertBefore(found, here);
      morph(found, next);
    } else {
      old.insertBefore(document.importNode(next, true), here);
    }
  }
  while (here) {
    const after = here.nextSibling;
    here.remove();
    here = after;
  }
}
