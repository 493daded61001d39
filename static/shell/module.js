// Module: makes the app's WebAssembly out of app.code, which is smaller to
// fetch. What is done to it, and why, stands in static/pack/squeeze.go.
//
//   self.portwrightModule(bytes)  the module; bytes that are one already stay
//
// Page and service worker have it.
"use strict";
(() => {
  const ONE = 1, TWO = 2, TABLE = 3, FOUR = 4, EIGHT = 5, MORE = 6, RESUME = 7;
  const HEAD = 16, CODE = 10, CONST = 0x42, FIRST = 0x1000, POINTS = 0x10000;
  const follows = new Uint8Array(256); // an instruction: 0 is nothing
  const set = (kind, from, to) => follows.fill(kind, from, to + 1);
  set(ONE, 0x02, 0x04); set(ONE, 0x0c, 0x0d); set(TABLE, 0x0e, 0x0e); set(ONE, 0x10, 0x10); set(TWO, 0x11, 0x11);
  set(ONE, 0x20, 0x24); set(RESUME, 0x27, 0x27); set(TWO, 0x28, 0x3e); set(ONE, 0x3f, 0x42); set(FOUR, 0x43, 0x43);
  set(EIGHT, 0x44, 0x44); set(MORE, 0xfc, 0xfc);

  let from, out, i, o; // what is read and written, and where

  function unsigned() {
    let v = 0, by = 1, b;
    do { b = from[i++]; v += (b & 0x7f) * by; by *= 128; } while (b & 0x80);
    return v;
  }
  function signed() {
    let v = 0, shift = 0, b;
    do { b = from[i++]; v |= (b & 0x7f) << shift; shift += 7; } while (b & 0x80);
    return b & 0x40 ? v - 2 ** shift : v;
  }
  function putUnsigned(v) {
    for (; v > 0x7f; v = Math.floor(v / 128)) out[o++] = v & 0x7f | 0x80;
    out[o++] = v;
  }
  function putSigned(v) { // never negative
    for (; v > 0x3f; v = Math.floor(v / 128)) out[o++] = v & 0x7f | 0x80;
    out[o++] = v;
  }
  function copy(n) {
    out.set(from.subarray(i, i + n), o);
    i += n;
    o += n;
  }
  function number() {
    do { out[o++] = from[i]; } while (from[i++] & 0x80);
  }

  // body writes one function, which addresses name so.
  function body(name, end) {
    let last = 0;
    let locals = unsigned();
    putUnsigned(locals);
    for (; locals > 0; locals--) { number(); out[o++] = from[i++]; }
    while (i < end) {
      const op = from[i++];
      if (op !== 0x27) out[o++] = op;
      switch (follows[op]) {
        case ONE: number(); break;
        case TWO: number(); number(); break;
        case FOUR: copy(4); break;
        case EIGHT: copy(8); break;
        case MORE: {
          const second = out[o++] = from[i++];
          copy(second === 10 ? 2 : second === 11 ? 1 : 0);
          break;
        }
        case TABLE: {
          const n = unsigned();
          putUnsigned(n);
          for (let k = 0, next = 0; k <= n; k++) {
            const to = next + signed();
            putUnsigned(to);
            next = to + 1;
          }
          break;
        }
        case RESUME:
          last += signed();
          out[o++] = CONST;
          putSigned(name * POINTS + last);
          break;
      }
    }
  }

  function code() {
    const n = unsigned();
    putUnsigned(n);
    for (let k = 0; k < n; k++) {
      const packed = unsigned(), end = i + packed, start = o;
      o += 5; // room for the length, which is known afterwards
      body(FIRST + k, end);
      const long = o - start - 5;
      o = start;
      putUnsigned(long);
      out.copyWithin(o, start + 5, start + 5 + long);
      o += long;
    }
  }

  self.portwrightModule = bytes => {
    from = bytes;
    if (String.fromCharCode(...from.subarray(0, 4)) !== "\0pws") return from;
    const head = new DataView(from.buffer, from.byteOffset, HEAD), whole = head.getUint32(4, true);
    out = new Uint8Array(whole + HEAD);
    i = HEAD;
    o = 0;
    copy(8);
    while (i < from.length) {
      const kind = out[o++] = from[i++], length = unsigned();
      if (kind === CODE) {
        putUnsigned(head.getUint32(8, true));
        code();
      } else {
        putUnsigned(length);
        copy(length);
      }
    }
    if (o !== whole || i !== from.length) throw new Error("the app's code is damaged");
    const made = out.subarray(0, whole);
    from = out = null;
    return made;
  };
})();
