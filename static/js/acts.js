// Buttons of a form with data-acts, and links with data-swap, do on the spot what they do without scripts by loading the
// page again: the answer is the whole page and is put in place. They wait until what was typed before is written down.
import { written } from "./blanks.js";
import { carriedTo } from "./pencil.js";
import { swap } from "./swap.js";

const PART = { "X-Stillair-Part": "1" };

document.addEventListener("submit", (event) => {
  const form = event.target.closest("form[data-acts]");
  // In a form of blanks the nameless button only writes, and blanks.js sees to that.
  if (!form || (form.matches("[data-live]") && !event.submitter?.name)) return;
  event.preventDefault();
  act(form, event.submitter);
});

document.addEventListener("click", (event) => {
  const link = event.target.closest?.("a[data-swap]");
  if (!link || event.button !== 0 || event.ctrlKey || event.metaKey || event.shiftKey || event.altKey) return;
  event.preventDefault();
  turn(link);
});

async function act(form, button) {
  await written();
  const data = new FormData(form, button);
  const body = form.enctype === "multipart/form-data" ? data : new URLSearchParams(data);
  const answer = await fetch(form.action, { method: "POST", body, headers: PART }).catch(() => null);
  if (!answer || !(answer.ok || answer.status === 422)) {
    // The browser shows what is wrong, or tries again on its own account.
    form.toggleAttribute("data-acts", false);
    form.requestSubmit(button);
    return;
  }
  swap(await answer.text());
  if (answer.ok && "again" in form.dataset) startAgain(form);
}

/** A form that is filled many times over starts with what the server proposes next. */
function startAgain(form) {
  if (!form.isConnected) return;
  form.reset();
  form.querySelector("input:not([type=hidden])")?.focus();
  form.querySelector("input:not([type=hidden])")?.select();
}

async function turn(link) {
  const { href } = link;
  await written();
  const asked = ("rubOut" in link.dataset ? null : carriedTo(href)) ?? fetch(href, { headers: PART });
  const answer = await asked.catch(() => null);
  if (!answer?.ok) {
    location.assign(href);
    return;
  }
  swap(await answer.text());
  history.replaceState(null, "", href);
}
