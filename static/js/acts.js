// Buttons of a form with data-acts, and links with data-swap, do on the spot what they do without scripts by loading the
// page again: the answer is the whole page and is put in place. They wait until what was typed before is written down.
import { ask, put } from "./ask.js";
import { unreached } from "./away.js";
import { written } from "./blanks.js";
import { carriedTo } from "./pencil.js";

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
  if (!(await written())) {
    outOfReach(button);
    return;
  }
  form.toggleAttribute("data-acting", true);
  const data = new FormData(form, button);
  const body = form.enctype === "multipart/form-data" ? data : new URLSearchParams(data);
  const answer = await ask(form.action, { method: "POST", body });
  if (!answer) {
    // Loading the page would lose what is typed in it.
    form.toggleAttribute("data-acting", false);
    outOfReach(button);
    return;
  }
  if (!(answer.ok || answer.status === 422)) {
    // The browser shows what is wrong.
    form.toggleAttribute("data-acts", false);
    form.requestSubmit(button);
    return;
  }
  await put(answer);
  form.toggleAttribute("data-acting", false);
  if (answer.ok && "again" in form.dataset) startAgain(form);
}

/** Said beside the button until it is pressed again. */
function outOfReach(button) {
  unreached();
  const note = Object.assign(document.createElement("span"), { className: "note fault", textContent: " The book is out of reach; press again when it is back." });
  note.setAttribute("role", "alert");
  button.addEventListener("click", () => note.remove(), { once: true });
  button.after(note);
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
  const answer = (await written()) ? await (("rubOut" in link.dataset ? null : carriedTo(href)) ?? ask(href)) : null;
  if (!answer) {
    outOfReach(link);
    return;
  }
  if (!answer.ok) {
    location.assign(href);
    return;
  }
  await put(answer);
  history.replaceState(null, "", href);
}
