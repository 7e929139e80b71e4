// Each hand has its line: in the title block, and under the blank it is in.
import { uuidv7 } from "./ids.js";

const RENEW_MS = 10000;
const SETTLE_MS = 150;

const url = document.querySelector("[data-here]")?.dataset.here;
/** This window's own name. */
export const own = uuidv7();
let told = "";
let timer = null;
let hands = [];

function place() {
  const blank = document.activeElement?.closest?.("[data-live] [data-field]");
  if (!blank) return ["", ""];
  const { entity = "", field } = blank.dataset;
  return field.includes(".") ? field.split(".") : [entity, field];
}

function tell(gone = false) {
  if (!url || (document.hidden && !gone)) return;
  const [entity, field] = place();
  const body = new URLSearchParams({ window: own, entity, field });
  if (gone) body.set("gone", "1");
  told = `${entity}.${field}`;
  if (gone) navigator.sendBeacon(url, body);
  else fetch(url, { method: "POST", body }).catch(() => {});
}

function moved() {
  clearTimeout(timer);
  timer = setTimeout(() => place().join(".") !== told && tell(), SETTLE_MS);
}

if (url) {
  document.addEventListener("focusin", moved);
  document.addEventListener("focusout", moved);
  document.addEventListener("stillair:in-sight", () => tell());
  document.addEventListener("stillair:followed", () => tell());
  document.addEventListener("visibilitychange", () => document.hidden && tell(true));
  window.addEventListener("pagehide", () => tell(true));
  setInterval(tell, RENEW_MS);
  tell();
}

document.addEventListener("stillair:hands", (event) => {
  hands = event.detail.filter((hand) => hand.window !== own);
  draw();
});
document.addEventListener("stillair:swapped", draw);

function hand({ who, line }) {
  const mark = document.createElement("span");
  mark.className = "hand";
  mark.dataset.line = line;
  mark.textContent = who;
  return mark;
}

function draw() {
  const cell = document.getElementById("hands");
  cell?.replaceChildren(...hands.map(hand));
  for (const old of document.querySelectorAll("[data-in-blank]")) old.remove();
  for (const blank of document.querySelectorAll("[data-held-by]")) delete blank.dataset.heldBy;
  for (const one of hands) {
    const blank = one.field && document.getElementById(`b-${one.entity}-${one.field}`);
    if (!blank) continue;
    blank.dataset.heldBy = one.line;
    const note = document.createElement("span");
    note.className = "note";
    note.dataset.inBlank = "";
    note.dataset.own = "";
    note.append(hand(one), " is in this blank");
    (blank.closest(".entry") ?? blank).after(note);
  }
}
