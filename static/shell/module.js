// Module: makes the app's WebAssembly out of app.code, which is smaller to
// fetch. What is done to it, and why, stands in static/pack/squeeze.go.
//
//   self.portwrightModule(bytes)  the module; bytes that are one already stay
//
// Page and service worker have it.
"use strict";
(() => {
  const ONE = 1, TWO = 2, TABLE = 3, FOUR = 4, EIGHT = 5, MORE = 6, RESUME = 7, OPEN = 8, END = 9, JUMP = 10, OUT = 11;
  const HEAD = 16, CODE = 10, CONST = 0x42, FIRST = 0x1000, POINTS = 0x10000;
  const follows = new Uint8Array(256); // an instruction: 0 is nothing
  const set = (kind, from, to) => follows.fill(kind, from, to + 1);
  set(OPEN, 0x02, 0x04); set(JUMP, 0x06, 0x07); set(OUT, 0x08, 0x08); set(END, 0x0b, 0x0b); set(ONE, 0x0c, 0x0d); set(TABLE, 0x0e, 0x0e); set(ONE, 0x10, 0x10); set(TWO, 0x11, 0x11);
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
    let depth = 0, targets = null, around = 0, left = 0, point = 0; // see place in squeeze.go
    let locals = unsigned();
    putUnsigned(locals);
    for (; locals > 0; locals--) { number(); out[o++] = from[i++]; }
    while (i < end) {
      const op = from[i++], kind = follows[op];
      if (kind < JUMP && kind !== RESUME) out[o++] = op;
      switch (kind) {
        case ONE: number(); break;
        case TWO: number(); number(); break;
        case FOUR: copy(4); break;
        case EIGHT: copy(8); break;
        case MORE: {
          const second = out[o++] = from[i++];
          copy(second === 10 ? 2 : second === 11 ? 1 : 0);
          break;
        }
        case OPEN:
          number();
          depth++;
          break;
        case END:
          if (--depth < around - left) {
            left++;
            while (targets && targets[point] < left) point++;
          }
          break;
        case TABLE: {
          const to = new Array(unsigned() + 1);
          putUnsigned(to.length - 1);
          for (let k = 0, next = 0; k < to.length; next = to[k++] + 1) putUnsigned(to[k] = next + signed());
          if (!targets) { targets = to; around = depth; }
          break;
        }
        case RESUME:
          out[o++] = CONST;
          putSigned(name * POINTS + point + signed());
          break;
        case JUMP:
          out[o++] = 0x41; // i32.const, local.set 0, br
          putSigned(point + signed());
          out[o++] = 0x21; out[o++] = 0; out[o++] = 0x0c;
          putUnsigned(depth - 1 - (op - 0x06));
          break;
        case OUT:
          out[o++] = 0x0d; // br_if
          putUnsigned(depth - 1);
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
