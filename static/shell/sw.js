// Service worker: keeps one whole build of the app and starts it without a
// network. A build is installed whole or not at all; the one in use goes on
// until the person (or a cold start) lets the new one take over; readings in
// IndexedDB are never touched from here.
"use strict";

const BUILD = "__BUILD__";
const BASE = "/b/" + BUILD + "/";
const FILES = __FILES__;     // [path, sha256 in base64], every file of this build
const CODE = __CODE__;       // [path, sha256 in base64] of the app's module, which is made of that file and kept in its place
const INLINE = __INLINE__;   // path: [content type, text]: the repair page, which must not depend on a cache
const POLICY = __POLICY__;   // Content-Security-Policy of pages answered from here

const PREFIX = "portwright-";
const CACHE = PREFIX + BUILD;
const ORDER = PREFIX + "order"; // remembers which builds were in use, oldest first
const PAGES = { "/": BASE + "index.html", "/index.html": BASE + "index.html", "/repair": BASE + "repair.html" };
const WHOLE = new Map(FILES);
const KEPT = new Map(FILES).set(...CODE);

"__MODULE__";

// --- install: all or nothing ---------------------------------------------

self.addEventListener("install", event => event.waitUntil(install()));

async function install() {
  const cache = await caches.open(CACHE);
  if (await complete(cache)) return; // kept from an earlier time: a rollback needs no network
  const got = await Promise.allSettled(FILES.map(([path]) => fetchInto(cache, path)));
  const failed = got.find(one => one.status === "rejected");
  if (!failed && await complete(cache)) return;
  await caches.delete(CACHE);
  throw failed ? failed.reason : new Error("the browser did not keep every file of build " + BUILD);
}

async function complete(cache) {
  const have = new Set((await cache.keys()).map(request => new URL(request.url).pathname));
  return FILES.every(([path]) => have.has(path));
}

// fetchInto fetches one file past every cache and keeps it if its bytes are
// the ones that were packed.
async function fetchInto(cache, path) {
  const answer = await fetch(new Request(path, { integrity: "sha256-" + WHOLE.get(path), cache: "reload" }));
  if (!answer.ok) throw new Error(path + ": " + answer.status);
  if (path !== CODE[0]) {
    await cache.put(path, answer.clone());
    return answer;
  }
  // The module itself: it is compiled while it is read, and once for all.
  const module = self.portwrightModule(new Uint8Array(await answer.arrayBuffer()));
  const made = () => new Response(module, { headers: { "Content-Type": "application/wasm" } });
  await cache.put(path, made());
  return made();
}

// --- activate: own build and the one before stay ----------------------------

self.addEventListener("activate", event => event.waitUntil(activate()));

async function activate() {
  const names = (await caches.keys()).filter(name => name.startsWith(PREFIX) && name !== ORDER);
  const used = await remember();
  const keep = new Set(used.slice(-2).map(id => PREFIX + id));
  const busy = self.registration.installing || self.registration.waiting;
  for (const name of names) {
    const wasUsed = used.includes(name.slice(PREFIX.length));
    // A cache that never was in use may belong to a version being installed.
    if (!keep.has(name) && (wasUsed || !busy)) await caches.delete(name);
  }
  if (used.length === 1) await self.clients.claim(); // first of all: no page has a controller
}

// remember appends this build to the order of builds in use and returns it.
async function remember() {
  const order = await caches.open(ORDER);
  const kept = await order.match("/order");
  let used = [];
  try { used = kept ? await kept.json() : []; } catch { used = []; }
  used = used.filter(id => id !== BUILD).concat(BUILD);
  await order.put("/order", new Response(JSON.stringify(used.slice(-4))));
  return used;
}

async function previous() {
  const order = await caches.open(ORDER);
  const kept = await order.match("/order");
  try { return (await kept.json()).slice(-2)[0]; } catch { return BUILD; }
}

// --- fetch ----------------------------------------------------------------------

self.addEventListener("fetch", event => {
  const request = event.request;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== self.location.origin) return;
  if (url.pathname.startsWith("/api/")) return;
  if (request.mode === "navigate") {
    const path = PAGES[url.pathname];
    if (path) event.respondWith(page(path));
    return;
  }
  if (url.pathname === "/manifest.webmanifest") event.respondWith(own(BASE + "manifest.webmanifest", request));
  else if (url.pathname.startsWith("/icon/")) event.respondWith(own(BASE + url.pathname.slice(1), request));
  else if (url.pathname.startsWith(BASE)) event.respondWith(own(url.pathname, request));
  else if (url.pathname.startsWith("/b/")) event.respondWith(earlier(url.pathname, request));
});

async function page(path) {
  const answer = await stored(path) || inline(path) || await heal(path);
  return answer || inline(BASE + "repair.html");
}

async function own(path, request) {
  return await stored(path) || inline(path) || await heal(path) || fetch(request);
}

async function earlier(path, request) {
  const id = await previous();
  if (path.startsWith("/b/" + id + "/")) {
    const cache = await caches.open(PREFIX + id);
    const kept = await cache.match(path);
    if (kept) return kept;
  }
  return fetch(request);
}

async function stored(path) {
  try {
    const cache = await caches.open(CACHE);
    return await cache.match(path);
  } catch {
    return undefined; // the browser lost its cache store: as if it were empty
  }
}

function inline(path) {
  const kept = INLINE[path];
  if (!kept) return undefined;
  return new Response(kept[1], { headers: {
    "Content-Type": kept[0], "Content-Security-Policy": POLICY, "X-Content-Type-Options": "nosniff", "Cache-Control": "no-cache",
  } });
}

// heal fetches a file of this build that the browser has lost.
async function heal(path) {
  if (!WHOLE.has(path)) return undefined;
  try {
    return await fetchInto(await caches.open(CACHE), path);
  } catch (err) {
    console.error("lost and not to be had:", path, err);
    return undefined;
  }
}

// --- messages -----------------------------------------------------------------------

self.addEventListener("message", event => {
  const answer = value => event.ports[0] && event.ports[0].postMessage(value);
  switch (event.data && event.data.type) {
    case "BUILD":
      answer(BUILD);
      break;
    case "TAKE_OVER":
      event.waitUntil(takeOver(event.data.alone).then(answer));
      break;
    case "CHECK":
      event.waitUntil(check().then(answer));
      break;
  }
});

// takeOver activates this version; with alone only if a single window has the
// app open, which is then the one that asks.
async function takeOver(alone) {
  if (alone) {
    const open = await self.clients.matchAll({ type: "window", includeUncontrolled: true });
    if (open.length > 1) return false;
  }
  self.skipWaiting();
  return true;
}

// check compares every kept file with its SHA-256 and fetches anew what is
// missing or damaged; a damaged one stays until then. The answer counts files.
async function check() {
  const result = { files: FILES.length, bad: 0, healed: 0 };
  const cache = await caches.open(CACHE);
  for (const [path, sum] of KEPT) {
    const kept = await cache.match(path);
    if (kept && await digest(kept) === sum) continue;
    result.bad++;
    if (await heal(path)) result.healed++;
  }
  return result;
}

async function digest(answer) {
  const sum = new Uint8Array(await crypto.subtle.digest("SHA-256", await answer.arrayBuffer()));
  return btoa(String.fromCharCode(...sum));
}
