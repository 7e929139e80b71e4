// Things dragged in plan and elevation with the pointer. Escape puts back.
import { isHeld, move, place, putBack, putDown, take } from "./hold.js";

const STIRRED = 4;

let drag = null;

document.addEventListener("pointerdown", (event) => {
  const thing = event.target.closest?.("[data-view] [data-thing]");
  if (!thing || event.button !== 0 || isHeld()) return;
  const view = thing.closest("[data-view]");
  drag = {
    id: thing.dataset.thing,
    view: view.dataset.view,
    // A drawing that is put in place anew may move under the hand: what counts is how far the hand went.
    mm: Number(view.dataset.mm) / thing.ownerSVGElement.getScreenCTM().a,
    drawing: thing.ownerSVGElement.parentElement,
    screen: [event.clientX, event.clientY],
    pointer: event.pointerId,
    held: false,
  };
});

document.addEventListener("pointermove", (event) => {
  if (!drag || event.pointerId !== drag.pointer) return;
  const far = Math.hypot(event.clientX - drag.screen[0], event.clientY - drag.screen[1]);
  if (!drag.held && far < STIRRED) return;
  if (!drag.held) {
    if (!take(drag.id)) {
      drag = null;
      return;
    }
    drag.held = true;
    drag.drawing.toggleAttribute("data-dragging", true);
  }
  event.preventDefault();
  const [along, down] = [(event.clientX - drag.screen[0]) * drag.mm, (event.clientY - drag.screen[1]) * drag.mm];
  const { start } = place();
  if (drag.view === "plan") move({ x_mm: start.x_mm + along, y_mm: start.y_mm + down }, event.altKey);
  else move({ x_mm: start.x_mm + along, z_mm: start.z_mm - down }, event.altKey);
});

document.addEventListener("pointerup", (event) => {
  if (!drag || event.pointerId !== drag.pointer) return;
  const wasHeld = drag.held;
  end();
  if (wasHeld) putDown();
});

document.addEventListener("pointercancel", (event) => {
  if (!drag || event.pointerId !== drag.pointer) return;
  const wasHeld = drag.held;
  end();
  if (wasHeld) putBack();
});

document.addEventListener("keydown", (event) => {
  if (event.key !== "Escape" || !drag?.held) return;
  event.preventDefault();
  end();
  putBack();
});

function end() {
  drag?.drawing.toggleAttribute("data-dragging", false);
  drag = null;
}
