// Alt and an arrow move the shot that the keys have walked to in the cut's drawing: the row's own button is pressed, and
// the drawing then stands on the same shot.

const MOVES = { ArrowLeft: "up", ArrowUp: "up", ArrowRight: "down", ArrowDown: "down" };

let moving = null;

document.addEventListener("keydown", (event) => {
  const drawing = event.target.closest?.("#cut-drawing[data-walk]");
  if (!drawing || event.target !== drawing || !event.altKey || event.ctrlKey || event.metaKey || !(event.key in MOVES)) return;
  event.preventDefault();
  const called = drawing.querySelector("[data-step][data-here]")?.getAttribute("aria-label");
  const row = called && document.querySelector(`[data-called="${CSS.escape(called)}"]`);
  const button = row?.querySelector(`button[data-move="${MOVES[event.key]}"]:not(:disabled)`);
  if (!button) return;
  moving = called;
  button.form.requestSubmit(button);
});

document.addEventListener("stillair:swapped", () => {
  const drawing = document.getElementById("cut-drawing");
  if (!moving || !drawing) return;
  const step = drawing.querySelector(`[data-step][aria-label="${CSS.escape(moving)}"]`);
  if (step) step.dataset.here = "";
  moving = null;
});
