// Module: makes the app's WebAssembly out of app.code, which is smaller to
// fetch. What is done to it, and why, stands in static/pack/code.go.
//
//   self.portwrightModule(bytes)  the module; bytes that are one already stay
//
// Page and service worker have it.
"use strict";
(() => {
  // What a step's code says of what follows it, and of what it does.
  const NONE = 0, ONE = 1, TWO = 2, TABLE = 3, FLOAT = 4, MORE = 5, OPEN = 6, END = 7, MEMORY = 8, LONG = 9,
    OWN = 10, // and above: no instruction of the module
    COUNT = 10, JUMP = 11, LEAVE = 12, ENTER = 13, LAST = 14, FRAME = 15, GUARD = 16, SLOT = 17, PARAM = 18, NEXT = 19, ADDRESS = 20, RESUME = 21, PHRASE = 22;
  const STEPS = 0, LOCALS = 1, FRAMES = 2, JUMPS = 3, ADDRESSES = 4, LONGS = 5, FLOATS = 6, SLOTS = 7, PARAMS = 8, PLACES = 9, ROWS = 10, NEW = 11, GAPS = 12, LANES = 13, REST = 13;
  const HEAD = 16, ELEMENTS = 9, CODE = 10, DATA = 11, FIRST = 0x1000, POINTS = 0x10000, SMALL = 128, HAS_LOOP = 1, HAS_OUT = 2;
  const ALIGNED = [2, 3, 2, 3, 0, 0, 1, 1, 0, 0, 1, 1, 2, 2, 2, 3, 2, 3, 0, 1, 0, 1, 2]; // from 0x28 on

  const known = new Uint8Array(256);
  const set = (kind, from, to) => known.fill(kind, from, (to || from) + 1);
  set(OPEN, 0x02, 0x04); set(COUNT, 0x06); set(JUMP, 0x07); set(LEAVE, 0x08); set(ENTER, 0x09); set(LAST, 0x0a); set(END, 0x0b);
  set(ONE, 0x0c, 0x0d); set(TABLE, 0x0e); set(ONE, 0x10); set(TWO, 0x11); set(FRAME, 0x12); set(GUARD, 0x13); set(SLOT, 0x14);
  set(PARAM, 0x15); set(NEXT, 0x16); set(ADDRESS, 0x17); set(ONE, 0x20, 0x24); set(RESUME, 0x27); set(MEMORY, 0x28, 0x3e);
  set(ONE, 0x3f, 0x41); set(LONG, 0x42); set(FLOAT, 0x43, 0x44); set(MORE, 0xfc);

  let from, out, o;          // what is read; what is written, and where
  let kinds, parts, fixed;   // of codes; of a phrase, its two codes, and where what follows them stands, or 0
  let addresses;             // in order
  const at = new Uint32Array(LANES + 1); // where in each lane, and in what follows them

  // Of the function that is made:
  let name, frame, done;
  let has, enters;           // its layout, and where in its body the blocks begin
  let inner, ended, pc;      // blocks open inside those of the layout, blocks of the layout that have ended, program counter
  let base, slot;            // what the next offset counts from, the last offset of an i64.const
  let table;                 // of a program counter, the point to go on at
  let holes, labels;         // where in the body a branch misses its label, and the label less the points

  function unsigned(lane) {
    let v = 0, by = 1, b;
    do { b = from[at[lane]++]; v += (b & 0x7f) * by; by *= 128; } while (b & 0x80);
    return v;
  }
  function signed(lane) {
    let v = 0, shift = 0, b;
    do { b = from[at[lane]++]; v |= (b & 0x7f) << shift; shift += 7; } while (b & 0x80);
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
  function copy(lane, n) {
    while (n-- > 0) out[o++] = from[at[lane]++];
  }
  function number(lane) {
    let b;
    do { out[o++] = b = from[at[lane]++]; } while (b & 0x80);
  }
  function branch(label) { // how many points there are is known at the function's end
    holes.push(o);
    labels.push(label);
  }

  function step(code) {
    const kind = kinds[code];
    if (kind < OWN) out[o++] = code;
    switch (kind) {
      case NONE: break;
      case ONE: number(STEPS); break;
      case TWO: number(STEPS); number(STEPS); break;
      case FLOAT: copy(FLOATS, code === 0x43 ? 4 : 8); break;
      case MORE: {
        const second = out[o++] = from[at[STEPS]++];
        copy(STEPS, second === 10 ? 2 : second === 11 ? 1 : 0);
        break;
      }
      case OPEN:
        number(STEPS);
        inner++;
        break;
      case END:
        if (--inner >= 0) break;
        if (ended === 0) { done = true; break; } // a function of another layout
        while (table.length <= pc) table.push(ended - 1);
        inner = 0;
        ended++;
        pc++;
        break;
      case TABLE: {
        let n = unsigned(STEPS);
        putUnsigned(n);
        for (let to = 0; n >= 0; n--) { to += signed(STEPS); putUnsigned(to++); }
        break;
      }
      case MEMORY:
        putUnsigned(ALIGNED[code - 0x28]);
        if (base === PARAM) putUnsigned(frame + 8 + 8 * unsigned(PARAMS));
        else if (base === SLOT) putUnsigned(8 * unsigned(SLOTS));
        else number(STEPS);
        base = 0;
        break;
      case LONG:
        if (base === PARAM) putSigned(frame + 8 + 8 * unsigned(PARAMS));
        else if (base === SLOT) putSigned(slot = 8 * unsigned(PLACES));
        else number(LONGS);
        base = 0;
        break;
      case COUNT: pc++; break;
      case JUMP:
        out[o++] = 0x41; // i32.const, local.set 0, br
        putSigned(pc + signed(JUMPS));
        out[o++] = 0x21; out[o++] = 0; out[o++] = 0x0c;
        branch(inner - ended + 1);
        break;
      case LEAVE:
        out[o++] = 0x0d; // br_if
        branch(inner - ended + (has & HAS_LOOP ? 2 : 1));
        break;
      case ENTER:
        has = from[at[STEPS]++];
        enters = o;
        ended = 1;
        break;
      case LAST:
        if (has & HAS_LOOP) out[o++] = 0x0b;
        out[o++] = 0; // unreachable
        if (has & HAS_OUT) { out[o++] = 0x0b; out[o++] = 0x41; out[o++] = 1; } // return 1
        out[o++] = 0x0b;
        done = true;
        break;
      case FRAME: out[o++] = 0x41; putSigned(frame); break;
      case GUARD: out[o++] = 0x41; putSigned(frame - SMALL); break;
      case SLOT: case PARAM: base = kind; break;
      case NEXT: out[o++] = 0x42; putSigned(slot += 8); break;
      case ADDRESS:
        out[o++] = 0x42;
        putSigned(addresses[256 * unsigned(ADDRESSES) + from[at[ADDRESSES]++]]);
        break;
      case RESUME:
        out[o++] = 0x42;
        putSigned(name * POINTS + pc + 1 + signed(STEPS));
        break;
      case PHRASE:
        for (let k = 2 * code; k < 2 * code + 2; k++) {
          if (fixed[k] === 0) { step(parts[k]); continue; }
          const back = at[STEPS];
          at[STEPS] = fixed[k];
          step(parts[k]);
          at[STEPS] = back;
        }
        break;
      default: throw new Error("the app's code is damaged");
    }
  }

  // blocks writes the beginning of a function's layout.
  function blocks(points) {
    const open = op => { out[o++] = op; out[o++] = 0x40; };
    if (has & HAS_OUT) open(0x02);
    if (has & HAS_LOOP) open(0x03);
    for (let k = 0; k <= points; k++) open(0x02);
    out[o++] = 0x20; out[o++] = 0; // local.get 0
    out[o++] = 0x0e;
    putUnsigned(table.length);
    for (const point of table) putUnsigned(point);
    putUnsigned(points);
    out[o++] = 0x0b;
  }

  // body makes one function, its length before it; scratch is for what is made
  // before the number of its points is known.
  function body(scratch) {
    const module = out, start = o;
    frame = 8 * unsigned(FRAMES);
    has = inner = ended = pc = base = slot = 0;
    done = false;
    table = []; holes = []; labels = [];
    out = scratch;
    o = 0;
    while (!done) step(from[at[STEPS]++]);
    const end = o, points = ended - 1;
    out = module;
    o = start + 5; // room for the length
    const locals = unsigned(LOCALS);
    putUnsigned(locals);
    for (let k = 0; k < locals; k++) { number(LOCALS); copy(LOCALS, 1); }
    let t = 0;
    const upTo = there => { while (t < there) out[o++] = scratch[t++]; };
    if (ended > 0) {
      upTo(enters);
      blocks(points);
    }
    for (let k = 0; k < holes.length; k++) {
      upTo(holes[k]);
      putUnsigned(points + labels[k]);
    }
    upTo(end);
    const long = o - start - 5;
    o = start;
    putUnsigned(long);
    out.copyWithin(o, start + 5, start + 5 + long);
    o += long;
  }

  // lanes reads what stands before the lanes and returns how many functions there are.
  function lanes() {
    at[STEPS] = HEAD;
    const funcs = unsigned(STEPS);
    kinds = known.slice();
    parts = new Uint8Array(512);
    fixed = new Uint32Array(512);
    for (let n = from[at[STEPS]++]; n > 0; n--) {
      const code = from[at[STEPS]++];
      kinds[code] = PHRASE;
      for (let k = 2 * code; k < 2 * code + 2; k++) {
        parts[k] = from[at[STEPS]++];
        const long = from[at[STEPS]++];
        fixed[k] = long && at[STEPS];
        at[STEPS] += long;
      }
    }
    const sizes = new DataView(from.buffer, from.byteOffset + at[STEPS], 4 * LANES);
    let begin = at[STEPS] + 4 * LANES;
    for (let lane = 0; lane < LANES; lane++) {
      at[lane] = begin;
      begin += sizes.getUint32(4 * lane, true);
    }
    addresses = [];
    for (let last = 0; at[GAPS] < begin;) addresses.push(last += unsigned(GAPS)); // the last lane
    return funcs;
  }

  // column reads a column of the table of functions; place says where into goes
  // what the nth has, or -1.
  function column(n, none, into, place) {
    const seen = [];
    let last = 0, any = false;
    for (let k = 0; k < n; k++) {
      const to = place(k);
      if (to < 0) continue;
      any = true;
      const v = unsigned(ROWS);
      if (v === 1) {
        const far = unsigned(NEW);
        last += far % 2 ? -(far + 1) / 2 : far / 2;
        seen.push(last);
      }
      into[to] = v === 0 ? none : v === 1 ? last : seen[seen.length + 1 - v];
    }
    return any;
  }

  // rows makes the table of functions; see rows.go.
  function rows(n, gap, keep) {
    const tables = new Uint32Array(n), values = new Uint32Array(n), begin = new Uint32Array(n + 1), list = new Uint32Array(2 * n);
    column(n, 0, tables, k => k);
    column(n, 0, values, k => k);
    for (let k = 0; k < n; k++) begin[k + 1] = begin[k] + 11 + tables[k] + (values[k] >>> 24);
    const words = new Uint32Array(begin[n]);
    for (let k = 0; k < n; k++) {
      list[2 * k] = words[begin[k]] = FIRST + k;
      list[2 * k + 1] = 8 * n + gap + 4 * begin[k];
      words[begin[k] + 7] = tables[k];
      words[begin[k] + 10] = values[k];
    }
    for (const word of [1, 2, 3, 4, 5, 6, 8, 9]) column(n, 0, words, k => begin[k] + word);
    for (let i = 0, more = true; more; i++) {
      more = column(n, 0, words, k => i < tables[k] ? begin[k] + 11 + i : -1);
      more = column(n, 0xffffffff, words, k => i < values[k] >>> 24 ? begin[k] + 11 + tables[k] + i : -1) || more;
    }
    const put = numbers => { // in the order of bytes of every machine that has a browser
      out.set(new Uint8Array(numbers.buffer), o);
      o += 4 * numbers.length;
    };
    put(list);
    keep(gap);
    put(words);
  }

  function code(length, funcs) {
    const scratch = new Uint8Array(length);
    putUnsigned(funcs);
    for (let k = 0; k < funcs; k++) {
      name = FIRST + k;
      body(scratch);
    }
  }

  self.portwrightModule = bytes => {
    from = bytes;
    if (String.fromCharCode(...from.subarray(0, 4)) !== "\0pws") return from;
    const head = new DataView(from.buffer, from.byteOffset, HEAD), whole = head.getUint32(4, true), funcs = lanes();
    out = new Uint8Array(whole + HEAD);
    o = 0;
    at[REST] = head.getUint32(12, true);
    const keep = n => {
      out.set(from.subarray(at[REST], at[REST] + n), o);
      at[REST] += n;
      o += n;
    };
    keep(8);
    while (at[REST] < from.length) {
      const kind = from[at[REST]];
      keep(1);
      const length = kind === CODE ? head.getUint32(8, true) : unsigned(REST);
      putUnsigned(length);
      const end = o + length;
      if (kind === CODE) {
        code(length, funcs);
      } else if (kind === ELEMENTS) {
        keep(unsigned(REST));
        for (let n = unsigned(REST); o < end; n++) putUnsigned(n);
      } else if (kind === DATA) {
        const before = unsigned(REST), n = unsigned(REST), gap = unsigned(REST);
        keep(before);
        rows(n, gap, keep);
        keep(end - o);
      } else {
        keep(length);
      }
    }
    if (o !== whole || at[REST] !== from.length) throw new Error("the app's code is damaged");
    const made = out.subarray(0, whole);
    from = out = null;
    return made;
  };
})();
