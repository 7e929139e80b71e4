// Leaving a blank or Enter writes it down, one blank at a time and in the order they were left. It is kept on this device
// first (outbox.js), so that neither a lost line nor a closed page loses it. The answer's parts replace the figures; until
// then the old figure stands with a dotted underline.
import { put } from "./ask.js";
import { standing, whenSettled, write as keepAndSend, written } from "./outbox.js";
import { isOn } from "./pencil.js";

export { written };

/** A refusal that comes so soon is seen where it was typed. */
const JUST_MS = 6000;

/** Blanks of this page by the name of what was written in them. */
const blanks = new Map();

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

function typed(blank) {
  if (blank.type === "checkbox") return blank.checked ? blank.value : "";
  return blank.value;
}

/** What a blank writes to, as "entity.field". */
function of(blank) {
  const { entity = "", field } = blank.dataset;
  return field.includes(".") ? field : `${entity}.${field}`;
}

async function write(blank) {
  const value = typed(blank);
  // Enter fires both a change and a submit.
  if ("waiting" in blank.dataset && blank.dataset.sent === value) return;
  blank.dataset.sent = value;
  blank.dataset.waiting = "";
  const { entity = "", field, base = "" } = blank.dataset;
  const body = [["entity", entity], ["field", field], ["value", value], ["base", base]];
  markWaiting(blank);
  const one = await keepAndSend({ action: blank.form.action, body, of: of(blank), label: label(blank), page: location.pathname + location.search });
  blanks.set(one.op_id, blank);
}

function label(blank) {
  const own = blank.getAttribute("aria-label") ?? blank.labels?.[0]?.textContent ?? "";
  return `${document.querySelector("h1")?.textContent ?? ""}: ${own.trim()}`;
}

whenSettled(async (one, answer, isOwn) => {
  const value = one.body.find(([name]) => name === "value")?.[1] ?? "";
  const blank = blanks.get(one.op_id) ?? named(one.of);
  blanks.delete(one.op_id);
  // Something newer may have been typed and be on its way.
  const later = standing().some((other) => other !== one && other.state === "waiting" && other.of === one.of);
  if (blank && !later && (blank.dataset.sent ?? value) === value) delete blank.dataset.waiting;
  const moved = answer.redirected && new URL(answer.url).pathname !== new URL(one.action, location.href).pathname;
  let says = "";
  let wasJustWritten = false;
  if (moved) says = isOwn ? "" : "The sheet it was written on has moved.";
  else if (answer.status === 422) {
    says = await refusal(answer.clone());
    // Said under the blank; who wrote it a while ago looks elsewhere by now, and finds it listed as well.
    wasJustWritten = isOwn && blank?.isConnected && Date.now() - one.at < JUST_MS;
  }
  else if (answer.status === 401) says = "You are signed out. Sign in, then send it again.";
  else if (answer.status === 403) says = "Your role may not write here.";
  else if (answer.status === 404) says = "What it was written to is gone.";
  else if (!answer.ok) says = `The book answered ${answer.status}.`;
  // A way to another page is followed.
  if (moved && isOwn) location.assign(answer.url);
  else if (isOwn && (answer.ok || answer.status === 422)) await put(answer);
  if (!standing().some((other) => other !== one && other.state === "waiting")) {
    document.querySelectorAll("[data-waiting-for]").forEach(unmark);
  }
  return wasJustWritten ? null : says;
});

/** The sentence under the blank, of an answer that is not put in place. */
async function refusal(answer) {
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  for (const part of page.querySelectorAll("template")) page.body.append(part.content);
  return page.querySelector(".note.fault")?.textContent.trim() || "It was refused.";
}

function named(what) {
  return document.getElementById(`b-${what.replace(".", "-")}`);
}

// What an earlier page left behind stands in its blanks until it is sent.
document.addEventListener("stillair:picked-up", () => {
  for (const one of standing()) {
    const blank = one.state === "waiting" ? named(one.of) : null;
    const value = one.body.find(([name]) => name === "value")?.[1];
    if (!blank || value === undefined) continue;
    if (blank.type === "checkbox") blank.checked = value !== "";
    else blank.value = value;
    blank.dataset.sent = value;
    blank.dataset.waiting = "";
    blanks.set(one.op_id, blank);
  }
});

/** The figures that a blank moves stand in its ledger, or in the parts its form names in data-moves. */
function markWaiting(blank) {
  const moved = blank.form.dataset.moves?.split(" ").map((id) => document.getElementById(id)) ?? [blank.closest(".ledger")];
  for (const part of moved) part?.setAttribute("data-waiting-for", "");
}

function unmark(part) {
  part.removeAttribute("data-waiting-for");
}
