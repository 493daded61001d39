// Boot: opens the app and keeps its parts of one build together. Plain script,
// no framework; everything that the app may use of it is window.portwright:
//
//   build                 id of the build that this page belongs to
//   hello(build)          the app's first call, with the id linked into it;
//                         false: another build, the app must return at once
//   ready()               the first view is on the screen
//   onUpdateWaiting       set by the app: called with the id of a new version
//                         that is installed whole and waits ("withdrawn" when
//                         this one was taken back); called at once when one
//                         waits already
//   takeUpdate()          lets it take over; the page reloads once
//   offline               "no" (this browser or address can't), "fetching",
//                         "yes" (the app starts without a network)
//   onOffline             set by the app: called with offline on each change
"use strict";
(() => {
  const build = document.documentElement.dataset.build;
  // On the shop PC itself there is one station more.
  document.documentElement.toggleAttribute("data-at-pc", /^(localhost|127\.0\.0\.1|\[::1\])$/.test(location.hostname));
  const base = "/b/" + build + "/";
  const workers = navigator.serviceWorker;
  const SLOW = 4000, DEAD = 15000, DEAD_FIRST = 60000;

  let said = false;       // the app said hello with the right build
  let shown = false;      // its first view is on the screen
  let leaving = false;    // this page is about to be replaced
  let retrying = false;   // a reload for a fault is being prepared
  let asked = false;      // the person asked for the new version
  let waiting = null;     // id of the version that waits
  let tellWaiting = null; // the app's onUpdateWaiting
  let offline = workers ? "fetching" : "no";
  let tellOffline = null;

  // The app may have put another page in place of the opening one.
  function show(id, on) {
    const el = document.getElementById(id);
    if (el) el.hidden = !on;
  }

  // The theme that was last chosen is put on before the app can read its
  // settings, so that the opening page does not flash bright in a dark shed.
  function rememberTheme() {
    const page = document.documentElement, key = "portwright-theme";
    try {
      const theme = localStorage.getItem(key);
      if (theme === "day" || theme === "shed") page.dataset.theme = theme;
    } catch { /* localStorage is closed to us: the system's theme it is */ }
    new MutationObserver(() => {
      try { localStorage.setItem(key, page.dataset.theme || ""); } catch { /* full or closed */ }
    }).observe(page, { attributes: true, attributeFilter: ["data-theme"] });
  }
  rememberTheme();

  // --- leaving this page -------------------------------------------------

  function go(to) {
    if (leaving) return;
    leaving = true;
    to();
  }
  const reload = () => go(() => location.reload());
  const repair = why => go(() => location.replace("/repair#" + encodeURIComponent(why)));

  // again reloads once for a reason; the second time in a row it gives up and
  // opens the repair page. A browser without sessionStorage gets no first try,
  // since it could not be told from the second.
  async function again(why) {
    retrying = true;
    let tried = true;
    try {
      tried = sessionStorage.getItem("portwright-again") === why;
      sessionStorage.setItem("portwright-again", why);
    } catch { /* storage is closed to us: tried stays true */ }
    if (tried) return repair(why);
    if (workers && workers.controller) await ask(workers.controller, { type: "CHECK" }, 8000);
    reload();
  }
  function settled() {
    try { sessionStorage.removeItem("portwright-again"); } catch { /* nothing was kept */ }
  }

  // --- talking to a service worker ----------------------------------------

  function ask(worker, message, ms) {
    return new Promise(done => {
      const line = new MessageChannel();
      const late = setTimeout(() => done(null), ms);
      line.port1.onmessage = e => { clearTimeout(late); done(e.data); };
      try { worker.postMessage(message, [line.port2]); } catch { clearTimeout(late); done(null); }
    });
  }

  function setOffline(to) {
    if (to === offline) return;
    offline = to;
    if (tellOffline) tellOffline(offline);
  }
  function announce(id) {
    waiting = id;
    if (tellWaiting) tellWaiting(id);
  }
  async function announceWorker(worker) {
    const id = await ask(worker, { type: "BUILD" }, 3000);
    if (id && id !== build) announce(id);
  }

  // register asks for the worker and watches what becomes of it. A version
  // that is installed while another one is active waits.
  async function register() {
    if (!workers) return;
    let reg;
    try {
      reg = await workers.register("/sw.js", { scope: "/", updateViaCache: "none" });
    } catch (err) {
      console.error("no offline start:", err);
      if (!workers.controller) setOffline("no");
      return;
    }
    const settle = () => { if (reg.active) setOffline("yes"); };
    const follow = worker => {
      if (!worker) return;
      worker.addEventListener("statechange", () => {
        settle();
        if (worker.state === "installed" && reg.active) announceWorker(worker);
        if (worker.state === "redundant" && !reg.active) setOffline("no");
      });
    };
    follow(reg.installing);
    reg.addEventListener("updatefound", () => follow(reg.installing));
    if (reg.waiting && reg.active) announceWorker(reg.waiting);
    settle();
    let looked = Date.now();
    document.addEventListener("visibilitychange", () => {
      if (document.visibilityState !== "visible" || Date.now() - looked < 600000) return;
      looked = Date.now();
      reg.update().catch(() => { /* no network: asked again later */ });
    });
  }

  // takeOver asks a worker that waits to take over and says whether it has.
  // False: another window has the app open (with alone), or it took too long.
  async function takeOver(worker, alone, patience) {
    const done = new Promise(done => {
      worker.addEventListener("statechange", () => { if (worker.state === "activated") done(true); });
      setTimeout(() => done(worker.state === "activated"), patience);
    });
    if (await ask(worker, { type: "TAKE_OVER", alone }, 2000) === false) return false;
    return done;
  }

  // quiet comes when the page has asked for all that it needs. A worker that is
  // asked for a file at the moment when it should step aside may be started
  // again by Chromium, which then leaves the change undone for a long time.
  async function quiet() {
    if (document.readyState !== "complete") await new Promise(done => window.addEventListener("load", done, { once: true }));
    await new Promise(done => setTimeout(done, 600));
  }

  async function takeUpdate() {
    asked = true;
    const reg = workers && await workers.getRegistration("/");
    if (reg && reg.waiting) await takeOver(reg.waiting, false, 10000);
    reload();
  }

  // coldStart lets a version that waits take over before anything is on the
  // screen, when no other window has the app open. True: this page reloads.
  async function coldStart() {
    if (!workers || !workers.controller) return false;
    const reg = await workers.getRegistration("/");
    if (!reg || !reg.waiting) return false;
    document.getElementById("opening-status").textContent = "Taking the new version \u2026";
    await quiet();
    if (!reg.waiting || !await takeOver(reg.waiting, true, 5000)) return false;
    reload();
    return true;
  }

  if (workers) {
    let controlled = !!workers.controller;
    workers.addEventListener("controllerchange", () => {
      if (!controlled) { controlled = true; return; } // the first install, nothing changed
      if (asked || !shown) return reload();
      // Another window took the new version. This one may have a draft open:
      // it goes on with what it has loaded until the person taps.
      if (workers.controller) announceWorker(workers.controller);
    });
    workers.addEventListener("message", e => {
      if (!e.data || e.data.type !== "WITHDRAWN") return;
      if (shown) announce("withdrawn"); else again("withdrawn");
    });
  }

  // --- what the app may use -------------------------------------------------

  window.portwright = {
    build,
    hello(id) {
      said = id === build;
      if (!said) again("mixed");
      return said && !leaving;
    },
    ready() {
      if (shown) return;
      shown = true;
      settled();
      show("opening", false);
      performance.mark("portwright-ready");
      register();
    },
    takeUpdate,
    get offline() { return offline; },
    get onOffline() { return tellOffline; },
    set onOffline(f) { tellOffline = f; if (f) f(offline); },
    get onUpdateWaiting() { return tellWaiting; },
    set onUpdateWaiting(f) { tellWaiting = f; if (f && waiting) f(waiting); },
  };

  // --- opening -----------------------------------------------------------------

  async function instance(imports) {
    const answer = await fetch(base + "app.code");
    if (!answer.ok) throw new Error("app.code: " + answer.status);
    // The service worker keeps the module made of it.
    const made = answer.headers.get("Content-Type") === "application/wasm";
    if (made && WebAssembly.instantiateStreaming) return WebAssembly.instantiateStreaming(answer, imports);
    return WebAssembly.instantiate(portwrightModule(new Uint8Array(await answer.arrayBuffer())), imports);
  }

  // sameWorker is the third side of the handshake: page, app and worker.
  async function sameWorker() {
    if (!workers || !workers.controller) return true;
    const id = await ask(workers.controller, { type: "BUILD" }, 2000);
    return id === null || id === build;
  }

  async function open() {
    const cold = coldStart().catch(() => false);
    const same = sameWorker();
    const engine = new Go();
    engine.env = { GOTRACEBACK: "system" }; // traces with program counters: the names are not in the app
    let made;
    try {
      made = await instance(engine.importObject);
    } catch (err) {
      console.error("the app can't be opened:", err);
      if (await cold) return;
      await again("broken");
      return;
    }
    if (await cold) return;
    if (!await same) return again("mixed");
    await engine.run(made.instance);
    if (!retrying) repair("stopped");
  }

  function dead() {
    if (shown || leaving) return;
    register();
    repair("slow");
  }
  setTimeout(() => {
    if (!shown) show("opening-slow", true);
  }, SLOW);
  setTimeout(dead, workers && workers.controller ? DEAD : DEAD_FIRST);

  // The text of the page is painted before the app is compiled.
  if (document.hidden) open();
  else requestAnimationFrame(() => setTimeout(open, 0));
})();
