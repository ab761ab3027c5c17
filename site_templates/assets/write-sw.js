/* Keeps the form for the keeper, and only that page, on the device, so that it opens offline. */
"use strict";

const VERSION = "@VERSION@";
const FAMILY = `journal-write ${self.registration.scope} `;
const PAGE = self.registration.scope;
const KEPT = ["document", "style", "script", "font", "image"];
const PATIENCE_MS = 4000;

const ours = (address) => new URL(address).origin === self.location.origin;
const opened = () => caches.open(FAMILY + VERSION);

async function keep(addresses) {
  const cache = await opened();
  await Promise.all(addresses.filter(ours).map(async (address) => {
    if (await cache.match(address)) return;
    const response = await fetch(address).catch(() => null);
    if (response && response.ok && !response.redirected) await cache.put(address, response);
  }));
}

async function answer(request) {
  const cache = await opened();
  const address = request.mode === "navigate" ? PAGE : request.url.split("#")[0];
  const kept = await cache.match(address, { ignoreVary: true });
  const fresh = fetch(request).then(async (response) => {
    if (response.ok && !response.redirected && KEPT.includes(request.destination)) {
      await cache.put(address, response.clone());
    }
    return response;
  });
  if (!kept) return fresh;
  const soon = new Promise((done) => setTimeout(() => done(kept), PATIENCE_MS));
  return Promise.race([fresh, soon]).then((r) => (r.ok ? r : kept)).catch(() => kept);
}

self.addEventListener("install", (event) => {
  event.waitUntil(keep([PAGE]).then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  event.waitUntil((async () => {
    const old = (await caches.keys()).filter((n) => n.startsWith(FAMILY) && n !== FAMILY + VERSION);
    await Promise.all(old.map((name) => caches.delete(name)));
    await self.clients.claim();
  })());
});

self.addEventListener("fetch", (event) => {
  if (event.request.method !== "GET" || !ours(event.request.url)) return;
  event.respondWith(answer(event.request));
});

self.addEventListener("message", (event) => {
  const addresses = event.data && event.data.keep;
  if (!Array.isArray(addresses)) return;
  event.waitUntil(keep([PAGE, ...addresses]).then(() => event.source.postMessage("kept")));
});
