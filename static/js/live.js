// Follows the plan: what others write is put in place as they write it. A hidden tab rests and catches up when it is shown.
import { ask, put, shown } from "./ask.js";
import { reached, unreached } from "./away.js";
import { own } from "./here.js";
import { isHeld } from "./hold.js";
import { answered, offerAgain } from "./outbox.js";
import { carriedTo } from "./pencil.js";

// A crowd of writers must not keep a phone redrawing without end.
const BREATH_MS = 120;
const FIRST_WAIT_MS = 1000;
const LONGEST_WAIT_MS = 60000;

const block = document.querySelector("[data-stream]");
let stream = null;
let wait = FIRST_WAIT_MS;
let again = null;
let newest = 0;
let asking = false;

function open() {
  if (!block || stream || document.hidden) return;
  const { stream: url, epoch } = block.dataset;
  stream = new EventSource(`${url}?after=${encodeURIComponent(`${epoch}:${Math.max(newest, shown())}`)}&window=${own}`);
  stream.addEventListener("open", () => {
    wait = FIRST_WAIT_MS;
    reached();
    block.dataset.following = "";
    document.dispatchEvent(new CustomEvent("stillair:followed"));
  });
  stream.addEventListener("change", (event) => {
    newest = Math.max(newest, JSON.parse(event.data).seq);
    refresh();
  });
  stream.addEventListener("reload", (event) => {
    const { seq, epoch: now } = JSON.parse(event.data);
    // Numbers of another epoch mean other changes; what was acknowledged there may be missing here.
    if (now !== block.dataset.epoch) {
      block.dataset.epoch = now;
      document.getElementById("change")?.setAttribute("data-seq", "0");
      offerAgain(now);
    }
    newest = seq;
    refresh(true);
  });
  stream.addEventListener("presence", (event) => {
    document.dispatchEvent(new CustomEvent("stillair:hands", { detail: JSON.parse(event.data) }));
  });
  stream.addEventListener("error", lost);
}

// The browser comes back by itself when the line breaks, and gives up when it is answered with an error.
function lost() {
  delete block.dataset.following;
  unreached();
  if (stream?.readyState !== EventSource.CLOSED) return;
  stream = null;
  clearTimeout(again);
  again = setTimeout(open, wait * (0.75 + Math.random() / 2));
  wait = Math.min(wait * 2, LONGEST_WAIT_MS);
}

function close() {
  stream?.close();
  stream = null;
  clearTimeout(again);
}

/** Fetches what changed, one asking at a time; a change that comes meanwhile is fetched after it. */
export async function refresh(even = false) {
  if (asking || (!even && newest <= shown())) return;
  asking = true;
  const began = performance.now();
  const at = newest;
  const href = location.href.split("#")[0];
  // While a thing is held its drawing is its hand's, and what this hand writes comes back with its own answer.
  while (isHeld()) await new Promise((resolve) => setTimeout(resolve, BREATH_MS));
  await answered();
  if (!even && newest <= shown()) {
    asking = false;
    return;
  }
  const answer = await (carriedTo(href) ?? ask(href));
  if (answer?.redirected && new URL(answer.url).pathname !== location.pathname) {
    // The sign-in has run out, or the thing is gone: the page it leads to says so.
    location.assign(answer.url);
    return;
  }
  if (answer?.ok) await put(answer, { unlessOlder: true });
  else if (answer?.status === 404) gone();
  await new Promise((resolve) => setTimeout(resolve, Math.max(BREATH_MS - (performance.now() - began), 0)));
  asking = false;
  if (answer && newest > at) refresh(even);
}

/** The thing that this sheet shows was struck out. */
function gone() {
  const main = document.getElementById("main");
  if (!main || document.getElementById("gone")) return;
  const note = Object.assign(document.createElement("p"), { id: "gone", className: "notice trouble" });
  note.setAttribute("role", "status");
  note.append("What this sheet shows was struck out meanwhile. ");
  note.append(Object.assign(document.createElement("a"), { href: `${block.dataset.plan}/history`, textContent: "The history has it" }));
  main.before(note);
}

document.addEventListener("visibilitychange", () => {
  if (document.hidden) close();
  else {
    open();
    // What came while it rested is told by the stream; the words "3 min ago" are this page's own.
    document.dispatchEvent(new CustomEvent("stillair:in-sight"));
  }
});
window.addEventListener("pagehide", close);
window.addEventListener("pageshow", open);
open();
