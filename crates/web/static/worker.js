// Keeps the cabinet page and all that it shows, and hands it out when the computer in the office does not answer.

const KEPT = "cabinet-1";

self.addEventListener("install", () => void self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

self.addEventListener("message", (event) => {
  const keep = async () => {
    const cache = await caches.open(KEPT);
    await cache.addAll(event.data.keep);
    event.source?.postMessage({ kept: true });
  };
  event.waitUntil(keep());
});

self.addEventListener("fetch", (event) => {
  if (event.request.method !== "GET") return;
  const answer = async () => {
    const cache = await caches.open(KEPT);
    try {
      const fresh = await fetch(event.request);
      if (fresh.ok) await cache.put(event.request, fresh.clone());
      return fresh;
    } catch (fault) {
      const kept = await cache.match(event.request);
      if (kept) return kept;
      throw fault;
    }
  };
  event.respondWith(answer());
});
