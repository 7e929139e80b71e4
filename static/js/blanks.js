// Leaving a blank or Enter writes it down, one blank at a time and in the order they were left. The answer's fragments
// replace the figures; until then the old figure stands with a dotted underline. A write that finds no server is tried
// again under the same op_id, so it is never written twice.
import { uuidv7 } from "./ids.js";
import { isOn } from "./pencil.js";
import { swap } from "./swap.js";

const FIRST_WAIT_MS = 1000;
const LONGEST_WAIT_MS = 30000;
const SERVER_AWAY = new Set([502, 503, 504]);

let queue = Promise.resolve();
let waiting = 0;

document.addEventListener("change", (event) => {
  const blank = event.target.closest?.("[data-live] [data-field]");
  if (blank && !isOn()) write(blank);
});

document.addEventListener("submit", (event) => {
  const form = event.target.closest("form[data-live]");
  if (!form || event.submitter?.name || isOn()) return;
  event.preventDefault();
  const blank = document.activeElement;
  if (form.contains(blank) && blank.matches("[data-field]") && blank.value !== blank.defaultValue) write(blank);
});

// A blank that was written while it had the focus takes the server's spelling once it is left.
document.addEventListener("focusout", (event) => {
  const { sent } = event.target.dataset ?? {};
  if (sent !== undefined && event.target.value === sent && !("waiting" in event.target.dataset)) {
    event.target.value = event.target.defaultValue;
    delete event.target.dataset.sent;
  }
});

window.addEventListener("beforeunload", (event) => {
  if (waiting > 0) event.preventDefault();
});

/** Settles when everything typed so far is written down. */
export function written() {
  return queue;
}

function typed(blank) {
  if (blank.type === "checkbox") return blank.checked ? blank.value : "";
  return blank.value;
}

function write(blank) {
  const value = typed(blank);
  // Enter fires both a change and a submit.
  if ("waiting" in blank.dataset && blank.dataset.sent === value) return;
  blank.dataset.sent = value;
  blank.dataset.waiting = "";
  waiting += 1;
  markWaiting(blank);
  const op_id = uuidv7();
  queue = queue.then(() => send(blank, value, op_id));
}

async function send(blank, value, op_id) {
  const { entity = "", field } = blank.dataset;
  const action = blank.form.action;
  for (let wait = FIRST_WAIT_MS; ; wait = Math.min(wait * 2, LONGEST_WAIT_MS)) {
    // Read again each time: an earlier write in the queue may have moved it.
    const body = new URLSearchParams({ entity, field, value, base: blank.dataset.base ?? "", op_id });
    const answer = await fetch(action, { method: "POST", body, headers: { "X-Stillair-Part": "1" } }).catch(() => null);
    if (answer && !SERVER_AWAY.has(answer.status)) {
      await settle(blank, value, answer);
      return;
    }
    say(`Not written down. Trying again, ${clock(Date.now() + wait)}.`, true);
    await new Promise((resolve) => setTimeout(resolve, wait));
  }
}

async function settle(blank, value, answer) {
  waiting -= 1;
  // Something newer may have been typed and be on its way.
  if (blank.dataset.sent === value) delete blank.dataset.waiting;
  const fragments = answer.ok || answer.status === 422;
  say(null, false);
  // A way to another page, as to the door when the sign-in has run out, is followed.
  if (answer.redirected && new URL(answer.url).pathname !== location.pathname) location.assign(answer.url);
  else if (fragments) swap(await answer.text());
  else if (answer.status === 401) say("Not written down: you are signed out. Sign in, then write it again.", true);
  else if (answer.status === 403) say("Not written down: your role may not write here.", true);
  else say(`Not written down: the book answered ${answer.status}. What you typed is still in the blank.`, true);
  if (waiting === 0) document.querySelectorAll("[data-waiting-for]").forEach(unmark);
}

/** The figures that a blank moves stand in its ledger, or in the parts its form names in data-moves. */
function markWaiting(blank) {
  const moved = blank.form.dataset.moves?.split(" ").map((id) => document.getElementById(id)) ?? [blank.closest(".ledger")];
  for (const part of moved) part?.setAttribute("data-waiting-for", "");
}

function unmark(part) {
  part.removeAttribute("data-waiting-for");
}

/** One sentence in the title block; null puts back what stood there. */
function say(sentence, trouble) {
  const saved = document.querySelector("[data-saved]");
  if (!saved) return;
  saved.dataset.usual ??= saved.textContent;
  if (sentence === null) {
    saved.textContent = saved.dataset.usual;
    delete saved.dataset.usual;
  } else saved.textContent = sentence;
  saved.closest(".saved")?.toggleAttribute("data-trouble", trouble);
}

function clock(ms) {
  return new Date(ms).toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
}
