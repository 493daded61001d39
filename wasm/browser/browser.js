// What package browser lets JavaScript do: each call here would be a page of
// code in the WebAssembly. Plain script.
"use strict";

// Signs that a value was kept, besides the one on the screen.
globalThis.portwrightSigns = {
  buzz() { navigator.vibrate?.(30); },

  // tone sounds for an eighth of a second; the context comes with the first tone.
  tone() {
    const Context = globalThis.AudioContext || globalThis.webkitAudioContext;
    if (!Context) return;
    const on = this.context ||= new Context();
    on.resume?.();
    const pitch = on.createOscillator(), loudness = on.createGain(), now = on.currentTime;
    pitch.frequency.value = 880;
    loudness.gain.setValueAtTime(0.25, now);
    loudness.gain.exponentialRampToValueAtTime(0.001, now + 0.12);
    pitch.connect(loudness);
    loudness.connect(on.destination);
    pitch.start(now);
    pitch.stop(now + 0.13);
  },

  // say speaks with a voice that lives on the device: others send the words away.
  say(text) {
    const speech = globalThis.speechSynthesis;
    const voices = speech?.getVoices().filter(v => v.localService && /^en\b/i.test(v.lang)) ?? [];
    const voice = voices.find(v => v.default) ?? voices[0];
    if (!voice) return;
    speech.cancel();
    const words = new SpeechSynthesisUtterance(text);
    words.voice = voice;
    words.lang = voice.lang;
    speech.speak(words);
  },
};
globalThis.speechSynthesis?.getVoices(); // some browsers list them from the second time on

globalThis.portwrightSync = {
  version: 1,

  // print opens the dialog; style is for the printed page and replaces that of the last print.
  print(style) {
    if (document.adoptedStyleSheets) {
      const sheet = new CSSStyleSheet();
      sheet.replaceSync(style);
      document.adoptedStyleSheets = [sheet];
    }
    window.print();
  },

  // ask asks the shop PC and resolves to {status, body}; status 0 is no whole answer.
  async ask(address, path, push, token, patience) {
    const none = { status: 0, body: new Uint8Array() };
    // Where the device itself says that it has no network, only its own server answers.
    if (navigator.onLine === false && !/^https?:\/\/(localhost|127\.0\.0\.1)(:|$)/.test(address || location.origin)) return none;
    const abort = new AbortController();
    const timer = setTimeout(() => abort.abort(), patience);
    try {
      const headers = {};
      if (token) headers.Authorization = "Bearer " + token;
      let body;
      if (push) {
        headers["Content-Type"] = "application/json";
        body = push;
        if (push.length > 1024 && typeof CompressionStream === "function") {
          body = await new Response(new Blob([push]).stream().pipeThrough(new CompressionStream("gzip"))).arrayBuffer();
          headers["Content-Encoding"] = "gzip";
        }
      }
      const answer = await fetch(address + path, {
        method: push ? "POST" : "GET", headers, body, signal: abort.signal,
        cache: "no-store", credentials: "omit", redirect: "error", referrerPolicy: "no-referrer",
      });
      return { status: answer.status, body: new Uint8Array(await answer.arrayBuffer()) };
    } catch {
      return none;
    } finally {
      clearTimeout(timer);
    }
  },

  // pair asks for a token and resolves to {token, message}; the message is why there is none.
  async pair(code, device, name, patience) {
    const none = { token: "", message: "The shop PC did not answer. Is this device on its Wi-Fi?" };
    try {
      const answer = await fetch("/api/v1/pair", {
        method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify({ code, device, name }),
        signal: AbortSignal.timeout(patience), cache: "no-store", credentials: "omit", redirect: "error",
      });
      return { token: "", message: "", ...await answer.json() };
    } catch {
      return none;
    }
  },

  // alone resolves to a function that lets the next window sync, once no other does.
  // One that was frozen in the middle must not hold the others for ever.
  alone(patience) {
    return new Promise(granted => {
      if (!navigator.locks) return granted(() => {});
      const abort = new AbortController();
      const timer = setTimeout(() => abort.abort(), patience);
      navigator.locks.request("portwright-sync", { signal: abort.signal }, () => {
        clearTimeout(timer);
        return new Promise(release => granted(release));
      }).catch(() => granted(() => {}));
    });
  },

  // The rest works within a transaction that its caller made, and calls done in
  // the callback of its last request. Keys of entries are [device, number].

  // held lists the devices in the store: [device, largest number, count, ...].
  held(tx, done) {
    const entries = tx.objectStore("entries");
    const out = [];
    const next = after => {
      entries.openKeyCursor(after).onsuccess = first => {
        if (!first.target.result) return done(out);
        const device = first.target.result.key[0];
        this.own(tx, device, ([last, count]) => {
          out.push(device, last, count);
          next(IDBKeyRange.lowerBound([device, []], true)); // an array comes after every number
        });
      };
    };
    next(null);
  },

  // own finds the largest number of one device, and counts its entries.
  own(tx, device, done) {
    const entries = tx.objectStore("entries");
    const all = IDBKeyRange.bound([device, 0], [device, Number.MAX_SAFE_INTEGER]);
    entries.count(all).onsuccess = count => {
      entries.openKeyCursor(all, "prev").onsuccess = last => {
        done([last.target.result ? last.target.result.key[1] : 0, count.target.result]);
      };
    };
  },

  // rows reads ranges [device, from, to, ...]: [device, number, text, ...].
  rows(tx, ranges, done) {
    const entries = tx.objectStore("entries");
    const out = [];
    const next = i => {
      if (i >= ranges.length) return done(out);
      const span = IDBKeyRange.bound([ranges[i], ranges[i + 1]], [ranges[i], Math.min(ranges[i + 2], Number.MAX_SAFE_INTEGER)]);
      entries.getAllKeys(span).onsuccess = keys => {
        entries.getAll(span).onsuccess = values => {
          values.target.result.forEach((value, j) => out.push(ranges[i], keys.target.result[j][1], value.entry));
          next(i + 3);
        };
      };
    };
    next(0);
  },

  // change takes entries away, [device, number, ...], and adds others, [device,
  // number, text, build, id, ...]. One whose ID stands under another name too (a
  // branch) is not in the index of IDs, which leads to the other.
  change(tx, gone, added, done) {
    const entries = tx.objectStore("entries");
    for (let i = 0; i < gone.length; i += 2) entries.delete([gone[i], gone[i + 1]]);
    let left = 1;
    const one = () => { if (--left === 0) done(); };
    const add = (key, entry, build, id) => {
      const value = { entry };
      if (build) value.build = build;
      if (id) value.id = id;
      const request = entries.add(value, key);
      request.onsuccess = one;
      request.onerror = event => {
        if (!id || request.error.name !== "ConstraintError") return;
        event.preventDefault();
        event.stopPropagation();
        add(key, entry, build, "");
      };
    };
    for (let i = 0; i < added.length; i += 5) {
      left++;
      add([added[i], added[i + 1]], added[i + 2], added[i + 3], added[i + 4]);
    }
    tx.objectStore("meta").get("head").onsuccess = one;
  },
};
