// The Shop station: asks the shop PC how things stand and shows it.
"use strict";

const TOKEN = "portwright-shop"; // this browser's token, in its local storage
const $ = id => document.getElementById(id);
let asked = 0;  // the newest question; answers to older ones are dropped
let sure = "";  // the device that a second tap would revoke or forget
let last = null;

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
    if (!localStorage.getItem(TOKEN)) wrong(err.message);
  }
}

function wrong(text) { $("wrong").textContent = text; }

function put(parent, name, text, className) {
  const el = document.createElement(name);
  if (text) el.textContent = text;
  if (className) el.className = className;
  parent.append(el);
  return el;
}

function plural(n, word) { return n + " " + word + (n === 1 ? "" : "s"); }

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
  last = s;
  showCode(s);
  showDevices(s);
  const addresses = $("addresses");
  addresses.replaceChildren();
  if (s.addresses.length === 0) put(addresses, "p", "This PC listens to itself alone. Start it without -alone to let phones in.");
  const list = put(addresses, "ul");
  for (const a of s.addresses) put(put(list, "li"), "b", a);
  showBackup(s);
  showCertificate(s);
}

function showCode(s) {
  $("code").textContent = s.code ? s.code.text : "";
  let says = "A code lets one phone in. It is good for 10 minutes.";
  if (s.code) {
    says = "Type it on the phone within " + span(s.code.until_ms - s.now_ms) + ".";
    if (s.code.wrong_from) says += " A wrong code came from " + s.code.wrong_from + "; " + plural(s.code.tries_left, "try").replace("trys", "tries") + " left.";
  }
  $("code-says").textContent = says;
  $("new-code").textContent = s.code ? "Make another code" : "Make a code";
  $("lead").hidden = !s.setup;
  $("setup").textContent = s.setup || "";
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

// act is a button that asks once more before it does what can't be undone.
function act(parent, d, what, word) {
  const key = what + " " + d.id;
  const button = put(parent, "button", sure === key ? word + " " + d.name + " for good" : word, "button small");
  button.type = "button";
  button.dataset.does = key;
  button.addEventListener("click", () => {
    if (sure !== key) {
      sure = key;
      $("said").textContent = "Tap again to " + what + " " + d.name;
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
  else put(box, "p", "The newest is " + span(old) + " old.", old > 3 * 86400000 ? "late" : "");
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

async function run(path, body, done) {
  const own = ++asked;
  try {
    const s = await ask(path, body);
    if (own !== asked) return;
    wrong("");
    if (done) $("said").textContent = done;
    show(s);
  } catch (err) {
    if (own !== asked) return;
    if (err.code === "no_token" || err.code === "revoked" || err.code === "not_yours") {
      $("station").hidden = true;
      $("stranger").hidden = false;
    } else {
      wrong(err.code ? err.message : "The shop PC does not answer. Is portwright serve running?");
    }
  }
}

$("new-code").addEventListener("click", () => run("/code", {}, "A code was made"));
addEventListener("hashchange", () => enter().then(() => run("")));
enter().then(() => run(""));
setInterval(() => { if (!document.hidden && !$("station").hidden) run(""); }, 5000);
