// What a hand sees while the book is out of reach: how old the sheet is, what is held on this device, and what needs a word.
import { again, hurry, letGo, nextTry, standing, waiting } from "./outbox.js";

/** A line that comes back at once is nothing to speak of. */
const PATIENCE_MS = 2500;
const TICK_MS = 20000;

let isAway = false;
let doubt = null;
/** When this sheet was last as the book has it. A kept page says so itself. */
let fresh = Number(document.documentElement.dataset.kept) || Date.now();

/** The book answered. */
export function reached() {
  clearTimeout(doubt);
  doubt = null;
  if (isAway) hurry();
  isAway = false;
  fresh = Date.now();
  show();
}

/** The line to the book broke. */
export function unreached() {
  doubt ??= setTimeout(() => {
    isAway = true;
    show();
  }, PATIENCE_MS);
}

document.addEventListener("stillair:outbox", (event) => {
  if (event.detail.away) unreached();
  show();
});
document.addEventListener("stillair:swapped", () => {
  if (!isAway) fresh = Date.now();
  say();
});
setInterval(() => isAway && show(), TICK_MS);
if (document.documentElement.dataset.kept) unreached();

window.addEventListener("online", hurry);
window.addEventListener("offline", unreached);

function clock(ms) {
  return new Date(ms).toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
}

function ago(ms) {
  const min = Math.floor((Date.now() - ms) / 60000);
  if (min < 1) return "just now";
  if (min < 60) return `${min} min ago`;
  const hours = Math.floor(min / 60);
  if (hours < 48) return `${hours} h ${min % 60} min ago`;
  return `${Math.floor(hours / 24)} days ago`;
}

function held() {
  const count = waiting().length;
  if (count === 0) return "";
  const since = clock(waiting()[0].at);
  return `${count === 1 ? "1 change" : `${count} changes`} held on this device since ${since}`;
}

function show() {
  say();
  banner();
  needsYou();
}

/** The title block's own words, or what is held. */
function say() {
  const saved = document.querySelector("[data-saved]");
  if (!saved) return;
  const next = nextTry();
  const trouble = waiting().length > 0 && (isAway || next > 0);
  if (trouble) {
    saved.dataset.usual ??= saved.textContent;
    saved.textContent = next > 0 ? `Not written down. ${held()}. Trying again, ${clock(next)}.` : `${held()}.`;
  } else if (saved.dataset.usual !== undefined) {
    saved.textContent = saved.dataset.usual;
    delete saved.dataset.usual;
  }
  saved.closest(".saved")?.toggleAttribute("data-trouble", trouble);
}

function piece(name, text, members = {}) {
  return Object.assign(document.createElement(name), { textContent: text, ...members });
}

function place(id, part) {
  const old = document.getElementById(id);
  if (!part) old?.remove();
  else if (old) {
    if (old.outerHTML !== part.outerHTML) old.replaceWith(part);
  } else document.getElementById("main")?.before(part);
}

function banner() {
  if (!isAway) {
    place("away", null);
    return;
  }
  const part = piece("p", "", { id: "away", className: "age" });
  part.setAttribute("role", "status");
  part.append(piece("b", "The book is out of reach."), ` You see this sheet as it stood at ${clock(fresh)}, ${ago(fresh)}. `);
  part.append(waiting().length > 0 ? `${held()}; they are sent when it is back.` : "What you write is kept on this device and sent when it is back.");
  place("away", part);
}

function needsYou() {
  const list = standing().filter((one) => one.state === "needs" || one.state === "door");
  if (list.length === 0) {
    place("needs-you", null);
    return;
  }
  const part = piece("section", "", { id: "needs-you", className: "needs-you notice trouble" });
  part.setAttribute("aria-labelledby", "needs-you-head");
  part.append(piece("h2", `Needs you: ${list.length === 1 ? "one thing" : `${list.length} things`} you wrote could not be written down`, { id: "needs-you-head" }));
  const lines = document.createElement("ul");
  for (const one of list) lines.append(line(one));
  part.append(lines);
  place("needs-you", part);
}

function line(one) {
  const value = one.body.find(([name]) => name === "value")?.[1];
  const part = document.createElement("li");
  part.append(piece("a", one.label, { href: one.page }));
  if (value !== undefined) part.append(" ", piece("span", value === "" ? "blank" : value, { className: "fig" }));
  part.append(`. ${one.says} `);
  if (one.state === "door") part.append(piece("a", "Sign in", { href: `/sign-in?to=${encodeURIComponent(one.page)}` }));
  else part.append(piece("button", "Send it again", { type: "button", className: "plain", onclick: () => again(one) }));
  part.append(" ", piece("button", "Let it go", { type: "button", className: "plain", onclick: () => letGo(one) }));
  return part;
}
