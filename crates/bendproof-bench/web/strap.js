// Placing an opening by pointing at the convex face.

/** Where on a drawing a pointer is, in millimetres of its own frame. */
export function point(svg, event) {
  const box = svg.getBoundingClientRect();
  const view = svg.viewBox.baseVal;
  const scale = Math.min(box.width / view.width, box.height / view.height);
  const left = box.left + (box.width - view.width * scale) / 2;
  const top = box.top + (box.height - view.height * scale) / 2;
  const at = (name) => Number(svg.dataset[name]);
  const x = ((event.clientX - left) / scale - at("x0")) / at("pxPerMm");
  const y = (at("y0") - (event.clientY - top) / scale) / at("pxPerMm");
  return { x, y };
}

/** The same on a face, or null next to it. */
function facePoint(svg, event) {
  const { x, y } = point(svg, event);
  const isOn = Math.abs(x) <= Number(svg.dataset.halfLength) && Math.abs(y) <= Number(svg.dataset.halfWidth);
  return isOn ? { x, y } : null;
}

/** Wire the faces under `form`; `add(row, values)` adds the opening. */
export function straps(form, add) {
  form.addEventListener("click", (event) => {
    const face = event.target.closest("[data-face]");
    const svg = face?.querySelector("svg");
    if (!svg || !svg.contains(event.target)) return;
    const at = facePoint(svg, event);
    if (at) add(face.dataset.row, { "row.x": `${at.x.toFixed(1)} mm`, "row.y": `${at.y.toFixed(1)} mm` });
  });
}
