// The Shop station: asks the shop PC how things stand and shows it.
"use strict";

const TOKEN = "portwright-shop"; // this browser's token, in its local storage
const $ = id => document.getElementById(id);
let asked = 0;  // the newest question; answers to older ones are dropped
let sure = "";  // the device that a second tap would revoke or forget
let last = null;
let fault = ""; // what went wrong with the last action; stays until dismissed or the next action
let lost = "";  // what went wrong with the last question; goes with the next answer

async function ask(path, body) {
  const options = { headers: { "Authorization": "Bearer " + (localStorage.getItem(TOKEN) || "") }, cache: "no-store" };
  if (body) {
    options.method = "POST";
    options.headers["Content-Type"] = "application/json";
    options.body = JSON.stringify(body);
  }
  const answer = await fetch("/api/v1/shop" + path, options);
  const told = await answer.json();
  if (!answer.ok) throw Object.assign(new Error(told.message), { code: told.code });
  return told;
}

// enter uses the one-time link, whose key stands behind the #.
async function enter() {
  const key = location.hash.slice(1);
  if (!key) return;
  history.replaceState(null, "", location.pathname);
  try {
    localStorage.setItem(TOKEN, (await ask("/enter", { key })).token);
  } catch (err) {
    if (!localStorage.getItem(TOKEN)) { fault = err.message; tell(); }
  }
}

// say changes a text only when it is another one, so that it is read out once.
function say(id, text) { if ($(id).textContent !== text) $(id).textContent = text; }

function tell() {
  const text = fault || lost;
  $("trouble").hidden = !text;
  say("wrong", text);
  $("dismiss").hidden = !fault;
}

function put(parent, name, text, className) {
  const el = document.createElement(name);
  if (text) el.textContent = text;
  if (className) el.className = className;
  parent.append(el);
  return el;
}

function plural(n, word) { return n + " " + word + (n === 1 ? "" : "s"); }

function names(n) { return ["no", "one", "two", "three"][n] || String(n); }

function time(ms, now) {
  const at = new Date(ms), clock = at.toLocaleTimeString(undefined, { hour: "2-digit", minute: "2-digit" });
  return at.toDateString() === new Date(now).toDateString() ? clock : day(ms) + ", " + clock;
}

function span(ms) {
  const minutes = Math.floor(Math.abs(ms) / 60000);
  if (minutes < 1) return "less than a minute";
  if (minutes < 120) return plural(minutes, "minute");
  if (minutes < 48 * 60) return plural(Math.round(minutes / 60), "hour");
  return plural(Math.round(minutes / 1440), "day");
}

function day(ms) { return new Date(ms).toLocaleDateString(undefined, { year: "numeric", month: "long", day: "numeric" }); }

function show(s) {
  $("stranger").hidden = true;
  $("station").hidden = false;
  if (last && last.code && !s.code) say("said", "");
  showSpace(s);
  showCode(s, last);
  last = s;
  showDevices(s);
  const addresses = $("addresses");
  addresses.replaceChildren();
  if (s.addresses.length === 0) put(addresses, "p", "This PC listens to itself alone. Start it without -alone to let phones in.");
  const list = put(addresses, "ul");
  for (const a of s.addresses) put(put(list, "li"), "b", a);
  showBackup(s);
  showCertificate(s);
}

function showSpace(s) {
  const mib = n => Math.floor(n / 1048576) + " MiB";
  $("space").hidden = !s.space;
  say("space", s.space ? "This PC's disk is nearly full: " + mib(s.space.free) + " are free and " + mib(s.space.wanted) + " are wanted. Nothing new is taken from the phones, and no backup is made, until there is room. The phones keep what they have." : "");
}

let ended = ""; // what became of the last code

function showCode(s, before) {
  if (s.code) ended = "";
  else if (s.code_ended) ended = s.code_ended;
  else if (before && before.code) ended = "The code was lost when the server was restarted.";
  $("code").textContent = s.code ? s.code.text : "";
  let says = (ended ? ended + " " : "") + "A code lets one phone in. It is good for 10 minutes.";
  if (s.code) {
    says = "Type it on the phone within " + span(s.code.until_ms - s.now_ms) + ".";
    if (s.code.wrong_from) says += " A wrong code came from " + s.code.wrong_from + "; " + plural(s.code.tries_left, "try").replace("trys", "tries") + " left.";
  }
  say("code-says", says);
  $("new-code").textContent = s.code ? "Make another code" : "Make a code";
  $("lead").hidden = !s.setup;
  $("setup").textContent = s.setup || "";
  $("no-number").hidden = !s.no_number;
  if (s.qr && $("qr").dataset.of !== s.setup) {
    const path = document.createElementNS("http://www.w3.org/2000/svg", "path");
    path.setAttribute("d", s.qr.path);
    $("qr").setAttribute("viewBox", `-4 -4 ${s.qr.size + 8} ${s.qr.size + 8}`);
    $("qr").replaceChildren(path);
    $("qr").dataset.of = s.setup;
  }
}

