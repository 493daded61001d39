// Runs one Go test. Go's js port asks globalThis.fs and globalThis.process for
// files; here they answer from the program that started this browser. Every
// request is synchronous, which a worker may do. The repository's files can be
// read, not written; what is below TEMP lives in memory.
"use strict";

function ask(what, body) {
  const request = new XMLHttpRequest();
  request.open(body === undefined ? "GET" : "POST", what, false);
  request.responseType = "arraybuffer";
  request.send(body);
  if (request.status !== 200) throw fault(new TextDecoder().decode(request.response).trim() || "EIO");
  return request.response;
}
const text = what => new TextDecoder().decode(ask(what));

function fault(code) {
  const err = new Error(code);
  err.code = code;
  return err;
}

const start = JSON.parse(text("start"));
let dir = start.dir;

function absolute(path) {
  const out = [];
  for (const part of (path.startsWith("/") ? path : dir + "/" + path).split("/")) {
    if (part === "..") out.pop();
    else if (part !== "" && part !== ".") out.push(part);
  }
  return "/" + out.join("/");
}
const about = (what, path) => what + "?path=" + encodeURIComponent(absolute(path));

function status(size, dir, ms) {
  return {
    dev: 0, ino: 0, mode: dir ? 0o040755 : 0o100644, nlink: 1, uid: 0, gid: 0, rdev: 0,
    size, blksize: 4096, blocks: Math.ceil(size / 512), atimeMs: ms, mtimeMs: ms, ctimeMs: ms,
    isDirectory: () => dir,
  };
}

// Everything below TEMP lives in memory and ends with the test: an entry is a
// Uint8Array (a file) or null (a folder), by its absolute path.
const TEMP = "/in-memory";
const memory = new Map([[TEMP, null]]);
const inMemory = path => path === TEMP || path.startsWith(TEMP + "/");
const parent = path => path.slice(0, path.lastIndexOf("/"));

function kept(path, kind) {
  const has = memory.get(path);
  if (has === undefined) throw fault("ENOENT");
  if (kind === "file" && has === null) throw fault("EISDIR");
  if (kind === "folder" && has !== null) throw fault("ENOTDIR");
  return has;
}
function writable(path) {
  if (!inMemory(path)) throw fault("EROFS");
  return path;
}
function children(path) {
  return [...memory.keys()].filter(p => p !== TEMP && parent(p) === path);
}

function stat(path) {
  path = absolute(path);
  if (inMemory(path)) {
    const has = kept(path);
    return status(has === null ? 0 : has.length, has === null, 0);
  }
  const s = JSON.parse(text(about("stat", path)));
  return status(s.size, s.dir, s.ms);
}

const open = new Map(); // descriptor: { path, at, append, data }; data is of a file of the repository
let last = 2;
const CREATE = 64, EXCLUSIVE = 128, TRUNCATE = 512, APPEND = 1024, WRITE = 1 | 2, FOLDER = 1 << 16;

function descriptor(fd) {
  if (!open.has(fd)) throw fault("EBADF");
  return open.get(fd);
}
function content(file) {
  if (inMemory(file.path)) return kept(file.path, "file");
  file.data ??= new Uint8Array(ask(about("read", file.path)));
  return file.data;
}

const files = {
  open(path, flags) {
    path = absolute(path);
    if (flags & (WRITE | CREATE)) writable(path);
    if (flags & CREATE) {
      if (memory.has(path) && flags & EXCLUSIVE) throw fault("EEXIST");
      kept(parent(path), "folder");
      if (!memory.has(path)) memory.set(path, new Uint8Array(0));
    }
    if (flags & TRUNCATE && kept(path, "file")) memory.set(path, new Uint8Array(0));
    const isFolder = stat(path).isDirectory();
    if (flags & FOLDER && !isFolder) throw fault("ENOTDIR");
    open.set(++last, { path, at: 0, append: !!(flags & APPEND), data: null });
    return last;
  },
  close(fd) { open.delete(fd); },
  stat, lstat: stat,
  fstat(fd) { return stat(descriptor(fd).path); },
  readdir(path) {
    path = absolute(path);
    if (!inMemory(path)) return JSON.parse(text(about("list", path)));
    kept(path, "folder");
    return children(path).map(p => p.slice(path.length + 1)).sort();
  },
  read(fd, buffer, offset, length, position) {
    const file = descriptor(fd);
    const from = position === null ? file.at : position;
    const part = content(file).subarray(from, from + length);
    buffer.set(part, offset);
    if (position === null) file.at += part.length;
    return part.length;
  },
  write(fd, buffer, offset, length, position) {
    const bytes = buffer.slice(offset, offset + length);
    if (fd === 1 || fd === 2) {
      ask("print", bytes);
      return length;
    }
    const file = descriptor(fd);
    writable(file.path);
    const old = kept(file.path, "file");
    const from = file.append ? old.length : position === null ? file.at : position;
    const now = new Uint8Array(Math.max(old.length, from + length));
    now.set(old);
    now.set(bytes, from);
    memory.set(file.path, now);
    if (position === null) file.at = from + length;
    return length;
  },
  mkdir(path) {
    path = writable(absolute(path));
    if (memory.has(path)) throw fault("EEXIST");
    kept(parent(path), "folder");
    memory.set(path, null);
  },
  unlink(path) {
    kept(writable(absolute(path)), "file");
    memory.delete(absolute(path));
  },
  rmdir(path) {
    path = writable(absolute(path));
    kept(path, "folder");
    if (children(path).length) throw fault("ENOTEMPTY");
    memory.delete(path);
  },
  rename(from, to) {
    from = writable(absolute(from));
    to = writable(absolute(to));
    memory.set(to, kept(from, "file"));
    if (from !== to) memory.delete(from);
  },
  chmod(path) { kept(writable(absolute(path))); },
  fsync() {},
};

globalThis.fs = {
  constants: { O_WRONLY: 1, O_RDWR: 2, O_CREAT: CREATE, O_TRUNC: TRUNCATE, O_APPEND: APPEND, O_EXCL: EXCLUSIVE, O_DIRECTORY: FOLDER },
  writeSync(fd, buffer) { return files.write(fd, buffer, 0, buffer.length, null); },
};
for (const name of ["open", "close", "stat", "lstat", "fstat", "readdir", "read", "write", "fsync", "mkdir", "unlink", "rmdir", "rename", "readlink",
  "chmod", "fchmod", "chown", "fchown", "lchown", "link", "symlink", "truncate", "ftruncate", "utimes"]) {
  const does = files[name] || (() => { throw fault("EROFS"); });
  globalThis.fs[name] = (...args) => {
    const callback = args.pop();
    let result;
    try { result = does(...args); } catch (err) { return callback(err.code ? err : fault("EIO")); }
    callback(null, result);
  };
}
globalThis.process = {
  getuid: () => -1, getgid: () => -1, geteuid: () => -1, getegid: () => -1, getgroups: () => [], pid: 1, ppid: 0, umask: () => 0o022,
  cwd: () => dir, chdir(to) { stat(to); dir = absolute(to); },
};
globalThis.path = { resolve: (...parts) => absolute(parts.join("/")) };

importScripts("wasm_exec.js");

const finish = status => ask("exit?status=" + status, "");
(async () => {
  const go = new Go();
  go.argv = start.args;
  go.env = { TMPDIR: TEMP, HOME: "/", PWD: dir };
  go.exit = finish;
  try {
    const { instance } = await WebAssembly.instantiateStreaming(fetch("test.wasm"), go.importObject);
    await go.run(instance);
  } catch (err) {
    ask("print", String(err && err.stack || err) + "\n");
    finish(1);
  }
})();
