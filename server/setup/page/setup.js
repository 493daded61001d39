// Says whether this phone trusts the shop PC: a secure question to it is
// answered only then.
"use strict";

const apps = document.body.dataset.apps.trim().split(" ");
const verdict = document.getElementById("verdict");
const open = document.getElementById("open");

// own first the address under which this page was opened, then the others.
function inOrder() {
  const own = app => new URL(app).hostname === location.hostname ? 0 : 1;
  return [...apps].sort((a, b) => own(a) - own(b));
}

async function answers(app) {
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), 4000);
  try {
    const answer = await fetch(app + "trust", { cache: "no-store", credentials: "omit", signal: stop.signal });
    return answer.ok;
  } catch {
    return false;
  } finally {
    clearTimeout(timer);
  }
}

async function check() {
  verdict.textContent = "Asking ...";
  open.hidden = true;
  for (const app of inOrder()) {
    if (!await answers(app)) continue;
    verdict.textContent = "Yes, this phone trusts the shop PC.";
    document.getElementById("open-app").href = app;
    open.hidden = false;
    return;
  }
  verdict.textContent = "Not yet. Follow the steps below, then check again.";
}

document.getElementById("check").hidden = false;
document.getElementById("again").addEventListener("click", check);
addEventListener("pageshow", check);