function showDevices(s) {
  const box = $("devices");
  const focus = document.activeElement && document.activeElement.dataset.does;
  box.replaceChildren();
  if (s.devices.length === 0) put(box, "p", "No device is paired yet.");
  const list = put(box, "ul");
  for (const d of s.devices) {
    const li = put(list, "li");
    put(li, "b", d.name + (d.id === s.own ? " (this one)" : ""));
    put(li, "p", "P" + paired(d, s.now_ms).slice(1));
    const more = d.names.filter(n => n.since_ms).map(n => n.since_ms);
    if (d.names.length > 1) put(li, "p", "Writes under " + names(d.names.length) + " names" + (more.length ? " since " + time(Math.min(...more), s.now_ms) : "") + ": was this phone copied or restored?", "late");
    if (s.unwritten.includes(d.id)) put(li, "p", "Refused now, but the list can't be written: after a restart it would be let in again. Make room on the disk.", "late");
    if (d.revoked_ms) {
      li.dataset.out = "";
      put(li, "p", "Revoked " + span(s.now_ms - d.revoked_ms) + " ago: it is refused. Forget it and the others may bring what they hold of its last entries.");
    } else {
      put(li, "p", d.seen_ms ? "Last seen " + span(s.now_ms - d.seen_ms) + " ago" : "Not seen yet");
      if (d.offset_ms !== undefined && Math.abs(d.offset_ms) <= 120000) put(li, "p", "Its clock is right within " + plural(Math.ceil(Math.abs(d.offset_ms) / 1000), "second"));
      if (Math.abs(d.offset_ms || 0) > 120000) put(li, "p", "Its clock is " + span(d.offset_ms) + (d.offset_ms < 0 ? " ahead" : " behind"), "late");
    }
    const does = put(li, "div", "", "does");
    act(does, d, d.revoked_ms ? "forget" : "revoke", d.revoked_ms ? "Forget" : "Revoke");
  }
  if (focus) box.querySelector(`[data-does="${focus}"]`)?.focus();
}

// paired tells one device from another of a like name.
function paired(d, now) {
  const wrote = d.shop ? "" : ", wrote " + plural(d.names.reduce((sum, n) => sum + n.seq, 0), "entry").replace("entrys", "entries");
  return "paired " + time(d.paired_ms, now) + wrote;
}

// act is a button that asks once more before it does what can't be undone.
function act(parent, d, what, word) {
  const key = what + " " + d.id;
  const button = put(parent, "button", sure === key ? word + " " + d.name + ", " + paired(d, last.now_ms) + ", for good" : word, "button small");
  button.type = "button";
  button.dataset.does = key;
  button.addEventListener("click", () => {
    if (sure !== key) {
      sure = key;
      $("said").textContent = "Tap again to " + what + " " + d.name + ", " + paired(d, last.now_ms);
      show(last);
      return;
    }
    sure = "";
    run("/" + what, { id: d.id }, d.name + (what === "revoke" ? " is revoked" : " is forgotten"));
  });
}

function showBackup(s) {
  const box = $("backup");
  box.replaceChildren();
  const old = s.now_ms - s.backup_ms;
  if (!s.backup_ms) put(box, "p", "There is no backup yet. The first is made a minute after the start, then one each night.");
  else {
    const known = s.backup_holds !== undefined, empty = known && s.backup_holds === 0 && s.entries > 0;
    put(box, "p", "The newest is " + span(old) + " old" + (known ? " and holds " + s.backup_holds + " of " + plural(s.entries, "entry").replace("entrys", "entries") : "") + "." +
      (empty ? " A new one is made within 10 minutes" + (s.space ? " of there being room." : ".") : ""), old > 3 * 86400000 || empty ? "late" : "");
  }
  put(box, "p", "They lie in " + s.backups + ". Copy the newest to another disk now and then. " + plural(s.entries, "entry").replace("entrys", "entries") + " are kept in all.");
  for (const n of s.notices) put(box, "p", n, "late");
}

function showCertificate(s) {
  const box = $("certificate"), c = s.certificate;
  box.replaceChildren();
  if (!c) { put(box, "p", "None is in use: this PC listens to itself alone."); return; }
  const left = c.until_ms - s.now_ms;
  put(box, "p", "The server's certificate is good until " + day(c.until_ms) + (c.name ? " and is renewed by itself." : "; it is your own, from files that you renew."), left < 30 * 86400000 ? "late" : "");
  if (!c.name) return;
  put(box, "p", "Phones trust the authority " + c.name + ", made on this PC, good until " + day(c.authority_until_ms) + ". Compare its SHA-256 fingerprint with what the phone shows:");
  put(box, "p", c.fingerprint, "print");
}

// run asks, or does what a path stands for, and shows how things stand then. What
// comes of an action is told even when a newer question was asked meanwhile.
async function run(path, body, done) {
  const own = ++asked, action = path !== "";
  if (action) fault = "";
  try {
    const s = await ask(path, body);
    if (action && done) say("said", done);
    if (own !== asked) return;
    lost = "";
    show(s);
  } catch (err) {
    if (err.code === "no_token" || err.code === "revoked" || err.code === "not_yours") {
      if (own !== asked) return;
      $("station").hidden = true;
      $("stranger").hidden = false;
    } else if (action) {
      fault = err.code ? err.message : "The shop PC does not answer, so it may not have done this. Is portwright serve running?";
      say("said", "");
      run("");
    } else if (own === asked) {
      lost = err.code ? err.message : "The shop PC does not answer. Is portwright serve running?";
    }
  }
  tell();
}

$("dismiss").addEventListener("click", () => { fault = ""; tell(); });
$("new-code").addEventListener("click", () => run("/code", {}, "A code was made"));
addEventListener("hashchange", () => enter().then(() => run("")));
enter().then(() => run(""));
setInterval(() => { if (!document.hidden && !$("station").hidden) run(""); }, 5000);
