// The pencil: while its switch is on, leaving a blank tries the value instead of writing it. What is tried stands in the
// form #pencil as hidden fields; the server shows the sheet as it would be, to this hand alone.
import { ask, put } from "./ask.js";

const CARRIED = "pencil:";

let newest = 0;

/** Whether values are tried and not written. */
export function isOn() {
  return document.documentElement.dataset.pencil === "on";
}

function turn(on) {
  document.documentElement.dataset.pencil = on ? "on" : "off";
  show();
}

function show() {
  document.querySelector("[data-pencil-switch]")?.setAttribute("aria-pressed", String(isOn()));
}

document.addEventListener("click", (event) => {
  if (event.target.closest?.("[data-pencil-switch]")) turn(!isOn());
});

// What is tried already stays in the sheet when its page is loaded again by a form.
document.addEventListener("stillair:swapped", show);

document.addEventListener("change", (event) => {
  const blank = event.target.closest?.("[data-live] [data-field]");
  if (!blank || !isOn()) return;
  const value = blank.type === "checkbox" && !blank.checked ? "" : blank.value;
  tryOut([[blank.name, value]]);
});

document.addEventListener("submit", (event) => {
  if (isOn() && event.target.closest("form[data-live]") && !event.submitter?.name) event.preventDefault();
});

/** Tries values on top of what is tried already and puts the sheet in place; an answer that was overtaken is dropped. While a
 * thing is held only what moves is asked for. */
export async function tryOut(pairs, held = false) {
  const form = document.getElementById("pencil");
  if (!form) return false;
  const own = (newest += 1);
  const body = new URLSearchParams(new FormData(form));
  for (const [name, value] of pairs) {
    body.delete(CARRIED + name);
    body.append(name, value);
  }
  if (held) body.append("held", document.getElementById("drawing-wide")?.checkVisibility() ? "wide" : "narrow");
  const answer = await ask(form.action, { method: "POST", body });
  if (own !== newest) return false;
  if (!answer || !(answer.ok || answer.status === 422)) return false;
  await put(answer);
  return true;
}

/** The sheet at another of its own addresses (another thing or pass chosen) with what is tried carried along; null when
 * nothing is tried. */
export function carriedTo(href) {
  const form = document.getElementById("pencil");
  const to = new URL(href, location.href);
  if (!form?.querySelector(`[name^="${CARRIED}"]`) || to.pathname !== location.pathname) return null;
  const body = new URLSearchParams(new FormData(form));
  return ask(new URL(form.action).pathname + to.search, { method: "POST", body });
}

/** Forgets answers that are still on their way. */
export function overtake() {
  newest += 1;
}
