// A board drawn on the page: while Draw is on, the pen's strokes go into the board's hidden field, one stroke a change, so
// that each is written down and rubbed out by itself.

const NEAR = 5;

let stroke = null;

document.addEventListener("click", (event) => {
  const button = event.target.closest?.("[data-draw]");
  if (!button) return;
  const board = button.closest("[data-sketch]");
  const kind = button.dataset.draw;
  if (kind === "on") {
    const on = board.toggleAttribute("data-drawing");
    button.setAttribute("aria-pressed", String(on));
    return;
  }
  const field = board.querySelector("[data-field]");
  put(field, kind === "all" ? "" : field.value.slice(0, Math.max(field.value.lastIndexOf("M"), 0)).trim());
});

document.addEventListener("pointerdown", (event) => {
  const drawing = event.target.closest?.("[data-drawing] svg");
  if (!drawing || event.button !== 0) return;
  event.preventDefault();
  drawing.setPointerCapture(event.pointerId);
  const path = document.createElementNS("http://www.w3.org/2000/svg", "path");
  path.setAttribute("class", "pen");
  drawing.append(path);
  stroke = { drawing, path, points: [place(drawing, event)] };
});

document.addEventListener("pointermove", (event) => {
  if (!stroke) return;
  for (const one of event.getCoalescedEvents?.() ?? [event]) {
    const [x, y] = place(stroke.drawing, one);
    const [lastX, lastY] = stroke.points.at(-1);
    if (Math.hypot(x - lastX, y - lastY) >= NEAR) stroke.points.push([x, y]);
  }
  stroke.path.setAttribute("d", written(stroke.points));
});

document.addEventListener("pointerup", () => {
  if (!stroke) return;
  const field = stroke.drawing.closest("[data-sketch]").querySelector("[data-field]");
  const { points } = stroke;
  stroke = null;
  put(field, `${field.value} ${written(points)}`.trim());
});

document.addEventListener("pointercancel", () => {
  stroke?.path.remove();
  stroke = null;
});

function place(drawing, event) {
  const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(drawing.getScreenCTM().inverse());
  const { width, height } = drawing.viewBox.baseVal;
  return [Math.round(Math.min(Math.max(at.x, 0), width)), Math.round(Math.min(Math.max(at.y, 0), height))];
}

/** A dot is a stroke of no length. */
function written(points) {
  const [first, ...rest] = points;
  return `M${first.join(" ")}${(rest.length ? rest : [first]).map((point) => `L${point.join(" ")}`).join("")}`;
}

function put(field, value) {
  if (field.value === value) return;
  field.value = value;
  field.dispatchEvent(new Event("change", { bubbles: true }));
}
