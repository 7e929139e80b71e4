// A row with data-order is moved with Alt+Up and Alt+Down: the key presses the row's own button, so what it does is what
// the page does without scripts. After the page comes back the focus is on the same row.

const KEPT = "stillair.row";
const MOVES = { ArrowUp: "up", ArrowDown: "down" };

document.addEventListener("keydown", (event) => {
  const row = event.target.closest?.("[data-order]");
  if (!row || !event.altKey || event.ctrlKey || event.metaKey || !(event.key in MOVES)) return;
  event.preventDefault();
  const button = row.querySelector(`button[data-move="${MOVES[event.key]}"]`);
  if (button && !button.disabled) button.click();
});

document.addEventListener("click", (event) => {
  const button = event.target.closest?.("[data-order] button[data-move]");
  if (!button) return;
  const row = button.closest("[data-order]");
  sessionStorage.setItem(KEPT, JSON.stringify({ path: location.pathname, row: row.dataset.order, move: button.dataset.move }));
});

function followRow() {
  const kept = JSON.parse(sessionStorage.getItem(KEPT) ?? "null");
  if (!kept || kept.path !== location.pathname) return;
  sessionStorage.removeItem(KEPT);
  const row = document.querySelector(`[data-order="${CSS.escape(kept.row)}"]`);
  const button = row?.querySelector(`button[data-move="${kept.move}"]:not(:disabled)`) ?? row?.querySelector("button[data-move]:not(:disabled)");
  button?.focus();
}

followRow();
document.addEventListener("stillair:swapped", followRow);
