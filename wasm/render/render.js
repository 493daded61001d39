// Carries out the programs of package render (program.go has the list of
// steps). Plain script: no eval, no inline style, nothing kept but the nodes
// that stand in the page.
"use strict";
globalThis.portwrightRender = {
  version: 1,
  open(container, deliver) {
    const NS = ["http://www.w3.org/1999/xhtml", "http://www.w3.org/2000/svg", "http://www.w3.org/1998/Math/MathML"];
    const decoder = new TextDecoder("utf-8", { ignoreBOM: true });
    const nodes = new Map([[1, container]]);
    const words = [];
    const idOf = new WeakMap();   // element with listeners -> id
    const held = new WeakMap();   // form control -> { value, checked } of the model
    const touched = new Set();    // controls that a person changed since
    const moved = typeof Element.prototype.moveBefore === "function";
    let code = new Uint8Array(1 << 16), text = new Uint8Array(1 << 16);
    let quiet = false;            // a focused element is being moved
    let composing = null;         // the field an input method is writing in
    let pending = null;           // what it is to hold when that is over
    let first = true;             // nothing was drawn yet
    let alive = true;

    // Numbers in the person's style: where they write a decimal comma, a number
    // with one point is shown with it. Addresses, dates, what people named
    // themselves (translate="no") and what is typed stay as they are.
    let comma = false;
    try { comma = (1.5).toLocaleString(navigator.language).includes(","); } catch { /* a language that this browser does not know */ }
    const local = s => !comma ? s : s === "." ? "," : s.replace(/(?<![\w.])(\d+)\.(\d+)(?![\d.]*\.?\d)/g, "$1,$2");
    const inside = (el, s) => !comma || el.translate === false ? s : el.className === "digits" ? s.replace(".", ",") : local(s);
    const marked = el => {
      if (!comma) return;
      const walk = document.createTreeWalker(el, NodeFilter.SHOW_TEXT);
      while (walk.nextNode()) if (walk.currentNode.parentElement.translate !== false) walk.currentNode.data = local(walk.currentNode.data);
      for (const e of el.querySelectorAll("[aria-label]")) e.setAttribute("aria-label", local(e.getAttribute("aria-label")));
    };

    // One function per phase hears for all elements.
    const hear = flags => e => {
      if (quiet || !alive) return;
      const id = idOf.get(e.currentTarget);
      if (id !== undefined) deliver(id, e.type, flags, e);
    };
    const ears = [hear(0), hear(1)];

    const isText = el => el.localName === "textarea" || el.localName === "input" && el.type !== "checkbox" && el.type !== "radio";
    const touch = ({ target }) => {
      if (held.has(target)) touched.add(target);
      if (target.type !== "radio") return;
      for (const r of container.querySelectorAll("input[type=radio]")) {
        if (r.name === target.name && held.has(r)) touched.add(r);
      }
    };
    const compose = e => { composing = e.target; pending = null; };
    const composed = e => {
      const value = pending;
      composing = pending = null;
      if (value !== null) write(e.target, value);
    };
    const own = [["input", touch], ["change", touch], ["compositionstart", compose], ["compositionend", composed]];
    for (const [type, f] of own) container.addEventListener(type, f, true);

    const hold = el => {
      let h = held.get(el);
      if (!h) held.set(el, h = {});
      return h;
    };

    // write sets a field's text and keeps the caret where the person has it,
    // counted from the nearer end that stayed the same.
    function write(el, value) {
      if (el === composing) { pending = value; return; }
      if (el.value === value) return;
      if (el !== document.activeElement || !isText(el)) { el.value = value; return; }
      const before = el.value, start = caret(el);
      el.value = value;
      if (start === null) return;
      const same = before.slice(0, start) === value.slice(0, start);
      const at = same ? start : Math.max(0, value.length - (before.length - start));
      el.setSelectionRange(at, at);
    }
    function caret(el) {
      try { return el.selectionStart; } catch { return null; }
    }

    // settle gives controls back to the model that the person changed and the
    // model did not follow. A text field is left alone while it has the focus.
    function settle() {
      for (const el of touched) {
        const h = held.get(el);
        const typing = isText(el) && el === document.activeElement;
        if (h && h.checked !== undefined && el.checked !== h.checked) el.checked = h.checked;
        if (typing) continue;
        if (h && h.value !== undefined && el.value !== h.value) el.value = h.value;
        touched.delete(el);
      }
    }

    function attribute(el, name, value) {
      const space = name.startsWith("xlink:") ? "http://www.w3.org/1999/xlink" : name.startsWith("xml:") ? "http://www.w3.org/XML/1998/namespace" : null;
      try {
        if (space) el.setAttributeNS(space, name, value);
        else el.setAttribute(name, value);
      } catch (err) {
        console.error("render: attribute " + JSON.stringify(name) + " of <" + el.localName + ">: " + err.message);
      }
    }
    function noAttribute(el, name) {
      const colon = name.indexOf(":");
      if (colon > 0 && (name.startsWith("xlink:") || name.startsWith("xml:"))) {
        const a = el.getAttributeNode(name);
        if (a) el.removeAttributeNode(a);
      } else el.removeAttribute(name);
    }
    function value(el, json, given) {
      try {
        let v = json ? JSON.parse(given) : given;
        v = v === null ? "" : String(v);
        hold(el).value = v;
        write(el, v);
      } catch (err) {
        console.error("render: value of <" + el.localName + " type=" + el.type + ">: " + err.message);
      }
    }
    function property(el, name, json) {
      try {
        el[name] = JSON.parse(json);
      } catch (err) {
        console.error("render: property " + JSON.stringify(name) + " of <" + el.localName + ">: " + err.message);
      }
    }

    // insert puts a new child in or moves one. A moved one keeps its focus,
    // selection and state.
    function insert(parent, child, before) {
      if (parent.localName === "select" || parent.localName === "optgroup") {
        const list = parent.closest("select");
        if (list && held.has(list)) touched.add(list);
      }
      if (!child.isConnected || !parent.isConnected) { parent.insertBefore(child, before); return; }
      if (moved) {
        try { parent.moveBefore(child, before); return; } catch { /* not allowed here: the long way */ }
      }
      const active = document.activeElement;
      const focused = active && child.contains(active) ? active : null;
      if (!focused) { parent.insertBefore(child, before); return; }
      const start = caret(focused), end = start === null ? null : focused.selectionEnd;
      quiet = true;
      try {
        parent.insertBefore(child, before);
        focused.focus({ preventScroll: true });
        if (start !== null) focused.setSelectionRange(start, end);
      } finally {
        quiet = false;
      }
    }

    // buffer returns a byte array of at least n bytes for Go to fill.
    function grown(old, n) {
      if (n <= old.length) return old;
      return new Uint8Array(Math.max(n, 2 * old.length));
    }

    return {
      codeBuffer: n => code = grown(code, n),
      textBuffer: n => text = grown(text, n),
      node: id => nodes.get(id),
      nodeCount: () => nodes.size - 1,

      run(codeLength, textLength) {
        if (first) { container.replaceChildren(); first = false; }
        const W = new Uint32Array(code.buffer, 0, codeLength / 4);
        const S = decoder.decode(text.subarray(0, textLength));
        let i = 0, at = 0;
        const str = () => { const n = W[i++]; at += n; return S.slice(at - n, at); };
        const node = () => nodes.get(W[i++]);
        while (i < W.length) {
          switch (W[i++]) {
            case 1: words.push(str()); break;
            case 2: { const id = W[i++], ns = W[i++], tag = words[W[i++]];
              nodes.set(id, ns === 0 ? document.createElement(tag) : document.createElementNS(NS[ns], tag)); break; }
            case 3: { const id = W[i++]; nodes.set(id, document.createTextNode(local(str()))); break; }
            case 4: { const id = W[i++]; nodes.set(id, document.createComment(str())); break; }
            case 5: { const n = node(); n.data = local(str()); break; }
            case 6: { const el = node(), name = words[W[i++]]; attribute(el, name, name === "aria-label" ? local(str()) : str()); break; }
            case 7: { const el = node(); noAttribute(el, words[W[i++]]); break; }
            case 8: { const el = node(), css = str(); if (css === "") el.removeAttribute("style"); else el.style.cssText = css; break; }
            case 9: { const el = node(), name = words[W[i++]]; property(el, name, str()); break; }
            case 10: { const el = node(), json = W[i++]; value(el, json, str()); break; }
            case 11: { const el = node(), on = W[i++] === 1; hold(el).checked = on; if (el.checked !== on) el.checked = on; break; }
            case 12: { const id = W[i++], el = nodes.get(id), type = words[W[i++]], f = W[i++]; idOf.set(el, id);
              el.addEventListener(type, ears[f & 1], { capture: (f & 1) !== 0, passive: (f & 2) !== 0 }); break; }
            case 13: { const el = node(), type = words[W[i++]], f = W[i++]; el.removeEventListener(type, ears[f & 1], { capture: (f & 1) !== 0 }); break; }
            case 14: { const el = node(); el.innerHTML = str(); marked(el); break; }
            case 15: { const el = node(); el.textContent = inside(el, str()); break; }
            case 16: { const parent = node(), child = node(), before = W[i++]; insert(parent, child, before ? nodes.get(before) : null); break; }
            case 17: node().remove(); break;
            case 18: { const el = node(); nodes.delete(W[i - 1]); idOf.delete(el); touched.delete(el); if (el === composing) composing = null; break; }
            case 19: { const el = node(), h = held.get(el); if (h) delete h.value; if (el.localName !== "select") el.value = el.defaultValue ?? ""; break; }
            default: throw new Error("step " + W[i - 1] + " is unknown to this render.js");
          }
        }
        settle();
      },

      // reset forgets everything, after a fault; the next program starts anew.
      reset() {
        first = true;
        nodes.clear();
        nodes.set(1, container);
        words.length = 0;
        touched.clear();
        composing = pending = null;
      },

      close() {
        alive = false;
        for (const [type, f] of own) container.removeEventListener(type, f, true);
        container.replaceChildren();
        this.reset();
      },
    };
  },
};
