// The service worker: after one visit the page opens without a network. It keeps the files that
// the build lists here, all of one version, and answers from them; a new version waits until
// the player takes it.
"use strict";

const VERSION = "unbuilt";
const FILES = [];

// Other pages of the same host keep theirs under other names.
const prefix = "reedwell " + registration.scope + " ";

self.addEventListener("install", (event) => event.waitUntil((async () => {
  const cache = await caches.open(prefix + VERSION);
  // A name with a hash may come from the browser's cache, every other is asked for anew.
  await Promise.all(FILES.map(async (name) => {
    const url = new URL(name, registration.scope).href;
    const answer = await fetch(url, { cache: /\.[0-9a-f]{16}\./.test(name) ? "default" : "no-cache" });
    if (!answer.ok) throw new Error("the server answered " + answer.status + " for " + name);
    // Some hosts lead index.html on to its folder, and a browser takes no such answer for a page.
    await cache.put(url, answer.redirected ? new Response(answer.body, { headers: answer.headers }) : answer);
  }));
})()));

self.addEventListener("activate", (event) => event.waitUntil((async () => {
  for (const name of await caches.keys()) {
    if (name.startsWith(prefix) && name !== prefix + VERSION) await caches.delete(name);
  }
  await self.clients.claim();
})()));

self.addEventListener("message", (event) => {
  if (event.data === "take over") self.skipWaiting();
});

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET" || !url.href.startsWith(registration.scope)) return;
  url.search = url.hash = "";
  if (url.pathname.endsWith("/")) url.pathname += "index.html";
  event.respondWith((async () => {
    const kept = await (await caches.open(prefix + VERSION)).match(url.href);
    return kept || fetch(event.request);
  })());
});
