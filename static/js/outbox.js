// What was written and not yet taken by the server: kept on this device before it is shown as made, sent one at a time and
// in order, under the name it got when it was made, so that sending again is harmless. Needs nothing but IndexedDB, which
// plain http has too; without it the list lives as long as the window.
import { ask } from "./ask.js";
import { uuidv7 } from "./ids.js";
import { drop, found, keep, me } from "./kept.js";

const FIRST_WAIT_MS = 1000;
const LONGEST_WAIT_MS = 60000;
/** Statuses by which a server asks to be tried again later. */
const LATER = new Set([408, 425, 429, 500, 502, 503, 504]);
/** What was taken is kept a while: a book that was put back from a copy may have lost it. */
const MOST_TAKEN = 300;

const own = uuidv7();
let all = [];
let sending = false;
let under = null;
let wait = FIRST_WAIT_MS;
let next = 0;
let wake = () => {};
let settled = () => {};
const idle = [];

/** Whoever sends tells here what came of each: `settle(one, answer)`. */
export function whenSettled(tell) {
  settled = tell;
}

/** Everything of this hand that waits or needs it, oldest first. */
export function standing() {
  return all.filter((one) => one.state !== "taken");
}

export function waiting() {
  return all.filter((one) => one.state === "waiting");
}

/** When the next try is made; 0 while one is under way or none is needed. */
export function nextTry() {
  return waiting().length > 0 ? next : 0;
}

/** Keeps something written, then sends it when its turn comes. `body` is a list of pairs; `of` names what it writes to, so
 * that later ones know they come after it. */
export async function write({ action, body, of, label, page }) {
  const op_id = uuidv7();
  const before = waiting().findLast((one) => one.of === of && of !== "");
  const pairs = [...body, ["op_id", op_id], ["at_client_ms", String(Date.now())]];
  if (before) pairs.push(["after", before.op_id]);
  const one = { op_id, action, body: pairs, of, label, page, me, window: own, at: Date.now(), state: "waiting", says: "" };
  all.push(one);
  await keep(one);
  changed();
  send();
  return one;
}

/** Settles with true when nothing waits any more, with false once a try got no answer: whoever waits then says so. A pause
 * between two tries ends, for somebody presses. */
export function written() {
  if (waiting().length === 0) return Promise.resolve(true);
  if (next > 0) hurry();
  return new Promise((resolve) => idle.push(resolve));
}

/** Settles when no answer is on its way. */
export async function answered() {
  while (under) await under;
}

/** Tries at once what waits: the server was heard of. */
export function hurry() {
  wait = FIRST_WAIT_MS;
  wake();
  send();
}

/** Sends again what was refused, or lets go of it. */
export async function again(one) {
  Object.assign(one, { state: "waiting", says: "" });
  await keep(one);
  changed();
  send();
}

export async function letGo(one) {
  all = all.filter((other) => other !== one);
  await drop(one);
  changed();
}

/** The book was put back from a copy: whatever it took before is offered again under its old names. What it still has it
 * answers with the outcome it had, so nothing is written twice. */
export async function offerAgain(epoch) {
  for (const one of all.filter((one) => one.state === "taken" && one.epoch !== epoch)) {
    one.state = "waiting";
    await keep(one);
  }
  all.sort((a, b) => (a.op_id < b.op_id ? -1 : 1));
  changed();
  hurry();
}

async function send() {
  if (sending) return;
  sending = true;
  for (let one = waiting()[0]; one; one = waiting()[0]) {
    next = 0;
    const asked = fetchOne(one);
    under = asked;
    const answer = await asked;
    under = null;
    if (answer === null || LATER.has(answer.status)) {
      const pause = wait * (0.75 + Math.random() / 2);
      next = Date.now() + pause;
      wait = Math.min(wait * 2, LONGEST_WAIT_MS);
      changed(true);
      for (const resolve of idle.splice(0)) resolve(false);
      await new Promise((resolve) => {
        wake = resolve;
        setTimeout(resolve, pause);
      });
      continue;
    }
    wait = FIRST_WAIT_MS;
    under = take(one, answer);
    await under;
    under = null;
  }
  sending = false;
  for (const resolve of idle.splice(0)) resolve(true);
}

function fetchOne(one) {
  const options = { method: "POST", body: new URLSearchParams(one.body) };
  // What an earlier page left behind has no place on this one.
  return one.window === own ? ask(one.action, options) : fetch(one.action, { ...options, headers: { "X-Stillair-Part": "1" } }).catch(() => null);
}

async function take(one, answer) {
  if (answer.redirected && new URL(answer.url).pathname === "/sign-in") {
    Object.assign(one, { state: "door", says: "You are signed out here. Sign in, and it is sent." });
    await keep(one);
    changed();
    return;
  }
  const said = await settled(one, answer, one.window === own);
  if (said === "") {
    Object.assign(one, { state: "taken", epoch: document.querySelector("[data-epoch]")?.dataset.epoch ?? "" });
    await keep(one);
    for (const old of all.filter((other) => other.state === "taken").slice(0, -MOST_TAKEN)) await letGo(old);
  } else if (said === null) {
    await letGo(one);
  } else {
    Object.assign(one, { state: "needs", says: said });
    await keep(one);
  }
  changed();
}

function changed(away = false) {
  document.dispatchEvent(new CustomEvent("stillair:outbox", { detail: { away } }));
}

/** What an earlier page of this hand left behind is sent first. */
async function pickUp() {
  const left = (await found()).filter((one) => !all.some((other) => other.op_id === one.op_id));
  if (left.length === 0) return;
  // Whoever was signed out is in again.
  for (const one of left) if (one.state === "door") one.state = "waiting";
  all = [...left, ...all].sort((a, b) => (a.op_id < b.op_id ? -1 : 1));
  changed();
  document.dispatchEvent(new CustomEvent("stillair:picked-up"));
  send();
}
pickUp();
