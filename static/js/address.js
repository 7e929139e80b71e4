// A form with data-address keeps everything in the page's address (bench sums). Leaving a blank asks for the page at the
// new address and puts it in place; the address then holds what was typed, so it can be sent to someone. With
// data-live-typing every letter asks, once the typing rests.
import { swap } from "./swap.js";

const RESTS_AFTER_MS = 160;
const newest = new WeakMap();
let resting = 0;

document.addEventListener("change", (event) => {
  const form = event.target.closest?.("form[data-address]");
  if (form) workOut(form);
});

document.addEventListener("input", (event) => {
  const form = event.target.closest?.("form[data-address][data-live-typing]");
  if (!form) return;
  clearTimeout(resting);
  resting = setTimeout(() => workOut(form), RESTS_AFTER_MS);
});

document.addEventListener("submit", (event) => {
  const form = event.target.closest("form[data-address]");
  if (!form) return;
  event.preventDefault();
  workOut(form);
});

async function workOut(form) {
  const address = new URL(form.action);
  address.search = new URLSearchParams(new FormData(form));
  if (newest.get(form) === address.href) return;
  newest.set(form, address.href);
  const answer = await fetch(address, { headers: { "X-Stillair-Part": "1" } }).catch(() => null);
  if (newest.get(form) !== address.href) return;
  if (!answer || !(answer.ok || answer.status === 422)) {
    location.assign(address);
    return;
  }
  swap(await answer.text());
  history.replaceState(null, "", address);
}
