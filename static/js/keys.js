// Alt+Shift+1 to 0 turns sheets, Alt+Z rubs out, ? lists the keys, arrows walk a drawing that is one stop ([data-walk] holding [data-step]).

document.addEventListener("keydown", (event) => {
  if (turnSheet(event) || rubOut(event) || listKeys(event) || walk(event)) event.preventDefault();
});

function turnSheet(event) {
  const digit = /^Digit(\d)$/.exec(event.code)?.[1];
  if (!digit || !event.altKey || !event.shiftKey || event.ctrlKey || event.metaKey) return false;
  const tab = document.querySelector(`[data-key="${digit}"]`);
  tab?.click();
  return Boolean(tab);
}

// A blank that says something not written down yet takes back what it said; else the newest change is rubbed out.
function rubOut(event) {
  if (event.code !== "KeyZ" || !event.altKey || event.shiftKey || event.ctrlKey || event.metaKey) return false;
  const blank = event.target.closest?.("input[data-field], textarea[data-field]");
  if (blank && blank.value !== blank.defaultValue && !("waiting" in blank.dataset)) {
    blank.value = blank.defaultValue;
    return true;
  }
  const button = document.querySelector("button[data-undo]");
  button?.click();
  return Boolean(button);
}

function listKeys(event) {
  if (event.key !== "?" || event.altKey || event.ctrlKey || event.metaKey) return false;
  if (event.target.closest("input, select, textarea, [contenteditable]")) return false;
  const list = document.getElementById("keys");
  if (!list || list.open) return false;
  list.showModal();
  return true;
}

const STEPS = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 };

function walk(event) {
  const drawing = event.target.closest?.("[data-walk]");
  if (!drawing || event.target !== drawing || event.altKey || event.ctrlKey || event.metaKey) return false;
  const steps = [...drawing.querySelectorAll("[data-step]")];
  const here = steps.findIndex((step) => "here" in step.dataset);
  if (event.key === "Enter" && here >= 0) {
    open(steps[here]);
    return true;
  }
  if (event.key === "Home" || event.key === "End") return stand(drawing, steps, event.key === "Home" ? 0 : steps.length - 1);
  if (!(event.key in STEPS)) return false;
  const start = here < 0 && STEPS[event.key] < 0 ? steps.length : here;
  return stand(drawing, steps, Math.min(Math.max(start + STEPS[event.key], 0), steps.length - 1));
}

function stand(drawing, steps, at) {
  if (!steps[at]) return false;
  for (const step of steps) delete step.dataset.here;
  steps[at].dataset.here = "";
  steps[at].id ||= `${drawing.id || "drawing"}-step-${at}`;
  drawing.setAttribute("aria-activedescendant", steps[at].id);
  steps[at].scrollIntoView({ block: "nearest", inline: "nearest" });
  return true;
}

function open(step) {
  const link = step.matches("a") ? step : step.querySelector("a");
  link?.dispatchEvent(new MouseEvent("click", { bubbles: true, cancelable: true }));
}
