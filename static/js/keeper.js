// The service worker: keeps the sheets that were opened last, so that they can be read again while the book is out of reach.
// It runs only where the page is served over https (or on the machine itself). It never answers with a kept sheet while the
// book answers, and what it answers with says when it was kept.
const SHEETS = "sheets";
const PARTS = "parts";
const MOST_SHEETS = 60;
const MOST_PARTS = 120;
const DOORS = /^\/(sign-out|sign-in|join\/.+)$/;
const KEPT_AT = "x-stillair-kept-at";

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (url.origin !== location.origin) return;
  if (request.method === "POST" && DOORS.test(url.pathname)) {
    // Whoever comes next on this device must not read what was kept.
    event.waitUntil(Promise.all([caches.delete(SHEETS), caches.delete(PARTS)]));
    return;
  }
  if (request.method !== "GET") return;
  if (url.pathname.startsWith("/static/")) event.respondWith(part(request));
  else if (request.mode === "navigate") event.respondWith(sheet(request));
});

async function part(request) {
  try {
    const answer = await fetch(request);
    if (answer.ok) await keep(PARTS, request, answer.clone(), MOST_PARTS);
    return answer;
  } catch (error) {
    const kept = await (await caches.open(PARTS)).match(request);
    if (kept) return kept;
    throw error;
  }
}

async function sheet(request) {
  try {
    const answer = await fetch(request);
    const isSheet = answer.ok && !answer.redirected && answer.headers.get("content-type")?.startsWith("text/html");
    if (isSheet) await keep(SHEETS, request, await stamped(answer.clone(), Date.now()), MOST_SHEETS);
    return answer;
  } catch (error) {
    const kept = await (await caches.open(SHEETS)).match(request, { ignoreVary: true });
    if (kept) return marked(kept);
    throw error;
  }
}

async function keep(name, request, answer, most) {
  const cache = await caches.open(name);
  // Taken out first, so that the oldest of the list is the one opened longest ago.
  await cache.delete(request, { ignoreVary: true });
  await cache.put(request, answer);
  const all = await cache.keys();
  await Promise.all(all.slice(0, Math.max(all.length - most, 0)).map((old) => cache.delete(old, { ignoreVary: true })));
}

async function stamped(answer, at) {
  const headers = new Headers(answer.headers);
  headers.set(KEPT_AT, String(at));
  return new Response(await answer.blob(), { status: answer.status, headers });
}

/** The sheet with its age on it; the page's own banner reads it. */
async function marked(kept) {
  const html = await kept.text();
  const at = kept.headers.get(KEPT_AT) ?? "";
  return new Response(html.replace("<html ", `<html data-kept="${at}" `), { status: kept.status, headers: kept.headers });
}
