// What a hand is typing while something newer is put in place around it: its text, its caret, and what it was refused.

/** Somebody is writing here: it has the focus, what it holds is on its way, or it is typed and goes nowhere yet. */
export function isBusy(element) {
  if (!element.matches("input, select, textarea")) return false;
  return element === document.activeElement || "waiting" in element.dataset || isTyped(element);
}

function isTyped(element) {
  // What a form has just sent is no longer only here.
  if (element.type === "hidden" || "sent" in element.dataset || element.form?.matches("[data-acting]")) return false;
  if (element.type === "checkbox" || element.type === "radio") return element.checked !== element.defaultChecked;
  if (element.nodeName !== "SELECT") return element.value !== element.defaultValue || element.getAttribute("aria-invalid") === "true";
  return [...element.options].some((option) => option.selected !== option.defaultSelected) && element.selectedIndex > 0;
}

/** A blank whose value was refused keeps it, with the sentence beneath, until its own hand writes again. */
export function isRefused(element) {
  return element.matches(".blank.impossible, .field:has([aria-invalid])") && !element.querySelector("[data-sent]") && !element.closest("[data-acting]");
}

/** What stands on the server is noted; what is typed stays. A value that another hand wrote meanwhile waits beside the
 * blank, whose base stays with what its own hand saw: so both are kept, and neither overwrites the other. */
export function keepTyped(old, next) {
  const isOther = old.nodeName !== "SELECT" && "base" in old.dataset && next.value !== old.defaultValue && next.value !== old.value && old.dataset.sent !== old.value;
  for (const name of ["data-base", "aria-describedby", "aria-invalid"]) {
    if (name === "data-base" && isOther) continue;
    const value = next.getAttribute(name);
    if (value === null) old.removeAttribute(name);
    else old.setAttribute(name, value);
  }
  if (isOther) waitBeside(old, next.value);
  else if (old.nodeName !== "SELECT") old.defaultValue = next.value;
}

function waitBeside(blank, value) {
  const line = blank.closest(".entry") ?? blank;
  const note = line.parentElement.querySelector("[data-beside]") ?? document.createElement("span");
  note.className = "note";
  note.dataset.beside = note.dataset.own = "";
  note.setAttribute("role", "status");
  note.textContent = `Another hand wrote ${value === "" ? "nothing" : value} here meanwhile.`;
  line.after(note);
  const over = () => {
    note.remove();
    // Nothing was typed after all: then the newer value stands.
    if (blank.value === blank.defaultValue && !("waiting" in blank.dataset)) {
      blank.defaultValue = blank.value = value;
    }
  };
  blank.addEventListener("focusout", over, { once: true });
}
