// Puts what the server answered in place: fragments, each a <template data-region="id">…</template> holding the element with
// that id; or a whole page, of which the sheet and its saved state are taken.
// The page is changed where it differs and nowhere else, so focus, caret and scroll stay, and a blank somebody is
// writing in is never touched.
import { isBusy, isRefused, keepTyped } from "./typing.js";

const WHOLE_PAGE = ["main", "saved", "units"];

/** Drawings that are not to be seen, asked before anything changes: asking in between would lay the page out each time. */
let outOfSight = new Set();

export function swap(html) {
  outOfSight = new Set([...document.querySelectorAll("main svg")].filter((drawing) => !drawing.checkVisibility()));
  const answer = new DOMParser().parseFromString(html, "text/html");
  for (const region of answer.querySelectorAll("template[data-region]")) {
    const old = document.getElementById(region.dataset.region);
    if (old) fill(old, region.content);
  }
  if (!answer.querySelector("template[data-region]")) {
    for (const id of WHOLE_PAGE) {
      const [old, next] = [document.getElementById(id), answer.getElementById(id)];
      if (old && next) morph(old, document.adoptNode(next));
    }
  }
  document.dispatchEvent(new CustomEvent("stillair:swapped"));
}

/** A fragment is the region's element itself, or what stands inside it. */
function fill(old, content) {
  const whole = content.children.length === 1 && content.firstElementChild.id === old.id;
  if (whole) morph(old, document.adoptNode(content.firstElementChild));
  else morphChildren(old, document.adoptNode(content));
}

function morph(old, next) {
  // What a script of this page says there is not the server's to change.
  if (old.dataset && "own" in old.dataset) return;
  if (old.nodeType !== next.nodeType || old.nodeName !== next.nodeName || (old.id ?? "") !== (next.id ?? "")) {
    old.replaceWith(next);
    return;
  }
  if (old.nodeType !== Node.ELEMENT_NODE) {
    if (old.data !== next.data) old.data = next.data;
    return;
  }
  if (isRefused(old)) return;
  // A drawing out of sight has nothing to keep.
  if (outOfSight.has(old)) {
    old.replaceWith(next);
    return;
  }
  if (isBusy(old)) {
    keepTyped(old, next);
    return;
  }
  morphAttributes(old, next);
  if (old.matches("input, textarea")) setValue(old, next);
  if (old.nodeName !== "TEXTAREA") morphChildren(old, next);
  if (old.nodeName === "SELECT") old.value = next.value;
}

function setValue(old, next) {
  if (old.type === "checkbox" || old.type === "radio") old.checked = next.checked;
  else if (old.type !== "file") {
    old.defaultValue = next.value;
    old.value = next.value;
  }
}

function morphAttributes(old, next) {
  for (const { name } of [...old.attributes]) {
    if (!next.hasAttribute(name) && !isOwn(old, name)) old.removeAttribute(name);
  }
  for (const { name, value } of next.attributes) {
    if (old.getAttribute(name) !== value && !isOwn(old, name)) old.setAttribute(name, value);
  }
}

/** What this person has folded out or switched on stays so, whatever the server has written. */
function isOwn(element, name) {
  if (name === "open") return element.nodeName === "DETAILS";
  if (name === "aria-pressed") return "pencilSwitch" in element.dataset || element.dataset.draw === "on";
  return name === "data-drawing" || name === "data-dragging" || name === "data-chosen";
}

function morphChildren(old, next) {
  let at = old.firstChild;
  for (const child of [...next.childNodes]) {
    const named = child.id ? [...old.children].find((one) => one.id === child.id) : null;
    if (named && named !== at) {
      // What stands between was taken out on the server; something busy in it stays until it is written.
      while (at && at !== named && !holdsBusy(at)) {
        const gone = at;
        at = at.nextSibling;
        gone.remove();
      }
      if (at !== named) old.insertBefore(named, at);
      at = named;
    }
    if (!at) {
      old.append(child);
    } else if (!named && (at.id || child.id)) {
      old.insertBefore(child, at);
    } else {
      const here = at;
      at = at.nextSibling;
      morph(here, child);
    }
  }
  while (at) {
    const gone = at;
    at = at.nextSibling;
    if (!holdsBusy(gone)) gone.remove();
  }
}

function holdsBusy(node) {
  return node.nodeType === Node.ELEMENT_NODE && [node, ...node.querySelectorAll("input, select, textarea")].some(isBusy);
}
