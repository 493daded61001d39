// The repair page: saves the book and fetches the app anew, in plain script,
// without the app. It only ever reads the database.
"use strict";
(() => {
  const DATABASE = "portwright", ENTRIES = "entries", PREFIX = "portwright-";
  // What the database would not take, and what of that could not be read.
  const UNSAVED = ["portwright-unsaved", "portwright-unsaved-damaged"];
  const PAGE = 1000; // entries read at a time
  const at = id => document.getElementById(id);
  const WHY = {
    slow: "The app did not start within the time it should need.",
    broken: "A part of the app is missing or damaged in this browser.",
    mixed: "Parts of two versions of the app came together, so it was not started.",
    stopped: "The app stopped by itself. Every reading that had its tick is kept.",
    withdrawn: "This version of the app was taken back where it comes from.",
  };

  function say(id, text, bad) {
    at(id).textContent = text;
    at(id).classList.toggle("bad", !!bad);
  }
  const count = (n, one, many) => n + " " + (n === 1 ? one : many);

  // --- the database, read only ---------------------------------------------

  const result = request => new Promise((ok, no) => {
    request.onsuccess = () => ok(request.result);
    request.onerror = () => no(request.error);
  });

  // database opens the book's database; null when this browser has none. It is
  // never made here: an empty one would hide the book from the app.
  function database() {
    return new Promise((ok, no) => {
      const request = indexedDB.open(DATABASE);
      let absent = false;
      request.onupgradeneeded = () => { absent = true; request.transaction.abort(); };
      request.onsuccess = () => {
        request.result.onversionchange = () => request.result.close();
        ok(request.result);
      };
      request.onerror = e => { e.preventDefault(); absent ? ok(null) : no(request.error); };
      request.onblocked = () => no(new Error("another window holds the database: close the other windows of the app"));
    });
  }

  // eachPage reads the store in pages of values in the order of their keys.
  async function eachPage(db, store, use) {
    let from = null;
    for (;;) {
      const things = db.transaction(store).objectStore(store);
      const [keys, values] = await Promise.all([result(things.getAllKeys(from, PAGE)), result(things.getAll(from, PAGE))]);
      use(values);
      if (keys.length < PAGE) return;
      from = IDBKeyRange.lowerBound(keys[keys.length - 1], true);
    }
  }

  async function counts() {
    const db = await database();
    if (!db) return null;
    const out = {};
    try {
      for (const store of db.objectStoreNames) out[store] = await result(db.transaction(store).objectStore(store).count());
    } finally {
      db.close();
    }
    return out;
  }

  // --- the whole-book file ----------------------------------------------------

  const TABLE = new Uint32Array(256).map((_, n) => {
    for (let bit = 0; bit < 8; bit++) n = n & 1 ? 0xEDB88320 ^ (n >>> 1) : n >>> 1;
    return n >>> 0;
  });
  // crc continues the IEEE check sum over bytes; it starts from 0.
  function crc(sum, bytes) {
    sum = ~sum;
    for (const b of bytes) sum = TABLE[(sum ^ b) & 255] ^ (sum >>> 8);
    return ~sum >>> 0;
  }

  // bookFile makes the file that the app and the command line read: a header,
  // one entry a line exactly as it was stored, and a footer with the check sum.
  async function bookFile() {
    const db = await database();
    if (!db) return { entries: 0, parts: [] };
    const parts = [];
    const text = new TextEncoder();
    let entries = 0, sum = 0, damaged = 0;
    try {
      await eachPage(db, ENTRIES, values => {
        const lines = [];
        for (const value of values) {
          const line = value && value.entry;
          if (typeof line !== "string" || !whole(line)) { damaged++; continue; }
          lines.push(line.replace(/[\r\n]+/g, " ") + "\n");
        }
        const bytes = text.encode(lines.join(""));
        entries += lines.length;
        sum = crc(sum, bytes);
        parts.push(bytes);
      });
    } finally {
      db.close();
    }
    parts.unshift(JSON.stringify({ format: "portwright-book", version: 1, entries }) + "\n");
    parts.push('{"end":true,"entries":' + entries + ',"crc32":"' + sum.toString(16).padStart(8, "0") + '"}\n');
    return { entries, parts, damaged };
  }
  function whole(line) {
    try { return typeof JSON.parse(line).id === "string"; } catch { return false; }
  }

  function stamp() {
    const now = new Date(), two = n => String(n).padStart(2, "0");
    return now.getFullYear() + "-" + two(now.getMonth() + 1) + "-" + two(now.getDate()) + "-" + two(now.getHours()) + two(now.getMinutes());
  }
  function download(file) {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(file);
    link.download = file.name;
    document.body.append(link);
    link.click();
    link.remove();
    setTimeout(() => URL.revokeObjectURL(link.href), 60000);
  }

  async function make() {
    const book = await bookFile();
    const file = new File(book.parts, "portwright-" + stamp() + ".book", { type: "application/octet-stream" });
    let text = count(book.entries, "entry", "entries") + " written to " + file.name + ".";
    if (book.damaged) text += " " + count(book.damaged, "entry", "entries") + " can't be read and are not in it.";
    return { file, text, bad: !!book.damaged };
  }
  async function save() {
    say("saved", "Reading the book …");
    try {
      const made = await make();
      download(made.file);
      say("saved", made.text + " Keep the file somewhere else than on this device.", made.bad);
    } catch (err) {
      say("saved", "The book can't be read: " + (err && err.message || err), true);
    }
  }
  async function share() {
    try {
      const made = await make();
      // A share sheet takes text files everywhere; the content is the same.
      await navigator.share({ files: [new File([made.file], made.file.name + ".txt", { type: "text/plain" })] });
      say("saved", made.text, made.bad);
    } catch (err) {
      if (err && err.name !== "AbortError") say("saved", "Sharing did not work: " + err.message + " Save it to a file.", true);
    }
  }
  function unsaved() {
    const out = {};
    try {
      for (const key of UNSAVED) if (localStorage.getItem(key)) out[key] = localStorage.getItem(key);
    } catch { /* closed to us: nothing could be put there either */ }
    return out;
  }
  function saveUnsaved() {
    download(new File([JSON.stringify(unsaved(), null, 1)], "portwright-not-kept-" + stamp() + ".json", { type: "application/json" }));
  }

  // --- the app's files -----------------------------------------------------------

  function ask(worker, message, ms) {
    return new Promise(done => {
      const line = new MessageChannel();
      const late = setTimeout(() => done(null), ms);
      line.port1.onmessage = e => { clearTimeout(late); done(e.data); };
      worker.postMessage(message, [line.port2]);
    });
  }
  const registration = async () => "serviceWorker" in navigator ? navigator.serviceWorker.getRegistration("/") : undefined;

  async function check() {
    const reg = await registration();
    if (!reg || !reg.active) return say("said", "The app is not installed in this browser; it comes from " + location.host + " each time.");
    say("said", "Checking …");
    const got = await ask(reg.active, { type: "CHECK" }, 60000);
    if (!got) return say("said", "The check got no answer. Try \u201cFetch the app anew\u201d.", true);
    if (!got.bad) return say("said", "All " + got.files + " files are whole.");
    const left = got.bad - got.healed;
    say("said", got.bad + " of " + got.files + " files were damaged or missing, " + got.healed + " fetched again." +
      (left ? " The others come from " + location.host + ": when it can be reached, check once more." : " Open the app again."), left > 0);
  }

  // anew removes the app's files and its worker, and nothing else, once the
  // server is known to answer: without it there would be no app at all.
  async function anew() {
    say("said", "Asking " + location.host + " …");
    let there = null;
    try {
      const answer = await fetch("/build.json", { cache: "no-store" });
      there = answer.ok ? await answer.json() : null;
    } catch { there = null; }
    if (!there || !there.build) {
      return say("said", location.host + " can't be reached, so nothing was removed: without it there would be no app to open. Try again when it can.", true);
    }
    const reg = await registration();
    if (reg) await reg.unregister();
    for (const name of await caches.keys()) if (name.startsWith(PREFIX)) await caches.delete(name);
    try { sessionStorage.clear(); } catch { /* nothing was kept */ }
    location.replace("/");
  }

  // --- state ------------------------------------------------------------------------

  function line(name, value) {
    const dt = document.createElement("dt"), dd = document.createElement("dd");
    dt.textContent = name;
    dd.textContent = value;
    at("state").append(dt, dd);
  }
  async function build(worker) {
    if (!worker) return "none";
    return await ask(worker, { type: "BUILD" }, 2000) || "does not answer";
  }

  async function showReadings() {
    let have;
    try {
      have = await counts();
    } catch (err) {
      say("readings", "The book can't be opened: " + (err && (err.name + ": " + err.message) || err), true);
      at("save").disabled = false; // another try may go better
      return;
    }
    if (!have || have[ENTRIES] === undefined) {
      say("readings", "There is no book in this browser at this address.");
      return;
    }
    say("readings", count(have.cards || 0, "build", "builds") + ", " + count(have[ENTRIES], "entry", "entries") + " in this browser.");
    at("save").disabled = false;
    for (const store of Object.keys(have)) line("Database: " + store, have[store]);
  }
  async function showApp() {
    line("This page", document.documentElement.dataset.build);
    const reg = await registration();
    line("Installed version", await build(reg && reg.active));
    if (reg && reg.waiting) line("Version that waits", await build(reg.waiting));
    if (window.caches) line("Kept files", (await caches.keys()).filter(n => n.startsWith(PREFIX)).join(", ") || "none");
    if (reg) reg.update().catch(() => { /* no network: nothing newer to be had */ });
    try {
      const answer = await fetch("/build.json", { cache: "no-store" });
      line("Version at " + location.host, (await answer.json()).build);
    } catch {
      line("Version at " + location.host, "can't be reached");
    }
  }

  // What is known at once is shown at once: nothing moves under a finger later.
  const probe = new File(["x"], "x.txt", { type: "text/plain" });
  at("share").hidden = !(navigator.canShare && navigator.canShare({ files: [probe] }));
  const why = decodeURIComponent(location.hash.slice(1));
  if (WHY[why]) say("why", WHY[why] + " The readings in this browser are not touched by that. From here the book can be saved to a file and the app fetched anew.", true);
  at("unsaved").hidden = Object.keys(unsaved()).length === 0;
  at("save").addEventListener("click", save);
  at("share").addEventListener("click", share);
  at("unsaved").addEventListener("click", saveUnsaved);
  at("check").addEventListener("click", check);
  at("anew").addEventListener("click", anew);
  showReadings();
  showApp();
})();
