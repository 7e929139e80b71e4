// Things moved from the keyboard. The drawing is one stop: arrows choose a thing, Enter takes hold of it; then arrows move
// it on the grid, Page Up and Page Down raise and lower it, the brackets turn it, Enter puts it down, Escape puts it back.
import { isHeld, move, place, putBack, putDown, take } from "./hold.js";

const STEP_MM = 10;
const TURN_DEG = 5;

document.addEventListener("keydown", (event) => {
  const drawing = event.target.closest?.("[data-carry]");
  if (!drawing || event.target !== drawing || event.altKey || event.ctrlKey || event.metaKey) return;
  if (isHeld() ? carry(event) : choose(drawing, event)) event.preventDefault();
});

document.addEventListener("stillair:swapped", () => {
  const id = document.querySelector("[data-carry]")?.dataset.chosen;
  if (id) mark(id);
});

// Leaving the drawing puts down what is held, as leaving a blank writes it.
document.addEventListener("focusout", (event) => {
  if (event.target.matches?.("[data-carry]") && isHeld() && !event.target.hasAttribute("data-dragging")) putDown();
});

function carry(event) {
  const now = place();
  const [step, turn] = event.shiftKey ? [1, 1] : [STEP_MM, TURN_DEG];
  const moves = {
    ArrowRight: { x_mm: now.x_mm + step },
    ArrowLeft: { x_mm: now.x_mm - step },
    ArrowDown: { y_mm: now.y_mm + step },
    ArrowUp: { y_mm: now.y_mm - step },
    PageUp: { z_mm: now.z_mm + step },
    PageDown: { z_mm: now.z_mm - step },
    "]": { heading_deg: around(now.heading_deg + turn) },
    "[": { heading_deg: around(now.heading_deg - turn) },
    "}": { heading_deg: around(now.heading_deg + 1) },
    "{": { heading_deg: around(now.heading_deg - 1) },
  };
  if (event.key in moves) move(moves[event.key], true);
  else if (event.key === "Enter") putDown();
  else if (event.key === "Escape") putBack();
  else return false;
  return true;
}

function around(deg) {
  return ((deg + 180) % 360 + 360) % 360 - 180;
}

const CHOOSES = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 };

function choose(drawing, event) {
  const all = [...drawing.querySelectorAll('[data-view="plan"] [data-thing]')].map((thing) => thing.dataset.thing);
  const ids = [...document.querySelectorAll("#things tr[id]")].map((row) => row.id.slice(4)).filter((id) => all.includes(id));
  const here = ids.indexOf(drawing.dataset.chosen);
  if (event.key === "Enter" && here >= 0) return take(ids[here]);
  if (!(event.key in CHOOSES) || ids.length === 0) return false;
  const next = here < 0 ? (CHOOSES[event.key] > 0 ? 0 : ids.length - 1) : (here + CHOOSES[event.key] + ids.length) % ids.length;
  for (const one of document.querySelectorAll("[data-carry]")) one.dataset.chosen = ids[next];
  mark(ids[next]);
  return true;
}

function mark(id) {
  for (const thing of document.querySelectorAll("[data-thing]")) thing.toggleAttribute("data-here", thing.dataset.thing === id);
  const named = document.querySelector(`[data-thing="${id}"]`)?.dataset.name;
  for (const line of document.querySelectorAll("[data-chosen-name]")) line.textContent = named ?? "";
}
