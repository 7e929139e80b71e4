// Asks the server for what a page shows and puts it in place. The page remembers under which names the server gave its
// parts, so that the next answer holds only parts that say something else.
import { swap } from "./swap.js";

const HAVE = "X-Stillair-Have";
const AS = "X-Stillair-As";

let have = "none";

/** Sends a request whose answer is put in place; null when no server answers. */
export function ask(url, options = {}) {
  const headers = { "X-Stillair-Part": "1", [HAVE]: have };
  return fetch(url, { ...options, headers }).catch(() => null);
}

/** Puts an answer in place; what this hand has typed and not yet sent stays. One that nobody here asked for is dropped when
 * something newer stands there already. */
export async function put(answer, { unlessOlder = false } = {}) {
  const html = await answer.text();
  if (unlessOlder && isOlder(html)) return;
  const as = answer.headers.get(AS);
  // Pieces that have no name leave the page as no server would write it.
  have = as ? named(have, as) : "none";
  swap(html);
}

function named(before, as) {
  if (before === "none") return as;
  const parts = new Map(before.split(",").map((pair) => pair.split("=")));
  const now = as.split(",").map((pair) => pair.split("="));
  // The answer names every part of the page it came from.
  return now.map(([id, name]) => `${id}=${name ?? parts.get(id)}`).join(",");
}

function isOlder(html) {
  const seq = /id="change" data-seq="(\d+)"/.exec(html)?.[1];
  return seq !== undefined && Number(seq) < shown();
}

/** Number of the newest change that this page shows. */
export function shown() {
  return Number(document.getElementById("change")?.dataset.seq ?? 0);
}
