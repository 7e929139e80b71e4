// A thing of the bench held in the hand: where it is, tried in pencil at every move so that figures and findings follow,
// then put down (written) or put back. The server decides the numbers; here they are only brought to the grid.
import { ask, put } from "./ask.js";
import { isOn, overtake, tryOut } from "./pencil.js";

const GRID_MM = 10;
const FIELDS = ["x_mm", "y_mm", "z_mm", "heading_deg"];

let held = null;
let trying = false;
let again = false;

export function isHeld() {
  return held !== null;
}

/** The blank of a thing's field in the table. */
function blank(id, field) {
  return document.getElementById(`b-${id}-${field}`);
}

function number(input) {
  return Number.parseFloat((input?.value || input?.placeholder || "0").replace("−", "-").replace(/[\s  ]/g, "")) || 0;
}

/** Takes hold of a thing; false when it is not one that this person may move. */
export function take(id) {
  if (!document.getElementById("pencil") || !blank(id, "x_mm")) return false;
  const start = Object.fromEntries(FIELDS.map((field) => [field, number(blank(id, field))]));
  held = { id, start, now: { ...start }, name: document.querySelector(`[data-thing="${id}"]`)?.dataset.name ?? "" };
  say();
  return true;
}

/** Moves it to these values, millimetres to the grid unless `fine`. */
export function move(values, fine = false) {
  if (!held) return;
  const before = JSON.stringify(held.now);
  for (const [field, value] of Object.entries(values)) {
    const step = fine ? 1 : field.endsWith("_mm") ? GRID_MM : 1;
    held.now[field] = Math.round(value / step) * step;
  }
  if (JSON.stringify(held.now) === before) return;
  say();
  show();
}

export function place() {
  return held && { ...held.now, start: held.start };
}

/** Shows the newest place; one question at a time is on its way. */
async function show() {
  again = true;
  if (trying) return;
  trying = true;
  while (again && held) {
    again = false;
    const asked = performance.now();
    if (await tryOut(changed(), true)) document.dispatchEvent(new CustomEvent("stillair:shown", { detail: performance.now() - asked }));
  }
  trying = false;
}

function changed() {
  return FIELDS.filter((field) => held.now[field] !== held.start[field] || tried(field)).map((field) => [`${held.id}.${field}`, String(held.now[field])]);
}

function tried(field) {
  return document.querySelector(`#pencil [name="pencil:${held.id}.${field}"]`);
}

/** Puts it down: written as one batch, or left in pencil while the pencil is on. */
export async function putDown() {
  if (!held) return;
  const pairs = changed();
  const { id } = held;
  const form = document.getElementById("pencil");
  overtake();
  held = null;
  say();
  if (pairs.length === 0 || isOn()) {
    if (pairs.length > 0) await tryOut(pairs);
    return;
  }
  const body = new URLSearchParams(new FormData(form));
  for (const [name, value] of pairs) {
    body.delete(`pencil:${name}`);
    body.append(name, value);
  }
  const action = blank(id, "x_mm").form.action;
  const answer = await ask(action, { method: "POST", body });
  if (answer && (answer.ok || answer.status === 422)) await put(answer);
  else form.requestSubmit();
}

/** Puts it back where it was taken. */
export async function putBack() {
  if (!held) return;
  const { id } = held;
  overtake();
  held = null;
  say();
  for (const field of FIELDS) document.querySelector(`#pencil [name="pencil:${id}.${field}"]`)?.remove();
  await tryOut([]);
}

/** What is held and where, for eyes and ears. */
function say() {
  for (const line of document.querySelectorAll("[data-held]")) {
    line.hidden = !held;
    if (!held) continue;
    const { x_mm, y_mm, z_mm, heading_deg } = held.now;
    line.textContent = `${held.name}: ${signed(x_mm)} from mark, ${signed(y_mm)} right, ${signed(z_mm)} up, heads ${signed(heading_deg)}°`;
  }
}

function signed(value) {
  return String(value).replace("-", "−");
}
