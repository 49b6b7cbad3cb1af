// Opens the report form without signal, and sends what waits when signal comes back. The lines before these, written by the
// server, say where this version's files are: `FILES`.
importScripts(...FILES.filter((file) => file.endsWith("/outbox.js")));

const CACHE = "report-form";
const PATIENCE_MS = 4_000;

self.addEventListener("install", (event) => {
  self.skipWaiting();
  event.waitUntil(caches.open(CACHE).then((cache) => cache.addAll(FILES)));
});

const pathOf = ({ url }) => new URL(url).pathname;

// Files of older versions go once no kept form names them any more: each form is fetched anew, and while one can't be, the
// files it was made with stay.
async function sweep() {
  const cache = await caches.open(CACHE);
  const kept = await cache.keys();
  for (const request of kept.filter((one) => pathOf(one).startsWith("/report/"))) {
    const answer = await fetch(request.url);
    if (answer.ok) await cache.put(request, answer);
    else if (answer.status === 404) await cache.delete(request);
    else return;
  }
  for (const request of kept.filter((one) => pathOf(one).startsWith("/static/") && !FILES.includes(pathOf(one)))) await cache.delete(request);
}

self.addEventListener("activate", (event) => event.waitUntil(Promise.all([sweep().catch(() => {}), self.clients.claim()])));

// The newest form where line and server allow, the kept one where they don't. On a full phone the newest is shown and not kept.
async function form(request) {
  const cache = await caches.open(CACHE);
  const kept = await cache.match(request);
  const fresh = fetch(request).then(async (answer) => {
    if (answer.ok) await cache.put(request, answer.clone()).catch(() => {});
    if (answer.status === 404) await cache.delete(request);
    return answer.status >= 500 && kept ? kept : answer;
  });
  if (!kept) return fresh;
  const late = new Promise((resolve) => setTimeout(resolve, PATIENCE_MS, kept));
  return Promise.race([fresh.catch(() => kept), late]);
}

async function file(request) {
  return (await (await caches.open(CACHE)).match(request)) ?? fetch(request);
}

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (request.method !== "GET" || origin !== location.origin) return;
  if (request.mode === "navigate" && pathname.startsWith("/report/")) event.respondWith(form(request));
  else if (pathname.startsWith("/static/")) event.respondWith(file(request));
});

// A browser comes back by itself only where it is told that something is left.
async function sendOrFail() {
  await self.outbox.sendAll();
  if ((await self.outbox.waiting()).length) throw new Error("reports still wait");
}

self.addEventListener("sync", (event) => {
  if (event.tag === "outbox") event.waitUntil(sendOrFail());
});
