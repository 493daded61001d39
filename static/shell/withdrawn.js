// Service worker of a server that has withdrawn the app's version: it clears
// the kept app files, removes itself and says so to the open windows. From
// then on the app comes from the server alone. Readings in IndexedDB are never
// touched.
"use strict";

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", event => event.waitUntil(withdraw()));

async function withdraw() {
  const open = await self.clients.matchAll({ type: "window" });
  for (const name of await caches.keys()) {
    if (name.startsWith("portwright-")) await caches.delete(name);
  }
  await self.registration.unregister();
  for (const client of open) client.postMessage({ type: "WITHDRAWN" });
}
